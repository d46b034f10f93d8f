//! Worked systems, long and looped ones, and agreement with a dense solve.

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
