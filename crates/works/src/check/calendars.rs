//! Can people and calendars do what the routes ask of them?

use std::collections::BTreeSet;

use jiff::civil::{Date, date};

use crate::calendar::{Follow, can_follow};
use crate::diagnostic::Diagnostic;
use crate::model::{Operation, SkillId, Stated, Works};
use crate::source::Span;

/// Share of the working time from which a wait can be met that needs no warning.
const FORESEEN_SHARE: f64 = 0.9;

/// Skills that are needed but that nobody has.
pub(super) fn skills_missing(works: &Works, out: &mut Vec<Diagnostic>) {
    let staffed: BTreeSet<SkillId> = works
        .crews
        .iter()
        .filter(|crew| crew.people > 0)
        .flat_map(|crew| crew.skills.iter().copied())
        .collect();
    let mut need = |skill: SkillId, at: Span, who: String| {
        if !staffed.contains(&skill) {
            let name = &works.skill(skill).name;
            let headline = format!("{who} needs `{name}`, which nobody on a crew can do");
            let mut fault = Diagnostic::fault("skill-missing", at, headline);
            for crew in works.crews.iter().filter(|c| c.skills.contains(&skill)) {
                fault = fault.other(crew.at, "this crew can, but has no people");
            }
            out.push(fault);
        }
    };
    let people = |people: &[(SkillId, f64)]| -> Vec<SkillId> {
        people
            .iter()
            .filter(|(_, number)| *number > 0.0)
            .map(|(skill, _)| *skill)
            .collect()
    };
    for station in &works.stations {
        for skill in people(&station.people) {
            need(skill, station.at, format!("`{}`", station.name));
        }
    }
    for operation in &works.operations {
        for skill in people(operation.people.as_deref().unwrap_or_default()) {
            need(skill, operation.at, format!("`{}`", operation.name));
        }
        for check in &operation.checks {
            if let Some(skill) = check.by {
                need(skill, check.at, format!("the check of `{}`", check.what));
            }
        }
    }
}

/// Calendars that never open.
pub(super) fn never_open(works: &Works, out: &mut Vec<Diagnostic>) {
    for calendar in &works.calendars {
        if calendar.never_opens() {
            out.push(
                Diagnostic::fault(
                    "never-open",
                    calendar.at,
                    format!("calendar `{}` never opens", calendar.name),
                )
                .help("for example work = [\"Mon..Fri 06:00-14:00\"]"),
            );
        }
    }
}

/// Waits that no moment of the calendars can meet, or that parts of the week cannot.
pub(super) fn waits(works: &Works, out: &mut Vec<Diagnostic>) {
    let week = works
        .assumptions
        .from
        .or_else(|| works.orders.iter().map(|order| order.due).min())
        .unwrap_or(date(2026, 1, 5));
    for operation in &works.operations {
        for feed in &operation.feeds {
            wait(works, works.operation(feed.from), operation, week, out);
        }
    }
}

fn wait(
    works: &Works,
    before: &Operation,
    then: &Operation,
    week: Date,
    out: &mut Vec<Diagnostic>,
) {
    let (Some(first), Some(second), Some(at_most)) =
        (before.station, then.station, &then.wait.at_most)
    else {
        return;
    };
    let at_least = then
        .wait
        .at_least
        .as_ref()
        .map_or(0.0, |stated| stated.spread.low());
    let (first, second) = (works.station(first), works.station(second));
    let follow = can_follow(
        works.calendar(first.calendar),
        works.calendar(second.calendar),
        &works.time_zone,
        at_least,
        Some(at_most.spread.high()),
        week,
    );
    let (share, first_failing) = match follow {
        Follow::Always => return,
        Follow::Never => return out.push(unmeetable(works, before, then, at_most)),
        Follow::Partly {
            share,
            first_failing,
        } => (share, first_failing),
    };
    // Every limited wait fails in the last minutes of a shift; that much any foreman plans for.
    if share >= FORESEEN_SHARE {
        return;
    }
    out.push(
        Diagnostic::warning(
            "wait-needs-planning",
            at_most.at,
            format!(
                "`{}` cannot always follow `{}` in time",
                then.name, before.name
            ),
        )
        .label(format!(
            "met from {} of the working time of `{}`",
            quantity::show_share(share),
            first.name
        ))
        .help(format!(
            "what `{}` ends {first_failing} would wait too long for `{}`",
            before.name, second.name
        )),
    );
}

/// The fault that no moment at which one station works leaves the next one in reach.
fn unmeetable(works: &Works, before: &Operation, then: &Operation, at_most: &Stated) -> Diagnostic {
    let name = |operation: &Operation| {
        operation
            .station
            .map_or("", |id| works.station(id).name.as_str())
    };
    Diagnostic::fault(
        "wait-unmeetable",
        at_most.at,
        format!("`{}` can never follow `{}` in time", then.name, before.name),
    )
    .sides(
        format!(
            "`{}` open within {}",
            name(then),
            quantity::show(at_most.mean(), &at_most.unit)
        ),
        format!("it never is, at any moment when `{}` works", name(before)),
    )
    .other(before.at, "the operation before")
    .help("change the calendars, or the longest wait")
}
