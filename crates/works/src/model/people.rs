//! Crews and what they can do.

use super::{CalendarId, SkillId, Stated};
use crate::source::Span;

/// Something a person must be trained for.
#[derive(Clone, Debug)]
pub struct Skill {
    /// Its name.
    pub name: String,
}

/// People who share a calendar and a set of skills.
#[derive(Clone, Debug)]
pub struct Crew {
    /// Its name.
    pub name: String,
    /// Where it was declared.
    pub at: Span,
    /// How many people.
    pub people: u32,
    /// When they work.
    pub calendar: CalendarId,
    /// What each of them can do.
    pub skills: Vec<SkillId>,
    /// Money per second and person.
    pub cost: Option<Stated>,
    /// Share of paid time that they are there (holidays, illness, training taken off), 0 to 1.
    pub attendance: Option<Stated>,
}
