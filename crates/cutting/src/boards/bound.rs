//! What no cutting of a board can exceed, in whatever order and number of cuts.

use super::board::{Board, BoardFault, Part, Saw, check_board, check_parts, check_saw};

/// No plan of any kind is worth more than this.
pub fn upper_bound(board: &Board, parts: &[Part], saw: &Saw) -> Result<f64, BoardFault> {
    check_board(0, board)?;
    check_parts(parts)?;
    check_saw(saw)?;
    let density = |part: &Part| part.value / part.area();
    let best = parts.iter().map(density).fold(0.0, f64::max);
    let along = saw.usable_along(board).length() + saw.cross_kerf;
    let across = saw.usable_across(board).length() + saw.rip_kerf;
    Ok(best * along as f64 * across as f64)
}
