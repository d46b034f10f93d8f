//! Loads in an oven of finite power.

use super::{near, only, oven, plan_of, read};

const HEAT: &str = r#"[operation.heat]
body = { form = "sheet", of = "plain steel", thick = "2 mm", unit = "0.1 m2" }
from = "20 degC"
air = "200 degC"
surface = "60 W/(m2 K)"
needs = [{ ends_above = "180 degC" }]"#;

/// Each part is 0.1 m² of 2 mm: 1.6 kg, 800 J/K, 128 kJ to 180 degC. With 4 kW and next to no heat in the oven itself,
/// 30 min of power are 7.2 MJ: 56 parts, less the little that the air lags behind.
#[test]
fn the_largest_load_is_what_the_power_heats_in_the_dwell() {
    let station =
        r#"heat = { power = "4 kW", stores = "0.05 kJ/K", starts = "20 degC", band = "1 degC" }"#;
    let pace = r#"{ holds = "40 each", dwell = "30 min" }"#;
    let plan = plan_of(&read(&oven(station, pace, HEAT)));
    let load = only(&plan).load.as_ref().expect("a load");
    assert!(!load.all);
    near(load.largest, 7.2e6 / 128e3, 0.01);
    near(load.holds, 40.0, 1e-12);
    assert!(
        load.sentence.contains("a full load does"),
        "{}",
        load.sentence
    );
    // All that went into the pieces came from the heater, less what the oven keeps.
    near(load.spent_j.0, load.into_pieces_j, 0.005);
    // A load and a half is too much for it.
    assert_eq!(
        load.traces.iter().map(|t| t.met).collect::<Vec<_>>(),
        [true, true, false]
    );
}

#[test]
fn power_that_does_not_bind_says_so() {
    let station = r#"heat = { power = "400 kW", stores = "5 kJ/K" }"#;
    let pace = r#"{ holds = "40 each", dwell = "30 min" }"#;
    let plan = plan_of(&read(&oven(station, pace, HEAT)));
    let load = only(&plan).load.as_ref().expect("a load");
    assert!(load.all, "{load:?}");
    assert!(
        load.sentence.starts_with("power does not bind"),
        "{}",
        load.sentence
    );
}
