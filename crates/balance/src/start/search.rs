//! The smallest quantity whose odds reach a certainty.

use super::law::Law;
use super::{MOST, Start, StartError};
use chance::special::normal_quantile;

/// Far more looks than bisection of 10⁹ to the last bit would take.
const MOST_LOOKS: u32 = 400;
/// Scores are held to the range where a double still tells tails apart.
const FAR: f64 = 37.0;
/// Share of the shorter side by which interpolation is overshot.
const OVERSHOOT: f64 = 0.02;
/// Looks that trust the slope of the guess.
const NEWTON_LOOKS: u32 = 4;
/// A quantity that is measured, not counted, is found to this share of it.
const FINEST: f64 = 1e-9;

/// Where the answer lies: the odds are too low at `low`, and high enough at `high`.
struct Bracket {
    low: (f64, f64),
    high: Option<(Start, f64)>,
    /// Widths after the last looks, the latest first.
    widths: [f64; 4],
}

impl Bracket {
    /// Remembers the width after a look.
    fn note_width(&mut self) {
        let Some((high, _)) = self.high else { return };
        self.widths.rotate_right(1);
        self.widths[0] = high.quantity - self.low.0;
    }

    /// Whether the last three looks have not halved the bracket.
    fn is_slow(&self) -> bool {
        self.widths[0] > 0.5 * self.widths[3]
    }
}

pub(super) fn smallest(law: &mut Law, certainty: f64) -> Result<Start, StartError> {
    if !(certainty > 0.0 && certainty < 1.0) {
        return Err(StartError::Certainty(certainty));
    }
    let goal = score(certainty);
    let (guess, slope) = law.guess(certainty);
    let mut bracket = Bracket {
        low: (0.0, -FAR),
        high: None,
        widths: [f64::INFINITY; 4],
    };
    let mut place = settle(guess, law.whole_units());
    let mut stride = slope
        .max(1e-6 * guess)
        .max(if law.whole_units() { 1.0 } else { 0.0 });
    for look in 0..MOST_LOOKS {
        let found = law.odds(place);
        let found_score = score(found.odds);
        if found.odds >= certainty {
            bracket.high = Some((found, found_score));
        } else if place >= MOST {
            return Err(StartError::OutOfReach {
                certainty,
                ceiling: found.odds,
                most: MOST,
            });
        } else {
            bracket.low = (place, found_score);
        }
        bracket.note_width();
        if let Some((high, _)) = bracket.high
            && is_closed(bracket.low.0, high.quantity, law.whole_units())
        {
            return Ok(high);
        }
        let wish = match bracket.high {
            // No low end was met yet: down by Newton's step on the score, and ever further.
            Some((high, high_score)) if bracket.low.0 == 0.0 && look < NEWTON_LOOKS => {
                stride *= 2.0;
                let newton = (high_score - goal) * slope;
                high.quantity - (newton * (1.0 + OVERSHOOT)).clamp(1e-9 * place, stride)
            }
            Some(high) => between(&bracket, high, goal, law.whole_units()),
            // No high end yet: up likewise; where lots bend the score, by ever longer strides.
            None => {
                stride *= 2.0;
                let newton = (goal - found_score) * slope * (1.0 + OVERSHOOT);
                let step = if look < NEWTON_LOOKS { newton } else { stride };
                place + step.clamp(1e-9 * place, stride)
            }
        };
        place = step_inside(wish, &bracket, law.whole_units());
    }
    // Reached only when the odds wobble at the last bits; the upper end still satisfies.
    match bracket.high {
        Some((high, _)) => Ok(high),
        None => Err(StartError::OutOfReach {
            certainty,
            ceiling: score_odds(&bracket),
            most: MOST,
        }),
    }
}

fn score_odds(bracket: &Bracket) -> f64 {
    chance::special::normal_cdf(bracket.low.1)
}

fn score(odds: f64) -> f64 {
    normal_quantile(odds).clamp(-FAR, FAR)
}

fn settle(quantity: f64, whole: bool) -> f64 {
    let settled = if whole {
        libm::round(quantity)
    } else {
        quantity
    };
    settled.clamp(if whole { 1.0 } else { f64::MIN_POSITIVE }, MOST)
}

fn is_closed(low: f64, high: f64, whole: bool) -> bool {
    if whole {
        high - low <= 1.0
    } else {
        high - low <= FINEST * high
    }
}

/// The score is nearly straight in the quantity, so interpolation lands close. It is overshot a
/// little towards the far end, so that both ends close in on the answer; when three looks have not
/// halved the bracket, the next one does.
fn between(bracket: &Bracket, high: (Start, f64), goal: f64, whole: bool) -> f64 {
    let (low, low_score) = bracket.low;
    let width = high.0.quantity - low;
    let middle = low + 0.5 * width;
    let straight = high.1 - low_score > 0.0 && low_score > -FAR && high.1 < FAR;
    if bracket.is_slow() || !straight {
        return middle;
    }
    let root = low + width * ((goal - low_score) / (high.1 - low_score)).clamp(0.0, 1.0);
    let (below, above) = (root - low, high.0.quantity - root);
    let overshoot = OVERSHOOT * below.min(above);
    match (below > above, whole) {
        (true, true) => libm::floor(root - overshoot),
        (true, false) => root - overshoot,
        (false, true) => libm::ceil(root + overshoot),
        (false, false) => root + overshoot,
    }
}

/// The nearest place that still tells something new.
fn step_inside(wish: f64, bracket: &Bracket, whole: bool) -> f64 {
    let low = bracket.low.0;
    let Some((high, _)) = bracket.high else {
        return settle(if whole { wish.max(low + 1.0) } else { wish }, whole);
    };
    if whole {
        return libm::round(wish).clamp(low + 1.0, (high.quantity - 1.0).max(low + 1.0));
    }
    let margin = 0.4 * FINEST * high.quantity;
    wish.clamp(low + margin, high.quantity - margin)
}
