//! Engines for heat and moisture in pieces: what a setting and a time really do to the slowest and the fastest piece.
//!
//! Plain numbers in, plain answers out: no works, files, clocks or units in here. Temperatures are kelvin,
//! times seconds, lengths metres, amounts of heat joules, unless a name says otherwise.

pub mod block;
pub mod body;
pub mod closed;
pub mod convection;
pub mod fault;
pub mod food;
pub mod library;
pub mod mass;
pub mod material;
pub mod measure;
pub mod mould;
pub mod need;
pub mod probes;
pub mod programme;
pub mod run;
pub mod solve;
pub mod trace;
pub mod window;

pub use fault::Fault;
pub use run::follow;

/// 0 degC in kelvin.
pub const ICE_POINT_K: f64 = 273.15;

/// Stefan-Boltzmann constant, W/(m² K⁴). CODATA 2018, exact by the SI of 2019.
pub const STEFAN_BOLTZMANN: f64 = 5.670_374_419e-8;
