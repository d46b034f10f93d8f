//! Sheets cut from edge to edge: published knapsack and cutting-stock files.
//!
//! `bench guillotine FILE [--seconds S] [--turn] [--stages 2|3|free] [--copies one|any]`
//!
//! The format is told from the file itself:
//! - a banner of asterisks: cutting stock (`instances`, sheet, number of types, then `length width need`);
//! - `name=…;stock_length=…`: knapsack, any number of copies unless an item says otherwise;
//! - a first line of two numbers (the sheet), then the number of types: knapsack, `length width value copies`;
//! - a first line of one number (the types), then the sheet: OR-Library; three columns are
//!   `length width value` with any number of copies (gcut), four are `length width copies value` (ngcut).
//!
//! So gcut files tell themselves apart: those with one copy each have four columns after a line with the sheet.
#![expect(clippy::print_stdout, reason = "a command's answer")]

use cutting::sheets::{
    self, Best, FirstCut, Part, Plan, Problem, Scheme, Sheet, Trims, check_best, check_plan,
};
use effort::Effort;

use crate::deadline::{Deadline, given};

/// A file's question.
#[derive(Debug, PartialEq)]
enum Question {
    Knapsack(Problem),
    Stock(Problem),
}

/// Copies of every part, whatever the file says.
#[derive(Clone, Copy)]
enum Copies {
    One,
    Any,
}

/// Options of this command alone.
#[derive(Default)]
struct Options {
    turn: bool,
    scheme: Option<Scheme>,
    copies: Option<Copies>,
}

pub(crate) fn run(arguments: &[String]) -> Result<(), String> {
    let (options, rest) = options(arguments)?;
    let given = given(&rest, 60.0)?;
    let text =
        std::fs::read_to_string(&given.file).map_err(|fault| format!("{}: {fault}", given.file))?;
    let question = read(&text)?;
    let deadline = Deadline::seconds(given.seconds)?;
    let stop = || deadline.passed();
    let effort = Effort::unlimited().or_until(&stop);
    let line = match question {
        Question::Knapsack(problem) => {
            let problem = adapted(problem, &options);
            let best = sheets::most_valuable(&problem, 0, effort).map_err(|f| f.to_string())?;
            knapsack_line(&problem, &best, deadline.elapsed_s())?
        }
        Question::Stock(problem) => {
            let problem = adapted(problem, &options);
            let plan = sheets::least_cost(&problem, effort).map_err(|f| f.to_string())?;
            stock_line(&problem, &plan, deadline.elapsed_s())?
        }
    };
    println!("{line}");
    Ok(())
}

fn knapsack_line(
    problem: &Problem,
    best: &Best,
    seconds: f64,
) -> Result<serde_json::Value, String> {
    let broken = check_best(problem, best);
    if !broken.is_empty() {
        return Err(format!("the answer breaks rules: {broken:?}"));
    }
    Ok(serde_json::json!({
        "kind": "knapsack",
        "value": best.value,
        "bound": best.bound,
        "proved": best.proved,
        "seconds": seconds,
        "parts": best.layout.placed.len(),
        "waste": best.layout.waste,
    }))
}

fn stock_line(problem: &Problem, plan: &Plan, seconds: f64) -> Result<serde_json::Value, String> {
    let broken = check_plan(problem, plan);
    if !broken.is_empty() {
        return Err(format!("the plan breaks rules: {broken:?}"));
    }
    Ok(serde_json::json!({
        "kind": "cutting stock",
        "value": plan.cost,
        "bound": plan.bound,
        "proved": plan.proved,
        "seconds": seconds,
        "layouts": plan.layouts.len(),
    }))
}

/// Takes this command's own options out of the arguments.
fn options(arguments: &[String]) -> Result<(Options, Vec<String>), String> {
    let mut options = Options::default();
    let mut rest = Vec::new();
    let mut arguments = arguments.iter();
    while let Some(argument) = arguments.next() {
        let mut choice = || arguments.next().map(String::as_str).unwrap_or_default();
        match argument.as_str() {
            "--turn" => options.turn = true,
            "--stages" => options.scheme = Some(scheme(choice())?),
            "--copies" => options.copies = Some(copies(choice())?),
            _ => rest.push(argument.clone()),
        }
    }
    Ok((options, rest))
}

fn scheme(stages: &str) -> Result<Scheme, String> {
    let (first, trimming) = (FirstCut::Either, true);
    match stages {
        "2" => Ok(Scheme::TwoStage { first, trimming }),
        "3" => Ok(Scheme::ThreeStage { first, trimming }),
        "free" => Ok(Scheme::Free),
        other => Err(format!("--stages: expected 2, 3 or free, found «{other}»")),
    }
}

fn copies(choice: &str) -> Result<Copies, String> {
    match choice {
        "one" => Ok(Copies::One),
        "any" => Ok(Copies::Any),
        other => Err(format!("--copies: expected one or any, found «{other}»")),
    }
}

fn adapted(mut problem: Problem, options: &Options) -> Problem {
    for part in &mut problem.parts {
        part.may_turn |= options.turn;
        match options.copies {
            Some(Copies::One) => part.at_most = Some(1),
            Some(Copies::Any) => part.at_most = None,
            None => {}
        }
    }
    if let Some(scheme) = options.scheme {
        problem.scheme = scheme;
    }
    problem
}

/// Reads a file of any of the formats.
fn read(text: &str) -> Result<Question, String> {
    if text.contains("***") {
        return cutting_stock(text).map(Question::Stock);
    }
    if text.contains("stock_length") {
        return keyed(text).map(Question::Knapsack);
    }
    columns(text).map(Question::Knapsack)
}

fn part(length: u64, width: u64, value: u64, at_most: Option<u64>) -> Part {
    Part {
        length,
        width,
        need: 0,
        at_most,
        may_turn: false,
        value,
    }
}

fn problem(length: u64, width: u64, parts: Vec<Part>) -> Problem {
    let sheet = Sheet {
        length,
        width,
        trims: Trims::default(),
        cost: 1,
        available: None,
    };
    Problem {
        sheets: vec![sheet],
        parts,
        kerf: 0,
        scheme: Scheme::Free,
        useful: None,
    }
}

fn numbers(line: &str) -> Result<Vec<u64>, String> {
    let number = |word: &str| {
        word.parse::<u64>()
            .map_err(|fault| format!("«{word}»: {fault}"))
    };
    line.split_whitespace().map(number).collect()
}

fn cutting_stock(text: &str) -> Result<Problem, String> {
    let data = text.rsplit("***").next().unwrap_or_default();
    let numbers = numbers(data.trim_start_matches('*'))?;
    let [_instances, length, width, types, rows @ ..] = numbers.as_slice() else {
        return Err("expected instances, sheet, number of types".to_owned());
    };
    if rows.len() < 3 * *types as usize {
        return Err(format!(
            "expected {types} rows of three numbers, found {} numbers",
            rows.len()
        ));
    }
    let parts = (rows.chunks_exact(3).take(*types as usize))
        .map(|row| Part {
            need: row[2],
            ..part(row[0], row[1], row[0] * row[1], None)
        })
        .collect();
    Ok(problem(*length, *width, parts))
}

fn keyed(text: &str) -> Result<Problem, String> {
    let mut size = None;
    let mut parts = Vec::new();
    for line in text.lines().filter(|line| line.contains('=')) {
        let get = |keys: &[&str]| -> Option<u64> {
            let pairs = line.split(';').filter_map(|pair| pair.split_once('='));
            let mut found = pairs.filter(|(key, _)| keys.contains(&key.trim()));
            found.next()?.1.trim().parse().ok()
        };
        if let (Some(length), Some(width)) = (get(&["stock_length"]), get(&["stock_width"])) {
            size = Some((length, width));
        } else if let (Some(length), Some(width)) = (get(&["length"]), get(&["width"])) {
            let value = get(&["profit", "value"]).unwrap_or(length * width);
            parts.push(part(
                length,
                width,
                value,
                get(&["copies", "demand", "max", "upper_bound"]),
            ));
        }
    }
    let (length, width) = size.ok_or("expected stock_length and stock_width")?;
    Ok(problem(length, width, parts))
}

fn columns(text: &str) -> Result<Problem, String> {
    let lines: Vec<Vec<u64>> = (text.lines().filter(|line| !line.trim().is_empty()))
        .map(numbers)
        .collect::<Result<_, _>>()?;
    let (sheet, sheet_first, rows) = match lines.as_slice() {
        [sheet, types, rows @ ..] if sheet.len() == 2 && types.len() == 1 => (sheet, true, rows),
        [types, sheet, rows @ ..] if sheet.len() == 2 && types.len() == 1 => (sheet, false, rows),
        _ => return Err("expected the sheet's two sides and the number of types".to_owned()),
    };
    let row = |row: &Vec<u64>| match row.as_slice() {
        [length, width, value] => Ok(part(*length, *width, *value, None)),
        [length, width, value, copies] if sheet_first => {
            Ok(part(*length, *width, *value, Some(*copies)))
        }
        [length, width, copies, value] => Ok(part(*length, *width, *value, Some(*copies))),
        other => Err(format!(
            "expected three or four numbers, found {}",
            other.len()
        )),
    };
    // Some published files carry more rows than they announce; the published results count only those announced.
    let types = if sheet_first {
        lines[1][0]
    } else {
        lines[0][0]
    } as usize;
    if rows.len() < types {
        return Err(format!("expected {types} types, found {}", rows.len()));
    }
    let parts = rows[..types].iter().map(row).collect::<Result<_, _>>()?;
    Ok(problem(sheet[0], sheet[1], parts))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn knapsack(text: &str) -> Problem {
        match read(text) {
            Ok(Question::Knapsack(problem)) => problem,
            other => panic!("expected a knapsack, found {other:?}"),
        }
    }

    #[test]
    fn four_columns_after_the_sheet_end_in_copies() {
        let problem = knapsack("100\t200\n1\n27\t27\t982\t9\n");
        assert_eq!(problem.parts, [part(27, 27, 982, Some(9))]);
        assert_eq!(
            (problem.sheets[0].length, problem.sheets[0].width),
            (100, 200)
        );
    }

    #[test]
    fn rows_beyond_the_number_announced_are_left_out() {
        assert_eq!(knapsack("9 9\n1\n2 3 6 1\n4 4 16 1\n").parts.len(), 1);
        assert!(read("9 9\n2\n2 3 6 1\n").is_err());
    }

    #[test]
    fn three_columns_after_the_number_of_types_have_any_copies() {
        let problem = knapsack(" 1 \n 250 200 \n 167 184 30728 \n");
        assert_eq!(problem.parts, [part(167, 184, 30728, None)]);
        assert_eq!(
            (problem.sheets[0].length, problem.sheets[0].width),
            (250, 200)
        );
    }

    #[test]
    fn four_columns_after_the_number_of_types_end_in_the_value() {
        assert_eq!(
            knapsack("1\n10 10\n3 7 2 35").parts,
            [part(3, 7, 35, Some(2))]
        );
    }

    #[test]
    fn keys_are_read_by_name() {
        let text = "name=X;stock_length=20;stock_width=30;item_number=1\n\nname=B1;length=4;width=5;profit=21";
        assert_eq!(knapsack(text).parts, [part(4, 5, 21, None)]);
    }

    #[test]
    fn a_banner_means_cutting_stock() {
        let text = "***2D***\nItem[i].Length\n*****\n1\n2750 1220\n1\n1680 420 6\n";
        let Ok(Question::Stock(problem)) = read(text) else {
            panic!("expected cutting stock");
        };
        assert_eq!((problem.parts[0].need, problem.parts[0].length), (6, 1680));
    }
}
