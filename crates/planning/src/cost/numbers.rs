//! Every number that a cost is made of, in one row, so that a draw only overwrites some of them.

use chance::special::normal_quantile;
use quantity::Spread;
use serde::Serialize;
use works::{Span, Stated, Yield};

/// A place in the row.
pub(super) type Num = usize;

/// How a number varies.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Shape {
    Spread(Spread),
    /// Normal, kept inside bounds: yields and shares.
    Bounded {
        mean: f64,
        sd: f64,
        low: f64,
        high: f64,
    },
}

/// A number that varies.
#[derive(Clone, Debug)]
pub(super) struct Input {
    pub(super) num: Num,
    pub(super) name: String,
    pub(super) at: Span,
    pub(super) symbol: String,
    pub(super) factor: f64,
    shape: Shape,
}

/// A number that varies, as an answer names it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Varied {
    /// What it is: the operation or item, and which of its numbers.
    pub name: String,
    /// Where it is written.
    pub at: Span,
    /// The unit it was written in.
    pub unit: String,
    /// Base units in one of it.
    pub factor: f64,
    /// Its 10 % point, base units.
    pub low: f64,
    /// Its mean, base units.
    pub mean: f64,
    /// Its 90 % point, base units.
    pub high: f64,
}

/// All numbers.
#[derive(Clone, Debug, Default)]
pub(super) struct Numbers {
    /// At their means.
    pub(super) base: Vec<f64>,
    /// Those that vary.
    pub(super) inputs: Vec<Input>,
}

impl Numbers {
    pub(super) fn constant(&mut self, value: f64) -> Num {
        self.base.push(value);
        self.base.len() - 1
    }

    pub(super) fn stated(&mut self, name: impl FnOnce() -> String, stated: &Stated) -> Num {
        self.spread(name, stated.spread, stated)
    }

    /// A number whose spread is not the one that was written (an amount per unit, say).
    pub(super) fn spread(
        &mut self,
        name: impl FnOnce() -> String,
        spread: Spread,
        stated: &Stated,
    ) -> Num {
        let num = self.constant(spread.mean());
        if spread.sd() > 0.0 {
            self.inputs.push(Input {
                num,
                name: name(),
                at: stated.at,
                symbol: stated.unit.symbol().to_owned(),
                factor: stated.unit.factor(),
                shape: Shape::Spread(spread),
            });
        }
        num
    }

    pub(super) fn option(
        &mut self,
        name: impl FnOnce() -> String,
        stated: Option<&Stated>,
        otherwise: f64,
    ) -> Num {
        match stated {
            Some(stated) => self.stated(name, stated),
            None => self.constant(otherwise),
        }
    }

    /// A yield, varying between lots; `high` is what it cannot exceed.
    pub(super) fn share(&mut self, name: impl FnOnce() -> String, share: &Yield, high: f64) -> Num {
        let num = self.constant(share.mean);
        if let Some(stated) = share.stated.as_ref().filter(|_| share.lots_sd > 0.0) {
            self.bounded(
                num,
                name(),
                stated,
                share.lots_sd,
                (0.01 * share.mean, high),
            );
        }
        num
    }

    /// A factor about 1 with a spread between lots.
    pub(super) fn about_one(
        &mut self,
        name: impl FnOnce() -> String,
        cv: f64,
        stated: Option<&Stated>,
    ) -> Num {
        let num = self.constant(1.0);
        if let Some(stated) = stated.filter(|_| cv > 0.0) {
            self.bounded(num, name(), stated, cv, (0.01, f64::MAX));
        }
        num
    }

    fn bounded(
        &mut self,
        num: Num,
        name: String,
        stated: &Stated,
        sd: f64,
        (low, high): (f64, f64),
    ) {
        let mean = self.base[num];
        self.inputs.push(Input {
            num,
            name,
            at: stated.at,
            symbol: "%".to_owned(),
            factor: 0.01,
            shape: Shape::Bounded {
                mean,
                sd,
                low,
                high,
            },
        });
    }
}

impl Input {
    /// The value below which the number lies with chance `p`. What is above zero in the mean is
    /// never let below a hundredth of it.
    pub(super) fn quantile(&self, p: f64) -> f64 {
        match self.shape {
            Shape::Spread(spread) => {
                let value = quantile(&spread, p);
                let mean = spread.mean();
                if mean > 0.0 {
                    value.max(0.01 * mean)
                } else {
                    value
                }
            }
            Shape::Bounded {
                mean,
                sd,
                low,
                high,
            } => (mean + sd * normal_quantile(p)).clamp(low, high),
        }
    }

    pub(super) fn varied(&self, mean: f64) -> Varied {
        Varied {
            name: self.name.clone(),
            at: self.at,
            unit: self.symbol.clone(),
            factor: self.factor,
            low: self.quantile(0.1),
            mean,
            high: self.quantile(0.9),
        }
    }
}

/// Quantile of a spread: uniform, triangular or normal.
fn quantile(spread: &Spread, p: f64) -> f64 {
    match *spread {
        Spread::Exact(value) => value,
        Spread::Range { low, high } => low + p * (high - low),
        Spread::Triple { low, likely, high } => {
            let width = high - low;
            let rise = (likely - low) / width;
            if p <= rise {
                low + (p * width * (likely - low)).sqrt()
            } else {
                high - ((1.0 - p) * width * (high - likely)).sqrt()
            }
        }
        Spread::Normal { mean, sd } => mean + sd * normal_quantile(p),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantiles_of_stated_spreads() {
        // Triangular 12/14/19: below the peak p = (x−12)²/(7·2), so x = 12 + √(14 p) up to
        // p = 2/7: at 10 % 12 + √1.4 = 13.183; at 90 % 19 − √(0.1·7·5) = 17.129.
        let triple = Spread::Triple {
            low: 12.0,
            likely: 14.0,
            high: 19.0,
        };
        assert!((quantile(&triple, 0.1) - (12.0 + 1.4_f64.sqrt())).abs() < 1e-12);
        assert!((quantile(&triple, 0.9) - (19.0 - 3.5_f64.sqrt())).abs() < 1e-12);
        assert_eq!(
            quantile(
                &Spread::Range {
                    low: 10.0,
                    high: 20.0
                },
                0.9
            ),
            19.0
        );
    }
}
