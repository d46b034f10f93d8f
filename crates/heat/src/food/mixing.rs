//! Conductivity of a mixture from those of its parts.

use serde::Serialize;

/// How the parts lie to each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Mixing {
    /// Along the heat's way, each by itself: the most there can be.
    Parallel,
    /// Behind each other: the least there can be.
    Series,
    /// Solids (their conductivities are alike) in parallel; ice and water, then these and the solids, by Levy 1981.
    ///
    /// Levy's form changes nothing when the two parts are exchanged, so that no one needs to know which surrounds
    /// which. Of nine models compared with published measurements of foods it came closest (Fricke & Becker, HVAC&R
    /// Research 7(4), 2001, abstract read; the formula from memory).
    Levy,
    /// The solids as grains in water and ice: Maxwell 1873 and Eucken 1940 (memory). Ice and water by the same
    /// rule, the larger part around the smaller.
    MaxwellEucken,
}

/// A part of a mixture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Part {
    /// Share of the volume.
    pub(crate) volume: f64,
    /// W/(m K).
    pub(crate) conductivity: f64,
}

impl Part {
    fn both(parts: [Part; 2], rule: impl Fn(Part, Part) -> f64) -> Part {
        let volume = parts[0].volume + parts[1].volume;
        let conductivity = if parts[1].volume <= 0.0 {
            parts[0].conductivity
        } else if parts[0].volume <= 0.0 {
            parts[1].conductivity
        } else {
            rule(parts[0], parts[1])
        };
        Part {
            volume,
            conductivity,
        }
    }
}

/// The conductivity of water, ice and solids together, W/(m K).
pub(crate) fn conductivity(mixing: Mixing, water: Part, ice: Part, solids: &[Part]) -> f64 {
    let all = || solids.iter().chain([&water, &ice]);
    match mixing {
        Mixing::Parallel => parallel(all()),
        Mixing::Series => series(all()),
        Mixing::Levy | Mixing::MaxwellEucken => {
            let rule = if mixing == Mixing::Levy {
                levy
            } else {
                maxwell_eucken
            };
            let dry = Part {
                volume: solids.iter().map(|p| p.volume).sum(),
                conductivity: parallel(solids.iter()),
            };
            let larger_first = |a: Part, b: Part| if a.volume < b.volume { [b, a] } else { [a, b] };
            let wet = Part::both(larger_first(water, ice), rule);
            Part::both([wet, dry], rule).conductivity
        }
    }
}

fn parallel<'a>(parts: impl Iterator<Item = &'a Part>) -> f64 {
    let (mut sum, mut volume) = (0.0, 0.0);
    for part in parts {
        sum += part.volume * part.conductivity;
        volume += part.volume;
    }
    if volume > 0.0 { sum / volume } else { 0.0 }
}

fn series<'a>(parts: impl Iterator<Item = &'a Part>) -> f64 {
    let (mut sum, mut volume) = (0.0, 0.0);
    for part in parts {
        sum += part.volume / part.conductivity;
        volume += part.volume;
    }
    volume / sum
}

/// Levy 1981: Maxwell's form with a share of volume that makes the two parts equal before it.
fn levy(a: Part, b: Part) -> f64 {
    let ratio = a.conductivity / b.conductivity;
    let share = a.volume / (a.volume + b.volume);
    let apart = (ratio - 1.0) * (ratio - 1.0) / ((ratio + 1.0) * (ratio + 1.0) + 0.5 * ratio);
    // As 1/apart grows without bound the root below loses its digits; there the parts are alike and any rule will do.
    if apart < 1e-12 {
        return parallel([a, b].iter());
    }
    let sum = 2.0 / apart - 1.0 + 2.0 * share;
    // 0.5 (sum − √(sum² − 8 share/apart)), written so that nothing cancels.
    let grains = 4.0 * share / apart / (sum + (sum * sum - 8.0 * share / apart).max(0.0).sqrt());
    b.conductivity * (2.0 + ratio + 2.0 * (ratio - 1.0) * grains)
        / (2.0 + ratio - (ratio - 1.0) * grains)
}

/// Grains of b in a.
fn maxwell_eucken(a: Part, b: Part) -> f64 {
    let share = b.volume / (a.volume + b.volume);
    let (around, grain) = (a.conductivity, b.conductivity);
    around * (2.0 * around + grain - 2.0 * share * (around - grain))
        / (2.0 * around + grain + share * (around - grain))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn part(volume: f64, conductivity: f64) -> Part {
        Part {
            volume,
            conductivity,
        }
    }

    #[test]
    fn levy_does_not_mind_the_order_and_keeps_the_ends() {
        for share in [0.01, 0.3, 0.5, 0.9] {
            let (a, b) = (part(share, 2.2), part(1.0 - share, 0.2));
            let (there, back) = (levy(a, b), levy(b, a));
            assert!(
                (there / back - 1.0).abs() < 1e-12,
                "{share}: {there} {back}"
            );
            // Between the bounds of Hashin & Shtrikman 1962, which Maxwell's form is either way round.
            let (low, high) = (maxwell_eucken(b, a), maxwell_eucken(a, b));
            assert!(low < there && there < high);
        }
        assert!((levy(part(1.0, 2.2), part(0.0, 0.2)) - 2.2).abs() < 1e-12);
        assert!((levy(part(0.0, 2.2), part(1.0, 0.2)) - 0.2).abs() < 1e-12);
        assert!((levy(part(0.4, 0.5), part(0.6, 0.5)) - 0.5).abs() < 1e-12);
    }

    #[test]
    fn maxwell_by_hand() {
        // A tenth of air (0.025) in water (0.6): 0.6 (1.225 − 0.115) / (1.225 + 0.0575) = 0.519 298.
        assert!((maxwell_eucken(part(0.9, 0.6), part(0.1, 0.025)) - 0.519_298_2).abs() < 1e-6);
    }
}
