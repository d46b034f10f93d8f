//! Published tours: the shortest way round the points of a file.
//!
//! Reads TSPLIB files (Reinelt 1991; distances `EUC_2D`, `CEIL_2D`, `ATT`, `GEO`) and tables of x and y, with
//! `bench -- tour FILE --seconds S`. Reading, neighbours, search and bound all count within the seconds.

use std::fs;

use drilling::tour::{
    Ends, Euclidean, EuclideanRounded, Metric, Point, Question, Setting, Tour, bound, check, solve,
};
use effort::Effort;

use crate::deadline::{Deadline, given};

/// Share of the time after which the search has to be over; the rest is for the bound.
const SEARCH_SHARE: f64 = 0.85;

/// Time kept back for the end of a step and for printing.
const RESERVE_S: f64 = 0.02;

/// Prints the tour's length, and the bound as JSON.
#[expect(clippy::print_stdout, reason = "a command's answer")]
pub(crate) fn run(arguments: &[String]) -> Result<(), String> {
    let given = given(arguments, 10.0)?;
    let clock = Clock::new(given.seconds)?;
    let text =
        fs::read_to_string(&given.file).map_err(|fault| format!("{}: {fault}", given.file))?;
    let file = read(&text)?;
    let points = &file.points;
    let result = match file.distance {
        Distance::Euclidean => measure(points, Euclidean, &clock),
        Distance::Rounded => measure(points, EuclideanRounded, &clock),
        Distance::RoundedUp => measure(points, RoundedUp, &clock),
        Distance::PseudoEuclidean => measure(points, PseudoEuclidean, &clock),
        Distance::Geographical => measure(points, Geographical, &clock),
    }?;
    println!(
        "{} points, first way {}, {} steps of search",
        points.len(),
        result.start_length,
        result.steps
    );
    let line = serde_json::json!({
        "value": result.value,
        "bound": result.bound,
        "proved": result.bound >= result.value,
        "seconds": clock.all.elapsed_s(),
    });
    println!("{line}");
    Ok(())
}

/// When the search has to be over, and when everything.
struct Clock {
    search: Deadline,
    all: Deadline,
}

impl Clock {
    fn new(seconds: f64) -> Result<Self, String> {
        let usable = (seconds - RESERVE_S).max(seconds / 2.0);
        Ok(Self {
            search: Deadline::seconds(SEARCH_SHARE * usable)?,
            all: Deadline::seconds(usable)?,
        })
    }
}

/// What came out.
struct Measured {
    value: f64,
    bound: f64,
    start_length: f64,
    steps: u64,
}

/// Searches, checks and bounds.
fn measure<M: Metric>(points: &[Point], metric: M, clock: &Clock) -> Result<Measured, String> {
    let question =
        Question::new(points, Ends::Closed, metric).map_err(|fault| fault.to_string())?;
    let search_over = || clock.search.passed();
    let setting = Setting {
        kicks_per_point: u64::MAX,
        ..Setting::default()
    };
    let tour: Tour = solve(
        &question,
        setting,
        Effort::unlimited().or_until(&search_over),
    );
    check(&question, &tour).map_err(|fault| format!("the checker refuses the tour: {fault}"))?;
    let all_over = || clock.all.passed();
    let bound = bound(
        &question,
        tour.length,
        Effort::unlimited().or_until(&all_over),
    );
    Ok(Measured {
        value: tour.length,
        bound,
        start_length: tour.start_length,
        steps: tour.steps,
    })
}

/// `CEIL_2D`: straight-line distance rounded up.
struct RoundedUp;

impl Metric for RoundedUp {
    fn between(&self, from: Point, to: Point) -> f64 {
        Euclidean.between(from, to).ceil()
    }

    fn whole(&self) -> bool {
        true
    }
}

/// `ATT`: the pseudo-Euclidean distance of the source, rounded up.
struct PseudoEuclidean;

impl Metric for PseudoEuclidean {
    fn between(&self, from: Point, to: Point) -> f64 {
        let (dx, dy) = (from[0] - to[0], from[1] - to[1]);
        ((dx * dx + dy * dy) / 10.0).sqrt().ceil()
    }

    fn whole(&self) -> bool {
        true
    }
}

/// `GEO`: kilometres on the sphere of the source between latitude and longitude in degrees.minutes.
///
/// It may fall when points move apart along an axis (near the poles, across the date line), so the neighbours found
/// for it are good ones rather than surely the nearest.
struct Geographical;

impl Geographical {
    /// Degrees and minutes to radians, with the source's value of π.
    fn radians(coordinate: f64) -> f64 {
        #[expect(
            clippy::approx_constant,
            reason = "the source's value decides the last digit"
        )]
        const PI: f64 = 3.141_592;
        let degrees = coordinate.trunc();
        let minutes = coordinate - degrees;
        PI * (degrees + 5.0 * minutes / 3.0) / 180.0
    }
}

impl Metric for Geographical {
    fn between(&self, from: Point, to: Point) -> f64 {
        const RADIUS_KM: f64 = 6378.388;
        let [latitude, longitude] = from.map(Self::radians);
        let [other_latitude, other_longitude] = to.map(Self::radians);
        if from == to {
            return 0.0;
        }
        let q1 = (longitude - other_longitude).cos();
        let q2 = (latitude - other_latitude).cos();
        let q3 = (latitude + other_latitude).cos();
        let angle = 0.5 * ((1.0 + q1) * q2 - (1.0 - q1) * q3);
        (RADIUS_KM * angle.clamp(-1.0, 1.0).acos() + 1.0).trunc()
    }

    fn whole(&self) -> bool {
        true
    }
}

/// How a file wants distances measured.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Distance {
    Euclidean,
    Rounded,
    RoundedUp,
    PseudoEuclidean,
    Geographical,
}

/// What a file holds.
#[derive(Debug, PartialEq)]
struct File {
    points: Vec<Point>,
    distance: Distance,
}

/// Reads either format: a TSPLIB file has a section of coordinates.
fn read(text: &str) -> Result<File, String> {
    if text
        .lines()
        .any(|line| line.trim().trim_end_matches(':').trim_end() == SECTION)
    {
        read_tsplib(text)
    } else {
        read_table(text)
    }
}

/// Begins the coordinates in a TSPLIB file.
const SECTION: &str = "NODE_COORD_SECTION";

/// A TSPLIB file: `KEYWORD : value` lines, then number, x and y of each point, until `EOF`, another section or the end.
fn read_tsplib(text: &str) -> Result<File, String> {
    let mut distance = None;
    let mut dimension = None;
    let mut points = Vec::new();
    let mut inside = false;
    for (number, line) in text.lines().enumerate() {
        let line = line.trim();
        let fault = |what: &str| format!("line {}: {what}: {line}", number + 1);
        let (keyword, value) = line.split_once(':').unwrap_or((line, ""));
        match (keyword.trim(), value.trim()) {
            ("", "") => {}
            ("EOF", _) => break,
            (SECTION, _) => inside = true,
            ("DIMENSION", value) => {
                let value: usize = value
                    .parse()
                    .map_err(|_| fault("expected a number of points"))?;
                dimension = Some(value);
            }
            ("EDGE_WEIGHT_TYPE", kind) => {
                distance =
                    Some(distance_named(kind).ok_or_else(|| fault("cannot measure distances so"))?);
            }
            _ if inside && starts_like_a_number(line) => {
                points
                    .push(numbered_point(line).ok_or_else(|| fault("expected a number, x and y"))?);
            }
            // Another section, say fixed legs or a display, is not ours; nor are name and comment.
            _ => inside = false,
        }
    }
    if let Some(dimension) = dimension
        && dimension != points.len()
    {
        return Err(format!(
            "DIMENSION is {dimension}, and there are {} points",
            points.len()
        ));
    }
    let distance = distance.ok_or("EDGE_WEIGHT_TYPE is missing")?;
    Ok(File { points, distance })
}

fn distance_named(kind: &str) -> Option<Distance> {
    match kind {
        "EUC_2D" => Some(Distance::Rounded),
        "CEIL_2D" => Some(Distance::RoundedUp),
        "ATT" => Some(Distance::PseudoEuclidean),
        "GEO" => Some(Distance::Geographical),
        _ => None,
    }
}

fn starts_like_a_number(line: &str) -> bool {
    line.starts_with(|first: char| first.is_ascii_digit() || "+-.".contains(first))
}

/// A number, x and y, and nothing else.
fn numbered_point(line: &str) -> Option<Point> {
    let mut fields = line.split_whitespace();
    let _number = fields.next()?;
    let x = fields.next()?.parse().ok()?;
    let y = fields.next()?.parse().ok()?;
    fields.next().is_none().then_some([x, y])
}

/// A table with x and y in its first two columns, parted by commas, semicolons or blanks. A first line without numbers
/// is a heading; what follows `#` is a remark.
fn read_table(text: &str) -> Result<File, String> {
    let mut points = Vec::new();
    let mut heading = false;
    for (number, line) in text.trim_start_matches('\u{feff}').lines().enumerate() {
        let line = line.split('#').next().unwrap_or_default().trim();
        if line.is_empty() {
            continue;
        }
        let mut fields = line
            .split(|part: char| part == ',' || part == ';' || part.is_whitespace())
            .filter(|field| !field.is_empty())
            .map(|field| field.parse::<f64>().ok());
        match (fields.next().flatten(), fields.next().flatten()) {
            (Some(x), Some(y)) => points.push([x, y]),
            _ if points.is_empty() && !heading => heading = true,
            _ => return Err(format!("line {}: expected x and y: {line}", number + 1)),
        }
    }
    Ok(File {
        points,
        distance: Distance::Euclidean,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_with_blanks_exponents_and_carriage_returns_reads_the_same() {
        let plain = "NAME: a\nDIMENSION: 2\nEDGE_WEIGHT_TYPE: EUC_2D\nNODE_COORD_SECTION\n1 0 0\n2 3 4.5\nEOF\n";
        let other = "NAME : a\r\nCOMMENT : 1 : 2\r\nDIMENSION : 2\r\nEDGE_WEIGHT_TYPE : EUC_2D\r\n\
                     NODE_COORD_SECTION \r\n  1 0.0e+00  0.0\r\n 2   3.00000e+00 +4.5E0\r\n\r\n";
        let expected = File {
            points: vec![[0.0, 0.0], [3.0, 4.5]],
            distance: Distance::Rounded,
        };
        assert_eq!(read(plain).as_ref(), Ok(&expected));
        assert_eq!(read(other).as_ref(), Ok(&expected));
    }

    #[test]
    fn a_section_after_the_coordinates_is_passed_over() {
        let text = "DIMENSION: 1\nEDGE_WEIGHT_TYPE: ATT\nNODE_COORD_SECTION\n1 5 6\nFIXED_EDGES_SECTION\n1 2\n-1\nEOF";
        let read = read(text).expect("a good file");
        assert_eq!(
            (read.points, read.distance),
            (vec![[5.0, 6.0]], Distance::PseudoEuclidean)
        );
    }

    #[test]
    fn a_missing_point_or_measure_is_refused() {
        let few = "DIMENSION: 2\nEDGE_WEIGHT_TYPE: EUC_2D\nNODE_COORD_SECTION\n1 0 0\nEOF";
        assert!(read(few).is_err_and(|fault| fault.contains("DIMENSION")));
        let kind = "DIMENSION: 1\nEDGE_WEIGHT_TYPE: EXPLICIT\nNODE_COORD_SECTION\n1 0 0\nEOF";
        assert!(read(kind).is_err_and(|fault| fault.contains("line 2")));
        let short = "DIMENSION: 1\nEDGE_WEIGHT_TYPE: GEO\nNODE_COORD_SECTION\n1 0\nEOF";
        assert!(read(short).is_err_and(|fault| fault.contains("line 4")));
    }

    #[test]
    fn a_table_may_have_a_heading_and_semicolons() {
        let expected = vec![[1.0, 2.0], [3.5, -4.0]];
        for text in [
            "x,y\n1,2\n3.5,-4\n",
            "1;2;deep\n3.5; -4;\n",
            "# holes\n1 2\n3.5\t-4",
        ] {
            let read = read(text).expect("a good table");
            assert_eq!(
                (&read.points, read.distance),
                (&expected, Distance::Euclidean)
            );
        }
        assert!(read("x,y\n1,2\n3.5,\n").is_err());
    }

    #[test]
    fn distances_of_the_source() {
        // ATT: √((6² + 8²)/10) = 3.16…, rounded up 4. CEIL_2D: √2 rounded up 2. (Reinelt 1991)
        assert_eq!(PseudoEuclidean.between([0.0, 0.0], [6.0, 8.0]), 4.0);
        assert_eq!(RoundedUp.between([0.0, 0.0], [1.0, 1.0]), 2.0);
        // GEO along the equator: one degree is 6378.388·π/180 = 111.32 km, plus 1 and truncated: 112.
        assert_eq!(Geographical.between([0.0, 0.0], [0.0, 1.0]), 112.0);
    }
}
