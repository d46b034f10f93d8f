//! The works with measured numbers in place of stated ones.

use quantity::{Spread, Unit};
use works::{Operation, Pace, ReadingOf, Stated, Works, Yield};

use super::Held;
use crate::computed;

/// The works as it was measured: every number with enough readings is replaced by the mean and
/// standard deviation of its readings. Its source says so.
pub fn effective(works: &Works, held: &[Held]) -> Works {
    let mut works = works.clone();
    for one in held.iter().filter(|one| one.enough()) {
        if let Some(of) = one.of() {
            replace(&mut works, of, one);
        }
    }
    works
}

fn replace(works: &mut Works, of: &ReadingOf, held: &Held) {
    match of {
        ReadingOf::Pace(id) => pace(&mut works.operations[id.0].pace, held),
        ReadingOf::Good(id) => share(&mut works.operations[id.0].good, held),
        ReadingOf::Keeps(id) => share(&mut works.operations[id.0].keeps, held),
        ReadingOf::Makes(id) => makes(&mut works.operations[id.0], held),
        ReadingOf::Run(id) => {
            if let Some(stops) = &mut works.stations[id.0].stops {
                stops.run = stated(held, &stops.run.unit);
            }
        }
        ReadingOf::Repair(id) => {
            if let Some(stops) = &mut works.stations[id.0].stops {
                stops.repair = stated(held, &stops.repair.unit);
            }
        }
        ReadingOf::Mass(id) => {
            let item = &mut works.items[id.0];
            let unit = item.mass.as_ref().map_or_else(
                || Unit::base(&quantity::Dimension::MASS),
                |m| m.unit.clone(),
            );
            item.mass = Some(stated(held, &unit));
        }
        // A characteristic sets nothing.
        ReadingOf::Check(..) => {}
    }
}

fn stated(held: &Held, unit: &Unit) -> Stated {
    number(held, held.measured, held.sd.unwrap_or(0.0), unit)
}

fn number(held: &Held, mean: f64, sd: f64, unit: &Unit) -> Stated {
    let fitted = held
        .fitted
        .map_or(String::new(), |fitted| format!(", {fitted}"));
    Stated {
        spread: if sd > 0.0 {
            Spread::Normal { mean, sd }
        } else {
            Spread::Exact(mean)
        },
        unit: unit.clone(),
        source: Some(format!("measured: {} readings{fitted}", held.readings)),
        at: held.first_at,
    }
}

fn pace(pace: &mut Pace, held: &Held) {
    match pace {
        Pace::Each(time) => *time = stated(held, &time.unit),
        Pace::Load(load) => load.dwell = stated(held, &load.dwell.unit),
        Pace::Flow { rate, .. } if held.measured > 0.0 => {
            let mean = held.measured;
            *rate = number(
                held,
                1.0 / mean,
                held.sd.unwrap_or(0.0) / (mean * mean),
                &rate.unit,
            );
        }
        Pace::None | Pace::Flow { .. } => {}
    }
}

/// The mean, and for a yield counted in lots also how much lots differ.
fn share(share: &mut Yield, held: &Held) {
    share.mean = held.measured;
    if matches!(held.of(), Some(ReadingOf::Good(_))) {
        share.lots_sd = held.sd.unwrap_or(0.0);
    }
    let unit = share
        .stated
        .as_ref()
        .map_or_else(Unit::one, |stated| stated.unit.clone());
    share.stated = Some(number(held, held.measured, 0.0, &unit));
}

/// A recipe makes as many units as were measured.
fn makes(operation: &mut Operation, held: &Held) {
    let each_sd = held.sd.unwrap_or(0.0);
    computed::makes(operation, held.measured, each_sd, None, |unit| {
        stated(held, unit)
    });
}
