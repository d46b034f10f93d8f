//! Printing: colour where a terminal wants it, plain text everywhere else.

use std::io::{IsTerminal as _, Write as _, stderr, stdout};

use works::render::{Form, render};
use works::{Diagnostic, Sources};

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
    eprint!("{}", render(diagnostics, sources, Form::Full { colour }));
}
