//! Reading salt that goes into a piece, loss of weight by drying, and solvent in the air.

use quantity::{Dimension, Expect};

use super::super::chambers::volume_flow;
use super::super::materials::density;
use super::super::shelves;
use super::super::table::{Notes, Table, choice, positive};
use super::super::works::by_name;
use super::cut::tables;
use super::level::{Context, LevelOf, bounds, faces, numbers, place};
use crate::diagnostic::Diagnostic;
use crate::model::{
    Damp, Dose, Drying, Level, Liquid, Place, Salt, SaltNeed, SaltShare, Solvent, Stated,
};

const TIME: Expect<'static> = Expect::Dimension(&Dimension::TIME);

/// m²/s.
pub(super) fn diffusivity() -> Dimension {
    Dimension::AREA.over(&Dimension::TIME)
}

/// A share that must be above zero.
fn some_share(notes: &mut Notes, table: &Table<'_>, name: &'static str) -> Option<Stated> {
    let stated = table.share(notes, name)?;
    positive(notes, name, stated)
}

/// Salt that goes into the piece, if it does.
pub(super) fn salt(notes: &mut Notes, context: &Context<'_>) -> Option<Salt> {
    let value = context.table.get("salt")?;
    let table = value.table(notes, by_name(context.table.section, "salt"))?;
    for name in ["thick", "diffusivity", "water"] {
        table.need(notes, name);
    }
    let thick = table.positive(notes, "thick", Expect::Dimension(&Dimension::LENGTH));
    let diffusivity = table.positive(notes, "diffusivity", Expect::Dimension(&diffusivity()));
    let dose = dose(notes, &table, context);
    let water = some_share(notes, &table, "water");
    let needs = table.need(notes, "needs").map(|value| {
        let section = by_name(table.section, "needs");
        tables(notes, value, section, salt_need)
    });
    Some(Salt {
        at: table.at,
        faces: faces(notes, table.get("faces")),
        contact: table.positive(notes, "contact", TIME),
        equalise: table.not_negative(notes, "equalise", TIME),
        first: table.share(notes, "first"),
        thick: thick?,
        diffusivity: diffusivity?,
        dose: dose?,
        water: water?,
        needs: needs?,
    })
}

fn dose(notes: &mut Notes, table: &Table<'_>, context: &Context<'_>) -> Option<Dose> {
    let item = table.text(notes, "item");
    let uptake = some_share(notes, table, "uptake");
    let surface = some_share(notes, table, "surface");
    let said = |key| table.get(key).is_some();
    if said("item") == said("surface") || (said("surface") && said("uptake")) {
        notes.push(
            Diagnostic::fault(
                "heat-unclear",
                table.at,
                "cannot tell how much salt there is",
            )
            .sides(
                "`item` (perhaps with `uptake`), or `surface`",
                "neither, or both",
            )
            .help("for example item = \"curing salt\", an item that the operation takes"),
        );
        return None;
    }
    if said("surface") {
        return surface.map(Dose::Surface);
    }
    let item = context.taken(notes, &item?)?;
    Some(Dose::Taken { item, uptake })
}

fn salt_need(notes: &mut Notes, table: &Table<'_>) -> Option<SaltNeed> {
    let of = match table.text(notes, "of") {
        None => Some(SaltShare::Water),
        Some(word) => {
            let options = [("water", SaltShare::Water), ("piece", SaltShare::Piece)];
            choice(notes, "of", &word, &options)
        }
    };
    let limits = bounds(notes, table, Expect::Share);
    if table.key_at("at_least").is_none() && table.key_at("at_most").is_none() {
        notes.push(
            Diagnostic::fault("need-unclear", table.at, "this need of salt has no limit")
                .sides("`at_least`, `at_most` or both", "neither"),
        );
    }
    let places = [Place::Core, Place::Surface, Place::Mean];
    let source = table.need_text(notes, "source").map(|word| word.text);
    Some(SaltNeed {
        at: table.at,
        of: of?,
        place: place(notes, table, &places).unwrap_or(Place::Core),
        limits,
        screening: table.flag(notes, "screening"),
        source: source?,
    })
}

/// Loss of weight by drying, if it is asked for.
pub(super) fn drying(notes: &mut Notes, context: &Context<'_>) -> Option<Drying> {
    let value = context.table.get("drying")?;
    let table = value.table(notes, by_name(context.table.section, "drying"))?;
    table.need(notes, "until");
    table.need(notes, "logs");
    let until = some_share(notes, &table, "until");
    let shelf = &context.shelves.weighings;
    let logs = table
        .texts(notes, "logs")
        .into_iter()
        .filter_map(|word| {
            let id = *shelves::named(notes, shelf, "readings/weighed", &word)?;
            Some((id?, word.at))
        })
        .collect();
    let air = context.level_at(notes, &table, "air");
    let damp = damp(notes, &table, context, air.as_ref());
    let pressure = Expect::Dimension(&Dimension::PRESSURE);
    Some(Drying {
        at: table.at,
        logs,
        air,
        damp,
        pressure: table.positive(notes, "pressure", pressure),
        numbers: numbers(notes, &table),
        until: until?,
    })
}

/// How damp the air is, said once and of an air whose temperature is known.
fn damp(
    notes: &mut Notes,
    table: &Table<'_>,
    context: &Context<'_>,
    air: Option<&Level>,
) -> Option<Damp> {
    let humidity = table
        .get("humidity")
        .and_then(|value| context.level(notes, value, LevelOf::Share));
    let wet_bulb = context.level_at(notes, table, "wet_bulb");
    let said = |key| table.get(key).is_some();
    let ways = usize::from(said("humidity")) + usize::from(said("wet_bulb"));
    if (said("air") && ways != 1) || (!said("air") && ways > 0) {
        notes.push(
            Diagnostic::fault("heat-unclear", table.at, "cannot tell how damp the air is").sides(
                "`air` with one of `humidity` and `wet_bulb`",
                "one without the other, or all three",
            ),
        );
        return None;
    }
    if let (Some(air), Some(wet)) = (air, &wet_bulb) {
        let (dry, wet) = (air.aim(context.operation), wet.aim(context.operation));
        if wet.mean() > dry.mean() + 1e-9 {
            notes.push(
                Diagnostic::fault(
                    "temperature-impossible",
                    table.key_at("wet_bulb").unwrap_or(table.at),
                    "a wet thermometer cannot be hotter than the air",
                )
                .sides(
                    format!("{} or below", quantity::show(dry.mean(), &dry.unit)),
                    quantity::show(wet.mean(), &wet.unit),
                ),
            );
            return None;
        }
    }
    humidity
        .map(Damp::Humidity)
        .or_else(|| wet_bulb.map(Damp::WetBulb))
}

/// Solvent that goes into the air, if it does.
pub(super) fn solvent(notes: &mut Notes, context: &Context<'_>) -> Option<Solvent> {
    let value = context.table.get("solvent")?;
    let table = value.table(notes, by_name(context.table.section, "solvent"))?;
    table.need(notes, "molar_mass");
    table.need(notes, "lower_limit");
    let per_amount = Dimension::MASS.over(&Dimension::AMOUNT);
    let liquid = liquid(notes, &table, context);
    let density = table.positive(notes, "density", Expect::Dimension(&density()));
    if matches!(liquid, Some(Liquid::Volume(_))) && table.get("density").is_none() {
        notes.push(
            Diagnostic::fault(
                "missing-key",
                table.key_at("amount").unwrap_or(table.at),
                "a volume of solvent needs its `density`",
            )
            .help("for example density = \"870 kg/m3\""),
        );
    }
    let molar_mass = table.positive(notes, "molar_mass", Expect::Dimension(&per_amount));
    let lower_limit = some_share(notes, &table, "lower_limit");
    let fresh_air = table.positive(notes, "fresh_air", Expect::Dimension(&volume_flow()));
    if table.get("fresh_air").is_none() && !has_fresh_air(context) {
        notes.push(
            Diagnostic::fault(
                "missing-key",
                table.at,
                "nothing says how much fresh air there is",
            )
            .help("add fresh_air = \"1,400 m3/h\" here, or to the `heat` of the station"),
        );
    }
    let source = table.need_text(notes, "source");
    Some(Solvent {
        at: table.at,
        at_most: some_share(notes, &table, "at_most"),
        over: table.positive(notes, "over", TIME),
        air: context.level_at(notes, &table, "air"),
        liquid: liquid?,
        density,
        molar_mass: molar_mass?,
        lower_limit: lower_limit?,
        fresh_air,
        source: source?.text,
    })
}

fn has_fresh_air(context: &Context<'_>) -> bool {
    let heat = context.station().and_then(|station| station.heat.as_ref());
    heat.is_some_and(|heat| heat.fresh_air.is_some())
}

fn liquid(notes: &mut Notes, table: &Table<'_>, context: &Context<'_>) -> Option<Liquid> {
    let either = [Dimension::MASS, Dimension::VOLUME];
    let amount = table.positive(notes, "amount", Expect::OneOf(&either));
    let item = table.text(notes, "item");
    let share = some_share(notes, table, "share");
    let said = |key| table.get(key).is_some();
    if said("amount") == said("item") || (said("amount") && said("share")) {
        notes.push(
            Diagnostic::fault(
                "heat-unclear",
                table.at,
                "cannot tell how much solvent there is",
            )
            .sides(
                "`amount`, or `item` (perhaps with `share`)",
                "neither, or both",
            )
            .help("for example amount = \"6 g\", what one unit of output brings in"),
        );
        return None;
    }
    if said("item") {
        let item = context.taken(notes, &item?)?;
        return Some(Liquid::Taken { item, share });
    }
    let amount = amount?;
    let per_unit = 1.0 / context.operation.output.unit.factor();
    let is_mass = *amount.unit.dimension() == Dimension::MASS;
    let amount = Stated {
        spread: amount.spread.scale(per_unit),
        ..amount
    };
    Some(if is_mass {
        Liquid::Mass(amount)
    } else {
        Liquid::Volume(amount)
    })
}
