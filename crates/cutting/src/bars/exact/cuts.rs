//! Cuts that the fractional patterns break.
//!
//! For a set S of items of odd total need, `Σ floor(|p ∩ S| / 2) x_p <= floor(need(S) / 2)`, pieces counted
//! (Chvátal-Gomory with multipliers 1/2; for three items needed once the subset-row cut of Jepsen,
//! Petersen, Spoorendonk & Pisinger 2008). Since each need is met exactly, the cut is broken by half of what the
//! patterns with an odd number of pieces of S fall short of one.

use super::super::core::{Core, Shape};

/// Cuts added at once.
const AT_ONCE: usize = 40;
/// A cut must be broken by this much.
const BROKEN: f64 = 0.03;
/// No item is in more cuts of one round.
const CUTS_PER_ITEM: usize = 4;

/// A cut: the items of its set.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Cut {
    items: Vec<u32>,
}

impl Cut {
    pub(super) fn coefficient(&self, shape: &Shape) -> i32 {
        let pieces: u32 = (shape.items.iter())
            .filter(|(item, _)| self.items.contains(item))
            .map(|&(_, count)| count)
            .sum();
        (pieces / 2) as i32
    }

    pub(super) fn right(&self, core: &Core) -> i64 {
        let need: u64 = self
            .items
            .iter()
            .map(|&item| core.items[item as usize].need)
            .sum();
        (need / 2) as i64
    }
}

/// The cuts that are broken most, spread over the items.
pub(super) fn broken(core: &Core, used: &[(&Shape, f64)]) -> Vec<Cut> {
    let odd = OddParts::new(core, used);
    let mut found: Vec<(f64, Cut)> = Vec::new();
    for hub in 0..core.items.len() {
        odd.around(core, hub, &mut found);
    }
    found.sort_by(|x, y| y.0.total_cmp(&x.0).then_with(|| x.1.cmp(&y.1)));
    found.dedup_by(|x, y| x.1 == y.1);
    let mut uses = vec![0; core.items.len()];
    let mut chosen = Vec::new();
    for (_, cut) in found {
        if chosen.len() == AT_ONCE {
            break;
        }
        if cut
            .items
            .iter()
            .all(|&item| uses[item as usize] < CUTS_PER_ITEM)
        {
            for &item in &cut.items {
                uses[item as usize] += 1;
            }
            chosen.push(cut);
        }
    }
    chosen
}

/// Which patterns hold an odd number of an item.
struct OddParts<'a> {
    /// Patterns with an odd number of the item, by item.
    patterns: Vec<Vec<usize>>,
    /// Items with an odd number in the pattern, by pattern.
    items: Vec<Vec<u32>>,
    used: &'a [(&'a Shape, f64)],
}

impl<'a> OddParts<'a> {
    fn new(core: &Core, used: &'a [(&'a Shape, f64)]) -> Self {
        let items: Vec<Vec<u32>> = (used.iter())
            .map(|(shape, _)| {
                let odd = shape.items.iter().filter(|(_, count)| count % 2 == 1);
                odd.map(|&(item, _)| item).collect()
            })
            .collect();
        let mut patterns = vec![Vec::new(); core.items.len()];
        for (pattern, items) in items.iter().enumerate() {
            for &item in items {
                patterns[item as usize].push(pattern);
            }
        }
        Self {
            patterns,
            items,
            used,
        }
    }

    /// Broken cuts of the hub alone, and with two items that share patterns with it.
    fn around(&self, core: &Core, hub: usize, found: &mut Vec<(f64, Cut)>) {
        let mut near: Vec<u32> = (self.patterns[hub].iter())
            .flat_map(|&pattern| self.items[pattern].iter().copied())
            .filter(|&item| item as usize != hub)
            .collect();
        near.sort_unstable();
        near.dedup();
        let hub = hub as u32;
        self.try_set(core, &[hub], found);
        for (index, &second) in near.iter().enumerate() {
            self.try_set(core, &[hub, second], found);
            for &third in &near[index + 1..] {
                self.try_set(core, &[hub, second, third], found);
            }
        }
    }

    fn try_set(&self, core: &Core, set: &[u32], found: &mut Vec<(f64, Cut)>) {
        let need: u64 = set.iter().map(|&item| core.items[item as usize].need).sum();
        if need.is_multiple_of(2) {
            return;
        }
        let mut odd = 0.0;
        for (position, &item) in set.iter().enumerate() {
            for &pattern in &self.patterns[item as usize] {
                let others = &self.items[pattern];
                let before = set[..position].iter().any(|o| others.contains(o));
                let within = set.iter().filter(|i| others.contains(i)).count();
                if !before && within % 2 == 1 {
                    odd += self.used[pattern].1;
                }
            }
            if (1.0 - odd) / 2.0 < BROKEN {
                return;
            }
        }
        let mut items = set.to_vec();
        items.sort_unstable();
        found.push(((1.0 - odd) / 2.0, Cut { items }));
    }
}
