//! The real binary in a fresh folder: exit codes, what is printed, what is written.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use assert_cmd::Command;
use tempfile::TempDir;

/// A fresh folder with the example in it.
struct Room {
    folder: TempDir,
}

impl Room {
    fn with_example() -> Self {
        let room = Self {
            folder: tempfile::tempdir().expect("a temporary folder"),
        };
        let started = room.run(&["start", "works"]);
        assert_eq!(started.status.code(), Some(0), "{}", text(&started.stderr));
        room
    }

    fn path(&self, inner: &str) -> PathBuf {
        self.folder.path().join(inner)
    }

    fn run(&self, arguments: &[&str]) -> Output {
        let mut command = Command::cargo_bin("linewright").expect("the binary is built");
        command
            .current_dir(self.folder.path())
            .args(arguments)
            .output()
            .expect("it runs")
    }

    /// Replaces a piece of a file of the works.
    fn edit(&self, file: &str, from: &str, to: &str) {
        let path = self.path("works").join(file);
        let before = fs::read_to_string(&path).expect("the file is there");
        assert!(before.contains(from), "{file} has no `{from}`");
        fs::write(path, before.replacen(from, to, 1)).expect("it can be written");
    }
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// Names in a folder, hidden ones too.
fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .expect("the folder is there")
        .map(|entry| {
            entry
                .expect("an entry")
                .file_name()
                .to_string_lossy()
                .into_owned()
        })
        .collect();
    names.sort();
    names
}

const TODAY: [&str; 2] = ["--today", "2026-11-20"];

#[test]
fn the_built_in_example_is_the_one_in_the_repository() {
    let room = Room::with_example();
    let ours = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/fenmoor");
    let folders = [
        "",
        "routes",
        "stock",
        "readings",
        "readings/logs",
        "readings/weighed",
        "boards",
    ];
    for folder in folders {
        let files = |base: &Path| {
            let names = names(&base.join(folder));
            names
                .into_iter()
                .filter(|name| name.contains('.'))
                .collect::<Vec<_>>()
        };
        assert_eq!(files(&room.path("works")), files(&ours), "in `{folder}`");
    }
}

#[test]
fn the_example_is_sound_and_plans() {
    let room = Room::with_example();
    let checked = room.run(&["check", "works"]);
    assert_eq!(checked.status.code(), Some(0), "{}", text(&checked.stdout));
    let planned = room.run(&["plan", "works", TODAY[0], TODAY[1]]);
    assert_eq!(planned.status.code(), Some(0), "{}", text(&planned.stderr));
    assert_eq!(
        names(&room.path("works/plan")),
        ["plan.html", "plan.json", "plan.xlsx"]
    );
    let html = fs::read_to_string(room.path("works/plan/plan.html")).expect("it was written");
    assert!(html.contains("Fenmoor Works") && html.contains("<svg"));
    let json = fs::read_to_string(room.path("works/plan/plan.json")).expect("it was written");
    let json: serde_json::Value = serde_json::from_str(&json).expect("it is JSON");
    assert_eq!(json["name"], "Fenmoor Works");
}

#[test]
fn the_same_works_gives_the_same_bytes() {
    let room = Room::with_example();
    for out in ["one", "two"] {
        let planned = room.run(&["plan", "works", TODAY[0], TODAY[1], "--out", out]);
        assert_eq!(planned.status.code(), Some(0));
    }
    for file in ["plan.html", "plan.xlsx", "plan.json"] {
        let read = |out: &str| fs::read(room.path(out).join(file)).expect("it was written");
        assert!(read("one") == read("two"), "{file} differs");
    }
}

#[test]
fn every_part_answers_in_words_and_in_json() {
    let room = Room::with_example();
    for part in ["stock", "load", "cost"] {
        let words = room.run(&[part, "works", TODAY[0], TODAY[1]]);
        assert_eq!(
            words.status.code(),
            Some(0),
            "{part}: {}",
            text(&words.stderr)
        );
        assert!(text(&words.stdout).lines().count() > 5, "{part}");
        let json = room.run(&[part, "works", TODAY[0], TODAY[1], "--json"]);
        let parsed: Result<serde_json::Value, _> = serde_json::from_slice(&json.stdout);
        assert!(parsed.is_ok(), "{part}");
    }
}

#[test]
fn a_figure_tells_how_it_was_made() {
    let room = Room::with_example();
    let why = room.run(&["why", "ash plank to buy", "works", TODAY[0], TODAY[1]]);
    assert_eq!(why.status.code(), Some(0), "{}", text(&why.stderr));
    let out = text(&why.stdout);
    assert!(out.starts_with("ash plank to buy = "), "{out}");
    assert!(
        out.contains("stock/stores.csv:2"),
        "the stock's place is named: {out}"
    );
    let unknown = room.run(&["why", "ash plnk to buy", "works", TODAY[0], TODAY[1]]);
    assert_eq!(unknown.status.code(), Some(2));
    assert!(
        text(&unknown.stderr).contains("ash plank to buy"),
        "the near name is offered"
    );
}

#[test]
fn faults_in_the_input_end_with_2_and_show_the_line() {
    let room = Room::with_example();
    room.edit(
        "routes/nest-block.toml",
        "pace = \"9 s\"",
        "pace = \"9 kg\"",
    );
    room.edit(
        "routes/plot-sign.toml",
        "at = \"panel press\"",
        "at = \"pannel press\"",
    );
    let checked = room.run(&["check", "works", "--form", "line"]);
    assert_eq!(checked.status.code(), Some(2));
    let out = text(&checked.stdout);
    assert!(
        out.contains("routes/nest-block.toml") && out.contains("fault[wrong-dimension]"),
        "{out}"
    );
    assert!(
        out.contains("routes/plot-sign.toml") && out.contains("fault[unknown-name]"),
        "{out}"
    );
    let planned = room.run(&["plan", "works"]);
    assert_eq!(planned.status.code(), Some(2));
    assert!(text(&planned.stderr).contains("did you mean `panel press`?"));
    assert!(
        !room.path("works/plan").exists(),
        "nothing is written for a works with faults"
    );
}

#[test]
fn what_cannot_be_done_ends_with_1() {
    let room = Room::with_example();
    room.edit("works.toml", "[station.\"spray booth\"]\ncalendar = \"two shifts\"", "[calendar.sliver]\nwork = [\"Mon 06:00-07:00\"]\n\n[station.\"spray booth\"]\ncalendar = \"sliver\"");
    // The waits about the booth cannot be met in an hour a week; that is not what is tried here.
    for wait in [
        "wait = { at_least = \"15 min\", at_most = \"5 h\" }\n",
        "wait = { at_least = \"6 min\", at_most = \"30 min\" }\n",
    ] {
        room.edit("routes/plot-sign.toml", wait, "");
    }
    let checked = room.run(&["check", "works", "--form", "line"]);
    let out = text(&checked.stdout);
    assert!(out.contains("fault[demand-beyond-capacity]"), "{out}");
    assert_eq!(checked.status.code(), Some(1), "{out}");
}

#[test]
fn wrong_calls_are_refused_and_touch_nothing() {
    let room = Room::with_example();
    let again = room.run(&["start", "works"]);
    assert_eq!(again.status.code(), Some(2));
    assert!(text(&again.stderr).contains("not empty"));
    for call in [
        &["plan", "works", "--certainty", "100"][..],
        &["plan", "works", "--certainty", "NaN"],
        &["cost", "works", "--quantities", "0"],
        &["cost", "works", "--quantities", "1e-300"],
        &["load", "works", "--from", "2030-01-01"],
        &["load", "works", "--until", "2020-01-01"],
        &["load", "works", "--until", "9999-12-31"],
        &["plan", "nowhere"],
        &["explain", "no-such-code"],
    ] {
        let refused = room.run(call);
        assert_eq!(
            refused.status.code(),
            Some(2),
            "{call:?}: {}",
            text(&refused.stderr)
        );
        assert!(!refused.stderr.is_empty(), "{call:?}");
    }
    assert_eq!(names(room.folder.path()), ["works"]);
}

#[test]
fn an_empty_folder_says_how_to_begin() {
    let room = Room {
        folder: tempfile::tempdir().expect("a temporary folder"),
    };
    let checked = room.run(&["check", "."]);
    assert_eq!(checked.status.code(), Some(2));
    assert!(
        text(&checked.stdout).contains("linewright start"),
        "{}",
        text(&checked.stdout)
    );
}

#[test]
fn a_plan_that_cannot_be_written_leaves_nothing_behind() {
    let room = Room::with_example();
    fs::write(room.path("taken"), "a file where the folder should be").expect("it can be written");
    let planned = room.run(&["plan", "works", TODAY[0], TODAY[1], "--out", "taken/plan"]);
    assert_eq!(planned.status.code(), Some(2));
    assert!(
        text(&planned.stderr).contains("cannot write"),
        "{}",
        text(&planned.stderr)
    );
    assert_eq!(names(room.folder.path()), ["taken", "works"]);
}

#[test]
fn two_at_once_write_one_whole_plan() {
    let room = Room::with_example();
    std::thread::scope(|scope| {
        let runs: Vec<_> = (0..2)
            .map(|_| {
                scope.spawn(|| room.run(&["plan", "works", TODAY[0], TODAY[1], "--out", "out"]))
            })
            .collect();
        for run in runs {
            let ended = run.join().expect("the thread ends");
            assert_eq!(ended.status.code(), Some(0), "{}", text(&ended.stderr));
        }
    });
    assert_eq!(
        names(&room.path("out")),
        ["plan.html", "plan.json", "plan.xlsx"]
    );
}

#[test]
fn a_works_alone_lists_its_figures() {
    let room = Room::with_example();
    let why = room.run(&["why", "works", TODAY[0], TODAY[1]]);
    assert_eq!(why.status.code(), Some(0), "{}", text(&why.stderr));
    assert!(
        text(&why.stdout)
            .lines()
            .any(|line| line == "ash plank to buy")
    );
}

#[test]
fn a_flood_of_faults_is_cut_short_and_counted() {
    let room = Room::with_example();
    let rows = "x,no such item,5 each,2026-12-04\n".repeat(1_000);
    fs::write(
        room.path("works/orders.csv"),
        format!("order,item,quantity,due\n{rows}"),
    )
    .expect("it can be written");
    let planned = room.run(&["plan", "works"]);
    let err = text(&planned.stderr);
    let shown = err.matches("fault[").count();
    assert!(shown <= 200, "{shown} are shown");
    let last = err.lines().last().unwrap_or_default();
    assert!(
        last.contains("are not shown here") && last.contains("faults"),
        "{last}"
    );
    let lines = room.run(&["check", "works", "--form", "line"]);
    assert!(text(&lines.stdout).matches("fault[").count() >= 1_000);
}

#[test]
fn a_file_that_is_no_toml_at_all_is_soon_told() {
    let room = Room::with_example();
    fs::write(room.path("works/noise.toml"), "= \"\n".repeat(100_000)).expect("it can be written");
    let checked = room.run(&["check", "works", "--form", "line"]);
    assert_eq!(checked.status.code(), Some(2));
    let out = text(&checked.stdout);
    assert!(
        out.matches("fault[not-toml]").count() <= 51,
        "{}",
        out.len()
    );
    assert!(out.contains("more places behind it"), "{out}");
}

#[test]
fn a_plan_that_cannot_be_put_in_place_leaves_no_half_files() {
    let room = Room::with_example();
    let first = room.run(&["plan", "works", TODAY[0], TODAY[1], "--out", "out"]);
    assert_eq!(first.status.code(), Some(0));
    // No file can be renamed to a folder's name.
    fs::remove_file(room.path("out/plan.html")).expect("it was there");
    fs::create_dir(room.path("out/plan.html")).expect("it can be made");
    let second = room.run(&["plan", "works", TODAY[0], TODAY[1], "--out", "out"]);
    assert_eq!(second.status.code(), Some(2));
    assert_eq!(
        names(&room.path("out")),
        ["plan.html", "plan.json", "plan.xlsx"],
        "no half file is left"
    );
}

#[test]
fn schemas_and_explanations_are_printed() {
    let room = Room {
        folder: tempfile::tempdir().expect("a temporary folder"),
    };
    for of in ["works", "route"] {
        let schema = room.run(&["schema", of]);
        let parsed: serde_json::Value = serde_json::from_slice(&schema.stdout).expect("it is JSON");
        assert_eq!(
            parsed["$schema"],
            "https://json-schema.org/draft/2020-12/schema"
        );
    }
    let explained = room.run(&["explain", "unit-changes"]);
    assert!(text(&explained.stdout).contains("unit changes"));
}

#[test]
fn cutting_and_drilling_answer_in_words_and_in_json() {
    let room = Room::with_example();
    for (verb, heading, field) in [
        ("cut", "Cutting lists", "cutting"),
        ("drill", "Filling", "drilling"),
    ] {
        let words = room.run(&[verb, "works", TODAY[0], TODAY[1]]);
        assert_eq!(
            words.status.code(),
            Some(0),
            "{verb}: {}",
            text(&words.stderr)
        );
        assert!(
            text(&words.stdout).contains(heading),
            "{}",
            text(&words.stdout)
        );
        let json = room.run(&[verb, "works", TODAY[0], TODAY[1], "--json"]);
        assert_eq!(json.status.code(), Some(0));
        let parsed: serde_json::Value = serde_json::from_slice(&json.stdout).expect("it is JSON");
        assert!(
            !parsed[field].as_array().expect("a list").is_empty(),
            "{verb}"
        );
    }
    assert_eq!(names(room.folder.path()), ["works"], "nothing is written");
}

#[test]
fn files_for_the_floor_are_written_and_the_same_each_time() {
    let room = Room::with_example();
    for out in ["one", "two"] {
        for verb in ["cut", "drill"] {
            let ran = room.run(&[verb, "works", TODAY[0], TODAY[1], "--out", out]);
            assert_eq!(ran.status.code(), Some(0), "{}", text(&ran.stderr));
            let said = text(&ran.stdout);
            let wrote = said.lines().filter(|line| line.starts_with("wrote "));
            assert!(wrote.count() > 0, "{said}");
        }
    }
    let written = names(&room.path("one"));
    assert_eq!(written, names(&room.path("two")));
    for ending in [
        "saw-list.csv",
        "holes.csv",
        "strokes.csv",
        ".nc",
        ".dxf",
        ".svg",
    ] {
        assert!(
            written.iter().any(|name| name.ends_with(ending)),
            "no {ending} in {written:?}"
        );
    }
    for name in &written {
        let read = |out: &str| fs::read(room.path(out).join(name)).expect("it was written");
        assert!(read("one") == read("two"), "{name} differs");
        assert!(!read("one").is_empty(), "{name} is empty");
    }
}

#[test]
fn floor_files_that_cannot_be_put_in_place_leave_no_half_files() {
    let room = Room::with_example();
    let first = room.run(&["cut", "works", TODAY[0], TODAY[1], "--out", "out"]);
    assert_eq!(first.status.code(), Some(0));
    let before = names(&room.path("out"));
    // No file can be renamed to a folder's name.
    fs::remove_file(room.path("out").join(&before[0])).expect("it was there");
    fs::create_dir(room.path("out").join(&before[0])).expect("it can be made");
    let second = room.run(&["cut", "works", TODAY[0], TODAY[1], "--out", "out"]);
    assert_eq!(second.status.code(), Some(2), "{}", text(&second.stderr));
    assert_eq!(names(&room.path("out")), before, "no half file is left");
    fs::write(room.path("taken"), "a file where the folder should be").expect("it can be written");
    let third = room.run(&["drill", "works", TODAY[0], TODAY[1], "--out", "taken/in"]);
    assert_eq!(third.status.code(), Some(2));
    assert!(text(&third.stderr).contains("cannot write"));
}

#[test]
fn cuts_and_holes_that_cannot_be_done_end_with_1() {
    let room = Room::with_example();
    room.edit(
        "routes/nest-block.toml",
        "web = \"4.5 mm\"",
        "web = \"6 mm\"",
    );
    let drilled = room.run(&["drill", "works", TODAY[0], TODAY[1], "--out", "out"]);
    assert_eq!(drilled.status.code(), Some(1), "{}", text(&drilled.stderr));
    assert!(text(&drilled.stderr).contains("hole-breaks-rule"));
    assert!(
        text(&drilled.stdout).contains("left out"),
        "{}",
        text(&drilled.stdout)
    );
    let program = |name: &String| name.ends_with("block.nc");
    assert!(!names(&room.path("out")).iter().any(program));
    let checked = room.run(&["check", "works", "--form", "line"]);
    assert_eq!(checked.status.code(), Some(1), "check and drill agree");
    let room = Room::with_example();
    room.edit(
        "routes/nest-block.toml",
        "length = \"190 mm\", clear",
        "length = \"9 m\", clear",
    );
    let cut = room.run(&["cut", "works", TODAY[0], TODAY[1]]);
    assert_eq!(cut.status.code(), Some(1), "{}", text(&cut.stderr));
    assert!(
        text(&cut.stderr).contains("cut-impossible"),
        "{}",
        text(&cut.stderr)
    );
}

#[test]
fn wrong_calls_of_cut_and_drill_are_refused() {
    let room = Room::with_example();
    for verb in ["cut", "drill"] {
        for call in [
            &[verb, "works", "--search", "0"][..],
            &[verb, "works", "--search", "many"],
            &[verb, "works", "--search", "1000001"],
            &[verb, "nowhere"],
            &[verb, "works", "--certainty", "2"],
        ] {
            let refused = room.run(call);
            assert_eq!(refused.status.code(), Some(2), "{call:?}");
            assert!(!refused.stderr.is_empty(), "{call:?}");
        }
    }
    assert_eq!(names(room.folder.path()), ["works"]);
    let room = Room {
        folder: tempfile::tempdir().expect("a temporary folder"),
    };
    for verb in ["cut", "drill"] {
        let empty = room.run(&[verb, "."]);
        assert_eq!(empty.status.code(), Some(2));
        assert!(
            text(&empty.stderr).contains("linewright start"),
            "{}",
            text(&empty.stderr)
        );
    }
}

#[test]
fn a_works_that_cuts_and_heats_nothing_says_so_and_writes_nothing() {
    let room = Room {
        folder: tempfile::tempdir().expect("a temporary folder"),
    };
    fs::create_dir_all(room.path("works/routes")).expect("it can be made");
    let works = "[works]\nname = \"Bare\"\ntime_zone = \"UTC\"\ncurrency = \"GBP\"\n\n[item.plank]\nunit = \"each\"\nbuy = { price = \"9 GBP\" }\n";
    fs::write(room.path("works/works.toml"), works).expect("it can be written");
    let route = "[route]\nmakes = \"shelf\"\nunit = \"each\"\n\n[[operation]]\nname = \"cut\"\ntakes = { plank = \"1 each\" }\n";
    fs::write(room.path("works/routes/shelf.toml"), route).expect("it can be written");
    for verb in ["cut", "drill", "heat"] {
        let out = if verb == "heat" {
            &[][..]
        } else {
            &["--out", "out"]
        };
        let ran = room.run(&[&[verb, "works", TODAY[0], TODAY[1]][..], out].concat());
        assert_eq!(ran.status.code(), Some(0), "{}", text(&ran.stderr));
        assert!(
            !text(&ran.stdout).trim().is_empty(),
            "{verb} says nothing at all"
        );
    }
    assert!(!room.path("out").exists() || names(&room.path("out")).is_empty());
}

/// Whether an answer about heat leaves something to be desired: a need that is missed, a load that is held, a fault.
fn heat_fails(answer: &serde_json::Value) -> bool {
    let list = |value: &serde_json::Value| value.as_array().cloned().unwrap_or_default();
    let fails = |plan: &serde_json::Value| {
        list(&plan["needs"]).iter().any(|need| need["met"] == false)
            || list(&plan["logs"]).iter().any(|log| log["passes"] == false)
    };
    let faults = list(&answer["notices"]);
    let short = |plan: &serde_json::Value| plan["met"] == false;
    let dry = |plan: &serde_json::Value| plan["load"]["met"] == false;
    let moulded = |plan: &serde_json::Value| {
        let over = |less: &serde_json::Value, more: &serde_json::Value| {
            less.as_f64()
                .zip(more.as_f64())
                .is_some_and(|(less, more)| more > less)
        };
        let (clamp, shot) = (&plan["clamp"], &plan["shot"]);
        plan["stated"]["met"] == false
            || clamp["met"] == false
            || shot["residence_met"] == false
            || over(&shot["barrel_kg"], &shot["shot_kg"])
    };
    list(&answer["heat"]).iter().any(fails)
        || list(&answer["salting"]).iter().any(fails)
        || list(&answer["drying"]).iter().any(dry)
        || list(&answer["solvents"]).iter().any(short)
        || list(&answer["mouldings"]).iter().any(moulded)
        || faults.iter().any(|notice| notice["severity"] == "fault")
}

#[test]
fn heat_answers_in_words_and_in_json_and_tells_by_its_code() {
    let room = Room::with_example();
    for more in [
        &[][..],
        &["--of", "plot sign, cure"],
        &["--of", "Cure (plot sign)"],
    ] {
        let call = [&["heat", "works", TODAY[0], TODAY[1]][..], more].concat();
        let words = room.run(&call);
        let out = text(&words.stdout);
        assert!(out.contains("cure (plot sign)"), "{out}");
        assert!(out.contains("Local codes and licensed or competent persons decide"));
        let json = room.run(&[&call[..], &["--json"]].concat());
        let answer: serde_json::Value = serde_json::from_slice(&json.stdout).expect("it is JSON");
        let plans = answer["heat"].as_array().expect("a list");
        assert_eq!(plans.len() == 1, !more.is_empty(), "{call:?}");
        let code = Some(i32::from(heat_fails(&answer)));
        assert_eq!(
            (words.status.code(), json.status.code()),
            (code, code),
            "{call:?}"
        );
    }
    assert_eq!(names(room.folder.path()), ["works"], "nothing is written");
}

#[test]
fn a_recipe_that_does_not_do_its_job_ends_with_1() {
    let room = Room::with_example();
    let only = ["--of", "plot sign, cure"];
    let before = room.run(&[&["heat", "works", TODAY[0], TODAY[1]][..], &only].concat());
    assert!(
        text(&before.stdout).contains("Does its job with"),
        "{}",
        text(&before.stdout)
    );
    room.edit(
        "routes/plot-sign.toml",
        "never_above = \"205 degC\"",
        "never_above = \"150 degC\"",
    );
    let after = room.run(&[&["heat", "works", TODAY[0], TODAY[1]][..], &only].concat());
    assert_eq!(after.status.code(), Some(1), "{}", text(&after.stderr));
    let out = text(&after.stdout);
    assert!(
        out.contains("Does not do its job") && out.contains("never hotter than 150 degC"),
        "{out}"
    );
}

/// What only salts, dries, moulds or lets solvent go is asked about by name as what heats is, and tells by its code.
#[test]
fn heat_answers_for_what_is_salted_dried_thinned_and_moulded() {
    let room = Room::with_example();
    for (of, list, words) in [
        ("dry cure", "salting", "Salt: dry cure (smoked duck breast)"),
        (
            "dry and smoke",
            "drying",
            "Drying: dry and smoke (smoked duck breast)",
        ),
        ("plot sign, cure", "solvents", "Solvent: cure (plot sign)"),
        (
            "mould gliders",
            "mouldings",
            "Moulding: mould gliders (glide tape)",
        ),
    ] {
        let call = ["heat", "works", TODAY[0], TODAY[1], "--of", of];
        let told = room.run(&call);
        let out = text(&told.stdout);
        assert!(
            out.contains(words),
            "no `{words}` in {out}{}",
            text(&told.stderr)
        );
        let json = room.run(&[&call[..], &["--json"]].concat());
        let answer: serde_json::Value = serde_json::from_slice(&json.stdout).expect("it is JSON");
        for other in ["salting", "drying", "solvents", "mouldings"] {
            let count = answer[other].as_array().map(Vec::len);
            assert_eq!(count, Some(usize::from(other == list)), "{of}: {other}");
        }
        let code = Some(i32::from(heat_fails(&answer)));
        assert_eq!(
            (told.status.code(), json.status.code()),
            (code, code),
            "{of}"
        );
    }
    // Less time to even out, and melt that must stay longer: neither does its job then.
    for (of, file, from, to) in [
        (
            "dry cure",
            "routes/smoked-duck.toml",
            "equalise = \"32 h\"",
            "equalise = \"12 h\"",
        ),
        (
            "mould gliders",
            "routes/glide-tape.toml",
            "value = \"1.5..8 min\"",
            "value = \"3..8 min\"",
        ),
    ] {
        let call = ["heat", "works", TODAY[0], TODAY[1], "--of", of];
        let before = room.run(&call);
        let out = text(&before.stdout);
        assert_eq!(
            before.status.code(),
            Some(0),
            "{out}{}",
            text(&before.stderr)
        );
        assert!(out.contains("Does its job"), "{out}");
        room.edit(file, from, to);
        let after = room.run(&call);
        let out = text(&after.stdout);
        assert_eq!(after.status.code(), Some(1), "{out}");
        assert!(out.contains("Does not do its job"), "{out}");
    }
    // An oven with a tenth of the fresh air is no recipe to run.
    room.edit(
        "works.toml",
        "fresh_air = \"1,400 m3/h\"",
        "fresh_air = \"140 m3/h\"",
    );
    let told = room.run(&[
        "heat",
        "works",
        TODAY[0],
        TODAY[1],
        "--of",
        "plot sign, cure",
    ]);
    assert_eq!(told.status.code(), Some(1), "{}", text(&told.stdout));
    assert!(text(&told.stdout).contains("too little. No permission"));
}

#[test]
fn wrong_calls_of_heat_are_refused() {
    let room = Room::with_example();
    let cure = ["--of", "plot sign, cure"];
    for (of, call, words) in [
        (&[][..], &["--of", "nobody"][..], "there are"),
        (&[], &["--air", "195 degC"], "say with --of"),
        (&cure, &["--air", "195"], "no unit"),
        (&cure, &["--air", "5 kg"], "--air"),
        (&cure, &["--air", "-7 kg"], "--air"),
        (&cure, &["--dwell", "0 min"], "above nought"),
        (&cure, &["--dwell", "20..24 min"], "a spread"),
        (&cure, &["--dwell", "20 degC"], "--dwell"),
        (&cure, &["--load", "5 kg"], "--load"),
        (&cure, &["--load", "0 each"], "above nought"),
        (&cure, &["--by", "soon"], "a day and a time"),
        (
            &["--of", "cool (plot sign)"],
            &["--load", "10 each"],
            "states no power",
        ),
        (
            &["--of", "dry cure"],
            &["--dwell", "50 h"],
            "nothing can be supposed of it",
        ),
    ] {
        let refused = room.run(&[&["heat", "works"][..], of, call].concat());
        let said = text(&refused.stderr);
        assert_eq!(refused.status.code(), Some(2), "{call:?}: {said}");
        assert!(said.contains(words), "{call:?}: {said}");
    }
    assert_eq!(names(room.folder.path()), ["works"]);
}

#[test]
fn what_is_supposed_takes_the_place_of_what_is_stated() {
    let room = Room::with_example();
    for (of, more, code, words) in [
        // 19.3 to 23.5 min do at the stated 190 degC.
        (
            "plot sign, cure",
            &["--dwell", "21 min"][..],
            0,
            "Supposing 21 min inside:",
        ),
        (
            "plot sign, cure",
            &["--dwell", "12 min"],
            1,
            "Does not do its job",
        ),
        (
            "plot sign, cure",
            &["--air", "160 degC"],
            1,
            "Supposing air at 160 degC:",
        ),
        (
            "blast freeze",
            &["--load", "200 pack"],
            0,
            "Supposing a load of 200 pack:",
        ),
        (
            "blast freeze",
            &["--load", "6,000 pack"],
            1,
            "Does not do its job",
        ),
        // Ready at six, it goes in on the day before.
        (
            "thaw",
            &["--by", "2026-11-26 06:00"],
            0,
            "To be ready Thu 2026-11-26 06:00, it must be inside by Wed 2026-11-25",
        ),
    ] {
        let call = [&["heat", "works", TODAY[0], TODAY[1], "--of", of][..], more].concat();
        let ran = room.run(&call);
        let out = text(&ran.stdout);
        assert_eq!(
            ran.status.code(),
            Some(code),
            "{call:?}: {out}{}",
            text(&ran.stderr)
        );
        assert!(out.contains(words), "no `{words}` for {call:?} in {out}");
    }
}
