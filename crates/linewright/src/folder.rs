//! The works folder on disk: read whole, written so that no file is ever half there.

use std::fs;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

use works::Files;

use crate::Trouble;

/// Files larger than this are not read; no works needs one, and a slip should not fill the memory.
const LARGEST_BYTES: u64 = 512 * 1024 * 1024;

/// The same for TOML, which is written by hand: 5,000 operations take half a megabyte.
const LARGEST_TOML_BYTES: u64 = 16 * 1024 * 1024;

fn disk(what: &'static str, path: &Path) -> impl FnOnce(io::Error) -> Trouble {
    let path = path.display().to_string();
    move |error| Trouble::Disk { what, path, error }
}

/// The folders that the works library reads.
const FOLDERS: [&str; 8] = [
    "routes",
    "orders",
    "stock",
    "readings",
    "readings/logs",
    "readings/weighed",
    "boards",
    "holes",
];

/// The files of a works folder that the works library reads: TOML and tables at the top and in
/// [`FOLDERS`].
pub(crate) fn read(folder: &Path) -> Result<Files, Trouble> {
    let mut files = Files::new();
    read_level(folder, "", &mut files)?;
    for name in FOLDERS {
        let inner = folder.join(name);
        if inner.is_dir() {
            read_level(&inner, &format!("{name}/"), &mut files)?;
        }
    }
    Ok(files)
}

fn read_level(folder: &Path, prefix: &str, files: &mut Files) -> Result<(), Trouble> {
    for entry in fs::read_dir(folder).map_err(disk("read", folder))? {
        let entry = entry.map_err(disk("read", folder))?;
        let path = entry.path();
        let Some(name) = path.file_name().and_then(|name| name.to_str()) else {
            continue;
        };
        let ending = path
            .extension()
            .and_then(|e| e.to_str())
            .unwrap_or("")
            .to_ascii_lowercase();
        let is_ours = matches!(ending.as_str(), "toml" | "csv" | "xlsx");
        // Editors leave hidden files and spreadsheets leave locks (~$orders.xlsx) behind.
        if !is_ours || name.starts_with(['.', '~']) || !path.is_file() {
            continue;
        }
        let length = fs::metadata(&path).map_err(disk("read", &path))?.len();
        let largest = if ending == "toml" {
            LARGEST_TOML_BYTES
        } else {
            LARGEST_BYTES
        };
        if length > largest {
            let error = io::Error::other(format!(
                "it has {} MB, and no more than {} MB are read of such a file",
                length.div_ceil(1024 * 1024),
                largest / 1024 / 1024
            ));
            return Err(disk("read", &path)(error));
        }
        files.insert(
            format!("{prefix}{name}"),
            fs::read(&path).map_err(disk("read", &path))?,
        );
    }
    Ok(())
}

/// Writes files beside their places and renames them when all are there, so that a reader sees the
/// old or the new ones, and a full disk leaves the old.
pub(crate) fn write(files: &[(&Path, &[u8])]) -> Result<(), Trouble> {
    let placed = files
        .iter()
        .try_for_each(|(path, bytes)| write_beside(path, bytes))
        .and_then(|()| {
            files.iter().try_for_each(|(path, _)| {
                fs::rename(beside(path), path).map_err(disk("write", path))
            })
        });
    if placed.is_err() {
        for (path, _) in files {
            // What is half there is of no use to anybody; that it cannot be removed changes nothing.
            let _ = fs::remove_file(beside(path));
        }
    }
    placed
}

fn write_beside(path: &Path, bytes: &[u8]) -> Result<(), Trouble> {
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder).map_err(disk("write", folder))?;
    }
    fs::File::create(beside(path))
        .and_then(|mut file| {
            file.write_all(bytes)?;
            file.sync_all()
        })
        .map_err(disk("write", path))
}

/// A name beside a path that two runs at once do not share.
fn beside(path: &Path) -> PathBuf {
    let name = path
        .file_name()
        .map(|name| name.to_string_lossy().into_owned())
        .unwrap_or_default();
    path.with_file_name(format!(".{name}.{}.part", std::process::id()))
}

/// Writes a whole new folder beside its place and renames it.
pub(crate) fn write_new(folder: &Path, files: &[(&str, &[u8])]) -> Result<(), Trouble> {
    if folder.exists() {
        let mut entries = fs::read_dir(folder).map_err(disk("write", folder))?;
        if entries.next().is_some() {
            let error = io::Error::new(io::ErrorKind::AlreadyExists, "the folder is not empty");
            return Err(disk("write", folder)(error));
        }
    }
    let beside = beside(&absolute(folder)?);
    let written = files.iter().try_for_each(|(path, bytes)| {
        write(&[(&beside.join(path), *bytes)]).map_err(|trouble| match trouble {
            // The folder beside is gone when this is read; the one asked for is what is known.
            Trouble::Disk { error, .. } => disk("write", folder)(error),
            other => other,
        })
    });
    let moved = written.and_then(|()| {
        if folder.exists() {
            fs::remove_dir(folder).map_err(disk("write", folder))?;
        }
        fs::rename(&beside, folder).map_err(disk("write", folder))
    });
    if moved.is_err() {
        let _ = fs::remove_dir_all(&beside);
    }
    moved
}

/// The path from the root, so that `.` and `..` have a name to put something beside.
fn absolute(path: &Path) -> Result<PathBuf, Trouble> {
    let path = if path.exists() {
        path.canonicalize()
    } else {
        std::path::absolute(path)
    };
    path.map_err(disk("find", Path::new("the folder")))
}
