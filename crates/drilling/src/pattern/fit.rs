//! The other question: so many holes, how far apart?

use super::curve::{Spacing, pitch};
use super::fault::PatternFault;
use super::lay::{lattice_of, lay};
use super::{Bore, Laid, Layout, Panel, Rules};

/// Each pitch tried on the way down is this share of the one before; counts are not quite monotone in the
/// pitch, so the widest one is looked for from above.
const STEP_DOWN: f64 = 0.98;

/// The smallest pitch tried, as a share of the hole's diameter: nearer, holes run into each other.
const SMALLEST_PITCH: f64 = 1.0;

/// Halvings between the last pitch that was too wide and the first that was not: to a hundred millionth of the pitch.
const HALVINGS: usize = 21;

impl Layout {
    /// The layout opened or closed to the widest pitch found at which at least so many holes fit, and its holes
    /// (a lattice may hold a few more than asked). The shape of a lattice is kept: rows and columns scale
    /// together. Along a curve or around the edge the holes are shared out evenly.
    pub fn opened_to_fit(
        &self,
        holes: usize,
        panel: &Panel,
        bore: &Bore,
        rules: &Rules,
    ) -> Result<(Self, Laid), PatternFault> {
        match self {
            Self::Grid { .. } | Self::Staggered { .. } => {
                self.opened_lattice(holes, panel, bore, rules)
            }
            Self::Along { curve, .. } => {
                let layout = Self::Along {
                    curve: curve.clone(),
                    spacing: Spacing::Count(holes),
                };
                let laid = lay(&layout, panel, bore, rules)?;
                Ok((layout, laid))
            }
            Self::AroundEdge { inset_m, .. } => {
                let layout = Self::AroundEdge {
                    inset_m: *inset_m,
                    spacing: Spacing::Count(holes),
                };
                let laid = lay(&layout, panel, bore, rules)?;
                Ok((layout, laid))
            }
            Self::Rings { .. } | Self::Points(_) => Err(PatternFault::NoPitch),
        }
    }

    fn opened_lattice(
        &self,
        wanted: usize,
        panel: &Panel,
        bore: &Bore,
        rules: &Rules,
    ) -> Result<(Self, Laid), PatternFault> {
        let (lattice, _) = lattice_of(self).ok_or(PatternFault::NoPitch)?;
        let narrow = pitch(lattice.pitch_m)?.min(pitch(lattice.row_m)?);
        let bounds = panel.outline.bounds();
        let widest = 1.01 * libm::hypot(bounds.width_m(), bounds.height_m()) / narrow;
        let smallest = SMALLEST_PITCH * bore.diameter_m / narrow;
        let at = |factor: f64| {
            let layout = self.scaled(factor);
            let laid = lay(&layout, panel, bore, rules)?;
            Ok::<_, PatternFault>((layout, laid))
        };
        let (mut too_wide, mut factor, mut most) = (widest, widest, 0);
        let mut found = loop {
            let tried = at(factor)?;
            if tried.1.holes.len() >= wanted {
                break tried;
            }
            most = most.max(tried.1.holes.len());
            if factor <= smallest {
                return Err(PatternFault::DoNotFit {
                    wanted,
                    most,
                    pitch_m: narrow * factor,
                });
            }
            too_wide = factor;
            factor = (factor * STEP_DOWN).max(smallest);
        };
        let mut fits = factor;
        for _ in 0..HALVINGS {
            let middle = 0.5 * (fits + too_wide);
            let tried = at(middle)?;
            if tried.1.holes.len() >= wanted {
                (fits, found) = (middle, tried);
            } else {
                too_wide = middle;
            }
        }
        Ok(found)
    }

    /// A lattice with its pitches multiplied; other layouts as they are.
    #[must_use]
    fn scaled(&self, factor: f64) -> Self {
        let mut layout = self.clone();
        match &mut layout {
            Self::Grid {
                pitch_x_m,
                pitch_y_m,
                ..
            } => {
                *pitch_x_m *= factor;
                *pitch_y_m *= factor;
            }
            Self::Staggered { pitch_m, row_m, .. } => {
                *pitch_m *= factor;
                *row_m = row_m.map(|row| row * factor);
            }
            _ => (),
        }
        layout
    }
}
