//! Frames folded from notched strip: the blank whose length goes on the cutting list.

use serde::Serialize;

/// The blank of a frame. Lengths in m, angles in radians.
#[derive(Clone, Debug, Serialize)]
pub struct FrameBlank {
    /// Length of the flat strip, m.
    pub length_m: f64,
}
