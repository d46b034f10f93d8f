//! Heat history: temperatures along the time, with stages, limits and how much time is to spare.

mod lines;
mod needs;

use crate::chart::{
    Axis, Beside, LimitSide, Plot, Trail, beside, block_teeth, draw_limit, field_height, left_room,
    range,
};
use crate::frame::{Frame, nothing_to_draw};
use crate::ink::{Area, Sheet, Style, Words};
use crate::lettering;
use crate::palette::{ACCENT, INK, PANEL, RULE, SOFT};
use crate::room::{Taken, place_of};
use crate::scale::drawable;
use lines::{HistoryLine, Look};

/// What a line of a heat history shows; each kind has its own way of drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum HeatLineKind {
    /// The air, or the programme that is set.
    Air,
    /// Core of the slowest piece.
    SlowestCore,
    /// Surface of the slowest piece.
    SlowestSurface,
    /// Core of the fastest piece.
    FastestCore,
    /// Surface of the fastest piece.
    FastestSurface,
    /// A measured trace.
    Probe,
    /// A measured trace that does not agree with the others.
    OddProbe,
}

/// One line.
#[derive(Clone, Debug, PartialEq)]
pub struct HeatLine {
    /// What it shows.
    pub kind: HeatLineKind,
    /// Name beside it, for example `thickest panel, core`.
    pub name: String,
    /// Time and temperature; a temperature that is not a number leaves a gap.
    pub points: Vec<(f64, f64)>,
}

/// A stage of the programme.
#[derive(Clone, Debug, PartialEq)]
pub struct HeatStage {
    /// From and to on the time axis.
    pub span: (f64, f64),
    /// For example `ramp`.
    pub name: String,
}

/// A limit of the temperature.
#[derive(Clone, Debug, PartialEq)]
pub struct HeatLimit {
    /// The temperature.
    pub value: f64,
    /// Which side of it is allowed.
    pub side: LimitSide,
    /// What stands after `at least` or `at most`, for example `180 °C for cure`.
    pub label: String,
}

/// What a need asks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum NeedKind {
    /// Enough of it: to be met before the stated time is over.
    Enough,
    /// Not too much of it: not to be reached before the stated time is over.
    NotTooMuch,
}

/// A need, and the time at which it is met (or overdone).
#[derive(Clone, Debug, PartialEq)]
pub struct HeatNeed {
    /// What it asks.
    pub kind: NeedKind,
    /// For example `10 min at 180 °C, slowest piece`.
    pub name: String,
    /// Time at which it is met or overdone, on the time axis and also beyond the stated time; `None`
    /// when that never happens.
    pub at: Option<f64>,
}

/// Temperatures along the time.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct HeatHistory {
    /// The time axis.
    pub time: Axis,
    /// The temperature axis.
    pub temperature: Axis,
    /// Lines; tens of thousands of samples each are thinned without losing a peak.
    pub lines: Vec<HeatLine>,
    /// Stages along the time.
    pub stages: Vec<HeatStage>,
    /// Limits of temperature.
    pub limits: Vec<HeatLimit>,
    /// Needs with the time at which they are met.
    pub needs: Vec<HeatNeed>,
    /// The stated end of the dwell.
    pub stated_end: Option<f64>,
    /// What the stated end is called, for example `stated 18 min`.
    pub stated_label: String,
}

/// Lines that are drawn; the picture says how many more there are.
const MOST_LINES: usize = 40;
const MOST_STAGES: usize = 30;
const MOST_LIMITS: usize = 8;
const RIGHT: f64 = 12.0;
const STRIP: f64 = 18.0;

/// Draws the temperatures, the stages along the time axis, limits with teeth on the side that is not
/// allowed, the stated end, and for each need a bar of the time it takes with the margin in words.
pub fn heat_history(frame: &Frame, history: &HeatHistory) -> String {
    let mut sheet = Sheet::new(frame);
    let Some(plan) = Plan::of(history, &sheet) else {
        return nothing_to_draw(frame, "no temperatures");
    };
    draw_ground(&mut sheet, history, &plan);
    for line in plan.lines.iter().rev() {
        line.draw(&mut sheet);
    }
    let unnamed = write_names(&mut sheet, history, &plan);
    let (strip, overflow) = draw_stages(&mut sheet, &plan);
    let mut top = plan.plot.bottom() + strip;
    top += plan.plot.draw_feet(&mut sheet, &history.time, top);
    top += needs::draw_needs(&mut sheet, top, history, &plan);
    top += draw_overflow(&mut sheet, top + 4.0, &overflow);
    top += lines::draw_key(&mut sheet, top + 6.0, history, &plan, &unnamed);
    sheet.finish(frame, top + 4.0)
}

/// What is drawn, and where.
struct Plan<'a> {
    plot: Plot,
    lines: Vec<HistoryLine<'a>>,
    limits: Vec<&'a HeatLimit>,
    stages: Vec<(f64, f64, &'a str)>,
    stated_end: Option<f64>,
}

impl<'a> Plan<'a> {
    fn of(history: &'a HeatHistory, sheet: &Sheet) -> Option<Self> {
        let drawn: Vec<&HeatLine> = history.lines.iter().take(MOST_LINES).collect();
        let points = || {
            let all = drawn.iter().flat_map(|line| &line.points);
            all.filter_map(|&(x, y)| Some((drawable(x)?, drawable(y)?)))
        };
        let limits: Vec<&HeatLimit> = history
            .limits
            .iter()
            .take(MOST_LIMITS)
            .filter(|limit| drawable(limit.value).is_some())
            .collect();
        let stated_end = history.stated_end.and_then(drawable);
        let stages = stages(history);
        let times = points().map(|p| p.0).chain(stated_end);
        let times = times.chain(stages.iter().flat_map(|stage| [stage.0, stage.1]));
        points().next()?;
        let (low, high) = range(times, 0.0)?;
        // A need met not long after the end is worth showing; one far off is told in words.
        let reach = high + (high - low) * 0.3;
        let met = history.needs.iter().filter_map(|need| need.at);
        let high = met.filter(|at| *at <= reach).fold(high, f64::max);
        let levels = points().map(|p| p.1);
        let levels = levels.chain(limits.iter().filter_map(|limit| drawable(limit.value)));
        let y_range = range(levels, 0.06)?;
        let top = if stated_end.is_some() { 34.0 } else { 20.0 };
        let tall = field_height(sheet.width());
        let left = left_room(&history.temperature, y_range, tall);
        let area = Area::new(left, top, sheet.width() - left - RIGHT, tall);
        let plot = Plot::new(area, (low, high), y_range);
        let lines = drawn
            .into_iter()
            .map(|line| HistoryLine::of(line, &plot))
            .filter(|line| !line.trail.is_empty())
            .collect();
        Some(Self {
            plot,
            lines,
            limits,
            stages,
            stated_end,
        })
    }
}

/// Stages that have a length, in order.
fn stages(history: &HeatHistory) -> Vec<(f64, f64, &str)> {
    let mut stages: Vec<(f64, f64, &str)> = history
        .stages
        .iter()
        .take(MOST_STAGES)
        .filter_map(|stage| {
            let (a, b) = (drawable(stage.span.0)?, drawable(stage.span.1)?);
            (b > a).then_some((a, b, stage.name.as_str()))
        })
        .collect();
    stages.sort_by(|a, b| a.0.total_cmp(&b.0));
    stages
}

/// Bands of the stages, rules, limits and the stated end.
fn draw_ground(sheet: &mut Sheet, history: &HeatHistory, plan: &Plan<'_>) {
    let plot = &plan.plot;
    let area = plot.area;
    for (at, (from, to, _)) in plan.stages.iter().enumerate() {
        if at % 2 == 0 {
            let (a, b) = (plot.x.held(*from), plot.x.held(*to));
            sheet.rect(Area::new(a, area.y, b - a, area.h), &Style::filled(PANEL));
        }
    }
    plot.draw_levels(sheet, &history.temperature, true);
    let place = Words::at(0.0, 11.0).size(crate::chart::SMALL).soft();
    sheet.words_within(place, &history.temperature.heading(), sheet.width());
    sheet.segment(
        (area.x, plot.bottom()),
        (plot.right(), plot.bottom()),
        &Style::line(SOFT, 1.0),
    );
    for limit in &plan.limits {
        let y = plot.y.held(limit.value);
        draw_limit(sheet, (area.x, plot.right()), y, limit.side);
    }
    if let Some(end) = plan.stated_end {
        let x = plot.x.held(end);
        sheet.segment(
            (x, area.y - 5.0),
            (x, plot.bottom()),
            &Style::line(INK, 1.6),
        );
    }
    needs::draw_marks(sheet, history, plan);
}

/// Names beside the lines and limits; gives the indices of lines and limits without one.
fn write_names(sheet: &mut Sheet, history: &HeatHistory, plan: &Plan<'_>) -> Unnamed {
    let plot = &plan.plot;
    let mut words = Taken::default();
    let straight: Vec<Trail> = plan
        .limits
        .iter()
        .map(|limit| across(plot, limit.value))
        .collect();
    let mut taken: Vec<Taken> = plan.lines.iter().map(HistoryLine::taken).collect();
    taken.extend(plan.limits.iter().map(|limit| {
        let mut taken = Taken::default();
        let across = (plot.area.x, plot.right());
        block_teeth(&mut taken, across, plot.y.held(limit.value), limit.side);
        taken
    }));
    if let Some(end) = plan.stated_end {
        let x = plot.x.held(end);
        words.block(Area::new(x - 2.0, plot.area.y, 4.0, plot.area.h));
        write_end(sheet, history, plot, x);
    }
    needs::block_marks(&mut words, history, plan);
    let mut room = Beside {
        area: plot.area,
        lines: &taken,
        words: &mut words,
    };
    let mut unnamed = Unnamed::default();
    for (at, limit) in plan.limits.iter().enumerate() {
        let style = Words::at(0.0, 0.0).size(11.0).ink(ACCENT).halo();
        let own = (plan.lines.len() + at, &straight[at]);
        let named = beside(sheet, &mut room, own, style, &named(limit));
        if !named {
            // The bare number where the whole label does not fit; the key tells the rest.
            let number = history.temperature.stated(limit.value, plot.y_range);
            let short = format!("{} {number}", limit.side.word());
            beside(sheet, &mut room, own, style, &short);
            unnamed.limits.push(at);
        }
    }
    for (at, line) in plan.lines.iter().enumerate() {
        let Look { ink, bold, .. } = line.look;
        let style = Words::at(0.0, 0.0).size(11.0).ink(ink).bold_if(bold).halo();
        let wanted = line.source.kind != HeatLineKind::Probe;
        let name = &line.source.name;
        let named = wanted && beside(sheet, &mut room, (at, &line.trail), style, name);
        unnamed.lines.extend((!named).then_some(at));
    }
    unnamed
}

/// Indices of what the key has to explain.
#[derive(Default)]
struct Unnamed {
    lines: Vec<usize>,
    limits: Vec<usize>,
}

fn named(limit: &HeatLimit) -> String {
    format!("{} {}", limit.side.word(), limit.label.trim())
        .trim_end()
        .to_owned()
}

/// A straight line across the field.
fn across(plot: &Plot, value: f64) -> Trail {
    let y = plot.y.held(value);
    Trail {
        parts: vec![vec![(plot.area.x, y), (plot.right(), y)]],
    }
}

/// The name of the stated end, over its line.
fn write_end(sheet: &mut Sheet, history: &HeatHistory, plot: &Plot, x: f64) {
    let label = if history.stated_label.trim().is_empty() {
        "stated end"
    } else {
        history.stated_label.trim()
    };
    let label = lettering::elide(label, 11.0, true, sheet.width());
    let place = Words::at(x, plot.area.y - 8.0).size(11.0).bold().middle();
    Taken::default().write(sheet, place, &label);
}

/// The strip of stages under the field; gives its height and the stages that are named by a number
/// because their name does not fit.
fn draw_stages<'a>(sheet: &mut Sheet, plan: &Plan<'a>) -> (f64, Vec<(usize, &'a str)>) {
    let mut overflow = Vec::new();
    if plan.stages.is_empty() {
        return (0.0, overflow);
    }
    let plot = &plan.plot;
    let y = plot.bottom();
    let mut taken = Taken::default();
    for (at, &(from, to, name)) in plan.stages.iter().enumerate() {
        let (a, b) = (plot.x.held(from), plot.x.held(to));
        let band = Area::new(a, y, b - a, STRIP);
        let ground = if at % 2 == 0 {
            PANEL
        } else {
            crate::palette::PAPER
        };
        sheet.rect(band, &Style::filled(ground).edged(RULE, 0.8));
        let place = Words::at(a + (b - a) / 2.0, y + 12.8).size(11.0).middle();
        let fits = |words: &str| lettering::width(words, 11.0, false) <= b - a - 4.0;
        let number = (at + 1).to_string();
        let written = name.is_empty() || (fits(name) && taken.write(sheet, place, name));
        if !written {
            if fits(&number) && taken.is_free(place_of(&place, &number)) {
                taken.write(sheet, place, &number);
            }
            overflow.push((at + 1, name));
        }
    }
    (STRIP, overflow)
}

/// Names of the stages that bear a number; gives the height.
fn draw_overflow(sheet: &mut Sheet, top: f64, overflow: &[(usize, &str)]) -> f64 {
    if overflow.is_empty() {
        return 0.0;
    }
    let names: Vec<String> = overflow
        .iter()
        .map(|(number, name)| format!("{number} {name}"))
        .collect();
    let all = format!("Stages: {}", names.join(", "));
    let (lines, cut) = lettering::wrap(&all, 11.0, false, sheet.width(), 4);
    for (at, line) in lines.iter().enumerate() {
        let place = Words::at(0.0, top + 11.0 + 14.0 * at as f64)
            .size(11.0)
            .soft();
        sheet.words_told(place, line, if cut { &all } else { "" });
    }
    6.0 + 14.0 * lines.len() as f64
}
