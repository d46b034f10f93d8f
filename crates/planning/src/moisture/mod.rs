//! Salt, drying and solvent: from what a route states to the mass engine and back.
//!
//! As with heat, the ends of what varies are looked at: the thickest piece and the thinnest, the slowest way that salt may go in and the
//! fastest, the most solvent and the least air. Limits are those the works states.

mod air;
mod answer;
mod complain;
mod dose;
mod drying;
mod salt;
mod share;
mod solvent;
mod window;

use works::{OperationId, Works};

use crate::computed::{Computed, Found, What};
use crate::heat::NoHeat;

pub use answer::{
    AirLine, DriedCurve, DriedLoad, DriedPiece, DriedWhen, DryingPlan, EvenLine, SaltBooks,
    SaltCurve, SaltLevels, SaltNeedLine, SaltPiece, SaltPlaces, SaltPlan, SaltWindow, SolventPlan,
};
pub(crate) use complain::{complaints, explain};
pub use drying::when_words;

/// What goes into pieces, out of them and into the air, operation by operation.
#[derive(Clone, Debug, Default)]
pub struct Moist {
    /// Salt.
    pub salting: Vec<SaltPlan>,
    /// Drying.
    pub drying: Vec<DryingPlan>,
    /// Solvent.
    pub solvents: Vec<SolventPlan>,
    /// What has no answer, and why.
    pub none: Vec<NoHeat>,
}

/// Works out every operation.
pub fn work_out(works: &Works) -> Moist {
    let mut all = Moist::default();
    for (number, operation) in works.operations.iter().enumerate() {
        let id = OperationId(number);
        if let Some(salt) = &operation.salt {
            let plan = salt::plan(works, id, operation, salt);
            keep(plan, &mut all.salting, &mut all.none);
        }
        if let Some(drying) = &operation.drying {
            let plan = drying::plan(works, id, operation, drying);
            keep(plan, &mut all.drying, &mut all.none);
        }
        if let Some(solvent) = &operation.solvent {
            let plan = solvent::plan(works, id, operation, solvent);
            keep(plan, &mut all.solvents, &mut all.none);
        }
    }
    all
}

fn keep<T>(plan: Result<T, NoHeat>, plans: &mut Vec<T>, none: &mut Vec<NoHeat>) {
    match plan {
        Ok(plan) => plans.push(plan),
        Err(no) => none.push(no),
    }
}

/// The times of drying found, to be held against the stated dwells. Too long is no better than too short: what is lost is sold.
pub fn computed(works: &Works, plans: &[DryingPlan]) -> Vec<Computed> {
    plans
        .iter()
        .filter_map(|plan| {
            let drying = works.operation(plan.operation).drying.as_ref()?;
            let when = plan.load.as_ref()?.when?;
            let how = format!(
                "weighed pieces: {} lost after {}",
                share::percent(plan.until),
                drying::when_words(&when)
            );
            Some(Computed::of(
                works,
                Found {
                    operation: plan.operation,
                    what: What::Dwell,
                    value: when.time_s,
                    each_sd: None,
                    lots_sd: None,
                    how,
                    one_sided: false,
                    numbers: drying.numbers,
                    at: drying.at,
                },
            ))
        })
        .collect()
}
