//! How many stations a set of tasks needs at least.
//!
//! Each [`Row`] gives every task a weight such that no station can hold more than `unit` of it; the sum over
//! the set, divided by the unit and rounded up, bounds the stations. The weights are dual feasible
//! functions of time over cycle:
//!
//! * the time itself: LM1, work content (Baybars 1986);
//! * u(k) of Fekete & Schepers (2001): x when (k+1) x is whole, else floor((k+1) x) / k. k = 1 is LM2
//!   (tasks above half a cycle count 1, of exactly half 1/2), k = 2 is LM3 (thirds) of Scholl & Becker
//!   2006, section 2.2.1; higher k go on from there;
//! * the same after tasks above 1 - e are raised to a whole cycle and tasks below e dropped (the bin
//!   packing bound L2 of Martello & Toth 1990).
//!
//! With tails, LM4 of the same section: a task cannot end later than (stations - work that must follow),
//! as on one machine with tails (Johnson 1988). A tail is rounded up to whole stations when the task and
//! its tail no longer share that fraction of a station. All from memory.

use super::bits::{has, members};
use super::model::Graph;

/// Functions u(k) tried.
const MOST_PARTS: u64 = 12;
/// Rows kept beyond LM1 to LM3.
const EXTRA_ROWS: usize = 5;
/// Rows for which tails are worked out as well.
const TAILED_ROWS: usize = 3;

/// One weighting of the tasks.
struct Row {
    weights: Vec<u64>,
    unit: u64,
}

/// Work that must follow each task, in one row's weights, tasks sorted with the longest tail first.
struct Tails {
    row: usize,
    by_tail: Vec<u32>,
    tail: Vec<u64>,
}

/// The bounds of one graph.
pub(super) struct Bounds {
    rows: Vec<Row>,
    tails: Vec<Tails>,
    /// Stations from that of each task to the end of the line, at least; tasks sorted, most first.
    by_need: Vec<u32>,
    need: Vec<u64>,
}

impl Bounds {
    pub(super) fn new(graph: &Graph) -> Bounds {
        let rows = choose_rows(graph);
        let tails: Vec<Tails> = (0..rows.len().min(TAILED_ROWS))
            .map(|row| tails_of(graph, &rows[row], row))
            .collect();
        let mut bounds = Bounds {
            rows,
            tails,
            by_need: Vec::new(),
            need: Vec::new(),
        };
        bounds.need = (0..graph.count)
            .map(|task| bounds.need_of(graph, task))
            .collect();
        bounds.by_need = (0..graph.count as u32).collect();
        bounds
            .by_need
            .sort_by_key(|&task| std::cmp::Reverse(bounds.need[task as usize]));
        bounds
    }

    /// Sum of each row over the tasks outside `done`.
    pub(super) fn totals(&self, graph: &Graph, done: &[u64], totals: &mut Vec<u64>) {
        totals.clear();
        totals.extend(self.rows.iter().map(|row| {
            let open = (0..graph.count).filter(|&task| !has(done, task));
            open.map(|task| row.weights[task]).sum::<u64>()
        }));
    }

    /// Stations needed by what is left when `load` is taken from a set with these `totals`.
    pub(super) fn quick(&self, totals: &[u64], load: &[u32]) -> u64 {
        let needed = |(row, total): (&Row, &u64)| {
            let taken: u64 = load.iter().map(|&task| row.weights[task as usize]).sum();
            (total - taken).div_ceil(row.unit)
        };
        self.rows.iter().zip(totals).map(needed).max().unwrap_or(0)
    }

    /// Stations needed by the tasks outside `done` because of their order.
    pub(super) fn ordered(&self, done: &[u64]) -> u64 {
        let open = |task: &u32| !has(done, *task as usize);
        let Some(&neediest) = self.by_need.iter().find(|task| open(task)) else {
            return 0;
        };
        let by_tails = self.tails.iter().map(|tails| {
            let row = &self.rows[tails.row];
            one_machine(
                tails,
                row,
                tails.by_tail.iter().copied().filter(|task| open(task)),
            )
            .div_ceil(row.unit)
        });
        by_tails
            .max()
            .unwrap_or(0)
            .max(self.need[neediest as usize])
    }

    /// All bounds for the tasks outside `done`.
    pub(super) fn all(&self, graph: &Graph, done: &[u64]) -> u64 {
        let mut totals = Vec::new();
        self.totals(graph, done, &mut totals);
        self.quick(&totals, &[]).max(self.ordered(done))
    }

    fn need_of(&self, graph: &Graph, task: usize) -> u64 {
        let by_rows = self.rows.iter().map(|row| {
            let follow: u64 = members(graph.followers(task)).map(|t| row.weights[t]).sum();
            (follow + row.weights[task]).div_ceil(row.unit)
        });
        let by_tails = self.tails.iter().map(|tails| {
            let row = &self.rows[tails.row];
            (tails.tail[task] + row.weights[task]).div_ceil(row.unit)
        });
        by_rows.chain(by_tails).max().unwrap_or(1).max(1)
    }
}

/// Longest of (work up to a task + its tail), tasks taken longest tail first (Jackson's rule).
fn one_machine(tails: &Tails, row: &Row, by_tail: impl Iterator<Item = u32>) -> u64 {
    let (mut work, mut end) = (0, 0);
    for task in by_tail {
        work += row.weights[task as usize];
        end = end.max(work + tails.tail[task as usize]);
    }
    end
}

fn tails_of(graph: &Graph, row: &Row, place: usize) -> Tails {
    let mut tails = Tails {
        row: place,
        by_tail: Vec::new(),
        tail: vec![0; graph.count],
    };
    for &task in graph.order.iter().rev() {
        let mut later: Vec<u32> = members(graph.followers(task as usize))
            .map(|t| t as u32)
            .collect();
        later.sort_by_key(|&t| std::cmp::Reverse(tails.tail[t as usize]));
        let tail = one_machine(&tails, row, later.into_iter());
        let whole = tail.div_ceil(row.unit) * row.unit;
        let shares = tail + row.weights[task as usize] <= whole;
        tails.tail[task as usize] = if shares { tail } else { whole };
    }
    tails.by_tail = (0..graph.count as u32).collect();
    tails
        .by_tail
        .sort_by_key(|&task| std::cmp::Reverse(tails.tail[task as usize]));
    tails
}

/// LM1 to LM3 and the strongest others over the whole graph.
fn choose_rows(graph: &Graph) -> Vec<Row> {
    let whole = (3..=MOST_PARTS).map(|parts| (parts, 0));
    let edged = edges(graph)
        .into_iter()
        .flat_map(|edge| (0..=2).map(move |parts| (parts, edge)));
    let strength = |&(parts, edge): &(u64, u64)| {
        let sum: u64 = graph
            .times
            .iter()
            .map(|&time| weight(graph.cycle, time, parts, edge))
            .sum();
        sum as f64 / (graph.cycle * parts.max(1)) as f64
    };
    let mut others: Vec<(f64, (u64, u64))> = whole
        .chain(edged)
        .map(|way| (strength(&way), way))
        .collect();
    others.sort_by(|a, b| b.0.total_cmp(&a.0));
    others.dedup_by(|a, b| a.0 == b.0);
    let plain = (0..=2).map(|parts| (parts, 0));
    let chosen = plain.chain(others.into_iter().take(EXTRA_ROWS).map(|(_, way)| way));
    chosen
        .map(|(parts, edge)| row_of(graph, parts, edge))
        .collect()
}

/// Thresholds e worth trying: the distinct times up to half a cycle.
fn edges(graph: &Graph) -> Vec<u64> {
    let mut small = graph.times.clone();
    small.retain(|&time| time > 0 && time * 2 <= graph.cycle);
    small.sort_unstable();
    small.dedup();
    small
}

fn row_of(graph: &Graph, parts: u64, edge: u64) -> Row {
    let times = graph.times.iter();
    Row {
        weights: times
            .map(|&time| weight(graph.cycle, time, parts, edge))
            .collect(),
        unit: graph.cycle * parts.max(1),
    }
}

/// u(`parts`) of a time after the edge rule, in units of cycle x parts; `parts` 0 leaves the time as it is.
fn weight(cycle: u64, time: u64, parts: u64, edge: u64) -> u64 {
    let edged = match time {
        t if t < edge => 0,
        t if t > cycle - edge => cycle,
        t => t,
    };
    let scaled = (parts + 1) * edged;
    match parts {
        0 => edged,
        _ if scaled.is_multiple_of(cycle) => parts * edged,
        _ => scaled / cycle * cycle,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::line::model::Model;
    use crate::line::{LineProblem, Task};

    fn bound(times: &[u64], chain: bool, cycle: u64) -> u64 {
        let after = |place: usize| {
            if chain && place > 0 {
                vec![place - 1]
            } else {
                vec![]
            }
        };
        let tasks = times.iter().enumerate();
        let tasks = tasks
            .map(|(place, &time)| Task {
                time,
                after: after(place),
            })
            .collect();
        let model = Model::new(&LineProblem { tasks }).unwrap();
        let graph = Graph::new(&model, &model.times, cycle, false);
        Bounds::new(&graph).all(&graph, &vec![0; graph.words])
    }

    #[test]
    fn work_content_halves_and_thirds() {
        // LM1: 4 x 5 = 20 over 10 -> 2.
        assert_eq!(bound(&[5, 5, 5, 5], false, 10), 2);
        // LM2: three tasks of 6 in 10: work 18 -> 2, but no two share: 3.
        assert_eq!(bound(&[6, 6, 6], false, 10), 3);
        // LM3: five tasks of 4 in 10 (above a third): at most two a station, 5/2 -> 3; work 20 -> 2.
        assert_eq!(bound(&[4, 4, 4, 4, 4], false, 10), 3);
        // u(3): seven tasks of 3 in 10 (above a quarter): three a station, 7/3 -> 3; work 21 -> 3;
        // seven of 26 in 100: work 182 -> 2, thirds count none, quarters 7/3 -> 3.
        assert_eq!(bound(&[26; 7], false, 100), 3);
    }

    #[test]
    fn order_lengthens_the_line() {
        // 6 -> 2 -> 6 with cycle 10: work 14 -> 2 and free tasks would need 2; in a chain 6 + 2 | 6: 2.
        assert_eq!(bound(&[6, 2, 6], true, 10), 2);
        // 5 -> 6 -> 5 -> 6 with cycle 10: no neighbours share, 4 stations; work 22 -> 3, halves 3.
        assert_eq!(bound(&[5, 6, 5, 6], true, 10), 4);
    }
}
