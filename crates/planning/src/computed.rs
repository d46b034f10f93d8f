//! What an engine works out for a number that the route states: held against it, and planned with
//! where the route says so.
//!
//! A cutting plan gives what one piece of stock makes or takes, drilling motion gives a pace, fill
//! arithmetic gives amounts and a yield. [`effective`] is the works with those numbers in place.

use quantity::{Spread, Unit, show};
use serde::Serialize;
use works::{
    Diagnostic, ItemId, Numbers, Operation, OperationId, Pace, Span, Stated, Works, Yield,
};

use crate::flow::label;

/// A stated number this far off the computed one is worth a word: 5 %.
const WORTH_A_WORD: f64 = 0.05;

/// Which number of an operation was worked out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum What {
    /// Base units of output that one recipe makes (one board, one sheet).
    Makes,
    /// Base units of an input for one base unit of output.
    Takes(ItemId),
    /// Seconds for one base unit of output.
    Pace,
    /// Seconds inside: the dwell of a load, or the time to pass.
    Dwell,
    /// Chance that a unit passes.
    Good,
}

/// One number, stated and computed.
#[derive(Clone, Debug, Serialize)]
pub struct Computed {
    /// The operation.
    pub operation: OperationId,
    /// Which of its numbers.
    pub what: What,
    /// In words: `nest block, drill: time for one`.
    pub name: String,
    /// As stated, base units.
    pub stated: Option<f64>,
    /// As computed, base units.
    pub computed: f64,
    /// Standard deviation from one recipe to the next inside a lot, where it varies.
    pub each_sd: Option<f64>,
    /// Standard deviation of the lots' own means, where they differ.
    pub lots_sd: Option<f64>,
    /// Stated over computed, less one.
    pub margin: Option<f64>,
    /// Whether the plan is made with the computed number.
    pub used: bool,
    /// How it was found: `cutting plan: 14 bars for 200 parts`.
    pub how: String,
    /// All of it in one plain sentence.
    pub sentence: String,
    /// The unit it is shown in.
    pub unit: String,
    /// Base units in one of it.
    pub factor: f64,
    /// Where the engine is asked for in the works.
    pub at: Span,
    #[serde(skip)]
    shown: Unit,
    /// More than computed is no disagreement: a dwell may be longer than the shortest that does.
    #[serde(skip)]
    one_sided: bool,
}

/// What an engine found for a number, to be held against the stated one.
pub(crate) struct Found {
    pub(crate) operation: OperationId,
    pub(crate) what: What,
    pub(crate) value: f64,
    pub(crate) each_sd: Option<f64>,
    pub(crate) lots_sd: Option<f64>,
    pub(crate) how: String,
    pub(crate) one_sided: bool,
    pub(crate) numbers: Numbers,
    pub(crate) at: Span,
}

impl Computed {
    /// Holds what was found against what is stated.
    pub(crate) fn of(works: &Works, found: Found) -> Self {
        let operation = works.operation(found.operation);
        let (words, stated, shown) = stated_side(works, operation, found.what);
        let margin = stated
            .filter(|_| found.value != 0.0)
            .map(|stated| stated / found.value - 1.0);
        let mut computed = Self {
            operation: found.operation,
            what: found.what,
            name: format!("{}: {words}", label(works, found.operation)),
            stated,
            computed: found.value,
            each_sd: found.each_sd,
            lots_sd: found.lots_sd,
            margin,
            used: found.numbers == Numbers::Computed && !by_loads(operation, found.what),
            how: found.how,
            sentence: String::new(),
            unit: shown.symbol().to_owned(),
            factor: shown.factor(),
            at: found.at,
            shown,
            one_sided: found.one_sided,
        };
        computed.sentence = computed.in_words();
        computed
    }

    /// Whether stated and computed are far enough apart to say so.
    pub fn disagrees(&self) -> bool {
        self.margin.is_some_and(|margin| {
            let apart = if self.one_sided {
                -margin
            } else {
                margin.abs()
            };
            apart > WORTH_A_WORD
        })
    }

    fn in_words(&self) -> String {
        let found = show(self.computed, &self.shown);
        let planned = if self.used { "computed" } else { "stated" };
        let Some((stated, margin)) = self.stated.zip(self.margin) else {
            return format!("{found} computed ({}); nothing was stated.", self.how);
        };
        let stated = show(stated, &self.shown);
        let percent = quantity::show_share(margin.abs());
        let side = if margin > 0.0 { "above" } else { "below" };
        if margin.abs() < 5e-4 {
            return format!("{stated} stated, and the same computed ({}).", self.how);
        }
        format!(
            "{stated} stated is {percent} {side} the {found} computed ({}); planned with the {planned} one.",
            self.how
        )
    }
}

/// Whether a pace is by loads: what one part takes by itself is no time of a load, which stays as stated.
fn by_loads(operation: &Operation, what: What) -> bool {
    what == What::Pace && matches!(operation.pace, Pace::Load(_))
}

/// What the route states, how to name it and how to show it.
fn stated_side(works: &Works, operation: &Operation, what: What) -> (String, Option<f64>, Unit) {
    let output = &operation.output;
    match what {
        What::Makes => (
            format!("{} from one", works.item(output.item).name),
            output.stated.as_ref().map(|_| output.per_recipe),
            output.unit.clone(),
        ),
        What::Takes(item) => {
            let unit = works.item(item).unit.over(&output.unit);
            let name = format!("{} for one", works.item(item).name);
            (name, amount_of(works, operation, item), unit)
        }
        What::Pace => {
            let second = Unit::base(&quantity::Dimension::TIME);
            let seconds = match &operation.pace {
                Pace::Each(time) => Some(time.mean()),
                Pace::Flow { rate, .. } => Some(1.0 / rate.mean()),
                Pace::Load(load) => {
                    let turn = load.turn.as_ref().map_or(0.0, Stated::mean);
                    Some((load.dwell.mean() + turn) / load.holds.mean())
                }
                Pace::None => None,
            };
            (
                "time for one".to_owned(),
                seconds,
                second.over(&output.unit),
            )
        }
        What::Dwell => {
            let minute = quantity::Units::standard()
                .parse_unit("min")
                .expect("the minute is a standard unit");
            let dwell = dwell(operation);
            let shown = dwell.map_or(minute, |dwell| dwell.unit.clone());
            ("time inside".to_owned(), dwell.map(Stated::mean), shown)
        }
        What::Good => {
            let percent = quantity::Units::standard()
                .parse_unit("%")
                .expect("per cent is a standard unit");
            let stated = operation.good.stated.as_ref();
            (
                "good".to_owned(),
                stated.map(|_| operation.good.mean),
                percent,
            )
        }
    }
}

/// The time inside as stated: the dwell of a load, or the time to pass of a flow.
fn dwell(operation: &Operation) -> Option<&Stated> {
    match &operation.pace {
        Pace::Load(load) => Some(&load.dwell),
        Pace::Flow { through, .. } => through.as_ref(),
        Pace::Each(_) | Pace::None => None,
    }
}

/// Base units of an input for one base unit of output, from outside or from an earlier operation.
pub(crate) fn amount_of(works: &Works, operation: &Operation, item: ItemId) -> Option<f64> {
    let taken = operation.takes.iter().find(|take| take.item == item);
    if let Some(take) = taken {
        return Some(take.amount.mean());
    }
    let fed = |from: OperationId| works.operation(from).output.item == item;
    let feed = operation.feeds.iter().find(|feed| fed(feed.from));
    feed.map(|feed| feed.amount.mean())
}

/// The works with computed numbers in place of stated ones, wherever the works asks for that.
pub fn effective(works: &Works, computed: &[Computed]) -> Works {
    let mut works = works.clone();
    for one in computed.iter().filter(|one| one.used) {
        replace(&mut works, one);
    }
    works
}

fn replace(works: &mut Works, one: &Computed) {
    match one.what {
        What::Makes => makes(
            &mut works.operations[one.operation.0],
            one.computed,
            one.each_sd.unwrap_or(0.0),
            one.lots_sd,
            |unit| number(one, one.computed, unit),
        ),
        What::Takes(item) => takes(works, one, item),
        What::Pace => {
            let operation = &mut works.operations[one.operation.0];
            match &mut operation.pace {
                Pace::Each(_) | Pace::None => {
                    operation.pace = Pace::Each(number(one, one.computed, &one.shown));
                }
                Pace::Flow { rate, .. } => {
                    *rate = number(one, 1.0 / one.computed, &rate.unit);
                }
                Pace::Load(_) => {}
            }
        }
        What::Dwell => {
            let operation = &mut works.operations[one.operation.0];
            let found = number(one, one.computed, &one.shown);
            match &mut operation.pace {
                Pace::Load(load) => load.dwell = found,
                Pace::Flow { through, .. } => *through = Some(found),
                Pace::Each(_) | Pace::None => {}
            }
        }
        What::Good => {
            works.operations[one.operation.0].good = Yield {
                mean: one.computed,
                lots_sd: 0.0,
                stated: Some(number(one, one.computed, &one.shown)),
            };
        }
    }
}

/// The computed number as if it had been written where the engine is asked for.
fn number(one: &Computed, value: f64, unit: &Unit) -> Stated {
    Stated {
        spread: Spread::Exact(value),
        unit: unit.clone(),
        source: Some(format!("computed: {}", one.how)),
        at: one.at,
    }
}

fn takes(works: &mut Works, one: &Computed, item: ItemId) {
    let amount = Spread::Exact(one.computed);
    let stated = number(one, one.computed, &one.shown);
    let fed: Vec<bool> = works
        .operation(one.operation)
        .feeds
        .iter()
        .map(|feed| works.operation(feed.from).output.item == item)
        .collect();
    let operation = &mut works.operations[one.operation.0];
    if let Some(take) = operation.takes.iter_mut().find(|take| take.item == item) {
        take.amount = amount;
        take.stated = stated;
        return;
    }
    let feeds = operation.feeds.iter_mut().zip(fed);
    if let Some((feed, _)) = feeds.into_iter().find(|(_, fed)| *fed) {
        feed.amount = amount;
        feed.stated = Some(stated);
    }
}

/// A recipe that makes more or fewer units takes less or more of everything for each of them.
/// `lots_sd` of none leaves the stated spread between lots as it is.
pub(crate) fn makes(
    operation: &mut Operation,
    units: f64,
    each_sd: f64,
    lots_sd: Option<f64>,
    written: impl FnOnce(&Unit) -> Stated,
) {
    if units <= 0.0 {
        return;
    }
    let output = &mut operation.output;
    let scale = output.per_recipe / units;
    output.per_recipe = units;
    output.within_cv = each_sd / units;
    if let Some(lots_sd) = lots_sd {
        output.lots_cv = lots_sd / units;
    }
    output.stated = Some(written(&output.unit));
    for feed in &mut operation.feeds {
        feed.amount = feed.amount.scale(scale);
    }
    for take in &mut operation.takes {
        take.amount = take.amount.scale(scale);
    }
    for also in &mut operation.also {
        also.amount = also.amount.scale(scale);
    }
    if let Pace::Each(time) = &mut operation.pace {
        time.spread = time.spread.scale(scale);
    }
}

/// A word about each stated number that is far off the computed one.
pub fn disagreements(works: &Works, computed: &[Computed]) -> Vec<Diagnostic> {
    computed
        .iter()
        .filter(|one| one.disagrees())
        .map(|one| {
            let side = |value: f64| show(value, &one.shown);
            Diagnostic::warning(
                "stated-not-computed",
                one.at,
                format!("{} is stated otherwise than it is computed", one.name),
            )
            .sides(
                format!("{} computed ({})", side(one.computed), one.how),
                format!("{} stated", one.stated.map_or_else(String::new, side)),
            )
            .help(if one.used {
                "the plan uses the computed number; numbers = \"stated\" keeps the other"
            } else if by_loads(works.operation(one.operation), one.what) {
                "the plan uses the stated time: loads are planned by their dwell"
            } else {
                "the plan uses the stated number; numbers = \"computed\" takes the other"
            })
        })
        .collect()
}
