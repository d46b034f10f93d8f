//! `cut`, `drill`: the plans for the saw and the drill, and their files.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use document::FloorFiles;

use super::{Planned, Planning, has_faults, planned_with};
use crate::arguments;
use crate::progress::Progress;
use crate::{Ended, Trouble, folder, report};

/// What is asked for.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Shape {
    /// Cutting.
    Cut,
    /// Drilling.
    Drill,
}

pub(crate) fn run(call: &arguments::Shape, shape: Shape) -> Result<Ended, Trouble> {
    let progress = Progress::start();
    let longer = |options: &mut planning::Options| {
        options.search_steps = options.search_steps.saturating_mul(call.search);
    };
    let planned = match planned_with(&call.place.folder, &call.assume, &progress, longer)? {
        Planning::Done(planned) => planned,
        Planning::Ended(ended) => return Ok(ended),
    };
    progress.writing();
    let wrote = match &call.out {
        Some(out) => write(out, &files(&planned, shape))?,
        None => String::new(),
    };
    drop(progress);
    let (works, plan) = (&planned.works, &planned.plan);
    if call.json {
        let part = match shape {
            Shape::Cut => document::PlanPart::Cut,
            Shape::Drill => document::PlanPart::Drill,
        };
        report::print(&document::json_of(works, plan, &planned.sources, part))?;
    } else {
        let blocks = match shape {
            Shape::Cut => document::cut_report(works, plan),
            Shape::Drill => document::drill_report(works, plan),
        };
        let text = document::text::render(&blocks, report::colour(), report::width());
        report::print(&(text + &wrote))?;
    }
    Ok(if has_faults(&plan.notices) {
        Ended::CannotBeDone
    } else {
        Ended::Good
    })
}

fn files(planned: &Planned, shape: Shape) -> FloorFiles {
    match shape {
        Shape::Cut => document::cut_files(&planned.works, &planned.plan),
        Shape::Drill => document::drill_files(&planned.works, &planned.plan),
    }
}

/// Writes the files together and says what was written and what was not.
fn write(out: &Path, files: &FloorFiles) -> Result<String, Trouble> {
    let paths: Vec<PathBuf> = files
        .files
        .iter()
        .map(|file| out.join(&file.name))
        .collect();
    let bytes = files.files.iter().map(|file| file.text.as_bytes());
    let placed: Vec<(&Path, &[u8])> = paths.iter().map(PathBuf::as_path).zip(bytes).collect();
    folder::write(&placed)?;
    let mut words = String::new();
    for path in &paths {
        let _ = writeln!(words, "wrote {}", path.display());
    }
    for left_out in &files.left_out {
        let _ = writeln!(words, "left out {left_out}");
    }
    Ok(words)
}
