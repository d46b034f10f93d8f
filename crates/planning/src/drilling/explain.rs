//! Drilling times with their reasons.

use super::{DrillPlan, times};
use crate::figure::Figures;
use crate::reason::{Ledger, NodeId, Shown};

/// Enters the time of each job as the sum of what takes it.
pub(crate) fn explain(plans: &[DrillPlan], ledger: &mut Ledger, figures: &mut Figures) {
    for plan in plans {
        let Some(order) = &plan.order else {
            continue;
        };
        let note = format!(
            "motion of {} strokes for {} holes",
            order.strokes.len(),
            plan.holes.len()
        );
        let nodes: Vec<NodeId> = times(&order.time)
            .into_iter()
            .map(|(name, seconds)| ledger.found(name, seconds, Shown::seconds(), note.clone()))
            .collect();
        let name = format!("{} time for one by motion", plan.name);
        let node = ledger.sum(name.clone(), Shown::seconds(), &nodes);
        figures.add(ledger, &name, &name, node);
    }
}
