//! Outlines against closed forms, brute-force oracles, and drawings that must be refused.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use drilling::outline::{Contour, Edge, Ellipse, Next, Outline, OutlineFault, Point, Vertex};
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

fn corners(points: &[(f64, f64)]) -> Vec<Vertex> {
    points
        .iter()
        .map(|(x, y)| Vertex::corner(at(*x, *y)))
        .collect()
}

fn ellipse(half_x_m: f64, half_y_m: f64, turn_rad: f64) -> Ellipse {
    Ellipse {
        centre: at(0.02, -0.01),
        half_x_m,
        half_y_m,
        turn_rad,
    }
}

#[test]
fn a_rounded_rectangle_has_its_area_length_and_box() {
    // 120 × 40 with corners of 10: area 4800 − (4 − π)·100 mm², length 2·(100 + 20) + 2π·10 mm.
    let block = Outline::rectangle(at(0.0, 0.0), at(0.12, 0.04), 0.01).unwrap();
    near(block.area_m2(), 4800e-6 - (4.0 - PI) * 100e-6, 1e-15);
    near(block.outer().length_m(), 0.24 + TAU * 0.01, 1e-15);
    near(block.bounds().width_m(), 0.12, 1e-15);
    near(block.bounds().height_m(), 0.04, 1e-15);
    // On the diagonal of the corner, 10 mm out from the centre of its arc is the edge.
    let corner = at(0.01, 0.01) - at(1.0, 1.0) * (0.008 / 2.0_f64.sqrt());
    near(block.edge_distance(corner), 0.002, 1e-15);
    near(
        block.edge_distance(at(0.0, 0.0)),
        -(2.0_f64.sqrt() - 1.0) * 0.01,
        1e-15,
    );
}

#[test]
fn rectangles_with_the_largest_corners_are_slots_and_circles() {
    // 100 × 40 with corners of 20: a slot of area 60·40 + π·400 mm².
    let slot = Outline::rectangle(at(0.0, 0.0), at(0.1, 0.04), 0.02).unwrap();
    near(slot.area_m2(), 2400e-6 + PI * 400e-6, 1e-15);
    // 40 × 40 with corners of 20: a circle.
    let disc = Outline::rectangle(at(0.0, 0.0), at(0.04, 0.04), 0.02).unwrap();
    near(disc.area_m2(), PI * 400e-6, 1e-15);
    near(disc.edge_distance(at(0.02, 0.02)), 0.02, 1e-15);
}

#[test]
fn circles_and_lenses_have_their_area() {
    let disc = Outline::circle(at(0.01, 0.02), 0.03).unwrap();
    near(disc.area_m2(), PI * 9e-4, 1e-15);
    near(disc.edge_distance(at(0.01, 0.02)), 0.03, 1e-15);
    near(disc.edge_distance(at(0.05, 0.02)), -0.01, 1e-15);
    // Two vertices with bulge 1 are two half circles.
    let half = |x| Vertex {
        at: at(x, 0.0),
        next: Next::Bulge(1.0),
    };
    let two = Outline::polygon(&[half(-0.03), half(0.03)]).unwrap();
    near(two.area_m2(), PI * 9e-4, 1e-15);
    // Bulge tan(π/8): quarter circles. A lens over a chord c is two segments of r²/2·(π/2 − 1), r = c/√2.
    let quarter = |x| Vertex {
        at: at(x, 0.0),
        next: Next::Bulge((PI / 8.0).tan()),
    };
    let lens = Outline::polygon(&[quarter(-0.03), quarter(0.03)]).unwrap();
    near(lens.area_m2(), 0.06 * 0.06 / 2.0 * (FRAC_PI_2 - 1.0), 1e-15);
}

#[test]
fn an_arc_by_its_centre_is_the_arc_by_its_bulge() {
    let about = |clockwise| {
        let next = Next::About {
            centre: at(0.0, 0.0),
            clockwise,
        };
        let first = Vertex {
            at: at(0.03, 0.0),
            next,
        };
        Outline::polygon(&[first, Vertex::corner(at(0.0, 0.03))]).unwrap()
    };
    // Anticlockwise a quarter and its chord; clockwise the other three quarters.
    near(about(false).area_m2(), 9e-4 * (PI / 4.0 - 0.5), 1e-15);
    near(about(true).area_m2(), 9e-4 * (3.0 * PI / 4.0 + 0.5), 1e-15);
}

#[test]
fn an_ellipse_has_its_area_box_and_length() {
    let round = Outline::ellipse(ellipse(0.05, 0.03, 0.4)).unwrap();
    near(round.area_m2(), PI * 15e-4, 1e-15);
    // Box by the support function: a quarter turn swaps the half extents.
    let turned = Outline::ellipse(ellipse(0.05, 0.03, FRAC_PI_2)).unwrap();
    near(turned.bounds().width_m(), 0.06, 1e-15);
    near(turned.bounds().height_m(), 0.1, 1e-15);
    // Length by 200,000 chords, each short by less than its own bulge.
    let e = ellipse(0.05, 0.002, 0.0);
    let chords: f64 = (0..200_000)
        .map(|i| {
            let step = TAU / 200_000.0;
            e.at(f64::from(i) * step)
                .distance(e.at(f64::from(i + 1) * step))
        })
        .sum();
    near(e.length_m(), chords, 1e-10);
}

#[test]
fn islands_are_off_the_face() {
    let frame = Outline::rectangle(at(0.0, 0.0), at(0.1, 0.1), 0.0)
        .unwrap()
        .with_islands([Outline::circle(at(0.05, 0.05), 0.02).unwrap()])
        .unwrap();
    near(frame.area_m2(), 0.01 - PI * 4e-4, 1e-15);
    assert!(!frame.contains(at(0.05, 0.05)));
    near(frame.edge_distance(at(0.05, 0.05)), -0.02, 1e-15);
    near(frame.edge_distance(at(0.05, 0.08)), 0.01, 1e-15);
    // A segment past the island comes within 25 − 20 mm of it.
    near(
        frame.segment_clearance(at(0.02, 0.075), at(0.08, 0.075)),
        0.005,
        1e-15,
    );
    // Through the island it leaves the face.
    assert!(frame.segment_clearance(at(0.02, 0.05), at(0.08, 0.05)) <= 0.0);
}

#[test]
fn bad_drawings_are_refused_and_the_vertex_is_named() {
    let refused = |vertices: &[Vertex]| Outline::polygon(vertices).unwrap_err();
    // A bow tie: the first edge crosses the third at its middle.
    let bow = refused(&corners(&[(0.0, 0.0), (0.1, 0.1), (0.1, 0.0), (0.0, 0.1)]));
    let OutlineFault::SelfCrossing {
        edge: 0,
        other: 2,
        at: place,
        ..
    } = bow
    else {
        panic!("{bow}")
    };
    near(place.distance(at(0.05, 0.05)), 0.0, 1e-12);
    assert!(
        bow.to_string()
            .contains("vertex 1 meets the edge after vertex 3")
    );
    // A spike folds back on itself.
    let spike = refused(&corners(&[
        (0.0, 0.0),
        (0.1, 0.0),
        (0.05, 0.0),
        (0.05, 0.1),
    ]));
    assert!(
        matches!(
            spike,
            OutlineFault::SelfCrossing {
                edge: 0,
                other: 1,
                ..
            }
        ),
        "{spike}"
    );
    // A vertex on another edge.
    let touch = refused(&corners(&[
        (0.0, 0.0),
        (0.1, 0.0),
        (0.1, 0.1),
        (0.05, 0.0),
        (0.0, 0.1),
    ]));
    assert!(
        matches!(touch, OutlineFault::SelfCrossing { .. }),
        "{touch}"
    );
    let twice = refused(&corners(&[(0.0, 0.0), (0.1, 0.0), (0.1, 0.0), (0.0, 0.1)]));
    assert_eq!(
        twice,
        OutlineFault::Repeated {
            contour: 0,
            vertex: 1
        }
    );
    let closed = refused(&corners(&[(0.0, 0.0), (0.1, 0.0), (0.0, 0.1), (0.0, 0.0)]));
    assert_eq!(
        closed,
        OutlineFault::Repeated {
            contour: 0,
            vertex: 3
        }
    );
    let few = refused(&corners(&[(0.0, 0.0), (0.1, 0.0)]));
    assert!(matches!(
        few,
        OutlineFault::TooFewVertices {
            found: 2,
            needed: 3,
            ..
        }
    ));
    let nan = refused(&corners(&[(0.0, 0.0), (0.1, f64::NAN), (0.1, 0.1)]));
    assert_eq!(
        nan,
        OutlineFault::NotFinite {
            contour: 0,
            vertex: 1
        }
    );
    // A bulge so large that the arc runs over its neighbour.
    let mut bulged = corners(&[(0.0, 0.0), (0.1, 0.0), (0.1, 0.02), (0.0, 0.02)]);
    bulged[0].next = Next::Bulge(-0.8);
    assert!(matches!(
        refused(&bulged),
        OutlineFault::SelfCrossing { edge: 0, .. }
    ));
    let mut uneven = corners(&[(0.03, 0.0), (0.0, 0.04), (-0.1, 0.0)]);
    uneven[0].next = Next::About {
        centre: at(0.0, 0.0),
        clockwise: false,
    };
    assert!(matches!(
        refused(&uneven),
        OutlineFault::UnevenRadius { vertex: 0, .. }
    ));
}

#[test]
fn bad_sizes_and_islands_are_refused() {
    let wide = Outline::rectangle(at(0.0, 0.0), at(0.1, 0.02), 0.011);
    assert!(matches!(wide, Err(OutlineFault::CornerRadius { .. })));
    for radius in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(Outline::circle(at(0.0, 0.0), radius).is_err());
        assert!(Outline::ellipse(ellipse(0.1, radius, 0.0)).is_err());
    }
    assert!(Outline::rectangle(at(0.0, 0.0), at(0.1, 0.0), 0.0).is_err());
    let plate = || Outline::rectangle(at(0.0, 0.0), at(0.1, 0.1), 0.0).unwrap();
    let disc = |x, y, r| Outline::circle(at(x, y), r).unwrap();
    let over = plate().with_islands([disc(0.09, 0.05, 0.02)]);
    assert!(matches!(
        over,
        Err(OutlineFault::IslandOutside { contour: 1, .. })
    ));
    let away = plate().with_islands([disc(0.5, 0.5, 0.02)]);
    assert!(matches!(away, Err(OutlineFault::IslandOutside { .. })));
    let cross = plate().with_islands([disc(0.04, 0.05, 0.02), disc(0.06, 0.05, 0.02)]);
    assert!(matches!(
        cross,
        Err(OutlineFault::IslandsMeet {
            contour: 1,
            other: 2,
            ..
        })
    ));
    let nested = plate().with_islands([disc(0.05, 0.05, 0.02), disc(0.05, 0.05, 0.01)]);
    assert!(matches!(nested, Err(OutlineFault::IslandsMeet { .. })));
    let holding = plate().with_islands([disc(0.05, 0.05, 0.01), disc(0.05, 0.05, 0.02)]);
    assert!(matches!(holding, Err(OutlineFault::IslandsMeet { .. })));
    assert!(
        plate()
            .with_islands([disc(0.03, 0.05, 0.015), disc(0.07, 0.05, 0.015)])
            .is_ok()
    );
}

/// Distance to an ellipse by trying 2,000 parameters and halving the step around the best, without the equation
/// that the engine solves.
fn distance_by_search(e: &Ellipse, point: Point) -> f64 {
    let distance = |t: f64| e.at(t).distance(point);
    let mut step = TAU / 2000.0;
    let mut best: f64 = (0..2000)
        .map(|i| f64::from(i) * step)
        .min_by(|one, other| distance(*one).total_cmp(&distance(*other)))
        .expect("2,000 tries");
    while step > 1e-12 {
        for t in [best - step, best + step] {
            if distance(t) < distance(best) {
                best = t;
            }
        }
        step *= 0.7;
    }
    distance(best)
}

/// A star-shaped loop: vertices at rising angles with bulges too small to cross.
fn star() -> impl Strategy<Value = Vec<Vertex>> {
    proptest::collection::vec((0.03..0.1_f64, -0.12..0.12_f64, any::<bool>()), 5..12).prop_map(
        |spokes| {
            let count = spokes.len() as f64;
            spokes
                .into_iter()
                .enumerate()
                .map(|(i, (radius, bulge, round))| Vertex {
                    at: Point::at_angle(TAU * i as f64 / count) * radius,
                    next: if round {
                        Next::Bulge(bulge)
                    } else {
                        Next::Straight
                    },
                })
                .collect()
        },
    )
}

/// Numbers of every kind.
fn number() -> impl Strategy<Value = f64> {
    prop_oneof![
        -1.0..1.0_f64,
        any::<f64>(),
        Just(0.0),
        Just(0.5),
        Just(f64::NAN),
        Just(f64::INFINITY),
        1e-9..1e-5_f64,
        1e3..2e4_f64
    ]
}

/// The loop as 400 straight steps an edge.
fn flat(outline: &Outline) -> Vec<Point> {
    let Contour::Edges(edges) = outline.outer() else {
        panic!("a loop of edges")
    };
    let steps =
        |edge: &Edge| -> Vec<Point> { (0..400).map(|i| edge.at(f64::from(i) / 400.0)).collect() };
    edges.iter().flat_map(steps).collect()
}

/// How often a polygon winds round a point, by adding up angles: another route than counting crossings.
fn winds_round(polygon: &[Point], point: Point) -> bool {
    let turn: f64 = (0..polygon.len())
        .map(|i| {
            let (u, v) = (polygon[i] - point, polygon[(i + 1) % polygon.len()] - point);
            u.cross(v).atan2(u.dot(v))
        })
        .sum();
    turn.abs() > PI
}

proptest! {
    #[test]
    fn distance_to_an_ellipse_is_that_of_a_search(
        half_x in 0.002..0.1_f64, half_y in 0.002..0.1_f64, turn in -4.0..4.0_f64,
        x in -0.15..0.15_f64, y in -0.15..0.15_f64,
    ) {
        let e = ellipse(half_x, half_y, turn);
        let point = at(x, y);
        let found = e.nearest(point).distance(point);
        prop_assert!((found - distance_by_search(&e, point)).abs() < 1e-9);
    }

    #[test]
    fn axes_of_an_ellipse_are_no_special_case(
        half_x in 0.002..0.1_f64, half_y in 0.002..0.1_f64, along in -1.5..1.5_f64, first in any::<bool>(),
        beside in prop_oneof![Just(0.0), 1e-18..1e-9_f64],
    ) {
        let e = Ellipse { centre: at(0.0, 0.0), half_x_m: half_x, half_y_m: half_y, turn_rad: 0.0 };
        let point = if first { at(along * half_x, beside) } else { at(beside, along * half_y) };
        let found = e.nearest(point).distance(point);
        prop_assert!((found - distance_by_search(&e, point)).abs() < 1e-9);
    }

    #[test]
    fn loops_agree_with_their_flat_copies(vertices in star(), x in -0.12..0.12_f64, y in -0.12..0.12_f64) {
        let Ok(outline) = Outline::polygon(&vertices) else { return Ok(()) };
        let polygon = flat(&outline);
        let shoelace: f64 = (0..polygon.len())
            .map(|i| polygon[i].cross(polygon[(i + 1) % polygon.len()]) / 2.0)
            .sum();
        prop_assert!((outline.area_m2() - shoelace).abs() < 1e-7);
        let point = at(x, y);
        let brute = polygon.iter().map(|on| on.distance(point)).fold(f64::INFINITY, f64::min);
        let found = outline.edge_distance(point);
        // Sampled every length/400: nearer by no more than half a step.
        prop_assert!(found.abs() <= brute + 1e-12 && brute - found.abs() < 3e-4);
        if brute > 1e-4 {
            prop_assert_eq!(found > 0.0, winds_round(&polygon, point));
        }
    }

    #[test]
    fn running_the_other_way_round_changes_nothing(vertices in star(), x in -0.12..0.12_f64, y in -0.12..0.12_f64) {
        let Ok(outline) = Outline::polygon(&vertices) else { return Ok(()) };
        let count = vertices.len();
        let back: Vec<Vertex> = (0..count).rev().map(|i| Vertex {
            at: vertices[i].at,
            next: match vertices[(i + count - 1) % count].next {
                Next::Bulge(bulge) => Next::Bulge(-bulge),
                other => other,
            },
        }).collect();
        let back = Outline::polygon(&back).unwrap();
        prop_assert!((outline.area_m2() - back.area_m2()).abs() < 1e-12);
        prop_assert!((outline.edge_distance(at(x, y)) - back.edge_distance(at(x, y))).abs() < 1e-12);
    }

    #[test]
    fn no_drawing_panics_or_hangs(
        numbers in proptest::collection::vec((number(), number(), number(), 0..3), 0..7),
        x in number(), y in number(), r in number(),
    ) {
        let vertices: Vec<Vertex> = numbers.iter().map(|(x, y, bulge, kind)| Vertex {
            at: at(*x, *y),
            next: match kind {
                0 => Next::Straight,
                1 => Next::Bulge(*bulge),
                _ => Next::About { centre: at(*bulge, *y), clockwise: *x > 0.0 },
            },
        }).collect();
        let others = [
            Outline::polygon(&vertices),
            Outline::circle(at(x, y), r),
            Outline::rectangle(at(x, y), at(r, x), y),
            Outline::ellipse(Ellipse { centre: at(x, x), half_x_m: r, half_y_m: y, turn_rad: x }),
        ];
        for outline in others.iter().flatten() {
            prop_assert!(outline.area_m2() > 0.0 && outline.edge_distance(at(0.1, 0.2)).is_finite());
            for island in others.iter().flatten() {
                let _ = outline.clone().with_islands([island.clone()]);
            }
        }
    }

    #[test]
    fn clearance_of_a_segment_is_that_of_its_points(
        vertices in star(), half_x in 0.01..0.1_f64, half_y in 0.01..0.1_f64, round in any::<bool>(),
        ends in proptest::array::uniform4(-0.1..0.1_f64),
    ) {
        let outline = if round { Outline::ellipse(ellipse(half_x, half_y, 0.7)) } else { Outline::polygon(&vertices) };
        let Ok(outline) = outline else { return Ok(()) };
        let (from, to) = (at(ends[0], ends[1]), at(ends[2], ends[3]));
        let found = outline.segment_clearance(from, to);
        let brute = (0..=2000)
            .map(|i| outline.edge_distance(from.toward(to, f64::from(i) / 2000.0)))
            .fold(f64::INFINITY, f64::min);
        if brute > 0.0 {
            prop_assert!(found <= brute + 1e-12 && brute - found < 2e-4, "{found} {brute}");
        } else {
            prop_assert!(found <= 1e-12, "{found} {brute}");
        }
    }
}
