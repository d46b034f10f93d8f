//! The most valuable layout of one sheet: prices first, then searches of growing width until the proof is closed.

use effort::Meter;

use super::blocks::Block;
use super::core::Core;
use super::labels::{self, Priced};
use super::prices::{self, Dual};
use super::relaxed;

/// Blocks per cell at which the search gives up widening.
const WIDEST: usize = 4096;

/// The hunt on one core: where it stands between two searches.
pub(super) struct Hunt<'a> {
    pub(super) core: &'a Core,
    pub(super) bound: u64,
    pub(super) value: u64,
    pub(super) block: Block,
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
            priced: None,
            width: 1,
            spent_out: false,
        };
        if core.kinds.is_empty() {
            return hunt;
        }
        if let Some(dual) = prices::dual(core, prices::ITERATIONS, meter) {
            hunt.bound = dual.bound;
            hunt.value = dual.value;
            hunt.priced = (dual.value < dual.bound)
                .then(|| priced(core, &dual, meter))
                .flatten();
            hunt.block = dual.block;
        }
        hunt
    }

    /// Whether nothing better than `best` can come of it.
    pub(super) fn closed(&self, best: u64) -> bool {
        self.bound <= best || self.spent_out || self.priced.is_none()
    }

    /// One search, wider than the last.
    pub(super) fn widen(&mut self, best: u64, meter: &mut Meter<'_>) {
        let Some(priced) = &self.priced else {
            return;
        };
        let best = best.max(self.value);
        let (found, finished) = labels::search(self.core, priced, self.width, best, meter);
        if let Some((value, block)) = found.best {
            self.value = value;
            self.block = block;
        }
        if finished && self.core.complete {
            self.bound = self.bound.min(found.missed.max(self.value).max(best));
        }
        let all_seen = finished && found.missed <= self.value.max(best);
        self.spent_out = !finished || self.width >= WIDEST || all_seen;
        self.width *= 2;
    }
}

pub(super) fn priced(core: &Core, dual: &Dual, meter: &mut Meter<'_>) -> Option<Priced> {
    let worth = prices::reduced(core, dual.scale, &dual.prices);
    let worths = relaxed::worths(core, &worth, meter)?;
    let around = relaxed::outside(core, &worths, meter)?;
    let constant = prices::constant(core, &dual.prices);
    Some(Priced {
        worth,
        scale: dual.scale,
        constant,
        around,
    })
}

/// Best layout over several cores of one sheet: index of the core, its block, value and the bound over all.
pub(super) fn best(cores: &[Core], meter: &mut Meter<'_>) -> (usize, Block, u64, u64) {
    let mut hunts: Vec<Hunt<'_>> = cores.iter().map(|core| Hunt::start(core, meter)).collect();
    loop {
        let best = hunts.iter().map(|hunt| hunt.value).max().unwrap_or(0);
        let open = hunts.iter_mut().filter(|hunt| !hunt.closed(best));
        let mut any = false;
        for hunt in open {
            hunt.widen(best, meter);
            any = true;
        }
        if !any || meter.over() {
            break;
        }
    }
    let bound = hunts.iter().map(|hunt| hunt.bound).max().unwrap_or(0);
    let top = (0..hunts.len()).max_by_key(|&index| (hunts[index].value, std::cmp::Reverse(index)));
    let Some(top) = top else {
        return (0, Block::default(), 0, 0);
    };
    let hunt = hunts.swap_remove(top);
    (top, hunt.block, hunt.value, bound.max(hunt.value))
}
