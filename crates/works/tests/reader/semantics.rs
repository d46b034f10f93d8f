//! What the format means: each number as it is written, and what it must come to in base units, with
//! the arithmetic beside it.

use crate::support::case;
use jiff::civil::date;
use rust_xlsxwriter::{Format, Workbook};
use works::{
    CheckEvery, Feed, Files, Item, Operation, Pace, Reading, ReadingOf, RejectTo, Stated, ToolLife,
    Works,
};

const HEAD: &str = r#"
[works]
name = "Tiny"
time_zone = "Europe/London"
currency = "GBP"
counts = ["plank"]

[plan]
from = "2026-11-30"
until = 2026-12-31
certainty = "97.5 %"
quantities = ["2,000", "1e4"]
overhead = "150 %"
energy = "0.36 GBP/kWh"
numbers = "measured"

[calendar.days]
work = ["Mon..Fri 06:00-14:00"]
breaks = ["daily 09:30-09:50"]

[crew.hands]
people = 3
calendar = "days"
skills = ["sawing", "testing"]
cost = "18 GBP/h"

[station.saw]
count = 2
calendar = "days"
people = { sawing = 0.5 }
cost = "36 GBP/h"
power = "5.5 kW"
stops = { run = "20 h", repair = "30 min" }
changeover = [{ on = "colour", from = "black", time = "25 min", uses = { thinner = "0.8 L" } }]
mixes_only = ["oven recipe"]

[station."band saw"]
calendar = "days"

[item.plank]
unit = "plank"
mass = "24 kg"
buy = { price = "18 GBP", pack = "36 plank", lead = "12 d", breaks = [{ from = "720 plank", price = "16 GBP/plank" }, { from = "360 plank", price = "17 GBP" }] }

[item.thinner]
unit = "L"
buy = { price = "4 GBP" }

[item.screw]
unit = "dozen"
mass = "24 g"
buy = { price = "3 GBP" }

[item.strip]
unit = "ft"
mass = "0.9 kg/m"
buy = { price = "2 GBP" }

[item.offcut]
unit = "kg"
worth = "-50 GBP/t"
"#;

/// The works of a route, read without a complaint.
fn works(rest: &str) -> Works {
    let text = format!("{HEAD}{rest}");
    clean(&case(text.as_bytes(), b"").files)
}

fn clean(files: &Files) -> Works {
    let outcome = works::read(files);
    let told: Vec<String> = outcome
        .diagnostics
        .iter()
        .map(|d| format!("{}: {}", d.code, d.headline))
        .collect();
    assert!(told.is_empty(), "{told:#?}");
    outcome.works.expect("there is a works.toml")
}

fn operation<'w>(works: &'w Works, name: &str) -> &'w Operation {
    works
        .operations
        .iter()
        .find(|o| o.name == name)
        .expect("the operation is in the text")
}

fn item<'w>(works: &'w Works, name: &str) -> &'w Item {
    works
        .items
        .iter()
        .find(|i| i.name == name)
        .expect("the item is in the text")
}

/// Mean base units of an item that one base unit of an operation's output takes.
fn taken(works: &Works, operation: &Operation, name: &str) -> f64 {
    let take = operation
        .takes
        .iter()
        .find(|t| works.item(t.item).name == name);
    take.expect("the item is taken").amount.mean()
}

fn fed<'w>(works: &'w Works, operation: &'w Operation, from: &str) -> &'w Feed {
    let feed = operation
        .feeds
        .iter()
        .find(|f| works.operation(f.from).name == from);
    feed.expect("the operation feeds it")
}

/// Names of the operations that feed one.
fn feeders<'w>(works: &'w Works, name: &str) -> Vec<&'w str> {
    let feeds = &operation(works, name).feeds;
    feeds
        .iter()
        .map(|f| works.operation(f.from).name.as_str())
        .collect()
}

#[track_caller]
fn near(found: f64, worked: f64) {
    assert!(
        (found - worked).abs() <= 1e-9 * worked.abs().max(1e-12),
        "{found} is not {worked}"
    );
}

#[track_caller]
fn each_s(operation: &Operation, worked: f64) {
    let Pace::Each(stated) = &operation.pace else {
        panic!("{:?}", operation.pace)
    };
    near(stated.mean(), worked);
}

/// Checks a flow, and gives the time to pass through.
#[track_caller]
fn flow(operation: &Operation, per_s: f64) -> Option<f64> {
    let Pace::Flow { rate, through } = &operation.pace else {
        panic!("{:?}", operation.pace)
    };
    near(rate.mean(), per_s);
    through.as_ref().map(Stated::mean)
}

const BLOCK: &str = r#"--- routes/block.toml
[route]
makes = "block"
unit = "each"
mass = "0.5 kg"

[[operation]]
name = "cut"
at = "saw"
"#;

/// The one operation `cut` of a block, from its further keys.
fn cut(keys: &str) -> Works {
    works(&format!("{BLOCK}{keys}\n"))
}

#[test]
fn prices_and_masses_plain_or_per_unit() {
    let works = works("");
    let price = |name| {
        item(&works, name)
            .buy
            .as_ref()
            .expect("it is bought")
            .price
            .mean()
    };
    near(price("plank"), 18.0); // 18 £ for one plank
    near(price("screw"), 0.25); // 3 £ for a dozen: 3 / 12 each
    near(price("strip"), 2.0 / 0.3048); // 2 £ for a foot of 0.3048 m
    near(price("thinner"), 4000.0); // 4 £ for a litre: 4,000 £/m³
    near(
        item(&works, "screw")
            .kg_per_unit()
            .expect("a mass is written"),
        0.002,
    ); // 24 g / 12
    near(
        item(&works, "strip")
            .kg_per_unit()
            .expect("a mass is written"),
        0.9,
    ); // said per metre
    near(
        item(&works, "offcut")
            .kg_per_unit()
            .expect("its unit is a mass"),
        1.0,
    );
    near(
        item(&works, "offcut")
            .worth
            .as_ref()
            .expect("a worth")
            .mean(),
        -0.05,
    ); // −50 £ / 1,000 kg
    let buy = item(&works, "plank").buy.as_ref().expect("it is bought");
    near(buy.lead.as_ref().expect("a lead").mean(), 12.0 * 86_400.0);
    let breaks: Vec<(f64, f64)> = buy
        .breaks
        .iter()
        .map(|b| (b.from.mean(), b.price.mean()))
        .collect();
    assert_eq!(breaks, [(360.0, 17.0), (720.0, 16.0)]); // in rising order, whatever the text has
}

#[test]
fn stations_crews_and_the_plan() {
    let works = works("");
    let saw = &works.stations[0];
    near(saw.cost.as_ref().expect("a cost").mean(), 0.01); // 36 £/h / 3,600 s
    near(saw.power.as_ref().expect("a power").mean(), 5500.0);
    // 20 h of running, then half an hour of repair: 20 / 20.5.
    near(
        saw.stops.as_ref().expect("stops").availability(),
        20.0 / 20.5,
    );
    assert_eq!((saw.count, saw.people[0].1), (2, 0.5));
    assert_eq!(saw.mixes_only, ["oven recipe"]);
    let changeover = &saw.changeovers[0];
    assert_eq!(
        (changeover.on.as_str(), changeover.from.as_deref()),
        ("colour", Some("black"))
    );
    near(changeover.time.mean(), 1500.0);
    near(changeover.uses[0].1.mean(), 0.0008); // 0.8 L in m³
    near(works.crews[0].cost.as_ref().expect("a cost").mean(), 0.005);
    // Five shifts of 8 h less 20 min: 5 × 27,600 s.
    near(
        works.calendar(saw.calendar).typical_week_seconds(),
        138_000.0,
    );
    let plan = &works.assumptions;
    assert_eq!(
        (plan.from, plan.until),
        (Some(date(2026, 11, 30)), Some(date(2026, 12, 31)))
    );
    assert_eq!(
        (plan.certainty, plan.prefer_measured, plan.seed),
        (0.975, true, 1)
    );
    assert_eq!(plan.quantities, [2000.0, 10_000.0]);
    near(plan.overhead.as_ref().expect("an overhead").mean(), 1.5);
    near(plan.energy.as_ref().expect("a price").mean(), 1e-7); // 0.36 £ / 3.6 MJ
}

#[test]
fn amounts_for_one_unit_made() {
    let works = cut(
        r#"takes = { plank = "0.1 plank", strip = "1 ft", screw = "1 dozen" }
also = { offcut = "400 g" }
pace = "9 s"
energy = "0.05 kWh""#,
    );
    let cut = operation(&works, "cut");
    near(taken(&works, cut, "plank"), 0.1);
    near(taken(&works, cut, "strip"), 0.3048);
    near(taken(&works, cut, "screw"), 12.0);
    near(cut.also[0].amount.mean(), 0.4);
    each_s(cut, 9.0);
    near(cut.energy.as_ref().expect("an energy").mean(), 180_000.0); // 0.05 × 3.6 MJ
}

#[test]
fn amounts_for_one_dozen_made() {
    let works = works(
        r#"--- routes/peg.toml
[route]
makes = "peg"
unit = "dozen"
mass = "0.6 kg"
lot = "50 dozen"

[[operation]]
name = "turn"
at = "saw"
takes = { strip = "1.2 m", screw = "0.5 each/each" }
also = { offcut = { amount = "3 kg", per = "5 dozen" } }
pace = "24 s"
energy = "0.12 kWh"
"#,
    );
    let turn = operation(&works, "turn");
    assert_eq!(
        (turn.output.unit.symbol(), turn.output.per_recipe),
        ("dozen", 12.0)
    );
    near(taken(&works, turn, "strip"), 0.1); // 1.2 m for 12
    near(taken(&works, turn, "screw"), 0.5); // said for one
    near(turn.also[0].amount.mean(), 0.05); // 3 kg for 60
    each_s(turn, 2.0); // 24 s for 12
    near(turn.energy.as_ref().expect("an energy").mean(), 36_000.0); // 432 kJ / 12
    near(item(&works, "peg").kg_per_unit().expect("a mass"), 0.05); // 0.6 kg / 12
    near(works.routes[0].lot.as_ref().expect("a lot").mean(), 600.0);
}

#[test]
fn amounts_for_a_recipe() {
    let works = cut(
        r#"takes = { plank = "1 plank", strip = "0.19 m/each", screw = { amount = "1 each", per = "4 each" } }
makes = { block = "9 each" }
also = { offcut = "1.8 kg" }
pace = "45..63 s""#,
    );
    let cut = operation(&works, "cut");
    near(cut.output.per_recipe, 9.0);
    near(taken(&works, cut, "plank"), 1.0 / 9.0); // a plank for nine
    near(taken(&works, cut, "strip"), 0.19); // said for one, recipe or not
    near(taken(&works, cut, "screw"), 0.25); // `per` takes the place of the recipe
    near(cut.also[0].amount.mean(), 0.2); // 1.8 kg for nine
    let Pace::Each(pace) = &cut.pace else {
        panic!("{:?}", cut.pace)
    };
    near(pace.spread.low(), 5.0); // 45 s for nine
    near(pace.spread.high(), 7.0);
}

#[test]
fn a_recipe_that_varies() {
    let works = cut(r#"takes = { plank = "1 plank" }
makes = { block = { mean = "10 each", each = "1.5 each", lots = "0.4 each", source = "saw sheets" } }
pace = "50 s""#);
    let output = &operation(&works, "cut").output;
    near(output.per_recipe, 10.0);
    near(output.within_cv, 0.15); // 1.5 / 10
    near(output.lots_cv, 0.04); // 0.4 / 10
    let stated = output.stated.as_ref().expect("it is written");
    assert_eq!(stated.source.as_deref(), Some("saw sheets"));
    each_s(operation(&works, "cut"), 5.0);
}

#[test]
fn a_share_of_what_is_measured_alike() {
    let works = works(
        r#"[item.fillet]
unit = "kg"
buy = { price = "9 GBP" }
--- routes/portion.toml
[route]
makes = "trimmed"
unit = "lb"

[[operation]]
name = "trim"
at = "saw"
takes = { fillet = "1.25 kg/kg" }
also = { offcut = "4 %" }
keeps = { mean = "108 %", lots = "2 %" }
pace = "36 kg/h"
"#,
    );
    let trim = operation(&works, "trim");
    near(taken(&works, trim, "fillet"), 1.25);
    near(trim.also[0].amount.mean(), 0.04);
    near(trim.keeps.mean, 1.08); // a fillet may take up brine
    near(trim.keeps.lots_sd, 0.02);
    assert_eq!(flow(trim, 0.01), None); // 36 kg / 3,600 s
}

#[test]
fn sources_stand_with_their_numbers() {
    let works = cut(
        r#"takes = { plank = { amount = "0.1 plank", source = "drawing 7" }, strip = { value = "1 ft", source = "rule of thumb" } }
pace = { value = "9 s +- 1 s", source = "time study" }
good = { mean = "97 %", lots = "1 %", source = "lot records" }"#,
    );
    let cut = operation(&works, "cut");
    let source = |stated: &Stated| stated.source.clone().unwrap_or_default();
    assert_eq!(source(&cut.takes[0].stated), "drawing 7");
    assert_eq!(source(&cut.takes[1].stated), "rule of thumb");
    assert_eq!(
        source(cut.good.stated.as_ref().expect("it is written")),
        "lot records"
    );
    let Pace::Each(pace) = &cut.pace else {
        panic!("{:?}", cut.pace)
    };
    assert_eq!(source(pace), "time study");
    near(pace.spread.sd(), 1.0);
}

#[test]
fn a_yield_may_be_written_as_a_spread() {
    let works = cut("takes = { plank = \"0.1 plank\" }\npace = \"9 s\"\ngood = \"94..98 %\"");
    let good = &operation(&works, "cut").good;
    near(good.mean, 0.96);
    near(good.lots_sd, 0.04 / 12.0_f64.sqrt()); // uniform over 4 points
}

#[test]
fn paces_of_every_form() {
    let pace = |pace: &str| cut(&format!("takes = {{ strip = \"0.2 m\" }}\npace = {pace}"));
    each_s(operation(&pace(r#""9 s""#), "cut"), 9.0);
    each_s(operation(&pace(r#""1.5 min/dozen""#), "cut"), 7.5); // 90 s / 12
    each_s(operation(&pace(r#""10 s/m""#), "cut"), 2.0); // 10 s for a metre of input, 0.2 m each
    each_s(operation(&pace(r#""20 min/kg""#), "cut"), 600.0); // 1,200 s/kg × 0.5 kg
    flow(operation(&pace(r#""12 each/min""#), "cut"), 0.2);
    flow(operation(&pace(r#""12 m/min""#), "cut"), 1.0); // 0.2 m/s at 0.2 m each
    flow(operation(&pace(r#""1.8 t/h""#), "cut"), 1.0); // 0.5 kg/s at 0.5 kg each
}

#[test]
fn conveyors_by_time_and_by_length() {
    let pace = |pace: &str| cut(&format!("takes = {{ strip = \"0.2 m\" }}\npace = {pace}"));
    let by_time = pace(r#"{ rate = "6 each/min", through = "9 min" }"#);
    assert_eq!(flow(operation(&by_time, "cut"), 0.1), Some(540.0));
    let by_length = pace(r#"{ rate = "2 m/min", through = "18 m" }"#);
    // 18 m at 2 m/min are 9 min; 2 m/min of 0.2 m each are 10 a minute.
    let through = flow(operation(&by_length, "cut"), 1.0 / 6.0);
    near(through.expect("a length is written"), 540.0);
}

#[test]
fn loads_by_count_and_by_mass() {
    let load = |holds: &str| {
        let keys = format!(
            "takes = {{ strip = \"0.2 m\" }}\npace = {{ holds = \"{holds}\", dwell = \"14 min\", turn = \"8 min\", at_least = \"50 %\", source = \"oven log\" }}"
        );
        let works = cut(&keys);
        let Pace::Load(load) = operation(&works, "cut").pace.clone() else {
            panic!("a load")
        };
        load
    };
    let plain = load("90 each");
    near(plain.holds.mean(), 90.0);
    near(plain.dwell.mean(), 840.0);
    near(plain.turn.as_ref().expect("a turn").mean(), 480.0);
    near(plain.at_least.as_ref().expect("a least share").mean(), 0.5);
    assert_eq!(plain.dwell.source.as_deref(), Some("oven log"));
    near(load("90 kg").holds.mean(), 180.0); // 90 kg of 0.5 kg each
    near(load("30 m").holds.mean(), 150.0); // 30 m of input at 0.2 m each
}

#[test]
fn stations_to_choose_from() {
    let works = cut(r#"takes = { plank = "0.1 plank" }
pace = "9 s""#);
    assert!(operation(&works, "cut").alternatives.is_empty());
    let text = BLOCK.replace(
        "at = \"saw\"",
        "at = [\"saw\", { station = \"band saw\", pace = \"12 s\" }]",
    );
    let works = self::works(&format!(
        "{text}takes = {{ plank = \"0.1 plank\" }}\npace = \"9 s\"\n"
    ));
    let cut = operation(&works, "cut");
    assert_eq!(works.station(cut.station.expect("a station")).name, "saw");
    let other = &cut.alternatives[0];
    assert_eq!(works.station(other.station).name, "band saw");
    let Some(Pace::Each(pace)) = &other.pace else {
        panic!("{:?}", other.pace)
    };
    near(pace.mean(), 12.0);
}

/// Two branches that join: cut → sand, and turn knob beside it.
const CABINET: &str = r#"--- routes/door.toml
[route]
makes = "door"
unit = "each"

[[operation]]
name = "rip"
at = "saw"
takes = { plank = "1 plank" }
makes = { stile = "4.8 m" }
pace = "40 s"

[[operation]]
name = "mark"
at = "saw"
pace = "3 s/m"

[[operation]]
name = "cut panels"
at = "saw"
makes = { panel = "3 each" }
pace = "12 s"

[[operation]]
name = "turn"
starts = true
at = "saw"
takes = { strip = "0.1 m" }
makes = { knob = "1 each" }
pace = "30 s"

[[operation]]
name = "join"
at = "saw"
takes = { panel = "2 each", knob = "1 each", screw = "4 each" }
makes = "raw door"
pace = "60 s"

[[operation]]
name = "oil"
at = "saw"
pace = "20 s"
"#;

#[test]
fn who_feeds_whom() {
    let works = works(CABINET);
    assert_eq!(feeders(&works, "rip"), [""; 0]);
    assert_eq!(feeders(&works, "mark"), ["rip"]);
    assert_eq!(feeders(&works, "cut panels"), ["mark"]);
    assert_eq!(feeders(&works, "turn"), [""; 0]); // it starts a branch
    assert_eq!(feeders(&works, "join"), ["cut panels", "turn"]);
    assert_eq!(feeders(&works, "oil"), ["join"]);
    let amount = |name, from| fed(&works, operation(&works, name), from).amount.mean();
    near(amount("mark", "rip"), 1.0); // a metre for a metre
    near(amount("cut panels", "mark"), 1.0 / 3.0); // one metre makes three panels
    near(amount("join", "cut panels"), 2.0);
    near(amount("join", "turn"), 1.0);
    near(amount("oil", "join"), 1.0);
    near(taken(&works, operation(&works, "join"), "screw"), 4.0);
    // What passes on: the name of `makes` until another one is made, the product at the end.
    let passes = |name| {
        works
            .item(operation(&works, name).output.item)
            .name
            .as_str()
    };
    assert_eq!((passes("rip"), passes("mark")), ("stile", "stile"));
    assert_eq!((passes("join"), passes("oil")), ("raw door", "door"));
    assert_eq!(operation(&works, "mark").output.unit.symbol(), "m");
}

#[test]
fn rejects_and_rework() {
    let works = cut(r#"takes = { plank = "0.05 plank" }
pace = "9 s"
good = "90 %"
rejects = [{ share = "50 %", rework = "mend" }, { share = "20 %", item = "offcut" }, { share = "10 %", item = "offcut", amount = "300 g" }]

[[operation]]
name = "mend"
off_line = true
then = "cut"
at = "saw"
pace = "60 s""#);
    let cut = operation(&works, "cut");
    let shares: Vec<f64> = cut.rejects.iter().map(|r| r.share).collect();
    assert_eq!(shares.len(), 4);
    near(shares[3], 0.2); // 100 − 50 − 20 − 10, which nobody claims: scrap
    assert_eq!(cut.rejects[3].to, RejectTo::Scrap);
    let RejectTo::Rework(to) = cut.rejects[0].to else {
        panic!("{:?}", cut.rejects[0])
    };
    let mend = works.operation(to);
    assert_eq!(mend.name, "mend");
    assert!(mend.off_line && mend.feeds.is_empty());
    assert_eq!(
        works.operation(mend.then.expect("`then` is written")).name,
        "cut"
    );
    assert_eq!(mend.output.unit.symbol(), "each"); // as the operation that it goes on to
    let become_kg = |n: usize| match cut.rejects[n].to {
        RejectTo::Item(_, amount) => amount,
        _ => panic!("{:?}", cut.rejects[n]),
    };
    near(become_kg(1), 0.5); // by mass: a block of 0.5 kg, the offcut counted in kg
    near(become_kg(2), 0.3);
    assert!(item(&works, "offcut").left_over_somewhere);
}

#[test]
fn an_entry_without_a_share_gets_the_rest() {
    let works = cut(
        "takes = { plank = \"0.1 plank\" }\npace = \"9 s\"\ngood = \"90 %\"\nrejects = [{ share = \"70 %\", rework = \"cut\" }, { item = \"offcut\" }]",
    );
    let rejects = &operation(&works, "cut").rejects;
    assert_eq!(rejects.len(), 2);
    near(rejects[1].share, 0.3);
}

#[test]
fn left_overs_used_up_and_taken_again() {
    let works = works(
        r#"[item.pellets]
unit = "kg"
buy = { price = "3 GBP" }
[item.sprue]
unit = "kg"
--- routes/clip.toml
[route]
makes = "clip"
unit = "each"
mass = "7 g"

[[operation]]
name = "mould"
at = "saw"
takes = { pellets = { amount = "1 kg", regrind = "regrind", at_most = "25 %" } }
makes = { clip = "100 each" }
also = { sprue = "0.3 kg" }
pace = "20 s"

[[operation]]
name = "grind"
uses_up = "sprue"
makes = "regrind"
at = "band saw"
pace = "36 kg/h"
keeps = "97 %"
"#,
    );
    let mould = operation(&works, "mould");
    near(taken(&works, mould, "pellets"), 0.01);
    let recovered = mould.takes[0]
        .recovered
        .as_ref()
        .expect("regrind is written");
    assert_eq!(works.item(recovered.item).name, "regrind");
    near(recovered.at_most.mean(), 0.25);
    near(mould.also[0].amount.mean(), 0.003); // 0.3 kg for a hundred
    let grind = operation(&works, "grind");
    assert_eq!(
        works
            .item(grind.uses_up.expect("`uses_up` is written"))
            .name,
        "sprue"
    );
    assert!(grind.feeds.is_empty());
    assert_eq!(grind.output.unit.symbol(), "kg"); // as what it uses up
    flow(grind, 0.01);
    // The clip is made by `mould`, although `grind` is written last.
    assert_eq!(works.item(mould.output.item).name, "clip");
}

#[test]
fn one_route_takes_what_another_makes() {
    // The route that comes later in order of files makes what the first one takes.
    let works = works(
        r#"--- routes/a.toml
[route]
makes = "set"
unit = "each"
[[operation]]
name = "bundle"
takes = { peg = "6 each" }
--- routes/b.toml
[route]
makes = "peg"
unit = "dozen"
[[operation]]
name = "turn"
takes = { strip = "1 m" }
"#,
    );
    near(taken(&works, operation(&works, "bundle"), "peg"), 6.0);
    assert_eq!(item(&works, "peg").unit.symbol(), "dozen");
}

#[test]
fn settings_checks_tools_and_tasks() {
    let works = cut(r#"takes = { plank = "0.1 plank" }
settings = { oven = { aim = "190 degC", within = "5 degC", critical = true }, speed = "2,900 rpm" }
checks = [
  { what = "oven", limit = "185..195 degC", every = "load" },
  { what = "depth", limit = "9 mm +- 0.1 mm", every = "20 each", sample = "5 each", time = "1 min", by = "testing" },
  { what = "pull", at_least = "18 N", every = "1 h", sample = 3, destroys = true, cost = "6 GBP" },
]
tools = [{ name = "blade", life = "2 h", change = "12 min", cost = "21 GBP" }, { name = "drill", life = "150 dozen" }]
tasks = [{ name = "fold", time = "9 s" }, { name = "press", time = "7 s", after = ["fold"] }]
wait = { at_least = "5 min", at_most = "40 min" }
setup = "20 min"
people = { sawing = 2 }"#);
    let cut = operation(&works, "cut");
    near(cut.settings[0].aim.mean(), 463.15); // 190 + 273.15
    near(cut.settings[0].within.as_ref().expect("within").mean(), 5.0); // a difference
    near(cut.settings[1].aim.mean(), 2900.0 / 60.0);
    assert!(cut.settings[0].critical && !cut.settings[1].critical);
    let limit = |n: usize| cut.checks[n].limit.as_ref().expect("a limit");
    near(limit(0).low.expect("low"), 458.15);
    near(limit(0).high.expect("high"), 468.15);
    near(limit(2).low.expect("low"), 18.0);
    assert_eq!((limit(2).high, cut.checks[2].sample), (None, 3.0));
    assert!(matches!(cut.checks[0].every, CheckEvery::Load));
    assert!(matches!(&cut.checks[1].every, CheckEvery::Amount(n) if n.mean() == 20.0));
    assert!(matches!(&cut.checks[2].every, CheckEvery::Time(t) if t.mean() == 3600.0));
    assert_eq!((cut.checks[0].sample, cut.checks[1].sample), (1.0, 5.0));
    assert_eq!(works.skill(cut.checks[1].by.expect("by")).name, "testing");
    assert!(matches!(&cut.tools[0].life, ToolLife::Time(t) if t.mean() == 7200.0));
    assert!(matches!(&cut.tools[1].life, ToolLife::Units(n) if n.mean() == 1800.0));
    assert_eq!(cut.tasks[1].after, [0]);
    near(cut.wait.at_most.as_ref().expect("at most").mean(), 2400.0);
    near(cut.setup.as_ref().expect("a set-up").mean(), 1200.0);
    assert_eq!(cut.people.as_ref().expect("people")[0].1, 2.0);
}

/// NIST SP 811 (2008), appendix B: 1 ft = 0.3048 m and 1 lb = 0.453 592 37 kg, both exact.
#[test]
fn inch_and_pound() {
    let folder = crate::support::tests_folder().join("goods/continuous-webbing.txt");
    let works = clean(&crate::support::load(&folder).files);
    let (foot, pound) = (0.3048, 0.453_592_37);
    let weave = operation(&works, "weave");
    near(
        taken(&works, weave, "polyester yarn"),
        40.0 * pound / (1000.0 * foot),
    );
    flow(weave, 5.0 * foot / 60.0);
    let set = operation(&works, "heat set");
    near(flow(set, foot).expect("a conveyor"), 30.0); // 30 ft at 60 ft/min
    near(set.settings[0].aim.mean(), (400.0 + 459.67) * 5.0 / 9.0);
    near(set.settings[0].within.as_ref().expect("within").mean(), 5.0); // 9 °F
    let RejectTo::Item(_, kg) = set.rejects[0].to else {
        panic!("{:?}", set.rejects)
    };
    near(kg, 0.61 / 16.0 * pound / foot); // a metre of webbing becomes its mass of waste
    let cut = operation(&works, "cut");
    near(fed(&works, cut, "slot").amount.mean(), 36.5 * foot / 12.0);
    flow(operation(&works, "slot"), 45.0 * foot / 60.0);
    let yarn = item(&works, "polyester yarn")
        .buy
        .as_ref()
        .expect("it is bought");
    near(yarn.price.mean(), 2.15 / pound);
    near(yarn.pack.as_ref().expect("a pack").mean(), 1200.0 * pound);
    let loom = works
        .stations
        .iter()
        .find(|s| s.name == "loom")
        .expect("the loom");
    // 1 hp = 550 ft·lbf/s, and 1 lbf = 9.80665 N × lb/kg.
    near(
        loom.power.as_ref().expect("a power").mean(),
        5.0 * 550.0 * foot * pound * 9.806_65,
    );
    let ordered: Vec<f64> = works.orders.iter().map(|o| o.quantity.mean()).collect();
    near(ordered[0], 6.0 * 450.0 * foot); // six spools of 150 yd
    near(ordered[1], 2500.0);
    near(ordered[2], 4000.0 * foot); // a bare number is counted in the item's unit
    assert_eq!(works.orders[0].attributes["colour"], "olive");
}

const CUT: &str = "takes = { plank = \"1 plank\" }\nmakes = { block = \"9 each\" }\npace = \"45 s\"\ngood = \"97 %\"\nchecks = [{ what = \"depth\", limit = \"8..10 mm\", every = \"lot\" }, { what = \"look\", every = \"lot\" }]\n";

fn booked(tables: &str) -> Works {
    cut(&format!("{CUT}{tables}"))
}

#[test]
fn orders_in_csv() {
    let works = booked(
        r#"--- orders.csv
order,item,quantity,due,release,customer,priority,colour,size
7,block,"1,200",2026-12-24,2026-12-01,"Pell, Rowe",3,red,
8,block,20 dozen,2026-12-31,,,,,L
9,screw,5,2027-01-05,,,,,
--- orders/more.csv
quantity,item,due,order
1e3,block,2027-01-08,10
"#,
    );
    let order = &works.orders[0];
    assert_eq!(
        (order.number.as_str(), order.quantity.mean(), order.priority),
        ("7", 1200.0, 3.0)
    );
    assert_eq!(
        (order.due, order.release),
        (date(2026, 12, 24), Some(date(2026, 12, 1)))
    );
    assert_eq!(order.customer.as_deref(), Some("Pell, Rowe"));
    assert_eq!(order.attributes.len(), 1); // an empty cell says nothing
    assert_eq!(order.attributes["colour"], "red");
    let order = &works.orders[1];
    assert_eq!((order.quantity.mean(), order.priority), (240.0, 1.0)); // 20 × 12
    assert_eq!(
        (order.attributes["size"].as_str(), order.release),
        ("L", None)
    );
    near(works.orders[2].quantity.mean(), 60.0); // 5, counted in the item's unit: dozens
    assert_eq!(
        (
            works.orders[3].number.as_str(),
            works.orders[3].quantity.mean()
        ),
        ("10", 1000.0)
    );
}

#[test]
fn orders_in_xlsx() {
    let mut book = Workbook::new();
    let sheet = book.add_worksheet();
    let day = Format::new().set_num_format("dd/mm/yyyy");
    for (column, name) in ["order", "item", "quantity", "due", "colour"]
        .iter()
        .enumerate()
    {
        sheet
            .write(0, column as u16, *name)
            .expect("a cell can be written");
    }
    sheet.write(1, 0, 41).expect("a cell can be written");
    sheet.write(1, 1, "block").expect("a cell can be written");
    sheet.write(1, 2, 250).expect("a cell can be written");
    // 2026-12-24 is day 46,380 of a spreadsheet.
    sheet
        .write_with_format(1, 3, 46_380, &day)
        .expect("a cell can be written");
    sheet.write(1, 4, "red").expect("a cell can be written");
    sheet.write(2, 0, "42").expect("a cell can be written");
    sheet.write(2, 1, "block").expect("a cell can be written");
    sheet.write(2, 2, "3 dozen").expect("a cell can be written");
    sheet
        .write(2, 3, "2026-12-31")
        .expect("a cell can be written");
    let bytes = book.save_to_buffer().expect("a workbook can be kept");
    let text = format!("{HEAD}{BLOCK}{CUT}");
    let works = clean(&case(text.as_bytes(), b"").files.with("orders.xlsx", bytes));
    let lines: Vec<_> = works
        .orders
        .iter()
        .map(|o| (o.number.as_str(), o.quantity.mean(), o.due))
        .collect();
    assert_eq!(
        lines,
        [
            ("41", 250.0, date(2026, 12, 24)),
            ("42", 36.0, date(2026, 12, 31))
        ]
    );
    assert_eq!(works.orders[0].attributes["colour"], "red");
}

#[test]
fn stock_on_hand() {
    let works = booked(
        "--- stock/hall.csv\nitem,amount,lot,received,shelf\nplank,36 plank,H-1,2026-11-12,B2\nscrew,10,,,\nstrip,30 m,,,\n",
    );
    let stock = &works.stock;
    assert_eq!(
        (stock[0].amount.mean(), stock[0].lot.as_deref()),
        (36.0, Some("H-1"))
    );
    assert_eq!(
        (stock[0].received, stock[0].more["shelf"].as_str()),
        (Some(date(2026, 11, 12)), "B2")
    );
    near(stock[1].amount.mean(), 120.0); // ten dozen
    near(stock[2].amount.mean(), 30.0); // the item is counted in feet, kept in metres
}

#[test]
fn readings_of_every_kind() {
    let works = booked(
        r"--- readings/a.csv
what,route,operation,station,item,value,made,when,lot
pace,block,cut,,,54 s,,2026-11-02 07:30,L1
pace,block,cut,,,6 s/each,,,
pace,block,cut,,,12 each/min,,,
good,block,cut,,,194,200,2026-11-02,L1
keeps,block,cut,,,98.5 %,,,
makes,block,cut,,,9,,,
run,,,saw,,18.5 h,,,
repair,,,saw,,25 min,,,
mass,,,,screw,25.2 g,,,
depth,block,cut,,,9.1 mm,,,
depth,block,cut,,,9.2,,,
look,block,cut,,,4,,,
",
    );
    let found = |n: usize| -> &Reading { &works.readings[n] };
    let cut = works::OperationId(0);
    assert_eq!(found(0).of, ReadingOf::Pace(cut));
    near(found(0).value, 6.0); // 54 s for a recipe of nine
    assert_eq!(found(0).when, Some(date(2026, 11, 2).at(7, 30, 0, 0)));
    assert_eq!(found(0).lot.as_deref(), Some("L1"));
    near(found(1).value, 6.0);
    near(found(2).value, 5.0); // twelve a minute
    assert_eq!((found(3).value, found(3).out_of), (194.0, Some(200.0)));
    assert_eq!(found(3).when, Some(date(2026, 11, 2).at(0, 0, 0, 0)));
    assert_eq!(
        (&found(4).of, found(4).value),
        (&ReadingOf::Keeps(cut), 0.985)
    );
    assert_eq!(
        (&found(5).of, found(5).value),
        (&ReadingOf::Makes(cut), 9.0)
    );
    assert_eq!(
        (&found(6).of, found(6).value),
        (&ReadingOf::Run(works::StationId(0)), 66_600.0)
    );
    assert_eq!(
        (&found(7).of, found(7).value),
        (&ReadingOf::Repair(works::StationId(0)), 1500.0)
    );
    near(found(8).value, 0.0021); // 25.2 g for a dozen
    assert_eq!(found(9).of, ReadingOf::Check(cut, "depth".to_owned()));
    near(found(9).value, 0.0091);
    near(found(10).value, 0.0092); // a bare number is in the unit of the limit
    near(found(11).value, 4.0);
}

#[test]
fn more_files_beside_the_works() {
    let files = case(format!("{HEAD}{BLOCK}{CUT}").as_bytes(), b"").files;
    let files = files.with("hazards.toml", "[hazard.dust]\ncaution = \"Extract.\"\n");
    let works = clean(&files.with("notes/readme.toml", "not ours"));
    assert_eq!(works.hazards[0].name, "dust");
    assert_eq!(
        works.hazards[0].defer_to,
        "local codes and a licensed or competent person"
    );
}

#[test]
fn whole_numbers_as_toml_writes_them() {
    let works = works(
        "[crew.more]\npeople = 1_0\ncalendar = \"days\"\n[station.press]\ncalendar = \"days\"\npeople = { sawing = 0b11 }\n",
    );
    assert_eq!(works.crews[1].people, 10);
    assert_eq!(works.stations[2].people[0].1, 3.0); // 0b11 is three
}

#[test]
fn amounts_in_other_measures_are_shown_as_output() {
    let works = cut(r#"takes = { strip = "0.2 m" }
pace = { holds = "90 kg", dwell = "14 min" }
tools = [{ name = "blade", life = "2 km" }, { name = "drill", life = "1 t" }]"#);
    let cut = operation(&works, "cut");
    let Pace::Load(load) = &cut.pace else {
        panic!("{:?}", cut.pace)
    };
    assert_eq!(
        quantity::show(load.holds.mean(), &load.holds.unit),
        "180 each"
    ); // 90 kg / 0.5 kg
    let life = |n: usize| {
        quantity::show(
            cut.tools[n].life.stated().mean(),
            &cut.tools[n].life.stated().unit,
        )
    };
    assert_eq!(life(0), "10,000 each"); // 2,000 m of input at 0.2 m each
    assert_eq!(life(1), "2,000 each"); // 1,000 kg / 0.5 kg
    let shown = |pace: &str| {
        let works = self::cut(&format!(
            "takes = {{ strip = \"0.2 m\" }}\npace = \"{pace}\""
        ));
        match &operation(&works, "cut").pace {
            Pace::Each(stated) | Pace::Flow { rate: stated, .. } => {
                quantity::show(stated.mean(), &stated.unit)
            }
            other => panic!("{other:?}"),
        }
    };
    assert_eq!(shown("12 m/min"), "60 each/min");
    assert_eq!(shown("10 s/m"), "2 s/each");
    assert_eq!(shown("30 each/min"), "30 each/min");
    assert_eq!(shown("2 s"), "2 s");
}

#[test]
fn what_a_unit_counts_as_can_be_paced_and_wears_tools() {
    let works = cut(r#"takes = { strip = "0.2 m" }
does = ["24 hole", "3 stroke"]
pace = "720 hole/min"
tools = [{ name = "drills", life = "48,000 hole" }, { name = "punch", life = "9,000 stroke" }]"#);
    let cut = operation(&works, "cut");
    flow(cut, 0.5); // 12 holes a second, 24 in each
    near(cut.does[0].mean(), 24.0);
    near(cut.tools[0].life.stated().mean(), 2_000.0); // 48,000 / 24
    near(cut.tools[1].life.stated().mean(), 3_000.0); // 9,000 / 3
}

#[test]
fn a_common_hazard_needs_no_table_and_a_table_replaces_it() {
    let works = works(&format!(
        "[hazard.noise]\ncaution = \"Ours.\"\n{BLOCK}takes = {{ strip = \"0.2 m\" }}\npace = \"9 s\"\nhazards = [\"noise\", \"wood dust\"]\n"
    ));
    let hazards = &operation(&works, "cut").hazards;
    assert_eq!(works.hazard(hazards[0]).caution, "Ours.");
    let dust = works.hazard(hazards[1]);
    assert!(dust.caution.contains("Extract") && dust.defer_to.contains("competent person"));
}
