//! Lin & Kernighan 1973: chains of exchanged legs, kept when they make the tour shorter.
//!
//! A link of a chain takes two or three legs out and puts as many in, so that a round tour results; the first
//! link starts at a node t₁ and its next, t₂, and each further one starts from t₁ and the node that the link before
//! left at t₁'s side. All links with a positive gain so far are tried on paper, with two positions compared instead of
//! stretches turned (Helsgaun 2000, section 4.3, with three legs as the basis move); the first that shortens the tour
//! ends the chain; if there is none, the one with the greatest gain so far is carried out and the chain goes on from
//! there. A leg put in by a chain is not taken out by it again, which ends every chain.
//!
//! Only nodes whose surroundings changed are tried (Bentley's don't-look bits, kept as a queue).

use std::collections::VecDeque;

use effort::Meter;

use super::Metric;
use super::near::Near;
use super::nodes::{Node, Nodes};
use super::round::Round;

/// Links in a chain, each of two or three legs: chains of up to eleven legs.
const LINKS_MAX: usize = 5;

/// Neighbours tried for the second leg put in.
const SECOND_LEGS_MAX: usize = 6;

/// A gain below this share of the longest leg is rounding.
const ROUNDING: f64 = 1e-11;

/// Stretches to turn, one after the other, each named by its first and last node at that moment.
#[derive(Clone, Copy)]
enum Exchange {
    /// t₁t₂ and t₃t₄ out, t₂t₃ in.
    Two { t2: Node, t4: Node },
    /// Two exchanges of two, one after the other.
    TwoTwo { t2: Node, t4: Node, t6: Node },
    /// The stretches t₂…t₆ and t₅…t₃ turned where they are.
    Turned {
        t2: Node,
        t6: Node,
        t5: Node,
        t3: Node,
    },
    /// The stretches t₂…t₅ and t₆…t₃ change places.
    Swapped {
        t2: Node,
        t5: Node,
        t6: Node,
        t3: Node,
    },
}

/// One link of a chain.
#[derive(Clone, Copy)]
struct Link {
    exchange: Exchange,
    /// Nodes whose legs it changes; without t₁. With two legs exchanged the last two repeat.
    touched: [Node; 5],
    /// Legs out less legs in, without the one that closes the tour.
    gain: f64,
    /// The node now beside t₁.
    last: Node,
}

/// What trying the links from one place came to.
enum Found {
    /// A link that makes the tour shorter by so much.
    Shorter(Link, f64),
    /// The link to go on with.
    Promising(Link),
    Nothing,
}

/// A tour being improved.
pub(super) struct Climb<'c, 'q, M> {
    nodes: &'c Nodes<'q, M>,
    near: &'c Near,
    pub(super) round: Round,
    queue: VecDeque<Node>,
    queued: Vec<bool>,
    put_in: Vec<(Node, Node)>,
    least: f64,
}

impl<'c, 'q, M: Metric> Climb<'c, 'q, M> {
    /// Starts from a tour, all of it untried.
    pub(super) fn new(nodes: &'c Nodes<'q, M>, near: &'c Near, order: Vec<Node>) -> Self {
        let count = order.len();
        Self {
            nodes,
            near,
            queue: order.iter().copied().collect(),
            queued: vec![true; count],
            round: Round::new(order),
            put_in: Vec::new(),
            least: ROUNDING * nodes.longest(),
        }
    }

    /// A gain or loss below this is rounding.
    pub(super) fn least(&self) -> f64 {
        self.least
    }

    /// Has a node tried (again).
    pub(super) fn touch(&mut self, node: Node) {
        if !std::mem::replace(&mut self.queued[node as usize], true) {
            self.queue.push_back(node);
        }
    }

    /// Tries all touched nodes until nothing gets better, and says how much shorter the tour became.
    pub(super) fn climb(&mut self, meter: &mut Meter<'_>) -> f64 {
        let mut gained = 0.0;
        while let Some(&node) = self.queue.front() {
            if !meter.spend(1) {
                break;
            }
            self.queue.pop_front();
            self.queued[node as usize] = false;
            while let Some(gain) = self.improve(node) {
                gained += gain;
            }
        }
        gained
    }

    /// Drops what is still to be tried.
    pub(super) fn forget(&mut self) {
        for node in self.queue.drain(..) {
            self.queued[node as usize] = false;
        }
    }

    /// Three neighbouring stretches in reversed order, in the direction of the array, each read as before.
    pub(super) fn kick(&mut self, outside: [Node; 2], pieces: [[Node; 2]; 3]) {
        self.round.read_forwards();
        self.round.turn(pieces[0][0], pieces[2][1]);
        for [first, last] in pieces {
            self.round.turn(last, first);
        }
        for node in outside.into_iter().chain(pieces.into_iter().flatten()) {
            self.touch(node);
        }
    }

    /// A chain from a node in either direction that makes the tour shorter, carried out; its gain.
    fn improve(&mut self, t1: Node) -> Option<f64> {
        let gain = self.chain(t1);
        if gain.is_some() {
            return gain;
        }
        self.round.mirror();
        self.chain(t1)
    }

    /// A chain that begins with the leg from t₁ to the next node.
    fn chain(&mut self, t1: Node) -> Option<f64> {
        let noted = self.round.noted();
        let mut t2 = self.round.next(t1);
        let mut gain = self.nodes.cost(t1, t2);
        self.put_in.clear();
        let mut touched: [[Node; 5]; LINKS_MAX] = [[t2; 5]; LINKS_MAX];
        for link in 0..LINKS_MAX {
            match self.links(t1, t2, gain) {
                Found::Shorter(found, gain) => {
                    self.carry_out(&found);
                    touched[link] = found.touched;
                    self.touch(t1);
                    self.touch(t2);
                    for &node in touched[..=link].iter().flatten() {
                        self.touch(node);
                    }
                    return Some(gain);
                }
                Found::Promising(found) if link + 1 < LINKS_MAX => {
                    self.carry_out(&found);
                    touched[link] = found.touched;
                    (t2, gain) = (found.last, found.gain);
                }
                Found::Promising(_) | Found::Nothing => break,
            }
        }
        self.round.take_back(noted);
        None
    }

    /// Tries all links from t₁ and t₂ = next(t₁), the leg between them being out; `gain` is that of the chain so far.
    fn links(&self, t1: Node, t2: Node, gain: f64) -> Found {
        let mut best = Best {
            link: None,
            gain: self.least,
        };
        for second in self.near.of(t2) {
            let (t3, gain) = (second.node, gain - second.cost);
            if gain <= self.least {
                break;
            }
            let (before, after) = (self.round.previous(t3), self.round.next(t3));
            if before == t2 || after == t2 {
                continue;
            }
            if !self.is_put_in(before, t3) {
                let found = self.links_by_two(t1, t2, t3, before, gain, &mut best);
                if let Some(found) = found {
                    return found;
                }
            }
            if t3 != t1 && !self.is_put_in(t3, after) {
                let found = self.links_by_three(t1, t2, t3, after, gain, &mut best);
                if let Some(found) = found {
                    return found;
                }
            }
        }
        best.link.map_or(Found::Nothing, Found::Promising)
    }

    /// t₄ before t₃: closing the tour is an exchange of two; a second one may follow.
    fn links_by_two(
        &self,
        t1: Node,
        t2: Node,
        t3: Node,
        t4: Node,
        gain: f64,
        best: &mut Best,
    ) -> Option<Found> {
        let gain = gain + self.nodes.cost(t3, t4);
        let closed = gain - self.nodes.cost(t4, t1);
        if closed > self.least {
            let link = Link {
                exchange: Exchange::Two { t2, t4 },
                touched: [t2, t3, t4, t4, t4],
                gain,
                last: t4,
            };
            return Some(Found::Shorter(link, closed));
        }
        for third in self.near.of(t4).iter().take(SECOND_LEGS_MAX) {
            let (t5, gain) = (third.node, gain - third.cost);
            if gain <= self.least {
                break;
            }
            // In the tour after the first exchange, t₂…t₄ is read the other way.
            let inside = self.round.between(t2, t5, t4);
            let t6 = if inside {
                self.round.next(t5)
            } else {
                self.round.previous(t5)
            };
            // Not the legs t₁t₄ and t₂t₃, which are there only since the first exchange, nor t₄'s own.
            if t5 == t1 || t5 == t3 || t6 == t4 || self.is_put_in(t5, t6) {
                continue;
            }
            let touched = [t2, t3, t4, t5, t6];
            let found = self.consider(t1, touched, gain, best, Exchange::TwoTwo { t2, t4, t6 });
            if found.is_some() {
                return found;
            }
        }
        None
    }

    /// t₄ after t₃: t₂…t₃ becomes a ring, which is cut open at t₅ and t₆ again.
    fn links_by_three(
        &self,
        t1: Node,
        t2: Node,
        t3: Node,
        t4: Node,
        gain: f64,
        best: &mut Best,
    ) -> Option<Found> {
        let gain = gain + self.nodes.cost(t3, t4);
        for third in self.near.of(t4).iter().take(SECOND_LEGS_MAX) {
            let (t5, gain) = (third.node, gain - third.cost);
            if gain <= self.least {
                break;
            }
            if t5 == t3 || !self.round.between(t2, t5, t3) {
                continue;
            }
            let t6 = self.round.next(t5);
            if !self.is_put_in(t5, t6) {
                let touched = [t2, t3, t4, t5, t6];
                let exchange = Exchange::Swapped { t2, t5, t6, t3 };
                let found = self.consider(t1, touched, gain, best, exchange);
                if found.is_some() {
                    return found;
                }
            }
            let t6 = self.round.previous(t5);
            if t5 != t2 && !self.is_put_in(t5, t6) {
                let touched = [t2, t3, t4, t5, t6];
                let exchange = Exchange::Turned { t2, t6, t5, t3 };
                let found = self.consider(t1, touched, gain, best, exchange);
                if found.is_some() {
                    return found;
                }
            }
        }
        None
    }

    /// The link that takes out the last two of the touched nodes' leg, if closing it makes the tour shorter; else it is
    /// remembered if it is the best so far.
    #[inline]
    fn consider(
        &self,
        t1: Node,
        touched: [Node; 5],
        gain: f64,
        best: &mut Best,
        exchange: Exchange,
    ) -> Option<Found> {
        let [_, _, _, t5, last] = touched;
        let gain = gain + self.nodes.cost(t5, last);
        let closed = gain - self.nodes.cost(last, t1);
        let link = Link {
            exchange,
            touched,
            gain,
            last,
        };
        if closed > self.least {
            return Some(Found::Shorter(link, closed));
        }
        if gain > best.gain {
            best.gain = gain;
            best.link = Some(link);
        }
        None
    }

    /// Whether the chain put this leg in.
    #[inline]
    fn is_put_in(&self, a: Node, b: Node) -> bool {
        self.put_in
            .iter()
            .any(|&leg| leg == (a, b) || leg == (b, a))
    }

    /// Turns the stretches of a link.
    fn carry_out(&mut self, link: &Link) {
        let [t2, t3, t4, t5, _] = link.touched;
        self.put_in.push((t2, t3));
        match link.exchange {
            Exchange::Two { t2, t4 } => self.round.turn(t2, t4),
            Exchange::TwoTwo { t2, t4, t6 } => {
                self.put_in.push((t4, t5));
                self.round.turn(t2, t4);
                self.round.turn(t4, t6);
            }
            Exchange::Turned { t2, t6, t5, t3 } => {
                self.put_in.push((t4, t5));
                self.round.turn(t2, t6);
                self.round.turn(t5, t3);
            }
            Exchange::Swapped { t2, t5, t6, t3 } => {
                self.put_in.push((t4, t5));
                self.swap([t2, t5], [t6, t3]);
            }
        }
    }

    /// Two neighbouring stretches change places. On a ring that is the same as either of them changing places with
    /// the rest; the two shortest of the three are turned.
    fn swap(&mut self, a: [Node; 2], b: [Node; 2]) {
        let rest = [self.round.next(b[1]), self.round.previous(a[0])];
        let [a_count, b_count] = [a, b].map(|[from, to]| self.round.count(from, to));
        let rest_count = self.round.order().len() as u32 - a_count - b_count;
        let (first, second) = if rest_count >= a_count.max(b_count) {
            (a, b)
        } else if a_count >= b_count {
            (b, rest)
        } else {
            (rest, a)
        };
        // Both together, then each alone: first…second becomes second…first, each in its own direction again.
        self.round.turn(first[0], second[1]);
        self.round.turn(second[1], second[0]);
        self.round.turn(first[1], first[0]);
    }
}

/// The link with the greatest gain so far.
struct Best {
    link: Option<Link>,
    gain: f64,
}
