//! The verbs, one file each.

pub(crate) mod check;
pub(crate) mod explain;
pub(crate) mod part;
pub(crate) mod plan;
pub(crate) mod schema;
pub(crate) mod start;
pub(crate) mod why;

use std::path::Path;

use jiff::civil::Date;
use planning::{Options, Plan};
use works::{Diagnostic, Severity, Sources, Works};

use crate::arguments::Assume;
use crate::progress::Progress;
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
    progress.say("reading the works");
    let outcome = works::read(&folder::read(place)?);
    if outcome.has_faults() {
        report::complain(&outcome.diagnostics, &outcome.sources);
        return Ok(Planning::Ended(Ended::WrongInput));
    }
    let Some(works) = outcome.works else {
        return Ok(Planning::Ended(Ended::WrongInput));
    };
    let options = options(assume, &works)?;
    let planned = planning::plan(&works, &options, &mut |stage| progress.say(stage.words()));
    if progress.stopped() {
        return Err(Trouble::Stopped);
    }
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
    if let Some(wrong) = assume
        .quantities
        .iter()
        .find(|q| !(q.is_finite() && **q > 0.0))
    {
        return Err(Trouble::Call(format!(
            "--quantities must be above zero, not {wrong}"
        )));
    }
    Ok(Options {
        certainty,
        quantities: (!assume.quantities.is_empty()).then(|| assume.quantities.clone()),
        from: assume.from,
        until: assume.until,
        ..Options::new(assume.today.unwrap_or_else(|| today(works)))
    })
}

/// Today, as the clocks of the works show it.
#[allow(
    clippy::disallowed_methods,
    reason = "this is the command line, where the clock is asked"
)]
fn today(works: &Works) -> Date {
    works.time_zone.to_datetime(jiff::Timestamp::now()).date()
}
