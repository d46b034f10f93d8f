//! Reading one operation, its item names and units known from the outline.

use quantity::{Dimension, Expect, Spread};

use super::super::amounts::{PaceContext, by_mass};
use super::super::names::Names;
use super::super::table::{Notes, Value, Word};
use super::super::works::{Declared, by_name, energy};
use super::{OperationOutline, Role, RouteOutline, watch};
use crate::diagnostic::Diagnostic;
use crate::format::{self, Section};
use crate::model::{
    Also, Alternative, Feed, ItemId, Operation, OperationId, Output, Pace, Recovered, Reject,
    RejectTo, RouteId, Stated, StationId, Take, Wait,
};
use crate::suggest::nearest;

/// The section of one operation.
fn section() -> &'static Section {
    by_name(&format::ROUTE, "operation")
}

/// The section of `makes` with a mean and spreads.
pub(super) fn makes_section() -> &'static Section {
    by_name(section(), "makes")
}

/// One operation being read.
struct Reader<'r, 't> {
    declared: &'r mut Declared,
    route: &'r RouteOutline<'t>,
    outline: &'r OperationOutline<'t>,
    /// Where the operation stands in its route.
    position: usize,
    names: &'r Names,
}

pub(super) fn read(
    notes: &mut Notes,
    declared: &mut Declared,
    route: &RouteOutline<'_>,
    names: &Names,
    id: RouteId,
    position: usize,
) -> Operation {
    let outline = &route.operations[position];
    let table = &outline.table;
    let mut reader = Reader {
        declared,
        route,
        outline,
        position,
        names,
    };
    let (feeds, takes) = reader.inputs(notes);
    let also = reader.also(notes);
    let (station, alternatives) = reader.stations(notes);
    let does = reader.does(notes);
    let context = reader.pace_context(&feeds, &takes, &does);
    let tasks = watch::tasks(notes, table);
    let pace = table
        .get("pace")
        .and_then(|value| context.pace(notes, value));
    let pace = pace
        .or_else(|| watch::pace_of_tasks(&tasks, &outline.basis))
        .unwrap_or(Pace::None);
    let alternatives = alternatives
        .into_iter()
        .map(|(station, pace)| Alternative {
            station,
            pace: pace.and_then(|value| context.pace(notes, value)),
        })
        .collect();
    let tools = watch::tools(notes, table, &context, &reader.declared.money());
    let time = Expect::Dimension(&Dimension::TIME);
    Operation {
        name: outline.name.text.clone(),
        route: id,
        at: outline.name.at,
        station,
        alternatives,
        feeds,
        takes,
        output: reader.output(notes),
        also,
        keeps: table.yield_of(notes, "keeps", 10.0),
        good: table.yield_of(notes, "good", 1.0),
        rejects: reader.rejects(notes),
        uses_up: reader.uses_up(notes),
        then: reader.then(notes),
        off_line: outline.role == Role::OffLine,
        lost_as: table.text(notes, "lost_as").map(|word| word.text),
        does,
        pace,
        people: table
            .get("people")
            .map(|value| reader.declared.people(notes, value)),
        setup: table.not_negative(notes, "setup", time),
        wait: wait(notes, table.get("wait")),
        settings: watch::settings(notes, table),
        checks: watch::checks(notes, table, &outline.basis.unit, reader.declared),
        tools,
        hazards: {
            let words = table.texts(notes, "hazards");
            reader.declared.hazards_of(notes, &words)
        },
        energy: reader.energy(notes),
        tasks,
        cut: None,
        drill: None,
        fill: None,
        heat: None,
        salt: None,
        drying: None,
        mould: None,
        solvent: None,
        note: table.text(notes, "note").map(|word| word.text),
    }
}

impl Reader<'_, '_> {
    fn operation_id(&self, position: usize) -> OperationId {
        OperationId(self.route.first + position)
    }

    /// What it takes: from earlier operations, and from elsewhere.
    fn inputs(&mut self, notes: &mut Notes) -> (Vec<Feed>, Vec<Take>) {
        let mut feeds: Vec<Feed> = self
            .outline
            .feed
            .map(|from| self.plain_feed(from))
            .into_iter()
            .collect();
        let mut takes = Vec::new();
        let Some(value) = self.outline.table.get("takes") else {
            return (feeds, takes);
        };
        for (name, value) in value.entries(notes, "items and amounts") {
            let named = self
                .outline
                .named_feeds
                .iter()
                .find(|(item, _)| *item == name.text);
            if let Some(&(_, from)) = named {
                let unit = self.route.operations[from].basis.unit.clone();
                let read = self.outline.basis.amount_of(notes, value, &unit);
                // An amount that could not be read still feeds, so that nothing more is complained of.
                let (amount, stated) = read
                    .map_or((Spread::Exact(1.0), None), |(amount, stated)| {
                        (amount, Some(stated))
                    });
                feeds.push(Feed {
                    from: self.operation_id(from),
                    amount,
                    stated,
                });
            } else if let Some(take) = self.take(notes, &name, value) {
                takes.push(take);
            }
        }
        (feeds, takes)
    }

    /// One unit of what the operation before passes on; for a recipe, one unit makes the recipe.
    fn plain_feed(&self, from: usize) -> Feed {
        let before = &self.route.operations[from].basis.unit;
        let basis = &self.outline.basis;
        let amount = if self.outline.recipe {
            before.factor() / basis.amount
        } else {
            1.0
        };
        Feed {
            from: self.operation_id(from),
            amount: Spread::Exact(amount),
            stated: None,
        }
    }

    fn take(&mut self, notes: &mut Notes, name: &Word, value: Value<'_>) -> Option<Take> {
        let item = ItemId(self.find_item(notes, name)?);
        let unit = self.declared.items[item.0].unit.clone();
        let is_plain = !value.is_table() || value.value.get_ref().get("value").is_some();
        if is_plain {
            let stated = self.outline.basis.amount_of(notes, value, &unit)?;
            return Some(Take {
                item,
                amount: stated.0,
                stated: stated.1,
                recovered: None,
            });
        }
        let table = value.table(notes, by_name(section(), "takes"))?;
        let (amount, stated) = self.outline.basis.amount_in(notes, &table, &unit)?;
        let recovered = self.recovered(notes, &table, item);
        Some(Take {
            item,
            amount,
            stated,
            recovered,
        })
    }

    /// An item that is taken; one that a later operation of the route makes cannot be taken yet.
    fn find_item(&self, notes: &mut Notes, name: &Word) -> Option<usize> {
        let number = self.declared.item_names.find(notes, name)?;
        let later = self
            .route
            .made_by
            .get(&ItemId(number))
            .map(|&position| &self.route.operations[position]);
        if let Some(later) = later.filter(|_| self.declared.items[number].buy.is_none()) {
            notes.push(
                Diagnostic::fault(
                    "taken-too-early",
                    name.at,
                    format!("`{}` is not made yet here", name.text),
                )
                .other(later.name.at, "made by this operation")
                .help("put the operation that makes it before the one that takes it"),
            );
            return None;
        }
        if ItemId(number) == self.route.makes && self.declared.items[number].buy.is_none() {
            notes.push(
                Diagnostic::fault("takes-itself", name.at, format!("the route of `{}` takes `{}`", name.text, name.text))
                    .help("units that go round again are rejects with `rework`; material that goes round again is `regrind`"),
            );
            return None;
        }
        Some(number)
    }

    fn recovered(
        &mut self,
        notes: &mut Notes,
        table: &super::super::table::Table<'_>,
        virgin: ItemId,
    ) -> Option<Recovered> {
        let word = table.text(notes, "regrind");
        let at_most = table.share(notes, "at_most");
        let written = (
            table.get("regrind").is_some(),
            table.get("at_most").is_some(),
        );
        let word = match written {
            (true, true) => word?,
            (false, false) => return None,
            _ => {
                notes.push(
                    Diagnostic::fault(
                        "missing-key",
                        table.at,
                        "`regrind` and `at_most` go together",
                    )
                    .help("for example regrind = \"glider regrind\", at_most = \"25 %\""),
                );
                return None;
            }
        };
        let item = ItemId(self.declared.item_names.find(notes, &word)?);
        let (left, right) = (
            &self.declared.items[item.0].unit,
            &self.declared.items[virgin.0].unit,
        );
        if left.dimension() != right.dimension() {
            notes.push(
                Diagnostic::fault(
                    "wrong-dimension",
                    word.at,
                    "regrind and what it replaces are measured differently",
                )
                .sides(right.symbol(), left.symbol()),
            );
            return None;
        }
        Some(Recovered {
            item,
            at_most: at_most?,
        })
    }

    /// What comes out beside the product.
    fn also(&mut self, notes: &mut Notes) -> Vec<Also> {
        let Some(value) = self.outline.table.get("also") else {
            return Vec::new();
        };
        let mut also = Vec::new();
        for (name, value) in value.entries(notes, "items and amounts") {
            let Some(number) = self.declared.item_names.find(notes, &name) else {
                continue;
            };
            let unit = self.declared.items[number].unit.clone();
            self.declared.items[number].left_over_somewhere = true;
            if let Some((amount, stated)) = self.outline.basis.amount_of(notes, value, &unit) {
                also.push(Also {
                    item: ItemId(number),
                    amount,
                    stated,
                });
            }
        }
        also
    }

    /// The stations: the usual one, and others with their paces.
    fn stations<'v>(
        &self,
        notes: &mut Notes,
    ) -> (Option<StationId>, Vec<(StationId, Option<Value<'v>>)>)
    where
        Self: 'v,
    {
        let mut found: Vec<(StationId, Option<Value<'v>>)> = Vec::new();
        let Some(value) = self.outline.table.get("at") else {
            return (None, found);
        };
        for value in value.list() {
            if let Some(word) = value.as_text() {
                let id = self.declared.station_names.find(notes, &word);
                found.extend(id.map(|id| (StationId(id), None)));
            } else if let Some(table) = value.table(notes, by_name(section(), "at")) {
                let Some(word) = table.need_text(notes, "station") else {
                    continue;
                };
                let id = self.declared.station_names.find(notes, &word);
                found.extend(id.map(|id| (StationId(id), table.get("pace"))));
            }
        }
        if found.is_empty() {
            return (None, found);
        }
        let (usual, _) = found.remove(0);
        (Some(usual), found)
    }

    /// What else one base unit of output counts as.
    fn does(&self, notes: &mut Notes) -> Vec<Stated> {
        let Some(value) = self.outline.table.get("does") else {
            return Vec::new();
        };
        let per = self.outline.basis.amount;
        let amounts = value.list().into_iter().filter_map(|value| {
            let stated = value.stated(notes, Expect::Any)?;
            let stated = super::super::table::positive(notes, "does", stated)?;
            Some(Stated {
                spread: stated.spread.map(|amount| amount / per),
                ..stated
            })
        });
        amounts.collect()
    }

    fn pace_context(&self, feeds: &[Feed], takes: &[Take], does: &[Stated]) -> PaceContext<'_> {
        let mut inputs = Vec::new();
        for feed in feeds {
            let from = &self.route.operations[feed.from.0 - self.route.first];
            let name = self.declared.items[from.item.0].name.clone();
            inputs.push((name, from.basis.unit.clone(), feed.amount.mean()));
        }
        for take in takes {
            let item = &self.declared.items[take.item.0];
            inputs.push((item.name.clone(), item.unit.clone(), take.amount.mean()));
        }
        for stated in does {
            let name = stated.unit.symbol().to_owned();
            inputs.push((name, stated.unit.clone(), stated.mean()));
        }
        let kg = self.declared.items[self.outline.item.0].kg_per_unit();
        PaceContext {
            basis: &self.outline.basis,
            inputs,
            kg,
        }
    }

    /// What it passes on, with the spread of a recipe.
    fn output(&self, notes: &mut Notes) -> Output {
        let basis = &self.outline.basis;
        let plain = Output {
            item: self.outline.item,
            unit: basis.unit.clone(),
            per_recipe: basis.amount,
            within_cv: 0.0,
            lots_cv: 0.0,
            stated: None,
        };
        if !self.outline.recipe {
            return plain;
        }
        let Some(value) = self.outline.table.get("makes") else {
            return plain;
        };
        let Some((_, value)) = value
            .entries(notes, "one item and its amount")
            .into_iter()
            .next()
        else {
            return plain;
        };
        let expect = Expect::Dimension(basis.unit.dimension());
        if value.value.get_ref().get("mean").is_none() {
            let Some(stated) = value.stated(notes, expect) else {
                return plain;
            };
            let Some(stated) = super::super::table::positive(notes, "makes", stated) else {
                return plain;
            };
            let within_cv = stated.spread.sd() / stated.mean();
            return Output {
                within_cv,
                stated: Some(stated),
                ..plain
            };
        }
        let Some(table) = value.table(notes, makes_section()) else {
            return plain;
        };
        let mean = table.positive(notes, "mean", expect);
        let each = table.not_negative(notes, "each", expect);
        let lots = table.not_negative(notes, "lots", expect);
        let source = table.text(notes, "source").map(|word| word.text);
        let Some(mean) = mean else { return plain };
        Output {
            within_cv: each.map_or(0.0, |s| s.mean() / mean.mean()),
            lots_cv: lots.map_or(0.0, |s| s.mean() / mean.mean()),
            stated: Some(crate::model::Stated {
                source: source.or(mean.source.clone()),
                ..mean
            }),
            ..plain
        }
    }

    /// Where units that do not pass go; what no entry claims is scrap.
    fn rejects(&mut self, notes: &mut Notes) -> Vec<Reject> {
        let Some(value) = self.outline.table.get("rejects") else {
            return vec![Reject {
                share: 1.0,
                to: RejectTo::Scrap,
                at: None,
            }];
        };
        let mut rejects: Vec<Reject> = Vec::new();
        let mut open = Vec::new();
        for value in value.list() {
            let Some((to, share)) = self.reject(notes, value) else {
                continue;
            };
            if share.is_none() {
                open.push(rejects.len());
            }
            rejects.push(Reject {
                share: share.unwrap_or(0.0),
                to,
                at: Some(value.at()),
            });
        }
        let stated: f64 = rejects.iter().map(|reject| reject.share).sum();
        if stated > 1.0 + 1e-9 || open.len() > 1 {
            notes.push(
                Diagnostic::fault(
                    "shares-dont-add-up",
                    value.at(),
                    "the shares of the rejects do not add up",
                )
                .sides(
                    "100 % in all, at most one entry without a share",
                    quantity::show_share(stated),
                ),
            );
            return rejects;
        }
        let rest = (1.0 - stated).max(0.0);
        match open.first() {
            Some(&position) => rejects[position].share = rest,
            None if rest > 1e-9 => rejects.push(Reject {
                share: rest,
                to: RejectTo::Scrap,
                at: None,
            }),
            None => {}
        }
        rejects
    }

    fn reject(&mut self, notes: &mut Notes, value: Value<'_>) -> Option<(RejectTo, Option<f64>)> {
        if let Some(word) = value.as_text() {
            if word.text == "scrap" {
                return Some((RejectTo::Scrap, None));
            }
            return Some((self.reject_item(notes, &word, None)?, None));
        }
        let table = value.table(notes, by_name(section(), "rejects"))?;
        let share = table.share(notes, "share").map(|stated| stated.mean());
        let rework = table.text(notes, "rework");
        let item = table.text(notes, "item");
        match (rework, item) {
            (Some(word), None) => {
                let position = self.names.find(notes, &word)?;
                if self.route.operations[position].role == Role::UsesUp {
                    notes.push(Diagnostic::fault(
                        "rework-nowhere",
                        word.at,
                        "rework cannot go to an operation that uses up left-overs",
                    ));
                    return None;
                }
                let target = &self.route.operations[position];
                if position > self.position && target.role == Role::Main {
                    notes.push(self.rework_forward(&word, target));
                    return None;
                }
                Some((RejectTo::Rework(self.operation_id(position)), share))
            }
            (None, Some(word)) if word.text == "scrap" => Some((RejectTo::Scrap, share)),
            (None, Some(word)) => {
                Some((self.reject_item(notes, &word, table.get("amount"))?, share))
            }
            _ => {
                notes.push(
                    Diagnostic::fault(
                        "reject-unclear",
                        table.at,
                        "expected one destination of rejects",
                    )
                    .sides("`rework` or `item`", "neither, or both"),
                );
                None
            }
        }
    }

    fn rework_forward(&self, word: &Word, target: &OperationOutline<'_>) -> Diagnostic {
        Diagnostic::fault(
            "rework-nowhere",
            word.at,
            format!(
                "rework cannot go forward to `{}`, which `{}` leads to anyway",
                word.text, self.outline.name.text
            ),
        )
        .other(target.name.at, "a later operation of the main line")
        .help("send it back, or to an operation beside the line: off_line = true, then = \"…\"")
    }

    /// Rejects that become an item: by the amount stated, by equal measure, or by mass.
    fn reject_item(
        &mut self,
        notes: &mut Notes,
        word: &Word,
        amount: Option<Value<'_>>,
    ) -> Option<RejectTo> {
        let Some(number) = self.declared.item_names.get(&word.text) else {
            notes.push(self.unknown_destination(word));
            return None;
        };
        self.declared.items[number].left_over_somewhere = true;
        let unit = self.declared.items[number].unit.clone();
        let one = super::super::amounts::Basis {
            unit: self.outline.basis.unit.clone(),
            amount: self.outline.basis.unit.factor(),
        };
        if let Some(value) = amount {
            let amount = one.amount_of(notes, value, &unit)?.0.mean();
            return Some(RejectTo::Item(ItemId(number), amount));
        }
        let output = &self.declared.items[self.outline.item.0];
        let amount = by_mass(output, &self.declared.items[number]);
        if amount.is_none() {
            notes.push(
                Diagnostic::fault(
                    "amount-unknown",
                    word.at,
                    format!("how much `{}` does one rejected unit become?", word.text),
                )
                .sides(
                    format!(
                        "an amount in {} for one {}",
                        unit.symbol(),
                        one.unit.symbol()
                    ),
                    "no amount, and no masses to work it out from",
                )
                .help(format!(
                    "rejects = {{ item = \"{}\", amount = \"0.1 {}\" }}",
                    word.text,
                    unit.symbol()
                )),
            );
        }
        Some(RejectTo::Item(ItemId(number), amount?))
    }

    /// A word that is no item; perhaps an operation was meant.
    fn unknown_destination(&self, word: &Word) -> Diagnostic {
        if self.names.get(&word.text).is_some() {
            return Diagnostic::fault(
                "unknown-name",
                word.at,
                format!("no item is called `{}`", word.text),
            )
            .help(format!(
                "it is an operation: rejects = {{ rework = \"{}\" }}",
                word.text
            ));
        }
        if nearest(&word.text, ["scrap"]).is_some() {
            return Diagnostic::fault(
                "unknown-name",
                word.at,
                format!("no item is called `{}`", word.text),
            )
            .help("did you mean `scrap`?");
        }
        self.declared.item_names.unknown(word)
    }

    fn uses_up(&self, notes: &mut Notes) -> Option<ItemId> {
        let word = self.outline.table.text(notes, "uses_up")?;
        self.declared.item_names.find(notes, &word).map(ItemId)
    }

    /// Where the output of an operation beside the line goes on.
    fn then(&self, notes: &mut Notes) -> Option<OperationId> {
        let table = &self.outline.table;
        let off_line = self.outline.role == Role::OffLine;
        let value = if off_line {
            table.need(notes, "then")
        } else {
            table.get("then")
        };
        let word = value?.text(notes)?;
        if !off_line {
            notes.push(
                Diagnostic::fault(
                    "then-on-line",
                    word.at,
                    "`then` is for an operation beside the line",
                )
                .help("add off_line = true, or leave `then` out: the next operation follows"),
            );
            return None;
        }
        let position = self.names.find(notes, &word)?;
        if self.route.operations[position].role != Role::Main {
            notes.push(Diagnostic::fault(
                "rework-nowhere",
                word.at,
                "`then` must name an operation of the main line",
            ));
            return None;
        }
        Some(self.operation_id(position))
    }

    fn energy(&self, notes: &mut Notes) -> Option<crate::model::Stated> {
        let value = self.outline.table.get("energy")?;
        let stated = super::super::amounts::per_item_unit(
            notes,
            value,
            &energy(),
            &self.outline.basis.unit,
        )?;
        super::super::table::not_negative(notes, "energy", stated)
    }
}

fn wait(notes: &mut Notes, value: Option<Value<'_>>) -> Wait {
    let Some(table) = value.and_then(|value| value.table(notes, by_name(section(), "wait"))) else {
        return Wait::default();
    };
    let time = Expect::Dimension(&Dimension::TIME);
    let wait = Wait {
        at_least: table.not_negative(notes, "at_least", time),
        at_most: table.not_negative(notes, "at_most", time),
    };
    if let (Some(least), Some(most)) = (&wait.at_least, &wait.at_most)
        && most.spread.high() < least.spread.low()
    {
        notes.push(
            Diagnostic::fault(
                "wait-backwards",
                most.at,
                "the longest wait is shorter than the shortest",
            )
            .sides(
                format!("at least {}", quantity::show(least.mean(), &least.unit)),
                format!("at most {}", quantity::show(most.mean(), &most.unit)),
            )
            .other(least.at, "the shortest wait"),
        );
    }
    wait
}
