//! From the map's names to a graph of numbers without cycles, every node in a layer.
//!
//! Arrows that run back by their kind (rework, regrind) are turned round first; what cycles are
//! left are broken where a depth-first walk meets a node it is still inside of (Gansner, Koutsofios,
//! North and Vo, "A technique for drawing directed graphs", IEEE TSE 19(3), 1993, section 2.1).
//! Layers are longest paths, then each node moves to where its arrows are shortest (the idea of
//! Nikolov and Tarassov, "Graph layering by promotion of nodes", Discrete Applied Mathematics 154,
//! 2006, with single nodes and both directions).

use std::collections::BTreeMap;

use super::{EdgeKind, NodeKind, RouteMap};

/// An arrow in the direction of the layers.
#[derive(Clone, Copy, Debug)]
pub(super) struct Arc {
    /// Index of the arrow in the map.
    pub(super) edge: usize,
    /// Node on the earlier layer.
    pub(super) tail: usize,
    /// Node on the later layer.
    pub(super) head: usize,
    /// Whether the arrow really runs from head to tail.
    pub(super) back: bool,
}

/// The map in numbers.
#[derive(Debug)]
pub(super) struct Graph {
    /// Index in the map of each node; a repeated id is left out.
    pub(super) nodes: Vec<usize>,
    /// Arrows between two nodes.
    pub(super) arcs: Vec<Arc>,
    /// Arrows from a node to itself, as (arrow, node).
    pub(super) loops: Vec<(usize, usize)>,
    /// Layer of each node.
    pub(super) layer: Vec<usize>,
}

impl Graph {
    /// Reads the map; at most `most` boxes may share a layer where loose ends can be moved away.
    pub(super) fn of(map: &RouteMap, most: usize) -> Self {
        let (nodes, number) = numbered(map);
        let mut arcs = Vec::new();
        let mut loops = Vec::new();
        for (edge, arrow) in map.edges.iter().enumerate() {
            let ends = (
                number.get(arrow.from.as_str()),
                number.get(arrow.to.as_str()),
            );
            let (Some(&from), Some(&to)) = ends else {
                continue;
            };
            if from == to {
                loops.push((edge, from));
            } else if matches!(arrow.kind, EdgeKind::Rework | EdgeKind::Regrind) {
                arcs.push(Arc {
                    edge,
                    tail: to,
                    head: from,
                    back: true,
                });
            } else {
                arcs.push(Arc {
                    edge,
                    tail: from,
                    head: to,
                    back: false,
                });
            }
        }
        let mut graph = Self {
            layer: vec![0; nodes.len()],
            nodes,
            arcs,
            loops,
        };
        graph.break_cycles();
        let order = graph.longest_paths();
        graph.shorten(&order);
        graph.thin_out(map, most.max(1));
        graph
    }

    fn outgoing(&self) -> Vec<Vec<usize>> {
        let mut out = vec![Vec::new(); self.nodes.len()];
        for (index, arc) in self.arcs.iter().enumerate() {
            out[arc.tail].push(index);
        }
        out
    }

    fn arriving(&self) -> Vec<usize> {
        let mut count = vec![0; self.nodes.len()];
        for arc in &self.arcs {
            count[arc.head] += 1;
        }
        count
    }

    /// Turns round each arc that a depth-first walk finds pointing at a node it is still inside of.
    fn break_cycles(&mut self) {
        const NEW: u8 = 0;
        const INSIDE: u8 = 1;
        const DONE: u8 = 2;
        let outgoing = self.outgoing();
        let arriving = self.arriving();
        let mut starts: Vec<usize> = (0..self.nodes.len()).collect();
        starts.sort_by_key(|&node| (arriving[node] > 0, node));
        let mut state = vec![NEW; self.nodes.len()];
        let mut turned = Vec::new();
        for start in starts {
            if state[start] != NEW {
                continue;
            }
            state[start] = INSIDE;
            let mut path = vec![(start, 0)];
            while let Some(&(node, next)) = path.last() {
                let Some(&arc) = outgoing[node].get(next) else {
                    state[node] = DONE;
                    path.pop();
                    continue;
                };
                if let Some(step) = path.last_mut() {
                    step.1 += 1;
                }
                let head = self.arcs[arc].head;
                match state[head] {
                    NEW => {
                        state[head] = INSIDE;
                        path.push((head, 0));
                    }
                    INSIDE => turned.push(arc),
                    _ => {}
                }
            }
        }
        for index in turned {
            let arc = &mut self.arcs[index];
            std::mem::swap(&mut arc.tail, &mut arc.head);
            arc.back = !arc.back;
        }
    }

    /// Puts each node one layer after the last that feeds it; gives a topological order.
    fn longest_paths(&mut self) -> Vec<usize> {
        let outgoing = self.outgoing();
        let mut waiting = self.arriving();
        let mut order: Vec<usize> = (0..self.nodes.len()).filter(|&n| waiting[n] == 0).collect();
        let mut done = 0;
        while done < order.len() {
            let node = order[done];
            done += 1;
            for &arc in &outgoing[node] {
                let head = self.arcs[arc].head;
                self.layer[head] = self.layer[head].max(self.layer[node] + 1);
                waiting[head] -= 1;
                if waiting[head] == 0 {
                    order.push(head);
                }
            }
        }
        order
    }

    /// Moves nodes inside the room their neighbours leave: bought things to just before their use,
    /// by-products and rejects to just after their source.
    fn shorten(&mut self, order: &[usize]) {
        let mut ins: Vec<Vec<usize>> = vec![Vec::new(); self.nodes.len()];
        let mut outs = ins.clone();
        for arc in &self.arcs {
            ins[arc.head].push(arc.tail);
            outs[arc.tail].push(arc.head);
        }
        for _ in 0..self.nodes.len().min(40) {
            let mut moved = false;
            for &node in order.iter().rev() {
                let after = ins[node].iter().map(|&n| self.layer[n] + 1).max();
                let before = outs[node]
                    .iter()
                    .map(|&n| self.layer[n].saturating_sub(1))
                    .min();
                let place = match (after, before) {
                    (Some(after), _) if ins[node].len() > outs[node].len() => after,
                    (_, Some(before)) => before,
                    _ => self.layer[node],
                };
                moved |= place != self.layer[node];
                self.layer[node] = place;
            }
            if !moved {
                break;
            }
        }
        self.close_gaps();
    }

    /// Where a layer holds too many boxes, its loose ends (things that only arrive or only leave)
    /// get layers of their own: those that arrive before it, those that leave after it.
    fn thin_out(&mut self, map: &RouteMap, most: usize) {
        let (mut ins, mut outs) = (vec![0; self.nodes.len()], vec![0; self.nodes.len()]);
        for arc in &self.arcs {
            ins[arc.head] += 1;
            outs[arc.tail] += 1;
        }
        let depth = self.layer.iter().max().map_or(0, |last| last + 1);
        let mut placed = vec![0; self.nodes.len()];
        let mut next = 0;
        for layer in 0..depth {
            let (mut early, mut late, mut kept) = (Vec::new(), Vec::new(), Vec::new());
            for node in (0..self.nodes.len()).filter(|&n| self.layer[n] == layer) {
                let loose = map.nodes[self.nodes[node]].kind != NodeKind::Station;
                match (ins[node], outs[node]) {
                    (0, 1..) if loose => early.push(node),
                    (1.., 0) if loose => late.push(node),
                    _ => kept.push(node),
                }
            }
            let room = most.saturating_sub(kept.len());
            let (early_here, late_here) = shares(room, early.len(), late.len());
            kept.extend(early.drain(early.len() - early_here..));
            kept.extend(late.drain(..late_here));
            let groups = early
                .chunks(most)
                .chain([kept.as_slice()])
                .chain(late.chunks(most));
            for group in groups.filter(|group| !group.is_empty()) {
                for &node in group {
                    placed[node] = next;
                }
                next += 1;
            }
        }
        self.layer = placed;
    }

    fn close_gaps(&mut self) {
        let mut used: Vec<usize> = self.layer.clone();
        used.sort_unstable();
        used.dedup();
        for layer in &mut self.layer {
            *layer = used.binary_search(layer).unwrap_or(0);
        }
    }
}

/// How many of two groups stay when there is room for `room` in all; the emptier side keeps more.
fn shares(room: usize, early: usize, late: usize) -> (usize, usize) {
    if early + late <= room {
        return (early, late);
    }
    let early_here = early
        .min(room.div_ceil(2))
        .max(room.saturating_sub(late).min(early));
    (early_here, late.min(room - early_here))
}

/// The nodes to draw and their numbers by id.
fn numbered(map: &RouteMap) -> (Vec<usize>, BTreeMap<&str, usize>) {
    let mut nodes = Vec::new();
    let mut number = BTreeMap::new();
    for (index, node) in map.nodes.iter().enumerate() {
        if !number.contains_key(node.id.as_str()) {
            number.insert(node.id.as_str(), nodes.len());
            nodes.push(index);
        }
    }
    (nodes, number)
}
