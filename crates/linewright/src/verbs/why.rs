//! `why`: how a figure was made.

use std::fmt::Write as _;
use std::path::Path;

use super::{Planning, planned};
use crate::arguments::Why;
use crate::progress::Progress;
use crate::{Ended, Trouble, report};

pub(crate) fn run(call: &Why) -> Result<Ended, Trouble> {
    let progress = Progress::start();
    let (asked, folder) = asked(call);
    let planned = match planned(folder, &call.assume, &progress)? {
        Planning::Done(planned) => planned,
        Planning::Ended(ended) => return Ok(ended),
    };
    drop(progress);
    let plan = &planned.plan;
    let Some(asked) = asked else {
        let mut list = String::new();
        for figure in plan.figures.iter() {
            let _ = writeln!(list, "{}", document::text::clean(&figure.key));
        }
        report::print(&list)?;
        return Ok(Ended::Good);
    };
    match planning::figure::why(
        &plan.ledger,
        &plan.figures,
        &planned.sources,
        asked,
        call.depth,
    ) {
        Ok(lines) if call.json => {
            report::print(&format!("{:#}\n", serde_json::json!(lines)))?;
            Ok(Ended::Good)
        }
        Ok(lines) => {
            let mut text = String::new();
            for line in &lines {
                let _ = writeln!(text, "{}", document::text::clean(&line.to_string()));
            }
            report::print(&text)?;
            Ok(Ended::Good)
        }
        Err(unknown) => {
            let mut message = unknown.to_string();
            if !unknown.nearest.is_empty() {
                let _ = write!(message, "; near to it: {}", unknown.nearest.join(", "));
            }
            message.push_str("; `linewright why` lists all of them");
            Err(Trouble::Call(message))
        }
    }
}

/// The figure and the folder: one word that names a works is the folder, as with the other verbs.
fn asked(call: &Why) -> (Option<&str>, &Path) {
    match call.figure.as_deref() {
        Some(word)
            if call.folder == Path::new(".") && Path::new(word).join("works.toml").is_file() =>
        {
            (None, Path::new(word))
        }
        asked => (asked, &call.folder),
    }
}
