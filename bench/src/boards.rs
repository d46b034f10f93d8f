//! Boards with faults: the red-oak bank, or any boards in its format.
//!
//! Reads JSON lines (a board a line; units of 1/16 inch; marks as rectangles on front and back) and cuts them
//! for a list of our own, [`LIST`], which is typical of furniture. Printed: the yield of each way of cutting
//! against what no way can exceed; a pack cut for needs, with its proved bound; the same boards as they come;
//! and how many strips a second the exact crosscut does.
#![expect(clippy::disallowed_methods, reason = "a bench measures time")]

use std::hint::black_box;
use std::time::Instant;

use chance::Stream;
use cutting::boards::{
    Board, BoardPlan, Crosscutter, Face, Mark, Orders, Pack, Part, Quality, Saw, Severity, Span,
    Wish, best_plans, check, check_pack, cut_pack, left_to_right, rip_and_left_to_right, run_live,
    upper_bound,
};
use effort::Effort;

use crate::deadline::{Deadline, given};

/// Units of 1/80 mm: both 1/16 inch (127) and 1 mm (80) are whole.
const SIXTEENTH: f64 = 127.0;
const MM: u64 = 80;

/// The cutting list, in mm: length, width, quality. Ours; the sizes are those of tables, chairs and cabinets.
const LIST: [(u64, u64, Quality); 14] = [
    (300, 45, Quality::Sound),
    (440, 45, Quality::ClearBoth),
    (720, 45, Quality::ClearBoth),
    (980, 45, Quality::Sound),
    (400, 60, Quality::ClearOne),
    (560, 60, Quality::ClearOne),
    (900, 60, Quality::ClearOne),
    (1400, 60, Quality::ClearOne),
    (600, 75, Quality::ClearOne),
    (760, 75, Quality::ClearBoth),
    (1200, 75, Quality::ClearOne),
    (1800, 75, Quality::ClearOne),
    (450, 95, Quality::ClearOne),
    (650, 95, Quality::ClearOne),
];

/// Kerfs 4 mm, end trims 25 mm, edge trims 4 mm, margins 6 mm along and 3 mm across.
const SAW: Saw = Saw {
    rip_kerf: 4 * MM,
    cross_kerf: 4 * MM,
    end_trim: 25 * MM,
    edge_trim: 4 * MM,
    margin_along: 6 * MM,
    margin_across: 3 * MM,
};

/// A line of the file.
#[derive(serde::Deserialize)]
struct Line {
    name: serde_json::Value,
    board: Rect,
    defects: Faces,
}

#[derive(serde::Deserialize)]
struct Faces {
    #[serde(default)]
    front: Vec<Defect>,
    #[serde(default)]
    back: Vec<Defect>,
}

#[derive(serde::Deserialize)]
struct Defect {
    rect: Rect,
    #[serde(rename = "type")]
    kind: Option<String>,
}

#[derive(Clone, Copy, serde::Deserialize)]
struct Rect {
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
}

impl Rect {
    /// The rectangle seen from the corner of the board, in our units: along, across.
    fn spans(&self, board: &Self) -> (Span, Span) {
        let place = |a: f64, b: f64, origin: f64| {
            let at = |x: f64| ((x - origin).max(0.0) * SIXTEENTH).round() as u64;
            Span::new(at(a.min(b)), at(a.max(b)))
        };
        (
            place(self.left, self.right, board.left),
            place(self.top, self.bottom, board.top),
        )
    }
}

/// How a type of the bank is taken. Sound are knots said to be so and stain; wane, voids and holes go through.
/// The untyped are taken as unsound: about 89 % of the marked area of the bank is (Wiedenbeck et al. 1995).
fn severity(kind: Option<&str>) -> (Severity, bool) {
    match kind {
        Some("SOUND_KNOT" | "STAIN") => (Severity::Sound, false),
        Some("WANE" | "VOID" | "HOLE") => (Severity::Unsound, true),
        _ => (Severity::Unsound, false),
    }
}

fn mark(defect: &Defect, face: Face, board: &Rect) -> Mark {
    let (along, across) = defect.rect.spans(board);
    let (severity, through) = severity(defect.kind.as_deref());
    Mark {
        along,
        across,
        face: if through { Face::Through } else { face },
        severity,
    }
}

fn read(file: &str) -> Result<Vec<Board>, String> {
    let text = std::fs::read_to_string(file).map_err(|fault| format!("{file}: {fault}"))?;
    let lines = text
        .lines()
        .enumerate()
        .filter(|(_, line)| !line.trim().is_empty());
    lines
        .map(|(number, line)| {
            read_line(line).map_err(|fault| format!("{file}:{}: {fault}", number + 1))
        })
        .collect()
}

fn read_line(line: &str) -> Result<Board, String> {
    let line: Line = serde_json::from_str(line).map_err(|fault| fault.to_string())?;
    let (along, across) = line.board.spans(&line.board);
    let front = line
        .defects
        .front
        .iter()
        .map(|defect| mark(defect, Face::Front, &line.board));
    let back = line
        .defects
        .back
        .iter()
        .map(|defect| mark(defect, Face::Back, &line.board));
    if along.length() == 0 || across.length() == 0 {
        return Err(format!("board {} has no area", line.name));
    }
    Ok(Board {
        length: along.length(),
        width: across.length(),
        marks: front.chain(back).collect(),
    })
}

/// The list with each part worth its area.
fn list() -> Vec<Part> {
    let part = |&(length, width, quality): &(u64, u64, Quality)| Part {
        length: length * MM,
        width: width * MM,
        quality,
        value: (length * width) as f64,
        need: None,
    };
    LIST.iter().map(part).collect()
}

#[expect(clippy::print_stdout, reason = "a command's answer")]
pub(crate) fn run(arguments: &[String]) -> Result<(), String> {
    let given = given(arguments, 60.0)?;
    let deadline = Deadline::seconds(given.seconds)?;
    let boards = read(&given.file)?;
    let parts = list();
    println!("{}", yields(&boards, &parts)?);
    println!("strips/s {:?}", speeds(&boards)?);
    println!("{}", pack(&boards, &parts, &deadline)?);
    println!("{}", deadline.elapsed_s());
    Ok(())
}

/// Area of the parts of a plan that holds, in mm².
fn area(board: &Board, parts: &[Part], plan: &BoardPlan) -> Result<f64, String> {
    check(board, parts, &SAW, plan).map_err(|faults| format!("{faults:?}"))?;
    Ok(plan.area(parts) / (MM * MM) as f64)
}

fn yields(boards: &[Board], parts: &[Part]) -> Result<String, String> {
    let mut sums = [0.0; 8];
    let start = Instant::now();
    let mut took = [0.0; 2];
    for board in boards {
        let start = Instant::now();
        let solve = |orders| {
            let wish = Wish {
                orders,
                ..Wish::default()
            };
            let mut answer = best_plans(board, parts, &SAW, &wish, Effort::unlimited())
                .map_err(|f| f.to_string())?;
            area(board, parts, &answer.plans.swap_remove(0))
        };
        let rip = solve(Orders::RipFirst)?;
        let chop = solve(Orders::CrosscutFirst)?;
        took[0] += start.elapsed().as_secs_f64();
        let start = Instant::now();
        let bound = upper_bound(board, parts, &SAW).map_err(|f| f.to_string())?;
        took[1] += start.elapsed().as_secs_f64();
        let simple = rip_and_left_to_right(board, parts, &SAW).map_err(|f| f.to_string())?;
        let whole = board.area() / (MM * MM) as f64;
        for (sum, add) in sums.iter_mut().zip([
            whole,
            rip,
            chop,
            rip.max(chop),
            bound,
            area(board, parts, &simple)?,
        ]) {
            *sum += add;
        }
    }
    let share = |of: usize| sums[of] / sums[0];
    Ok(format!(
        "rip {:.4} chop {:.4} either {:.4} bound {:.4} simple {:.4}, {took:?} {:.2}",
        share(1),
        share(2),
        share(3),
        share(4),
        share(5),
        start.elapsed().as_secs_f64()
    ))
}

/// Needs that take about [`SHARE`] of the pack, each line of the list the same area.
fn with_needs(boards: &[Board], parts: &[Part]) -> Vec<Part> {
    let area: f64 = boards.iter().map(Board::area).sum();
    let need = |part: &Part| (SHARE * area / parts.len() as f64 / part.area()).floor() as u64;
    parts
        .iter()
        .map(|part| Part {
            need: Some(need(part)),
            ..*part
        })
        .collect()
}

const SHARE: f64 = 0.4;

fn pack(boards: &[Board], parts: &[Part], deadline: &Deadline) -> Result<String, String> {
    let parts = with_needs(boards, parts);
    let wish = Wish::default();
    let pack = Pack {
        boards,
        parts: &parts,
        saw: &SAW,
        wish: &wish,
    };
    let stop = || deadline.passed();
    let start = Instant::now();
    let plan = cut_pack(&pack, Effort::unlimited().or_until(&stop)).map_err(|f| f.to_string())?;
    let took = start.elapsed().as_secs_f64();
    check_pack(&pack, &plan).map_err(|f| format!("{f:?}"))?;
    let m2 = (MM * MM) as f64 * 1e6;
    let start = Instant::now();
    let live =
        run_live(boards, &parts, &SAW, &wish, Effort::unlimited()).map_err(|f| f.to_string())?;
    Ok(format!(
        "pack: {} boards {:.3} m2, bound {:.3}, gap {:.2} %, short {:?}, {took:.1} s; live {} boards {:.3} {:?} {:.2} s",
        plan.cuts.len(),
        plan.area / m2,
        plan.bound / m2,
        100.0 * (plan.area / plan.bound - 1.0),
        plan.short,
        live.cuts.len(),
        live.area / m2,
        live.short,
        start.elapsed().as_secs_f64()
    ))
}

/// Strips of 60 mm from the boards, and made-up strips of 2 to 3 m with 20 marks of all kinds; strips a second.
fn speeds(boards: &[Board]) -> Result<Vec<f64>, String> {
    let lengths = [300, 400, 440, 560, 720, 900, 980, 1400];
    let qualities = [Quality::Sound, Quality::ClearOne, Quality::ClearBoth];
    let part = |(number, &length): (usize, &u64)| Part {
        length: length * MM,
        width: 60 * MM,
        quality: qualities[number % 3],
        value: length as f64,
        need: None,
    };
    let parts: Vec<Part> = lengths.iter().enumerate().map(part).collect();
    let saw = Saw {
        edge_trim: 0,
        ..SAW
    };
    let cutter = Crosscutter::new(&parts, &saw, 6000 * MM).map_err(|f| f.to_string())?;
    let mut rates = Vec::new();
    for strips in [strips(boards), made_up()] {
        let start = Instant::now();
        let mut cut = 0_u64;
        while start.elapsed().as_secs_f64() < 1.0 {
            for strip in &strips {
                black_box(cutter.best(strip).map_err(|f| f.to_string())?);
                cut += 1;
            }
        }
        rates.push(cut as f64 / start.elapsed().as_secs_f64());
        for strip in &strips {
            let plan = cutter.best(strip).map_err(|f| f.to_string())?;
            check(strip, &parts, &saw, &plan).map_err(|f| format!("{f:?}"))?;
            black_box(left_to_right(strip, &parts, &saw).map_err(|f| f.to_string())?);
        }
    }
    Ok(rates)
}

fn strips(boards: &[Board]) -> Vec<Board> {
    let strip = |board: &Board, from: u64| {
        let across = Span::new(from, from + 60 * MM);
        let met = board
            .marks
            .iter()
            .filter(|mark| mark.across.overlaps(across));
        let moved = |mark: &Mark| Mark {
            across: Span::new(mark.across.from.saturating_sub(from), mark.across.to - from),
            ..*mark
        };
        Board {
            length: board.length,
            width: 60 * MM,
            marks: met.map(moved).collect(),
        }
    };
    boards
        .iter()
        .flat_map(|board| (0..board.width / (64 * MM)).map(move |row| strip(board, row * 64 * MM)))
        .collect()
}

fn made_up() -> Vec<Board> {
    let mut stream = Stream::new(1, "strips");
    let faces = [Face::Front, Face::Back, Face::Through];
    let mut one = || {
        let length = (2000 + stream.index(1000)) * MM;
        let marks = (0..20).map(|_| {
            let from = stream.index(length);
            Mark {
                along: Span::new(from, from + (5 + stream.index(40)) * MM),
                across: Span::new(0, 60 * MM),
                face: faces[stream.index(3) as usize],
                severity: if stream.index(2) == 0 {
                    Severity::Sound
                } else {
                    Severity::Unsound
                },
            }
        });
        Board {
            length,
            width: 60 * MM,
            marks: marks.collect(),
        }
    };
    (0..500).map(|_| one()).collect()
}
