//! Shift calendars.

/// A shift calendar.
#[derive(Clone, Debug)]
pub struct Calendar {
    /// Its name.
    pub name: String,
}
