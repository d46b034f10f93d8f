//! What a clear length is worth: the unbounded knapsack as a step function.
//!
//! F(x) is the most value that parts with a kerf between them can make of a clear length x (Gilmore & Gomory
//! 1966). It rises in steps at sums of lengths and kerfs. The steps are found in order by merging, per part,
//! the steps so far moved by its length; a step that is no higher than the one before is dropped. No grid is
//! laid, so the unit does not matter.

/// A step: from clear length `at` on, `value` can be had, by `item` behind the parts of step `before`.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Step {
    at: u64,
    value: f64,
    item: usize,
    before: usize,
}

/// The step function of a list of (length, value).
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Steps {
    /// Where the steps are; the first is at 0.
    at: Vec<u64>,
    list: Vec<Step>,
    kerf: u64,
}

impl Steps {
    /// All steps up to clear length `longest`.
    pub(crate) fn new(items: &[(u64, f64)], kerf: u64, longest: u64) -> Self {
        let origin = Step {
            at: 0,
            value: 0.0,
            item: usize::MAX,
            before: 0,
        };
        let mut built = Self {
            at: vec![0],
            list: vec![origin],
            kerf,
        };
        let useful = undominated(items);
        // Per item, the step it goes behind next.
        let mut behind = vec![0; useful.len()];
        while let Some((which, step)) = built.lowest(items, &useful, &behind) {
            if step.at > longest {
                break;
            }
            behind[which] += 1;
            if step.value > built.top() {
                built.at.push(step.at);
                built.list.push(step);
            }
        }
        built
    }

    /// The nearest step not yet looked at, the highest of those at one place, with whose it is.
    fn lowest(
        &self,
        items: &[(u64, f64)],
        useful: &[usize],
        behind: &[usize],
    ) -> Option<(usize, Step)> {
        let mut lowest: Option<(usize, Step)> = None;
        for (which, (&item, &before)) in useful.iter().zip(behind).enumerate() {
            // A zero-length item would stay behind the last step for ever; parts always have a length.
            let Some(under) = self.list.get(before) else {
                continue;
            };
            let kerf = if before == 0 { 0 } else { self.kerf };
            let at = under.at + kerf + items[item].0;
            let value = under.value + items[item].1;
            let better =
                lowest.is_none_or(|(_, low)| at < low.at || (at == low.at && value > low.value));
            if better {
                let step = Step {
                    at,
                    value,
                    item,
                    before,
                };
                lowest = Some((which, step));
            }
        }
        lowest
    }

    /// The highest value so far.
    fn top(&self) -> f64 {
        self.list[self.list.len() - 1].value
    }

    /// Number of the step a clear length reaches.
    fn reached(&self, clear: u64) -> usize {
        self.at.partition_point(|&at| at <= clear) - 1
    }

    /// Most value of a clear length not above the longest.
    pub(crate) fn value(&self, clear: u64) -> f64 {
        self.list[self.reached(clear)].value
    }

    /// Items that make it, in order, with their starts from the beginning of the clear length.
    pub(crate) fn plan(&self, clear: u64) -> Vec<(usize, u64)> {
        let mut laid = Vec::new();
        let mut at = self.reached(clear);
        while at != 0 {
            let step = self.list[at];
            let kerf = if step.before == 0 { 0 } else { self.kerf };
            laid.push((step.item, self.at[step.before] + kerf));
            at = step.before;
        }
        laid.reverse();
        laid
    }

    /// The steps as (clear length, value), the first at 0.
    pub(crate) fn all(&self) -> impl Iterator<Item = (u64, f64)> {
        self.list.iter().map(|step| (step.at, step.value))
    }

    /// Per step, how many of one item its plan holds.
    pub(crate) fn counts(&self, item: usize) -> Vec<u64> {
        let mut counts: Vec<u64> = vec![0];
        for step in &self.list[1..] {
            counts.push(counts[step.before] + u64::from(step.item == item));
        }
        counts
    }
}

/// Items that no other is both as short and as valuable as (of two alike, the first).
fn undominated(items: &[(u64, f64)]) -> Vec<usize> {
    let beats = |a: usize, b: usize| {
        let ((la, va), (lb, vb)) = (items[a], items[b]);
        la <= lb && va >= vb && (la < lb || va > vb || a < b)
    };
    let kept = |&b: &usize| items[b].1 > 0.0 && !(0..items.len()).any(|a| a != b && beats(a, b));
    (0..items.len()).filter(kept).collect()
}
