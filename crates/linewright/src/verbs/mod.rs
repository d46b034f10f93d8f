//! The verbs, one file each.

pub(crate) mod check;
pub(crate) mod explain;
pub(crate) mod heat;
pub(crate) mod part;
pub(crate) mod plan;
pub(crate) mod schema;
pub(crate) mod shape;
pub(crate) mod start;
pub(crate) mod why;

use std::path::Path;

use jiff::civil::Date;
use planning::{Options, Plan, Stage};
use works::{Diagnostic, Severity, Sources, Works};

use crate::arguments::Assume;
use crate::progress::{Progress, best_so_far};
use crate::{Ended, Trouble, folder, report};

/// A works with the plan for it.
struct Planned {
    works: Works,
    sources: Sources,
    plan: Plan,
}

/// How far planning got.
enum Planning {
    /// To a plan.
    Done(Box<Planned>),
    /// Not to a plan; why is printed.
    Ended(Ended),
}

/// Reads, checks and plans; prints what is wrong.
fn planned(place: &Path, assume: &Assume, progress: &Progress) -> Result<Planning, Trouble> {
    planned_with(place, assume, progress, |_| {})
}

/// The same with options that a verb changes.
fn planned_with(
    place: &Path,
    assume: &Assume,
    progress: &Progress,
    change: impl FnOnce(&mut Options),
) -> Result<Planning, Trouble> {
    planned_asking(place, assume, progress, |_, options| {
        change(options);
        Ok(())
    })
}

/// The same with options that need the works to be read, and may be wrong for it.
fn planned_asking(
    place: &Path,
    assume: &Assume,
    progress: &Progress,
    change: impl FnOnce(&Works, &mut Options) -> Result<(), Trouble>,
) -> Result<Planning, Trouble> {
    progress.say("reading the works");
    let outcome = works::read(&folder::read(place)?);
    if outcome.has_faults() {
        report::complain(&outcome.diagnostics, &outcome.sources);
        return Ok(Planning::Ended(Ended::WrongInput));
    }
    let Some(works) = outcome.works else {
        return Ok(Planning::Ended(Ended::WrongInput));
    };
    let mut options = options(assume, &works)?;
    change(&works, &mut options)?;
    options.stop = best_so_far;
    let planned = planning::plan(&works, &options, &mut |stage| {
        progress.searching(stage == Stage::Shapes);
        progress.say(stage.words());
    });
    let mut diagnostics = outcome.diagnostics;
    match &planned {
        Ok(plan) => diagnostics.extend(plan.notices.iter().cloned()),
        Err(no_plan) => diagnostics.push((*no_plan.0).clone()),
    }
    works::render::sort(&mut diagnostics);
    report::complain(&diagnostics, &outcome.sources);
    Ok(match planned {
        Ok(plan) => Planning::Done(Box::new(Planned {
            works,
            sources: outcome.sources,
            plan,
        })),
        Err(_) => Planning::Ended(Ended::CannotBeDone),
    })
}

/// Whether what planning found forbids relying on the plan.
fn has_faults(diagnostics: &[Diagnostic]) -> bool {
    diagnostics
        .iter()
        .any(|diagnostic| diagnostic.severity == Severity::Fault)
}

/// The options of a plan from the words of the call.
fn options(assume: &Assume, works: &Works) -> Result<Options, Trouble> {
    let certainty = match assume.certainty {
        Some(percent) if (50.0..100.0).contains(&percent) => Some(percent / 100.0),
        Some(percent) => {
            return Err(Trouble::Call(format!(
                "--certainty must be from 50 to below 100, not {percent}"
            )));
        }
        None => None,
    };
    let sensible = 1e-6..=1e15;
    if let Some(wrong) = assume.quantities.iter().find(|q| !sensible.contains(*q)) {
        return Err(Trouble::Call(format!(
            "--quantities must be from 0.000001 to 1e15, not {wrong}"
        )));
    }
    let today = assume.today.unwrap_or_else(|| today(works));
    sensible_horizon(assume, works, today)?;
    Ok(Options {
        certainty,
        quantities: (!assume.quantities.is_empty()).then(|| assume.quantities.clone()),
        from: assume.from,
        until: assume.until,
        ..Options::new(today)
    })
}

/// Days of the longest horizon: ten years. Tables by day of a longer one outgrow any spreadsheet.
const MOST_DAYS: i32 = 3_660;

/// Whether the horizon ends after it begins, and soon enough to be planned day by day.
fn sensible_horizon(assume: &Assume, works: &Works, today: Date) -> Result<(), Trouble> {
    let last_due = works.orders.iter().map(|order| order.due).max();
    let until = assume.until.or(works.assumptions.until).or(last_due);
    if let (Some(from), Some(until)) = (assume.from.or(works.assumptions.from), until)
        && until < from
        && (assume.from.is_some() || assume.until.is_some())
    {
        return Err(Trouble::Call(format!(
            "the horizon ends ({until}) before it begins ({from}); give both --from and --until"
        )));
    }
    let horizon = planning::Horizon::new(works, today, assume.from, assume.until);
    let days = (horizon.until - horizon.from).get_days();
    if days > MOST_DAYS {
        return Err(Trouble::Call(format!(
            "the horizon from {} until {} is longer than ten years; end it sooner with --until or \
             with `until` under [plan]",
            horizon.from, horizon.until
        )));
    }
    Ok(())
}

/// Today, as the clocks of the works show it.
#[allow(
    clippy::disallowed_methods,
    reason = "this is the command line, where the clock is asked"
)]
fn today(works: &Works) -> Date {
    works.time_zone.to_datetime(jiff::Timestamp::now()).date()
}
