//! Load pull-down: a freezer, chiller or oven of finite power at several loads, and which load
//! still reaches its temperature by the deadline.

use crate::chart::{
    Axis, CROSS, LimitSide, Plot, SMALL, TICK, Trail, draw_limit, draw_verdict, left_room, range,
};
use crate::frame::{Frame, nothing_to_draw};
use crate::ink::{Area, Sheet, Style, Words};
use crate::lettering;
use crate::palette::{INK, PAPER, RULE, SOFT};
use crate::scale::drawable;
use crate::stock::draw_left_out;

/// One load.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PullDownLoad {
    /// For example `400 kg`.
    pub name: String,
    /// Its size, to find the largest that makes it.
    pub amount: f64,
    /// Time and temperature of the air in the chamber.
    pub air: Vec<(f64, f64)>,
    /// Time and temperature of the slowest core.
    pub core: Vec<(f64, f64)>,
    /// When the core reaches the target, also beyond the deadline; `None` when it does not in the time shown.
    pub reached: Option<f64>,
}

/// Loads held against a target and a deadline.
#[derive(Clone, Debug, PartialEq)]
pub struct LoadPullDown {
    /// The time axis.
    pub time: Axis,
    /// The temperature axis.
    pub temperature: Axis,
    /// Loads in the order they are drawn.
    pub loads: Vec<PullDownLoad>,
    /// Temperature to reach.
    pub target: f64,
    /// Whether the core has to come up to it (at least) or down to it (at most).
    pub side: LimitSide,
    /// The target as text, for example `−18 °C`.
    pub target_label: String,
    /// Time by which it has to be reached.
    pub deadline: Option<f64>,
    /// The deadline as text, for example `06:00`.
    pub deadline_label: String,
}

impl Default for LoadPullDown {
    fn default() -> Self {
        Self {
            time: Axis::default(),
            temperature: Axis::default(),
            loads: Vec::new(),
            target: f64::NAN,
            side: LimitSide::AtMost,
            target_label: String::new(),
            deadline: None,
            deadline_label: String::new(),
        }
    }
}

const MOST: usize = 12;
const GAP: f64 = 20.0;
/// Room over a field for its heading: name and verdict, each on a line of its own.
const HEAD: f64 = 46.0;
/// Room under a field for the numbers of its axis.
const FEET: f64 = 28.0;

/// Draws a field for each load on the same scales: air broken, core full, the target with teeth, the
/// deadline upright; over it whether the load makes it and by how much. The largest that does is
/// framed.
pub fn load_pull_down(frame: &Frame, loads: &LoadPullDown) -> String {
    let mut sheet = Sheet::new(frame);
    let Some(plan) = Plan::of(loads, &sheet) else {
        return nothing_to_draw(frame, "no loads were worked out");
    };
    let mut bottom = draw_heading(&mut sheet, loads, &plan);
    for (at, load) in plan.loads.iter().enumerate() {
        let plot = plan.field(at, bottom);
        draw_field(&mut sheet, loads, &plan, &plot, (at, load));
    }
    bottom = plan.field(plan.loads.len() - 1, bottom).bottom() + plan.feet + 2.0;
    bottom += draw_key(&mut sheet, bottom + 4.0, loads, &plan) + 4.0;
    let beyond = loads.loads.len().saturating_sub(MOST);
    bottom += draw_left_out(&mut sheet, bottom, beyond, "loads are not drawn");
    sheet.finish(frame, bottom + 2.0)
}

/// What is drawn, and where.
struct Plan<'a> {
    loads: Vec<&'a PullDownLoad>,
    /// Index of the largest load that makes it.
    largest: Option<usize>,
    target: Option<f64>,
    deadline: Option<f64>,
    x_range: (f64, f64),
    y_range: (f64, f64),
    columns: usize,
    left: f64,
    size: (f64, f64),
    feet: f64,
}

impl<'a> Plan<'a> {
    fn of(source: &'a LoadPullDown, sheet: &Sheet) -> Option<Self> {
        let points = |load: &'a PullDownLoad| {
            let all = load.air.iter().chain(&load.core);
            all.filter_map(|&(x, y)| Some((drawable(x)?, drawable(y)?)))
        };
        let loads: Vec<&PullDownLoad> = source
            .loads
            .iter()
            .filter(|load| points(load).next().is_some())
            .take(MOST)
            .collect();
        let (target, deadline) = (drawable(source.target), source.deadline.and_then(drawable));
        let all = || loads.iter().flat_map(|load| points(load));
        all().next()?;
        let x_range = range(all().map(|p| p.0).chain(deadline), 0.0)?;
        let y_range = range(all().map(|p| p.1).chain(target), 0.06)?;
        let most = if sheet.narrow() {
            1
        } else if sheet.width() < 1000.0 {
            2
        } else {
            4
        };
        let columns = loads.len().clamp(1, most);
        let tall = if sheet.narrow() { 130.0 } else { 160.0 };
        let left = left_room(&source.temperature, y_range, tall);
        let gaps = GAP * (columns - 1) as f64;
        let wide = (sheet.width() - left - 10.0 - gaps) / columns as f64;
        let largest = (0..loads.len())
            .filter(|at| makes_it(loads[*at], deadline) && loads[*at].amount.is_finite())
            .max_by(|a, b| loads[*a].amount.total_cmp(&loads[*b].amount));
        let feet = if source.time.heading().is_empty() {
            FEET
        } else {
            38.0
        };
        Some(Self {
            loads,
            largest,
            target,
            deadline,
            x_range,
            y_range,
            columns,
            left,
            size: (wide, tall),
            feet,
        })
    }

    fn field(&self, at: usize, top: f64) -> Plot {
        let (column, row) = (at % self.columns, at / self.columns);
        let (wide, tall) = self.size;
        let x = self.left + column as f64 * (wide + GAP);
        let y = top + HEAD + row as f64 * (HEAD + tall + FEET);
        Plot::new(Area::new(x, y, wide, tall), self.x_range, self.y_range)
    }
}

fn makes_it(load: &PullDownLoad, deadline: Option<f64>) -> bool {
    let reached = load.reached.and_then(drawable);
    reached.is_some_and(|at| deadline.is_none_or(|deadline| at <= deadline))
}

/// Says which load makes it; gives the height.
fn draw_heading(sheet: &mut Sheet, source: &LoadPullDown, plan: &Plan<'_>) -> f64 {
    let target = [source.target_label.trim(), source.deadline_label.trim()]
        .into_iter()
        .filter(|words| !words.is_empty())
        .collect::<Vec<_>>()
        .join(" by ");
    let words = match plan.largest {
        Some(at) => format!("largest load that makes it: {}", plan.loads[at].name.trim()),
        None => "none of these loads makes it".to_owned(),
    };
    let width = sheet.width();
    let high = draw_verdict(
        sheet,
        (0.0, 0.0),
        width,
        plan.largest.is_some(),
        (&target, &words),
    );
    let place = Words::at(0.0, high + 12.0).size(SMALL).soft();
    sheet.words_within(place, &source.temperature.heading(), width);
    high + 16.0
}

/// Whether a load makes it, and by how much.
fn verdict(load: &PullDownLoad, source: &LoadPullDown, plan: &Plan<'_>) -> (bool, String) {
    let range = plan.x_range;
    let Some(at) = load.reached.and_then(drawable) else {
        return (CROSS, "not in the time shown".to_owned());
    };
    let moment = source.time.moment(at, range);
    match plan.deadline {
        None => (TICK, format!("at {moment}")),
        Some(deadline) => {
            let apart = source.time.span(deadline - at, range);
            if at <= deadline {
                (TICK, format!("at {moment}, {apart} to spare"))
            } else {
                (CROSS, format!("only at {moment}, {apart} late"))
            }
        }
    }
}

fn core_style() -> Style {
    Style::line(INK, 2.4)
}

fn air_style() -> Style {
    Style::line(SOFT, 1.4).dashed("5 3")
}

fn draw_field(
    sheet: &mut Sheet,
    source: &LoadPullDown,
    plan: &Plan<'_>,
    plot: &Plot,
    (at, load): (usize, &PullDownLoad),
) {
    let area = plot.area;
    let (good, words) = verdict(load, source, plan);
    crate::chart::draw_mark(sheet, (area.x + 7.0, area.y - 30.0), good);
    let room = area.w - 20.0;
    let place = Words::at(area.x + 20.0, area.y - 26.0).bold();
    sheet.words_within(place, load.name.trim(), room);
    let place = Words::at(area.x + 20.0, area.y - 11.0)
        .size(11.0)
        .bold_if(!good);
    sheet.words_within(place, &words, room);
    plot.draw_levels(sheet, &source.temperature, at.is_multiple_of(plan.columns));
    if let Some(target) = plan.target {
        let y = plot.y.held(target);
        draw_limit(sheet, (area.x, plot.right()), y, source.side);
    }
    if let Some(deadline) = plan.deadline {
        let x = plot.x.held(deadline);
        sheet.segment((x, area.y), (x, plot.bottom()), &Style::line(INK, 1.6));
    }
    let largest = plan.largest == Some(at);
    let edge = if largest {
        Style::line(INK, 2.2)
    } else {
        Style::line(RULE, 1.0)
    };
    sheet.rect(area, &edge);
    let air = Trail::of(&load.air, plot);
    air.draw(sheet, &air_style(), &Style::filled(SOFT));
    Trail::of(&load.core, plot).draw(sheet, &core_style(), &Style::filled(INK));
    let reached = load.reached.and_then(drawable);
    let reached = reached.filter(|at| *at <= plan.x_range.1);
    if let Some(reached) = reached.zip(plan.target) {
        let open = Style::filled(PAPER).edged(INK, 1.8);
        sheet.dot(plot.at(reached), 4.5, &open);
    }
    // The name of the axis once in each column, under its last field.
    let last = at + plan.columns >= plan.loads.len();
    let axis = if last {
        source.time.clone()
    } else {
        source.time.unnamed()
    };
    plot.draw_feet(sheet, &axis, plot.bottom());
}

enum Sample {
    Line(Style),
    Target,
    Deadline,
    Reached,
    Largest,
}

fn draw_key(sheet: &mut Sheet, top: f64, source: &LoadPullDown, plan: &Plan<'_>) -> f64 {
    let mut samples = vec![
        (Sample::Line(core_style()), "slowest core".to_owned()),
        (Sample::Line(air_style()), "air".to_owned()),
    ];
    if plan.target.is_some() {
        let words = format!("{} {}", source.side.word(), source.target_label.trim());
        samples.push((Sample::Target, words.trim_end().to_owned()));
        samples.push((Sample::Reached, "target reached".to_owned()));
    }
    if plan.deadline.is_some() {
        let words = format!("deadline {}", source.deadline_label.trim());
        samples.push((Sample::Deadline, words.trim_end().to_owned()));
    }
    if plan.largest.is_some() && plan.loads.len() > 1 {
        let words = "largest load that makes it".to_owned();
        samples.push((Sample::Largest, words));
    }
    let width = sheet.width();
    let wide = 26.0;
    for (_, words) in &mut samples {
        *words = lettering::elide(words, 11.0, false, width - wide - 6.0);
    }
    sheet.key_of((0.0, top), width, wide, &samples, |sheet, area, sample| {
        let (x, y) = (area.x + area.w / 2.0, area.y + 5.0);
        match sample {
            Sample::Line(style) => sheet.segment((area.x, y), (area.x + area.w, y), style),
            Sample::Largest => sheet.rect(area, &Style::line(INK, 2.2)),
            Sample::Target => draw_limit(sheet, (area.x, area.x + area.w), y, source.side),
            Sample::Deadline => {
                sheet.segment((x, y - 6.0), (x, y + 6.0), &Style::line(INK, 1.6));
            }
            Sample::Reached => sheet.dot((x, y), 4.5, &Style::filled(PAPER).edged(INK, 1.8)),
        }
    })
}
