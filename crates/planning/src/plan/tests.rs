//! Whole plans: every figure follows from its reasons; every complaint has its works.

use works::{Recovered, RejectTo, Severity, Sources};

use super::*;
use crate::figure::why;
use crate::testing::*;

fn planned(works: &Works) -> Plan {
    let mut stages = Vec::new();
    let options = Options::new(day("2026-11-25"));
    let plan = plan(works, &options, &mut |stage| stages.push(stage)).unwrap();
    assert_eq!(
        stages,
        [
            Stage::Measured,
            Stage::Shapes,
            Stage::Balance,
            Stage::Material,
            Stage::Load,
            Stage::Cost,
            Stage::Done
        ]
    );
    plan
}

/// Gliders moulded with regrind, stamped on tape bought by the metre, with rework at inspection.
fn glide_tape() -> Build {
    let mut build = Build::new();
    let pellets = build.bought("pellets", kg(), 2.4);
    let tape = build.bought("tape", metre(), 0.3);
    let sprue = build.item("sprue", kg());
    let regrind = build.item("regrind", kg());
    let glider = build.item("glider", count("each"));
    let goods = build.item("glide tape", metre());
    build.0.items[glider.0].mass = Some(stated(0.002));
    build.0.items[tape.0].mass = Some(stated(0.03));
    build.0.items[goods.0].mass = Some(stated(0.07));
    build.0.items[tape.0].buy.as_mut().unwrap().pack = Some(stated(500.0));
    let gliders = build.route(glider);
    build.0.routes[gliders.0].lot = Some(stated(20_000.0));
    let mould = build.starts(gliders, "mould", glider);
    let mut feed = take(pellets, 0.0026);
    feed.recovered = Some(Recovered {
        item: regrind,
        at_most: stated(0.2),
    });
    build.op(mould).takes.push(feed);
    build.op(mould).also.push(also(sprue, 0.0006));
    build.op(mould).good = share(0.985, 0.004);
    build.op(mould).rejects = vec![reject(1.0, RejectTo::Item(sprue, 0.002))];
    let grind = build.starts(gliders, "grind", regrind);
    build.op(grind).uses_up = Some(sprue);
    build.op(grind).takes.push(take(sprue, 1.0));
    let tapes = build.route(goods);
    let stamp = build.starts(tapes, "stamp", goods);
    build.op(stamp).takes.push(take(tape, 1.0));
    build.op(stamp).takes.push(take(glider, 20.0));
    let inspect = build.follows(tapes, "inspect", goods, stamp, 1.0);
    build.op(inspect).good = share(0.95, 0.01);
    build.op(inspect).rejects = vec![
        reject(0.5, RejectTo::Rework(inspect)),
        reject(0.5, RejectTo::Scrap),
    ];
    build.order(goods, 3000.0, "2026-12-14");
    build.order(goods, 1200.0, "2026-12-21");
    build.stock(glider, 4000.0);
    build
}

#[test]
fn every_figure_follows_from_its_reasons() {
    let plan = planned(&glide_tape().finish());
    assert_eq!(plan.ledger.faults(1e-9), vec![]);
    assert!(plan.figures.iter().count() > 15);
    for figure in plan.figures.iter() {
        let again = plan.ledger.recompute(figure.node);
        let scale = figure.value.abs().max(1e-9);
        assert!(
            (again - figure.value).abs() <= 1e-9 * scale,
            "{}",
            figure.key
        );
    }
}

#[test]
fn the_figures_are_those_of_the_arithmetic() {
    // Half of the rejects go round again: a = fed + 0.05·0.5·a and 0.95 a = 4200, so a = 4421.05 and
    // fed = 4310.53 m stamped, taking 86,210.5 gliders, 4,000 of which are there.
    let plan = planned(&glide_tape().finish());
    let value = |key: &str| plan.figures.get(key).unwrap().value;
    let close = |found: f64, expected: f64| {
        assert!(
            (found - expected).abs() < 1e-6 * expected,
            "{found} not {expected}"
        );
    };
    let stamped = 4200.0 / 0.95 * (1.0 - 0.05 * 0.5);
    close(value("inspect (glide tape) attempted"), 4200.0 / 0.95);
    close(value("stamp (glide tape) attempted"), stamped);
    let moulded = (stamped * 20.0 - 4000.0) / 0.985;
    close(value("mould (glider) attempted"), moulded);
    // Sprue and rejects come to 24 % of the feed, of which 20 % may go back: 0.0026·0.8 fresh.
    close(value("pellets needed"), moulded * 0.0026 * 0.8);
    let tape = value("tape to buy");
    assert!(tape >= stamped && tape % 500.0 == 0.0);
}

#[test]
fn why_prints_the_tree() {
    let plan = planned(&glide_tape().finish());
    let mut sources = Sources::default();
    sources.add("works.toml", "");
    let lines = why(&plan.ledger, &plan.figures, &sources, "tape to buy", 3).unwrap();
    let text: Vec<String> = lines.iter().map(ToString::to_string).collect();
    assert!(text[0].starts_with("tape to buy = "), "{}", text[0]);
    assert!(
        text[0].contains("rounded up to whole tape pack"),
        "{}",
        text[0]
    );
    assert!(
        text.iter()
            .any(|line| line.contains("stated in works.toml:1"))
    );
    let fault = why(&plan.ledger, &plan.figures, &sources, "tape too buy", 3).unwrap_err();
    assert_eq!(fault.nearest[0], "tape to buy");
}

#[test]
fn the_same_works_gives_the_same_bytes() {
    let works = glide_tape().finish();
    let text = |plan: &Plan| serde_json::to_string(plan).unwrap();
    assert_eq!(text(&planned(&works)), text(&planned(&works)));
}

/// The codes that a works is told, with what the first one is about.
fn codes(works: &Works) -> Vec<&'static str> {
    check(works, &Options::new(day("2026-11-25")))
        .iter()
        .map(|notice| notice.code)
        .collect()
}

#[test]
fn a_check_says_what_the_plan_says() {
    let mut build = glide_tape();
    build.0.assumptions.certainty = 0.999;
    let works = build.finish();
    let told = planned(&works).notices;
    assert!(!told.is_empty());
    assert_eq!(check(&works, &Options::new(day("2026-11-25"))), told);
}

#[test]
fn regrind_that_piles_up_is_told() {
    let works = glide_tape().finish();
    let notices = check(&works, &Options::new(day("2026-11-25")));
    let notice = notices
        .iter()
        .find(|notice| notice.code == "regrind-unused")
        .unwrap();
    assert_eq!(notice.severity, Severity::Warning);
    assert!(notice.headline.contains("`regrind` piles up at `mould`"));
}

#[test]
fn regrind_that_is_sold_is_no_complaint() {
    let mut build = glide_tape();
    let regrind = build
        .0
        .items
        .iter()
        .position(|item| item.name == "regrind")
        .unwrap();
    build.0.items[regrind].worth = Some(stated(0.1));
    assert!(!codes(&build.finish()).contains(&"regrind-unused"));
}

#[test]
fn a_loop_with_no_way_out_is_told_with_its_operations() {
    let mut build = Build::new();
    let sign = build.item("sign", count("each"));
    let route = build.route(sign);
    let coat = build.starts(route, "coat", sign);
    let inspect = build.follows(route, "inspect", sign, coat, 1.0);
    build.op(inspect).good = share(0.0, 0.0);
    build.op(inspect).rejects = vec![reject(1.0, RejectTo::Rework(coat))];
    build.order(sign, 10.0, "2026-12-14");
    let notices = check(&build.finish(), &Options::new(day("2026-11-25")));
    assert_eq!(notices[0].code, "loop-no-exit");
    assert!(
        notices[0].headline.contains("(sign)"),
        "{}",
        notices[0].headline
    );
}

#[test]
fn more_mass_out_than_in_is_a_fault() {
    // 0.2 m of 0.5 kg/m is 0.1 kg; the product is said to weigh 0.11 kg.
    let mut build = Build::new();
    let bar = build.bought("bar", metre(), 2.0);
    let pin = build.item("pin", count("each"));
    build.0.items[bar.0].mass = Some(stated(0.5));
    build.0.items[pin.0].mass = Some(stated(0.11));
    let route = build.route(pin);
    let cut = build.starts(route, "cut", pin);
    build.op(cut).takes.push(take(bar, 0.2));
    build.order(pin, 1000.0, "2026-12-14");
    let mut lighter = Build(build.0.clone());
    assert_eq!(codes(&build.finish()), ["mass-gain"]);
    // At 0.09 kg a tenth is missing without a name; named, nothing is odd.
    lighter.0.items[pin.0].mass = Some(stated(0.09));
    let mut named = Build(lighter.0.clone());
    assert_eq!(codes(&lighter.finish()), ["mass-unexplained"]);
    named.op(cut).lost_as = Some("kerf".into());
    assert!(codes(&named.finish()).is_empty());
}

#[test]
fn a_left_over_wanted_beyond_what_arises_is_told() {
    let mut build = Build::new();
    let duck = build.bought("duck", kg(), 9.0);
    let mince = build.item("mince", kg());
    let breast = build.item("breast", kg());
    let breasts = build.route(breast);
    let trim = build.starts(breasts, "trim", breast);
    build.op(trim).takes.push(take(duck, 1.12));
    build.op(trim).also.push(also(mince, 0.12));
    build.order(breast, 100.0, "2026-12-14");
    build.order(mince, 20.0, "2026-12-14");
    assert_eq!(codes(&build.finish()), ["left-over-short"]);
}

#[test]
fn an_empty_order_book_and_a_passed_date_are_told() {
    let mut build = Build::new();
    let bar = build.bought("bar", metre(), 2.0);
    let pin = build.item("pin", count("each"));
    let route = build.route(pin);
    let cut = build.starts(route, "cut", pin);
    build.op(cut).takes.push(take(bar, 0.2));
    let mut late = Build(build.0.clone());
    assert_eq!(codes(&build.finish()), ["nothing-ordered"]);
    late.order(pin, 10.0, "2026-12-01");
    late.0.items[bar.0].buy.as_mut().unwrap().lead = Some(stated(10.0 * 86_400.0));
    assert_eq!(codes(&late.finish()), ["order-date-passed"]);
}

#[test]
fn lots_too_unlike_for_the_certainty_are_told() {
    let mut build = Build::new();
    let blank = build.bought("blank", count("each"), 1.0);
    let block = build.item("block", count("each"));
    let route = build.route(block);
    let plane = build.starts(route, "plane", block);
    build.op(plane).takes.push(take(blank, 1.0));
    // A third of lots turn out almost nothing: no start reaches 99.9 %.
    build.op(plane).good = share(0.5, 0.49);
    build.order(block, 500.0, "2026-12-14");
    build.0.assumptions.certainty = 0.999;
    assert!(codes(&build.finish()).contains(&"certainty-out-of-reach"));
}
