//! Frame strip: a notched strip laid flat with its measures, and the frame it folds into.

use std::fmt::Write as _;

use crate::dimension;
use crate::frame::{Frame, nothing_to_draw};
use crate::ink::{Area, Num, Ruling, Sheet, Style, Words};
use crate::lettering::{self, figure};
use crate::palette::{INK, PANEL, PAPER, SOFT};
use crate::room::Taken;
use crate::scale::amount;
use crate::stock::{draw_left_out, span_within};

/// A V cut out of one edge of the strip, where it folds.
#[derive(Clone, Debug, PartialEq)]
pub struct StripNotch {
    /// Middle of the notch along the strip.
    pub at: f64,
    /// How wide it opens at the edge.
    pub opening: f64,
    /// How deep it goes.
    pub depth: f64,
    /// Its place as text, measured from the left end, for example `612.4 mm`.
    pub label: String,
}

/// A stretch of the strip with its length as text.
#[derive(Clone, Debug, PartialEq)]
pub struct StripDimension {
    /// From and to along the strip.
    pub span: (f64, f64),
    /// Its length as text, for example `597.2 mm`.
    pub label: String,
}

/// The frame after folding.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FoldedFrame {
    /// Outer corners in the order of the notches, x to the right and y upwards.
    pub corners: Vec<(f64, f64)>,
    /// Length of each side as text: the first runs from the first corner to the second. May be
    /// shorter than the corners.
    pub side_labels: Vec<String>,
    /// Where the two ends of the strip meet.
    pub joint: Option<(f64, f64)>,
    /// How far out of square, how wide the corner gap and the like; may be empty.
    pub note: String,
}

/// The strip and its frame. All lengths are in one unit of the caller's choice.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FrameStrip {
    /// Blank length.
    pub length: f64,
    /// Width of the strip; the notches are in the upper edge.
    pub width: f64,
    /// Blank length as text with the unit.
    pub length_label: String,
    /// Notches from left to right; they are numbered, and so are the corners they fold into.
    pub notches: Vec<StripNotch>,
    /// Lengths between folds.
    pub dimensions: Vec<StripDimension>,
    /// The lap at one end, from and to along the strip.
    pub lap: Option<(f64, f64)>,
    /// What it folds into.
    pub folded: Option<FoldedFrame>,
}

/// Notches and measures that are drawn; the picture says how many more there are.
const MOST: usize = 60;
const SIDE: f64 = 12.0;
/// Least height of the strip in pixels; a slender strip is drawn wider than it is and says so.
const LEAST_HEIGHT: f64 = 34.0;

/// Draws the strip flat with notches, their places and the lengths between, and the folded frame:
/// beside it on a page, below it on a phone.
pub fn frame_strip(frame: &Frame, strip: &FrameStrip) -> String {
    if amount(strip.length) <= 0.0 || amount(strip.width) <= 0.0 {
        return nothing_to_draw(frame, "the strip has no size");
    }
    let mut sheet = Sheet::new(frame);
    let beside = !sheet.narrow() && strip.folded.is_some();
    let share = if beside { 0.66 } else { 1.0 };
    let room = sheet.width() * share;
    let mut top = draw_strip(&mut sheet, strip, room);
    if let Some(folded) = &strip.folded {
        let (left, y) = if beside {
            (room + 14.0, 0.0)
        } else {
            (0.0, top + 10.0)
        };
        let wide = sheet.width() - left;
        top = top.max(y + draw_folded(&mut sheet, folded, (left, y), wide));
    }
    sheet.finish(frame, top + 2.0)
}

/// The flat strip on the page.
struct Flat {
    area: Area,
    px: f64,
    px_across: f64,
}

impl Flat {
    fn x(&self, along: f64) -> f64 {
        self.area.x + along * self.px
    }
}

/// Draws the flat strip; gives the height it took.
fn draw_strip(sheet: &mut Sheet, strip: &FrameStrip, room: f64) -> f64 {
    let (length, width) = (amount(strip.length), amount(strip.width));
    let px = (room - 2.0 * SIDE) / length;
    let height = (width * px).clamp(LEAST_HEIGHT, 160.0);
    let flat = Flat {
        area: Area::new(SIDE, 62.0, room - 2.0 * SIDE, height),
        px,
        px_across: height / width,
    };
    sheet.words(Words::at(0.0, 12.0).bold(), "laid flat");
    draw_lap(sheet, strip, &flat);
    draw_edge(sheet, strip, &flat);
    let mut taken = Taken::default();
    for (number, notch) in (1..).zip(notches(strip)) {
        write_notch(sheet, &flat, notch, number, &mut taken);
    }
    let mut y = draw_dimensions(sheet, strip, &flat);
    let stretch = flat.px_across / flat.px;
    let mut remarks = Vec::new();
    if stretch > 1.05 {
        remarks.push(format!("width drawn {} times too large", figure(stretch)));
    }
    if lap_area(strip, &flat).is_some() {
        remarks.push("ruled: the lap".to_owned());
    }
    for remark in remarks {
        let place = Words::at(0.0, y + 11.0).size(11.0).soft();
        sheet.words_within(place, &remark, room);
        y += 16.0;
    }
    let beyond = strip.notches.len().saturating_sub(MOST);
    y + draw_left_out(sheet, y, beyond, "notches are not drawn")
}

/// Notches that lie on the strip, from left to right.
fn notches(strip: &FrameStrip) -> Vec<&StripNotch> {
    let length = amount(strip.length);
    let inside = |notch: &&StripNotch| (0.0..=length).contains(&notch.at);
    let mut found: Vec<&StripNotch> = strip.notches.iter().take(MOST).filter(inside).collect();
    found.sort_by(|a, b| a.at.total_cmp(&b.at));
    found
}

fn lap_area(strip: &FrameStrip, flat: &Flat) -> Option<Area> {
    let (from, to) = span_within(strip.lap?, amount(strip.length))?;
    let (area, wide) = (flat.area, (to - from) * flat.px);
    (wide > 0.0).then(|| Area::new(flat.x(from), area.y, wide, area.h))
}

fn draw_lap(sheet: &mut Sheet, strip: &FrameStrip, flat: &Flat) {
    sheet.rect(flat.area, &Style::filled(PANEL));
    if let Some(area) = lap_area(strip, flat) {
        let ruled = sheet.ruled("lap", Ruling::Rising, (SOFT, 0.9), PAPER);
        sheet.rect(area, &Style::pattern(&ruled).edged(SOFT, 0.8));
    }
}

/// The edge of the strip with the notches cut out of it.
fn draw_edge(sheet: &mut Sheet, strip: &FrameStrip, flat: &Flat) {
    let area = flat.area;
    let (right, bottom) = (area.x + area.w, area.y + area.h);
    let mut edge = format!("M{} {}", Num(area.x), Num(area.y));
    for notch in notches(strip) {
        let half = (amount(notch.opening) / 2.0 * flat.px).max(2.0);
        let x = flat.x(notch.at);
        let (from, to) = ((x - half).max(area.x), (x + half).min(right));
        let deep = (amount(notch.depth) * flat.px_across).clamp(3.0, area.h);
        let cut = format!(
            "M{} {}L{} {}L{} {}z",
            Num(from),
            Num(area.y - 1.5),
            Num(x),
            Num(area.y + deep),
            Num(to),
            Num(area.y - 1.5)
        );
        sheet.path(&cut, &Style::filled(PAPER));
        let _ = write!(
            edge,
            "L{} {}L{} {}L{} {}",
            Num(from),
            Num(area.y),
            Num(x),
            Num(area.y + deep),
            Num(to),
            Num(area.y)
        );
        let fold = Style::line(SOFT, 0.9).dashed("3 2");
        sheet.segment((x, area.y + deep), (x, bottom), &fold);
    }
    let _ = write!(
        edge,
        "L{} {}V{}H{}z",
        Num(right),
        Num(area.y),
        Num(bottom),
        Num(area.x)
    );
    sheet.path(&edge, &Style::line(INK, 1.4));
}

/// Number in a ring above the notch and its place above that, on one of two lines.
fn write_notch(sheet: &mut Sheet, flat: &Flat, notch: &StripNotch, number: u32, taken: &mut Taken) {
    let (x, y) = (flat.x(notch.at), flat.area.y);
    if taken.claim(Area::new(x - 7.5, y - 18.0, 15.0, 15.0)) {
        draw_number(sheet, (x, y - 10.5), number);
    }
    for base in [y - 22.0, y - 34.0] {
        let place = Words::at(x, base).size(10.0).middle();
        if taken.write(sheet, place, &notch.label) {
            return;
        }
    }
}

fn draw_number(sheet: &mut Sheet, (x, y): (f64, f64), number: u32) {
    sheet.dot((x, y), 7.0, &Style::filled(PAPER).edged(INK, 1.0));
    let place = Words::at(x, y + 3.3).size(9.5).bold().middle();
    sheet.words(place, &number.to_string());
}

/// The lengths between folds, and below them the whole length; gives where it ends.
fn draw_dimensions(sheet: &mut Sheet, strip: &FrameStrip, flat: &Flat) -> f64 {
    let area = flat.area;
    let length = amount(strip.length);
    let mut taken = Taken::default();
    let bottom = area.y + area.h;
    let mut y = bottom + 14.0;
    let line = Style::line(SOFT, 0.7);
    for part in strip.dimensions.iter().take(MOST) {
        if let Some((from, to)) = span_within(part.span, length) {
            let span = (flat.x(from), flat.x(to));
            for x in [span.0, span.1] {
                sheet.segment((x, bottom + 2.0), (x, y + 4.0), &line);
            }
            dimension::across(sheet, &mut taken, span, y, &part.label);
        }
    }
    if !strip.dimensions.is_empty() {
        y += 32.0;
    }
    if strip.length_label.is_empty() {
        return y;
    }
    let span = (area.x, area.x + area.w);
    for x in [span.0, span.1] {
        sheet.segment((x, bottom + 2.0), (x, y + 4.0), &line);
    }
    dimension::across(sheet, &mut taken, span, y, &strip.length_label);
    y + 12.0
}

/// Draws the folded frame; gives the height it took.
fn draw_folded(sheet: &mut Sheet, folded: &FoldedFrame, (left, top): (f64, f64), wide: f64) -> f64 {
    sheet.words(Words::at(left, top + 12.0).bold(), "folded");
    let near = |at: &(f64, f64)| at.0.abs() < 1e9 && at.1.abs() < 1e9;
    let corners: Vec<(f64, f64)> = folded
        .corners
        .iter()
        .copied()
        .filter(near)
        .take(MOST)
        .collect();
    let mut height = 20.0;
    if corners.len() >= 3 {
        height += draw_corners(sheet, folded, &corners, (left, top + 20.0), wide);
    }
    let (lines, _) = lettering::wrap(&folded.note, 11.0, false, wide, 4);
    for line in &lines {
        let place = Words::at(left, top + height + 11.0).size(11.0).soft();
        sheet.words_told(place, line, &folded.note);
        height += 15.0;
    }
    height
}

/// The outline with numbered corners, sides with their lengths, and the joint.
fn draw_corners(
    sheet: &mut Sheet,
    folded: &FoldedFrame,
    corners: &[(f64, f64)],
    (left, top): (f64, f64),
    wide: f64,
) -> f64 {
    let fold = |side: fn(&(f64, f64)) -> f64, pick: fn(f64, f64) -> f64| {
        corners.iter().map(side).reduce(pick).unwrap_or(0.0)
    };
    let (low_x, high_x) = (fold(|c| c.0, f64::min), fold(|c| c.0, f64::max));
    let (low_y, high_y) = (fold(|c| c.1, f64::min), fold(|c| c.1, f64::max));
    let rim = 16.0;
    let px =
        ((wide - 2.0 * rim) / (high_x - low_x).max(1e-9)).min(220.0 / (high_y - low_y).max(1e-9));
    let at = |(x, y): (f64, f64)| (left + rim + (x - low_x) * px, top + rim + (high_y - y) * px);
    let points: Vec<(f64, f64)> = corners.iter().map(|corner| at(*corner)).collect();
    let mut data = String::new();
    for (number, (x, y)) in points.iter().enumerate() {
        let _ = write!(
            data,
            "{}{} {}",
            if number == 0 { "M" } else { "L" },
            Num(*x),
            Num(*y)
        );
    }
    data.push('z');
    sheet.path(&data, &Style::line(INK, 4.0));
    sheet.path(&data, &Style::line(PANEL, 1.6));
    let mut taken = Taken::default();
    let centre = at((f64::midpoint(low_x, high_x), f64::midpoint(low_y, high_y)));
    for (number, &point) in (1..).zip(&points) {
        if taken.claim(Area::new(point.0 - 7.5, point.1 - 7.5, 15.0, 15.0)) {
            draw_number(sheet, point, number);
        }
    }
    if let Some(joint) = folded
        .joint
        .filter(|joint| joint.0.abs() < 1e9 && joint.1.abs() < 1e9)
    {
        let held = (joint.0.clamp(low_x, high_x), joint.1.clamp(low_y, high_y));
        draw_joint(sheet, at(held), centre, &mut taken);
    }
    for (side, label) in folded.side_labels.iter().take(points.len()).enumerate() {
        let (a, b) = (points[side], points[(side + 1) % points.len()]);
        write_side(sheet, (a, b), centre, label, &mut taken);
    }
    2.0 * rim + (high_y - low_y) * px
}

/// A stroke across the frame where the ends meet.
fn draw_joint(sheet: &mut Sheet, (x, y): (f64, f64), centre: (f64, f64), taken: &mut Taken) {
    let level = (x - centre.0).abs() > (y - centre.1).abs();
    let (dx, dy) = if level { (7.0, 0.0) } else { (0.0, 7.0) };
    sheet.segment((x - dx, y - dy), (x + dx, y + dy), &Style::line(INK, 2.0));
    let toward = if level { centre.0 - x } else { centre.1 - y };
    let place = if level {
        let place = Words::at(x + toward.signum() * 11.0, y + 4.0).size(10.0);
        if toward > 0.0 { place } else { place.end() }
    } else {
        let down = if toward > 0.0 { 18.0 } else { -11.0 };
        Words::at(x, y + down).size(10.0).middle()
    };
    taken.write(sheet, place.soft(), "joint");
}

/// The length of a side, inside the frame.
fn write_side(
    sheet: &mut Sheet,
    (a, b): ((f64, f64), (f64, f64)),
    centre: (f64, f64),
    label: &str,
    taken: &mut Taken,
) {
    let (x, y) = (f64::midpoint(a.0, b.0), f64::midpoint(a.1, b.1));
    let level = (a.0 - b.0).abs() >= (a.1 - b.1).abs();
    let short = lettering::elide(label, 11.0, false, 90.0);
    let tries = if level {
        let down = if centre.1 > y { 17.0 } else { -9.0 };
        let place = Words::at(x, y + down).size(11.0).middle();
        [
            place,
            Words {
                y: y + down * 2.0,
                ..place
            },
        ]
    } else if centre.0 > x {
        let place = Words::at(x + 8.0, y + 4.0).size(11.0);
        [
            place,
            Words {
                y: y + 19.0,
                ..place
            },
        ]
    } else {
        let place = Words::at(x - 8.0, y + 4.0).size(11.0).end();
        [
            place,
            Words {
                y: y + 19.0,
                ..place
            },
        ]
    };
    let _ = tries
        .into_iter()
        .any(|place| taken.write(sheet, place, &short));
}
