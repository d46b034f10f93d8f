//! Which boards to open and how to cut them, one after another.
//!
//! The next board is the one of least area less what its plan is worth for what is still needed, at the prices
//! of the bound: near the bound, worth and area balance, so this counts the wood wasted.

use effort::{Effort, Meter};

use super::super::board::Part;
use super::super::plan::BoardPlan;
use super::super::whole::within_needs;
use super::prices::{Priced, Yard};

/// Boards looked at for each one opened.
const LOOKED_AT: usize = 14;
/// Rounds of prices when a plan must keep to what is needed.
const ROUNDS: usize = 4;

/// Boards opened with their plans.
#[derive(Clone, Debug, Default)]
pub(super) struct Opening {
    /// By number of the board.
    pub(super) plans: Vec<(usize, BoardPlan)>,
    pub(super) made: Vec<u64>,
}

impl Opening {
    /// Opens boards of least waste until the needs are met or no board helps.
    pub(super) fn greedy(yard: &Yard<'_>, priced: &Priced, meter: &mut Meter<'_>) -> Self {
        let mut opening = Self::none(yard);
        opening.complete(yard, priced, meter);
        opening
    }

    pub(super) fn none(yard: &Yard<'_>) -> Self {
        Self {
            plans: Vec::new(),
            made: vec![0; yard.needs.len()],
        }
    }

    /// Opens more boards of least waste until the needs are met or no board helps.
    pub(super) fn complete(&mut self, yard: &Yard<'_>, priced: &Priced, meter: &mut Meter<'_>) {
        // Boards worth their area come first, in order of worth to area; only the last few are weighed anew.
        let ratio = |board: usize| priced.worth[board] / yard.areas[board];
        let mut order: Vec<usize> = (0..yard.views.len()).collect();
        order.retain(|&board| !self.plans.iter().any(|&(opened, _)| opened == board));
        order.sort_by(|&a, &b| ratio(b).total_cmp(&ratio(a)));
        let mut from = 0;
        while !self.met(yard) && from < order.len() {
            let window = &order[from..(from + LOOKED_AT).min(order.len())];
            let best = self.best_of(yard, &priced.prices, window, meter);
            let Some((board, plan)) = best else {
                // None of these helps; those behind may.
                from += window.len();
                continue;
            };
            order.retain(|&other| other != board);
            self.open(board, plan);
        }
        self.plans.sort_by_key(|(board, _)| *board);
    }

    pub(super) fn area(&self, yard: &Yard<'_>) -> f64 {
        self.plans.iter().map(|&(board, _)| yard.areas[board]).sum()
    }

    /// The area if the needs are met; that of the whole pack and more if not.
    pub(super) fn area_if_met(&self, yard: &Yard<'_>) -> f64 {
        if self.met(yard) {
            self.area(yard)
        } else {
            2.0 * yard.area()
        }
    }

    pub(super) fn met(&self, yard: &Yard<'_>) -> bool {
        self.made
            .iter()
            .zip(&yard.needs)
            .all(|(made, need)| made >= need)
    }

    pub(super) fn open(&mut self, board: usize, plan: BoardPlan) {
        for placed in plan.placed() {
            self.made[placed.part] += 1;
        }
        self.plans.push((board, plan));
    }

    /// The parts still needed at these prices.
    fn wanted(&self, yard: &Yard<'_>, prices: &[f64]) -> Vec<Part> {
        let part = |(number, part): (usize, &Part)| Part {
            need: Some(yard.needs[number].saturating_sub(self.made[number])),
            value: prices[number],
            ..*part
        };
        yard.pack.parts.iter().enumerate().map(part).collect()
    }

    /// The board of least waste among these for what is still needed, with its plan.
    fn best_of(
        &self,
        yard: &Yard<'_>,
        prices: &[f64],
        boards: &[usize],
        meter: &mut Meter<'_>,
    ) -> Option<(usize, BoardPlan)> {
        let wanted = self.wanted(yard, prices);
        let mut best: Option<(f64, usize, BoardPlan)> = None;
        for &board in boards {
            meter.spend(1);
            let answer = within_needs(
                &yard.views[board],
                &wanted,
                &yard.wish,
                ROUNDS,
                Effort::unlimited(),
            );
            let Some(plan) = answer
                .plans
                .into_iter()
                .next()
                .filter(|plan| plan.value > 0.0)
            else {
                continue;
            };
            let waste = yard.areas[board] - plan.value;
            if best.as_ref().is_none_or(|(least, _, _)| waste < *least) {
                best = Some((waste, board, plan));
            }
        }
        best.map(|(_, board, plan)| (board, plan))
    }
}
