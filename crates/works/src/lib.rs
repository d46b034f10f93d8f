//! The model of a works; reading and writing its folder; diagnostics.
