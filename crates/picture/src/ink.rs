//! Writing SVG: shapes, words and hatchings, escaped and rounded in one place.

use std::fmt::{self, Display, Write as _};

use crate::frame::Frame;
use crate::lettering;
use crate::palette::{INK, PAPER, SOFT, Token};

const FACES: &str = "system-ui,-apple-system,'Segoe UI',Roboto,'Helvetica Neue',Arial,sans-serif";

/// A coordinate with at most two decimals and no negative zero. What is not finite becomes 0, so a
/// fault in the data can never make the picture unreadable as XML or SVG.
pub(crate) struct Num(pub(crate) f64);

impl Display for Num {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let value = if self.0.is_finite() {
            self.0.clamp(-1e7, 1e7)
        } else {
            0.0
        };
        let text = format!("{value:.2}");
        let text = text.trim_end_matches('0').trim_end_matches('.');
        f.write_str(if text == "-0" { "0" } else { text })
    }
}

/// Words made safe for XML: the five special characters escaped, characters XML forbids left out.
pub(crate) fn escaped(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    for glyph in words.chars() {
        match glyph {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\t' | '\n' | '\r' => out.push(' '),
            '\u{fffe}' | '\u{ffff}' => {}
            other if other.is_control() => {}
            other => out.push(other),
        }
    }
    out
}

/// An id that is safe in XML, CSS and `url(#…)`.
pub(crate) fn safe_id(id: &str) -> String {
    let plain: String = id
        .chars()
        .map(|c| {
            if c.is_ascii_alphanumeric() || c == '_' {
                c
            } else {
                '-'
            }
        })
        .collect();
    let starts_well = plain.starts_with(|c: char| c.is_ascii_alphabetic());
    if starts_well {
        plain
    } else {
        format!("p{plain}")
    }
}

/// How a shape is filled and drawn.
#[derive(Clone, Debug, Default)]
pub(crate) struct Style {
    fill: Option<String>,
    stroke: Option<(Token, f64)>,
    dash: Option<&'static str>,
    radius: f64,
    head: Option<String>,
    even_odd: bool,
}

impl Style {
    pub(crate) fn filled(token: Token) -> Self {
        Self {
            fill: Some(token.0.to_owned()),
            ..Self::default()
        }
    }

    pub(crate) fn line(token: Token, width: f64) -> Self {
        Self {
            stroke: Some((token, width)),
            ..Self::default()
        }
    }

    pub(crate) fn pattern(reference: &str) -> Self {
        Self {
            fill: Some(format!("url(#{reference})")),
            ..Self::default()
        }
    }

    pub(crate) fn edged(mut self, token: Token, width: f64) -> Self {
        self.stroke = Some((token, width));
        self
    }

    pub(crate) fn dashed(mut self, dash: &'static str) -> Self {
        self.dash = Some(dash);
        self
    }

    pub(crate) fn rounded(mut self, radius: f64) -> Self {
        self.radius = radius;
        self
    }

    /// Loops inside loops are openings.
    pub(crate) fn even_odd(mut self) -> Self {
        self.even_odd = true;
        self
    }

    pub(crate) fn headed(mut self, marker: &str) -> Self {
        self.head = Some(marker.to_owned());
        self
    }
}

impl Display for Style {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, " fill=\"{}\"", self.fill.as_deref().unwrap_or("none"))?;
        if let Some((token, width)) = self.stroke {
            write!(f, " stroke=\"{}\" stroke-width=\"{}\"", token.0, Num(width))?;
        }
        if let Some(dash) = self.dash {
            write!(f, " stroke-dasharray=\"{dash}\"")?;
        }
        if self.radius > 0.0 {
            write!(f, " rx=\"{}\"", Num(self.radius))?;
        }
        if self.even_odd {
            f.write_str(" fill-rule=\"evenodd\"")?;
        }
        if let Some(head) = &self.head {
            write!(f, " marker-end=\"url(#{head})\"")?;
        }
        Ok(())
    }
}

/// Which way the lines of a ruling run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Ruling {
    Rising,
    Falling,
    Both,
}

/// Which end of the words stands at their place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

/// How and where words stand; `y` is the base line.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Words {
    pub(crate) x: f64,
    pub(crate) y: f64,
    pub(crate) size: f64,
    pub(crate) bold: bool,
    pub(crate) ink: Token,
    pub(crate) anchor: Anchor,
    pub(crate) halo: bool,
}

impl Words {
    pub(crate) fn at(x: f64, y: f64) -> Self {
        Self {
            x,
            y,
            size: 12.0,
            bold: false,
            ink: INK,
            anchor: Anchor::Start,
            halo: false,
        }
    }

    pub(crate) fn size(mut self, size: f64) -> Self {
        self.size = size;
        self
    }

    pub(crate) fn bold(mut self) -> Self {
        self.bold = true;
        self
    }

    pub(crate) fn bold_if(mut self, bold: bool) -> Self {
        self.bold = bold;
        self
    }

    pub(crate) fn soft(self) -> Self {
        self.ink(SOFT)
    }

    pub(crate) fn ink(mut self, ink: Token) -> Self {
        self.ink = ink;
        self
    }

    pub(crate) fn anchor(mut self, anchor: Anchor) -> Self {
        self.anchor = anchor;
        self
    }

    pub(crate) fn middle(self) -> Self {
        self.anchor(Anchor::Middle)
    }

    pub(crate) fn end(self) -> Self {
        self.anchor(Anchor::End)
    }

    /// A rim of paper about the letters, so that lines passing behind do not cut them.
    pub(crate) fn halo(mut self) -> Self {
        self.halo = true;
        self
    }
}

/// A rectangle.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Area {
    pub(crate) x: f64,
    pub(crate) y: f64,
    pub(crate) w: f64,
    pub(crate) h: f64,
}

impl Area {
    pub(crate) fn new(x: f64, y: f64, w: f64, h: f64) -> Self {
        Self { x, y, w, h }
    }
}

/// The sheet a picture is drawn on.
pub(crate) struct Sheet {
    id: String,
    width: f64,
    body: String,
    defs: String,
}

impl Sheet {
    pub(crate) fn new(frame: &Frame) -> Self {
        let width = if frame.width.is_finite() {
            frame.width.clamp(280.0, 4000.0)
        } else {
            crate::PAGE
        };
        Self {
            id: safe_id(&frame.id),
            width,
            body: String::new(),
            defs: String::new(),
        }
    }

    pub(crate) fn width(&self) -> f64 {
        self.width
    }

    /// Whether the picture is for a phone: fewer words, smaller margins.
    pub(crate) fn narrow(&self) -> bool {
        self.width < 560.0
    }

    pub(crate) fn rect(&mut self, area: Area, style: &Style) {
        self.rect_told(area, style, "");
    }

    /// A rectangle with words that show on hover and are read aloud.
    pub(crate) fn rect_told(&mut self, area: Area, style: &Style, told: &str) {
        let _ = write!(
            self.body,
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"{style}",
            Num(area.x),
            Num(area.y),
            Num(area.w.max(0.0)),
            Num(area.h.max(0.0))
        );
        self.close("rect", told);
    }

    pub(crate) fn segment(&mut self, from: (f64, f64), to: (f64, f64), style: &Style) {
        let _ = write!(
            self.body,
            "<line x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\"{style}/>",
            Num(from.0),
            Num(from.1),
            Num(to.0),
            Num(to.1)
        );
    }

    pub(crate) fn dot(&mut self, at: (f64, f64), radius: f64, style: &Style) {
        self.dot_told(at, radius, style, "");
    }

    pub(crate) fn dot_told(&mut self, at: (f64, f64), radius: f64, style: &Style, told: &str) {
        let _ = write!(
            self.body,
            "<circle cx=\"{}\" cy=\"{}\" r=\"{}\"{style}",
            Num(at.0),
            Num(at.1),
            Num(radius)
        );
        self.close("circle", told);
    }

    pub(crate) fn path(&mut self, data: &str, style: &Style) {
        self.path_told(data, style, "");
    }

    pub(crate) fn path_told(&mut self, data: &str, style: &Style, told: &str) {
        let _ = write!(self.body, "<path d=\"{data}\"{style}");
        self.close("path", told);
    }

    fn close(&mut self, name: &str, told: &str) {
        if told.is_empty() {
            self.body.push_str("/>");
        } else {
            let _ = write!(self.body, "><title>{}</title></{name}>", escaped(told));
        }
    }

    pub(crate) fn words(&mut self, place: Words, words: &str) {
        self.words_told(place, words, "");
    }

    /// Words cut to a room; the whole of them shows on hover when cut. Gives the width they take.
    pub(crate) fn words_within(&mut self, place: Words, words: &str, room: f64) -> f64 {
        let short = lettering::elide(words, place.size, place.bold, room);
        let told = if short == words { "" } else { words };
        self.words_told(place, &short, told);
        lettering::width(&short, place.size, place.bold)
    }

    pub(crate) fn words_told(&mut self, place: Words, words: &str, told: &str) {
        if words.is_empty() {
            return;
        }
        let _ = write!(
            self.body,
            "<text x=\"{}\" y=\"{}\" font-size=\"{}\" fill=\"{}\"",
            Num(place.x),
            Num(place.y),
            Num(place.size),
            place.ink.0
        );
        match place.anchor {
            Anchor::Start => {}
            Anchor::Middle => self.body.push_str(" text-anchor=\"middle\""),
            Anchor::End => self.body.push_str(" text-anchor=\"end\""),
        }
        if place.bold {
            self.body.push_str(" font-weight=\"600\"");
        }
        if place.halo {
            let _ = write!(
                self.body,
                " stroke=\"{}\" stroke-width=\"4\" stroke-linejoin=\"round\" paint-order=\"stroke\"",
                PAPER.0
            );
        }
        self.body.push('>');
        if !told.is_empty() {
            let _ = write!(self.body, "<title>{}</title>", escaped(told));
        }
        let _ = write!(self.body, "{}</text>", escaped(words));
    }

    /// Slanting lines in a colour on a ground; gives the reference to fill with.
    pub(crate) fn hatch(&mut self, name: &str, line: Token, ground: Token) -> String {
        self.pattern(
            name,
            ground,
            6.0,
            "rotate(45)",
            &format!(
                "<path d=\"M0 0V6\" stroke=\"{}\" stroke-width=\"2.4\"/>",
                line.0
            ),
        )
    }

    /// Lines that rise, fall or both, of a weight, in a colour on a ground; gives the reference.
    pub(crate) fn ruled(
        &mut self,
        name: &str,
        way: Ruling,
        (line, weight): (Token, f64),
        ground: Token,
    ) -> String {
        let turn = match way {
            Ruling::Rising | Ruling::Both => "rotate(45)",
            Ruling::Falling => "rotate(-45)",
        };
        let lines = match way {
            Ruling::Rising | Ruling::Falling => "M0 0V5",
            Ruling::Both => "M0 0V5M0 0H5",
        };
        let inner = format!(
            "<path d=\"{lines}\" stroke=\"{}\" stroke-width=\"{}\"/>",
            line.0,
            Num(weight)
        );
        self.pattern(name, ground, 5.0, turn, &inner)
    }

    /// Fine dots in a colour on a ground.
    pub(crate) fn dots(&mut self, name: &str, dot: Token, ground: Token) -> String {
        self.pattern(
            name,
            ground,
            5.0,
            "rotate(30)",
            &format!(
                "<circle cx=\"2.5\" cy=\"2.5\" r=\"1.1\" fill=\"{}\"/>",
                dot.0
            ),
        )
    }

    /// The reference to a hatching of a name.
    pub(crate) fn reference(&self, name: &str) -> String {
        format!("{}-{name}", self.id)
    }

    fn pattern(&mut self, name: &str, ground: Token, step: f64, turn: &str, inner: &str) -> String {
        let reference = self.reference(name);
        let _ = write!(
            self.defs,
            "<pattern id=\"{reference}\" width=\"{step}\" height=\"{step}\" \
             patternUnits=\"userSpaceOnUse\" patternTransform=\"{turn}\">\
             <rect width=\"{step}\" height=\"{step}\" fill=\"{}\"/>{inner}</pattern>",
            ground.0,
            step = Num(step)
        );
        reference
    }

    /// An arrow head in a colour; gives the reference for [`Style::headed`].
    pub(crate) fn arrow_head(&mut self, name: &str, token: Token) -> String {
        let reference = format!("{}-{name}", self.id);
        let _ = write!(
            self.defs,
            "<marker id=\"{reference}\" viewBox=\"0 0 8 8\" refX=\"7.2\" refY=\"4\" \
             markerWidth=\"8\" markerHeight=\"8\" markerUnits=\"userSpaceOnUse\" orient=\"auto\">\
             <path d=\"M0 0.6L8 4L0 7.4L1.8 4Z\" fill=\"{}\"/></marker>",
            token.0
        );
        reference
    }

    /// A row of samples with their meaning, wrapped to the width; gives the height it took.
    pub(crate) fn key(&mut self, x: f64, y: f64, room: f64, samples: &[(Style, String)]) -> f64 {
        self.key_of((x, y), room, 12.0, samples, |sheet, area, style| {
            sheet.rect(area, style);
        })
    }

    /// The same with samples of any shape, each drawn into an area of the given width.
    pub(crate) fn key_of<T>(
        &mut self,
        (x, y): (f64, f64),
        room: f64,
        wide: f64,
        samples: &[(T, String)],
        mut draw: impl FnMut(&mut Self, Area, &T),
    ) -> f64 {
        const LINE: f64 = 18.0;
        let (mut left, mut top) = (x, y);
        for (sample, meaning) in samples {
            let taken = wide + 6.0 + lettering::width(meaning, 11.0, false) + 14.0;
            if left > x && left + taken - 14.0 > x + room {
                left = x;
                top += LINE;
            }
            draw(self, Area::new(left, top, wide, 10.0), sample);
            self.words_within(
                Words::at(left + wide + 5.0, top + 9.0).size(11.0).soft(),
                meaning,
                room - wide - 6.0,
            );
            left += taken;
        }
        if samples.is_empty() {
            0.0
        } else {
            top - y + LINE
        }
    }

    /// The whole picture.
    pub(crate) fn finish(self, frame: &Frame, height: f64) -> String {
        let width = self.width;
        self.finish_wide(frame, width, height)
    }

    /// The whole picture, wider or narrower than asked for.
    pub(crate) fn finish_wide(self, frame: &Frame, width: f64, height: f64) -> String {
        let id = &self.id;
        let mut out = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" id=\"{id}\" class=\"picture\" role=\"img\" \
             aria-labelledby=\"{id}-title {id}-desc\" viewBox=\"0 0 {w} {h}\" width=\"100%\" \
             style=\"max-width:{w}px;height:auto\" font-family=\"{FACES}\">\
             <title id=\"{id}-title\">{}</title><desc id=\"{id}-desc\">{}</desc>",
            escaped(&frame.title),
            escaped(&frame.description),
            w = Num(width),
            h = Num(height)
        );
        if !self.defs.is_empty() {
            let _ = write!(out, "<defs>{}</defs>", self.defs);
        }
        out.push_str(&self.body);
        out.push_str("</svg>\n");
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_never_strange() {
        let shown: Vec<String> = [1.0, 1.005, -0.001, f64::NAN, 0.333_3, -2.5]
            .iter()
            .map(|value| Num(*value).to_string())
            .collect();
        assert_eq!(shown, ["1", "1", "0", "0", "0.33", "-2.5"]);
    }

    #[test]
    fn words_and_ids_are_safe() {
        assert_eq!(escaped("a<b>&\"'\u{1}\n"), "a&lt;b&gt;&amp;&quot;&#39; ");
        assert_eq!(safe_id("3 load\"x"), "p3-load-x");
        assert_eq!(safe_id(""), "p");
    }
}
