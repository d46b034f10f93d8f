//! Building one schedule from an order of work: serial generation on an exact timetable.
//!
//! Each operation is put where it fits first among all that is booked already: with its set-ups, within hours, with people
//! free. For objectives that never gain from lateness, and without set-ups, loads and longest waits, some order
//! gives the best schedule there is (Giffler & Thompson 1960; Kolisch 1996).

pub(crate) mod count;
pub(crate) mod fit;
pub(crate) mod part;
mod profile;
mod row;
mod rules;
pub(crate) mod run;
pub(crate) mod table;

pub use rules::Rule;
pub(crate) use rules::dispatch;

use self::fit::Genes;
use self::table::Table;
use crate::problem::{Placed, Problem};

/// The schedule that comes of doing things in an order: operations named earlier choose first. Operations
/// that are not named follow in the order of the problem.
pub fn in_order(problem: &Problem, order: &[usize]) -> Vec<Placed> {
    let genes = Genes::free(problem.len());
    in_order_of(problem, order, &genes, &mut 0).all_placed()
}

/// The same as a timetable, with genes.
pub(crate) fn in_order_of<'p>(
    problem: &'p Problem,
    order: &[usize],
    genes: &Genes,
    steps: &mut u64,
) -> Table<'p> {
    let mut rank = vec![usize::MAX; problem.len()];
    for (at, operation) in order.iter().enumerate() {
        if let Some(rank) = rank.get_mut(*operation) {
            *rank = (*rank).min(at);
        }
    }
    let mut table = Table::new(problem);
    let mut all: Vec<usize> = (0..problem.parts.len()).collect();
    all.sort_by_key(|part| problem.parts[*part].iter().map(|at| rank[*at]).min());
    table.place_all(&all, genes, steps);
    table
}

/// The schedule that a rule makes.
pub fn by_rule(problem: &Problem, rule: Rule) -> Vec<Placed> {
    let mut table = Table::new(problem);
    dispatch(&mut table, rule, &Genes::free(problem.len()), &mut 0);
    table.all_placed()
}
