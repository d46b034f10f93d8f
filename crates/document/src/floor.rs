//! Files for the floor: saw lists, stroke lists, machine programs and drawings in open formats.
//!
//! Each is a name and a text; whoever calls puts them on disk. A program or drawing that does not read back as
//! the holes that were asked for is not given out: that would be our fault, and it is said.

mod drill;
mod saw;

use crate::table::Ground;

/// A file for the floor.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FloorFile {
    /// Its name, without a folder.
    pub name: String,
    /// What stands in it.
    pub text: String,
}

/// What came of writing files.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FloorFiles {
    /// The files.
    pub files: Vec<FloorFile>,
    /// What could not be written, and why.
    pub left_out: Vec<String>,
}

impl FloorFiles {
    fn add(&mut self, name: String, text: String) {
        self.files.push(FloorFile { name, text });
    }
}

/// Saw lists of every cutting plan.
pub(crate) fn cutting(ground: &Ground<'_>) -> FloorFiles {
    let mut files = FloorFiles::default();
    for plan in &ground.plan.cutting {
        files.add(
            format!("{}-saw-list.csv", file_name(&plan.name)),
            saw::list(plan),
        );
    }
    files
}

/// Programs, drawings and hole tables of every drilling plan.
pub(crate) fn drilling(ground: &Ground<'_>) -> FloorFiles {
    let mut files = FloorFiles::default();
    for plan in &ground.plan.drilling {
        drill::write(ground, plan, &mut files);
    }
    files
}

/// A name that every file system takes: `cross-cut (nest block)` becomes `cross-cut-nest-block`.
fn file_name(name: &str) -> String {
    let kept = |c: char| {
        if c.is_alphanumeric() {
            c.to_ascii_lowercase()
        } else {
            '-'
        }
    };
    let raw: String = name.chars().map(kept).collect();
    let words: Vec<&str> = raw.split('-').filter(|word| !word.is_empty()).collect();
    words.join("-")
}

/// Rows as CSV (RFC 4180).
fn csv(head: &[&str], rows: impl Iterator<Item = Vec<String>>) -> String {
    let mut writer = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(Vec::new());
    let written = writer.write_record(head).and_then(|()| {
        rows.into_iter()
            .try_for_each(|row| writer.write_record(&row))
    });
    // Memory is all that is written to, and every row is as long as the head.
    written.expect("rows as long as their head");
    let bytes = writer.into_inner().expect("memory can be written to");
    String::from_utf8(bytes).expect("text in, text out")
}

/// Millimetres of metres, to a hundredth.
fn mm(metres: f64) -> String {
    let rounded = (metres * 1e5).round() / 100.0;
    // Adding nothing makes a negative nothing plain.
    format!("{}", rounded + 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_every_file_system_takes() {
        assert_eq!(file_name("cross-cut (nest block)"), "cross-cut-nest-block");
        assert_eq!(file_name("../../etc: passwd"), "etc-passwd");
    }

    #[test]
    fn commas_and_quotes_in_names_stay_in_their_cell() {
        let text = csv(&["a", "b"], [vec!["x, \"y\"".into(), mm(0.19)]].into_iter());
        assert_eq!(text, "a,b\r\n\"x, \"\"y\"\"\",190\r\n");
    }
}
