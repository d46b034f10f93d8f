//! A question made ready: checked, its steps turned into lot distributions and moments, and the
//! method chosen.

use std::sync::OnceLock;

use super::lots::{LotValue, ShareTable};
use super::mixture::Mixture;
use super::shares::{Kernel, Shares};
use super::{MOST, Method, Question, Start, StartError, StepKind};
use chance::special::{normal_cdf, normal_quantile};
use chance::{BetaBinomial, binomial};

/// Above so many lots their sum is taken as normal; the skewness of one lot is then divided by
/// more than 11.
const MOST_LOTS: f64 = 128.0;

/// A demand whose square would leave the range of a double counts as zero.
const LEAST_DEMAND: f64 = 1e-100;

/// A start unit that becomes less than this, or more than its inverse, is refused.
const LEAST_UNIT: f64 = 1e-12;

/// Mean and variance of what one unit becomes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Moments {
    pub(super) mean: f64,
    pub(super) variance: f64,
}

impl Moments {
    const UNIT: Self = Self {
        mean: 1.0,
        variance: 0.0,
    };

    /// Through one more step (branching recursion).
    fn then(self, step: Self) -> Self {
        Self {
            mean: self.mean * step.mean,
            variance: self.mean * step.variance + self.variance * step.mean * step.mean,
        }
    }
}

/// A step ready for use.
#[derive(Debug, Clone)]
pub(super) struct Link {
    kind: StepKind,
    pub(super) lot: LotValue,
}

impl Link {
    fn of(step: usize, kind: StepKind) -> Result<Self, StartError> {
        check(step, kind)?;
        let share = |mean: f64, sd: f64| {
            BetaBinomial::from_mean_sd(mean, sd)
                .map(|lots| LotValue::Share(Box::new(ShareTable::new(lots))))
                .map_err(|source| StartError::LotSpread { step, source })
        };
        let lot = match kind {
            StepKind::Pieces {
                good: mean,
                lots_sd: 0.0,
            }
            | StepKind::Measure {
                keeps: mean,
                lots_sd: 0.0,
            }
            | StepKind::Gives {
                mean, lots_sd: 0.0, ..
            }
            | StepKind::Rework {
                first_pass: mean,
                lots_sd: 0.0,
                ..
            }
            | StepKind::Rework {
                first_pass: mean,
                recovered: 1.0,
                ..
            } => LotValue::Fixed(mean),
            StepKind::Pieces {
                good: mean,
                lots_sd,
            }
            | StepKind::Rework {
                first_pass: mean,
                lots_sd,
                ..
            } => share(mean, lots_sd)?,
            StepKind::Measure { keeps, lots_sd } if keeps <= 1.0 => share(keeps, lots_sd)?,
            StepKind::Measure {
                keeps: mean,
                lots_sd: sd,
            }
            | StepKind::Gives {
                mean, lots_sd: sd, ..
            } => LotValue::Normal { mean, sd },
        };
        Ok(Self { kind, lot })
    }

    /// Moments of one unit through this step in a lot whose own mean is `value`.
    pub(super) fn moments(&self, value: f64) -> Moments {
        match self.kind {
            StepKind::Pieces { .. } => piece(value),
            StepKind::Rework { recovered, .. } => piece(value + (1.0 - value) * recovered),
            StepKind::Measure { .. } => Moments {
                mean: value,
                variance: 0.0,
            },
            StepKind::Gives { sd, .. } => Moments {
                mean: value,
                variance: sd * sd,
            },
        }
    }

    /// The share of rejects that still end good.
    pub(super) fn recovered(&self) -> f64 {
        match self.kind {
            StepKind::Rework { recovered, .. } => recovered,
            _ => 0.0,
        }
    }

    /// Mean out per unit in.
    pub(super) fn mean(&self) -> f64 {
        self.moments(self.lot_mean()).mean
    }

    /// Lot-to-lot sd against the mean of what a unit becomes.
    pub(super) fn relative_sd(&self) -> f64 {
        self.lots_sd() / self.mean()
    }

    /// Variance over squared mean of a unit inside a lot in which it becomes `mean`.
    pub(super) fn within(&self, mean: f64) -> f64 {
        match self.kind {
            StepKind::Pieces { .. } | StepKind::Rework { .. } => (1.0 / mean - 1.0).max(0.0),
            StepKind::Measure { .. } => 0.0,
            StepKind::Gives { sd, .. } => libm::pow(sd / mean, 2.0),
        }
    }

    /// The stated mean of the lots.
    pub(super) fn lot_mean(&self) -> f64 {
        match self.kind {
            StepKind::Pieces { good: mean, .. }
            | StepKind::Measure { keeps: mean, .. }
            | StepKind::Gives { mean, .. }
            | StepKind::Rework {
                first_pass: mean, ..
            } => mean,
        }
    }

    /// Lot-to-lot sd of the mean out per unit in.
    fn lots_sd(&self) -> f64 {
        match self.kind {
            StepKind::Pieces { lots_sd, .. }
            | StepKind::Measure { lots_sd, .. }
            | StepKind::Gives { lots_sd, .. } => lots_sd,
            StepKind::Rework {
                lots_sd, recovered, ..
            } => lots_sd * (1.0 - recovered),
        }
    }

    pub(super) fn is_pieces(&self) -> bool {
        matches!(self.kind, StepKind::Pieces { .. } | StepKind::Rework { .. })
    }

    pub(super) fn is_measure(&self) -> bool {
        matches!(self.kind, StepKind::Measure { .. })
    }
}

fn piece(chance: f64) -> Moments {
    Moments {
        mean: chance,
        variance: chance * (1.0 - chance),
    }
}

fn check(step: usize, kind: StepKind) -> Result<(), StartError> {
    let need = |holds: bool, what, value, expected| {
        if holds {
            Ok(())
        } else {
            Err(StartError::Step {
                step,
                what,
                value,
                expected,
            })
        }
    };
    let above = |x: f64| x > 0.0 && x.is_finite();
    let spread = |sd: f64| {
        let fine = sd >= 0.0 && sd.is_finite();
        need(fine, "lot-to-lot sd", sd, "a number from zero up")
    };
    let share = |x: f64| x > 0.0 && x <= 1.0;
    match kind {
        StepKind::Pieces { good, lots_sd } => {
            need(share(good), "share good", good, "above 0 and up to 1")?;
            spread(lots_sd)
        }
        StepKind::Measure { keeps, lots_sd } => {
            need(above(keeps), "share kept", keeps, "a number above zero")?;
            spread(lots_sd)
        }
        StepKind::Gives { mean, sd, lots_sd } => {
            need(above(mean), "mean given", mean, "a number above zero")?;
            need(
                sd >= 0.0 && sd.is_finite(),
                "sd",
                sd,
                "a number from zero up",
            )?;
            spread(lots_sd)
        }
        StepKind::Rework {
            first_pass,
            lots_sd,
            recovered,
        } => {
            need(
                share(first_pass),
                "first-pass share",
                first_pass,
                "above 0 and up to 1",
            )?;
            let fine = (0.0..=1.0).contains(&recovered);
            need(fine, "share recovered", recovered, "from 0 to 1")?;
            spread(lots_sd)
        }
    }
}

/// The moments of one start unit, when each step's lot mean is given by `value`.
pub(super) fn chain(links: &[Link], mut value: impl FnMut(usize, &Link) -> f64) -> Moments {
    links
        .iter()
        .enumerate()
        .fold(Moments::UNIT, |so_far, (place, link)| {
            so_far.then(link.moments(value(place, link)))
        })
}

/// A question made ready.
#[derive(Debug)]
pub(super) struct Law {
    demand: f64,
    lot: Option<f64>,
    whole_units: bool,
    /// Whether the last step turns out pieces.
    counted: bool,
    links: Vec<Link>,
    seed: u64,
    /// One start unit with every lot at its mean.
    unit: Moments,
    /// Variance, between lots, of what a start unit becomes on average.
    lots_variance: f64,
    rule: Rule,
    /// How lots differ, worked out at the first look that needs it; none where a grid would be
    /// too rough.
    shares: OnceLock<Option<Shares>>,
    /// Drawn lots, at the first look that needs them.
    mixture: Option<Mixture>,
}

#[derive(Debug)]
enum Rule {
    Division,
    Binomial,
    BetaBinomial(BetaBinomial),
    /// The varying share and the product of the fixed ones.
    LotShare(LotValue, f64),
    Normal {
        continuity: f64,
    },
    Mixture,
}

impl Law {
    pub(super) fn of(question: &Question) -> Result<Self, StartError> {
        if let Some(lot) = question.lot.filter(|lot| !(*lot > 0.0 && lot.is_finite())) {
            return Err(StartError::Lot(lot));
        }
        let links: Vec<Link> = question
            .steps
            .iter()
            .enumerate()
            .map(|(place, step)| Link::of(place, step.kind))
            .collect::<Result<_, _>>()?;
        let unit = chain(&links, |_, link| link.lot_mean());
        let lots_variance = lots_variance(&links, unit.mean);
        require_moderate(unit, lots_variance)?;
        let pieces = !links.is_empty() && links.iter().all(Link::is_pieces);
        // Lots smaller than a unit would hold nothing.
        let lot = question.lot.map(|lot| {
            if pieces {
                libm::floor(lot).max(1.0)
            } else {
                lot
            }
        });
        let counted = links.last().is_some_and(Link::is_pieces);
        let mut law = Self {
            demand: 0.0,
            lot,
            whole_units: question.whole_units || pieces,
            counted,
            rule: choose(&links, counted),
            links,
            seed: question.seed,
            unit,
            lots_variance,
            shares: OnceLock::new(),
            mixture: None,
        };
        law.set_demand(question.demand)?;
        Ok(law)
    }

    /// Asks the same chain for another demand.
    pub(super) fn set_demand(&mut self, demand: f64) -> Result<(), StartError> {
        if !(LEAST_DEMAND..=MOST).contains(&demand) {
            return Err(StartError::Demand(demand));
        }
        self.demand = if self.counted {
            libm::ceil(demand)
        } else {
            demand
        };
        // Lots are drawn for the size of the order.
        self.mixture = None;
        Ok(())
    }

    pub(super) fn whole_units(&self) -> bool {
        self.whole_units
    }

    /// The odds at a quantity.
    pub(super) fn odds(&mut self, quantity: f64) -> Start {
        let (odds, method, standard_error) = self.look(quantity);
        Start {
            quantity,
            odds: odds.clamp(0.0, 1.0),
            method,
            standard_error,
        }
    }

    fn look(&mut self, quantity: f64) -> (f64, Method, f64) {
        let made = if self.whole_units {
            libm::floor(quantity)
        } else {
            quantity
        };
        if made <= 0.0 {
            return (0.0, self.method(), 0.0);
        }
        let one_lot = self.lot.is_none_or(|lot| made <= lot);
        let differ = self.links.iter().any(|link| link.lot.varies());
        if matches!(self.rule, Rule::Mixture) || !one_lot && differ && !self.is_normal() {
            return self.over_lots(made, one_lot);
        }
        let odds = match &self.rule {
            Rule::BetaBinomial(lots) => lots.at_least(made as u64, self.demand as u64),
            Rule::LotShare(lots, scale) => lots.at_least(self.demand / (made * scale)),
            Rule::Binomial => binomial::at_least(made as u64, self.demand as u64, self.unit.mean),
            Rule::Normal { continuity } => self.normal(made, *continuity),
            Rule::Division | Rule::Mixture => reaches(made * self.unit.mean, self.demand),
        };
        (odds, self.method(), 0.0)
    }

    fn is_normal(&self) -> bool {
        matches!(self.rule, Rule::Normal { .. })
    }

    /// The odds where lots differ in more than one way, or there are several.
    fn over_lots(&mut self, made: f64, one_lot: bool) -> (f64, Method, f64) {
        let whole = self.lot.filter(|_| !one_lot).unwrap_or(made);
        if made > whole * MOST_LOTS {
            return (self.normal(made, 0.0), Method::Normal, 0.0);
        }
        let (links, counted) = (&self.links, self.counted);
        self.shares.get_or_init(|| Shares::of(links, counted));
        if let Some(Some(shares)) = self.shares.get_mut() {
            let full = libm::floor(made / whole);
            let found = if one_lot {
                shares.one_lot(self.demand, made)
            } else {
                shares.lots(self.demand, full, whole, made - full * whole)
            };
            if let Some(odds) = found {
                return (odds, self.quadrature(), 0.0);
            }
        }
        self.drawn(made)
    }

    fn drawn(&mut self, made: f64) -> (f64, Method, f64) {
        let mixture = self.mixture.get_or_insert_with(|| {
            let first = first_lots(self.lot, self.demand / self.unit.mean);
            Mixture::new(self.links.clone(), self.counted, first, self.seed)
        });
        let (odds, error) = mixture.odds(self.demand, made, self.lot);
        (odds, mixture.method(), error)
    }

    fn method(&self) -> Method {
        match self.rule {
            Rule::Mixture => self.quadrature(),
            Rule::Binomial => Method::Binomial,
            Rule::BetaBinomial(_) => Method::BetaBinomial,
            Rule::LotShare(..) => Method::LotShare,
            Rule::Normal { .. } => Method::Normal,
            Rule::Division => Method::Division,
        }
    }

    fn quadrature(&self) -> Method {
        match Kernel::of(&self.links) {
            Kernel::Binomial => Method::BinomialQuadrature,
            Kernel::Lot => Method::LotQuadrature,
            Kernel::Normal => Method::NormalQuadrature,
        }
    }

    /// Φ((n·μ − D)/√(nσ² + Σ lot²·τ²)).
    fn normal(&self, made: f64, continuity: f64) -> f64 {
        let gap = made * self.unit.mean - self.demand + continuity;
        let variance =
            made * self.unit.variance + sum_of_squares(made, self.lot) * self.lots_variance;
        if variance == 0.0 {
            reaches(gap, 0.0)
        } else {
            normal_cdf(gap / libm::sqrt(variance))
        }
    }

    /// A first guess of the quantity for this certainty, and how far it moves for one unit of
    /// normal score: the root of n²(μ² − z²τ²) − n(2μD + z²σ²) + D² = 0 on the side of z.
    pub(super) fn guess(&self, certainty: f64) -> (f64, f64) {
        let z = normal_quantile(certainty).clamp(-38.0, 38.0);
        let naive = self.demand / self.unit.mean;
        let shared = self.lot.is_some_and(|lot| lot < naive);
        let spread = self.lot.filter(|_| shared).unwrap_or(0.0) * self.lots_variance;
        let tau = if shared { 0.0 } else { self.lots_variance };
        let sigma = self.unit.variance + spread;
        let (m, d) = (self.unit.mean, self.demand);
        let (a, b) = (m * m - z * z * tau, 2.0 * m * d + z * z * sigma);
        let root = libm::sqrt((b * b - 4.0 * a * d * d).max(0.0));
        let guess = match (a > 0.0, z > 0.0) {
            (true, true) => (b + root) / (2.0 * a),
            (false, true) => 4.0 * naive,
            (_, false) => 2.0 * d * d / (b + root),
        };
        let slope = libm::sqrt(guess * sigma + guess * guess * tau) / m;
        (guess.clamp(0.0, MOST), slope)
    }
}

/// The method for lots that are all known or, where one lot is started, for one varying step.
fn choose(links: &[Link], counted: bool) -> Rule {
    let varying: Vec<&Link> = links.iter().filter(|link| link.lot.varies()).collect();
    let all_pieces = !links.is_empty() && links.iter().all(Link::is_pieces);
    let exact = links
        .iter()
        .all(|link| link.moments(link.lot_mean()).variance == 0.0);
    match varying.as_slice() {
        [] if exact => Rule::Division,
        [] if all_pieces => Rule::Binomial,
        [] => Rule::Normal {
            continuity: if counted { 0.5 } else { 0.0 },
        },
        [only] if links.iter().all(Link::is_measure) => {
            let fixed = chain(links, |_, link| {
                if link.lot.varies() {
                    1.0
                } else {
                    link.lot_mean()
                }
            });
            Rule::LotShare(only.lot.clone(), fixed.mean)
        }
        [only] if links.len() == 1 => match (only.kind, beta_lots(only)) {
            (StepKind::Gives { .. }, _) => Rule::Normal { continuity: 0.0 },
            (StepKind::Pieces { .. }, Some(lots)) => Rule::BetaBinomial(lots),
            _ => Rule::Mixture,
        },
        _ => Rule::Mixture,
    }
}

fn beta_lots(link: &Link) -> Option<BetaBinomial> {
    BetaBinomial::from_mean_sd(link.lot_mean(), link.lots_sd()).ok()
}

/// Between lots, Var Π = Π(m² + s²) − Π m² for independent steps, formed without cancellation.
fn lots_variance(links: &[Link], mean: f64) -> f64 {
    let grown: f64 = links
        .iter()
        .map(|link| link.lots_sd() / link.moments(link.lot_mean()).mean)
        .map(|spread| libm::log1p(spread * spread))
        .sum();
    mean * mean * libm::expm1(grown)
}

/// The lots a quantity is made in, as shares of a whole lot; at most as many as are ever drawn.
fn first_lots(lot: Option<f64>, quantity: f64) -> Vec<f64> {
    let Some(lot) = lot else { return vec![1.0] };
    let lots = (quantity / lot).clamp(1.0, MOST_LOTS);
    let full = libm::floor(lots);
    let mut sizes = vec![1.0; full as usize];
    if lots > full {
        sizes.push(lots - full);
    }
    sizes
}

/// Refuses chains whose moments leave the range in which squares and sums stay finite.
fn require_moderate(unit: Moments, lots_variance: f64) -> Result<(), StartError> {
    let most = 1.0 / LEAST_UNIT;
    let fine = (LEAST_UNIT..=most).contains(&unit.mean);
    if fine && unit.variance <= most * most && lots_variance <= most * most {
        return Ok(());
    }
    Err(StartError::Chain {
        mean: unit.mean,
        sd: libm::sqrt(unit.variance + lots_variance),
    })
}

/// Σ of the squared lot sizes that make up `made`.
fn sum_of_squares(made: f64, lot: Option<f64>) -> f64 {
    let Some(lot) = lot else { return made * made };
    let full = libm::floor(made / lot);
    let rest = made - full * lot;
    full * lot * lot + rest * rest
}

fn reaches(made: f64, demand: f64) -> f64 {
    // A demand that divides evenly must not be missed by the last bit of a product.
    f64::from(u8::from(made >= demand - 1e-12 * demand.abs()))
}
