//! How long planning takes: the example with one number edited, and a works of 500 routes.
//!
//! `cargo bench -p bench --bench planning`, from the root of the repository.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use jiff::civil::date;
use planning::flow::Flow;
use planning::{Horizon, Options};
use works::{Files, Works};

fn main() {
    divan::main();
}

/// The files of the example works.
fn fenmoor() -> Files {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../examples/fenmoor");
    let mut files = Files::new();
    for folder in ["", "routes", "stock", "readings"] {
        let inner = root.join(folder);
        for entry in fs::read_dir(&inner)
            .expect("the example is there")
            .flatten()
        {
            let path = entry.path();
            if path.is_file() {
                let name = entry.file_name().to_string_lossy().into_owned();
                let name = if folder.is_empty() {
                    name
                } else {
                    format!("{folder}/{name}")
                };
                files.insert(name, fs::read(&path).expect("the example can be read"));
            }
        }
    }
    files
}

/// The example with the pace of one operation changed.
fn edited() -> Files {
    let mut files = fenmoor();
    let route = "routes/nest-block.toml";
    let text = String::from_utf8(files.get(route).expect("the route is there").to_vec());
    let text = text
        .expect("the route is text")
        .replace("pace = \"29 s\"", "pace = \"31 s\"");
    files.insert(route, text);
    files
}

fn read(files: &Files) -> Works {
    works::read(files).works.expect("the works can be read")
}

#[divan::bench]
fn example_read(bencher: divan::Bencher<'_, '_>) {
    let files = edited();
    bencher.bench(|| read(&files));
}

#[divan::bench]
fn example_planned(bencher: divan::Bencher<'_, '_>) {
    let works = read(&edited());
    let options = Options::new(date(2026, 11, 20));
    bencher.bench(|| planning::plan(&works, &options, &mut |_| {}));
}

#[divan::bench]
fn example_read_and_planned(bencher: divan::Bencher<'_, '_>) {
    let files = edited();
    let options = Options::new(date(2026, 11, 20));
    bencher.bench(|| planning::plan(&read(&files), &options, &mut |_| {}));
}

const ROUTES: usize = 500;
const OPERATIONS: usize = 20;
const ORDERS: usize = 20_000;
const STATIONS: usize = 60;

/// A works of 500 routes of 20 operations with 20,000 orders.
fn large() -> Files {
    let mut top = String::from(
        "[works]\nname = \"Large\"\ntime_zone = \"Europe/London\"\ncurrency = \"GBP\"\n\
         [calendar.days]\nwork = [\"Mon..Fri 06:00-14:00 14:00-22:00\"]\nbreaks = [\"daily 09:30-09:50\"]\n\
         [crew.hands]\npeople = 900\ncalendar = \"days\"\ncost = \"20 GBP/h\"\n",
    );
    for station in 0..STATIONS {
        let _ = writeln!(
            top,
            "[station.\"s{station}\"]\ncount = 8\ncalendar = \"days\"\npeople = {{ hands = 1 }}\ncost = \"20 GBP/h\"\n\
             stops = {{ run = \"30 h\", repair = \"30 min\" }}\nchangeover = [{{ on = \"product\", time = \"6 min\" }}]"
        );
    }
    for item in 0..100 {
        let _ = writeln!(
            top,
            "[item.\"bar {item}\"]\nunit = \"kg\"\nbuy = {{ price = \"3 GBP/kg\", pack = \"25 kg\", lead = \"10 d\" }}"
        );
    }
    let mut files = Files::new()
        .with("works.toml", top)
        .with("orders.csv", orders());
    for route in 0..ROUTES {
        files.insert(format!("routes/r{route}.toml"), one_route(route));
    }
    files
}

fn one_route(route: usize) -> String {
    let mut text =
        format!("[route]\nmakes = \"part {route}\"\nunit = \"each\"\nlot = \"400 each\"\n");
    for step in 0..OPERATIONS {
        let station = (route * 7 + step * 3) % STATIONS;
        let _ = writeln!(
            text,
            "[[operation]]\nname = \"step {step}\"\nat = \"s{station}\"\npace = \"{}..{} s\"\nsetup = \"8 min\"",
            3 + step % 5,
            5 + step % 5
        );
        match step {
            0 => {
                let _ = writeln!(text, "takes = {{ \"bar {}\" = \"0.4 kg\" }}", route % 100);
            }
            7 => text.push_str(
                "good = { mean = \"98 %\", lots = \"0.5 %\" }\nrejects = { rework = \"step 5\" }\n",
            ),
            12 => text.push_str("good = \"99 %\"\n"),
            _ => {}
        }
    }
    text
}

fn orders() -> String {
    let mut text = String::from("order,item,quantity,due\n");
    for order in 0..ORDERS {
        let (day, month) = (1 + order % 28, 1 + (order / 28) % 6);
        let _ = writeln!(
            text,
            "{order},part {},{} each,2027-{month:02}-{day:02}",
            order % ROUTES,
            50 + order % 90
        );
    }
    text
}

#[divan::bench(sample_count = 5, sample_size = 1)]
fn large_read_and_checked(bencher: divan::Bencher<'_, '_>) {
    let files = large();
    let outcome = works::read(&files);
    assert!(!outcome.has_faults(), "{:?}", outcome.diagnostics.first());
    bencher.bench(|| works::read(&files));
}

#[divan::bench(sample_count = 5, sample_size = 1)]
fn large_read_checked_balanced_loaded(bencher: divan::Bencher<'_, '_>) {
    let files = large();
    bencher.bench(|| {
        let works = read(&files);
        let horizon = Horizon::new(&works, date(2026, 12, 1), None, None);
        let flow = Flow::solve(&works, &horizon.wanted(&works), true).expect("it balances");
        let levels = &flow.solution.level[..works.operations.len()];
        planning::load::load(&works, levels, horizon.from, horizon.until, 1_000)
    });
}

#[divan::bench(sample_count = 1, sample_size = 1)]
fn large_planned_in_full(bencher: divan::Bencher<'_, '_>) {
    let works = read(&large());
    let options = Options::new(date(2026, 12, 1));
    bencher.bench(|| planning::plan(&works, &options, &mut |_| {}));
}
