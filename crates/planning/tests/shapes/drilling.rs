//! What is drilled: rules, order and time, and the pace that follows.

use planning::Plan;
use works::Severity;

use super::{codes, near, number, planned, read};

/// A block drilled at a station, at a pace.
fn block(station: &str, pace: &str, drill: &str, files: &str) -> String {
    format!(
        r#"--- routes/block.toml
[route]
makes = "block"
unit = "each"

[[operation]]
name = "drill"
at = "{station}"
{pace}
takes = {{ plank = "1 each" }}
drill = {{ outline = {{ length = "200 mm", width = "100 mm" }}, thick = "50 mm", {drill} }}
{files}--- orders.csv
order,item,quantity,due
7,block,10 each,2026-12-14
"#
    )
}

const ONE: &str = r#"holes = [{ pattern = "listed", diameter = "8 mm", depth = "20 mm", plunge = "0.8 m/min", file = "h.csv" }]"#;
const ONE_FILE: &str = "--- holes/h.csv\nx,y\n100,50\n";

/// One hole at (100, 50) mm from a start and park at (0, 0). Way: 0.1 m at most along an axis, too short for
/// 0.5 m/s at 2 m/s²: 2 √(0.1/2) s, there and back. Feed from 5 mm above, 25 mm at 0.8 m/min: 1.875 s. Up:
/// 2 √(0.025/2) s. Load 9 s.
fn one_hole_s() -> f64 {
    4.0 * 0.05_f64.sqrt() + 1.875 + 2.0 * 0.0125_f64.sqrt() + 9.0 + spindle_s()
}

/// For each tool on each face: spindle on and off, a wait of 1 s each, and 50 mm down from the height that clears the
/// clamps and up again, 2 √(0.05/2) s each.
fn spindle_s() -> f64 {
    2.0 * (1.0 + 2.0 * 0.025_f64.sqrt())
}

fn time_s(plan: &Plan) -> f64 {
    plan.drilling[0]
        .order
        .as_ref()
        .expect("an order")
        .time
        .total_s()
}

#[test]
fn motion_gives_the_pace() {
    let plan = planned(&block("drill", "pace = \"14.6 s\"", ONE, ONE_FILE));
    near(time_s(&plan), one_hole_s());
    let pace = number(&plan, "time for one");
    assert!(pace.used);
    near(pace.stated.unwrap(), 14.6);
    near(pace.computed, one_hole_s());
    assert_eq!(codes(&plan), Vec::<&str>::new());
}

#[test]
fn each_flow_and_none_take_the_computed_pace_and_a_load_keeps_its_own() {
    let pace_of = |pace: &str| {
        let works = read(&block("drill", pace, ONE, ONE_FILE));
        let plan = super::plan_of(&works);
        let one = number(&plan, "time for one").clone();
        let effective = planning::computed::effective(&works, &plan.computed);
        (one, effective.operations[0].pace.clone())
    };
    let (one, pace) = pace_of("pace = \"20 s\"");
    assert!(one.used && one.disagrees());
    let works::Pace::Each(time) = pace else {
        panic!("{pace:?}")
    };
    near(time.mean(), one_hole_s());
    // 300 in an hour are 12 s each.
    let (one, pace) = pace_of("pace = { rate = \"300 each/h\" }");
    near(one.stated.unwrap(), 12.0);
    let works::Pace::Flow { rate, .. } = pace else {
        panic!("{pace:?}")
    };
    near(rate.mean(), 1.0 / one_hole_s());
    // 10 in 100 s and 20 s to turn: 12 s each; a load lasts as long as is stated.
    let (one, pace) = pace_of("pace = { holds = \"10 each\", dwell = \"100 s\", turn = \"20 s\" }");
    near(one.stated.unwrap(), 12.0);
    assert!(
        !one.used && one.sentence.contains("planned with the stated one"),
        "{}",
        one.sentence
    );
    let works::Pace::Load(load) = pace else {
        panic!("{pace:?}")
    };
    near(load.dwell.mean(), 100.0);
}

#[test]
fn a_stated_pace_is_kept_where_the_works_says_so() {
    let drill = format!("{ONE}, numbers = \"stated\"");
    let plan = planned(&block("drill", "pace = \"20 s\"", &drill, ONE_FILE));
    assert!(!number(&plan, "time for one").used);
    assert_eq!(codes(&plan), ["stated-not-computed"]);
}

#[test]
fn without_a_machine_nothing_is_timed_but_holes_are_held_against_the_rules() {
    // 6 mm from the edge, a hole of 8 mm leaves 2 mm of 4 mm.
    let file = "--- holes/h.csv\nx,y\n100,50\n6,50\n";
    let drill = format!("{ONE}, edge = \"4 mm\"");
    let plan = planned(&block("saw", "pace = \"12 s\"", &drill, file));
    let drilled = &plan.drilling[0];
    assert!(drilled.order.is_none() && plan.computed.is_empty());
    assert!(drilled.no_order.as_ref().unwrap().contains("no `drilling`"));
    assert_eq!(codes(&plan), ["hole-breaks-rule", "drill-not-timed"]);
    assert_eq!(drilled.broken[0].holes, [1]);
    assert!(
        drilled.broken[0]
            .words
            .contains("2.00 mm between its mouth and the edge, 4.00 mm needed")
    );
}

#[test]
fn each_broken_rule_is_named() {
    let broken = |rule: &str, file: &str| {
        let drill = format!("{ONE}, {rule}");
        let plan = planned(&block("drill", "pace = \"12 s\"", &drill, file));
        assert!(plan.notices.iter().any(|n| n.severity == Severity::Fault));
        plan.drilling[0].broken[0].words.clone()
    };
    // 10 mm apart, two holes of 8 mm leave 2 mm.
    let near_each_other = "--- holes/h.csv\nx,y\n100,50\n110,50\n";
    let words = broken("web = \"5 mm\"", near_each_other);
    assert!(
        words.contains("2.00 mm between them, 5.00 mm needed"),
        "{words}"
    );
    // 50 − 20 = 30 mm below.
    let words = broken("floor = \"35 mm\"", ONE_FILE);
    assert!(words.contains("30.00 mm left below it"), "{words}");
    let words = broken("edge = \"0 mm\"", "--- holes/h.csv\nx,y\n300,50\n");
    assert!(words.contains("off the face"), "{words}");
    let twice = "--- holes/h.csv\nx,y\n100,50\n100,50\n";
    assert!(broken("edge = \"0 mm\"", twice).contains("same place"));
}

#[test]
fn only_the_first_breaches_are_told_one_by_one() {
    // Ten holes in one place: 45 pairs, five told, and a line for the other 40.
    let file = format!("--- holes/h.csv\nx,y\n{}", "100,50\n".repeat(10));
    let plan = planned(&block("drill", "pace = \"12 s\"", ONE, &file));
    let told: Vec<&str> = plan
        .notices
        .iter()
        .filter(|notice| notice.code == "hole-breaks-rule")
        .map(|notice| notice.headline.as_str())
        .collect();
    assert_eq!(plan.drilling[0].broken.len(), 45);
    assert_eq!(told.len(), 6);
    assert!(told[5].contains("40 more"), "{}", told[5]);
}

#[test]
fn faces_are_turned_and_tools_are_changed() {
    // Two tools on two faces: one turn, and the change back for the next part. Drilled in the order small, large
    // on face 1 and large, small on face 2, or by tool: two changes of 12 s either way, or fewer with more turns.
    let drill = r#"holes = [
  { pattern = "rows", diameter = "8 mm", depth = "20 mm", pitch = "30 mm", plunge = "0.8 m/min" },
  { pattern = "along", diameter = "5 mm", depth = "10 mm", points = [{ x = "35 mm", y = "20 mm" }, { x = "165 mm", y = "20 mm" }], count = 3, plunge = "1 m/min" },
  { pattern = "rows", diameter = "5 mm", depth = "10 mm", pitch = "40 mm", plunge = "1 m/min", face = 2 },
]"#;
    let plan = planned(&block("drill", "pace = \"80 s\"", drill, ""));
    let drilled = &plan.drilling[0];
    let order = drilled.order.as_ref().unwrap();
    near(order.time.turn_s, 8.0);
    // And three times a tool on a face.
    near(order.time.tool_change_s, 24.0 + 3.0 * spindle_s());
    assert!(order.travel_bound_s.is_none());
    let of_face = |face: u64| {
        drilled
            .holes
            .iter()
            .filter(|hole| hole.face == face)
            .count()
    };
    let drilled_holes: usize = order
        .strokes
        .iter()
        .map(|s| s.heads.iter().flatten().count())
        .sum();
    assert_eq!(drilled_holes, of_face(1) + of_face(2));
    let by_tool: Vec<(&str, usize)> = drilled
        .tools
        .iter()
        .map(|t| (t.name.as_str(), t.holes))
        .collect();
    assert_eq!(by_tool.len(), 2);
    assert_eq!(by_tool[1].1, 3 + of_face(2));
    // A hole on one face is not held against one on the other.
    assert!(drilled.keeps_rules(), "{:?}", drilled.broken);
}

#[test]
fn a_hole_out_of_reach_has_no_order() {
    let text = block("drill", "pace = \"12 s\"", ONE, ONE_FILE);
    let head = super::HEAD.replace(
        "load = \"9 s\"",
        "load = \"9 s\", reach = { x = \"90 mm\", y = \"90 mm\" }",
    );
    let works = works::read(&super::files(&format!("{head}{text}")))
        .works
        .expect("it reads");
    let plan = super::plan_of(&works);
    assert_eq!(
        plan.drilling[0].no_order.as_deref(),
        Some("hole 1 is out of the machine's reach")
    );
}
