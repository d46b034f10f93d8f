//! What goes into holes: amounts, odds, and what they do to the route.

use super::{bought, codes, near, number, plan_of, planned, read};

/// A block of 24 holes of 5 mm, 20 mm deep, and what fills them.
fn filled(takes: &str, fill: &str) -> String {
    format!(
        r#"
[item.tube2]
unit = "each"
buy = {{ price = "0.1 GBP" }}

[item.pin]
unit = "each"
buy = {{ price = "0.01 GBP" }}

[item.hair]
unit = "kg"
buy = {{ price = "20 GBP/kg" }}

--- routes/block.toml
[route]
makes = "block"
unit = "each"

[[operation]]
name = "drill"
at = "saw"
pace = "12 s"
makes = "drilled"
takes = {{ plank = "1 each" }}
drill = {{ outline = {{ length = "200 mm", width = "100 mm" }}, thick = "50 mm", holes = [{{ pattern = "rows", diameter = "5 mm", depth = "20 mm", pitch = "20 mm", across = 8, rows = 3 }}], numbers = "stated" }}

[[operation]]
name = "fill"
at = "saw"
pace = "20 s"
takes = {{ {takes} }}
fill = {{ holes_of = "drill", {fill} }}
--- orders.csv
order,item,quantity,due
7,block,1000 each,2026-12-14
"#
    )
}

#[test]
fn pieces_and_anchors_with_what_misses() {
    // 24 holes, two in each, 1.6 % miss: 24 × 1.016 × 2 = 48.768 tubes and 24.384 pins.
    let text = filled(
        r#"tube2 = "48.768 each", pin = "24 each""#,
        r#"puts = "tube2", each = 2, anchor = "pin", miss = "1.6 %""#,
    );
    let plan = planned(&text);
    assert_eq!(plan.fillings[0].holes, 24);
    near(number(&plan, "tube2 for one").computed, 48.768);
    near(number(&plan, "pin for one").computed, 24.384);
    assert_eq!(codes(&plan), Vec::<&str>::new());
    // A thousand blocks; the 24 stated are not used.
    near(bought(&plan, "pin"), 24_384.0);
}

#[test]
fn fibre_by_mass() {
    // 0.68 × 5² / (2 × 0.3²) = 94.4, 94 fibres folded once; each 2 × (35 + 20) + 1 = 111 mm long at 0.09 g/m:
    // 94 × 0.111 × 0.09 g = 0.93906 g in a hole, 24 holes (common practice, from memory).
    let text = filled(
        r#"hair = "22 g""#,
        r#"puts = "hair", fibre = "0.3 mm", share = "68 %", free = "35 mm", fold = "1 mm", density = "0.09 g/m""#,
    );
    let plan = planned(&text);
    let work = &plan.fillings[0];
    assert_eq!(work.fibres.len(), 1, "one size of hole");
    assert_eq!(work.fibres[0].fibres, 94);
    near(work.fibres[0].cut_length_m, 0.111);
    near(
        number(&plan, "hair for one").computed,
        24.0 * 94.0 * 0.111 * 9e-5,
    );
    near(bought(&plan, "hair"), 1000.0 * 24.0 * 94.0 * 0.111 * 9e-5);
}

#[test]
fn holes_that_spoil_the_part_make_its_yield() {
    // (1 − 0.001)^24 = 0.976 27; planned with it, 1000 / 0.976 27 blocks are begun.
    let text = filled(
        r#"tube2 = "24 each""#,
        r#"puts = "tube2", spoils = "0.1 %""#,
    );
    let works = read(&text);
    let plan = plan_of(&works);
    let good = 0.999_f64.powi(24);
    near(plan.fillings[0].good.unwrap(), good);
    let found = number(&plan, ": good");
    assert!(found.used && found.stated.is_none());
    near(found.computed, good);
    let planks = plan
        .material
        .purchases
        .iter()
        .find(|one| one.name == "plank")
        .unwrap();
    near(plan.ledger.value(planks.mean_need), 1000.0 / good);
    // Where the works wants its own numbers, none is lost.
    let plan = planned(&text.replace(
        "spoils = \"0.1 %\"",
        "spoils = \"0.1 %\", numbers = \"stated\"",
    ));
    let planks = plan
        .material
        .purchases
        .iter()
        .find(|one| one.name == "plank")
        .unwrap();
    near(plan.ledger.value(planks.mean_need), 1000.0);
}
