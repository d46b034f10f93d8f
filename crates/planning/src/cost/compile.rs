//! The works as rows of numbers: what each operation costs, and how items make up each other.
//!
//! # The price system
//! Every commodity of the material network (see [`crate::flow`]) has one price per unit, and one
//! equation that fixes it:
//!
//! * bought: its price;
//! * made: what its lead operation gives is worth what it takes and what it costs to run,
//!   Σ gives × price − Σ takes × price = cost of running;
//! * recovered: its worth where some is left over; what it replaces where all is used; what the
//!   operation that uses it up makes of it, less that operation's cost.
//!
//! These are the prices dual to the material balance, so that Σ demand × price is exactly what is
//! bought and spent less what is recovered. By-products are credited to the operation that yields
//! them (credit method). Which case holds for a recovered item is taken from the plan and kept.

use balance::network::{Driven, Otherwise, Source};
use petgraph::algo::kosaraju_scc;
use petgraph::graph::DiGraph;
use works::{CheckEvery, OperationId, Pace, StationId, ToolLife, Works};

use super::numbers::{Num, Numbers};
use crate::flow::Flow;
use crate::load::LoadAnswer;

/// What fixes the price of a commodity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Row {
    /// It is bought.
    Bought,
    /// It is left over: what it is worth.
    Worth,
    /// It replaces another.
    Same(usize),
    /// What an activity gives pays for what it takes.
    Activity(usize),
}

/// A coefficient of an activity: what it gives of a commodity (above zero) or takes.
#[derive(Clone, Copy, Debug)]
pub(super) enum Coefficient {
    Constant(f64),
    /// keeps × good.
    Passed {
        keeps: Num,
        good: Num,
    },
    /// keeps × (1 − good) × factor.
    Rejected {
        keeps: Num,
        good: Num,
        factor: f64,
    },
    /// amount × factor ÷ units of a recipe over their mean.
    Amount {
        amount: Num,
        makes: Num,
        factor: f64,
    },
    /// Samples lost.
    Sampled(f64),
}

#[derive(Clone, Debug, Default)]
pub(super) struct Activity {
    pub(super) terms: Vec<(usize, Coefficient)>,
}

/// Time of one unit.
#[derive(Clone, Copy, Debug)]
pub(super) enum Time {
    None,
    Each(Num),
    Flow(Num),
    Load { holds: Num, dwell: Num, turn: Num },
}

/// An operation at a station.
#[derive(Clone, Debug)]
pub(super) struct Place {
    pub(super) share: f64,
    pub(super) station: Option<usize>,
    pub(super) time: Time,
}

#[derive(Clone, Copy, Debug)]
pub(super) enum Often {
    /// Once in so many units: a number of samples for each unit.
    PerUnit(f64),
    /// Once in so many units.
    Units(Num),
    /// Once in so many seconds of running.
    Seconds(Num),
    Lot,
    Load,
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Check {
    pub(super) often: Often,
    pub(super) time: Num,
    pub(super) cost: Num,
    pub(super) by: Option<usize>,
    /// Units lost in each lot, where the flow does not count them by the unit.
    pub(super) lost_per_lot: f64,
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Tool {
    pub(super) by_time: bool,
    pub(super) life: Num,
    pub(super) change: Num,
    pub(super) cost: Num,
}

/// A changeover rule as it applies to one operation's lots.
#[derive(Clone, Debug)]
pub(super) struct Change {
    pub(super) station: usize,
    /// Position of the rule among the station's.
    pub(super) rule: usize,
    pub(super) time: Num,
    /// Times it applies for one lot.
    pub(super) per_lot: f64,
    pub(super) uses: Vec<(usize, Num)>,
}

#[derive(Clone, Debug)]
pub(super) struct Operation {
    pub(super) places: Vec<Place>,
    pub(super) people: Option<Vec<(usize, f64)>>,
    pub(super) setup: Option<Num>,
    pub(super) tools: Vec<Tool>,
    pub(super) checks: Vec<Check>,
    pub(super) tasks: Vec<Num>,
    pub(super) energy: Num,
    pub(super) out: usize,
    pub(super) sampled: f64,
    /// Numbers from here to there belong to it.
    pub(super) numbers: std::ops::Range<Num>,
}

#[derive(Clone, Debug)]
pub(super) struct Station {
    pub(super) cost: Num,
    pub(super) power: Num,
    pub(super) stops: Option<(Num, Num)>,
    pub(super) people: Vec<(usize, f64)>,
}

#[derive(Clone, Debug)]
pub(super) struct Crew {
    pub(super) people: f64,
    pub(super) cost: Num,
    pub(super) attendance: Num,
}

/// Prices of an item: from this amount on, this number.
#[derive(Clone, Debug, Default)]
pub(super) struct Prices {
    pub(super) tiers: Vec<(f64, Num)>,
    pub(super) worth: Option<Num>,
    pub(super) numbers: std::ops::Range<Num>,
}

/// The whole works, compiled.
#[derive(Clone, Debug)]
pub(super) struct Compiled {
    pub(super) numbers: Numbers,
    pub(super) rows: Vec<Row>,
    pub(super) activities: Vec<Activity>,
    pub(super) operations: Vec<Operation>,
    pub(super) stations: Vec<Station>,
    pub(super) crews: Vec<Crew>,
    /// Crews that have each skill.
    pub(super) able: Vec<Vec<usize>>,
    pub(super) prices: Vec<Prices>,
    /// Changeovers by route.
    pub(super) changes: Vec<Vec<Change>>,
    pub(super) energy: Num,
    pub(super) overhead: Num,
    /// Numbers of stations, crews and assumptions, which may touch any product.
    pub(super) common: std::ops::Range<Num>,
    /// Rows that must be solved together, each after all it depends on.
    pub(super) blocks: Vec<Vec<usize>>,
    pub(super) block_of: Vec<usize>,
}

impl Compiled {
    pub(super) fn new(works: &Works, flow: &Flow, load: &LoadAnswer) -> Self {
        let mut numbers = Numbers::default();
        let stations = stations(works, &mut numbers);
        let crews = crews(works, &mut numbers);
        let energy = numbers.option(
            || "energy price".into(),
            works.assumptions.energy.as_ref(),
            0.0,
        );
        let overhead = numbers.option(
            || "overhead".into(),
            works.assumptions.overhead.as_ref(),
            0.0,
        );
        let changes = changes(works, load, &mut numbers);
        let common = 0..numbers.base.len();
        let prices = prices(works, &mut numbers);
        let shape = Shape { works, flow, load };
        let (operations, activities) = shape.operations(&mut numbers);
        let rows = shape.rows();
        let mut compiled = Self {
            able: able(works),
            numbers,
            rows,
            activities,
            operations,
            stations,
            crews,
            prices,
            changes,
            energy,
            overhead,
            common,
            blocks: Vec::new(),
            block_of: Vec::new(),
        };
        compiled.order();
        compiled
    }

    /// Commodities whose prices a row needs.
    pub(super) fn needs(&self, row: usize) -> impl Iterator<Item = usize> + '_ {
        let (same, activity) = match self.rows[row] {
            Row::Bought | Row::Worth => (None, None),
            Row::Same(other) => (Some(other), None),
            Row::Activity(activity) => (None, Some(activity)),
        };
        let terms = activity
            .into_iter()
            .flat_map(|activity| &self.activities[activity].terms);
        same.into_iter()
            .chain(terms.map(|term| term.0))
            .filter(move |&other| other != row)
    }

    fn order(&mut self) {
        let mut graph = DiGraph::<(), (), usize>::default();
        let nodes: Vec<_> = self.rows.iter().map(|_| graph.add_node(())).collect();
        for row in 0..self.rows.len() {
            for other in self.needs(row) {
                graph.add_edge(nodes[row], nodes[other], ());
            }
        }
        // Strong components come out each after all it points to.
        let blocks = kosaraju_scc(&graph).into_iter().map(|block| {
            let mut rows: Vec<usize> = block
                .into_iter()
                .map(petgraph::graph::NodeIndex::index)
                .collect();
            rows.sort_unstable();
            rows
        });
        self.blocks = blocks.collect();
        self.block_of = vec![0; self.rows.len()];
        for (number, block) in self.blocks.iter().enumerate() {
            for &row in block {
                self.block_of[row] = number;
            }
        }
    }
}

fn stations(works: &Works, numbers: &mut Numbers) -> Vec<Station> {
    let mut one = |station: &works::Station| {
        let name = |what: &'static str| move || format!("{}: {what}", station.name);
        Station {
            cost: numbers.option(name("cost"), station.cost.as_ref(), 0.0),
            power: numbers.option(name("power"), station.power.as_ref(), 0.0),
            stops: station.stops.as_ref().map(|stops| {
                (
                    numbers.stated(name("running time between stops"), &stops.run),
                    numbers.stated(name("time to repair"), &stops.repair),
                )
            }),
            people: station
                .people
                .iter()
                .map(|&(skill, count)| (skill.0, count))
                .collect(),
        }
    };
    works.stations.iter().map(&mut one).collect()
}

fn crews(works: &Works, numbers: &mut Numbers) -> Vec<Crew> {
    let mut one = |crew: &works::Crew| {
        let name = |what: &'static str| move || format!("{}: {what}", crew.name);
        Crew {
            people: f64::from(crew.people),
            cost: numbers.option(name("cost"), crew.cost.as_ref(), 0.0),
            attendance: numbers.option(name("attendance"), crew.attendance.as_ref(), 1.0),
        }
    };
    works.crews.iter().map(&mut one).collect()
}

fn able(works: &Works) -> Vec<Vec<usize>> {
    let crews_with = |skill: usize| {
        let crews = works.crews.iter().enumerate();
        crews
            .filter(move |(_, crew)| crew.skills.iter().any(|s| s.0 == skill))
            .map(|(crew, _)| crew)
    };
    (0..works.skills.len())
        .map(|skill| crews_with(skill).collect())
        .collect()
}

fn prices(works: &Works, numbers: &mut Numbers) -> Vec<Prices> {
    let mut one = |item: &works::Item| {
        let first = numbers.base.len();
        let mut tiers = Vec::new();
        if let Some(buy) = &item.buy {
            tiers.push((
                0.0,
                numbers.stated(|| format!("{}: price", item.name), &buy.price),
            ));
            for step in &buy.breaks {
                let price = numbers.stated(|| format!("{}: price", item.name), &step.price);
                tiers.push((step.from.mean(), price));
            }
        }
        let worth = item
            .worth
            .as_ref()
            .map(|worth| numbers.stated(|| format!("{}: worth", item.name), worth));
        Prices {
            tiers,
            worth,
            numbers: first..numbers.base.len(),
        }
    };
    works.items.iter().map(&mut one).collect()
}

/// Changeovers of each route as the load counted them, per lot.
fn changes(works: &Works, load: &LoadAnswer, numbers: &mut Numbers) -> Vec<Vec<Change>> {
    let mut all = vec![Vec::new(); works.routes.len()];
    for count in &load.changeovers {
        let station = works.station(count.station);
        let rule = &station.changeovers[count.rule];
        let lots = load.lots_of[count.route.0];
        let time = numbers.stated(
            || format!("{}: changeover of {}", station.name, rule.on),
            &rule.time,
        );
        let uses = rule.uses.iter().map(|(item, amount)| {
            let name = || {
                format!(
                    "{}: {} used in changeovers",
                    station.name,
                    works.item(*item).name
                )
            };
            (item.0, numbers.stated(name, amount))
        });
        all[count.route.0].push(Change {
            station: count.station.0,
            rule: count.rule,
            time,
            uses: uses.collect(),
            per_lot: if lots > 0.0 {
                f64::from(count.count) / lots
            } else {
                0.0
            },
        });
    }
    all
}

struct Shape<'a> {
    works: &'a Works,
    flow: &'a Flow,
    load: &'a LoadAnswer,
}

impl Shape<'_> {
    fn operations(&self, numbers: &mut Numbers) -> (Vec<Operation>, Vec<Activity>) {
        let layout = &self.flow.layout;
        let mut activities = vec![Activity::default(); layout.network.activities.len()];
        let shares = self.shares();
        let operations = (0..self.works.operations.len()).map(|index| {
            self.operation(OperationId(index), &shares[index], numbers, &mut activities)
        });
        let operations = operations.collect();
        // Activities that are no operation and no feed: stock on hand, which a cost leaves alone.
        for &(item, activity) in &layout.issues {
            activities[activity.0]
                .terms
                .push((item.0, Coefficient::Constant(1.0)));
        }
        (operations, activities)
    }

    /// The stations of each operation, with the share of the work that the load gave them.
    fn shares(&self) -> Vec<Vec<(Option<StationId>, f64)>> {
        let mut all = vec![Vec::new(); self.works.operations.len()];
        for piece in &self.load.work {
            all[piece.operation.0].push((piece.station, piece.share));
        }
        all
    }

    fn operation(
        &self,
        id: OperationId,
        shares: &[(Option<StationId>, f64)],
        numbers: &mut Numbers,
        activities: &mut [Activity],
    ) -> Operation {
        let operation = self.works.operation(id);
        let product = &self
            .works
            .item(self.works.route(operation.route).makes)
            .name;
        let name = |what: &str| format!("{product}, {}: {what}", operation.name);
        let first = numbers.base.len();
        self.terms(id, &name, numbers, activities);
        let places = shares.iter().map(|&(station, share)| Place {
            share,
            station: station.map(|station| station.0),
            time: time(self.pace(id, station), &name, numbers),
        });
        let places = places.collect();
        let tools = operation.tools.iter().map(|tool| Tool {
            by_time: matches!(tool.life, ToolLife::Time(_)),
            life: numbers.stated(
                || name(&format!("life of {}", tool.name)),
                tool.life.stated(),
            ),
            change: numbers.option(
                || name(&format!("change of {}", tool.name)),
                tool.change.as_ref(),
                0.0,
            ),
            cost: numbers.option(
                || name(&format!("cost of {}", tool.name)),
                tool.cost.as_ref(),
                0.0,
            ),
        });
        let tools = tools.collect();
        let checks = operation
            .checks
            .iter()
            .map(|c| self.check(id, c, &name, numbers))
            .collect();
        let tasks = operation
            .tasks
            .iter()
            .map(|task| numbers.stated(|| name(&format!("task {}", task.name)), &task.time));
        let tasks = if matches!(operation.pace, Pace::None) {
            tasks.collect()
        } else {
            Vec::new()
        };
        let people = operation.people.as_ref();
        Operation {
            places,
            people: people.map(|people| {
                people
                    .iter()
                    .map(|&(skill, count)| (skill.0, count))
                    .collect()
            }),
            setup: operation
                .setup
                .as_ref()
                .map(|setup| numbers.stated(|| name("set-up"), setup)),
            tools,
            checks,
            tasks,
            energy: numbers.option(|| name("energy"), operation.energy.as_ref(), 0.0),
            out: self.flow.layout.out[id.0].0,
            sampled: self.flow.layout.sampled[id.0],
            numbers: first..numbers.base.len(),
        }
    }

    fn pace(&self, id: OperationId, station: Option<StationId>) -> &Pace {
        let operation = self.works.operation(id);
        if station == operation.station {
            return &operation.pace;
        }
        let other = operation
            .alternatives
            .iter()
            .find(|other| Some(other.station) == station);
        other
            .and_then(|other| other.pace.as_ref())
            .unwrap_or(&operation.pace)
    }

    /// What an operation takes and gives, and its feed where rework arrives at it.
    fn terms(
        &self,
        id: OperationId,
        name: &impl Fn(&str) -> String,
        numbers: &mut Numbers,
        activities: &mut [Activity],
    ) {
        let (works, layout) = (self.works, &self.flow.layout);
        let operation = works.operation(id);
        let keeps = numbers.share(|| name("keeps"), &operation.keeps, f64::MAX);
        let good = numbers.share(|| name("good"), &operation.good, 1.0);
        let output = &operation.output;
        let makes = numbers.about_one(
            || name("units of a recipe"),
            output.lots_cv,
            output.stated.as_ref(),
        );
        let amount = |amount, factor| Coefficient::Amount {
            amount,
            makes,
            factor,
        };
        let mut own = vec![(layout.out[id.0].0, Coefficient::Passed { keeps, good })];
        if layout.sampled[id.0] > 0.0 {
            own.push((
                layout.out[id.0].0,
                Coefficient::Sampled(-layout.sampled[id.0]),
            ));
        }
        let feeds: Vec<(usize, Coefficient)> = if operation.off_line {
            Vec::new()
        } else {
            let fed = operation.feeds.iter().map(|feed| {
                let what = || name(&format!("takes of {}", works.operation(feed.from).name));
                let num = match &feed.stated {
                    Some(stated) => numbers.spread(what, feed.amount, stated),
                    None => numbers.constant(feed.amount.mean()),
                };
                (layout.out[feed.from.0].0, amount(num, -1.0))
            });
            fed.collect()
        };
        match (layout.arrivals[id.0], layout.feed[id.0]) {
            (None, _) => own.extend(feeds),
            (Some(arrivals), feed) => {
                own.push((arrivals.0, Coefficient::Constant(-1.0)));
                if let Some(feed) = feed {
                    activities[feed.0].terms = feeds;
                    activities[feed.0]
                        .terms
                        .push((arrivals.0, Coefficient::Constant(1.0)));
                }
            }
        }
        let mut blend = 0;
        for take in &operation.takes {
            let item = &works.item(take.item).name;
            let num = numbers.spread(|| name(&format!("takes {item}")), take.amount, &take.stated);
            match &take.recovered {
                None => own.push((take.item.0, amount(num, -1.0))),
                Some(other) => {
                    let share = self.recovered_share(id, blend, take.amount.mean());
                    own.push((take.item.0, amount(num, share - 1.0)));
                    own.push((other.item.0, amount(num, -share)));
                    blend += 1;
                }
            }
        }
        if let Some(item) = operation.uses_up
            && !operation.takes.iter().any(|take| take.item == item)
        {
            // As in the flow: one unit of it for one unit attempted.
            own.push((item.0, Coefficient::Constant(-1.0)));
        }
        for also in &operation.also {
            let item = &works.item(also.item).name;
            let num = numbers.spread(
                || name(&format!("yields {item}")),
                also.amount,
                &also.stated,
            );
            own.push((also.item.0, amount(num, 1.0)));
        }
        for reject in &operation.rejects {
            if let Some((commodity, factor)) = layout.destination(works, id, &reject.to) {
                own.push((
                    commodity.0,
                    Coefficient::Rejected {
                        keeps,
                        good,
                        factor: factor * reject.share,
                    },
                ));
            }
        }
        activities[id.0].terms = own;
    }

    /// The share of a feed that is recovered, as the plan has it.
    fn recovered_share(&self, id: OperationId, blend: usize, amount: f64) -> f64 {
        let used = self.flow.solution.recovered_used[id.0]
            .get(blend)
            .copied()
            .unwrap_or(0.0);
        let feed = amount * self.flow.attempted(id);
        if feed > 0.0 {
            (used / feed).clamp(0.0, 1.0)
        } else {
            0.0
        }
    }

    fn check(
        &self,
        id: OperationId,
        check: &works::Check,
        name: &impl Fn(&str) -> String,
        numbers: &mut Numbers,
    ) -> Check {
        let operation = self.works.operation(id);
        let what = |part: &str| name(&format!("check {}: {part}", check.what));
        let loaded = matches!(operation.pace, Pace::Load(_));
        let often = match &check.every {
            CheckEvery::Unit => Often::PerUnit(1.0 / check.sample.max(1e-12)),
            CheckEvery::Load if loaded => Often::Load,
            CheckEvery::Lot | CheckEvery::Load => Often::Lot,
            CheckEvery::Shift => Often::Seconds(numbers.constant(SHIFT_S)),
            CheckEvery::Amount(every) => Often::Units(numbers.stated(|| what("every"), every)),
            CheckEvery::Time(every) => Often::Seconds(numbers.stated(|| what("every"), every)),
        };
        let lot_by_lot =
            matches!(often, Often::Lot) && self.works.route(operation.route).lot.is_none();
        Check {
            often,
            time: numbers.option(|| what("time"), check.time.as_ref(), 0.0),
            cost: numbers.option(|| what("cost"), check.cost.as_ref(), 0.0),
            by: check.by.map(|skill| skill.0),
            lost_per_lot: if check.destroys && lot_by_lot {
                check.sample
            } else {
                0.0
            },
        }
    }

    /// What fixes the price of each commodity.
    fn rows(&self) -> Vec<Row> {
        let network = &self.flow.layout.network;
        let rows = network.commodities.iter().enumerate();
        rows.map(|(index, commodity)| match &commodity.source {
            Source::Bought => Row::Bought,
            Source::Made(lead) => Row::Activity(lead.0),
            Source::Recovered { otherwise, .. } => self.recovered(index, *otherwise),
        })
        .collect()
    }

    fn recovered(&self, index: usize, otherwise: Otherwise) -> Row {
        let (network, solution) = (&self.flow.layout.network, &self.flow.solution);
        let little = 1e-9 * (solution.gross[index] + solution.surplus[index]);
        let user = network.activities.iter().position(
            |activity| matches!(activity.driven, Driven::UsesUp(commodity) if commodity.0 == index),
        );
        if let Some(user) = user {
            return Row::Activity(user);
        }
        match otherwise {
            Otherwise::Substitute(other) if solution.substituted[index] > little => {
                return Row::Same(other.0);
            }
            Otherwise::Buy if solution.bought[index] > little => return Row::Bought,
            _ => {}
        }
        if solution.surplus[index] > little {
            return Row::Worth;
        }
        self.marginal_blend(index).map_or(Row::Worth, Row::Same)
    }

    /// The virgin stuff of the blend that takes some of a recovered commodity but not all it may.
    fn marginal_blend(&self, index: usize) -> Option<usize> {
        let (network, solution) = (&self.flow.layout.network, &self.flow.solution);
        let blends = network
            .activities
            .iter()
            .enumerate()
            .flat_map(|(number, activity)| {
                activity
                    .blends
                    .iter()
                    .enumerate()
                    .map(move |(place, blend)| (number, place, blend))
            });
        let mut of = blends.filter(|(_, _, blend)| blend.recovered.0 == index);
        let partly = of.find(|(number, place, blend)| {
            let used = solution.recovered_used[*number][*place];
            let most = blend.amount * blend.at_most * solution.level[*number];
            used > 0.0 && used < most * (1.0 - 1e-9)
        });
        partly.map(|(_, _, blend)| blend.virgin.0)
    }
}

/// Length of a shift where its checks are counted by running time, s.
const SHIFT_S: f64 = 8.0 * 3600.0;

fn time(pace: &Pace, name: &impl Fn(&str) -> String, numbers: &mut Numbers) -> Time {
    match pace {
        Pace::None => Time::None,
        Pace::Each(time) => Time::Each(numbers.stated(|| name("time"), time)),
        Pace::Flow { rate, .. } => Time::Flow(numbers.stated(|| name("rate"), rate)),
        Pace::Load(load) => Time::Load {
            holds: numbers.stated(|| name("load holds"), &load.holds),
            dwell: numbers.stated(|| name("dwell"), &load.dwell),
            turn: numbers.option(|| name("turn"), load.turn.as_ref(), 0.0),
        },
    }
}
