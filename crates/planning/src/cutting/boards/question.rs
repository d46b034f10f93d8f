//! The question to the engine: boards, parts and saw in ticks.

use cutting::boards::{
    self as engine, BoardPlan, Orders, Part, Quality, Saw, Span, Wish, left_to_right,
    rip_and_left_to_right, upper_bound,
};
use effort::Effort;
use works::{Board, Boards, Clear, CutOrder, Face};

use super::super::{Task, ticks};

/// Boards, parts and rules as the engine has them.
pub(super) struct Question {
    pub(super) boards: Vec<engine::Board>,
    pub(super) parts: Vec<Part>,
    pub(super) saw: Saw,
    pub(super) wish: Wish,
}

impl Question {
    pub(super) fn new(task: &Task<'_>, boards: &Boards) -> Self {
        let saw = Saw {
            rip_kerf: ticks::optional(task.cut.kerf.rip.as_ref()),
            cross_kerf: ticks::optional(task.cut.kerf.cross.as_ref()),
            end_trim: ticks::optional(task.cut.trim.ends.as_ref()),
            edge_trim: ticks::optional(task.cut.trim.edges.as_ref()),
            margin_along: ticks::part(boards.margin_along.mean()),
            margin_across: ticks::part(boards.margin_across.mean()),
        };
        let measured: Vec<engine::Board> = boards.measured.iter().map(engine_board).collect();
        // A part without a width takes the board's own, whichever board it comes from.
        let nominal = ticks::stock(boards.width.mean());
        let narrowest = measured
            .iter()
            .map(|board| board.width)
            .fold(nominal, u64::min);
        Self {
            boards: measured,
            parts: engine_parts(task, narrowest.saturating_sub(2 * saw.edge_trim)),
            saw,
            wish: Wish {
                orders: match boards.order {
                    CutOrder::AcrossOnly => Orders::Crosscut,
                    CutOrder::RipFirst => Orders::RipFirst,
                    CutOrder::CrossFirst => Orders::CrosscutFirst,
                    CutOrder::Either => Orders::Either,
                },
                ..Wish::default()
            },
        }
    }

    /// Refuses a part that is larger than every board.
    pub(super) fn parts_fit(&self, task: &Task<'_>, boards: &Boards) -> Result<(), String> {
        let nominal = engine::Board {
            length: ticks::stock(boards.length.mean()),
            width: ticks::stock(boards.width.mean()),
            marks: Vec::new(),
        };
        let all = || self.boards.iter().chain(std::iter::once(&nominal));
        let most = |size: &dyn Fn(&engine::Board) -> u64| all().map(size).max().unwrap_or(0);
        let longest = most(&|board| self.saw.usable_along(board).length());
        let widest = most(&|board| self.saw.usable_across(board).length());
        for (part, line) in self.parts.iter().zip(&task.parts) {
            if part.length > longest {
                return Err(format!("`{}` is longer than any board", line.name));
            }
            if part.width > widest || part.width == 0 {
                return Err(format!("`{}` is wider than any board", line.name));
            }
        }
        Ok(())
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

    /// The best cuts of every board, any number of each part: by area or by worth.
    pub(super) fn best(&self, by_area: bool, effort: Effort<'_>) -> Result<Vec<BoardPlan>, String> {
        let free = self.free(by_area);
        let best = |board| {
            let answer = engine::best_plans(board, &free, &self.saw, &self.wish, effort);
            let mut answer = answer.map_err(|fault| fault.to_string())?;
            Ok(answer.plans.swap_remove(0))
        };
        self.boards.iter().map(best).collect()
    }

    /// Area of all boards, in square ticks.
    pub(super) fn area(&self) -> f64 {
        self.boards.iter().map(engine::Board::area).sum()
    }

    /// Share of all boards that the plans make into parts.
    pub(super) fn share(&self, plans: &[BoardPlan]) -> f64 {
        let parts: f64 = plans.iter().map(|plan| plan.area(&self.parts)).sum();
        if plans.is_empty() {
            0.0
        } else {
            parts / self.area()
        }
    }

    /// The same for an operator who takes the longest part that is clear, from the left end; boards that may be
    /// ripped are first ripped into the widest parts that fit.
    pub(super) fn simple_share(&self) -> Result<f64, String> {
        let free = self.free(true);
        let simple = |board| {
            let plan = if self.wish.orders == Orders::Crosscut {
                left_to_right(board, &free, &self.saw)
            } else {
                rip_and_left_to_right(board, &free, &self.saw)
            };
            plan.map_err(|fault| fault.to_string())
        };
        let plans: Result<Vec<BoardPlan>, String> = self.boards.iter().map(simple).collect();
        Ok(self.share(&plans?))
    }

    /// Share that no cutting of these boards exceeds.
    pub(super) fn bound_share(&self) -> Result<f64, String> {
        let free = self.free(true);
        let mut total = 0.0;
        for board in &self.boards {
            total += upper_bound(board, &free, &self.saw).map_err(|fault| fault.to_string())?;
        }
        Ok(if total > 0.0 {
            (total / self.area()).min(1.0)
        } else {
            0.0
        })
    }
}

fn engine_board(board: &Board) -> engine::Board {
    let mark = |mark: &works::Mark| engine::Mark {
        along: Span::new(ticks::stock(mark.from_m), ticks::part(mark.to_m)),
        across: Span::new(ticks::stock(mark.low_m), ticks::part(mark.high_m)),
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
        width: ticks::stock(board.width_m),
        marks: board.marks.iter().map(mark).collect(),
    }
}

/// The cutting list. What is worth money is worth that; else each part is worth its area.
fn engine_parts(task: &Task<'_>, own_width: u64) -> Vec<Part> {
    let all_priced = task.cut.parts.iter().all(|part| part.worth.is_some());
    let part = |(part, line): (&works::CutPart, &super::super::PartLine)| {
        let length = ticks::part(line.length_m);
        let width = line.width_m.map_or(own_width, ticks::part);
        let worth = part.worth.as_ref().filter(|_| all_priced);
        Part {
            length,
            width,
            quality: match part.clear {
                Clear::Both => Quality::ClearBoth,
                Clear::One => Quality::ClearOne,
                Clear::Sound => Quality::Sound,
            },
            value: worth.map_or(length as f64 * width as f64, works::Stated::mean),
            need: Some(line.need),
        }
    };
    task.cut.parts.iter().zip(&task.parts).map(part).collect()
}
