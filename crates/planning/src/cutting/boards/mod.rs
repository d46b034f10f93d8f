//! Boards with faults: measured ones cut one by one, and what to expect of those nobody has seen.

mod expect;
mod question;

use cutting::boards::{self as engine, BoardPlan, Order, Pack};
use effort::Effort;
use serde::Serialize;
use works::{Boards, CutOrder, Works};

use super::{
    CutPlan, PartLine, StockLine, Task, What, Work, found as found_for, recipe_takes, ticks,
};
use crate::computed::Found;
use question::Question;

/// What was found for boards with faults.
#[derive(Clone, Debug, Serialize)]
pub struct BoardWork {
    /// Boards that were measured.
    pub measured: usize,
    /// Lots that they came in.
    pub lots: usize,
    /// Their faults, or those that are stated.
    pub faults: Option<FaultsFound>,
    /// Parts that the operation passes on, from one board or its share of one: mean.
    pub per_board: f64,
    /// The same, standard deviation from board to board inside a lot.
    pub each_sd: f64,
    /// The same, standard deviation of the lots' means.
    pub lots_sd: f64,
    /// What the closed form for faults at random expects of one board, where it holds.
    pub closed_form: Option<f64>,
    /// Boards that the whole list takes on average.
    pub boards_for_list: f64,
    /// Share of a board that ends in parts of the list, in the numbers of the list.
    pub list_share: f64,
    /// Whether boards are only cut across.
    pub across_only: bool,
    /// Share of the measured boards that ends in parts, each board cut for the most area whatever the needs.
    pub best_share: f64,
    /// The same for cutting from the left end, the longest part that fits first.
    pub simple_share: f64,
    /// What no cutting of these boards can exceed.
    pub bound_share: f64,
    /// The measured boards against the cutting list.
    pub pack: Option<PackOutcome>,
    /// The same boards one at a time as they come to the saw.
    pub live: Option<Live>,
    /// The cut list: one line for each board that is cut.
    pub boards: Vec<BoardLine>,
}

/// Faults in each metre.
#[derive(Clone, Debug, Serialize)]
pub struct FaultsFound {
    /// Mean over lots, faults per metre.
    pub per_metre: f64,
    /// Standard deviation from lot to lot.
    pub lots_sd: f64,
    /// Counted faults; none when the rate is stated.
    pub counted: Option<u64>,
    /// Mean length of one with its margins, m.
    pub costs_m: f64,
}

/// The measured boards against the cutting list.
#[derive(Clone, Debug, Serialize)]
pub struct PackOutcome {
    /// Boards that are opened.
    pub opened: usize,
    /// Their area, m².
    pub area_m2: f64,
    /// No plan that meets the needs opens less, m².
    pub bound_m2: f64,
    /// Whether the plan opens the least there is.
    pub proved: bool,
    /// Whether the boards are enough.
    pub enough: bool,
}

/// Boards as they come to the saw.
#[derive(Clone, Debug, Serialize)]
pub struct Live {
    /// Boards cut.
    pub cut: usize,
    /// Their area, m².
    pub area_m2: f64,
    /// Area beyond that of the plan that knew all boards, as a share of it.
    pub regret: f64,
}

/// The cuts of one board. Lengths in m from the left end and the lower edge.
#[derive(Clone, Debug, Serialize)]
pub struct BoardLine {
    /// The board.
    pub name: String,
    /// Its lot.
    pub lot: Option<String>,
    /// Position among the measured boards.
    pub number: usize,
    /// In which order it is cut.
    pub order: Order,
    /// Parts in the order in which they are cut.
    pub parts: Vec<PlacedPart>,
    /// Share of the board that ends in parts.
    pub share: f64,
}

impl BoardLine {
    /// Which cut comes first, in words.
    pub fn order_words(&self) -> &'static str {
        match self.order {
            Order::Crosscut => "across only",
            Order::RipFirst => "rip first",
            Order::CrosscutFirst => "cross-cut first",
        }
    }
}

/// A part in its place.
#[derive(Clone, Debug, Serialize)]
pub struct PlacedPart {
    /// Which line of the cutting list.
    pub part: usize,
    /// From, along the board, m.
    pub from_m: f64,
    /// To, along the board, m.
    pub to_m: f64,
    /// From, across the board, m.
    pub low_m: f64,
    /// To, across the board, m.
    pub high_m: f64,
}

/// A board that is ripped takes about so many times the work of one that is only cut across; steps are shared out
/// accordingly, so that a plan takes about as long.
const RIPPING_WORK: u64 = 20;

pub(super) fn plan(
    task: &Task<'_>,
    boards: &Boards,
    effort: Effort<'_>,
) -> Result<CutPlan, String> {
    let question = Question::new(task, boards);
    question.parts_fit(task, boards)?;
    let effort = if boards.order == CutOrder::AcrossOnly {
        effort
    } else {
        effort.share_of(RIPPING_WORK)
    };
    let mut work = expect::expectation(task, boards, &question, effort)?;
    let mut parts = task.parts.clone();
    if work.measured > 0 {
        let cuts = pack(&question, &mut work, &mut parts, effort)?;
        let drawn = cuts
            .iter()
            .map(|(number, plan)| line(boards, *number, plan));
        work.boards = drawn.collect();
    }
    let stock = StockLine {
        item: boards.item,
        length_m: boards.length.mean(),
        width_m: Some(boards.width.mean()),
        used: match &work.pack {
            Some(pack) if pack.enough => pack.opened as u64,
            _ => work.boards_for_list.ceil() as u64,
        },
        at_most: None,
        kept: 0.0,
    };
    Ok(CutPlan {
        operation: task.id,
        name: crate::flow::label(task.works, task.id),
        how: how(&work, parts.len()),
        used_share: work.list_share,
        stock: vec![stock],
        parts,
        work: Work::Boards(Box::new(work)),
    })
}

fn how(work: &BoardWork, parts: usize) -> String {
    if work.measured == 0 {
        return "faults at random at the stated rate".to_owned();
    }
    let lots = if work.lots == 1 { "lot" } else { "lots" };
    let mix = if parts > 1 {
        ", cut for the list as a whole"
    } else {
        ""
    };
    format!(
        "best cuts of {} measured boards of {} {lots}{mix}",
        work.measured, work.lots
    )
}

/// The measured boards against the list: with all of them known, and one at a time. Gives the cuts to
/// make: those of the plan that knows all boards.
fn pack(
    question: &Question,
    work: &mut BoardWork,
    parts: &mut [PartLine],
    effort: Effort<'_>,
) -> Result<Vec<(usize, BoardPlan)>, String> {
    let pack = Pack {
        boards: &question.boards,
        parts: &question.parts,
        saw: &question.saw,
        wish: &question.wish,
    };
    let plan = engine::cut_pack(&pack, effort).map_err(|fault| fault.to_string())?;
    if let Err(faults) = engine::check_pack(&pack, &plan) {
        return Err(super::our_fault(&faults));
    }
    for (line, made) in parts.iter_mut().zip(&plan.made) {
        line.made = *made;
    }
    let square = ticks::TICK_M * ticks::TICK_M;
    let enough = plan.short.iter().all(|&short| short == 0);
    work.pack = Some(PackOutcome {
        opened: plan.cuts.len(),
        area_m2: plan.area * square,
        bound_m2: plan.bound * square,
        proved: plan.proved,
        enough,
    });
    if enough {
        work.live = live(question, plan.area, effort);
    }
    Ok(plan
        .cuts
        .into_iter()
        .map(|cut| (cut.board, cut.plan))
        .collect())
}

/// The same boards in the order they are listed, each decided before the next is seen.
fn live(question: &Question, hindsight: f64, effort: Effort<'_>) -> Option<Live> {
    let run = engine::run_live(
        &question.boards,
        &question.parts,
        &question.saw,
        &question.wish,
        effort,
    )
    .ok()?;
    let met = run.short.iter().all(|&short| short == 0);
    (met && hindsight > 0.0).then(|| Live {
        cut: run.cuts.len(),
        area_m2: run.area * ticks::TICK_M * ticks::TICK_M,
        regret: run.area / hindsight - 1.0,
    })
}

fn line(boards: &Boards, number: usize, plan: &BoardPlan) -> BoardLine {
    let board = &boards.measured[number];
    let placed = |placed: &engine::Placed| PlacedPart {
        part: placed.part,
        from_m: ticks::metres(placed.along.from),
        to_m: ticks::metres(placed.along.to),
        low_m: ticks::metres(placed.across.from),
        high_m: ticks::metres(placed.across.to),
    };
    let parts: Vec<PlacedPart> = plan.placed().map(placed).collect();
    let area = |part: &PlacedPart| (part.to_m - part.from_m) * (part.high_m - part.low_m);
    BoardLine {
        name: board.name.clone(),
        lot: board.lot.clone(),
        number,
        order: plan.order,
        share: parts.iter().map(area).sum::<f64>() / (board.length_m * board.width_m),
        parts,
    }
}

/// What one board makes, or takes for one unit where the route has no recipe.
pub(super) fn found(works: &Works, plan: &CutPlan, work: &BoardWork) -> Vec<Found> {
    let Some(stock) = plan.stock.first() else {
        return Vec::new();
    };
    if work.per_board <= 0.0 {
        return Vec::new();
    }
    let operation = works.operation(plan.operation);
    let dimension = operation.output.unit.dimension();
    let length = plan.parts.first().map_or(0.0, |part| part.length_m);
    let units_of_part = if *dimension == quantity::Dimension::LENGTH {
        length
    } else {
        1.0
    };
    let per_board = work.per_board * units_of_part;
    let piece = super::units_of_piece(works, stock.item, stock.length_m, stock.width_m);
    let found = match recipe_takes(works, plan.operation, stock.item) {
        // A recipe may be for several boards, or for a part of one.
        Some(takes) => {
            let boards = takes / piece;
            found_for(works, plan, What::Makes, per_board * boards).map(|found| Found {
                each_sd: Some(work.each_sd * units_of_part * boards.sqrt()),
                lots_sd: Some(work.lots_sd * units_of_part * boards),
                ..found
            })
        }
        None => found_for(works, plan, What::Takes(stock.item), piece / per_board),
    };
    found.into_iter().collect()
}
