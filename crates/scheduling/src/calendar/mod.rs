//! When something is open: stretches of open time, and arithmetic with work that fits into them.

/// A point in time, or a length of time, in whole ticks (a works takes seconds).
pub type Tick = i64;

/// Later than anything that happens.
pub const FAR: Tick = 1 << 50;

/// Earlier than anything that happens.
pub const LONG_AGO: Tick = -FAR;

/// A stretch of time: from a tick up to, not including, another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
pub struct Span {
    /// First tick.
    pub from: Tick,
    /// First tick after it.
    pub until: Tick,
}

impl Span {
    /// From one tick up to another.
    pub fn new(from: Tick, until: Tick) -> Self {
        Self { from, until }
    }

    /// How long it is.
    pub fn ticks(self) -> Tick {
        self.until - self.from
    }

    /// What it shares with another, if anything.
    pub fn meet(self, other: Self) -> Option<Self> {
        let from = self.from.max(other.from);
        let until = self.until.min(other.until);
        (from < until).then_some(Self { from, until })
    }
}

/// Open time: spans in order, none empty, none touching the next.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Calendar {
    spans: Vec<Span>,
    /// Open ticks before each span, and at last all of them.
    before: Vec<Tick>,
}

impl Calendar {
    /// Open in all these spans; they may come in any order, overlap or be empty.
    pub fn of(mut spans: Vec<Span>) -> Self {
        spans.retain(|span| span.from < span.until);
        spans.sort_unstable();
        let mut merged: Vec<Span> = Vec::with_capacity(spans.len());
        for span in spans {
            match merged.last_mut() {
                Some(last) if span.from <= last.until => last.until = last.until.max(span.until),
                _ => merged.push(span),
            }
        }
        let mut before = Vec::with_capacity(merged.len() + 1);
        let mut sum = 0;
        for span in &merged {
            before.push(sum);
            sum += span.ticks();
        }
        before.push(sum);
        Self {
            spans: merged,
            before,
        }
    }

    /// Always open.
    pub fn always() -> Self {
        Self::of(vec![Span::new(LONG_AGO, FAR)])
    }

    /// The open spans in order.
    pub fn spans(&self) -> &[Span] {
        &self.spans
    }

    /// The first span that ends after this tick.
    fn index(&self, at: Tick) -> usize {
        self.spans.partition_point(|span| span.until <= at)
    }

    /// Whether it is open at this tick.
    pub fn is_open(&self, at: Tick) -> bool {
        self.next_open(at) == Some(at)
    }

    /// The first open tick from this one on.
    pub fn next_open(&self, at: Tick) -> Option<Tick> {
        self.spans.get(self.index(at)).map(|span| span.from.max(at))
    }

    /// Open ticks before this one.
    pub fn open_before(&self, at: Tick) -> Tick {
        let index = self.index(at);
        let part = self
            .spans
            .get(index)
            .map_or(0, |span| (at - span.from).max(0));
        self.before[index] + part
    }

    /// Open ticks in a span; 0 for a span that runs backwards.
    pub fn open_in(&self, span: Span) -> Tick {
        (self.open_before(span.until) - self.open_before(span.from)).max(0)
    }

    /// When work of so many ticks, begun at a tick and paused whenever closed, is done; at once for no work.
    pub fn finish(&self, start: Tick, work: Tick) -> Option<Tick> {
        if work <= 0 {
            return Some(start);
        }
        let target = self.open_before(start) + work;
        let index = self.before.partition_point(|sum| *sum < target);
        let span = self.spans.get(index.checked_sub(1)?)?;
        let finish = span.from + target - self.before[index - 1];
        (index < self.before.len()).then_some(finish)
    }

    /// The latest start from which work of so many ticks is done by a tick.
    pub fn start(&self, finish: Tick, work: Tick) -> Option<Tick> {
        if work <= 0 {
            return Some(finish);
        }
        let target = self.open_before(finish) - work;
        if target < 0 {
            return None;
        }
        let index = self.before.partition_point(|sum| *sum <= target);
        let span = self.spans.get(index.checked_sub(1)?)?;
        Some(span.from + target - self.before[index - 1])
    }

    /// The first start from this tick on at which so many ticks fit before the next closing.
    pub fn whole(&self, from: Tick, work: Tick) -> Option<Tick> {
        self.spans[self.index(from).min(self.spans.len())..]
            .iter()
            .find(|span| span.until - span.from.max(from) >= work.max(1))
            .map(|span| span.from.max(from))
    }

    /// The last start at which so many ticks fit between an opening and a closing and are done by this tick.
    pub fn whole_before(&self, until: Tick, work: Tick) -> Option<Tick> {
        let last = self.spans.partition_point(|span| span.from < until);
        self.spans[..last]
            .iter()
            .rev()
            .find(|span| span.until.min(until) - span.from >= work)
            .map(|span| span.until.min(until) - work)
    }

    /// The open parts of a span, in order.
    pub fn pieces(&self, within: Span) -> impl Iterator<Item = Span> + '_ {
        self.spans[self.index(within.from)..]
            .iter()
            .take_while(move |span| span.from < within.until)
            .filter_map(move |span| span.meet(within))
    }

    /// Open when both are.
    #[must_use]
    pub fn and(&self, other: &Self) -> Self {
        let (mut a, mut b) = (0, 0);
        let mut both = Vec::new();
        while let (Some(one), Some(two)) = (self.spans.get(a), other.spans.get(b)) {
            both.extend(one.meet(*two));
            if one.until <= two.until {
                a += 1;
            } else {
                b += 1;
            }
        }
        Self::of(both)
    }

    /// Closed in these spans as well.
    #[must_use]
    pub fn without(&self, closed: &[Span]) -> Self {
        let closed = Self::of(closed.to_vec());
        let mut from = LONG_AGO;
        let mut open = Vec::with_capacity(closed.spans.len() + 1);
        for span in &closed.spans {
            open.push(Span::new(from, span.from));
            from = span.until;
        }
        open.push(Span::new(from, FAR));
        self.and(&Self::of(open))
    }

    /// Open from this tick on, whatever it says for later.
    #[must_use]
    pub fn open_from(&self, at: Tick) -> Self {
        let mut spans = self.spans.clone();
        spans.push(Span::new(at, FAR));
        Self::of(spans)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Two shifts of 8 and a break: 0-4, 5-9, then 24-28.
    fn days() -> Calendar {
        Calendar::of(vec![
            Span::new(24, 28),
            Span::new(0, 4),
            Span::new(5, 7),
            Span::new(7, 9),
        ])
    }

    #[test]
    fn work_pauses_when_closed() {
        let days = days();
        assert_eq!(days.spans().len(), 3, "touching spans are one");
        // 2 ticks to the break, 1 closed, 1 more: 2 + 2 + 1 + 1 = 6.
        assert_eq!(days.finish(2, 3), Some(6));
        // Done with the closing bell, not the next morning.
        assert_eq!(days.finish(2, 6), Some(9));
        assert_eq!(days.finish(2, 7), Some(25));
        assert_eq!(days.finish(2, 11), None);
        assert_eq!(days.start(25, 7), Some(2));
        assert_eq!(days.start(24, 6), Some(2));
        assert_eq!(days.start(3, 4), None);
    }

    #[test]
    fn whole_work_needs_one_span() {
        let days = days();
        assert_eq!(days.whole(1, 3), Some(1));
        assert_eq!(days.whole(2, 3), Some(5));
        assert_eq!(days.whole(6, 4), Some(24));
        assert_eq!(days.whole(6, 5), None);
        assert_eq!(days.whole_before(26, 3), Some(6));
        assert_eq!(days.whole_before(2, 3), None);
    }

    #[test]
    fn calendars_meet_and_lose() {
        let other = Calendar::of(vec![Span::new(3, 6), Span::new(26, 40)]);
        let both = [Span::new(3, 4), Span::new(5, 6), Span::new(26, 28)];
        assert_eq!(days().and(&other).spans(), both);
        let less = days().without(&[Span::new(8, 25)]);
        assert_eq!(
            less.spans(),
            [Span::new(0, 4), Span::new(5, 8), Span::new(25, 28)]
        );
        assert_eq!(days().open_from(27).spans()[2], Span::new(24, FAR));
    }

    fn calendar() -> impl Strategy<Value = Calendar> {
        prop::collection::vec((0i64..60, 1i64..10), 1..8).prop_map(|spans| {
            Calendar::of(
                spans
                    .into_iter()
                    .map(|(from, ticks)| Span::new(from, from + ticks))
                    .collect(),
            )
        })
    }

    proptest! {
        /// Against counting tick by tick.
        #[test]
        fn arithmetic_is_counting(days in calendar(), start in 0i64..70, work in 1i64..30) {
            let open = |t: Tick| days.spans().iter().any(|s| s.from <= t && t < s.until);
            let counted = (start..90).filter(|t| open(*t)).nth(work as usize - 1).map(|t| t + 1);
            prop_assert_eq!(days.finish(start, work), counted);
            let back = (0..start).rev().filter(|t| open(*t)).nth(work as usize - 1);
            prop_assert_eq!(days.start(start, work), back);
            let fits = |t: Tick| (t..t + work).all(open);
            prop_assert_eq!(days.whole(start, work), (start..90).find(|t| fits(*t)));
            let before = (-1..=start - work).rev().find(|t| fits(*t));
            prop_assert_eq!(days.whole_before(start, work), before);
            prop_assert_eq!(days.next_open(start), (start..90).find(|t| open(*t)));
        }

        #[test]
        fn both_is_tick_by_tick(one in calendar(), two in calendar()) {
            let both = one.and(&two);
            let neither = one.without(two.spans());
            for t in 0..80 {
                prop_assert_eq!(both.is_open(t), one.is_open(t) && two.is_open(t));
                prop_assert_eq!(neither.is_open(t), one.is_open(t) && !two.is_open(t));
            }
        }
    }
}
