//! Ways to choose what is taken out, each used the more the more it gained for its work (adaptive large-neighbourhood search,
//! Ropke & Pisinger 2006; here gains are held against operations placed).

use std::ops::Range;

use chance::Stream;

/// After so many steps, what was learned counts half.
const FORGET: u32 = 2_000;

/// What each way gained, and the operations it placed for that.
pub(super) struct Arms {
    gains: Vec<f64>,
    costs: Vec<f64>,
    steps: u32,
}

impl Arms {
    /// So many ways, all thought equal.
    pub(super) fn new(count: usize) -> Self {
        Self {
            gains: vec![1.0; count],
            costs: vec![100.0; count],
            steps: 0,
        }
    }

    /// Draws one of a range.
    pub(super) fn draw(&self, stream: &mut Stream, among: Range<usize>) -> usize {
        let rate = |at: usize| self.gains[at] / self.costs[at];
        let mut left = stream.uniform() * among.clone().map(rate).sum::<f64>();
        let last = among.end - 1;
        for at in among {
            left -= rate(at);
            if left <= 0.0 {
                return at;
            }
        }
        last
    }

    /// Notes what one gained.
    pub(super) fn learn(&mut self, arm: usize, gain: f64, cost: f64) {
        self.gains[arm] += gain;
        self.costs[arm] += cost;
        self.steps += 1;
        if self.steps == FORGET {
            self.steps = 0;
            for (gain, cost) in self.gains.iter_mut().zip(&mut self.costs) {
                *gain = 0.5 * *gain + 0.5;
                *cost = 0.5 * *cost + 50.0;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_gains_is_drawn_more_often() {
        let mut arms = Arms::new(3);
        for _ in 0..100 {
            arms.learn(0, 0.0, 10.0);
            arms.learn(1, 1.0, 10.0);
            arms.learn(2, 1.0, 100.0);
        }
        // Rates 1/1100, 101/1100, 101/10100: shares 0.9 %, 89 %, 10 %.
        let mut counts = [0; 3];
        let mut stream = Stream::new(1, "arms");
        for _ in 0..10_000 {
            counts[arms.draw(&mut stream, 0..3)] += 1;
        }
        assert!(counts[0] > 40 && counts[0] < 160, "{counts:?}");
        assert!(counts[1] > 8700 && counts[2] > 850, "{counts:?}");
    }
}
