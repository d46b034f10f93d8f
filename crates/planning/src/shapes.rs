//! What the shapes of parts and the heat through them say: cutting plans, drilling plans, fillings and recipes, and
//! the works with the numbers that follow from them.

use std::borrow::Cow;

use effort::Effort;
use works::{Diagnostic, Works};

use crate::computed::{self, Computed, What};
use crate::cutting::{self, CutPlan, NoCut};
use crate::drilling::{self, DrillPlan, FillWork};
use crate::flow::{Flow, NoFlow, Wanted};
use crate::heat::{self, HeatPlan};
use crate::horizon::Horizon;
use crate::plan::Options;

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
        let shaped = |op: &works::Operation| {
            op.cut.is_some() || op.drill.is_some() || op.fill.is_some() || op.heat.is_some()
        };
        if !works.operations.iter().any(shaped) {
            return Ok(Self::none(works));
        }
        let effort = Effort::steps(options.search_steps).or_until(&options.stop);
        let (drilling, no_drill) = drilling::work_out(&works, effort);
        let (heat, no_heat) = heat::work_out(&works, options.today, options.suppose.as_ref());
        let mut by_engines = drilling::computed(&works, &drilling);
        by_engines.extend(heat::computed(&works, &heat));
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
        notices.extend(heat::complaints(&heat, &no_heat));
        // A dwell too short for its recipe is told with the need that is missed.
        let told = |one: &Computed| {
            let missed = |plan: &HeatPlan| plan.operation == one.operation && !plan.does_its_job();
            one.what == What::Dwell && heat.iter().any(missed)
        };
        let untold: Vec<Computed> = cut
            .computed
            .iter()
            .filter(|one| !told(one))
            .cloned()
            .collect();
        notices.extend(computed::disagreements(&works, &untold));
        Ok(Self {
            wanted: cutting::wanted_beside(&works, &cut.plans),
            fillings: drilling::fillings(&works, &drilling),
            works: Cow::Owned(cut.works),
            cutting: cut.plans,
            drilling,
            heat,
            computed: cut.computed,
            notices,
        })
    }
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
