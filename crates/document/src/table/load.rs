//! Stations, people, weeks and lead times.

use planning::load::{LeadTime, LineAnswer, ManualLine, PieceKind, StationLoad};
use works::Works;

use super::{Ground, columns, hours, share_cell, time_words};
use crate::block::{Cell, Column, Role, Row, Table, Value};

/// Stations, the busiest first.
pub(crate) fn by_load<'a>(ground: &Ground<'a>) -> Vec<&'a StationLoad> {
    let mut stations: Vec<&StationLoad> = ground.plan.load.stations.iter().collect();
    let share = |station: &StationLoad| {
        station.utilisation.unwrap_or(if station.wanted_s > 0.0 {
            f64::MAX
        } else {
            -1.0
        })
    };
    stations.sort_by(|a, b| {
        share(b)
            .total_cmp(&share(a))
            .then(a.station.cmp(&b.station))
    });
    stations
}

/// Hours of stations.
pub(crate) fn stations(ground: &Ground<'_>) -> Table {
    let numbers = [
        ("There are", ""),
        ("Run", "h"),
        ("Set-up", "h"),
        ("Change over", "h"),
        ("Change tools", "h"),
        ("Checks", "h"),
        ("Stops", "h"),
        ("Wanted", "h"),
        ("Open", "h"),
        ("Left", "h"),
        ("Load", ""),
        ("Needed", ""),
    ];
    let mut columns = columns(&["Station"], &numbers);
    let part = |station: &StationLoad| station.staffed_s < station.open_s;
    let some_part = ground.plan.load.stations.iter().any(part);
    if some_part {
        columns.push(Column::words("Remark"));
    }
    let mut table = Table::new("Hours of stations, the busiest first", columns);
    for station in by_load(ground) {
        let seconds = &station.seconds;
        let name = if station.bottleneck {
            format!("{} (bottleneck)", station.name)
        } else {
            station.name.clone()
        };
        let over = station.needed.is_some_and(|needed| needed > station.count);
        let figure = ground
            .plan
            .figures
            .get(&format!("{} utilisation", station.name));
        let mut load = share_cell(station.utilisation, 1.0);
        load.why = figure.map(|figure| figure.node);
        let mut cells = vec![
            Cell::from(name),
            f64::from(station.count).into(),
            hours(seconds.run_s),
            hours(seconds.setup_s),
            hours(seconds.changeover_s),
            hours(seconds.tool_change_s),
            hours(seconds.check_s),
            hours(seconds.stops_s),
            hours(station.wanted_s),
            hours(station.available_s),
            hours(station.left_s).warn_if(station.left_s < 0.0),
            load,
            Cell::from(station.needed.map(f64::from)).warn_if(over),
        ];
        if some_part {
            let open = hours(station.open_s * f64::from(station.count));
            let words = format!(
                "while its people are there; its calendar gives {}\u{a0}h",
                open.value.show()
            );
            cells.push(if part(station) {
                words.into()
            } else {
                Cell::from("")
            });
        }
        let role = if station.bottleneck {
            Role::Strong
        } else {
            Role::Plain
        };
        table.rows.push(Row::of(cells).role(role));
    }
    table
}

/// Crews.
pub(crate) fn crews(ground: &Ground<'_>) -> Table {
    let numbers = [
        ("People", ""),
        ("Each is there", "h"),
        ("All are there", "h"),
        ("Wanted", "h"),
        ("Load", ""),
        ("Needed", ""),
    ];
    let mut columns = columns(&["Crew"], &numbers);
    columns.push(Column::words("Wanted for"));
    let mut table = Table::new("Hours of crews", columns);
    for crew in &ground.plan.load.people.crews {
        let figure = ground
            .plan
            .figures
            .get(&format!("{} crew utilisation", crew.name));
        let mut load = share_cell(crew.utilisation, 1.0);
        load.why = figure.map(|figure| figure.node);
        let skills = crew
            .by_skill
            .iter()
            .filter(|(_, seconds)| *seconds > 0.0)
            .map(|(skill, seconds)| {
                format!(
                    "{} {}\u{a0}h",
                    ground.works.skill(*skill).name,
                    hours(*seconds).value.show()
                )
            });
        table.push([
            crew.name.as_str().into(),
            f64::from(crew.people).into(),
            hours(crew.each_s),
            hours(crew.available_s),
            hours(crew.wanted_s),
            load,
            Cell::from(crew.needed.map(f64::from))
                .warn_if(crew.needed.is_some_and(|n| n > crew.people)),
            skills.collect::<Vec<_>>().join(", ").into(),
        ]);
    }
    table
}

/// Skills that no crew has enough of would show here.
pub(crate) fn skills(ground: &Ground<'_>) -> Table {
    let numbers = [
        ("At stations and on tasks", "h"),
        ("On checks", "h"),
        ("Wanted", "h"),
        ("Given", "h"),
    ];
    let mut columns = columns(&["Skill"], &numbers);
    columns.push(Column::words("By"));
    let mut table = Table::new("Hours of skills", columns);
    for skill in &ground.plan.load.people.skills {
        let given: f64 = skill.given_to.iter().map(|(_, seconds)| seconds).sum();
        let crews = skill.given_to.iter().filter(|(_, seconds)| *seconds > 0.0);
        let crews: Vec<&str> = crews
            .map(|(crew, _)| ground.works.crew(*crew).name.as_str())
            .collect();
        table.push([
            skill.name.as_str().into(),
            hours(skill.work_s),
            hours(skill.check_s),
            hours(skill.wanted_s),
            hours(given).warn_if(given < skill.wanted_s * (1.0 - 1e-9)),
            crews.join(", ").into(),
        ]);
    }
    table
}

/// Load of stations week by week.
pub(crate) fn weeks(ground: &Ground<'_>) -> Table {
    let load = &ground.plan.load;
    let mut columns = vec![Column::words("Station")];
    columns.extend(
        load.weeks
            .iter()
            .map(|week| Column::numbers(&week.label, "")),
    );
    let mut table = Table::new("Load of stations week by week", columns);
    for station in &load.stations {
        let mut cells = vec![Cell::from(station.name.as_str())];
        cells.extend(station.by_week.iter().map(|share| share_cell(*share, 1.0)));
        table.push(cells);
    }
    table
}

/// Weeks in which more is wanted of a station than it has: station, week and load, the worst first.
pub(crate) fn weeks_over<'a>(ground: &Ground<'a>) -> Vec<(&'a str, &'a str, f64)> {
    let load = &ground.plan.load;
    let mut over: Vec<(&str, &str, f64)> = Vec::new();
    for station in &load.stations {
        let weeks = station.by_week.iter().zip(&load.weeks);
        let full =
            weeks.filter_map(|(share, week)| Some((share.filter(|s| *s > 1.0 + 1e-9)?, week)));
        over.extend(full.map(|(share, week)| (&*station.name, &*week.label, share)));
    }
    over.sort_by(|a, b| b.2.total_cmp(&a.2));
    over
}

/// The same as a table.
pub(crate) fn beyond_capacity(ground: &Ground<'_>) -> Table {
    let mut table = Table::new(
        "Weeks beyond capacity, by the week in which orders are due",
        columns(&["Station", "Week"], &[("Load", "")]),
    );
    for (station, week, share) in weeks_over(ground) {
        table.push([station.into(), week.into(), share_cell(Some(share), 1.0)]);
    }
    table
}

/// Changeovers by rule.
pub(crate) fn changeovers(ground: &Ground<'_>) -> Table {
    let mut table = Table::new(
        "Changeovers in the sequence of due dates",
        columns(
            &["Station", "When this changes"],
            &[("Times", ""), ("Time", "h")],
        ),
    );
    for station in &ground.plan.load.stations {
        for rule in station.changeovers.iter().filter(|rule| rule.count > 0) {
            table.push([
                station.name.as_str().into(),
                rule.on.as_str().into(),
                f64::from(rule.count).into(),
                hours(rule.seconds),
            ]);
        }
    }
    table
}

/// Queues before stations.
pub(crate) fn queues(ground: &Ground<'_>) -> Table {
    let numbers = [
        ("Jobs", ""),
        ("Time of one", "h"),
        ("Variability of times", ""),
        ("Load", ""),
        ("Mean wait", "h"),
    ];
    let mut columns = columns(&["Station"], &numbers);
    columns.extend([Column::words("Formula"), Column::words("Caution")]);
    let mut table = Table::new("Waiting before stations, in open hours", columns);
    for queue in ground.plan.load.queues.iter().flatten() {
        table.push([
            ground.works.station(queue.station).name.as_str().into(),
            queue.jobs.into(),
            Cell::from(super::rounded(queue.effective_s / 3600.0, 100.0)),
            Cell::from(super::rounded(queue.effective_scv, 100.0)),
            Value::Share(queue.utilisation).into(),
            queue
                .wait_s
                .map_or_else(|| "grows without end".into(), hours),
            queue.formula.into(),
            Cell::from(queue.caution.clone()).role(Role::Warning),
        ]);
    }
    table
}

/// Lead times of products.
pub(crate) fn leads(ground: &Ground<'_>) -> Table {
    let mut columns = columns(
        &["Product"],
        &[("Lot", ""), ("Lead time", ""), ("Takt", "")],
    );
    columns.extend([Column::words("Pace set by"), Column::words("Caution")]);
    let mut table = Table::new("How long a lot is under way", columns);
    for lead in ground.plan.load.routes.iter().filter(|lead| lead.lot > 0.0) {
        let mut total = time_words(lead.total_s);
        total.why = ground
            .plan
            .figures
            .get(&format!("{} lead time", lead.product))
            .map(|figure| figure.node);
        let unit = &ground.works.item(ground.works.route(lead.route).makes).unit;
        let caution =
            (!lead.complete).then(|| "at least: a station on the way is overloaded".to_owned());
        let cautions: Vec<String> = caution
            .into_iter()
            .chain(lead.cautions.iter().cloned())
            .collect();
        table.push([
            lead.product.as_str().into(),
            Value::Amount(unit.from_base(lead.lot), unit.symbol().to_owned()).into(),
            total,
            lead.takt_s.map_or_else(
                || Value::None.into(),
                |takt| {
                    let seconds = takt * unit.factor();
                    Cell::from(Value::Amount(
                        super::rounded(seconds, 100.0),
                        format!("s/{}", unit.symbol()),
                    ))
                },
            ),
            lead.paced_by
                .map(|station| ground.works.station(station).name.clone())
                .into(),
            Cell::from(cautions.join("; ")).role(if cautions.is_empty() {
                Role::Plain
            } else {
                Role::Warning
            }),
        ]);
    }
    table
}

/// What a piece of a lead time is, in a word or two.
pub(crate) fn piece_words(kind: PieceKind) -> &'static str {
    match kind {
        PieceKind::Queue => "waits for the station",
        PieceKind::SetUp => "set-up and changeover",
        PieceKind::BatchForming => "waits until a load is full",
        PieceKind::Process => "is worked on",
        PieceKind::Through => "passes through",
        PieceKind::AtLeast => "must wait",
        PieceKind::RestOfLot => "rest of the lot follows",
    }
}

/// The pieces of a lead time.
pub(crate) fn lead_pieces(works: &Works, lead: &LeadTime) -> Table {
    let mut columns = columns(
        &["Operation", "What"],
        &[("Open time", ""), ("Open", ""), ("On the clock", "")],
    );
    columns.extend([Column::words("How"), Column::words("Counts")]);
    let mut table = Table::new(
        format!("Lead time of {}, piece by piece", lead.product),
        columns,
    );
    for piece in lead.pieces.iter().filter(|piece| piece.clock_s > 0.0) {
        let counts = if piece.on_path {
            "yes"
        } else {
            "beside a longer branch"
        };
        table.push([
            works.operation(piece.operation).name.as_str().into(),
            piece_words(piece.kind).into(),
            time_words(piece.open_s),
            Value::Share(piece.open_share).into(),
            time_words(piece.clock_s),
            piece.formula.into(),
            counts.into(),
        ]);
    }
    table
}

/// Lines of manual work.
pub(crate) fn lines(ground: &Ground<'_>) -> Table {
    let numbers = [
        ("Places", ""),
        ("Cycle", "s"),
        ("Work in it", "s"),
        ("Of time paid", ""),
        ("Cannot be below", ""),
    ];
    let mut columns = columns(&["Where", "Question"], &numbers);
    columns.push(Column::words("Proved"));
    let mut table = Table::new("Manual work shared over places", columns);
    for line in &ground.plan.load.lines {
        for answer in line.at_takt.iter().chain(&line.for_people) {
            table.push(line_row(line, answer));
        }
    }
    table
}

fn line_row(line: &ManualLine, answer: &LineAnswer) -> Vec<Cell> {
    vec![
        line.name.as_str().into(),
        answer.question.into(),
        (answer.places as f64).into(),
        super::rounded(answer.cycle_s, 10.0).into(),
        super::rounded(line.work_s, 10.0).into(),
        Value::Share(answer.efficiency).into(),
        super::rounded(answer.bound, 10.0).into(),
        if answer.proved {
            "best there is"
        } else {
            "good, not proved"
        }
        .into(),
    ]
}
