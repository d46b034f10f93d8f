//! What every picture needs besides its data: a name for its ids, words for those who cannot see
//! it, and the width it will be read at.

use crate::ink::{Area, Sheet, Style, Words};
use crate::palette::RULE;

/// Width in CSS pixels for a phone held upright.
pub const PHONE: f64 = 360.0;

/// Width in CSS pixels for a page column and for A4 print (180 mm is 680 px; 760 shrinks by 10 %).
pub const PAGE: f64 = 760.0;

/// Title, description, id prefix and width of a picture.
#[derive(Clone, Debug, PartialEq)]
pub struct Frame {
    /// Prefix of all ids in the picture; must differ between pictures of one page.
    pub id: String,
    /// Short name, read aloud first and shown as a tooltip.
    pub title: String,
    /// One or two sentences that say what the picture shows, for those who cannot see it.
    pub description: String,
    /// Width to lay out for, in CSS pixels; kept within 280..=4000.
    pub width: f64,
}

impl Frame {
    /// A frame of page width without a description.
    pub fn new(id: impl Into<String>, title: impl Into<String>) -> Self {
        Self {
            id: id.into(),
            title: title.into(),
            description: String::new(),
            width: PAGE,
        }
    }

    /// The same frame with a description.
    #[must_use]
    pub fn described(mut self, description: impl Into<String>) -> Self {
        self.description = description.into();
        self
    }

    /// The same frame laid out for another width in CSS pixels.
    #[must_use]
    pub fn at_width(mut self, width: f64) -> Self {
        self.width = width;
        self
    }
}

/// Draws a picture twice, for [`PHONE`] and for [`PAGE`] width, and lets the style sheet show the
/// one that fits: the two stand in `<div class="picture-narrow">` and `<div class="picture-wide">`.
/// The page carries [`crate::palette::STYLE`] once, which holds the rule that hides one of them.
pub fn at_both_widths(frame: &Frame, draw: impl Fn(&Frame) -> String) -> String {
    let narrow = Frame {
        id: format!("{}-narrow", frame.id),
        ..frame.clone()
    }
    .at_width(PHONE.min(frame.width));
    format!(
        "<div class=\"picture-narrow\">{}</div><div class=\"picture-wide\">{}</div>",
        draw(&narrow),
        draw(frame)
    )
}

/// The picture of a picture that cannot be drawn: a ruled blank with the reason.
pub(crate) fn nothing_to_draw(frame: &Frame, reason: &str) -> String {
    let mut sheet = Sheet::new(frame);
    let width = sheet.width();
    let rule = Style::line(RULE, 1.0).dashed("3 4").rounded(4.0);
    sheet.rect(Area::new(0.5, 0.5, width - 1.0, 71.0), &rule);
    let words = format!("Nothing to draw: {reason}");
    sheet.words_within(
        Words::at(width / 2.0, 40.0).soft().middle(),
        &words,
        width - 24.0,
    );
    sheet.finish(frame, 72.0)
}
