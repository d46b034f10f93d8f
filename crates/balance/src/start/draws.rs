//! Standard normal scores for drawn lots, spread so that an average over few of them is close.
//!
//! What comes out of an order depends on the scores of its lots almost along one line: the sum
//! of each score times the lot's size and the step's spread. The scores are turned (Householder
//! 1958; Imai & Tan 2006 for the idea) so that the first axis is that line. Along it the points
//! are in equal steps of a wider normal, weighted back: the trapezoid rule, which for smooth
//! functions that vanish at the ends is close to exact (Trefethen & Weideman 2014). The next five
//! axes take the lattice that goes with it, the others Latin hypercubes (McKay, Beckman & Conover
//! 1979).

use chance::special::normal_quantile;
use chance::{Lattice, Stream};

/// Independent repeats, for the standard error.
pub(super) const REPEATS: usize = 8;
/// Draws in a repeat.
pub(super) const POINTS: usize = Lattice::POINTS;
/// The first axis is drawn from a normal so many times as wide, so that the odds of one in a
/// thousand are as well resolved as even odds.
const WIDTH: f64 = 2.0;

/// The first lots of an order, drawn together: scores by axis and then by draw, and the weight
/// of each draw. The weights of a repeat sum to one.
pub(super) struct Draws {
    pub(super) scores: Vec<Vec<f64>>,
    pub(super) weights: Vec<f64>,
}

impl Draws {
    /// As many axes as `line` has entries; `line` is the direction that matters most.
    pub(super) fn along(line: &[f64], seed: u64) -> Self {
        let (first, weights) = weighted_axis(seed);
        let mut scores = vec![first];
        scores.extend((1..line.len()).map(|axis| spread_axis(axis, seed)));
        turn(&mut scores, line);
        Self { scores, weights }
    }
}

fn stream(seed: u64, axis: usize, repeat: usize) -> Stream {
    Stream::new(seed, &format!("axis {axis} repeat {repeat}"))
}

/// Equal steps of the chance of a normal twice as wide, shifted at random in each repeat and
/// weighted back: the density ratio φ(z)/φ(z/2), in proportion to exp(−3z²/8).
fn weighted_axis(seed: u64) -> (Vec<f64>, Vec<f64>) {
    let mut scores = Vec::with_capacity(REPEATS * POINTS);
    let mut weights = Vec::with_capacity(REPEATS * POINTS);
    for repeat in 0..REPEATS {
        let shift = stream(seed, 0, repeat).uniform();
        let place = |index| (index as f64 + shift) / POINTS as f64;
        let wide: Vec<f64> = (0..POINTS)
            .map(|index| WIDTH * normal_quantile(place(index)))
            .collect();
        let ratio = |z: &f64| libm::exp(0.5 * z * z * (1.0 / (WIDTH * WIDTH) - 1.0));
        let mass: f64 = wide.iter().map(ratio).sum();
        weights.extend(wide.iter().map(|z| ratio(z) / mass));
        scores.extend(wide);
    }
    (scores, weights)
}

/// Scores of every draw along an axis other than the first.
pub(super) fn spread_axis(axis: usize, seed: u64) -> Vec<f64> {
    let mut scores = Vec::with_capacity(REPEATS * POINTS);
    for repeat in 0..REPEATS {
        let mut stream = stream(seed, axis, repeat);
        if axis < Lattice::GENERATOR.len() {
            let shift = stream.uniform();
            let place = |index| Lattice::coordinate(index, axis, shift);
            scores.extend((0..POINTS).map(place).map(normal_quantile));
        } else {
            scores.extend(hypercube_axis(&mut stream));
        }
    }
    scores
}

/// One score in each of as many strata of equal chance, in random order.
fn hypercube_axis(stream: &mut Stream) -> Vec<f64> {
    let mut strata: [u16; POINTS] = std::array::from_fn(|index| index as u16);
    stream.shuffle(&mut strata);
    let inside = |stratum: u16| (f64::from(stratum) + stream.uniform()) / POINTS as f64;
    strata
        .into_iter()
        .map(inside)
        .map(normal_quantile)
        .collect()
}

/// Reflects every draw so that the first axis comes to lie along `line`. Independent standard
/// normals stay so under a reflection.
fn turn(scores: &mut [Vec<f64>], line: &[f64]) {
    let length = libm::sqrt(line.iter().map(|x| x * x).sum());
    if length <= 0.0 || !length.is_finite() {
        return;
    }
    let mut mirror: Vec<f64> = line.iter().map(|x| -x / length).collect();
    mirror[0] += 1.0;
    let square: f64 = mirror.iter().map(|x| x * x).sum();
    if square < 1e-24 {
        return;
    }
    for draw in 0..REPEATS * POINTS {
        let along: f64 = mirror
            .iter()
            .zip(scores.iter())
            .map(|(m, axis)| m * axis[draw])
            .sum();
        for (m, axis) in mirror.iter().zip(scores.iter_mut()) {
            axis[draw] -= 2.0 * along / square * m;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scores_are_independent_standard_normals() {
        let draws = Draws::along(&[3.0, 1.0, 2.0, 0.5, 1.0, 1.0, 1.0, 1.0], 5);
        let average = |f: &dyn Fn(usize) -> f64| {
            let draws = draws.weights.iter().enumerate();
            draws.map(|(draw, weight)| weight * f(draw)).sum::<f64>() / REPEATS as f64
        };
        // The weights are worth about 0.66·2008 = 1325 even draws: a standard error of 0.027 for a
        // mean or a product and √2 of that for a square.
        for (i, a) in draws.scores.iter().enumerate() {
            assert!(average(&|draw| a[draw]).abs() < 4.0 * 0.027);
            for (j, b) in draws.scores.iter().enumerate() {
                let expected = f64::from(u8::from(i == j));
                let found = average(&|draw| a[draw] * b[draw]);
                assert!((found - expected).abs() < 4.0 * 0.039, "{i} {j}: {found}");
            }
        }
    }

    #[test]
    fn the_line_is_integrated_closely() {
        // The score along (3, 4)/5 is the first axis: E z⁴ = 3, E z⁶ = 15.
        let draws = Draws::along(&[3.0, 4.0], 5);
        for (power, moment) in [(2, 1.0), (4, 3.0), (6, 15.0)] {
            let score = |draw: usize| 0.6 * draws.scores[0][draw] + 0.8 * draws.scores[1][draw];
            let sum: f64 = (0..POINTS)
                .map(|i| draws.weights[i] * score(i).powi(power))
                .sum();
            assert!((sum - moment).abs() < 1e-6 * moment, "{power}: {sum}");
        }
    }
}
