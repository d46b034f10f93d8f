//! From stated stages to the engine's programme, for the slow and for the fast piece.

use heat::body::{Body, Form};
use heat::convection::{self, Natural, Streamed, Surroundings};
use heat::programme::{Face, Programme, Ramp, Stage};
use heat::window::Vary;
use works::{Faces, Heat, HeatStage, Lasts, Level, Operation, Surface, Works};

use super::answer::StageLine;
use super::extremes::{end, ends};
use super::{NoHeat, words};

/// Air at sea level, Pa; coefficients of blown and still air are found at it.
const SEA_LEVEL_PA: f64 = 101_325.0;

/// Correlations are good to so much (Incropera & DeWitt, memory: 20 to 25 %): the slow piece gets less, the fast one more.
const CORRELATION: f64 = 0.2;

/// Difference of face and still air at which its coefficient is found, as a share of the first difference: what is
/// typical of a piece that comes from one to the other.
const TYPICAL: f64 = 0.5;

/// Face and air count as so far apart at least, K: still air between equals would not move at all.
const LEAST_APART_K: f64 = 2.0;

/// Which piece is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Side {
    /// The slow piece; else the fast one.
    pub(super) slow: bool,
    /// It meets all temperatures at their hot ends; else at their cold ones.
    pub(super) hot: bool,
}

/// The pieces to follow of one body. Temperatures near the piece's make it slow: cold air where it is warmed, hot air
/// where it is cooled. Where it is both, one after the other, either end may be the worse for a need, and the slow and
/// the fast piece are followed at both.
pub(super) fn sides(warms: bool, turns: bool) -> Vec<Side> {
    let one = |slow: bool, hot: bool| Side { slow, hot };
    let mut sides = vec![one(true, !warms)];
    if turns {
        sides.extend([one(true, warms), one(false, !warms)]);
    }
    sides.push(one(false, warms));
    sides
}

/// The dwell of an operation and what of its programme takes it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Dwell {
    /// All time inside as stated, s.
    pub(super) total_s: f64,
    /// What a longer dwell is longer of.
    pub(super) vary: Vary,
    /// Time of the stages that stay as they are, s.
    pub(super) fixed_s: f64,
}

/// Whether the surroundings are warmer than the piece: by the stage that lasts longest.
pub(super) fn warms(operation: &Operation, heat: &Heat, lasts_s: &[f64]) -> bool {
    let longest = heat
        .stages
        .iter()
        .zip(lasts_s)
        .max_by(|a, b| a.1.total_cmp(b.1))
        .map(|(stage, _)| stage);
    longest.is_none_or(|stage| last_air(operation, stage) >= heat.from.mean())
}

/// Air that goes out and comes back by so much of the whole range of temperatures turns the piece; a second zone that is a
/// little cooler than the first does not.
const TURNED: f64 = 0.25;

/// Whether the piece is warmed and then cooled, or the other way about.
pub(super) fn turns(operation: &Operation, heat: &Heat) -> bool {
    let from = heat.from.mean();
    let aims: Vec<f64> = heat
        .stages
        .iter()
        .flat_map(|stage| {
            let first = stage.air.aim(operation).mean();
            [first, last_air(operation, stage)]
        })
        .collect();
    let all = || aims.iter().copied().chain([from]);
    let range = all().fold(f64::MIN, f64::max) - all().fold(f64::MAX, f64::min);
    let (mut low, mut high) = (from, from);
    for air in aims {
        let up_and_down = (high - from).min(high - air);
        let down_and_up = (from - low).min(air - low);
        if range > 0.0 && up_and_down.max(down_and_up) >= TURNED * range {
            return true;
        }
        (low, high) = (low.min(air), high.max(air));
    }
    false
}

/// Air at the end of a stage as aimed at, K.
fn last_air(operation: &Operation, stage: &HeatStage) -> f64 {
    stage
        .to
        .as_ref()
        .unwrap_or(&stage.air)
        .aim(operation)
        .mean()
}

/// How long each stage lasts, s, and what a longer dwell is longer of.
pub(super) fn lasts(
    works: &Works,
    operation: &Operation,
    heat: &Heat,
) -> Result<(Vec<f64>, Dwell), NoHeat> {
    let dwell = works.dwell_of(operation);
    let conveyor = operation
        .station
        .and_then(|station| works.station(station).heat.as_ref())
        .and_then(|chamber| chamber.conveyor.as_ref())
        .map(works::Stated::mean);
    let mut lasts = Vec::with_capacity(heat.stages.len());
    let mut rest = None;
    for (number, stage) in heat.stages.iter().enumerate() {
        lasts.push(match &stage.lasts {
            Lasts::Stated(stated) => stated.mean(),
            Lasts::Along(along) => {
                let (Some(dwell), Some(conveyor)) = (&dwell, conveyor) else {
                    return Err(NoHeat::unclear(
                        along.at,
                        "a stage along the conveyor needs the conveyor's length and the dwell of the pace",
                    ));
                };
                dwell.mean() * along.mean() / conveyor
            }
            Lasts::Rest => {
                rest = Some(number);
                0.0
            }
        });
    }
    let fixed: f64 = lasts.iter().sum();
    if let Some(rest) = rest {
        let dwell = dwell.ok_or_else(|| {
            NoHeat::unclear(
                heat.stages[rest].at,
                "a stage that has what the others leave of the dwell needs a pace with a dwell",
            )
        })?;
        let left = dwell.mean() - fixed;
        if left <= 0.0 {
            return Err(NoHeat::unclear(
                heat.stages[rest].at,
                &format!(
                    "the other stages take {} and leave nothing of the dwell of {}",
                    words::time(fixed),
                    words::time(dwell.mean())
                ),
            ));
        }
        lasts[rest] = left;
        let dwell = Dwell {
            total_s: dwell.mean(),
            vary: Vary::Stage(rest),
            fixed_s: fixed,
        };
        return Ok((lasts, dwell));
    }
    let dwell = Dwell {
        total_s: fixed,
        vary: Vary::All,
        fixed_s: 0.0,
    };
    Ok((lasts, dwell))
}

/// A temperature of the surroundings as the slow or the fast piece meets it, K: the aim with what it may be off.
fn level(operation: &Operation, level: &Level, side: Side) -> f64 {
    let aim = end(level.aim(operation), side.hot);
    let within = level
        .setting(operation)
        .and_then(|setting| setting.within.as_ref())
        .map_or(0.0, works::Stated::mean);
    if side.hot { aim + within } else { aim - within }
}

/// Temperature of the slow or the fast piece on entry, K.
pub(super) fn from_k(heat: &Heat, side: Side) -> f64 {
    end(&heat.from, side.hot)
}

/// What a piece meets, in words: the air of its longest stage and the coefficient there.
pub(super) fn in_words(programme: &Programme) -> String {
    let longest = programme
        .stages()
        .iter()
        .max_by(|a, b| a.lasts_s.total_cmp(&b.lasts_s));
    match longest.map(|stage| stage.last) {
        Some(Face::Open {
            air,
            coefficient_w_m2_k: h,
            emissivity,
            ..
        }) => {
            let radiates = if emissivity > 0.0 {
                format!(", emissivity {}", quantity::show_number(emissivity))
            } else {
                String::new()
            };
            format!(
                "air {}, {}{radiates}",
                words::temperature(air.to_k),
                words::coefficient((h, h))
            )
        }
        Some(Face::Held(ramp)) => format!("face held at {}", words::temperature(ramp.to_k)),
        Some(Face::Insulated) | None => "no heat passes".to_owned(),
    }
}

/// The programme that one piece meets.
pub(super) fn programme(
    operation: &Operation,
    heat: &Heat,
    lasts_s: &[f64],
    piece: &Body,
    cover: f64,
    side: Side,
) -> Result<Programme, NoHeat> {
    let mut stages = Vec::with_capacity(heat.stages.len());
    for (stage, lasts_s) in heat.stages.iter().zip(lasts_s) {
        let at = |of: &Level| level(operation, of, side);
        let air = Ramp {
            from_k: at(&stage.air),
            to_k: at(stage.to.as_ref().unwrap_or(&stage.air)),
        };
        let walls = stage
            .walls
            .as_ref()
            .map_or(air, |walls| Ramp::hold(at(walls)));
        let open = match found(stage, piece, air, from_k(heat, side))? {
            None if cover > 0.0 => Face::Open {
                air,
                walls: air,
                coefficient_w_m2_k: 1.0 / cover,
                emissivity: 0.0,
            },
            None => Face::Held(air),
            Some(found) => face(stage, air, walls, found.end(side), cover, side)?,
        };
        stages.push(Stage {
            lasts_s: *lasts_s,
            first: match stage.faces {
                Faces::Both => open,
                Faces::One => Face::Insulated,
            },
            last: open,
        });
    }
    Programme::new(stages).map_err(|fault| NoHeat::engine(heat.at, &fault))
}

/// An open face. Behind a cover radiation counts as a coefficient of its own, at the mean of the walls, so that both go
/// through the cover.
fn face(
    stage: &HeatStage,
    air: Ramp,
    walls: Ramp,
    coefficient: f64,
    cover: f64,
    side: Side,
) -> Result<Face, NoHeat> {
    let emissivity = stage
        .radiates
        .as_ref()
        .map_or(0.0, |radiates| end(radiates, !side.slow));
    if cover <= 0.0 {
        return Ok(Face::Open {
            air,
            walls,
            coefficient_w_m2_k: coefficient,
            emissivity,
        });
    }
    let none = |fault: heat::Fault| NoHeat::engine(stage.at, &fault);
    let walls_k = walls.at(0.5);
    let radiates = convection::radiation(emissivity, walls_k, walls_k).map_err(none)?;
    Ok(Face::Open {
        air,
        walls: air,
        coefficient_w_m2_k: convection::through_cover(coefficient + radiates, cover)
            .map_err(none)?,
        emissivity: 0.0,
    })
}

/// A coefficient with its range and how it was found.
struct FoundCoefficient {
    low: f64,
    high: f64,
    by: String,
}

impl FoundCoefficient {
    fn end(&self, side: Side) -> f64 {
        if side.slow { self.low } else { self.high }
    }
}

/// The coefficient of a stage on a piece, W/(m² K); none where the face is held.
fn found(
    stage: &HeatStage,
    piece: &Body,
    air: Ramp,
    from_k: f64,
) -> Result<Option<FoundCoefficient>, NoHeat> {
    let air_k = air.at(0.5);
    let apart = from_k - air_k;
    let apart = apart.abs().max(LEAST_APART_K) * if apart < 0.0 { -1.0 } else { 1.0 };
    let around = Surroundings {
        surface_k: air_k + TYPICAL * apart,
        air_k,
        pressure_pa: SEA_LEVEL_PA,
    };
    let (coefficient, at) = match &stage.surface {
        Surface::Held(_) => return Ok(None),
        Surface::Coefficient(stated) => {
            let (low, high) = ends(stated);
            return Ok(Some(FoundCoefficient {
                low,
                high,
                by: "stated".to_owned(),
            }));
        }
        Surface::Blown { speed, along } => {
            let length = length(piece, along.as_ref()).ok_or_else(|| {
                NoHeat::unclear(
                    speed.at,
                    "air over a slab needs `along`: how far it flows over it",
                )
            })?;
            let streamed = match piece.form() {
                Form::Sphere => Streamed::Sphere,
                Form::Cylinder | Form::Can { .. } if along.is_none() => Streamed::Cylinder,
                _ => Streamed::Plate,
            };
            let found = convection::air_stream(streamed, speed.mean(), length, around);
            (found, speed.at)
        }
        Surface::Still { at, upright, along } => {
            let length = length(piece, along.as_ref()).ok_or_else(|| {
                NoHeat::unclear(
                    *at,
                    "still air about a slab needs `along`: its height, or its shorter side where it lies",
                )
            })?;
            let (kind, length) = match (piece.form(), along) {
                (Form::Sphere, _) => (Natural::Sphere, length),
                (Form::Cylinder | Form::Can { .. }, None) => (Natural::Cylinder, length),
                _ if *upright => (Natural::Upright, length),
                // Of the two faces of a lying piece one is free; a long strip has area / rim = half its width.
                _ => (Natural::Free, 0.5 * length),
            };
            (convection::still_air(kind, length, around), *at)
        }
    };
    let coefficient = coefficient.map_err(|fault| NoHeat::engine(at, &fault))?;
    let value = coefficient.coefficient_w_m2_k;
    let outside = if coefficient.within {
        ""
    } else {
        ", outside its range here"
    };
    Ok(Some(FoundCoefficient {
        low: value * (1.0 - CORRELATION),
        high: value * (1.0 + CORRELATION),
        by: format!("{}{outside}; 20 % to either side", coefficient.source),
    }))
}

/// How far air goes along a piece: as stated, or that side of it.
fn length(piece: &Body, along: Option<&works::Stated>) -> Option<f64> {
    along.map(works::Stated::mean).or_else(|| across(piece))
}

/// The side that air goes along where it is not said: that of a block, the diameter of a round piece.
fn across(piece: &Body) -> Option<f64> {
    match piece.form() {
        Form::Slab => None,
        Form::Brick { y_m, .. } => Some(y_m),
        Form::Cylinder | Form::Can { .. } | Form::Sphere => Some(2.0 * piece.depth_m()),
    }
}

/// The stages as stated, for the answer.
pub(super) fn lines(
    operation: &Operation,
    heat: &Heat,
    lasts_s: &[f64],
    piece: &Body,
) -> Result<Vec<StageLine>, NoHeat> {
    let mut lines = Vec::with_capacity(heat.stages.len());
    for (number, (stage, lasts_s)) in heat.stages.iter().zip(lasts_s).enumerate() {
        let air = Ramp {
            from_k: stage.air.aim(operation).mean(),
            to_k: last_air(operation, stage),
        };
        let found = found(stage, piece, air, heat.from.mean())?;
        lines.push(StageLine {
            name: stage
                .name
                .clone()
                .unwrap_or_else(|| format!("stage {}", number + 1)),
            lasts_s: *lasts_s,
            air_k: (air.from_k, air.to_k),
            coefficient: found.as_ref().map(|found| (found.low, found.high)),
            coefficient_by: found
                .map_or_else(|| "face held at the air's temperature".to_owned(), |f| f.by),
        });
    }
    Ok(lines)
}
