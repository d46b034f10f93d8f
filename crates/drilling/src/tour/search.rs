//! The search: a first tour, improved.

use effort::Effort;

use super::nodes::Nodes;
use super::{Metric, Question, Setting, Tour, start};

/// The best tour found.
pub(super) fn search<M: Metric>(
    question: &Question<'_, M>,
    _setting: Setting,
    _effort: Effort<'_>,
) -> Tour {
    let nodes = Nodes::new(question);
    let order = nodes.order(&start::nearest(&nodes));
    let length = question.length(&order);
    Tour {
        order,
        length,
        start_length: length,
        steps: 0,
        stopped: false,
    }
}
