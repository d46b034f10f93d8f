//! The problem as the search sees it: equal parts merged, kerf folded into widths, trims taken off.
//!
//! With kerf k a stretch of length l holds parts of lengths `l_i` just when the sum of the widths `l_i + k` is at
//! most the capacity `l + k`. A plan needs no part over: cutting one part less from a piece of stock never
//! costs more, since its rest only grows. So plans are sought that make exactly the needs.

use super::{Leftovers, Problem, Unfit};

/// Largest number of length units, money units or pieces in a problem: products of two stay below 2^63.
const MOST: u64 = 1 << 31;

/// Refuses what has no meaning or could run over.
pub(super) fn refuse(problem: &Problem) -> Result<(), Unfit> {
    for (index, part) in problem.parts.iter().enumerate() {
        if part.length == 0 {
            return Err(Unfit::PartWithoutLength { part: index });
        }
        if let Some(at_most) = part.at_most
            && at_most < part.need
        {
            return Err(Unfit::LimitBelowNeed {
                part: index,
                at_most,
                need: part.need,
            });
        }
        small("length of a part", part.length)?;
    }
    small("kerf", problem.saw.kerf)?;
    let pieces = problem.parts.iter().fold(0_u64, |sum, part| {
        sum.saturating_add(part.at_most.unwrap_or(part.need))
    });
    small("number of parts", pieces)?;
    for (index, stock) in problem.stocks.iter().enumerate() {
        small("cost of a stock", stock.cost)?;
        let length = stock
            .stretches
            .iter()
            .fold(0_u64, |sum, &l| sum.saturating_add(l));
        small("length of a stock", length)?;
        refuse_leftover(problem, index)?;
    }
    Ok(())
}

fn small(what: &'static str, amount: u64) -> Result<(), Unfit> {
    if amount < MOST {
        return Ok(());
    }
    Err(Unfit::TooLarge {
        what,
        amount,
        most: MOST,
    })
}

fn refuse_leftover(problem: &Problem, stock: usize) -> Result<(), Unfit> {
    let Some(leftovers) = problem.leftovers else {
        return Ok(());
    };
    let worth = problem.stocks[stock]
        .stretches
        .iter()
        .fold(0_u64, |sum, &length| {
            sum.saturating_add(leftovers.value(length))
        });
    let cost = problem.stocks[stock].cost;
    if worth > cost {
        return Err(Unfit::LeftoverAboveCost { stock, cost, worth });
    }
    Ok(())
}

/// Parts of one length.
#[derive(Clone, Debug)]
pub(super) struct Item {
    /// Length and kerf.
    pub(super) width: u64,
    pub(super) need: u64,
    /// What one missing piece costs, where pieces may be missing.
    pub(super) miss: Option<u64>,
    /// The parts of the problem that have this length.
    pub(super) parts: Vec<usize>,
}

/// Clear stretches of one length that are alike.
#[derive(Clone, Debug)]
pub(super) struct Class {
    /// Length and kerf.
    pub(super) capacity: u64,
    /// The kind of stock that is just this stretch; none: stretches of pieces with several.
    pub(super) sole: Option<usize>,
}

/// A kind of stock.
#[derive(Clone, Debug)]
pub(super) struct Kind {
    /// Index in the problem.
    pub(super) stock: usize,
    pub(super) cost: u64,
    /// Pieces that can be of use at all.
    pub(super) limit: u64,
    /// Whether `limit` is what is available, rather than what could be wanted.
    pub(super) scarce: bool,
    /// Its stretches: class and how many.
    pub(super) classes: Vec<(usize, u64)>,
}

/// What is cut from one stretch: items with counts, by increasing index (decreasing width).
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Shape {
    pub(super) class: usize,
    pub(super) items: Vec<(u32, u32)>,
}

/// A whole-number plan: shapes with counts, pieces of each kind opened, pieces of each item missing.
#[derive(Clone, Debug, Default)]
pub(super) struct Solution {
    pub(super) shapes: Vec<(Shape, u64)>,
    pub(super) pieces: Vec<u64>,
    pub(super) missing: Vec<u64>,
}

/// The reduced problem.
#[derive(Clone, Debug)]
pub(super) struct Core {
    /// By decreasing width.
    pub(super) items: Vec<Item>,
    pub(super) classes: Vec<Class>,
    pub(super) kinds: Vec<Kind>,
    pub(super) kerf: u64,
    /// Only if they are worth something.
    pub(super) leftovers: Option<Leftovers>,
    pub(super) most_pieces: u64,
    /// Every cost is a multiple of this.
    pub(super) unit: u64,
}

impl Core {
    /// Reduces the problem; parts in `missing` are needed less by so much.
    pub(super) fn new(problem: &Problem, missing: &[u64]) -> Self {
        let items = merge_parts(problem, missing);
        let mut core = Self {
            items,
            classes: Vec::new(),
            kinds: Vec::new(),
            kerf: problem.saw.kerf,
            leftovers: problem.leftovers.filter(|rule| rule.worth > 0),
            most_pieces: problem.most_pieces.unwrap_or(u64::MAX),
            unit: 1,
        };
        for stock in 0..problem.stocks.len() {
            core.add_kind(problem, stock);
        }
        core.drop_what_does_not_fit();
        core.unit = if core.leftovers.is_some() {
            1
        } else {
            core.kinds
                .iter()
                .fold(0, |g, kind| gcd(g, kind.cost))
                .max(1)
        };
        core
    }

    /// The same problem where only missing length counts.
    pub(super) fn for_least_missing(&self) -> Self {
        let mut core = self.clone();
        core.leftovers = None;
        for kind in &mut core.kinds {
            kind.cost = 0;
        }
        let mut unit = 0;
        for item in &mut core.items {
            let length = item.width - core.kerf;
            item.miss = Some(length);
            unit = gcd(unit, length);
        }
        core.unit = unit.max(1);
        core
    }

    fn add_kind(&mut self, problem: &Problem, stock: usize) {
        let kind = self.kinds.len();
        let wanted: u64 = self.items.iter().map(|item| item.need).sum();
        let available = problem.stocks[stock].available.unwrap_or(u64::MAX);
        let lengths = usable(problem, stock);
        let narrowest = self.items.last().map_or(u64::MAX, |item| item.width);
        let useful = lengths.iter().any(|&l| l + self.kerf >= narrowest);
        if available == 0 || wanted == 0 || !useful || self.most_pieces == 0 {
            return;
        }
        let mut classes: Vec<(usize, u64)> = Vec::new();
        for &length in &lengths {
            let sole = (lengths.len() == 1).then_some(kind);
            let class = self.class(length + self.kerf, sole);
            match classes.iter_mut().find(|(known, _)| *known == class) {
                Some((_, count)) => *count += 1,
                None => classes.push((class, 1)),
            }
        }
        self.kinds.push(Kind {
            stock,
            cost: problem.stocks[stock].cost,
            limit: available.min(wanted),
            scarce: available < wanted,
            classes,
        });
    }

    fn class(&mut self, capacity: u64, sole: Option<usize>) -> usize {
        let known = self
            .classes
            .iter()
            .position(|class| class.capacity == capacity && class.sole == sole);
        known.unwrap_or_else(|| {
            self.classes.push(Class { capacity, sole });
            self.classes.len() - 1
        })
    }

    fn drop_what_does_not_fit(&mut self) {
        let widest = self.widest();
        self.items
            .retain(|item| item.width <= widest && item.need > 0);
    }

    /// Capacity of the largest class.
    pub(super) fn widest(&self) -> u64 {
        self.classes
            .iter()
            .map(|class| class.capacity)
            .max()
            .unwrap_or(0)
    }

    /// Whether a piece of this kind is just one stretch.
    pub(super) fn sole(&self, kind: usize) -> bool {
        self.classes[self.kinds[kind].classes[0].0].sole.is_some()
    }

    pub(super) fn needs(&self) -> Vec<u64> {
        self.items.iter().map(|item| item.need).collect()
    }

    /// Worth of what is left of a stretch when `room` of its capacity is not used by widths.
    pub(super) fn rest_value(&self, room: u64) -> u64 {
        self.leftovers
            .map_or(0, |rule| rule.value(room.saturating_sub(self.kerf)))
    }

    /// Width of a shape.
    pub(super) fn width(&self, shape: &Shape) -> u64 {
        shape
            .items
            .iter()
            .map(|&(item, count)| self.items[item as usize].width * u64::from(count))
            .sum()
    }

    /// Least cost of stock for the widths alone: money units, and those rounded up to what a plan can cost.
    pub(super) fn material(&self) -> (f64, u64) {
        if self.leftovers.is_some() || self.items.iter().any(|item| item.miss.is_some()) {
            return (0.0, 0);
        }
        let width: u128 = (self.items.iter())
            .map(|item| u128::from(item.need) * u128::from(item.width))
            .sum();
        let costs = self.kinds.iter().map(|kind| {
            let capacity: u128 = (kind.classes.iter())
                .map(|&(class, each)| u128::from(self.classes[class].capacity) * u128::from(each))
                .sum();
            let cost = width * u128::from(kind.cost);
            let units = cost.div_ceil(capacity * u128::from(self.unit));
            (cost as f64 / capacity as f64, units as u64 * self.unit)
        });
        let least = costs.min_by(|x, y| x.0.total_cmp(&y.0));
        least.unwrap_or((0.0, 0))
    }

    /// What is left of a shape's capacity.
    pub(super) fn room(&self, shape: &Shape) -> u64 {
        self.classes[shape.class].capacity - self.width(shape)
    }

    /// Cost of a shape by itself: of its piece where the piece is one stretch, less the worth of its rest.
    pub(super) fn cost(&self, shape: &Shape) -> i64 {
        let class = &self.classes[shape.class];
        let piece = class.sole.map_or(0, |kind| self.kinds[kind].cost);
        piece as i64 - self.rest_value(self.room(shape)) as i64
    }

    /// Cost of a solution, all in.
    pub(super) fn total(&self, solution: &Solution) -> u64 {
        let pieces: u64 = (self.kinds.iter().zip(&solution.pieces))
            .map(|(kind, &count)| kind.cost * count)
            .sum();
        let missing: u64 = (self.items.iter().zip(&solution.missing))
            .map(|(item, &count)| item.miss.unwrap_or(0) * count)
            .sum();
        pieces + missing - self.kept_value(solution)
    }

    /// Worth of all rests, those of stretches that are not cut at all included.
    fn kept_value(&self, solution: &Solution) -> u64 {
        if self.leftovers.is_none() {
            return 0;
        }
        let mut uncut = vec![0; self.classes.len()];
        for (kind, &count) in self.kinds.iter().zip(&solution.pieces) {
            for &(class, each) in &kind.classes {
                uncut[class] += each * count;
            }
        }
        let mut value = 0;
        for (shape, count) in &solution.shapes {
            uncut[shape.class] -= count;
            value += count * self.rest_value(self.room(shape));
        }
        for (class, count) in self.classes.iter().zip(&uncut) {
            value += count * self.rest_value(class.capacity);
        }
        value
    }
}

/// Lengths of a stock's stretches after the trims at its two ends.
pub(super) fn usable(problem: &Problem, stock: usize) -> Vec<u64> {
    let mut lengths = problem.stocks[stock].stretches.clone();
    if let Some(first) = lengths.first_mut() {
        *first = first.saturating_sub(problem.saw.head_trim);
    }
    if let Some(last) = lengths.last_mut() {
        *last = last.saturating_sub(problem.saw.tail_trim);
    }
    lengths
}

fn merge_parts(problem: &Problem, missing: &[u64]) -> Vec<Item> {
    let mut order: Vec<usize> = (0..problem.parts.len()).collect();
    order.sort_by_key(|&part| std::cmp::Reverse(problem.parts[part].length));
    let mut items: Vec<Item> = Vec::new();
    for part in order {
        let width = problem.parts[part].length + problem.saw.kerf;
        let need = problem.parts[part].need - missing[part];
        match items.last_mut() {
            Some(last) if last.width == width => {
                last.need += need;
                last.parts.push(part);
            }
            _ => items.push(Item {
                width,
                need,
                miss: None,
                parts: vec![part],
            }),
        }
    }
    items.retain(|item| item.need > 0);
    items
}

pub(super) fn gcd(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { gcd(b, a % b) }
}

/// What is still to be cut, and from what.
#[derive(Clone, Debug)]
pub(super) struct Residual {
    /// Pieces still needed of each item.
    pub(super) needs: Vec<u64>,
    /// Pieces of each kind that may still be opened.
    pub(super) kinds: Vec<u64>,
    /// Stretches of each class opened and not cut, or (negative) cut and not opened.
    pub(super) open: Vec<i64>,
}

impl Residual {
    pub(super) fn new(core: &Core) -> Self {
        Self {
            needs: core.needs(),
            kinds: core.kinds.iter().map(|kind| kind.limit).collect(),
            open: vec![0; core.classes.len()],
        }
    }

    /// Whether nothing is left to be cut and every stretch that is cut is opened.
    pub(super) fn done(&self) -> bool {
        self.needs.iter().all(|&need| need == 0) && self.open.iter().all(|&open| open >= 0)
    }

    /// Whether a shape makes nothing that is not needed.
    pub(super) fn fits(&self, shape: &Shape) -> bool {
        self.whole(shape) > 0
    }

    /// How often a shape can be cut without making anything over.
    pub(super) fn whole(&self, shape: &Shape) -> u64 {
        let each = shape.items.iter();
        each.map(|&(item, count)| self.needs[item as usize] / u64::from(count))
            .min()
            .unwrap_or(0)
    }

    /// The shape without what is not needed.
    pub(super) fn trimmed(&self, shape: &Shape) -> Shape {
        let items = shape.items.iter().filter_map(|&(item, count)| {
            let kept = u64::from(count).min(self.needs[item as usize]);
            (kept > 0).then_some((item, kept as u32))
        });
        Shape {
            class: shape.class,
            items: items.collect(),
        }
    }

    /// Cuts a shape so often; false, and nothing done, if there is no stock for it.
    pub(super) fn cut(&mut self, core: &Core, shape: &Shape, count: u64) -> bool {
        if let Some(kind) = core.classes[shape.class].sole {
            if self.kinds[kind] < count {
                return false;
            }
            self.kinds[kind] -= count;
        } else {
            self.open[shape.class] -= count as i64;
        }
        for &(item, each) in &shape.items {
            self.needs[item as usize] -= u64::from(each) * count;
        }
        true
    }

    /// Opens pieces of a kind that has several stretches.
    pub(super) fn open(&mut self, core: &Core, kind: usize, count: u64) {
        self.kinds[kind] -= count;
        for &(class, each) in &core.kinds[kind].classes {
            self.open[class] += (each * count) as i64;
        }
    }
}

impl Solution {
    /// Nothing cut yet.
    pub(super) fn empty(core: &Core) -> Self {
        Self {
            shapes: Vec::new(),
            pieces: vec![0; core.kinds.len()],
            missing: vec![0; core.items.len()],
        }
    }

    /// Notes shapes that are cut; a piece that is just one stretch counts as opened.
    pub(super) fn cut(&mut self, core: &Core, shape: Shape, count: u64) {
        if let Some(kind) = core.classes[shape.class].sole {
            self.pieces[kind] += count;
        }
        match self.shapes.iter_mut().find(|(known, _)| *known == shape) {
            Some((_, total)) => *total += count,
            None => self.shapes.push((shape, count)),
        }
    }

    /// Whether no more is opened than there is, and no more cut than opened.
    pub(super) fn within_stock(&self, core: &Core) -> bool {
        let mut open = vec![0_i64; core.classes.len()];
        for (kind, &count) in core.kinds.iter().zip(&self.pieces) {
            if count > kind.limit {
                return false;
            }
            for &(class, each) in &kind.classes {
                open[class] += (each * count) as i64;
            }
        }
        for (shape, count) in &self.shapes {
            open[shape.class] -= *count as i64;
        }
        open.iter().all(|&left| left >= 0)
    }

    /// Adds what another solution cuts.
    pub(super) fn extend(&mut self, other: Self) {
        for (shape, count) in other.shapes {
            match self.shapes.iter_mut().find(|(known, _)| *known == shape) {
                Some((_, total)) => *total += count,
                None => self.shapes.push((shape, count)),
            }
        }
        for (sum, more) in self.pieces.iter_mut().zip(other.pieces) {
            *sum += more;
        }
        for (sum, more) in self.missing.iter_mut().zip(other.missing) {
            *sum += more;
        }
    }
}
