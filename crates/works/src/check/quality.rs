//! Is what matters watched, and does every station know how long it is busy?

use crate::diagnostic::Diagnostic;
use crate::model::{Pace, Works};

/// Critical settings that no check of the operation watches.
pub(super) fn critical_unchecked(works: &Works, out: &mut Vec<Diagnostic>) {
    for operation in &works.operations {
        for setting in operation.settings.iter().filter(|setting| setting.critical) {
            let watched = operation
                .checks
                .iter()
                .any(|check| check.what == setting.name);
            if watched {
                continue;
            }
            out.push(
                Diagnostic::fault(
                    "critical-unchecked",
                    setting.at,
                    format!("critical setting `{}` has no check", setting.name),
                )
                .sides(
                    format!("a check of `{}`", setting.name),
                    "none on this operation",
                )
                .help(format!(
                    "checks = [{{ what = \"{}\", every = \"load\" }}]",
                    setting.name
                )),
            );
        }
    }
}

/// Operations at a station that do not say how long they take.
pub(super) fn no_pace(works: &Works, out: &mut Vec<Diagnostic>) {
    for operation in &works.operations {
        let Some(station) = operation.station else {
            continue;
        };
        if matches!(operation.pace, Pace::None) && operation.tasks.is_empty() {
            out.push(
                Diagnostic::warning("no-pace", operation.at, format!("`{}` does not say how long it takes", operation.name))
                    .label(format!("takes no time of `{}`", works.station(station).name))
                    .help("for example pace = \"9 s\", pace = \"14 m/min\" or pace = { holds = …, dwell = … }"),
            );
        }
    }
}

/// Operations that fill the holes of another that drills none.
pub(super) fn no_holes(works: &Works, out: &mut Vec<Diagnostic>) {
    for operation in &works.operations {
        let Some(fill) = &operation.fill else {
            continue;
        };
        let drills = works.operation(fill.holes_of);
        if drills.drill.is_none() {
            out.push(
                Diagnostic::fault(
                    "no-holes",
                    fill.at,
                    format!("`{}` drills no holes", drills.name),
                )
                .other(drills.at, "this operation has no `drill`"),
            );
        }
    }
}
