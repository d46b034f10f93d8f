//! The colour tokens, in one place: CSS custom properties with a fallback for a page without them.
//!
//! Ink on paper and one accent. Stacks use five tones of one hue that differ in lightness, which
//! every kind of colour vision and a grey printer can tell apart; hatching and words say the rest.

/// A colour token: the custom property and the light colour used where it is not set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Token(pub(crate) &'static str);

/// Main lines and text.
pub(crate) const INK: Token = Token("var(--ink,#1d2733)");
/// Secondary text and lines.
pub(crate) const SOFT: Token = Token("var(--ink-soft,#56616d)");
/// Thin rules and grids.
pub(crate) const RULE: Token = Token("var(--rule,#d3d8dc)");
/// The ground.
pub(crate) const PAPER: Token = Token("var(--paper,#ffffff)");
/// A ground a shade off the paper.
pub(crate) const PANEL: Token = Token("var(--panel,#f3f4f2)");
/// The one accent.
pub(crate) const ACCENT: Token = Token("var(--accent,#b0431a)");
/// The accent thinned to a wash.
pub(crate) const WASH: Token = Token("var(--accent-soft,#f4dfd3)");
/// Tones from strongest to faintest.
pub(crate) const TONES: [Token; 5] = [
    Token("var(--tone-1,#2f4a5e)"),
    Token("var(--tone-2,#557387)"),
    Token("var(--tone-3,#9db3c1)"),
    Token("var(--tone-4,#c6d3db)"),
    Token("var(--tone-5,#e3eaee)"),
];

/// The ink that reads on a tone: paper on the two strong ones, ink on the rest.
pub(crate) fn ink_on(tone: usize) -> Token {
    if tone < 2 { PAPER } else { INK }
}

/// Style sheet a page carries once: the tokens for light and dark (by the reader's preference, or
/// by `data-theme="dark"` or `"light"` on any ancestor; print is always light), and the rule that
/// lets one drawing of [`crate::at_both_widths`] show.
pub const STYLE: &str = "\
:root,[data-theme=light]{--ink:#1d2733;--ink-soft:#56616d;--rule:#d3d8dc;--paper:#ffffff;\
--panel:#f3f4f2;--accent:#b0431a;--accent-soft:#f4dfd3;--tone-1:#2f4a5e;--tone-2:#557387;\
--tone-3:#9db3c1;--tone-4:#c6d3db;--tone-5:#e3eaee}
@media screen and (prefers-color-scheme:dark){:root:not([data-theme=light]){--ink:#e6e9ec;\
--ink-soft:#a7b1bb;--rule:#3a444f;--paper:#14191f;--panel:#1d242c;--accent:#f0915f;\
--accent-soft:#4b2b1c;--tone-1:#c9d8e3;--tone-2:#94abbb;--tone-3:#52697a;--tone-4:#3b4f5e;\
--tone-5:#293743}}
@media screen{[data-theme=dark]{--ink:#e6e9ec;--ink-soft:#a7b1bb;--rule:#3a444f;--paper:#14191f;\
--panel:#1d242c;--accent:#f0915f;--accent-soft:#4b2b1c;--tone-1:#c9d8e3;--tone-2:#94abbb;\
--tone-3:#52697a;--tone-4:#3b4f5e;--tone-5:#293743}}
.picture{display:block}
.picture-narrow{display:none}
@media screen and (max-width:640px){.picture-narrow{display:block}.picture-wide{display:none}}
";

/// The same picture with every token replaced by its light colour, for renderers that know no
/// custom properties (most SVG to PDF converters).
pub fn with_plain_colours(svg: &str) -> String {
    let mut out = String::with_capacity(svg.len());
    let mut rest = svg;
    // Words of the works are escaped but may hold `var(--`; only attribute values are touched.
    while let Some(start) = rest.find("=\"var(--") {
        let value = start + 2;
        out.push_str(&rest[..value]);
        let inner = &rest[value..];
        let end = inner.find(')').map_or(inner.len(), |at| at + 1);
        let token = &inner[..end];
        let plain = token
            .find(',')
            .map_or(token, |at| token[at + 1..].trim_end_matches(')'));
        out.push_str(plain);
        rest = &inner[end..];
    }
    out.push_str(rest);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_colours_leave_words_alone() {
        let svg = "<text fill=\"var(--ink,#1d2733)\">use var(--ink,#000)</text>";
        assert_eq!(
            with_plain_colours(svg),
            "<text fill=\"#1d2733\">use var(--ink,#000)</text>"
        );
    }

    #[test]
    fn style_sets_every_token_the_pictures_use() {
        for token in [INK, SOFT, RULE, PAPER, PANEL, ACCENT, WASH]
            .iter()
            .chain(&TONES)
        {
            let inner = token.0.trim_start_matches("var(").trim_end_matches(')');
            let (name, light) = inner.split_once(',').expect("a token has a fallback");
            assert!(
                STYLE.contains(&format!("{name}:{light}")),
                "{name} differs from its fallback"
            );
            assert_eq!(
                STYLE.matches(&format!("{name}:")).count(),
                3,
                "{name} light, dark, dark"
            );
        }
    }
}
