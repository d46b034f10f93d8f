//! What goes into the holes: amounts and odds, held against the route.

use drilling::fill::{self as engine, FillFault};
use serde::Serialize;
use works::{Diagnostic, Fill, FillKind, ItemId, OperationId, Stated, Works};

use super::DrillPlan;
use crate::computed::{Found, What};

/// What one part takes, and the odds that it is good.
#[derive(Clone, Debug, Serialize)]
pub struct FillWork {
    /// The operation.
    pub operation: OperationId,
    /// Its name.
    pub name: String,
    /// Holes that are filled.
    pub holes: usize,
    /// Base units of each item for one part.
    pub amounts: Vec<(ItemId, f64)>,
    /// What each size of hole takes, where fibre goes in.
    pub fibres: Vec<FibreHole>,
    /// Odds that no hole spoils the part.
    pub good: Option<f64>,
}

/// Fibre in holes of one size.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct FibreHole {
    /// Across the hole, m.
    pub diameter_m: f64,
    /// Depth of the hole, m.
    pub depth_m: f64,
    /// Fibres folded into one.
    pub fibres: u64,
    /// Length that they are cut to, m.
    pub cut_length_m: f64,
}

/// Works out what every filling takes; none where the holes are not known or the numbers make no sense.
pub fn work_out(works: &Works, plans: &[DrillPlan]) -> Vec<FillWork> {
    let all = each(works, plans);
    all.filter_map(|(_, work)| work.ok()).collect()
}

/// What is wrong with fillings.
pub(super) fn complaints(works: &Works, plans: &[DrillPlan]) -> Vec<Diagnostic> {
    let none = each(works, plans).filter_map(|(fill, work)| Some((fill.at, work.err()?)));
    none.map(|(at, why)| {
        Diagnostic::fault("fill-impossible", at, why.to_string())
            .label("these holes cannot be filled so")
    })
    .collect()
}

/// Every filling whose holes are known.
fn each<'a>(
    works: &'a Works,
    plans: &'a [DrillPlan],
) -> impl Iterator<Item = (&'a Fill, Result<FillWork, FillFault>)> {
    works
        .operations
        .iter()
        .enumerate()
        .filter_map(|(number, operation)| {
            let fill = operation.fill.as_deref()?;
            let drilled = plans.iter().find(|plan| plan.operation == fill.holes_of)?;
            Some((fill, of(works, OperationId(number), fill, drilled)))
        })
}

fn of(
    works: &Works,
    id: OperationId,
    fill: &Fill,
    drilled: &DrillPlan,
) -> Result<FillWork, FillFault> {
    let holes = drilled.holes.len();
    let miss = fill.miss.as_ref().map_or(0.0, Stated::mean);
    let pieces = engine::pins(holes as u64, miss)?;
    let odds = |spoils: &Stated| engine::good_block_odds(spoils.mean(), holes as u64);
    let mut work = FillWork {
        operation: id,
        name: crate::flow::label(works, id),
        holes,
        amounts: Vec::new(),
        fibres: Vec::new(),
        good: fill.spoils.as_ref().map(odds).transpose()?,
    };
    let anchor = match &fill.puts {
        FillKind::Pieces { item, each, anchor } => {
            let unit = works.item(*item).unit.factor();
            work.amounts.push((*item, pieces * *each as f64 * unit));
            anchor
        }
        FillKind::Fibre(fibre) => {
            let mut mass_kg = 0.0;
            for hole in &drilled.holes {
                let filled = engine::folded(&engine::Folded {
                    element: engine::Element {
                        diameter_m: fibre.across.mean(),
                        linear_density_kg_per_m: fibre.linear_density.mean(),
                    },
                    hole_m: hole.diameter_m,
                    depth_m: hole.depth_m,
                    free_height_m: fibre.free.mean(),
                    fold_m: fibre.fold.mean(),
                    packing: fibre.share.mean(),
                })?;
                mass_kg += filled.mass_kg;
                let size = FibreHole {
                    diameter_m: hole.diameter_m,
                    depth_m: hole.depth_m,
                    fibres: filled.elements,
                    cut_length_m: filled.cut_length_m,
                };
                if !work.fibres.contains(&size) {
                    work.fibres.push(size);
                }
            }
            let item = works.item(fibre.item);
            let kg_per_unit = item.kg_per_unit().unwrap_or(1.0);
            work.amounts
                .push((fibre.item, mass_kg * (1.0 + miss) / kg_per_unit));
            &fibre.anchor
        }
    };
    if let Some(anchor) = anchor {
        let anchors = engine::anchors(holes as u64, miss)?;
        work.amounts
            .push((*anchor, anchors * works.item(*anchor).unit.factor()));
    }
    Ok(work)
}

/// What the fillings say about amounts and yields.
pub(super) fn found(works: &Works, plans: &[DrillPlan]) -> Vec<Found> {
    let mut all = Vec::new();
    for work in work_out(works, plans) {
        let Some(fill) = &works.operation(work.operation).fill else {
            continue;
        };
        let found = |what, value, how: String| Found {
            operation: work.operation,
            what,
            value,
            each_sd: None,
            lots_sd: None,
            how,
            one_sided: false,
            numbers: fill.numbers,
            at: fill.at,
        };
        for &(item, amount) in &work.amounts {
            let how = format!("{} holes and what misses", work.holes);
            all.push(found(What::Takes(item), amount, how));
        }
        if let Some(good) = work.good {
            let how = format!("{} holes, each a chance to spoil it", work.holes);
            all.push(found(What::Good, good, how));
        }
    }
    all
}
