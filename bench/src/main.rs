//! Published instances and comparisons with outside libraries.
//!
//! Run from the root of the repository, say `cargo run --release -q -p bench -- stock1d FILE --seconds 10`.
//! Every command prints one JSON line last.

use std::process::ExitCode;

mod boards;
mod deadline;
mod guillotine;
mod heat;
mod salbp;
mod stock1d;
mod tour;

#[expect(clippy::print_stderr, reason = "a command's complaint")]
fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let done = match arguments.first().map(String::as_str) {
        Some("salbp") => salbp::run(&arguments[1..]),
        Some("stock1d") => stock1d::run(&arguments[1..]),
        Some("guillotine") => guillotine::run(&arguments[1..]),
        Some("tour") => tour::run(&arguments[1..]),
        Some("heat") => heat::run(&arguments[1..]),
        Some("boards") => boards::run(&arguments[1..]),
        _ => Err("expected one of: salbp, stock1d, guillotine, tour, boards, heat".to_owned()),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(fault) => {
            eprintln!("{fault}");
            ExitCode::from(2)
        }
    }
}
