//! How long a search may go on, and how it is stopped.
//!
//! An engine may not look at the clock: a search counts its own steps, so that the same question with the
//! same limit gives the same answer on any machine. Whoever calls may also stop it from outside (Ctrl-C, a
//! deadline of a benchmark); then the answer is the best so far, and says that it was stopped.

/// Stop checks are far dearer than a step, so the outside is asked once in so many steps.
const STEPS_BETWEEN_STOP_CHECKS: u64 = 256;

/// A limit on steps, and a way to be stopped from outside.
#[derive(Clone, Copy)]
pub struct Effort<'a> {
    steps: u64,
    stop: &'a (dyn Fn() -> bool + Sync),
}

/// Never stopped from outside.
fn never() -> bool {
    false
}

impl Effort<'static> {
    /// At most so many steps; what a step is, the engine says.
    pub fn steps(steps: u64) -> Self {
        Self {
            steps,
            stop: &never,
        }
    }

    /// As long as it takes.
    pub fn unlimited() -> Self {
        Self::steps(u64::MAX)
    }
}

impl<'a> Effort<'a> {
    /// The same limit, and stopped as soon as `stop` says true.
    pub fn or_until(self, stop: &(dyn Fn() -> bool + Sync)) -> Effort<'_> {
        Effort {
            steps: self.steps,
            stop,
        }
    }

    /// One part of so many of the steps, for work whose steps take that much longer.
    #[must_use]
    pub fn share_of(self, parts: u64) -> Self {
        Self {
            steps: self.steps / parts.max(1),
            ..self
        }
    }

    /// So many times the steps, for work whose steps are that much shorter.
    #[must_use]
    pub fn times(self, factor: u64) -> Self {
        Self {
            steps: self.steps.saturating_mul(factor),
            ..self
        }
    }

    /// A counter of steps against this limit.
    pub fn meter(self) -> Meter<'a> {
        Meter {
            effort: self,
            spent: 0,
            next_check: 0,
            over: false,
        }
    }
}

/// Counts the steps of one search.
pub struct Meter<'a> {
    effort: Effort<'a>,
    spent: u64,
    next_check: u64,
    over: bool,
}

impl Meter<'_> {
    /// Counts so many steps and says whether the search may go on.
    pub fn spend(&mut self, steps: u64) -> bool {
        self.spent = self.spent.saturating_add(steps);
        if !self.over && self.spent >= self.next_check {
            self.next_check = self.spent.saturating_add(STEPS_BETWEEN_STOP_CHECKS);
            self.over = (self.effort.stop)();
        }
        self.over |= self.spent > self.effort.steps;
        !self.over
    }

    /// Whether the limit was reached or the search was stopped.
    pub fn over(&self) -> bool {
        self.over
    }

    /// Steps counted so far.
    pub fn spent(&self) -> u64 {
        self.spent
    }

    /// What is left of the limit, with the same way to be stopped: for a search inside this one.
    pub fn rest(&self) -> Effort<'_> {
        Effort {
            steps: self.effort.steps.saturating_sub(self.spent),
            stop: self.effort.stop,
        }
    }
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::{AtomicU64, Ordering};

    use super::*;

    #[test]
    fn a_meter_ends_after_its_steps_and_stays_ended() {
        let mut meter = Effort::steps(3).meter();
        assert!(meter.spend(1) && meter.spend(2), "three of three steps");
        assert!(!meter.spend(1), "a fourth");
        assert!(!meter.spend(0) && meter.over());
        assert_eq!(meter.spent(), 4);
    }

    #[test]
    fn a_stop_from_outside_is_seen_at_once_on_the_first_step() {
        let stop = || true;
        assert!(!Effort::unlimited().or_until(&stop).meter().spend(1));
    }

    #[test]
    fn the_outside_is_not_asked_at_every_step() {
        let asked = AtomicU64::new(0);
        let stop = || asked.fetch_add(1, Ordering::Relaxed) > 1_000_000;
        let mut meter = Effort::unlimited().or_until(&stop).meter();
        for _ in 0..10 * STEPS_BETWEEN_STOP_CHECKS {
            assert!(meter.spend(1));
        }
        assert_eq!(asked.load(Ordering::Relaxed), 10);
    }

    #[test]
    fn a_share_has_its_part_of_the_steps() {
        let mut meter = Effort::steps(10).times(10).share_of(20).meter();
        assert!(meter.spend(5) && !meter.spend(1));
    }

    #[test]
    fn a_search_inside_gets_what_is_left() {
        let mut outer = Effort::steps(10).meter();
        outer.spend(4);
        let mut inner = outer.rest().meter();
        assert!(inner.spend(6) && !inner.spend(1));
    }
}
