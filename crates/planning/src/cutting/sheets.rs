//! Sheets: rectangles cut from edge to edge, needs met at the least cost of sheets.

use cutting::sheets::{
    self as engine, Axis, FirstCut, Layout, Part, Problem, Region, Scheme, Sheet, Trims, Use,
};
use effort::Effort;
use serde::Serialize;
use works::{SheetKind, Stages};

use super::{CutPlan, StockLine, Task, Work, ticks};

/// What was found for sheets.
#[derive(Clone, Debug, Serialize)]
pub struct SheetWork {
    /// The layouts, each with how often it is cut.
    pub layouts: Vec<SheetLayout>,
    /// Cost of the sheets: money, or square metres where no price is known.
    pub cost: f64,
    /// No plan costs less.
    pub bound: f64,
    /// Whether `cost` and `bound` are money; else they are square metres of sheet.
    pub in_money: bool,
    /// Whether no plan costs less than this one.
    pub proved: bool,
    /// Width of the cut, m.
    pub kerf_m: f64,
}

/// How sheets of one size are cut. Lengths in m from the lower left corner of the raw sheet.
#[derive(Clone, Debug, Serialize)]
pub struct SheetLayout {
    /// Which size of stock.
    pub stock: usize,
    /// How many sheets are cut so.
    pub count: u64,
    /// Parts in their places.
    pub parts: Vec<SheetPart>,
    /// Rests that are kept.
    pub kept: Vec<Rectangle>,
    /// Cuts in the order in which they are made.
    pub cuts: Vec<SheetCut>,
    /// Share of the sheet that ends in parts.
    pub share: f64,
}

/// A rectangle on a sheet, m.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Rectangle {
    /// Start along the length.
    pub x_m: f64,
    /// Start along the width.
    pub y_m: f64,
    /// Extent along the length.
    pub length_m: f64,
    /// Extent along the width.
    pub width_m: f64,
}

/// A part in its place.
#[derive(Clone, Debug, Serialize)]
pub struct SheetPart {
    /// Which line of the cutting list.
    pub part: usize,
    /// Where it lies.
    pub at: Rectangle,
    /// Whether it is turned by a quarter.
    pub turned: bool,
}

/// A cut from edge to edge of the piece that it divides.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct SheetCut {
    /// Stage: 0 for trims, 1 for cuts through the whole sheet, 2 for cuts through what those leave, and so on.
    pub stage: usize,
    /// Whether it runs along the length of the sheet.
    pub along_length: bool,
    /// Where its near side is, across its own run, m.
    pub at_m: f64,
    /// Where its run begins, m.
    pub from_m: f64,
    /// Where its run ends, m.
    pub to_m: f64,
}

/// A plan that costs so many times its bound is no plan to buy by, unless it is of few sheets.
const SENSELESS: f64 = 2.5;
/// Few sheets: there the bound says little.
const FEW: u64 = 10;

/// Whole units of cost in one of the currency.
const COST_UNITS: f64 = 1e4;

pub(super) fn plan(
    mut task: Task<'_>,
    kinds: &[SheetKind],
    stages: Stages,
    effort: Effort<'_>,
) -> Result<CutPlan, String> {
    let (problem, in_money) = problem(&task, kinds, stages);
    let plan = engine::least_cost(&problem, effort).map_err(|fault| words(&task, kinds, fault))?;
    if let Some(broken) = engine::check_plan(&problem, &plan).first() {
        return Err(super::our_fault(broken));
    }
    // A search that ended too early on a long list leaves a plan that nobody should buy by.
    if plan.sheets > FEW && plan.cost as f64 > SENSELESS * plan.bound as f64 {
        return Err(format!(
            "the search ended before it found a sensible plan ({} sheets, while some {} may do); search longer with `linewright cut --search 20`, or split the list",
            quantity::show_number(plan.sheets as f64),
            quantity::show_number(
                (plan.sheets as f64 * plan.bound as f64 / plan.cost as f64).ceil()
            )
        ));
    }
    for (number, line) in task.parts.iter_mut().enumerate() {
        let on = |layout: &Layout| {
            let here = layout.placed.iter().filter(|placed| placed.part == number);
            layout.count * here.count() as u64
        };
        line.made = plan.layouts.iter().map(on).sum();
    }
    let stock = stock(kinds, &plan);
    let made: u64 = task.parts.iter().map(|part| part.made).sum();
    let per_cost = if in_money {
        1.0 / COST_UNITS
    } else {
        ticks::TICK_M
    };
    let shown = |layout: &Layout| shown(layout, &problem);
    Ok(CutPlan {
        operation: task.id,
        name: crate::flow::label(task.works, task.id),
        how: format!(
            "cutting plan: {} parts from {} sheets",
            quantity::show_number(made as f64),
            quantity::show_number(plan.sheets as f64)
        ),
        used_share: super::used_share(&task.parts, &stock),
        stock,
        parts: task.parts,
        work: Work::Sheets(Box::new(SheetWork {
            layouts: plan.layouts.iter().map(shown).collect(),
            cost: plan.cost as f64 * per_cost,
            bound: plan.bound as f64 * per_cost,
            in_money,
            proved: plan.proved,
            kerf_m: ticks::metres(problem.kerf),
        })),
    })
}

/// A fault of the engine in the words of the works.
fn words(task: &Task<'_>, kinds: &[SheetKind], fault: engine::Fault) -> String {
    match fault {
        engine::Fault::PartFitsNowhere(part) => {
            format!("`{}` fits on no sheet", task.parts[part].name)
        }
        engine::Fault::EmptySheet(sheet) => format!(
            "nothing is left of a sheet of {} mm once it is trimmed",
            kinds[sheet].length.mean() * 1e3
        ),
        engine::Fault::TooFewSheets => "there are too few sheets for the needs".to_owned(),
        other => other.to_string(),
    }
}

/// The question in ticks, and whether its costs are money.
fn problem(task: &Task<'_>, kinds: &[SheetKind], stages: Stages) -> (Problem, bool) {
    let prices: Option<Vec<f64>> = kinds.iter().map(|kind| price(task, kind)).collect();
    let ends = ticks::optional(task.cut.trim.ends.as_ref());
    let edges = ticks::optional(task.cut.trim.edges.as_ref());
    let trims = Trims {
        left: ends,
        right: ends,
        bottom: edges,
        top: edges,
    };
    let sheet = |(number, kind): (usize, &SheetKind)| {
        let (length, width) = (kind.length.mean(), kind.width.mean());
        let cost = match &prices {
            Some(prices) => prices[number] * COST_UNITS,
            None => length * width / ticks::TICK_M,
        };
        Sheet {
            length: ticks::stock(length),
            width: ticks::stock(width),
            trims,
            cost: cost.round() as u64,
            available: kind.at_most,
        }
    };
    let lines = task.cut.parts.iter().zip(&task.parts);
    let part = |(part, line): (&works::CutPart, &super::PartLine)| {
        let (length, width) = (
            ticks::part(line.length_m),
            ticks::part(line.width_m.unwrap_or(0.0)),
        );
        Part {
            length,
            width,
            need: line.need,
            at_most: None,
            may_turn: part.turn,
            value: length.saturating_mul(width).min(engine::MOST_MONEY),
        }
    };
    let kerf = &task.cut.kerf;
    let problem = Problem {
        sheets: kinds.iter().enumerate().map(sheet).collect(),
        parts: lines.map(part).collect(),
        // One blade cuts both ways; where two are stated the wider one is safe.
        kerf: ticks::optional(kerf.rip.as_ref()).max(ticks::optional(kerf.cross.as_ref())),
        scheme: scheme(stages),
        useful: task.cut.keep.as_ref().map(|keep| {
            let length = ticks::part(keep.length.mean());
            let width = keep.width.as_ref().map_or(0, |w| ticks::part(w.mean()));
            (length.max(width), length.min(width))
        }),
    };
    (problem, prices.is_some())
}

fn scheme(stages: Stages) -> Scheme {
    let (first, trimming) = (FirstCut::Either, true);
    match stages {
        Stages::Two => Scheme::TwoStage { first, trimming },
        Stages::Three => Scheme::ThreeStage { first, trimming },
        Stages::Free => Scheme::Free,
    }
}

/// The price of one sheet, money; none when its item is not bought.
fn price(task: &Task<'_>, kind: &SheetKind) -> Option<f64> {
    let buy = task.works.item(kind.item).buy.as_ref()?;
    let (length, width) = (kind.length.mean(), kind.width.mean());
    let units = super::units_of_piece(task.works, kind.item, length, Some(width));
    let price = buy.price.mean() * units;
    (price * COST_UNITS >= 1.0).then_some(price)
}

fn stock(kinds: &[SheetKind], plan: &engine::Plan) -> Vec<StockLine> {
    let line = |(number, kind): (usize, &SheetKind)| {
        let cut = plan.layouts.iter().filter(|layout| layout.sheet == number);
        let area = kind.length.mean() * kind.width.mean() / (ticks::TICK_M * ticks::TICK_M);
        let kept = |layout: &Layout| -> f64 {
            let rests: u64 = layout.leftovers.iter().map(engine::Rect::area).sum();
            layout.count as f64 * rests as f64 / area
        };
        StockLine {
            item: kind.item,
            length_m: kind.length.mean(),
            width_m: Some(kind.width.mean()),
            used: cut.clone().map(|layout| layout.count).sum(),
            at_most: kind.at_most,
            kept: cut.map(kept).sum(),
        }
    };
    kinds.iter().enumerate().map(line).collect()
}

fn shown(layout: &Layout, problem: &Problem) -> SheetLayout {
    let sheet = &problem.sheets[layout.sheet];
    let parts: Vec<SheetPart> = layout
        .placed
        .iter()
        .map(|placed| SheetPart {
            part: placed.part,
            at: rectangle(&placed.rect),
            turned: placed.turned,
        })
        .collect();
    let area: u64 = layout.placed.iter().map(|placed| placed.rect.area()).sum();
    let mut cuts = trims(&layout.cuts.rect, sheet, problem.kerf);
    follow(&layout.cuts, 1, &mut cuts);
    SheetLayout {
        stock: layout.sheet,
        count: layout.count,
        parts,
        kept: layout.leftovers.iter().map(rectangle).collect(),
        cuts,
        share: area as f64 / (sheet.length * sheet.width) as f64,
    }
}

fn rectangle(rect: &engine::Rect) -> Rectangle {
    Rectangle {
        x_m: ticks::metres(rect.x),
        y_m: ticks::metres(rect.y),
        length_m: ticks::metres(rect.length),
        width_m: ticks::metres(rect.width),
    }
}

/// The cuts of a region in the order in which they are made: those through it, then those of its pieces. A rest no
/// wider than the blade is no piece, but the cut that frees the last one from it has to be made.
fn follow(region: &Region, stage: usize, cuts: &mut Vec<SheetCut>) {
    let Use::Cut { divides, pieces } = &region.becomes else {
        return;
    };
    let along_length = *divides == Axis::Width;
    let end = |rect: &engine::Rect| {
        if along_length {
            rect.y + rect.width
        } else {
            rect.x + rect.length
        }
    };
    let (from, run) = if along_length {
        (region.rect.x, region.rect.length)
    } else {
        (region.rect.y, region.rect.width)
    };
    for piece in pieces
        .iter()
        .filter(|piece| end(&piece.rect) < end(&region.rect))
    {
        cuts.push(SheetCut {
            stage,
            along_length,
            at_m: ticks::metres(end(&piece.rect)),
            from_m: ticks::metres(from),
            to_m: ticks::metres(from + run),
        });
    }
    for piece in pieces {
        follow(piece, stage + 1, cuts);
    }
}

/// The cuts that trim the edges, before all others.
fn trims(root: &engine::Rect, sheet: &Sheet, kerf: u64) -> Vec<SheetCut> {
    let sides = [
        (true, sheet.trims.bottom, root.y.saturating_sub(kerf)),
        (true, sheet.trims.top, root.y + root.width),
        (false, sheet.trims.left, root.x.saturating_sub(kerf)),
        (false, sheet.trims.right, root.x + root.length),
    ];
    let trimmed = sides.into_iter().filter(|(_, trim, _)| *trim > 0);
    trimmed
        .map(|(along_length, _, at)| SheetCut {
            stage: 0,
            along_length,
            at_m: ticks::metres(at),
            from_m: 0.0,
            to_m: ticks::metres(if along_length {
                sheet.length
            } else {
                sheet.width
            }),
        })
        .collect()
}
