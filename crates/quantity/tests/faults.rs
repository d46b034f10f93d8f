//! What each fault says: kind, place, repair.

use quantity::{Dimension, Expect, Fault, Units, read};

fn fault(text: &str, expect: Expect<'_>) -> Fault {
    match read(text, &Units::standard(), expect) {
        Ok(written) => panic!("`{text}` was read as {written:?}"),
        Err(fault) => fault,
    }
}

/// text, kind, the part of the text it marks, a piece of its help
type Row = (&'static str, &'static str, &'static str, &'static str);

fn check(expect: Expect<'_>, rows: &[Row]) {
    for (text, code, marked, help) in rows {
        let fault = fault(text, expect);
        assert_eq!(fault.kind.code(), *code, "`{text}`: {fault:?}");
        assert_eq!(&text[fault.range.clone()], *marked, "`{text}`: {fault:?}");
        let found = fault.help.clone().unwrap_or_default();
        assert!(found.contains(help), "`{text}`: {fault:?}");
        assert!(help.is_empty() == found.is_empty(), "`{text}`: {fault:?}");
        assert!(!fault.headline.ends_with('.'), "{fault:?}");
    }
}

#[test]
fn numbers_and_units() {
    check(
        Expect::Any,
        &[
            ("", "empty-quantity", "", "14 m/min"),
            ("   ", "empty-quantity", "   ", "14 m/min"),
            ("1,5 m", "not-a-number", "1,5", "`1.5`"),
            ("1,2000 m", "not-a-number", "1,2000", "`1.2000`"),
            ("0,500 m", "not-a-number", "0,500", "`0.500`"),
            ("1.234,5 m", "not-a-number", "1.234,5", "`1,234.5`"),
            ("1.2.3 m", "not-a-number", "1.2.3", ""),
            ("m", "not-a-number", "m", ""),
            ("about 5 m", "not-a-number", "about 5 m", ""),
            ("NaN m", "not-finite", "NaN", ""),
            ("inf", "not-finite", "inf", ""),
            ("1e999 m", "not-finite", "1e999", ""),
            ("1e308 km", "not-finite", "1e308 km", ""),
            ("1e25 each", "not-finite", "1e25 each", ""),
            ("1e-30 s", "not-finite", "1e-30 s", ""),
            ("0..1e30 s", "not-finite", "0..1e30 s", ""),
            ("1/0 m", "not-finite", "1/0", ""),
            ("1/2/3/4 m", "not-a-number", "1/2/", "12 / 14 / 19"),
            ("12 14 s", "not-a-number", "14 s", ""),
            ("£18 s / 112.50/kg", "bad-spread", "/", "12 / 14 / 19"),
            ("5 metrs", "unknown-unit", "metrs", "`metre"),
            ("5 KG", "unknown-unit", "KG", "`kg`"),
            ("5 trai", "unknown-unit", "trai", "`tray`"),
            ("5 kg/mm3/qqqqqq", "unknown-unit", "qqqqqq", ""),
            ("5 tons", "unknown-unit", "tons", "short ton"),
            ("3600 J/kgK", "unknown-unit", "kgK", "(kg K)"),
            ("5 m/", "unknown-unit", "/", ""),
            ("5 m/3", "unknown-unit", "3", ""),
            ("250 ML", "unknown-unit", "ML", "`ml`"),
            ("5ft6in", "unknown-unit", "6", "5 ft 6 in"),
            ("8 h/shift", "unknown-unit", "shift", ""),
            ("5 m//s", "unknown-unit", "/", ""),
            ("5 (m", "unknown-unit", "(", "`)`"),
            ("5 m)", "unknown-unit", ")", ""),
            ("5 m^", "unknown-unit", "^", ""),
            ("5 m^99", "unknown-unit", "^99", ""),
            ("6:30 h", "unknown-unit", ":", "6 h 30 min"),
            ("12-18 s", "unknown-unit", "-", "`12..18 s`"),
            ("12–18 s", "unknown-unit", "–", "`12..18 s`"),
            ("12 to 18 s", "unknown-unit", "to", "`12..18 s`"),
            ("5 ft 6", "missing-unit", "6", ""),
            ("5 ft 6 s", "wrong-dimension", "6 s", ""),
            ("5 in 6 ft", "not-a-number", "6 ft", "larger unit first"),
            ("5 degC 3 degC", "offset-temperature", "3 degC", ""),
            ("-300 degC", "offset-temperature", "-300 degC", ""),
        ],
    );
}

#[test]
fn spreads() {
    check(
        Expect::Any,
        &[
            ("18..12 s", "bad-spread", "18..12 s", "smallest first"),
            ("12... 18 s", "bad-spread", "...", "`12..18 s`"),
            ("12..", "bad-spread", "..", "`12..18 s`"),
            ("1..2..3 s", "bad-spread", "..", "`12..18 s`"),
            ("12 / 19 s", "bad-spread", "/", "`12 / 14 / 19 s`"),
            ("12 s / 19 s", "bad-spread", "/", "`12 / 14 / 19 s`"),
            ("12 s/19 s", "bad-spread", "19", "`12 / 14 / 19 s`"),
            ("1 / 2 / 3 / 4 s", "bad-spread", "/", "`12 / 14 / 19 s`"),
            (
                "14 / 12 / 19 s",
                "bad-spread",
                "14 / 12 / 19 s",
                "smallest first",
            ),
            ("14 s +-", "bad-spread", "+-", "`14 s +- 2 s`"),
            ("14 s +- -2 s", "bad-spread", "-2 s", ""),
            ("12 s..18 m", "wrong-dimension", "m", ""),
            ("14 s +- 2 m", "wrong-dimension", "m", ""),
            ("190 degC +- 5 %", "offset-temperature", "%", "degC"),
        ],
    );
}

#[test]
fn dimensions_show_both_sides_and_a_repair() {
    check(
        Expect::Dimension(&Dimension::SPEED),
        &[
            ("14", "missing-unit", "14", "`14 m/s`"),
            ("14 min/m", "wrong-dimension", "min/m", "`m/min`"),
            ("14 m", "wrong-dimension", "m", "`m/s`"),
            ("14 kg", "wrong-dimension", "kg", ""),
            ("3 / 4 / 5 m", "wrong-dimension", "m", "`m/s`"),
        ],
    );
    let areal = Dimension::MASS.over(&Dimension::AREA);
    check(
        Expect::Dimension(&areal),
        &[
            ("3.2 kg/m", "wrong-dimension", "kg/m", "`kg/m2`"),
            ("3.2 kg", "wrong-dimension", "kg", "`kg/m2`"),
            ("3.2 g/m3", "wrong-dimension", "g/m3", "`g/m2`"),
        ],
    );
    let price = Dimension::money("GBP").over(&Dimension::LENGTH);
    check(
        Expect::Dimension(&price),
        &[("£4", "wrong-dimension", "£4", "`GBP/m`")],
    );
    let fault = fault("14 m/min", Expect::Dimension(&Dimension::TIME));
    assert_eq!(fault.headline, "expected time, found speed (length/time)");
    assert_eq!(fault.expected.as_deref(), Some("time, for example in `s`"));
    assert_eq!(
        fault.found.as_deref(),
        Some("speed (length/time), in `m/min`")
    );
}

#[test]
fn shares() {
    check(
        Expect::Share,
        &[
            ("96", "share-out-of-range", "96", "`96 %`"),
            ("104 %", "share-out-of-range", "104 %", ""),
            ("-0.1", "share-out-of-range", "-0.1", ""),
            ("90..104 %", "share-out-of-range", "90..104 %", ""),
            ("3 kg", "wrong-dimension", "kg", ""),
        ],
    );
}

#[test]
fn one_of_names_all() {
    let either = [Dimension::TIME, Dimension::SPEED];
    assert!(read("9 s", &Units::standard(), Expect::OneOf(&either)).is_ok());
    let fault = fault("9 kg", Expect::OneOf(&either));
    assert_eq!(
        fault.headline,
        "expected time or speed (length/time), found mass"
    );
}

#[test]
fn a_millikelvin_where_metres_were_meant() {
    let conductivity = Dimension::POWER
        .over(&Dimension::LENGTH)
        .over(&Dimension::TEMPERATURE);
    let fault = fault("0.17 W/mK", Expect::Dimension(&conductivity));
    assert_eq!(fault.kind.code(), "wrong-dimension");
    assert!(fault.help.unwrap().contains("`W/(m K)`"));
}
