//! Properties of the measures on random histories: additive over time, ordered as their causes, each found by
//! brute force as well.

use heat::measure::above::{above, extremes};
use heat::measure::crossing::{frozen, thawed};
use heat::measure::cure::{Reaction, Window, cure};
use heat::measure::exposure::{Band, exposure};
use heat::measure::growth::{Counts, SquareRoot, growth};
use heat::measure::lethality::{Kill, lethality};
use heat::trace::{Sample, Trace};
use proptest::prelude::*;

const REACTION: Reaction = Reaction {
    activation_j_mol: 8e4,
    reference_k: 330.0,
};
const ANY: Window = Window {
    least_s: 1.0,
    most_s: None,
};
const KILL: Kill = Kill {
    z_k: 9.0,
    reference_k: 330.0,
};
const MODEL: SquareRoot = SquareRoot {
    b_per_k_root_s: 2e-4,
    counts: Counts::PowersOfTen,
    least_k: 290.0,
    warm_end: None,
};
const LIMIT_K: f64 = 310.0;
const BAND: Band = Band {
    from_k: 300.0,
    to_k: 320.0,
    at_most_s: 50.0,
};

/// Three to eight samples 10 to 100 s apart, 280 to 340 K, with slopes that let the cubic bend between them.
fn history() -> impl Strategy<Value = Trace> {
    prop::collection::vec((10.0..100.0_f64, 280.0..340.0_f64, -0.5..0.5_f64), 3..9).prop_map(
        |all| {
            let mut time_s = 0.0;
            let samples = all.into_iter().map(|(step, value, slope_per_s)| {
                time_s += step;
                Sample {
                    time_s,
                    value,
                    slope_per_s,
                }
            });
            Trace::new(samples.collect())
        },
    )
}

/// Two histories that are one, cut at a sample.
fn cut(trace: &Trace) -> [Trace; 2] {
    let samples = trace.samples();
    let middle = samples.len() / 2;
    [
        Trace::new(samples[..=middle].to_vec()),
        Trace::new(samples[middle..].to_vec()),
    ]
}

/// All measures that add up over time.
fn all(trace: &Trace) -> Vec<f64> {
    let sides = above(trace, LIMIT_K, 1.0).expect("a sound history");
    vec![
        sides.above_s,
        sides.below_s,
        cure(trace, &REACTION, &ANY)
            .expect("a sound history")
            .equivalent_s,
        lethality(trace, &KILL, 1.0).expect("a sound history").f_s,
        growth(trace, &MODEL, 1.0)
            .expect("a sound history")
            .powers_of_ten,
        exposure(trace, &BAND).expect("a sound history").within_s,
    ]
}

/// The same by the midpoint rule on many even steps.
fn by_force(trace: &Trace) -> Vec<f64> {
    const STEPS: usize = 20_000;
    let samples = trace.samples();
    let (from, to) = (samples[0].time_s, samples[samples.len() - 1].time_s);
    let step = (to - from) / STEPS as f64;
    let mut sums = vec![0.0; 6];
    for at in 0..STEPS {
        let t = trace
            .at(from + (at as f64 + 0.5) * step)
            .expect("a sound history");
        let over = (t - MODEL.least_k).max(0.0) * MODEL.b_per_k_root_s;
        for (sum, rate) in sums.iter_mut().zip([
            f64::from(t >= LIMIT_K),
            f64::from(t < LIMIT_K),
            libm::exp(-8e4 / 8.314_462_618 * (1.0 / t - 1.0 / 330.0)),
            libm::exp10((t - 330.0) / 9.0),
            over * over,
            f64::from((BAND.from_k..=BAND.to_k).contains(&t)),
        ]) {
            *sum += rate * step;
        }
    }
    sums
}

proptest! {
    #[test]
    fn measures_add_up_over_time(trace in history()) {
        let [first, second] = cut(&trace);
        for ((whole, a), b) in all(&trace).into_iter().zip(all(&first)).zip(all(&second)) {
            prop_assert!((whole - a - b).abs() <= 1e-12 * (1.0 + whole));
        }
    }

    #[test]
    fn measures_are_those_of_brute_force(trace in history()) {
        for (at, (found, known)) in all(&trace).into_iter().zip(by_force(&trace)).enumerate() {
            // Smooth rates: the midpoint rule's (step)²/24; counted time: a step of up to 0.04 s at each crossing,
            // of which there may be three to each of seven stretches and two levels.
            let allowed = if matches!(at, 2..=4) { 2e-6 * (known + 1e-3) } else { 0.5 };
            prop_assert!((found - known).abs() < allowed, "{at}: {found} for {known}");
        }
    }

    #[test]
    fn totals_are_reached_when_they_say(trace in history(), share in 0.01..0.99_f64) {
        let f_s = lethality(&trace, &KILL, 1e9).unwrap().f_s;
        let found = lethality(&trace, &KILL, share * f_s).unwrap();
        let reached = found.reached_s.unwrap();
        let read = found.running.at(reached).unwrap();
        // The running total is stated to be right to 1e-6 of itself between its samples.
        prop_assert!((read - share * f_s).abs() <= 1e-6 * f_s);
    }

    #[test]
    fn hotter_is_never_less(trace in history(), by in 0.0..20.0_f64) {
        let hotter = Trace::new(trace.samples().iter().map(|s| Sample { value: s.value + by, ..*s }).collect());
        let (cool, hot) = (all(&trace), all(&hotter));
        for at in [0, 2, 3, 4] {
            prop_assert!(hot[at] >= cool[at] * (1.0 - 1e-9) - 1e-9);
        }
        prop_assert!((cool[0] + cool[1] - hot[0] - hot[1]).abs() < 1e-9);
    }

    #[test]
    fn nothing_lies_beyond_the_extremes(trace in history()) {
        let (low, high) = extremes(&trace).unwrap();
        let samples = trace.samples();
        let (from, to) = (samples[0].time_s, samples[samples.len() - 1].time_s);
        for at in 0..=2000 {
            let value = trace.at(from + f64::from(at) / 2000.0 * (to - from)).unwrap();
            prop_assert!(value >= low.value - 1e-10 && value <= high.value + 1e-10);
        }
        // Above the highest there is no time, and with it none to have passed it.
        prop_assert_eq!(above(&trace, high.value + 1e-6, 1.0).unwrap().first_above_s, None);
        prop_assert_eq!(thawed(std::slice::from_ref(&trace), high.value + 1e-6).unwrap().first_s, None);
        prop_assert_eq!(frozen(std::slice::from_ref(&trace), low.value - 1e-6).unwrap().first_s, None);
    }

    #[test]
    fn more_points_never_pass_sooner(a in history(), b in history()) {
        // Both histories over the same time: the second's samples moved onto the first's.
        let moved: Vec<Sample> = a
            .samples()
            .iter()
            .zip(b.samples().iter().cycle())
            .map(|(own, other)| Sample { time_s: own.time_s, ..*other })
            .collect();
        let both = [a, Trace::new(moved)];
        let together = thawed(&both, LIMIT_K).unwrap();
        for one in &both {
            let alone = thawed(std::slice::from_ref(one), LIMIT_K).unwrap();
            if let Some(first) = together.first_s {
                prop_assert!(alone.first_s.is_some_and(|own| own <= first));
            }
            if let Some(stays) = together.stays_from_s {
                prop_assert!(alone.stays_from_s.is_some_and(|own| own <= stays));
            }
        }
    }
}
