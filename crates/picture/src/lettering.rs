//! How wide words are, and how to break or shorten them, without a font at hand.
//!
//! Widths are averages over common sans-serif faces (Helvetica metrics, widened by 8 % because
//! several system faces run wider): enough to keep words inside boxes, not to set type.

/// Average width of a glyph in ems.
fn glyph_em(glyph: char) -> f64 {
    match glyph {
        'i' | 'j' | 'l' | 'I' | '.' | ',' | ':' | ';' | '\'' | '|' | '!' | '\u{2009}' => 0.27,
        'f' | 't' | 'r' | '(' | ')' | '[' | ']' | '/' | '-' | ' ' | '"' | '\u{a0}' => 0.36,
        'm' | 'w' | 'M' | 'W' | '%' | '@' | '\u{2014}' | '\u{2026}' => 0.90,
        'A'..='Z' => 0.70,
        '0'..='9' => 0.58,
        'a'..='z' => 0.56,
        '\u{300}'..='\u{36f}' => 0.0,
        '\u{2e80}'.. => 1.05,
        _ => 0.64,
    }
}

/// Estimated width of words set in a size, in pixels.
pub(crate) fn width(words: &str, size: f64, bold: bool) -> f64 {
    let ems: f64 = words.chars().map(glyph_em).sum();
    ems * size * if bold { 1.19 } else { 1.08 }
}

/// The words, or as many letters of them as fit with an ellipsis after. Not even an ellipsis fits:
/// empty.
pub(crate) fn elide(words: &str, size: f64, bold: bool, room: f64) -> String {
    if width(words, size, bold) <= room {
        return words.to_owned();
    }
    let mut kept = String::new();
    for glyph in words.chars() {
        kept.push(glyph);
        if width(&kept, size, bold) + width("\u{2026}", size, bold) > room {
            kept.pop();
            break;
        }
    }
    let kept = kept.trim_end_matches([' ', ',', '-']);
    let alone_fits = width("\u{2026}", size, bold) <= room;
    if kept.is_empty() && !alone_fits {
        String::new()
    } else {
        format!("{kept}\u{2026}")
    }
}

/// Words broken into at most `lines` lines of the given width; the last is elided when more is
/// left. The flag tells whether anything was cut.
pub(crate) fn wrap(
    words: &str,
    size: f64,
    bold: bool,
    room: f64,
    lines: usize,
) -> (Vec<String>, bool) {
    let mut out: Vec<String> = Vec::new();
    let pieces = pieces(words, size, bold, room);
    let mut rest = pieces.iter().map(String::as_str).peekable();
    while let Some(first) = rest.next() {
        if out.len() + 1 >= lines.max(1) {
            let last: Vec<&str> = std::iter::once(first).chain(rest).collect();
            out.push(
                last.iter()
                    .fold(String::new(), |line, piece| joined(&line, piece)),
            );
            break;
        }
        let mut line = first.to_owned();
        while let Some(next) = rest.peek() {
            let longer = joined(&line, next);
            if width(&longer, size, bold) > room {
                break;
            }
            line = longer;
            rest.next();
        }
        out.push(line);
    }
    let mut cut = false;
    for line in &mut out {
        let short = elide(line, size, bold, room);
        cut |= short != *line;
        *line = short;
    }
    (out, cut)
}

/// The words to set; one too long for a line is parted after its hyphens.
fn pieces(words: &str, size: f64, bold: bool, room: f64) -> Vec<String> {
    let part = |word: &str| -> Vec<String> {
        if width(word, size, bold) <= room {
            return vec![word.to_owned()];
        }
        word.split_inclusive('-').map(str::to_owned).collect()
    };
    words.split_whitespace().flat_map(part).collect()
}

/// Two pieces on one line: without a space where the first ends in its hyphen.
fn joined(line: &str, piece: &str) -> String {
    let parted = line.is_empty() || (line.ends_with('-') && !line.ends_with(" -"));
    format!("{line}{}{piece}", if parted { "" } else { " " })
}

/// A number for people: thousands set apart by commas, about three digits that say something.
pub(crate) fn figure(value: f64) -> String {
    if !value.is_finite() {
        return "?".to_owned();
    }
    let size = value.abs();
    if size >= 1e12 {
        return format!("{value:.1e}");
    }
    let decimals = match size {
        s if s >= 99.95 || s == 0.0 => 0,
        s if s >= 9.995 => 1,
        s if s >= 0.1 => 2,
        s if s >= 0.01 => 3,
        _ => 4,
    };
    let text = format!("{size:.decimals$}");
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    };
    grouped(&text, value < 0.0)
}

/// A number with exactly so many decimals (at most 9), thousands set apart by commas.
pub(crate) fn fixed(value: f64, decimals: usize) -> String {
    if !value.is_finite() || value.abs() >= 1e12 {
        return figure(value);
    }
    let decimals = decimals.min(9);
    grouped(&format!("{:.decimals$}", value.abs()), value < 0.0)
}

/// Digits with commas between thousands, and the sign unless all digits are 0.
fn grouped(text: &str, negative: bool) -> String {
    let (whole, part) = text
        .split_once('.')
        .map_or((text, None), |(w, p)| (w, Some(p)));
    let mut out = String::new();
    if negative && text.chars().any(|c| c.is_ascii_digit() && c != '0') {
        out.push('\u{2212}');
    }
    for (place, digit) in whole.chars().enumerate() {
        if place > 0 && (whole.len() - place).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    if let Some(part) = part {
        out.push('.');
        out.push_str(part);
    }
    out
}

/// A money amount or another figure with exactly two decimals below a thousand, none above.
pub(crate) fn price(value: f64) -> String {
    if !value.is_finite() || value.abs() >= 1000.0 {
        return figure(value);
    }
    let decimals = if value.abs() < 0.095 && value != 0.0 {
        4
    } else {
        2
    };
    let sign = if value < 0.0 { "\u{2212}" } else { "" };
    format!("{sign}{:.decimals$}", value.abs())
}

/// A share as a percentage without decimals, except near 100 % and 0 where they matter.
pub(crate) fn percent(share: f64) -> String {
    if !share.is_finite() {
        return "?".to_owned();
    }
    let value = share * 100.0;
    let near = (value > 99.0 && value < 100.0) || (value > 0.0 && value < 1.0);
    if near {
        format!("{value:.1} %")
    } else {
        format!("{} %", figure(value.round()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_read_as_people_write_them() {
        assert_eq!(figure(5435.0), "5,435");
        assert_eq!(figure(1_234_567.4), "1,234,567");
        assert_eq!(figure(0.0), "0");
        assert_eq!(figure(-0.000_001), "0");
        assert_eq!(figure(12.30), "12.3");
        assert_eq!(figure(0.25), "0.25");
        assert_eq!(figure(-3.5), "\u{2212}3.5");
        assert_eq!(figure(f64::NAN), "?");
        assert_eq!(percent(0.996), "99.6 %");
        assert_eq!(percent(0.85), "85 %");
        assert_eq!(price(3.1), "3.10");
        assert_eq!(fixed(102.5, 1), "102.5");
        assert_eq!(fixed(-1234.0, 2), "\u{2212}1,234.00");
        assert_eq!(fixed(-0.04, 1), "0.0");
    }

    #[test]
    fn long_words_are_cut_to_the_room() {
        let name = "electrostatic powder coating with a very long name";
        let short = elide(name, 12.0, false, 90.0);
        assert!(
            short.ends_with('\u{2026}') && width(&short, 12.0, false) <= 90.0,
            "{short}"
        );
        let (lines, cut) = wrap(name, 12.0, true, 90.0, 2);
        assert!(cut && lines.len() == 2);
        assert!(
            lines.iter().all(|line| width(line, 12.0, true) <= 90.0),
            "{lines:?}"
        );
        assert_eq!(
            wrap("cut", 12.0, false, 90.0, 2),
            (vec!["cut".to_owned()], false)
        );
        assert_eq!(elide("abc", 12.0, false, 2.0), "");
    }
}
