//! What may be said on the command line.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};
use jiff::civil::Date;

/// Takes a route, written once as plain text, and works out everything that follows.
#[derive(Debug, Parser)]
#[command(name = "linewright", version, about, max_term_width = 100)]
pub(crate) struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub(crate) verb: Verb,
}

/// The verbs.
#[derive(Debug, Subcommand)]
pub(crate) enum Verb {
    /// Write an example works to begin from.
    Start(Start),
    /// Read a works folder and show everything that is wrong with it.
    Check(Check),
    /// Work out everything and write the plan as HTML, XLSX and JSON.
    Plan(Plan),
    /// What to buy and to start, with odds; what is left over; whether the mass adds up.
    Stock(Part),
    /// Hours of stations and crews, what jams, waits and lead times.
    Load(Part),
    /// What one costs at several quantities, and what drives it.
    Cost(Part),
    /// Cutting plans: around faults, bars, strip and sheets; with --out, saw lists.
    Cut(Shape),
    /// Hole patterns, their order and time; with --out, machine programs and drawings.
    Drill(Shape),
    /// Recipes of heat and cold, salt, drying and moulding: whether each does its job, its window, what a change does.
    Heat(Heat),
    /// How a figure was made.
    Why(Why),
    /// What a diagnostic's code means.
    Explain(Explain),
    /// A JSON Schema of the format, for editors.
    Schema(Schema),
}

/// Where the works is.
#[derive(Clone, Debug, Args)]
pub(crate) struct Place {
    /// The works folder.
    #[arg(default_value = ".", value_name = "DIR")]
    pub(crate) folder: PathBuf,
}

/// What to plan for, where it differs from the works' own assumptions.
#[derive(Clone, Debug, Args)]
pub(crate) struct Assume {
    /// How sure an order shall be filled, in percent.
    #[arg(long, value_name = "PERCENT")]
    pub(crate) certainty: Option<f64>,
    /// Quantities to price, with commas between them and none inside: 500,2000,10000.
    #[arg(long, value_delimiter = ',', value_name = "LIST")]
    pub(crate) quantities: Vec<f64>,
    /// First day of the horizon.
    #[arg(long, value_name = "DATE")]
    pub(crate) from: Option<Date>,
    /// Last day of the horizon.
    #[arg(long, value_name = "DATE")]
    pub(crate) until: Option<Date>,
    /// Plan as if today were this day.
    #[arg(long, value_name = "DATE")]
    pub(crate) today: Option<Date>,
}

/// `start`
#[derive(Debug, Args)]
pub(crate) struct Start {
    /// The folder to write; it must not be there yet, or be empty.
    #[arg(value_name = "DIR")]
    pub(crate) folder: PathBuf,
}

/// `check`
#[derive(Debug, Args)]
pub(crate) struct Check {
    #[command(flatten)]
    pub(crate) place: Place,
    /// How to print what is found.
    #[arg(long, value_enum, default_value_t = Form::Full)]
    pub(crate) form: Form,
    /// Print what is found as JSON.
    #[arg(long, conflicts_with = "form")]
    pub(crate) json: bool,
}

/// How diagnostics are printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Form {
    /// The line, a caret under it, both sides and the repair.
    Full,
    /// One line each.
    Line,
}

/// `plan`
#[derive(Debug, Args)]
pub(crate) struct Plan {
    #[command(flatten)]
    pub(crate) place: Place,
    #[command(flatten)]
    pub(crate) assume: Assume,
    /// Folder for plan.html, plan.xlsx and plan.json; `plan` in the works folder if left out.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
    /// Print the whole answer as JSON and write no files.
    #[arg(long)]
    pub(crate) json: bool,
}

/// `stock`, `load`, `cost`
#[derive(Debug, Args)]
pub(crate) struct Part {
    #[command(flatten)]
    pub(crate) place: Place,
    #[command(flatten)]
    pub(crate) assume: Assume,
    /// Print the whole answer as JSON.
    #[arg(long)]
    pub(crate) json: bool,
}

/// `cut`, `drill`
#[derive(Debug, Args)]
pub(crate) struct Shape {
    #[command(flatten)]
    pub(crate) place: Place,
    #[command(flatten)]
    pub(crate) assume: Assume,
    /// Folder for the files of the floor: saw lists, machine programs, drawings.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
    /// How long to search for each plan: 1 is as in the plan, 10 ten times as long.
    #[arg(long, value_name = "TIMES", default_value_t = 1, value_parser = clap::value_parser!(u64).range(1..=1_000_000))]
    pub(crate) search: u64,
    /// Print the whole answer as JSON.
    #[arg(long)]
    pub(crate) json: bool,
}

/// `heat`
#[derive(Debug, Args)]
pub(crate) struct Heat {
    #[command(flatten)]
    pub(crate) place: Place,
    #[command(flatten)]
    pub(crate) assume: Assume,
    /// Only this operation, for example "plot sign, cure".
    #[arg(long, value_name = "OPERATION")]
    pub(crate) of: Option<String>,
    /// Suppose this air in its longest stage, for example "195 degC".
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    pub(crate) air: Option<String>,
    /// Suppose this time inside, for example "24 min".
    #[arg(long, value_name = "TIME", allow_hyphen_values = true)]
    pub(crate) dwell: Option<String>,
    /// Suppose a load of this size, for example "400 kg".
    #[arg(long, value_name = "AMOUNT", allow_hyphen_values = true)]
    pub(crate) load: Option<String>,
    /// Say when a load must go in to be ready by this time, for example "2026-11-26 06:00".
    #[arg(long, value_name = "MOMENT")]
    pub(crate) by: Option<String>,
    /// Print the whole answer as JSON.
    #[arg(long)]
    pub(crate) json: bool,
}

/// `why`
#[derive(Debug, Args)]
pub(crate) struct Why {
    /// The figure, for example "ash plank to buy"; all figures are listed if left out.
    #[arg(value_name = "FIGURE")]
    pub(crate) figure: Option<String>,
    /// The works folder.
    #[arg(default_value = ".", value_name = "DIR")]
    pub(crate) folder: PathBuf,
    #[command(flatten)]
    pub(crate) assume: Assume,
    /// How many levels of the reason to show.
    #[arg(long, default_value_t = 6)]
    pub(crate) depth: usize,
    /// Print the reason as JSON.
    #[arg(long)]
    pub(crate) json: bool,
}

/// `explain`
#[derive(Debug, Args)]
pub(crate) struct Explain {
    /// The code, as it stands in brackets behind "fault" or "warning".
    pub(crate) code: String,
}

/// `schema`
#[derive(Debug, Args)]
pub(crate) struct Schema {
    /// Of which file.
    #[arg(value_enum)]
    pub(crate) of: SchemaOf,
}

/// The files that a schema describes.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub(crate) enum SchemaOf {
    /// works.toml
    Works,
    /// routes/*.toml
    Route,
}
