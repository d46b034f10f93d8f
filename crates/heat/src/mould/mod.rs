//! Injection moulding by the arithmetic of the shop: cooling, cycle, clamp, shot, residence, drying of pellets.

pub mod cooling;
pub mod cycle;
