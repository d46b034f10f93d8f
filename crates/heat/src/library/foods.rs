//! Foods by composition, and water.

use super::{Entry, Kind, Made, celsius};
use crate::food::Composition;
use crate::material::Phase;

const USDA: &str = "composition: USDA food tables, rounded (memory), freezing point: refrigeration handbooks (memory); computed after Choi & Okos";
const FISH: &str = "composition: USDA food tables, rounded (memory); freezes at about −1 degC, FAO on freezing fish (read; handbooks after ASHRAE say −2.2); computed after Choi & Okos";
const DUCK: &str = "skinless breast muscle: composition measured in a study of frozen duck breast, Korean J. Poult. Sci. 46(4) (read, rounded); freezing point memory; computed after Choi & Okos";
const SMOKED: &str = "composition usual for cold-smoked sides (memory); freezing point −1 for the fish and −2 for 3.5 % of salt in its water, an estimate: state your own; computed after Choi & Okos";
const CHEESE: &str = "composition: USDA food tables, rounded (memory), freezing point: ASHRAE −12.9 (memory), uncertain; computed after Choi & Okos";
const WATER: &str = "water and ice at 0 degC: 4200 and 2100 J/(kg K), 0.57 and 2.2 W/(m K), 333.6 kJ/kg (memory). Still water only: currents are not in it";

pub(super) const ENTRIES: [Entry; 34] = [
    // Water, protein, fat, carbohydrate, fibre, ash in %; freezes at degC.
    food("apple", &[], [85.6, 0.3, 0.2, 11.4, 2.4, 0.2], -1.1, USDA),
    food(
        "beef",
        &["lean beef"],
        [75.0, 22.0, 2.0, 0.0, 0.0, 1.0],
        -1.0,
        USDA,
    ),
    food(
        "beef, minced",
        &["beef mince", "ground beef"],
        [62.0, 17.0, 20.0, 0.0, 0.0, 0.9],
        -1.0,
        USDA,
    ),
    food(
        "butter",
        &[],
        [16.0, 0.9, 81.0, 0.1, 0.0, 2.0],
        -8.0,
        "composition: USDA food tables (memory), freezing point of the salted water in it an estimate; fat's own melting is not in it; computed after Choi & Okos",
    ),
    food("carrot", &[], [88.0, 1.0, 0.2, 7.0, 2.8, 0.9], -1.4, USDA),
    food(
        "cheddar",
        &[],
        [37.0, 25.0, 33.0, 1.3, 0.0, 3.9],
        -12.9,
        CHEESE,
    ),
    food(
        "chicken",
        &["chicken with skin"],
        [66.0, 19.0, 14.0, 0.0, 0.0, 0.8],
        -1.0,
        USDA,
    ),
    food(
        "chicken breast",
        &[],
        [75.0, 22.5, 1.5, 0.0, 0.0, 1.1],
        -1.0,
        USDA,
    ),
    food(
        "cod",
        &["white fish"],
        [81.0, 18.0, 0.7, 0.0, 0.0, 1.2],
        -0.9,
        FISH,
    ),
    food("cream", &[], [58.0, 2.0, 37.0, 2.8, 0.0, 0.5], -0.6, USDA),
    food(
        "duck breast",
        &[],
        [74.5, 22.5, 1.5, 0.0, 0.0, 1.2],
        -1.0,
        DUCK,
    ),
    food(
        "duck with skin",
        &["duck"],
        [48.5, 11.5, 39.3, 0.0, 0.0, 0.7],
        -1.0,
        USDA,
    ),
    food(
        "egg",
        &["egg, whole"],
        [76.0, 12.6, 9.5, 0.7, 0.0, 1.1],
        -0.6,
        USDA,
    ),
    food("haddock", &[], [80.0, 18.5, 0.6, 0.0, 0.0, 1.2], -0.9, FISH),
    food("herring", &[], [72.0, 18.0, 9.0, 0.0, 0.0, 1.5], -1.0, FISH),
    ice(),
    food(
        "lamb",
        &["lean lamb"],
        [73.5, 20.5, 5.0, 0.0, 0.0, 1.1],
        -1.0,
        USDA,
    ),
    food(
        "mackerel",
        &[],
        [64.0, 18.6, 14.0, 0.0, 0.0, 1.4],
        -1.0,
        FISH,
    ),
    food(
        "milk",
        &["whole milk"],
        [87.7, 3.3, 3.7, 4.6, 0.0, 0.7],
        -0.5,
        USDA,
    ),
    food(
        "peas",
        &["green peas"],
        [79.0, 5.4, 0.4, 8.9, 5.5, 0.9],
        -0.6,
        USDA,
    ),
    food(
        "pork",
        &["lean pork"],
        [73.0, 21.5, 4.5, 0.0, 0.0, 1.1],
        -1.0,
        USDA,
    ),
    food(
        "pork belly",
        &[],
        [37.0, 9.3, 53.0, 0.0, 0.0, 0.5],
        -1.0,
        USDA,
    ),
    food("potato", &[], [79.0, 2.1, 0.1, 16.3, 1.6, 0.9], -0.6, USDA),
    food(
        "prawn",
        &["shrimp"],
        [77.0, 20.0, 1.0, 0.9, 0.0, 1.3],
        -1.5,
        USDA,
    ),
    food(
        "salmon",
        &["salmon fillet"],
        [65.0, 20.4, 13.4, 0.0, 0.0, 1.1],
        -1.0,
        FISH,
    ),
    food(
        "salmon, smoked",
        &["cold-smoked salmon", "smoked salmon"],
        [61.0, 22.0, 13.0, 0.0, 0.0, 4.0],
        -3.0,
        SMOKED,
    ),
    food("spinach", &[], [91.4, 2.9, 0.4, 1.4, 2.2, 1.7], -0.3, USDA),
    food(
        "strawberry",
        &[],
        [91.0, 0.7, 0.3, 5.7, 2.0, 0.4],
        -0.8,
        USDA,
    ),
    food("tomato", &[], [94.5, 0.9, 0.2, 2.7, 1.2, 0.5], -0.5, USDA),
    food("trout", &[], [72.0, 20.5, 6.2, 0.0, 0.0, 1.3], -1.0, FISH),
    food("tuna", &[], [70.0, 24.0, 5.0, 0.0, 0.0, 1.2], -1.2, FISH),
    food(
        "turkey breast",
        &[],
        [74.0, 23.5, 1.5, 0.0, 0.0, 1.1],
        -1.0,
        USDA,
    ),
    food("veal", &[], [75.0, 20.5, 3.0, 0.0, 0.0, 1.1], -1.0, USDA),
    water(),
];

const fn food(
    name: &'static str,
    aliases: &'static [&'static str],
    [water, protein, fat, carbohydrate, fibre, ash]: [f64; 6],
    freezes_c: f64,
    source: &'static str,
) -> Entry {
    Entry {
        name,
        aliases,
        kind: Kind::Food,
        made: Made::Food {
            composition: Composition {
                water: 0.01 * water,
                protein: 0.01 * protein,
                fat: 0.01 * fat,
                carbohydrate: 0.01 * carbohydrate,
                fibre: 0.01 * fibre,
                ash: 0.01 * ash,
            },
            freezes_at_k: freezes_c + crate::ICE_POINT_K,
        },
        range_k: celsius(-40.0, 100.0),
        moulding: None,
        source,
    }
}

const fn melting(name: &'static str, density_kg_m3: f64, source: &'static str) -> Entry {
    Entry {
        name,
        aliases: &[],
        kind: Kind::Food,
        made: Made::Melting {
            density_kg_m3,
            solid: Phase {
                heat_capacity_j_kg_k: 2100.0,
                conductivity_w_m_k: 2.2,
            },
            liquid: Phase {
                heat_capacity_j_kg_k: 4200.0,
                conductivity_w_m_k: 0.57,
            },
            melts_at_k: crate::ICE_POINT_K,
            latent_j_kg: 333.6e3,
        },
        range_k: celsius(-40.0, 100.0),
        moulding: None,
        source,
    }
}

/// A piece that was measured as water.
const fn water() -> Entry {
    melting("water", 1000.0, WATER)
}

/// A piece that was measured as ice.
const fn ice() -> Entry {
    melting("ice", 917.0, WATER)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_add_up() {
        for entry in ENTRIES {
            if let Made::Food { composition, .. } = entry.made {
                let c = composition;
                let sum = c.water + c.protein + c.fat + c.carbohydrate + c.fibre + c.ash;
                // Rounded shares, each to half a per cent at worst.
                assert!((sum - 1.0).abs() < 0.021, "{}: {sum}", entry.name);
            }
        }
    }

    #[test]
    fn heat_of_freezing_as_in_the_trade() {
        // Lean fish from 5 to −20 degC: 280 to 320 kJ/kg (trade notes, memory).
        let cod = ENTRIES.iter().find(|e| e.name == "cod").unwrap();
        let curve = cod.material().unwrap();
        let heat = curve.enthalpy_at(278.15) - curve.enthalpy_at(253.15);
        assert!((280e3..320e3).contains(&heat), "{heat}");
    }
}
