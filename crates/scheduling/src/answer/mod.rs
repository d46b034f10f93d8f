//! What a schedule says: figures with bounds, promises, what binds a late order, dispatch lists, a new plan after a
//! change, two plans compared.

mod plan;

pub use plan::{Figure, Plan};
