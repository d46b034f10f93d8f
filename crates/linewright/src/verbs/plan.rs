//! `plan`: the main job.

use std::fmt::Write as _;
use std::path::Path;

use super::{Planned, Planning, has_faults, planned};
use crate::arguments::Plan;
use crate::progress::Progress;
use crate::{Ended, Trouble, folder, report};

pub(crate) fn run(call: &Plan) -> Result<Ended, Trouble> {
    let progress = Progress::start();
    let planned = match planned(&call.place.folder, &call.assume, &progress)? {
        Planning::Done(planned) => planned,
        Planning::Ended(ended) => return Ok(ended),
    };
    if call.json {
        drop(progress);
        report::print(&document::json(
            &planned.works,
            &planned.plan,
            &planned.sources,
        ))?;
        return Ok(ended(&planned));
    }
    let out = call
        .out
        .clone()
        .unwrap_or_else(|| call.place.folder.join("plan"));
    write(&planned, &out, &progress)?;
    drop(progress);
    let blocks = document::summary(&planned.works, &planned.plan);
    let mut text = document::text::render(&blocks, report::colour(), report::width());
    for name in FILES {
        let _ = writeln!(text, "wrote {}", out.join(name).display());
    }
    report::print(&text)?;
    Ok(ended(&planned))
}

const FILES: [&str; 3] = ["plan.html", "plan.xlsx", "plan.json"];

fn ended(planned: &Planned) -> Ended {
    if has_faults(&planned.plan.notices) {
        Ended::CannotBeDone
    } else {
        Ended::Good
    }
}

/// Makes all three files first and puts them in place together, so that they are of one plan.
fn write(planned: &Planned, out: &Path, progress: &Progress) -> Result<(), Trouble> {
    let Planned {
        works,
        sources,
        plan,
    } = planned;
    progress.say("drawing the pages");
    let html = document::html(works, plan, sources);
    progress.say("filling the tables");
    let xlsx = document::xlsx(works, plan, sources)?;
    let json = document::json(works, plan, sources);
    progress.writing();
    let paths = FILES.map(|name| out.join(name));
    folder::write(&[
        (&paths[0], html.as_bytes()),
        (&paths[1], &xlsx),
        (&paths[2], json.as_bytes()),
    ])
}
