//! Heat: from the recipes a route states to the heat engine and back.
//!
//! Of every body the slowest and the fastest piece are followed: the thickest in the coolest corner of an oven with the
//! weakest air, and the thinnest in the hottest with the strongest. What the recipe must do is held against both, and the
//! dwells that do for both are looked for.

mod answer;
mod changes;
mod complain;
pub(crate) mod extremes;
mod judge;
mod load;
mod logs;
mod needs;
mod pieces;
mod ranges;
mod start;
pub(crate) mod substance;
mod suppose;
mod surroundings;
pub mod words;

use heat::body::Form;
use heat::run::{Accuracy, Case};
use jiff::civil::{Date, DateTime};
use works::{Faces, Mention, Operation, OperationId, Pace, Span, Works};

use crate::computed::{Computed, Found, What};
use crate::flow::label;

pub use answer::{
    ChangeLine, Counted, FittedLine, HeatPlan, LoadLine, LoadTrace, LogLine, MapLine, NeedLine,
    PieceLine, ProbeLine, ProfileLine, Spare, SpeedLine, StageLine, StartLine, WindowLine,
};
pub(crate) use complain::{cannot, complaints, explain};
pub(crate) use judge::hazards;
use needs::Asked;
use substance::Substances;
pub use suppose::{Suppose, recipes};
use surroundings::{Dwell, Side};

/// Why an operation has no heat plan.
#[derive(Clone, Debug, PartialEq)]
pub struct NoHeat {
    /// Where.
    pub at: Span,
    /// The code of the complaint.
    pub code: &'static str,
    /// In words.
    pub why: String,
    /// What to do about it.
    pub help: Option<String>,
}

impl NoHeat {
    /// The engine found a fault in the question.
    pub(crate) fn engine(at: Span, fault: &heat::Fault) -> Self {
        Self {
            at,
            code: "heat-cannot",
            why: fault.to_string(),
            help: None,
        }
    }

    /// Something is missing or contradicts itself.
    pub(crate) fn unclear(at: Span, why: &str) -> Self {
        Self {
            at,
            code: "heat-unclear",
            why: why.to_owned(),
            help: None,
        }
    }

    /// A material that neither the works nor the library knows.
    fn unknown(works: &Works, name: &Mention) -> Self {
        let declared = works
            .materials
            .iter()
            .map(|material| material.name.as_str());
        let known = declared.chain(heat::library::names());
        let near = works::suggest::nearest(&name.name, known);
        Self {
            at: name.at,
            code: "unknown-material",
            why: format!(
                "no material is named `{}`, in the works or in the library",
                name.name
            ),
            help: Some(near.map_or_else(
                || {
                    format!(
                        "declare [material.\"{}\"] with its numbers and their source",
                        name.name
                    )
                },
                |near| format!("did you mean `{near}`?"),
            )),
        }
    }
}

/// One piece through one programme.
#[derive(Clone, Debug)]
struct Bound {
    /// `slowest`, `fastest`, with the body's name where there are several.
    name: String,
    slow: bool,
    words: String,
    case: Case,
}

/// A recipe ready for the engine.
#[derive(Debug)]
struct Recipe<'w> {
    works: &'w Works,
    id: OperationId,
    operation: &'w Operation,
    heat: &'w works::Heat,
    lasts_s: Vec<f64>,
    dwell: Dwell,
    warms: bool,
    bound: Vec<Bound>,
    asked: Vec<Asked>,
    accuracy: Accuracy,
    /// For windows, maps and changes, which follow a piece many times over.
    quick: Accuracy,
}

/// Cells through a block: they go by the third power, and these keep freezing times to a thousandth
/// (docs/methods/heat-blocks.md).
const BLOCK_CELLS: usize = 16;
const QUICK_BLOCK_CELLS: usize = 8;

/// The usual accuracy, with fewer cells where a piece is a block.
fn accuracy(bound: &[Bound], block_cells: usize) -> Accuracy {
    let block = |bound: &Bound| {
        matches!(
            bound.case.body.form(),
            Form::Brick { .. } | Form::Can { .. }
        )
    };
    let usual = Accuracy::default();
    if bound.iter().any(block) {
        Accuracy {
            cells: block_cells,
            ..usual
        }
    } else {
        usual
    }
}

/// Air and piece count as so far apart at least where margins are weighed against their difference, K.
const LEAST_WAY_K: f64 = 1.0;

/// Works out every recipe, or the one that something is supposed of.
pub fn work_out(
    works: &Works,
    today: Date,
    suppose: Option<&Suppose>,
) -> (Vec<HeatPlan>, Vec<NoHeat>) {
    let mut plans = Vec::new();
    let mut none = Vec::new();
    let heats = |(id, _): &(OperationId, String)| works.operation(*id).heat.is_some();
    for (id, name) in recipes(works).into_iter().filter(heats) {
        let suppose =
            suppose.filter(|suppose| suppose.changes_anything() && suppose.is_about(&name));
        let plan = match suppose {
            None => plan_of(works, id, today, None),
            Some(suppose) => {
                let (works, words) = suppose::supposed(works, id, suppose);
                plan_of(&works, id, today, suppose.by).map(|plan| HeatPlan {
                    supposed: words,
                    ..plan
                })
            }
        };
        match plan {
            Ok(plan) => plans.push(plan),
            Err(no) => none.push(no),
        }
    }
    (plans, none)
}

fn plan_of(
    works: &Works,
    id: OperationId,
    today: Date,
    by: Option<DateTime>,
) -> Result<HeatPlan, NoHeat> {
    let operation = works.operation(id);
    let Some(heat) = &operation.heat else {
        return Err(NoHeat::unclear(operation.at, "it does nothing by heat"));
    };
    let substances = Substances::new(works);
    let recipe = Recipe::of(works, &substances, id, operation, heat)?;
    judge::plan(&recipe, today, by)
}

impl<'w> Recipe<'w> {
    fn of(
        works: &'w Works,
        substances: &Substances<'_>,
        id: OperationId,
        operation: &'w Operation,
        heat: &'w works::Heat,
    ) -> Result<Self, NoHeat> {
        let (lasts_s, dwell) = surroundings::lasts(works, operation, heat)?;
        let warms = surroundings::warms(operation, heat, &lasts_s);
        let sides = surroundings::sides(warms, surroundings::turns(operation, heat));
        let mut bound = Vec::new();
        for body in &heat.bodies {
            let mut ends: Vec<(Side, Bound)> = Vec::with_capacity(sides.len());
            for &side in &sides {
                let bound = bind(works, substances, operation, heat, body, &lasts_s, side)?;
                if ends.iter().all(|(_, known)| known.case != bound.case) {
                    ends.push((side, bound));
                }
            }
            name(&mut ends, body, heat.bodies.len() > 1);
            bound.extend(ends.into_iter().map(|(_, bound)| bound));
        }
        // Heat that passes one face only has its far place at the other.
        let one = heat.stages.iter().any(|stage| stage.faces == Faces::One);
        let faces = if one { Faces::One } else { Faces::Both };
        let asked = heat.needs.iter().map(|need| needs::asked(need, faces));
        Ok(Self {
            works,
            id,
            operation,
            heat,
            lasts_s,
            dwell,
            warms,
            asked: asked.collect(),
            accuracy: accuracy(&bound, BLOCK_CELLS),
            quick: accuracy(&bound, QUICK_BLOCK_CELLS),
            bound,
        })
    }

    fn name(&self) -> String {
        label(self.works, self.id)
    }

    fn engine_needs(&self) -> Vec<heat::need::Need> {
        self.asked.iter().map(|asked| asked.need).collect()
    }

    fn cases(&self) -> Vec<Case> {
        self.bound.iter().map(|bound| bound.case.clone()).collect()
    }

    /// The stage that lasts longest, by number.
    fn longest_stage(&self) -> usize {
        let lasts = self.lasts_s.iter().enumerate();
        lasts
            .max_by(|a, b| a.1.total_cmp(b.1))
            .map_or(0, |(number, _)| number)
    }

    /// What a margin of a need is counted against: its limit, or for temperatures how far the air is from the piece.
    fn scale_of(&self, need: usize) -> f64 {
        let asked = &self.asked[need];
        let limit = asked.need.at_least.or(asked.need.at_most).unwrap_or(1.0);
        let stage = &self.heat.stages[self.longest_stage()];
        let air = stage.to.as_ref().unwrap_or(&stage.air).aim(self.operation);
        match asked.counted {
            Counted::Temperature => (air.mean() - self.heat.from.mean()).abs().max(LEAST_WAY_K),
            Counted::Time | Counted::Tens => limit.abs().max(f64::MIN_POSITIVE),
        }
    }

    /// From the engine's dwell to all time inside, s.
    fn total_s(&self, varied_s: f64) -> f64 {
        varied_s + self.dwell.fixed_s
    }
}

/// Names the pieces of one body by what they differ in.
fn name(ends: &mut [(Side, Bound)], body: &works::Body, several: bool) {
    let differs = |of: fn(Side) -> bool| ends.iter().any(|end| of(end.0) != of(ends[0].0));
    let pace = differs(|side| side.slow);
    // Of two pieces the slowest is always at one end and the fastest at the other: that need not be said.
    let heat = differs(|side| side.hot) && (ends.len() > 2 || !pace);
    for (side, bound) in ends {
        let slow = if side.slow { "slowest" } else { "fastest" };
        let hot = if side.hot { "hottest" } else { "coldest" };
        let which = match (pace, heat) {
            (true, true) => format!("{slow}, {hot}"),
            (false, true) => hot.to_owned(),
            (true, false) => slow.to_owned(),
            (false, false) => String::new(),
        };
        bound.name = match &body.name {
            Some(name) if which.is_empty() => name.clone(),
            None if which.is_empty() => "every piece".to_owned(),
            Some(name) if several => format!("{name}, {which}"),
            _ => which,
        };
    }
}

/// One piece with its programme and its chamber; its name is still to come.
fn bind(
    works: &Works,
    substances: &Substances<'_>,
    operation: &Operation,
    heat: &works::Heat,
    body: &works::Body,
    lasts_s: &[f64],
    side: Side,
) -> Result<Bound, NoHeat> {
    let piece = pieces::piece(substances, body, side.slow)?;
    let from_k = surroundings::from_k(heat, side);
    let programme =
        surroundings::programme(operation, heat, lasts_s, &piece.body, piece.cover, side)?;
    let chamber = load::chamber(works, operation, heat, body, &piece.body, &programme);
    let words = format!(
        "{} from {}; {}",
        piece.words,
        words::temperature(from_k),
        surroundings::in_words(&programme)
    );
    Ok(Bound {
        name: String::new(),
        slow: side.slow,
        words,
        case: Case {
            body: piece.body,
            from_k,
            programme,
            chamber,
        },
    })
}

/// The dwells found, to be held against those stated.
pub fn computed(works: &Works, plans: &[HeatPlan]) -> Vec<Computed> {
    plans
        .iter()
        .filter_map(|plan| one_computed(works, plan))
        .collect()
}

fn one_computed(works: &Works, plan: &HeatPlan) -> Option<Computed> {
    let operation = works.operation(plan.operation);
    let heat = operation.heat.as_ref()?;
    // Only a dwell that something asks for can stand in for the stated one.
    plan.window.shortest_by?;
    let (shortest_s, _) = plan.window.shortest_s?;
    // A belt that runs slower by a share hands on its units slower by the same share, however far apart they lie on it.
    let (what, value) = match (&plan.speed, &operation.pace) {
        (Some(_), Pace::Flow { rate, .. }) => (What::Pace, shortest_s / plan.dwell_s / rate.mean()),
        _ => (What::Dwell, shortest_s),
    };
    let how = format!(
        "heat: {}",
        plan.needs
            .iter()
            .map(|need| need.words.as_str())
            .collect::<Vec<_>>()
            .join("; ")
    );
    Some(Computed::of(
        works,
        Found {
            operation: plan.operation,
            what,
            value,
            each_sd: None,
            lots_sd: None,
            how,
            one_sided: true,
            numbers: heat.numbers,
            at: heat.at,
        },
    ))
}
