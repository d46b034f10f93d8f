//! Where a fact was written: files of the works folder, and spans in them.

use std::collections::BTreeMap;
use std::ops::Range;

use serde::Serialize;

/// The files of a works folder, by their path in it with forward slashes.
///
/// The library never opens a file itself: whoever calls it has read the folder into this.
#[derive(Clone, Debug, Default)]
pub struct Files(BTreeMap<String, Vec<u8>>);

impl Files {
    /// An empty folder.
    pub fn new() -> Self {
        Self::default()
    }

    /// Puts a file in, replacing one of the same path.
    pub fn insert(&mut self, path: impl Into<String>, bytes: impl Into<Vec<u8>>) {
        self.0.insert(path.into(), bytes.into());
    }

    /// The same, for building a folder in one expression.
    #[must_use]
    pub fn with(mut self, path: impl Into<String>, bytes: impl Into<Vec<u8>>) -> Self {
        self.insert(path, bytes);
        self
    }

    /// The bytes of one file.
    pub fn get(&self, path: &str) -> Option<&[u8]> {
        self.0.get(path).map(Vec::as_slice)
    }

    /// Every file, in order of path.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &[u8])> {
        self.0
            .iter()
            .map(|(path, bytes)| (path.as_str(), bytes.as_slice()))
    }
}

/// The number of a file among the [`Sources`] that were read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct FileId(pub u32);

/// A stretch of bytes in one file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct Span {
    /// The file.
    pub file: FileId,
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

impl Span {
    /// A span from a byte range.
    pub fn new(file: FileId, range: Range<usize>) -> Self {
        Self {
            file,
            start: range.start as u32,
            end: range.end as u32,
        }
    }

    /// The byte range.
    pub fn range(self) -> Range<usize> {
        self.start as usize..self.end as usize
    }
}

/// Every text that was read, so that a span can be shown again.
///
/// A spreadsheet is kept as the text of its rows (tab between cells), so that a fault in a cell
/// can be shown like one in a text file.
#[derive(Clone, Debug, Default)]
pub struct Sources {
    files: Vec<Source>,
}

/// One text that was read.
#[derive(Clone, Debug)]
pub struct Source {
    /// Path in the works folder.
    pub path: String,
    /// Its text.
    pub text: String,
}

impl Sources {
    /// Adds a text and numbers it.
    pub fn add(&mut self, path: impl Into<String>, text: impl Into<String>) -> FileId {
        self.files.push(Source {
            path: path.into(),
            text: text.into(),
        });
        FileId(self.files.len() as u32 - 1)
    }

    /// One text.
    pub fn get(&self, file: FileId) -> &Source {
        &self.files[file.0 as usize]
    }

    /// Line and column (both from 1, the column in characters) of the start of a span.
    pub fn line_column(&self, span: Span) -> (usize, usize) {
        let text = &self.get(span.file).text;
        let mut at = (span.start as usize).min(text.len());
        while !text.is_char_boundary(at) {
            at -= 1;
        }
        let before = &text[..at];
        let line = before.bytes().filter(|&b| b == b'\n').count() + 1;
        let column = before.rsplit('\n').next().unwrap_or("").chars().count() + 1;
        (line, column)
    }

    /// `path:line` of a span, as a source note of a figure shows it.
    pub fn place(&self, span: Span) -> String {
        format!("{}:{}", self.get(span.file).path, self.line_column(span).0)
    }
}
