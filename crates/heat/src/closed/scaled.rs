//! The scaled complementary error function, `exp(x²) erfc(x)`, where the factors alone would run out of range.

const ROOT_PI: f64 = 1.772_453_850_905_516;

/// `exp(x²) erfc(x)`. Below about −26 it is infinite, as it should be in this range of numbers.
///
/// From x = 10 on by the continued fraction of Abramowitz & Stegun 7.1.14 (memory), taken from its 20th
/// level; its rest is then below rounding.
pub(crate) fn erfcx(x: f64) -> f64 {
    if x < 10.0 {
        return libm::exp(x * x) * libm::erfc(x);
    }
    let mut tail = x;
    for level in (1..=20).rev() {
        tail = x + 0.5 * f64::from(level) / tail;
    }
    1.0 / (ROOT_PI * tail)
}

#[cfg(test)]
mod tests {
    use super::erfcx;

    #[test]
    fn the_two_ways_meet() {
        // The fraction's rest against the product of the two factors, both good at 10 to 12.
        for x in [10.0, 11.0, 12.0] {
            let product = libm::exp(x * x) * libm::erfc(x);
            assert!((erfcx(x) / product - 1.0).abs() < 1e-13, "{x}");
        }
    }

    #[test]
    fn far_out_it_falls_with_the_first_power() {
        // 1 / (x √π) (1 − 1/(2x²) + …), where erfc itself is 0.
        let x = 1e4;
        let leading = 1.0 / (x * super::ROOT_PI) * (1.0 - 0.5 / (x * x));
        assert!((erfcx(x) / leading - 1.0).abs() < 1e-15);
    }

    #[test]
    fn known_value() {
        // exp(1) erfc(1) = 0.427583576155807 (Abramowitz & Stegun, table 7.1 rounded up from memory; erfc(1) =
        // 0.157299207).
        assert!((erfcx(1.0) - 0.427_583_576_155_807).abs() < 1e-15);
    }
}
