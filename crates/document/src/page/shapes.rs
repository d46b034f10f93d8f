//! The sections of the page on cutting, drilling and filling.

use maud::{Markup, html};
use picture::{
    Frame, at_both_widths, bar_patterns, board_cuts, drill_pattern, frame_strip, sheet_layouts,
    yield_bars,
};
use planning::cutting::{CutPlan, FrameBlank, Work};
use planning::drilling::DrillPlan;

use super::part::{figure, warnings};
use super::{Page, drawn};
use crate::table;

/// Rows of a pattern or cut list that the page shows; the saw list has all.
const ROWS: usize = 60;
/// Holes that the page lists.
const HOLES: usize = 120;

impl Page<'_> {
    pub(super) fn cutting(&self) -> Markup {
        html! {
            p.lead { "What each list takes of its stock, by the best plan found. Every plan was checked against the list by a checker that shares nothing with the search." }
            (self.table(&table::cutting_lists(self.ground)))
            (self.table(&table::stock_cut_up(self.ground)))
            @for (number, plan) in self.ground.plan.cutting.iter().enumerate() {
                h3 { (plan.name) }
                (self.cut_picture(number, plan))
                @for part in &plan.parts {
                    @if let Some(blank) = &part.frame { (Self::frame_picture(number, &part.name, blank)) }
                }
                @let (list, left_out) = table::patterns(plan).first(ROWS);
                details.more { summary { "The list for the saw" }
                    (self.table(&list))
                    @if left_out > 0 { p.note { "and " (left_out) " more; `linewright cut --out DIR` writes all of it" } }
                }
            }
            (self.table(&table::boards(self.ground)))
            (self.table(&table::frames(self.ground)))
        }
    }

    fn cut_picture(&self, number: usize, plan: &CutPlan) -> Markup {
        let frame = |id: &str, title: &str, words: &str| {
            Frame::new(format!("{id}-{number}"), format!("{}: {title}", plan.name)).described(words)
        };
        match &plan.work {
            Work::Boards(work) if work.measured > 0 => {
                let yields = drawn::yields(plan, work);
                let boards = drawn::boards(self.ground.works, plan, work);
                let yield_frame = frame(
                    "yield",
                    "yield",
                    "Share of the measured boards that ends in parts: best cuts, cutting from the left end, and an upper bound.",
                );
                let board_frame = frame(
                    "boards",
                    "boards with faults",
                    "Measured boards to scale with their marks and the cuts to make.",
                );
                html! {
                    (figure(at_both_widths(&yield_frame, |f| yield_bars(f, &yields)), "Share used by the best cuts, against cutting from the left end (diamond) and what no cutting exceeds (upright)."))
                    (figure(at_both_widths(&board_frame, |f| board_cuts(f, &boards)), "The first boards with faults and how they are cut."))
                }
            }
            Work::Boards(_) => html! {},
            Work::Bars(work) => {
                let bars = drawn::bars(plan, work);
                let frame = frame(
                    "bars",
                    "patterns",
                    "How lengths are cut from each piece of stock, and how many pieces are cut so.",
                );
                figure(
                    at_both_widths(&frame, |f| bar_patterns(f, &bars)),
                    "Patterns, with how many pieces of stock are cut so.",
                )
            }
            Work::Sheets(work) => {
                let sheets = drawn::sheets(self.ground.works, plan, work);
                let frame = frame(
                    "sheets",
                    "layouts",
                    "Parts on each sheet to scale, the cuts in order, and how many sheets are cut so.",
                );
                figure(
                    at_both_widths(&frame, |f| sheet_layouts(f, &sheets)),
                    "Layouts, with how many sheets are cut so; first cuts are numbered in order.",
                )
            }
        }
    }

    fn frame_picture(number: usize, name: &str, blank: &FrameBlank) -> Markup {
        let strip = drawn::frame(blank);
        let frame = Frame::new(
            format!("frame-{number}"),
            format!("{name}, flat and folded"),
        )
        .described(
            "The notched strip laid flat with its notches, and the frame that it folds into.",
        );
        figure(
            at_both_widths(&frame, |f| frame_strip(f, &strip)),
            &format!(
                "{name}: the strip laid flat and the frame it folds into. Notches are where the folds are; try one before a batch."
            ),
        )
    }

    pub(super) fn drilling(&self) -> Markup {
        html! {
            p.lead { "Holes held against edges and each other, put in order, and timed by the motion of the machine." }
            (self.table(&table::drilling(self.ground)))
            (self.table(&table::filling(self.ground)))
            @for (number, plan) in self.ground.plan.drilling.iter().enumerate() {
                h3 { (plan.name) }
                @if !plan.keeps_rules() { (warnings(plan.broken.iter().take(5).map(|broken| broken.words.as_str()))) }
                (Self::drill_picture(number, plan))
                details.more { summary { "Tools and holes" }
                    (self.table(&table::tools(plan)))
                    @let (holes, left_out) = table::holes(plan).first(HOLES);
                    (self.table(&holes))
                    @if left_out > 0 { p.note { "and " (left_out) " more; `linewright drill --out DIR` writes all of them" } }
                }
            }
            p.note { "Machine programs that `linewright drill --out DIR` writes are calculated and not proved on any machine: a competent person checks them against the machine's manual, simulates, and runs them dry first." }
        }
    }

    fn drill_picture(number: usize, plan: &DrillPlan) -> Markup {
        let pattern = drawn::drill(plan);
        let frame = Frame::new(format!("drill-{number}"), format!("{}: holes", plan.name))
            .described("The face with its holes to scale and the way of the heads through them.");
        figure(
            at_both_widths(&frame, |f| drill_pattern(f, &pattern)),
            "The face with its holes, and the order in which they are drilled.",
        )
    }
}
