//! Salt against its own law solved another way, kept to the last gram, and within its causes.

use heat::mass::salt::{
    Faces, Moment, Salted, Salting, Stage, Surface, Water, salt_needed, salting,
    thinnest_and_thickest, water_phase_salt,
};
use proptest::prelude::*;

const DAY: f64 = 86_400.0;

/// Invented: a side of fish, D 2e-10 m²/s, 68 % water, no loss.
fn side(thick_m: f64, stages: Vec<Stage>) -> Salting {
    Salting {
        thick_m,
        faces: Faces::Both,
        diffusivity_m2_s: 2e-10,
        starts: 0.0,
        stages,
        water: Water {
            share: 0.68,
            lost: Vec::new(),
        },
    }
}

fn dry_salt(lasts_s: f64, dose: Option<f64>, film_m_s: Option<f64>) -> Stage {
    Stage {
        lasts_s,
        surface: Surface::Held {
            level: 0.2,
            film_m_s,
            dose,
        },
    }
}

fn rest(lasts_s: f64) -> Stage {
    Stage {
        lasts_s,
        surface: Surface::Sealed,
    }
}

#[test]
fn water_phase_salt_of_the_projects_checks() {
    // MT-09 and MT-10: 100 S/(S + W), and the salt for it.
    assert!((water_phase_salt(2.5, 68.0).unwrap() - 3.546_099_291).abs() < 1e-9);
    assert!((water_phase_salt(3.0, 65.0).unwrap() - 4.411_764_706).abs() < 1e-9);
    assert!((salt_needed(3.5, 70.0).unwrap() - 2.538_860_104).abs() < 1e-9);
    assert!((salt_needed(3.0, 65.0).unwrap() - 2.010_309_278).abs() < 1e-9);
}

/// The same law on a grid: finite volumes between the inmost place and the face, evenly spaced, implicit (backward
/// Euler) with even steps. Knows nothing of cosines. First order in time, second in space.
fn on_a_grid(question: &Salting, cells: usize, steps: usize) -> (Vec<f64>, f64) {
    let depth = question.thick_m / 2.0;
    let dx = depth / cells as f64;
    let d = question.diffusivity_m2_s;
    let mut levels = vec![question.starts; cells];
    let mut taken = 0.0;
    for stage in &question.stages {
        let dt = stage.lasts_s / steps as f64;
        let mut left = f64::INFINITY;
        let (mut outside, mut conductance) = (0.0, 0.0);
        if let Surface::Held {
            level,
            film_m_s,
            dose,
        } = stage.surface
        {
            outside = level;
            conductance = 1.0 / (0.5 * dx / d + film_m_s.map_or(0.0, |film| 1.0 / film));
            left = dose.map_or(f64::INFINITY, |dose| dose * depth);
        }
        for _ in 0..steps {
            let mut next = implicit(&levels, d / dx * dt / dx, conductance * dt / dx, outside);
            let mut flux = conductance * dt * (outside - next[cells - 1]);
            if flux > left {
                // What is left goes into the last cell; from then on nothing passes.
                conductance = 0.0;
                let mut filled = levels.clone();
                filled[cells - 1] += left / dx;
                next = implicit(&filled, d / dx * dt / dx, 0.0, outside);
                flux = left;
            }
            left -= flux;
            taken += flux;
            levels = next;
        }
    }
    (levels, taken / depth)
}

/// One implicit step: between cells `r`, to the outside of the last cell `s`.
fn implicit(levels: &[f64], r: f64, s: f64, outside: f64) -> Vec<f64> {
    let n = levels.len();
    let (mut upper, mut right) = (vec![0.0; n], vec![0.0; n]);
    for i in 0..n {
        let below = if i > 0 { r } else { 0.0 };
        let above = if i + 1 < n { r } else { 0.0 };
        let own = if i + 1 == n { s } else { 0.0 };
        let before = if i > 0 {
            (upper[i - 1], right[i - 1])
        } else {
            (0.0, 0.0)
        };
        let pivot = 1.0 + below + above + own - below * before.0;
        upper[i] = above / pivot;
        right[i] = (levels[i] + own * outside + below * before.1) / pivot;
    }
    for i in (0..n - 1).rev() {
        right[i] += upper[i] * right[i + 1];
    }
    right
}

#[test]
fn stage_after_stage_as_on_a_grid() {
    for stages in [
        vec![dry_salt(0.5 * DAY, None, None), rest(2.0 * DAY)],
        // A dose used up within the contact, through a film.
        vec![dry_salt(1.0 * DAY, Some(0.03), Some(5e-8)), rest(1.0 * DAY)],
        // Salt, then a rinse in fresh water, then rest: the face is leached.
        vec![
            dry_salt(0.8 * DAY, None, None),
            Stage {
                lasts_s: 0.05 * DAY,
                surface: Surface::Held {
                    level: 0.0,
                    film_m_s: None,
                    dose: None,
                },
            },
            rest(0.5 * DAY),
        ],
    ] {
        let question = side(0.024, stages);
        let found = salting(&question, &[], 0.1).unwrap().end;
        // Richardson on cells and steps together (steps four times as cells twice: both errors fall fourfold).
        let coarse = on_a_grid(&question, 100, 4000);
        let fine = on_a_grid(&question, 200, 16_000);
        let inmost = (4.0 * extrapolated(&fine.0) - extrapolated(&coarse.0)) / 3.0;
        let mean = (4.0 * fine.1 - coarse.1) / 3.0;
        // Coarse and fine differ by 1e-5 kg/kg at most; what the extrapolation leaves is of the next order in cells
        // and steps, some thousandth of that.
        assert!(
            (found.level.inmost - inmost).abs() < 2e-8,
            "{} for {inmost}",
            found.level.inmost
        );
        assert!(
            (found.level.mean - mean).abs() < 2e-8,
            "{} for {mean}",
            found.level.mean
        );
    }
}

/// Level at x = 0 from the means of the first two cells of width h: those of a + b x² are a + b h²/3 and a + 7 b h²/3,
/// so that a = c0 - (c1 - c0)/6.
fn extrapolated(levels: &[f64]) -> f64 {
    levels[0] - (levels[1] - levels[0]) / 6.0
}

/// Simpson's rule over a profile.
fn integral(moment: &Moment) -> f64 {
    let points = &moment.profile;
    let step = points[1].0 - points[0].0;
    let mut sum = points[0].1 + points[points.len() - 1].1;
    for (at, point) in points.iter().enumerate().take(points.len() - 1).skip(1) {
        sum += if at % 2 == 1 { 4.0 } else { 2.0 } * point.1;
    }
    sum * step / 3.0 / points[points.len() - 1].0
}

#[test]
fn a_dose_is_taken_up_and_kept_to_the_last_digit() {
    let stages = vec![dry_salt(2.0 * DAY, Some(0.03), None), rest(10.0 * DAY)];
    let times: Vec<f64> = (1..=24).map(|half| f64::from(half) * 0.5 * DAY).collect();
    let found = salting(&side(0.03, stages), &times, 0.05).unwrap();
    let used_up = found.used_up_s[0].unwrap();
    for moment in &found.moments {
        if moment.time_s > used_up {
            assert!((moment.level.mean / 0.03 - 1.0).abs() < 1e-10);
        }
        // The profile holds what the mean says. All times lie in the rest, where Simpson's rule on 40 intervals sums
        // every cosine of nπx below the fortieth to nought, and those beyond are spent.
        assert!((integral(moment) / moment.level.mean - 1.0).abs() < 1e-10);
    }
    assert_eq!(found.left_over, vec![0.0, 0.0]);
    // Crank: uptake reaches 0.03/0.2 = 15 % at Fo = π/4·0.15² (short times), Fo = D t/l².
    let fo = std::f64::consts::PI / 4.0 * 0.15 * 0.15;
    assert!((used_up * 2e-10 / (0.015 * 0.015) / fo - 1.0).abs() < 1e-8);
}

#[test]
fn evening_out_follows_the_first_cosine() {
    // Late in the rest the inmost level trails the mean by the first cosine alone, so that it halves every ln 2/π²
    // in Fo: the time to within 1 % is later than to within 2 % by ln 2/π² l²/D.
    let stages = vec![dry_salt(0.5 * DAY, None, None), rest(1.0 * DAY)];
    let even = |share: f64| {
        salting(&side(0.03, stages.clone()), &[], share)
            .unwrap()
            .even_from_s
            .unwrap()
    };
    let apart = even(0.01) - even(0.02);
    let pi = std::f64::consts::PI;
    let known = std::f64::consts::LN_2 / (pi * pi) * 0.015 * 0.015 / 2e-10;
    assert!((apart / known - 1.0).abs() < 1e-3, "{apart} for {known}");
    // A rest of a year does not change when it was even.
    let year = vec![dry_salt(0.5 * DAY, None, None), rest(365.0 * DAY)];
    let long = salting(&side(0.03, year), &[], 0.02)
        .unwrap()
        .even_from_s
        .unwrap();
    assert!((long - even(0.02)).abs() < 1.0);
    // And looked at then, it is so.
    let at = even(0.02);
    let then = &salting(&side(0.03, stages), &[at], 0.02).unwrap().moments[0];
    assert!((then.level.inmost / then.level.mean - 0.98).abs() < 1e-9);
}

#[test]
fn thick_pieces_lag_and_water_loss_tells() {
    let stages = vec![dry_salt(1.0 * DAY, Some(0.03), None), rest(2.0 * DAY)];
    let mut question = side(0.02, stages);
    question.water.lost = vec![(1.0 * DAY, 0.05), (3.0 * DAY, 0.08)];
    let [thin, thick] = thinnest_and_thickest(&question, (0.02, 0.04), &[0.5 * DAY], 0.1).unwrap();
    assert!(thin.end.level.inmost > thick.end.level.inmost);
    assert!(thin.even_from_s.unwrap() < thick.even_from_s.unwrap());
    // Half a day: 0.025 lost; three days: 0.08. Water-phase salt of the mean by hand.
    assert!((thin.moments[0].weighs - (1.0 - 0.025 + thin.moments[0].level.mean)).abs() < 1e-12);
    let phase = 100.0 * 0.03 / (0.03 + 0.60);
    assert!((thin.end.water_phase.mean - phase).abs() < 1e-8);
    // 40 mm: the dose needs four times as long, 0.15²π/4·(0.02)²/2e-10 s = 0.41 days: used up as well.
    assert!(thick.used_up_s[0].is_some());
    assert!(thick.caution.contains("thickest part"));
}

#[test]
fn nonsense_is_refused() {
    let refuse = |question: Salting| salting(&question, &[], 0.1).unwrap_err().to_string();
    let plain = vec![dry_salt(DAY, None, None)];
    assert!(refuse(side(-0.02, plain.clone())).contains("thickness"));
    assert!(refuse(side(0.02, Vec::new())).contains("stage"));
    assert!(refuse(side(0.02, vec![rest(0.0)])).contains("contact or rest"));
    assert!(refuse(side(0.02, vec![rest(1e-3)])).contains("so short a stage"));
    assert!(refuse(side(0.02, vec![dry_salt(DAY, Some(1e-5), None)])).contains("so small a dose"));
    let mut dried = side(0.02, plain);
    dried.water.lost = vec![(DAY, 0.7)];
    assert!(refuse(dried).contains("loss of water"));
}

fn any_stage() -> impl Strategy<Value = Stage> {
    let surface = prop_oneof![
        Just(Surface::Sealed),
        (
            0.0..0.3_f64,
            prop::option::of(1e-9..1e-6_f64),
            prop::option::of(0.005..0.1_f64)
        )
            .prop_map(|(level, film_m_s, dose)| Surface::Held {
                level,
                film_m_s,
                dose
            }),
        (0.0..0.3_f64, 0.2..10.0_f64).prop_map(|(level, holds)| Surface::Bath { level, holds }),
    ];
    (0.05..3.0_f64, surface).prop_map(|(days, surface)| Stage {
        lasts_s: days * DAY,
        surface,
    })
}

fn run(stages: Vec<Stage>, starts: f64) -> (Salting, Salted) {
    let mut question = side(0.02, stages);
    question.starts = starts;
    let ends = question.stages.iter().scan(0.0, |sum, stage| {
        *sum += stage.lasts_s;
        Some(*sum)
    });
    let times: Vec<f64> = ends.collect();
    let found = salting(&question, &times, 0.1).expect("stages in their ranges");
    (question, found)
}

proptest! {
    /// Maximum principle: no level beyond the start and the surfaces met so far. Salt kept: each stage changes
    /// the mean by what passed its face, which for a bath is what the bath lost, and for a dose its use.
    #[test]
    fn levels_stay_within_their_causes_and_salt_is_kept(
        stages in prop::collection::vec(any_stage(), 1..5),
        starts in 0.0..0.05_f64,
    ) {
        let (question, found) = run(stages, starts);
        let (mut low, mut high) = (starts, starts);
        let mut before = starts;
        for (at, stage) in question.stages.iter().enumerate() {
            let moment = &found.moments[at];
            match stage.surface {
                Surface::Sealed => prop_assert!((moment.level.mean - before).abs() < 1e-12),
                Surface::Held { level, dose, .. } => {
                    low = level.min(low);
                    high = level.max(high);
                    if let Some(dose) = dose {
                        let taken = moment.level.mean - before;
                        prop_assert!((taken + found.left_over[at] - dose).abs() < 1e-11);
                        prop_assert!(taken <= dose * (1.0 + 1e-10));
                    }
                }
                Surface::Bath { level, holds } => {
                    low = level.min(low);
                    high = level.max(high);
                    let lost = holds * (level - moment.level.surface);
                    prop_assert!((moment.level.mean - before - lost).abs() < 1e-11);
                }
            }
            before = moment.level.mean;
            for (_, level) in &moment.profile {
                prop_assert!(*level >= low - 1e-11 && *level <= high + 1e-11, "{level} in {low} to {high}");
            }
        }
    }
}
