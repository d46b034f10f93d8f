//! Which boards to open and how to cut them: priced greedily, then improved by closing a few and opening better
//! ones (ruin and recreate; Schrimpf et al. 2000).
//!
//! The next board is the one of least area less what its plan is worth for what is still needed, at the prices
//! of the bound: near the bound, worth and area balance, so this counts the wood wasted.

use chance::Stream;
use effort::{Effort, Meter};

use super::super::board::Part;
use super::super::plan::BoardPlan;
use super::super::whole::within_needs;
use super::prices::{Climb, Priced, Yard};

/// Boards looked at, of those not opened, for each one opened; all of them the first time.
const LOOKED_AT: usize = 14;
/// Boards closed at once, at most.
const CLOSED: u64 = 4;
/// Rounds of prices when a plan must keep to what is needed.
const ROUNDS: usize = 4;
/// Trials in a row without an improvement, per board opened, after which the search ends.
const STALL: usize = 40;

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
        let mut opening = Self {
            plans: Vec::new(),
            made: vec![0; yard.needs.len()],
        };
        // Boards worth their area come first, in order of worth to area; only the last few are weighed anew.
        let ratio = |board: usize| priced.worth[board] / yard.areas[board];
        let mut order: Vec<usize> = (0..yard.views.len()).collect();
        order.sort_by(|&a, &b| ratio(b).total_cmp(&ratio(a)));
        let mut from = 0;
        while !opening.met(yard) && from < order.len() {
            let window = &order[from..(from + LOOKED_AT).min(order.len())];
            let best = opening.best_of(yard, &priced.prices, window, meter);
            let Some((board, plan)) = best else {
                // None of these helps; those behind may.
                from += window.len();
                continue;
            };
            order.retain(|&other| other != board);
            opening.open(board, plan);
        }
        opening.plans.sort_by_key(|(board, _)| *board);
        opening
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

    fn open(&mut self, board: usize, plan: BoardPlan) {
        for placed in plan.placed() {
            self.made[placed.part] += 1;
        }
        self.plans.push((board, plan));
    }

    fn close(&mut self, place: usize) -> usize {
        let (board, plan) = self.plans.swap_remove(place);
        for placed in plan.placed() {
            self.made[placed.part] -= 1;
        }
        board
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

/// Improves an opening until it stalls, the bound is reached, or the effort is over.
pub(super) fn search(
    yard: &Yard<'_>,
    climb: &Climb<'_>,
    first: Opening,
    meter: &mut Meter<'_>,
) -> Opening {
    let mut best = first;
    let again = Opening::greedy(yard, &climb.best, meter);
    if again.area_if_met(yard) < best.area_if_met(yard) || !best.met(yard) {
        best = again;
    }
    let mut stream = Stream::new(0, "boards opened");
    let mut stalled = 0;
    while best.met(yard)
        && best.area(yard) > climb.best.bound * (1.0 + 1e-9)
        && stalled < STALL * best.plans.len()
        && !meter.over()
    {
        let trial = recreate(yard, climb, &best, &mut stream, meter);
        stalled += 1;
        if let Some(trial) = trial {
            if trial.area(yard) < best.area(yard) * (1.0 - 1e-12) {
                stalled = 0;
            }
            best = trial;
        }
    }
    best.plans.sort_by_key(|(board, _)| *board);
    best
}

/// Closes a few boards and opens others; `None` if that takes more wood.
fn recreate(
    yard: &Yard<'_>,
    climb: &Climb<'_>,
    from: &Opening,
    stream: &mut Stream,
    meter: &mut Meter<'_>,
) -> Option<Opening> {
    let before = from.area(yard);
    let mut trial = from.clone();
    let mut closed = Vec::new();
    for _ in 0..=stream.index(CLOSED) {
        if !trial.plans.is_empty() {
            let place = stream.index(trial.plans.len() as u64) as usize;
            closed.push(trial.close(place));
        }
    }
    let prices: Vec<f64> = climb
        .best
        .prices
        .iter()
        .map(|price| price * libm::exp(0.15 * stream.normal()))
        .collect();
    let mut area = trial.area(yard);
    while !trial.met(yard) {
        let candidates = candidates(yard, climb, &trial, &closed, stream);
        let (board, plan) = trial.best_of(yard, &prices, &candidates, meter)?;
        area += yard.areas[board];
        if area > before * (1.0 + 1e-12) {
            return None;
        }
        trial.open(board, plan);
    }
    Some(trial)
}

/// The boards just closed, and some of the others, the better ones more often.
fn candidates(
    yard: &Yard<'_>,
    climb: &Climb<'_>,
    opening: &Opening,
    closed: &[usize],
    stream: &mut Stream,
) -> Vec<usize> {
    let opened = |board: &usize| opening.plans.iter().any(|(other, _)| other == board);
    let mut some: Vec<usize> = closed
        .iter()
        .copied()
        .filter(|board| !opened(board))
        .collect();
    let shut: Vec<usize> = (0..yard.views.len())
        .filter(|board| !opened(board) && !closed.contains(board))
        .collect();
    let ratio = |board: usize| climb.best.worth[board] / yard.areas[board];
    for _ in 0..LOOKED_AT.min(shut.len()) {
        let (a, b) = (
            stream.index(shut.len() as u64),
            stream.index(shut.len() as u64),
        );
        let (a, b) = (shut[a as usize], shut[b as usize]);
        let pick = if ratio(a) >= ratio(b) { a } else { b };
        if !some.contains(&pick) {
            some.push(pick);
        }
    }
    some
}
