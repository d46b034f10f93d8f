//! Patterns against closed forms, and every accepted hole against a checker that only samples places.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use drilling::outline::{Arc, Contour, Edge, Ellipse, Next, Outline, OutlineFault, Point, Vertex};
use drilling::pattern::{
    Align, Axis, Bore, Curve, Fault, Frame, Hole, Layout, Panel, PatternFault, Ring, Rules,
    Spacing, check, inset, lay, web_between,
};
use proptest::prelude::*;

fn at(x: f64, y: f64) -> Point {
    Point::new(x, y)
}

#[track_caller]
fn near(found: f64, expected: f64, tolerance: f64) {
    assert!(
        (found - expected).abs() <= tolerance,
        "found {found}, expected {expected}"
    );
}

const RULES: Rules = Rules {
    edge_m: 0.003,
    web_m: 0.002,
    floor_m: 0.004,
    point_rad: 118.0 * PI / 180.0,
};

const BORE: Bore = Bore {
    diameter_m: 0.008,
    depth_m: 0.05,
    through: false,
    tilt_rad: 0.0,
    bearing_rad: 0.0,
    tool: 1,
    face: 0,
};

fn block(width_m: f64, height_m: f64) -> Panel {
    let outline =
        Outline::rectangle(at(0.0, 0.0), at(width_m, height_m), 0.0).expect("a sound question");
    Panel::new(outline, 0.07)
}

/// A block whose holes' centres may lie in a field of this size: 4 mm radius and 3 mm edge all round.
fn block_with_field(width_m: f64, height_m: f64) -> Panel {
    block(width_m + 0.014, height_m + 0.014)
}

fn count(layout: &Layout, panel: &Panel) -> usize {
    lay(layout, panel, &BORE, &RULES)
        .expect("a sound question")
        .holes
        .len()
}

fn grid(pitch_m: f64, align: Align) -> Layout {
    Layout::Grid {
        pitch_x_m: pitch_m,
        pitch_y_m: pitch_m,
        turn_rad: 0.0,
        align,
    }
}

fn staggered(pitch_m: f64, align: Align) -> Layout {
    Layout::Staggered {
        pitch_m,
        row_m: None,
        turn_rad: 0.0,
        align,
    }
}

#[test]
fn a_grid_fills_its_field() {
    // Field 100 × 40, pitch 20: 6 columns of 3, first hole 7 mm in from both edges.
    let laid = lay(
        &grid(0.02, Align::Centred),
        &block_with_field(0.1, 0.04),
        &BORE,
        &RULES,
    )
    .unwrap();
    assert_eq!(laid.holes.len(), 18);
    near(laid.holes[0].at.distance(at(0.007, 0.007)), 0.0, 1e-12);
    near(laid.holes[17].at.distance(at(0.107, 0.047)), 0.0, 1e-12);
    assert!(laid.left_out.is_empty());
    assert_eq!(
        check(&[block_with_field(0.1, 0.04)], &laid.holes, &RULES),
        []
    );
}

#[test]
fn equilateral_rows_fit_as_many_as_they_should() {
    // Field 100 × 40, pitch 20: rows 17.32 apart, ⌊40/17.32⌋ + 1 = 3; 6 in the outer rows, 5 between: 17.
    assert_eq!(
        count(
            &staggered(0.02, Align::Centred),
            &block_with_field(0.1, 0.04)
        ),
        17
    );
    // Field 112 wide: the moved row holds ⌊102/20⌋ + 1 = 6 too: 18.
    assert_eq!(
        count(
            &staggered(0.02, Align::Centred),
            &block_with_field(0.112, 0.04)
        ),
        18
    );
}

#[test]
fn a_lattice_at_a_place_has_a_hole_there() {
    let place = at(0.031, 0.022);
    let layout = staggered(0.015, Align::At(place));
    let laid = lay(&layout, &block(0.12, 0.06), &BORE, &RULES).unwrap();
    assert!(
        laid.holes
            .iter()
            .any(|hole| hole.at.distance(place) < 1e-12)
    );
}

#[test]
fn a_quarter_turn_swaps_rows_and_columns() {
    let layout = |pitch_x_m, pitch_y_m, turn_rad| Layout::Grid {
        pitch_x_m,
        pitch_y_m,
        turn_rad,
        align: Align::Centred,
    };
    let panel = block_with_field(0.1005, 0.0605);
    let upright = count(&layout(0.02, 0.012, 0.0), &panel);
    let turned = count(&layout(0.012, 0.02, FRAC_PI_2), &panel);
    // ⌊100.5/20⌋ + 1 = 6 by ⌊60.5/12⌋ + 1 = 6.
    assert_eq!((upright, turned), (36, 36));
}

fn ring(radius_m: f64, spacing: Spacing) -> Vec<Hole> {
    let layout = Layout::Rings {
        centre: at(0.1, 0.1),
        rings: vec![Ring {
            radius_m,
            spacing,
            first_rad: 0.3,
        }],
    };
    lay(&layout, &block(0.2, 0.2), &BORE, &RULES)
        .expect("a sound question")
        .holes
}

#[test]
fn rings_by_count_and_by_pitch() {
    // Six holes a radius apart close the ring (a hexagon's side is its radius).
    let six = ring(0.05, Spacing::Even(0.05));
    assert_eq!(six.len(), 6);
    near(six[0].at.distance(six[1].at), 0.05, 1e-12);
    // Eight: chord 2R sin(π/8) = 38.268 mm on R 50.
    let eight = ring(0.05, Spacing::Count(8));
    near(
        eight[7].at.distance(eight[0].at),
        0.1 * (PI / 8.0).sin(),
        1e-12,
    );
    near(
        eight[0]
            .at
            .distance(at(0.1, 0.1) + Point::at_angle(0.3) * 0.05),
        0.0,
        1e-12,
    );
    // 38.3 is too far for eight: seven, opened out evenly, or at their pitch with a wider last gap.
    assert_eq!(ring(0.05, Spacing::Even(0.0383)).len(), 7);
    let exact = ring(0.05, Spacing::Exactly(0.0383));
    assert_eq!(exact.len(), 7);
    near(exact[0].at.distance(exact[1].at), 0.0383, 1e-12);
    assert!(exact[6].at.distance(exact[0].at) > 0.0383);
    assert_eq!(ring(0.0, Spacing::Count(9)).len(), 1);
    assert_eq!(ring(0.01, Spacing::Even(0.05)).len(), 1);
}

fn along(curve: Curve, spacing: Spacing) -> Vec<Point> {
    let layout = Layout::Along { curve, spacing };
    let laid = lay(&layout, &block(0.3, 0.3), &BORE, &RULES).expect("a sound question");
    laid.holes.iter().map(|hole| hole.at).collect()
}

#[test]
fn along_a_line_and_round_a_corner() {
    // 100 mm, round a corner after 60: at 0, 33.3, 66.7 and 100.
    let bent = Curve::Polyline(vec![at(0.05, 0.05), at(0.11, 0.05), at(0.11, 0.09)]);
    let even = along(bent.clone(), Spacing::Even(0.03));
    assert_eq!(even.len(), 4);
    near(even[1].distance(at(0.05 + 0.1 / 3.0, 0.05)), 0.0, 1e-12);
    near(
        even[2].distance(at(0.11, 0.05 + 0.2 / 3.0 - 0.06)),
        0.0,
        1e-12,
    );
    near(even[3].distance(at(0.11, 0.09)), 0.0, 1e-12);
    // At 30 exactly: 0, 30, 60 and 90.
    let exact = along(bent.clone(), Spacing::Exactly(0.03));
    near(exact[3].distance(at(0.11, 0.08)), 0.0, 1e-12);
    // One alone stands in the middle.
    near(
        along(bent, Spacing::Count(1))[0].distance(at(0.1, 0.05)),
        0.0,
        1e-12,
    );
}

#[test]
fn along_a_circle_there_is_no_second_hole_at_the_seam() {
    let circle = Curve::Edges(vec![Edge::Arc(Arc::circle(at(0.15, 0.15), 0.05))]);
    let places = along(circle, Spacing::Count(12));
    assert_eq!(places.len(), 12);
    for i in 0..12 {
        // Chord of 30°: 2·50·sin 15°.
        near(
            places[i].distance(places[(i + 1) % 12]),
            0.1 * (PI / 12.0).sin(),
            1e-12,
        );
    }
}

#[test]
fn a_spline_goes_through_its_points_and_is_straight_where_they_are() {
    let straight = Curve::Spline(vec![at(0.05, 0.05), at(0.07, 0.05), at(0.15, 0.05)]);
    let places = along(straight, Spacing::Count(11));
    for (i, place) in places.iter().enumerate() {
        near(place.distance(at(0.05 + 0.01 * i as f64, 0.05)), 0.0, 1e-12);
    }
    // Sixteen points of a circle: the smooth curve stays near it and closes.
    let points: Vec<Point> = (0..=16)
        .map(|i| at(0.15, 0.15) + Point::at_angle(TAU * f64::from(i % 16) / 16.0) * 0.05)
        .collect();
    let places = along(Curve::Spline(points.clone()), Spacing::Count(32));
    assert_eq!(places.len(), 32);
    for (i, place) in places.iter().enumerate() {
        near(place.distance(at(0.15, 0.15)), 0.05, 0.1e-3);
        if i % 2 == 0 {
            // By symmetry every other place is one of the points.
            near(place.distance(points[i / 2]), 0.0, 2e-6);
        }
    }
}

#[test]
fn what_lies_too_near_the_edge_is_named() {
    let points = vec![
        at(0.01, 0.01),
        at(0.0069, 0.03),
        at(0.05, 0.03),
        at(0.5, 0.5),
    ];
    let laid = lay(&Layout::Points(points), &block(0.1, 0.06), &BORE, &RULES).unwrap();
    assert_eq!(laid.holes.len(), 2);
    assert_eq!(laid.left_out, [at(0.0069, 0.03), at(0.5, 0.5)]);
}

#[test]
fn questions_without_an_answer_are_refused() {
    let panel = block(0.1, 0.06);
    let ask = |layout: &Layout| lay(layout, &panel, &BORE, &RULES).unwrap_err();
    for pitch in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(matches!(
            ask(&grid(pitch, Align::Centred)),
            PatternFault::Size { .. }
        ));
        let along = Layout::Along {
            curve: Curve::Polyline(vec![at(0.0, 0.0), at(1.0, 0.0)]),
            spacing: Spacing::Even(pitch),
        };
        assert!(matches!(ask(&along), PatternFault::Size { .. }));
    }
    assert!(matches!(
        ask(&grid(1e-6, Align::Centred)),
        PatternFault::TooMany { .. }
    ));
    let none = Layout::Along {
        curve: Curve::Polyline(vec![at(0.05, 0.03)]),
        spacing: Spacing::Count(3),
    };
    assert_eq!(ask(&none), PatternFault::NoCurve);
    let nan = Layout::Points(vec![at(0.0, 0.0), at(f64::NAN, 0.0)]);
    assert_eq!(ask(&nan), PatternFault::NotFinite { point: 1 });
    let deep = Layout::AroundEdge {
        inset_m: 0.031,
        spacing: Spacing::Count(3),
    };
    assert!(matches!(ask(&deep), PatternFault::NothingInside { .. }));
    let flat = Rules {
        point_rad: 0.0,
        ..RULES
    };
    assert!(lay(&grid(0.02, Align::Centred), &panel, &BORE, &flat).is_err());
}

fn inset_length(outline: &Outline, inset_m: f64) -> (usize, f64) {
    let loops = inset(outline, inset_m).expect("a sound question");
    let length = loops.iter().flatten().map(Edge::length_m).sum();
    (loops.len(), length)
}

fn polygon(points: &[(f64, f64)]) -> Outline {
    let vertices: Vec<Vertex> = points
        .iter()
        .map(|(x, y)| Vertex::corner(at(*x, *y)))
        .collect();
    Outline::polygon(&vertices).expect("a sound question")
}

#[test]
fn the_inset_of_corners_and_of_an_angle() {
    // A rectangle loses 8 insets of its length: 2·(100 + 60) − 8·10 = 240.
    let (loops, length) = inset_length(&block(0.1, 0.06).outline, 0.01);
    assert_eq!(loops, 1);
    near(length, 0.24, 1e-9);
    // An L of 100 × 100 with arms of 40: five corners lose 2 insets each, the inward one gains a quarter circle:
    // 400 − 10·10 + π/2·10.
    let angle = [
        (0.0, 0.0),
        (0.1, 0.0),
        (0.1, 0.04),
        (0.04, 0.04),
        (0.04, 0.1),
        (0.0, 0.1),
    ];
    let (loops, length) = inset_length(&polygon(&angle), 0.01);
    assert_eq!(loops, 1);
    near(length, 0.3 + PI / 2.0 * 0.01, 1e-9);
    // The same run clockwise.
    let clockwise: Vec<(f64, f64)> = angle.into_iter().rev().collect();
    near(
        inset_length(&polygon(&clockwise), 0.01).1,
        0.3 + PI / 2.0 * 0.01,
        1e-9,
    );
    // A circle of 50 at 20: a circle of 30.
    let disc = Outline::circle(at(0.0, 0.0), 0.05).unwrap();
    near(inset_length(&disc, 0.02).1, TAU * 0.03, 1e-9);
    // Rounded corners of 5 at 10: sharp corners.
    let rounded = Outline::rectangle(at(0.0, 0.0), at(0.1, 0.06), 0.005).unwrap();
    near(inset_length(&rounded, 0.01).1, 0.24, 1e-9);
}

#[test]
fn a_narrow_neck_parts_the_inset_and_an_island_cuts_it() {
    // Two fields of 40 × 40 joined by a neck 10 wide; at 8 mm each keeps a square of 24.
    let bone = polygon(&[
        (0.0, 0.0),
        (0.04, 0.0),
        (0.04, 0.015),
        (0.08, 0.015),
        (0.08, 0.0),
        (0.12, 0.0),
        (0.12, 0.04),
        (0.08, 0.04),
        (0.08, 0.025),
        (0.04, 0.025),
        (0.04, 0.04),
        (0.0, 0.04),
    ]);
    let (loops, length) = inset_length(&bone, 0.008);
    assert_eq!(loops, 2);
    // The side towards the neck bulges round its two corners a little; the rest is straight.
    assert!(
        length > 2.0 * 3.0 * 0.024 && length < 2.0 * 4.2 * 0.024,
        "{length}"
    );
    let with_island = block(0.1, 0.06)
        .outline
        .with_islands([Outline::circle(at(0.05, 0.012), 0.004).unwrap()])
        .unwrap();
    let runs = inset(&with_island, 0.01).unwrap();
    assert_eq!(runs.len(), 1);
    let (first, last) = (runs[0][0], runs[0][runs[0].len() - 1]);
    // Open, both ends 10 mm from the island and from the lower edge.
    near(first.from().y, 0.01, 1e-9);
    near(last.to().y, 0.01, 1e-9);
    near(first.from().distance(at(0.05, 0.012)), 0.014, 1e-7);
    near(last.to().distance(at(0.05, 0.012)), 0.014, 1e-7);
}

#[test]
fn nearly_parallel_pieces_of_an_inset_close() {
    // Two insets cross here at a few hundredths of a degree: 3 µm beyond the crossing they are only 1 nm too near.
    let spokes = [
        (0.03, 0.0),
        (0.03, 0.0),
        (0.075_771_951_899_570_9, 0.010_615_824_459_171_646),
        (0.059_996_664_937_799_746, 0.024_715_121_249_682_71),
        (0.076_315_513_216_069_08, 0.0),
        (0.03, 0.0),
        (0.03, 0.0),
        (0.03, 0.0),
        (0.03, 0.0),
    ];
    let vertices: Vec<Vertex> = (0..9)
        .map(|i| Vertex {
            at: Point::at_angle(TAU * i as f64 / 9.0) * spokes[i].0,
            next: drilling::outline::Next::Bulge(spokes[i].1),
        })
        .collect();
    let outline = Outline::polygon(&vertices).unwrap();
    let loops = inset(&outline, 0.008_956_133_757_493_708).unwrap();
    assert_eq!(loops.len(), 1);
    let (first, last) = (loops[0][0], loops[0][loops[0].len() - 1]);
    near(first.from().distance(last.to()), 0.0, 2e-6);
}

/// A star with a corner at each radius, evenly spread, and an edge of the bulge beside it from there to the next.
fn star(spokes: &[(f64, f64)]) -> Result<Outline, OutlineFault> {
    let vertices: Vec<Vertex> = spokes
        .iter()
        .enumerate()
        .map(|(i, (radius, bulge))| Vertex {
            at: Point::at_angle(TAU * i as f64 / spokes.len() as f64) * *radius,
            next: Next::Bulge(*bulge),
        })
        .collect();
    Outline::polygon(&vertices)
}

#[test]
fn an_edge_with_its_centre_kilometres_away_keeps_its_inset() {
    // Found by the property test below. The fifth edge has a radius of 68 km, so that places reckoned from its
    // centre are off by 1e-11 m: its inset was cut 25 µm short, and dropped in other runs as too near to the edge.
    let spokes = [
        (0.042_010_152_150_671_89, -0.041_441_307_237_981_8),
        (0.061_494_573_272_599_086, -0.065_713_488_667_589_75),
        (0.097_362_864_064_111_93, 0.009_871_831_988_027_49),
        (0.093_979_457_296_787_06, 0.066_021_469_620_612_32),
        (0.061_282_866_595_568_11, -1.539_206_517_297_737_8e-7),
        (0.061_879_373_574_483_275, 0.021_760_302_680_357_23),
        (0.098_378_552_928_061_5, -0.017_201_723_792_719_247),
        (0.083_717_441_293_509_62, -0.049_689_677_686_037_395),
        (0.079_055_167_584_475_26, -0.091_650_220_413_541_87),
    ];
    let outline = star(&spokes).unwrap();
    let inset_m = 0.019_611_726_698_880_76;
    let loops = inset(&outline, inset_m).unwrap();
    assert_eq!(loops.len(), 1);
    let run = &loops[0];
    for (edge, next) in run.iter().zip(run.iter().cycle().skip(1)) {
        near(edge.to().distance(next.from()), 0.0, 1e-10);
        near(outline.edge_distance(edge.at(0.5)), inset_m, 1e-14);
    }
}

#[test]
fn the_widest_pitch_for_so_many() {
    // Field 100 × 100, 25 holes: five by five at 25. One hole: anything fits.
    let panel = block_with_field(0.1, 0.1);
    let open = |wanted| {
        grid(0.001, Align::Centred)
            .opened_to_fit(wanted, &panel, &BORE, &RULES)
            .unwrap()
    };
    let (Layout::Grid { pitch_x_m, .. }, laid) = open(25) else {
        panic!("a grid")
    };
    near(pitch_x_m, 0.025, 1e-9);
    assert_eq!(laid.holes.len(), 25);
    // 26 need six by six: pitch 20, and there are 36.
    let (Layout::Grid { pitch_x_m, .. }, laid) = open(26) else {
        panic!("a grid")
    };
    near(pitch_x_m, 0.02, 1e-9);
    assert_eq!(laid.holes.len(), 36);
    let many = grid(0.01, Align::Centred).opened_to_fit(5000, &panel, &BORE, &RULES);
    assert!(matches!(
        many,
        Err(PatternFault::DoNotFit { wanted: 5000, .. })
    ));
    // Around the edge they are shared out evenly.
    let around = Layout::AroundEdge {
        inset_m: 0.007,
        spacing: Spacing::Even(1.0),
    };
    let (_, laid) = around.opened_to_fit(40, &panel, &BORE, &RULES).unwrap();
    assert_eq!(laid.holes.len(), 40);
    near(laid.holes[0].at.distance(laid.holes[1].at), 0.01, 1e-9);
    let points = Layout::Points(Vec::new()).opened_to_fit(1, &panel, &BORE, &RULES);
    assert_eq!(points, Err(PatternFault::NoPitch));
}

fn faults_of(bores: &[(f64, f64, Bore)]) -> Vec<Fault> {
    let holes: Vec<Hole> = bores
        .iter()
        .map(|(x, y, bore)| Hole {
            at: at(*x, *y),
            bore: *bore,
        })
        .collect();
    check(&[block(0.1, 0.06)], &holes, &RULES)
}

#[test]
fn a_hole_too_near_the_edge() {
    // Centre 6 mm in, radius 4: 2 mm, 3 needed.
    let [
        Fault::NearEdge {
            hole: 0,
            gap_m,
            needed_m,
        },
    ] = faults_of(&[(0.006, 0.03, BORE)])[..]
    else {
        panic!()
    };
    near(gap_m, 0.002, 1e-12);
    near(needed_m, 0.003, 0.0);
    let text = faults_of(&[(0.006, 0.03, BORE)])[0].to_string();
    assert_eq!(
        text,
        "hole 1: 2.00 mm between its mouth and the edge, 3.00 mm needed"
    );
    let [Fault::OffFace { off_m, .. }] = faults_of(&[(-0.01, 0.03, BORE)])[..] else {
        panic!()
    };
    near(off_m, 0.01, 1e-12);
}

#[test]
fn a_floor_counts_the_point_of_the_drill() {
    // Point of 118° on 8 mm: 4/tan 59° = 2.403 mm. Depth 64 in 70: 70 − 66.403 = 3.597, 4 needed.
    let deep = |depth_m| Bore { depth_m, ..BORE };
    let [Fault::ThinFloor { left_m, .. }] = faults_of(&[(0.05, 0.03, deep(0.064))])[..] else {
        panic!()
    };
    near(left_m, 0.006 - 0.004 / 59.0_f64.to_radians().tan(), 1e-12);
    let [Fault::BreaksBack { by_m, .. }] = faults_of(&[(0.05, 0.03, deep(0.068))])[..] else {
        panic!()
    };
    near(by_m, 0.004 / 59.0_f64.to_radians().tan() - 0.002, 1e-12);
    // Leaning by 30°, the rim goes down L cos 30° + 4 sin 30°: with L 76, 67.82 of 70, less than the tip's
    // (76 + 2.403)·cos 30° = 67.90.
    let lean = Bore {
        tilt_rad: PI / 6.0,
        ..deep(0.076)
    };
    let [Fault::ThinFloor { left_m, .. }] = faults_of(&[(0.03, 0.03, lean)])[..] else {
        panic!()
    };
    near(
        left_m,
        0.07 - (0.076 + 0.004 / 59.0_f64.to_radians().tan()) * (PI / 6.0).cos(),
        1e-12,
    );
}

#[test]
fn a_through_hole_must_come_out_full() {
    let through = |depth_m, tilt_rad| Bore {
        depth_m,
        tilt_rad,
        through: true,
        ..BORE
    };
    assert_eq!(faults_of(&[(0.05, 0.03, through(0.07, 0.0))]), []);
    let [Fault::NotThrough { short_m, .. }] = faults_of(&[(0.05, 0.03, through(0.068, 0.0))])[..]
    else {
        panic!()
    };
    near(short_m, 0.002, 1e-12);
    // At 20° the axis needs (70 + 4·sin 20°)/cos 20° = 75.95 mm.
    let tilt = 20.0_f64.to_radians();
    let full = (0.07 + 0.004 * tilt.sin()) / tilt.cos();
    assert_eq!(faults_of(&[(0.05, 0.03, through(full, tilt))]), []);
    assert!(matches!(
        faults_of(&[(0.05, 0.03, through(full - 1e-4, tilt))])[..],
        [Fault::NotThrough { .. }]
    ));
}

#[test]
fn a_leaning_hole_breaks_out_of_the_side() {
    // Leaning 30° to the right from x 85 of 100, 50 deep: the axis ends 25 mm further, 10 beyond the side.
    let lean = |depth_m| Bore {
        tilt_rad: PI / 6.0,
        depth_m,
        ..BORE
    };
    let [Fault::BreaksSide { by_m, .. }] = faults_of(&[(0.085, 0.03, lean(0.05))])[..] else {
        panic!()
    };
    near(by_m, 0.014, 1e-9);
    // Only 18 deep: 9 mm drift, 15 − 9 − 4 = 2 mm of the side left, 3 needed.
    let [Fault::NearSide { gap_m, .. }] = faults_of(&[(0.085, 0.03, lean(0.018))])[..] else {
        panic!()
    };
    near(gap_m, 0.002, 1e-9);
    assert_eq!(faults_of(&[(0.085, 0.03, lean(0.015))]), []);
}

#[test]
fn webs_on_the_face_and_in_the_depth() {
    // 9.5 apart, 8 wide: 1.5, 2 needed.
    let [
        Fault::ThinWeb {
            hole: 0,
            other: 1,
            web_m,
            ..
        },
    ] = faults_of(&[(0.03, 0.03, BORE), (0.0395, 0.03, BORE)])[..]
    else {
        panic!()
    };
    near(web_m, 0.0015, 1e-12);
    // 40 apart and leaning 30° towards each other, 50 deep: the axes cross 34.6 mm down.
    let lean = |bearing_rad| Bore {
        tilt_rad: PI / 6.0,
        bearing_rad,
        ..BORE
    };
    let [Fault::ThinWeb { web_m, .. }] =
        faults_of(&[(0.03, 0.03, lean(0.0)), (0.07, 0.03, lean(PI))])[..]
    else {
        panic!()
    };
    near(web_m, -0.008, 1e-9);
    // Passing each other 11 mm apart sideways: 3 mm stay everywhere.
    assert_eq!(
        faults_of(&[(0.03, 0.025, lean(0.0)), (0.07, 0.036, lean(PI))]),
        []
    );
    let twice = faults_of(&[(0.03, 0.03, BORE), (0.05, 0.03, BORE), (0.03, 0.03, BORE)]);
    assert_eq!(twice, [Fault::Twice { hole: 0, other: 2 }]);
}

#[test]
fn holes_from_two_faces_meet_inside() {
    // From the top at x 50 down 50 of 70; from the right side (x 100) at 40 below the top, 60 deep: it ends at x 40.
    let top = block(0.1, 0.06);
    let side = Panel {
        outline: Outline::rectangle(at(0.0, -0.07), at(0.06, 0.0), 0.0).unwrap(),
        thickness_m: 0.1,
        frame: Frame {
            origin: [0.1, 0.0, 0.0],
            x: [0.0, 1.0, 0.0],
            y: [0.0, 0.0, 1.0],
        },
    };
    let from_top = Hole {
        at: at(0.05, 0.03),
        bore: BORE,
    };
    let from_side = |y| Hole {
        at: at(y, -0.04),
        bore: Bore {
            face: 1,
            depth_m: 0.06,
            ..BORE
        },
    };
    let ask = |y| {
        check(
            &[top.clone(), side.clone()],
            &[from_top, from_side(y)],
            &RULES,
        )
    };
    let [Fault::ThinWeb { web_m, .. }] = ask(0.039)[..] else {
        panic!()
    };
    near(web_m, 0.001, 1e-12);
    assert_eq!(ask(0.041), []);
}

#[test]
fn nonsense_is_named() {
    let with = |bore| faults_of(&[(0.05, 0.03, bore)]);
    for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(matches!(
            with(Bore {
                diameter_m: bad,
                ..BORE
            })[..],
            [Fault::Size { .. }]
        ));
        assert!(matches!(
            with(Bore {
                depth_m: bad,
                ..BORE
            })[..],
            [Fault::Size { .. }]
        ));
    }
    assert!(matches!(
        with(Bore {
            tilt_rad: FRAC_PI_2,
            ..BORE
        })[..],
        [Fault::Size { .. }]
    ));
    assert!(matches!(
        with(Bore { face: 3, ..BORE })[..],
        [Fault::NoSuchFace { .. }]
    ));
    assert!(matches!(
        faults_of(&[(f64::NAN, 0.0, BORE)])[..],
        [Fault::Size { .. }]
    ));
}

#[test]
fn a_hole_beyond_all_bounds_is_no_good_hole() {
    for far in [1e5, 1e200, f64::INFINITY] {
        assert!(!faults_of(&[(far, 0.03, BORE)]).is_empty());
        let deep = Bore {
            depth_m: far,
            through: true,
            ..BORE
        };
        assert!(!faults_of(&[(0.05, 0.03, deep)]).is_empty());
    }
}

#[test]
fn rules_and_faces_that_would_pass_everything_are_refused() {
    let hole = Hole {
        at: at(0.05, 0.03),
        bore: BORE,
    };
    let refused = |panel: Panel, rules: &Rules| {
        let faults = check(&[panel], &[hole], rules);
        matches!(faults[..], [Fault::Question { .. }])
    };
    let none = Rules {
        edge_m: f64::NAN,
        ..RULES
    };
    assert!(refused(block(0.1, 0.06), &none));
    let thin = Panel {
        thickness_m: f64::NAN,
        ..block(0.1, 0.06)
    };
    assert!(refused(thin, &RULES));
    let askew = Panel {
        frame: Frame {
            x: [1.0, 1.0, 0.0],
            ..Frame::top()
        },
        ..block(0.1, 0.06)
    };
    assert!(refused(askew, &RULES));
    assert!(!refused(block(0.1, 0.06), &RULES));
}

#[test]
fn distances_between_axes() {
    let axis = |from, to| Axis {
        from,
        to,
        radius_m: 0.0,
    };
    // Skew and square to each other, 3 apart at the crossing.
    let one = axis([-1.0, 0.0, 0.0], [1.0, 0.0, 0.0]);
    near(
        web_between(&one, &axis([0.0, -1.0, 3.0], [0.0, 1.0, 3.0])),
        3.0,
        1e-12,
    );
    // Beyond the end: from (1, 0, 0) to (4, 4, 0) is 5.
    near(
        web_between(&one, &axis([4.0, 4.0, 0.0], [4.0, 9.0, 0.0])),
        5.0,
        1e-12,
    );
    // In line: 2 between the ends.
    near(
        web_between(&one, &axis([3.0, 0.0, 0.0], [5.0, 0.0, 0.0])),
        2.0,
        1e-12,
    );
}

/// Faces of every kind, about 200 × 100 mm.
fn face() -> impl Strategy<Value = Outline> {
    let rounded = (0.1..0.2_f64, 0.05..0.1_f64, 0.0..0.02_f64).prop_map(|(w, h, r)| {
        Outline::rectangle(at(0.0, 0.0), at(w, h), r).expect("a sound question")
    });
    let round =
        (0.04..0.1_f64, 0.03..0.06_f64, 0.0..PI).prop_map(|(half_x_m, half_y_m, turn_rad)| {
            let centre = at(0.1, 0.05);
            Outline::ellipse(Ellipse {
                centre,
                half_x_m,
                half_y_m,
                turn_rad,
            })
            .expect("a sound question")
        });
    let holed = (0.01..0.02_f64).prop_map(|r| {
        let island = Outline::circle(at(0.08, 0.05), r).expect("a sound question");
        Outline::rectangle(at(0.0, 0.0), at(0.2, 0.1), 0.015)
            .expect("a sound question")
            .with_islands([island])
            .expect("a sound question")
    });
    prop_oneof![rounded, round, holed]
}

fn bore() -> impl Strategy<Value = Bore> {
    let tilt = prop_oneof![Just(0.0), 0.0..0.6_f64];
    (
        0.002..0.01_f64,
        0.005..0.09_f64,
        any::<bool>(),
        tilt,
        -PI..PI,
    )
        .prop_map(
            |(diameter_m, depth_m, through, tilt_rad, bearing_rad)| Bore {
                diameter_m,
                depth_m,
                through,
                tilt_rad,
                bearing_rad,
                tool: 1,
                face: 0,
            },
        )
}

/// Places on the wall of a hole that lie in the material: rings round its axis, from above the face to its end.
fn wall(hole: &Hole, thickness_m: f64) -> Vec<[f64; 3]> {
    let bore = &hole.bore;
    let (sin, cos) = (bore.tilt_rad.sin(), bore.tilt_rad.cos());
    let lean = Point::at_angle(bore.bearing_rad);
    let radius = bore.diameter_m / 2.0;
    let start = -radius * sin / cos;
    let mut places = Vec::new();
    for i in 0..=60 {
        let along = start + (bore.depth_m - start) * f64::from(i) / 60.0;
        for j in 0..24 {
            let turn = Point::at_angle(TAU * f64::from(j) / 24.0) * radius;
            // The ring's axes: along the lean and up, and across it.
            let ahead = along * sin + turn.x * cos;
            let z = -along * cos + turn.x * sin;
            let place = hole.at + lean * ahead + Point::new(-lean.y, lean.x) * turn.y;
            if z <= 1e-12 && z >= -thickness_m {
                places.push([place.x, place.y, z]);
            }
        }
    }
    places
}

/// Whether a hole, by samples of its wall, breaks the rules about edge and depth.
fn breaks_alone(hole: &Hole, panel: &Panel) -> bool {
    let near_edge = wall(hole, panel.thickness_m)
        .iter()
        .any(|[x, y, _]| panel.outline.edge_distance(at(*x, *y)) < RULES.edge_m - 1e-7);
    let bore = &hole.bore;
    let point = bore.diameter_m / 2.0 / (RULES.point_rad / 2.0).tan();
    let end = bore.depth_m * bore.tilt_rad.cos();
    let rim = bore.diameter_m / 2.0 * bore.tilt_rad.sin();
    let thick = panel.thickness_m;
    let depth = if bore.through {
        end - rim < thick - 1e-7
    } else {
        (end + rim).max(end + point * bore.tilt_rad.cos()) > thick - RULES.floor_m + 1e-7
    };
    near_edge || depth
}

/// Whether two holes, by samples of their walls, come nearer than the web: distance from each place on one wall to
/// the other's axis.
fn break_together(one: &Hole, other: &Hole, panel: &Panel) -> bool {
    let line = |hole: &Hole| {
        let (sin, cos) = (hole.bore.tilt_rad.sin(), hole.bore.tilt_rad.cos());
        let reach = hole.bore.depth_m.min(panel.thickness_m / cos);
        let end = hole.at + Point::at_angle(hole.bore.bearing_rad) * (reach * sin);
        ([hole.at.x, hole.at.y, 0.0], [end.x, end.y, -reach * cos])
    };
    let near = |wall: Vec<[f64; 3]>, hole: &Hole| {
        let (from, to) = line(hole);
        let axis = Axis {
            from,
            to,
            radius_m: hole.bore.diameter_m / 2.0,
        };
        wall.into_iter().any(|place| {
            let point = Axis {
                from: place,
                to: place,
                radius_m: 0.0,
            };
            web_between(&point, &axis) < RULES.web_m - 1e-7
        })
    };
    near(wall(one, panel.thickness_m), other) || near(wall(other, panel.thickness_m), one)
}

/// Bulges of either sign: well rounded, or nearly straight with a radius of up to hundreds of kilometres.
fn bulge() -> impl Strategy<Value = f64> {
    let slight = (-7.0..-1.0_f64, any::<bool>()).prop_map(|(digits, left)| {
        let size = 10.0_f64.powf(digits);
        if left { size } else { -size }
    });
    prop_oneof![-0.1..0.1_f64, slight]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn rows_fit_by_the_closed_form(
        width in 0.03..0.3_f64, height in 0.03..0.3_f64, pitch in 0.012..0.04_f64,
    ) {
        let whole = |ratio: f64| (ratio - ratio.round()).abs() < 1e-6;
        let row = pitch * 3.0_f64.sqrt() / 2.0;
        prop_assume!(!whole(width / pitch) && !whole(width / pitch - 0.5) && !whole(height / row) && !whole(height / pitch));
        let fit = |length: f64, pitch: f64| (length / pitch).floor() as usize + 1;
        let panel = block_with_field(width, height);
        prop_assert_eq!(count(&grid(pitch, Align::Centred), &panel), fit(width, pitch) * fit(height, pitch));
        let rows = fit(height, row);
        let moved = ((width - pitch / 2.0) / pitch).floor() as usize + 1;
        let expected = rows.div_ceil(2) * fit(width, pitch) + rows / 2 * moved;
        prop_assert_eq!(count(&staggered(pitch, Align::Centred), &panel), expected);
        prop_assert_eq!(count(&staggered(pitch, Align::Fullest), &panel), expected);
    }

    #[test]
    fn laid_holes_keep_the_edge(
        outline in face(), bore in bore(), pitch in 0.012..0.04_f64, turn in -1.0..1.0_f64, kind in 0..4,
    ) {
        let panel = Panel::new(outline, 0.06);
        let layout = match kind {
            0 => Layout::Grid { pitch_x_m: pitch, pitch_y_m: 0.9 * pitch, turn_rad: turn, align: Align::Fullest },
            1 => Layout::Staggered { pitch_m: pitch, row_m: None, turn_rad: turn, align: Align::Centred },
            2 => Layout::AroundEdge { inset_m: 0.5 * pitch, spacing: Spacing::Even(pitch) },
            _ => Layout::Rings {
                centre: panel.outline.bounds().centre(),
                rings: (0..6).map(|i| Ring {
                    radius_m: f64::from(i) * pitch, spacing: Spacing::Even(pitch), first_rad: turn,
                }).collect(),
            },
        };
        let laid = match lay(&layout, &panel, &bore, &RULES) {
            Err(PatternFault::NothingInside { .. }) => return Ok(()),
            laid => laid.unwrap(),
        };
        for hole in &laid.holes {
            let on_edge = wall(hole, panel.thickness_m)
                .iter()
                .any(|[x, y, _]| panel.outline.edge_distance(at(*x, *y)) < RULES.edge_m - 1e-7);
            prop_assert!(!on_edge, "{hole:?}");
        }
        let none_named = check(std::slice::from_ref(&panel), &laid.holes, &RULES).iter().all(|fault| {
            !matches!(fault, Fault::NearEdge { .. } | Fault::NearSide { .. } | Fault::BreaksSide { .. } | Fault::OffFace { .. })
        });
        prop_assert!(none_named);
    }

    #[test]
    fn holes_without_faults_keep_the_rules(
        outline in face(),
        holes in proptest::collection::vec((0.0..0.2_f64, 0.0..0.1_f64, bore()), 1..6),
    ) {
        let panel = Panel::new(outline, 0.06);
        let holes: Vec<Hole> = holes.into_iter().map(|(x, y, bore)| Hole { at: at(x, y), bore }).collect();
        let faults = check(std::slice::from_ref(&panel), &holes, &RULES);
        let alone = |index: usize| faults.iter().any(|fault| match fault {
            Fault::ThinWeb { .. } | Fault::Twice { .. } => false,
            Fault::NearEdge { hole, .. } | Fault::NearSide { hole, .. } | Fault::BreaksSide { hole, .. }
            | Fault::OffFace { hole, .. } | Fault::ThinFloor { hole, .. } | Fault::BreaksBack { hole, .. }
            | Fault::NotThrough { hole, .. } => *hole == index,
            other => panic!("{other}"),
        });
        for (i, hole) in holes.iter().enumerate() {
            if breaks_alone(hole, &panel) {
                prop_assert!(alone(i), "hole {i} breaks a rule unseen: {hole:?}");
            } else if hole.bore.tilt_rad == 0.0 {
                // Square holes: no rule broken, no fault, but for the samples' coarseness (24 round a hole).
                let gap = panel.outline.edge_distance(hole.at) - hole.bore.diameter_m / 2.0;
                prop_assert!(!alone(i) || gap < RULES.edge_m, "{hole:?}");
            }
            for (j, other) in holes.iter().enumerate().skip(i + 1) {
                let named = faults.iter().any(|fault| matches!(
                    fault,
                    Fault::ThinWeb { hole, other, .. } | Fault::Twice { hole, other } if (*hole, *other) == (i, j)
                ));
                if break_together(hole, other, &panel) {
                    prop_assert!(named, "holes {i} and {j} unseen");
                } else if hole.bore.tilt_rad == 0.0 && other.bore.tilt_rad == 0.0 {
                    let gap = hole.at.distance(other.at) - f64::midpoint(hole.bore.diameter_m, other.bore.diameter_m);
                    prop_assert_eq!(named, gap < RULES.web_m - 1e-9);
                }
            }
        }
    }

    #[test]
    fn a_web_is_never_more_than_between_the_walls(
        one in bore(), other in bore(), angle in 0.0..TAU, apart in 0.006..0.02_f64,
    ) {
        // Walls near the mouths, where leaning holes reach the face before their axes do.
        let panel = block(0.1, 0.06);
        let short = |bore: Bore| Bore { depth_m: bore.depth_m.min(0.015), ..bore };
        let place = at(0.05, 0.03);
        let one = Hole { at: place, bore: short(one) };
        let other = Hole { at: place + Point::at_angle(angle) * apart, bore: short(other) };
        let found = web_between(&one.axis(&panel, &RULES), &other.axis(&panel, &RULES));
        prop_assume!(found > 0.0);
        let theirs = wall(&other, panel.thickness_m);
        let walls = wall(&one, panel.thickness_m)
            .into_iter()
            .flat_map(|here| theirs.iter().map(move |there| (0..3).map(|i| (here[i] - there[i]).powi(2)).sum::<f64>()))
            .fold(f64::INFINITY, f64::min)
            .sqrt();
        prop_assert!(found <= walls + 1e-12, "{} between the walls, {} told", walls, found);
    }

    #[test]
    fn the_inset_is_the_edge_of_what_is_deeper(
        radii in proptest::collection::vec((0.03..0.1_f64, bulge()), 5..10),
        inset_m in 0.001..0.03_f64,
        places in proptest::collection::vec((-0.1..0.1_f64, -0.1..0.1_f64), 60),
    ) {
        let Ok(outline) = star(&radii) else { return Ok(()) };
        let loops = match inset(&outline, inset_m) {
            Err(PatternFault::NothingInside { .. }) => Vec::new(),
            loops => loops.unwrap(),
        };
        for edge in loops.iter().flatten() {
            for share in [0.0, 0.3, 0.8, 1.0] {
                prop_assert!((outline.edge_distance(edge.at(share)) - inset_m).abs() < 1e-6);
            }
        }
        for run in &loops {
            prop_assert!(run[0].from().distance(run[run.len() - 1].to()) < 3e-6, "an open loop");
        }
        let loops: Vec<Contour> = loops.into_iter().map(Contour::Edges).collect();
        for (x, y) in places {
            let depth = outline.edge_distance(at(x, y));
            if (depth - inset_m).abs() > 1e-4 {
                let inside = loops.iter().any(|run| run.contains(at(x, y)));
                prop_assert_eq!(inside, depth > inset_m, "at {} {}: {}", x, y, depth);
            }
        }
    }

    #[test]
    fn the_inset_of_an_ellipse_is_everywhere_at_its_distance(
        half_x_m in 0.02..0.1_f64, half_y_m in 0.02..0.1_f64, turn_rad in 0.0..PI, share in 0.05..0.95_f64,
    ) {
        let centre = at(0.01, 0.02);
        let outline = Outline::ellipse(Ellipse { centre, half_x_m, half_y_m, turn_rad }).unwrap();
        let inset_m = share * half_x_m.min(half_y_m);
        let loops = inset(&outline, inset_m).unwrap();
        prop_assert_eq!(loops.len(), 1);
        for edge in &loops[0] {
            let off = outline.edge_distance(edge.at(0.5)) - inset_m;
            // A chord lies inside the curve, by no more than its tolerance.
            prop_assert!(off > -2e-8 && off < 1.1e-6, "{off}");
        }
    }

    #[test]
    fn a_wider_pitch_than_found_holds_fewer(wanted in 4_usize..60, outline in face()) {
        let panel = Panel::new(outline, 0.06);
        let small = Bore { diameter_m: 0.004, ..BORE };
        let layout = staggered(0.01, Align::Centred);
        let Ok((found, laid)) = layout.opened_to_fit(wanted, &panel, &small, &RULES) else { return Ok(()) };
        prop_assert!(laid.holes.len() >= wanted);
        let Layout::Staggered { pitch_m, .. } = found else { panic!("rows") };
        let wider = staggered(pitch_m * 1.0001, Align::Centred);
        prop_assert!(lay(&wider, &panel, &small, &RULES).unwrap().holes.len() < wanted);
    }
}
