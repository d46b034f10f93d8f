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
use crate::{Trouble, folder, report};

/// A works with the plan for it.
struct Planned {
    works: Works,
    sources: Sources,
    plan: Plan,
}

/// Reads, checks and plans; none when the works has faults, which are printed then.
fn planned(place: &Path, assume: &Assume, progress: &Progress) -> Result<Option<Planned>, Trouble> {
    progress.say("reading the works");
    let outcome = works::read(&folder::read(place)?);
    if outcome.has_faults() {
        report::complain(&outcome.diagnostics, &outcome.sources);
        return Ok(None);
    }
    let Some(works) = outcome.works else { return Ok(None) };
    let options = options(assume)?;
    let plan = planning::plan(&works, &options, &mut |stage| progress.say(stage.to_string()));
    if progress.stopped() {
        return Err(Trouble::Stopped);
    }
    let mut diagnostics = outcome.diagnostics;
    diagnostics.extend(plan.notices.iter().cloned());
    works::render::sort(&mut diagnostics);
    report::complain(&diagnostics, &outcome.sources);
    Ok(Some(Planned { works, sources: outcome.sources, plan }))
}

/// Whether what planning found forbids relying on the plan.
fn has_faults(diagnostics: &[Diagnostic]) -> bool {
    diagnostics.iter().any(|diagnostic| diagnostic.severity == Severity::Fault)
}

/// The options of a plan from the words of the call.
fn options(assume: &Assume) -> Result<Options, Trouble> {
    let certainty = match assume.certainty {
        Some(percent) if (50.0..100.0).contains(&percent) => Some(percent / 100.0),
        Some(percent) => {
            return Err(Trouble::Call(format!("--certainty must be from 50 to below 100, not {percent}")));
        }
        None => None,
    };
    if let Some(wrong) = assume.quantities.iter().find(|q| !(q.is_finite() && **q > 0.0)) {
        return Err(Trouble::Call(format!("--quantities must be above zero, not {wrong}")));
    }
    Ok(Options {
        certainty,
        quantities: assume.quantities.clone(),
        from: assume.from,
        until: assume.until,
        today: assume.today.unwrap_or_else(today),
    })
}

#[allow(clippy::disallowed_methods, reason = "this is the command line, where the clock is asked")]
fn today() -> Date {
    jiff::Zoned::now().date()
}
