//! Drawing exchange files (DXF, release 12, ASCII): what nearly every drawing and machine program reads.
//!
//! Millimetres. The outer edge is on layer OUTLINE, islands on ISLANDS, holes on one layer for each diameter
//! (HOLES_8_000MM) as circles whose thickness downward (group 39) is their depth, the drift of leaning holes as
//! lines on LEAN, the heading as text on NOTES. Straight edges are LINE, round ones ARC or CIRCLE; an ellipse, which
//! release 12 does not know, is a closed POLYLINE whose corners lie on it.

mod read;

use std::collections::BTreeSet;
use std::f64::consts::TAU;

use crate::outline::{Arc, Bounds, Contour, Edge, Ellipse, Point};
use crate::pattern::Hole;

use super::Drawing;
use super::fault::{ExportFault, require};
use super::number::{MOST_DECIMALS, fixed, mm, plain};

pub use read::{DrawnHole, DxfFault, DxfRead, read, verify};

pub(super) const OUTLINE: &str = "OUTLINE";
pub(super) const ISLANDS: &str = "ISLANDS";
pub(super) const HOLES: &str = "HOLES_";
pub(super) const LEAN: &str = "LEAN";
pub(super) const NOTES: &str = "NOTES";

/// Decimals of angles in degrees: on a radius of a metre the last one is worth 0.2 nm.
const ANGLE_DECIMALS: u8 = 8;

/// Height of the heading's letters and distance between its lines, m.
const LETTER_M: f64 = 0.003;
const LINE_M: f64 = 0.005;

/// The finest tolerance of an ellipse, m.
const FINEST_M: f64 = 1e-7;

/// How the file is written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DxfStyle {
    /// Decimals of a millimetre, at most 6.
    pub decimals: u8,
    /// Largest distance between an ellipse and the polyline drawn for it, m.
    pub ellipse_tolerance_m: f64,
}

impl Default for DxfStyle {
    fn default() -> Self {
        Self {
            decimals: 4,
            ellipse_tolerance_m: 5e-6,
        }
    }
}

/// The drawing of a face and its holes.
pub fn drawing(drawing: &Drawing<'_>, style: &DxfStyle) -> Result<String, ExportFault> {
    let decimals = style.decimals;
    let written = decimals <= MOST_DECIMALS;
    require(
        written,
        "number of decimals",
        f64::from(decimals),
        "at most 6",
    )?;
    let tolerance_m = style.ellipse_tolerance_m;
    let usable = tolerance_m >= FINEST_M && tolerance_m.is_finite();
    require(
        usable,
        "tolerance of ellipses",
        tolerance_m,
        "a ten thousandth of a millimetre or more",
    )?;
    super::drawable(drawing.holes)?;
    let mut groups = Groups {
        text: String::new(),
        style: *style,
    };
    groups.head(drawing);
    groups.layers(drawing.holes);
    groups.section("ENTITIES");
    groups.contour(drawing.outline.outer(), OUTLINE);
    for island in drawing.outline.islands() {
        groups.contour(island, ISLANDS);
    }
    for hole in drawing.holes {
        groups.hole(hole);
    }
    groups.notes(drawing);
    groups.word(0, "ENDSEC");
    groups.word(0, "EOF");
    Ok(groups.text)
}

/// The layer of the holes of a diameter. Release 12 takes no points in names.
fn layer_of(hole: &Hole, decimals: u8) -> String {
    format!(
        "{HOLES}{}MM",
        mm(hole.bore.diameter_m, decimals).replace('.', "_")
    )
}

/// A point on the ellipse every so often that the chords stay within a tolerance: a step dt bulges by less than
/// (longer half extent) × dt²/8.
fn corners(ellipse: &Ellipse, tolerance_m: f64) -> Vec<Point> {
    let long = ellipse.half_x_m.max(ellipse.half_y_m);
    let step = libm::sqrt(8.0 * tolerance_m / long);
    let steps = libm::ceil(TAU / step).max(12.0) as usize;
    (0..steps)
        .map(|i| ellipse.at(TAU * i as f64 / steps as f64))
        .collect()
}

/// A file in the making: pairs of a group code and a value, a line each.
struct Groups {
    text: String,
    style: DxfStyle,
}

impl Groups {
    fn word(&mut self, code: u16, value: &str) {
        self.text
            .extend([code.to_string().as_str(), "\n", value, "\n"]);
    }

    fn length(&mut self, code: u16, length_m: f64) {
        let value = mm(length_m, self.style.decimals);
        self.word(code, &value);
    }

    /// A place: its x at the group, y ten further, z twenty further.
    fn place(&mut self, code: u16, at: Point) {
        self.length(code, at.x);
        self.length(code + 10, at.y);
        self.length(code + 20, 0.0);
    }

    fn section(&mut self, name: &str) {
        self.word(0, "SECTION");
        self.word(2, name);
    }

    fn head(&mut self, drawing: &Drawing<'_>) {
        for line in heading(drawing) {
            self.word(999, &line);
        }
        self.section("HEADER");
        self.word(9, "$ACADVER");
        self.word(1, "AC1009");
        let Bounds { low, high } = drawing.outline.bounds();
        self.word(9, "$EXTMIN");
        self.place(10, low);
        self.word(9, "$EXTMAX");
        self.place(10, high);
        self.word(0, "ENDSEC");
    }

    fn layers(&mut self, holes: &[Hole]) {
        let mut names: BTreeSet<String> = [OUTLINE, ISLANDS, LEAN, NOTES]
            .map(str::to_owned)
            .into_iter()
            .collect();
        names.extend(holes.iter().map(|hole| layer_of(hole, self.style.decimals)));
        self.section("TABLES");
        let line_type = [
            (0, "TABLE"),
            (2, "LTYPE"),
            (70, "1"),
            (0, "LTYPE"),
            (2, "CONTINUOUS"),
            (70, "0"),
            (3, "Solid line"),
            (72, "65"),
            (73, "0"),
            (40, "0.0"),
            (0, "ENDTAB"),
            (0, "TABLE"),
            (2, "LAYER"),
        ];
        for (code, value) in line_type {
            self.word(code, value);
        }
        self.word(70, &names.len().to_string());
        for (colour, name) in names.iter().enumerate() {
            self.word(0, "LAYER");
            self.word(2, name);
            self.word(70, "0");
            self.word(62, &(colour % 7 + 1).to_string());
            self.word(6, "CONTINUOUS");
        }
        self.word(0, "ENDTAB");
        self.word(0, "ENDSEC");
    }

    fn entity(&mut self, kind: &str, layer: &str) {
        self.word(0, kind);
        self.word(8, layer);
    }

    fn contour(&mut self, contour: &Contour, layer: &str) {
        match contour {
            Contour::Edges(edges) => {
                for edge in edges {
                    self.edge(edge, layer);
                }
            }
            Contour::Ellipse(ellipse) => self.ellipse(ellipse, layer),
        }
    }

    fn edge(&mut self, edge: &Edge, layer: &str) {
        match edge {
            Edge::Line(line) => self.line(line.from, line.to, layer),
            Edge::Arc(arc) if arc.is_circle() => {
                self.entity("CIRCLE", layer);
                self.place(10, arc.centre);
                self.length(40, arc.radius_m);
            }
            Edge::Arc(arc) => self.arc(arc, layer),
        }
    }

    fn line(&mut self, from: Point, to: Point, layer: &str) {
        self.entity("LINE", layer);
        self.place(10, from);
        self.place(11, to);
    }

    /// Arcs run anticlockwise here, from one angle to another.
    fn arc(&mut self, arc: &Arc, layer: &str) {
        let end = arc.start_rad + arc.sweep_rad;
        let (from, to) = if arc.sweep_rad > 0.0 {
            (arc.start_rad, end)
        } else {
            (end, arc.start_rad)
        };
        let degrees = |angle: f64| fixed(angle.to_degrees().rem_euclid(360.0), ANGLE_DECIMALS);
        self.entity("ARC", layer);
        self.place(10, arc.centre);
        self.length(40, arc.radius_m);
        self.word(50, &degrees(from));
        self.word(51, &degrees(to));
    }

    fn ellipse(&mut self, ellipse: &Ellipse, layer: &str) {
        self.entity("POLYLINE", layer);
        self.word(66, "1");
        self.place(10, Point::default());
        self.word(70, "1");
        for corner in corners(ellipse, self.style.ellipse_tolerance_m) {
            self.entity("VERTEX", layer);
            self.place(10, corner);
        }
        self.entity("SEQEND", layer);
    }

    fn hole(&mut self, hole: &Hole) {
        let layer = layer_of(hole, self.style.decimals);
        self.entity("CIRCLE", &layer);
        self.length(39, -hole.bore.depth_m);
        self.place(10, hole.at);
        self.length(40, 0.5 * hole.bore.diameter_m);
        if hole.bore.tilt_rad > 0.0 {
            self.line(hole.at, hole.axis_end(), LEAN);
        }
    }

    fn notes(&mut self, drawing: &Drawing<'_>) {
        let low = drawing.outline.bounds().low;
        for (i, line) in heading(drawing).iter().enumerate() {
            self.entity("TEXT", NOTES);
            self.place(10, low - Point::new(0.0, (i + 1) as f64 * LINE_M));
            self.length(40, LETTER_M);
            self.word(1, line);
        }
    }
}

fn heading(drawing: &Drawing<'_>) -> Vec<String> {
    let heading = drawing.heading;
    [
        ("PART", heading.part.as_str()),
        ("ROUTE", &heading.route),
        ("OPERATION", &heading.operation),
        ("REVISION", &heading.revision),
        ("FACE", &heading.face),
        ("UNITS", "millimetres"),
    ]
    .into_iter()
    .map(|(what, value)| plain(&format!("{what} {value}"), &[]))
    .collect()
}
