//! Shares of salt: how far they lie inside their limits, and their words.

use works::{Place, SaltShare, Stated};

pub(super) fn limit(stated: Option<&Stated>) -> Option<f64> {
    stated.map(Stated::mean)
}

/// How far inside its limits a share lies.
pub(super) fn margin_of(need: &works::SaltNeed, value: f64) -> f64 {
    let above = limit(need.limits.at_least.as_ref()).map_or(f64::INFINITY, |least| value - least);
    let below = limit(need.limits.at_most.as_ref()).map_or(f64::INFINITY, |most| most - value);
    above.min(below)
}

/// `salt in the water of the core at least 3.5 %`.
pub(super) fn need_words(need: &works::SaltNeed) -> String {
    let place = match need.place {
        Place::Mean => "whole piece",
        place => place.word(),
    };
    let of = match need.of {
        SaltShare::Water => "salt in the water of the",
        SaltShare::Piece => "salt in the",
    };
    let limits = match (
        limit(need.limits.at_least.as_ref()),
        limit(need.limits.at_most.as_ref()),
    ) {
        (Some(least), Some(most)) => format!("{} to {}", percent(least), percent(most)),
        (Some(least), None) => format!("at least {}", percent(least)),
        (None, Some(most)) => format!("at most {}", percent(most)),
        (None, None) => "any".to_owned(),
    };
    format!("{of} {place} {limits}")
}

pub(super) fn percent(share: f64) -> String {
    quantity::show_share(share)
}

/// A difference of shares: `0.24 points`.
pub(super) fn points(share: f64) -> String {
    let hundredths = (share.abs() * 1e4).round() / 100.0;
    format!("{} points", quantity::show_number(hundredths))
}

pub(super) fn grams(kg: f64) -> String {
    format!("{} g", quantity::show_number((kg * 1e4).round() / 10.0))
}
