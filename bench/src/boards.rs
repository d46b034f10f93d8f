//! Boards with faults: the red-oak bank, or any boards in its format.
//!
//! Reads JSON lines (a board a line; units of 1/16 inch; marks as rectangles on front and back) and cuts them
//! for a list of our own, [`LIST`], which is typical of furniture. Printed: the yield of each way of cutting
//! against what no way can exceed; a pack cut for needs, with its proved bound; the same boards as they come;
//! and how many strips a second the exact crosscut does.
#![expect(clippy::disallowed_methods, reason = "a bench measures time")]

use std::fmt::Write as _;
use std::hint::black_box;
use std::time::Instant;

use chance::Stream;
use cutting::boards::{
    Board, BoardPlan, Crosscutter, Face, LiveRun, Mark, Orders, Pack, PackPlan, Part, Quality, Saw,
    Severity, Span, Wish, best_plans, check, check_pack, cut_pack, left_to_right,
    rip_and_left_to_right, run_live, upper_bound,
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
    #[serde(default)]
    name: serde_json::Value,
    board: Rect,
    #[serde(default)]
    defects: Faces,
}

#[derive(Default, serde::Deserialize)]
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

/// Reads the file, cuts its boards in every way, and prints what came out.
#[expect(clippy::print_stdout, reason = "a command's answer")]
pub(crate) fn run(arguments: &[String]) -> Result<(), String> {
    let given = given(arguments, 60.0)?;
    let deadline = Deadline::seconds(given.seconds)?;
    let boards = read(&given.file)?;
    if boards.is_empty() {
        return Err(format!("{}: no boards", given.file));
    }
    let parts = list();
    print!("{}", said(&boards));
    let (real, made_up) = (strips_per_s(&strips(&boards))?, strips_per_s(&made_up())?);
    println!(
        "exact crosscut, boards a second on one core: {real:.0} (60 mm strips of these boards)"
    );
    println!("  {made_up:.0} (made-up strips of 2 to 3 m with 20 marks of all kinds)");
    let yields = yields(&boards, &parts)?;
    print!("{yields}");
    let pack = pack(&boards, &parts, &deadline)?;
    print!("{pack}");
    let last = serde_json::json!({
        "value": yields.salvage / yields.boards,
        "bound": yields.bound / yields.boards,
        "proved": yields.salvage >= yields.bound * (1.0 - 1e-9),
        "seconds": deadline.elapsed_s(),
        "boards": boards.len(),
        "boards_per_s": real.min(made_up),
        "yield_rip_first": yields.rip_first / yields.boards,
        "yield_crosscut_first": yields.crosscut_first / yields.boards,
        "yield_either": yields.either / yields.boards,
        "yield_salvage": yields.salvage / yields.boards,
        "yield_left_to_right": yields.simple / yields.boards,
        "yield_left_to_right_same_rips": yields.simple_same_rips / yields.boards,
        "pack_area_m2": pack.plan.area / M2,
        "pack_bound_m2": pack.plan.bound / M2,
        "pack_gap": pack.plan.area / pack.plan.bound - 1.0,
        "pack_short": pack.plan.short.iter().sum::<u64>(),
        "live_area_m2": pack.live.area / M2,
        "live_regret": pack.live.area / pack.hindsight.area - 1.0,
        "live_regret_at_most": pack.live.area / pack.hindsight.bound - 1.0,
    });
    println!("{last}");
    Ok(())
}

/// What is assumed.
fn said(boards: &[Board]) -> String {
    let area: f64 = boards.iter().map(Board::area).sum();
    let marks: usize = boards.iter().map(|board| board.marks.len()).sum();
    let mut text = format!(
        "{} boards, {:.2} m2, {marks} marks\n",
        boards.len(),
        area / M2
    );
    let _ = writeln!(
        text,
        "untyped marks are unsound; kerfs 4 mm, end trims 25 mm, edge trims 4 mm, margins 6 mm along, 3 mm across"
    );
    let _ = writeln!(text, "list (mm), each part worth its area:");
    for (length, width, quality) in LIST {
        let _ = writeln!(text, "  {length:>5} x {width:<3} {quality:?}");
    }
    text
}

/// Square metres in units².
const M2: f64 = (MM * MM) as f64 * 1e6;

/// Areas in units²: of the boards, and of the parts by each way of cutting.
#[derive(Default)]
struct Yields {
    boards: f64,
    rip_first: f64,
    crosscut_first: f64,
    either: f64,
    bound: f64,
    simple: f64,
    simple_same_rips: f64,
    salvage: f64,
    two_stage_s: f64,
    salvage_s: f64,
    bound_s: f64,
}

impl std::fmt::Display for Yields {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let share = |area: f64| 100.0 * area / self.boards;
        writeln!(f, "yield of all boards, %:")?;
        writeln!(
            f,
            "  widest rips, left to right   {:6.2}",
            share(self.simple)
        )?;
        writeln!(
            f,
            "  our rips, left to right      {:6.2}",
            share(self.simple_same_rips)
        )?;
        writeln!(
            f,
            "  rip first, exact             {:6.2}",
            share(self.rip_first)
        )?;
        writeln!(
            f,
            "  crosscut first, exact        {:6.2}",
            share(self.crosscut_first)
        )?;
        writeln!(
            f,
            "  the better for each board    {:6.2}  ({:.2} s)",
            share(self.either),
            self.two_stage_s
        )?;
        writeln!(
            f,
            "  with a third cut             {:6.2}  ({:.2} s)",
            share(self.salvage),
            self.salvage_s
        )?;
        writeln!(
            f,
            "  no cutting exceeds           {:6.2}  ({:.2} s)",
            share(self.bound),
            self.bound_s
        )
    }
}

/// Area of the parts of a plan that holds, in units².
fn area(board: &Board, parts: &[Part], plan: &BoardPlan) -> Result<f64, String> {
    check(board, parts, &SAW, plan).map_err(|faults| format!("{faults:?}"))?;
    Ok(plan.area(parts))
}

/// The best plan of a board and the seconds it took.
fn best(
    board: &Board,
    parts: &[Part],
    orders: Orders,
    salvage: bool,
) -> Result<(BoardPlan, f64), String> {
    let wish = Wish {
        orders,
        salvage,
        keep: 1,
    };
    let start = Instant::now();
    let mut answer = best_plans(board, parts, &SAW, &wish, Effort::unlimited())
        .map_err(|fault| fault.to_string())?;
    Ok((answer.plans.swap_remove(0), start.elapsed().as_secs_f64()))
}

fn yields(boards: &[Board], parts: &[Part]) -> Result<Yields, String> {
    let mut sum = Yields::default();
    for board in boards {
        let (rip, rip_s) = best(board, parts, Orders::RipFirst, false)?;
        let (chop, chop_s) = best(board, parts, Orders::CrosscutFirst, false)?;
        let start = Instant::now();
        let bound = upper_bound(board, parts, &SAW).map_err(|fault| fault.to_string())?;
        sum.bound_s += start.elapsed().as_secs_f64();
        let simple =
            rip_and_left_to_right(board, parts, &SAW).map_err(|fault| fault.to_string())?;
        let either = area(board, parts, &rip)?.max(area(board, parts, &chop)?);
        sum.boards += board.area();
        sum.rip_first += area(board, parts, &rip)?;
        sum.crosscut_first += area(board, parts, &chop)?;
        sum.either += either;
        // The bound is in values, which are areas in mm².
        sum.bound += bound * (MM * MM) as f64;
        sum.simple += area(board, parts, &simple)?;
        sum.simple_same_rips += same_rips(board, parts, &rip)?;
        sum.two_stage_s += rip_s + chop_s;
        let (salvaged, salvage_s) = best(board, parts, Orders::Either, true)?;
        sum.salvage += area(board, parts, &salvaged)?;
        sum.salvage_s += salvage_s;
    }
    Ok(sum)
}

/// Area when the strips of a plan are crosscut from the left instead, for the parts of their width.
fn same_rips(board: &Board, parts: &[Part], plan: &BoardPlan) -> Result<f64, String> {
    let mut total = 0.0;
    for strip in &plan.strips {
        let width = strip.span.length();
        let of_width: Vec<Part> = parts
            .iter()
            .filter(|part| part.width == width)
            .copied()
            .collect();
        let saw = Saw {
            edge_trim: 0,
            ..SAW
        };
        let alone = strip_of(board, strip.span);
        let cut = left_to_right(&alone, &of_width, &saw).map_err(|fault| fault.to_string())?;
        check(&alone, &of_width, &saw, &cut).map_err(|faults| format!("{faults:?}"))?;
        total += cut.area(&of_width);
    }
    Ok(total)
}

/// A pack cut for needs, and its boards as they come.
struct PackRun {
    parts: Vec<Part>,
    plan: PackPlan,
    pack_s: f64,
    live: LiveRun,
    live_s: f64,
    hindsight: PackPlan,
}

/// Share of the pack's area that the parts needed have, each line of the list the same.
const SHARE: f64 = 0.4;

fn with_needs(boards: &[Board], parts: &[Part]) -> Vec<Part> {
    let area: f64 = boards.iter().map(Board::area).sum();
    let need = |part: &Part| (SHARE * area / parts.len() as f64 / part.area()).floor() as u64;
    let with = |part: &Part| Part {
        need: Some(need(part)),
        ..*part
    };
    parts.iter().map(with).collect()
}

/// The pack with the time that is left; then its boards in a shuffled order, and in hindsight those that came.
/// The order in the file is that of the bank, which is sorted.
fn pack(boards: &[Board], parts: &[Part], deadline: &Deadline) -> Result<PackRun, String> {
    let parts = with_needs(boards, parts);
    let wish = Wish::default();
    let stop = || deadline.passed();
    let cut = |boards: &[Board]| -> Result<(PackPlan, f64), String> {
        let pack = Pack {
            boards,
            parts: &parts,
            saw: &SAW,
            wish: &wish,
        };
        let start = Instant::now();
        let plan = cut_pack(&pack, Effort::unlimited().or_until(&stop))
            .map_err(|fault| fault.to_string())?;
        check_pack(&pack, &plan).map_err(|faults| format!("{faults:?}"))?;
        Ok((plan, start.elapsed().as_secs_f64()))
    };
    let (plan, pack_s) = cut(boards)?;
    let mut order = boards.to_vec();
    Stream::new(1, "order of arrival").shuffle(&mut order);
    let start = Instant::now();
    let live = run_live(&order, &parts, &SAW, &wish, Effort::unlimited())
        .map_err(|fault| fault.to_string())?;
    let live_s = start.elapsed().as_secs_f64();
    let (hindsight, _) = cut(&order[..live.cuts.len()])?;
    Ok(PackRun {
        parts,
        plan,
        pack_s,
        live,
        live_s,
        hindsight,
    })
}

impl std::fmt::Display for PackRun {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let needs: Vec<u64> = self.parts.iter().filter_map(|part| part.need).collect();
        let plan = &self.plan;
        writeln!(
            f,
            "needs, {SHARE} of the pack's area, each line the same: {needs:?}"
        )?;
        writeln!(
            f,
            "pack: {} boards, {:.3} m2, at least {:.3} m2 for any plan (gap {:.2} %), short {}, {:.1} s",
            plan.cuts.len(),
            plan.area / M2,
            plan.bound / M2,
            100.0 * (plan.area / plan.bound - 1.0),
            plan.short.iter().sum::<u64>(),
            self.pack_s
        )?;
        let (live, hindsight) = (&self.live, &self.hindsight);
        writeln!(
            f,
            "live: {} boards, {:.3} m2, short {}, {:.2} s; the same boards in hindsight {:.3} m2, at least {:.3} m2",
            live.cuts.len(),
            live.area / M2,
            live.short.iter().sum::<u64>(),
            self.live_s,
            hindsight.area / M2,
            hindsight.bound / M2,
        )
    }
}

/// Parts for strips of 60 mm: eight lengths, three qualities.
fn strip_list() -> Vec<Part> {
    let lengths = [300, 400, 440, 560, 720, 900, 980, 1400];
    let qualities = [Quality::Sound, Quality::ClearOne, Quality::ClearBoth];
    let part = |(number, &length): (usize, &u64)| Part {
        length: length * MM,
        width: 60 * MM,
        quality: qualities[number % 3],
        value: length as f64,
        need: None,
    };
    lengths.iter().enumerate().map(part).collect()
}

/// Exact crosscuts a second on one core, over about a second; every plan is checked once.
fn strips_per_s(strips: &[Board]) -> Result<f64, String> {
    let parts = strip_list();
    let saw = Saw {
        edge_trim: 0,
        ..SAW
    };
    let longest = strips.iter().map(|strip| strip.length).max().unwrap_or(0);
    let cutter = Crosscutter::new(&parts, &saw, longest).map_err(|fault| fault.to_string())?;
    let cut = |strip: &Board| cutter.best(strip).map_err(|fault| fault.to_string());
    for strip in strips {
        check(strip, &parts, &saw, &cut(strip)?).map_err(|faults| format!("{faults:?}"))?;
    }
    let start = Instant::now();
    let mut done = 0;
    while start.elapsed().as_secs_f64() < 1.0 && !strips.is_empty() {
        for strip in strips {
            black_box(cut(strip)?);
        }
        done += strips.len();
    }
    Ok(done as f64 / start.elapsed().as_secs_f64())
}

/// Strips of 60 mm side by side from each board.
fn strips(boards: &[Board]) -> Vec<Board> {
    let of = |board: &Board| -> Vec<Board> {
        let rows = 0..board.width / (64 * MM);
        rows.map(|row| strip_of(board, Span::new(row * 64 * MM, (row * 64 + 60) * MM)))
            .collect()
    };
    boards.iter().flat_map(of).collect()
}

/// A strip of a board as a board; marks beside it stay as far away as they were, up to its edge.
fn strip_of(board: &Board, across: Span) -> Board {
    let margin = SAW.margin_across;
    let near = board
        .marks
        .iter()
        .filter(|mark| mark.across.grown(margin).overlaps(across));
    // A margin that reaches in from outside would be lost at the edge: such a mark is drawn on it.
    let at = |place: u64| place.clamp(across.from, across.to) - across.from;
    let moved = |mark: &Mark| Mark {
        across: Span::new(at(mark.across.from), at(mark.across.to)),
        ..*mark
    };
    Board {
        length: board.length,
        width: across.length(),
        marks: near.map(moved).collect(),
    }
}

/// Strips with faults at random.
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
