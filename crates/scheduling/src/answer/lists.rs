//! Who does what when: by unit with set-ups, by crew, by order; and how much of each wait is left.

use std::collections::BTreeMap;

use crate::calendar::{Span, Tick};
use crate::check::lots;
use crate::problem::{After, Placed, Problem};

/// One thing that a unit does: an operation, or a load of several.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Task {
    /// The station.
    pub station: usize,
    /// Which of its units.
    pub unit: usize,
    /// When it runs.
    pub run: Span,
    /// Its operations; more than one in a load.
    pub operations: Vec<usize>,
    /// Its set-up family.
    pub family: usize,
    /// The set-up before it, as late as it can be.
    pub set_up: Option<Span>,
    /// Ticks of set-up; less than the span where that is interrupted.
    pub set_up_ticks: Tick,
}

/// Everything that units do, by station, unit and time. Work at stations that take any number has no set-ups.
pub fn tasks(problem: &Problem, placed: &[Placed]) -> Vec<Task> {
    let draft = &problem.draft;
    let mut found = Vec::new();
    for ((station, unit), line) in lots(draft, placed) {
        let mut last: Option<&Vec<usize>> = None;
        for lot in &line {
            let place = placed[lot[0]];
            let way = problem.way(lot[0], place.mode);
            let setups = &draft.stations[station].setups;
            let family = |lot: &Vec<usize>| problem.way(lot[0], placed[lot[0]].mode).family;
            let ticks = setups.between(last.map(family), way.family) + way.setup;
            let from = last.map_or(draft.begin, |lot| placed[lot[0]].finish);
            let past = place.start < draft.begin || ticks == 0;
            let line = problem.first_line[station] + unit;
            let begun = if setups.pauses {
                problem.lines[line].hours.start(place.start, ticks)
            } else {
                problem.lines[line].hours.whole_before(place.start, ticks)
            };
            let span = begun
                .map(|start| Span::new(start.max(from), set_up_end(problem, line, start, ticks)));
            found.push(Task {
                station,
                unit,
                run: Span::new(place.start, place.finish),
                operations: lot.clone(),
                family: way.family,
                set_up: span.filter(|_| !past),
                set_up_ticks: if past { 0 } else { ticks },
            });
            last = Some(lot);
        }
    }
    found.extend(elsewhere(problem, placed, &found));
    found.sort_by_key(|task| (task.station, task.unit, task.run, task.operations[0]));
    found
}

/// When a set-up that starts at a tick is done.
fn set_up_end(problem: &Problem, line: usize, start: Tick, ticks: Tick) -> Tick {
    crate::build::run::set_up_done(problem, line, start, ticks)
}

/// What lies at stations that take any number.
fn elsewhere(problem: &Problem, placed: &[Placed], found: &[Task]) -> Vec<Task> {
    let mut listed = vec![false; placed.len()];
    for operation in found.iter().flat_map(|task| &task.operations) {
        listed[*operation] = true;
    }
    let rest = (0..placed.len()).filter(|at| !listed[*at]);
    rest.map(|at| {
        let way = problem.way(at, placed[at].mode);
        Task {
            station: way.station,
            unit: 0,
            run: Span::new(placed[at].start, placed[at].finish),
            operations: vec![at],
            family: way.family,
            set_up: None,
            set_up_ticks: 0,
        }
    })
    .collect()
}

/// The tasks of a station that run or are set up within a span, in the order of their beginning: its dispatch list.
pub fn dispatch(tasks: &[Task], station: usize, within: Span) -> Vec<&Task> {
    let begin = |task: &Task| task.set_up.map_or(task.run.from, |span| span.from);
    let hit = |task: &&Task| {
        let whole = Span::new(begin(task), task.run.until);
        task.station == station && whole.meet(within).is_some()
    };
    let mut found: Vec<&Task> = tasks.iter().filter(hit).collect();
    found.sort_by_key(|task| (begin(task), task.unit));
    found
}

/// People of a crew at one task.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Duty {
    /// The crew.
    pub crew: usize,
    /// How many of it.
    pub people: u32,
    /// The operation, for a load the first of it.
    pub operation: usize,
    /// When: work that pauses has a duty for each piece.
    pub span: Span,
}

/// What crews do, by crew and time.
pub fn duties(problem: &Problem, tasks: &[Task], placed: &[Placed]) -> Vec<Duty> {
    let mut found = Vec::new();
    for task in tasks {
        let operation = task.operations[0];
        let way = problem.way(operation, placed[operation].mode);
        let hours = problem.hours(way.crew, problem.first_line[task.station] + task.unit);
        for (crew, people) in &problem.crews[way.crew] {
            found.extend(hours.pieces(task.run).map(|span| Duty {
                crew: *crew,
                people: *people,
                operation,
                span,
            }));
        }
    }
    found.sort_by_key(|duty| (duty.crew, duty.span, duty.operation));
    found
}

/// An order with its promise.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Order {
    /// The job.
    pub job: usize,
    /// Its first start.
    pub start: Tick,
    /// When it is finished: what can be promised.
    pub finish: Tick,
    /// When it is due.
    pub due: Option<Tick>,
    /// Ticks to spare; below 0 if it is late.
    pub slack: Option<Tick>,
    /// Its operations by start.
    pub operations: Vec<usize>,
}

/// Every job that has operations.
pub fn orders(problem: &Problem, placed: &[Placed]) -> Vec<Order> {
    let mut by_job: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (at, operation) in problem.draft.operations.iter().enumerate() {
        by_job.entry(operation.job).or_default().push(at);
    }
    let order = |(job, mut operations): (usize, Vec<usize>)| {
        operations.sort_by_key(|at| (placed[*at].start, *at));
        let finish = operations.iter().map(|at| placed[*at].finish).max();
        let (start, finish) = (placed[operations[0]].start, finish.unwrap_or(0));
        let due = problem.draft.jobs[job].due;
        Order {
            job,
            start,
            finish,
            due,
            slack: due.map(|due| due - finish),
            operations,
        }
    };
    by_job.into_iter().map(order).collect()
}

/// A wait that has a longest.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Wait {
    /// The link.
    pub link: usize,
    /// How long it is waited.
    pub ticks: Tick,
    /// What is left until the longest; below 0 if it is passed.
    pub left: Tick,
    /// Whether the longest must be kept.
    pub hard: bool,
}

/// Every wait that has a longest, the one with least left first.
pub fn waits(problem: &Problem, placed: &[Placed]) -> Vec<Wait> {
    let mut found: Vec<Wait> = Vec::new();
    for (at, link) in problem.draft.links.iter().enumerate() {
        let Some(most) = link.most else { continue };
        let since = match link.after {
            After::Start { .. } => placed[link.from].start,
            After::Finish { .. } | After::Lots { .. } => placed[link.from].finish,
        };
        let ticks = placed[link.to].start - since;
        found.push(Wait {
            link: at,
            ticks,
            left: most.ticks - ticks,
            hard: most.cost.is_none(),
        });
    }
    found.sort_by_key(|wait| (wait.left, wait.link));
    found
}
