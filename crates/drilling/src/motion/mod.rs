//! The time that drilling takes: moves under limited acceleration, feed, pecks, dwells and tool changes.
//!
//! An axis starts and ends every move at rest. It speeds up, may run at its top speed, and slows down; axes
//! move independently, so the slower one decides when a move is over. All closed forms; nothing is simulated.

mod axis;
mod cycle;
mod speeds;

use serde::Serialize;

pub use axis::Axis;
pub use cycle::{Cycle, Feed, Peck, Retreat, StrokeTime};
pub use speeds::{drilling_torque_nm, feed_speed_m_s, removal_rate_m3_s, spindle_rev_s};

/// Why a question about motion has no answer.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum MotionError {
    /// A speed, acceleration, depth… that has to be a number above nought is not.
    #[error("expected {what} above zero, found {found}")]
    NotPositive {
        /// Which one.
        what: &'static str,
        /// What was given.
        found: f64,
    },
    /// A time or height that may be nought but not less is less, or not a number.
    #[error("expected {what} of zero or more, found {found}")]
    Negative {
        /// Which one.
        what: &'static str,
        /// What was given.
        found: f64,
    },
    /// More pecks than a machine could ever make: a peck depth in the wrong unit.
    #[error("pecks of {peck_m} m into {depth_m} m would be more than {limit}")]
    TooManyPecks {
        /// Depth of a peck.
        peck_m: f64,
        /// Depth of the hole.
        depth_m: f64,
        /// How many are let through.
        limit: u32,
    },
}

/// The value, if it is a number above nought.
pub(crate) fn positive(what: &'static str, found: f64) -> Result<f64, MotionError> {
    if found.is_finite() && found > 0.0 {
        Ok(found)
    } else {
        Err(MotionError::NotPositive { what, found })
    }
}

/// The value, if it is a number of nought or more.
pub(crate) fn not_negative(what: &'static str, found: f64) -> Result<f64, MotionError> {
    if found.is_finite() && found >= 0.0 {
        Ok(found)
    } else {
        Err(MotionError::Negative { what, found })
    }
}

/// Where the time of one part (or one load of parts) goes, in seconds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Breakdown {
    /// Between holes, above the clear plane.
    pub travel_s: f64,
    /// Rapid moves down: back to where a peck left off.
    pub plunge_s: f64,
    /// Feeding through air and material.
    pub feed_s: f64,
    /// Rapid moves up, between pecks and at the end.
    pub retract_s: f64,
    /// Waiting at depth.
    pub dwell_s: f64,
    /// Changing tools.
    pub tool_change_s: f64,
    /// Turning to another face.
    pub turn_s: f64,
    /// Loading, clamping and unloading.
    pub load_s: f64,
}

impl Breakdown {
    /// All of it.
    pub fn total_s(&self) -> f64 {
        self.travel_s
            + self.plunge_s
            + self.feed_s
            + self.retract_s
            + self.dwell_s
            + self.tool_change_s
            + self.turn_s
            + self.load_s
    }

    /// The same with the times of one stroke added.
    #[must_use]
    pub fn with_stroke(self, stroke: &StrokeTime) -> Self {
        Self {
            plunge_s: self.plunge_s + stroke.plunge_s,
            feed_s: self.feed_s + stroke.feed_s,
            retract_s: self.retract_s + stroke.retract_s,
            dwell_s: self.dwell_s + stroke.dwell_s,
            ..self
        }
    }

    /// Every entry divided by the number of parts drilled together.
    #[must_use]
    pub fn per_part(self, parts: u32) -> Self {
        let share = 1.0 / f64::from(parts.max(1));
        Self {
            travel_s: self.travel_s * share,
            plunge_s: self.plunge_s * share,
            feed_s: self.feed_s * share,
            retract_s: self.retract_s * share,
            dwell_s: self.dwell_s * share,
            tool_change_s: self.tool_change_s * share,
            turn_s: self.turn_s * share,
            load_s: self.load_s * share,
        }
    }
}

/// Time for a block before any path is known: ⌈holes/heads⌉ strokes with a given travel each, and one load.
///
/// The estimate of common practice, ⌈holes/heads⌉ × (approach + depth/feed + retract) + index + load; it holds
/// when every stroke finds a hole under each head but in the last, and all strokes are alike.
pub fn estimate(
    holes: u32,
    heads: u32,
    travel_s: f64,
    stroke: &StrokeTime,
    load_s: f64,
) -> Breakdown {
    let strokes = f64::from(holes.div_ceil(heads.max(1)));
    Breakdown {
        travel_s: strokes * travel_s,
        plunge_s: strokes * stroke.plunge_s,
        feed_s: strokes * stroke.feed_s,
        retract_s: strokes * stroke.retract_s,
        dwell_s: strokes * stroke.dwell_s,
        load_s,
        ..Breakdown::default()
    }
}
