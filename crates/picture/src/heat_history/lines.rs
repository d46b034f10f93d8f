//! The lines of a heat history: the slowest piece full, the fastest broken, cores heavy and surfaces
//! light, the air dotted, probes thin, and the odd one out with beads on it.

use super::{HeatHistory, HeatLine, HeatLineKind, Plan, Unnamed, named};
use crate::chart::{Plot, Trail, block, draw_limit};
use crate::ink::{Area, Sheet, Style};
use crate::lettering::figure;
use crate::palette::{ACCENT, INK, PAPER, SOFT, TONES, Token};
use crate::room::Taken;
use crate::stock::draw_left_out;

/// How a kind of line is drawn and its name written.
#[derive(Clone)]
pub(super) struct Look {
    pub(super) ink: Token,
    pub(super) bold: bool,
    style: Style,
    beads: bool,
}

fn look(kind: HeatLineKind) -> Look {
    let line = |ink, width, bold| Look {
        ink,
        bold,
        style: Style::line(ink, width),
        beads: false,
    };
    let broken = |look: Look, dash| Look {
        style: look.style.dashed(dash),
        ..look
    };
    match kind {
        HeatLineKind::Air => broken(line(SOFT, 1.5, false), "1.5 3.5"),
        HeatLineKind::SlowestCore => line(INK, 2.6, true),
        HeatLineKind::SlowestSurface => line(INK, 1.1, false),
        HeatLineKind::FastestCore => broken(line(TONES[1], 2.6, true), "9 4"),
        HeatLineKind::FastestSurface => broken(line(TONES[1], 1.2, false), "9 4"),
        HeatLineKind::Probe => line(TONES[2], 0.9, false),
        HeatLineKind::OddProbe => Look {
            beads: true,
            ..line(ACCENT, 1.4, true)
        },
    }
}

/// A line on the page.
pub(super) struct HistoryLine<'a> {
    pub(super) source: &'a HeatLine,
    pub(super) trail: Trail,
    pub(super) look: Look,
}

impl<'a> HistoryLine<'a> {
    pub(super) fn of(source: &'a HeatLine, plot: &Plot) -> Self {
        let trail = Trail::of(&source.points, plot);
        let mut look = look(source.kind);
        // Dots on a line that runs to and fro at every sample read as dirt.
        if source.kind == HeatLineKind::Air && trail.length() > 2.5 * (plot.area.w + plot.area.h) {
            look.style = Style::line(SOFT, 0.7);
        }
        Self {
            source,
            trail,
            look,
        }
    }

    pub(super) fn draw(&self, sheet: &mut Sheet) {
        let dot = Style::filled(self.look.ink);
        self.trail.draw(sheet, &self.look.style, &dot);
        if self.look.beads {
            for place in self.trail.beads(34.0) {
                bead(sheet, place);
            }
        }
    }

    /// Places that words keep clear of; thin probes run behind words.
    pub(super) fn taken(&self) -> Taken {
        let mut taken = Taken::default();
        if self.source.kind != HeatLineKind::Probe {
            block(&mut taken, &self.trail);
        }
        taken
    }
}

fn bead(sheet: &mut Sheet, place: (f64, f64)) {
    sheet.dot(place, 2.8, &Style::filled(PAPER).edged(ACCENT, 1.3));
}

enum Sample {
    Line(Look),
    Limit(crate::chart::LimitSide),
}

/// Tells what bears no name in the field; probes together. Gives the height.
pub(super) fn draw_key(
    sheet: &mut Sheet,
    top: f64,
    history: &HeatHistory,
    plan: &Plan<'_>,
    unnamed: &Unnamed,
) -> f64 {
    let mut samples = Vec::new();
    let mut probes = 0;
    for line in unnamed.lines.iter().map(|at| &plan.lines[*at]) {
        if line.source.kind == HeatLineKind::Probe {
            probes += 1;
        } else if !line.source.name.trim().is_empty() {
            let name = line.source.name.trim().to_owned();
            samples.push((Sample::Line(line.look.clone()), name));
        }
    }
    if probes > 0 {
        let odd = plan.lines.iter();
        let odd = odd.filter(|line| line.source.kind == HeatLineKind::OddProbe);
        let other = if odd.count() > 0 { "other " } else { "" };
        let plural = if probes == 1 { "probe" } else { "probes" };
        let words = format!("measured, {} {other}{plural}", figure(f64::from(probes)));
        samples.push((Sample::Line(look(HeatLineKind::Probe)), words));
    }
    for limit in unnamed.limits.iter().map(|at| plan.limits[*at]) {
        samples.push((Sample::Limit(limit.side), named(limit)));
    }
    let width = sheet.width();
    let high = sheet.key_of((0.0, top), width, 30.0, &samples, draw_sample);
    high + draw_beyond(sheet, top + high, history)
}

/// Says what is not drawn; gives the height.
fn draw_beyond(sheet: &mut Sheet, top: f64, history: &HeatHistory) -> f64 {
    let counts = [
        (
            history.lines.len(),
            super::MOST_LINES,
            "lines are not drawn",
        ),
        (
            history.stages.len(),
            super::MOST_STAGES,
            "stages are not drawn",
        ),
        (
            history.limits.len(),
            super::MOST_LIMITS,
            "limits are not drawn",
        ),
    ];
    counts.into_iter().fold(0.0, |high, (count, most, what)| {
        high + draw_left_out(sheet, top + high, count.saturating_sub(most), what)
    })
}

fn draw_sample(sheet: &mut Sheet, area: Area, sample: &Sample) {
    let y = area.y + 5.0;
    match sample {
        Sample::Line(look) => {
            sheet.segment((area.x, y), (area.x + area.w, y), &look.style);
            if look.beads {
                bead(sheet, (area.x + area.w / 2.0, y));
            }
        }
        Sample::Limit(side) => draw_limit(sheet, (area.x, area.x + area.w), y, *side),
    }
}
