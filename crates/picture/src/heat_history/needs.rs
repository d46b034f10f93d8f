//! Needs under a heat history: for each the time it takes as a bar on the same time axis, and what
//! is left of the stated time, or missing.

use super::{HeatHistory, HeatNeed, NeedKind, Plan};
use crate::chart::{CROSS, TICK, draw_mark, draw_verdict};
use crate::ink::{Area, Num, Ruling, Sheet, Style};
use crate::palette::{ACCENT, INK, PAPER, RULE, SOFT};
use crate::room::Taken;
use crate::scale::drawable;
use crate::stock::draw_left_out;

/// Needs that get a bar; the picture says how many more there are.
const MOST: usize = 8;

/// Draws a row for each need; gives the height.
pub(super) fn draw_needs(
    sheet: &mut Sheet,
    top: f64,
    history: &HeatHistory,
    plan: &Plan<'_>,
) -> f64 {
    let mut high = 0.0;
    let fills = Fills {
        spare: sheet.dots("spare", SOFT, PAPER),
        short: sheet.ruled("short", Ruling::Rising, (ACCENT, 1.2), PAPER),
    };
    for need in history.needs.iter().take(MOST) {
        let (good, words) = verdict(need, history, plan);
        let name = need.name.trim();
        let width = sheet.width();
        high += draw_verdict(sheet, (0.0, top + high + 4.0), width, good, (name, &words)) + 4.0;
        high += draw_bar(sheet, top + high, need, plan, (good, &fills));
    }
    let beyond = history.needs.len().saturating_sub(MOST);
    high + draw_left_out(sheet, top + high, beyond, "needs are not drawn")
}

/// Whether the need is kept, and the words that say by how much.
fn verdict(need: &HeatNeed, history: &HeatHistory, plan: &Plan<'_>) -> (bool, String) {
    let range = plan.plot.x_range;
    let at = need.at.and_then(drawable);
    let moment = |at: f64| history.time.moment(at, range);
    let apart = |a: f64, b: f64| history.time.span(b - a, range);
    match (need.kind, at, plan.stated_end) {
        (NeedKind::Enough, None, _) => (CROSS, "not met".to_owned()),
        (NeedKind::NotTooMuch, None, _) => (TICK, "never too much".to_owned()),
        (NeedKind::Enough, Some(at), None) => (TICK, format!("met at {}", moment(at))),
        (NeedKind::NotTooMuch, Some(at), None) => (CROSS, format!("too much at {}", moment(at))),
        (NeedKind::Enough, Some(at), Some(end)) if at <= end => (
            TICK,
            format!("met at {}, {} to spare", moment(at), apart(at, end)),
        ),
        (NeedKind::Enough, Some(at), Some(end)) => {
            (CROSS, format!("not met: {} short", apart(end, at)))
        }
        (NeedKind::NotTooMuch, Some(at), Some(end)) if at >= end => (
            TICK,
            format!(
                "too much only at {}, {} to spare",
                moment(at),
                apart(end, at)
            ),
        ),
        (NeedKind::NotTooMuch, Some(at), Some(end)) => (
            CROSS,
            format!("too much at {}: {} too long", moment(at), apart(at, end)),
        ),
    }
}

struct Fills {
    spare: String,
    short: String,
}

/// The bar of a need: from the beginning to its time, then what is spare (dotted) or missing (ruled).
fn draw_bar(
    sheet: &mut Sheet,
    top: f64,
    need: &HeatNeed,
    plan: &Plan<'_>,
    (good, fills): (bool, &Fills),
) -> f64 {
    let Some(at) = need.at.and_then(drawable) else {
        return 4.0;
    };
    let plot = &plan.plot;
    let (left, right) = (plot.area.x, plot.right());
    let y = top + 6.0;
    let x = plot.x.held(at);
    sheet.segment((left, y), (right, y), &Style::line(RULE, 1.0));
    sheet.segment((left, y), (x, y), &Style::line(INK, 2.6));
    if let Some(end) = plan.stated_end {
        let end = plot.x.held(end);
        let fill = if good { &fills.spare } else { &fills.short };
        let area = Area::new(x.min(end), y - 4.0, (x - end).abs(), 8.0);
        let edge = if good { INK } else { ACCENT };
        sheet.rect(area, &Style::pattern(fill).edged(edge, 0.9));
        sheet.segment((end, y - 8.0), (end, y + 8.0), &Style::line(INK, 1.6));
    }
    if at <= plot.x_range.1 {
        draw_mark(sheet, (x, y), good);
    } else {
        let arrow = format!("M{} {}l6 6l-6 6", Num(right - 2.0), Num(y - 6.0));
        let arrow_style = Style::line(if good { INK } else { ACCENT }, 1.8);
        sheet.path(&arrow, &arrow_style);
    }
    18.0
}

/// The times of the needs in the field itself: thin lines up from the axis, which words keep off.
pub(super) fn block_marks(taken: &mut Taken, history: &HeatHistory, plan: &Plan<'_>) {
    for x in mark_places(history, plan) {
        let area = plan.plot.area;
        taken.block(Area::new(x - 2.0, area.y, 4.0, area.h));
    }
}

/// Where thin lines stand in the field for the needs.
fn mark_places(history: &HeatHistory, plan: &Plan<'_>) -> Vec<f64> {
    let (low, high) = plan.plot.x_range;
    let needs = history.needs.iter().take(MOST);
    needs
        .filter_map(|need| need.at.and_then(drawable))
        .filter(|at| (low..=high).contains(at))
        .map(|at| plan.plot.x.held(at))
        .collect()
}

/// Draws those lines.
pub(super) fn draw_marks(sheet: &mut Sheet, history: &HeatHistory, plan: &Plan<'_>) {
    let area = plan.plot.area;
    for x in mark_places(history, plan) {
        let line = Style::line(INK, 1.0).dashed("5 3");
        sheet.segment((x, area.y), (x, plan.plot.bottom()), &line);
    }
}
