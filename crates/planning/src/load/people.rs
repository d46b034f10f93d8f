//! People: hours wanted of each skill, and which crew gives them.
//!
//! A station ties up its people (or the operation's own) for all the time it takes; tasks of
//! manual work without a pace take the sum of their times; checks take the time of whoever is
//! named for them. Crews give their open time × people × attendance.

use serde::Serialize;
use works::{CrewId, Diagnostic, Operation, Pace, SkillId, Works};

use super::lots::Lots;
use super::open::Open;
use super::work::{Samples, Shift, Work, loads_of};

/// Hours wanted of a skill.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SkillLoad {
    /// The skill.
    pub skill: SkillId,
    /// Its name.
    pub name: String,
    /// At stations and on tasks, s of one person.
    pub work_s: f64,
    /// On checks, s of one person.
    pub check_s: f64,
    /// Both.
    pub wanted_s: f64,
    /// Crews that have it, with the time they are given of it, s.
    pub given_to: Vec<(CrewId, f64)>,
}

/// The load of a crew.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CrewLoad {
    /// The crew.
    pub crew: CrewId,
    /// Its name.
    pub name: String,
    /// How many people it has.
    pub people: u32,
    /// Open time of its calendar, s.
    pub open_s: f64,
    /// Share of it that a person is there.
    pub attendance: f64,
    /// What one person gives: open time × attendance, s.
    pub each_s: f64,
    /// What all give, s.
    pub available_s: f64,
    /// What is wanted of it, s.
    pub wanted_s: f64,
    /// Wanted over available; none where it never works.
    pub utilisation: Option<f64>,
    /// People needed; none where it never works.
    pub needed: Option<u32>,
    /// What it is wanted for, by skill, s.
    pub by_skill: Vec<(SkillId, f64)>,
}

/// Skills and crews of a works.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct People {
    /// By [`SkillId`].
    pub skills: Vec<SkillLoad>,
    /// By [`CrewId`].
    pub crews: Vec<CrewLoad>,
    /// How the hours were given to crews.
    pub method: &'static str,
}

/// Hours of every skill and crew.
pub(super) fn people(works: &Works, work: &[Work], lots: &Lots, open: &Open) -> People {
    let mut skills: Vec<SkillLoad> = works
        .skills
        .iter()
        .enumerate()
        .map(|(index, skill)| blank(index, &skill.name))
        .collect();
    for piece in work {
        let operation = works.operation(piece.operation);
        for (skill, seconds) in tied_up(works, operation, piece) {
            skills[skill.0].work_s += seconds;
        }
        for (skill, seconds) in on_checks(works, operation, piece, lots, open) {
            skills[skill.0].check_s += seconds;
        }
    }
    for skill in &mut skills {
        skill.wanted_s = skill.work_s + skill.check_s;
    }
    let method = give(works, &mut skills, open);
    let crews = (0..works.crews.len())
        .map(|crew| crew_load(works, CrewId(crew), &skills, open))
        .collect();
    People {
        skills,
        crews,
        method,
    }
}

fn blank(index: usize, name: &str) -> SkillLoad {
    SkillLoad {
        skill: SkillId(index),
        name: name.to_owned(),
        work_s: 0.0,
        check_s: 0.0,
        wanted_s: 0.0,
        given_to: Vec::new(),
    }
}

/// People that an operation ties up, by skill.
pub(super) fn people_of<'a>(
    works: &'a Works,
    operation: &'a Operation,
    piece: &Work,
) -> &'a [(SkillId, f64)] {
    match (&operation.people, piece.station) {
        (Some(people), _) => people,
        (None, Some(station)) => &works.station(station).people,
        (None, None) => &[],
    }
}

/// Time of one unit over all tasks, where the tasks are the only pace there is, s.
pub(super) fn task_time_s(operation: &Operation) -> Option<f64> {
    let only = matches!(operation.pace, Pace::None) && !operation.tasks.is_empty();
    only.then(|| operation.tasks.iter().map(|task| task.time.mean()).sum())
}

fn tied_up(works: &Works, operation: &Operation, piece: &Work) -> Vec<(SkillId, f64)> {
    let people = people_of(works, operation, piece);
    let heads: f64 = people.iter().map(|(_, count)| count).sum();
    let tasks_s = task_time_s(operation).map_or(0.0, |time| time * piece.level);
    let each = |&(skill, count): &(SkillId, f64)| {
        let share = if heads > 0.0 { count / heads } else { 0.0 };
        (skill, piece.seconds.total() * count + tasks_s * share)
    };
    people.iter().map(each).collect()
}

fn on_checks(
    works: &Works,
    operation: &Operation,
    piece: &Work,
    lots: &Lots,
    open: &Open,
) -> Vec<(SkillId, f64)> {
    let samples = samples_of(works, piece, lots, open);
    let named = operation
        .checks
        .iter()
        .filter_map(|check| Some((check.by?, samples.time_s(check))));
    named.collect()
}

/// How many samples the checks of a piece of work take.
pub(super) fn samples_of(works: &Works, piece: &Work, lots: &Lots, open: &Open) -> Samples {
    let calendar = piece.station.map(|id| works.station(id).calendar);
    let length_s = calendar.map_or(8.0 * 3600.0, |calendar| open.shift_s(calendar));
    let lots = if piece.level > 0.0 {
        lots.count[piece.route.0] * piece.share
    } else {
        0.0
    };
    Samples {
        level: piece.level,
        lots,
        loads: piece.loads.map_or(lots, |loads| loads.count),
        run_s: piece.seconds.run_s,
        shift: Shift { length_s },
    }
}

/// What a crew's people give over the horizon, s: of each and of all.
fn gives_s(works: &Works, crew: CrewId, open: &Open) -> (f64, f64) {
    let crew = works.crew(crew);
    let each = open.seconds(crew.calendar) * attendance(crew);
    (each, each * f64::from(crew.people))
}

fn attendance(crew: &works::Crew) -> f64 {
    crew.attendance.as_ref().map_or(1.0, works::Stated::mean)
}

/// Gives the hours of each skill to crews that have it, as evenly as skills allow.
fn give(works: &Works, skills: &mut [SkillLoad], open: &Open) -> &'static str {
    let crews: Vec<balance::crew::Crew> = (0..works.crews.len())
        .map(|crew| balance::crew::Crew {
            hours: gives_s(works, CrewId(crew), open).1 / 3600.0,
            skills: works.crews[crew]
                .skills
                .iter()
                .map(|skill| skill.0)
                .collect(),
        })
        .collect();
    let open: Vec<usize> = (0..crews.len())
        .filter(|&crew| crews[crew].hours > 0.0)
        .collect();
    let able = |skill: usize, crew: usize| crews[crew].skills.contains(&skill);
    // What only crews can do that never work is put on the first of them, so that it shows there.
    let shut = |skill: usize| !open.iter().any(|&crew| able(skill, crew));
    let wanted: Vec<f64> = skills
        .iter()
        .map(|load| {
            if shut(load.skill.0) {
                0.0
            } else {
                load.wanted_s / 3600.0
            }
        })
        .collect();
    let at_work: Vec<_> = open.iter().map(|&crew| crews[crew].clone()).collect();
    let share = balance::crew::share(&wanted, &at_work);
    for skill in skills.iter_mut().filter(|skill| skill.wanted_s > 0.0) {
        let number = skill.skill.0;
        if shut(number) {
            let first = (0..crews.len()).find(|&crew| able(number, crew));
            skill.given_to = first
                .map(|crew| (CrewId(crew), skill.wanted_s))
                .into_iter()
                .collect();
        } else if let Ok(share) = &share {
            let asked = |(at, &crew): (usize, &usize)| {
                // A crew gives no more than it has; what is asked of it is what it gives times
                // its utilisation where that is over one.
                let hours = share.given_hours[at][number] * share.utilisation[at].max(1.0);
                (hours > 0.0).then_some((CrewId(crew), hours * 3600.0))
            };
            skill.given_to = open.iter().enumerate().filter_map(asked).collect();
        }
    }
    "hours shared over crews as evenly as skills allow (lexicographically optimal flow, Megiddo 1974)"
}

fn crew_load(works: &Works, id: CrewId, skills: &[SkillLoad], open: &Open) -> CrewLoad {
    let crew = works.crew(id);
    let (each_s, available_s) = gives_s(works, id, open);
    let given = skills.iter().flat_map(|skill| {
        skill
            .given_to
            .iter()
            .filter(|(to, _)| *to == id)
            .map(|&(_, seconds)| (skill.skill, seconds))
    });
    let by_skill: Vec<(SkillId, f64)> = given.filter(|(_, seconds)| *seconds > 0.0).collect();
    let wanted_s = by_skill.iter().map(|(_, seconds)| seconds).sum();
    CrewLoad {
        crew: id,
        name: crew.name.clone(),
        people: crew.people,
        open_s: open.seconds(crew.calendar),
        attendance: attendance(crew),
        each_s,
        available_s,
        wanted_s,
        utilisation: (available_s > 0.0).then(|| wanted_s / available_s),
        needed: (each_s > 0.0).then(|| loads_of(wanted_s / each_s) as u32),
        by_skill,
    }
}

impl People {
    /// Crews of which more is wanted than they can give, and skills that nobody has.
    pub fn short(&self, works: &Works) -> Vec<Diagnostic> {
        let full = self
            .crews
            .iter()
            .filter(|crew| crew.wanted_s > crew.available_s * (1.0 + 1e-9));
        let crews = full.map(|load| beyond(works.crew(load.crew), load));
        let nobody = self
            .skills
            .iter()
            .filter(|skill| skill.wanted_s > 0.0 && skill.given_to.is_empty());
        let skills = nobody.filter_map(|skill| nobody_has(works, skill));
        crews.chain(skills).collect()
    }
}

fn beyond(crew: &works::Crew, load: &CrewLoad) -> Diagnostic {
    let hours = |s: f64| format!("{:.0} h", s / 3600.0);
    let help = match load.needed {
        Some(needed) => format!(
            "{needed} people would be needed at {:.0} % attendance, or overtime of {} in all",
            load.attendance * 100.0,
            hours(load.wanted_s - load.available_s),
        ),
        None => "its calendar has no shift in the horizon".to_owned(),
    };
    Diagnostic::fault(
        "demand-beyond-capacity",
        crew.at,
        format!(
            "more work is wanted of crew `{}` than its people have hours",
            crew.name
        ),
    )
    .label(format!("{} people", crew.people))
    .sides(
        format!("at most {} of work", hours(load.available_s)),
        format!("{} of work", hours(load.wanted_s)),
    )
    .help(help)
}

fn nobody_has(works: &Works, skill: &SkillLoad) -> Option<Diagnostic> {
    let asks = |operation: &&Operation| {
        let people = match (&operation.people, operation.station) {
            (Some(people), _) => people,
            (None, Some(station)) => &works.station(station).people,
            (None, None) => return false,
        };
        people.iter().any(|(id, _)| *id == skill.skill)
            || operation
                .checks
                .iter()
                .any(|check| check.by == Some(skill.skill))
    };
    let operation = works.operations.iter().find(asks)?;
    let fault = Diagnostic::fault(
        "demand-beyond-capacity",
        operation.at,
        format!("no crew has the skill `{}`", skill.name),
    );
    let wanted = format!("{:.0} h of it", skill.wanted_s / 3600.0);
    Some(
        fault
            .sides("a crew that has it", wanted)
            .help("give it to a crew in its `skills`"),
    )
}
