//! The tasks, checked once, and the precedence graph as the search sees it from one end of the line.

use super::bits::{insert, is_subset, members, unite, words_for};
use super::{LineError, LineProblem, MOST_TASKS};

/// A problem that has been checked: no ring, no unknown task, sums that fit.
pub(super) struct Model {
    pub times: Vec<u64>,
    /// Distinct predecessors of each task.
    pub before: Vec<Vec<usize>>,
    /// The tasks so that each stands behind all it comes after.
    pub order: Vec<usize>,
    pub total: u64,
}

/// Bounds multiply a time by small factors; this leaves them room in 64 bits.
const HEADROOM: u64 = 64;

impl Model {
    pub(super) fn new(problem: &LineProblem) -> Result<Model, LineError> {
        let count = problem.tasks.len();
        if count == 0 {
            return Err(LineError::Empty);
        }
        if count > MOST_TASKS {
            return Err(LineError::TooManyTasks { count });
        }
        let times: Vec<u64> = problem.tasks.iter().map(|task| task.time).collect();
        let total = total_with_headroom(&times)?;
        let before = distinct_predecessors(problem)?;
        let order = line_order(&before)?;
        Ok(Model {
            times,
            before,
            order,
            total,
        })
    }

    /// The longest task: its place and time.
    pub(super) fn longest(&self) -> (usize, u64) {
        let mut longest = (0, 0);
        for (task, &time) in self.times.iter().enumerate() {
            if time > longest.1 {
                longest = (task, time);
            }
        }
        longest
    }

    /// Everything that comes after each task, directly or not, as rows of a bit table.
    pub(super) fn followers(&self) -> Vec<u64> {
        let (count, words) = (self.times.len(), words_for(self.times.len()));
        let mut table = vec![0_u64; count * words];
        for &task in self.order.iter().rev() {
            let row = table[task * words..(task + 1) * words].to_vec();
            for &earlier in &self.before[task] {
                let target = &mut table[earlier * words..(earlier + 1) * words];
                unite(target, &row);
                insert(target, task);
            }
        }
        table
    }
}

fn total_with_headroom(times: &[u64]) -> Result<u64, LineError> {
    let total = times
        .iter()
        .try_fold(0_u64, |sum, &time| sum.checked_add(time))
        .ok_or(LineError::TimesTooLarge)?;
    if total == 0 {
        return Err(LineError::NoWork);
    }
    total
        .checked_mul(HEADROOM * (times.len() as u64 + 1))
        .map(|_| total)
        .ok_or(LineError::TimesTooLarge)
}

fn distinct_predecessors(problem: &LineProblem) -> Result<Vec<Vec<usize>>, LineError> {
    let count = problem.tasks.len();
    let mut before = Vec::with_capacity(count);
    for (task, given) in problem.tasks.iter().enumerate() {
        if let Some(&after) = given.after.iter().find(|&&after| after >= count) {
            return Err(LineError::UnknownTask { task, after });
        }
        let mut distinct = given.after.clone();
        distinct.sort_unstable();
        distinct.dedup();
        before.push(distinct);
    }
    Ok(before)
}

/// An order that respects every precedence, lowest place first among the free (Kahn 1962).
fn line_order(before: &[Vec<usize>]) -> Result<Vec<usize>, LineError> {
    let mut waits: Vec<usize> = before.iter().map(Vec::len).collect();
    let mut after = vec![Vec::new(); before.len()];
    for (task, earlier) in before.iter().enumerate() {
        for &e in earlier {
            after[e].push(task);
        }
    }
    let mut order: Vec<usize> = (0..before.len()).filter(|&task| waits[task] == 0).collect();
    let mut next = 0;
    while let Some(&task) = order.get(next) {
        next += 1;
        for &later in &after[task] {
            waits[later] -= 1;
            if waits[later] == 0 {
                order.push(later);
            }
        }
    }
    if order.len() < before.len() {
        return Err(LineError::Ring {
            ring: one_ring(before, &waits),
        });
    }
    Ok(order)
}

/// Walks backwards among tasks that still wait: each has a predecessor that waits too, so a place repeats.
fn one_ring(before: &[Vec<usize>], waits: &[usize]) -> Vec<usize> {
    let waiting = |task: &usize| waits[*task] > 0;
    let mut walk: Vec<usize> = (0..before.len()).find(waiting).into_iter().collect();
    let mut seen_at = vec![usize::MAX; before.len()];
    while let Some(&task) = walk.last() {
        if seen_at[task] != usize::MAX {
            let start = seen_at[task];
            walk.pop();
            let mut ring = walk.split_off(start);
            ring.reverse();
            return ring;
        }
        seen_at[task] = walk.len() - 1;
        walk.extend(before[task].iter().copied().find(|t| waiting(t)));
    }
    walk
}

/// The graph seen from one end of the line, tasks renumbered longest first.
pub(super) struct Graph {
    pub count: usize,
    pub words: usize,
    pub cycle: u64,
    pub times: Vec<u64>,
    /// Direct successors, without those implied by others.
    pub next: Vec<Vec<u32>>,
    /// Number of direct predecessors.
    pub waits: Vec<u32>,
    /// All successors, a row of bits each.
    followers: Vec<u64>,
    /// For each task, those that may take its place in a load: no shorter, and followed by at least
    /// the same tasks (Jackson 1956; Scholl & Becker 2006, section 2.3).
    pub dominators: Vec<Vec<u32>>,
    /// The caller's number of each task.
    pub original: Vec<usize>,
    /// Tasks numbered so that each stands behind all it comes after.
    pub order: Vec<u32>,
}

impl Graph {
    /// The graph of `model` with tightened `times`, from the far end of the line when `reversed`.
    pub(super) fn new(model: &Model, times: &[u64], cycle: u64, reversed: bool) -> Graph {
        let count = times.len();
        let words = words_for(count);
        let mut original: Vec<usize> = (0..count).collect();
        original.sort_by_key(|&task| (std::cmp::Reverse(times[task]), task));
        let mut number = vec![0_u32; count];
        for (new, &old) in original.iter().enumerate() {
            number[old] = new as u32;
        }
        let mut order: Vec<u32> = model.order.iter().map(|&task| number[task]).collect();
        if reversed {
            order.reverse();
        }
        let mut graph = Graph {
            count,
            words,
            cycle,
            times: original.iter().map(|&task| times[task]).collect(),
            next: vec![Vec::new(); count],
            waits: vec![0; count],
            followers: renumbered_followers(model, &number, reversed),
            dominators: Vec::new(),
            original,
            order,
        };
        graph.link_directly();
        graph.dominators = (0..count).map(|task| graph.dominators_of(task)).collect();
        graph
    }

    pub(super) fn followers(&self, task: usize) -> &[u64] {
        &self.followers[task * self.words..(task + 1) * self.words]
    }

    pub(super) fn has_followers(&self, task: usize) -> bool {
        !self.next[task].is_empty()
    }

    /// Keeps only the arcs that no longer path implies.
    fn link_directly(&mut self) {
        for task in 0..self.count {
            let mut implied = vec![0_u64; self.words];
            for later in members(self.followers(task)) {
                unite(&mut implied, self.followers(later));
            }
            let direct: Vec<u32> = members(self.followers(task))
                .filter(|&later| !super::bits::has(&implied, later))
                .map(|later| later as u32)
                .collect();
            for &later in &direct {
                self.waits[later as usize] += 1;
            }
            self.next[task] = direct;
        }
    }

    /// Of two tasks alike in time and followers the lower number stands for both, so no ring of
    /// replacements can arise.
    fn dominators_of(&self, task: usize) -> Vec<u32> {
        let mine = self.followers(task);
        let better = |other: usize| {
            let theirs = self.followers(other);
            other != task
                && self.times[other] >= self.times[task]
                && is_subset(mine, theirs)
                && !super::bits::has(theirs, task)
                && !super::bits::has(mine, other)
                && (self.times[other] > self.times[task] || mine != theirs || other < task)
        };
        (0..self.count)
            .filter(|&other| better(other))
            .map(|other| other as u32)
            .collect()
    }
}

fn renumbered_followers(model: &Model, number: &[u32], reversed: bool) -> Vec<u64> {
    let words = words_for(number.len());
    let forward = model.followers();
    let mut table = vec![0_u64; forward.len()];
    for task in 0..number.len() {
        for later in members(&forward[task * words..(task + 1) * words]) {
            let (from, to) = if reversed {
                (later, task)
            } else {
                (task, later)
            };
            let row = number[from] as usize * words;
            insert(&mut table[row..row + words], number[to] as usize);
        }
    }
    table
}
