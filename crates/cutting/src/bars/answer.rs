//! From a solution of the core back to patterns of the problem's stock and parts.

use std::collections::{BTreeMap, VecDeque};

use super::core::{Core, Shape, Solution, usable};
use super::solve::Optimum;
use super::{Cut, Leftover, Pattern, Plan, Problem, Short};

/// Parts of one stretch, with how many.
type Parts = Vec<(usize, u64)>;

/// What is known beside the optimum.
pub(super) struct Known {
    pub(super) missing_bound: u64,
    pub(super) stopped: bool,
}

/// Gives the missing pieces of each item to its parts, the last ones first, and takes them off the needs.
pub(super) fn spread_missing(
    problem: &Problem,
    core: &mut Core,
    solution: &Solution,
    missing: &mut [u64],
) {
    for (item, &count) in core.items.iter_mut().zip(&solution.missing) {
        item.need -= count;
        let mut left = count;
        for &part in item.parts.iter().rev() {
            let taken = left.min(problem.parts[part].need);
            missing[part] = taken;
            left -= taken;
        }
    }
}

pub(super) fn plan(
    problem: &Problem,
    core: &Core,
    optimum: &Optimum,
    missing: &[u64],
    known: &Known,
) -> Plan {
    let patterns = Assembly::new(problem, core, missing).run(&optimum.solution);
    let mut plan = Plan {
        patterns,
        cost: optimum.cost,
        bound: optimum.bound,
        proved: false,
        linear_bound: optimum.linear,
        round_up: optimum.round_up,
        used: vec![0; problem.stocks.len()],
        leftovers: Vec::new(),
        waste: 0,
        short: short(problem, missing),
        missing_length: 0,
        missing_bound: known.missing_bound,
        patterns_kept: true,
        stopped: known.stopped,
    };
    plan.missing_length = (plan.short.iter())
        .map(|short| short.missing * problem.parts[short.part].length)
        .sum();
    sum_up(problem, &mut plan);
    plan
}

/// Makes the sums and claims of a plan from its patterns, cost and bounds.
pub(super) fn sum_up(problem: &Problem, plan: &mut Plan) {
    let mut rests: BTreeMap<(usize, u64), u64> = BTreeMap::new();
    plan.used = vec![0; problem.stocks.len()];
    plan.waste = 0;
    for pattern in &plan.patterns {
        plan.used[pattern.stock] += pattern.count;
        let length: u64 = problem.stocks[pattern.stock].stretches.iter().sum();
        let mut made = 0;
        for cut in &pattern.cuts {
            let parts = cut.parts.iter();
            made += parts
                .map(|&(part, n)| problem.parts[part].length * n)
                .sum::<u64>();
            if problem
                .leftovers
                .is_some_and(|rule| cut.rest >= rule.at_least.max(1))
            {
                *rests.entry((pattern.stock, cut.rest)).or_default() += pattern.count;
                made += cut.rest;
            }
        }
        plan.waste += (length - made) * pattern.count;
    }
    plan.leftovers = (rests.into_iter())
        .map(|((stock, length), count)| Leftover {
            stock,
            length,
            count,
        })
        .collect();
    let patterns = plan.patterns.len() as u64;
    plan.patterns_kept = problem.most_patterns.is_none_or(|most| patterns <= most);
    plan.proved =
        plan.cost == plan.bound && plan.missing_length == plan.missing_bound && plan.patterns_kept;
}

fn short(problem: &Problem, missing: &[u64]) -> Vec<Short> {
    let longest = (0..problem.stocks.len())
        .filter(|&stock| problem.stocks[stock].available != Some(0))
        .flat_map(|stock| usable(problem, stock))
        .max()
        .unwrap_or(0);
    (missing.iter().enumerate())
        .filter(|&(_, &count)| count > 0)
        .map(|(part, &count)| Short {
            part,
            missing: count,
            too_long: problem.parts[part].length > longest || problem.most_pieces == Some(0),
        })
        .collect()
}

/// Hands shapes out to pieces of stock, and the items in them to parts.
struct Assembly<'a> {
    problem: &'a Problem,
    core: &'a Core,
    /// Parts of each item still to be made, with how many.
    due: Vec<VecDeque<(usize, u64)>>,
    /// How often each stock is cut in each way, by parts of each stretch.
    patterns: BTreeMap<(usize, Vec<Parts>), u64>,
}

impl<'a> Assembly<'a> {
    fn new(problem: &'a Problem, core: &'a Core, missing: &[u64]) -> Self {
        let over = |part: usize| {
            let facts = &problem.parts[part];
            facts.at_most.map_or(0, |most| most - facts.need)
        };
        let due = (core.items.iter())
            .map(|item| {
                let wanted = item.parts.iter();
                let wanted = wanted.map(|&part| (part, problem.parts[part].need - missing[part]));
                let extra = item.parts.iter().map(|&part| (part, over(part)));
                wanted
                    .chain(extra)
                    .filter(|&(_, count)| count > 0)
                    .collect()
            })
            .collect();
        Self {
            problem,
            core,
            due,
            patterns: BTreeMap::new(),
        }
    }

    fn run(mut self, solution: &Solution) -> Vec<Pattern> {
        let mut queues: Vec<VecDeque<(&Shape, u64)>> =
            vec![VecDeque::new(); self.core.classes.len()];
        for (shape, count) in &solution.shapes {
            queues[shape.class].push_back((shape, *count));
        }
        for (kind, &pieces) in solution.pieces.iter().enumerate() {
            self.load_kind(kind, pieces, &mut queues);
        }
        let problem = self.problem;
        let finish = |((stock, cuts), count)| finish(problem, stock, cuts, count);
        self.patterns.into_iter().map(finish).collect()
    }

    fn load_kind(&mut self, kind: usize, mut pieces: u64, queues: &mut [VecDeque<(&Shape, u64)>]) {
        let stock = self.core.kinds[kind].stock;
        let capacities: Vec<u64> = (usable(self.problem, stock).iter())
            .map(|length| length + self.core.kerf)
            .collect();
        let classes: Vec<usize> = (capacities.iter())
            .map(|&capacity| {
                let sole = self.core.sole(kind).then_some(kind);
                (self.core.classes.iter())
                    .position(|class| class.capacity == capacity && class.sole == sole)
                    .expect("every stretch of a kind has its class")
            })
            .collect();
        while pieces > 0 {
            let count = match (classes.as_slice(), queues[classes[0]].front()) {
                (&[_], Some(&(_, count))) => count.min(pieces),
                _ => 1,
            };
            let shapes: Vec<Option<&Shape>> = (classes.iter())
                .map(|&class| take(&mut queues[class], count))
                .collect();
            self.emit(stock, &shapes, count);
            pieces -= count;
        }
    }

    /// Notes pieces that are cut alike, as long runs as the parts allow.
    fn emit(&mut self, stock: usize, shapes: &[Option<&Shape>], mut count: u64) {
        while count > 0 {
            let run = self.run_length(shapes, count);
            let cuts: Vec<Parts> = (shapes.iter())
                .map(|shape| shape.map_or_else(Vec::new, |shape| self.serve(shape, run)))
                .collect();
            *self.patterns.entry((stock, cuts)).or_default() += run;
            count -= run;
        }
    }

    /// For how many pieces the parts due now can take all that is cut; at least one.
    fn run_length(&self, shapes: &[Option<&Shape>], count: u64) -> u64 {
        let mut each = vec![0_u64; self.due.len()];
        for &(item, n) in shapes.iter().flatten().flat_map(|shape| &shape.items) {
            each[item as usize] += u64::from(n);
        }
        (each.iter().zip(&self.due))
            .filter(|&(&each, _)| each > 0)
            .map(|(&each, due)| due.front().map_or(1, |&(_, left)| left / each))
            .fold(count, u64::min)
            .max(1)
    }

    /// Gives what a shape makes to the parts due; with a run of one, to several parts if need be.
    fn serve(&mut self, shape: &Shape, run: u64) -> Parts {
        let mut parts = Vec::new();
        for &(item, each) in &shape.items {
            let due = &mut self.due[item as usize];
            let mut left = u64::from(each);
            while left > 0 {
                let Some(front) = due.front_mut() else {
                    break;
                };
                let taken = left.min(front.1 / run);
                front.1 -= taken * run;
                left -= taken;
                parts.push((front.0, taken));
                if front.1 == 0 {
                    due.pop_front();
                }
            }
        }
        parts
    }
}

/// Takes so many of the first shape waiting; none if none waits.
fn take<'s>(queue: &mut VecDeque<(&'s Shape, u64)>, count: u64) -> Option<&'s Shape> {
    let front = queue.front_mut()?;
    let shape = front.0;
    front.1 -= count;
    if front.1 == 0 {
        queue.pop_front();
    }
    Some(shape)
}

fn finish(problem: &Problem, stock: usize, cuts: Vec<Parts>, count: u64) -> Pattern {
    let lengths = usable(problem, stock);
    let cuts = (cuts.into_iter().zip(lengths))
        .map(|(parts, length)| {
            let freed: u64 = (parts.iter())
                .map(|&(part, n)| (problem.parts[part].length + problem.saw.kerf) * n)
                .sum();
            Cut {
                parts,
                rest: length.saturating_sub(freed),
            }
        })
        .collect();
    Pattern { stock, count, cuts }
}
