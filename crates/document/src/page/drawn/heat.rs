//! From heat plans to the pictures' plain data: temperatures in degC, times in a unit that fits.

use picture::{
    Axis, DwellEdge, HeatHistory, HeatLimit, HeatLine, HeatLineKind, HeatNeed, HeatStage,
    LimitSide, LoadPullDown, NeedKind, ProbeJudgement, ProbeRow, ProfileCurve, ProfileCurves,
    ProfilePiece, PullDownLoad, WindowMap, WindowRow, WindowSetting,
};
use planning::heat::{Counted, HeatPlan, LoadLine, LoadTrace, LogLine, NeedLine, PieceLine, words};
use works::{Measure, Place, Works};

use crate::table::{self, TimeUnit, degrees};

/// A face and a core that never differ by as much as this, K, are one line; so is a profile flat.
const APART_K: f64 = 0.5;

type Points = Vec<(f64, f64)>;

fn points(unit: TimeUnit, of: &[(f64, f64)]) -> Points {
    of.iter()
        .map(|&(time_s, kelvin)| (unit.count(time_s), degrees(kelvin)))
        .collect()
}

fn time_axis(name: &str, unit: TimeUnit) -> Axis {
    Axis::new(name, unit.symbol)
}

fn temperature_axis() -> Axis {
    Axis::new("temperature", "degC")
}

/// How a need was stated, found by its place.
fn stated<'w>(works: &'w Works, plan: &HeatPlan, need: &NeedLine) -> Option<&'w works::Need> {
    let heat = works.operations.get(plan.operation.0)?.heat.as_ref()?;
    heat.needs.iter().find(|stated| stated.at == need.at)
}

/// A temperature that a need is about, K, with the side that is wanted; none where a need adds up along the time.
fn limits(works: &Works, plan: &HeatPlan, need: &NeedLine) -> Vec<(f64, LimitSide, String)> {
    let bare = |kelvin: f64, more: &str| {
        let words = words::temperature(kelvin);
        if more.is_empty() {
            words
        } else {
            format!("{words} {more}")
        }
    };
    let stated = stated(works, plan, need);
    if let Some(Measure::Reach {
        temperature,
        hold: Some(hold),
    }) = stated.map(|need| &need.measure)
    {
        let kelvin = temperature.mean();
        let label = bare(kelvin, &format!("for {}", words::time(hold.mean())));
        return vec![(kelvin, LimitSide::AtLeast, label)];
    }
    if need.counted != Counted::Temperature {
        return Vec::new();
    }
    let at_end = matches!(
        stated.map(|need| &need.measure),
        Some(Measure::EndsBelow(_) | Measure::EndsAbove(_) | Measure::EndsBetween(_))
    );
    let more = if at_end { "at the end" } else { "" };
    let least = need
        .at_least
        .map(|k| (k, LimitSide::AtLeast, bare(k, more)));
    let most = need.at_most.map(|k| (k, LimitSide::AtMost, bare(k, more)));
    least.into_iter().chain(most).collect()
}

fn all_limits(works: &Works, plan: &HeatPlan) -> Vec<HeatLimit> {
    let found = plan.needs.iter().flat_map(|need| limits(works, plan, need));
    found
        .map(|(kelvin, side, label)| HeatLimit {
            value: degrees(kelvin),
            side,
            label,
        })
        .collect()
}

/// Temperatures of every piece along the time, with what each need takes.
pub(in crate::page) fn history(works: &Works, plan: &HeatPlan) -> HeatHistory {
    let ends = plan.pieces.iter().filter_map(|piece| piece.core.last());
    let unit = TimeUnit::of(ends.map(|end| end.0).chain([plan.dwell_s]));
    HeatHistory {
        time: time_axis("time inside", unit),
        temperature: temperature_axis(),
        lines: lines(plan, unit),
        stages: stages(plan, unit),
        limits: all_limits(works, plan),
        needs: needs(plan, unit),
        stated_end: Some(unit.count(plan.dwell_s)),
        stated_label: table::stated_words(plan),
    }
}

fn lines(plan: &HeatPlan, unit: TimeUnit) -> Vec<HeatLine> {
    let mut lines: Vec<HeatLine> = Vec::new();
    for piece in &plan.pieces {
        let air = points(unit, &piece.air);
        let known = |line: &&HeatLine| line.kind == HeatLineKind::Air && line.points == air;
        if !air.is_empty() && !lines.iter().any(|line| known(&line)) {
            let name = if plan.pieces.len() > 1 {
                format!("air, {}", piece.name)
            } else {
                "air".to_owned()
            };
            lines.push(HeatLine {
                kind: HeatLineKind::Air,
                name,
                points: air,
            });
        }
        lines.extend(piece_lines(piece, unit));
    }
    lines
}

/// Core and face, or one line where they go together.
fn piece_lines(piece: &PieceLine, unit: TimeUnit) -> Vec<HeatLine> {
    let (core, face) = if piece.slow {
        (HeatLineKind::SlowestCore, HeatLineKind::SlowestSurface)
    } else {
        (HeatLineKind::FastestCore, HeatLineKind::FastestSurface)
    };
    let line = |kind, name: String, of: &[(f64, f64)]| HeatLine {
        kind,
        name,
        points: points(unit, of),
    };
    let together = piece.core.len() == piece.surface.len()
        && piece
            .core
            .iter()
            .zip(&piece.surface)
            .all(|(a, b)| (a.1 - b.1).abs() < APART_K);
    if together {
        return vec![line(core, piece.name.clone(), &piece.core)];
    }
    vec![
        line(core, format!("{}, core", piece.name), &piece.core),
        line(face, format!("{}, surface", piece.name), &piece.surface),
    ]
}

fn stages(plan: &HeatPlan, unit: TimeUnit) -> Vec<HeatStage> {
    let mut from = 0.0;
    plan.stages
        .iter()
        .map(|stage| {
            let span = (unit.count(from), unit.count(from + stage.lasts_s));
            from += stage.lasts_s;
            HeatStage {
                span,
                name: stage.name.clone(),
            }
        })
        .collect()
}

/// The ends of the window with what binds them, and after what time other needs are met.
fn needs(plan: &HeatPlan, unit: TimeUnit) -> Vec<HeatNeed> {
    let window = &plan.window;
    let bound = |kind, end: Option<(f64, f64)>, by: Option<(usize, usize)>| {
        let ((time_s, _), (need, piece)) = (end?, by?);
        Some(HeatNeed {
            kind,
            name: need_name(plan, need, piece)?,
            at: Some(unit.count(time_s)),
        })
    };
    let mut all: Vec<HeatNeed> = [
        bound(NeedKind::Enough, window.shortest_s, window.shortest_by),
        bound(NeedKind::NotTooMuch, window.longest_s, window.longest_by),
    ]
    .into_iter()
    .flatten()
    .collect();
    let told = |at: usize| {
        let short = window.shortest_s.and(window.shortest_by);
        short.is_some_and(|(need, _)| need == at)
    };
    for (at, need) in plan.needs.iter().enumerate() {
        // A need with both limits is met for a while: the window says which while.
        let rises = need.at_least.is_some() && need.at_most.is_none();
        let moment = need.met_after_s.is_some() || !need.met;
        if rises && moment && !told(at) {
            all.extend(need_name(plan, at, need.worst).map(|name| HeatNeed {
                kind: NeedKind::Enough,
                name,
                at: need.met_after_s.map(|time_s| unit.count(time_s)),
            }));
        }
    }
    all
}

fn need_name(plan: &HeatPlan, need: usize, piece: usize) -> Option<String> {
    let (need, piece) = (plan.needs.get(need)?, plan.pieces.get(piece)?);
    // The piece first: where there is little room the end of a name is cut.
    Some(format!("{}: {}", piece.name, need.words))
}

/// Times that do at other temperatures of the air; none where no row has an end of a window.
pub(in crate::page) fn map(works: &Works, plan: &HeatPlan) -> Option<WindowMap> {
    let times = plan.map.iter().flat_map(|row| [row.enough_s, row.most_s]);
    let times: Vec<f64> = times.flatten().collect();
    if times.is_empty() {
        return None;
    }
    let unit = TimeUnit::of(times.into_iter().chain([plan.dwell_s]));
    let edge = |time_s: Option<f64>| match time_s {
        Some(time_s) => DwellEdge::At(unit.count(time_s)),
        None => DwellEdge::Never,
    };
    let row = |row: &planning::heat::MapLine| WindowRow {
        level: degrees(row.air_k),
        enough: edge(row.enough_s),
        // What is too much from the first moment is so from the left end on.
        safe: if row.never_safe {
            DwellEdge::At(0.0)
        } else {
            edge(row.most_s)
        },
    };
    Some(WindowMap {
        dwell: time_axis("time inside", unit),
        level: Axis::new("air", "degC"),
        rows: plan.map.iter().map(row).collect(),
        enough_label: "enough for every piece".to_owned(),
        safe_label: "too much for some from here".to_owned(),
        stated: setting(works, plan, unit),
    })
}

/// The recipe in the map: its dwell with what that may be off, and the air of its longest stage.
fn setting(works: &Works, plan: &HeatPlan, unit: TimeUnit) -> Option<WindowSetting> {
    let lasts = plan.stages.iter();
    let stage = lasts.max_by(|a, b| a.lasts_s.total_cmp(&b.lasts_s))?;
    let operation = works.operations.get(plan.operation.0);
    let air_k = stage.air_k.1;
    let spread = operation.and_then(|operation| works.dwell_of(operation));
    let spread = spread
        .filter(|dwell| !dwell.spread.is_exact() && plan.supposed.is_empty())
        .map(|dwell| (dwell.spread.low(), dwell.spread.high()));
    Some(WindowSetting {
        name: format!(
            "{} at {}",
            table::stated_words(plan),
            words::temperature(air_k)
        ),
        dwell: unit.count(plan.dwell_s),
        level: degrees(air_k),
        dwell_limits: spread.map(|(low, high)| (unit.count(low), unit.count(high))),
        // What the air may be off is in the rows already: the slowest piece has the coldest, the fastest the hottest.
        level_limits: None,
    })
}

/// Temperatures across the pieces; none where they are flat all through.
pub(in crate::page) fn profiles(plan: &HeatPlan) -> Option<ProfileCurves> {
    let spread = |across: &[(f64, f64)]| {
        let values = || across.iter().map(|point| point.1);
        let (low, high) = (values().reduce(f64::min)?, values().reduce(f64::max)?);
        Some(high - low)
    };
    let all = || plan.pieces.iter().flat_map(|piece| &piece.profiles);
    if !all().any(|profile| spread(&profile.across).is_some_and(|k| k > APART_K)) {
        return None;
    }
    let curve = |profile: &planning::heat::ProfileLine| ProfileCurve {
        time: words::time(profile.time_s),
        points: profile
            .across
            .iter()
            .map(|&(metres, kelvin)| (metres * 1e3, degrees(kelvin)))
            .collect(),
    };
    let pieces = plan.pieces.iter().map(|piece| ProfilePiece {
        name: piece.name.clone(),
        curves: piece.profiles.iter().map(curve).collect(),
    });
    Some(ProfileCurves {
        depth: Axis::new("depth", "mm"),
        value: temperature_axis(),
        pieces: pieces.collect(),
        levels: Vec::new(),
    })
}

/// Loads against the temperature that the core must have at the end; none where that is not what is asked, or where
/// another need decides.
pub(in crate::page) fn pull_down(works: &Works, plan: &HeatPlan) -> Option<LoadPullDown> {
    let load = plan.load.as_ref()?;
    let (kelvin, side) = plan
        .needs
        .iter()
        .find_map(|need| core_target(works, plan, need))?;
    let unit = TimeUnit::of(load_times(load).chain([plan.dwell_s]));
    let reached = |trace: &LoadTrace| crossing(&trace.core, kelvin, side);
    let agrees = load
        .traces
        .iter()
        .all(|trace| trace.met == reached(trace).is_some_and(|at| at <= plan.dwell_s));
    if !agrees {
        return None;
    }
    let one = |trace: &LoadTrace| PullDownLoad {
        name: table::load_words(load, trace.units),
        amount: trace.units,
        air: points(unit, &trace.air),
        core: points(unit, &trace.core),
        reached: reached(trace).map(|time_s| unit.count(time_s)),
    };
    Some(LoadPullDown {
        time: time_axis("time inside", unit),
        temperature: temperature_axis(),
        loads: load.traces.iter().map(one).collect(),
        target: degrees(kelvin),
        side,
        target_label: words::temperature(kelvin),
        deadline: Some(unit.count(plan.dwell_s)),
        deadline_label: format!("the {}", table::stated_words(plan)),
    })
}

/// The temperature that a need wants of the core by the end, K.
fn core_target(works: &Works, plan: &HeatPlan, need: &NeedLine) -> Option<(f64, LimitSide)> {
    let stated = stated(works, plan, need).filter(|need| need.place == Place::Core)?;
    match &stated.measure {
        Measure::EndsBelow(most) => Some((most.mean(), LimitSide::AtMost)),
        Measure::EndsAbove(least)
        | Measure::Reach {
            temperature: least,
            hold: None,
        } => Some((least.mean(), LimitSide::AtLeast)),
        _ => None,
    }
}

fn load_times(load: &LoadLine) -> impl Iterator<Item = f64> {
    let ends = load.traces.iter().filter_map(|trace| trace.core.last());
    ends.map(|end| end.0)
}

/// When a curve first comes to a level, straight between its points.
fn crossing(curve: &[(f64, f64)], level: f64, side: LimitSide) -> Option<f64> {
    let there = |value: f64| match side {
        LimitSide::AtLeast => value >= level,
        LimitSide::AtMost => value <= level,
    };
    let first = curve.iter().position(|point| there(point.1))?;
    let (time, value) = curve[first];
    let Some(&(before, from)) = first.checked_sub(1).and_then(|at| curve.get(at)) else {
        return Some(time);
    };
    Some(before + (time - before) * (level - from) / (value - from))
}

/// Loads as a plain history, where a pull-down would not tell what decides.
pub(in crate::page) fn loads(works: &Works, plan: &HeatPlan) -> Option<HeatHistory> {
    let load = plan.load.as_ref().filter(|load| !load.traces.is_empty())?;
    let unit = TimeUnit::of(load_times(load).chain([plan.dwell_s]));
    let lines = load.traces.iter().flat_map(|trace| {
        let verdict = if trace.met { "does" } else { "does not do" };
        let name = table::load_words(load, trace.units);
        [
            HeatLine {
                kind: HeatLineKind::SlowestCore,
                name: format!("core, {name}: {verdict}"),
                points: points(unit, &trace.core),
            },
            HeatLine {
                kind: HeatLineKind::Air,
                name: format!("air, {name}"),
                points: points(unit, &trace.air),
            },
        ]
    });
    Some(HeatHistory {
        time: time_axis("time inside", unit),
        temperature: temperature_axis(),
        lines: lines.collect(),
        stages: stages(plan, unit),
        limits: all_limits(works, plan),
        needs: Vec::new(),
        stated_end: Some(unit.count(plan.dwell_s)),
        stated_label: table::stated_words(plan),
    })
}

/// What the probes of a load read.
pub(in crate::page) fn log_history(works: &Works, plan: &HeatPlan, log: &LogLine) -> HeatHistory {
    let ends = log.probes.iter().filter_map(|probe| probe.read.last());
    let unit = TimeUnit::of(ends.map(|end| end.0));
    let lines = log.probes.iter().map(|probe| HeatLine {
        kind: match (probe.odd, probe.place.as_str()) {
            (true, _) => HeatLineKind::OddProbe,
            (false, "air") => HeatLineKind::Air,
            (false, _) => HeatLineKind::Probe,
        },
        name: probe.name.clone(),
        points: points(unit, &probe.read),
    });
    HeatHistory {
        time: time_axis("time from the first reading", unit),
        temperature: temperature_axis(),
        lines: lines.collect(),
        stages: Vec::new(),
        limits: all_limits(works, plan),
        needs: Vec::new(),
        stated_end: None,
        stated_label: String::new(),
    }
}

/// Probes against one need: the first that a probe does not meet, else the first that any probe speaks for.
pub(in crate::page) fn judgement(plan: &HeatPlan, log: &LogLine) -> Option<ProbeJudgement> {
    let value = |probe: &planning::heat::ProbeLine, at: usize| probe.values.get(at).copied()?;
    let spoken = |&at: &usize| log.probes.iter().any(|probe| value(probe, at).is_some());
    let missed = |&at: &usize| {
        let mut values = log.probes.iter().filter_map(|probe| value(probe, at));
        values.any(|(_, met)| !met)
    };
    let all = 0..plan.needs.len();
    let at = all
        .clone()
        .find(missed)
        .or_else(|| all.clone().find(spoken))?;
    let need = &plan.needs[at];
    let unit = table::unit_of_need(need);
    let (measure, scale): (Axis, &dyn Fn(f64) -> f64) = match need.counted {
        Counted::Temperature => (Axis::new(&*need.words, "degC"), &degrees),
        Counted::Time => (Axis::new(&*need.words, unit.symbol), &|s| unit.count(s)),
        Counted::Tens => (Axis::new(&*need.words, "powers of ten"), &|tens| tens),
    };
    let rows = log.probes.iter().filter_map(|probe| {
        let (found, pass) = value(probe, at)?;
        let odd = probe.offset_k.filter(|_| probe.odd).map(|offset| {
            let side = if offset < 0.0 { "low" } else { "high" };
            format!("ran {} {side}", words::difference(offset.abs()))
        });
        Some(ProbeRow {
            name: format!("{}, {}", probe.name, probe.place),
            value: scale(found),
            pass,
            reason: odd.unwrap_or_default(),
        })
    });
    Some(ProbeJudgement {
        rows: rows.collect(),
        at_least: need.at_least.map(scale),
        at_most: need.at_most.map(scale),
        pass: log.passes,
        reason: log.reasons.join("; "),
        measure,
    })
}
