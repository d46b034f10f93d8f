//! What people see.

use quantity::{
    Dimension, Expect, Unit, Units, read, show, show_hours, show_money, show_number, show_share,
};

#[test]
fn numbers() {
    let table = [
        (0.0, "0"),
        (-0.0, "0"),
        (14.0, "14"),
        (0.023_452_1, "0.02345"),
        (12.5, "12.5"),
        (99.996, "100"),
        (999.96, "1,000"),
        (5434.7, "5,435"),
        (-1_234_567.0, "-1,234,567"),
        (1.234_56e-7, "1.235e-7"),
        (2e20, "2e20"),
        (f64::INFINITY, "no limit"),
        (f64::NAN, "not known"),
    ];
    for (value, text) in table {
        assert_eq!(show_number(value), text);
    }
}

#[test]
fn hours_money_shares() {
    for (seconds, text) in [
        (0.0, "0 s"),
        (45.0, "45 s"),
        (750.0, "12.5 min"),
        (3599.9, "1 h"),
        (4800.0, "1 h 20 min"),
        (-4800.0, "-1 h 20 min"),
        (7200.0, "2 h"),
        (4_500_000.0, "1,250 h"),
    ] {
        assert_eq!(show_hours(seconds), text);
    }
    for (value, code, text) in [
        (1234.5, "GBP", "£1,234.50"),
        (-12.5, "GBP", "-£12.50"),
        (12.5, "SEK", "12.50 SEK"),
        (1234.5, "JPY", "1,234 JPY"),
        (0.0123, "GBP", "£0.0123"),
        (0.05, "GBP", "£0.05"),
        (-0.000_001, "GBP", "£0.00"),
    ] {
        assert_eq!(show_money(value, code), text);
    }
    for (share, text) in [
        (0.96, "96 %"),
        (0.9567, "95.67 %"),
        (1.0, "100 %"),
        (0.999_999, ">99.99 %"),
        (0.0, "0 %"),
        (0.000_01, "<0.01 %"),
    ] {
        assert_eq!(show_share(share), text);
    }
}

#[test]
fn quantities() {
    let units = Units::standard();
    let unit = units.parse_unit("m/min").unwrap();
    assert_eq!(show(14.0 / 60.0, &unit), "14 m/min");
    assert_eq!(show(1.0, &Unit::one()), "1");
    assert_eq!(show(2.0, &Unit::base(&Dimension::TIME.power(-1))), "2/s");
    for (text, shown) in [
        ("5' 6\"", "66 in"),
        ("£12.50/kg", "12.5 GBP/kg"),
        ("12 s..18 s", "12..18 s"),
        ("12 min .. 0.5 h", "12..30 min"),
        ("12/14/19 s", "12 / 14 / 19 s"),
        ("14 ± 2 s", "14 s +- 2 s"),
        ("190 degC +- 5 degC", "190 degC +- 5 degC"),
        ("1,9 in", ""),
        ("1.9 in", "1.9 in"),
        ("0.001 degC", "0.001 degC"),
        ("0 degC", "0 degC"),
    ] {
        let found = read(text, &units, Expect::Any).map(|written| written.show());
        assert_eq!(found.unwrap_or_default(), shown);
    }
}

#[test]
fn dimensions() {
    let each = Dimension::count("each");
    for (dimension, text, words) in [
        (Dimension::NONE, "number", "a plain number"),
        (Dimension::LENGTH, "length", "length"),
        (Dimension::SPEED, "length/time", "speed (length/time)"),
        (Dimension::TIME.power(-1), "1/time", "rate (1/time)"),
        (
            Dimension::money("GBP").over(&Dimension::MASS),
            "GBP/mass",
            "GBP/mass",
        ),
        (each.over(&Dimension::TIME), "each/time", "each/time"),
        (each, "each", "a count of each"),
    ] {
        assert_eq!(dimension.to_string(), text);
        assert_eq!(dimension.describe(), words);
    }
}

/// In an answer a quantity is its text and a spread its named values; the spread comes back the same.
#[test]
fn serialised() {
    let written = read("12..18 s", &Units::standard(), Expect::Any).unwrap();
    assert_eq!(serde_json::to_string(&written).unwrap(), r#""12..18 s""#);
    let spread = serde_json::to_string(&written.spread).unwrap();
    assert_eq!(spread, r#"{"range":{"low":12.0,"high":18.0}}"#);
    let again: quantity::Spread = serde_json::from_str(&spread).unwrap();
    assert_eq!(again, written.spread);
    let speed = serde_json::to_string(&Dimension::SPEED).unwrap();
    assert_eq!(speed, r#""length/time""#);
}
