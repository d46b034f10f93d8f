//! Where complaints point, what they suggest, and that they all come at once.

use std::collections::BTreeSet;

use crate::support::{case, compare, load, tests_folder};

/// Ten unlike faults in three files, found in one reading.
#[test]
fn all_faults_in_one_pass() {
    let case = load(&tests_folder().join("faults/all-at-once/ten-faults.txt"));
    let outcome = works::read(&case.files);
    let odd = compare(&case.expected, &outcome.diagnostics, &outcome.sources);
    assert!(odd.is_empty(), "\n{odd}");
    let codes: BTreeSet<&str> = outcome.diagnostics.iter().map(|d| d.code).collect();
    let files: BTreeSet<_> = outcome.diagnostics.iter().map(|d| d.at.file).collect();
    assert_eq!(
        (codes.len(), outcome.diagnostics.len(), files.len()),
        (10, 10, 3)
    );
}

/// The text that a complaint points at, and its help.
fn pointed(text: &str) -> Vec<(String, String)> {
    let prelude = std::fs::read(tests_folder().join("faults/prelude.toml")).expect("the prelude");
    let text = format!("#include prelude\n{text}");
    let outcome = works::read(&case(text.as_bytes(), &prelude).files);
    let at = |d: &works::Diagnostic| outcome.sources.get(d.at.file).text[d.at.range()].to_owned();
    outcome
        .diagnostics
        .iter()
        .map(|d| (at(d), d.help.clone().unwrap_or_default()))
        .collect()
}

const BLOCK: &str = "--- routes/block.toml\n[route]\nmakes = \"block\"\nunit = \"each\"\n\n[[operation]]\nname = \"cut\"\n";

#[test]
fn carets_stand_at_what_is_wrong() {
    let caret = |keys: &str| {
        let told = pointed(&format!(
            "{BLOCK}takes = {{ plank = \"1 plank\" }}\n{keys}\n"
        ));
        let [(at, _)] = told.as_slice() else {
            panic!("{told:?}")
        };
        at.clone()
    };
    assert_eq!(caret("at = \"saw\"\npace = \"9 sex\""), "sex"); // the unit
    assert_eq!(caret("at = \"saw\"\npace = \"12..18 sex\""), "sex");
    assert_eq!(caret("at = \"saw\"\npace = { value = \"9 m/mni\" }"), "mni"); // of a compound, its part
    assert_eq!(caret("at = \"sow\""), "\"sow\""); // the name
    assert_eq!(caret("takse = { }"), "takse"); // the key
    assert_eq!(caret("rejects = { rework = \"mend\" }"), "\"mend\"");
    assert_eq!(
        caret("checks = [{ what = \"x\", every = \"every 20 eahc\" }]"),
        "eahc"
    );
    assert_eq!(caret("setup = \"-5 min\""), "\"-5 min\""); // the whole value
    assert_eq!(
        caret("settings = { oven = { aim = \"190 degQ\" } }"),
        "degQ"
    );
    let told = pointed("[calendar.nights]\nwork = [\"Mon..Fri 22:00-06:00 Sut 06:00-08:00\"]\n");
    assert_eq!(told[0].0, "Sut");
    let told = pointed(&format!("{BLOCK}takes = {{ plnak = \"1 plank\" }}\n"));
    assert_eq!(told[0].0, "plnak"); // a key that is a name
    let told = pointed(&format!(
        "{BLOCK}takes = {{ plank = \"1 plank\" }}\n--- orders.csv\norder,item,quantity,due\n1,block,5 eech,2026-12-24\n2,blok,5,2026-12-24\n"
    ));
    assert_eq!(
        told.iter().map(|(at, _)| at.as_str()).collect::<Vec<_>>(),
        ["eech", "blok"]
    );
    // A text with escapes is longer in the file than it reads: then the whole of it.
    assert_eq!(
        caret("at = \"saw\"\npace = \"9\\u0020sex\""),
        "\"9\\u0020sex\""
    );
}

#[test]
fn slips_are_answered_with_what_was_meant() {
    let help = |keys: &str| {
        let told = pointed(&format!(
            "{BLOCK}takes = {{ plank = \"1 plank\" }}\n{keys}\n"
        ));
        told.first().expect("there is a complaint").1.clone()
    };
    assert_eq!(help("at = \"swa\""), "did you mean `saw`?");
    assert_eq!(help("paec = \"9 s\""), "did you mean `pace`?");
    assert_eq!(
        help("at = \"saw\"\npace = \"9 secnods\""),
        "did you mean `second`?"
    );
    assert_eq!(help("rejects = \"scarp\""), "did you mean `scrap`?");
    assert_eq!(
        help("rejects = { rework = \"cutt\" }"),
        "did you mean `cut`?"
    );
    assert_eq!(
        help("rejects = \"cut\""),
        "it is an operation: rejects = { rework = \"cut\" }"
    );
    assert_eq!(help("at = \"lathe\""), "known: saw"); // nothing like it: the few there are
    assert_eq!(help("people = { sawing = 1 }"), "known: hands");
    // What an operation passes on without a name is no item that anybody could mean.
    let told = pointed(
        "--- routes/block.toml\n[route]\nmakes = \"block\"\nunit = \"each\"\n[[operation]]\nname = \"cut\"\nstarts = true\ntakes = { plank = \"1 plank\", glue = \"1 each\" }\n[[operation]]\nname = \"sand\"\n",
    );
    assert_eq!(told[0].1, "known: block, plank");
}
