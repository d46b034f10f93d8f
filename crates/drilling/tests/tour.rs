//! Orders of holes against known optima, small exact ones, and what must hold for any points.

use drilling::motion::Axis;
use drilling::tour::{
    AxisTime, Ends, Euclidean, EuclideanRounded, Metric, Point, Question, Setting, Tour, TourError,
    TourFault, bound, check, exact, solve,
};
use effort::Effort;
use proptest::prelude::*;

/// berlin52 of Reinelt 1991, TSPLIB (52 places in Berlin, Groetschel).
const BERLIN_52: [Point; 52] = [
    [565.0, 575.0],
    [25.0, 185.0],
    [345.0, 750.0],
    [945.0, 685.0],
    [845.0, 655.0],
    [880.0, 660.0],
    [25.0, 230.0],
    [525.0, 1000.0],
    [580.0, 1175.0],
    [650.0, 1130.0],
    [1605.0, 620.0],
    [1220.0, 580.0],
    [1465.0, 200.0],
    [1530.0, 5.0],
    [845.0, 680.0],
    [725.0, 370.0],
    [145.0, 665.0],
    [415.0, 635.0],
    [510.0, 875.0],
    [560.0, 365.0],
    [300.0, 465.0],
    [520.0, 585.0],
    [480.0, 415.0],
    [835.0, 625.0],
    [975.0, 580.0],
    [1215.0, 245.0],
    [1320.0, 315.0],
    [1250.0, 400.0],
    [660.0, 180.0],
    [410.0, 250.0],
    [420.0, 555.0],
    [575.0, 665.0],
    [1150.0, 1160.0],
    [700.0, 580.0],
    [685.0, 595.0],
    [685.0, 610.0],
    [770.0, 610.0],
    [795.0, 645.0],
    [720.0, 635.0],
    [760.0, 650.0],
    [475.0, 960.0],
    [95.0, 260.0],
    [875.0, 920.0],
    [700.0, 500.0],
    [555.0, 815.0],
    [830.0, 485.0],
    [1170.0, 65.0],
    [830.0, 610.0],
    [605.0, 625.0],
    [595.0, 360.0],
    [1340.0, 725.0],
    [1740.0, 245.0],
];

fn question<M: Metric>(points: &[Point], ends: Ends, metric: M) -> Question<'_, M> {
    Question::new(points, ends, metric).expect("good coordinates")
}

/// A checked answer within so many steps.
fn solved<M: Metric>(question: &Question<'_, M>, steps: u64) -> Tour {
    let tour = solve(question, Setting::default(), Effort::steps(steps));
    assert_eq!(check(question, &tour), Ok(()));
    assert!(tour.length <= tour.start_length * (1.0 + 1e-12));
    tour
}

/// TS-06 (read: TSPLIB; computed by an exact solver): 7542. TS-08 (computed): the bound is 7542 as well.
#[test]
fn berlin_52_is_solved_and_proved() {
    let question = question(&BERLIN_52, Ends::Closed, EuclideanRounded);
    let tour = solved(&question, 100_000);
    assert_eq!(tour.length, 7542.0);
    assert_eq!(
        bound(&question, tour.length, Effort::steps(5_000_000)),
        7542.0
    );
}

fn lattice(columns: u32, rows: u32, pitch: f64) -> Vec<Point> {
    let place = |n: u32| pitch * f64::from(n);
    (0..columns * rows)
        .map(|n| [place(n % columns), place(n / columns)])
        .collect()
}

/// A lattice with an even number of holes has a tour of pitches only; no tour of n holes is shorter than n pitches.
#[test]
fn an_even_lattice_takes_a_pitch_for_each_hole() {
    for (columns, rows) in [(6, 8), (16, 20), (2, 30), (5, 6)] {
        let points = lattice(columns, rows, 0.025);
        let question = question(&points, Ends::Closed, Euclidean);
        let expected = 0.025 * points.len() as f64;
        let tour = solved(&question, 2_000_000);
        assert!(
            (tour.length - expected).abs() < 1e-9,
            "{columns} × {rows}: {}",
            tour.length
        );
        let bound = bound(&question, tour.length, Effort::steps(1_000_000));
        assert!(
            bound <= tour.length && bound > expected * (1.0 - 1e-9),
            "{bound}"
        );
    }
}

/// From one corner of a lattice a way of pitches only leads through all holes, row by row: n − 1 pitches, and one to
/// get from the start beside the corner.
#[test]
fn a_way_through_a_lattice_from_a_start() {
    let points = lattice(5, 7, 1.0);
    let ends = Ends::Open {
        start: Some([-1.0, 0.0]),
        park: None,
    };
    let question = question(&points, ends, Euclidean);
    let tour = solved(&question, 500_000);
    assert!((tour.length - 35.0).abs() < 1e-9);
    assert_eq!(tour.order[0], 0);
    let bound = bound(&question, tour.length, Effort::steps(1_000_000));
    assert!(
        bound <= tour.length && bound > 35.0 * (1.0 - 1e-9),
        "{bound}"
    );
}

#[test]
fn the_checker_refuses_what_is_wrong() {
    let question = question(&BERLIN_52, Ends::Closed, EuclideanRounded);
    let good = solved(&question, 1_000);
    let with = |change: &dyn Fn(&mut Tour)| {
        let mut tour = good.clone();
        change(&mut tour);
        check(&question, &tour)
    };
    let last = good.order[51];
    assert_eq!(
        with(&|tour| tour.order.truncate(51)),
        Err(TourFault::Missed(last))
    );
    assert_eq!(
        with(&|tour| tour.order.push(last)),
        Err(TourFault::Twice(last))
    );
    assert_eq!(
        with(&|tour| tour.order[3] = 52),
        Err(TourFault::Unknown(52))
    );
    assert!(matches!(
        with(&|tour| tour.length -= 1.0),
        Err(TourFault::Length { .. })
    ));
    assert!(matches!(
        with(&|tour| tour.length = f64::NAN),
        Err(TourFault::Length { .. })
    ));
}

#[test]
fn coordinates_that_are_none_are_refused() {
    let refused = Question::new(&[[0.0, f64::NAN]], Ends::Closed, Euclidean);
    assert!(matches!(refused, Err(TourError::Coordinate { .. })));
    let ends = Ends::Open {
        start: Some([f64::INFINITY, 0.0]),
        park: None,
    };
    assert!(Question::new(&[], ends, Euclidean).is_err());
}

#[test]
fn the_same_question_has_the_same_answer_and_a_stop_is_told() {
    let question = question(&BERLIN_52, Ends::Closed, EuclideanRounded);
    let setting = Setting {
        seed: 7,
        kicks_per_point: 20,
    };
    let [one, two] = [(); 2].map(|()| solve(&question, setting, Effort::unlimited()));
    assert_eq!(one, two);
    assert!(!one.stopped);
    let stop = || true;
    let stopped = solve(&question, setting, Effort::unlimited().or_until(&stop));
    assert!(stopped.stopped);
    assert_eq!(check(&question, &stopped), Ok(()));
    assert_eq!(stopped.length, stopped.start_length);
    assert_eq!(
        bound(&question, 7542.0, Effort::unlimited().or_until(&stop)),
        0.0
    );
}

/// Points that all lie in one place, or on a line, have hardly any neighbours worth the name.
#[test]
fn odd_shapes_do_no_harm() {
    let heap = vec![[0.5, 0.5]; 40];
    let line: Vec<Point> = (0..40).map(|n| [f64::from(n), 0.0]).collect();
    for ends in all_ends([0.0, 0.0], [39.0, 0.0]) {
        let same = question(&heap, ends, Euclidean);
        let tour = solved(&same, 10_000);
        assert!(bound(&same, tour.length, Effort::steps(100_000)) <= tour.length);
        let straight = question(&line, ends, Euclidean);
        let tour = solved(&straight, 100_000);
        let expected = if ends == Ends::Closed { 78.0 } else { 39.0 };
        assert!(
            (tour.length - expected).abs() < 1e-9,
            "{ends:?}: {}",
            tour.length
        );
    }
    for few in 0..4 {
        for ends in all_ends([0.0, 0.0], [0.0, 0.0]) {
            let question = question(&line[..few], ends, Euclidean);
            let tour = solved(&question, 100);
            let bound = bound(&question, tour.length, Effort::steps(1_000));
            assert!(
                bound <= tour.length,
                "{few} {ends:?}: {bound} > {}",
                tour.length
            );
        }
    }
}

fn all_ends(start: Point, park: Point) -> [Ends; 5] {
    let open = |start, park| Ends::Open { start, park };
    [
        Ends::Closed,
        open(None, None),
        open(Some(start), None),
        open(None, Some(park)),
        open(Some(start), Some(park)),
    ]
}

/// The shortest way by trying, for sets of points from small to large, each as the last one: Held & Karp 1962, written
/// apart from the engine's, on the question's own length of legs.
fn shortest<M: Metric>(points: &[Point], ends: Ends, metric: &M) -> f64 {
    let n = points.len();
    let from_start = |a: usize| match ends {
        Ends::Open {
            start: Some(start), ..
        } => metric.between(start, points[a]),
        Ends::Open { start: None, .. } => 0.0,
        Ends::Closed if a == 0 => 0.0,
        Ends::Closed => f64::INFINITY,
    };
    let to_park = |a: usize| match ends {
        Ends::Open {
            park: Some(park), ..
        } => metric.between(points[a], park),
        Ends::Open { park: None, .. } => 0.0,
        Ends::Closed => metric.between(points[a], points[0]),
    };
    let mut best = vec![vec![f64::INFINITY; n]; 1 << n];
    for a in 0..n {
        best[1 << a][a] = from_start(a);
    }
    for set in 1_usize..1 << n {
        for last in (0..n).filter(|last| set >> last & 1 == 1) {
            for next in (0..n).filter(|next| set >> next & 1 == 0) {
                let length = best[set][last] + metric.between(points[last], points[next]);
                let entry = &mut best[set | 1 << next][next];
                *entry = entry.min(length);
            }
        }
    }
    (0..n)
        .map(|last| best[(1 << n) - 1][last] + to_park(last))
        .fold(f64::INFINITY, f64::min)
}

fn points(count: impl Into<prop::collection::SizeRange>) -> impl Strategy<Value = Vec<Point>> {
    let whole = || (0_i32..60).prop_map(f64::from);
    prop::collection::vec([whole(), whole()], count)
}

fn axes() -> AxisTime {
    AxisTime {
        x: Axis::new(10.0, 5.0).expect("above zero"),
        y: Axis::new(2.0, 20.0).expect("above zero"),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(20))]

    #[test]
    fn few_points_are_settled_exactly(points in points(1..9), start in [0.0_f64..60.0, 0.0_f64..60.0]) {
        for ends in all_ends(start, [30.0, 0.0]) {
            let question = question(&points, ends, Euclidean);
            let tour = exact(&question).expect("few points");
            prop_assert_eq!(check(&question, &tour), Ok(()));
            let shortest = shortest(&points, ends, &Euclidean);
            prop_assert!((tour.length - shortest).abs() < 1e-9, "{:?}: {} {}", ends, tour.length, shortest);
            let bound = bound(&question, tour.length, Effort::steps(200_000));
            prop_assert!(bound <= shortest && bound >= 0.0, "{:?}: {} > {}", ends, bound, shortest);
        }
    }

    #[test]
    fn the_search_finds_the_shortest_of_thirteen(points in points(13), start in [0.0_f64..60.0, 0.0_f64..60.0]) {
        for ends in all_ends(start, [30.0, 0.0]) {
            let question = question(&points, ends, axes());
            let tour = solved(&question, 5_000);
            let shortest = shortest(&points, ends, &axes());
            prop_assert!((tour.length - shortest).abs() < 1e-9, "{:?}: {} {}", ends, tour.length, shortest);
            let bound = bound(&question, tour.length, Effort::steps(30_000));
            prop_assert!(bound <= shortest);
        }
    }

    #[test]
    fn a_bound_is_never_above_a_way(points in points(14..60), start in [0.0_f64..60.0, 0.0_f64..60.0]) {
        for ends in all_ends(start, [0.0, 0.0]) {
            let whole = question(&points, ends, EuclideanRounded);
            let tour = solved(&whole, 2_000);
            prop_assert!(bound(&whole, tour.length, Effort::steps(100_000)) <= tour.length);
            // Even when the way to beat is a lie.
            for upper in [0.0, f64::NAN, f64::INFINITY, -1.0] {
                prop_assert!(bound(&whole, upper, Effort::steps(30_000)) <= tour.length);
            }
        }
    }

    #[test]
    fn moving_everything_by_whole_units_changes_nothing(points in points(14..50), by in [-500_i32..500, -500_i32..500]) {
        let by = by.map(f64::from);
        let moved: Vec<Point> = points.iter().map(|&[x, y]| [x + by[0], y + by[1]]).collect();
        let [here, there] = [&points, &moved].map(|points| {
            solved(&question(points, Ends::Closed, EuclideanRounded), 2_000)
        });
        prop_assert_eq!(here, there);
    }

    #[test]
    fn numbering_does_not_change_the_shortest_way(mut points in points(2..9), turn in 0_usize..9) {
        let before = solved(&question(&points, Ends::Closed, Euclidean), 1).length;
        let turn = turn % points.len();
        points.rotate_left(turn);
        let after = solved(&question(&points, Ends::Closed, Euclidean), 1).length;
        prop_assert!((before - after).abs() < 1e-9);
    }

    #[test]
    fn fixing_an_end_never_shortens_the_way(points in points(2..9), start in [0.0_f64..60.0, 0.0_f64..60.0]) {
        let length = |ends| solved(&question(&points, ends, Euclidean), 1).length;
        let open = |start, park| length(Ends::Open { start, park });
        let slack = 1.0 - 1e-12;
        prop_assert!(open(Some(start), None) >= open(None, None) * slack);
        prop_assert!(open(Some(start), Some(start)) >= open(Some(start), None) * slack);
        prop_assert!(length(Ends::Closed) >= open(None, None) * slack);
        // From a place and back to it is the closed tour with that place as one more point.
        let mut with_start = points.clone();
        with_start.push(start);
        let closed = solved(&question(&with_start, Ends::Closed, Euclidean), 1).length;
        prop_assert!((open(Some(start), Some(start)) - closed).abs() < 1e-9);
    }
}
