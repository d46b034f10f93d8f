//! Salt, drying, solvent and moulding on the page, below heat: the verdict first, a picture, and the tables folded away.

use maud::{Markup, html};
use picture::{Frame, at_both_widths, loss_curve, profile_curves};

use super::part::figure;
use super::{Page, drawn};
use crate::table::{self, Kind, Telling};

impl Page<'_> {
    /// One answer.
    pub(super) fn beside_heat(&self, number: usize, telling: &Telling<'_>) -> Markup {
        let verdict = format!("{}.", table::title(&telling.verdict));
        let good = telling.good && telling.does.is_some();
        // The short one, where sources are told above, in place of the first.
        let first = telling.short.as_ref().or(telling.tables.first());
        let tables = first.into_iter().chain(telling.tables.iter().skip(1));
        html! {
            h3 id=(table::anchor(telling.kind, number)) { (telling.heading()) }
            // An estimate of fresh air, however good, is set no larger than any sentence.
            @if good { p.lead { (verdict) } } @else if telling.good { p { (verdict) } } @else { p.verdict { (verdict) } }
            @for line in &telling.lines { p { (line) } }
            @for line in &telling.limits { p.note { (line) } }
            (self.beside_picture(number, telling))
            @if telling.kind == Kind::Moulding {
                @for table in tables { (self.table(table)) }
            } @else {
                details.more.tables { summary { (summary(telling.kind)) }
                    @for table in tables { (self.table(table)) }
                }
            }
            @if !telling.cautions.is_empty() {
                div.cautions { @for words in telling.cautions { div { (words) } } }
            }
        }
    }

    fn beside_picture(&self, number: usize, telling: &Telling<'_>) -> Markup {
        let plan = self.ground.plan;
        let frame = |id: &str, title: &str, words: &str| {
            let title = format!("{}: {title}", telling.name);
            Frame::new(format!("{id}-{number}"), title).described(words)
        };
        match telling.kind {
            Kind::Salt => {
                let Some(profiles) = plan.salting.get(number).map(drawn::beside::salt) else {
                    return html! {};
                };
                let words = "Salt from the face to where it comes last, at several times, with what it must come to.";
                let frame = frame("salt-profile", "salt across the piece", words);
                figure(
                    at_both_widths(&frame, |f| profile_curves(f, &profiles)),
                    "Salt from the face inwards, in thick and thin pieces, when it comes off and as it evens out.",
                )
            }
            Kind::Drying => {
                let weighed = plan
                    .drying
                    .get(number)
                    .filter(|plan| !plan.pieces.is_empty());
                let Some(loss) = weighed.map(drawn::beside::drying) else {
                    return html! {};
                };
                let words = "What weighed pieces have lost along the time, and when the wanted loss is reached.";
                let frame = frame("drying-curve", "weight lost", words);
                figure(
                    at_both_widths(&frame, |f| loss_curve(f, &loss)),
                    "Weighed pieces, the curves through them, and when the wanted loss is reached.",
                )
            }
            Kind::Solvent | Kind::Moulding => html! {},
        }
    }
}

fn summary(kind: Kind) -> &'static str {
    match kind {
        Kind::Salt => "Needs, pieces, where the salt went",
        Kind::Drying => "Pieces, weighings, air",
        Kind::Solvent => "The estimate",
        Kind::Moulding => "Cycle and machine",
    }
}
