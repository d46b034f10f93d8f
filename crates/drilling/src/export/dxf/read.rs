//! Reads a drawing written here back and holds it against what it should show.

use crate::outline::{Arc, Contour, Edge, Line, Outline, Point};

use super::super::Drawing;
use super::{HOLES, ISLANDS, LEAN, NOTES, OUTLINE};

/// Metres in a millimetre.
const MM: f64 = 1e-3;

/// Why a drawing cannot be read, or does not show what it should. Lines count from 1; holes from 0 in the fields
/// and from 1 in the message.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum DxfFault {
    /// A group code that is not a number, or has no value after it.
    #[error("line {line}: expected a group code and a value")]
    Group {
        /// Which line.
        line: usize,
    },
    /// Something that is not written here, so that what it means is unknown.
    #[error("line {line}: `{what}` is not among what can be verified")]
    Unknown {
        /// Which line.
        line: usize,
        /// What it is.
        what: String,
    },
    /// An entity without a number it needs.
    #[error("line {line}: group {code} is missing or not a number")]
    Missing {
        /// The line the entity starts at.
        line: usize,
        /// Which group.
        code: i32,
    },
    /// The file is not of release 12, or does not end.
    #[error("expected {what}")]
    Expected {
        /// What is missing.
        what: &'static str,
    },
    /// A hole that is not drawn.
    #[error("hole {} is not drawn", .hole + 1)]
    NotDrawn {
        /// Which hole.
        hole: usize,
    },
    /// A circle where no hole was asked for, or one hole too often.
    #[error("line {line}: a hole that nobody asked for")]
    NotAsked {
        /// Which line.
        line: usize,
    },
    /// An edge that does not lie on the outline.
    #[error("line {line}: {:.4} mm off the outline", .off_m * 1e3)]
    OffOutline {
        /// Which line.
        line: usize,
        /// How far off.
        off_m: f64,
    },
    /// The edges drawn do not add up to the outline.
    #[error("the edges drawn are {:.4} mm long, those of the outline {:.4} mm", .drawn_m * 1e3, .asked_m * 1e3)]
    Length {
        /// Length drawn.
        drawn_m: f64,
        /// Length of the outline.
        asked_m: f64,
    },
}

/// A hole as drawn.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct DrawnHole {
    /// The line its entity starts at.
    pub line: usize,
    /// Where.
    pub at: Point,
    /// Diameter, m.
    pub diameter_m: f64,
    /// Depth, m.
    pub depth_m: f64,
}

/// What a drawing shows.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct DxfRead {
    /// The holes.
    pub holes: Vec<DrawnHole>,
    /// The edges of the outline and the islands, each with the line its entity starts at.
    pub edges: Vec<(usize, Edge)>,
}

/// Reads the entities of a drawing; any text may be given.
pub fn read(text: &str) -> Result<DxfRead, DxfFault> {
    let groups = groups(text)?;
    let release = groups
        .windows(2)
        .any(|pair| pair[0].value == "$ACADVER" && pair[1].value == "AC1009");
    if !release {
        return Err(DxfFault::Expected {
            what: "a file of release 12 (AC1009)",
        });
    }
    let ends = groups.last().is_some_and(|group| group.is(0, "EOF"));
    let start = groups
        .windows(2)
        .position(|pair| pair[0].is(0, "SECTION") && pair[1].is(2, "ENTITIES"));
    let (Some(start), true) = (start, ends) else {
        return Err(DxfFault::Expected {
            what: "a section of entities and an end of file",
        });
    };
    let mut drawing = Reading::default();
    for entity in entities(&groups[start + 2..]) {
        if entity[0].is(0, "ENDSEC") {
            return Ok(drawing.read);
        }
        drawing.take(entity)?;
    }
    Err(DxfFault::Expected {
        what: "an end of the section of entities",
    })
}

/// A group code and its value.
struct Group<'a> {
    line: usize,
    code: i32,
    value: &'a str,
}

impl Group<'_> {
    fn is(&self, code: i32, value: &str) -> bool {
        self.code == code && self.value == value
    }
}

fn groups(text: &str) -> Result<Vec<Group<'_>>, DxfFault> {
    let lines: Vec<&str> = text.lines().collect();
    lines
        .chunks(2)
        .enumerate()
        .map(|(index, pair)| {
            let line = 2 * index + 1;
            let code = pair[0].trim().parse().ok();
            match (code, pair.get(1)) {
                (Some(code), Some(value)) => Ok(Group {
                    line,
                    code,
                    value: value.trim(),
                }),
                _ => Err(DxfFault::Group { line }),
            }
        })
        .collect()
}

/// The groups cut before each group 0.
fn entities<'a, 'b>(groups: &'a [Group<'b>]) -> impl Iterator<Item = &'a [Group<'b>]> {
    groups
        .chunk_by(|_, next| next.code != 0)
        .filter(|entity| entity[0].code == 0)
}

/// A number of an entity.
fn number(entity: &[Group<'_>], code: i32) -> Result<f64, DxfFault> {
    let line = entity[0].line;
    entity
        .iter()
        .find(|group| group.code == code)
        .and_then(|group| group.value.parse().ok())
        .filter(|number: &f64| number.is_finite())
        .ok_or(DxfFault::Missing { line, code })
}

fn metres(entity: &[Group<'_>], code: i32) -> Result<f64, DxfFault> {
    Ok(number(entity, code)? * MM)
}

fn place(entity: &[Group<'_>], code: i32) -> Result<Point, DxfFault> {
    Ok(Point::new(
        metres(entity, code)?,
        metres(entity, code + 10)?,
    ))
}

/// What has been read, and the polyline being read.
#[derive(Default)]
struct Reading {
    read: DxfRead,
    corners: Vec<Point>,
}

impl Reading {
    fn take(&mut self, entity: &[Group<'_>]) -> Result<(), DxfFault> {
        let line = entity[0].line;
        let layer = entity.iter().find(|group| group.code == 8);
        let layer = layer.map_or("", |group| group.value);
        let edge = matches!(layer, OUTLINE | ISLANDS);
        match entity[0].value {
            "TEXT" if layer == NOTES => (),
            "LINE" if layer == LEAN => (),
            "CIRCLE" if layer.starts_with(HOLES) => self.read.holes.push(DrawnHole {
                line,
                at: place(entity, 10)?,
                diameter_m: 2.0 * metres(entity, 40)?,
                depth_m: -metres(entity, 39)?,
            }),
            "LINE" if edge => self.edge(line, straight(place(entity, 10)?, place(entity, 11)?)),
            "CIRCLE" if edge => {
                let circle = Arc::circle(place(entity, 10)?, metres(entity, 40)?);
                self.edge(line, Edge::Arc(circle));
            }
            "ARC" if edge => self.edge(line, arc(entity)?),
            "POLYLINE" if edge => self.corners.clear(),
            "VERTEX" if edge => self.corners.push(place(entity, 10)?),
            "SEQEND" if edge => self.close(line),
            what => {
                let what = format!("{what} on layer {layer}");
                return Err(DxfFault::Unknown { line, what });
            }
        }
        Ok(())
    }

    fn edge(&mut self, line: usize, edge: Edge) {
        self.read.edges.push((line, edge));
    }

    /// The edges of the polyline, which is closed.
    fn close(&mut self, line: usize) {
        let corners = std::mem::take(&mut self.corners);
        for i in 0..corners.len() {
            self.edge(line, straight(corners[i], corners[(i + 1) % corners.len()]));
        }
    }
}

fn straight(from: Point, to: Point) -> Edge {
    Edge::Line(Line { from, to })
}

fn arc(entity: &[Group<'_>]) -> Result<Edge, DxfFault> {
    let (from, to) = (number(entity, 50)?, number(entity, 51)?);
    let sweep = (to - from).rem_euclid(360.0);
    let radius_m = metres(entity, 40)?;
    let arc = Arc::about(
        place(entity, 10)?,
        radius_m,
        from.to_radians(),
        sweep.to_radians(),
    );
    Ok(Edge::Arc(arc))
}

/// Reads a drawing back and says where it differs from what it should show: every hole once, with its diameter
/// and depth; every edge on the outline, and all of the outline drawn. Places may differ by `tolerance_m` (half
/// the last decimal written, and a hair), ellipses by `ellipse_tolerance_m` more.
pub fn verify(
    text: &str,
    drawing: &Drawing<'_>,
    tolerance_m: f64,
    ellipse_tolerance_m: f64,
) -> Vec<DxfFault> {
    let read = match read(text) {
        Ok(read) => read,
        Err(fault) => return vec![fault],
    };
    let mut faults = hole_faults(&read, drawing, tolerance_m);
    faults.extend(edge_faults(
        &read,
        drawing.outline,
        tolerance_m,
        ellipse_tolerance_m,
    ));
    faults
}

fn hole_faults(read: &DxfRead, drawing: &Drawing<'_>, tolerance_m: f64) -> Vec<DxfFault> {
    let near = |one: f64, other: f64| (one - other).abs() <= tolerance_m;
    let mut waiting: Vec<usize> = (0..drawing.holes.len()).collect();
    let mut faults = Vec::new();
    for drawn in &read.holes {
        let same = |hole: &usize| {
            let asked = &drawing.holes[*hole];
            near(drawn.at.x, asked.at.x)
                && near(drawn.at.y, asked.at.y)
                && near(0.5 * drawn.diameter_m, 0.5 * asked.bore.diameter_m)
                && near(drawn.depth_m, asked.bore.depth_m)
        };
        match waiting.iter().position(same) {
            Some(place) => {
                waiting.remove(place);
            }
            None => faults.push(DxfFault::NotAsked { line: drawn.line }),
        }
    }
    faults.extend(waiting.into_iter().map(|hole| DxfFault::NotDrawn { hole }));
    faults
}

fn edge_faults(
    read: &DxfRead,
    outline: &Outline,
    tolerance_m: f64,
    ellipse_tolerance_m: f64,
) -> Vec<DxfFault> {
    // A corner of the square of rounding is √2 of its half side off.
    let slack_m = 2.0 * tolerance_m + ellipse_tolerance_m;
    let mut faults = Vec::new();
    for (line, edge) in &read.edges {
        let off_m = [0.0, 0.25, 0.5, 0.75, 1.0]
            .map(|share| off(outline, edge.at(share)))
            .into_iter()
            .fold(0.0, f64::max);
        if off_m > slack_m {
            faults.push(DxfFault::OffOutline { line: *line, off_m });
        }
    }
    let drawn_m: f64 = read.edges.iter().map(|(_, edge)| edge.length_m()).sum();
    let asked_m: f64 = outline.contours().map(Contour::length_m).sum();
    // Each edge may be longer or shorter by rounding at both ends.
    let edges = read.edges.len() as f64 + 1.0;
    if (drawn_m - asked_m).abs() > 8.0 * tolerance_m * edges + 8.0 * ellipse_tolerance_m {
        faults.push(DxfFault::Length { drawn_m, asked_m });
    }
    faults
}

/// Distance of a point from the nearest edge of the outline.
fn off(outline: &Outline, point: Point) -> f64 {
    outline
        .contours()
        .map(|contour| contour.distance(point))
        .fold(f64::INFINITY, f64::min)
}
