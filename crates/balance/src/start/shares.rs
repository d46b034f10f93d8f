//! Odds by quadrature over how lots differ.
//!
//! **One lot.** With M what a unit becomes in the lot, the odds are E[s(M)], s the chance for a
//! known lot. Whichever of the two is the narrower is integrated: where the lot's own chance is
//! the narrower, s is itself a distribution (of the share that would just do: a Beta for pieces,
//! A&S 26.5.24; a normal otherwise), so that the odds are the average of P(M ≥ m) over it, by the
//! trapezoid rule (Trefethen & Weideman 2014); where lots differ less than that, s is averaged
//! over M by Gauss's quadrature.
//!
//! **Several lots.** See [`super::inversion`].

use super::gauss::gauss;
use super::grid::{Grid, link_at_least};
use super::inversion::{Inversion, LotNode};
use super::law::{Link, chain};
use super::table::Table;
use chance::binomial;
use chance::special::{normal_cdf, normal_density};

/// Nodes of Gauss's quadrature.
const NODES: usize = 32;
/// Steps of the trapezoid rule and its reach, in sd of the narrower distribution.
const STEP: f64 = 0.5;
const REACH: f64 = 8.5;
/// Rounds in which the mean that goes with a score settles; three or four do.
const SETTLE: usize = 20;
/// Terms below this against the largest add nothing.
const FAINT: f64 = 1e-17;
/// Most points on one side of the trapezoid rule.
const MOST_STEPS: u32 = 400;

/// What stands for a lot whose own mean is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kernel {
    /// Every piece passes by itself.
    Binomial,
    /// Nothing varies inside a lot.
    Lot,
    /// A normal of the same mean and variance.
    Normal,
}

impl Kernel {
    pub(super) fn of(links: &[Link]) -> Self {
        if links.iter().all(Link::is_pieces) {
            Self::Binomial
        } else if links.iter().all(Link::is_measure) {
            Self::Lot
        } else {
            Self::Normal
        }
    }
}

/// How lots of a chain differ, ready for any quantity and demand.
#[derive(Debug)]
pub(super) struct Shares {
    kernel: Kernel,
    continuity: f64,
    /// Lot-to-lot sd of ln M, nearly.
    spread: f64,
    table: Table,
    /// The only varying step and the product of the others, where there is only one.
    only: Option<(Link, f64)>,
    nodes: Vec<LotNode>,
    inversion: Inversion,
    /// Whether P(M ≥ m) can be had between the points of the grid.
    is_rough: bool,
}

impl Shares {
    /// `None` where the lots differ too roughly for a grid.
    pub(super) fn of(links: &[Link], counted: bool) -> Option<Self> {
        let kernel = Kernel::of(links);
        let grid = Grid::of(links, kernel == Kernel::Normal)?;
        let table = Table::of(&grid);
        let nodes = nodes(&grid, &table, kernel);
        let spread = libm::sqrt(
            links
                .iter()
                .map(|l| l.relative_sd() * l.relative_sd())
                .sum(),
        );
        let continuity = if counted && kernel == Kernel::Normal {
            0.5
        } else {
            0.0
        };
        let inversion = Inversion::new(kernel, table.lowest());
        let only = only_varying(links);
        Some(Self {
            kernel,
            continuity,
            spread,
            table,
            is_rough: grid.is_rough && only.is_none(),
            only,
            nodes,
            inversion,
        })
    }

    /// Odds when all is one lot; `None` where the ends of the lots' shares are too steep.
    pub(super) fn one_lot(&self, demand: f64, made: f64) -> Option<f64> {
        let needed = demand - self.continuity;
        let within = self.within(needed, made);
        if within < self.spread && self.is_rough {
            return None;
        }
        Some(match self.kernel {
            Kernel::Lot => self.at_least(libm::log(demand / made)),
            Kernel::Binomial if demand > made => 0.0,
            Kernel::Binomial if within < self.spread => self.narrow_binomial(demand, made),
            Kernel::Binomial => self.wide(|node| {
                let p = libm::exp(node.log).min(1.0);
                binomial::tails_at_least(made, demand, p).upper
            }),
            Kernel::Normal if within < self.spread => self.narrow_normal(needed, made),
            Kernel::Normal => self.wide(|node| {
                let gap = 1.0 - needed / (made * libm::exp(node.log));
                normal_cdf(gap * libm::sqrt(made / node.ratio))
            }),
        })
    }

    /// Relative sd, inside a lot, of what comes out when it is just enough.
    fn within(&self, needed: f64, made: f64) -> f64 {
        match self.kernel {
            Kernel::Lot => 0.0,
            Kernel::Binomial => libm::sqrt((made - needed + 1.0).max(0.0) / (made * needed)),
            Kernel::Normal => libm::sqrt(self.table.ratio(libm::log(needed / made)) / made),
        }
    }

    /// Odds of `full` lots of size `lot` and one of size `rest`; `None` if that does not settle.
    pub(super) fn lots(&mut self, demand: f64, full: f64, lot: f64, rest: f64) -> Option<f64> {
        self.inversion
            .odds(&self.nodes, demand - self.continuity, full, lot, rest)
    }

    /// P(M ≥ e^log).
    fn at_least(&self, log: f64) -> f64 {
        match &self.only {
            Some((link, others)) => link_at_least(link, libm::exp(log) / others),
            None => self.table.at_least(log),
        }
    }

    fn wide(&self, known: impl Fn(&LotNode) -> f64) -> f64 {
        self.nodes
            .iter()
            .map(|node| node.weight * known(node))
            .sum()
    }

    /// ∫ P(M ≥ u) dBeta(u; D, n − D + 1), on the logit t of u, where the density is in proportion
    /// to u^a·(1 − u)^b = exp((a + b)·ln u − b·t).
    fn narrow_binomial(&self, demand: f64, made: f64) -> f64 {
        let (a, b) = (demand, made - demand + 1.0);
        let middle = libm::log(a / b);
        let step = STEP * libm::sqrt(1.0 / a + 1.0 / b);
        let at = |away: f64| {
            let t = middle + away * step;
            let log = log_logistic(t);
            ((a + b) * log - b * t, log)
        };
        let (peak, log) = at(0.0);
        let (mut total, mut sum) = (1.0, self.at_least(log));
        for side in [-1.0, 1.0] {
            for index in 1..=MOST_STEPS {
                let (height, log) = at(side * f64::from(index));
                let weight = libm::exp(height - peak);
                total += weight;
                sum += weight * self.at_least(log);
                if weight < FAINT {
                    break;
                }
            }
        }
        sum / total
    }

    /// ∫ P(M ≥ m(z)) φ(z) dz, where n·m(z) − D = z·√(n·R)·m(z).
    fn narrow_normal(&self, needed: f64, made: f64) -> f64 {
        let mut log = libm::log(needed / made);
        let count = (2.0 * REACH / STEP) as u32;
        let (mut total, mut sum) = (0.0, 0.0);
        for index in 0..=count {
            let z = f64::from(index) * STEP - REACH;
            let weight = normal_density(z);
            total += weight;
            for _ in 0..SETTLE {
                let sure = 1.0 - z * libm::sqrt(self.table.ratio(log) / made);
                let next = if sure > 0.0 {
                    libm::log(needed / (made * sure))
                } else {
                    f64::INFINITY
                };
                let moved = (next - log).abs();
                log = next;
                if moved < 1e-11 || !log.is_finite() {
                    break;
                }
            }
            if !log.is_finite() {
                // No mean is large enough for this score and those above.
                log = self.table.highest();
                continue;
            }
            sum += weight * self.at_least(log);
        }
        // The weights above were all counted, those never filled included.
        sum / total
    }
}

/// ln(1/(1 + e^−t)).
fn log_logistic(t: f64) -> f64 {
    if t >= 0.0 {
        -libm::log1p(libm::exp(-t))
    } else {
        t - libm::log1p(libm::exp(t))
    }
}

fn only_varying(links: &[Link]) -> Option<(Link, f64)> {
    let mut varying = links.iter().filter(|link| link.lot.varies());
    let (only, None) = (varying.next()?, varying.next()) else {
        return None;
    };
    let others = chain(links, |_, link| link.lot_mean()).mean / only.mean();
    Some((only.clone(), others))
}

/// Gauss's nodes; the grid's own where the end of a Beta leaves weights below zero.
fn nodes(grid: &Grid, table: &Table, kernel: Kernel) -> Vec<LotNode> {
    let points: Vec<f64> = (0..grid.weights.len())
        .map(|index| grid.at(index))
        .collect();
    let found = gauss(&points, &grid.weights, NODES).unwrap_or_else(|| {
        let all = points.iter().copied().zip(grid.weights.iter().copied());
        all.filter(|(_, weight)| *weight != 0.0).collect()
    });
    found
        .into_iter()
        .map(|(log, weight)| {
            let mean = libm::exp(log);
            let ratio = match kernel {
                Kernel::Binomial => (1.0 / mean - 1.0).max(0.0),
                Kernel::Lot => 0.0,
                Kernel::Normal => table.ratio(log),
            };
            LotNode { log, weight, ratio }
        })
        .collect()
}
