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
    let degrees = |stated: &Stated| words::temperature(stated.mean());
    match &need.measure {
        works::Measure::Reach { temperature, hold } => reach(temperature, hold.as_ref()),
        works::Measure::NeverAbove(most) => {
            let words = format!("never hotter than {}", degrees(most));
            at_most(Measure::Highest, most, words)
        }
        works::Measure::NeverBelow(least) => {
            let words = format!("never colder than {}", degrees(least));
            at_least(Measure::Lowest, least, words)
        }
        works::Measure::EndsBelow(most) => at_most(
            Measure::Final,
            most,
            format!("ends at {} or colder", degrees(most)),
        ),
        works::Measure::EndsAbove(least) => {
            let words = format!("ends at {} or hotter", degrees(least));
            at_least(Measure::Final, least, words)
        }
        works::Measure::EndsBetween(range) => ends_between(range),
        works::Measure::Cure { at, energy } => cure(at, energy, times),
        works::Measure::Lethality { at, z } => lethality(at, z, times),
        works::Measure::Growth { least, at, tenfold } => growth(least, at, tenfold, times),
        works::Measure::TimeAbove(above) => {
            let temperature_k = above.mean();
            for_time(Measure::TimeAbove { temperature_k }, "above", above, times)
        }
        works::Measure::TimeBelow(below) => {
            let temperature_k = below.mean();
            for_time(Measure::TimeBelow { temperature_k }, "below", below, times)
        }
    }
}

/// A temperature that is not to be passed upward.
fn at_most(measure: Measure, most: &Stated, words: String) -> Parts {
    (
        measure,
        Counted::Temperature,
        (None, Some(most.mean())),
        words,
    )
}

/// A temperature that is not to be passed downward.
fn at_least(measure: Measure, least: &Stated, words: String) -> Parts {
    (
        measure,
        Counted::Temperature,
        (Some(least.mean()), None),
        words,
    )
}

fn for_time(measure: Measure, side: &str, temperature: &Stated, times: Limits) -> Parts {
    let words = format!(
        "{side} {} for {}",
        words::temperature(temperature.mean()),
        bounds(Counted::Time, times)
    );
    (measure, Counted::Time, times, words)
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
