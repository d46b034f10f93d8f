//! One step of time of a block, and the books of what passed.
//!
//! Heat that passed the faces, the air of a chamber and what that spent are unknowns like the heat of the
//! nodes, so that they are stepped by the very same weights and the books close to rounding.

use crate::block::chebyshev::{MOST_PARTS, Part, longest_step, parts, parts_needed};
use crate::block::flow::Flow;
use crate::run::Spent;
use crate::solve::chamber::Plant;
use crate::solve::faces::{Ends, Meets};
use crate::solve::track::Row;

/// Unknowns after those of the nodes: heat through the faces into this part of the piece, heat in the air of the
/// chamber above that at the beginning, what it put in, took out and lost, J.
const THROUGH: usize = 0;
const AIR: usize = 1;
const HEATING: usize = 2;
const COOLING: usize = 3;
const LOST: usize = 4;
const EXTRAS: usize = 5;

/// A moment of a stage.
#[derive(Clone, Copy, Debug)]
pub(super) struct Moment<'a> {
    pub(super) ends: &'a Ends,
    /// s from the beginning of the stage.
    pub(super) time: f64,
}

/// What is the same all the way.
#[derive(Clone, Debug)]
struct Setting<'a> {
    flow: Flow<'a>,
    plant: Option<Plant>,
    /// Heat drawn from the chamber for each heat into this part of a piece.
    draws: f64,
}

/// A block on its way.
#[derive(Clone, Debug)]
pub(super) struct Stepper<'a> {
    setting: Setting<'a>,
    /// Heat contents of the nodes above that at the beginning, J/m³, and the extras.
    now: Vec<f64>,
    rate: Vec<f64>,
    /// The last two parts of a step, and the rate of the last.
    rooms: [Vec<f64>; 2],
    part_rate: Vec<f64>,
    /// Heat that it took to bring faces to what they are held at, J.
    held: f64,
    /// Heat that passed the faces, in and out counted as positive, J.
    passed: f64,
    /// Greatest change with heat content of temperature, K m³/J, and of the conductivity integral, m²/s.
    steepest: [f64; 2],
    hottest_k: f64,
    /// How many of this part the piece has.
    times: f64,
}

impl Setting<'_> {
    /// The chamber's air, K.
    fn air(&self, state: &[f64]) -> Option<f64> {
        let heat = state[self.flow.nodes() + AIR];
        self.plant
            .as_ref()
            .map(|plant| plant.starts_k() + heat / plant.stores())
    }

    fn meets(&self, moment: &Moment<'_>, state: &[f64]) -> Meets {
        let share = moment.time / moment.ends.lasts_s;
        moment.ends.at(share, self.air(state))[1]
    }

    /// Brings faces to what they are held at, then writes the rate of everything. Tells what the former took, J.
    fn rate(&mut self, moment: &Moment<'_>, state: &mut [f64], rate: &mut [f64]) -> f64 {
        let nodes = self.flow.nodes();
        let meets = self.meets(moment, state);
        let took = match meets {
            Meets::Held(temperature) => self.flow.hold(temperature, &mut state[..nodes]),
            Meets::Nothing | Meets::Open { .. } => 0.0,
        };
        let through = self.flow.gains(&state[..nodes], &meets, &mut rate[..nodes]);
        rate[nodes + THROUGH] = through;
        if let (Some(plant), Some(air), Some(aim)) =
            (&self.plant, self.air(state), moment.ends.air())
        {
            let supply = plant.supply(air, aim.at(moment.time / moment.ends.lasts_s));
            rate[nodes + HEATING] = supply.heats;
            rate[nodes + COOLING] = supply.cools;
            rate[nodes + LOST] = supply.loses;
            rate[nodes + AIR] = supply.heats - supply.cools - supply.loses - self.draws * through;
        }
        took
    }
}

impl<'a> Stepper<'a> {
    /// `times` of this part make the piece, whose temperatures stay in `range_k`.
    pub(super) fn new(flow: Flow<'a>, plant: Option<Plant>, times: f64, range_k: [f64; 2]) -> Self {
        let room = || vec![0.0; flow.nodes() + EXTRAS];
        Self {
            now: room(),
            rate: room(),
            rooms: [room(), room()],
            part_rate: room(),
            held: 0.0,
            passed: 0.0,
            steepest: flow.curve.steepest(range_k),
            hottest_k: range_k[1],
            times,
            setting: Setting {
                draws: plant.as_ref().map_or(0.0, |plant| times * plant.times(1)),
                flow,
                plant,
            },
        }
    }

    fn nodes(&self) -> usize {
        self.setting.flow.nodes()
    }

    /// Begins a stage.
    pub(super) fn enter(&mut self, ends: &Ends) {
        let moment = Moment { ends, time: 0.0 };
        let took = self.setting.rate(&moment, &mut self.now, &mut self.rate);
        self.held += took;
        self.passed += took.abs();
    }

    /// Nothing in the stage dies out faster than this, per s (Gershgorin's circles).
    fn fastest(&self, ends: &Ends) -> f64 {
        let flow = &self.setting.flow;
        let [temperature, integral] = self.steepest;
        let mut fastest = 2.0 * flow.most[0] * integral;
        let hottest = self.hottest_k;
        let passes = ends.at(0.0, Some(hottest))[1].passes(hottest);
        fastest += flow.most[1] * temperature * passes.by_face.abs();
        if let (Some(plant), Some(aim)) = (&self.setting.plant, ends.air()) {
            let aim = aim.at(0.0);
            // Just below the aim the heaters answer to the air, just above the coolers.
            let answers = [-1e-9, 1e-9].map(|off| plant.supply_by_air(aim + off, aim).net().abs());
            let drawn = self.setting.draws * flow.area * passes.by_air;
            fastest += (answers[0].max(answers[1]) + drawn) / plant.stores();
        }
        fastest
    }

    /// The longest step that the method can take in a stage, s.
    pub(super) fn longest(&self, ends: &Ends) -> f64 {
        longest_step(MOST_PARTS, self.fastest(ends))
    }

    /// A step that takes the fewest parts, s.
    pub(super) fn shortest(&self, ends: &Ends) -> f64 {
        longest_step(2, self.fastest(ends))
    }

    /// Tries a step and takes it if its error is at most that allowed. Gives error over error allowed, as a fault
    /// where nothing has changed.
    pub(super) fn step(
        &mut self,
        moment: &Moment<'_>,
        length: f64,
        allowed_k: f64,
    ) -> Result<f64, f64> {
        let count = parts_needed(length, self.fastest(moment.ends));
        self.parts(moment, length, &parts(count));
        let end = Moment {
            time: moment.time + length,
            ..*moment
        };
        let [_, reached] = &mut self.rooms;
        self.setting.rate(&end, reached, &mut self.part_rate);
        let ratio = self.error_k(&end, length) / allowed_k;
        if ratio <= 1.0 {
            self.keep(&end);
            return Ok(ratio);
        }
        Err(if ratio.is_finite() { ratio } else { f64::MAX })
    }

    /// The parts of a step; what they come to is left in the second room.
    fn parts(&mut self, moment: &Moment<'_>, length: f64, parts: &[Part]) {
        self.rooms[0].copy_from_slice(&self.now);
        self.rooms[1].copy_from_slice(&self.now);
        let mut reached = 0.0;
        for (j, part) in parts.iter().enumerate() {
            if j > 0 {
                let there = Moment {
                    time: moment.time + reached * length,
                    ..*moment
                };
                let [_, last] = &mut self.rooms;
                self.setting.rate(&there, last, &mut self.part_rate);
            }
            self.advance(part, length);
            reached = part.reaches;
        }
    }

    /// The next part from the last two, over the one before the last.
    fn advance(&mut self, part: &Part, length: f64) {
        let [before, last] = &mut self.rooms;
        let (rate, first_rate) = (part.rate * length, part.first_rate * length);
        let known = self.now.iter().zip(&self.rate).zip(&self.part_rate);
        for ((b, l), ((y, f0), f)) in before.iter_mut().zip(last.iter()).zip(known) {
            *b = part.start * y + part.last * l + part.before * *b + rate * f + first_rate * f0;
        }
        self.rooms.swap(0, 1);
    }

    /// The estimated error of a step, K: of all nodes by volume, as if each had its smallest heat capacity, in the
    /// middle, at the corner and in the chamber's air, whichever is greatest.
    fn error_k(&mut self, end: &Moment<'_>, length: f64) -> f64 {
        let nodes = self.nodes();
        let flow = &mut self.setting.flow;
        let [_, reached] = &self.rooms;
        let (now, rate, part_rate) = (&self.now, &self.rate, &self.part_rate);
        let error =
            |i: usize| 0.8 * (now[i] - reached[i]) + 0.4 * length * (rate[i] + part_rate[i]);
        let held = matches!(end.ends.at(1.0, Some(1.0))[1], Meets::Held(_));
        let mut squares = 0.0;
        for (i, volume) in flow.volumes.iter().enumerate() {
            let off = error(i);
            squares += volume * off * off;
        }
        if held {
            // Their heat is known, and the estimate knows only rates.
            squares -= flow.on_rims(|i, volume| volume * error(i) * error(i));
        }
        let mut worst = libm::sqrt(squares.max(0.0) / flow.volume) * self.steepest[0];
        let corner = nodes - 1;
        for i in if held { [0, 0] } else { [0, corner] } {
            let (_, slope) = flow.look(i, reached[i]);
            worst = worst.max((error(i) * slope).abs());
        }
        if let Some(plant) = &self.setting.plant {
            worst = worst.max((error(nodes + AIR) / plant.stores()).abs());
        }
        worst
    }

    fn keep(&mut self, end: &Moment<'_>) {
        let nodes = self.nodes();
        let [_, reached] = &mut self.rooms;
        let through = reached[nodes + THROUGH] - self.now[nodes + THROUGH];
        self.passed += through.abs();
        if let Meets::Held(temperature) = self.setting.meets(end, reached) {
            let took = self.setting.flow.hold(temperature, &mut self.now[..nodes]);
            self.held += took;
            self.passed += took.abs();
        }
        core::mem::swap(&mut self.now, reached);
        core::mem::swap(&mut self.rate, &mut self.part_rate);
    }

    /// All traces now; `start_s` is when the stage began.
    pub(super) fn row(&mut self, moment: &Moment<'_>, start_s: f64) -> Row {
        let nodes = self.nodes();
        let ends = moment.ends;
        let into = self.now[nodes + THROUGH] + self.held;
        let mut flow_in = self.rate[nodes + THROUGH];
        let flow = &mut self.setting.flow;
        let (middle, by_middle) = flow.look(0, self.now[0]);
        let (corner, by_corner) = flow.look(nodes - 1, self.now[nodes - 1]);
        let mut corner_rate = by_corner * self.rate[nodes - 1];
        if matches!(self.setting.meets(moment, &self.now), Meets::Held(_)) {
            corner_rate = ends.held_rate(1);
            if by_corner > 0.0 {
                flow_in += self.setting.flow.rim_volume * corner_rate / by_corner;
            }
        }
        let volume = self.setting.flow.volume;
        let (mean, by_mean, _) = self.setting.flow.curve.look(into / volume, &mut 0);
        let (air, air_rate) = self.air(moment, (corner, corner_rate));
        let middle_rate = by_middle * self.rate[0];
        Row {
            time_s: start_s + moment.time,
            value: [middle, middle, corner, mean, air, self.times * into],
            slope: [
                middle_rate,
                middle_rate,
                corner_rate,
                by_mean * flow_in / volume,
                air_rate,
                self.times * flow_in,
            ],
        }
    }

    /// Air and its change; the corner itself where none meets it.
    fn air(&self, moment: &Moment<'_>, corner: (f64, f64)) -> (f64, f64) {
        if let (Some(air), Some(plant)) = (self.setting.air(&self.now), &self.setting.plant) {
            return (air, self.rate[self.nodes() + AIR] / plant.stores());
        }
        match moment.ends.air() {
            Some(ramp) => {
                let lasts = moment.ends.lasts_s;
                (
                    ramp.at(moment.time / lasts),
                    (ramp.to_k - ramp.from_k) / lasts,
                )
            }
            None => corner,
        }
    }

    /// Temperatures from the middle along the first axis, K.
    pub(super) fn profile(&mut self) -> Vec<f64> {
        let nodes = self.nodes();
        self.setting.flow.profile(&self.now[..nodes])
    }

    /// Heat that the books do not explain, as a share of all that passed: of piece or chamber.
    pub(super) fn unexplained(&self) -> f64 {
        let nodes = self.nodes();
        let extra = |which: usize| self.now[nodes + which];
        let stored: f64 = self
            .now
            .iter()
            .zip(&self.setting.flow.volumes)
            .map(|(heat, volume)| heat * volume)
            .sum();
        let off = (stored - extra(THROUGH) - self.held).abs();
        let share = if self.passed > 0.0 {
            off / self.passed
        } else {
            off
        };
        let drawn = self.setting.draws * extra(THROUGH);
        let all = extra(HEATING) + extra(COOLING) + extra(LOST).abs() + drawn.abs();
        let air_off = extra(AIR) - (extra(HEATING) - extra(COOLING) - extra(LOST) - drawn);
        if all > 0.0 {
            share.max(air_off.abs() / all)
        } else {
            share
        }
    }

    /// What the chamber spent.
    pub(super) fn spent(&self) -> Option<Spent> {
        let nodes = self.nodes();
        self.setting.plant.as_ref().map(|_| Spent {
            heating_j: self.now[nodes + HEATING],
            cooling_j: self.now[nodes + COOLING],
            lost_j: self.now[nodes + LOST],
        })
    }
}
