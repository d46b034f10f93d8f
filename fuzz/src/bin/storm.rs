//! A storm of mutated inputs to every reader, the same for the same number, on a stable toolchain.
//!
//! `storm N` makes N inputs, and a thousandth more that are planned, from the seeds in `fuzz/seeds` and the examples, most of them for
//! the quick readers. A panic ends it with the input printed, so that it can become a test.

use std::fs;
use std::panic;
use std::path::{Path, PathBuf};

use linewright_fuzz::{folder, log, plan, quantity_in, table, works};
use quantity::Units;

/// SplitMix64 (Steele, Lea & Flood 2014): small, stable, good enough to mutate with.
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    fn below(&mut self, n: usize) -> usize {
        (self.roll() % n.max(1) as u64) as usize
    }
}

/// Pieces that readers look for.
const PIECES: &[&str] = &[
    "\"",
    "'",
    "[",
    "]",
    "[[",
    "]]",
    "{",
    "}",
    "=",
    ",",
    ";",
    "\n",
    "\r\n",
    "\t",
    "..",
    "+-",
    "±",
    "/",
    "%",
    "-",
    "0",
    "1e309",
    "-1",
    "nan",
    "inf",
    "m/min",
    "degC",
    "kg/m2",
    "each",
    "GBP",
    "°",
    "½",
    "\u{0}",
    "takes",
    "makes",
    "rework",
    "good",
    "\"100 %\"",
    "\"0 %\"",
    "off_line = true",
    "[[operation]]",
    "[route]",
    "9999999999999999999",
    "1,2",
    "1,234",
    "Mon..Fri",
    "24:00",
    "06:00-05:00",
    "2026-02-30",
    "always",
    "\u{FEFF}",
    "1e-9 m",
    "1e12 m",
    "0 mm",
    "1 um",
    "1,000,000",
    "1e9 each",
    "89.99 deg",
    "100 %",
    "numbers = \"stated\"",
    "cut = { bars = [{ length = \"6 m\" }], parts = [{ item = \"rail\", length = \"1 m\" }] }",
    "holes = [{ pattern = \"rows\", diameter = \"8 mm\", pitch = \"1 mm\" }]",
    "fill = { holes_of = \"drill\", puts = \"pin\" }",
    "across only",
    "surface = \"20 W/(m2 K)\"",
    "needs = [{ reach = \"185 degC\" }]",
    "{ cure = { at = \"190 degC\", energy = \"82 kJ/mol\" }, at_least = \"10 min\" }",
    "stages = [{ lasts = \"6 min\" }, {}]",
    "layers = []",
    "place",
    "07:42:15",
    "2026-11-09 07:42:00",
    "OL",
    "9999",
    "frame = {",
];

fn mutate(dice: &mut Dice, seeds: &[Vec<u8>]) -> Vec<u8> {
    let mut bytes = seeds[dice.below(seeds.len())].clone();
    for _ in 0..=dice.below(6) {
        let at = dice.below(bytes.len() + 1);
        match dice.below(6) {
            0 if !bytes.is_empty() => {
                let at = dice.below(bytes.len());
                bytes[at] ^= 1 << dice.below(8);
            }
            1 => {
                let piece = PIECES[dice.below(PIECES.len())].bytes();
                bytes.splice(at..at, piece);
            }
            2 => {
                let end = (at + dice.below(20)).min(bytes.len());
                bytes.drain(at..end);
            }
            3 => {
                let end = (at + dice.below(60)).min(bytes.len());
                let copy = bytes[at..end].to_vec();
                let to = dice.below(bytes.len() + 1);
                bytes.splice(to..to, copy);
            }
            4 => {
                let other = &seeds[dice.below(seeds.len())];
                let start = dice.below(other.len() + 1);
                let end = (start + dice.below(80)).min(other.len());
                bytes.splice(at..at, other[start..end].iter().copied());
            }
            _ => bytes.truncate(at.max(1)),
        }
    }
    bytes
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).to_path_buf()
}

/// Every file of a folder, in order of name.
fn seeds(folder: &Path) -> Vec<Vec<u8>> {
    let mut paths: Vec<PathBuf> = fs::read_dir(folder)
        .map(|entries| {
            entries
                .filter_map(|e| e.ok().map(|e| e.path()))
                .filter(|p| p.is_file())
                .collect()
        })
        .unwrap_or_default();
    paths.sort();
    paths
        .iter()
        .filter_map(|path| fs::read(path).ok())
        .collect()
}

/// Runs one reader on many inputs; says with which input it panicked.
fn storm(
    name: &str,
    runs: usize,
    seeds: &[Vec<u8>],
    read: impl Fn(&[u8]) + panic::RefUnwindSafe,
) -> bool {
    assert!(!seeds.is_empty(), "no seeds for {name}");
    let mut dice = Dice(name.bytes().map(u64::from).sum());
    for run in 0..runs {
        let input = mutate(&mut dice, seeds);
        if panic::catch_unwind(|| read(&input)).is_err() {
            println!(
                "{name}: run {run} panicked on {:?}",
                String::from_utf8_lossy(&input)
            );
            return false;
        }
    }
    println!("{name}: {runs} inputs, no panic");
    true
}

fn main() {
    let runs: usize = std::env::args()
        .nth(1)
        .and_then(|n| n.parse().ok())
        .unwrap_or(1_000_000);
    let quantities: Vec<Vec<u8>> = fs::read(root().join("seeds/quantities.txt"))
        .unwrap_or_default()
        .split(|&b| b == b'\n')
        .map(<[u8]>::to_vec)
        .filter(|line| !line.is_empty())
        .collect();
    let mut folders = seeds(&root().join("seeds/works"));
    folders.extend(seeds(&root().join("../crates/works/tests/faults")));
    let mut tables = seeds(&root().join("seeds/tables"));
    tables.extend(seeds(&root().join("../examples/fenmoor/stock")));
    let logs = seeds(&root().join("seeds/logs"));
    let units = Units::standard();
    // Each reader's own folder is read whole before the storm, so that the seeds are known to be good.
    for seed in &folders {
        let _ = ::works::read(&folder(seed));
    }
    let shaped: Vec<Vec<u8>> = fs::read(root().join("seeds/works/shapes.txt"))
        .into_iter()
        .collect();
    let done = [
        storm("quantity", runs * 7 / 10, &quantities, |bytes| {
            if let Ok(text) = std::str::from_utf8(bytes) {
                quantity_in(text, &units);
            }
        }),
        storm("table", runs / 10, &tables, table),
        storm("log", runs / 20, &logs, log),
        storm("works", runs * 3 / 20, &folders, works),
        // Most changes make a fault that ends before the plan; those that do not are dear.
        storm("plan", runs / 1000, &shaped, plan),
    ];
    if done.contains(&false) {
        std::process::exit(1);
    }
}
