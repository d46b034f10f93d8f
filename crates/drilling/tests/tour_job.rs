//! Whole drilling jobs: strokes of gangs, stages, times.

use drilling::motion::{Axis, Cycle, Feed};
use drilling::tour::gang::{Along, Gang, GangError, Lift};
use drilling::tour::job::{DrillPlan, Grouping, Hole, Job, JobError, Machine, plan};
use drilling::tour::{Setting, check_plan};
use effort::Effort;
use proptest::prelude::*;

/// A gang of drills 50 mm apart along x.
fn gang(heads: u32, lift: Lift) -> Gang {
    Gang {
        heads,
        spacing_m: 0.05,
        along: Along::X,
        lift,
        tolerance_m: 1e-4,
    }
}

/// A machine from the origin and back.
fn machine(gang: Gang) -> Machine {
    let axis = Axis::new(1.0, 5.0).expect("above zero");
    Machine {
        x: axis,
        y: axis,
        quill: Axis::new(0.5, 10.0).expect("above zero"),
        gang,
        start: Some([0.0, 0.0]),
        park: Some([0.0, 0.0]),
        change_at: Some([-0.2, 0.0]),
        turn_at: None,
        tool_change_s: 6.0,
        turn_s: 4.0,
        load_s: 12.0,
    }
}

/// 20 mm/s, no pecks, 3 mm clear.
fn cycle() -> Cycle {
    Cycle {
        clear_m: 0.003,
        feed: Feed::Speed { m_s: 0.02 },
        peck: None,
        dwell_s: 0.1,
    }
}

fn hole(x: f64, y: f64, face: usize, tool: usize) -> Hole {
    Hole {
        at: [x, y],
        depth_m: 0.03,
        face,
        tool,
    }
}

fn job(holes: Vec<Hole>, gang: Gang, grouping: Grouping) -> Job {
    Job {
        holes,
        tools: vec![cycle(); 3],
        machine: machine(gang),
        grouping,
    }
}

fn tried(job: &Job) -> Result<DrillPlan, JobError> {
    plan(job, Setting::default(), Effort::unlimited())
}

fn planned(job: &Job) -> DrillPlan {
    let plan = tried(job).expect("a job that can be done");
    assert_eq!(check_plan(job, &plan), Ok(()));
    plan
}

#[test]
fn a_lattice_takes_a_head_count_fewer_strokes() {
    // 8 columns 25 mm apart, heads 50 mm apart: columns 1, 3, 5, 7 share strokes, and so do 2, 4, 6, 8.
    // Four heads: 2 strokes for each of 6 rows = ⌈48/4⌉ = 12 (TRADE 1.3).
    let holes = (0..48).map(|n| hole(0.025 * f64::from(n % 8), 0.03 * f64::from(n / 8), 0, 0));
    let job = job(holes.collect(), gang(4, Lift::Together), Grouping::ByFace);
    let plan = planned(&job);
    assert_eq!(plan.strokes.len(), 12);
    // Feed: 33 mm at 20 mm/s = 1.65 s for each stroke; dwell 0.1 s.
    assert!((plan.time.feed_s - 12.0 * 1.65).abs() < 1e-9);
    assert!((plan.time.dwell_s - 1.2).abs() < 1e-9);
}

#[test]
fn five_in_a_row_under_two_heads_need_three_strokes_and_a_head_that_can_stay_up() {
    let holes: Vec<Hole> = (0..5)
        .map(|n| hole(0.05 * f64::from(n), 0.0, 0, 0))
        .collect();
    let lifted = job(holes.clone(), gang(2, Lift::Each), Grouping::ByFace);
    assert_eq!(planned(&lifted).strokes.len(), 3);
    let together = job(holes, gang(2, Lift::Together), Grouping::ByFace);
    let expected = GangError::NoFullRow { hole: 4, heads: 2 };
    assert_eq!(tried(&together), Err(JobError::Gang(expected)));
}

#[test]
fn tools_alternate_from_face_to_face_so_that_few_changes_are_made() {
    // Two faces with two tools: 0, 1 | 1, 0 changes once on each face and ends with the tool it began with.
    let holes = (0..4_usize).map(|n| hole(0.1 * n as f64, 0.1, n / 2, n % 2));
    let plan = planned(&job(holes.collect(), gang(1, Lift::Each), Grouping::ByFace));
    assert_eq!((plan.turns, plan.tool_changes), (1, 2));
    assert_eq!(plan.time.turn_s, 4.0);
    assert_eq!(plan.time.tool_change_s, 12.0);
}

#[test]
fn what_is_quicker_depends_on_turns_against_changes() {
    // Three faces, three tools each: by face 2 turns; by tool 2 changes and 1 back, and 3·2 turns.
    let holes: Vec<Hole> = (0..9).map(|n| hole(0.1, 0.1, n / 3, n % 3)).collect();
    let mut dear_turns = job(holes, gang(1, Lift::Each), Grouping::Quicker);
    dear_turns.machine.turn_s = 60.0;
    assert_eq!(planned(&dear_turns).turns, 2);
    let mut dear_changes = dear_turns;
    dear_changes.machine.turn_s = 1.0;
    dear_changes.machine.tool_change_s = 60.0;
    let plan = planned(&dear_changes);
    assert_eq!((plan.turns, plan.tool_changes), (6, 3));
}

/// Fewest windows of `heads` places that hold all of `places`, by trying every choice of first places.
fn fewest_windows(places: &[i64], heads: i64) -> usize {
    let covers = |chosen: u32, place: i64| {
        (0..places.len())
            .filter(|first| chosen >> first & 1 == 1)
            .any(|first| (0..heads).contains(&(place - places[first])))
    };
    (0_u32..1 << places.len())
        .filter(|&chosen| places.iter().all(|&place| covers(chosen, place)))
        .map(u32::count_ones)
        .min()
        .unwrap_or(0) as usize
}

proptest! {
    #[test]
    fn a_row_takes_the_fewest_strokes(
        places in prop::collection::btree_set(0_i64..20, 0..9),
        heads in 1_u32..5,
    ) {
        let places: Vec<i64> = places.into_iter().collect();
        let holes = places.iter().map(|&place| hole(0.05 * place as f64, 0.02, 0, 0)).collect();
        let plan = planned(&job(holes, gang(heads, Lift::Each), Grouping::ByFace));
        // A window may as well begin at a hole: sliding it on to its first hole loses none.
        prop_assert_eq!(plan.strokes.len(), fewest_windows(&places, i64::from(heads)));
    }

    #[test]
    fn every_plan_passes_its_checker(
        spots in prop::collection::vec((0_i32..12, 0_i32..6, 0_usize..3, 0_usize..3), 0..25),
        heads in 1_u32..4,
        choice in 0_usize..3,
    ) {
        let grouping = [Grouping::ByFace, Grouping::ByTool, Grouping::Quicker][choice];
        let place = |n: i32, pitch_m: f64| pitch_m * f64::from(n);
        let holes = spots
            .iter()
            .map(|&(x, y, face, tool)| hole(place(x, 0.025), place(y, 0.03), face, tool));
        let job = job(holes.collect(), gang(heads, Lift::Each), grouping);
        let setting = Setting { kicks_per_point: 3, ..Setting::default() };
        let plan = plan(&job, setting, Effort::unlimited()).expect("heads that stay up");
        prop_assert_eq!(check_plan(&job, &plan), Ok(()));
    }
}
