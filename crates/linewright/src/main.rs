//! The command line: the one place that opens files, asks the clock and prints.
//!
//! Exit codes: 0 good; 1 it cannot be done as written; 2 the input is wrong; 130 stopped by Ctrl-C.
#![allow(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "this is the command line"
)]

mod arguments;
mod example;
mod folder;
mod progress;
mod report;
mod verbs;

use std::process::ExitCode;

use clap::Parser;

use arguments::{Arguments, Verb};

/// How a verb ended, other than in an error.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Ended {
    /// All is well.
    Good,
    /// The answer is that it cannot be done as written.
    CannotBeDone,
    /// The input is wrong; the faults are printed.
    WrongInput,
}

/// What keeps a verb from running at all.
#[derive(Debug, thiserror::Error)]
enum Trouble {
    /// A file or folder cannot be read or written.
    #[error("cannot {what} {path}: {error}")]
    Disk {
        /// read, write …
        what: &'static str,
        /// Which.
        path: String,
        /// Why.
        error: std::io::Error,
    },
    /// The words of the call do not fit.
    #[error("{0}")]
    Call(String),
    /// The answer could not be put into a file of its kind.
    #[error("{0}")]
    Document(#[from] document::Error),
}

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    let ended = match &arguments.verb {
        Verb::Start(call) => verbs::start::run(call),
        Verb::Check(call) => verbs::check::run(call),
        Verb::Plan(call) => verbs::plan::run(call),
        Verb::Stock(call) => verbs::part::run(call, verbs::part::Part::Stock),
        Verb::Load(call) => verbs::part::run(call, verbs::part::Part::Load),
        Verb::Cost(call) => verbs::part::run(call, verbs::part::Part::Cost),
        Verb::Cut(call) => verbs::shape::run(call, verbs::shape::Shape::Cut),
        Verb::Drill(call) => verbs::shape::run(call, verbs::shape::Shape::Drill),
        Verb::Heat(call) => verbs::heat::run(call),
        Verb::Why(call) => verbs::why::run(call),
        Verb::Explain(call) => verbs::explain::run(call),
        Verb::Schema(call) => verbs::schema::run(call),
    };
    match ended {
        Ok(Ended::Good) => ExitCode::SUCCESS,
        Ok(Ended::CannotBeDone) => ExitCode::from(1),
        Ok(Ended::WrongInput) => ExitCode::from(2),
        Err(trouble) => {
            eprintln!("linewright: {trouble}");
            ExitCode::from(2)
        }
    }
}
