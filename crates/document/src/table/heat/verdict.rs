//! Verdicts on recipes and measured loads, in sentences.

use planning::heat::{HeatPlan, LogLine, SpeedLine, words};

use super::{energy_words, rounded, source_words};
use crate::table::{Ground, title};

/// `does its job with 1.5 min to spare (2.7 min above the shortest, 1.5 min below the longest time inside)`, or what it
/// does not do.
pub(crate) fn recipe_verdict(plan: &HeatPlan) -> String {
    if plan.needs.is_empty() {
        return "nothing says what it must do".to_owned();
    }
    if !plan.does_its_job() {
        let missed = plan.needs.iter().filter(|need| !need.met);
        let missed: Vec<&str> = missed.map(|need| need.sentence.as_str()).collect();
        return format!("does not do its job: {}", missed.join("; "));
    }
    let spare = plan.spare();
    let mut verdict = match (spare.above_shortest_s, spare.below_longest_s) {
        (None, None) => {
            "does its job; no time inside that was looked at is too short or too long".to_owned()
        }
        (Some(above), None) => format!("does its job with {} to spare", words::time(above)),
        (None, Some(below)) => format!(
            "does its job with {} to spare before it is too much",
            words::time(below)
        ),
        (Some(above), Some(below)) => format!(
            "does its job with {} to spare ({} above the shortest, {} below the longest time inside)",
            words::time(above.min(below)),
            words::time(above),
            words::time(below)
        ),
    };
    if plan.needs.iter().any(|need| need.too_close) {
        verdict.push_str(", but a margin is less than the calculation may be off by");
    }
    verdict
}

/// Whether a recipe does its job with a margin.
pub(crate) fn good(plan: &HeatPlan) -> bool {
    plan.does_its_job() && !plan.is_thin()
}

/// Why a recipe or one of its measured loads needs attention; none where all is well.
pub(crate) fn attention(plan: &HeatPlan) -> Option<String> {
    let mut why = Vec::new();
    if !good(plan) {
        why.push(recipe_verdict(plan));
    }
    let held = plan.logs.iter().filter(|log| !log.passes);
    why.extend(held.map(log_verdict));
    (!why.is_empty()).then(|| why.join("; "))
}

/// What binds the window: `a shorter time misses “…” for the slowest piece; a longer one breaks “…” for the fastest`.
pub(crate) fn bounds_words(plan: &HeatPlan) -> Option<String> {
    let name = |(need, piece): (usize, usize)| {
        Some(format!(
            "\u{201c}{}\u{201d} for {}",
            plan.needs.get(need)?.words,
            words::piece(&plan.pieces.get(piece)?.name)
        ))
    };
    let shortest = plan.window.shortest_s.and(plan.window.shortest_by);
    let longest = plan.window.longest_s.and(plan.window.longest_by);
    match (shortest.and_then(name), longest.and_then(name)) {
        (Some(short), Some(long)) => Some(format!(
            "A shorter time misses {short}; a longer one breaks {long}."
        )),
        (Some(short), None) => Some(format!("A shorter time misses {short}.")),
        (None, Some(long)) => Some(format!("A longer time breaks {long}.")),
        (None, None) => None,
    }
}

/// Speeds of a conveyor that do for every piece.
pub(crate) fn speed_words(speed: &SpeedLine) -> String {
    let per_minute = |m_s: f64| {
        let value = rounded(m_s * 60.0, 100.0);
        format!("{} m/min", quantity::show_number(value))
    };
    let does = match (speed.slowest_m_s, speed.fastest_m_s) {
        (Some(slowest), Some(fastest)) => {
            format!("{} to {} do", per_minute(slowest), per_minute(fastest))
        }
        (None, Some(fastest)) => format!("{} and slower do", per_minute(fastest)),
        (_, None) => "no speed does".to_owned(),
    };
    format!(
        "Conveyor of {} m: {does} for every piece; {} is stated.",
        quantity::show_number(speed.length_m),
        per_minute(speed.stated_m_s)
    )
}

/// `oven-2026-11-09.csv: pass`, with the reasons.
pub(crate) fn log_verdict(log: &LogLine) -> String {
    let word = if log.passes { "pass" } else { "hold" };
    if log.reasons.is_empty() {
        return format!("{}: {word}", log.name);
    }
    format!("{}: {word}; {}", log.name, log.reasons.join("; "))
}

/// The coefficient that a log speaks for, against what is stated.
pub(crate) fn coefficient_words(plan: &HeatPlan, log: &LogLine) -> Option<String> {
    let fitted = log.coefficient?;
    let stated = plan.stages.iter().filter_map(|stage| stage.coefficient);
    let stated = stated.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)));
    let against = stated.map_or_else(String::new, |stated| {
        format!("; {} in the recipe", words::coefficient(stated))
    });
    let telling = if fitted.telling {
        ""
    } else {
        "; the log cannot tell it from half or double"
    };
    Some(format!(
        "{} explains {} best, {} off on average{against}{telling}.",
        words::coefficient((fitted.coefficient, fitted.coefficient)),
        log.name,
        words::difference(fitted.off_k),
    ))
}

/// Heat that the books do not explain is worth a word from this share of the heat exchanged on.
const CLOSES: f64 = 1e-8;

/// How far the calculation may be off.
pub(crate) fn error_words(plan: &HeatPlan) -> String {
    let error = if plan.error_k < 0.05 {
        "less than 0.1 degC".to_owned()
    } else {
        words::difference(plan.error_k)
    };
    let books = if plan.unexplained < CLOSES {
        "its heat balance closes".to_owned()
    } else {
        let share = quantity::show_share(plan.unexplained);
        format!("its heat balance leaves {share} of the heat unexplained")
    };
    format!("The calculation itself may be off by {error}; {books}.")
}

/// Where limits are from: each source once, with the needs that it is for where there are several.
pub(crate) fn limit_lines(plan: &HeatPlan) -> Vec<String> {
    let needs = plan.needs.iter();
    grouped_sources(needs.map(|need| (source_words(need), need.words.as_str())))
}

/// Sources with the needs they are for.
pub(super) fn grouped_sources<'a>(
    needs: impl IntoIterator<Item = (String, &'a str)>,
) -> Vec<String> {
    let mut sources: Vec<(String, Vec<&str>)> = Vec::new();
    for (words, need) in needs {
        match sources.iter_mut().find(|(known, _)| *known == words) {
            Some((_, needs)) => needs.push(need),
            None => sources.push((words, vec![need])),
        }
    }
    let one = sources.len() == 1;
    sources
        .into_iter()
        .map(|(source, needs)| {
            if one {
                format!("Limits: {source}.")
            } else {
                format!("{}: {source}.", title(&needs.join("; ")))
            }
        })
        .collect()
}

/// Recipes of heat that the plan has no answer for; of one name only, where one is asked for.
pub(crate) fn recipes_without_answer(ground: &Ground<'_>, of: Option<&str>) -> Vec<String> {
    let all = planning::heat::recipes(ground.works).into_iter();
    let heats = |id: works::OperationId| ground.works.operation(id).heat.is_some();
    all.filter(|(id, name)| {
        of.is_none_or(|of| of == name) && heats(*id) && !super::heats(ground, *id)
    })
    .map(|(_, name)| format!("{name} could not be worked out; the faults say why"))
    .collect()
}

/// The window in sentences: times, what binds them, speeds, loads, starts, and how sure that is.
pub(crate) fn window_lines(plan: &HeatPlan) -> Vec<String> {
    let mut lines = vec![title(&plan.window.sentence)];
    lines.extend(bounds_words(plan));
    lines.extend(plan.speed.as_ref().map(speed_words));
    if let Some(load) = &plan.load {
        lines.push(format!("Load: {}", load.sentence));
        lines.push(energy_words(load));
    }
    lines.extend(plan.start.as_ref().map(|start| title(&start.sentence)));
    lines.push(error_words(plan));
    lines
}
