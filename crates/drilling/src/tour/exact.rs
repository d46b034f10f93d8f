//! The shortest way of all, for few points: the dynamic programme of Bellman 1962 and Held & Karp 1962.

use super::nodes::{Node, Nodes};
use super::{Metric, Question, Tour};

/// More points take too much memory: 2ⁿ·n lengths.
pub const EXACT_POINTS_MAX: usize = 12;

/// The shortest way, or none if there are more than [`EXACT_POINTS_MAX`] points.
pub fn exact<M: Metric>(question: &Question<'_, M>) -> Option<Tour> {
    if question.points().len() > EXACT_POINTS_MAX {
        return None;
    }
    let nodes = Nodes::new(question);
    let order = match nodes.len() {
        0..=3 => nodes.order(&(0..nodes.len() as Node).collect::<Vec<_>>()),
        _ => nodes.order(&shortest_round(&nodes)),
    };
    let length = question.length(&order);
    Some(Tour {
        length,
        start_length: length,
        steps: 0,
        stopped: false,
        order,
    })
}

/// Shortest round tour over all nodes. It begins and ends at the last node; `best[set][last]` is the length of the
/// shortest way from there through a set of other nodes that ends at one of the set.
fn shortest_round<M: Metric>(nodes: &Nodes<'_, M>) -> Vec<Node> {
    let home = nodes.len() - 1;
    let cost = |a: usize, b: usize| nodes.cost(a as Node, b as Node);
    let sets = 1_usize << home;
    let mut best = vec![f64::INFINITY; sets * home];
    let mut before = vec![u8::MAX; sets * home];
    for node in 0..home {
        best[(1 << node) * home + node] = cost(home, node);
    }
    for set in 1..sets {
        for last in (0..home).filter(|last| set >> last & 1 == 1) {
            let so_far = best[set * home + last];
            for next in (0..home).filter(|next| set >> next & 1 == 0) {
                let place = (set | 1 << next) * home + next;
                let length = so_far + cost(last, next);
                if length < best[place] {
                    best[place] = length;
                    before[place] = last as u8;
                }
            }
        }
    }
    walk_back(home, &best[(sets - 1) * home..], &before, cost)
}

/// The tour behind the shortest of all lengths, given the lengths of ways through all nodes by their last node.
fn walk_back(
    home: usize,
    through_all: &[f64],
    before: &[u8],
    cost: impl Fn(usize, usize) -> f64,
) -> Vec<Node> {
    let closed = |last: &usize| through_all[*last] + cost(*last, home);
    let Some(mut last) = (0..home).min_by(|a, b| closed(a).total_cmp(&closed(b))) else {
        return vec![home as Node];
    };
    let mut set = (1 << home) - 1;
    let mut round = vec![home as Node];
    while round.len() <= home {
        round.push(last as Node);
        let previous = before[set * home + last];
        set &= !(1 << last);
        last = usize::from(previous);
    }
    round
}
