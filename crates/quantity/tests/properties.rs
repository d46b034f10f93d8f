//! What holds for every text and every value.

use proptest::prelude::*;
use quantity::{Dimension, Expect, Spread, Units, Written, read};

const UNITS: [&str; 24] = [
    "",
    "m",
    "mm",
    "in",
    "ft",
    "kg",
    "lb",
    "oz",
    "s",
    "min",
    "h",
    "wk",
    "degC",
    "degF",
    "K",
    "%",
    "m/min",
    "kg/m2",
    "W/(m2 K)",
    "GBP/kg",
    "each/min",
    "/h",
    "s per pair",
    "GBP/100 each",
];

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-12 * a.abs().max(b.abs())
}

fn same(a: &Spread, b: &Spread) -> bool {
    let pairs = match (*a, *b) {
        (Spread::Exact(x), Spread::Exact(y)) => vec![(x, y)],
        (Spread::Range { low: a, high: b }, Spread::Range { low: c, high: d })
        | (Spread::Normal { mean: a, sd: b }, Spread::Normal { mean: c, sd: d }) => {
            vec![(a, c), (b, d)]
        }
        (
            Spread::Triple {
                low: a,
                likely: b,
                high: c,
            },
            Spread::Triple {
                low: d,
                likely: e,
                high: f,
            },
        ) => vec![(a, d), (b, e), (c, f)],
        _ => return false,
    };
    pairs.into_iter().all(|(a, b)| near(a, b))
}

/// Positive values over many sizes, so that temperatures stay above absolute zero.
fn size() -> impl Strategy<Value = f64> {
    (1.0..10.0_f64, -6..9_i32).prop_map(|(digits, power)| digits * 10.0_f64.powi(power))
}

fn spreads() -> impl Strategy<Value = Spread> {
    prop_oneof![
        size().prop_map(Spread::Exact),
        (size(), 1.001..5.0_f64).prop_map(|(low, by)| Spread::Range {
            low,
            high: low * by
        }),
        (size(), 1.001..5.0_f64, 1.001..5.0_f64).prop_map(|(low, a, b)| Spread::Triple {
            low,
            likely: low * a,
            high: low * a * b
        }),
        (size(), 0.001..2.0_f64).prop_map(|(mean, part)| Spread::Normal {
            mean,
            sd: mean * part
        }),
    ]
}

fn expectations(text: &str) {
    let units = Units::standard();
    let either = [Dimension::TIME, Dimension::TEMPERATURE];
    let all = [
        Expect::Any,
        Expect::Share,
        Expect::Temperature,
        Expect::TemperatureDifference,
        Expect::Dimension(&Dimension::SPEED),
        Expect::OneOf(&either),
    ];
    for expect in all {
        match read(text, &units, expect) {
            Err(fault) => assert!(
                text.get(fault.range.clone()).is_some(),
                "`{text}` {fault:?}"
            ),
            Ok(written) => {
                assert!(written.mean().is_finite());
                let shown = written.show();
                let again = read(&shown, &units, expect);
                let again = again.unwrap_or_else(|f| panic!("`{text}` shown as `{shown}`: {f:?}"));
                assert!(
                    same(&again.spread, &written.spread),
                    "`{text}` shown as `{shown}`"
                );
            }
        }
    }
    if let Err(fault) = units.parse_unit(text) {
        assert!(
            text.get(fault.range.clone()).is_some(),
            "`{text}` {fault:?}"
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn shown_reads_back(spread in spreads(), unit in 0..UNITS.len()) {
        let units = Units::standard();
        let unit = if unit == 0 { quantity::Unit::one() } else { units.parse_unit(UNITS[unit]).unwrap() };
        // A scale with its zero elsewhere has fewer digits left near absolute zero.
        let spread = if unit.has_offset() { spread.map(|kelvin| kelvin + 100.0) } else { spread };
        let written = Written { spread, unit };
        let shown = written.show();
        let again = read(&shown, &units, Expect::Any);
        prop_assert!(again.is_ok(), "`{shown}`: {again:?}");
        let again = again.unwrap();
        prop_assert!(same(&again.spread, &spread), "`{shown}`: {:?} for {spread:?}", again.spread);
        prop_assert_eq!(again.unit.symbol(), written.unit.symbol());
    }

    #[test]
    fn any_text_is_read_or_refused(text in any::<String>()) {
        expectations(&text);
    }

    /// Texts made of the pieces that quantities are made of reach deeper than random letters.
    #[test]
    fn pieces_are_read_or_refused(pieces in prop::collection::vec(prop::sample::select(vec![
        "1", "12", "000", "0.5", ",", ".", "..", " ", " / ", "/", "-", "+-", "±", "e5", "½", "m",
        "kg", "degC", "C", "°", "%", "£", "GBP ", "per ", "sq ", "(", ")", "^", "²", "⁻¹", "'", "\"",
        "ft", "in", "board foot", "imp ", "[in_i]", "[", "each", "s", "h", "min", "µ", "é", "−", "*", "100",
    ]), 0..9)) {
        expectations(&pieces.concat());
    }

    #[test]
    fn dimensions_form_a_group(a in 0..UNITS.len(), b in 0..UNITS.len()) {
        let units = Units::standard();
        let dim = |at: usize| if at == 0 { Dimension::NONE } else { units.parse_unit(UNITS[at]).unwrap().dimension().clone() };
        let (a, b) = (dim(a), dim(b));
        prop_assert_eq!(a.times(&b), b.times(&a));
        prop_assert_eq!(a.times(&b).over(&b), a.clone());
        prop_assert!(a.over(&a).is_none());
        prop_assert_eq!(a.power(3), a.times(&a).times(&a));
    }
}
