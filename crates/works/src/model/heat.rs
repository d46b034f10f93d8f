//! Heat: pieces, what surrounds them stage after stage, and what it must do to them.
//!
//! Nothing here is worked out: which name means which substance, which coefficient an air speed gives and
//! what the piece goes through are questions to the engines, put by planning.

use jiff::civil::Time;
use quantity::Dimension;

use super::{LogId, MaterialName, Numbers, Operation, Pace, Setting, Stated, Works};
use crate::source::Span;

/// What a station is as an oven, a freezer or a room. Temperatures in K.
#[derive(Clone, Debug)]
pub struct Chamber {
    /// Where it was written.
    pub at: Span,
    /// Greatest heating power, W.
    pub power: Option<Stated>,
    /// Greatest cooling power, W.
    pub cooling: Option<Stated>,
    /// Heat that air, walls and racks store, J/K; there whenever a power is.
    pub stores: Option<Stated>,
    /// Heat lost to the surroundings, W/K.
    pub loses: Option<Stated>,
    /// The surroundings; there whenever `loses` is.
    pub around: Option<Stated>,
    /// How near the aim the controller takes power back, a difference in K.
    pub band: Option<Stated>,
    /// The air when a load goes in; the aim of the first stage when left out.
    pub starts: Option<Stated>,
    /// Length of the conveyor inside, m.
    pub conveyor: Option<Stated>,
    /// Speed of the air over the pieces, m/s.
    pub air_speed: Option<Stated>,
    /// Fresh air, m³/s.
    pub fresh_air: Option<Stated>,
}

/// What an operation does by heat or cold.
#[derive(Clone, Debug)]
pub struct Heat {
    /// Where it was written.
    pub at: Span,
    /// The pieces: at least one; with several, what works must work for each.
    pub bodies: Vec<Body>,
    /// Temperature of a piece on entry, K.
    pub from: Stated,
    /// What surrounds it: at least one stage, in order. At most one has [`Lasts::Rest`].
    pub stages: Vec<HeatStage>,
    /// What it must do: at least one.
    pub needs: Vec<Need>,
    /// Measured loads, with the place where each is named.
    pub logs: Vec<(LogId, Span)>,
    /// Time of day at which a load is needed.
    pub needed: Option<(Time, Span)>,
    /// Whether a dwell that was found replaces the stated one; stated when left out.
    pub numbers: Numbers,
}

/// A piece.
#[derive(Clone, Debug)]
pub struct Body {
    /// Where it was written.
    pub at: Span,
    /// Its name, to tell several apart.
    pub name: Option<String>,
    /// Form and size.
    pub form: BodyForm,
    /// What lies over its faces, in the way of the heat.
    pub cover: Option<Cover>,
    /// How much of it one unit of the operation's output is; worked out from the mass of the item when left out.
    pub unit: Option<BodyUnit>,
}

/// Form and size of a piece; lengths in m, over all. A spread of sizes gives the slowest and the fastest piece.
#[derive(Clone, Debug)]
pub enum BodyForm {
    /// Heat goes through the thickness only.
    Slab {
        /// From the first face to the last: at least one.
        layers: Vec<BodyLayer>,
        /// So thin that it has one temperature all through (a sheet).
        thin: bool,
    },
    /// Long and round.
    Cylinder {
        /// Across.
        diameter: Stated,
        /// What of.
        of: MaterialName,
    },
    /// A ball.
    Sphere {
        /// Across.
        diameter: Stated,
        /// What of.
        of: MaterialName,
    },
    /// A block.
    Brick {
        /// One side.
        length: Stated,
        /// Another.
        width: Stated,
        /// The third.
        thick: Stated,
        /// What of.
        of: MaterialName,
    },
    /// A short cylinder.
    Can {
        /// Across.
        diameter: Stated,
        /// From end to end.
        height: Stated,
        /// What of.
        of: MaterialName,
    },
}

/// A layer of a slab.
#[derive(Clone, Debug)]
pub struct BodyLayer {
    /// What of.
    pub of: MaterialName,
    /// How thick, m.
    pub thick: Stated,
}

/// What lies over the faces of a piece.
#[derive(Clone, Debug)]
pub enum Cover {
    /// Its resistance, m² K/W.
    Resistance(Stated),
    /// Its layers, from the piece outward.
    Layers(Vec<BodyLayer>),
}

/// How much of a body is in one base unit of the operation's output.
#[derive(Clone, Debug)]
pub enum BodyUnit {
    /// Area of one face, m².
    Area(Stated),
    /// Mass, kg.
    Mass(Stated),
}

/// A level that is stated, or that of a setting of the operation.
#[derive(Clone, Debug)]
pub enum Level {
    /// The setting by its position in [`Operation::settings`], and where it is named.
    Setting(usize, Span),
    /// Stated here.
    Stated(Stated),
}

impl Level {
    /// The aim, in base units.
    pub fn aim<'a>(&'a self, operation: &'a Operation) -> &'a Stated {
        match self {
            Self::Setting(position, _) => &operation.settings[*position].aim,
            Self::Stated(stated) => stated,
        }
    }

    /// The setting behind it, with what it may be off.
    pub fn setting<'a>(&self, operation: &'a Operation) -> Option<&'a Setting> {
        match self {
            Self::Setting(position, _) => operation.settings.get(*position),
            Self::Stated(_) => None,
        }
    }

    /// Where it was written.
    pub fn at(&self) -> Span {
        match self {
            Self::Setting(_, at) => *at,
            Self::Stated(stated) => stated.at,
        }
    }
}

/// A stretch of time with one kind of surroundings.
#[derive(Clone, Debug)]
pub struct HeatStage {
    /// Where it was written.
    pub at: Span,
    /// Its name, if it has one.
    pub name: Option<String>,
    /// How long.
    pub lasts: Lasts,
    /// Temperature of the air (water, plates), K; at the beginning of the stage if it changes.
    pub air: Level,
    /// The same at the end of the stage, if it changes evenly over it.
    pub to: Option<Level>,
    /// Temperature of what the faces see, K; that of the air when left out.
    pub walls: Option<Level>,
    /// How heat gets to the face.
    pub surface: Surface,
    /// Emissivity of the face, 0 to 1; no radiation when left out.
    pub radiates: Option<Stated>,
    /// The faces that heat passes.
    pub faces: Faces,
}

/// How long a stage is.
#[derive(Clone, Debug)]
pub enum Lasts {
    /// So long, s.
    Stated(Stated),
    /// So far along the conveyor, m.
    Along(Stated),
    /// What the others leave of the dwell, see [`Works::dwell_of`].
    Rest,
}

/// How heat gets to a face.
#[derive(Clone, Debug)]
pub enum Surface {
    /// The coefficient is stated, W/(m² K).
    Coefficient(Stated),
    /// Air is blown over it.
    Blown {
        /// Speed of the air, m/s: stated here or by the station.
        speed: Stated,
        /// How far it flows along the piece, m.
        along: Option<Stated>,
    },
    /// Still air.
    Still {
        /// Where it was written.
        at: Span,
        /// Whether the face stands upright; else it lies.
        upright: bool,
        /// Height of an upright face, or the shorter side of one that lies, m.
        along: Option<Stated>,
    },
    /// The face has the temperature of the air: a plate, condensing steam.
    Held(Span),
}

/// The faces of a slab that heat passes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Faces {
    /// Both.
    Both,
    /// The last; the first lies on something that heat does not pass.
    One,
}

/// Where in or about a piece a temperature is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// The place that the surroundings reach last.
    Core,
    /// The face.
    Surface,
    /// The mean by mass.
    Mean,
    /// The air about it.
    Air,
}

impl Place {
    /// As it is written.
    pub fn word(self) -> &'static str {
        match self {
            Self::Core => "core",
            Self::Surface => "surface",
            Self::Mean => "mean",
            Self::Air => "air",
        }
    }
}

/// Something that heat or cold must do, or must not.
#[derive(Clone, Debug)]
pub struct Need {
    /// Where it was written.
    pub at: Span,
    /// What is measured.
    pub measure: Measure,
    /// Where in the piece.
    pub place: Place,
    /// Limits of what is measured: s for times, powers of ten for growth; none for bare temperatures.
    pub limits: Bounds,
    /// An estimate that sorts out, not a proof: a competent person decides. Always so for growth.
    pub screening: bool,
    /// Where the limit is from.
    pub source: Option<String>,
}

/// A lower and an upper limit.
#[derive(Clone, Debug, Default)]
pub struct Bounds {
    /// At least.
    pub at_least: Option<Stated>,
    /// At most.
    pub at_most: Option<Stated>,
}

/// What is measured along a history of temperatures. Temperatures in K.
#[derive(Clone, Debug)]
pub enum Measure {
    /// It gets at least so hot, and is for so long in all (s), if that is said.
    Reach {
        /// The temperature.
        temperature: Stated,
        /// Time at or above it.
        hold: Option<Stated>,
    },
    /// It is never hotter.
    NeverAbove(Stated),
    /// It is never colder.
    NeverBelow(Stated),
    /// It is not hotter at the end.
    EndsBelow(Stated),
    /// It is not colder at the end.
    EndsAbove(Stated),
    /// It is in a range at the end.
    EndsBetween(Stated),
    /// Time at one temperature that cures as much (Arrhenius).
    Cure {
        /// The temperature.
        at: Stated,
        /// Activation energy, J/mol.
        energy: Stated,
    },
    /// Time at one temperature that kills as much (decimal, with z).
    Lethality {
        /// The temperature.
        at: Stated,
        /// Rise of temperature that makes it ten times as fast, a difference in K.
        z: Stated,
    },
    /// Growth in powers of ten, its rate rising with the square of the distance from the least temperature.
    Growth {
        /// The temperature below which nothing grows.
        least: Stated,
        /// A temperature at which growth was measured.
        at: Stated,
        /// Time there in which the number grows tenfold, s.
        tenfold: Stated,
    },
    /// Time above a temperature.
    TimeAbove(Stated),
    /// Time below a temperature.
    TimeBelow(Stated),
}

impl Works {
    /// Time that a unit is inside, s: the dwell of a load, the time to pass of a flow, or the station's
    /// conveyor at the speed of a flow that is counted in length. None if nothing says it.
    pub fn dwell_of(&self, operation: &Operation) -> Option<Stated> {
        match &operation.pace {
            Pace::Load(load) => Some(load.dwell.clone()),
            Pace::Flow {
                through: Some(through),
                ..
            } => Some(through.clone()),
            Pace::Flow { rate, .. } if *operation.output.unit.dimension() == Dimension::LENGTH => {
                let chamber = self.station(operation.station?).heat.as_ref()?;
                let conveyor = chamber.conveyor.as_ref()?;
                let length_m = conveyor.mean();
                Some(Stated {
                    spread: rate.spread.map(|m_per_s| length_m / m_per_s),
                    unit: self.units.parse_unit("min").ok()?,
                    ..conveyor.clone()
                })
            }
            Pace::Flow { .. } | Pace::Each(_) | Pace::None => None,
        }
    }
}
