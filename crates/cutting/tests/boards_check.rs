//! One board: worked examples, the ranking, and broken plans that the checker must refuse.

use std::collections::BTreeMap;

use cutting::boards::*;
use effort::Effort;
use proptest::prelude::*;

const SAW: Saw = Saw {
    rip_kerf: 2,
    cross_kerf: 3,
    end_trim: 5,
    edge_trim: 1,
    margin_along: 2,
    margin_across: 1,
};

fn mark(along: (u64, u64), across: (u64, u64), face: Face, severity: Severity) -> Mark {
    Mark {
        along: Span::new(along.0, along.1),
        across: Span::new(across.0, across.1),
        face,
        severity,
    }
}

/// 100 × 30, a hole in the lower half and a knot on the back in the upper.
fn board() -> Board {
    Board {
        length: 100,
        width: 30,
        marks: vec![
            mark((40, 44), (5, 8), Face::Through, Severity::Unsound),
            mark((60, 63), (20, 22), Face::Back, Severity::Sound),
        ],
    }
}

fn part(length: u64, width: u64, quality: Quality, value: f64) -> Part {
    Part {
        length,
        width,
        quality,
        value,
        need: None,
    }
}

fn parts() -> Vec<Part> {
    vec![
        part(40, 13, Quality::ClearOne, 520.0),
        part(25, 13, Quality::ClearBoth, 300.0),
        part(30, 10, Quality::Sound, 280.0),
    ]
}

/// C: usable 5..95 and 1..29, so two strips of 13 with a kerf of 2 fit exactly: 1..14 and 16..29. The lower meets
/// the hole kept clear from 38 to 46: 33 and 49 are left, 25 + 40 = 820. The upper meets only a knot on the back,
/// allowed for one face clear: 40 + 3 + 40 = 83 of 90, 1,040. Together 1,860.
#[test]
fn ripping_worked_by_hand() {
    let wish = Wish {
        orders: Orders::RipFirst,
        ..Wish::default()
    };
    let answer = best_plans(&board(), &parts(), &SAW, &wish, Effort::unlimited()).unwrap();
    let plan = &answer.plans[0];
    assert_eq!((plan.value, answer.proved), (1860.0, true));
    assert_eq!(plan.first_widths(), [13, 13]);
    assert_eq!(plan.counts(3), [3, 1, 0]);
    assert_eq!(check(&board(), &parts(), &SAW, plan), Ok(()));
    // Which face shows: the upper parts are clear on the front; over the knot not on the back.
    let upper: Vec<Placed> = plan
        .placed()
        .filter(|placed| placed.across.from > 14)
        .copied()
        .collect();
    let faces: Vec<(bool, bool)> = upper
        .iter()
        .map(|one| check::clear_faces(&board(), &SAW, one))
        .collect();
    assert!(faces.iter().all(|faces| faces.0) && faces.iter().any(|faces| !faces.1));
}

/// CS-05 (computed): 2,400, parts of 800, kerf 4: two to a board, as 3 × 800 + 2 × 4 > 2,400.
#[test]
fn kerfs_count_between_parts_only() {
    let board = Board {
        length: 2400,
        width: 1,
        marks: Vec::new(),
    };
    let parts = [part(800, 1, Quality::ClearBoth, 1.0)];
    let saw = |cross_kerf: u64| Saw {
        cross_kerf,
        ..Saw::default()
    };
    assert_eq!(best_crosscut(&board, &parts, &saw(4)).unwrap().value, 2.0);
    assert_eq!(best_crosscut(&board, &parts, &saw(0)).unwrap().value, 3.0);
}

/// C: a hole at 32..34 of 64 leaves 32 before it and 30 behind. By eye the longest first: 30 + 30 = 60; the best
/// is 16 + 16 before it and 30 behind: 62.
#[test]
fn left_to_right_is_not_the_best() {
    let board = Board {
        length: 64,
        width: 1,
        marks: vec![mark((32, 34), (0, 1), Face::Front, Severity::Unsound)],
    };
    let parts = [
        part(16, 1, Quality::Sound, 16.0),
        part(30, 1, Quality::Sound, 30.0),
    ];
    let saw = Saw::default();
    assert_eq!(left_to_right(&board, &parts, &saw).unwrap().value, 60.0);
    assert_eq!(best_crosscut(&board, &parts, &saw).unwrap().value, 62.0);
}

/// A mark shorter than the kerf does not spare the cut: 3 | mark of 1 | 3 in 7, kerf 2, holds one part of 3.
#[test]
fn a_mark_shorter_than_the_kerf_is_no_cut() {
    let board = Board {
        length: 7,
        width: 1,
        marks: vec![mark((3, 4), (0, 1), Face::Through, Severity::Unsound)],
    };
    let parts = [part(3, 1, Quality::Sound, 1.0)];
    let saw = |cross_kerf: u64| Saw {
        cross_kerf,
        ..Saw::default()
    };
    assert_eq!(best_crosscut(&board, &parts, &saw(1)).unwrap().value, 2.0);
    assert_eq!(best_crosscut(&board, &parts, &saw(2)).unwrap().value, 1.0);
}

#[test]
fn questions_without_sense_are_refused() {
    let ask = |board: &Board, parts: &[Part], saw: &Saw| {
        best_plans(board, parts, saw, &Wish::default(), Effort::unlimited())
            .map(|answer| answer.bound)
    };
    let good = board();
    assert_eq!(
        ask(
            &Board {
                width: 0,
                ..board()
            },
            &parts(),
            &SAW
        ),
        Err(BoardFault::EmptyBoard(0))
    );
    let reversed = Board {
        marks: vec![mark((9, 3), (0, 1), Face::Front, Severity::Sound)],
        ..board()
    };
    assert_eq!(
        ask(&reversed, &parts(), &SAW),
        Err(BoardFault::ReversedMark { board: 0, mark: 0 })
    );
    let no_length = [part(0, 5, Quality::Sound, 1.0)];
    assert_eq!(ask(&good, &no_length, &SAW), Err(BoardFault::EmptyPart(0)));
    let no_value = [part(5, 5, Quality::Sound, f64::NAN)];
    assert_eq!(ask(&good, &no_value, &SAW), Err(BoardFault::BadValue(0)));
    let long = Board {
        length: u64::MAX,
        ..board()
    };
    assert_eq!(ask(&long, &parts(), &SAW), Err(BoardFault::TooLong));
    let crumbs = [part(1, 5, Quality::Sound, 1.0)];
    let wide = Board {
        length: 1 << 30,
        ..board()
    };
    assert_eq!(ask(&wide, &crumbs, &SAW), Err(BoardFault::TooManyParts(0)));
    // Trims that leave nothing, or no parts at all, are answered: nothing can be cut.
    assert_eq!(
        ask(
            &good,
            &parts(),
            &Saw {
                end_trim: 60,
                ..SAW
            }
        ),
        Ok(0.0)
    );
    assert_eq!(ask(&good, &[], &SAW), Ok(0.0));
}

fn faults(plan: &BoardPlan) -> Vec<PlanFault> {
    check(&board(), &parts(), &SAW, plan).expect_err("a broken plan is refused")
}

/// A sound plan broken in one place after another.
#[test]
fn broken_plans_are_refused() {
    let wish = Wish {
        orders: Orders::RipFirst,
        ..Wish::default()
    };
    let good = best_plans(&board(), &parts(), &SAW, &wish, Effort::unlimited())
        .unwrap()
        .plans
        .swap_remove(0);
    let broken = |change: &dyn Fn(&mut BoardPlan)| {
        let mut plan = good.clone();
        change(&mut plan);
        faults(&plan)
    };
    let first = |plan: &mut BoardPlan, change: &dyn Fn(&mut Placed)| {
        change(&mut plan.strips[0].sections[0].parts[0]);
    };

    let worth = broken(&|plan| plan.value += 1.0);
    assert_eq!(
        worth,
        [PlanFault::WrongValue {
            stated: 1861.0,
            counted: 1860.0
        }]
    );
    let unknown = broken(&|plan| first(plan, &|one| one.part = 7));
    assert!(unknown.contains(&PlanFault::NoSuchPart(7)));
    let longer = broken(&|plan| first(plan, &|one| one.along.to += 1));
    assert!(
        longer
            .iter()
            .any(|fault| matches!(fault, PlanFault::WrongSize(_)))
    );
    let trim = broken(&|plan| {
        first(plan, &|one| {
            one.along = Span::new(4, 4 + one.along.length());
        });
    });
    assert!(
        trim.iter()
            .any(|fault| matches!(fault, PlanFault::OutsideBoard(_)))
    );
    let into_mark = broken(&|plan| {
        first(plan, &|one| {
            one.along = Span::new(20, 20 + one.along.length());
        });
    });
    assert!(
        into_mark
            .iter()
            .any(|fault| matches!(fault, PlanFault::BadQuality(_)))
    );
    let kerf = broken(&|plan| {
        let before = plan.strips[1].sections[0].span.to;
        let section = &mut plan.strips[1].sections[1];
        section.span = Span::new(before + 2, before + 42);
        section.parts[0].along = section.span;
    });
    assert!(
        kerf.iter()
            .any(|fault| matches!(fault, PlanFault::TooClose(..)))
    );
    assert!(kerf.contains(&PlanFault::BadSection {
        strip: 1,
        section: 1
    }));
    let strips = broken(&|plan| plan.strips.swap(0, 1));
    assert!(strips.contains(&PlanFault::BadStrip(1)));
    let narrow = broken(&|plan| plan.strips[0].span.to -= 1);
    assert!(narrow.contains(&PlanFault::BadParts {
        strip: 0,
        section: 0
    }));
    let order = broken(&|plan| plan.order = Order::CrosscutFirst);
    assert!(!order.is_empty());
    let whole = broken(&|plan| plan.order = Order::Crosscut);
    assert!(whole.contains(&PlanFault::BadStrip(0)));
}

/// The best value of every set of rips, by trying every position.
fn by_rips(
    board: &Board,
    parts: &[Part],
    saw: &Saw,
    at: u64,
    widths: &mut Vec<u64>,
    value: f64,
    found: &mut BTreeMap<Vec<u64>, f64>,
) {
    let mut set = widths.clone();
    set.sort_unstable();
    let best = found.entry(set).or_insert(0.0);
    *best = best.max(value);
    let across = saw.usable_across(board);
    let mut sizes: Vec<u64> = parts.iter().map(|part| part.width).collect();
    sizes.sort_unstable();
    sizes.dedup();
    for from in at..across.to {
        for &width in &sizes {
            if from + width > across.to {
                continue;
            }
            let strip = Saw {
                edge_trim: 0,
                ..*saw
            };
            let alone = alone(board, saw, Span::new(from, from + width));
            let of_width: Vec<Part> = parts
                .iter()
                .filter(|part| part.width == width)
                .copied()
                .collect();
            let worth = best_crosscut(&alone, &of_width, &strip)
                .expect("a strip of a good board is good")
                .value;
            if worth > 0.0 {
                widths.push(width);
                by_rips(
                    board,
                    parts,
                    saw,
                    from + width + saw.rip_kerf,
                    widths,
                    value + worth,
                    found,
                );
                widths.pop();
            }
        }
    }
}

/// A strip as a board of its own; marks whose margins reach it go right across.
fn alone(board: &Board, saw: &Saw, across: Span) -> Board {
    let met = board
        .marks
        .iter()
        .filter(|mark| saw.kept_clear(mark).1.overlaps(across));
    let full = |mark: &Mark| Mark {
        across: Span::new(0, across.length()),
        ..*mark
    };
    Board {
        length: board.length,
        width: across.length(),
        marks: met.map(full).collect(),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn the_ranking_is_that_of_the_sets_of_rips(
        marks in proptest::collection::vec((0..20_u64, 0..4_u64, 0..9_u64, 0..3_u64, 0..3_usize), 0..4),
        sizes in proptest::collection::vec((3..9_u64, 2..5_u64, 1..30_u32), 1..4),
        kerf in 0..2_u64,
    ) {
        let faces = [Face::Front, Face::Back, Face::Through];
        let board = Board {
            length: 22,
            width: 10,
            marks: marks.iter().map(|&(x, l, y, w, f)| mark((x, x + l), (y, y + w), faces[f], Severity::Sound)).collect(),
        };
        let parts: Vec<Part> = sizes.iter().map(|&(l, w, v)| part(l, w, Quality::ClearOne, f64::from(v))).collect();
        let saw = Saw { rip_kerf: kerf, cross_kerf: kerf, ..Saw::default() };
        let mut found = BTreeMap::new();
        by_rips(&board, &parts, &saw, 0, &mut Vec::new(), 0.0, &mut found);
        let mut expected: Vec<f64> = found.into_values().collect();
        expected.sort_by(|a, b| b.total_cmp(a));
        let wish = Wish { orders: Orders::RipFirst, salvage: false, keep: 4 };
        let answer = best_plans(&board, &parts, &saw, &wish, Effort::unlimited()).unwrap();
        let ranked: Vec<f64> = answer.plans.iter().map(|plan| plan.value).collect();
        let count = expected.len().min(4);
        prop_assert_eq!(&ranked[..count.min(ranked.len())], &expected[..count.min(ranked.len())]);
        // An empty plan is only listed when nothing else is left to list.
        prop_assert!(ranked.len() == count, "{:?} for {:?}", ranked, expected);
    }
}
