//! Cycle, clamp, shot, residence and the dryer before them.
//!
//! Sums of the shop floor; what a press, a mould or a resin allows comes from their makers.

use serde::Serialize;

use crate::fault::{Fault, positive, within};

/// What every figure of this room is to be read with.
pub const CAUTION: &str = "arithmetic only: limits of press, mould and resin come from their makers; hot melt, gas and moving \
                           platens hurt, and a competent person sets the machine";

/// Parts of a cycle, s.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Times {
    /// Filling.
    pub fill_s: f64,
    /// Packing and holding.
    pub pack_s: f64,
    /// Cooling after that.
    pub cool_s: f64,
    /// Plastifying the next shot, while the part cools.
    pub plastify_s: f64,
    /// Opening, ejecting or taking out, closing.
    pub handle_s: f64,
}

/// What the cycle waits for after packing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum WaitsFor {
    /// The part.
    Cooling,
    /// The screw.
    Plastifying,
}

/// A cycle.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Cycle {
    /// Fill, pack, the longer of cooling and plastifying, handling, s.
    pub lasts_s: f64,
    /// What it waits for after packing.
    pub waits_for: WaitsFor,
    /// Packing and cooling as a share of it.
    pub cooling_share: f64,
}

/// The cycle of its parts.
pub fn cycle(times: &Times) -> Result<Cycle, Fault> {
    for (what, time) in [
        ("time to fill", times.fill_s),
        ("time to pack", times.pack_s),
        ("time to plastify", times.plastify_s),
        ("time to open, eject and close", times.handle_s),
    ] {
        within(what, time, 0.0, f64::MAX)?;
    }
    positive("time to cool", times.cool_s)?;
    let waits_for = if times.plastify_s > times.cool_s {
        WaitsFor::Plastifying
    } else {
        WaitsFor::Cooling
    };
    let lasts_s = times.fill_s + times.pack_s + times.cool_s.max(times.plastify_s) + times.handle_s;
    Ok(Cycle {
        lasts_s,
        waits_for,
        cooling_share: (times.pack_s + times.cool_s) / lasts_s,
    })
}

/// Good parts per hour: live cavities over the cycle, times the share of time and parts that come good.
pub fn parts_per_hour(cycle_s: f64, live_cavities: u32, effectiveness: f64) -> Result<f64, Fault> {
    positive("cycle", cycle_s)?;
    positive("number of live cavities", f64::from(live_cavities))?;
    within("effectiveness", effectiveness, 0.0, 1.0)?;
    Ok(3600.0 / cycle_s * f64::from(live_cavities) * effectiveness)
}

/// Clamp force, N: projected area, m², of all cavities and runners, times cavity pressure, Pa, times a margin (1.1 to 1.2 is usual).
pub fn clamp_force_n(projected_m2: f64, cavity_pa: f64, margin: f64) -> Result<f64, Fault> {
    positive("projected area", projected_m2)?;
    positive("cavity pressure", cavity_pa)?;
    within("margin on the clamp", margin, 1.0, 3.0)?;
    Ok(projected_m2 * cavity_pa * margin)
}

/// A shot and the barrel that it comes from.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Barrel {
    /// Cavities filled.
    pub cavities: u32,
    /// Of one part, kg.
    pub part_kg: f64,
    /// Of runner and sprue, kg; nought for a hot runner.
    pub runner_kg: f64,
    /// Largest shot of the barrel, m³ of stroke.
    pub stroke_m3: f64,
    /// Melt held in the barrel and screw, m³.
    pub holds_m3: f64,
    /// Density of this resin as melt, kg/m³.
    pub melt_kg_m3: f64,
}

/// How a shot sits in its barrel.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Shot {
    /// Of the whole shot, kg.
    pub shot_kg: f64,
    /// As a share of the largest shot of this resin.
    pub share: f64,
    /// It lies within the shares that the works allows.
    pub share_fits: bool,
    /// How long melt stays in the barrel, s: what is held over shot per cycle.
    pub residence_s: f64,
    /// It lies within the times that the works allows.
    pub residence_fits: bool,
    /// What the answer is to be read with.
    pub caution: &'static str,
}

/// Shot and residence, held against shares (such as 0.2 to 0.8) and times (such as 120 to 480 s) that the works states.
pub fn shot(
    barrel: &Barrel,
    cycle_s: f64,
    shares: (f64, f64),
    residence_s: (f64, f64),
) -> Result<Shot, Fault> {
    positive("cycle", cycle_s)?;
    positive("number of cavities", f64::from(barrel.cavities))?;
    positive("weight of a part", barrel.part_kg)?;
    within("weight of the runner", barrel.runner_kg, 0.0, f64::MAX)?;
    positive("stroke of the barrel", barrel.stroke_m3)?;
    positive("melt density", barrel.melt_kg_m3)?;
    positive("melt in the barrel", barrel.holds_m3)?;
    let shot_kg = f64::from(barrel.cavities) * barrel.part_kg + barrel.runner_kg;
    let largest_kg = barrel.stroke_m3 * barrel.melt_kg_m3;
    if shot_kg > largest_kg {
        return Err(Fault::Impossible {
            asked: "fill the mould in one shot",
            why: format!("it takes {shot_kg:.4} kg and the barrel gives {largest_kg:.4} kg"),
        });
    }
    let share = shot_kg / largest_kg;
    let stays_s = barrel.holds_m3 * barrel.melt_kg_m3 / shot_kg * cycle_s;
    Ok(Shot {
        shot_kg,
        share,
        share_fits: (shares.0..=shares.1).contains(&share),
        residence_s: stays_s,
        residence_fits: (residence_s.0..=residence_s.1).contains(&stays_s),
        caution: CAUTION,
    })
}

/// A dryer that feeds a press.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Hopper {
    /// Pellets in it, kg.
    pub holds_kg: f64,
    /// Room for them, m³.
    pub holds_m3: f64,
}

/// Size of a drying hopper: pellets that flow through at a rate, kg/s, stay as long as they must dry, s; loose weight in kg/m³.
pub fn hopper(rate_kg_s: f64, dries_s: f64, bulk_kg_m3: f64) -> Result<Hopper, Fault> {
    positive("rate of pellets", rate_kg_s)?;
    positive("time to dry", dries_s)?;
    positive("bulk density", bulk_kg_m3)?;
    let holds_kg = rate_kg_s * dries_s;
    Ok(Hopper {
        holds_kg,
        holds_m3: holds_kg / bulk_kg_m3,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cycle_waits_for_the_longer() {
        let mut times = Times {
            fill_s: 1.0,
            pack_s: 4.0,
            cool_s: 12.0,
            plastify_s: 8.0,
            handle_s: 5.0,
        };
        let found = cycle(&times).unwrap();
        // 1 + 4 + 12 + 5 = 22; 16 of it packing and cooling. By hand; 60-80 % is the trade's usual share.
        assert_eq!((found.lasts_s, found.waits_for), (22.0, WaitsFor::Cooling));
        assert!((found.cooling_share - 16.0 / 22.0).abs() < 1e-15);
        times.plastify_s = 15.0;
        let found = cycle(&times).unwrap();
        assert_eq!(
            (found.lasts_s, found.waits_for),
            (25.0, WaitsFor::Plastifying)
        );
        // 3600/22 × 4 × 0.85 = 556.36.
        assert!((parts_per_hour(22.0, 4, 0.85).unwrap() - 556.363_636_363_6).abs() < 1e-9);
        times.cool_s = 0.0;
        assert!(cycle(&times).is_err());
    }

    #[test]
    fn the_clamp_of_the_trade() {
        // 260 cm² × 40 MPa = 1.04 MN, the trade's 104 t of 10 kN each.
        let force = clamp_force_n(0.026, 40e6, 1.0).unwrap();
        assert!((force / 1e4 - 104.0).abs() < 1e-9);
        assert!((clamp_force_n(0.026, 40e6, 1.15).unwrap() / force - 1.15).abs() < 1e-12);
        assert!(clamp_force_n(0.026, 40e6, 0.9).is_err());
    }

    #[test]
    fn shot_residence_and_hopper_by_hand() {
        // 4 × 12 g + 8 g = 56 g; 120 cm³ of 0.75 g/cm³ = 90 g: 62.2 %. 300 cm³ hold 225 g: 225/56 × 22 s = 88.39 s.
        let barrel = Barrel {
            cavities: 4,
            part_kg: 0.012,
            runner_kg: 0.008,
            stroke_m3: 120e-6,
            holds_m3: 300e-6,
            melt_kg_m3: 750.0,
        };
        let found = shot(&barrel, 22.0, (0.2, 0.8), (120.0, 480.0)).unwrap();
        assert!((found.shot_kg - 0.056).abs() < 1e-15 && (found.share - 56.0 / 90.0).abs() < 1e-12);
        assert!((found.residence_s - 88.392_857_142_9).abs() < 1e-9);
        assert!(found.share_fits && !found.residence_fits);
        let mut large = barrel;
        large.cavities = 8;
        let fault = shot(&large, 22.0, (0.2, 0.8), (120.0, 480.0)).unwrap_err();
        assert!(fault.to_string().contains("in one shot"));
        // 9.16 kg/h (56 g per 22 s) for 3 h: 27.5 kg, 49 L at 0.56 kg/L.
        let dryer = hopper(0.056 / 22.0, 3.0 * 3600.0, 560.0).unwrap();
        assert!((dryer.holds_kg - 27.490_909_090_9).abs() < 1e-9);
        assert!((dryer.holds_m3 - 0.049_090_909_09).abs() < 1e-10);
    }
}
