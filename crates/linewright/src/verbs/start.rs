//! `start`: an example works to begin from.

use crate::arguments::Start;
use crate::example::FENMOOR;
use crate::{Ended, Trouble, folder, report};

pub(crate) fn run(call: &Start) -> Result<Ended, Trouble> {
    folder::write_new(&call.folder, FENMOOR)?;
    let place = call.folder.display();
    report::print(&format!(
        "Fenmoor Works, an invented example, is in {place}.\n\
         next: linewright check {place}\n      linewright plan {place}\n"
    ))?;
    Ok(Ended::Good)
}
