//! One axis of a machine: from rest to rest over a distance, with limits on speed, acceleration and jerk.
//!
//! Without a limit on jerk the speed is a trapezoid, or a triangle when the move is too short to reach top
//! speed. With one it is the symmetric double-S: Biagiotti & Melchiorri 2008, Trajectory Planning for Automatic
//! Machines and Robots, sections 3.2 (trapezoid) and 3.4 (double S), for zero speed at both ends.

use serde::Serialize;

use super::{MotionError, positive};

/// Limits of one axis.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Axis {
    speed_m_s: f64,
    acceleration_m_s2: f64,
    jerk_m_s3: Option<f64>,
}

impl Axis {
    /// An axis with top speed and acceleration, the same for speeding up and slowing down.
    pub fn new(speed_m_s: f64, acceleration_m_s2: f64) -> Result<Self, MotionError> {
        Ok(Self {
            speed_m_s: positive("a top speed", speed_m_s)?,
            acceleration_m_s2: positive("an acceleration", acceleration_m_s2)?,
            jerk_m_s3: None,
        })
    }

    /// The same with a limit on how fast acceleration may build up.
    pub fn with_jerk(self, jerk_m_s3: f64) -> Result<Self, MotionError> {
        Ok(Self {
            jerk_m_s3: Some(positive("a jerk", jerk_m_s3)?),
            ..self
        })
    }

    /// Top speed.
    pub fn speed_m_s(&self) -> f64 {
        self.speed_m_s
    }

    /// Shortest time over a distance (its sign does not matter), from rest to rest.
    pub fn move_s(&self, distance_m: f64) -> f64 {
        let distance_m = distance_m.abs();
        match self.jerk_m_s3 {
            None => self.trapezoid_s(distance_m),
            Some(jerk) => self.double_s_s(distance_m, jerk),
        }
    }

    /// d/v + v/a once top speed v is reached, which takes v²/a; before that 2·√(d/a).
    fn trapezoid_s(&self, d: f64) -> f64 {
        let (v, a) = (self.speed_m_s, self.acceleration_m_s2);
        if d * a >= v * v {
            d / v + v / a
        } else {
            2.0 * (d / a).sqrt()
        }
    }

    /// A ramp up to a speed and the ramp down again are mirror images, so together they cover speed × ramp time.
    fn double_s_s(&self, d: f64, jerk: f64) -> f64 {
        let (v, a) = (self.speed_m_s, self.acceleration_m_s2);
        // To full acceleration and back takes a/j each; a low top speed is reached without full acceleration.
        let ramp_s = if v * jerk >= a * a {
            a / jerk + v / a
        } else {
            2.0 * (v / jerk).sqrt()
        };
        if d >= v * ramp_s {
            return d / v + ramp_s;
        }
        // Peak speed a·(ramp − a/j) times ramp covers d: a quadratic in the ramp time. It holds while full
        // acceleration is reached, that is from a ramp of 2a/j, so from d = 2a³/j².
        if d * jerk * jerk >= 2.0 * a * a * a {
            let half = a / jerk / 2.0;
            2.0 * (half + (half * half + d / a).sqrt())
        } else {
            // Four stretches of pure jerk, d = 2·j·t³ in all.
            4.0 * libm::cbrt(d / (2.0 * jerk))
        }
    }
}
