//! Several lots: the sum of what they give, by its characteristic function.
//!
//! Lots are independent, so the characteristic function of an order is the product of those of
//! its lots, and one lot's is the average over the quadrature of that of a known lot: the
//! binomial's (1 − p + p·e^iθ)^n, or a normal's. With θ_k = (2k + 1)π/N the square wave of period
//! 2N gives
//!
//! P(X ≥ D) = ½ + (1/N)·Σ Im[φ(θ_k)·e^(−iθ_k·y)]/sin(θ_k/2),  y = D − ½,
//!
//! for counts, exact but for X further than N from y, and with θ_k/2 for the sine and y = D
//! otherwise (Davies 1973, *Numerical inversion of a characteristic function*; from memory). The
//! terms fade like the characteristic function itself: twenty or so are enough.

use super::shares::Kernel;

/// Terms whose modulus is below this are left out, once so many in a row were.
const FAINT: f64 = 1e-12;
const FAINT_ROW: usize = 3;
/// Where so many terms do not settle the sum another method must be used.
const MOST_TERMS: usize = 1500;
/// Half the period, beside the distance of the demand from the mean, in sd of the order.
const SPAN: f64 = 10.0;

/// A node of the quadrature over lots.
#[derive(Debug, Clone, Copy)]
pub(super) struct LotNode {
    /// ln of the mean of a unit in this lot.
    pub(super) log: f64,
    pub(super) weight: f64,
    /// Variance over squared mean of a unit inside the lot.
    pub(super) ratio: f64,
}

#[derive(Debug, Clone, Copy)]
struct Complex {
    re: f64,
    im: f64,
}

impl Complex {
    fn from_polar(log: f64, angle: f64) -> Self {
        let radius = libm::exp(log);
        let (sine, cosine) = libm::sincos(angle);
        Self {
            re: radius * cosine,
            im: radius * sine,
        }
    }

    fn times(self, other: Self) -> Self {
        Self {
            re: self.re * other.re - self.im * other.im,
            im: self.re * other.im + self.im * other.re,
        }
    }

    fn power(self, whole: f64) -> Self {
        let radius = libm::hypot(self.re, self.im);
        if radius == 0.0 {
            return self;
        }
        Self::from_polar(
            whole * libm::log(radius),
            whole * libm::atan2(self.im, self.re),
        )
    }

    fn modulus(self) -> f64 {
        libm::hypot(self.re, self.im)
    }
}

/// One θ: the logarithm of a unit's characteristic function at each node, and a whole lot's.
#[derive(Debug)]
struct Term {
    theta: f64,
    logs: Vec<(f64, f64)>,
    lot: Complex,
}

/// The characteristic function of whole lots, kept from one quantity to the next.
#[derive(Debug)]
pub(super) struct Inversion {
    kernel: Kernel,
    lowest: f64,
    half_period: f64,
    lot: f64,
    terms: Vec<Term>,
}

impl Inversion {
    /// `lowest`: the logarithm of the least mean of a lot that is met.
    pub(super) fn new(kernel: Kernel, lowest: f64) -> Self {
        Self {
            kernel,
            lowest,
            half_period: 0.0,
            lot: 0.0,
            terms: Vec::new(),
        }
    }

    /// The odds of `full` lots of size `lot` and one of size `rest`.
    pub(super) fn odds(
        &mut self,
        nodes: &[LotNode],
        demand: f64,
        full: f64,
        lot: f64,
        rest: f64,
    ) -> Option<f64> {
        let counts = self.kernel == Kernel::Binomial;
        if counts && demand > full * lot + rest {
            return Some(0.0);
        }
        let edge = if counts { demand - 0.5 } else { demand };
        self.settle_period(nodes, edge, full, lot, rest);
        let mut sum = 0.0;
        let mut faint = 0;
        for index in 0..MOST_TERMS {
            if counts && index as f64 >= 0.5 * self.half_period {
                return Some(0.5 + sum / self.half_period);
            }
            if index == self.terms.len() {
                self.add_term(nodes);
            }
            let term = &self.terms[index];
            let lots = term.lot.power(full);
            let order = lots.times(term.of(nodes, rest));
            let half = 0.5 * term.theta;
            let turned = order.times(Complex::from_polar(0.0, -term.theta * edge));
            sum += turned.im / if counts { libm::sin(half) } else { half };
            faint = if lots.modulus() < FAINT || order.modulus() < FAINT {
                faint + 1
            } else {
                0
            };
            if faint == FAINT_ROW {
                return Some(0.5 + sum / self.half_period);
            }
        }
        None
    }

    /// Chooses N, an even power of two or √2 times one, so that it seldom changes.
    fn settle_period(&mut self, nodes: &[LotNode], edge: f64, full: f64, lot: f64, rest: f64) {
        let total =
            |f: &dyn Fn(&LotNode) -> f64| nodes.iter().map(|n| n.weight * f(n)).sum::<f64>();
        let mean = total(&|n| libm::exp(n.log));
        let apart = total(&|n| libm::pow(libm::exp(n.log) - mean, 2.0));
        let inside = total(&|n| n.ratio * libm::exp(2.0 * n.log));
        let made = full * lot + rest;
        let variance = (full * lot * lot + rest * rest) * apart + made * inside;
        let gap = (made * mean - edge).abs();
        let drop = lot.max(rest) * (mean - libm::exp(self.lowest)).max(0.0);
        let needed = (gap + SPAN * libm::sqrt(variance) + drop).max(4.0);
        let finest = libm::exp2(libm::ceil(2.0 * libm::log2(needed)) / 2.0);
        let half_period = 2.0 * libm::ceil(finest / 2.0);
        if half_period != self.half_period || lot != self.lot {
            self.half_period = half_period;
            self.lot = lot;
            self.terms.clear();
        }
    }

    fn add_term(&mut self, nodes: &[LotNode]) {
        let odd = 2.0 * self.terms.len() as f64 + 1.0;
        let theta = odd * std::f64::consts::PI / self.half_period;
        let logs = nodes.iter().map(|node| self.unit(node, theta)).collect();
        let mut term = Term {
            theta,
            logs,
            lot: Complex { re: 1.0, im: 0.0 },
        };
        term.lot = term.of(nodes, self.lot);
        self.terms.push(term);
    }

    /// Logarithm of one unit's characteristic function in a known lot.
    fn unit(&self, node: &LotNode, theta: f64) -> (f64, f64) {
        let mean = libm::exp(node.log);
        if self.kernel == Kernel::Binomial {
            // |1 − p + p·e^iθ|² = 1 − 4p(1 − p)·sin²(θ/2).
            let p = mean.min(1.0);
            let half = libm::sin(0.5 * theta);
            let (sine, cosine) = libm::sincos(theta);
            let log = 0.5 * libm::log1p(-4.0 * p * (1.0 - p) * half * half);
            return (log, libm::atan2(p * sine, 1.0 - p + p * cosine));
        }
        let variance = node.ratio * mean * mean;
        (-0.5 * theta * theta * variance, theta * mean)
    }
}

impl Term {
    /// The characteristic function of a lot of this size.
    fn of(&self, nodes: &[LotNode], size: f64) -> Complex {
        let mut sum = Complex { re: 0.0, im: 0.0 };
        if size == 0.0 {
            return Complex { re: 1.0, im: 0.0 };
        }
        for (node, (log, angle)) in nodes.iter().zip(&self.logs) {
            let part = Complex::from_polar(size * log, size * angle);
            sum.re += node.weight * part.re;
            sum.im += node.weight * part.im;
        }
        sum
    }
}
