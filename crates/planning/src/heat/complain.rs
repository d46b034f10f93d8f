//! What is wrong or thin about recipes, each with its place.

use works::{Diagnostic, Numbers, Works};

use super::answer::THIN;
use super::{HeatPlan, NeedLine, NoHeat, words};
use crate::figure::Figures;
use crate::reason::{Ledger, NodeId, Shown};

/// Complaints about every recipe.
pub(crate) fn complaints(works: &Works, plans: &[HeatPlan], none: &[NoHeat]) -> Vec<Diagnostic> {
    let mut all: Vec<Diagnostic> = none.iter().map(cannot).collect();
    for plan in plans {
        let missed = plan.needs.iter().filter(|need| !need.met);
        all.extend(missed.map(|need| broken(works, plan, need)));
        if plan.does_its_job() {
            all.extend(thin(plan));
        }
        all.extend(plan.logs.iter().filter(|log| !log.passes).map(|log| {
            let reason = log.reasons.first().cloned().unwrap_or_default();
            Diagnostic::warning(
                "load-held",
                plan.at,
                format!("{}: the load of {} is to be held", plan.name, log.name),
            )
            .sides("every probe to meet every need".to_owned(), reason)
            .help("a competent person decides what becomes of it; `linewright heat` shows every probe")
        }));
    }
    all
}

/// An operation without a plan.
pub(crate) fn cannot(no: &NoHeat) -> Diagnostic {
    let diagnostic = Diagnostic::fault(no.code, no.at, no.why.clone());
    match &no.help {
        Some(help) => diagnostic.help(help.clone()),
        None => diagnostic,
    }
}

fn broken(works: &Works, plan: &HeatPlan, need: &NeedLine) -> Diagnostic {
    let heat = works.operation(plan.operation).heat.as_ref();
    let computed = heat.is_some_and(|heat| heat.numbers == Numbers::Computed);
    let window = plan.window.sentence.trim_end_matches('.');
    let help = if computed && plan.window.shortest_by.is_some() {
        format!("{window}; the plan is made with the computed time, so write that down")
    } else {
        window.to_owned()
    };
    Diagnostic::warning(
        "need-missed",
        need.at,
        format!("{} does not do its job: {}", plan.name, need.words),
    )
    .sides(need.words.clone(), need.sentence.clone())
    .help(help)
}

/// A dwell that does its job by little.
fn thin(plan: &HeatPlan) -> Option<Diagnostic> {
    let spare = plan.spare();
    let margin_s = spare.least_s()?;
    let side = if spare.above_shortest_s == Some(margin_s) {
        "shortest"
    } else {
        "longest"
    };
    (margin_s < THIN * plan.dwell_s).then(|| {
        Diagnostic::warning(
            "thin-margin",
            plan.at,
            format!(
                "{} does its job with {} to spare",
                plan.name,
                words::time(margin_s)
            ),
        )
        .sides(
            format!("5 % of {} or more", words::time(plan.dwell_s)),
            format!("{} to the {side} that does", words::time(margin_s)),
        )
        .help(plan.window.sentence.trim_end_matches('.').to_owned())
    })
}

/// Enters windows and margins among the figures.
pub(crate) fn explain(
    works: &Works,
    plans: &[HeatPlan],
    ledger: &mut Ledger,
    figures: &mut Figures,
) {
    for plan in plans {
        let name = &plan.name;
        let operation = works.operation(plan.operation);
        let dwell = works.dwell_of(operation);
        let stated = match &dwell {
            Some(dwell) => ledger.stated(format!("{name}: time inside"), dwell, Shown::seconds()),
            None => ledger.found(
                format!("{name}: time inside"),
                plan.dwell_s,
                Shown::seconds(),
                "its stages together",
            ),
        };
        let mut edge = |end: &str,
                        at: Option<(f64, f64)>,
                        by: Option<(usize, usize)>|
         -> Option<NodeId> {
            let ((seconds, error), (need, piece)) = (at?, by?);
            let how = format!(
                "heat balance of the piece, step by step; bound by \u{201c}{}\u{201d} for {}: {}; grid error {}",
                plan.needs[need].words,
                plan.pieces[piece].name,
                plan.pieces[piece].words,
                words::time(error)
            );
            let label = format!("{name}: {end} time inside that does");
            let node = ledger.found(label.clone(), seconds, Shown::seconds(), how);
            figures.add(ledger, &format!("{name} {end} dwell"), &label, node);
            Some(node)
        };
        let shortest = edge("shortest", plan.window.shortest_s, plan.window.shortest_by);
        let longest = edge("longest", plan.window.longest_s, plan.window.longest_by);
        let mut margins = Vec::new();
        if let Some(shortest) = shortest {
            let label = format!("{name}: time inside beyond the shortest");
            margins.push(ledger.difference(label, Shown::seconds(), &[stated, shortest]));
        }
        if let Some(longest) = longest {
            let label = format!("{name}: time inside short of the longest");
            margins.push(ledger.difference(label, Shown::seconds(), &[longest, stated]));
        }
        if !margins.is_empty() {
            let label = format!("{name}: margin of the time inside");
            let node = ledger.min(label.clone(), Shown::seconds(), &margins);
            figures.add(ledger, &format!("{name} heat margin"), &label, node);
        }
    }
}
