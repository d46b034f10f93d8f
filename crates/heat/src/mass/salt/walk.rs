//! The walk through the stages: where doses are used up, and when all is even.

use super::{POINTS, Salting, Surface, depth_m};
use crate::fault::Fault;
use crate::mass::modes::{Boundary, Levels, Relaxing};

/// Shortest Fourier number that is followed.
const LEAST: f64 = 1e-6;
/// Cosines are kept for this and longer, so that what is sought later finds them.
const KEPT: f64 = 1e-4;
/// By then all is even to e^-99.
const EVEN: f64 = 10.0;

/// A stretch of one law, dosed stages being cut where the dose is used up.
pub(super) struct Leg {
    from_s: f64,
    to_s: f64,
    start: Levels,
    relaxing: Relaxing,
    /// Fourier numbers below this give the start.
    least: f64,
}

pub(super) struct Dose {
    pub(super) used_up_s: Option<f64>,
    pub(super) left: f64,
}

/// The walk through the stages.
struct Walk<'a> {
    per_s: f64,
    times_s: &'a [f64],
    levels: Levels,
    now_s: f64,
    legs: Vec<Leg>,
}

impl Walk<'_> {
    /// The shortest time after now that is asked for before `to_s`, or the whole, as a Fourier number.
    fn least(&self, to_s: f64) -> f64 {
        let asked = self
            .times_s
            .iter()
            .filter(|time| **time > self.now_s && **time < to_s);
        let first_s = asked.fold(to_s, |a, b| a.min(*b));
        ((first_s - self.now_s) * self.per_s).clamp(LEAST, KEPT)
    }

    fn go(&mut self, boundary: Boundary, to_s: f64) {
        let least = self.least(to_s);
        let relaxing = Relaxing::new(&self.levels, boundary, least);
        let start = self.levels.clone();
        self.levels = relaxing.after((to_s - self.now_s) * self.per_s);
        self.legs.push(Leg {
            from_s: self.now_s,
            to_s,
            start,
            relaxing,
            least,
        });
        self.now_s = to_s;
    }

    /// When a dose is used up, s, if it is before `to_s`.
    fn used_up_s(
        &self,
        boundary: Boundary,
        dose: f64,
        level: f64,
        to_s: f64,
    ) -> Result<Option<f64>, Fault> {
        let before = self.levels.mean();
        // No face takes more than one that is bare, into a body that is deep: (dose/2Δ)² π.
        let lowest = (0..POINTS)
            .map(|at| self.levels.at(at as f64 / (POINTS - 1) as f64))
            .fold(level, f64::min);
        let step = 0.5 * dose / (level - lowest);
        let least = std::f64::consts::PI * step * step;
        let whole = (to_s - self.now_s) * self.per_s;
        if least >= whole {
            return Ok(None);
        }
        if least < LEAST {
            return Err(Fault::Impossible {
                asked: "follow so small a dose of salt",
                why: format!(
                    "{dose} kg/kg against {level} kg/kg at the surface is used up at once"
                ),
            });
        }
        let relaxing = Relaxing::new(&self.levels, boundary, least);
        let taken = |fo: f64| relaxing.after(fo).mean() - before;
        if taken(whole) <= dose {
            return Ok(None);
        }
        let (mut low, mut high) = (least, whole);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if taken(middle) < dose {
                low = middle;
            } else {
                high = middle;
            }
        }
        Ok(Some(self.now_s + 0.5 * (low + high) / self.per_s))
    }

    fn held(
        &mut self,
        boundary: Boundary,
        level: f64,
        dose: f64,
        to_s: f64,
    ) -> Result<Dose, Fault> {
        let before = self.levels.mean();
        let used_up_s = if level > before {
            self.used_up_s(boundary, dose, level, to_s)?
        } else {
            None
        };
        self.go(boundary, used_up_s.unwrap_or(to_s));
        if used_up_s.is_some() && self.now_s < to_s {
            self.go(Boundary::Sealed, to_s);
        }
        let left = dose - (self.levels.mean() - before);
        Ok(Dose {
            used_up_s,
            left: if used_up_s.is_some() { 0.0 } else { left },
        })
    }
}

pub(super) fn legs(question: &Salting, times_s: &[f64]) -> Result<(Vec<Leg>, Vec<Dose>), Fault> {
    let depth_m = depth_m(question);
    let mut walk = Walk {
        per_s: question.diffusivity_m2_s / (depth_m * depth_m),
        times_s,
        levels: Levels::even(question.starts),
        now_s: 0.0,
        legs: Vec::new(),
    };
    let mut doses = Vec::with_capacity(question.stages.len());
    for stage in &question.stages {
        let to_s = walk.now_s + stage.lasts_s;
        if stage.lasts_s * walk.per_s < LEAST {
            return Err(Fault::Impossible {
                asked: "follow salt through so short a stage",
                why: format!(
                    "{} s are less than a millionth of the {:.3e} s that salt takes through",
                    stage.lasts_s,
                    1.0 / walk.per_s
                ),
            });
        }
        let mut own = Dose {
            used_up_s: None,
            left: 0.0,
        };
        match stage.surface {
            Surface::Sealed => walk.go(Boundary::Sealed, to_s),
            Surface::Bath { level, holds } => walk.go(Boundary::Bath { level, holds }, to_s),
            Surface::Held {
                level,
                film_m_s,
                dose,
            } => {
                let boundary = film_m_s.map_or(Boundary::Held { level }, |film| Boundary::Film {
                    level,
                    biot: film * depth_m / question.diffusivity_m2_s,
                });
                match dose {
                    Some(dose) => own = walk.held(boundary, level, dose, to_s)?,
                    None => walk.go(boundary, to_s),
                }
            }
        }
        doses.push(own);
    }
    Ok((walk.legs, doses))
}

/// Levels at a time; a last stage goes on.
pub(super) fn levels_at(legs: &[Leg], per_s: f64, time_s: f64) -> Option<Levels> {
    let leg = legs.iter().find(|leg| time_s <= leg.to_s).or(legs.last())?;
    let fo = (time_s - leg.from_s) * per_s;
    Some(if fo < leg.least * (1.0 - 1e-9) {
        leg.start.clone()
    } else {
        leg.relaxing.after(fo)
    })
}

pub(super) fn even_from_s(legs: &[Leg], question: &Salting, even_within: f64) -> Option<f64> {
    let leg = legs.last()?;
    if question.stages.last()?.surface != Surface::Sealed {
        return None;
    }
    let depth_m = depth_m(question);
    let per_s = question.diffusivity_m2_s / (depth_m * depth_m);
    let apart = |levels: &Levels, mean: f64| (levels.at(0.0) - mean).abs() > even_within * mean;
    let mean = leg.start.mean();
    let uneven = |fo: f64| apart(&leg.relaxing.after(fo), mean);
    // After a rinse the inmost level may cross the mean and come back: the last time apart counts.
    let steps = 400;
    let ratio = libm::log(EVEN / leg.least) / f64::from(steps);
    let fo = |step: i32| leg.least * libm::exp(ratio * f64::from(step));
    let Some(last) = (0..steps).rev().find(|step| uneven(fo(*step))) else {
        let within = if apart(&leg.start, mean) {
            leg.least
        } else {
            0.0
        };
        return Some(leg.from_s + within / per_s);
    };
    let (mut low, mut high) = (fo(last), fo(last + 1));
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if uneven(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(leg.from_s + 0.5 * (low + high) / per_s)
}
