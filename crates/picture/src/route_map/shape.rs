//! From layers to places on the sheet: bands that run left to right, turn at the margin or run
//! down, boxes, the lines between them and their labels.

use std::ops::Range;

use super::card::Card;
use super::channel::{self, Channel, HEAD, LABEL_ROW, LABEL_SIZE, LEAD};
use super::graph::Graph;
use super::net::Net;
use super::place::places_across;
use super::{Direction, RouteMap};
use crate::ink::Area;
use crate::lettering;

const MARGIN: f64 = 4.0;
const BAND_GAP: f64 = 30.0;
const BOX_WIDTH: f64 = 122.0;
const SLIM_BOX_WIDTH: f64 = 106.0;

/// An arrow as a line of points from its box to its box.
#[derive(Clone, Debug)]
pub(super) struct Wire {
    pub(super) edge: usize,
    pub(super) points: Vec<(f64, f64)>,
}

/// A label beside an arrow.
#[derive(Clone, Debug)]
pub(super) struct Label {
    pub(super) edge: usize,
    pub(super) area: Area,
    pub(super) words: String,
}

/// Where everything stands.
#[derive(Clone, Debug, Default)]
pub(super) struct Layout {
    /// For each box: index of the node in the map, its card and its area.
    pub(super) boxes: Vec<(usize, Card, Area)>,
    pub(super) wires: Vec<Wire>,
    pub(super) labels: Vec<Label>,
    pub(super) width: f64,
    pub(super) height: f64,
}

/// Lays the map out for a width.
pub(super) fn lay_out(map: &RouteMap, width: f64) -> Layout {
    match map.direction {
        Direction::LeftToRight => Flow::along(map, BOX_WIDTH).lay(map, &[]),
        Direction::Turning => turning(map, width),
        Direction::Down => down(map, width),
        Direction::Fit => {
            let line = |box_width| Flow::along(map, box_width).lay(map, &[]);
            let fits = [BOX_WIDTH, SLIM_BOX_WIDTH]
                .into_iter()
                .map(line)
                .find(|l| l.width <= width);
            if let Some(line) = fits {
                line
            } else if width >= 560.0 {
                turning(map, width)
            } else {
                down(map, width)
            }
        }
    }
}

/// Runs down, with the widest boxes that fit.
fn down(map: &RouteMap, width: f64) -> Layout {
    let mut narrowest = None;
    for box_width in [168.0, 148.0, 132.0, 118.0, 106.0, 96.0] {
        let most = ((width - 40.0) / (box_width + 18.0)).max(1.0) as usize;
        let layout = Flow::of(map, false, box_width, most).lay(map, &[]);
        if layout.width <= width {
            return layout;
        }
        narrowest = Some(layout);
    }
    narrowest.unwrap_or_default()
}

/// Turns at the margin, with boxes a little narrower where that saves a band.
fn turning(map: &RouteMap, width: f64) -> Layout {
    let wide = folded(map, &Flow::along(map, BOX_WIDTH), width);
    let slim = folded(map, &Flow::along(map, SLIM_BOX_WIDTH), width);
    if slim.height < 0.9 * wide.height {
        slim
    } else {
        wide
    }
}

/// Folds the layers into bands of about equal length that fit the width.
fn folded(map: &RouteMap, flow: &Flow, width: f64) -> Layout {
    let mut budget = width - 60.0;
    let mut layout = Layout::default();
    for _ in 0..10 {
        let bands = flow.fold_evenly(budget);
        layout = flow.lay(map, &bands);
        if layout.width <= width {
            break;
        }
        budget -= 20.0;
    }
    layout
}

/// A net with all that is known before it is put on the sheet.
struct Flow {
    along_x: bool,
    graph: Graph,
    net: Net,
    cards: Vec<Card>,
    /// Size of each box along and across the flow.
    sizes: Vec<(f64, f64)>,
    across: Vec<f64>,
    /// Size of each layer along the flow.
    thick: Vec<f64>,
    channels: Vec<Channel>,
    /// The one band of a flow that is not folded.
    whole: Range<usize>,
}

impl Flow {
    fn along(map: &RouteMap, box_width: f64) -> Self {
        Self::of(map, true, box_width, 5)
    }

    fn of(map: &RouteMap, along_x: bool, box_width: f64, most: usize) -> Self {
        let graph = Graph::of(map, most);
        let mut cards: Vec<Card> = graph
            .nodes
            .iter()
            .map(|&node| Card::of(&map.nodes[node], box_width))
            .collect();
        if along_x {
            make_room_for_ports(&graph, &mut cards);
        }
        let sizes: Vec<(f64, f64)> = cards
            .iter()
            .map(|card| {
                if along_x {
                    (card.width, card.height)
                } else {
                    (card.height, card.width)
                }
            })
            .collect();
        let cross: Vec<f64> = sizes.iter().map(|size| size.1).collect();
        let loop_rooms: Vec<f64> = graph
            .loops
            .iter()
            .map(|(edge, _)| loop_label_room(map.edges[*edge].label.trim(), along_x))
            .collect();
        let net = Net::of(map, &graph, &cross, &loop_rooms);
        let across = places_across(&net);
        let mut thick = vec![0.0_f64; net.layers.len()];
        for (node, size) in sizes.iter().enumerate() {
            let layer = net.vertices[node].layer;
            thick[layer] = thick[layer].max(size.0);
        }
        let mut flow = Self {
            along_x,
            graph,
            net,
            cards,
            sizes,
            across,
            whole: 0..thick.len(),
            thick,
            channels: Vec::new(),
        };
        flow.channels = (0..flow.thick.len().max(1) - 1)
            .map(|layer| flow.channel(map, layer))
            .collect();
        flow
    }

    fn channel(&self, map: &RouteMap, layer: usize) -> Channel {
        let runs = channel::runs(&self.net, &self.across, layer);
        let (tracks, track_count) = channel::tracks(&runs, false);
        let labels: Vec<(channel::Run, &str)> = runs
            .iter()
            .filter_map(|run| {
                let arc = self
                    .net
                    .chains
                    .iter()
                    .position(|chain| chain.last() == Some(&run.link))?;
                let words = map.edges[self.graph.arcs[arc].edge].label.trim();
                (!words.is_empty()).then_some((*run, words))
            })
            .collect();
        let (tags, label_room) = if self.along_x {
            channel::tags_along(&labels)
        } else {
            channel::tags_down(&labels, &runs)
        };
        Channel {
            tracks,
            track_count,
            tags,
            label_room,
        }
    }

    /// Bands as long as the budget allows, then as short as that number of bands allows.
    fn fold_evenly(&self, budget: f64) -> Vec<Range<usize>> {
        let mut bands = self.fold(budget);
        let mut less = budget;
        while less > 150.0 {
            less -= 10.0;
            let shorter = self.fold(less);
            if shorter.len() > bands.len() {
                break;
            }
            bands = shorter;
        }
        bands
    }

    fn fold(&self, budget: f64) -> Vec<Range<usize>> {
        let mut bands = Vec::new();
        let (mut first, mut length) = (0, 0.0);
        for layer in 0..self.thick.len() {
            let step = if layer == first {
                0.0
            } else {
                self.channels[layer - 1].length()
            };
            if layer > first && length + step + self.thick[layer] > budget {
                bands.push(first..layer);
                (first, length) = (layer, self.thick[layer]);
            } else {
                length += step + self.thick[layer];
            }
        }
        bands.push(first..self.thick.len());
        bands
    }

    fn length(&self, layers: &Range<usize>) -> f64 {
        let channels = self.channels[layers.start..layers.end.max(layers.start + 1) - 1].iter();
        self.thick[layers.clone()].iter().sum::<f64>() + channels.map(Channel::length).sum::<f64>()
    }

    /// What each channel of a band is widened by, so that all bands turn at the same margins.
    fn spare(&self, layers: &Range<usize>, longest: f64) -> f64 {
        let channels = layers.len().saturating_sub(1).max(1) as f64;
        ((longest - self.length(layers)) / channels).clamp(0.0, 80.0)
    }

    /// Puts everything on the sheet; no bands means one for all.
    fn lay(&self, map: &RouteMap, bands: &[Range<usize>]) -> Layout {
        let whole = std::slice::from_ref(&self.whole);
        let ground = Ground::of(self, if bands.is_empty() { whole } else { bands });
        let mut layout = Layout::default();
        for (node, card) in self.cards.iter().enumerate() {
            let area = ground.box_area(node);
            layout
                .boxes
                .push((self.graph.nodes[node], card.clone(), area));
        }
        for index in 0..self.graph.arcs.len() {
            layout.wires.push(Wire {
                edge: self.graph.arcs[index].edge,
                points: ground.wire(index),
            });
            layout.labels.extend(ground.label(index));
        }
        for (index, &(edge, _)) in self.graph.loops.iter().enumerate() {
            layout.wires.push(Wire {
                edge,
                points: ground.self_loop(index),
            });
            layout
                .labels
                .extend(ground.loop_label(index, map.edges[edge].label.trim()));
        }
        layout.settle();
        layout
    }
}

fn loop_label_room(label: &str, along_x: bool) -> f64 {
    match (label.is_empty(), along_x) {
        (true, _) => 0.0,
        (false, true) => LABEL_ROW + 4.0,
        (false, false) => lettering::width(label, LABEL_SIZE, false).min(90.0) + 8.0,
    }
}

/// Boxes whose arrows arrive on a short side grow until the arrows have room for their labels.
fn make_room_for_ports(graph: &Graph, cards: &mut [Card]) {
    for (node, card) in cards.iter_mut().enumerate() {
        let arriving = graph
            .arcs
            .iter()
            .filter(|a| a.head == node && !a.back)
            .count();
        let leaving = graph
            .arcs
            .iter()
            .filter(|a| a.tail == node && !a.back)
            .count();
        // The spine holds the middle, so all others may stand on one side of it.
        let beside = arriving.max(leaving).saturating_sub(1) as f64;
        card.height = card.height.max(2.0 * beside * super::net::PORT + 16.0);
    }
}

/// The layers of a flow on the sheet.
struct Ground<'a> {
    flow: &'a Flow,
    /// Band of each layer.
    band: Vec<usize>,
    /// Where the flow enters and leaves each layer, along the flow.
    entry: Vec<f64>,
    exit: Vec<f64>,
    /// Shift across the flow of each band; odd bands are mirrored.
    shift: Vec<f64>,
    /// Tracks of the channel after each layer, where the flow turns there.
    turns: Vec<Option<Channel>>,
}

impl<'a> Ground<'a> {
    fn of(flow: &'a Flow, bands: &[Range<usize>]) -> Self {
        let depth = flow.thick.len();
        let mut ground = Self {
            flow,
            band: vec![0; depth],
            entry: vec![0.0; depth],
            exit: vec![0.0; depth],
            shift: Vec::new(),
            turns: vec![None; depth],
        };
        let (mut at, mut below) = (0.0, 0.0);
        let longest = bands
            .iter()
            .map(|layers| flow.length(layers))
            .fold(0.0, f64::max);
        for (band, layers) in bands.iter().enumerate() {
            let way = if band % 2 == 0 { 1.0 } else { -1.0 };
            let is_last = band + 1 == bands.len();
            let spare = if is_last {
                0.0
            } else {
                flow.spare(layers, longest)
            };
            for layer in layers.clone() {
                if layer > layers.start {
                    at += way * (flow.channels[layer - 1].length() + spare);
                }
                ground.band[layer] = band;
                ground.entry[layer] = at;
                at += way * flow.thick[layer];
                ground.exit[layer] = at;
            }
            let (low, high) = ground.band_extent(layers, way);
            ground.shift.push(below - low);
            below += high - low + BAND_GAP;
        }
        ground.find_turns(bands);
        ground
    }

    fn band_extent(&self, layers: &Range<usize>, way: f64) -> (f64, f64) {
        let flow = self.flow;
        let vertices = layers
            .clone()
            .flat_map(|layer| flow.net.layers[layer].iter());
        vertices.fold(
            (f64::INFINITY, f64::NEG_INFINITY),
            |(low, high), &vertex| {
                let (x, v) = (flow.across[vertex], &flow.net.vertices[vertex]);
                let ends = (way * (x - v.before - 8.0), way * (x + v.after + 8.0));
                (low.min(ends.0.min(ends.1)), high.max(ends.0.max(ends.1)))
            },
        )
    }

    fn find_turns(&mut self, bands: &[Range<usize>]) {
        for layers in bands.iter().take(bands.len().saturating_sub(1)) {
            let last = layers.end - 1;
            let mut runs = channel::runs(&self.flow.net, &self.flow.across, last);
            for run in &mut runs {
                run.start = self.cross(last, run.start);
                run.end = self.cross(last + 1, run.end);
            }
            let (tracks, track_count) = channel::tracks(&runs, true);
            let mut turn = self.flow.channels[last].clone();
            (turn.tracks, turn.track_count) = (tracks, track_count);
            self.turns[last] = Some(turn);
        }
    }

    /// +1 where the band runs forward, -1 where it runs back.
    fn way(&self, layer: usize) -> f64 {
        if self.band[layer].is_multiple_of(2) {
            1.0
        } else {
            -1.0
        }
    }

    fn cross(&self, layer: usize, across: f64) -> f64 {
        self.shift[self.band[layer]] + self.way(layer) * across
    }

    fn point(&self, along: f64, cross: f64) -> (f64, f64) {
        if self.flow.along_x {
            (along, cross)
        } else {
            (cross, along)
        }
    }

    fn area(&self, along: (f64, f64), cross: (f64, f64)) -> Area {
        let (a, b) = (self.point(along.0, cross.0), self.point(along.1, cross.1));
        Area::new(
            a.0.min(b.0),
            a.1.min(b.1),
            (a.0 - b.0).abs(),
            (a.1 - b.1).abs(),
        )
    }

    fn layer(&self, vertex: usize) -> usize {
        self.flow.net.vertices[vertex].layer
    }

    fn middle(&self, node: usize) -> f64 {
        let layer = self.layer(node);
        f64::midpoint(self.entry[layer], self.exit[layer])
    }

    fn box_area(&self, node: usize) -> Area {
        let (along, across) = self.flow.sizes[node];
        let cross = self.cross(self.layer(node), self.flow.across[node]);
        let middle = self.middle(node);
        self.area(
            (middle - along / 2.0, middle + along / 2.0),
            (cross - across / 2.0, cross + across / 2.0),
        )
    }

    /// A point beside a box, by its offsets from the centre of the box in the sense of the flow.
    fn beside(&self, node: usize, along: f64, across: f64) -> (f64, f64) {
        let layer = self.layer(node);
        let cross = self.cross(layer, self.flow.across[node] + across);
        self.point(self.middle(node) + self.way(layer) * along, cross)
    }

    /// The line of an arc, in the arrow's own direction.
    fn wire(&self, index: usize) -> Vec<(f64, f64)> {
        let flow = self.flow;
        let arc = flow.graph.arcs[index];
        let chain = &flow.net.chains[index];
        let mut points = Vec::new();
        let slots = flow.net.slots[index];
        if arc.back {
            points.push(self.beside(arc.tail, slots.0.along, flow.sizes[arc.tail].1 / 2.0));
            points.push(self.beside(arc.tail, slots.0.along, slots.0.across));
        } else if let Some(&first) = chain.first() {
            let port = flow.net.links[first].up_port;
            points.push(self.beside(arc.tail, flow.sizes[arc.tail].0 / 2.0, port));
        }
        for &link in chain {
            self.run_link(link, &mut points);
        }
        if arc.back {
            points.push(self.beside(arc.head, slots.1.along, slots.1.across));
            points.push(self.beside(arc.head, slots.1.along, flow.sizes[arc.head].1 / 2.0));
            points.reverse();
        } else if let Some(&last) = chain.last() {
            let port = flow.net.links[last].down_port;
            points.push(self.beside(arc.head, -flow.sizes[arc.head].0 / 2.0, port));
        }
        without_idle_points(&points)
    }

    fn run_link(&self, index: usize, points: &mut Vec<(f64, f64)>) {
        let flow = self.flow;
        let link = &flow.net.links[index];
        let (above, below) = (self.layer(link.up), self.layer(link.down));
        let start = self.cross(above, flow.across[link.up] + link.up_port);
        let end = self.cross(below, flow.across[link.down] + link.down_port);
        points.push(self.point(self.exit[above], start));
        let turn = self.turns[above].as_ref();
        let track = turn.unwrap_or(&flow.channels[above]).track(index);
        if let Some(track) = track {
            let lead = turn.map_or(LEAD, |turn| HEAD + turn.label_room + LEAD);
            let along = self.exit[above] + self.way(above) * (lead + track);
            points.push(self.point(along, start));
            points.push(self.point(along, end));
        }
        points.push(self.point(self.entry[below], end));
    }

    /// The label of an arc, beside its last piece.
    fn label(&self, index: usize) -> Option<Label> {
        let flow = self.flow;
        let &last = flow.net.chains[index].last()?;
        let link = &flow.net.links[last];
        let below = self.layer(link.down);
        let tag = flow.channels[below - 1]
            .tags
            .iter()
            .find(|tag| tag.link == last)?;
        let cross = self.cross(below, flow.across[link.down] + link.down_port);
        let area = if flow.along_x {
            let near = self.entry[below] - self.way(below) * (HEAD - 4.0);
            let far = near - self.way(below) * tag.width;
            self.area((near, far), (cross - 12.5, cross - 2.5))
        } else {
            let bottom = self.entry[below] - HEAD + 2.0 - tag.row as f64 * LABEL_ROW;
            let near = if tag.low_side {
                cross - 5.0 - tag.width
            } else {
                cross + 5.0
            };
            self.area((bottom - 10.5, bottom), (near, near + tag.width))
        };
        Some(Label {
            edge: flow.graph.arcs[index].edge,
            area,
            words: tag.words.clone(),
        })
    }

    fn self_loop(&self, index: usize) -> Vec<(f64, f64)> {
        let node = self.flow.graph.loops[index].1;
        let half = self.flow.sizes[node].1 / 2.0;
        let slot = self.flow.net.loop_slots[index];
        // Outer loops reach a little further along the box than the loops inside them.
        let inside = self.flow.graph.loops[..index]
            .iter()
            .filter(|other| other.1 == node)
            .count();
        let reach = 7.0 + 4.0 * inside.min(2) as f64;
        vec![
            self.beside(node, reach, half),
            self.beside(node, reach, slot),
            self.beside(node, -reach, slot),
            self.beside(node, -reach, half),
        ]
    }

    fn loop_label(&self, index: usize, words: &str) -> Option<Label> {
        let (edge, node) = self.flow.graph.loops[index];
        let along_x = self.flow.along_x;
        let room = if along_x {
            self.flow.sizes[node].0
        } else {
            90.0
        };
        let words = lettering::elide(words, LABEL_SIZE, false, room);
        if words.is_empty() {
            return None;
        }
        let width = lettering::width(&words, LABEL_SIZE, false);
        let slot = self.flow.net.loop_slots[index];
        let (a, b) = if along_x {
            (
                self.beside(node, -width / 2.0, slot + 3.0),
                self.beside(node, width / 2.0, slot + 13.5),
            )
        } else {
            (
                self.beside(node, -5.0, slot + 4.0),
                self.beside(node, 5.5, slot + 4.0 + width),
            )
        };
        let area = Area::new(
            a.0.min(b.0),
            a.1.min(b.1),
            (a.0 - b.0).abs(),
            (a.1 - b.1).abs(),
        );
        Some(Label { edge, area, words })
    }
}

/// The line without points that lie on the way between their neighbours.
fn without_idle_points(points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let near = |a: f64, b: f64| (a - b).abs() < 0.6;
    let mut out: Vec<(f64, f64)> = Vec::new();
    for &point in points {
        while let [.., before, last] = out[..] {
            let on_column = near(before.0, last.0) && near(last.0, point.0);
            let on_row = near(before.1, last.1) && near(last.1, point.1);
            if !(on_column || on_row) {
                break;
            }
            out.pop();
        }
        if out
            .last()
            .is_none_or(|last| !(near(last.0, point.0) && near(last.1, point.1)))
        {
            out.push(point);
        }
    }
    out
}

impl Layout {
    /// Moves everything to the top left corner and takes the measure of the whole.
    fn settle(&mut self) {
        let (mut low, mut high) = ((0.0_f64, 0.0_f64), (0.0_f64, 0.0_f64));
        let mut first = true;
        let mut take = |x: f64, y: f64| {
            if first {
                (low, high, first) = ((x, y), (x, y), false);
            }
            low = (low.0.min(x), low.1.min(y));
            high = (high.0.max(x), high.1.max(y));
        };
        let areas = self
            .boxes
            .iter()
            .map(|b| b.2)
            .chain(self.labels.iter().map(|l| l.area));
        for area in areas {
            take(area.x, area.y);
            take(area.x + area.w, area.y + area.h);
        }
        for &(x, y) in self.wires.iter().flat_map(|wire| &wire.points) {
            take(x, y);
        }
        let (dx, dy) = (MARGIN - low.0, MARGIN - low.1);
        for area in self
            .boxes
            .iter_mut()
            .map(|b| &mut b.2)
            .chain(self.labels.iter_mut().map(|l| &mut l.area))
        {
            area.x += dx;
            area.y += dy;
        }
        for point in self
            .wires
            .iter_mut()
            .flat_map(|wire| wire.points.iter_mut())
        {
            *point = (point.0 + dx, point.1 + dy);
        }
        self.width = high.0 - low.0 + 2.0 * MARGIN;
        self.height = high.1 - low.1 + 2.0 * MARGIN;
    }
}
