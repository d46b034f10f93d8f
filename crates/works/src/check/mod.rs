//! What can be told from the works alone, once it is linked: one check, one function, one table line.
//!
//! Checks that need an engine (loops, masses, capacity) live in `planning`.

mod broken;
mod calendars;
mod flow;
mod heat;
mod quality;

use crate::diagnostic::Diagnostic;
use crate::model::Works;
use broken::Broken;

/// A check looks at the works and adds its complaints.
type Check = fn(&Works, &mut Vec<Diagnostic>);

/// Every check, in the order in which they run.
const CHECKS: &[(&str, Check)] = &[
    ("operation-unfed", flow::unfed),
    ("dead-end", flow::dead_ends),
    ("item-from-nowhere", flow::from_nowhere),
    ("regrind-unmade", flow::regrind_unmade),
    ("order-for-unmade", flow::orders_for_unmade),
    ("off-line-unfed", flow::off_line_unfed),
    ("skill-missing", calendars::skills_missing),
    ("never-open", calendars::never_open),
    ("wait-unmeetable", calendars::waits),
    ("critical-unchecked", quality::critical_unchecked),
    ("no-pace", quality::no_pace),
    ("no-holes", quality::no_holes),
    ("heat-no-dwell", heat::no_dwell),
    ("stages-not-dwell", heat::stages),
];

/// Runs every check; what only follows from a fault of reading is not said a second time.
pub(crate) fn check(works: &Works, diagnostics: &mut Vec<Diagnostic>) {
    let mut found = Vec::new();
    for (_, check) in CHECKS {
        check(works, &mut found);
    }
    let broken = Broken::new(works, diagnostics);
    diagnostics.extend(
        found
            .into_iter()
            .filter(|diagnostic| !broken.explains(diagnostic)),
    );
}
