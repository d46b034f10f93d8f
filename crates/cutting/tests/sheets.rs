//! Sheets: small published instances, worked kerf, and random small ones against trying everything.

use cutting::sheets::{
    Axis, Best, Broken, Fault, FirstCut, Layout, Part, Placed, Problem, Rect, Region, Scheme,
    Sheet, Trims, Use, check_best, check_layout, check_plan, least_cost, most_valuable,
};
use effort::Effort;
use proptest::prelude::*;

fn part(length: u64, width: u64, value: u64, at_most: Option<u64>) -> Part {
    Part {
        length,
        width,
        need: 0,
        at_most,
        may_turn: false,
        value,
    }
}

fn sheet(length: u64, width: u64) -> Sheet {
    Sheet {
        length,
        width,
        trims: Trims::default(),
        cost: 1,
        available: None,
    }
}

fn problem(length: u64, width: u64, parts: Vec<Part>) -> Problem {
    Problem {
        sheets: vec![sheet(length, width)],
        parts,
        kerf: 0,
        scheme: Scheme::Free,
        useful: None,
    }
}

fn solved(problem: &Problem) -> Best {
    let best = most_valuable(problem, 0, Effort::steps(2_000_000)).expect("a sound problem");
    assert_eq!(check_best(problem, &best), []);
    best
}

fn assert_proved(problem: &Problem, value: u64) {
    let best = solved(problem);
    assert_eq!((best.value, best.bound, best.proved), (value, value, true));
}

/// Christofides and Whitlock 1977, instance 1 (cgcut1): optimum 244.
#[test]
fn christofides_and_whitlock_first_instance() {
    let rows = [
        (8, 4, 66, 2),
        (3, 7, 35, 1),
        (8, 2, 24, 3),
        (3, 4, 17, 5),
        (3, 3, 11, 2),
        (3, 2, 8, 2),
        (2, 1, 2, 1),
    ];
    let parts = rows.map(|(length, width, value, copies)| part(length, width, value, Some(copies)));
    assert_proved(&problem(15, 10, parts.to_vec()), 244);
}

/// Beasley 1985 (OR-Library ngcut1), whose optimum without the guillotine rule is 164: a bound on ours.
#[test]
fn ngcut_1_is_a_bound() {
    let rows = [
        (3, 7, 2, 35),
        (8, 2, 2, 40),
        (10, 2, 1, 27),
        (5, 4, 3, 23),
        (2, 9, 2, 43),
    ];
    let parts = rows.map(|(length, width, copies, value)| part(length, width, value, Some(copies)));
    let best = solved(&problem(10, 10, parts.to_vec()));
    assert!(best.proved && best.value <= 164);
}

/// Wang 1983, the 70 x 40 sheet with 20 parts: waste 79 (value 2721 of area 2800).
#[test]
fn wang_twenty_parts() {
    let rows = [
        (17, 9, 1),
        (11, 19, 4),
        (12, 21, 3),
        (14, 23, 4),
        (24, 15, 1),
        (24, 15, 2),
        (25, 16, 4),
        (27, 17, 2),
        (18, 29, 3),
        (21, 31, 3),
        (32, 22, 2),
        (23, 33, 3),
        (34, 24, 2),
        (35, 25, 2),
        (36, 26, 1),
        (37, 27, 1),
        (38, 28, 1),
        (39, 29, 1),
        (41, 30, 1),
        (43, 31, 1),
    ];
    let parts =
        rows.map(|(length, width, copies)| part(length, width, length * width, Some(copies)));
    assert_proved(&problem(70, 40, parts.to_vec()), 2721);
}

/// Two parts of 50 on 103: with a kerf of 3 they just fit (50 + 3 + 50), with 4 they do not.
#[test]
fn the_blade_takes_its_width() {
    let mut problem = problem(103, 10, vec![part(50, 10, 1, None)]);
    problem.kerf = 3;
    assert_proved(&problem, 2);
    problem.kerf = 4;
    assert_proved(&problem, 1);
    problem.sheets[0].length = 110;
    // Trimmed by 3 on either side 104 are left: 50 + 4 + 50.
    problem.sheets[0].trims = Trims {
        left: 3,
        right: 3,
        bottom: 0,
        top: 0,
    };
    assert_proved(&problem, 2);
    assert_eq!(solved(&problem).layout.placed[0].rect.x, 3);
}

/// A part of 30 x 20 on a sheet of 20 x 30 needs to be turned; grain forbids it.
#[test]
fn grain_forbids_turning() {
    let mut problem = problem(20, 30, vec![part(30, 20, 7, None)]);
    assert_proved(&problem, 0);
    problem.parts[0].may_turn = true;
    assert_proved(&problem, 7);
    assert!(solved(&problem).layout.placed[0].turned);
}

/// On 10 x 10: 6x10, 4x6, 2x4 and 2x4 fill the sheet by three stages starting across (6 | 4), (6 / 4), (2 | 2);
/// two stages with strips across the width must trim: 6x10 (60) + 4x6 (24), or all but one way less.
#[test]
fn stages_limit_what_can_be_cut() {
    let parts = vec![
        part(6, 10, 60, Some(1)),
        part(4, 6, 24, Some(1)),
        part(2, 4, 8, Some(2)),
    ];
    let mut problem = problem(10, 10, parts);
    assert_proved(&problem, 100);
    let first = FirstCut::AlongWidth;
    problem.scheme = Scheme::ThreeStage {
        first,
        trimming: false,
    };
    assert_proved(&problem, 100);
    problem.scheme = Scheme::TwoStage {
        first,
        trimming: false,
    };
    // Strips of equal parts only: 6x10 and 4x6 are strips of length 6 and 4; 60 + 24.
    assert_proved(&problem, 84);
    problem.scheme = Scheme::TwoStage {
        first,
        trimming: true,
    };
    // The strip of length 4 takes 4x6 and one 2x4 trimmed: 60 + 24 + 8.
    assert_proved(&problem, 92);
}

/// 100 x 50, part 60 x 50, kerf 2: 100 - 60 - 2 = 38 are left over by 50.
#[test]
fn a_useful_rest_is_kept() {
    let mut problem = problem(100, 50, vec![part(60, 50, 1, None)]);
    (problem.kerf, problem.useful) = (2, Some((50, 38)));
    let layout = solved(&problem).layout;
    assert_eq!(
        layout.leftovers,
        [Rect {
            x: 62,
            y: 0,
            length: 38,
            width: 50
        }]
    );
    assert_eq!(layout.waste, 100);
    problem.useful = Some((51, 38));
    assert!(solved(&problem).layout.leftovers.is_empty());
}

fn placed(part: usize, x: u64, y: u64, length: u64, width: u64) -> Placed {
    Placed {
        part,
        rect: Rect {
            x,
            y,
            length,
            width,
        },
        turned: false,
    }
}

/// The pinwheel: four 2x1 round a 1x1 in 3x3. No overlap, no cut from edge to edge.
#[test]
fn a_pinwheel_is_refused() {
    let parts = vec![
        part(2, 1, 1, None),
        part(1, 2, 1, None),
        part(1, 1, 1, None),
    ];
    let problem = problem(3, 3, parts);
    let placed = vec![
        placed(0, 0, 0, 2, 1),
        placed(1, 2, 0, 1, 2),
        placed(0, 1, 2, 2, 1),
        placed(1, 0, 1, 1, 2),
        placed(2, 1, 1, 1, 1),
    ];
    let rect = Rect {
        x: 0,
        y: 0,
        length: 3,
        width: 3,
    };
    let cuts = Region {
        rect,
        becomes: Use::Waste,
    };
    let layout = Layout {
        sheet: 0,
        count: 1,
        placed,
        leftovers: vec![],
        cuts,
        waste: 0,
    };
    assert!(check_layout(&problem, &layout).contains(&Broken::NotCuttable));
}

/// A sound layout, spoilt one way at a time.
#[test]
fn spoilt_layouts_are_refused() {
    let mut problem = problem(
        20,
        10,
        vec![part(9, 10, 5, Some(2)), part(5, 3, 1, Some(1))],
    );
    problem.kerf = 2;
    let best = solved(&problem);
    assert_eq!(best.value, 10);
    let spoil = |change: &dyn Fn(&mut Best)| {
        let mut spoilt = best.clone();
        change(&mut spoilt);
        check_best(&problem, &spoilt)
    };
    assert!(spoil(&|b| b.layout.placed[1].rect.x -= 1).contains(&Broken::TooClose(0, 1)));
    assert!(spoil(&|b| b.layout.placed[1].rect.x += 1).contains(&Broken::Outside(1)));
    assert!(spoil(&|b| b.layout.placed[1].rect.length -= 1).contains(&Broken::WrongSize(1)));
    assert!(spoil(&|b| b.layout.placed[1].part = 7).contains(&Broken::NoSuchPart(1)));
    assert!(spoil(&|b| b.layout.sheet = 1).contains(&Broken::NoSuchSheet(1)));
    assert!(spoil(&|b| b.layout.waste += 1).contains(&Broken::WrongWaste));
    assert!(spoil(&|b| b.layout.cuts.becomes = Use::Waste).contains(&Broken::TreeDiffers));
    assert!(spoil(&|b| b.value += 1).contains(&Broken::WrongSum));
    assert!(spoil(&|b| b.bound = 9).contains(&Broken::WrongSum));
    assert!(
        spoil(&|b| b.layout.leftovers.push(Rect {
            x: 9,
            y: 0,
            length: 1,
            width: 1
        }))
        .contains(&Broken::RestTooSmall(0))
    );
    let mut fewer = problem.clone();
    fewer.parts[0].at_most = Some(1);
    assert_eq!(check_best(&fewer, &best), [Broken::TooMany(0)]);
}

/// Two stages, strips along the length: a part in a strip wider than itself needs the trimming cut.
#[test]
fn a_stage_too_many_is_refused() {
    let mut problem = problem(10, 6, vec![part(6, 6, 1, Some(1)), part(4, 3, 1, Some(2))]);
    let layout = solved(&problem).layout;
    assert_eq!(layout.placed.len(), 3);
    problem.scheme = Scheme::TwoStage {
        first: FirstCut::AlongWidth,
        trimming: false,
    };
    assert_eq!(check_layout(&problem, &layout), []);
    problem.scheme = Scheme::TwoStage {
        first: FirstCut::AlongLength,
        trimming: true,
    };
    assert_eq!(check_layout(&problem, &layout), [Broken::NotCuttable]);
}

/// 10 parts of 5 x 5 on sheets of 10 x 10 (four each): 2.5, so 3. Two sheets are too few.
#[test]
fn needs_are_met_and_proved() {
    let mut problem = problem(
        10,
        10,
        vec![Part {
            need: 10,
            ..part(5, 5, 1, None)
        }],
    );
    let plan = least_cost(&problem, Effort::steps(100_000)).unwrap();
    assert_eq!(check_plan(&problem, &plan), []);
    assert_eq!(
        (plan.cost, plan.bound, plan.proved, plan.sheets),
        (3, 3, true, 3)
    );
    let mut short = plan.clone();
    short.layouts[0].count -= 1;
    assert!(check_plan(&problem, &short).contains(&Broken::NeedNotMet(0)));
    problem.sheets[0].available = Some(2);
    assert!(check_plan(&problem, &plan).contains(&Broken::TooManySheets(0)));
    assert_eq!(
        least_cost(&problem, Effort::steps(100_000)),
        Err(Fault::TooFewSheets)
    );
}

/// A large sheet for 3 and a small one for 2: ten parts fill two large ones and one small one (4 + 4 + 2: 8), not three
/// large ones (9) nor five small ones (10).
#[test]
fn kinds_of_sheet_are_mixed_by_cost() {
    let mut problem = problem(
        10,
        10,
        vec![Part {
            need: 10,
            ..part(5, 5, 1, None)
        }],
    );
    problem.sheets[0].cost = 3;
    problem.sheets.push(Sheet {
        cost: 2,
        ..sheet(10, 5)
    });
    let plan = least_cost(&problem, Effort::steps(100_000)).unwrap();
    assert_eq!(check_plan(&problem, &plan), []);
    assert_eq!((plan.cost, plan.bound), (8, 8));
}

#[test]
fn faults_are_named() {
    let mut problem = problem(
        10,
        10,
        vec![Part {
            need: 1,
            ..part(11, 5, 1, None)
        }],
    );
    assert_eq!(
        least_cost(&problem, Effort::unlimited()),
        Err(Fault::PartFitsNowhere(0))
    );
    assert_eq!(
        most_valuable(&problem, 1, Effort::unlimited()),
        Err(Fault::NoSheet(1))
    );
    problem.parts[0].width = 0;
    assert_eq!(
        most_valuable(&problem, 0, Effort::unlimited()),
        Err(Fault::EmptyPart(0))
    );
    problem.parts[0].width = 5;
    problem.sheets[0].trims.left = 10;
    assert_eq!(
        most_valuable(&problem, 0, Effort::unlimited()),
        Err(Fault::EmptySheet(0))
    );
}

/// Every multiset of parts that a region can give: all cuts at all whole positions, no cleverness.
fn every_count(
    problem: &Problem,
    length: u64,
    width: u64,
    stage: Option<(usize, Axis)>,
) -> Vec<Vec<u64>> {
    let mut found = vec![vec![0; problem.parts.len()]];
    let trim = matches!(
        problem.scheme,
        Scheme::Free
            | Scheme::TwoStage { trimming: true, .. }
            | Scheme::ThreeStage { trimming: true, .. }
    );
    for (index, part) in problem.parts.iter().enumerate() {
        let ways = [(part.length, part.width), (part.width, part.length)];
        for &(l, w) in &ways[..if part.may_turn { 2 } else { 1 }] {
            let fits = if trim {
                l <= length && w <= width
            } else {
                (l, w) == (length, width)
            };
            if fits {
                let mut one = vec![0; problem.parts.len()];
                one[index] = 1;
                found.push(one);
            }
        }
    }
    let mut cut =
        |axis: Axis, first_stage: Option<(usize, Axis)>, rest_stage: Option<(usize, Axis)>| {
            let side = if axis == Axis::Length { length } else { width };
            for at in 1..=side {
                // What is left beyond the blade may be nothing.
                let rest = side.saturating_sub(at + problem.kerf);
                let one = |side: u64, stage| match axis {
                    Axis::Length => every_count(problem, side, width, stage),
                    Axis::Width => every_count(problem, length, side, stage),
                };
                if at == side && first_stage == stage {
                    continue;
                }
                let second = if rest == 0 {
                    vec![vec![0; problem.parts.len()]]
                } else {
                    one(rest, rest_stage)
                };
                for a in one(at, first_stage) {
                    for b in &second {
                        let sum: Vec<u64> = a.iter().zip(b).map(|(a, b)| a + b).collect();
                        found.push(sum);
                    }
                }
            }
        };
    match stage {
        None => {
            cut(Axis::Length, None, None);
            cut(Axis::Width, None, None);
        }
        Some((0, _)) => {}
        Some((left, axis)) => {
            let other = if axis == Axis::Length {
                Axis::Width
            } else {
                Axis::Length
            };
            cut(axis, Some((left - 1, other)), stage);
        }
    }
    found.sort_unstable();
    found.dedup();
    found
}

/// The best value by trying everything.
fn by_force(problem: &Problem) -> u64 {
    let stages: Vec<Option<(usize, Axis)>> = match problem.scheme {
        Scheme::Free => vec![None],
        Scheme::TwoStage { .. } => vec![Some((2, Axis::Width)), Some((2, Axis::Length))],
        Scheme::ThreeStage { .. } => vec![Some((3, Axis::Width)), Some((3, Axis::Length))],
    };
    let (length, width) = (problem.sheets[0].length, problem.sheets[0].width);
    let worth = |counts: &Vec<u64>| -> u64 {
        let within = |(part, &count): (&Part, &u64)| {
            part.value * count.min(part.at_most.unwrap_or(u64::MAX))
        };
        problem.parts.iter().zip(counts).map(within).sum()
    };
    let all = stages
        .into_iter()
        .flat_map(|stage| every_count(problem, length, width, stage));
    all.map(|counts| worth(&counts)).max().unwrap_or(0)
}

fn small_problem() -> impl Strategy<Value = Problem> {
    let parts = prop::collection::vec(
        (1..5_u64, 1..5_u64, 1..20_u64, 0..3_u64, any::<bool>()),
        1..4,
    );
    (2..7_u64, 2..6_u64, parts, 0..2_u64, 0..5_usize).prop_map(
        |(length, width, parts, kerf, scheme)| {
            let part = |(l, w, value, limit, may_turn)| Part {
                may_turn,
                ..part(l, w, value, (limit > 0).then_some(limit))
            };
            let first = FirstCut::Either;
            let schemes = [
                Scheme::Free,
                Scheme::TwoStage {
                    first,
                    trimming: false,
                },
                Scheme::TwoStage {
                    first,
                    trimming: true,
                },
                Scheme::ThreeStage {
                    first,
                    trimming: false,
                },
                Scheme::ThreeStage {
                    first,
                    trimming: true,
                },
            ];
            let scheme = schemes[scheme];
            Problem {
                kerf,
                scheme,
                ..problem(length, width, parts.into_iter().map(part).collect())
            }
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    /// Kerf, turning, limits and stages together, against trying every cut.
    #[test]
    fn as_good_as_trying_everything(problem in small_problem()) {
        let best = solved(&problem);
        prop_assert_eq!(best.value, by_force(&problem));
        prop_assert!(best.proved);
    }

    /// Plans keep every rule, cost no less than the bound, and another sheet's worth of room never hurts the value.
    #[test]
    fn plans_keep_the_rules(problem in small_problem(), needs in prop::collection::vec(0..6_u64, 4)) {
        let mut problem = problem;
        for (part, need) in problem.parts.iter_mut().zip(needs) {
            part.need = need;
        }
        match least_cost(&problem, Effort::steps(5_000)) {
            Ok(plan) => prop_assert_eq!(check_plan(&problem, &plan), []),
            Err(fault) => prop_assert!(matches!(fault, Fault::PartFitsNowhere(_))),
        }
    }

    /// More room is never worth less, and the same question has the same answer.
    #[test]
    fn more_room_is_worth_no_less(problem in small_problem()) {
        let value = solved(&problem);
        prop_assert_eq!(&value, &solved(&problem));
        let mut larger = problem.clone();
        larger.sheets[0].length += 1;
        larger.scheme = Scheme::Free;
        prop_assert!(solved(&larger).value >= value.value);
    }
}
