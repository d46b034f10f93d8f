//! Complex numbers, as far as the short-time form needs them.

use std::ops::{Add, Div, Mul, Sub};

/// A complex number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Complex {
    pub(crate) re: f64,
    pub(crate) im: f64,
}

impl Complex {
    pub(crate) const fn new(re: f64, im: f64) -> Self {
        Self { re, im }
    }

    pub(crate) const fn real(re: f64) -> Self {
        Self::new(re, 0.0)
    }

    pub(crate) fn times(self, by: f64) -> Self {
        Self::new(self.re * by, self.im * by)
    }

    pub(crate) fn exp(self) -> Self {
        let size = libm::exp(self.re);
        Self::new(size * libm::cos(self.im), size * libm::sin(self.im))
    }

    /// The root with a real part of zero or more.
    pub(crate) fn sqrt(self) -> Self {
        let size = libm::hypot(self.re, self.im);
        let re = (0.5 * (size + self.re)).max(0.0).sqrt();
        let im = (0.5 * (size - self.re)).max(0.0).sqrt();
        Self::new(re, if self.im < 0.0 { -im } else { im })
    }
}

impl Add for Complex {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::new(self.re + other.re, self.im + other.im)
    }
}

impl Sub for Complex {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::new(self.re - other.re, self.im - other.im)
    }
}

impl Mul for Complex {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        Self::new(
            self.re * other.re - self.im * other.im,
            self.re * other.im + self.im * other.re,
        )
    }
}

impl Div for Complex {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        let size = other.re * other.re + other.im * other.im;
        Self::new(
            (self.re * other.re + self.im * other.im) / size,
            (self.im * other.re - self.re * other.im) / size,
        )
    }
}

#[cfg(test)]
mod tests {
    use super::Complex;

    #[test]
    fn roots_and_quotients_turn_back() {
        let z = Complex::new(-3.0, 4.0);
        // (1 + 2i)² = −3 + 4i.
        assert_eq!(z.sqrt(), Complex::new(1.0, 2.0));
        let back = z / Complex::new(1.0, 2.0);
        assert!((back.re - 1.0).abs() < 1e-15 && (back.im - 2.0).abs() < 1e-15);
        let turned = Complex::new(0.0, std::f64::consts::PI).exp();
        assert!((turned.re + 1.0).abs() < 1e-15 && turned.im.abs() < 1e-15);
    }
}
