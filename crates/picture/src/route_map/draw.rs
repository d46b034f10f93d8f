//! The laid out map as SVG: each kind of box with its own outline, each kind of arrow with its own
//! stroke, and a key of the kinds that occur.

use std::fmt::Write as _;

use super::card::{Card, LABEL, SMALL};
use super::shape::{Label, Layout, Wire};
use super::{EdgeKind, NodeKind, RouteMap};
use crate::frame::Frame;
use crate::ink::{Area, Num, Sheet, Style, Words};
use crate::lettering;
use crate::palette::{ACCENT, INK, PANEL, PAPER, RULE, SOFT, Token};

pub(super) fn draw(frame: &Frame, map: &RouteMap, layout: &Layout) -> String {
    let mut sheet = Sheet::new(frame);
    let width = layout.width.max(sheet.width());
    let shift = (width - layout.width) / 2.0;
    let heads = [INK, ACCENT, SOFT].map(|token| (token, sheet.arrow_head(head_name(token), token)));
    let hatch = sheet.hatch("scrap", RULE, PAPER);
    for wire in &layout.wires {
        draw_wire(&mut sheet, map, wire, shift, &heads);
    }
    for (node, card, area) in &layout.boxes {
        let area = Area {
            x: area.x + shift,
            ..*area
        };
        draw_box(&mut sheet, map.nodes[*node].kind, card, area, &hatch);
    }
    for label in &layout.labels {
        draw_label(&mut sheet, map, label, shift);
    }
    let key = draw_key(&mut sheet, map, layout, width, &heads, &hatch);
    sheet.finish_wide(frame, width, layout.height + key)
}

fn head_name(token: Token) -> &'static str {
    match token {
        ACCENT => "head-back",
        SOFT => "head-out",
        _ => "head-on",
    }
}

fn edge_token(kind: EdgeKind) -> Token {
    match kind {
        EdgeKind::Flow => INK,
        EdgeKind::Rework | EdgeKind::Regrind => ACCENT,
        EdgeKind::ByProduct | EdgeKind::Reject => SOFT,
    }
}

fn edge_style(kind: EdgeKind, weight: f64, heads: &[(Token, String); 3]) -> Style {
    let token = edge_token(kind);
    let weight = if weight.is_finite() {
        weight.clamp(0.0, 1.0)
    } else {
        0.0
    };
    let style = Style::line(token, 1.2 + 1.4 * weight);
    let style = match kind {
        EdgeKind::Flow | EdgeKind::ByProduct => style,
        EdgeKind::Rework => style.dashed("6 4"),
        EdgeKind::Regrind => style.dashed("9 3 2 3"),
        EdgeKind::Reject => style.dashed("2 3"),
    };
    match heads.iter().find(|(of, _)| *of == token) {
        Some((_, head)) => style.headed(head),
        None => style,
    }
}

fn draw_wire(
    sheet: &mut Sheet,
    map: &RouteMap,
    wire: &Wire,
    shift: f64,
    heads: &[(Token, String); 3],
) {
    let edge = &map.edges[wire.edge];
    let points: Vec<(f64, f64)> = wire.points.iter().map(|p| (p.0 + shift, p.1)).collect();
    // A rim of paper makes crossings read as one line passing over another.
    sheet.path(&rounded(&points), &Style::line(PAPER, 5.0));
    sheet.path(
        &rounded(&points),
        &edge_style(edge.kind, edge.weight, heads),
    );
}

/// A line with rounded corners.
fn rounded(points: &[(f64, f64)]) -> String {
    let mut data = String::new();
    let Some(first) = points.first() else {
        return data;
    };
    let _ = write!(data, "M{} {}", Num(first.0), Num(first.1));
    for three in points.windows(3) {
        let (from, corner, to) = (three[0], three[1], three[2]);
        let reach = |a: (f64, f64), b: (f64, f64)| (a.0 - b.0).abs().max((a.1 - b.1).abs());
        let radius = 7.0_f64
            .min(reach(from, corner) / 2.0)
            .min(reach(corner, to) / 2.0);
        let toward = |b: (f64, f64)| {
            let length = reach(corner, b).max(1e-9);
            (
                corner.0 + (b.0 - corner.0) / length * radius,
                corner.1 + (b.1 - corner.1) / length * radius,
            )
        };
        let (a, b) = (toward(from), toward(to));
        let _ = write!(
            data,
            "L{} {}Q{} {} {} {}",
            Num(a.0),
            Num(a.1),
            Num(corner.0),
            Num(corner.1),
            Num(b.0),
            Num(b.1)
        );
    }
    if let [.., last] = points {
        let _ = write!(data, "L{} {}", Num(last.0), Num(last.1));
    }
    data
}

/// The outline of a kind; each differs in shape, not in colour only.
fn draw_outline(sheet: &mut Sheet, kind: NodeKind, area: Area, hatch: &str, told: &str) {
    let edge = |token, width| Style::filled(PAPER).edged(token, width);
    match kind {
        NodeKind::Station => sheet.rect_told(area, &edge(INK, 1.3).rounded(3.0), told),
        NodeKind::Item => {
            sheet.rect_told(area, &edge(INK, 1.3).rounded(area.h.min(34.0) / 2.0), told);
        }
        NodeKind::Bought => {
            sheet.rect_told(area, &Style::filled(PANEL).edged(SOFT, 1.0), told);
            sheet.rect(Area { w: 4.0, ..area }, &Style::filled(SOFT));
        }
        NodeKind::Store => {
            sheet.rect_told(area, &Style::filled(PANEL).edged(INK, 1.0), told);
            for x in [area.x + 4.0, area.x + area.w - 4.0] {
                sheet.segment((x, area.y), (x, area.y + area.h), &Style::line(INK, 1.0));
            }
        }
        NodeKind::ByProduct => {
            let style = edge(SOFT, 1.2)
                .dashed("5 3")
                .rounded(area.h.min(34.0) / 2.0);
            sheet.rect_told(area, &style, told);
        }
        NodeKind::Scrap => {
            sheet.rect_told(
                area,
                &Style::pattern(hatch).edged(SOFT, 1.0).dashed("2 2"),
                told,
            );
        }
        NodeKind::Test => {
            let cut = 8.0_f64.min(area.h / 3.0);
            let (l, t, r, b) = (area.x, area.y, area.x + area.w, area.y + area.h);
            let corners = [
                (l + cut, t),
                (r - cut, t),
                (r, t + cut),
                (r, b - cut),
                (r - cut, b),
                (l + cut, b),
                (l, b - cut),
                (l, t + cut),
            ];
            let mut data = String::new();
            for (at, corner) in corners.iter().enumerate() {
                let pen = if at == 0 { 'M' } else { 'L' };
                let _ = write!(data, "{pen}{} {}", Num(corner.0), Num(corner.1));
            }
            data.push('Z');
            sheet.path_told(&data, &edge(INK, 1.3), told);
        }
    }
}

fn draw_box(sheet: &mut Sheet, kind: NodeKind, card: &Card, area: Area, hatch: &str) {
    draw_outline(sheet, kind, area, hatch, &card.told);
    let halo = kind == NodeKind::Scrap;
    let bold = matches!(kind, NodeKind::Station | NodeKind::Item | NodeKind::Test);
    for (line, from_top, main) in card.lines() {
        let place = Words::at(area.x + area.w / 2.0, area.y + from_top).middle();
        let place = if main {
            place.size(LABEL).bold_if(bold)
        } else {
            place.size(SMALL).soft()
        };
        sheet.words_told(if halo { place.halo() } else { place }, line, &card.told);
    }
}

fn draw_label(sheet: &mut Sheet, map: &RouteMap, label: &Label, shift: f64) {
    let edge = &map.edges[label.edge];
    let ink = if edge_token(edge.kind) == ACCENT {
        ACCENT
    } else {
        SOFT
    };
    let told = if label.words == edge.label.trim() {
        ""
    } else {
        edge.label.as_str()
    };
    let place = Words::at(
        label.area.x + label.area.w / 2.0 + shift,
        label.area.y + 9.0,
    );
    sheet.words_told(
        place.size(SMALL).ink(ink).middle().halo(),
        &label.words,
        told,
    );
}

const NODE_WORDS: [(NodeKind, &str); 7] = [
    (NodeKind::Station, "operation"),
    (NodeKind::Test, "test"),
    (NodeKind::Item, "product"),
    (NodeKind::Store, "store"),
    (NodeKind::Bought, "bought"),
    (NodeKind::ByProduct, "by-product"),
    (NodeKind::Scrap, "scrap"),
];

const EDGE_WORDS: [(EdgeKind, &str); 5] = [
    (EdgeKind::Flow, "flow"),
    (EdgeKind::Rework, "rework"),
    (EdgeKind::Regrind, "regrind"),
    (EdgeKind::ByProduct, "by-product"),
    (EdgeKind::Reject, "reject"),
];

/// The key under the map; gives its height.
fn draw_key(
    sheet: &mut Sheet,
    map: &RouteMap,
    layout: &Layout,
    width: f64,
    heads: &[(Token, String); 3],
    hatch: &str,
) -> f64 {
    let nodes = NODE_WORDS.iter().filter(|(kind, _)| {
        layout
            .boxes
            .iter()
            .any(|(node, ..)| map.nodes[*node].kind == *kind)
    });
    let edges = EDGE_WORDS.iter().filter(|(kind, _)| {
        layout
            .wires
            .iter()
            .any(|wire| map.edges[wire.edge].kind == *kind)
    });
    let (mut x, mut y) = (MARGIN, layout.height + 22.0);
    let mut step = |words: &str| {
        let taken = 26.0 + 6.0 + lettering::width(words, SMALL, false) + 16.0;
        if x > MARGIN && x + taken - 16.0 > width - MARGIN {
            (x, y) = (MARGIN, y + 20.0);
        }
        x += taken;
        (x - taken, y)
    };
    for (kind, words) in nodes {
        let (x, y) = step(words);
        draw_outline(sheet, *kind, Area::new(x + 1.0, y, 24.0, 12.0), hatch, "");
        sheet.words(Words::at(x + 32.0, y + 10.0).size(SMALL).soft(), words);
    }
    for (kind, words) in edges {
        let (x, y) = step(words);
        let line = format!("M{} {}H{}", Num(x), Num(y + 6.0), Num(x + 27.0));
        sheet.path(&line, &edge_style(*kind, 0.2, heads));
        sheet.words(Words::at(x + 32.0, y + 10.0).size(SMALL).soft(), words);
    }
    y + 20.0 - layout.height
}

const MARGIN: f64 = 4.0;
