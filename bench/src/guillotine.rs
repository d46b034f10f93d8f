//! Placeholder until the engine is in: says so and fails.

pub(crate) fn run(_arguments: &[String]) -> Result<(), String> {
    Err("guillotine: the engine is not in yet".to_owned())
}
