//! Published assembly lines: fewest stations for the cycle of each instance.
//!
//! Reads `f_salbp1_scholl` and `f_salbp1_otto` beside the repository and holds each answer against the best
//! known value and bound of the index. The data may not be bundled, so it may be absent; this is said.

use std::fmt::Write as _;
use std::path::Path;
use std::time::{Duration, Instant};

use balance::line::{Balance, Limit, LineProblem, Task, check, fewest_stations};

/// Where the published data lies, seen from the root of the repository.
const DATA: &str = "../shared/data";
const FAMILIES: [&str; 2] = ["f_salbp1_scholl", "f_salbp1_otto"];

/// A row of the index.
#[derive(serde::Deserialize)]
struct Row {
    family: String,
    instance: String,
    file: String,
    best_known: usize,
    lower_bound: u64,
}

/// A row of the index with its line.
struct Instance {
    row: Row,
    problem: LineProblem,
    cycle: u64,
}

/// One solved instance.
struct Run {
    instance: Instance,
    balance: Balance,
    took: Duration,
}

/// Runs the instances with a size between the two given, each within a node limit, and prints what came out.
///
/// Arguments: node limit (default 50 million), least and most tasks (default all).
#[expect(clippy::print_stdout, reason = "a command's answer")]
pub(crate) fn run(arguments: &[String]) -> Result<(), String> {
    let number = |place: usize, default: u64| {
        let given = arguments.get(place).map(|text| text.parse::<u64>());
        given
            .transpose()
            .map_err(|fault| fault.to_string())
            .map(|n| n.unwrap_or(default))
    };
    let (nodes, least, most) = (number(0, 50_000_000)?, number(1, 0)?, number(2, u64::MAX)?);
    let data = Path::new(DATA);
    if !data.join("index.csv").exists() {
        println!("No data: {DATA}/index.csv is not there, so nothing was measured.");
        return Ok(());
    }
    println!("fewest stations, at most {nodes} nodes each");
    println!(
        "{:28} {:>5} {:>7} {:>9} {:>9} {:>12} {:>11}  verdict",
        "instance", "tasks", "cycle", "known", "found", "nodes", "ms"
    );
    let mut runs = Vec::new();
    for instance in instances(data)? {
        let tasks = instance.problem.tasks.len() as u64;
        if (least..=most).contains(&tasks) {
            let run = solve(instance, nodes)?;
            println!("{}", run.line());
            runs.push(run);
        }
    }
    print!("{}", summary(&runs));
    Ok(())
}

#[expect(clippy::disallowed_methods, reason = "a bench measures time")]
fn solve(instance: Instance, nodes: u64) -> Result<Run, String> {
    let start = Instant::now();
    let balance = fewest_stations(&instance.problem, instance.cycle, &Limit::nodes(nodes))
        .map_err(|fault| format!("{}: {fault}", instance.row.instance))?;
    let took = start.elapsed();
    check(&instance.problem, &balance)
        .map_err(|faults| format!("{}: {faults:?}", instance.row.instance))?;
    Ok(Run {
        instance,
        balance,
        took,
    })
}

impl Run {
    /// How the answer stands to what is published. A contradiction would be a fault of ours or of the index.
    fn verdict(&self) -> &'static str {
        let (row, balance) = (&self.instance.row, &self.balance);
        let known = row.best_known as u64 == row.lower_bound;
        let found = balance.stations as u64;
        if found < row.lower_bound || balance.lower_bound > row.best_known as u64 {
            "CONTRADICTS THE INDEX"
        } else if balance.proved && known {
            "optimum proved"
        } else if balance.proved {
            "optimum proved, open in the index"
        } else if known && found == row.lower_bound {
            "optimum found, not proved"
        } else if found <= row.best_known as u64 {
            "as good as known, open"
        } else {
            "WORSE THAN KNOWN"
        }
    }

    fn line(&self) -> String {
        let (row, balance) = (&self.instance.row, &self.balance);
        format!(
            "{:28} {:>5} {:>7} {:>9} {:>9} {:>12} {:>11.2}  {}",
            row.instance,
            self.instance.problem.tasks.len(),
            self.instance.cycle,
            interval(row.lower_bound, row.best_known),
            interval(balance.lower_bound, balance.stations),
            balance.nodes,
            self.took.as_secs_f64() * 1e3,
            self.verdict()
        )
    }
}

fn interval(low: u64, high: usize) -> String {
    if low == high as u64 {
        high.to_string()
    } else {
        format!("{low}..{high}")
    }
}

fn summary(runs: &[Run]) -> String {
    let mut text = String::from(
        "\nfamily            tasks      runs  proved  best known reached  slowest ms  total s\n",
    );
    for family in FAMILIES {
        for (from, to) in [(1, 50), (51, 100), (101, 5000)] {
            let of: Vec<&Run> = runs
                .iter()
                .filter(|run| run.instance.row.family == family)
                .filter(|run| (from..=to).contains(&run.instance.problem.tasks.len()))
                .collect();
            let proved = of.iter().filter(|run| run.balance.proved).count();
            let reached = of
                .iter()
                .filter(|run| run.balance.stations <= run.instance.row.best_known);
            let ms = |run: &&Run| run.took.as_secs_f64() * 1e3;
            let slowest = of.iter().map(ms).fold(0.0, f64::max);
            let total = of.iter().map(ms).fold(0.0, |sum, ms| sum + ms) / 1e3;
            let _ = writeln!(
                text,
                "{family:17} {from:>4}-{to:<4} {:>5} {proved:>7} {:>19} {slowest:>11.1} {total:>8.1}",
                of.len(),
                reached.count()
            );
        }
    }
    text
}

fn instances(data: &Path) -> Result<Vec<Instance>, String> {
    let index = data.join("index.csv");
    let mut reader = csv::Reader::from_path(&index).map_err(|fault| fault.to_string())?;
    let mut found = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|fault| fault.to_string())?;
        if !FAMILIES.contains(&record.get(0).unwrap_or_default()) {
            continue;
        }
        let header = ["family", "instance", "file", "best_known", "lower_bound"];
        let row: Row = record
            .iter()
            .take(header.len())
            .collect::<csv::StringRecord>()
            .deserialize(Some(&csv::StringRecord::from(header.to_vec())))
            .map_err(|fault| fault.to_string())?;
        found.push(instance(data, row)?);
    }
    Ok(found)
}

fn instance(data: &Path, row: Row) -> Result<Instance, String> {
    let bytes =
        std::fs::read(data.join(&row.file)).map_err(|fault| format!("{}: {fault}", row.file))?;
    let text = String::from_utf8_lossy(&bytes);
    let whole = |what: &str| format!("{}: {what} not understood", row.file);
    let in_sections = row.family == "f_salbp1_otto";
    if in_sections {
        let (problem, cycle) = read_sections(&text).ok_or_else(|| whole("sections"))?;
        return Ok(Instance {
            row,
            problem,
            cycle,
        });
    }
    let problem = read_plain(&text).ok_or_else(|| whole("lines"))?;
    let cycle = row
        .instance
        .rsplit_once("_c")
        .and_then(|(_, c)| c.parse().ok());
    let cycle = cycle.ok_or_else(|| whole("cycle in the name"))?;
    Ok(Instance {
        row,
        problem,
        cycle,
    })
}

/// Number of tasks, a time a line, arcs "first,then" from 1, "-1,-1".
fn read_plain(text: &str) -> Option<LineProblem> {
    let mut lines = text.lines().map(str::trim).filter(|line| !line.is_empty());
    let count: usize = lines.next()?.parse().ok()?;
    let times = lines.by_ref().take(count).map(|line| line.parse().ok());
    let times: Vec<u64> = times.collect::<Option<_>>()?;
    problem(&times, lines)
}

/// Sections headed `<...>`: number of tasks, cycle time, task times "task time", precedence relations.
fn read_sections(text: &str) -> Option<(LineProblem, u64)> {
    let section = |name: &str| {
        let (_, rest) = text.split_once(&format!("<{name}>"))?;
        let body = rest.split('<').next().unwrap_or(rest);
        Some(body.lines().map(str::trim).filter(|line| !line.is_empty()))
    };
    let cycle = section("cycle time")?.next()?.parse().ok()?;
    let times = section("task times")?.map(|line| line.split_whitespace().nth(1)?.parse().ok());
    let times: Vec<u64> = times.collect::<Option<_>>()?;
    Some((problem(&times, section("precedence relations")?)?, cycle))
}

fn problem<'a>(times: &[u64], arcs: impl Iterator<Item = &'a str>) -> Option<LineProblem> {
    let task = |&time: &u64| Task {
        time,
        after: Vec::new(),
    };
    let mut tasks: Vec<Task> = times.iter().map(task).collect();
    for arc in arcs {
        let (first, then) = arc.split_once(',')?;
        let (first, then): (i64, i64) = (first.trim().parse().ok()?, then.trim().parse().ok()?);
        if first < 1 {
            break;
        }
        let then = usize::try_from(then - 1).ok()?;
        tasks
            .get_mut(then)?
            .after
            .push(usize::try_from(first - 1).ok()?);
    }
    Some(LineProblem { tasks })
}
