//! The air of a chamber of finite power, as one more unknown beside the temperatures of the piece.
//!
//! Air, walls and racks share one temperature, so that the walls that radiate are as warm as the air.

use crate::body::Form;
use crate::fault::{Fault, positive, within};
use crate::programme::{Face, Stage};
use crate::run::{Case, Chamber};

/// A chamber and how much of it one cut piece stands for.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Plant {
    chamber: Chamber,
    /// Pieces times face area of a piece over that of one end of the cut piece.
    times: f64,
    /// Whether that area is that of both ends together where both are open.
    shared: bool,
}

/// Power and losses, W; or their change with the air, W/K.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Supply {
    pub(crate) heats: f64,
    pub(crate) cools: f64,
    pub(crate) loses: f64,
}

impl Supply {
    /// Into the air.
    pub(crate) fn net(&self) -> f64 {
        self.heats - self.cools - self.loses
    }

    /// Goes along slopes.
    pub(crate) fn add(&mut self, slopes: &Self, warmer: f64) {
        self.heats += slopes.heats * warmer;
        self.cools += slopes.cools * warmer;
        self.loses += slopes.loses * warmer;
    }
}

impl Plant {
    /// Of a case, if it has a chamber; `outer_area` is that of an end of the cut piece or of all faces of a block,
    /// `half` whether that is half a slab.
    pub(crate) fn new(case: &Case, outer_area: f64, half: bool) -> Result<Option<Self>, Fault> {
        let Some(chamber) = case.chamber else {
            return Ok(None);
        };
        check(&chamber)?;
        for stage in case.programme.stages() {
            one_aim(case, stage)?;
        }
        let area = match case.body.form() {
            Form::Sphere | Form::Brick { .. } | Form::Can { .. } => outer_area,
            _ => chamber.area_m2,
        };
        Ok(Some(Self {
            chamber,
            times: chamber.pieces * area / outer_area,
            shared: case.body.form() == Form::Slab && !half,
        }))
    }

    /// J/K.
    pub(crate) fn stores(&self) -> f64 {
        self.chamber.stores_j_k
    }

    /// Air when the load goes in, K.
    pub(crate) fn starts_k(&self) -> f64 {
        self.chamber.starts_k
    }

    /// The lowest and highest temperature with those of the chamber.
    pub(crate) fn widen(&self, [low, high]: [f64; 2]) -> [f64; 2] {
        let Chamber {
            starts_k, around_k, ..
        } = self.chamber;
        [
            low.min(starts_k).min(around_k),
            high.max(starts_k).max(around_k),
        ]
    }

    /// Heat drawn from the air for each heat into the cut piece's open ends.
    pub(crate) fn times(&self, open_ends: usize) -> f64 {
        if self.shared && open_ends > 1 {
            0.5 * self.times
        } else {
            self.times
        }
    }

    /// Power and losses with the air at a temperature while the controller aims at another, W.
    pub(crate) fn supply(&self, air: f64, aim: f64) -> Supply {
        let Chamber {
            heating_w,
            cooling_w,
            loses_w_k,
            around_k,
            band_k,
            ..
        } = self.chamber;
        let short = (aim - air) / band_k;
        Supply {
            heats: heating_w * short.clamp(0.0, 1.0),
            cools: cooling_w * (-short).clamp(0.0, 1.0),
            loses: loses_w_k * (air - around_k),
        }
    }

    /// How these change with the air, W/K.
    pub(crate) fn supply_by_air(&self, air: f64, aim: f64) -> Supply {
        let short = (aim - air) / self.chamber.band_k;
        let within = |share: f64, power: f64| {
            if (0.0..1.0).contains(&share) {
                power / self.chamber.band_k
            } else {
                0.0
            }
        };
        Supply {
            heats: -within(short, self.chamber.heating_w),
            cools: within(-short, self.chamber.cooling_w),
            loses: self.chamber.loses_w_k,
        }
    }
}

fn check(chamber: &Chamber) -> Result<(), Fault> {
    positive("number of pieces in the chamber", chamber.pieces)?;
    positive("area of a piece in the chamber", chamber.area_m2)?;
    positive("heat capacity of the chamber", chamber.stores_j_k)?;
    positive("control band of the chamber", chamber.band_k)?;
    for (what, found) in [
        ("temperature around the chamber", chamber.around_k),
        ("temperature of the chamber", chamber.starts_k),
    ] {
        positive(what, found)?;
    }
    for (what, found) in [
        ("heating power", chamber.heating_w),
        ("cooling power", chamber.cooling_w),
        ("loss of the chamber", chamber.loses_w_k),
    ] {
        within(what, found, 0.0, 1e12)?;
    }
    Ok(())
}

/// A chamber has one air: the open faces of a stage must name the same, and one must be open.
fn one_aim(case: &Case, stage: &Stage) -> Result<(), Fault> {
    let faces = if case.body.form() == Form::Slab {
        [stage.first, stage.last]
    } else {
        [stage.last, stage.last]
    };
    let airs: Vec<_> = faces
        .iter()
        .filter_map(|face| match face {
            Face::Open { air, .. } => Some(*air),
            Face::Insulated | Face::Held(_) => None,
        })
        .collect();
    match airs.as_slice() {
        [] => Err(Fault::Impossible {
            asked: "work out the air of a chamber",
            why: "no face of the piece meets air in one of the stages".to_owned(),
        }),
        [a, b] if a != b => Err(Fault::Impossible {
            asked: "work out the air of a chamber",
            why: format!(
                "its two faces ask for air of {} and of {} K at one time",
                a.from_k, b.from_k
            ),
        }),
        _ => Ok(()),
    }
}
