//! Tests of the reader from outside: what the format means, every fault, whole works, and rough use.
//!
//! | file | what |
//! |---|---|
//! | `semantics` | what each number comes to, with the arithmetic beside it |
//! | `faults` | the corpus `tests/faults`: one tiny works for each code |
//! | `places` | where carets stand, what is suggested, all faults in one pass |
//! | `folder` | the works of `tests/goods`, the example works |
//! | `schema` | the JSON Schema that editors use |
//! | `rough` | damaged, odd and very large works |
//! | `shapes` | cutting, drilling and filling in base units |
//! | `warmth` | heat, salt, drying, moulding, solvent and measured loads in base units |
//! | `support` | works written as one text with expectations |

mod faults;
mod folder;
mod places;
mod rough;
mod schema;
mod semantics;
mod shapes;
mod support;
mod warmth;
