//! Bar patterns: how lengths are cut from bars, strip or reels, one row for each pattern.

use crate::frame::{Frame, nothing_to_draw};
use crate::ink::{Area, Num, Sheet, Style, Words};
use crate::lettering::{self, figure};
use crate::palette::{INK, PAPER};
use crate::room::Taken;
use crate::scale::{Scale, amount};
use crate::stock::{
    Look, PieceKind, ScaleBar, Stock, draw_heading, draw_left_out, draw_scale_bar, span_within,
    write_on,
};

/// A stretch of the bar.
#[derive(Clone, Debug, PartialEq)]
pub struct BarPiece {
    /// Start and end along the bar. What no piece covers is drawn as a saw cut.
    pub span: (f64, f64),
    /// What becomes of it.
    pub kind: PieceKind,
    /// Short mark of the part, for example `A`; the key explains it.
    pub letter: String,
    /// Name and length, for example `stile 1,240 mm`.
    pub label: String,
}

/// One way of cutting a bar.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BarPattern {
    /// What is cut, for example `bar 6 m`.
    pub stock: String,
    /// How many bars are cut so.
    pub count: u64,
    /// Left-over, yield and the like; may be empty.
    pub note: String,
    /// Length of the bar.
    pub length: f64,
    /// Pieces along the bar.
    pub pieces: Vec<BarPiece>,
    /// Places of splices and other faults that no piece may hold.
    pub splices: Vec<f64>,
}

/// Patterns to one scale. All lengths are in one unit of the caller's choice.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BarPatterns {
    /// Patterns from top to bottom.
    pub patterns: Vec<BarPattern>,
    /// A known length to measure by.
    pub scale_bar: Option<ScaleBar>,
}

/// Patterns that are drawn; the picture says how many more there are.
const MOST_PATTERNS: usize = 60;
/// Stretches of one bar that are drawn.
const MOST_STRETCHES: usize = 800;
const MOST_SPLICES: usize = 200;
const BAR: f64 = 24.0;
/// Pieces narrower than this in pixels are drawn as one block with their neighbours.
const FINE: f64 = 2.0;

/// Draws one bar per pattern with the count, the pieces, the cuts, what is left and the splices.
/// Pieces too short to carry a letter are counted together: `A × 37`.
pub fn bar_patterns(frame: &Frame, bars: &BarPatterns) -> String {
    let real = |bar: &&BarPattern| amount(bar.length) > 0.0;
    let drawn: Vec<&BarPattern> = bars
        .patterns
        .iter()
        .filter(real)
        .take(MOST_PATTERNS)
        .collect();
    if drawn.is_empty() {
        return nothing_to_draw(frame, "no bars");
    }
    let longest = drawn
        .iter()
        .map(|bar| amount(bar.length))
        .fold(0.0, f64::max);
    let mut sheet = Sheet::new(frame);
    let scale = Scale::new((0.0, longest), (1.0, sheet.width() - 1.0));
    let looks = drawn.iter().flat_map(|bar| &bar.pieces).map(look);
    let stock = Stock::of(&mut sheet, looks);
    let mut top = 0.0;
    for bar in &drawn {
        top += draw_pattern(&mut sheet, bar, &scale, &stock, top) + 9.0;
    }
    let left_out = bars.patterns.len() - drawn.len();
    top += draw_left_out(&mut sheet, top, left_out, "patterns are not drawn");
    top += draw_splice_key(&mut sheet, top, &drawn);
    top += stock.draw_key(&mut sheet, top);
    let px = scale.at(1.0) - scale.at(0.0);
    top += draw_scale_bar(&mut sheet, top, bars.scale_bar.as_ref(), px);
    sheet.finish(frame, top + 2.0)
}

fn look(piece: &BarPiece) -> Look<'_> {
    Look {
        kind: piece.kind,
        letter: &piece.letter,
        label: &piece.label,
    }
}

/// Neighbouring pieces that are named together, because each is too short for its letter.
struct Stretch<'a> {
    first: &'a BarPiece,
    /// Left and right edges in pixels of what is drawn: single pieces, or a block of fine ones.
    edges: Vec<(f64, f64)>,
    count: usize,
    /// Whether all pieces are alike, so that one letter names them.
    alike: bool,
    /// Whether all are too fine to be drawn singly.
    fine: bool,
}

impl<'a> Stretch<'a> {
    fn of(piece: &'a BarPiece, edge: (f64, f64)) -> Self {
        Self {
            first: piece,
            edges: vec![edge],
            count: 1,
            alike: true,
            fine: edge.1 - edge.0 < FINE,
        }
    }

    fn is_like(&self, piece: &BarPiece) -> bool {
        piece.letter == self.first.letter && piece.label == self.first.label
    }

    fn takes(&self, piece: &BarPiece, (from, to): (f64, f64)) -> bool {
        let parts = piece.kind == PieceKind::Part && self.first.kind == PieceKind::Part;
        let follows = self.edges.last().is_some_and(|last| from >= last.1 - FINE);
        let nameless = to - from < lettering::width(&piece.letter, 11.0, true) + 3.0;
        let alike = self.alike && self.is_like(piece) && nameless;
        parts && follows && (alike || self.fine && to - from < FINE)
    }

    fn take(&mut self, piece: &BarPiece, (from, to): (f64, f64)) {
        self.count += 1;
        self.alike &= self.is_like(piece);
        let fine = to - from < FINE;
        self.fine &= fine;
        match self.edges.last_mut() {
            Some(last) if fine => last.1 = last.1.max(to),
            _ => self.edges.push((from, to)),
        }
    }

    /// The whole stretch in pixels.
    fn span(&self) -> (f64, f64) {
        let first = self.edges.first().copied().unwrap_or_default();
        (first.0, self.edges.last().map_or(first.1, |last| last.1))
    }
}

/// The pieces of a bar from left to right, gathered into stretches.
fn stretches<'a>(bar: &'a BarPattern, scale: &Scale) -> Vec<Stretch<'a>> {
    let length = amount(bar.length);
    let mut placed: Vec<(&BarPiece, (f64, f64))> = bar
        .pieces
        .iter()
        .filter_map(|piece| span_within(piece.span, length).map(|span| (piece, span)))
        .collect();
    placed.sort_by(|a, b| a.1.0.total_cmp(&b.1.0));
    let mut out: Vec<Stretch<'a>> = Vec::new();
    for (piece, (from, to)) in placed {
        let edge = (scale.at(from), scale.at(to));
        match out.last_mut() {
            Some(last) if last.takes(piece, edge) => last.take(piece, edge),
            _ => out.push(Stretch::of(piece, edge)),
        }
    }
    out
}

/// Draws one pattern with its heading; gives the height it took.
fn draw_pattern(
    sheet: &mut Sheet,
    bar: &BarPattern,
    scale: &Scale,
    stock: &Stock,
    top: f64,
) -> f64 {
    let room = sheet.width();
    let name = (bar.stock.as_str(), Some(bar.count));
    let mut y = top + draw_heading(sheet, (0.0, top), room, name, &bar.note);
    if !bar.splices.is_empty() {
        y += 7.0;
    }
    let end = scale.at(amount(bar.length));
    // What no piece covers stays dark: the kerfs.
    let whole = Area::new(1.0, y, end - 1.0, BAR);
    sheet.rect(whole, &Style::filled(INK).edged(INK, 1.2));
    let stretches = stretches(bar, scale);
    let mut taken = Taken::default();
    for stretch in stretches.iter().take(MOST_STRETCHES) {
        draw_stretch(sheet, stretch, stock, &mut taken, y);
    }
    draw_splices(sheet, bar, scale, y);
    y += BAR + 2.0;
    let beyond = stretches.len().saturating_sub(MOST_STRETCHES);
    y += draw_left_out(sheet, y, beyond, "stretches of this bar are not drawn");
    y - top
}

fn draw_stretch(
    sheet: &mut Sheet,
    stretch: &Stretch<'_>,
    stock: &Stock,
    taken: &mut Taken,
    y: f64,
) {
    let look = look(stretch.first);
    for &(from, to) in &stretch.edges {
        stock.draw(sheet, Area::new(from, y, to - from, BAR), look);
    }
    let (from, to) = stretch.span();
    let area = Area::new(from, y, to - from, BAR);
    if stretch.count == 1 {
        write_on(sheet, taken, area, (look, ""), false);
        return;
    }
    let count = figure(stretch.count as f64);
    let words = if stretch.alike {
        format!("{} \u{d7} {count}", look.letter)
    } else {
        format!("{count} pieces")
    };
    // The words lie on several pieces, so they stand on a ground of their own.
    let wide = lettering::width(&words, 11.0, true);
    let middle = area.x + area.w / 2.0;
    let ground = Area::new(middle - wide / 2.0 - 2.0, y + 5.0, wide + 4.0, 14.0);
    if wide <= area.w - 4.0 && taken.claim(ground) {
        sheet.rect(ground, &Style::filled(PAPER).rounded(2.0));
        let place = Words::at(middle, y + 16.0).size(11.0).bold().middle();
        sheet.words(place, words.trim());
    }
}

/// A splice: a notch on the bar and a zigzag through it.
fn draw_splices(sheet: &mut Sheet, bar: &BarPattern, scale: &Scale, y: f64) {
    let length = amount(bar.length);
    let inside = bar.splices.iter().filter(|at| (0.0..=length).contains(*at));
    for &at in inside.take(MOST_SPLICES) {
        draw_splice(sheet, scale.at(at), y);
    }
}

fn draw_splice(sheet: &mut Sheet, x: f64, y: f64) {
    let mut line = format!("M{} {}", Num(x), Num(y));
    line.push_str(&"l2.5 3l-2.5 3l-2.5 3l2.5 3".repeat(2));
    sheet.path(&line, &Style::line(PAPER, 3.5));
    sheet.path(&line, &Style::line(INK, 1.5));
    let notch = format!("M{} {}l-4 -6h8z", Num(x), Num(y - 1.0));
    sheet.path(&notch, &Style::filled(INK));
}

/// Explains the splice mark where there is one; gives the height it took.
fn draw_splice_key(sheet: &mut Sheet, top: f64, bars: &[&BarPattern]) -> f64 {
    if bars.iter().all(|bar| bar.splices.is_empty()) {
        return 0.0;
    }
    let notch = format!("M9 {}l-4 -6h8z", Num(top + 9.0));
    sheet.path(&notch, &Style::filled(INK));
    sheet.words(
        Words::at(22.0, top + 9.0).size(11.0).soft(),
        "splice or fault",
    );
    18.0
}
