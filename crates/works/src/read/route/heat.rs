//! Reading what an operation does by heat or cold: pieces, stages, measured loads.

use jiff::civil::Time;
use quantity::{Dimension, Expect};

use super::super::shelves;
use super::super::table::{Notes, Table, Value, positive};
use super::super::works::by_name;
use super::cut::tables;
use super::level::{Context, faces, numbers};
use super::{body, needs};
use crate::diagnostic::Diagnostic;
use crate::model::{Body, BodyForm, Faces, Heat, HeatStage, Lasts, LogId, Surface};
use crate::source::Span;

/// What an operation does by heat or cold, if it does.
pub(super) fn read(notes: &mut Notes, context: &Context<'_>) -> Option<Heat> {
    let value = context.table.get("heat")?;
    let table = value.table(notes, by_name(context.table.section, "heat"))?;
    let bodies = bodies(notes, &table, context);
    let from = table
        .need(notes, "from")
        .and_then(|value| value.stated(notes, Expect::Temperature));
    let stages = stages(notes, &table, context);
    let needs = table
        .need(notes, "needs")
        .and_then(|value| needs::read(notes, value, by_name(table.section, "needs")));
    let logs = logs(notes, &table, context);
    let needed = needed(notes, &table);
    let numbers = numbers(notes, &table);
    let heat = Heat {
        at: table.at,
        bodies: bodies?,
        from: from?,
        stages: stages?,
        needs: needs?,
        logs,
        needed,
        numbers,
    };
    one_face(notes, &heat);
    Some(heat)
}

/// The pieces; none when one could not be read.
fn bodies(notes: &mut Notes, table: &Table<'_>, context: &Context<'_>) -> Option<Vec<Body>> {
    let value = table.need(notes, "body")?;
    let section = by_name(table.section, "body");
    let output = context.operation.output.unit.factor();
    let written = value.list().len();
    let bodies = tables(notes, value, section, |notes, table| {
        body::read(notes, table, context.declared, output)
    });
    if written == 0 {
        notes.push(nothing_in(value.at(), "body"));
    }
    (written > 0 && bodies.len() == written).then_some(bodies)
}

fn nothing_in(at: Span, key: &str) -> Diagnostic {
    Diagnostic::fault(
        "heat-unclear",
        at,
        format!("expected at least one table in `{key}`, found none"),
    )
}

/// Its stages; one over the whole dwell when none are written.
fn stages(notes: &mut Notes, heat: &Table<'_>, context: &Context<'_>) -> Option<Vec<HeatStage>> {
    let Some(value) = heat.get("stages") else {
        let stage = stage(notes, None, heat, context);
        return stage.map(|stage| vec![stage]);
    };
    let section = by_name(heat.section, "stages");
    let written = value.list().len();
    let stages = tables(notes, value, section, |notes, table| {
        stage(notes, Some(table), heat, context)
    });
    if written == 0 {
        notes.push(nothing_in(value.at(), "stages"));
    }
    let open: Vec<&HeatStage> = stages
        .iter()
        .filter(|stage| matches!(stage.lasts, Lasts::Rest))
        .collect();
    if let [first, second, ..] = open.as_slice() {
        notes.push(
            Diagnostic::fault(
                "heat-unclear",
                second.at,
                "cannot tell how long two stages last",
            )
            .other(first.at, "this one is to have the rest of the dwell too")
            .help("add `lasts`; one stage may leave it out"),
        );
        return None;
    }
    (written > 0 && stages.len() == written).then_some(stages)
}

/// One stage; what it leaves out is as the heat says.
fn stage(
    notes: &mut Notes,
    own: Option<&Table<'_>>,
    heat: &Table<'_>,
    context: &Context<'_>,
) -> Option<HeatStage> {
    let at = own.map_or(heat.at, |own| own.at);
    let value = |key: &'static str| own.and_then(|own| own.get(key)).or_else(|| heat.get(key));
    let level = |notes: &mut Notes, key| {
        context.level(notes, value(key)?, super::level::LevelOf::Temperature)
    };
    if value("air").is_none() {
        notes.push(
            Diagnostic::fault("missing-key", at, "the heat needs `air`")
                .help("the name of a setting, or a temperature: air = \"190 degC\""),
        );
    }
    let air = level(notes, "air");
    let walls = level(notes, "walls");
    let surface = surface(notes, value("surface"), at, context);
    let radiates = own
        .filter(|own| own.get("radiates").is_some())
        .unwrap_or(heat)
        .share(notes, "radiates");
    let faces = faces(notes, value("faces"));
    let to = own.and_then(|own| context.level_at(notes, own, "to"));
    let name = own.and_then(|own| own.text(notes, "name"));
    let lasts = own.map_or(Some(Lasts::Rest), |own| lasts(notes, own));
    Some(HeatStage {
        at,
        name: name.map(|word| word.text),
        lasts: lasts?,
        air: air?,
        to,
        walls,
        surface: surface?,
        radiates,
        faces,
    })
}

fn lasts(notes: &mut Notes, stage: &Table<'_>) -> Option<Lasts> {
    let time = Expect::Dimension(&Dimension::TIME);
    let length = Expect::Dimension(&Dimension::LENGTH);
    match (stage.key_at("lasts"), stage.key_at("length")) {
        (None, None) => Some(Lasts::Rest),
        (Some(_), None) => stage.positive(notes, "lasts", time).map(Lasts::Stated),
        (None, Some(_)) => stage.positive(notes, "length", length).map(Lasts::Along),
        (Some(_), Some(at)) => {
            notes.push(
                Diagnostic::fault("heat-unclear", at, "cannot tell how long this stage lasts")
                    .sides("one of `lasts` and `length`", "both"),
            );
            None
        }
    }
}

/// How heat gets to the face: stated, by the way the air moves, or by the air of the station.
fn surface(
    notes: &mut Notes,
    value: Option<Value<'_>>,
    at: Span,
    context: &Context<'_>,
) -> Option<Surface> {
    let Some(value) = value else {
        let heat = context.station().and_then(|station| station.heat.as_ref());
        let speed = heat.and_then(|heat| heat.air_speed.clone());
        if speed.is_none() {
            notes.push(
                Diagnostic::fault("missing-key", at, "the heat needs `surface`")
                    .label("how does heat get to the face?")
                    .help("for example surface = \"22 W/(m2 K)\" or surface = { speed = \"2 m/s\" }, or say the station's `air_speed`"),
            );
        }
        return speed.map(|speed| Surface::Blown { speed, along: None });
    };
    if value.is_table() && value.value.get_ref().get("value").is_none() {
        return moving_air(notes, value, context);
    }
    let coefficient = Dimension::POWER
        .over(&Dimension::AREA)
        .over(&Dimension::TEMPERATURE);
    let stated = value.stated(notes, Expect::Dimension(&coefficient))?;
    positive(notes, "surface", stated).map(Surface::Coefficient)
}

fn moving_air(notes: &mut Notes, value: Value<'_>, context: &Context<'_>) -> Option<Surface> {
    let heat = by_name(context.table.section, "heat");
    let table = value.table(notes, by_name(heat, "surface"))?;
    let speed = table.positive(notes, "speed", Expect::Dimension(&Dimension::SPEED));
    let along = table.positive(notes, "along", Expect::Dimension(&Dimension::LENGTH));
    let (still, held) = (table.flag(notes, "still"), table.flag(notes, "held"));
    let upright = table.flag(notes, "upright");
    match (table.get("speed").is_some(), still, held) {
        (true, false, false) if !upright => speed.map(|speed| Surface::Blown { speed, along }),
        (false, true, false) => Some(Surface::Still {
            at: table.at,
            upright,
            along,
        }),
        (false, false, true) if !upright && along.is_none() => Some(Surface::Held(table.at)),
        _ => {
            notes.push(
                Diagnostic::fault(
                    "heat-unclear",
                    table.at,
                    "cannot tell how heat gets to the face",
                )
                .sides(
                    "one of `speed`, `still` (perhaps `upright`) and `held`",
                    "none, or several",
                )
                .help("for example surface = { speed = \"2 m/s\" } or surface = \"22 W/(m2 K)\""),
            );
            None
        }
    }
}

/// Only what is flat has one face.
fn one_face(notes: &mut Notes, heat: &Heat) {
    let one = heat.stages.iter().any(|stage| stage.faces == Faces::One);
    let round = heat
        .bodies
        .iter()
        .find(|body| !matches!(body.form, BodyForm::Slab { .. }));
    if let Some(body) = round.filter(|_| one) {
        notes.push(
            Diagnostic::fault(
                "body-unclear",
                body.at,
                "only a slab or a sheet has one face",
            )
            .help("take `faces` out: heat passes every face of the other forms"),
        );
    }
}

/// Measured loads by name; those that could not be read were complained of before.
fn logs(notes: &mut Notes, table: &Table<'_>, context: &Context<'_>) -> Vec<(LogId, Span)> {
    let shelf = &context.shelves.logs;
    table
        .texts(notes, "logs")
        .into_iter()
        .filter_map(|word| {
            let id = *shelves::named(notes, shelf, "readings/logs", &word)?;
            Some((id?, word.at))
        })
        .collect()
}

/// A time of day.
fn needed(notes: &mut Notes, table: &Table<'_>) -> Option<(Time, Span)> {
    let word = table.text(notes, "needed")?;
    let time = word.text.trim().parse::<Time>().ok();
    if time.is_none() {
        notes.push(
            Diagnostic::fault("bad-time", word.at, "expected a time of day")
                .sides("such as 06:00", format!("`{}`", word.text)),
        );
    }
    time.map(|time| (time, word.at))
}
