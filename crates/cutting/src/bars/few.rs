//! Plans with few different patterns: not proved, only sought.
//!
//! Long runs first (the sequential way of Haessler 1971, 1975), as a beam search: from each partial plan, for run lengths n
//! that the allowances suggest, the fullest patterns that can run n times; and at every stage the one
//! pattern that finishes everything with the shortest run. Only stock whose pieces are one stretch is considered.

use effort::Meter;

use super::core::{Core, Shape, Solution};
use super::pricing::{Pricer, Prices};

/// Partial plans kept at each stage.
const BEAM: usize = 24;
/// Run lengths tried from each.
const RUNS: usize = 24;
/// Patterns tried for each run length.
const FILLS: usize = 3;
/// Nodes of one search for full patterns.
const FILL_NODES: u64 = 20_000;
/// Cells of the table behind it.
const FILL_CELLS: u64 = 1 << 16;
/// Run lengths looked through for the last pattern.
const LAST_RUNS: u64 = 10_000;

#[derive(Clone)]
struct Partial {
    shapes: Vec<(Shape, u64)>,
    /// Pieces still needed of each item.
    needs: Vec<u64>,
    /// Pieces that may still be made of each item.
    allowed: Vec<u64>,
    kinds: Vec<u64>,
    cost: i64,
    /// Cost so far and a fair share of what is to come.
    outlook: f64,
}

/// The cheapest plan found that cuts at most `most` patterns and makes at most `at_most` of each item.
pub(super) fn plan(
    core: &Core,
    at_most: &[u64],
    most: u64,
    meter: &mut Meter<'_>,
) -> Option<Solution> {
    let mut search = Few {
        core,
        cheapest: cheapest_width(core)?,
        best: None,
    };
    let mut beam = vec![Partial {
        shapes: Vec::new(),
        needs: core.needs(),
        allowed: at_most.to_vec(),
        kinds: core.kinds.iter().map(|kind| kind.limit).collect(),
        cost: 0,
        outlook: 0.0,
    }];
    for stage in 1..=most {
        let mut next = Vec::new();
        for partial in &beam {
            search.finish(partial);
            if stage < most && !search.grow(partial, &mut next, meter) {
                return search.solution();
            }
        }
        next.sort_by(|x, y| {
            x.outlook
                .total_cmp(&y.outlook)
                .then_with(|| x.shapes.cmp(&y.shapes))
        });
        next.dedup_by(|x, y| x.needs == y.needs && x.outlook == y.outlook);
        next.truncate(BEAM);
        beam = next;
        if beam.is_empty() {
            break;
        }
    }
    search.solution()
}

/// Least cost per unit of width of any stock that is one stretch.
fn cheapest_width(core: &Core) -> Option<f64> {
    (core.classes.iter())
        .filter_map(|class| {
            let kind = class.sole?;
            Some(core.kinds[kind].cost as f64 / class.capacity as f64)
        })
        .min_by(f64::total_cmp)
}

struct Few<'a> {
    core: &'a Core,
    cheapest: f64,
    best: Option<(i64, Vec<(Shape, u64)>)>,
}

impl Few<'_> {
    fn solution(self) -> Option<Solution> {
        let (_, shapes) = self.best?;
        let mut solution = Solution::empty(self.core);
        for (shape, count) in shapes {
            solution.cut(self.core, shape, count);
        }
        Some(solution)
    }

    fn keep(&mut self, cost: i64, shapes: Vec<(Shape, u64)>) {
        if self.best.as_ref().is_none_or(|(best, _)| cost < *best) {
            self.best = Some((cost, shapes));
        }
    }

    /// Tries to make all that is left with one more pattern.
    fn finish(&mut self, partial: &Partial) {
        for class in 0..self.core.classes.len() {
            let Some(kind) = self.core.classes[class].sole else {
                continue;
            };
            if let Some((shape, run)) = self.last_pattern(partial, class, partial.kinds[kind]) {
                let cost = partial.cost + self.core.cost(&shape) * run as i64;
                let mut shapes = partial.shapes.clone();
                shapes.push((shape, run));
                self.keep(cost, shapes);
            }
        }
    }

    /// The pattern with the shortest run that makes all that is left.
    fn last_pattern(&self, partial: &Partial, class: usize, left: u64) -> Option<(Shape, u64)> {
        let longest = partial.needs.iter().copied().max()?.max(1);
        (1..=longest.min(left).min(LAST_RUNS)).find_map(|run| {
            let mut width = 0;
            let mut pieces = 0;
            let mut items = Vec::new();
            for (index, &need) in partial.needs.iter().enumerate() {
                let each = need.div_ceil(run);
                width += each * self.core.items[index].width;
                pieces += each;
                if each * run > partial.allowed[index] {
                    return None;
                }
                if each > 0 {
                    items.push((index as u32, each as u32));
                }
            }
            let fits =
                width <= self.core.classes[class].capacity && pieces <= self.core.most_pieces;
            fits.then_some((Shape { class, items }, run))
        })
    }

    /// Adds the partial plans that go one pattern further; false when the effort is spent.
    fn grow(&mut self, partial: &Partial, next: &mut Vec<Partial>, meter: &mut Meter<'_>) -> bool {
        for run in run_lengths(self.core, partial) {
            let prices = Prices {
                items: (self.core.items.iter())
                    .map(|item| item.width as i64)
                    .collect(),
                scale: 0,
            };
            let counts: Vec<u64> = (partial.allowed.iter().zip(&partial.needs))
                .map(|(&allowed, &need)| (allowed / run).min(need.div_ceil(run)))
                .collect();
            let pricer = Pricer::new(self.core, &prices, &counts, false, Some(FILL_CELLS));
            if !meter.spend(pricer.effort()) {
                return false;
            }
            for class in 0..self.core.classes.len() {
                let Some(kind) = self.core.classes[class].sole else {
                    continue;
                };
                if partial.kinds[kind] < run {
                    continue;
                }
                let mut nodes = FILL_NODES;
                let mut found = pricer.best(class, 0, FILLS, &mut nodes).shapes;
                found.sort_by_key(|(value, _)| std::cmp::Reverse(*value));
                found.truncate(FILLS);
                for (_, shape) in found {
                    next.push(self.after(partial, shape, run, kind));
                }
            }
        }
        true
    }

    fn after(&mut self, partial: &Partial, shape: Shape, run: u64, kind: usize) -> Partial {
        let mut after = partial.clone();
        for &(item, each) in &shape.items {
            let made = u64::from(each) * run;
            after.allowed[item as usize] -= made;
            let need = &mut after.needs[item as usize];
            *need = need.saturating_sub(made);
        }
        after.kinds[kind] -= run;
        after.cost += self.core.cost(&shape) * run as i64;
        after.shapes.push((shape, run));
        let width: u64 = (after.needs.iter().zip(&self.core.items))
            .map(|(&need, item)| need * item.width)
            .sum();
        after.outlook = after.cost as f64 + self.cheapest * width as f64;
        if width == 0 {
            self.keep(after.cost, after.shapes.clone());
        }
        after
    }
}

/// Run lengths at which some item is used up, the longest ones first, spread over all there are.
fn run_lengths(core: &Core, partial: &Partial) -> Vec<u64> {
    let widest = core.widest();
    let mut runs: Vec<u64> = Vec::new();
    for (index, item) in core.items.iter().enumerate() {
        let (need, allowed) = (partial.needs[index], partial.allowed[index]);
        if need == 0 {
            continue;
        }
        for each in 1..=(widest / item.width).min(6) {
            runs.push(need.div_ceil(each));
            runs.push((allowed / each).min(need.div_ceil(each)));
        }
    }
    runs.retain(|&run| run > 0);
    runs.sort_unstable_by_key(|&run| std::cmp::Reverse(run));
    runs.dedup();
    let step = runs.len().div_ceil(RUNS).max(1);
    runs.into_iter().step_by(step).collect()
}
