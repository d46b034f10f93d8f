//! The page: read from top to bottom, printed on A4, with nothing fetched from elsewhere.

mod beside;
mod drawn;
mod heat;
mod part;
mod pictures;
mod reasons;
mod route_map;
mod sections;
mod shapes;

use maud::{DOCTYPE, Markup, PreEscaped, html};
use works::Sources;

use crate::table::Ground;
use reasons::Reasons;

const STYLE: &str = include_str!("page/style.css");

/// A page being written.
pub(crate) struct Page<'a> {
    ground: &'a Ground<'a>,
    sources: &'a Sources,
    reasons: Reasons<'a>,
}

/// A section: its id, its heading, what stands in it.
struct Section {
    id: String,
    heading: String,
    body: Markup,
}

impl Section {
    fn new(id: &str, heading: &str, body: Markup) -> Self {
        Self {
            id: id.to_owned(),
            heading: heading.to_owned(),
            body,
        }
    }
}

/// The whole page.
pub(crate) fn page(ground: &Ground<'_>, sources: &Sources) -> String {
    let page = Page {
        ground,
        sources,
        reasons: Reasons::new(ground),
    };
    let sections = page.sections();
    let title = format!("Plan of {}", ground.plan.name);
    html! {
        (DOCTYPE)
        html lang="en-GB" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (title) }
                style { (PreEscaped(picture::palette::STYLE)) (PreEscaped(STYLE)) }
            }
            body {
                a.skip href="#at-a-glance" { "Skip to the plan" }
                (page.title_block())
                div.sheet {
                    nav.contents aria-label="Contents" {
                        ol { @for section in &sections { li { a href={ "#" (section.id) } { (section.heading) } } } }
                    }
                    main {
                        @for section in &sections {
                            section id=(section.id) aria-labelledby={ (section.id) "-heading" } {
                                h2 id={ (section.id) "-heading" } { (section.heading) }
                                (section.body)
                            }
                        }
                    }
                }
                footer { p { "Local codes and licensed or competent persons decide where this plan touches safety, food, fire, pressure or health." } }
            }
        }
    }
    .into_string()
}
