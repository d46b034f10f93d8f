//! What heat, salt, drying, moulding, solvent and measured loads come to in base units, with the
//! arithmetic beside it.

use crate::support::case;
use works::{
    BodyForm, BodyUnit, Conducts, Cover, Damp, Dose, Faces, Files, Heat, Lasts, Level, Liquid,
    Measure, Numbers, Operation, Phased, Place, ProbeLog, SaltShare, Surface, Works,
};

const HEAD: &str = r#"
--- works.toml
[works]
name = "Tiny"
time_zone = "Europe/London"
currency = "GBP"

[calendar.days]
work = ["Mon..Fri 06:00-14:00"]

[station.oven]
calendar = "days"
heat = { power = "60 kW", cooling = "5 kW", stores = "220 kJ/K", loses = "180 W/K", around = "20 degC", band = "2 degC", starts = "302 degF", conveyor = "12 m", air_speed = "120 m/min", fresh_air = "1,440 m3/h" }
moulding = { clamp = "90 kN", barrel = "240 g", melts = "36 kg/h" }

[material.meat]
food = { water = "73 %", protein = "19 %", fat = "7 %", ash = "1 %" }
freezes_from = "-1.6 degC"
source = "invented"

[material.wax]
density = "0.9 g/cm3"
conductivity = { frozen = "0.25 W/(m K)", unfrozen = "0.15 W/(m K)" }
heat_capacity = "2.1 kJ/(kg K)"
melts_at = "54 degC"
latent = "190 kJ/kg"

[item.bar]
unit = "pair"
mass = "0.8 kg"
buy = { price = "11 GBP" }

[item.brine]
unit = "L"
mass = "1.2 kg/L"
buy = { price = "1 GBP/L" }

--- routes/block.toml
[route]
makes = "block"
unit = "dozen"

[[operation]]
name = "bake"
at = "oven"
pace = { holds = "20 dozen", dwell = "20 min" }
settings = { oven = { aim = "190 degC", within = "5 degC" }, damp = "72 %" }
takes = { bar = "1 pair", brine = "30 mL" }
"#;

/// The works of one operation, read without a complaint.
fn works(rest: &str) -> Works {
    let text = format!("{HEAD}{rest}");
    let outcome = works::read(&case(text.trim_start().as_bytes(), b"").files);
    assert!(outcome.diagnostics.is_empty(), "{:#?}", outcome.diagnostics);
    outcome.works.expect("a works without faults")
}

fn operation(rest: &str) -> Operation {
    works(rest).operations[0].clone()
}

fn heat(rest: &str) -> Heat {
    *operation(rest).heat.expect("a heat")
}

#[track_caller]
fn near(found: f64, expected: f64) {
    assert!(
        (found - expected).abs() <= 1e-12 * expected.abs().max(1.0),
        "{found} against {expected}"
    );
}

#[test]
fn an_oven_and_a_moulding_machine() {
    let works = works("");
    let oven = works.stations[0].heat.as_ref().unwrap();
    near(oven.power.as_ref().unwrap().mean(), 60e3);
    near(oven.stores.as_ref().unwrap().mean(), 220e3);
    near(oven.loses.as_ref().unwrap().mean(), 180.0);
    near(oven.around.as_ref().unwrap().mean(), 293.15);
    // A band is a difference.
    near(oven.band.as_ref().unwrap().mean(), 2.0);
    // 302 degF are (302 - 32) / 1.8 = 150 degC.
    near(oven.starts.as_ref().unwrap().mean(), 423.15);
    near(oven.air_speed.as_ref().unwrap().mean(), 2.0);
    near(oven.fresh_air.as_ref().unwrap().mean(), 0.4);
    let machine = works.stations[0].moulding.as_ref().unwrap();
    near(machine.clamp.mean(), 90e3);
    near(machine.melts.as_ref().unwrap().mean(), 0.01);
}

#[test]
fn a_food_and_a_wax() {
    let works = works("");
    let [meat, wax] = works.materials.as_slice() else {
        panic!("two materials")
    };
    let food = meat.food.as_ref().unwrap();
    near(food.water.mean(), 0.73);
    assert!(food.fibre.is_none());
    near(meat.freezes_from.as_ref().unwrap().mean(), 271.55);
    assert_eq!(meat.source.as_deref(), Some("invented"));
    near(wax.density.as_ref().unwrap().mean(), 900.0);
    let conductivity = wax.conductivity.as_ref().unwrap();
    near(conductivity.frozen().mean(), 0.25);
    near(conductivity.unfrozen().mean(), 0.15);
    assert!(matches!(wax.heat_capacity, Some(Phased::Same(_))));
    near(wax.latent.as_ref().unwrap().mean(), 190e3);
}

#[test]
fn one_stage_over_the_dwell_in_the_air_of_the_station() {
    let heat = heat(
        r#"
[operation.heat]
body = { form = "slab", of = "meat", thick = "18 / 22 / 27 mm", cover = "0.03 m2 K/W", unit = "0.24 m2" }
from = "2..5 degC"
air = "oven"
radiates = 0.9
faces = "one"
needs = [{ reach = "185 degC", hold = "10 min" }, { never_above = "205 degC" }]
"#,
    );
    let body = &heat.bodies[0];
    let BodyForm::Slab { layers, thin } = &body.form else {
        panic!("a slab")
    };
    assert!(!thin);
    near(layers[0].thick.spread.low(), 0.018);
    near(layers[0].thick.spread.high(), 0.027);
    assert_eq!(layers[0].of.declared.map(|id| id.0), Some(0));
    let Some(Cover::Resistance(cover)) = &body.cover else {
        panic!("a resistance")
    };
    near(cover.mean(), 0.03);
    // A dozen is twelve each, and each the base unit.
    let Some(BodyUnit::Area(area)) = &body.unit else {
        panic!("an area")
    };
    near(area.mean(), 0.02);
    near(heat.from.spread.low(), 275.15);
    let [stage] = heat.stages.as_slice() else {
        panic!("one stage")
    };
    assert!(matches!(stage.lasts, Lasts::Rest));
    assert!(matches!(stage.air, Level::Setting(0, _)));
    assert_eq!(stage.faces, Faces::One);
    let Surface::Blown { speed, along: None } = &stage.surface else {
        panic!("the station's air")
    };
    near(speed.mean(), 2.0);
    assert_eq!(heat.numbers, Numbers::Stated);
    let [reach, never] = heat.needs.as_slice() else {
        panic!("two needs")
    };
    let Measure::Reach { temperature, hold } = &reach.measure else {
        panic!("to be reached")
    };
    near(temperature.mean(), 458.15);
    near(hold.as_ref().unwrap().mean(), 600.0);
    assert_eq!((reach.place, never.place), (Place::Core, Place::Surface));
}

#[test]
fn a_level_follows_its_setting() {
    let operation = operation(
        r#"heat = { body = { form = "sphere", of = "mild steel", diameter = "1 in" }, from = "20 degC", air = "oven", walls = "-3 degC", surface = "22 W/(m2 K)", needs = [{ ends_between = "170..200 degC" }] }"#,
    );
    let heat = operation.heat.as_ref().unwrap();
    let stage = &heat.stages[0];
    near(stage.air.aim(&operation).mean(), 463.15);
    let setting = stage.air.setting(&operation).unwrap();
    near(setting.within.as_ref().unwrap().mean(), 5.0);
    near(stage.walls.as_ref().unwrap().aim(&operation).mean(), 270.15);
    let BodyForm::Sphere { diameter, of } = &heat.bodies[0].form else {
        panic!("a sphere")
    };
    near(diameter.mean(), 0.0254);
    // Nobody declares it here: planning asks the engine's library.
    assert_eq!((of.name.as_str(), of.declared), ("mild steel", None));
}

#[test]
fn stages_of_several_pieces() {
    let heat = heat(
        r#"
[operation.heat]
body = [
  { name = "can", form = "can", of = "meat", diameter = "68 mm", height = "102 mm" },
  { name = "tray", form = "brick", of = "wax", length = "0.3 m", width = "0.2 m", thick = "40 mm", unit = "2.4 kg" },
  { form = "sheet", layers = [{ of = "mild steel", thick = "0.8 mm" }, { of = "wax", thick = "75 um" }], cover = [{ of = "paper", thick = "0.3 mm" }] },
  { form = "cylinder", of = "oak", diameter = "3 cm" },
]
from = "20 degC"
surface = "18..28 W/(m2 K)"
stages = [
  { lasts = "3 min", air = "40 degC", to = "oven", surface = { speed = "3 m/s", along = "0.6 m" } },
  { length = "3 m", air = "oven", surface = { held = true } },
  { name = "rest", air = "60 degF", surface = { still = true, upright = true, along = "0.4 m" } },
]
needs = [
  { cure = { at = "190 degC", energy = "82 kJ/mol" }, at_least = "10 min", at_most = "26 min" },
  { lethality = { at = "70 degC", z = "7.5 degC" }, at_least = "2 min", where = "mean", screening = true, source = "invented" },
  { growth = { least = "-1.2 degC", at = "8 degC", tenfold = "19 h" }, at_most = 1, source = "invented" },
  { exposure = { below = "5 degC" }, at_least = "1 h", where = "air", source = "invented" },
]
needed = "06:00"
numbers = "computed"
"#,
    );
    assert_eq!(heat.bodies.len(), 4);
    let Some(BodyUnit::Mass(mass)) = &heat.bodies[1].unit else {
        panic!("a mass")
    };
    near(mass.mean(), 0.2);
    assert!(
        matches!(&heat.bodies[2].form, BodyForm::Slab { layers, thin: true } if layers.len() == 2)
    );
    assert!(matches!(&heat.bodies[2].cover, Some(Cover::Layers(layers)) if layers.len() == 1));
    let [first, second, third] = heat.stages.as_slice() else {
        panic!("three stages")
    };
    assert!(matches!(&first.lasts, Lasts::Stated(time) if (time.mean() - 180.0).abs() < 1e-12));
    assert!(matches!(first.to, Some(Level::Setting(0, _))));
    assert!(matches!(&second.lasts, Lasts::Along(length) if (length.mean() - 3.0).abs() < 1e-12));
    assert!(matches!(second.surface, Surface::Held(_)));
    assert!(matches!(third.lasts, Lasts::Rest));
    assert!(matches!(
        third.surface,
        Surface::Still { upright: true, .. }
    ));
    let [cure, kill, growth, cold] = heat.needs.as_slice() else {
        panic!("four needs")
    };
    let Measure::Cure { energy, .. } = &cure.measure else {
        panic!("a cure")
    };
    near(energy.mean(), 82e3);
    near(cure.limits.at_most.as_ref().unwrap().mean(), 1560.0);
    let Measure::Lethality { z, .. } = &kill.measure else {
        panic!("lethality")
    };
    // z is a difference.
    near(z.mean(), 7.5);
    assert!(kill.screening && kill.place == Place::Mean);
    // Growth is screening whether that is said or not.
    assert!(growth.screening && !cold.screening);
    near(growth.limits.at_most.as_ref().unwrap().mean(), 1.0);
    assert!(matches!(cold.measure, Measure::TimeBelow(_)) && cold.place == Place::Air);
    assert_eq!(heat.needed.unwrap().0.to_string(), "06:00:00");
    assert_eq!(heat.numbers, Numbers::Computed);
}

#[test]
fn the_dwell_is_that_of_the_pace() {
    let works = works(
        r#"
[[operation]]
name = "dry"
at = "oven"
pace = { rate = "10 dozen/min", through = "9 min" }

[[operation]]
name = "count"
at = "oven"
pace = "9 s"

--- routes/band.toml
[route]
makes = "band"
unit = "m"

[[operation]]
name = "dry"
at = "oven"
takes = { bar = "1 pair" }
pace = "2.4 m/min"
"#,
    );
    let dwells: Vec<Option<f64>> = works
        .operations
        .iter()
        .map(|operation| works.dwell_of(operation).map(|dwell| dwell.mean()))
        .collect();
    // Files are read in order of name, the band first: 12 m of conveyor at 2.4 m/min are 5 min.
    let expected = [Some(300.0), Some(1200.0), Some(540.0), None];
    assert_eq!(dwells.len(), expected.len());
    for (found, expected) in dwells.iter().zip(expected) {
        assert_eq!(found.is_some(), expected.is_some());
        near(found.unwrap_or(0.0), expected.unwrap_or(0.0));
    }
}

#[test]
fn salt_by_dose_and_by_surface() {
    let taken = operation(
        r#"
[operation.salt]
thick = "22 mm"
diffusivity = "19 mm2/d"
item = "brine"
uptake = "80 %"
equalise = "1 d"
water = "68 %"
first = "0.2 %"
needs = [{ at_least = "3.5 %", source = "a" }, { of = "piece", at_most = "4 %", where = "mean", source = "b" }]
"#,
    );
    let salt = taken.salt.as_ref().unwrap();
    near(salt.diffusivity.mean(), 19e-6 / 86_400.0);
    assert!(matches!(&salt.dose, Dose::Taken { uptake: Some(uptake), .. } if uptake.mean() == 0.8));
    assert!(salt.contact.is_none());
    near(salt.equalise.as_ref().unwrap().mean(), 86_400.0);
    let [core, mean] = salt.needs.as_slice() else {
        panic!("two needs")
    };
    assert_eq!((core.of, core.place), (SaltShare::Water, Place::Core));
    assert_eq!((mean.of, mean.place), (SaltShare::Piece, Place::Mean));
    near(core.limits.at_least.as_ref().unwrap().mean(), 0.035);
    let held = operation(
        r#"salt = { thick = "22 mm", faces = "one", diffusivity = "2.2e-10 m2/s", surface = "20 %", contact = "44 h", water = "68 %", needs = [{ at_least = "3.5 %", source = "a" }] }"#,
    );
    let salt = held.salt.as_ref().unwrap();
    assert!(matches!(&salt.dose, Dose::Surface(share) if share.mean() == 0.2));
    assert_eq!(salt.faces, Faces::One);
}

#[test]
fn drying_with_weighed_pieces() {
    let works = works(
        r#"drying = { until = "9.5 %", logs = ["kiln.csv"], air = "oven", humidity = "damp", pressure = "99 kPa" }
--- readings/weighed/kiln.csv
time (h),piece,weight (g)
0,a,352
0,b,318
1.5,a,340
2 h,b,0.3 kg
"#,
    );
    let drying = works.operations[0].drying.as_ref().unwrap();
    near(drying.until.mean(), 0.095);
    assert!(matches!(
        &drying.damp,
        Some(Damp::Humidity(Level::Setting(1, _)))
    ));
    near(drying.pressure.as_ref().unwrap().mean(), 99e3);
    let weighing = works.weighing(drying.logs[0].0);
    let [a, b] = weighing.pieces.as_slice() else {
        panic!("two pieces")
    };
    assert_eq!((a.name.as_str(), a.weights.len()), ("a", 2));
    near(a.weights[1].0, 5400.0);
    near(a.weights[1].1, 0.34);
    near(b.weights[1].0, 7200.0);
    near(b.weights[1].1, 0.3);
}

#[test]
fn a_moulded_part() {
    let operation = operation(
        r#"mould = { wall = "2 mm", diffusivity = "0.09 mm2/s", melt = "oven", mould = "75 degC", eject = "120 degC", where = "core", area = "46 cm2", pressure = "45 MPa", cavities = 16, fill = "1.2 s", pack = "3 s", open = "4.5 s", residence = "2..8 min" }"#,
    );
    let mould = operation.mould.as_ref().unwrap();
    assert!(
        matches!(&mould.conducts, Conducts::Diffusivity(d) if (d.mean() - 0.09e-6).abs() < 1e-20)
    );
    near(mould.melt.aim(&operation).mean(), 463.15);
    assert_eq!((mould.place, mould.cavities), (Place::Core, Some(16)));
    near(mould.area.as_ref().unwrap().mean(), 46e-4);
    near(mould.residence.as_ref().unwrap().spread.high(), 480.0);
    assert_eq!(mould.numbers, Numbers::Stated);
}

#[test]
fn solvent_by_volume_and_by_share() {
    let stated = operation(
        r#"solvent = { amount = "12 mL", density = "870 kg/m3", molar_mass = "106 g/mol", lower_limit = "1.0 %", over = "8 min", air = "oven", source = "sheet" }"#,
    );
    let solvent = stated.solvent.as_ref().unwrap();
    // 12 mL a dozen are 1 mL each.
    assert!(matches!(&solvent.liquid, Liquid::Volume(v) if (v.mean() - 1e-6).abs() < 1e-18));
    near(solvent.molar_mass.mean(), 0.106);
    near(solvent.lower_limit.mean(), 0.01);
    assert!(solvent.fresh_air.is_none() && solvent.at_most.is_none());
    let taken = operation(
        r#"solvent = { item = "brine", share = "45 %", molar_mass = "106 g/mol", lower_limit = "1.0 %", fresh_air = "900 m3/h", source = "sheet" }"#,
    );
    let solvent = taken.solvent.as_ref().unwrap();
    assert!(
        matches!(&solvent.liquid, Liquid::Taken { share: Some(share), .. } if share.mean() == 0.45)
    );
}

fn log(csv: &str) -> ProbeLog {
    let works = works(&format!("--- readings/logs/a.csv\n{csv}"));
    works.logs[0].clone()
}

#[test]
fn a_log_with_places_and_units() {
    let log = log(
        "time (min);top (degF);core (left);air\nplace;surface;core;air\n0;68;20.5;190 degC\n0.25;69.8;20.75;463.15 K\n",
    );
    let names: Vec<&str> = log.probes.iter().map(|p| p.name.as_str()).collect();
    // `(left)` is no unit and stays part of the name.
    assert_eq!(names, ["top", "core (left)", "air"]);
    let places: Vec<Option<Place>> = log.probes.iter().map(|p| p.place).collect();
    assert_eq!(
        places,
        [Some(Place::Surface), Some(Place::Core), Some(Place::Air)]
    );
    near(log.times_s()[1], 15.0);
    // 69.8 degF are (69.8 - 32) / 1.8 = 21 degC.
    near(log.value_k(1, 0).unwrap(), 294.15);
    near(log.value_k(1, 1).unwrap(), 293.9);
    near(log.value_k(0, 2).unwrap(), 463.15);
    near(log.value_k(1, 2).unwrap(), 463.15);
    assert_eq!((log.line(0), log.line(1)), (3, 4));
    assert!(log.starts.is_none());
}

#[test]
fn times_of_a_log_are_irregular_and_pass_midnight() {
    let log = log("time,a\n23:59:30,20\n23:59:58.5,21\n00:00:30,22\n");
    near(log.times_s()[1], 28.5);
    near(log.times_s()[2], 60.0);
    let log = self::log("time,a\n2026-11-09 07:42:00,20\n2026-11-10T07:42:30,21\n");
    near(log.times_s()[1], 86_430.0);
    assert_eq!(log.starts.unwrap().to_string(), "2026-11-09T07:42:00");
}

#[test]
fn gaps_are_bridged_and_told() {
    let csv = "time,a,b\n0,20,30\n10,,31\n20,22,\n30,OL,-999\n40,24,34\n";
    let files = Files::new()
        .with(
            "works.toml",
            HEAD.split("--- routes")
                .next()
                .unwrap()
                .replace("--- works.toml", ""),
        )
        .with("readings/logs/a.csv", csv);
    let outcome = works::read(&files);
    let codes: Vec<&str> = outcome.diagnostics.iter().map(|d| d.code).collect();
    assert_eq!(codes, ["log-gaps", "log-gaps"]);
    assert!(
        outcome.diagnostics[0]
            .headline
            .ends_with("in 2 rows: lines 3, 5"),
        "{}",
        outcome.diagnostics[0].headline
    );
    let log = &outcome.works.unwrap().logs[0];
    let a: Vec<(f64, f64)> = log.readings(0).collect();
    assert_eq!(a, [(0.0, 293.15), (20.0, 295.15), (40.0, 297.15)]);
}

/// The example's load: six probes, 28 minutes at four readings a minute.
#[test]
fn the_load_of_the_example() {
    let works = works::read(&crate::folder::fenmoor()).works.unwrap();
    let log = &works.logs[0];
    assert_eq!((log.probes.len(), log.times_s().len()), (6, 113));
    let cure = works.operations.iter().find(|o| o.name == "cure").unwrap();
    assert_eq!(cure.heat.as_ref().unwrap().logs.len(), 1);
    // The mean of a probe in the last minutes before the load comes out.
    let mean = |probe: usize| {
        let late = log
            .readings(probe)
            .filter(|(t, _)| (900.0..1300.0).contains(t));
        let values: Vec<f64> = late.map(|(_, k)| k).collect();
        values.iter().sum::<f64>() / values.len() as f64
    };
    let low = (mean(2) + mean(3) + mean(4)) / 3.0 - mean(5);
    // Its air is 6 K colder than the middle of the oven, that of the others 0.4 K hotter on average.
    assert!((low - 6.4).abs() < 0.3, "sheet 4 runs {low} K low");
}
