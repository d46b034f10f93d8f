//! Texts and what they mean, in coherent base units.

use quantity::{Dimension, Expect, Spread, Units, read};

fn mean(text: &str) -> f64 {
    mean_as(text, Expect::Any)
}

fn mean_as(text: &str, expect: Expect<'_>) -> f64 {
    match read(text, &Units::standard(), expect) {
        Ok(written) => written.mean(),
        Err(fault) => panic!("`{text}`: {fault:?}"),
    }
}

#[track_caller]
fn close(text: &str, found: f64, wanted: f64) {
    let error = (found - wanted).abs();
    assert!(
        error <= 1e-13 * wanted.abs().max(1e-300),
        "`{text}`: {found:e}, wanted {wanted:e}"
    );
}

#[test]
fn exact_texts() {
    let table = [
        ("14 m/min", 14.0 / 60.0),
        ("0.62 m", 0.62),
        ("3.2 kg/m2", 3.2),
        ("3.2 kg/m^2", 3.2),
        ("3.2 kg/m²", 3.2),
        ("3.2 kg.m-2", 3.2),
        ("3.2 kg·m⁻²", 3.2),
        ("3.2 kg m^-2", 3.2),
        ("190 degC", 463.15),
        ("190 °C", 463.15),
        ("190°C", 463.15),
        ("190 Cel", 463.15),
        ("190 deg C", 463.15),
        ("190 degrees Celsius", 463.15),
        ("212 degF", 373.15),
        ("-40 [degF]", 233.15),
        ("300 K", 300.0),
        ("96 %", 0.96),
        ("96%", 0.96),
        ("12.50 GBP/m", 12.5),
        ("£12.50", 12.5),
        ("-£12.50", -12.5),
        ("£-12.50", -12.5),
        ("12.50 £/m", 12.5),
        ("GBP 12.50/m", 12.5),
        ("£12.50/kg", 12.5),
        ("$3 per lb", 3.0 / 0.453_592_37),
        ("£3.20/100 each", 0.032),
        ("£3/100 each", 0.03),
        ("£3 / 100 each", 0.03),
        ("3 GBP / 100 each", 0.03),
        ("3.20 GBP per 1,000 each", 0.0032),
        ("40 s per pair", 40.0),
        ("2,200 each/min", 2200.0 / 60.0),
        ("2,200.5 each", 2200.5),
        ("1,234,567 each", 1_234_567.0),
        ("1_000 each", 1000.0),
        ("10 000 each", 10_000.0),
        ("10\u{202f}000 each", 10_000.0),
        ("1 500 g", 1.5),
        ("3/4 in", 0.019_05),
        ("¾ in", 0.019_05),
        ("1 1/2 in", 0.0381),
        ("1-1/2 in", 0.0381),
        ("1½ in", 0.0381),
        ("-1 1/2 in", -0.0381),
        ("5' 6\"", 1.6764),
        ("5'6\"", 1.6764),
        ("5' 6 1/2\"", 1.6891),
        ("5 ft 6 in", 1.6764),
        ("-5 ft 6 in", -1.6764),
        ("12 lb 4 oz", 12.25 * 0.453_592_37),
        ("1 h 20 min", 4800.0),
        ("1 h 20 min 5 s", 4805.0),
        ("2 wk", 1_209_600.0),
        ("1 week", 604_800.0),
        ("3 d", 259_200.0),
        ("2 days", 172_800.0),
        ("3 hours", 10_800.0),
        ("5 minutes", 300.0),
        ("5 metres", 5.0),
        ("5 meters", 5.0),
        ("5 millimetres", 0.005),
        ("2 kilograms", 2.0),
        ("2 pounds", 2.0 * 0.453_592_37),
        ("6 inches", 0.1524),
        ("6 feet", 1.8288),
        ("30 mil", 30.0 * 25.4e-6),
        ("30 thou", 30.0 * 25.4e-6),
        ("75 um", 75e-6),
        ("75 µm", 75e-6),
        ("75 μm", 75e-6),
        ("75 microns", 75e-6),
        ("12 ft2", 12.0 * 0.092_903_04),
        ("12 sq ft", 12.0 * 0.092_903_04),
        ("12 square feet", 12.0 * 0.092_903_04),
        ("2 cubic metres", 2.0),
        ("250 mL", 250e-6),
        ("2 L", 0.002),
        ("60 rpm", 1.0),
        ("30 1/h", 30.0 / 3600.0),
        ("30/h", 30.0 / 3600.0),
        ("30 per h", 30.0 / 3600.0),
        ("1/h", 1.0 / 3600.0),
        ("10 W/m2.K", 10.0),
        ("10 W/(m2 K)", 10.0),
        ("10 W/(m2.K)", 10.0),
        ("10 W/m2 K", 10.0),
        ("10 W/m2/K", 10.0),
        ("4186 J/kg/degC", 4186.0),
        ("1 J/kg/degF", 1.8),
        ("1 kg/m.s", 1.0),
        ("7.2 kWh", 25_920_000.0),
        ("5 kW", 5000.0),
        ("1 MPa", 1e6),
        ("1e3 m", 1000.0),
        ("1.5E-3 m", 0.0015),
        ("-5 m", -5.0),
        ("−5 m", -5.0),
        ("+5 m", 5.0),
        (".5 m", 0.5),
        ("5 eV", 5.0 * 1.602_176_634e-19),
        ("5ea", 5.0),
        ("5 each", 5.0),
        ("5 Trays", 5.0),
        ("2 boxes", 2.0),
        ("2 dozen", 24.0),
        ("1 gross", 144.0),
        ("  3 m  ", 3.0),
        ("0", 0.0),
        ("5 per cent", 0.05),
        ("120 gsm", 0.12),
        ("1 GBP/kWh", 1.0 / 3.6e6),
    ];
    for (text, wanted) in table {
        close(text, mean(text), wanted);
    }
}

#[test]
fn a_bare_degree_is_read_where_a_temperature_is_expected() {
    close("190 C", mean_as("190 C", Expect::Temperature), 463.15);
    close(
        "212 F",
        mean_as("212 F", Expect::Dimension(&Dimension::TEMPERATURE)),
        373.15,
    );
    close("5 C", mean_as("5 C", Expect::TemperatureDifference), 5.0);
    close(
        "9 degF",
        mean_as("9 degF", Expect::TemperatureDifference),
        5.0,
    );
    let fault = read("190 C", &Units::standard(), Expect::Any).unwrap_err();
    assert_eq!(fault.kind.code(), "unknown-unit");
    assert!(fault.help.is_some_and(|help| help.contains("degC")));
}

#[test]
fn a_share_is_read_both_ways() {
    close("0.96", mean_as("0.96", Expect::Share), 0.96);
    close("96 %", mean_as("96 %", Expect::Share), 0.96);
}

#[track_caller]
fn spread(text: &str, wanted: Spread) {
    let found = match read(text, &Units::standard(), Expect::Any) {
        Ok(written) => written.spread,
        Err(fault) => panic!("`{text}`: {fault:?}"),
    };
    let shape = std::mem::discriminant(&found) == std::mem::discriminant(&wanted);
    assert!(shape, "`{text}`: {found:?}");
    close(text, found.low(), wanted.low());
    close(text, found.likely(), wanted.likely());
    close(text, found.high(), wanted.high());
    close(text, found.sd(), wanted.sd());
}

#[test]
fn ranges() {
    let wanted = Spread::Range {
        low: 12.0,
        high: 18.0,
    };
    for text in [
        "12..18 s",
        "12 s..18 s",
        "12 .. 18 s",
        "12 s .. 18",
        "£12..18",
        "£12..£18",
    ] {
        spread(text, wanted);
    }
    spread(
        "12 min .. 0.5 h",
        Spread::Range {
            low: 720.0,
            high: 1800.0,
        },
    );
    spread(
        "60..90 um",
        Spread::Range {
            low: 60e-6,
            high: 90e-6,
        },
    );
    spread(
        "-5..-3 degC",
        Spread::Range {
            low: 268.15,
            high: 270.15,
        },
    );
    spread(
        "1/2..3/4 in",
        Spread::Range {
            low: 0.0127,
            high: 0.01905,
        },
    );
}

#[test]
fn a_price_range_takes_the_full_unit() {
    let price = Dimension::money("GBP").over(&Dimension::MASS);
    for text in [
        "£12..£15/kg",
        "£12..15/kg",
        "12..15 GBP/kg",
        "£12/kg..£15/kg",
    ] {
        close(text, mean_as(text, Expect::Dimension(&price)), 13.5);
    }
}

#[test]
fn triples() {
    let wanted = Spread::Triple {
        low: 12.0,
        likely: 14.0,
        high: 19.0,
    };
    let texts = [
        "12 / 14 / 19 s",
        "12 s / 14 s / 19 s",
        "12/14/19 s",
        "12 /14 /19 s",
        "£12 / £14 / £19",
    ];
    for text in texts {
        spread(text, wanted);
    }
    let thirds = Spread::Triple {
        low: 0.0127,
        likely: 0.01905,
        high: 0.0254,
    };
    spread("1/2 / 3/4 / 1 in", thirds);
    spread("12 m/s / 14 m/s / 19 m/s", wanted);
}

#[test]
fn deviations() {
    let wanted = Spread::Normal {
        mean: 14.0,
        sd: 2.0,
    };
    for text in [
        "14 s +- 2 s",
        "14 +- 2 s",
        "14 s ± 2 s",
        "14 s +/- 2",
        "14±2 s",
        "£14 +- £2",
    ] {
        spread(text, wanted);
    }
    spread(
        "190 degC +- 5 degC",
        Spread::Normal {
            mean: 463.15,
            sd: 5.0,
        },
    );
    spread(
        "190 +- 5 degC",
        Spread::Normal {
            mean: 463.15,
            sd: 5.0,
        },
    );
    spread(
        "200 degF +- 9 degF",
        Spread::Normal {
            mean: 659.67 / 1.8,
            sd: 5.0,
        },
    );
    spread(
        "96 % +- 1.5 %",
        Spread::Normal {
            mean: 0.96,
            sd: 0.015,
        },
    );
    // A deviation in per cent of what is not a share is relative: 5 % of 100 kg.
    spread(
        "100 kg +- 5 %",
        Spread::Normal {
            mean: 100.0,
            sd: 5.0,
        },
    );
}

#[test]
fn spreads_without_width_are_exact() {
    for text in ["12..12 s", "12 / 12 / 12 s", "12 s +- 0 s"] {
        spread(text, Spread::Exact(12.0));
    }
}

/// Moments from the definitions: uniform 12..18 has sd 6/√12 = √3;
/// triangular 12, 14, 19 has mean 15 and variance (144+196+361−168−228−266)/18 = 39/18.
#[test]
fn moments() {
    let range = Spread::Range {
        low: 12.0,
        high: 18.0,
    };
    close("range", range.sd(), 3.0_f64.sqrt());
    let triple = Spread::Triple {
        low: 12.0,
        likely: 14.0,
        high: 19.0,
    };
    close("triple mean", triple.mean(), 15.0);
    close("triple sd", triple.sd(), (39.0_f64 / 18.0).sqrt());
    let fallen = triple.map(|x| -x);
    assert_eq!(
        fallen,
        Spread::Triple {
            low: -19.0,
            likely: -14.0,
            high: -12.0
        }
    );
}

#[test]
fn declared_units() {
    let mut units = Units::standard();
    units.declare("case", "24 each").unwrap();
    units.declare("pair", "2 each").unwrap();
    units.declare("EUR", "0.86 GBP").unwrap();
    units.declare("big sack", "25 kg").unwrap();
    units.declare_count("nest block").unwrap();
    units.declare_count("A4-sheet").unwrap();
    let base = |text: &str| read(text, &units, Expect::Any).map(|w| w.mean()).unwrap();
    close("cases", base("3 cases"), 72.0);
    close("pairs", base("3 pairs"), 6.0);
    close("euro sign", base("€100"), 86.0);
    close("sacks", base("2 big sacks"), 50.0);
    close("nest blocks", base("120 nest blocks/h"), 120.0 / 3600.0);
    close("A4", base("£0.02/A4-sheet"), 0.02);
    let blocks = read("5 nest blocks", &units, Expect::Any).unwrap();
    assert_eq!(blocks.dimension(), &Dimension::count("nest block"));
    assert!(units.declare_count("each").is_ok());
    for (name, code) in [
        ("m", "taken"),
        ("mm", "taken"),
        ("3x", "bad"),
        ("", "bad"),
        ("a/b", "bad"),
    ] {
        let fault = units.declare_count(name).unwrap_err().to_string();
        assert!(
            fault.contains(if code == "taken" {
                "already"
            } else {
                "cannot name"
            }),
            "{fault}"
        );
    }
    assert!(units.declare("each", "2 each").is_err());
    assert!(units.declare("skid", "0 each").is_err());
    assert!(units.declare("skid", "4 banana").is_err());
    assert!(units.declare("skid", "4..5 each").is_err());
}

#[test]
fn typed_access() {
    use uom::si::{length::inch, thermodynamic_temperature::degree_celsius};
    let units = Units::standard();
    let length = read("3/4 in", &units, Expect::Any).unwrap();
    close(
        "as_length",
        length.as_length().map_or(0.0, |l| l.get::<inch>()),
        0.75,
    );
    assert!(length.as_mass().is_none());
    let oven = read("190 degC", &units, Expect::Temperature).unwrap();
    close(
        "as_temperature",
        oven.as_temperature().unwrap().get::<degree_celsius>(),
        190.0,
    );
}

/// The units of heat, as data sheets write them. Inside a compound unit a degree is a difference: no
/// offset comes in. Factors: 1 kJ is 1000 J, 1 g/mol is 1e-3 kg/mol, 1 day is 86 400 s; exact.
#[test]
fn units_of_heat() {
    let units = Units::standard();
    let per = |over: Dimension, under: &[Dimension]| {
        under.iter().fold(over, |over, under| over.over(under))
    };
    let kelvin = Dimension::TEMPERATURE;
    let surface = per(Dimension::POWER, &[Dimension::AREA, kelvin.clone()]);
    let conduction = per(Dimension::POWER, &[Dimension::LENGTH, kelvin.clone()]);
    let specific = per(Dimension::ENERGY, &[Dimension::MASS, kelvin.clone()]);
    let cover = per(Dimension::AREA.times(&kelvin), &[Dimension::POWER]);
    let spreading = per(Dimension::AREA, &[Dimension::TIME]);
    let rows = [
        ("30 W/(m2 K)", &surface, 30.0),
        ("30 W/m2K", &surface, 30.0),
        ("30 W/m2/degC", &surface, 30.0),
        ("30 W/(m²·°C)", &surface, 30.0),
        ("0.17 W/(m K)", &conduction, 0.17),
        ("0.17 W/m.K", &conduction, 0.17),
        ("3600 J/(kg K)", &specific, 3600.0),
        ("3.6 kJ/kg/degC", &specific, 3600.0),
        ("3.6 J/g degC", &specific, 3600.0),
        ("0.03 m2 K/W", &cover, 0.03),
        ("0.03 m2K/W", &cover, 0.03),
        ("0.09 mm2/s", &spreading, 0.09e-6),
        ("2.2e-10 m2/s", &spreading, 2.2e-10),
        ("19 mm2/d", &spreading, 19e-6 / 86_400.0),
        (
            "250 kJ/kg",
            &per(Dimension::ENERGY, &[Dimension::MASS]),
            250e3,
        ),
        (
            "82 kJ/mol",
            &per(Dimension::ENERGY, &[Dimension::AMOUNT]),
            82e3,
        ),
        (
            "106 g/mol",
            &per(Dimension::MASS, &[Dimension::AMOUNT]),
            0.106,
        ),
        (
            "220 kJ/K",
            &per(Dimension::ENERGY, std::slice::from_ref(&kelvin)),
            220e3,
        ),
        (
            "180 W/K",
            &per(Dimension::POWER, std::slice::from_ref(&kelvin)),
            180.0,
        ),
        (
            "4 degC/min",
            &per(kelvin.clone(), &[Dimension::TIME]),
            4.0 / 60.0,
        ),
        (
            "1,050 kg/m3",
            &per(Dimension::MASS, &[Dimension::VOLUME]),
            1050.0,
        ),
        ("45 MPa", &Dimension::PRESSURE, 45e6),
        ("99 kPa", &Dimension::PRESSURE, 99e3),
    ];
    for (text, dimension, value) in rows {
        let read = quantity::read(text, &units, Expect::Dimension(dimension));
        let written = read.unwrap_or_else(|fault| panic!("{text}: {fault:?}"));
        let error = (written.mean() / value - 1.0).abs();
        assert!(error < 1e-15, "{text}: {} against {value}", written.mean());
        assert!(!written.unit.has_offset(), "{text}");
    }
    let z = quantity::read("7.5 degC", &units, Expect::TemperatureDifference).unwrap();
    assert!((z.mean() - 7.5).abs() < 1e-15, "a difference, not 280.65 K");
    let range = quantity::read("-8..-5 degC", &units, Expect::Temperature).unwrap();
    assert!((range.spread.low() - 265.15).abs() < 1e-12);
}
