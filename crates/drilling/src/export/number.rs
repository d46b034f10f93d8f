//! Numbers and words as files take them.

/// The most decimals of a millimetre that are written: a nanometre.
pub(super) const MOST_DECIMALS: u8 = 6;

/// A finite number with so many decimals, always with a point, never with an exponent or as minus zero.
pub(super) fn fixed(value: f64, decimals: u8) -> String {
    let mut text = format!("{value:.*}", usize::from(decimals));
    if decimals == 0 {
        text.push('.');
    }
    if text.bytes().all(|byte| matches!(byte, b'-' | b'0' | b'.')) {
        text.retain(|letter| letter != '-');
    }
    text
}

/// A length in millimetres.
pub(super) fn mm(length_m: f64, decimals: u8) -> String {
    fixed(length_m * 1e3, decimals)
}

/// Text that fits any old file: printable ASCII, without the letters given and without line ends.
pub(super) fn plain(text: &str, without: &[char]) -> String {
    text.chars()
        .map(|letter| match letter {
            _ if without.contains(&letter) => '-',
            ' '..='~' => letter,
            _ if letter.is_whitespace() => ' ',
            _ => '_',
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_have_a_point_no_exponent_and_no_minus_zero() {
        assert_eq!(fixed(1e-9, 3), "0.000");
        assert_eq!(fixed(-1e-9, 3), "0.000");
        assert_eq!(fixed(-0.4, 0), "0.");
        assert_eq!(fixed(1234.5678, 2), "1234.57");
        assert_eq!(fixed(1e15, 1), "1000000000000000.0");
        assert_eq!(mm(-0.012_345_6, 3), "-12.346");
    }

    #[test]
    fn text_loses_what_would_end_a_comment() {
        assert_eq!(plain("a (b)\nc;ü", &['(', ')', ';']), "a -b- c-_");
    }
}
