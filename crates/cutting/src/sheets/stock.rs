//! Needs met at the least cost: column generation, a bound in whole numbers, dives and sequences.
//!
//! The linear programme over patterns (Gilmore and Gomory 1965) gets its columns from [`Supply::offer`]. For any
//! whole worths w with no pattern of sheet s worth more than U_s, every plan costs at least
//! Σ w·need · min_s cost_s / U_s (Farley 1990); costs being whole, the bound is rounded up to a multiple of
//! their greatest common divisor. Plans come from dives (the largest value of the programme is fixed, the rest solved
//! again with new columns; see Belov and Scheithauer 2006, and Cintra et al. 2008 for residual instances) and from
//! [`Lessons`].

use effort::Meter;

use super::answer::{Layout, Plan};
use super::build;
use super::problem::{Fault, Problem};
use super::sequence::{Counted, Lessons, cost, stock};
use super::supply::{Pattern, Supply};
use crate::linear::{Outcome, Programme, Sense};

/// Worths in the programme's duals times this are whole.
const SCALE: f64 = 1e7;
/// Rounds of column generation.
const ROUNDS: usize = 300;
/// With so few pieces left a dive hands over to sequences.
const RESIDUE: u32 = 60;
/// Sequences tried there.
const TRIES: usize = 4;
/// Attempts at better plans once the bound stands.
const ATTEMPTS: usize = 40;

struct Master<'a> {
    supply: &'a Supply<'a>,
    lp: Programme,
    /// Row of each sheet of which there are only so many.
    sheet_rows: Vec<Option<usize>>,
    /// Pattern of each column after the stand-ins.
    patterns: Vec<Pattern>,
    bound: u64,
    divisor: u64,
}

/// Meets all needs.
pub(super) fn solve(problem: &Problem, meter: &mut Meter<'_>) -> Result<Plan, Fault> {
    let supply = Supply::new(problem)?;
    if supply.needs.iter().all(|&need| need == 0) {
        return Ok(Plan {
            layouts: Vec::new(),
            cost: 0,
            sheets: 0,
            bound: 0,
            proved: true,
        });
    }
    let mut master = Master::new(&supply);
    let mut best: Option<Vec<Counted>> = None;
    let mut lessons = Lessons::new(&supply);
    let first = lessons.fill(
        &supply,
        supply.needs.clone(),
        stock(&supply),
        u64::MAX,
        1,
        meter,
    );
    keep(&supply, &mut best, first.or_else(|| simple(&supply)));
    master.learn(best.iter().flatten());
    let room = |core: &super::core::Core| u64::from(core.length) * u64::from(core.width);
    let room: Vec<u64> = supply.frames.iter().map(room).collect();
    master.raise(&areas(problem), &room);
    if !done(&supply, best.as_ref(), master.bound) {
        master.generate(meter);
        let duals = master.worth();
        master.prove(&duals, meter);
    }
    for attempt in 0..ATTEMPTS {
        if done(&supply, best.as_ref(), master.bound) || meter.over() {
            break;
        }
        let beat = best
            .as_ref()
            .map_or(u64::MAX, |plan| cost(&supply, plan).saturating_sub(1));
        let width = 1 << (attempt / 6).min(4);
        if attempt % 3 == 0 {
            let plan = master.dive(beat, width, attempt, &mut lessons, meter);
            keep(&supply, &mut best, plan);
        }
        let plan = lessons.fill(
            &supply,
            supply.needs.clone(),
            stock(&supply),
            beat,
            width,
            meter,
        );
        master.learn(plan.iter().flatten());
        keep(&supply, &mut best, plan);
    }
    let best = best.ok_or(Fault::TooFewSheets)?;
    Ok(plan(&supply, &best, master.bound))
}

fn done(supply: &Supply<'_>, best: Option<&Vec<Counted>>, bound: u64) -> bool {
    best.is_some_and(|plan| cost(supply, plan) <= bound)
}

fn keep(supply: &Supply<'_>, best: &mut Option<Vec<Counted>>, plan: Option<Vec<Counted>>) {
    let Some(plan) = plan else {
        return;
    };
    if best
        .as_ref()
        .is_none_or(|best| cost(supply, &plan) < cost(supply, best))
    {
        *best = Some(plan);
    }
}

/// Area of each part.
fn areas(problem: &Problem) -> Vec<u64> {
    let area =
        |part: &super::problem::Part| (part.length + problem.kerf) * (part.width + problem.kerf);
    problem.parts.iter().map(area).collect()
}

/// One part to a sheet, for when there is no time for anything else.
fn simple(supply: &Supply<'_>) -> Option<Vec<Counted>> {
    let mut left = stock(supply);
    let mut plan = Vec::new();
    for part in 0..supply.needs.len() {
        let mut need = supply.needs[part];
        for frame in 0..supply.frames.len() {
            let sheet = supply.sheet(frame);
            let count = u64::from(need).min(left[sheet]) as u32;
            let Some(pattern) = supply.alone(frame, part).filter(|_| count > 0) else {
                continue;
            };
            left[sheet] -= u64::from(count);
            need -= count;
            plan.push((pattern, count));
        }
        if need > 0 {
            return None;
        }
    }
    Some(plan)
}

fn gcd(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { gcd(b, a % b) }
}

impl<'a> Master<'a> {
    fn new(supply: &'a Supply<'a>) -> Self {
        let problem = supply.problem;
        let mut rows: Vec<(Sense, f64)> = (supply.needs.iter())
            .map(|&need| (Sense::AtLeast, f64::from(need)))
            .collect();
        let parts = rows.len();
        let mut sheet_rows = Vec::new();
        for sheet in &problem.sheets {
            sheet_rows.push(sheet.available.map(|most| {
                rows.push((Sense::AtMost, most as f64));
                rows.len() - 1
            }));
        }
        let mut lp = Programme::new(&rows);
        let dearest = problem
            .sheets
            .iter()
            .map(|sheet| sheet.cost)
            .max()
            .unwrap_or(1);
        for row in 0..parts {
            lp.add_column(10.0 * dearest as f64 + 1.0, &[(row, 1.0)]);
        }
        let divisor = problem
            .sheets
            .iter()
            .fold(0, |all, sheet| gcd(all, sheet.cost))
            .max(1);
        Self {
            supply,
            lp,
            sheet_rows,
            patterns: Vec::new(),
            bound: 0,
            divisor,
        }
    }

    fn add(&mut self, pattern: &Pattern) {
        let mut entries: Vec<(usize, f64)> = (pattern.counts.iter().enumerate())
            .filter(|&(_, &count)| count > 0)
            .map(|(part, &count)| (part, f64::from(count)))
            .collect();
        if let Some(row) = self.sheet_rows[self.supply.sheet(pattern.frame)] {
            entries.push((row, 1.0));
        }
        self.lp
            .add_column(self.supply.cost(pattern.frame) as f64, &entries);
        self.patterns.push(pattern.clone());
    }

    /// Takes over the patterns of a plan.
    fn learn<'b>(&mut self, plan: impl Iterator<Item = &'b Counted>) {
        for (pattern, _) in plan {
            if !self.known(pattern) {
                self.add(pattern);
            }
        }
    }

    /// Whole worths from the duals of the needs.
    fn worth(&self) -> Vec<u64> {
        let largest = self.lp.duals()[..self.supply.needs.len()]
            .iter()
            .copied()
            .fold(1e-9, f64::max);
        let whole = |dual: &f64| (dual.max(0.0) / largest * SCALE).round() as u64;
        self.lp.duals()[..self.supply.needs.len()]
            .iter()
            .map(whole)
            .collect()
    }

    /// Adds patterns until none is worth more than its sheet costs, or the bound cannot matter any more.
    fn generate(&mut self, meter: &mut Meter<'_>) {
        for _ in 0..ROUNDS {
            if self.lp.solve(meter) != Outcome::Optimal || meter.over() {
                return;
            }
            if self.rounded(self.lp.value() - 1e-6) <= self.bound {
                return;
            }
            let needs = self.supply.needs.clone();
            if !self.enrich(&needs, 1, meter) && !self.enrich(&needs, 4, meter) {
                return;
            }
        }
    }

    /// One round of pricing; whether a column came in.
    fn enrich(&mut self, left: &[u32], width: usize, meter: &mut Meter<'_>) -> bool {
        let worth = self.worth();
        let mut offers = Vec::new();
        for frame in 0..self.supply.frames.len() {
            let Some(offer) = self.supply.offer(frame, &worth, left, width, meter) else {
                return false;
            };
            offers.push(offer);
        }
        if left == self.supply.needs.as_slice() {
            let ceilings: Vec<u64> = offers.iter().map(|offer| offer.bound).collect();
            self.raise(&worth, &ceilings);
        }
        let mut gained = false;
        for offer in offers {
            for pattern in std::iter::once(&offer.pattern).chain(&offer.others) {
                if self.gain(pattern) > 1e-7 && !self.known(pattern) {
                    self.add(pattern);
                    gained = true;
                }
            }
        }
        gained
    }

    /// What a pattern is worth at the duals above its sheet's cost.
    fn gain(&self, pattern: &Pattern) -> f64 {
        let duals = self.lp.duals();
        let parts =
            (pattern.counts.iter().zip(duals)).map(|(&count, dual)| f64::from(count) * dual);
        let sheet = self.supply.sheet(pattern.frame);
        let scarce = self.sheet_rows[sheet].map_or(0.0, |row| duals[row]);
        parts.sum::<f64>() + scarce - self.supply.cost(pattern.frame) as f64
    }

    /// Whether a pattern with these counts is a column.
    fn known(&self, pattern: &Pattern) -> bool {
        (self.patterns.iter())
            .any(|known| known.frame == pattern.frame && known.counts == pattern.counts)
    }

    /// Proves what it can from these worths, on the finest grids.
    fn prove(&mut self, worth: &[u64], meter: &mut Meter<'_>) {
        let ceilings: Option<Vec<u64>> = (0..self.supply.frames.len())
            .map(|frame| self.supply.ceiling(frame, worth, meter))
            .collect();
        if let Some(ceilings) = ceilings {
            self.raise(worth, &ceilings);
        }
    }

    /// The bound from worths and what no pattern of each frame is worth more than.
    fn raise(&mut self, worth: &[u64], ceilings: &[u64]) {
        let wanted: u128 = (worth.iter().zip(&self.supply.needs))
            .map(|(&worth, &need)| u128::from(worth) * u128::from(need))
            .sum();
        let bound = |(frame, &ceiling): (usize, &u64)| {
            let cost = u128::from(self.supply.cost(frame));
            (wanted * cost).div_ceil(u128::from(ceiling.max(1)))
        };
        let bound = ceilings.iter().enumerate().map(bound).min().unwrap_or(0);
        let bound = u64::try_from(bound).unwrap_or(u64::MAX);
        self.bound = self.bound.max(bound.div_ceil(self.divisor) * self.divisor);
    }

    fn rounded(&self, value: f64) -> u64 {
        (value.max(0.0) / self.divisor as f64).ceil() as u64 * self.divisor
    }
}

impl Master<'_> {
    /// Fixes the largest value again and again, with new columns for what is left.
    fn dive(
        &mut self,
        beat: u64,
        width: usize,
        attempt: usize,
        lessons: &mut Lessons,
        meter: &mut Meter<'_>,
    ) -> Option<Vec<Counted>> {
        let plan = self.dive_down(beat, width, attempt, lessons, meter);
        for (row, &need) in self.supply.needs.iter().enumerate() {
            self.lp.set_right(row, f64::from(need));
        }
        for (sheet, most) in stock(self.supply).into_iter().enumerate() {
            self.limit(sheet, most);
        }
        plan
    }

    fn limit(&mut self, sheet: usize, most: u64) {
        if let Some(row) = self.sheet_rows[sheet] {
            self.lp.set_right(row, most as f64);
        }
    }

    fn dive_down(
        &mut self,
        beat: u64,
        width: usize,
        attempt: usize,
        lessons: &mut Lessons,
        meter: &mut Meter<'_>,
    ) -> Option<Vec<Counted>> {
        let mut left = self.supply.needs.clone();
        let mut stock = stock(self.supply);
        let mut plan = Vec::new();
        while left.iter().any(|&count| count > 0) {
            if self.lp.solve(meter) != Outcome::Optimal {
                return None;
            }
            for _ in 0..2 {
                if self.enrich(&left, width, meter) && self.lp.solve(meter) != Outcome::Optimal {
                    return None;
                }
            }
            if self.rounded(self.lp.value() - 1e-6) + cost(self.supply, &plan) > beat {
                return None;
            }
            let pieces: u32 = left.iter().sum();
            if pieces <= RESIDUE {
                let beat = beat - cost(self.supply, &plan);
                let rest = (0..TRIES).find_map(|_| {
                    lessons.fill(
                        self.supply,
                        left.clone(),
                        stock.clone(),
                        beat,
                        2 * width,
                        meter,
                    )
                });
                plan.extend(rest?);
                return Some(plan);
            }
            let (pattern, count) = self.choice(&left, &stock, attempt)?;
            let sheet = self.supply.sheet(pattern.frame);
            stock[sheet] -= u64::from(count);
            self.limit(sheet, stock[sheet]);
            for (part, &made) in pattern.counts.iter().enumerate() {
                left[part] -= made * count;
                self.lp.set_right(part, f64::from(left[part]));
            }
            plan.push((pattern, count));
        }
        Some(plan)
    }

    /// The pattern to fix, cut down to what is left, and how often: whole values as they are, else the one
    /// that loses least when rounded up.
    fn choice(&self, left: &[u32], stock: &[u64], attempt: usize) -> Option<Counted> {
        let first = self.supply.needs.len();
        let mut best: Option<(f64, Counted)> = None;
        for (index, pattern) in self.patterns.iter().enumerate() {
            let value = self.lp.at(first + index);
            if value < 1e-6 || stock[self.supply.sheet(pattern.frame)] == 0 {
                continue;
            }
            let Some(trimmed) = self.supply.trimmed(pattern, left) else {
                continue;
            };
            let uses = |(made, left): (&u32, &u32)| left.checked_div(*made);
            let most = trimmed
                .counts
                .iter()
                .zip(left)
                .filter_map(uses)
                .min()
                .unwrap_or(1);
            let count = ((value + 1e-6).floor() as u32).clamp(1, most.max(1));
            let count = u64::from(count).min(stock[self.supply.sheet(pattern.frame)]) as u32;
            // Each attempt prefers others among near equals.
            let shake =
                ((index * 7919 + attempt * 104_729) % 97) as f64 * 1e-3 * attempt.min(4) as f64;
            let rank = if value >= 1.0 { 1.0 + value } else { value } + shake;
            if best.as_ref().is_none_or(|(top, _)| rank > *top) {
                best = Some((rank, (trimmed, count)));
            }
        }
        best.map(|(_, counted)| counted)
    }
}

/// The plan with its layouts; equal ones together, needs met exactly.
fn plan(supply: &Supply<'_>, patterns: &[Counted], bound: u64) -> Plan {
    let mut merged: Vec<Counted> = Vec::new();
    for (pattern, count) in patterns {
        match merged.iter_mut().find(|(known, _)| known == pattern) {
            Some((_, sum)) => *sum += count,
            None => merged.push((pattern.clone(), *count)),
        }
    }
    let layout = |(pattern, count): &Counted| -> Layout {
        build::layout(
            supply.problem,
            &supply.frames[pattern.frame],
            &pattern.block,
            u64::from(*count),
        )
    };
    let cost = cost(supply, patterns);
    let sheets = patterns.iter().map(|(_, count)| u64::from(*count)).sum();
    let bound = bound.min(cost);
    Plan {
        layouts: merged.iter().map(layout).collect(),
        cost,
        sheets,
        bound,
        proved: bound == cost,
    }
}
