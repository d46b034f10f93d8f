//! Complaints as text: in full in the manner of a compiler, one to a line, or as JSON.

use std::collections::BTreeMap;
use std::ops::Range;

use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet, normalize_untrusted_str};
use serde::Serialize;

use crate::diagnostic::{Diagnostic, Severity};
use crate::source::{FileId, Sources, Span};

/// How complaints are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// With the lines they concern, both sides and help; a count at the end.
    Full {
        /// Whether to colour for a terminal (ANSI).
        colour: bool,
    },
    /// `path:line:col: fault[code]: headline`, one to a line.
    Line,
    /// An array of objects.
    Json,
}

/// Columns of a terminal that full complaints are laid out for.
const WIDTH: usize = 110;

/// In a longer line, places are shown one by one, each with what lies round it, bytes.
const LONG_LINE: usize = 400;

/// Places in one file that lie at most so many lines apart are shown in one piece.
const NEAR_LINES: usize = 6;

/// Lines of one place that are shown at most.
const MOST_LINES: usize = 8;

/// Writes complaints in the order given.
pub fn render(diagnostics: &[Diagnostic], sources: &Sources, form: Form) -> String {
    let mut places = Places::new(sources);
    match form {
        Form::Full { colour } => full(diagnostics, &mut places, colour),
        Form::Line => diagnostics.iter().map(|d| line(d, &mut places)).collect(),
        Form::Json => json(diagnostics, &mut places),
    }
}

/// Puts complaints in the order of their places (files as they were read), then of their codes.
pub fn sort(diagnostics: &mut [Diagnostic]) {
    diagnostics.sort_by(|a, b| (a.at, a.code, &a.headline).cmp(&(b.at, b.code, &b.headline)));
}

/// `3 faults, 1 warning`.
pub fn summary(diagnostics: &[Diagnostic]) -> String {
    let faults = diagnostics
        .iter()
        .filter(|d| d.severity == Severity::Fault)
        .count();
    let count = |number: usize, what: &str| match number {
        0 => format!("no {what}s"),
        1 => format!("1 {what}"),
        _ => format!("{number} {what}s"),
    };
    match diagnostics.len() - faults {
        0 => count(faults, "fault"),
        warnings => format!("{}, {}", count(faults, "fault"), count(warnings, "warning")),
    }
}

/// Where the lines of each file begin, found once: a table may have a million of them.
struct Places<'s> {
    sources: &'s Sources,
    starts: BTreeMap<FileId, Vec<usize>>,
}

/// A span inside its text, with line and column from 1 (the column in characters).
struct Place<'s> {
    path: &'s str,
    range: Range<usize>,
    line: usize,
    column: usize,
    /// The lines it touches, from 0.
    lines: Range<usize>,
}

impl<'s> Places<'s> {
    fn new(sources: &'s Sources) -> Self {
        Self {
            sources,
            starts: BTreeMap::new(),
        }
    }

    fn starts(&mut self, file: FileId) -> &[usize] {
        let text = &self.sources.get(file).text;
        self.starts.entry(file).or_insert_with(|| {
            let behind = text
                .bytes()
                .enumerate()
                .filter(|(_, b)| *b == b'\n')
                .map(|(at, _)| at + 1);
            std::iter::once(0).chain(behind).collect()
        })
    }

    /// A span made to fit its text, whatever it says.
    fn find(&mut self, span: Span) -> Place<'s> {
        let source = self.sources.get(span.file);
        let text = source.text.as_str();
        let start = text.floor_char_boundary(span.range().start.min(text.len()));
        let end = text.ceil_char_boundary(span.range().end.clamp(start, text.len()));
        let starts = self.starts(span.file);
        let line = starts.partition_point(|&at| at <= start) - 1;
        let last_byte = end.max(start + 1) - 1;
        let last = starts.partition_point(|&at| at <= last_byte).max(line + 1);
        let column = text[starts[line]..start].chars().count() + 1;
        Place {
            path: &source.path,
            range: start..end,
            line: line + 1,
            column,
            lines: line..last,
        }
    }

    /// The text of some lines, without the end of the last, and its first byte.
    fn lines(&mut self, file: FileId, lines: &Range<usize>) -> (&'s str, usize) {
        let text = self.sources.get(file).text.as_str();
        let starts = self.starts(file);
        let start = starts[lines.start];
        let Some(&end) = starts.get(lines.end) else {
            return (&text[start..], start);
        };
        let line = &text[start..end];
        (
            line.strip_suffix('\n')
                .unwrap_or(line)
                .trim_end_matches('\r'),
            start,
        )
    }
}

fn name(severity: Severity) -> &'static str {
    match severity {
        Severity::Fault => "fault",
        Severity::Warning => "warning",
    }
}

fn line(diagnostic: &Diagnostic, places: &mut Places<'_>) -> String {
    let Place {
        path, line, column, ..
    } = places.find(diagnostic.at);
    let Diagnostic {
        code,
        severity,
        headline,
        ..
    } = diagnostic;
    let headline = one_line(headline);
    format!(
        "{path}:{line}:{column}: {}[{code}]: {headline}\n",
        name(*severity)
    )
}

/// A text without line ends and control characters.
fn one_line(text: &str) -> String {
    normalize_untrusted_str(&text.replace(['\r', '\n'], " "))
}

/// A complaint as JSON; bytes count from 0, lines and columns from 1.
#[derive(Serialize)]
struct Object<'d> {
    severity: Severity,
    code: &'d str,
    headline: &'d str,
    #[serde(flatten)]
    at: At<'d>,
    label: &'d str,
    others: Vec<At<'d>>,
    expected: Option<&'d str>,
    found: Option<&'d str>,
    help: Option<&'d str>,
}

#[derive(Serialize)]
struct At<'d> {
    path: &'d str,
    line: usize,
    column: usize,
    start: usize,
    end: usize,
    #[serde(skip_serializing_if = "Option::is_none")]
    words: Option<&'d str>,
}

fn json(diagnostics: &[Diagnostic], places: &mut Places<'_>) -> String {
    let mut at = |span, words| {
        let Place {
            path,
            line,
            column,
            range,
            ..
        } = places.find(span);
        At {
            path,
            line,
            column,
            start: range.start,
            end: range.end,
            words,
        }
    };
    let objects: Vec<_> = diagnostics
        .iter()
        .map(|d| Object {
            severity: d.severity,
            code: d.code,
            headline: &d.headline,
            at: at(d.at, None),
            label: &d.label,
            others: d
                .others
                .iter()
                .map(|(span, words)| at(*span, Some(words)))
                .collect(),
            expected: d.expected.as_deref(),
            found: d.found.as_deref(),
            help: d.help.as_deref(),
        })
        .collect();
    let mut text = serde_json::to_string_pretty(&objects).expect("texts and numbers are JSON");
    text.push('\n');
    text
}

fn full(diagnostics: &[Diagnostic], places: &mut Places<'_>, colour: bool) -> String {
    let renderer = if colour {
        Renderer::styled()
    } else {
        Renderer::plain()
    }
    .term_width(WIDTH);
    let mut text = String::new();
    for diagnostic in diagnostics {
        text += &renderer.render(&[group(diagnostic, places)]);
        text += "\n\n";
    }
    text += &summary(diagnostics);
    text.push('\n');
    text
}

/// One complaint with its pieces of text.
fn group<'d, 's: 'd>(diagnostic: &'d Diagnostic, places: &mut Places<'s>) -> Group<'d> {
    let level = match diagnostic.severity {
        Severity::Fault => Level::ERROR,
        Severity::Warning => Level::WARNING,
    };
    let title = level
        .with_name(name(diagnostic.severity))
        .primary_title(one_line(&diagnostic.headline))
        .id(diagnostic.code);
    let mut group = Group::with_title(title);
    for piece in pieces(diagnostic, places) {
        let snippet = piece.shown(places);
        group = group.element(snippet);
    }
    for (name, words) in [
        ("expected", &diagnostic.expected),
        ("found", &diagnostic.found),
        ("help", &diagnostic.help),
    ] {
        let level = if name == "help" {
            Level::HELP
        } else {
            Level::NOTE
        };
        if let Some(words) = words {
            group = group.element(level.with_name(name).message(one_line(words)));
        }
    }
    group
}

/// Lines of a file that are shown together, and what is marked in them.
struct Piece {
    file: FileId,
    lines: Range<usize>,
    marks: Vec<Mark>,
}

struct Mark {
    kind: AnnotationKind,
    /// Bytes of the file.
    range: Range<usize>,
    label: String,
}

/// The place of a complaint first, then the other ones, joined with a piece that lies near.
fn pieces(diagnostic: &Diagnostic, places: &mut Places<'_>) -> Vec<Piece> {
    let primary = (
        diagnostic.at,
        diagnostic.label.as_str(),
        AnnotationKind::Primary,
    );
    let others = diagnostic.others.iter();
    let others = others.map(|(at, words)| (*at, words.as_str(), AnnotationKind::Context));
    let mut pieces: Vec<Piece> = Vec::new();
    for (at, label, kind) in std::iter::once(primary).chain(others) {
        let place = places.find(at);
        let mut lines = place.lines.clone();
        lines.end = lines.end.min(lines.start + MOST_LINES);
        let (shown, start) = places.lines(at.file, &lines);
        let last = start + shown.len();
        let range = place.range.start.min(last)..place.range.end.min(last);
        let mark = Mark {
            kind,
            range,
            label: one_line(label),
        };
        let long = shown.lines().any(|line| line.len() > LONG_LINE);
        let near = |piece: &&mut Piece| {
            piece.file == at.file
                && !long
                && lines.start <= piece.lines.end + NEAR_LINES
                && piece.lines.start <= lines.end + NEAR_LINES
        };
        if let Some(piece) = pieces.iter_mut().find(near) {
            piece.lines = piece.lines.start.min(lines.start)..piece.lines.end.max(lines.end);
            piece.marks.push(mark);
        } else {
            pieces.push(Piece {
                file: at.file,
                lines,
                marks: vec![mark],
            });
        }
    }
    pieces
}

impl Piece {
    /// The piece as a snippet.
    fn shown<'d>(&self, places: &mut Places<'d>) -> Snippet<'d, annotate_snippets::Annotation<'d>> {
        let path = places.sources.get(self.file).path.as_str();
        let (text, start) = places.lines(self.file, &self.lines);
        let marks = self.marks.iter().map(|mark| {
            let label = (!mark.label.is_empty()).then(|| mark.label.clone());
            mark.kind
                .span(mark.range.start - start..mark.range.end - start)
                .label(label)
        });
        let marks: Vec<_> = marks.collect();
        Snippet::source(text)
            .path(path)
            .line_start(self.lines.start + 1)
            .annotations(marks)
    }
}

#[cfg(test)]
mod tests;
