//! How long salt must even out, and may, so that every piece comes to what it must.

use heat::mass::salt::salting;

use super::answer::SaltWindow;
use super::salt::{EVEN, Question, SAME};
use super::share::{margin_of, need_words};
use crate::heat::words;

/// Each time looked at is so many times the one before.
const RISE: f64 = 1.125;

/// Times looked at again between two of them.
const FINE: usize = 64;

/// By so many times `l²/D` all is even.
const EVEN_BY: f64 = 3.0;

/// Shortest time looked at, as a share of the longest.
const FIRST: f64 = 1e-4;

/// Whether every piece comes to every need at some times of evening out.
fn all_met(question: &Question<'_>, rests_s: &[f64]) -> Result<Vec<Vec<bool>>, heat::Fault> {
    let needs = &question.salt.needs;
    let times: Vec<f64> = rests_s
        .iter()
        .map(|rest| question.contact_s + rest)
        .collect();
    let mut met = vec![Vec::new(); rests_s.len()];
    for way in &question.ways {
        let salted = salting(&way.salting, &times, EVEN)?;
        for (met, moment) in met.iter_mut().zip(&salted.moments) {
            met.extend(
                needs
                    .iter()
                    .map(|need| margin_of(need, question.value(need, moment)) >= -SAME),
            );
        }
    }
    Ok(met)
}

/// The first of some times at which all is met as wanted.
fn first(
    question: &Question<'_>,
    (from_s, to_s): (f64, f64),
    wanted: bool,
) -> Result<f64, heat::Fault> {
    let step = (to_s - from_s) / FINE as f64;
    let times: Vec<f64> = (1..=FINE).map(|at| from_s + step * at as f64).collect();
    let met = all_met(question, &times)?;
    let found = met
        .iter()
        .position(|met| met.iter().all(|met| *met) == wanted);
    Ok(found.map_or(to_s, |at| times[at]))
}

/// The times of evening out that do.
pub(super) fn salt(question: &Question<'_>) -> Result<SaltWindow, heat::Fault> {
    let slowest_s = question.ways.iter().map(|way| {
        let salting = &way.salting;
        let depth_m = match salting.faces {
            heat::mass::salt::Faces::Both => 0.5 * salting.thick_m,
            heat::mass::salt::Faces::One => salting.thick_m,
        };
        depth_m * depth_m / salting.diffusivity_m2_s
    });
    let looked_at_s = (EVEN_BY * slowest_s.fold(0.0, f64::max)).max(2.0 * question.equalise_s);
    let mut times = vec![0.0];
    let mut time = FIRST * looked_at_s;
    while time < looked_at_s {
        times.push(time);
        time *= RISE;
    }
    times.push(looked_at_s);
    let each = all_met(question, &times)?;
    let met: Vec<bool> = each.iter().map(|met| met.iter().all(|met| *met)).collect();
    let Some(begins) = met.iter().position(|met| *met) else {
        return Ok(SaltWindow {
            shortest_s: None,
            longest_s: None,
            looked_at_s,
            sentence: never(question, &each),
        });
    };
    let shortest = match begins {
        0 => 0.0,
        _ => first(question, (times[begins - 1], times[begins]), true)?,
    };
    let ends = (begins..met.len()).find(|at| !met[*at]);
    let longest = match ends {
        Some(ends) => Some(first(question, (times[ends - 1], times[ends]), false)?),
        None => None,
    };
    let stated = words::time(question.equalise_s);
    let window = match (begins, longest) {
        (0, None) => "however short, it does".to_owned(),
        (0, Some(longest)) => format!("up to {} do", words::time(longest)),
        (_, None) => format!("{} and longer do", words::time(shortest)),
        (_, Some(longest)) => {
            format!("{} to {} do", words::time(shortest), words::time(longest))
        }
    };
    Ok(SaltWindow {
        shortest_s: Some(shortest),
        longest_s: longest,
        looked_at_s,
        sentence: format!("evening out: {window} for every piece; {stated} is stated"),
    })
}

/// No time does: some need is never met, or what one piece needs is too much for another.
fn never(question: &Question<'_>, each: &[Vec<bool>]) -> String {
    let needs = &question.salt.needs;
    for (number, need) in needs.iter().enumerate() {
        for (way, piece) in question.ways.iter().enumerate() {
            let place = way * needs.len() + number;
            if each.iter().all(|met| !met[place]) {
                return format!(
                    "evening out: no time does, for the {} never comes to \u{201c}{}\u{201d}",
                    piece.name,
                    need_words(need)
                );
            }
        }
    }
    "evening out: no time does for all of it together".to_owned()
}
