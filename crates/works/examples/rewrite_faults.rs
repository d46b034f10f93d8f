//! Writes anew how every fault of the corpus is shown (`tests/faults/*.rendered`).
//!
//! ```text
//! cargo run -p works --example rewrite_faults && git diff crates/works/tests/faults
//! ```

#[path = "../tests/reader/support.rs"]
#[allow(dead_code, reason = "the tests use the rest")]
mod support;

use support::{cases, load, rendered, tests_folder};

fn main() -> std::io::Result<()> {
    for (_, path) in cases(&tests_folder().join("faults")) {
        std::fs::write(path.with_extension("rendered"), rendered(&load(&path)))?;
    }
    Ok(())
}
