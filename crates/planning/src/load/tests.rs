//! Worked cases of the load: one sum at a time, written out.

use std::collections::BTreeMap;

use proptest::prelude::*;
use quantity::{Spread, Unit};
use works::calendar::{Calendar, CalendarText};
use works::*;

use super::*;
use crate::figure::Figures;
use crate::flow::{Flow, Wanted, WantedFor};
use crate::reason::{Ledger, Shown, Source};
use crate::testing::{Build, count, day, nowhere, stated};

const HOUR: f64 = 3600.0;

/// Days of 8 h from Monday to Friday, 06:00 to 14:00.
fn days() -> Calendar {
    let text = CalendarText {
        work: vec!["Mon..Fri 06:00-14:00"],
        ..CalendarText::default()
    };
    Calendar::written("days", nowhere(), &text).unwrap()
}

fn station(name: &str, count: u32) -> Station {
    Station {
        name: name.into(),
        at: nowhere(),
        count,
        calendar: CalendarId(0),
        people: vec![],
        cost: None,
        power: None,
        stops: None,
        changeovers: vec![],
        mixes_only: vec![],
        drilling: None,
        heat: None,
        moulding: None,
        hazards: vec![],
        note: None,
    }
}

fn changeover(on: &str, from: Option<&str>, to: Option<&str>, time_s: f64) -> Changeover {
    Changeover {
        on: on.into(),
        from: from.map(Into::into),
        to: to.map(Into::into),
        time: stated(time_s),
        uses: vec![],
        at: nowhere(),
    }
}

/// One product, one operation at one saw, orders of 100 and 300 in two weeks of 2026.
fn saw() -> (Build, OperationId) {
    let mut build = Build::new();
    build.0.calendars.push(days());
    build.0.stations.push(station("saw", 1));
    let plank = build.item("plank", count("each"));
    let route = build.route(plank);
    let cut = build.starts(route, "cut", plank);
    build.op(cut).station = Some(StationId(0));
    build.op(cut).pace = Pace::Each(stated(36.0));
    build.order(plank, 100.0, "2026-11-30");
    build.order(plank, 300.0, "2026-12-07");
    (build, cut)
}

fn levels(works: &Works) -> Vec<f64> {
    let wanted = works.orders.iter().enumerate().map(|(order, line)| Wanted {
        item: line.item,
        amount: line.quantity.mean(),
        source: WantedFor::Order(order),
    });
    let flow = Flow::solve(works, &wanted.collect::<Vec<_>>(), false).unwrap();
    (0..works.operations.len())
        .map(|id| flow.attempted(OperationId(id)))
        .collect()
}

fn answer(works: &Works) -> LoadAnswer {
    load(
        works,
        &levels(works),
        day("2026-11-30"),
        day("2026-12-13"),
        100_000,
    )
}

fn near(found: f64, expected: f64) {
    assert!(
        (found - expected).abs() <= 1e-9 * expected.abs().max(1.0),
        "{found} {expected}"
    );
}

#[test]
fn hours_of_one_station_add_up() {
    let (mut build, cut) = saw();
    build.op(cut).good.mean = 0.8;
    build.op(cut).setup = Some(stated(1800.0));
    build.op(cut).tools.push(Tool {
        name: "blade".into(),
        life: ToolLife::Units(stated(50.0)),
        change: Some(stated(360.0)),
        cost: None,
    });
    build.0.stations[0].stops = Some(Stops {
        run: stated(9.0 * HOUR),
        repair: stated(HOUR),
    });
    let works = build.finish();
    let answer = answer(&works);
    let saw = &answer.stations[0];
    // 400 ÷ 0.8 = 500 attempted × 36 s = 5 h; 2 lots × 0.5 h = 1 h; 500/50 = 10 blades × 0.1 h = 1 h;
    // stops 5 h × 1/9 = 0.5556 h. Open: 10 days × 8 h = 80 h.
    near(saw.seconds.run_s, 5.0 * HOUR);
    near(saw.seconds.setup_s, HOUR);
    near(saw.seconds.tool_change_s, HOUR);
    near(saw.seconds.stops_s, 5.0 * HOUR / 9.0);
    near(saw.available_s, 80.0 * HOUR);
    near(saw.utilisation.unwrap(), (7.0 + 5.0 / 9.0) / 80.0);
    // By week: a quarter of everything is due in the first, three quarters in the second; 40 h each.
    near(saw.by_week[0].unwrap(), 0.25 * (7.0 + 5.0 / 9.0) / 40.0);
    near(saw.by_week[1].unwrap(), 0.75 * (7.0 + 5.0 / 9.0) / 40.0);
    assert_eq!(answer.weeks[0].label, "2026-W49");
    assert_eq!(answer.bottleneck, Some(StationId(0)));
    // Takt: 80 h for 400.
    near(answer.routes[0].takt_s.unwrap(), 80.0 * HOUR / 400.0);
    assert!(answer.diagnostics.is_empty());
}

#[test]
fn loads_are_rounded_up_lot_by_lot() {
    let (mut build, cut) = saw();
    build.op(cut).pace = Pace::Load(Load {
        holds: stated(90.0),
        dwell: stated(600.0),
        turn: Some(stated(300.0)),
        at_least: Some(stated(0.5)),
    });
    let works = build.finish();
    let answer = answer(&works);
    // 100 in loads of 90: 2; 300: 4; 6 loads × 15 min = 1.5 h; fill 400 ÷ 540 = 74 %.
    // The second load of the first order holds 10 of 90, less than half.
    let loads = answer.work[0].loads.unwrap();
    near(loads.count, 6.0);
    near(loads.fill, 400.0 / 540.0);
    assert!(loads.too_empty);
    near(loads.emptiest, 10.0 / 90.0);
    let notice = &answer.diagnostics[0];
    assert_eq!(
        (notice.code, answer.diagnostics.len()),
        ("load-too-empty", 1)
    );
    near(answer.stations[0].seconds.run_s, 1.5 * HOUR);
}

#[test]
fn lots_of_a_fixed_size_serve_several_orders() {
    let (mut build, cut) = saw();
    build.0.orders[1].due = day("2026-12-04");
    build.0.routes[0].lot = Some(stated(250.0));
    build.op(cut).setup = Some(stated(60.0));
    let works = build.finish();
    let lots = Lots::plan(&works, &levels(&works), day("2026-12-31"));
    // 100 opens a lot of 250 with 150 left; 300 takes those 150 and opens one more for 150.
    assert_eq!(lots.lots.len(), 2);
    near(lots.lots[0].amount, 250.0);
    near(lots.lots[1].amount, 150.0);
    near(answer(&works).stations[0].seconds.setup_s, 120.0);
    // A colour that the orders state apart keeps them from sharing: 1 lot for 100, 2 for 300.
    let mut unlike = works;
    unlike.orders[0]
        .attributes
        .insert("colour".into(), "red".into());
    let lots = Lots::plan(&unlike, &levels(&unlike), day("2026-12-31"));
    near(lots.count[0], 3.0);
}

#[test]
fn orders_of_different_weeks_share_no_lot() {
    let (mut build, _) = saw();
    build.0.routes[0].lot = Some(stated(1000.0));
    // Due on Monday 2026-11-30 and Monday 2026-12-07: two lots of 1000, each part filled.
    let mut works = build.finish();
    let lots = Lots::plan(&works, &levels(&works), day("2026-12-31"));
    assert_eq!(
        lots.lots.iter().map(|lot| lot.amount).collect::<Vec<_>>(),
        [100.0, 300.0]
    );
    // On the Sunday of the first week instead: one lot.
    works.orders[1].due = day("2026-12-06");
    let lots = Lots::plan(&works, &levels(&works), day("2026-12-31"));
    assert_eq!(
        lots.lots.iter().map(|lot| lot.amount).collect::<Vec<_>>(),
        [400.0]
    );
}

/// The saw with a sawyer who works to a calendar of his own.
fn sawyer(station: &'static str, crew: &'static str) -> Works {
    let (mut build, _) = saw();
    let calendar = |work: &'static str| {
        let text = CalendarText {
            work: vec![work],
            ..CalendarText::default()
        };
        Calendar::written("hours", nowhere(), &text).expect("a calendar")
    };
    build.0.calendars = vec![calendar(station), calendar(crew)];
    build.0.skills = vec![Skill {
        name: "sawing".into(),
    }];
    build.0.stations[0].people = vec![(SkillId(0), 1.0)];
    build.0.crews.push(Crew {
        name: "sawyers".into(),
        at: nowhere(),
        people: 1,
        calendar: CalendarId(1),
        skills: vec![SkillId(0)],
        cost: None,
        attendance: None,
    });
    build.finish()
}

#[test]
fn a_station_runs_only_while_its_people_are_there() {
    // Open 06:00 to 14:00, the sawyer there 10:00 to 18:00: 4 h on 10 days. 400 × 36 s = 4 h of 40.
    let mut works = sawyer("Mon..Fri 06:00-14:00", "Mon..Fri 10:00-18:00");
    let found = answer(&works);
    let saw = &found.stations[0];
    near(saw.open_s, 80.0 * HOUR);
    near(saw.staffed_s, 40.0 * HOUR);
    near(saw.available_s, 40.0 * HOUR);
    near(saw.utilisation.expect("it opens"), 0.1);
    // 1 h and 3 h of 20 h a week; 40 h for 400 pieces.
    near(saw.by_week[0].expect("open"), 0.05);
    near(saw.by_week[1].expect("open"), 0.15);
    near(found.routes[0].takt_s.expect("a takt"), 360.0);
    // A crew in the first hours beside him makes the day full.
    works.crews.push(Crew {
        calendar: CalendarId(0),
        ..works.crews[0].clone()
    });
    near(answer(&works).stations[0].staffed_s, 80.0 * HOUR);
    // Loads run on without people.
    works.crews.pop();
    works.operations[0].pace = Pace::Load(Load {
        holds: stated(100.0),
        dwell: stated(600.0),
        turn: None,
        at_least: None,
    });
    near(answer(&works).stations[0].staffed_s, 80.0 * HOUR);
}

#[test]
fn people_are_met_over_midnight() {
    // Nights 22:00 to 06:00 that start Mon to Thu and on Sunday, five a week, of which the crew, from
    // 00:00 to 08:00 on weekdays, has 6 h each: 60 h. The last of them ends a day after the horizon.
    let works = sawyer("Sun..Thu 22:00-06:00", "Mon..Fri 00:00-08:00");
    near(answer(&works).stations[0].staffed_s, 60.0 * HOUR);
}

#[test]
fn people_who_are_never_there_are_a_fault() {
    let works = sawyer("Mon..Fri 06:00-14:00", "Mon..Fri 14:00-22:00");
    let found = answer(&works);
    let codes: Vec<_> = found.diagnostics.iter().map(|fault| fault.code).collect();
    assert_eq!(codes, ["never-staffed"]);
    assert_eq!(found.stations[0].utilisation, None);
}

#[test]
fn changeovers_follow_the_sequence_and_the_most_particular_rule() {
    let (mut build, _) = saw();
    let plank = ItemId(0);
    build.order(plank, 50.0, "2026-12-08");
    build.order(plank, 50.0, "2026-12-09");
    for (order, colour) in ["white", "black", "white", "white"].iter().enumerate() {
        build.0.orders[order]
            .attributes
            .insert("colour".into(), (*colour).into());
    }
    build.0.stations[0].changeovers = vec![
        changeover("colour", None, None, 600.0),
        changeover("colour", Some("black"), None, 900.0),
        changeover("colour", Some("black"), Some("white"), 1500.0),
        changeover("product", None, None, 6000.0),
    ];
    let works = build.finish();
    // white → black by the general rule, 10 min; black → white by the rule that names both, 25 min;
    // white → white nothing; the product never changes.
    near(
        answer(&works).stations[0].seconds.changeover_s,
        600.0 + 1500.0,
    );
    let rules = &works.stations[0].changeovers;
    assert_eq!(matching(rules, "colour", "black", "green"), Some(1));
    assert_eq!(matching(rules, "size", "1", "2"), None);
}

#[test]
fn parts_are_made_in_lots_for_the_orders_that_take_them() {
    let mut build = Build::new();
    build.0.calendars.push(days());
    build.0.stations.push(station("bench", 1));
    let (clip, sign) = (
        build.item("clip", count("each")),
        build.item("sign", count("each")),
    );
    let (clips, signs) = (build.route(clip), build.route(sign));
    let press = build.starts(clips, "press", clip);
    let fit = build.starts(signs, "fit", sign);
    build.op(fit).takes.push(crate::testing::take(clip, 4.0));
    build.op(press).station = Some(StationId(0));
    build.op(press).pace = Pace::Each(stated(1.0));
    build.op(press).setup = Some(stated(100.0));
    build.order(sign, 100.0, "2026-12-01");
    build.order(clip, 50.0, "2026-12-02");
    let works = build.finish();
    let answer = answer(&works);
    // 400 clips for the signs and 50 to sell: 450 s and two set-ups.
    near(answer.stations[0].seconds.run_s, 450.0);
    near(answer.stations[0].seconds.setup_s, 200.0);
    near(answer.lots.wanted[clips.0], 450.0);
}

#[test]
fn people_and_crews() {
    let (mut build, cut) = saw();
    build.0.skills = vec![
        Skill {
            name: "sawing".into(),
        },
        Skill {
            name: "testing".into(),
        },
    ];
    let crew = |name: &str, people, skills: &[usize]| Crew {
        name: name.into(),
        at: nowhere(),
        people,
        calendar: CalendarId(0),
        skills: skills.iter().map(|&s| SkillId(s)).collect(),
        cost: None,
        attendance: Some(stated(0.9)),
    };
    build.0.crews = vec![crew("both", 1, &[0, 1]), crew("saws", 1, &[0])];
    build.0.stations[0].people = vec![(SkillId(0), 2.0)];
    build.op(cut).checks.push(Check {
        what: "length".into(),
        limit: None,
        every: CheckEvery::Amount(stated(10.0)),
        sample: 1.0,
        destroys: false,
        time: Some(stated(90.0)),
        cost: None,
        by: Some(SkillId(1)),
        at: nowhere(),
    });
    let works = build.finish();
    let people = answer(&works).people;
    // 400 × 36 s = 4 h × 2 people = 8 h of sawing; 40 samples × 90 s = 1 h of testing.
    near(people.skills[0].wanted_s, 8.0 * HOUR);
    near(people.skills[1].wanted_s, HOUR);
    // 9 h over two crews of 72 h each: level at 4.5 h, so 3.5 h of sawing go to the first.
    near(people.crews[0].wanted_s, 4.5 * HOUR);
    near(people.crews[1].wanted_s, 4.5 * HOUR);
    near(people.crews[0].available_s, 0.9 * 80.0 * HOUR);
    assert_eq!(people.crews[0].needed, Some(1));
}

#[test]
fn too_much_is_said_with_both_sides() {
    let (mut build, _) = saw();
    build.order(ItemId(0), 10_000.0, "2026-12-10");
    let works = build.finish();
    let answer = answer(&works);
    // 10 400 × 36 s = 104 h of 80 h: two saws.
    let fault = &answer.diagnostics[0];
    assert_eq!(fault.code, "demand-beyond-capacity");
    assert_eq!(fault.expected.as_deref(), Some("at most 80 h of work"));
    assert_eq!(fault.found.as_deref(), Some("104 h of work"));
    assert_eq!(answer.stations[0].needed, Some(2));
    let queue = answer.queues[0].as_ref().unwrap();
    assert_eq!(queue.wait_s, None);
    assert!(
        queue
            .caution
            .as_ref()
            .unwrap()
            .starts_with("no steady queue")
    );
    assert!(!answer.routes[0].complete);
}

#[test]
fn alternatives_share_the_work() {
    let (mut build, cut) = saw();
    build.0.stations.push(station("band saw", 1));
    let slow = Pace::Each(stated(72.0));
    build.op(cut).alternatives.push(Alternative {
        station: StationId(1),
        pace: Some(slow),
    });
    let works = build.finish();
    let answer = answer(&works);
    // 4 h at the saw or 8 h at the band saw: 4(1 − x) = 8x, x = 1/3, both 2.667 h of 80 h.
    near(answer.stations[0].wanted_s, 4.0 * HOUR * 2.0 / 3.0);
    near(answer.stations[1].wanted_s, 8.0 * HOUR / 3.0);
    near(answer.shared.as_ref().unwrap().usual_highest, 4.0 / 80.0);
}

#[test]
fn lead_time_of_a_lot_handed_on_whole_and_in_parts() {
    let (mut build, cut) = saw();
    build.0.orders.truncate(1);
    build.0.stations.push(station("oven", 1));
    let bake = build.follows(RouteId(0), "bake", ItemId(0), cut, 1.0);
    build.op(bake).station = Some(StationId(1));
    build.op(bake).pace = Pace::Load(Load {
        holds: stated(50.0),
        dwell: stated(1800.0),
        turn: None,
        at_least: None,
    });
    build.op(bake).wait.at_least = Some(stated(600.0));
    let works = build.finish();
    let whole = answer(&works);
    let open = 80.0 / (14.0 * 24.0);
    let sum = |answer: &LoadAnswer, kind: PieceKind| -> f64 {
        answer.routes[0]
            .pieces
            .iter()
            .filter(|p| p.kind == kind)
            .map(|p| p.open_s)
            .sum()
    };
    // Whole: 100 × 36 s = 1 h, then two loads of 30 min = 1 h; 10 min wait on the clock.
    near(sum(&whole, PieceKind::Process), 2.0 * HOUR);
    near(sum(&whole, PieceKind::AtLeast), 600.0);
    let queues = sum(&whole, PieceKind::Queue);
    near(
        whole.routes[0].total_s,
        (2.0 * HOUR + queues) / open + 600.0,
    );
    // In tenths: 10 cut in 6 min; the oven waits for 5 of these: (5 − 1)/2 × 6 min = 12 min; one
    // load 30 min; the rest of the lot 0.9 h.
    let mut parts = works;
    parts.routes[0].transfer = Some(stated(10.0));
    let parts = answer(&parts);
    near(sum(&parts, PieceKind::Process), 360.0 + 1800.0);
    near(sum(&parts, PieceKind::BatchForming), 720.0);
    near(sum(&parts, PieceKind::RestOfLot), 0.9 * HOUR);
}

#[test]
fn manual_work_is_split_over_people() {
    let (mut build, cut) = saw();
    let task = |name: &str, time: f64, after: &[usize]| Task {
        name: name.into(),
        time: stated(time),
        after: after.to_vec(),
        at: nowhere(),
    };
    build.op(cut).tasks = vec![
        task("a", 300.0, &[]),
        task("b", 400.0, &[0]),
        task("c", 300.0, &[1]),
        task("d", 200.0, &[2]),
    ];
    build.0.skills.push(Skill {
        name: "hand".into(),
    });
    build.0.stations[0].people = vec![(SkillId(0), 2.0)];
    let works = build.finish();
    let line = &answer(&works).lines[0];
    // Takt 80 h ÷ 400 = 720 s: a+b = 700, c+d = 500, two places. For two people 700 s is the least
    // (the other cut gives a | b+c+d = 900).
    near(line.takt_s.unwrap(), 720.0);
    let at_takt = line.at_takt.as_ref().unwrap();
    assert_eq!((at_takt.places, at_takt.proved), (2, true));
    let two = line.for_people.as_ref().unwrap();
    near(two.cycle_s, 700.0);
    assert!(two.proved);
}

#[test]
fn figures_say_how_they_came_about() {
    let (mut build, cut) = saw();
    build.op(cut).setup = Some(stated(1800.0));
    build.op(cut).pace = Pace::Load(Load {
        holds: stated(90.0),
        dwell: stated(600.0),
        turn: Some(stated(300.0)),
        at_least: None,
    });
    build.0.stations[0].stops = Some(Stops {
        run: stated(9.0 * HOUR),
        repair: stated(HOUR),
    });
    build.0.stations[0].people = vec![(SkillId(0), 1.0)];
    build.0.skills.push(Skill {
        name: "sawing".into(),
    });
    build.0.crews.push(Crew {
        name: "saws".into(),
        at: nowhere(),
        people: 2,
        calendar: CalendarId(0),
        skills: vec![SkillId(0)],
        cost: None,
        attendance: None,
    });
    let works = build.finish();
    let answer = answer(&works);
    let (mut ledger, mut figures) = (Ledger::default(), Figures::default());
    let nodes: Vec<_> = levels(&works)
        .iter()
        .map(|&level| ledger.given("attempted", level, Shown::plain(), Source::assumed("test")))
        .collect();
    explain(&works, &answer, &nodes, &mut ledger, &mut figures);
    assert_eq!(ledger.faults(1e-9), vec![]);
    let value = |key: &str| figures.get(key).unwrap_or_else(|| panic!("{key}")).value;
    near(
        value("saw utilisation"),
        answer.stations[0].utilisation.unwrap(),
    );
    near(value("bottleneck"), answer.stations[0].utilisation.unwrap());
    near(value("saw needed"), 1.0);
    near(value("saws people needed"), 1.0);
    near(
        value("saws crew utilisation"),
        answer.people.crews[0].utilisation.unwrap(),
    );
    near(value("plank lead time"), answer.routes[0].total_s);
    near(value("plank takt"), answer.routes[0].takt_s.unwrap());
}

#[test]
fn spread_of_times_moves_the_queue() {
    let (mut build, cut) = saw();
    let works = build.0.clone();
    build.op(cut).pace = Pace::Each(Stated {
        spread: Spread::Normal {
            mean: 36.0,
            sd: 12.0,
        },
        unit: Unit::one(),
        source: None,
        at: nowhere(),
    });
    let spread = build.finish();
    let (exact, spread) = (answer(&works), answer(&spread));
    let scv = |answer: &LoadAnswer| answer.queues[0].as_ref().unwrap().natural_scv;
    // Jobs of 1 h and 3 h: mean 2 h, variance 1 h², scv 0.25. With spread: 200 units a job on
    // average × (12 s)² = 28 800 s² more, over (7200 s)².
    near(scv(&exact), 0.25);
    near(scv(&spread), 0.25 + 200.0 * 144.0 / 7200.0_f64.powi(2));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn more_demand_never_takes_less_time(a in 1.0..5e3f64, more in 0.0..5e3f64, holds in 1.0..200.0f64) {
        let loaded = |quantity: f64| {
            let (mut build, cut) = saw();
            build.op(cut).setup = Some(stated(60.0));
            build.op(cut).pace = Pace::Load(Load {
                holds: stated(holds), dwell: stated(60.0), turn: None, at_least: None,
            });
            build.0.orders[0].quantity = stated(quantity);
            let works = build.finish();
            answer(&works).stations[0].utilisation.unwrap()
        };
        prop_assert!(loaded(a + more) >= loaded(a) - 1e-12);
    }

    #[test]
    fn a_station_is_the_sum_of_its_work(times in prop::collection::vec(0.0..600.0f64, 1..5), good in 0.5..1.0f64) {
        let (mut build, cut) = saw();
        build.op(cut).good.mean = good;
        let mut before = cut;
        for (number, &time) in times.iter().enumerate() {
            before = build.follows(RouteId(0), &format!("step {number}"), ItemId(0), before, 1.0);
            build.op(before).station = Some(StationId(0));
            build.op(before).pace = Pace::Each(stated(time));
        }
        let works = build.finish();
        let answer = answer(&works);
        let parts: f64 = answer.work.iter().map(|piece| piece.seconds.total()).sum();
        let weeks: f64 = answer.stations[0].by_week.iter().map(|week| week.unwrap() * 40.0 * HOUR).sum();
        prop_assert!((answer.stations[0].wanted_s - parts).abs() <= 1e-9 * parts);
        prop_assert!((weeks - parts).abs() <= 1e-9 * parts);
    }
}

#[test]
fn attributes_pass_to_parts_only_where_the_part_has_them() {
    let (mut build, _) = saw();
    build.0.orders[0]
        .attributes
        .insert("colour".into(), "red".into());
    let board = build.item("board", count("each"));
    build.route(board);
    let lot = Lot {
        route: RouteId(1),
        order: Some(0),
        due: day("2026-12-01"),
        amount: 1.0,
        count: 1.0,
    };
    let mut works = build.finish();
    assert_eq!(attribute(&works, &lot, "colour"), None);
    works.items[board.0].attributes = BTreeMap::from([("colour".into(), "grey".into())]);
    assert_eq!(attribute(&works, &lot, "colour"), Some("red"));
    assert_eq!(attribute(&works, &lot, "product"), Some("board"));
}
