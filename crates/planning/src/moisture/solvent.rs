//! Solvent: how fast it goes off, and the fresh air that an estimate asks for. A caution, never a permission.

use heat::mass::solvent::{self as engine, Derating, Evaporation, FreshAir};
use quantity::Dimension;
use works::{Liquid, Operation, OperationId, Pace, Solvent, Stated, Works};

use super::answer::SolventPlan;
use super::share::percent;
use crate::flow::label;
use crate::heat::extremes::{end, ends, level_ends};
use crate::heat::{NoHeat, hazards, words};

/// Share of the lower limit where the works states none.
const SHARE: f64 = 0.25;
const SHARE_BY: &str =
    "25 % of the lower limit as in NFPA 86, quoted from memory; the edition in force comes first";

/// Air at sea level, Pa.
const SEA_LEVEL_PA: f64 = 101_325.0;

/// Works out the fresh air of one operation.
pub(super) fn plan(
    works: &Works,
    id: OperationId,
    operation: &Operation,
    solvent: &Solvent,
) -> Result<SolventPlan, NoHeat> {
    let none = |fault: heat::Fault| NoHeat::engine(solvent.at, &fault);
    let each_kg = each_kg(works, operation, solvent)?;
    let going = going(operation, solvent, each_kg)?;
    let air_k = air_k(operation, solvent);
    let share = solvent
        .at_most
        .as_ref()
        .map_or(SHARE, |share| end(share, false));
    let lower_limit = end(&solvent.lower_limit, false);
    // Only density over molar mass counts: a mass of liquid is the same vapour whatever its density.
    let density_kg_m3 = solvent.density.as_ref().map_or(1000.0, Stated::mean);
    let liquid = engine::Solvent {
        density_kg_m3,
        molar_mass_kg_mol: solvent.molar_mass.mean(),
        lower_limit,
    };
    let found = engine::fresh_air(&Evaporation {
        solvents: vec![(liquid, going.kg_s / density_kg_m3)],
        peak_factor: 1.0,
        air_k,
        pressure_pa: SEA_LEVEL_PA,
        share_of_limit: share,
        derating: Derating::Zabetakis,
    })
    .map_err(none)?;
    let stated_m3_s = stated(works, operation, solvent)?;
    let covers = stated_m3_s / found.fresh_m3_s;
    Ok(SolventPlan {
        operation: id,
        name: label(works, id),
        at: solvent.at,
        goes_off_kg_s: going.kg_s,
        over_s: going.over_s,
        vapour_m3_s: found.vapour_m3_s,
        air_k,
        listed_limit: found.listed_limit,
        hot_limit: found.hot_limit,
        share,
        share_by: match &solvent.at_most {
            Some(stated) => stated
                .source
                .clone()
                .unwrap_or_else(|| "stated by the works".to_owned()),
            None => SHARE_BY.to_owned(),
        },
        needed_m3_s: found.fresh_m3_s,
        needed_hot_m3_s: found.hot_m3_s,
        stated_m3_s,
        comes_to: found.vapour_m3_s / (found.vapour_m3_s + stated_m3_s) / found.hot_limit,
        covers,
        met: covers >= 1.0,
        sentence: sentence(&found, &going, share, stated_m3_s, covers),
        source: solvent.source.clone(),
        cautions: cautions(works, operation, solvent, &going, covers),
        words: going.words,
    })
}

/// kg of solvent that one base unit of output brings in, at its most.
fn each_kg(works: &Works, operation: &Operation, solvent: &Solvent) -> Result<f64, NoHeat> {
    let density = || {
        let density = solvent.density.as_ref().map(|density| end(density, true));
        density
            .ok_or_else(|| NoHeat::unclear(solvent.at, "a volume of solvent needs its `density`"))
    };
    match &solvent.liquid {
        Liquid::Mass(kg) => Ok(end(kg, true)),
        Liquid::Volume(m3) => Ok(end(m3, true) * density()?),
        Liquid::Taken { item, share } => {
            let take = operation.takes.iter().find(|take| take.item == *item);
            let item = works.item(*item);
            let amount = take.map_or(0.0, |take| take.amount.mean());
            let share = share.as_ref().map_or(1.0, |share| end(share, true));
            let is_volume = *item.unit.dimension() == Dimension::VOLUME;
            let kg_per_unit = match item.kg_per_unit() {
                _ if is_volume && solvent.density.is_some() => density()?,
                Some(mass) => mass,
                None => {
                    let why = format!("how much solvent `{}` is needs its mass", item.name);
                    return Err(NoHeat::unclear(solvent.at, &why));
                }
            };
            Ok(amount * kg_per_unit * share)
        }
    }
}

/// How fast solvent goes off.
struct Going {
    kg_s: f64,
    over_s: Option<f64>,
    words: String,
}

fn going(operation: &Operation, solvent: &Solvent, each_kg: f64) -> Result<Going, NoHeat> {
    let unit = &operation.output.unit;
    let each = format!(
        "{} g/{}",
        quantity::show_number(significant(each_kg * unit.factor() * 1e3)),
        unit.symbol()
    );
    match &operation.pace {
        Pace::Load(load) => {
            let holds = end(&load.holds, true);
            let over = match &solvent.over {
                Some(over) => end(over, false),
                None => end(&load.dwell, false),
            };
            Ok(Going {
                kg_s: holds * each_kg / over,
                over_s: Some(over),
                words: format!(
                    "{} at once with {each} over {}",
                    quantity::show(holds, unit),
                    words::time(over)
                ),
            })
        }
        Pace::Flow { rate, .. } => {
            let rate = end(rate, true);
            Ok(Going {
                kg_s: rate * each_kg,
                over_s: None,
                words: format!("{each}, without a break"),
            })
        }
        Pace::Each(time) => {
            // One after the other is even, unless each is done before the next comes.
            let pace = end(time, false);
            let over = solvent.over.as_ref().map_or(pace, |over| end(over, false));
            Ok(Going {
                kg_s: each_kg / pace.min(over),
                over_s: (over < pace).then_some(over),
                words: format!("{each}, one after the other"),
            })
        }
        Pace::None => Err(NoHeat::unclear(
            solvent.at,
            "how fast solvent goes off needs the pace of its operation",
        )),
    }
}

/// The hottest that the air may be; that of the heat of the operation where the solvent says none, or a room's.
fn air_k(operation: &Operation, solvent: &Solvent) -> f64 {
    if let Some(air) = &solvent.air {
        return level_ends(operation, air).1;
    }
    let stages = operation.heat.iter().flat_map(|heat| &heat.stages);
    let levels = stages.flat_map(|stage| std::iter::once(&stage.air).chain(&stage.to));
    levels
        .map(|level| level_ends(operation, level).1)
        .fold(engine::FRESH_AIR_K, f64::max)
}

/// Fresh air as stated, at its least, m³/s.
fn stated(works: &Works, operation: &Operation, solvent: &Solvent) -> Result<f64, NoHeat> {
    let station = operation.station.map(|id| works.station(id));
    let chamber = station.and_then(|station| station.heat.as_ref());
    let air = solvent
        .fresh_air
        .as_ref()
        .or_else(|| chamber.and_then(|chamber| chamber.fresh_air.as_ref()));
    air.map(|air| ends(air).0)
        .ok_or_else(|| NoHeat::unclear(solvent.at, "nothing says how much fresh air there is"))
}

fn significant(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

/// `886 m3/h`.
pub(super) fn air_words(m3_s: f64) -> String {
    format!("{} m3/h", quantity::show_number((m3_s * 3600.0).round()))
}

fn sentence(found: &FreshAir, going: &Going, share: f64, stated_m3_s: f64, covers: f64) -> String {
    let against = if covers >= 1.0 {
        format!(
            "{} is stated, {} times as much",
            air_words(stated_m3_s),
            quantity::show_number(significant(covers))
        )
    } else {
        format!(
            "{} is stated, {} of it: too little",
            air_words(stated_m3_s),
            percent(significant(covers))
        )
    };
    format!(
        "{}: the estimate asks for {} of fresh air to stay at {} of the lower limit; {against}. No permission: {}.",
        going.words,
        air_words(found.fresh_m3_s),
        percent(share),
        engine::CAUTION
    )
}

fn cautions(
    works: &Works,
    operation: &Operation,
    solvent: &Solvent,
    going: &Going,
    covers: f64,
) -> Vec<String> {
    let mut all = vec![format!(
        "Solvent: {}. Limits: {}. Method: {}.",
        engine::CAUTION,
        solvent.source,
        engine::SOURCE
    )];
    if going.over_s.is_some() {
        all.push(format!(
            "Solvent is counted as if it went off evenly over its time; what flashes off n times as fast needs n times the air, and what is \
             stated is {} times that of the even one.",
            quantity::show_number(significant(covers))
        ));
    }
    all.push(
        "Pockets, spills, a fan that fails, purging, interlocks and relief are not in it."
            .to_owned(),
    );
    all.extend(hazards(works, operation));
    all
}
