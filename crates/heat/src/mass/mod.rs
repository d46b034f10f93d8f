//! Salt, water and solvent: into pieces, through them, out of them and into the air.

pub mod diffusion;
pub mod drying;
mod modes;
pub mod moist_air;
pub mod salt;
pub mod solvent;
