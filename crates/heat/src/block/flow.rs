//! How fast every node of a block gains heat: conduction between neighbours, and what passes the faces.

use crate::block::grid::Grid;
use crate::solve::curve::Curve;
use crate::solve::faces::Meets;

/// A node at a face.
#[derive(Clone, Copy, Debug)]
struct Rim {
    node: usize,
    /// Area of face over volume, 1/m.
    share: f64,
    /// Area of face, m².
    area: f64,
    /// The neighbour inward and the bridge to it, m, unless that lies at a face too.
    inward: Option<(usize, f64)>,
}

/// The nodes of a block with their neighbours, and room to work in.
#[derive(Clone, Debug)]
pub(super) struct Flow<'a> {
    pub(super) curve: &'a Curve,
    /// Of the nodes, m³; for a can for each radian, as all that follows.
    pub(super) volumes: Vec<f64>,
    /// Of all of them.
    pub(super) volume: f64,
    /// Of the faces, m².
    pub(super) area: f64,
    /// Of the nodes at the faces, m³.
    pub(super) rim_volume: f64,
    /// The most that any node has of bridges, 1/m², and of faces, 1/m, for each unit of volume.
    pub(super) most: [f64; 2],
    sizes: [usize; 3],
    /// Of every axis: what a node takes from the one before and the one after.
    gains: [Vec<[f64; 2]>; 3],
    rims: Vec<Rim>,
    /// The stretch of the curve where a node was last.
    at: Vec<u32>,
    temperatures: Vec<f64>,
    integrals: Vec<f64>,
}

impl<'a> Flow<'a> {
    pub(super) fn new(grid: &Grid, curve: &'a Curve) -> Self {
        let volumes = grid.volumes();
        let rims = rims(grid, &volumes);
        let nodes = volumes.len();
        let most = |what: fn([f64; 3]) -> f64| -> f64 {
            let of = |axis: &crate::block::grid::Axis| {
                (0..axis.nodes())
                    .map(|i| what(axis.gains(i)))
                    .fold(0.0, f64::max)
            };
            grid.axes.iter().map(of).sum()
        };
        Self {
            curve,
            volume: volumes.iter().sum(),
            area: rims.iter().map(|rim| rim.area).sum(),
            rim_volume: rims.iter().map(|rim| volumes[rim.node]).sum(),
            most: [most(|gain| gain[0] + gain[1]), most(|gain| gain[2])],
            sizes: [0, 1, 2].map(|axis| grid.axes[axis].nodes()),
            gains: [0, 1, 2].map(|axis| {
                let of = &grid.axes[axis];
                let pair = |node| [of.gains(node)[0], of.gains(node)[1]];
                (0..of.nodes()).map(pair).collect()
            }),
            volumes,
            rims,
            at: vec![0; nodes],
            temperatures: vec![0.0; nodes],
            integrals: vec![0.0; nodes],
        }
    }

    /// How many nodes.
    pub(super) fn nodes(&self) -> usize {
        self.volumes.len()
    }

    /// Temperature of a node, K, and its change with heat content, K m³/J.
    pub(super) fn look(&mut self, node: usize, heat: f64) -> (f64, f64) {
        let (temperature, slope, _) = self.curve.look(heat, &mut self.at[node]);
        (temperature, slope)
    }

    /// Writes the gain of every node, W/m³, and tells the heat that passes the faces, W. Where these are held at
    /// a temperature, their nodes gain nothing here, and what is told passes from them into the others.
    pub(super) fn gains(&mut self, heats: &[f64], meets: &Meets, gains: &mut [f64]) -> f64 {
        for (i, heat) in heats.iter().enumerate() {
            let (temperature, _, conducts) = self.curve.look(*heat, &mut self.at[i]);
            self.temperatures[i] = temperature;
            self.integrals[i] = conducts.integral;
        }
        self.conduct(gains);
        let mut passed = 0.0;
        match meets {
            Meets::Nothing => {}
            Meets::Held(_) => {
                for rim in &self.rims {
                    gains[rim.node] = 0.0;
                    if let Some((inner, bridge)) = rim.inward {
                        passed += bridge * (self.integrals[rim.node] - self.integrals[inner]);
                    }
                }
            }
            Meets::Open { .. } => {
                for rim in &self.rims {
                    let flux = meets.passes(self.temperatures[rim.node]).heat;
                    gains[rim.node] += rim.share * flux;
                    passed += rim.area * flux;
                }
            }
        }
        passed
    }

    fn conduct(&self, gains: &mut [f64]) {
        let [nx, ny, nz] = self.sizes;
        let row = |start: usize| &self.integrals[start..start + nx];
        for k in 0..nz {
            let [below, above] = self.gains[2][k];
            for j in 0..ny {
                let [left, right] = self.gains[1][j];
                let start = nx * (j + ny * k);
                // At the ends the weight is nothing, and any row will do.
                let at = |is: bool, start_there: usize| row(if is { start_there } else { start });
                let rows = [
                    (left, at(j > 0, start.wrapping_sub(nx))),
                    (right, at(j + 1 < ny, start + nx)),
                    (below, at(k > 0, start.wrapping_sub(nx * ny))),
                    (above, at(k + 1 < nz, start + nx * ny)),
                ];
                let to = &mut gains[start..start + nx];
                conduct_row(row(start), &self.gains[0], rows, to);
            }
        }
    }

    /// Keeps the nodes at the faces at a temperature; tells the heat that this took, J.
    pub(super) fn hold(&self, temperature_k: f64, heats: &mut [f64]) -> f64 {
        let [low, high] = self.curve.heats_at(temperature_k);
        let mut took = 0.0;
        for rim in &self.rims {
            // Where a phase changes at the temperature held, as little of it as can be.
            let heat = heats[rim.node].clamp(low, high);
            took += self.volumes[rim.node] * (heat - heats[rim.node]);
            heats[rim.node] = heat;
        }
        took
    }

    /// The sum of something over the nodes at the faces, told their volume.
    pub(super) fn on_rims(&self, what: impl Fn(usize, f64) -> f64) -> f64 {
        self.rims
            .iter()
            .map(|rim| what(rim.node, self.volumes[rim.node]))
            .sum()
    }

    /// Temperatures of the nodes from the middle along the first axis.
    pub(super) fn profile(&mut self, heats: &[f64]) -> Vec<f64> {
        (0..self.sizes[0])
            .map(|i| self.look(i, heats[i]).0)
            .collect()
    }
}

fn conduct_row(row: &[f64], along: &[[f64; 2]], rows: [(f64, &[f64]); 4], gains: &mut [f64]) {
    let n = row.len();
    let [(a, ra), (b, rb), (c, rc), (d, rd)] = rows;
    let across = a + b + c + d;
    for i in 0..n {
        gains[i] = a * ra[i] + b * rb[i] + c * rc[i] + d * rd[i] - across * row[i];
    }
    for i in 1..n {
        gains[i] += along[i][0] * (row[i - 1] - row[i]);
    }
    for i in 0..n - 1 {
        gains[i] += along[i][1] * (row[i + 1] - row[i]);
    }
}

/// Every node at a face, once.
fn rims(grid: &Grid, volumes: &[f64]) -> Vec<Rim> {
    let [nx, ny, _] = [0, 1, 2].map(|axis| grid.axes[axis].nodes());
    let steps = [1, nx, nx * ny];
    let rim = |node: usize| {
        let place = [node % nx, node / nx % ny, node / (nx * ny)];
        let gains = [0, 1, 2].map(|axis| grid.axes[axis].gains(place[axis]));
        let share: f64 = gains.iter().map(|gain| gain[2]).sum();
        let mut faces = (0..3).filter(|axis| gains[*axis][2] > 0.0);
        let inward = match (faces.next(), faces.next()) {
            (Some(axis), None) => Some((node - steps[axis], gains[axis][0] * volumes[node])),
            _ => None,
        };
        (share > 0.0).then_some(Rim {
            node,
            share,
            area: share * volumes[node],
            inward,
        })
    };
    (0..volumes.len()).filter_map(rim).collect()
}
