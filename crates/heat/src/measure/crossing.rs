//! When a load has passed a temperature: thawed through, frozen to its core, cooled in time.
//!
//! A load is as many histories as there are points of it (core and faces, or probes). All must cover the same
//! time; what is asked of the load is asked of the point that comes last.

use serde::Serialize;

use super::piece::{Side, sides};
use crate::fault::Fault;
use crate::trace::Trace;

/// When all points of a load are on the wanted side of a temperature.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Passed {
    /// First time that all are there together, s.
    pub first_s: Option<f64>,
    /// From when on they stay there to the end of the history, s.
    pub stays_from_s: Option<f64>,
    /// The point that was the last to arrive for good, or that never did.
    pub last_point: usize,
}

/// Thaw: when the coldest of the points is at or above a temperature, K.
pub fn thawed(points: &[Trace], temperature_k: f64) -> Result<Passed, Fault> {
    passed(points, temperature_k, true)
}

/// Freezing or cooling: when the warmest of the points is at or below a temperature, K. With one history, the
/// core's, this is the freezing time to a core temperature.
pub fn frozen(points: &[Trace], temperature_k: f64) -> Result<Passed, Fault> {
    passed(points, temperature_k, false)
}

fn passed(points: &[Trace], temperature_k: f64, above: bool) -> Result<Passed, Fault> {
    let mut all = Vec::with_capacity(points.len());
    for point in points {
        all.push(sides(point, temperature_k, above)?);
    }
    let Some(first) = all.first() else {
        return Err(Fault::Missing("history of a point"));
    };
    // Where a point stays: the beginning of its last side, if that is the wanted one.
    let stays = |own: &Vec<Side>| match own.last() {
        Some(side) if side.above == above => side.from_s,
        _ => f64::INFINITY,
    };
    let mut last_point = 0;
    for (at, own) in all.iter().enumerate() {
        if stays(own) > stays(&all[last_point]) {
            last_point = at;
        }
    }
    let latest = stays(&all[last_point]);
    let mut together = good(first, above);
    for own in &all[1..] {
        together = both(&together, &good(own, above));
    }
    Ok(Passed {
        first_s: together.first().map(|stretch| stretch.0),
        stays_from_s: latest.is_finite().then_some(latest),
        last_point,
    })
}

fn good(own: &[Side], above: bool) -> Vec<(f64, f64)> {
    own.iter()
        .filter(|side| side.above == above)
        .map(|side| (side.from_s, side.to_s))
        .collect()
}

/// The stretches that two lists of stretches share.
fn both(a: &[(f64, f64)], b: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let mut shared = Vec::new();
    let (mut i, mut j) = (0, 0);
    while let (Some(x), Some(y)) = (a.get(i), b.get(j)) {
        let (from, to) = (x.0.max(y.0), x.1.min(y.1));
        if from < to {
            shared.push((from, to));
        }
        if x.1 < y.1 {
            i += 1;
        } else {
            j += 1;
        }
    }
    shared
}

/// How long a history takes from one temperature to another, s: from the last time that it is on the near
/// side of `from_k` before it first reaches `to_k`. `None` if it does not get there; nought if it starts beyond.
/// Upward if `to_k` is the higher, downward otherwise (as for cooling limits like "54 to 27 degC").
pub fn passage_s(trace: &Trace, from_k: f64, to_k: f64) -> Result<Option<f64>, Fault> {
    let upward = to_k > from_k;
    let arrived = |side: &&Side| side.above == upward;
    let begins = |level: f64| sides(trace, level, upward);
    let Some(end) = begins(to_k)?.iter().find(arrived).map(|side| side.from_s) else {
        return Ok(None);
    };
    let left = begins(from_k)?
        .iter()
        .filter(arrived)
        .map(|side| side.from_s)
        .take_while(|time| *time <= end)
        .last();
    Ok(Some(left.map_or(0.0, |left| end - left)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_coldest_point_decides_the_thaw() {
        let face = Trace::straight(&[(0.0, -18.0), (10.0, 2.0), (100.0, 2.0)]);
        // The core passes 0 at 60 s, falls back to -1 at 70 s, is through for good at 75 s.
        let core = Trace::straight(&[
            (0.0, -18.0),
            (60.0, 0.0),
            (65.0, 1.0),
            (70.0, -1.0),
            (80.0, 1.0),
            (100.0, 1.0),
        ]);
        let found = thawed(&[face, core], 0.0).unwrap();
        assert!((found.first_s.unwrap() - 60.0).abs() < 1e-9);
        assert!((found.stays_from_s.unwrap() - 75.0).abs() < 1e-12);
        assert_eq!(found.last_point, 1);
    }

    #[test]
    fn a_load_that_is_never_frozen_says_so() {
        let core = Trace::straight(&[(0.0, 5.0), (100.0, -10.0)]);
        let found = frozen(std::slice::from_ref(&core), -18.0).unwrap();
        assert_eq!((found.first_s, found.stays_from_s), (None, None));
        let found = frozen(&[core], -7.0).unwrap();
        assert!((found.first_s.unwrap() - 80.0).abs() < 1e-12);
    }

    #[test]
    fn a_hold_at_the_very_limit_counts_as_frozen_and_as_thawed() {
        let core = Trace::straight(&[(0.0, 5.0), (50.0, -18.0), (100.0, -18.0)]);
        let found = frozen(std::slice::from_ref(&core), -18.0).unwrap();
        assert_eq!(found.stays_from_s, Some(50.0));
        let found = thawed(&[core], -18.0).unwrap();
        assert_eq!(found.stays_from_s, Some(0.0));
    }

    #[test]
    fn passage_counts_from_the_near_limit() {
        // 60 to 0 degC in 60 min, straight: 54 at 6 min, 27 at 33 min.
        let cooling = Trace::straight(&[(0.0, 60.0), (3600.0, 0.0)]);
        let found = passage_s(&cooling, 54.0, 27.0).unwrap().unwrap();
        assert!((found - 27.0 * 60.0).abs() < 1e-9);
        assert_eq!(passage_s(&cooling, 27.0, -4.0).unwrap(), None);
        assert_eq!(passage_s(&cooling, 80.0, 70.0).unwrap(), Some(0.0));
    }
}
