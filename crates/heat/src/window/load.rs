//! The largest load with which a chamber of finite power still does the job in time.

use serde::Serialize;

use crate::fault::{Fault, positive};
use crate::need::Need;
use crate::run::{Accuracy, Case, Chamber};

/// Halvings of the range between a load that does and one that does not.
const HALVINGS: usize = 24;

/// The largest load.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Largest {
    /// Pieces, not rounded; zero when even a single piece is too many.
    pub pieces: f64,
    /// Whether it is the most that was asked about, so that more might do too.
    pub all: bool,
}

/// The largest load, up to `most` pieces, for which the case meets every need by the end of its programme.
pub fn largest_load(
    case: &Case,
    needs: &[Need],
    most: f64,
    accuracy: &Accuracy,
) -> Result<Largest, Fault> {
    positive("number of pieces", most)?;
    let chamber = case
        .chamber
        .ok_or(Fault::Missing("chamber of stated power"))?;
    let does = |pieces: f64| -> Result<bool, Fault> {
        let chamber = Some(Chamber { pieces, ..chamber });
        let run = crate::follow(
            &Case {
                chamber,
                ..case.clone()
            },
            accuracy,
        )?;
        for need in needs {
            let value = need.measure.along(need.place.of(&run.history))?.end();
            if !need.allows(value) {
                return Ok(false);
            }
        }
        Ok(true)
    };
    if does(most)? {
        return Ok(Largest {
            pieces: most,
            all: true,
        });
    }
    let (mut low, mut high) = (0.0, most);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if does(middle)? {
            low = middle;
        } else {
            high = middle;
        }
        if high - low < 1e-4 * most {
            break;
        }
    }
    Ok(Largest {
        pieces: low,
        all: false,
    })
}
