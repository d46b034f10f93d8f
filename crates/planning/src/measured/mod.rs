//! Measured against stated: readings fitted and held against the numbers that were written.
//!
//! Times are fitted by normal, lognormal, gamma and Weibull, the best by the corrected Akaike
//! criterion; yields by beta-binomial over lots; weights, amounts and characteristics by the
//! normal. A stated mean agrees when it lies in the 95 % interval of the measured mean. A stated
//! standard deviation is held against that of the readings by the chi-square interval, which is
//! right for what is near normal. Fewer than [`FEWEST`] readings are shown, and too few to say.

mod effective;
mod stated;
#[cfg(test)]
mod tests;

use std::collections::BTreeMap;

use chance::fit::{Family, best, fit};
use chance::special::chi_square_quantile;
use quantity::{Unit, show_number, show_share};
use serde::Serialize;
use works::{Reading, ReadingOf, Span, Works};

pub use effective::effective;

use crate::figure::Figures;
use crate::reason::{Ledger, Shown, Source};
use stated::Side;

/// Fewest readings that say anything.
pub const FEWEST: usize = 5;
/// Confidence of the intervals.
const CONFIDENCE: f64 = 0.95;

/// What readings say of a stated number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// The stated number lies in the interval.
    Agrees,
    /// It does not.
    Disagrees,
    /// Too few readings.
    TooFew,
    /// Nothing was stated.
    NothingStated,
}

/// How the measured spread stands to the stated one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum SpreadVerdict {
    /// The stated one lies in the interval.
    Alike,
    /// The readings vary more than stated.
    Wider,
    /// They vary less.
    Narrower,
}

/// One number, stated and measured.
#[derive(Clone, Debug, Serialize)]
pub struct Held {
    /// What it is: `nest block, cross-cut: time`.
    pub name: String,
    /// Readings, or lots for a yield.
    pub readings: usize,
    /// What was fitted; none where there are too few or they are all the same.
    pub fitted: Option<&'static str>,
    /// Mean of the readings, base units.
    pub measured: f64,
    /// Low end of its 95 % interval; none where there are too few.
    pub low: Option<f64>,
    /// High end.
    pub high: Option<f64>,
    /// Standard deviation of the readings, or between lots for a yield.
    pub sd: Option<f64>,
    /// The number as stated.
    pub stated: Option<f64>,
    /// Standard deviation as stated, where one was.
    pub stated_sd: Option<f64>,
    /// Where it was stated.
    pub stated_at: Option<Span>,
    /// Where the first reading is written.
    pub first_at: Span,
    /// Stated over measured, less one.
    pub margin: Option<f64>,
    /// Readings needed to know the mean to 5 % with 95 % confidence.
    pub needed: Option<u32>,
    /// Of the mean.
    pub verdict: Verdict,
    /// Of the spread, where one was stated.
    pub spread: Option<SpreadVerdict>,
    /// All of it in one plain sentence.
    pub sentence: String,
    /// The unit it is shown in.
    pub unit: String,
    /// Base units in one of it.
    pub factor: f64,
    #[serde(skip)]
    of: Option<ReadingOf>,
}

impl Held {
    /// What was measured.
    pub fn of(&self) -> Option<&ReadingOf> {
        self.of.as_ref()
    }

    /// Whether there are enough readings to plan with.
    pub fn enough(&self) -> bool {
        self.low.is_some()
    }
}

/// Mean, interval and spread of readings.
struct Summary {
    readings: usize,
    fitted: Option<&'static str>,
    mean: f64,
    interval: Option<(f64, f64)>,
    sd: Option<f64>,
    /// Interval of the standard deviation.
    sd_interval: Option<(f64, f64)>,
}

/// Holds everything that was measured against what was stated, in order of operation and item.
pub fn hold(works: &Works) -> Vec<Held> {
    let mut groups: BTreeMap<&ReadingOf, Vec<&Reading>> = BTreeMap::new();
    for reading in &works.readings {
        groups.entry(&reading.of).or_default().push(reading);
    }
    groups
        .into_iter()
        .map(|(of, readings)| held(works, of, &readings))
        .collect()
}

fn held(works: &Works, of: &ReadingOf, readings: &[&Reading]) -> Held {
    let side = stated::side(works, of);
    let summary = match of {
        ReadingOf::Good(_) => yields(readings),
        _ => values(of, readings),
    };
    let verdict = verdict(&side, &summary);
    let stated = side.value;
    let mut held = Held {
        readings: summary.readings,
        fitted: summary.fitted,
        measured: summary.mean,
        low: summary.interval.map(|interval| interval.0),
        high: summary.interval.map(|interval| interval.1),
        sd: summary.sd,
        stated,
        stated_sd: side.sd,
        stated_at: side.at,
        first_at: readings[0].at,
        margin: stated
            .filter(|_| summary.mean != 0.0)
            .map(|stated| stated / summary.mean - 1.0),
        needed: needed(&summary),
        verdict,
        spread: spread(&side, &summary),
        sentence: String::new(),
        unit: side.unit.symbol().to_owned(),
        factor: side.unit.factor(),
        name: side.name.clone(),
        of: Some(of.clone()),
    };
    held.sentence = sentence(&held, &side);
    held
}

/// Lots of good out of made.
fn yields(readings: &[&Reading]) -> Summary {
    let rows: Vec<(u64, u64)> = readings
        .iter()
        .filter_map(|reading| Some((reading.out_of?.round() as u64, reading.value.round() as u64)))
        .filter(|(made, good)| *made > 0 && good <= made)
        .collect();
    let (made, good) = rows
        .iter()
        .fold((0, 0), |all, row| (all.0 + row.0, all.1 + row.1));
    let plain = Summary {
        readings: rows.len(),
        fitted: None,
        mean: if made > 0 {
            good as f64 / made as f64
        } else {
            f64::NAN
        },
        interval: None,
        sd: None,
        sd_interval: None,
    };
    if rows.len() < FEWEST {
        return plain;
    }
    let Ok(lots) = chance::lot_yield::lot_yield(&rows, CONFIDENCE) else {
        return plain;
    };
    Summary {
        fitted: Some(if lots.lots_differ {
            "beta-binomial over lots"
        } else {
            "binomial: lots alike"
        }),
        mean: lots.mean.mean,
        interval: Some((lots.mean.low, lots.mean.high)),
        sd: Some(lots.lots_sd.mean),
        sd_interval: Some((lots.lots_sd.low, lots.lots_sd.high)),
        ..plain
    }
}

fn values(of: &ReadingOf, readings: &[&Reading]) -> Summary {
    let values: Vec<f64> = readings
        .iter()
        .map(|r| r.value)
        .filter(|v| v.is_finite())
        .collect();
    let n = values.len();
    let mean = values.iter().sum::<f64>() / n as f64;
    let squares: f64 = values
        .iter()
        .map(|value| (value - mean) * (value - mean))
        .sum();
    let sd = (n > 1).then(|| (squares / (n as f64 - 1.0)).sqrt());
    let plain = Summary {
        readings: n,
        fitted: None,
        mean,
        interval: None,
        sd,
        sd_interval: None,
    };
    if n < FEWEST {
        return plain;
    }
    let fitted = match of {
        ReadingOf::Pace(_) | ReadingOf::Run(_) | ReadingOf::Repair(_) => {
            best(&values, CONFIDENCE).ok()
        }
        _ => fit(&values, Family::Normal, CONFIDENCE).ok(),
    };
    match fitted {
        Some(fit) => Summary {
            fitted: Some(fit.distribution.name()),
            mean: fit.mean.mean,
            interval: Some((fit.mean.low, fit.mean.high)),
            sd: Some(fit.distribution.sd()),
            sd_interval: sd.map(|sd| sd_interval(sd, n as f64 - 1.0)),
            ..plain
        },
        // All readings the same: there is nothing to fit, and the mean is what it is.
        None => Summary {
            interval: Some((mean, mean)),
            ..plain
        },
    }
}

/// Interval of a standard deviation from chi-square (standard; holds for the normal).
fn sd_interval(sd: f64, df: f64) -> (f64, f64) {
    let outside = 0.5 - 0.5 * CONFIDENCE;
    let end = |p: f64| sd * (df / chi_square_quantile(df, p)).sqrt();
    (end(1.0 - outside), end(outside))
}

fn verdict(side: &Side, summary: &Summary) -> Verdict {
    let Some(stated) = side.value else {
        return Verdict::NothingStated;
    };
    let Some((low, high)) = summary.interval else {
        return Verdict::TooFew;
    };
    // A number written with few digits agrees with itself measured to many.
    let slack = 1e-9 * stated.abs();
    let inside = low - slack <= stated && stated <= high + slack;
    if inside {
        Verdict::Agrees
    } else {
        Verdict::Disagrees
    }
}

fn spread(side: &Side, summary: &Summary) -> Option<SpreadVerdict> {
    let stated = side.sd?;
    let (low, high) = summary.sd_interval?;
    Some(if stated < low {
        SpreadVerdict::Wider
    } else if stated > high {
        SpreadVerdict::Narrower
    } else {
        SpreadVerdict::Alike
    })
}

/// Readings to know the mean to 5 % with 95 % confidence: (1.96 s ÷ 0.05 x̄)² (TRADE.md section 6),
/// and never fewer than say anything.
fn needed(summary: &Summary) -> Option<u32> {
    let sd = summary.sd.filter(|_| summary.mean != 0.0)?;
    let exact = (1.96 * sd / (0.05 * summary.mean)).powi(2).ceil();
    Some((exact.min(1e9) as u32).max(FEWEST as u32))
}

fn sentence(held: &Held, side: &Side) -> String {
    let stated = held.stated.map_or("nothing stated".to_owned(), |stated| {
        format!("stated {}", show(stated, &side.unit))
    });
    let lots = matches!(held.of, Some(ReadingOf::Good(_)));
    let what = match (lots, held.readings) {
        (true, 1) => "lot",
        (true, _) => "lots",
        (false, 1) => "reading",
        (false, _) => "readings",
    };
    let (Some(low), Some(high)) = (held.low, held.high) else {
        let needed = held.needed.map_or(String::new(), |needed| {
            format!("; about {needed} would tell the mean to 5 %")
        });
        return format!(
            "{stated}, measured {} ({} {what}): too few to say, at least {FEWEST} are needed{needed}",
            show(held.measured, &side.unit),
            held.readings,
        );
    };
    let measured = format!(
        "{stated}, measured {} (95 %: {} to {}, {} {what})",
        show(held.measured, &side.unit),
        bare(low, &side.unit),
        bare(high, &side.unit),
        held.readings,
    );
    format!(
        "{measured}: {}{}",
        judged(held, side),
        spread_words(held, side)
    )
}

fn judged(held: &Held, side: &Side) -> String {
    match (held.verdict, held.margin) {
        (Verdict::Disagrees, Some(margin)) => {
            let way = if margin < 0.0 { side.below } else { side.above };
            if side.unit.symbol() == "%" {
                let points = (held.stated.unwrap_or(0.0) - held.measured).abs() * 100.0;
                return format!(
                    "the stated {} is {} points {way}",
                    side.kind,
                    show_tenth(points)
                );
            }
            let percent = (margin * 100.0).abs();
            let digits = if percent < 9.95 {
                show_tenth(percent)
            } else {
                format!("{percent:.0}")
            };
            format!("the stated {} is {digits} % {way}", side.kind)
        }
        (Verdict::Agrees | Verdict::Disagrees, _) => {
            format!("the readings bear the stated {} out", side.kind)
        }
        (Verdict::NothingStated | Verdict::TooFew, _) => side.alone.clone(),
    }
}

fn show_tenth(value: f64) -> String {
    format!("{value:.1}").trim_end_matches(".0").to_owned()
}

fn spread_words(held: &Held, side: &Side) -> String {
    let (Some(verdict), Some(sd), Some(stated)) = (held.spread, held.sd, held.stated_sd) else {
        return String::new();
    };
    let words = match verdict {
        SpreadVerdict::Alike => return String::new(),
        SpreadVerdict::Wider => "more",
        SpreadVerdict::Narrower => "less",
    };
    format!(
        "; they vary {words} than stated (standard deviation {} against {})",
        show(sd, &side.unit.difference()),
        show(stated, &side.unit.difference()),
    )
}

fn show(value: f64, unit: &Unit) -> String {
    if unit.symbol() == "%" {
        show_share(value)
    } else {
        quantity::show(value, unit)
    }
}

/// The number alone, in the unit.
fn bare(value: f64, unit: &Unit) -> String {
    if unit.symbol() == "%" {
        show_share(value)
    } else {
        show_number(unit.from_base(value))
    }
}

/// Enters `{name} measured` for everything with enough readings.
pub fn explain(held: &[Held], ledger: &mut Ledger, figures: &mut Figures) {
    for one in held.iter().filter(|one| one.enough()) {
        let how = format!(
            "{}, 95 %: {} to {}",
            one.fitted.unwrap_or("all the same"),
            show_number(one.low.unwrap_or(f64::NAN) / one.factor),
            show_number(one.high.unwrap_or(f64::NAN) / one.factor),
        );
        let source = Source::Measured {
            readings: one.readings,
            how,
            at: Some(one.first_at),
        };
        let key = format!("{} measured", one.name);
        let unit = Shown::new(one.unit.as_str(), one.factor);
        let node = ledger.given(key.clone(), one.measured, unit, source);
        let figure = figures.add(ledger, &key, &key, node);
        (figure.low, figure.high) = (one.low, one.high);
    }
}
