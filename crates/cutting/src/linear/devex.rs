//! Which variable enters: reduced costs kept from pivot to pivot, weighed by reference weights.
//!
//! Devex pricing (Harris 1973; Forrest & Goldfarb 1992): a reduced cost counts by its square over a weight that
//! grows with how far the variable drags the others along. Without it, the nearly alike columns of a cutting
//! problem are walked through in thousands of tiny steps.

use super::state::{Data, Member, Place, State};

/// Reduced costs and weights, columns first, then the logicals.
pub(crate) struct Devex {
    reduced: Vec<f64>,
    weights: Vec<f64>,
    /// Whether the reduced costs come straight from the duals.
    fresh: bool,
}

impl Devex {
    pub(crate) fn new(data: Data<'_>, state: &State) -> Self {
        let count = data.columns.len() + data.rows.len();
        let mut prices = Self {
            reduced: Vec::with_capacity(count),
            weights: vec![1.0; count],
            fresh: true,
        };
        prices.refresh(data, state);
        prices
    }

    fn refresh(&mut self, data: Data<'_>, state: &State) {
        let members = data.members();
        self.reduced.clear();
        self.reduced
            .extend(members.map(|m| data.cost(m) - data.dot(m, &state.duals)));
        self.fresh = true;
    }

    /// The variable to enter and its reduced cost; that there is none is only said of fresh numbers.
    pub(crate) fn choose_checked(
        &mut self,
        data: Data<'_>,
        state: &mut State,
        bland: bool,
    ) -> Option<(Member, f64)> {
        let chosen = self.choose(data, state, bland);
        if chosen.is_some() || self.fresh {
            return chosen;
        }
        state.recompute_duals(data);
        self.refresh(data, state);
        self.choose(data, state, bland)
    }

    fn choose(&self, data: Data<'_>, state: &State, bland: bool) -> Option<(Member, f64)> {
        let columns = data.columns.len();
        let (column_places, logical_places) = (state.column_places(), state.logical_places());
        let places = column_places.iter().chain(logical_places);
        let mut best = None;
        let mut most = 0.0;
        for (index, &place) in places.enumerate() {
            let reduced = self.reduced[index];
            let promise = match place {
                Place::Basic(_) => continue,
                Place::Lower => -reduced,
                Place::Upper => reduced,
            };
            if promise <= data.dual_slack || promise * promise <= most * self.weights[index] {
                continue;
            }
            let member = if index < columns {
                Member::Column(index)
            } else {
                Member::Logical(index - columns)
            };
            let (lower, upper) = data.bounds(member);
            if lower < upper {
                best = Some((member, reduced));
                most = promise * promise / self.weights[index];
                if bland {
                    break;
                }
            }
        }
        best
    }

    /// Brings reduced costs and weights over the pivot that is about to be made.
    pub(crate) fn pivot(
        &mut self,
        data: Data<'_>,
        state: &State,
        position: usize,
        enters: Member,
        pivot: f64,
    ) {
        let index_of = |member: Member| match member {
            Member::Column(column) => column,
            Member::Logical(row) => data.columns.len() + row,
        };
        let row = state.inverse.row(position);
        let entering = index_of(enters);
        let leaving = index_of(state.head[position]);
        let step = self.reduced[entering] / pivot;
        let reference = self.weights[entering] / (pivot * pivot);
        let mut update = |index: usize, alpha: f64| {
            if alpha != 0.0 {
                self.reduced[index] -= step * alpha;
                let weight = &mut self.weights[index];
                *weight = weight.max(alpha * alpha * reference);
            }
        };
        for (column, place) in state.column_places().iter().enumerate() {
            if !matches!(place, Place::Basic(_)) {
                update(column, data.columns.dot(column, &row));
            }
        }
        for (logical, place) in state.logical_places().iter().enumerate() {
            if !matches!(place, Place::Basic(_)) {
                update(data.columns.len() + logical, row[logical]);
            }
        }
        self.reduced[leaving] = -step;
        self.weights[leaving] = reference.max(1.0);
        self.reduced[entering] = 0.0;
        self.fresh = false;
    }
}
