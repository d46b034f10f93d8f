//! One board: everything against brute force on tiny boards.

use cutting::boards::*;
use effort::Effort;
use proptest::prelude::*;

/// Plans found by trying every whole-number position.
mod brute {
    use super::*;

    /// Most value from crosscuts of the full width.
    pub(super) fn crosscut(board: &Board, parts: &[Part], saw: &Saw) -> f64 {
        let across = saw.usable_across(board);
        line(board, parts, saw, across, &|part| {
            part.width <= across.length()
        })
    }

    /// Most value along a strip, from the right end: at every point nothing, or any part.
    fn line(
        board: &Board,
        parts: &[Part],
        saw: &Saw,
        across: Span,
        fits: &dyn Fn(&Part) -> bool,
    ) -> f64 {
        let along = saw.usable_along(board);
        let mut best = vec![0.0_f64; (along.to + 2) as usize];
        for at in (along.from..along.to).rev() {
            let mut here = best[at as usize + 1];
            for part in parts.iter().filter(|part| fits(part)) {
                let span = Span::new(at, at + part.length);
                if span.to <= along.to && good(board, saw, part.quality, span, across) {
                    let next = (span.to + saw.cross_kerf).min(along.to) as usize;
                    here = here.max(part.value + best[next]);
                }
            }
            best[at as usize] = here;
        }
        best[along.from as usize]
    }

    /// Most value ripped first.
    pub(super) fn rip_first(board: &Board, parts: &[Part], saw: &Saw) -> f64 {
        let across = saw.usable_across(board);
        let mut best = vec![0.0_f64; (across.to + 2) as usize];
        for at in (across.from..across.to).rev() {
            let mut here = best[at as usize + 1];
            for width in parts.iter().map(|part| part.width) {
                let span = Span::new(at, at + width);
                if span.to <= across.to {
                    let next = (span.to + saw.rip_kerf).min(across.to) as usize;
                    let strip = line(board, parts, saw, span, &|part| part.width == width);
                    here = here.max(strip + best[next]);
                }
            }
            best[at as usize] = here;
        }
        best[across.from as usize]
    }

    fn good(board: &Board, saw: &Saw, quality: Quality, along: Span, across: Span) -> bool {
        let (mut front, mut back, mut sound) = (true, true, true);
        for mark in &board.marks {
            let (a, c) = saw.kept_clear(mark);
            if a.from < along.to && along.from < a.to && c.from < across.to && across.from < c.to {
                front &= mark.face == Face::Back;
                back &= mark.face == Face::Front;
                sound &= mark.severity == Severity::Sound;
            }
        }
        match quality {
            Quality::ClearBoth => front && back && sound,
            Quality::ClearOne => sound && (front || back),
            Quality::Sound => sound,
        }
    }
}

/// The question seen from the side: length and width exchanged.
fn turned(board: &Board, parts: &[Part], saw: &Saw) -> (Board, Vec<Part>, Saw) {
    let mark = |m: &Mark| Mark {
        along: m.across,
        across: m.along,
        ..*m
    };
    let part = |p: &Part| Part {
        length: p.width,
        width: p.length,
        ..*p
    };
    let saw = Saw {
        rip_kerf: saw.cross_kerf,
        cross_kerf: saw.rip_kerf,
        end_trim: saw.edge_trim,
        edge_trim: saw.end_trim,
        margin_along: saw.margin_across,
        margin_across: saw.margin_along,
    };
    let board = Board {
        length: board.width,
        width: board.length,
        marks: board.marks.iter().map(mark).collect(),
    };
    (board, parts.iter().map(part).collect(), saw)
}

fn tiny_mark(length: u64, width: u64) -> impl Strategy<Value = Mark> {
    let face = prop_oneof![Just(Face::Front), Just(Face::Back), Just(Face::Through)];
    let severity = prop_oneof![Just(Severity::Sound), Just(Severity::Unsound)];
    ((0..length, 0..4_u64), (0..width, 0..3_u64), face, severity).prop_map(
        |((x, l), (y, w), face, severity)| Mark {
            along: Span::new(x, x + l),
            across: Span::new(y, y + w),
            face,
            severity,
        },
    )
}

fn tiny_board() -> impl Strategy<Value = Board> {
    (5..40_u64, 2..12_u64).prop_flat_map(|(length, width)| {
        proptest::collection::vec(tiny_mark(length, width), 0..6).prop_map(move |marks| Board {
            length,
            width,
            marks,
        })
    })
}

fn tiny_parts() -> impl Strategy<Value = Vec<Part>> {
    let quality = prop_oneof![
        Just(Quality::ClearBoth),
        Just(Quality::ClearOne),
        Just(Quality::Sound)
    ];
    let part = (1..14_u64, 1..6_u64, quality, 0..20_u32);
    let part = part.prop_map(|(length, width, quality, value)| Part {
        length,
        width,
        quality,
        value: f64::from(value),
        need: None,
    });
    proptest::collection::vec(part, 1..5)
}

fn tiny_saw() -> impl Strategy<Value = Saw> {
    (0..3_u64, 0..3_u64, 0..3_u64, 0..2_u64, 0..2_u64, 0..2_u64).prop_map(
        |(rip_kerf, cross_kerf, end_trim, edge_trim, margin_along, margin_across)| Saw {
            rip_kerf,
            cross_kerf,
            end_trim,
            edge_trim,
            margin_along,
            margin_across,
        },
    )
}

fn only(orders: Orders, keep: usize) -> Wish {
    Wish {
        orders,
        keep,
        ..Wish::default()
    }
}

fn larger_board() -> impl Strategy<Value = Board> {
    (2_000..40_000_u64, 500..3_000_u64).prop_flat_map(|(length, width)| {
        let place = (
            0..length,
            0..800_u64,
            0..width,
            0..200_u64,
            0..3_usize,
            any::<bool>(),
        );
        let mark = place.prop_map(|(x, l, y, w, face, sound)| Mark {
            along: Span::new(x, x + l),
            across: Span::new(y, y + w),
            face: [Face::Front, Face::Back, Face::Through][face],
            severity: if sound {
                Severity::Sound
            } else {
                Severity::Unsound
            },
        });
        proptest::collection::vec(mark, 0..30).prop_map(move |marks| Board {
            length,
            width,
            marks,
        })
    })
}

fn larger_parts() -> impl Strategy<Value = Vec<Part>> {
    let qualities = [Quality::ClearBoth, Quality::ClearOne, Quality::Sound];
    let part = (
        900..15_000_u64,
        200..1_000_u64,
        0..3_usize,
        0.5..2.0_f64,
        0..6_u64,
    );
    let part = part.prop_map(move |(length, width, quality, rate, need)| Part {
        length,
        width,
        quality: qualities[quality],
        value: rate * (length * width) as f64,
        need: (need < 5).then_some(need),
    });
    proptest::collection::vec(part, 1..9)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// Boards of the size of real ones, too large for brute force: every plan holds, and the ways of cutting
    /// stand to each other and to the bounds as they must.
    #[test]
    fn larger_boards_hold(board in larger_board(), parts in larger_parts()) {
        let saw = Saw { rip_kerf: 32, cross_kerf: 40, end_trim: 250, edge_trim: 30, margin_along: 60, margin_across: 30 };
        let free: Vec<Part> = parts.iter().map(|part| Part { need: None, ..*part }).collect();
        let most = upper_bound(&board, &free, &saw).unwrap() * (1.0 + 1e-9);
        let solve = |parts: &[Part], orders, salvage| {
            let wish = Wish { orders, salvage, keep: 2 };
            best_plans(&board, parts, &saw, &wish, Effort::unlimited()).unwrap()
        };
        for orders in [Orders::Crosscut, Orders::RipFirst, Orders::CrosscutFirst, Orders::Either] {
            let (plain, within) = (solve(&free, orders, false), solve(&parts, orders, false));
            for (list, answer) in [(&free, &plain), (&parts, &within)] {
                for plan in &answer.plans {
                    prop_assert_eq!(check(&board, list, &saw, plan), Ok(()));
                }
                prop_assert!(answer.plans[0].value <= answer.bound * (1.0 + 1e-9));
            }
            prop_assert!(plain.proved && plain.bound <= most);
            prop_assert!(within.bound <= plain.bound * (1.0 + 1e-9));
        }
        let simple = rip_and_left_to_right(&board, &free, &saw).unwrap();
        prop_assert_eq!(check(&board, &free, &saw, &simple), Ok(()));
        prop_assert!(simple.value <= solve(&free, Orders::RipFirst, false).bound * (1.0 + 1e-9));
        let salvaged = solve(&free, Orders::Either, true);
        prop_assert_eq!(check(&board, &free, &saw, &salvaged.plans[0]), Ok(()));
        prop_assert!(salvaged.plans[0].value <= most);
        prop_assert!(salvaged.plans[0].value >= solve(&free, Orders::Either, false).bound * (1.0 - 1e-9));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1024))]

    #[test]
    fn the_crosscut_is_the_best_there_is(board in tiny_board(), parts in tiny_parts(), saw in tiny_saw()) {
        let plan = best_crosscut(&board, &parts, &saw).unwrap();
        prop_assert_eq!(check(&board, &parts, &saw, &plan), Ok(()));
        prop_assert_eq!(plan.value, brute::crosscut(&board, &parts, &saw));
        let simple = left_to_right(&board, &parts, &saw).unwrap();
        prop_assert_eq!(check(&board, &parts, &saw, &simple), Ok(()));
        prop_assert!(simple.value <= plan.value);
        let answer = best_plans(&board, &parts, &saw, &only(Orders::Crosscut, 1), Effort::unlimited()).unwrap();
        prop_assert_eq!(check(&board, &parts, &saw, &answer.plans[0]), Ok(()));
        prop_assert_eq!(answer.plans[0].value, plan.value);
    }

    #[test]
    fn both_orders_are_the_best_there_is(board in tiny_board(), parts in tiny_parts(), saw in tiny_saw()) {
        let solve = |orders| best_plans(&board, &parts, &saw, &only(orders, 3), Effort::unlimited()).unwrap();
        let bound = upper_bound(&board, &parts, &saw).unwrap();
        let rip = brute::rip_first(&board, &parts, &saw);
        let (b, p, s) = turned(&board, &parts, &saw);
        let chop = brute::rip_first(&b, &p, &s);
        let orders = [(Orders::RipFirst, rip), (Orders::CrosscutFirst, chop), (Orders::Either, rip.max(chop))];
        for (orders, most) in orders {
            let answer = solve(orders);
            for plan in &answer.plans {
                prop_assert_eq!(check(&board, &parts, &saw, plan), Ok(()));
            }
            prop_assert!(answer.plans.is_sorted_by(|a, b| a.value >= b.value));
            prop_assert_eq!(answer.plans[0].value, most);
            prop_assert_eq!(answer.bound, most);
            prop_assert!(answer.proved);
            prop_assert!(most <= bound * (1.0 + 1e-12), "{} above {}", most, bound);
        }
    }

    #[test]
    fn salvage_only_adds(board in tiny_board(), parts in tiny_parts(), saw in tiny_saw()) {
        let bound = upper_bound(&board, &parts, &saw).unwrap();
        for orders in [Orders::RipFirst, Orders::CrosscutFirst, Orders::Either] {
            let solve = |salvage| {
                let wish = Wish { orders, salvage, keep: 2 };
                best_plans(&board, &parts, &saw, &wish, Effort::unlimited()).unwrap()
            };
            let (plain, more) = (solve(false), solve(true));
            for plan in &more.plans {
                prop_assert_eq!(check(&board, &parts, &saw, plan), Ok(()));
            }
            prop_assert!(more.plans[0].value >= plain.plans[0].value);
            prop_assert_eq!(more.bound, bound);
            prop_assert!(more.plans[0].value <= bound * (1.0 + 1e-12));
        }
    }

    #[test]
    fn needs_are_kept_to_and_bounded(board in tiny_board(), parts in tiny_parts(), saw in tiny_saw(), needs in proptest::collection::vec(0..3_u64, 5)) {
        let limit = |(part, need): (&Part, &u64)| Part { need: Some(*need), ..*part };
        let limited: Vec<Part> = parts.iter().zip(&needs).map(limit).collect();
        let free = best_plans(&board, &parts, &saw, &Wish::default(), Effort::unlimited()).unwrap();
        let answer = best_plans(&board, &limited, &saw, &Wish::default(), Effort::unlimited()).unwrap();
        let plan = &answer.plans[0];
        prop_assert_eq!(check(&board, &limited, &saw, plan), Ok(()));
        for (count, need) in plan.counts(parts.len()).into_iter().zip(&needs) {
            prop_assert!(count <= *need);
        }
        prop_assert!(plan.value <= answer.bound * (1.0 + 1e-9));
        prop_assert!(answer.bound <= free.bound * (1.0 + 1e-9));
        // The one part worth most, if it fits at all, is within every need above zero.
        let alone = |part: &Part| best_plans(&board, &[Part { need: Some(1), ..*part }], &saw, &Wish::default(), Effort::unlimited()).unwrap().plans[0].value;
        let single = limited.iter().filter(|part| part.need != Some(0)).map(alone).fold(0.0, f64::max);
        prop_assert!(answer.bound >= single * (1.0 - 1e-9));
    }
}
