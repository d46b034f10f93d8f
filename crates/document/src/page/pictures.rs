//! From the plan to the pictures' plain data.

use picture::{
    BalanceStation, CertaintyCurve, CertaintyMark, CostColumn, CostStack, IntervalDots,
    IntervalRow, LineBalance, LoadBars, LoadKind, LoadRow, MassFlow, Outlet, OutletKind, Stream,
    Tornado, TornadoBar, WeekRow, WeekStrip,
};
use planning::cost::ProductCost;
use planning::load::{LineAnswer, ManualLine, StationLoad};
use planning::material::{ProductStart, RouteMass};

use crate::table::{self, Ground};

/// The curve of a start quantity.
pub(super) fn certainty(ground: &Ground<'_>, start: &ProductStart) -> CertaintyCurve {
    let unit = |base: f64| start.unit.of(base);
    let mark = |figure: &Option<planning::material::StartFigure>, label: &str| {
        figure.as_ref().map(|figure| CertaintyMark {
            quantity: ground.number(figure.quantity),
            odds: figure.odds,
            label: label.to_owned(),
        })
    };
    let marks = [
        mark(&start.even, "even odds"),
        mark(&start.certain, "for the plan"),
    ];
    let what = if start.start_of.contains(&*start.unit.symbol) {
        start.start_of.clone()
    } else {
        format!("{}, {}", start.start_of, start.unit.symbol)
    };
    CertaintyCurve {
        points: start
            .curve
            .iter()
            .map(|point| (unit(point.quantity), point.odds))
            .collect(),
        marks: marks.into_iter().flatten().collect(),
        naive: Some(ground.number(start.mean)),
        quantity_label: format!("{what} to start"),
    }
}

/// Hours of stations as bars.
pub(super) fn loads(stations: &[&StationLoad]) -> LoadBars {
    let row = |station: &&StationLoad| {
        let seconds = &station.seconds;
        let parts = [
            (LoadKind::Run, seconds.run_s + seconds.check_s),
            (LoadKind::SetUp, seconds.setup_s),
            (LoadKind::Changeover, seconds.changeover_s),
            (LoadKind::ToolChange, seconds.tool_change_s),
            (LoadKind::Stops, seconds.stops_s),
            (LoadKind::Idle, station.left_s),
        ];
        let note = if station.count > 1 {
            format!("{} alike", station.count)
        } else {
            String::new()
        };
        LoadRow {
            name: station.name.clone(),
            parts: parts
                .into_iter()
                .filter(|part| part.1 > 0.0)
                .map(|(kind, s)| (kind, s / 3600.0))
                .collect(),
            available_hours: station.available_s / 3600.0,
            note,
            bottleneck: station.bottleneck,
        }
    };
    LoadBars {
        rows: stations.iter().map(row).collect(),
    }
}

/// Load week by week.
pub(super) fn weeks(ground: &Ground<'_>) -> WeekStrip {
    let load = &ground.plan.load;
    let short = |label: &str| label.rsplit('-').next().unwrap_or(label).to_owned();
    let used = load
        .stations
        .iter()
        .filter(|station| station.wanted_s > 0.0);
    WeekStrip {
        weeks: load.weeks.iter().map(|week| short(&week.label)).collect(),
        rows: used
            .map(|s| WeekRow {
                name: s.name.clone(),
                utilisation: s.by_week.clone(),
            })
            .collect(),
    }
}

/// A split of manual work.
pub(super) fn line(line: &ManualLine, answer: &LineAnswer) -> LineBalance {
    let place = |(number, tasks): (usize, &Vec<usize>)| BalanceStation {
        name: format!("place {}", number + 1),
        tasks: tasks
            .iter()
            .filter_map(|&task| line.tasks.get(task).cloned())
            .collect(),
    };
    LineBalance {
        takt_s: line.takt_s.unwrap_or(answer.cycle_s),
        stations: answer.at.iter().enumerate().map(place).collect(),
    }
}

/// Cost of one at several quantities, in stacks.
pub(super) fn cost(ground: &Ground<'_>, product: &ProductCost) -> CostStack {
    let unit = &ground.works.item(product.item).unit;
    let costs = || std::iter::once(&product.plan).chain(&product.at);
    let elements = table::elements_in(costs());
    let column = |(at, cost): (usize, &planning::cost::UnitCost)| {
        let quantity = planning::reason::number(unit.from_base(cost.quantity));
        CostColumn {
            quantity: if at == 0 {
                format!("plan: {quantity}")
            } else {
                quantity
            },
            parts: elements
                .iter()
                .map(|element| cost.elements.get(*element) * unit.factor())
                .collect(),
            low_high: Some((cost.low * unit.factor(), cost.high * unit.factor())),
        }
    };
    CostStack {
        elements: elements
            .iter()
            .map(|element| element.name().to_owned())
            .collect(),
        columns: costs().enumerate().map(column).collect(),
        unit: format!("{}/{}", ground.plan.currency, unit.symbol()),
    }
}

/// What drives a cost.
pub(super) fn drivers(ground: &Ground<'_>, product: &ProductCost) -> Tornado {
    let unit = &ground.works.item(product.item).unit;
    let bars = product.drivers.iter().map(|driver| {
        let number = &driver.number;
        let input = |base: f64| {
            format!(
                "{} {}",
                planning::reason::number(base / number.factor),
                number.unit
            )
            .trim()
            .to_owned()
        };
        TornadoBar {
            name: number.name.clone(),
            low_input: input(number.low),
            high_input: input(number.high),
            low: driver.at_low * unit.factor(),
            high: driver.at_high * unit.factor(),
        }
    });
    Tornado {
        base: product.plan.likely * unit.factor(),
        unit: format!("{}/{}", ground.plan.currency, unit.symbol()),
        bars: bars.collect(),
    }
}

/// Stated against measured.
pub(super) fn intervals(ground: &Ground<'_>) -> IntervalDots {
    let row = |held: &planning::measured::Held| {
        let unit = |base: f64| base / held.factor;
        Some(IntervalRow {
            name: held.name.clone(),
            unit: held.unit.clone(),
            stated: held.stated.map(unit),
            tolerance: None,
            measured: unit(held.measured),
            interval: (unit(held.low?), unit(held.high?)),
            count: held.readings,
            verdict: table::verdict(held),
            disagrees: table::disagrees(held),
        })
    };
    IntervalDots {
        rows: ground.plan.measured.iter().filter_map(row).collect(),
        interval_label: "95 % interval of the mean".to_owned(),
    }
}

/// The mass balance of a route.
pub(super) fn masses(ground: &Ground<'_>, route: &RouteMass) -> Option<MassFlow> {
    let sums = route.sums.as_ref()?;
    let whole = ground.number(sums.taken);
    let mut flow = MassFlow {
        unit: "kg".to_owned(),
        ..MassFlow::default()
    };
    for operation in &route.operations {
        let name = taken_by(ground, operation.operation, &operation.name);
        pour(
            &mut flow.inputs,
            name,
            ground.number(operation.taken),
            whole,
        );
    }
    let mut out = |name: &str, amount: f64, kind: OutletKind| {
        if amount > 1e-6 * whole {
            flow.outputs.push(Outlet {
                name: name.to_owned(),
                amount,
                kind,
            });
        }
    };
    out(
        &route.product,
        ground.number(sums.product),
        OutletKind::Product,
    );
    for operation in &route.operations {
        let name = given_by(ground, operation.operation, &operation.name);
        out(
            &name,
            ground.number(operation.by_products),
            OutletKind::ByProduct,
        );
    }
    out("thrown away", ground.number(sums.scrap), OutletKind::Waste);
    out(
        "used by tests",
        ground.number(sums.tests),
        OutletKind::Waste,
    );
    for (name, node) in &sums.lost {
        out(name, ground.number(*node), OutletKind::Waste);
    }
    let between = ground.number(sums.in_between);
    out("stays between operations", between, OutletKind::ByProduct);
    out(
        "not explained",
        ground.number(sums.unexplained),
        OutletKind::Unexplained,
    );
    pour(
        &mut flow.inputs,
        "from between operations".to_owned(),
        -between,
        whole,
    );
    Some(flow)
}

/// Adds to a stream of the same name, or makes one; what is next to nothing is left out.
fn pour(streams: &mut Vec<Stream>, name: String, amount: f64, whole: f64) {
    if amount <= 1e-6 * whole {
        return;
    }
    match streams.iter_mut().find(|stream| stream.name == name) {
        Some(stream) => stream.amount += amount,
        None => streams.push(Stream { name, amount }),
    }
}

/// What an operation takes from outside, by name.
fn taken_by(ground: &Ground<'_>, operation: usize, name: &str) -> String {
    let takes = ground
        .works
        .operations
        .get(operation)
        .map(|operation| operation.takes.as_slice());
    match takes {
        Some([only]) => ground.item(only.item.0).to_owned(),
        Some([first, rest @ ..]) if !rest.is_empty() && rest.len() < 3 => {
            let names = std::iter::once(first)
                .chain(rest)
                .map(|take| ground.item(take.item.0));
            names.collect::<Vec<_>>().join(", ")
        }
        _ => format!("for {name}"),
    }
}

/// What an operation gives beside, by name.
fn given_by(ground: &Ground<'_>, operation: usize, name: &str) -> String {
    let also = ground
        .works
        .operations
        .get(operation)
        .map(|operation| operation.also.as_slice());
    match also {
        Some([only]) => format!("{} from {name}", ground.item(only.item.0)),
        _ => format!("beside the product of {name}"),
    }
}
