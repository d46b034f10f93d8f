//! Week strip: utilisation of each station week by week, the number in every cell.

use std::ops::Range;

use crate::frame::{Frame, nothing_to_draw};
use crate::ink::{Area, Sheet, Style, Words};
use crate::lettering;
use crate::palette::{ACCENT, PANEL, PAPER, RULE, TONES, WASH};

/// One station over the weeks.
#[derive(Clone, Debug, PartialEq)]
pub struct WeekRow {
    /// Station or crew.
    pub name: String,
    /// Utilisation per week as a share (1.0 = all hours); `None` when the station is closed.
    pub utilisation: Vec<Option<f64>>,
}

/// Stations by weeks.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WeekStrip {
    /// Heading of each week, for example `W42`.
    pub weeks: Vec<String>,
    /// Rows from top to bottom.
    pub rows: Vec<WeekRow>,
}

const ROW: f64 = 30.0;

/// Draws the grid of weeks; over 100 % is hatched as well as shaded.
pub fn week_strip(frame: &Frame, strip: &WeekStrip) -> String {
    let weeks = strip
        .rows
        .iter()
        .map(|row| row.utilisation.len())
        .max()
        .unwrap_or(0);
    let weeks = weeks.max(strip.weeks.len()).min(104);
    if strip.rows.is_empty() || weeks == 0 {
        return nothing_to_draw(frame, "no weeks");
    }
    let mut sheet = Sheet::new(frame);
    let over = sheet.hatch("over", ACCENT, WASH);
    let longest = strip
        .rows
        .iter()
        .map(|row| lettering::width(&row.name, 12.0, false));
    let most = sheet.width() * if sheet.narrow() { 0.26 } else { 0.24 };
    let names = longest.fold(0.0, f64::max).clamp(40.0, most) + 10.0;
    // Cells keep room for "100"; what does not fit beside goes on further lines of weeks.
    let room = sheet.width() - names;
    let across = ((room / 29.0) as usize).clamp(1, weeks);
    let cell = (room / across as f64).min(72.0);
    let mut top = 0.0;
    let mut first = 0;
    while first < weeks {
        let last = (first + across).min(weeks);
        top = draw_block(&mut sheet, strip, first..last, (names, cell), top, &over);
        first = last;
    }
    let mut samples: Vec<(Style, String)> =
        [(0, "under 50 %"), (1, "50 to 85 %"), (2, "85 to 100 %")]
            .into_iter()
            .map(|(step, words)| (step_style(step, &over), words.to_owned()))
            .collect();
    samples.push((step_style(3, &over), "over 100 %".to_owned()));
    let width = sheet.width();
    let key = sheet.key(0.0, top + 4.0, width, &samples);
    sheet.finish(frame, top + key + 4.0)
}

/// Which of the four shades a share takes.
fn step(share: f64) -> usize {
    match percent_of(share) {
        p if p > 100.0 => 3,
        p if p >= 85.0 => 2,
        p if p >= 50.0 => 1,
        _ => 0,
    }
}

/// The number as printed, so that the shade never contradicts it.
fn percent_of(share: f64) -> f64 {
    (share * 100.0).round().min(9999.0)
}

fn step_style(step: usize, over: &str) -> Style {
    match step {
        0 => Style::filled(PANEL),
        1 => Style::filled(TONES[4]),
        2 => Style::filled(TONES[2]),
        _ => Style::pattern(over),
    }
}

fn draw_block(
    sheet: &mut Sheet,
    strip: &WeekStrip,
    weeks: Range<usize>,
    (names, cell): (f64, f64),
    top: f64,
    over: &str,
) -> f64 {
    for (at, week) in weeks.clone().enumerate() {
        let heading = strip.weeks.get(week).map_or("", String::as_str);
        let place = Words::at(names + (at as f64 + 0.5) * cell, top + 11.0)
            .size(10.5)
            .soft()
            .middle();
        sheet.words_within(place, heading, cell - 2.0);
    }
    let mut y = top + 18.0;
    for row in &strip.rows {
        sheet.words_within(Words::at(0.0, y + 18.0), &row.name, names - 8.0);
        for (at, week) in weeks.clone().enumerate() {
            let area = Area::new(
                names + at as f64 * cell + 1.0,
                y + 1.0,
                cell - 2.0,
                ROW - 2.0,
            );
            let share = row
                .utilisation
                .get(week)
                .copied()
                .flatten()
                .filter(|s| s.is_finite() && *s >= 0.0);
            let heading = strip.weeks.get(week).map_or("", String::as_str);
            draw_cell(
                sheet,
                area,
                share,
                over,
                &format!("{}, {heading}", row.name),
            );
        }
        y += ROW;
    }
    y + 10.0
}

fn draw_cell(sheet: &mut Sheet, area: Area, share: Option<f64>, over: &str, told: &str) {
    let middle = Words::at(area.x + area.w / 2.0, area.y + area.h / 2.0 + 4.0)
        .size(11.0)
        .middle();
    let Some(share) = share else {
        let style = Style::line(RULE, 1.0).dashed("2 3");
        sheet.rect_told(area, &style, &format!("{told}: closed"));
        sheet.words(middle.soft(), "\u{2013}");
        return;
    };
    let step = step(share);
    sheet.rect_told(
        area,
        &step_style(step, over),
        &format!("{told}: {} %", percent_of(share)),
    );
    let words = format!("{}", percent_of(share));
    if step == 3 {
        // A plate of paper keeps the number legible on the hatching.
        let plate = lettering::width(&words, 11.0, true) + 6.0;
        let (x, y) = (area.x + (area.w - plate) / 2.0, area.y + area.h / 2.0 - 7.5);
        sheet.rect(
            Area::new(x, y, plate, 15.0),
            &Style::filled(PAPER).rounded(2.0),
        );
    }
    sheet.words(middle.bold_if(step == 3), &words);
}
