//! From cutting speed and chip to spindle speed, feed, chip volume and torque.

use core::f64::consts::PI;

/// Turns per second of a tool of a diameter at a cutting speed at its rim: v/(π·D).
pub fn spindle_rev_s(cutting_speed_m_s: f64, diameter_m: f64) -> f64 {
    cutting_speed_m_s / (PI * diameter_m)
}

/// Feed speed of a tool with so many edges that each take so much per turn. A drill's feed is usually stated
/// per turn for both edges together: then one edge.
pub fn feed_speed_m_s(rev_s: f64, edges: u32, feed_per_edge_m: f64) -> f64 {
    rev_s * f64::from(edges) * feed_per_edge_m
}

/// Volume a drill removes per second: π·D²/4 times the feed speed.
pub fn removal_rate_m3_s(diameter_m: f64, feed_speed_m_s: f64) -> f64 {
    PI * diameter_m * diameter_m / 4.0 * feed_speed_m_s
}

/// Torque from the energy that a volume of material takes to cut: power / angular speed
/// (Kalpakjian & Schmid, Manufacturing Engineering and Technology, chapter on drilling).
pub fn drilling_torque_nm(specific_energy_j_m3: f64, removal_rate_m3_s: f64, rev_s: f64) -> f64 {
    specific_energy_j_m3 * removal_rate_m3_s / (2.0 * PI * rev_s)
}
