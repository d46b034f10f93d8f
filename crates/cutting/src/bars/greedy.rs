//! Plans made piece by piece: first-fit decreasing, and the closest fill around the longest part.
//!
//! Filling one piece after the other with the longest part that still fits gives the plan of first-fit
//! decreasing (Johnson 1974). The closest fill looks for the set with the longest part that wastes least (Gupta & Ho
//! 1999, minimum bin slack; with the longest part fixed: Fleszar & Hindi 2002).

use super::core::{Core, Residual, Shape, Solution};

/// Nodes of the search for one closest fill.
const FILL_NODES: u32 = 4_000;

/// How a stretch is filled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Fill {
    FirstFit,
    Closest,
}

/// Completes a plan; none if the stock runs out and pieces may not be missing.
pub(super) fn complete(core: &Core, mut residual: Residual, fill: Fill) -> Option<Solution> {
    let mut solution = Solution::empty(core);
    use_open_stretches(core, &mut residual, &mut solution, fill);
    while residual.needs.iter().any(|&need| need > 0) {
        let Some(load) = best_load(core, &residual, fill) else {
            return miss_the_rest(core, &residual, solution);
        };
        let count = repeats(core, &residual, &load);
        if !core.sole(load.kind) {
            residual.open(core, load.kind, count);
            solution.pieces[load.kind] += count;
        }
        for shape in load.shapes {
            residual.cut(core, &shape, count);
            solution.cut(core, shape, count);
        }
    }
    residual.done().then_some(solution)
}

fn use_open_stretches(core: &Core, residual: &mut Residual, solution: &mut Solution, fill: Fill) {
    for class in 0..core.classes.len() {
        while residual.open[class] > 0 {
            let shape = fill_stretch(core, &residual.needs, class, fill);
            if shape.items.is_empty() {
                break;
            }
            residual.cut(core, &shape, 1);
            solution.cut(core, shape, 1);
        }
    }
}

fn miss_the_rest(core: &Core, residual: &Residual, mut solution: Solution) -> Option<Solution> {
    for (item, &need) in residual.needs.iter().enumerate() {
        if need > 0 && core.items[item].miss.is_none() {
            return None;
        }
        solution.missing[item] += need;
    }
    residual
        .open
        .iter()
        .all(|&open| open >= 0)
        .then_some(solution)
}

/// One piece of a kind and what would be cut from it.
struct Load {
    kind: usize,
    shapes: Vec<Shape>,
    /// Net cost of the piece.
    cost: u64,
    /// Width cut from it.
    width: u64,
}

/// The piece that costs least for what is cut from it.
fn best_load(core: &Core, residual: &Residual, fill: Fill) -> Option<Load> {
    let mut best: Option<Load> = None;
    for kind in 0..core.kinds.len() {
        if residual.kinds[kind] == 0 {
            continue;
        }
        let load = load(core, residual, kind, fill);
        if load.width == 0 {
            continue;
        }
        let better = best.as_ref().is_none_or(|best| {
            let (ours, theirs) = (
                u128::from(load.cost) * u128::from(best.width),
                u128::from(best.cost) * u128::from(load.width),
            );
            ours < theirs || (ours == theirs && load.width > best.width)
        });
        if better {
            best = Some(load);
        }
    }
    best
}

fn load(core: &Core, residual: &Residual, kind: usize, fill: Fill) -> Load {
    let mut needs = residual.needs.clone();
    let mut load = Load {
        kind,
        shapes: Vec::new(),
        cost: core.kinds[kind].cost,
        width: 0,
    };
    for &(class, each) in &core.kinds[kind].classes {
        for _ in 0..each {
            let shape = fill_stretch(core, &needs, class, fill);
            load.cost -= core.rest_value(core.room(&shape));
            if shape.items.is_empty() {
                continue;
            }
            for &(item, count) in &shape.items {
                needs[item as usize] -= u64::from(count);
            }
            load.width += core.width(&shape);
            load.shapes.push(shape);
        }
    }
    load
}

/// How often the same load can be cut.
fn repeats(core: &Core, residual: &Residual, load: &Load) -> u64 {
    let mut used = vec![0_u64; core.items.len()];
    for &(item, count) in load.shapes.iter().flat_map(|shape| &shape.items) {
        used[item as usize] += u64::from(count);
    }
    let by_needs = used
        .iter()
        .zip(&residual.needs)
        .filter(|&(&used, _)| used > 0)
        .map(|(&used, &need)| need / used)
        .min()
        .unwrap_or(1);
    by_needs.min(residual.kinds[load.kind])
}

fn fill_stretch(core: &Core, needs: &[u64], class: usize, fill: Fill) -> Shape {
    let first = first_fit(core, needs, class);
    if fill == Fill::FirstFit || first.items.is_empty() {
        return first;
    }
    Closest::search(core, needs, first)
}

fn first_fit(core: &Core, needs: &[u64], class: usize) -> Shape {
    let mut room = core.classes[class].capacity;
    let mut pieces = core.most_pieces;
    let mut items = Vec::new();
    for (index, item) in core.items.iter().enumerate() {
        let count = needs[index].min(room / item.width).min(pieces);
        if count > 0 {
            items.push((index as u32, count as u32));
            room -= count * item.width;
            pieces -= count;
        }
    }
    Shape { class, items }
}

/// Depth-first search for the fill with the least room left, the longest part fixed.
struct Closest<'a> {
    core: &'a Core,
    needs: &'a [u64],
    stack: Vec<(u32, u32)>,
    best: Vec<(u32, u32)>,
    least_room: u64,
    nodes: u32,
}

impl<'a> Closest<'a> {
    fn search(core: &'a Core, needs: &'a [u64], first: Shape) -> Shape {
        let longest = first.items[0].0 as usize;
        let mut search = Self {
            core,
            needs,
            stack: vec![(longest as u32, 1)],
            least_room: core.room(&first),
            best: first.items,
            nodes: FILL_NODES,
        };
        let room = core.classes[first.class].capacity - core.items[longest].width;
        search.extend(longest, room, core.most_pieces - 1);
        let mut items: Vec<(u32, u32)> = Vec::new();
        for (item, count) in search.best {
            match items.last_mut() {
                Some(last) if last.0 == item => last.1 += count,
                _ => items.push((item, count)),
            }
        }
        Shape {
            class: first.class,
            items,
        }
    }

    fn extend(&mut self, from: usize, room: u64, pieces: u64) {
        if room < self.least_room {
            self.least_room = room;
            self.best.clone_from(&self.stack);
        }
        if pieces == 0 || self.least_room == 0 {
            return;
        }
        for index in from..self.core.items.len() {
            let width = self.core.items[index].width;
            let taken = u64::from(self.stack[0].0 as usize == index);
            let most = (self.needs[index] - taken).min(room / width).min(pieces);
            for count in (1..=most).rev() {
                if self.nodes == 0 || self.least_room == 0 {
                    return;
                }
                self.nodes -= 1;
                self.stack.push((index as u32, count as u32));
                self.extend(index + 1, room - count * width, pieces - count);
                self.stack.pop();
            }
        }
    }
}
