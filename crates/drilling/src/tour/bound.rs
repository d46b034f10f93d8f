//! How short any way must be at least.

use effort::Effort;

use super::nodes::{Node, Nodes};
use super::{Metric, Question};

/// A length below which no way exists. `upper` is the length of the best way known; it guides, but is not trusted.
pub fn bound<M: Metric>(question: &Question<'_, M>, upper: f64, effort: Effort<'_>) -> f64 {
    let nodes = Nodes::new(question);
    let _ = (upper, effort);
    let n = nodes.len() as Node - u32::from(nodes.gap().is_some());
    let mut near: Vec<f64> = (0..n).map(|node| nodes.between(0, node)).collect();
    let mut left: Vec<Node> = (1..n).collect();
    let mut total = 0.0;
    while let Some(place) =
        (0..left.len()).min_by(|&a, &b| near[left[a] as usize].total_cmp(&near[left[b] as usize]))
    {
        let node = left.swap_remove(place);
        total += near[node as usize];
        for &other in &left {
            let apart = nodes.between(node, other);
            near[other as usize] = near[other as usize].min(apart);
        }
    }
    total * (1.0 - 1e-9)
}
