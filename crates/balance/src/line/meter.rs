//! Counting work and noticing that it is time to stop.

use super::Limit;

/// Nodes between two looks at the caller's stop check.
const LOOK_EVERY: u64 = 4096;

/// The work done so far against a [`Limit`].
pub(super) struct Meter<'a> {
    used: u64,
    most: u64,
    stop: &'a dyn Fn() -> bool,
    halted: bool,
}

impl<'a> Meter<'a> {
    pub(super) fn new(limit: &Limit<'a>) -> Self {
        Meter {
            used: 0,
            most: limit.nodes,
            stop: limit.stop,
            halted: false,
        }
    }

    /// A meter for part of the work: it may spend `share` more nodes of what is left.
    pub(super) fn part(&self, share: u64) -> Meter<'a> {
        Meter {
            used: self.used,
            most: self.most.min(self.used.saturating_add(share)),
            stop: self.stop,
            halted: self.halted,
        }
    }

    /// Takes back a part made by [`Meter::part`]. A part that ran out does not halt the whole.
    pub(super) fn absorb(&mut self, part: &Meter<'a>) {
        self.used = part.used;
        let stopped_by_caller = part.halted && part.used < part.most;
        self.halted |= stopped_by_caller || self.used >= self.most;
    }

    /// Counts one node; `false` when the work must end.
    pub(super) fn spend(&mut self) -> bool {
        self.used += 1;
        if self.used >= self.most || (self.used.is_multiple_of(LOOK_EVERY) && (self.stop)()) {
            self.halted = true;
        }
        !self.halted
    }

    pub(super) fn halted(&self) -> bool {
        self.halted
    }

    pub(super) fn used(&self) -> u64 {
        self.used
    }

    pub(super) fn left(&self) -> u64 {
        self.most.saturating_sub(self.used)
    }
}
