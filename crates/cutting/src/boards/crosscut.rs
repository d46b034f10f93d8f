//! Exact crosscut of one strip: every part takes the strip's full width.

use super::board::{
    Board, BoardFault, LONGEST, MOST_PARTS, Part, Saw, Span, check_parts, check_question,
    check_saw, most_in_a_row,
};
use super::ground::{Ground, shapes};
use super::plan::{BoardPlan, Order, Placed, Section, Strip, value_of};
use super::strip::{Group, Piece};

/// A cutting list and a saw made ready for many boards.
#[derive(Clone, Debug)]
pub struct Crosscutter {
    parts: Vec<Part>,
    saw: Saw,
    longest: u64,
    widest: u64,
    group: Group,
}

impl Crosscutter {
    /// Ready for boards up to `longest`; a longer one, or one narrower than a part, is taken too, more slowly.
    pub fn new(parts: &[Part], saw: &Saw, longest: u64) -> Result<Self, BoardFault> {
        check_parts(parts)?;
        check_saw(saw)?;
        let longest = longest.min(LONGEST);
        let lengths = parts.iter().map(|part| part.length);
        if most_in_a_row(longest, saw.cross_kerf, lengths) > MOST_PARTS {
            return Err(BoardFault::TooManyParts(0));
        }
        let shapes = shapes(parts);
        Ok(Self {
            parts: parts.to_vec(),
            saw: *saw,
            longest,
            widest: shapes.iter().map(|shape| shape.cross).max().unwrap_or(0),
            group: Group::new(shapes, saw.cross_kerf, longest),
        })
    }

    /// The crosscuts of most value. Parts wider than the usable width are not cut. Needs are not looked at
    /// (a part with need 0 aside): the best is that of a list without needs.
    pub fn best(&self, board: &Board) -> Result<BoardPlan, BoardFault> {
        check_question(0, board, &self.parts, &self.saw)?;
        let ground = Ground::new(board, &self.saw);
        let made;
        let group = if ground.long.length() <= self.longest && self.widest <= ground.cross.length()
        {
            &self.group
        } else {
            made = narrow_group(&self.parts, &ground);
            &made
        };
        let pieces = group.pieces(ground.long, ground.obstacles.iter());
        Ok(crosscut_plan(&self.parts, ground.cross, pieces.into_iter()))
    }
}

/// The parts that are no wider than this board.
fn narrow_group(parts: &[Part], ground: &Ground) -> Group {
    let mut shapes = shapes(parts);
    shapes.retain(|shape| shape.cross <= ground.cross.length());
    Group::new(shapes, ground.long_kerf, ground.long.length())
}

/// The plan of one strip with these parts.
pub(crate) fn crosscut_plan(
    parts: &[Part],
    across: Span,
    pieces: impl Iterator<Item = Piece>,
) -> BoardPlan {
    let mut plan = BoardPlan::empty(Order::Crosscut);
    plan.strips.extend(strip_of(across, pieces));
    plan.value = value_of(parts, &plan.counts(parts.len()));
    plan
}

/// A strip along the board with these parts; none if there are none.
pub(crate) fn strip_of(across: Span, pieces: impl Iterator<Item = Piece>) -> Option<Strip> {
    let section = |(part, along)| Section {
        span: along,
        parts: vec![Placed {
            part,
            along,
            across,
        }],
    };
    let sections: Vec<Section> = pieces.map(section).collect();
    (!sections.is_empty()).then_some(Strip {
        span: across,
        sections,
    })
}

/// The crosscuts of most value for one board. To cut many with one list, see [`Crosscutter`].
pub fn best_crosscut(board: &Board, parts: &[Part], saw: &Saw) -> Result<BoardPlan, BoardFault> {
    Crosscutter::new(parts, saw, board.length)?.best(board)
}
