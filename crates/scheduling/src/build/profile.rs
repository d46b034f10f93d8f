//! How many people of a crew are free, tick by tick.
//!
//! Steps lie in chunks that know their fewest and most free people, so that a search passes over stretches where nobody,
//! or everybody, is free.

use crate::calendar::{LONG_AGO, Tick};

/// Steps in a chunk.
const MOST: usize = 48;

#[derive(Clone, Debug)]
struct Chunk {
    /// From a tick on, so many are free (below 0 where frozen work needs more than there are).
    steps: Vec<(Tick, i32)>,
    least: i32,
    most: i32,
}

impl Chunk {
    fn of(steps: Vec<(Tick, i32)>) -> Self {
        let mut chunk = Self {
            steps,
            least: 0,
            most: 0,
        };
        chunk.measure();
        chunk
    }

    fn measure(&mut self) {
        let free = || self.steps.iter().map(|step| step.1);
        self.least = free().min().unwrap_or(0);
        self.most = free().max().unwrap_or(0);
    }
}

/// Free people over time.
#[derive(Clone, Debug)]
pub(crate) struct Profile {
    chunks: Vec<Chunk>,
}

impl Profile {
    /// People there by steps, in order of time; none before the first.
    pub(crate) fn new(steps: impl Iterator<Item = (Tick, i32)>) -> Self {
        let mut all = vec![(LONG_AGO, 0)];
        all.extend(steps);
        let chunks = all.chunks(MOST / 2);
        Self {
            chunks: chunks.map(|steps| Chunk::of(steps.to_vec())).collect(),
        }
    }

    /// The step in force at a tick: chunk and position.
    fn find(&self, at: Tick) -> (usize, usize) {
        let chunk = self
            .chunks
            .partition_point(|chunk| chunk.steps[0].0 <= at)
            .saturating_sub(1);
        let steps = &self.chunks[chunk].steps;
        let step = steps.partition_point(|step| step.0 <= at);
        (chunk, step.saturating_sub(1))
    }

    /// If fewer than `need` are free somewhere in a span: when that stretch of too few ends.
    pub(crate) fn short(&self, from: Tick, until: Tick, need: i32) -> Option<Tick> {
        let (mut chunk, mut step) = self.find(from);
        // Too few from somewhere before `until`?
        loop {
            let here = self.chunks.get(chunk)?;
            if here.least < need {
                let steps = here.steps[step..].iter();
                let too_few = steps.take_while(|s| s.0 < until).position(|s| s.1 < need);
                if let Some(more) = too_few {
                    step += more;
                    break;
                }
            }
            chunk += 1;
            step = 0;
            if self.chunks.get(chunk)?.steps[0].0 >= until {
                return None;
            }
        }
        // Until enough again.
        loop {
            let here = self.chunks.get(chunk)?;
            if here.most >= need
                && let Some(enough) = here.steps[step..].iter().find(|s| s.1 >= need)
            {
                return Some(enough.0);
            }
            chunk += 1;
            step = 0;
        }
    }

    /// Adds free people over a span (takes them away if below 0).
    pub(crate) fn add(&mut self, from: Tick, until: Tick, people: i32) {
        self.cut(from);
        self.cut(until);
        let (first, step) = self.find(from);
        let (last, end) = self.find(until);
        for chunk in first..=last {
            let low = if chunk == first { step } else { 0 };
            let here = &mut self.chunks[chunk];
            let high = if chunk == last { end } else { here.steps.len() };
            for step in &mut here.steps[low..high] {
                step.1 += people;
            }
            here.measure();
        }
        self.join(until);
        self.join(from);
    }

    /// Makes a step begin at a tick.
    fn cut(&mut self, at: Tick) {
        let (chunk, step) = self.find(at);
        let here = &mut self.chunks[chunk];
        if here.steps[step].0 == at {
            return;
        }
        let free = here.steps[step].1;
        here.steps.insert(step + 1, (at, free));
        if here.steps.len() > MOST {
            let rest = here.steps.split_off(MOST / 2);
            here.measure();
            self.chunks.insert(chunk + 1, Chunk::of(rest));
        }
    }

    /// Drops the step at a tick if nothing changes there.
    fn join(&mut self, at: Tick) {
        let (chunk, step) = self.find(at);
        let before = match step.checked_sub(1) {
            Some(before) => self.chunks[chunk].steps[before].1,
            None if chunk > 0 => match self.chunks[chunk - 1].steps.last() {
                Some(last) => last.1,
                None => return,
            },
            None => return,
        };
        let here = &mut self.chunks[chunk];
        if here.steps[step].0 == at && here.steps[step].1 == before {
            here.steps.remove(step);
            if here.steps.is_empty() {
                self.chunks.remove(chunk);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        /// Against an array of people by tick.
        #[test]
        fn a_profile_is_an_array(
            moves in prop::collection::vec((0i64..90, 1i64..30, 1i32..3), 1..120),
            ask in prop::collection::vec((0i64..90, 1i64..20, 1i32..6), 20),
        ) {
            let mut profile = Profile::new([(5, 4), (60, 2), (80, 5)].into_iter());
            let there = |t: i64| if t < 5 { 0 } else if t < 60 { 4 } else if t < 80 { 2 } else { 5 };
            let mut array: Vec<i32> = (0..200).map(there).collect();
            let mut put: Vec<(i64, i64, i32)> = Vec::new();
            for (number, (from, ticks, people)) in moves.into_iter().enumerate() {
                // Every third move takes an earlier one back.
                let (from, until, change) = if number % 3 == 2 && !put.is_empty() {
                    let (from, until, people) = put.swap_remove(number % put.len());
                    (from, until, people)
                } else {
                    put.push((from, from + ticks, people));
                    (from, from + ticks, -people)
                };
                profile.add(from, until, change);
                array[from as usize..until as usize].iter_mut().for_each(|free| *free += change);
            }
            for (from, ticks, need) in ask {
                let short = (from..from + ticks).find(|t| array[*t as usize] < need);
                let again = short.and_then(|t| (t..200).find(|t| array[*t as usize] >= need));
                prop_assert_eq!(profile.short(from, from + ticks, need), again);
            }
            for (from, until, people) in put {
                profile.add(from, until, people);
            }
            let steps: usize = profile.chunks.iter().map(|chunk| chunk.steps.len()).sum();
            prop_assert_eq!(steps, 4, "nothing is left of what was taken back");
        }
    }
}
