//! The dynamic programme everything rests on: items laid along a line, worth more or less by where they start.
//!
//! An item has a length and stretches of allowed starts, each of one value. Between two items lies at least a
//! kerf. In some best answer every item is pushed as far to the left as it goes without losing value: it then
//! starts a kerf behind the one before, or at the first point of a stretch. So the only positions that matter
//! are those first points and what sums of items lead to from them (the normal positions of Herz 1972 and
//! Christofides & Whitlock 1977, with the first points as further origins); no grid is laid, and the unit may
//! be as fine as one likes. Labels (position, value) are swept from the left, and one is dropped when others
//! at or before its position are worth as much.
//!
//! To rank alternatives a label also carries which items it holds, as a sum of hashes; one is dropped only
//! when `keep` others, all holding different items, are at or before it and worth as much. Whatever is added
//! to it can be added to them, so the best `keep` answers of different items are found exactly.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// Starts from `from` to `to`, both allowed, each worth `value`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Stretch {
    pub(crate) from: u64,
    pub(crate) to: u64,
    pub(crate) value: f64,
}

/// Something that takes `length` of the line; its stretches are in order and do not overlap.
#[derive(Clone, Debug)]
pub(crate) struct Item {
    pub(crate) length: u64,
    pub(crate) starts: Vec<Stretch>,
}

/// The line: its items, what is lost between two of them, and where it ends.
pub(crate) struct Line<'a> {
    pub(crate) items: &'a [Item],
    pub(crate) kerf: u64,
    pub(crate) end: u64,
}

/// One item laid down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Laid {
    pub(crate) item: usize,
    pub(crate) start: u64,
}

/// An answer: what is laid down, from the left.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Laying {
    pub(crate) value: f64,
    pub(crate) laid: Vec<Laid>,
}

/// A partial answer: the line is taken up to `next` (its last kerf included).
struct Label {
    next: u64,
    value: f64,
    holds: u64,
    before: usize,
    laid: Laid,
}

/// No label before this one.
const NONE: usize = usize::MAX;

impl Line<'_> {
    /// The best answers that differ in the items they hold (order and place aside), best first, at most `keep`
    /// (at least one is always returned, if only the empty one).
    ///
    /// `rest(p)` must be at least what can still be laid from `p` on; it only saves time.
    pub(crate) fn best(&self, keep: usize, rest: impl Fn(u64) -> f64) -> Vec<Laying> {
        let mut sweep = Sweep::new(self, keep.max(1));
        sweep.run(u64::MAX, rest);
        sweep.answers()
    }

    /// The best answer when `rest` is not only a bound but exact from position `known` on: what is laid before,
    /// the whole value, and where the known rest starts.
    pub(crate) fn best_before(&self, known: u64, rest: impl Fn(u64) -> f64) -> (Laying, u64) {
        let mut sweep = Sweep::new(self, 1);
        sweep.run(known, &rest);
        let waiting = (sweep.front[0], known);
        let ahead = sweep
            .ahead
            .iter()
            .map(|&Reverse((next, label))| (label, next));
        let worth = |&(label, next): &(usize, u64)| sweep.labels[label].value + rest(next);
        let better = |a: (usize, u64), b: (usize, u64)| if worth(&b) > worth(&a) { b } else { a };
        let (label, next) = ahead.fold(waiting, better);
        let laying = Laying {
            value: worth(&(label, next)),
            ..sweep.answer(label)
        };
        (laying, next)
    }
}

/// The sweep of one line.
struct Sweep<'a> {
    line: &'a Line<'a>,
    keep: usize,
    labels: Vec<Label>,
    /// Labels not yet reached, by position.
    ahead: BinaryHeap<Reverse<(u64, usize)>>,
    /// The best labels passed, holding different items; best first.
    front: Vec<usize>,
    /// Per item, the first stretch that has not ended.
    at: Vec<usize>,
}

impl<'a> Sweep<'a> {
    fn new(line: &'a Line<'a>, keep: usize) -> Self {
        let origin = Label {
            next: 0,
            value: 0.0,
            holds: 0,
            before: NONE,
            laid: Laid { item: 0, start: 0 },
        };
        Self {
            line,
            keep,
            labels: vec![origin],
            ahead: BinaryHeap::new(),
            front: vec![0],
            at: vec![0; line.items.len()],
        }
    }

    /// Sweeps all positions before `until`; labels from there on stay ahead.
    fn run(&mut self, until: u64, rest: impl Fn(u64) -> f64) {
        for (position, item) in self.first_points() {
            if position >= until {
                break;
            }
            self.pass_up_to(position, &rest);
            for place in 0..self.front.len() {
                self.lay(self.front[place], item, position, &rest);
            }
        }
        self.pass_up_to(until.saturating_sub(1), &rest);
    }

    /// Passes the labels up to and at this position.
    fn pass_up_to(&mut self, position: u64, rest: &impl Fn(u64) -> f64) {
        while let Some(&Reverse((next, label))) = self.ahead.peek() {
            if next > position {
                break;
            }
            self.ahead.pop();
            self.pass(label, rest);
        }
    }

    /// First points of stretches with their items, from the left. One that only continues a stretch of at
    /// least its value is none: the item can be pushed further left.
    fn first_points(&self) -> Vec<(u64, usize)> {
        let mut points = Vec::new();
        for (number, item) in self.line.items.iter().enumerate() {
            let mut before: Option<Stretch> = None;
            for &stretch in &item.starts {
                let continues =
                    before.is_some_and(|b| b.to + 1 == stretch.from && b.value >= stretch.value);
                if !continues {
                    points.push((stretch.from, number));
                }
                before = Some(stretch);
            }
        }
        points.sort_unstable();
        points
    }

    /// The sweep reaches a label: if it is among the best so far, everything that can follow at once is laid.
    fn pass(&mut self, label: usize, rest: &impl Fn(u64) -> f64) {
        if !self.enter_front(label) {
            return;
        }
        let position = self.labels[label].next;
        for item in 0..self.line.items.len() {
            self.lay(label, item, position, rest);
        }
    }

    /// Whether the label is worth keeping; if so it stands in the front.
    fn enter_front(&mut self, label: usize) -> bool {
        let Label { value, holds, .. } = self.labels[label];
        let same = self
            .front
            .iter()
            .position(|&other| self.labels[other].holds == holds);
        match same {
            Some(place) if self.labels[self.front[place]].value >= value => return false,
            Some(place) => {
                self.front.remove(place);
            }
            None if self.front.len() < self.keep => {}
            None if self.worst() >= value => return false,
            None => {
                self.front.pop();
            }
        }
        let place = self
            .front
            .partition_point(|&other| self.labels[other].value >= value);
        self.front.insert(place, label);
        true
    }

    /// Value of the last in the front.
    fn worst(&self) -> f64 {
        self.front
            .last()
            .map_or(0.0, |&label| self.labels[label].value)
    }

    /// Lays the item behind the label at this position, if it may start there and can still matter.
    fn lay(&mut self, label: usize, item: usize, position: u64, rest: &impl Fn(u64) -> f64) {
        let Some(worth) = self.worth(item, position) else {
            return;
        };
        let end = position + self.line.items[item].length;
        if end > self.line.end {
            return;
        }
        let next = end + self.line.kerf;
        let value = self.labels[label].value + worth;
        if self.front.len() == self.keep && value + rest(next) <= self.worst() {
            return;
        }
        let holds = if self.keep == 1 {
            0
        } else {
            self.labels[label].holds.wrapping_add(hash(item))
        };
        self.ahead.push(Reverse((next, self.labels.len())));
        self.labels.push(Label {
            next,
            value,
            holds,
            before: label,
            laid: Laid {
                item,
                start: position,
            },
        });
    }

    /// What the item is worth when it starts here. Positions are asked in order.
    fn worth(&mut self, item: usize, position: u64) -> Option<f64> {
        let starts = &self.line.items[item].starts;
        let at = &mut self.at[item];
        while starts.get(*at).is_some_and(|stretch| stretch.to < position) {
            *at += 1;
        }
        let stretch = starts.get(*at)?;
        (stretch.from <= position).then_some(stretch.value)
    }

    fn answers(&self) -> Vec<Laying> {
        self.front.iter().map(|&label| self.answer(label)).collect()
    }

    fn answer(&self, label: usize) -> Laying {
        let value = self.labels[label].value;
        let mut laid = Vec::new();
        let mut at = label;
        while self.labels[at].before != NONE {
            laid.push(self.labels[at].laid);
            at = self.labels[at].before;
        }
        laid.reverse();
        Laying { value, laid }
    }
}

/// A number that stands for an item, so that sums of them tell multisets apart (SplitMix64, Steele et al. 2014).
fn hash(item: usize) -> u64 {
    let mut z = (item as u64 + 1).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}
