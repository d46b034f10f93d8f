//! What is beyond any saw: refused in words before an engine is asked, so that a slip of a unit ends at once and
//! not in hours of search or gigabytes of plan.

use works::{CutStock, Stated};

use super::{Task, ticks};

/// The longest piece of stock or part, m: longer than any reel.
const LONGEST_M: f64 = 100_000.0;
/// Most pieces of one line of a list.
const MOST_NEEDED: u64 = 1_000_000_000;
/// Most parts that one piece of stock may give.
const MOST_PIECES: f64 = 100_000.0;
/// Most parts that all measured boards together may give.
const MOST_PIECES_OF_ALL: f64 = 4e6;

/// Sizes of one kind of stock, m; no width for bars.
type Size = (f64, Option<f64>);

/// Whether all numbers of a task are those of some saw.
pub(super) fn sensible(task: &Task<'_>) -> Result<(), String> {
    let stock = stock(&task.cut.stock);
    for part in &task.parts {
        length(&format!("`{}`", part.name), part.length_m)?;
        if let Some(width_m) = part.width_m {
            length(&format!("the width of `{}`", part.name), width_m)?;
        }
        if part.need > MOST_NEEDED {
            return Err(format!(
                "more than {} of `{}` are needed",
                quantity::show_number(MOST_NEEDED as f64),
                part.name
            ));
        }
    }
    for &(length_m, width_m) in &stock {
        length("a length of stock", length_m)?;
        length("a width of stock", width_m.unwrap_or(1.0))?;
    }
    for (what, stated) in losses(task) {
        if stated.mean() > LONGEST_M {
            return Err(format!("{what} is {}", too_long(stated.mean())));
        }
    }
    pieces(task, &stock)
}

fn length(what: &str, metres: f64) -> Result<(), String> {
    if metres < ticks::TICK_M {
        return Err(format!("{what} is below a tenth of a millimetre"));
    }
    if metres > LONGEST_M {
        return Err(format!("{what} is {}", too_long(metres)));
    }
    Ok(())
}

fn too_long(metres: f64) -> String {
    format!(
        "{} m, and at most {} m is planned with",
        quantity::show_number(metres),
        quantity::show_number(LONGEST_M)
    )
}

fn stock(stock: &CutStock) -> Vec<Size> {
    match stock {
        CutStock::Boards(boards) => vec![(boards.length.mean(), Some(boards.width.mean()))],
        CutStock::Bars(kinds) => kinds
            .iter()
            .map(|kind| (kind.length.mean(), None))
            .collect(),
        CutStock::Sheets { kinds, .. } => kinds
            .iter()
            .map(|kind| (kind.length.mean(), Some(kind.width.mean())))
            .collect(),
    }
}

/// What is lost in cutting, where it is stated.
fn losses<'a>(task: &'a Task<'_>) -> Vec<(&'static str, &'a Stated)> {
    let cut = task.cut;
    let mut all = vec![
        ("the kerf", cut.kerf.rip.as_ref()),
        ("the kerf", cut.kerf.cross.as_ref()),
        ("the trim", cut.trim.ends.as_ref()),
        ("the trim", cut.trim.edges.as_ref()),
    ];
    if let Some(keep) = &cut.keep {
        all.push(("the least left-over", Some(&keep.length)));
        all.push(("the least left-over", keep.width.as_ref()));
    }
    if let CutStock::Boards(boards) = &cut.stock {
        all.push(("the margin", Some(&boards.margin_along)));
        all.push(("the margin", Some(&boards.margin_across)));
    }
    all.into_iter()
        .filter_map(|(what, stated)| Some((what, stated?)))
        .collect()
}

/// Whether no piece of stock falls into crumbs.
fn pieces(task: &Task<'_>, stock: &[Size]) -> Result<(), String> {
    let boards = match &task.cut.stock {
        CutStock::Boards(boards) => boards.measured.as_slice(),
        CutStock::Bars(_) | CutStock::Sheets { .. } => &[],
    };
    let measured = boards
        .iter()
        .map(|board| (board.length_m, Some(board.width_m)));
    let most = |part: &super::PartLine| {
        let from = |(length_m, width_m): Size| {
            let rows = match (width_m, part.width_m) {
                (Some(width_m), Some(own_m)) => (width_m / own_m).max(1.0),
                _ => 1.0,
            };
            length_m / part.length_m * rows
        };
        let one = stock.iter().copied().chain(measured.clone()).map(from);
        let all: f64 = measured.clone().map(from).sum();
        (one.fold(0.0, f64::max), all)
    };
    for part in &task.parts {
        let (one, all) = most(part);
        if one > MOST_PIECES || all > MOST_PIECES_OF_ALL {
            return Err(format!(
                "`{}` is so small that one piece of stock, or all measured boards, would give {} of it",
                part.name,
                quantity::show_number(one.max(all).round())
            ));
        }
    }
    Ok(())
}
