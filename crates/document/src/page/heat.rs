//! The section of the page on heat: verdicts first, then pictures, with the tables folded away.

use maud::{Markup, html};
use picture::{
    Frame, at_both_widths, heat_history, load_pull_down, probe_judgement, profile_curves,
    window_map,
};
use planning::heat::{HeatPlan, LogLine};

use super::part::{figure, warnings};
use super::{Page, drawn};
use crate::table;

impl Page<'_> {
    /// Recipes that do not do their job or do it by little, for the top of the page.
    pub(super) fn recipes_to_look_at(&self) -> Markup {
        let found = table::recipes_to_look_at(self.ground);
        html! {
            @if !found.is_empty() {
                div {
                    h3 { "Recipes that need attention" }
                    ul {
                        @for one in &found {
                            li { a href={ "#" (one.anchor) } { (one.name) } ": " (one.why) }
                        }
                    }
                }
            }
        }
    }

    /// What goes through heat or cold, then salt, drying, solvent and moulding. Each recipe has its subsection.
    pub(super) fn heat(&self) -> Markup {
        html! {
            p.lead { "Each recipe held against what it must do, for the slowest and the fastest piece that the works states." }
            @let without = table::recipes_without_answer(self.ground, None);
            (warnings(without.iter().map(String::as_str)))
            @let without = table::beside_without_answer(self.ground, None);
            (warnings(without.iter().map(|(_, words)| words.as_str())))
            (self.table(&table::recipes(self.ground).only(&[0, 1, 2, 3, 4, 5, 6])))
            (self.table(&table::beside_heat(self.ground).only(&[0, 1, 2])))
            (self.table(&table::heat_starts(self.ground)))
            @for (number, plan) in self.ground.plan.heat.iter().enumerate() { (self.recipe(number, plan)) }
            @for (number, telling) in table::tellings(self.ground) { (self.beside_heat(number, &telling)) }
            p.note { (table::WHO_DECIDES) }
        }
    }

    fn recipe(&self, number: usize, plan: &HeatPlan) -> Markup {
        let good = table::good(plan);
        let verdict = format!("{}.", table::title(&table::recipe_verdict(plan)));
        html! {
            h3 id={ "heat-" (number) } { (plan.name) }
            @if !plan.supposed.is_empty() { p.note { "Supposing " (plan.supposed.join(", ")) ":" } }
            @if good { p.lead { (verdict) } } @else { p.verdict { (verdict) } }
            @for line in table::window_lines(plan) { p { (line) } }
            @for line in table::limit_lines(plan) { p.note { (line) } }
            (self.heat_pictures(number, plan))
            @for (at, log) in plan.logs.iter().enumerate() { (Self::log_pictures((number, at), self, plan, log)) }
            details.more.tables { summary { "Needs, pieces, stages, windows, changes" }
                (self.table(&table::heat_needs(plan)))
                (self.table(&table::heat_pieces(plan)))
                (self.table(&table::heat_stages(plan)))
                (self.table(&table::heat_map(plan)))
                (self.table(&table::heat_changes(plan)))
                @if let Some(load) = &plan.load { (self.table(&table::heat_loads(plan, load))) }
                @for log in &plan.logs { (self.table(&table::heat_probes(plan, log))) }
            }
            @if !plan.cautions.is_empty() {
                div.cautions { @for words in &plan.cautions { div { (words) } } }
            }
        }
    }

    fn heat_pictures(&self, number: usize, plan: &HeatPlan) -> Markup {
        let frame = |id: &str, title: &str, words: &str| {
            Frame::new(format!("{id}-{number}"), format!("{}: {title}", plan.name)).described(words)
        };
        let history = drawn::heat::history(self.ground.works, plan);
        let history_frame = frame(
            "heat-history",
            "temperatures",
            "Temperatures of the slowest and the fastest piece along the time, with limits and what is to spare.",
        );
        let map = drawn::heat::map(self.ground.works, plan);
        let map_frame = frame(
            "heat-window",
            "window",
            "Times inside that do at other temperatures of the air, and where the recipe stands.",
        );
        let profiles = drawn::heat::profiles(plan);
        let profile_frame = frame(
            "heat-profile",
            "across the piece",
            "Temperatures across each piece at the end of each stage.",
        );
        html! {
            (figure(at_both_widths(&history_frame, |f| heat_history(f, &history)), "What the pieces go through, against what they must."))
            @if let Some(map) = map {
                (figure(at_both_widths(&map_frame, |f| window_map(f, &map)), "Times inside that do for every piece, at other temperatures of the air."))
            }
            @if let Some(profiles) = profiles {
                (figure(at_both_widths(&profile_frame, |f| profile_curves(f, &profiles)), "Temperatures across the pieces at the end of each stage."))
            }
            @if let Some(load) = drawn::heat::pull_down(self.ground.works, plan) {
                @let load_frame = frame("heat-load", "loads", "Air and core with loads of several sizes.");
                (figure(at_both_widths(&load_frame, |f| load_pull_down(f, &load)), "The chamber with loads of several sizes."))
            } @else if let Some(loads) = drawn::heat::loads(self.ground.works, plan) {
                @let load_frame = frame("heat-load", "loads", "Air and core with loads of several sizes.");
                (figure(at_both_widths(&load_frame, |f| heat_history(f, &loads)), "The slowest core and the air with loads of several sizes."))
            }
        }
    }

    fn log_pictures(
        (number, at): (usize, usize),
        page: &Self,
        plan: &HeatPlan,
        log: &LogLine,
    ) -> Markup {
        let frame = |id: &str, words: &str| {
            Frame::new(
                format!("{id}-{number}-{at}"),
                format!("{}: {}", plan.name, log.name),
            )
            .described(words)
        };
        let verdict = format!("{}.", table::title(&table::log_verdict(log)));
        let history = drawn::heat::log_history(page.ground.works, plan, log);
        let history_frame = frame("heat-log", "What each probe read along the time.");
        let judged = drawn::heat::judgement(plan, log);
        let judged_frame = frame(
            "heat-probes",
            "What each probe comes to against the limits.",
        );
        html! {
            h4 { "Measured load " (log.name) }
            @if log.passes { p { (verdict) } } @else { (warnings([verdict.as_str()])) }
            @if !log.passes { p.note { "A competent person decides what becomes of the load." } }
            @for words in &log.left_out { p.note { (words) } }
            @if let Some(words) = table::coefficient_words(plan, log) { p.note { (words) } }
            @if let Some(judged) = judged {
                (figure(at_both_widths(&judged_frame, |f| probe_judgement(f, &judged)), "What each probe comes to."))
            }
            (figure(at_both_widths(&history_frame, |f| heat_history(f, &history)), "What the probes read, from the first reading on."))
        }
    }
}
