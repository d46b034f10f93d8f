//! The table of units that every registry starts with.
//!
//! Factors come from `uom` where it holds the defined value. It rounds some customary units to
//! seven digits (pound 0.4535924 kg, gallon 3.785412 L, psi, horsepower, Btu); those are built here from the exact
//! definitions in UCUM (The Unified Code for Units of Measure, ucum-essence.xml):
//! pound 0.45359237 kg, US gallon 231 in³, imperial gallon 4.54609 L, board foot 144 in³.
//!
//! `BTU` is the International Table Btu (1055.05585262 J), as in engineering practice; the UCUM codes
//! `[Btu_IT]` and `[Btu_th]` say which, and UCUM's own `[Btu]` is the thermochemical one (1054.35 J).
//! `cal` is thermochemical (4.184 J), as in UCUM. `hp` is 550 ft·lbf/s. `year` is 365.25 d and
//! `month` a twelfth of it (UCUM `a_j`, `mo_j`).

use uom::si::f64::{
    AmountOfSubstance, Angle, Area, ElectricCharge, ElectricCurrent, ElectricPotential,
    ElectricalConductance, ElectricalResistance, Energy, Force, Frequency, Illuminance, Length,
    LuminousIntensity, Mass, Power, Pressure, TemperatureInterval, ThermodynamicTemperature, Time,
    Velocity, Volume,
};
use uom::si::{
    amount_of_substance, angle, area, electric_charge, electric_current, electric_potential,
    electrical_conductance, electrical_resistance, energy, force, frequency, illuminance, length,
    luminous_intensity, mass, power, pressure, temperature_interval, thermodynamic_temperature,
    time, velocity, volume,
};

use crate::Dimension;

/// Which prefixes a name takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Prefixes {
    None,
    /// k, m, µ …
    Symbol,
    /// kilo, milli, micro …
    Word,
}

/// One row: names of a unit, its dimension, its factor.
pub(crate) struct Row {
    /// Case matters, no plural; separated by `|`.
    pub(crate) symbols: &'static str,
    /// Long names, singular; plural and capital first letter are read as well; separated by `|`.
    pub(crate) words: &'static str,
    pub(crate) dimension: Dimension,
    pub(crate) factor: f64,
    pub(crate) offset: f64,
    pub(crate) prefixed: bool,
}

/// Base value of one of a `uom` unit.
macro_rules! one {
    ($quantity:ident, $($unit:ident)::+) => {
        $quantity::new::<$($unit)::+>(1.0).value
    };
}

fn row(symbols: &'static str, words: &'static str, dimension: &Dimension, factor: f64) -> Row {
    Row {
        symbols,
        words,
        dimension: dimension.clone(),
        factor,
        offset: 0.0,
        prefixed: false,
    }
}

fn prefixed(symbols: &'static str, words: &'static str, dimension: &Dimension, factor: f64) -> Row {
    Row {
        prefixed: true,
        ..row(symbols, words, dimension, factor)
    }
}

/// UCUM `[lb_av]`: 7000 grains of 64.79891 mg.
fn pound_kg() -> f64 {
    7000.0 * one!(Mass, mass::grain)
}

/// UCUM `[lbf_av]`: the pound times `[g]`, 9.80665 m/s².
fn pound_force_n() -> f64 {
    pound_kg() * one!(Force, force::kilogram_force)
}

/// UCUM `[cin_i]`.
fn cubic_inch_m3() -> f64 {
    one!(Length, length::inch).powi(3)
}

/// Every measured unit of the standard registry.
pub(crate) fn rows() -> Vec<Row> {
    let mut rows = lengths();
    rows.extend(areas());
    rows.extend(volumes());
    rows.extend(masses());
    rows.extend(times());
    rows.extend(temperatures());
    rows.extend(mechanics());
    rows.extend(energies());
    rows.extend(electricity_and_light());
    rows.extend(flows_and_textiles());
    rows.extend(numbers());
    rows
}

fn lengths() -> Vec<Row> {
    let d = Dimension::LENGTH;
    vec![
        prefixed("m", "metre|meter", &d, one!(Length, length::meter)),
        row("", "micron", &d, one!(Length, length::micron)),
        row("in|\"|″|[in_i]", "inch", &d, one!(Length, length::inch)),
        row("ft|'|′|[ft_i]|feet", "foot", &d, one!(Length, length::foot)),
        row("yd|[yd_i]", "yard", &d, one!(Length, length::yard)),
        row("mi|[mi_i]", "mile", &d, one!(Length, length::mile)),
        row("mil|mils|[mil_i]|thou", "", &d, one!(Length, length::mil)),
        row(
            "[nmi_i]",
            "nautical mile",
            &d,
            one!(Length, length::nautical_mile),
        ),
    ]
}

fn areas() -> Vec<Row> {
    let d = Dimension::AREA;
    let foot = one!(Length, length::foot);
    vec![
        row("ha|har", "hectare", &d, one!(Area, area::hectare)),
        row("sqm", "", &d, one!(Area, area::square_meter)),
        row("sqft|[sft_i]", "", &d, foot * foot),
        row("sqin|[sin_i]", "", &d, one!(Length, length::inch).powi(2)),
        row("", "acre", &d, 43_560.0 * foot * foot),
    ]
}

fn volumes() -> Vec<Row> {
    let d = Dimension::VOLUME;
    let inch3 = cubic_inch_m3();
    let gallon = 231.0 * inch3;
    let imperial = one!(Volume, volume::gallon_imperial);
    vec![
        prefixed("L|l", "litre|liter", &d, one!(Volume, volume::liter)),
        row("cc", "", &d, one!(Volume, volume::cubic_centimeter)),
        row("cuft|[cft_i]", "", &d, 1728.0 * inch3),
        row("[cin_i]", "", &d, inch3),
        row(
            "bdft|bd ft|board feet|[bf_i]",
            "board foot",
            &d,
            144.0 * inch3,
        ),
        row("gal|US gal|[gal_us]", "gallon|US gallon", &d, gallon),
        row("qt|[qt_us]", "quart", &d, gallon / 4.0),
        row("pt|[pt_us]", "pint", &d, gallon / 8.0),
        row("fl oz|floz|[foz_us]", "fluid ounce", &d, gallon / 128.0),
        row("imp gal|[gal_br]", "imperial gallon", &d, imperial),
        row("imp qt|[qt_br]", "imperial quart", &d, imperial / 4.0),
        row("imp pt|[pt_br]", "imperial pint", &d, imperial / 8.0),
        row(
            "imp fl oz|[foz_br]",
            "imperial fluid ounce",
            &d,
            imperial / 160.0,
        ),
    ]
}

fn masses() -> Vec<Row> {
    let d = Dimension::MASS;
    let pound = pound_kg();
    vec![
        prefixed("g", "gram|gramme", &d, one!(Mass, mass::gram)),
        row("t", "tonne", &d, one!(Mass, mass::ton)),
        row("", "kilo", &d, one!(Mass, mass::kilogram)),
        row("lb|lbs|[lb_av]", "pound", &d, pound),
        row("oz|[oz_av]", "ounce", &d, pound / 16.0),
        row("[gr]", "", &d, one!(Mass, mass::grain)),
        row("[ston_av]|US ton|US tons", "short ton", &d, 2000.0 * pound),
        row("[lton_av]", "long ton", &d, 2240.0 * pound),
    ]
}

fn times() -> Vec<Row> {
    let d = Dimension::TIME;
    let day = one!(Time, time::day);
    vec![
        prefixed("s|sec|secs", "second", &d, one!(Time, time::second)),
        row("min|mins", "minute", &d, one!(Time, time::minute)),
        row("h|hr|hrs", "hour", &d, one!(Time, time::hour)),
        row("d", "day", &d, day),
        row("wk|wks", "week", &d, 7.0 * day),
        row("mo", "month", &d, 365.25 / 12.0 * day),
        row("yr|yrs|a", "year", &d, 365.25 * day),
    ]
}

fn temperatures() -> Vec<Row> {
    type Kelvin = ThermodynamicTemperature;
    let d = Dimension::TEMPERATURE;
    let celsius = Row {
        offset: Kelvin::new::<thermodynamic_temperature::degree_celsius>(0.0).value,
        ..row(
            "degC|°C|℃|Cel|deg C|degrees C|degree Celsius|degrees Celsius",
            "celsius|degree celsius|degrees celsius",
            &d,
            one!(TemperatureInterval, temperature_interval::degree_celsius),
        )
    };
    let fahrenheit = Row {
        offset: Kelvin::new::<thermodynamic_temperature::degree_fahrenheit>(0.0).value,
        ..row(
            "degF|°F|℉|[degF]|deg F|degrees F|degree Fahrenheit|degrees Fahrenheit",
            "fahrenheit|degree fahrenheit|degrees fahrenheit",
            &d,
            one!(TemperatureInterval, temperature_interval::degree_fahrenheit),
        )
    };
    vec![
        prefixed(
            "K",
            "kelvin",
            &d,
            one!(TemperatureInterval, temperature_interval::kelvin),
        ),
        celsius,
        fahrenheit,
    ]
}

fn mechanics() -> Vec<Row> {
    let (force, pressure) = (Dimension::FORCE, Dimension::PRESSURE);
    let inch = one!(Length, length::inch);
    let psi = pound_force_n() / (inch * inch);
    // UCUM m[H2O] is 9.80665 kPa, m[Hg] is 133.322 kPa.
    let (metre_water, metre_mercury) = (9806.65, 133_322.0);
    let viscosity = pressure.times(&Dimension::TIME);
    let kinematic = Dimension::AREA.over(&Dimension::TIME);
    vec![
        prefixed("N", "newton", &force, one!(Force, force::newton)),
        row("kgf", "", &force, one!(Force, force::kilogram_force)),
        row("lbf|[lbf_av]", "pound force", &force, pound_force_n()),
        prefixed("Pa", "pascal", &pressure, one!(Pressure, pressure::pascal)),
        prefixed("bar", "bar", &pressure, one!(Pressure, pressure::bar)),
        row(
            "atm",
            "atmosphere",
            &pressure,
            one!(Pressure, pressure::atmosphere),
        ),
        row("psi|PSI|[psi]", "", &pressure, psi),
        row("ksi", "", &pressure, 1000.0 * psi),
        row("mmHg", "", &pressure, metre_mercury / 1000.0),
        row("inHg|[in_i'Hg]", "", &pressure, metre_mercury * inch),
        row("mmH2O", "", &pressure, metre_water / 1000.0),
        row("inH2O|[in_i'H2O]", "", &pressure, metre_water * inch),
        prefixed("P", "poise", &viscosity, 0.1),
        prefixed("St", "", &kinematic, 1e-4),
    ]
}

fn energies() -> Vec<Row> {
    let (energy, power) = (Dimension::ENERGY, Dimension::POWER);
    // UCUM [Btu_IT].
    let btu_it = 1_055.055_852_62;
    let foot_pound = one!(Length, length::foot) * pound_force_n();
    vec![
        prefixed("J", "joule", &energy, one!(Energy, energy::joule)),
        prefixed(
            "Wh|W h",
            "watt hour|watt-hour",
            &energy,
            one!(Energy, energy::watt_hour),
        ),
        prefixed(
            "cal|cal_th",
            "calorie",
            &energy,
            one!(Energy, energy::calorie),
        ),
        prefixed("eV", "", &energy, one!(Energy, energy::electronvolt)),
        row("BTU|Btu|btu|[Btu_IT]", "", &energy, btu_it),
        row("[Btu]|[Btu_th]", "", &energy, one!(Energy, energy::btu)),
        row("ft lbf|ftlbf", "", &energy, foot_pound),
        prefixed("W", "watt", &power, one!(Power, power::watt)),
        row("hp|HP|[HP]", "horsepower", &power, 550.0 * foot_pound),
    ]
}

fn electricity_and_light() -> Vec<Row> {
    let amp = Dimension::CURRENT;
    let charge = amp.times(&Dimension::TIME);
    let volt = Dimension::POWER.over(&amp);
    let lumen = Dimension::LUMINOUS;
    let ampere_hour = one!(ElectricCharge, electric_charge::ampere_hour);
    vec![
        prefixed(
            "A",
            "amp|ampere",
            &amp,
            one!(ElectricCurrent, electric_current::ampere),
        ),
        prefixed("Ah", "", &charge, ampere_hour),
        row(
            "",
            "coulomb",
            &charge,
            one!(ElectricCharge, electric_charge::coulomb),
        ),
        prefixed(
            "V",
            "volt",
            &volt,
            one!(ElectricPotential, electric_potential::volt),
        ),
        prefixed(
            "Ohm|Ω|Ω",
            "ohm",
            &volt.over(&amp),
            one!(ElectricalResistance, electrical_resistance::ohm),
        ),
        prefixed(
            "S",
            "siemens",
            &amp.over(&volt),
            one!(ElectricalConductance, electrical_conductance::siemens),
        ),
        prefixed(
            "mol",
            "mole",
            &Dimension::AMOUNT,
            one!(AmountOfSubstance, amount_of_substance::mole),
        ),
        prefixed(
            "cd",
            "candela",
            &lumen,
            one!(LuminousIntensity, luminous_intensity::candela),
        ),
        prefixed("lm", "lumen", &lumen, 1.0),
        prefixed(
            "lx",
            "lux",
            &lumen.over(&Dimension::AREA),
            one!(Illuminance, illuminance::lux),
        ),
    ]
}

fn flows_and_textiles() -> Vec<Row> {
    let rate = Dimension::TIME.power(-1);
    let (speed, flow) = (Dimension::SPEED, Dimension::VOLUME.over(&Dimension::TIME));
    let linear = Dimension::MASS.over(&Dimension::LENGTH);
    let minute = one!(Time, time::minute);
    vec![
        prefixed("Hz", "hertz", &rate, one!(Frequency, frequency::hertz)),
        row(
            "rpm|RPM",
            "",
            &rate,
            one!(Frequency, frequency::cycle_per_minute),
        ),
        row("mph", "", &speed, one!(Velocity, velocity::mile_per_hour)),
        row(
            "kph",
            "",
            &speed,
            one!(Velocity, velocity::kilometer_per_hour),
        ),
        row("fpm", "", &speed, one!(Velocity, velocity::foot_per_minute)),
        row("cfm", "", &flow, 1728.0 * cubic_inch_m3() / minute),
        row("gpm", "", &flow, 231.0 * cubic_inch_m3() / minute),
        row("gsm", "", &Dimension::MASS.over(&Dimension::AREA), 1e-3),
        prefixed("tex", "", &linear, 1e-6),
        row("den", "denier", &linear, 1e-3 / 9000.0),
    ]
}

fn numbers() -> Vec<Row> {
    let d = Dimension::NONE;
    vec![
        row("%|pct", "percent|per cent", &d, 0.01),
        row("‰", "permille", &d, 1e-3),
        row("ppm|[ppm]", "", &d, 1e-6),
        row("ppb|[ppb]", "", &d, 1e-9),
        row("deg|°", "degree", &d, one!(Angle, angle::degree)),
        row("rad", "radian", &d, one!(Angle, angle::radian)),
        row("rev", "turn|revolution", &d, 1.0),
    ]
}

/// Counts: name, other names, and how many `each` (0 for a base of its own).
pub(crate) const COUNTS: [(&str, &str, f64); 15] = [
    ("each", "ea|pcs|pc|piece", 0.0),
    ("pair", "pr|prs", 0.0),
    ("hole", "", 0.0),
    ("stroke", "", 0.0),
    ("tray", "", 0.0),
    ("box", "", 0.0),
    ("case", "", 0.0),
    ("pack", "", 0.0),
    ("roll", "", 0.0),
    ("reel", "", 0.0),
    ("load", "", 0.0),
    ("shot", "", 0.0),
    ("sheet", "", 0.0),
    ("dozen", "doz", 12.0),
    ("gross", "", 144.0),
];

/// Prefixes: symbol, word, factor.
pub(crate) const PREFIXES: [(&str, &str, f64); 16] = [
    ("da", "deca", 1e1),
    ("T", "tera", 1e12),
    ("G", "giga", 1e9),
    ("M", "mega", 1e6),
    ("k", "kilo", 1e3),
    ("h", "hecto", 1e2),
    ("d", "deci", 1e-1),
    ("c", "centi", 1e-2),
    ("m", "milli", 1e-3),
    ("u", "micro", 1e-6),
    ("µ", "micro", 1e-6),
    ("μ", "micro", 1e-6),
    ("n", "nano", 1e-9),
    ("p", "pico", 1e-12),
    ("f", "femto", 1e-15),
    ("a", "atto", 1e-18),
];
