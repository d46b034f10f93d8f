//! Drill pattern: an outline with its holes to scale, and the way of the head through them.

mod outline;

use std::fmt::Write as _;

pub use outline::{OutlineLoop, OutlineStep};

use crate::dimension;
use crate::frame::{Frame, nothing_to_draw};
use crate::ink::{Area, Num, Ruling, Sheet, Style, Words};
use crate::lettering;
use crate::palette::{ACCENT, INK, PANEL, PAPER, SOFT, TONES};
use crate::room::Taken;
use crate::stock::{ScaleBar, draw_left_out, draw_scale_bar};

/// From which side a hole is seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum HoleSide {
    /// Blind, from the face that is drawn.
    Front,
    /// Blind, from the face that lies down; drawn as a hidden line.
    Back,
    /// All the way through.
    Through,
}

/// One hole.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawnHole {
    /// Its centre.
    pub at: (f64, f64),
    /// Its diameter.
    pub diameter: f64,
    /// Index into the tools.
    pub tool: usize,
    /// From which side it is drilled.
    pub side: HoleSide,
    /// Name and size for hover, for example `hole 12, 8 mm`; may be empty.
    pub name: String,
    /// What is wrong with it, for example `6 mm from the edge, 8 needed`; empty when sound.
    pub fault: String,
}

/// Holes in a face. All lengths are in one unit of the caller's choice, x to the right, y upwards.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DrillPattern {
    /// Outer line and the lines of openings.
    pub outline: Vec<OutlineLoop>,
    /// Holes.
    pub holes: Vec<DrawnHole>,
    /// Tools as text, for example `T2, 8 mm brad point`.
    pub tools: Vec<String>,
    /// Indices of holes in the order they are drilled; empty when the way is not to be drawn.
    pub order: Vec<usize>,
    /// Where the head starts.
    pub start: Option<(f64, f64)>,
    /// Where the head parks.
    pub park: Option<(f64, f64)>,
    /// Length of the outline along x as text with the unit.
    pub length_label: String,
    /// Width of the outline along y as text with the unit.
    pub width_label: String,
    /// A known length to measure by.
    pub scale_bar: Option<ScaleBar>,
}

/// Holes that are drawn; the picture says how many more there are.
const MOST_HOLES: usize = 4000;
const MOST_POINTS: usize = 20_000;
/// Faults that are numbered and listed.
const MOST_FAULTS: usize = 12;
/// Holes up to this many all get the number of their turn, when there is room.
const NUMBERED: usize = 40;
const HIGHEST: f64 = 430.0;
/// Room about the pattern for numbers, signs and words at its edge.
const RIM: f64 = 26.0;

/// Draws the outline with its outer measures, the holes by tool and side, the way of the head from
/// start to park, and a numbered sign at each hole with a fault. Holes are to scale, but never so
/// small that they vanish.
pub fn drill_pattern(frame: &Frame, pattern: &DrillPattern) -> String {
    let mut sheet = Sheet::new(frame);
    let Some(plan) = Plan::of(pattern, &sheet) else {
        return nothing_to_draw(frame, "no outline and no holes");
    };
    let fills = fills(&mut sheet);
    draw_outline(&mut sheet, &plan);
    draw_way(&mut sheet, pattern, &plan);
    for hole in &plan.holes {
        draw_hole(&mut sheet, hole, &fills);
    }
    let mut taken = plan.taken();
    let faults: Vec<&PlacedHole<'_>> = plan.faults().collect();
    for (number, hole) in (1..).zip(faults.iter().take(MOST_FAULTS)) {
        draw_fault(&mut sheet, hole, number, &mut taken);
    }
    for hole in faults.iter().skip(MOST_FAULTS) {
        ring(&mut sheet, hole);
    }
    draw_ends(&mut sheet, pattern, &plan, &mut taken);
    write_turns(&mut sheet, pattern, &plan, &mut taken);
    let mut top = draw_measures(&mut sheet, pattern, &plan);
    top += list_faults(&mut sheet, top, &faults);
    let beyond = pattern.holes.len() - plan.holes.len();
    top += draw_left_out(&mut sheet, top, beyond, "holes are not drawn");
    top += draw_key(&mut sheet, top, pattern, &plan, &fills);
    top += draw_scale_bar(&mut sheet, top, pattern.scale_bar.as_ref(), plan.px);
    sheet.finish(frame, top + 2.0)
}

/// A hole on the page.
struct PlacedHole<'a> {
    hole: &'a DrawnHole,
    index: usize,
    at: (f64, f64),
    radius: f64,
}

/// Everything with its place on the page.
struct Plan<'a> {
    px: f64,
    low: (f64, f64),
    high: (f64, f64),
    loops: Vec<Vec<(f64, f64)>>,
    holes: Vec<PlacedHole<'a>>,
    /// Box of the outline on the page; of the holes where there is no outline.
    area: Area,
}

impl<'a> Plan<'a> {
    fn of(pattern: &'a DrillPattern, sheet: &Sheet) -> Option<Self> {
        let loops: Vec<Vec<(f64, f64)>> = pattern.outline.iter().map(outline::points).collect();
        let usable = |hole: &&DrawnHole| near(hole.at) && hole.diameter.is_finite();
        let holes: Vec<(usize, &DrawnHole)> = (0..)
            .zip(&pattern.holes)
            .filter(|(_, hole)| usable(hole))
            .take(MOST_HOLES)
            .collect();
        let mut loops: Vec<Vec<(f64, f64)>> = loops
            .into_iter()
            .map(|points| {
                points
                    .into_iter()
                    .filter(|at| near(*at))
                    .take(MOST_POINTS)
                    .collect()
            })
            .collect();
        loops.retain(|points: &Vec<(f64, f64)>| points.len() > 1);
        let rims = holes.iter().flat_map(|(_, hole)| {
            let r = hole.diameter.clamp(0.0, 1e9) / 2.0;
            [
                (hole.at.0 - r, hole.at.1 - r),
                (hole.at.0 + r, hole.at.1 + r),
            ]
        });
        let body: Vec<(f64, f64)> = loops.iter().flatten().copied().chain(rims).collect();
        let body_box = bounds(body.iter().copied())?;
        let ends = [pattern.start, pattern.park]
            .into_iter()
            .flatten()
            .filter(|at| near(*at));
        let (low, high) = bounds(body.iter().copied().chain(ends))?;
        let right = measure_room(pattern);
        let room = sheet.width() - 2.0 * RIM - right;
        let (wide, tall) = ((high.0 - low.0).max(1e-9), (high.1 - low.1).max(1e-9));
        let px = (room / wide).min(HIGHEST / tall);
        let mut plan = Self {
            px,
            low,
            high,
            loops,
            holes: Vec::new(),
            area: Area::default(),
        };
        let (left, top) = plan.at((body_box.0.0, body_box.1.1));
        let (end, bottom) = plan.at((body_box.1.0, body_box.0.1));
        plan.area = Area::new(left, top, end - left, bottom - top);
        plan.holes = holes
            .into_iter()
            .map(|(index, hole)| PlacedHole {
                hole,
                index,
                at: plan.at(hole.at),
                radius: (hole.diameter.max(0.0) / 2.0 * px).max(1.4),
            })
            .collect();
        Some(plan)
    }

    fn at(&self, (x, y): (f64, f64)) -> (f64, f64) {
        let px = self.px;
        (RIM + (x - self.low.0) * px, RIM + (self.high.1 - y) * px)
    }

    fn bottom(&self) -> f64 {
        RIM + (self.high.1 - self.low.1) * self.px
    }

    fn faults(&self) -> impl Iterator<Item = &PlacedHole<'a>> {
        self.holes
            .iter()
            .filter(|placed| !placed.hole.fault.is_empty())
    }

    /// Holes keep words off themselves.
    fn taken(&self) -> Taken {
        let mut taken = Taken::default();
        for placed in &self.holes {
            let (r, (x, y)) = (placed.radius, placed.at);
            taken.block(Area::new(x - r, y - r, 2.0 * r, 2.0 * r));
        }
        taken
    }

    /// Drawn holes in the order of drilling, with their turn from 1.
    fn turns(&self, pattern: &DrillPattern) -> Vec<(usize, &PlacedHole<'a>)> {
        let mut by_index = vec![None; pattern.holes.len()];
        for placed in &self.holes {
            by_index[placed.index] = Some(placed);
        }
        let turns = (1..).zip(pattern.order.iter().take(MOST_HOLES));
        turns
            .filter_map(|(turn, index)| Some((turn, (*by_index.get(*index)?)?)))
            .collect()
    }
}

fn near((x, y): (f64, f64)) -> bool {
    x.is_finite() && y.is_finite() && x.abs() < 1e9 && y.abs() < 1e9
}

/// Lower left and upper right of all points; `None` without points.
fn bounds(points: impl Iterator<Item = (f64, f64)>) -> Option<((f64, f64), (f64, f64))> {
    points.fold(None, |found, (x, y)| {
        let (low, high) = found.unwrap_or(((x, y), (x, y)));
        Some(((low.0.min(x), low.1.min(y)), (high.0.max(x), high.1.max(y))))
    })
}

/// Room at the right for the measure of the width.
fn measure_room(pattern: &DrillPattern) -> f64 {
    let words = lettering::width(&pattern.width_label, 11.0, false);
    (words + 10.0).min(96.0)
}

/// How holes of a tool are filled; tools beyond the fifth begin again.
fn fills(sheet: &mut Sheet) -> [Style; 5] {
    let ruled = sheet.ruled("ruled", Ruling::Rising, (INK, 1.0), PAPER);
    let crossed = sheet.ruled("crossed", Ruling::Both, (INK, 0.8), PAPER);
    [
        Style::filled(PAPER),
        Style::filled(TONES[1]),
        Style::pattern(&ruled),
        Style::filled(TONES[3]),
        Style::pattern(&crossed),
    ]
}

fn draw_outline(sheet: &mut Sheet, plan: &Plan<'_>) {
    let mut data = String::new();
    for points in &plan.loops {
        for (at, point) in points.iter().enumerate() {
            let (x, y) = plan.at(*point);
            let _ = write!(
                data,
                "{}{} {}",
                if at == 0 { "M" } else { "L" },
                Num(x),
                Num(y)
            );
        }
        data.push('z');
    }
    sheet.path(&data, &Style::filled(PANEL).even_odd().edged(INK, 1.5));
}

/// The way of the head, with arrow heads on some of its legs.
fn draw_way(sheet: &mut Sheet, pattern: &DrillPattern, plan: &Plan<'_>) {
    let turns = plan.turns(pattern);
    if turns.is_empty() {
        return;
    }
    let end = |at: Option<(f64, f64)>| at.filter(|at| near(*at)).map(|at| plan.at(at));
    let mut way: Vec<(f64, f64)> = end(pattern.start).into_iter().collect();
    way.extend(turns.iter().map(|(_, placed)| placed.at));
    way.extend(end(pattern.park));
    let mut data = String::new();
    for (at, (x, y)) in way.iter().enumerate() {
        let _ = write!(
            data,
            "{}{} {}",
            if at == 0 { "M" } else { "L" },
            Num(*x),
            Num(*y)
        );
    }
    sheet.path(&data, &Style::line(SOFT, 1.0));
    let long =
        |pair: &&[(f64, f64)]| libm::hypot(pair[1].0 - pair[0].0, pair[1].1 - pair[0].1) >= 14.0;
    let legs: Vec<&[(f64, f64)]> = way.windows(2).filter(long).collect();
    let every = legs.len().div_ceil(16).max(1);
    for leg in legs.into_iter().step_by(every) {
        draw_leg_head(sheet, leg[0], leg[1]);
    }
}

/// An arrow head in the middle of a leg.
fn draw_leg_head(sheet: &mut Sheet, from: (f64, f64), to: (f64, f64)) {
    let long = libm::hypot(to.0 - from.0, to.1 - from.1).max(1e-9);
    let (dx, dy) = ((to.0 - from.0) / long, (to.1 - from.1) / long);
    let (x, y) = (
        f64::midpoint(from.0, to.0) + dx * 3.5,
        f64::midpoint(from.1, to.1) + dy * 3.5,
    );
    let data = format!(
        "M{} {}L{} {}L{} {}z",
        Num(x),
        Num(y),
        Num(x - 7.0 * dx - 3.0 * dy),
        Num(y - 7.0 * dy + 3.0 * dx),
        Num(x - 7.0 * dx + 3.0 * dy),
        Num(y - 7.0 * dy - 3.0 * dx)
    );
    sheet.path(&data, &Style::filled(SOFT));
}

fn draw_hole(sheet: &mut Sheet, placed: &PlacedHole<'_>, fills: &[Style; 5]) {
    let fill = fills[placed.hole.tool % fills.len()].clone();
    let style = side_style(fill, placed.hole.side, placed.radius);
    sheet.dot_told(placed.at, placed.radius, &style, &placed.hole.name);
    if placed.hole.side == HoleSide::Through && placed.radius >= 3.5 {
        draw_centre_lines(sheet, placed.at, placed.radius);
    }
}

fn side_style(fill: Style, side: HoleSide, radius: f64) -> Style {
    let weight = if radius < 3.0 { 0.7 } else { 1.2 };
    let style = fill.edged(INK, weight);
    if side == HoleSide::Back {
        style.dashed("2.5 1.8")
    } else {
        style
    }
}

/// The centre lines of a drawing, standing out over the hole: it goes through.
fn draw_centre_lines(sheet: &mut Sheet, (x, y): (f64, f64), radius: f64) {
    let reach = radius + 2.5;
    let line = Style::line(INK, 0.8);
    sheet.segment((x - reach, y), (x + reach, y), &line);
    sheet.segment((x, y - reach), (x, y + reach), &line);
}

/// A square about the hole: its shape sets the fault apart, not only its colour.
fn ring(sheet: &mut Sheet, placed: &PlacedHole<'_>) {
    let (r, (x, y)) = (placed.radius + 3.5, placed.at);
    let area = Area::new(x - r, y - r, 2.0 * r, 2.0 * r);
    sheet.rect(area, &Style::line(ACCENT, 1.8));
}

/// The square and a numbered flag beside it.
fn draw_fault(sheet: &mut Sheet, placed: &PlacedHole<'_>, number: usize, taken: &mut Taken) {
    ring(sheet, placed);
    let r = placed.radius + 4.0;
    let flags = [
        (r + 9.0, -r - 5.0),
        (-r - 9.0, -r - 5.0),
        (r + 9.0, r + 5.0),
        (-r - 9.0, r + 5.0),
    ];
    let flag_area = |(dx, dy): (f64, f64)| {
        Area::new(placed.at.0 + dx - 9.0, placed.at.1 + dy - 7.0, 18.0, 14.0)
    };
    let inside = |area: &Area| area.x >= 0.0 && area.x + area.w <= sheet.width() && area.y >= 0.0;
    let found = flags
        .into_iter()
        .map(flag_area)
        .filter(inside)
        .find(|area| taken.is_free(*area));
    // Without a free place the flag covers a neighbour rather than leave a fault unnumbered.
    let area = found.unwrap_or_else(|| flag_area((0.0, -r - 5.0)));
    taken.block(area);
    draw_flag(sheet, area, number);
}

fn draw_flag(sheet: &mut Sheet, area: Area, number: usize) {
    sheet.rect(area, &Style::filled(ACCENT).edged(PAPER, 1.0).rounded(2.0));
    let place = Words::at(area.x + area.w / 2.0, area.y + 10.6)
        .size(10.0)
        .bold();
    sheet.words(place.middle().ink(PAPER), &number.to_string());
}

/// Start as an open square, park as a full one.
fn draw_ends(sheet: &mut Sheet, pattern: &DrillPattern, plan: &Plan<'_>, taken: &mut Taken) {
    let ends = [(pattern.start, PAPER, "start"), (pattern.park, INK, "park")];
    for (at, fill, word) in ends {
        let Some((x, y)) = at.filter(|at| near(*at)).map(|at| plan.at(at)) else {
            continue;
        };
        let area = Area::new(x - 4.5, y - 4.5, 9.0, 9.0);
        sheet.rect(area, &Style::filled(fill).edged(INK, 1.4));
        taken.block(area);
        let place = Words::at(x, y + 17.0).size(11.0).middle().halo();
        if !taken.write(sheet, place, word) {
            taken.write(
                sheet,
                Words {
                    y: y - 9.0,
                    ..place
                },
                word,
            );
        }
    }
}

/// The turn of each hole, or of every so many where there are too many to read.
fn write_turns(sheet: &mut Sheet, pattern: &DrillPattern, plan: &Plan<'_>, taken: &mut Taken) {
    let turns = plan.turns(pattern);
    let every = turns.len().div_ceil(NUMBERED).max(1);
    for (turn, placed) in turns.into_iter().step_by(every) {
        let ((x, y), r) = (placed.at, placed.radius);
        let words = turn.to_string();
        let place = Words::at(x, y).size(9.5).halo();
        let right = Words {
            x: x + r + 4.0,
            y: y + 9.5,
            ..place
        };
        let above = Words {
            y: y - r - 4.0,
            ..place.middle()
        };
        let left = Words {
            x: x - r - 4.0,
            y: y + 9.5,
            ..place.end()
        };
        let below = Words {
            y: y + r + 11.0,
            ..place.middle()
        };
        let _ = [right, above, left, below]
            .into_iter()
            .any(|place| taken.write(sheet, place, &words));
    }
}

/// Outer measures below and to the right of the outline; gives where the words go on.
fn draw_measures(sheet: &mut Sheet, pattern: &DrillPattern, plan: &Plan<'_>) -> f64 {
    let area = plan.area;
    let bottom = plan.bottom() + RIM;
    let (left, right) = (area.x, area.x + area.w);
    let line = Style::line(SOFT, 0.7);
    if !pattern.width_label.is_empty() {
        let x = plan.at(plan.high).0 + RIM;
        for y in [area.y, area.y + area.h] {
            sheet.segment((right + 3.0, y), (x + 4.0, y), &line);
        }
        dimension::upright(sheet, x, (area.y, area.y + area.h), &pattern.width_label);
    }
    if pattern.length_label.is_empty() {
        return bottom + 4.0;
    }
    for x in [left, right] {
        sheet.segment((x, area.y + area.h + 3.0), (x, bottom + 4.0), &line);
    }
    let span = (left, right);
    dimension::across(
        sheet,
        &mut Taken::default(),
        span,
        bottom,
        &pattern.length_label,
    );
    bottom + 24.0
}

/// The faults by number; gives the height it took.
fn list_faults(sheet: &mut Sheet, top: f64, faults: &[&PlacedHole<'_>]) -> f64 {
    let mut y = top;
    let room = sheet.width() - 26.0;
    for (number, placed) in (1..).zip(faults.iter().take(MOST_FAULTS)) {
        draw_flag(sheet, Area::new(1.0, y, 18.0, 14.0), number);
        let name = if placed.hole.name.is_empty() {
            format!("hole {}", placed.index + 1)
        } else {
            placed.hole.name.clone()
        };
        let words = format!("{name}: {}", placed.hole.fault);
        let (lines, _) = lettering::wrap(&words, 11.0, false, room, 3);
        for line in &lines {
            sheet.words_told(Words::at(25.0, y + 11.0).size(11.0), line, &words);
            y += 14.0;
        }
        y += 4.0;
    }
    let beyond = faults.len().saturating_sub(MOST_FAULTS);
    y += draw_left_out(sheet, y, beyond, "faults in squares without a number");
    y - top
}

/// Explains tools and sides; gives the height it took.
fn draw_key(
    sheet: &mut Sheet,
    top: f64,
    pattern: &DrillPattern,
    plan: &Plan<'_>,
    fills: &[Style; 5],
) -> f64 {
    let used = |tool: usize| plan.holes.iter().any(|placed| placed.hole.tool == tool);
    let named = pattern.tools.iter().enumerate().take(24);
    let mut samples: Vec<((usize, HoleSide), String)> = named
        .filter(|(tool, _)| used(*tool))
        .map(|(tool, name)| ((tool, HoleSide::Front), name.clone()))
        .collect();
    let sides = [
        (HoleSide::Back, "from the back"),
        (HoleSide::Through, "through"),
    ];
    for (side, words) in sides {
        if plan.holes.iter().any(|placed| placed.hole.side == side) {
            samples.push(((0, side), words.to_owned()));
        }
    }
    let room = sheet.width() - 1.0;
    sheet.key_of(
        (1.0, top),
        room,
        14.0,
        &samples,
        |sheet, area, &(tool, side)| {
            let centre = (area.x + area.w / 2.0, area.y + area.h / 2.0);
            let fill = fills[tool % fills.len()].clone();
            sheet.dot(centre, 5.0, &side_style(fill, side, 5.0));
            if side == HoleSide::Through {
                draw_centre_lines(sheet, centre, 4.5);
            }
        },
    )
}
