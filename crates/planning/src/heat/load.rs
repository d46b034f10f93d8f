//! What a load does to a chamber of stated power, and the largest that is still done in time.

use heat::Fault;
use heat::body::Body;
use heat::programme::{Face, Programme};
use heat::run::{Case, Chamber, Run};
use heat::window::largest_load;
use works::{Faces, Operation, Pace, Works};

use super::answer::{LoadLine, LoadTrace};
use super::judge::drawn;
use super::{Recipe, pieces, words};

/// The controller's band where none is stated, K: common practice for a relay or a valve.
const BAND_K: f64 = 2.0;

/// Loads are asked about up to this many times the stated one.
const MOST: f64 = 3.0;

/// Loads drawn, as shares of the stated one.
const DRAWN: [f64; 3] = [0.5, 1.0, 1.5];

/// Base units of output inside at once: a full load, or what a flow has in its time to pass.
fn inside(works: &Works, operation: &Operation) -> Option<f64> {
    match &operation.pace {
        Pace::Load(load) => Some(load.holds.mean()),
        Pace::Flow { rate, .. } => Some(rate.mean() * works.dwell_of(operation)?.mean()),
        Pace::Each(_) | Pace::None => None,
    }
}

/// The chamber with a full load of one piece, where the station states its power and the load can be counted in pieces.
pub(super) fn chamber(
    works: &Works,
    operation: &Operation,
    heat: &works::Heat,
    body: &works::Body,
    piece: &Body,
    programme: &Programme,
) -> Option<Chamber> {
    let stated = works.station(operation.station?).heat.as_ref()?;
    let power = |stated: &Option<works::Stated>| stated.as_ref().map(works::Stated::mean);
    let (heating, cooling) = (power(&stated.power), power(&stated.cooling));
    if heating.is_none() && cooling.is_none() {
        return None;
    }
    let per_unit = pieces::per_unit(works, operation, body, piece)?;
    let first_air = first_air(programme)?;
    let both = heat.stages.iter().all(|stage| stage.faces == Faces::Both);
    Some(Chamber {
        pieces: inside(works, operation)? * per_unit,
        area_m2: pieces::area_of(piece, both),
        stores_j_k: power(&stated.stores)?,
        heating_w: heating.unwrap_or(0.0),
        cooling_w: cooling.unwrap_or(0.0),
        loses_w_k: power(&stated.loses).unwrap_or(0.0),
        around_k: power(&stated.around).unwrap_or(first_air),
        band_k: power(&stated.band).unwrap_or(BAND_K),
        starts_k: power(&stated.starts).unwrap_or(first_air),
    })
}

fn first_air(programme: &Programme) -> Option<f64> {
    match programme.stages().first()?.last {
        Face::Open { air, .. } => Some(air.from_k),
        Face::Held(_) | Face::Insulated => None,
    }
}

/// What a full load does, for the slowest piece of the first body.
pub(super) fn line(recipe: &Recipe<'_>, runs: &[Run]) -> Result<Option<LoadLine>, Fault> {
    let (Some(slow), Some(run)) = (recipe.bound.first(), runs.first()) else {
        return Ok(None);
    };
    let (Some(chamber), Some(spent)) = (slow.case.chamber, run.spent) else {
        return Ok(None);
    };
    let Some(holds) = inside(recipe.works, recipe.operation) else {
        return Ok(None);
    };
    let units = |pieces: f64| pieces / chamber.pieces * holds;
    let needs = recipe.engine_needs();
    let largest = largest_load(&slow.case, &needs, MOST * chamber.pieces, &recipe.quick)?;
    let mut traces = Vec::new();
    for share in DRAWN {
        traces.push(trace(
            recipe,
            &slow.case,
            &chamber,
            share,
            units(share * chamber.pieces),
        )?);
    }
    let unit = &recipe.operation.output.unit;
    let most = units(largest.pieces);
    let into_pieces_j = run.history.heat.samples().last().map_or(0.0, |s| s.value) * chamber.pieces;
    Ok(Some(LoadLine {
        holds,
        largest: most,
        all: largest.all,
        unit: unit.symbol().to_owned(),
        factor: unit.factor(),
        into_pieces_j,
        spent_j: (spent.heating_j, spent.cooling_j),
        traces,
        sentence: sentence(recipe, holds, most, largest.all),
    }))
}

fn trace(
    recipe: &Recipe<'_>,
    case: &Case,
    chamber: &Chamber,
    share: f64,
    units: f64,
) -> Result<LoadTrace, Fault> {
    let case = Case {
        chamber: Some(Chamber {
            pieces: share * chamber.pieces,
            ..*chamber
        }),
        ..case.clone()
    };
    let run = heat::follow(&case, &recipe.quick)?;
    let mut met = true;
    for need in recipe.engine_needs() {
        met &= need.allows(need.measure.along(need.place.of(&run.history))?.end());
    }
    Ok(LoadTrace {
        units,
        met,
        air: drawn(&run.history.air),
        core: drawn(&run.history.middle),
    })
}

fn sentence(recipe: &Recipe<'_>, holds: f64, most: f64, all: bool) -> String {
    let unit = &recipe.operation.output.unit;
    let full = words::amount(holds, unit);
    let within = words::time(recipe.dwell.total_s);
    if most <= 0.0 {
        return format!("no load does its job within {within}, however small.");
    }
    if all {
        return format!(
            "power does not bind: even {} would do its job within {within}; {full} is a full load.",
            words::amount(most, unit)
        );
    }
    let most_words = words::amount(rounded_down(most / unit.factor()) * unit.factor(), unit);
    let verdict = if most >= holds {
        "a full load does"
    } else {
        "a full load does not"
    };
    format!("up to {most_words} does its job within {within}: {verdict} ({full}).")
}

/// Three significant figures, down, so that what is said does the job.
fn rounded_down(value: f64) -> f64 {
    let mut step = 1.0;
    while value / step >= 1000.0 {
        step *= 10.0;
    }
    while value / step < 100.0 && step > 1e-6 {
        step /= 10.0;
    }
    (value / step).floor() * step
}
