//! Holding a sharing of hours to its input, without the method that made it.

use super::{Crew, Share};

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
