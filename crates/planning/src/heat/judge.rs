//! A recipe held against its needs: runs, windows, sentences.

use heat::run::Run;
use heat::trace::Trace;
use heat::window::{Outlook, Vary, outlook, speeds};
use jiff::civil::{Date, DateTime};
use works::{Operation, Works};

use super::answer::{Counted, HeatPlan, NeedLine, PieceLine, ProfileLine, SpeedLine, WindowLine};
use super::needs::Asked;
use super::{NoHeat, Recipe, changes, load, logs, ranges, start, surroundings, words};

/// Points of a curve that are kept for drawing.
const DRAWN: usize = 400;

/// Works out everything about one recipe.
pub(super) fn plan(
    recipe: &Recipe<'_>,
    today: Date,
    by: Option<DateTime>,
) -> Result<HeatPlan, NoHeat> {
    let none = |fault: heat::Fault| NoHeat::engine(recipe.heat.at, &fault);
    let mut runs = Vec::with_capacity(recipe.bound.len());
    for bound in &recipe.bound {
        runs.push(heat::follow(&bound.case, &recipe.accuracy).map_err(none)?);
    }
    let needs = recipe.engine_needs();
    let found = outlook(&recipe.cases(), &needs, recipe.dwell.vary, &recipe.quick).map_err(none)?;
    let mut lines = Vec::with_capacity(needs.len());
    for number in 0..needs.len() {
        lines.push(need(recipe, &runs, &found, number).map_err(none)?);
    }
    let window = window(recipe, &found);
    let widest = |of: fn(&Run) -> f64| runs.iter().map(of).fold(0.0, f64::max);
    Ok(HeatPlan {
        operation: recipe.id,
        name: recipe.name(),
        at: recipe.heat.at,
        pieces: recipe
            .bound
            .iter()
            .zip(&runs)
            .map(|(bound, run)| piece(bound, run))
            .collect(),
        stages: surroundings::lines(
            recipe.operation,
            recipe.heat,
            &recipe.lasts_s,
            &recipe.bound[0].case.body,
        )?,
        needs: lines,
        dwell_s: recipe.dwell.total_s,
        speed: speed(recipe, &found).map_err(none)?,
        window,
        map: changes::map(recipe).map_err(none)?,
        changes: changes::changes(recipe).map_err(none)?,
        load: load::line(recipe, &runs).map_err(none)?,
        logs: logs::lines(recipe)?,
        start: match by {
            Some(by) => start::at(recipe, &found, by),
            None => start::line(recipe, &found, today),
        },
        error_k: widest(|run| run.error_k),
        unexplained: widest(|run| run.unexplained),
        cautions: cautions(recipe, &runs),
        supposed: Vec::new(),
    })
}

fn piece(bound: &super::Bound, run: &Run) -> PieceLine {
    let profiles = run.profiles.iter().map(|profile| ProfileLine {
        time_s: profile.time_s,
        across: profile.temperatures.clone(),
    });
    PieceLine {
        name: bound.name.clone(),
        slow: bound.slow,
        words: bound.words.clone(),
        core: drawn(&run.history.middle),
        surface: drawn(&run.history.last),
        air: drawn(&run.history.air),
        profiles: profiles.collect(),
    }
}

/// The points of a trace for drawing, thinned evenly where there are too many. Solvers place theirs where it bends.
pub(super) fn drawn(trace: &Trace) -> Vec<(f64, f64)> {
    let samples = trace.samples();
    let every = samples.len().div_ceil(DRAWN).max(1);
    let last = samples.len().saturating_sub(1);
    let kept = samples
        .iter()
        .enumerate()
        .filter(|(at, _)| at % every == 0 || *at == last);
    kept.map(|(_, sample)| (sample.time_s, sample.value))
        .collect()
}

/// One need held against every piece.
fn need(
    recipe: &Recipe<'_>,
    runs: &[Run],
    found: &Outlook,
    number: usize,
) -> Result<NeedLine, heat::Fault> {
    let asked = &recipe.asked[number];
    let stated = &recipe.heat.needs[number];
    let mut values = Vec::with_capacity(runs.len());
    for run in runs {
        let estimate = asked.need.estimate(run)?;
        values.push((estimate.value, estimate.error));
    }
    let margin_of = |value: f64| asked.need.margin(value).unwrap_or(f64::INFINITY);
    let (worst, margin) = values
        .iter()
        .map(|(value, _)| margin_of(*value))
        .enumerate()
        .fold((0, f64::INFINITY), |best, (at, margin)| {
            if margin < best.1 { (at, margin) } else { best }
        });
    let met = values.iter().all(|(value, _)| asked.need.allows(*value));
    Ok(NeedLine {
        words: asked.words.clone(),
        counted: asked.counted,
        at_least: asked.need.at_least,
        at_most: asked.need.at_most,
        margin,
        worst,
        met,
        met_after_s: met_after(recipe, found, worst, number),
        too_close: margin.abs() < values[worst].1,
        screening: stated.screening,
        source: stated.source.clone(),
        sentence: sentence(recipe, asked, worst, values[worst].0, margin, met),
        at: stated.at,
        values,
    })
}

/// When a piece first meets a need, s inside; none where it does from the beginning or never.
fn met_after(recipe: &Recipe<'_>, found: &Outlook, piece: usize, need: usize) -> Option<f64> {
    let &(from, _) = found.met[piece][need].first()?;
    (from > found.looked_at_s.0 * (1.0 + 1e-9)).then(|| recipe.total_s(from))
}

fn sentence(
    recipe: &Recipe<'_>,
    asked: &Asked,
    worst: usize,
    value: f64,
    margin: f64,
    met: bool,
) -> String {
    let piece = &recipe.bound[worst].name;
    let found = words::value(asked.counted, value);
    let by = words::margin(asked.counted, margin);
    let side = if met {
        "inside the limit"
    } else {
        beyond(asked, value)
    };
    let who = words::piece(piece);
    format!("{}: {found} for {who}, {by} {side}", asked.words)
}

/// Which limit a broken value lies beyond, in the words of what is counted.
fn beyond(asked: &Asked, value: f64) -> &'static str {
    let low = asked.need.at_least.is_some_and(|least| value < least);
    match (asked.counted, low) {
        (Counted::Temperature, true) => "too cold",
        (Counted::Temperature, false) => "too hot",
        (Counted::Time | Counted::Tens, true) => "too little",
        (Counted::Time | Counted::Tens, false) => "too much",
    }
}

fn window(recipe: &Recipe<'_>, found: &Outlook) -> WindowLine {
    let looked_at_s = (
        recipe.total_s(found.looked_at_s.0),
        recipe.total_s(found.looked_at_s.1),
    );
    let Some(window) = found.window else {
        return WindowLine {
            shortest_s: None,
            shortest_by: None,
            longest_s: None,
            longest_by: None,
            looked_at_s,
            sentence: none_does(recipe, found, looked_at_s),
        };
    };
    let bound = |bound: heat::window::Bound| (bound.need, bound.piece);
    let shortest = recipe.total_s(window.shortest_s);
    let longest = window.longest_s.map(|longest| recipe.total_s(longest));
    WindowLine {
        shortest_s: Some((shortest, window.shortest_error_s)),
        shortest_by: window.shortest_by.map(bound),
        longest_s: longest.map(|longest| (longest, window.longest_error_s.unwrap_or(0.0))),
        longest_by: window.longest_by.map(bound),
        looked_at_s,
        sentence: does(recipe, shortest, window.shortest_by.is_some(), longest),
    }
}

/// `14.1 min to 31 min inside does the job for every piece; 22 min is stated.`
fn does(recipe: &Recipe<'_>, shortest: f64, bounded: bool, longest: Option<f64>) -> String {
    let stated = words::time(recipe.dwell.total_s);
    let time = words::time;
    let window = match (bounded, longest) {
        (true, Some(longest)) => format!("{} to {} inside", time(shortest), time(longest)),
        (true, None) => format!("{} inside or longer", time(shortest)),
        (false, Some(longest)) => format!("up to {} inside", time(longest)),
        (false, None) => return format!("every time looked at does the job; {stated} is stated."),
    };
    format!("{window} does the job for every piece; {stated} is stated.")
}

/// No dwell does: either some need is never met, or one piece has two that no dwell meets together, or what one piece
/// needs is too much for another.
fn none_does(recipe: &Recipe<'_>, found: &Outlook, looked_at_s: (f64, f64)) -> String {
    let no_dwell = format!("no time up to {} does the job", words::time(looked_at_s.1));
    let quoted = |need: usize| format!("\u{201c}{}\u{201d}", recipe.asked[need].words);
    for (piece, needs) in found.met.iter().enumerate() {
        let who = words::piece(&recipe.bound[piece].name);
        if let Some(never) = needs.iter().position(Vec::is_empty) {
            return format!("{no_dwell}: {who} never meets {}.", quoted(never));
        }
        if let Some((one, other)) = at_odds(needs) {
            return format!(
                "{no_dwell}: for {who} by itself, {} and {} are never met together.",
                quoted(one),
                quoted(other)
            );
        }
    }
    "not together: what one piece needs is too much for another.".to_owned()
}

/// The first two needs of one piece that share no dwell.
fn at_odds(needs: &[Vec<(f64, f64)>]) -> Option<(usize, usize)> {
    let apart = |one: usize, other: usize| {
        needs[one]
            .iter()
            .all(|a| needs[other].iter().all(|b| a.0.max(b.0) > a.1.min(b.1)))
    };
    (0..needs.len())
        .flat_map(|other| (0..other).map(move |one| (one, other)))
        .find(|&(one, other)| apart(one, other))
}

/// Speeds of the conveyor, where the operation runs on one.
fn speed(recipe: &Recipe<'_>, found: &Outlook) -> Result<Option<SpeedLine>, heat::Fault> {
    let chamber = recipe
        .operation
        .station
        .and_then(|station| recipe.works.station(station).heat.as_ref());
    let Some(conveyor) = chamber.and_then(|chamber| chamber.conveyor.as_ref()) else {
        return Ok(None);
    };
    if recipe.dwell.vary != Vary::All && recipe.dwell.fixed_s > 0.0 {
        return Ok(None);
    }
    let length_m = conveyor.mean();
    let speeds = speeds(found, length_m)?;
    Ok(Some(SpeedLine {
        length_m,
        stated_m_s: length_m / recipe.dwell.total_s,
        slowest_m_s: speeds.and_then(|speeds| speeds.slowest_m_s),
        fastest_m_s: speeds.map(|speeds| speeds.fastest_m_s),
    }))
}

/// The usual cautions of an operation and its station, each with who decides.
pub(crate) fn hazards(works: &Works, operation: &Operation) -> Vec<String> {
    let station = operation.station.map(|id| works.station(id));
    let mut hazards: Vec<works::HazardId> = operation.hazards.clone();
    hazards.extend(
        station
            .iter()
            .flat_map(|station| station.hazards.iter().copied()),
    );
    hazards.sort_unstable();
    hazards.dedup();
    let words = hazards.iter().map(|&hazard| {
        let hazard = &works.hazards[hazard.0];
        format!(
            "{}: {} Decided by: {}.",
            hazard.name, hazard.caution, hazard.defer_to
        )
    });
    words.collect()
}

/// Those of the operation, and what every such answer carries.
fn cautions(recipe: &Recipe<'_>, runs: &[Run]) -> Vec<String> {
    let mut all = hazards(recipe.works, recipe.operation);
    all.extend(ranges::cautions(recipe, runs));
    all.push(
        "Calculated for the stated pieces and air; a measured load at its worst corner decides, and limits are those the works states, never set here."
            .to_owned(),
    );
    all
}
