//! The layered net: boxes and the bends of long arrows as vertices, links only between
//! neighbouring layers, ordered to cross little.
//!
//! An arrow that runs back leaves its box sideways into a lane: the box's vertex is made wider by
//! its lanes, so that the lane is ordered and placed with the box. Ordering follows Gansner et al.
//! 1993, section 3: sweeps by the mean place of neighbours, then swaps of neighbours while they help.

use super::graph::Graph;
use super::{EdgeKind, NodeKind, RouteMap};

/// Distance between lanes beside a box.
pub(super) const LANE: f64 = 13.0;
/// Distance between two arrows on one side of a box.
pub(super) const PORT: f64 = 14.0;
const BEND: f64 = 5.0;

/// A box or a bend.
#[derive(Clone, Debug)]
pub(super) struct Vertex {
    pub(super) layer: usize,
    /// Extent across the flow, from the centre to the low side.
    pub(super) before: f64,
    /// Extent across the flow, from the centre to the high side, lanes included.
    pub(super) after: f64,
    pub(super) is_box: bool,
}

/// A piece of an arrow between two neighbouring layers.
#[derive(Clone, Debug)]
pub(super) struct Link {
    pub(super) up: usize,
    pub(super) down: usize,
    /// Offset across the flow from the centre of the vertex above (earlier).
    pub(super) up_port: f64,
    pub(super) down_port: f64,
    /// Whether it leaves through a lane beside the box.
    pub(super) up_lane: bool,
    pub(super) down_lane: bool,
    /// How much it wants to be straight: 2 between bends, 1 on the spine of the route, 0 else.
    pub(super) rank: u8,
}

/// The place of a lane end at a box.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Slot {
    /// Offset across the flow from the centre of the box.
    pub(super) across: f64,
    /// Offset along the flow from the centre of the box, where the lane's stub leaves.
    pub(super) along: f64,
}

/// The net.
#[derive(Debug)]
pub(super) struct Net {
    /// Boxes first, with the numbers of the graph's nodes; then bends.
    pub(super) vertices: Vec<Vertex>,
    pub(super) links: Vec<Link>,
    /// Links of each arc from its tail to its head.
    pub(super) chains: Vec<Vec<usize>>,
    /// Vertices of each layer in their order across.
    pub(super) layers: Vec<Vec<usize>>,
    /// For arcs that run back: slots at tail and head.
    pub(super) slots: Vec<(Slot, Slot)>,
    /// For each arrow from a node to itself: offset of its lane from the centre of the box.
    pub(super) loop_slots: Vec<f64>,
}

impl Net {
    /// Builds and orders the net; `cross` is the size of each box across the flow, `loop_rooms` the
    /// room for the label of each arrow from a node to itself.
    pub(super) fn of(map: &RouteMap, graph: &Graph, cross: &[f64], loop_rooms: &[f64]) -> Self {
        let mut net = Self {
            vertices: Vec::new(),
            links: Vec::new(),
            chains: vec![Vec::new(); graph.arcs.len()],
            layers: vec![Vec::new(); graph.layer.iter().max().map_or(0, |last| last + 1)],
            slots: vec![(Slot::default(), Slot::default()); graph.arcs.len()],
            loop_slots: vec![0.0; graph.loops.len()],
        };
        net.add_boxes(graph, cross, loop_rooms);
        let spine = spine(map, graph);
        for (index, &on_spine) in spine.iter().enumerate() {
            net.add_chain(graph, index, on_spine);
        }
        net.reduce_crossings();
        net.set_ports(graph, cross);
        net
    }

    fn add_boxes(&mut self, graph: &Graph, cross: &[f64], loop_rooms: &[f64]) {
        for (node, &layer) in graph.layer.iter().enumerate() {
            let half = cross[node] / 2.0;
            let mut after = half;
            for leaving in [true, false] {
                after = after.max(self.give_slots(graph, node, cross, leaving));
            }
            for (index, _) in graph.loops.iter().enumerate().filter(|(_, l)| l.1 == node) {
                after += LANE;
                self.loop_slots[index] = after;
                after += loop_rooms[index];
            }
            self.vertices.push(Vertex {
                layer,
                before: half,
                after,
                is_box: true,
            });
            self.layers[layer].push(node);
        }
    }

    /// Slots of the lanes that run on from a node (`leaving`) or arrive at it, short ones inside.
    /// Stubs are staggered so that none crosses a lane of the same box. A lane clears the larger of
    /// its two boxes, so that it runs straight between them. Gives the offset of the outermost.
    fn give_slots(&mut self, graph: &Graph, node: usize, cross: &[f64], leaving: bool) -> f64 {
        let mut lanes: Vec<usize> = (0..graph.arcs.len())
            .filter(|&index| {
                let arc = &graph.arcs[index];
                arc.back && node == if leaving { arc.tail } else { arc.head }
            })
            .collect();
        let span = |index: usize| {
            let arc = &graph.arcs[index];
            graph.layer[arc.head] - graph.layer[arc.tail]
        };
        lanes.sort_by_key(|&index| (span(index), index));
        let mut outermost = cross[node] / 2.0;
        let step = (16.0 / lanes.len().max(1) as f64).min(8.0);
        for (place, &index) in lanes.iter().enumerate() {
            let depth = 4.0 + step * (lanes.len() - 1 - place) as f64;
            let arc = &graph.arcs[index];
            outermost = outermost.max(cross[arc.tail].max(cross[arc.head]) / 2.0) + LANE;
            let slot = Slot {
                across: outermost,
                along: if leaving { depth } else { -depth },
            };
            let end = &mut self.slots[index];
            *(if leaving { &mut end.0 } else { &mut end.1 }) = slot;
        }
        outermost
    }

    fn add_chain(&mut self, graph: &Graph, index: usize, on_spine: bool) {
        let arc = graph.arcs[index];
        let mut from = arc.tail;
        for layer in graph.layer[arc.tail] + 1..=graph.layer[arc.head] {
            let last = layer == graph.layer[arc.head];
            let to = if last { arc.head } else { self.vertices.len() };
            if !last {
                self.vertices.push(Vertex {
                    layer,
                    before: BEND,
                    after: BEND,
                    is_box: false,
                });
                self.layers[layer].push(to);
            }
            let first = from == arc.tail;
            self.chains[index].push(self.links.len());
            self.links.push(Link {
                up: from,
                down: to,
                up_port: if first && arc.back {
                    self.slots[index].0.across
                } else {
                    0.0
                },
                down_port: if last && arc.back {
                    self.slots[index].1.across
                } else {
                    0.0
                },
                up_lane: first && arc.back,
                down_lane: last && arc.back,
                rank: if !first && !last {
                    2
                } else {
                    u8::from(on_spine)
                },
            });
            from = to;
        }
    }

    /// Place of each vertex in its layer.
    pub(super) fn places(&self) -> Vec<usize> {
        let mut place = vec![0; self.vertices.len()];
        for layer in &self.layers {
            for (at, &vertex) in layer.iter().enumerate() {
                place[vertex] = at;
            }
        }
        place
    }

    /// Links that leave each vertex and links that arrive at it.
    pub(super) fn sides(&self) -> (Vec<Vec<usize>>, Vec<Vec<usize>>) {
        let mut out = vec![Vec::new(); self.vertices.len()];
        let mut into = out.clone();
        for (index, link) in self.links.iter().enumerate() {
            out[link.up].push(index);
            into[link.down].push(index);
        }
        (out, into)
    }

    /// Ends of a link as places with the lane after the box.
    fn ends(&self, link: usize, place: &[usize]) -> (f64, f64) {
        let link = &self.links[link];
        let lane = |on: bool| if on { 0.4 } else { 0.0 };
        (
            place[link.up] as f64 + lane(link.up_lane),
            place[link.down] as f64 + lane(link.down_lane),
        )
    }

    fn crossings(&self, place: &[usize]) -> usize {
        let mut by_layer: Vec<Vec<(f64, f64)>> = vec![Vec::new(); self.layers.len()];
        for (index, link) in self.links.iter().enumerate() {
            by_layer[self.vertices[link.up].layer].push(self.ends(index, place));
        }
        by_layer.iter().map(|ends| crossing_pairs(ends)).sum()
    }

    fn reduce_crossings(&mut self) {
        let (out, into) = self.sides();
        let mut best = self.layers.clone();
        let mut fewest = self.crossings(&self.places());
        for round in 0..16 {
            if fewest == 0 {
                break;
            }
            self.sweep(round % 2 == 0, &out, &into);
            self.swap_neighbours(&out, &into);
            let found = self.crossings(&self.places());
            if found < fewest {
                fewest = found;
                best.clone_from(&self.layers);
            }
        }
        self.layers = best;
    }

    /// One sweep: each layer sorted by the mean place of its neighbours in the layer before (or
    /// after). A vertex without any keeps its place.
    fn sweep(&mut self, down: bool, out: &[Vec<usize>], into: &[Vec<usize>]) {
        let depth = self.layers.len();
        let mut place = self.places();
        for step in 1..depth {
            let layer = if down { step } else { depth - 1 - step };
            let wish = |vertex: usize| {
                let links = if down { &into[vertex] } else { &out[vertex] };
                let sum: f64 = links
                    .iter()
                    .map(|&link| {
                        let (up, low) = self.ends(link, &place);
                        if down { up } else { low }
                    })
                    .sum();
                if links.is_empty() {
                    place[vertex] as f64
                } else {
                    sum / links.len() as f64
                }
            };
            let mut wishes: Vec<(f64, usize)> = self.layers[layer]
                .iter()
                .map(|&vertex| (wish(vertex), vertex))
                .collect();
            wishes.sort_by(|a, b| a.0.total_cmp(&b.0));
            for (at, &(_, vertex)) in wishes.iter().enumerate() {
                place[vertex] = at;
                self.layers[layer][at] = vertex;
            }
        }
    }

    /// Swaps neighbours in a layer while that takes away crossings.
    fn swap_neighbours(&mut self, out: &[Vec<usize>], into: &[Vec<usize>]) {
        let mut place = self.places();
        for _ in 0..6 {
            let mut better = false;
            for layer in 0..self.layers.len() {
                for at in 1..self.layers[layer].len() {
                    let (left, right) = (self.layers[layer][at - 1], self.layers[layer][at]);
                    let gain = self.gain(&out[left], &out[right], &place, true)
                        + self.gain(&into[left], &into[right], &place, false);
                    if gain > 0 {
                        self.layers[layer].swap(at - 1, at);
                        place.swap(left, right);
                        better = true;
                    }
                }
            }
            if !better {
                break;
            }
        }
    }

    /// Crossings between the links of two neighbours now, less those after swapping them.
    fn gain(&self, left: &[usize], right: &[usize], place: &[usize], leaving: bool) -> i64 {
        let far = |link: &usize| {
            let (up, low) = self.ends(*link, place);
            if leaving { low } else { up }
        };
        let mut gain = 0;
        for a in left.iter().map(far) {
            for b in right.iter().map(far) {
                gain += i64::from(a > b) - i64::from(a < b);
            }
        }
        gain
    }

    /// Spreads the arrows of each box side: the spine in the middle, the others beside it in the
    /// order of where they come from, so that no two share a line.
    fn set_ports(&mut self, graph: &Graph, cross: &[f64]) {
        let place = self.places();
        let (out, into) = self.sides();
        for node in 0..graph.nodes.len() {
            for leaving in [true, false] {
                let side = if leaving { &out[node] } else { &into[node] };
                let mut links: Vec<usize> = side
                    .iter()
                    .copied()
                    .filter(|&l| {
                        !(if leaving {
                            self.links[l].up_lane
                        } else {
                            self.links[l].down_lane
                        })
                    })
                    .collect();
                let far = |link: usize| {
                    let (up, low) = self.ends(link, &place);
                    if leaving { low } else { up }
                };
                links.sort_by(|&a, &b| far(a).total_cmp(&far(b)).then(a.cmp(&b)));
                let ports = spread(&links, cross[node], |l| self.links[l].rank > 0);
                for (&link, port) in links.iter().zip(ports) {
                    let link = &mut self.links[link];
                    *(if leaving {
                        &mut link.up_port
                    } else {
                        &mut link.down_port
                    }) = port;
                }
            }
        }
    }
}

/// Offsets for the arrows of one side of a box.
fn spread(links: &[usize], cross: f64, on_spine: impl Fn(usize) -> bool) -> Vec<f64> {
    let middle = links
        .iter()
        .position(|&link| on_spine(link))
        .map_or((links.len().max(1) - 1) as f64 / 2.0, |at| at as f64);
    let furthest = middle.max(links.len().max(1) as f64 - 1.0 - middle);
    let room = cross / 2.0 - 7.0;
    let step = if furthest > 0.0 {
        PORT.min(room / furthest)
    } else {
        0.0
    };
    (0..links.len())
        .map(|at| (at as f64 - middle) * step)
        .collect()
}

fn crossing_pairs(ends: &[(f64, f64)]) -> usize {
    let mut pairs = 0;
    for (at, a) in ends.iter().enumerate() {
        pairs += ends[..at]
            .iter()
            .filter(|b| (a.0 - b.0) * (a.1 - b.1) < 0.0)
            .count();
    }
    pairs
}

/// Which arcs form the spine: the best way on from their tail and the best way into their head.
fn spine(map: &RouteMap, graph: &Graph) -> Vec<bool> {
    let score = |index: usize| {
        let arc = &graph.arcs[index];
        let main = |node: usize| {
            matches!(
                map.nodes[graph.nodes[node]].kind,
                NodeKind::Station | NodeKind::Test | NodeKind::Item | NodeKind::Store
            )
        };
        let edge = &map.edges[arc.edge];
        let flow = edge.kind == EdgeKind::Flow && !arc.back;
        let weight = if edge.weight.is_finite() {
            edge.weight.clamp(0.0, 1.0)
        } else {
            0.0
        };
        if flow && main(arc.tail) {
            2.0 + f64::from(u8::from(main(arc.head))) + weight
        } else {
            -1.0
        }
    };
    let best = |end: &dyn Fn(usize) -> usize| {
        let mut best: Vec<Option<usize>> = vec![None; graph.nodes.len()];
        for index in 0..graph.arcs.len() {
            let slot = &mut best[end(index)];
            if score(index) > slot.map_or(0.0, score) {
                *slot = Some(index);
            }
        }
        best
    };
    let on = best(&|index| graph.arcs[index].tail);
    let into = best(&|index| graph.arcs[index].head);
    (0..graph.arcs.len())
        .map(|index| {
            let arc = &graph.arcs[index];
            on[arc.tail] == Some(index) && into[arc.head] == Some(index)
        })
        .collect()
}
