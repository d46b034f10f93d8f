//! A first round tour.

use super::Metric;
use super::nodes::{Node, Nodes};

/// Always on to the nearest node not yet visited.
pub(super) fn nearest<M: Metric>(nodes: &Nodes<'_, M>) -> Vec<Node> {
    let mut left: Vec<Node> = (0..nodes.len() as Node).collect();
    let Some(mut here) = left.pop() else {
        return left;
    };
    let mut round = vec![here];
    while let Some(next) = (0..left.len()).min_by(|&a, &b| {
        nodes
            .cost(here, left[a])
            .total_cmp(&nodes.cost(here, left[b]))
    }) {
        here = left.swap_remove(next);
        round.push(here);
    }
    round
}
