//! What cutting, drilling and filling come to in base units, with the arithmetic beside it.

use crate::support::case;
use works::{
    Clear, Cut, CutOrder, CutStock, Drill, Face, FaceOutline, FillKind, Layout, Numbers, Operation,
    PartLength, Stages, Works,
};

const HEAD: &str = r#"
--- works.toml
[works]
name = "Tiny"
time_zone = "Europe/London"
currency = "GBP"

[calendar.days]
work = ["Mon..Fri 06:00-14:00"]

[station.bench]
calendar = "days"
drilling = { heads = 4, spacing = "32 mm", lifts = true, speed = "30 m/min", acceleration = "2 m/s2", clear = "5 mm", load = "9 s", reach = { x = "1.2 m", y = "0.6 m" } }

[item.bar]
unit = "each"
buy = { price = "11 GBP" }

[item.tube]
unit = "each"
buy = { price = "0.1 GBP" }

[item.hair]
unit = "kg"
buy = { price = "20 GBP/kg" }

--- routes/block.toml
[route]
makes = "block"
unit = "each"

[[operation]]
name = "cut"
at = "bench"
pace = "1 s"
takes = { bar = "1 each" }
"#;

/// The works of one operation, read without a complaint.
fn works(rest: &str) -> Works {
    let text = format!("{HEAD}{rest}");
    let outcome = works::read(&case(text.trim_start().as_bytes(), b"").files);
    assert!(outcome.diagnostics.is_empty(), "{:#?}", outcome.diagnostics);
    outcome.works.expect("a works without faults")
}

fn operation(rest: &str) -> Operation {
    works(rest).operations[0].clone()
}

fn cut(rest: &str) -> Cut {
    *operation(rest).cut.expect("a cut")
}

fn drill(rest: &str) -> Drill {
    *operation(rest).drill.expect("a drill")
}

#[track_caller]
fn near(found: f64, expected: f64) {
    assert!(
        (found - expected).abs() <= 1e-12 * expected.abs().max(1.0),
        "{found} against {expected}"
    );
}

#[test]
fn measured_boards_with_marks_on_each_face() {
    let cut = cut(r#"
cut = { boards = { length = "8 ft", width = "140 mm", measured = "a.csv", first = "rip", margin = { along = "8 mm", across = "3 mm" }, faults = { per_metre = "0.8 each/m", lots = "0.2 each/m", long = "2 in" } }, kerf = { rip = "3.2 mm", cross = "4 mm" }, trim = "1 in", parts = [{ item = "block", length = "190 mm", width = "60 mm", clear = "one face", worth = "2.10 GBP" }] }
--- boards/a.csv
board,lot,length,width,face,from,to,low,high,fault,wood
7,L1,2400,140,front,100,120,5,9,knot,sound
8,L1,8 ft,140,,,,,,,
7,L1,2400,140,,300,,,,split,
"#);
    let CutStock::Boards(boards) = &cut.stock else {
        panic!("boards")
    };
    // 8 ft of 0.3048 m; 2 in of 25.4 mm.
    near(boards.length.mean(), 2.4384);
    let faults = boards.faults.as_ref().unwrap();
    near(faults.long.mean(), 0.0508);
    near(faults.per_metre.mean(), 0.8);
    near(faults.lots.as_ref().unwrap().mean(), 0.2);
    assert_eq!(boards.order, CutOrder::RipFirst);
    near(boards.margin_along.mean(), 0.008);
    near(boards.margin_across.mean(), 0.003);
    assert_eq!(boards.measured.len(), 2);
    let board = &boards.measured[0];
    assert_eq!(
        (board.name.as_str(), board.lot.as_deref()),
        ("7", Some("L1"))
    );
    near(boards.measured[1].length_m, 2.4384);
    let (knot, split) = (&board.marks[0], &board.marks[1]);
    assert_eq!((knot.face, knot.sound), (Face::Front, true));
    near(knot.from_m, 0.1);
    near(knot.high_m, 0.009);
    // No face said: both. No end said: to the end of the board, over its whole width.
    assert_eq!((split.face, split.sound), (Face::Through, false));
    near(split.to_m, 2.4);
    near(split.high_m, 0.14);
    assert_eq!(cut.parts[0].clear, Clear::One);
    assert_eq!(cut.numbers, Numbers::Computed);
    near(cut.kerf.cross.as_ref().unwrap().mean(), 0.004);
    near(cut.trim.ends.as_ref().unwrap().mean(), 0.0254);
    assert!(cut.trim.edges.is_none());
}

#[test]
fn bars_with_splices_left_overs_and_a_frame() {
    let cut = cut(r#"
cut = { bars = [{ item = "bar", length = "6 m", at_most = 40, splices = [{ from = "2 m", to = "2.1 m" }] }], kerf = "3 mm", keep = { length = "0.6 m", worth = "60 %" }, patterns = 4, pieces = 12, numbers = "stated", parts = [{ name = "rail", length = "1.2 m", need = 40 }, { item = "block", frame = { width = "600 mm", height = "400 mm", thick = "0.8 mm", radius = "1 mm", flange = "14 mm", within = "0.5 deg" } }] }
"#);
    let CutStock::Bars(kinds) = &cut.stock else {
        panic!("bars")
    };
    assert_eq!(kinds[0].at_most, Some(40));
    near(kinds[0].splices[0].1.mean(), 2.1);
    assert_eq!((cut.patterns, cut.pieces), (Some(4), Some(12)));
    assert_eq!(cut.numbers, Numbers::Stated);
    near(
        cut.keep.as_ref().unwrap().worth.as_ref().unwrap().mean(),
        0.6,
    );
    assert_eq!((cut.parts[0].need, cut.parts[0].item), (Some(40), None));
    let PartLength::Frame(fold) = &cut.parts[1].length else {
        panic!("a frame")
    };
    // Half a degree is π/360; the neutral line lies at 0.40 unless said otherwise; no lap.
    near(
        fold.within.as_ref().unwrap().mean(),
        std::f64::consts::PI / 360.0,
    );
    near(fold.k.mean(), 0.40);
    near(fold.lap.mean(), 0.0);
}

#[test]
fn sheets_in_two_stages() {
    let cut = cut(r#"
cut = { sheets = [{ length = "2.5 m", width = "1,250 mm" }], stages = "two", trim = { ends = "5 mm", edges = "4 mm" }, parts = [{ item = "block", length = "600 mm", width = "400 mm", turn = true }] }
"#);
    let CutStock::Sheets { kinds, stages } = &cut.stock else {
        panic!("sheets")
    };
    near(kinds[0].width.mean(), 1.25);
    assert_eq!(*stages, Stages::Two);
    assert!(cut.parts[0].turn);
    near(cut.trim.edges.as_ref().unwrap().mean(), 0.004);
}

#[test]
fn holes_in_rows_rings_lines_and_lists() {
    let drill = drill(
        r#"
drill = { outline = { length = "190 mm", width = "45 mm", corner = "5 mm" }, thick = "136 mm", edge = "4 mm", holes = [
  { pattern = "staggered", diameter = "8 mm", depth = "10 cm", pitch = "22 mm", across = 8, rows = 3, feed = "0.25 mm", speed = "2,900 rpm" },
  { pattern = "rings", diameter = "6 mm", radii = ["0 mm", "14 mm"], counts = ["1", "6"], lean = "6 deg" },
  { pattern = "along", diameter = "6 mm", points = [{ x = "10 mm", y = "10 mm" }, { x = "80 mm", y = "10 mm" }], count = 5 },
  { pattern = "listed", diameter = "5 mm", file = "h.csv", plunge = "0.8 m/min" },
] }
--- holes/h.csv
x,y,diameter,depth,tool
10,12.5,,,
1 in,20,7,30,twist 7
"#,
    );
    let FaceOutline::Rectangle { length, corner, .. } = &drill.outline else {
        panic!("a rectangle")
    };
    near(length.mean(), 0.19);
    near(corner.as_ref().unwrap().mean(), 0.005);
    let rows = &drill.holes[0];
    assert!(matches!(
        rows.layout,
        Layout::Rows {
            across: Some(8),
            rows: Some(3),
            staggered: true,
            ..
        }
    ));
    // 2,900 turns a minute are 48 1/3 a second.
    near(rows.speed.as_ref().unwrap().mean(), 2900.0 / 60.0);
    near(rows.feed.as_ref().unwrap().mean(), 0.00025);
    near(rows.depth.as_ref().unwrap().mean(), 0.1);
    assert!(drill.holes[1].depth.is_none(), "right through");
    let Layout::Rings { radii, counts, .. } = &drill.holes[1].layout else {
        panic!("rings")
    };
    assert_eq!((radii.len(), counts.as_slice()), (2, &[1, 6][..]));
    let Layout::Along { points, count, .. } = &drill.holes[2].layout else {
        panic!("along a line")
    };
    assert_eq!((points.len(), *count), (2, Some(5)));
    let Layout::Listed { holes, .. } = &drill.holes[3].layout else {
        panic!("listed")
    };
    near(holes[0].y_m, 0.0125);
    assert!(holes[0].diameter_m.is_none());
    near(holes[1].x_m, 0.0254);
    near(holes[1].depth_m.unwrap(), 0.03);
    near(drill.holes[3].plunge.as_ref().unwrap().mean(), 0.8 / 60.0);
}

#[test]
fn a_drilling_machine() {
    let works = works("");
    let machine = works.stations[0].drilling.as_ref().unwrap();
    assert_eq!((machine.heads, machine.lifts), (4, true));
    near(machine.speed.mean(), 0.5);
    near(machine.acceleration.mean(), 2.0);
    near(machine.reach.as_ref().unwrap().0.mean(), 1.2);
}

#[test]
fn pieces_and_fibre_for_the_holes() {
    let works = works(
        r#"
drill = { outline = { length = "60 mm", width = "45 mm", ellipse = true }, thick = "20 mm", holes = [{ pattern = "rows", diameter = "5 mm", pitch = "9 mm" }] }

[[operation]]
name = "fill"
at = "bench"
pace = "1 s"
takes = { hair = "4 g", tube = "9 each" }
fill = { holes_of = "cut", puts = "hair", anchor = "tube", fibre = "0.3 mm", share = "68 %", free = "35 mm", density = "0.09 g/m", miss = "1.6 %" }

[[operation]]
name = "peg"
at = "bench"
pace = "1 s"
takes = { tube = "18 each" }
fill = { holes_of = "cut", puts = "tube", each = 2, spoils = "0.1 %", numbers = "stated" }
"#,
    );
    assert!(matches!(
        works.operations[0].drill.as_ref().unwrap().outline,
        FaceOutline::Ellipse { .. }
    ));
    let fill = works.operations[1].fill.as_ref().unwrap();
    assert_eq!(fill.holes_of.0, 0);
    let FillKind::Fibre(fibre) = &fill.puts else {
        panic!("fibre")
    };
    // 0.09 g in a metre is 9e-5 kg/m.
    near(fibre.linear_density.mean(), 9e-5);
    near(fibre.fold.mean(), 0.0);
    assert!(fibre.anchor.is_some());
    let pegs = works.operations[2].fill.as_ref().unwrap();
    assert!(matches!(
        pegs.puts,
        FillKind::Pieces {
            each: 2,
            anchor: None,
            ..
        }
    ));
    near(pegs.spoils.as_ref().unwrap().mean(), 0.001);
}
