//! What is cut: needs from the order book, amounts from the plan, and back into purchases.

use super::{bars, boards, bought, codes, near, number, plan_of, planned, read};

/// Rails of one length cut from tubes, with what the cut says and how many are ordered.
fn rails(cut: &str, taken: &str, ordered: u64) -> String {
    let orders = if ordered == 0 {
        String::new()
    } else {
        format!("--- orders.csv\norder,item,quantity,due\n7,rail,{ordered} each,2026-12-14\n")
    };
    format!(
        r#"--- routes/rail.toml
[route]
makes = "rail"
unit = "each"

[[operation]]
name = "saw"
at = "saw"
pace = "10 s"
takes = {{ tube = "{taken}" }}
cut = {{ {cut} }}
{orders}"#
    )
}

const PLAIN: &str = r#"bars = [{ length = "6 m" }], parts = [{ item = "rail", length = "1.3 m" }]"#;

#[test]
fn needs_come_from_the_order_book_and_amounts_go_into_purchases() {
    // Four rails of 1.3 m from each tube of 6 m: ten tubes for 40 rails, 60 m / 40 = 1.5 m for one.
    let plan = planned(&rails(PLAIN, "1.48 m", 40));
    let cut = &plan.cutting[0];
    assert_eq!(
        (cut.parts[0].need, cut.parts[0].made, cut.stock[0].used),
        (40, 40, 10)
    );
    assert!(!cut.parts[0].as_if && bars(cut).proved && bars(cut).in_money);
    // 60 m at 2 GBP.
    near(bars(cut).cost, 120.0);
    near(cut.used_share, 40.0 * 1.3 / 60.0);
    let tube = number(&plan, "tube for one");
    assert!(tube.used && !tube.disagrees());
    near(tube.computed, 1.5);
    near(tube.stated.unwrap(), 1.48);
    near(bought(&plan, "tube"), 60.0);
    assert_eq!(codes(&plan), Vec::<&str>::new());
}

#[test]
fn a_stated_number_is_kept_where_the_works_says_so() {
    let stated = format!("{PLAIN}, numbers = \"stated\"");
    let plan = planned(&rails(&stated, "1.48 m", 40));
    let tube = number(&plan, "tube for one");
    assert!(!tube.used);
    near(tube.computed, 1.5);
    // 40 rails of 1.48 m.
    near(bought(&plan, "tube"), 59.2);
    // 1.35 m stated is 10 % below 1.5 m: a word, and still 40 × 1.35 m bought.
    let plan = planned(&rails(&stated, "1.35 m", 40));
    assert_eq!(codes(&plan), ["stated-not-computed"]);
    near(
        number(&plan, "tube for one").margin.unwrap(),
        1.35 / 1.5 - 1.0,
    );
    near(bought(&plan, "tube"), 54.0);
}

#[test]
fn a_recipe_makes_as_many_as_the_plan_cuts() {
    // A recipe takes 6 m and is said to make 5; it makes 6 / 1.5 = 4.
    let text = rails(PLAIN, "6 m", 40).replace(
        "pace = \"10 s\"",
        "pace = \"10 s\"\nmakes = { rail = \"5 each\" }",
    );
    let works = read(&text);
    let plan = plan_of(&works);
    let makes = number(&plan, "rail from one");
    near(makes.computed, 4.0);
    near(makes.stated.unwrap(), 5.0);
    near(bought(&plan, "tube"), 60.0);
    assert_eq!(codes(&plan), ["stated-not-computed"]);
    let effective = planning::computed::effective(&works, &plan.computed);
    near(effective.operations[0].output.per_recipe, 4.0);
}

#[test]
fn kerf_and_trims_take_their_share() {
    // 5 × 1.195 = 5.975 m fit into 6 m; with four kerfs of 4 mm they take 5.991 m; with 5 mm off each end
    // 5.99 m are left, so that four fit. 20 rails: 4, 4, 5 tubes.
    let of = |more: &str| {
        let cut = format!(
            r#"bars = [{{ length = "6 m" }}], parts = [{{ item = "rail", length = "1.195 m" }}]{more}"#
        );
        planned(&rails(&cut, "1.2 m", 20)).cutting[0].stock[0].used
    };
    assert_eq!(of(""), 4);
    assert_eq!(of(r#", kerf = "4 mm""#), 4);
    assert_eq!(of(r#", kerf = "4 mm", trim = "5 mm""#), 5);
}

#[test]
fn kept_left_overs_have_to_be_bought_first() {
    // Each of ten tubes leaves 6 − 4 × (1.3 + 0.004) = 0.784 m, which is kept, and lowers no purchase:
    // 60 / 40 = 1.5 m.
    let cut = format!(r#"{PLAIN}, kerf = "4 mm", keep = {{ length = "0.5 m", worth = "60 %" }}"#);
    let plan = planned(&rails(&cut, "1.5 m", 40));
    let work = bars(&plan.cutting[0]);
    assert_eq!(work.kept.len(), 1);
    near(work.kept[0].0, 0.784);
    assert_eq!(work.kept[0].1, 10);
    near(plan.cutting[0].stock[0].kept, 7.84 / 6.0);
    near(number(&plan, "tube for one").computed, 1.5);
    // 120 GBP less 60 % of 2 GBP/m for 7.84 m.
    near(work.cost, 120.0 - 7.84 * 1.2);
}

#[test]
fn a_splice_comes_into_no_part() {
    // 2 m and 3.9 m of a tube are clear: 1 + 3 parts of 1.2 m, where 5 fit without the splice.
    let of = |splices: &str| {
        let cut = format!(
            r#"bars = [{{ length = "6 m"{splices} }}], parts = [{{ item = "rail", length = "1.2 m" }}]"#
        );
        planned(&rails(&cut, "1.5 m", 20)).cutting[0].clone()
    };
    assert_eq!(of("").stock[0].used, 4);
    let spliced = of(r#", splices = [{ from = "2 m", to = "2.1 m" }]"#);
    assert_eq!(spliced.stock[0].used, 5);
    let pattern = &bars(&spliced).patterns[0];
    let per_stretch: Vec<u64> = pattern
        .stretches
        .iter()
        .map(|stretch| stretch.parts.iter().map(|(_, count)| count).sum())
        .collect();
    assert_eq!(per_stretch, [1, 3]);
    near(pattern.stretches[1].from_m, 2.1);
}

#[test]
fn a_frame_goes_onto_the_list_as_its_blank() {
    // 90° fold of 0.8 mm strip about 1 mm, neutral line at 0.40 (TRADE.md 2.4): setback 1.8 mm, allowance
    // π/2 × 1.32 = 2.0735 mm, deduction 2 × 1.8 − 2.0735 = 1.5265 mm. Blank 2 × (600 + 400) − 4 × 1.5265
    // = 1,993.894 mm: three from 5.99 m, where three perimeters of 2 m would not fit.
    let cut = r#"bars = [{ length = "5.99 m" }], parts = [{ item = "rail", frame = { width = "600 mm", height = "400 mm", thick = "0.8 mm", radius = "1 mm", flange = "14 mm", within = "0.5 deg" } }]"#;
    let plan = planned(&rails(cut, "2 m", 30));
    let part = &plan.cutting[0].parts[0];
    let deduction = 3.6e-3 - std::f64::consts::FRAC_PI_2 * 1.32e-3;
    near(part.length_m, 2.0 - 4.0 * deduction);
    let frame = part.frame.as_ref().unwrap();
    assert_eq!(frame.notches.len(), 4);
    // First notch: half a width less half a deduction. A 90° notch is twice the flange wide.
    near(frame.notches[0].at_m, 0.3 - 0.5 * deduction);
    near(frame.notches[0].width_m, 0.028);
    near(
        frame.corner_gap_m.unwrap(),
        0.014 * 0.5_f64.to_radians().tan(),
    );
    assert_eq!(plan.cutting[0].stock[0].used, 10);
}

#[test]
fn stated_needs_share_the_stock_by_length() {
    // 20 rails of 1 m and 4 posts of 2 m, 28 m, from five tubes of 6 m: a rail takes 30 × 20/28 / 20 m.
    let cut = r#"bars = [{ length = "6 m" }], parts = [{ item = "rail", length = "1 m" }, { name = "post", length = "2 m", need = 4 }]"#;
    let plan = planned(&rails(cut, "1.07 m", 20));
    let cut = &plan.cutting[0];
    let needs: Vec<u64> = cut.parts.iter().map(|part| part.need).collect();
    assert_eq!(needs, [20, 4]);
    assert_eq!(
        (cut.parts[1].item, cut.parts[1].letter.as_str()),
        (None, "B")
    );
    assert_eq!(cut.stock[0].used, 5);
    near(number(&plan, "tube for one").computed, 30.0 / 28.0);
}

#[test]
fn with_nothing_ordered_a_hundred_are_cut_for_show() {
    let plan = planned(&rails(PLAIN, "1.5 m", 0));
    let part = &plan.cutting[0].parts[0];
    assert!(part.as_if);
    assert_eq!((part.need, plan.cutting[0].stock[0].used), (100, 25));
    assert_eq!(codes(&plan), ["nothing-ordered"]);
}

#[test]
fn what_is_short_is_said_and_the_rest_is_cut() {
    // Two tubes give 8 of 10.
    let cut = r#"bars = [{ length = "6 m", at_most = 2 }], parts = [{ item = "rail", length = "1.5 m" }]"#;
    let plan = planned(&rails(cut, "1.5 m", 10));
    assert_eq!(codes(&plan), ["stock-too-little"]);
    let part = &plan.cutting[0].parts[0];
    assert_eq!((part.made, part.short()), (8, 2));
    assert!(plan.cannot_be_done());
}

#[test]
fn what_has_no_plan_leaves_the_stated_number() {
    let cut = r#"bars = [{ length = "6 m" }], parts = [{ item = "rail", length = "6.5 m" }]"#;
    let plan = planned(&rails(cut, "6.6 m", 10));
    assert_eq!(codes(&plan), ["cut-impossible"]);
    assert!(plan.cutting.is_empty() && plan.computed.is_empty());
    near(bought(&plan, "tube"), 66.0);
}

#[test]
fn dear_stock_is_no_ground_to_refuse() {
    // A tube at 300,000 of the currency: as in a currency of small units.
    let text = rails(PLAIN, "1.5 m", 40);
    let head = super::HEAD.replace("2 GBP/m", "50,000 GBP/m");
    let outcome = works::read(&super::files(&format!("{head}{text}")));
    let plan = plan_of(&outcome.works.expect("it reads"));
    near(bars(&plan.cutting[0]).cost, 10.0 * 300_000.0);
}

/// Tubes are cut into bars, those into pins, and those into ends.
fn nest(bar_for_one: &str) -> String {
    format!(
        r#"--- routes/end.toml
[route]
makes = "end"
unit = "each"

[[operation]]
name = "saw"
at = "saw"
pace = "10 s"
makes = "bar"
takes = {{ tube = "1.5 m" }}
cut = {{ bars = [{{ length = "6 m" }}], parts = [{{ item = "bar", length = "1.3 m" }}] }}

[[operation]]
name = "crop"
at = "saw"
pace = "10 s"
takes = {{ bar = "1 each" }}
makes = {{ pin = "{bar_for_one}" }}
cut = {{ bars = [{{ length = "1.3 m" }}], parts = [{{ item = "pin", length = "120 mm" }}] }}

[[operation]]
name = "nip"
at = "saw"
pace = "10 s"
takes = {{ pin = "1 each" }}
makes = {{ end = "3 each" }}
cut = {{ bars = [{{ length = "120 mm" }}], parts = [{{ item = "end", length = "30 mm" }}] }}
--- orders.csv
order,item,quantity,due
7,end,1600 each,2026-12-14
"#
    )
}

#[test]
fn a_cut_whose_need_hangs_on_other_cuts_settles() {
    // 4 ends from a pin (3 stated), 10 pins from a bar (9 stated), 4 bars from a tube:
    // 1,600 ends, 400 pins, 40 bars, 10 tubes.
    let plan = planned(&nest("9 each"));
    let needs: Vec<u64> = plan.cutting.iter().map(|cut| cut.parts[0].need).collect();
    assert_eq!(needs, [40, 400, 1600]);
    assert_eq!(plan.cutting[0].stock[0].used, 10);
    near(bought(&plan, "tube"), 60.0);
    near(number(&plan, "pin from one").computed, 10.0);
    near(number(&plan, "end from one").computed, 4.0);
}

/// Boards of 2.4 m in two lots, cut across into blocks of 200 mm.
fn blocks(numbers: &str) -> String {
    format!(
        r#"--- routes/block.toml
[route]
makes = "block"
unit = "each"

[[operation]]
name = "cut"
at = "saw"
pace = "10 s"
takes = {{ plank = "1 each" }}
makes = {{ block = "11 each" }}
cut = {{ boards = {{ length = "2.4 m", width = "100 mm", measured = "a.csv" }}, parts = [{{ item = "block", length = "200 mm" }}], numbers = "{numbers}" }}
--- boards/a.csv
board,lot,length,width,face,from,to,low,high,fault,wood
1,L1,2400,100,,,,,,,
2,L1,2400,100,,0,200,,,split,
3,L2,2400,100,,1000,1100,,,split,
4,L2,2400,100,,0,500,,,split,
--- orders.csv
order,item,quantity,due
7,block,430 each,2026-12-14
"#
    )
}

#[test]
fn the_yield_of_measured_boards_replaces_the_guess() {
    // Blocks from each: 12; (2400 − 200)/200 = 11; 1000/200 + 1300/200 = 5 + 6 = 11; 1900/200 = 9. Mean 10.75.
    // Lot means 11.5 and 10: within (2 × 0.5² + 2 × 1²)/2 = 1.25; between (2 × 2 × 0.75² − 1.25)/2 = 0.5
    // (Searle, Casella and McCulloch, 1992, section 3.6; from memory).
    let works = read(&blocks("computed"));
    let plan = plan_of(&works);
    let work = boards(&plan.cutting[0]);
    assert_eq!((work.measured, work.lots), (4, 2));
    near(work.per_board, 10.75);
    near(work.each_sd, 1.25_f64.sqrt());
    near(work.lots_sd, 0.5_f64.sqrt());
    // 43 of 48 lengths of 200 mm.
    near(work.best_share, 43.0 / 48.0);
    assert!(work.simple_share <= work.best_share && work.best_share <= work.bound_share + 1e-12);
    let makes = number(&plan, "block from one");
    assert!(makes.used);
    near(makes.computed, 10.75);
    near(makes.stated.unwrap(), 11.0);
    let effective = planning::computed::effective(&works, &plan.computed);
    let output = &effective.operations[0].output;
    near(output.per_recipe, 10.75);
    near(output.within_cv, 1.25_f64.sqrt() / 10.75);
    near(output.lots_cv, 0.5_f64.sqrt() / 10.75);
    // 430 blocks are 40 boards in the mean; with the certainty of the plan, more.
    let purchase = &plan.material.purchases[0];
    near(plan.ledger.value(purchase.mean_need), 40.0);
    assert!(plan.ledger.value(purchase.certain_need) > 40.0);
    // Four boards are not enough for 430, which of a sample is no fault.
    assert_eq!(codes(&plan), Vec::<&str>::new());
    assert!(!work.pack.as_ref().unwrap().enough);
}

#[test]
fn a_stated_yield_is_kept_where_the_works_says_so() {
    let plan = planned(&blocks("stated"));
    near(number(&plan, "block from one").computed, 10.75);
    // 430 / 11 = 39.09 boards, without any spread, bought whole.
    near(
        plan.ledger.value(plan.material.purchases[0].mean_need),
        430.0 / 11.0,
    );
    near(bought(&plan, "plank"), 40.0);
}

#[test]
fn faults_at_random_give_a_yield_before_boards_are_seen() {
    // No faults at all: 2.4 m / 200 mm = 12 from each. One fault in a metre costs wood.
    let of = |rate: &str| {
        let text = blocks("computed").replace(
            "measured = \"a.csv\"",
            &format!("faults = {{ per_metre = \"{rate} each/m\", long = \"50 mm\" }}"),
        );
        let text: String = text.split("--- boards").next().unwrap().to_owned()
            + "--- orders.csv\norder,item,quantity,due\n7,block,430 each,2026-12-14\n";
        number(&planned(&text), "block from one").computed
    };
    near(of("0"), 12.0);
    let some = of("1");
    assert!((6.0..11.0).contains(&some), "{some}");
}

#[test]
fn a_part_that_no_board_gives_is_said() {
    let of = |from: &str, to: &str| {
        let text = blocks("computed");
        assert!(text.contains(from), "{from}");
        let plan = planned(&text.replace(from, to));
        assert_eq!(codes(&plan), ["cut-impossible"]);
        plan.notices[0].headline.clone()
    };
    let length = "length = \"200 mm\" }";
    assert!(of(length, "length = \"2.5 m\" }").ends_with("`block` is longer than any board"));
    let wide = "length = \"200 mm\", width = \"101 mm\" }";
    assert!(of(length, wide).ends_with("`block` is wider than any board"));
    // Two trims of 1.2 m leave nothing of 2.4 m.
    let trimmed = "numbers = \"computed\", trim = \"1.2 m\"";
    assert!(of("numbers = \"computed\"", trimmed).ends_with("`block` is longer than any board"));
}
