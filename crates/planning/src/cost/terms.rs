//! What every element of a unit cost is added up from: products of levels, times, rates and shares,
//! each factor with its place. The same arithmetic as in `evaluate`, multiplied out.

use works::{CheckEvery, Operation as Made, OperationId, Pace, Stated, StationId, Works};

use super::compile::{Check, Compiled, Often, Operation, Place, Row, Time};
use super::elements::Element;
use super::evaluate::Evaluator;
use super::numbers::Num;
use crate::flow::label;
use crate::reason::{Shown, Source};

/// A number of a product.
#[derive(Clone, Debug)]
pub(super) struct Factor {
    pub(super) name: String,
    pub(super) value: f64,
    pub(super) unit: Shown,
    pub(super) source: Source,
    /// What it is divided by.
    pub(super) over: Vec<Factor>,
    /// Name and unit of what comes of the division, where they do not follow from the parts.
    pub(super) quotient: Option<(String, Shown)>,
}

/// Numbers multiplied.
#[derive(Clone, Debug, Default)]
pub(super) struct Product {
    pub(super) times: Vec<Factor>,
}

/// Something that an element of a unit cost is added up from.
#[derive(Clone, Debug)]
pub(super) struct Term {
    pub(super) element: Element,
    pub(super) name: String,
    pub(super) product: Product,
}

impl Product {
    fn of(times: impl IntoIterator<Item = Factor>) -> Self {
        Self {
            times: times.into_iter().collect(),
        }
    }

    /// This with its last factor divided.
    fn divided(mut self, by: Factor) -> Self {
        if self.times.is_empty() {
            let why = Source::assumed("one of them");
            self.times.push(leaf("one", 1.0, Shown::plain(), why));
        }
        if let Some(last) = self.times.last_mut() {
            last.over.push(by);
        }
        self
    }

    /// This and another multiplied.
    fn and(&self, other: &Self) -> Self {
        Self {
            times: [&self.times[..], &other.times[..]].concat(),
        }
    }

    fn is_nothing(&self) -> bool {
        let nothing = |factor: &Factor| {
            factor.value == 0.0 || factor.over.iter().any(|over| over.value <= 0.0)
        };
        self.times.iter().any(nothing)
    }
}

/// All terms of one unit of a product. `levels` are those of rows with samples not made good,
/// `prices` those of commodities.
pub(super) fn terms(
    works: &Works,
    evaluator: &Evaluator<'_>,
    levels: &[f64],
    prices: &[f64],
) -> Vec<Term> {
    let mut writer = Writer {
        works,
        compiled: evaluator.works,
        evaluator,
        prices,
        terms: Vec::new(),
    };
    for (row, &level) in levels
        .iter()
        .enumerate()
        .filter(|(_, level)| **level != 0.0)
    {
        match writer.compiled.rows[row] {
            Row::Worth => writer.left_over(row, level),
            Row::Activity(index) if index < writer.compiled.operations.len() => {
                writer.operation(index, level);
            }
            _ => {}
        }
    }
    for &(route, lots) in &evaluator.situation.lots_per_unit {
        writer.lots(route, lots);
    }
    writer.terms
}

struct Writer<'a> {
    works: &'a Works,
    compiled: &'a Compiled,
    evaluator: &'a Evaluator<'a>,
    prices: &'a [f64],
    terms: Vec<Term>,
}

/// Money for a second, by what it pays for.
type Rates = Vec<(Element, Product)>;

impl Writer<'_> {
    fn add(&mut self, element: Element, name: &str, product: Product) {
        if !product.is_nothing() {
            let name = name.to_owned();
            self.terms.push(Term {
                element,
                name,
                product,
            });
        }
    }

    fn money(&self) -> Shown {
        Shown::count(&*self.works.currency)
    }

    /// A stated number, at its mean.
    fn stated(
        &self,
        name: impl Into<String>,
        num: Num,
        unit: Shown,
        stated: Option<&Stated>,
    ) -> Factor {
        let source = stated.map_or(Source::assumed("not stated"), Source::of);
        leaf(name, self.evaluator.x[num], unit, source)
    }

    fn left_over(&mut self, row: usize, level: f64) {
        let Some(worth) = self
            .compiled
            .prices
            .get(row)
            .and_then(|prices| prices.worth)
        else {
            return;
        };
        let item = &self.works.items[row];
        let unit = Shown::from(&item.unit);
        let amount = computed(
            format!("{} left over for one, as a credit", item.name),
            level,
            unit.clone(),
            "levels of the operations for one unit × what they leave over",
        );
        let rate = self.money().per(&unit);
        let name = format!("worth of {}", item.name);
        let worth = self.stated(name.clone(), worth, rate, item.worth.as_ref());
        self.add(Element::Recovered, &name, Product::of([amount, worth]));
    }

    fn operation(&mut self, index: usize, level: f64) {
        let (works, compiled) = (self.works, self.compiled);
        let id = OperationId(index);
        let (operation, made) = (&compiled.operations[index], works.operation(id));
        let label = label(works, id);
        let level = computed(
            format!("{label} attempted for one"),
            level,
            Shown::plain(),
            "level of the operation for one unit, yields and rework in it",
        );
        let level = Product::of([level]);
        for place in &operation.places {
            self.running(index, place, &level);
        }
        self.tasks(index, &level);
        let energy = self.stated(
            format!("energy of one at {label}"),
            operation.energy,
            kilowatt_hours(),
            made.energy.as_ref(),
        );
        let energy = level.and(&Product::of([energy, self.energy_price()]));
        self.add(Element::Energy, &format!("energy of {label}"), energy);
        self.tools(index, &level);
        for (check, stated) in operation.checks.iter().zip(&made.checks) {
            for samples in self.samples(index, check, stated) {
                self.sample(index, (check, stated), &level.and(&samples));
            }
        }
        let lost = computed(
            format!("samples of {label} lost for one"),
            operation.sampled,
            Shown::plain(),
            "units of the samples that tests destroy ÷ units between them",
        );
        let so_far = self.so_far(operation, &label);
        let lost = level.and(&Product::of([lost, so_far]));
        self.add(Element::Test, &format!("samples of {label}"), lost);
    }

    /// What a unit has cost so far.
    fn so_far(&self, operation: &Operation, label: &str) -> Factor {
        computed(
            format!("cost of one so far after {label}"),
            self.prices[operation.out],
            self.money(),
            "everything that went into it, overhead among it",
        )
    }

    /// Station, people and power while an operation runs, and while it is stopped.
    fn running(&mut self, index: usize, place: &Place, level: &Product) {
        let label = label(self.works, OperationId(index));
        let rates = self.rates(index, place);
        let power = place.station.map(|station| {
            let name = format!("power of {}", self.works.stations[station].name);
            let stated = self.works.stations[station].power.as_ref();
            self.stated(
                name,
                self.compiled.stations[station].power,
                Shown::new("kW", 1000.0),
                stated,
            )
        });
        for time in self.seconds(index, place) {
            let time = level.and(&time);
            for (element, rate) in &rates {
                let name = format!("{} of {label}", element.name());
                self.add(*element, &name, time.and(rate));
                if let Some(stops) = self.stops(place.station) {
                    let name = format!("{} in stops of {label}", element.name());
                    self.add(*element, &name, time.and(rate).and(&stops));
                }
            }
            if let Some(power) = power.clone() {
                let energy = time.and(&Product::of([power, self.energy_price()]));
                self.add(Element::Energy, &format!("power of {label}"), energy);
            }
        }
    }

    fn energy_price(&self) -> Factor {
        let unit = self.money().per(&kilowatt_hours());
        let stated = self.works.assumptions.energy.as_ref();
        self.stated("energy price", self.compiled.energy, unit, stated)
    }

    fn share(&self, index: usize, place: &Place) -> Product {
        if place.share == 1.0 {
            return Product::default();
        }
        let at = place
            .station
            .map_or("hand", |station| &self.works.stations[station].name);
        let label = label(self.works, OperationId(index));
        Product::of([computed(
            format!("share of {label} at {at}"),
            place.share,
            Shown::percent(),
            "as the load shares the work",
        )])
    }

    /// Running time of one unit at a place, as terms to be added up.
    fn seconds(&self, index: usize, place: &Place) -> Vec<Product> {
        let id = OperationId(index);
        let label = label(self.works, id);
        let station = place.station.map(StationId);
        let places = crate::load::places(self.works, id);
        let pace = places.iter().find(|(at, _)| *at == station);
        let pace = pace.map_or(&self.works.operation(id).pace, |(_, pace)| pace);
        let share = self.share(index, place);
        let seconds = |name: String, num, stated: Option<&Stated>| {
            self.stated(name, num, Shown::seconds(), stated)
        };
        let plain = Shown::plain;
        match (place.time, pace) {
            (Time::Each(time), Pace::Each(stated)) => {
                let time = seconds(format!("time of one at {label}"), time, Some(stated));
                vec![share.and(&Product::of([time]))]
            }
            (Time::Flow(rate), Pace::Flow { rate: stated, .. }) => {
                let unit = Shown::from(&self.works.operation(id).output.unit);
                let per_hour = unit.per(&Shown::hours());
                let rate = self.stated(format!("rate of {label}"), rate, per_hour, Some(stated));
                let one = leaf("one", 1.0, unit, Source::assumed("of one"));
                let time = Factor {
                    over: vec![rate],
                    quotient: Some((format!("time of one at {label}"), Shown::seconds())),
                    ..one
                };
                vec![share.and(&Product::of([time]))]
            }
            (Time::Load { holds, dwell, turn }, Pace::Load(load)) => {
                let holds = self.stated(
                    format!("a load of {label} holds"),
                    holds,
                    plain(),
                    Some(&load.holds),
                );
                let fill = self.fill(index, &label);
                let each = |time: Factor| {
                    let time = share.and(&Product::of([time]));
                    time.divided(holds.clone()).divided(fill.clone())
                };
                let dwell = seconds(format!("dwell of {label}"), dwell, Some(&load.dwell));
                let turn = seconds(format!("turn of {label}"), turn, load.turn.as_ref());
                vec![each(dwell), each(turn)]
            }
            _ => Vec::new(),
        }
    }

    fn fill(&self, index: usize, label: &str) -> Factor {
        computed(
            format!("loads of {label} are full to"),
            self.evaluator.situation.fill[index],
            Shown::percent(),
            "a lot ÷ what so many whole loads hold",
        )
    }

    /// Repair on one second of running.
    fn stops(&self, station: Option<usize>) -> Option<Product> {
        let station = station?;
        let (run, repair) = self.compiled.stations[station].stops?;
        let made_at = &self.works.stations[station];
        let stated = made_at.stops.as_ref();
        let hours = |what: &str, num, stated| {
            self.stated(
                format!("{what} of {}", made_at.name),
                num,
                Shown::hours(),
                stated,
            )
        };
        let repair = hours("repair", repair, stated.map(|stops| &stops.repair));
        let run = hours("run between stops", run, stated.map(|stops| &stops.run));
        Some(Product::of([repair]).divided(run))
    }

    /// Money for a second at a place: the station, and people.
    fn rates(&self, index: usize, place: &Place) -> Rates {
        let operation = &self.compiled.operations[index];
        let mut rates = Vec::new();
        if let Some(station) = place.station {
            rates.push((Element::Machine, Product::of([self.station(station)])));
        }
        let people = self.evaluator.people(operation, place);
        let labour = self.labour(people).into_iter();
        rates.extend(labour.map(|rate| (Element::Labour, rate)));
        rates
    }

    /// The same for all places of an operation by their shares: who waits while nothing runs.
    fn shared_rates(&self, index: usize) -> Vec<Product> {
        let places = self.compiled.operations[index].places.iter();
        let rates = places.flat_map(|place| {
            let share = self.share(index, place);
            let rates = self.rates(index, place).into_iter();
            rates.map(move |(_, rate)| share.and(&rate))
        });
        rates.collect()
    }

    fn per_hour(&self) -> Shown {
        self.money().per(&Shown::hours())
    }

    fn station(&self, station: usize) -> Factor {
        let made_at = &self.works.stations[station];
        self.stated(
            format!("cost of {}", made_at.name),
            self.compiled.stations[station].cost,
            self.per_hour(),
            made_at.cost.as_ref(),
        )
    }

    fn labour(&self, people: &[(usize, f64)]) -> Vec<Product> {
        let one = |&(skill, count): &(usize, f64)| {
            let name = format!("people for {}", self.works.skills[skill].name);
            let count = computed(name, count, Shown::plain(), "as the work asks for them");
            Product::of([count]).and(&self.skill(skill))
        };
        people.iter().map(one).collect()
    }

    /// Money for a second of a skill: the crew's cost ÷ its attendance.
    fn skill(&self, skill: usize) -> Product {
        let [crew] = self.compiled.able[skill][..] else {
            let name = format!("cost of a person for {}", self.works.skills[skill].name);
            let note = "mean of the crews that have the skill, each its cost ÷ its attendance";
            let value = self.evaluator.skills[skill];
            return Product::of([computed(name, value, self.per_hour(), note)]);
        };
        let (compiled, stated) = (&self.compiled.crews[crew], &self.works.crews[crew]);
        let cost = self.stated(
            format!("cost of a person of {}", stated.name),
            compiled.cost,
            self.per_hour(),
            stated.cost.as_ref(),
        );
        let cost = Product::of([cost]);
        if self.evaluator.x[compiled.attendance] <= 0.0 || stated.attendance.is_none() {
            return cost;
        }
        cost.divided(self.stated(
            format!("attendance of {}", stated.name),
            compiled.attendance,
            Shown::percent(),
            stated.attendance.as_ref(),
        ))
    }

    fn tasks(&mut self, index: usize, level: &Product) {
        let id = OperationId(index);
        let (works, compiled) = (self.works, self.compiled);
        let operation = &compiled.operations[index];
        let Some(place) = operation.places.first() else {
            return;
        };
        let people = self.evaluator.people(operation, place);
        let heads: f64 = people.iter().map(|(_, count)| count).sum();
        let labour = self.labour(people);
        for (&num, task) in operation.tasks.iter().zip(&works.operation(id).tasks) {
            let name = format!("{} of {}", task.name, label(works, id));
            let time = self.stated(name.clone(), num, Shown::seconds(), Some(&task.time));
            let heads = computed(
                "people at it".to_owned(),
                heads,
                Shown::plain(),
                "who share the tasks",
            );
            let time = level.and(&Product::of([time]).divided(heads));
            for rate in &labour {
                self.add(Element::Labour, &name, time.and(rate));
            }
        }
    }

    fn tools(&mut self, index: usize, level: &Product) {
        let made = self.works.operation(OperationId(index));
        let operation = &self.compiled.operations[index];
        for (tool, stated) in operation.tools.iter().zip(&made.tools) {
            let used = if tool.by_time {
                let places = operation.places.iter();
                places
                    .flat_map(|place| self.seconds(index, place))
                    .collect()
            } else {
                vec![Product::default()]
            };
            let unit = if tool.by_time {
                Shown::hours()
            } else {
                Shown::plain()
            };
            let name = format!("life of {}", stated.name);
            let life = self.stated(name, tool.life, unit, Some(stated.life.stated()));
            let name = format!("cost of {}", stated.name);
            let cost = self.stated(name.clone(), tool.cost, self.money(), stated.cost.as_ref());
            let change_name = format!("change of {}", stated.name);
            let change = self.stated(
                change_name.clone(),
                tool.change,
                Shown::seconds(),
                stated.change.as_ref(),
            );
            let rates = self.shared_rates(index);
            for used in used {
                let lives = level.and(&used).divided(life.clone());
                self.add(
                    Element::Tool,
                    &name,
                    lives.and(&Product::of([cost.clone()])),
                );
                for rate in &rates {
                    let change = lives.and(&Product::of([change.clone()])).and(rate);
                    self.add(Element::Tool, &change_name, change);
                }
            }
        }
    }

    /// Samples for one unit attempted, as terms to be added up.
    fn samples(&self, index: usize, check: &Check, stated: &works::Check) -> Vec<Product> {
        let operation = &self.compiled.operations[index];
        let label = label(self.works, OperationId(index));
        let between = match &stated.every {
            CheckEvery::Amount(every) | CheckEvery::Time(every) => Some(every),
            _ => None,
        };
        let every = |num, unit| {
            let name = format!("one sample of {} every", stated.what);
            let mut factor = self.stated(name, num, unit, between);
            if between.is_none() {
                factor.source = Source::assumed("a shift of eight hours' running");
            }
            factor
        };
        match check.often {
            Often::PerUnit(samples) => vec![Product::of([leaf(
                format!("samples of {} for one", stated.what),
                samples,
                Shown::plain(),
                Source::at(stated.at),
            )])],
            Often::Units(num) => vec![Product::default().divided(every(num, Shown::plain()))],
            Often::Seconds(num) => {
                let places = operation.places.iter();
                let times = places.flat_map(|place| self.seconds(index, place));
                times
                    .map(|time| time.divided(every(num, Shown::hours())))
                    .collect()
            }
            Often::Lot => Vec::new(),
            Often::Load => {
                let loaded = operation.places.iter().filter_map(|place| {
                    let Time::Load { holds, .. } = place.time else {
                        return None;
                    };
                    let name = format!("a load of {label} holds");
                    let holds = computed(
                        name,
                        self.evaluator.x[holds],
                        Shown::plain(),
                        "as the pace says",
                    );
                    let share = self.share(index, place);
                    Some(share.divided(holds).divided(self.fill(index, &label)))
                });
                loaded.collect()
            }
        }
    }

    /// Money and time of so many samples.
    fn sample(
        &mut self,
        index: usize,
        (check, stated): (&Check, &works::Check),
        so_many: &Product,
    ) {
        let name = format!("test of {}", stated.what);
        let cost = self.stated(
            format!("cost of one {name}"),
            check.cost,
            self.money(),
            stated.cost.as_ref(),
        );
        self.add(Element::Test, &name, so_many.and(&Product::of([cost])));
        let time = self.stated(
            format!("time of one {name}"),
            check.time,
            Shown::seconds(),
            stated.time.as_ref(),
        );
        let time = so_many.and(&Product::of([time]));
        let rates = match check.by {
            Some(skill) => vec![self.skill(skill)],
            None => self.shared_rates(index),
        };
        for rate in rates {
            self.add(Element::Test, &format!("time of {name}"), time.and(&rate));
        }
    }

    /// What the lots of a route cost, whatever their size.
    fn lots(&mut self, route: usize, lots: f64) {
        let product = &self.works.item(self.works.routes[route].makes).name;
        let lots = computed(
            format!("lots of {product} for one"),
            lots,
            Shown::plain(),
            "lots ÷ quantity",
        );
        let lots = Product::of([lots]);
        for &id in &self.works.routes[route].operations {
            self.lot(id.0, &lots);
        }
        self.changes(route, &lots);
    }

    fn lot(&mut self, index: usize, lots: &Product) {
        let (works, compiled) = (self.works, self.compiled);
        let made: &Made = works.operation(OperationId(index));
        let operation = &compiled.operations[index];
        let label = label(works, OperationId(index));
        if let Some(num) = operation.setup {
            let name = format!("set-up of {label}");
            let time = self.stated(name.clone(), num, Shown::seconds(), made.setup.as_ref());
            let time = lots.and(&Product::of([time]));
            for rate in self.shared_rates(index) {
                self.add(Element::SetUp, &name, time.and(&rate));
            }
        }
        for (check, stated) in operation.checks.iter().zip(&made.checks) {
            if matches!(check.often, Often::Lot) {
                self.sample(index, (check, stated), lots);
                let lost = leaf(
                    format!("lost to the test of {}", stated.what),
                    check.lost_per_lot,
                    Shown::plain(),
                    Source::at(stated.at),
                );
                let so_far = self.so_far(operation, &label);
                let lost = lots.and(&Product::of([lost, so_far]));
                self.add(Element::Test, &format!("samples of {label}"), lost);
            }
        }
    }

    fn changes(&mut self, route: usize, lots: &Product) {
        let (works, compiled) = (self.works, self.compiled);
        for change in &compiled.changes[route] {
            let station = &works.stations[change.station];
            let rule = &station.changeovers[change.rule];
            let name = format!("changeover of {} on {}", rule.on, station.name);
            let times = computed(
                format!("{name} for one lot"),
                change.per_lot,
                Shown::plain(),
                "counted over the sequence of due dates",
            );
            let times = lots.and(&Product::of([times]));
            let time = self.stated(
                format!("time of a {name}"),
                change.time,
                Shown::seconds(),
                Some(&rule.time),
            );
            let time = times.and(&Product::of([time]));
            let mut rates = self.labour(&compiled.stations[change.station].people);
            rates.push(Product::of([self.station(change.station)]));
            for rate in rates {
                self.add(Element::Changeover, &name, time.and(&rate));
            }
            for (&(item, num), (_, stated)) in change.uses.iter().zip(&rule.uses) {
                let used = &works.items[item];
                let unit = Shown::from(&used.unit);
                let amount = self.stated(
                    format!("{} used up by a {name}", used.name),
                    num,
                    unit.clone(),
                    Some(stated),
                );
                let price = computed(
                    format!("price of {}", used.name),
                    self.evaluator.item(item, self.prices),
                    self.money().per(&unit),
                    "what one costs",
                );
                let used = times.and(&Product::of([amount, price]));
                self.add(Element::Changeover, &name, used);
            }
        }
    }
}

fn kilowatt_hours() -> Shown {
    Shown::new("kWh", 3.6e6)
}

fn computed(name: String, value: f64, unit: Shown, note: &'static str) -> Factor {
    let note = Some(note.into());
    leaf(name, value, unit, Source::Computed { note })
}

fn leaf(name: impl Into<String>, value: f64, unit: Shown, source: Source) -> Factor {
    Factor {
        name: name.into(),
        value,
        unit,
        source,
        over: Vec::new(),
        quotient: None,
    }
}
