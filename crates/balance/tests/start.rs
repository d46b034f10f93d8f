//! How much to start: check figures, exact sums and a brute-force trial of the works itself.

use balance::start::{
    Method, Question, Start, StartError, Step, StepKind, cost_optimal, critical_ratio, curve, odds,
    smallest,
};
use chance::{BetaBinomial, Distribution, Stream, binomial};
use proptest::prelude::*;

fn ask(demand: f64, kinds: &[StepKind]) -> Question {
    let steps = kinds.iter().map(|kind| Step { kind: *kind }).collect();
    Question {
        demand,
        steps,
        lot: None,
        whole_units: true,
        seed: 1,
    }
}

fn pieces(good: f64, lots_sd: f64) -> StepKind {
    StepKind::Pieces { good, lots_sd }
}

#[track_caller]
fn start(question: &Question, certainty: f64) -> Start {
    smallest(question, certainty).expect("the question has an answer")
}

#[track_caller]
fn odds_at(question: &Question, quantity: f64) -> f64 {
    odds(question, quantity)
        .expect("the question has an answer")
        .0
}

#[test]
fn the_check_figures_of_the_trade() {
    // TRADE.md section 0 (D): 5,000 good at 92 %. Demand over yield is ⌈5000/0.92⌉ = 5,435.
    assert_eq!((5000.0_f64 / 0.92).ceil(), 5435.0);
    for (lots_sd, expected, method) in [
        (0.0, 5471.0, Method::Binomial),
        (0.02, 5655.0, Method::BetaBinomial),
        (0.04, 5918.0, Method::BetaBinomial),
    ] {
        let found = start(&ask(5000.0, &[pieces(0.92, lots_sd)]), 0.95);
        assert_eq!((found.quantity, found.method), (expected, method));
        assert_eq!(found.standard_error, 0.0);
    }
    // The naive start fills the order about half the time.
    let naive = odds_at(&ask(5000.0, &[pieces(0.92, 0.0)]), 5435.0);
    assert!((0.45..0.55).contains(&naive), "{naive}");
}

#[test]
fn the_board_figures_of_the_trade() {
    // TRADE.md section 0 (D): 14 blanks a board, sd 4, D 5,000; with a lot sd of 0.7.
    for (certainty, lots_sd, expected) in
        [(0.5, 0.0, 358.0), (0.95, 0.0, 367.0), (0.95, 0.7, 391.0)]
    {
        let boards = StepKind::Gives {
            mean: 14.0,
            sd: 4.0,
            lots_sd,
        };
        let found = start(&ask(5000.0, &[boards]), certainty);
        assert_eq!((found.quantity, found.method), (expected, Method::Normal));
    }
}

#[test]
fn the_binomial_table() {
    // CHECKS.md IN-05 (exact, C).
    for (good, chance, certainty, expected) in [
        (100.0, 0.95, 0.95, 109.0),
        (100.0, 0.95, 0.99, 111.0),
        (50.0, 0.9, 0.95, 60.0),
        (1000.0, 0.98, 0.95, 1028.0),
        (10.0, 0.8, 0.9, 15.0),
        (10.0, 0.8, 0.99, 18.0),
    ] {
        let found = start(&ask(good, &[pieces(chance, 0.0)]), certainty);
        assert_eq!(found.quantity, expected);
    }
}

#[test]
fn starts_needed_have_the_negative_binomial_mean() {
    // CHECKS.md IN-06: starts until 100 are good at 0.95 have mean 100/0.95 = 105.263158 and sd
    // √(100·0.05)/0.95 = 2.353756. Mean = Σ P(starts > n) = Σ (1 − odds(n)).
    let question = ask(100.0, &[pieces(0.95, 0.0)]);
    let short: Vec<f64> = (0..200)
        .map(|n| 1.0 - odds_at(&question, f64::from(n)))
        .collect();
    let mean: f64 = short.iter().sum();
    let square: f64 = short
        .iter()
        .zip(0..)
        .map(|(p, n)| p * f64::from(2 * n + 1))
        .sum();
    assert!((mean - 105.263_158).abs() < 1e-6);
    assert!(((square - mean * mean).sqrt() - 2.353_756).abs() < 1e-6);
}

#[test]
fn steps_in_a_row_multiply() {
    // CHECKS.md IN-09: .98·.95·.99·.97 = .8940393.
    let chain = [0.98, 0.95, 0.99, 0.97].map(|good| pieces(good, 0.0));
    let one = [pieces(0.98 * 0.95 * 0.99 * 0.97, 0.0)];
    let found = start(&ask(500.0, &chain), 0.95);
    assert_eq!(found.quantity, start(&ask(500.0, &one), 0.95).quantity);
    assert_eq!(found.method, Method::Binomial);
}

#[test]
fn rework_is_a_better_chance() {
    // 0.9 pass at first, half the rejects recover: 0.95. IN-05: 109.
    let rework = StepKind::Rework {
        first_pass: 0.9,
        lots_sd: 0.0,
        recovered: 0.5,
    };
    assert_eq!(start(&ask(100.0, &[rework]), 0.95).quantity, 109.0);
}

#[test]
fn nothing_varies() {
    // 12 kg through a loss of 20 %: 15 kg, to the last digit.
    let mut question = ask(
        12.0,
        &[StepKind::Measure {
            keeps: 0.8,
            lots_sd: 0.0,
        }],
    );
    question.whole_units = false;
    let found = start(&question, 0.95);
    assert!((found.quantity - 15.0).abs() < 1e-9, "{found:?}");
    assert_eq!((found.method, found.odds), (Method::Division, 1.0));
    // An empty chain gives out what was put in.
    assert_eq!(start(&ask(7.0, &[]), 0.5).quantity, 7.0);
    // Perfect pieces: exactly the demand.
    assert_eq!(start(&ask(7.0, &[pieces(1.0, 0.0)]), 0.99).quantity, 7.0);
}

#[test]
fn a_measured_yield_needs_its_low_quantile() {
    // n = D / Q(1 − c): the 5 % quantile of Beta(mean .8, sd .05).
    let mut question = ask(
        100.0,
        &[StepKind::Measure {
            keeps: 0.8,
            lots_sd: 0.05,
        }],
    );
    question.whole_units = false;
    let found = start(&question, 0.95);
    let low = Distribution::beta_from_mean_sd(0.8, 0.05)
        .unwrap()
        .quantile(0.05);
    assert!((found.quantity - 100.0 / low).abs() < 1e-7, "{found:?}");
    assert_eq!(found.method, Method::LotShare);
    // A pick-up of 4 % (salt, glaze) is normal: D/(1.04 − 1.644854·0.01).
    question.steps[0].kind = StepKind::Measure {
        keeps: 1.04,
        lots_sd: 0.01,
    };
    let found = start(&question, 0.95).quantity;
    assert!((found - 100.0 / (1.04 - 0.016_448_536_27)).abs() < 1e-6);
}

#[test]
fn one_integrated_step_agrees_with_the_exact_beta_binomial() {
    // Rework that recovers nothing is the same law, but is taken by quadrature.
    let exact = ask(5000.0, &[pieces(0.92, 0.02)]);
    let rework = StepKind::Rework {
        first_pass: 0.92,
        lots_sd: 0.02,
        recovered: 0.0,
    };
    let drawn = ask(5000.0, &[rework]);
    for quantity in [5300.0, 5435.0, 5600.0, 5655.0, 5800.0] {
        let (p, method, error) = odds(&drawn, quantity).unwrap();
        assert_eq!(method, Method::BinomialQuadrature);
        assert_eq!(error, 0.0);
        let gap = (p - odds_at(&exact, quantity)).abs();
        assert!(gap < 1e-9, "at {quantity}: {gap}");
    }
    assert_eq!(start(&drawn, 0.95).quantity, 5655.0);
}

/// The exact chance for an order of several lots of one step, by convolution of the lots' counts.
fn several_lots_exactly(made: u64, lot: u64, lots: &BetaBinomial, demand: u64) -> f64 {
    let mut sums = vec![1.0];
    let mut left = made;
    while left > 0 {
        let size = left.min(lot);
        let mut next = vec![0.0; sums.len() + size as usize];
        for (so_far, p) in sums.iter().enumerate() {
            for good in 0..=size {
                next[so_far + good as usize] += p * lots.pmf(size, good);
            }
        }
        sums = next;
        left -= size;
    }
    sums.iter().skip(demand as usize).sum()
}

#[test]
fn several_lots_against_their_exact_convolution() {
    let lots = BetaBinomial::from_mean_sd(0.9, 0.05).unwrap();
    let mut question = ask(300.0, &[pieces(0.9, 0.05)]);
    question.lot = Some(80.0);
    for made in [330_u32, 345, 360] {
        let (p, method, error) = odds(&question, f64::from(made)).unwrap();
        assert_eq!(method, Method::BinomialQuadrature);
        let exact = several_lots_exactly(u64::from(made), 80, &lots, 300);
        assert_eq!(error, 0.0);
        assert!((p - exact).abs() < 1e-8, "{made}: {p} for {exact}");
    }
    // Below one lot it is the exact law.
    question.demand = 60.0;
    let (p, method, _) = odds(&question, 70.0).unwrap();
    assert_eq!(method, Method::BetaBinomial);
    assert!((p - several_lots_exactly(70, 80, &lots, 60)).abs() < 1e-12);
}

#[test]
fn many_lots_need_less_than_one() {
    // The spread of 11 lots half averages out: between the binomial's 5,471 and one lot's 5,655.
    let mut question = ask(5000.0, &[pieces(0.92, 0.02)]);
    question.lot = Some(500.0);
    let found = start(&question, 0.95);
    // 1.645·√(5510·.0736 + 500²·.02²·11)= 1.645·√(405.5 + 1100) = 63.8; (5000 + 63.8)/.92 = 5504.
    assert!((5500.0..5509.0).contains(&found.quantity), "{found:?}");
    // Very many lots: the normal sum takes over and hardly differs from the binomial.
    question.lot = Some(2.0);
    let found = start(&question, 0.95);
    assert_eq!(found.method, Method::Normal);
    assert!((found.quantity - 5471.0).abs() <= 1.0, "{found:?}");
}

/// Makes the order `runs` times, piece by piece, and counts how often it is filled.
fn brute_force(question: &Question, quantity: f64, runs: u32) -> f64 {
    let mut stream = Stream::new(99, "brute force");
    let filled =
        (0..runs).filter(|_| make_once(question, quantity, &mut stream) >= question.demand);
    filled.count() as f64 / f64::from(runs)
}

fn make_once(question: &Question, quantity: f64, stream: &mut Stream) -> f64 {
    let size = question.lot.unwrap_or(quantity);
    let (mut left, mut good) = (quantity, 0.0);
    while left > 0.0 {
        let made = left.min(size);
        good += question
            .steps
            .iter()
            .fold(made, |count, step| put_through(step.kind, count, stream));
        left -= made;
    }
    good
}

fn put_through(kind: StepKind, count: f64, stream: &mut Stream) -> f64 {
    let mut share = |mean: f64, sd: f64| match Distribution::beta_from_mean_sd(mean, sd) {
        Ok(lots) if sd > 0.0 => lots.sample(stream),
        _ => mean,
    };
    match kind {
        StepKind::Pieces { good, lots_sd } => {
            let p = share(good, lots_sd);
            (0..count as u64).filter(|_| stream.uniform() < p).count() as f64
        }
        StepKind::Rework {
            first_pass,
            lots_sd,
            recovered,
        } => {
            let p = share(first_pass, lots_sd);
            let passes = |stream: &mut Stream| stream.uniform() < p || stream.uniform() < recovered;
            (0..count as u64).filter(|_| passes(stream)).count() as f64
        }
        StepKind::Measure { keeps, lots_sd } => count * share(keeps, lots_sd),
        StepKind::Gives { mean, sd, lots_sd } => {
            let lot = mean + lots_sd * stream.normal();
            let out = |stream: &mut Stream| (lot + sd * stream.normal()).round().max(0.0);
            (0..count as u64).map(|_| out(stream)).sum()
        }
    }
}

#[test]
fn odds_are_the_share_of_orders_filled() {
    let gives = StepKind::Gives {
        mean: 14.0,
        sd: 4.0,
        lots_sd: 0.5,
    };
    let rework = StepKind::Rework {
        first_pass: 0.9,
        lots_sd: 0.04,
        recovered: 0.6,
    };
    let measure = |keeps, lots_sd| StepKind::Measure { keeps, lots_sd };
    // Chain, lot, demand, quantity, and what the model itself may be off: rounding of the
    // boards' counts adds 1/12 to a variance of 16, and a normal stands for a count.
    for (kinds, lot, demand, quantity, model) in [
        (
            vec![pieces(0.9, 0.03), pieces(0.95, 0.02)],
            None,
            100.0,
            122.0,
            0.0,
        ),
        (
            vec![pieces(0.9, 0.03), pieces(0.95, 0.02)],
            Some(40.0),
            100.0,
            122.0,
            0.001,
        ),
        (vec![rework, pieces(0.97, 0.01)], None, 200.0, 218.0, 0.0),
        (vec![gives, pieces(0.95, 0.02)], None, 500.0, 39.0, 0.005),
        (
            vec![gives, pieces(0.95, 0.02)],
            Some(10.0),
            500.0,
            39.0,
            0.005,
        ),
        (
            vec![measure(0.8, 0.05), measure(0.9, 0.03)],
            None,
            100.0,
            150.0,
            0.0,
        ),
        (
            vec![measure(0.8, 0.05), measure(0.9, 0.03)],
            Some(40.0),
            100.0,
            145.0,
            0.0,
        ),
        (
            vec![gives, gives, pieces(0.9, 0.0)],
            None,
            2000.0,
            12.0,
            0.01,
        ),
    ] {
        let mut question = ask(demand, &kinds);
        question.lot = lot;
        let runs = 20_000;
        let hits = brute_force(&question, quantity, runs);
        let (p, method, error) = odds(&question, quantity).unwrap();
        let trial = (p * (1.0 - p) / f64::from(runs)).sqrt();
        let allowed = 4.0 * (trial * trial + error * error).sqrt() + model;
        assert!(
            (p - hits).abs() < allowed,
            "{kinds:?} {lot:?} {method:?}: {p}±{error}, counted {hits}"
        );
    }
}

#[test]
fn the_curve_climbs_from_end_to_end() {
    for kinds in [
        vec![pieces(0.92, 0.02)],
        vec![pieces(0.96, 0.01), pieces(0.96, 0.01)],
    ] {
        let points = curve(&ask(5000.0, &kinds), 40).unwrap();
        assert_eq!(points.len(), 40);
        assert!((points[0].odds - 0.01).abs() < 0.001);
        assert!((points[39].odds - 0.999).abs() < 0.0001);
        assert!(points.windows(2).all(|two| two[0].odds < two[1].odds));
    }
    // Fewer whole quantities than points: each appears once.
    let few = curve(&ask(10.0, &[pieces(0.8, 0.0)]), 40).unwrap();
    assert!(few.windows(2).all(|two| two[0].quantity < two[1].quantity));
    assert!(
        curve(&ask(10.0, &[pieces(0.8, 0.0)]), 0)
            .unwrap()
            .is_empty()
    );
}

#[test]
fn newsvendor() {
    // CHECKS.md IN-11: short 7, over 3, N(100, 20): ratio 0.7, quantity 110.488010.
    let ratio = critical_ratio(7.0, 3.0).unwrap();
    assert!((ratio - 0.7).abs() < 1e-15);
    let demand = Distribution::Normal {
        mean: 100.0,
        sd: 20.0,
    };
    assert!((demand.quantile(ratio) - 110.488_010).abs() < 1e-6);
    // Short costs 19 times over: the 95 % start.
    let question = ask(100.0, &[pieces(0.95, 0.0)]);
    assert_eq!(cost_optimal(&question, 19.0, 1.0).unwrap().quantity, 109.0);
    assert!(cost_optimal(&question, 0.0, 1.0).is_err());
}

#[test]
fn what_cannot_be_asked_is_refused() {
    let fine = ask(100.0, &[pieces(0.95, 0.0)]);
    let with = |kind| smallest(&ask(100.0, &[kind]), 0.95);
    for demand in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(matches!(
            smallest(&ask(demand, &[]), 0.95),
            Err(StartError::Demand(_))
        ));
    }
    for certainty in [0.0, 1.0, f64::NAN] {
        assert!(matches!(
            smallest(&fine, certainty),
            Err(StartError::Certainty(_))
        ));
    }
    for good in [0.0, 1.01, f64::NAN] {
        assert!(matches!(
            with(pieces(good, 0.0)),
            Err(StartError::Step { step: 0, .. })
        ));
    }
    assert!(matches!(
        with(pieces(0.9, -0.1)),
        Err(StartError::Step { .. })
    ));
    assert!(matches!(
        with(pieces(0.9, 0.31)),
        Err(StartError::LotSpread { .. })
    ));
    assert!(matches!(
        with(pieces(1.0, 0.1)),
        Err(StartError::LotSpread { .. })
    ));
    let rework = StepKind::Rework {
        first_pass: 0.9,
        lots_sd: 0.0,
        recovered: 1.5,
    };
    assert!(matches!(with(rework), Err(StartError::Step { .. })));
    assert!(matches!(
        odds(&fine, f64::NAN),
        Err(StartError::Quantity(_))
    ));
    let mut lot = fine.clone();
    lot.lot = Some(0.0);
    assert!(matches!(smallest(&lot, 0.95), Err(StartError::Lot(_))));
}

#[test]
fn lots_can_put_a_certainty_out_of_reach() {
    // Boards of mean 14, lot sd 10: one lot in 12 gives nothing; Φ(1.4) = 0.9192.
    let boards = StepKind::Gives {
        mean: 14.0,
        sd: 4.0,
        lots_sd: 10.0,
    };
    let found = smallest(&ask(5000.0, &[boards]), 0.95);
    let Err(StartError::OutOfReach { ceiling, .. }) = found else {
        panic!("{found:?}")
    };
    assert!((ceiling - 0.9192).abs() < 1e-4);
    // At 91 % z = 1.340755 and n·(14 − 13.40755) ≈ 5000 + 1.34·16/20: 8,441 boards or so.
    let found = start(&ask(5000.0, &[boards]), 0.91).quantity;
    assert!((8435.0..8447.0).contains(&found), "{found}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// The answer reaches the certainty and one piece less does not, by direct sums of chances.
    #[test]
    fn binomial_answers_carry_their_proof(
        demand in 1_u64..200, good in 0.3_f64..0.999, certainty in 0.02_f64..0.999,
    ) {
        let found = start(&ask(demand as f64, &[pieces(good, 0.0)]), certainty);
        let n = found.quantity as u64;
        let sum = |n: u64| (demand..=n).map(|k| binomial::pmf(n, k, good)).sum::<f64>();
        prop_assert!(sum(n) >= certainty - 1e-12 && sum(n - 1) < certainty + 1e-12);
    }

    /// The same for lots that differ.
    #[test]
    fn beta_binomial_answers_carry_their_proof(
        demand in 1_u64..100, good in 0.6_f64..0.99, part in 0.01_f64..0.2, certainty in 0.05_f64..0.95,
    ) {
        let sd = part * (good * (1.0 - good)).sqrt();
        let found = start(&ask(demand as f64, &[pieces(good, sd)]), certainty);
        let lots = BetaBinomial::from_mean_sd(good, sd).unwrap();
        let n = found.quantity as u64;
        let sum = |n: u64| (demand..=n).map(|k| lots.pmf(n, k)).sum::<f64>();
        prop_assert!(sum(n) >= certainty - 1e-10 && sum(n - 1) < certainty + 1e-10);
    }

    /// More started is never less certain, a higher certainty never needs less, and the answer is
    /// the same every time.
    #[test]
    fn odds_climb(
        demand in 1_u32..2000, a in 0.6_f64..0.99, b in 0.6_f64..0.99, part in 0.0_f64..0.2,
        lot in prop::option::of(20.0_f64..500.0), certainty in 0.05_f64..0.9,
    ) {
        let sd = |good: f64| part * (good * (1.0 - good)).sqrt();
        let mut question = ask(f64::from(demand), &[pieces(a, sd(a)), pieces(b, sd(b))]);
        question.lot = lot;
        let found = start(&question, certainty);
        prop_assert_eq!(found, start(&question, certainty));
        prop_assert!(found.odds >= certainty);
        prop_assert!(odds_at(&question, found.quantity - 1.0) < certainty);
        prop_assert!(odds_at(&question, found.quantity + 1.0) >= found.odds - 1e-9);
        prop_assert!(start(&question, certainty + 0.05).quantity >= found.quantity);
    }

    /// Any numbers at all give an answer or a refusal, never a panic, and odds from 0 to 1.
    #[test]
    fn nothing_panics(
        demand in prop::num::f64::ANY, mean in prop::num::f64::ANY, sd in prop::num::f64::ANY,
        good in 0.0_f64..1.2, spread in 0.0_f64..0.6, lot in prop::option::of(prop::num::f64::ANY),
        quantity in prop::num::f64::ANY, certainty in prop::num::f64::ANY, whole: bool,
    ) {
        let kinds = [
            StepKind::Gives { mean, sd, lots_sd: sd },
            pieces(good, spread),
            StepKind::Measure { keeps: good, lots_sd: spread },
        ];
        for some in [&kinds[..1], &kinds[1..2], &kinds[1..], &kinds[..]] {
            let mut question = ask(demand.abs().min(1e9), some);
            question.lot = lot.map(|lot| lot.abs().max(1e-3));
            question.whole_units = whole;
            if let Ok((p, _, error)) = odds(&question, quantity.abs().min(1e7)) {
                prop_assert!((0.0..=1.0).contains(&p) && error >= 0.0);
            }
            if let Ok(found) = smallest(&question, certainty) {
                prop_assert!(found.odds >= certainty);
            }
        }
    }
}
