//! Published instances and comparisons with outside libraries.
//!
//! Run from the root of the repository: `cargo run --release -p bench -- salbp [nodes [least most tasks]]`.

use std::process::ExitCode;

mod salbp;

#[expect(clippy::print_stderr, reason = "a command's complaint")]
fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let done = match arguments.first().map(String::as_str) {
        Some("salbp") => salbp::run(&arguments[1..]),
        _ => Err("expected one of: salbp".to_owned()),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(fault) => {
            eprintln!("{fault}");
            ExitCode::from(2)
        }
    }
}
