//! A new plan after a change: what has started stays, and as little as wanted moves.

use std::collections::BTreeMap;

use super::compare::{Difference, compare};
use super::plan::Plan;
use crate::build::run;
use crate::calendar::{Span, Tick};
use crate::improve::{Settings, improve_from};
use crate::problem::{Draft, Fault, Objective, Over, Placed, Problem};
use effort::Effort;

/// What comes of a change.
#[derive(Clone, Debug)]
pub struct Again {
    /// The problem that was solved: from now on, with what had started frozen.
    pub problem: Problem,
    /// The new plan.
    pub plan: Plan,
    /// Operations that were running when a stop caught them. They are taken to go on after it with what was left to do;
    /// whether that is so (a cure that was broken off, thawed goods) must be decided by a person.
    pub caught: Vec<usize>,
    /// What differs from the earlier plan.
    pub difference: Difference,
}

/// Plans again from a tick on. The draft is the earlier one with its changes made: stops added, dates changed, jobs
/// and operations put behind the earlier ones. `earlier` says where operations lay. [`Objective::Moved`] comes in at `rank` of
/// the objectives if it is not among them: 0 moves least, a late rank plans most freely.
///
/// # Errors
/// What is wrong with the changed draft.
pub fn again(
    draft: Draft,
    earlier: &[Option<Placed>],
    now: Tick,
    rank: usize,
    settings: Settings,
    effort: Effort<'_>,
) -> Result<Again, Vec<Fault>> {
    let mut draft = draft;
    draft.begin = now;
    draft.horizon = draft.horizon.max(now + 1);
    draft.earlier = earlier.to_vec();
    draft.earlier.resize(draft.operations.len(), None);
    if !draft.objectives.contains(&Objective::Moved) {
        let rank = rank.min(draft.objectives.len());
        draft.objectives.insert(rank, Objective::Moved);
    }
    for (operation, place) in draft.operations.iter_mut().zip(earlier) {
        operation.frozen = place.filter(|place| place.start < now);
    }
    let problem = Problem::new(draft)?;
    let (problem, caught) = go_on_after_stops(problem, now)?;
    let plan = improve_from(&problem, earlier, settings, effort);
    let difference = compare(&problem, earlier, &plan.placed);
    Ok(Again {
        problem,
        plan,
        caught,
        difference,
    })
}

/// How long what is frozen runs, by unit and start: in a load, as long as its longest.
fn frozen_ticks(problem: &Problem) -> BTreeMap<(usize, Tick), Tick> {
    let mut found = BTreeMap::new();
    for (at, operation) in problem.draft.operations.iter().enumerate() {
        if let Some(place) = operation.frozen {
            let way = problem.way(at, place.mode);
            let line = problem.first_line[way.station] + place.unit;
            let ticks: &mut Tick = found.entry((line, place.start)).or_default();
            *ticks = way.ticks.max(*ticks);
        }
    }
    found
}

/// Work that is running now and meets a stop ends later.
fn go_on_after_stops(problem: Problem, now: Tick) -> Result<(Problem, Vec<usize>), Vec<Fault>> {
    let mut caught = Vec::new();
    let mut finishes = Vec::new();
    let ticks = frozen_ticks(&problem);
    for (at, operation) in problem.draft.operations.iter().enumerate() {
        let Some(place) = operation.frozen.filter(|place| place.finish > now) else {
            continue;
        };
        let way = problem.way(at, place.mode);
        let line = problem.first_line[way.station] + place.unit;
        let stops = &problem.lines[line].stops;
        let run = Span::new(place.start, place.finish);
        let stopped = stops.open_in(run);
        if stopped == 0 {
            continue;
        }
        let finish = match operation.over {
            // Stops that were known were paused over before; the hours count them all.
            Over::Pauses => {
                let load = way.pool.and_then(|_| ticks.get(&(line, place.start)));
                let ticks = load.copied().unwrap_or(way.ticks);
                run::progress(&problem, way, line, place.start, ticks)
            }
            Over::Whole | Over::RunsOn => {
                let running = crate::calendar::Calendar::always().without(stops.spans());
                running
                    .finish(place.start, place.finish - place.start)
                    .unwrap_or(place.finish)
            }
        };
        if finish > place.finish {
            caught.push(at);
            finishes.push((at, finish));
        }
    }
    if caught.is_empty() {
        return Ok((problem, caught));
    }
    let mut draft = problem.draft;
    for (at, finish) in finishes {
        if let Some(place) = &mut draft.operations[at].frozen {
            place.finish = finish;
        }
    }
    Ok((Problem::new(draft)?, caught))
}
