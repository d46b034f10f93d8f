//! Boards with faults: measured ones cut one by one, and what to expect of those nobody has seen.

use std::collections::BTreeMap;

use cutting::boards::expected::{self, LotCount, PerBoard, Unseen, Wanted};
use cutting::boards::{
    self as engine, BoardPlan, Order, Orders, Pack, Part, Quality, Saw, Span, Wish,
};
use effort::Effort;
use serde::Serialize;
use works::{Board, Boards, Clear, CutOrder, Face, Works};

use super::{
    CutPlan, PartLine, StockLine, Task, What, Work, found as found_for, recipe_takes, ticks,
};
use crate::computed::Found;

/// What was found for boards with faults.
#[derive(Clone, Debug, Serialize)]
pub struct BoardWork {
    /// Boards that were measured.
    pub measured: usize,
    /// Lots that they came in.
    pub lots: usize,
    /// Their faults, or those that are stated.
    pub faults: Option<FaultsFound>,
    /// Parts from one board: mean.
    pub per_board: f64,
    /// The same, standard deviation from board to board inside a lot.
    pub each_sd: f64,
    /// The same, standard deviation of the lots' means.
    pub lots_sd: f64,
    /// What the closed form for faults at random expects of one board, where it holds.
    pub closed_form: Option<f64>,
    /// Share of the measured boards that ends in parts, each board cut for the most value.
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

/// The question to the engine.
struct Question {
    boards: Vec<engine::Board>,
    parts: Vec<Part>,
    saw: Saw,
    wish: Wish,
}

pub(super) fn plan(
    task: &Task<'_>,
    boards: &Boards,
    effort: Effort<'_>,
) -> Result<CutPlan, String> {
    fit(task, boards)?;
    let question = Question::new(task, boards);
    let mut work = expectation(task, boards, &question, effort)?;
    if work.per_board <= 0.0 {
        return Err("no board gives one part that is passed on".to_owned());
    }
    let mut parts = task.parts.clone();
    let cuts = if question.boards.is_empty() {
        Vec::new()
    } else {
        pack(&question, &mut work, &mut parts, effort)?
    };
    work.boards = cuts
        .iter()
        .map(|(number, plan)| line(boards, *number, plan))
        .collect();
    let opened = work.boards.len() as u64;
    let stock = StockLine {
        item: boards.item,
        length_m: boards.length.mean(),
        width_m: Some(boards.width.mean()),
        used: if work.pack.as_ref().is_some_and(|pack| pack.enough) {
            opened
        } else {
            boards_for(&parts, &work)
        },
        at_most: None,
        kept: 0.0,
    };
    Ok(CutPlan {
        operation: task.id,
        name: crate::flow::label(task.works, task.id),
        how: how(&work),
        used_share: work.best_share,
        stock: vec![stock],
        parts,
        work: Work::Boards(Box::new(work)),
    })
}

/// Whether each part fits on some board, were it without faults.
fn fit(task: &Task<'_>, boards: &Boards) -> Result<(), String> {
    let measured = boards.measured.iter();
    let sizes = measured.map(|board| (board.length_m, board.width_m));
    let (mut longest_m, mut widest_m) = (boards.length.mean(), boards.width.mean());
    for (length_m, width_m) in sizes {
        longest_m = longest_m.max(length_m);
        widest_m = widest_m.max(width_m);
    }
    for part in &task.parts {
        if part.length_m > longest_m {
            return Err(format!("`{}` is longer than any board", part.name));
        }
        if part.width_m.is_some_and(|width_m| width_m > widest_m) {
            return Err(format!("`{}` is wider than any board", part.name));
        }
    }
    Ok(())
}

/// Boards that the needs take on average.
fn boards_for(parts: &[PartLine], work: &BoardWork) -> u64 {
    let need: u64 = parts.iter().map(|part| part.need).sum();
    if work.per_board > 0.0 {
        (need as f64 / work.per_board).ceil() as u64
    } else {
        0
    }
}

fn how(work: &BoardWork) -> String {
    if work.measured > 0 {
        let lots = if work.lots == 1 { "lot" } else { "lots" };
        return format!(
            "best cuts of {} measured boards of {} {lots}",
            work.measured, work.lots
        );
    }
    "faults at random at the stated rate".to_owned()
}

impl Question {
    fn new(task: &Task<'_>, boards: &Boards) -> Self {
        let across_only = boards.order == CutOrder::AcrossOnly;
        let orders = match boards.order {
            CutOrder::CrossFirst => Orders::CrosscutFirst,
            CutOrder::Either => Orders::Either,
            CutOrder::RipFirst | CutOrder::AcrossOnly => Orders::RipFirst,
        };
        let saw = Saw {
            rip_kerf: ticks::optional(task.cut.kerf.rip.as_ref()),
            cross_kerf: ticks::optional(task.cut.kerf.cross.as_ref()),
            end_trim: ticks::optional(task.cut.trim.ends.as_ref()),
            edge_trim: ticks::optional(task.cut.trim.edges.as_ref()),
            margin_along: ticks::part(boards.margin_along.mean()),
            margin_across: ticks::part(boards.margin_across.mean()),
        };
        let nominal = ticks::stock(boards.width.mean());
        let full = across_only.then_some(nominal);
        Self {
            boards: boards
                .measured
                .iter()
                .map(|board| engine_board(board, full))
                .collect(),
            parts: engine_parts(task, nominal.saturating_sub(2 * saw.edge_trim)),
            saw,
            wish: Wish {
                orders,
                ..Wish::default()
            },
        }
    }

    /// The parts in any number, each worth what the list says or its area.
    fn free(&self, by_area: bool) -> Vec<Part> {
        let free = |part: &Part| Part {
            need: None,
            value: if by_area { part.area() } else { part.value },
            ..*part
        };
        self.parts.iter().map(free).collect()
    }

    /// The most valuable cuts of every board, any number of each part.
    fn best(&self, by_area: bool, effort: Effort<'_>) -> Result<Vec<BoardPlan>, String> {
        let free = self.free(by_area);
        self.boards
            .iter()
            .map(|board| {
                let answer = engine::best_plans(board, &free, &self.saw, &self.wish, effort);
                let mut answer = answer.map_err(|fault| fault.to_string())?;
                Ok(answer.plans.swap_remove(0))
            })
            .collect()
    }

    /// Share of all boards that the plans make into parts.
    fn share(&self, plans: &[BoardPlan]) -> f64 {
        let parts: f64 = plans.iter().map(|plan| plan.area(&self.parts)).sum();
        self.of_boards(parts)
    }

    fn of_boards(&self, area: f64) -> f64 {
        let boards: f64 = self.boards.iter().map(engine::Board::area).sum();
        if boards > 0.0 { area / boards } else { 0.0 }
    }

    fn simple_share(&self) -> Result<f64, String> {
        let free = self.free(true);
        let plans: Result<Vec<BoardPlan>, _> = self
            .boards
            .iter()
            .map(|board| engine::left_to_right(board, &free, &self.saw))
            .collect();
        let plans = plans.map_err(|fault| fault.to_string())?;
        Ok(self.share(&plans))
    }

    fn bound_share(&self) -> Result<f64, String> {
        let free = self.free(true);
        let mut total = 0.0;
        for board in &self.boards {
            total +=
                engine::upper_bound(board, &free, &self.saw).map_err(|fault| fault.to_string())?;
        }
        Ok(self.of_boards(total))
    }
}

/// A measured board in ticks. Where parts are as wide as the board, so is every fault.
fn engine_board(board: &Board, full: Option<u64>) -> engine::Board {
    let width = full.unwrap_or(ticks::stock(board.width_m));
    let mark = |mark: &works::Mark| engine::Mark {
        along: Span::new(ticks::stock(mark.from_m), ticks::part(mark.to_m)),
        across: match full {
            Some(width) => Span::new(0, width),
            None => Span::new(ticks::stock(mark.low_m), ticks::part(mark.high_m)),
        },
        face: match mark.face {
            Face::Front => engine::Face::Front,
            Face::Back => engine::Face::Back,
            Face::Through => engine::Face::Through,
        },
        severity: if mark.sound {
            engine::Severity::Sound
        } else {
            engine::Severity::Unsound
        },
    };
    engine::Board {
        length: ticks::stock(board.length_m),
        width,
        marks: board.marks.iter().map(mark).collect(),
    }
}

/// The cutting list in ticks. What is worth money is worth that; else each part is worth its area.
fn engine_parts(task: &Task<'_>, usable_width: u64) -> Vec<Part> {
    let all_priced = task.cut.parts.iter().all(|part| part.worth.is_some());
    let lines = task.cut.parts.iter().zip(&task.parts);
    lines
        .map(|(part, line)| {
            let length = ticks::part(line.length_m);
            let width = line.width_m.map_or(usable_width, ticks::part);
            let area = length as f64 * width as f64;
            let worth = part.worth.as_ref().filter(|_| all_priced);
            Part {
                length,
                width,
                quality: match part.clear {
                    Clear::Both => Quality::ClearBoth,
                    Clear::One => Quality::ClearOne,
                    Clear::Sound => Quality::Sound,
                },
                value: worth.map_or(area, works::Stated::mean),
                need: Some(line.need),
            }
        })
        .collect()
}

/// Which lines of the list the operation passes on; all of them when none is.
fn passed_on(works: &Works, plan: &[PartLine], id: works::OperationId) -> Vec<bool> {
    let output = works.operation(id).output.item;
    let passed: Vec<bool> = plan.iter().map(|part| part.item == Some(output)).collect();
    if passed.contains(&true) {
        passed
    } else {
        vec![true; plan.len()]
    }
}

/// What to expect of one board, from the measured ones.
fn expectation(
    task: &Task<'_>,
    boards: &Boards,
    question: &Question,
    effort: Effort<'_>,
) -> Result<BoardWork, String> {
    let best = question.best(false, effort)?;
    let by_area = question.best(true, effort)?;
    let passed = passed_on(task.works, &task.parts, task.id);
    let mut lots: BTreeMap<Option<&str>, Vec<f64>> = BTreeMap::new();
    for (board, plan) in boards.measured.iter().zip(&best) {
        let counts = plan.counts(task.parts.len());
        let made = counts.iter().zip(&passed).filter(|(_, passed)| **passed);
        let made: u64 = made.map(|(count, _)| count).sum();
        lots.entry(board.lot.as_deref())
            .or_default()
            .push(made as f64);
    }
    let groups: Vec<Vec<f64>> = lots.into_values().collect();
    let faults = faults(boards);
    let closed_form = closed_form(task, boards, question, faults.as_ref());
    let spread = chance::between(&groups)
        .or(closed_form)
        .ok_or("no board was measured, and faults at random only tell of boards cut across into one length")?;
    Ok(BoardWork {
        measured: boards.measured.len(),
        lots: groups.len(),
        per_board: spread.mean,
        each_sd: spread.within_sd,
        lots_sd: spread.between_sd,
        closed_form: closed_form.map(|form| form.mean),
        faults,
        best_share: question.share(&by_area),
        simple_share: question.simple_share()?,
        bound_share: question.bound_share()?,
        pack: None,
        live: None,
        boards: Vec::new(),
    })
}

/// Faults that cost wood: those of the measured boards, or those stated.
fn faults(boards: &Boards) -> Option<FaultsFound> {
    let margins = 2.0 * boards.margin_along.mean();
    if let Some(stated) = &boards.faults {
        return Some(FaultsFound {
            per_metre: stated.per_metre.mean(),
            lots_sd: stated.lots.as_ref().map_or(0.0, works::Stated::mean),
            counted: None,
            costs_m: stated.long.mean() + margins,
        });
    }
    let marks: Vec<&works::Mark> = boards.measured.iter().flat_map(|b| &b.marks).collect();
    if boards.measured.is_empty() {
        return None;
    }
    let mut lots: BTreeMap<Option<&str>, LotCount> = BTreeMap::new();
    for board in &boards.measured {
        let lot = lots.entry(board.lot.as_deref()).or_insert(LotCount {
            length: 0,
            faults: 0,
        });
        lot.length += ticks::stock(board.length_m);
        lot.faults += board.marks.len() as u64;
    }
    let lots: Vec<LotCount> = lots.into_values().collect();
    let rate = expected::fit_rate(&lots).ok()?.rate;
    let long: f64 = marks.iter().map(|mark| mark.to_m - mark.from_m).sum();
    Some(FaultsFound {
        per_metre: rate.mean / ticks::TICK_M,
        lots_sd: rate.lot_sd / ticks::TICK_M,
        counted: Some(marks.len() as u64),
        costs_m: margins + long / (marks.len().max(1) as f64),
    })
}

/// What faults at random leave of a board that is only cut across: parts that the operation passes on.
fn closed_form(
    task: &Task<'_>,
    boards: &Boards,
    question: &Question,
    faults: Option<&FaultsFound>,
) -> Option<chance::Between> {
    let faults = faults.filter(|_| boards.order == CutOrder::AcrossOnly)?;
    let length = ticks::stock(boards.length.mean());
    let unseen = Unseen {
        length: length.saturating_sub(2 * question.saw.end_trim),
        fault: ticks::part(faults.costs_m),
        kerf: question.saw.cross_kerf,
    };
    let rate = expected::FaultRate {
        mean: faults.per_metre * ticks::TICK_M,
        lot_sd: faults.lots_sd * ticks::TICK_M,
    };
    let wanted: Vec<Wanted> = question
        .parts
        .iter()
        .map(|part| Wanted {
            length: part.length,
            value: part.value,
        })
        .collect();
    let found = expected::expected(&unseen, &wanted, &rate).ok()?;
    let passed = passed_on(task.works, &task.parts, task.id);
    let parts = found.parts.iter().zip(passed).filter(|(_, passed)| *passed);
    let parts: Vec<&PerBoard> = parts.map(|(part, _)| part).collect();
    // Counts of several parts from one board hang together; as if they did not is the best guess here.
    let root = |squares: f64| squares.sqrt();
    Some(chance::Between {
        mean: parts.iter().map(|part| part.mean).sum(),
        within_sd: root(parts.iter().map(|part| part.within_sd.powi(2)).sum()),
        between_sd: root(parts.iter().map(|part| part.lot_sd.powi(2)).sum()),
    })
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
