//! The time that drilling takes: moves under limited acceleration, feed, pecks, dwells and tool changes.
