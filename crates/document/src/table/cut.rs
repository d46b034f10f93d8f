//! Cutting lists, patterns, boards, frames, and what they say of the route's numbers.

use planning::computed::Computed;
use planning::cutting::{BarWork, BoardWork, CutPlan, SheetWork, Work};

use super::{Ground, columns, rounded};
use crate::block::{Cell, Column, Role, Row, Table, Value};

/// Millimetres of metres, to a tenth.
pub(crate) fn mm(metres: f64) -> Cell {
    Cell::from(rounded(metres * 1e3, 10.0))
}

/// A length in words: metres when long, else millimetres.
pub(crate) fn length_words(metres: f64) -> String {
    if metres >= 10.0 {
        format!("{}\u{a0}m", quantity::show_number(rounded(metres, 1000.0)))
    } else {
        format!(
            "{}\u{a0}mm",
            quantity::show_number(rounded(metres * 1e3, 10.0))
        )
    }
}

/// A size in words.
fn size_words(length_m: f64, width_m: Option<f64>) -> String {
    match width_m {
        Some(width) => format!("{} × {}", length_words(length_m), length_words(width)),
        None => length_words(length_m),
    }
}

/// The cutting list of every operation that cuts.
pub(crate) fn cutting_lists(ground: &Ground<'_>) -> Table {
    let mut table = Table::new(
        "Cutting lists",
        columns(
            &["Where", "Part", "Letter"],
            &[
                ("Length", "mm"),
                ("Width", "mm"),
                ("Needed", ""),
                ("Cut", ""),
                ("Short", ""),
            ],
        ),
    );
    for plan in &ground.plan.cutting {
        let from_sample = matches!(plan.work, Work::Boards(_));
        for part in &plan.parts {
            let needed = Cell::from(part.need as f64);
            let needed = if part.as_if {
                needed.role(Role::Soft)
            } else {
                needed
            };
            table.push([
                plan.name.as_str().into(),
                part.name.as_str().into(),
                part.letter.as_str().into(),
                mm(part.length_m),
                part.width_m.map(mm).into(),
                needed,
                (part.made as f64).into(),
                Cell::from(part.short() as f64).warn_if(part.short() > 0 && !from_sample),
            ]);
        }
    }
    table
}

/// What is cut up, and how well.
pub(crate) fn stock_cut_up(ground: &Ground<'_>) -> Table {
    let mut columns = columns(
        &["Where", "Stock", "Size"],
        &[("Cut up", ""), ("To be had", ""), ("Used", "")],
    );
    columns.push(Column::words("How good"));
    let mut table = Table::new("Stock cut up", columns);
    for plan in &ground.plan.cutting {
        let how_good = how_good(ground, plan);
        for (number, line) in plan.stock.iter().enumerate() {
            let first = number == 0;
            table.push([
                plan.name.as_str().into(),
                ground.item(line.item.0).into(),
                size_words(line.length_m, line.width_m).into(),
                (line.used as f64).into(),
                line.at_most.map(|most| most as f64).into(),
                first.then_some(Value::Share(plan.used_share)).into(),
                first.then(|| how_good.clone()).into(),
            ]);
        }
    }
    table
}

/// How good a plan is, in a few words.
fn how_good(ground: &Ground<'_>, plan: &CutPlan) -> String {
    match &plan.work {
        Work::Boards(work) => boards_how_good(work),
        Work::Bars(work) => against_bound(work.proved, work.cost, work.bound, |cost| {
            let words = if work.in_money {
                ground.price(cost).show()
            } else {
                length_words(cost)
            };
            // What is kept lowers the cost of the plan, though not what has to be bought.
            if work.kept.is_empty() {
                words
            } else {
                format!("{words} less what is kept")
            }
        }),
        Work::Sheets(work) => against_bound(work.proved, work.cost, work.bound, |cost| {
            if work.in_money {
                ground.price(cost).show()
            } else {
                format!("{}\u{a0}m²", quantity::show_number(rounded(cost, 100.0)))
            }
        }),
    }
}

/// A cost against what no plan can be below.
fn against_bound(proved: bool, cost: f64, bound: f64, show: impl Fn(f64) -> String) -> String {
    if proved {
        return format!("{}: no plan costs less", show(cost));
    }
    let gap = if bound > 0.0 { cost / bound - 1.0 } else { 0.0 };
    format!(
        "{}, at most {} above the least there can be ({})",
        show(cost),
        Value::Share(gap).show(),
        show(bound)
    )
}

fn boards_how_good(work: &BoardWork) -> String {
    if work.measured == 0 {
        return "from the stated rate of faults; no board was measured".to_owned();
    }
    format!(
        "{} cut from the left end; no cutting can use more than {}",
        Value::Share(work.simple_share).show(),
        Value::Share(work.bound_share.min(1.0)).show()
    )
}

/// The patterns or the cut list of one plan.
pub(crate) fn patterns(plan: &CutPlan) -> Table {
    match &plan.work {
        Work::Boards(work) => board_cut_list(plan, work),
        Work::Bars(work) => bar_patterns(plan, work),
        Work::Sheets(work) => sheet_layouts(plan, work),
    }
}

/// The layouts of sheets.
fn sheet_layouts(plan: &CutPlan, work: &SheetWork) -> Table {
    let mut table = Table::new(
        format!("Layouts of {}", plan.name),
        columns(
            &["Layout", "Sheet", "Parts", "First cuts"],
            &[("Times", ""), ("Cuts", ""), ("Used", "")],
        ),
    );
    for (number, layout) in work.layouts.iter().enumerate() {
        let stock = plan.stock.get(layout.stock);
        let first = layout.cuts.iter().filter(|cut| cut.stage == 1);
        let at: Vec<String> = first
            .clone()
            .map(|cut| quantity::show_number(rounded(cut.at_m * 1e3, 10.0)))
            .collect();
        let run = match first.clone().next() {
            Some(cut) if cut.along_length => "along the length at ",
            Some(_) => "across the length at ",
            None => "",
        };
        table.push([
            (number + 1).to_string().into(),
            stock
                .map(|stock| size_words(stock.length_m, stock.width_m))
                .into(),
            counts_words(plan, layout.parts.iter().map(|part| part.part)).into(),
            format!("{run}{}", at.join("  ")).into(),
            (layout.count as f64).into(),
            (layout.cuts.len() as f64).into(),
            Value::Share(layout.share).into(),
        ]);
    }
    table
}

/// `12 × A, 3 × B`, in the order of the list.
fn counts_words(plan: &CutPlan, parts: impl Iterator<Item = usize>) -> String {
    let mut counts = vec![0; plan.parts.len()];
    for part in parts {
        counts[part] += 1;
    }
    let some = counts
        .into_iter()
        .enumerate()
        .filter(|(_, count)| *count > 0);
    cuts_words(plan, &some.collect::<Vec<(usize, u64)>>())
}

/// The patterns of bars, strip or reels.
fn bar_patterns(plan: &CutPlan, work: &BarWork) -> Table {
    let mut table = Table::new(
        format!("Patterns of {}", plan.name),
        columns(
            &["Pattern", "Stock", "Cuts"],
            &[("Times", ""), ("Left", "mm")],
        ),
    );
    for (number, pattern) in work.patterns.iter().enumerate() {
        let stretches: Vec<String> = pattern
            .stretches
            .iter()
            .map(|stretch| cuts_words(plan, &stretch.parts))
            .collect();
        let rest: f64 = pattern.stretches.iter().map(|stretch| stretch.rest_m).sum();
        let stock = plan.stock.get(pattern.stock);
        table.push([
            (number + 1).to_string().into(),
            stock
                .map(|stock| size_words(stock.length_m, stock.width_m))
                .into(),
            stretches.join(" | ").into(),
            (pattern.count as f64).into(),
            mm(rest),
        ]);
    }
    table
}

/// `12 × A, 3 × B`.
fn cuts_words(plan: &CutPlan, parts: &[(usize, u64)]) -> String {
    let words: Vec<String> = parts
        .iter()
        .filter_map(|(part, count)| Some(format!("{count} × {}", plan.parts.get(*part)?.letter)))
        .collect();
    if words.is_empty() {
        "nothing".to_owned()
    } else {
        words.join(", ")
    }
}

/// What was found of boards with faults, one column for each operation would be wide: one row a number.
pub(crate) fn boards(ground: &Ground<'_>) -> Table {
    let mut columns = vec![Column::words("Where"), Column::words("What")];
    columns.push(Column::numbers("Value", ""));
    columns.push(Column::words("Remark"));
    let mut table = Table::new("Boards with faults", columns);
    for plan in &ground.plan.cutting {
        if let Work::Boards(work) = &plan.work {
            for (what, value, remark) in board_facts(work) {
                table.push([plan.name.as_str().into(), what.into(), value, remark.into()]);
            }
        }
    }
    table
}

/// What an engineer wants to know of the boards.
fn board_facts(work: &BoardWork) -> Vec<(&'static str, Cell, String)> {
    let mut facts: Vec<(&'static str, Cell, String)> = Vec::new();
    let hundredth = |x: f64| rounded(x, 100.0);
    if work.measured > 0 {
        let lots = format!("of {} lots", work.lots);
        facts.push(("boards measured", (work.measured as f64).into(), lots));
    }
    if let Some(faults) = &work.faults {
        let from = match faults.counted {
            Some(counted) => format!("{counted} counted; "),
            None => "stated; ".to_owned(),
        };
        facts.push((
            "faults in a metre",
            hundredth(faults.per_metre).into(),
            format!(
                "{from}lots differ by {}; one costs {} with its margins",
                hundredth(faults.lots_sd),
                length_words(faults.costs_m)
            ),
        ));
    }
    facts.push((
        "parts from one board",
        hundredth(work.per_board).into(),
        format!(
            "standard deviation {} from board to board, {} from lot to lot",
            hundredth(work.each_sd),
            hundredth(work.lots_sd)
        ),
    ));
    if let Some(form) = work.closed_form {
        let remark = "if faults fell at random at this rate".to_owned();
        facts.push(("the same by closed form", hundredth(form).into(), remark));
    }
    facts.extend(shares(work));
    facts.extend(pack(work));
    facts
}

fn shares(work: &BoardWork) -> Vec<(&'static str, Cell, String)> {
    if work.measured == 0 {
        return Vec::new();
    }
    let share = |x: f64| Cell::from(Value::Share(x));
    vec![
        (
            "share used, best cuts",
            share(work.best_share),
            "each measured board cut for the most".to_owned(),
        ),
        (
            "share used, from the left end",
            share(work.simple_share),
            "the longest part that is clear, then the next".to_owned(),
        ),
        (
            "share that no cutting exceeds",
            share(work.bound_share.min(1.0)),
            "an upper bound".to_owned(),
        ),
    ]
}

fn pack(work: &BoardWork) -> Vec<(&'static str, Cell, String)> {
    let mut facts = Vec::new();
    if let Some(pack) = &work.pack {
        let remark = if pack.enough {
            let least = pack.bound_m2 / pack.area_m2.max(f64::MIN_POSITIVE);
            format!(
                "enough for the list; no plan opens less than {} of this area{}",
                Value::Share(least.min(1.0)).show(),
                if pack.proved {
                    ", so that it is the least"
                } else {
                    ""
                }
            )
        } else {
            "no plan was found in which these boards give the whole list; they are cut for as much of it as was found".to_owned()
        };
        facts.push((
            "measured boards opened",
            (pack.opened as f64).into(),
            remark,
        ));
    }
    if let Some(live) = &work.live {
        let remark = format!(
            "{} more wood than when all boards are known beforehand",
            Value::Share(live.regret.max(0.0)).show()
        );
        facts.push(("boards cut as they come", (live.cut as f64).into(), remark));
    }
    facts
}

/// The cut list of measured boards: where each part begins.
fn board_cut_list(plan: &CutPlan, work: &BoardWork) -> Table {
    let mut columns = columns(&["Board", "Lot", "Parts from the left end"], &[]);
    columns.push(Column::words("Begin at, mm"));
    columns.push(Column::numbers("Used", ""));
    let mut table = Table::new(format!("Cut list of {}", plan.name), columns);
    for board in &work.boards {
        let begins: Vec<String> = board
            .parts
            .iter()
            .map(|placed| quantity::show_number(rounded(placed.from_m * 1e3, 10.0)))
            .collect();
        table.push([
            board.name.as_str().into(),
            board.lot.as_deref().unwrap_or_default().into(),
            in_a_row(plan, board.parts.iter().map(|placed| placed.part)).into(),
            begins.join("  ").into(),
            Value::Share(board.share).into(),
        ]);
    }
    table
}

/// Parts in their order, those alike that follow each other together: `3 × A, B, 2 × A`.
fn in_a_row(plan: &CutPlan, parts: impl Iterator<Item = usize>) -> String {
    let mut runs: Vec<(usize, u64)> = Vec::new();
    for part in parts {
        match runs.last_mut() {
            Some((last, count)) if *last == part => *count += 1,
            _ => runs.push((part, 1)),
        }
    }
    cuts_words(plan, &runs)
}

/// Frames folded from strip.
pub(crate) fn frames(ground: &Ground<'_>) -> Table {
    let mut columns = columns(
        &["Where", "Frame"],
        &[("Strip", "mm"), ("Lap", "mm"), ("One fold takes off", "mm")],
    );
    columns.push(Column::words("Notches, middle from the start, mm"));
    columns.push(Column::numbers("Notch wide", "mm"));
    columns.push(Column::numbers("Gap a fold may open", "mm"));
    let mut table = Table::new("Frames folded from strip", columns);
    for plan in &ground.plan.cutting {
        for part in &plan.parts {
            let Some(frame) = &part.frame else { continue };
            let notches: Vec<String> = frame
                .notches
                .iter()
                .map(|notch| quantity::show_number(rounded(notch.at_m * 1e3, 10.0)))
                .collect();
            table.push([
                plan.name.as_str().into(),
                size_words(frame.width_m, Some(frame.height_m)).into(),
                mm(frame.length_m),
                mm(frame.lap_m),
                Cell::from(rounded(frame.deduction_m * 1e3, 100.0)),
                notches.join("  ").into(),
                frame.notches.first().map(|notch| mm(notch.width_m)).into(),
                frame
                    .corner_gap_m
                    .map(|gap| Cell::from(rounded(gap * 1e3, 100.0)))
                    .into(),
            ]);
        }
    }
    table
}

/// Stated numbers held against those worked out, of the operations that are asked for.
pub(crate) fn computed_of(ground: &Ground<'_>, of: impl Fn(works::OperationId) -> bool) -> Table {
    let mut columns = columns(
        &["Number", "Unit"],
        &[("Stated", ""), ("Computed", ""), ("Margin", "")],
    );
    columns.extend([Column::words("Planned with"), Column::words("How")]);
    let mut table = Table::new("Stated and computed", columns);
    let asked = ground.plan.computed.iter().filter(|one| of(one.operation));
    table.rows.extend(asked.map(computed_row));
    table
}

/// Every number that was worked out, held against the stated one.
pub(crate) fn computed(ground: &Ground<'_>) -> Table {
    computed_of(ground, |_| true)
}

/// Whether an operation has a cutting plan.
pub(crate) fn cuts(ground: &Ground<'_>, operation: works::OperationId) -> bool {
    ground
        .plan
        .cutting
        .iter()
        .any(|plan| plan.operation == operation)
}

fn computed_row(one: &Computed) -> Row {
    let number = |base: f64| Cell::from(base / one.factor);
    let role = if one.disagrees() {
        Role::Warning
    } else {
        Role::Plain
    };
    Row::of([
        one.name.as_str().into(),
        one.unit.as_str().into(),
        one.stated.map(number).into(),
        number(one.computed),
        Cell::from(one.margin.map(Value::Share).map(Cell::from)).role(role),
        if one.used { "computed" } else { "stated" }.into(),
        one.how.as_str().into(),
    ])
}
