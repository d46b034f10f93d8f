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

mod check;
mod flow;

pub use check::{Violation, check};

use flow::Flow;
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

#[cfg(test)]
mod tests;
