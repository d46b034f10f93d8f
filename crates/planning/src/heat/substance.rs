//! From the name of a material to the engine's curve: declared by the works, or known to the engine's library.

use heat::food::{Composition, Options};
use heat::library;
use heat::material::{Material, Phase};
use works::{MaterialName, Mention, Stated, Works};

use super::NoHeat;

/// Materials of a works, made as they are asked for.
pub(crate) struct Substances<'w> {
    works: &'w Works,
}

impl<'w> Substances<'w> {
    pub(crate) fn new(works: &'w Works) -> Self {
        Self { works }
    }

    /// The curve of a named material.
    pub(crate) fn of(&self, name: &MaterialName) -> Result<Material, NoHeat> {
        match name.declared {
            Some(id) => declared(self.works, self.works.material(id)),
            None => known(
                self.works,
                &Mention {
                    name: name.name.clone(),
                    at: name.at,
                },
            ),
        }
    }

    /// Thermal diffusivity at a temperature, m²/s.
    pub(crate) fn diffusivity(
        &self,
        name: &MaterialName,
        temperature_k: f64,
    ) -> Result<f64, NoHeat> {
        let material = self.of(name)?;
        let step = 0.5;
        let capacity = (material.enthalpy_at(temperature_k + step)
            - material.enthalpy_at(temperature_k - step))
            / (2.0 * step);
        Ok(material.conductivity_at(temperature_k) / (material.density_kg_m3() * capacity))
    }
}

fn known(works: &Works, name: &Mention) -> Result<Material, NoHeat> {
    let entry = library::find(&name.name).ok_or_else(|| NoHeat::unknown(works, name))?;
    entry
        .material()
        .map_err(|fault| NoHeat::engine(name.at, &fault))
}

/// A declared material: what it states goes before its food's parts, and those before what it is like.
fn declared(works: &Works, material: &works::Material) -> Result<Material, NoHeat> {
    let none = |fault: heat::Fault| NoHeat::engine(material.at, &fault);
    if let Some(food) = &material.food {
        return of_food(material, food);
    }
    let like = material.like.as_ref();
    let entry = match like {
        Some(name) => Some(library::find(&name.name).ok_or_else(|| NoHeat::unknown(works, name))?),
        None => None,
    };
    let base = match entry {
        Some(entry) => Some(with_freezing(material, entry)?),
        None => None,
    };
    let Some(stated) = Stating::of(material, base.as_ref()) else {
        return base.ok_or_else(|| NoHeat {
            at: material.at,
            code: "heat-unclear",
            why: format!(
                "`{}` says too little of itself: expected `like`, `food`, or density, conductivity and heat_capacity",
                material.name
            ),
            help: None,
        });
    };
    match (&material.melts_at, &material.latent) {
        (Some(melts_at), Some(latent)) => Material::melting(
            stated.density,
            stated.frozen,
            stated.unfrozen,
            melts_at.mean(),
            latent.mean(),
        ),
        _ => Material::constant(stated.density, stated.unfrozen),
    }
    .map_err(none)
}

/// A library entry; one that is a food may freeze from elsewhere.
fn with_freezing(material: &works::Material, entry: &library::Entry) -> Result<Material, NoHeat> {
    let freezes = material.freezes_from.as_ref();
    let made = match (entry.made, freezes) {
        (library::Made::Food { composition, .. }, Some(freezes)) => {
            composition.material(freezes.mean(), Options::default())
        }
        _ => entry.material(),
    };
    made.map_err(|fault| NoHeat::engine(freezes.map_or(material.at, |f| f.at), &fault))
}

fn of_food(material: &works::Material, food: &works::Food) -> Result<Material, NoHeat> {
    let share = |stated: &Option<Stated>| stated.as_ref().map_or(0.0, Stated::mean);
    let composition = Composition {
        water: food.water.mean(),
        protein: share(&food.protein),
        fat: share(&food.fat),
        carbohydrate: share(&food.carbohydrate),
        fibre: share(&food.fibre),
        ash: share(&food.ash),
    };
    let Some(freezes) = &material.freezes_from else {
        return Err(NoHeat {
            at: food.at,
            code: "heat-unclear",
            why: format!("`{}` does not say where its first ice forms", material.name),
            help: Some(
                "add freezes_from = \"-1.5 degC\", as measured or from a handbook".to_owned(),
            ),
        });
    };
    composition
        .material(freezes.mean(), Options::default())
        .map_err(|fault| NoHeat::engine(freezes.at, &fault))
}

/// What a material states of itself, filled up from what it is like.
struct Stating {
    density: f64,
    frozen: Phase,
    unfrozen: Phase,
}

impl Stating {
    /// None where it states nothing, or not enough without something it is like.
    fn of(material: &works::Material, base: Option<&Material>) -> Option<Self> {
        let stated = (
            &material.density,
            &material.conductivity,
            &material.heat_capacity,
        );
        if matches!(stated, (None, None, None)) {
            return None;
        }
        // Room temperature is where handbooks state things.
        let at = heat::ICE_POINT_K + 20.0;
        let density = match (stated.0, base) {
            (Some(density), _) => density.mean(),
            (None, base) => base?.density_kg_m3(),
        };
        let phase = |cold: bool| -> Option<Phase> {
            let of = |phased: &works::Phased| {
                if cold {
                    phased.frozen().mean()
                } else {
                    phased.unfrozen().mean()
                }
            };
            Some(Phase {
                conductivity_w_m_k: match (stated.1, base) {
                    (Some(conductivity), _) => of(conductivity),
                    (None, base) => base?.conductivity_at(at),
                },
                heat_capacity_j_kg_k: match (stated.2, base) {
                    (Some(capacity), _) => of(capacity),
                    (None, base) => {
                        let base = base?;
                        base.enthalpy_at(at + 0.5) - base.enthalpy_at(at - 0.5)
                    }
                },
            })
        };
        Some(Self {
            density,
            frozen: phase(true)?,
            unfrozen: phase(false)?,
        })
    }
}
