//! Frames folded from notched strip: the blank whose length goes on the cutting list.

use cutting::frame::{FoldedStrip, Frame};
use serde::Serialize;
use works::{FrameFold, Stated};

/// The blank of a frame. Lengths in m, angles in degrees.
#[derive(Clone, Debug, Serialize)]
pub struct FrameBlank {
    /// Outer width of the frame.
    pub width_m: f64,
    /// Outer height of the frame.
    pub height_m: f64,
    /// Depth of the flange that is notched.
    pub flange_m: f64,
    /// Overlap at the join.
    pub lap_m: f64,
    /// Length of the flat strip.
    pub length_m: f64,
    /// The notches, from the start of the strip.
    pub notches: Vec<Notch>,
    /// What one fold shortens the blank by.
    pub deduction_m: f64,
    /// What the stated angle error opens at a mitre, when one is stated.
    pub corner_gap_m: Option<f64>,
}

/// A notch of the flat strip.
#[derive(Clone, Debug, Serialize)]
pub struct Notch {
    /// Its middle, from the start of the strip.
    pub at_m: f64,
    /// Width at the edge of the flange.
    pub width_m: f64,
    /// Its whole angle.
    pub angle_deg: f64,
}

/// The blank that folds up to the frame.
pub(super) fn blank(fold: &FrameFold) -> Result<FrameBlank, String> {
    let strip = FoldedStrip {
        thickness_m: fold.thick.mean(),
        inside_radius_m: fold.radius.mean(),
        k_factor: fold.k.mean(),
        flange_m: fold.flange.mean(),
        lap_m: fold.lap.mean(),
        angle_error_deg: fold
            .within
            .as_ref()
            .map_or(0.0, |within| within.mean().to_degrees()),
    };
    let (width_m, height_m) = (fold.width.mean(), fold.height.mean());
    let blank = Frame::rectangle(width_m, height_m, strip).blank();
    let blank = blank.map_err(|fault| fault.to_string())?;
    let notches = blank.folds.iter().map(|fold| Notch {
        at_m: fold.position_m,
        width_m: fold.notch_width_m,
        angle_deg: fold.notch_deg,
    });
    Ok(FrameBlank {
        width_m,
        height_m,
        flange_m: strip.flange_m,
        lap_m: strip.lap_m,
        length_m: blank.length_m,
        notches: notches.collect(),
        deduction_m: blank.folds.first().map_or(0.0, |fold| fold.deduction_m),
        corner_gap_m: fold.within.as_ref().map(|_: &Stated| blank.corner_gap_m),
    })
}
