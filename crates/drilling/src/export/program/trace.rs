//! What a program makes a machine do: moves, waits, tool changes, and the holes that come of them.

use crate::outline::Point;

/// How a move is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub enum MoveKind {
    /// As fast as the machine can, by a word of the program.
    Rapid,
    /// As fast as the machine can, inside a controller's cycle.
    CycleRapid,
    /// At the feed.
    Feed,
}

/// A straight move of the tip, and the state it is made in. Metres; a place never set is none, and the top of the
/// machine is an infinite height.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Move {
    /// The line that asked for it, from 1.
    pub line: usize,
    /// How it is made.
    pub kind: MoveKind,
    /// x, y and z before.
    pub from_m: [Option<f64>; 3],
    /// x, y and z after.
    pub to_m: [Option<f64>; 3],
    /// The feed, m/s, if one was stated.
    pub feed_m_per_s: Option<f64>,
    /// Turns a minute; none while the spindle is off.
    pub spindle_rpm: Option<f64>,
    /// The tool in the spindle, if one was called.
    pub tool: Option<u32>,
    /// The length offset in use.
    pub offset: Option<u32>,
}

impl Move {
    /// Whether it goes sideways.
    pub(super) fn sideways(&self) -> bool {
        self.from_m[0] != self.to_m[0] || self.from_m[1] != self.to_m[1]
    }
}

/// One thing the machine does.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub enum Event {
    /// It moves.
    Move(Move),
    /// It waits, by the number after P.
    Wait {
        /// The number.
        amount: f64,
    },
    /// It changes the tool.
    Change {
        /// The line that asked for it.
        line: usize,
        /// Whether the spindle was on.
        turning: bool,
        /// The height it was at.
        z_m: Option<f64>,
    },
    /// The spindle starts.
    Start {
        /// The line that asked for it.
        line: usize,
        /// Turns a minute.
        rpm: f64,
    },
    /// The program ends.
    End {
        /// The line that ends it.
        line: usize,
        /// Whether the spindle was on.
        turning: bool,
    },
}

/// Everything the machine does, in order.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Trace {
    /// One after the other.
    pub events: Vec<Event>,
}

/// A hole that the program drills.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Drilled {
    /// The line that first went below the face.
    pub line: usize,
    /// Where.
    pub at: Point,
    /// How deep the tip went, m.
    pub tip_depth_m: f64,
    /// With which tool.
    pub tool: Option<u32>,
    /// Turns a minute while drilling (the last, if they change).
    pub spindle_rpm: Option<f64>,
    /// Slowest and fastest feed while going deeper, m/s.
    pub feed_m_per_s: (f64, f64),
    /// The deepest bite without lifting to the face, m.
    pub bite_m: f64,
    /// The number after P of the waits at its bottom, added up.
    pub wait: f64,
}

impl Trace {
    /// The moves alone.
    pub fn moves(&self) -> impl Iterator<Item = &Move> {
        self.events.iter().filter_map(|event| match event {
            Event::Move(step) => Some(step),
            _ => None,
        })
    }

    /// The holes drilled: all that happens below the face until the tool goes sideways or is changed.
    pub fn drilled(&self) -> Vec<Drilled> {
        let mut holes = Vec::new();
        let mut open: Option<Drilling> = None;
        for event in &self.events {
            match event {
                Event::Move(step) if step.sideways() => {
                    holes.extend(open.take().map(|hole| hole.hole));
                }
                Event::Move(step) => open = deeper(open, step),
                Event::Change { .. } => holes.extend(open.take().map(|hole| hole.hole)),
                Event::Wait { amount } => {
                    if let Some(hole) = open.as_mut().filter(|hole| hole.at_bottom) {
                        hole.hole.wait += amount;
                    }
                }
                Event::Start { .. } | Event::End { .. } => (),
            }
        }
        holes.extend(open.map(|hole| hole.hole));
        holes
    }
}

/// A hole being drilled.
struct Drilling {
    hole: Drilled,
    /// Depth when the drill was last clear of the face.
    before_m: f64,
    at_bottom: bool,
}

/// The hole after a move straight up or down.
fn deeper(open: Option<Drilling>, step: &Move) -> Option<Drilling> {
    let depth_m = -step.to_m[2]?;
    let (Some(x), Some(y)) = (step.to_m[0], step.to_m[1]) else {
        return open;
    };
    if depth_m <= 0.0 {
        return open.map(|drilling| Drilling {
            before_m: drilling.hole.tip_depth_m,
            at_bottom: false,
            ..drilling
        });
    }
    let mut drilling = open.unwrap_or_else(|| Drilling {
        hole: Drilled {
            line: step.line,
            at: Point::new(x, y),
            tip_depth_m: 0.0,
            tool: step.tool,
            spindle_rpm: None,
            feed_m_per_s: (f64::INFINITY, 0.0),
            bite_m: 0.0,
            wait: 0.0,
        },
        before_m: 0.0,
        at_bottom: false,
    });
    let hole = &mut drilling.hole;
    drilling.at_bottom = depth_m >= hole.tip_depth_m;
    if depth_m > hole.tip_depth_m {
        // What waited at a former bottom did not wait at this one.
        hole.wait = 0.0;
        hole.tip_depth_m = depth_m;
        hole.spindle_rpm = step.spindle_rpm;
        hole.bite_m = hole.bite_m.max(depth_m - drilling.before_m);
        // A rapid drills at no feed that anybody asked for.
        let feed = match step.kind {
            MoveKind::Feed => step.feed_m_per_s.unwrap_or(0.0),
            MoveKind::Rapid | MoveKind::CycleRapid => f64::INFINITY,
        };
        hole.feed_m_per_s.0 = hole.feed_m_per_s.0.min(feed);
        hole.feed_m_per_s.1 = hole.feed_m_per_s.1.max(feed);
    }
    Some(drilling)
}
