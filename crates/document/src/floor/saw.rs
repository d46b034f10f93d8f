//! Saw lists: one row for each part, in the order in which it is cut.

use planning::cutting::{BarWork, BoardWork, CutPlan, Work};

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

pub(super) fn list(plan: &CutPlan) -> String {
    match &plan.work {
        Work::Boards(work) => csv(&BOARD_COLUMNS, board_rows(plan, work)),
        Work::Bars(work) => csv(&BAR_COLUMNS, bar_rows(plan, work)),
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
