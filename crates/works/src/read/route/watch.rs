//! What an operation is set to, what is tested, what wears, and the elements of its hand work.

use std::collections::BTreeMap;

use quantity::{Dimension, Expect, Spread, Unit};

use super::super::amounts::Basis;
use super::super::amounts::PaceContext;
use super::super::table::{Notes, Table, Value, Word, quantity_fault};
use super::super::works::{Declared, by_name};
use crate::diagnostic::Diagnostic;
use crate::model::{Check, CheckEvery, Limit, Pace, Setting, SkillId, Stated, Task, Tool};

/// The settings of the station.
pub(super) fn settings(notes: &mut Notes, table: &Table<'_>) -> Vec<Setting> {
    let Some(value) = table.get("settings") else {
        return Vec::new();
    };
    let section = by_name(table.section, "settings");
    let mut settings = Vec::new();
    for (name, value) in value.entries(notes, "settings") {
        let is_plain = !value.is_table() || value.value.get_ref().get("value").is_some();
        let setting = if is_plain {
            value
                .stated(notes, Expect::Any)
                .map(|aim| (aim, None, false))
        } else {
            value
                .table(notes, section)
                .and_then(|table| setting(notes, &table))
        };
        if let Some((aim, within, critical)) = setting {
            settings.push(Setting {
                name: name.text,
                aim,
                within,
                critical,
                at: name.at,
            });
        }
    }
    settings
}

fn setting(notes: &mut Notes, table: &Table<'_>) -> Option<(Stated, Option<Stated>, bool)> {
    let aim = table.need(notes, "aim")?.stated(notes, Expect::Any)?;
    let dimension = aim.unit.dimension().clone();
    let expect = if dimension == Dimension::TEMPERATURE {
        Expect::TemperatureDifference
    } else {
        Expect::Dimension(&dimension)
    };
    let within = table.not_negative(notes, "within", expect);
    Some((aim, within, table.flag(notes, "critical")))
}

/// What is tested.
pub(super) fn checks(
    notes: &mut Notes,
    table: &Table<'_>,
    output: &Unit,
    declared: &Declared,
) -> Vec<Check> {
    let Some(value) = table.get("checks") else {
        return Vec::new();
    };
    let section = by_name(table.section, "checks");
    value
        .list()
        .into_iter()
        .filter_map(|value| {
            let table = value.table(notes, section)?;
            check(notes, &table, output, declared)
        })
        .collect()
}

fn check(
    notes: &mut Notes,
    table: &Table<'_>,
    output: &Unit,
    declared: &Declared,
) -> Option<Check> {
    let what = table.need_text(notes, "what");
    let limit = limit(notes, table);
    let every = table
        .need(notes, "every")
        .and_then(|value| every(notes, value, output));
    let sample = table
        .get("sample")
        .and_then(|value| {
            value.stated(
                notes,
                Expect::OneOf(&[output.dimension().clone(), Dimension::NONE]),
            )
        })
        .and_then(|stated| super::super::table::positive(notes, "sample", stated))
        .map_or(output.factor(), |stated| {
            if stated.unit.dimension().is_none() {
                stated.mean() * output.factor()
            } else {
                stated.mean()
            }
        });
    let money = declared.money();
    let time = table.not_negative(notes, "time", Expect::Dimension(&Dimension::TIME));
    let cost = table.not_negative(notes, "cost", Expect::Dimension(&money));
    let by = table
        .text(notes, "by")
        .and_then(|word| declared.skill_names.find(notes, &word))
        .map(SkillId);
    let destroys = table.flag(notes, "destroys");
    let what = what?;
    Some(Check {
        what: what.text,
        limit,
        every: every?,
        sample,
        destroys,
        time,
        cost,
        by,
        at: what.at,
    })
}

/// Limits of a check, from `limit`, `at_least` and `at_most`.
fn limit(notes: &mut Notes, table: &Table<'_>) -> Option<Limit> {
    let both = table.stated(notes, "limit", Expect::Any);
    let least = table.stated(notes, "at_least", Expect::Any);
    let most = table.stated(notes, "at_most", Expect::Any);
    if let Some(both) = both {
        if let Spread::Exact(_) = both.spread {
            notes.push(
                Diagnostic::fault(
                    "limit-one-sided",
                    both.at,
                    "a limit to both sides needs two ends",
                )
                .help("write a range such as \"60..90 um\", or use at_least or at_most"),
            );
            return None;
        }
        return Some(Limit {
            low: Some(both.spread.low()),
            high: Some(both.spread.high()),
            unit: both.unit,
        });
    }
    if let (Some(least), Some(most)) = (&least, &most)
        && (least.unit.dimension() != most.unit.dimension() || least.mean() > most.mean())
    {
        notes.push(
            Diagnostic::fault(
                "limits-crossed",
                most.at,
                "the limits of this check cannot both be met",
            )
            .sides(
                format!("at least {}", quantity::show(least.mean(), &least.unit)),
                format!("at most {}", quantity::show(most.mean(), &most.unit)),
            ),
        );
    }
    let unit = least.as_ref().or(most.as_ref())?.unit.clone();
    Some(Limit {
        low: least.map(|s| s.mean()),
        high: most.map(|s| s.mean()),
        unit,
    })
}

/// How often: a word, an amount or a time, with or without "every" before it.
fn every(notes: &mut Notes, value: Value<'_>, output: &Unit) -> Option<CheckEvery> {
    let word = value.text(notes)?;
    let (text, start) = without_every(&word.text);
    match text {
        "unit" | "each" | "piece" => return Some(CheckEvery::Unit),
        "lot" => return Some(CheckEvery::Lot),
        "load" => return Some(CheckEvery::Load),
        "shift" => return Some(CheckEvery::Shift),
        _ => {}
    }
    let expect = [output.dimension().clone(), Dimension::TIME];
    match quantity::read(text, &notes.units, Expect::OneOf(&expect)) {
        Ok(written) if written.mean() > 0.0 => {
            let is_time = *written.dimension() == Dimension::TIME;
            let stated = Stated {
                spread: written.spread,
                unit: written.unit,
                source: None,
                at: word.at,
            };
            Some(if is_time {
                CheckEvery::Time(stated)
            } else {
                CheckEvery::Amount(stated)
            })
        }
        Ok(_) => {
            notes.push(Diagnostic::fault(
                "not-positive",
                word.at,
                "`every` must be above zero",
            ));
            None
        }
        Err(fault) => {
            let help = fault.help.clone();
            let at = word.part(&(start + fault.range.start..start + fault.range.end));
            notes.push(
                quantity_fault(fault, at)
                    .help("one of unit, lot, load, shift, or an amount or a time such as \"500 each\" or \"1 h\"")
                    .maybe_help(help),
            );
            None
        }
    }
}

/// The text behind a leading "every", and where in the text it begins.
fn without_every(text: &str) -> (&str, usize) {
    let rest = text.trim_start();
    let rest = rest.strip_prefix("every ").unwrap_or(rest).trim_start();
    (rest.trim_end(), text.len() - rest.len())
}

/// Tools that wear.
pub(super) fn tools(
    notes: &mut Notes,
    table: &Table<'_>,
    context: &PaceContext<'_>,
    money: &Dimension,
) -> Vec<Tool> {
    let Some(value) = table.get("tools") else {
        return Vec::new();
    };
    let section = by_name(table.section, "tools");
    let mut tools = Vec::new();
    for value in value.list() {
        let Some(table) = value.table(notes, section) else {
            continue;
        };
        let name = table.need_text(notes, "name");
        table.need(notes, "life");
        let life = context.tool_life(notes, &table);
        let change = table.not_negative(notes, "change", Expect::Dimension(&Dimension::TIME));
        let cost = table.not_negative(notes, "cost", Expect::Dimension(money));
        let (Some(name), Some(life)) = (name, life) else {
            continue;
        };
        tools.push(Tool {
            name: name.text,
            life,
            change,
            cost,
        });
    }
    tools
}

/// Elements of hand work with what must come before them.
pub(super) fn tasks(notes: &mut Notes, table: &Table<'_>) -> Vec<Task> {
    let Some(value) = table.get("tasks") else {
        return Vec::new();
    };
    let section = by_name(table.section, "tasks");
    let tables: Vec<Table<'_>> = value
        .list()
        .into_iter()
        .filter_map(|value| value.table(notes, section))
        .collect();
    let mut names: BTreeMap<String, usize> = BTreeMap::new();
    let mut heads: Vec<(Word, &Table<'_>)> = Vec::new();
    for table in &tables {
        let Some(name) = table.need_text(notes, "name") else {
            continue;
        };
        if names.insert(name.text.clone(), heads.len()).is_some() {
            notes.push(Diagnostic::fault(
                "declared-twice",
                name.at,
                format!("task `{}` is declared twice", name.text),
            ));
        }
        heads.push((name, table));
    }
    let mut tasks = Vec::new();
    for (name, table) in &heads {
        table.need(notes, "time");
        let time = table.positive(notes, "time", Expect::Dimension(&Dimension::TIME));
        let after = after(notes, table, &names);
        // A task whose time could not be read stays in place, so that positions keep their meaning.
        let time = time.unwrap_or_else(|| unread_time(notes, name));
        tasks.push(Task {
            name: name.text.clone(),
            time,
            after,
            at: name.at,
        });
    }
    if let Some(task) = in_a_circle(&tasks) {
        notes.push(
            Diagnostic::fault(
                "tasks-in-a-circle",
                tasks[task].at,
                "these tasks wait for each other",
            )
            .label("after itself, by way of others"),
        );
        for task in &mut tasks {
            task.after.clear();
        }
    }
    tasks
}

/// The pace of an operation whose tasks are all that is said: one person does them one after the
/// other. Times are for one unit as the output is counted.
pub(super) fn pace_of_tasks(tasks: &[Task], basis: &Basis) -> Option<Pace> {
    let first = tasks.first()?;
    let seconds: f64 = tasks.iter().map(|task| task.time.mean()).sum();
    let spread = Spread::Exact(seconds / basis.unit.factor());
    Some(Pace::Each(Stated {
        spread,
        ..first.time.clone()
    }))
}

fn unread_time(notes: &Notes, name: &Word) -> Stated {
    let unit = notes.units.parse_unit("s").expect("s is a standard unit");
    Stated {
        spread: Spread::Exact(1.0),
        unit,
        source: None,
        at: name.at,
    }
}

fn after(notes: &mut Notes, table: &Table<'_>, names: &BTreeMap<String, usize>) -> Vec<usize> {
    let mut after = Vec::new();
    for word in table.texts(notes, "after") {
        if let Some(&position) = names.get(&word.text) {
            after.push(position);
            continue;
        }
        let help = crate::suggest::did_you_mean(&word.text, names.keys().map(String::as_str));
        let headline = format!("no task of this operation is called `{}`", word.text);
        notes.push(Diagnostic::fault("unknown-name", word.at, headline).maybe_help(help));
    }
    after
}

/// A task that can be reached from itself, if there is one.
fn in_a_circle(tasks: &[Task]) -> Option<usize> {
    let mut open: Vec<usize> = tasks.iter().map(|task| task.after.len()).collect();
    let mut ready: Vec<usize> = (0..tasks.len()).filter(|&t| open[t] == 0).collect();
    let mut later: Vec<Vec<usize>> = vec![Vec::new(); tasks.len()];
    for (number, task) in tasks.iter().enumerate() {
        task.after
            .iter()
            .for_each(|&before| later[before].push(number));
    }
    let mut done = 0;
    while let Some(task) = ready.pop() {
        done += 1;
        for &next in &later[task] {
            open[next] -= 1;
            if open[next] == 0 {
                ready.push(next);
            }
        }
    }
    if done == tasks.len() {
        None
    } else {
        open.iter().position(|&n| n > 0)
    }
}
