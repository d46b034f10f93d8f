//! A pack of boards cut for a list: needs met with the least wood.
//!
//! Minimise the area of the boards opened so that every part is made as often as needed. With a price πᵢ for
//! each part, L(π) = Σ πᵢ·needᵢ + Σ_b min(0, area_b − best_b(π)) bounds the area from below for any π ≥ 0, best_b
//! being the exact best two-stage value of a board at those prices (Lagrangian relaxation of the needs; the
//! same bound as column generation over all plans of all boards, Geoffrion 1974). `prices` climbs it;
//! `choice` picks boards and plans from all that were met on the way; the gap between the two is stated.

mod choice;
mod opening;
mod prices;

use effort::Effort;

use super::board::{Board, BoardFault, Part, Saw, check_parts, check_question, check_saw};
use super::check::{PlanFault, check};
use super::plan::{BoardPlan, value_of};
use super::whole::{Wish, reaches};
use choice::choose;
use opening::Opening;
use prices::{Climb, Yard};

/// The question: boards at hand, needs, saw, and how boards may be cut.
#[derive(Clone, Copy, Debug)]
pub struct Pack<'a> {
    /// The boards that may be opened.
    pub boards: &'a [Board],
    /// The list; every part has a need. Values do not matter: the wood does.
    pub parts: &'a [Part],
    /// The saw.
    pub saw: &'a Saw,
    /// How a board may be cut; `keep` does not matter, and there is no salvage.
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
    /// Whatever meets the needs by two-stage plans within the wish opens at least this area. Above the area of
    /// the whole pack, it proves that the pack is too small.
    pub bound: f64,
    /// Whether it is proved that no plan within the wish opens less or, if needs are short, that none meets them.
    pub proved: bool,
    /// What one more of each part costs in area of boards, at the bound.
    pub prices: Vec<f64>,
}

/// Needs met with the least area of boards opened, or as nearly met as can be if the pack is too small.
///
/// A step is one board solved once. Without a limit the search ends by itself when it stalls.
pub fn cut_pack(pack: &Pack<'_>, effort: Effort<'_>) -> Result<PackPlan, BoardFault> {
    check_pack_question(pack)?;
    let yard = Yard::new(pack);
    let mut meter = effort.meter();
    let mut climb = Climb::new(&yard);
    climb.scale(&mut meter);
    let first = Opening::greedy(&yard, &climb.best, &mut meter);
    climb.up(first.area_if_met(&yard), &mut meter);
    let opening = choose(&yard, &climb, first, &mut meter);
    Ok(answer(&yard, &climb, opening))
}

fn answer(yard: &Yard<'_>, climb: &Climb<'_>, opening: Opening) -> PackPlan {
    let pack = yard.pack;
    let made = opening.made.clone();
    let short: Vec<u64> = yard
        .needs
        .iter()
        .zip(&made)
        .map(|(need, made)| need.saturating_sub(*made))
        .collect();
    let area = opening.area(yard);
    let met = short.iter().all(|&n| n == 0);
    let cut = |(board, mut plan): (usize, BoardPlan)| {
        plan.value = value_of(pack.parts, &plan.counts(pack.parts.len()));
        BoardCut { board, plan }
    };
    let bound = climb.best.bound.max(0.0);
    PackPlan {
        cuts: opening.plans.into_iter().map(cut).collect(),
        proved: if met {
            reaches(-area, -bound)
        } else {
            bound > yard.area()
        },
        made,
        short,
        area,
        bound,
        prices: climb.best.prices.clone(),
    }
}

fn check_pack_question(pack: &Pack<'_>) -> Result<(), BoardFault> {
    for (number, board) in pack.boards.iter().enumerate() {
        check_question(number, board, pack.parts, pack.saw)?;
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
