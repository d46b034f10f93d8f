//! What one unit does, in order of time, and the free stretches between.
//!
//! Slots lie in chunks of at most [`MOST`]; a chunk knows the largest stretch before one of its slots, so that a search for
//! room passes over full chunks at once: finding a place takes about √n looks even where a unit has thousands of slots.

use crate::calendar::Tick;

/// Slots in a chunk.
const MOST: usize = 48;

/// One thing on a unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Slot {
    pub(crate) start: Tick,
    pub(crate) finish: Tick,
    /// Its set-up family.
    pub(crate) family: u32,
    /// The operation, or the load of an oven.
    pub(crate) what: u32,
    /// Set-up of its own.
    pub(crate) own: Tick,
    /// Free time before it, open ticks and clock ticks.
    free: (Tick, Tick),
}

impl Slot {
    pub(crate) fn new(span: (Tick, Tick), family: u32, what: u32, own: Tick) -> Self {
        Self {
            start: span.0,
            finish: span.1,
            family,
            what,
            own,
            free: (0, 0),
        }
    }

    /// Free time before it, as work counts it that runs within hours, or by the clock.
    pub(crate) fn free(&self, clock: bool) -> Tick {
        if clock { self.free.1 } else { self.free.0 }
    }
}

#[derive(Clone, Debug, Default)]
struct Chunk {
    slots: Vec<Slot>,
    most: (Tick, Tick),
}

impl Chunk {
    fn measure(&mut self) {
        let most = |of: fn(&Slot) -> Tick| self.slots.iter().map(of).max().unwrap_or(0);
        self.most = (most(|slot| slot.free.0), most(|slot| slot.free.1));
    }
}

/// A place in a row: before the slot with this chunk and position; behind the last slot at the end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Cursor {
    chunk: usize,
    at: usize,
}

/// The slots of a unit.
#[derive(Clone, Debug, Default)]
pub(crate) struct Row {
    chunks: Vec<Chunk>,
}

impl Row {
    /// The first place whose slot starts after a tick.
    pub(crate) fn after(&self, tick: Tick) -> Cursor {
        let chunk = self
            .chunks
            .partition_point(|chunk| chunk.slots.last().is_none_or(|slot| slot.start <= tick));
        let at = self.chunks.get(chunk).map_or(0, |chunk| {
            chunk.slots.partition_point(|slot| slot.start <= tick)
        });
        Cursor { chunk, at }
    }

    /// The slot behind a place.
    pub(crate) fn slot(&self, cursor: Cursor) -> Option<&Slot> {
        self.chunks.get(cursor.chunk)?.slots.get(cursor.at)
    }

    /// The slot before a place.
    pub(crate) fn before(&self, cursor: Cursor) -> Option<&Slot> {
        match cursor.at.checked_sub(1) {
            Some(at) => self.chunks.get(cursor.chunk)?.slots.get(at),
            None => self.chunks.get(cursor.chunk.checked_sub(1)?)?.slots.last(),
        }
    }

    /// The slot that starts at a tick.
    pub(crate) fn starting(&self, tick: Tick) -> Option<&Slot> {
        let found = self.before(self.after(tick))?;
        (found.start == tick).then_some(found)
    }

    /// The next place that has so much free time, or the end.
    pub(crate) fn next(&self, cursor: Cursor, ticks: Tick, clock: bool) -> Cursor {
        let mut cursor = Cursor {
            at: cursor.at + 1,
            ..cursor
        };
        while let Some(chunk) = self.chunks.get(cursor.chunk) {
            let most = if clock { chunk.most.1 } else { chunk.most.0 };
            if most >= ticks {
                let rest = &chunk.slots[cursor.at.min(chunk.slots.len())..];
                if let Some(more) = rest.iter().position(|slot| slot.free(clock) >= ticks) {
                    cursor.at += more;
                    return cursor;
                }
            }
            cursor = Cursor {
                chunk: cursor.chunk + 1,
                at: 0,
            };
        }
        cursor
    }

    /// Puts a slot in; `open` counts open ticks between two ticks, `begin` is where free time begins.
    pub(crate) fn insert(&mut self, slot: Slot, begin: Tick, open: impl Fn(Tick, Tick) -> Tick) {
        let cursor = self.after(slot.start);
        if cursor.chunk == self.chunks.len() {
            match self.chunks.last_mut() {
                Some(last) => last.slots.push(slot),
                None => self.chunks.push(Chunk {
                    slots: vec![slot],
                    most: (0, 0),
                }),
            }
        } else {
            self.chunks[cursor.chunk].slots.insert(cursor.at, slot);
        }
        let chunk = cursor.chunk.min(self.chunks.len() - 1);
        if self.chunks[chunk].slots.len() > MOST {
            let slots = self.chunks[chunk].slots.split_off(MOST / 2);
            let rest = Chunk {
                slots,
                most: (0, 0),
            };
            self.chunks.insert(chunk + 1, rest);
            self.chunks[chunk].measure();
            self.chunks[chunk + 1].measure();
        }
        self.renew(self.after(slot.start - 1), begin, &open);
        self.renew(self.after(slot.start), begin, &open);
    }

    /// Takes out the slot that starts at a tick.
    pub(crate) fn remove(&mut self, start: Tick, begin: Tick, open: impl Fn(Tick, Tick) -> Tick) {
        let cursor = self.after(start - 1);
        let chunk = &mut self.chunks[cursor.chunk];
        debug_assert_eq!(chunk.slots[cursor.at].start, start);
        chunk.slots.remove(cursor.at);
        if chunk.slots.is_empty() {
            self.chunks.remove(cursor.chunk);
        } else {
            chunk.measure();
        }
        self.renew(self.after(start), begin, &open);
    }

    /// Measures the free time before the slot at a place again.
    fn renew(&mut self, cursor: Cursor, begin: Tick, open: &impl Fn(Tick, Tick) -> Tick) {
        let from = self
            .before(cursor)
            .map_or(begin, |slot| slot.finish.max(begin));
        if let Some(chunk) = self.chunks.get_mut(cursor.chunk)
            && let Some(slot) = chunk.slots.get_mut(cursor.at)
        {
            slot.free = (open(from, slot.start), slot.start - from);
            chunk.measure();
        }
    }

    /// All slots in order.
    #[cfg(test)]
    pub(crate) fn slots(&self) -> impl Iterator<Item = &Slot> {
        self.chunks.iter().flat_map(|chunk| &chunk.slots)
    }

    /// The family of the last slot.
    pub(crate) fn last_family(&self) -> Option<usize> {
        Some(self.chunks.last()?.slots.last()?.family as usize)
    }

    /// When the last slot is finished.
    pub(crate) fn end(&self) -> Option<Tick> {
        Some(self.chunks.last()?.slots.last()?.finish)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        /// Against a plain sorted list.
        #[test]
        fn a_row_is_a_sorted_list(moves in prop::collection::vec((0i64..200, any::<bool>()), 1..400)) {
            let open = |from: Tick, until: Tick| until - from;
            let mut row = Row::default();
            let mut list: Vec<(Tick, Tick)> = Vec::new();
            for (at, insert) in moves {
                let span = (at * 10, at * 10 + 4 + at % 5);
                let known = list.iter().position(|other| *other == span);
                match (insert, known) {
                    (true, None) => {
                        row.insert(Slot::new(span, 0, at as u32, 0), 0, open);
                        list.push(span);
                        list.sort_unstable();
                    }
                    (false, Some(position)) => {
                        row.remove(span.0, 0, open);
                        list.remove(position);
                    }
                    _ => {}
                }
                let slots: Vec<_> = row.slots().map(|slot| (slot.start, slot.finish)).collect();
                prop_assert_eq!(&slots, &list);
                let mut from = 0;
                for slot in row.slots() {
                    prop_assert_eq!(slot.free(true), slot.start - from);
                    from = slot.finish;
                }
                // The first place behind tick 500 with room for 30.
                let mut cursor = row.after(500);
                if row.slot(cursor).is_some_and(|slot| slot.free(true) < 30) {
                    cursor = row.next(cursor, 30, true);
                }
                let plain = row.slots().find(|slot| slot.start > 500 && slot.free(true) >= 30);
                prop_assert_eq!(row.slot(cursor), plain);
            }
        }
    }
}
