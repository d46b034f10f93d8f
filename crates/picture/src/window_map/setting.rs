//! The stated setting in a window map: a point, the box of its tolerances, and what they meet.

use super::region::Class;
use super::{Plan, WindowMap, WindowSetting, write_lines};
use crate::chart::draw_verdict;
use crate::ink::{Area, Sheet, Style, Words};
use crate::palette::{INK, PAPER};
use crate::room::{Taken, place_of};
use crate::scale::drawable;

/// Limits that can be drawn, in order, with the stated value among them.
fn limits(stated: f64, limits: Option<(f64, f64)>) -> (f64, f64) {
    let both = limits.and_then(|(a, b)| Some((drawable(a)?, drawable(b)?)));
    let stated = stated.clamp(-1e12, 1e12);
    both.map_or((stated, stated), |(a, b)| {
        (a.min(b).min(stated), a.max(b).max(stated))
    })
}

/// The levels the setting may have: lowest and highest.
pub(super) fn levels(setting: &WindowSetting) -> impl Iterator<Item = f64> {
    let (low, high) = limits(setting.level, setting.level_limits);
    [low, high].into_iter()
}

/// The dwells the setting may have: shortest and longest.
pub(super) fn dwells(setting: &WindowSetting) -> impl Iterator<Item = f64> {
    let (low, high) = limits(setting.dwell, setting.dwell_limits);
    [low, high].into_iter()
}

/// Draws box and point; words keep off both.
pub(super) fn draw(sheet: &mut Sheet, plan: &Plan<'_>, words: &mut Taken) {
    let Some(setting) = plan.stated else { return };
    let (low, high) = limits(setting.dwell, setting.dwell_limits);
    let (under, over) = limits(setting.level, setting.level_limits);
    let (left, bottom) = plan.plot.at((low, under));
    let (right, top) = plan.plot.at((high, over));
    let area = Area::new(left, top, right - left, bottom - top);
    if area.w > 0.0 || area.h > 0.0 {
        sheet.rect(area, &Style::line(PAPER, 2.6));
        sheet.rect(area, &Style::line(INK, 1.4).dashed("4 2.5"));
    }
    let (x, y) = plan.plot.at((setting.dwell, setting.level));
    let rim = Style::line(PAPER, 4.0);
    let line = Style::line(INK, 1.6);
    for style in [&rim, &line] {
        sheet.segment((x - 11.0, y), (x + 11.0, y), style);
        sheet.segment((x, y - 11.0), (x, y + 11.0), style);
    }
    sheet.dot((x, y), 5.0, &Style::filled(INK).edged(PAPER, 1.5));
    words.block(area);
    words.block(Area::new(x - 13.0, y - 13.0, 26.0, 26.0));
    let below = bottom.max(y + 11.0) + 14.0;
    let above = top.min(y - 11.0) - 5.0;
    let style = Words::at(x, above).size(11.5).bold().middle().halo();
    let beside = right.max(x + 11.0) + 5.0;
    let before = left.min(x - 11.0) - 5.0;
    let places = [
        style,
        Words { y: below, ..style },
        Words::at(beside, y + 4.0).size(11.5).bold().halo(),
        Words::at(before, y + 4.0).size(11.5).bold().end().halo(),
    ];
    let field = plan.plot.area;
    for place in places {
        let own = place_of(&place, "stated");
        let inside = own.x >= field.x
            && own.x + own.w <= plan.plot.right()
            && own.y >= field.y
            && own.y + own.h <= plan.plot.bottom();
        if inside && words.claim(own) {
            sheet.words(place, "stated");
            return;
        }
    }
}

/// Says in words what the setting and its tolerances meet, and which dwells would work at its
/// level; gives the height.
pub(super) fn tell(sheet: &mut Sheet, top: f64, map: &WindowMap, plan: &Plan<'_>) -> f64 {
    let Some(setting) = plan.stated else {
        return 0.0;
    };
    let own = plan.regions.class(setting.dwell, setting.level);
    let met = met_by_box(plan, setting);
    let others: Vec<&str> = Class::ALL
        .into_iter()
        .filter(|class| Some(*class) != own && met.contains(&Some(*class)))
        .map(Class::name)
        .collect();
    let boxed = setting.dwell_limits.is_some() || setting.level_limits.is_some();
    let unknown = own.is_some() && met.contains(&None);
    let first = own.map_or("not worked out here", Class::name);
    let good = own == Some(Class::Works) && others.is_empty() && !unknown;
    let mut verdict = match (boxed, others.as_slice()) {
        (false, _) => first.to_owned(),
        (true, []) => format!("{first}, all over its tolerances"),
        (true, some) => format!("{first}; within its tolerances also {}", some.join(" and ")),
    };
    if unknown {
        verdict = format!("{first}; not all of its tolerances are worked out");
    }
    let name = setting.name.trim();
    let name = if name.is_empty() {
        "stated setting"
    } else {
        name
    };
    let width = sheet.width();
    let mut high = draw_verdict(sheet, (0.0, top + 4.0), width, good, (name, &verdict)) + 4.0;
    if let Some(words) = works_at(map, plan, setting) {
        high += write_lines(sheet, top + high, &words) + 2.0;
    }
    high
}

/// Every class that the box of tolerances meets, found on a grid over it.
fn met_by_box(plan: &Plan<'_>, setting: &WindowSetting) -> Vec<Option<Class>> {
    const STEPS: u32 = 32;
    let (low, high) = limits(setting.dwell, setting.dwell_limits);
    let (under, over) = limits(setting.level, setting.level_limits);
    let mut met = Vec::new();
    for i in 0..=STEPS {
        for j in 0..=STEPS {
            let (u, v) = (
                f64::from(i) / f64::from(STEPS),
                f64::from(j) / f64::from(STEPS),
            );
            let (dwell, level) = (low + u * (high - low), under + v * (over - under));
            let class = plan.regions.class(dwell, level.clamp(under, over));
            if !met.contains(&class) {
                met.push(class);
            }
        }
    }
    met
}

/// Which dwells work at the level of the setting.
fn works_at(map: &WindowMap, plan: &Plan<'_>, setting: &WindowSetting) -> Option<String> {
    let (enough, safe) = plan.regions.edges(setting.level)?;
    let plot = &plan.plot;
    let level = map.level.stated(setting.level, plot.y_range);
    let dwell = |value: f64| map.dwell.moment(value, plot.x_range);
    let last = plot.x_range.1;
    Some(if enough > safe {
        format!(
            "At {level} no dwell works: enough from {}{}, too much after {}.",
            if enough >= last { "beyond " } else { "" },
            dwell(enough),
            dwell(safe)
        )
    } else if enough >= last {
        format!("At {level} no dwell up to {} is enough.", dwell(last))
    } else if safe >= last {
        format!(
            "At {level} every dwell from {} works, as far as the map goes.",
            dwell(enough)
        )
    } else {
        format!(
            "At {level} dwells from {} to {} work.",
            dwell(enough),
            dwell(safe)
        )
    })
}
