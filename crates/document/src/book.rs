//! The workbook: the same tables with real numbers and dates.

use rust_xlsxwriter::{
    DocProperties, ExcelDateTime, Format, FormatAlign, FormatBorder, Formula, Workbook, Worksheet,
};
use works::Sources;

use crate::Error;
use crate::block::{Align, Block, Cell, Role, Row, Table, Value};
use crate::report;
use crate::table::{self, Ground};

/// Longest text of one cell that workbooks allow.
const LONGEST: usize = 32_000;

/// The workbook of a plan.
pub(crate) fn book(ground: &Ground<'_>, sources: &Sources) -> Result<Vec<u8>, Error> {
    let mut book = Workbook::new();
    // Fixed, so that the same plan gives the same bytes.
    let made = ExcelDateTime::from_ymd(2000, 1, 1)?;
    let title = format!("Plan of {}", ground.plan.name);
    book.set_properties(
        &DocProperties::new()
            .set_title(title)
            .set_creation_datetime(&made),
    );
    for (name, tables) in sheets(ground, sources) {
        let sheet = book.add_worksheet();
        sheet.set_name(name)?;
        if name == "Summary" {
            summary(sheet, &report::summary(ground))?;
        } else {
            stacked(sheet, &tables)?;
        }
    }
    Ok(book.save_to_buffer()?)
}

/// Sheets and their tables, in order.
fn sheets(ground: &Ground<'_>, sources: &Sources) -> Vec<(&'static str, Vec<Table>)> {
    let mass = &ground.plan.material.mass.routes;
    let mut material = vec![table::mass(ground)];
    material.extend(
        mass.iter()
            .filter(|route| !route.operations.is_empty())
            .map(|route| table::mass_of(ground, route)),
    );
    material.extend([
        table::left_over(ground),
        table::rework(ground),
        table::regrind(ground),
    ]);
    let mut load = vec![
        table::stations(ground),
        table::changeovers(ground),
        table::queues(ground),
    ];
    load.push(table::leads(ground));
    load.extend(
        ground
            .plan
            .load
            .routes
            .iter()
            .filter(|lead| lead.lot > 0.0)
            .map(|lead| table::lead_pieces(ground.works, lead)),
    );
    load.push(table::lines(ground));
    let mut sheets = vec![
        ("Summary", Vec::new()),
        ("To buy", vec![table::purchases(ground)]),
        ("To start", vec![table::starts(ground)]),
        ("Orders", vec![table::orders(ground)]),
        ("Material", material),
        ("Load", load),
        ("Crews", vec![table::crews(ground), table::skills(ground)]),
        ("Weeks", vec![table::weeks(ground)]),
        ("Cost", costs(ground)),
    ];
    // Most works cut or drill nothing, and an empty sheet only asks what it is for.
    let plan = ground.plan;
    if !plan.cutting.is_empty() {
        sheets.push(("Cutting", cutting(ground)));
    }
    if !plan.drilling.is_empty() {
        sheets.push(("Drilling", drilling(ground)));
    }
    if table::does_heat(ground) {
        sheets.push(("Heat", heat(ground)));
    }
    if !plan.computed.is_empty() {
        sheets.push(("Stated-computed", vec![table::computed(ground)]));
    }
    sheets.extend([
        ("Stated-measured", vec![table::measured(ground)]),
        ("Figures", vec![table::figures(ground, sources)]),
    ]);
    sheets
}

fn costs(ground: &Ground<'_>) -> Vec<Table> {
    let cost = &ground.plan.cost;
    let mut tables = vec![table::unit_costs(ground, cost)];
    for product in &cost.products {
        tables.push(table::at_quantities(ground.works, product, &cost.currency));
        tables.push(table::drivers(ground, product));
    }
    tables
}

/// Tables one below the other; the headings of the first stay in view.
fn stacked(sheet: &mut Worksheet, tables: &[Table]) -> Result<(), Error> {
    let mut widths = Widths::default();
    let mut at = 0;
    for (number, table) in tables
        .iter()
        .filter(|table| !table.columns.is_empty())
        .enumerate()
    {
        if number > 0 && table.rows.is_empty() {
            continue;
        }
        if number > 0 {
            at += 1;
        }
        sheet.write_string_with_format(at, 0, &table.caption, &Format::new().set_bold())?;
        headings(sheet, at + 1, table)?;
        if number == 0 {
            sheet.set_freeze_panes(2, 1)?;
        }
        let first = at + 2;
        for (offset, row) in table.rows.iter().enumerate() {
            write_row(sheet, first + offset as u32, first, row)?;
        }
        widths.see(table);
        at = first + table.rows.len() as u32;
    }
    widths.set(sheet)
}

fn headings(sheet: &mut Worksheet, at: u32, table: &Table) -> Result<(), Error> {
    for (column, heading) in table.columns.iter().enumerate() {
        let align = match heading.align {
            Align::Left => FormatAlign::Left,
            Align::Right => FormatAlign::Right,
        };
        let format = Format::new().set_bold().set_align(align).set_text_wrap();
        let format = format.set_border_bottom(FormatBorder::Thin);
        let title = match heading.unit.as_str() {
            "" => heading.title.clone(),
            unit => format!("{}, {unit}", heading.title),
        };
        sheet.write_string_with_format(at, column as u16, &title, &format)?;
    }
    Ok(())
}

/// Writes a row; sums are formulas over the rows from `first` on that stand above.
fn write_row(sheet: &mut Worksheet, at: u32, first: u32, row: &Row) -> Result<(), Error> {
    for (column, cell) in row.cells.iter().enumerate() {
        let column = column as u16;
        match (&cell.value, row.role) {
            (Value::Money(sum, _), Role::Total) if sum.is_finite() && at > first => {
                let name = rust_xlsxwriter::column_number_to_name(column);
                let formula = format!("=SUM({name}{}:{name}{at})", first + 1);
                let formula = Formula::new(formula).set_result(sum.to_string());
                sheet.write_formula_with_format(at, column, formula, &format_of(cell, row.role))?;
            }
            _ => write(sheet, at, column, cell, row.role)?,
        }
    }
    Ok(())
}

fn write(
    sheet: &mut Worksheet,
    at: u32,
    column: u16,
    cell: &Cell,
    role: Role,
) -> Result<(), Error> {
    let format = format_of(cell, role);
    match &cell.value {
        Value::None => {}
        Value::Text(words) => {
            let words: String = words.chars().take(LONGEST).collect();
            sheet.write_string_with_format(at, column, words, &format)?;
        }
        Value::Number(number)
        | Value::Amount(number, _)
        | Value::Money(number, _)
        | Value::Share(number) => {
            if number.is_finite() {
                sheet.write_number_with_format(at, column, *number, &format)?;
            } else {
                sheet.write_string_with_format(
                    at,
                    column,
                    planning::reason::number(*number),
                    &format,
                )?;
            }
        }
        // Years that a workbook's calendar does not have are written as words.
        Value::Date(day) => {
            let date = u16::try_from(day.year())
                .ok()
                .filter(|year| (1900..=9999).contains(year));
            let date =
                date.map(|year| ExcelDateTime::from_ymd(year, day.month() as u8, day.day() as u8));
            match date {
                Some(Ok(date)) => sheet.write_datetime_with_format(at, column, &date, &format)?,
                _ => sheet.write_string_with_format(at, column, day.to_string(), &format)?,
            };
        }
    }
    Ok(())
}

fn format_of(cell: &Cell, row: Role) -> Format {
    let mut format = Format::new();
    format = match &cell.value {
        Value::Number(number) => format.set_num_format(digits(*number)),
        Value::Amount(number, unit) => {
            let unit = unit.replace(['"', '\\'], "");
            format.set_num_format(format!("{} \"{unit}\"", digits(*number)))
        }
        Value::Money(amount, _) if amount.abs() < 0.1 && *amount != 0.0 => {
            format.set_num_format("#,##0.0000")
        }
        Value::Money(..) => format.set_num_format("#,##0.00"),
        Value::Share(_) => format.set_num_format("0.0%"),
        Value::Date(_) => format.set_num_format("yyyy-mm-dd"),
        Value::Text(_) | Value::None => format,
    };
    for role in [cell.role, row] {
        format = match role {
            Role::Strong => format.set_bold(),
            Role::Total => format.set_bold().set_border_top(FormatBorder::Thin),
            Role::Warning => format.set_bold().set_font_color("B0431A"),
            Role::Soft => format.set_font_color("56616D"),
            Role::Plain => format,
        };
    }
    format
}

/// As many digits as people read of a number of this size.
fn digits(number: f64) -> &'static str {
    let size = number.abs();
    match () {
        () if number == number.round() => "#,##0",
        () if size >= 1000.0 => "#,##0",
        () if size >= 100.0 => "#,##0.0",
        () if size >= 1.0 => "#,##0.00",
        () if size >= 0.01 => "0.0000",
        () => "0.00E+00",
    }
}

/// Widths of columns that hold what is in them.
#[derive(Default)]
struct Widths(Vec<usize>);

impl Widths {
    fn see(&mut self, table: &Table) {
        for (at, column) in table.columns.iter().enumerate() {
            let cells = table.rows.iter().filter_map(|row| row.cells.get(at));
            let widest = cells
                .map(|cell| cell.value.show().chars().count())
                .max()
                .unwrap_or(0);
            // Headings wrap; half of one is enough.
            let heading =
                (column.title.chars().count() + column.unit.chars().count() + 2).div_ceil(2);
            if self.0.len() <= at {
                self.0.resize(at + 1, 0);
            }
            self.0[at] = self.0[at].max(widest).max(heading);
        }
    }

    fn set(&self, sheet: &mut Worksheet) -> Result<(), Error> {
        for (at, width) in self.0.iter().enumerate() {
            sheet.set_column_width(at as u16, (*width as f64 + 2.0).clamp(8.0, 60.0))?;
        }
        Ok(())
    }
}

/// The short answer: labels, values, remarks.
fn summary(sheet: &mut Worksheet, blocks: &[Block]) -> Result<(), Error> {
    let bold = Format::new().set_bold();
    let mut at = 0;
    for block in blocks {
        match block {
            Block::Heading(words) => {
                at += u32::from(at > 0);
                sheet.write_string_with_format(at, 0, words, &bold)?;
            }
            Block::Fact { label, value, note } => {
                sheet.write_string(at, 0, label)?;
                write(sheet, at, 1, value, Role::Plain)?;
                sheet.write_string(at, 2, note)?;
            }
            Block::Note(words) => {
                sheet.write_string(at, 0, words)?;
            }
            Block::Warning(words) => {
                let format = format_of(&Cell::from(Value::None).role(Role::Warning), Role::Plain);
                sheet.write_string_with_format(at, 0, words, &format)?;
            }
            Block::Table(table) => {
                headings(sheet, at, table)?;
                for (offset, row) in table.rows.iter().enumerate() {
                    write_row(sheet, at + 1 + offset as u32, at + 1, row)?;
                }
                at += table.rows.len() as u32;
            }
        }
        at += 1;
    }
    for (column, width) in [(0, 40.0), (1, 22.0), (2, 60.0)] {
        sheet.set_column_width(column, width)?;
    }
    Ok(())
}

/// Cutting lists, stock, patterns and cut lists.
fn cutting(ground: &Ground<'_>) -> Vec<Table> {
    let mut tables = vec![
        table::cutting_lists(ground),
        table::stock_cut_up(ground),
        table::boards(ground),
        table::frames(ground),
    ];
    tables.extend(ground.plan.cutting.iter().map(table::patterns));
    tables
}

/// Holes, tools and filling.
fn drilling(ground: &Ground<'_>) -> Vec<Table> {
    let mut tables = vec![table::drilling(ground), table::filling(ground)];
    for plan in &ground.plan.drilling {
        tables.extend([table::tools(plan), table::holes(plan)]);
    }
    tables
}

/// Recipes, and what stands behind the verdict on each.
fn heat(ground: &Ground<'_>) -> Vec<Table> {
    let mut tables = vec![
        table::recipes(ground),
        table::beside_heat(ground),
        table::heat_logs(ground),
        table::heat_starts(ground),
    ];
    for plan in &ground.plan.heat {
        tables.extend([
            table::heat_needs(plan),
            table::heat_pieces(plan),
            table::heat_stages(plan),
            table::heat_map(plan),
            table::heat_changes(plan),
        ]);
        tables.extend(plan.load.iter().map(|load| table::heat_loads(plan, load)));
        tables.extend(plan.logs.iter().map(|log| table::heat_probes(plan, log)));
    }
    for (_, telling) in table::tellings(ground) {
        tables.extend(telling.tables);
    }
    tables.push(table::heat_cautions(ground));
    tables
}
