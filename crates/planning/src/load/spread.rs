//! Sharing work among stations that can all do it, so that the highest utilisation is least.
//!
//! A linear program: each operation's work is dealt in shares x ≥ 0 that add up to 1; for every
//! station, hours wanted ≤ z × hours available; z is minimised. Shares may split an operation.
//! Solved by the primal simplex method (Dantzig 1963) on a dense tableau with the least-index rule
//! of Bland (1977), which cannot cycle. All work at the first stations is the starting point, so
//! no first phase is needed: z = z₀ − d, and d is maximised.

/// Where some work may go.
#[derive(Clone, Debug)]
pub(super) struct Choice {
    /// Stations with the hours that all of it would take there; the usual one first.
    pub at: Vec<(usize, f64)>,
}

/// Work that is not free to move, and capacity, by station; any one unit of time.
#[derive(Clone, Debug)]
pub(super) struct Problem {
    /// Hours of work that stays.
    pub fixed: Vec<f64>,
    /// Hours available.
    pub available: Vec<f64>,
    /// Work that may move.
    pub choices: Vec<Choice>,
}

/// Largest tableau that is solved, in cells; beyond, all work stays at its usual station.
const MOST_CELLS: usize = 4_000_000;

/// Shares of each choice, in the order of its stations. `None` when the problem is too large.
pub(super) fn least_highest(problem: &Problem) -> Option<Vec<Vec<f64>>> {
    let mut tableau = Tableau::of(problem)?;
    tableau.maximise();
    Some(tableau.shares(problem))
}

/// The highest utilisation with these shares.
pub(super) fn highest(problem: &Problem, shares: &[Vec<f64>]) -> f64 {
    let mut hours = problem.fixed.clone();
    for (choice, shares) in problem.choices.iter().zip(shares) {
        for (&(station, wanted), share) in choice.at.iter().zip(shares) {
            hours[station] += wanted * share;
        }
    }
    let open = hours
        .iter()
        .zip(&problem.available)
        .filter(|(_, available)| **available > 0.0);
    open.map(|(hours, available)| hours / available)
        .fold(0.0, f64::max)
}

struct Tableau {
    /// Rows of coefficients with the right-hand side last; the objective is the last row.
    rows: Vec<Vec<f64>>,
    /// The variable that each row determines.
    basis: Vec<usize>,
    /// First column of each choice's movable shares.
    first: Vec<usize>,
}

impl Tableau {
    fn of(problem: &Problem) -> Option<Self> {
        let stations = stations_in_play(problem);
        let mut first = Vec::new();
        let mut free = 0;
        for choice in &problem.choices {
            first.push(free);
            free += choice.at.len() - 1;
        }
        // Columns: movable shares, d, one slack for each row, right-hand side.
        let constraints = problem.choices.len() + stations.len();
        let columns = free + 1 + constraints + 1;
        if constraints.saturating_mul(columns) > MOST_CELLS {
            return None;
        }
        let mut rows = vec![vec![0.0; columns]; constraints + 1];
        for (number, choice) in problem.choices.iter().enumerate() {
            let columns = first[number]..first[number] + choice.at.len() - 1;
            columns.for_each(|column| rows[number][column] = 1.0);
            let last = rows[number].len() - 1;
            rows[number][last] = 1.0;
        }
        let start = usual_hours(problem);
        let highest = stations
            .iter()
            .map(|&s| start[s] / problem.available[s])
            .fold(0.0, f64::max);
        for (number, &station) in stations.iter().enumerate() {
            let row = &mut rows[problem.choices.len() + number];
            station_row(problem, &first, station, row);
            row[free] = problem.available[station];
            let last = row.len() - 1;
            row[last] = (problem.available[station] * highest - start[station]).max(0.0);
        }
        for (number, row) in rows.iter_mut().take(constraints).enumerate() {
            row[free + 1 + number] = 1.0;
        }
        rows[constraints][free] = -1.0;
        let basis = (free + 1..free + 1 + constraints).collect();
        Some(Self { rows, basis, first })
    }

    fn maximise(&mut self) {
        let objective = self.rows.len() - 1;
        let width = self.rows[0].len() - 1;
        // Bland's rule ends; the cap only guards against rounding.
        for _ in 0..50 * (width + objective) {
            let Some(entering) = (0..width).find(|&c| self.rows[objective][c] < -1e-11) else {
                return;
            };
            let Some(leaving) = self.leaving(entering) else {
                return;
            };
            self.pivot(leaving, entering);
        }
    }

    fn leaving(&self, entering: usize) -> Option<usize> {
        let ratio = |row: &Vec<f64>| row[row.len() - 1] / row[entering];
        let rows = (0..self.basis.len()).filter(|&row| self.rows[row][entering] > 1e-11);
        rows.min_by(|&a, &b| {
            let order = ratio(&self.rows[a]).total_cmp(&ratio(&self.rows[b]));
            order.then(self.basis[a].cmp(&self.basis[b]))
        })
    }

    fn pivot(&mut self, leaving: usize, entering: usize) {
        let by = self.rows[leaving][entering];
        self.rows[leaving].iter_mut().for_each(|cell| *cell /= by);
        let row = self.rows[leaving].clone();
        for (number, other) in self.rows.iter_mut().enumerate() {
            let factor = other[entering];
            if number != leaving && factor != 0.0 {
                other
                    .iter_mut()
                    .zip(&row)
                    .for_each(|(cell, pivot)| *cell -= factor * pivot);
            }
        }
        self.basis[leaving] = entering;
    }

    fn shares(&self, problem: &Problem) -> Vec<Vec<f64>> {
        let value = |column: usize| {
            let row = self.basis.iter().position(|&basic| basic == column);
            row.map_or(0.0, |row| {
                self.rows[row][self.rows[row].len() - 1].clamp(0.0, 1.0)
            })
        };
        let of = |(choice, &first): (&Choice, &usize)| {
            let moved: Vec<f64> = (first..first + choice.at.len() - 1).map(value).collect();
            let rest = (1.0 - moved.iter().sum::<f64>()).max(0.0);
            std::iter::once(rest).chain(moved).collect()
        };
        problem.choices.iter().zip(&self.first).map(of).collect()
    }
}

/// Stations that some choice names and that are open at all.
fn stations_in_play(problem: &Problem) -> Vec<usize> {
    let mut named: Vec<usize> = problem
        .choices
        .iter()
        .flat_map(|choice| choice.at.iter().map(|at| at.0))
        .collect();
    named.sort_unstable();
    named.dedup();
    named.retain(|&station| problem.available[station] > 0.0);
    named
}

/// Hours of each station with everything at its usual place.
fn usual_hours(problem: &Problem) -> Vec<f64> {
    let mut hours = problem.fixed.clone();
    for choice in &problem.choices {
        let (station, wanted) = choice.at[0];
        hours[station] += wanted;
    }
    hours
}

fn station_row(problem: &Problem, first: &[usize], station: usize, row: &mut [f64]) {
    for (choice, &first) in problem.choices.iter().zip(first) {
        let usual = if choice.at[0].0 == station {
            choice.at[0].1
        } else {
            0.0
        };
        for (offset, &(other, wanted)) in choice.at[1..].iter().enumerate() {
            row[first + offset] = if other == station { wanted } else { 0.0 } - usual;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_job_fills_the_freer_saw() {
        // 30 h that take 30 h at either saw; 10 h fixed at the first, none at the second; 40 h each.
        // Level when 10 + 30x = 30(1 − x): x = 1/3, both at 20 h of 40 = 50 %.
        let problem = Problem {
            fixed: vec![10.0, 0.0],
            available: vec![40.0, 40.0],
            choices: vec![Choice {
                at: vec![(0, 30.0), (1, 30.0)],
            }],
        };
        let shares = least_highest(&problem).unwrap();
        assert!((shares[0][0] - 1.0 / 3.0).abs() < 1e-9);
        assert!((highest(&problem, &shares) - 0.5).abs() < 1e-9);
    }

    #[test]
    fn each_goes_where_it_is_quick() {
        // Two jobs, each 10 h at its own machine and 20 h at the other: levelling one at a time from
        // a bad start would leave both split; the best has each at its quick machine, 10 h of 40.
        let problem = Problem {
            fixed: vec![0.0, 0.0],
            available: vec![40.0, 40.0],
            choices: vec![
                Choice {
                    at: vec![(1, 20.0), (0, 10.0)],
                },
                Choice {
                    at: vec![(0, 20.0), (1, 10.0)],
                },
            ],
        };
        let shares = least_highest(&problem).unwrap();
        assert!((highest(&problem, &shares) - 0.25).abs() < 1e-9);
    }

    proptest::proptest! {
        #[test]
        fn never_worse_than_the_usual_place_nor_than_a_grid(
            a in 1.0..50.0f64, b in 1.0..50.0f64, c in 1.0..50.0f64, d in 1.0..50.0f64,
            f in 0.0..20.0f64, g in 0.0..20.0f64,
        ) {
            let problem = Problem {
                fixed: vec![f, g],
                available: vec![40.0, 30.0],
                choices: vec![
                    Choice { at: vec![(0, a), (1, b)] },
                    Choice { at: vec![(1, c), (0, d)] },
                ],
            };
            let shares = least_highest(&problem).unwrap();
            let best = highest(&problem, &shares);
            for i in 0..=20 {
                for j in 0..=20 {
                    let (x, y) = (f64::from(i) / 20.0, f64::from(j) / 20.0);
                    let grid = highest(&problem, &[vec![x, 1.0 - x], vec![y, 1.0 - y]]);
                    proptest::prop_assert!(best <= grid + 1e-9);
                }
            }
        }
    }
}
