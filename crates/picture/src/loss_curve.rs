//! Loss curve: what weighed pieces have lost along the time, the curve through them, and when a wanted loss is reached.

use crate::chart::{
    Axis, Beside, LimitSide, Plot, SMALL, Trail, beside, block, block_teeth, draw_limit,
    draw_verdict, field_height, left_room, range,
};
use crate::frame::{Frame, nothing_to_draw};
use crate::ink::{Area, Sheet, Style, Words};
use crate::palette::{ACCENT, INK, PAPER, RULE, TONES};
use crate::room::{Taken, place_of};
use crate::scale::drawable;
use crate::stock::draw_left_out;

/// A piece that was weighed now and then.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LossPiece {
    /// For example `piece 1`.
    pub name: String,
    /// Time and loss of each weighing.
    pub weighed: Vec<(f64, f64)>,
    /// Time and loss of the curve through them.
    pub curve: Vec<(f64, f64)>,
}

/// When the wanted loss is reached.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LossReached {
    /// The likely time.
    pub at: f64,
    /// The earliest that the weighings leave open.
    pub low: f64,
    /// The latest; `None` where they leave it open without an end.
    pub high: Option<f64>,
}

/// Weighed pieces held against the loss that is wanted of them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LossCurve {
    /// The time axis.
    pub time: Axis,
    /// The loss axis, upwards.
    pub loss: Axis,
    /// The pieces.
    pub pieces: Vec<LossPiece>,
    /// Time and loss of all pieces together.
    pub load: Vec<(f64, f64)>,
    /// The loss that is wanted.
    pub wanted: Option<f64>,
    /// The wanted loss as text, for example `9.5 % lost`.
    pub wanted_label: String,
    /// When all pieces together have lost so much.
    pub reached: Option<LossReached>,
    /// The time that is stated.
    pub stated: Option<f64>,
    /// The stated time as text, for example `stated 9 h`.
    pub stated_label: String,
    /// Whether the stated time is enough, and that in words; nothing is said where the words are empty.
    pub verdict: (bool, String),
}

const MOST: usize = 12;
const HEAD: f64 = 18.0;

/// Draws each weighing as a ring with its piece's curve thin behind it, the curve of all together heavy, the
/// wanted loss with teeth, a bar over the times at which it may be reached, and the stated time upright.
pub fn loss_curve(frame: &Frame, loss: &LossCurve) -> String {
    let mut sheet = Sheet::new(frame);
    let Some(plan) = Plan::of(loss, &sheet) else {
        return nothing_to_draw(frame, "no piece was weighed");
    };
    let width = sheet.width();
    let (good, words) = &loss.verdict;
    let mut top = 0.0;
    if !words.trim().is_empty() {
        let name = loss.wanted_label.trim();
        top = draw_verdict(&mut sheet, (0.0, 0.0), width, *good, (name, words.trim())) + 4.0;
    }
    let place = Words::at(0.0, top + 11.0).size(SMALL).soft();
    sheet.words_within(place, &loss.loss.heading(), width);
    let plot = plan.plot(&sheet, top + HEAD);
    let stated_named = draw_field(&mut sheet, loss, &plan, &plot);
    let mut bottom = plot.bottom() + plot.draw_feet(&mut sheet, &loss.time, plot.bottom());
    bottom += draw_key(&mut sheet, bottom + 4.0, loss, &plan, stated_named) + 4.0;
    let beyond = loss.pieces.len().saturating_sub(MOST);
    bottom += draw_left_out(&mut sheet, bottom, beyond, "pieces are not drawn");
    sheet.finish(frame, bottom + 2.0)
}

/// What is drawn, and over which ranges.
struct Plan<'a> {
    pieces: Vec<&'a LossPiece>,
    wanted: Option<f64>,
    stated: Option<f64>,
    reached: Option<LossReached>,
    x_range: (f64, f64),
    y_range: (f64, f64),
    left: f64,
    tall: f64,
}

impl<'a> Plan<'a> {
    fn of(loss: &'a LossCurve, sheet: &Sheet) -> Option<Self> {
        let pieces: Vec<&LossPiece> = loss.pieces.iter().take(MOST).collect();
        let sound = |&(x, y): &(f64, f64)| Some((drawable(x)?, drawable(y)?));
        let points: Vec<(f64, f64)> = pieces
            .iter()
            .flat_map(|piece| piece.weighed.iter().chain(&piece.curve))
            .chain(&loss.load)
            .filter_map(sound)
            .collect();
        if points.is_empty() {
            return None;
        }
        let wanted = loss.wanted.and_then(drawable);
        let stated = loss.stated.and_then(drawable);
        let reached = loss
            .reached
            .filter(|reached| drawable(reached.at).is_some());
        let times = points.iter().map(|p| p.0).chain(stated);
        let times = times.chain(reached.map(|reached| reached.at));
        let x_range = range(times, 0.0)?;
        let y_range = range(points.iter().map(|p| p.1).chain(wanted), 0.06)?;
        let tall = field_height(sheet.width());
        Some(Self {
            left: left_room(&loss.loss, y_range, tall),
            pieces,
            wanted,
            stated,
            reached,
            x_range,
            y_range,
            tall,
        })
    }

    fn plot(&self, sheet: &Sheet, top: f64) -> Plot {
        let wide = sheet.width() - self.left - 10.0;
        let area = Area::new(self.left, top, wide, self.tall);
        Plot::new(area, self.x_range, self.y_range)
    }
}

fn piece_style() -> Style {
    Style::line(TONES[2], 1.0)
}

fn load_style() -> Style {
    Style::line(INK, 2.6)
}

fn ring() -> Style {
    Style::filled(PAPER).edged(TONES[1], 1.3)
}

fn stated_style() -> Style {
    Style::line(INK, 1.6)
}

/// Draws all in the field; gives whether the stated time got its name there.
fn draw_field(sheet: &mut Sheet, loss: &LossCurve, plan: &Plan<'_>, plot: &Plot) -> bool {
    let area = plot.area;
    plot.draw_levels(sheet, &loss.loss, true);
    sheet.rect(area, &Style::line(RULE, 1.0));
    let (from, to) = (area.x, plot.right());
    if let Some(wanted) = plan.wanted {
        draw_limit(sheet, (from, to), plot.y.held(wanted), LimitSide::AtLeast);
    }
    for piece in &plan.pieces {
        Trail::of(&piece.curve, plot).draw(sheet, &piece_style(), &Style::filled(TONES[2]));
    }
    let load = Trail::of(&loss.load, plot);
    load.draw(sheet, &load_style(), &Style::filled(INK));
    let mut words = Taken::default();
    let stated_x = plan.stated.map(|stated| plot.x.held(stated));
    if let Some(x) = stated_x {
        sheet.segment((x, area.y), (x, plot.bottom()), &stated_style());
        words.block(Area::new(x - 2.0, area.y, 4.0, area.h));
    }
    for place in weighings(plan, plot) {
        sheet.dot(place, 3.0, &ring());
        words.block(Area::new(place.0 - 4.0, place.1 - 4.0, 8.0, 8.0));
    }
    let mut line = Taken::default();
    block(&mut line, &load);
    if let (Some(reached), Some(wanted)) = (plan.reached, plan.wanted) {
        let y = plot.y.held(wanted);
        let place = draw_reached(sheet, plot, reached, y);
        words.block(place);
    }
    name_wanted(sheet, loss, plan, plot, &mut words, &line);
    stated_x.is_some_and(|x| name_stated(sheet, loss, plot, x, &words, &line))
}

fn weighings(plan: &Plan<'_>, plot: &Plot) -> Vec<(f64, f64)> {
    let all = plan.pieces.iter().flat_map(|piece| &piece.weighed);
    let sound = all.filter_map(|&(x, y)| Some((drawable(x)?, drawable(y)?)));
    sound.map(|point| plot.at(point)).collect()
}

/// A bar over the times at which it may be reached, without an end cap where they have no end.
fn draw_reached(sheet: &mut Sheet, plot: &Plot, reached: LossReached, y: f64) -> Area {
    let low = plot.x.held(drawable(reached.low).unwrap_or(reached.at));
    let high = reached.high.and_then(drawable);
    let end = high.map_or(plot.right(), |high| plot.x.held(high));
    let line = Style::line(INK, 1.4);
    sheet.segment((low, y), (end, y), &line);
    let caps = [Some(low), high.map(|_| end)];
    for x in caps.into_iter().flatten() {
        sheet.segment((x, y - 5.0), (x, y + 5.0), &line);
    }
    let at = plot.x.held(reached.at);
    sheet.dot((at, y), 4.5, &Style::filled(PAPER).edged(INK, 1.8));
    Area::new(low.min(at) - 6.0, y - 6.0, (end - low).abs() + 12.0, 12.0)
}

/// The wanted loss by its line; the verdict has it where the field has no room.
fn name_wanted(
    sheet: &mut Sheet,
    loss: &LossCurve,
    plan: &Plan<'_>,
    plot: &Plot,
    words: &mut Taken,
    line: &Taken,
) {
    let Some(wanted) = plan.wanted else { return };
    let y = plot.y.held(wanted);
    let across = (plot.area.x, plot.right());
    let trail = Trail {
        parts: vec![vec![(across.0, y), (across.1, y)]],
    };
    let mut own = Taken::default();
    block(&mut own, &trail);
    block_teeth(&mut own, across, y, LimitSide::AtLeast);
    let lines = [own, line.clone()];
    let mut room = Beside {
        area: plot.area,
        lines: &lines,
        words,
    };
    let place = Words::at(0.0, 0.0).size(11.0).ink(ACCENT).halo();
    beside(
        sheet,
        &mut room,
        (0, &trail),
        place,
        loss.wanted_label.trim(),
    );
}

/// The stated time beside its line at the foot of the field, where that is free.
fn name_stated(
    sheet: &mut Sheet,
    loss: &LossCurve,
    plot: &Plot,
    x: f64,
    words: &Taken,
    line: &Taken,
) -> bool {
    let name = loss.stated_label.trim();
    let foot = plot.bottom() - 8.0;
    let places = [
        Words::at(x - 6.0, foot).end(),
        Words::at(x + 6.0, foot),
        Words::at(x - 6.0, plot.area.y + 14.0).end(),
    ];
    for place in places.map(|place| place.size(11.0).halo()) {
        let area = place_of(&place, name);
        let inside = area.x >= plot.area.x && area.x + area.w <= plot.right();
        if !name.is_empty() && inside && words.is_free(area) && line.is_free(area) {
            sheet.words(place, name);
            return true;
        }
    }
    name.is_empty()
}

enum Sample {
    Line(Style),
    Ring,
    Reached,
    Stated,
}

fn draw_key(
    sheet: &mut Sheet,
    top: f64,
    loss: &LossCurve,
    plan: &Plan<'_>,
    stated_named: bool,
) -> f64 {
    let mut samples = vec![(Sample::Ring, "weighed".to_owned())];
    let curved = plan.pieces.iter().any(|piece| !piece.curve.is_empty());
    if curved {
        samples.push((Sample::Line(piece_style()), "each piece".to_owned()));
    }
    if !loss.load.is_empty() {
        samples.push((Sample::Line(load_style()), "all together".to_owned()));
    }
    if plan.reached.is_some() && plan.wanted.is_some() {
        let words = "reached, and when it may be".to_owned();
        samples.push((Sample::Reached, words));
    }
    if plan.stated.is_some() && !stated_named {
        samples.push((Sample::Stated, loss.stated_label.trim().to_owned()));
    }
    let width = sheet.width();
    sheet.key_of((0.0, top), width, 26.0, &samples, |sheet, area, sample| {
        let (x, y) = (area.x + area.w / 2.0, area.y + 5.0);
        let line = Style::line(INK, 1.4);
        match sample {
            Sample::Line(style) => sheet.segment((area.x, y), (area.x + area.w, y), style),
            Sample::Ring => sheet.dot((x, y), 3.0, &ring()),
            Sample::Stated => sheet.segment((x, y - 6.0), (x, y + 6.0), &stated_style()),
            Sample::Reached => {
                sheet.segment((area.x, y), (area.x + area.w, y), &line);
                sheet.dot((x, y), 4.5, &Style::filled(PAPER).edged(INK, 1.8));
            }
        }
    })
}
