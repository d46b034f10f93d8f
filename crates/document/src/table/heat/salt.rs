//! Salt in pieces: the verdict, and the tables behind it.

use planning::heat::words;
use planning::moisture::{SaltNeedLine, SaltPiece, SaltPlan};

use super::{Kind, TimeUnit, grouped_sources, sourced, yes_no};
use crate::block::{Cell, Column, Table};
use crate::table::{columns, rounded, title};

/// Per cent with two decimals, as salt is told.
fn percent(share: f64) -> f64 {
    rounded(share * 100.0, 100.0)
}

pub(super) fn telling(plan: &SaltPlan) -> super::Telling<'_> {
    let needs = needs(plan);
    // Sources stand in full under the verdict.
    let short = needs.clone().only(&[0, 1, 2, 3, 4, 5]);
    super::Telling {
        kind: Kind::Salt,
        operation: plan.operation,
        name: &plan.name,
        does: Some(plan.does_its_job()),
        good: is_good(plan),
        verdict: verdict(plan),
        lines: lines(plan),
        limits: grouped_sources(plan.needs.iter().map(|need| {
            let source = sourced(Some(&need.source), need.screening);
            (source, need.words.as_str())
        })),
        short: Some(short),
        tables: vec![needs, pieces(plan), books(plan)],
        cautions: &plan.cautions,
    }
}

fn is_good(plan: &SaltPlan) -> bool {
    plan.does_its_job() && !plan.is_thin() && plan.even.does != Some(false)
}

/// `does its job; nearest to its limit: salt in the water of the core at least 3.5 %: 3.81 % in the thickest piece, 0.31 points inside
/// the limit`.
fn verdict(plan: &SaltPlan) -> String {
    let missed: Vec<&str> = plan
        .needs
        .iter()
        .filter(|need| !need.met)
        .map(|need| need.sentence.as_str())
        .collect();
    let share = |need: &SaltNeedLine| need.margin / need.nearest_limit().unwrap_or(1.0);
    let nearest = plan
        .needs
        .iter()
        .min_by(|a, b| share(a).total_cmp(&share(b)));
    let mut words = match nearest {
        None => "nothing says what it must come to".to_owned(),
        Some(_) if !missed.is_empty() => format!("does not do its job: {}", missed.join("; ")),
        Some(need) => format!("does its job; nearest to its limit: {}", need.sentence),
    };
    if plan.even.does == Some(false) {
        words.push_str("; ");
        words.push_str(&plan.even.sentence);
    }
    words
}

fn lines(plan: &SaltPlan) -> Vec<String> {
    let rests = if plan.equalise_s > 0.0 {
        format!("evens out {} after that", words::time(plan.equalise_s))
    } else {
        "has no time to even out after that".to_owned()
    };
    let mut lines = vec![format!("{}.", title(&plan.window.sentence))];
    // What is not even stands in the verdict.
    if plan.even.does != Some(false) {
        lines.push(format!("{}.", title(&plan.even.sentence)));
    }
    lines.push(format!(
            "Salt lies on the piece {} and {rests}; in the end the piece weighs {} of what it did green ({}).",
            words::time(plan.contact_s),
            quantity::show_share(rounded(plan.weighs, 1000.0)),
            plan.weighs_by
        ));
    lines
}

/// Every need held against every piece, piece under piece.
fn needs(plan: &SaltPlan) -> Table {
    let mut columns = columns(
        &["What it must come to", "Piece"],
        &[
            ("Salt off", "%"),
            ("In the end", "%"),
            ("Inside the limits by", "points"),
        ],
    );
    columns.extend([Column::words("Met"), Column::words("Limit")]);
    let mut table = Table::new(format!("What the salt of {} comes to", plan.name), columns);
    for need in &plan.needs {
        for (at, piece) in plan.pieces.iter().enumerate() {
            let value = need.values.get(at).copied();
            let inside = value.map(|value| inside(need, value));
            let met = inside.is_none_or(|inside| inside >= 0.0);
            let warn = !met || (need.is_thin() && need.worst == at);
            table.push([
                need.words.as_str().into(),
                piece.name.as_str().into(),
                need.after_contact.get(at).copied().map(percent).into(),
                Cell::from(value.map(percent)).warn_if(!met),
                Cell::from(inside.map(percent)).warn_if(warn),
                yes_no(met),
                sourced(Some(&need.source), need.screening).into(),
            ]);
        }
    }
    table
}

/// How far a share lies inside the limits of a need; a difference that rounding may make is none.
fn inside(need: &SaltNeedLine, share: f64) -> f64 {
    let above = need.at_least.map_or(f64::INFINITY, |least| share - least);
    let below = need.at_most.map_or(f64::INFINITY, |most| most - share);
    let inside = above.min(below);
    if inside.abs() < 1e-12 { 0.0 } else { inside }
}

/// The pieces with their salt when it comes off and in the end.
fn pieces(plan: &SaltPlan) -> Table {
    let all = plan.pieces.iter();
    let times = all.flat_map(|piece| [piece.used_up_s, piece.even_from_s]);
    let unit = TimeUnit::of(times.flatten());
    let mut columns = columns(
        &["Piece", "What it is"],
        &[
            ("Face, water, salt off", "%"),
            ("Core, water, salt off", "%"),
            ("Face, water, in the end", "%"),
            ("Core, water, in the end", "%"),
            ("Whole piece, in the end", "%"),
        ],
    );
    columns.push(Column::numbers("Salt used up after", unit.symbol));
    columns.push(Column::numbers("Even from", unit.symbol));
    let mut table = Table::new(format!("Pieces of {}", plan.name), columns);
    for piece in &plan.pieces {
        let (off, end) = (&piece.after_contact, &piece.at_end);
        table.push([
            piece.name.as_str().into(),
            piece.words.as_str().into(),
            percent(off.of_water.surface).into(),
            percent(off.of_water.core).into(),
            percent(end.of_water.surface).into(),
            percent(end.of_water.core).into(),
            percent(end.of_piece.mean).into(),
            unit.maybe(piece.used_up_s),
            unit.maybe(piece.even_from_s),
        ]);
    }
    table
}

/// Where the salt went.
fn books(plan: &SaltPlan) -> Table {
    let columns = columns(
        &["Piece"],
        &[
            ("There before", "g/kg"),
            ("Laid on", "g/kg"),
            ("Runs off", "g/kg"),
            ("Left on it", "g/kg"),
            ("In the piece", "g/kg"),
            ("Not explained", "g/kg"),
        ],
    );
    let caption = format!("Salt of {}, for a kg of green piece", plan.name);
    let mut table = Table::new(caption, columns);
    let grams = |kg: f64| rounded(kg * 1e3, 100.0);
    let row = |piece: &SaltPiece| -> [Cell; 7] {
        let books = &piece.books;
        [
            piece.name.as_str().into(),
            grams(books.first).into(),
            books.laid_on.map(grams).into(),
            grams(books.runs_off).into(),
            grams(books.left_over).into(),
            grams(books.ends).into(),
            grams(books.unexplained).into(),
        ]
    };
    table.rows.extend(
        plan.pieces
            .iter()
            .map(|piece| crate::block::Row::of(row(piece))),
    );
    table
}
