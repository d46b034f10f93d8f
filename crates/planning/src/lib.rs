//! From a works to the engines and back: figures with reasons.
