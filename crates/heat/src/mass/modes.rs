//! Levels in a plate as sums of cosines, carried exactly from one kind of surface to the next.
//!
//! Depth is x = 0 where nothing passes (mid-plane or skin) to x = 1 at the face; time is `Fo = D t / l²`. Whatever the
//! surface, what changes is a sum of `a cos(q x) exp(-q² Fo)`: only the roots q differ (Crank 1975, chapter 4; a bath of
//! limited amount, section 4.3.5). The sum at the end of a stage is projected onto the cosines of the next.

use std::f64::consts::{FRAC_PI_2, PI};

/// Exponents beyond this leave nothing of a term.
const SPENT: f64 = 40.0;

/// Levels through the plate at one time.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Levels {
    pub(super) base: f64,
    /// Root and amount of each cosine.
    modes: Vec<(f64, f64)>,
}

impl Levels {
    pub(super) fn even(level: f64) -> Self {
        Self {
            base: level,
            modes: Vec::new(),
        }
    }

    pub(super) fn at(&self, x: f64) -> f64 {
        let sum: f64 = self.modes.iter().map(|(q, a)| a * libm::cos(q * x)).sum();
        self.base + sum
    }

    pub(super) fn mean(&self) -> f64 {
        let sum: f64 = self.modes.iter().map(|(q, a)| a * libm::sin(*q) / q).sum();
        self.base + sum
    }
}

/// What the face meets.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Boundary {
    /// Nothing passes.
    Sealed,
    /// The face has this level.
    Held { level: f64 },
    /// A film lies between the face and this level; `biot` is its coefficient times l over D.
    Film { level: f64, biot: f64 },
    /// A stirred bath that begins at this level and holds so many times what the plate holds at the same level.
    Bath { level: f64, holds: f64 },
}

impl Boundary {
    /// The n-th root, n from 0; that of a plate at rest is left to the base.
    fn root(self, n: i32) -> f64 {
        let n = f64::from(n);
        match self {
            Self::Sealed => (n + 1.0) * PI,
            Self::Held { .. } => (n + 0.5) * PI,
            Self::Film { biot, .. } => bisect(n * PI, n * PI + FRAC_PI_2, &|q| {
                (q * libm::sin(q) - biot * libm::cos(q)) * libm::cos(n * PI)
            }),
            Self::Bath { holds, .. } => bisect((n + 0.5) * PI, (n + 1.0) * PI, &|q| {
                (libm::sin(q) + holds * q * libm::cos(q)) * libm::cos((n + 1.0) * PI)
            }),
        }
    }

    /// Where the levels end up, from where they begin.
    fn base(self, start: &Levels) -> f64 {
        match self {
            Self::Sealed => start.mean(),
            Self::Held { level } | Self::Film { level, .. } => level,
            Self::Bath { level, holds } => (start.mean() + holds * level) / (1.0 + holds),
        }
    }
}

/// The root of a function that is below nought at `low` and above at `high`.
fn bisect(low: f64, high: f64, f: &dyn Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (low, high);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if f(middle) < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// A plate left to one kind of surface.
#[derive(Clone, Debug)]
pub(super) struct Relaxing {
    base: f64,
    modes: Vec<(f64, f64)>,
}

impl Relaxing {
    /// From a state on, right at Fourier numbers from `least` on.
    pub(super) fn new(start: &Levels, boundary: Boundary, least: f64) -> Self {
        let base = boundary.base(start);
        let (weight, bath) = match boundary {
            Boundary::Bath { level, holds } => (holds, level),
            _ => (0.0, 0.0),
        };
        let before: Vec<Wave> = start.modes.iter().map(|(q, a)| Wave::new(*q, *a)).collect();
        let roots = (0..)
            .map(|n| boundary.root(n))
            .take_while(|q| q * q * least < SPENT);
        let modes = roots
            .map(|q| {
                let own = Wave::new(q, 1.0);
                let mut sum = (start.base - base) * own.sine / q;
                sum += before.iter().map(|wave| wave.shared(&own)).sum::<f64>();
                sum += weight * (bath - base) * own.cosine;
                let norm =
                    0.5 * (1.0 + own.sine * own.cosine / q) + weight * own.cosine * own.cosine;
                (q, sum / norm)
            })
            .collect();
        Self { base, modes }
    }

    /// The levels after a Fourier number.
    pub(super) fn after(&self, fo: f64) -> Levels {
        let modes = self
            .modes
            .iter()
            .take_while(|(q, _)| q * q * fo < SPENT)
            .map(|(q, a)| (*q, a * libm::exp(-q * q * fo)))
            .collect();
        Levels {
            base: self.base,
            modes,
        }
    }
}

/// A cosine with what its products need.
struct Wave {
    q: f64,
    amount: f64,
    sine: f64,
    cosine: f64,
}

impl Wave {
    fn new(q: f64, amount: f64) -> Self {
        Self {
            q,
            amount,
            sine: libm::sin(q),
            cosine: libm::cos(q),
        }
    }

    /// `amount ∫ cos(p x) cos(q x)` over the plate.
    fn shared(&self, other: &Self) -> f64 {
        let (apart, together) = (self.q - other.q, self.q + other.q);
        let sums = (self.sine * other.cosine + self.cosine * other.sine) / together;
        // Near each other the products cancel, and the difference itself is used.
        let differences = if apart.abs() > 0.1 {
            (self.sine * other.cosine - self.cosine * other.sine) / apart
        } else if apart.abs() > 1e-9 {
            libm::sin(apart) / apart
        } else {
            1.0
        };
        0.5 * self.amount * (sums + differences)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mass::diffusion::{Shape, share_at, uptake};

    #[test]
    fn from_even_levels_a_held_face_gives_cranks_uptake() {
        let relaxing = Relaxing::new(&Levels::even(0.0), Boundary::Held { level: 1.0 }, 1e-3);
        for fo in [1e-3, 0.01, 0.1, 1.0] {
            let levels = relaxing.after(fo);
            assert!((levels.mean() - uptake(Shape::Plate, fo).unwrap()).abs() < 1e-13);
            let inside = share_at(Shape::Plate, fo, 0.4).unwrap();
            assert!((levels.at(0.4) - inside).abs() < 1e-12);
        }
    }

    #[test]
    fn a_film_gives_the_series_of_the_projects_checks() {
        // H-01: slab, Bi 1, Fo 0.5, share left in the middle, at x 0.5, at the face, on average; ten digits.
        let film = Boundary::Film {
            level: 0.0,
            biot: 1.0,
        };
        let levels = Relaxing::new(&Levels::even(1.0), film, 0.5).after(0.5);
        let found = [
            levels.at(0.0),
            levels.at(0.5),
            levels.at(1.0),
            levels.mean(),
        ];
        let known = [
            0.772_526_383_4,
            0.702_597_259_3,
            0.504_521_927_9,
            0.681_104_565_4,
        ];
        for (found, known) in found.into_iter().zip(known) {
            assert!((found - known).abs() < 1e-10, "{found} for {known}");
        }
    }

    #[test]
    fn a_bath_of_limited_amount_gives_cranks_series() {
        // Crank section 4.3.5 (4.43): Mt/Minf = 1 - Σ 2α(1+α)/(1 + α + α² q²) exp(-q² Fo), tan q = -α q.
        for holds in [0.3, 1.0, 5.0] {
            let bath = Boundary::Bath { level: 1.0, holds };
            let relaxing = Relaxing::new(&Levels::even(0.0), bath, 0.01);
            for fo in [0.01, 0.1, 0.7] {
                let mut share = 1.0;
                for n in 0..40 {
                    let q = bath.root(n);
                    assert!((libm::tan(q) + holds * q).abs() < 1e-8 * (1.0 + holds * q).powi(2));
                    share -= 2.0 * holds * (1.0 + holds) / (1.0 + holds + holds * holds * q * q)
                        * libm::exp(-q * q * fo);
                }
                let levels = relaxing.after(fo);
                let end = holds / (1.0 + holds);
                assert!((levels.mean() / end - share).abs() < 1e-12);
                // What the plate has gained the bath has lost.
                assert!((levels.mean() - holds * (1.0 - levels.at(1.0))).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn a_stage_cut_in_two_is_the_same_stage() {
        let held = Boundary::Held { level: 1.0 };
        let whole = Relaxing::new(&Levels::even(0.2), held, 0.01).after(0.03);
        let half = Relaxing::new(&Levels::even(0.2), held, 0.01).after(0.01);
        let cut = Relaxing::new(&half, held, 0.02).after(0.02);
        for x in [0.0, 0.5, 0.9, 0.99] {
            assert!((whole.at(x) - cut.at(x)).abs() < 1e-13);
        }
    }

    /// Midpoints of 4000 slices with Euler-Maclaurin's first correction, which leaves about h⁴.
    fn integral(f: &dyn Fn(f64) -> f64, low: f64, high: f64) -> f64 {
        let h = (high - low) / 4000.0;
        let sum: f64 = (0..4000).map(|at| f(low + (f64::from(at) + 0.5) * h)).sum();
        let slope = |x: f64, side: f64| side * (f(x + side * 1e-5 * h) - f(x)) / (1e-5 * h);
        h * sum + h * h / 24.0 * (slope(high, -1.0) - slope(low, 1.0))
    }

    #[test]
    fn salt_is_kept_through_changes_of_the_surface() {
        // What a profile holds, by summing it up, is what its mean says; what passes the face over time, by summing
        // up its slope there, is what the mean changes by: both to 1e-10 of a level of 1.
        let held = Boundary::Held { level: 1.0 };
        let salted = Relaxing::new(&Levels::even(0.0), held, 0.04).after(0.04);
        let rinsed = Relaxing::new(&salted, Boundary::Held { level: 0.0 }, 0.005).after(0.005);
        let film = Boundary::Film {
            level: 0.5,
            biot: 3.0,
        };
        let resalted = Relaxing::new(&rinsed, film, 0.03);
        let rested = Relaxing::new(&resalted.after(0.03), Boundary::Sealed, 0.01);
        for levels in [&salted, &rinsed, &resalted.after(0.03), &rested.after(0.01)] {
            let found = integral(&|x| levels.at(x), 0.0, 1.0);
            assert!((found - levels.mean()).abs() < 1e-10, "{found}");
        }
        // Through the film passes Bi (level - face) per unit of Fo.
        let passed = integral(&|fo| 3.0 * (0.5 - resalted.after(fo).at(1.0)), 0.03, 0.3);
        let gained = resalted.after(0.3).mean() - resalted.after(0.03).mean();
        assert!((passed - gained).abs() < 1e-10, "{passed} for {gained}");
        assert!((rested.after(0.01).mean() - resalted.after(0.03).mean()).abs() < 1e-14);
    }
}
