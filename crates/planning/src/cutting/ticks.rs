//! Lengths as the cutting engine counts them: whole tenths of a millimetre.
//!
//! What is cut off is rounded up and what it is cut from is rounded down, so that a plan that fits in ticks
//! fits at the saw. A number that is whole but for the last bits of its floating point counts as whole.

/// Metres in one tick.
pub(super) const TICK_M: f64 = 1e-4;

/// Relative slack below which a length counts as whole.
const SLACK: f64 = 1e-6;

/// Of stock: rounded down.
pub(super) fn stock(metres: f64) -> u64 {
    (metres / TICK_M + SLACK).floor().max(0.0) as u64
}

/// Of a part, kerf, trim or margin: rounded up.
pub(super) fn part(metres: f64) -> u64 {
    (metres / TICK_M - SLACK).ceil().max(0.0) as u64
}

/// Of what may be left out.
pub(super) fn optional(stated: Option<&works::Stated>) -> u64 {
    stated.map_or(0, |stated| part(stated.mean()))
}

/// Back to metres.
pub(super) fn metres(ticks: u64) -> f64 {
    ticks as f64 * TICK_M
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whole_tenths_stay_and_others_go_to_the_safe_side() {
        assert_eq!((stock(2.35), part(2.35)), (23_500, 23_500));
        assert_eq!((stock(0.19), part(0.19)), (1_900, 1_900));
        assert_eq!((stock(1.234_56), part(1.234_56)), (12_345, 12_346));
        assert_eq!((stock(0.0), part(0.0)), (0, 0));
    }
}
