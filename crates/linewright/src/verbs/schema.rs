//! `schema`: the format as a JSON Schema.

use crate::arguments::{Schema, SchemaOf};
use crate::{Ended, Trouble, report};

pub(crate) fn run(call: &Schema) -> Result<Ended, Trouble> {
    let schema = match call.of {
        SchemaOf::Works => works::schema::works(),
        SchemaOf::Route => works::schema::route(),
    };
    report::print(&format!("{schema:#}\n"))?;
    Ok(Ended::Good)
}
