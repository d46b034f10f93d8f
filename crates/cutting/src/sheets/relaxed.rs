//! The most a rectangle can be worth when copies have no limit, for every size of rectangle.
//!
//! Dynamic programme over the points (Gilmore and Gomory 1966; Beasley 1985): with F₀ the best single part,
//! F_s(x, y) = max over cuts that level s may make of F_s(one side) + F_s(other side), and F_{s-1}(x, y).
//! Values are whole numbers held in `f64`, exact below 2^53: two of them are added and compared per machine
//! instruction.
//!
//! [`outside`] is the companion from above: the most that can be put into the sheet around a block that
//! already fills a rectangle x by y (the estimate of Viswanathan and Bagchi 1993, made exact for the relaxed problem).

use effort::Meter;

use super::answer::Axis;
use super::blocks::Block;
use super::core::{Core, Level};

/// Joins counted as one step of a meter.
pub(super) const JOINS_PER_STEP: usize = 4096;

/// Column and row of a cell.
type Cell = (usize, usize);

/// A number per cell, row by row of equal width.
pub(super) type Table = Vec<f64>;

/// Best worth per level and cell; level 0 holds single parts.
pub(super) struct Worths {
    pub(super) levels: Vec<Table>,
    /// Cells along the length.
    pub(super) nx: usize,
}

fn raise(cell: &mut f64, value: f64) {
    if value > *cell {
        *cell = value;
    }
}

/// Best single part for each cell. Kinds worth nothing are left out.
fn single_parts(core: &Core, worth: &[f64]) -> Table {
    let (nx, ny) = (core.xs.len(), core.ys.len());
    let mut table = vec![0.0; nx * ny];
    for (kind, &worth) in core.kinds.iter().zip(worth) {
        for shape in &kind.shapes {
            if let (Some(i), Some(j)) = (core.xs.above(shape.length), core.ys.above(shape.width)) {
                raise(&mut table[j * nx + i], worth);
            }
        }
    }
    if core.trimming {
        for j in 0..ny {
            for i in 0..nx {
                let left = if i > 0 { table[j * nx + i - 1] } else { 0.0 };
                let under = if j > 0 { table[(j - 1) * nx + i] } else { 0.0 };
                raise(&mut table[j * nx + i], left.max(under));
            }
        }
    }
    table
}

/// Adds row `a` to row `b` cell by cell and keeps what is more than `row` has.
fn raise_row(row: &mut [f64], a: &[f64], b: &[f64]) {
    for ((cell, a), b) in row.iter_mut().zip(a).zip(b) {
        let sum = a + b;
        *cell = if sum > *cell { sum } else { *cell };
    }
}

/// Cells of a row worth more than the one before and than any two side by side: what joins are made of.
#[derive(Default)]
pub(super) struct Bricks {
    pub(super) at: Vec<usize>,
}

/// Closes a row under joins along the length. Of the pieces of a join the smallest is a brick of at most half.
fn close_row(core: &Core, row: &mut [f64], bricks: &mut Bricks) -> usize {
    bricks.at.clear();
    let mut joins = 0;
    for i in 1..row.len() {
        let whole = core.xs.at[i];
        let mut best = row[i - 1];
        for &first in &bricks.at {
            if 2 * core.xs.at[first] > whole {
                break;
            }
            let sum = row[first] + row[core.xs.rest(i, first)];
            best = if sum > best { sum } else { best };
            joins += 1;
        }
        if row[i] > best {
            bricks.at.push(i);
        } else {
            row[i] = best;
        }
    }
    joins
}

fn close(core: &Core, level: Level, table: &mut Table, meter: &mut Meter<'_>) -> Option<()> {
    let (nx, ny) = (core.xs.len(), core.ys.len());
    let mut bricks = Bricks::default();
    for j in 0..ny {
        let (done, rest) = table.split_at_mut(j * nx);
        let row = &mut rest[..nx];
        let mut joins = 0;
        if level.width && j > 0 {
            raise_row(row, &done[(j - 1) * nx..], &done[..nx]);
            for first in (1..j).take_while(|&first| 2 * core.ys.at[first] <= core.ys.at[j]) {
                let second = core.ys.rest(j, first);
                raise_row(row, &done[first * nx..][..nx], &done[second * nx..][..nx]);
                joins += nx / 2;
            }
        }
        if level.length {
            joins += close_row(core, row, &mut bricks);
        }
        if !meter.spend((joins / JOINS_PER_STEP + 1) as u64) {
            return None;
        }
    }
    Some(())
}

/// Fills the tables for these worths by kind; `None` when the meter is over.
pub(super) fn worths(core: &Core, worth: &[f64], meter: &mut Meter<'_>) -> Option<Worths> {
    let mut levels = vec![single_parts(core, worth)];
    for &level in &core.levels {
        let mut table = levels[levels.len() - 1].clone();
        close(core, level, &mut table, meter)?;
        levels.push(table);
    }
    Some(Worths {
        levels,
        nx: core.xs.len(),
    })
}

impl Worths {
    /// Worth of the whole sheet.
    pub(super) fn whole(&self) -> f64 {
        let top = &self.levels[self.levels.len() - 1];
        top[top.len() - 1]
    }

    /// A block that is worth it.
    pub(super) fn block(&self, core: &Core, worth: &[f64]) -> Block {
        let mut block = Block::default();
        let (i, j) = (core.xs.len() - 1, core.ys.len() - 1);
        self.trace(core, worth, self.levels.len() - 1, i, j, &mut block);
        block
    }

    fn at(&self, level: usize, i: usize, j: usize) -> f64 {
        self.levels[level][j * self.nx + i]
    }

    fn trace(
        &self,
        core: &Core,
        worth: &[f64],
        level: usize,
        i: usize,
        j: usize,
        block: &mut Block,
    ) -> Option<u32> {
        let value = self.at(level, i, j);
        if value <= 0.0 {
            return None;
        }
        if level == 0 {
            return self.trace_part(core, worth, i, j, block);
        }
        let may = core.levels[level - 1];
        if may.length && i > 0 && self.at(level, i - 1, j) == value {
            return self.trace(core, worth, level, i - 1, j, block);
        }
        if may.width && j > 0 && self.at(level, i, j - 1) == value {
            return self.trace(core, worth, level, i, j - 1, block);
        }
        if self.at(level - 1, i, j) == value {
            return self.trace(core, worth, level - 1, i, j, block);
        }
        let (divides, one, other) = self.cut(core, level, i, j)?;
        let first = self.trace(core, worth, level, one.0, one.1, block);
        let second = self.trace(core, worth, level, other.0, other.1, block);
        block.join(divides, first, second)
    }

    /// A cut of a cell whose two sides are worth what the cell is.
    fn cut(&self, core: &Core, level: usize, i: usize, j: usize) -> Option<(Axis, Cell, Cell)> {
        let value = self.at(level, i, j);
        let may = core.levels[level - 1];
        if may.length {
            for first in (1..i).take_while(|&first| 2 * core.xs.at[first] <= core.xs.at[i]) {
                let second = core.xs.rest(i, first);
                if self.at(level, first, j) + self.at(level, second, j) == value {
                    return Some((Axis::Length, (first, j), (second, j)));
                }
            }
        }
        if may.width {
            for first in (1..j).take_while(|&first| 2 * core.ys.at[first] <= core.ys.at[j]) {
                let second = core.ys.rest(j, first);
                if self.at(level, i, first) + self.at(level, i, second) == value {
                    return Some((Axis::Width, (i, first), (i, second)));
                }
            }
        }
        None
    }

    fn trace_part(
        &self,
        core: &Core,
        worth: &[f64],
        i: usize,
        j: usize,
        block: &mut Block,
    ) -> Option<u32> {
        let (length, width) = (core.xs.at[i], core.ys.at[j]);
        for (index, kind) in core.kinds.iter().enumerate() {
            if worth[index] != self.at(0, i, j) {
                continue;
            }
            let fits = |shape: &super::core::Shape| shape.length <= length && shape.width <= width;
            if let Some(shape) = kind.shapes.iter().position(fits) {
                return Some(block.part(index, shape));
            }
        }
        None
    }
}

/// The most that can be around a block, per level and cell: for a block that is a finished piece of that
/// level, level 0 for a single part. Minus infinity where a block cannot be.
pub(super) fn outside(core: &Core, worths: &Worths, meter: &mut Meter<'_>) -> Option<Vec<Table>> {
    let cells = core.cells();
    let mut above = vec![f64::NEG_INFINITY; cells];
    above[cells - 1] = 0.0;
    let mut tables = Vec::new();
    for level in (1..=core.levels.len()).rev() {
        spread(
            core,
            core.levels[level - 1],
            &worths.levels[level],
            &mut above,
            meter,
        )?;
        tables.push(above.clone());
    }
    tables.push(above);
    tables.reverse();
    Some(tables)
}

/// Carries what is around a region over to the pieces that it may be cut into.
fn spread(
    core: &Core,
    level: Level,
    inside: &Table,
    around: &mut Table,
    meter: &mut Meter<'_>,
) -> Option<()> {
    let (nx, ny) = (core.xs.len(), core.ys.len());
    let rises = rising_rows(inside, nx, ny);
    for j in (0..ny).rev() {
        let (under, rest) = around.split_at_mut(j * nx);
        let row = &mut rest[..nx];
        let mut joins = 0;
        if level.length {
            joins += spread_row(core, &inside[j * nx..][..nx], row);
        }
        if level.width && j > 0 {
            raise_row(&mut under[(j - 1) * nx..], row, &inside[..nx]);
            for &sibling in rises.iter().take_while(|&&sibling| sibling < j) {
                let target = core.ys.rest(j, sibling);
                if target < j {
                    let worth = &inside[sibling * nx..][..nx];
                    raise_row(&mut under[target * nx..][..nx], row, worth);
                    joins += nx / 2;
                }
            }
        }
        if !meter.spend((joins / JOINS_PER_STEP + 1) as u64) {
            return None;
        }
    }
    Some(())
}

/// Rows that differ from the one below them.
fn rising_rows(inside: &Table, nx: usize, ny: usize) -> Vec<usize> {
    let differs = |&j: &usize| inside[j * nx..][..nx] != inside[(j - 1) * nx..][..nx];
    (1..ny).filter(differs).collect()
}

fn spread_row(core: &Core, inside: &[f64], row: &mut [f64]) -> usize {
    let rises: Vec<usize> = (1..row.len())
        .filter(|&i| inside[i] > inside[i - 1])
        .collect();
    let mut joins = 0;
    for i in (1..row.len()).rev() {
        let around = row[i];
        if around == f64::NEG_INFINITY {
            continue;
        }
        raise(&mut row[i - 1], around);
        for &sibling in rises.iter().take_while(|&&sibling| sibling < i) {
            raise(&mut row[core.xs.rest(i, sibling)], around + inside[sibling]);
        }
        joins += rises.len();
    }
    joins
}
