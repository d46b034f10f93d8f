//! A body of one temperature put into surroundings of another: the exact answer along time and depth.
//!
//! Temperatures count as the share that is still to go: theta = (T − surroundings) / (start − surroundings). Time
//! counts as the Fourier number, diffusivity × time / half². Heat transfer counts as the Biot number, coefficient ×
//! half / conductivity. Half is the half thickness of a slab that is open on both faces, the whole thickness of one
//! that is insulated on one face, and the radius of round bodies.

use serde::Serialize;

use super::eigen::{self, Term};
use super::{root, short};
use crate::fault::{Fault, positive, within};
use crate::material::Phase;

/// Bodies through which heat goes one way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Shape {
    /// Through the thickness.
    Slab,
    /// Long and round.
    Cylinder,
    /// A ball.
    Sphere,
}

impl Shape {
    /// Surface × half / volume: 1, 2 or 3.
    pub fn dimensions(self) -> f64 {
        match self {
            Self::Slab => 1.0,
            Self::Cylinder => 2.0,
            Self::Sphere => 3.0,
        }
    }
}

/// Where a temperature is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub enum Place {
    /// At a depth: 0 in the middle (or at the insulated face), 1 at the surface.
    At(f64),
    /// On average over the volume.
    Mean,
}

/// Enough terms for the smallest Fourier number that the series is used for: the next is below exp(−30).
const TERMS: usize = 40;

/// The series of one shape and Biot number, ready for any time and depth.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    shape: Shape,
    biot: f64,
    terms: Vec<Term>,
}

impl Series {
    /// A Biot number of 0 is an insulated body, infinity a surface that is held.
    pub fn new(shape: Shape, biot: f64) -> Result<Self, Fault> {
        within("Biot number", biot, 0.0, f64::INFINITY)?;
        // Below this nothing happens in any time that can be written down.
        let terms = if biot < 1e-200 {
            Vec::new()
        } else {
            eigen::terms(shape, biot, TERMS)
        };
        Ok(Self { shape, biot, terms })
    }

    /// The first eigenvalue and its coefficient, as printed in tables of one-term approximations. `None` if
    /// insulated.
    pub fn first_term(&self) -> Option<(f64, f64)> {
        self.terms.first().map(|t| (t.root, t.coefficient))
    }

    /// The share of the temperature difference that is still to go, right to 1e-10 at any time.
    pub fn share(&self, fourier: f64, place: Place) -> Result<f64, Fault> {
        within("Fourier number", fourier, 0.0, f64::INFINITY)?;
        if let Place::At(depth) = place {
            within("depth", depth, 0.0, 1.0)?;
        }
        Ok(self.share_of(fourier, place))
    }

    fn share_of(&self, fourier: f64, place: Place) -> f64 {
        if self.terms.is_empty() {
            return 1.0;
        }
        if fourier == 0.0 {
            let held = self.biot.is_infinite() && place == Place::At(1.0);
            return if held { 0.0 } else { 1.0 };
        }
        let share = match place {
            Place::At(depth) if fourier < short::BELOW => {
                1.0 - short::come(self.shape, self.biot, fourier, depth)
            }
            Place::Mean if fourier < short::BELOW => {
                1.0 - short::come_on_average(self.shape, self.biot, fourier)
            }
            Place::At(depth) => self.sum(fourier, |t| eigen::form(self.shape, t.root * depth)),
            Place::Mean => self.sum(fourier, |t| t.mean),
        };
        share.clamp(0.0, 1.0)
    }

    fn sum(&self, fourier: f64, form: impl Fn(&Term) -> f64) -> f64 {
        // Smallest first, so that rounding does not add up.
        self.terms
            .iter()
            .rev()
            .map(|t| t.coefficient * form(t) * libm::exp(-t.root * t.root * fourier))
            .sum()
    }

    /// The Fourier number at which so much is still to go, 0 < share < 1.
    ///
    /// A share that is never reached (the body is insulated, the surface is held from the first moment)
    /// is a fault.
    pub fn when(&self, share: f64, place: Place) -> Result<f64, Fault> {
        if !(share > 0.0 && share < 1.0) {
            return Err(Fault::OutOfRange {
                what: "share of the temperature difference",
                found: share,
                low: 0.0,
                high: 1.0,
            });
        }
        if let Place::At(depth) = place {
            within("depth", depth, 0.0, 1.0)?;
        }
        let Some((z, coefficient)) = self.first_term() else {
            return Err(never("the body is insulated"));
        };
        if self.biot.is_infinite() && place == Place::At(1.0) {
            return Err(never("the surface is held from the first moment"));
        }
        // The first term alone is above all others together, so that this is late enough.
        let late = (libm::log(coefficient / share) + 1.0) / (z * z) + 1.0;
        let early = 1e-30;
        let log = root::between(
            |log| self.share_of(libm::exp(log), place) - share,
            libm::log(early),
            libm::log(late),
        );
        Ok(libm::exp(log))
    }
}

fn never(why: &str) -> Fault {
    Fault::Impossible {
        asked: "find when a temperature is reached",
        why: why.to_owned(),
    }
}

/// Heat going one way through a body of given size and substance.
#[derive(Clone, Debug, PartialEq)]
pub struct Direction {
    series: Series,
    half_m: f64,
    diffusivity_m2_s: f64,
}

/// What a direction is made of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Substance {
    /// kg/m³.
    pub density_kg_m3: f64,
    /// Heat capacity and conductivity, constant.
    pub phase: Phase,
}

impl Direction {
    /// Half in m (see the top of this file), coefficient of heat transfer in W/(m² K), infinite for a held surface.
    pub fn new(
        shape: Shape,
        half_m: f64,
        substance: Substance,
        coefficient_w_m2_k: f64,
    ) -> Result<Self, Fault> {
        positive("thickness", half_m)?;
        positive("density", substance.density_kg_m3)?;
        let capacity = positive("heat capacity", substance.phase.heat_capacity_j_kg_k)?;
        let conductivity = positive("conductivity", substance.phase.conductivity_w_m_k)?;
        Ok(Self {
            series: Series::new(shape, coefficient_w_m2_k * half_m / conductivity)?,
            half_m,
            diffusivity_m2_s: conductivity / (substance.density_kg_m3 * capacity),
        })
    }

    /// The Fourier number at a time.
    pub fn fourier(&self, time_s: f64) -> f64 {
        self.diffusivity_m2_s * time_s / (self.half_m * self.half_m)
    }

    /// The share that is still to go after a time.
    pub fn share(&self, time_s: f64, place: Place) -> Result<f64, Fault> {
        self.series.share(self.fourier(time_s), place)
    }

    /// The time at which so much is still to go, s.
    pub fn when_s(&self, share: f64, place: Place) -> Result<f64, Fault> {
        let fourier = self.series.when(share, place)?;
        Ok(fourier * self.half_m * self.half_m / self.diffusivity_m2_s)
    }
}

/// A body whose temperature is the product of several directions: brick of three slabs, can of slab and cylinder.
///
/// Exact for a body of one temperature in surroundings of one temperature (Newman 1936, memory).
#[derive(Clone, Debug, PartialEq)]
pub struct Product {
    directions: Vec<Direction>,
}

impl Product {
    /// A block of three lengths over all, m, open on all faces.
    pub fn brick(
        lengths_m: [f64; 3],
        substance: Substance,
        coefficient_w_m2_k: f64,
    ) -> Result<Self, Fault> {
        let directions = lengths_m
            .into_iter()
            .map(|m| Direction::new(Shape::Slab, 0.5 * m, substance, coefficient_w_m2_k))
            .collect::<Result<_, _>>()?;
        Ok(Self { directions })
    }

    /// A short cylinder of radius and height, m, open all round. Places are along the radius, then the height.
    pub fn can(
        radius_m: f64,
        height_m: f64,
        substance: Substance,
        coefficient_w_m2_k: f64,
    ) -> Result<Self, Fault> {
        Ok(Self {
            directions: vec![
                Direction::new(Shape::Cylinder, radius_m, substance, coefficient_w_m2_k)?,
                Direction::new(Shape::Slab, 0.5 * height_m, substance, coefficient_w_m2_k)?,
            ],
        })
    }

    /// The directions.
    pub fn directions(&self) -> &[Direction] {
        &self.directions
    }

    /// The share that is still to go at a place given by its depth in each direction; in the middle of the rest.
    pub fn share(&self, time_s: f64, places: &[Place]) -> Result<f64, Fault> {
        let mut product = 1.0;
        for (n, direction) in self.directions.iter().enumerate() {
            let place = places.get(n).copied().unwrap_or(Place::At(0.0));
            product *= direction.share(time_s, place)?;
        }
        Ok(product)
    }

    /// Heat that has passed, as a share of all that can: 1 less the product of the means (Langston 1982, memory).
    pub fn heat_share(&self, time_s: f64) -> Result<f64, Fault> {
        let mut to_go = 1.0;
        for direction in &self.directions {
            to_go *= direction.share(time_s, Place::Mean)?;
        }
        Ok(1.0 - to_go)
    }
}
