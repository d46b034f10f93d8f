//! Prices of parts that bound the wood a pack needs, and the climb to good ones.
//!
//! L is concave and piecewise linear; need − made is a slope of it. Steps follow a slope deflected by the last
//! direction (Camerini, Fratta & Maffioli 1975) with Polyak's length towards the best area known, shortened
//! when the climb stalls (Held, Wolfe & Crowder 1974). Prices are scaled by the area of the part.

use effort::Meter;

use super::super::board::{Part, Saw};
use super::super::ground::{Shape, shapes};
use super::super::plan::BoardPlan;
use super::super::views::Views;
use super::super::whole::Wish;
use super::Pack;

/// Rounds of the climb at most, and without progress before steps are shortened.
const ROUNDS: usize = 400;
const STALL: usize = 12;

/// A pack made ready to be cut again and again.
pub(super) struct Yard<'a> {
    pub(super) pack: &'a Pack<'a>,
    pub(super) views: Vec<Views>,
    pub(super) areas: Vec<f64>,
    pub(super) needs: Vec<u64>,
    pub(super) wish: Wish,
}

impl<'a> Yard<'a> {
    pub(super) fn new(pack: &'a Pack<'a>) -> Self {
        let saw: &Saw = pack.saw;
        Self {
            pack,
            views: pack
                .boards
                .iter()
                .map(|board| Views::new(board, saw))
                .collect(),
            areas: pack
                .boards
                .iter()
                .map(super::super::board::Board::area)
                .collect(),
            needs: pack
                .parts
                .iter()
                .map(|part| part.need.unwrap_or(0))
                .collect(),
            wish: Wish {
                keep: 1,
                salvage: false,
                ..*pack.wish
            },
        }
    }

    /// Area of the whole pack.
    pub(super) fn area(&self) -> f64 {
        self.areas.iter().sum()
    }

    /// The parts at these prices, those without a price left out.
    pub(super) fn priced(&self, prices: &[f64]) -> Vec<Shape> {
        let mut shapes = shapes(self.pack.parts);
        for shape in &mut shapes {
            shape.value = prices[shape.part];
        }
        shapes.retain(|shape| shape.value > 0.0);
        shapes
    }

    /// The best plan of a board, its value in prices; `None` if nothing can be cut from it.
    pub(super) fn cut(&self, board: usize, shapes: &[Shape]) -> Option<BoardPlan> {
        let plans = self.views[board].best(shapes, &self.wish);
        plans.into_iter().next()
    }
}

/// What prices tell: the bound, and what each board is worth.
#[derive(Clone, Debug)]
pub(super) struct Priced {
    pub(super) prices: Vec<f64>,
    pub(super) bound: f64,
    /// Value of the best plan of each board.
    pub(super) worth: Vec<f64>,
    /// How many of each part the boards worth opening make.
    made: Vec<f64>,
}

/// The climb.
pub(super) struct Climb<'a> {
    yard: &'a Yard<'a>,
    pub(super) best: Priced,
    areas: Vec<f64>,
    /// Prices looked at, and per board what its best plans made at them.
    pub(super) seen: Vec<Vec<f64>>,
    pub(super) columns: Vec<Vec<Column>>,
}

/// A plan of a board known by what it makes; it is had again from the prices that led to it.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Column {
    pub(super) counts: Vec<u32>,
    pub(super) seen: usize,
}

impl<'a> Climb<'a> {
    pub(super) fn new(yard: &'a Yard<'a>) -> Self {
        let areas: Vec<f64> = yard.pack.parts.iter().map(Part::area).collect();
        let boards = yard.views.len();
        Self {
            yard,
            best: Priced {
                prices: areas.clone(),
                bound: 0.0,
                worth: vec![0.0; boards],
                made: vec![0.0; areas.len()],
            },
            areas,
            seen: Vec::new(),
            columns: vec![Vec::new(); boards],
        }
    }

    /// What these prices tell; `None` when the effort is over before all boards are looked at.
    fn price(&mut self, prices: Vec<f64>, meter: &mut Meter<'_>) -> Option<Priced> {
        let yard = self.yard;
        let shapes = yard.priced(&prices);
        self.seen.push(prices.clone());
        let needs = yard.needs.iter().zip(&prices);
        let mut priced = Priced {
            bound: needs.map(|(&need, price)| need as f64 * price).sum(),
            worth: Vec::with_capacity(yard.views.len()),
            made: vec![0.0; prices.len()],
            prices,
        };
        for (board, area) in yard.areas.iter().enumerate() {
            if !meter.spend(1) {
                return None;
            }
            let plan = yard.cut(board, &shapes);
            let worth = plan.as_ref().map_or(0.0, |plan| plan.value);
            priced.worth.push(worth);
            if let Some(plan) = &plan {
                self.keep(board, plan);
            }
            if let Some(plan) = plan.filter(|_| worth > *area) {
                priced.bound += area - worth;
                for placed in plan.placed() {
                    priced.made[placed.part] += 1.0;
                }
            }
        }
        Some(priced)
    }

    /// Remembers what a plan makes, once.
    fn keep(&mut self, board: usize, plan: &BoardPlan) {
        let mut counts = vec![0; self.areas.len()];
        for placed in plan.placed() {
            counts[placed.part] += 1;
        }
        let columns = &mut self.columns[board];
        if !columns.iter().any(|column| column.counts == counts) {
            columns.push(Column {
                counts,
                seen: self.seen.len() - 1,
            });
        }
    }

    /// Starts from prices in proportion to area, at the level that bounds best.
    pub(super) fn scale(&mut self, meter: &mut Meter<'_>) {
        let mut level = 1.0;
        for _ in 0..16 {
            let prices = self.areas.iter().map(|area| area * level).collect();
            let Some(found) = self.price(prices, meter) else {
                return;
            };
            let better = found.bound > self.best.bound;
            if better {
                self.best = found;
            } else if self.best.bound > 0.0 {
                return;
            }
            level *= 1.1;
        }
    }

    /// Climbs towards `target`, an area known to be enough.
    pub(super) fn up(&mut self, target: f64, meter: &mut Meter<'_>) {
        let mut direction = vec![0.0; self.areas.len()];
        let mut at = self.best.clone();
        let (mut length, mut stalled) = (1.0, 0);
        for _ in 0..ROUNDS {
            if self.best.bound >= target * (1.0 - 1e-9) || length < 1e-3 {
                return;
            }
            self.turn(&mut direction, &at);
            let square: f64 = direction.iter().map(|d| d * d).sum();
            if square == 0.0 {
                return;
            }
            let step = length * (target - at.bound).max(target * 1e-3) / square;
            let moved = |part: usize| {
                (at.prices[part] + step * direction[part] * self.areas[part]).max(0.0)
            };
            let prices = (0..self.areas.len()).map(moved).collect();
            let Some(found) = self.price(prices, meter) else {
                return;
            };
            let better = found.bound > self.best.bound;
            stalled = if better { 0 } else { stalled + 1 };
            at = found;
            if better {
                self.best = at.clone();
            } else if stalled >= STALL {
                (length, stalled) = (length / 2.0, 0);
                at = self.best.clone();
                direction.fill(0.0);
            }
        }
    }

    /// The next direction, in prices over areas: the slope, and enough of the last direction that the two do
    /// not work against each other.
    fn turn(&self, direction: &mut [f64], at: &Priced) {
        let slope = |part: usize| {
            let slope = (self.yard.needs[part] as f64 - at.made[part]) * self.areas[part];
            if at.prices[part] == 0.0 {
                slope.max(0.0)
            } else {
                slope
            }
        };
        let slopes: Vec<f64> = (0..direction.len()).map(slope).collect();
        let (inner, square) = slopes
            .iter()
            .zip(direction.iter())
            .fold((0.0, 0.0), |(inner, square), (s, d)| {
                (inner + s * d, square + d * d)
            });
        let share = if inner < 0.0 {
            -1.5 * inner / square
        } else {
            0.0
        };
        for (d, s) in direction.iter_mut().zip(slopes) {
            *d = s + share * *d;
        }
    }
}
