//! Verdicts told three times over: by a shape, by words, and last by colour.

use crate::ink::{Area, Num, Sheet, Style, Words};
use crate::lettering;
use crate::palette::{ACCENT, INK, PAPER};

/// A full round with a tick in it: as it should be.
pub(crate) const TICK: bool = true;
/// An open square with a cross in it: not as it should be.
pub(crate) const CROSS: bool = false;

/// Draws the sign of a verdict about a centre, 12 px in each direction.
pub(crate) fn draw_mark(sheet: &mut Sheet, (x, y): (f64, f64), good: bool) {
    if good {
        sheet.dot((x, y), 6.0, &Style::filled(INK));
        let tick = format!("M{} {}l2.2 2.4l4 -4.8", Num(x - 3.0), Num(y + 0.1));
        sheet.path(&tick, &Style::line(PAPER, 1.6));
    } else {
        let area = Area::new(x - 5.5, y - 5.5, 11.0, 11.0);
        sheet.rect(area, &Style::filled(PAPER).edged(ACCENT, 1.6));
        let cross = format!("M{} {}l5 5m0 -5l-5 5", Num(x - 2.5), Num(y - 2.5));
        sheet.path(&cross, &Style::line(ACCENT, 1.6));
    }
}

/// A sign, a name in bold and the verdict behind it, or on lines of its own where there is no room
/// beside; gives the height.
pub(crate) fn draw_verdict(
    sheet: &mut Sheet,
    (left, top): (f64, f64),
    room: f64,
    good: bool,
    (name, verdict): (&str, &str),
) -> f64 {
    draw_mark(sheet, (left + 7.0, top + 8.0), good);
    let x = left + 19.0;
    let room = room - 19.0;
    let ink = if good { INK } else { ACCENT };
    let taken = lettering::width(name, 12.0, true);
    let gap = if name.is_empty() { 0.0 } else { 9.0 };
    let beside = taken + gap + lettering::width(verdict, 11.5, !good) <= room;
    if !name.is_empty() {
        sheet.words_within(Words::at(x, top + 12.0).bold(), name, room);
    }
    let place = Words::at(x, top + 12.0).size(11.5).bold_if(!good).ink(ink);
    if beside {
        let place = Words {
            x: x + taken + gap,
            ..place
        };
        sheet.words(place, verdict);
        return 18.0;
    }
    let (lines, _) = lettering::wrap(verdict, 11.5, !good, room, 3);
    let first = if name.is_empty() { 12.0 } else { 27.0 };
    for (at, line) in lines.iter().enumerate() {
        let y = top + first + 14.0 * at as f64;
        sheet.words_told(Words { y, ..place }, line, verdict);
    }
    first - 8.0 + 14.0 * lines.len() as f64
}
