//! Manual work that may be split over people: fewest places at the takt, shortest cycle for the
//! people there are.

use balance::line::{
    Balance, Limit, LineProblem, Task, fewest_stations, from_seconds, shortest_cycle,
};
use serde::Serialize;
use works::{Operation, OperationId, Works};

use super::open::Open;

/// Task times are balanced in whole tenths of a second.
const TICK_S: f64 = 0.1;

/// One answer about a line.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LineAnswer {
    /// The question, by the name it has in the field.
    pub question: &'static str,
    /// Places.
    pub places: usize,
    /// The cycle, s.
    pub cycle_s: f64,
    /// Tasks of each place, by position in [`ManualLine::tasks`].
    pub at: Vec<Vec<usize>>,
    /// Work of each place, s.
    pub work_s: Vec<f64>,
    /// Work over time paid for, 0 to 1.
    pub efficiency: f64,
    /// No line can do better than this: places or seconds, as the question asks.
    pub bound: f64,
    /// Whether it is proved to be best.
    pub proved: bool,
}

/// A line of manual work.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ManualLine {
    /// The operation.
    pub operation: OperationId,
    /// Its name, with its route's product.
    pub name: String,
    /// Names and times of its tasks, s.
    pub tasks: Vec<(String, f64)>,
    /// All of them, s.
    pub work_s: f64,
    /// Units wanted over the horizon.
    pub units: f64,
    /// Open time of one place, s.
    pub open_s: f64,
    /// Time between two units that the line must keep, s; none where nothing is wanted.
    pub takt_s: Option<f64>,
    /// People there are for it, in whole persons.
    pub people: usize,
    /// Fewest places at the takt.
    pub at_takt: Option<LineAnswer>,
    /// Shortest cycle for the people there are.
    pub for_people: Option<LineAnswer>,
    /// What stands in the way, in a plain sentence.
    pub trouble: Option<String>,
}

/// Every operation with tasks.
pub(super) fn lines(works: &Works, levels: &[f64], open: &Open, nodes: u64) -> Vec<ManualLine> {
    let all = works
        .operations
        .iter()
        .enumerate()
        .filter(|(_, operation)| !operation.tasks.is_empty());
    all.map(|(index, operation)| {
        line(
            works,
            OperationId(index),
            operation,
            levels[index],
            open,
            nodes,
        )
    })
    .collect()
}

fn line(
    works: &Works,
    id: OperationId,
    operation: &Operation,
    units: f64,
    open: &Open,
    nodes: u64,
) -> ManualLine {
    let open_s = open_s(works, operation, open);
    let tasks: Vec<(String, f64)> = operation
        .tasks
        .iter()
        .map(|task| (task.name.clone(), task.time.mean()))
        .collect();
    let product = &works.item(works.route(operation.route).makes).name;
    let mut line = ManualLine {
        operation: id,
        name: format!("{product}: {}", operation.name),
        work_s: tasks.iter().map(|task| task.1).sum(),
        tasks,
        units,
        open_s,
        takt_s: (units > 0.0 && open_s > 0.0).then(|| open_s / units),
        people: people(works, operation),
        at_takt: None,
        for_people: None,
        trouble: None,
    };
    balance(operation, &mut line, nodes);
    line
}

/// The staffed time of the station, else the longest of the crews that have the skills.
fn open_s(works: &Works, operation: &Operation, open: &Open) -> f64 {
    if let Some(station) = operation.station {
        return open.staffed_s(works, station);
    }
    let people = operation.people.iter().flatten();
    let able =
        people.flat_map(|(skill, _)| works.crews.iter().filter(|c| c.skills.contains(skill)));
    able.map(|crew| open.seconds(crew.calendar))
        .fold(0.0, f64::max)
}

fn people(works: &Works, operation: &Operation) -> usize {
    let heads =
        |people: &[(works::SkillId, f64)]| people.iter().map(|(_, count)| count).sum::<f64>();
    let count = match (&operation.people, operation.station) {
        (Some(people), Some(station)) => heads(people) * f64::from(works.station(station).count),
        (Some(people), None) => heads(people),
        (None, Some(station)) => {
            let station = works.station(station);
            heads(&station.people) * f64::from(station.count)
        }
        (None, None) => 0.0,
    };
    (count + 1e-9).floor().max(0.0) as usize
}

fn balance(operation: &Operation, line: &mut ManualLine, nodes: u64) {
    let times: Vec<f64> = line.tasks.iter().map(|task| task.1).collect();
    let ticks = match from_seconds(&times, TICK_S) {
        Ok(ticks) => ticks,
        Err(fault) => {
            line.trouble = Some(fault.to_string());
            return;
        }
    };
    let tasks = operation.tasks.iter().zip(ticks);
    let tasks = tasks.map(|(task, time)| Task {
        time,
        after: task.after.clone(),
    });
    let problem = LineProblem {
        tasks: tasks.collect(),
    };
    at_takt(&problem, line, nodes);
    if line.people > 0 {
        let people = line.people.min(problem.tasks.len());
        match shortest_cycle(&problem, people, &Limit::nodes(nodes)) {
            Ok(balance) => {
                line.for_people = Some(answer(&problem, &balance, "shortest cycle (SALBP-2)"));
            }
            Err(fault) => line.trouble = Some(fault.to_string()),
        }
    }
}

fn at_takt(problem: &LineProblem, line: &mut ManualLine, nodes: u64) {
    let Some(takt_s) = line.takt_s else { return };
    let longest = line.tasks.iter().max_by(|a, b| a.1.total_cmp(&b.1));
    if let Some((name, time)) = longest.filter(|task| task.1 > takt_s) {
        line.trouble = Some(format!(
            "`{name}` takes {time:.1} s, longer than the takt of {takt_s:.1} s: split it, or run {:.0} lines side by side",
            (time / takt_s).ceil()
        ));
        return;
    }
    let cycle = ((takt_s / TICK_S).floor().min(1e15)) as u64;
    match fewest_stations(problem, cycle, &Limit::nodes(nodes)) {
        Ok(balance) => {
            line.at_takt = Some(answer(
                problem,
                &balance,
                "fewest places at the takt (SALBP-1)",
            ));
        }
        Err(fault) => line.trouble = Some(fault.to_string()),
    }
}

fn answer(problem: &LineProblem, balance: &Balance, question: &'static str) -> LineAnswer {
    let mut at = vec![Vec::new(); balance.stations];
    for (task, &station) in balance.station_of.iter().enumerate() {
        at[station].push(task);
    }
    let bound = balance.lower_bound as f64;
    let in_ticks = matches!(balance.goal, balance::line::Goal::ShortestCycle);
    LineAnswer {
        question,
        places: balance.stations,
        cycle_s: balance.cycle as f64 * TICK_S,
        at,
        work_s: balance
            .loads(problem)
            .into_iter()
            .map(|ticks| ticks as f64 * TICK_S)
            .collect(),
        efficiency: balance.efficiency,
        bound: if in_ticks { bound * TICK_S } else { bound },
        proved: balance.proved,
    }
}
