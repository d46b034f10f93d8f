//! Tornado: what drives a figure, each driver moved from its low to its high, the widest on top.

use crate::frame::{Frame, nothing_to_draw};
use crate::ink::{Area, Sheet, Style, Words};
use crate::lettering::{self, price};
use crate::palette::{INK, TONES};
use crate::scale::{Scale, drawable};

/// One driver.
#[derive(Clone, Debug, PartialEq)]
pub struct TornadoBar {
    /// The driver.
    pub name: String,
    /// The driver's low value as printed, for example `88 %`; may be empty.
    pub low_input: String,
    /// The driver's high value as printed; may be empty.
    pub high_input: String,
    /// The figure with the driver at its low value.
    pub low: f64,
    /// The figure with the driver at its high value.
    pub high: f64,
}

/// Drivers of one figure.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tornado {
    /// The figure with every driver at its likely value.
    pub base: f64,
    /// Unit of the figure, for example `EUR each`.
    pub unit: String,
    /// Drivers in any order; the picture sorts by span.
    pub bars: Vec<TornadoBar>,
}

const ROW: f64 = 42.0;
const BAR: f64 = 16.0;
const TOP: f64 = 24.0;

/// Draws the drivers about the base value.
pub fn tornado(frame: &Frame, tornado: &Tornado) -> String {
    let bars = sorted(tornado);
    let Some(base) = drawable(tornado.base).filter(|_| !bars.is_empty()) else {
        return nothing_to_draw(frame, "no driver moves the figure");
    };
    let mut sheet = Sheet::new(frame);
    let ends = bars.iter().flat_map(|bar| [bar.low, bar.high]);
    let (low, high) = ends.fold((base, base), |(low, high), v| (low.min(v), high.max(v)));
    // Room at both sides for the value beside the end of the longest bar.
    let side =
        lettering::width(&price(low), 10.5, false).max(lettering::width(&price(high), 10.5, false))
            + 10.0;
    let scale = Scale::new((low, high), (side, sheet.width() - side));
    let axis = scale.at(base);
    let hatch = sheet.hatch("low", TONES[1], TONES[4]);
    let bottom = TOP + ROW * bars.len() as f64;
    let label = format!("{} {}", price(base), tornado.unit);
    let half = lettering::width(&label, 12.0, true) / 2.0;
    let width = sheet.width();
    let x = axis.min(width - half).max(half);
    sheet.words_within(Words::at(x, 12.0).bold().middle(), &label, width);
    let top = |at: usize| TOP + ROW * at as f64;
    for (at, bar) in bars.iter().enumerate() {
        draw_bar(&mut sheet, &scale, base, bar, top(at) + 17.0, &hatch);
    }
    sheet.segment(
        (axis, TOP - 6.0),
        (axis, bottom - 4.0),
        &Style::line(INK, 1.4),
    );
    // Words last, so that the axis does not run over them.
    for (at, bar) in bars.iter().enumerate() {
        draw_heading(&mut sheet, bar, top(at));
        draw_values(&mut sheet, &scale, bar, top(at) + 29.0);
    }
    let samples = [
        (Style::pattern(&hatch), "driver at its low".to_owned()),
        (Style::filled(TONES[1]), "driver at its high".to_owned()),
    ];
    let key = sheet.key(0.0, bottom + 6.0, width, &samples);
    sheet.finish(frame, bottom + 6.0 + key)
}

/// Bars that can be drawn, the widest first; equal ones by name.
fn sorted(tornado: &Tornado) -> Vec<TornadoBar> {
    let mut bars: Vec<TornadoBar> = tornado
        .bars
        .iter()
        .filter_map(|bar| {
            Some(TornadoBar {
                low: drawable(bar.low)?,
                high: drawable(bar.high)?,
                ..bar.clone()
            })
        })
        .collect();
    let span = |bar: &TornadoBar| (bar.high - bar.low).abs();
    bars.sort_by(|a, b| {
        span(b)
            .total_cmp(&span(a))
            .then_with(|| a.name.cmp(&b.name))
    });
    bars
}

fn draw_bar(sheet: &mut Sheet, scale: &Scale, base: f64, bar: &TornadoBar, y: f64, hatch: &str) {
    let axis = scale.at(base);
    let halves = [
        (bar.low, Style::pattern(hatch)),
        (bar.high, Style::filled(TONES[1])),
    ];
    for (value, style) in halves {
        let end = scale.at(value);
        let area = Area::new(axis.min(end), y, (end - axis).abs(), BAR);
        sheet.rect_told(area, &style, &format!("{}: {}", bar.name, price(value)));
    }
}

fn draw_heading(sheet: &mut Sheet, bar: &TornadoBar, top: f64) {
    let width = sheet.width();
    let place = Words::at(0.0, top + 12.0).halo();
    let x = sheet.words_within(place, &bar.name, width * 0.6) + 10.0;
    let inputs = match (bar.low_input.is_empty(), bar.high_input.is_empty()) {
        (true, true) => String::new(),
        _ => format!("{} to {}", bar.low_input, bar.high_input),
    };
    sheet.words_within(Words { x, ..place }.size(10.5).soft(), &inputs, width - x);
}

/// The two values, outside the ends of the bar; both on one side when both ends lie there.
fn draw_values(sheet: &mut Sheet, scale: &Scale, bar: &TornadoBar, y: f64) {
    let (left, right) = if bar.low <= bar.high {
        (bar.low, bar.high)
    } else {
        (bar.high, bar.low)
    };
    let place = |x: f64| Words::at(x, y).size(10.5).soft().halo();
    sheet.words(place(scale.at(left) - 5.0).end(), &price(left));
    sheet.words(place(scale.at(right) + 5.0), &price(right));
}
