//! What to expect of one board: from measured ones, or from faults at random.
//!
//! With one part on the list a board yields so many of it, whatever is needed. With several the mix matters: boards like
//! the measured ones are cut for the list as a whole, in its proportions, and the share of wood that ends in parts
//! tells what each part takes.

use std::collections::BTreeMap;

use cutting::boards::expected::{self, Expected, LotCount, Unseen, Wanted};
use cutting::boards::{self as engine, Part, Quality};
use effort::Effort;
use works::{Boards, CutOrder, Stated};

use super::super::{Task, ticks};
use super::question::Question;
use super::{BoardWork, FaultsFound};

/// More faults in a metre than this are no board.
const MOST_FAULTS_PER_METRE: f64 = 200.0;
/// Rounds of pricing for a list of several parts; few parts settle in a handful.
const MIX_ROUNDS: usize = 40;

/// What one board gives, by area.
struct Yield {
    /// Share of a board that ends in parts of the list.
    share: f64,
    /// Standard deviation from board to board inside a lot, relative to the mean.
    each_cv: f64,
    /// Standard deviation of the lots' means, relative to the mean.
    lots_cv: f64,
}

impl Yield {
    fn of(share: f64, spread: chance::Between) -> Self {
        let relative = |sd: f64| {
            if spread.mean > 0.0 {
                sd / spread.mean
            } else {
                0.0
            }
        };
        Self {
            share,
            each_cv: relative(spread.within_sd),
            lots_cv: relative(spread.between_sd),
        }
    }
}

/// Everything expected, the measured boards not yet cut for the list.
pub(super) fn expectation(
    task: &Task<'_>,
    boards: &Boards,
    question: &Question,
    effort: Effort<'_>,
) -> Result<BoardWork, String> {
    let faults = faults(boards);
    if faults
        .as_ref()
        .is_some_and(|faults| faults.per_metre > MOST_FAULTS_PER_METRE)
    {
        return Err(format!(
            "more than {MOST_FAULTS_PER_METRE} faults in a metre leave no board"
        ));
    }
    let form = closed_form(boards, question, faults.as_ref());
    let found = if question.boards.is_empty() {
        let form = form.as_ref().ok_or(
            "no board was measured, and faults at random only tell of boards that are cut across",
        )?;
        let mean = form.value.mean / nominal_area(boards);
        Yield::of(mean, as_spread(&form.value))
    } else if task.parts.len() == 1 {
        counted(boards, question, effort)?
    } else {
        listed(boards, question, effort)?
    };
    if found.share <= 0.0 {
        return Err("not one part of the list comes out of these boards".to_owned());
    }
    let shares = Shares::of(task, boards, question, found.share);
    Ok(BoardWork {
        measured: boards.measured.len(),
        lots: by_lot(boards, boards.measured.iter().map(|_| 0.0)).len(),
        per_board: shares.per_board,
        each_sd: shares.per_board * found.each_cv,
        lots_sd: shares.per_board * found.lots_cv,
        boards_for_list: shares.boards_for_list,
        list_share: found.share,
        across_only: boards.order == CutOrder::AcrossOnly,
        closed_form: form
            .filter(|_| task.parts.len() == 1)
            .map(|form| form.parts.iter().map(|part| part.mean).sum()),
        faults,
        best_share: question.share(&question.best(true, effort)?),
        simple_share: question.simple_share()?,
        bound_share: question.bound_share()?,
        pack: None,
        live: None,
        boards: Vec::new(),
    })
}

/// What the share of wood means for the list.
struct Shares {
    per_board: f64,
    boards_for_list: f64,
}

impl Shares {
    /// The wood of parts that the route knows is shared out over what it passes on; parts of no route take
    /// their own.
    fn of(task: &Task<'_>, boards: &Boards, question: &Question, share: f64) -> Self {
        let output = task.works.operation(task.id).output.item;
        let (mut all, mut own, mut passed) = (0.0, 0.0, 0.0);
        for (line, part) in task.parts.iter().zip(&question.parts) {
            let area = line.need as f64 * part.area();
            all += area;
            if line.item.is_some() {
                own += area;
            }
            if line.item == Some(output) {
                passed += line.need as f64;
            }
        }
        let board = mean_area(boards, question);
        let boards_for_list = all / (share * board);
        Self {
            per_board: if own > 0.0 {
                passed * share * board / own
            } else {
                0.0
            },
            boards_for_list,
        }
    }
}

fn nominal_area(boards: &Boards) -> f64 {
    ticks::stock(boards.length.mean()) as f64 * ticks::stock(boards.width.mean()) as f64
}

/// Of the measured boards, else of one nobody has measured; square ticks.
fn mean_area(boards: &Boards, question: &Question) -> f64 {
    if question.boards.is_empty() {
        nominal_area(boards)
    } else {
        question.area() / question.boards.len() as f64
    }
}

fn as_spread(form: &expected::PerBoard) -> chance::Between {
    chance::Between {
        mean: form.mean,
        within_sd: form.within_sd,
        between_sd: form.lot_sd,
    }
}

/// Values of the measured boards, lot by lot.
fn by_lot(boards: &Boards, values: impl Iterator<Item = f64>) -> Vec<Vec<f64>> {
    let mut lots: BTreeMap<Option<&str>, Vec<f64>> = BTreeMap::new();
    for (board, value) in boards.measured.iter().zip(values) {
        lots.entry(board.lot.as_deref()).or_default().push(value);
    }
    lots.into_values().collect()
}

/// One part: so many from each board, each cut for the most.
fn counted(boards: &Boards, question: &Question, effort: Effort<'_>) -> Result<Yield, String> {
    let best = question.best(false, effort)?;
    let counts = best.iter().map(|plan| plan.counts(1)[0] as f64);
    let spread = chance::between(&by_lot(boards, counts)).ok_or("no board was measured")?;
    Ok(Yield::of(question.share(&best), spread))
}

/// Several parts: the wood that the list takes when boards like the measured ones are cut as they come, in the mix of
/// cuts that gives the list most often. The spread is that of what each board is worth to the list.
fn listed(boards: &Boards, question: &Question, effort: Effort<'_>) -> Result<Yield, String> {
    let found = engine::mix(
        &question.boards,
        &question.parts,
        &question.saw,
        &question.wish,
        MIX_ROUNDS,
        effort,
    );
    let found = found.map_err(|fault| fault.to_string())?;
    let spread = chance::between(&by_lot(boards, found.worth.iter().copied()))
        .ok_or("no board was measured")?;
    let need = |part: &Part| part.need.unwrap_or(0) as f64;
    let list: f64 = question
        .parts
        .iter()
        .map(|part| need(part) * part.area())
        .sum();
    Ok(Yield::of(found.lists * list / question.area(), spread))
}

/// Faults that cost wood: those stated, or those of the measured boards.
fn faults(boards: &Boards) -> Option<FaultsFound> {
    let margins = 2.0 * boards.margin_along.mean();
    if let Some(stated) = &boards.faults {
        return Some(FaultsFound {
            per_metre: stated.per_metre.mean(),
            lots_sd: stated.lots.as_ref().map_or(0.0, Stated::mean),
            counted: None,
            costs_m: stated.long.mean() + margins,
        });
    }
    let marks: Vec<&works::Mark> = boards.measured.iter().flat_map(|b| &b.marks).collect();
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

/// What faults at random leave of a board that is only cut across. Where parts differ in what their faces must
/// be like, or one face may have faults, there is no such form: then a fault does not simply cost its length.
fn closed_form(
    boards: &Boards,
    question: &Question,
    faults: Option<&FaultsFound>,
) -> Option<Expected> {
    let faults = faults.filter(|_| boards.order == CutOrder::AcrossOnly)?;
    let all_clear = |part: &Part| part.quality == Quality::ClearBoth;
    if faults.counted.is_some() && !question.parts.iter().all(all_clear) {
        return None;
    }
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
            value: part.area(),
        })
        .collect();
    expected::expected(&unseen, &wanted, &rate).ok()
}
