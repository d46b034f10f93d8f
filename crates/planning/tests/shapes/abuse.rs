//! Sizes and numbers that no works has: a clear complaint and a quick end, never a panic, a hang or gigabytes.

#![allow(
    clippy::disallowed_methods,
    reason = "whether it ends soon is what is tested"
)]

use std::time::{Duration, Instant};

use planning::Options;

use super::{HEAD, files, options};

/// Far above what any of these takes, far below what a person would wait.
const QUICK: Duration = Duration::from_mins(1);

/// Reads and plans; gives the codes of everything that is said.
fn said(text: &str) -> Vec<String> {
    let began = Instant::now();
    let outcome = works::read(&files(&format!("{HEAD}{text}")));
    let mut codes: Vec<String> = outcome
        .diagnostics
        .iter()
        .map(|d| d.code.to_owned())
        .collect();
    let faulty = outcome.has_faults();
    if let Some(works) = outcome.works.filter(|_| !faulty) {
        match planning::plan(&works, &options(), &mut |_| {}) {
            Ok(plan) => codes.extend(plan.notices.iter().map(|notice| notice.code.to_owned())),
            Err(no_plan) => codes.push(no_plan.0.code.to_owned()),
        }
    }
    assert!(began.elapsed() < QUICK, "{:?} for {text}", began.elapsed());
    codes
}

fn cut(cut: &str, ordered: &str) -> Vec<String> {
    said(&format!(
        r#"--- routes/rail.toml
[route]
makes = "rail"
unit = "each"

[[operation]]
name = "saw"
at = "saw"
pace = "1 ms"
takes = {{ tube = "1 m" }}
cut = {{ {cut} }}
--- boards/a.csv
board,lot,length,width,face,from,to,low,high,fault,wood
1,L1,2400,100,,0,200,,,split,
2,L2,1e15,100,,0,200,,,split,
--- orders.csv
order,item,quantity,due
7,rail,{ordered} each,2026-12-14
"#
    ))
}

fn drill(outline: &str, rest: &str) -> Vec<String> {
    said(&format!(
        r#"--- routes/block.toml
[route]
makes = "block"
unit = "each"

[[operation]]
name = "drill"
at = "drill"
pace = "12 s"
takes = {{ plank = "1 each" }}
drill = {{ outline = {{ {outline} }}, thick = "50 mm", {rest} }}
--- orders.csv
order,item,quantity,due
7,block,10 each,2026-12-14
"#
    ))
}

#[track_caller]
fn has(codes: &[String], code: &str) {
    assert!(
        codes.iter().any(|one| one == code),
        "{codes:?} without `{code}`"
    );
}

#[test]
fn absurd_cuts_are_refused_in_words() {
    for (list, ordered) in [
        (
            r#"bars = [{ length = "6 m" }], parts = [{ item = "rail", length = "1e-9 m" }]"#,
            "40",
        ),
        (
            r#"bars = [{ length = "1e12 m" }], parts = [{ item = "rail", length = "1 m" }]"#,
            "40",
        ),
        (
            r#"bars = [{ length = "1e9 m" }], parts = [{ item = "rail", length = "1e9 m" }]"#,
            "40",
        ),
        (
            r#"bars = [{ length = "50 km" }], parts = [{ item = "rail", length = "0.1 mm" }]"#,
            "40",
        ),
        (
            r#"bars = [{ length = "6 m" }], kerf = "1e13 m", parts = [{ item = "rail", length = "1 m" }]"#,
            "40",
        ),
        (
            r#"bars = [{ length = "6 m" }], trim = "1e13 m", parts = [{ item = "rail", length = "1 m" }]"#,
            "40",
        ),
        (
            r#"bars = [{ length = "6 m" }], parts = [{ item = "rail", length = "1 m" }]"#,
            "1e12",
        ),
        (
            r#"boards = { length = "2.4 m", width = "100 mm", measured = "a.csv" }, parts = [{ item = "rail", length = "1 m" }]"#,
            "40",
        ),
        (
            r#"boards = { length = "2.4 m", width = "1e12 m", first = "either", faults = { per_metre = "1 each/m", long = "1 mm" } }, trim = { edges = "1e15 m" }, parts = [{ item = "rail", length = "1 mm", width = "1 mm" }]"#,
            "40",
        ),
        (
            r#"sheets = [{ length = "1e9 m", width = "1 m" }], parts = [{ item = "rail", length = "1 m", width = "1 m" }]"#,
            "40",
        ),
        (
            r#"sheets = [{ length = "2.5 m", width = "1.25 m" }], parts = [{ item = "rail", length = "1 mm", width = "1 mm" }]"#,
            "40",
        ),
    ] {
        has(&cut(list, ordered), "cut-impossible");
    }
}

#[test]
fn odd_but_thinkable_cuts_end_soon() {
    for (list, ordered) in [
        // Nothing is left after the trim.
        (
            r#"bars = [{ length = "6 m" }], trim = "3 m", parts = [{ item = "rail", length = "1 m" }]"#,
            "40",
        ),
        // A hundred million parts; sixty thousand from one bar.
        (
            r#"bars = [{ length = "6 m" }], parts = [{ item = "rail", length = "0.7 m" }]"#,
            "100,000,000",
        ),
        (
            r#"bars = [{ length = "6 m" }], parts = [{ item = "rail", length = "0.1 mm" }]"#,
            "1,000,000",
        ),
        (
            r#"bars = [{ length = "100 km" }], parts = [{ item = "rail", length = "7.3 m" }]"#,
            "1,000",
        ),
        (
            r#"bars = [{ length = "6 m" }], kerf = "0 mm", keep = { length = "0.1 mm", worth = "100 %" }, parts = [{ item = "rail", length = "0.7 m" }]"#,
            "999",
        ),
        (
            r#"bars = [{ length = "6 m", at_most = 0 }], parts = [{ item = "rail", length = "0.7 m" }]"#,
            "999",
        ),
        (
            r#"boards = { length = "90 km", width = "100 mm", faults = { per_metre = "1000 each/m", lots = "9000 each/m", long = "9 m" } }, parts = [{ item = "rail", length = "1 m" }]"#,
            "40",
        ),
        (
            r#"boards = { length = "2.4 m", width = "100 mm", faults = { per_metre = "1e9 each/m", long = "9 m" } }, parts = [{ item = "rail", length = "1 m" }]"#,
            "40",
        ),
    ] {
        let _ = cut(list, ordered);
    }
}

#[test]
fn absurd_holes_are_refused_in_words() {
    let face = r#"length = "200 mm", width = "100 mm""#;
    for holes in [
        r#"{ pattern = "rows", diameter = "1 um", pitch = "1 um" }"#,
        r#"{ pattern = "rows", diameter = "1 mm", pitch = "1e-9 m", across = 1000000, rows = 1000000 }"#,
        r#"{ pattern = "rings", diameter = "1 mm", radii = ["5 mm", "9 mm"], counts = ["1000000", "1000000"] }"#,
        r#"{ pattern = "rings", diameter = "1 um", radii = ["9 mm"], pitch = "1 nm" }"#,
        r#"{ pattern = "around", diameter = "1 mm", inset = "3 mm", pitch = "1e-9 m" }"#,
        r#"{ pattern = "along", diameter = "1 mm", points = [{ x = "10 mm", y = "10 mm" }, { x = "80 mm", y = "10 mm" }], count = 1000000 }"#,
    ] {
        has(
            &drill(face, &format!("holes = [{holes}]")),
            "holes-impossible",
        );
    }
    let huge = r#"length = "1e9 m", width = "1e9 m""#;
    let rows = r#"holes = [{ pattern = "rows", diameter = "8 mm", pitch = "22 mm" }]"#;
    has(&drill(huge, rows), "holes-impossible");
}

#[test]
fn holes_without_end_in_one_place_end_soon() {
    let face = r#"length = "200 mm", width = "100 mm""#;
    let rows = r#"holes = [{ pattern = "rows", diameter = "8 mm", depth = "9 mm", pitch = "1e-9 m", across = 100, rows = 200, plunge = "1 m/min" }]"#;
    has(&drill(face, rows), "hole-breaks-rule");
    // A bite of a nanometre, a hole a kilometre deep.
    for hole in [
        r#"depth = "9 mm", peck = "1 nm", plunge = "1 m/min""#,
        r#"depth = "1 km", plunge = "1 m/min""#,
        r#"lean = "89.9999999 deg", plunge = "1 m/min""#,
        r#"depth = "9 mm", plunge = "1e-15 m/s""#,
    ] {
        let _ = drill(
            face,
            &format!(
                r#"holes = [{{ pattern = "rows", diameter = "8 mm", pitch = "22 mm", {hole} }}]"#
            ),
        );
    }
}

#[test]
fn ten_thousand_sound_holes_are_planned() {
    // 100 × 100 holes of 2 mm at 4 mm.
    let face = r#"length = "410 mm", width = "410 mm""#;
    let rows = r#"holes = [{ pattern = "rows", diameter = "2 mm", depth = "9 mm", pitch = "4 mm", across = 100, rows = 100, plunge = "1 m/min" }]"#;
    let codes = drill(face, rows);
    assert!(
        !codes.iter().any(|code| code == "hole-breaks-rule"),
        "{codes:?}"
    );
}

#[test]
fn a_filling_that_spoils_every_part_is_said() {
    for spoils in ["100 %", "99.9999 %"] {
        let codes = said(&format!(
            r#"--- routes/block.toml
[route]
makes = "block"
unit = "each"

[[operation]]
name = "drill"
at = "saw"
pace = "12 s"
makes = "drilled"
takes = {{ plank = "1 each" }}
drill = {{ outline = {{ length = "200 mm", width = "100 mm" }}, thick = "50 mm", holes = [{{ pattern = "rows", diameter = "5 mm", pitch = "9 mm" }}] }}

[[operation]]
name = "fill"
at = "saw"
pace = "20 s"
takes = {{ tube = "2 m" }}
fill = {{ holes_of = "drill", puts = "tube", spoils = "{spoils}" }}
--- orders.csv
order,item,quantity,due
7,block,1000 each,2026-12-14
"#
        ));
        assert!(!codes.is_empty(), "{spoils}: nothing is said");
    }
}

/// SplitMix64 (Steele, Lea & Flood 2014).
fn roll(state: &mut u64) -> usize {
    *state = state.wrapping_add(0x9E37_79B9_7F4A_7C15);
    let mut z = *state;
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    ((z ^ (z >> 31)) >> 16) as usize
}

/// Where a text has numbers.
fn numbers(text: &str) -> Vec<std::ops::Range<usize>> {
    let mut found: Vec<std::ops::Range<usize>> = Vec::new();
    for (at, letter) in text.char_indices() {
        if !(letter.is_ascii_digit() || letter == '.') {
            continue;
        }
        match found.last_mut() {
            Some(last) if last.end == at => last.end = at + 1,
            _ => found.push(at..at + 1),
        }
    }
    found
}

const ABSURD: [&str; 12] = [
    "0", "1", "2", "7", "0.001", "1e-9", "1e-4", "1e4", "1e9", "1e15", "1000000", "100",
];

#[test]
fn a_storm_of_absurd_numbers_ends_in_plans_or_words() {
    let seed = include_str!("../../../../fuzz/seeds/works/shapes.txt");
    let shapes = seed.find("[item.tube]").expect("the items");
    let options = Options {
        line_nodes: 100,
        search_steps: 100,
        ..options()
    };
    let mut state = 20_261_125;
    let (mut planned, mut slowest) = (0, Duration::ZERO);
    for _ in 0..RUNS {
        let mut text = seed.to_owned();
        for _ in 0..=roll(&mut state) % 2 {
            let places: Vec<_> = numbers(&text)
                .into_iter()
                .filter(|at| at.start > shapes)
                .collect();
            let at = places[roll(&mut state) % places.len()].clone();
            text.replace_range(at, ABSURD[roll(&mut state) % ABSURD.len()]);
        }
        let outcome = works::read(&files(&format!("--- works.toml\n{text}")));
        let faulty = outcome.has_faults();
        let Some(works) = outcome.works.filter(|_| !faulty) else {
            continue;
        };
        let began = Instant::now();
        if let Ok(plan) = planning::plan(&works, &options, &mut |_| {}) {
            planned += 1;
            assert_eq!(plan.ledger.faults(1e-6), vec![], "{text}");
        }
        slowest = slowest.max(began.elapsed());
        assert!(began.elapsed() < QUICK, "{:?} for {text}", began.elapsed());
    }
    assert!(
        planned > RUNS / 4,
        "only {planned} of {RUNS} were planned; the slowest took {slowest:?}"
    );
}

/// Texts that are tried.
const RUNS: usize = 300;
