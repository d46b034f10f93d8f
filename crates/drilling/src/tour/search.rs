//! The search: a greedy tour, improved by chains of exchanges, then kicked and improved again for as long as may be.
//!
//! A kick is a double bridge (Martin, Otto & Felten 1991): three neighbouring pieces in reversed order, none of them
//! turned, which no chain undoes easily. Its four cuts lie near each other, either on the tour or in the plane (the
//! "segment" and "random walk" kicks of Applegate, Cook & Rohe 2003). Only the nodes at the cuts are tried afterwards,
//! and a kick that lost too much is taken back turn by turn, so that a kick costs about the same in a small tour
//! and a large one.
//!
//! How much a kick may lose is drawn, and shrinks during a round of cooling as in annealing (Kirkpatrick, Gelatt &
//! Vecchi 1983; with local search, Martin & Otto 1996): otherwise the search ends in the first tour that no single
//! kick improves. The best tour seen is the answer.

use chance::Stream;
use effort::{Effort, Meter};

use super::climb::Climb;
use super::near::Near;
use super::nodes::{Node, Nodes};
use super::{Metric, Question, Setting, Tour, start};

/// Neighbours of each node: nearest of all, and nearest in each quadrant.
const NEAREST: usize = 5;
const QUADRANT: usize = 2;

/// Longest piece of a kick.
const PIECE_MAX: usize = 100;

/// Steps of a walk that looks for a cut.
const WALK: usize = 50;

/// Kicks for each node in the first round of cooling; each round is twice as long as the one before, so that the
/// search is good whenever it is stopped.
const FIRST_ROUND: u64 = 5;

/// At the start of a round, the loss that one kick in e may have, as a share of an average leg.
const WARMTH: f64 = 0.3;

/// The best tour found. There are enough nodes for a kick.
pub(super) fn search<M: Metric>(
    question: &Question<'_, M>,
    setting: Setting,
    effort: Effort<'_>,
) -> Tour {
    let nodes = Nodes::new(question);
    let near = Near::new(&nodes, NEAREST, QUADRANT);
    let first = start::greedy(&nodes);
    let start_length = question.length(&nodes.order(&first));
    let mut climb = Climb::new(&nodes, &near, first);
    let mut meter = effort.meter();
    climb.climb(&mut meter);
    let length = question.length(&nodes.order(climb.round.order()));
    let mut walk = Walk {
        best: climb.round.order().to_vec(),
        above_best: 0.0,
        leg: length / nodes.len() as f64,
        nodes: &nodes,
        near: &near,
        climb,
        stream: Stream::new(setting.seed, "tour"),
    };
    walk.rounds(
        setting.kicks_per_point.saturating_mul(nodes.len() as u64),
        &mut meter,
    );
    let order = nodes.order(&walk.best);
    Tour {
        length: question.length(&order),
        order,
        start_length,
        steps: meter.spent(),
        stopped: meter.over(),
    }
}

/// A walk from tour to tour, and the best seen on the way.
struct Walk<'w, 'q, M> {
    nodes: &'w Nodes<'q, M>,
    near: &'w Near,
    climb: Climb<'w, 'q, M>,
    stream: Stream,
    best: Vec<Node>,
    /// How much longer the tour is than the best.
    above_best: f64,
    /// Length of an average leg.
    leg: f64,
}

impl<M: Metric> Walk<'_, '_, M> {
    /// Rounds of cooling, so many kicks in all.
    fn rounds(&mut self, mut kicks: u64, meter: &mut Meter<'_>) {
        let mut round = FIRST_ROUND * self.nodes.len() as u64;
        while kicks > 0 && !meter.over() {
            let now = round.min(kicks);
            kicks -= now;
            for kick in 0..now {
                if meter.over() {
                    break;
                }
                let warmth = WARMTH * self.leg * (1.0 - kick as f64 / round as f64);
                self.kick_and_climb(warmth, meter);
            }
            round *= 2;
        }
    }

    /// One kick, and what can be made of it; taken back if the loss is too great.
    fn kick_and_climb(&mut self, warmth: f64, meter: &mut Meter<'_>) {
        self.climb.round.settle();
        let lost = kick(self.nodes, self.near, &mut self.climb, &mut self.stream);
        let lost = lost - self.climb.climb(meter);
        self.climb.forget();
        let least = self.climb.least();
        let allowed = least - warmth * libm::log(self.stream.uniform());
        if lost > least && (lost > allowed || meter.over()) {
            self.climb.round.take_back(0);
            return;
        }
        self.above_best += lost;
        if self.above_best < -least {
            self.best.copy_from_slice(self.climb.round.order());
            self.above_best = 0.0;
        }
    }
}

/// A double bridge somewhere; by how much it made the tour longer.
fn kick<M: Metric>(
    nodes: &Nodes<'_, M>,
    near: &Near,
    climb: &mut Climb<'_, '_, M>,
    stream: &mut Stream,
) -> f64 {
    let cuts = if stream.index(2) == 0 {
        short_cuts(climb.round.order().len(), stream)
    } else {
        close_cuts(near, climb, stream)
    };
    let order = climb.round.order();
    // The pieces between the cuts, each by its first and last node, and the nodes before and after them.
    let after = |cut: usize| order[(cuts[cut] + 1) % order.len()];
    let [a, b, c] = [0, 1, 2].map(|cut| [after(cut), order[cuts[cut + 1]]]);
    let outside = [order[cuts[0]], after(3)];
    let cost = |x: Node, y: Node| nodes.cost(x, y);
    let out = cost(outside[0], a[0]) + cost(a[1], b[0]) + cost(b[1], c[0]) + cost(c[1], outside[1]);
    let put_in =
        cost(outside[0], c[0]) + cost(c[1], b[0]) + cost(b[1], a[0]) + cost(a[1], outside[1]);
    climb.kick(outside, [a, b, c]);
    put_in - out
}

/// Four cuts that lie near each other on the tour, as places of the array that each cut comes after.
fn short_cuts(count: usize, stream: &mut Stream) -> [usize; 4] {
    let piece_max = PIECE_MAX.min((count - 2) / 3).max(1) as u64;
    let mut place = stream.index(count as u64) as usize;
    [0; 4].map(|_: usize| {
        let here = place;
        place = (place + 1 + stream.index(piece_max) as usize) % count;
        here
    })
}

/// Four cuts that lie near each other in the plane: short walks from neighbour to neighbour, all from one node.
fn close_cuts<M: Metric>(near: &Near, climb: &Climb<'_, '_, M>, stream: &mut Stream) -> [usize; 4] {
    let count = climb.round.order().len();
    let from = stream.index(count as u64) as Node;
    let mut cuts = [0; 4].map(|_: usize| {
        let mut node = from;
        for _ in 0..WALK {
            let neighbours = near.of(node);
            if !neighbours.is_empty() {
                node = neighbours[stream.index(neighbours.len() as u64) as usize].node;
            }
        }
        climb.round.place(node)
    });
    cuts.sort_unstable();
    if cuts.windows(2).any(|pair| pair[0] == pair[1]) {
        return short_cuts(count, stream);
    }
    // The longest piece stays outside.
    let length = |cut: usize| (cuts[(cut + 1) % 4] + count - cuts[cut]) % count;
    if let Some(longest) = (0..4).max_by_key(|&cut| length(cut)) {
        cuts.rotate_left((longest + 1) % 4);
    }
    cuts
}
