//! `heat`: recipes of heat and cold held against what they must do, as stated or as supposed; salt, drying, solvent and
//! moulding beside them, as stated.

use jiff::civil::DateTime;
use planning::Plan;
use planning::heat::{Suppose, recipes};
use quantity::{Expect, Units};
use works::{Operation, OperationId, Works};

use super::{Planning, has_faults, planned_asking};
use crate::arguments;
use crate::progress::Progress;
use crate::{Ended, Trouble, report};

pub(crate) fn run(call: &arguments::Heat) -> Result<Ended, Trouble> {
    let progress = Progress::start();
    let mut asked = Suppose::default();
    let supposing = |works: &Works, options: &mut planning::Options| {
        asked = suppose(call, works)?;
        options.suppose = Some(asked.clone());
        Ok(())
    };
    let mut planned = match planned_asking(&call.place.folder, &call.assume, &progress, supposing)?
    {
        Planning::Done(planned) => planned,
        Planning::Ended(ended) => return Ok(ended),
    };
    drop(progress);
    let all = &mut planned.plan;
    all.heat.retain(|plan| asked.is_about(&plan.name));
    all.salting.retain(|plan| asked.is_about(&plan.name));
    all.drying.retain(|plan| asked.is_about(&plan.name));
    all.solvents.retain(|plan| asked.is_about(&plan.name));
    all.mouldings.retain(|plan| asked.is_about(&plan.name));
    let (works, plan) = (&planned.works, &planned.plan);
    if let Some(short) = plan
        .heat
        .iter()
        .find(|plan| plan.supposed.len() < asked.count())
    {
        return Err(Trouble::Call(format!(
            "not all of this can be supposed of `{}`: only {}",
            short.name,
            match short.supposed.as_slice() {
                [] => "what it states itself".to_owned(),
                some => some.join(", "),
            }
        )));
    }
    if call.json {
        let part = document::PlanPart::Heat;
        report::print(&document::json_of(works, plan, &planned.sources, part))?;
    } else {
        let blocks = document::heat_report(works, plan, asked.of.as_deref());
        let text = document::text::render(&blocks, report::colour(), report::width());
        report::print(&text)?;
    }
    Ok(if fails(plan) || has_faults(&plan.notices) {
        Ended::CannotBeDone
    } else {
        Ended::Good
    })
}

/// Whether a recipe does not do its job, a measured load is held, or fresh air is short of the estimate.
fn fails(plan: &Plan) -> bool {
    let held = |plan: &planning::heat::HeatPlan| plan.logs.iter().any(|log| !log.passes);
    let heat = |plan: &planning::heat::HeatPlan| !plan.does_its_job() || held(plan);
    plan.heat.iter().any(heat)
        || plan.salting.iter().any(|plan| !plan.does_its_job())
        || plan
            .drying
            .iter()
            .any(planning::moisture::DryingPlan::is_too_short)
        || plan.solvents.iter().any(|plan| !plan.met)
        || plan.mouldings.iter().any(|plan| !plan.does_its_job())
}

/// What the call supposes, in base units.
fn suppose(call: &arguments::Heat, works: &Works) -> Result<Suppose, Trouble> {
    let of = call.of.as_deref().map(|words| named(works, words));
    let of = of.transpose()?;
    let mut asked = Suppose {
        of: of.as_ref().map(|(_, name)| name.clone()),
        ..Suppose::default()
    };
    if call.air.is_none() && call.dwell.is_none() && call.load.is_none() && call.by.is_none() {
        return Ok(asked);
    }
    let (id, name) = match of {
        Some(found) => found,
        None => only_one(works)?,
    };
    let operation = works.operation(id);
    if operation.heat.is_none() {
        return Err(Trouble::Call(format!(
            "`{name}` does nothing by heat or cold, so that nothing can be supposed of it"
        )));
    }
    let units = &works.units;
    asked.of = Some(name);
    asked.air_k = read("--air", call.air.as_ref(), units, Expect::Temperature)?;
    asked.dwell_s = read(
        "--dwell",
        call.dwell.as_ref(),
        units,
        Expect::Dimension(&quantity::Dimension::TIME),
    )?;
    let counted = operation.output.unit.dimension();
    let load = call.load.as_ref();
    asked.load = read("--load", load, units, Expect::Dimension(counted))?;
    above_nought("--dwell", asked.dwell_s)?;
    above_nought("--load", asked.load)?;
    asked.by = call.by.as_deref().map(moment).transpose()?;
    powered(works, operation, asked.load)?;
    Ok(asked)
}

/// One quantity of the call.
fn read(
    option: &str,
    words: Option<&String>,
    units: &Units,
    expect: Expect<'_>,
) -> Result<Option<f64>, Trouble> {
    let Some(words) = words else { return Ok(None) };
    let written = quantity::read(words, units, expect).map_err(|fault| {
        let help = fault
            .help
            .map_or_else(String::new, |help| format!("; {help}"));
        Trouble::Call(format!("{option} \"{words}\": {}{help}", fault.headline))
    })?;
    if !written.spread.is_exact() {
        return Err(Trouble::Call(format!(
            "{option} \"{words}\": expected one value, found a spread"
        )));
    }
    Ok(Some(written.mean()))
}

fn above_nought(option: &str, value: Option<f64>) -> Result<(), Trouble> {
    match value {
        Some(value) if value <= 0.0 => Err(Trouble::Call(format!("{option} must be above nought"))),
        _ => Ok(()),
    }
}

/// A moment on the clock of the works.
fn moment(words: &str) -> Result<DateTime, Trouble> {
    words.trim().parse().map_err(|_| {
        Trouble::Call(format!(
            "--by \"{words}\": expected a day and a time, for example \"2026-11-26 06:00\""
        ))
    })
}

/// A load only means something where a chamber states its power.
fn powered(works: &Works, operation: &Operation, load: Option<f64>) -> Result<(), Trouble> {
    let chamber = operation
        .station
        .and_then(|station| works.station(station).heat.as_ref());
    let power = chamber.is_some_and(|heat| heat.power.is_some() || heat.cooling.is_some());
    if load.is_some() && !power {
        return Err(Trouble::Call(format!(
            "--load: the station of `{}` states no power (`heat` of the station), so that the load changes nothing there",
            operation.name
        )));
    }
    Ok(())
}

/// The operation that is meant: `cure`, `plot sign, cure` or `cure (plot sign)`.
fn named(works: &Works, words: &str) -> Result<(OperationId, String), Trouble> {
    let found = recipes(works);
    let folded = |text: &str| text.trim().to_lowercase();
    let wanted = folded(words);
    let is_meant = |(id, name): &&(OperationId, String)| {
        let operation = works.operation(*id);
        let route = works.route(operation.route);
        let product = &works.item(route.makes).name;
        let ways = [
            name.clone(),
            operation.name.clone(),
            format!("{product}, {}", operation.name),
            format!("{}, {product}", operation.name),
        ];
        ways.iter().any(|way| folded(way) == wanted)
    };
    let meant: Vec<&(OperationId, String)> = found.iter().filter(is_meant).collect();
    match meant.as_slice() {
        [one] => Ok((*one).clone()),
        [] => Err(Trouble::Call(format!(
            "--of \"{words}\": no such operation heats, salts, dries, moulds or lets solvent go; {}",
            those(&found)
        ))),
        many => {
            let many: Vec<(OperationId, String)> = many.iter().copied().cloned().collect();
            Err(Trouble::Call(format!(
                "--of \"{words}\" may mean several; {}",
                those(&many)
            )))
        }
    }
}

/// What is supposed concerns one recipe; without `--of` there must be no other.
fn only_one(works: &Works) -> Result<(OperationId, String), Trouble> {
    let mut found = recipes(works);
    found.retain(|(id, _)| works.operation(*id).heat.is_some());
    match found.as_slice() {
        [one] => Ok(one.clone()),
        _ => Err(Trouble::Call(format!(
            "say with --of which operation --air, --dwell, --load and --by are about; {}",
            those(&found)
        ))),
    }
}

fn those(found: &[(OperationId, String)]) -> String {
    if found.is_empty() {
        return "none does".to_owned();
    }
    let names: Vec<String> = found.iter().map(|(_, name)| format!("`{name}`")).collect();
    format!("there are {}", names.join(", "))
}
