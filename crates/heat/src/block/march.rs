//! A block through the stages: on the coarse grid with steps as long as the error allows, on the fine grid with
//! those steps halved.

use crate::block::step::{Moment, Stepper};
use crate::fault::Fault;
use crate::programme::Stage;
use crate::solve::faces::Ends;
use crate::solve::track::Track;

/// The most by which a step may be longer than the one before, and the least.
const LONGER: f64 = 4.0;
const SHORTER: f64 = 0.1;
/// Steps aim at this share of the error allowed, so that few are refused.
const AIM: f64 = 0.6;
/// Most steps in a stage, refused ones included.
const MOST: usize = 200_000;
/// The shortest step, as a share of its stage.
const LEAST: f64 = 1e-14;

/// When each step ended, s from the beginning of its stage, stage by stage.
pub(super) type Steps = Vec<Vec<f64>>;

/// Through the stages with errors of a step up to `allowed_k`: freely, or in the steps given, halved.
pub(super) fn march(
    stages: &[Stage],
    stepper: &mut Stepper<'_>,
    allowed_k: f64,
    given: Option<&Steps>,
) -> Result<(Track, Steps), Fault> {
    let mut track = Track::default();
    let mut steps = Vec::with_capacity(stages.len());
    let mut start_s = 0.0;
    for (i, stage) in stages.iter().enumerate() {
        let ends = Ends::new(stage, [false, true], [0.0, 1.0]);
        stepper.enter(&ends);
        let mut way = Way {
            ends: &ends,
            start_s,
            allowed_k,
            rows: Vec::with_capacity(256),
            done: Vec::with_capacity(256),
        };
        way.note(stepper, 0.0);
        match given {
            None => way.stretch(stepper, [0.0, stage.lasts_s], stepper.shortest(&ends))?,
            Some(given) => {
                let mut from = 0.0;
                for &to in &given[i] {
                    way.stretch(stepper, [from, to], 0.5 * (to - from))?;
                    from = to;
                }
            }
        }
        track.stages.push(way.rows);
        steps.push(way.done);
        track.profiles.push(stepper.profile());
        start_s += stage.lasts_s;
    }
    Ok((track, steps))
}

/// The way through a stage.
struct Way<'a> {
    ends: &'a Ends,
    start_s: f64,
    allowed_k: f64,
    rows: Vec<crate::solve::track::Row>,
    done: Vec<f64>,
}

impl Way<'_> {
    fn note(&mut self, stepper: &mut Stepper<'_>, time: f64) {
        let moment = Moment {
            ends: self.ends,
            time,
        };
        self.rows.push(stepper.row(&moment, self.start_s));
    }

    /// From one time to another, with a first step as long as wished.
    fn stretch(
        &mut self,
        stepper: &mut Stepper<'_>,
        [from, to]: [f64; 2],
        mut wish: f64,
    ) -> Result<(), Fault> {
        let longest = stepper.longest(self.ends);
        let mut time = from;
        for _ in 0..MOST {
            let left = to - time;
            wish = wish.min(longest);
            // Two even steps at the end rather than a long one and a crumb.
            let length = if wish >= left * (1.0 - 1e-9) {
                left
            } else {
                wish.min(0.5 * left)
            };
            if length < LEAST * self.ends.lasts_s {
                break;
            }
            let moment = Moment {
                ends: self.ends,
                time,
            };
            let factor = |ratio: f64| libm::cbrt(AIM / ratio.max(1e-9)).clamp(SHORTER, LONGER);
            match stepper.step(&moment, length, self.allowed_k) {
                Ok(ratio) => {
                    time = if length == left { to } else { time + length };
                    self.done.push(time);
                    self.note(stepper, time);
                    if time >= to {
                        return Ok(());
                    }
                    wish = length * factor(ratio);
                }
                Err(ratio) => wish = length * factor(ratio).min(0.7),
            }
        }
        Err(Fault::NotConverged {
            wanted: self.allowed_k,
            why: format!(
                "steps of time became too short {} s after the beginning",
                self.start_s + time
            ),
        })
    }
}
