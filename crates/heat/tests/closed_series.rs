//! The series for slab, cylinder, sphere, brick and can against computed tables and textbook problems.
//!
//! Computed: 120 terms of the series in another program (scipy), printed to the digits that stand here. Textbook
//! problems: inputs read in transcriptions of the books named; the value that must be met is the exact series, the
//! book's own value is from charts or interpolated tables and is met loosely, as far as its reading goes.

use heat::closed::half_space;
use heat::closed::series::{Direction, Place, Product, Series, Shape, Substance};
use heat::material::Phase;

const CENTRE: Place = Place::At(0.0);
const SURFACE: Place = Place::At(1.0);

fn near(found: f64, expected: f64, tolerance: f64) {
    assert!(
        (found - expected).abs() <= tolerance,
        "found {found}, expected {expected} within {tolerance}"
    );
}

fn substance(density: f64, capacity: f64, conductivity: f64) -> Substance {
    Substance {
        density_kg_m3: density,
        phase: Phase {
            heat_capacity_j_kg_k: capacity,
            conductivity_w_m_k: conductivity,
        },
    }
}

/// A substance given by conductivity and diffusivity only.
fn by_diffusivity(conductivity: f64, diffusivity: f64) -> Substance {
    substance(1.0, conductivity / diffusivity, conductivity)
}

fn shape(word: &str) -> Shape {
    match word {
        "slab" => Shape::Slab,
        "cylinder" => Shape::Cylinder,
        "sphere" => Shape::Sphere,
        other => panic!("no shape {other}"),
    }
}

fn numbers<'a>(cells: impl Iterator<Item = &'a str>) -> Vec<f64> {
    cells.map(|cell| cell.parse().expect("a number")).collect()
}

#[test]
fn all_rows_of_the_grid() {
    let mut rows = 0;
    for line in include_str!("data/transient_series_grid.csv")
        .lines()
        .skip(1)
    {
        let (word, rest) = line.split_once(',').unwrap();
        let row = numbers(rest.split(','));
        let series = Series::new(shape(word), row[0]).unwrap();
        for (place, expected) in [
            (CENTRE, row[2]),
            (Place::At(0.5), row[3]),
            (SURFACE, row[4]),
            (Place::Mean, row[5]),
        ] {
            // Printed to 8 decimals.
            near(series.share(row[1], place).unwrap(), expected, 5.1e-9);
        }
        rows += 1;
    }
    assert_eq!(rows, 216);
}

#[test]
fn first_terms_of_the_table() {
    for line in include_str!("data/one_term_coefficients.csv")
        .lines()
        .skip(1)
    {
        let row = numbers(line.split(','));
        for (n, shape) in [Shape::Slab, Shape::Cylinder, Shape::Sphere]
            .into_iter()
            .enumerate()
        {
            let (root, coefficient) = Series::new(shape, row[0]).unwrap().first_term().unwrap();
            // Printed to 6 decimals.
            near(root, row[1 + 2 * n], 5.1e-7);
            near(coefficient, row[2 + 2 * n], 5.1e-7);
        }
    }
}

#[test]
fn ten_digits() {
    // H-01 to H-04: printed to 10 decimals.
    for (shape, biot, fourier, expected) in [
        (
            Shape::Slab,
            1.0,
            0.5,
            [
                0.772_526_383_4,
                0.702_597_259_3,
                0.504_521_927_9,
                0.681_104_565_4,
            ],
        ),
        (
            Shape::Cylinder,
            1.0,
            0.5,
            [
                0.548_586_203_9,
                0.495_883_852_5,
                0.352_785_837_5,
                0.447_384_263_6,
            ],
        ),
        (
            Shape::Sphere,
            1.0,
            0.5,
            [
                0.370_777_429_8,
                0.333_820_806_7,
                0.236_049_669_3,
                0.287_000_516_5,
            ],
        ),
        (
            Shape::Sphere,
            10.0,
            0.2,
            [
                0.382_664_326_5,
                0.268_203_980_5,
                0.041_055_024_1,
                0.152_438_919_9,
            ],
        ),
    ] {
        let series = Series::new(shape, biot).unwrap();
        for (place, value) in [CENTRE, Place::At(0.5), SURFACE, Place::Mean]
            .into_iter()
            .zip(expected)
        {
            near(series.share(fourier, place).unwrap(), value, 5.1e-11);
        }
    }
    // H-07: brick of 0.04 × 0.12 × 0.16 m after an hour.
    let brick = Product::brick([0.04, 0.12, 0.16], by_diffusivity(0.48, 1.3e-7), 40.0).unwrap();
    near(brick.share(3600.0, &[]).unwrap(), 0.323_442_955_8, 5.1e-11);
}

#[test]
fn series_and_short_time_form_are_one() {
    // The form changes at 0.002: 40 terms of the series on one side, the transform turned back on the other. A step
    // of time of 1e-13 of itself changes nothing that could be seen.
    for shape in [Shape::Slab, Shape::Cylinder, Shape::Sphere] {
        for biot in [1e-3, 0.3, 1.0, 7.0, 300.0, 1e6, f64::INFINITY] {
            let series = Series::new(shape, biot).unwrap();
            let (below, above) = (0.002 * (1.0 - 1e-13), 0.002);
            for place in [
                Place::Mean,
                SURFACE,
                Place::At(0.95),
                Place::At(0.7),
                Place::At(0.5),
                CENTRE,
            ] {
                let (a, b) = (
                    series.share(below, place).unwrap(),
                    series.share(above, place).unwrap(),
                );
                near(a, b, 1e-12);
            }
        }
    }
}

#[test]
fn a_cylinder_begins_as_known() {
    // Held surface: heat passed = 4 √(F/π) − F − F^1.5 / (3 √π) − … (Carslaw & Jaeger 1959, section 13.3, memory).
    let series = Series::new(Shape::Cylinder, f64::INFINITY).unwrap();
    let root_pi = std::f64::consts::PI.sqrt();
    for fourier in [1e-7_f64, 1e-5] {
        let passed =
            4.0 * fourier.sqrt() / root_pi - fourier - fourier * fourier.sqrt() / (3.0 * root_pi);
        // The next term is some F² / 8.
        near(
            1.0 - series.share(fourier, Place::Mean).unwrap(),
            passed,
            2e-13 + fourier * fourier,
        );
    }
}

#[test]
fn never_out_of_bounds_and_always_falling() {
    for shape in [Shape::Slab, Shape::Cylinder, Shape::Sphere] {
        for biot in [0.0, 1e-12, 0.01, 1.0, 100.0, 1e9, f64::INFINITY] {
            let series = Series::new(shape, biot).unwrap();
            for place in [CENTRE, Place::At(0.3), SURFACE, Place::Mean] {
                let mut before = 1.0;
                for step in -90..30 {
                    let fourier = libm::pow(10.0, f64::from(step) / 10.0);
                    let share = series.share(fourier, place).unwrap();
                    assert!(
                        share >= 0.0 && share <= before + 1e-12,
                        "{shape:?} {biot} {fourier}"
                    );
                    before = share;
                }
            }
        }
    }
}

#[test]
fn when_is_the_other_way_round() {
    for shape in [Shape::Slab, Shape::Cylinder, Shape::Sphere] {
        let series = Series::new(shape, 2.0).unwrap();
        for (share, place) in [
            (0.999, SURFACE),
            (0.5, CENTRE),
            (0.01, Place::Mean),
            (1e-6, Place::At(0.5)),
        ] {
            let fourier = series.when(share, place).unwrap();
            near(series.share(fourier, place).unwrap() / share, 1.0, 1e-10);
        }
    }
    assert!(
        Series::new(Shape::Slab, 0.0)
            .unwrap()
            .when(0.5, CENTRE)
            .is_err()
    );
    assert!(
        Series::new(Shape::Slab, f64::INFINITY)
            .unwrap()
            .when(0.5, SURFACE)
            .is_err()
    );
    assert!(Series::new(Shape::Slab, -1.0).is_err());
    assert!(
        Series::new(Shape::Slab, 1.0)
            .unwrap()
            .when(1.0, CENTRE)
            .is_err()
    );
}

#[test]
fn egg() {
    // H-10, Cengel Ex 4-3: book Fo 0.2085, 14.38 min.
    let egg = Direction::new(
        Shape::Sphere,
        0.025,
        by_diffusivity(0.627, 0.151e-6),
        1200.0,
    )
    .unwrap();
    let time = egg.when_s((70.0 - 95.0) / (5.0 - 95.0), CENTRE).unwrap();
    near(time, 861.47, 0.01);
    near(egg.fourier(time), 0.208_13, 1e-5);
    near(time / 60.0, 14.38, 0.03);
    // Another printing: 5.5 cm, 4.3 to 74 degC in boiling water, h 800; book 17.8 to 18.3 min.
    let egg = Direction::new(
        Shape::Sphere,
        0.0275,
        by_diffusivity(0.607, 0.146e-6),
        800.0,
    )
    .unwrap();
    near(egg.when_s(26.0 / 95.7, CENTRE).unwrap(), 1104.5, 0.05);
}

#[test]
fn plate_and_shaft() {
    // H-11, Cengel Ex 4-4: book 281.4 degC from a chart.
    let plate = Direction::new(Shape::Slab, 0.02, by_diffusivity(110.0, 33.9e-6), 120.0).unwrap();
    near(
        500.0 - 480.0 * plate.share(420.0, SURFACE).unwrap(),
        279.584,
        0.001,
    );
    near(
        500.0 - 480.0 * plate.share(420.0, CENTRE).unwrap(),
        277.175,
        0.001,
    );
    near(
        500.0 - 480.0 * plate.share(420.0, SURFACE).unwrap(),
        281.4,
        2.0,
    );
    // H-12, Cengel Ex 4-5: book 360 degC and 0.62 from charts.
    let shaft = Direction::new(Shape::Cylinder, 0.1, by_diffusivity(14.9, 3.95e-6), 80.0).unwrap();
    near(
        200.0 + 400.0 * shaft.share(2700.0, CENTRE).unwrap(),
        364.298,
        0.001,
    );
    near(
        1.0 - shaft.share(2700.0, Place::Mean).unwrap(),
        0.635_76,
        1e-5,
    );
}

#[test]
fn short_brass_cylinder() {
    // H-14, Cengel Ex 4-8 and 4-9: book 63 and 62 degC, 171.8 kJ from charts.
    let can = Product::can(0.05, 0.12, by_diffusivity(110.0, 33.9e-6), 60.0).unwrap();
    near(25.0 + 95.0 * can.share(900.0, &[]).unwrap(), 62.732, 0.001);
    near(
        25.0 + 95.0 * can.share(900.0, &[CENTRE, SURFACE]).unwrap(),
        62.123,
        0.001,
    );
    let passed = can.heat_share(900.0).unwrap();
    near(passed, 0.607_63, 1e-5);
    // Density 8530, heat capacity 380: 290.2 kJ in all.
    let all_kj = 8530.0 * std::f64::consts::PI * 0.05 * 0.05 * 0.12 * 0.38 * 95.0;
    near(passed * all_kj, 176.35, 0.01);
}

#[test]
fn steaks_and_beef() {
    // H-15, Cengel: book Fo 5.085, 5590 s.
    let steak = Direction::new(Shape::Slab, 0.01, by_diffusivity(0.45, 0.91e-7), 9.0).unwrap();
    let time = steak.when_s(13.0 / 36.0, SURFACE).unwrap();
    near(time, 5586.4, 0.05);
    near(steak.fourier(time), 5.0837, 1e-4);
    // H-21, Geankoplis Ex 5.5-1: book 69 522 s from a chart.
    let beef = Direction::new(Shape::Slab, 0.1015, substance(1073.0, 3480.0, 0.498), 39.7).unwrap();
    near(
        beef.when_s((10.0 - 1.7) / (37.8 - 1.7), CENTRE).unwrap(),
        67_005.2,
        0.1,
    );
}

#[test]
fn pipe_wall() {
    // H-16, Incropera Ex 5.4: insulated inside; book 42.92 degC, −7362 W/m², 2.72e7 J/m.
    let wall = Direction::new(Shape::Slab, 0.04, by_diffusivity(63.9, 18.8e-6), 500.0).unwrap();
    near(
        60.0 - 80.0 * wall.share(480.0, CENTRE).unwrap(),
        43.017,
        0.001,
    );
    let surface = 60.0 - 80.0 * wall.share(480.0, SURFACE).unwrap();
    near(500.0 * (surface - 60.0), -7318.2, 0.1);
    let passed = 1.0 - wall.share(480.0, Place::Mean).unwrap();
    // Density 7832, heat capacity 434, diameter 1 m.
    near(
        passed * 7832.0 * 434.0 * std::f64::consts::PI * 0.04 * 80.0,
        2.7255e7,
        600.0,
    );
}

#[test]
fn sphere_in_water() {
    // H-17, second part, Incropera Ex 5.5: book 3.08 s from a table.
    let ball = Direction::new(Shape::Sphere, 0.005, by_diffusivity(20.0, 6.66e-6), 6000.0).unwrap();
    near(ball.when_s(30.0 / 315.0, CENTRE).unwrap(), 2.979_2, 1e-4);
}

#[test]
fn butter_and_can() {
    // H-19, Geankoplis Ex 5.3-2: book 292.2, 288.3, 287.4 K from a chart. 25.4 mm down is 20.8 of 46.2 mm from the
    // bottom.
    let butter =
        Direction::new(Shape::Slab, 0.0462, substance(998.0, 2300.0, 0.197), 8.52).unwrap();
    for (depth, kelvin) in [(1.0, 292.389), (0.0208 / 0.0462, 288.313), (0.0, 287.169)] {
        near(
            297.1 - 19.5 * butter.share(18_000.0, Place::At(depth)).unwrap(),
            kelvin,
            0.001,
        );
    }
    // H-20, Geankoplis Ex 5.3-3 and 5.3-4: book 104.4 and 106.6 degC from charts.
    let can = Product::can(0.0681 / 2.0, 0.1016, by_diffusivity(0.83, 2.007e-7), 4540.0).unwrap();
    let long = can.directions()[0].share(2700.0, CENTRE).unwrap();
    near(115.6 - 86.2 * long, 106.077, 0.001);
    near(
        115.6 - 86.2 * can.share(2700.0, &[]).unwrap(),
        108.391,
        0.001,
    );
}

#[test]
fn aluminium() {
    // H-25, Holman Ex 4-6 and 4-7: book 147.7 degC, 0.41 and 118.4 degC, 0.65 from charts.
    let aluminium = by_diffusivity(215.0, 8.4e-5);
    for (shape, celsius, heat) in [
        (Shape::Slab, 150.441, 0.382_76),
        (Shape::Cylinder, 119.666, 0.620_83),
    ] {
        let body = Direction::new(shape, 0.025, aluminium, 525.0).unwrap();
        near(
            70.0 + 130.0 * body.share(60.0, Place::At(0.5)).unwrap(),
            celsius,
            0.001,
        );
        near(1.0 - body.share(60.0, Place::Mean).unwrap(), heat, 1e-5);
    }
}

#[test]
fn schmidt_by_hand() {
    // H-22, Geankoplis Ex 5.4-1: five slices of 0.2 m, M = 2, six steps of 1000 s by hand, the face at 0 from the
    // first step on. The scheme is done here, must give the book's nodes, and is held against the series: at so
    // coarse a grid it is some kelvin off.
    let mut nodes = [0.0, 100.0, 100.0, 100.0, 100.0, 100.0];
    for _ in 0..6 {
        let old = nodes;
        for n in 1..5 {
            nodes[n] = 0.5 * (old[n - 1] + old[n + 1]);
        }
        nodes[5] = old[4];
        nodes[0] = 0.0;
    }
    let book = [0.0, 31.25, 54.69, 78.13, 85.94, 93.75];
    let slab = Direction::new(Shape::Slab, 1.0, by_diffusivity(1.0, 2e-5), f64::INFINITY).unwrap();
    for (n, (node, printed)) in nodes.into_iter().zip(book).enumerate() {
        near(node, printed, 0.006);
        let depth = 1.0 - 0.2 * n as f64;
        near(
            100.0 * slab.share(6000.0, Place::At(depth.max(0.0))).unwrap(),
            node,
            4.0,
        );
    }
}

#[test]
fn soil() {
    // H-13, Cengel Ex 4-6: depth of 0 degC after 90 days; book 0.78 m with a rounded eta.
    let depth = half_space::step_depth_m(15.0 / 25.0, 90.0 * 86_400.0, 0.15e-6).unwrap();
    near(depth, 0.8009, 5e-5);
    // H-18, Incropera Ex 5.6: 60 days.
    let diffusivity = 0.52 / (2050.0 * 1840.0);
    let depth = half_space::step_depth_m(20.0 / 35.0, 60.0 * 86_400.0, diffusivity).unwrap();
    near(depth, 0.6766, 5e-5);
}

#[test]
fn thick_steel() {
    // H-24, Holman Ex 4-2: book 118.5; 79.3 and 199.4 degC.
    let come = half_space::step_share(0.025, 30.0, 1.4e-5).unwrap();
    near(35.0 + 215.0 * come, 118.499, 0.001);
    near(
        35.0 + half_space::flux_rise_k(0.025, 30.0, 3.2e5, 45.0, 1.4e-5).unwrap(),
        79.314,
        0.001,
    );
    near(
        35.0 + half_space::flux_rise_k(0.0, 30.0, 3.2e5, 45.0, 1.4e-5).unwrap(),
        199.444,
        0.001,
    );
    // Holman Ex 4-5: 3561.1 s to 120 degC 4 cm down (book 3000 s from a chart).
    let come = half_space::convection(0.04, 3561.1, 525.0, 215.0, 8.4e-5).unwrap();
    near(come, 80.0 / 130.0, 1e-5);
    // The flux after a step is what flows into the first slice: −k dT/dx by a small depth.
    let slope = 215.0 * (1.0 - half_space::step_share(1e-7, 30.0, 1.4e-5).unwrap()) / 1e-7;
    near(
        half_space::step_flux_w_m2(215.0, 30.0, 45.0, 1.4e-5).unwrap() / (45.0 * slope),
        1.0,
        1e-8,
    );
}
