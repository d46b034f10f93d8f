//! The holes as a table: CSV, one line a hole, millimetres and degrees.

use crate::outline::Point;
use crate::pattern::{Bore, Hole};

use super::drawable;
use super::fault::{ExportFault, require};
use super::number::{MOST_DECIMALS, fixed, mm};

/// The first line of the table.
pub const COLUMNS: [&str; 10] = [
    "hole",
    "face",
    "tool",
    "x_mm",
    "y_mm",
    "diameter_mm",
    "depth_mm",
    "through",
    "tilt_deg",
    "bearing_deg",
];

/// Decimals of the angles in degrees: at a metre's depth the last one is worth less than 0.02 µm.
const ANGLE_DECIMALS: u8 = 6;

/// Why a table cannot be read, or does not hold the holes it should. Lines count from 1, holes from 0 in the
/// fields and from 1 in the message.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum TableFault {
    /// The first line is not the one written here.
    #[error("line 1: expected the columns {}", COLUMNS.join(","))]
    Columns,
    /// A line with too few or too many cells.
    #[error("line {line}: {found} cells, expected {}", COLUMNS.len())]
    Cells {
        /// Which line.
        line: usize,
        /// Cells found.
        found: usize,
    },
    /// A cell that is not what its column holds.
    #[error("line {line}: cannot read {column} `{text}`")]
    Cell {
        /// Which line.
        line: usize,
        /// Which column.
        column: &'static str,
        /// What stands there.
        text: String,
    },
    /// The number of holes is not the one asked for.
    #[error("the table has {found} holes, {asked} were asked")]
    Count {
        /// Holes found.
        found: usize,
        /// Holes asked for.
        asked: usize,
    },
    /// A hole that is not as asked.
    #[error("hole {}: its {what} is not as asked", .hole + 1)]
    Differs {
        /// Which hole.
        hole: usize,
        /// What differs.
        what: &'static str,
    },
}

/// The table of holes, lines ended as RFC 4180 has it.
pub fn table(holes: &[Hole], decimals: u8) -> Result<String, ExportFault> {
    let written = decimals <= MOST_DECIMALS;
    require(
        written,
        "number of decimals",
        f64::from(decimals),
        "at most 6",
    )?;
    drawable(holes)?;
    let mut text = COLUMNS.join(",");
    text.push_str("\r\n");
    for (index, hole) in holes.iter().enumerate() {
        let bore = &hole.bore;
        let degrees = |angle_rad: f64| fixed(angle_rad.to_degrees(), ANGLE_DECIMALS);
        let cells = [
            (index + 1).to_string(),
            (bore.face + 1).to_string(),
            bore.tool.to_string(),
            mm(hole.at.x, decimals),
            mm(hole.at.y, decimals),
            mm(bore.diameter_m, decimals),
            mm(bore.depth_m, decimals),
            if bore.through { "yes" } else { "no" }.to_owned(),
            degrees(bore.tilt_rad),
            degrees(bore.bearing_rad),
        ];
        text.push_str(&cells.join(","));
        text.push_str("\r\n");
    }
    Ok(text)
}

/// Reads a table written here back; any text may be given.
pub fn read(text: &str) -> Result<Vec<Hole>, TableFault> {
    let mut lines = text.lines();
    if lines.next() != Some(COLUMNS.join(",").as_str()) {
        return Err(TableFault::Columns);
    }
    lines
        .enumerate()
        .map(|(index, text)| Row::of(text, index + 2)?.hole())
        .collect()
}

/// Reads a table back and holds it against the holes it should have, in their order.
pub fn verify(text: &str, holes: &[Hole], tolerance_m: f64) -> Vec<TableFault> {
    let found = match read(text) {
        Ok(found) => found,
        Err(fault) => return vec![fault],
    };
    let mut faults = Vec::new();
    if found.len() != holes.len() {
        faults.push(TableFault::Count {
            found: found.len(),
            asked: holes.len(),
        });
    }
    for (hole, (found, asked)) in found.iter().zip(holes).enumerate() {
        faults.extend(
            differences(found, asked, tolerance_m).map(|what| TableFault::Differs { hole, what }),
        );
    }
    faults
}

fn differences(found: &Hole, asked: &Hole, tolerance_m: f64) -> impl Iterator<Item = &'static str> {
    let (one, other) = (&found.bore, &asked.bore);
    let near = |one: f64, other: f64| (one - other).abs() <= tolerance_m;
    // Half the last decimal of a degree.
    let same_angle = |one: f64, other: f64| (one - other).abs() <= 1e-8;
    [
        ("face", one.face == other.face),
        ("tool", one.tool == other.tool),
        ("x", near(found.at.x, asked.at.x)),
        ("y", near(found.at.y, asked.at.y)),
        ("diameter", near(one.diameter_m, other.diameter_m)),
        ("depth", near(one.depth_m, other.depth_m)),
        ("way through", one.through == other.through),
        ("tilt", same_angle(one.tilt_rad, other.tilt_rad)),
        ("bearing", same_angle(one.bearing_rad, other.bearing_rad)),
    ]
    .into_iter()
    .filter(|(_, same)| !same)
    .map(|(what, _)| what)
}

/// A line of the table.
struct Row<'a> {
    line: usize,
    cells: Vec<&'a str>,
}

impl<'a> Row<'a> {
    fn of(text: &'a str, line: usize) -> Result<Self, TableFault> {
        let cells: Vec<&str> = text.split(',').collect();
        if cells.len() == COLUMNS.len() {
            return Ok(Self { line, cells });
        }
        let found = cells.len();
        Err(TableFault::Cells { line, found })
    }

    fn bad(&self, column: usize) -> TableFault {
        TableFault::Cell {
            line: self.line,
            column: COLUMNS[column],
            text: self.cells[column].to_owned(),
        }
    }

    fn whole(&self, column: usize) -> Result<u32, TableFault> {
        self.cells[column].parse().map_err(|_| self.bad(column))
    }

    fn number(&self, column: usize) -> Result<f64, TableFault> {
        let number: Result<f64, _> = self.cells[column].parse();
        number
            .ok()
            .filter(|number| number.is_finite())
            .ok_or_else(|| self.bad(column))
    }

    fn metres(&self, column: usize) -> Result<f64, TableFault> {
        Ok(self.number(column)? * 1e-3)
    }

    fn hole(&self) -> Result<Hole, TableFault> {
        // The number of the hole is its place in the table: a line lost or moved shows.
        if self.whole(0)? as usize != self.line - 1 {
            return Err(self.bad(0));
        }
        let face = (self.whole(1)? as usize).checked_sub(1);
        let through = match self.cells[7] {
            "yes" => true,
            "no" => false,
            _ => return Err(self.bad(7)),
        };
        Ok(Hole {
            at: Point::new(self.metres(3)?, self.metres(4)?),
            bore: Bore {
                diameter_m: self.metres(5)?,
                depth_m: self.metres(6)?,
                through,
                tilt_rad: self.number(8)?.to_radians(),
                bearing_rad: self.number(9)?.to_radians(),
                tool: self.whole(2)?,
                face: face.ok_or_else(|| self.bad(1))?,
            },
        })
    }
}
