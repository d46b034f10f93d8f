//! The time one operation takes of one station, piece by piece.
//!
//! Run time is counted on what is attempted. Loads are counted lot by lot and never shared between
//! lots: a lot of 100 in an oven that holds 90 is two loads. Set-ups are paid once a lot. Tools
//! are changed after their life, samples are taken as often as the check says. Stops come on top
//! of running time: run × repair ÷ (time between stops).

use serde::Serialize;
use works::{
    Check, CheckEvery, Operation, OperationId, Pace, RouteId, Station, StationId, ToolLife, Works,
};

use super::lots::Lots;

/// Seconds of a station, by what takes them.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Seconds {
    /// Making pieces, good and bad.
    pub run_s: f64,
    /// Setting up for lots.
    pub setup_s: f64,
    /// Changing from one product or attribute to another.
    pub changeover_s: f64,
    /// Changing worn tools.
    pub tool_change_s: f64,
    /// Checks during which the station waits.
    pub check_s: f64,
    /// Stops.
    pub stops_s: f64,
}

impl Seconds {
    /// All of them.
    pub fn total(&self) -> f64 {
        self.run_s
            + self.setup_s
            + self.changeover_s
            + self.tool_change_s
            + self.check_s
            + self.stops_s
    }

    /// Both together.
    #[must_use]
    pub fn plus(&self, other: &Self) -> Self {
        Self {
            run_s: self.run_s + other.run_s,
            setup_s: self.setup_s + other.setup_s,
            changeover_s: self.changeover_s + other.changeover_s,
            tool_change_s: self.tool_change_s + other.tool_change_s,
            check_s: self.check_s + other.check_s,
            stops_s: self.stops_s + other.stops_s,
        }
    }

    /// A share of them.
    #[must_use]
    pub fn times(&self, share: f64) -> Self {
        Self {
            run_s: self.run_s * share,
            setup_s: self.setup_s * share,
            changeover_s: self.changeover_s * share,
            tool_change_s: self.tool_change_s * share,
            check_s: self.check_s * share,
            stops_s: self.stops_s * share,
        }
    }
}

/// Loads of a batch operation.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Loads {
    /// How many, over all lots.
    pub count: f64,
    /// Base units that one holds.
    pub holds: f64,
    /// How full they are on average, 0 to 1.
    pub fill: f64,
    /// How full the emptiest last load of a lot is, 0 to 1.
    pub emptiest: f64,
    /// How full it must be to be worth starting; 0 where that is not said.
    pub at_least: f64,
    /// Whether the last load of some lot is emptier than that.
    pub too_empty: bool,
}

/// The work of one operation at one of the stations that can do it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Work {
    /// The operation.
    pub operation: OperationId,
    /// Its route.
    pub route: RouteId,
    /// Where; none for a step outside any station.
    pub station: Option<StationId>,
    /// Share of the operation's work that goes here, 0 to 1.
    pub share: f64,
    /// Base units attempted here over the horizon.
    pub level: f64,
    /// Lots that come here.
    pub lots: f64,
    /// Loads, for a batch operation.
    pub loads: Option<Loads>,
    /// The time it takes.
    pub seconds: Seconds,
}

/// What of a calendar the counting of checks needs.
#[derive(Clone, Copy, Debug)]
pub struct Shift {
    /// Mean length of a shift, s.
    pub length_s: f64,
}

/// The whole work of an operation, were all of it done at a station with a pace.
pub(super) fn work_at(
    works: &Works,
    id: OperationId,
    station: Option<StationId>,
    pace: &Pace,
    level: f64,
    lots: &Lots,
    shift: Shift,
) -> Work {
    let operation = works.operation(id);
    let loads = loads(operation, pace, level, lots);
    let run_s = run_s(pace, level, loads.as_ref());
    let count = if level > 0.0 {
        lots.count[operation.route.0]
    } else {
        0.0
    };
    let samples = Samples {
        level,
        lots: count,
        loads: loads.map_or(count, |l| l.count),
        run_s,
        shift,
    };
    let seconds = Seconds {
        run_s,
        setup_s: operation
            .setup
            .as_ref()
            .map_or(0.0, |setup| setup.mean() * count),
        changeover_s: 0.0,
        tool_change_s: tool_changes_s(operation, level, run_s),
        check_s: checks_at_station_s(operation, &samples),
        stops_s: station.map_or(0.0, |id| stops_s(works.station(id), run_s)),
    };
    Work {
        operation: id,
        route: operation.route,
        station,
        share: 1.0,
        level,
        lots: count,
        loads,
        seconds,
    }
}

/// Stops that come on top of running time.
pub(super) fn stops_s(station: &Station, run_s: f64) -> f64 {
    let rate = |stops: &works::Stops| stops.repair.mean() / stops.run.mean();
    station
        .stops
        .as_ref()
        .map(rate)
        .filter(|rate| rate.is_finite())
        .map_or(0.0, |rate| run_s * rate)
}

/// Loads of a batch operation, lot by lot.
fn loads(operation: &Operation, pace: &Pace, level: f64, lots: &Lots) -> Option<Loads> {
    let Pace::Load(load) = pace else { return None };
    let holds = load.holds.mean();
    let least = load.at_least.as_ref().map_or(0.0, works::Stated::mean);
    if holds <= 0.0 || level <= 0.0 {
        return Some(Loads {
            count: 0.0,
            holds,
            fill: 0.0,
            emptiest: 1.0,
            at_least: least,
            too_empty: false,
        });
    }
    let (mut count, mut emptiest) = (0.0, 1.0_f64);
    for (lot, share) in lots.shares(operation.route) {
        let full = level * share / lot.count / holds;
        let each = loads_of(full);
        count += lot.count * each;
        emptiest = emptiest.min(full - (each - 1.0));
    }
    let fill = if count > 0.0 {
        level / (count * holds)
    } else {
        0.0
    };
    Some(Loads {
        count,
        holds,
        fill,
        emptiest,
        at_least: least,
        too_empty: emptiest < least - 1e-9,
    })
}

/// Whole loads for an amount given in loads; rounding noise never adds one.
pub fn loads_of(full: f64) -> f64 {
    (full * (1.0 - 1e-9)).ceil().max(0.0)
}

fn run_s(pace: &Pace, level: f64, loads: Option<&Loads>) -> f64 {
    match pace {
        Pace::None => 0.0,
        Pace::Each(time) => level * time.mean(),
        Pace::Flow { rate, .. } => {
            let rate = rate.mean();
            if rate > 0.0 { level / rate } else { 0.0 }
        }
        Pace::Load(load) => {
            let turn = load.turn.as_ref().map_or(0.0, works::Stated::mean);
            loads.map_or(0.0, |loads| loads.count * (load.dwell.mean() + turn))
        }
    }
}

fn tool_changes_s(operation: &Operation, level: f64, run_s: f64) -> f64 {
    let one = |tool: &works::Tool| {
        let change = tool.change.as_ref().map_or(0.0, works::Stated::mean);
        change * tool_lives(&tool.life, level, run_s)
    };
    operation.tools.iter().map(one).sum()
}

/// Tool lives used up.
pub fn tool_lives(life: &ToolLife, level: f64, run_s: f64) -> f64 {
    let used = match life {
        ToolLife::Units(_) => level,
        ToolLife::Time(_) => run_s,
    };
    let lasts = life.stated().mean();
    if lasts > 0.0 { used / lasts } else { 0.0 }
}

/// What sets how many samples are taken.
#[derive(Clone, Copy, Debug)]
pub struct Samples {
    /// Base units attempted.
    pub level: f64,
    /// Lots.
    pub lots: f64,
    /// Loads; lots, where nothing is loaded.
    pub loads: f64,
    /// Running time, s.
    pub run_s: f64,
    /// The shift.
    pub shift: Shift,
}

impl Samples {
    /// How many samples a check takes. A check `every unit` looks at all of them, so its samples
    /// are the units over the size of a sample; one for each shift counts shifts that are run.
    pub fn of(&self, check: &Check) -> f64 {
        let per = |used: f64, every: f64| if every > 0.0 { used / every } else { 0.0 };
        match &check.every {
            CheckEvery::Unit => per(self.level, check.sample.max(1e-12)),
            CheckEvery::Lot => self.lots,
            CheckEvery::Load => self.loads,
            CheckEvery::Shift => per(self.run_s, self.shift.length_s).ceil(),
            CheckEvery::Amount(every) => per(self.level, every.mean()),
            CheckEvery::Time(every) => per(self.run_s, every.mean()),
        }
    }

    /// Time of a check's samples, s.
    pub fn time_s(&self, check: &Check) -> f64 {
        check
            .time
            .as_ref()
            .map_or(0.0, |time| time.mean() * self.of(check))
    }
}

/// Checks that nobody else is named for are done at the station while it waits.
fn checks_at_station_s(operation: &Operation, samples: &Samples) -> f64 {
    let here = operation.checks.iter().filter(|check| check.by.is_none());
    here.map(|check| samples.time_s(check)).sum()
}
