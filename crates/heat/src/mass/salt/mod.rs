//! Salt into a flat piece during contact of finite length, then evening out while nothing passes.
//!
//! Fick's law with a constant diffusivity, solved by its cosine series stage after stage (see [`super::diffusion`] for the
//! plain case; Crank 1975, chapter 4), so that salt is kept to the rounding of numbers and no level lies beyond
//! its causes. Levels are kg salt per kg of the piece as it was when green. Within a millionth of `l²/D` after a change
//! of the surface (half a second for 20 mm of fish) the levels before the change are given.
//!
//! Left out: swelling and shrinking, fat, skin that lets some through, the flow of water against the salt; a measured piece decides.

use serde::Serialize;

use crate::fault::{Fault, positive, within};

/// What water-phase salt is to be read with.
pub const CAUTION: &str = "screening estimate: measure salt and water at the thickest part; the limit and what to do \
                           with a piece below it come from the responsible authority; a competent person decides";

/// What the surface meets.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub enum Surface {
    /// Wrapped, or resting with its own surface: nothing passes.
    Sealed,
    /// A level held at the surface: dry salt with its brine, much brine, or fresh water (level 0).
    Held {
        /// Level that the flesh takes on in balance with it, kg/kg.
        level: f64,
        /// Coefficient of a film in between, m/s, where there is one.
        film_m_s: Option<f64>,
        /// What there is of it, kg per kg of the piece; when it is taken up, nothing passes any more.
        dose: Option<f64>,
    },
    /// A stirred bath of limited amount, whose level falls as the piece takes salt.
    Bath {
        /// Level that the flesh would take on in balance with it at the beginning, kg/kg.
        level: f64,
        /// Salt in the bath over salt in the piece when both are in balance.
        holds: f64,
    },
}

/// A stretch of time with one kind of surface.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Stage {
    /// How long, s.
    pub lasts_s: f64,
    /// What the surface meets.
    pub surface: Surface,
}

/// Through how many faces salt goes in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Faces {
    /// Both: the inmost place is the middle.
    Both,
    /// One: the inmost place is the other face (a skin).
    One,
}

/// Water of the piece.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Water {
    /// When green, kg/kg.
    pub share: f64,
    /// Times, s, and what has been lost by then, kg per kg green; straight between, level after the last.
    pub lost: Vec<(f64, f64)>,
}

/// A piece and how it is salted.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Salting {
    /// Thickness from face to face, m.
    pub thick_m: f64,
    /// Faces that salt passes.
    pub faces: Faces,
    /// Diffusivity of salt in the piece, m²/s.
    pub diffusivity_m2_s: f64,
    /// Level at the beginning, kg/kg.
    pub starts: f64,
    /// Stage after stage.
    pub stages: Vec<Stage>,
    /// Its water.
    pub water: Water,
}

/// Levels, or water-phase salt, at three places.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Places {
    /// At the face.
    pub surface: f64,
    /// Where salt comes last.
    pub inmost: f64,
    /// Of the whole piece.
    pub mean: f64,
}

/// The piece at one time.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Moment {
    /// s from the beginning.
    pub time_s: f64,
    /// Salt, kg per kg green.
    pub level: Places,
    /// Water-phase salt, %, all places having lost water alike.
    pub water_phase: Places,
    /// Weight of the piece, kg per kg green.
    pub weighs: f64,
    /// Depth from the face, m, and level, evenly over the depth to the inmost place.
    pub profile: Vec<(f64, f64)>,
}

/// How a piece was salted.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Salted {
    /// The times asked for, in their order.
    pub moments: Vec<Moment>,
    /// The end of the last stage.
    pub end: Moment,
    /// When each stage's dose is used up, s; `None` for stages without one or where some is left.
    pub used_up_s: Vec<Option<f64>>,
    /// Dose left over at the end of its stage, kg/kg; 0 for stages without one.
    pub left_over: Vec<f64>,
    /// From when on the inmost level stays within the wanted share of the mean, s; if the last stage is sealed it is
    /// thought to go on. `None` if the last stage is not sealed.
    pub even_from_s: Option<f64>,
    /// What the answer is to be read with.
    pub caution: &'static str,
}

mod walk;

use walk::{Leg, even_from_s, legs, levels_at};

/// Points of a profile, both ends included.
const POINTS: usize = 41;
/// Water-phase salt, %: 100 S/(S + W), in any unit that both share.
pub fn water_phase_salt(salt: f64, water: f64) -> Result<f64, Fault> {
    within("salt", salt, 0.0, f64::MAX)?;
    positive("water", water)?;
    Ok(100.0 * salt / (salt + water))
}

/// Salt that a water needs for a water-phase salt in %, in the unit of the water.
pub fn salt_needed(water_phase: f64, water: f64) -> Result<f64, Fault> {
    within("water-phase salt", water_phase, 0.0, 99.0)?;
    positive("water", water)?;
    Ok(water * water_phase / (100.0 - water_phase))
}

/// Follows a piece; `times_s` are those at which it is looked at, `even_within` the share of the mean that
/// counts as even (such as 0.1).
pub fn salting(question: &Salting, times_s: &[f64], even_within: f64) -> Result<Salted, Fault> {
    check(question)?;
    within("share that counts as even", even_within, 1e-6, 1.0)?;
    for time in times_s {
        within("time", *time, 0.0, f64::MAX)?;
    }
    let (legs, doses) = legs(question, times_s)?;
    let depth_m = depth_m(question);
    let moment = |time_s: f64| moment(question, &legs, time_s, depth_m);
    let ends_s: f64 = question.stages.iter().map(|stage| stage.lasts_s).sum();
    Ok(Salted {
        moments: times_s
            .iter()
            .map(|time| moment(*time))
            .collect::<Result<_, _>>()?,
        end: moment(ends_s)?,
        used_up_s: doses.iter().map(|dose| dose.used_up_s).collect(),
        left_over: doses.iter().map(|dose| dose.left).collect(),
        even_from_s: even_from_s(&legs, question, even_within),
        caution: CAUTION,
    })
}

/// The thinnest and the thickest piece of a spread, salted alike (doses are shares of each one's own weight).
pub fn thinnest_and_thickest(
    question: &Salting,
    thick_m: (f64, f64),
    times_s: &[f64],
    even_within: f64,
) -> Result<[Salted; 2], Fault> {
    let of = |thick_m: f64| {
        let own = Salting {
            thick_m,
            ..question.clone()
        };
        salting(&own, times_s, even_within)
    };
    Ok([of(thick_m.0)?, of(thick_m.1)?])
}

fn check(question: &Salting) -> Result<(), Fault> {
    positive("thickness", question.thick_m)?;
    positive("diffusivity", question.diffusivity_m2_s)?;
    within("salt at the beginning", question.starts, 0.0, 1.0)?;
    if question.stages.is_empty() {
        return Err(Fault::Missing("stage"));
    }
    for stage in &question.stages {
        positive("contact or rest", stage.lasts_s)?;
        match stage.surface {
            Surface::Sealed => {}
            Surface::Held {
                level,
                film_m_s,
                dose,
            } => {
                within("salt at the surface", level, 0.0, 1.0)?;
                if let Some(film) = film_m_s {
                    positive("coefficient of the film", film)?;
                }
                if let Some(dose) = dose {
                    positive("dose", dose)?;
                    within("dose", dose, 0.0, 1.0)?;
                }
            }
            Surface::Bath { level, holds } => {
                within("salt in the bath", level, 0.0, 1.0)?;
                positive("amount of the bath", holds)?;
            }
        }
    }
    let water = &question.water;
    within("water", water.share, 1e-6, 1.0)?;
    for pair in water.lost.windows(2) {
        within("time of a loss of water", pair[1].0, pair[0].0, f64::MAX)?;
    }
    for (_, lost) in &water.lost {
        within("loss of water", *lost, -1.0, water.share * (1.0 - 1e-9))?;
    }
    Ok(())
}

fn depth_m(question: &Salting) -> f64 {
    match question.faces {
        Faces::Both => 0.5 * question.thick_m,
        Faces::One => question.thick_m,
    }
}

fn moment(question: &Salting, legs: &[Leg], time_s: f64, depth_m: f64) -> Result<Moment, Fault> {
    let per_s = question.diffusivity_m2_s / (depth_m * depth_m);
    let Some(levels) = levels_at(legs, per_s, time_s) else {
        return Err(Fault::Missing("stage"));
    };
    let level = Places {
        surface: levels.at(1.0),
        inmost: levels.at(0.0),
        mean: levels.mean(),
    };
    let lost = lost_by(&question.water, time_s);
    let water = question.water.share - lost;
    // Levels of nought come out as nought but for their last digit.
    let phase = |salt: f64| water_phase_salt(salt.max(0.0), water);
    let step = |at: usize| at as f64 / (POINTS - 1) as f64;
    Ok(Moment {
        time_s,
        level,
        water_phase: Places {
            surface: phase(level.surface)?,
            inmost: phase(level.inmost)?,
            mean: phase(level.mean)?,
        },
        weighs: 1.0 - lost + level.mean - question.starts,
        profile: (0..POINTS)
            .map(|at| (step(at) * depth_m, levels.at(1.0 - step(at))))
            .collect(),
    })
}

fn lost_by(water: &Water, time_s: f64) -> f64 {
    let (mut before, mut lost) = (0.0, 0.0);
    for (time, by_then) in &water.lost {
        if time_s < *time {
            return lost + (by_then - lost) * (time_s - before) / (time - before);
        }
        (before, lost) = (*time, *by_then);
    }
    lost
}
