//! Worked arithmetic of the ledger.

use works::Sources;

use super::*;

fn each() -> Shown {
    Shown::count("each")
}

fn leaf(ledger: &mut Ledger, name: &'static str, value: f64) -> NodeId {
    ledger.given(name, value, each(), Source::assumed("test"))
}

#[test]
fn a_figure_follows_from_its_leaves() {
    let mut ledger = Ledger::default();
    let demand = leaf(&mut ledger, "demand", 5000.0);
    let good = ledger.given("good", 0.92, Shown::percent(), Source::assumed("test"));
    let start = ledger.quotient("start", each(), &[demand, good]);
    let pack = leaf(&mut ledger, "pack", 50.0);
    let packs = ledger.ceil_to("to buy", each(), &[start, pack]);
    // 5000 ÷ 0.92 = 5434.78…, in fifties 5450.
    assert!((ledger.value(start) - 5_434.782_608_695_652).abs() < 1e-9);
    assert_eq!(ledger.value(packs), 5450.0);
    assert_eq!(ledger.recompute(packs), 5450.0);
    assert!(ledger.faults(1e-12).is_empty());
}

#[test]
fn rounding_noise_buys_no_extra_pack() {
    // 0.1 + 0.2 is a little above 0.3 in binary.
    assert_eq!(ceil_to((0.1 + 0.2) * 10.0, 3.0), 3.0);
    assert_eq!(ceil_to(3.001, 3.0), 6.0);
    assert_eq!(ceil_to(0.0, 3.0), 0.0);
}

#[test]
fn a_loop_is_closed_by_its_own_equation() {
    // Arrivals a = 100 + 0.2 a, so a = 125: a fifth of what arrives comes back.
    let mut ledger = Ledger::default();
    let arrivals = ledger.solved("arrivals", 125.0, each());
    let fresh = leaf(&mut ledger, "fresh", 100.0);
    let share = leaf(&mut ledger, "share", 0.2);
    let back = ledger.product("reworked", each(), &[share, arrivals]);
    let sum = ledger.sum("arrivals", each(), &[fresh, back]);
    ledger.close(arrivals, sum);
    assert!(ledger.faults(1e-12).is_empty());
    assert_eq!(ledger.recompute(arrivals), 125.0);
    let wrong = ledger.solved("wrong", 126.0, each());
    ledger.close(wrong, arrivals);
    assert_eq!(ledger.faults(1e-9).len(), 1);
}

#[test]
fn the_tree_names_formula_numbers_and_repeats() {
    let mut ledger = Ledger::default();
    let a = leaf(&mut ledger, "a", 2.0);
    let b = leaf(&mut ledger, "b", 3.0);
    let product = ledger.product("p", each(), &[a, b]);
    let twice = ledger.sum("twice", each(), &[product, product]);
    let lines = ledger.tree(twice, 9, &Sources::default());
    let text: Vec<String> = lines.iter().map(ToString::to_string).collect();
    assert_eq!(
        text[0],
        "twice = 12 each\n    = p + p\n    = 6 each + 6 each"
    );
    assert_eq!(
        text[1],
        "  p = 6 each\n      = a × b\n      = 2 each × 3 each"
    );
    assert_eq!(text[2], "    a = 2 each\n        assumed: test");
    assert_eq!(text.last().unwrap(), "  p = 6 each  (see above)");
}

#[test]
fn numbers_read_well() {
    assert_eq!(number(5435.0), "5,435");
    assert_eq!(number(1_234_567.0), "1,234,567");
    assert_eq!(number(0.123_456), "0.1235");
    assert_eq!(number(1_368.36), "1,368.4");
    assert_eq!(number(123_456.28), "123,456.3");
    // Less than half a tenth is negligible beside a thousand.
    assert_eq!(number(1_368.04), "1,368");
    assert_eq!(number(12.5), "12.5");
    assert_eq!(number(-0.00001), "−0.00001");
    assert_eq!(number(0.0), "0");
    assert_eq!(number(f64::INFINITY), "without limit");
}

#[test]
fn written_compactly() {
    let mut ledger = Ledger::default();
    let a = leaf(&mut ledger, "a", 2.0);
    ledger.sum("s", each(), &[a, a]);
    let text = serde_json::to_string(&ledger).unwrap();
    assert_eq!(
        text,
        r#"{"units":[["each",1.0]],"nodes":[["a",2.0,0,"given",[],["assumed","test"]],["s",4.0,0,"sum",[0,0],null]]}"#
    );
}
