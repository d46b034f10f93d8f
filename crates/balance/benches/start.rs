//! How long a start quantity takes: chains prepared and asked, one lot and several.

use balance::start::{CurvePoint, Prepared, Question, Start, Step, StepKind, curve, smallest};

fn main() {
    divan::main();
}

fn pieces(good: f64, lots_sd: f64) -> StepKind {
    StepKind::Pieces { good, lots_sd }
}

fn ask(demand: f64, kinds: &[StepKind], lot: Option<f64>) -> Question {
    Question {
        demand,
        steps: kinds.iter().map(|kind| Step { kind: *kind }).collect(),
        lot,
        whole_units: true,
        seed: 1,
    }
}

/// A chain of so many varying steps; one alone is a rework, which is not a plain beta-binomial.
fn chain(steps: usize) -> Vec<StepKind> {
    if steps == 1 {
        return vec![StepKind::Rework {
            first_pass: 0.92,
            lots_sd: 0.03,
            recovered: 0.4,
        }];
    }
    let goods = [(0.95, 0.02), (0.97, 0.01), (0.92, 0.03), (0.985, 0.01)];
    let step = |(good, sd): &(f64, f64)| pieces(*good, *sd);
    goods.iter().take(steps).map(step).collect()
}

fn boards() -> Vec<StepKind> {
    let gives = StepKind::Gives {
        mean: 14.0,
        sd: 4.0,
        lots_sd: 0.7,
    };
    vec![gives, pieces(0.95, 0.02), pieces(0.97, 0.01)]
}

fn measures() -> Vec<StepKind> {
    [(0.9, 0.03), (0.95, 0.02)]
        .map(|(keeps, lots_sd)| StepKind::Measure { keeps, lots_sd })
        .to_vec()
}

fn least(prepared: &mut Prepared) -> Start {
    prepared.smallest(0.95).expect("the certainty is in reach")
}

/// Prepares the chain outside the clock, for one order of another size first.
fn asked(bencher: divan::Bencher<'_, '_>, kinds: &[StepKind], demand: f64, lot: Option<f64>) {
    let mut prepared = Prepared::new(&ask(0.9 * demand, kinds, lot)).expect("the chain is sound");
    least(&mut prepared);
    bencher.bench_local(|| {
        prepared.set_demand(demand).expect("the demand is sound");
        least(&mut prepared)
    });
}

/// Prepares and asks the odds once.
#[divan::bench(args = [1, 2, 3, 4])]
fn prepare(steps: usize) -> Start {
    let question = ask(500.0, &chain(steps), None);
    let mut prepared = Prepared::new(&question).expect("the chain is sound");
    prepared.odds(600.0).expect("the quantity is sound")
}

#[divan::bench(args = [1, 2, 3, 4])]
fn one_lot(bencher: divan::Bencher<'_, '_>, steps: usize) {
    asked(bencher, &chain(steps), 500.0, None);
}

#[divan::bench(args = [8.0, 5000.0, 200_000.0])]
fn one_lot_of_three_steps(bencher: divan::Bencher<'_, '_>, demand: f64) {
    asked(bencher, &chain(3), demand, None);
}

#[divan::bench(args = [300.0, 110.0, 20.0])]
fn lots_for_500(bencher: divan::Bencher<'_, '_>, lot: f64) {
    asked(bencher, &chain(3), 500.0, Some(lot));
}

#[divan::bench]
fn lots_for_5000(bencher: divan::Bencher<'_, '_>) {
    asked(bencher, &chain(3), 5000.0, Some(500.0));
}

#[divan::bench]
fn boards_in_one_lot(bencher: divan::Bencher<'_, '_>) {
    asked(bencher, &boards(), 5000.0, None);
}

#[divan::bench]
fn boards_in_lots(bencher: divan::Bencher<'_, '_>) {
    asked(bencher, &boards(), 5000.0, Some(100.0));
}

#[divan::bench]
fn measures_in_one_lot(bencher: divan::Bencher<'_, '_>) {
    asked(bencher, &measures(), 5000.0, None);
}

#[divan::bench]
fn measures_in_lots(bencher: divan::Bencher<'_, '_>) {
    asked(bencher, &measures(), 5000.0, Some(2000.0));
}

#[divan::bench(args = [500.0, 5000.0, 100_000.0])]
fn beta_binomial(demand: f64) -> Start {
    smallest(&ask(demand, &[pieces(0.92, 0.02)], None), 0.95).expect("in reach")
}

#[divan::bench(args = [1, 3])]
fn curve_of_40(steps: usize) -> Vec<CurvePoint> {
    curve(&ask(5000.0, &chain(steps), None), 40).expect("the chain is sound")
}

#[divan::bench]
fn curve_of_40_beta_binomial() -> Vec<CurvePoint> {
    curve(&ask(5000.0, &[pieces(0.92, 0.02)], None), 40).expect("the chain is sound")
}
