//! Drying: the curve of weighed pieces, the time to a wanted loss, and the two periods of the books.
//!
//! Weighed pieces follow `W(t) = We + (W0 - We) exp(-k t)` while air and piece stay as they are. The fit is that of
//! least squares; for a given k the rest is a straight line, so that k alone is sought (Golub & Pereyra 1973). Standard errors come from
//! the linearised model (Bates & Watts 1988); intervals of times from the propagation of errors, and are too
//! narrow close to the end weight. Beyond the last weighing the curve is a guess.

mod curve;
mod periods;

use chance::special::student_t_quantile;
use serde::Serialize;

use crate::fault::{Fault, positive, within};

pub use curve::{Curve, When};
pub use periods::{FallingRate, constant_rate_kg_m2_s, constant_rate_s, falling_rate_s};

/// Weighings of one piece: time, s, and weight in one unit throughout.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Weighed {
    /// In order of time, from the start of drying.
    pub weighings: Vec<(f64, f64)>,
}

/// Rates are sought from a hundredth of the slowest to twenty times the fastest that the times can show.
const SLOWEST: f64 = 0.01;
const FASTEST: f64 = 20.0;
const STEPS: i32 = 300;

/// The straight line of weight over `exp(-k t)` for a given k, of one piece.
struct Line {
    end: f64,
    to_lose: f64,
    squares: f64,
    /// Half the change of the squares with k.
    slope: f64,
}

fn mean(values: impl Iterator<Item = f64> + Clone) -> f64 {
    values.clone().sum::<f64>() / values.count() as f64
}

fn line(piece: &Weighed, k: f64) -> Line {
    let points = piece
        .weighings
        .iter()
        .map(|(t, w)| (libm::exp(-k * t), *t, *w));
    let middle = mean(points.clone().map(|p| p.0));
    let weight = mean(points.clone().map(|p| p.2));
    let (mut across, mut own) = (0.0, 0.0);
    for (e, _, w) in points.clone() {
        across += (e - middle) * (w - weight);
        own += (e - middle) * (e - middle);
    }
    let to_lose = across / own;
    let end = weight - to_lose * middle;
    let (mut squares, mut slope) = (0.0, 0.0);
    for (e, t, w) in points {
        let off = w - weight - to_lose * (e - middle);
        squares += off * off;
        slope += off * to_lose * t * e;
    }
    Line {
        end,
        to_lose,
        squares,
        slope,
    }
}

fn cannot(why: String) -> Fault {
    Fault::Impossible {
        asked: "fit a drying curve",
        why,
    }
}

fn check(pieces: &[Weighed], fewest: usize) -> Result<(), Fault> {
    if pieces.is_empty() {
        return Err(Fault::Missing("weighed piece"));
    }
    for piece in pieces {
        for (time, weight) in &piece.weighings {
            within("time of a weighing", *time, 0.0, f64::MAX)?;
            positive("weight", *weight)?;
        }
        for pair in piece.weighings.windows(2) {
            if pair[1].0 <= pair[0].0 {
                return Err(cannot(format!(
                    "weighings must go forward in time, found {} s after {} s",
                    pair[1].0, pair[0].0
                )));
            }
        }
        let count = piece.weighings.len();
        if count < fewest {
            return Err(cannot(format!(
                "found {count} weighings of a piece, where it takes {fewest}"
            )));
        }
    }
    Ok(())
}

/// The rate at which the squares of all pieces together are least.
fn best_rate(pieces: &[Weighed]) -> Result<f64, Fault> {
    let times = || {
        pieces
            .iter()
            .flat_map(|piece| piece.weighings.iter().map(|w| w.0))
    };
    let last = times().fold(0.0, f64::max);
    let gaps = pieces
        .iter()
        .flat_map(|piece| piece.weighings.windows(2).map(|w| w[1].0 - w[0].0));
    let (low, high) = (SLOWEST / last, FASTEST / gaps.fold(last, f64::min));
    let ratio = libm::log(high / low) / f64::from(STEPS);
    let at = |step: i32| low * libm::exp(ratio * f64::from(step));
    let squares = |k: f64| {
        pieces
            .iter()
            .map(|piece| line(piece, k).squares)
            .sum::<f64>()
    };
    let mut best = (0, squares(at(0)));
    for step in 1..=STEPS {
        let own = squares(at(step));
        if own < best.1 {
            best = (step, own);
        }
    }
    if best.0 == 0 {
        return Err(cannot(
            "the loss has not begun to slow down, so that no end weight can be told: weigh on"
                .to_owned(),
        ));
    }
    if best.0 == STEPS {
        return Err(cannot(
            "nearly all is lost before the second weighing: weigh sooner".to_owned(),
        ));
    }
    let slope = |k: f64| pieces.iter().map(|piece| line(piece, k).slope).sum::<f64>();
    let (mut low, mut high) = (at(best.0 - 1), at(best.0 + 1));
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if slope(middle) < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(0.5 * (low + high))
}

/// How the column of k leans on those of the straight line (intercept, slope), what of it stands free (sum of
/// squares), and the inverse of the line's own normal equations.
struct Lean {
    on: [f64; 2],
    free: f64,
    inverse: [[f64; 2]; 2],
}

fn lean(piece: &Weighed, k: f64, to_lose: f64) -> Lean {
    let points = piece.weighings.iter().map(|(t, _)| {
        let e = libm::exp(-k * t);
        (e, -to_lose * t * e)
    });
    let count = piece.weighings.len() as f64;
    let (e_mean, j_mean) = (
        mean(points.clone().map(|p| p.0)),
        mean(points.clone().map(|p| p.1)),
    );
    let (mut across, mut own) = (0.0, 0.0);
    for (e, j) in points.clone() {
        across += (e - e_mean) * (j - j_mean);
        own += (e - e_mean) * (e - e_mean);
    }
    let slope = across / own;
    let free = points
        .map(|(e, j)| {
            let off = j - j_mean - slope * (e - e_mean);
            off * off
        })
        .sum();
    Lean {
        on: [j_mean - slope * e_mean, slope],
        free,
        inverse: [
            [1.0 / count + e_mean * e_mean / own, -e_mean / own],
            [-e_mean / own, 1.0 / own],
        ],
    }
}

/// Fits pieces that share one rate k (same air, same thickness); each has its own weights. At least three weighings of
/// each and two more than figures fitted in all.
pub fn fit_together(pieces: &[Weighed]) -> Result<Vec<Curve>, Fault> {
    check(pieces, 3)?;
    let figures = 2 * pieces.len() + 1;
    let count: usize = pieces.iter().map(|piece| piece.weighings.len()).sum();
    if count <= figures {
        return Err(cannot(format!(
            "found {count} weighings for {figures} figures, which leaves none to judge by"
        )));
    }
    let k = best_rate(pieces)?;
    let spare = count - figures;
    let lines: Vec<Line> = pieces.iter().map(|piece| line(piece, k)).collect();
    let variance = lines.iter().map(|line| line.squares).sum::<f64>() / spare as f64;
    let leans: Vec<Lean> = pieces
        .iter()
        .zip(&lines)
        .map(|(piece, line)| lean(piece, k, line.to_lose))
        .collect();
    let k_variance = variance / leans.iter().map(|lean| lean.free).sum::<f64>();
    told(k, k_variance, spare)?;
    let mut curves = Vec::with_capacity(pieces.len());
    for (line, lean) in lines.iter().zip(&leans) {
        if line.to_lose <= 0.0 {
            return Err(cannot("a piece grows heavier".to_owned()));
        }
        if line.end < 0.0 {
            return Err(cannot(format!(
                "the curve would end at a weight of {:.4}, below nought: weigh on",
                line.end
            )));
        }
        curves.push(Curve {
            end_weight: line.end,
            to_lose: line.to_lose,
            rate_per_s: k,
            covariance: covariance(lean, variance, k_variance),
            scatter: variance.sqrt(),
            spare,
        });
    }
    Ok(curves)
}

/// Refuses a rate that the scatter does not tell from nought (95 %).
fn told(k: f64, k_variance: f64, spare: usize) -> Result<(), Fault> {
    let error = student_t_quantile(spare as f64, 0.975) * k_variance.sqrt();
    if error.is_finite() && error < k {
        return Ok(());
    }
    Err(cannot(format!(
        "the rate {k:.3e} per s is not told from nought (give or take {error:.1e}): weigh longer or more finely"
    )))
}

fn covariance(lean: &Lean, variance: f64, k_variance: f64) -> [[f64; 3]; 3] {
    let mut found = [[0.0; 3]; 3];
    let own =
        |i: usize, j: usize| variance * lean.inverse[i][j] + lean.on[i] * lean.on[j] * k_variance;
    for (i, row) in found.iter_mut().enumerate().take(2) {
        *row = [own(i, 0), own(i, 1), -lean.on[i] * k_variance];
    }
    found[2] = [found[0][2], found[1][2], k_variance];
    found
}

/// Fits each piece by itself. At least four weighings of each.
pub fn fit_each(pieces: &[Weighed]) -> Result<Vec<Curve>, Fault> {
    check(pieces, 4)?;
    let mut curves = Vec::with_capacity(pieces.len());
    for piece in pieces {
        curves.extend(fit_together(std::slice::from_ref(piece))?);
    }
    Ok(curves)
}
