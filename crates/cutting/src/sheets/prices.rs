//! Prices of copies: the Lagrangian relaxation of the limits, driven down by a subgradient.
//!
//! For prices λ >= 0 no layout is worth more than W(v - λ) + Σ λ·limit, W the relaxed worth of the sheet
//! (Christofides and Whitlock 1977 use the same relaxation on their tree). The subgradient is limit less
//! count in the layout that gave W (Held, Wolfe and Crowder 1974). All in whole numbers, scaled up.

use effort::Meter;

use super::blocks::Block;
use super::core::Core;
use super::relaxed;

/// Scaled worths stay below this, so that sums are exact in `f64`.
const MOST_SCALED: u64 = 1 << 50;
/// Steps that all iterations together may take.
const STEPS: u64 = 1_500_000;

/// The best prices found and what they prove; the best layout met on the way.
pub(super) struct Dual {
    pub(super) scale: u64,
    /// Price per kind, scaled.
    pub(super) prices: Vec<f64>,
    /// No layout is worth more.
    pub(super) bound: u64,
    /// Layout within the limits, and its worth.
    pub(super) block: Block,
    pub(super) value: u64,
    /// All layouts met, cut down to the limits, if they were asked for.
    pub(super) seen: Vec<Block>,
}

/// How long to look, and what for.
#[derive(Clone, Copy)]
pub(super) struct Pace {
    pub(super) iterations: u64,
    /// Whether all layouts met are wanted.
    pub(super) gather: bool,
}

/// Worth of each kind less its price, scaled.
pub(super) fn reduced(core: &Core, scale: u64, prices: &[f64]) -> Vec<f64> {
    let reduced = |(kind, price): (&super::core::Kind, &f64)| (kind.value * scale) as f64 - price;
    core.kinds.iter().zip(prices).map(reduced).collect()
}

/// What the prices give back: Σ price · limit.
pub(super) fn constant(core: &Core, prices: &[f64]) -> f64 {
    let back =
        |(kind, price): (&super::core::Kind, &f64)| price * f64::from(kind.limit.unwrap_or(0));
    core.kinds.iter().zip(prices).map(back).sum()
}

/// No layout is worth more than the area at its densest, with limits on copies.
pub(super) fn area_bound(core: &Core) -> u64 {
    let mut area = u128::from(core.reach.0) * u128::from(core.reach.1);
    let size = |kind: &super::core::Kind| {
        u128::from(kind.shapes[0].length) * u128::from(kind.shapes[0].width)
    };
    let mut kinds: Vec<_> = core.kinds.iter().collect();
    kinds.sort_by(|a, b| (u128::from(b.value) * size(a)).cmp(&(u128::from(a.value) * size(b))));
    let mut bound = 0_u128;
    for kind in kinds {
        let copies = (area / size(kind)).min(u128::from(kind.most));
        bound += copies * u128::from(kind.value);
        area -= copies * size(kind);
        if copies < u128::from(kind.most) {
            bound += area * u128::from(kind.value) / size(kind);
            break;
        }
    }
    u64::try_from(bound).unwrap_or(u64::MAX)
}

/// Seeks good prices; `None` when the meter is over before there is anything.
pub(super) fn dual(core: &Core, given: Pace, meter: &mut Meter<'_>) -> Option<Dual> {
    let area = area_bound(core);
    let scale = (MOST_SCALED / area.max(1)).clamp(1, 1024);
    let mut prices = vec![0.0; core.kinds.len()];
    let mut found = Dual {
        scale,
        prices: prices.clone(),
        bound: area,
        block: Block::default(),
        value: 0,
        seen: Vec::new(),
    };
    let (mut pace, mut stuck) = (1.0, 0);
    let mut lowest = f64::INFINITY;
    let start = meter.spent();
    let mut first = true;
    for iteration in 0..given.iterations {
        let worth = reduced(core, scale, &prices);
        let Some(worths) = relaxed::worths(core, &worth, meter) else {
            return (!first).then_some(found);
        };
        first = false;
        let value = worths.whole() + constant(core, &prices);
        if value < lowest {
            lowest = value;
            stuck = 0;
            found.prices.clone_from(&prices);
            if core.complete {
                found.bound = found.bound.min((value / scale as f64).floor() as u64);
            }
        } else {
            stuck += 1;
        }
        let block = worths.block(core, &worth);
        let counts = block.counts(core);
        let within = core.worth_within_limits(&counts);
        if within > found.value {
            found.value = within;
            found.block = block.within_limits(core);
        }
        if given.gather {
            found.seen.push(block.within_limits(core));
        }
        let spent = meter.spent() - start;
        let dear = iteration >= 12 && spent > STEPS;
        if found.value >= found.bound || core.allows(&counts) && iteration == 0 || dear {
            break;
        }
        if stuck >= 10 {
            (pace, stuck) = (pace * 0.6, 0);
            prices.clone_from(&found.prices);
        }
        if !step(
            core,
            &counts,
            &mut prices,
            pace * (value - found.value as f64 * scale as f64).max(1.0),
        ) || pace < 0.002
        {
            break;
        }
    }
    Some(found)
}

/// Moves the prices of limited kinds towards more where counts are above limits; false if nothing moves.
fn step(core: &Core, counts: &[u32], prices: &mut [f64], gap: f64) -> bool {
    let excess = |(kind, &count): (&super::core::Kind, &u32)| {
        kind.limit.map(|limit| f64::from(count) - f64::from(limit))
    };
    let slopes: Vec<Option<f64>> = core.kinds.iter().zip(counts).map(excess).collect();
    let pulls = |slope: &f64, price: f64| *slope > 0.0 || price > 0.0;
    let square: f64 = (slopes.iter().zip(prices.iter()))
        .filter_map(|(slope, &price)| slope.filter(|slope| pulls(slope, price)))
        .map(|slope| slope * slope)
        .sum();
    if square == 0.0 {
        return false;
    }
    for (price, slope) in prices.iter_mut().zip(slopes) {
        if let Some(slope) = slope {
            *price = (*price + gap / square * slope).round().max(0.0);
        }
    }
    true
}
