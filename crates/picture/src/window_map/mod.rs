//! Window map: which dwell works at which temperature or line speed, and where the setting stands.

mod region;
mod setting;

use crate::chart::{
    Axis, Beside, Plot, SMALL, Trail, beside, block, field_height, left_room, range,
};
use crate::frame::{Frame, nothing_to_draw};
use crate::ink::{Area, Ruling, Sheet, Style, Words};
use crate::lettering;
use crate::palette::{ACCENT, INK, PAPER, RULE, SOFT, TONES, WASH};
use crate::room::{Taken, place_of};
use crate::scale::drawable;
use crate::stock::draw_left_out;
use region::{Class, Regions};

/// Where an edge of the window lies at one level.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum DwellEdge {
    /// At this dwell.
    At(f64),
    /// At no dwell, however long: never enough, or never too much.
    Never,
    /// Not worked out: shown as such.
    #[default]
    Unknown,
}

/// The edges of the window at one level.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct WindowRow {
    /// Air temperature, line speed or whatever the level is.
    pub level: f64,
    /// Shortest dwell that is enough for every piece.
    pub enough: DwellEdge,
    /// Longest dwell that is too much for no piece.
    pub safe: DwellEdge,
}

/// A setting in the map.
#[derive(Clone, Debug, PartialEq)]
pub struct WindowSetting {
    /// For example `stated: 18 min at 190 °C`.
    pub name: String,
    /// Its dwell.
    pub dwell: f64,
    /// Its level.
    pub level: f64,
    /// Lowest and highest dwell that its tolerance allows.
    pub dwell_limits: Option<(f64, f64)>,
    /// Lowest and highest level that its tolerance allows.
    pub level_limits: Option<(f64, f64)>,
}

/// Dwell against level.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WindowMap {
    /// The dwell, to the right.
    pub dwell: Axis,
    /// The level, upwards.
    pub level: Axis,
    /// Rows in any order; between two rows edges are straight. Towards a row where an edge is never
    /// reached it runs out of the map halfway.
    pub rows: Vec<WindowRow>,
    /// Name of the shortest dwell that is enough, for example `slowest piece has enough`.
    pub enough_label: String,
    /// Name of the longest dwell that is safe, for example `fastest piece has too much`.
    pub safe_label: String,
    /// The stated setting.
    pub stated: Option<WindowSetting>,
}

/// Rows that are used; the picture says how many more there are.
const MOST_ROWS: usize = 2000;
const RIGHT: f64 = 12.0;

/// Draws the window clear, too little dotted, too much ruled, and crossed where slow pieces get too
/// little while fast ones get too much; edges with their names; the stated setting with the box of
/// its tolerances, and in words what it and the box meet.
pub fn window_map(frame: &Frame, map: &WindowMap) -> String {
    let mut sheet = Sheet::new(frame);
    let Some(plan) = Plan::of(map, &sheet) else {
        return nothing_to_draw(frame, "no window was worked out");
    };
    let fills = fills(&mut sheet);
    draw_regions(&mut sheet, map, &plan, &fills);
    let mut words = Taken::default();
    for (trail, _) in &plan.edges {
        block(&mut words, trail);
    }
    setting::draw(&mut sheet, &plan, &mut words);
    let unnamed = write_edges(&mut sheet, &plan, &mut words);
    let blank = write_regions(&mut sheet, &plan, &mut words);
    let mut top = plan.plot.bottom();
    top += plan.plot.draw_feet(&mut sheet, &map.dwell, top);
    top += setting::tell(&mut sheet, top, map, &plan);
    top += draw_key(&mut sheet, top + 8.0, (&plan, &fills), &unnamed, &blank);
    let beyond = map.rows.len().saturating_sub(MOST_ROWS);
    top += draw_left_out(&mut sheet, top + 8.0, beyond, "rows are not used");
    sheet.finish(frame, top + 10.0)
}

/// What is drawn, and where.
struct Plan<'a> {
    plot: Plot,
    regions: Regions,
    stated: Option<&'a WindowSetting>,
    /// Edges with their names: enough, safe.
    edges: [(Trail, &'a str); 2],
}

impl<'a> Plan<'a> {
    fn of(map: &'a WindowMap, sheet: &Sheet) -> Option<Self> {
        let mut rows: Vec<WindowRow> = map
            .rows
            .iter()
            .take(MOST_ROWS)
            .filter(|row| drawable(row.level).is_some())
            .map(sound)
            .collect();
        rows.sort_by(|a, b| a.level.total_cmp(&b.level));
        let known = |edge: DwellEdge| edge != DwellEdge::Unknown;
        rows.iter()
            .find(|row| known(row.enough) && known(row.safe))?;
        let stated = map
            .stated
            .as_ref()
            .filter(|s| drawable(s.dwell).is_some() && drawable(s.level).is_some());
        let around = stated.into_iter().flat_map(setting::levels);
        let y_range = range(rows.iter().map(|row| row.level).chain(around), 0.0)?;
        let x_range = dwell_range(&rows, stated)?;
        let tall = field_height(sheet.width());
        let left = left_room(&map.level, y_range, tall);
        let area = Area::new(left, 22.0, sheet.width() - left - RIGHT, tall);
        let plot = Plot::new(area, x_range, y_range);
        let regions = Regions::of(&rows, x_range, y_range);
        let edges = [
            (regions.enough(&plot), map.enough_label.trim()),
            (regions.safe(&plot), map.safe_label.trim()),
        ];
        Some(Self {
            plot,
            regions,
            stated,
            edges,
        })
    }
}

/// The row with numbers that can be drawn.
fn sound(row: &WindowRow) -> WindowRow {
    let edge = |edge| match edge {
        DwellEdge::At(at) if at.is_nan() => DwellEdge::Unknown,
        DwellEdge::At(f64::INFINITY) => DwellEdge::Never,
        DwellEdge::At(at) => DwellEdge::At(at.clamp(0.0, 1e12)),
        other => other,
    };
    WindowRow {
        level: row.level.clamp(-1e12, 1e12),
        enough: edge(row.enough),
        safe: edge(row.safe),
    }
}

/// From nothing to somewhat beyond the edges, but not so far that the setting shrinks to a corner.
fn dwell_range(rows: &[WindowRow], stated: Option<&WindowSetting>) -> Option<(f64, f64)> {
    let edges = rows.iter().flat_map(|row| [row.enough, row.safe]);
    let finite: Vec<f64> = edges
        .filter_map(|edge| match edge {
            DwellEdge::At(at) => Some(at),
            _ => None,
        })
        .collect();
    let all = finite.iter().copied().fold(0.0, f64::max) * 1.1;
    let least = finite.iter().copied().fold(f64::MAX, f64::min);
    let high = match stated {
        Some(setting) => {
            let own = setting::dwells(setting).fold(0.0, f64::max);
            let enough = (own * 2.5).max(if finite.is_empty() { 0.0 } else { least * 2.0 });
            all.min(enough).max(own * 1.15)
        }
        None => all,
    };
    range([0.0, if high > 0.0 { high } else { 1.0 }].into_iter(), 0.0)
}

/// Fills of the regions, in the order of [`Class::ALL`].
type Fills = [Style; 4];

/// Falling lines, faint: nothing was worked out here.
fn blank(sheet: &mut Sheet) -> Style {
    let blank = sheet.ruled("blank", Ruling::Falling, (RULE, 1.0), PAPER);
    Style::pattern(&blank)
}

fn fills(sheet: &mut Sheet) -> Fills {
    let little = sheet.dots("little", TONES[1], PAPER);
    let much = sheet.ruled("much", Ruling::Rising, (TONES[1], 0.9), PAPER);
    let both = sheet.ruled("both", Ruling::Both, (ACCENT, 0.9), WASH);
    [
        Style::filled(PAPER),
        Style::pattern(&little),
        Style::pattern(&much),
        Style::pattern(&both),
    ]
}

fn draw_regions(sheet: &mut Sheet, map: &WindowMap, plan: &Plan<'_>, fills: &Fills) {
    let plot = &plan.plot;
    let area = plot.area;
    if plan.regions.has_gaps(plot.y_range) {
        let blank = blank(sheet);
        sheet.rect_told(area, &blank, "not worked out");
    }
    for (class, fill) in Class::ALL.into_iter().zip(fills) {
        let data = plan.regions.outline(class, plot);
        if !data.is_empty() {
            sheet.path_told(&data, fill, class.words());
        }
    }
    plot.draw_levels(sheet, &map.level, true);
    sheet.rect(area, &Style::line(SOFT, 1.0));
    let place = Words::at(0.0, 11.0).size(SMALL).soft();
    sheet.words_within(place, &map.level.heading(), sheet.width());
    for ((trail, _), style) in plan.edges.iter().zip(edge_styles()) {
        trail.draw(sheet, &style, &Style::filled(INK));
    }
}

/// Enough: a full line. Safe: a broken one.
fn edge_styles() -> [Style; 2] {
    [Style::line(INK, 2.4), Style::line(INK, 2.4).dashed("8 4")]
}

/// Names beside the edges; gives those without one.
fn write_edges(sheet: &mut Sheet, plan: &Plan<'_>, words: &mut Taken) -> Vec<usize> {
    let lines: Vec<Taken> = plan
        .edges
        .iter()
        .map(|(trail, _)| {
            let mut taken = Taken::default();
            block(&mut taken, trail);
            taken
        })
        .collect();
    let mut unnamed = Vec::new();
    for (at, (trail, name)) in plan.edges.iter().enumerate() {
        let mut room = Beside {
            area: plan.plot.area,
            lines: &lines,
            words,
        };
        let style = Words::at(0.0, 0.0).size(11.0).halo();
        let named = trail.is_empty() || beside(sheet, &mut room, (at, trail), style, name);
        unnamed.extend((!named).then_some(at));
    }
    unnamed
}

/// Names inside the regions where they are widest; gives those that are in the map without a name.
fn write_regions(sheet: &mut Sheet, plan: &Plan<'_>, words: &mut Taken) -> Vec<Class> {
    let mut blank = Vec::new();
    for class in Class::ALL {
        if plan.regions.outline(class, &plan.plot).is_empty() {
            continue;
        }
        let style = Words::at(0.0, 0.0).size(12.5).bold().middle().halo();
        let spot = region::spot(plan, class, style, words);
        match spot {
            Some(place) => {
                words.block(place_of(&place, class.name()));
                sheet.words(place, class.name());
            }
            None => blank.push(class),
        }
    }
    blank
}

enum Sample {
    Fill(Style),
    Edge(Style),
}

/// Tells what is not named in the map, and always what is meant by pieces that do not go together.
fn draw_key(
    sheet: &mut Sheet,
    top: f64,
    (plan, fills): (&Plan<'_>, &Fills),
    unnamed: &[usize],
    blank: &[Class],
) -> f64 {
    let mut samples = Vec::new();
    for &at in unnamed {
        let default = [
            "shortest dwell that is enough",
            "longest dwell that is safe",
        ][at];
        let name = plan.edges[at].1;
        let name = if name.is_empty() { default } else { name };
        samples.push((Sample::Edge(edge_styles()[at].clone()), name.to_owned()));
    }
    for (class, fill) in Class::ALL.into_iter().zip(fills) {
        let there = !plan.regions.outline(class, &plan.plot).is_empty();
        if blank.contains(&class) || (there && class == Class::Both) {
            let edged = fill.clone().edged(RULE, 0.8);
            samples.push((Sample::Fill(edged), class.words().to_owned()));
        }
    }
    if plan.regions.has_gaps(plan.plot.y_range) {
        // The fill is there already: the ground was drawn with it.
        let reference = sheet.reference("blank");
        let fill = Style::pattern(&reference).edged(RULE, 0.8);
        samples.push((Sample::Fill(fill), "not worked out".to_owned()));
    }
    let width = sheet.width();
    sheet.key_of(
        (0.0, top),
        width,
        22.0,
        &samples,
        |sheet, area, sample| match sample {
            Sample::Fill(style) => sheet.rect(
                Area {
                    h: 12.0,
                    y: area.y - 1.0,
                    ..area
                },
                style,
            ),
            Sample::Edge(style) => {
                let y = area.y + 5.0;
                sheet.segment((area.x, y), (area.x + area.w, y), style);
            }
        },
    )
}

/// Words on lines of a width; gives the height.
fn write_lines(sheet: &mut Sheet, top: f64, words: &str) -> f64 {
    let (lines, cut) = lettering::wrap(words, 11.0, false, sheet.width(), 4);
    for (at, line) in lines.iter().enumerate() {
        let place = Words::at(0.0, top + 11.0 + 14.0 * at as f64)
            .size(11.0)
            .soft();
        sheet.words_told(place, line, if cut { words } else { "" });
    }
    14.0 * lines.len() as f64
}
