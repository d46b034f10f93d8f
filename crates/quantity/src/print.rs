//! Numbers and quantities for people: four significant figures where that is sensible, stable text.

use crate::{Unit, currency};

/// A value in base units, shown in a unit with up to four significant figures: `14 m/min`.
pub fn show(value_base: f64, unit: &Unit) -> String {
    join(&show_number(unit.from_base(value_base)), unit.symbol())
}

/// Up to four significant figures below 1000, whole numbers in groups of three above:
/// `0.02345`, `12.5`, `5,435`. Very small and very large numbers as `1.235e-7`.
pub fn show_number(value: f64) -> String {
    if !value.is_finite() {
        return not_finite(value);
    }
    let size = value.abs();
    if size == 0.0 {
        return "0".to_owned();
    }
    if !(1e-4..1e15).contains(&size) {
        return scientific(value);
    }
    if size >= 999.95 {
        return grouped(&format!("{value:.0}"));
    }
    // Figures before the point: 1 for 1..9.99, 0 and fewer below 1.
    let whole = size.log10().floor() as i32 + 1;
    let decimals = usize::try_from(4 - whole).unwrap_or(0);
    trim_zeros(&format!("{value:.decimals$}"))
}

/// A time given in seconds: `45 s`, `12.5 min`, `1 h 20 min`, from 100 hours on `1,250 h`.
pub fn show_hours(seconds: f64) -> String {
    let size = seconds.abs();
    if !size.is_finite() {
        return not_finite(seconds);
    }
    if size < 60.0 {
        return format!("{} s", show_number(seconds));
    }
    // Rounded first, so that 59.99 min is not shown as `60 min`.
    let minutes = (size / 60.0).round();
    let sign = if seconds < 0.0 { "-" } else { "" };
    if size < 3600.0 && minutes < 60.0 {
        return format!("{sign}{} min", show_number((size / 6.0).round() / 10.0));
    }
    if minutes >= 6000.0 {
        return format!("{sign}{} h", show_number(size / 3600.0));
    }
    let (hours, rest) = ((minutes / 60.0).floor(), minutes % 60.0);
    match rest {
        0.0 => format!("{sign}{hours} h"),
        rest => format!("{sign}{hours} h {rest} min"),
    }
}

/// Money in the currency's own digits: `£1,234.50`, `12.50 SEK`, `JPY` whole.
/// Amounts below a tenth of the unit keep four digits, since unit prices need them: `£0.0123`.
pub fn show_money(value: f64, code: &str) -> String {
    if !value.is_finite() {
        return not_finite(value);
    }
    let usual = currency::decimals(code);
    let small = value != 0.0 && value.abs() < 0.1 && value.abs() >= 0.000_05;
    let decimals = if small { usual.max(4) } else { usual };
    let text = format!("{:.decimals$}", value.abs());
    let text = if small {
        trim_zeros_to(&text, usual)
    } else {
        text
    };
    let sign = if value < 0.0 && text.contains(|c| ('1'..='9').contains(&c)) {
        "-"
    } else {
        ""
    };
    let amount = grouped(&text);
    match currency::sign_of(code) {
        Some(mark) => format!("{sign}{mark}{amount}"),
        None => format!("{sign}{amount} {code}"),
    }
}

/// A share in per cent: `96 %`, `95.67 %`. A share that is not quite all or nothing never shows as
/// all or nothing: `>99.99 %`, `<0.01 %`.
pub fn show_share(share: f64) -> String {
    if share > 0.999_95 && share < 1.0 {
        return ">99.99 %".to_owned();
    }
    if share > 0.0 && share < 0.000_1 {
        return "<0.01 %".to_owned();
    }
    let percent = share * 100.0;
    if !percent.is_finite() {
        return not_finite(share);
    }
    let text = trim_zeros(&format!("{percent:.2}"));
    format!(
        "{} %",
        if text == "-0" {
            "0".to_owned()
        } else {
            grouped(&text)
        }
    )
}

/// The shortest digits that give back `base` (to two units in the last place).
pub(crate) fn exact_number(base: f64, unit: &Unit) -> String {
    let value = unit.from_base(base);
    if !value.is_finite() {
        return not_finite(value);
    }
    let near = |text: &str| {
        let back = unit.to_base(text.parse().unwrap_or(f64::NAN));
        (back - base).abs() <= base.abs() * 4.0 * f64::EPSILON
    };
    let shortest = (0..17)
        .map(|digits| format!("{value:.digits$e}"))
        .find(|text| near(text));
    let text = shortest.unwrap_or_else(|| format!("{value:e}"));
    let size = value.abs();
    match text.parse::<f64>() {
        Ok(0.0) => "0".to_owned(),
        Ok(plain) if (1e-5..1e15).contains(&size) => plain.to_string(),
        _ => text,
    }
}

/// Number and unit; a unit that begins with `/` stands close.
pub(crate) fn join(number: &str, symbol: &str) -> String {
    let gap = if symbol.is_empty() || symbol.starts_with('/') {
        ""
    } else {
        " "
    };
    format!("{number}{gap}{symbol}")
}

fn not_finite(value: f64) -> String {
    let text = if value.is_nan() {
        "not known"
    } else if value > 0.0 {
        "no limit"
    } else {
        "no lower limit"
    };
    text.to_owned()
}

fn scientific(value: f64) -> String {
    let text = format!("{value:.3e}");
    match text.split_once('e') {
        Some((digits, power)) => format!("{}e{power}", trim_zeros(digits)),
        None => text,
    }
}

fn trim_zeros(text: &str) -> String {
    trim_zeros_to(text, 0)
}

/// Drops zeros at the end of the decimals, keeping at least `keep` of them.
fn trim_zeros_to(text: &str, keep: usize) -> String {
    let Some(point) = text.find('.') else {
        return text.to_owned();
    };
    let least = if keep == 0 { point } else { point + 1 + keep };
    let used = text.trim_end_matches('0').trim_end_matches('.').len();
    text[..used.max(least).min(text.len())].to_owned()
}

/// Commas between groups of three before the point.
fn grouped(text: &str) -> String {
    let (sign, unsigned) = text
        .strip_prefix('-')
        .map_or(("", text), |rest| ("-", rest));
    let (whole, decimals) = unsigned.split_once('.').unwrap_or((unsigned, ""));
    let mut out = String::from(sign);
    for (place, digit) in whole.chars().enumerate() {
        if place > 0 && (whole.len() - place).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    if !decimals.is_empty() {
        out.push('.');
        out.push_str(decimals);
    }
    out
}
