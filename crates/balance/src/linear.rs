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

mod eliminate;

use eliminate::Elimination;

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

    /// Solves the system for one right-hand side; what is missing from it counts as zero.
    ///
    /// The diagonal must be the natural pivot of a block of one: a zero there is reported as
    /// singular even if a permutation of the rows would help.
    pub fn solve(&self, right: &[f64]) -> Result<Solved, Singular> {
        let mut padded = right.to_vec();
        padded.resize(self.order(), 0.0);
        let right = &padded;
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
fn components(order: usize, start: &[usize], target: &[usize]) -> Vec<Vec<usize>> {
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

#[cfg(test)]
mod tests;
