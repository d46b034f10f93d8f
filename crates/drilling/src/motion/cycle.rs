//! One stroke of the drill: feed from the clear plane to depth, in pecks or at one go, dwell, and out again.
//!
//! The canned cycles of ISO 6983 programs: at one go; pecks that come out to the clear plane each time; pecks
//! that only break the chip. Rapid moves obey the quill's acceleration; feed moves are taken at their constant
//! speed, which is a little too fast by v/a for each (at 0.02 m/s and 2 m/s² a hundredth of a second).

use serde::Serialize;

use super::{Axis, MotionError, not_negative, positive};

/// Above this the peck depth was surely given in the wrong unit.
const PECKS_MAX: u32 = 100_000;

/// How fast the drill goes into the material.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub enum Feed {
    /// A speed.
    Speed {
        /// Metres per second.
        m_s: f64,
    },
    /// A chip per turn and turns per second.
    PerTurn {
        /// Metres per turn.
        m_rev: f64,
        /// Turns per second.
        rev_s: f64,
    },
}

impl Feed {
    /// The speed, whichever way it was given.
    pub fn speed_m_s(self) -> f64 {
        match self {
            Self::Speed { m_s } => m_s,
            Self::PerTurn { m_rev, rev_s } => m_rev * rev_s,
        }
    }
}

/// What happens after each peck but the last.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub enum Retreat {
    /// Out to the clear plane, and back down to this far above where the peck ended.
    Full {
        /// Distance that is left to be fed, so that a rapid move never touches the bottom.
        gap_m: f64,
    },
    /// Up by a little, to break the chip.
    ChipBreak {
        /// How far up.
        by_m: f64,
    },
}

/// Drilling in steps.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Peck {
    /// Depth of a step.
    pub depth_m: f64,
    /// Between steps.
    pub retreat: Retreat,
}

/// How a tool drills.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Cycle {
    /// Height of the clear plane above the surface: feeding starts there, rapid moves stay above.
    pub clear_m: f64,
    /// Feed.
    pub feed: Feed,
    /// Steps, or none for one go.
    pub peck: Option<Peck>,
    /// Wait at full depth.
    pub dwell_s: f64,
}

/// Where the time of one stroke goes, in seconds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct StrokeTime {
    /// Rapid moves down.
    pub plunge_s: f64,
    /// Feeding through air and material.
    pub feed_s: f64,
    /// Rapid moves up.
    pub retract_s: f64,
    /// Waiting at depth.
    pub dwell_s: f64,
    /// Steps made.
    pub pecks: u32,
}

impl StrokeTime {
    /// All of it.
    pub fn total_s(&self) -> f64 {
        self.plunge_s + self.feed_s + self.retract_s + self.dwell_s
    }
}

impl Cycle {
    /// Whether every number of the cycle makes sense.
    pub fn check(&self) -> Result<(), MotionError> {
        not_negative("a clear plane", self.clear_m)?;
        positive("a feed", self.feed.speed_m_s())?;
        not_negative("a dwell", self.dwell_s)?;
        if let Some(peck) = self.peck {
            positive("a peck", peck.depth_m)?;
            match peck.retreat {
                Retreat::Full { gap_m } => not_negative("a gap above the bottom", gap_m)?,
                Retreat::ChipBreak { by_m } => not_negative("a retreat to break the chip", by_m)?,
            };
        }
        Ok(())
    }

    /// Time of one stroke to a depth, from the clear plane back to the clear plane.
    pub fn stroke(&self, depth_m: f64, quill: &Axis) -> Result<StrokeTime, MotionError> {
        self.check()?;
        positive("a depth", depth_m)?;
        let mut time = StrokeTime {
            retract_s: quill.move_s(self.clear_m + depth_m),
            dwell_s: self.dwell_s,
            pecks: self.pecks(depth_m)?,
            ..StrokeTime::default()
        };
        let mut fed_m = self.clear_m + depth_m;
        if let Some(peck) = self.peck {
            for done in 1..time.pecks {
                let bottom_m = f64::from(done) * peck.depth_m;
                fed_m += self.retreat(peck.retreat, bottom_m, quill, &mut time);
            }
        }
        time.feed_s = fed_m / self.feed.speed_m_s();
        Ok(time)
    }

    /// Steps to a depth. A remainder that is only rounding is no step of its own.
    fn pecks(&self, depth_m: f64) -> Result<u32, MotionError> {
        let Some(peck) = self.peck else { return Ok(1) };
        let steps = (depth_m / peck.depth_m * (1.0 - 1e-9)).ceil().max(1.0);
        if steps > f64::from(PECKS_MAX) {
            return Err(MotionError::TooManyPecks {
                peck_m: peck.depth_m,
                depth_m,
                limit: PECKS_MAX,
            });
        }
        Ok(steps as u32)
    }

    /// Adds the rapid moves between two steps, and says what has to be fed a second time.
    fn retreat(&self, retreat: Retreat, bottom_m: f64, quill: &Axis, time: &mut StrokeTime) -> f64 {
        match retreat {
            Retreat::Full { gap_m } => {
                let out_m = self.clear_m + bottom_m;
                let gap_m = gap_m.min(out_m);
                time.retract_s += quill.move_s(out_m);
                time.plunge_s += quill.move_s(out_m - gap_m);
                gap_m
            }
            Retreat::ChipBreak { by_m } => {
                let by_m = by_m.min(self.clear_m + bottom_m);
                time.retract_s += quill.move_s(by_m);
                by_m
            }
        }
    }
}
