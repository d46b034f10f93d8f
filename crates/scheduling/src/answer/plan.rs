//! A schedule with its figures.

use crate::calendar::Tick;
use crate::check::{Breach, check, measure};
use crate::problem::{Objective, Placed, Problem};

/// An objective of a schedule.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Figure {
    /// Which.
    pub objective: Objective,
    /// What the schedule costs by it.
    pub value: i64,
    /// What no schedule can be better than, this objective alone.
    pub bound: i64,
}

/// A schedule and what it costs.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Plan {
    /// Where each operation lies.
    pub placed: Vec<Placed>,
    /// Objectives in the order of the problem.
    pub figures: Vec<Figure>,
    /// Links whose hard longest wait is passed: nothing was found that keeps it.
    pub broken: Vec<usize>,
    /// Other rules that the checker finds broken: none, unless this program has a fault. Such a plan is not to be used.
    pub breaches: Vec<Breach>,
    /// Operations that end beyond the horizon, where calendars are not known.
    pub beyond: Vec<usize>,
    /// Whether no schedule is better by the first objective.
    pub proved: bool,
    /// Operations placed in the search.
    pub steps: u64,
}

impl Plan {
    /// The plan of places, held against the checker.
    pub(crate) fn of(problem: &Problem, placed: Vec<Placed>, bounds: Vec<i64>, steps: u64) -> Self {
        let draft = &problem.draft;
        let (mut broken, mut breaches) = (Vec::new(), Vec::new());
        for breach in check(draft, &placed) {
            match breach {
                Breach::TooLong(link) => broken.push(link),
                other => breaches.push(other),
            }
        }
        debug_assert_eq!(breaches, [], "a schedule that was built breaks a rule");
        let values = measure(draft, &placed);
        let figures: Vec<Figure> = draft
            .objectives
            .iter()
            .zip(values)
            .zip(bounds)
            .map(|((objective, value), bound)| Figure {
                objective: *objective,
                value,
                bound,
            })
            .collect();
        let late = |(at, place): (usize, &Placed)| (place.finish > draft.horizon).then_some(at);
        Self {
            beyond: placed.iter().enumerate().filter_map(late).collect(),
            proved: broken.is_empty()
                && figures
                    .first()
                    .is_none_or(|first| first.value == first.bound),
            figures,
            broken,
            breaches,
            steps,
            placed,
        }
    }

    /// When a job is finished; none if it has no operations.
    pub fn finish(&self, problem: &Problem, job: usize) -> Option<Tick> {
        let own = problem.of_job.get(job)?.iter();
        own.map(|at| self.placed[*at].finish).max()
    }

    /// Ticks between a job's finish and its due date; below 0 if it is late.
    pub fn slack(&self, problem: &Problem, job: usize) -> Option<Tick> {
        Some(problem.draft.jobs[job].due? - self.finish(problem, job)?)
    }
}
