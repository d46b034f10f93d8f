//! Times raised, and the cycle lowered, to what stations can really use.
//!
//! If no mix of task times adds up to the cycle exactly, the largest sum below it may stand for the cycle.
//! If the tasks that can share a station with one task can at best fill it to some seconds short, those
//! seconds are lost wherever that task goes and may be added to its time. Both keep the set of allowed
//! lines exactly as it was and sharpen every bound (task-time incrementing, Scholl & Becker 2006,
//! section 2.2; subset sums as in bin packing reductions). From memory.

use super::bits::{has, members, words_for};
use super::model::Model;

/// Most 64-bit words one round may touch; beyond it the times are used as they stand.
const MOST_WORDS: u64 = 400_000_000;
/// Rounds of raising; later rounds hardly ever change anything.
const ROUNDS: usize = 3;

/// The tightened times and cycle.
pub(super) struct Tight {
    pub times: Vec<u64>,
    pub cycle: u64,
}

/// Tightens the times of `model` for `cycle`, which must hold the longest task.
pub(super) fn tighten(model: &Model, cycle: u64) -> Tight {
    let mut tight = Tight {
        times: model.times.clone(),
        cycle: cycle.min(model.total),
    };
    let count = tight.times.len() as u64;
    let work = (tight.cycle / 64 + 1).saturating_mul(count * count);
    if work > MOST_WORDS {
        return tight;
    }
    let company = Company::new(model);
    for _ in 0..ROUNDS {
        let all = tight.times.iter().copied();
        tight.cycle = largest_sum(all, tight.cycle);
        if !raise_times(&mut tight, &company) {
            break;
        }
    }
    tight
}

fn raise_times(tight: &mut Tight, company: &Company) -> bool {
    let mut raised = false;
    for task in 0..tight.times.len() {
        let room = tight.cycle - tight.times[task];
        let others = (0..tight.times.len())
            .filter(|&other| company.can_share(task, other, &tight.times, tight.cycle))
            .map(|other| tight.times[other]);
        let lost = room - largest_sum(others, room);
        tight.times[task] += lost;
        raised |= lost > 0;
    }
    raised
}

/// Who can stand in one station with whom.
struct Company {
    words: usize,
    followers: Vec<u64>,
    leaders: Vec<u64>,
}

impl Company {
    fn new(model: &Model) -> Company {
        let words = words_for(model.times.len());
        let followers = model.followers();
        let mut leaders = vec![0; followers.len()];
        for task in 0..model.times.len() {
            for later in members(&followers[task * words..(task + 1) * words]) {
                super::bits::insert(&mut leaders[later * words..(later + 1) * words], task);
            }
        }
        Company {
            words,
            followers,
            leaders,
        }
    }

    fn row<'a>(&self, table: &'a [u64], task: usize) -> &'a [u64] {
        &table[task * self.words..(task + 1) * self.words]
    }

    /// Two tasks share a station only with everything that must be done between them.
    fn can_share(&self, one: usize, two: usize, times: &[u64], cycle: u64) -> bool {
        if one == two || times[one] + times[two] > cycle {
            return false;
        }
        let (first, last) = if has(self.row(&self.followers, one), two) {
            (one, two)
        } else if has(self.row(&self.followers, two), one) {
            (two, one)
        } else {
            return true;
        };
        let between = self
            .row(&self.followers, first)
            .iter()
            .zip(self.row(&self.leaders, last))
            .map(|(a, b)| a & b)
            .collect::<Vec<_>>();
        let span: u64 = members(&between).map(|task| times[task]).sum();
        span + times[one] + times[two] <= cycle
    }
}

/// The largest sum of some of `times` that is at most `room`.
fn largest_sum(times: impl Iterator<Item = u64>, room: u64) -> u64 {
    let mut reached = vec![0_u64; words_for(room as usize + 1)];
    reached[0] = 1;
    for time in times.filter(|&time| time > 0 && time <= room) {
        add_to_each(&mut reached, time as usize);
        if has(&reached, room as usize) {
            return room;
        }
    }
    (0..=room)
        .rev()
        .find(|&sum| has(&reached, sum as usize))
        .unwrap_or(0)
}

/// Joins to a set of sums the same sums with `time` added.
fn add_to_each(reached: &mut [u64], time: usize) {
    let (skip, shift) = (time / 64, time % 64);
    for place in (skip..reached.len()).rev() {
        let low = reached[place - skip] << shift;
        let carried = if shift > 0 && place > skip {
            reached[place - skip - 1] >> (64 - shift)
        } else {
            0
        };
        reached[place] |= low | carried;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::line::{LineProblem, Task};

    #[test]
    fn the_largest_sum_is_found() {
        // 7 + 9 = 16, 7 + 12 = 19, 9 + 12 = 21: of these 19 is the most within 20.
        assert_eq!(largest_sum([7, 9, 12].into_iter(), 20), 19);
        assert_eq!(largest_sum([70, 90, 120].into_iter(), 200), 190);
        assert_eq!(largest_sum([5].into_iter(), 4), 0);
    }

    #[test]
    fn time_that_is_lost_anyway_is_added() {
        // Cycle 10, times 8, 5, 5, no precedence. Sums of all: 5, 8, 10, so the cycle stays 10.
        // Nothing fits beside the 8: it takes 10. Beside a 5 the other 5 fits exactly.
        let tasks = [8, 5, 5].map(|time| Task {
            time,
            after: vec![],
        });
        let problem = LineProblem {
            tasks: tasks.to_vec(),
        };
        let tight = tighten(&Model::new(&problem).unwrap(), 10);
        assert_eq!((tight.times, tight.cycle), (vec![10, 5, 5], 10));
    }

    #[test]
    fn what_stands_between_counts() {
        // 3 -> 5 -> 3 with cycle 6: the threes share only with the five between, 11 > 6, and 3 + 5 > 6.
        // So all three stand alone and each takes the whole cycle; the two threes alone would reach 6.
        let tasks = vec![
            Task {
                time: 3,
                after: vec![],
            },
            Task {
                time: 5,
                after: vec![0],
            },
            Task {
                time: 3,
                after: vec![1],
            },
        ];
        let tight = tighten(&Model::new(&LineProblem { tasks }).unwrap(), 6);
        assert_eq!((tight.times, tight.cycle), (vec![6, 6, 6], 6));
    }
}
