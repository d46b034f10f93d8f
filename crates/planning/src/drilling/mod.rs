//! Drilling plans: from the holes a route states to the drilling engine and back.
//!
//! The holes of every pattern are laid on their face and held against the rules; where the station says what
//! it can do and the tool's way in is stated, they are put in order and timed. Holes of different faces are
//! not held against each other: the works does not say how the faces lie in the part.

mod explain;
mod fill;
mod job;
mod pattern;

use drilling::motion::Breakdown;
use drilling::outline::Outline;
use drilling::pattern::Rules;
use effort::Effort;
use serde::Serialize;
use works::{Diagnostic, Drill, Numbers, Operation, OperationId, Span, Stated, Works};

use crate::computed::{Computed, Found, What};
use crate::flow::label;

pub(crate) use explain::explain;

pub use fill::{FibreHole, FillWork, work_out as fillings};
pub use job::{OVER_CLAMPS_M, Order, SPINDLE_WAIT_S, StrokeLine};

/// The drilling plan of one operation.
#[derive(Clone, Debug, Serialize)]
pub struct DrillPlan {
    /// The operation.
    pub operation: OperationId,
    /// Its name: `nest block, drill`.
    pub name: String,
    /// The face.
    pub outline: Outline,
    /// Thickness behind it, m.
    pub thick_m: f64,
    /// The tools, by number.
    pub tools: Vec<ToolLine>,
    /// The holes, in the order they were laid.
    pub holes: Vec<HoleLine>,
    /// Rules that holes break.
    pub broken: Vec<Broken>,
    /// Their order and time, where the station and the tools say enough.
    pub order: Option<Order>,
    /// Why there is no order, where there is none.
    pub no_order: Option<String>,
}

/// A tool.
#[derive(Clone, Debug, Serialize)]
pub struct ToolLine {
    /// Its name.
    pub name: String,
    /// Across, m.
    pub diameter_m: f64,
    /// How fast it goes in, m/s, where that is stated.
    pub advance_m_s: Option<f64>,
    /// Turns per second, where stated.
    pub turns_per_s: Option<f64>,
    /// Depth of one bite, m, where it is to be cleared.
    pub peck_m: Option<f64>,
    /// Time at the bottom, s.
    pub dwell_s: f64,
    /// Holes that it drills.
    pub holes: usize,
}

/// A hole. Lengths in m from the lower left corner of the outline, angles in radians.
#[derive(Clone, Debug, Serialize)]
pub struct HoleLine {
    /// Along x.
    pub x_m: f64,
    /// Along y.
    pub y_m: f64,
    /// Across.
    pub diameter_m: f64,
    /// Deep, along the hole.
    pub depth_m: f64,
    /// Whether it goes right through.
    pub through: bool,
    /// Lean from the upright.
    pub lean_rad: f64,
    /// Where it leans to.
    pub toward_rad: f64,
    /// Which tool.
    pub tool: usize,
    /// Which face, from 1.
    pub face: u64,
}

/// A rule that holes break.
#[derive(Clone, Debug, Serialize)]
pub struct Broken {
    /// The holes, by number from 0.
    pub holes: Vec<usize>,
    /// In words.
    pub words: String,
    #[serde(skip)]
    at: Span,
}

impl DrillPlan {
    /// Whether every hole keeps the rules.
    pub fn keeps_rules(&self) -> bool {
        self.broken.is_empty()
    }
}

/// What the holes must keep.
fn rules(drill: &Drill) -> Rules {
    let mean = |stated: &Option<Stated>| stated.as_ref().map_or(0.0, Stated::mean);
    Rules {
        edge_m: mean(&drill.edge),
        web_m: mean(&drill.web),
        floor_m: mean(&drill.floor),
        point_rad: drill
            .point
            .as_ref()
            .map_or(std::f64::consts::PI, Stated::mean),
    }
}

/// Why an operation has no drilling plan.
#[derive(Clone, Debug, PartialEq)]
pub struct NoDrill {
    /// Where it is asked for.
    pub at: Span,
    /// In words.
    pub why: String,
}

/// Works out every drilling plan.
pub fn work_out(works: &Works, effort: Effort<'_>) -> (Vec<DrillPlan>, Vec<NoDrill>) {
    let mut plans = Vec::new();
    let mut none = Vec::new();
    for (number, operation) in works.operations.iter().enumerate() {
        let Some(drill) = &operation.drill else {
            continue;
        };
        match plan(works, OperationId(number), operation, drill, effort) {
            Ok(plan) => plans.push(plan),
            Err(no) => none.push(no),
        }
    }
    (plans, none)
}

fn plan(
    works: &Works,
    id: OperationId,
    operation: &Operation,
    drill: &Drill,
    effort: Effort<'_>,
) -> Result<DrillPlan, NoDrill> {
    let laid = pattern::lay(drill)?;
    let mut plan = DrillPlan {
        operation: id,
        name: label(works, id),
        outline: laid.outline,
        thick_m: drill.thick.mean(),
        tools: laid.tools,
        holes: laid.holes,
        broken: laid.broken,
        order: None,
        no_order: None,
    };
    let machine = operation
        .station
        .and_then(|station| works.station(station).drilling.as_deref());
    match job::order(&plan, drill, machine, effort) {
        Ok(order) => plan.order = Some(order),
        Err(why) => plan.no_order = Some(why),
    }
    Ok(plan)
}

/// What the plans and the filling of holes say about the numbers of their routes.
pub(crate) fn computed(works: &Works, plans: &[DrillPlan]) -> Vec<Computed> {
    let paces = plans.iter().filter_map(|plan| pace(works, plan));
    let fills = fill::found(works, plans).into_iter();
    paces
        .chain(fills)
        .map(|found| Computed::of(works, found))
        .collect()
}

/// The time for one part as a pace.
fn pace(works: &Works, plan: &DrillPlan) -> Option<Found> {
    let drill = works.operation(plan.operation).drill.as_ref()?;
    let order = plan.order.as_ref()?;
    Some(Found {
        operation: plan.operation,
        what: What::Pace,
        value: order.time.total_s(),
        each_sd: None,
        lots_sd: None,
        how: format!(
            "drilling motion: {} holes in {} strokes",
            plan.holes.len(),
            order.strokes.len()
        ),
        one_sided: false,
        numbers: drill.numbers,
        at: drill.at,
    })
}

/// What is wrong with holes and what goes into them.
pub(crate) fn complaints(works: &Works, plans: &[DrillPlan], none: &[NoDrill]) -> Vec<Diagnostic> {
    let mut all: Vec<Diagnostic> = none
        .iter()
        .map(|no| {
            Diagnostic::fault("holes-impossible", no.at, no.why.clone())
                .label("these holes cannot be laid")
        })
        .collect();
    for plan in plans {
        all.extend(plan.broken.iter().take(MOST_BROKEN).map(|broken| {
            Diagnostic::fault(
                "hole-breaks-rule",
                broken.at,
                format!("{}: {}", plan.name, broken.words),
            )
            .help("move the holes, change `edge`, `web` or `floor`, or drill less deep")
        }));
        if let Some(left) = plan.broken.len().checked_sub(MOST_BROKEN + 1) {
            let more = &plan.broken[MOST_BROKEN];
            all.push(Diagnostic::fault(
                "hole-breaks-rule",
                more.at,
                format!("{}: {} more breaches of the rules", plan.name, left + 1),
            ));
        }
    }
    all.extend(plans.iter().filter_map(|plan| not_timed(works, plan)));
    all.extend(fill::complaints(works, plans));
    all
}

/// Holes whose time was to replace the stated pace, and that could not be timed.
fn not_timed(works: &Works, plan: &DrillPlan) -> Option<Diagnostic> {
    let why = plan.no_order.as_ref()?;
    let operation = works.operation(plan.operation);
    let drill = operation.drill.as_ref()?;
    if drill.numbers == Numbers::Stated || plan.holes.is_empty() {
        return None;
    }
    let headline = format!("{} is not timed: {why}", plan.name);
    Some(
        Diagnostic::warning("drill-not-timed", drill.at, headline)
            .help("the stated pace is used; numbers = \"stated\" says that this is meant"),
    )
}

/// Breaches that are told one by one; a pattern that is wrong breaks the same rule at every hole.
const MOST_BROKEN: usize = 5;

/// All of a job's times for one part, longest first, with what each is called.
pub fn times(time: &Breakdown) -> Vec<(&'static str, f64)> {
    let mut all = vec![
        ("travel", time.travel_s),
        ("down", time.plunge_s),
        ("drilling", time.feed_s),
        ("up", time.retract_s),
        ("dwell", time.dwell_s),
        ("tools and spindle", time.tool_change_s),
        ("turning the part", time.turn_s),
        ("loading", time.load_s),
    ];
    all.retain(|(_, seconds)| *seconds > 0.0);
    all.sort_by(|a, b| b.1.total_cmp(&a.1));
    all
}
