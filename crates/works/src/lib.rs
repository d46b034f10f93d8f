//! The model of a works; reading and writing its folder; diagnostics.
//!
//! [`read`] turns the [`Files`] of a folder into a [`Works`] and every complaint about them, in one
//! pass that never stops at the first fault. The library opens no file, asks no clock and prints
//! nothing.

pub mod calendar;
pub mod cautions;
mod check;
pub mod codes;
pub mod diagnostic;
pub mod format;
pub mod model;
mod read;
pub mod render;
pub mod schema;
pub mod source;
pub mod suggest;
pub mod tables;

pub use diagnostic::{Diagnostic, Severity};
pub use model::*;
pub use read::{Reading as Outcome, read};
pub use source::{FileId, Files, Sources, Span};
