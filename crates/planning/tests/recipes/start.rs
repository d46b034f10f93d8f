//! When a thaw has to begin, by the clock and the calendar.

use super::{near, only, options, read};

/// A steel slab that is warmed in still plates: 40 mm, held faces, from -20 to its core at -1 degC in air of 4 degC.
/// Core of a slab with held faces: theta = 4/pi e^(-pi²/4 Fo) beyond Fo 0.2, so that 5/24 = 4/pi e^(-2.467 Fo) gives
/// Fo = 0.7336. A poor conductor of 1e-7 m²/s and half-thickness 20 mm: 0.7336 * 4e-4 / 1e-7 = 2934.6 s = 48.9 min.
const TEXT: &str = r#"
[station.room]
calendar = "days"

[station.slicer]
calendar = "days"

[material.block]
density = "1,000 kg/m3"
heat_capacity = "4,000 J/(kg K)"
conductivity = "0.4 W/(m K)"
source = "round numbers for a test"
--- routes/part.toml
[route]
makes = "part"
unit = "each"

[[operation]]
name = "warm"
at = "room"
takes = { blank = "1 each" }
makes = "warm blank"
pace = { holds = "10 each", dwell = "60 min", turn = "20 min" }
heat = { body = { form = "slab", of = "block", thick = "40 mm" }, from = "-20 degC", air = "4 degC", surface = { held = true }, needs = [{ ends_above = "-1 degC" }], needed = "NEEDED" }

[[operation]]
name = "slice"
at = "slicer"
pace = "10 s"
--- orders.csv
order,item,quantity,due
7,part,40 each,2026-12-14
"#;

fn start(needed: &str) -> planning::heat::StartLine {
    let text = TEXT.replace("NEEDED", needed);
    let works = read(&text);
    let plan = planning::plan(&works, &options(), &mut |_| {}).expect("a balance");
    let found = only(&plan);
    let fo =
        (4.0_f64 * 24.0 / (5.0 * std::f64::consts::PI)).ln() * 4.0 / std::f64::consts::PI.powi(2);
    near(
        found.window.shortest_s.expect("there").0,
        fo * 4e-4 / 1e-7,
        2e-3,
    );
    found.start.clone().expect("a start")
}

#[test]
fn a_load_for_ten_goes_in_the_same_morning() {
    let start = start("10:00");
    // The next day that the slicer works and whose load is not under way today: Thursday. 48.9 min before ten.
    assert_eq!(start.needed.to_string(), "2026-11-26T10:00:00");
    assert_eq!(start.latest.strftime("%d %H:%M").to_string(), "26 09:11");
    // Loading takes 20 min before that.
    assert_eq!(
        start.go_in.expect("open").strftime("%d %H:%M").to_string(),
        "26 08:51"
    );
}

#[test]
fn a_load_for_six_goes_in_the_evening_before_when_the_room_is_shut_at_night() {
    let start = start("06:10");
    // 05:21 is before the shift: loading must end when the day before does, at 14:00.
    assert_eq!(start.latest.strftime("%d %H:%M").to_string(), "26 05:21");
    let go_in = start
        .go_in
        .expect("open")
        .strftime("%a %d %H:%M")
        .to_string();
    assert_eq!(go_in, "Wed 25 13:40");
}

#[test]
fn a_window_narrower_than_the_turn_still_has_a_start() {
    // 54 min above 0 at most, which held faces are from the start: inside between 9:06 and 9:11, loading of 20 min begins before the window does.
    let text = TEXT.replace(
        r#"[{ ends_above = "-1 degC" }]"#,
        r#"[{ ends_above = "-1 degC" }, { exposure = { above = "0 degC" }, at_most = "54 min", where = "surface", source = "test" }]"#,
    );
    let works = read(&text.replace("NEEDED", "10:00"));
    let plan = planning::plan(&works, &options(), &mut |_| {}).expect("a balance");
    let start = only(&plan).start.clone().expect("a start");
    assert_eq!(
        start
            .earliest
            .expect("bounded")
            .strftime("%H:%M")
            .to_string(),
        "09:06"
    );
    let go_in = start.go_in.expect(&start.sentence);
    assert_eq!(go_in.strftime("%d %H:%M").to_string(), "26 08:51");
}
