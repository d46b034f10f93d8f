//! Outlines of lines and elliptical arcs, as a drawing gives them.

/// One step along an outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum OutlineStep {
    /// A straight line to a point.
    Line {
        /// Where it ends.
        to: (f64, f64),
    },
    /// A part of an ellipse, or of a circle when both radii are equal. Radii too small to reach the
    /// end are scaled up until they do (SVG 2, appendix B.2.5).
    Arc {
        /// Where it ends; must differ from where it starts, so a full circle takes two arcs.
        to: (f64, f64),
        /// Half axes of the ellipse.
        radii: (f64, f64),
        /// Angle from the x axis to the first half axis, counter-clockwise, in degrees.
        turn_deg: f64,
        /// Whether to take the arc of more than half a turn.
        large: bool,
        /// Whether it runs counter-clockwise, with y upwards.
        counter_clockwise: bool,
    },
}

/// A closed line: the last step is joined to the start.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct OutlineLoop {
    /// Where it begins.
    pub start: (f64, f64),
    /// Steps in order.
    pub steps: Vec<OutlineStep>,
}

impl OutlineLoop {
    /// Straight lines through the corners.
    pub fn polygon(corners: &[(f64, f64)]) -> Self {
        Self {
            start: corners.first().copied().unwrap_or_default(),
            steps: corners
                .iter()
                .skip(1)
                .map(|&to| OutlineStep::Line { to })
                .collect(),
        }
    }

    /// An ellipse about a centre, with half axes along x and y.
    pub fn ellipse((x, y): (f64, f64), radii: (f64, f64)) -> Self {
        let half = |to| OutlineStep::Arc {
            to,
            radii,
            turn_deg: 0.0,
            large: false,
            counter_clockwise: true,
        };
        Self {
            start: (x + radii.0, y),
            steps: vec![half((x - radii.0, y)), half((x + radii.0, y))],
        }
    }
}
