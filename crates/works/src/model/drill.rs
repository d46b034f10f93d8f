//! Drilling and filling: where the holes are, how they are drilled, what goes into them.

use super::cut::Numbers;
use super::{ItemId, OperationId, Stated};
use crate::source::Span;

/// What a drilling station can do. Lengths in m, times in s.
#[derive(Clone, Debug)]
pub struct DrillingMachine {
    /// Heads that drill at once.
    pub heads: u64,
    /// Distance from head to head along the length.
    pub spacing: Option<Stated>,
    /// Whether each head can be lifted by itself.
    pub lifts: bool,
    /// Greatest speed of an axis between holes, m/s.
    pub speed: Stated,
    /// Acceleration of an axis, m/s².
    pub acceleration: Stated,
    /// Height above the face at which the heads travel.
    pub clear: Stated,
    /// Time to change a tool.
    pub tool_change: Option<Stated>,
    /// Time to turn the part to another face.
    pub turn: Option<Stated>,
    /// Time to take a part out and put the next one in.
    pub load: Option<Stated>,
    /// Parts that are clamped side by side and drilled by as many heads.
    pub reach: Option<(Stated, Stated)>,
    /// Where it was written.
    pub at: Span,
}

/// The holes of a part and how they are drilled.
#[derive(Clone, Debug)]
pub struct Drill {
    /// Where it was written.
    pub at: Span,
    /// The face that is drilled.
    pub outline: FaceOutline,
    /// Thickness of the part behind the face.
    pub thick: Stated,
    /// Least distance from a hole's edge to the outline.
    pub edge: Option<Stated>,
    /// Least material between two holes.
    pub web: Option<Stated>,
    /// Least material below a blind hole.
    pub floor: Option<Stated>,
    /// Full angle of the drill's point, radians; flat when left out.
    pub point: Option<Stated>,
    /// The holes.
    pub holes: Vec<HolePattern>,
    /// Where the heads start and where they park: from the outline's lower left corner.
    pub park: Option<(Stated, Stated)>,
    /// Whether the time found replaces the stated pace.
    pub numbers: Numbers,
}

/// The outline of a face, its lower left corner at (0, 0).
#[derive(Clone, Debug)]
pub enum FaceOutline {
    /// A rectangle, its corners rounded if a radius is given.
    Rectangle {
        /// Along x.
        length: Stated,
        /// Along y.
        width: Stated,
        /// Radius of the corners.
        corner: Option<Stated>,
    },
    /// An ellipse (a circle when both are equal).
    Ellipse {
        /// Along x.
        length: Stated,
        /// Along y.
        width: Stated,
    },
    /// Corners, and for each edge how far it bulges outward (0 for straight).
    Corners(Vec<Corner>),
}

/// A corner of an outline.
#[derive(Clone, Debug)]
pub struct Corner {
    /// Along x, m.
    pub x_m: f64,
    /// Along y, m.
    pub y_m: f64,
    /// Height of the arc over the straight line to the next corner, m; positive to the right of
    /// the way when walking anticlockwise, so outward.
    pub rise_m: f64,
}

/// Holes that follow one rule, or are listed.
#[derive(Clone, Debug)]
pub struct HolePattern {
    /// Where it was written.
    pub at: Span,
    /// Where they are.
    pub layout: Layout,
    /// Across.
    pub diameter: Stated,
    /// How deep, along the hole; right through when left out.
    pub depth: Option<Stated>,
    /// The tool; named after the diameter when left out.
    pub tool: Option<String>,
    /// Lean from the upright, radians.
    pub lean: Option<Stated>,
    /// Where it leans to, radians from x.
    pub toward: Option<Stated>,
    /// The face of the part.
    pub face: u64,
    /// Advance per turn, m.
    pub feed: Option<Stated>,
    /// Turns per second.
    pub speed: Option<Stated>,
    /// Advance per time, m/s, instead of the two.
    pub plunge: Option<Stated>,
    /// Depth of one bite, m.
    pub peck: Option<Stated>,
    /// Time at the bottom, s.
    pub dwell: Option<Stated>,
}

/// How holes are laid out. Points from the outline's lower left corner, m.
#[derive(Clone, Debug)]
pub enum Layout {
    /// Rows and columns.
    Rows {
        /// Distance along x.
        pitch: Stated,
        /// Distance along y; the same when left out (for staggered rows, that of a triangle).
        row_pitch: Option<Stated>,
        /// How many along x; as many as fit when left out.
        across: Option<u64>,
        /// How many rows; as many as fit when left out.
        rows: Option<u64>,
        /// Whether every other row is moved by half a pitch.
        staggered: bool,
        /// Angle of the rows, radians.
        turned: Option<Stated>,
    },
    /// Rings round the middle.
    Rings {
        /// Radius of each, m; 0 is the middle.
        radii: Vec<Stated>,
        /// Holes in each.
        counts: Vec<u64>,
        /// Distance along a ring, when counts are not given.
        pitch: Option<Stated>,
    },
    /// Along a line through points.
    Along {
        /// The points.
        points: Vec<(f64, f64)>,
        /// Distance along the line.
        pitch: Option<Stated>,
        /// Or how many.
        count: Option<u64>,
    },
    /// Along the outline, inside it.
    Around {
        /// Distance from the outline to the middle of the holes.
        inset: Stated,
        /// Distance along the line.
        pitch: Option<Stated>,
        /// Or how many.
        count: Option<u64>,
    },
    /// As listed in a table.
    Listed {
        /// The table.
        file: String,
        /// Its holes.
        holes: Vec<ListedHole>,
    },
}

/// A hole of a table. What is left out is as the pattern says.
#[derive(Clone, Debug)]
pub struct ListedHole {
    /// Along x, m.
    pub x_m: f64,
    /// Along y, m.
    pub y_m: f64,
    /// Across, m.
    pub diameter_m: Option<f64>,
    /// Deep, m.
    pub depth_m: Option<f64>,
    /// The tool.
    pub tool: Option<String>,
    /// Where it stands.
    pub at: Span,
}

/// What goes into the holes.
#[derive(Clone, Debug)]
pub struct Fill {
    /// Where it was written.
    pub at: Span,
    /// The operation that drills the holes.
    pub holes_of: OperationId,
    /// What each hole gets.
    pub puts: FillKind,
    /// Share of elements (tubes, pins, anchors) that miss and are lost.
    pub miss: Option<Stated>,
    /// Chance that one hole spoils the part.
    pub spoils: Option<Stated>,
    /// Whether what is found replaces what the route states.
    pub numbers: Numbers,
}

/// What a hole is filled with.
#[derive(Clone, Debug)]
pub enum FillKind {
    /// So many of an item in each hole: pins, tubes, pegs.
    Pieces {
        /// The item.
        item: ItemId,
        /// In each hole.
        each: u64,
        /// An anchor, staple or pin that goes in with them.
        anchor: Option<ItemId>,
    },
    /// A bundle of fibre folded over an anchor.
    Fibre(Box<Fibre>),
}

/// A bundle of fibre folded over an anchor.
#[derive(Clone, Debug)]
pub struct Fibre {
    /// The item, counted by mass.
    pub item: ItemId,
    /// Across one fibre, m.
    pub across: Stated,
    /// Share of the hole's area that fibre fills.
    pub share: Stated,
    /// Length that stands out of the hole, m.
    pub free: Stated,
    /// Length taken by the fold, m.
    pub fold: Stated,
    /// Mass per length of one fibre, kg/m.
    pub linear_density: Stated,
    /// The anchor.
    pub anchor: Option<ItemId>,
}
