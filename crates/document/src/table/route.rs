//! The operations of a route as written.

use std::fmt::Write as _;

use quantity::{Spread, Unit, show};
use works::{
    Check, CheckEvery, ItemId, Operation, Pace, RejectTo, RouteId, Setting, Stated, Works, Yield,
};

use super::Ground;
use crate::block::{Cell, Column, Role, Table, Value};

/// The operations of a route.
pub(crate) fn operations(ground: &Ground<'_>, route: RouteId) -> Table {
    let columns = [
        Column::words("Operation"),
        Column::words("Station"),
        Column::words("Takes"),
        Column::words("Pace"),
        Column::words("Yield"),
        Column::numbers("Attempted", ""),
        Column::words("Settings and checks"),
    ];
    let works = ground.works;
    let product = &works.item(works.route(route).makes).name;
    let mut table = Table::new(format!("Operations of {product}"), columns);
    let levels = ground
        .plan
        .material
        .routes
        .iter()
        .find(|levels| levels.route == route.0);
    for &id in &works.route(route).operations {
        let operation = works.operation(id);
        let level = levels.and_then(|levels| {
            levels
                .operations
                .iter()
                .find(|level| level.operation == id.0)
        });
        let station = operation
            .station
            .map(|station| works.station(station).name.clone());
        table.push([
            Cell::from(operation.name.as_str()).role(Role::Strong),
            station.into(),
            takes(works, operation).into(),
            pace(works, operation).into(),
            yields(works, operation).into(),
            level.map_or_else(
                || Value::None.into(),
                |level| ground.amount(level.attempted),
            ),
            settings(works, operation).into(),
        ]);
    }
    table
}

/// A number as it was stated, in as many figures as people read.
pub(crate) fn stated(stated: &Stated) -> String {
    let unit = &stated.unit;
    let number = |base: f64| quantity::show_number(unit.from_base(base));
    let words = match stated.spread {
        Spread::Exact(value) => number(value),
        Spread::Range { low, high } => format!("{} to {}", number(low), number(high)),
        Spread::Triple { low, likely, high } => {
            format!("{} / {} / {}", number(low), number(likely), number(high))
        }
        Spread::Normal { mean, sd } => {
            format!(
                "{} ± {}",
                number(mean),
                quantity::show_number(unit.difference().from_base(sd))
            )
        }
    };
    format!("{words} {}", unit.symbol()).trim_end().to_owned()
}

fn amount_of(works: &Works, item: ItemId, amount: &Spread, unit: &Unit) -> String {
    let per = works.item(item).unit.over(unit);
    format!("{} {}", works.item(item).name, show(amount.mean(), &per))
}

/// What an operation takes from outside its route.
pub(crate) fn takes(works: &Works, operation: &Operation) -> String {
    let unit = &operation.output.unit;
    let mut words = Vec::new();
    for take in &operation.takes {
        let mut text = amount_of(works, take.item, &take.amount, unit);
        if let Some(recovered) = &take.recovered {
            let most = stated(&recovered.at_most);
            let _ = write!(
                text,
                ", {} up to {most} of it",
                works.item(recovered.item).name
            );
        }
        words.push(text);
    }
    if let Some(item) = operation.uses_up {
        words.push(format!("all {} there is", works.item(item).name));
    }
    words.join("; ")
}

/// How long an operation takes.
pub(crate) fn pace(works: &Works, operation: &Operation) -> String {
    let mut words = match &operation.pace {
        Pace::None => Vec::new(),
        Pace::Each(each) if each.unit.symbol().contains('/') => vec![stated(each)],
        Pace::Each(each) => vec![format!("{} each", stated(each))],
        Pace::Flow { rate, through } => {
            let through = through.as_ref().map(|t| format!("{} to pass", stated(t)));
            std::iter::once(stated(rate)).chain(through).collect()
        }
        Pace::Load(load) => {
            let turn = load
                .turn
                .as_ref()
                .map(|turn| format!("{} to turn", stated(turn)));
            let holds = format!(
                "{} a load, {} inside",
                stated(&load.holds),
                stated(&load.dwell)
            );
            std::iter::once(holds).chain(turn).collect()
        }
    };
    words.extend(
        operation
            .setup
            .as_ref()
            .map(|setup| format!("{} set-up a lot", stated(setup))),
    );
    words.extend(
        operation
            .wait
            .at_least
            .as_ref()
            .map(|wait| format!("after at least {}", stated(wait))),
    );
    words.extend(
        operation
            .wait
            .at_most
            .as_ref()
            .map(|wait| format!("within {}", stated(wait))),
    );
    for tool in &operation.tools {
        words.push(format!(
            "{} lasts {}",
            tool.name,
            stated(tool.life.stated())
        ));
    }
    let others: Vec<&str> = operation
        .alternatives
        .iter()
        .map(|other| works.station(other.station).name.as_str())
        .collect();
    if !others.is_empty() {
        words.push(format!("or at {}", others.join(", ")));
    }
    words.join("; ")
}

fn yield_words(what: &str, share: &Yield) -> Option<String> {
    if share.stated.is_none() && share.mean == 1.0 {
        return None;
    }
    let mean = Value::Share(share.mean).show();
    let lots = if share.lots_sd > 0.0 {
        format!(" ± {} by lot", Value::Share(share.lots_sd).show())
    } else {
        String::new()
    };
    Some(format!("{what} {mean}{lots}"))
}

/// What an operation keeps, what passes, and what becomes of the rest.
pub(crate) fn yields(works: &Works, operation: &Operation) -> String {
    let mut words: Vec<String> = Vec::new();
    words.extend(yield_words("keeps", &operation.keeps));
    words.extend(yield_words("good", &operation.good));
    if operation.good.mean < 1.0 {
        for reject in operation.rejects.iter().filter(|reject| reject.share > 0.0) {
            let to = match &reject.to {
                RejectTo::Scrap => "thrown away".to_owned(),
                RejectTo::Item(item, _) => format!("to {}", works.item(*item).name),
                RejectTo::Rework(to) => format!("back to {}", works.operation(*to).name),
            };
            words.push(if reject.share < 1.0 {
                format!("{} {to}", Value::Share(reject.share).show())
            } else {
                format!("rest {to}")
            });
        }
    }
    for also in &operation.also {
        words.push(format!(
            "also {}",
            amount_of(works, also.item, &also.amount, &operation.output.unit)
        ));
    }
    words.extend(
        operation
            .lost_as
            .as_ref()
            .map(|lost| format!("lost as {lost}")),
    );
    words.join("; ")
}

/// One setting.
pub(crate) fn setting(setting: &Setting) -> String {
    let within = setting
        .within
        .as_ref()
        .map(|within| format!(" ± {}", stated(within)))
        .unwrap_or_default();
    let critical = if setting.critical { "critical: " } else { "" };
    format!(
        "{critical}{} {}{within}",
        setting.name,
        stated(&setting.aim)
    )
}

/// One check.
pub(crate) fn check(check: &Check) -> String {
    let limit = check.limit.as_ref().map(|limit| {
        let show = |value: f64| show(value, &limit.unit);
        match (limit.low, limit.high) {
            (Some(low), Some(high)) => format!(" {} to {}", show(low), show(high)),
            (Some(low), None) => format!(" at least {}", show(low)),
            (None, Some(high)) => format!(" at most {}", show(high)),
            (None, None) => String::new(),
        }
    });
    let every = match &check.every {
        CheckEvery::Unit => "every one".to_owned(),
        CheckEvery::Lot => "each lot".to_owned(),
        CheckEvery::Load => "each load".to_owned(),
        CheckEvery::Shift => "each shift".to_owned(),
        CheckEvery::Amount(amount) | CheckEvery::Time(amount) => {
            format!("every {}", stated(amount))
        }
    };
    let destroys = if check.destroys { ", sample lost" } else { "" };
    format!(
        "check {}{}, {every}{destroys}",
        check.what,
        limit.unwrap_or_default()
    )
}

/// Settings and checks of an operation.
pub(crate) fn settings(works: &Works, operation: &Operation) -> String {
    let by = |check: &Check| {
        check
            .by
            .map(|skill| format!(" by {}", works.skill(skill).name))
            .unwrap_or_default()
    };
    let settings = operation.settings.iter().map(setting);
    let checks = operation
        .checks
        .iter()
        .map(|one| format!("{}{}", check(one), by(one)));
    settings.chain(checks).collect::<Vec<_>>().join("; ")
}
