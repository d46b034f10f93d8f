//! The stated number that readings are held against.

use quantity::{Dimension, Unit, Units};
use works::{Operation, Pace, ReadingOf, Span, Stated, Works, Yield};

/// One side of the comparison, and the words for it.
pub(super) struct Side {
    pub(super) name: String,
    /// `time`, `yield`, …
    pub(super) kind: &'static str,
    /// A stated number that is below the measured one is …
    pub(super) below: &'static str,
    pub(super) above: &'static str,
    pub(super) value: Option<f64>,
    pub(super) sd: Option<f64>,
    pub(super) at: Option<Span>,
    /// The unit both are shown in.
    pub(super) unit: Unit,
    /// What to say where nothing is stated.
    pub(super) alone: String,
}

/// What was stated of the thing that readings measure.
pub(super) fn side(works: &Works, of: &ReadingOf) -> Side {
    match of {
        ReadingOf::Pace(id) => pace(works, works.operation(*id)),
        ReadingOf::Good(id) => {
            let operation = works.operation(*id);
            share(named(works, operation, "good"), &operation.good)
        }
        ReadingOf::Keeps(id) => {
            let operation = works.operation(*id);
            share(named(works, operation, "keeps"), &operation.keeps)
        }
        ReadingOf::Makes(id) => makes(works, works.operation(*id)),
        ReadingOf::Run(id) => {
            let station = works.station(*id);
            let stated = station.stops.as_ref().map(|stops| &stops.run);
            time(
                format!("{}: running time between stops", station.name),
                stated,
            )
        }
        ReadingOf::Repair(id) => {
            let station = works.station(*id);
            let stated = station.stops.as_ref().map(|stops| &stops.repair);
            time(format!("{}: time to repair", station.name), stated)
        }
        ReadingOf::Mass(id) => {
            let item = works.item(*id);
            Side {
                kind: "mass",
                ..plain(
                    format!("{}: mass", item.name),
                    item.mass.as_ref(),
                    kilogram(),
                )
            }
        }
        ReadingOf::Check(id, what) => characteristic(works, works.operation(*id), what),
    }
}

fn named(works: &Works, operation: &Operation, what: &str) -> String {
    let product = &works.item(works.route(operation.route).makes).name;
    format!("{product}, {}: {what}", operation.name)
}

fn kilogram() -> Unit {
    Unit::base(&Dimension::MASS)
}

fn second() -> Unit {
    Unit::base(&Dimension::TIME)
}

/// Per cent, as shares are shown.
fn percent() -> Unit {
    Units::standard()
        .parse_unit("%")
        .unwrap_or_else(|_| Unit::one())
}

fn plain(name: String, stated: Option<&Stated>, otherwise: Unit) -> Side {
    let sd = stated.map(|stated| stated.spread.sd());
    Side {
        name,
        kind: "number",
        below: "too low",
        above: "too high",
        value: stated.map(Stated::mean),
        sd: sd.filter(|sd| *sd > 0.0),
        at: stated.map(|stated| stated.at),
        unit: stated.map_or(otherwise, |stated| stated.unit.clone()),
        alone: "there is no stated number to hold it against".to_owned(),
    }
}

fn time(name: String, stated: Option<&Stated>) -> Side {
    Side {
        kind: "time",
        below: "too short",
        above: "too long",
        ..plain(name, stated, second())
    }
}

fn share(name: String, stated: &Yield) -> Side {
    Side {
        kind: "yield",
        value: Some(stated.mean),
        sd: Some(stated.lots_sd).filter(|sd| *sd > 0.0),
        unit: percent(),
        ..plain(name, stated.stated.as_ref(), percent())
    }
}

/// Time of one unit; of a load the dwell, since units in a load are not timed one by one.
fn pace(works: &Works, operation: &Operation) -> Side {
    let name = named(works, operation, "time");
    match &operation.pace {
        Pace::None => time(name, None),
        Pace::Each(each) => Side {
            unit: time_unit(&each.unit),
            ..time(name, Some(each))
        },
        Pace::Load(load) => time(name, Some(&load.dwell)),
        Pace::Flow { rate, .. } => {
            let mean = rate.mean();
            let sd = rate.spread.sd() / (mean * mean);
            Side {
                value: (mean > 0.0).then(|| 1.0 / mean),
                sd: Some(sd).filter(|sd| *sd > 0.0 && sd.is_finite()),
                unit: second(),
                ..time(name, Some(rate))
            }
        }
    }
}

/// Readings of a pace are seconds for one unit, whatever the pace was written per.
fn time_unit(written: &Unit) -> Unit {
    if *written.dimension() == Dimension::TIME {
        written.clone()
    } else {
        second()
    }
}

fn makes(works: &Works, operation: &Operation) -> Side {
    let output = &operation.output;
    let name = named(works, operation, "makes");
    let within = output.within_cv * output.per_recipe;
    Side {
        kind: "number of units",
        value: Some(output.per_recipe),
        sd: Some(within).filter(|sd| *sd > 0.0),
        unit: output.unit.clone(),
        ..plain(name, output.stated.as_ref(), output.unit.clone())
    }
}

/// A characteristic is held against the aim of the setting of its name; against its limits where
/// there is no such setting.
fn characteristic(works: &Works, operation: &Operation, what: &str) -> Side {
    let name = named(works, operation, what);
    let aim = operation
        .settings
        .iter()
        .find(|setting| setting.name == what)
        .map(|s| &s.aim);
    let limit = operation
        .checks
        .iter()
        .find(|check| check.what == what)
        .and_then(|c| c.limit.as_ref());
    let unit = limit.map_or_else(Unit::one, |limit| limit.unit.clone());
    let mut side = Side {
        kind: "aim",
        ..plain(name, aim, unit)
    };
    if let Some(limit) = limit.filter(|_| aim.is_none()) {
        let show = |value: Option<f64>| value.map(|value| quantity::show(value, &limit.unit));
        side.alone = match (show(limit.low), show(limit.high)) {
            (Some(low), Some(high)) => format!("the limits are {low} and {high}"),
            (Some(low), None) => format!("the limit is at least {low}"),
            (None, Some(high)) => format!("the limit is at most {high}"),
            (None, None) => side.alone,
        };
    }
    side
}
