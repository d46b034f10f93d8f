//! Sparse square systems, solved block by block.
//!
//! A production network is mostly a tree: most of its balances follow from one another by plain
//! substitution and only loops (rework, regrind) have to be solved together. So the system is
//! first brought to block triangular form through the strongly connected components of "balance i
//! needs unknown j" (Tarjan, "Depth-first search and linear graph algorithms", 1972; Duff and
//! Reid, "An implementation of Tarjan's algorithm for the block triangularization of a matrix",
//! 1978), and each block larger than one is eliminated with pivots of least fill (Markowitz, "The
//! elimination form of the inverse", 1957) among those large enough in their row (threshold
//! pivoting: Duff, Erisman and Reid, Direct Methods for Sparse Matrices, chapter 5). All cited
//! from memory.
//!
//! The depth-first search keeps its own stack, so that a route of any length cannot exhaust the
//! thread's.

use std::collections::BTreeSet;

/// A pivot must be at least this share of the largest entry left in its row.
const THRESHOLD: f64 = 0.1;
/// How many of the shortest rows are searched for a pivot (Zlatev 1980, from memory).
const ROWS_SEARCHED: usize = 4;
/// A pivot below this, in a block whose rows and columns were scaled to one, counts as none.
const NO_PIVOT: f64 = 1e-13;

/// One entry of a sparse matrix.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Entry {
    /// The equation.
    pub row: usize,
    /// The unknown.
    pub column: usize,
    /// The coefficient; entries of the same place add up.
    pub value: f64,
}

/// A sparse square matrix by rows; columns ascend within a row.
#[derive(Debug, Clone, PartialEq)]
pub struct Matrix {
    start: Vec<usize>,
    column: Vec<usize>,
    value: Vec<f64>,
}

/// The block that could not be solved.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Singular {
    /// Its unknowns, ascending.
    pub block: Vec<usize>,
}

/// An answer of [`Matrix::solve`].
#[derive(Debug, Clone, PartialEq)]
pub struct Solved {
    /// The unknowns.
    pub unknowns: Vec<f64>,
    /// The blocks larger than one, each with ascending members, in the order solved.
    pub loops: Vec<Vec<usize>>,
}

impl Matrix {
    /// Builds the matrix of order `order`; entries outside it are ignored, those of one place add.
    pub fn new(order: usize, entries: &[Entry]) -> Self {
        let inside = |e: &&Entry| e.row < order && e.column < order;
        let mut start = vec![0; order + 1];
        for e in entries.iter().filter(inside) {
            start[e.row + 1] += 1;
        }
        for i in 0..order {
            start[i + 1] += start[i];
        }
        let mut next = start.clone();
        let mut cells = vec![(0, 0.0); start[order]];
        for e in entries.iter().filter(inside) {
            cells[next[e.row]] = (e.column, e.value);
            next[e.row] += 1;
        }
        Self::merged(&start, cells)
    }

    /// Sorts each row and adds up entries of the same place.
    fn merged(start: &[usize], mut cells: Vec<(usize, f64)>) -> Self {
        let mut matrix = Self {
            start: vec![0],
            column: Vec::with_capacity(cells.len()),
            value: Vec::with_capacity(cells.len()),
        };
        for bounds in start.windows(2) {
            let row = &mut cells[bounds[0]..bounds[1]];
            row.sort_by_key(|cell| cell.0);
            let first = matrix.column.len();
            for &(column, value) in &*row {
                if matrix.column.len() > first && matrix.column.last() == Some(&column) {
                    let end = matrix.value.len() - 1;
                    matrix.value[end] = sum_or_nothing(matrix.value[end], value);
                } else {
                    matrix.column.push(column);
                    matrix.value.push(value);
                }
            }
            matrix.start.push(matrix.column.len());
        }
        matrix
    }

    /// The number of equations.
    pub fn order(&self) -> usize {
        self.start.len() - 1
    }

    /// The entries of one row: (column, value).
    pub fn row(&self, row: usize) -> impl Iterator<Item = (usize, f64)> + '_ {
        let cells = self.start[row]..self.start[row + 1];
        cells.map(|cell| (self.column[cell], self.value[cell]))
    }

    /// The strongly connected blocks, each after the blocks it needs; members ascend.
    pub fn blocks(&self) -> Vec<Vec<usize>> {
        components(self.order(), &self.start, &self.column)
    }

    /// Solves the system for one right-hand side of the matrix's order.
    ///
    /// The diagonal must be the natural pivot of a block of one: a zero there is reported as
    /// singular even if a permutation of the rows would help.
    pub fn solve(&self, right: &[f64]) -> Result<Solved, Singular> {
        let mut unknowns = vec![0.0; self.order()];
        let mut loops = Vec::new();
        let mut place = vec![usize::MAX; self.order()];
        for block in self.blocks() {
            if let [only] = block[..] {
                unknowns[only] = self.substitute(only, right[only], &unknowns)?;
                continue;
            }
            self.solve_block(&block, right, &mut place, &mut unknowns)?;
            loops.push(block);
        }
        Ok(Solved { unknowns, loops })
    }

    /// The unknown of a block of one, given all it needs.
    fn substitute(&self, row: usize, right: f64, unknowns: &[f64]) -> Result<f64, Singular> {
        let mut rest = right;
        let mut pivot = 0.0;
        for (column, value) in self.row(row) {
            if column == row {
                pivot = value;
            } else {
                rest -= value * unknowns[column];
            }
        }
        if pivot == 0.0 {
            return Err(Singular { block: vec![row] });
        }
        Ok(rest / pivot)
    }

    fn solve_block(
        &self,
        block: &[usize],
        right: &[f64],
        place: &mut [usize],
        unknowns: &mut [f64],
    ) -> Result<(), Singular> {
        for (at, &member) in block.iter().enumerate() {
            place[member] = at;
        }
        let mut rows = Vec::with_capacity(block.len());
        let mut rest = Vec::with_capacity(block.len());
        for &member in block {
            let mut known = right[member];
            let mut row = Vec::new();
            for (column, value) in self.row(member) {
                match place[column] {
                    usize::MAX => known -= value * unknowns[column],
                    at => row.push((at, value)),
                }
            }
            rows.push(row);
            rest.push(known);
        }
        let solved = Elimination::new(rows, rest).and_then(Elimination::run);
        for &member in block {
            place[member] = usize::MAX;
        }
        let found = solved.ok_or_else(|| Singular {
            block: block.to_vec(),
        })?;
        for (&member, value) in block.iter().zip(found) {
            unknowns[member] = value;
        }
        Ok(())
    }
}

/// Strongly connected components of the graph in which node `i` points to
/// `target[start[i]..start[i + 1]]`; each component comes after those it points to (Tarjan 1972).
pub fn components(order: usize, start: &[usize], target: &[usize]) -> Vec<Vec<usize>> {
    const UNSEEN: usize = usize::MAX;
    let mut found = Vec::new();
    let mut seen_at = vec![UNSEEN; order];
    let mut low = vec![0; order];
    let mut waiting = vec![false; order];
    let mut stack = Vec::new();
    let mut path: Vec<(usize, usize)> = Vec::new();
    let mut clock = 0;
    for root in 0..order {
        if seen_at[root] != UNSEEN {
            continue;
        }
        path.push((root, start[root]));
        while let Some(&(node, edge)) = path.last() {
            if seen_at[node] == UNSEEN {
                seen_at[node] = clock;
                low[node] = clock;
                clock += 1;
                stack.push(node);
                waiting[node] = true;
            }
            if edge < start[node + 1] {
                let end = path.len() - 1;
                path[end].1 += 1;
                let next = target[edge];
                if seen_at[next] == UNSEEN {
                    path.push((next, start[next]));
                } else if waiting[next] {
                    low[node] = low[node].min(seen_at[next]);
                }
                continue;
            }
            path.pop();
            if let Some(&(parent, _)) = path.last() {
                low[parent] = low[parent].min(low[node]);
            }
            if low[node] == seen_at[node] {
                found.push(close(node, &mut stack, &mut waiting));
            }
        }
    }
    found
}

/// Takes one finished component off the stack.
fn close(root: usize, stack: &mut Vec<usize>, waiting: &mut [bool]) -> Vec<usize> {
    let mut members = Vec::new();
    while let Some(node) = stack.pop() {
        waiting[node] = false;
        members.push(node);
        if node == root {
            break;
        }
    }
    members.sort_unstable();
    members
}

/// A sum, or nothing where all that is left is the rounding of its parts.
fn sum_or_nothing(a: f64, b: f64) -> f64 {
    let sum = a + b;
    if sum.abs() <= 8.0 * f64::EPSILON * (a.abs() + b.abs()) {
        0.0
    } else {
        sum
    }
}

/// The power of two nearest below a number: scaling by it costs no rounding.
fn power_of_two(value: f64) -> f64 {
    libm::exp2(libm::floor(libm::log2(value)))
}

/// Gaussian elimination of one block, in progress.
struct Elimination {
    /// Rows still to be eliminated lose their pivot columns; finished rows keep what follows.
    rows: Vec<Vec<(usize, f64)>>,
    right: Vec<f64>,
    /// Rows that may hold a column; a superset, since cancelled entries are not hunted down.
    holders: Vec<Vec<usize>>,
    /// Unfinished rows by length.
    by_length: BTreeSet<(usize, usize)>,
    finished: Vec<bool>,
    column_scale: Vec<f64>,
    merged: Vec<(usize, f64)>,
}

impl Elimination {
    /// Scales columns, then rows, to a largest entry near one. None if a row or column is empty.
    fn new(mut rows: Vec<Vec<(usize, f64)>>, mut right: Vec<f64>) -> Option<Self> {
        let order = rows.len();
        let mut largest = vec![0.0_f64; order];
        for &(column, value) in rows.iter().flatten() {
            largest[column] = largest[column].max(value.abs());
        }
        if largest.iter().any(|&l| l == 0.0 || !l.is_finite()) {
            return None;
        }
        let column_scale: Vec<f64> = largest.iter().map(|&l| 1.0 / power_of_two(l)).collect();
        let mut holders = vec![Vec::new(); order];
        let mut by_length = BTreeSet::new();
        for (index, row) in rows.iter_mut().enumerate() {
            row.retain(|cell| cell.1 != 0.0);
            for cell in row.iter_mut() {
                cell.1 *= column_scale[cell.0];
            }
            let top = row.iter().fold(0.0_f64, |top, cell| top.max(cell.1.abs()));
            if top == 0.0 {
                return None;
            }
            let scale = 1.0 / power_of_two(top);
            for cell in row.iter_mut() {
                cell.1 *= scale;
            }
            right[index] *= scale;
            for cell in row.iter() {
                holders[cell.0].push(index);
            }
            by_length.insert((row.len(), index));
        }
        let finished = vec![false; order];
        let merged = Vec::new();
        Some(Self {
            rows,
            right,
            holders,
            by_length,
            finished,
            column_scale,
            merged,
        })
    }

    /// Eliminates all rows and substitutes back; none if the block is singular.
    fn run(mut self) -> Option<Vec<f64>> {
        let mut order = Vec::with_capacity(self.rows.len());
        while !self.by_length.is_empty() {
            let (row, column) = self.pivot()?;
            self.by_length.remove(&(self.rows[row].len(), row));
            self.finished[row] = true;
            self.clear_column(row, column);
            order.push((row, column));
        }
        Some(self.substitute_back(&order))
    }

    /// The cheapest pivot that is large enough in its row, by Markowitz's count of fill.
    fn pivot(&self) -> Option<(usize, usize)> {
        let mut best: Option<(usize, f64, usize, usize)> = None;
        for &(length, row) in self.by_length.iter().take(ROWS_SEARCHED) {
            let cells = &self.rows[row];
            let top = cells
                .iter()
                .fold(0.0_f64, |top, cell| top.max(cell.1.abs()));
            if top < NO_PIVOT {
                return None;
            }
            for &(column, value) in cells.iter().filter(|cell| cell.1.abs() >= THRESHOLD * top) {
                let cost = (length - 1) * (self.holders[column].len().max(1) - 1);
                let better = best.is_none_or(|(least, size, ..)| {
                    cost < least || (cost == least && value.abs() > size)
                });
                if better {
                    best = Some((cost, value.abs(), row, column));
                }
            }
            if length == 1 {
                break;
            }
        }
        best.map(|(_, _, row, column)| (row, column))
    }

    fn clear_column(&mut self, pivot_row: usize, column: usize) {
        let pivot_cells = std::mem::take(&mut self.rows[pivot_row]);
        let pivot_right = self.right[pivot_row];
        let pivot = cell_of(&pivot_cells, column);
        for row in std::mem::take(&mut self.holders[column]) {
            if self.finished[row] {
                continue;
            }
            let value = cell_of(&self.rows[row], column);
            if value == 0.0 {
                continue;
            }
            let factor = value / pivot;
            let before = self.rows[row].len();
            self.subtract(row, &pivot_cells, factor, column);
            self.right[row] -= factor * pivot_right;
            self.by_length.remove(&(before, row));
            self.by_length.insert((self.rows[row].len(), row));
        }
        // Columns of the finished row are held by one row fewer, which Markowitz's count must see.
        for &(other, _) in &pivot_cells {
            self.holders[other].retain(|&row| row != pivot_row);
        }
        self.rows[pivot_row] = pivot_cells;
    }

    /// `row -= factor * pivot_cells`, dropping the eliminated column.
    fn subtract(&mut self, row: usize, pivot_cells: &[(usize, f64)], factor: f64, dropped: usize) {
        let mut merged = std::mem::take(&mut self.merged);
        merged.clear();
        let mut own = self.rows[row].iter().copied().peekable();
        for &(column, value) in pivot_cells {
            while let Some(cell) = own.next_if(|cell| cell.0 < column) {
                merged.push(cell);
            }
            let change = -factor * value;
            match own.next_if(|cell| cell.0 == column) {
                _ if column == dropped => {}
                Some(cell) => merged.push((column, cell.1 + change)),
                None => {
                    merged.push((column, change));
                    self.holders[column].push(row);
                }
            }
        }
        merged.extend(own);
        self.merged = std::mem::replace(&mut self.rows[row], merged);
    }

    fn substitute_back(self, order: &[(usize, usize)]) -> Vec<f64> {
        let mut found = vec![0.0; self.rows.len()];
        for &(row, column) in order.iter().rev() {
            let mut rest = self.right[row];
            let mut pivot = 1.0;
            for &(other, value) in &self.rows[row] {
                if other == column {
                    pivot = value;
                } else {
                    rest -= value * found[other];
                }
            }
            found[column] = rest / pivot;
        }
        found
            .iter()
            .zip(&self.column_scale)
            .map(|(value, scale)| value * scale)
            .collect()
    }
}

/// The value a sorted row holds in a column.
fn cell_of(row: &[(usize, f64)], column: usize) -> f64 {
    row.binary_search_by_key(&column, |cell| cell.0)
        .map_or(0.0, |at| row[at].1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Gaussian elimination with partial pivoting on the full matrix, sharing nothing with ours.
    fn dense(order: usize, entries: &[Entry], right: &[f64]) -> Vec<f64> {
        let mut a = vec![vec![0.0; order + 1]; order];
        for e in entries {
            a[e.row][e.column] += e.value;
        }
        for (row, value) in right.iter().enumerate() {
            a[row][order] = *value;
        }
        for k in 0..order {
            let top = (k..order).max_by(|&i, &j| a[i][k].abs().total_cmp(&a[j][k].abs()));
            a.swap(k, top.expect("k < order"));
            let pivot = a[k].clone();
            for (i, row) in a.iter_mut().enumerate() {
                if i != k {
                    let factor = row[k] / pivot[k];
                    row.iter_mut()
                        .zip(&pivot)
                        .for_each(|(x, p)| *x -= factor * p);
                }
            }
        }
        (0..order).map(|i| a[i][order] / a[i][i]).collect()
    }

    fn residual(order: usize, entries: &[Entry], right: &[f64], unknowns: &[f64]) -> f64 {
        let mut rest = right.to_vec();
        for e in entries {
            rest[e.row] -= e.value * unknowns[e.column];
        }
        rest.iter()
            .take(order)
            .fold(0.0, |worst: f64, r| worst.max(r.abs()))
    }

    fn entry(row: usize, column: usize, value: f64) -> Entry {
        Entry { row, column, value }
    }

    /// x − y/2 = 1, y − x/2 = 1: both 2.
    #[test]
    fn a_loop_of_two() {
        let entries = [
            entry(0, 0, 1.0),
            entry(0, 1, -0.5),
            entry(1, 1, 1.0),
            entry(1, 0, -0.5),
        ];
        let solved = Matrix::new(2, &entries)
            .solve(&[1.0, 1.0])
            .expect("not singular");
        assert!(solved.unknowns.iter().all(|x| (x - 2.0).abs() < 1e-15));
        assert_eq!(solved.loops, vec![vec![0, 1]]);
    }

    /// x − y = 1, y − x = 0 goes round without end; the block is named, the innocent third is not.
    #[test]
    fn a_singular_block_is_named() {
        let entries = [
            entry(0, 0, 1.0),
            entry(1, 1, 1.0),
            entry(1, 2, -1.0),
            entry(2, 2, 1.0),
            entry(2, 1, -1.0),
        ];
        let singular = Matrix::new(3, &entries).solve(&[1.0, 1.0, 0.0]);
        assert_eq!(singular, Err(Singular { block: vec![1, 2] }));
        let empty = Matrix::new(2, &[entry(0, 0, 1.0)]).solve(&[1.0, 1.0]);
        assert_eq!(empty, Err(Singular { block: vec![1] }));
    }

    /// A chain longer than any thread's stack would allow a recursive search.
    #[test]
    fn a_chain_of_300_000_is_substitution() {
        let order = 300_000;
        let mut entries: Vec<Entry> = (0..order).map(|i| entry(i, i, 1.0)).collect();
        entries.extend((1..order).map(|i| entry(i - 1, i, -1.0)));
        let mut right = vec![0.0; order];
        right[order - 1] = 3.0;
        let solved = Matrix::new(order, &entries)
            .solve(&right)
            .expect("not singular");
        assert!(solved.loops.is_empty());
        assert_eq!(solved.unknowns[0], 3.0);
    }

    /// 5,000 in a ring, each also fed from every seventh before it: one block.
    #[test]
    fn a_ring_of_5_000_with_chords() {
        let order = 5_000;
        let mut entries = Vec::new();
        for i in 0..order {
            entries.push(entry(i, i, 1.0 + (i % 5) as f64));
            entries.push(entry(i, (i + 1) % order, -0.6));
            if i % 7 == 0 {
                entries.push(entry(i, (i * 37 + 11) % order, -0.3));
            }
        }
        let right: Vec<f64> = (0..order).map(|i| (i % 3) as f64).collect();
        let solved = Matrix::new(order, &entries)
            .solve(&right)
            .expect("dominant diagonal");
        assert_eq!(solved.loops.len(), 1);
        assert_eq!(solved.loops[0].len(), order);
        assert!(residual(order, &entries, &right, &solved.unknowns) < 1e-10);
    }

    fn sparse_system() -> impl Strategy<Value = (usize, Vec<Entry>, Vec<f64>)> {
        (1usize..25).prop_flat_map(|order| {
            let cell = (0..order, 0..order, -1.0..1.0f64);
            let cells = prop::collection::vec(cell, 0..order * 3);
            let right = prop::collection::vec(-10.0..10.0f64, order);
            (cells, right).prop_map(move |(cells, right)| {
                let mut entries: Vec<Entry> =
                    cells.into_iter().map(|(r, c, v)| entry(r, c, v)).collect();
                // Dominance keeps the reference exact; signs stay mixed.
                for i in 0..order {
                    let weight: f64 = entries
                        .iter()
                        .filter(|e| e.row == i)
                        .map(|e| e.value.abs())
                        .sum();
                    entries.push(entry(i, i, 0.1 + 2.0 * weight));
                }
                (order, entries, right)
            })
        })
    }

    proptest! {
        #[test]
        fn agrees_with_the_dense_solve((order, entries, right) in sparse_system()) {
            let solved = Matrix::new(order, &entries).solve(&right).expect("dominant diagonal");
            let reference = dense(order, &entries, &right);
            for (ours, theirs) in solved.unknowns.iter().zip(&reference) {
                prop_assert!((ours - theirs).abs() <= 1e-9 * (1.0 + theirs.abs()));
            }
        }

        /// Without dominance, pivots have to be looked for.
        #[test]
        fn pivots_where_the_diagonal_is_no_help(
            values in prop::collection::vec(-1.0..1.0f64, 64),
            right in prop::collection::vec(-1.0..1.0f64, 8),
        ) {
            let entries: Vec<Entry> = values
                .iter()
                .enumerate()
                .filter(|(at, _)| at / 8 != at % 8)
                .map(|(at, &value)| entry(at / 8, at % 8, value))
                .collect();
            if let Ok(solved) = Matrix::new(8, &entries).solve(&right) {
                let size = solved.unknowns.iter().fold(1.0_f64, |s, x| s.max(x.abs()));
                prop_assert!(residual(8, &entries, &right, &solved.unknowns) <= 1e-12 * size);
            }
        }

        /// Blocks partition the unknowns, and none needs a later one.
        #[test]
        fn blocks_come_after_what_they_need((order, entries, _) in sparse_system()) {
            let blocks = Matrix::new(order, &entries).blocks();
            let mut number = vec![usize::MAX; order];
            for (at, block) in blocks.iter().enumerate() {
                for &member in block {
                    prop_assert_eq!(number[member], usize::MAX);
                    number[member] = at;
                }
            }
            for e in &entries {
                prop_assert!(number[e.column] <= number[e.row]);
            }
        }
    }
}
