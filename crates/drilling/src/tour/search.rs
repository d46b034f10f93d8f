//! The search: a greedy tour, improved by chains of exchanges, then kicked and improved again for as long as may be.
//!
//! A kick is a double bridge (Martin, Otto & Felten 1991) over a short stretch: three neighbouring pieces in reversed
//! order, none of them turned, which no chain undoes easily. Only the nodes at the cuts are tried afterwards, and a
//! kick that made the tour longer is taken back turn by turn, so that one kick costs about the same in a
//! small tour and a large one (Applegate, Cook & Rohe 2003, "segment" kicks).

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
const PIECE_MAX: usize = 50;

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
        let lost = kick(self.nodes, &mut self.climb, &mut self.stream);
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
fn kick<M: Metric>(nodes: &Nodes<'_, M>, climb: &mut Climb<'_, '_, M>, stream: &mut Stream) -> f64 {
    let order = climb.round.order();
    let count = order.len();
    let piece_max = PIECE_MAX.min((count - 2) / 3).max(1) as u64;
    let mut place = stream.index(count as u64) as usize;
    let mut at = |step: usize| {
        place = (place + step) % count;
        order[place]
    };
    // From `before` on: the pieces a, b and c, each by its first and last node, then `after`.
    let before = at(0);
    let [a, b, c]: [[Node; 2]; 3] = std::array::from_fn(|_| {
        let more = stream.index(piece_max) as usize;
        [at(1), at(more)]
    });
    let after = at(1);
    let cost = |x: Node, y: Node| nodes.cost(x, y);
    let out = cost(before, a[0]) + cost(a[1], b[0]) + cost(b[1], c[0]) + cost(c[1], after);
    let put_in = cost(before, c[0]) + cost(c[1], b[0]) + cost(b[1], a[0]) + cost(a[1], after);
    climb.kick([before, after], [a, b, c]);
    put_in - out
}
