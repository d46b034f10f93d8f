//! Hours placed on crews as a maximum flow, and who cannot be met.

use std::collections::VecDeque;

use super::{Parts, ROUNDING, Unsettled};

/// A maximum flow from skills to crews whose hours are scaled by a utilisation.
pub(super) struct Flow<'a> {
    open: &'a Unsettled<'a>,
    skills: Vec<usize>,
    /// Hours of each listed skill not yet placed.
    unmet: Vec<f64>,
    /// Hours each crew could still take.
    room: Vec<f64>,
    /// Hours placed, by listed skill and position among the crews that know it.
    placed: Vec<Vec<f64>>,
    /// For each crew, where it stands: (listed skill, position).
    known_by: Vec<Vec<(usize, usize)>>,
    small: f64,
}

/// What a search from unmet skills came to.
struct Reached {
    /// The first crew with room, if any.
    end: Option<usize>,
    /// How each crew was reached: from a listed skill, at its position among that skill's crews.
    crew_from: Vec<Option<(usize, usize)>>,
    /// How each listed skill was reached: by taking its hours back from a crew, at a position.
    skill_from: Vec<Option<(usize, usize)>>,
    /// Listed skills reached.
    seen: Vec<bool>,
}

impl<'a> Flow<'a> {
    pub(super) fn new(open: &'a Unsettled<'a>, skills: &[usize], utilisation: f64) -> Self {
        let room: Vec<f64> = open
            .crews
            .iter()
            .zip(&open.crew_open)
            .map(|(crew, &is_open)| {
                if is_open {
                    crew.hours * utilisation
                } else {
                    0.0
                }
            })
            .collect();
        let mut known_by = vec![Vec::new(); room.len()];
        for (index, &skill) in skills.iter().enumerate() {
            for (at, &crew) in open.knowing[skill].iter().enumerate() {
                known_by[crew].push((index, at));
            }
        }
        let unmet: Vec<f64> = skills.iter().map(|&skill| open.wanted[skill]).collect();
        let small = ROUNDING * unmet.iter().sum::<f64>();
        let placed = skills
            .iter()
            .map(|&skill| vec![0.0; open.knowing[skill].len()])
            .collect();
        let mut flow = Self {
            open,
            skills: skills.to_vec(),
            unmet,
            room,
            placed,
            known_by,
            small,
        };
        flow.fill();
        flow
    }

    /// Shortest augmenting paths (Edmonds and Karp 1972, from memory) until there is none.
    fn fill(&mut self) {
        for index in 0..self.skills.len() {
            while self.unmet[index] > self.small {
                let reached = self.search(&[index]);
                let Some(end) = reached.end else { break };
                self.augment(index, end, &reached);
            }
        }
    }

    /// Breadth first from skills, over crews that could give hours back; stops at one with room.
    fn search(&self, from: &[usize]) -> Reached {
        let mut reached = Reached {
            end: None,
            crew_from: vec![None; self.room.len()],
            skill_from: vec![None; self.skills.len()],
            seen: vec![false; self.skills.len()],
        };
        for &skill in from {
            reached.seen[skill] = true;
        }
        let mut queue: VecDeque<usize> = from.iter().copied().collect();
        while let Some(skill) = queue.pop_front() {
            for (at, &crew) in self.open.knowing[self.skills[skill]].iter().enumerate() {
                if reached.crew_from[crew].is_some() || !self.open.crew_open[crew] {
                    continue;
                }
                reached.crew_from[crew] = Some((skill, at));
                if self.room[crew] > self.small {
                    reached.end = Some(crew);
                    return reached;
                }
                self.take_back(crew, &mut reached, &mut queue);
            }
        }
        reached
    }

    /// Reaches the skills whose hours a crew could give back.
    fn take_back(&self, crew: usize, reached: &mut Reached, queue: &mut VecDeque<usize>) {
        for &(other, place) in &self.known_by[crew] {
            if !reached.seen[other] && self.placed[other][place] > self.small {
                reached.seen[other] = true;
                reached.skill_from[other] = Some((crew, place));
                queue.push_back(other);
            }
        }
    }

    /// Moves as much as the path from a skill to a crew allows.
    fn augment(&mut self, from: usize, end: usize, reached: &Reached) {
        let mut path = Vec::new();
        let mut amount = self.unmet[from].min(self.room[end]);
        let mut crew = end;
        while let Some((skill, at)) = reached.crew_from[crew] {
            path.push((skill, at, 1.0));
            let Some((before, place)) = reached.skill_from[skill] else {
                break;
            };
            amount = amount.min(self.placed[skill][place]);
            path.push((skill, place, -1.0));
            crew = before;
        }
        for (skill, at, sign) in path {
            self.placed[skill][at] += sign * amount;
        }
        self.unmet[from] -= amount;
        self.room[end] -= amount;
    }

    /// Skills that cannot be met, with all they compete with: the source side of a minimum cut.
    pub(super) fn unmet_skills(&self) -> Vec<usize> {
        let unmet: Vec<usize> = (0..self.skills.len())
            .filter(|&index| self.unmet[index] > self.small)
            .collect();
        let seen = self.search(&unmet).seen;
        (0..self.skills.len())
            .filter(|&index| seen[index])
            .map(|at| self.skills[at])
            .collect()
    }

    /// The hours placed; what rounding left over goes with the rest of its skill.
    pub(super) fn parts(&self) -> Parts {
        let mut parts = Vec::new();
        for (index, &skill) in self.skills.iter().enumerate() {
            let placed: f64 = self.placed[index].iter().sum();
            let correction = self.open.wanted[skill] / placed;
            for (at, &crew) in self.open.knowing[skill].iter().enumerate() {
                let hours = self.placed[index][at] * correction;
                if hours > 0.0 {
                    parts.push((crew, skill, hours));
                }
            }
        }
        parts
    }
}
