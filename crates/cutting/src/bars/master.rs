//! The linear programme over patterns, its columns made as they are needed, and a bound that holds exactly.
//!
//! Rows: the need of each item; the limit of each scarce kind that is one stretch; the balance of each
//! class of stretches of other kinds (cut less opened, at most nought). Columns: a dear stand-in for each
//! item (its missing pieces, where pieces may be missing), the pieces of kinds with several stretches, the patterns.
//!
//! Bound: for any whole-number worth p of the items, with w(c) the most that a pattern of class c is worth,
//! every plan costs at least `Σ need·p - Σ limit·max(0, Σ w(c) - cost)` over the kinds, the inner sum over a
//! kind's stretches. (Lagrangian relaxation of the needs; with the worth scaled down until no sum is above a
//! cost it is the bound of Farley 1990.)

use std::collections::BTreeSet;

use effort::Meter;

use super::core::{Core, Residual, Shape};
use super::pricing::{Pricer, Prices};
use crate::linear::{Outcome, Programme, Sense};

/// Patterns sought per class and round.
const PATTERNS_PER_ROUND: usize = 30;
/// Nodes of all searches for patterns in one round.
const NODES_PER_ROUND: u64 = 400_000;
/// Bits of the dearest cost in small units: sums over patterns then stay far below 2^63.
const COST_BITS: u32 = 40;
/// Needs are raised by unlike small amounts up to this, so that the programme is not degenerate: nearly
/// all needs of one and the same number make the simplex method stand still.
const NUDGE: f64 = 1e-5;
/// A pattern must gain more than this, small units: rounding is no gain.
const SLACK: i64 = 1 << (COST_BITS - 30);
/// No item is worth more, small units.
const DEAREST: i64 = 1 << 50;

/// A bound in small units, as a fraction of the scale.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Bound {
    pub(super) small: i128,
}

impl Bound {
    /// Money units, rounded up to what a plan can cost.
    pub(super) fn round_up(self, core: &Core, scale: i64) -> u64 {
        let unit = i128::from(scale) * i128::from(core.unit);
        let units = (self.small + unit - 1).div_euclid(unit).max(0);
        u64::try_from(units)
            .unwrap_or(u64::MAX)
            .saturating_mul(core.unit)
    }
}

/// What a round of generation left behind.
#[derive(Clone, Copy, Debug)]
pub(super) struct Relaxed {
    /// Value of the linear programme over the columns there are, money units.
    pub(super) value: f64,
    /// Whether stand-ins are still used.
    pub(super) lacking: bool,
}

/// Up to where a round of generation goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Until {
    /// No pattern is missing.
    Complete,
    /// The bound, rounded up, reaches this cost, or has met the value of the programme.
    Bound(u64),
}

/// The master programme and its columns.
pub(super) struct Master<'a> {
    pub(super) core: &'a Core,
    lp: Programme,
    /// Patterns, in the order of their columns.
    pub(super) shapes: Vec<Shape>,
    seen: BTreeSet<Shape>,
    /// Row of each class, if it has one.
    class_rows: Vec<Option<usize>>,
    /// Row of each kind, if it has one.
    kind_rows: Vec<Option<usize>>,
    /// Column of each kind, if it has one.
    kind_columns: Vec<Option<usize>>,
    first_shape: usize,
    pub(super) scale: i64,
    /// Best bound of the whole problem, and the prices that gave it.
    pub(super) best: Option<(Bound, Prices)>,
}

/// Small units in one money unit.
fn scale(core: &Core) -> i64 {
    let kinds = core.kinds.iter().map(|kind| kind.cost);
    let items = core.items.iter().filter_map(|item| item.miss);
    let dearest = kinds.chain(items).max().unwrap_or(1).max(1);
    let bits = u64::BITS - dearest.leading_zeros();
    1_i64 << (COST_BITS + 1).saturating_sub(bits)
}

impl<'a> Master<'a> {
    pub(super) fn new(core: &'a Core) -> Self {
        let mut rows: Vec<(Sense, f64)> = core
            .items
            .iter()
            .map(|item| (Sense::AtLeast, item.need as f64))
            .collect();
        let class_rows = (core.classes.iter())
            .map(|class| class.sole.is_none().then(|| push(&mut rows, 0.0)))
            .collect();
        let kind_rows = (core.kinds.iter().enumerate())
            .map(|(index, kind)| {
                (kind.scarce && core.sole(index)).then(|| push(&mut rows, kind.limit as f64))
            })
            .collect();
        let mut master = Self {
            core,
            lp: Programme::new(&rows),
            shapes: Vec::new(),
            seen: BTreeSet::new(),
            class_rows,
            kind_rows,
            kind_columns: Vec::new(),
            first_shape: 0,
            scale: scale(core),
            best: None,
        };
        master.add_stand_ins();
        master.add_kinds();
        master.first_shape = master.lp.columns();
        // A stretch that is opened and not cut is kept.
        for class in 0..core.classes.len() {
            if core.classes[class].sole.is_none()
                && core.rest_value(core.classes[class].capacity) > 0
            {
                let items = Vec::new();
                master.add(Shape { class, items });
            }
        }
        master
    }

    fn add_stand_ins(&mut self) {
        let dearest = self.core.kinds.iter().map(|kind| kind.cost).max();
        let stand_in = 2 * dearest.unwrap_or(0) + 1;
        for (row, item) in self.core.items.iter().enumerate() {
            let cost = item.miss.unwrap_or(stand_in);
            self.lp.add_column(cost as f64, &[(row, 1.0)]);
        }
    }

    fn add_kinds(&mut self) {
        for (index, kind) in self.core.kinds.iter().enumerate() {
            if self.core.sole(index) {
                self.kind_columns.push(None);
                continue;
            }
            let entries: Vec<(usize, f64)> = kind
                .classes
                .iter()
                .filter_map(|&(class, each)| Some((self.class_rows[class]?, -(each as f64))))
                .collect();
            let column = self.lp.add_column(kind.cost as f64, &entries);
            self.kind_columns.push(Some(column));
        }
    }

    /// Adds a pattern unless it is there.
    pub(super) fn add(&mut self, shape: Shape) -> bool {
        if self.seen.contains(&shape) {
            return false;
        }
        let mut entries: Vec<(usize, f64)> = (shape.items.iter())
            .map(|&(item, count)| (item as usize, f64::from(count)))
            .collect();
        let sole = self.core.classes[shape.class].sole;
        let row = sole.map_or(self.class_rows[shape.class], |kind| self.kind_rows[kind]);
        entries.extend(row.map(|row| (row, 1.0)));
        self.lp.add_column(self.core.cost(&shape) as f64, &entries);
        self.seen.insert(shape.clone());
        self.shapes.push(shape);
        true
    }

    /// Makes the programme that of what is left: needs, stock, and only patterns that make nothing over.
    pub(super) fn set_residual(&mut self, residual: &Residual) {
        for (row, &need) in residual.needs.iter().enumerate() {
            let nudge = if need == 0 { 0.0 } else { nudge(row) };
            self.lp.set_right(row, need as f64 + nudge);
        }
        for (class, row) in self.class_rows.iter().enumerate() {
            if let Some(row) = *row {
                self.lp.set_right(row, residual.open[class] as f64);
            }
        }
        for (kind, &left) in residual.kinds.iter().enumerate() {
            if let Some(row) = self.kind_rows[kind] {
                self.lp.set_right(row, left as f64);
            }
            if let Some(column) = self.kind_columns[kind] {
                self.lp.set_bounds(column, 0.0, left as f64);
            }
        }
        for (index, shape) in self.shapes.iter().enumerate() {
            let fits = shape.items.is_empty() || residual.fits(shape);
            let upper = if fits { f64::INFINITY } else { 0.0 };
            self.lp.set_bounds(self.first_shape + index, 0.0, upper);
        }
    }

    /// Solves the programme of what is left, making patterns as they are needed.
    pub(super) fn generate(
        &mut self,
        residual: &Residual,
        whole: bool,
        until: Until,
        meter: &mut Meter<'_>,
    ) -> Option<Relaxed> {
        self.set_residual(residual);
        let mut center = if whole { self.best.take() } else { None };
        let ended = self.rounds(residual, until, &mut center, meter);
        if whole {
            self.best = center;
        }
        ended
    }

    /// Rounds of solving and pricing; `center` is the best bound so far with its prices.
    fn rounds(
        &mut self,
        residual: &Residual,
        until: Until,
        center: &mut Option<(Bound, Prices)>,
        meter: &mut Meter<'_>,
    ) -> Option<Relaxed> {
        loop {
            if self.lp.solve(meter) != Outcome::Optimal {
                return None;
            }
            let duals = self.prices();
            let between = center
                .as_ref()
                .map_or_else(|| duals.clone(), |(_, center)| duals.drawn_to(center));
            let mut round = self.round(&duals, between, residual, meter)?;
            keep_better(center, round.proof);
            if round.new == 0 {
                round = self.round(&duals, duals.clone(), residual, meter)?;
                keep_better(center, round.proof);
            }
            let relaxed = Relaxed {
                value: self.value(residual),
                lacking: self.lacking(),
            };
            let reached = center
                .as_ref()
                .map_or(0, |(bound, _)| bound.round_up(self.core, self.scale));
            if round.new == 0 || self.settled(reached, relaxed, until) {
                return Some(relaxed);
            }
        }
    }

    /// Value of the programme without the nudges, by its duals.
    fn value(&self, residual: &Residual) -> f64 {
        let duals = self.lp.duals().iter().zip(&residual.needs).enumerate();
        let nudges: f64 = duals
            .filter(|&(_, (_, &need))| need > 0)
            .map(|(row, (dual, _))| dual * nudge(row))
            .sum();
        self.lp.value() - nudges
    }

    fn settled(&self, reached: u64, relaxed: Relaxed, until: Until) -> bool {
        let Until::Bound(goal) = until else {
            return false;
        };
        let unit = self.core.unit as f64;
        let value_up = (relaxed.value / unit - 1e-6).ceil() * unit;
        reached >= goal || (!relaxed.lacking && reached as f64 >= value_up)
    }

    fn lacking(&self) -> bool {
        (0..self.core.items.len())
            .any(|item| self.core.items[item].miss.is_none() && self.lp.at(item) > 1e-7)
    }

    /// The duals as whole numbers that no stand-in or missing piece contradicts.
    fn prices(&self) -> Prices {
        let items = (self.core.items.iter().enumerate())
            .map(|(row, item)| {
                let most = item
                    .miss
                    .map_or(DEAREST, |miss| miss as i64 * self.scale)
                    .min(DEAREST);
                let small = (self.lp.duals()[row] * self.scale as f64).floor();
                (small as i64).clamp(0, most)
            })
            .collect();
        Prices {
            items,
            scale: self.scale,
        }
    }

    /// What a pattern of the class must be worth to be of use, in small units.
    fn floor(&self, class: usize) -> i64 {
        let rent = |row: Option<usize>| {
            row.map_or(0, |row| {
                (-self.lp.duals()[row] * self.scale as f64).ceil().max(0.0) as i64
            })
        };
        match self.core.classes[class].sole {
            Some(kind) => {
                self.core.kinds[kind].cost as i64 * self.scale + rent(self.kind_rows[kind])
            }
            None => rent(self.class_rows[class]),
        }
    }

    /// Looks for patterns at the prices and keeps those that the duals ask for; and the bound of the prices.
    fn round(
        &mut self,
        duals: &Prices,
        prices: Prices,
        residual: &Residual,
        meter: &mut Meter<'_>,
    ) -> Option<Round> {
        let core = self.core;
        let pricer = Pricer::new(core, &prices, &residual.needs, false, None);
        if !meter.spend(pricer.effort()) {
            return None;
        }
        let wanted = PATTERNS_PER_ROUND.max(core.items.len() / 4);
        let mut nodes = NODES_PER_ROUND;
        let mut worth = Vec::with_capacity(core.classes.len());
        let mut shapes = Vec::new();
        for class in 0..core.classes.len() {
            let floor = self.floor(class) + SLACK;
            let found = pricer.best(class, floor, wanted, &mut nodes);
            worth.push(found.upper.min(pricer.upper(class)));
            let gains = found.shapes.into_iter();
            shapes.extend(gains.map(|(_, shape)| (duals.worth(core, &shape) - floor, shape)));
        }
        meter.spend((NODES_PER_ROUND - nodes) / 256);
        shapes.retain(|&(gain, _)| gain > 0);
        shapes.sort_by_key(|(gain, _)| std::cmp::Reverse(*gain));
        shapes.truncate(wanted);
        let proof = proof(core, prices, &worth, residual);
        let mut new = 0;
        for (_, shape) in shapes {
            new += usize::from(self.add(shape));
        }
        Some(Round { proof, new })
    }

    /// Patterns in use with their values.
    pub(super) fn used_shapes(&self) -> Vec<(usize, f64)> {
        (0..self.shapes.len())
            .map(|index| (index, self.lp.at(self.first_shape + index)))
            .filter(|&(_, value)| value > 1e-9)
            .collect()
    }

    /// Pieces of kinds with several stretches in use, with their values.
    pub(super) fn used_kinds(&self) -> Vec<(usize, f64)> {
        (self.kind_columns.iter().enumerate())
            .filter_map(|(kind, column)| Some((kind, self.lp.at((*column)?))))
            .filter(|&(_, value)| value > 1e-9)
            .collect()
    }
}

/// What one round of pricing gave.
struct Round {
    proof: (Bound, Prices),
    new: usize,
}

fn keep_better(best: &mut Option<(Bound, Prices)>, new: (Bound, Prices)) {
    if best
        .as_ref()
        .is_none_or(|(bound, _)| new.0.small > bound.small)
    {
        *best = Some(new);
    }
}

/// A small amount without pattern: multiples of the golden section (Knuth, vol. 3, 6.4).
fn nudge(row: usize) -> f64 {
    NUDGE * (0.5 + 0.5 * ((row + 1) as f64 * 0.618_033_988_749_895).fract())
}

fn push(rows: &mut Vec<(Sense, f64)>, right: f64) -> usize {
    rows.push((Sense::AtMost, right));
    rows.len() - 1
}

/// The better of the two bounds of the header, for what is left, and prices for which it is the
/// Lagrangian bound; `worth` is an upper limit per class.
fn proof(core: &Core, prices: Prices, worth: &[i64], residual: &Residual) -> (Bound, Prices) {
    let small = lagrange(core, &prices, worth, residual);
    let plain = residual.open.iter().all(|&open| open == 0) && core.leftovers.is_none();
    if plain {
        let scaled = scaled_down(core, &prices, worth);
        let farley = items_worth(&scaled, residual);
        if farley > small {
            return (Bound { small: farley }, scaled);
        }
    }
    (Bound { small }, prices)
}

fn items_worth(prices: &Prices, residual: &Residual) -> i128 {
    (prices.items.iter().zip(&residual.needs))
        .map(|(&price, &need)| i128::from(price) * i128::from(need))
        .sum()
}

/// The Lagrangian bound, small units: the one that reduced costs at these prices belong to.
pub(super) fn lagrange(core: &Core, prices: &Prices, worth: &[i64], residual: &Residual) -> i128 {
    let open: i128 = (worth.iter().zip(&residual.open))
        .map(|(&worth, &open)| i128::from(worth.max(0)) * i128::from(open))
        .sum();
    let kinds: i128 = (core.kinds.iter().zip(&residual.kinds))
        .map(|(kind, &left)| {
            let cost = i128::from(kind.cost) * i128::from(prices.scale);
            (kind_worth(&kind.classes, worth) - cost).max(0) * i128::from(left)
        })
        .sum();
    items_worth(prices, residual) - open - kinds
}

/// The prices scaled by the smallest ratio of cost to worth of a kind, rounded down: no kind is worth more
/// than it costs.
fn scaled_down(core: &Core, prices: &Prices, worth: &[i64]) -> Prices {
    let (mut cost, mut sum) = (1_i128, 1_i128);
    for kind in &core.kinds {
        let kind_cost = i128::from(kind.cost) * i128::from(prices.scale);
        let kind_worth = kind_worth(&kind.classes, worth);
        if kind_cost * sum < cost * kind_worth {
            (cost, sum) = (kind_cost, kind_worth);
        }
    }
    let items = prices.items.iter();
    Prices {
        items: items
            .map(|&price| (i128::from(price) * cost / sum) as i64)
            .collect(),
        scale: prices.scale,
    }
}

fn kind_worth(classes: &[(usize, u64)], worth: &[i64]) -> i128 {
    classes
        .iter()
        .map(|&(class, each)| i128::from(worth[class].max(0)) * i128::from(each))
        .sum()
}
