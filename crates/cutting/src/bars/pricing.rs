//! New patterns: the bounded knapsack of Gilmore & Gomory (1961), in whole numbers.
//!
//! A table holds, for every item and every room left, the most that this item and those after it can be
//! worth in the room (and what the rest of it is worth as a left-over). A depth-first search over the items uses the
//! table as its bound; where rooms are kept exactly it walks straight to the best pattern. For long stock
//! rooms are kept in buckets: with widths and rooms divided by the bucket and rounded down, the table still
//! bounds from above, since the sum of rounded widths never exceeds the rounded sum.

use super::core::{Core, Shape};

/// Cells a table may have that keeps rooms exactly.
const EXACT_CELLS: u64 = 1 << 20;
/// Cells of a table that keeps rooms in buckets.
const BUCKET_CELLS: u64 = 1 << 18;

/// Worth of items and money, both in the same small unit.
#[derive(Clone, Debug)]
pub(super) struct Prices {
    /// Worth of one piece of each item.
    pub(super) items: Vec<i64>,
    /// Small units in one money unit.
    pub(super) scale: i64,
}

/// Prices are drawn this many quarters of the way to those of the best bound (Wentges 1997): duals of a
/// programme that lacks patterns swing wildly.
const QUARTERS_TO_CENTER: i64 = 3;

impl Prices {
    /// Prices between these and others.
    pub(super) fn drawn_to(&self, center: &Self) -> Self {
        let items = self.items.iter().zip(&center.items);
        Self {
            items: items
                .map(|(own, center)| own + (center - own) / 4 * QUARTERS_TO_CENTER)
                .collect(),
            scale: self.scale,
        }
    }

    /// What a pattern is worth.
    pub(super) fn worth(&self, core: &Core, shape: &Shape) -> i64 {
        let items: i64 = (shape.items.iter())
            .map(|&(item, count)| self.items[item as usize] * i64::from(count))
            .sum();
        items + core.rest_value(core.room(shape)) as i64 * self.scale
    }
}

/// Items that count, and the table of what they can be worth.
pub(super) struct Pricer<'a> {
    core: &'a Core,
    prices: &'a Prices,
    /// The items that may be used, by decreasing width.
    active: Vec<Active>,
    bucket: u64,
    stride: usize,
    /// `table[a * stride + room / bucket]`: most that active items from a on are worth.
    table: Vec<i64>,
}

#[derive(Clone, Copy)]
struct Active {
    item: u32,
    width: u64,
    count: u64,
    price: i64,
}

/// A pattern's worth and its items with counts.
type Valued = (i64, Vec<(u32, u32)>);

/// Result of a search for the best patterns of a class.
pub(super) struct Found {
    /// Patterns worth more than the floor, with what they are worth.
    pub(super) shapes: Vec<(i64, Shape)>,
    /// No pattern of the class is worth more.
    pub(super) upper: i64,
}

impl<'a> Pricer<'a> {
    /// Makes the table. Items without a price count only if `with_worthless`.
    pub(super) fn new(
        core: &'a Core,
        prices: &'a Prices,
        needs: &[u64],
        with_worthless: bool,
        cells: Option<u64>,
    ) -> Self {
        let widest = core.widest();
        let active: Vec<Active> = core
            .items
            .iter()
            .enumerate()
            .map(|(index, item)| Active {
                item: index as u32,
                width: item.width,
                count: needs[index].min(widest / item.width).min(core.most_pieces),
                price: prices.items[index],
            })
            .filter(|a| a.count > 0 && (a.price > 0 || with_worthless))
            .collect();
        let rows = active.len() as u64 + 1;
        let exact = rows * (widest + 1);
        let most_cells = match cells {
            Some(cells) => cells,
            None if exact <= EXACT_CELLS => EXACT_CELLS,
            None => BUCKET_CELLS,
        };
        let bucket = exact.div_ceil(most_cells).max(1);
        let stride = (widest / bucket + 1) as usize;
        let mut pricer = Self {
            core,
            prices,
            active,
            bucket,
            stride,
            table: Vec::new(),
        };
        pricer.fill();
        pricer
    }

    /// Steps of effort that the table takes.
    pub(super) fn effort(&self) -> u64 {
        (self.table.len() as u64) / 512 + 1
    }

    fn fill(&mut self) {
        let stride = self.stride;
        self.table = vec![0; (self.active.len() + 1) * stride];
        if self.core.leftovers.is_some() {
            for slot in 0..stride {
                let room = (slot as u64 + 1) * self.bucket - 1;
                let value = self.core.rest_value(room) as i64 * self.prices.scale;
                self.table[self.active.len() * stride + slot] = value;
            }
        }
        for index in (0..self.active.len()).rev() {
            let (before, after) = self.table.split_at_mut((index + 1) * stride);
            let row = &mut before[index * stride..];
            fill_row(row, &after[..stride], self.active[index], self.bucket);
        }
    }

    fn bound(&self, index: usize, room: u64) -> i64 {
        self.table[index * self.stride + (room / self.bucket) as usize]
    }

    /// No pattern of this class is worth more, by the table alone.
    pub(super) fn upper(&self, class: usize) -> i64 {
        self.bound(0, self.core.classes[class].capacity)
    }

    /// Patterns worth more than `floor`: the best one, and the best by each of the most promising longest
    /// parts, about `wanted`; `nodes` is counted down, and when it is used up, the rest is only bounded.
    pub(super) fn best(&self, class: usize, floor: i64, wanted: usize, nodes: &mut u64) -> Found {
        let capacity = self.core.classes[class].capacity;
        let mut branches: Vec<(i64, usize)> = (0..self.active.len())
            .filter(|&a| self.active[a].width <= capacity)
            .map(|a| (self.branch_bound(a, capacity), a))
            .filter(|&(bound, _)| bound > floor)
            .collect();
        branches.sort_by_key(|&(bound, a)| (std::cmp::Reverse(bound), a));
        let mut shapes: Vec<(i64, Shape)> = Vec::new();
        let mut top = floor.max(self.core.rest_value(capacity) as i64 * self.prices.scale);
        let mut upper = top;
        for (rank, &(bound, first)) in branches.iter().enumerate() {
            let branch_floor = if rank < wanted { floor } else { top.max(floor) };
            if bound <= branch_floor {
                break;
            }
            let (best, complete) = self.best_of_branch(class, first, branch_floor, nodes);
            if !complete {
                upper = upper.max(bound);
            }
            if let Some((value, items)) = best {
                top = top.max(value);
                shapes.push((value, Shape { class, items }));
            }
        }
        upper = upper.max(top);
        Found { shapes, upper }
    }

    /// Most that a pattern with this longest part can be worth.
    fn branch_bound(&self, a: usize, capacity: u64) -> i64 {
        let Active {
            width,
            count,
            price,
            ..
        } = self.active[a];
        (1..=count.min(capacity / width))
            .map(|n| n as i64 * price + self.bound(a + 1, capacity - n * width))
            .max()
            .unwrap_or(i64::MIN)
    }

    fn best_of_branch(
        &self,
        class: usize,
        first: usize,
        floor: i64,
        nodes: &mut u64,
    ) -> (Option<Valued>, bool) {
        let mut best = None;
        let mut keep = |value: i64, items: &[(u32, u32)]| {
            best = Some((value, items.to_vec()));
            Some(value)
        };
        let mut search = Search {
            pricer: self,
            floor,
            nodes,
            stack: Vec::new(),
            found: &mut keep,
            over: false,
        };
        let capacity = self.core.classes[class].capacity;
        search.take(first, capacity, self.core.most_pieces, 0);
        let complete = !search.over;
        (best, complete)
    }

    /// Every pattern of the class that is worth more than `floor`, the empty one included; none if there
    /// are more than `most` or the nodes run out.
    pub(super) fn all(
        &self,
        class: usize,
        floor: i64,
        most: usize,
        nodes: &mut u64,
    ) -> Option<Vec<Shape>> {
        let mut shapes = Vec::new();
        let mut keep = |_: i64, items: &[(u32, u32)]| {
            shapes.push(Shape {
                class,
                items: items.to_vec(),
            });
            (shapes.len() <= most).then_some(floor)
        };
        let mut search = Search {
            pricer: self,
            floor,
            nodes,
            stack: Vec::new(),
            found: &mut keep,
            over: false,
        };
        let capacity = self.core.classes[class].capacity;
        search.extend(0, capacity, self.core.most_pieces, 0);
        let complete = !search.over;
        complete.then_some(shapes)
    }
}

/// One row of the table from the row after it.
fn fill_row(row: &mut [i64], after: &[i64], active: Active, bucket: u64) {
    row.copy_from_slice(after);
    let width = (active.width / bucket) as usize;
    let count = active.count as usize;
    if width == 0 {
        let all = active.price * count as i64;
        for cell in row.iter_mut() {
            *cell += all;
        }
        return;
    }
    if width >= row.len() {
        return;
    }
    if count >= (row.len() - 1) / width {
        for room in width..row.len() {
            row[room] = row[room].max(row[room - width] + active.price);
        }
        return;
    }
    for n in 1..=count {
        let worth = active.price * n as i64;
        for (cell, before) in row[n * width..].iter_mut().zip(after) {
            *cell = (*cell).max(before + worth);
        }
    }
}

/// Called with a pattern's worth and items; gives the new floor, or none to end the search.
type Visit<'a> = &'a mut dyn FnMut(i64, &[(u32, u32)]) -> Option<i64>;

/// Depth-first search over the active items.
struct Search<'a, 'b> {
    pricer: &'b Pricer<'a>,
    floor: i64,
    nodes: &'b mut u64,
    stack: Vec<(u32, u32)>,
    found: Visit<'b>,
    /// Ended before everything above the floor was seen.
    over: bool,
}

impl Search<'_, '_> {
    /// The pattern as it stands, and all that add items from `from` on.
    fn extend(&mut self, from: usize, room: u64, pieces: u64, value: i64) {
        let pricer = self.pricer;
        let total = value + pricer.core.rest_value(room) as i64 * pricer.prices.scale;
        if total > self.floor {
            match (self.found)(total, &self.stack) {
                Some(floor) => self.floor = floor,
                None => self.over = true,
            }
        }
        if pieces == 0 {
            return;
        }
        let fits = from + pricer.active[from..].partition_point(|a| a.width > room);
        for index in fits..pricer.active.len() {
            if self.over || value + pricer.bound(index, room) <= self.floor {
                return;
            }
            self.take(index, room, pieces, value);
        }
    }

    /// All patterns that go on with one or more of this item.
    fn take(&mut self, index: usize, room: u64, pieces: u64, value: i64) {
        let active = self.pricer.active[index];
        let most = active.count.min(room / active.width).min(pieces);
        for n in (1..=most).rev() {
            let worth = value + n as i64 * active.price;
            let left = room - n * active.width;
            if worth + self.pricer.bound(index + 1, left) <= self.floor {
                continue;
            }
            if *self.nodes == 0 {
                self.over = true;
            }
            if self.over {
                return;
            }
            *self.nodes -= 1;
            self.stack.push((active.item, n as u32));
            self.extend(index + 1, left, pieces - n, worth);
            self.stack.pop();
        }
    }
}
