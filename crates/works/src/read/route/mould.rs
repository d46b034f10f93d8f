//! Reading the moulding of a part: its wall, its temperatures, its times.

use quantity::{Dimension, Expect};

use super::super::materials;
use super::super::table::{Notes, Table};
use super::super::works::by_name;
use super::level::{Context, numbers, place};
use super::moisture::diffusivity;
use crate::diagnostic::Diagnostic;
use crate::model::{Conducts, Mould, Place};

/// The moulding of a part, if it is one.
pub(super) fn read(notes: &mut Notes, context: &Context<'_>) -> Option<Mould> {
    let value = context.table.get("mould")?;
    let table = value.table(notes, by_name(context.table.section, "mould"))?;
    let time = Expect::Dimension(&Dimension::TIME);
    table.need(notes, "wall");
    let wall = table.positive(notes, "wall", Expect::Dimension(&Dimension::LENGTH));
    let conducts = conducts(notes, &table, context);
    let melt = context.need_level(notes, &table, "melt");
    let mould = context.need_level(notes, &table, "mould");
    let eject = context.need_level(notes, &table, "eject");
    let area = table.positive(notes, "area", Expect::Dimension(&Dimension::AREA));
    let pressure = table.positive(notes, "pressure", Expect::Dimension(&Dimension::PRESSURE));
    if table.get("area").is_some() != table.get("pressure").is_some() {
        notes.push(
            Diagnostic::fault("missing-key", table.at, "`area` and `pressure` go together")
                .help("for example area = \"46 cm2\", pressure = \"45 MPa\""),
        );
    }
    let mould = Mould {
        at: table.at,
        place: place(notes, &table, &[Place::Mean, Place::Core]).unwrap_or(Place::Mean),
        area,
        pressure,
        cavities: table.whole(notes, "cavities", 1),
        fill: table.not_negative(notes, "fill", time),
        pack: table.not_negative(notes, "pack", time),
        open: table.not_negative(notes, "open", time),
        residence: table.positive(notes, "residence", time),
        numbers: numbers(notes, &table),
        wall: wall?,
        conducts: conducts?,
        melt: melt?,
        mould: mould?,
        eject: eject?,
    };
    in_order(notes, &mould, context);
    Some(mould)
}

fn conducts(notes: &mut Notes, table: &Table<'_>, context: &Context<'_>) -> Option<Conducts> {
    match (
        table.get("of").is_some(),
        table.get("diffusivity").is_some(),
    ) {
        (true, false) => materials::named(notes, table, "of", context.declared).map(Conducts::Of),
        (false, true) => table
            .positive(notes, "diffusivity", Expect::Dimension(&diffusivity()))
            .map(Conducts::Diffusivity),
        _ => {
            notes.push(
                Diagnostic::fault("heat-unclear", table.at, "cannot tell how the melt cools")
                    .sides("one of `of` and `diffusivity`", "neither, or both")
                    .help("for example of = \"nylon\""),
            );
            None
        }
    }
}

/// A part is taken out colder than its melt and hotter than its mould.
fn in_order(notes: &mut Notes, mould: &Mould, context: &Context<'_>) {
    let aim = |level: &crate::model::Level| {
        let stated = level.aim(context.operation);
        (stated.mean(), quantity::show(stated.mean(), &stated.unit))
    };
    let (melt, eject, cold) = (aim(&mould.melt), aim(&mould.eject), aim(&mould.mould));
    if cold.0 < eject.0 && eject.0 < melt.0 {
        return;
    }
    notes.push(
        Diagnostic::fault(
            "temperature-impossible",
            mould.eject.at(),
            "a part is taken out colder than its melt and hotter than its mould",
        )
        .sides(
            format!("between the mould's {} and the melt's {}", cold.1, melt.1),
            eject.1,
        ),
    );
}
