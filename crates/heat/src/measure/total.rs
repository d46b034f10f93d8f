//! Adding up a rate along a history: the total, how it grows, and when it reaches what is wanted.

use serde::Serialize;

use super::piece::{Piece, pieces};
use crate::fault::Fault;
use crate::trace::{Sample, Trace, between};

/// What a rate along the history adds up to.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Total {
    /// At the end of the history, in units of the rate times s.
    pub total: f64,
    /// From the beginning, growing. Samples lie so close that what is read between them is right to a
    /// share of 1e-6 of what is reached at the next.
    pub running: Trace,
    /// When each of the wanted totals is reached, s; `None` where the history ends before.
    pub reached_s: Vec<Option<f64>>,
}

/// Allowed share of error of the integral over one stretch.
const SHARE: f64 = 1e-10;
/// Allowed error at quarters between samples of the running total, as a share of it: half of what is promised,
/// as the worst place may lie between.
const READ_SHARE: f64 = 5e-7;
/// Deepest halving of a stretch: a millionth of it.
const DEEPEST: u32 = 20;
const HALVINGS: usize = 60;

/// Nodes, weights of the 15-point Kronrod rule, and weights of the 7-point Gauss rule within it.
/// Kronrod 1965; computed with 30 digits and compared here.
const RULE: [(f64, f64, f64); 8] = [
    (0.991_455_371_120_812_6, 0.022_935_322_010_529_22, 0.0),
    (
        0.949_107_912_342_758_5,
        0.063_092_092_629_978_55,
        0.129_484_966_168_869_7,
    ),
    (0.864_864_423_359_769_1, 0.104_790_010_322_250_2, 0.0),
    (
        0.741_531_185_599_394_4,
        0.140_653_259_715_525_9,
        0.279_705_391_489_276_7,
    ),
    (0.586_087_235_467_691_1, 0.169_004_726_639_267_9, 0.0),
    (
        0.405_845_151_377_397_2,
        0.190_350_578_064_785_4,
        0.381_830_050_505_118_9,
    ),
    (0.207_784_955_007_898_5, 0.204_432_940_075_298_9, 0.0),
    (0.0, 0.209_482_141_084_727_8, 0.417_959_183_673_469_4),
];

/// Integral over the shares from `low` to `high` by both rules, in units of the rate times s.
fn both(piece: &Piece, rate: &dyn Fn(f64) -> f64, low: f64, high: f64) -> (f64, f64) {
    let (middle, half) = (0.5 * (low + high), 0.5 * (high - low));
    let (mut fine, mut coarse) = (0.0, 0.0);
    for (node, kronrod, gauss) in RULE {
        let step = half * node;
        let mut value = rate(piece.at(middle + step));
        if node > 0.0 {
            value += rate(piece.at(middle - step));
        }
        fine += kronrod * value;
        coarse += gauss * value;
    }
    (fine * half * piece.span_s, coarse * half * piece.span_s)
}

/// The same by Gauss's seven points alone: half the work, and good enough to judge what is read.
fn seven(piece: &Piece, rate: &dyn Fn(f64) -> f64, low: f64, high: f64) -> f64 {
    let (middle, half) = (0.5 * (low + high), 0.5 * (high - low));
    let mut sum = 0.0;
    for (node, _, gauss) in RULE {
        if gauss > 0.0 {
            let step = half * node;
            sum += gauss * rate(piece.at(middle + step));
            if node > 0.0 {
                sum += gauss * rate(piece.at(middle - step));
            }
        }
    }
    sum * half * piece.span_s
}

struct Adder<'a> {
    rate: &'a dyn Fn(f64) -> f64,
    wanted: &'a [f64],
    sum: f64,
    running: Trace,
    reached_s: Vec<Option<f64>>,
}

impl Adder<'_> {
    fn sample(&mut self, time_s: f64, slope_per_s: f64) {
        let next = Sample {
            time_s,
            value: self.sum,
            slope_per_s,
        };
        if self.running.samples().last() != Some(&next) {
            self.running.push(next);
        }
    }

    /// Adds the shares from `low` to `high` of a piece, halved until both rules and the running total agree.
    fn add(&mut self, piece: &Piece, low: f64, high: f64, depth: u32) {
        let (fine, coarse) = both(piece, self.rate, low, high);
        let ends = [low, high].map(|share| (self.rate)(piece.at(share)));
        // A rate beyond all numbers is refused in the end, and no halving makes it one.
        let beyond = !(self.sum + fine).is_finite();
        let good = beyond
            || (fine - coarse).abs() <= SHARE * fine.abs()
                && self.reads_well(piece, low, high, ends, fine);
        if !good && depth < DEEPEST {
            let middle = 0.5 * (low + high);
            self.add(piece, low, middle, depth + 1);
            self.add(piece, middle, high, depth + 1);
            return;
        }
        self.sample(piece.time_s(low), ends[0]);
        for at in 0..self.wanted.len() {
            let missing = self.wanted[at] - self.sum;
            if self.reached_s[at].is_none() && missing <= fine {
                self.reached_s[at] = Some(self.when(piece, low, high, missing));
            }
        }
        self.sum += fine;
        self.sample(piece.time_s(high), ends[1]);
    }

    /// Whether the cubic between the running total's samples at both ends is right at the quarters.
    fn reads_well(&self, piece: &Piece, low: f64, high: f64, ends: [f64; 2], sum: f64) -> bool {
        let sample = |share: f64, value: f64, slope_per_s: f64| Sample {
            time_s: share,
            value,
            slope_per_s: slope_per_s * piece.span_s,
        };
        let (a, b) = (sample(low, 0.0, ends[0]), sample(high, sum, ends[1]));
        [0.25, 0.5, 0.75].into_iter().all(|part| {
            let share = low + part * (high - low);
            let known = seven(piece, self.rate, low, share);
            (between(a, b, share) - known).abs() <= READ_SHARE * (self.sum + sum.abs())
        })
    }

    /// When within the shares from `low` to `high` the missing amount has been added, s.
    fn when(&self, piece: &Piece, low: f64, high: f64, missing: f64) -> f64 {
        let (mut before, mut after) = (low, high);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (before + after);
            if both(piece, self.rate, low, middle).0 < missing {
                before = middle;
            } else {
                after = middle;
            }
        }
        piece.time_s(after)
    }
}

/// Adds up a rate that is never below nought and depends on the value of the trace alone. At each of the
/// `kinks` the rate may change its law; between them it is smooth.
pub(crate) fn along(
    trace: &Trace,
    rate: &dyn Fn(f64) -> f64,
    kinks: &[f64],
    wanted: &[f64],
) -> Result<Total, Fault> {
    let mut adder = Adder {
        rate,
        wanted,
        sum: 0.0,
        running: Trace::default(),
        reached_s: vec![None; wanted.len()],
    };
    for piece in pieces(trace)? {
        let mut marks = vec![0.0, 1.0];
        for kink in kinks {
            marks.extend(piece.meets(*kink));
        }
        marks.sort_by(f64::total_cmp);
        for pair in marks.windows(2) {
            if pair[1] > pair[0] {
                adder.add(&piece, pair[0], pair[1], 0);
            }
        }
    }
    if !adder.sum.is_finite() {
        return Err(Fault::Impossible {
            asked: "add up along the history",
            why: "the rate grows beyond all numbers at its hottest".to_owned(),
        });
    }
    Ok(Total {
        total: adder.sum,
        running: adder.running,
        reached_s: adder.reached_s,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn polynomials_up_to_the_degree_of_the_rules_are_exact() {
        // Kronrod's rule of 15 is exact to degree 22, Gauss's of 7 to degree 13 (known of the rules).
        let line = pieces(&Trace::straight(&[(0.0, 0.0), (1.0, 1.0)])).unwrap();
        for degree in 0..=22_i32 {
            let (fine, coarse) = both(&line[0], &|x: f64| x.powi(degree), 0.0, 1.0);
            let exact = 1.0 / (f64::from(degree) + 1.0);
            assert!((fine - exact).abs() < 2e-15, "degree {degree}: {fine}");
            if degree <= 13 {
                assert!((coarse - exact).abs() < 2e-15, "degree {degree}: {coarse}");
            }
        }
    }

    #[test]
    fn a_rate_beyond_all_numbers_is_refused_at_once() {
        // 10^(1000 x) overflows from x = 0.308 on: halving there would go on to the depth of 2^20 stretches.
        let count = std::cell::Cell::new(0_u32);
        let line = Trace::straight(&[(0.0, 0.0), (1.0, 1.0)]);
        let rate = |x: f64| {
            count.set(count.get() + 1);
            libm::exp10(1000.0 * x)
        };
        let found = along(&line, &rate, &[], &[]);
        assert!(matches!(found, Err(Fault::Impossible { .. })));
        assert!(count.get() < 100_000, "{} times", count.get());
    }

    #[test]
    fn a_stiff_rate_is_halved_until_it_is_right() {
        // ∫ 10^(200 x) over 0..1 = (10^200 - 1)/(200 ln 10), by hand.
        let line = Trace::straight(&[(0.0, 0.0), (1.0, 1.0)]);
        let total = along(&line, &|x| libm::exp10(200.0 * x), &[], &[1e190]).unwrap();
        let rate = 200.0 * std::f64::consts::LN_10;
        let exact = 1e200 / rate;
        assert!((total.total / exact - 1.0).abs() < 1e-11);
        // (10^(200 x) - 1)/rate = 1e190 at x = log10(1e190 rate)/200. The share in x is that of the
        // integral over the rate, 1e-10/460.
        let when = libm::log10(1e190 * rate) / 200.0;
        assert!((total.reached_s[0].unwrap() - when).abs() < 1e-12);
        // The running total read between samples is right to its stated share.
        for step in 1..1000 {
            let time = f64::from(step) / 1000.0;
            let exact = libm::exp(rate * time) / rate - 1.0 / rate;
            let read = total.running.at(time).unwrap();
            assert!(
                (read - exact).abs() <= 1e-6 * exact,
                "{read} for {exact} at {time}"
            );
        }
    }
}
