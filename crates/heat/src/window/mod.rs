//! Which dwells do the job: the shortest that is enough for every piece and the longest that harms none.
//!
//! Every need of every piece is a yes or no along the dwell. The dwells at which it is yes are found by looking
//! at dwells from a twentieth to twenty times the stated one and halving in on each change; the window is what
//! all have in common.

mod load;
mod map;
mod together;

use serde::Serialize;

use crate::fault::{Fault, positive};
use crate::need::Need;
use crate::programme::Programme;
use crate::run::{Accuracy, Case, History, Run};

pub use load::{Largest, largest_load};
pub use map::{MapRow, map};
pub use together::{Speeds, speeds};

/// Dwells are looked at from the stated one over this to the stated one times this.
pub const REACH: f64 = 20.0;

/// Dwells looked at before halving in on changes.
const LOOKS: usize = 61;

/// How closely an edge is halved in on, as a share of the dwell.
const EDGE: f64 = 1e-5;

/// What a longer dwell is longer of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Vary {
    /// One stage, by number from 0.
    Stage(usize),
    /// Every stage in proportion: a conveyor that runs slower.
    All,
}

impl Vary {
    /// The dwell of a programme, s.
    pub fn dwell_s(self, programme: &Programme) -> Result<f64, Fault> {
        match self {
            Self::All => Ok(programme.lasts_s()),
            Self::Stage(number) => programme
                .stages()
                .get(number)
                .map(|stage| stage.lasts_s)
                .ok_or(Fault::Missing("stage whose time is asked for")),
        }
    }

    /// The programme with another dwell.
    pub fn with_dwell(self, programme: &Programme, dwell_s: f64) -> Result<Programme, Fault> {
        positive("dwell", dwell_s)?;
        let scale = dwell_s / self.dwell_s(programme)?;
        let mut stages = programme.stages().to_vec();
        match self {
            Self::All => stages.iter_mut().for_each(|stage| stage.lasts_s *= scale),
            Self::Stage(number) => stages[number].lasts_s = dwell_s,
        }
        Programme::new(stages)
    }

    /// Whether a longer dwell only adds to the end, so that one long run knows all shorter ones.
    fn only_adds(self, programme: &Programme) -> bool {
        let Self::Stage(number) = self else {
            return false;
        };
        let stages = programme.stages();
        let level = |face: &crate::programme::Face| face.is_level();
        number + 1 == stages.len()
            && stages
                .last()
                .is_some_and(|stage| level(&stage.first) && level(&stage.last))
    }
}

/// What bounds a window.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Bound {
    /// The piece, by number.
    pub piece: usize,
    /// The need, by number.
    pub need: usize,
}

/// A stretch of dwells that do the job.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Window {
    /// The shortest, s.
    pub shortest_s: f64,
    /// How far it may be off by the grid, s.
    pub shortest_error_s: f64,
    /// What is not met below it; none when every shorter dwell that was looked at does too.
    pub shortest_by: Option<Bound>,
    /// The longest, s; none when every longer dwell that was looked at does too.
    pub longest_s: Option<f64>,
    /// How far it may be off by the grid, s; none where the coarse grid finds none.
    pub longest_error_s: Option<f64>,
    /// What is broken beyond it.
    pub longest_by: Option<Bound>,
}

/// Where every need of every piece stands along the dwell.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Outlook {
    /// The dwell stated, s.
    pub stated_s: f64,
    /// Dwells looked at, s.
    pub looked_at_s: (f64, f64),
    /// The window that the stated dwell lies in, or else the nearest; none when there is none.
    pub window: Option<Window>,
    /// For each piece and need: the dwells at which it is met.
    pub met: Vec<Vec<Vec<(f64, f64)>>>,
}

impl Outlook {
    /// Whether the stated dwell lies in the window.
    pub fn holds(&self) -> bool {
        self.window.is_some_and(|w| {
            w.shortest_s <= self.stated_s && w.longest_s.is_none_or(|most| self.stated_s <= most)
        })
    }

    /// How far the stated dwell lies inside the window's nearer edge, s; below zero outside. None without a window.
    pub fn margin_s(&self) -> Option<f64> {
        let window = self.window?;
        let above = self.stated_s - window.shortest_s;
        Some(
            window
                .longest_s
                .map_or(above, |most| above.min(most - self.stated_s)),
        )
    }
}

/// Looks for the window of several pieces (the slowest and the fastest, or two thicknesses) with the same needs.
///
/// Each case's programme must have the varied stage. The cases may have surroundings of their own: the slowest
/// piece hangs in the coolest corner.
pub fn outlook(
    cases: &[Case],
    needs: &[Need],
    vary: Vary,
    accuracy: &Accuracy,
) -> Result<Outlook, Fault> {
    let first = cases.first().ok_or(Fault::Missing("piece"))?;
    let stated_s = positive("dwell", vary.dwell_s(&first.programme)?)?;
    let looked_at_s = (stated_s / REACH, stated_s * REACH);
    let (mut met, mut coarse) = (Vec::new(), Vec::new());
    let mut improved = true;
    for case in cases {
        let found = Found::of(case, needs, vary, accuracy, stated_s)?;
        improved &= found.improved;
        met.push(found.met);
        coarse.push(found.coarse);
    }
    let window = window(&met, stated_s, looked_at_s).map(|mut window| {
        // As for any number read from a run: a quarter of what the coarse grid differs, or all of it.
        let share = if improved { 0.25 } else { 1.0 };
        if let Some(coarse) = self::window(&coarse, stated_s, looked_at_s) {
            window.shortest_error_s = share * (window.shortest_s - coarse.shortest_s).abs();
            window.longest_error_s = window
                .longest_s
                .zip(coarse.longest_s)
                .map(|(fine, coarse)| share * (fine - coarse).abs());
        }
        window
    });
    Ok(Outlook {
        stated_s,
        looked_at_s,
        window,
        met,
    })
}

/// For each need, the dwells at which one piece meets it, on both grids.
struct Found {
    met: Vec<Vec<(f64, f64)>>,
    coarse: Vec<Vec<(f64, f64)>>,
    improved: bool,
}

impl Found {
    fn of(
        case: &Case,
        needs: &[Need],
        vary: Vary,
        accuracy: &Accuracy,
        stated_s: f64,
    ) -> Result<Self, Fault> {
        let run_at = |dwell_s: f64| -> Result<Run, Fault> {
            let programme = vary.with_dwell(&case.programme, dwell_s)?;
            crate::follow(
                &Case {
                    programme,
                    ..case.clone()
                },
                accuracy,
            )
        };
        let range = (stated_s / REACH, stated_s * REACH);
        let whole = run_at(range.1)?;
        let improved = whole.improved;
        if vary.only_adds(&case.programme) {
            let before_s = case.programme.lasts_s() - vary.dwell_s(&case.programme)?;
            return Ok(Self {
                met: of_one_run(&whole.history, needs, range, before_s)?,
                coarse: of_one_run(&whole.coarse, needs, range, before_s)?,
                improved,
            });
        }
        let mut kept = (range.1, whole);
        let mut on = |grid: fn(&Run) -> &History| {
            stretches(needs.len(), range, |dwell_s, number| {
                if kept.0 != dwell_s {
                    kept = (dwell_s, run_at(dwell_s)?);
                }
                let need = &needs[number];
                let trace = need.place.of(grid(&kept.1));
                Ok(need.allows(need.measure.along(trace)?.end()))
            })
        };
        Ok(Self {
            met: on(|run| &run.history)?,
            coarse: on(|run| &run.coarse)?,
            improved,
        })
    }
}

/// The same read from one long run that knows all shorter ones; the varied stage begins at `before_s`.
fn of_one_run(
    history: &History,
    needs: &[Need],
    range: (f64, f64),
    before_s: f64,
) -> Result<Vec<Vec<(f64, f64)>>, Fault> {
    let along: Result<Vec<_>, Fault> = needs
        .iter()
        .map(|need| need.measure.along(need.place.of(history)))
        .collect();
    let along = along?;
    stretches(needs.len(), range, |dwell_s, need| {
        Ok(needs[need].allows(along[need].until(before_s + dwell_s)))
    })
}

/// For each need, the stretches of a range at which it is met.
fn stretches(
    needs: usize,
    (low, high): (f64, f64),
    mut met: impl FnMut(f64, usize) -> Result<bool, Fault>,
) -> Result<Vec<Vec<(f64, f64)>>, Fault> {
    let ratio = libm::pow(high / low, 1.0 / (LOOKS - 1) as f64);
    let mut dwells: Vec<f64> = (0..LOOKS)
        .map(|look| low * libm::pow(ratio, look as f64))
        .collect();
    // The end itself, not what powers make of it: what holds there is not bounded by it.
    dwells[LOOKS - 1] = high;
    // Dwell by dwell, so that one run serves every need.
    let mut answers = vec![Vec::with_capacity(LOOKS); needs];
    for &dwell in &dwells {
        for (need, answers) in answers.iter_mut().enumerate() {
            answers.push(met(dwell, need)?);
        }
    }
    let mut all = Vec::with_capacity(needs);
    for (need, answers) in answers.into_iter().enumerate() {
        all.push(of_one(&dwells, &answers, |dwell| met(dwell, need))?);
    }
    Ok(all)
}

/// The stretches of one need from its answers at the dwells looked at.
fn of_one(
    dwells: &[f64],
    answers: &[bool],
    mut met: impl FnMut(f64) -> Result<bool, Fault>,
) -> Result<Vec<(f64, f64)>, Fault> {
    let mut found = Vec::new();
    let mut since = answers[0].then_some(dwells[0]);
    for at in 1..dwells.len() {
        if answers[at] == answers[at - 1] {
            continue;
        }
        let (mut low, mut high) = (dwells[at - 1], dwells[at]);
        while high - low > EDGE * low {
            let middle = 0.5 * (low + high);
            if met(middle)? == answers[at] {
                high = middle;
            } else {
                low = middle;
            }
        }
        // The edge itself lies on the side that does the job.
        match since.take() {
            Some(start) => found.push((start, low)),
            None => since = Some(high),
        }
    }
    if let (Some(start), Some(&last)) = (since, dwells.last()) {
        found.push((start, last));
    }
    Ok(found)
}

/// What all have in common, nearest to the stated dwell.
fn window(met: &[Vec<Vec<(f64, f64)>>], stated_s: f64, range: (f64, f64)) -> Option<Window> {
    let mut common: Vec<(f64, Option<Bound>, f64, Option<Bound>)> =
        vec![(range.0, None, range.1, None)];
    for (piece, needs) in met.iter().enumerate() {
        for (need, stretches) in needs.iter().enumerate() {
            let by = Some(Bound { piece, need });
            common = common
                .iter()
                .flat_map(|&(low, low_by, high, high_by)| {
                    stretches.iter().filter_map(move |&(from, to)| {
                        let (from, from_by) = if from > low {
                            (from, by)
                        } else {
                            (low, low_by)
                        };
                        let (to, to_by) = if to < high { (to, by) } else { (high, high_by) };
                        (from <= to).then_some((from, from_by, to, to_by))
                    })
                })
                .collect();
        }
    }
    let away = |low: f64, high: f64| (low - stated_s).max(stated_s - high).max(0.0);
    common
        .into_iter()
        .min_by(|a, b| away(a.0, a.2).total_cmp(&away(b.0, b.2)))
        .map(|(low, low_by, high, high_by)| Window {
            shortest_s: low,
            shortest_error_s: 0.0,
            shortest_by: low_by,
            longest_s: high_by.map(|_| high),
            longest_error_s: None,
            longest_by: high_by,
        })
}
