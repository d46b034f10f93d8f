//! Primal simplex: the sum of infeasibilities first, then the cost.

use effort::Meter;

use super::state::{Data, Member, Place, State};
use super::{FEASIBLE, Outcome, PIVOT};

/// So many pivots without a step, and the values that stand on their bounds are moved a little.
const STALL: usize = 20;
/// So often they are moved before Bland's rule takes over.
const MOVES: usize = 12;
/// How far they are moved at most.
const MOVE: f64 = 1e-5;

/// What ends the move of the entering variable.
enum Block {
    /// It reaches its own other bound.
    Flip,
    /// The basic variable at this position reaches a bound.
    Leaves(usize, Place),
}

pub(crate) fn run(data: Data<'_>, state: &mut State, meter: &mut Meter<'_>) -> Outcome {
    let (mut stalled, mut moves) = (0, 0);
    loop {
        if !meter.spend(1) {
            return Outcome::Stopped;
        }
        let first_phase = !state.feasible(data);
        if stalled > STALL && moves < MOVES {
            move_off_bounds(data, state, moves);
            moves += 1;
            stalled = 0;
        }
        let bland = moves == MOVES && stalled > STALL + data.rows.len();
        let priced = if first_phase {
            let duals = infeasibility_duals(data, state);
            entering(data, state, &duals, true, bland)
        } else {
            entering(data, state, &state.duals, false, bland)
        };
        let Some((member, reduced)) = priced else {
            return if first_phase {
                Outcome::Infeasible
            } else {
                Outcome::Optimal
            };
        };
        let alpha = state.image(member, data.columns);
        let up = reduced < 0.0;
        let Some((step, block)) = ratio_test(data, state, member, up, &alpha, bland) else {
            return Outcome::Unbounded;
        };
        let true_reduced = if first_phase {
            data.cost(member) - data.dot(member, &state.duals)
        } else {
            reduced
        };
        advance(data, state, member, up, step, &block, &alpha, true_reduced);
        stalled = if step > FEASIBLE { 0 } else { stalled + 1 };
    }
}

/// Breaks ties: basic values on a bound go inside by small unlike amounts, as if the right sides were a
/// little different. The true values are made anew when the run has ended; if they are then out
/// of bounds, the duals are still good and the dual method goes on from there.
fn move_off_bounds(data: Data<'_>, state: &mut State, salt: usize) {
    for position in 0..state.head.len() {
        let (lower, upper) = data.bounds(state.head[position]);
        if upper - lower < 3.0 * MOVE {
            continue;
        }
        // A fixed sequence without pattern: multiples of the golden section (Knuth, vol. 3, 6.4).
        let turn = (position + 1 + 7919 * salt) as f64 * 0.618_033_988_749_895;
        let amount = MOVE * (0.5 + 0.5 * turn.fract());
        let value = &mut state.basic[position];
        if (*value - lower).abs() <= FEASIBLE {
            *value = lower + amount;
        } else if (*value - upper).abs() <= FEASIBLE {
            *value = upper - amount;
        }
    }
}

/// Duals of the sum of infeasibilities: one for each basic variable above, minus one for each below.
fn infeasibility_duals(data: Data<'_>, state: &State) -> Vec<f64> {
    let weights: Vec<f64> = state
        .head
        .iter()
        .zip(&state.basic)
        .map(|(&member, &value)| {
            let (lower, upper) = data.bounds(member);
            if value < lower - FEASIBLE {
                -1.0
            } else if value > upper + FEASIBLE {
                1.0
            } else {
                0.0
            }
        })
        .collect();
    state.inverse.weigh(&weights)
}

/// The variable with the largest promise (or, by Bland's rule, the first with any) and its reduced cost.
fn entering(
    data: Data<'_>,
    state: &State,
    duals: &[f64],
    first_phase: bool,
    bland: bool,
) -> Option<(Member, f64)> {
    let slack = if first_phase {
        FEASIBLE
    } else {
        data.dual_slack
    };
    let mut best: Option<(Member, f64)> = None;
    let mut most = slack;
    let mut offer = |member: Member, place: Place, reduced: f64| {
        let promise = if place == Place::Lower {
            -reduced
        } else {
            reduced
        };
        if promise > most {
            let (lower, upper) = data.bounds(member);
            if lower < upper {
                best = Some((member, reduced));
                most = if bland { f64::INFINITY } else { promise };
            }
        }
    };
    for (column, &place) in state.column_places().iter().enumerate() {
        if !matches!(place, Place::Basic(_)) {
            let cost = if first_phase {
                0.0
            } else {
                data.columns.cost(column)
            };
            let reduced = cost - data.columns.dot(column, duals);
            offer(Member::Column(column), place, reduced);
        }
    }
    for (row, &place) in state.logical_places().iter().enumerate() {
        if !matches!(place, Place::Basic(_)) {
            offer(Member::Logical(row), place, -duals[row]);
        }
    }
    best
}

/// How far a basic variable lets the entering one go, and where it ends; `rate` is its change per unit.
fn room(value: f64, (lower, upper): (f64, f64), rate: f64) -> Option<(f64, Place)> {
    if rate < 0.0 {
        // An infeasible variable above its upper bound may come down to it; one below is free to sink
        // (that is priced, not forbidden).
        if value > upper + FEASIBLE {
            Some(((value - upper) / -rate, Place::Upper))
        } else if lower.is_finite() && value >= lower - FEASIBLE {
            Some(((value - lower) / -rate, Place::Lower))
        } else {
            None
        }
    } else if value < lower - FEASIBLE {
        Some(((lower - value) / rate, Place::Lower))
    } else if upper.is_finite() && value <= upper + FEASIBLE {
        Some(((upper - value) / rate, Place::Upper))
    } else {
        None
    }
}

/// The step to the first block: among those within the tolerance, the one with the largest pivot.
fn ratio_test(
    data: Data<'_>,
    state: &State,
    member: Member,
    up: bool,
    alpha: &[f64],
    bland: bool,
) -> Option<(f64, Block)> {
    let sign = if up { -1.0 } else { 1.0 };
    let blocks: Vec<(usize, f64, f64, Place)> = alpha
        .iter()
        .enumerate()
        .filter(|(_, a)| a.abs() > PIVOT)
        .filter_map(|(i, &a)| {
            let (length, place) = room(state.basic[i], data.bounds(state.head[i]), sign * a)?;
            Some((i, a.abs(), length.max(0.0), place))
        })
        .collect();
    let tolerance = if bland { 0.0 } else { FEASIBLE };
    let limit = blocks
        .iter()
        .map(|&(_, a, length, _)| length + tolerance / a)
        .fold(f64::INFINITY, f64::min);
    let chosen = blocks
        .iter()
        .filter(|&&(_, _, length, _)| length <= limit)
        .max_by(|x, y| x.1.total_cmp(&y.1).then(y.0.cmp(&x.0)));
    let (lower, upper) = data.bounds(member);
    let own = upper - lower;
    match chosen {
        Some(&(position, _, length, place)) if length <= own => {
            Some((length, Block::Leaves(position, place)))
        }
        _ if own.is_finite() => Some((own, Block::Flip)),
        _ => None,
    }
}

#[expect(
    clippy::too_many_arguments,
    reason = "one pivot's facts, used once and together"
)]
fn advance(
    data: Data<'_>,
    state: &mut State,
    member: Member,
    up: bool,
    step: f64,
    block: &Block,
    alpha: &[f64],
    reduced: f64,
) {
    let change = if up { step } else { -step };
    for (value, a) in state.basic.iter_mut().zip(alpha) {
        *value -= change * a;
    }
    match *block {
        Block::Flip => {
            let other = if up { Place::Upper } else { Place::Lower };
            state.set_place(member, other);
        }
        Block::Leaves(position, place) => {
            let (lower, upper) = data.bounds(member);
            let start = match state.place(member) {
                Place::Upper => upper,
                _ => lower,
            };
            state.exchange(position, member, alpha, place);
            state.basic[position] = start + change;
            let row = state.inverse.row(position);
            for (dual, r) in state.duals.iter_mut().zip(&row) {
                *dual += reduced * r;
            }
        }
    }
}
