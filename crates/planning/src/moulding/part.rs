//! The wall that cools: its middle and its ends, and how long it takes.

use heat::library;
use heat::mass::diffusion::{Shape, share_at, uptake};
use heat::mould::cooling::{Melt, Part, Time, cooling};
use works::{Conducts, Level, MaterialName, Mould, Operation, Place, Works};

use crate::heat::extremes::{ends, level_ends};
use crate::heat::substance::Substances;
use crate::heat::{NoHeat, words};

/// A wall, and what it is cooled from and to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Wall {
    pub(super) name: &'static str,
    pub(super) thick_m: f64,
    pub(super) melt: Melt,
}

impl Wall {
    /// Cooling until the mean or the core is down to what it is taken out at.
    pub(super) fn cools(&self, place: Place) -> Result<Time, heat::Fault> {
        let found = cooling(Part::Plate(self.thick_m), &self.melt)?;
        Ok(match place {
            Place::Core => found.middle,
            _ => found.mean,
        })
    }

    /// What mean or core come down to in a time, K.
    pub(super) fn after_k(&self, place: Place, time_s: f64) -> Result<f64, heat::Fault> {
        let half = 0.5 * self.thick_m;
        let fourier = self.melt.diffusivity_m2_s * time_s / (half * half);
        let gone = match place {
            Place::Core => share_at(Shape::Plate, fourier, 0.0)?,
            _ => uptake(Shape::Plate, fourier)?,
        };
        Ok(self.melt.melt_k + gone * (self.melt.mould_k - self.melt.melt_k))
    }
}

/// The wall in the middle of what is stated, and where something varies the slowest and the fastest.
pub(super) fn walls(
    works: &Works,
    substances: &Substances<'_>,
    operation: &Operation,
    mould: &Mould,
) -> Result<Vec<Wall>, NoHeat> {
    let alpha = diffusivity(works, substances, operation, mould)?;
    let aim = |level: &Level| level.aim(operation).mean();
    let likely = Wall {
        name: "likely",
        thick_m: mould.wall.mean(),
        melt: Melt {
            diffusivity_m2_s: alpha.1,
            melt_k: aim(&mould.melt),
            mould_k: aim(&mould.mould),
            eject_k: aim(&mould.eject),
        },
    };
    let (thin, thick) = ends(&mould.wall);
    let melt = level_ends(operation, &mould.melt);
    let cold = level_ends(operation, &mould.mould);
    let eject = level_ends(operation, &mould.eject);
    let slowest = Wall {
        name: "slowest",
        thick_m: thick,
        melt: Melt {
            diffusivity_m2_s: alpha.0,
            melt_k: melt.1,
            mould_k: cold.1,
            eject_k: eject.0,
        },
    };
    let fastest = Wall {
        name: "fastest",
        thick_m: thin,
        melt: Melt {
            diffusivity_m2_s: alpha.2,
            melt_k: melt.0,
            mould_k: cold.0,
            eject_k: eject.1,
        },
    };
    if slowest.thick_m <= fastest.thick_m && slowest.melt == fastest.melt {
        return Ok(vec![likely]);
    }
    Ok(vec![likely, slowest, fastest])
}

/// Diffusivity, m²/s: least, middle and most.
fn diffusivity(
    works: &Works,
    substances: &Substances<'_>,
    operation: &Operation,
    mould: &Mould,
) -> Result<(f64, f64, f64), NoHeat> {
    let name = match &mould.conducts {
        Conducts::Diffusivity(stated) => {
            let (least, most) = ends(stated);
            return Ok((least, stated.mean(), most));
        }
        Conducts::Of(name) => name,
    };
    if let Some(moulding) = of_library(works, name).and_then(|entry| entry.moulding) {
        let [least, most] = moulding.diffusivity_m2_s;
        return Ok((least, 0.5 * (least + most), most));
    }
    let aim = |level: &Level| level.aim(operation).mean();
    let between = 0.5 * (aim(&mould.melt) + aim(&mould.eject));
    let alpha = substances.diffusivity(name, between)?;
    Ok((alpha, alpha, alpha))
}

/// The entry of the library that a name stands for, unless the works states the material's own numbers.
fn of_library(works: &Works, name: &MaterialName) -> Option<&'static library::Entry> {
    let Some(id) = name.declared else {
        return library::find(&name.name);
    };
    let material = works.material(id);
    let own = material.density.is_some()
        || material.conductivity.is_some()
        || material.heat_capacity.is_some()
        || material.food.is_some();
    if own {
        return None;
    }
    library::find(&material.like.as_ref()?.name)
}

/// `wall 2.8 mm of nylon, its mean down to 120 degC`.
pub(super) fn in_words(operation: &Operation, mould: &Mould) -> String {
    let of = match &mould.conducts {
        Conducts::Of(name) => format!(" of {}", name.name),
        Conducts::Diffusivity(_) => String::new(),
    };
    let place = match mould.place {
        Place::Core => "core",
        _ => "mean",
    };
    let (thin, thick) = ends(&mould.wall);
    let length = words::length;
    let wall = if thin < thick {
        format!("{} to {}", length(thin), length(thick))
    } else {
        length(thick)
    };
    format!(
        "wall {wall}{of}, its {place} down to {}",
        words::temperature(mould.eject.aim(operation).mean())
    )
}
