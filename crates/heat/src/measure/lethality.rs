//! Lethality: the time at a reference temperature that kills as much as the whole history.
//!
//! Log-linear in temperature: a second at T counts `10^((T - Tref)/z)` seconds at Tref (Bigelow 1921; Geankoplis,
//! *Transport Processes*, 3rd ed., section 9.12). z, D and the F that is enough come from the product's process
//! authority, never from here.

use serde::Serialize;

use super::total::along;
use crate::fault::{Fault, positive};
use crate::trace::Trace;

/// What every lethality is to be read with.
pub const CAUTION: &str = "screening estimate: the limit, z and where to measure come from the responsible \
                           process authority; a competent person decides";

/// How a kill goes along temperature.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Kill {
    /// Rise in temperature that makes it ten times as fast, K.
    pub z_k: f64,
    /// Temperature at which times are stated, K (or in the unit of the history throughout).
    pub reference_k: f64,
}

impl Kill {
    fn check(&self) -> Result<(), Fault> {
        positive("z-value", self.z_k)?;
        if self.reference_k.is_finite() {
            Ok(())
        } else {
            Err(Fault::NotPositive {
                what: "reference temperature",
                found: self.reference_k,
            })
        }
    }

    /// Seconds at the reference that a second at a temperature counts.
    pub fn rate_at(&self, temperature_k: f64) -> f64 {
        libm::exp10((temperature_k - self.reference_k) / self.z_k)
    }
}

/// What a history killed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Lethality {
    /// F: time at the reference that kills as much, s.
    pub f_s: f64,
    /// The same, growing along the history, s.
    pub running: Trace,
    /// When the wanted F is reached, s.
    pub reached_s: Option<f64>,
    /// What the answer is to be read with.
    pub caution: &'static str,
}

/// F along a history, held against a wanted F.
pub fn lethality(trace: &Trace, kill: &Kill, wanted_s: f64) -> Result<Lethality, Fault> {
    kill.check()?;
    positive("wanted F", wanted_s)?;
    let total = along(trace, &|t| kill.rate_at(t), &[], &[wanted_s])?;
    Ok(Lethality {
        f_s: total.total,
        running: total.running,
        reached_s: total.reached_s[0],
        caution: CAUTION,
    })
}

/// F of logger points (time, temperature) by the trapezoid of their rates, in s.
///
/// The way of the books (Geankoplis Ex. 9.12-2), named for what it is: rates are averaged between points, which
/// counts more than a temperature that goes straight between them, and more the farther the points lie apart.
/// [`lethality`] of [`Trace::straight`] is the careful one.
pub fn trapezoid_of_rates(points: &[(f64, f64)], kill: &Kill) -> Result<f64, Fault> {
    kill.check()?;
    if points.len() < 2 {
        return Err(Fault::Missing("pair of logger points"));
    }
    let mut sum = 0.0;
    for pair in points.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        if b.0 < a.0 {
            return Err(Fault::Impossible {
                asked: "add up logger points",
                why: format!("time goes back from {} s to {} s", a.0, b.0),
            });
        }
        sum += 0.5 * (b.0 - a.0) * (kill.rate_at(a.1) + kill.rate_at(b.1));
    }
    Ok(sum)
}

/// Time at the reference for a kill of so many powers of ten, from the D-value there, s.
pub fn needed_s(d_s: f64, powers_of_ten: f64) -> Result<f64, Fault> {
    positive("D-value", d_s)?;
    positive("kill in powers of ten", powers_of_ten)?;
    Ok(d_s * powers_of_ten)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Times in min, temperatures in the table's unit: the law knows differences only.
    fn f_of(points: &[(f64, f64)], z: f64, reference: f64) -> f64 {
        let kill = Kill {
            z_k: z,
            reference_k: reference,
        };
        lethality(&Trace::straight(points), &kill, 1.0).unwrap().f_s
    }

    #[test]
    fn geankoplis_9_12_1_and_2() {
        // Example 9.12-1 (read in a transcription; book: 2.68 min; ten digits computed by the project's checks).
        let stages = [
            (0.0, 71.1),
            (20.0, 71.1),
            (20.0, 98.9),
            (40.0, 98.9),
            (40.0, 110.0),
            (73.0, 110.0),
        ];
        assert!((f_of(&stages, 10.0, 121.1) - 2.682_327_402).abs() < 1e-8);
        // Example 9.12-2: book 2.50 by area; the digits of both ways computed by the project's checks.
        let points = [
            (0.0, 80.0),
            (15.0, 165.0),
            (25.0, 201.0),
            (30.0, 212.5),
            (40.0, 225.0),
            (50.0, 230.5),
            (64.0, 235.0),
        ];
        let kill = Kill {
            z_k: 18.0,
            reference_k: 250.0,
        };
        let trapezoid = trapezoid_of_rates(&points, &kill).unwrap();
        assert!((trapezoid - 2.502_728_676).abs() < 1e-8);
        assert!((f_of(&points, 18.0, 250.0) - 2.384_516_547).abs() < 1e-8);
    }

    #[test]
    fn ramps_and_holds() {
        // Project checks H-72, H-73 and their file, to ten digits. A ramp has the closed form
        // (z/ln 10)/slope × (rate at its end - rate at its beginning).
        for (points, z, reference, known) in [
            ([(0.0, 60.0), (10.0, 70.0)], 7.5, 70.0, 3.106_022_383),
            ([(0.0, 20.0), (60.0, 121.1)], 10.0, 121.1, 2.577_415_323),
            ([(0.0, 70.0), (2.0, 70.0)], 7.5, 70.0, 2.0),
            ([(0.0, 72.0), (2.0, 72.0)], 7.5, 70.0, 3.695_699_595),
            ([(0.0, 65.0), (10.0, 65.0)], 10.0, 70.0, 3.162_277_66),
            ([(0.0, 90.0), (10.0, 90.0)], 10.0, 90.0, 10.0),
            ([(0.0, 85.0), (19.0, 85.0)], 10.0, 90.0, 6.008_327_554),
        ] {
            let found = f_of(&points, z, reference);
            assert!((found - known).abs() < 2e-9 * known, "{found} for {known}");
        }
    }

    #[test]
    fn times_that_do_as_much_as_two_minutes_at_70() {
        // H-74: the table of the project's checks, 2.0 min over the rate for z 7.5. It follows from rates of
        // three decimals, as such tables print them: 2/0.117 = 17.1, while 2·10^(7/7.5) itself is 17.154.
        let kill = Kill {
            z_k: 7.5,
            reference_k: 70.0,
        };
        for (temperature, known, half_a_digit) in [
            (63.0, 17.1, 0.05),
            (65.0, 9.3, 0.05),
            (67.0, 5.0, 0.05),
            (72.0, 1.08, 0.005),
            (74.0, 0.59, 0.005),
        ] {
            let printed = (1000.0 * kill.rate_at(temperature)).round() / 1000.0;
            let found = 2.0 / printed;
            assert!((found - known).abs() <= half_a_digit, "{found} for {known}");
        }
        assert!((2.0 / kill.rate_at(63.0) - 17.153_917_97).abs() < 1e-7);
        // D at 60 from D 0.3 at 70, z 7.5; 12 D of 0.21 min (H-75).
        assert!((0.3 / kill.rate_at(60.0) - 6.463_304_07).abs() < 1e-8);
        assert!((needed_s(0.21, 12.0).unwrap() - 2.52).abs() < 1e-15);
    }

    #[test]
    fn the_time_of_enough_is_told() {
        // Ramp 60 -> 70 in 10, z 7.5: F(t) = (z/ln 10)(10^((t-10)/z) - 10^(-10/z)); F = 1 by hand.
        let kill = Kill {
            z_k: 7.5,
            reference_k: 70.0,
        };
        let ramp = Trace::straight(&[(0.0, 60.0), (10.0, 70.0)]);
        let reached = lethality(&ramp, &kill, 1.0).unwrap().reached_s.unwrap();
        let scale = 7.5 / std::f64::consts::LN_10;
        let known = 10.0 + 7.5 * libm::log10(1.0 / scale + libm::exp10(-10.0 / 7.5));
        assert!((reached - known).abs() < 1e-9, "{reached} for {known}");
        assert_eq!(lethality(&ramp, &kill, 4.0).unwrap().reached_s, None);
    }

    #[test]
    fn a_z_of_nought_is_refused() {
        let kill = Kill {
            z_k: 0.0,
            reference_k: 70.0,
        };
        let ramp = Trace::straight(&[(0.0, 60.0), (10.0, 70.0)]);
        assert_eq!(
            lethality(&ramp, &kill, 1.0),
            Err(Fault::NotPositive {
                what: "z-value",
                found: 0.0
            })
        );
    }
}
