//! A sheet in an oven, lumped: T = Ta - (Ta - T0) e^(-t/tau) with tau = rho c d / 2h.

use super::{codes, near, only, oven, plan_of, read};

/// tau of a thickness in m, one face area heated from both sides: 8000 * 500 * d / (2 h).
fn tau(thick: f64, h: f64) -> f64 {
    8000.0 * 500.0 * thick / (2.0 * h)
}

/// Time from a temperature to another in air, degC.
fn warm_up(tau: f64, from: f64, to: f64, air: f64) -> f64 {
    tau * ((air - from) / (air - to)).ln()
}

/// Lumped is off by Biot/3 of a time constant at most: h d/2 / k / 3 = 20 * 1e-3 / 60 / 3 = 1e-4; and the limits of
/// temperatures are held to 0.01 K.
const CLOSE: f64 = 1e-3;

const HEAT: &str = r#"[operation.heat]
body = { form = "sheet", of = "plain steel", thick = "1..2 mm" }
from = "20 degC"
air = "air"
surface = "20 W/(m2 K)"
needs = [{ reach = "180 degC", hold = "5 min" }, { exposure = { above = "150 degC" }, at_most = "20 min", where = "surface", source = "test" }]"#;

fn pace(minutes: f64) -> String {
    format!(r#"{{ holds = "10 each", dwell = "{minutes} min" }}"#)
}

#[test]
fn the_window_is_that_of_the_slowest_and_the_fastest_piece() {
    let plan = plan_of(&read(&oven("", &pace(20.0), HEAT)));
    let found = only(&plan);
    assert!(found.does_its_job(), "{:#?}", found.needs);
    // Slowest: 2 mm in air of 190; fastest: 1 mm in air of 210.
    let shortest = warm_up(tau(2e-3, 20.0), 20.0, 180.0, 190.0) + 300.0;
    let longest = warm_up(tau(1e-3, 20.0), 20.0, 150.0, 210.0) + 1200.0;
    near(found.window.shortest_s.expect("there").0, shortest, CLOSE);
    near(found.window.longest_s.expect("there").0, longest, CLOSE);
    assert_eq!(found.window.shortest_by, Some((0, 0)));
    assert_eq!(found.window.longest_by, Some((1, 1)));
    // 20 min inside: the slowest is hot for what is left after its warm-up.
    near(
        found.needs[0].values[0].0,
        1200.0 - (shortest - 300.0),
        CLOSE,
    );
    near(found.needs[0].met_after_s.expect("there"), shortest, CLOSE);
    // Margin of the dwell: 20 min less the shortest, and the longest less 20 min.
    let margin = plan
        .figures
        .get("bake (part) heat margin")
        .expect("a figure");
    near(
        plan.ledger.value(margin.node),
        (1200.0 - shortest).min(longest - 1200.0),
        3e-3,
    );
    assert_eq!(codes(&plan), Vec::<&str>::new());
}

#[test]
fn a_dwell_too_short_is_told_with_the_window() {
    let plan = plan_of(&read(&oven("", &pace(12.0), HEAT)));
    assert_eq!(codes(&plan), ["need-missed"]);
    let found = only(&plan);
    assert!(!found.needs[0].met && found.needs[1].met);
    // Warm-up of the slowest: 100 s * 2 * ln 17 = 566.6 s; 720 - 566.6 = 153.4 s of 300.
    near(
        found.needs[0].values[0].0,
        720.0 - warm_up(200.0, 20.0, 180.0, 190.0),
        CLOSE,
    );
    near(found.needs[0].margin, 720.0 - 566.643 - 300.0, 5e-3);
    assert!(
        plan.notices[0]
            .help
            .as_ref()
            .expect("there")
            .contains("12 min is stated")
    );
}

#[test]
fn a_dwell_just_long_enough_is_thin() {
    // Shortest 866.6 s = 14.44 min; 14.7 min leaves 15 s of 882.
    let plan = plan_of(&read(&oven("", &pace(14.7), HEAT)));
    assert_eq!(codes(&plan), ["thin-margin"]);
}

#[test]
fn a_computed_dwell_replaces_the_stated_one_in_the_load() {
    let heat = format!("{HEAT}\nnumbers = \"computed\"");
    let works = read(&oven("", &pace(20.0), &heat));
    let plan = plan_of(&works);
    let computed = plan
        .computed
        .iter()
        .find(|one| one.name.ends_with("time inside"));
    let computed = computed.expect("a dwell");
    assert!(computed.used);
    near(computed.computed, 866.643, CLOSE);
    // 40 parts in 4 loads of 866.6 s.
    let station = &plan.load.stations[0];
    let hours = plan.figures.get("oven utilisation").is_some();
    assert!(hours, "{station:?}");
    let stated = plan_of(&read(&oven("", &pace(20.0), HEAT)));
    let at = |plan: &planning::Plan| {
        plan.ledger
            .value(plan.figures.get("oven utilisation").expect("a figure").node)
    };
    near(at(&plan) / at(&stated), 866.643 / 1200.0, 2e-3);
}

#[test]
fn pieces_too_unlike_are_not_together() {
    // Each can by itself: the slowest from 600 ln 17 + 300 = 2000 s to 600 ln 4.25 + 1200 = 2068 s, the fastest to 1258 s.
    let heat = HEAT.replace("1..2 mm", "0.5..6 mm");
    let plan = plan_of(&read(&oven("", &pace(20.0), &heat)));
    let found = only(&plan);
    assert!(found.window.shortest_s.is_none());
    assert!(
        found.window.sentence.starts_with("not together"),
        "{}",
        found.window.sentence
    );
    assert!(found.map.iter().all(|row| !row.together));
}

/// A conveyor of 12 m at 1 m/min: 12 min inside; zones of 4 and 8 m.
#[test]
fn a_conveyor_is_told_in_speeds() {
    let heat = HEAT
        .replace("1..2 mm", "1 mm")
        .replace("air = \"air\"\n", "air = \"200 degC\"\n");
    let pace = r#"{ rate = "2 each/min", through = "12 min" }"#;
    let plan = plan_of(&read(&oven(r#"heat = { conveyor = "12 m" }"#, pace, &heat)));
    let found = only(&plan);
    let speed = found.speed.as_ref().expect("a conveyor");
    let tau = tau(1e-3, 20.0);
    let shortest = warm_up(tau, 20.0, 180.0, 200.0) + 300.0;
    let longest = warm_up(tau, 20.0, 150.0, 200.0) + 1200.0;
    near(speed.fastest_m_s.expect("there"), 12.0 / shortest, CLOSE);
    near(speed.slowest_m_s.expect("there"), 12.0 / longest, CLOSE);
    near(speed.stated_m_s, 12.0 / 720.0, 1e-12);
    assert_eq!(found.pieces.len(), 1);
}

#[test]
fn zones_along_a_conveyor_scale_with_its_speed() {
    let heat = r#"[operation.heat]
body = { form = "sheet", of = "plain steel", thick = "1 mm" }
from = "20 degC"
surface = "20 W/(m2 K)"
stages = [{ length = "4 m", air = "150 degC" }, { length = "8 m", air = "200 degC" }]
needs = [{ reach = "185 degC" }]"#;
    let pace = r#"{ rate = "2 each/min", through = "12 min" }"#;
    let text = oven(r#"heat = { conveyor = "12 m" }"#, pace, heat);
    let plan = plan_of(&read(&text));
    let found = only(&plan);
    // With x = e^(-t/3 tau): after a third at 150, 20 + 130 (1 - x); then two thirds at 200: 15 = (50 + 130 x) x².
    let mut low = 0.0;
    let mut high: f64 = 1.0;
    for _ in 0..80 {
        let x: f64 = 0.5 * (low + high);
        if (50.0 + 130.0 * x) * x * x < 15.0 {
            low = x;
        } else {
            high = x;
        }
    }
    let dwell = -3.0 * tau(1e-3, 20.0) * low.ln();
    near(found.window.shortest_s.expect("there").0, dwell, CLOSE);
    near(
        found
            .speed
            .as_ref()
            .expect("there")
            .fastest_m_s
            .expect("there"),
        12.0 / dwell,
        CLOSE,
    );
}

#[test]
fn bad_physics_gets_a_fault_with_its_place() {
    let cases = [
        (
            HEAT.replace("plain steel", "plain stele"),
            "unknown-material",
        ),
        (
            HEAT.replace(
                "surface = \"20 W/(m2 K)\"",
                "surface = { speed = \"2 m/s\" }",
            ),
            "heat-unclear",
        ),
    ];
    for (heat, code) in cases {
        let plan = plan_of(&read(&oven("", &pace(20.0), &heat)));
        assert_eq!(codes(&plan), [code]);
        assert!(plan.cannot_be_done());
    }
    let unknown = HEAT.replace("plain steel", "plain stele");
    let plan = plan_of(&read(&oven("", &pace(20.0), &unknown)));
    let help = plan.notices[0].help.clone().expect("a repair");
    assert!(help.contains("plain steel"), "{help}");
}

#[test]
fn a_piece_that_is_heated_and_then_cooled_is_followed_at_both_ends_of_its_temperatures() {
    let heat = r#"[operation.heat]
body = { form = "sheet", of = "plain steel", thick = "2 mm" }
from = "10..30 degC"
surface = "20 W/(m2 K)"
stages = [{ lasts = "10 min", air = "air" }, { air = "15 degC" }]
needs = [{ exposure = { above = "150 degC" }, at_least = "2 min", where = "surface", source = "test" }, { ends_below = "60 degC" }]"#;
    let plan = plan_of(&read(&oven("", &pace(60.0), heat)));
    let found = only(&plan);
    let names: Vec<&str> = found.pieces.iter().map(|p| p.name.as_str()).collect();
    assert_eq!(names, ["hottest", "coldest"]);
    // The air of the setting is 200 degC within 10: the coldest goes in at 10 and meets 190, though the longest stage
    // cools. Above 150 from there to the end of the stage, and until the cold air has taken it down again.
    let tau = tau(2e-3, 20.0);
    let above = |from: f64, air: f64| {
        let peak = air - (air - from) * (-600.0 / tau).exp();
        600.0 - warm_up(tau, from, 150.0, air) + warm_up(tau, peak, 150.0, 15.0)
    };
    near(found.needs[0].values[1].0, above(10.0, 190.0), CLOSE);
    near(found.needs[0].values[0].0, above(30.0, 210.0), CLOSE);
    assert_eq!(found.needs[0].worst, 1);
}

#[test]
fn needs_that_contradict_in_one_piece_are_named() {
    let heat = HEAT.replace("1..2 mm", "1 mm").replace(
        r#"needs = [{ reach = "180 degC", hold = "5 min" }, "#,
        r#"needs = [{ reach = "180 degC" }, { never_above = "170 degC" }, "#,
    );
    let plan = plan_of(&read(&oven("", &pace(20.0), &heat)));
    let sentence = &only(&plan).window.sentence;
    assert!(
        sentence.contains("by itself, \u{201c}core reaches 180 degC\u{201d} and \u{201c}surface never hotter than 170 degC\u{201d}"),
        "{sentence}"
    );
}

#[test]
fn a_belt_of_another_speed_hands_on_in_proportion() {
    // Two parts lie on each metre: at half the speed each takes twice as long.
    let heat = HEAT
        .replace("1..2 mm", "1 mm")
        .replace("air = \"air\"\n", "air = \"200 degC\"\n")
        + "\nnumbers = \"computed\"";
    let pace = r#"{ rate = "2 each/min", through = "4 min" }"#;
    let plan = plan_of(&read(&oven(r#"heat = { conveyor = "12 m" }"#, pace, &heat)));
    let shortest = warm_up(tau(1e-3, 20.0), 20.0, 180.0, 200.0) + 300.0;
    let one = plan
        .computed
        .iter()
        .find(|one| one.name.contains("time for one"))
        .expect("a pace");
    near(one.computed, 30.0 * shortest / 240.0, CLOSE);
}

#[test]
fn a_material_beyond_the_range_of_its_numbers_is_told() {
    let heat = HEAT
        .replace("plain steel", "pe-hd")
        .replace("180 degC", "90 degC");
    let plan = plan_of(&read(&oven("", &pace(20.0), &heat)));
    let cautions = &only(&plan).cautions;
    assert!(
        cautions
            .iter()
            .any(|caution| caution.starts_with("pe-hd: its numbers are for -20 degC to 60 degC")),
        "{cautions:#?}"
    );
    let plan = plan_of(&read(&oven("", &pace(20.0), HEAT)));
    assert_eq!(only(&plan).cautions.len(), 1);
}

#[test]
fn a_load_whose_probes_were_swapped_is_held() {
    let heat = HEAT.replace("1..2 mm", "1 mm") + "\nlogs = [\"a.csv\"]";
    let log = |places: &str| {
        let mut rows = Vec::new();
        for minute in 0..=20 {
            let at = 60.0 * f64::from(minute);
            let sheet = 200.0 - 180.0 * (-at / tau(1e-3, 20.0)).exp();
            rows.push(format!("{at},200,{sheet:.1},{sheet:.1}\n"));
        }
        let rows = rows.concat();
        let text = oven("", &pace(20.0), &heat);
        format!("{text}--- readings/logs/a.csv\ntime,a,b,c\nplace,{places}\n{rows}")
    };
    let held = |places: &str| {
        let plan = plan_of(&read(&log(places)));
        only(&plan).logs[0].clone()
    };
    let right = held("air,core,surface");
    assert!(
        right
            .reasons
            .iter()
            .all(|reason| !reason.contains("begins"))
    );
    let swapped = held("core,air,surface");
    assert!(!swapped.passes);
    assert!(
        swapped
            .reasons
            .iter()
            .any(|reason| reason
                .starts_with("a begins at 200 degC, where a piece comes in at 20 degC")),
        "{:#?}",
        swapped.reasons
    );
}
