//! The plan for people and for machines: page, workbook, data, and text for a terminal.
//!
//! | room | what |
//! | --- | --- |
//! | [`block`] | the neutral answer: headings, facts, tables with real numbers |
//! | `table` | every table of the plan, made once for all renderers |
//! | `report` | the short reports of the command line |
//! | [`text`] | blocks on a terminal |
//! | `page` | the page, with pictures |
//! | `book` | the workbook |
//! | `data` | JSON |
//! | `floor` | saw lists, machine programs, drawings |

pub mod block;
mod book;
mod data;
mod floor;
mod page;
mod report;
mod table;
#[cfg(test)]
mod tests;
pub mod text;

use planning::Plan;
use works::{Sources, Works};

pub use block::Block;
pub use data::FORMAT;
pub use floor::{FloorFile, FloorFiles};

/// A document that could not be made.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// The workbook could not be put together.
    #[error("cannot make the workbook: {0}")]
    Workbook(#[from] rust_xlsxwriter::XlsxError),
}

/// A part of the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PlanPart {
    /// Material: what to buy and to start, the mass balance.
    Stock,
    /// Hours of stations and people.
    Load,
    /// Money.
    Cost,
    /// Cutting plans.
    Cut,
    /// Drilling plans.
    Drill,
    /// Recipes of heat, salt, drying, solvent and moulding.
    Heat,
}

/// The plan as one self-contained page.
pub fn html(works: &Works, plan: &Plan, sources: &Sources) -> String {
    page::page(&table::Ground { works, plan }, sources)
}

/// The plan as a workbook. The same plan gives the same bytes.
pub fn xlsx(works: &Works, plan: &Plan, sources: &Sources) -> Result<Vec<u8>, Error> {
    book::book(&table::Ground { works, plan }, sources)
}

/// The whole plan as JSON; the first field, `format`, tells its version.
pub fn json(works: &Works, plan: &Plan, sources: &Sources) -> String {
    data::whole(works, plan, sources)
}

/// One part of the plan as JSON.
pub fn json_of(works: &Works, plan: &Plan, sources: &Sources, part: PlanPart) -> String {
    data::part(works, plan, sources, part)
}

/// The plan in short.
pub fn summary(works: &Works, plan: &Plan) -> Vec<Block> {
    report::summary(&table::Ground { works, plan })
}

/// Material in short.
pub fn stock_report(works: &Works, plan: &Plan) -> Vec<Block> {
    report::stock(&table::Ground { works, plan })
}

/// Stations and people in short.
pub fn load_report(works: &Works, plan: &Plan) -> Vec<Block> {
    report::load(&table::Ground { works, plan })
}

/// Money in short.
pub fn cost_report(works: &Works, plan: &Plan) -> Vec<Block> {
    report::cost_report(&table::Ground { works, plan })
}

/// Cutting in short.
pub fn cut_report(works: &Works, plan: &Plan) -> Vec<Block> {
    report::cut(&table::Ground { works, plan })
}

/// Drilling in short.
pub fn drill_report(works: &Works, plan: &Plan) -> Vec<Block> {
    report::drill(&table::Ground { works, plan })
}

/// Recipes of heat in short; only the one of this name in the plan, where one is given.
pub fn heat_report(works: &Works, plan: &Plan, of: Option<&str>) -> Vec<Block> {
    report::heat(&table::Ground { works, plan }, of)
}

/// Saw lists.
pub fn cut_files(works: &Works, plan: &Plan) -> FloorFiles {
    floor::cutting(&table::Ground { works, plan })
}

/// Machine programs, drawings, hole tables.
pub fn drill_files(works: &Works, plan: &Plan) -> FloorFiles {
    floor::drilling(&table::Ground { works, plan })
}
