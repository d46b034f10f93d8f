//! The constrained problem: for each rectangle the most promising blocks that respect the limits.
//!
//! Blocks are built bottom-up (Wang 1983) cell by cell of the grid of points. A block is worth r = Σ (v - λ)
//! at prices λ of copies; with G the most that can be around its cell at the same prices, no layout that
//! holds it is worth more than r + G + Σ λ·limit (Lagrangian relaxation of the limits). Blocks that cannot
//! beat the best layout known are dropped, and of the rest a cell keeps the `width` best. Blocks of equal
//! counts are one. If nothing was ever dropped for lack of room the search was exhaustive; if something was,
//! the best bound among the dropped is a bound on everything missed.

use effort::Meter;

use super::answer::Axis;
use super::blocks::{Block, Node};
use super::core::{Core, mixed};
use super::relaxed::{JOINS_PER_STEP, Table};

/// Blocks kept in all, so that memory stays within about a gigabyte.
const MOST_LABELS: usize = 5_000_000;

/// Prices and the tables made from them, in scaled whole numbers.
pub(super) struct Priced {
    /// Scaled worth of each kind less its price.
    pub(super) worth: Vec<f64>,
    /// Worth times this is a scaled worth.
    pub(super) scale: u64,
    /// Σ price · limit, scaled.
    pub(super) constant: f64,
    /// Most around a block, per level and cell.
    pub(super) around: Vec<Table>,
}

/// What a search found.
pub(super) struct Found {
    /// A layout better than the one to beat, if there was one.
    pub(super) best: Option<(u64, Block)>,
    /// No layout is worth more than this or the best known.
    pub(super) missed: u64,
}

#[derive(Clone, Copy)]
enum Made {
    Part {
        kind: u32,
        shape: u32,
    },
    Join {
        divides: Axis,
        first: u32,
        second: u32,
    },
}

/// A block about to enter a cell.
#[derive(Clone, Copy)]
struct Candidate {
    reduced: f64,
    hash: u64,
    made: Made,
    /// Its index if it is a label already.
    label: u32,
}

const NEW: u32 = u32::MAX;

struct Search<'a> {
    core: &'a Core,
    priced: &'a Priced,
    width: usize,
    /// Position of each limited kind among the limited, and the limits.
    slots: Vec<Option<usize>>,
    limits: Vec<u16>,
    reduced: Vec<f64>,
    value: Vec<u64>,
    hashes: Vec<u64>,
    made: Vec<Made>,
    counts: Vec<u16>,
    /// Lists of labels, per level and cell: start and length in `ids`.
    lists: Vec<Vec<(u32, u32)>>,
    /// Best reduced worth per level and cell.
    tops: Vec<Table>,
    ids: Vec<u32>,
    best: u64,
    best_label: Option<u32>,
    missed: f64,
}

/// Searches for a layout worth more than `beat`; `None` when the meter is over or memory is.
pub(super) fn search(
    core: &Core,
    priced: &Priced,
    width: usize,
    beat: u64,
    meter: &mut Meter<'_>,
) -> (Found, bool) {
    let mut search = Search::new(core, priced, width, beat);
    let finished = search.run(meter).is_some();
    let best = search
        .best_label
        .map(|label| (search.best, search.extract(label)));
    let missed = (search.missed / priced.scale as f64).floor().max(0.0) as u64;
    (Found { best, missed }, finished)
}

impl<'a> Search<'a> {
    fn new(core: &'a Core, priced: &'a Priced, width: usize, beat: u64) -> Self {
        let mut limits = Vec::new();
        let slot = |kind: &super::core::Kind| {
            let limit = kind.limit?;
            limits.push(limit.min(u32::from(u16::MAX / 2)) as u16);
            Some(limits.len() - 1)
        };
        let slots = core.kinds.iter().map(slot).collect();
        let levels = core.levels.len() + 1;
        let cells = core.cells();
        Self {
            core,
            priced,
            width,
            slots,
            limits,
            reduced: Vec::new(),
            value: Vec::new(),
            hashes: Vec::new(),
            made: Vec::new(),
            counts: Vec::new(),
            lists: vec![vec![(0, 0); cells]; levels],
            tops: vec![vec![f64::NEG_INFINITY; cells]; levels],
            ids: Vec::new(),
            best: beat,
            best_label: None,
            missed: f64::NEG_INFINITY,
        }
    }

    /// What a block in a cell of this level must be worth at the prices to be of any use.
    fn least(&self, level: usize, cell: usize) -> f64 {
        let target = (self.best + 1) as f64 * self.priced.scale as f64 - self.priced.constant;
        target - self.priced.around[level][cell]
    }

    fn run(&mut self, meter: &mut Meter<'_>) -> Option<()> {
        let nx = self.core.xs.len();
        self.parts();
        let mut room = Room::new(self.width);
        let mut joins = 0;
        for level in 1..=self.core.levels.len() {
            for cell in 0..self.core.cells() {
                let (i, j) = (cell % nx, cell / nx);
                let before = self.made.len();
                joins += self.cell(level, i, j, &mut room);
                // To make a label costs as much as to look at some dozen joins.
                joins += 32 * (self.made.len() - before);
                let steps = joins / JOINS_PER_STEP;
                joins %= JOINS_PER_STEP;
                if steps > 0 && !meter.spend(steps as u64) || self.made.len() > MOST_LABELS {
                    return None;
                }
            }
        }
        Some(())
    }

    /// Level 0: single parts in the smallest cell that holds them, and in the larger ones where parts may be trimmed.
    fn parts(&mut self) {
        let nx = self.core.xs.len();
        let mut cells: Vec<Vec<u32>> = vec![Vec::new(); self.core.cells()];
        for (index, kind) in self.core.kinds.iter().enumerate() {
            for (way, shape) in kind.shapes.iter().enumerate() {
                let (Some(i), Some(j)) = (
                    self.core.xs.above(shape.length),
                    self.core.ys.above(shape.width),
                ) else {
                    continue;
                };
                let made = Made::Part {
                    kind: index as u32,
                    shape: way as u32,
                };
                let reduced = self.priced.worth[index];
                let label = self.keep(Candidate {
                    reduced,
                    hash: mixed(index as u64),
                    made,
                    label: NEW,
                });
                cells[j * nx + i].push(label);
            }
        }
        for (cell, mut list) in cells.into_iter().enumerate() {
            let (i, j) = (cell % nx, cell / nx);
            if self.core.trimming && self.core.first.is_some() {
                // The Free scheme hands blocks on to larger cells at its own level.
                if i > 0 {
                    list.extend(&self.list(0, cell - 1).to_vec());
                }
                if j > 0 {
                    list.extend(&self.list(0, cell - nx).to_vec());
                }
                list.sort_unstable();
                list.dedup();
            }
            list.sort_by(|&a, &b| self.reduced[b as usize].total_cmp(&self.reduced[a as usize]));
            self.close(0, cell, &list);
        }
    }

    fn list(&self, level: usize, cell: usize) -> &[u32] {
        let (start, length) = self.lists[level][cell];
        &self.ids[start as usize..][..length as usize]
    }

    fn close(&mut self, level: usize, cell: usize, list: &[u32]) {
        self.lists[level][cell] = (self.ids.len() as u32, list.len() as u32);
        self.ids.extend(list);
        if let Some(&top) = list.first() {
            self.tops[level][cell] = self.reduced[top as usize];
        }
    }

    /// Fills one cell; returns joins looked at.
    fn cell(&mut self, level: usize, i: usize, j: usize, room: &mut Room) -> usize {
        let (core, nx) = (self.core, self.core.xs.len());
        let cell = j * nx + i;
        let least = self.least(level, cell);
        if least == f64::INFINITY {
            return 0;
        }
        room.clear(least);
        self.inherit(level - 1, cell, room);
        let may = core.levels[level - 1];
        let mut joins = 0;
        if may.length && i > 0 {
            self.inherit(level, cell - 1, room);
        }
        if may.width && j > 0 {
            self.inherit(level, cell - nx, room);
        }
        if may.length {
            for first in (1..i).take_while(|&first| 2 * core.xs.at[first] <= core.xs.at[i]) {
                let second = core.xs.rest(i, first);
                joins += 1 + self.pair(Axis::Length, level, j * nx + first, j * nx + second, room);
            }
        }
        if may.width {
            for first in (1..j).take_while(|&first| 2 * core.ys.at[first] <= core.ys.at[j]) {
                let second = core.ys.rest(j, first);
                joins += 1 + self.pair(Axis::Width, level, first * nx + i, second * nx + i, room);
            }
        }
        self.settle(level, cell, room);
        joins
    }

    fn inherit(&self, level: usize, cell: usize, room: &mut Room) {
        for &label in self.list(level, cell) {
            let reduced = self.reduced[label as usize];
            if reduced < room.threshold {
                break;
            }
            let hash = self.hashes[label as usize];
            let made = self.made[label as usize];
            room.offer(Candidate {
                reduced,
                hash,
                made,
                label,
            });
        }
    }

    /// Joins of the blocks of two cells, best first.
    fn pair(
        &self,
        divides: Axis,
        level: usize,
        one: usize,
        other: usize,
        room: &mut Room,
    ) -> usize {
        let tops = &self.tops[level];
        if tops[one] + tops[other] < room.threshold {
            return 0;
        }
        let mut joins = 0;
        for &first in self.list(level, one) {
            let worth = self.reduced[first as usize];
            if worth + tops[other] < room.threshold {
                break;
            }
            for &second in self.list(level, other) {
                let reduced = worth + self.reduced[second as usize];
                if reduced < room.threshold {
                    break;
                }
                joins += 1;
                let hash = self.hashes[first as usize].wrapping_add(self.hashes[second as usize]);
                if !room.holds(hash) && self.fits(first, second) {
                    let made = Made::Join {
                        divides,
                        first,
                        second,
                    };
                    room.offer_new(Candidate {
                        reduced,
                        hash,
                        made,
                        label: NEW,
                    });
                }
            }
        }
        joins
    }

    fn counts(&self, label: u32) -> &[u16] {
        let slots = self.limits.len();
        &self.counts[label as usize * slots..][..slots]
    }

    fn fits(&self, first: u32, second: u32) -> bool {
        // No early exit: the whole row at once is faster.
        let over: u16 = (self
            .counts(first)
            .iter()
            .zip(self.counts(second))
            .zip(&self.limits))
        .map(|((a, b), limit)| u16::from(a + b > *limit))
        .sum();
        over == 0
    }

    /// Turns what a cell holds into labels, best first.
    fn settle(&mut self, level: usize, cell: usize, room: &mut Room) {
        room.held
            .sort_by(|a, b| b.reduced.total_cmp(&a.reduced).then(a.hash.cmp(&b.hash)));
        if room.dropped {
            let bound = room.threshold + self.priced.around[level][cell] + self.priced.constant;
            self.missed = self.missed.max(bound);
        }
        let held = std::mem::take(&mut room.held);
        let list: Vec<u32> = held.iter().map(|&candidate| self.keep(candidate)).collect();
        room.held = held;
        self.close(level, cell, &list);
    }

    /// The label of a candidate, made if it is new.
    fn keep(&mut self, candidate: Candidate) -> u32 {
        if candidate.label != NEW {
            return candidate.label;
        }
        let label = self.made.len() as u32;
        let value = match candidate.made {
            Made::Part { kind, .. } => {
                let start = self.counts.len();
                self.counts.resize(start + self.limits.len(), 0);
                if let Some(slot) = self.slots[kind as usize] {
                    self.counts[start + slot] = 1;
                }
                self.core.kinds[kind as usize].value
            }
            Made::Join { first, second, .. } => {
                for slot in 0..self.limits.len() {
                    let sum = self.counts(first)[slot] + self.counts(second)[slot];
                    self.counts.push(sum);
                }
                self.value[first as usize] + self.value[second as usize]
            }
        };
        self.reduced.push(candidate.reduced);
        self.hashes.push(candidate.hash);
        self.made.push(candidate.made);
        self.value.push(value);
        if value > self.best {
            self.best = value;
            self.best_label = Some(label);
        }
        label
    }

    fn extract(&self, label: u32) -> Block {
        let mut block = Block::default();
        self.copy(label, &mut block);
        block
    }

    fn copy(&self, label: u32, block: &mut Block) -> u32 {
        match self.made[label as usize] {
            Made::Part { kind, shape } => block.push(Node::Part { kind, shape }),
            Made::Join {
                divides,
                first,
                second,
            } => {
                let first = self.copy(first, block);
                let second = self.copy(second, block);
                block.push(Node::Join {
                    divides,
                    first,
                    second,
                })
            }
        }
    }
}

/// The best candidates for one cell.
struct Room {
    width: usize,
    held: Vec<Candidate>,
    hashes: Vec<u64>,
    worst: usize,
    /// Below this nothing is of use: not worth enough, or no room.
    threshold: f64,
    least: f64,
    dropped: bool,
}

impl Room {
    fn new(width: usize) -> Self {
        Self {
            width,
            held: Vec::new(),
            hashes: Vec::new(),
            worst: 0,
            threshold: 0.0,
            least: 0.0,
            dropped: false,
        }
    }

    fn clear(&mut self, least: f64) {
        self.held.clear();
        self.hashes.clear();
        self.threshold = least;
        self.least = least;
        self.dropped = false;
    }

    fn holds(&self, hash: u64) -> bool {
        self.hashes.contains(&hash)
    }

    fn offer(&mut self, candidate: Candidate) {
        if !self.holds(candidate.hash) {
            self.offer_new(candidate);
        }
    }

    fn offer_new(&mut self, candidate: Candidate) {
        if self.held.len() < self.width {
            self.held.push(candidate);
            self.hashes.push(candidate.hash);
        } else if candidate.reduced > self.threshold {
            self.held[self.worst] = candidate;
            self.hashes[self.worst] = candidate.hash;
        } else {
            self.dropped = true;
            return;
        }
        if self.held.len() == self.width {
            self.find_worst();
        }
    }

    /// Once full, the worst one held is the threshold, and whatever falls under it is missed.
    fn find_worst(&mut self) {
        let mut worst = 0;
        for (index, candidate) in self.held.iter().enumerate() {
            if candidate.reduced < self.held[worst].reduced {
                worst = index;
            }
        }
        self.worst = worst;
        self.threshold = self.held[worst].reduced.max(self.least);
        // Candidates cut off by the threshold are never seen, so a full cell counts as one that dropped some.
        self.dropped = true;
    }
}
