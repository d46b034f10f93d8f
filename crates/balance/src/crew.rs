//! Sharing hours of work over crews by skill, as evenly as skills allow.
//!
//! Each skill has hours wanted; each crew has hours and some skills. Of all ways to hand out the
//! work, [`share`] takes the fairest: the highest utilisation of any crew is as low as can be, then
//! the next highest, and so on. That is the lexicographically optimal flow of a network with
//! several sinks (Megiddo, "Optimal flows in networks with multiple sources and sinks", 1974;
//! Fujishige 1980, from memory).
//!
//! The highest utilisation is set by the *binding set*: the skills `S` for which hours wanted over
//! the hours of all crews that know any of them are greatest. It is found by Dinkelbach's method
//! (1967, from memory): guess a utilisation, let a maximum flow show a set of skills that needs
//! more, take that set's ratio as the next guess, until none does; finite, since each ratio belongs
//! to a set and rises. The binding set and its crews are then settled and the rest is shared
//! likewise. Ties fall to the lower index.

use std::collections::VecDeque;

use serde::Serialize;

/// Hours below this share of what is wanted are rounding.
const ROUNDING: f64 = 1e-12;

/// A crew.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Crew {
    /// Hours it can work over the horizon; not negative.
    pub hours: f64,
    /// Skills it has, by index.
    pub skills: Vec<usize>,
}

/// Skills and crews that hold one another at one utilisation.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Binding {
    /// Hours wanted over hours there are; above one where hours are short.
    pub utilisation: f64,
    /// The skills, ascending.
    pub skills: Vec<usize>,
    /// All crews, not settled by an earlier set, that know any of them, ascending.
    pub crews: Vec<usize>,
    /// Hours wanted of the skills.
    pub wanted_hours: f64,
    /// Hours of the crews.
    pub hours: f64,
}

/// The fairest sharing.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Share {
    /// Hours given, by crew and skill; no crew gives more than it has.
    pub given_hours: Vec<Vec<f64>>,
    /// Hours asked of each crew over its hours; above one where hours are short.
    pub utilisation: Vec<f64>,
    /// Hours of each skill that nobody can give.
    pub uncovered_hours: Vec<f64>,
    /// What sets the utilisations, highest first. Crews in none have nothing to do.
    pub bindings: Vec<Binding>,
}

/// What is wrong with the input.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum CrewError {
    /// Hours that are negative or not finite.
    #[error("{what} {index} cannot have {hours} hours")]
    BadHours {
        /// "skill" or "crew".
        what: &'static str,
        /// Its index.
        index: usize,
        /// The hours.
        hours: f64,
    },
    /// A crew with a skill beyond the list.
    #[error("crew {crew} names skill {skill}, which does not exist")]
    NoSuchSkill {
        /// The crew.
        crew: usize,
        /// The skill.
        skill: usize,
    },
}

/// Shares hours wanted per skill over crews.
pub fn share(wanted_hours: &[f64], crews: &[Crew]) -> Result<Share, CrewError> {
    inspect(wanted_hours, crews)?;
    let mut open = Unsettled::new(wanted_hours, crews);
    let mut bindings = Vec::new();
    let mut asked = vec![vec![0.0; wanted_hours.len()]; crews.len()];
    while let Some((binding, flow)) = open.binding() {
        for (crew, skill, hours) in flow {
            asked[crew][skill] = hours;
        }
        open.settle(&binding);
        bindings.push(binding);
    }
    Ok(finish(wanted_hours, crews, asked, bindings))
}

fn inspect(wanted_hours: &[f64], crews: &[Crew]) -> Result<(), CrewError> {
    let skills = wanted_hours
        .iter()
        .copied()
        .map(|hours| ("skill", hours))
        .enumerate();
    let teams = crews.iter().map(|crew| ("crew", crew.hours)).enumerate();
    for (index, (what, hours)) in skills.chain(teams) {
        if !(0.0..=f64::MAX).contains(&hours) {
            return Err(CrewError::BadHours { what, index, hours });
        }
    }
    for (index, crew) in crews.iter().enumerate() {
        if let Some(&skill) = crew
            .skills
            .iter()
            .find(|&&skill| skill >= wanted_hours.len())
        {
            return Err(CrewError::NoSuchSkill { crew: index, skill });
        }
    }
    Ok(())
}

fn finish(
    wanted_hours: &[f64],
    crews: &[Crew],
    mut given_hours: Vec<Vec<f64>>,
    bindings: Vec<Binding>,
) -> Share {
    let mut utilisation = vec![0.0; crews.len()];
    for binding in &bindings {
        for &crew in &binding.crews {
            utilisation[crew] = binding.utilisation;
            // A crew asked for more than it has gives each skill the same part of what was asked.
            let part = 1.0 / binding.utilisation.max(1.0);
            for hours in &mut given_hours[crew] {
                *hours *= part;
            }
        }
    }
    let mut uncovered_hours = wanted_hours.to_vec();
    for (skill, uncovered) in uncovered_hours.iter_mut().enumerate() {
        let given: f64 = given_hours.iter().map(|crew| crew[skill]).sum();
        *uncovered = if wanted_hours[skill] - given > 1e-9 * wanted_hours[skill] {
            wanted_hours[skill] - given
        } else {
            0.0
        };
    }
    Share {
        given_hours,
        utilisation,
        uncovered_hours,
        bindings,
    }
}

/// Crew, skill and hours of each part of a flow.
type Parts = Vec<(usize, usize, f64)>;

/// What is still to be shared.
struct Unsettled<'a> {
    wanted: &'a [f64],
    crews: &'a [Crew],
    /// Crews that know each skill, ascending.
    knowing: Vec<Vec<usize>>,
    skill_open: Vec<bool>,
    crew_open: Vec<bool>,
}

impl<'a> Unsettled<'a> {
    fn new(wanted: &'a [f64], crews: &'a [Crew]) -> Self {
        let mut knowing = vec![Vec::new(); wanted.len()];
        for (index, crew) in crews.iter().enumerate() {
            for &skill in &crew.skills {
                if crew.hours > 0.0 && knowing[skill].last() != Some(&index) {
                    knowing[skill].push(index);
                }
            }
        }
        knowing.iter_mut().for_each(Vec::dedup);
        // Skills nobody has, or nobody wants, are not shared at all.
        let skill_open = wanted
            .iter()
            .zip(&knowing)
            .map(|(&w, known)| w > 0.0 && !known.is_empty())
            .collect();
        let crew_open = crews.iter().map(|crew| crew.hours > 0.0).collect();
        Self {
            wanted,
            crews,
            knowing,
            skill_open,
            crew_open,
        }
    }

    /// The set that needs the highest utilisation, and how its work is shared.
    fn binding(&self) -> Option<(Binding, Parts)> {
        let mut skills: Vec<usize> = (0..self.wanted.len())
            .filter(|&skill| self.skill_open[skill])
            .collect();
        if skills.is_empty() {
            return None;
        }
        let open = skills.clone();
        let mut binding = self.bound(&skills);
        loop {
            let flow = Flow::new(self, &open, binding.utilisation);
            skills = flow.unmet_skills();
            if skills.is_empty() {
                break;
            }
            let tighter = self.bound(&skills);
            // Rounding can show a set that is no tighter; then the last one stands.
            if tighter.utilisation <= binding.utilisation * (1.0 + ROUNDING) {
                break;
            }
            binding = tighter;
        }
        let parts = Flow::new(self, &binding.skills, binding.utilisation).parts();
        Some((binding, parts))
    }

    /// A set of skills with all open crews that know any of them.
    fn bound(&self, skills: &[usize]) -> Binding {
        let mut crews: Vec<usize> = skills
            .iter()
            .flat_map(|&skill| self.knowing[skill].iter().copied())
            .filter(|&crew| self.crew_open[crew])
            .collect();
        crews.sort_unstable();
        crews.dedup();
        let wanted_hours: f64 = skills.iter().map(|&skill| self.wanted[skill]).sum();
        let hours: f64 = crews.iter().map(|&crew| self.crews[crew].hours).sum();
        let utilisation = wanted_hours / hours;
        Binding {
            utilisation,
            skills: skills.to_vec(),
            crews,
            wanted_hours,
            hours,
        }
    }

    fn settle(&mut self, binding: &Binding) {
        for &skill in &binding.skills {
            self.skill_open[skill] = false;
        }
        for &crew in &binding.crews {
            self.crew_open[crew] = false;
        }
    }
}

/// A maximum flow from skills to crews whose hours are scaled by a utilisation.
struct Flow<'a> {
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
    fn new(open: &'a Unsettled<'a>, skills: &[usize], utilisation: f64) -> Self {
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
    fn unmet_skills(&self) -> Vec<usize> {
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
    fn parts(&self) -> Parts {
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

/// A rule that a sharing breaks.
#[derive(Debug, Clone, PartialEq)]
pub enum Violation {
    /// Tables do not have the input's lengths.
    WrongShape,
    /// Negative or not finite hours, or hours of a skill the crew does not have.
    WrongHours {
        /// The crew.
        crew: usize,
        /// The skill.
        skill: usize,
    },
    /// Given and uncovered hours of a skill are not what is wanted, or those asked are not.
    NotAllHandedOut {
        /// The skill.
        skill: usize,
    },
    /// Stated utilisation is not what the crew gives, or a crew asked too much is not full.
    WrongUtilisation {
        /// The crew.
        crew: usize,
    },
    /// A crew gives hours that a less taken up crew could give.
    Unfair {
        /// The crew that gives.
        crew: usize,
        /// Of this skill.
        skill: usize,
        /// The crew that could.
        instead: usize,
    },
}

/// Checks a sharing against its input, without the method that made it.
///
/// The sharing is fairest if, and only if, no hours given by a crew could be given by one less
/// taken up: moving them is the only way to a lexicographically smaller set of utilisations
/// (optimality in a polymatroid base: Fujishige 1980, from memory).
pub fn check(
    wanted_hours: &[f64],
    crews: &[Crew],
    share: &Share,
    tolerance: f64,
) -> Result<(), Vec<Violation>> {
    let (skills, teams) = (wanted_hours.len(), crews.len());
    let shapes_agree = share.given_hours.len() == teams
        && share.utilisation.len() == teams
        && share.uncovered_hours.len() == skills
        && share.given_hours.iter().all(|given| given.len() == skills);
    if !shapes_agree {
        return Err(vec![Violation::WrongShape]);
    }
    let scale = tolerance * wanted_hours.iter().sum::<f64>();
    let mut found = Vec::new();
    for (crew, team) in crews.iter().enumerate() {
        check_crew(crew, team, share, scale, &mut found);
    }
    for (skill, &wanted) in wanted_hours.iter().enumerate() {
        check_skill(skill, wanted, crews, share, scale, &mut found);
    }
    for (crew, given) in share.given_hours.iter().enumerate() {
        for (skill, &hours) in given.iter().enumerate() {
            let busy = share.utilisation[crew];
            let instead = crews.iter().enumerate().position(|(other, team)| {
                let less = share.utilisation[other] < busy * (1.0 - 10.0 * tolerance);
                team.hours > 0.0 && team.skills.contains(&skill) && less
            });
            if let Some(instead) = instead.filter(|_| hours > scale) {
                found.push(Violation::Unfair {
                    crew,
                    skill,
                    instead,
                });
            }
        }
    }
    if found.is_empty() { Ok(()) } else { Err(found) }
}

fn check_crew(crew: usize, team: &Crew, share: &Share, scale: f64, found: &mut Vec<Violation>) {
    for (skill, &hours) in share.given_hours[crew].iter().enumerate() {
        let may = team.skills.contains(&skill) || hours == 0.0;
        if !(0.0..=f64::MAX).contains(&hours) || !may {
            found.push(Violation::WrongHours { crew, skill });
        }
    }
    let given: f64 = share.given_hours[crew].iter().sum();
    let stated = share.utilisation[crew];
    let agrees = (given - stated.min(1.0) * team.hours).abs() <= scale;
    if !agrees || !(0.0..=f64::MAX).contains(&stated) {
        found.push(Violation::WrongUtilisation { crew });
    }
}

fn check_skill(
    skill: usize,
    wanted: f64,
    crews: &[Crew],
    share: &Share,
    scale: f64,
    found: &mut Vec<Violation>,
) {
    let given: f64 = share.given_hours.iter().map(|crew| crew[skill]).sum();
    let uncovered = share.uncovered_hours[skill];
    let asked: f64 = share
        .given_hours
        .iter()
        .zip(&share.utilisation)
        .map(|(crew, utilisation)| crew[skill] * utilisation.max(1.0))
        .sum();
    let known = crews
        .iter()
        .any(|crew| crew.hours > 0.0 && crew.skills.contains(&skill));
    let all_asked = !known || (asked - wanted).abs() <= scale;
    if (given + uncovered - wanted).abs() > scale || uncovered < 0.0 || !all_asked {
        found.push(Violation::NotAllHandedOut { skill });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn crew(hours: f64, skills: &[usize]) -> Crew {
        Crew {
            hours,
            skills: skills.to_vec(),
        }
    }

    fn shared(wanted: &[f64], crews: &[Crew]) -> Share {
        let found = share(wanted, crews).expect("sound");
        assert_eq!(check(wanted, crews, &found, 1e-9), Ok(()));
        found
    }

    fn near(a: f64, b: f64) {
        assert!((a - b).abs() <= 1e-9 * b.abs().max(1.0), "{a} is not {b}");
    }

    /// Saw 30 h, spray 20 h; a crew of 40 h knows both, one of 40 h only spray. Evenly 50/80.
    #[test]
    fn two_crews_share_evenly() {
        let found = shared(&[30.0, 20.0], &[crew(40.0, &[0, 1]), crew(40.0, &[1])]);
        near(found.utilisation[0], 0.75);
        near(found.utilisation[1], 0.5);
        // Saw alone binds the first crew at 30/40; the rest falls to the second.
        assert_eq!(found.bindings[0].skills, vec![0]);
        assert_eq!(found.bindings[0].crews, vec![0]);
        near(found.given_hours[1][1], 20.0);

        let even = shared(&[30.0, 35.0], &[crew(40.0, &[0, 1]), crew(40.0, &[1])]);
        near(even.utilisation[0], 65.0 / 80.0);
        near(even.given_hours[0][1], 2.5);
        assert_eq!(even.bindings.len(), 1);
    }

    /// Weld 50 h against the only welder's 40 h: 10 h uncovered, utilisation 1.25; nobody pipes.
    #[test]
    fn what_nobody_can_give_is_named() {
        let found = shared(
            &[50.0, 8.0, 12.0],
            &[crew(40.0, &[0, 1]), crew(40.0, &[1]), crew(0.0, &[2])],
        );
        near(found.utilisation[0], 1.25);
        near(found.uncovered_hours[0], 10.0);
        near(found.uncovered_hours[1], 0.0);
        near(found.uncovered_hours[2], 12.0);
        near(found.given_hours[0][0], 40.0);
        near(found.utilisation[1], 0.2);
    }

    /// Hours have to be taken back along a path: 0 → A or B, 1 → A or C, 2 → C. Of 24 h
    /// each crew of 10 h can have 8: whatever is placed first, the end is even.
    #[test]
    fn hours_move_along_paths() {
        let crews = [crew(10.0, &[0, 1]), crew(10.0, &[0]), crew(10.0, &[1, 2])];
        let found = shared(&[12.0, 6.0, 6.0], &crews);
        for utilisation in &found.utilisation {
            near(*utilisation, 0.8);
        }
    }

    #[test]
    fn nothing_wanted_is_nothing_given() {
        let found = shared(&[0.0], &[crew(10.0, &[0])]);
        assert!(found.bindings.is_empty());
        assert_eq!(found.utilisation, vec![0.0]);
        shared(&[], &[]);
    }

    #[test]
    fn nonsense_is_refused() {
        let refused = share(&[f64::NAN], &[]);
        assert!(matches!(
            refused,
            Err(CrewError::BadHours { what: "skill", .. })
        ));
        let refused = share(&[1.0], &[crew(-1.0, &[0])]);
        assert!(matches!(
            refused,
            Err(CrewError::BadHours { what: "crew", .. })
        ));
        let refused = share(&[1.0], &[crew(1.0, &[3])]);
        assert_eq!(refused, Err(CrewError::NoSuchSkill { crew: 0, skill: 3 }));
    }

    /// The checker must see an unfair sharing, overwork and lost hours.
    #[test]
    fn bad_sharings_are_rejected() {
        let (wanted, crews) = ([20.0], [crew(40.0, &[0]), crew(40.0, &[0])]);
        let good = shared(&wanted, &crews);
        let mut unfair = good.clone();
        unfair.given_hours = vec![vec![15.0], vec![5.0]];
        unfair.utilisation = vec![0.375, 0.125];
        let instead = Violation::Unfair {
            crew: 0,
            skill: 0,
            instead: 1,
        };
        assert_eq!(check(&wanted, &crews, &unfair, 1e-9), Err(vec![instead]));
        let mut lost = good.clone();
        lost.given_hours[0][0] -= 1.0;
        assert!(check(&wanted, &crews, &lost, 1e-9).is_err());
        let mut stated = good;
        stated.utilisation[0] = 0.3;
        assert!(check(&wanted, &crews, &stated, 1e-9).is_err());
    }

    fn team() -> impl Strategy<Value = Crew> {
        let hours = prop_oneof![1 => Just(0.0), 9 => 1.0..80.0f64];
        (hours, prop::collection::vec(0..6usize, 0..5))
            .prop_map(|(hours, skills)| Crew { hours, skills })
    }

    /// The highest ratio of any set of skills, by trying all of them.
    fn highest_by_force(wanted: &[f64], crews: &[Crew]) -> f64 {
        let known = |skill: usize| {
            crews
                .iter()
                .any(|crew| crew.hours > 0.0 && crew.skills.contains(&skill))
        };
        let mut highest = 0.0_f64;
        for set in 1..1u32 << wanted.len() {
            let inside = |skill: usize| set >> skill & 1 == 1 && known(skill);
            let asked: f64 = (0..wanted.len())
                .filter(|&s| inside(s))
                .map(|s| wanted[s])
                .sum();
            let knowing = crews
                .iter()
                .filter(|crew| crew.skills.iter().any(|&s| inside(s)));
            let hours: f64 = knowing.map(|crew| crew.hours).sum();
            if asked > 0.0 {
                highest = highest.max(asked / hours);
            }
        }
        highest
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(1000))]

        #[test]
        fn sharings_are_fairest(
            wanted in prop::collection::vec(prop_oneof![Just(0.0), 0.1..100.0f64], 6),
            crews in prop::collection::vec(team(), 0..8),
        ) {
            let found = share(&wanted, &crews).expect("sound");
            prop_assert_eq!(check(&wanted, &crews, &found, 1e-9), Ok(()));
            let highest = found.utilisation.iter().fold(0.0_f64, |h, &u| h.max(u));
            let by_force = highest_by_force(&wanted, &crews);
            prop_assert!((highest - by_force).abs() <= 1e-9 * by_force);
            for pair in found.bindings.windows(2) {
                prop_assert!(pair[1].utilisation <= pair[0].utilisation * (1.0 + 1e-9));
            }
        }

        /// More hours in any crew never raise the highest utilisation.
        #[test]
        fn more_hours_never_hurt(
            wanted in prop::collection::vec(0.1..100.0f64, 6),
            crews in prop::collection::vec(team(), 1..8), pick in any::<prop::sample::Index>(),
        ) {
            let top = |crews: &[Crew]| {
                let share = share(&wanted, crews).expect("sound");
                share.utilisation.iter().fold(0.0_f64, |h, &u| h.max(u))
            };
            let before = top(&crews);
            let mut more = crews.clone();
            let at = pick.index(more.len());
            prop_assume!(more[at].hours > 0.0);
            more[at].hours += 10.0;
            prop_assert!(top(&more) <= before * (1.0 + 1e-9));
        }
    }
}
