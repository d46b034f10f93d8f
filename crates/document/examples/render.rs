//! Plans a works folder and writes the plan beside each other in all its forms, to look at.
//!
//! `cargo run -p document --example render -- examples/fenmoor out 2026-11-25`
#![allow(clippy::print_stdout, reason = "an example may print")]

use std::error::Error;
use std::path::{Path, PathBuf};
use std::{env, fs};

use works::Files;

fn read(folder: &Path, prefix: &str, files: &mut Files) -> Result<(), Box<dyn Error>> {
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        let name = path
            .file_name()
            .map(|name| name.to_string_lossy().into_owned())
            .unwrap_or_default();
        if path.is_dir() {
            read(&path, &format!("{prefix}{name}/"), files)?;
        } else if [".toml", ".csv", ".xlsx"]
            .iter()
            .any(|ending| name.ends_with(ending))
        {
            files.insert(format!("{prefix}{name}"), fs::read(&path)?);
        }
    }
    Ok(())
}

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = env::args().skip(1);
    let folder = arguments.next().ok_or("which works folder?")?;
    let out = PathBuf::from(arguments.next().unwrap_or_else(|| "plan".to_owned()));
    let today = arguments
        .next()
        .unwrap_or_else(|| "2026-11-25".to_owned())
        .parse()?;
    let mut files = Files::new();
    read(Path::new(&folder), "", &mut files)?;
    let outcome = works::read(&files);
    let form = works::render::Form::Line;
    println!(
        "{}",
        works::render::render(&outcome.diagnostics, &outcome.sources, form)
    );
    let works = outcome.works.ok_or("the works cannot be read")?;
    let plan = planning::plan(&works, &planning::Options::new(today), &mut |_| {})?;
    fs::create_dir_all(&out)?;
    fs::write(
        out.join("plan.html"),
        document::html(&works, &plan, &outcome.sources),
    )?;
    fs::write(
        out.join("plan.xlsx"),
        document::xlsx(&works, &plan, &outcome.sources)?,
    )?;
    fs::write(
        out.join("plan.json"),
        document::json(&works, &plan, &outcome.sources),
    )?;
    let reports = [
        document::summary(&works, &plan),
        document::stock_report(&works, &plan),
        document::load_report(&works, &plan),
        document::cost_report(&works, &plan),
    ];
    for blocks in reports {
        println!("{}", document::text::render(&blocks, false, 100));
    }
    Ok(())
}
