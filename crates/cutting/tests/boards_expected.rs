//! Expected yield: the published table, the closed forms against simulation, and the fit of the rate.

use chance::{Distribution, Stream};
use cutting::boards::expected::*;
use proptest::prelude::*;

/// TRADE.md 1.1 (derived and simulated there): kerf 4 mm, 30 mm a fault; whole percents.
#[test]
fn the_endless_yield_is_that_of_the_table() {
    let lengths = [150.0, 300.0, 600.0, 1000.0, 1500.0];
    let table = [
        (0.25, [95, 94, 91, 87, 82]),
        (0.5, [92, 90, 84, 76, 66]),
        (1.0, [88, 82, 70, 56, 42]),
        (2.0, [79, 68, 49, 29, 15]),
        (3.0, [71, 56, 33, 14, 5]),
        (5.0, [57, 37, 14, 3, 0]),
    ];
    for (per_metre, row) in table {
        for (length, percent) in lengths.into_iter().zip(row) {
            let found = 100.0 * endless_yield(per_metre / 1000.0, 30.0, 4.0, length);
            assert!(
                (found - f64::from(percent)).abs() <= 0.5,
                "{per_metre}/m, {length}: {found} for {percent}"
            );
        }
    }
    // Without faults only the kerf is lost: 150/154.
    assert_eq!(endless_yield(0.0, 30.0, 4.0, 150.0), 150.0 / 154.0);
}

/// Value and count of the first length of one board with these faults, gap by gap.
fn cut_one(
    board: &Unseen,
    wanted: &[Wanted],
    faults: &[f64],
    best: &dyn Fn(f64) -> (f64, f64),
) -> (f64, f64) {
    let half = board.fault as f64 / 2.0;
    let (mut free, mut value, mut count) = (0.0, 0.0, 0.0);
    for &fault in faults.iter().chain([&(board.length as f64 + half)]) {
        let (v, n) = best(fault - half - free);
        value += v;
        count += n;
        free = fault + half;
    }
    let _ = wanted;
    (value, count)
}

/// The best of a clear length by a table over whole units: a knapsack other than the one in the crate.
fn knapsack(wanted: &[Wanted], kerf: u64, longest: u64) -> Vec<(f64, f64)> {
    let mut best = vec![(0.0, 0.0); (longest + kerf + 1) as usize];
    for at in 1..best.len() {
        best[at] = best[at - 1];
        for (number, w) in wanted.iter().enumerate() {
            let need = (w.length + kerf) as usize;
            if need <= at && best[at - need].0 + w.value > best[at].0 {
                let (v, n) = best[at - need];
                best[at] = (v + w.value, n + f64::from(u8::from(number == 0)));
            }
        }
    }
    best
}

/// Mean and standard deviation of value and count over simulated boards.
fn simulate(
    board: &Unseen,
    wanted: &[Wanted],
    rate: f64,
    boards: usize,
    seed: u64,
) -> [(f64, f64); 2] {
    let table = knapsack(wanted, board.kerf, board.length);
    let best = |clear: f64| {
        if clear < 0.0 {
            (0.0, 0.0)
        } else {
            table[clear as usize + board.kerf as usize]
        }
    };
    let mut stream = Stream::new(seed, "boards");
    let (mut values, mut counts) = (Vec::new(), Vec::new());
    for _ in 0..boards {
        let (mut at, mut faults) = (0.0, Vec::new());
        loop {
            at += -stream.uniform().ln() / rate;
            if at > board.length as f64 {
                break;
            }
            faults.push(at);
        }
        let (value, count) = cut_one(board, wanted, &faults, &best);
        values.push(value);
        counts.push(count);
    }
    [values, counts].map(|numbers| {
        (
            chance::estimate::mean(&numbers),
            chance::estimate::sd(&numbers),
        )
    })
}

/// C: mean and sd by the closed forms against 40,000 simulated boards (within four standard errors; that of an
/// sd is taken as sd/√(2n), doubled for tails heavier than the normal).
#[test]
fn the_closed_forms_are_those_of_simulated_boards() {
    let one = vec![Wanted {
        length: 300,
        value: 1.0,
    }];
    let three = vec![
        Wanted {
            length: 250,
            value: 250.0,
        },
        Wanted {
            length: 410,
            value: 430.0,
        },
        Wanted {
            length: 700,
            value: 760.0,
        },
    ];
    const BOARDS: usize = 40_000;
    for (wanted, rate) in [
        (&one, 0.0008),
        (&one, 0.003),
        (&three, 0.0005),
        (&three, 0.002),
    ] {
        let board = Unseen {
            length: 2400,
            fault: 30,
            kerf: 4,
        };
        let lots = FaultRate {
            mean: rate,
            lot_sd: 0.0,
        };
        let found = expected(&board, wanted, &lots).unwrap();
        let simulated = simulate(&board, wanted, rate, BOARDS, 7);
        for (found, (mean, sd)) in [found.value, found.parts[0]].into_iter().zip(simulated) {
            let error = sd / (BOARDS as f64).sqrt();
            assert!(
                (found.mean - mean).abs() < 4.0 * error,
                "mean {} for {mean} ± {error}",
                found.mean
            );
            assert!(
                (found.within_sd - sd).abs() < 4.0 * error * 2.0_f64.sqrt(),
                "sd {} for {sd}",
                found.within_sd
            );
            assert_eq!(found.lot_sd, 0.0);
        }
    }
}

/// A long board yields as one without end: 500 m of it, to a tenth of a percent.
#[test]
fn a_long_board_yields_as_one_without_end() {
    let board = Unseen {
        length: 500_000,
        fault: 30,
        kerf: 4,
    };
    let wanted = [Wanted {
        length: 600,
        value: 1.0,
    }];
    let lots = FaultRate {
        mean: 0.001,
        lot_sd: 0.0,
    };
    let share = expected(&board, &wanted, &lots).unwrap().parts[0].mean * 600.0 / 500_000.0;
    let endless = endless_yield(0.001, 30.0, 4.0, 600.0);
    assert!(
        (share / endless - 1.0).abs() < 1e-3,
        "{share} for {endless}"
    );
}

/// Lots that differ: the mean is that over lots, and the lot sd about |dE/dλ|·sd(λ) for a small spread.
#[test]
fn the_spread_of_lots_comes_through() {
    let board = Unseen {
        length: 2400,
        fault: 30,
        kerf: 4,
    };
    let wanted = [Wanted {
        length: 300,
        value: 1.0,
    }];
    let at = |mean: f64, lot_sd: f64| {
        expected(&board, &wanted, &FaultRate { mean, lot_sd })
            .unwrap()
            .value
    };
    let slope = (at(0.00101, 0.0).mean - at(0.00099, 0.0).mean) / 0.00002;
    let spread = at(0.001, 0.00005);
    assert!(
        (spread.lot_sd / (slope.abs() * 0.00005) - 1.0).abs() < 0.02,
        "{spread:?}, slope {slope}"
    );
    assert!((spread.within_sd / at(0.001, 0.0).within_sd - 1.0).abs() < 0.01);
}

/// C: three lots of 10 m with 10, 10 and 10 faults do not differ: mean 1 a metre, error √(30)/30 = 0.1826.
#[test]
fn lots_alike_have_no_spread() {
    let lots = [LotCount {
        length: 10,
        faults: 10,
    }; 3];
    let fit = fit_rate(&lots).unwrap();
    assert_eq!(
        fit.rate,
        FaultRate {
            mean: 1.0,
            lot_sd: 0.0
        }
    );
    assert!((fit.mean_error - 30.0_f64.sqrt() / 30.0).abs() < 1e-12);
    assert_eq!(fit_rate(&[]), Err(ExpectedFault::NothingCounted));
}

/// C: counts drawn from a gamma–Poisson of mean 0.8 and lot sd 0.3 a metre over 400 lots of 60 m come back.
/// The standard error of the mean is 0.3/√400 = 0.015 and a little more; that of the sd about 0.3/√800 = 0.011.
#[test]
fn a_known_spread_is_found_again() {
    let lots = Distribution::gamma_from_mean_sd(0.8, 0.3).unwrap();
    let mut stream = Stream::new(3, "lots");
    let mut counts = Vec::new();
    for _ in 0..400 {
        let rate = lots.sample(&mut stream);
        let (mut at, mut faults) = (0.0, 0);
        loop {
            at += -stream.uniform().ln() / rate;
            if at > 60.0 {
                break;
            }
            faults += 1;
        }
        counts.push(LotCount { length: 60, faults });
    }
    let fit = fit_rate(&counts).unwrap();
    assert!((fit.rate.mean - 0.8).abs() < 3.0 * 0.017, "{fit:?}");
    assert!((fit.rate.lot_sd - 0.3).abs() < 3.0 * 0.014, "{fit:?}");
    assert!((0.013..0.02).contains(&fit.mean_error), "{fit:?}");
}

proptest! {
    #[test]
    fn more_faults_never_yield_more(rate in 0.0..0.01_f64, more in 0.0..0.01_f64, fault in 0..80_u64, kerf in 0..8_u64) {
        let board = Unseen { length: 2000, fault, kerf };
        let wanted = [Wanted { length: 220, value: 2.0 }, Wanted { length: 500, value: 5.0 }];
        let at = |mean: f64| expected(&board, &wanted, &FaultRate { mean, lot_sd: 0.0 }).unwrap();
        let (few, many) = (at(rate), at(rate + more));
        prop_assert!(many.value.mean <= few.value.mean * (1.0 + 1e-9));
        // The value is that of the parts, on average too.
        let parts = 2.0 * few.parts[0].mean + 5.0 * few.parts[1].mean;
        prop_assert!((parts - few.value.mean).abs() < 1e-6);
    }
}
