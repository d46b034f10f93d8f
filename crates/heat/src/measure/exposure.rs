//! Time spent between temperatures, held against times that the works states.
//!
//! Rules of cumulative exposure say how long a food may be within a band (for instance, in the FDA's fish guide: no more than 2 h
//! above 21.1 degC within 10 to 57.2 degC). They are facts of the works with their source; nothing here sets or
//! bends one, and none is interpolated between two.

use serde::Serialize;

use super::above::{Stretch, longest};
use super::piece::{Side, sides};
use crate::fault::{Fault, positive};
use crate::trace::Trace;

/// What every exposure is to be read with.
pub const CAUTION: &str = "the limit is the one that the works states, at the point measured; a competent person \
                           decides";

/// A band of temperature and the time that the works allows in it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Band {
    /// Lower end, in the band, K.
    pub from_k: f64,
    /// Upper end, in the band, K; infinite for none.
    pub to_k: f64,
    /// Most time in it, all stretches together, s.
    pub at_most_s: f64,
}

/// Time spent in a band.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Exposure {
    /// All stretches together, s.
    pub within_s: f64,
    /// The longest of them.
    pub longest: Option<Stretch>,
    /// From when on it is more than the works allows, s.
    pub over_from_s: Option<f64>,
    /// What the answer is to be read with.
    pub caution: &'static str,
}

/// Time of a history in K within a band.
pub fn exposure(trace: &Trace, band: &Band) -> Result<Exposure, Fault> {
    positive("time allowed in a band", band.at_most_s)?;
    if band.to_k <= band.from_k || band.to_k.is_nan() || !band.from_k.is_finite() {
        return Err(Fault::NotRising {
            what: "a band",
            before: band.from_k,
            found: band.to_k,
        });
    }
    let low = sides(trace, band.from_k, true)?;
    // An infinite end is met nowhere, and all of the history lies below it.
    let high = sides(trace, band.to_k, false)?;
    let mut stretches: Vec<Stretch> = Vec::new();
    for above in low.iter().filter(|side| side.above) {
        for below in high.iter().filter(|side| !side.above) {
            stretches.extend(shared(above, below));
        }
    }
    let (mut within_s, mut over_from_s) = (0.0, None);
    for stretch in &stretches {
        let left = band.at_most_s - within_s;
        if over_from_s.is_none() && stretch.lasts_s() > left {
            over_from_s = Some(stretch.from_s + left);
        }
        within_s += stretch.lasts_s();
    }
    Ok(Exposure {
        within_s,
        longest: longest(stretches.into_iter()),
        over_from_s,
        caution: CAUTION,
    })
}

fn shared(a: &Side, b: &Side) -> Option<Stretch> {
    let (from_s, to_s) = (a.from_s.max(b.from_s), a.to_s.min(b.to_s));
    (from_s < to_s).then_some(Stretch { from_s, to_s })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ICE_POINT_K;

    const MINUTE: f64 = 60.0;

    fn history() -> Trace {
        // 0 -> 60 degC in 120 min, back to 0 in 120 min: 0.5 K/min. Invented.
        Trace::straight(&[
            (0.0, ICE_POINT_K),
            (120.0 * MINUTE, ICE_POINT_K + 60.0),
            (240.0 * MINUTE, ICE_POINT_K),
        ])
    }

    #[test]
    fn both_legs_through_a_band_are_counted() {
        // 21.1 to 57.2 degC is 36.1 K: 72.2 min each way. 120 min are used up 47.8 min into the second leg,
        // which begins at 240 - 114.4 = 125.6 min.
        let band = Band {
            from_k: ICE_POINT_K + 21.1,
            to_k: ICE_POINT_K + 57.2,
            at_most_s: 120.0 * MINUTE,
        };
        let found = exposure(&history(), &band).unwrap();
        assert!((found.within_s / MINUTE - 144.4).abs() < 1e-9);
        assert!((found.longest.unwrap().lasts_s() / MINUTE - 72.2).abs() < 1e-9);
        assert!((found.over_from_s.unwrap() / MINUTE - 173.4).abs() < 1e-9);
    }

    #[test]
    fn a_band_without_an_upper_end_is_all_above() {
        let band = Band {
            from_k: ICE_POINT_K + 10.0,
            to_k: f64::INFINITY,
            at_most_s: 1000.0 * MINUTE,
        };
        let found = exposure(&history(), &band).unwrap();
        assert!((found.within_s / MINUTE - 200.0).abs() < 1e-9);
        assert_eq!(found.over_from_s, None);
    }
}
