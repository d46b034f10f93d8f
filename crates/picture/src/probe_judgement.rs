//! Probe judgement: what each probe of a load achieved, held against its limits, pass or hold.

use crate::chart::{Axis, LimitSide, Plot, draw_limit_upright, draw_mark, draw_verdict, range};
use crate::frame::{Frame, nothing_to_draw};
use crate::ink::{Area, Sheet, Style, Words};
use crate::lettering;
use crate::palette::{ACCENT, RULE, SOFT};
use crate::room::Taken;
use crate::scale::drawable;
use crate::stock::draw_left_out;

/// One probe.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ProbeRow {
    /// For example `probe 4, core`.
    pub name: String,
    /// What it achieved; not a number when it gave none.
    pub value: f64,
    /// Whether it passes; the caller judges, the picture shows.
    pub pass: bool,
    /// Why it does not, or what is odd, for example `ran 6 °C low`; may be empty.
    pub reason: String,
}

/// A load judged by its probes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ProbeJudgement {
    /// The measure, for example `equivalent minutes at 180 °C`.
    pub measure: Axis,
    /// Probes from top to bottom.
    pub rows: Vec<ProbeRow>,
    /// Least that is needed.
    pub at_least: Option<f64>,
    /// Most that is allowed.
    pub at_most: Option<f64>,
    /// Whether the load passes.
    pub pass: bool,
    /// Why, for example `probe 4 ran 6 °C low`; may be empty.
    pub reason: String,
}

const MOST: usize = 60;
const SIZE: f64 = 11.5;

/// Draws the judgement of the load in words, then a row for each probe: its sign (full round with a
/// tick: pass; open square with a cross: hold) at what it achieved, between the limits.
pub fn probe_judgement(frame: &Frame, judgement: &ProbeJudgement) -> String {
    if judgement.rows.is_empty() {
        return nothing_to_draw(frame, "no probes");
    }
    let mut sheet = Sheet::new(frame);
    let width = sheet.width();
    let word = if judgement.pass { "pass" } else { "hold" };
    let reason = judgement.reason.trim();
    let mut top = draw_verdict(
        &mut sheet,
        (0.0, 0.0),
        width,
        judgement.pass,
        (word, reason),
    );
    let plan = Plan::of(judgement, &sheet, top + 6.0);
    if let Some(plot) = &plan.plot {
        draw_limits(&mut sheet, judgement, &plan, plot);
    }
    for (at, row) in judgement.rows.iter().take(MOST).enumerate() {
        draw_row(&mut sheet, judgement, &plan, (at, row));
    }
    top = plan.bottom();
    if let Some(plot) = &plan.plot {
        top += plot.draw_feet(&mut sheet, &judgement.measure, top);
    }
    let beyond = judgement.rows.len().saturating_sub(MOST);
    top += draw_left_out(&mut sheet, top + 2.0, beyond, "probes are not drawn");
    sheet.finish(frame, top + 4.0)
}

/// Where everything stands.
struct Plan {
    /// The field of the signs; none when no probe gave a number and there are no limits.
    plot: Option<Plot>,
    top: f64,
    row: f64,
    rows: usize,
    /// Right ends of names and numbers, left end of words.
    names: f64,
    numbers: f64,
    words: f64,
    /// Whether words stand on a line of their own over the track.
    stacked: bool,
}

impl Plan {
    fn of(judgement: &ProbeJudgement, sheet: &Sheet, top: f64) -> Self {
        let rows = judgement.rows.len().min(MOST);
        let used = || judgement.rows.iter().take(MOST);
        let values = used().filter_map(|row| drawable(row.value));
        let limits = [judgement.at_least, judgement.at_most];
        let limits = limits.into_iter().flatten().filter_map(drawable);
        let span = range(values.chain(limits.clone()), 0.1);
        let widest = |words: &dyn Fn(&ProbeRow) -> String| {
            used()
                .map(|row| lettering::width(&words(row), SIZE, true))
                .fold(0.0, f64::max)
        };
        let width = sheet.width();
        let stacked = sheet.narrow();
        let names = (widest(&|row| row.name.trim().to_owned()) + 10.0).min(width * 0.26);
        let words = width - (widest(&words_of) + 2.0).clamp(40.0, width * 0.34);
        let wide = widest(&|row| number_of(row, judgement, span)).min(width * 0.14);
        let numbers = words - 12.0;
        let (left, right) = if stacked {
            (8.0, width - 8.0)
        } else {
            (names, numbers - wide - 10.0)
        };
        let row = if stacked { 42.0 } else { 24.0 };
        // Room over the rows for the words of the limits.
        let top = top
            + if limits.clone().next().is_some() {
                34.0
            } else {
                4.0
            };
        let plot = span.map(|span| {
            let area = Area::new(left, top, right - left, row * rows as f64);
            Plot::new(area, span, (0.0, 1.0))
        });
        Self {
            plot,
            top,
            row,
            rows,
            names,
            numbers,
            words,
            stacked,
        }
    }

    fn bottom(&self) -> f64 {
        self.top + self.row * self.rows as f64
    }

    /// Height of the track of a row.
    fn track(&self, at: usize) -> f64 {
        self.top + self.row * at as f64 + if self.stacked { 28.0 } else { 12.0 }
    }
}

/// What a probe achieved, in words.
fn number_of(row: &ProbeRow, judgement: &ProbeJudgement, span: Option<(f64, f64)>) -> String {
    match (drawable(row.value), span) {
        (Some(value), Some(span)) => judgement.measure.moment(value, span),
        _ => "no number".to_owned(),
    }
}

/// The judgement of a probe in words.
fn words_of(row: &ProbeRow) -> String {
    let word = if row.pass { "pass" } else { "hold" };
    match row.reason.trim() {
        "" => word.to_owned(),
        reason => format!("{word}: {reason}"),
    }
}

/// Both limits upright with teeth on the side that is not allowed, their words over them.
fn draw_limits(sheet: &mut Sheet, judgement: &ProbeJudgement, plan: &Plan, plot: &Plot) {
    let mut taken = Taken::default();
    let both = [
        (judgement.at_least, LimitSide::AtLeast),
        (judgement.at_most, LimitSide::AtMost),
    ];
    for (value, side) in both {
        let Some(value) = value.and_then(drawable) else {
            continue;
        };
        let x = plot.x.held(value);
        if plan.stacked {
            for y in (0..plan.rows).map(|at| plan.track(at)) {
                draw_limit_upright(sheet, x, (y - 11.0, y + 11.0), side);
            }
        } else {
            draw_limit_upright(sheet, x, (plan.top - 4.0, plan.bottom()), side);
        }
        let number = judgement.measure.stated(value, plot.x_range);
        let words = format!("{} {number}", side.word());
        let words = lettering::elide(&words, 11.0, true, sheet.width());
        for y in [plan.top - 9.0, plan.top - 23.0] {
            let place = Words::at(x, y).size(11.0).bold().ink(ACCENT).middle();
            if taken.write(sheet, place, &words) {
                break;
            }
        }
    }
}

fn draw_row(
    sheet: &mut Sheet,
    judgement: &ProbeJudgement,
    plan: &Plan,
    (at, row): (usize, &ProbeRow),
) {
    let y = plan.track(at);
    write_row(sheet, judgement, plan, (at, row));
    let Some(plot) = &plan.plot else { return };
    sheet.segment((plot.area.x, y), (plot.right(), y), &Style::line(RULE, 1.0));
    if let Some(value) = drawable(row.value) {
        draw_mark(sheet, (plot.x.held(value), y), row.pass);
    }
}

/// Name, number and judgement of a probe: in columns beside the track, or over it on a phone.
fn write_row(
    sheet: &mut Sheet,
    judgement: &ProbeJudgement,
    plan: &Plan,
    (at, row): (usize, &ProbeRow),
) {
    let width = sheet.width();
    let ink = if row.pass { SOFT } else { ACCENT };
    let name = row.name.trim();
    let number = number_of(row, judgement, plan.plot.map(|plot| plot.x_range));
    let said = words_of(row);
    let y = plan.track(at);
    if plan.stacked {
        let y = y - 15.0;
        let wide = sheet.words_within(Words::at(0.0, y).size(SIZE), name, width * 0.36);
        let said = format!("{number}, {said}");
        let place = Words::at(width, y).size(SIZE).bold_if(!row.pass).ink(ink);
        sheet.words_within(place.end(), &said, width - wide - 12.0);
        return;
    }
    let y = y + 4.0;
    sheet.words_within(Words::at(0.0, y).size(SIZE), name, plan.names - 8.0);
    let room = plan
        .plot
        .map_or(plan.numbers * 0.5, |plot| plan.numbers - plot.right() - 6.0);
    let place = Words::at(plan.numbers, y).size(SIZE).end();
    sheet.words_within(place, &number, room);
    let place = Words::at(plan.words, y)
        .size(SIZE)
        .bold_if(!row.pass)
        .ink(ink);
    sheet.words_within(place, &said, width - plan.words);
}
