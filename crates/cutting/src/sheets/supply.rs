//! Patterns on demand: the best block a sheet gives for a worth of each part and the copies still wanted.

use effort::Meter;

use super::blocks::Block;
use super::core::{Core, View};
use super::knapsack;
use super::labels;
use super::prices::{self, Pace};
use super::problem::{Fault, Problem};
use super::relaxed;

/// Cells of the thinned grids on which patterns are sought.
const QUICK_CELLS: usize = 40_000;
/// Cells of the grids on which bounds are proved.
const EXACT_CELLS: usize = 4_000_000;
/// The subgradient for one pattern.
const SHORT: Pace = Pace {
    iterations: 8,
    gather: true,
};
/// The subgradient for a bound.
const LONG: Pace = Pace {
    iterations: 60,
    gather: false,
};

/// Parts cut from one sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Pattern {
    /// Index of the frame it is cut in.
    pub(super) frame: usize,
    /// Kinds are those of the frame.
    pub(super) block: Block,
    /// Copies of each part.
    pub(super) counts: Vec<u32>,
}

/// The sheets with an order of levels each, and what every part is called there.
pub(super) struct Supply<'a> {
    pub(super) problem: &'a Problem,
    pub(super) frames: Vec<Core>,
    /// Sheet and order of levels of each frame.
    sources: Vec<(usize, usize)>,
    /// Kind of each part in each frame.
    names: Vec<Vec<Option<u32>>>,
    pub(super) needs: Vec<u32>,
}

/// What asking for a pattern gave.
pub(super) struct Offer {
    pub(super) pattern: Pattern,
    pub(super) worth: u64,
    /// Others met on the way.
    pub(super) others: Vec<Pattern>,
    /// No pattern is worth more.
    pub(super) bound: u64,
}

impl<'a> Supply<'a> {
    pub(super) fn new(problem: &'a Problem) -> Result<Self, Fault> {
        let most = |need: u64| u32::try_from(need).map_err(|_| Fault::TooLarge);
        let needs: Vec<u32> = problem
            .parts
            .iter()
            .map(|part| most(part.need))
            .collect::<Result<_, _>>()?;
        let worth = vec![1; needs.len()];
        let mut supply = Self {
            problem,
            frames: Vec::new(),
            sources: Vec::new(),
            names: Vec::new(),
            needs,
        };
        for sheet in 0..problem.sheets.len() {
            if problem.sheets[sheet].available == Some(0) {
                continue;
            }
            let view = supply.view(&worth, &supply.needs, QUICK_CELLS);
            for (order, core) in Core::all(view, sheet).into_iter().enumerate() {
                supply.names.push(names(&core, problem.parts.len()));
                supply.sources.push((sheet, order));
                supply.frames.push(core);
            }
        }
        let lost = |part: usize| {
            supply.needs[part] > 0 && supply.names.iter().all(|names| names[part].is_none())
        };
        match (0..supply.needs.len()).find(|&part| lost(part)) {
            Some(part) => Err(Fault::PartFitsNowhere(part)),
            None => Ok(supply),
        }
    }

    fn view<'b>(&'b self, worth: &'b [u64], limits: &'b [u32], most_cells: usize) -> View<'b> {
        View {
            problem: self.problem,
            worth,
            limits,
            together: false,
            most_cells,
            seed: 0,
            used: &[],
        }
    }

    /// The sheet a frame is of.
    pub(super) fn sheet(&self, frame: usize) -> usize {
        self.sources[frame].0
    }

    pub(super) fn cost(&self, frame: usize) -> u64 {
        self.problem.sheets[self.sheet(frame)].cost
    }

    /// A good pattern for these worths within these copies; `width` blocks per cell.
    pub(super) fn offer(
        &self,
        frame: usize,
        worth: &[u64],
        left: &[u32],
        width: usize,
        meter: &mut Meter<'_>,
    ) -> Option<Offer> {
        let (sheet, order) = self.sources[frame];
        let core = Core::new(self.view(worth, left, QUICK_CELLS), sheet, order)?;
        let dual = prices::dual(&core, SHORT, meter)?;
        let (mut block, mut value, mut bound) = (dual.block.clone(), dual.value, dual.bound);
        if value < bound {
            let priced = knapsack::priced(&core, dual.scale, &dual.prices, meter)?;
            let (found, finished) = labels::search(&core, &priced, width, value, meter);
            if let Some((better, made)) = found.best {
                (value, block) = (better, made);
            }
            if finished && core.complete {
                bound = bound.min(found.missed.max(value));
            }
        }
        let others = (dual.seen.into_iter())
            .map(|block| self.pattern(frame, &core, block))
            .collect();
        Some(Offer {
            others,
            pattern: self.pattern(frame, &core, block),
            worth: value,
            bound,
        })
    }

    /// The most any pattern of a frame is worth, on the finest grid: prices found on the thinned grid, then one pass.
    pub(super) fn ceiling(
        &self,
        frame: usize,
        worth: &[u64],
        meter: &mut Meter<'_>,
    ) -> Option<u64> {
        let (sheet, order) = self.sources[frame];
        let quick = Core::new(self.view(worth, &self.needs, QUICK_CELLS), sheet, order)?;
        let dual = prices::dual(&quick, LONG, meter)?;
        if quick.complete {
            return Some(dual.bound);
        }
        let fine = Core::new(self.view(worth, &self.needs, EXACT_CELLS), sheet, order)?;
        let area = prices::area_bound(&fine);
        if !fine.complete {
            return Some(area);
        }
        let reduced = prices::reduced(&fine, dual.scale, &dual.prices);
        let whole = relaxed::worths(&fine, &reduced, meter)?.whole();
        let most = (whole + prices::constant(&fine, &dual.prices)) / dual.scale as f64;
        Some(area.min(most.floor() as u64))
    }

    fn pattern(&self, frame: usize, core: &Core, block: Block) -> Pattern {
        let part = |kind: u32| core.kinds[kind as usize].parts[0].0;
        let block = block.renamed(|kind| self.names[frame][part(kind)].unwrap_or(0));
        self.counted(frame, block)
    }

    fn counted(&self, frame: usize, block: Block) -> Pattern {
        let mut counts = vec![0; self.needs.len()];
        for (kind, count) in self.frames[frame]
            .kinds
            .iter()
            .zip(block.counts(&self.frames[frame]))
        {
            counts[kind.parts[0].0] = count;
        }
        Pattern {
            frame,
            block,
            counts,
        }
    }

    /// One part by itself, if it fits.
    pub(super) fn alone(&self, frame: usize, part: usize) -> Option<Pattern> {
        let mut block = Block::default();
        block.part(self.names[frame][part]? as usize, 0);
        Some(self.counted(frame, block))
    }

    /// A pattern without what is above the copies left; `None` if nothing stays.
    pub(super) fn trimmed(&self, pattern: &Pattern, left: &[u32]) -> Option<Pattern> {
        let kinds = &self.frames[pattern.frame].kinds;
        let block = pattern
            .block
            .within(kinds.iter().map(|kind| left[kind.parts[0].0]).collect());
        (!block.nodes.is_empty()).then(|| self.counted(pattern.frame, block))
    }
}

/// Kind of each part.
fn names(core: &Core, parts: usize) -> Vec<Option<u32>> {
    let mut names = vec![None; parts];
    for (index, kind) in core.kinds.iter().enumerate() {
        names[kind.parts[0].0] = Some(index as u32);
    }
    names
}
