//! Windows at several temperatures of the surroundings: the map of dwell against temperature.

use serde::Serialize;

use super::{Outlook, Vary, outlook};
use crate::fault::Fault;
use crate::need::Need;
use crate::programme::Programme;
use crate::run::{Accuracy, Case};

/// The window with the air so much warmer or colder.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MapRow {
    /// Added to every temperature of the surroundings, K.
    pub shift_k: f64,
    /// The window and all that bounds it.
    pub outlook: Outlook,
}

/// One row for each shift, in the order given. `threads` rows are worked out at once; the answer does not depend
/// on how many.
pub fn map(
    cases: &[Case],
    needs: &[Need],
    vary: Vary,
    shifts_k: &[f64],
    accuracy: &Accuracy,
    threads: usize,
) -> Result<Vec<MapRow>, Fault> {
    let row = |&shift_k: &f64| -> Result<MapRow, Fault> {
        let shifted: Result<Vec<Case>, Fault> =
            cases.iter().map(|case| shifted(case, shift_k)).collect();
        Ok(MapRow {
            shift_k,
            outlook: outlook(&shifted?, needs, vary, accuracy)?,
        })
    };
    let parts = shifts_k.len().div_ceil(threads.max(1)).max(1);
    let rows: Vec<Result<Vec<MapRow>, Fault>> = std::thread::scope(|scope| {
        let workers: Vec<_> = shifts_k
            .chunks(parts)
            .map(|part| scope.spawn(move || part.iter().map(row).collect()))
            .collect();
        workers
            .into_iter()
            .map(|worker| {
                worker
                    .join()
                    .unwrap_or_else(|panic| std::panic::resume_unwind(panic))
            })
            .collect()
    });
    let mut all = Vec::with_capacity(shifts_k.len());
    for part in rows {
        all.extend(part?);
    }
    Ok(all)
}

/// The case with its surroundings so much warmer.
fn shifted(case: &Case, shift_k: f64) -> Result<Case, Fault> {
    let stages = case.programme.stages().iter();
    let programme = Programme::new(stages.map(|stage| stage.warmer(shift_k)).collect())?;
    Ok(Case {
        programme,
        ..case.clone()
    })
}
