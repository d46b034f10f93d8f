//! Whether a load passes: every need held against every probe.

use serde::Serialize;

use super::Probe;
use crate::fault::Fault;
use crate::need::Need;

/// What one probe says of one need.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Judged {
    /// The probe, by number.
    pub probe: usize,
    /// The need, by number.
    pub need: usize,
    /// The measure, in its own unit.
    pub value: f64,
    /// Whether it lies within the limits.
    pub met: bool,
}

/// What becomes of the load.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Verdict {
    /// Every probe and need, need by need.
    pub judged: Vec<Judged>,
    /// Whether every probe meets every need. Without probes nothing is shown, and nothing passes.
    pub passes: bool,
}

/// Holds needs against probes. A need's place is not looked at: the probes given are those that sit there.
pub fn judge(probes: &[Probe], needs: &[Need]) -> Result<Verdict, Fault> {
    let mut judged = Vec::with_capacity(probes.len() * needs.len());
    for (number, need) in needs.iter().enumerate() {
        for (probe, recorded) in probes.iter().enumerate() {
            let value = need.measure.along(&recorded.trace)?.end();
            judged.push(Judged {
                probe,
                need: number,
                value,
                met: need.allows(value),
            });
        }
    }
    Ok(Verdict {
        passes: !judged.is_empty() && judged.iter().all(|one| one.met),
        judged,
    })
}
