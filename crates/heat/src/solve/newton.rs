//! The equations at the end of a part of a step, solved by Newton's method.
//!
//! The last correction is applied to the flows, and the heat follows from these; so the heat of the nodes
//! and the books agree to rounding, whatever Newton's method leaves.

use crate::solve::chamber::Plant;
use crate::solve::faces::{Meets, Passes};
use crate::solve::linear::{Border, solve_bordered};
use crate::solve::step::{Moment, Refused, Stepper};

/// Most rounds of Newton's method; a step that needs more is too long.
const ROUNDS: usize = 10;
/// What Newton's method leaves, as a share of the error allowed in the step.
const LEFT: f64 = 0.003;

impl Stepper<'_> {
    /// Newton's method: heat = base + weight · flows(heat). Leaves the heat in `trial`, its values, and
    /// the flows that lead there exactly.
    pub(super) fn settle(
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
}
