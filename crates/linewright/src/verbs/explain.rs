//! `explain`: what a diagnostic's code means.

use crate::arguments::Explain;
use crate::{Ended, Trouble, report};

pub(crate) fn run(call: &Explain) -> Result<Ended, Trouble> {
    let Some(code) = works::codes::explain(call.code.trim()) else {
        let codes: Vec<&str> = works::codes::CODES.iter().map(|code| code.code).collect();
        let near = works::suggest::nearest(&call.code, codes.iter().copied());
        let hint = near.map_or_else(
            || codes.join(", "),
            |near| format!("did you mean `{near}`?"),
        );
        return Err(Trouble::Call(format!(
            "no diagnostic has the code `{}`: {hint}",
            call.code
        )));
    };
    let kind = if code.warning { "warning" } else { "fault" };
    report::print(&format!("{} ({kind})\n{}\n", code.code, code.meaning))?;
    Ok(Ended::Good)
}
