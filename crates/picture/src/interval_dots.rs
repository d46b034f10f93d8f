//! Interval dots: stated values held against measured intervals, each row to its own scale.

use crate::frame::{Frame, nothing_to_draw};
use crate::ink::{Area, Num, Sheet, Style, Words};
use crate::lettering::{self, figure};
use crate::palette::{ACCENT, INK, PAPER, RULE, SOFT, TONES};
use crate::scale::{Scale, drawable};

/// One number that was both stated and measured.
#[derive(Clone, Debug, PartialEq)]
pub struct IntervalRow {
    /// What was measured, for example `cure dwell`.
    pub name: String,
    /// Unit of all numbers of the row, for example `min`.
    pub unit: String,
    /// The value written in the works.
    pub stated: Option<f64>,
    /// Lower and upper limit of the stated value.
    pub tolerance: Option<(f64, f64)>,
    /// Mean of the readings.
    pub measured: f64,
    /// Interval of that mean, low and high.
    pub interval: (f64, f64),
    /// Number of readings.
    pub count: usize,
    /// A few plain words, for example `2.1 min longer than stated`; may be empty.
    pub verdict: String,
    /// Whether the two disagree; drawn with a flag, not by colour alone.
    pub disagrees: bool,
}

/// Stated against measured.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct IntervalDots {
    /// Rows from top to bottom.
    pub rows: Vec<IntervalRow>,
    /// What the interval is, for example `95 % interval of the mean`.
    pub interval_label: String,
}

const ROW: f64 = 66.0;

/// Draws stated mark, tolerance band, measured mean and its interval, row by row.
pub fn interval_dots(frame: &Frame, dots: &IntervalDots) -> String {
    let rows: Vec<Row<'_>> = dots.rows.iter().filter_map(Row::of).collect();
    if rows.is_empty() {
        return nothing_to_draw(frame, "nothing was measured");
    }
    let mut sheet = Sheet::new(frame);
    let mut top = 0.0;
    for row in &rows {
        draw_row(&mut sheet, row, top);
        top += ROW;
    }
    let height = draw_key(&mut sheet, &dots.interval_label, top + 4.0);
    sheet.finish(frame, top + 4.0 + height)
}

/// A row with what can be drawn of it.
struct Row<'a> {
    source: &'a IntervalRow,
    measured: f64,
    interval: (f64, f64),
    stated: Option<f64>,
    tolerance: Option<(f64, f64)>,
}

impl<'a> Row<'a> {
    fn of(row: &'a IntervalRow) -> Option<Self> {
        let measured = drawable(row.measured)?;
        let pair = |(a, b): (f64, f64)| {
            Some((
                drawable(a)?.min(drawable(b)?),
                drawable(a)?.max(drawable(b)?),
            ))
        };
        Some(Self {
            source: row,
            measured,
            interval: pair(row.interval).unwrap_or((measured, measured)),
            stated: row.stated.and_then(drawable),
            tolerance: row.tolerance.and_then(pair),
        })
    }

    /// The scale of the row: everything in it, with air at both ends.
    fn scale(&self, room: (f64, f64)) -> Scale {
        let mut low = self.measured.min(self.interval.0);
        let mut high = self.measured.max(self.interval.1);
        let limits = self.tolerance.map(|(a, b)| [a, b]).into_iter().flatten();
        for value in limits.chain(self.stated) {
            (low, high) = (low.min(value), high.max(value));
        }
        let air = ((high - low) * 0.12)
            .max(low.abs().max(high.abs()) * 0.01)
            .max(1e-6);
        Scale::new((low - air, high + air), room)
    }
}

fn draw_row(sheet: &mut Sheet, row: &Row<'_>, top: f64) {
    let width = sheet.width();
    draw_heading(sheet, row.source, top);
    let scale = row.scale((4.0, width - 4.0));
    let y = top + 32.0;
    if let Some((low, high)) = row.tolerance {
        let (a, b) = (scale.at(low), scale.at(high));
        sheet.rect(Area::new(a, y - 9.0, b - a, 18.0), &Style::filled(TONES[4]));
        for x in [a, b] {
            sheet.segment((x, y - 9.0), (x, y + 9.0), &Style::line(TONES[1], 1.0));
        }
    }
    sheet.segment((4.0, y), (width - 4.0, y), &Style::line(RULE, 1.0));
    let ink = if row.source.disagrees { ACCENT } else { INK };
    let (a, b) = (scale.at(row.interval.0), scale.at(row.interval.1));
    sheet.segment((a, y), (b, y), &Style::line(ink, 4.0));
    sheet.dot(
        (scale.at(row.measured), y),
        5.0,
        &Style::filled(ink).edged(PAPER, 1.5),
    );
    if let Some(stated) = row.stated {
        diamond(sheet, (scale.at(stated), y));
    }
    draw_values(sheet, row, &scale, y + 22.0);
}

/// The stated value: an open diamond, unlike the filled dot of the measured one.
fn diamond(sheet: &mut Sheet, (x, y): (f64, f64)) {
    let data = format!("M{} {}l6 7l-6 7l-6 -7z", Num(x), Num(y - 7.0));
    sheet.path(&data, &Style::filled(PAPER).edged(INK, 1.5));
}

fn draw_heading(sheet: &mut Sheet, row: &IntervalRow, top: f64) {
    let width = sheet.width();
    let x = sheet.words_within(Words::at(0.0, top + 13.0).bold(), &row.name, width * 0.5) + 8.0;
    let count = format!("{} readings", row.count);
    let counted = lettering::width(&count, 10.5, false);
    let verdict = if row.disagrees {
        format!("\u{25b2} {}", row.verdict)
    } else {
        row.verdict.clone()
    };
    let ink = if row.disagrees { ACCENT } else { SOFT };
    let asked = lettering::width(&verdict, 11.0, row.disagrees);
    let mut room = width - x;
    if x + counted + 10.0 + asked <= width {
        sheet.words(Words::at(x, top + 13.0).size(10.5).soft(), &count);
        room -= counted + 10.0;
    }
    let place = Words::at(width, top + 13.0)
        .size(11.0)
        .bold_if(row.disagrees)
        .ink(ink)
        .end();
    sheet.words_within(place, verdict.trim(), room);
}

/// The numbers under the line; the stated one gives way to the measured one.
fn draw_values(sheet: &mut Sheet, row: &Row<'_>, scale: &Scale, y: f64) {
    let width = sheet.width();
    let measured = format!("{} {}", figure(row.measured), row.source.unit);
    let half = lettering::width(&measured, 11.0, true) / 2.0;
    let at = scale.at(row.measured).min(width - half).max(half);
    let ink = if row.source.disagrees { ACCENT } else { INK };
    sheet.words(
        Words::at(at, y).size(11.0).bold().ink(ink).middle(),
        &measured,
    );
    let Some(stated) = row.stated else { return };
    let words = format!("stated {}", figure(stated));
    let own = lettering::width(&words, 10.5, false) / 2.0;
    let wish = scale.at(stated).min(width - own).max(own);
    let apart = half + own + 8.0;
    let near = (wish - at).abs() < apart;
    let left_first = wish <= at && at - apart - own >= 0.0;
    let right_fits = at + apart + own <= width;
    let x = match (near, left_first || !right_fits) {
        (false, _) => wish,
        (true, true) => at - apart,
        (true, false) => at + apart,
    };
    sheet.words(Words::at(x, y).size(10.5).soft().middle(), &words);
}

fn draw_key(sheet: &mut Sheet, interval: &str, top: f64) -> f64 {
    let width = sheet.width();
    let (mut x, mut y) = (0.0, top + 8.0);
    let interval = if interval.is_empty() {
        "interval"
    } else {
        interval
    };
    let measured = format!("measured mean with {interval}");
    for (sample, words) in ["stated", measured.as_str(), "tolerance"]
        .into_iter()
        .enumerate()
    {
        let taken = 28.0 + lettering::width(words, 10.5, false) + 16.0;
        if x > 0.0 && x + taken - 16.0 > width {
            (x, y) = (0.0, y + 20.0);
        }
        match sample {
            0 => diamond(sheet, (x + 10.0, y)),
            1 => {
                sheet.segment((x, y), (x + 22.0, y), &Style::line(INK, 4.0));
                sheet.dot((x + 11.0, y), 5.0, &Style::filled(INK).edged(PAPER, 1.5));
            }
            _ => sheet.rect(
                Area::new(x, y - 6.0, 22.0, 12.0),
                &Style::filled(TONES[4]).edged(TONES[1], 1.0),
            ),
        }
        sheet.words_within(
            Words::at(x + 28.0, y + 3.8).size(10.5).soft(),
            words,
            width - 28.0,
        );
        x += taken;
    }
    y + 12.0 - top
}
