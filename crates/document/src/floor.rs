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
    /// Adds a file; where its name is taken, which names that differ only in signs may bring about, a number
    /// goes behind it.
    fn add(&mut self, name: String, text: String) {
        let taken = |name: &str| self.files.iter().any(|file| file.name == name);
        let (stem, ending) = name.rsplit_once('.').unwrap_or((&name, ""));
        let numbered = (2..).map(|number| format!("{stem}-{number}.{ending}"));
        let free = std::iter::once(name.clone())
            .chain(numbered)
            .find(|name| !taken(name));
        self.files.push(FloorFile {
            name: free.unwrap_or(name),
            text,
        });
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
    let name: String = words.join("-").chars().take(LONGEST_NAME).collect();
    if name.is_empty() {
        "plan".to_owned()
    } else {
        name
    }
}

/// Letters of a name without its ending: at four bytes each they stay below what a folder takes.
const LONGEST_NAME: usize = 50;

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
        assert_eq!(file_name("***"), "plan");
        assert_eq!(file_name(&"x".repeat(300)).len(), LONGEST_NAME);
    }

    #[test]
    fn no_file_takes_the_place_of_another() {
        let mut files = FloorFiles::default();
        for text in ["a", "b", "c"] {
            files.add("saw-rail.csv".to_owned(), text.to_owned());
        }
        let names: Vec<&str> = files.files.iter().map(|file| file.name.as_str()).collect();
        assert_eq!(names, ["saw-rail.csv", "saw-rail-2.csv", "saw-rail-3.csv"]);
    }

    #[test]
    fn commas_and_quotes_in_names_stay_in_their_cell() {
        let text = csv(&["a", "b"], [vec!["x, \"y\"".into(), mm(0.19)]].into_iter());
        assert_eq!(text, "a,b\r\n\"x, \"\"y\"\"\",190\r\n");
    }
}
