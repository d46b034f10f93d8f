//! A drawing in true scale: SVG with millimetres as its unit, so that a print at 100 % can be laid on the part.

use crate::outline::{Arc, Contour, Edge, Outline, Point};
use crate::pattern::Hole;

use super::Drawing;
use super::fault::{ExportFault, require};
use super::number::{MOST_DECIMALS, mm};

/// White paper left around the face, m.
const MARGIN_M: f64 = 0.01;

/// Centre marks reach this far beyond the edge of their hole, m.
const MARK_M: f64 = 0.001;

/// The drawing of a face and its holes, y upward as on the face. Leaning holes show their mouth and a line to
/// where their axis ends.
pub fn drawing(drawing: &Drawing<'_>, decimals: u8) -> Result<String, ExportFault> {
    let written = decimals <= MOST_DECIMALS;
    require(
        written,
        "number of decimals",
        f64::from(decimals),
        "at most 6",
    )?;
    super::drawable(drawing.holes)?;
    let sheet = Sheet::new(drawing.outline, decimals);
    let mut text = sheet.head(drawing);
    text.push_str(&sheet.outline(drawing.outline));
    for hole in drawing.holes {
        text.push_str(&sheet.hole(hole));
    }
    text.push_str("</svg>\n");
    Ok(text)
}

/// The sheet: where the face lies on it.
struct Sheet {
    /// The face's point at the sheet's upper left corner.
    corner: Point,
    size: Point,
    decimals: u8,
}

impl Sheet {
    fn new(outline: &Outline, decimals: u8) -> Self {
        let bounds = outline.bounds();
        let margin = 2.0 * MARGIN_M;
        Self {
            corner: Point::new(bounds.low.x - MARGIN_M, bounds.high.y + MARGIN_M),
            size: Point::new(bounds.width_m() + margin, bounds.height_m() + margin),
            decimals,
        }
    }

    fn mm(&self, length_m: f64) -> String {
        mm(length_m, self.decimals)
    }

    /// A place on the sheet, x and y.
    fn place(&self, point: Point) -> (String, String) {
        let (right, down) = (point.x - self.corner.x, self.corner.y - point.y);
        (self.mm(right), self.mm(down))
    }

    fn head(&self, drawing: &Drawing<'_>) -> String {
        let (width, height) = (self.mm(self.size.x), self.mm(self.size.y));
        let heading = drawing.heading;
        let title = [
            &heading.part,
            &heading.route,
            &heading.operation,
            &heading.revision,
            &heading.face,
        ]
        .map(|part| escaped(part))
        .join(" · ");
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" \
             viewBox=\"0 0 {width} {height}\" fill=\"none\" stroke=\"black\" stroke-width=\"0.2\">\n\
             <title>{title}</title>\n"
        )
    }

    fn outline(&self, outline: &Outline) -> String {
        let mut path = String::new();
        let mut ellipses = String::new();
        for contour in outline.contours() {
            match contour {
                Contour::Edges(edges) => path.push_str(&self.path(edges)),
                Contour::Ellipse(ellipse) => {
                    let (x, y) = self.place(ellipse.centre);
                    let (rx, ry) = (self.mm(ellipse.half_x_m), self.mm(ellipse.half_y_m));
                    let turn = super::number::fixed(-ellipse.turn_rad.to_degrees(), 6);
                    ellipses.extend([format!(
                        "<ellipse class=\"outline\" cx=\"{x}\" cy=\"{y}\" rx=\"{rx}\" ry=\"{ry}\" \
                         transform=\"rotate({turn} {x} {y})\"/>\n"
                    )]);
                }
            }
        }
        if path.is_empty() {
            return ellipses;
        }
        format!(
            "<path class=\"outline\" d=\"{}\"/>\n{ellipses}",
            path.trim_end()
        )
    }

    fn path(&self, edges: &[Edge]) -> String {
        let Some(first) = edges.first() else {
            return String::new();
        };
        let (x, y) = self.place(first.from());
        let mut path = format!("M{x} {y} ");
        for edge in edges {
            match edge {
                Edge::Line(line) => {
                    let (x, y) = self.place(line.to);
                    path.extend([format!("L{x} {y} ")]);
                }
                // An arc's ends do not say which half of a circle is meant, nor that it is one at all.
                Edge::Arc(arc) => {
                    path.push_str(&self.arc(arc, 0.5));
                    path.push_str(&self.arc(arc, 1.0));
                }
            }
        }
        path.push_str("Z ");
        path
    }

    /// Half an arc, up to a share of it. Anticlockwise on the face is anticlockwise on the sheet.
    fn arc(&self, arc: &Arc, to: f64) -> String {
        let end = if to == 1.0 {
            arc.to
        } else {
            Edge::Arc(*arc).at(to)
        };
        let (x, y) = self.place(end);
        let radius = self.mm(arc.radius_m);
        let clockwise = u8::from(arc.sweep_rad < 0.0);
        format!("A{radius} {radius} 0 0 {clockwise} {x} {y} ")
    }

    fn hole(&self, hole: &Hole) -> String {
        let (x, y) = self.place(hole.at);
        let radius_m = 0.5 * hole.bore.diameter_m;
        let turn = super::number::fixed(-hole.bore.bearing_rad.to_degrees(), 6);
        let (long, short) = (self.mm(hole.mouth_radius_m()), self.mm(radius_m));
        let mouth = if hole.bore.tilt_rad == 0.0 {
            format!("<circle class=\"hole\" cx=\"{x}\" cy=\"{y}\" r=\"{short}\"/>")
        } else {
            format!(
                "<ellipse class=\"hole\" cx=\"{x}\" cy=\"{y}\" rx=\"{long}\" ry=\"{short}\" \
                 transform=\"rotate({turn} {x} {y})\"/>"
            )
        };
        let reach = radius_m + MARK_M;
        let arms = [
            (Point::new(-reach, 0.0), Point::new(reach, 0.0)),
            (Point::new(0.0, -reach), Point::new(0.0, reach)),
        ];
        let mut marks: Vec<String> = arms
            .into_iter()
            .map(|(from, to)| self.line("mark", hole.at + from, hole.at + to))
            .collect();
        if hole.bore.tilt_rad > 0.0 {
            marks.push(self.line("lean", hole.at, hole.axis_end()));
        }
        format!("{mouth}{}\n", marks.concat())
    }

    fn line(&self, class: &str, from: Point, to: Point) -> String {
        let ((x1, y1), (x2, y2)) = (self.place(from), self.place(to));
        format!(
            "<line class=\"{class}\" stroke-width=\"0.1\" x1=\"{x1}\" y1=\"{y1}\" x2=\"{x2}\" y2=\"{y2}\"/>"
        )
    }
}

/// Text as XML takes it; letters that XML does not know at all are left out.
fn escaped(text: &str) -> String {
    let mut safe = String::new();
    for letter in text.chars() {
        match letter {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '\u{fffe}' | '\u{ffff}' => (),
            _ if letter.is_control() => safe.push(' '),
            _ => safe.push(letter),
        }
    }
    safe
}
