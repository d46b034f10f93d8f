//! What a schedule says: figures with bounds, promises, what binds a late order, dispatch lists, a new plan after a
//! change, two plans compared.

mod again;
mod compare;
mod lists;
mod plan;
mod reason;

pub use again::{Again, again};
pub use compare::{Difference, Move, Shift, compare};
pub use lists::{Duty, Order, Task, Wait, dispatch, duties, orders, tasks, waits};
pub use plan::{Figure, Plan};
pub use reason::{Cause, Delay, Late, Step, late, reasons};
