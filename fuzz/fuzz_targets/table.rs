//! Coverage-guided fuzzing of `table`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| linewright_fuzz::table(bytes));
