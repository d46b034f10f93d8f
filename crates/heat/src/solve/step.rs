//! One step of time: two implicit parts, the equations of each solved by Newton's method, and the books kept
//! with the very flows that moved the heat.
//!
//! The scheme is the trapezium rule to the share GAMMA of the step, then the backward difference of second
//! order (Bank et al. 1985, IEEE Trans. Electron Devices 32, 1992-2007), with the embedded error of Hosea and
//! Shampine (1996, Appl. Numer. Math. 20, 21-37). It is of second order and L-stable: what is too fast for
//! the step dies out instead of swinging.

use crate::solve::chamber::{Plant, Supply};
use crate::solve::faces::{Ends, Meets, Passes};
use crate::solve::linear::{Border, Tridiagonal, solve_bordered};
use crate::solve::mesh::{Mesh, Values};

/// 2 - √2.
const GAMMA: f64 = 2.0 - core::f64::consts::SQRT_2;
/// Weight of the flows at the end of each part: GAMMA / 2.
const DIAGONAL: f64 = 0.5 * GAMMA;
/// Weights of the three flows in the step: √2/4, √2/4, GAMMA/2.
const WEIGHTS: [f64; 3] = [
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
/// Most rounds of Newton's method; a step that needs more is too long.
const ROUNDS: usize = 10;
/// What Newton's method leaves, as a share of the error allowed in the step.
const LEFT: f64 = 0.003;

/// Flows of heat at one moment, W.
#[derive(Clone, Debug)]
pub(super) struct Flows {
    /// From a node to the next.
    inner: Vec<f64>,
    /// Into the piece at its ends, where these are not held at a temperature.
    ends: [f64; 2],
    /// Power and losses of the chamber.
    supply: Supply,
}

impl Flows {
    fn new(nodes: usize) -> Self {
        Self {
            inner: vec![0.0; nodes - 1],
            ends: [0.0; 2],
            supply: Supply::default(),
        }
    }

    /// Into a node.
    fn net(&self, node: usize) -> f64 {
        let before = if node == 0 {
            self.ends[0]
        } else {
            self.inner[node - 1]
        };
        let after = self.inner.get(node).copied().unwrap_or(-self.ends[1]);
        before - after
    }

    /// Into the air of the chamber.
    fn net_air(&self, times: f64) -> f64 {
        self.supply.heats
            - self.supply.cools
            - self.supply.loses
            - times * (self.ends[0] + self.ends[1])
    }
}

/// What passed since the beginning, J.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Books {
    /// Into the cut piece.
    pub(super) into: f64,
    /// In and out, both counted as positive.
    pub(super) passed: f64,
    /// Out of the chamber's air into pieces.
    pub(super) drawn: f64,
    pub(super) heating: f64,
    pub(super) cooling: f64,
    pub(super) lost: f64,
    /// All that passed the chamber's air, counted as positive.
    pub(super) chamber_passed: f64,
}

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
    range_k: [f64; 2],
    /// K/J over that range.
    overall: Vec<f64>,
    flows: [Flows; 3],
    base: Vec<f64>,
    base_air: f64,
    trial: Vec<f64>,
    trial_air: f64,
    change: Vec<f64>,
    /// What the straightened equations expect: temperature and both conductivity integrals.
    expected: Vec<[f64; 3]>,
    through: Vec<f64>,
    matrix: Tridiagonal,
    border: Border,
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

    fn last(&self) -> usize {
        self.heat.len() - 1
    }

    fn node_of(&self, end: usize) -> usize {
        if end == 0 { 0 } else { self.last() }
    }

    /// The chamber's air at a heat of it, K.
    fn air_at(&self, heat: f64) -> Option<f64> {
        self.plant
            .as_ref()
            .map(|plant| plant.starts_k() + heat / plant.stores())
    }

    /// The chamber's air now, K.
    pub(super) fn air(&self) -> Option<f64> {
        self.air_at(self.air_heat)
    }

    /// Heat drawn from the chamber per heat into the cut piece.
    fn times(&self, ends: &Ends) -> f64 {
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
    fn flow(&mut self, slot: usize, moment: &Moment<'_>, air_heat: f64) {
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

    /// Newton's method: heat = base + weight · flows(heat). Leaves the heat in `trial`, its values, and
    /// the flows that lead there exactly.
    fn settle(
        &mut self,
        slot: usize,
        moment: &Moment<'_>,
        weight: f64,
        allowed_k: f64,
    ) -> Result<(), Refused> {
        let share = moment.time / moment.ends.lasts_s;
        let held = moment.ends.at(share, Some(1.0)).map(|meets| match meets {
            Meets::Held(temperature) => Some(temperature),
            Meets::Nothing | Meets::Open { .. } => None,
        });
        for (end, temperature) in held.into_iter().enumerate() {
            if let Some(temperature) = temperature {
                let node = self.node_of(end);
                self.trial[node] = self.mesh.heat_at(node, temperature, self.heat[node]);
            }
        }
        self.mesh.look(&self.trial, &mut self.values);
        for _ in 0..ROUNDS {
            self.round(slot, moment, weight, held.map(|h| h.is_some()));
            if self.adopt(slot, moment, weight) <= LEFT * allowed_k {
                return Ok(());
            }
        }
        Err(Refused::Unsettled)
    }

    /// One round: the flows at the trial, their slopes, and the flows after the change that solves the
    /// straightened equations. The trial becomes base + weight · those flows.
    fn round(&mut self, slot: usize, moment: &Moment<'_>, weight: f64, held: [bool; 2]) {
        let last = self.last();
        self.flow(slot, moment, self.trial_air);
        for i in 0..=last {
            self.change[i] = self.base[i] + weight * self.flows[slot].net(i) - self.trial[i];
        }
        let passes = self.slopes(moment, weight, held);
        self.matrix.eliminate();
        if let Some(plant) = self.plant {
            self.solve_with_air(&plant, slot, moment, weight, passes);
        } else {
            self.matrix.solve(&mut self.change);
        }
        self.straighten(slot, passes);
        for i in 0..=last {
            if !(i == 0 && held[0] || i == last && held[1]) {
                self.trial[i] = self.base[i] + weight * self.flows[slot].net(i);
            }
        }
        let times = self.times(moment.ends);
        self.trial_air = self.base_air + weight * self.flows[slot].net_air(times);
    }

    /// The matrix of Newton's method at the present values, and what passes at the ends.
    fn slopes(&mut self, moment: &Moment<'_>, weight: f64, held: [bool; 2]) -> [Passes; 2] {
        let last = self.last();
        let meets = moment.ends.at(
            moment.time / moment.ends.lasts_s,
            self.air_at(self.trial_air),
        );
        let passes = [0, 1].map(|end| {
            let node = if end == 0 { 0 } else { last };
            meets[end].passes(self.values.temperature[node])
        });
        let (values, matrix) = (&self.values, &mut self.matrix);
        matrix.diagonal.fill(1.0);
        for i in 0..last {
            let through = weight * self.mesh.conducts[i];
            let from = through * values.conducts[i][1].conductivity * values.slope[i];
            let to = through * values.conducts[i + 1][0].conductivity * values.slope[i + 1];
            matrix.diagonal[i] += from;
            matrix.upper[i] = -to;
            matrix.lower[i + 1] = -from;
            matrix.diagonal[i + 1] += to;
        }
        matrix.diagonal[0] -= weight * passes[0].by_face * values.slope[0];
        matrix.diagonal[last] -= weight * passes[1].by_face * values.slope[last];
        if held[0] {
            (matrix.diagonal[0], matrix.upper[0], self.change[0]) = (1.0, 0.0, 0.0);
        }
        if held[1] {
            (matrix.diagonal[last], matrix.lower[last]) = (1.0, 0.0);
            self.change[last] = 0.0;
        }
        passes
    }

    /// Solves for the change together with that of the chamber's air, whose part of the flows is taken in.
    fn solve_with_air(
        &mut self,
        plant: &Plant,
        slot: usize,
        moment: &Moment<'_>,
        weight: f64,
        passes: [Passes; 2],
    ) {
        let last = self.last();
        let times = self.times(moment.ends);
        let air = plant.starts_k() + self.trial_air / plant.stores();
        let share = moment.time / moment.ends.lasts_s;
        let aim = moment.ends.air().map_or(air, |aim| aim.at(share));
        let by_air = plant.supply_by_air(air, aim);
        let per_joule = 1.0 / plant.stores();
        let flows = &mut self.flows[slot];
        let more = self.base_air + weight * flows.net_air(times) - self.trial_air;
        let all = by_air.net() - times * (passes[0].by_air + passes[1].by_air);
        self.border = Border {
            column: [0, 1].map(|end| -weight * passes[end].by_air * per_joule),
            row: [(0, 0), (1, last)]
                .map(|(end, node)| weight * times * passes[end].by_face * self.values.slope[node]),
            corner: 1.0 - weight * all * per_joule,
        };
        let warmer = per_joule
            * solve_bordered(
                &self.matrix,
                &self.border,
                &mut self.change,
                more,
                &mut self.through,
            );
        for (flow, passes) in flows.ends.iter_mut().zip(passes) {
            *flow += passes.by_air * warmer;
        }
        flows.supply.add(&by_air, warmer);
    }

    /// Moves the flows along their slopes by the change found, and notes what the values should become.
    fn straighten(&mut self, slot: usize, passes: [Passes; 2]) {
        let last = self.last();
        let (values, flows) = (&self.values, &mut self.flows[slot]);
        for (i, expected) in self.expected.iter_mut().enumerate() {
            let warmer = values.slope[i] * self.change[i];
            let [before, after] = values.conducts[i];
            *expected = [
                values.temperature[i] + warmer,
                before.integral + before.conductivity * warmer,
                after.integral + after.conductivity * warmer,
            ];
        }
        for (i, flow) in flows.inner.iter_mut().enumerate() {
            *flow = self.mesh.conducts[i] * (self.expected[i][2] - self.expected[i + 1][1]);
        }
        flows.ends[0] += passes[0].by_face * values.slope[0] * self.change[0];
        flows.ends[1] += passes[1].by_face * values.slope[last] * self.change[last];
    }

    /// Takes the values at the trial and tells how far they lie from what the straightened equations
    /// expected, K.
    fn adopt(&mut self, slot: usize, moment: &Moment<'_>, weight: f64) -> f64 {
        self.mesh.look(&self.trial, &mut self.values);
        let values = &self.values;
        let mut off: f64 = 0.0;
        for (i, [temperature, before, after]) in self.expected.iter().enumerate() {
            let [left, right] = values.conducts[i];
            off = off
                .max((values.temperature[i] - temperature).abs())
                .max((left.integral - before).abs() / left.conductivity)
                .max((right.integral - after).abs() / right.conductivity);
        }
        let last = self.last();
        let share = moment.time / moment.ends.lasts_s;
        let air = self.air_at(self.trial_air);
        let meets = moment.ends.at(share, air);
        for (end, node, cell, side) in [(0, 0, 0, 1), (1, last, last - 1, 0)] {
            let passes = meets[end].passes(values.temperature[node]);
            let conducts = self.mesh.conducts[cell] * values.conducts[node][side].conductivity;
            let wrong = (passes.heat - self.flows[slot].ends[end]).abs();
            off = off.max(wrong / (conducts - passes.by_face));
        }
        if let (Some(plant), Some(air), Some(aim)) = (&self.plant, air, moment.ends.air()) {
            let supply = plant.supply(air, aim.at(share));
            let wrong = (supply.net() - self.flows[slot].supply.net()).abs();
            off = off.max(wrong * weight / plant.stores());
        }
        if off.is_nan() { f64::INFINITY } else { off }
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

    /// Books the heat of a step.
    fn book(&mut self, moment: &Moment<'_>, length: f64) {
        let last = self.last();
        let times = self.times(moment.ends);
        let held = moment
            .ends
            .at(1.0, Some(1.0))
            .map(|m| matches!(m, Meets::Held(_)));
        for (end, node) in [(0, 0), (1, last)] {
            if held[end] {
                // What a held face takes: what its node gained and what that passed on.
                let mut heat = self.trial[node] - self.heat[node];
                for (flows, weight) in self.flows.iter().zip(WEIGHTS) {
                    heat -= weight * length * flows.net(node);
                }
                self.books.into += heat;
                self.books.passed += heat.abs();
            }
        }
        for (flows, weight) in self.flows.iter().zip(WEIGHTS) {
            let share = weight * length;
            let books = &mut self.books;
            let [first, second] = flows.ends;
            books.into += share * (first + second);
            books.passed += share * (first.abs() + second.abs());
            if self.plant.is_some() {
                let Supply {
                    heats,
                    cools,
                    loses,
                } = flows.supply;
                let drawn = times * (first + second);
                books.drawn += share * drawn;
                books.heating += share * heats;
                books.cooling += share * cools;
                books.lost += share * loses;
                books.chamber_passed +=
                    share * (heats.abs() + cools.abs() + loses.abs() + drawn.abs());
            }
        }
    }

    /// Heat into the cut piece now, W.
    pub(super) fn flow_in(&self, ends: &Ends) -> f64 {
        let mut all = 0.0;
        for (end, meets) in ends.at(0.0, Some(1.0)).into_iter().enumerate() {
            let node = self.node_of(end);
            all += if matches!(meets, Meets::Held(_)) {
                self.rate(ends, node) - self.flows[2].net(node)
            } else {
                self.flows[2].ends[end]
            };
        }
        all
    }

    /// Heat into a node now, W.
    pub(super) fn rate(&self, ends: &Ends, node: usize) -> f64 {
        let end = usize::from(node != 0);
        let held = (node == 0 || node == self.last())
            && matches!(ends.at(0.0, Some(1.0))[end], Meets::Held(_));
        if held {
            let slope = self.values.slope[node];
            if slope > 0.0 {
                ends.held_rate(end) / slope
            } else {
                0.0
            }
        } else {
            self.flows[2].net(node)
        }
    }

    /// How fast the chamber's air warms now, K/s.
    pub(super) fn air_rate(&self, ends: &Ends) -> f64 {
        self.plant.as_ref().map_or(0.0, |plant| {
            self.flows[2].net_air(plant.times(ends.open())) / plant.stores()
        })
    }

    /// The fastest change of any temperature now, K/s.
    pub(super) fn fastest(&self, ends: &Ends) -> f64 {
        (0..self.heat.len()).fold(self.air_rate(ends).abs(), |most, i| {
            let slope = self.values.slope[i].max(self.overall[i]);
            most.max((self.rate(ends, i) * slope).abs())
        })
    }

    /// The heat that the books do not explain, as a share of what passed.
    pub(super) fn unexplained(&self) -> f64 {
        let share = |left: f64, passed: f64| {
            if passed > 0.0 {
                left.abs() / passed
            } else {
                0.0
            }
        };
        let held: f64 = self.heat.iter().sum();
        let piece = share(held - self.books.into, self.books.passed);
        let Books {
            heating,
            cooling,
            lost,
            drawn,
            chamber_passed,
            ..
        } = self.books;
        let air = self.air_heat - (heating - cooling - lost - drawn);
        piece.max(share(air, chamber_passed))
    }
}
