//! Woods, boards, paper and carton.

use super::{Entry, Kind, Made, celsius, constant};

const WOOD: &str = "Wood Handbook's formula for 12 % moisture, 0.1941 G + 0.004064 G M + 0.0186 across the grain, density usual (memory); along the grain about twice. Drying and its heat are not in it";
const BOARD: &str = "ISO 10456 tabulated values (memory); by density from maker to maker";
const PAPER: &str =
    "paper and carton trade figures (memory); moisture raises both heat and conductivity";

/// Beyond this wood and paper dry, brown and give off gas.
const HOTTEST_C: f64 = 100.0;

pub(super) const ENTRIES: [Entry; 15] = [
    wood("ash", &["ash wood"], constant(680.0, 1600.0, 0.17)),
    wood("beech", &[], constant(720.0, 1600.0, 0.17)),
    wood("birch", &[], constant(650.0, 1600.0, 0.16)),
    wood("maple", &["hard maple"], constant(705.0, 1600.0, 0.17)),
    wood(
        "oak",
        &["red oak", "white oak"],
        constant(700.0, 1600.0, 0.17),
    ),
    wood("pine", &["scots pine"], constant(510.0, 1600.0, 0.13)),
    wood("spruce", &[], constant(440.0, 1600.0, 0.11)),
    board(
        "chipboard",
        &["particle board"],
        constant(650.0, 1700.0, 0.14),
        BOARD,
    ),
    board(
        "corrugated carton",
        &["cardboard", "carton", "corrugated board"],
        constant(150.0, 1400.0, 0.065),
        PAPER,
    ),
    board("hardboard", &[], constant(900.0, 1700.0, 0.15), BOARD),
    board("mdf", &[], constant(750.0, 1700.0, 0.16), BOARD),
    board("osb", &[], constant(650.0, 1700.0, 0.13), BOARD),
    board("paper", &[], constant(750.0, 1340.0, 0.10), PAPER),
    board("plywood", &[], constant(600.0, 1600.0, 0.15), BOARD),
    board(
        "solid board",
        &["folding boxboard"],
        constant(700.0, 1340.0, 0.10),
        PAPER,
    ),
];

const fn wood(name: &'static str, aliases: &'static [&'static str], made: Made) -> Entry {
    entry(name, aliases, Kind::Wood, made, WOOD)
}

const fn board(
    name: &'static str,
    aliases: &'static [&'static str],
    made: Made,
    source: &'static str,
) -> Entry {
    entry(name, aliases, Kind::Board, made, source)
}

const fn entry(
    name: &'static str,
    aliases: &'static [&'static str],
    kind: Kind,
    made: Made,
    source: &'static str,
) -> Entry {
    Entry {
        name,
        aliases,
        kind,
        made,
        range_k: celsius(-40.0, HOTTEST_C),
        moulding: None,
        source,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn woods_follow_the_formula_they_name() {
        // G is dry mass over volume at 12 % moisture, density / 1.12 / 1000; to the second decimal.
        let mut seen = 0;
        for entry in ENTRIES {
            if let (
                Kind::Wood,
                Made::Constant {
                    density_kg_m3,
                    phase,
                },
            ) = (entry.kind, entry.made)
            {
                let g = density_kg_m3 / 1120.0;
                let formula = 0.1941 * g + 0.004_064 * g * 12.0 + 0.0186;
                assert!(
                    (phase.conductivity_w_m_k - formula).abs() < 0.006,
                    "{}: {formula}",
                    entry.name
                );
                seen += 1;
            }
        }
        assert_eq!(seen, 7);
    }
}
