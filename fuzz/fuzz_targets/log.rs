//! Coverage-guided fuzzing of `log`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| linewright_fuzz::log(bytes));
