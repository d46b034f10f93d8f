//! Foods by what they are made of: heat capacity, conductivity, density, ice and the enthalpy curve that follows.
//!
//! What a number of the literature says of "beef" is rarely said of this beef; what is on its label or in the
//! laboratory's report is better. Results are estimates, good to some 5 % for heat and 10 to 15 % for conductivity.

mod component;
mod composition;
mod curve;
mod ice;
mod mixing;

pub use component::{Component, Properties};
pub use composition::Composition;
pub use curve::Options;
pub use ice::Ice;
pub use mixing::Mixing;
