//! What is noted on the way: one row per moment for all traces, stage by stage.

use crate::run::{History, Profile};
use crate::solve::faces::{Ends, Meets};
use crate::solve::step::Stepper;
use crate::trace::{Sample, Trace};

/// Traces in a row: first, middle, last, mean, air, heat.
pub(crate) const TRACES: usize = 6;

/// Values and slopes of all traces at a moment.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Row {
    pub(crate) time_s: f64,
    pub(crate) value: [f64; TRACES],
    pub(crate) slope: [f64; TRACES],
}

/// A whole run on one grid.
#[derive(Clone, Debug, Default)]
pub(crate) struct Track {
    /// A stage's rows begin with the moment it begins.
    pub(crate) stages: Vec<Vec<Row>>,
    /// Temperatures of the nodes at the end of each stage.
    pub(crate) profiles: Vec<Vec<f64>>,
}

impl Track {
    /// Begins a stage.
    pub(crate) fn begin(&mut self, room: usize) {
        self.stages.push(Vec::with_capacity(room));
    }

    /// Notes a moment of the stage begun last; `start_s` is when that stage began.
    pub(super) fn note(&mut self, stepper: &Stepper<'_>, ends: &Ends, start_s: f64, time: f64) {
        if let Some(rows) = self.stages.last_mut() {
            rows.push(row(stepper, ends, start_s, time));
        }
    }

    /// Notes the profile at the end of a stage.
    pub(super) fn note_profile(&mut self, stepper: &Stepper<'_>) {
        self.profiles.push(stepper.values.temperature.clone());
    }

    /// As traces.
    pub(crate) fn history(&self) -> History {
        let trace = |number: usize| {
            let rows = self.stages.iter().flatten();
            Trace::new(
                rows.map(|row| Sample {
                    time_s: row.time_s,
                    value: row.value[number],
                    slope_per_s: row.slope[number],
                })
                .collect(),
            )
        };
        History {
            first: trace(0),
            middle: trace(1),
            last: trace(2),
            mean: trace(3),
            air: trace(4),
            heat: trace(5),
        }
    }
}

fn row(stepper: &Stepper<'_>, ends: &Ends, start_s: f64, time: f64) -> Row {
    let mesh = stepper.mesh;
    let values = &stepper.values;
    let last = mesh.len() - 1;
    let rate = |node: usize| values.slope[node] * stepper.rate(ends, node);
    let (before, share) = mesh.middle;
    let between = |a: f64, b: f64| a + share * (b - a);
    let middle = between(values.temperature[before], values.temperature[before + 1]);
    let middle_rate = between(rate(before), rate(before + 1));
    let heat: f64 = stepper.heat.iter().sum();
    let flow = stepper.flow_in(ends);
    let (mean, mean_slope, _) = mesh.whole.look(heat, &mut 0);
    // The half of a slab has its last face where its first is.
    let outer = if mesh.copies > 1.0 { 0 } else { last };
    let (outer_t, outer_rate) = (values.temperature[outer], rate(outer));
    let end = usize::from(outer != 0);
    let (air, air_rate) = air(stepper, ends, end, time, (outer_t, outer_rate));
    Row {
        time_s: start_s + time,
        value: [
            values.temperature[0],
            middle,
            outer_t,
            mean,
            air,
            mesh.copies * stepper.books.into,
        ],
        slope: [
            rate(0),
            middle_rate,
            outer_rate,
            mean_slope * flow,
            air_rate,
            mesh.copies * flow,
        ],
    }
}

/// Air at an end and its change; the face itself where none meets it.
fn air(stepper: &Stepper<'_>, ends: &Ends, end: usize, time: f64, face: (f64, f64)) -> (f64, f64) {
    if let Some(air) = stepper.air() {
        return (air, stepper.air_rate(ends));
    }
    let at = |share: f64| match ends.at(share, None)[end] {
        Meets::Open { air, .. } => Some(air),
        Meets::Held(temperature) => Some(temperature),
        Meets::Nothing => None,
    };
    let share = time / ends.lasts_s;
    match (at(share), at(0.0), at(1.0)) {
        (Some(now), Some(from), Some(to)) => (now, (to - from) / ends.lasts_s),
        _ => face,
    }
}

/// A profile over the whole depth of the piece; halves of slabs are mirrored.
pub(super) fn profile(time_s: f64, depth: &[f64], temperatures: &[f64], half: bool) -> Profile {
    let mut whole: Vec<(f64, f64)> = depth
        .iter()
        .copied()
        .zip(temperatures.iter().copied())
        .collect();
    if half && let Some(&(middle, _)) = whole.last() {
        let back: Vec<(f64, f64)> = whole[..whole.len() - 1]
            .iter()
            .rev()
            .map(|&(d, t)| (2.0 * middle - d, t))
            .collect();
        whole.extend(back);
    }
    Profile {
        time_s,
        temperatures: whole,
    }
}
