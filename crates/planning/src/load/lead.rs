//! Lead times: how long a lot of each route is under way, piece by piece.
//!
//! A lot of mean size is followed along the main line. At each operation it waits in the queue, is
//! set up for, waits until a load is filled, is worked on and passes through; stated waits come on
//! top. What is handed on together (`transfer`) moves as soon as it is done; the rest of the lot
//! follows at the pace of the slowest operation, on all machines of its station. A lot handed on
//! whole stays on one machine. Open time becomes time on the clock by dividing it by the share of
//! all time that the station is open. Branches run side by side: the longest path counts. Rework
//! and parts made by other routes are not in it.

use serde::Serialize;
use works::{OperationId, Pace, Route, RouteId, StationId, Works};

use super::StationLoad;
use super::lots::Lots;
use super::open::Open;
use super::queue::Queue;
use super::work::Work;

/// What a piece of a lead time is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PieceKind {
    /// Waiting for the station.
    Queue,
    /// Set-up and changeover.
    SetUp,
    /// Waiting until a load is filled.
    BatchForming,
    /// Being worked on, as far as the first that is handed on together.
    Process,
    /// Passing through a machine or on a carrier.
    Through,
    /// A wait that must pass.
    AtLeast,
    /// The rest of the lot, after the first that is handed on.
    RestOfLot,
}

impl PieceKind {
    /// The name of the piece and how it is worked out.
    pub fn formula(self) -> &'static str {
        match self {
            Self::Queue => "queue: VUT equation ÷ share of time open",
            Self::SetUp => "set-up and mean changeover of a lot ÷ share of time open",
            Self::BatchForming => "wait to form a batch: (k − 1)/2 × time between transfer lots",
            Self::Process => "time of one transfer lot ÷ share of time open",
            Self::Through => "time to pass",
            Self::AtLeast => "stated least wait",
            Self::RestOfLot => "rest of the lot at the slowest operation ÷ share of time open",
        }
    }
}

/// A piece of a lead time.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Piece {
    /// At which operation; the slowest one for the rest of the lot.
    pub operation: OperationId,
    /// What it is.
    pub kind: PieceKind,
    /// In open time, s.
    pub open_s: f64,
    /// Share of all time that it goes on.
    pub open_share: f64,
    /// On the clock, s.
    pub clock_s: f64,
    /// How it is worked out.
    pub formula: &'static str,
    /// Whether it lies on the longest path.
    pub on_path: bool,
}

/// The lead time of a route.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LeadTime {
    /// The route.
    pub route: RouteId,
    /// Its product.
    pub product: String,
    /// Mean lot, base units of the product; 0 where nothing is wanted.
    pub lot: f64,
    /// Share of the lot that is handed on together.
    pub transfer_share: f64,
    /// The station that sets the pace: the route's highest utilisation.
    pub paced_by: Option<StationId>,
    /// Time between two units of the product that demand asks for at that station, s.
    pub takt_s: Option<f64>,
    /// Its pieces, operation by operation.
    pub pieces: Vec<Piece>,
    /// All pieces on the longest path, s on the clock.
    pub total_s: f64,
    /// Whether every queue on the way is known; else the total is at least this.
    pub complete: bool,
    /// Cautions about pieces, in plain sentences.
    pub cautions: Vec<String>,
}

/// Lead times of all routes.
pub(super) fn lead_times(
    works: &Works,
    work: &[Work],
    stations: &[StationLoad],
    queues: &[Option<Queue>],
    lots: &Lots,
    open: &Open,
) -> Vec<LeadTime> {
    let follow = Follow {
        works,
        usual: usual_work(works, work),
        stations,
        queues,
        lots,
        open,
    };
    (0..works.routes.len())
        .map(|route| follow.lead_time(RouteId(route)))
        .collect()
}

/// For each operation the piece of work with the largest share.
fn usual_work<'a>(works: &Works, work: &'a [Work]) -> Vec<Option<&'a Work>> {
    let mut usual: Vec<Option<&Work>> = vec![None; works.operations.len()];
    for piece in work {
        let best = &mut usual[piece.operation.0];
        if best.is_none_or(|best| piece.share > best.share) {
            *best = Some(piece);
        }
    }
    usual
}

struct Follow<'a> {
    works: &'a Works,
    usual: Vec<Option<&'a Work>>,
    stations: &'a [StationLoad],
    queues: &'a [Option<Queue>],
    lots: &'a Lots,
    open: &'a Open,
}

/// What a lot needs of one operation.
struct Visit<'a> {
    id: OperationId,
    work: &'a Work,
    /// Run time of the whole lot, stops in it, s.
    lot_s: f64,
    /// Machines the rest of the lot is spread over.
    machines: f64,
    /// Share of all time that the station is open.
    open_share: f64,
}

impl<'a> Follow<'a> {
    fn lead_time(&self, id: RouteId) -> LeadTime {
        let route = self.works.route(id);
        let count = self.lots.count[id.0];
        let lot = if count > 0.0 {
            self.lots.wanted[id.0] / count
        } else {
            0.0
        };
        let transfer = route.transfer.as_ref().map_or(lot, works::Stated::mean);
        let share = if lot > 0.0 && transfer > 0.0 {
            (transfer / lot).min(1.0)
        } else {
            1.0
        };
        let mut lead = LeadTime {
            route: id,
            product: self.works.item(route.makes).name.clone(),
            lot,
            transfer_share: share,
            paced_by: self.paced_by(route),
            takt_s: None,
            pieces: Vec::new(),
            total_s: 0.0,
            complete: true,
            cautions: Vec::new(),
        };
        let wanted = self.lots.wanted[id.0];
        let open = lead
            .paced_by
            .map(|station| self.stations[station.0].staffed_s);
        lead.takt_s = open.filter(|_| wanted > 0.0).map(|open| open / wanted);
        if lot > 0.0 {
            self.follow(route, count, &mut lead);
        }
        lead
    }

    fn paced_by(&self, route: &Route) -> Option<StationId> {
        let at = |id: &OperationId| {
            let work = self.usual[id.0]?;
            let station = work.station.filter(|_| work.seconds.run_s > 0.0)?;
            Some((station, self.stations[station.0].utilisation?))
        };
        let used = route.operations.iter().filter_map(at);
        used.reduce(|best, next| if next.1 > best.1 { next } else { best })
            .map(|(station, _)| station)
    }

    fn visit(&self, id: OperationId, count: f64) -> Option<Visit<'a>> {
        let work = self.usual[id.0]?;
        let load = work.station.map(|station| &self.stations[station.0]);
        let share = work.share.max(1e-12);
        Some(Visit {
            id,
            work,
            lot_s: (work.seconds.run_s + work.seconds.stops_s) / (count * share),
            machines: load.map_or(1.0, |load| f64::from(load.count).max(1.0)),
            open_share: work
                .station
                .map_or(1.0, |station| self.open.fraction(self.works, station)),
        })
    }

    fn follow(&self, route: &Route, count: f64, lead: &mut LeadTime) {
        let mut end = vec![(0.0, None); route.operations.len()];
        let place = |id: OperationId| route.operations.iter().position(|&other| other == id);
        let mut slowest: Option<Piece> = None;
        let mut between_s: f64 = 0.0;
        for (position, &id) in route.operations.iter().enumerate() {
            let operation = self.works.operation(id);
            if operation.off_line || operation.uses_up.is_some() {
                continue;
            }
            let Some(visit) = self.visit(id, count) else {
                continue;
            };
            let before = operation.feeds.iter().filter_map(|feed| place(feed.from));
            let before = before.max_by(|&a, &b| f64::total_cmp(&end[a].0, &end[b].0));
            let start = before.map_or(0.0, |before| end[before].0);
            let pieces = self.pieces(&visit, lead, between_s);
            end[position] = (
                start + pieces.iter().map(|p| p.clock_s).sum::<f64>(),
                before,
            );
            between_s = between_s.max(visit.lot_s * lead.transfer_share);
            slowest = Some(slower(slowest, rest_of_lot(&visit, lead.transfer_share)));
            lead.pieces.extend(pieces);
        }
        trace(route, &end, &mut lead.pieces);
        lead.pieces
            .extend(slowest.filter(|piece| piece.clock_s > 0.0));
        lead.total_s = lead
            .pieces
            .iter()
            .filter(|p| p.on_path)
            .map(|p| p.clock_s)
            .sum();
    }

    fn pieces(&self, visit: &Visit<'_>, lead: &mut LeadTime, between_s: f64) -> Vec<Piece> {
        let operation = self.works.operation(visit.id);
        let least = operation
            .wait
            .at_least
            .as_ref()
            .map_or(0.0, works::Stated::mean);
        let (queue_s, known) = self.queue_s(visit, lead);
        lead.complete &= known;
        let share = lead.transfer_share;
        let setup = (visit.work.seconds.setup_s + visit.work.seconds.changeover_s)
            / visit.work.lots.max(1e-12);
        let through = match &operation.pace {
            Pace::Flow {
                through: Some(through),
                ..
            } => through.mean(),
            _ => 0.0,
        };
        let on = |kind: PieceKind, open_s: f64, open_share: f64| Piece {
            operation: visit.id,
            kind,
            open_s,
            open_share,
            clock_s: if open_share > 0.0 {
                open_s / open_share
            } else {
                0.0
            },
            formula: kind.formula(),
            on_path: false,
        };
        let open = visit.open_share;
        let (forming_s, process_s) = Self::batch(visit, share, between_s);
        let all = [
            on(PieceKind::AtLeast, least, 1.0),
            on(PieceKind::Queue, queue_s, open),
            on(PieceKind::SetUp, setup, open),
            on(PieceKind::BatchForming, forming_s, open),
            on(PieceKind::Process, process_s, open),
            on(PieceKind::Through, through, 1.0),
        ];
        all.into_iter().filter(|piece| piece.open_s > 0.0).collect()
    }

    fn queue_s(&self, visit: &Visit<'_>, lead: &mut LeadTime) -> (f64, bool) {
        let queue = visit
            .work
            .station
            .and_then(|station| self.queues[station.0].as_ref());
        let Some(queue) = queue.filter(|_| visit.work.seconds.total() > 0.0) else {
            return (0.0, true);
        };
        if let Some(caution) = &queue.caution {
            let sentence = format!("{}: {caution}", self.works.station(queue.station).name);
            if !lead.cautions.contains(&sentence) {
                lead.cautions.push(sentence);
            }
        }
        (queue.wait_s.unwrap_or(0.0), queue.wait_s.is_some())
    }

    /// Wait to form a load out of transfer lots, and the time of the first transfer lot.
    fn batch(visit: &Visit<'_>, share: f64, between_s: f64) -> (f64, f64) {
        let Some(loads) = visit.work.loads.filter(|_| share < 1.0) else {
            return (0.0, visit.lot_s * share);
        };
        let lots = visit.work.lots.max(1e-12);
        let lot = visit.work.level / lots;
        let per_load = loads.holds.min(lot);
        let one_load_s = visit.lot_s / (loads.count / lots).max(1e-12);
        let k = (per_load / (lot * share)).max(1.0);
        ((k - 1.0) / 2.0 * between_s, one_load_s)
    }
}

fn rest_of_lot(visit: &Visit<'_>, share: f64) -> Piece {
    let open_s = visit.lot_s * (1.0 - share) / visit.machines;
    Piece {
        operation: visit.id,
        kind: PieceKind::RestOfLot,
        open_s,
        open_share: visit.open_share,
        clock_s: if visit.open_share > 0.0 {
            open_s / visit.open_share
        } else {
            0.0
        },
        formula: PieceKind::RestOfLot.formula(),
        on_path: true,
    }
}

fn slower(one: Option<Piece>, other: Piece) -> Piece {
    match one {
        Some(one) if one.clock_s >= other.clock_s => one,
        _ => other,
    }
}

/// Marks the pieces of the longest path, from the last end backwards.
fn trace(route: &Route, end: &[(f64, Option<usize>)], pieces: &mut [Piece]) {
    let last = (0..end.len()).reduce(|best, next| {
        if end[next].0 >= end[best].0 {
            next
        } else {
            best
        }
    });
    let mut at = last;
    while let Some(position) = at {
        let id = route.operations[position];
        pieces
            .iter_mut()
            .filter(|piece| piece.operation == id)
            .for_each(|piece| piece.on_path = true);
        at = end[position].1;
    }
}
