//! Complaints as they are read.

use proptest::prelude::*;

use super::*;

const TEXT: &str = "[station.press]\ncalendar = \"dayz\"\ncount = 2\n\n[calendar.days]\n";

fn span(text: &str, part: &str) -> Span {
    let start = text.find(part).unwrap();
    Span::new(FileId(0), start..start + part.len())
}

fn sources() -> Sources {
    let mut sources = Sources::default();
    sources.add("works.toml", TEXT);
    sources.add("orders.csv", "number\titem\n1001\tplot sgin\n");
    sources.add("empty.csv", "");
    sources
}

fn unknown_name() -> Diagnostic {
    let at = span(TEXT, "\"dayz\"");
    Diagnostic::fault("unknown-name", at, "cannot find the calendar `dayz`")
        .label("no such calendar")
        .other(span(TEXT, "days"), "a name much like it")
        .sides("the name of a calendar", "`dayz`")
        .help("did you mean `days`?")
}

fn in_full(diagnostics: &[Diagnostic], sources: &Sources) -> String {
    render(diagnostics, sources, Form::Full { colour: false })
}

#[test]
fn in_the_manner_of_a_compiler() {
    let expected = r#"fault[unknown-name]: cannot find the calendar `dayz`
 --> works.toml:2:12
  |
2 | calendar = "dayz"
  |            ^^^^^^ no such calendar
...
5 | [calendar.days]
  |           ---- a name much like it
  |
  = expected: the name of a calendar
  = found: `dayz`
  = help: did you mean `days`?

1 fault
"#;
    assert_eq!(in_full(&[unknown_name()], &sources()), expected);
}

#[test]
fn a_cell_and_another_file() {
    let cell = Span::new(FileId(1), 17..26); // `number→item↵` are 12 bytes, `1001→` five more
    let odd = Diagnostic::warning("unknown-name", cell, "cannot find the item `plot sgin`")
        .other(span(TEXT, "count"), "in\nanother file");
    let expected = r"warning[unknown-name]: cannot find the item `plot sgin`
 --> orders.csv:2:6
  |
2 | 1001    plot sgin
  |         ^^^^^^^^^
  |
 ::: works.toml:3:1
  |
3 | count = 2
  | ----- in another file

no faults, 1 warning
";
    assert_eq!(in_full(&[odd], &sources()), expected);
}

#[test]
fn at_the_end_and_in_nothing() {
    let end = Span::new(FileId(0), TEXT.len()..TEXT.len());
    let list = [
        Diagnostic::fault("missing-key", end, "expected a name"),
        Diagnostic::fault("bad-table", Span::new(FileId(2), 0..0), "expected columns"),
        // A span that is not of this text at all.
        Diagnostic::fault(
            "bad-table",
            Span::new(FileId(2), 7..900),
            "expected columns",
        ),
    ];
    let expected = "works.toml:6:1: fault[missing-key]: expected a name
empty.csv:1:1: fault[bad-table]: expected columns
empty.csv:1:1: fault[bad-table]: expected columns
";
    assert_eq!(render(&list, &sources(), Form::Line), expected);
    let full = in_full(&list, &sources());
    assert!(
        full.contains(" --> works.toml:6:1\n  |\n6 |\n  | ^\n"),
        "{full}"
    );
    assert!(full.ends_with("3 faults\n"));
}

#[test]
fn long_lines_are_cut_to_what_matters() {
    let line = format!("{}BAD{}OTHER", "é1,".repeat(3000), ",22".repeat(2000));
    let mut sources = Sources::default();
    sources.add("orders.csv", line.clone());
    let odd = Diagnostic::fault("x", span(&line, "BAD"), "odd").label("here");
    let full = in_full(&[odd.other(span(&line, "OTHER"), "and there")], &sources);
    // 3,000 × 3 characters stand before it.
    assert!(full.contains(" --> orders.csv:1:9001\n"), "{full}");
    assert!(
        full.contains("^^^ here") && full.contains("----- and there"),
        "{full}"
    );
    assert!(
        full.lines().all(|line| line.chars().count() < 130),
        "{full}"
    );
    let whole = Diagnostic::fault("x", Span::new(FileId(0), 0..line.len()), "odd");
    let full = in_full(&[whole], &sources);
    assert!(
        full.lines().all(|line| line.chars().count() < 130),
        "{full}"
    );
}

#[test]
fn many_lines_are_cut_to_the_first() {
    let text = "row\n".repeat(100_000);
    let mut sources = Sources::default();
    sources.add("orders.csv", text.clone());
    let all = Diagnostic::fault("x", Span::new(FileId(0), 0..text.len()), "odd");
    assert!(in_full(&[all], &sources).lines().count() < 20);
}

#[test]
fn as_json() {
    let text = render(&[unknown_name()], &sources(), Form::Json);
    let list: serde_json::Value = serde_json::from_str(&text).unwrap();
    // `[station.press]↵` is 16 bytes, `calendar = ` 11: the value stands at 27, six bytes long.
    let expected = serde_json::json!([{
        "severity": "fault", "code": "unknown-name",
        "headline": "cannot find the calendar `dayz`",
        "path": "works.toml", "line": 2, "column": 12, "start": 27, "end": 33,
        "label": "no such calendar",
        "others": [{
            "path": "works.toml", "line": 5, "column": 11, "start": 55, "end": 59,
            "words": "a name much like it",
        }],
        "expected": "the name of a calendar", "found": "`dayz`",
        "help": "did you mean `days`?",
    }]);
    assert_eq!(list, expected);
    assert_eq!(render(&[], &sources(), Form::Json), "[]\n");
}

#[test]
fn colour_is_only_colour() {
    let coloured = render(&[unknown_name()], &sources(), Form::Full { colour: true });
    assert!(coloured.contains('\u{1b}'));
    let mut plain = String::new();
    let mut rest = coloured.chars();
    while let Some(c) = rest.next() {
        if c == '\u{1b}' {
            let _ = rest.by_ref().find(|&c| c == 'm');
        } else {
            plain.push(c);
        }
    }
    assert_eq!(plain, in_full(&[unknown_name()], &sources()));
}

#[test]
fn order_and_count() {
    let at = |file, start| Span::new(FileId(file), start..start + 1);
    let mut list = vec![
        Diagnostic::warning("b", at(1, 0), ""),
        Diagnostic::fault("b", at(0, 9), ""),
        Diagnostic::fault("a", at(0, 9), ""),
        Diagnostic::fault("z", at(0, 2), ""),
    ];
    sort(&mut list);
    let order: Vec<_> = list
        .iter()
        .map(|d| (d.at.file.0, d.at.start, d.code))
        .collect();
    assert_eq!(order, [(0, 2, "z"), (0, 9, "a"), (0, 9, "b"), (1, 0, "b")]);
    assert_eq!(summary(&list), "3 faults, 1 warning");
    assert_eq!(summary(&[]), "no faults");
}

proptest! {
    #[test]
    fn any_span_of_any_text(
        text in "[a\t\r\n é€\u{200b}\u{1b}]{0,40}", other in "\\PC{0,10}",
        spans in proptest::collection::vec((0..60usize, 0..60usize), 1..4),
    ) {
        let mut sources = Sources::default();
        sources.add("a", text);
        sources.add("b", other);
        let span = |(n, &(start, end)): (usize, &(usize, usize))| Span::new(FileId((n % 2) as u32), start..end);
        let spans: Vec<Span> = spans.iter().enumerate().map(span).collect();
        let mut diagnostic = Diagnostic::fault("x", spans[0], "\u{1b}[2J").label("l");
        for &span in &spans[1..] {
            diagnostic = diagnostic.other(span, "o\r\no");
        }
        for form in [Form::Full { colour: false }, Form::Line, Form::Json] {
            let text = render(std::slice::from_ref(&diagnostic), &sources, form);
            prop_assert!(!text.contains('\u{1b}'), "{}", text);
        }
        let line = render(&[diagnostic], &sources, Form::Line);
        prop_assert_eq!(line.lines().count(), 1);
    }
}
