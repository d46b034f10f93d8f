//! A pack of boards cut for a list: needs met with the least wood.

use effort::Effort;

use super::board::{Board, BoardFault, Part, Saw, check_board, check_parts, check_saw};
use super::check::{PlanFault, check};
use super::plan::BoardPlan;
use super::whole::{Wish, best_plans};

/// The question: boards at hand, needs, saw, and how boards may be cut.
#[derive(Clone, Copy, Debug)]
pub struct Pack<'a> {
    /// The boards that may be opened.
    pub boards: &'a [Board],
    /// The list; every part has a need. Values do not matter: the wood does.
    pub parts: &'a [Part],
    /// The saw.
    pub saw: &'a Saw,
    /// How a board may be cut; `keep` does not matter.
    pub wish: &'a Wish,
}

/// A board that is opened, and its cuts.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct BoardCut {
    /// Which board of the pack, from 0.
    pub board: usize,
    /// Its cuts. The value is that of the list for this board alone.
    pub plan: BoardPlan,
}

/// Which boards to open and how to cut each.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct PackPlan {
    /// Boards opened, by number.
    pub cuts: Vec<BoardCut>,
    /// How many of each part are cut, those beyond the need included.
    pub made: Vec<u64>,
    /// How many of each part are short; all zero if the needs are met.
    pub short: Vec<u64>,
    /// Area of the boards opened, in units².
    pub area: f64,
    /// Whatever meets the needs opens at least this area. Above the area of the whole pack, it proves that
    /// the pack is too small.
    pub bound: f64,
    /// Whether no plan opens less.
    pub proved: bool,
    /// What one more of each part costs in area of boards, at the bound.
    pub prices: Vec<f64>,
}

/// Needs met with the least area of boards opened, or as nearly met as can be if the pack is too small.
///
/// A step is one board solved once.
pub fn cut_pack(pack: &Pack<'_>, effort: Effort<'_>) -> Result<PackPlan, BoardFault> {
    check_pack_question(pack)?;
    let mut left: Vec<u64> = pack
        .parts
        .iter()
        .map(|part| part.need.unwrap_or(0))
        .collect();
    let mut plan = PackPlan {
        cuts: Vec::new(),
        made: vec![0; left.len()],
        short: Vec::new(),
        area: 0.0,
        bound: 0.0,
        proved: false,
        prices: pack.parts.iter().map(Part::area).collect(),
    };
    for (number, board) in pack.boards.iter().enumerate() {
        if left.iter().all(|&n| n == 0) {
            break;
        }
        let wanted = with_needs(pack.parts, &left);
        let best = best_plans(board, &wanted, pack.saw, pack.wish, effort)?
            .plans
            .swap_remove(0);
        let counts = best.counts(left.len());
        if counts.iter().all(|&n| n == 0) {
            continue;
        }
        for (part, count) in counts.into_iter().enumerate() {
            left[part] = left[part].saturating_sub(count);
            plan.made[part] += count;
        }
        plan.area += board.area();
        let mut best = best;
        best.value = super::plan::value_of(pack.parts, &best.counts(left.len()));
        plan.cuts.push(BoardCut {
            board: number,
            plan: best,
        });
    }
    plan.short = left;
    Ok(plan)
}

/// The list with other needs, each worth its area.
fn with_needs(parts: &[Part], left: &[u64]) -> Vec<Part> {
    let part = |(part, &need): (&Part, &u64)| Part {
        need: Some(need),
        value: part.area(),
        ..*part
    };
    parts.iter().zip(left).map(part).collect()
}

fn check_pack_question(pack: &Pack<'_>) -> Result<(), BoardFault> {
    for (number, board) in pack.boards.iter().enumerate() {
        check_board(number, board)?;
    }
    check_parts(pack.parts)?;
    check_saw(pack.saw)?;
    match pack.parts.iter().position(|part| part.need.is_none()) {
        Some(part) => Err(BoardFault::NoNeed(part)),
        None => Ok(()),
    }
}

/// What is wrong with a pack's plan.
#[derive(Clone, Debug, PartialEq, serde::Serialize, thiserror::Error)]
pub enum PackFault {
    /// A board is not in the pack, or is opened twice.
    #[error("board {0} is not in the pack or is opened twice")]
    BadBoard(usize),
    /// The cuts of a board do not hold.
    #[error("the cuts of board {board} do not hold: {faults:?}")]
    BadCuts {
        /// Which board.
        board: usize,
        /// What is wrong.
        faults: Vec<PlanFault>,
    },
    /// The stated numbers made or short are not those of the cuts.
    #[error("part {0}: the numbers stated as made or short are not those of the cuts")]
    WrongCount(usize),
    /// The stated area is not that of the boards opened.
    #[error("stated area {stated}, boards opened {counted}")]
    WrongArea {
        /// What the plan says.
        stated: f64,
        /// Area of the boards opened.
        counted: f64,
    },
    /// Less wood is opened than the bound allows, though the needs are met.
    #[error("needs met with {area}, below the bound {bound}")]
    BelowBound {
        /// Area of the boards opened.
        area: f64,
        /// The bound stated.
        bound: f64,
    },
}

/// Every rule a pack's plan breaks; none if it holds.
pub fn check_pack(pack: &Pack<'_>, plan: &PackPlan) -> Result<(), Vec<PackFault>> {
    let mut faults = Vec::new();
    let mut opened = vec![false; pack.boards.len()];
    let (mut area, mut made) = (0.0, vec![0; pack.parts.len()]);
    for cut in &plan.cuts {
        match opened.get_mut(cut.board) {
            Some(seen) if !*seen => *seen = true,
            _ => {
                faults.push(PackFault::BadBoard(cut.board));
                continue;
            }
        }
        let board = &pack.boards[cut.board];
        area += board.area();
        for (total, count) in made.iter_mut().zip(cut.plan.counts(pack.parts.len())) {
            *total += count;
        }
        if let Err(found) = check(board, pack.parts, pack.saw, &cut.plan) {
            faults.push(PackFault::BadCuts {
                board: cut.board,
                faults: found,
            });
        }
    }
    for (number, part) in pack.parts.iter().enumerate() {
        let short = part.need.unwrap_or(0).saturating_sub(made[number]);
        if plan.made.get(number) != Some(&made[number]) || plan.short.get(number) != Some(&short) {
            faults.push(PackFault::WrongCount(number));
        }
    }
    if (plan.area - area).abs() > 1e-9 * area {
        faults.push(PackFault::WrongArea {
            stated: plan.area,
            counted: area,
        });
    }
    let met = plan.short.iter().all(|&n| n == 0);
    if met && plan.bound > area * (1.0 + 1e-9) {
        faults.push(PackFault::BelowBound {
            area,
            bound: plan.bound,
        });
    }
    if faults.is_empty() {
        Ok(())
    } else {
        Err(faults)
    }
}
