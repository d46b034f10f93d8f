//! Certainty curve: how the odds of filling the order rise with the quantity started.

use std::fmt::Write as _;

use crate::frame::{Frame, nothing_to_draw};
use crate::ink::{Area, Num, Sheet, Style, Words};
use crate::lettering::{self, figure, percent};
use crate::palette::{ACCENT, INK, PAPER, RULE, SOFT, Token};
use crate::scale::{Scale, drawable};

/// A point of the curve worth naming.
#[derive(Clone, Debug, PartialEq)]
pub struct CertaintyMark {
    /// Quantity started.
    pub quantity: f64,
    /// Odds of filling the order, 0..=1.
    pub odds: f64,
    /// Words beside the point, for example `promised`; quantity and odds are printed by the picture.
    pub label: String,
}

/// Start quantity against odds.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CertaintyCurve {
    /// Quantity started and odds of filling the order (0..=1), in any order.
    pub points: Vec<(f64, f64)>,
    /// Points to mark, such as 50 % and the promised certainty.
    pub marks: Vec<CertaintyMark>,
    /// Quantity that comes from dividing by the mean yield, without thought of chance.
    pub naive: Option<f64>,
    /// What is counted, for example `planks to start`.
    pub quantity_label: String,
}

const TOP: f64 = 14.0;
const LEFT: f64 = 44.0;

/// Draws the curve with drop lines at its marks and a mark at the naive quantity.
pub fn certainty_curve(frame: &Frame, curve: &CertaintyCurve) -> String {
    let points = drawable_points(curve);
    let Some(((first, _), (last, _))) = points.first().copied().zip(points.last().copied()) else {
        return nothing_to_draw(frame, "no odds were worked out");
    };
    let marks: Vec<&CertaintyMark> = curve
        .marks
        .iter()
        .filter(|mark| drawable(mark.quantity).is_some() && mark.odds.is_finite())
        .collect();
    let naive = curve.naive.and_then(drawable);
    let others = marks.iter().map(|mark| mark.quantity).chain(naive);
    let (low, high) = others.fold((first, last), |(low, high), q| (low.min(q), high.max(q)));
    let mut sheet = Sheet::new(frame);
    let bottom = TOP + (sheet.width() * 0.42).clamp(190.0, 300.0);
    let plot = Plot {
        x: Scale::new((low, high), (LEFT, sheet.width() - 14.0)),
        y: Scale::new((0.0, 1.0), (bottom, TOP)),
        bottom,
    };
    draw_grid(&mut sheet, &plot);
    if let Some(naive) = naive {
        draw_naive(&mut sheet, &plot, naive, &marks);
    }
    draw_curve(&mut sheet, &plot, &points);
    draw_marks(&mut sheet, &plot, &marks);
    let height = draw_quantities(&mut sheet, curve, &plot, &marks, naive);
    sheet.finish(frame, height)
}

struct Plot {
    x: Scale,
    y: Scale,
    bottom: f64,
}

/// Finite points in the order of their quantity, odds kept within 0..=1.
fn drawable_points(curve: &CertaintyCurve) -> Vec<(f64, f64)> {
    let mut points: Vec<(f64, f64)> = curve
        .points
        .iter()
        .filter(|(_, odds)| odds.is_finite())
        .filter_map(|&(quantity, odds)| Some((drawable(quantity)?, odds.clamp(0.0, 1.0))))
        .collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    points
}

fn draw_grid(sheet: &mut Sheet, plot: &Plot) {
    let right = sheet.width() - 14.0;
    for odds in [0.0, 0.25, 0.5, 0.75, 1.0] {
        let y = plot.y.at(odds);
        sheet.segment(
            (LEFT, y),
            (right, y),
            &Style::line(RULE, if odds == 0.0 { 1.2 } else { 0.7 }),
        );
        sheet.words(
            Words::at(LEFT - 8.0, y + 3.5).size(10.5).soft().end(),
            &percent(odds),
        );
    }
}

fn draw_curve(sheet: &mut Sheet, plot: &Plot, points: &[(f64, f64)]) {
    let mut data = String::new();
    for (at, &(quantity, odds)) in points.iter().enumerate() {
        let pen = if at == 0 { 'M' } else { 'L' };
        let _ = write!(
            data,
            "{pen}{} {}",
            Num(plot.x.at(quantity)),
            Num(plot.y.at(odds))
        );
    }
    sheet.path(&data, &Style::line(INK, 2.0));
    if let [only] = points {
        sheet.dot(
            (plot.x.at(only.0), plot.y.at(only.1)),
            3.0,
            &Style::filled(INK),
        );
    }
}

/// The quantity of plain division: a dotted line over the whole height and its name at a height
/// that no drop line crosses.
fn draw_naive(sheet: &mut Sheet, plot: &Plot, naive: f64, marks: &[&CertaintyMark]) {
    let x = plot.x.at(naive);
    sheet.segment(
        (x, TOP),
        (x, plot.bottom + 5.0),
        &Style::line(SOFT, 1.2).dashed("2 3"),
    );
    let words = if sheet.narrow() {
        "mean yield only"
    } else {
        "by the mean yield alone"
    };
    let taken = lettering::width(words, 10.5, false);
    let clear = |odds: &f64| marks.iter().all(|mark| (mark.odds - odds).abs() > 0.05);
    let height = [0.87, 0.81, 0.93, 0.68, 0.62]
        .into_iter()
        .find(clear)
        .unwrap_or(0.87);
    let place = Words::at(x - 6.0, plot.y.at(height) + 4.0)
        .size(10.5)
        .soft()
        .halo();
    let right = sheet.width();
    if x - taken - 6.0 > LEFT {
        sheet.words(place.end(), words);
    } else {
        sheet.words_within(
            Words {
                x: x + 6.0,
                ..place
            },
            words,
            right - x - 8.0,
        );
    }
}

/// The ink of a mark: the accent for the most certain one.
fn mark_ink(mark: &CertaintyMark, marks: &[&CertaintyMark]) -> Token {
    let surest = marks.iter().all(|other| other.odds <= mark.odds);
    if surest { ACCENT } else { INK }
}

/// Drop lines and dots first, then labels, so that no line runs over a label.
fn draw_marks(sheet: &mut Sheet, plot: &Plot, marks: &[&CertaintyMark]) {
    let at = |mark: &CertaintyMark| {
        (
            plot.x.at(mark.quantity),
            plot.y.at(mark.odds.clamp(0.0, 1.0)),
        )
    };
    for mark in marks {
        let ((x, y), ink) = (at(mark), mark_ink(mark, marks));
        sheet.segment((LEFT, y), (x, y), &Style::line(ink, 1.0).dashed("4 3"));
        sheet.segment(
            (x, y),
            (x, plot.bottom + 5.0),
            &Style::line(ink, 1.0).dashed("4 3"),
        );
        sheet.dot((x, y), 4.0, &Style::filled(ink).edged(PAPER, 1.5));
    }
    let mut taken: Vec<Area> = Vec::new();
    for mark in marks {
        let ((x, y), ink) = (at(mark), mark_ink(mark, marks));
        let words = format!(
            "{} {}",
            percent(mark.odds.clamp(0.0, 1.0)),
            mark.label.trim()
        );
        let room = lettering::width(words.trim(), 11.5, true).min(150.0);
        // The curve rises from left to right, so there is room on the right and below it.
        let fits = x + 10.0 + room <= sheet.width();
        let left = if fits {
            x + 9.0
        } else {
            sheet.width() - room - 2.0
        };
        let mut area = Area::new(left, y + if fits { 6.0 } else { 12.0 }, room, 14.0);
        while taken.iter().any(|other| clash(*other, area)) {
            area.y += 15.0;
        }
        taken.push(area);
        let place = Words::at(area.x, area.y + 11.0)
            .size(11.5)
            .bold()
            .ink(ink)
            .halo();
        sheet.words_within(place, words.trim(), room + 1.0);
    }
}

fn clash(a: Area, b: Area) -> bool {
    a.x < b.x + b.w && b.x < a.x + a.w && a.y < b.y + b.h && b.y < a.y + a.h
}

/// The quantities under the axis: those of the marks and the naive one, on as many lines as they
/// need, then round ones on a line of their own. Gives the height of the picture.
fn draw_quantities(
    sheet: &mut Sheet,
    curve: &CertaintyCurve,
    plot: &Plot,
    marks: &[&CertaintyMark],
    naive: Option<f64>,
) -> f64 {
    let mut named: Vec<(f64, Token)> = naive.map(|quantity| (quantity, SOFT)).into_iter().collect();
    named.extend(
        marks
            .iter()
            .map(|mark| (mark.quantity, mark_ink(mark, marks))),
    );
    let rows = draw_named(sheet, plot, &named);
    let y = plot.bottom + rows as f64 * 14.0 + 18.0;
    draw_ticks(sheet, plot, y);
    let width = sheet.width();
    let place = Words::at(width - 14.0, y + 16.0).size(10.5).soft().end();
    sheet.words_within(place, &curve.quantity_label, width - 60.0);
    y + 22.0
}

/// Named quantities, each on the first line where it touches no other; gives the number of lines.
fn draw_named(sheet: &mut Sheet, plot: &Plot, named: &[(f64, Token)]) -> usize {
    let width = sheet.width();
    let mut taken: Vec<(usize, f64, f64)> = Vec::new();
    for &(quantity, ink) in named {
        let words = figure(quantity);
        let half = lettering::width(&words, 11.5, true) / 2.0;
        let x = plot.x.at(quantity).min(width - half).max(half);
        let (from, to) = (x - half - 4.0, x + half + 4.0);
        let clash = |row| {
            taken
                .iter()
                .any(|&(r, f, t)| r == row && f < to && from < t)
        };
        let row = (0..named.len())
            .find(|row| !clash(*row))
            .unwrap_or(named.len());
        taken.push((row, from, to));
        let place = Words::at(x, plot.bottom + 18.0 + row as f64 * 14.0);
        sheet.words(place.size(11.5).bold().ink(ink).middle().halo(), &words);
    }
    taken.iter().map(|taken| taken.0 + 1).max().unwrap_or(0)
}

fn draw_ticks(sheet: &mut Sheet, plot: &Plot, y: f64) {
    let width = sheet.width();
    for tick in plot.x.ticks(if sheet.narrow() { 4 } else { 6 }) {
        let x = plot.x.at(tick);
        let foot = (x, plot.bottom + 4.0);
        sheet.segment((x, plot.bottom), foot, &Style::line(RULE, 1.0));
        let half = lettering::width(&figure(tick), 10.5, false) / 2.0;
        let place = Words::at(x.min(width - half).max(half), y)
            .size(10.5)
            .soft();
        sheet.words(place.middle(), &figure(tick));
    }
}
