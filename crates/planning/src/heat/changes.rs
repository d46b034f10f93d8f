//! What a change does: the window at other temperatures, and with a thicker piece, weaker air, a colder start.

use heat::body::{Body, Layer};
use heat::need::{Measure, Need};
use heat::programme::{Face, Programme, Stage};
use heat::run::Case;
use heat::window::{Outlook, map as engine_map, outlook};
use heat::{Fault, follow};

use super::answer::{ChangeLine, MapLine};
use super::{Recipe, words};

/// Rows of a map.
const ROWS: usize = 11;

/// The map goes to either side by this share of what the air and the piece differ at first, and at least so far, K.
const SPAN: f64 = 0.15;
const LEAST_SPAN_K: f64 = 3.0;

/// Rows of a map worked out at once.
const THREADS: usize = 2;

/// Changes looked at: share of thickness, coefficient and dwell; K of air and start.
const SHARE: f64 = 0.1;
const WEAKER: f64 = 0.2;
const AIR_K: f64 = 5.0;
const START_K: f64 = 2.0;

/// Windows at other temperatures of the air.
pub(super) fn map(recipe: &Recipe<'_>) -> Result<Vec<MapLine>, Fault> {
    let stage = recipe.longest_stage();
    let air = recipe.heat.stages[stage].to.as_ref();
    let air = air.unwrap_or(&recipe.heat.stages[stage].air);
    let air_k = air.aim(recipe.operation).mean();
    let span = (SPAN * (air_k - recipe.heat.from.mean()).abs()).max(LEAST_SPAN_K);
    let half = (ROWS / 2) as f64;
    let shifts: Vec<f64> = (0..ROWS)
        .map(|row| span * (row as f64 - half) / half)
        .collect();
    let rows = engine_map(
        &recipe.cases(),
        &recipe.engine_needs(),
        recipe.dwell.vary,
        &shifts,
        &recipe.quick,
        THREADS,
    )?;
    Ok(rows
        .iter()
        .map(|row| line(recipe, air_k + row.shift_k, &row.outlook))
        .collect())
}

fn line(recipe: &Recipe<'_>, air_k: f64, outlook: &Outlook) -> MapLine {
    let (low, high) = outlook.looked_at_s;
    let mut line = MapLine {
        air_k,
        enough_s: Some(low),
        most_s: None,
        never_safe: false,
        together: outlook.window.is_some(),
    };
    let mut most = high;
    for needs in &outlook.met {
        for (stretches, asked) in needs.iter().zip(&recipe.asked) {
            match (stretches.first(), stretches.last()) {
                (Some(first), Some(last)) => {
                    line.enough_s = line.enough_s.map(|enough| enough.max(first.0));
                    most = most.min(last.1);
                }
                _ if only_gets_worse(&asked.need) => line.never_safe = true,
                _ => line.enough_s = None,
            }
        }
    }
    line.enough_s = line.enough_s.map(|enough| recipe.total_s(enough));
    line.most_s = (most < high).then(|| recipe.total_s(most));
    line
}

/// Whether a longer dwell can only break a need: what is never met was broken from the first.
fn only_gets_worse(need: &Need) -> bool {
    match need.measure {
        Measure::Lowest => need.at_least.is_some(),
        Measure::Final => false,
        _ => need.at_least.is_none(),
    }
}

/// Each change by itself.
pub(super) fn changes(recipe: &Recipe<'_>) -> Result<Vec<ChangeLine>, Fault> {
    let percent = |share: f64| quantity::show_share(share);
    let (hotter, colder) = (
        format!("{} hotter", words::difference(AIR_K)),
        format!("{} colder", words::difference(AIR_K)),
    );
    let start = if recipe.warms { -START_K } else { START_K };
    let side = if recipe.warms { "colder" } else { "hotter" };
    let vary = recipe.dwell.vary;
    let dwell = |share: f64| {
        move |case: &Case| -> Result<Case, Fault> {
            let dwell_s = vary.dwell_s(&case.programme)? * share;
            Ok(Case {
                programme: vary.with_dwell(&case.programme, dwell_s)?,
                ..case.clone()
            })
        }
    };
    let mut lines = Vec::new();
    let mut add = |change: String, with: &dyn Fn(&Case) -> Result<Case, Fault>| {
        one(recipe, change, with).map(|line| lines.push(line))
    };
    add(format!("air {hotter}"), &|case| warmer(case, AIR_K))?;
    add(format!("air {colder}"), &|case| warmer(case, -AIR_K))?;
    add(
        format!("dwell {} longer", percent(SHARE)),
        &dwell(1.0 + SHARE),
    )?;
    add(
        format!("dwell {} shorter", percent(SHARE)),
        &dwell(1.0 - SHARE),
    )?;
    add(format!("pieces {} thicker", percent(SHARE)), &thicker)?;
    add(
        format!("air {} weaker on the face", percent(WEAKER)),
        &weaker,
    )?;
    add(
        format!("pieces come in {} {side}", words::difference(START_K)),
        &|case| {
            Ok(Case {
                from_k: case.from_k + start,
                ..case.clone()
            })
        },
    )?;
    Ok(lines)
}

fn one(
    recipe: &Recipe<'_>,
    change: String,
    with: &dyn Fn(&Case) -> Result<Case, Fault>,
) -> Result<ChangeLine, Fault> {
    let cases: Result<Vec<Case>, Fault> = recipe.bound.iter().map(|b| with(&b.case)).collect();
    let cases = cases?;
    let needs = recipe.engine_needs();
    let found = outlook(&cases, &needs, recipe.dwell.vary, &recipe.quick)?;
    let (need, margin, met) = tightest(recipe, &cases, &needs)?;
    let window = found.window;
    Ok(ChangeLine {
        change,
        shortest_s: window
            .filter(|window| window.shortest_by.is_some())
            .map(|window| recipe.total_s(window.shortest_s)),
        longest_s: window
            .and_then(|window| window.longest_s)
            .map(|longest| recipe.total_s(longest)),
        margin,
        need,
        met,
    })
}

/// The need that is nearest to its limit, or farthest beyond it: by share of the limit for what is counted from nought,
/// by share of the whole way for temperatures. With its margin, and whether all are met.
fn tightest(
    recipe: &Recipe<'_>,
    cases: &[Case],
    needs: &[Need],
) -> Result<(usize, f64, bool), Fault> {
    let mut tightest = (0, f64::INFINITY, f64::INFINITY);
    let mut met = true;
    for case in cases {
        let run = follow(case, &recipe.quick)?;
        for (number, need) in needs.iter().enumerate() {
            let value = need.measure.along(need.place.of(&run.history))?.end();
            let Some(margin) = need.margin(value) else {
                continue;
            };
            met &= need.allows(value);
            let relative = margin / recipe.scale_of(number);
            if relative < tightest.2 {
                tightest = (number, margin, relative);
            }
        }
    }
    Ok((tightest.0, tightest.1, met))
}

fn warmer(case: &Case, by_k: f64) -> Result<Case, Fault> {
    let stages = case.programme.stages().iter();
    Ok(Case {
        programme: Programme::new(stages.map(|stage| stage.warmer(by_k)).collect())?,
        ..case.clone()
    })
}

fn thicker(case: &Case) -> Result<Case, Fault> {
    let layers = case.body.layers().iter().map(|layer| Layer {
        thick_m: layer.thick_m * (1.0 + SHARE),
        material: layer.material.clone(),
    });
    Ok(Case {
        body: Body::new(case.body.form(), layers.collect())?,
        ..case.clone()
    })
}

fn weaker(case: &Case) -> Result<Case, Fault> {
    let weak = |face: Face| match face {
        Face::Open {
            air,
            walls,
            coefficient_w_m2_k,
            emissivity,
        } => Face::Open {
            air,
            walls,
            coefficient_w_m2_k: coefficient_w_m2_k * (1.0 - WEAKER),
            emissivity,
        },
        other => other,
    };
    let stages = case.programme.stages().iter().map(|stage| Stage {
        lasts_s: stage.lasts_s,
        first: weak(stage.first),
        last: weak(stage.last),
    });
    Ok(Case {
        programme: Programme::new(stages.collect())?,
        ..case.clone()
    })
}
