//! The derivations of the load's figures, from the levels of the material balance.

use std::sync::Arc;

use works::{Operation, Pace, ToolLife, Works};

use super::people::{people_of, samples_of, task_time_s};
use super::queue::{Queue, vut, with_stops};
use super::work::{Work, loads_of};
use super::{LeadTime, LoadAnswer, Open, PieceKind};
use crate::figure::Figures;
use crate::reason::{Engine, Formula, Ledger, NodeId, Shown, Source};

/// Enters the figures: `{station} utilisation`, `{station} needed`, `bottleneck`,
/// `{crew} people needed`, `{crew} utilisation`, `{product} lead time`, `{product} takt`.
/// `levels` are the nodes of the units attempted, by operation.
pub fn explain(
    works: &Works,
    answer: &LoadAnswer,
    levels: &[NodeId],
    ledger: &mut Ledger,
    figures: &mut Figures,
) {
    let open = Open::between(works, answer.from, answer.until);
    let mut book = Book {
        works,
        answer,
        open,
        ledger,
        levels,
    };
    let pieces: Vec<NodeId> = answer.work.iter().map(|piece| book.piece(piece)).collect();
    let wanted = book.wanted(&pieces);
    let used = book.stations(&wanted, figures);
    book.bottleneck(&used, figures);
    book.crews(&pieces, figures);
    book.leads(&used, &wanted, figures);
}

/// Loads counted lot by lot: Σ lots × ⌈level × share ÷ lots ÷ holds⌉.
#[derive(Debug)]
struct LotLoads {
    /// Share of the level and number of lots, for each stretch of alike lots.
    lots: Vec<(f64, f64)>,
}

impl Engine for LotLoads {
    fn name(&self) -> &'static str {
        "loads lot by lot"
    }

    fn words(&self) -> String {
        format!(
            "units of each of {} lots ÷ what a load holds, rounded up, added up",
            self.lots.iter().map(|l| l.1).sum::<f64>()
        )
    }

    fn value(&self, inputs: &[f64]) -> f64 {
        let [level, holds, ..] = *inputs else {
            return f64::NAN;
        };
        let each = |&(share, count): &(f64, f64)| count * loads_of(level * share / count / holds);
        self.lots.iter().map(each).sum()
    }
}

static STOPS: Formula = Formula {
    name: "stops on top of running time",
    words: "running time × time to repair ÷ running time between stops",
    cite: None,
    value: |inputs| inputs[0] * inputs[1] / inputs[2],
};

static EFFECTIVE_SCV: Formula = Formula {
    name: "variability of a job with stops",
    words: "c0² + 2 A (1 − A) × repair ÷ job",
    cite: Some("Hopp & Spearman, Factory Physics, ch. 8 (from memory)"),
    value: |inputs| with_stops(inputs[0], inputs[1], inputs[2], inputs[3]),
};

static VUT: Formula = Formula {
    name: "wait before a station (VUT)",
    words: "(ca² + ce²)/2 × u^(√(2(m+1)) − 1) ÷ (m (1 − u)) × te",
    cite: Some("Kingman 1961; several machines: Sakasegawa 1977 (from memory)"),
    value: |inputs| {
        let [ca2, ce2, u, m, te] = *inputs else {
            return f64::NAN;
        };
        vut(ca2, ce2, u, m, te).unwrap_or(f64::INFINITY)
    },
};

struct Book<'a> {
    works: &'a Works,
    answer: &'a LoadAnswer,
    open: Open,
    ledger: &'a mut Ledger,
    levels: &'a [NodeId],
}

/// A node for a stretch of time, shown in hours.
fn hours() -> Shown {
    Shown::hours()
}

impl Book<'_> {
    /// All time of one piece of work.
    fn piece(&mut self, piece: &Work) -> NodeId {
        let works = self.works;
        let operation = works.operation(piece.operation);
        let level = self.here(piece, self.levels[piece.operation.0]);
        let run = self.run(operation, piece, level);
        let mut parts = vec![run];
        parts.extend(self.setup(operation, piece));
        parts.extend(self.changeover(piece));
        parts.extend(self.tools(operation, piece, level, run));
        parts.extend(self.checks(operation, piece));
        parts.extend(self.stops(piece, run));
        let product = &works.item(works.route(piece.route).makes).name;
        self.ledger.sum(
            format!("time of {product}: {}", operation.name),
            hours(),
            &parts,
        )
    }

    /// The part of an amount that comes to a station that shares an operation with others.
    fn here(&mut self, piece: &Work, amount: NodeId) -> NodeId {
        if piece.share >= 1.0 {
            return amount;
        }
        let why = self
            .answer
            .shared
            .as_ref()
            .map_or("shared", |shared| shared.method);
        let unit = self.ledger.node(amount).unit.clone();
        let share = self.ledger.given(
            "share done here",
            piece.share,
            Shown::percent(),
            Source::assumed(why),
        );
        self.ledger.product("done here", unit, &[amount, share])
    }

    /// The pace that a piece of work runs at.
    fn pace<'b>(operation: &'b Operation, piece: &Work) -> &'b Pace {
        let other = operation
            .alternatives
            .iter()
            .find(|a| Some(a.station) == piece.station);
        let other = other.filter(|_| operation.station != piece.station);
        other
            .and_then(|other| other.pace.as_ref())
            .unwrap_or(&operation.pace)
    }

    fn run(&mut self, operation: &Operation, piece: &Work, level: NodeId) -> NodeId {
        match Self::pace(operation, piece) {
            Pace::None => {
                self.ledger
                    .given("run", 0.0, hours(), Source::assumed("no pace is stated"))
            }
            Pace::Each(time) => {
                let time = self.ledger.stated("time for one", time, Shown::seconds());
                self.ledger.product("run", hours(), &[level, time])
            }
            Pace::Flow { rate, .. } if rate.mean() > 0.0 => {
                let rate = self.ledger.stated("rate", rate, Shown::new("1/s", 1.0));
                self.ledger.quotient("run", hours(), &[level, rate])
            }
            Pace::Flow { .. } => {
                self.ledger
                    .given("run", 0.0, hours(), Source::assumed("the rate is nought"))
            }
            Pace::Load(load) => {
                let loads = self.loads(piece, load);
                let dwell = self
                    .ledger
                    .stated("dwell", &load.dwell, Shown::new("min", 60.0));
                let mut cycle = vec![dwell];
                if let Some(turn) = &load.turn {
                    cycle.push(self.ledger.stated("turn", turn, Shown::new("min", 60.0)));
                }
                let cycle = self.ledger.sum("one load", Shown::new("min", 60.0), &cycle);
                self.ledger.product("run", hours(), &[loads, cycle])
            }
        }
    }

    fn loads(&mut self, piece: &Work, load: &works::Load) -> NodeId {
        let holds = self.ledger.stated("holds", &load.holds, Shown::plain());
        let level = self.levels[piece.operation.0];
        let lots = self
            .answer
            .lots
            .shares(piece.route)
            .map(|(lot, share)| (share, lot.count));
        let lots = if load.holds.mean() > 0.0 && piece.level > 0.0 {
            lots.collect()
        } else {
            vec![]
        };
        let engine = Arc::new(LotLoads { lots });
        let loads = self
            .ledger
            .engine("loads", Shown::plain(), engine, &[level, holds]);
        self.here(piece, loads)
    }

    fn lots(&mut self, piece: &Work) -> NodeId {
        let why = "each order is one lot, or as many as the route's lot asks for, by due date";
        self.ledger
            .given("lots", piece.lots, Shown::plain(), Source::assumed(why))
    }

    fn setup(&mut self, operation: &Operation, piece: &Work) -> Option<NodeId> {
        let setup = operation.setup.as_ref()?;
        let lots = self.lots(piece);
        let setup = self
            .ledger
            .stated("set-up of one lot", setup, Shown::new("min", 60.0));
        Some(self.ledger.product("set-up", hours(), &[lots, setup]))
    }

    fn changeover(&mut self, piece: &Work) -> Option<NodeId> {
        if piece.seconds.changeover_s <= 0.0 {
            return None;
        }
        let station = self.works.station(piece.station?);
        let (works, counts) = (self.works, &self.answer.changeovers);
        debug_assert!(works.stations.len() > piece.station?.0);
        let mut terms = Vec::new();
        let here = |c: &&super::ChangeoverCount| {
            c.route == piece.route && Some(c.station) == piece.station
        };
        for count in counts.iter().filter(here) {
            let rule = &station.changeovers[count.rule];
            let why = "counted over the sequence of due dates";
            let times = self.ledger.given(
                format!("changes of {}", rule.on),
                f64::from(count.count),
                Shown::plain(),
                Source::assumed(why),
            );
            let time = self
                .ledger
                .stated("time of one", &rule.time, Shown::new("min", 60.0));
            terms.extend([times, time]);
        }
        Some(self.ledger.weighted_sum("changeovers", hours(), &terms))
    }

    fn tools(
        &mut self,
        operation: &Operation,
        piece: &Work,
        level: NodeId,
        run: NodeId,
    ) -> Vec<NodeId> {
        debug_assert!(piece.share > 0.0);
        let worn = operation
            .tools
            .iter()
            .filter_map(|tool| Some((tool, tool.change.as_ref()?)));
        worn.filter(|(tool, _)| tool.life.stated().mean() > 0.0)
            .map(|(tool, change)| {
                let used = if matches!(tool.life, ToolLife::Units(_)) {
                    level
                } else {
                    run
                };
                let unit = self.ledger.node(used).unit.clone();
                let life = self.ledger.stated("life", tool.life.stated(), unit);
                let lives = self.ledger.quotient(
                    format!("lives of {}", tool.name),
                    Shown::plain(),
                    &[used, life],
                );
                let change = self
                    .ledger
                    .stated("change of one", change, Shown::new("min", 60.0));
                self.ledger
                    .product(format!("changing {}", tool.name), hours(), &[lives, change])
            })
            .collect()
    }

    fn checks(&mut self, operation: &Operation, piece: &Work) -> Vec<NodeId> {
        let samples = samples_of(self.works, piece, &self.answer.lots, &self.open);
        let here = operation.checks.iter().filter(|check| check.by.is_none());
        here.filter_map(|check| Some((check, check.time.as_ref()?)))
            .map(|(check, time)| {
                let why = "as often as the check says, for what is attempted here";
                let count = self.ledger.given(
                    format!("samples of {}", check.what),
                    samples.of(check),
                    Shown::plain(),
                    Source::assumed(why),
                );
                let time = self
                    .ledger
                    .stated("time of one", time, Shown::new("min", 60.0));
                self.ledger
                    .product(format!("checking {}", check.what), hours(), &[count, time])
            })
            .collect()
    }

    fn stops(&mut self, piece: &Work, run: NodeId) -> Option<NodeId> {
        let stops = self.works.station(piece.station?).stops.as_ref()?;
        if piece.seconds.stops_s <= 0.0 {
            return None;
        }
        let repair = self
            .ledger
            .stated("time to repair", &stops.repair, Shown::new("min", 60.0));
        let between = self
            .ledger
            .stated("running time between stops", &stops.run, hours());
        Some(
            self.ledger
                .formula("stops", hours(), &STOPS, &[run, repair, between]),
        )
    }

    /// Time wanted of each station that has any work.
    fn wanted(&mut self, pieces: &[NodeId]) -> Vec<Option<NodeId>> {
        let mut of: Vec<Vec<NodeId>> = vec![Vec::new(); self.works.stations.len()];
        for (piece, &node) in self.answer.work.iter().zip(pieces) {
            if let Some(station) = piece.station.filter(|_| piece.seconds.total() > 0.0) {
                of[station.0].push(node);
            }
        }
        let named = of.into_iter().zip(&self.works.stations);
        named
            .map(|(pieces, station)| {
                let name = format!("{} time wanted", station.name);
                (!pieces.is_empty()).then(|| self.ledger.sum(name, hours(), &pieces))
            })
            .collect()
    }

    /// Utilisation of each station that has work.
    fn stations(
        &mut self,
        wanted: &[Option<NodeId>],
        figures: &mut Figures,
    ) -> Vec<Option<NodeId>> {
        let mut used = vec![None; wanted.len()];
        for (load, wanted) in self.answer.stations.iter().zip(wanted) {
            let Some(wanted) = wanted.filter(|_| load.available_s > 0.0) else {
                continue;
            };
            let station = self.works.station(load.station);
            let open = self.staffed(load);
            let count = self.ledger.given(
                "how many",
                f64::from(load.count),
                Shown::plain(),
                Source::at(station.at),
            );
            let available = self.ledger.product(
                format!("{} time available", load.name),
                hours(),
                &[open, count],
            );
            let key = format!("{} utilisation", load.name);
            let node = self
                .ledger
                .quotient(key.clone(), Shown::percent(), &[wanted, available]);
            figures.add(self.ledger, &key, &key, node);
            self.needed(&load.name, "needed", wanted, open, figures);
            used[load.station.0] = Some(node);
        }
        used
    }

    /// Open time of one station, as far as its people are there.
    fn staffed(&mut self, load: &super::StationLoad) -> NodeId {
        let calendar = self
            .works
            .calendar(self.works.station(load.station).calendar);
        let mut name = format!("open time of calendar {}", calendar.name);
        let mut note = None;
        if load.staffed_s < load.open_s {
            name.push_str(" while its people are there");
            let open_h = crate::reason::number(load.open_s / 3600.0);
            note = Some(format!(
                "of {open_h} h open; the rest is outside the hours of the crews that can run it"
            ));
        }
        let source = Source::Stated {
            at: calendar.at,
            note,
        };
        self.ledger.given(name, load.staffed_s, hours(), source)
    }

    fn needed(
        &mut self,
        name: &str,
        what: &str,
        wanted: NodeId,
        each: NodeId,
        figures: &mut Figures,
    ) {
        let exact = self.ledger.quotient(
            "wanted over what one gives",
            Shown::plain(),
            &[wanted, each],
        );
        let one = self.ledger.given(
            "whole",
            1.0,
            Shown::plain(),
            Source::assumed("there is no part of one"),
        );
        let key = format!("{name} {what}");
        let node = self
            .ledger
            .ceil_to(key.clone(), Shown::plain(), &[exact, one]);
        figures.add(self.ledger, &key, &key, node);
    }

    fn bottleneck(&mut self, used: &[Option<NodeId>], figures: &mut Figures) {
        let Some(station) = self.answer.bottleneck else {
            return;
        };
        let all: Vec<NodeId> = used.iter().flatten().copied().collect();
        let name = &self.works.station(station).name;
        let node = self
            .ledger
            .max(format!("bottleneck: {name}"), Shown::percent(), &all);
        figures.add(
            self.ledger,
            "bottleneck",
            &format!("bottleneck: {name}"),
            node,
        );
    }

    fn crews(&mut self, pieces: &[NodeId], figures: &mut Figures) {
        let skills = self.skills(pieces);
        for crew in &self.answer.people.crews {
            if crew.wanted_s <= 0.0 || crew.each_s <= 0.0 {
                continue;
            }
            let mut terms = Vec::new();
            for &(skill, seconds) in &crew.by_skill {
                let load = &self.answer.people.skills[skill.0];
                let share = seconds / load.wanted_s;
                let method = Source::assumed(self.answer.people.method);
                terms.push(self.ledger.given(
                    format!("share of {} given to {}", load.name, crew.name),
                    share,
                    Shown::percent(),
                    method,
                ));
                terms.push(skills[skill.0]);
            }
            let wanted =
                self.ledger
                    .weighted_sum(format!("{} time wanted", crew.name), hours(), &terms);
            self.crew(crew, wanted, figures);
        }
    }

    fn crew(&mut self, load: &super::CrewLoad, wanted: NodeId, figures: &mut Figures) {
        let crew = self.works.crew(load.crew);
        let calendar = self.works.calendar(crew.calendar);
        let open = self.ledger.given(
            format!("open time of calendar {}", calendar.name),
            load.open_s,
            hours(),
            Source::at(calendar.at),
        );
        let there = match &crew.attendance {
            Some(attendance) => self
                .ledger
                .stated("attendance", attendance, Shown::percent()),
            None => self.ledger.given(
                "attendance",
                1.0,
                Shown::percent(),
                Source::assumed("none is stated"),
            ),
        };
        let each = self
            .ledger
            .product("what one person gives", hours(), &[open, there]);
        self.needed(&load.name, "people needed", wanted, each, figures);
        if load.people > 0 {
            let heads = f64::from(load.people);
            let people = self
                .ledger
                .given("people", heads, Shown::plain(), Source::at(crew.at));
            let available = self
                .ledger
                .product("what all give", hours(), &[each, people]);
            let key = format!("{} crew utilisation", load.name);
            let node = self
                .ledger
                .quotient(key.clone(), Shown::percent(), &[wanted, available]);
            figures.add(self.ledger, &key, &key, node);
        }
    }

    /// Time wanted of each skill.
    fn skills(&mut self, pieces: &[NodeId]) -> Vec<NodeId> {
        let (works, answer) = (self.works, self.answer);
        let mut terms: Vec<Vec<NodeId>> = vec![Vec::new(); works.skills.len()];
        for (piece, &node) in answer.work.iter().zip(pieces) {
            let operation = works.operation(piece.operation);
            let people = people_of(works, operation, piece);
            let heads: f64 = people.iter().map(|(_, count)| count).sum();
            let tasks = task_time_s(operation).map_or(0.0, |time| time * piece.level);
            for &(skill, count) in people.iter().filter(|(_, count)| *count > 0.0) {
                let why = Source::at(operation.at);
                terms[skill.0].push(self.ledger.given(
                    "people tied up",
                    count,
                    Shown::plain(),
                    why.clone(),
                ));
                terms[skill.0].push(node);
                if tasks > 0.0 {
                    let name = format!("tasks of {}", operation.name);
                    terms[skill.0].push(self.ledger.given(
                        "share",
                        count / heads,
                        Shown::percent(),
                        why.clone(),
                    ));
                    terms[skill.0].push(self.ledger.given(name, tasks, hours(), why));
                }
            }
        }
        let loads = answer.people.skills.iter().zip(terms);
        loads
            .map(|(load, mut terms)| {
                if load.check_s > 0.0 {
                    let why = "samples × time of one, over all checks that name it";
                    let one = Source::assumed("once each");
                    terms.push(self.ledger.given("checks", 1.0, Shown::plain(), one));
                    terms.push(self.ledger.given(
                        "time of checks",
                        load.check_s,
                        hours(),
                        Source::assumed(why),
                    ));
                }
                self.ledger
                    .weighted_sum(format!("{} time wanted", load.name), hours(), &terms)
            })
            .collect()
    }

    fn leads(&mut self, used: &[Option<NodeId>], wanted: &[Option<NodeId>], figures: &mut Figures) {
        let answer = self.answer;
        let waits: Vec<Option<NodeId>> = answer
            .queues
            .iter()
            .zip(used.iter().zip(wanted))
            .map(|(queue, (used, wanted))| self.wait(queue.as_ref()?, (*used)?, (*wanted)?))
            .collect();
        for lead in answer.routes.iter().filter(|lead| lead.lot > 0.0) {
            self.lead(lead, &waits, figures);
            self.takt(lead, figures);
        }
    }

    fn wait(&mut self, queue: &Queue, used: NodeId, wanted: NodeId) -> Option<NodeId> {
        queue.wait_s?;
        let ledger = &mut *self.ledger;
        let mut given = |name: &'static str, value: f64, unit: Shown, why: &'static str| {
            ledger.given(name, value, unit, Source::assumed(why))
        };
        let from_lots = "from the mix of lots and the stated spreads";
        let natural = given("c0² of a job", queue.natural_scv, Shown::plain(), from_lots);
        let job = given(
            "time of a job",
            queue.job_s,
            hours(),
            "mean over the visits of lots",
        );
        let availability = given(
            "availability",
            queue.availability,
            Shown::percent(),
            "time not lost in stops",
        );
        let repair = given(
            "time to repair",
            queue.repair_s,
            Shown::new("min", 60.0),
            "the station's stops",
        );
        let jobs = given(
            "jobs",
            queue.jobs,
            Shown::plain(),
            "visits of lots over the horizon",
        );
        let arrivals = given(
            "ca²",
            queue.arrival_scv,
            Shown::plain(),
            "arrivals vary like chance",
        );
        let machines = given(
            "machines",
            queue.machines,
            Shown::plain(),
            "the station's count",
        );
        let inputs = [natural, availability, repair, job];
        let ce2 = ledger.formula("ce²", Shown::plain(), &EFFECTIVE_SCV, &inputs);
        let te = ledger.quotient("effective time of a job", hours(), &[wanted, jobs]);
        let name = format!("wait before {}", self.works.station(queue.station).name);
        Some(ledger.formula(name, hours(), &VUT, &[arrivals, ce2, used, machines, te]))
    }

    fn lead(&mut self, lead: &LeadTime, waits: &[Option<NodeId>], figures: &mut Figures) {
        let mut parts = Vec::new();
        for piece in lead.pieces.iter().filter(|piece| piece.on_path) {
            let operation = self.works.operation(piece.operation);
            let name = format!("{}: {}", operation.name, piece.formula);
            let station = self
                .answer
                .work
                .iter()
                .find(|w| w.operation == piece.operation && w.share >= 0.5);
            let wait = station.and_then(|work| waits[work.station?.0]);
            let open = match wait.filter(|_| piece.kind == PieceKind::Queue) {
                Some(wait) => wait,
                None => self.ledger.given(
                    name.clone(),
                    piece.open_s,
                    hours(),
                    Source::Computed {
                        note: Some(piece.formula.into()),
                    },
                ),
            };
            let share = self.ledger.given(
                "share of time open",
                piece.open_share,
                Shown::percent(),
                Source::assumed("open time over all time of the horizon"),
            );
            parts.push(self.ledger.quotient(name, hours(), &[open, share]));
        }
        let key = format!("{} lead time", lead.product);
        let label = if lead.complete {
            key.clone()
        } else {
            format!("{key} (at least)")
        };
        let node = self
            .ledger
            .sum(label.clone(), Shown::new("d", 86_400.0), &parts);
        figures.add(self.ledger, &key, &label, node);
    }

    fn takt(&mut self, lead: &LeadTime, figures: &mut Figures) {
        let (Some(station), Some(_)) = (lead.paced_by, lead.takt_s) else {
            return;
        };
        let load = &self.answer.stations[station.0];
        let open = self.staffed(load);
        let wanted = self.ledger.given(
            format!("{} wanted", lead.product),
            self.answer.lots.wanted[lead.route.0],
            Shown::plain(),
            Source::assumed("orders due in the horizon and what other routes take"),
        );
        let key = format!("{} takt", lead.product);
        let node = self
            .ledger
            .quotient(key.clone(), Shown::seconds(), &[open, wanted]);
        figures.add(self.ledger, &key, &key, node);
    }
}
