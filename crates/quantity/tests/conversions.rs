//! Unit factors against UCUM's own definitions (The Unified Code for Units of Measure,
//! `ucum-essence.xml` of the repository ucum-org/ucum at 2538259), typed here from its entries,
//! independent of the registry. Where UCUM defines a unit by others it is multiplied out in the row.
//! Read there: mil, board foot, US and British volumes, avoirdupois, degF, calories, Btu, hp,
//! water and mercury columns, psi. The SI, time, textile and cgs rows, [in_i] and [g]: from memory.

use quantity::Units;

const INCH: f64 = 0.0254; // [in_i] = 2.54 cm
const FOOT: f64 = 12.0 * INCH; // [ft_i] = 12 [in_i]
const POUND: f64 = 0.453_592_37; // [lb_av] = 7000 [gr], [gr] = 64.79891 mg
const GRAVITY: f64 = 9.806_65; // [g]
const GALLON: f64 = 231.0 * INCH * INCH * INCH; // [gal_us] = 231 [in_i]3

#[test]
fn factors_are_those_of_ucum() {
    let table = [
        ("in", INCH),
        ("[in_i]", INCH),
        ("ft", FOOT),
        ("yd", 3.0 * FOOT),
        ("mi", 5280.0 * FOOT),
        ("mil", 1e-3 * INCH),
        ("nautical mile", 1852.0),
        ("lb", POUND),
        ("[lb_av]", POUND),
        ("oz", POUND / 16.0),
        ("[gr]", 64.798_91e-6),
        ("short ton", 2000.0 * POUND),
        ("long ton", 2240.0 * POUND),
        ("t", 1000.0),
        ("gal", GALLON),
        ("qt", GALLON / 4.0),
        ("pt", GALLON / 8.0),
        ("fl oz", GALLON / 128.0),
        ("imp gal", 4.546_09e-3), // [gal_br] = 4.54609 l
        ("imp pt", 4.546_09e-3 / 8.0),
        ("board foot", 144.0 * INCH * INCH * INCH), // [bf_i] = 144 [in_i]3
        ("bdft", 144.0 * INCH * INCH * INCH),
        ("acre", 43_560.0 * FOOT * FOOT),
        ("ha", 1e4),
        ("lbf", POUND * GRAVITY),
        ("psi", POUND * GRAVITY / (INCH * INCH)),
        ("bar", 1e5),
        ("atm", 101_325.0),
        ("inHg", 133_322.0 * INCH),             // m[Hg] = 133.3220 kPa
        ("inH2O", 9806.65 * INCH),              // m[H2O] = 9.80665 kPa
        ("hp", 550.0 * FOOT * POUND * GRAVITY), // [HP] = 550 [ft_i].[lbf_av]/s
        ("BTU", 1_055.055_852_62),              // [Btu_IT] = 1.05505585262 kJ
        ("[Btu]", 1054.35),                     // [Btu] = [Btu_th] = 1.05435 kJ
        ("cal", 4.184),
        ("kcal", 4184.0),
        ("kWh", 3.6e6),
        ("min", 60.0),
        ("h", 3600.0),
        ("d", 86_400.0),
        ("wk", 604_800.0),
        ("month", 365.25 * 86_400.0 / 12.0), // mo_j
        ("year", 365.25 * 86_400.0),         // a_j
        ("P", 0.1),                          // dyn.s/cm2
        ("cP", 1e-3),
        ("cSt", 1e-6),
        ("degF", 5.0 / 9.0),
        ("degC", 1.0),
        ("deg", std::f64::consts::PI / 180.0),
        ("ppm", 1e-6),
        ("tex", 1e-6),
        ("den", 1e-3 / 9000.0), // [den] = g/9/km
        ("L", 1e-3),
        ("cfm", FOOT * FOOT * FOOT / 60.0),
        ("mph", 0.447_04),
        ("fpm", FOOT / 60.0),
        ("lx", 1.0),
        ("Ah", 3600.0),
    ];
    let units = Units::standard();
    for (name, wanted) in table {
        let unit = units
            .parse_unit(name)
            .unwrap_or_else(|fault| panic!("`{name}`: {fault:?}"));
        let error = (unit.factor() / wanted - 1.0).abs();
        assert!(
            error < 1e-14,
            "`{name}`: {:e}, UCUM {wanted:e}",
            unit.factor()
        );
    }
}

/// Fixed points: water freezes at 0 degC = 32 degF = 273.15 K, the scales meet at −40.
#[test]
fn temperature_scales() {
    let units = Units::standard();
    let (celsius, fahrenheit) = (
        units.parse_unit("degC").unwrap(),
        units.parse_unit("degF").unwrap(),
    );
    for (c, f) in [
        (0.0, 32.0),
        (100.0, 212.0),
        (-40.0, -40.0),
        (-273.15, -459.67),
    ] {
        assert!((celsius.to_base(c) - fahrenheit.to_base(f)).abs() < 1e-10);
        assert!((fahrenheit.from_base(celsius.to_base(c)) - f).abs() < 1e-10);
    }
    assert!((celsius.to_base(0.0) - 273.15).abs() < 1e-12);
}

/// The same unit under its UCUM code and its everyday name.
#[test]
fn codes_and_names_agree() {
    let pairs = [
        ("Cel", "degC"),
        ("[degF]", "degF"),
        ("[ft_i]", "feet"),
        ("[oz_av]", "ounces"),
        ("[gal_us]", "gallons"),
        ("[gal_br]", "imperial gallons"),
        ("[bf_i]", "board feet"),
        ("[psi]", "psi"),
        ("[HP]", "horsepower"),
        ("[lbf_av]/[in_i]2", "psi"),
        ("[sft_i]", "sq ft"),
        ("m/s2", "metres per second^2"),
        ("kg.m-3", "kg per cubic metre"),
    ];
    let units = Units::standard();
    for (code, name) in pairs {
        let (a, b) = (
            units.parse_unit(code).unwrap(),
            units.parse_unit(name).unwrap(),
        );
        assert_eq!(a.dimension(), b.dimension(), "{code}");
        assert!((a.factor() / b.factor() - 1.0).abs() < 1e-14, "{code}");
        assert_eq!(a.has_offset(), b.has_offset(), "{code}");
    }
}

/// A unit made from two keeps its meaning when its symbol is read again.
#[test]
fn made_units_read_back() {
    let units = Units::standard();
    let names = [
        "m/min",
        "GBP",
        "kg",
        "W/(m2 K)",
        "each",
        "per h",
        "board foot",
        "%",
        "/s",
        "N.m",
    ];
    for a in names {
        for b in names {
            let (first, second) = (units.parse_unit(a).unwrap(), units.parse_unit(b).unwrap());
            for made in [first.over(&second), first.times(&second)] {
                let again = units.parse_unit(made.symbol());
                let again = again.unwrap_or_else(|f| panic!("{a}, {b}: `{}` {f:?}", made.symbol()));
                assert_eq!(again.dimension(), made.dimension(), "`{}`", made.symbol());
                let error = (again.factor() / made.factor() - 1.0).abs();
                assert!(error < 1e-14, "`{}`", made.symbol());
            }
        }
    }
}
