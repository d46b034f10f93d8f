//! One-dimensional cutting stock and bin packing: reads every published file format of these families, plans
//! each instance and prints one JSON line for it.

use cutting::bars::{Part, Plan, Problem, Saw, Stock, check, plan};
use effort::Effort;
use serde_json::json;

use crate::deadline::{Deadline, given};

/// One instance of a file.
#[derive(Debug, PartialEq)]
struct Instance {
    name: String,
    /// Length of the stock, in the instance's unit times the scale.
    capacity: u64,
    /// Length and need.
    sizes: Vec<(u64, u64)>,
}

/// What one run gave.
struct Run {
    value: u64,
    bound: u64,
    proved: bool,
    seconds: f64,
}

pub(crate) fn run(arguments: &[String]) -> Result<(), String> {
    let given = given(arguments, 60.0)?;
    let text = std::fs::read(&given.file).map_err(|fault| format!("{}: {fault}", given.file))?;
    let text = String::from_utf8_lossy(&text);
    let stem = std::path::Path::new(&given.file).file_stem().map_or_else(
        || given.file.clone(),
        |stem| stem.to_string_lossy().into_owned(),
    );
    let instances = read(&text, &stem)?;
    let mut runs = Vec::new();
    for instance in &instances {
        runs.push(run_one(instance, given.seconds)?);
    }
    if instances.len() > 1 {
        print_sum(&stem, &runs);
    }
    Ok(())
}

#[expect(clippy::print_stdout, reason = "a bench command's result")]
fn run_one(instance: &Instance, seconds: f64) -> Result<Run, String> {
    let problem = Problem {
        stocks: vec![Stock::bar(instance.capacity, 1)],
        parts: (instance.sizes.iter())
            .map(|&(size, need)| Part::new(size, need))
            .collect(),
        saw: Saw::default(),
        leftovers: None,
        most_patterns: None,
        most_pieces: None,
    };
    let deadline = Deadline::seconds(seconds)?;
    let answer: Plan = plan(
        &problem,
        Effort::unlimited().or_until(&|| deadline.passed()),
    )
    .map_err(|fault| format!("{}: {fault}", instance.name))?;
    let seconds = deadline.elapsed_s();
    check(&problem, &answer).map_err(|fault| format!("{}: {fault}", instance.name))?;
    if !answer.short.is_empty() {
        return Err(format!(
            "{}: a part is longer than the stock",
            instance.name
        ));
    }
    let line = json!({
        "name": instance.name,
        "value": answer.cost,
        "bound": answer.bound,
        "proved": answer.proved,
        "seconds": (seconds * 1e4).round() / 1e4,
        "linear_bound": answer.linear_bound,
        "round_up": answer.round_up,
    });
    println!("{line}");
    Ok(Run {
        value: answer.cost,
        bound: answer.bound,
        proved: answer.proved,
        seconds,
    })
}

#[expect(clippy::print_stdout, reason = "a bench command's result")]
fn print_sum(name: &str, runs: &[Run]) {
    let line = json!({
        "name": name,
        "value": runs.iter().map(|run| run.value).sum::<u64>(),
        "bound": runs.iter().map(|run| run.bound).sum::<u64>(),
        "proved": runs.iter().all(|run| run.proved),
        "seconds": (runs.iter().map(|run| run.seconds).sum::<f64>() * 1e4).round() / 1e4,
        "instances": runs.len(),
    });
    println!("{line}");
}

/// Reads a file of whatever format it is; `stem` names what has no name of its own.
fn read(text: &str, stem: &str) -> Result<Vec<Instance>, String> {
    let text = text.trim_start_matches('\u{feff}');
    let lines: Vec<&str> = (text.lines())
        .map(str::trim)
        .filter(|line| !line.is_empty())
        .collect();
    let first = *lines.first().ok_or("an empty file")?;
    let instances = if first.to_lowercase().contains("master reel") {
        vec![read_paper_mill(&lines, stem)?]
    } else if !numeric(first) {
        read_named(&lines)?
    } else if lines.len() > 1 && !numeric(lines[1]) {
        read_group(&lines)?
    } else {
        vec![read_plain(&lines, stem)?]
    };
    if instances.is_empty() {
        return Err("no instance in the file".to_owned());
    }
    Ok(instances)
}

fn numeric(line: &str) -> bool {
    line.split_whitespace().all(|word| number(word).is_ok())
}

/// A number with a decimal point or comma, as digits and their number after the point.
fn number(word: &str) -> Result<(u64, u32), String> {
    let bad = || format!("expected a number, found {word:?}");
    let (whole, fraction) = word.split_once(['.', ',']).unwrap_or((word, ""));
    let fraction = fraction.trim_end_matches('0');
    if whole.is_empty() && fraction.is_empty() {
        return Err(bad());
    }
    let digits = format!("{whole}{fraction}");
    let value = digits.parse().map_err(|_| bad())?;
    Ok((value, fraction.len() as u32))
}

/// Numbers brought to one scale, so that all are whole.
fn whole(words: &[&str]) -> Result<Vec<u64>, String> {
    let numbers: Vec<(u64, u32)> = words
        .iter()
        .map(|word| number(word))
        .collect::<Result<_, _>>()?;
    let places = numbers.iter().map(|&(_, places)| places).max().unwrap_or(0);
    numbers
        .into_iter()
        .map(|(value, own)| {
            10_u64
                .checked_pow(places - own)
                .and_then(|factor| value.checked_mul(factor))
                .ok_or_else(|| format!("{value} with {places} decimals is too long"))
        })
        .collect()
}

fn count(word: &str) -> Result<usize, String> {
    match number(word)? {
        (value, 0) => usize::try_from(value).map_err(|fault| fault.to_string()),
        _ => Err(format!("expected a whole number, found {word:?}")),
    }
}

/// Count, capacity, then sizes one by one, or sizes with needs in pairs.
fn read_plain(lines: &[&str], stem: &str) -> Result<Instance, String> {
    let words: Vec<&str> = lines
        .iter()
        .flat_map(|line| line.split_whitespace())
        .collect();
    let [items, rest @ ..] = words.as_slice() else {
        return Err("an empty file".to_owned());
    };
    let items = count(items)?;
    let [capacity, sizes @ ..] = rest else {
        return Err("no capacity".to_owned());
    };
    // Pairs stand two on a line; so does nothing in a list of single sizes.
    let in_pairs = sizes.len() == 2 * items
        && lines
            .last()
            .is_some_and(|line| line.split_whitespace().count() == 2);
    if in_pairs {
        return pairs(stem.to_owned(), capacity, sizes);
    }
    if sizes.len() < items {
        return Err(format!("{items} items announced, {} found", sizes.len()));
    }
    singles(stem.to_owned(), capacity, &sizes[..items])
}

fn singles(name: String, capacity: &str, sizes: &[&str]) -> Result<Instance, String> {
    let mut words = vec![capacity];
    words.extend_from_slice(sizes);
    let numbers = whole(&words)?;
    Ok(Instance {
        name,
        capacity: numbers[0],
        sizes: numbers[1..].iter().map(|&size| (size, 1)).collect(),
    })
}

fn pairs(name: String, capacity: &str, words: &[&str]) -> Result<Instance, String> {
    let mut lengths = vec![capacity];
    lengths.extend(words.iter().step_by(2));
    let lengths = whole(&lengths)?;
    let needs = words.iter().skip(1).step_by(2);
    let sizes = (lengths[1..].iter().zip(needs))
        .map(|(&length, need)| Ok((length, count(need)? as u64)))
        .collect::<Result<_, String>>()?;
    Ok(Instance {
        name,
        capacity: lengths[0],
        sizes,
    })
}

/// Blocks of a name in quotes, number of sizes, capacity, and sizes with needs.
fn read_named(lines: &[&str]) -> Result<Vec<Instance>, String> {
    let mut instances = Vec::new();
    let mut at = 0;
    while at < lines.len() {
        let name = lines[at].trim_matches(['\'', '"', ' ']);
        let name = name.split_whitespace().collect::<Vec<_>>().join(" ");
        let end = (at + 1..lines.len())
            .find(|&line| !numeric(lines[line]))
            .unwrap_or(lines.len());
        let words: Vec<&str> = (lines[at + 1..end].iter())
            .flat_map(|line| line.split_whitespace())
            .collect();
        let [kinds, capacity, rest @ ..] = words.as_slice() else {
            return Err(format!("{name}: no sizes"));
        };
        let kinds = count(kinds)?;
        instances.push(if rest.len() == 2 * kinds {
            pairs(name, capacity, rest)?
        } else if rest.len() == kinds {
            singles(name, capacity, rest)?
        } else {
            return Err(format!(
                "{name}: {kinds} sizes announced, {} numbers",
                rest.len()
            ));
        });
        at = end;
    }
    Ok(instances)
}

/// Number of problems, then for each a name, a line with capacity, number of items and best known, and the sizes.
fn read_group(lines: &[&str]) -> Result<Vec<Instance>, String> {
    let problems = count(lines[0])?;
    let mut instances = Vec::new();
    let mut at = 1;
    while at < lines.len() && instances.len() < problems {
        let name = lines[at].to_owned();
        let head: Vec<&str> = lines
            .get(at + 1)
            .map(|line| line.split_whitespace().collect())
            .unwrap_or_default();
        let [capacity, items, ..] = head.as_slice() else {
            return Err(format!("{name}: expected capacity and number of items"));
        };
        let items = count(items)?;
        let mut sizes: Vec<&str> = Vec::new();
        at += 2;
        while at < lines.len() && sizes.len() < items {
            sizes.extend(lines[at].split_whitespace());
            at += 1;
        }
        if sizes.len() != items {
            return Err(format!(
                "{name}: {items} items announced, {} found",
                sizes.len()
            ));
        }
        instances.push(singles(name, capacity, &sizes)?);
    }
    Ok(instances)
}

/// Paper-mill orders: reel width, and per order a width, a sheet length (nought: reels), mass, diameters.
///
/// The set does not say how many strips an order takes. Here one strip of an order is what a reel of 1,000 kg
/// per metre of master width gives: an order of mass m and width w needs `ceil(m / (1000 kg · w / master width))`
/// strips, so that all strips of one cut weigh alike by width.
fn read_paper_mill(lines: &[&str], stem: &str) -> Result<Instance, String> {
    const MASS_OF_FULL_WIDTH_KG: u64 = 1_000;
    let width = lines.get(1).ok_or("no reel width")?;
    let (width, _) = number(width)?;
    let mut sizes = Vec::new();
    for line in &lines[2..] {
        let words: Vec<&str> = line.split_whitespace().collect();
        if words.len() < 5 || !numeric(line) {
            continue;
        }
        let (strip, _) = number(words[1])?;
        let (mass_kg, _) = number(words[3])?;
        if strip > 0 && strip <= width {
            let strips = (mass_kg * width)
                .div_ceil(MASS_OF_FULL_WIDTH_KG * strip)
                .max(1);
            sizes.push((strip, strips));
        }
    }
    Ok(Instance {
        name: stem.to_owned(),
        capacity: width,
        sizes,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sole(text: &str) -> Instance {
        let mut instances = read(text, "stem").unwrap();
        assert_eq!(instances.len(), 1);
        instances.remove(0)
    }

    #[test]
    fn a_column_with_carriage_returns_and_blanks() {
        let found = sole("3\r\n100\r\n  50 \r\n\r\n40\r\n30\r\n \r\n");
        assert_eq!(found.capacity, 100);
        assert_eq!(found.sizes, [(50, 1), (40, 1), (30, 1)]);
        assert_eq!(found.name, "stem");
    }

    #[test]
    fn pairs_of_size_and_need_without_a_name() {
        assert_eq!(sole("2\n100\n50 4\n40 7\n").sizes, [(50, 4), (40, 7)]);
    }

    #[test]
    fn several_named_blocks() {
        let text = "'BPP      1'\n  2\n 1000\n  200   3\n 199 1\n'TEST0022'\n1\n10\n4 2\n";
        let found = read(text, "stem").unwrap();
        assert_eq!(found[0].name, "BPP 1");
        assert_eq!(found[0].sizes, [(200, 3), (199, 1)]);
        assert_eq!(
            (found[1].capacity, found[1].sizes.as_slice()),
            (10, &[(4, 2)][..])
        );
    }

    #[test]
    fn a_group_with_decimals_is_scaled_exactly() {
        let found = read(
            "2\n t60_00 \n 100.0 3 20\n49.9\n26.8\n25\n u \n150 1 1\n42\n",
            "stem",
        )
        .unwrap();
        assert_eq!(found[0].capacity, 1000);
        assert_eq!(found[0].sizes, [(499, 1), (268, 1), (250, 1)]);
        assert_eq!((found[1].capacity, found[1].sizes[0]), (150, (42, 1)));
    }

    #[test]
    fn paper_mill_orders() {
        let text = "Master Reel Width\n2500\nGrade(g/m2)\n250\nThickness(microm)\n345\n\
            FabReq Width(mm) Length(mm) Weigth(Kg) Toler. DiamExt DiamInt(mm)\n\
            100000 500 1000 7500 0,08 0 0 0 0\n  2 400 0 100 0.15 1000 1100 200 0\n";
        // 7500 kg of 500 mm: one strip of 500/2500 of 1000 kg is 200 kg, so 38 strips.
        assert_eq!(sole(text).sizes, [(500, 38), (400, 1)]);
    }

    #[test]
    fn nonsense_is_refused() {
        for text in [
            "",
            "3\n100\n5\n",
            "'A'\n3\n10\n4 1\n",
            "1\nname\n100\n",
            "x\ny\n",
        ] {
            assert!(read(text, "stem").is_err(), "{text:?}");
        }
    }
}
