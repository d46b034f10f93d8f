//! Flows of heat, and the books kept with the very flows that moved the heat.

use crate::solve::chamber::Supply;
use crate::solve::faces::{Ends, Meets};
use crate::solve::step::{Moment, Stepper, WEIGHTS};

/// Flows of heat at one moment, W.
#[derive(Clone, Debug)]
pub(super) struct Flows {
    /// From a node to the next.
    pub(super) inner: Vec<f64>,
    /// Into the piece at its ends, where these are not held at a temperature.
    pub(super) ends: [f64; 2],
    /// Power and losses of the chamber.
    pub(super) supply: Supply,
}

impl Flows {
    pub(super) fn new(nodes: usize) -> Self {
        Self {
            inner: vec![0.0; nodes - 1],
            ends: [0.0; 2],
            supply: Supply::default(),
        }
    }

    /// Into a node.
    pub(super) fn net(&self, node: usize) -> f64 {
        let before = if node == 0 {
            self.ends[0]
        } else {
            self.inner[node - 1]
        };
        let after = self.inner.get(node).copied().unwrap_or(-self.ends[1]);
        before - after
    }

    /// Into the air of the chamber.
    pub(super) fn net_air(&self, times: f64) -> f64 {
        self.supply.heats
            - self.supply.cools
            - self.supply.loses
            - times * (self.ends[0] + self.ends[1])
    }
}

/// What passed since the beginning, J.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Books {
    /// Into the cut piece.
    pub(super) into: f64,
    /// In and out, both counted as positive.
    pub(super) passed: f64,
    /// Out of the chamber's air into pieces.
    pub(super) drawn: f64,
    pub(super) heating: f64,
    pub(super) cooling: f64,
    pub(super) lost: f64,
    /// All that passed the chamber's air, counted as positive.
    pub(super) chamber_passed: f64,
}

impl Stepper<'_> {
    /// Books the heat of a step.
    pub(super) fn book(&mut self, moment: &Moment<'_>, length: f64) {
        let last = self.last();
        let times = self.times(moment.ends);
        let held = moment
            .ends
            .at(1.0, Some(1.0))
            .map(|m| matches!(m, Meets::Held(_)));
        for (end, node) in [(0, 0), (1, last)] {
            if held[end] {
                // What a held face takes: what its node gained and what that passed on.
                let mut heat = self.trial[node] - self.heat[node];
                for (flows, weight) in self.flows.iter().zip(WEIGHTS) {
                    heat -= weight * length * flows.net(node);
                }
                self.books.into += heat;
                self.books.passed += heat.abs();
            }
        }
        for (flows, weight) in self.flows.iter().zip(WEIGHTS) {
            let share = weight * length;
            let books = &mut self.books;
            let [first, second] = flows.ends;
            books.into += share * (first + second);
            books.passed += share * (first.abs() + second.abs());
            if self.plant.is_some() {
                let Supply {
                    heats,
                    cools,
                    loses,
                } = flows.supply;
                let drawn = times * (first + second);
                books.drawn += share * drawn;
                books.heating += share * heats;
                books.cooling += share * cools;
                books.lost += share * loses;
                books.chamber_passed +=
                    share * (heats.abs() + cools.abs() + loses.abs() + drawn.abs());
            }
        }
    }

    /// Heat into the cut piece now, W.
    pub(super) fn flow_in(&self, ends: &Ends) -> f64 {
        let mut all = 0.0;
        for (end, meets) in ends.at(0.0, Some(1.0)).into_iter().enumerate() {
            let node = self.node_of(end);
            all += if matches!(meets, Meets::Held(_)) {
                self.rate(ends, node) - self.flows[2].net(node)
            } else {
                self.flows[2].ends[end]
            };
        }
        all
    }

    /// Heat into a node now, W.
    pub(super) fn rate(&self, ends: &Ends, node: usize) -> f64 {
        let end = usize::from(node != 0);
        let held = (node == 0 || node == self.last())
            && matches!(ends.at(0.0, Some(1.0))[end], Meets::Held(_));
        if held {
            let slope = self.values.slope[node];
            if slope > 0.0 {
                ends.held_rate(end) / slope
            } else {
                0.0
            }
        } else {
            self.flows[2].net(node)
        }
    }

    /// How fast the chamber's air warms now, K/s.
    pub(super) fn air_rate(&self, ends: &Ends) -> f64 {
        self.plant.as_ref().map_or(0.0, |plant| {
            self.flows[2].net_air(plant.times(ends.open())) / plant.stores()
        })
    }

    /// The fastest change of any temperature now, K/s.
    pub(super) fn fastest(&self, ends: &Ends) -> f64 {
        (0..self.heat.len()).fold(self.air_rate(ends).abs(), |most, i| {
            let slope = self.values.slope[i].max(self.overall[i]);
            most.max((self.rate(ends, i) * slope).abs())
        })
    }

    /// The heat that the books do not explain, as a share of what passed.
    pub(super) fn unexplained(&self) -> f64 {
        let share = |left: f64, passed: f64| {
            if passed > 0.0 {
                left.abs() / passed
            } else {
                0.0
            }
        };
        let held: f64 = self.heat.iter().sum();
        let piece = share(held - self.books.into, self.books.passed);
        let Books {
            heating,
            cooling,
            lost,
            drawn,
            chamber_passed,
            ..
        } = self.books;
        let air = self.air_heat - (heating - cooling - lost - drawn);
        piece.max(share(air, chamber_passed))
    }
}
