//! Load bars: hours of each station stacked by what takes them, against the hours available.

use crate::frame::{Frame, nothing_to_draw};
use crate::ink::{Area, Num, Sheet, Style, Words};
use crate::lettering::{self, figure, percent};
use crate::palette::{ACCENT, INK, PANEL, PAPER, RULE, SOFT, TONES};
use crate::scale::{Scale, amount};

/// What takes the hours.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum LoadKind {
    /// Making good and bad pieces.
    Run,
    /// Setting up for a lot.
    SetUp,
    /// Changing from one product or attribute to another.
    Changeover,
    /// Changing worn tools.
    ToolChange,
    /// Breakdowns and short stops.
    Stops,
    /// Waiting; drawn blank and not counted as used.
    Idle,
}

/// One station.
#[derive(Clone, Debug, PartialEq)]
pub struct LoadRow {
    /// Station or crew.
    pub name: String,
    /// Hours by kind, drawn in the order given.
    pub parts: Vec<(LoadKind, f64)>,
    /// Hours the calendar gives.
    pub available_hours: f64,
    /// Short remark under the name; may be empty.
    pub note: String,
    /// Whether this row is the one that holds the others back.
    pub bottleneck: bool,
}

/// Stations to compare.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LoadBars {
    /// Rows from top to bottom, in the order given.
    pub rows: Vec<LoadRow>,
}

/// Utilisation from which queues grow fast; drawn as a guide. Waiting grows as u/(1-u) (Kingman
/// 1961), so 85 % already waits 5.7 times the service time for each unit of variability.
const GUIDE: f64 = 0.85;
const ROW: f64 = 46.0;
const BAR: f64 = 18.0;

const KINDS: [(LoadKind, &str); 6] = [
    (LoadKind::Run, "run"),
    (LoadKind::SetUp, "set-up"),
    (LoadKind::Changeover, "changeover"),
    (LoadKind::ToolChange, "tool change"),
    (LoadKind::Stops, "stops"),
    (LoadKind::Idle, "idle"),
];

/// A row with what can be drawn of it.
struct Bar<'a> {
    row: &'a LoadRow,
    parts: Vec<(LoadKind, f64)>,
    available: f64,
    used: f64,
}

impl<'a> Bar<'a> {
    fn of(row: &'a LoadRow) -> Self {
        let drawable = row.parts.iter().map(|&(kind, hours)| (kind, amount(hours)));
        let parts: Vec<(LoadKind, f64)> = drawable.filter(|part| part.1 > 0.0).collect();
        let used = parts
            .iter()
            .filter(|part| part.0 != LoadKind::Idle)
            .map(|part| part.1)
            .sum();
        Self {
            row,
            parts,
            available: amount(row.available_hours),
            used,
        }
    }

    fn utilisation(&self) -> String {
        match (self.available > 0.0, self.used > 0.0) {
            (true, _) => percent(self.used / self.available),
            (false, true) => "closed".to_owned(),
            (false, false) => "\u{2013}".to_owned(),
        }
    }

    fn reach(&self) -> f64 {
        self.parts
            .iter()
            .map(|part| part.1)
            .sum::<f64>()
            .max(self.available)
    }
}

/// Draws hours per station, the hours available, the utilisation and the 85 % guide.
pub fn load_bars(frame: &Frame, bars: &LoadBars) -> String {
    let rows: Vec<Bar<'_>> = bars.rows.iter().map(Bar::of).collect();
    let most = rows.iter().map(Bar::reach).fold(0.0, f64::max);
    if most <= 0.0 {
        return nothing_to_draw(frame, "no station has hours");
    }
    let mut sheet = Sheet::new(frame);
    let inks = Inks::of(&mut sheet);
    let (left, right) = (1.0, sheet.width() - 50.0);
    let scale = Scale::new((0.0, most), (left, right));
    let mut top = 0.0;
    for bar in &rows {
        draw_row(&mut sheet, bar, &scale, &inks, top);
        top += ROW;
    }
    top = draw_axis(&mut sheet, &scale, top);
    top += draw_key(&mut sheet, &rows, &inks, top + 10.0) + 10.0;
    sheet.finish(frame, top)
}

/// Fills of the kinds: tones by lightness, hatching for stops, dots for tool changes.
struct Inks {
    hatch: String,
    dots: String,
}

impl Inks {
    fn of(sheet: &mut Sheet) -> Self {
        Self {
            hatch: sheet.hatch("stops", SOFT, PAPER),
            dots: sheet.dots("tools", INK, TONES[4]),
        }
    }

    fn style(&self, kind: LoadKind) -> Style {
        let style = match kind {
            LoadKind::Run => Style::filled(TONES[0]),
            LoadKind::SetUp => Style::filled(TONES[2]),
            LoadKind::Changeover => Style::filled(TONES[3]),
            LoadKind::ToolChange => Style::pattern(&self.dots),
            LoadKind::Stops => Style::pattern(&self.hatch),
            LoadKind::Idle => return Style::filled(PAPER).edged(RULE, 1.0).dashed("2 2"),
        };
        style.edged(PAPER, 0.75)
    }
}

fn draw_row(sheet: &mut Sheet, bar: &Bar<'_>, scale: &Scale, inks: &Inks, top: f64) {
    draw_heading(sheet, bar.row, top + 13.0);
    let y = top + 19.0;
    draw_parts(sheet, bar, scale, inks, y);
    draw_marks(sheet, bar, scale, y);
    let over = bar.used > bar.available;
    let ink = if over { ACCENT } else { INK };
    let place = Words::at(sheet.width(), y + 13.5).end().bold().ink(ink);
    sheet.words(place, &bar.utilisation());
}

/// Name, bottleneck flag and note on one line.
fn draw_heading(sheet: &mut Sheet, row: &LoadRow, y: f64) {
    let width = sheet.width();
    let flag_room = if row.bottleneck { 84.0 } else { 0.0 };
    let share = if row.note.is_empty() { 1.0 } else { 0.62 };
    let name_room = width * share - flag_room - 8.0;
    let mut x = sheet.words_within(Words::at(0.0, y).bold(), &row.name, name_room) + 10.0;
    if row.bottleneck {
        let flag = format!("M{} {}l8 -4.5v9z", Num(x), Num(y - 4.0));
        sheet.path(&flag, &Style::filled(ACCENT));
        let place = Words::at(x + 12.0, y).size(11.0).bold().ink(ACCENT);
        sheet.words(place, "bottleneck");
        x += flag_room;
    }
    sheet.words_within(Words::at(x, y).size(11.0).soft(), &row.note, width - x);
}

fn draw_parts(sheet: &mut Sheet, bar: &Bar<'_>, scale: &Scale, inks: &Inks, y: f64) {
    let from = scale.at(0.0);
    let ground = Area::new(from, y, scale.at(bar.available) - from, BAR);
    sheet.rect(ground, &Style::filled(PANEL));
    let mut hours = 0.0;
    for &(kind, part) in &bar.parts {
        let (x, end) = (scale.at(hours), scale.at(hours + part));
        let inset = if kind == LoadKind::Idle { 1.0 } else { 0.0 };
        let area = Area::new(x, y + inset, end - x, BAR - 2.0 * inset);
        let told = format!("{}: {} {} h", bar.row.name, word(kind), figure(part));
        sheet.rect_told(area, &inks.style(kind), &told);
        let label = format!("{} h", figure(part));
        if kind == LoadKind::Run && area.w > lettering::width(&label, 10.5, false) + 10.0 {
            let place = Words::at(x + 6.0, y + 12.8).size(10.5).ink(PAPER);
            sheet.words(place, &label);
        }
        hours += part;
    }
}

/// The hours available as a strong upright, 85 % of them as a fine dashed one.
fn draw_marks(sheet: &mut Sheet, bar: &Bar<'_>, scale: &Scale, y: f64) {
    if bar.available <= 0.0 {
        return;
    }
    let guide = scale.at(bar.available * GUIDE);
    sheet.segment(
        (guide, y - 3.0),
        (guide, y + BAR + 3.0),
        &Style::line(PAPER, 3.0),
    );
    sheet.segment(
        (guide, y - 3.0),
        (guide, y + BAR + 3.0),
        &Style::line(ACCENT, 1.2).dashed("3 2"),
    );
    let end = scale.at(bar.available);
    sheet.segment((end, y - 4.0), (end, y + BAR + 4.0), &Style::line(INK, 2.0));
}

fn draw_axis(sheet: &mut Sheet, scale: &Scale, top: f64) -> f64 {
    let y = top + 2.0;
    sheet.segment(
        (scale.at(0.0), y),
        (sheet.width() - 50.0, y),
        &Style::line(RULE, 1.0),
    );
    let wanted = if sheet.narrow() { 4 } else { 7 };
    for tick in scale.ticks(wanted) {
        let x = scale.at(tick);
        sheet.segment((x, y), (x, y + 4.0), &Style::line(RULE, 1.0));
        let place = Words::at(x.max(4.0), y + 15.0).size(10.5).soft();
        sheet.words(
            if tick == 0.0 { place } else { place.middle() },
            &figure(tick),
        );
    }
    sheet.words(
        Words::at(sheet.width(), y + 15.0).size(10.5).soft().end(),
        "hours",
    );
    y + 20.0
}

fn draw_key(sheet: &mut Sheet, rows: &[Bar<'_>], inks: &Inks, top: f64) -> f64 {
    let used = |kind: LoadKind| {
        rows.iter()
            .any(|bar| bar.parts.iter().any(|part| part.0 == kind))
    };
    let samples: Vec<(Style, String)> = KINDS
        .iter()
        .filter(|(kind, _)| used(*kind))
        .map(|(kind, word)| (inks.style(*kind), (*word).to_owned()))
        .collect();
    let width = sheet.width();
    let height = sheet.key(0.0, top, width, &samples);
    let y = top + height;
    sheet.segment((1.0, y - 1.0), (1.0, y + 12.0), &Style::line(INK, 2.0));
    sheet.words(Words::at(8.0, y + 9.0).size(11.0).soft(), "hours available");
    sheet.segment(
        (112.0, y - 1.0),
        (112.0, y + 12.0),
        &Style::line(ACCENT, 1.2).dashed("3 2"),
    );
    sheet.words(
        Words::at(119.0, y + 9.0).size(11.0).soft(),
        "85 % of them: queues grow fast beyond",
    );
    height + 18.0
}

fn word(kind: LoadKind) -> &'static str {
    KINDS
        .iter()
        .find(|(of, _)| *of == kind)
        .map_or("", |(_, word)| word)
}
