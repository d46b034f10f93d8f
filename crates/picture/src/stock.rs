//! What the pictures of cutting plans share: what becomes of a piece of stock, letters of the
//! parts and their key, headings, and the scale bar.
//!
//! Waste is crossed out as a joiner marks it, what is kept is dotted, parts carry their letter.

use crate::ink::{Area, Num, Sheet, Style, Words};
use crate::lettering::{self, figure};
use crate::palette::{INK, PANEL, PAPER, SOFT, TONES, Token};
use crate::room::Taken;
use crate::scale::amount;

/// What becomes of a piece of stock.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PieceKind {
    /// A part of the cutting list.
    Part,
    /// A left-over long or large enough to go back to the rack.
    Kept,
    /// A left-over for the bin, the boiler or the chipper.
    Waste,
    /// Taken off an end or an edge before the cutting begins.
    Trim,
}

/// A known length drawn under a picture, so that lengths can be measured off it.
#[derive(Clone, Debug, PartialEq)]
pub struct ScaleBar {
    /// Its length in the unit of the picture.
    pub length: f64,
    /// Its length as text with the unit, for example `500 mm`.
    pub label: String,
}

/// Grounds of the parts, given in turn so that neighbours differ; the letter says which it is.
const GROUNDS: [Token; 3] = [TONES[4], TONES[3], TONES[2]];
/// Parts the key explains; a list longer than this is read elsewhere.
const MOST_IN_KEY: usize = 36;

/// A piece as far as its look goes.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Look<'a> {
    pub(crate) kind: PieceKind,
    pub(crate) letter: &'a str,
    pub(crate) label: &'a str,
}

impl Look<'_> {
    /// All there is to say about the piece.
    pub(crate) fn told(&self) -> String {
        let word = match self.kind {
            PieceKind::Part => "",
            other => word(other),
        };
        [word, self.letter, self.label]
            .into_iter()
            .filter(|part| !part.is_empty())
            .collect::<Vec<_>>()
            .join(" ")
    }
}

/// The parts of a picture in order of appearance, and the fills of all pieces.
pub(crate) struct Stock {
    parts: Vec<(String, String)>,
    left_out: usize,
    kinds: Vec<PieceKind>,
    dots: String,
}

impl Stock {
    pub(crate) fn of<'a>(sheet: &mut Sheet, looks: impl Iterator<Item = Look<'a>>) -> Self {
        let mut stock = Self {
            parts: Vec::new(),
            left_out: 0,
            kinds: Vec::new(),
            dots: sheet.dots("kept", SOFT, PAPER),
        };
        for look in looks {
            stock.note(look);
        }
        stock.kinds.sort_unstable();
        stock
    }

    fn note(&mut self, look: Look<'_>) {
        if !self.kinds.contains(&look.kind) {
            self.kinds.push(look.kind);
        }
        let known = |part: &(String, String)| part.0 == look.letter && part.1 == look.label;
        if look.kind != PieceKind::Part || self.parts.iter().any(known) {
            return;
        }
        if self.parts.len() < MOST_IN_KEY {
            self.parts
                .push((look.letter.to_owned(), look.label.to_owned()));
        } else {
            self.left_out += 1;
        }
    }

    /// Draws a piece without its words.
    pub(crate) fn draw(&self, sheet: &mut Sheet, area: Area, look: Look<'_>) {
        sheet.rect_told(area, &self.style(look), &look.told());
        if look.kind == PieceKind::Waste {
            cross_out(sheet, area);
        }
    }

    fn style(&self, look: Look<'_>) -> Style {
        match look.kind {
            PieceKind::Part => Style::filled(self.ground(look)).edged(INK, 0.8),
            PieceKind::Kept => Style::pattern(&self.dots).edged(INK, 0.8),
            PieceKind::Waste => Style::filled(PAPER).edged(SOFT, 0.8),
            PieceKind::Trim => Style::filled(PANEL).edged(SOFT, 0.8).dashed("2 1.5"),
        }
    }

    fn ground(&self, look: Look<'_>) -> Token {
        let at = self
            .parts
            .iter()
            .position(|part| part.0 == look.letter && part.1 == look.label);
        GROUNDS[at.unwrap_or(0) % GROUNDS.len()]
    }

    /// Explains the kinds and the letters; gives the height it took.
    pub(crate) fn draw_key(&self, sheet: &mut Sheet, top: f64) -> f64 {
        let room = sheet.width() - 1.0;
        let others: Vec<(PieceKind, String)> = self
            .kinds
            .iter()
            .filter(|kind| **kind != PieceKind::Part)
            .map(|kind| (*kind, word(*kind).to_owned()))
            .collect();
        let mut y = top;
        y += sheet.key_of((1.0, y), room, 16.0, &others, |sheet, area, kind| {
            let look = Look {
                kind: *kind,
                letter: "",
                label: "",
            };
            self.draw(sheet, area, look);
        });
        y += self.draw_letters(sheet, y, room);
        y - top
    }

    fn draw_letters(&self, sheet: &mut Sheet, top: f64, room: f64) -> f64 {
        let letters = self
            .parts
            .iter()
            .map(|part| lettering::width(&part.0, 10.0, true));
        let wide = (letters.fold(0.0, f64::max) + 6.0).clamp(16.0, 60.0);
        let samples: Vec<(Look<'_>, String)> = self
            .parts
            .iter()
            .map(|(letter, label)| {
                let kind = PieceKind::Part;
                (
                    Look {
                        kind,
                        letter,
                        label,
                    },
                    label.clone(),
                )
            })
            .collect();
        let height = sheet.key_of((1.0, top), room, wide, &samples, |sheet, area, look| {
            let area = Area::new(area.x, area.y - 2.0, area.w, 14.0);
            sheet.rect(area, &self.style(*look));
            let place = Words::at(area.x + area.w / 2.0, area.y + 10.6)
                .size(10.0)
                .bold();
            sheet.words_within(place.middle(), look.letter, area.w - 2.0);
        });
        height
            + draw_left_out(
                sheet,
                top + height,
                self.left_out,
                "parts are not in this key",
            )
    }
}

fn word(kind: PieceKind) -> &'static str {
    match kind {
        PieceKind::Part => "part",
        PieceKind::Kept => "kept",
        PieceKind::Waste => "waste",
        PieceKind::Trim => "trim",
    }
}

/// Crossed out from corner to corner.
fn cross_out(sheet: &mut Sheet, area: Area) {
    let data = format!(
        "M{} {}l{} {}m0 {}l{} {}",
        Num(area.x),
        Num(area.y),
        Num(area.w),
        Num(area.h),
        Num(-area.h),
        Num(-area.w),
        Num(area.h)
    );
    sheet.path(&data, &Style::line(SOFT, 0.8));
}

/// Letter and label of a piece in the middle of its area, or the letter alone, or nothing, as they
/// fit and as the place is free; `extra` is written after them. On a patterned ground the words
/// get a rim of paper.
pub(crate) fn write_on(
    sheet: &mut Sheet,
    taken: &mut Taken,
    area: Area,
    (look, extra): (Look<'_>, &str),
    patterned: bool,
) {
    let letter = match look.kind {
        PieceKind::Part => look.letter,
        PieceKind::Kept => "kept",
        PieceKind::Waste | PieceKind::Trim => return,
    };
    let short = format!("{letter}{extra}");
    let long = format!("{letter} {}{extra}", look.label);
    let size = if area.h >= 15.0 { 11.0 } else { 9.0 };
    if area.h < size {
        return;
    }
    let place = Words {
        halo: patterned || look.kind == PieceKind::Kept,
        ..Words::at(area.x + area.w / 2.0, area.y + area.h / 2.0 + size * 0.36)
            .size(size)
            .middle()
    };
    let fits = |words: &str, bold| lettering::width(words, size, bold) <= area.w - 3.0;
    if !look.label.is_empty() && fits(&long, false) {
        taken.write(sheet, place, &long);
    } else if fits(&short, true) {
        taken.write(sheet, place.bold(), &short);
    } else if fits(letter, true) {
        taken.write(sheet, place.bold(), letter);
    }
}

/// Count, name and note of one piece of stock, on one line or two within a room; gives the height.
pub(crate) fn draw_heading(
    sheet: &mut Sheet,
    (left, top): (f64, f64),
    room: f64,
    (name, count): (&str, Option<u64>),
    note: &str,
) -> f64 {
    let mut x = left;
    if let Some(count) = count {
        let times = format!("{} \u{d7}", figure(count as f64));
        x += sheet.words_within(Words::at(x, top + 12.0).bold(), &times, room * 0.5) + 5.0;
    }
    let place = Words::at(x, top + 12.0).bold();
    x += sheet.words_within(place, name, left + room - x) + 9.0;
    let beside = x + lettering::width(note, 11.0, false) <= left + room;
    if note.is_empty() || beside {
        sheet.words(Words::at(x, top + 12.0).size(11.0).soft(), note);
        return 18.0;
    }
    let (lines, _) = lettering::wrap(note, 11.0, false, room, 3);
    for (at, line) in lines.iter().enumerate() {
        let y = top + 26.0 + 14.0 * at as f64;
        sheet.words_told(Words::at(left, y).size(11.0).soft(), line, note);
    }
    18.0 + 14.0 * lines.len() as f64
}

/// Says how many of something are not drawn; gives the height it took.
pub(crate) fn draw_left_out(sheet: &mut Sheet, top: f64, count: usize, what: &str) -> f64 {
    if count == 0 {
        return 0.0;
    }
    let words = format!("{} more {what}", figure(count as f64));
    let room = sheet.width();
    sheet.words_within(Words::at(0.0, top + 11.0).size(11.0).soft(), &words, room);
    18.0
}

/// Draws the scale bar; gives the height it took. One that cannot be drawn to scale is left out.
pub(crate) fn draw_scale_bar(
    sheet: &mut Sheet,
    top: f64,
    bar: Option<&ScaleBar>,
    px_per_unit: f64,
) -> f64 {
    let Some(bar) = bar else { return 0.0 };
    let long = amount(bar.length) * px_per_unit;
    if !(4.0..=sheet.width() - 40.0).contains(&long) {
        return 0.0;
    }
    let y = top + 5.0;
    for (start, token) in [(0.0, INK), (0.5, PAPER)] {
        let area = Area::new(1.0 + long * start, y, long / 2.0, 4.0);
        sheet.rect(area, &Style::filled(token).edged(INK, 0.8));
    }
    let room = sheet.width() - long - 8.0;
    let place = Words::at(long + 7.0, y + 6.0).size(11.0).soft();
    sheet.words_within(place, &bar.label, room);
    18.0
}

/// A span from low to high within a length; `None` when a number is not finite or nothing of it
/// lies inside.
pub(crate) fn span_within((a, b): (f64, f64), length: f64) -> Option<(f64, f64)> {
    let finite = a.is_finite() && b.is_finite();
    let (low, high) = (a.min(b).max(0.0), a.max(b).min(length));
    (finite && low <= high).then_some((low, high))
}
