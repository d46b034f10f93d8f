//! Amounts per unit: what "for one unit made" means, in base units.

use quantity::{Dimension, Expect, Spread, Unit};

use super::table::{Notes, Table, Value, positive};
use super::works::by_name;
use crate::diagnostic::Diagnostic;
use crate::format;
use crate::model::{Item, Load, Pace, Stated, ToolLife};

/// Something per unit of an item: written per unit (`£/kg`), or plain (`£`) and then for one unit as
/// the item counts it. The answer is per base unit.
pub(crate) fn per_item_unit(
    notes: &mut Notes,
    value: Value<'_>,
    what: &Dimension,
    unit: &Unit,
) -> Option<Stated> {
    let per = what.over(unit.dimension());
    let stated = value.stated(notes, Expect::OneOf(&[per.clone(), what.clone()]))?;
    if *stated.unit.dimension() == per {
        return Some(stated);
    }
    let factor = unit.factor();
    Some(Stated {
        spread: stated.spread.map(|x| x / factor),
        unit: stated.unit.over(unit),
        ..stated
    })
}

/// What an amount "for one unit made" is counted against: the output of an operation.
#[derive(Clone)]
pub(crate) struct Basis {
    /// The unit of the output.
    pub(crate) unit: Unit,
    /// Base units of output that amounts are for, unless they say otherwise.
    pub(crate) amount: f64,
}

impl Basis {
    /// An amount of an item for one base unit of output.
    ///
    /// It may be written plainly (for the basis), per unit of output (`0.19 m/each`), or, when item
    /// and output are measured alike, as a share.
    pub(crate) fn amount_of(
        &self,
        notes: &mut Notes,
        value: Value<'_>,
        item: &Unit,
    ) -> Option<(Spread, Stated)> {
        if value.is_table() && value.value.get_ref().get("value").is_none() {
            let table = value.table(
                notes,
                by_name(by_name(&format::ROUTE, "operation"), "takes"),
            )?;
            return self.amount_in(notes, &table, item);
        }
        let stated = self.read(notes, value, item)?;
        let spread = per_output(&stated, item, self.amount);
        Some((spread, stated))
    }

    /// The same from a table with `amount`, `per` and `source`.
    pub(crate) fn amount_in(
        &self,
        notes: &mut Notes,
        table: &Table<'_>,
        item: &Unit,
    ) -> Option<(Spread, Stated)> {
        let value = table.need(notes, "amount")?;
        let per = table.positive(notes, "per", Expect::Dimension(self.unit.dimension()));
        let source = table.text(notes, "source").map(|word| word.text);
        let stated = self.read(notes, value, item)?;
        let basis = per.map_or(self.amount, |per| per.mean());
        let spread = per_output(&stated, item, basis);
        Some((
            spread,
            Stated {
                source: source.or(stated.source.clone()),
                ..stated
            },
        ))
    }

    fn read(&self, notes: &mut Notes, value: Value<'_>, item: &Unit) -> Option<Stated> {
        let plain = item.dimension().clone();
        let per = plain.over(self.unit.dimension());
        // Alike measures divide to a pure number, so that "5 %" of the output can be written.
        let stated = value.stated(notes, Expect::OneOf(&[plain, per]))?;
        super::table::not_negative(notes, "amount", stated)
    }
}

/// An amount of an item for one base unit of output: a plain one is for so many of them.
fn per_output(stated: &Stated, item: &Unit, basis: f64) -> Spread {
    if stated.unit.dimension() == item.dimension() {
        stated.spread.map(|x| x / basis)
    } else {
        stated.spread
    }
}

/// What an operation's pace may be written against.
pub(crate) struct PaceContext<'a> {
    /// The output.
    pub(crate) basis: &'a Basis,
    /// What it takes: name, unit and mean base units per base unit of output.
    pub(crate) inputs: Vec<(String, Unit, f64)>,
    /// Kilograms in one base unit of output, when known.
    pub(crate) kg: Option<f64>,
}

impl PaceContext<'_> {
    /// Base units of output in one base unit of a measure: of the output itself, of an input, or of
    /// its mass. None when the measure is none of these.
    fn output_per(&self, dimension: &Dimension) -> Option<f64> {
        if dimension == self.basis.unit.dimension() {
            return Some(1.0);
        }
        let input = self
            .inputs
            .iter()
            .find(|(_, unit, amount)| unit.dimension() == dimension && *amount > 0.0);
        if let Some((_, _, amount)) = input {
            return Some(1.0 / amount);
        }
        self.kg
            .filter(|_| *dimension == Dimension::MASS)
            .map(|kg| 1.0 / kg)
    }

    /// Every measure that output can be counted in here.
    fn measures(&self) -> Vec<Dimension> {
        let mut measures = vec![self.basis.unit.dimension().clone()];
        measures.extend(
            self.inputs
                .iter()
                .map(|(_, unit, _)| unit.dimension().clone()),
        );
        if self.kg.is_some() {
            measures.push(Dimension::MASS);
        }
        measures.dedup();
        measures
    }

    /// An amount of output in base units, written in any of its measures.
    fn output(&self, notes: &mut Notes, table: &Table<'_>, key: &'static str) -> Option<Stated> {
        let measures = self.measures();
        let stated = table.positive(notes, key, Expect::OneOf(&measures))?;
        self.in_output(stated)
    }

    /// An amount in one of the measures as an amount of output.
    fn in_output(&self, stated: Stated) -> Option<Stated> {
        let scale = self.output_per(stated.unit.dimension())?;
        let is_output = stated.unit.dimension() == self.basis.unit.dimension();
        let unit = if is_output {
            stated.unit
        } else {
            self.basis.unit.clone()
        };
        Some(Stated {
            spread: stated.spread.map(|x| x * scale),
            unit,
            ..stated
        })
    }

    /// How long a tool lasts: a running time, or an amount in any of the measures.
    pub(crate) fn tool_life(&self, notes: &mut Notes, table: &Table<'_>) -> Option<ToolLife> {
        let mut allowed = self.measures();
        allowed.push(Dimension::TIME);
        let stated = table.positive(notes, "life", Expect::OneOf(&allowed))?;
        if *stated.unit.dimension() == Dimension::TIME {
            return Some(ToolLife::Time(stated));
        }
        self.in_output(stated).map(ToolLife::Units)
    }

    /// A pace: a time, a rate, or a table.
    pub(crate) fn pace(&self, notes: &mut Notes, value: Value<'_>) -> Option<Pace> {
        if value.is_table() {
            let section = by_name(by_name(&format::ROUTE, "operation"), "pace");
            if value.value.get_ref().get("value").is_none() {
                let table = value.table(notes, section)?;
                return self.pace_table(notes, &table);
            }
        }
        let mut allowed = vec![Dimension::TIME];
        for measure in self.measures() {
            allowed.push(measure.over(&Dimension::TIME));
            allowed.push(Dimension::TIME.over(&measure));
        }
        let stated = value.stated(notes, Expect::OneOf(&allowed))?;
        let stated = positive(notes, "pace", stated)?;
        self.time_or_rate(notes, stated)
    }

    fn time_or_rate(&self, notes: &Notes, stated: Stated) -> Option<Pace> {
        let dimension = stated.unit.dimension().clone();
        if dimension == Dimension::TIME {
            let basis = self.basis.amount;
            return Some(Pace::Each(Stated {
                spread: stated.spread.map(|x| x / basis),
                ..stated
            }));
        }
        let per_second = dimension.times(&Dimension::TIME);
        if let Some(scale) = self.output_per(&per_second) {
            let is_output = per_second == *self.basis.unit.dimension();
            let unit = if is_output {
                stated.unit
            } else {
                self.basis.unit.over(&known(notes, "min"))
            };
            let rate = Stated {
                spread: stated.spread.map(|x| x * scale),
                unit,
                ..stated
            };
            return Some(Pace::Flow {
                rate,
                through: None,
            });
        }
        let counted = Dimension::TIME.over(&dimension);
        let scale = self.output_per(&counted)?;
        let is_output = counted == *self.basis.unit.dimension();
        let unit = if is_output {
            stated.unit
        } else {
            known(notes, "s").over(&self.basis.unit)
        };
        Some(Pace::Each(Stated {
            spread: stated.spread.map(|x| x / scale),
            unit,
            ..stated
        }))
    }

    fn pace_table(&self, notes: &mut Notes, table: &Table<'_>) -> Option<Pace> {
        let source = table.text(notes, "source").map(|word| word.text);
        let sourced = |stated: Stated| Stated {
            source: source.clone().or(stated.source.clone()),
            ..stated
        };
        let is_load = table.get("holds").is_some() || table.get("dwell").is_some();
        let is_flow = table.get("rate").is_some();
        if is_load == is_flow {
            notes.push(
                Diagnostic::fault("pace-unclear", table.at, "expected a load or a flow")
                    .sides("`holds` with `dwell`, or `rate`", "neither, or both")
                    .help("pace = { holds = \"90 each\", dwell = \"14 min\" } or pace = { rate = \"2 m/min\" }"),
            );
            return None;
        }
        if is_flow {
            return self.flow(notes, table);
        }
        let time = Expect::Dimension(&Dimension::TIME);
        table.need(notes, "holds");
        table.need(notes, "dwell");
        let holds = self.output(notes, table, "holds");
        let dwell = table.positive(notes, "dwell", time);
        let turn = table.not_negative(notes, "turn", time);
        let at_least = table.share(notes, "at_least");
        Some(Pace::Load(Load {
            holds: sourced(holds?),
            dwell: sourced(dwell?),
            turn,
            at_least,
        }))
    }

    /// A flow. Its rate may be a speed along a conveyor when `through` is the length travelled.
    fn flow(&self, notes: &mut Notes, table: &Table<'_>) -> Option<Pace> {
        let allowed: Vec<Dimension> = self
            .measures()
            .iter()
            .map(|measure| measure.over(&Dimension::TIME))
            .collect();
        let stated = table.positive(notes, "rate", Expect::OneOf(&allowed))?;
        let speed = stated.clone();
        let Pace::Flow { rate, .. } = self.time_or_rate(notes, stated)? else {
            return None;
        };
        let through = table.positive(
            notes,
            "through",
            Expect::OneOf(&[Dimension::TIME, Dimension::LENGTH]),
        );
        let through = match through {
            Some(through) if *through.unit.dimension() == Dimension::LENGTH => {
                let along = Dimension::LENGTH.over(&Dimension::TIME);
                if *speed.unit.dimension() != along {
                    notes.push(
                        Diagnostic::fault("wrong-dimension", through.at, "a length to travel needs a speed as `rate`")
                            .sides("a rate such as 2 m/min", speed.unit.dimension().describe())
                            .help("write the time to pass through instead, for example through = \"9 min\""),
                    );
                    return None;
                }
                let metres_per_second = speed.mean();
                Some(Stated {
                    spread: through.spread.map(|x| x / metres_per_second),
                    ..through
                })
            }
            other => other,
        };
        Some(Pace::Flow { rate, through })
    }
}

/// A unit that is always there.
fn known(notes: &Notes, symbol: &str) -> Unit {
    notes
        .units
        .parse_unit(symbol)
        .expect("minutes and seconds are standard units")
}

/// Base units of an item that one base unit of an operation's output becomes, from the masses.
pub(crate) fn by_mass(output: &Item, item: &Item) -> Option<f64> {
    if output.unit.dimension() == item.unit.dimension() {
        return Some(1.0);
    }
    Some(output.kg_per_unit()? / item.kg_per_unit()?)
}
