//! Places across the flow: Brandes and Köpf, "Fast and simple horizontal coordinate assignment",
//! Graph Drawing 2001 (LNCS 2265), with unequal sizes and ports as in Rüegg, Schulze, Carstens and
//! von Hanxleden, "Size- and port-aware horizontal node coordinate assignment", Graph Drawing 2015.
//!
//! Two differences. A vertex is aligned only with neighbours along its straightest-wishing links,
//! so the spine of a route stays straight whatever hangs beside it. And compaction works on the
//! graph of blocks by longest paths, which needs no correction for shifted classes.

use super::net::Net;

const BOX_GAP: f64 = 18.0;
const BEND_GAP: f64 = 8.0;

/// The net seen from one of four sides.
struct View {
    layers: Vec<Vec<usize>>,
    place: Vec<usize>,
    before: Vec<f64>,
    after: Vec<f64>,
    /// For each vertex: (neighbour in the layer before, offset of its port less ours, link).
    near: Vec<Vec<(usize, f64, usize)>>,
}

/// Centre of every vertex across the flow.
pub(super) fn places_across(net: &Net) -> Vec<f64> {
    let conflicts = conflicts(net);
    let mut found: Vec<(bool, Vec<f64>)> = Vec::new();
    for downward in [true, false] {
        for mirrored in [false, true] {
            let view = View::of(net, downward, mirrored);
            let (root, offset) = align(&view, net, &conflicts);
            let mut across = compact(&view, net, &root, &offset);
            if mirrored {
                for x in &mut across {
                    *x = -*x;
                }
            }
            found.push((mirrored, across));
        }
    }
    balance(net, found)
}

impl View {
    fn of(net: &Net, downward: bool, mirrored: bool) -> Self {
        let mut layers = net.layers.clone();
        if !downward {
            layers.reverse();
        }
        if mirrored {
            for layer in &mut layers {
                layer.reverse();
            }
        }
        let mut place = vec![0; net.vertices.len()];
        for layer in &layers {
            for (at, &vertex) in layer.iter().enumerate() {
                place[vertex] = at;
            }
        }
        let (mut before, mut after): (Vec<f64>, Vec<f64>) =
            net.vertices.iter().map(|v| (v.before, v.after)).unzip();
        if mirrored {
            std::mem::swap(&mut before, &mut after);
        }
        let mut near = vec![Vec::new(); net.vertices.len()];
        for (index, link) in net.links.iter().enumerate() {
            let shift = link.up_port - link.down_port;
            let (of, other, shift) = if downward {
                (link.down, link.up, shift)
            } else {
                (link.up, link.down, -shift)
            };
            near[of].push((other, if mirrored { -shift } else { shift }, index));
        }
        Self {
            layers,
            place,
            before,
            after,
            near,
        }
    }
}

/// Links that must give way to a straighter-wishing link they cross.
fn conflicts(net: &Net) -> Vec<bool> {
    let place = net.places();
    let mut conflict = vec![false; net.links.len()];
    for (a, first) in net.links.iter().enumerate() {
        for second in &net.links {
            let same_gap = net.vertices[first.up].layer == net.vertices[second.up].layer;
            if !same_gap || second.rank <= first.rank {
                continue;
            }
            let up = place[first.up].cmp(&place[second.up]);
            let down = place[first.down].cmp(&place[second.down]);
            conflict[a] |= up.is_ne() && down.is_ne() && up != down;
        }
    }
    conflict
}

/// Gathers vertices into straight blocks; gives the root of each and its offset from the root.
fn align(view: &View, net: &Net, conflict: &[bool]) -> (Vec<usize>, Vec<f64>) {
    let count = net.vertices.len();
    let mut root: Vec<usize> = (0..count).collect();
    let mut offset = vec![0.0; count];
    let mut taken = vec![false; count];
    for layer in view.layers.iter().skip(1) {
        // Straight-wishing links choose first; the rest may not cross what they chose.
        let mut chosen: Vec<(usize, usize)> = Vec::new();
        for rank in [2, 1, 0] {
            for &vertex in layer {
                for (above, shift, link) in middle_pair(view, net, vertex) {
                    let pair = (view.place[above], view.place[vertex]);
                    let crosses = |other: &(usize, usize)| (other.0 < pair.0) != (other.1 < pair.1);
                    let settled = taken[above] || root[vertex] != vertex;
                    let other_rank = net.links[link].rank != rank;
                    if other_rank || conflict[link] || settled || chosen.iter().any(crosses) {
                        continue;
                    }
                    root[vertex] = root[above];
                    offset[vertex] = offset[above] + shift;
                    taken[above] = true;
                    chosen.push(pair);
                }
            }
        }
    }
    (root, offset)
}

/// The one or two middle neighbours of a vertex among those that most wish to be straight.
fn middle_pair(view: &View, net: &Net, vertex: usize) -> Vec<(usize, f64, usize)> {
    let near = &view.near[vertex];
    let rank = near
        .iter()
        .map(|(_, _, link)| net.links[*link].rank)
        .max()
        .unwrap_or(0);
    let mut best: Vec<(usize, f64, usize)> = near
        .iter()
        .copied()
        .filter(|(_, _, link)| net.links[*link].rank == rank)
        .collect();
    best.sort_by_key(|(above, _, link)| (view.place[*above], *link));
    if best.is_empty() {
        return best;
    }
    let low = (best.len() - 1) / 2;
    let high = best.len() / 2;
    best[low..=high].to_vec()
}

fn gap(net: &Net, left: usize, right: usize) -> f64 {
    if net.vertices[left].is_box && net.vertices[right].is_box {
        BOX_GAP
    } else {
        BEND_GAP
    }
}

/// Places the blocks as far to the low side as they go, then draws each up to what follows it.
fn compact(view: &View, net: &Net, root: &[usize], offset: &[f64]) -> Vec<f64> {
    let count = root.len();
    let mut after: Vec<Vec<(usize, f64)>> = vec![Vec::new(); count];
    let mut waiting = vec![0; count];
    for layer in &view.layers {
        for pair in layer.windows(2) {
            let (left, right) = (pair[0], pair[1]);
            let apart = view.after[left] + gap(net, left, right) + view.before[right];
            after[root[left]].push((root[right], apart + offset[left] - offset[right]));
            waiting[root[right]] += 1;
        }
    }
    let mut order: Vec<usize> = (0..count)
        .filter(|&v| root[v] == v && waiting[v] == 0)
        .collect();
    // The first of a layer stands with its low side at 0 or beyond.
    let mut at = vec![f64::NEG_INFINITY; count];
    for layer in &view.layers {
        if let Some(&first) = layer.first() {
            at[root[first]] = at[root[first]].max(view.before[first] - offset[first]);
        }
    }
    let mut done = 0;
    while done < order.len() {
        let block = order[done];
        done += 1;
        for &(next, apart) in &after[block] {
            at[next] = at[next].max(at[block] + apart);
            waiting[next] -= 1;
            if waiting[next] == 0 {
                order.push(next);
            }
        }
    }
    for &block in order.iter().rev() {
        let room = after[block]
            .iter()
            .map(|&(next, apart)| at[next] - apart)
            .fold(f64::INFINITY, f64::min);
        if room.is_finite() {
            at[block] = at[block].max(room);
        }
    }
    (0..count)
        .map(|vertex| at[root[vertex]] + offset[vertex])
        .collect()
}

fn extent(net: &Net, across: &[f64]) -> (f64, f64) {
    net.vertices
        .iter()
        .zip(across)
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), (v, x)| {
            (low.min(x - v.before), high.max(x + v.after))
        })
}

/// Brings the four placements to the narrowest one and takes the mean of the middle two.
fn balance(net: &Net, mut found: Vec<(bool, Vec<f64>)>) -> Vec<f64> {
    let extents: Vec<(f64, f64)> = found
        .iter()
        .map(|(_, across)| extent(net, across))
        .collect();
    let narrowest = extents
        .iter()
        .copied()
        .min_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0)))
        .unwrap_or((0.0, 0.0));
    for ((mirrored, across), own) in found.iter_mut().zip(extents) {
        let shift = if *mirrored {
            narrowest.1 - own.1
        } else {
            narrowest.0 - own.0
        };
        for x in across.iter_mut() {
            *x += shift;
        }
    }
    (0..net.vertices.len())
        .map(|vertex| {
            let mut four: Vec<f64> = found.iter().map(|(_, across)| across[vertex]).collect();
            four.sort_by(f64::total_cmp);
            f64::midpoint(four[1], four[2])
        })
        .collect()
}
