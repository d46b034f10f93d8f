//! Numbers in messages: few enough digits to be read.

/// A length in millimetres, to a thousandth: `12.3 mm`.
pub(crate) fn mm(metres: f64) -> String {
    format!("{} mm", short(metres * 1e3))
}

/// A number with at most six figures: `0.0866025`, not `0.08660254037844387`.
pub(crate) fn short(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return value.to_string();
    }
    let before_point = libm::floor(libm::log10(value.abs())) as i32 + 1;
    let decimals = usize::try_from(6 - before_point).unwrap_or(0).min(12);
    let text = format!("{value:.decimals$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn six_figures_are_enough_to_read() {
        assert_eq!(short(0.086_602_540_378), "0.0866025");
        assert_eq!(short(std::f64::consts::FRAC_PI_2), "1.5708");
        assert_eq!(short(1_234_567.8), "1234568");
        assert_eq!(short(-2.5), "-2.5");
        assert_eq!(short(0.0), "0");
        assert_eq!(short(f64::NAN), "NaN");
        assert_eq!(mm(0.0762), "76.2 mm");
    }
}
