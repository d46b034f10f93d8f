//! Pieces of cost arithmetic: set-up spread, price breaks, learning.

use serde::Serialize;

/// What of a set-up falls on each unit of a batch. None if the batch is nothing.
pub fn set_up_spread(set_up_cost: f64, batch: f64) -> Option<f64> {
    (batch > 0.0).then(|| set_up_cost / batch)
}

/// A price per unit for orders of at least so much.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PriceBreak {
    /// Smallest order at this price.
    pub from: f64,
    /// Price per unit, for the whole order.
    pub price: f64,
}

/// What to order under price breaks.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Purchase {
    /// What to order: what is wanted, or more where a break makes more cost less.
    pub amount: f64,
    /// Price per unit.
    pub price: f64,
    /// Cost of the order.
    pub cost: f64,
}

/// The price per unit of an order, the whole order at the price of the highest break reached; in
/// any order of breaks. None below the lowest break.
pub fn price_at(breaks: &[PriceBreak], amount: f64) -> Option<f64> {
    let reached = breaks.iter().filter(|b| b.from <= amount);
    reached
        .max_by(|a, b| a.from.total_cmp(&b.from))
        .map(|b| b.price)
}

/// The cheapest order that covers an amount: at its own price, or at the start of a higher break.
/// The smaller order wins a tie. None if there are no breaks.
pub fn cheapest_order(breaks: &[PriceBreak], wanted: f64) -> Option<Purchase> {
    let order = |amount: f64| {
        let price = price_at(breaks, amount)?;
        Some(Purchase {
            amount,
            price,
            cost: price * amount,
        })
    };
    let higher = breaks.iter().map(|b| b.from).filter(|&from| from > wanted);
    let offers = std::iter::once(wanted).chain(higher).filter_map(order);
    offers.min_by(|a, b| {
        a.cost
            .total_cmp(&b.cost)
            .then(a.amount.total_cmp(&b.amount))
    })
}

/// A unit learning curve, `T_n = T_1 n^b` with `b = log2(rate)` (Wright 1936; unit form Crawford
/// 1944, from memory).
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Learning {
    /// Time of the first unit, seconds.
    pub first_s: f64,
    /// Time of a unit over that of the unit at half its number, e.g. 0.85; above 0, at most 1.
    pub rate: f64,
}

/// Up to this many units a sum is added up; beyond, Euler and Maclaurin's formula is exact to
/// rounding.
const ADDED_UP: u64 = 64;

impl Learning {
    /// The exponent, `log2(rate)`; zero or less.
    pub fn exponent(&self) -> f64 {
        libm::log2(self.rate)
    }

    /// Time of the n-th unit, seconds.
    pub fn unit_s(&self, n: f64) -> f64 {
        self.first_s * libm::pow(n, self.exponent())
    }

    /// Time of the first n units, seconds: the sum itself for few, for many its Euler–Maclaurin
    /// form `∫ + (f(a) + f(n))/2 + (f'(n) − f'(a))/12 − (f'''(n) − f'''(a))/720` from unit a on.
    pub fn total_s(&self, n: u64) -> f64 {
        let low = n.min(ADDED_UP);
        let sum: f64 = (1..=low).map(|unit| self.unit_s(unit as f64)).sum();
        if n <= ADDED_UP {
            return sum;
        }
        let b = self.exponent();
        let (from, to) = (low as f64, n as f64);
        let power = |x: f64, p: f64| libm::pow(x, p);
        // ∫ x^b is a logarithm at b = −1 (a rate of 50 %).
        let integral = if (b + 1.0).abs() < 1e-12 {
            libm::log(to / from)
        } else {
            (power(to, b + 1.0) - power(from, b + 1.0)) / (b + 1.0)
        };
        let ends = (power(to, b) - power(from, b)) / 2.0;
        let slopes = b * (power(to, b - 1.0) - power(from, b - 1.0)) / 12.0;
        let third = b * (b - 1.0) * (b - 2.0);
        let bends = third * (power(to, b - 3.0) - power(from, b - 3.0)) / 720.0;
        sum + self.first_s * (integral + ends + slopes - bends)
    }

    /// Mean time over the first n units, seconds. None for no units.
    pub fn mean_s(&self, n: u64) -> Option<f64> {
        (n > 0).then(|| self.total_s(n) / n as f64)
    }

    /// The usual short form of the mean, `T_1 n^b / (1 + b)` (TRADE.md section 6). None where it
    /// has no meaning, at a rate of one half or less. It overstates short runs.
    pub fn mean_by_short_form_s(&self, n: f64) -> Option<f64> {
        let b = self.exponent();
        (b > -1.0).then(|| self.unit_s(n) / (1.0 + b))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// CHECKS IN-07 (computed): unit 10 and cumulative 10 at 90, 80 and 70 %.
    #[test]
    fn learning_values() {
        for (rate, tenth, ten) in [
            (0.9, 0.704_688, 7.994_479),
            (0.8, 0.476_510, 6.315_373),
            (0.7, 0.305_792, 4.931_771),
        ] {
            let curve = Learning { first_s: 1.0, rate };
            assert!((curve.unit_s(10.0) - tenth).abs() < 1e-6);
            assert!((curve.total_s(10) - ten).abs() < 1e-6);
        }
    }

    /// At 80 % the short form gives n^b/(1 + b) = .476510/.678072 = .7027 against .6315 exactly.
    #[test]
    fn the_short_form_overstates_short_runs() {
        let curve = Learning {
            first_s: 1.0,
            rate: 0.8,
        };
        let short = curve
            .mean_by_short_form_s(10.0)
            .expect("rate above one half");
        assert!((short - 0.702_743).abs() < 1e-5, "{short}");
        assert!(short > curve.mean_s(10).expect("ten units"));
        assert_eq!(
            Learning {
                first_s: 1.0,
                rate: 0.5
            }
            .mean_by_short_form_s(10.0),
            None
        );
        assert_eq!(curve.mean_s(0), None);
    }

    /// 10 each, 9 from 100, 8 from 500. 95 wanted: 100 × 9 = 900 beats 95 × 10 = 950. 480 wanted:
    /// 500 × 8 = 4,000 beats 480 × 9 = 4,320. 400 wanted: 3,600 stands.
    #[test]
    fn buying_more_can_cost_less() {
        let at = |from, price| PriceBreak { from, price };
        let breaks = [at(500.0, 8.0), at(0.0, 10.0), at(100.0, 9.0)];
        for (wanted, amount, cost) in [
            (95.0, 100.0, 900.0),
            (480.0, 500.0, 4000.0),
            (400.0, 400.0, 3600.0),
        ] {
            let order = cheapest_order(&breaks, wanted).expect("there are breaks");
            assert_eq!((order.amount, order.cost), (amount, cost));
        }
        assert_eq!(price_at(&breaks[..1], 499.0), None);
        assert_eq!(
            cheapest_order(&breaks[..1], 499.0).map(|o| o.amount),
            Some(500.0)
        );
        assert_eq!(cheapest_order(&[], 1.0), None);
        assert_eq!(set_up_spread(120.0, 400.0), Some(0.3));
        assert_eq!(set_up_spread(120.0, 0.0), None);
    }

    proptest! {
        #[test]
        fn the_long_sum_is_the_sum(n in 65..3000u64, rate in 0.4..1.0f64) {
            let curve = Learning { first_s: 10.0, rate };
            let added: f64 = (1..=n).map(|unit| curve.unit_s(unit as f64)).sum();
            prop_assert!((curve.total_s(n) - added).abs() <= 1e-11 * added);
        }
    }
}
