//! Worked cases of measured against stated.

use quantity::{Dimension, Spread, Unit};
use works::*;

use super::*;
use crate::testing::{Build, count, nowhere, share};

fn in_seconds(spread: Spread) -> Stated {
    Stated {
        spread,
        unit: Unit::base(&Dimension::TIME),
        source: None,
        at: nowhere(),
    }
}

fn reading(of: ReadingOf, value: f64, out_of: Option<f64>) -> Reading {
    Reading {
        of,
        value,
        out_of,
        when: None,
        lot: None,
        at: nowhere(),
    }
}

/// One operation stated at 9 s.
fn works() -> Works {
    let mut build = Build::new();
    let block = build.item("block", count("each"));
    let route = build.route(block);
    let cut = build.starts(route, "cut", block);
    build.op(cut).pace = Pace::Each(in_seconds(Spread::Exact(9.0)));
    build.op(cut).good = share(0.96, 0.01);
    build.finish()
}

fn sixty() -> Vec<f64> {
    let at = |i: u32| 10.4 + 1.02 * chance::special::normal_quantile((f64::from(i) + 0.5) / 60.0);
    (0..60).map(at).collect()
}

const CUT: OperationId = OperationId(0);

fn with(values: &[f64]) -> Works {
    let mut works = works();
    works.readings = values
        .iter()
        .map(|&v| reading(ReadingOf::Pace(CUT), v, None))
        .collect();
    works
}

#[test]
fn a_time_that_is_too_short_is_said_so() {
    // 60 readings at the even quantiles of a normal of 10.4 s ± 1.02 s, so with a sample sd of 1.01 s:
    // Student t(59) = 2.001 × 1.01 ÷ √60 = ± 0.26 s. 9.0 ÷ 10.4 − 1 = −13.46 %.
    let values = sixty();
    let held = &hold(&with(&values))[0];
    assert_eq!(held.verdict, Verdict::Disagrees);
    assert!((held.measured - 10.4).abs() < 0.02);
    // The family chosen need not be the normal; its interval is near Student's.
    assert!((held.low.unwrap() - 10.14).abs() < 0.03, "{held:?}");
    assert!((held.high.unwrap() - 10.66).abs() < 0.03, "{held:?}");
    assert!((held.margin.unwrap() + 0.1346).abs() < 0.002);
    assert!(
        held.sentence
            .starts_with("stated 9 s, measured 10.4 s (95 %: 10.1"),
        "{}",
        held.sentence
    );
    assert!(
        held.sentence
            .ends_with("60 readings): the stated time is 13 % too short"),
        "{}",
        held.sentence
    );
}

#[test]
fn a_time_that_agrees() {
    let held = &hold(&with(&[8.7, 9.3, 9.0, 8.8, 9.2, 9.1, 8.9]))[0];
    assert_eq!(held.verdict, Verdict::Agrees);
    assert!(
        held.sentence
            .ends_with("the readings bear the stated time out"),
        "{}",
        held.sentence
    );
}

#[test]
fn too_few_say_nothing() {
    // Mean 10 s, sd 1 s: (1.96 × 1 ÷ 0.5)² = 15.4, so 16 would tell the mean to 5 %.
    let held = &hold(&with(&[9.0, 10.0, 11.0]))[0];
    assert_eq!(held.verdict, Verdict::TooFew);
    assert!(!held.enough());
    assert_eq!(held.needed, Some(16));
    assert!(
        held.sentence
            .contains("too few to say, at least 5 are needed; about 16 would")
    );
}

#[test]
fn readings_all_the_same() {
    let held = &hold(&with(&[9.0; 6]))[0];
    assert_eq!(
        (held.verdict, held.low, held.high),
        (Verdict::Agrees, Some(9.0), Some(9.0))
    );
}

#[test]
fn a_spread_that_is_wider_than_stated() {
    // sd of the readings 2.0 s of ten: at least 2.0 × √(9 ÷ 19.02) = 1.376 s, above the stated 0.5.
    let mut works = with(&[7.0, 7.0, 7.0, 7.0, 7.0, 11.0, 11.0, 11.0, 11.0, 11.0]);
    works.operations[0].pace = Pace::Each(in_seconds(Spread::Normal { mean: 9.0, sd: 0.5 }));
    let held = &hold(&works)[0];
    assert_eq!(held.verdict, Verdict::Agrees);
    assert_eq!(held.spread, Some(SpreadVerdict::Wider));
    assert!(
        held.sentence.contains("they vary more than stated"),
        "{}",
        held.sentence
    );
    // χ²(9) at 97.5 % is 19.023, at 2.5 % 2.700 (standard table; from memory).
    let (low, high) = sd_interval(2.0, 9.0);
    assert!((low - 2.0 * (9.0_f64 / 19.023).sqrt()).abs() < 1e-4);
    assert!((high - 2.0 * (9.0_f64 / 2.700).sqrt()).abs() < 1e-3);
}

#[test]
fn yields_by_lots() {
    let mut works = works();
    // Lots alike: 900 of 1000 in all, far below the stated 96 %.
    works.readings = (0..10)
        .map(|_| reading(ReadingOf::Good(CUT), 90.0, Some(100.0)))
        .collect();
    let held = &hold(&works)[0];
    assert!((held.measured - 0.9).abs() < 1e-3);
    assert_eq!(held.verdict, Verdict::Disagrees);
    assert!(
        held.sentence
            .ends_with("the stated yield is 6 points too high")
            || held.sentence.contains("vary less"),
        "{}",
        held.sentence
    );
    let measured = effective(&works, &hold(&works));
    assert!((measured.operations[0].good.mean - 0.9).abs() < 1e-3);
}

#[test]
fn the_works_as_it_was_measured() {
    let values = sixty();
    let works = with(&values);
    let measured = effective(&works, &hold(&works));
    let Pace::Each(time) = &measured.operations[0].pace else {
        panic!("a time")
    };
    assert!((time.mean() - 10.4).abs() < 0.02);
    assert!(
        time.source
            .as_ref()
            .unwrap()
            .starts_with("measured: 60 readings")
    );
    // Too few readings change nothing.
    let few = with(&[20.0, 21.0]);
    let Pace::Each(time) = &effective(&few, &hold(&few)).operations[0].pace else {
        panic!("a time")
    };
    assert_eq!(time.mean(), 9.0);
}

#[test]
fn a_recipe_that_makes_more_takes_less_for_each() {
    let mut works = works();
    let plank = ItemId(0);
    works.operations[0].output.per_recipe = 10.0;
    works.operations[0]
        .takes
        .push(crate::testing::take(plank, 0.1));
    works.readings = [12.0, 13.0, 12.0, 13.0, 12.5]
        .iter()
        .map(|&value| reading(ReadingOf::Makes(CUT), value, None))
        .collect();
    let measured = effective(&works, &hold(&works));
    // One plank gives 12.5, not 10: 0.08 of a plank for each.
    assert!((measured.operations[0].takes[0].amount.mean() - 0.08).abs() < 1e-12);
}

#[test]
fn what_was_measured_is_a_figure() {
    let works = with(&[8.7, 9.3, 9.0, 8.8, 9.2]);
    let (mut ledger, mut figures) = (Ledger::default(), Figures::default());
    explain(&hold(&works), &mut ledger, &mut figures);
    assert!((figures.get("block, cut: time measured").unwrap().value - 9.0).abs() < 0.01);
}
