//! Cutting, drilling and filling in every output, and the files for the floor held against their own arithmetic.

use std::collections::BTreeMap;

use planning::cutting::{BarWork, BoardWork, CutPlan, Work};

use super::*;

const STATIONS: &str = r#"
[station.drill]
calendar = "days"
drilling = { speed = "30 m/min", acceleration = "2 m/s2", clear = "5 mm", reach = { x = "300 mm", y = "200 mm" } }

[item.tube]
unit = "m"
buy = { price = "2 GBP/m" }

[item.pin]
unit = "each"
buy = { price = "0.01 GBP" }
"#;

const RAIL: &str = r#"
[route]
makes = "rail <A>, \"long\""
unit = "each"

[[operation]]
name = "../saw & crop"
at = "saw"
pace = "10 s"
takes = { tube = "1.5 m" }
cut = { bars = [{ length = "6 m" }, { length = "4.5 m", splices = [{ from = "2 m", to = "2.1 m" }], at_most = 3 }], kerf = "4 mm", trim = "10 mm", keep = { length = "0.5 m" }, parts = [{ item = "rail <A>, \"long\"", length = "1.3 m" }, { name = "=post", length = "0.7 m", need = 9 }] }
"#;

const BLOCK: &str = r#"
[route]
makes = "block"
unit = "each"

[[operation]]
name = "cut"
at = "saw"
pace = "10 s"
makes = { blank = "11 each" }
takes = { plank = "1 each" }
cut = { boards = { length = "2.4 m", width = "100 mm", measured = "a.csv", margin = "5 mm" }, kerf = "3 mm", parts = [{ item = "blank", length = "200 mm" }] }

[[operation]]
name = "drill"
at = "drill"
pace = "20 s"
makes = "drilled"
drill = { outline = { length = "200 mm", width = "100 mm" }, thick = "50 mm", edge = "4 mm", holes = [{ pattern = "listed", diameter = "5 mm", depth = "20 mm", file = "h.csv", plunge = "0.8 m/min", speed = "2,900 rpm" }] }

[[operation]]
name = "fill"
at = "saw"
pace = "20 s"
takes = { pin = "4 each" }
fill = { holes_of = "drill", puts = "pin", miss = "1 %", spoils = "0.1 %" }
"#;

const MARKED: &str = "board,lot,length,width,face,from,to,low,high,fault,wood
1,L1,2400,100,,,,,,,
2,L1,2400,100,,0,200,,,split,
3,L2,2400,100,,1000,1100,,,split,
4,L2,2400,100,,0,500,,,split,
";
const HOLES: &str = "x,y\n20,20\n180,20\n180,80\n20,80\n";
const ORDERED: &str = "order,item,quantity,due\nA1,\"rail <A>, \"\"long\"\"\",40,2026-12-09\nA2,block,30,2026-12-16\n";

fn with(block: &str, holes: &str) -> Made {
    made(&[
        ("works.toml", &format!("{WORKS}{STATIONS}")),
        ("routes/rail.toml", RAIL),
        ("routes/block.toml", block),
        ("boards/a.csv", MARKED),
        ("holes/h.csv", holes),
        ("orders.csv", ORDERED),
    ])
}

/// A works that cuts bars and boards, drills and fills.
pub(super) fn shaped() -> Made {
    with(BLOCK, HOLES)
}

/// Rows of a CSV text by the names of its columns.
fn read_csv(text: &str) -> Vec<BTreeMap<String, String>> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    reader.deserialize().map(|row| row.unwrap()).collect()
}

fn file<'f>(files: &'f FloorFiles, name: &str) -> &'f str {
    let found = files.files.iter().find(|file| file.name == name);
    let names: Vec<&str> = files.files.iter().map(|file| file.name.as_str()).collect();
    &found
        .unwrap_or_else(|| panic!("no {name} in {names:?}"))
        .text
}

fn number(row: &BTreeMap<String, String>, column: &str) -> f64 {
    row[column].parse().unwrap()
}

fn bars(plan: &Plan) -> (&CutPlan, &BarWork) {
    let bars = plan.cutting.iter().find_map(|cut| match &cut.work {
        Work::Bars(work) => Some((cut, &**work)),
        _ => None,
    });
    bars.unwrap()
}

fn boards(plan: &Plan) -> (&CutPlan, &BoardWork) {
    let boards = plan.cutting.iter().find_map(|cut| match &cut.work {
        Work::Boards(work) => Some((cut, &**work)),
        _ => None,
    });
    boards.unwrap()
}

/// A hundredth of a millimetre is what saw lists are rounded to.
const HAIR_MM: f64 = 0.011;

#[test]
fn the_saw_list_of_bars_can_be_cut_and_makes_what_is_needed() {
    let made = shaped();
    let files = cut_files(&made.works, &made.plan);
    assert_eq!(files.left_out, Vec::<String>::new());
    let rows = read_csv(file(&files, "saw-crop-rail-a-long-saw-list.csv"));
    let (cut, _) = bars(&made.plan);
    let mut counts: BTreeMap<&str, f64> = BTreeMap::new();
    let mut stock: BTreeMap<&str, (f64, f64)> = BTreeMap::new();
    let mut before: Option<(&str, f64)> = None;
    for row in &rows {
        let (pattern, end, length) = (
            row["pattern"].as_str(),
            number(row, "at_mm"),
            number(row, "length_mm"),
        );
        let start = end - length;
        // 10 mm off each end, 4 mm of kerf between two parts.
        assert!(
            start >= 10.0 - HAIR_MM && end <= number(row, "stock_mm") - 10.0 + HAIR_MM,
            "{row:?}"
        );
        if let Some((_, last)) = before.filter(|(before, _)| *before == pattern) {
            assert!(start >= last + 4.0 - HAIR_MM, "{row:?} after {last}");
        }
        // The splice of the shorter bars comes into no part.
        if row["stock"] == "2" {
            assert!(
                end <= 2000.0 + HAIR_MM || start >= 2100.0 - HAIR_MM,
                "{row:?}"
            );
        }
        *counts.entry(row["part"].as_str()).or_default() += number(row, "times");
        stock.insert(pattern, (number(row, "times"), number(row, "stock_mm")));
        before = Some((pattern, end));
    }
    assert_eq!(counts["rail <A>, \"long\""], 40.0);
    assert_eq!(counts["=post"], 9.0);
    let opened: f64 = stock.values().map(|(times, _)| times).sum();
    assert_eq!(
        opened,
        cut.stock.iter().map(|line| line.used as f64).sum::<f64>()
    );
    let short_ones = stock
        .values()
        .filter(|(_, mm)| *mm == 4500.0)
        .map(|(times, _)| times);
    assert!(short_ones.sum::<f64>() <= 3.0);
}

#[test]
fn the_saw_list_of_boards_avoids_every_mark() {
    let made = shaped();
    let files = cut_files(&made.works, &made.plan);
    let rows = read_csv(file(&files, "cut-block-saw-list.csv"));
    let (cut, _) = boards(&made.plan);
    assert_eq!(rows.len() as u64, cut.parts[0].made);
    // Marks with 5 mm on either side.
    let marks = BTreeMap::from([
        ("2", (0.0, 205.0)),
        ("3", (995.0, 1105.0)),
        ("4", (0.0, 505.0)),
    ]);
    let mut before: Option<(&str, f64)> = None;
    for row in &rows {
        let (board, from, to) = (
            row["board"].as_str(),
            number(row, "from_mm"),
            number(row, "to_mm"),
        );
        assert!(
            (to - from - 200.0).abs() < HAIR_MM && from >= 0.0 && to <= 2400.0 + HAIR_MM,
            "{row:?}"
        );
        if let Some((low, high)) = marks.get(board) {
            assert!(to <= low + HAIR_MM || from >= high - HAIR_MM, "{row:?}");
        }
        if let Some((_, last)) = before.filter(|(before, _)| *before == board) {
            assert!(from >= last + 3.0 - HAIR_MM, "{row:?} after {last}");
        }
        before = Some((board, to));
    }
}

#[test]
fn a_job_gives_its_program_drawings_and_tables() {
    let made = shaped();
    let files = drill_files(&made.works, &made.plan);
    assert_eq!(files.left_out, Vec::<String>::new());
    let names: Vec<&str> = files.files.iter().map(|file| file.name.as_str()).collect();
    let expected = ["dxf", "holes.csv", "svg", "strokes.csv", "nc"];
    for ending in expected {
        assert!(
            names.iter().any(|name| name.ends_with(ending)),
            "no {ending} in {names:?}"
        );
    }
    assert_eq!(names.len(), expected.len());
    let holes = read_csv(file(&files, "drill-block-holes.csv"));
    assert_eq!(holes.len(), 4);
    let strokes = read_csv(file(&files, "drill-block-strokes.csv"));
    let mut drilled: Vec<usize> = strokes
        .iter()
        .map(|row| row["hole_of_each_head"].parse().unwrap())
        .collect();
    drilled.sort_unstable();
    assert_eq!(drilled, [1, 2, 3, 4]);
    for row in &strokes {
        let hole =
            &made.plan.drilling[0].holes[row["hole_of_each_head"].parse::<usize>().unwrap() - 1];
        assert!((number(row, "x_mm") - hole.x_m * 1e3).abs() < HAIR_MM);
        assert!((number(row, "y_mm") - hole.y_m * 1e3).abs() < HAIR_MM);
    }
    roxmltree::Document::parse(file(&files, "drill-block.svg")).unwrap();
}

#[test]
fn what_no_machine_should_run_is_left_out_in_words() {
    let left_out = |block: &str, holes: &str| {
        let made = with(block, holes);
        let files = drill_files(&made.works, &made.plan);
        assert!(
            files
                .files
                .iter()
                .all(|file| !file.name.ends_with("block.nc")),
            "a program was given out"
        );
        assert!(
            files
                .files
                .iter()
                .any(|file| file.name.ends_with("block.dxf")),
            "the drawing is still of use"
        );
        files.left_out.join("\n")
    };
    let words = left_out(&BLOCK.replace(", speed = \"2,900 rpm\"", ""), HOLES);
    assert!(words.contains("nobody says the speed of `5 mm`"), "{words}");
    let words = left_out(&BLOCK.replace("plunge = \"0.8 m/min\", ", ""), HOLES);
    assert!(
        words.contains("nobody says how fast `5 mm` goes in"),
        "{words}"
    );
    // 1 mm from the edge, 4 mm wanted.
    let words = left_out(BLOCK, "x,y\n20,20\n3.5,50\n");
    assert!(words.contains("break the rules"), "{words}");
    let leaning = BLOCK.replace("depth = \"20 mm\"", "depth = \"20 mm\", lean = \"6 deg\"");
    assert!(left_out(&leaning, HOLES).contains(".nc:"));
}

#[test]
fn tables_of_cutting_and_drilling_say_what_was_found() {
    let made = shaped();
    let report = |blocks: Vec<Block>| text::render(&blocks, false, 160);
    let cutting = report(cut_report(&made.works, &made.plan));
    for words in [
        "Cutting lists",
        "Stock cut up",
        "Boards with faults",
        "=post",
        "no plan costs less",
        "Stated and computed",
    ] {
        assert!(cutting.contains(words), "no `{words}` in {cutting}");
    }
    let drilling = report(drill_report(&made.works, &made.plan));
    for words in ["Drilling", "Filling", "pin", "drill (block)", "kept"] {
        assert!(drilling.contains(words), "no `{words}` in {drilling}");
    }
    let page = made.html();
    for words in [
        "Cutting lists",
        "Patterns of ../saw &amp; crop",
        "Cut list of cut (block)",
        "Tools of drill (block)",
        "Holes of drill (block)",
        "Filling",
    ] {
        assert!(page.contains(words), "no `{words}` on the page");
    }
    let without = small().html();
    assert!(!without.contains("Cutting lists") && !without.contains("Holes of"));
}

#[test]
fn the_workbook_has_sheets_of_cutting_and_drilling() {
    let made = shaped();
    let bytes = xlsx(&made.works, &made.plan, &made.sources).unwrap();
    let cutting = rows(bytes.clone(), "Cutting");
    let (_, work) = bars(&made.plan);
    let has = |rows: &[Vec<Data>], words: &str| {
        rows.iter()
            .flatten()
            .any(|cell| *cell == Data::String(words.into()))
    };
    // A name that looks like a formula stays words.
    assert!(has(&cutting, "=post"));
    assert!(!work.patterns.is_empty());
    let drilling = rows(bytes.clone(), "Drilling");
    assert!(has(&drilling, "Tools of drill (block)"));
    let computed = rows(bytes, "Stated-computed");
    let found = made.plan.computed.len();
    assert!(
        found >= 4 && computed.len() >= found + 2,
        "{} rows for {found} numbers",
        computed.len()
    );
}

#[test]
fn parts_of_the_data_hold_cutting_and_drilling() {
    let made = shaped();
    let whole: serde_json::Value = serde_json::from_str(&made.json()).unwrap();
    for (part, fields) in [
        (PlanPart::Cut, &["cutting", "computed"][..]),
        (PlanPart::Drill, &["drilling", "fillings", "computed"]),
    ] {
        let text = json_of(&made.works, &made.plan, &made.sources, part);
        let part: serde_json::Value = serde_json::from_str(&text).unwrap();
        for field in fields {
            assert!(!part[field].as_array().unwrap().is_empty(), "{field}");
            assert_eq!(part[field], whole[field]);
        }
    }
}
