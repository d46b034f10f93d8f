//! Yield bars: the yield of a plan held against simple cutting and against the proved bound.

use crate::frame::{Frame, nothing_to_draw};
use crate::ink::{Area, Num, Sheet, Style, Words};
use crate::palette::{INK, PANEL, PAPER, RULE, TONES};
use crate::room::Taken;
use crate::scale::{Scale, amount, drawable};
use crate::stock::{draw_heading, draw_left_out};

/// A share with its text.
#[derive(Clone, Debug, PartialEq)]
pub struct YieldMark {
    /// Share of the stock, 1.0 for all of it.
    pub share: f64,
    /// The same as text, for example `78.2 %`.
    pub label: String,
}

/// One plan, pack or list.
#[derive(Clone, Debug, PartialEq)]
pub struct YieldRow {
    /// What was cut.
    pub name: String,
    /// A few words beside the name; may be empty.
    pub note: String,
    /// The plan.
    pub plan: YieldMark,
    /// Cutting without a plan, for example left to right.
    pub simple: Option<YieldMark>,
    /// What no plan can pass.
    pub bound: Option<YieldMark>,
}

/// Yields to compare.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct YieldBars {
    /// Rows from top to bottom.
    pub rows: Vec<YieldRow>,
}

/// Rows that are drawn; the picture says how many more there are.
const MOST_ROWS: usize = 60;
const BAR: f64 = 14.0;

/// Draws the yield of each plan as a bar from nothing, simple cutting as a diamond, the bound as an
/// upright.
pub fn yield_bars(frame: &Frame, bars: &YieldBars) -> String {
    let real = |row: &&YieldRow| drawable(row.plan.share).is_some();
    let rows: Vec<&YieldRow> = bars.rows.iter().filter(real).take(MOST_ROWS).collect();
    if rows.is_empty() {
        return nothing_to_draw(frame, "no yields");
    }
    let mut sheet = Sheet::new(frame);
    let scale = Scale::new((0.0, 1.0), (1.0, sheet.width() - 2.0));
    let mut top = 0.0;
    for row in &rows {
        top += draw_row(&mut sheet, row, &scale, top);
    }
    let left_out = bars.rows.len() - rows.len();
    top += draw_left_out(&mut sheet, top, left_out, "yields are not drawn");
    top += draw_key(&mut sheet, top, &rows);
    sheet.finish(frame, top + 2.0)
}

/// Draws a row; gives the height it took.
fn draw_row(sheet: &mut Sheet, row: &YieldRow, scale: &Scale, top: f64) -> f64 {
    let room = sheet.width();
    let y = top + draw_heading(sheet, (0.0, top), room, (&row.name, None), &row.note);
    let (start, end) = (scale.at(0.0), scale.at(1.0));
    let ground = Area::new(start, y, end - start, BAR);
    sheet.rect(ground, &Style::filled(PANEL).edged(RULE, 0.8));
    let plan = scale.held(amount(row.plan.share));
    let area = Area::new(start, y + 2.0, plan - start, BAR - 4.0);
    sheet.rect_told(area, &Style::filled(TONES[1]), &row.plan.label);
    let mut labels = vec![(plan, &row.plan.label, true)];
    if let Some((x, mark)) = place(row.bound.as_ref(), scale) {
        draw_bound(sheet, (x, y));
        labels.push((x, &mark.label, false));
    }
    if let Some((x, mark)) = place(row.simple.as_ref(), scale) {
        draw_diamond(sheet, (x, y + BAR / 2.0));
        labels.push((x, &mark.label, false));
    }
    draw_labels(sheet, &labels, y + BAR + 13.0);
    y - top + BAR + 40.0
}

/// The numbers below the bar, the plan's first; one that finds no room goes a line
/// lower or to the left.
fn draw_labels(sheet: &mut Sheet, labels: &[(f64, &String, bool)], y: f64) {
    let mut taken = Taken::default();
    for &(x, label, bold) in labels {
        let place = Words::at(x, y).size(11.0).middle().bold_if(bold);
        let place = if bold { place } else { place.soft() };
        let before = Words {
            x: x - 6.0,
            ..place
        }
        .end();
        let tries = [
            place,
            Words {
                y: y + 12.5,
                ..place
            },
            before,
        ];
        let _ = tries
            .into_iter()
            .any(|place| taken.write(sheet, place, label));
    }
}

fn place<'a>(mark: Option<&'a YieldMark>, scale: &Scale) -> Option<(f64, &'a YieldMark)> {
    let mark = mark?;
    drawable(mark.share).map(|share| (scale.held(share), mark))
}

fn draw_bound(sheet: &mut Sheet, (x, y): (f64, f64)) {
    sheet.segment((x, y - 3.0), (x, y + BAR + 3.0), &Style::line(PAPER, 4.0));
    sheet.segment((x, y - 3.0), (x, y + BAR + 3.0), &Style::line(INK, 2.0));
}

fn draw_diamond(sheet: &mut Sheet, (x, y): (f64, f64)) {
    let data = format!("M{} {}l5 6l-5 6l-5 -6z", Num(x), Num(y - 6.0));
    sheet.path(&data, &Style::filled(PAPER).edged(INK, 1.4));
}

/// Explains bar, diamond and upright as far as they occur; gives the height it took.
fn draw_key(sheet: &mut Sheet, top: f64, rows: &[&YieldRow]) -> f64 {
    let mut signs = vec![(Sign::Plan, "this plan".to_owned())];
    if rows.iter().any(|row| row.simple.is_some()) {
        signs.push((Sign::Simple, "simple cutting".to_owned()));
    }
    if rows.iter().any(|row| row.bound.is_some()) {
        signs.push((Sign::Bound, "no plan can pass this".to_owned()));
    }
    let room = sheet.width() - 1.0;
    sheet.key_of((1.0, top), room, 12.0, &signs, |sheet, area, sign| {
        let middle = (area.x + area.w / 2.0, area.y + area.h / 2.0);
        match sign {
            Sign::Plan => sheet.rect(area, &Style::filled(TONES[1])),
            Sign::Simple => draw_diamond(sheet, middle),
            Sign::Bound => {
                let ends = ((middle.0, area.y - 2.0), (middle.0, area.y + 12.0));
                sheet.segment(ends.0, ends.1, &Style::line(INK, 2.0));
            }
        }
    })
}

/// What the key explains.
#[derive(Clone, Copy)]
enum Sign {
    Plan,
    Simple,
    Bound,
}
