//! The piece cut into nodes: what heat they hold and how well they conduct to each other.
//!
//! Nodes lie on faces, on interfaces and between; each owns the material to half way to its neighbours. A
//! node on an interface owns some of two materials at one temperature.

use crate::body::{Body, Form};
use crate::solve::curve::{Conducts, Curve};
use crate::solve::grid::{Cut, lay, parts};

/// A node: the curve of its heat content, the volume that goes with it, the materials to either side.
#[derive(Clone, Copy, Debug)]
struct Node {
    curve: usize,
    /// m³ where the curve is a material's; 1 where it is the node's own.
    volume: f64,
    left: usize,
    right: usize,
}

/// A piece cut into nodes: per m² for slabs, per m for cylinders, whole for spheres.
#[derive(Clone, Debug)]
pub(super) struct Mesh {
    /// From the first face, or from the middle of round forms, m.
    pub(super) depth: Vec<f64>,
    /// Area over distance between a node and the next, m.
    pub(super) conducts: Vec<f64>,
    /// Area of the first and the last face, m².
    pub(super) area: [f64; 2],
    /// How many of these make the piece: 2 if it is the half of a slab.
    pub(super) copies: f64,
    /// The node before the middle and the share of the way to the next.
    pub(super) middle: (usize, f64),
    nodes: Vec<Node>,
    curves: Vec<Curve>,
    /// Of all nodes at one temperature.
    pub(super) whole: Curve,
}

/// What the nodes are like at some heat content.
#[derive(Clone, Debug)]
pub(super) struct Values {
    /// K.
    pub(super) temperature: Vec<f64>,
    /// K/J.
    pub(super) slope: Vec<f64>,
    /// Towards the neighbour before and the one after.
    pub(super) conducts: Vec<[Conducts; 2]>,
    /// The stretches found last.
    at: Vec<[u32; 3]>,
}

impl Values {
    pub(super) fn new(nodes: usize) -> Self {
        Self {
            temperature: vec![0.0; nodes],
            slope: vec![0.0; nodes],
            conducts: vec![[Conducts::default(); 2]; nodes],
            at: vec![[0; 3]; nodes],
        }
    }
}

/// Area at a depth, m², and volume from the start to it, m³.
fn measures(form: Form, depth: f64) -> (f64, f64) {
    use core::f64::consts::PI;
    match form {
        Form::Cylinder => (2.0 * PI * depth, PI * depth * depth),
        Form::Sphere => (
            4.0 * PI * depth * depth,
            4.0 / 3.0 * PI * depth * depth * depth,
        ),
        Form::Slab | Form::Brick { .. } | Form::Can { .. } => (1.0, depth),
    }
}

impl Mesh {
    /// Cuts a slab, cylinder or sphere.
    pub(super) fn new(body: &Body, cut: &Cut) -> Self {
        let form = body.form();
        let half = cut.half;
        let (parts, map) = parts(body, cut);
        let (depth, layer_of) = lay(&parts, map);
        let mut curves: Vec<Curve> = parts
            .iter()
            .map(|p| Curve::of(&p.layer.material, cut.from_k))
            .collect();
        let volume = |a: f64, b: f64| measures(form, b).1 - measures(form, a).1;
        let last = depth.len() - 1;
        let mut nodes = Vec::with_capacity(depth.len());
        let mut totals = vec![0.0; parts.len()];
        for i in 0..=last {
            let left = layer_of[i.max(1) - 1];
            let right = layer_of[i.min(last - 1)];
            let before = volume(0.5 * (depth[i] + depth[i.max(1) - 1]), depth[i]);
            let after = volume(depth[i], 0.5 * (depth[i] + depth[(i + 1).min(last)]));
            totals[left] += before;
            totals[right] += after;
            let (curve, volume) = if left == right {
                (left, before + after)
            } else {
                let own = Curve::together(&[(&curves[left], before), (&curves[right], after)]);
                curves.push(own);
                (curves.len() - 1, 1.0)
            };
            nodes.push(Node {
                curve,
                volume,
                left,
                right,
            });
        }
        let every: Vec<(&Curve, f64)> = curves.iter().zip(totals.iter().copied()).collect();
        let whole = Curve::together(&every);
        let middle_at = match (form, half) {
            (Form::Slab, false) => 0.5 * depth[last],
            (Form::Slab, true) => depth[last],
            _ => 0.0,
        };
        Self {
            conducts: depth
                .windows(2)
                .map(|p| measures(form, 0.5 * (p[0] + p[1])).0 / (p[1] - p[0]))
                .collect(),
            area: [measures(form, 0.0).0, measures(form, depth[last]).0],
            copies: if half { 2.0 } else { 1.0 },
            middle: between(&depth, middle_at),
            nodes,
            curves,
            whole,
            depth,
        }
    }

    /// How many nodes.
    pub(super) fn len(&self) -> usize {
        self.nodes.len()
    }

    /// Temperatures, slopes and conduction at heat contents.
    pub(super) fn look(&self, heat: &[f64], values: &mut Values) {
        for (i, node) in self.nodes.iter().enumerate() {
            let at = &mut values.at[i];
            let (t, slope, inner) = self.curves[node.curve].look(heat[i] / node.volume, &mut at[0]);
            values.temperature[i] = t;
            values.slope[i] = slope / node.volume;
            values.conducts[i] = if node.left == node.right {
                [inner, inner]
            } else {
                [
                    self.curves[node.left].conducts_at(t, &mut at[1]),
                    self.curves[node.right].conducts_at(t, &mut at[2]),
                ]
            };
        }
    }

    /// Heat content of a node at a temperature; the one nearest to what it holds where a phase changes.
    pub(super) fn heat_at(&self, node: usize, temperature: f64, holds: f64) -> f64 {
        let Node { curve, volume, .. } = self.nodes[node];
        let [low, high] = self.curves[curve].heats_at(temperature);
        holds.clamp(low * volume, (high * volume).max(low * volume))
    }

    /// Average change of a node's temperature per heat over a range, K/J.
    pub(super) fn overall_slope(&self, node: usize, range_k: [f64; 2]) -> f64 {
        let Node { curve, volume, .. } = self.nodes[node];
        overall(&self.curves[curve], range_k) / volume
    }

    /// Average change of the mean temperature per heat into the whole piece over a range, K/J.
    pub(super) fn kelvin_per_joule(&self, range_k: [f64; 2]) -> f64 {
        overall(&self.whole, range_k) / self.copies
    }

    /// Whether any phase changes at one temperature in a range.
    pub(super) fn stands_still(&self, range_k: [f64; 2]) -> bool {
        self.whole.stands_still(range_k[0], range_k[1])
    }
}

/// Average change of temperature per heat content over a range.
fn overall(curve: &Curve, [low, high]: [f64; 2]) -> f64 {
    let high = high.max(low + 1e-3);
    (high - low) / (curve.heats_at(high)[1] - curve.heats_at(low)[0])
}

/// The interval of rising places in which one lies, and the share of the way.
fn between(places: &[f64], at: f64) -> (usize, f64) {
    let right = places
        .partition_point(|&p| p < at)
        .clamp(1, places.len() - 1);
    let (a, b) = (places[right - 1], places[right]);
    (right - 1, ((at - a) / (b - a)).clamp(0.0, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::body::Layer;
    use crate::material::{Material, Phase};

    fn stuff(conductivity_w_m_k: f64) -> Material {
        Material::constant(
            1_000.0,
            Phase {
                heat_capacity_j_kg_k: 2_000.0,
                conductivity_w_m_k,
            },
        )
        .unwrap()
    }

    fn body(form: Form, layers: &[(f64, f64)]) -> Body {
        let layer = |&(thick_m, k): &(f64, f64)| Layer {
            thick_m,
            material: stuff(k),
        };
        Body::new(form, layers.iter().map(layer).collect()).unwrap()
    }

    fn cut(cells: usize, finer: usize, half: bool) -> Cut {
        Cut {
            cells,
            finer,
            half,
            from_k: 300.0,
            range_k: [300.0, 310.0],
            shortest_s: 20.0,
        }
    }

    /// Warming every node by 1 K takes volume times 2 MJ/(m³ K), whatever the grid.
    #[test]
    fn volumes_are_exact() {
        use core::f64::consts::PI;
        let layers = [(0.01, 0.3), (0.02, 3.0)];
        for (form, volume) in [
            (Form::Slab, 0.03),
            (Form::Cylinder, PI * 0.03 * 0.03),
            (Form::Sphere, 4.0 / 3.0 * PI * 0.03 * 0.03 * 0.03),
        ] {
            let mesh = Mesh::new(&body(form, &layers), &cut(10, 1, false));
            let heat: f64 = (0..mesh.len()).map(|i| mesh.heat_at(i, 301.0, 0.0)).sum();
            assert!((heat / (2e6 * volume) - 1.0).abs() < 1e-9, "{form:?}");
            assert!((mesh.whole.heats_at(301.0)[0] / heat - 1.0).abs() < 1e-9);
        }
    }

    /// A half has the nodes of the first half of the whole, and halving cells keeps every node.
    #[test]
    fn halves_and_finer_grids_share_their_nodes() {
        let sandwich = body(Form::Slab, &[(0.004, 0.1), (0.011, 2.0), (0.004, 0.1)]);
        let make = |finer, half| Mesh::new(&sandwich, &cut(14, finer, half));
        let (whole, half, fine) = (make(1, false), make(1, true), make(2, false));
        assert_eq!(whole.len(), 2 * half.len() - 1);
        for (a, b) in half.depth.iter().zip(&whole.depth) {
            assert!((a - b).abs() < 1e-12);
        }
        for (i, depth) in whole.depth.iter().enumerate() {
            assert!((fine.depth[2 * i] - depth).abs() < 1e-12);
        }
        let (at, share) = whole.middle;
        let middle = whole.depth[at] + share * (whole.depth[at + 1] - whole.depth[at]);
        assert!((middle - 0.0095).abs() < 1e-12);
    }
}
