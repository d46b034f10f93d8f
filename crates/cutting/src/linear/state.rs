//! Which columns are basic, their values and the duals; the loop that brings a basis to the optimum.

use effort::Meter;

use super::columns::Columns;
use super::inverse::Inverse;
use super::{FEASIBLE, Outcome, PIVOT, Row, Sense, dual, primal};

/// After so many pivots the inverse is made afresh, whatever the residual.
const PIVOTS_BEFORE_AFRESH: usize = 400;
/// A residual above this says that the inverse has drifted.
const DRIFT: f64 = 1e-8;
/// So often a solve may be sent back by the residual before it gives up.
const TRIES: usize = 6;

/// A variable: the column of the user, or the logical of a row (`a·x + logical = right`).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Member {
    Column(usize),
    Logical(usize),
}

/// Where a variable stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Place {
    Basic(usize),
    Lower,
    Upper,
}

/// The basis and what follows from it.
#[derive(Clone, Debug, Default)]
pub(crate) struct State {
    pub(crate) inverse: Inverse,
    /// The variable at each position of the basis.
    pub(crate) head: Vec<Member>,
    /// Values of the basic variables, by position.
    pub(crate) basic: Vec<f64>,
    column_places: Vec<Place>,
    logical_places: Vec<Place>,
    pub(crate) duals: Vec<f64>,
    /// Pivots since the inverse was made.
    pivots: usize,
}

/// The data of the programme, passed around together.
#[derive(Clone, Copy)]
pub(crate) struct Data<'a> {
    pub(crate) rows: &'a [Row],
    pub(crate) columns: &'a Columns,
    /// How far a reduced cost may be wrong in sign.
    pub(crate) dual_slack: f64,
}

impl Data<'_> {
    pub(crate) fn bounds(&self, member: Member) -> (f64, f64) {
        match member {
            Member::Column(column) => self.columns.bounds(column),
            Member::Logical(row) => match self.rows[row].sense {
                Sense::AtLeast => (f64::NEG_INFINITY, 0.0),
                Sense::Equal => (0.0, 0.0),
                Sense::AtMost => (0.0, f64::INFINITY),
            },
        }
    }

    pub(crate) fn cost(&self, member: Member) -> f64 {
        match member {
            Member::Column(column) => self.columns.cost(column),
            Member::Logical(_) => 0.0,
        }
    }

    /// The scalar product of a variable's coefficients with one number per row.
    pub(crate) fn dot(&self, member: Member, by_row: &[f64]) -> f64 {
        match member {
            Member::Column(column) => self.columns.dot(column, by_row),
            Member::Logical(row) => by_row[row],
        }
    }

    /// All variables.
    pub(crate) fn members(&self) -> impl Iterator<Item = Member> + use<> {
        let columns = (0..self.columns.len()).map(Member::Column);
        columns.chain((0..self.rows.len()).map(Member::Logical))
    }
}

impl State {
    /// Every row's logical is basic.
    pub(crate) fn of_logicals(rows: usize) -> Self {
        Self {
            inverse: Inverse::identity(rows),
            head: (0..rows).map(Member::Logical).collect(),
            basic: vec![0.0; rows],
            logical_places: (0..rows).map(Place::Basic).collect(),
            duals: vec![0.0; rows],
            ..Self::default()
        }
    }

    pub(crate) fn duals(&self) -> &[f64] {
        &self.duals
    }

    pub(crate) fn place(&self, member: Member) -> Place {
        match member {
            Member::Column(column) => self.column_places[column],
            Member::Logical(row) => self.logical_places[row],
        }
    }

    pub(crate) fn column_places(&self) -> &[Place] {
        &self.column_places
    }

    pub(crate) fn logical_places(&self) -> &[Place] {
        &self.logical_places
    }

    pub(crate) fn set_place(&mut self, member: Member, place: Place) {
        match member {
            Member::Column(column) => self.column_places[column] = place,
            Member::Logical(row) => self.logical_places[row] = place,
        }
    }

    pub(crate) fn value(&self, columns: &Columns, column: usize) -> f64 {
        let (lower, upper) = columns.bounds(column);
        match self.column_places[column] {
            Place::Basic(position) => self.basic[position],
            Place::Lower => lower,
            Place::Upper => upper,
        }
    }

    pub(crate) fn column_added(&mut self) {
        self.column_places.push(Place::Lower);
    }

    /// A column's bounds have moved: an infinite upper bound holds nothing.
    pub(crate) fn moved(&mut self, column: usize, upper: f64) {
        if self.column_places[column] == Place::Upper && upper.is_infinite() {
            self.column_places[column] = Place::Lower;
        }
    }

    /// The new row's logical joins the basis.
    pub(crate) fn row_added(&mut self, entries: &[(usize, f64)]) {
        let mut on_basis = vec![0.0; self.head.len()];
        for &(column, value) in entries {
            if let Place::Basic(position) = self.column_places[column] {
                on_basis[position] = value;
            }
        }
        self.inverse.grow(&on_basis);
        self.logical_places.push(Place::Basic(self.head.len()));
        self.head
            .push(Member::Logical(self.logical_places.len() - 1));
        self.basic.push(0.0);
        self.duals.push(0.0);
    }

    /// The last row's logical is made basic and leaves together with the row.
    pub(crate) fn drop_last_row(&mut self, columns: &Columns) {
        let row = self.logical_places.len() - 1;
        let logical = Member::Logical(row);
        let position = match self.place(logical) {
            Place::Basic(position) => position,
            Place::Lower | Place::Upper => self.force_in(logical, columns),
        };
        self.inverse.shrink(position);
        self.head.remove(position);
        self.basic.remove(position);
        for at in position..self.head.len() {
            self.set_place(self.head[at], Place::Basic(at));
        }
        self.logical_places.pop();
        self.duals.pop();
    }

    /// Brings a variable into the basis at its largest pivot, whatever that does to the values.
    fn force_in(&mut self, member: Member, columns: &Columns) -> usize {
        let alpha = self.image(member, columns);
        let position = (0..alpha.len())
            .max_by(|&a, &b| alpha[a].abs().total_cmp(&alpha[b].abs()))
            .expect("a basis with a row has a position");
        self.exchange(position, member, &alpha, Place::Lower);
        position
    }

    /// A variable's coefficients seen through the inverse.
    pub(crate) fn image(&self, member: Member, columns: &Columns) -> Vec<f64> {
        let mut alpha = vec![0.0; self.head.len()];
        match member {
            Member::Logical(row) => self.inverse.add_column_to(row, 1.0, &mut alpha),
            Member::Column(column) => {
                for (row, value) in columns.entries(column) {
                    self.inverse.add_column_to(row, value, &mut alpha);
                }
            }
        }
        alpha
    }

    /// `member` takes the place in the basis; whoever stood there goes to `leaves_to`.
    pub(crate) fn exchange(
        &mut self,
        position: usize,
        member: Member,
        alpha: &[f64],
        leaves_to: Place,
    ) {
        self.inverse.pivot(position, alpha);
        self.set_place(self.head[position], leaves_to);
        self.head[position] = member;
        self.set_place(member, Place::Basic(position));
        self.pivots += 1;
    }

    /// Values of the basic variables from the right sides and the variables at their bounds.
    pub(crate) fn recompute_values(&mut self, data: Data<'_>) {
        let mut right: Vec<f64> = data.rows.iter().map(|row| row.right).collect();
        for column in 0..data.columns.len() {
            let (lower, upper) = data.columns.bounds(column);
            let value = match self.column_places[column] {
                Place::Basic(_) => continue,
                Place::Lower => lower,
                Place::Upper => upper,
            };
            if value != 0.0 {
                for (row, coefficient) in data.columns.entries(column) {
                    right[row] -= coefficient * value;
                }
            }
        }
        self.basic = vec![0.0; self.head.len()];
        for (k, &b) in right.iter().enumerate() {
            self.inverse.add_column_to(k, b, &mut self.basic);
        }
    }

    /// Duals of the true costs.
    pub(crate) fn recompute_duals(&mut self, data: Data<'_>) {
        let costs: Vec<f64> = self.head.iter().map(|&m| data.cost(m)).collect();
        self.duals = self.inverse.weigh(&costs);
    }

    /// Largest error of the equations `a·x + logical = right`, and of basic columns' reduced costs.
    fn drift(&self, data: Data<'_>) -> f64 {
        let mut left: Vec<f64> = data.rows.iter().map(|row| -row.right).collect();
        for column in 0..data.columns.len() {
            let value = self.value(data.columns, column);
            if value != 0.0 {
                for (row, coefficient) in data.columns.entries(column) {
                    left[row] += coefficient * value;
                }
            }
        }
        for (position, &member) in self.head.iter().enumerate() {
            if let Member::Logical(row) = member {
                left[row] += self.basic[position];
            }
        }
        let values = left.iter().fold(0.0_f64, |most, e| most.max(e.abs()));
        let duals = self.head.iter().fold(0.0_f64, |most, &m| {
            most.max((data.cost(m) - data.dot(m, &self.duals)).abs())
        });
        values.max(duals * FEASIBLE / data.dual_slack)
    }

    /// Makes the inverse afresh, sparsest columns first; a dependent column gives way to a logical.
    pub(crate) fn refactor(&mut self, columns: &Columns) {
        let size = self.head.len();
        let mut order = self.head.clone();
        order.sort_by_key(|&member| match member {
            Member::Logical(_) => 0,
            Member::Column(column) => 1 + columns.count(column),
        });
        self.inverse = Inverse::identity(size);
        self.head = (0..size).map(Member::Logical).collect();
        let mut free = vec![true; size];
        for member in order {
            if let Member::Logical(row) = member {
                free[row] = false;
            } else {
                self.refactor_column(member, columns, &mut free);
            }
        }
        for position in 0..size {
            self.set_place(self.head[position], Place::Basic(position));
        }
        self.pivots = 0;
    }

    fn refactor_column(&mut self, member: Member, columns: &Columns, free: &mut [bool]) {
        let alpha = self.image(member, columns);
        let best = (0..free.len())
            .filter(|&position| free[position])
            .max_by(|&a, &b| alpha[a].abs().total_cmp(&alpha[b].abs()));
        match best {
            Some(position) if alpha[position].abs() > PIVOT => {
                free[position] = false;
                self.set_place(self.head[position], Place::Lower);
                self.inverse.pivot(position, &alpha);
                self.head[position] = member;
            }
            _ => self.set_place(member, Place::Lower),
        }
    }

    /// Non-basic variables stand at a bound that is there.
    fn settle(&mut self, data: Data<'_>) {
        for member in data.members() {
            let (lower, upper) = data.bounds(member);
            match self.place(member) {
                Place::Lower if lower.is_infinite() => self.set_place(member, Place::Upper),
                Place::Upper if upper.is_infinite() => self.set_place(member, Place::Lower),
                _ => {}
            }
        }
    }

    /// Whether all basic values are within their bounds.
    pub(crate) fn feasible(&self, data: Data<'_>) -> bool {
        self.head.iter().zip(&self.basic).all(|(&member, &value)| {
            let (lower, upper) = data.bounds(member);
            value >= lower - FEASIBLE && value <= upper + FEASIBLE
        })
    }

    /// Whether a non-basic variable could lower the cost, by its reduced cost.
    pub(crate) fn improves(&self, data: Data<'_>, member: Member, reduced: f64) -> bool {
        let (lower, upper) = data.bounds(member);
        match self.place(member) {
            Place::Basic(_) => false,
            Place::Lower => reduced < -data.dual_slack && lower < upper,
            Place::Upper => reduced > data.dual_slack && lower < upper,
        }
    }

    /// Whether no non-basic variable could lower the cost.
    fn dual_feasible(&self, data: Data<'_>) -> bool {
        data.members().all(|member| {
            matches!(self.place(member), Place::Basic(_))
                || !self.improves(
                    data,
                    member,
                    data.cost(member) - data.dot(member, &self.duals),
                )
        })
    }
}

/// Brings the state to the optimum of the rows and columns.
pub(crate) fn solve(
    rows: &[Row],
    columns: &Columns,
    state: &mut State,
    meter: &mut Meter<'_>,
) -> Outcome {
    let data = Data {
        rows,
        columns,
        dual_slack: FEASIBLE * columns.cost_scale(),
    };
    for _ in 0..TRIES {
        if state.pivots > PIVOTS_BEFORE_AFRESH.max(rows.len()) {
            state.refactor(columns);
        }
        state.settle(data);
        state.recompute_values(data);
        state.recompute_duals(data);
        if state.drift(data) > DRIFT {
            state.refactor(columns);
            continue;
        }
        let outcome = once(data, state, meter);
        state.recompute_values(data);
        state.recompute_duals(data);
        let trusted = state.drift(data) <= DRIFT;
        match outcome {
            Outcome::Stopped => return Outcome::Stopped,
            Outcome::Optimal if trusted && state.feasible(data) && state.dual_feasible(data) => {
                return Outcome::Optimal;
            }
            Outcome::Infeasible | Outcome::Unbounded if trusted && state.pivots == 0 => {
                return outcome;
            }
            // A verdict is only believed on a fresh inverse.
            _ => state.refactor(columns),
        }
    }
    Outcome::Stopped
}

/// One run of the simplex method from a state with fresh values and duals.
fn once(data: Data<'_>, state: &mut State, meter: &mut Meter<'_>) -> Outcome {
    if !state.feasible(data) && state.dual_feasible(data) {
        match dual::run(data, state, meter) {
            dual::End::Outcome(outcome) => return outcome,
            dual::End::Lost => {
                state.recompute_values(data);
                state.recompute_duals(data);
            }
        }
    }
    primal::run(data, state, meter)
}
