//! Worked sharings, bad ones that must be rejected, and properties held to brute force.

use super::*;
use proptest::prelude::*;

fn crew(hours: f64, skills: &[usize]) -> Crew {
    Crew {
        hours,
        skills: skills.to_vec(),
    }
}

fn shared(wanted: &[f64], crews: &[Crew]) -> Share {
    let found = share(wanted, crews).expect("sound");
    assert_eq!(check(wanted, crews, &found, 1e-9), Ok(()));
    found
}

fn near(a: f64, b: f64) {
    assert!((a - b).abs() <= 1e-9 * b.abs().max(1.0), "{a} is not {b}");
}

/// Saw 30 h, spray 20 h; a crew of 40 h knows both, one of 40 h only spray. Evenly 50/80.
#[test]
fn two_crews_share_evenly() {
    let found = shared(&[30.0, 20.0], &[crew(40.0, &[0, 1]), crew(40.0, &[1])]);
    near(found.utilisation[0], 0.75);
    near(found.utilisation[1], 0.5);
    // Saw alone binds the first crew at 30/40; the rest falls to the second.
    assert_eq!(found.bindings[0].skills, vec![0]);
    assert_eq!(found.bindings[0].crews, vec![0]);
    near(found.given_hours[1][1], 20.0);

    let even = shared(&[30.0, 35.0], &[crew(40.0, &[0, 1]), crew(40.0, &[1])]);
    near(even.utilisation[0], 65.0 / 80.0);
    near(even.given_hours[0][1], 2.5);
    assert_eq!(even.bindings.len(), 1);
}

/// Weld 50 h against the only welder's 40 h: 10 h uncovered, utilisation 1.25; nobody pipes.
#[test]
fn what_nobody_can_give_is_named() {
    let found = shared(
        &[50.0, 8.0, 12.0],
        &[crew(40.0, &[0, 1]), crew(40.0, &[1]), crew(0.0, &[2])],
    );
    near(found.utilisation[0], 1.25);
    near(found.uncovered_hours[0], 10.0);
    near(found.uncovered_hours[1], 0.0);
    near(found.uncovered_hours[2], 12.0);
    near(found.given_hours[0][0], 40.0);
    near(found.utilisation[1], 0.2);
}

/// Hours have to be taken back along a path: 0 → A or B, 1 → A or C, 2 → C. Of 24 h
/// each crew of 10 h can have 8: whatever is placed first, the end is even.
#[test]
fn hours_move_along_paths() {
    let crews = [crew(10.0, &[0, 1]), crew(10.0, &[0]), crew(10.0, &[1, 2])];
    let found = shared(&[12.0, 6.0, 6.0], &crews);
    for utilisation in &found.utilisation {
        near(*utilisation, 0.8);
    }
}

#[test]
fn nothing_wanted_is_nothing_given() {
    let found = shared(&[0.0], &[crew(10.0, &[0])]);
    assert!(found.bindings.is_empty());
    assert_eq!(found.utilisation, vec![0.0]);
    shared(&[], &[]);
}

#[test]
fn nonsense_is_refused() {
    let refused = share(&[f64::NAN], &[]);
    assert!(matches!(
        refused,
        Err(CrewError::BadHours { what: "skill", .. })
    ));
    let refused = share(&[1.0], &[crew(-1.0, &[0])]);
    assert!(matches!(
        refused,
        Err(CrewError::BadHours { what: "crew", .. })
    ));
    let refused = share(&[1.0], &[crew(1.0, &[3])]);
    assert_eq!(refused, Err(CrewError::NoSuchSkill { crew: 0, skill: 3 }));
}

/// The checker must see an unfair sharing, overwork and lost hours.
#[test]
fn bad_sharings_are_rejected() {
    let (wanted, crews) = ([20.0], [crew(40.0, &[0]), crew(40.0, &[0])]);
    let good = shared(&wanted, &crews);
    let mut unfair = good.clone();
    unfair.given_hours = vec![vec![15.0], vec![5.0]];
    unfair.utilisation = vec![0.375, 0.125];
    let instead = Violation::Unfair {
        crew: 0,
        skill: 0,
        instead: 1,
    };
    assert_eq!(check(&wanted, &crews, &unfair, 1e-9), Err(vec![instead]));
    let mut lost = good.clone();
    lost.given_hours[0][0] -= 1.0;
    assert!(check(&wanted, &crews, &lost, 1e-9).is_err());
    let mut stated = good;
    stated.utilisation[0] = 0.3;
    assert!(check(&wanted, &crews, &stated, 1e-9).is_err());
}

fn team() -> impl Strategy<Value = Crew> {
    let hours = prop_oneof![1 => Just(0.0), 9 => 1.0..80.0f64];
    (hours, prop::collection::vec(0..6usize, 0..5))
        .prop_map(|(hours, skills)| Crew { hours, skills })
}

/// The highest ratio of any set of skills, by trying all of them.
fn highest_by_force(wanted: &[f64], crews: &[Crew]) -> f64 {
    let known = |skill: usize| {
        crews
            .iter()
            .any(|crew| crew.hours > 0.0 && crew.skills.contains(&skill))
    };
    let mut highest = 0.0_f64;
    for set in 1..1u32 << wanted.len() {
        let inside = |skill: usize| set >> skill & 1 == 1 && known(skill);
        let asked: f64 = (0..wanted.len())
            .filter(|&s| inside(s))
            .map(|s| wanted[s])
            .sum();
        let knowing = crews
            .iter()
            .filter(|crew| crew.skills.iter().any(|&s| inside(s)));
        let hours: f64 = knowing.map(|crew| crew.hours).sum();
        if asked > 0.0 {
            highest = highest.max(asked / hours);
        }
    }
    highest
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1000))]

    #[test]
    fn sharings_are_fairest(
        wanted in prop::collection::vec(prop_oneof![Just(0.0), 0.1..100.0f64], 6),
        crews in prop::collection::vec(team(), 0..8),
    ) {
        let found = share(&wanted, &crews).expect("sound");
        prop_assert_eq!(check(&wanted, &crews, &found, 1e-9), Ok(()));
        let highest = found.utilisation.iter().fold(0.0_f64, |h, &u| h.max(u));
        let by_force = highest_by_force(&wanted, &crews);
        prop_assert!((highest - by_force).abs() <= 1e-9 * by_force);
        for pair in found.bindings.windows(2) {
            prop_assert!(pair[1].utilisation <= pair[0].utilisation * (1.0 + 1e-9));
        }
    }

    /// More hours in any crew never raise the highest utilisation.
    #[test]
    fn more_hours_never_hurt(
        wanted in prop::collection::vec(0.1..100.0f64, 6),
        crews in prop::collection::vec(team(), 1..8), pick in any::<prop::sample::Index>(),
    ) {
        let top = |crews: &[Crew]| {
            let share = share(&wanted, crews).expect("sound");
            share.utilisation.iter().fold(0.0_f64, |h, &u| h.max(u))
        };
        let before = top(&crews);
        let mut more = crews.clone();
        let at = pick.index(more.len());
        prop_assume!(more[at].hours > 0.0);
        more[at].hours += 10.0;
        prop_assert!(top(&more) <= before * (1.0 + 1e-9));
    }
}
