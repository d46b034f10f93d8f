//! Weeks worked by hand, both changes of the clock, holidays, and what must hold for any calendar.

use jiff::Timestamp;
use jiff::civil::{Date, date};
use jiff::tz::TimeZone;
use proptest::prelude::*;

use super::*;
use crate::source::FileId;

fn nowhere() -> Span {
    Span::new(FileId(0), 0..0)
}

fn zone(name: &str) -> TimeZone {
    TimeZone::get(name).unwrap()
}

fn london() -> TimeZone {
    zone("Europe/London")
}

fn written(work: &[&str], breaks: &[&str], closed: &[&str], extra: &[&str]) -> Calendar {
    let text = CalendarText {
        work: work.to_vec(),
        breaks: breaks.to_vec(),
        closed: closed.to_vec(),
        extra: extra.to_vec(),
    };
    Calendar::written("days", nowhere(), &text).unwrap()
}

fn work(line: &str) -> Calendar {
    written(&[line], &[], &[], &[])
}

fn at(text: &str) -> Timestamp {
    text.parse().unwrap()
}

/// Hours of the shifts of one day in London.
fn hours(calendar: &Calendar, day: Date) -> f64 {
    calendar.seconds(&london(), day, day) / 3600.0
}

/// Open intervals as the clock in London shows them, `Mon 06:00-14:00`.
fn shown(calendar: &Calendar, from: Date, until: Date) -> Vec<String> {
    let zone = london();
    let list = calendar.intervals(&zone, from, until);
    let clock = |t: Timestamp| zone.to_datetime(t);
    list.into_iter()
        .map(|(a, b)| {
            format!(
                "{}-{}",
                clock(a).strftime("%a %H:%M"),
                clock(b).strftime("%H:%M")
            )
        })
        .collect()
}

// 2026-11-23 is a Monday.
const MONDAY: Date = date(2026, 11, 23);
const SUNDAY: Date = date(2026, 11, 29);

#[test]
fn a_day_shift_with_a_break() {
    let calendar = written(
        &["Mon..Fri 06:00-14:00"],
        &["Mon..Fri 09:30-10:00"],
        &[],
        &[],
    );
    // 5 shifts of 8 h less half an hour: 5 × 7.5 h = 37.5 h.
    assert_eq!(calendar.seconds(&london(), MONDAY, SUNDAY), 37.5 * 3600.0);
    assert_eq!(calendar.typical_week_seconds(), 37.5 * 3600.0);
    assert_eq!(calendar.shifts_between(MONDAY, SUNDAY), 5);
    assert_eq!(calendar.days_worked(MONDAY, SUNDAY), 5);
    assert_eq!(
        shown(&calendar, MONDAY, MONDAY),
        ["Mon 06:00-09:30", "Mon 10:00-14:00"]
    );
}

#[test]
fn shifts_that_touch_are_two_shifts_and_one_interval() {
    let calendar = work("Mon..Thu 06:00-14:00 14:00-22:00; Fri 6:00am-1:30pm");
    // 4 × 16 h + 7.5 h = 71.5 h; 4 × 2 + 1 shifts.
    assert_eq!(calendar.typical_week_seconds(), 71.5 * 3600.0);
    assert_eq!(calendar.shifts_between(MONDAY, SUNDAY), 9);
    assert_eq!(shown(&calendar, MONDAY, MONDAY), ["Mon 06:00-22:00"]);
    assert_eq!(hours(&calendar, date(2026, 11, 27)), 7.5);
}

#[test]
fn a_night_shift_belongs_to_the_day_it_starts() {
    let calendar = written(
        &["Mon..Fri 22:00-06:00"],
        &["Mon..Fri 02:00-02:30"],
        &["2026-11-28"],
        &[],
    );
    // The break of Friday's shift lies on the clock of Saturday, which is closed: still worked.
    let friday = date(2026, 11, 27);
    assert_eq!(
        shown(&calendar, friday, friday),
        ["Fri 22:00-02:00", "Sat 02:30-06:00"]
    );
    assert_eq!(hours(&calendar, SUNDAY), 0.0);
    assert_eq!(calendar.typical_week_seconds(), 5.0 * 7.5 * 3600.0);
    // Saturday 03:00 and Monday 03:00 (Sunday has no shift), GMT.
    assert!(calendar.is_open(&london(), at("2026-11-28T03:00:00Z")));
    assert!(!calendar.is_open(&london(), at("2026-11-23T03:00:00Z")));
}

#[test]
fn always_is_one_interval_and_a_break_may_pass_midnight() {
    let open = work("always");
    assert_eq!(open.intervals(&london(), MONDAY, SUNDAY).len(), 1);
    assert_eq!(open.typical_week_seconds(), 168.0 * 3600.0);
    let paused = written(&["always"], &["daily 23:50-00:10"], &[], &[]);
    // 20 minutes out of each of 7 days: 604,800 − 7 × 1,200 = 596,400 s.
    assert_eq!(paused.typical_week_seconds(), 596_400.0);
    assert_eq!(shown(&paused, MONDAY, MONDAY), ["Mon 00:10-23:50"]);
}

#[test]
fn night_shifts_over_both_changes_in_london() {
    // On 2026-03-29 clocks go from 01:00 to 02:00, on 2026-10-25 from 02:00 to 01:00.
    let night = work("daily 22:00-06:00");
    assert_eq!(hours(&night, date(2026, 3, 27)), 8.0);
    assert_eq!(hours(&night, date(2026, 3, 28)), 7.0);
    assert_eq!(hours(&night, date(2026, 10, 24)), 9.0);
    assert_eq!(hours(&night, date(2026, 10, 25)), 8.0);
    let always = work("always");
    assert_eq!(hours(&always, date(2026, 3, 29)), 23.0);
    assert_eq!(hours(&always, date(2026, 10, 25)), 25.0);
}

#[test]
fn a_skipped_time_is_the_moment_of_the_change() {
    // 01:30 is not shown on 2026-03-29: a shift from 01:30 starts at the change, 01:00 UTC, which
    // the clock calls 02:00: 4 h to 06:00. A break inside the skipped hour takes nothing.
    let day = date(2026, 3, 29);
    assert_eq!(hours(&work("Sun 01:30-06:00"), day), 4.0);
    let calendar = written(&["Sun 00:00-06:00"], &["Sun 01:10-01:50"], &[], &[]);
    assert_eq!(hours(&calendar, day), 5.0);
    // 01:30 is shown twice on 2026-10-25, the first is meant: 22:00 to 01:30 is 3.5 h and the
    // shift that follows it 5.5 h, though the clock says 4.5.
    let pair = work("Sat 22:00-01:30; Sun 01:30-06:00");
    assert_eq!(hours(&pair, date(2026, 10, 24)), 3.5);
    assert_eq!(hours(&pair, date(2026, 10, 25)), 5.5);
}

#[test]
fn changes_in_chicago() {
    // United States: second Sunday of March 2026 is the 8th, first Sunday of November the 1st.
    let night = work("daily 22:00-06:00");
    let chicago = zone("America/Chicago");
    let hours = |day| night.seconds(&chicago, day, day) / 3600.0;
    assert_eq!(hours(date(2026, 3, 7)), 7.0);
    assert_eq!(hours(date(2026, 10, 31)), 9.0);
    // In London that night is an ordinary one.
    assert_eq!(
        night.seconds(&london(), date(2026, 3, 7), date(2026, 3, 7)),
        8.0 * 3600.0
    );
}

#[test]
fn holidays_dated_yearly_and_across_the_year() {
    let calendar = written(
        &["Mon..Fri 08:00-16:00"],
        &[],
        &["2026-04-03, 12-24..01-01", "05-01"],
        &[],
    );
    // 2026-04-03 is a Friday: four days of that week are left.
    assert_eq!(calendar.days_worked(date(2026, 3, 30), date(2026, 4, 5)), 4);
    // December 2026 has 23 weekdays; Thu 24, Fri 25, Mon 28 … Thu 31 are closed: 23 − 6 = 17.
    assert_eq!(
        calendar.days_worked(date(2026, 12, 1), date(2026, 12, 31)),
        17
    );
    // Fri 2027-01-01 closed, Mon 4 open.
    assert_eq!(calendar.days_worked(date(2027, 1, 1), date(2027, 1, 4)), 1);
    assert_eq!(hours(&calendar, date(2026, 5, 1)), 0.0);
    assert_eq!(hours(&calendar, date(2028, 5, 1)), 0.0);
}

#[test]
fn the_leap_day() {
    let closed = written(&["daily 08:00-16:00"], &[], &["02-29"], &[]);
    let (from, until) = (|year| date(year, 2, 28), |year| date(year, 3, 1));
    assert_eq!(closed.days_worked(from(2027), until(2027)), 2); // 28th and 1st, no 29th
    assert_eq!(closed.days_worked(from(2028), until(2028)), 2); // three days less the 29th
    let open = work("daily 08:00-16:00");
    assert_eq!(open.days_worked(from(2028), until(2028)), 3);
}

#[test]
fn an_extra_shift_opens_a_closed_day() {
    let calendar = written(
        &["Mon..Fri 08:00-16:00"],
        &["daily 10:00-10:30"],
        &["2026-12-24..2026-12-31"],
        &[
            "2026-12-28 06:00-12:00, 2026-12-05 06:00-09:00",
            "2026-12-07 16:00-18:00",
        ],
    );
    assert_eq!(hours(&calendar, date(2026, 12, 28)), 5.5); // only the extra shift, less its break
    assert_eq!(hours(&calendar, date(2026, 12, 5)), 3.0); // a Saturday
    assert_eq!(hours(&calendar, date(2026, 12, 7)), 9.5); // a Monday: 8 h − 0.5 h + 2 h
    assert_eq!(
        calendar.shifts_between(date(2026, 12, 7), date(2026, 12, 7)),
        2
    );
}

#[test]
fn work_is_added_over_breaks_nights_and_weekends() {
    let calendar = written(&["Mon..Fri 06:00-14:00"], &["daily 09:30-10:00"], &[], &[]);
    let add = |start, hours: f64| {
        calendar
            .add_work(&london(), at(start), hours * 3600.0)
            .unwrap()
    };
    // Friday 13:00 + 2 h: 1 h on Friday, 1 h on Monday to 07:00.
    assert_eq!(add("2026-11-27T13:00:00Z", 2.0), at("2026-11-30T07:00:00Z"));
    // Monday 09:00 + 1 h: half an hour, break, half an hour.
    assert_eq!(add("2026-11-23T09:00:00Z", 1.0), at("2026-11-23T10:30:00Z"));
    // Work that ends with the shift ends then, not at the start of the next.
    assert_eq!(add("2026-11-23T06:00:00Z", 7.5), at("2026-11-23T14:00:00Z"));
    // Nothing on Saturday is nothing at the next open moment.
    assert_eq!(add("2026-11-28T12:00:00Z", 0.0), at("2026-11-30T06:00:00Z"));
    // Back: done by Monday 07:00, 2 h of work begin on Friday at 13:00.
    let back = calendar.subtract_work(&london(), at("2026-11-30T07:00:00Z"), 7200.0);
    assert_eq!(back, Some(at("2026-11-27T13:00:00Z")));
}

#[test]
fn next_open_moment() {
    let calendar = work("Mon..Fri 06:00-14:00");
    let after = |text| calendar.after(&london(), at(text)).unwrap();
    assert_eq!(
        after("2026-11-23T07:00:00.5Z"),
        at("2026-11-23T07:00:00.5Z")
    );
    assert_eq!(after("2026-11-27T14:00:00Z"), at("2026-11-30T06:00:00Z"));
    assert!(!calendar.is_open(&london(), at("2026-11-23T14:00:00Z")));
    assert!(calendar.is_open(&london(), at("2026-11-23T13:59:59.9Z")));
}

#[test]
fn what_never_opens_ends_the_search() {
    let calendar = written(&["daily 06:00-14:00"], &[], &["01-01..12-31"], &[]);
    let now = at("2026-11-23T00:00:00Z");
    assert_eq!(calendar.after(&london(), now), None);
    assert_eq!(calendar.add_work(&london(), now, 1.0), None);
    assert_eq!(calendar.subtract_work(&london(), now, 1.0), None);
    assert!(Builder::new("", nowhere()).finish().0.never_opens());
    let open = work("always");
    for odd in [-1.0, f64::NAN, f64::INFINITY, 1e300] {
        assert_eq!(open.add_work(&london(), now, odd), None);
    }
    for end in [Timestamp::MAX, Timestamp::MIN] {
        open.after(&london(), end);
        open.add_work(&london(), end, 1e6);
        open.subtract_work(&london(), end, 1e6);
        open.is_open(&london(), end);
    }
    open.intervals(&london(), date(9999, 12, 30), Date::MAX);
    open.intervals(&london(), Date::MIN, date(-9999, 1, 3));
}

#[test]
fn oddities_are_told() {
    let mut builder = Builder::new("days", nowhere());
    // As if each line stood in a file of its own, in quotes.
    let mut add = |line, text: &str, file| {
        builder.add(line, text, Span::new(FileId(file), 0..text.len() + 2))
    };
    add(Line::Work, "nonsense", 0).unwrap_err();
    add(Line::Work, "Mon..Fri 06:00-14:00", 1).unwrap();
    add(Line::Work, "Fri 13:00-21:00, Sun 22:00-06:30", 2).unwrap();
    add(Line::Break, "daily 09:00-09:15; Mon 23:00-23:10", 3).unwrap();
    let (calendar, warnings) = builder.finish();
    let told: Vec<_> = warnings
        .iter()
        .map(|w| {
            (
                w.at.file.0,
                w.at.range(),
                w.others.first().map(|o| (o.0.file.0, o.0.range())),
            )
        })
        .collect();
    assert_eq!(
        told,
        [
            (2, 5..16, Some((1, 10..21))),  // Friday afternoon
            (2, 22..33, Some((1, 10..21))), // Sunday's night into Monday
            (3, 24..35, None),
        ]
    );
    // Friday 06:00-21:00 as one shift less 15 min; of Monday's week, 06:00-06:30 belongs to Sunday.
    let friday = date(2026, 11, 27);
    assert_eq!(calendar.shifts_between(friday, friday), 1);
    assert_eq!(hours(&calendar, friday), 14.75);
    assert_eq!(hours(&calendar, MONDAY), 7.25);
    // 5 × 7.75 h, Friday 7 h more, Sunday night 8.5 h, less the half hour shared with Monday.
    assert_eq!(
        calendar.typical_week_seconds(),
        (38.75 + 7.0 + 8.5 - 0.5) * 3600.0
    );
}

#[test]
fn faults_point_at_their_bytes() {
    let fault = |line: &str| text::week(line).unwrap_err();
    let check = |line: &str, cut: &str, headline: &str| {
        let fault = fault(line);
        assert_eq!(
            (&line[fault.range], fault.headline.as_str()),
            (cut, headline),
            "{line}"
        );
    };
    check(
        "Mon..Fry 06:00-14:00",
        "Fry",
        "expected a day of the week, found `Fry`",
    );
    assert_eq!(
        fault("Wedensday 6-14").help.as_deref(),
        Some("did you mean `Wednesday`?")
    );
    check(
        "06:00-14:00",
        "06",
        "expected a day of the week, found `06`",
    );
    check("Mon", "", "expected a time, found the end");
    check("", "", "expected days and times, found nothing");
    check(
        "Mon 06:00",
        "",
        "expected `-` and the end of the time, found the end",
    );
    check(
        "Mon 06:00-25:00",
        "25:00",
        "expected a time of day from 00:00 to 24:00",
    );
    check(
        "Mon 1-5pm",
        "1-5pm",
        "expected am or pm on both times or on neither",
    );
    check(
        "Mon 13:00pm-2pm",
        "13:00pm",
        "expected an hour of 1 to 12 before am or pm",
    );
    check(
        "Mon 06:00-14:00 €",
        "€",
        "expected a day of the week, found `€`",
    );
    for all_day in ["daily 09:00-09:15, Mon 12:00-12:00", "always"] {
        let fault = text::breaks(all_day).unwrap_err();
        assert_eq!(fault.headline, "expected a break shorter than a day");
    }
    let days = |line: &str| {
        let fault = text::closed(line).unwrap_err();
        line[fault.range].to_owned()
    };
    assert_eq!(days("2026-12-25, 2026-02-30"), "2026-02-30");
    assert_eq!(days("25/12/2026"), "/");
    assert_eq!(days("2026-12-25..12-26"), "2026-12-25..12-26");
    assert_eq!(days("2026-12-25..2026-12-24"), "2026-12-25..2026-12-24");
    assert!(
        text::extra("12-05 06:00-12:00")
            .unwrap_err()
            .headline
            .contains("without a year")
    );
    assert!(text::extra("2000-01-01..9999-01-01 6-12").is_err());
    assert!(text::extra("2026-12-05").is_err());
}

#[test]
fn ways_of_writing_the_same() {
    let plain = work("Mon..Fri 06:00-14:00");
    for line in [
        "Monday..Friday 6:00am-2:00pm",
        "mon - fri 06:00 – 14:00",
        "Mon to Fri 6:00 AM to 2:00 PM",
        "weekdays 6-14",
        "Mon, Tue, Wed, Thu and Fri 06:00..14:00",
    ] {
        assert_eq!(work(line).week, plain.week, "{line}");
    }
    assert_eq!(
        work("Fri..Mon 0:00-24:00").typical_week_seconds(),
        96.0 * 3600.0
    );
    assert_eq!(
        work("daily 06:00-06:00").typical_week_seconds(),
        168.0 * 3600.0
    );
    assert_eq!(work("daily 12am-12pm").week, work("daily 00:00-12:00").week);
}

#[test]
fn a_wait_that_fits_and_one_that_does_not() {
    let press = work("Mon..Fri 06:00-14:00");
    let oven = work("Mon..Fri 06:00-16:00");
    // The oven must be reached after 3 h and before 4 h. Pressing until 13:00 reaches it by 16:00;
    // later pressing would need the oven between 16:00 and 18:00: 1 h of 8 fails every day.
    let look = |least: f64, most: Option<f64>| {
        can_follow(
            &press,
            &oven,
            &london(),
            least * 3600.0,
            most.map(|h| h * 3600.0),
            SUNDAY,
        )
    };
    let Follow::Partly {
        share,
        first_failing,
    } = look(3.0, Some(4.0))
    else {
        panic!()
    };
    assert_eq!(share, 7.0 / 8.0);
    assert_eq!(first_failing.to_string(), "on Monday from 13:00 to 14:00");
    // Without an upper limit Monday's oven does for Friday's pressing.
    assert_eq!(look(3.0, None), Follow::Always);
    // 11 to 12 h after a shift from 06:00 to 14:00 is 17:00 to 02:00: never.
    assert_eq!(look(11.0, Some(12.0)), Follow::Never);
    // Limits that contradict each other.
    assert_eq!(look(2.0, Some(1.0)), Follow::Never);
    // 16 to 24 h later is the next morning, but for Friday: 32 of 40 h.
    let Follow::Partly {
        share,
        first_failing,
    } = look(16.0, Some(24.0))
    else {
        panic!()
    };
    assert_eq!(
        (share, first_failing.to_string().as_str()),
        (0.8, "on Friday from 06:00 to 14:00")
    );
    // A week in which the oven is shut for a holiday says nothing about the shifts.
    let shut = written(&["Mon..Fri 06:00-16:00"], &[], &["11-23..11-29"], &[]);
    assert_eq!(
        can_follow(&press, &shut, &london(), 0.0, Some(60.0), MONDAY),
        Follow::Always
    );
}

/// A calendar of two lines, breaks and holidays, out of numbers.
fn any_calendar() -> impl Strategy<Value = Calendar> {
    let shift = (0..7usize, 0..7usize, 0..24u8, 0..60u8, 1..24u8);
    let line = shift.prop_map(|(first, last, hour, minute, long)| {
        let days = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];
        let (first, last, end) = (days[first], days[last], (hour + long) % 24);
        format!("{first}..{last} {hour:02}:{minute:02}-{end:02}:{minute:02}")
    });
    let lines = (
        proptest::collection::vec(line.clone(), 1..4),
        proptest::collection::vec(line, 0..2),
    );
    (lines, any::<bool>()).prop_map(|((work, breaks), closed)| {
        let closed = if closed {
            vec!["03-29", "2026-10-20..2026-10-23"]
        } else {
            vec![]
        };
        let text = CalendarText {
            work: work.iter().map(String::as_str).collect(),
            breaks: breaks.iter().map(String::as_str).collect(),
            closed,
            extra: vec!["2026-10-21 20:00-03:00"],
        };
        Calendar::written("any", nowhere(), &text).unwrap()
    })
}

fn any_day() -> impl Strategy<Value = Date> {
    // Around both changes of the clock, and anywhere in two years.
    prop_oneof![
        (0..7i64).prop_map(|n| date(2026, 3, 26)
            .checked_add(jiff::ToSpan::days(n))
            .unwrap()),
        (0..7i64).prop_map(|n| date(2026, 10, 20)
            .checked_add(jiff::ToSpan::days(n))
            .unwrap()),
        (0..730i64).prop_map(|n| date(2026, 1, 1).checked_add(jiff::ToSpan::days(n)).unwrap()),
    ]
}

fn any_zone() -> impl Strategy<Value = TimeZone> {
    let names = [
        "Europe/London",
        "America/Chicago",
        "UTC",
        "Australia/Lord_Howe",
    ];
    (0..names.len()).prop_map(move |n| zone(names[n]))
}

fn midnight(zone: &TimeZone, day: Date) -> Timestamp {
    zone.to_timestamp(day.at(0, 0, 0, 0)).unwrap()
}

proptest! {
    #[test]
    fn intervals_are_sorted_disjoint_and_add_up(
        calendar in any_calendar(), zone in any_zone(), from in any_day(),
        first in 0..9i64, more in 0..9i64,
    ) {
        let middle = from.checked_add(jiff::ToSpan::days(first)).unwrap();
        let until = middle.checked_add(jiff::ToSpan::days(more + 1)).unwrap();
        let list = calendar.intervals(&zone, from, until);
        prop_assert!(list.iter().all(|(a, b)| a < b));
        prop_assert!(list.windows(2).all(|pair| pair[0].1 < pair[1].0));
        let sum: f64 = list.iter().map(|(a, b)| b.duration_since(*a).as_secs_f64()).sum();
        prop_assert_eq!(sum, calendar.seconds(&zone, from, until));
        let parts = calendar.seconds(&zone, from, middle)
            + calendar.seconds(&zone, middle.tomorrow().unwrap(), until);
        prop_assert_eq!(sum, parts);
        for (a, b) in list {
            prop_assert!(calendar.is_open(&zone, a));
            // At either end a shift of the day before or behind may be open.
            let inside = b >= midnight(&zone, from.tomorrow().unwrap()) && b <= midnight(&zone, until);
            prop_assert!(!inside || !calendar.is_open(&zone, b));
        }
    }

    #[test]
    fn added_work_is_taken_off_again(
        calendar in any_calendar(), zone in any_zone(), day in any_day(),
        second in 0..86_400i64, work_s in 0.0..2e6f64,
    ) {
        let start = midnight(&zone, day);
        let start = start + jiff::SignedDuration::from_secs(second);
        let Some(open) = calendar.after(&zone, start) else { return Ok(()) };
        prop_assert!(calendar.is_open(&zone, open));
        let Some(end) = calendar.add_work(&zone, open, work_s) else {
            // Only where breaks leave nothing of the week but the extra shift.
            prop_assert_eq!(calendar.typical_week_seconds(), 0.0);
            return Ok(());
        };
        prop_assert_eq!(calendar.add_work(&zone, start, work_s), Some(end));
        prop_assert_eq!(calendar.subtract_work(&zone, end, work_s), Some(open));
        // The open time between the two is the work, found by the other route.
        let date = |t| zone.to_datetime(t).date();
        let before = date(open).yesterday().unwrap();
        let open_s: f64 = calendar.intervals(&zone, before, date(end)).into_iter()
            .map(|(a, b)| b.min(end).duration_since(a.max(open)).as_secs_f64().max(0.0)).sum();
        prop_assert!((open_s - work_s).abs() < 1e-6, "{} {}", open_s, work_s);
    }

    #[test]
    fn a_wait_holds_where_it_is_said_to(
        first in any_calendar(), then in any_calendar(), week_of in any_day(),
        least in 0..100_000i64, width in 60..100_000i64, step in 0.0..1.0f64,
    ) {
        let zone = TimeZone::UTC; // no hour that is shown twice
        let follow = can_follow(
            &first, &then, &zone, least as f64, Some((least + width) as f64), week_of,
        );
        let monday = week_of.checked_sub(
            jiff::ToSpan::days(i64::from(week_of.weekday().to_monday_zero_offset()))).unwrap();
        let sunday = monday.checked_add(jiff::ToSpan::days(6)).unwrap();
        for (a, b) in first.ordinary().intervals(&zone, monday, sunday) {
            // A moment of each interval, tried by looking for the next open moment of the other.
            let moment = a + jiff::SignedDuration::from_secs(
                (b.duration_since(a).as_secs_f64() * step) as i64);
            let soonest = moment + jiff::SignedDuration::from_secs(least);
            let latest = soonest + jiff::SignedDuration::from_secs(width);
            let next = then.ordinary().after(&zone, soonest);
            let works = next.is_some_and(|next| next < latest);
            if next == Some(latest) {
                continue; // open from the last moment on: a matter of taste
            }
            match &follow {
                Follow::Always => prop_assert!(works),
                Follow::Never => prop_assert!(!works),
                Follow::Partly { first_failing, .. } => {
                    let here = zone.to_datetime(moment);
                    if here < first_failing.from {
                        prop_assert!(works);
                    } else if first_failing.from < here && here < first_failing.until {
                        prop_assert!(!works);
                    }
                }
            }
        }
    }

    #[test]
    fn no_text_panics(line in "\\PC{0,40}", near in "[MonFridaly0-9:., -]{0,40}") {
        for line in [&line, &near] {
            for result in [
                text::week(line).map(|_| ()), text::closed(line).map(|_| ()),
                text::extra(line).map(|_| ()),
            ] {
                if let Err(fault) = result {
                    prop_assert!(line.get(fault.range).is_some());
                }
            }
        }
    }
}
