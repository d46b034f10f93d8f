//! What the machine must hold: the clamp, the shot, the time in the barrel.

use heat::Fault;
use heat::mould::cycle::{Barrel, clamp_force_n, shot as in_barrel};
use quantity::Dimension;
use works::{Mould, MouldingMachine, Operation, Stated, Works};

use super::answer::{ClampLine, MouldPlan, ShotLine};
use crate::heat::extremes::ends;
use crate::heat::words;

/// The machine holds a tenth more than opens the mould: 1.1 to 1.2 is the trade's usual (memory).
const CLAMP_MARGIN: f64 = 1.1;

/// Shares of the barrel that the trade likes a shot to be.
const USUAL_SHARES: (f64, f64) = (0.2, 0.8);

/// Barrel and shot are told by mass: any density makes the same answer.
const AS_MASS_KG_M3: f64 = 1000.0;

fn machine<'w>(works: &'w Works, operation: &Operation) -> Option<&'w MouldingMachine> {
    works.station(operation.station?).moulding.as_deref()
}

/// Melt of one cycle, kg: what the operation takes by mass; inserts are counted, pellets are weighed.
pub(super) fn shot_kg(works: &Works, operation: &Operation, units: f64) -> Option<f64> {
    let weighed = operation
        .takes
        .iter()
        .filter(|take| *works.item(take.item).unit.dimension() == Dimension::MASS);
    let kg: f64 = weighed.map(|take| take.amount.mean()).sum();
    (kg > 0.0).then_some(kg * units)
}

/// Time to make a shot ready, s.
pub(super) fn plastify_s(
    works: &Works,
    operation: &Operation,
    shot_kg: Option<f64>,
) -> Option<f64> {
    let melts = machine(works, operation)?.melts.as_ref()?;
    Some(shot_kg? / ends(melts).0)
}

/// The force on the mould against that of the machine.
pub(super) fn clamp(
    works: &Works,
    operation: &Operation,
    mould: &Mould,
) -> Result<Option<ClampLine>, Fault> {
    let (Some(area), Some(pressure)) = (&mould.area, &mould.pressure) else {
        return Ok(None);
    };
    let (area, pressure) = (ends(area).1, ends(pressure).1);
    let machine_n = machine(works, operation).map(|machine| ends(&machine.clamp).0);
    let needed_n = clamp_force_n(area, pressure, CLAMP_MARGIN)?;
    Ok(Some(ClampLine {
        opens_n: clamp_force_n(area, pressure, 1.0)?,
        needed_n,
        margin: CLAMP_MARGIN,
        machine_n,
        met: machine_n.map(|machine| machine >= needed_n),
    }))
}

/// The shot in the barrel of the machine.
pub(super) fn shot(
    works: &Works,
    operation: &Operation,
    mould: &Mould,
    shot_kg: Option<f64>,
    cycle_s: f64,
) -> Result<Option<ShotLine>, Fault> {
    let Some(shot_kg) = shot_kg else {
        return Ok(None);
    };
    let barrel_kg = machine(works, operation)
        .and_then(|machine| machine.barrel.as_ref())
        .map(Stated::mean);
    let allowed_s = mould.residence.as_ref().map(ends);
    let mut line = ShotLine {
        shot_kg,
        barrel_kg,
        share: barrel_kg.map(|barrel| shot_kg / barrel),
        residence_s: None,
        allowed_s,
        residence_met: None,
    };
    let Some(barrel_kg) = barrel_kg.filter(|barrel| *barrel >= shot_kg) else {
        return Ok(Some(line));
    };
    let holds_m3 = barrel_kg / AS_MASS_KG_M3;
    let barrel = Barrel {
        cavities: 1,
        part_kg: shot_kg,
        runner_kg: 0.0,
        // A rounding below the shot is the shot.
        stroke_m3: holds_m3 * (1.0 + 1e-12),
        holds_m3,
        melt_kg_m3: AS_MASS_KG_M3,
    };
    let allowed = allowed_s.unwrap_or((0.0, f64::INFINITY));
    let found = in_barrel(&barrel, cycle_s, USUAL_SHARES, allowed)?;
    line.residence_s = Some(found.residence_s);
    line.residence_met = allowed_s.map(|_| found.residence_fits);
    Ok(Some(line))
}

/// A force: `228 kN`.
pub(super) fn force(newton: f64) -> String {
    format!(
        "{} kN",
        quantity::show_number((newton / 10.0).round() / 100.0)
    )
}

/// A mass: `40 g`.
pub(super) fn grams(kg: f64) -> String {
    format!("{} g", quantity::show_number((kg * 1e5).round() / 100.0))
}

/// What was found of the machine, one plain sentence each.
pub(super) fn sentences(plan: &MouldPlan) -> Vec<String> {
    let mut all = Vec::new();
    if let Some(clamp) = &plan.clamp {
        let needed = format!(
            "the mould is pushed open by {} and wants {} with a tenth to spare",
            force(clamp.opens_n),
            force(clamp.needed_n)
        );
        all.push(match (clamp.machine_n, clamp.met) {
            (Some(machine), Some(true)) => {
                format!("{needed}: the machine's {} does", force(machine))
            }
            (Some(machine), _) => format!("{needed}: the machine's {} does not", force(machine)),
            (None, _) => needed,
        });
    }
    let Some(shot) = &plan.shot else {
        return all;
    };
    let Some((barrel, share)) = shot.barrel_kg.zip(shot.share) else {
        all.push(format!("a shot is {}", grams(shot.shot_kg)));
        return all;
    };
    let percent = quantity::show_share((share * 1e3).round() / 1e3);
    let usual = if (USUAL_SHARES.0..=USUAL_SHARES.1).contains(&share) {
        "within the usual 20 % to 80 %"
    } else if share > 1.0 {
        "more than it holds"
    } else {
        "outside the usual 20 % to 80 %"
    };
    all.push(format!(
        "a shot is {}, {percent} of the {} that the barrel holds, {usual}",
        grams(shot.shot_kg),
        grams(barrel)
    ));
    if let Some(residence) = shot.residence_s {
        let stays = format!("melt stays {} in the barrel", words::time(residence));
        all.push(match (shot.allowed_s, shot.residence_met) {
            (Some((least, most)), Some(met)) => format!(
                "{stays}: {} of {} to {}",
                if met {
                    "within the stated range"
                } else {
                    "outside the stated range"
                },
                words::time(least),
                words::time(most)
            ),
            _ => stays,
        });
    }
    all
}
