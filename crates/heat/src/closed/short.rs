//! The first moments after the jump, when the series would need too many terms: Laplace transform turned back.
//!
//! How far the temperature has come, 1 − theta, has the transform `g(q r) / g(q) / (p (1 + q g'(q) / (g(q) Bi)))`
//! with q = √p and g = cosh, I0, sinh(x)/x (Carslaw & Jaeger 1959, chapter 12, memory). It is turned back along the
//! contour of Talbot with the constants of Trefethen, Weideman & Schmelzer 2006 (memory), whose error falls as
//! exp(−1.36 nodes). Bessel functions are at such large arguments that their asymptotic series is exact.

use std::f64::consts::PI;

use super::complex::Complex;
use super::series::Shape;

/// The Fourier number below which this form is used. At it, |q| is above 44 on the contour.
pub(crate) const BELOW: f64 = 0.002;

/// Nodes on the contour; half of them by symmetry.
const NODES: f64 = 24.0;

const ONE: Complex = Complex::real(1.0);

/// The value at a time of what has this transform.
fn turn_back(transform: impl Fn(Complex) -> Complex, time: f64) -> f64 {
    let mut sum = 0.0;
    let mut angle = PI / NODES;
    while angle < PI {
        let turned = 0.6407 * angle;
        let (sine, cotangent) = (libm::sin(turned), libm::cos(turned) / libm::sin(turned));
        let z = Complex::new(
            NODES * (0.5017 * angle * cotangent - 0.6122),
            NODES * 0.2645 * angle,
        );
        let along = Complex::new(0.5017 * cotangent - 0.5017 * turned / (sine * sine), 0.2645);
        sum += (z.exp() * transform(z.times(1.0 / time)) * along).im;
        angle += 2.0 * PI / NODES;
    }
    2.0 * sum / time
}

/// 1 − theta at a depth, 0 in the middle and 1 at the surface. Biot above zero or infinite.
pub(crate) fn come(shape: Shape, biot: f64, fourier: f64, depth: f64) -> f64 {
    // Inside this no heat has arrived that could be told from none: erfc(0.6 / (2 √0.002)) < 1e-20.
    if depth < 0.4 {
        return 0.0;
    }
    let transform = |p: Complex| {
        let q = p.sqrt();
        let amplitude = ONE / (p * (ONE + steepness(shape, q).times(1.0 / biot)));
        amplitude * q.times(depth - 1.0).exp() * against_surface(shape, q, depth)
    };
    turn_back(transform, fourier)
}

/// 1 − theta on average over the volume.
pub(crate) fn come_on_average(shape: Shape, biot: f64, fourier: f64) -> f64 {
    let transform = |p: Complex| {
        let steep = steepness(shape, p.sqrt());
        steep / (p * p * (ONE + steep.times(1.0 / biot)))
    };
    shape.dimensions() * turn_back(transform, fourier)
}

/// `g(q r) / g(q)` without its factor `exp(q (r − 1))`.
fn against_surface(shape: Shape, q: Complex, depth: f64) -> Complex {
    let fading = |x: f64| q.times(-2.0 * x).exp();
    match shape {
        Shape::Slab => (ONE + fading(depth)) / (ONE + fading(1.0)),
        Shape::Sphere => (ONE - fading(depth)) / (ONE - fading(1.0)).times(depth),
        Shape::Cylinder => (bessel(0.0, q.times(depth)) / bessel(0.0, q)).times(1.0 / depth.sqrt()),
    }
}

/// `q g'(q) / g(q)`.
fn steepness(shape: Shape, q: Complex) -> Complex {
    let fading = q.times(-2.0).exp();
    match shape {
        Shape::Slab => q * (ONE - fading) / (ONE + fading),
        Shape::Sphere => q * (ONE + fading) / (ONE - fading) - ONE,
        Shape::Cylinder => q * bessel(1.0, q) / bessel(0.0, q),
    }
}

/// `I_order(x) √(2 π x) exp(−x)` for large arguments: Abramowitz & Stegun 9.7.1 (memory).
fn bessel(order: f64, x: Complex) -> Complex {
    let four_squares = 4.0 * order * order;
    let (mut term, mut sum) = (ONE, ONE);
    // At |x| = 17, the least there is, the 24th term is below 1e-13 and still falling.
    for k in 1..=24 {
        let k = f64::from(k);
        let odd = 2.0 * k - 1.0;
        term = term.times(-(four_squares - odd * odd) / (8.0 * k)) / x;
        sum = sum + term;
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::super::half_space::convection_share;
    use super::*;

    #[test]
    fn a_slab_begins_as_a_half_space() {
        // The other face is out of reach: what it adds is below erfc(1 / √0.002) < 1e-200.
        for biot in [0.1, 1.0, 20.0, 1e4] {
            for fourier in [1e-8_f64, 1e-5, 1e-3, 0.002] {
                for depth in [0.5, 0.8, 0.9, 0.99, 1.0] {
                    let away = 1.0 - depth;
                    let exact = convection_share(away / fourier.sqrt(), biot * fourier.sqrt());
                    let found = come(Shape::Slab, biot, fourier, depth);
                    assert!(
                        (found - exact).abs() < 1e-12,
                        "{biot} {fourier} {depth}: {found} {exact}"
                    );
                }
            }
        }
    }

    #[test]
    fn a_held_sphere_follows_the_images() {
        // 1 − theta = [erfc((1 − r)/2√F) − erfc((1 + r)/2√F)] / r; mean 6 √(F/π) − 3 F, both exact but for further
        // images.
        let fourier: f64 = 0.001;
        let reach = 2.0 * fourier.sqrt();
        for depth in [0.5, 0.9, 1.0] {
            let exact =
                (libm::erfc((1.0 - depth) / reach) - libm::erfc((1.0 + depth) / reach)) / depth;
            let found = come(Shape::Sphere, f64::INFINITY, fourier, depth);
            assert!((found - exact).abs() < 1e-12);
        }
        let mean = come_on_average(Shape::Sphere, f64::INFINITY, fourier);
        assert!((mean - (6.0 * (fourier / PI).sqrt() - 3.0 * fourier)).abs() < 1e-12);
    }
}
