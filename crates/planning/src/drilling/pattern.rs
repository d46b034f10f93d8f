//! Laying the stated patterns on their face, and holding the holes against the rules.

use drilling::outline::{Bounds, Ellipse, Next, Outline, Point, Vertex};
use drilling::pattern::{
    self as engine, Align, Bore, Curve, Fault, Frame, Hole, Laid, Panel, Ring, Rules, Spacing,
};
use works::{Corner, Drill, FaceOutline, HolePattern, Layout, Span, Stated};

use super::{Broken, HoleLine, NoDrill, ToolLine};

/// More holes than this in one part are no part but a slip of the pitch.
const MOST_HOLES: usize = 20_000;
/// More tools than this for one part are no job but a slip of the table.
const MOST_TOOLS: usize = 100;

/// Everything laid.
pub(super) struct Everything {
    pub(super) outline: Outline,
    pub(super) tools: Vec<ToolLine>,
    pub(super) holes: Vec<HoleLine>,
    pub(super) broken: Vec<Broken>,
}

/// The face, its rules, and the holes so far.
struct Face<'d> {
    drill: &'d Drill,
    panel: Panel,
    rules: Rules,
    tools: Vec<ToolLine>,
    holes: Vec<(Hole, u64, Span)>,
    broken: Vec<Broken>,
}

pub(super) fn lay(drill: &Drill) -> Result<Everything, NoDrill> {
    let no = |why: String| NoDrill { at: drill.at, why };
    let outline = outline(&drill.outline).map_err(no)?;
    let panel = Panel {
        outline,
        thickness_m: drill.thick.mean(),
        frame: Frame::top(),
    };
    let rules = super::rules(drill);
    let mut face = Face {
        drill,
        panel,
        rules,
        tools: Vec::new(),
        holes: Vec::new(),
        broken: Vec::new(),
    };
    for pattern in &drill.holes {
        face.add(pattern)?;
        face.countable(pattern)?;
    }
    face.hold_against_rules();
    Ok(face.everything())
}

fn outline(outline: &FaceOutline) -> Result<Outline, String> {
    let made = match outline {
        FaceOutline::Rectangle {
            length,
            width,
            corner,
        } => Outline::rectangle(
            Point::new(0.0, 0.0),
            Point::new(length.mean(), width.mean()),
            corner.as_ref().map_or(0.0, Stated::mean),
        ),
        FaceOutline::Ellipse { length, width } => {
            let (half_x_m, half_y_m) = (0.5 * length.mean(), 0.5 * width.mean());
            Outline::ellipse(Ellipse {
                centre: Point::new(half_x_m, half_y_m),
                half_x_m,
                half_y_m,
                turn_rad: 0.0,
            })
        }
        FaceOutline::Corners(corners) => Outline::polygon(&vertices(corners)),
    };
    made.map_err(|fault| fault.to_string())
}

/// Corners with the bulge of their edges: the tangent of a quarter of the angle is the rise over half the chord.
/// Walked anticlockwise, an outward arc turns the same way, so that its bulge is positive.
fn vertices(corners: &[Corner]) -> Vec<Vertex> {
    let vertex = |(number, corner): (usize, &Corner)| {
        let next = &corners[(number + 1) % corners.len()];
        let at = Point::new(corner.x_m, corner.y_m);
        let chord = at.distance(Point::new(next.x_m, next.y_m));
        if corner.rise_m == 0.0 || chord == 0.0 {
            return Vertex::corner(at);
        }
        Vertex {
            at,
            next: Next::Bulge(2.0 * corner.rise_m / chord),
        }
    };
    corners.iter().enumerate().map(vertex).collect()
}

impl Face<'_> {
    fn add(&mut self, pattern: &HolePattern) -> Result<(), NoDrill> {
        if let Layout::Listed { holes, .. } = &pattern.layout {
            for hole in holes {
                let bore = self.bore(pattern, hole.diameter_m, hole.depth_m, hole.tool.as_deref());
                let at = Point::new(hole.x_m, hole.y_m);
                self.holes.push((Hole { at, bore }, pattern.face, hole.at));
            }
            return Ok(());
        }
        let bore = self.bore(pattern, None, None, None);
        let asked = asked(&pattern.layout);
        if asked > MOST_HOLES as u64 {
            return Err(too_many(pattern, "holes", MOST_HOLES, asked));
        }
        let layout = layout(&pattern.layout, self.panel.outline.bounds());
        let laid = engine::lay(&layout, &self.panel, &bore, &self.rules);
        let laid = laid.map_err(|fault| NoDrill {
            at: pattern.at,
            why: fault.to_string(),
        })?;
        self.take(laid, pattern);
        Ok(())
    }

    /// Whether the holes and tools so far are those of a part that somebody might drill.
    fn countable(&self, pattern: &HolePattern) -> Result<(), NoDrill> {
        if self.holes.len() > MOST_HOLES {
            let found = self.holes.len() as u64;
            return Err(too_many(pattern, "holes", MOST_HOLES, found));
        }
        if self.tools.len() > MOST_TOOLS {
            let found = self.tools.len() as u64;
            return Err(too_many(pattern, "tools", MOST_TOOLS, found));
        }
        Ok(())
    }

    fn take(&mut self, laid: Laid, pattern: &HolePattern) {
        if !laid.left_out.is_empty() {
            let first = laid.left_out[0];
            self.broken.push(Broken {
                holes: Vec::new(),
                words: format!(
                    "{} of the holes asked for do not fit inside the edge, the first at x {:.1} mm, y {:.1} mm",
                    laid.left_out.len(),
                    first.x * 1e3,
                    first.y * 1e3
                ),
                at: pattern.at,
            });
        }
        if laid.holes.is_empty() && laid.left_out.is_empty() {
            self.broken.push(Broken {
                holes: Vec::new(),
                words: "not one hole of this pattern fits".to_owned(),
                at: pattern.at,
            });
        }
        let (face, at) = (pattern.face, pattern.at);
        self.holes
            .extend(laid.holes.into_iter().map(|hole| (hole, face, at)));
    }

    /// What is drilled at each place of a pattern; a listed hole may have its own sizes.
    fn bore(
        &mut self,
        pattern: &HolePattern,
        diameter_m: Option<f64>,
        depth_m: Option<f64>,
        tool: Option<&str>,
    ) -> Bore {
        let diameter_m = diameter_m.unwrap_or_else(|| pattern.diameter.mean());
        let tilt_rad = pattern.lean.as_ref().map_or(0.0, Stated::mean);
        let depth_m = depth_m.or_else(|| pattern.depth.as_ref().map(Stated::mean));
        // Right through with its full diameter, also at the lower rim of a leaning hole.
        let through_m =
            self.drill.thick.mean() / tilt_rad.cos() + 0.5 * diameter_m * tilt_rad.tan();
        let tool = self.tool(pattern, diameter_m, tool);
        Bore {
            diameter_m,
            depth_m: depth_m.unwrap_or(through_m),
            through: depth_m.is_none(),
            tilt_rad,
            bearing_rad: pattern.toward.as_ref().map_or(0.0, Stated::mean),
            tool: tool as u32,
            face: 0,
        }
    }

    /// The number of a tool: those of one name, size and way in are one tool.
    fn tool(&mut self, pattern: &HolePattern, diameter_m: f64, name: Option<&str>) -> usize {
        let name = name
            .or(pattern.tool.as_deref())
            .map_or_else(|| format!("{} mm", 1e3 * diameter_m), str::to_owned);
        let turns_per_s = pattern.speed.as_ref().map(Stated::mean);
        let by_turns = pattern
            .feed
            .as_ref()
            .zip(turns_per_s)
            .map(|(feed, turns)| feed.mean() * turns);
        let tool = ToolLine {
            name,
            diameter_m,
            advance_m_s: pattern.plunge.as_ref().map(Stated::mean).or(by_turns),
            turns_per_s,
            peck_m: pattern.peck.as_ref().map(Stated::mean),
            dwell_s: pattern.dwell.as_ref().map_or(0.0, Stated::mean),
            holes: 0,
        };
        let alike = |known: &ToolLine| {
            known.name == tool.name
                && known.diameter_m == tool.diameter_m
                && known.advance_m_s == tool.advance_m_s
                && known.peck_m == tool.peck_m
                && known.dwell_s == tool.dwell_s
        };
        let known = self.tools.iter().position(alike);
        known.unwrap_or_else(|| {
            self.tools.push(tool);
            self.tools.len() - 1
        })
    }

    /// Holds the holes of each face against edge, webs and floor.
    fn hold_against_rules(&mut self) {
        let mut faces: Vec<u64> = self.holes.iter().map(|(_, face, _)| *face).collect();
        faces.sort_unstable();
        faces.dedup();
        let panels = [self.panel.clone()];
        for face in faces {
            let numbers: Vec<usize> = (0..self.holes.len())
                .filter(|&number| self.holes[number].1 == face)
                .collect();
            let holes: Vec<Hole> = numbers.iter().map(|&n| self.holes[n].0).collect();
            for fault in engine::check(&panels, &holes, &self.rules) {
                let (of, words) = of_fault(&fault);
                let holes: Vec<usize> = of.iter().map(|&hole| numbers[hole]).collect();
                let at = holes.first().map_or(self.drill.at, |&n| self.holes[n].2);
                self.broken.push(Broken { holes, words, at });
            }
        }
    }

    fn everything(self) -> Everything {
        let mut tools = self.tools;
        let line = |(hole, face, _): &(Hole, u64, Span)| HoleLine {
            x_m: hole.at.x,
            y_m: hole.at.y,
            diameter_m: hole.bore.diameter_m,
            depth_m: hole.bore.depth_m,
            through: hole.bore.through,
            lean_rad: hole.bore.tilt_rad,
            toward_rad: hole.bore.bearing_rad,
            tool: hole.bore.tool as usize,
            face: *face,
        };
        let holes: Vec<HoleLine> = self.holes.iter().map(line).collect();
        for hole in &holes {
            tools[hole.tool].holes += 1;
        }
        Everything {
            outline: self.panel.outline,
            tools,
            holes,
            broken: self.broken,
        }
    }
}

fn too_many(pattern: &HolePattern, what: &str, most: usize, found: u64) -> NoDrill {
    NoDrill {
        at: pattern.at,
        why: format!(
            "expected at most {} {what} in one part, found {}",
            quantity::show_number(most as f64),
            quantity::show_number(found as f64)
        ),
    }
}

/// Holes that a layout names by number, before any is laid.
fn asked(layout: &Layout) -> u64 {
    match layout {
        Layout::Rows {
            across: Some(across),
            rows: Some(rows),
            ..
        } => across.saturating_mul(*rows),
        Layout::Rings { counts, .. } => counts.iter().fold(0, |sum, &n| sum.saturating_add(n)),
        Layout::Along { count, .. } | Layout::Around { count, .. } => count.unwrap_or(0),
        Layout::Rows { .. } | Layout::Listed { .. } => 0,
    }
}

/// The holes that a fault is about, and its words.
fn of_fault(fault: &Fault) -> (Vec<usize>, String) {
    let holes = match fault {
        Fault::ThinWeb { hole, other, .. } | Fault::Twice { hole, other } => vec![*hole, *other],
        Fault::Size { hole, .. }
        | Fault::NoSuchFace { hole, .. }
        | Fault::OffFace { hole, .. }
        | Fault::NearEdge { hole, .. }
        | Fault::NearSide { hole, .. }
        | Fault::BreaksSide { hole, .. }
        | Fault::ThinFloor { hole, .. }
        | Fault::BreaksBack { hole, .. }
        | Fault::NotThrough { hole, .. } => vec![*hole],
        _ => Vec::new(),
    };
    (holes, fault.to_string())
}

/// A stated layout as the engine lays it.
fn layout(layout: &Layout, bounds: Bounds) -> engine::Layout {
    let place = |&(x, y): &(f64, f64)| Point::new(x, y);
    match layout {
        Layout::Rows { .. } => rows(layout, bounds),
        Layout::Rings {
            radii,
            counts,
            pitch,
        } => engine::Layout::Rings {
            centre: bounds.centre(),
            rings: radii
                .iter()
                .enumerate()
                .map(|(number, radius)| Ring {
                    radius_m: radius.mean(),
                    spacing: spacing(pitch.as_ref(), counts.get(number).copied()),
                    first_rad: 0.0,
                })
                .collect(),
        },
        Layout::Along {
            points,
            pitch,
            count,
        } => engine::Layout::Along {
            curve: Curve::Polyline(points.iter().map(place).collect()),
            spacing: spacing(pitch.as_ref(), *count),
        },
        Layout::Around {
            inset,
            pitch,
            count,
        } => engine::Layout::AroundEdge {
            inset_m: inset.mean(),
            spacing: spacing(pitch.as_ref(), *count),
        },
        Layout::Listed { holes, .. } => engine::Layout::Points(
            holes
                .iter()
                .map(|hole| Point::new(hole.x_m, hole.y_m))
                .collect(),
        ),
    }
}

fn spacing(pitch: Option<&Stated>, count: Option<u64>) -> Spacing {
    match (count, pitch) {
        (Some(count), _) => Spacing::Count(count as usize),
        (None, Some(pitch)) => Spacing::Even(pitch.mean()),
        (None, None) => Spacing::Count(1),
    }
}

/// Rows: as many as fit where no number is given, else so many about the middle of the face.
fn rows(layout: &Layout, bounds: Bounds) -> engine::Layout {
    let Layout::Rows {
        pitch,
        row_pitch,
        across,
        rows,
        staggered,
        turned,
    } = layout
    else {
        return engine::Layout::Points(Vec::new());
    };
    let pitch_m = pitch.mean();
    let turn_rad = turned.as_ref().map_or(0.0, Stated::mean);
    let row_m = row_pitch.as_ref().map(Stated::mean);
    let align = Align::Centred;
    if let (Some(across), Some(rows)) = (across, rows) {
        let row_m = row_m.unwrap_or(if *staggered {
            pitch_m * 0.75_f64.sqrt()
        } else {
            pitch_m
        });
        let shift = if *staggered { 0.5 * pitch_m } else { 0.0 };
        let block = Block {
            across: *across,
            rows: *rows,
            pitch_m,
            row_m,
            shift,
        };
        return engine::Layout::Points(block.places(bounds.centre(), turn_rad));
    }
    if *staggered {
        return engine::Layout::Staggered {
            pitch_m,
            row_m,
            turn_rad,
            align,
        };
    }
    engine::Layout::Grid {
        pitch_x_m: pitch_m,
        pitch_y_m: row_m.unwrap_or(pitch_m),
        turn_rad,
        align,
    }
}

/// So many rows of so many holes.
struct Block {
    across: u64,
    rows: u64,
    pitch_m: f64,
    row_m: f64,
    /// How far every other row is moved.
    shift: f64,
}

impl Block {
    /// The places about a centre, row by row from below.
    fn places(&self, centre: Point, turn_rad: f64) -> Vec<Point> {
        let shifted = if self.rows > 1 { self.shift } else { 0.0 };
        let width = (self.across - 1) as f64 * self.pitch_m + shifted;
        let height = (self.rows - 1) as f64 * self.row_m;
        let mut places = Vec::new();
        for row in 0..self.rows {
            for column in 0..self.across {
                let shift = if row % 2 == 1 { self.shift } else { 0.0 };
                let x = column as f64 * self.pitch_m + shift - 0.5 * width;
                let y = row as f64 * self.row_m - 0.5 * height;
                let turned = Point::new(x, y).turned(turn_rad);
                places.push(Point::new(centre.x + turned.x, centre.y + turned.y));
            }
        }
        places
    }
}
