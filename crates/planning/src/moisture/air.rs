//! The state of the air that dries.

use heat::mass::moist_air::{Known, moist_air};
use works::{Damp, Drying, Operation, Stated};

use super::answer::AirLine;
use super::share::percent;
use crate::heat::extremes::level_ends;
use crate::heat::{NoHeat, words};

/// Air at sea level, Pa.
const SEA_LEVEL_PA: f64 = 101_325.0;

/// The air as aimed at, and at the ends of what it may be.
pub(super) fn lines(operation: &Operation, drying: &Drying) -> Result<Vec<AirLine>, NoHeat> {
    let (Some(air), Some(damp)) = (&drying.air, &drying.damp) else {
        return Ok(Vec::new());
    };
    let pressure_pa = drying.pressure.as_ref().map_or(SEA_LEVEL_PA, Stated::mean);
    let none = |fault: heat::Fault| NoHeat::engine(drying.at, &fault);
    let level = match damp {
        Damp::Humidity(level) | Damp::WetBulb(level) => level,
    };
    let known = |value: f64| match damp {
        Damp::Humidity(_) => Known::RelativeHumidity(value),
        Damp::WetBulb(_) => Known::WetBulb(value),
    };
    let (cold, hot) = level_ends(operation, air);
    let (dry, wet) = level_ends(operation, level);
    let aims = (air.aim(operation).mean(), level.aim(operation).mean());
    let mut lines = vec![("as aimed at", aims.0, aims.1)];
    if cold < hot || dry < wet {
        lines.push(("where it dries least", cold, wet.min(most_damp(damp, cold))));
        lines.push(("where it dries most", hot, dry));
    }
    lines
        .into_iter()
        .map(|(name, at_k, damp)| line(name, at_k, known(damp), pressure_pa).map_err(none))
        .collect()
}

/// Air cannot be damper than full: 100 %, or a wet thermometer that reads what a dry one does.
fn most_damp(damp: &Damp, at_k: f64) -> f64 {
    match damp {
        Damp::Humidity(_) => 1.0,
        Damp::WetBulb(_) => at_k,
    }
}

fn line(name: &str, at_k: f64, known: Known, pressure_pa: f64) -> Result<AirLine, heat::Fault> {
    let air = moist_air(at_k, known, pressure_pa)?;
    let grams = (air.humidity_ratio * 1e4).round() / 10.0;
    Ok(AirLine {
        name: name.to_owned(),
        dry_bulb_k: air.dry_bulb_k,
        relative_humidity: air.relative_humidity,
        humidity_ratio: air.humidity_ratio,
        wet_bulb_k: air.wet_bulb_k,
        dew_point_k: air.dew_point_k,
        enthalpy_j_kg: air.enthalpy_j_kg,
        volume_m3_kg: air.volume_m3_kg,
        sentence: format!(
            "air {name}, {} at {}: {} g of water in a kg of dry air, wet bulb {}, dew point {}: the piece dries on {} between dry and wet",
            words::temperature(air.dry_bulb_k),
            percent((air.relative_humidity * 1e3).round() / 1e3),
            quantity::show_number(grams),
            words::temperature(air.wet_bulb_k),
            words::temperature(air.dew_point_k),
            words::difference(air.dry_bulb_k - air.wet_bulb_k)
        ),
    })
}
