//! The pool of patterns, the linear programme over part of it, and the bound over all of it.

use effort::Meter;

use super::super::core::{Core, Shape, Solution};
use crate::linear::{Outcome, Programme, Sense};

/// Patterns taken into the programme at once.
const TAKEN_IN: usize = 200;
/// No dual is larger, small units: sums over a pattern stay below 2^63.
const LIMIT: i64 = 1 << 54;
/// A value so near to a whole number is one.
const WHOLE: f64 = 1e-6;

/// One pattern of the pool.
pub(super) struct Member {
    pub(super) shape: Shape,
    /// Coefficients by row: items, stock, then cuts and branches.
    entries: Vec<(u32, i32)>,
    cost: i64,
    pub(super) lower: u64,
    /// None: as many as wanted.
    pub(super) upper: Option<u64>,
    column: Option<usize>,
}

/// A row that was added: a cut or a branch.
struct Extra {
    sense: Sense,
    right: i64,
}

/// Bounds of a pattern as they were, to come back to.
pub(super) struct Undo {
    member: usize,
    lower: u64,
    upper: Option<u64>,
}

pub(super) struct Pool<'a> {
    pub(super) core: &'a Core,
    lp: Programme,
    pub(super) members: Vec<Member>,
    extras: Vec<Extra>,
    /// Rows of the items and of stock.
    base_rows: usize,
    class_rows: Vec<Option<usize>>,
    kind_rows: Vec<Option<usize>>,
    kind_columns: Vec<Option<usize>>,
    /// Columns of the programme that are not patterns: stand-ins.
    scale: i64,
    target: u64,
    /// What a stand-in costs: more than any plan that is looked for.
    stand_in: u64,
    /// Member behind each column, where there is one.
    behind: Vec<Option<usize>>,
}

/// What the programme says at a node.
pub(super) enum Node {
    /// No plan below this node is cheap enough; that is certain.
    Hopeless,
    /// The bound, in small units, and patterns whose use would cost too much.
    Open {
        bound: i128,
        useless: Vec<usize>,
    },
    Stopped,
}

impl<'a> Pool<'a> {
    pub(super) fn new(core: &'a Core, shapes: Vec<Shape>, scale: i64, target: u64) -> Self {
        let mut rows: Vec<(Sense, f64)> = core
            .items
            .iter()
            .map(|item| (Sense::Equal, item.need as f64))
            .collect();
        let mut push = |right: f64| {
            rows.push((Sense::AtMost, right));
            rows.len() - 1
        };
        let class_rows: Vec<Option<usize>> = (core.classes.iter())
            .map(|class| class.sole.is_none().then(|| push(0.0)))
            .collect();
        let kind_rows: Vec<Option<usize>> = (core.kinds.iter().enumerate())
            .map(|(kind, facts)| {
                (facts.scarce && core.sole(kind)).then(|| push(facts.limit as f64))
            })
            .collect();
        let mut pool = Self {
            core,
            lp: Programme::new(&rows),
            members: Vec::new(),
            extras: Vec::new(),
            base_rows: rows.len(),
            class_rows,
            kind_rows,
            kind_columns: Vec::new(),
            scale,
            target,
            stand_in: target + 1,
            behind: Vec::new(),
        };
        pool.add_stand_ins();
        pool.add_kinds();
        pool.members = shapes.into_iter().map(|shape| pool.member(shape)).collect();
        pool
    }

    fn add_stand_ins(&mut self) {
        for (row, item) in self.core.items.iter().enumerate() {
            let cost = item.miss.unwrap_or(self.stand_in).min(self.stand_in);
            self.add_column(cost as f64, &[(row, 1.0)], None);
        }
    }

    fn add_kinds(&mut self) {
        for (kind, facts) in self.core.kinds.iter().enumerate() {
            let column = (!self.core.sole(kind)).then(|| {
                let entries: Vec<(usize, f64)> = (facts.classes.iter())
                    .filter_map(|&(class, each)| Some((self.class_rows[class]?, -(each as f64))))
                    .collect();
                (facts.cost as f64, facts.limit as f64, entries)
            });
            let column = column.map(|(cost, limit, entries)| {
                let column = self.lp.add_column(cost, &entries);
                self.lp.set_bounds(column, 0.0, limit);
                self.behind.push(None);
                column
            });
            self.kind_columns.push(column);
        }
    }

    fn add_column(&mut self, cost: f64, entries: &[(usize, f64)], member: Option<usize>) -> usize {
        self.behind.push(member);
        self.lp.add_column(cost, entries)
    }

    fn member(&self, shape: Shape) -> Member {
        let mut entries: Vec<(u32, i32)> = (shape.items.iter())
            .map(|&(item, count)| (item, count as i32))
            .collect();
        let sole = self.core.classes[shape.class].sole;
        let row = sole.map_or(self.class_rows[shape.class], |kind| self.kind_rows[kind]);
        entries.extend(row.map(|row| (row as u32, 1)));
        Member {
            entries,
            cost: self.core.cost(&shape),
            shape,
            lower: 0,
            upper: None,
            column: None,
        }
    }

    /// Brings these members into the programme.
    pub(super) fn take_in(&mut self, members: &[usize]) {
        for &index in members {
            let member = &self.members[index];
            if member.column.is_some() {
                continue;
            }
            let entries: Vec<(usize, f64)> = (member.entries.iter())
                .map(|&(row, value)| (row as usize, f64::from(value)))
                .collect();
            let column = self.add_column(member.cost as f64, &entries, Some(index));
            self.members[index].column = Some(column);
            self.sync(index);
        }
    }

    fn sync(&mut self, index: usize) {
        let member = &self.members[index];
        if let Some(column) = member.column {
            let upper = member.upper.map_or(f64::INFINITY, |upper| upper as f64);
            self.lp.set_bounds(column, member.lower as f64, upper);
        }
    }

    /// Sets the bounds of a pattern and notes how they were.
    pub(super) fn limit(
        &mut self,
        index: usize,
        lower: u64,
        upper: Option<u64>,
        undo: &mut Vec<Undo>,
    ) {
        let member = &mut self.members[index];
        undo.push(Undo {
            member: index,
            lower: member.lower,
            upper: member.upper,
        });
        member.lower = lower;
        member.upper = upper;
        if lower > 0 {
            self.take_in(&[index]);
        }
        self.sync(index);
    }

    /// Puts bounds back, last first.
    pub(super) fn restore(&mut self, undo: Vec<Undo>) {
        for was in undo.into_iter().rev() {
            let member = &mut self.members[was.member];
            member.lower = was.lower;
            member.upper = was.upper;
            self.sync(was.member);
        }
    }

    /// Adds a row over all patterns.
    pub(super) fn add_row(
        &mut self,
        sense: Sense,
        right: i64,
        coefficient: impl Fn(&Shape) -> i32,
    ) {
        let row = self.base_rows + self.extras.len();
        let mut entries = Vec::new();
        for member in &mut self.members {
            let value = coefficient(&member.shape);
            if value != 0 {
                member.entries.push((row as u32, value));
                entries.extend(member.column.map(|column| (column, f64::from(value))));
            }
        }
        self.lp.add_row(sense, right as f64, &entries);
        self.extras.push(Extra { sense, right });
        if sense == Sense::AtLeast {
            self.add_column(self.stand_in as f64, &[(row, 1.0)], None);
        }
    }

    /// Number of cuts and branches.
    pub(super) fn extras(&self) -> usize {
        self.extras.len()
    }

    /// Drops cuts and branches from this one on.
    pub(super) fn drop_extras(&mut self, from: usize) {
        let first = (self.base_rows + from) as u32;
        self.lp.drop_rows(self.base_rows + from);
        self.extras.truncate(from);
        for member in &mut self.members {
            while member.entries.last().is_some_and(|&(row, _)| row >= first) {
                member.entries.pop();
            }
        }
    }

    /// Whether anything of a pattern may be used.
    pub(super) fn alive(&self, index: usize) -> bool {
        self.members[index].upper != Some(0)
    }

    /// Solves the programme over the pool and bounds what lies below.
    pub(super) fn solve(&mut self, meter: &mut Meter<'_>) -> Node {
        if self.overfull() {
            return Node::Hopeless;
        }
        loop {
            match self.lp.solve(meter) {
                Outcome::Optimal => {}
                // With stand-ins for needs and branches there is always an answer; anything else is a
                // failure of the arithmetic.
                _ => return Node::Stopped,
            }
            if !meter.spend(self.members.len() as u64 / 256 + 1) {
                return Node::Stopped;
            }
            let worth = self.worth();
            let node = self.judge(&worth);
            let Node::Open { .. } = node else {
                return node;
            };
            let mut priced: Vec<(i64, usize)> = (worth.excess.iter().enumerate())
                .filter(|&(index, &excess)| {
                    excess > self.scale >> 26
                        && self.members[index].column.is_none()
                        && self.alive(index)
                })
                .map(|(index, &excess)| (excess, index))
                .collect();
            if priced.is_empty() {
                return node;
            }
            priced.sort_by_key(|&(excess, index)| (std::cmp::Reverse(excess), index));
            priced.truncate(TAKEN_IN);
            let taken: Vec<usize> = priced.into_iter().map(|(_, index)| index).collect();
            self.take_in(&taken);
        }
    }

    /// Whether the patterns that must be used break a row by themselves. When they do not, the programme has an
    /// answer: those patterns, and stand-ins for the rest.
    fn overfull(&self) -> bool {
        let mut sums = vec![0_i128; self.base_rows + self.extras.len()];
        for member in self.members.iter().filter(|member| member.lower > 0) {
            for &(row, value) in &member.entries {
                sums[row as usize] += i128::from(value) * i128::from(member.lower);
            }
        }
        for (kind, facts) in self.core.kinds.iter().enumerate() {
            let most = self.kind_bounds(kind).1 as u64;
            for &(class, each) in &facts.classes {
                if let Some(row) = self.class_rows[class] {
                    sums[row] -= i128::from(each) * i128::from(most);
                }
            }
        }
        let items = self.core.items.iter().map(|item| item.need);
        let limits = self.core.kinds.iter().enumerate();
        let limits = limits.filter_map(|(kind, facts)| Some((self.kind_rows[kind]?, facts.limit)));
        let base = items.enumerate().chain(limits);
        let classes = self.class_rows.iter().flatten().map(|&row| (row, 0));
        let extras = (self.extras.iter().enumerate())
            .filter(|(_, extra)| extra.sense == Sense::AtMost)
            .map(|(index, extra)| (self.base_rows + index, i128::from(extra.right)));
        base.chain(classes)
            .map(|(row, right)| (row, i128::from(right)))
            .chain(extras)
            .any(|(row, right)| sums[row] > right)
    }

    /// Duals in whole numbers of the right sign, no stand-in worth more than it costs. (No row of needs
    /// lacks a stand-in, but nothing holds a dual from below except the limit of the arithmetic.)
    fn small_duals(&self) -> Vec<i64> {
        let most = self.scale.saturating_mul(self.stand_in as i64).min(LIMIT);
        let small = |row: usize| (self.lp.duals()[row] * self.scale as f64).floor() as i64;
        let items = self.core.items.iter().enumerate().map(|(row, item)| {
            let most = item
                .miss
                .map_or(most, |miss| most.min(self.scale * miss as i64));
            small(row).clamp(-LIMIT, most)
        });
        let stock = (self.core.items.len()..self.base_rows).map(|_| 0);
        let extras = self.extras.iter().enumerate().map(|(index, extra)| {
            let dual = small(self.base_rows + index);
            match extra.sense {
                Sense::AtMost => dual.clamp(-LIMIT, 0),
                Sense::AtLeast => dual.clamp(0, most),
                Sense::Equal => dual.clamp(-LIMIT, LIMIT),
            }
        });
        items.chain(stock).chain(extras).collect()
    }

    /// What the patterns are worth at the duals.
    fn worth(&self) -> Worth {
        let duals = self.small_duals();
        let value: Vec<i64> = (self.members.iter())
            .map(|member| {
                let class = &self.core.classes[member.shape.class];
                let piece = class
                    .sole
                    .map_or(0, |kind| self.core.kinds[kind].cost as i64);
                let entries: i64 = (member.entries.iter())
                    .map(|&(row, value)| duals[row as usize] * i64::from(value))
                    .sum();
                entries - self.scale * (member.cost - piece)
            })
            .collect();
        let rent: Vec<i64> = (0..self.core.classes.len())
            .map(|class| self.rent(class))
            .collect();
        let excess = (value.iter().zip(&self.members))
            .map(|(&value, member)| value - rent[member.shape.class])
            .collect();
        Worth {
            duals,
            value,
            excess,
        }
    }

    /// What the use of a stretch costs at the duals, rounded down.
    fn rent(&self, class: usize) -> i64 {
        let dual = |row: usize| (-self.lp.duals()[row] * self.scale as f64).max(0.0) as i64;
        match self.core.classes[class].sole {
            Some(kind) => {
                self.core.kinds[kind].cost as i64 * self.scale
                    + self.kind_rows[kind].map_or(0, dual)
            }
            None => self.class_rows[class].map_or(0, dual),
        }
    }

    /// The Lagrangian bound over the whole pool, and what it rules out.
    fn judge(&self, worth: &Worth) -> Node {
        let core = self.core;
        let mut most: Vec<i64> = (core.classes.iter())
            .map(|class| {
                class
                    .sole
                    .map_or(0, |kind| core.kinds[kind].cost as i64 * self.scale)
            })
            .collect();
        for (member, &value) in self.members.iter().zip(&worth.value) {
            if member.upper.is_none() {
                let class = member.shape.class;
                most[class] = most[class].max(value);
            }
        }
        let mut bound = self.rows_worth(&worth.duals);
        for (index, kind) in core.kinds.iter().enumerate() {
            let cost = i128::from(kind.cost) * i128::from(self.scale);
            let sum: i128 = (kind.classes.iter())
                .map(|&(class, each)| i128::from(most[class]) * i128::from(each))
                .sum();
            bound += self.pieces_worth(index, cost - sum);
        }
        for (member, &value) in self.members.iter().zip(&worth.value) {
            let over = i128::from(value - most[member.shape.class]);
            if over > 0 {
                bound -= over * i128::from(member.upper.unwrap_or(0));
            } else {
                bound -= over * i128::from(member.lower);
            }
        }
        let target = i128::from(self.target) * i128::from(self.scale);
        if bound > target {
            return Node::Hopeless;
        }
        let useless = (0..self.members.len())
            .filter(|&index| {
                let member = &self.members[index];
                let reduced = i128::from(most[member.shape.class] - worth.value[index]);
                self.alive(index) && member.lower == 0 && bound + reduced > target
            })
            .collect();
        Node::Open { bound, useless }
    }

    /// Least that the pieces of a kind can add when each adds so much.
    fn pieces_worth(&self, kind: usize, each: i128) -> i128 {
        let facts = &self.core.kinds[kind];
        let (lower, mut upper) = match self.kind_columns[kind] {
            Some(column) => self.lp.bounds(column),
            None => (0.0, facts.limit as f64),
        };
        if self.core.leftovers.is_none()
            && let Some(most) = self.target.checked_div(facts.cost)
        {
            upper = upper.min(most as f64);
        }
        let pieces = if each < 0 { upper.max(lower) } else { lower };
        each * i128::from(pieces as u64)
    }

    fn rows_worth(&self, duals: &[i64]) -> i128 {
        let items: i128 = (self.core.items.iter().zip(duals))
            .map(|(item, &dual)| i128::from(item.need) * i128::from(dual))
            .sum();
        let extras: i128 = (self.extras.iter().zip(&duals[self.base_rows..]))
            .map(|(extra, &dual)| i128::from(extra.right) * i128::from(dual))
            .sum();
        items + extras
    }

    /// Members in use with their values.
    pub(super) fn used(&self) -> Vec<(usize, f64)> {
        (0..self.behind.len())
            .filter_map(|column| Some((self.behind[column]?, self.lp.at(column))))
            .filter(|&(_, value)| value > WHOLE)
            .collect()
    }

    /// The plan the programme holds, if it is whole and makes just what is needed.
    pub(super) fn whole(&self) -> Option<Solution> {
        let mut solution = Solution::empty(self.core);
        let mut made = vec![0_u64; self.core.items.len()];
        for (index, value) in self.used() {
            let count = value.round();
            if (value - count).abs() > WHOLE {
                return None;
            }
            let shape = &self.members[index].shape;
            for &(item, each) in &shape.items {
                made[item as usize] += u64::from(each) * count as u64;
            }
            if !shape.items.is_empty() {
                solution.cut(self.core, shape.clone(), count as u64);
            }
        }
        for (kind, column) in self.kind_columns.iter().enumerate() {
            if let Some(column) = *column {
                let value = self.lp.at(column);
                if (value - value.round()).abs() > WHOLE {
                    return None;
                }
                solution.pieces[kind] = value.round() as u64;
            }
        }
        for (index, item) in self.core.items.iter().enumerate() {
            if made[index] > item.need || (made[index] < item.need && item.miss.is_none()) {
                return None;
            }
            solution.missing[index] = item.need - made[index];
        }
        (solution.within_stock(self.core) && self.core.total(&solution) <= self.target)
            .then_some(solution)
    }

    /// Value of the pieces column of a kind with several stretches.
    pub(super) fn fractional_kind(&self) -> Option<(usize, f64)> {
        (self.kind_columns.iter().enumerate())
            .filter_map(|(kind, column)| Some((kind, self.lp.at((*column)?))))
            .find(|(_, value)| (value - value.round()).abs() > WHOLE)
    }

    /// Bounds on the pieces of a kind.
    pub(super) fn kind_bounds(&self, kind: usize) -> (f64, f64) {
        self.kind_columns[kind].map_or((0.0, 0.0), |column| self.lp.bounds(column))
    }

    pub(super) fn limit_kind(&mut self, kind: usize, lower: f64, upper: f64) {
        if let Some(column) = self.kind_columns[kind] {
            self.lp.set_bounds(column, lower, upper);
        }
    }
}

/// Duals and the patterns' worth at them, small units.
struct Worth {
    duals: Vec<i64>,
    /// Worth of the entries and the rest.
    value: Vec<i64>,
    /// Worth above what the stretch costs at the duals.
    excess: Vec<i64>,
}
