//! Low, likely and high, and what drives them.
//!
//! Draws by Latin hypercube (McKay, Beckman & Conover 1979): each number's range is cut into as many
//! slices of equal chance as there are draws, and each slice is used once, in an order of its own.
//! Numbers vary apart from each other. A stated spread is read as not knowing the number, not as a
//! variation from piece to piece that would even out over a long run.

use chance::Stream;

use super::numbers::Numbers;

/// Draws for each figure.
pub(super) const DRAWS: usize = 256;

/// Values of the numbers that vary, draw by draw.
pub(super) struct Draws {
    /// By input, then by draw.
    pub(super) values: Vec<Vec<f64>>,
    pub(super) count: usize,
}

impl Draws {
    pub(super) fn new(numbers: &Numbers, seed: u64) -> Self {
        // Many numbers: fewer draws of each, so that a huge works stays quick.
        let count = (1_000_000 / numbers.inputs.len().max(1)).clamp(64, DRAWS);
        let mut stream = Stream::new(seed, "cost");
        let values = numbers.inputs.iter().map(|input| {
            let mut slices: Vec<f64> = (0..count)
                .map(|slice| input.quantile((slice as f64 + 0.5) / count as f64))
                .collect();
            stream.shuffle(&mut slices);
            slices
        });
        Self {
            values: values.collect(),
            count,
        }
    }
}

/// The value below which a share `p` of sorted draws lies, between neighbours by proportion.
pub(super) fn quantile(sorted: &[f64], p: f64) -> f64 {
    let Some(last) = sorted.len().checked_sub(1) else {
        return f64::NAN;
    };
    let place = p * sorted.len() as f64 - 0.5;
    let below = place.floor().clamp(0.0, last as f64) as usize;
    let above = (below + 1).min(last);
    let part = (place - below as f64).clamp(0.0, 1.0);
    sorted[below] + part * (sorted[above] - sorted[below])
}
