//! The plan as JSON, in stable order. Amounts are in base units; nodes are numbers of rows of the
//! ledger (`ledger.nodes`), whose sources name files by their place in `files`.

use planning::computed::Computed;
use planning::cost::CostAnswer;
use planning::cutting::CutPlan;
use planning::drilling::{DrillPlan, FillWork};
use planning::heat::HeatPlan;
use planning::horizon::Horizon;
use planning::load::LoadAnswer;
use planning::material::Material;
use planning::moisture::{DryingPlan, SaltPlan, SolventPlan};
use planning::moulding::MouldPlan;
use planning::reason::Source;
use planning::{Figures, Ledger, Plan};
use serde::Serialize;
use works::{Diagnostic, FileId, Sources, Works};

use crate::PlanPart;

/// The version of the format; a change that breaks readers raises it.
pub const FORMAT: &str = "linewright plan 1";

#[derive(Serialize)]
struct Whole<'a> {
    format: &'static str,
    files: Vec<&'a str>,
    #[serde(flatten)]
    plan: &'a Plan,
}

#[derive(Serialize)]
struct Part<'a> {
    format: &'static str,
    files: Vec<&'a str>,
    name: &'a str,
    currency: &'a str,
    horizon: &'a Horizon,
    certainty: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    material: Option<&'a Material>,
    #[serde(skip_serializing_if = "Option::is_none")]
    load: Option<&'a LoadAnswer>,
    #[serde(skip_serializing_if = "Option::is_none")]
    cost: Option<&'a CostAnswer>,
    #[serde(skip_serializing_if = "Option::is_none")]
    cutting: Option<&'a [CutPlan]>,
    #[serde(skip_serializing_if = "Option::is_none")]
    drilling: Option<&'a [DrillPlan]>,
    #[serde(skip_serializing_if = "Option::is_none")]
    fillings: Option<&'a [FillWork]>,
    #[serde(skip_serializing_if = "Option::is_none")]
    heat: Option<&'a [HeatPlan]>,
    #[serde(skip_serializing_if = "Option::is_none")]
    salting: Option<&'a [SaltPlan]>,
    #[serde(skip_serializing_if = "Option::is_none")]
    drying: Option<&'a [DryingPlan]>,
    #[serde(skip_serializing_if = "Option::is_none")]
    solvents: Option<&'a [SolventPlan]>,
    #[serde(skip_serializing_if = "Option::is_none")]
    mouldings: Option<&'a [MouldPlan]>,
    #[serde(skip_serializing_if = "Option::is_none")]
    computed: Option<&'a [Computed]>,
    figures: &'a Figures,
    ledger: &'a Ledger,
    notices: &'a [Diagnostic],
}

/// The whole plan.
pub(crate) fn whole(_works: &Works, plan: &Plan, sources: &Sources) -> String {
    text(&Whole {
        format: FORMAT,
        files: files(plan, sources),
        plan,
    })
}

/// One part of it.
pub(crate) fn part(_works: &Works, plan: &Plan, sources: &Sources, part: PlanPart) -> String {
    text(&Part {
        format: FORMAT,
        files: files(plan, sources),
        name: &plan.name,
        currency: &plan.currency,
        horizon: &plan.horizon,
        certainty: plan.certainty,
        material: (part == PlanPart::Stock).then_some(&plan.material),
        load: (part == PlanPart::Load).then_some(&plan.load),
        cost: (part == PlanPart::Cost).then_some(&plan.cost),
        cutting: (part == PlanPart::Cut).then_some(&plan.cutting),
        drilling: (part == PlanPart::Drill).then_some(&plan.drilling),
        fillings: (part == PlanPart::Drill).then_some(&plan.fillings),
        heat: (part == PlanPart::Heat).then_some(&plan.heat),
        salting: (part == PlanPart::Heat).then_some(&plan.salting),
        drying: (part == PlanPart::Heat).then_some(&plan.drying),
        solvents: (part == PlanPart::Heat).then_some(&plan.solvents),
        mouldings: (part == PlanPart::Heat).then_some(&plan.mouldings),
        computed: matches!(part, PlanPart::Cut | PlanPart::Drill | PlanPart::Heat)
            .then_some(&plan.computed),
        figures: &plan.figures,
        ledger: &plan.ledger,
        notices: &plan.notices,
    })
}

/// Paths of files, as far as a figure or notice refers to them.
fn files<'a>(plan: &Plan, sources: &'a Sources) -> Vec<&'a str> {
    let stated = plan
        .ledger
        .ids()
        .filter_map(|id| match plan.ledger.node(id).source {
            Source::Stated { at, .. } => Some(at.file.0),
            _ => None,
        });
    let notices = plan.notices.iter().map(|notice| notice.at.file.0);
    let count = stated.chain(notices).max().map_or(0, |last| last + 1);
    (0..count)
        .map(|file| sources.get(FileId(file)).path.as_str())
        .collect()
}

fn text(answer: &impl Serialize) -> String {
    let mut text = serde_json::to_string(answer).expect("a plan has text keys only");
    text.push('\n');
    text
}
