//! Reading what heat must do: one measure with its limits, each.

use quantity::{Dimension, Expect, Spread};

use super::super::table::{Notes, Table, Value};
use super::super::works::{by_name, energy};
use super::cut::tables;
use super::level::{bounds, place};
use crate::diagnostic::Diagnostic;
use crate::format::Section;
use crate::model::{Bounds, Measure, Need, Place};

const PLACES: [Place; 4] = [Place::Core, Place::Surface, Place::Mean, Place::Air];

/// Measures that are a temperature alone.
const BARE: [&str; 6] = [
    "reach",
    "never_above",
    "never_below",
    "ends_below",
    "ends_above",
    "ends_between",
];

/// Measures that have limits.
const LIMITED: [&str; 4] = ["cure", "lethality", "growth", "exposure"];

/// The needs; none when one could not be read.
pub(super) fn read(
    notes: &mut Notes,
    value: Value<'_>,
    section: &'static Section,
) -> Option<Vec<Need>> {
    let written = value.list().len();
    let needs = tables(notes, value, section, need);
    if written == 0 {
        notes.push(Diagnostic::fault(
            "need-unclear",
            value.at(),
            "expected at least one need, found none",
        ));
    }
    (written > 0 && needs.len() == written).then_some(needs)
}

fn need(notes: &mut Notes, table: &Table<'_>) -> Option<Need> {
    let name = only_measure(notes, table);
    let screening = table.flag(notes, "screening") || name == Some("growth");
    let at = place(notes, table, &PLACES);
    let source = table.text(notes, "source").map(|word| word.text);
    let name = name?;
    let limits = limits(notes, table, name);
    if source.is_none() && table.get("source").is_none() && guards_health(name) {
        notes.push(
            Diagnostic::fault(
                "missing-key",
                table.at,
                format!("`{name}` needs its `source`"),
            )
            .label("where is the limit from?")
            .help("for example source = \"food-safety plan, rev. 4\"; limits are the works' own"),
        );
    }
    let measure = measure(notes, table, name);
    let surface = matches!(name, "never_above" | "never_below");
    let left_out = if surface { Place::Surface } else { Place::Core };
    Some(Need {
        at: table.at,
        measure: measure?,
        place: at.unwrap_or(left_out),
        limits,
        screening,
        source,
    })
}

/// Limits of these measures come from somebody who answers for them.
fn guards_health(name: &str) -> bool {
    matches!(name, "lethality" | "growth" | "exposure")
}

/// The name of the one measure that is there.
fn only_measure(notes: &mut Notes, table: &Table<'_>) -> Option<&'static str> {
    let there: Vec<&'static str> = BARE
        .into_iter()
        .chain(LIMITED)
        .filter(|name| table.get(name).is_some())
        .collect();
    if let [only] = there.as_slice() {
        return Some(only);
    }
    let all: Vec<String> = BARE
        .iter()
        .chain(&LIMITED)
        .map(|name| format!("`{name}`"))
        .collect();
    let found = if there.is_empty() {
        "none".to_owned()
    } else {
        there.join(", ")
    };
    notes.push(
        Diagnostic::fault("need-unclear", table.at, "expected one thing that heat must do")
            .sides(format!("one of {}", all.join(", ")), found)
            .help("write one table for each: needs = [{ reach = \"185 degC\" }, { never_above = \"205 degC\" }]"),
    );
    None
}

/// The limits, where the measure has some; a fault where it has none, or needs one.
fn limits(notes: &mut Notes, table: &Table<'_>, name: &str) -> Bounds {
    let written = table.key_at("at_least").or(table.key_at("at_most"));
    if name != "reach"
        && let Some(at) = table.key_at("hold")
    {
        notes.push(
            Diagnostic::fault(
                "need-unclear",
                at,
                format!("`hold` does not go with `{name}`"),
            )
            .help("it is the time at the temperature of `reach`"),
        );
    }
    if BARE.contains(&name) {
        if let Some(at) = written {
            notes.push(
                Diagnostic::fault("need-unclear", at, format!("`{name}` has no limits beside it"))
                    .help("the temperature is the limit; a time at the temperature is `hold`, with `reach`"),
            );
        }
        return Bounds::default();
    }
    if written.is_none() {
        notes.push(
            Diagnostic::fault("need-unclear", table.at, format!("`{name}` has no limit"))
                .sides("`at_least`, `at_most` or both", "neither"),
        );
    }
    let expect = if name == "growth" {
        Expect::Number
    } else {
        Expect::Dimension(&Dimension::TIME)
    };
    bounds(notes, table, expect)
}

fn measure(notes: &mut Notes, table: &Table<'_>, name: &'static str) -> Option<Measure> {
    let temperature = |notes: &mut Notes, name| table.stated(notes, name, Expect::Temperature);
    match name {
        "reach" => {
            let hold = table.positive(notes, "hold", Expect::Dimension(&Dimension::TIME));
            let temperature = temperature(notes, "reach")?;
            Some(Measure::Reach { temperature, hold })
        }
        "never_above" => temperature(notes, name).map(Measure::NeverAbove),
        "never_below" => temperature(notes, name).map(Measure::NeverBelow),
        "ends_below" => temperature(notes, name).map(Measure::EndsBelow),
        "ends_above" => temperature(notes, name).map(Measure::EndsAbove),
        "ends_between" => between(notes, table),
        _ => {
            let inner = table
                .get(name)?
                .table(notes, by_name(table.section, name))?;
            match name {
                "cure" => cure(notes, &inner),
                "lethality" => lethality(notes, &inner),
                "growth" => growth(notes, &inner),
                _ => exposure(notes, &inner),
            }
        }
    }
}

fn between(notes: &mut Notes, table: &Table<'_>) -> Option<Measure> {
    let range = table.stated(notes, "ends_between", Expect::Temperature)?;
    if let Spread::Exact(_) = range.spread {
        notes.push(
            Diagnostic::fault(
                "limit-one-sided",
                range.at,
                "a limit to both sides needs two ends",
            )
            .help("write a range such as \"-8..-5 degC\", or use ends_above or ends_below"),
        );
        return None;
    }
    Some(Measure::EndsBetween(range))
}

fn cure(notes: &mut Notes, table: &Table<'_>) -> Option<Measure> {
    let per_amount = energy().over(&Dimension::AMOUNT);
    table.need(notes, "at");
    table.need(notes, "energy");
    let at = table.stated(notes, "at", Expect::Temperature);
    let energy = table.positive(notes, "energy", Expect::Dimension(&per_amount));
    Some(Measure::Cure {
        at: at?,
        energy: energy?,
    })
}

fn lethality(notes: &mut Notes, table: &Table<'_>) -> Option<Measure> {
    table.need(notes, "at");
    table.need(notes, "z");
    let at = table.stated(notes, "at", Expect::Temperature);
    let z = table.positive(notes, "z", Expect::TemperatureDifference);
    Some(Measure::Lethality { at: at?, z: z? })
}

fn growth(notes: &mut Notes, table: &Table<'_>) -> Option<Measure> {
    for name in ["least", "at", "tenfold"] {
        table.need(notes, name);
    }
    let least = table.stated(notes, "least", Expect::Temperature);
    let at = table.stated(notes, "at", Expect::Temperature);
    let tenfold = table.positive(notes, "tenfold", Expect::Dimension(&Dimension::TIME));
    let (least, at, tenfold) = (least?, at?, tenfold?);
    if at.spread.low() <= least.spread.high() {
        notes.push(
            Diagnostic::fault(
                "temperature-impossible",
                at.at,
                "cannot have measured growth where nothing grows",
            )
            .sides(
                format!("above {}", quantity::show(least.mean(), &least.unit)),
                quantity::show(at.mean(), &at.unit),
            )
            .other(least.at, "nothing grows below this"),
        );
        return None;
    }
    Some(Measure::Growth { least, at, tenfold })
}

fn exposure(notes: &mut Notes, table: &Table<'_>) -> Option<Measure> {
    let above = table.stated(notes, "above", Expect::Temperature);
    let below = table.stated(notes, "below", Expect::Temperature);
    match (table.get("above").is_some(), table.get("below").is_some()) {
        (true, false) => above.map(Measure::TimeAbove),
        (false, true) => below.map(Measure::TimeBelow),
        _ => {
            notes.push(
                Diagnostic::fault(
                    "need-unclear",
                    table.at,
                    "expected one temperature to count from",
                )
                .sides("one of `above` and `below`", "neither, or both"),
            );
            None
        }
    }
}
