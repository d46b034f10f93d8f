//! Saw lists: one row for each part, in the order in which it is cut.

use planning::cutting::{BarWork, BoardWork, CutPlan, SheetWork, Work};

use super::{csv, mm};

const BAR_COLUMNS: [&str; 9] = [
    "pattern",
    "times",
    "stock",
    "stock_mm",
    "cut",
    "part",
    "letter",
    "length_mm",
    "at_mm",
];
const BOARD_COLUMNS: [&str; 11] = [
    "board",
    "lot",
    "order",
    "cut",
    "part",
    "letter",
    "length_mm",
    "from_mm",
    "to_mm",
    "low_mm",
    "high_mm",
];

const SHEET_COLUMNS: [&str; 11] = [
    "layout", "times", "sheet", "step", "what", "stage", "at_mm", "from_mm", "to_mm", "part",
    "letter",
];

pub(super) fn list(plan: &CutPlan) -> String {
    match &plan.work {
        Work::Boards(work) => csv(&BOARD_COLUMNS, board_rows(plan, work)),
        Work::Bars(work) => csv(&BAR_COLUMNS, bar_rows(plan, work)),
        Work::Sheets(work) => csv(&SHEET_COLUMNS, sheet_rows(plan, work)),
    }
}

/// Parts of each pattern one by one; `at_mm` is where the part ends, from the left end of the stock.
fn bar_rows<'a>(plan: &'a CutPlan, work: &'a BarWork) -> impl Iterator<Item = Vec<String>> + 'a {
    work.patterns
        .iter()
        .enumerate()
        .flat_map(move |(number, pattern)| {
            let stock = &plan.stock[pattern.stock];
            let mut cut = 0;
            let mut rows = Vec::new();
            for stretch in &pattern.stretches {
                let mut at_m = stretch.from_m + work.head_trim_m(stretch);
                for &(part, count) in &stretch.parts {
                    let line = &plan.parts[part];
                    for _ in 0..count {
                        cut += 1;
                        at_m += line.length_m;
                        rows.push(vec![
                            (number + 1).to_string(),
                            pattern.count.to_string(),
                            (pattern.stock + 1).to_string(),
                            mm(stock.length_m),
                            cut.to_string(),
                            line.name.clone(),
                            line.letter.clone(),
                            mm(line.length_m),
                            mm(at_m),
                        ]);
                        at_m += work.kerf_m;
                    }
                }
            }
            rows
        })
}

fn board_rows<'a>(
    plan: &'a CutPlan,
    work: &'a BoardWork,
) -> impl Iterator<Item = Vec<String>> + 'a {
    work.boards.iter().flat_map(move |board| {
        board.parts.iter().enumerate().map(move |(cut, placed)| {
            let line = &plan.parts[placed.part];
            vec![
                board.name.clone(),
                board.lot.clone().unwrap_or_default(),
                board.order_words().to_owned(),
                (cut + 1).to_string(),
                line.name.clone(),
                line.letter.clone(),
                mm(line.length_m),
                mm(placed.from_m),
                mm(placed.to_m),
                mm(placed.low_m),
                mm(placed.high_m),
            ]
        })
    })
}

/// Cuts of each layout in the order in which they are made, then the parts with their places: `at_mm` and
/// `from_mm` are the lower left corner, `to_mm` the right end.
fn sheet_rows<'a>(
    plan: &'a CutPlan,
    work: &'a SheetWork,
) -> impl Iterator<Item = Vec<String>> + 'a {
    work.layouts
        .iter()
        .enumerate()
        .flat_map(move |(number, layout)| {
            let head = [
                (number + 1).to_string(),
                layout.count.to_string(),
                (layout.stock + 1).to_string(),
            ];
            let cuts = layout.cuts.iter().map(|cut| {
                let run = if cut.along_length {
                    "cut along"
                } else {
                    "cut across"
                };
                let places = [mm(cut.at_m), mm(cut.from_m), mm(cut.to_m)];
                (run, cut.stage.to_string(), places, None)
            });
            let parts = layout.parts.iter().map(|part| {
                let what = if part.turned { "part, turned" } else { "part" };
                let places = [
                    mm(part.at.y_m),
                    mm(part.at.x_m),
                    mm(part.at.x_m + part.at.length_m),
                ];
                (what, String::new(), places, plan.parts.get(part.part))
            });
            let rows = cuts.chain(parts).enumerate();
            let rows: Vec<Vec<String>> = rows
                .map(|(step, (what, stage, places, part))| {
                    let mut row = head.to_vec();
                    row.extend([(step + 1).to_string(), what.to_owned(), stage]);
                    row.extend(places);
                    row.push(part.map_or_else(String::new, |part| part.name.clone()));
                    row.push(part.map_or_else(String::new, |part| part.letter.clone()));
                    row
                })
                .collect();
            rows
        })
}
