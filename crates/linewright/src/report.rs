//! Printing: colour where a terminal wants it, plain text everywhere else.

use std::fmt::Write as _;
use std::io::{IsTerminal as _, Write as _, stderr, stdout};

use works::render::{Form, render, summary};
use works::{Diagnostic, Severity, Sources};

use crate::Trouble;

/// Whether the stream that answers go to shows colour.
pub(crate) fn colour() -> bool {
    stdout().is_terminal() && !no_colour()
}

/// Whether somebody asked for no colour (the convention of no-color.org).
#[allow(
    clippy::disallowed_methods,
    reason = "this is the command line, where the environment is read"
)]
fn no_colour() -> bool {
    std::env::var("NO_COLOR").is_ok_and(|value| !value.is_empty())
}

/// Columns that an answer may take: those of the terminal, and plenty where there is none, so that
/// nothing is cut short in a file.
pub(crate) fn width() -> usize {
    let terminal = console::Term::stdout();
    match terminal.size_checked() {
        Some((_, columns)) if terminal.is_term() => usize::from(columns).clamp(60, 160),
        _ => 160,
    }
}

/// Prints an answer. A reader that went away (`| head`) is no trouble.
pub(crate) fn print(text: &str) -> Result<(), Trouble> {
    let mut out = stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => Err(Trouble::Disk {
            what: "write",
            path: "the answer".to_owned(),
            error,
        }),
        _ => Ok(()),
    }
}

/// Prints complaints to the error stream, in full.
pub(crate) fn complain(diagnostics: &[Diagnostic], sources: &Sources) {
    if diagnostics.is_empty() {
        return;
    }
    let colour = stderr().is_terminal() && !no_colour();
    // Not `eprint!`, which panics when the reader of the error stream has gone away.
    let _ = stderr().write_all(in_full(diagnostics, sources, colour).as_bytes());
}

/// Complaints shown in full; nobody reads more of them, and a table may have a million.
const MOST_IN_FULL: usize = 200;

/// Complaints with their lines, and how many there are in all.
pub(crate) fn in_full(diagnostics: &[Diagnostic], sources: &Sources, colour: bool) -> String {
    let form = Form::Full { colour };
    let Some(left) = diagnostics
        .len()
        .checked_sub(MOST_IN_FULL)
        .filter(|&left| left > 0)
    else {
        return render(diagnostics, sources, form);
    };
    let mut shown: Vec<Diagnostic> = Vec::with_capacity(MOST_IN_FULL);
    // Faults first, since a fault behind two hundred warnings would go unseen.
    let faults = diagnostics.iter().filter(|d| d.severity == Severity::Fault);
    let warnings = diagnostics.iter().filter(|d| d.severity != Severity::Fault);
    shown.extend(faults.chain(warnings).take(MOST_IN_FULL).cloned());
    works::render::sort(&mut shown);
    let mut text = render(&shown, sources, form);
    // The count of those shown gives way to the count of all.
    let counted = text.trim_end().rfind('\n').map_or(0, |at| at + 1);
    text.truncate(counted);
    let _ = writeln!(
        text,
        "{}; {left} of them are not shown here: `linewright check --form line` shows each",
        summary(diagnostics)
    );
    text
}
