//! The whole search: quick plans, the bound, dives, and the question whether there is anything better.

use effort::Meter;

use super::core::{Core, Residual, Solution};
use super::dive::{Width, dive};
use super::exact::{Verdict, decide};
use super::greedy::{self, Fill};
use super::master::{Master, Until};
use super::{Effort, Plan, Problem, RoundUp, answer, few};

/// With so few items the linear programme is solved to the end even when its bound suffices: its value is of interest.
const FEW_ITEMS: usize = 40;

/// With more items than this the linear programme would be too large; the quick plan and the bound by material stand.
const MOST_ITEMS: usize = 1500;

/// Dives, narrow ones first.
const WIDTHS: [Width; 2] = [
    Width {
        depth: 0,
        discrepancies: 0,
    },
    Width {
        depth: 3,
        discrepancies: 2,
    },
];

/// The best plan found for a core, and what is known about it.
pub(super) struct Optimum {
    pub(super) solution: Solution,
    pub(super) cost: u64,
    /// No solution costs less.
    pub(super) bound: u64,
    /// Value of the linear programme, from below.
    pub(super) linear: f64,
    pub(super) round_up: RoundUp,
}

pub(super) fn plan(problem: &Problem, effort: Effort<'_>) -> Plan {
    let mut meter = effort.meter();
    let mut missing = vec![0; problem.parts.len()];
    let mut core = Core::new(problem, &missing);
    for (part, facts) in problem.parts.iter().enumerate() {
        if !core.items.iter().any(|item| item.parts.contains(&part)) {
            missing[part] = facts.need;
        }
    }
    let sure: u64 = missing_length(problem, &missing);
    let mut start = quick(&core);
    let mut least_missing = 0;
    if start.is_none() {
        let (solution, least) = miss_least(&core, &mut meter);
        least_missing = least;
        answer::spread_missing(problem, &mut core, &solution, &mut missing);
        start = Some(Solution {
            missing: vec![0; core.items.len()],
            ..solution
        });
    }
    let optimum = match start {
        Some(start) => optimise(&core, start, &mut meter),
        None => optimise(&core, Solution::empty(&core), &mut meter),
    };
    let plan = |optimum: &Optimum, meter: &Meter<'_>| {
        let known = answer::Known {
            missing_bound: sure + least_missing,
            stopped: meter.over(),
        };
        answer::plan(problem, &core, optimum, &missing, &known)
    };
    let free = plan(&optimum, &meter);
    let Some(most) = problem.most_patterns.filter(|_| !free.patterns_kept) else {
        return free;
    };
    let Some(solution) = few::plan(&core, &at_most(problem, &core), most, &mut meter) else {
        return free;
    };
    let limited = Optimum {
        cost: core.total(&solution),
        solution,
        round_up: RoundUp::Open,
        ..optimum
    };
    let kept = plan(&limited, &meter);
    if kept.patterns_kept { kept } else { free }
}

/// Pieces that may be made of each item, those over and above the needs included.
fn at_most(problem: &Problem, core: &Core) -> Vec<u64> {
    let over = |part: usize| {
        let facts = &problem.parts[part];
        facts.at_most.map_or(0, |most| most - facts.need)
    };
    (core.items.iter())
        .map(|item| item.need + item.parts.iter().map(|&part| over(part)).sum::<u64>())
        .collect()
}

fn missing_length(problem: &Problem, missing: &[u64]) -> u64 {
    let parts = problem.parts.iter().zip(missing);
    parts.map(|(part, &count)| part.length * count).sum()
}

/// The better of the quick plans.
fn quick(core: &Core) -> Option<Solution> {
    [Fill::FirstFit, Fill::Closest]
        .into_iter()
        .filter_map(|fill| greedy::complete(core, Residual::new(core), fill))
        .min_by_key(|solution| core.total(solution))
}

/// A solution that misses the least length, as far as that is found, and a bound for it.
fn miss_least(core: &Core, meter: &mut Meter<'_>) -> (Solution, u64) {
    let core = core.for_least_missing();
    let start = quick(&core).unwrap_or_else(|| Solution {
        missing: core.needs(),
        ..Solution::empty(&core)
    });
    let optimum = optimise(&core, start, meter);
    (optimum.solution, optimum.bound)
}

/// Improves a solution until it is proved best or the effort is spent.
pub(super) fn optimise(core: &Core, start: Solution, meter: &mut Meter<'_>) -> Optimum {
    let mut search = Searching::new(core, start);
    search.run(meter);
    search.optimum()
}

struct Searching<'a> {
    core: &'a Core,
    master: Master<'a>,
    best: Solution,
    cost: u64,
    /// Proved by the exact search, beyond the linear programme.
    proved_bound: u64,
    /// Whether the linear programme has all its patterns.
    complete: bool,
}

impl<'a> Searching<'a> {
    fn new(core: &'a Core, start: Solution) -> Self {
        let mut master = Master::new(core);
        for (shape, _) in &start.shapes {
            master.add(shape.clone());
        }
        Self {
            core,
            master,
            cost: core.total(&start),
            best: start,
            proved_bound: 0,
            complete: false,
        }
    }

    fn linear_bound(&self) -> u64 {
        let best = self.master.best.as_ref();
        best.map_or(0, |(bound, _)| bound.round_up(self.core, self.master.scale))
    }

    fn bound(&self) -> u64 {
        self.linear_bound().max(self.proved_bound).min(self.cost)
    }

    fn done(&self) -> bool {
        self.bound() >= self.cost
    }

    /// The next better cost there could be.
    fn goal(&self) -> u64 {
        self.cost - self.core.unit.min(self.cost)
    }

    fn improve(&mut self, solution: Solution) {
        let cost = self.core.total(&solution);
        if cost < self.cost && solution.within_stock(self.core) {
            self.cost = cost;
            self.best = solution;
        }
    }

    fn run(&mut self, meter: &mut Meter<'_>) {
        if self.cost == 0 || self.core.items.is_empty() || self.core.items.len() > MOST_ITEMS {
            return;
        }
        if !self.relax(Until::Bound(self.cost), meter) {
            return;
        }
        if self.core.items.len() <= FEW_ITEMS && !self.relax(Until::Complete, meter) {
            return;
        }
        if self.done() {
            return;
        }
        self.dive(WIDTHS[0], meter);
        if self.done() || !self.relax(Until::Complete, meter) || self.done() {
            return;
        }
        self.complete = true;
        if self.decide(meter) {
            return;
        }
        self.dive(WIDTHS[1], meter);
        if !self.done() {
            self.decide(meter);
        }
    }

    fn relax(&mut self, until: Until, meter: &mut Meter<'_>) -> bool {
        let residual = Residual::new(self.core);
        self.master
            .generate(&residual, true, until, meter)
            .is_some()
    }

    fn dive(&mut self, width: Width, meter: &mut Meter<'_>) {
        while !self.done() && !meter.over() {
            let goal = self.goal();
            match dive(&mut self.master, goal, width, meter) {
                Some(solution) => self.improve(solution),
                None => return,
            }
        }
    }

    /// Asks for a plan at the next better cost until there is none; false if that stayed open.
    fn decide(&mut self, meter: &mut Meter<'_>) -> bool {
        while !self.done() && !meter.over() {
            let Some((_, prices)) = &self.master.best else {
                return false;
            };
            let goal = self.goal();
            match decide(self.core, prices, &self.master.shapes, goal, meter) {
                Verdict::Found(solution) => self.improve(solution),
                Verdict::None => self.proved_bound = self.cost,
                Verdict::Open => return self.raise_bound(meter),
            }
        }
        self.done()
    }

    /// Closes the gap from below: asks for a plan at the bound itself.
    fn raise_bound(&mut self, meter: &mut Meter<'_>) -> bool {
        while self.bound() < self.goal() && !meter.over() {
            let Some((_, prices)) = &self.master.best else {
                return false;
            };
            let target = self.bound();
            match decide(self.core, prices, &self.master.shapes, target, meter) {
                Verdict::Found(solution) => {
                    self.improve(solution);
                    return self.done();
                }
                Verdict::None => self.proved_bound = target + self.core.unit,
                Verdict::Open => return false,
            }
        }
        self.done()
    }

    fn optimum(self) -> Optimum {
        let bound = self.bound();
        let rounded = self.linear_bound();
        let linear = self.master.best.as_ref().map_or(0.0, |(bound, _)| {
            bound.small as f64 / self.master.scale as f64
        });
        let linear = linear.max(self.core.material().0);
        let round_up = if self.cost == rounded || self.cost == 0 {
            RoundUp::Met
        } else if self.complete && bound > rounded {
            RoundUp::Missed
        } else {
            RoundUp::Open
        };
        Optimum {
            solution: self.best,
            cost: self.cost,
            bound,
            linear: linear.clamp(0.0, bound as f64),
            round_up,
        }
    }
}
