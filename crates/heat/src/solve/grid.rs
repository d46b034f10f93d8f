//! Where the nodes lie.
//!
//! Cells are even in the root of the time heat needs through them, and closer towards the faces by a smooth map, so
//! that halving every cell divides the error of the scheme by four. The shorter the time between jumps of the
//! surroundings, the closer nodes lie at the faces, because heat then goes less deep.

use crate::body::{Body, Form, Layer};

/// Nodes lie closer at a face than in the middle by (1 - c) / (1 + c), with c from the first to the second.
const CLOSER: [f64; 2] = [0.25, 0.98];

/// Cells at a face that the heat goes through between two jumps of the surroundings.
const REACHED: f64 = 5.0;

/// Fewest cells in a layer on the coarse grid.
const LEAST: usize = 2;

/// Whether layers read the same from both faces.
pub(super) fn mirrors(layers: &[Layer]) -> bool {
    let back = layers.iter().rev();
    layers.iter().zip(back).all(|(a, b)| {
        a.material == b.material && (a.thick_m - b.thick_m).abs() <= 1e-12 * a.thick_m
    })
}

/// A layer with its number of cells and where it lies on the map, 0 to 1.
pub(super) struct Part<'a> {
    pub(super) layer: &'a Layer,
    thick: f64,
    cells: usize,
    from: f64,
    to: f64,
}

/// The smooth map from even marks to places, both 0 to 1.
#[derive(Clone, Copy)]
pub(super) struct Map {
    closer: f64,
}

impl Map {
    /// For a number of cells, and the depth that heat reaches as a share of the whole. With u = 1/cells, the cell at a
    /// face is u (1 - c) + c (2π)² u³/6.
    fn new(cells: usize, reach: f64) -> Self {
        let u = 1.0 / cells as f64;
        let bend = core::f64::consts::TAU * core::f64::consts::TAU * u * u / 6.0;
        let closer = (1.0 - reach / REACHED * cells as f64) / (1.0 - bend);
        Self {
            closer: closer.clamp(CLOSER[0], CLOSER[1]),
        }
    }

    fn place(self, mark: f64) -> f64 {
        let turn = core::f64::consts::TAU * mark;
        mark - self.closer * libm::sin(turn) / core::f64::consts::TAU
    }

    /// Back by halving.
    fn mark(self, at: f64) -> f64 {
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..60 {
            let mid = 0.5 * (low + high);
            if self.place(mid) < at {
                low = mid;
            } else {
                high = mid;
            }
        }
        0.5 * (low + high)
    }
}

/// How to cut a piece.
#[derive(Clone, Copy, Debug)]
pub(super) struct Cut {
    /// Through the thickness or the diameter.
    pub(super) cells: usize,
    /// Times as many in every layer.
    pub(super) finer: usize,
    /// Whether only the first half of a slab is wanted.
    pub(super) half: bool,
    /// Heat counts from this temperature, K.
    pub(super) from_k: f64,
    /// Lowest and highest temperature there can be, K.
    pub(super) range_k: [f64; 2],
    /// The shortest time between jumps of the surroundings, s.
    pub(super) shortest_s: f64,
}

/// The root of the time that heat needs through a layer, s^½.
fn slowness(layer: &Layer, around_k: [f64; 2]) -> f64 {
    let m = &layer.material;
    let [low, high] = around_k;
    let middle = 0.5 * (low + high);
    let conducts = m.conductivity_at(middle);
    let span = (high - low).max(1.0);
    let holds = m.enthalpy_at(middle + 0.5 * span) - m.enthalpy_at(middle - 0.5 * span);
    let diffuses = conducts * span / (m.density_kg_m3() * holds);
    layer.thick_m / diffuses.sqrt()
}

/// The layers with their cells, and the map. A half slab gets the first half of the whole one's.
pub(super) fn parts<'a>(body: &'a Body, cut: &Cut) -> (Vec<Part<'a>>, Map) {
    let layers = body.layers();
    let round = body.form() != Form::Slab;
    let slow: Vec<f64> = layers.iter().map(|l| slowness(l, cut.range_k)).collect();
    let depth: f64 = slow.iter().sum();
    // Round forms take the outer half of the map over their diameter.
    let (start, total) = if round {
        (0.5, 2.0 * depth)
    } else {
        (0.0, depth)
    };
    let map = Map::new(cut.cells, cut.shortest_s.sqrt() / total);
    let (mut from, mut before) = (start, 0.0);
    let mirrored = !round && mirrors(layers);
    let mut found = Vec::with_capacity(layers.len());
    for (i, layer) in layers.iter().enumerate() {
        before += slow[i];
        let last = i + 1 == layers.len();
        let to = if last {
            1.0
        } else {
            map.mark(start + before / total)
        };
        let even = (to - from) * cut.cells as f64;
        let middle = mirrored && 2 * i + 1 == layers.len();
        let cells = if middle {
            2 * libm::round(0.5 * even) as usize
        } else {
            libm::round(even) as usize
        };
        found.push(Part {
            layer,
            thick: layer.thick_m,
            cells: cells.max(LEAST) * cut.finer,
            from,
            to,
        });
        from = to;
    }
    if cut.half {
        found.truncate(layers.len().div_ceil(2));
        if layers.len() % 2 == 1
            && let Some(middle) = found.last_mut()
        {
            middle.thick *= 0.5;
            middle.cells /= 2;
            middle.to = 0.5;
        }
    }
    (found, map)
}

/// Depth of the nodes and the layer of every cell.
pub(super) fn lay(parts: &[Part<'_>], map: Map) -> (Vec<f64>, Vec<usize>) {
    let mut depth = vec![0.0];
    let mut layer_of = Vec::new();
    let mut start = 0.0;
    for (number, part) in parts.iter().enumerate() {
        let (low, high) = (map.place(part.from), map.place(part.to));
        for cell in 1..=part.cells {
            let share = cell as f64 / part.cells as f64;
            let at = map.place(part.from + share * (part.to - part.from));
            let along = if cell == part.cells {
                1.0
            } else {
                (at - low) / (high - low)
            };
            depth.push(start + along * part.thick);
            layer_of.push(number);
        }
        start += part.thick;
    }
    (depth, layer_of)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The cell at the face, worked out from the map itself, is a fifth of the reach.
    #[test]
    fn a_short_time_draws_nodes_to_the_face() {
        for (cells, reach) in [(24, 0.05), (24, 0.03), (48, 0.02)] {
            let first = Map::new(cells, reach).place(1.0 / cells as f64);
            assert!((first / (reach / REACHED) - 1.0).abs() < 0.05, "{first}");
        }
        assert!(Map::new(24, 1.0).closer == CLOSER[0]);
        assert!(Map::new(24, 1e-4).closer == CLOSER[1]);
    }
}
