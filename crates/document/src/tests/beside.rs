//! Salt, drying, solvent and moulding in every output, worked out from a works.

use super::*;

const MORE: &str = r#"
[station.vat]
calendar = "days"

[station.kiln]
calendar = "days"
heat = { fresh_air = "100 m3/h" }
hazards = ["smoke <thick>"]

[station.press]
calendar = "days"
moulding = { clamp = "300 kN", barrel = "100 g" }

[hazard."smoke <thick>"]
caution = "Kiln vented & clear."
defer_to = "the gas officer"

[item.salt]
unit = "kg"
buy = { price = "1 GBP" }

[item.pellets]
unit = "kg"
buy = { price = "3 GBP" }
"#;

const CURED: &str = r#"
[route]
makes = "ham"
unit = "kg"

[[operation]]
name = "salt <it>"
at = "vat"
takes = { plank = "0.125 each", salt = "30 g" }
pace = { holds = "100 kg", dwell = "40 h" }

[operation.salt]
thick = "20..30 mm"
diffusivity = { value = "2.5e-10 m2/s", source = "cut profiles, invented" }
item = "salt"
equalise = "60 h"
water = "70 %"
needs = [
  { of = "water", at_least = "2 %", where = "core", screening = true, source = "plan <4> & so on, invented" },
  { of = "piece", at_most = "3.5 %", where = "mean", source = "recipe, invented" },
]

[[operation]]
name = "dry"
at = "kiln"
pace = { holds = "100 kg", dwell = "8 h" }
keeps = "90.5 %"
lost_as = "water"

[operation.drying]
until = "9 %"
logs = ["may.csv"]
air = "26 degC"
humidity = "70 %"

[[operation]]
name = "varnish"
at = "kiln"
pace = { holds = "100 kg", dwell = "1 h" }

[operation.solvent]
amount = "10 g"
molar_mass = "106 g/mol"
lower_limit = "1.0 %"
over = "30 min"
source = "data sheet <7>, invented"
"#;

const MOULDED: &str = r#"
[route]
makes = "clip"
unit = "each"

[[operation]]
name = "mould"
at = "press"
takes = { pellets = "30 g" }
pace = "30 s"

[operation.mould]
wall = "2 mm"
diffusivity = "0.09 mm2/s"
melt = "260 degC"
mould = "80 degC"
eject = "120 degC"
area = "40 cm2"
pressure = "50 MPa"
fill = "1 s"
pack = "4 s"
open = "5 s"
residence = { value = "1..5 min", source = "data sheet of the pellets, invented" }
"#;

/// Two pieces that lose 12 % x (1 - exp(-0.2 t / h)): 1,000 g and 500 g, read to a tenth of a gram.
const WEIGHED: &str = "piece,time (h),weight (g)\nleft,0,1000\nleft,1,978.2\nleft,2,960.4\nleft,3,945.9\nleft,4,933.9\nleft,5,924.1\nleft,6,916.1\nleft,8,904.2\nright,0,500\nright,1,489.1\nright,2,480.2\nright,3,472.9\nright,4,467.0\nright,5,462.1\nright,6,458.1\nright,8,452.1\n";

const ORDERED: &str = "order,item,quantity,due\nA1,ham,100,2026-12-16\nA2,clip,500,2026-12-16\n";

/// A works that salts, dries, varnishes and moulds, with a change in a route.
fn made_with(from: &str, to: &str) -> Made {
    let change = |text: &str| text.replace(from, to);
    made(&[
        ("works.toml", &change(&format!("{WORKS}{MORE}"))),
        ("routes/ham.toml", &change(CURED)),
        ("routes/clip.toml", &change(MOULDED)),
        ("readings/weighed/may.csv", WEIGHED),
        ("orders.csv", ORDERED),
    ])
}

pub(super) fn moist() -> Made {
    made_with("", "")
}

fn report_of(made: &Made, of: Option<&str>) -> String {
    text::render(&heat_report(&made.works, &made.plan, of), false, 400)
}

fn assert_says(text: &str, all: &[&str]) {
    for words in all {
        let begins: String = text.chars().take(8000).collect();
        assert!(text.contains(words), "no `{words}` in\n{begins}");
    }
}

#[test]
fn verdicts_come_first_with_what_was_found() {
    let report = report_of(&moist(), None);
    assert_says(
        &report,
        &[
            "Salt: salt <it> (ham)",
            "Does its job; nearest to its limit: salt in the",
            // 30 g on 1,000 g of green piece, none run off: 30 / 1,030 = 2.91 %.
            "2.91",
            "source: plan <4> & so on, invented; screening estimate; a competent person decides",
            "Drying: dry (ham)",
            // 0.12 (1 - exp(-0.2 t)) = 0.09 after ln 4 / 0.2 = 6.93 h.
            "Does its job: 9 % is lost after 6.9 h",
            "8 h is stated",
            // In the stated 8 h: 12 % x (1 - exp(-1.6)) = 9.58 %, of 9.5 % that the route loses.
            "After the stated 8 h it has lost 9.58 %",
            "Stop on weight, not on the clock",
            "Moulding: mould (clip)",
            "Does its job: a cycle of 30 s is stated",
            // 40 cm2 x 50 MPa = 200 kN, and a tenth.
            "wants 220 kN with a tenth to spare: the machine's 300 kN does",
            "! 100 kg at once with 10 g/kg over 30 min",
            "No permission",
            "smoke <thick>: Kiln vented & clear.",
        ],
    );
    // Only 3 of the 4 can do their job at all; solvent, which lacks air here, is what needs attention.
    let summary = &moist().texts()[0];
    assert_says(
        summary,
        &["3 of 3", "needs attention: varnish (ham), solvent"],
    );
}

#[test]
fn enough_fresh_air_is_no_permission() {
    let made = made_with("100 m3/h", "4,000 m3/h");
    assert!(made.plan.solvents[0].met, "{:?}", made.plan.solvents);
    let report = report_of(&made, Some("varnish (ham)"));
    assert_says(&report, &["No permission", "a competent person decides"]);
    assert!(!report.contains("oes its job"), "{report}");
    let page = made.html();
    let start = page.find("id=\"solvent-0\"").expect("it is on the page");
    let own = &page[start..start + 400];
    assert!(!own.contains("lead") && !own.contains("verdict"), "{own}");
    assert!(
        !page.contains("href=\"#solvent-0\""),
        "it needs no attention"
    );
    assert_says(&page, &["estimate only"]);
}

#[test]
fn what_does_not_do_its_job_is_told_at_the_top() {
    for (from, to, name, words) in [
        (
            "at_least = \"2 %\"",
            "at_least = \"9 %\"",
            "salt-0",
            "in the water of the core at least 9 %",
        ),
        (
            "dwell = \"8 h\"",
            "dwell = \"5 h\"",
            "drying-0",
            "does not do its job: 9 % is lost after 6.9 h",
        ),
        (
            "pace = \"30 s\"",
            "pace = \"12 s\"",
            "moulding-0",
            "does not do its job: a cycle of 12 s is stated",
        ),
        (
            "clamp = \"300 kN\"",
            "clamp = \"210 kN\"",
            "moulding-0",
            "220 kN is wanted to hold the mould shut and the machine has 210 kN",
        ),
        (
            "barrel = \"100 g\"",
            "barrel = \"25 g\"",
            "moulding-0",
            "a shot is 30 g and the barrel holds 25 g",
        ),
        // 100 g in shots of 30 g every 30 s: 100 s.
        (
            "1..5 min",
            "2..5 min",
            "moulding-0",
            "melt stays 100 s in the barrel, and 2 min to 5 min are allowed",
        ),
    ] {
        let made = made_with(from, to);
        let page = made.html();
        let glance =
            &page[page.find("At a glance</h2>").unwrap()..page.find("What to buy</h2>").unwrap()];
        let link = format!("href=\"#{name}\"");
        assert!(
            glance.contains(&link) && glance.contains(words),
            "{to}: {glance}"
        );
        assert!(page.contains(&format!("id=\"{name}\"")), "{name}");
        // What fails stands before the solvent, which only lacks air by an estimate.
        assert!(
            glance.find(&link) < glance.find("href=\"#solvent-0\""),
            "{glance}"
        );
        assert_says(&report_of(&made, None), &["! Does not do its job"]);
        assert_says(&made.texts()[0], &["2 of 3"]);
    }
}

#[test]
fn pictures_show_salt_with_its_level_and_the_weighed_pieces() {
    let page = moist().html();
    assert_says(
        &page,
        &[
            "salt-profile-0",
            "at least 2 % in the core",
            // 40 h.
            "1.67 d, salt off",
            "drying-curve-0",
            "weight lost, %",
            "stated 8 h",
            "plan &lt;4&gt; &amp; so on, invented",
        ],
    );
    let start = page.find("drying-curve-0").unwrap();
    let own = &page[start..start + page[start..].find("</svg>").unwrap()];
    // Two pieces of eight weighings, and one ring in the key.
    assert_eq!(own.matches("r=\"3\"").count(), 17, "{own}");
}

#[test]
fn weighings_that_do_not_tell_are_not_passed_over() {
    // 12 % is what it comes to in the end: 30 % is never lost.
    let made = made_with("until = \"9 %\"", "until = \"30 %\"");
    let report = report_of(&made, Some("dry (ham)"));
    assert!(!report.contains("Does its job"), "{report}");
    assert_says(&report, &["! Does not do its job", "30 %"]);
    let mut without = moist();
    without.plan.salting.clear();
    let words = "salt <it> (ham), salt: could not be worked out";
    assert_says(&report_of(&without, None), &[words]);
    let escaped = words.replace('<', "&lt;").replace('>', "&gt;");
    assert_says(&without.html(), &[&escaped]);
    let summary: Vec<String> = without.texts()[0]
        .split_whitespace()
        .map(str::to_owned)
        .collect();
    assert_says(&summary.join(" "), &["2 of 3", "1 could not be worked out"]);
}

#[test]
fn only_what_is_asked_for_is_told() {
    let report = report_of(&moist(), Some("mould (clip)"));
    assert_says(&report, &["Moulding: mould (clip)"]);
    for other in ["Salt:", "Drying:", "Solvent:", "no operation"] {
        assert!(!report.contains(other), "{other} in {report}");
    }
    // A pace that moulding computes is not told of drilling.
    let drill = text::render(&drill_report(&moist().works, &moist().plan), false, 200);
    assert!(!drill.contains("mould"), "{drill}");
}

#[test]
fn the_workbook_has_their_tables_with_numbers() {
    let made = moist();
    let bytes = xlsx(&made.works, &made.plan, &made.sources).unwrap();
    let rows = rows(bytes, "Heat");
    let row_after = |caption: &str, further: usize| {
        let at = rows
            .iter()
            .position(|row| row[0] == Data::String(caption.into()))
            .unwrap_or_else(|| panic!("no {caption}"));
        &rows[at + further]
    };
    let verdicts = "Salt, drying, solvent and moulding";
    for (further, (what, does)) in [
        ("salt", "yes"),
        ("drying", "yes"),
        ("solvent", "estimate only"),
        ("moulding", "yes"),
    ]
    .into_iter()
    .enumerate()
    {
        let row = row_after(verdicts, further + 2);
        assert_eq!(
            row[1..3],
            [Data::String(what.into()), Data::String(does.into())]
        );
    }
    // The third row of weighings: after 2 h both have lost 12 % x 0.32968 = 3.96 %.
    let row = row_after("Lost by each piece of dry (ham)", 4);
    assert_eq!(
        row[..3],
        [Data::Float(2.0), Data::Float(3.96), Data::Float(3.96)]
    );
    row_after("Salt of salt <it> (ham), for a kg of green piece", 2);
    row_after("Machine of mould (clip)", 2);
    row_after("Solvent of varnish (ham): estimate", 2);
}

#[test]
fn the_data_of_heat_hold_them_too() {
    let made = moist();
    let whole: serde_json::Value = serde_json::from_str(&made.json()).unwrap();
    let text = json_of(&made.works, &made.plan, &made.sources, PlanPart::Heat);
    let part: serde_json::Value = serde_json::from_str(&text).unwrap();
    for field in ["salting", "drying", "solvents", "mouldings"] {
        assert_eq!(part[field], whole[field]);
        assert_eq!(part[field].as_array().unwrap().len(), 1, "{field}");
    }
}
