//! Coverage-guided fuzzing of `works`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| linewright_fuzz::works(bytes));
