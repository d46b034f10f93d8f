//! Prices and costs from one row of numbers.
//!
//! [`Evaluator::prices`] solves the price system forwards, block by block, for the total alone:
//! that is what a draw costs. [`Evaluator::levels`] solves it backwards (the transposed system):
//! how much of everything one unit of a product takes, from which the elements follow.

use super::compile::{Check, Coefficient, Compiled, Often, Operation, Place, Row, Time};
use super::elements::{Element, Elements};
use super::numbers::Num;

/// What a quantity fixes: fills, price tiers, lots.
#[derive(Clone, Debug)]
pub(super) struct Situation {
    /// How full loads are, by operation.
    pub(super) fill: Vec<f64>,
    /// The number that is the price of each item; none where nobody says one.
    pub(super) price: Vec<Option<Num>>,
    /// Lots of each route that one unit of the product pays for.
    pub(super) lots_per_unit: Vec<(usize, f64)>,
}

/// The part of the works that one product needs.
#[derive(Clone, Debug)]
pub(super) struct Scope {
    /// The product's commodity.
    pub(super) product: usize,
    /// Blocks in the order in which they are solved.
    pub(super) blocks: Vec<usize>,
}

/// Evaluates a compiled works for one row of numbers.
pub(super) struct Evaluator<'a> {
    pub(super) works: &'a Compiled,
    pub(super) x: &'a [f64],
    pub(super) situation: &'a Situation,
    /// Money for one second of each skill.
    pub(super) skills: Vec<f64>,
}

impl<'a> Evaluator<'a> {
    pub(super) fn new(works: &'a Compiled, x: &'a [f64], situation: &'a Situation) -> Self {
        let skills = works
            .able
            .iter()
            .map(|crews| skill_cost(works, x, crews))
            .collect();
        Self {
            works,
            x,
            situation,
            skills,
        }
    }

    fn coefficient(&self, coefficient: Coefficient, sampled: bool) -> f64 {
        let x = self.x;
        match coefficient {
            Coefficient::Constant(value) => value,
            Coefficient::Passed { keeps, good } => x[keeps] * x[good],
            Coefficient::Rejected {
                keeps,
                good,
                factor,
            } => x[keeps] * (1.0 - x[good]) * factor,
            Coefficient::Amount {
                amount,
                makes,
                factor,
            } => x[amount] * factor / x[makes],
            Coefficient::Sampled(lost) => {
                if sampled {
                    lost
                } else {
                    0.0
                }
            }
        }
    }

    /// Puts the coefficients of a row into `each`, its own among them.
    fn row(&self, row: usize, sampled: bool, mut each: impl FnMut(usize, f64)) {
        match self.works.rows[row] {
            Row::Bought | Row::Worth => each(row, 1.0),
            Row::Same(other) => {
                each(row, 1.0);
                each(other, -1.0);
            }
            Row::Activity(activity) => {
                for &(commodity, coefficient) in &self.works.activities[activity].terms {
                    each(commodity, self.coefficient(coefficient, sampled));
                }
            }
        }
    }

    /// What a row is equal to, by element.
    pub(super) fn right_side(&self, row: usize) -> Elements {
        let mut money = Elements::default();
        match self.works.rows[row] {
            Row::Bought => {
                let price = self.situation.price.get(row).copied().flatten();
                money.add(Element::Material, price.map_or(0.0, |num| self.x[num]));
            }
            Row::Worth => {
                let worth = self.works.prices.get(row).and_then(|prices| prices.worth);
                money.add(Element::Recovered, worth.map_or(0.0, |num| self.x[num]));
            }
            Row::Activity(activity) if activity < self.works.operations.len() => {
                money = self.running(activity);
            }
            Row::Same(_) | Row::Activity(_) => {}
        }
        money
    }

    /// Prices of all commodities in scope.
    pub(super) fn prices(&self, scope: &Scope, prices: &mut [f64]) {
        for &block in &scope.blocks {
            let rows = &self.works.blocks[block];
            if let [row] = rows[..] {
                let (mut own, mut right) = (0.0, self.right_side(row).total());
                self.row(row, true, |other, value| {
                    if other == row {
                        own += value;
                    } else {
                        right -= value * prices[other];
                    }
                });
                prices[row] = if own == 0.0 { 0.0 } else { right / own };
            } else {
                self.price_block(block, rows, prices);
            }
        }
    }

    fn price_block(&self, block: usize, rows: &[usize], prices: &mut [f64]) {
        let n = rows.len();
        let mut matrix = vec![0.0; n * n];
        let mut right = vec![0.0; n];
        for (place, &row) in rows.iter().enumerate() {
            right[place] = self.right_side(row).total();
            self.row(row, true, |other, value| {
                if self.works.block_of[other] == block {
                    matrix[place * n + rows.binary_search(&other).unwrap_or(place)] += value;
                } else {
                    right[place] -= value * prices[other];
                }
            });
        }
        eliminate(&mut matrix, &mut right);
        rows.iter()
            .zip(right)
            .for_each(|(&row, price)| prices[row] = price);
    }

    /// How much of every row one unit of the product takes: levels of activities, amounts bought
    /// (above zero) and left over (below zero). `sampled`: whether samples lost are made good.
    pub(super) fn levels(&self, scope: &Scope, sampled: bool) -> Vec<f64> {
        let mut asked = vec![0.0; self.works.rows.len()];
        let mut levels = vec![0.0; self.works.rows.len()];
        asked[scope.product] = 1.0;
        for &block in scope.blocks.iter().rev() {
            let rows = &self.works.blocks[block];
            let n = rows.len();
            let mut transposed = vec![0.0; n * n];
            let mut right: Vec<f64> = rows.iter().map(|&row| asked[row]).collect();
            for (place, &row) in rows.iter().enumerate() {
                self.row(row, sampled, |other, value| {
                    if self.works.block_of[other] == block {
                        transposed[rows.binary_search(&other).unwrap_or(place) * n + place] +=
                            value;
                    }
                });
            }
            eliminate(&mut transposed, &mut right);
            for (&row, level) in rows.iter().zip(right) {
                levels[row] = level;
                self.row(row, sampled, |other, value| {
                    if self.works.block_of[other] != block {
                        asked[other] -= value * level;
                    }
                });
            }
        }
        levels
    }

    pub(super) fn people<'b>(
        &'b self,
        operation: &'b Operation,
        place: &Place,
    ) -> &'b [(usize, f64)] {
        match (&operation.people, place.station) {
            (Some(people), _) => people,
            (None, Some(station)) => &self.works.stations[station].people,
            (None, None) => &[],
        }
    }

    /// Money for one second of people.
    pub(super) fn labour(&self, people: &[(usize, f64)]) -> f64 {
        people
            .iter()
            .map(|&(skill, count)| count * self.skills[skill])
            .sum()
    }

    /// Money for one second of an operation: machine, people.
    fn second(&self, operation: &Operation, place: &Place) -> (f64, f64) {
        let machine = place
            .station
            .map_or(0.0, |station| self.x[self.works.stations[station].cost]);
        (machine, self.labour(self.people(operation, place)))
    }

    /// Running time of one unit.
    pub(super) fn unit_s(&self, index: usize, time: Time) -> f64 {
        let x = self.x;
        let over = |a: f64, b: f64| if b > 0.0 { a / b } else { 0.0 };
        match time {
            Time::None => 0.0,
            Time::Each(time) => x[time],
            Time::Flow(rate) => over(1.0, x[rate]),
            Time::Load { holds, dwell, turn } => {
                over(x[dwell] + x[turn], x[holds] * self.situation.fill[index])
            }
        }
    }

    /// Stops on top of one second of running.
    pub(super) fn stops(&self, station: Option<usize>) -> f64 {
        let stops = station.and_then(|station| self.works.stations[station].stops);
        stops.map_or(0.0, |(run, repair)| {
            if self.x[run] > 0.0 {
                self.x[repair] / self.x[run]
            } else {
                0.0
            }
        })
    }

    /// What one unit attempted costs to run, samples lost and fixed costs apart.
    fn running(&self, index: usize) -> Elements {
        let operation = &self.works.operations[index];
        let mut money = Elements::default();
        let x = self.x;
        let mut per_second = (0.0, 0.0);
        let mut run_s = 0.0;
        for place in &operation.places {
            let (machine, labour) = self.second(operation, place);
            per_second.0 += machine * place.share;
            per_second.1 += labour * place.share;
            let unit_s = self.unit_s(index, place.time) * place.share;
            let taken_s = unit_s * (1.0 + self.stops(place.station));
            run_s += unit_s;
            money.add(Element::Machine, taken_s * machine);
            money.add(Element::Labour, taken_s * labour);
            let power = place
                .station
                .map_or(0.0, |station| x[self.works.stations[station].power]);
            money.add(Element::Energy, unit_s * power * x[self.works.energy]);
        }
        money.add(Element::Labour, self.tasks(operation));
        money.add(Element::Energy, x[operation.energy] * x[self.works.energy]);
        for tool in &operation.tools {
            let used = if tool.by_time { run_s } else { 1.0 };
            let lives = if x[tool.life] > 0.0 {
                used / x[tool.life]
            } else {
                0.0
            };
            let change = x[tool.change] * (per_second.0 + per_second.1);
            money.add(Element::Tool, lives * (x[tool.cost] + change));
        }
        for check in &operation.checks {
            let samples = self.samples(index, operation, check, run_s);
            money.add(Element::Test, samples * self.sample(check, per_second));
        }
        let overhead = x[self.works.overhead];
        let conversion = [Element::Machine, Element::Labour, Element::Tool];
        let conversion: f64 = conversion.iter().map(|&element| money.get(element)).sum();
        money.add(Element::Overhead, overhead * conversion);
        money
    }

    /// Manual tasks that have no other pace.
    fn tasks(&self, operation: &Operation) -> f64 {
        let Some(place) = operation
            .places
            .first()
            .filter(|_| !operation.tasks.is_empty())
        else {
            return 0.0;
        };
        let people = self.people(operation, place);
        let heads: f64 = people.iter().map(|(_, count)| count).sum();
        let seconds: f64 = operation.tasks.iter().map(|&task| self.x[task]).sum();
        if heads > 0.0 {
            seconds * self.labour(people) / heads
        } else {
            0.0
        }
    }

    /// Samples for one unit attempted.
    fn samples(&self, index: usize, operation: &Operation, check: &Check, run_s: f64) -> f64 {
        let over = |a: f64, b: f64| if b > 0.0 { a / b } else { 0.0 };
        match check.often {
            Often::PerUnit(samples) => samples,
            Often::Units(every) => over(1.0, self.x[every]),
            Often::Seconds(every) => over(run_s, self.x[every]),
            Often::Lot => 0.0,
            Often::Load => {
                let loaded = operation.places.iter().map(|place| match place.time {
                    Time::Load { holds, .. } => {
                        place.share * over(1.0, self.x[holds] * self.situation.fill[index])
                    }
                    _ => 0.0,
                });
                loaded.sum()
            }
        }
    }

    /// What one sample costs, the units it loses apart. Nobody named: the station waits.
    fn sample(&self, check: &Check, per_second: (f64, f64)) -> f64 {
        let second = check
            .by
            .map_or(per_second.0 + per_second.1, |skill| self.skills[skill]);
        self.x[check.cost] + self.x[check.time] * second
    }

    /// What each lot of an operation costs whatever its size. `prices` are those of commodities.
    fn lot(&self, operation: &Operation, prices: &[f64]) -> Elements {
        let mut money = Elements::default();
        let mut per_second = (0.0, 0.0);
        for place in &operation.places {
            let (machine, labour) = self.second(operation, place);
            per_second.0 += machine * place.share;
            per_second.1 += labour * place.share;
        }
        let setup_s = operation.setup.map_or(0.0, |setup| self.x[setup]);
        money.add(Element::SetUp, setup_s * (per_second.0 + per_second.1));
        for check in operation
            .checks
            .iter()
            .filter(|check| matches!(check.often, Often::Lot))
        {
            let lost = check.lost_per_lot * prices[operation.out];
            money.add(Element::Test, self.sample(check, per_second) + lost);
        }
        money
    }

    /// What each lot of a route costs whatever its size.
    pub(super) fn lots(&self, route: usize, operations: &[usize], prices: &[f64]) -> Elements {
        let mut money = Elements::default();
        for &operation in operations {
            money.add_times(&self.lot(&self.works.operations[operation], prices), 1.0);
        }
        for change in &self.works.changes[route] {
            let station = &self.works.stations[change.station];
            let second = self.x[station.cost] + self.labour(&station.people);
            let used: f64 = change
                .uses
                .iter()
                .map(|&(item, num)| self.x[num] * self.item(item, prices))
                .sum();
            money.add(
                Element::Changeover,
                change.per_lot * (self.x[change.time] * second + used),
            );
        }
        let conversion = money.get(Element::SetUp) + money.get(Element::Changeover);
        money.add(Element::Overhead, self.x[self.works.overhead] * conversion);
        money
    }

    /// The price of an item, also of one outside the scope that is simply bought.
    pub(super) fn item(&self, item: usize, prices: &[f64]) -> f64 {
        match self.works.rows[item] {
            Row::Bought => self.situation.price[item].map_or(0.0, |num| self.x[num]),
            _ => prices[item],
        }
    }
}

fn skill_cost(works: &Compiled, x: &[f64], crews: &[usize]) -> f64 {
    let heads: f64 = crews.iter().map(|&crew| works.crews[crew].people).sum();
    let paid = |&crew: &usize| {
        let crew = &works.crews[crew];
        let there = if x[crew.attendance] > 0.0 {
            x[crew.attendance]
        } else {
            1.0
        };
        crew.people * x[crew.cost] / there
    };
    let all: f64 = crews.iter().map(paid).sum();
    if heads > 0.0 { all / heads } else { 0.0 }
}

/// Solves a dense system in place by elimination with row pivoting. A row that vanishes gives zero.
fn eliminate(matrix: &mut [f64], right: &mut [f64]) {
    let n = right.len();
    for column in 0..n {
        let pivot = (column..n)
            .max_by(|&a, &b| {
                matrix[a * n + column]
                    .abs()
                    .total_cmp(&matrix[b * n + column].abs())
            })
            .unwrap_or(column);
        if pivot != column {
            (0..n).for_each(|k| matrix.swap(pivot * n + k, column * n + k));
            right.swap(pivot, column);
        }
        let own = matrix[column * n + column];
        if own == 0.0 {
            continue;
        }
        for row in column + 1..n {
            let factor = matrix[row * n + column] / own;
            if factor != 0.0 {
                (column..n).for_each(|k| matrix[row * n + k] -= factor * matrix[column * n + k]);
                right[row] -= factor * right[column];
            }
        }
    }
    for row in (0..n).rev() {
        let rest: f64 = (row + 1..n).map(|k| matrix[row * n + k] * right[k]).sum();
        let own = matrix[row * n + row];
        right[row] = if own == 0.0 {
            0.0
        } else {
            (right[row] - rest) / own
        };
    }
}
