//! Moulding: from what a route and its machine state to the cooling of the thickest wall, the cycle and what the machine must hold.
//!
//! A library's plastic has a range of diffusivities, and walls and temperatures may vary: cooling is found in the middle of all that, and at
//! the slow and the fast end of it.

mod answer;
mod complain;
mod machine;
mod part;

use heat::mould::cycle::{CAUTION, Times, cycle, parts_per_hour};
use works::{Mould, Operation, OperationId, Pace, Stated, Works};

use crate::computed::{Computed, Found, What};
use crate::flow::label;
use crate::heat::substance::Substances;
use crate::heat::{NoHeat, hazards, words};

pub use answer::{ClampLine, MouldPlan, MouldSide, ShotLine, StatedCycle};
pub(crate) use complain::{complaints, explain};
use part::Wall;

/// Works out every moulding.
pub fn work_out(works: &Works) -> (Vec<MouldPlan>, Vec<NoHeat>) {
    let substances = Substances::new(works);
    let mut plans = Vec::new();
    let mut none = Vec::new();
    for (number, operation) in works.operations.iter().enumerate() {
        let Some(mould) = &operation.mould else {
            continue;
        };
        match plan(works, &substances, OperationId(number), operation, mould) {
            Ok(plan) => plans.push(plan),
            Err(no) => none.push(no),
        }
    }
    (plans, none)
}

fn mean(stated: Option<&Stated>) -> f64 {
    stated.map_or(0.0, Stated::mean)
}

fn plan(
    works: &Works,
    substances: &Substances<'_>,
    id: OperationId,
    operation: &Operation,
    mould: &Mould,
) -> Result<MouldPlan, NoHeat> {
    let none = |fault: heat::Fault| NoHeat::engine(mould.at, &fault);
    let walls = part::walls(works, substances, operation, mould)?;
    let units = units(operation, mould);
    let shot_kg = machine::shot_kg(works, operation, units);
    let plastify_s = machine::plastify_s(works, operation, shot_kg);
    let mut sides = Vec::with_capacity(walls.len());
    for wall in &walls {
        sides.push(side(mould, wall, plastify_s).map_err(none)?);
    }
    let likely_s = sides[0].cycle_s;
    let stated = match stated_cycle_s(operation, units) {
        Some(cycle_s) => Some(stated(mould, &walls, &sides, cycle_s).map_err(none)?),
        None => None,
    };
    let planned_s = match &stated {
        Some(stated) if mould.numbers == works::Numbers::Stated => stated.cycle_s,
        _ => likely_s,
    };
    let effectiveness = effectiveness(works, operation);
    let per_hour =
        |cycle_s: f64| parts_per_hour(cycle_s, 1, effectiveness).map(|cycles| cycles * units);
    let mut plan = MouldPlan {
        operation: id,
        name: label(works, id),
        at: mould.at,
        words: part::in_words(operation, mould),
        fill_s: mean(mould.fill.as_ref()),
        pack_s: mean(mould.pack.as_ref()),
        open_s: mean(mould.open.as_ref()),
        plastify_s,
        units,
        per_hour: per_hour(likely_s).map_err(none)?,
        per_hour_stated: match &stated {
            Some(stated) => Some(per_hour(stated.cycle_s).map_err(none)?),
            None => None,
        },
        clamp: machine::clamp(works, operation, mould).map_err(none)?,
        shot: machine::shot(works, operation, mould, shot_kg, planned_s).map_err(none)?,
        stated,
        sides,
        sentences: Vec::new(),
        cautions: cautions(works, operation),
    };
    plan.sentences = sentences(operation, &plan);
    Ok(plan)
}

fn cautions(works: &Works, operation: &Operation) -> Vec<String> {
    let mut all = vec![
        format!("Moulding: {CAUTION}."),
        "Cooling is that of the thickest wall between walls of one temperature and is counted after packing, though the part cools while it is \
         packed as well; gates, runners, corners and air gaps are not in it. A trial decides."
            .to_owned(),
    ];
    all.extend(hazards(works, operation));
    all
}

/// Share of the time that comes out as good units.
fn effectiveness(works: &Works, operation: &Operation) -> f64 {
    let stops = operation
        .station
        .and_then(|station| works.station(station).stops.as_ref());
    let runs = stops.map_or(1.0, works::Stops::availability);
    (runs * operation.good.mean).clamp(0.0, 1.0)
}

/// Base units of output from one cycle: what one recipe makes where the route counts a shot as one, else one for each cavity.
fn units(operation: &Operation, mould: &Mould) -> f64 {
    use quantity::Dimension;
    let output = &operation.output;
    let measured = [
        Dimension::MASS,
        Dimension::LENGTH,
        Dimension::AREA,
        Dimension::VOLUME,
    ];
    let counted = !measured.contains(output.unit.dimension());
    let one = (output.per_recipe / output.unit.factor() - 1.0).abs() < 1e-9;
    match mould.cavities {
        Some(cavities) if counted && one => cavities as f64 * output.unit.factor(),
        _ => output.per_recipe,
    }
}

fn stated_cycle_s(operation: &Operation, units: f64) -> Option<f64> {
    match &operation.pace {
        Pace::Each(time) => Some(time.mean() * units),
        Pace::Flow { rate, .. } => Some(units / rate.mean()),
        Pace::Load(_) | Pace::None => None,
    }
}

fn side(mould: &Mould, wall: &Wall, plastify_s: Option<f64>) -> Result<MouldSide, heat::Fault> {
    let cools = wall.cools(mould.place)?;
    let found = cycle(&Times {
        fill_s: mean(mould.fill.as_ref()),
        pack_s: mean(mould.pack.as_ref()),
        cool_s: cools.exact_s,
        plastify_s: plastify_s.unwrap_or(0.0),
        handle_s: mean(mould.open.as_ref()),
    })?;
    Ok(MouldSide {
        name: wall.name.to_owned(),
        wall_m: wall.thick_m,
        diffusivity_m2_s: wall.melt.diffusivity_m2_s,
        melt_k: wall.melt.melt_k,
        mould_k: wall.melt.mould_k,
        eject_k: wall.melt.eject_k,
        cool_s: cools.exact_s,
        first_term_s: cools.first_term_s,
        cycle_s: found.lasts_s,
        waits_for_screw: found.waits_for == heat::mould::cycle::WaitsFor::Plastifying,
        cooling_share: found.cooling_share,
    })
}

fn stated(
    mould: &Mould,
    walls: &[Wall],
    sides: &[MouldSide],
    cycle_s: f64,
) -> Result<StatedCycle, heat::Fault> {
    let busy_s = mean(mould.fill.as_ref()) + mean(mould.pack.as_ref()) + mean(mould.open.as_ref());
    let cools_s = (cycle_s - busy_s).max(0.0);
    let mut ends_k = Vec::with_capacity(walls.len());
    for wall in walls {
        ends_k.push(wall.after_k(mould.place, cools_s)?);
    }
    let longest = sides.iter().map(|side| side.cycle_s).fold(0.0, f64::max);
    Ok(StatedCycle {
        cycle_s,
        cools_s,
        ends_k,
        met: cycle_s >= sides[0].cycle_s,
        for_all: cycle_s >= longest,
    })
}

/// `22.5 s likely, 19.8 s to 26 s`.
fn cycles_words(plan: &MouldPlan, of: fn(&MouldSide) -> f64) -> String {
    let times = plan.sides.iter().map(of);
    let least = times.clone().fold(f64::INFINITY, f64::min);
    let most = times.fold(0.0, f64::max);
    let likely = words::time(of(plan.likely()));
    if plan.sides.len() == 1 {
        return likely;
    }
    format!(
        "{likely} in the middle of what is stated, {} to {} at its ends",
        words::time(least),
        words::time(most)
    )
}

fn sentences(operation: &Operation, plan: &MouldPlan) -> Vec<String> {
    let mut all = vec![format!(
        "{}: cooling takes {}",
        plan.words,
        cycles_words(plan, |side| side.cool_s)
    )];
    let waits = if plan.likely().waits_for_screw {
        "; it waits for the screw"
    } else {
        ""
    };
    all.push(format!(
        "a cycle takes {}{waits}",
        cycles_words(plan, |side| side.cycle_s)
    ));
    if let Some(stated) = &plan.stated {
        all.push(stated_words(plan, stated));
    }
    let unit = &operation.output.unit;
    let stated = plan.per_hour_stated.map_or_else(String::new, |stated| {
        format!(", {} with the stated one", quantity::show(stated, unit))
    });
    all.push(format!(
        "{} good in an hour with the cycle found{stated}",
        quantity::show(plan.per_hour, unit)
    ));
    all.extend(machine::sentences(plan));
    all
}

fn stated_words(plan: &MouldPlan, stated: &StatedCycle) -> String {
    let coldest = stated.ends_k.iter().copied().fold(f64::INFINITY, f64::min);
    let hottest = stated.ends_k.iter().copied().fold(0.0, f64::max);
    let comes_to = if plan.sides.len() == 1 {
        words::temperature(coldest)
    } else {
        format!(
            "{} ({} to {})",
            words::temperature(stated.ends_k[0]),
            words::temperature(coldest),
            words::temperature(hottest)
        )
    };
    let verdict = match (stated.met, stated.for_all) {
        (_, true) => "does for every wall",
        (true, false) => "does in the middle of what is stated and not at its slow end",
        (false, false) => "is too short",
    };
    format!(
        "the stated {} leave {} to cool and the wall comes down to {comes_to}: {verdict}",
        words::time(stated.cycle_s),
        words::time(stated.cools_s)
    )
}

/// The cycles found, to be held against the stated pace. A longer one costs time and contradicts nothing.
pub fn computed(works: &Works, plans: &[MouldPlan]) -> Vec<Computed> {
    plans
        .iter()
        .filter_map(|plan| {
            let mould = works.operation(plan.operation).mould.as_ref()?;
            Some(Computed::of(
                works,
                Found {
                    operation: plan.operation,
                    what: What::Pace,
                    value: plan.likely().cycle_s / plan.units,
                    each_sd: None,
                    lots_sd: None,
                    how: format!(
                        "moulding: fill, pack, cool {}, open; {} from one cycle",
                        words::time(plan.likely().cool_s),
                        quantity::show(plan.units, &works.operation(plan.operation).output.unit)
                    ),
                    one_sided: true,
                    numbers: mould.numbers,
                    at: mould.at,
                },
            ))
        })
        .collect()
}
