//! Dimension lines as on a workshop drawing: two slender heads and the measure between.

use crate::ink::{Num, Sheet, Style, Words};
use crate::lettering;
use crate::palette::{INK, SOFT};
use crate::room::Taken;

const SIZE: f64 = 11.0;

/// A dimension line from left to right with its measure in the line, or below it where it does not
/// fit between the heads.
pub(crate) fn across(
    sheet: &mut Sheet,
    taken: &mut Taken,
    (from, to): (f64, f64),
    y: f64,
    words: &str,
) {
    let (from, to) = (from.min(to), from.max(to));
    let middle = f64::midpoint(from, to);
    let gap = lettering::width(words, SIZE, false) / 2.0 + 4.0;
    let line = Style::line(SOFT, 0.9);
    let place = Words::at(middle, y + 4.0).size(SIZE).middle();
    if middle - gap > from + 10.0 && taken.write(sheet, place, words) {
        sheet.segment((from, y), (middle - gap, y), &line);
        sheet.segment((middle + gap, y), (to, y), &line);
    } else {
        sheet.segment((from, y), (to, y), &line);
        let lower = Words::at(middle, y + 15.0).size(SIZE).middle();
        taken.write(sheet, lower, words);
    }
    let reach = ((to - from) / 2.0).min(7.0);
    head(sheet, (from, y), (reach, 0.0));
    head(sheet, (to, y), (-reach, 0.0));
}

/// A dimension line from low to high with its measure across the middle.
pub(crate) fn upright(sheet: &mut Sheet, x: f64, (from, to): (f64, f64), words: &str) {
    let (from, to) = (from.min(to), from.max(to));
    let middle = f64::midpoint(from, to);
    let line = Style::line(SOFT, 0.9);
    if to - from > 36.0 {
        sheet.segment((x, from), (x, middle - 9.0), &line);
        sheet.segment((x, middle + 9.0), (x, to), &line);
        let room = sheet.width() - x + lettering::width(words, SIZE, false);
        sheet.words_within(Words::at(x - 4.0, middle + 4.0).size(SIZE), words, room);
    } else {
        sheet.segment((x, from), (x, to), &line);
        let room = sheet.width() - x - 6.0;
        sheet.words_within(Words::at(x + 6.0, middle + 4.0).size(SIZE), words, room);
    }
    let reach = ((to - from) / 2.0).min(7.0);
    head(sheet, (x, from), (0.0, reach));
    head(sheet, (x, to), (0.0, -reach));
}

/// A slender head whose point is at a place and whose tail lies at an offset from it.
fn head(sheet: &mut Sheet, (x, y): (f64, f64), (dx, dy): (f64, f64)) {
    let (wide, high) = (dy * 0.3, dx * 0.3);
    let data = format!(
        "M{} {}L{} {}L{} {}z",
        Num(x),
        Num(y),
        Num(x + dx + wide),
        Num(y + dy + high),
        Num(x + dx - wide),
        Num(y + dy - high)
    );
    sheet.path(&data, &Style::filled(INK));
}
