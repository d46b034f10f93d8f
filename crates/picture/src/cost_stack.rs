//! Cost stack: unit cost by element at several quantities.

use crate::frame::{Frame, nothing_to_draw};
use crate::ink::{Area, Num, Sheet, Style, Words};
use crate::lettering::{self, price};
use crate::palette::{ACCENT, INK, PAPER, SOFT, TONES, Token, ink_on};
use crate::scale::{Scale, drawable};

/// The unit cost at one quantity.
#[derive(Clone, Debug, PartialEq)]
pub struct CostColumn {
    /// The quantity as it shall be printed, for example `10,000`.
    pub quantity: String,
    /// Cost of each element, in the order of [`CostStack::elements`]. A negative one is a credit
    /// (recovered value): it hangs below the line and is taken off the total.
    pub parts: Vec<f64>,
    /// Low and high unit cost, drawn as a whisker.
    pub low_high: Option<(f64, f64)>,
}

/// Unit costs to compare.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CostStack {
    /// Elements from the bottom up, for example material, machine, labour.
    pub elements: Vec<String>,
    /// Columns from left to right.
    pub columns: Vec<CostColumn>,
    /// Unit of the cost, for example `EUR each`.
    pub unit: String,
}

const TOP: f64 = 30.0;

/// A column with what can be drawn of it.
struct Stack {
    parts: Vec<f64>,
    plus: f64,
    minus: f64,
    low_high: Option<(f64, f64)>,
}

impl Stack {
    fn of(column: &CostColumn, elements: usize) -> Self {
        let part = |at: usize| {
            column
                .parts
                .get(at)
                .copied()
                .and_then(drawable)
                .unwrap_or(0.0)
        };
        let parts: Vec<f64> = (0..elements).map(part).collect();
        let whisker = column
            .low_high
            .and_then(|(a, b)| Some((drawable(a)?, drawable(b)?)));
        Self {
            plus: parts.iter().filter(|part| **part > 0.0).sum(),
            minus: parts.iter().filter(|part| **part < 0.0).sum(),
            parts,
            low_high: whisker.map(|(a, b)| (a.min(b), a.max(b))),
        }
    }

    fn total(&self) -> f64 {
        self.plus + self.minus
    }

    fn reach(&self) -> f64 {
        self.low_high
            .map_or(self.plus, |(_, high)| high.max(self.plus))
    }
}

/// Draws one stack per quantity with its total, whisker and elements named beside the last stack.
pub fn cost_stack(frame: &Frame, stack: &CostStack) -> String {
    let elements = stack.elements.len();
    let stacks: Vec<Stack> = stack
        .columns
        .iter()
        .map(|column| Stack::of(column, elements))
        .collect();
    let high = stacks.iter().map(Stack::reach).fold(0.0, f64::max);
    let low = stacks.iter().map(|stack| stack.minus).fold(0.0, f64::min);
    if high - low <= 0.0 {
        return nothing_to_draw(frame, "no costs");
    }
    let mut sheet = Sheet::new(frame);
    let bottom = TOP + (sheet.width() * 0.45).clamp(230.0, 310.0);
    let names = stack
        .elements
        .iter()
        .map(|name| lettering::width(name, 11.0, false));
    let most = sheet.width() * 0.32;
    let names = names.fold(0.0, f64::max).clamp(30.0, most) + 26.0;
    let plot = Plot {
        y: Scale::new((low, high * 1.02), (bottom, TOP)),
        step: (sheet.width() - names) / stacks.len() as f64,
        inks: Inks::of(&mut sheet),
    };
    let (base, right) = (plot.y.at(0.0), sheet.width() - names);
    for (at, (column, own)) in stack.columns.iter().zip(&stacks).enumerate() {
        draw_stack(&mut sheet, &plot, stack, own, at);
        let x = (at as f64 + 0.5) * plot.step;
        let place = Words::at(x, bottom + 18.0).middle();
        sheet.words_within(place, &column.quantity, plot.step - 6.0);
    }
    let end = right - plot.step / 2.0 + plot.bar() / 2.0 + 4.0;
    sheet.segment((0.0, base), (end, base), &Style::line(INK, 1.0));
    sheet.words_within(Words::at(0.0, 11.0).size(10.5).soft(), &stack.unit, right);
    if let Some(last) = stacks.last() {
        draw_names(&mut sheet, &plot, stack, last, right);
    }
    let legend = "quantity; whisker: low to high";
    sheet.words(Words::at(0.0, bottom + 36.0).size(10.5).soft(), legend);
    sheet.finish(frame, bottom + 42.0)
}

struct Plot {
    y: Scale,
    step: f64,
    inks: Inks,
}

impl Plot {
    fn bar(&self) -> f64 {
        (self.step * 0.56).min(86.0)
    }
}

/// Fills of the elements: tones, then the same tones with hatching or dots on them.
struct Inks {
    patterns: Vec<String>,
}

impl Inks {
    fn of(sheet: &mut Sheet) -> Self {
        let patterns = vec![
            sheet.hatch("cost-a", TONES[0], TONES[3]),
            sheet.dots("cost-b", INK, TONES[4]),
            sheet.hatch("cost-c", TONES[2], PAPER),
            sheet.dots("cost-d", SOFT, PAPER),
        ];
        Self { patterns }
    }

    /// Fill of an element and the ink that reads on it, when plain enough to write on.
    fn style(&self, element: usize) -> (Style, Option<Token>) {
        let turn = element % (TONES.len() + self.patterns.len());
        let (style, ink) = match TONES.get(turn) {
            Some(tone) => (Style::filled(*tone), Some(ink_on(turn))),
            None => (Style::pattern(&self.patterns[turn - TONES.len()]), None),
        };
        (style.edged(PAPER, 0.75), ink)
    }
}

/// Each part with where it begins and ends: costs upwards from zero, credits downwards.
fn spans(own: &Stack) -> Vec<(usize, f64, f64)> {
    let (mut up, mut down) = (0.0, 0.0);
    let mut out = Vec::new();
    for (element, &part) in own.parts.iter().enumerate() {
        if part == 0.0 {
            continue;
        }
        let from = if part > 0.0 { &mut up } else { &mut down };
        out.push((element, *from, *from + part));
        *from += part;
    }
    out
}

fn draw_stack(sheet: &mut Sheet, plot: &Plot, stack: &CostStack, own: &Stack, at: usize) {
    let middle = (at as f64 + 0.5) * plot.step;
    let bar = plot.bar();
    for (element, from, to) in spans(own) {
        let (a, b) = (plot.y.at(from), plot.y.at(to));
        let area = Area::new(middle - bar / 2.0, a.min(b), bar, (a - b).abs());
        let (style, ink) = plot.inks.style(element);
        let told = format!(
            "{}: {} {}",
            stack.elements[element],
            price(to - from),
            stack.unit
        );
        sheet.rect_told(area, &style, &told);
        if let Some(ink) = ink.filter(|_| area.h >= 15.0) {
            let place = Words::at(middle, area.y + area.h / 2.0 + 3.8)
                .size(10.5)
                .ink(ink)
                .middle();
            sheet.words_within(place, &price(to - from), bar - 4.0);
        }
    }
    if let Some((low, high)) = own.low_high {
        let x = middle + bar / 2.0 + 7.0;
        let (a, b) = (plot.y.held(low), plot.y.held(high));
        let line = Style::line(INK, 1.2);
        sheet.segment((x, a), (x, b), &line);
        for y in [a, b] {
            sheet.segment((x - 3.5, y), (x + 3.5, y), &line);
        }
        let total = plot.y.held(own.total());
        sheet.dot((x, total), 2.8, &Style::filled(ACCENT));
    }
    let place = Words::at(middle, plot.y.at(own.plus.max(0.0)) - 7.0)
        .bold()
        .middle()
        .halo();
    sheet.words_within(place, &price(own.total()), plot.step - 4.0);
}

/// Element names beside the last stack, pushed apart where parts are thin, tied by fine lines.
fn draw_names(sheet: &mut Sheet, plot: &Plot, stack: &CostStack, last: &Stack, right: f64) {
    const LINE: f64 = 14.5;
    let edge = right - plot.step / 2.0 + plot.bar() / 2.0;
    let has_whisker = last.low_high.is_some();
    let mut wanted: Vec<(f64, usize)> = spans(last)
        .into_iter()
        .map(|(element, from, to)| (plot.y.at(f64::midpoint(from, to)), element))
        .collect();
    wanted.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut places: Vec<f64> = wanted.iter().map(|(y, _)| *y).collect();
    for at in 1..places.len() {
        places[at] = places[at].max(places[at - 1] + LINE);
    }
    // What was pushed past the foot is lifted again, as far as the neighbours need.
    let foot = plot.y.at(last.minus.min(0.0)) + 8.0;
    for at in (0..places.len()).rev() {
        let limit = if at + 1 < places.len() {
            places[at + 1] - LINE
        } else {
            foot
        };
        places[at] = places[at].min(limit);
    }
    let x = edge + if has_whisker { 26.0 } else { 14.0 };
    let width = sheet.width();
    for ((y, element), place) in wanted.into_iter().zip(places) {
        let data = format!(
            "M{} {}H{}L{} {}",
            Num(edge + 1.0),
            Num(y),
            Num(edge + 3.0),
            Num(x - 3.0),
            Num(place)
        );
        sheet.path(&data, &Style::line(SOFT, 0.7));
        let words = Words::at(x, place + 4.0).size(11.0);
        sheet.words_within(words, &stack.elements[element], width - x);
    }
}
