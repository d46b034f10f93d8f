//! From a stated need to the engine's, with its words.

use heat::measure::growth::{Counts, SquareRoot};
use heat::need::{Measure, Need, Place};
use works::{Bounds, Faces, Stated};

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
    let mean = |stated: &Stated| stated.mean();
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

/// What is measured, what it counts, its limits and its words.
type Parts = (Measure, Counted, Limits, String);

fn measure(need: &works::Need) -> Parts {
    let times = stated(&need.limits);
    match &need.measure {
        works::Measure::Reach { temperature, hold } => reach(temperature, hold.as_ref()),
        works::Measure::NeverAbove(most) => {
            let words = format!("never hotter than {}", words::temperature(most.mean()));
            (
                Measure::Highest,
                Counted::Temperature,
                (None, Some(most.mean())),
                words,
            )
        }
        works::Measure::NeverBelow(least) => {
            let words = format!("never colder than {}", words::temperature(least.mean()));
            (
                Measure::Lowest,
                Counted::Temperature,
                (Some(least.mean()), None),
                words,
            )
        }
        works::Measure::EndsBelow(most) => {
            let words = format!("ends at {} or colder", words::temperature(most.mean()));
            (
                Measure::Final,
                Counted::Temperature,
                (None, Some(most.mean())),
                words,
            )
        }
        works::Measure::EndsAbove(least) => {
            let words = format!("ends at {} or hotter", words::temperature(least.mean()));
            (
                Measure::Final,
                Counted::Temperature,
                (Some(least.mean()), None),
                words,
            )
        }
        works::Measure::EndsBetween(range) => ends_between(range),
        works::Measure::Cure { at, energy } => cure(at, energy, times),
        works::Measure::Lethality { at, z } => lethality(at, z, times),
        works::Measure::Growth { least, at, tenfold } => growth(least, at, tenfold, times),
        works::Measure::TimeAbove(above) => {
            let temperature_k = above.mean();
            let words = format!(
                "above {} for {}",
                words::temperature(temperature_k),
                bounds(Counted::Time, times)
            );
            (
                Measure::TimeAbove { temperature_k },
                Counted::Time,
                times,
                words,
            )
        }
        works::Measure::TimeBelow(below) => {
            let temperature_k = below.mean();
            let words = format!(
                "below {} for {}",
                words::temperature(temperature_k),
                bounds(Counted::Time, times)
            );
            (
                Measure::TimeBelow { temperature_k },
                Counted::Time,
                times,
                words,
            )
        }
    }
}

fn reach(to: &Stated, hold: Option<&Stated>) -> Parts {
    let temperature_k = to.mean();
    let Some(hold) = hold else {
        let words = format!("reaches {}", words::temperature(temperature_k));
        return (
            Measure::Highest,
            Counted::Temperature,
            (Some(temperature_k), None),
            words,
        );
    };
    let words = format!(
        "at {} or hotter for {}",
        words::temperature(temperature_k),
        words::time(hold.mean())
    );
    (
        Measure::TimeAbove { temperature_k },
        Counted::Time,
        (Some(hold.mean()), None),
        words,
    )
}

fn ends_between(range: &Stated) -> Parts {
    let (low, high) = super::extremes::ends(range);
    let words = format!(
        "ends at {} to {}",
        words::temperature(low),
        words::temperature(high)
    );
    (
        Measure::Final,
        Counted::Temperature,
        (Some(low), Some(high)),
        words,
    )
}

fn cure(at: &Stated, energy: &Stated, times: Limits) -> Parts {
    let words = format!(
        "cured as by {} at {} ({} kJ/mol)",
        bounds(Counted::Time, times),
        words::temperature(at.mean()),
        quantity::show_number(energy.mean() / 1e3)
    );
    let measure = Measure::Cure {
        at_k: at.mean(),
        energy_j_mol: energy.mean(),
    };
    (measure, Counted::Time, times, words)
}

fn lethality(at: &Stated, z: &Stated, times: Limits) -> Parts {
    let words = format!(
        "killed as by {} at {} (z {})",
        bounds(Counted::Time, times),
        words::temperature(at.mean()),
        words::difference(z.mean())
    );
    let measure = Measure::Lethality {
        at_k: at.mean(),
        z_k: z.mean(),
    };
    (measure, Counted::Time, times, words)
}

fn growth(least: &Stated, at: &Stated, tenfold: &Stated, tens: Limits) -> Parts {
    let words = format!(
        "growth by {} (tenfold in {} at {}, none at {})",
        bounds(Counted::Tens, tens),
        words::time(tenfold.mean()),
        words::temperature(at.mean()),
        words::temperature(least.mean())
    );
    let model = square_root(least.mean(), at.mean(), tenfold.mean());
    (Measure::Growth(model), Counted::Tens, tens, words)
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
