//! Coverage-guided fuzzing of `quantity`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| linewright_fuzz::quantity(bytes));
