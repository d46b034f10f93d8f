//! Rough use: damaged bytes, odd numbers, deep nesting, very many operations. The reader must come
//! back, point into the texts, and complain by codes that are in the table.

use std::fmt::Write;

use proptest::prelude::*;
use proptest::sample::Index;
use works::codes::explain;
use works::render::{Form, render};
use works::{Files, Outcome, Severity};

use crate::support::{case, tests_folder};

/// A works that uses most of the format.
const SEED: &str = include_str!("../goods/continuous-seal.txt");

/// What mutations put in: marks of the format, names, numbers nobody means.
const PIECES: &[&str] = &[
    "\n",
    "\"",
    "'",
    "[",
    "]",
    "{",
    "}",
    "=",
    ",",
    ".",
    "#",
    "--- ",
    "\u{0}",
    "\u{feff}",
    "é",
    "..",
    " / ",
    "+-",
    "1e999",
    "NaN",
    "inf",
    "-0",
    "1e-320",
    "99999999999999999999",
    "0x",
    "[[operation]]\n",
    "[item.a]\n",
    "off_line = true\n",
    "starts = true\n",
    "uses_up = \"profile\"\n",
    "takes = {}\n",
    "makes = {}\n",
    "then = \"cure\"\n",
    "value",
    "kg",
    "degC",
    "needs = []\n",
    "where",
    "[operation.heat]\n",
    "place,",
    "%",
    "order",
    "2026-02-30",
    "9999-12-31",
    "always",
];

fn folder(bytes: &[u8]) -> Files {
    case(bytes, b"").files
}

/// Reads, renders in every form, and checks what must hold of any outcome.
fn sound(files: &Files) -> Outcome {
    let outcome = works::read(files);
    for diagnostic in &outcome.diagnostics {
        let entry = explain(diagnostic.code);
        let entry = entry.unwrap_or_else(|| panic!("`{}` is in no table", diagnostic.code));
        let warning = diagnostic.severity == Severity::Warning;
        assert_eq!(entry.warning, warning, "{}", diagnostic.code);
        for at in diagnostic
            .others
            .iter()
            .map(|(at, _)| *at)
            .chain([diagnostic.at])
        {
            let text = &outcome.sources.get(at.file).text;
            assert!(text.get(at.range()).is_some(), "{diagnostic:?}");
        }
    }
    for form in [Form::Full { colour: true }, Form::Line, Form::Json] {
        let text = render(&outcome.diagnostics, &outcome.sources, form);
        assert!(!text.is_empty() || outcome.diagnostics.is_empty());
    }
    if let (Some(works), false) = (&outcome.works, outcome.has_faults()) {
        // What planning may lean on: every id leads somewhere.
        for operation in &works.operations {
            assert!(
                operation
                    .feeds
                    .iter()
                    .all(|f| f.from.0 < works.operations.len())
            );
            assert!(
                operation
                    .station
                    .is_none_or(|s| works.station(s).calendar.0 < works.calendars.len())
            );
            let shares: f64 = operation.rejects.iter().map(|r| r.share).sum();
            assert!((shares - 1.0).abs() < 1e-6, "{}", operation.name);
        }
    }
    outcome
}

/// One change of the text.
#[derive(Clone, Debug)]
enum Change {
    Put(Index, usize),
    Byte(Index, u8),
    Cut(Index, usize),
    Twice(Index, Index, usize),
}

fn change() -> impl Strategy<Value = Change> {
    prop_oneof![
        (any::<Index>(), 0..PIECES.len()).prop_map(|(at, piece)| Change::Put(at, piece)),
        (any::<Index>(), any::<u8>()).prop_map(|(at, byte)| Change::Byte(at, byte)),
        (any::<Index>(), 1..200usize).prop_map(|(at, length)| Change::Cut(at, length)),
        (any::<Index>(), any::<Index>(), 1..300usize)
            .prop_map(|(from, to, n)| Change::Twice(from, to, n)),
    ]
}

fn changed(mut text: Vec<u8>, changes: &[Change]) -> Vec<u8> {
    for change in changes {
        if text.is_empty() {
            break;
        }
        let length = text.len();
        match *change {
            Change::Put(at, piece) => {
                let at = at.index(length);
                text.splice(at..at, PIECES[piece].bytes());
            }
            Change::Byte(at, byte) => text[at.index(length)] = byte,
            Change::Cut(at, n) => {
                let at = at.index(length);
                text.drain(at..(at + n).min(length));
            }
            Change::Twice(from, to, n) => {
                let from = from.index(length);
                let piece = text[from..(from + n).min(length)].to_vec();
                let to = to.index(length);
                text.splice(to..to, piece);
            }
        }
    }
    text
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    #[test]
    fn damaged_works(changes in prop::collection::vec(change(), 1..6)) {
        let files = folder(&changed(SEED.as_bytes().to_vec(), &changes));
        let first = sound(&files);
        let again = works::read(&files);
        prop_assert_eq!(first.diagnostics, again.diagnostics);
    }

    #[test]
    fn any_quantity_anywhere(text in "[-+0-9a-zA-Z%/. \\\\\"é]{0,12}") {
        let keys = ["pace", "setup", "good", "keeps", "energy", "at", "rejects", "name"];
        let quoted = text.replace('\\', "\\\\").replace('"', "\\\"");
        for key in keys {
            let body = format!("[route]\nmakes = \"x\"\nunit = \"each\"\n[[operation]]\nname = \"a\"\n{key} = \"{quoted}\"\n");
            sound(&Files::new().with("works.toml", HEAD).with("routes/x.toml", body));
        }
    }
}

const HEAD: &str = "[works]\nname = \"T\"\ntime_zone = \"UTC\"\ncurrency = \"GBP\"\n[calendar.d]\nwork = [\"always\"]\n[station.saw]\ncalendar = \"d\"\n[item.plank]\nunit = \"each\"\nbuy = { price = \"1 GBP\" }\n";

fn codes(outcome: &Outcome) -> Vec<&'static str> {
    outcome.diagnostics.iter().map(|d| d.code).collect()
}

#[test]
fn empty_and_almost_empty() {
    assert_eq!(codes(&sound(&Files::new())), ["no-works"]);
    assert_eq!(
        codes(&sound(&Files::new().with("works.toml", ""))),
        ["missing-key"]
    );
    assert_eq!(
        codes(&sound(&Files::new().with("works.toml", "[works]"))),
        ["missing-key"; 3]
    );
    assert_eq!(
        codes(&sound(&Files::new().with("works.toml", "works = 3"))),
        ["wrong-kind"]
    );
    let files = Files::new()
        .with("works.toml", HEAD)
        .with("routes/x.toml", "")
        .with("orders.csv", "");
    assert_eq!(codes(&sound(&files)), ["missing-key", "bad-table"]);
}

/// A station or crew without any calendar in the works must not be led to one.
#[test]
fn no_calendar_at_all() {
    let text = "[works]\nname = \"T\"\ntime_zone = \"UTC\"\ncurrency = \"GBP\"\n[station.a]\ncalendar = \"x\"\n[station.b]\n[crew.c]\npeople = 1\ncalendar = \"x\"\n[item.plank]\nunit = \"each\"\nbuy = { price = \"1 GBP\" }\n--- routes/r.toml\n[route]\nmakes = \"p\"\nunit = \"each\"\n[[operation]]\nname = \"m\"\nat = \"a\"\npace = \"9 s\"\ntakes = { plank = \"1 each\" }\n[[operation]]\nname = \"n\"\nat = \"b\"\npace = \"9 s\"\nwait = { at_most = \"1 h\" }\n";
    let outcome = sound(&folder(text.as_bytes()));
    let mut found = codes(&outcome);
    found.sort_unstable();
    assert_eq!(found, ["missing-key", "unknown-name", "unknown-name"]);
}

#[test]
fn numbers_that_nobody_means() {
    for number in [
        "nan",
        "inf",
        "-inf",
        "1e400",
        "-1e400",
        "1e-400",
        "99999999999999999999999",
        "0x7fffffffffffffff",
        "0xffffffffffffffffff",
        "\"NaN s\"",
        "\"inf s\"",
        "\"1e308 s .. 1e309 s\"",
        "\"-0 s\"",
    ] {
        let body = format!(
            "[route]\nmakes = \"x\"\nunit = \"each\"\n[[operation]]\nname = \"a\"\nat = \"saw\"\ntakes = {{ plank = \"1 each\" }}\npace = {number}\n"
        );
        let files = Files::new()
            .with("works.toml", HEAD)
            .with("routes/x.toml", body);
        let outcome = sound(&files);
        assert!(outcome.has_faults(), "{number} was taken");
    }
    let digits = "9".repeat(10_000);
    let files = Files::new().with(
        "works.toml",
        format!("{HEAD}[plan]\nquantities = [\"{digits}\"]\n"),
    );
    assert_eq!(codes(&sound(&files)), ["not-finite"]);
    let name = "n".repeat(100_000);
    let files = Files::new().with(
        "works.toml",
        format!("{HEAD}[crew.\"{name}\"]\npeople = 1\ncalendar = \"{name}\"\n"),
    );
    assert_eq!(codes(&sound(&files)), ["unknown-name"]);
}

#[test]
fn nested_without_end() {
    for depth in [50, 100, 10_000] {
        let array = format!("{HEAD}x = {}{}", "[".repeat(depth), "]".repeat(depth));
        sound(&Files::new().with("works.toml", array));
        let tables = format!("{HEAD}x = {}1{}", "{a=".repeat(depth), "}".repeat(depth));
        sound(&Files::new().with("works.toml", tables));
        let dotted = format!("{HEAD}[a{}]\n", ".a".repeat(depth));
        sound(&Files::new().with("works.toml", dotted));
    }
}

#[test]
fn every_case_of_the_corpus_cut_short() {
    for (name, path) in crate::support::cases(&tests_folder().join("faults")) {
        let bytes = std::fs::read(path).expect("the case is in the repository");
        for cut in (0..bytes.len()).step_by(61) {
            let bytes = &bytes[..cut];
            // An expectation may be cut in two: only what stands before it is read.
            let bytes = bytes.split(|&b| b == b'!').next().unwrap_or(bytes);
            let bytes = bytes.strip_suffix(b"--- expect").unwrap_or(bytes);
            if !String::from_utf8_lossy(bytes).contains("--- expect") {
                sound(&folder(bytes));
            }
        }
        assert!(!name.is_empty());
    }
}

/// A route of so many operations, each of which names what it makes and takes.
fn long_route(operations: usize) -> String {
    let mut text = String::from("[route]\nmakes = \"end\"\nunit = \"each\"\n");
    for n in 0..operations {
        let takes = if n == 0 {
            "plank".to_owned()
        } else {
            format!("part {}", n - 1)
        };
        write!(text, "\n[[operation]]\nname = \"step {n}\"\nat = \"saw\"\ntakes = {{ \"{takes}\" = \"1 each\" }}\n")
            .expect("a text can be written to");
        if n + 1 < operations {
            writeln!(text, "makes = {{ \"part {n}\" = \"1 each\" }}")
                .expect("a text can be written to");
        }
        text += "pace = \"9 s\"\n";
    }
    text
}

#[test]
fn a_hundred_thousand_operations() {
    let files = Files::new()
        .with("works.toml", HEAD)
        .with("routes/x.toml", long_route(100_000));
    let outcome = works::read(&files);
    assert_eq!(codes(&outcome), [""; 0]);
    let works = outcome.works.expect("there is a works.toml");
    assert_eq!(works.operations.len(), 100_000);
    assert!(
        works
            .operations
            .iter()
            .skip(1)
            .all(|o| o.feeds.len() == 1 && o.takes.is_empty())
    );
}

#[test]
fn a_hundred_thousand_faults() {
    let route = long_route(100_000).replace("at = \"saw\"", "at = \"sow\"");
    let files = Files::new()
        .with("works.toml", HEAD)
        .with("routes/x.toml", route);
    let outcome = works::read(&files);
    assert_eq!(outcome.diagnostics.len(), 100_000);
    assert!(outcome.diagnostics.iter().all(|d| d.code == "unknown-name"));
    let text = render(&outcome.diagnostics, &outcome.sources, Form::Line);
    assert_eq!(text.lines().count(), 100_000);
}

#[test]
fn a_log_of_a_hundred_thousand_rows() {
    let mut log = String::from("time,a,b,c,d\n");
    for n in 0..100_000 {
        let hole = if n % 10 == 3 { "" } else { "190.25" };
        writeln!(log, "{}.5,189.5,{hole},OL,{n}e9", 2 * n).expect("a text can be written to");
    }
    let files = Files::new()
        .with("works.toml", HEAD)
        .with("readings/logs/long.csv", log);
    let outcome = works::read(&files);
    // However many gaps, one complaint for each probe.
    assert_eq!(codes(&outcome), ["log-gaps"; 3]);
    let log = &outcome.works.expect("there is a works.toml").logs[0];
    assert_eq!(log.times_s().len(), 100_000);
    assert_eq!(log.readings(1).count(), 90_000);
}

#[test]
fn a_book_of_orders_for_things_misspelt() {
    // 5,000 items, 20,000 orders of which every one has a slip in it.
    let mut items = String::from(HEAD);
    let mut orders = String::from("order,item,quantity,due\n");
    for n in 0..5000 {
        writeln!(
            items,
            "[item.\"part number {n}\"]\nunit = \"each\"\nbuy = {{ price = \"1 GBP\" }}"
        )
        .expect("a text can be written to");
    }
    for n in 0..20_000 {
        writeln!(orders, "{n},part nubmer {},5,2026-12-24", n % 5000)
            .expect("a text can be written to");
    }
    let outcome = works::read(
        &Files::new()
            .with("works.toml", items)
            .with("orders.csv", orders),
    );
    assert_eq!(outcome.diagnostics.len(), 20_000);
    let helped = outcome.diagnostics.iter().filter(|d| {
        d.help
            .as_deref()
            .is_some_and(|help| help.starts_with("did you mean `part number"))
    });
    assert!(
        helped.count() >= 100,
        "the first of them are answered with what was meant"
    );
}
