//! Does the route say how long its heat lasts, and do the stages fill that time?

use crate::diagnostic::Diagnostic;
use crate::model::{Heat, HeatStage, Lasts, Operation, Works};
use crate::source::Span;

/// Stages may miss the dwell by this share: times are written rounded.
const ROUNDING: f64 = 0.005;

/// Heat, salt or solvent whose time is that of the pace, when the pace has none.
pub(super) fn no_dwell(works: &Works, out: &mut Vec<Diagnostic>) {
    for operation in &works.operations {
        if works.dwell_of(operation).is_some() {
            continue;
        }
        for (at, what) in of_the_dwell(operation) {
            out.push(
                Diagnostic::fault(
                    "heat-no-dwell",
                    at,
                    format!("nothing says how long {what} lasts"),
                )
                .other(operation.at, "its pace has no dwell")
                .help("say it here, or let the pace have one: pace = { holds = \"96 each\", dwell = \"22 min\" }, or a rate with `through`"),
            );
        }
    }
}

/// What of an operation lasts as long as the dwell of its pace.
fn of_the_dwell(operation: &Operation) -> Vec<(Span, &'static str)> {
    let mut found = Vec::new();
    let stages = operation.heat.iter().flat_map(|heat| &heat.stages);
    let open = stages
        .into_iter()
        .find(|stage| !matches!(stage.lasts, Lasts::Stated(_)));
    found.extend(open.map(|stage| (stage.at, "this heat")));
    let salt = operation
        .salt
        .as_ref()
        .filter(|salt| salt.contact.is_none());
    found.extend(salt.map(|salt| (salt.at, "the contact with the salt")));
    let solvent = operation.solvent.as_ref().filter(|one| one.over.is_none());
    found.extend(solvent.map(|solvent| (solvent.at, "the drying of this solvent")));
    found
}

/// Stages that are longer or shorter together than the dwell, or run along a conveyor that is not there.
pub(super) fn stages(works: &Works, out: &mut Vec<Diagnostic>) {
    for operation in &works.operations {
        let (Some(heat), Some(dwell)) = (&operation.heat, works.dwell_of(operation)) else {
            continue;
        };
        let conveyor = operation
            .station
            .and_then(|station| works.station(station).heat.as_ref())
            .and_then(|chamber| chamber.conveyor.as_ref());
        let along = heat
            .stages
            .iter()
            .find(|stage| matches!(stage.lasts, Lasts::Along(_)));
        if let (Some(stage), None) = (along, conveyor) {
            out.push(no_conveyor(works, operation, stage));
            continue;
        }
        let metre_s = conveyor.map_or(0.0, |length| dwell.mean() / length.mean());
        let stated: f64 = heat
            .stages
            .iter()
            .map(|stage| seconds(stage, metre_s))
            .sum();
        let open = heat
            .stages
            .iter()
            .any(|stage| matches!(stage.lasts, Lasts::Rest));
        let off = stated / dwell.mean() - 1.0;
        if (open && off > -1e-9) || (!open && off.abs() > ROUNDING) {
            out.push(off_the_dwell(heat, open, stated, &dwell));
        }
    }
}

/// How long a stage lasts as far as it says so itself.
fn seconds(stage: &HeatStage, metre_s: f64) -> f64 {
    match &stage.lasts {
        Lasts::Stated(time) => time.mean(),
        Lasts::Along(length) => length.mean() * metre_s,
        Lasts::Rest => 0.0,
    }
}

fn no_conveyor(works: &Works, operation: &Operation, stage: &HeatStage) -> Diagnostic {
    let diagnostic = Diagnostic::fault(
        "heat-no-dwell",
        stage.at,
        "cannot tell how long a length of conveyor takes",
    )
    .help("give the station its conveyor: heat = { conveyor = \"12 m\" }, or write `lasts`");
    match operation.station {
        Some(station) => diagnostic.other(works.station(station).at, "its station has no conveyor"),
        None => diagnostic,
    }
}

fn off_the_dwell(heat: &Heat, open: bool, stated_s: f64, dwell: &crate::Stated) -> Diagnostic {
    let at = heat.stages.first().map_or(heat.at, |stage| stage.at);
    let expected = quantity::show(dwell.mean(), &dwell.unit);
    let headline = if open {
        "the stages leave nothing of the dwell to the one without a time"
    } else {
        "the stages do not last as long as the dwell"
    };
    Diagnostic::fault("stages-not-dwell", at, headline)
        .sides(
            if open {
                format!("less than {expected} in the others")
            } else {
                format!("{expected} together")
            },
            quantity::show(stated_s, &dwell.unit),
        )
        .other(dwell.at, "the dwell")
        .help("one stage may leave `lasts` out and gets the rest of the dwell")
}
