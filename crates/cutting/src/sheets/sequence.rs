//! Sheets filled one after another from what is still wanted, at worths that learn from the waste.
//!
//! Sequential heuristic with value correction (Mukhacheva and Zalgaller 1993; Belov and Scheithauer 2007): each
//! sheet takes the best pattern for the present worths; parts that ended up on wasteful sheets are worth more next
//! time, so they are placed while there is still choice.

use effort::Meter;

use super::core::chance;
use super::supply::{Pattern, Supply};

/// A pattern and how many sheets are cut so.
pub(super) type Counted = (Pattern, u32);

/// Sheets still to be had, by sheet.
pub(super) fn stock(supply: &Supply<'_>) -> Vec<u64> {
    let most = |sheet: &super::problem::Sheet| sheet.available.unwrap_or(u64::MAX);
    supply.problem.sheets.iter().map(most).collect()
}

/// Cost of patterns.
pub(super) fn cost(supply: &Supply<'_>, patterns: &[Counted]) -> u64 {
    let cost = |(pattern, count): &Counted| supply.cost(pattern.frame) * u64::from(*count);
    patterns.iter().map(cost).sum()
}

fn area(supply: &Supply<'_>, part: usize) -> f64 {
    let part = &supply.problem.parts[part];
    (part.length + supply.problem.kerf) as f64 * (part.width + supply.problem.kerf) as f64
}

/// Worths that the sequence learns.
pub(super) struct Lessons {
    worth: Vec<f64>,
    seed: u64,
}

impl Lessons {
    /// Worth of a part is its area, larger ones somewhat more.
    pub(super) fn new(supply: &Supply<'_>) -> Self {
        let worth = (0..supply.needs.len())
            .map(|part| area(supply, part).powf(1.02))
            .collect();
        Self { worth, seed: 0 }
    }

    /// Fills sheets until nothing is wanted; `None` if sheets run out, the meter is over, or the cost reaches `beat`.
    pub(super) fn fill(
        &mut self,
        supply: &Supply<'_>,
        mut left: Vec<u32>,
        mut stock: Vec<u64>,
        beat: u64,
        width: usize,
        meter: &mut Meter<'_>,
    ) -> Option<Vec<Counted>> {
        let mut plan: Vec<Counted> = Vec::new();
        let mut spent = 0;
        let (wanted, worth) = (left.clone(), self.stirred());
        while left.iter().any(|&count| count > 0) {
            let pattern = best(supply, &worth, &left, &stock, width, meter)?;
            let uses = |(count, left): (&u32, &u32)| left.checked_div(*count);
            let most = pattern
                .counts
                .iter()
                .zip(&left)
                .filter_map(uses)
                .min()
                .unwrap_or(1);
            let sheet = supply.sheet(pattern.frame);
            let count = u64::from(most).min(stock[sheet]).max(1) as u32;
            stock[sheet] -= u64::from(count);
            for (left, made) in left.iter_mut().zip(&pattern.counts) {
                *left -= made * count;
            }
            spent += supply.cost(pattern.frame) * u64::from(count);
            self.learn(supply, &pattern, count, &wanted);
            plan.push((pattern, count));
            let over = spent > beat || spent == beat && left.iter().any(|&count| count > 0);
            if over {
                return None;
            }
        }
        Some(plan)
    }

    /// Worths shaken a little, differently each time.
    fn stirred(&mut self) -> Vec<u64> {
        let most = self.worth.iter().copied().fold(1.0, f64::max);
        self.seed += 1;
        let stir = if self.seed == 1 { 0.0 } else { 0.04 };
        let one = |(part, &worth): (usize, &f64)| {
            let shake = 1.0 + stir * (chance(self.seed * 1_000_003 + part as u64) - 0.5);
            ((worth * shake / most * 1e6).round() as u64).max(1)
        };
        self.worth.iter().enumerate().map(one).collect()
    }

    fn learn(&mut self, supply: &Supply<'_>, pattern: &Pattern, count: u32, wanted: &[u32]) {
        let used: f64 = (pattern.counts.iter().enumerate())
            .map(|(part, &count)| f64::from(count) * area(supply, part))
            .sum();
        let core = &supply.frames[pattern.frame];
        let sheet = f64::from(core.length) * f64::from(core.width);
        for (part, &made) in pattern.counts.iter().enumerate() {
            if made > 0 {
                let share = f64::from(made * count) / f64::from(wanted[part].max(1));
                let target = area(supply, part).powf(1.02) * (sheet / used.max(1.0)).powf(1.5);
                let weight = 0.5 * share.min(1.0);
                self.worth[part] += weight * (target - self.worth[part]);
            }
        }
    }
}

/// The pattern worth most for its cost among the sheets still to be had.
fn best(
    supply: &Supply<'_>,
    worth: &[u64],
    left: &[u32],
    stock: &[u64],
    width: usize,
    meter: &mut Meter<'_>,
) -> Option<Pattern> {
    let mut best: Option<(f64, Pattern)> = None;
    for frame in 0..supply.frames.len() {
        if stock[supply.sheet(frame)] == 0 {
            continue;
        }
        let offer = supply.offer(frame, worth, left, width, meter)?;
        let rate = offer.worth as f64 / supply.cost(frame).max(1) as f64;
        if offer.worth > 0 && best.as_ref().is_none_or(|(top, _)| rate > *top) {
            best = Some((rate, offer.pattern));
        }
    }
    best.map(|(_, pattern)| pattern)
}
