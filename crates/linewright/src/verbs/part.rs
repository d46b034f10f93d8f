//! `stock`, `load`, `cost`: one part of the plan on the terminal.

use super::{Planning, has_faults, planned};
use crate::arguments;
use crate::progress::Progress;
use crate::{Ended, Trouble, report};

/// The part asked for.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Part {
    /// Material.
    Stock,
    /// Stations and crews.
    Load,
    /// Money.
    Cost,
}

pub(crate) fn run(call: &arguments::Part, part: Part) -> Result<Ended, Trouble> {
    let progress = Progress::start();
    let planned = match planned(&call.place.folder, &call.assume, &progress)? {
        Planning::Done(planned) => planned,
        Planning::Ended(ended) => return Ok(ended),
    };
    drop(progress);
    let (works, plan) = (&planned.works, &planned.plan);
    if call.json {
        let name = match part {
            Part::Stock => document::PlanPart::Stock,
            Part::Load => document::PlanPart::Load,
            Part::Cost => document::PlanPart::Cost,
        };
        report::print(&document::json_of(works, plan, &planned.sources, name))?;
    } else {
        let blocks = match part {
            Part::Stock => document::stock_report(works, plan),
            Part::Load => document::load_report(works, plan),
            Part::Cost => document::cost_report(works, plan),
        };
        report::print(&document::text::render(
            &blocks,
            report::colour(),
            report::width(),
        ))?;
    }
    Ok(if has_faults(&plan.notices) {
        Ended::CannotBeDone
    } else {
        Ended::Good
    })
}
