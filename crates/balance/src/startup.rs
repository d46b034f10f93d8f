//! The first turns of a regrind loop, before and while there is regrind to use.
//!
//! Of each feed a share `s` comes back (sprue, runners, rejects), of which the granulator loses
//! `g`; the rule allows a share `r_max` of regrind in the feed. In the first turn there is none, so
//! all of the feed is virgin. From then on a turn uses what the turns before left, up to the rule.
//! In steady state `r = min(r_max, s(1 − g))` and what the rule leaves over, `s(1 − g) − r` of the
//! feed, is surplus. Stuff with k melts behind it makes up `(1 − r) r^k` of a steady feed and the
//! mean number of melts is `r / (1 − r)`: the balance of a well-mixed recycle (derived; the
//! figures in the tests are derived too).

use serde::Serialize;

/// A loop in which part of each feed returns.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct RegrindLoop {
    /// Share of the feed that returns, 0 to below 1.
    pub returns: f64,
    /// Share of what returns that is lost before it can be used again, 0 to 1.
    pub lost: f64,
    /// Largest share of the feed that may be regrind, 0 to 1.
    pub at_most: f64,
    /// Feed per turn, in any unit; above zero.
    pub feed: f64,
    /// Regrind at hand before the first turn, in the same unit, with one melt behind it.
    pub at_hand: f64,
}

/// One turn.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Turn {
    /// Virgin feed.
    pub virgin: f64,
    /// Regrind fed.
    pub regrind: f64,
    /// Regrind as a share of the feed.
    pub share: f64,
    /// Regrind in stock after the turn's own returns have been ground.
    pub stock: f64,
    /// Mean melts behind the feed of this turn.
    pub mean_melts: f64,
}

/// The first turns and what they tend to.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Startup {
    /// The turns, first first.
    pub turns: Vec<Turn>,
    /// Regrind share in steady state.
    pub steady_share: f64,
    /// Regrind left over in every steady turn, as a share of the feed.
    pub steady_surplus_share: f64,
    /// Mean melts behind a steady feed, `r / (1 − r)`; infinite if all of the feed returns.
    pub steady_mean_melts: f64,
    /// The virgin needed over the turns beyond what steady turns would need: what has to be bought
    /// once, to fill the loop.
    pub extra_virgin: f64,
}

/// Why a loop cannot be followed.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum StartupError {
    /// A share outside its range, or a feed or stock that is not a finite amount.
    #[error("{what} cannot be {value}")]
    BadNumber {
        /// Which number.
        what: &'static str,
        /// Its value.
        value: f64,
    },
}

/// Follows a loop through its first `turns` turns.
pub fn startup(regrind: &RegrindLoop, turns: usize) -> Result<Startup, StartupError> {
    inspect(regrind)?;
    let usable = regrind.returns * (1.0 - regrind.lost);
    let steady_share = regrind.at_most.min(usable);
    let (mut stock, mut stock_melts) = (regrind.at_hand, 1.0);
    let mut followed = Vec::with_capacity(turns);
    for _ in 0..turns {
        let used = stock.min(regrind.at_most * regrind.feed);
        let share = used / regrind.feed;
        // Virgin has none behind it; regrind the melts of its stock, which is mixed.
        let mean_melts = share * stock_melts;
        let (kept, returned) = (stock - used, usable * regrind.feed);
        stock = kept + returned;
        if stock > 0.0 {
            stock_melts = (kept * stock_melts + returned * (mean_melts + 1.0)) / stock;
        }
        let virgin = regrind.feed - used;
        followed.push(Turn {
            virgin,
            regrind: used,
            share,
            stock,
            mean_melts,
        });
    }
    let steady_virgin = (1.0 - steady_share) * regrind.feed;
    let extra_virgin = followed
        .iter()
        .map(|turn| turn.virgin - steady_virgin)
        .sum();
    Ok(Startup {
        turns: followed,
        steady_share,
        steady_surplus_share: usable - steady_share,
        steady_mean_melts: mean_melts(steady_share),
        extra_virgin,
    })
}

fn inspect(regrind: &RegrindLoop) -> Result<(), StartupError> {
    let shares = [
        ("share returned", regrind.returns),
        ("share lost", regrind.lost),
        ("share allowed", regrind.at_most),
    ];
    for (what, value) in shares {
        if !(0.0..=1.0).contains(&value) {
            return Err(StartupError::BadNumber { what, value });
        }
    }
    for (what, value, least) in [
        ("feed", regrind.feed, f64::MIN_POSITIVE),
        ("stock", regrind.at_hand, 0.0),
    ] {
        if !(least..=f64::MAX).contains(&value) {
            return Err(StartupError::BadNumber { what, value });
        }
    }
    Ok(())
}

/// The share of a steady feed with exactly `melts` melts behind it: `(1 − r) r^k`.
pub fn melts_share(share: f64, melts: i32) -> f64 {
    (1.0 - share) * libm::pow(share, f64::from(melts))
}

/// The share of a steady feed with at least `melts` melts behind it: `r^k`.
pub fn melts_at_least(share: f64, melts: i32) -> f64 {
    libm::pow(share, f64::from(melts))
}

/// Mean melts behind a steady feed: `r / (1 − r)`.
pub fn mean_melts(share: f64) -> f64 {
    share / (1.0 - share)
}

/// A property of a steady feed, from its value after each number of melts: `Σ (1 − r) r^k P_k`, the
/// last value standing for all beyond it. None if no value is given.
pub fn mixed_property(share: f64, after_melts: &[f64]) -> Option<f64> {
    let (last, before) = after_melts.split_last()?;
    let mut rest = 1.0;
    let mut sum = 0.0;
    for value in before {
        sum += rest * (1.0 - share) * value;
        rest *= share;
    }
    Some(sum + rest * last)
}

/// How often each piece passes an operation that returns a share of them to itself, or to a step
/// before it: `1 / (1 − q)`. None for a share outside 0 to below 1.
pub fn passes_with_rework(returned: f64) -> Option<f64> {
    (0.0..1.0)
        .contains(&returned)
        .then(|| 1.0 / (1.0 - returned))
}

/// Good per piece entering a test that passes `good`, sends `reworked` round again, and scraps the
/// rest: `good / (1 − reworked)`. None unless both are shares that leave a way out.
pub fn good_with_rework(good: f64, reworked: f64) -> Option<f64> {
    let shares = good >= 0.0 && good + reworked <= 1.0 + 1e-12;
    passes_with_rework(reworked)
        .filter(|_| shares)
        .map(|passes| good * passes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn close(a: f64, b: f64) {
        assert!((a - b).abs() <= 1e-9 * (1.0 + b.abs()), "{a} is not {b}");
    }

    fn loop_of(returns: f64, lost: f64, at_most: f64) -> RegrindLoop {
        RegrindLoop {
            returns,
            lost,
            at_most,
            feed: 100.0,
            at_hand: 0.0,
        }
    }

    /// TRADE.md section 5 (derived): s .30, r_max .25 → 5 % surplus. The first turn is all virgin;
    /// the second already uses 25 of the 30 that came back.
    #[test]
    fn the_first_turn_is_virgin() {
        let startup = startup(&loop_of(0.30, 0.0, 0.25), 4).expect("sound");
        let shares: Vec<f64> = startup.turns.iter().map(|turn| turn.share).collect();
        assert_eq!(shares, [0.0, 0.25, 0.25, 0.25]);
        close(startup.turns[0].virgin, 100.0);
        close(startup.turns[0].stock, 30.0);
        close(startup.turns[1].stock, 35.0);
        close(startup.steady_surplus_share, 0.05);
        close(startup.extra_virgin, 25.0);
    }

    /// TRADE.md section 5 (derived): r .25 → mean .33, three or more melts 1.6 %.
    #[test]
    fn melts_behind_a_steady_feed() {
        close(mean_melts(0.25), 1.0 / 3.0);
        close(melts_at_least(0.25, 3), 0.015_625);
        close(melts_share(0.25, 0), 0.75);
        let startup = startup(&loop_of(0.25, 0.0, 1.0), 40).expect("sound");
        // m = r (1 + m before): 0, .25, .3125 … → 1/3.
        close(startup.turns[1].mean_melts, 0.25);
        close(startup.turns[2].mean_melts, 0.3125);
        close(startup.turns[39].mean_melts, 1.0 / 3.0);
    }

    /// Strength 50 new, 48 once melted, 44 beyond: .75 × 50 + .1875 × 48 + .0625 × 44 = 49.25.
    #[test]
    fn a_property_mixes_by_melts() {
        close(
            mixed_property(0.25, &[50.0, 48.0, 44.0]).expect("given"),
            49.25,
        );
        assert_eq!(mixed_property(0.25, &[]), None);
    }

    /// .90 good, .08 round again, .02 scrap: .90 / .92.
    #[test]
    fn rework_in_closed_form() {
        close(passes_with_rework(0.04).expect("a way out"), 1.0 / 0.96);
        close(
            good_with_rework(0.90, 0.08).expect("a way out"),
            0.90 / 0.92,
        );
        assert_eq!(passes_with_rework(1.0), None);
        assert_eq!(good_with_rework(0.95, 0.08), None);
    }

    #[test]
    fn nonsense_is_refused() {
        let bad = RegrindLoop {
            feed: 0.0,
            ..loop_of(0.3, 0.0, 0.25)
        };
        assert_eq!(
            startup(&bad, 1),
            Err(StartupError::BadNumber {
                what: "feed",
                value: 0.0
            })
        );
        assert!(startup(&loop_of(f64::NAN, 0.0, 0.25), 1).is_err());
        assert!(startup(&loop_of(0.3, 1.5, 0.25), 1).is_err());
    }

    proptest! {
        /// All that came back is fed again, in stock, or lost.
        #[test]
        fn regrind_is_conserved(
            returns in 0.0..1.0f64, lost in 0.0..1.0f64, at_most in 0.0..1.0f64,
            at_hand in 0.0..500.0f64, turns in 1..60usize,
        ) {
            let regrind = RegrindLoop { at_hand, ..loop_of(returns, lost, at_most) };
            let startup = startup(&regrind, turns).expect("sound");
            let came = at_hand + turns as f64 * 100.0 * returns * (1.0 - lost);
            let used: f64 = startup.turns.iter().map(|turn| turn.regrind).sum();
            let stock = startup.turns.last().expect("one turn at least").stock;
            prop_assert!((came - used - stock).abs() <= 1e-9 * (1.0 + came));
            for turn in &startup.turns {
                prop_assert!(turn.share <= at_most + 1e-12);
                prop_assert!((turn.virgin + turn.regrind - 100.0).abs() < 1e-9);
            }
        }
    }
}
