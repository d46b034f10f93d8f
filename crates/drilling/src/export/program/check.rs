//! Holds a program against the holes it should drill and the machine it runs on.

use super::super::Stroke;
use super::fault::ProgramFault;
use super::run::read;
use super::trace::{Drilled, Event, Move, MoveKind, Trace};
use super::{DwellWord, Machine};

/// Feeds and speeds may differ by this share: they are rounded to the last decimal written.
const FEED_SLACK: f64 = 2e-3;

/// Speeds are written as whole turns a minute.
const SPEED_SLACK_RPM: f64 = 0.5 + 1e-9;

/// Waits are written to the millisecond.
const WAIT_SLACK_S: f64 = 0.5e-3 + 1e-9;

/// Reads a program back and says everything wrong with it: words that cannot be followed, rapid moves below the
/// clear height (outside what a controller's cycle does), feed with the spindle off, moves beyond the reach,
/// tool changes at the wrong time, and every hole that is missing, doubled, moved, or drilled otherwise than
/// asked. `tolerance_m` is how far a written place may be from the one asked: half the last decimal written,
/// and a hair. Any text may be given; an empty answer says that the program drills these holes and nothing else.
pub fn verify(
    text: &str,
    strokes: &[Stroke],
    machine: &Machine,
    dwell: DwellWord,
    tolerance_m: f64,
) -> Vec<ProgramFault> {
    let (trace, mut faults) = read(text);
    for event in &trace.events {
        match event {
            Event::Move(step) => faults.extend(move_faults(step, machine, tolerance_m)),
            other => faults.extend(event_faults(other, machine, tolerance_m)),
        }
    }
    faults.extend(offsets(&trace));
    let comparison = Comparison { dwell, tolerance_m };
    faults.extend(comparison.holes(&trace.drilled(), strokes));
    faults
}

fn event_faults(event: &Event, machine: &Machine, tolerance_m: f64) -> Vec<ProgramFault> {
    match *event {
        Event::Change { line, turning, z_m } => {
            let high = z_m.is_some_and(|z| z >= machine.safe_m - tolerance_m);
            let mut faults = Vec::new();
            if turning {
                faults.push(ProgramFault::ChangeTurning { line });
            }
            if !high {
                faults.push(ProgramFault::ChangeLow { line });
            }
            faults
        }
        Event::Start { line, rpm } if rpm > machine.spindle_max_rpm + SPEED_SLACK_RPM => {
            vec![ProgramFault::TooFast { line, rpm }]
        }
        Event::End {
            line,
            turning: true,
        } => vec![ProgramFault::EndsTurning { line }],
        _ => Vec::new(),
    }
}

fn move_faults(step: &Move, machine: &Machine, tolerance_m: f64) -> Vec<ProgramFault> {
    let line = step.line;
    let clear_m = machine.clear_m - tolerance_m;
    let mut faults = Vec::new();
    let low = |z: Option<f64>| z.is_none_or(|z| z < clear_m);
    match (step.kind, step.to_m[2]) {
        // Straight up out of a hole is how a drill is lifted.
        (MoveKind::Rapid, Some(z_m)) if z_m < clear_m => {
            faults.push(ProgramFault::RapidBelowClear { line, z_m });
        }
        (MoveKind::Feed, _) if step.spindle_rpm.is_none() => {
            faults.push(ProgramFault::SpindleOff { line });
        }
        _ => (),
    }
    if step.sideways() && (low(step.from_m[2]) || low(step.to_m[2])) {
        faults.push(ProgramFault::SidewaysBelowClear { line });
    }
    for (axis, letter) in ['x', 'y', 'z'].into_iter().enumerate() {
        // The top of the machine is within its reach.
        let place = step.to_m[axis].filter(|value| *value < f64::INFINITY);
        let (low, high) = (machine.low_m[axis], machine.high_m[axis]);
        let beyond = |value: &f64| *value < low - tolerance_m || *value > high + tolerance_m;
        if let Some(value_m) = place.filter(beyond) {
            faults.push(ProgramFault::OutOfReach {
                line,
                axis: letter,
                value_m,
            });
        }
    }
    faults
}

/// Once a program uses length offsets, every tool that drills must use its own.
fn offsets(trace: &Trace) -> Vec<ProgramFault> {
    if trace.moves().all(|step| step.offset.is_none()) {
        return Vec::new();
    }
    let wrong = |step: &&Move| step.kind == MoveKind::Feed && step.offset != step.tool;
    trace
        .moves()
        .filter(wrong)
        .map(|step| ProgramFault::WrongOffset {
            line: step.line,
            tool: step.tool.unwrap_or(0),
        })
        .collect()
}

/// How holes found are held against holes asked for.
struct Comparison {
    dwell: DwellWord,
    tolerance_m: f64,
}

impl Comparison {
    fn holes(&self, drilled: &[Drilled], strokes: &[Stroke]) -> Vec<ProgramFault> {
        let mut by_x: Vec<usize> = (0..strokes.len()).collect();
        by_x.sort_by(|one, other| strokes[*one].at.x.total_cmp(&strokes[*other].at.x));
        let mut waiting = vec![true; strokes.len()];
        let mut faults = Vec::new();
        for hole in drilled {
            let Some(found) = self.asked_at(hole, strokes, &by_x, &waiting) else {
                faults.push(ProgramFault::NotAsked {
                    line: hole.line,
                    x_m: hole.at.x,
                    y_m: hole.at.y,
                });
                continue;
            };
            waiting[found] = false;
            faults.extend(self.differences(hole, found, &strokes[found]));
        }
        let missed = strokes
            .iter()
            .enumerate()
            .filter(|(hole, _)| waiting[*hole]);
        faults.extend(missed.map(|(hole, stroke)| ProgramFault::NotDrilled {
            hole,
            x_m: stroke.at.x,
            y_m: stroke.at.y,
        }));
        faults
    }

    /// The stroke still waiting at the place of a hole, one with its tool and depth before others.
    fn asked_at(
        &self,
        hole: &Drilled,
        strokes: &[Stroke],
        by_x: &[usize],
        waiting: &[bool],
    ) -> Option<usize> {
        let near = |one: f64, other: f64| (one - other).abs() <= self.tolerance_m;
        let first = by_x.partition_point(|i| strokes[*i].at.x < hole.at.x - self.tolerance_m);
        let unlikeness = |i: &usize| {
            let stroke = &strokes[*i];
            let deep = near(stroke.tip_depth_m, hole.tip_depth_m);
            (Some(stroke.tool) != hole.tool, !deep)
        };
        by_x[first..]
            .iter()
            .copied()
            .take_while(|i| near(strokes[*i].at.x, hole.at.x))
            .filter(|i| waiting[*i] && near(strokes[*i].at.y, hole.at.y))
            .min_by_key(unlikeness)
    }

    fn differences(&self, drilled: &Drilled, hole: usize, stroke: &Stroke) -> Vec<ProgramFault> {
        let cutting = &stroke.cutting;
        let wait_s = match self.dwell {
            DwellWord::PSeconds => drilled.wait,
            DwellWord::PMilliseconds => drilled.wait * 1e-3,
        };
        let (slow, fast) = drilled.feed_m_per_s;
        let feed = cutting.feed_m_per_s;
        let feed_slack = FEED_SLACK * feed + 1e-3 / 60.0 * 0.05;
        let tool = drilled.tool.map_or(0.0, f64::from);
        let rpm = drilled.spindle_rpm.unwrap_or(0.0);
        let rows = [
            (
                "depth in m",
                drilled.tip_depth_m,
                stroke.tip_depth_m,
                self.tolerance_m,
            ),
            ("tool", tool, f64::from(stroke.tool), 0.0),
            ("spindle speed", rpm, cutting.spindle_rpm, SPEED_SLACK_RPM),
            ("slowest feed in m/s", slow, feed, feed_slack),
            ("fastest feed in m/s", fast, feed, feed_slack),
            ("wait in s", wait_s, cutting.dwell_s, WAIT_SLACK_S),
        ];
        let mut faults: Vec<ProgramFault> = rows
            .into_iter()
            .filter(|(_, found, asked, slack)| (found - asked).abs() > *slack)
            .map(|(what, found, asked, _)| ProgramFault::Differs {
                line: drilled.line,
                hole,
                what,
                found,
                asked,
            })
            .collect();
        // Smaller bites than asked are safe; larger ones may break the drill.
        let bite_m = cutting.peck_m.unwrap_or(stroke.tip_depth_m);
        if drilled.bite_m > bite_m + 2.0 * self.tolerance_m {
            faults.push(ProgramFault::Differs {
                line: drilled.line,
                hole,
                what: "bite in m",
                found: drilled.bite_m,
                asked: bite_m,
            });
        }
        faults
    }
}
