//! Odds by quadrature against exact sums over counts.
//!
//! The count that a lot leaves a step with is beta-binomial in what entered it (Skellam 1948), so
//! the exact law of a chain is a product of matrices of chances, and that of several lots its
//! convolution.

use balance::start::{Method, Prepared, Question, Step, StepKind, odds, smallest};
use chance::{BetaBinomial, binomial};
use proptest::prelude::*;

fn ask(demand: f64, kinds: &[StepKind], lot: Option<f64>) -> Question {
    Question {
        demand,
        steps: kinds.iter().map(|kind| Step { kind: *kind }).collect(),
        lot,
        whole_units: true,
        seed: 1,
    }
}

fn pieces(good: f64, lots_sd: f64) -> StepKind {
    StepKind::Pieces { good, lots_sd }
}

/// Chances of 0, 1, 2, … good from a lot of `made` through steps of (good, lots_sd).
fn lot_exactly(made: u64, steps: &[(f64, f64)]) -> Vec<f64> {
    let mut law = vec![0.0; made as usize + 1];
    law[made as usize] = 1.0;
    for (good, lots_sd) in steps {
        let lots = BetaBinomial::from_mean_sd(*good, *lots_sd);
        let mut next = vec![0.0; law.len()];
        for (entered, p) in (0_u64..).zip(&law).filter(|(_, p)| **p > 1e-16) {
            for (left, sum) in (0..=entered).zip(&mut next) {
                *sum += p * match &lots {
                    Ok(lots) => lots.pmf(entered, left),
                    Err(_) => binomial::pmf(entered, left, *good),
                };
            }
        }
        law = next;
    }
    law
}

fn order_exactly(made: u64, lot: u64, steps: &[(f64, f64)], demand: u64) -> f64 {
    let whole = lot_exactly(lot.min(made), steps);
    let mut sums = vec![1.0];
    let mut left = made;
    while left > 0 {
        let size = left.min(lot);
        let own = if size == lot.min(made) {
            whole.clone()
        } else {
            lot_exactly(size, steps)
        };
        let mut next = vec![0.0; sums.len() + size as usize];
        for (so_far, p) in sums.iter().enumerate() {
            for (good, q) in own.iter().enumerate() {
                next[so_far + good] += p * q;
            }
        }
        sums = next;
        left -= size;
    }
    sums.iter().skip(demand as usize).sum()
}

/// The largest gap over quantities from few to many.
fn largest_gap(steps: &[(f64, f64)], lot: Option<u64>, demand: u64, made: &[u64]) -> f64 {
    let kinds: Vec<StepKind> = steps.iter().map(|(good, sd)| pieces(*good, *sd)).collect();
    let question = ask(demand as f64, &kinds, lot.map(|lot| lot as f64));
    let gap = |made: u64| {
        let (found, method, error) = odds(&question, made as f64).expect("the case is sound");
        assert_eq!((method, error), (Method::BinomialQuadrature, 0.0));
        (found - order_exactly(made, lot.unwrap_or(made), steps, demand)).abs()
    };
    made.iter().map(|made| gap(*made)).fold(0.0, f64::max)
}

#[test]
fn one_lot_against_the_exact_chain() {
    for (steps, demand, made, allowed) in [
        // A chain of two, of three and of four, from a few pieces to some hundreds.
        (
            &[(0.9, 0.03), (0.95, 0.02)][..],
            100,
            &[105, 117, 122, 130, 140][..],
            1e-7,
        ),
        (&[(0.9, 0.03), (0.95, 0.02)], 8, &[8, 9, 10, 12, 15], 1e-7),
        (
            &[(0.97, 0.01), (0.95, 0.02), (0.98, 0.01)],
            200,
            &[210, 221, 230],
            1e-7,
        ),
        (
            &[(0.97, 0.01), (0.95, 0.0), (0.9, 0.04), (0.98, 0.01)],
            100,
            &[118, 126, 140],
            1e-7,
        ),
        // One step that hardly varies beside one that does; a fixed step beside a varying one.
        (&[(0.9, 0.05), (0.98, 0.0005)], 200, &[215, 226, 250], 1e-6),
        (&[(0.9, 0.0), (0.95, 0.02)], 100, &[112, 117, 125], 1e-9),
        // Lots that pile up at a share of one: second parameters 1 and 1, 0.5 and 14.
        (
            &[(0.98, 0.02), (0.98, 0.02)],
            200,
            &[201, 206, 212, 225],
            1e-5,
        ),
        (&[(0.98, 0.027), (0.92, 0.02)], 200, &[215, 222, 235], 1e-6),
        // Lots that differ more than the pieces inside them.
        (&[(0.7, 0.15), (0.8, 0.1)], 200, &[300, 360, 420, 600], 1e-7),
    ] {
        let gap = largest_gap(steps, None, demand, made);
        assert!(gap < allowed, "{steps:?} {demand}: {gap:e}");
    }
}

#[test]
fn several_lots_against_their_exact_convolution() {
    for (steps, lot, demand, made, allowed) in [
        (&[(0.9, 0.05)][..], 80, 300, &[320, 330, 345, 360][..], 1e-8),
        (&[(0.9, 0.05)], 170, 300, &[330, 340, 345, 360], 1e-8),
        (
            &[(0.92, 0.02), (0.95, 0.02)],
            60,
            100,
            &[112, 117, 120, 125],
            1e-8,
        ),
        (&[(0.7, 0.15), (0.8, 0.1)], 50, 100, &[150, 180, 210], 1e-8),
        (&[(0.98, 0.02)], 3, 10, &[10, 11, 12], 1e-8),
        (&[(0.99, 0.03)], 40, 100, &[100, 102, 110], 1e-6),
    ] {
        let gap = largest_gap(steps, Some(lot), demand, made);
        assert!(gap < allowed, "{steps:?} {lot} {demand}: {gap:e}");
    }
}

#[test]
fn lots_too_steep_for_a_grid_are_drawn() {
    // Second parameters 0.42 twice: the density of the product rises without bound at one.
    let steps = [(0.98, 0.03), (0.98, 0.03)];
    let kinds = steps.map(|(good, sd)| pieces(good, sd));
    let demand = 200.0;
    for made in [208.0, 220.0] {
        let (found, method, error) =
            odds(&ask(demand, &kinds, None), made).expect("the case is sound");
        assert_eq!(method, Method::BinomialMixture);
        let gap = (found - order_exactly(made as u64, made as u64, &steps, demand as u64)).abs();
        assert!(
            gap < 4.0 * error + 1e-6,
            "{made}: {gap:e} with se {error:e}"
        );
    }
}

#[test]
fn a_share_known_exactly_agrees_with_the_beta_binomial() {
    // Rework that recovers nothing is the beta-binomial, but is taken by quadrature.
    for (good, lots_sd, allowed) in [
        (0.92, 0.02, 1e-9),
        (0.92, 0.04, 1e-9),
        (0.5, 0.1, 1e-9),
        // Second parameter 0.96: lots pile up at a share of one.
        (0.98, 0.02, 1e-6),
    ] {
        let rework = StepKind::Rework {
            first_pass: good,
            lots_sd,
            recovered: 0.0,
        };
        let lots = BetaBinomial::from_mean_sd(good, lots_sd).expect("the case is sound");
        for demand in [50_u64, 500, 5000] {
            let question = ask(demand as f64, &[rework], None);
            for part in [1.0, 1.02, 1.05, 1.1] {
                let made = (demand as f64 / good * part).round();
                let (found, _, _) = odds(&question, made).expect("the case is sound");
                let gap = (found - lots.at_least(made as u64, demand)).abs();
                assert!(gap < allowed, "{good} {lots_sd} {demand} {made}: {gap:e}");
            }
        }
    }
}

#[test]
fn rework_saves_a_share_of_the_rejects() {
    // Of two steps, the first saves half its rejects: thinning by ½ of the loss. The exact law is
    // the mixture over the beta chance p of binomials with ½ + p/2, taken by a fine midpoint rule.
    let rework = StepKind::Rework {
        first_pass: 0.9,
        lots_sd: 0.04,
        recovered: 0.5,
    };
    let question = ask(200.0, &[rework, pieces(0.97, 0.0)], None);
    let lots = BetaBinomial::from_mean_sd(0.9, 0.04).expect("the case is sound");
    let (a, b) = (lots.alpha(), lots.beta());
    let exact = |made: u64| {
        let (mut sum, mut total) = (0.0, 0.0);
        for index in 0..20_000 {
            let p = (f64::from(index) + 0.5) / 20_000.0;
            let weight = ((a - 1.0) * p.ln() + (b - 1.0) * (1.0 - p).ln()).exp();
            total += weight;
            sum += weight * binomial::at_least(made, 200, (0.5 + 0.5 * p) * 0.97);
        }
        sum / total
    };
    for made in [210, 217, 225, 235] {
        let (found, method, _) = odds(&question, made as f64).expect("the case is sound");
        assert_eq!(method, Method::BinomialQuadrature);
        let gap = (found - exact(made)).abs();
        assert!(gap < 2e-8, "{made}: {gap:e}");
    }
}

#[test]
fn measured_yields_multiply() {
    // ln of a product of two Betas, by a fine midpoint rule over the first.
    let kinds =
        [(0.8, 0.05), (0.9, 0.03)].map(|(keeps, lots_sd)| StepKind::Measure { keeps, lots_sd });
    let mut question = ask(100.0, &kinds, None);
    question.whole_units = false;
    let first = BetaBinomial::from_mean_sd(0.8, 0.05).expect("the case is sound");
    let second = BetaBinomial::from_mean_sd(0.9, 0.03).expect("the case is sound");
    let (a, b) = (first.alpha(), first.beta());
    for made in [130.0, 139.0, 150.0] {
        let (mut sum, mut total) = (0.0, 0.0);
        for index in 0..20_000 {
            let p = (f64::from(index) + 0.5) / 20_000.0;
            let weight = ((a - 1.0) * p.ln() + (b - 1.0) * (1.0 - p).ln()).exp();
            total += weight;
            let needed = 100.0 / (made * p);
            if needed < 1.0 {
                let below = chance::special::beta_inc(second.alpha(), second.beta(), needed);
                sum += weight * (1.0 - below);
            }
        }
        let (found, method, _) = odds(&question, made).expect("the case is sound");
        assert_eq!(method, Method::LotQuadrature);
        let gap = (found - sum / total).abs();
        assert!(gap < 2e-8, "{made}: {gap:e}");
    }
}

#[test]
fn the_same_chain_answers_for_many_orders() {
    let kinds = [pieces(0.95, 0.02), pieces(0.97, 0.01)];
    for lot in [None, Some(150.0)] {
        let mut prepared = Prepared::new(&ask(1.0, &kinds, lot)).expect("the case is sound");
        for demand in [20.0, 130.0, 137.0, 400.0, 1000.0] {
            prepared.set_demand(demand).expect("the case is sound");
            let fresh = smallest(&ask(demand, &kinds, lot), 0.95).expect("the case is sound");
            assert_eq!(
                prepared.smallest(0.95).expect("the case is sound").quantity,
                fresh.quantity
            );
        }
        assert!(prepared.set_demand(-1.0).is_err());
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    /// Any chain of three in any lots is within 10⁻⁵ of its exact law, however found.
    #[test]
    fn any_chain_is_close_to_exact(
        a in 0.7_f64..0.995, b in 0.7_f64..0.995, c in 0.7_f64..0.995,
        parts in prop::array::uniform3(0.01_f64..0.25), demand in 5_u64..80,
        lot in prop::option::of(5_u64..90), extra in 1.0_f64..1.3,
    ) {
        let sd = |good: f64, part: f64| part * (good * (1.0 - good)).sqrt();
        let steps = [(a, sd(a, parts[0])), (b, sd(b, parts[1])), (c, sd(c, parts[2]))];
        let made = (demand as f64 / (a * b * c) * extra).round() as u64;
        let kinds = steps.map(|(good, sd)| pieces(good, sd));
        let (found, method, _) = odds(&ask(demand as f64, &kinds, lot.map(|l| l as f64)), made as f64).expect("the case is sound");
        prop_assert_eq!(method, Method::BinomialQuadrature);
        let exact = order_exactly(made, lot.unwrap_or(made), &steps, demand);
        prop_assert!((found - exact).abs() < 1e-5, "{} for {}", found, exact);
    }
}
