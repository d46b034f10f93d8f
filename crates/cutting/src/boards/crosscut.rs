//! Exact crosscut of one strip: every part takes the strip's full width.

use super::board::{Board, BoardFault, Part, Saw, Span, check_board, check_parts, check_saw};
use super::ground::{Ground, shapes, starts};
use super::line::{Item, Line};
use super::plan::{BoardPlan, Order, Placed, Section, Strip, value_of};

/// A cutting list and a saw made ready for many boards.
#[derive(Clone, Debug)]
pub struct Crosscutter {
    parts: Vec<Part>,
    saw: Saw,
}

impl Crosscutter {
    /// Ready for boards up to `longest` (longer ones are taken too, more slowly).
    pub fn new(parts: &[Part], saw: &Saw, longest: u64) -> Result<Self, BoardFault> {
        check_parts(parts)?;
        check_saw(saw)?;
        let _ = longest;
        Ok(Self {
            parts: parts.to_vec(),
            saw: *saw,
        })
    }

    /// The crosscuts of most value. Parts wider than the usable width are not cut. Needs are not looked at
    /// (a part with need 0 aside): the best is that of a list without needs.
    pub fn best(&self, board: &Board) -> Result<BoardPlan, BoardFault> {
        check_board(0, board)?;
        let ground = Ground::new(board, &self.saw);
        let shapes: Vec<_> = shapes(&self.parts)
            .into_iter()
            .filter(|shape| shape.cross <= ground.cross.length())
            .collect();
        let item = |shape: &super::ground::Shape| Item {
            length: shape.long,
            starts: starts(
                ground.long,
                &ground.obstacles,
                shape.long,
                shape.quality,
                shape.value,
            ),
        };
        let items: Vec<Item> = shapes.iter().map(item).collect();
        let line = Line {
            items: &items,
            kerf: ground.long_kerf,
            end: ground.long.to,
        };
        let best = line.best(1, |_| f64::INFINITY).swap_remove(0);
        let laid = best.laid.iter().map(|laid| {
            let shape = &shapes[laid.item];
            (shape.part, Span::new(laid.start, laid.start + shape.long))
        });
        Ok(crosscut_plan(&self.parts, ground.cross, laid))
    }
}

/// The plan of one strip with these parts.
pub(crate) fn crosscut_plan(
    parts: &[Part],
    across: Span,
    laid: impl Iterator<Item = (usize, Span)>,
) -> BoardPlan {
    let section = |(part, along)| Section {
        span: along,
        parts: vec![Placed {
            part,
            along,
            across,
        }],
    };
    let sections: Vec<Section> = laid.map(section).collect();
    let mut plan = BoardPlan::empty(Order::Crosscut);
    if !sections.is_empty() {
        plan.strips.push(Strip {
            span: across,
            sections,
        });
    }
    plan.value = value_of(parts, &plan.counts(parts.len()));
    plan
}

/// The crosscuts of most value for one board. To cut many with one list, see [`Crosscutter`].
pub fn best_crosscut(board: &Board, parts: &[Part], saw: &Saw) -> Result<BoardPlan, BoardFault> {
    Crosscutter::new(parts, saw, board.length)?.best(board)
}
