//! A piece of one temperature throughout: thin sheet, small part. Biot below about 0.1.
//!
//! Convection alone has a closed form. With radiation time follows from temperature by quadrature and temperature
//! from time by steps whose error is controlled; no closed form is used for that.

use serde::Serialize;

use super::root;
use crate::STEFAN_BOLTZMANN;
use crate::fault::{Fault, positive, within};

/// A piece and its surroundings.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Lumped {
    /// Heat capacity of the piece over its open area, J/(m² K): density × heat capacity × volume / area.
    pub stores_j_m2_k: f64,
    /// Coefficient of heat transfer, W/(m² K).
    pub coefficient_w_m2_k: f64,
    /// Air, K.
    pub air_k: f64,
    /// Emissivity, 0 to 1.
    pub emissivity: f64,
    /// What the piece sees, K.
    pub walls_k: f64,
}

/// Allowed error of one step, K; the steps of a whole history add up to some ten times this.
const STEP_K: f64 = 1e-9;

impl Lumped {
    /// Without radiation.
    pub fn in_air(stores_j_m2_k: f64, coefficient_w_m2_k: f64, air_k: f64) -> Self {
        Self {
            stores_j_m2_k,
            coefficient_w_m2_k,
            air_k,
            emissivity: 0.0,
            walls_k: air_k,
        }
    }

    fn check(&self, from_k: f64) -> Result<(), Fault> {
        positive("heat capacity", self.stores_j_m2_k)?;
        within(
            "coefficient of heat transfer",
            self.coefficient_w_m2_k,
            0.0,
            1e9,
        )?;
        within("emissivity", self.emissivity, 0.0, 1.0)?;
        for k in [self.air_k, self.walls_k, from_k] {
            positive("absolute temperature", k)?;
        }
        positive(
            "coefficient of heat transfer or emissivity",
            self.coefficient_w_m2_k + self.emissivity,
        )?;
        Ok(())
    }

    /// Change of temperature, K/s.
    fn slope(&self, t: f64) -> f64 {
        let radiated = self.emissivity
            * STEFAN_BOLTZMANN
            * (self.walls_k - t)
            * (self.walls_k + t)
            * (self.walls_k * self.walls_k + t * t);
        (self.coefficient_w_m2_k * (self.air_k - t) + radiated) / self.stores_j_m2_k
    }

    /// Where the temperature ends up, K.
    pub fn steady_k(&self) -> Result<f64, Fault> {
        self.check(self.air_k)?;
        let (low, high) = (self.air_k.min(self.walls_k), self.air_k.max(self.walls_k));
        if self.emissivity == 0.0 {
            return Ok(self.air_k);
        }
        Ok(root::between(|t| self.slope(t), low, high))
    }

    /// Temperature after a time, K.
    pub fn after_k(&self, from_k: f64, time_s: f64) -> Result<f64, Fault> {
        self.check(from_k)?;
        within("time", time_s, 0.0, f64::MAX)?;
        if self.emissivity == 0.0 {
            let share = libm::exp(-self.coefficient_w_m2_k * time_s / self.stores_j_m2_k);
            return Ok(self.air_k + (from_k - self.air_k) * share);
        }
        Ok(self.followed(from_k, time_s))
    }

    /// Steps of Bogacki & Shampine 1989 (memory), third order with its second-order shadow.
    fn followed(&self, from_k: f64, time_s: f64) -> f64 {
        let (mut t, mut now) = (from_k, 0.0);
        let mut step = time_s.min(1e-3 / (1e-9 + self.slope(from_k).abs()));
        let mut k1 = self.slope(t);
        while now < time_s && step > 0.0 {
            let last = now + step >= time_s;
            let h = if last { time_s - now } else { step };
            let k2 = self.slope(t + 0.5 * h * k1);
            let k3 = self.slope(t + 0.75 * h * k2);
            let next = t + h * (2.0 * k1 + 3.0 * k2 + 4.0 * k3) / 9.0;
            let k4 = self.slope(next);
            let error = h * (-5.0 / 72.0 * k1 + k2 / 12.0 + k3 / 9.0 - k4 / 8.0).abs();
            let (limit, growth) = (STEP_K, 0.9 * libm::cbrt(STEP_K / error.max(1e-30)));
            if error <= limit || now + h * 1e-6 == now {
                (t, k1) = (next, k4);
                now = if last { time_s } else { now + h };
            }
            step = h * growth.clamp(0.2, 4.0);
        }
        t
    }

    /// The time from one temperature to another, s. A temperature that is never reached is a fault.
    pub fn time_s(&self, from_k: f64, to_k: f64) -> Result<f64, Fault> {
        self.check(from_k)?;
        positive("absolute temperature", to_k)?;
        let steady = self.steady_k()?;
        let (gone, to_go) = (from_k - steady, to_k - steady);
        if from_k == to_k {
            return Ok(0.0);
        }
        if gone * to_go <= 0.0 || to_go.abs() > gone.abs() {
            return Err(Fault::Impossible {
                asked: "reach this temperature",
                why: format!("from {from_k} K it goes to {steady} K and never passes {to_k} K"),
            });
        }
        if self.emissivity == 0.0 {
            return Ok(self.stores_j_m2_k / self.coefficient_w_m2_k * libm::log(gone / to_go));
        }
        // Over y = ln |T − steady| the integrand (T − steady) / slope is smooth and nearly constant.
        let pace = |y: f64| {
            let off = gone.signum() * libm::exp(y);
            -off / self.slope(steady + off)
        };
        Ok(simpson(pace, libm::log(to_go.abs()), libm::log(gone.abs())))
    }
}

/// Simpson's rule with twice as many pieces until two answers agree to 1e-12.
fn simpson(f: impl Fn(f64) -> f64, a: f64, b: f64) -> f64 {
    let (mut pieces, mut before) = (16_u32, f64::NAN);
    loop {
        let h = (b - a) / f64::from(pieces);
        let inner: f64 = (1..pieces)
            .map(|n| {
                let weight = if n % 2 == 1 { 4.0 } else { 2.0 };
                weight * f(a + h * f64::from(n))
            })
            .sum();
        let found = h / 3.0 * (f(a) + inner + f(b));
        if (found - before).abs() <= 1e-12 * found.abs() || pieces >= 1 << 16 {
            return found;
        }
        (before, pieces) = (found, 2 * pieces);
    }
}
