//! How much to start, and with what odds: the chain of yields of a route as the start engine sees it.
//!
//! From any operation the chain runs along the feeds to the end of the route. Each operation
//! contributes what its recipe gives (when that varies), what it keeps by measure, and the chance
//! that a unit passes; a unit sent to rework may still pass, with the chance that the loop gives it.
//! Between operations a change of unit (metres to pieces) is a step without chance.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::sync::Arc;

use balance::start::{
    CurvePoint, Method, Prepared, Question, Start, StartError, Step, StepKind, smallest,
};
use works::{Operation, OperationId, RejectTo, RouteId, Works};

use crate::flow::{Flow, in_main_line, last_operation};
use crate::reason::{Engine, Ledger, NodeId, Shown, Source};

mod reach;

/// Where a chain begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum From {
    /// With units attempted at the operation.
    Units(OperationId),
    /// With recipes of the operation (planks to be cross-cut), whose yield of units varies.
    Recipes(OperationId),
}

/// The chain from an operation to the end of its route.
#[derive(Clone, Debug)]
pub struct Chain {
    /// Where it begins.
    pub from: From,
    /// Its steps; those that change nothing are left out.
    pub steps: Vec<Step>,
    /// Product units that one unit started gives in the mean.
    pub gives: f64,
    /// Whether only whole units can be started.
    pub whole_units: bool,
    /// Size of a production lot in start units.
    pub lot: Option<f64>,
    seed: u64,
}

impl Chain {
    /// The chain from an operation of the main line; none when the operation leads nowhere. The flow
    /// says what share of the units is lost to tests.
    pub fn new(works: &Works, flow: &Flow, from: From) -> Option<Self> {
        let (From::Units(first) | From::Recipes(first)) = from;
        let route = works.operation(first).route;
        let path = path(works, first)?;
        let mut steps = Vec::new();
        for (position, &id) in path.iter().enumerate() {
            let operation = works.operation(id);
            let fed = position.checked_sub(1).and_then(|before| {
                operation
                    .feeds
                    .iter()
                    .find(|feed| feed.from == path[before])
            });
            match fed {
                Some(feed) => steps.extend(arriving(operation, feed.amount.mean())),
                None if matches!(from, From::Recipes(_)) => steps.push(recipe(operation)),
                None => {}
            }
            steps.extend(yields(works, id, flow.tested(id)));
        }
        let gives: f64 = steps.iter().map(mean).product();
        let lot = works
            .route(route)
            .lot
            .as_ref()
            .map(|lot| lot.mean() / gives);
        let whole_units = match from {
            From::Units(id) => is_count(&works.operation(id).output.unit),
            From::Recipes(id) => recipe_is_counted(works, id),
        };
        let seed = works.assumptions.seed;
        Some(Self {
            from,
            steps,
            gives,
            whole_units,
            lot,
            seed,
        })
    }

    /// The chain that an engineer would count the start of a route in: from its first operation,
    /// in recipes where their yield varies.
    pub fn of_route(works: &Works, flow: &Flow, route: RouteId) -> Option<Self> {
        let last = last_operation(works, route)?;
        let mut first = last;
        while let Some(feed) = works
            .operation(first)
            .feeds
            .iter()
            .find(|feed| in_main_line(works, feed.from))
        {
            first = feed.from;
        }
        Self::new(works, flow, start_of(works, first))
    }

    /// The question whether a start fills a demand.
    pub fn question(&self, demand: f64) -> Question {
        Question {
            demand,
            steps: self.steps.clone(),
            lot: self.lot,
            whole_units: self.whole_units,
            seed: self.seed,
        }
    }

    /// The start that meets the demand in the mean.
    pub fn mean_start(&self, demand: f64) -> f64 {
        demand / self.gives
    }

    /// Whether nothing along the chain varies.
    pub fn is_certain(&self) -> bool {
        self.steps.iter().all(|step| match step.kind {
            StepKind::Pieces { good, .. } => good >= 1.0,
            StepKind::Rework {
                first_pass,
                recovered,
                ..
            } => first_pass >= 1.0 || recovered >= 1.0,
            StepKind::Measure { lots_sd, .. } => lots_sd == 0.0,
            StepKind::Gives { sd, lots_sd, .. } => sd == 0.0 && lots_sd == 0.0,
        })
    }

    /// The unit that the start is counted in.
    pub fn unit(&self, works: &Works) -> Shown {
        match self.from {
            From::Units(id) => Shown::from(&works.operation(id).output.unit),
            From::Recipes(id) => match sole_take(works.operation(id)) {
                Some(item) => Shown::from(&works.item(item).unit),
                None => Shown::count("recipe"),
            },
        }
    }

    /// What is started, in words.
    pub fn what(&self, works: &Works) -> String {
        match self.from {
            From::Units(id) => crate::flow::label(works, id),
            From::Recipes(id) => match sole_take(works.operation(id)) {
                Some(item) => works.item(item).name.clone(),
                None => format!("recipes of {}", crate::flow::label(works, id)),
            },
        }
    }
}

/// Where a start at an operation is counted: in recipes where their yield varies, or where a recipe
/// is one piece of something taken (a plank, a sheet); else in units of output.
pub fn start_of(works: &Works, id: OperationId) -> From {
    let operation = works.operation(id);
    let output = &operation.output;
    let varies = output.within_cv > 0.0 || output.lots_cv > 0.0;
    let piece = sole_take(operation).is_some_and(|item| is_count(&works.item(item).unit));
    if varies || (output.per_recipe != 1.0 && piece) {
        From::Recipes(id)
    } else {
        From::Units(id)
    }
}

/// The operations from one to the end of its route, along the feeds.
fn path(works: &Works, first: OperationId) -> Option<Vec<OperationId>> {
    let route = works.operation(first).route;
    let last = last_operation(works, route)?;
    let mut path = vec![first];
    while let Some(&at) = path.last()
        && at != last
    {
        let operations = works.route(route).operations.iter().copied();
        let next = operations
            .filter(|&id| in_main_line(works, id) && !path.contains(&id))
            .find(|&id| works.operation(id).feeds.iter().any(|feed| feed.from == at))?;
        path.push(next);
    }
    Some(path)
}

/// The one item taken from outside, when there is one and it is taken whole: what a recipe is of.
fn sole_take(operation: &Operation) -> Option<works::ItemId> {
    match operation.takes.as_slice() {
        [take] if (take.amount.mean() * operation.output.per_recipe - 1.0).abs() < 1e-9 => {
            Some(take.item)
        }
        _ => None,
    }
}

fn recipe_is_counted(works: &Works, id: OperationId) -> bool {
    sole_take(works.operation(id)).is_none_or(|item| is_count(&works.item(item).unit))
}

fn is_count(unit: &quantity::Unit) -> bool {
    unit.dimension().as_count().is_some()
}

/// Units out of one recipe.
fn recipe(operation: &Operation) -> Step {
    let mean = operation.output.per_recipe;
    let sd = operation.output.within_cv * mean;
    let lots_sd = operation.output.lots_cv * mean;
    Step {
        kind: StepKind::Gives { mean, sd, lots_sd },
    }
}

/// Units out of one unit fed, `amount` being taken for each. A recipe of `per_recipe` units takes
/// `amount × per_recipe`, so the variance of a recipe is spread over as many units fed.
fn arriving(operation: &Operation, amount: f64) -> Option<Step> {
    let output = &operation.output;
    let mean = 1.0 / amount;
    if !mean.is_finite() {
        return None;
    }
    let fed_per_recipe = amount * output.per_recipe;
    let sd = output.within_cv * output.per_recipe / fed_per_recipe.sqrt();
    let lots_sd = output.lots_cv * mean;
    let plain = mean == 1.0 && sd == 0.0 && lots_sd == 0.0;
    (!plain).then_some(Step {
        kind: StepKind::Gives { mean, sd, lots_sd },
    })
}

/// What an operation does to a unit attempted; `tested` is the share of units attempted that tests
/// use up.
fn yields(works: &Works, id: OperationId, tested: f64) -> Vec<Step> {
    let operation = works.operation(id);
    let mut steps = Vec::new();
    let keeps = &operation.keeps;
    if keeps.mean != 1.0 || keeps.lots_sd > 0.0 {
        let kind = StepKind::Measure {
            keeps: keeps.mean,
            lots_sd: keeps.lots_sd,
        };
        steps.push(Step { kind });
    }
    let good = &operation.good;
    if good.mean < 1.0 {
        let recovered = recovered(works, id);
        let kind = match (is_count(&operation.output.unit), recovered > 0.0) {
            (true, true) => StepKind::Rework {
                first_pass: good.mean,
                lots_sd: good.lots_sd,
                recovered,
            },
            (true, false) => StepKind::Pieces {
                good: good.mean,
                lots_sd: good.lots_sd,
            },
            // Of a length or mass a share passes; it has no pieces that could pass by chance.
            (false, _) => {
                let keeps = good.mean + (1.0 - good.mean) * recovered;
                StepKind::Measure {
                    keeps,
                    lots_sd: good.lots_sd * (1.0 - recovered),
                }
            }
        };
        steps.push(Step { kind });
    }
    // Tests use up a share of what is attempted, out of what passes.
    let tested = tested / steps.iter().map(mean).product::<f64>();
    if tested > 0.0 && tested < 1.0 {
        let kind = StepKind::Measure {
            keeps: 1.0 - tested,
            lots_sd: 0.0,
        };
        steps.push(Step { kind });
    }
    steps
}

/// Mean units out of one in.
fn mean(step: &Step) -> f64 {
    match step.kind {
        StepKind::Pieces { good, .. } => good,
        StepKind::Measure { keeps, .. } => keeps,
        StepKind::Gives { mean, .. } => mean,
        StepKind::Rework {
            first_pass,
            recovered,
            ..
        } => first_pass + (1.0 - first_pass) * recovered,
    }
}

/// Rounds after which the chance of coming back through a loop is settled.
const LOOP_ROUNDS: usize = 10_000;

/// The chance that a unit rejected at an operation passes it in the end.
///
/// The hitting probability h of an absorbing chain over the operations of the route: h = good ×
/// h(next) + (1 − good) × Σ share × h(target), with h(next) = 1 where the operation asked about
/// passes a unit. Iterated from 0 it rises to the least solution, which is the probability
/// (Norris 1997, *Markov Chains*, theorem 1.3.2; from memory).
fn recovered(works: &Works, asked: OperationId) -> f64 {
    let reworks = |id: OperationId| {
        works
            .operation(id)
            .rejects
            .iter()
            .any(|r| matches!(r.to, RejectTo::Rework(_)))
    };
    if !reworks(asked) {
        return 0.0;
    }
    let route = &works.route(works.operation(asked).route).operations;
    let next = next_operations(works, route);
    let mut chance: BTreeMap<OperationId, f64> = route.iter().map(|&id| (id, 0.0)).collect();
    for _ in 0..LOOP_ROUNDS {
        let mut moved = 0.0_f64;
        for &id in route.iter().rev() {
            let operation = works.operation(id);
            let passes = operation.keeps.mean.min(1.0) * operation.good.mean;
            let ahead = if id == asked {
                1.0
            } else {
                next.get(&id)
                    .and_then(|next| chance.get(next))
                    .copied()
                    .unwrap_or(0.0)
            };
            let value = passes * ahead + (1.0 - operation.good.mean) * back(operation, &chance);
            let old = chance.insert(id, value).unwrap_or(0.0);
            moved = moved.max((value - old).abs());
        }
        if moved < 1e-14 {
            break;
        }
    }
    back(works.operation(asked), &chance).clamp(0.0, 1.0)
}

/// The chance that a reject comes good where it is sent.
fn back(operation: &Operation, chance: &BTreeMap<OperationId, f64>) -> f64 {
    let shares = operation
        .rejects
        .iter()
        .filter_map(|reject| match reject.to {
            RejectTo::Rework(to) => Some(reject.share * chance.get(&to).copied().unwrap_or(0.0)),
            RejectTo::Scrap | RejectTo::Item(..) => None,
        });
    shares.sum()
}

fn next_operations(works: &Works, route: &[OperationId]) -> BTreeMap<OperationId, OperationId> {
    let mut next = BTreeMap::new();
    for &id in route {
        let operation = works.operation(id);
        if let Some(then) = operation.then {
            next.insert(id, then);
        }
        if in_main_line(works, id) {
            for feed in &operation.feeds {
                next.entry(feed.from).or_insert(id);
            }
        }
    }
    next
}

/// Chains made ready and start quantities already worked out: many operations and orders share one.
#[derive(Debug, Default)]
pub struct Memory {
    ready: BTreeMap<Vec<u64>, Prepared>,
    found: BTreeMap<Vec<u64>, Result<Start, StartError>>,
}

impl Memory {
    /// The smallest start that fills the demand with the certainty.
    pub fn smallest(
        &mut self,
        chain: &Chain,
        demand: f64,
        certainty: f64,
    ) -> Result<Start, StartError> {
        let key = key(chain);
        let mut asked = key.clone();
        asked.extend([demand.to_bits(), certainty.to_bits()]);
        if let Some(found) = self.found.get(&asked) {
            return found.clone();
        }
        let found = self
            .ready(key, chain, demand)
            .and_then(|ready| ready.smallest(certainty));
        self.found.insert(asked, found.clone());
        found
    }

    /// The certainty curve of a demand.
    pub fn curve(
        &mut self,
        chain: &Chain,
        demand: f64,
        points: usize,
    ) -> Result<Vec<CurvePoint>, StartError> {
        self.ready(key(chain), chain, demand)?.curve(points)
    }

    /// The chain made ready for a demand.
    fn ready(
        &mut self,
        key: Vec<u64>,
        chain: &Chain,
        demand: f64,
    ) -> Result<&mut Prepared, StartError> {
        match self.ready.entry(key) {
            Entry::Occupied(ready) => {
                let ready = ready.into_mut();
                ready.set_demand(demand)?;
                Ok(ready)
            }
            Entry::Vacant(place) => Ok(place.insert(Prepared::new(&chain.question(demand))?)),
        }
    }
}

/// What tells chains apart.
fn key(chain: &Chain) -> Vec<u64> {
    let mut key = vec![
        chain.lot.unwrap_or(0.0).to_bits(),
        u64::from(chain.whole_units),
    ];
    for step in &chain.steps {
        key.push(code(&step.kind));
        key.extend(
            numbers(&step.kind)
                .iter()
                .map(|(_, number)| number.to_bits()),
        );
    }
    key
}

fn code(kind: &StepKind) -> u64 {
    match kind {
        StepKind::Pieces { .. } => 0,
        StepKind::Measure { .. } => 1,
        StepKind::Gives { .. } => 2,
        StepKind::Rework { .. } => 3,
    }
}

/// The numbers of a step with their names.
fn numbers(kind: &StepKind) -> Vec<(&'static str, f64)> {
    match *kind {
        StepKind::Pieces { good, lots_sd } => {
            vec![
                ("chance to pass", good),
                ("its deviation between lots", lots_sd),
            ]
        }
        StepKind::Measure { keeps, lots_sd } => {
            vec![
                ("share kept", keeps),
                ("its deviation between lots", lots_sd),
            ]
        }
        StepKind::Gives { mean, sd, lots_sd } => vec![
            ("given by one", mean),
            ("its deviation inside a lot", sd),
            ("its deviation between lots", lots_sd),
        ],
        StepKind::Rework {
            first_pass,
            lots_sd,
            recovered,
        } => vec![
            ("chance to pass at first", first_pass),
            ("its deviation between lots", lots_sd),
            ("chance that a reject is saved", recovered),
        ],
    }
}

fn with_numbers(kind: &StepKind, numbers: &[f64]) -> StepKind {
    let at = |place: usize| numbers.get(place).copied().unwrap_or(f64::NAN);
    match kind {
        StepKind::Pieces { .. } => StepKind::Pieces {
            good: at(0),
            lots_sd: at(1),
        },
        StepKind::Measure { .. } => StepKind::Measure {
            keeps: at(0),
            lots_sd: at(1),
        },
        StepKind::Gives { .. } => StepKind::Gives {
            mean: at(0),
            sd: at(1),
            lots_sd: at(2),
        },
        StepKind::Rework { .. } => StepKind::Rework {
            first_pass: at(0),
            lots_sd: at(1),
            recovered: at(2),
        },
    }
}

/// The steps of these kinds with numbers read off in order.
fn rebuilt(kinds: &[StepKind], numbers_in_order: &[f64]) -> Vec<Step> {
    let mut rest = numbers_in_order;
    let mut steps = Vec::new();
    for kind in kinds {
        let (own, others) = rest.split_at(numbers(kind).len().min(rest.len()));
        steps.push(Step {
            kind: with_numbers(kind, own),
        });
        rest = others;
    }
    steps
}

/// The mean that a chain gives, as a rule of the ledger: inputs are every number of every step.
#[derive(Debug)]
struct MeanRule(Vec<StepKind>);

impl Engine for MeanRule {
    fn name(&self) -> &'static str {
        "mean yield of the chain"
    }

    fn words(&self) -> String {
        format!("the means of {} step(s) multiplied", self.0.len())
    }

    fn value(&self, inputs: &[f64]) -> f64 {
        rebuilt(&self.0, inputs).iter().map(mean).product()
    }
}

/// The start engine as a rule of the ledger: inputs are demand, certainty, then every number of
/// every step.
#[derive(Debug)]
pub struct StartRule {
    kinds: Vec<StepKind>,
    lot: Option<f64>,
    whole_units: bool,
    seed: u64,
    method: Method,
}

impl Engine for StartRule {
    fn name(&self) -> &'static str {
        "smallest start that fills the demand with the certainty"
    }

    fn words(&self) -> String {
        format!("{} step(s); {}", self.kinds.len(), self.method.words())
    }

    fn cite(&self) -> Option<&'static str> {
        match self.method {
            Method::BetaBinomial => Some("Skellam 1948"),
            _ => None,
        }
    }

    fn value(&self, inputs: &[f64]) -> f64 {
        let [demand, certainty, rest @ ..] = inputs else {
            return f64::NAN;
        };
        let mut rest = rest;
        let mut steps = Vec::new();
        for kind in &self.kinds {
            let count = numbers(kind).len().min(rest.len());
            let (own, others) = rest.split_at(count);
            steps.push(Step {
                kind: with_numbers(kind, own),
            });
            rest = others;
        }
        let question = Question {
            demand: *demand,
            steps,
            lot: self.lot,
            whole_units: self.whole_units,
            seed: self.seed,
        };
        smallest(&question, *certainty).map_or(f64::NAN, |start| start.quantity)
    }
}

/// The leaves of a chain's numbers, entered once and shared by every certainty.
#[derive(Clone, Debug)]
pub struct ChainLeaves(Vec<NodeId>);

impl ChainLeaves {
    /// Enters the numbers of every step.
    pub fn enter(ledger: &mut Ledger, works: &Works, chain: &Chain) -> Self {
        let what = chain.what(works);
        let (From::Units(first) | From::Recipes(first)) = chain.from;
        let at = works.operation(first).at;
        let mut leaves = Vec::new();
        for (place, step) in chain.steps.iter().enumerate() {
            for (name, number) in numbers(&step.kind) {
                let name = format!("step {} from {what}: {name}", place + 1);
                leaves.push(ledger.given(name, number, Shown::plain(), Source::at(at)));
            }
        }
        Self(leaves)
    }

    /// Enters what one unit started gives in the mean.
    pub fn gives(&self, ledger: &mut Ledger, works: &Works, chain: &Chain) -> NodeId {
        let (From::Units(first) | From::Recipes(first)) = chain.from;
        let route = works.operation(first).route;
        let product = Shown::from(&works.item(works.route(route).makes).unit);
        let rule = MeanRule(chain.steps.iter().map(|step| step.kind).collect());
        let name = format!("product from one {}", chain.what(works));
        ledger.engine(
            name,
            product.per(&chain.unit(works)),
            Arc::new(rule),
            &self.0,
        )
    }

    /// Enters the start that meets a demand in the mean.
    pub fn mean_start(
        &self,
        ledger: &mut Ledger,
        works: &Works,
        chain: &Chain,
        demand: NodeId,
    ) -> NodeId {
        let gives = self.gives(ledger, works, chain);
        let name = format!("{} to start in the mean", chain.what(works));
        ledger.quotient(name, chain.unit(works), &[demand, gives])
    }

    /// Enters a start quantity that has been worked out.
    pub fn start(
        &self,
        ledger: &mut Ledger,
        works: &Works,
        chain: &Chain,
        (demand, certainty): (NodeId, NodeId),
        start: &Start,
    ) -> NodeId {
        let rule = StartRule {
            kinds: chain.steps.iter().map(|step| step.kind).collect(),
            lot: chain.lot,
            whole_units: chain.whole_units,
            seed: chain.seed,
            method: start.method,
        };
        let mut inputs = vec![demand, certainty];
        inputs.extend(&self.0);
        let name = format!("{} to start", chain.what(works));
        ledger.answered(
            name,
            start.quantity,
            chain.unit(works),
            Arc::new(rule),
            &inputs,
        )
    }
}
