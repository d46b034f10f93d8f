//! Sheet layouts: parts on sheets to scale, the cuts, what is kept and the way of the grain.

use crate::frame::{Frame, nothing_to_draw};
use crate::ink::{Area, Num, Sheet, Style, Words};
use crate::lettering;
use crate::palette::{INK, PAPER};
use crate::room::Taken;
use crate::scale::amount;
use crate::stock::{
    Look, PieceKind, ScaleBar, Stock, draw_heading, draw_left_out, draw_scale_bar, span_within,
};

/// A rectangle of the sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetPiece {
    /// From and to along the sheet, from its left edge.
    pub x: (f64, f64),
    /// From and to across the sheet, from its lower edge.
    pub y: (f64, f64),
    /// What becomes of it.
    pub kind: PieceKind,
    /// Short mark of the part, for example `A`; the key explains it.
    pub letter: String,
    /// Name and size, for example `door 720 × 397 mm`.
    pub label: String,
    /// Whether it lies turned by a quarter.
    pub turned: bool,
}

/// One straight cut.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetCut {
    /// Where it starts, in the middle of the kerf.
    pub from: (f64, f64),
    /// Where it ends, in the middle of the kerf.
    pub to: (f64, f64),
    /// Width of the kerf.
    pub kerf: f64,
    /// 1 for cuts through the whole sheet, 2 for cuts through what those give, and so on. Cuts of
    /// the first stage are numbered in the order given.
    pub stage: u8,
}

/// Which way the grain runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Grain {
    /// From left to right.
    Along,
    /// From the lower to the upper edge.
    Across,
}

/// One way of cutting a sheet.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SheetLayout {
    /// What is cut, for example `board 2,440 × 1,220 mm`.
    pub stock: String,
    /// How many sheets are cut so.
    pub count: u64,
    /// Yield and the like; may be empty.
    pub note: String,
    /// Length from left to right.
    pub length: f64,
    /// Width from the lower to the upper edge.
    pub width: f64,
    /// The grain, where the sheet has one.
    pub grain: Option<Grain>,
    /// Parts, waste, remainders and trims.
    pub pieces: Vec<SheetPiece>,
    /// Cuts in the order they are made.
    pub cuts: Vec<SheetCut>,
}

/// Sheets to one scale. All lengths are in one unit of the caller's choice.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SheetLayouts {
    /// Layouts in reading order.
    pub layouts: Vec<SheetLayout>,
    /// A known length to measure by.
    pub scale_bar: Option<ScaleBar>,
}

/// Sheets that are drawn; the picture says how many more there are.
const MOST_SHEETS: usize = 24;
/// Pieces and cuts of one sheet that are drawn.
const MOST_EACH: usize = 600;
/// Room left of and above a sheet for the numbers of the cuts.
const RIM: f64 = 19.0;
/// Greatest height of a sheet in pixels.
const HIGHEST: f64 = 380.0;
const GAP: f64 = 16.0;

/// Draws sheets to scale with parts, cuts, waste, remainders and grain.
pub fn sheet_layouts(frame: &Frame, sheets: &SheetLayouts) -> String {
    let real = |layout: &&SheetLayout| amount(layout.length) > 0.0 && amount(layout.width) > 0.0;
    let drawn: Vec<&SheetLayout> = sheets
        .layouts
        .iter()
        .filter(real)
        .take(MOST_SHEETS)
        .collect();
    if drawn.is_empty() {
        return nothing_to_draw(frame, "no sheets");
    }
    let mut sheet = Sheet::new(frame);
    let pieces = drawn
        .iter()
        .flat_map(|layout| layout.pieces.iter().take(MOST_EACH));
    let stock = Stock::of(&mut sheet, pieces.map(look));
    let grid = Grid::of(&drawn, &sheet);
    let mut top = 0.0;
    for line in drawn.chunks(grid.columns) {
        let mut height: f64 = 0.0;
        for (column, layout) in line.iter().enumerate() {
            let left = column as f64 * (grid.room + GAP);
            height = height.max(draw_layout(&mut sheet, layout, &grid, &stock, (left, top)));
        }
        top += height + 12.0;
    }
    let left_out = sheets.layouts.len() - drawn.len();
    top += draw_left_out(&mut sheet, top, left_out, "sheets are not drawn");
    top += draw_signs_key(&mut sheet, top, &drawn);
    top += stock.draw_key(&mut sheet, top);
    top += draw_scale_bar(&mut sheet, top, sheets.scale_bar.as_ref(), grid.px);
    sheet.finish(frame, top + 2.0)
}

fn look(piece: &SheetPiece) -> Look<'_> {
    Look {
        kind: piece.kind,
        letter: &piece.letter,
        label: &piece.label,
    }
}

/// How many sheets stand side by side, the room of each and the scale of all.
struct Grid {
    columns: usize,
    room: f64,
    px: f64,
}

impl Grid {
    fn of(drawn: &[&SheetLayout], sheet: &Sheet) -> Self {
        let columns = if sheet.narrow() {
            1
        } else {
            drawn.len().min(2)
        };
        let gaps = GAP * (columns - 1) as f64;
        let room = (sheet.width() - gaps) / columns as f64;
        let most = |side: fn(&SheetLayout) -> f64| {
            drawn
                .iter()
                .map(|layout| amount(side(layout)))
                .fold(0.0, f64::max)
        };
        let along = (room - RIM - 2.0) / most(|layout| layout.length);
        let px = along.min(HIGHEST / most(|layout| layout.width));
        Self { columns, room, px }
    }
}

/// One sheet on the page: maps its lengths to places, y upwards.
struct Placed<'a> {
    layout: &'a SheetLayout,
    area: Area,
    px: f64,
}

impl Placed<'_> {
    fn at(&self, (x, y): (f64, f64)) -> (f64, f64) {
        let bottom = self.area.y + self.area.h;
        (self.area.x + x * self.px, bottom - y * self.px)
    }

    fn area_of(&self, piece: &SheetPiece) -> Option<Area> {
        let x = span_within(piece.x, amount(self.layout.length))?;
        let y = span_within(piece.y, amount(self.layout.width))?;
        let (left, top) = self.at((x.0, y.1));
        Some(Area::new(
            left,
            top,
            (x.1 - x.0) * self.px,
            (y.1 - y.0) * self.px,
        ))
    }
}

/// Draws a sheet with its heading; gives the height it took.
fn draw_layout(
    sheet: &mut Sheet,
    layout: &SheetLayout,
    grid: &Grid,
    stock: &Stock,
    (left, top): (f64, f64),
) -> f64 {
    let name = (layout.stock.as_str(), Some(layout.count));
    let mut y = top + draw_heading(sheet, (left, top), grid.room, name, &layout.note);
    y += RIM;
    let (w, h) = (
        amount(layout.length) * grid.px,
        amount(layout.width) * grid.px,
    );
    let placed = Placed {
        layout,
        area: Area::new(left + RIM, y, w, h),
        px: grid.px,
    };
    sheet.rect(placed.area, &Style::filled(PAPER).edged(INK, 1.4));
    let pieces = || layout.pieces.iter().take(MOST_EACH);
    for piece in pieces() {
        if let Some(area) = placed.area_of(piece) {
            stock.draw(sheet, area, look(piece));
        }
    }
    draw_cuts(sheet, &placed);
    let mut taken = Taken::default();
    for piece in pieces() {
        if let Some(area) = placed.area_of(piece) {
            write_piece(sheet, &mut taken, area, piece);
        }
    }
    y += h + 3.0;
    y += draw_grain(sheet, layout.grain, (placed.area.x, y));
    let beyond = layout.pieces.len().saturating_sub(MOST_EACH);
    y += draw_left_out(sheet, y, beyond, "pieces of this sheet are not drawn");
    y - top
}

/// All cuts to scale; those of the first stage are stronger and numbered in the rim.
fn draw_cuts(sheet: &mut Sheet, placed: &Placed<'_>) {
    let mut taken = Taken::default();
    let mut number = 0;
    for cut in placed.layout.cuts.iter().take(MOST_EACH) {
        let first = cut.stage <= 1;
        number += u32::from(first);
        let Some((from, to)) = ends(placed, cut) else {
            continue;
        };
        let thin = if first { 1.8 } else { 1.0 };
        let wide = (amount(cut.kerf) * placed.px).clamp(thin, 40.0);
        sheet.segment(from, to, &Style::line(INK, wide));
        if first {
            draw_number(sheet, placed, (from, to), number, &mut taken);
        }
    }
}

/// Both ends of a cut on the page, kept within the sheet.
fn ends(placed: &Placed<'_>, cut: &SheetCut) -> Option<((f64, f64), (f64, f64))> {
    let numbers = [cut.from.0, cut.from.1, cut.to.0, cut.to.1];
    let (length, width) = (amount(placed.layout.length), amount(placed.layout.width));
    let held = |(x, y): (f64, f64)| (x.clamp(0.0, length), y.clamp(0.0, width));
    numbers
        .iter()
        .all(|number| number.is_finite())
        .then(|| (placed.at(held(cut.from)), placed.at(held(cut.to))))
}

/// The number of a cut in a ring: above the sheet for an upright cut, left of it for a level one.
fn draw_number(
    sheet: &mut Sheet,
    placed: &Placed<'_>,
    (from, to): ((f64, f64), (f64, f64)),
    number: u32,
    taken: &mut Taken,
) {
    let upright = (from.0 - to.0).abs() < (from.1 - to.1).abs();
    let (x, y) = if upright {
        (from.0, placed.area.y - 10.0)
    } else {
        (placed.area.x - 10.0, from.1)
    };
    if !taken.claim(Area::new(x - 8.0, y - 8.0, 16.0, 16.0)) {
        return;
    }
    let edge = if upright {
        (x, placed.area.y)
    } else {
        (placed.area.x, y)
    };
    sheet.segment((x, y), edge, &Style::line(INK, 1.0));
    sheet.dot((x, y), 7.5, &Style::filled(PAPER).edged(INK, 1.0));
    let place = Words::at(x, y + 3.3).size(9.5).bold().middle();
    sheet.words_within(place, &number.to_string(), 14.5);
}

/// Letter above label where both fit, else the letter; a turned piece carries the turning arrow.
fn write_piece(sheet: &mut Sheet, taken: &mut Taken, area: Area, piece: &SheetPiece) {
    let letter = match piece.kind {
        PieceKind::Part => piece.letter.as_str(),
        PieceKind::Kept => "kept",
        PieceKind::Waste | PieceKind::Trim => return,
    };
    let (lines, cut) = lettering::wrap(&piece.label, 10.0, false, area.w - 8.0, 3);
    let high = 14.0 + 12.0 * lines.len() as f64;
    let middle = area.x + area.w / 2.0;
    let whole = !cut && !lines.is_empty() && high + 6.0 <= area.h;
    let y = area.y
        + if whole {
            (area.h - high) / 2.0 + 11.0
        } else {
            area.h / 2.0 + 4.3
        };
    let style = Words {
        halo: piece.kind == PieceKind::Kept,
        ..Words::at(middle, y).middle()
    };
    let fits = lettering::width(letter, 12.0, true) <= area.w - 2.0 && area.h >= 12.0;
    let written = fits && taken.write(sheet, style.bold(), letter);
    if whole && written {
        for (at, line) in lines.iter().enumerate() {
            let y = y + 12.0 * (at + 1) as f64;
            taken.write(sheet, Words { y, ..style }.size(10.0), line);
        }
    }
    let corner = (area.x + 9.0, area.y + 9.0);
    let (short, long) = (area.w.min(area.h), area.w.max(area.h));
    if piece.turned && (short >= 30.0 || short >= 20.0 && long >= 44.0) {
        draw_turn(sheet, corner);
    }
}

/// A quarter turn with a head.
fn draw_turn(sheet: &mut Sheet, (x, y): (f64, f64)) {
    let arc = format!("M{} {}a6 6 0 0 1 6 6", Num(x - 4.0), Num(y - 3.0));
    sheet.path(&arc, &Style::line(INK, 1.1));
    let head = format!(
        "M{} {}l-2.6 0l2.6 4.4l2.6 -4.4z",
        Num(x + 2.0),
        Num(y + 2.0)
    );
    sheet.path(&head, &Style::filled(INK));
}

/// The arrow of the grain with its word, under the sheet; gives the height it took.
fn draw_grain(sheet: &mut Sheet, grain: Option<Grain>, (x, top): (f64, f64)) -> f64 {
    let Some(grain) = grain else { return 0.0 };
    let y = top + 9.0;
    let data = match grain {
        Grain::Along => format!(
            "M{} {}l7 -3.5v7zM{} {}h30M{} {}l-7 -3.5v7z",
            Num(x),
            Num(y),
            Num(x + 6.0),
            Num(y),
            Num(x + 42.0),
            Num(y)
        ),
        Grain::Across => format!(
            "M{} {}l-3.5 7h7zM{} {}v8M{} {}l-3.5 -7h7z",
            Num(x + 5.0),
            Num(y - 8.0),
            Num(x + 5.0),
            Num(y - 4.0),
            Num(x + 5.0),
            Num(y + 10.0)
        ),
    };
    sheet.path(&data, &Style::filled(INK).edged(INK, 1.0));
    let after = if grain == Grain::Along { 48.0 } else { 14.0 };
    let place = Words::at(x + after, y + 4.0).size(11.0).soft();
    sheet.words(place, "grain");
    21.0
}

/// Explains the signs that occur; gives the height it took.
fn draw_signs_key(sheet: &mut Sheet, top: f64, drawn: &[&SheetLayout]) -> f64 {
    let mut y = top;
    let turned = |layout: &&SheetLayout| layout.pieces.iter().any(|piece| piece.turned);
    if drawn.iter().any(turned) {
        draw_turn(sheet, (8.0, y + 5.0));
        let place = Words::at(22.0, y + 9.0).size(11.0).soft();
        sheet.words(place, "part turned by a quarter");
        y += 18.0;
    }
    let first = |layout: &&SheetLayout| layout.cuts.iter().any(|cut| cut.stage <= 1);
    if drawn.iter().any(first) {
        sheet.dot((8.0, y + 5.0), 6.5, &Style::filled(PAPER).edged(INK, 1.0));
        let place = Words::at(8.0, y + 8.2).size(9.0).bold().middle();
        sheet.words(place, "1");
        let place = Words::at(22.0, y + 9.0).size(11.0).soft();
        sheet.words(place, "cuts through the whole sheet, in order");
        y += 19.0;
    }
    y - top
}
