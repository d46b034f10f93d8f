//! Whole-number plans by diving: round a pattern, solve what is left anew, round again.
//!
//! With limited discrepancy (Sadykov, Vanderbeck, Pessoa, Tahiri & Uchoa 2019): near the top of the dive a pattern
//! that led nowhere is passed over once, then the next most used one is tried.

use effort::Meter;

use super::core::{Core, Residual, Shape, Solution};
use super::greedy::{self, Fill};
use super::master::{Master, Until};

/// The dear completion is tried when so few pieces are left.
const CLOSEST_BELOW: u64 = 60;

/// A value this near to a whole number is one (the master's needs are nudged).
const WHOLE: f64 = 1e-3;

/// How far the dive may come back to the top.
#[derive(Clone, Copy, Debug)]
pub(super) struct Width {
    /// Choices from the top at which another pattern may be tried.
    pub(super) depth: usize,
    /// Patterns passed over at most on the way down.
    pub(super) discrepancies: usize,
}

/// A step of the dive.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Choice {
    /// Cut pattern `.0` so often.
    Cut(usize, u64),
    /// Open pieces of kind `.0`.
    Open(usize, u64),
}

/// What is decided so far.
#[derive(Clone)]
struct Partial {
    residual: Residual,
    solution: Solution,
    /// Cost of what is decided; stretches opened and not yet cut count with nothing for their rests.
    cost: i64,
}

/// Looks for a plan that costs no more than `goal`.
pub(super) fn dive(
    master: &mut Master<'_>,
    goal: u64,
    width: Width,
    meter: &mut Meter<'_>,
) -> Option<Solution> {
    let core = master.core;
    let top = Partial {
        residual: Residual::new(core),
        solution: Solution::empty(core),
        cost: 0,
    };
    let mut dive = Dive {
        master,
        goal,
        width,
    };
    dive.descend(&top, 0, &mut Vec::new(), meter)
}

struct Dive<'a, 'b> {
    master: &'b mut Master<'a>,
    goal: u64,
    width: Width,
}

impl Dive<'_, '_> {
    fn descend(
        &mut self,
        partial: &Partial,
        depth: usize,
        passed: &mut Vec<Shape>,
        meter: &mut Meter<'_>,
    ) -> Option<Solution> {
        let mut partial = partial.clone();
        let mut depth = depth;
        loop {
            if let Some(solution) = self.finish(&partial) {
                return Some(solution);
            }
            let (sure, open) = self.relax(&partial, passed, meter)?;
            if !sure.is_empty() {
                partial = self.after(&partial, &sure)?;
                continue;
            }
            if depth < self.width.depth && passed.len() < self.width.discrepancies {
                return self.try_each(&partial, &open, depth, passed, meter);
            }
            partial = open
                .iter()
                .find_map(|&choice| self.after(&partial, &[choice]))?;
            depth += 1;
        }
    }

    /// Descends by each choice in turn, as long as one more may be passed over.
    fn try_each(
        &mut self,
        partial: &Partial,
        open: &[Choice],
        depth: usize,
        passed: &mut Vec<Shape>,
        meter: &mut Meter<'_>,
    ) -> Option<Solution> {
        let before = passed.len();
        let mut answer = None;
        for &choice in open {
            let Some(next) = self.after(partial, &[choice]) else {
                continue;
            };
            answer = self.descend(&next, depth + 1, passed, meter);
            let spent = passed.len() >= self.width.discrepancies || meter.over();
            let Choice::Cut(index, _) = choice else {
                break;
            };
            if answer.is_some() || spent {
                break;
            }
            passed.push(self.master.shapes[index].clone());
        }
        passed.truncate(before);
        answer
    }

    /// What is decided and a quick completion, if that meets the goal.
    fn finish(&self, partial: &Partial) -> Option<Solution> {
        let core = self.master.core;
        let left: u64 = partial.residual.needs.iter().sum();
        let fills: &[Fill] = if left <= CLOSEST_BELOW {
            &[Fill::FirstFit, Fill::Closest]
        } else {
            &[Fill::FirstFit]
        };
        fills.iter().find_map(|&fill| {
            let rest = greedy::complete(core, partial.residual.clone(), fill)?;
            let mut solution = partial.solution.clone();
            solution.extend(rest);
            (core.total(&solution) <= self.goal).then_some(solution)
        })
    }

    /// Choices that are whole already, and else the rounded ones, best first; none if the goal is out of reach.
    fn relax(
        &mut self,
        partial: &Partial,
        passed: &[Shape],
        meter: &mut Meter<'_>,
    ) -> Option<(Vec<Choice>, Vec<Choice>)> {
        let relaxed = self
            .master
            .generate(&partial.residual, false, Until::Complete, meter)?;
        let unit = self.master.core.unit as f64;
        let least = ((partial.cost as f64 + relaxed.value) / unit - 1e-6).ceil() * unit;
        if relaxed.lacking || least > self.goal as f64 {
            return None;
        }
        let mut sure = Vec::new();
        let mut open = Vec::new();
        for (index, value) in self.master.used_shapes() {
            let shape = &self.master.shapes[index];
            if shape.items.is_empty() {
                continue;
            }
            if value > 1.0 - WHOLE {
                sure.push(Choice::Cut(index, (value + WHOLE) as u64));
            } else if !passed.contains(shape) {
                open.push((value, Choice::Cut(index, 1)));
            }
        }
        for (kind, value) in self.master.used_kinds() {
            if value > 1.0 - WHOLE {
                sure.push(Choice::Open(kind, (value + WHOLE) as u64));
            } else {
                open.push((value, Choice::Open(kind, 1)));
            }
        }
        open.sort_by(|x, y| y.0.total_cmp(&x.0));
        Some((sure, open.into_iter().map(|(_, choice)| choice).collect()))
    }

    fn after(&self, partial: &Partial, choices: &[Choice]) -> Option<Partial> {
        let core = self.master.core;
        let mut next = partial.clone();
        for &choice in choices {
            match choice {
                Choice::Open(kind, count) => next.open(core, kind, count),
                Choice::Cut(index, count) => {
                    let shape = &self.master.shapes[index];
                    let whole = next.residual.whole(shape).min(count);
                    if whole > 0 {
                        next.cut(core, shape.clone(), whole);
                    } else {
                        let trimmed = next.residual.trimmed(shape);
                        if !trimmed.items.is_empty() {
                            next.cut(core, trimmed, 1);
                        }
                    }
                }
            }
        }
        let moved = next.solution.shapes != partial.solution.shapes
            || next.solution.pieces != partial.solution.pieces;
        moved.then_some(next)
    }
}

impl Partial {
    fn cut(&mut self, core: &Core, shape: Shape, count: u64) {
        if self.residual.cut(core, &shape, count) {
            self.cost += core.cost(&shape) * count as i64;
            self.solution.cut(core, shape, count);
        }
    }

    fn open(&mut self, core: &Core, kind: usize, count: u64) {
        let count = count.min(self.residual.kinds[kind]);
        self.residual.open(core, kind, count);
        self.cost += (core.kinds[kind].cost * count) as i64;
        self.solution.pieces[kind] += count;
    }
}
