//! Profile curves: salt or temperature across the thickness of pieces at several times.

use crate::chart::{
    Axis, Beside, LimitSide, Plot, SMALL, Trail, beside, block, block_teeth, draw_limit, left_room,
    range,
};
use crate::frame::{Frame, nothing_to_draw};
use crate::ink::{Area, Sheet, Style, Words};
use crate::palette::{ACCENT, INK, SOFT, TONES};
use crate::room::Taken;
use crate::scale::drawable;
use crate::stock::draw_left_out;

/// The profile at one time.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ProfileCurve {
    /// The time as text, for example `12 h`.
    pub time: String,
    /// Depth and value; a value that is not a number leaves a gap.
    pub points: Vec<(f64, f64)>,
}

/// One piece with its profiles.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ProfilePiece {
    /// For example `thickest, 42 mm`.
    pub name: String,
    /// Profiles in order of time.
    pub curves: Vec<ProfileCurve>,
}

/// A level to reach or to stay under.
#[derive(Clone, Debug, PartialEq)]
pub struct ProfileLevel {
    /// The value.
    pub value: f64,
    /// Which side of it is allowed.
    pub side: LimitSide,
    /// What stands after `at least` or `at most`, for example `3.5 % in the water`.
    pub label: String,
}

/// Profiles of several pieces on the same scales.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ProfileCurves {
    /// The depth, to the right.
    pub depth: Axis,
    /// The value, upwards.
    pub value: Axis,
    /// Pieces, each in a field of its own.
    pub pieces: Vec<ProfilePiece>,
    /// Levels drawn across all fields.
    pub levels: Vec<ProfileLevel>,
}

const MOST_PIECES: usize = 6;
const MOST_CURVES: usize = 8;
const MOST_LEVELS: usize = 4;
const HEAD: f64 = 22.0;
const GAP: f64 = 22.0;

/// Draws a field for each piece, side by side where there is room, with the same scales so that
/// thin and thick compare; each curve bears its time, the last the heaviest.
pub fn profile_curves(frame: &Frame, profiles: &ProfileCurves) -> String {
    let mut sheet = Sheet::new(frame);
    let Some(plan) = Plan::of(profiles, &sheet) else {
        return nothing_to_draw(frame, "no profiles were worked out");
    };
    let place = Words::at(0.0, 11.0).size(SMALL).soft();
    sheet.words_within(place, &profiles.value.heading(), sheet.width());
    let mut unnamed = Unnamed::default();
    let mut bottom: f64 = 0.0;
    for (at, piece) in plan.pieces.iter().enumerate() {
        let plot = plan.field(at);
        let feet = draw_field(&mut sheet, profiles, &plan, &plot, (at, piece));
        name_curves(&mut sheet, &plan, &plot, piece, &mut unnamed);
        bottom = bottom.max(plot.bottom() + feet);
    }
    bottom += draw_key(&mut sheet, bottom + 4.0, &plan, &unnamed);
    let beyond = profiles.pieces.len().saturating_sub(MOST_PIECES);
    bottom += draw_left_out(&mut sheet, bottom, beyond, "pieces are not drawn");
    let curves = profiles.pieces.iter().take(MOST_PIECES);
    let beyond = curves.map(|piece| piece.curves.len().saturating_sub(MOST_CURVES));
    let beyond = beyond.sum();
    bottom += draw_left_out(&mut sheet, bottom, beyond, "curves are not drawn");
    sheet.finish(frame, bottom + 4.0)
}

/// What is drawn, and where.
struct Plan<'a> {
    pieces: Vec<&'a ProfilePiece>,
    levels: Vec<&'a ProfileLevel>,
    x_range: (f64, f64),
    y_range: (f64, f64),
    columns: usize,
    left: f64,
    size: (f64, f64),
    feet: f64,
}

impl<'a> Plan<'a> {
    fn of(profiles: &'a ProfileCurves, sheet: &Sheet) -> Option<Self> {
        let points = |piece: &'a ProfilePiece| {
            let curves = piece.curves.iter().take(MOST_CURVES);
            let all = curves.flat_map(|curve| &curve.points);
            all.filter_map(|&(x, y)| Some((drawable(x)?, drawable(y)?)))
        };
        let pieces: Vec<&ProfilePiece> = profiles
            .pieces
            .iter()
            .take(MOST_PIECES)
            .filter(|piece| points(piece).next().is_some())
            .collect();
        let levels: Vec<&ProfileLevel> = profiles
            .levels
            .iter()
            .filter(|level| drawable(level.value).is_some())
            .take(MOST_LEVELS)
            .collect();
        let all = || pieces.iter().flat_map(|piece| points(piece));
        let x_range = range(all().map(|p| p.0), 0.0)?;
        let values = all().map(|p| p.1);
        let values = values.chain(levels.iter().filter_map(|level| drawable(level.value)));
        let y_range = range(values, 0.08)?;
        let most = if sheet.narrow() {
            1
        } else if sheet.width() < 1000.0 {
            2
        } else {
            3
        };
        let columns = pieces.len().clamp(1, most);
        let tall = if sheet.narrow() { 190.0 } else { 250.0 };
        let left = left_room(&profiles.value, y_range, tall);
        let gaps = GAP * (columns - 1) as f64;
        let wide = (sheet.width() - left - 10.0 - gaps) / columns as f64;
        let feet = if profiles.depth.heading().is_empty() {
            20.0
        } else {
            36.0
        };
        Some(Self {
            pieces,
            levels,
            x_range,
            y_range,
            columns,
            left,
            size: (wide, tall),
            feet,
        })
    }

    /// The field of a piece.
    fn field(&self, at: usize) -> Plot {
        let (column, row) = (at % self.columns, at / self.columns);
        let (wide, tall) = self.size;
        let x = self.left + column as f64 * (wide + GAP);
        let y = 18.0 + HEAD + row as f64 * (tall + self.feet + HEAD + 8.0);
        Plot::new(Area::new(x, y, wide, tall), self.x_range, self.y_range)
    }

    /// What the key says of a curve: its time, and its piece unless all pieces have the same times
    /// and so the same ways of drawing.
    fn key_entry(&self, piece: &ProfilePiece, turn: usize, count: usize) -> String {
        let time = |piece: &'a ProfilePiece| piece.curves.get(turn).map(|c| c.time.trim());
        let own = piece.curves.get(turn).map(|c| c.time.trim());
        let same = |other: &&'a ProfilePiece| {
            other.curves.len().min(MOST_CURVES) == count && time(other) == own
        };
        let own = own.unwrap_or_default();
        if self.pieces.iter().all(same) || piece.name.trim().is_empty() {
            own.to_owned()
        } else {
            format!("{own} ({})", piece.name.trim())
        }
    }

    /// A level across a field.
    fn across(plot: &Plot, level: &ProfileLevel) -> Trail {
        let y = plot.y.held(level.value);
        Trail {
            parts: vec![vec![(plot.area.x, y), (plot.right(), y)]],
        }
    }
}

/// How the curve at a turn of so many is drawn: earlier ones lighter and more broken.
fn style(turn: usize, of: usize) -> Style {
    let left = of - 1 - turn.min(of - 1);
    match left {
        0 => Style::line(INK, 2.6),
        1 => Style::line(INK, 1.6).dashed("10 3.5"),
        2 => Style::line(TONES[1], 1.5).dashed("5 3"),
        3 => Style::line(TONES[1], 1.4).dashed("8 3 1.5 3"),
        _ => Style::line(TONES[1], 1.3).dashed("1.5 2.5"),
    }
}

/// Frame, rules, levels and curves of a piece; gives the height of what stands under it.
fn draw_field(
    sheet: &mut Sheet,
    profiles: &ProfileCurves,
    plan: &Plan<'_>,
    plot: &Plot,
    (at, piece): (usize, &ProfilePiece),
) -> f64 {
    let area = plot.area;
    let place = Words::at(area.x, area.y - 8.0).bold();
    sheet.words_within(place, piece.name.trim(), area.w);
    plot.draw_levels(sheet, &profiles.value, at.is_multiple_of(plan.columns));
    for x in [area.x, piece_end(piece, plot)] {
        sheet.segment((x, area.y), (x, plot.bottom()), &Style::line(SOFT, 1.0));
    }
    let foot = [(area.x, plot.bottom()), (plot.right(), plot.bottom())];
    sheet.segment(foot[0], foot[1], &Style::line(SOFT, 1.0));
    for level in &plan.levels {
        let y = plot.y.held(level.value);
        draw_limit(sheet, (area.x, plot.right()), y, level.side);
    }
    let count = piece.curves.len().min(MOST_CURVES);
    for (turn, curve) in piece.curves.iter().take(MOST_CURVES).enumerate() {
        let trail = Trail::of(&curve.points, plot);
        trail.draw(sheet, &style(turn, count), &Style::filled(INK));
    }
    plot.draw_feet(sheet, &profiles.depth, plot.bottom())
}

/// Where the piece ends in its field: at its deepest point.
fn piece_end(piece: &ProfilePiece, plot: &Plot) -> f64 {
    let curves = piece.curves.iter().take(MOST_CURVES);
    let depths = curves.flat_map(|curve| &curve.points);
    let deepest = depths
        .filter_map(|p| drawable(p.0))
        .fold(plot.x_range.0, f64::max);
    plot.x.held(deepest)
}

/// What the key has to explain: curves by their turn from the last, with their time; levels.
#[derive(Default)]
struct Unnamed {
    curves: Vec<(Style, String)>,
    levels: Vec<usize>,
}

/// Times beside the curves of a piece, and in the first field the names of the levels.
fn name_curves(
    sheet: &mut Sheet,
    plan: &Plan<'_>,
    plot: &Plot,
    piece: &ProfilePiece,
    unnamed: &mut Unnamed,
) {
    let curves = piece.curves.iter().take(MOST_CURVES);
    let mut trails: Vec<Trail> = curves.map(|c| Trail::of(&c.points, plot)).collect();
    let count = trails.len();
    trails.extend(plan.levels.iter().map(|level| Plan::across(plot, level)));
    let mut lines: Vec<Taken> = trails.iter().map(taken_by).collect();
    for (line, level) in lines[count..].iter_mut().zip(&plan.levels) {
        let across = (plot.area.x, plot.right());
        block_teeth(line, across, plot.y.held(level.value), level.side);
    }
    let mut words = Taken::default();
    for x in [plot.area.x, piece_end(piece, plot)] {
        words.block(Area::new(x - 1.0, plot.area.y, 2.0, plot.area.h));
    }
    let mut room = Beside {
        area: plot.area,
        lines: &lines,
        words: &mut words,
    };
    for (at, level) in plan.levels.iter().enumerate() {
        let name = level_name(level);
        let place = Words::at(0.0, 0.0).size(11.0).ink(ACCENT).halo();
        let own = (count + at, &trails[count + at]);
        if !beside(sheet, &mut room, own, place, &name) && !unnamed.levels.contains(&at) {
            unnamed.levels.push(at);
        }
    }
    for (turn, curve) in piece.curves.iter().take(MOST_CURVES).enumerate() {
        let last = turn + 1 == count;
        let place = Words::at(0.0, 0.0).size(11.0).bold_if(last).halo();
        let time = curve.time.trim();
        let done = trails[turn].is_empty() || time.is_empty();
        if !done && !beside(sheet, &mut room, (turn, &trails[turn]), place, time) {
            let entry = plan.key_entry(piece, turn, count);
            let known = unnamed.curves.iter().any(|(_, name)| *name == entry);
            if !known {
                unnamed.curves.push((style(turn, count), entry));
            }
        }
    }
}

fn taken_by(trail: &Trail) -> Taken {
    let mut taken = Taken::default();
    block(&mut taken, trail);
    taken
}

fn level_name(level: &ProfileLevel) -> String {
    let name = format!("{} {}", level.side.word(), level.label.trim());
    name.trim_end().to_owned()
}

enum Sample {
    Curve(Style),
    Level(LimitSide),
}

fn draw_key(sheet: &mut Sheet, top: f64, plan: &Plan<'_>, unnamed: &Unnamed) -> f64 {
    let curves = unnamed.curves.iter();
    let mut samples: Vec<(Sample, String)> = curves
        .map(|(style, name)| (Sample::Curve(style.clone()), name.clone()))
        .collect();
    for &at in &unnamed.levels {
        let level = plan.levels[at];
        samples.push((Sample::Level(level.side), level_name(level)));
    }
    let width = sheet.width();
    let high = sheet.key_of((0.0, top), width, 30.0, &samples, |sheet, area, sample| {
        let (from, to, y) = (area.x, area.x + area.w, area.y + 5.0);
        match sample {
            Sample::Curve(style) => sheet.segment((from, y), (to, y), style),
            Sample::Level(side) => draw_limit(sheet, (from, to), y, *side),
        }
    });
    high + if high > 0.0 { 6.0 } else { 0.0 }
}
