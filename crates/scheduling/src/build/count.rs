//! What a timetable costs so far: kept up to date as operations come and go, and read off as a score.

use super::table::{Spot, Table};
use crate::calendar::Tick;
use crate::problem::{After, Objective};

/// Hard waits, up to ten objectives, and the sum of finishes to tell equals apart; compared from the left.
pub(crate) type Score = [i64; 12];

/// Sums over jobs.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Sums {
    lateness: i128,
    late: i128,
    process: i128,
    weighted: i128,
    finishes: i128,
}

impl Table<'_> {
    /// Counts (1) or discounts (−1) what a spot costs by itself and with its links.
    pub(super) fn count(&mut self, operation: usize, spot: Spot, sign: i64) {
        let draft = &self.problem.draft;
        if let Some(Some(before)) = draft.earlier.get(operation) {
            let line = self.problem.way(
                operation,
                before.mode.min(draft.operations[operation].modes.len() - 1),
            );
            let line = self.problem.first_line[line.station] + before.unit;
            if (line as u32, before.start) != (spot.line, spot.start) {
                let ticks = self.problem.way(operation, spot.mode as usize).ticks;
                self.moved += sign * ticks;
            }
        }
        let (into, out_of) = (
            &self.problem.into[operation],
            &self.problem.out_of[operation],
        );
        for &link in into.iter().chain(out_of) {
            let link = &draft.links[link as usize];
            let Some(most) = link.most else { continue };
            let other = if link.from == operation {
                link.to
            } else {
                link.from
            };
            let Some(other) = self.spots[other] else {
                continue;
            };
            let (from, to) = if link.from == operation {
                (spot, other)
            } else {
                (other, spot)
            };
            let frozen = |at: usize| draft.operations[at].frozen.is_some();
            if frozen(link.from) && frozen(link.to) {
                continue;
            }
            let since = match link.after {
                After::Start { .. } => from.start,
                After::Finish { .. } | After::Lots { .. } => from.finish,
            };
            let over = (to.start - since - most.ticks).max(0);
            match most.cost {
                Some(cost) => self.spoiled += i128::from(sign * cost) * i128::from(over),
                None => self.broken += sign * over,
            }
        }
        let job = draft.operations[operation].job;
        if !std::mem::replace(&mut self.stale[job], true) {
            self.touched.push(job as u32);
        }
    }

    /// What the schedule costs; everything must have its place.
    pub(crate) fn score(&mut self) -> Score {
        for job in std::mem::take(&mut self.touched) {
            let job = job as usize;
            self.add_job(job, -1);
            let spots = self.problem.of_job[job]
                .iter()
                .filter_map(|at| self.spots[*at]);
            let none = (Tick::MAX, Tick::MIN);
            let span = spots.fold(none, |span, s| (span.0.min(s.start), span.1.max(s.finish)));
            self.spans[job] = if span == none { (0, 0) } else { span };
            self.stale[job] = false;
            self.add_job(job, 1);
        }
        let draft = &self.problem.draft;
        let mut score = [0; 12];
        score[0] = self.broken;
        for (place, objective) in score[1..11].iter_mut().zip(&draft.objectives) {
            *place = match objective {
                Objective::WeightedLateness => whole(self.sums.lateness),
                Objective::LateJobs => whole(self.sums.late),
                Objective::WorstLateness => self.worst_lateness(),
                Objective::Spoiled => whole(self.spoiled),
                Objective::SetUp => self.set_up,
                Objective::Makespan => {
                    let last = self.spans.iter().map(|span| span.1).max().unwrap_or(0);
                    (last - draft.begin).max(0)
                }
                Objective::WorkInProcess => whole(self.sums.process),
                Objective::WeightedFinish => whole(self.sums.weighted),
                Objective::ShortLoads => self.short,
                Objective::Moved => self.moved,
            };
        }
        score[11] = whole(self.sums.finishes);
        score
    }

    fn worst_lateness(&self) -> i64 {
        let jobs = self.problem.draft.jobs.iter().zip(&self.spans);
        let late = jobs.enumerate().filter_map(|(at, (job, span))| {
            (!self.problem.of_job[at].is_empty()).then_some(span.1 - job.due?)
        });
        late.max().unwrap_or(0)
    }

    /// Adds (1) or takes away (−1) what a job counts in the sums.
    fn add_job(&mut self, at: usize, sign: i64) {
        let (start, finish) = self.spans[at];
        if (start, finish) == (0, 0) {
            return;
        }
        let job = &self.problem.draft.jobs[at];
        let late = job.due.map_or(0, |due| (finish - due).max(0));
        let after = (finish - self.problem.draft.begin).max(0);
        let (sign, weight) = (i128::from(sign), i128::from(job.weight));
        let sums = &mut self.sums;
        sums.lateness += sign * weight * i128::from(late);
        sums.late += sign * weight * i128::from(late > 0);
        sums.process += sign * i128::from(finish - start);
        sums.weighted += sign * weight * i128::from(after);
        sums.finishes += sign * i128::from(after);
    }

    /// The last finish of a job and its first start, as of the last score.
    pub(crate) fn span_of(&self, job: usize) -> (Tick, Tick) {
        self.spans[job]
    }
}

/// A sum as an objective shows it; the largest number where it would run over.
fn whole(sum: i128) -> i64 {
    i64::try_from(sum).unwrap_or(i64::MAX)
}
