//! From a stated need to the engine's, with its words.

use heat::measure::growth::{Counts, SquareRoot};
use heat::need::{Measure, Need, Place};
use works::{Bounds, Faces};

use super::answer::Counted;
use super::words;

/// A need as the engine takes it.
#[derive(Debug)]
pub(super) struct Asked {
    pub(super) need: Need,
    pub(super) counted: Counted,
    pub(super) words: String,
}

/// Where the engine looks for a place. The middle of a piece that heat reaches from one face only is that far from
/// it: at its other face.
pub(super) fn place(place: works::Place, faces: Faces) -> Place {
    match (place, faces) {
        (works::Place::Core, Faces::Both) => Place::Core,
        (works::Place::Core, Faces::One) => Place::FirstFace,
        (works::Place::Surface, _) => Place::Surface,
        (works::Place::Mean, _) => Place::Mean,
        (works::Place::Air, _) => Place::Air,
    }
}

/// The need, on a piece of which heat passes these faces.
pub(super) fn asked(need: &works::Need, faces: Faces) -> Asked {
    let (measure, counted, limits, words) = measure(need);
    let at = need.place.word();
    Asked {
        need: Need {
            place: place(need.place, faces),
            measure,
            at_least: limits.0,
            at_most: limits.1,
        },
        counted,
        words: format!("{at} {words}"),
    }
}

type Limits = (Option<f64>, Option<f64>);

fn stated(bounds: &Bounds) -> Limits {
    let mean = |stated: &works::Stated| stated.mean();
    (
        bounds.at_least.as_ref().map(mean),
        bounds.at_most.as_ref().map(mean),
    )
}

/// `at least 10 min`, `5 s to 8 s`.
fn bounds(counted: Counted, limits: Limits) -> String {
    let show = |value: f64| words::value(counted, value);
    match limits {
        (Some(least), Some(most)) => format!("{} to {}", show(least), show(most)),
        (Some(least), None) => format!("at least {}", show(least)),
        (None, Some(most)) => format!("at most {}", show(most)),
        (None, None) => "any".to_owned(),
    }
}

fn measure(need: &works::Need) -> (Measure, Counted, Limits, String) {
    let temperature = words::temperature;
    let times = stated(&need.limits);
    let for_time = || bounds(Counted::Time, times);
    match &need.measure {
        works::Measure::Reach {
            temperature: to,
            hold: Some(hold),
        } => (
            Measure::TimeAbove {
                temperature_k: to.mean(),
            },
            Counted::Time,
            (Some(hold.mean()), None),
            format!(
                "at {} or hotter for {}",
                temperature(to.mean()),
                words::time(hold.mean())
            ),
        ),
        works::Measure::Reach {
            temperature: to,
            hold: None,
        } => (
            Measure::Highest,
            Counted::Temperature,
            (Some(to.mean()), None),
            format!("reaches {}", temperature(to.mean())),
        ),
        works::Measure::NeverAbove(most) => (
            Measure::Highest,
            Counted::Temperature,
            (None, Some(most.mean())),
            format!("never hotter than {}", temperature(most.mean())),
        ),
        works::Measure::NeverBelow(least) => (
            Measure::Lowest,
            Counted::Temperature,
            (Some(least.mean()), None),
            format!("never colder than {}", temperature(least.mean())),
        ),
        works::Measure::EndsBelow(most) => (
            Measure::Final,
            Counted::Temperature,
            (None, Some(most.mean())),
            format!("ends at {} or colder", temperature(most.mean())),
        ),
        works::Measure::EndsAbove(least) => (
            Measure::Final,
            Counted::Temperature,
            (Some(least.mean()), None),
            format!("ends at {} or hotter", temperature(least.mean())),
        ),
        works::Measure::EndsBetween(range) => {
            let (low, high) = super::extremes::ends(range);
            (
                Measure::Final,
                Counted::Temperature,
                (Some(low), Some(high)),
                format!("ends at {} to {}", temperature(low), temperature(high)),
            )
        }
        works::Measure::Cure { at, energy } => (
            Measure::Cure {
                at_k: at.mean(),
                energy_j_mol: energy.mean(),
            },
            Counted::Time,
            times,
            format!(
                "cured as by {} at {} ({} kJ/mol)",
                for_time(),
                temperature(at.mean()),
                quantity::show_number(energy.mean() / 1e3)
            ),
        ),
        works::Measure::Lethality { at, z } => (
            Measure::Lethality {
                at_k: at.mean(),
                z_k: z.mean(),
            },
            Counted::Time,
            times,
            format!(
                "killed as by {} at {} (z {})",
                for_time(),
                temperature(at.mean()),
                words::difference(z.mean())
            ),
        ),
        works::Measure::Growth { least, at, tenfold } => (
            Measure::Growth(square_root(least.mean(), at.mean(), tenfold.mean())),
            Counted::Tens,
            times,
            format!(
                "growth by {} (tenfold in {} at {}, none at {})",
                bounds(Counted::Tens, times),
                words::time(tenfold.mean()),
                temperature(at.mean()),
                temperature(least.mean())
            ),
        ),
        works::Measure::TimeAbove(above) => (
            Measure::TimeAbove {
                temperature_k: above.mean(),
            },
            Counted::Time,
            times,
            format!("above {} for {}", temperature(above.mean()), for_time()),
        ),
        works::Measure::TimeBelow(below) => (
            Measure::TimeBelow {
                temperature_k: below.mean(),
            },
            Counted::Time,
            times,
            format!("below {} for {}", temperature(below.mean()), for_time()),
        ),
    }
}

/// The square-root model through a measured growth: tenfold in so long at a temperature.
fn square_root(least_k: f64, at_k: f64, tenfold_s: f64) -> SquareRoot {
    SquareRoot {
        b_per_k_root_s: (1.0 / tenfold_s).sqrt() / (at_k - least_k),
        counts: Counts::PowersOfTen,
        least_k,
        warm_end: None,
    }
}
