//! One step of time in two implicit parts, and its error.
//!
//! The scheme is the trapezium rule to the share GAMMA of the step, then the backward difference of second
//! order (Bank et al. 1985, IEEE Trans. Electron Devices 32, 1992-2007), with the embedded error of Hosea and
//! Shampine (1996, Appl. Numer. Math. 20, 21-37). It is of second order and L-stable: what is too fast for
//! the step dies out instead of swinging.

use crate::solve::chamber::Plant;
use crate::solve::faces::{Ends, Meets};
use crate::solve::flows::{Books, Flows};
use crate::solve::linear::{Border, Tridiagonal, solve_bordered};
use crate::solve::mesh::{Mesh, Values};

/// 2 - √2.
const GAMMA: f64 = 2.0 - core::f64::consts::SQRT_2;
/// Weight of the flows at the end of each part: GAMMA / 2.
const DIAGONAL: f64 = 0.5 * GAMMA;
/// Weights of the three flows in the step: √2/4, √2/4, GAMMA/2.
pub(super) const WEIGHTS: [f64; 3] = [
    core::f64::consts::SQRT_2 / 4.0,
    core::f64::consts::SQRT_2 / 4.0,
    DIAGONAL,
];
/// Weights of the third-order companion.
const COMPANION: [f64; 3] = [
    (1.0 - WEIGHTS[0]) / 3.0,
    (3.0 * WEIGHTS[0] + 1.0) / 3.0,
    DIAGONAL / 3.0,
];

/// Why a step has to be tried again, shorter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Refused {
    /// Newton's method did not settle.
    Unsettled,
    /// The error over the error allowed.
    Rough(f64),
}

/// The moment of the programme.
#[derive(Clone, Copy, Debug)]
pub(super) struct Moment<'a> {
    pub(super) ends: &'a Ends,
    /// s from the beginning of the stage.
    pub(super) time: f64,
}

/// The piece on its way, with room for a step.
#[derive(Clone, Debug)]
pub(super) struct Stepper<'a> {
    pub(super) mesh: &'a Mesh,
    pub(super) plant: Option<Plant>,
    /// Heat in each node above that at the beginning, J.
    pub(super) heat: Vec<f64>,
    /// Heat in the air of the chamber above that at the beginning, J.
    pub(super) air_heat: f64,
    pub(super) values: Values,
    pub(super) books: Books,
    /// Lowest and highest temperature there can be, K.
    pub(super) range_k: [f64; 2],
    /// K/J over that range.
    pub(super) overall: Vec<f64>,
    pub(super) flows: [Flows; 3],
    pub(super) base: Vec<f64>,
    pub(super) base_air: f64,
    pub(super) trial: Vec<f64>,
    pub(super) trial_air: f64,
    pub(super) change: Vec<f64>,
    /// What the straightened equations expect: temperature and both conductivity integrals.
    pub(super) expected: Vec<[f64; 3]>,
    pub(super) through: Vec<f64>,
    pub(super) matrix: Tridiagonal,
    pub(super) border: Border,
}

impl<'a> Stepper<'a> {
    pub(super) fn new(mesh: &'a Mesh, plant: Option<Plant>, range_k: [f64; 2]) -> Self {
        let nodes = mesh.len();
        let mut new = Self {
            mesh,
            plant,
            heat: vec![0.0; nodes],
            air_heat: 0.0,
            values: Values::new(nodes),
            books: Books::default(),
            range_k,
            overall: (0..nodes).map(|i| mesh.overall_slope(i, range_k)).collect(),
            flows: [Flows::new(nodes), Flows::new(nodes), Flows::new(nodes)],
            base: vec![0.0; nodes],
            base_air: 0.0,
            trial: vec![0.0; nodes],
            trial_air: 0.0,
            change: vec![0.0; nodes],
            expected: vec![[0.0; 3]; nodes],
            through: vec![0.0; nodes],
            matrix: Tridiagonal::new(nodes),
            border: Border::default(),
        };
        mesh.look(&new.heat, &mut new.values);
        new
    }

    pub(super) fn last(&self) -> usize {
        self.heat.len() - 1
    }

    pub(super) fn node_of(&self, end: usize) -> usize {
        if end == 0 { 0 } else { self.last() }
    }

    /// The chamber's air at a heat of it, K.
    pub(super) fn air_at(&self, heat: f64) -> Option<f64> {
        self.plant
            .as_ref()
            .map(|plant| plant.starts_k() + heat / plant.stores())
    }

    /// The chamber's air now, K.
    pub(super) fn air(&self) -> Option<f64> {
        self.air_at(self.air_heat)
    }

    /// Heat drawn from the chamber per heat into the cut piece.
    pub(super) fn times(&self, ends: &Ends) -> f64 {
        self.plant
            .as_ref()
            .map_or(0.0, |plant| plant.times(ends.open()))
    }

    /// Begins a stage: faces that are held jump to their temperature, and the flows start anew.
    pub(super) fn enter(&mut self, ends: &Ends) {
        for (end, meets) in ends.at(0.0, self.air()).into_iter().enumerate() {
            if let Meets::Held(temperature) = meets {
                let node = self.node_of(end);
                let heat = self.mesh.heat_at(node, temperature, self.heat[node]);
                self.books.into += heat - self.heat[node];
                self.books.passed += (heat - self.heat[node]).abs();
                self.heat[node] = heat;
            }
        }
        self.mesh.look(&self.heat, &mut self.values);
        let (moment, air) = (Moment { ends, time: 0.0 }, self.air_heat);
        self.flow(2, &moment, air);
    }

    /// The flows of the present values into a slot, with the air of the chamber holding some heat.
    pub(super) fn flow(&mut self, slot: usize, moment: &Moment<'_>, air_heat: f64) {
        let share = moment.time / moment.ends.lasts_s;
        let air = self.air_at(air_heat);
        let meets = moment.ends.at(share, air);
        let last = self.last();
        let flows = &mut self.flows[slot];
        for (i, flow) in flows.inner.iter_mut().enumerate() {
            let (a, b) = (
                self.values.conducts[i][1].integral,
                self.values.conducts[i + 1][0].integral,
            );
            *flow = self.mesh.conducts[i] * (a - b);
        }
        flows.ends = [
            meets[0].passes(self.values.temperature[0]).heat,
            meets[1].passes(self.values.temperature[last]).heat,
        ];
        if let (Some(plant), Some(air), Some(aim)) = (&self.plant, air, moment.ends.air()) {
            flows.supply = plant.supply(air, aim.at(share));
        }
    }

    /// Tries a step; on refusal nothing has changed. Gives the error over the error allowed.
    pub(super) fn step(
        &mut self,
        moment: &Moment<'_>,
        length: f64,
        allowed_k: f64,
    ) -> Result<f64, Refused> {
        // The flows at the end of the last step are those at the beginning of this one.
        self.flows.swap(0, 2);
        let outcome = self.try_step(moment, length, allowed_k);
        if outcome.is_err() {
            self.flows.swap(0, 2);
            self.mesh.look(&self.heat, &mut self.values);
        }
        outcome
    }

    fn try_step(
        &mut self,
        moment: &Moment<'_>,
        length: f64,
        allowed_k: f64,
    ) -> Result<f64, Refused> {
        let ends = moment.ends;
        let part = |share: f64| Moment {
            ends,
            time: moment.time + share * length,
        };
        self.trial.copy_from_slice(&self.heat);
        self.trial_air = self.air_heat;
        self.set_base(ends, length, &[DIAGONAL]);
        self.settle(1, &part(GAMMA), DIAGONAL * length, allowed_k)?;
        for i in 0..self.heat.len() {
            self.trial[i] = self.heat[i] + (self.trial[i] - self.heat[i]) / GAMMA;
        }
        self.trial_air = self.air_heat + (self.trial_air - self.air_heat) / GAMMA;
        self.set_base(ends, length, &WEIGHTS[..2]);
        self.settle(2, &part(1.0), DIAGONAL * length, allowed_k)?;
        let error = self.error(ends, length) / allowed_k;
        let beyond = self.beyond() / allowed_k;
        if error > 1.0 || beyond > 1.0 {
            return Err(Refused::Rough(error.max(beyond)));
        }
        self.book(moment, length);
        self.heat.copy_from_slice(&self.trial);
        self.air_heat = self.trial_air;
        Ok(error)
    }

    /// What is known of the heat at the end of a part: that at the beginning and what known flows bring.
    fn set_base(&mut self, ends: &Ends, length: f64, weights: &[f64]) {
        self.base.copy_from_slice(&self.heat);
        self.base_air = self.air_heat;
        let times = self.times(ends);
        for (flows, weight) in self.flows.iter().zip(weights) {
            for (i, base) in self.base.iter_mut().enumerate() {
                *base += weight * length * flows.net(i);
            }
            self.base_air += weight * length * flows.net_air(times);
        }
    }

    /// The error of the step by the companion, K, stiff parts damped by the last matrix.
    fn error(&mut self, ends: &Ends, length: f64) -> f64 {
        let held = ends.at(1.0, Some(1.0)).map(|m| matches!(m, Meets::Held(_)));
        let last = self.last();
        for (i, change) in self.change.iter_mut().enumerate() {
            let fixed = i == 0 && held[0] || i == last && held[1];
            *change = 0.0;
            for (flows, (weight, companion)) in self.flows.iter().zip(WEIGHTS.iter().zip(COMPANION))
            {
                if !fixed {
                    *change += length * (weight - companion) * flows.net(i);
                }
            }
        }
        let mut error: f64 = 0.0;
        if let Some(plant) = &self.plant {
            let times = plant.times(ends.open());
            let mut more = 0.0;
            for (flows, (weight, companion)) in self.flows.iter().zip(WEIGHTS.iter().zip(COMPANION))
            {
                more += length * (weight - companion) * flows.net_air(times);
            }
            let air = solve_bordered(
                &self.matrix,
                &self.border,
                &mut self.change,
                more,
                &mut self.through,
            );
            error = air.abs() / plant.stores();
        } else {
            self.matrix.solve(&mut self.change);
        }
        for (i, change) in self.change.iter().enumerate() {
            let slope = self.values.slope[i].max(self.overall[i]);
            error = error.max(change.abs() * slope);
        }
        if error.is_nan() { f64::INFINITY } else { error }
    }

    /// How far the temperatures leave the range there can be, K.
    fn beyond(&self) -> f64 {
        let [low, high] = self.range_k;
        let off = |t: f64| (low - t).max(t - high);
        let air = self.air_at(self.trial_air).map_or(0.0, off);
        self.values
            .temperature
            .iter()
            .fold(air.max(0.0), |most, &t| most.max(off(t)))
    }
}
