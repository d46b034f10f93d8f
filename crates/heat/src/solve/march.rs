//! Through the stages step by step: on the coarse grid with steps as long as the error allows, on the fine
//! grid with those steps halved.

use crate::fault::Fault;
use crate::programme::Stage;
use crate::solve::faces::Ends;
use crate::solve::step::{Moment, Refused, Stepper};
use crate::solve::track::Track;

/// The most by which a step may be longer than the one before.
const LONGER: f64 = 4.0;
/// The least share of a step that is tried after a refusal.
const SHORTER: f64 = 0.2;
/// Steps aim at this share of the error allowed, so that few are refused.
const AIM: f64 = 0.7;
/// Most steps, tried ones included, in a stage.
const MOST: usize = 2_000_000;
/// The shortest step, as a share of its stage.
const LEAST: f64 = 1e-14;

/// When each step ended, s from the beginning of its stage, stage by stage.
pub(super) type Steps = Vec<Vec<f64>>;

/// What both marches need.
pub(super) struct Way<'a> {
    pub(super) stages: &'a [Stage],
    /// Which ends of the cut piece are faces.
    pub(super) open: [bool; 2],
    /// Allowed error in a step, K.
    pub(super) allowed_k: f64,
}

impl Way<'_> {
    fn ends(&self, stage: &Stage, stepper: &Stepper<'_>) -> Ends {
        Ends::new(stage, self.open, stepper.mesh.area)
    }

    fn fault(&self, at_s: f64) -> Fault {
        Fault::NotConverged {
            wanted: self.allowed_k,
            why: format!("steps of time became too short {at_s} s after the beginning"),
        }
    }

    /// Steps as long as the error allows.
    pub(super) fn adaptive(&self, stepper: &mut Stepper<'_>) -> Result<(Track, Steps), Fault> {
        let mut track = Track::default();
        let mut steps = Vec::with_capacity(self.stages.len());
        let mut start_s = 0.0;
        for stage in self.stages {
            let ends = self.ends(stage, stepper);
            stepper.enter(&ends);
            track.begin(256);
            track.note(stepper, &ends, start_s, 0.0);
            let done = self.stage(stepper, &ends, &mut track, start_s)?;
            steps.push(done);
            track.note_profile(stepper);
            start_s += stage.lasts_s;
        }
        Ok((track, steps))
    }

    fn stage(
        &self,
        stepper: &mut Stepper<'_>,
        ends: &Ends,
        track: &mut Track,
        start_s: f64,
    ) -> Result<Vec<f64>, Fault> {
        let lasts = ends.lasts_s;
        let mut done = Vec::with_capacity(256);
        let mut time = 0.0;
        let mut wish = (10.0 * self.allowed_k / stepper.fastest(ends)).min(0.1 * lasts);
        for _ in 0..MOST {
            let left = lasts - time;
            let length = if wish >= left {
                left
            } else {
                wish.min(0.5 * left)
            };
            if length < LEAST * lasts {
                return Err(self.fault(start_s + time));
            }
            let moment = Moment { ends, time };
            match stepper.step(&moment, length, self.allowed_k) {
                Ok(error) => {
                    time = if length == left { lasts } else { time + length };
                    done.push(time);
                    track.note(stepper, ends, start_s, time);
                    if time >= lasts {
                        return Ok(done);
                    }
                    wish = length * libm::cbrt(AIM / error.max(1e-9)).clamp(SHORTER, LONGER);
                }
                Err(Refused::Rough(error)) => {
                    wish = length * libm::cbrt(AIM / error).clamp(SHORTER, 0.7);
                }
                Err(Refused::Unsettled) => wish = 0.3 * length,
            }
        }
        Err(self.fault(start_s + time))
    }

    /// The steps given, each halved, and shorter only where the fine grid needs it.
    pub(super) fn halved(
        &self,
        stepper: &mut Stepper<'_>,
        steps: &Steps,
    ) -> Result<(Track, usize), Fault> {
        let mut track = Track::default();
        let mut taken = 0;
        let mut start_s = 0.0;
        for (stage, ends_of_steps) in self.stages.iter().zip(steps) {
            let ends = self.ends(stage, stepper);
            stepper.enter(&ends);
            track.begin(2 * ends_of_steps.len() + 32);
            track.note(stepper, &ends, start_s, 0.0);
            let mut from = 0.0;
            for &to in ends_of_steps {
                taken += self.stretch(stepper, &ends, &mut track, start_s, [from, to])?;
                from = to;
            }
            track.note_profile(stepper);
            start_s += stage.lasts_s;
        }
        Ok((track, taken))
    }

    /// From one time to another in two steps, or in more.
    fn stretch(
        &self,
        stepper: &mut Stepper<'_>,
        ends: &Ends,
        track: &mut Track,
        start_s: f64,
        [from, to]: [f64; 2],
    ) -> Result<usize, Fault> {
        // The error of half a step is an eighth; where it is more than twice that, the step is too long.
        let allowed_k = 0.25 * self.allowed_k;
        let half = 0.5 * (to - from);
        let (mut time, mut wish, mut taken) = (from, half, 0);
        for _ in 0..MOST {
            let left = to - time;
            let length = if wish >= left * (1.0 - 1e-9) {
                left
            } else {
                wish.min(left)
            };
            if length < LEAST * ends.lasts_s {
                return Err(self.fault(start_s + time));
            }
            let moment = Moment { ends, time };
            match stepper.step(&moment, length, allowed_k) {
                Ok(_) => {
                    taken += 1;
                    time = if length == left { to } else { time + length };
                    track.note(stepper, ends, start_s, time);
                    if time >= to {
                        return Ok(taken);
                    }
                    wish = (2.0 * length).min(half);
                }
                Err(_) => wish = 0.5 * length,
            }
        }
        Err(self.fault(start_s + time))
    }
}
