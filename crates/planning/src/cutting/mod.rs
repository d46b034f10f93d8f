//! Cutting plans: from what an operation cuts up to the cutting engine and back.
//!
//! Needs come from the material balance (units attempted), or are stated. The engine counts in whole tenths
//! of a millimetre, see `ticks`. What comes back is the plan for the saw, and what one part takes of its
//! stock, which is held against the route ([`crate::computed`]).

mod bars;
mod boards;
mod bounds;
mod explain;
mod frame;
mod sheets;
mod ticks;

use effort::Effort;
use serde::Serialize;
use works::{Cut, CutPart, CutStock, Diagnostic, ItemId, OperationId, PartLength, Span, Works};

use crate::computed::{Computed, Found, What, amount_of};
use crate::flow::{Wanted, WantedFor, label};

pub(crate) use explain::explain;

pub use bars::{BarPattern, BarWork, Stretch};
pub use boards::{BoardLine, BoardWork, FaultsFound, Live, PackOutcome, PlacedPart};
pub use frame::{FrameBlank, Notch};
pub use sheets::{Rectangle, SheetCut, SheetLayout, SheetPart, SheetWork};

/// The cutting plan of one operation.
#[derive(Clone, Debug, Serialize)]
pub struct CutPlan {
    /// The operation.
    pub operation: OperationId,
    /// Its name: `nest block, cross-cut`.
    pub name: String,
    /// The cutting list.
    pub parts: Vec<PartLine>,
    /// What is cut up, by size.
    pub stock: Vec<StockLine>,
    /// The plan itself.
    pub work: Work,
    /// Share of the stock cut up that ends in parts.
    pub used_share: f64,
    /// How the amounts were found, for the reasons of the figures.
    pub how: String,
}

/// The plan by kind of stock.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Work {
    /// Boards with faults.
    Boards(Box<BoardWork>),
    /// Bars, strip or reels.
    Bars(Box<BarWork>),
    /// Sheets.
    Sheets(Box<SheetWork>),
}

/// One line of a cutting list with what came of it. Lengths in m.
#[derive(Clone, Debug, Serialize)]
pub struct PartLine {
    /// Its name.
    pub name: String,
    /// A letter for drawings: A, B, … AA.
    pub letter: String,
    /// The item, when the route knows it.
    pub item: Option<ItemId>,
    /// Length, m.
    pub length_m: f64,
    /// Width, m; none where it is that of the stock.
    pub width_m: Option<f64>,
    /// How many are needed.
    pub need: u64,
    /// Whether nothing was ordered, so that the need is only an example.
    pub as_if: bool,
    /// How many the plan makes.
    pub made: u64,
    /// The blank of a frame, where the part is one.
    pub frame: Option<FrameBlank>,
}

impl PartLine {
    /// How many are missing.
    pub fn short(&self) -> u64 {
        self.need.saturating_sub(self.made)
    }
}

/// One size of stock and how many of it the plan cuts up.
#[derive(Clone, Debug, Serialize)]
pub struct StockLine {
    /// The item.
    pub item: ItemId,
    /// Length, m.
    pub length_m: f64,
    /// Width, m; none for bars.
    pub width_m: Option<f64>,
    /// How many are cut up.
    pub used: u64,
    /// How many there are, when not as many as wanted.
    pub at_most: Option<u64>,
    /// What is kept of them as left-overs, in whole pieces by size.
    pub kept: f64,
}

/// Why an operation has no cutting plan.
#[derive(Clone, Debug, PartialEq)]
pub struct NoCut {
    /// The operation.
    pub operation: OperationId,
    /// In words.
    pub why: String,
}

/// Needs where nothing is ordered, so that there is something to show.
const AS_IF: u64 = 100;

/// Steps of the engines for bars and sheets are that much shorter than those for boards.
const SHORT_STEPS: u64 = 10;

/// Letters for the parts of a list: A to Z, then AA, AB, …
fn letter(number: usize) -> String {
    let mut letters = Vec::new();
    let mut rest = number + 1;
    while rest > 0 {
        letters.push(char::from(b'A' + ((rest - 1) % 26) as u8));
        rest = (rest - 1) / 26;
    }
    letters.iter().rev().collect()
}

/// The words for a plan that its checker refuses.
fn our_fault(broken: impl std::fmt::Debug) -> String {
    format!("the plan found does not hold, which is a fault of Linewright: {broken:?}")
}

/// One operation that cuts, with its cutting list.
struct Task<'w> {
    works: &'w Works,
    id: OperationId,
    cut: &'w Cut,
    parts: Vec<PartLine>,
}

impl<'w> Task<'w> {
    /// `level` is the base units that the operation attempts.
    fn new(works: &'w Works, id: OperationId, cut: &'w Cut, level: f64) -> Result<Self, String> {
        let parts: Result<Vec<PartLine>, String> = cut
            .parts
            .iter()
            .enumerate()
            .map(|(number, part)| part_line(works, id, number, part, level))
            .collect();
        let task = Self {
            works,
            id,
            cut,
            parts: parts?,
        };
        bounds::sensible(&task)?;
        Ok(task)
    }
}

/// Share of the stock cut up that ends in parts.
fn used_share(parts: &[PartLine], stock: &[StockLine]) -> f64 {
    let stock: f64 = stock
        .iter()
        .map(|line| line.used as f64 * line.length_m * line.width_m.unwrap_or(1.0))
        .sum();
    let parts: f64 = parts
        .iter()
        .map(|part| part.made as f64 * part.length_m * part.width_m.unwrap_or(1.0))
        .sum();
    if stock > 0.0 { parts / stock } else { 0.0 }
}

/// What one piece of a stock item counts as, base units: its length or area where it is measured so, else
/// one.
fn units_of_piece(works: &Works, item: ItemId, length_m: f64, width_m: Option<f64>) -> f64 {
    let dimension = works.item(item).unit.dimension();
    if *dimension == quantity::Dimension::LENGTH {
        length_m
    } else if *dimension == quantity::Dimension::AREA {
        length_m * width_m.unwrap_or(1.0)
    } else {
        1.0
    }
}

fn part_line(
    works: &Works,
    id: OperationId,
    number: usize,
    part: &CutPart,
    level: f64,
) -> Result<PartLine, String> {
    let (length_m, frame) = match &part.length {
        PartLength::Stated(length) => (length.mean(), None),
        PartLength::Frame(fold) => {
            let blank = frame::blank(fold).map_err(|why| format!("`{}`: {why}", part.name))?;
            (blank.length_m, Some(blank))
        }
    };
    let planned = part
        .item
        .map_or(0.0, |item| pieces(works, id, item, length_m, level));
    let need = part.need.unwrap_or(planned.ceil() as u64);
    Ok(PartLine {
        name: part.name.clone(),
        letter: letter(number),
        item: part.item,
        length_m,
        width_m: part.width.as_ref().map(works::Stated::mean),
        as_if: need == 0,
        need: if need == 0 { AS_IF } else { need },
        made: 0,
        frame,
    })
}

/// Pieces of an item that an operation yields at a level.
fn pieces(works: &Works, id: OperationId, item: ItemId, length_m: f64, level: f64) -> f64 {
    let operation = works.operation(id);
    let amount = if operation.output.item == item {
        level
    } else {
        let also = operation.also.iter().find(|also| also.item == item);
        level * also.map_or(0.0, |also| also.amount.mean())
    };
    // A count a hair above a whole number is that number.
    let whole = |x: f64| {
        if (x - x.round()).abs() < 1e-6 {
            x.round()
        } else {
            x
        }
    };
    if *works.item(item).unit.dimension() == quantity::Dimension::LENGTH {
        whole(amount / length_m)
    } else {
        whole(amount)
    }
}

/// Works out every cutting plan. `levels` are the base units that each operation attempts.
pub fn work_out(works: &Works, levels: &[f64], effort: Effort<'_>) -> (Vec<CutPlan>, Vec<NoCut>) {
    let mut plans = Vec::new();
    let mut none = Vec::new();
    for (number, operation) in works.operations.iter().enumerate() {
        let Some(cut) = &operation.cut else {
            continue;
        };
        let id = OperationId(number);
        let level = levels.get(number).copied().unwrap_or(0.0);
        let made = Task::new(works, id, cut, level).and_then(|task| plan(task, effort));
        match made {
            Ok(plan) => plans.push(plan),
            Err(why) => none.push(NoCut { operation: id, why }),
        }
    }
    (plans, none)
}

fn plan(task: Task<'_>, effort: Effort<'_>) -> Result<CutPlan, String> {
    match &task.cut.stock {
        CutStock::Boards(boards) => boards::plan(&task, boards, effort),
        // Steps of these engines are short: a plan still takes a fraction of a second.
        CutStock::Bars(kinds) => bars::plan(task, kinds, effort.times(SHORT_STEPS)),
        CutStock::Sheets { kinds, stages } => {
            sheets::plan(task, kinds, *stages, effort.times(SHORT_STEPS))
        }
    }
}

/// What the plans say about the numbers of their routes.
pub(crate) fn computed(works: &Works, plans: &[CutPlan]) -> Vec<Computed> {
    let mut all = Vec::new();
    for plan in plans {
        let found = match &plan.work {
            Work::Boards(work) => boards::found(works, plan, work),
            Work::Bars(_) | Work::Sheets(_) => shared_out(works, plan),
        };
        all.extend(found.into_iter().map(|found| Computed::of(works, found)));
    }
    all
}

/// A number that was found for the operation of a plan.
fn found(works: &Works, plan: &CutPlan, what: What, value: f64) -> Option<Found> {
    let cut = works.operation(plan.operation).cut.as_ref()?;
    Some(Found {
        operation: plan.operation,
        what,
        value,
        each_sd: None,
        lots_sd: None,
        how: plan.how.clone(),
        one_sided: false,
        numbers: cut.numbers,
        at: cut.at,
    })
}

/// Items that a plan cuts up, once each.
fn stock_items(plan: &CutPlan) -> Vec<ItemId> {
    let mut items: Vec<ItemId> = plan.stock.iter().map(|line| line.item).collect();
    items.sort_unstable();
    items.dedup();
    items
}

/// Base units of a stock item that a plan cuts up. What is kept of it has to be there before it can be kept.
fn cut_up(works: &Works, plan: &CutPlan, item: ItemId) -> f64 {
    let lines = plan.stock.iter().filter(|line| line.item == item);
    lines
        .map(|line| line.used as f64 * units_of_piece(works, item, line.length_m, line.width_m))
        .sum()
}

/// Share by size of the parts that the route knows; those of no route take the rest.
fn own_share(plan: &CutPlan) -> f64 {
    let size = |part: &PartLine| {
        part.length_m * part.width_m.unwrap_or(1.0) * part.need.max(part.made) as f64
    };
    let total: f64 = plan.parts.iter().map(size).sum();
    let own = plan.parts.iter().filter(|part| part.item.is_some());
    if total > 0.0 {
        own.map(size).sum::<f64>() / total
    } else {
        0.0
    }
}

/// What one unit of output takes of each stock item: the stock that the plan cuts up, less the share of parts
/// that belong to no route.
fn shared_out(works: &Works, plan: &CutPlan) -> Vec<Found> {
    let output = works.operation(plan.operation).output.item;
    let passed = plan.parts.iter().filter(|part| part.item == Some(output));
    let units: f64 = passed
        .map(|part| part.made as f64 * units_of_piece(works, output, part.length_m, part.width_m))
        .sum();
    let own = own_share(plan);
    if units <= 0.0 || own <= 0.0 {
        return Vec::new();
    }
    let amount = |item: ItemId| cut_up(works, plan, item) * own / units;
    let items = stock_items(plan);
    // With one item cut up, a recipe makes so many more or fewer; else each item is taken by itself.
    if let [item] = items[..]
        && let Some(takes) = recipe_takes(works, plan.operation, item)
    {
        return found(works, plan, What::Makes, takes / amount(item))
            .into_iter()
            .collect();
    }
    items
        .into_iter()
        .filter_map(|item| found(works, plan, What::Takes(item), amount(item)))
        .collect()
}

/// Stock for parts that belong to no route: it is wanted beside what the orders take.
pub(crate) fn wanted_beside(works: &Works, plans: &[CutPlan]) -> Vec<Wanted> {
    let mut wanted = Vec::new();
    for plan in plans {
        let beside = 1.0 - own_share(plan);
        if beside <= 0.0 {
            continue;
        }
        for item in stock_items(plan) {
            wanted.push(Wanted {
                item,
                amount: cut_up(works, plan, item) * beside,
                source: WantedFor::Cutting(plan.operation),
            });
        }
    }
    wanted
}

/// The base units of stock that a recipe of the operation takes, when the operation has one.
fn recipe_takes(works: &Works, id: OperationId, item: ItemId) -> Option<f64> {
    let operation = works.operation(id);
    operation.output.stated.as_ref()?;
    Some(amount_of(works, operation, item)? * operation.output.per_recipe)
}

/// What is wrong with the cutting plans.
pub(crate) fn complaints(works: &Works, plans: &[CutPlan], none: &[NoCut]) -> Vec<Diagnostic> {
    let at = |id: OperationId| {
        let operation = works.operation(id);
        operation.cut.as_ref().map_or(operation.at, |cut| cut.at)
    };
    let mut all: Vec<Diagnostic> = none
        .iter()
        .map(|no| {
            let name = label(works, no.operation);
            let words = format!("{name} has no cutting plan: {}", no.why);
            Diagnostic::fault("cut-impossible", at(no.operation), words)
        })
        .collect();
    for plan in plans {
        // Measured boards are a sample; that they are not enough for all orders is no surprise.
        if matches!(plan.work, Work::Boards(_)) {
            continue;
        }
        all.extend(too_many_patterns(plan, at(plan.operation)));
        for part in plan.parts.iter().filter(|part| part.short() > 0) {
            let words = format!(
                "{}: {} of `{}` are short",
                plan.name,
                part.short(),
                part.name
            );
            all.push(
                Diagnostic::fault("stock-too-little", at(plan.operation), words)
                    .sides(
                        format!("{} needed", part.need),
                        format!("{} cut", part.made),
                    )
                    .help("raise `at_most`, or add another size of stock"),
            );
        }
    }
    all
}

/// The limit on different patterns, when no plan was found that keeps it.
fn too_many_patterns(plan: &CutPlan, at: Span) -> Option<Diagnostic> {
    let Work::Bars(work) = &plan.work else {
        return None;
    };
    if work.patterns_kept {
        return None;
    }
    let headline = format!("{}: no plan was found with so few patterns", plan.name);
    let limit = work.most_patterns.unwrap_or(0);
    Some(
        Diagnostic::warning("patterns-not-kept", at, headline)
            .sides(
                format!("at most {limit} different patterns"),
                format!("{} patterns", work.patterns.len()),
            )
            .help("raise `patterns`, or search longer with `linewright cut --search 20`"),
    )
}
