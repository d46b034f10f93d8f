//! The lines a calendar is written in.
//!
//! ```text
//! week    Mon..Fri 06:00-14:00 14:00-22:00     Mon, Wed 08:00-16:30; Fri 8:00am-1:00pm
//!         daily 22:00-06:00                    always
//! days    2026-12-25     2026-12-24..2027-01-01     12-25 (every year)     12-24..01-01
//! dated   2026-12-05 06:00-12:00
//! ```
//! Reading a line either gives what it says or the first fault with its bytes in the line.

use std::ops::Range;

use jiff::civil::{Date, Weekday};

use super::position;
use super::stretch::{DAY, Stretch};
use crate::diagnostic::Diagnostic;
use crate::source::Span;
use crate::suggest;

/// What is wrong with a line, and where in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TextFault {
    /// Bytes of the line.
    pub range: Range<usize>,
    /// The fault, lower case, without a full stop.
    pub headline: String,
    /// What to do about it.
    pub help: Option<String>,
}

impl TextFault {
    /// The fault as a complaint, for a line that stands at a span (with its quotes, if it has any).
    pub fn diagnostic(&self, line: &str, at: Span) -> Diagnostic {
        Diagnostic::fault(
            "bad-shift",
            part(line, at, self.range.clone()),
            self.headline.as_str(),
        )
        .maybe_help(self.help.clone())
    }
}

/// Where a part of a line stands in the file. A line with escapes is longer in the file than as
/// read: then the whole of it.
pub(super) fn part(line: &str, at: Span, range: Range<usize>) -> Span {
    let quotes = match at.range().len().checked_sub(line.len()) {
        Some(0) => 0,
        Some(2) => 1,
        _ => return at,
    };
    let start = at.range().start + quotes;
    Span::new(at.file, start + range.start..start + range.end)
}

/// One shift or break of a week line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Weekly {
    /// The days it starts on, Monday first.
    pub(super) days: [bool; 7],
    /// From and to, s from midnight on the clock; the end may lie on the next day.
    pub(super) clock: Stretch,
    /// Bytes of the time in the line.
    pub(super) range: Range<usize>,
}

/// Days on which something is closed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Days {
    /// First and last.
    Dated(Date, Date),
    /// First and last as month and day, of every year; the last may lie in the next year.
    Yearly((i8, i8), (i8, i8)),
}

/// A shift on single days.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Dated {
    pub(super) first: Date,
    pub(super) last: Date,
    pub(super) clock: Stretch,
    pub(super) range: Range<usize>,
}

/// Longest run of days that one extra shift may be written for.
const LONGEST_EXTRA_DAYS: i32 = 366;

/// Reads a line of shifts or breaks.
pub(super) fn week(line: &str) -> Result<Vec<Weekly>, TextFault> {
    let mut tokens = Tokens::new(line);
    let mut list = Vec::new();
    while !tokens.at_end() {
        let start = tokens.start();
        let (days, all_day) = days_of_week(&mut tokens)?;
        if all_day {
            let range = start..tokens.behind();
            list.push(Weekly {
                days,
                clock: (0, DAY),
                range,
            });
            tokens.skip_separators();
            continue;
        }
        for (clock, range) in times(&mut tokens)? {
            list.push(Weekly { days, clock, range });
        }
    }
    if list.is_empty() {
        return Err(tokens.expected("days and times", WEEK_HELP));
    }
    Ok(list)
}

/// Reads a line of breaks.
pub(super) fn breaks(line: &str) -> Result<Vec<Weekly>, TextFault> {
    let list = week(line)?;
    match list.iter().find(|one| one.clock.1 - one.clock.0 == DAY) {
        None => Ok(list),
        Some(one) => Err(fault(
            one.range.clone(),
            "expected a break shorter than a day",
            Some("leave the day out of `work`, or write it under `closed`"),
        )),
    }
}

/// Reads a line of closed days.
pub(super) fn closed(line: &str) -> Result<Vec<Days>, TextFault> {
    let mut tokens = Tokens::new(line);
    let mut list = Vec::new();
    while list.is_empty() || !tokens.at_end() {
        list.push(some_days(&mut tokens)?.0);
        tokens.skip_separators();
    }
    Ok(list)
}

/// Reads a line of extra shifts.
pub(super) fn extra(line: &str) -> Result<Vec<Dated>, TextFault> {
    let mut tokens = Tokens::new(line);
    let mut list = Vec::new();
    while list.is_empty() || !tokens.at_end() {
        let (days, range) = some_days(&mut tokens)?;
        let Days::Dated(first, last) = days else {
            return Err(fault(
                range,
                "cannot add a shift to a day without a year",
                Some("write the year too, as in `2026-12-05 06:00-12:00`"),
            ));
        };
        let long = first.until(last).map_or(i32::MAX, |span| span.get_days());
        if long >= LONGEST_EXTRA_DAYS {
            return Err(fault(
                range,
                "cannot add a shift to more than a year of days",
                Some("write it as a line of `work` instead"),
            ));
        }
        tokens.skip_separators();
        for (clock, range) in times(&mut tokens)? {
            list.push(Dated {
                first,
                last,
                clock,
                range,
            });
        }
    }
    Ok(list)
}

const WEEK_HELP: &str = "write days, then times, as in `Mon..Fri 06:00-14:00`";
const TIME_HELP: &str = "write a time as hours and minutes, as in `06:00-14:00`";
const DATE_HELP: &str = "write year, month and day, as in `2026-12-25`, or `12-25` for every year";

fn fault(range: Range<usize>, headline: impl Into<String>, help: Option<&str>) -> TextFault {
    TextFault {
        range,
        headline: headline.into(),
        help: help.map(str::to_owned),
    }
}

/// Days of the week up to the first time; whether they are open all day (`always`).
fn days_of_week(tokens: &mut Tokens<'_>) -> Result<([bool; 7], bool), TextFault> {
    let mut days = [false; 7];
    loop {
        tokens.skip_separators();
        match tokens.word() {
            Some("always") => {
                tokens.next();
                return Ok(([true; 7], true));
            }
            Some("daily" | "everyday") => days = [true; 7],
            Some("weekdays") => days[..5].fill(true),
            Some("weekends") => days[5..].fill(true),
            Some("and") => {}
            Some(_) => {
                let first = weekday(tokens)?;
                let last = if tokens.eat_range() {
                    weekday(tokens)?
                } else {
                    first
                };
                mark(&mut days, first, last);
                continue;
            }
            None if days.contains(&true) => return Ok((days, false)),
            None => return Err(tokens.expected("a day of the week", WEEK_HELP)),
        }
        tokens.next();
    }
}

/// Marks the days from one to another, past Sunday if need be.
fn mark(days: &mut [bool; 7], first: Weekday, last: Weekday) {
    let (first, last) = (position(first), position(last));
    for step in 0..=(last + 7 - first) % 7 {
        days[(first + step) % 7] = true;
    }
}

const WEEKDAYS: [(Weekday, &str, &[&str]); 7] = [
    (Weekday::Monday, "monday", &["mon", "mondays"]),
    (Weekday::Tuesday, "tuesday", &["tue", "tues", "tuesdays"]),
    (
        Weekday::Wednesday,
        "wednesday",
        &["wed", "weds", "wednesdays"],
    ),
    (
        Weekday::Thursday,
        "thursday",
        &["thu", "thur", "thurs", "thursdays"],
    ),
    (Weekday::Friday, "friday", &["fri", "fridays"]),
    (Weekday::Saturday, "saturday", &["sat", "saturdays"]),
    (Weekday::Sunday, "sunday", &["sun", "sundays"]),
];

fn weekday(tokens: &mut Tokens<'_>) -> Result<Weekday, TextFault> {
    let Some(word) = tokens.word().map(str::to_owned) else {
        return Err(tokens.expected("a day of the week", WEEK_HELP));
    };
    for (day, full, short) in WEEKDAYS {
        if word == full || short.contains(&word.as_str()) {
            tokens.next();
            return Ok(day);
        }
    }
    let names = WEEKDAYS
        .iter()
        .flat_map(|&(_, full, short)| [full, short[0]]);
    let help = suggest::nearest(
        &word,
        names.chain(["daily", "always", "weekdays", "weekends"]),
    )
    .map_or_else(
        || WEEK_HELP.to_owned(),
        |name| format!("did you mean `{}`?", titled(name)),
    );
    Err(TextFault {
        help: Some(help),
        ..tokens.expected("a day of the week", "")
    })
}

/// `monday` as `Monday`, but `daily` as it is.
fn titled(name: &str) -> String {
    if WEEKDAYS
        .iter()
        .any(|(_, full, short)| *full == name || short.contains(&name))
    {
        return name[..1].to_uppercase() + &name[1..];
    }
    name.to_owned()
}

/// One or more times from … to.
fn times(tokens: &mut Tokens<'_>) -> Result<Vec<(Stretch, Range<usize>)>, TextFault> {
    let mut list = Vec::new();
    loop {
        let another = matches!(tokens.peek(), Some(Token::Number)) && !tokens.at_date();
        if !list.is_empty() && !another {
            return Ok(list);
        }
        list.push(time_range(tokens)?);
        tokens.skip_separators();
    }
}

/// `06:00-14:00`; where both are the same, day and night.
fn time_range(tokens: &mut Tokens<'_>) -> Result<(Stretch, Range<usize>), TextFault> {
    let start = tokens.start();
    let from = clock(tokens)?;
    if !tokens.eat_range() {
        return Err(tokens.expected("`-` and the end of the time", TIME_HELP));
    }
    let to = clock(tokens)?;
    let range = start..tokens.behind();
    if from.half_named != to.half_named {
        return Err(fault(
            range,
            "expected am or pm on both times or on neither",
            Some("write `6:00am-2:00pm` or `06:00-14:00`"),
        ));
    }
    if from.s == DAY {
        return Err(fault(
            range,
            "cannot start at 24:00",
            Some("write 00:00 of the next day"),
        ));
    }
    let past_midnight = if to.s <= from.s { DAY } else { 0 };
    Ok(((from.s, to.s + past_midnight), range))
}

/// A time of day.
struct Clock {
    /// Seconds from midnight.
    s: i64,
    /// Whether am or pm was written.
    half_named: bool,
}

/// `06:00`, `6`, `6:30am`, `24:00`.
fn clock(tokens: &mut Tokens<'_>) -> Result<Clock, TextFault> {
    let start = tokens.start();
    let (hour_text, hour) = tokens.number("a time", TIME_HELP)?;
    let (minute_text, minute) = if tokens.eat(Token::Colon) {
        tokens.number("minutes", TIME_HELP)?
    } else {
        ("00", 0)
    };
    let half = tokens
        .word()
        .filter(|word| matches!(*word, "am" | "pm"))
        .map(str::to_owned);
    if half.is_some() {
        tokens.next();
    }
    let range = start..tokens.behind();
    if hour_text.len() > 2 || minute_text.len() != 2 {
        return Err(fault(range, "expected a time of day", Some(TIME_HELP)));
    }
    let hour = match half.as_deref() {
        Some(half) if (1..=12).contains(&hour) => hour % 12 + if half == "pm" { 12 } else { 0 },
        Some(_) => {
            return Err(fault(
                range,
                "expected an hour of 1 to 12 before am or pm",
                None,
            ));
        }
        None => hour,
    };
    let s = hour * 3600 + minute * 60;
    if minute > 59 || s > DAY {
        return Err(fault(
            range,
            "expected a time of day from 00:00 to 24:00",
            None,
        ));
    }
    Ok(Clock {
        s,
        half_named: half.is_some(),
    })
}

/// A date or a range of dates, with its bytes.
fn some_days(tokens: &mut Tokens<'_>) -> Result<(Days, Range<usize>), TextFault> {
    tokens.skip_separators();
    let start = tokens.start();
    let first = one_day(tokens)?;
    let last = if tokens.eat_days_range() {
        one_day(tokens)?
    } else {
        first
    };
    let range = start..tokens.behind();
    let days = match (first, last) {
        (Days::Dated(first, _), Days::Dated(last, _)) if first <= last => Days::Dated(first, last),
        (Days::Dated(..), Days::Dated(..)) => {
            return Err(fault(
                range,
                "expected a last day on or after the first",
                None,
            ));
        }
        (Days::Yearly(first, _), Days::Yearly(last, _)) => Days::Yearly(first, last),
        _ => {
            let headline = "expected a year on both days or on neither";
            return Err(fault(range, headline, Some(DATE_HELP)));
        }
    };
    Ok((days, range))
}

/// `2026-12-25` or `12-25`.
fn one_day(tokens: &mut Tokens<'_>) -> Result<Days, TextFault> {
    let start = tokens.start();
    let (first_text, first) = tokens.number("a date", DATE_HELP)?;
    if !tokens.eat(Token::Dash) {
        return Err(tokens.expected("`-` between the parts of a date", DATE_HELP));
    }
    let (_, second) = tokens.number("a date", DATE_HELP)?;
    let with_year = first_text.len() == 4;
    let (year, month, day) = if with_year {
        if !tokens.eat(Token::Dash) {
            return Err(tokens.expected("`-` and the day of the month", DATE_HELP));
        }
        (
            first,
            second,
            tokens.number("the day of the month", DATE_HELP)?.1,
        )
    } else {
        (2000, first, second) // a leap year, so that 02-29 is a day
    };
    let range = start..tokens.behind();
    let small = |number: i64| i8::try_from(number).ok();
    let date = small(month).zip(small(day)).and_then(|(month, day)| {
        let year = i16::try_from(year).ok()?;
        Date::new(year, month, day).ok()
    });
    match date {
        Some(date) if with_year => Ok(Days::Dated(date, date)),
        Some(date) => {
            let day = (date.month(), date.day());
            Ok(Days::Yearly(day, day))
        }
        None => Err(fault(
            range,
            "expected a day that the calendar has",
            Some(DATE_HELP),
        )),
    }
}

/// What a line is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Token {
    /// Letters.
    Word,
    /// Digits.
    Number,
    Colon,
    Dash,
    /// Two dots.
    Dots,
    Separator,
    /// Anything else, one character.
    Other,
}

/// A line cut into tokens, and where the reader stands.
struct Tokens<'a> {
    line: &'a str,
    /// Words in lower case stand beside their tokens so that they can be matched.
    list: Vec<(Token, Range<usize>, String)>,
    at: usize,
}

impl<'a> Tokens<'a> {
    fn new(line: &'a str) -> Self {
        let mut list = Vec::new();
        let mut rest = line.char_indices().peekable();
        while let Some((start, c)) = rest.next() {
            let doubled = line[start..].starts_with("..");
            let mut end = start + c.len_utf8();
            let mut run = |belongs: fn(char) -> bool| {
                while let Some((at, c)) = rest.next_if(|&(_, c)| belongs(c)) {
                    end = at + c.len_utf8();
                }
            };
            let token = match c {
                c if c.is_whitespace() => continue,
                c if c.is_alphabetic() => {
                    run(char::is_alphabetic);
                    Token::Word
                }
                '0'..='9' => {
                    run(|c| c.is_ascii_digit());
                    Token::Number
                }
                '.' if doubled => {
                    run(|c| c == '.');
                    Token::Dots
                }
                ':' => Token::Colon,
                '-' | '–' | '—' => Token::Dash,
                ',' | ';' => Token::Separator,
                _ => Token::Other,
            };
            let word = if token == Token::Word {
                line[start..end].to_lowercase()
            } else {
                String::new()
            };
            list.push((token, start..end, word));
        }
        Self { line, list, at: 0 }
    }

    fn peek(&self) -> Option<Token> {
        self.list.get(self.at).map(|(token, ..)| *token)
    }

    fn next(&mut self) {
        self.at += 1;
    }

    fn at_end(&self) -> bool {
        self.at >= self.list.len()
    }

    /// First byte of the token to come, or the end of what was read.
    fn start(&self) -> usize {
        self.list
            .get(self.at)
            .map_or(self.behind(), |(_, range, _)| range.start)
    }

    /// One past the last byte read.
    fn behind(&self) -> usize {
        let last = self.at.min(self.list.len()).checked_sub(1);
        last.map_or(0, |last| self.list[last].1.end)
    }

    /// The word to come, in lower case.
    fn word(&self) -> Option<&str> {
        let (token, _, word) = self.list.get(self.at)?;
        (*token == Token::Word).then_some(word.as_str())
    }

    fn eat(&mut self, token: Token) -> bool {
        let there = self.peek() == Some(token);
        self.at += usize::from(there);
        there
    }

    fn skip_separators(&mut self) {
        while self.eat(Token::Separator) {}
    }

    /// `-`, `..`, `to` between two ends.
    fn eat_range(&mut self) -> bool {
        self.eat(Token::Dash) || self.eat_days_range()
    }

    /// `..`, `to` between two dates, where a dash would be part of the date.
    fn eat_days_range(&mut self) -> bool {
        if matches!(self.word(), Some("to" | "until")) {
            self.next();
            return true;
        }
        self.eat(Token::Dots)
    }

    /// Whether a date with its year comes next.
    fn at_date(&self) -> bool {
        let range = self
            .list
            .get(self.at)
            .map_or(0..0, |(_, range, _)| range.clone());
        let dash = self
            .list
            .get(self.at + 1)
            .is_some_and(|(token, ..)| *token == Token::Dash);
        range.len() == 4 && dash
    }

    /// A whole number and how it was written.
    fn number(&mut self, what: &str, help: &str) -> Result<(&'a str, i64), TextFault> {
        if self.peek() != Some(Token::Number) {
            return Err(self.expected(what, help));
        }
        let text = &self.line[self.list[self.at].1.clone()];
        let Ok(number) = text.parse::<u32>() else {
            return Err(self.expected(what, help));
        };
        self.next();
        Ok((text, i64::from(number)))
    }

    /// The fault that something else stands here.
    fn expected(&self, what: &str, help: &str) -> TextFault {
        let help = (!help.is_empty()).then_some(help);
        let Some((_, range, _)) = self.list.get(self.at) else {
            let end = self.line.len();
            let found = if self.list.is_empty() {
                "nothing"
            } else {
                "the end"
            };
            return fault(end..end, format!("expected {what}, found {found}"), help);
        };
        let found: String = self.line[range.clone()].chars().take(24).collect();
        fault(
            range.clone(),
            format!("expected {what}, found `{found}`"),
            help,
        )
    }
}
