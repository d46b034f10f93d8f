//! Nodes in the part of a block that symmetry leaves: an eighth of a brick, an upper half of a can.
//!
//! Each axis runs from the middle to a face with a node at either end, closer together towards the face. A node
//! has the volume up to half way to its neighbours. Halving the cells of an axis gives every second node of it.

use std::f64::consts::TAU;

use crate::body::{Body, Form};

/// Closeness towards the face of the shortest axis: the cell at the face is (1 - b) of the even one, that in the
/// middle (1 + b).
const CLOSER: f64 = 0.5;
/// The most for longer axes.
const CLOSEST: f64 = 0.95;

/// One axis from the middle to a face, or round an axis outward.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Axis {
    /// Of the nodes, m.
    pub(super) places: Vec<f64>,
    /// Length a node stands for, m; in a round direction length times radius, m².
    pub(super) widths: Vec<f64>,
    /// One over the distance to the next node, 1/m; in a round direction radius over distance.
    pub(super) bridges: Vec<f64>,
    /// Share of the face: 1; in a round direction the radius, m.
    pub(super) face: f64,
}

impl Axis {
    fn new(length_m: f64, cells: usize, closer: f64, round: bool) -> Self {
        let places: Vec<f64> = (0..=cells)
            .map(|i| {
                let share = i as f64 / cells as f64;
                length_m * share * (1.0 + closer * (1.0 - share))
            })
            .collect();
        let middle = |i: usize| 0.5 * (places[i] + places[i + 1]);
        let measure = |from: f64, to: f64| {
            if round {
                0.5 * (to - from) * (to + from)
            } else {
                to - from
            }
        };
        let widths = (0..=cells)
            .map(|i| {
                let from = if i == 0 { 0.0 } else { middle(i - 1) };
                let to = if i == cells { length_m } else { middle(i) };
                measure(from, to)
            })
            .collect();
        let bridges = (0..cells)
            .map(|i| {
                let apart = places[i + 1] - places[i];
                if round {
                    middle(i) / apart
                } else {
                    1.0 / apart
                }
            })
            .collect();
        Self {
            places,
            widths,
            bridges,
            face: if round { length_m } else { 1.0 },
        }
    }

    /// A direction in which nothing changes.
    fn none() -> Self {
        Self {
            places: vec![0.0],
            widths: vec![1.0],
            bridges: Vec::new(),
            face: 0.0,
        }
    }

    /// How many nodes.
    pub(super) fn nodes(&self) -> usize {
        self.places.len()
    }

    /// What a node takes from the one before, the one after and its face, for each unit of volume: flow by
    /// difference of conductivity integral, 1/m², twice, and face by volume, 1/m.
    pub(super) fn gains(&self, node: usize) -> [f64; 3] {
        let width = self.widths[node];
        let before = if node == 0 {
            0.0
        } else {
            self.bridges[node - 1]
        };
        let after = self.bridges.get(node).copied().unwrap_or(0.0);
        let face = if node + 1 == self.nodes() {
            self.face
        } else {
            0.0
        };
        [before / width, after / width, face / width]
    }
}

/// The nodes of a block, x fastest.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Grid {
    pub(super) axes: [Axis; 3],
    /// How many of this part the whole piece has; for a can times the turn about its axis.
    pub(super) times: f64,
}

impl Grid {
    /// With a number of cells from the middle to each face; nothing for forms that are no blocks.
    pub(super) fn new(body: &Body, cells: usize) -> Option<Self> {
        let (lengths, round) = match body.form() {
            Form::Brick { y_m, z_m } => (vec![0.5 * body.depth_m(), 0.5 * y_m, 0.5 * z_m], false),
            Form::Can { height_m } => (vec![body.depth_m(), 0.5 * height_m], true),
            Form::Slab | Form::Cylinder | Form::Sphere => return None,
        };
        let shortest = lengths.iter().copied().fold(f64::INFINITY, f64::min);
        let mut axes = lengths.iter().enumerate().map(|(i, length)| {
            // Cells at the face twice as long as those of the shortest axis, if that is close enough.
            let wanted = 1.0 - 2.0 * (1.0 - CLOSER) * shortest / length;
            let closer = wanted.clamp(CLOSER, CLOSEST);
            Axis::new(*length, cells, closer, round && i == 0)
        });
        let mut next = || axes.next().unwrap_or_else(Axis::none);
        Some(Self {
            axes: [next(), next(), next()],
            times: if round { 2.0 * TAU } else { 8.0 },
        })
    }

    /// How many nodes.
    pub(super) fn nodes(&self) -> usize {
        self.axes.iter().map(Axis::nodes).product()
    }

    /// Volume of every node, m³; for a can for each radian.
    pub(super) fn volumes(&self) -> Vec<f64> {
        let [x, y, z] = &self.axes;
        let mut volumes = Vec::with_capacity(self.nodes());
        for wz in &z.widths {
            for wy in &y.widths {
                volumes.extend(x.widths.iter().map(|wx| wx * wy * wz));
            }
        }
        volumes
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::body::Layer;
    use crate::material::{Material, Phase};

    fn body(form: Form) -> Body {
        let phase = Phase {
            heat_capacity_j_kg_k: 3_500.0,
            conductivity_w_m_k: 0.5,
        };
        let material = Material::constant(1_000.0, phase).unwrap();
        Body::new(
            form,
            vec![Layer {
                thick_m: 0.04,
                material,
            }],
        )
        .unwrap()
    }

    /// 40 x 120 x 160 mm are 768 ml; a can of radius 40 and height 100 mm is 0.16 pi litres.
    #[test]
    fn the_nodes_fill_the_piece() {
        let brick = Form::Brick {
            y_m: 0.12,
            z_m: 0.16,
        };
        for (form, volume) in [
            (brick, 0.768e-3),
            (Form::Can { height_m: 0.1 }, 0.16e-3 * std::f64::consts::PI),
        ] {
            let grid = Grid::new(&body(form), 6).unwrap();
            let found: f64 = grid.volumes().iter().sum::<f64>() * grid.times;
            assert!((found - volume).abs() < 1e-12 * volume, "{found}");
        }
        assert!(Grid::new(&body(Form::Sphere), 6).is_none());
    }

    #[test]
    fn twice_the_cells_keep_the_nodes() {
        let brick = body(Form::Brick {
            y_m: 0.12,
            z_m: 0.16,
        });
        let coarse = Grid::new(&brick, 5).unwrap();
        let fine = Grid::new(&brick, 10).unwrap();
        for (a, b) in coarse.axes.iter().zip(&fine.axes) {
            for (i, place) in a.places.iter().enumerate() {
                assert!((place - b.places[2 * i]).abs() < 1e-15);
            }
        }
    }
}
