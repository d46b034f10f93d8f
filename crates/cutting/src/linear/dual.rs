//! Dual simplex: from a basis that is dual feasible, after rows or bounds have moved.

use effort::Meter;

use super::state::{Data, Member, Place, State};
use super::{FEASIBLE, Outcome, PIVOT};

/// So many pivots per row without an end, and the primal method takes over.
const PIVOTS_PER_ROW: usize = 8;

/// How the dual method ended.
pub(crate) enum End {
    Outcome(Outcome),
    /// It made no headway; the primal method should go on from here.
    Lost,
}

/// A non-basic variable with what the leaving row says about it.
struct Candidate {
    member: Member,
    alpha: f64,
    reduced: f64,
}

pub(crate) fn run(data: Data<'_>, state: &mut State, meter: &mut Meter<'_>) -> End {
    for _ in 0..PIVOTS_PER_ROW * data.rows.len() + 200 {
        if !meter.spend(1) {
            return End::Outcome(Outcome::Stopped);
        }
        let Some((position, target, goes_to)) = leaving(data, state) else {
            return End::Outcome(Outcome::Optimal);
        };
        let row = state.inverse.row(position);
        let rises = goes_to == Place::Lower;
        let candidates = candidates(data, state, &row, rises);
        let Some(chosen) = choose(data, &candidates) else {
            return End::Outcome(Outcome::Infeasible);
        };
        let alpha = state.image(chosen.member, data.columns);
        if (alpha[position] - chosen.alpha).abs() > 1e-6 * (1.0 + chosen.alpha.abs()) {
            return End::Lost;
        }
        advance(data, state, position, target, goes_to, chosen, &alpha);
    }
    End::Lost
}

/// The basic variable farthest outside its bounds, the bound it goes to and that bound's name.
fn leaving(data: Data<'_>, state: &State) -> Option<(usize, f64, Place)> {
    let mut worst = FEASIBLE;
    let mut found = None;
    for (position, (&member, &value)) in state.head.iter().zip(&state.basic).enumerate() {
        let (lower, upper) = data.bounds(member);
        if lower - value > worst {
            worst = lower - value;
            found = Some((position, lower, Place::Lower));
        } else if value - upper > worst {
            worst = value - upper;
            found = Some((position, upper, Place::Upper));
        }
    }
    found
}

/// Variables that can carry the leaving one toward its bound.
fn candidates(data: Data<'_>, state: &State, row: &[f64], rises: bool) -> Vec<Candidate> {
    let mut found = Vec::new();
    for member in data.members() {
        let place = state.place(member);
        if matches!(place, Place::Basic(_)) {
            continue;
        }
        let alpha = data.dot(member, row);
        if alpha.abs() <= PIVOT {
            continue;
        }
        let (lower, upper) = data.bounds(member);
        // The basic variable changes by -alpha per unit of the entering one, which goes up from its lower
        // bound and down from its upper.
        let helps = if place == Place::Lower {
            (alpha < 0.0) == rises
        } else {
            (alpha > 0.0) == rises
        };
        if helps && lower < upper {
            let reduced = data.cost(member) - data.dot(member, &state.duals);
            found.push(Candidate {
                member,
                alpha,
                reduced,
            });
        }
    }
    found
}

/// Smallest ratio of reduced cost to pivot; among those within the tolerance the largest pivot.
fn choose<'a>(data: Data<'_>, candidates: &'a [Candidate]) -> Option<&'a Candidate> {
    let limit = candidates
        .iter()
        .map(|c| (c.reduced.abs() + data.dual_slack) / c.alpha.abs())
        .fold(f64::INFINITY, f64::min);
    candidates
        .iter()
        .filter(|c| c.reduced.abs() / c.alpha.abs() <= limit)
        .max_by(|x, y| x.alpha.abs().total_cmp(&y.alpha.abs()))
}

fn advance(
    data: Data<'_>,
    state: &mut State,
    position: usize,
    target: f64,
    goes_to: Place,
    chosen: &Candidate,
    alpha: &[f64],
) {
    let (lower, upper) = data.bounds(chosen.member);
    let start = if state.place(chosen.member) == Place::Lower {
        lower
    } else {
        upper
    };
    let change = (state.basic[position] - target) / alpha[position];
    for (value, a) in state.basic.iter_mut().zip(alpha) {
        *value -= change * a;
    }
    state.exchange(position, chosen.member, alpha, goes_to);
    state.basic[position] = start + change;
    let row = state.inverse.row(position);
    for (dual, r) in state.duals.iter_mut().zip(&row) {
        *dual += chosen.reduced * r;
    }
}
