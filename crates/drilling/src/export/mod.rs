//! Files that a machine or a drawing office takes, and the reading back that proves them.
//!
//! Every writer is a function from plain structs to text: [`program`] (ISO 6983, for a drilling machine or
//! router), [`dxf`] (release 12 drawing exchange), [`svg`] (drawing in true scale) and [`table`] (holes as CSV).
//! The program, the DXF file and the table are read back by readers that share no code with the writers, and held
//! against what was asked.
//!
//! Nothing here has been proved on any machine. Controllers differ in what a word does: the program says so in
//! its first lines, and a competent person must check it against the machine's manual and run it dry first.

pub mod dxf;
mod fault;
mod number;
pub mod program;
pub mod svg;
pub mod table;

use crate::outline::{Outline, Point};
use crate::pattern::{Hole, Rules};

pub use fault::ExportFault;

/// What the file is for; written into its comments.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Heading {
    /// The part drilled.
    pub part: String,
    /// The route that makes it.
    pub route: String,
    /// The operation of the route.
    pub operation: String,
    /// Revision of what was written down.
    pub revision: String,
    /// The face drilled, in words.
    pub face: String,
}

/// How a tool drills.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cutting {
    /// Feed into the material, m/s.
    pub feed_m_per_s: f64,
    /// Spindle speed, turns a minute.
    pub spindle_rpm: f64,
    /// Depth drilled before the drill is lifted clear; none for one go.
    pub peck_m: Option<f64>,
    /// Feed back down to near the depth already drilled, m/s; none to use the drilling feed.
    pub reentry_m_per_s: Option<f64>,
    /// Wait at the bottom, s.
    pub dwell_s: f64,
}

/// One hole as a machine drills it, straight down from the face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stroke {
    /// Where.
    pub at: Point,
    /// How deep the tip of the tool goes below the face, m: the depth of full diameter and the point.
    pub tip_depth_m: f64,
    /// Diameter of the tool, m; for the comments.
    pub diameter_m: f64,
    /// Number of the tool.
    pub tool: u32,
    /// How it drills.
    pub cutting: Cutting,
}

impl Stroke {
    /// The stroke for a hole square to its face; a leaning hole is refused, since a machine with three axes
    /// cannot drill it without a jig.
    pub fn square(hole: &Hole, rules: &Rules, cutting: Cutting) -> Result<Self, ExportFault> {
        if hole.bore.tilt_rad != 0.0 {
            let tilt_rad = hole.bore.tilt_rad;
            return Err(ExportFault::Leaning {
                at: hole.at,
                tilt_rad,
            });
        }
        let bore = &hole.bore;
        Ok(Self {
            at: hole.at,
            tip_depth_m: bore.depth_m + rules.point_length_m(bore.diameter_m),
            diameter_m: bore.diameter_m,
            tool: bore.tool,
            cutting,
        })
    }
}

/// A face with its holes, for a drawing.
#[derive(Clone, Copy, Debug)]
pub struct Drawing<'a> {
    /// What it is of.
    pub heading: &'a Heading,
    /// The face.
    pub outline: &'a Outline,
    /// Its holes.
    pub holes: &'a [Hole],
}

/// Refuses holes whose numbers no drawing or table can carry.
fn drawable(holes: &[Hole]) -> Result<(), ExportFault> {
    for (hole, drilled) in holes.iter().enumerate() {
        let bore = &drilled.bore;
        let above_zero = |value: f64| value > 0.0 && value.is_finite();
        let right_angle = std::f64::consts::FRAC_PI_2;
        let rules = [
            (drilled.at.x.is_finite(), "x", drilled.at.x, "a number"),
            (drilled.at.y.is_finite(), "y", drilled.at.y, "a number"),
            (
                above_zero(bore.diameter_m),
                "diameter",
                bore.diameter_m,
                "above zero",
            ),
            (
                above_zero(bore.depth_m),
                "depth",
                bore.depth_m,
                "above zero",
            ),
            (
                (0.0..right_angle).contains(&bore.tilt_rad),
                "tilt",
                bore.tilt_rad,
                "below a right angle",
            ),
            (
                bore.bearing_rad.is_finite(),
                "bearing",
                bore.bearing_rad,
                "a number",
            ),
        ];
        for (holds, what, value, expected) in rules {
            if !holds {
                return Err(ExportFault::HoleSize {
                    hole,
                    what,
                    value,
                    expected,
                });
            }
        }
    }
    Ok(())
}
