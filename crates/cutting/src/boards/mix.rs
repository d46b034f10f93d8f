//! How often a list comes out of boards like these, when all of them are cut as they come.
//!
//! The measured boards stand for a large number alike. Each may then be cut in several ways in any proportion, and
//! the most lists s is a linear programme: max s with Σ λₜ·cₜᵢ ≥ s·nᵢ, Σ λₜ = 1, where cₜ are the parts of all boards
//! cut at one set of prices. Columns are made as they are needed (Dantzig & Wolfe 1960): at the duals every board is
//! cut for the most value, and no better column is left when their worth is no more than what the programme says.

use effort::Effort;

use super::board::{Board, BoardFault, Part, Saw};
use super::whole::{Wish, best_plans};
use crate::linear::{Outcome, Programme, Sense};

/// Relative gap below which the mix is good enough: yields are not known so well.
const GAP: f64 = 1e-3;

/// The mix of cuts that gives the list most often.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Mix {
    /// How often the whole list comes out of all the boards: reached by the mix.
    pub lists: f64,
    /// No mix reaches more.
    pub bound: f64,
    /// What each board is worth at the prices of the bound, the whole list being worth 1.
    pub worth: Vec<f64>,
}

/// Finds the mix; at most so many rounds, in each of which every board is cut once. Needs are those of the parts; parts
/// without a need are not cut.
pub fn mix(
    boards: &[Board],
    parts: &[Part],
    saw: &Saw,
    wish: &Wish,
    rounds: usize,
    effort: Effort<'_>,
) -> Result<Mix, BoardFault> {
    let needs: Vec<f64> = parts
        .iter()
        .map(|part| part.need.unwrap_or(0) as f64)
        .collect();
    let mut rows = vec![(Sense::AtLeast, 0.0); parts.len()];
    rows.push((Sense::Equal, 1.0));
    let mut programme = Programme::new(&rows);
    let lists: Vec<(usize, f64)> = (0..parts.len())
        .filter(|&part| needs[part] > 0.0)
        .map(|part| (part, -1.0))
        .collect();
    let lists = programme.add_column(-1.0, &lists);
    let total: f64 = parts
        .iter()
        .zip(&needs)
        .map(|(part, need)| part.area() * need)
        .sum();
    let mut best = Mix {
        lists: 0.0,
        bound: f64::INFINITY,
        worth: Vec::new(),
    };
    // By area first; then at the duals.
    let mut prices: Vec<f64> = parts.iter().map(|part| part.area() / total).collect();
    for _ in 0..rounds.max(1) {
        let (counts, worth) = cut_all(boards, parts, &prices, saw, wish, effort)?;
        let bound: f64 = worth.iter().sum();
        if bound < best.bound {
            best.bound = bound;
            best.worth = worth;
        }
        let mut column: Vec<(usize, f64)> = counts
            .iter()
            .zip(&needs)
            .enumerate()
            .filter(|(_, (count, need))| **count > 0.0 && **need > 0.0)
            .map(|(part, (count, need))| (part, count / need))
            .collect();
        column.push((parts.len(), 1.0));
        programme.add_column(0.0, &column);
        if programme.solve(&mut effort.meter()) != Outcome::Optimal {
            break;
        }
        best.lists = programme.at(lists);
        if best.lists >= best.bound * (1.0 - GAP) {
            break;
        }
        let duals = programme.duals();
        let price = |part: usize| {
            if needs[part] > 0.0 {
                duals[part].max(0.0) / needs[part]
            } else {
                0.0
            }
        };
        prices = (0..parts.len()).map(price).collect();
    }
    Ok(best)
}

/// Every board cut for the most worth: parts in all, and the worth of each board.
fn cut_all(
    boards: &[Board],
    parts: &[Part],
    prices: &[f64],
    saw: &Saw,
    wish: &Wish,
    effort: Effort<'_>,
) -> Result<(Vec<f64>, Vec<f64>), BoardFault> {
    let priced: Vec<Part> = parts
        .iter()
        .zip(prices)
        .map(|(part, &value)| Part {
            value,
            need: None,
            ..*part
        })
        .collect();
    let mut counts = vec![0.0; parts.len()];
    let mut worth = Vec::with_capacity(boards.len());
    for board in boards {
        let plan = best_plans(board, &priced, saw, wish, effort)?
            .plans
            .swap_remove(0);
        for (sum, count) in counts.iter_mut().zip(plan.counts(parts.len())) {
            *sum += count as f64;
        }
        worth.push(plan.value);
    }
    Ok((counts, worth))
}

#[cfg(test)]
mod tests {
    use super::super::board::Quality;
    use super::*;

    fn board(length: u64) -> Board {
        Board {
            length,
            width: 100,
            marks: Vec::new(),
        }
    }

    fn part(length: u64, need: u64) -> Part {
        Part {
            length,
            width: 100,
            quality: Quality::ClearBoth,
            value: 0.0,
            need: Some(need),
        }
    }

    fn lists(boards: &[Board], parts: &[Part]) -> Mix {
        let saw = Saw::default();
        mix(
            boards,
            parts,
            &saw,
            &Wish::default(),
            50,
            Effort::unlimited(),
        )
        .unwrap()
    }

    #[test]
    fn one_part_comes_as_often_as_it_fits() {
        // Three boards of 8, 7 and 9 parts: 24 in all, a list is 6.
        let boards = [board(800), board(700), board(900)];
        let found = lists(&boards, &[part(100, 6)]);
        assert!((found.lists - 4.0).abs() < 1e-9, "{found:?}");
    }

    #[test]
    fn a_mix_is_in_proportion_to_the_list() {
        // From 1,000: 10 short ones, or 1 long one of 600 and 4 short ones. A list is 1 long and 10 short: with x of
        // 100 boards cut long, x lists of long and 10·(100 − x) + 4x = 10x of short: x = 62.5. Cut as 100 alike
        // boards or as one, it is the same share.
        let parts = [part(600, 1), part(100, 10)];
        for number in [1_usize, 100] {
            let found = lists(&vec![board(1_000); number], &parts);
            let each = found.lists / number as f64;
            assert!((each - 0.625).abs() < 1e-9, "{each}");
            assert!(found.bound >= found.lists - 1e-9);
        }
    }

    #[test]
    fn a_part_that_never_comes_gives_no_list() {
        let found = lists(&[board(500)], &[part(600, 1), part(100, 1)]);
        assert_eq!(found.lists, 0.0);
    }
}
