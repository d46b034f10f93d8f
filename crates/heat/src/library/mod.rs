//! A small library of substances, each with its source and the range it is for.
//!
//! Values are handbook values for a kind of substance. What a supplier's sheet or a laboratory says of the very lot
//! is better, and a works states that instead. *Memory* in a source means that no page was looked at again while
//! writing.

mod foods;
mod metals;
mod plastics;
mod woods;

use serde::Serialize;

use crate::fault::Fault;
use crate::food::{Composition, Options};
use crate::material::{Material, Phase};

/// What kind of substance.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub enum Kind {
    /// Metal and enamel on it.
    Metal,
    /// Wood as grown; conductivity across the grain.
    Wood,
    /// Boards, paper and carton.
    Board,
    /// Solid plastic.
    Plastic,
    /// Foam and rigid insulation.
    Foam,
    /// Food, and water.
    Food,
}

/// How the curve of a substance is made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Made {
    /// Constant properties.
    Constant {
        /// kg/m³.
        density_kg_m3: f64,
        /// Heat capacity and conductivity.
        phase: Phase,
    },
    /// Two phases that melt into each other at one temperature.
    Melting {
        /// kg/m³, of both.
        density_kg_m3: f64,
        /// Below.
        solid: Phase,
        /// Above.
        liquid: Phase,
        /// K.
        melts_at_k: f64,
        /// J/kg.
        latent_j_kg: f64,
    },
    /// A food by what it is made of.
    Food {
        /// Mass shares.
        composition: Composition,
        /// Where it begins to freeze, K.
        freezes_at_k: f64,
    },
}

/// What injection moulding needs to know of a plastic. All from memory of moulding handbooks; the maker's sheet of
/// the grade comes first.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Moulding {
    /// Melt, K, least and most.
    pub melt_k: [f64; 2],
    /// Mould, K, least and most.
    pub mould_k: [f64; 2],
    /// Part at ejection, K, least and most.
    pub ejection_k: [f64; 2],
    /// Diffusivity while it cools in the mould, m²/s, least and most. Not that of the cold solid.
    pub diffusivity_m2_s: [f64; 2],
}

/// A substance of the library.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Entry {
    /// Its name, in small letters.
    pub name: &'static str,
    /// Other names.
    pub aliases: &'static [&'static str],
    /// What kind it is.
    pub kind: Kind,
    /// Its properties.
    pub made: Made,
    /// The range of temperature the values are for, K.
    pub range_k: [f64; 2],
    /// For plastics that are moulded.
    pub moulding: Option<Moulding>,
    /// Where the values are from and what they leave out.
    pub source: &'static str,
}

impl Entry {
    /// The curve, foods with the usual options.
    pub fn material(&self) -> Result<Material, Fault> {
        self.material_with(Options::default())
    }

    /// The curve; the options count for foods only.
    pub fn material_with(&self, options: Options) -> Result<Material, Fault> {
        match self.made {
            Made::Constant {
                density_kg_m3,
                phase,
            } => Material::constant(density_kg_m3, phase),
            Made::Melting {
                density_kg_m3,
                solid,
                liquid,
                melts_at_k,
                latent_j_kg,
            } => Material::melting(density_kg_m3, solid, liquid, melts_at_k, latent_j_kg),
            Made::Food {
                composition,
                freezes_at_k,
            } => composition.material(freezes_at_k, options),
        }
    }
}

const TABLES: [&[Entry]; 4] = [
    &metals::ENTRIES,
    &woods::ENTRIES,
    &plastics::ENTRIES,
    &foods::ENTRIES,
];

/// All substances, in order of name.
pub fn entries() -> Vec<&'static Entry> {
    let mut all: Vec<&Entry> = TABLES.into_iter().flatten().collect();
    all.sort_by_key(|entry| entry.name);
    all
}

/// All names and aliases, in order; what was meant by a name that is none of them is for the caller to guess.
pub fn names() -> Vec<&'static str> {
    let mut all: Vec<&str> = TABLES
        .into_iter()
        .flatten()
        .flat_map(|entry| std::iter::once(entry.name).chain(entry.aliases.iter().copied()))
        .collect();
    all.sort_unstable();
    all
}

/// The substance of a name or alias, capitals and spaces around it aside.
pub fn find(name: &str) -> Option<&'static Entry> {
    let wanted = name.trim();
    let is = |other: &&str| other.eq_ignore_ascii_case(wanted);
    TABLES
        .into_iter()
        .flatten()
        .find(|entry| is(&entry.name) || entry.aliases.iter().any(is))
}

/// Constant properties: density, heat capacity, conductivity.
const fn constant(density_kg_m3: f64, heat_capacity_j_kg_k: f64, conductivity_w_m_k: f64) -> Made {
    Made::Constant {
        density_kg_m3,
        phase: Phase {
            heat_capacity_j_kg_k,
            conductivity_w_m_k,
        },
    }
}

/// From and to in degC, as K.
const fn celsius(from: f64, to: f64) -> [f64; 2] {
    [from + crate::ICE_POINT_K, to + crate::ICE_POINT_K]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_entry_has_a_source_and_a_sound_curve() {
        for entry in entries() {
            assert!(entry.source.len() > 10, "{}", entry.name);
            let material = entry.material();
            assert!(material.is_ok(), "{}: {material:?}", entry.name);
            assert!(entry.range_k[0] < entry.range_k[1], "{}", entry.name);
            // Nothing here is lighter than foam or heavier than copper, nor conducts worse than still air.
            let material = material.unwrap();
            let middle = 0.5 * (entry.range_k[0] + entry.range_k[1]);
            assert!(
                (10.0..9000.0).contains(&material.density_kg_m3()),
                "{}",
                entry.name
            );
            assert!(
                (0.02..450.0).contains(&material.conductivity_at(middle)),
                "{}",
                entry.name
            );
        }
    }

    #[test]
    fn names_are_small_and_stand_once() {
        let all = names();
        assert!(all.windows(2).all(|pair| pair[0] < pair[1]), "{all:?}");
        assert!(
            all.iter().all(|name| !name.is_empty()
                && *name == name.to_lowercase()
                && *name == name.trim())
        );
    }

    #[test]
    fn names_are_found_and_others_are_not() {
        for name in names() {
            assert!(find(name).is_some());
        }
        assert_eq!(find(" PE-HD ").map(|e| e.name), Some("pe-hd"));
        assert_eq!(find("polypropylene").map(|e| e.name), Some("pp"));
        assert!(find("unobtainium").is_none());
        assert!(find("").is_none());
    }

    #[test]
    fn moulding_ranges_are_in_order_of_the_cycle() {
        let moulded: Vec<_> = entries()
            .into_iter()
            .filter_map(|e| Some((e.name, e.moulding?)))
            .collect();
        assert!(moulded.len() >= 9);
        for (name, m) in moulded {
            for range in [m.melt_k, m.mould_k, m.ejection_k, m.diffusivity_m2_s] {
                assert!(range[0] < range[1], "{name}");
            }
            assert!(
                m.mould_k[0] < m.ejection_k[0] && m.ejection_k[1] < m.melt_k[0],
                "{name}"
            );
        }
    }

    #[test]
    fn solids_store_what_they_can() {
        // Volumetric heat capacity of solids without pores lies from 1.2 to 4 MJ/(m³ K) (rule of thumb of materials
        // selection, memory).
        for entry in entries() {
            if let (
                Kind::Metal | Kind::Plastic,
                Made::Constant {
                    density_kg_m3,
                    phase,
                },
            ) = (entry.kind, entry.made)
            {
                let stored = density_kg_m3 * phase.heat_capacity_j_kg_k;
                assert!((1.2e6..4.1e6).contains(&stored), "{}: {stored}", entry.name);
            }
        }
    }

    #[test]
    fn steel_diffuses_as_tables_say() {
        // Incropera & DeWitt, table A.1 (memory): stainless 304 3.95e-6, aluminium 97.1e-6, copper 117e-6 m²/s at
        // 300 K.
        for (name, diffusivity) in [
            ("stainless steel", 3.95e-6),
            ("aluminium", 97.1e-6),
            ("copper", 117e-6),
        ] {
            let Some(Entry {
                made:
                    Made::Constant {
                        density_kg_m3,
                        phase,
                    },
                ..
            }) = find(name)
            else {
                panic!("{name}");
            };
            let found = phase.conductivity_w_m_k / (density_kg_m3 * phase.heat_capacity_j_kg_k);
            assert!((found / diffusivity - 1.0).abs() < 0.01, "{name}: {found}");
        }
    }
}
