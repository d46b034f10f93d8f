//! Reading what a station is as an oven, a freezer or a room, and as a moulding machine.

use quantity::{Dimension, Expect};

use super::table::{Notes, Table};
use super::works::{by_name, energy};
use crate::diagnostic::Diagnostic;
use crate::model::{Chamber, MouldingMachine};

/// m³/s.
pub(super) fn volume_flow() -> Dimension {
    Dimension::VOLUME.over(&Dimension::TIME)
}

/// What a station is as an oven, a freezer or a room, if it is one.
pub(super) fn chamber(notes: &mut Notes, station: &Table<'_>) -> Option<Chamber> {
    let table = station
        .get("heat")?
        .table(notes, by_name(station.section, "heat"))?;
    let power = Expect::Dimension(&Dimension::POWER);
    let per_kelvin = |what: &Dimension| what.over(&Dimension::TEMPERATURE);
    let stores = per_kelvin(&energy());
    let loses = per_kelvin(&Dimension::POWER);
    let flow = volume_flow();
    let chamber = Chamber {
        at: table.at,
        power: table.positive(notes, "power", power),
        cooling: table.positive(notes, "cooling", power),
        stores: table.positive(notes, "stores", Expect::Dimension(&stores)),
        loses: table.not_negative(notes, "loses", Expect::Dimension(&loses)),
        around: table.stated(notes, "around", Expect::Temperature),
        band: table.positive(notes, "band", Expect::TemperatureDifference),
        starts: table.stated(notes, "starts", Expect::Temperature),
        conveyor: table.positive(notes, "conveyor", Expect::Dimension(&Dimension::LENGTH)),
        air_speed: table.positive(notes, "air_speed", Expect::Dimension(&Dimension::SPEED)),
        fresh_air: table.positive(notes, "fresh_air", Expect::Dimension(&flow)),
    };
    together(
        notes,
        &table,
        &["power", "cooling"],
        "stores",
        r#""220 kJ/K""#,
    );
    together(notes, &table, &["loses"], "around", r#""20 degC""#);
    Some(chamber)
}

/// Complains when one of some keys stands there without the one that it needs.
fn together(
    notes: &mut Notes,
    table: &Table<'_>,
    keys: &[&'static str],
    needed: &'static str,
    example: &str,
) {
    let first = keys.iter().find(|key| table.key_at(key).is_some());
    let Some(key) = first.filter(|_| table.key_at(needed).is_none()) else {
        return;
    };
    notes.push(
        Diagnostic::fault(
            "missing-key",
            table.key_at(key).unwrap_or(table.at),
            format!("`{key}` needs `{needed}` beside it"),
        )
        .help(format!("for example {needed} = {example}")),
    );
}

/// What a station is as a moulding machine, if it is one.
pub(super) fn moulding(notes: &mut Notes, station: &Table<'_>) -> Option<MouldingMachine> {
    let table = station
        .get("moulding")?
        .table(notes, by_name(station.section, "moulding"))?;
    table.need(notes, "clamp");
    let clamp = table.positive(notes, "clamp", Expect::Dimension(&Dimension::FORCE));
    let flow = Dimension::MASS.over(&Dimension::TIME);
    Some(MouldingMachine {
        at: table.at,
        barrel: table.positive(notes, "barrel", Expect::Dimension(&Dimension::MASS)),
        melts: table.positive(notes, "melts", Expect::Dimension(&flow)),
        clamp: clamp?,
    })
}
