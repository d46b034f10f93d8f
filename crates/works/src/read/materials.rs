//! Reading `[material.NAME]`: known substances to start from, foods by their parts, stated properties.

use quantity::{Dimension, Expect};

use super::table::{Notes, Table, Word, positive};
use super::works::{Declared, by_name, energy};
use crate::diagnostic::Diagnostic;
use crate::model::{Food, Material, MaterialId, MaterialName, Mention, Phased, Stated};

/// W/(m K).
fn conductivity() -> Dimension {
    Dimension::POWER
        .over(&Dimension::LENGTH)
        .over(&Dimension::TEMPERATURE)
}

/// J/(kg K).
fn heat_capacity() -> Dimension {
    per_mass().over(&Dimension::TEMPERATURE)
}

/// J/kg.
fn per_mass() -> Dimension {
    energy().over(&Dimension::MASS)
}

/// kg/m³.
pub(super) fn density() -> Dimension {
    Dimension::MASS.over(&Dimension::VOLUME)
}

/// A material by the key that names it: one of the works, or a name left to the engine's library.
pub(super) fn named(
    notes: &mut Notes,
    table: &Table<'_>,
    key: &'static str,
    declared: &Declared,
) -> Option<MaterialName> {
    let word = table.need_text(notes, key)?;
    Some(MaterialName {
        declared: declared.material_names.get(&word.text).map(MaterialId),
        name: word.text,
        at: word.at,
    })
}

/// Reads one material.
pub(super) fn read(notes: &mut Notes, name: &Word, table: &Table<'_>) -> Material {
    let temperature = Expect::Temperature;
    let material = Material {
        name: name.text.clone(),
        at: name.at,
        like: table.text(notes, "like").map(|word| Mention {
            name: word.text,
            at: word.at,
        }),
        food: food(notes, table),
        freezes_from: table.stated(notes, "freezes_from", temperature),
        density: table.positive(notes, "density", Expect::Dimension(&density())),
        conductivity: phased(notes, table, "conductivity", &conductivity()),
        heat_capacity: phased(notes, table, "heat_capacity", &heat_capacity()),
        melts_at: table.stated(notes, "melts_at", temperature),
        latent: table.positive(notes, "latent", Expect::Dimension(&per_mass())),
        source: table.text(notes, "source").map(|word| word.text),
        note: table.text(notes, "note").map(|word| word.text),
    };
    origin(notes, table);
    melting(notes, table, &material);
    freezing(notes, table, &material);
    material
}

/// A property that is the same in both states, or one for each.
fn phased(
    notes: &mut Notes,
    table: &Table<'_>,
    key: &'static str,
    dimension: &Dimension,
) -> Option<Phased> {
    let value = table.get(key)?;
    let expect = Expect::Dimension(dimension);
    if !value.is_table() || value.value.get_ref().get("value").is_some() {
        return table.positive(notes, key, expect).map(Phased::Same);
    }
    let table = value.table(notes, by_name(table.section, key))?;
    table.need(notes, "frozen");
    table.need(notes, "unfrozen");
    let frozen = table.positive(notes, "frozen", expect);
    let unfrozen = table.positive(notes, "unfrozen", expect);
    Some(Phased::Two {
        frozen: frozen?,
        unfrozen: unfrozen?,
    })
}

fn food(notes: &mut Notes, material: &Table<'_>) -> Option<Food> {
    let value = material.get("food")?;
    let table = value.table(notes, by_name(material.section, "food"))?;
    table.need(notes, "water");
    let water = table
        .share(notes, "water")
        .and_then(|water| positive(notes, "water", water));
    let food = Food {
        at: table.at,
        protein: table.share(notes, "protein"),
        fat: table.share(notes, "fat"),
        carbohydrate: table.share(notes, "carbohydrate"),
        fibre: table.share(notes, "fibre"),
        ash: table.share(notes, "ash"),
        water: water?,
    };
    let others = [
        &food.protein,
        &food.fat,
        &food.carbohydrate,
        &food.fibre,
        &food.ash,
    ];
    let sum = food.water.mean() + others.into_iter().flatten().map(Stated::mean).sum::<f64>();
    if sum > 1.0 + 1e-9 {
        notes.push(
            Diagnostic::fault(
                "shares-dont-add-up",
                table.at,
                "the parts of this food come to more than all of it",
            )
            .sides("100 % or less in all", quantity::show_share(sum)),
        );
        return None;
    }
    Some(food)
}

/// A material starts from one thing: a known one, the parts of a food, or all of its properties.
fn origin(notes: &mut Notes, table: &Table<'_>) {
    let said = |key| table.key_at(key).is_some();
    match (said("like"), said("food")) {
        (true, true) => notes.push(
            Diagnostic::fault(
                "material-unclear",
                table.at,
                "cannot tell what this material starts from",
            )
            .sides("one of `like` and `food`", "both"),
        ),
        (false, false) => {
            let missing: Vec<String> = ["density", "conductivity", "heat_capacity"]
                .into_iter()
                .filter(|key| !said(key))
                .map(|key| format!("`{key}`"))
                .collect();
            if missing.is_empty() {
                return;
            }
            notes.push(
                Diagnostic::fault(
                    "material-unclear",
                    table.at,
                    "cannot tell all that heat needs to know of this material",
                )
                .sides(
                    "`like`, `food`, or `density`, `conductivity` and `heat_capacity`",
                    format!("no {}", missing.join(", no ")),
                )
                .help("for example like = \"oak\", or food = { water = \"73 %\", fat = \"7 %\" }"),
            );
        }
        _ => {}
    }
}

/// Melting is said whole, and only of what does not freeze as a food does.
fn melting(notes: &mut Notes, table: &Table<'_>, material: &Material) {
    let said = |key| table.key_at(key).is_some();
    if said("melts_at") != said("latent") {
        notes.push(
            Diagnostic::fault(
                "material-unclear",
                table.at,
                "`melts_at` and `latent` go together",
            )
            .help("for example melts_at = \"54 degC\", latent = \"190 kJ/kg\""),
        );
    }
    if said("food") && said("melts_at") {
        notes.push(
            Diagnostic::fault(
                "material-unclear",
                table.key_at("melts_at").unwrap_or(table.at),
                "a food freezes little by little and has no melting point",
            )
            .help("say where its first ice forms: freezes_from = \"-1.6 degC\""),
        );
    }
    let two = [&material.conductivity, &material.heat_capacity]
        .into_iter()
        .flatten()
        .find_map(|property| match property {
            Phased::Two { frozen, .. } => Some(frozen.at),
            Phased::Same(_) => None,
        });
    if let Some(at) = two.filter(|_| !said("melts_at") && !said("like") && !said("food")) {
        notes.push(
            Diagnostic::fault(
                "material-unclear",
                at,
                "two states need the temperature between them",
            )
            .help("add melts_at = \"54 degC\" and latent = \"190 kJ/kg\", or write one value"),
        );
    }
}

/// Only what has water freezes, and that not above 0 degC.
fn freezing(notes: &mut Notes, table: &Table<'_>, material: &Material) {
    const ICE_POINT_K: f64 = 273.15;
    let said = |key| table.key_at(key).is_some();
    let Some(freezes) = &material.freezes_from else {
        return;
    };
    if !said("food") && !said("like") {
        notes.push(
            Diagnostic::fault(
                "material-unclear",
                freezes.at,
                "only a food freezes little by little",
            )
            .help("say its parts with `food`, or use `melts_at` and `latent`"),
        );
    }
    if freezes.spread.high() > ICE_POINT_K + 1e-9 {
        notes.push(
            Diagnostic::fault(
                "temperature-impossible",
                freezes.at,
                "cannot freeze above 0 degC",
            )
            .sides(
                "0 degC or below, for example -1.6 degC",
                quantity::show(freezes.mean(), &freezes.unit),
            ),
        );
    }
}
