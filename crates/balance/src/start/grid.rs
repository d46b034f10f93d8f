//! What a unit becomes in a lot, as a distribution on an even grid of its logarithm.
//!
//! Each varying step is sampled at equal steps of ln(share); sampling a smooth density so is
//! close to exact (Trefethen & Weideman 2014), and products of shares are then convolutions. Where
//! a Beta does not vanish smoothly at a share of one, the last three weights are set so that mass,
//! mean and mean square of the share are exact. A step that varies far less than the chain takes
//! three points with its own mean and variance.
//!
//! Beside each weight goes weight × R, where R = variance/mean² of a unit inside the lot:
//! R after two parts is R₁ + R₂/M₁ (the branching recursion divided by the square of the mean),
//! so that its average for a given mean comes out of the same convolutions.

use super::law::Link;
use super::lots::LotValue;
use chance::BetaBinomial;
use chance::special::{beta_tails, ln_binomial_term, normal_density, normal_tail};

/// Finest and coarsest step against the sd of a varying step, and of the chain.
const STEP_OF_LINK: f64 = 0.25;
const STEP_OF_CHAIN: f64 = 0.1;
/// A step whose sd is below this part of the chain's takes three points.
const SMALL: f64 = 0.02;
/// A grid of more points than this is not worth it.
const MOST_POINTS: usize = 8000;
/// Shares below e to this that still count are left to the drawn lots.
const LEAST_LOG: f64 = -30.0;
/// Weights that together are below this are cut off either end.
const NEGLIGIBLE: f64 = 1e-15;
/// A normal lot of a mean below so many sd gives nothing too often for a logarithm.
const SAFE_NORMAL: f64 = 6.0;
/// Below this second parameter of the Beta the end at a share of one is corrected.
const SMOOTH_END: f64 = 20.0;
/// The density ends like the power Σβ − 1; below this it is too rough to interpolate.
const ROUGH_END: f64 = 1.5;
/// Below this the grid is refined.
const PLAIN_END: f64 = 7.0;
/// A step whose power is below this less one has the grid refined too.
const STEEP_END: f64 = 3.0;
/// Least part of the plain step, before it is squared.
const LEAST_PART: f64 = 0.25;
/// Spreads for which logarithms would lose their last digits are not worth a grid either.
const LEAST_STEP: f64 = 1e-10;
/// A Beta that starts from a recovered share above zero must vanish smoothly there.
const SMOOTH_FOOT: f64 = 3.0;

/// Weights at `origin + index·step` of the logarithm of what a unit becomes.
#[derive(Debug, Clone)]
pub(super) struct Grid {
    pub(super) origin: f64,
    pub(super) step: f64,
    pub(super) weights: Vec<f64>,
    /// Weight × R; empty where it is not asked for.
    within: Vec<f64>,
    /// Whether the density ends too steeply to be looked at between the points.
    pub(super) is_rough: bool,
}

impl Grid {
    /// The grid of a chain; `None` where it would be too long or too fine.
    pub(super) fn of(links: &[Link], with_within: bool) -> Option<Self> {
        let varying = || links.iter().filter(|link| link.lot.varies());
        let squares = varying().map(|link| libm::pow(link.relative_sd(), 2.0));
        let total = libm::sqrt(squares.sum());
        let leading = || varying().filter(|link| link.relative_sd() >= SMALL * total);
        let finest = leading()
            .map(Link::relative_sd)
            .fold(f64::INFINITY, f64::min);
        let end: f64 = leading().map(end_power).sum();
        let rough = roughness(
            links,
            end,
            leading().map(end_power).fold(f64::INFINITY, f64::min),
        );
        let step = (STEP_OF_LINK * finest).min(STEP_OF_CHAIN * total * rough * rough);
        if step.is_nan() || step < LEAST_STEP {
            return None;
        }
        let mut all = Self::point(0.0, step, 0.0, with_within);
        for link in links {
            let own = Self::of_link(link, step, link.relative_sd() < SMALL * total, with_within)?;
            all = all.then(&own);
            if all.weights.len() > MOST_POINTS {
                return None;
            }
        }
        all.is_rough = end < ROUGH_END;
        Some(all)
    }

    /// A grid of `count` points without R.
    #[cfg(test)]
    pub(super) fn sampled(origin: f64, step: f64, count: usize, f: impl Fn(f64) -> f64) -> Self {
        let at = |index: usize| f(origin + index as f64 * step);
        Self {
            origin,
            step,
            weights: (0..count).map(at).collect(),
            within: Vec::new(),
            is_rough: false,
        }
    }

    fn point(at: f64, step: f64, within: f64, with_within: bool) -> Self {
        Self {
            origin: at,
            step,
            weights: vec![1.0],
            within: if with_within {
                vec![within]
            } else {
                Vec::new()
            },
            is_rough: false,
        }
    }

    fn of_link(link: &Link, step: f64, small: bool, with_within: bool) -> Option<Self> {
        let (origin, weights) = match &link.lot {
            LotValue::Fixed(value) => (libm::log(link.moments(*value).mean), vec![1.0]),
            _ if small => three_points(link, step),
            LotValue::Share(table) => {
                let floor = link.recovered();
                if floor > 0.0 && table.lots().alpha() < SMOOTH_FOOT {
                    return None;
                }
                beta_points(table.lots(), floor, step)?
            }
            LotValue::Normal { mean, sd } => normal_points(*mean, *sd, step)?,
        };
        let mut grid = Self {
            origin,
            step,
            weights,
            within: Vec::new(),
            is_rough: false,
        };
        if with_within {
            let r = |(index, w): (usize, &f64)| w * link.within(libm::exp(grid.at(index)));
            grid.within = grid.weights.iter().enumerate().map(r).collect();
        }
        Some(grid)
    }

    /// The logarithm at an index.
    pub(super) fn at(&self, index: usize) -> f64 {
        self.origin + index as f64 * self.step
    }

    /// The chain followed by another part.
    fn then(&self, next: &Self) -> Self {
        let weights = convolve(&self.weights, &next.weights);
        let within = if self.within.is_empty() {
            Vec::new()
        } else {
            let per_unit = |(index, w): (usize, &f64)| w * libm::exp(-self.at(index));
            let lifted: Vec<f64> = self.weights.iter().enumerate().map(per_unit).collect();
            let own = convolve(&self.within, &next.weights);
            let added = convolve(&lifted, &next.within);
            own.iter().zip(added).map(|(a, b)| a + b).collect()
        };
        let mut grid = Self {
            origin: self.origin + next.origin,
            step: self.step,
            weights,
            within,
            is_rough: false,
        };
        grid.trim();
        grid
    }

    fn trim(&mut self) {
        let cut = |weights: &mut dyn Iterator<Item = &f64>| {
            let mut sum = 0.0;
            weights
                .take_while(|w| {
                    sum += w.abs();
                    sum < NEGLIGIBLE
                })
                .count()
        };
        let low = cut(&mut self.weights.iter());
        let high = cut(&mut self.weights.iter().rev());
        let end = (self.weights.len() - high).max(low + 1);
        self.origin += low as f64 * self.step;
        self.weights = self.weights[low..end].to_vec();
        if !self.within.is_empty() {
            self.within = self.within[low..end].to_vec();
        }
    }

    /// Average R at each point.
    pub(super) fn ratios(&self) -> Vec<f64> {
        let ratio = |(r, w): (&f64, &f64)| if *w > 0.0 { (r / w).max(0.0) } else { 0.0 };
        self.within.iter().zip(&self.weights).map(ratio).collect()
    }
}

/// Part of the plain step whose square makes up for densities that end steeply: the chain's, where
/// it is looked at between the points, and that of its steepest step, whose end is corrected.
fn roughness(links: &[Link], chain: f64, steepest: f64) -> f64 {
    let own = ((steepest + 1.0) / STEEP_END).clamp(LEAST_PART, 1.0);
    if links.iter().filter(|link| link.lot.varies()).count() == 1 {
        return own;
    }
    own.min((chain / PLAIN_END).max(LEAST_PART))
}

/// The power, less one, with which the density of the logarithm ends at the largest share.
fn end_power(link: &Link) -> f64 {
    match &link.lot {
        LotValue::Share(table) => table.lots().beta(),
        LotValue::Fixed(_) | LotValue::Normal { .. } => f64::INFINITY,
    }
}

/// Mean and variance on three points, a whole number of steps apart.
fn three_points(link: &Link, step: f64) -> (f64, Vec<f64>) {
    let sd = link.relative_sd();
    let apart = libm::ceil(2.0 * sd / step).max(1.0);
    let side = 0.5 * libm::pow(sd / (apart * step), 2.0);
    let apart_log = apart * step;
    let mean = 1.0 + 2.0 * side * (libm::cosh(apart_log) - 1.0);
    let mut weights = vec![0.0; 2 * apart as usize + 1];
    weights[apart as usize] = 1.0 - 2.0 * side;
    weights[0] = side;
    weights[2 * apart as usize] = side;
    (libm::log(link.mean() / mean) - apart_log, weights)
}

/// A Beta share p, seen as ln(floor + (1 − floor)·p), sampled from a share of one downwards.
fn beta_points(lots: BetaBinomial, floor: f64, step: f64) -> Option<(f64, Vec<f64>)> {
    let (a, b) = (lots.alpha(), lots.beta());
    let rest = 1.0 - floor;
    let mode = (a / (a + b) * rest + floor).min(1.0);
    let mut weights = vec![0.0];
    let mut peak = 0.0_f64;
    loop {
        let x = -(weights.len() as f64) * step;
        let (good, bad) = (libm::exp(x), -libm::expm1(x));
        let (p, q) = ((good - floor) / rest, bad / rest);
        if p <= 0.0 {
            break;
        }
        let density = a / (a + b) * b * libm::exp(ln_binomial_term(a, b, p, q)) / (p * q);
        let weight = density * good / rest * step;
        if good < mode && weight < 1e-2 * NEGLIGIBLE * peak {
            break;
        }
        peak = peak.max(weight);
        weights.push(weight);
        if weights.len() > MOST_POINTS || x < LEAST_LOG {
            return None;
        }
    }
    if b < SMOOTH_END && weights.len() > 3 {
        correct_end(&mut weights, lots, rest, step);
    }
    weights.reverse();
    Some((-((weights.len() - 1) as f64) * step, weights))
}

/// Sets the weights at shares of 1, e^−h and e^−2h so that the moments of the loss y = 1 − share
/// up to the second are those of the Beta.
fn correct_end(weights: &mut [f64], lots: BetaBinomial, rest: f64, step: f64) {
    let (s, b) = (lots.alpha() + lots.beta(), lots.beta());
    let loss = |index: usize| -libm::expm1(-(index as f64) * step);
    let mut missing = [
        1.0,
        rest * b / s,
        rest * rest * b * (b + 1.0) / (s * (s + 1.0)),
    ];
    for (index, w) in weights.iter().enumerate() {
        let y = loss(index);
        missing[0] -= w;
        missing[1] -= w * y;
        missing[2] -= w * y * y;
    }
    let (near, far) = (loss(1), loss(2));
    let third = (missing[2] - missing[1] * near) / (far * (far - near));
    let second = (missing[1] - third * far) / near;
    weights[2] += third;
    weights[1] += second;
    weights[0] += missing[0] - second - third;
}

/// A normal, sampled on its logarithm.
fn normal_points(mean: f64, sd: f64, step: f64) -> Option<(f64, Vec<f64>)> {
    if mean < SAFE_NORMAL * sd {
        return None;
    }
    let weight = |index: i64| {
        let value = mean * libm::exp(index as f64 * step);
        value / sd * normal_density((value - mean) / sd) * step
    };
    let reach = |direction: i64| {
        (1..=MOST_POINTS as i64).find(|away| weight(direction * away) < NEGLIGIBLE * step)
    };
    let (down, up) = (reach(-1)?, reach(1)?);
    let mut weights: Vec<f64> = (-down..=up).map(weight).collect();
    let total: f64 = weights.iter().sum();
    for w in &mut weights {
        *w /= total;
    }
    Some((libm::log(mean) - down as f64 * step, weights))
}

fn convolve(a: &[f64], b: &[f64]) -> Vec<f64> {
    let (long, short) = if a.len() < b.len() { (b, a) } else { (a, b) };
    let mut sums = vec![0.0; a.len() + b.len() - 1];
    for (index, w) in short.iter().enumerate().filter(|(_, w)| **w != 0.0) {
        for (sum, v) in sums[index..].iter_mut().zip(long) {
            *sum += w * v;
        }
    }
    sums
}

/// Chance that a varying step gives at least `value` per unit.
pub(super) fn link_at_least(link: &Link, value: f64) -> f64 {
    match &link.lot {
        LotValue::Fixed(_) => f64::from(u8::from(link.mean() >= value)),
        LotValue::Share(table) => {
            let rest = 1.0 - link.recovered();
            let (p, q) = ((value - link.recovered()) / rest, (1.0 - value) / rest);
            beta_tails(table.lots().alpha(), table.lots().beta(), p, q).upper
        }
        LotValue::Normal { mean, sd } => normal_tail((value - mean) / sd),
    }
}
