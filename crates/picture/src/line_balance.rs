//! Line balance: the work of each station stacked task by task against the takt.

use crate::frame::{Frame, nothing_to_draw};
use crate::ink::{Area, Num, Sheet, Style, Words};
use crate::lettering::{self, figure, percent};
use crate::palette::{ACCENT, INK, PAPER, RULE, TONES, WASH};
use crate::scale::{Scale, amount};

/// One station of the line.
#[derive(Clone, Debug, PartialEq)]
pub struct BalanceStation {
    /// Its name.
    pub name: String,
    /// Tasks with their time in seconds, from the bottom up.
    pub tasks: Vec<(String, f64)>,
}

/// A balanced line.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LineBalance {
    /// Time between two pieces the line must keep, in seconds.
    pub takt_s: f64,
    /// Stations in the order of the line.
    pub stations: Vec<BalanceStation>,
}

const TOP: f64 = 26.0;

/// Draws stations with their tasks against the takt line.
pub fn line_balance(frame: &Frame, line: &LineBalance) -> String {
    let total =
        |station: &BalanceStation| station.tasks.iter().map(|task| amount(task.1)).sum::<f64>();
    let takt = amount(line.takt_s);
    let most = line.stations.iter().map(total).fold(takt, f64::max);
    if line.stations.is_empty() || most <= 0.0 {
        return nothing_to_draw(frame, "no station has work");
    }
    let mut sheet = Sheet::new(frame);
    let over = sheet.hatch("over", ACCENT, WASH);
    let bottom = TOP + (sheet.width() * 0.4).clamp(220.0, 300.0);
    // A long line is laid in rows, so that names stay readable.
    let left = 30.0;
    let least = if sheet.narrow() { 62.0 } else { 84.0 };
    let across = (((sheet.width() - left) / least) as usize).clamp(1, line.stations.len());
    let rows = line.stations.len().div_ceil(across);
    let across = line.stations.len().div_ceil(rows);
    let plot = Plot {
        left,
        step: ((sheet.width() - left) / across as f64).min(150.0),
        bottom,
        scale: Scale::new((0.0, most * 1.04), (bottom, TOP)),
        takt,
        over,
    };
    let pitch = bottom + 40.0;
    for (at, stations) in line.stations.chunks(across).enumerate() {
        draw_line(&mut sheet, &plot, stations, at as f64 * pitch);
    }
    let sum: f64 = line.stations.iter().map(total).sum();
    let mut words = format!(
        "{} stations, {} s of work",
        line.stations.len(),
        figure(sum)
    );
    if takt > 0.0 {
        let share = sum / (takt * line.stations.len() as f64);
        words = format!("{words}, {} of the time at takt", percent(share));
    }
    let width = sheet.width();
    let height = rows as f64 * pitch;
    sheet.words_within(
        Words::at(0.0, height + 6.0).size(10.5).soft(),
        &words,
        width,
    );
    sheet.finish(frame, height + 14.0)
}

struct Plot {
    left: f64,
    step: f64,
    bottom: f64,
    scale: Scale,
    takt: f64,
    over: String,
}

fn draw_line(sheet: &mut Sheet, plot: &Plot, stations: &[BalanceStation], down: f64) {
    let right = plot.left + plot.step * stations.len() as f64;
    for tick in plot.scale.ticks(5) {
        let y = plot.scale.at(tick) + down;
        sheet.segment((plot.left, y), (right, y), &Style::line(RULE, 0.7));
        sheet.words(
            Words::at(plot.left - 6.0, y + 3.5).size(10.5).soft().end(),
            &figure(tick),
        );
    }
    let middle = |at: usize| plot.left + (at as f64 + 0.5) * plot.step;
    for (at, station) in stations.iter().enumerate() {
        draw_tasks(sheet, plot, station, middle(at), down);
    }
    let foot = plot.bottom + down;
    sheet.segment((plot.left, foot), (right, foot), &Style::line(INK, 1.0));
    draw_takt(sheet, plot, right, down);
    // Words last, so that no line runs over them.
    for (at, station) in stations.iter().enumerate() {
        draw_task_words(sheet, plot, station, middle(at), down);
        draw_station_words(sheet, plot, station, middle(at), down);
    }
}

fn draw_takt(sheet: &mut Sheet, plot: &Plot, right: f64, down: f64) {
    if plot.takt <= 0.0 {
        return;
    }
    let y = plot.scale.at(plot.takt) + down;
    sheet.segment((plot.left, y), (right, y), &Style::line(PAPER, 4.0));
    sheet.segment((plot.left, y), (right, y), &Style::line(ACCENT, 1.6));
    let words = format!("takt {} s", figure(plot.takt));
    sheet.words(
        Words::at(0.0, down + 11.0).size(11.5).bold().ink(ACCENT),
        &words,
    );
    let lead = format!("M{} {}V{}", Num(plot.left + 0.5), Num(down + 16.0), Num(y));
    sheet.path(&lead, &Style::line(ACCENT, 0.8));
}

/// The tasks of a station that take time, each with its number, name, start and time.
fn tasks(station: &BalanceStation) -> Vec<(usize, &str, f64, f64)> {
    let mut start = 0.0;
    let mut out = Vec::new();
    for (at, (name, task_s)) in station.tasks.iter().enumerate() {
        let task = amount(*task_s);
        if task > 0.0 {
            out.push((at, name.as_str(), start, task));
            start += task;
        }
    }
    out
}

fn task_area(plot: &Plot, start: f64, task: f64, middle: f64, down: f64) -> Area {
    let bar = plot.step * 0.78;
    let (foot, head) = (
        plot.scale.at(start) + down,
        plot.scale.at(start + task) + down,
    );
    Area::new(middle - bar / 2.0, head, bar, foot - head)
}

fn draw_tasks(sheet: &mut Sheet, plot: &Plot, station: &BalanceStation, middle: f64, down: f64) {
    for (at, name, start, task) in tasks(station) {
        let area = task_area(plot, start, task, middle, down);
        let tone = if at % 2 == 0 { TONES[3] } else { TONES[4] };
        let told = format!("{name}: {} s", figure(task));
        sheet.rect_told(area, &Style::filled(tone).edged(PAPER, 1.0), &told);
        draw_over(sheet, plot, area, start + task, down);
    }
}

/// Name and time of each task, on two lines, on one or not at all, as its height allows. Beside
/// the takt line they move to the larger side of it.
fn draw_task_words(
    sheet: &mut Sheet,
    plot: &Plot,
    station: &BalanceStation,
    middle: f64,
    down: f64,
) {
    let takt = if plot.takt > 0.0 {
        plot.scale.at(plot.takt) + down
    } else {
        f64::NEG_INFINITY
    };
    for (_, name, start, task) in tasks(station) {
        let mut area = task_area(plot, start, task, middle, down);
        if takt > area.y && takt < area.y + area.h {
            let (above, below) = (takt - area.y, area.y + area.h - takt);
            area = Area {
                y: if above >= below { area.y } else { takt },
                h: above.max(below),
                ..area
            };
        }
        let place = Words::at(middle, area.y + area.h / 2.0 + 3.6)
            .size(10.5)
            .middle();
        if area.h >= 30.0 {
            sheet.words_within(
                Words {
                    y: place.y - 6.0,
                    ..place
                },
                name,
                area.w - 6.0,
            );
            sheet.words(
                Words {
                    y: place.y + 7.0,
                    ..place
                },
                &figure(task),
            );
        } else if area.h >= 13.0 {
            let time = format!(" {}", figure(task));
            let room = area.w - 6.0 - lettering::width(&time, 10.5, false);
            let words = format!("{}{time}", lettering::elide(name, 10.5, false, room));
            sheet.words(place, words.trim());
        }
    }
}

fn draw_station_words(
    sheet: &mut Sheet,
    plot: &Plot,
    station: &BalanceStation,
    middle: f64,
    down: f64,
) {
    let time: f64 = tasks(station).iter().map(|task| task.3).sum();
    let too_long = plot.takt > 0.0 && time > plot.takt * (1.0 + 1e-9);
    let place = Words::at(middle, plot.scale.at(time) + down - 6.0)
        .size(11.5)
        .bold()
        .middle()
        .halo();
    let words = if too_long {
        format!("{} \u{25b2}", figure(time))
    } else {
        figure(time)
    };
    sheet.words(if too_long { place.ink(ACCENT) } else { place }, &words);
    let (lines, cut) = lettering::wrap(&station.name, 11.0, false, plot.step - 6.0, 2);
    let told = if cut { station.name.as_str() } else { "" };
    for (at, name) in lines.iter().enumerate() {
        let y = plot.bottom + down + 15.0 + at as f64 * 13.0;
        sheet.words_told(Words::at(middle, y).size(11.0).middle(), name, told);
    }
}

/// Hatching at the side of the part of a task that lies beyond the takt.
fn draw_over(sheet: &mut Sheet, plot: &Plot, area: Area, end: f64, down: f64) {
    if plot.takt <= 0.0 || end <= plot.takt {
        return;
    }
    let takt = plot.scale.at(plot.takt) + down;
    let foot = takt.min(area.y + area.h);
    for x in [area.x, area.x + area.w - 7.0] {
        sheet.rect(
            Area::new(x, area.y, 7.0, foot - area.y),
            &Style::pattern(&plot.over),
        );
    }
}
