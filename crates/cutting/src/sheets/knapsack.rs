//! The most valuable layout of one sheet: prices first, then searches of growing width until the proof is closed.

use effort::Meter;

use super::blocks::Block;
use super::core::{Core, View};
use super::labels::{self, Priced};
use super::prices::{self, Dual, Pace};
use super::relaxed;

/// The subgradient for one sheet by itself.
const LONG: Pace = Pace {
    iterations: 250,
    gather: false,
};
/// Blocks per cell at which the search gives up widening.
const WIDEST: usize = 4096;
/// Shares of the best prices for the searches beside the main one.
const SHARES: [f64; 4] = [0.5, 0.8, 0.0, 1.15];
/// Thin grids tried where the full one is too large.
const GRIDS: u64 = 64;
/// Cells of the first of them.
const THIN_CELLS: usize = 250_000;

/// The hunt on one core: where it stands between two searches.
pub(super) struct Hunt<'a> {
    pub(super) core: &'a Core,
    pub(super) bound: u64,
    pub(super) value: u64,
    pub(super) block: Block,
    dual: Option<Dual>,
    priced: Option<Priced>,
    width: usize,
    spent_out: bool,
}

impl<'a> Hunt<'a> {
    /// Finds prices, a bound and a first layout.
    pub(super) fn start(core: &'a Core, meter: &mut Meter<'_>) -> Self {
        let mut hunt = Self {
            core,
            bound: prices::area_bound(core),
            value: 0,
            block: Block::default(),
            dual: None,
            priced: None,
            width: 1,
            spent_out: false,
        };
        if core.kinds.is_empty() {
            return hunt;
        }
        if let Some(dual) = prices::dual(core, LONG, meter) {
            hunt.bound = dual.bound;
            hunt.value = dual.value;
            hunt.priced = (dual.value < dual.bound)
                .then(|| priced(core, dual.scale, &dual.prices, meter))
                .flatten();
            hunt.block = dual.block.clone();
            hunt.dual = Some(dual);
        }
        hunt
    }

    /// Whether nothing better than `best` can come of it.
    pub(super) fn closed(&self, best: u64) -> bool {
        self.bound <= best || self.spent_out || self.priced.is_none()
    }

    /// One search, wider than the last, and one at other prices: where the relaxation has a gap, the prices
    /// that prove most are not those that lead to the best layouts.
    pub(super) fn widen(&mut self, best: u64, meter: &mut Meter<'_>) {
        let (Some(priced), Some(dual)) = (&self.priced, &self.dual) else {
            return;
        };
        let best = best.max(self.value);
        let (found, finished) = labels::search(self.core, priced, self.width, best, meter);
        let missed = found.missed;
        let share = SHARES[self.width.trailing_zeros() as usize % SHARES.len()];
        let prices: Vec<f64> = dual
            .prices
            .iter()
            .map(|price| (price * share).round())
            .collect();
        let scale = dual.scale;
        self.take(found);
        let best = best.max(self.value);
        if finished && self.core.complete {
            self.bound = self.bound.min(missed.max(best));
        }
        self.spent_out = !finished || self.width >= WIDEST || missed <= best;
        let beside = !self.closed(best) && self.width > 1;
        let priced = || self::priced(self.core, scale, &prices, meter);
        if let Some(priced) = beside.then(priced).flatten() {
            self.take(labels::search(self.core, &priced, self.width / 2, best, meter).0);
        }
        self.width *= 2;
    }

    fn take(&mut self, found: labels::Found) {
        if let Some((value, block)) = found.best {
            self.value = value;
            self.block = block;
        }
    }
}

pub(super) fn priced(
    core: &Core,
    scale: u64,
    prices: &[f64],
    meter: &mut Meter<'_>,
) -> Option<Priced> {
    let worth = prices::reduced(core, scale, prices);
    let worths = relaxed::worths(core, &worth, meter)?;
    let around = relaxed::outside(core, &worths, meter)?;
    let constant = prices::constant(core, prices);
    Some(Priced {
        worth,
        scale,
        constant,
        around,
    })
}

/// A layout, the core it was found on, its worth and a bound on every layout.
pub(super) type Found = (Core, Block, u64, u64);

/// The best layout of one sheet over the orders of levels that the scheme allows.
pub(super) fn best(view: View<'_>, sheet: usize, meter: &mut Meter<'_>) -> Found {
    let cores = Core::all(view, sheet);
    if cores.iter().all(|core| core.complete) {
        return exhaust(cores, meter);
    }
    scatter(view, sheet, cores, meter)
}

/// Wider and wider searches on every core in turn.
fn exhaust(mut cores: Vec<Core>, meter: &mut Meter<'_>) -> Found {
    let mut hunts: Vec<Hunt<'_>> = cores.iter().map(|core| Hunt::start(core, meter)).collect();
    loop {
        let best = hunts.iter().map(|hunt| hunt.value).max().unwrap_or(0);
        let mut any = false;
        for hunt in hunts.iter_mut().filter(|hunt| !hunt.closed(best)) {
            hunt.widen(best, meter);
            any = true;
        }
        if !any || meter.over() {
            break;
        }
    }
    let bound = hunts.iter().map(|hunt| hunt.bound).max().unwrap_or(0);
    let top = (0..hunts.len())
        .rev()
        .max_by_key(|&index| hunts[index].value)
        .unwrap_or(0);
    let Hunt { block, value, .. } = hunts.swap_remove(top);
    (cores.swap_remove(top), block, value, bound.max(value))
}

/// Grids too large to be gone through: many thin ones instead, each from other sizes, growing with time.
fn scatter(view: View<'_>, sheet: usize, cores: Vec<Core>, meter: &mut Meter<'_>) -> Found {
    let bound = cores.iter().map(prices::area_bound).max().unwrap_or(0);
    let mut best: Option<(Core, Block, u64)> = None;
    let mut used = Vec::new();
    for seed in 1..=GRIDS {
        let most_cells = THIN_CELLS << (seed / 2).min(5);
        let view = View {
            most_cells,
            seed,
            used: &used,
            ..view
        };
        for core in Core::all(view, sheet) {
            let mut hunt = Hunt::start(&core, meter);
            if !hunt.closed(best.as_ref().map_or(0, |best| best.2)) {
                hunt.widen(best.as_ref().map_or(0, |best| best.2), meter);
            }
            let Hunt { block, value, .. } = hunt;
            if best.as_ref().is_none_or(|best| value > best.2) {
                best = Some((core, block, value));
            }
        }
        if let Some((core, block, _)) = &best {
            used = parts(core, block, view.problem.parts.len());
        }
        if meter.over() || best.as_ref().is_some_and(|best| best.2 >= bound) {
            break;
        }
    }
    let first = cores.into_iter().next();
    let nothing = || first.map(|core| (core, Block::default(), 0));
    let (core, block, value) = best.or_else(nothing).expect("a checked sheet has a core");
    (core, block, value, bound.max(value))
}

/// Copies of each part in a block; parts that are alike count as the first of them.
fn parts(core: &Core, block: &Block, parts: usize) -> Vec<u64> {
    let mut copies = vec![0; parts];
    for (kind, count) in core.kinds.iter().zip(block.counts(core)) {
        copies[kind.parts[0].0] += u64::from(count);
    }
    copies
}
