//! `check`: everything that is wrong with a works, in one pass.

use works::render::{Form, render, sort};

use crate::arguments::{self, Assume, Check};
use crate::progress::Progress;
use crate::{Ended, Trouble, folder, report};

pub(crate) fn run(call: &Check) -> Result<Ended, Trouble> {
    let progress = Progress::start();
    progress.say("reading the works");
    let outcome = works::read(&folder::read(&call.place.folder)?);
    let read_well = !outcome.has_faults();
    let mut diagnostics = outcome.diagnostics;
    if let Some(works) = outcome.works.filter(|_| read_well) {
        progress.say("checking loops, masses and capacity");
        let assume = Assume {
            certainty: None,
            quantities: Vec::new(),
            from: None,
            until: None,
            today: None,
        };
        diagnostics.extend(planning::check(&works, &super::options(&assume, &works)?));
        sort(&mut diagnostics);
    }
    drop(progress);
    let sources = &outcome.sources;
    report::print(&match (call.json, call.form) {
        (true, _) => render(&diagnostics, sources, Form::Json),
        (false, arguments::Form::Line) => render(&diagnostics, sources, Form::Line),
        (false, arguments::Form::Full) => report::in_full(&diagnostics, sources, report::colour()),
    })?;
    if diagnostics.is_empty() && !call.json {
        report::print("nothing is wrong\n")?;
    }
    Ok(match (read_well, super::has_faults(&diagnostics)) {
        (false, _) => Ended::WrongInput,
        (true, true) => Ended::CannotBeDone,
        (true, false) => Ended::Good,
    })
}
