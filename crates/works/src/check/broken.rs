//! Which parts of the works could not be read whole, so that a check of them would only complain of
//! what follows from a fault that is told already.
//!
//! A declaration (operation, item, station, crew, calendar, material) reaches from its name to the next one in
//! the file. Keys written before `name` therefore count to the declaration before; the price of that
//! rare slip is a complaint that comes one reading later.

use std::collections::BTreeSet;

use crate::Severity;
use crate::diagnostic::Diagnostic;
use crate::model::{Item, Works};
use crate::source::{FileId, Span};

/// Complaints about a link, which a name that is not known elsewhere in the file may have cut.
const OF_LINKS: [&str; 4] = [
    "dead-end",
    "off-line-unfed",
    "operation-unfed",
    "regrind-unmade",
];

/// Declarations with faults.
pub(super) struct Broken {
    /// Where declarations begin, in order.
    starts: Vec<(FileId, u32)>,
    /// Those with a fault.
    faulty: BTreeSet<(FileId, u32)>,
    /// Files with a name that is not known.
    cut: BTreeSet<FileId>,
}

impl Broken {
    pub(super) fn new(works: &Works, diagnostics: &[Diagnostic]) -> Self {
        let mut broken = Self {
            starts: starts(works),
            faulty: BTreeSet::new(),
            cut: BTreeSet::new(),
        };
        for fault in diagnostics.iter().filter(|d| d.severity == Severity::Fault) {
            broken.faulty.extend(broken.declaration(fault.at));
            if fault.code == "unknown-name" {
                broken.cut.insert(fault.at.file);
            }
        }
        broken
    }

    /// Whether a complaint is about a declaration that was not read whole.
    pub(super) fn explains(&self, diagnostic: &Diagnostic) -> bool {
        let places =
            std::iter::once(diagnostic.at).chain(diagnostic.others.iter().map(|(at, _)| *at));
        let faulty = |at: Span| {
            self.declaration(at)
                .is_some_and(|start| self.faulty.contains(&start))
        };
        let cut = OF_LINKS.contains(&diagnostic.code) && self.cut.contains(&diagnostic.at.file);
        cut || places.into_iter().any(faulty)
    }

    /// The start of the declaration that a place lies in.
    fn declaration(&self, at: Span) -> Option<(FileId, u32)> {
        let upto = self
            .starts
            .partition_point(|&start| start <= (at.file, at.start));
        let start = *self.starts.get(upto.checked_sub(1)?)?;
        (start.0 == at.file).then_some(start)
    }
}

fn starts(works: &Works) -> Vec<(FileId, u32)> {
    let operations = works.operations.iter().map(|one| one.at);
    // An item that only an operation names lies inside that operation.
    let routes: BTreeSet<FileId> = works.operations.iter().map(|one| one.at.file).collect();
    let declared = |item: &&Item| item.route.is_some() || !routes.contains(&item.at.file);
    let items = works.items.iter().filter(declared).map(|one| one.at);
    let stations = works.stations.iter().map(|one| one.at);
    let crews = works.crews.iter().map(|one| one.at);
    let calendars = works.calendars.iter().map(|one| one.at);
    let materials = works.materials.iter().map(|one| one.at);
    let all = operations
        .chain(items)
        .chain(stations)
        .chain(crews)
        .chain(calendars)
        .chain(materials);
    let mut starts: Vec<(FileId, u32)> = all.map(|at| (at.file, at.start)).collect();
    starts.sort_unstable();
    starts
}
