//! Eigenvalues and coefficients of the series for slab, cylinder and sphere.
//!
//! Carslaw & Jaeger, Conduction of Heat in Solids, 1959, chapters 3, 7 and 9 (memory): slab `z tan z = Bi`,
//! cylinder `z J1(z) = Bi J0(z)`, sphere `1 − z cot z = Bi`. Each root lies between two known places.

use std::f64::consts::{FRAC_PI_2, PI};

use super::root;
use super::series::Shape;

/// A term of the series: `coefficient × form(root × depth) × exp(−root² Fo)`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Term {
    pub(crate) root: f64,
    pub(crate) coefficient: f64,
    /// What the form is on average over the volume.
    pub(crate) mean: f64,
}

/// The first terms; Biot above zero, infinite for a surface that is held.
pub(crate) fn terms(shape: Shape, biot: f64, count: usize) -> Vec<Term> {
    (0..count)
        .map(|n| {
            let z = nth_root(shape, biot, n as f64);
            Term {
                root: z,
                coefficient: coefficient(shape, z),
                mean: mean(shape, z),
            }
        })
        .collect()
}

fn nth_root(shape: Shape, biot: f64, n: f64) -> f64 {
    // With 1/Bi a held surface is no special case, but for the ends of the brackets.
    let resists = 1.0 / biot;
    match shape {
        Shape::Slab if resists == 0.0 => (n + 0.5) * PI,
        Shape::Slab => root::between(
            |z| z * libm::sin(z) * resists - libm::cos(z),
            n * PI,
            n * PI + FRAC_PI_2,
        ),
        Shape::Cylinder => {
            let low = if n == 0.0 { 0.0 } else { zero_of_j1(n) };
            let high = zero_of_j0(n + 1.0);
            if resists == 0.0 {
                return high;
            }
            root::between(|z| z * libm::j1(z) * resists - libm::j0(z), low, high)
        }
        Shape::Sphere if resists == 0.0 => (n + 1.0) * PI,
        Shape::Sphere => root::between(
            |z| {
                if z == 0.0 {
                    return -1.0;
                }
                (sine_less_cosine(z) * resists - libm::sin(z)) / z
            },
            n * PI,
            (n + 1.0) * PI,
        ),
    }
}

/// The n-th zero of J0, n from 1: between (n − 1/4) π and (n − 1/8) π.
fn zero_of_j0(n: f64) -> f64 {
    root::between(libm::j0, (n - 0.25) * PI, (n - 0.125) * PI)
}

/// The n-th zero of J1 above 0, n from 1: between (n + 1/8) π and (n + 1/4) π.
fn zero_of_j1(n: f64) -> f64 {
    root::between(libm::j1, (n + 0.125) * PI, (n + 0.25) * PI)
}

fn coefficient(shape: Shape, z: f64) -> f64 {
    match shape {
        Shape::Slab => 4.0 * libm::sin(z) / (2.0 * z + libm::sin(2.0 * z)),
        Shape::Cylinder => {
            let (j0, j1) = (libm::j0(z), libm::j1(z));
            2.0 / z * j1 / (j0 * j0 + j1 * j1)
        }
        Shape::Sphere => 4.0 * sine_less_cosine(z) / less_sine(2.0 * z),
    }
}

fn mean(shape: Shape, z: f64) -> f64 {
    match shape {
        Shape::Slab => libm::sin(z) / z,
        Shape::Cylinder => 2.0 * libm::j1(z) / z,
        Shape::Sphere => 3.0 * sine_less_cosine(z) / (z * z * z),
    }
}

/// How the term goes along the depth, 0 in the middle and 1 at the surface.
pub(crate) fn form(shape: Shape, at: f64) -> f64 {
    match shape {
        Shape::Slab => libm::cos(at),
        Shape::Cylinder => libm::j0(at),
        Shape::Sphere if at == 0.0 => 1.0,
        Shape::Sphere => libm::sin(at) / at,
    }
}

/// `sin z − z cos z`, by its power series where the two nearly cancel.
fn sine_less_cosine(z: f64) -> f64 {
    if z > 0.5 {
        return libm::sin(z) - z * libm::cos(z);
    }
    let (mut term, mut sum) = (z * z * z / 3.0, 0.0);
    // The ninth term is below 1e-17 of the first.
    for n in 1..=8 {
        sum += term;
        let n = f64::from(n);
        term *= -z * z / (2.0 * n * (2.0 * n + 3.0));
    }
    sum
}

/// `x − sin x`, by its power series where the two nearly cancel.
fn less_sine(x: f64) -> f64 {
    if x > 1.0 {
        return x - libm::sin(x);
    }
    let (mut term, mut sum) = (x * x * x / 6.0, 0.0);
    // The tenth term is below 1e-16 of the first.
    for n in 1..=9 {
        sum += term;
        let n = f64::from(n);
        term *= -x * x / ((2.0 * n + 2.0) * (2.0 * n + 3.0));
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cancelling_pairs_meet_their_power_series() {
        // Just below and above the places where the way of working changes: the sixth derivative is small there.
        for (f, at) in [(sine_less_cosine as fn(f64) -> f64, 0.5), (less_sine, 1.0)] {
            let step = 1e-9;
            let (below, above) = (f(at - step), f(at + step));
            let slope = (f(at + 1e-4) - f(at - 1e-4)) / 2e-4;
            assert!((above - below - 2.0 * step * slope).abs() < 1e-15, "{at}");
        }
    }

    #[test]
    fn roots_solve_their_equations() {
        for biot in [1e-6, 0.01, 1.0, 50.0, 1e6] {
            for shape in [Shape::Slab, Shape::Cylinder, Shape::Sphere] {
                let mut before = 0.0;
                for (n, term) in terms(shape, biot, 30).iter().enumerate() {
                    let z = term.root;
                    let off = match shape {
                        Shape::Slab => z * libm::sin(z) - biot * libm::cos(z),
                        Shape::Cylinder => z * libm::j1(z) - biot * libm::j0(z),
                        Shape::Sphere => sine_less_cosine(z) - biot * libm::sin(z),
                    };
                    // The equation's slope is at most some 2 (Bi + z²) and a root is right to its last digit.
                    assert!(
                        off.abs() < 4e-16 * z * 2.0 * (biot + z * z + 1.0),
                        "{shape:?} {biot} {n}"
                    );
                    assert!(z > before, "{shape:?} {biot} {n}");
                    before = z;
                }
            }
        }
    }

    #[test]
    fn small_biot_follows_the_lumped_root() {
        // z² → n Bi with n = 1, 2, 3 for slab, cylinder, sphere.
        for (shape, n) in [
            (Shape::Slab, 1.0),
            (Shape::Cylinder, 2.0),
            (Shape::Sphere, 3.0),
        ] {
            let z = terms(shape, 1e-9, 1)[0].root;
            assert!((z * z / (n * 1e-9) - 1.0).abs() < 1e-9, "{shape:?}");
        }
    }
}
