//! Tables, facts and notes as markup.

use maud::{Markup, PreEscaped, html};

use super::Page;
use crate::block::{Align, Block, Cell, Role, Table, Value};

impl Page<'_> {
    /// A table with its caption, in a box of its own that scrolls when it is too wide.
    pub(super) fn table(&self, table: &Table) -> Markup {
        if table.rows.is_empty() {
            return html! {};
        }
        let wide = table.columns.len() > 7;
        html! {
            div.scroll tabindex="0" role="region" aria-label=(table.caption) {
                table.wide[wide] {
                    caption { (table.caption) }
                    thead { tr {
                        @for (at, column) in table.columns.iter().enumerate() {
                            th scope="col" class=[right(column.align == Align::Right)] {
                                (column.title)
                                @let unit = table.unit_of(at);
                                @if !unit.is_empty() { " " span.unit { (unit) } }
                            }
                        }
                    } }
                    tbody {
                        @for row in &table.rows {
                            tr class=[role_class(row.role)] {
                                @for (at, cell) in row.cells.iter().enumerate() {
                                    (self.cell_of(cell, at == 0, table.columns.get(at).is_some_and(|c| c.align == Align::Right)))
                                }
                            }
                        }
                    }
                }
            }
        }
    }

    fn cell_of(&self, cell: &Cell, first: bool, to_right: bool) -> Markup {
        let class = [role_class(cell.role), right(to_right), long(&cell.value)];
        let class: Vec<&str> = class.into_iter().flatten().collect();
        let class = (!class.is_empty()).then(|| class.join(" "));
        let words = self.linked(cell);
        if first {
            html! { th scope="row" class=[class] { (words) } }
        } else {
            html! { td class=[class] { (words) } }
        }
    }

    /// A value, linked to how it was made where it is a headline figure.
    pub(super) fn linked(&self, cell: &Cell) -> Markup {
        let words = cell.value.show();
        match cell.why.and_then(|node| self.reasons.anchor(node)) {
            Some(anchor) if !words.is_empty() => html! { a.why href={ "#" (anchor) } { (words) } },
            _ => html! { (words) },
        }
    }

    /// Facts side by side.
    pub(super) fn facts(&self, blocks: &[Block]) -> Markup {
        html! {
            dl.facts {
                @for block in blocks {
                    @if let Block::Fact { label, value, note } = block {
                        div {
                            dt { (label) }
                            dd { span class=[Some(if value.role == Role::Warning { "figure warning" } else { "figure" })] { (self.linked(value)) } @if !note.is_empty() { " " span.note { (note) } } }
                        }
                    }
                }
            }
        }
    }
}

/// Sentences that need attention.
pub(super) fn warnings<'a>(sentences: impl IntoIterator<Item = &'a str>) -> Markup {
    let sentences: Vec<&str> = sentences.into_iter().collect();
    html! {
        @if !sentences.is_empty() {
            ul.warnings { @for words in sentences { li { (words) } } }
        }
    }
}

/// Words in which names stand between backticks.
pub(super) fn marked(words: &str) -> Markup {
    html! {
        @for (at, piece) in words.split('`').enumerate() {
            @if at % 2 == 1 { b { (piece) } } @else { (piece) }
        }
    }
}

/// A picture with its caption.
pub(super) fn figure(svg: String, caption: &str) -> Markup {
    html! { figure { (PreEscaped(svg)) figcaption { (caption) } } }
}

fn role_class(role: Role) -> Option<&'static str> {
    match role {
        Role::Plain => None,
        Role::Strong => Some("strong"),
        Role::Soft => Some("soft"),
        Role::Warning => Some("warning"),
        Role::Total => Some("total"),
    }
}

fn right(is_right: bool) -> Option<&'static str> {
    is_right.then_some("n")
}

/// Long words may break; short ones and numbers may not.
fn long(value: &Value) -> Option<&'static str> {
    match value {
        Value::Text(words) if words.chars().count() > 24 => Some("long"),
        Value::Text(_) => Some("short"),
        _ => None,
    }
}
