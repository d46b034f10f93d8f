//! Temperatures, times and their differences in words.

use quantity::Unit;

use super::answer::Counted;

/// 0 degC in kelvin.
const ICE_POINT_K: f64 = heat::ICE_POINT_K;

/// A temperature: `185 degC`, to a tenth.
pub fn temperature(kelvin: f64) -> String {
    format!(
        "{} degC",
        quantity::show_number(tenth(kelvin - ICE_POINT_K))
    )
}

/// A difference of temperatures: `5 degC`.
pub fn difference(kelvin: f64) -> String {
    format!("{} degC", quantity::show_number(tenth(kelvin)))
}

/// A time, in seconds to two minutes, minutes to two hours, and hours from there.
pub fn time(seconds: f64) -> String {
    let (value, unit) = match seconds.abs() {
        s if s < 119.95 => (seconds, "s"),
        s if s < 7_197.0 => (seconds / 60.0, "min"),
        s if s < 35.95 * 3600.0 => (seconds / 3600.0, "h"),
        _ => (seconds / 86_400.0, "d"),
    };
    let digits = if unit == "d" { 100.0 } else { 10.0 };
    let value = (value * digits).round() / digits;
    format!("{} {unit}", quantity::show_number(value))
}

/// A value of a need.
pub fn value(counted: Counted, value: f64) -> String {
    match counted {
        Counted::Temperature => temperature(value),
        Counted::Time => time(value),
        Counted::Tens => {
            let value = (value * 100.0).round() / 100.0;
            let powers = if value == 1.0 { "power" } else { "powers" };
            format!("{} {powers} of ten", quantity::show_number(value))
        }
    }
}

/// A margin of a need, without its sign: [`value`] where nought is nothing, a difference for temperatures.
pub fn margin(counted: Counted, margin: f64) -> String {
    match counted {
        Counted::Temperature => difference(margin.abs()),
        Counted::Time | Counted::Tens => value(counted, margin.abs()),
    }
}

/// A coefficient of heat transfer, or a range of it.
pub fn coefficient((low, high): (f64, f64)) -> String {
    let number = |value: f64| quantity::show_number(tenth(value));
    if (high - low).abs() < 0.05 {
        format!("{} W/(m2 K)", number(low))
    } else {
        format!("{}..{} W/(m2 K)", number(low), number(high))
    }
}

/// A length in millimetres, to a hundredth.
pub fn length(metres: f64) -> String {
    let mm = (metres * 1e5).round() / 100.0;
    format!("{} mm", quantity::show_number(mm))
}

/// An amount in its unit.
pub(crate) fn amount(base: f64, unit: &Unit) -> String {
    quantity::show(base, unit)
}

/// A piece in a sentence: `the slowest piece`; a name that already says what it is stays.
pub fn piece(name: &str) -> String {
    let bare = name
        .split(", ")
        .all(|word| matches!(word, "slowest" | "fastest" | "coldest" | "hottest"));
    if bare {
        format!("the {name} piece")
    } else {
        name.to_owned()
    }
}

fn tenth(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}
