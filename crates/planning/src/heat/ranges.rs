//! Materials that go beyond the temperatures which their numbers are for: a word of caution for each.

use heat::library;
use heat::run::Run;
use works::{BodyForm, Cover, MaterialName};

use super::{Recipe, words};

/// Where water boils at sea level, K: a food that comes so far gives off steam, which no curve of these has in it.
const BOILS_K: f64 = heat::ICE_POINT_K + 100.0;

/// Temperatures so little beyond a range are not worth a word, K.
const SLACK_K: f64 = 0.5;

/// A caution for every material whose numbers are asked beyond what they are for.
pub(super) fn cautions(recipe: &Recipe<'_>, runs: &[Run]) -> Vec<String> {
    let (low, high) = met(runs);
    let mut cautions: Vec<String> = named(recipe)
        .into_iter()
        .filter_map(|name| of_one(recipe, name, low, high))
        .collect();
    cautions.dedup();
    cautions
}

/// The coldest and the hottest that any piece gets, K.
fn met(runs: &[Run]) -> (f64, f64) {
    let values = runs.iter().flat_map(|run| {
        [&run.history.first, &run.history.middle, &run.history.last]
            .into_iter()
            .flat_map(|trace| trace.samples().iter().map(|sample| sample.value))
    });
    values.fold((f64::MAX, f64::MIN), |(low, high), value| {
        (low.min(value), high.max(value))
    })
}

/// Every material of the bodies and of what lies over them.
fn named<'w>(recipe: &Recipe<'w>) -> Vec<&'w MaterialName> {
    let mut names = Vec::new();
    for body in &recipe.heat.bodies {
        match &body.form {
            BodyForm::Slab { layers, .. } => names.extend(layers.iter().map(|layer| &layer.of)),
            BodyForm::Cylinder { of, .. }
            | BodyForm::Sphere { of, .. }
            | BodyForm::Brick { of, .. }
            | BodyForm::Can { of, .. } => names.push(of),
        }
        if let Some(Cover::Layers(layers)) = &body.cover {
            names.extend(layers.iter().map(|layer| &layer.of));
        }
    }
    names
}

fn of_one(recipe: &Recipe<'_>, name: &MaterialName, low: f64, high: f64) -> Option<String> {
    let declared = name.declared.map(|id| recipe.works.material(id));
    if declared.is_some_and(|material| material.food.is_some()) {
        return (high > BOILS_K + SLACK_K).then(|| {
            format!(
                "{}: it gets to {}, and the steam of a food beyond {} is not in the calculation.",
                name.name,
                words::temperature(high),
                words::temperature(BOILS_K)
            )
        });
    }
    // What a works states of its own, beside `like`, is its own to answer for.
    let entry = match declared {
        None => library::find(&name.name),
        Some(material) => {
            let stated = material.conductivity.is_some() && material.heat_capacity.is_some();
            let like = material.like.as_ref().filter(|_| !stated);
            like.and_then(|like| library::find(&like.name))
        }
    }?;
    let [least, most] = entry.range_k;
    (low < least - SLACK_K || high > most + SLACK_K).then(|| {
        format!(
            "{}: its numbers are for {} to {}, and here it is between {} and {} ({}).",
            name.name,
            words::temperature(least),
            words::temperature(most),
            words::temperature(low),
            words::temperature(high),
            entry.source
        )
    })
}
