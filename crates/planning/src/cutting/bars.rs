//! Bars, strip and reels: needs met with the cheapest stock.

use cutting::bars::{self as engine, Leftovers, Part, Problem, RoundUp, Saw, Stock};
use effort::Effort;
use serde::Serialize;
use works::BarKind;

use super::{CutPlan, StockLine, Task, Work, ticks};

/// What was found for bars, strip or reels.
#[derive(Clone, Debug, Serialize)]
#[allow(
    clippy::struct_excessive_bools,
    reason = "each answers a question of its own, and none follows from another"
)]
pub struct BarWork {
    /// The patterns, each with how often it is cut.
    pub patterns: Vec<BarPattern>,
    /// Cost of the stock less what is kept of it: money, or metres where no price is known.
    pub cost: f64,
    /// No plan costs less.
    pub bound: f64,
    /// Whether `cost` and `bound` are money; else they are metres of stock.
    pub in_money: bool,
    /// Whether no plan costs less than this one.
    pub proved: bool,
    /// Whether the least cost is the linear programme's, rounded up; none where that is not known.
    pub rounds_up: Option<bool>,
    /// Left-overs that are kept: length in m, and how many.
    pub kept: Vec<(f64, u64)>,
    /// Length that becomes neither part nor left-over, m.
    pub waste_m: f64,
    /// Whether the limit on different patterns was kept; true when there is none.
    pub patterns_kept: bool,
    /// That limit.
    pub most_patterns: Option<u64>,
    /// Whether the search ended before it was done.
    pub stopped: bool,
    /// Width of the cut, m.
    pub kerf_m: f64,
    /// What is taken off the left end of the stock, m.
    pub trim_m: f64,
}

impl BarWork {
    /// Where the first part of a stretch begins, from the stretch's own beginning, m: after the trim on the
    /// first one.
    pub fn head_trim_m(&self, stretch: &Stretch) -> f64 {
        if stretch.from_m > 0.0 {
            0.0
        } else {
            self.trim_m
        }
    }
}

/// One way to cut a piece of stock.
#[derive(Clone, Debug, Serialize)]
pub struct BarPattern {
    /// Which size of stock.
    pub stock: usize,
    /// How many pieces of stock are cut so.
    pub count: u64,
    /// What is cut from each clear stretch.
    pub stretches: Vec<Stretch>,
}

/// What is cut from one clear stretch.
#[derive(Clone, Debug, Serialize)]
pub struct Stretch {
    /// Where it begins, m.
    pub from_m: f64,
    /// Where it ends, m.
    pub to_m: f64,
    /// Parts by line of the list, and how many.
    pub parts: Vec<(usize, u64)>,
    /// What is left at its end, m.
    pub rest_m: f64,
}

/// Below this a price is none.
const CHEAPEST: f64 = 1e-4;
/// Most units of cost of one piece: the engine takes below 2^31.
const MOST_COST: f64 = 1e9;

/// Whole units of cost in one of the currency: ten thousand, or a power of ten fewer where a piece costs so much
/// that they would be too many.
fn cost_units(prices: &[f64]) -> f64 {
    let dearest = prices.iter().copied().fold(0.0, f64::max);
    let mut units = 1e4;
    while units * dearest > MOST_COST {
        units /= 10.0;
    }
    units
}

pub(super) fn plan(
    mut task: Task<'_>,
    kinds: &[BarKind],
    effort: Effort<'_>,
) -> Result<CutPlan, String> {
    let (problem, money) = problem(&task, kinds);
    let plan = engine::plan(&problem, effort).map_err(|unfit| unfit.to_string())?;
    engine::check(&problem, &plan).map_err(super::our_fault)?;
    if let Some(short) = plan.short.iter().find(|short| short.too_long) {
        return Err(format!(
            "`{}` is longer than any clear stretch of the stock",
            task.parts[short.part].name
        ));
    }
    for (number, line) in task.parts.iter_mut().enumerate() {
        let made = |pattern: &engine::Pattern| pattern.count * made_by(pattern, number);
        line.made = plan.patterns.iter().map(made).sum();
    }
    let stock = stock(kinds, &plan);
    let bars: u64 = plan.used.iter().sum();
    let made: u64 = task.parts.iter().map(|part| part.made).sum();
    Ok(CutPlan {
        operation: task.id,
        name: crate::flow::label(task.works, task.id),
        how: format!(
            "cutting plan: {} parts from {} lengths",
            quantity::show_number(made as f64),
            quantity::show_number(bars as f64)
        ),
        used_share: super::used_share(&task.parts, &stock),
        stock,
        parts: task.parts,
        work: Work::Bars(Box::new(work(&plan, kinds, &problem, money))),
    })
}

fn work(plan: &engine::Plan, kinds: &[BarKind], problem: &Problem, money: Option<f64>) -> BarWork {
    let per_cost = money.map_or(ticks::TICK_M, |units| 1.0 / units);
    let kept = |rest: &engine::Leftover| (ticks::metres(rest.length), rest.count);
    let pattern = |pattern: &engine::Pattern| shown(pattern, kinds);
    BarWork {
        patterns: plan.patterns.iter().map(pattern).collect(),
        cost: plan.cost as f64 * per_cost,
        bound: plan.bound as f64 * per_cost,
        in_money: money.is_some(),
        proved: plan.proved,
        rounds_up: match plan.round_up {
            RoundUp::Met => Some(true),
            RoundUp::Missed => Some(false),
            RoundUp::Open => None,
        },
        kept: plan.leftovers.iter().map(kept).collect(),
        waste_m: ticks::metres(plan.waste),
        patterns_kept: plan.patterns_kept,
        most_patterns: problem.most_patterns,
        stopped: plan.stopped,
        kerf_m: ticks::metres(problem.saw.kerf),
        trim_m: ticks::metres(problem.saw.head_trim),
    }
}

fn stock(kinds: &[BarKind], plan: &engine::Plan) -> Vec<StockLine> {
    let kept_of = |kind: usize| -> f64 {
        let rests = plan.leftovers.iter().filter(|rest| rest.stock == kind);
        rests
            .map(|rest| ticks::metres(rest.length) * rest.count as f64)
            .sum()
    };
    let line = |(number, kind): (usize, &BarKind)| StockLine {
        item: kind.item,
        length_m: kind.length.mean(),
        width_m: None,
        used: plan.used[number],
        at_most: kind.at_most,
        kept: kept_of(number) / kind.length.mean(),
    };
    kinds.iter().enumerate().map(line).collect()
}

/// The question in ticks, and the units of cost in one of the currency where its costs are money.
fn problem(task: &Task<'_>, kinds: &[BarKind]) -> (Problem, Option<f64>) {
    let prices: Option<Vec<f64>> = kinds.iter().map(|kind| price(task, kind)).collect();
    let money = prices.as_deref().map(cost_units);
    let cost = |number: usize, kind: &BarKind| match prices.as_ref().zip(money) {
        Some((prices, units)) => ((prices[number] * units).round() as u64).max(1),
        None => ticks::stock(kind.length.mean()),
    };
    let stocks: Vec<Stock> = kinds
        .iter()
        .enumerate()
        .map(|(number, kind)| Stock {
            stretches: clear_stretches(kind)
                .iter()
                .map(|(from, to)| to - from)
                .collect(),
            cost: cost(number, kind),
            available: kind.at_most,
        })
        .collect();
    let parts = task
        .parts
        .iter()
        .map(|line| Part::new(ticks::part(line.length_m), line.need))
        .collect();
    let trim = ticks::optional(task.cut.trim.ends.as_ref());
    let leftovers = task.cut.keep.as_ref().map(|keep| {
        let share = keep.worth.as_ref().map_or(0.0, works::Stated::mean);
        let (worth, per) = dearest_safe_worth(&stocks, kinds, share);
        Leftovers {
            at_least: ticks::part(keep.length.mean()),
            worth,
            per,
        }
    });
    let problem = Problem {
        stocks,
        parts,
        saw: Saw {
            kerf: ticks::optional(task.cut.kerf.cross.as_ref()),
            head_trim: trim,
            tail_trim: trim,
        },
        leftovers,
        most_patterns: task.cut.patterns,
        most_pieces: task.cut.pieces,
    };
    (problem, money)
}

/// What a length of left-over is worth: the share of the cheapest stock, length by length, so that no piece
/// is worth more as a left-over than it costs.
fn dearest_safe_worth(stocks: &[Stock], kinds: &[BarKind], share: f64) -> (u64, u64) {
    let per_length = |number: usize| {
        stocks[number].cost as f64 / ticks::stock(kinds[number].length.mean()).max(1) as f64
    };
    let cheapest = (0..stocks.len()).min_by(|&a, &b| per_length(a).total_cmp(&per_length(b)));
    match cheapest {
        Some(number) => (
            (stocks[number].cost as f64 * share).floor() as u64,
            ticks::stock(kinds[number].length.mean()).max(1),
        ),
        None => (0, 1),
    }
}

/// The price of one piece of stock, money; none when its item is not bought.
fn price(task: &Task<'_>, kind: &BarKind) -> Option<f64> {
    let buy = task.works.item(kind.item).buy.as_ref()?;
    let units = super::units_of_piece(task.works, kind.item, kind.length.mean(), None);
    let price = buy.price.mean() * units;
    (price >= CHEAPEST).then_some(price)
}

/// Clear stretches between splices, in ticks from the left end.
fn clear_stretches(kind: &BarKind) -> Vec<(u64, u64)> {
    let end = ticks::stock(kind.length.mean());
    let mut splices: Vec<(u64, u64)> = kind
        .splices
        .iter()
        .map(|(from, to)| (ticks::stock(from.mean()), ticks::part(to.mean())))
        .collect();
    splices.sort_unstable();
    let mut stretches = Vec::new();
    let mut clear_from = 0;
    for (from, to) in splices {
        if from.min(end) > clear_from {
            stretches.push((clear_from, from.min(end)));
        }
        clear_from = clear_from.max(to);
    }
    if end > clear_from || stretches.is_empty() {
        stretches.push((clear_from.min(end), end));
    }
    stretches
}

/// How many of a part one piece cut by the pattern gives.
fn made_by(pattern: &engine::Pattern, part: usize) -> u64 {
    let cuts = pattern.cuts.iter().flat_map(|cut| &cut.parts);
    cuts.filter(|(one, _)| *one == part).map(|(_, n)| n).sum()
}

fn shown(pattern: &engine::Pattern, kinds: &[BarKind]) -> BarPattern {
    let stretches = clear_stretches(&kinds[pattern.stock]);
    let stretch = |(cut, (from, to)): (&engine::Cut, (u64, u64))| Stretch {
        from_m: ticks::metres(from),
        to_m: ticks::metres(to),
        parts: cut.parts.clone(),
        rest_m: ticks::metres(cut.rest),
    };
    BarPattern {
        stock: pattern.stock,
        count: pattern.count,
        stretches: pattern.cuts.iter().zip(stretches).map(stretch).collect(),
    }
}
