//! Pictures: pure functions from plain data to SVG.
