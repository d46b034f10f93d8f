//! What the shapes of parts and what goes through them say: cutting plans, drilling plans, fillings, recipes of heat, salt,
//! drying, solvent and moulding, and the works with the numbers that follow from them.

use std::borrow::Cow;

use effort::Effort;
use works::{Diagnostic, Works};

use crate::computed::{self, Computed, What};
use crate::cutting::{self, CutPlan, NoCut};
use crate::drilling::{self, DrillPlan, FillWork};
use crate::figure::Figures;
use crate::flow::{Flow, NoFlow, Wanted};
use crate::heat::{self, HeatPlan};
use crate::horizon::Horizon;
use crate::moisture::{self, DryingPlan, Moist};
use crate::moulding::{self, MouldPlan};
use crate::plan::Options;
use crate::reason::Ledger;

/// Needs that move by less than this share are not cut for a second time.
const SAME_NEED: f64 = 1e-3;

/// Most rounds of cutting: an operation that cuts for another that cuts for a third needs three, and few routes
/// cut more often.
const MOST_ROUNDS: usize = 6;

/// Everything found, and the works to plan with.
pub(crate) struct Shapes<'w> {
    pub(crate) works: Cow<'w, Works>,
    pub(crate) cutting: Vec<CutPlan>,
    pub(crate) drilling: Vec<DrillPlan>,
    pub(crate) heat: Vec<HeatPlan>,
    pub(crate) moist: Moist,
    pub(crate) mouldings: Vec<MouldPlan>,
    pub(crate) fillings: Vec<FillWork>,
    pub(crate) computed: Vec<Computed>,
    pub(crate) notices: Vec<Diagnostic>,
    /// Stock that is wanted beside what the orders take.
    pub(crate) wanted: Vec<Wanted>,
}

impl<'w> Shapes<'w> {
    /// Nothing is cut, drilled or filled.
    fn none(works: Cow<'w, Works>) -> Self {
        Self {
            works,
            cutting: Vec::new(),
            drilling: Vec::new(),
            heat: Vec::new(),
            moist: Moist::default(),
            mouldings: Vec::new(),
            fillings: Vec::new(),
            computed: Vec::new(),
            notices: Vec::new(),
            wanted: Vec::new(),
        }
    }

    /// Works everything out. Needs of the cutting lists come from the balance with the numbers as stated,
    /// and again with those computed as long as that changes them (an operation that cuts for another
    /// that cuts).
    pub(crate) fn work_out(
        works: Cow<'w, Works>,
        horizon: &Horizon,
        options: &Options,
    ) -> Result<Self, NoFlow> {
        if !works.operations.iter().any(asks_engines) {
            return Ok(Self::none(works));
        }
        let effort = Effort::steps(options.search_steps).or_until(&options.stop);
        let (drilling, no_drill) = drilling::work_out(&works, effort);
        let (heat, no_heat) = heat::work_out(&works, options.today, options.suppose.as_ref());
        let mut by_engines = drilling::computed(&works, &drilling);
        by_engines.extend(heat::computed(&works, &heat));
        let moist = moisture::work_out(&works);
        by_engines.extend(moisture::computed(&works, &moist.drying));
        let (mouldings, no_mould) = moulding::work_out(&works);
        by_engines.extend(moulding::computed(&works, &mouldings));
        let levels = levels(&works, horizon, &[])?;
        let mut cut = Cutting::of(&works, &by_engines, levels, effort);
        for _ in 1..MOST_ROUNDS {
            let beside = cutting::wanted_beside(&works, &cut.plans);
            let again = self::levels(&cut.works, horizon, &beside)?;
            if !cut.needs_differ(&works, &again) {
                break;
            }
            cut = Cutting::of(&works, &by_engines, again, effort);
        }
        let mut notices = drilling::complaints(&works, &drilling, &no_drill);
        notices.extend(cutting::complaints(&works, &cut.plans, &cut.none));
        notices.extend(heat::complaints(&works, &heat, &no_heat));
        notices.extend(moisture::complaints(&works, &moist));
        notices.extend(moulding::complaints(&mouldings, &no_mould));
        let untold = cut.computed.iter().filter(|one| {
            !heat_tells(&heat, one) && !drying_tells(&moist, one) && !mould_tells(&mouldings, one)
        });
        let untold: Vec<Computed> = untold.cloned().collect();
        notices.extend(computed::disagreements(&works, &untold));
        Ok(Self {
            wanted: cutting::wanted_beside(&works, &cut.plans),
            fillings: drilling::fillings(&works, &drilling),
            works: Cow::Owned(cut.works),
            cutting: cut.plans,
            drilling,
            heat,
            moist,
            mouldings,
            computed: cut.computed,
            notices,
        })
    }

    /// Enters what was found among the figures.
    pub(crate) fn explain(&self, ledger: &mut Ledger, figures: &mut Figures) {
        let works = &*self.works;
        cutting::explain(works, &self.cutting, ledger, figures);
        drilling::explain(&self.drilling, ledger, figures);
        heat::explain(works, &self.heat, ledger, figures);
        moisture::explain(works, &self.moist, ledger, figures);
        moulding::explain(works, &self.mouldings, ledger, figures);
    }
}

// A time too short for what it must do is told with the need that is missed, and not once more as a number.

fn heat_tells(heat: &[HeatPlan], one: &Computed) -> bool {
    let missed = |plan: &HeatPlan| plan.operation == one.operation && !plan.does_its_job();
    one.what == What::Dwell && heat.iter().any(missed)
}

/// A dwell by its drying.
fn drying_tells(moist: &Moist, one: &Computed) -> bool {
    let missed = |plan: &DryingPlan| plan.operation == one.operation && plan.is_too_short();
    one.what == What::Dwell && moist.drying.iter().any(missed)
}

/// A pace by its moulding.
fn mould_tells(mouldings: &[MouldPlan], one: &Computed) -> bool {
    let missed = |plan: &MouldPlan| plan.operation == one.operation && plan.is_too_short();
    one.what == What::Pace && mouldings.iter().any(missed)
}

/// Whether an operation asks an engine for something beside the balance.
fn asks_engines(operation: &works::Operation) -> bool {
    let shape = operation.cut.is_some() || operation.drill.is_some() || operation.fill.is_some();
    let moist =
        operation.salt.is_some() || operation.drying.is_some() || operation.solvent.is_some();
    shape || moist || operation.heat.is_some() || operation.mould.is_some()
}

/// One round of cutting plans, and the works that follows.
struct Cutting {
    levels: Vec<f64>,
    plans: Vec<CutPlan>,
    none: Vec<NoCut>,
    computed: Vec<Computed>,
    works: Works,
}

impl Cutting {
    fn of(works: &Works, by_engines: &[Computed], levels: Vec<f64>, effort: Effort<'_>) -> Self {
        let (plans, none) = cutting::work_out(works, &levels, effort);
        let mut computed = by_engines.to_vec();
        computed.extend(cutting::computed(works, &plans));
        Self {
            levels,
            plans,
            none,
            works: computed::effective(works, &computed),
            computed,
        }
    }

    /// Whether an operation that cuts has to make another number than its list was cut for.
    fn needs_differ(&self, works: &Works, levels: &[f64]) -> bool {
        works
            .operations
            .iter()
            .enumerate()
            .any(|(number, operation)| {
                let (before, now) = (self.levels[number], levels[number]);
                operation.cut.is_some() && (now - before).abs() > SAME_NEED * before.abs()
            })
    }
}

/// Base units that each operation attempts.
fn levels(works: &Works, horizon: &Horizon, beside: &[Wanted]) -> Result<Vec<f64>, NoFlow> {
    let mut wanted = horizon.wanted(works);
    wanted.extend_from_slice(beside);
    let flow = Flow::solve(works, &wanted, true)?;
    Ok(flow.solution.level[..works.operations.len()].to_vec())
}
