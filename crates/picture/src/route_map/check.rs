//! An independent judge of a laid out map: it knows only areas and lines, not how they came about.

use super::RouteMap;
use super::shape::Layout;
use crate::ink::Area;

fn overlap(a: Area, b: Area, apart: f64) -> bool {
    a.x < b.x + b.w + apart
        && b.x < a.x + a.w + apart
        && a.y < b.y + b.h + apart
        && b.y < a.y + a.h + apart
}

fn on_border(point: (f64, f64), area: Area) -> bool {
    let (right, bottom) = (area.x + area.w, area.y + area.h);
    let inside = |v: f64, low: f64, high: f64| v > low - 0.6 && v < high + 0.6;
    let near = |a: f64, b: f64| (a - b).abs() < 0.6;
    let beside = near(point.0, area.x) || near(point.0, right);
    let above = near(point.1, area.y) || near(point.1, bottom);
    (beside && inside(point.1, area.y, bottom)) || (above && inside(point.0, area.x, right))
}

/// Everything wrong with a layout, in words.
pub(super) fn faults(map: &RouteMap, layout: &Layout) -> Vec<String> {
    let mut out = Vec::new();
    let name = |node: usize| &map.nodes[node].id;
    for (at, (node, _, area)) in layout.boxes.iter().enumerate() {
        for (other, _, second) in &layout.boxes[..at] {
            if overlap(*area, *second, 3.0) {
                out.push(format!(
                    "boxes {} and {} overlap",
                    name(*node),
                    name(*other)
                ));
            }
        }
        for label in layout
            .labels
            .iter()
            .filter(|label| overlap(*area, label.area, 0.0))
        {
            out.push(format!("label {} lies on box {}", label.words, name(*node)));
        }
    }
    for (at, label) in layout.labels.iter().enumerate() {
        for other in layout.labels[..at]
            .iter()
            .filter(|other| overlap(label.area, other.area, 0.0))
        {
            out.push(format!(
                "labels {} and {} overlap",
                label.words, other.words
            ));
        }
    }
    wire_faults(map, layout, &mut out);
    let held = |x: f64, y: f64| {
        x >= -0.1 && y >= -0.1 && x <= layout.width + 0.1 && y <= layout.height + 0.1
    };
    let areas = layout
        .boxes
        .iter()
        .map(|b| b.2)
        .chain(layout.labels.iter().map(|l| l.area));
    if areas
        .into_iter()
        .any(|a| !held(a.x, a.y) || !held(a.x + a.w, a.y + a.h))
    {
        out.push("something lies outside the picture".to_owned());
    }
    out
}

fn wire_faults(map: &RouteMap, layout: &Layout, out: &mut Vec<String>) {
    let area = |id: &str| {
        layout
            .boxes
            .iter()
            .find(|(node, ..)| map.nodes[*node].id == id)
            .map(|b| b.2)
    };
    for (index, edge) in map.edges.iter().enumerate() {
        let (from, to) = (area(&edge.from), area(&edge.to));
        let wires: Vec<_> = layout
            .wires
            .iter()
            .filter(|wire| wire.edge == index)
            .collect();
        let (Some(from), Some(to)) = (from, to) else {
            if !wires.is_empty() {
                out.push(format!("edge {index} names no box and is drawn"));
            }
            continue;
        };
        let [wire] = wires[..] else {
            out.push(format!("edge {index} is drawn {} times", wires.len()));
            continue;
        };
        let ends = (wire.points.first().copied(), wire.points.last().copied());
        if !ends.0.is_some_and(|p| on_border(p, from)) || !ends.1.is_some_and(|p| on_border(p, to))
        {
            out.push(format!(
                "edge {index} does not end at its boxes: {:?}",
                wire.points
            ));
        }
        if !edge.label.trim().is_empty() && !layout.labels.iter().any(|label| label.edge == index) {
            out.push(format!("edge {index} lost its label"));
        }
    }
    for wire in &layout.wires {
        for pair in wire.points.windows(2) {
            let (a, b) = (pair[0], pair[1]);
            let line = Area::new(
                a.0.min(b.0),
                a.1.min(b.1),
                (a.0 - b.0).abs(),
                (a.1 - b.1).abs(),
            );
            if line.w > 0.6 && line.h > 0.6 {
                out.push(format!("edge {} runs aslant: {a:?} {b:?}", wire.edge));
            }
            for (node, _, area) in layout.boxes.iter().filter(|b| overlap(line, b.2, -1.0)) {
                out.push(format!(
                    "edge {} runs through {} {area:?}",
                    wire.edge,
                    name_of(map, *node)
                ));
            }
        }
    }
}

fn name_of(map: &RouteMap, node: usize) -> &str {
    &map.nodes[node].id
}
