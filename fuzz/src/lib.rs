//! One function for each reader: whatever the bytes, it must come back, and what it says must hold.

use quantity::{Dimension, Expect, Units};
use works::{Files, Sources};

/// Reads the bytes as a quantity in every way one may be asked for.
pub fn quantity(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    let units = Units::standard();
    quantity_in(text, &units);
}

/// The same with the units at hand, which are dear to build.
pub fn quantity_in(text: &str, units: &Units) {
    let time = Dimension::TIME;
    let expectations = [
        Expect::Any,
        Expect::Number,
        Expect::Share,
        Expect::Temperature,
        Expect::TemperatureDifference,
        Expect::Dimension(&time),
    ];
    for expect in expectations {
        match quantity::read(text, units, expect) {
            Ok(written) => {
                assert!(
                    written.mean().is_finite(),
                    "{text:?} was read as {}",
                    written.mean()
                );
                let shown = written.show();
                let again = quantity::read(&shown, units, expect);
                assert!(
                    again.is_ok(),
                    "{text:?} is shown as {shown:?}, which cannot be read"
                );
            }
            Err(fault) => {
                assert!(
                    text.get(fault.range.clone()).is_some(),
                    "{text:?}: {:?}",
                    fault.range
                );
            }
        }
    }
}

/// Reads a whole folder: files are separated by lines `--- path`.
pub fn works(bytes: &[u8]) {
    let outcome = works::read(&folder(bytes));
    for form in [
        works::render::Form::Full { colour: false },
        works::render::Form::Line,
        works::render::Form::Json,
    ] {
        let text = works::render::render(&outcome.diagnostics, &outcome.sources, form);
        assert!(
            outcome.diagnostics.is_empty() || !text.is_empty(),
            "a complaint must be shown"
        );
    }
}

/// Reads a whole folder and plans what has no fault, with short searches.
pub fn plan(bytes: &[u8]) {
    let outcome = works::read(&folder(bytes));
    let sound = !outcome.has_faults();
    let Some(works) = outcome.works.filter(|_| sound) else {
        return;
    };
    let today = "2026-11-25".parse().expect("a date");
    let options = planning::Options {
        line_nodes: 100,
        search_steps: 100,
        ..planning::Options::new(today)
    };
    let horizon = planning::Horizon::new(&works, options.today, None, None);
    // A horizon of centuries is refused by the command line.
    if (horizon.until - horizon.from).get_days() > 3_660 {
        return;
    }
    if let Ok(plan) = planning::plan(&works, &options, &mut |_| {}) {
        assert_eq!(plan.ledger.faults(1e-6), vec![], "reasons must add up");
    }
}

/// A folder from one text.
pub fn folder(bytes: &[u8]) -> Files {
    let mut files = Files::new();
    let mut path = String::from("works.toml");
    let mut text: Vec<u8> = Vec::new();
    for line in bytes.split_inclusive(|&b| b == b'\n') {
        if let Some(name) = line.strip_prefix(b"--- ") {
            files.insert(std::mem::take(&mut path), std::mem::take(&mut text));
            path = String::from_utf8_lossy(name).trim().to_owned();
        } else {
            text.extend_from_slice(line);
        }
    }
    files.insert(path, text);
    files
}

/// Reads the bytes as a CSV and as an XLSX table.
pub fn table(bytes: &[u8]) {
    for path in ["orders.csv", "orders.xlsx"] {
        let mut sources = Sources::default();
        let mut complaints = Vec::new();
        if let Some(table) = works::tables::read(path, bytes, &mut sources, &mut complaints) {
            for cell in table.rows.iter().flatten().chain(&table.columns) {
                let text = &sources.get(cell.at.file).text;
                assert!(
                    text.get(cell.at.range()).is_some(),
                    "a cell must lie in the text"
                );
            }
        }
    }
}

/// Reads the bytes as a measured load and as weighed pieces.
pub fn log(bytes: &[u8]) {
    let files = Files::new()
        .with(
            "works.toml",
            "[works]\nname = \"Tiny\"\ntime_zone = \"UTC\"\ncurrency = \"GBP\"\n",
        )
        .with("readings/logs/a.csv", bytes)
        .with("readings/logs/a.xlsx", bytes)
        .with("readings/weighed/a.csv", bytes);
    let outcome = works::read(&files);
    let form = works::render::Form::Line;
    works::render::render(&outcome.diagnostics, &outcome.sources, form);
    for log in outcome.works.iter().flat_map(|works| &works.logs) {
        assert!(
            log.times_s().is_sorted_by(|a, b| a < b) && log.times_s().len() >= 2,
            "times of a log must rise"
        );
        let readings = (0..log.probes.len()).flat_map(|probe| log.readings(probe));
        for (time_s, kelvin) in readings {
            assert!(time_s.is_finite() && kelvin > 0.0, "{time_s} s, {kelvin} K");
        }
    }
}
