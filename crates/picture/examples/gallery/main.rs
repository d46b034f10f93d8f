//! Writes every picture, drawn from invented data, into one HTML page.
//!
//! `cargo run -p picture --example gallery -- gallery.html [dark|light] [narrow|wide|wall]`

mod cutting;
mod heat;

use std::fmt::Write as _;

use picture::{
    BalanceStation, CertaintyCurve, CertaintyMark, CostColumn, CostStack, Direction, Edge,
    EdgeKind, Frame, IntervalDots, IntervalRow, LineBalance, LoadBars, LoadKind, LoadRow, MassFlow,
    Node, NodeKind, Outlet, OutletKind, PHONE, RouteMap, Stream, Tornado, TornadoBar, WeekRow,
    WeekStrip, at_both_widths, bar_patterns, board_cuts, certainty_curve, cost_stack,
    drill_pattern, frame_strip, heat_history, interval_dots, line_balance, load_bars,
    load_pull_down, loss_curve, mass_flow, palette, probe_judgement, profile_curves, route_map,
    sheet_layouts, tornado, week_strip, window_map, yield_bars,
};

fn node(id: &str, label: &str, sub: &str, kind: NodeKind, amount: &str) -> Node {
    Node {
        id: id.into(),
        label: label.into(),
        sub: sub.into(),
        kind,
        amount: amount.into(),
    }
}

fn edge(from: &str, to: &str, label: &str, kind: EdgeKind, weight: f64) -> Edge {
    Edge {
        from: from.into(),
        to: to.into(),
        label: label.into(),
        kind,
        weight,
    }
}

/// A garden nest block: a straight route with offcuts, rework and things bought on the way.
fn nest_block() -> RouteMap {
    use NodeKind::{Bought, ByProduct, Item, Scrap, Station, Store, Test};
    let operations = [
        ("rip", "Rip to strips", "rip saw", "4,210 m"),
        ("mark", "Mark faults", "bench 1", "4,120 m"),
        (
            "cross",
            "Fault-avoiding cross-cut",
            "chop saw",
            "5,655 each",
        ),
        ("plane", "Plane four sides", "four-sider", "5,600 each"),
        (
            "profile",
            "Profile the edges",
            "spindle moulder",
            "5,580 each",
        ),
        ("drill", "Drill blind holes", "gang drill", "5,560 each"),
        ("sand", "Sand", "brush sander", "5,610 each"),
        ("dust", "Blow out dust", "hood 2", "5,520 each"),
        (
            "tubes",
            "Insert and pin paper tubes",
            "tube inserter",
            "5,500 each",
        ),
        ("brand", "Brand the mark", "hot press", "5,480 each"),
        ("oil", "Oil", "dip tank", "5,471 each"),
        ("dry", "Dry overnight", "rack room", "5,471 each"),
        ("label", "Label", "bench 4", "5,460 each"),
        ("pack", "Pack in cartons", "packing", "5,435 each"),
    ];
    let mut map = RouteMap::default();
    for (id, label, sub, amount) in operations {
        let kind = if id == "dry" { Store } else { Station };
        map.nodes.push(node(id, label, sub, kind, amount));
    }
    map.nodes
        .push(node("look", "Check the holes", "every load", Test, ""));
    for (id, label, kind, amount) in [
        ("ash", "Ash plank", Bought, "412 planks"),
        ("tube", "Paper tube", Bought, "66,000 each"),
        ("oil-in", "Linseed oil", Bought, "38 l"),
        ("carton", "Carton of 12", Bought, "453 each"),
        ("kindling", "Kindling", ByProduct, "640 kg"),
        ("chips", "Planer chips", ByProduct, "1.2 t"),
        ("burnt", "Spoilt brand", Scrap, "9 each"),
        ("block", "Nest block", Item, "5,435 each"),
    ] {
        map.nodes.push(node(id, label, "", kind, amount));
    }
    let way = [
        "rip", "mark", "cross", "plane", "profile", "drill", "look", "sand", "dust", "tubes",
    ];
    let way = way
        .iter()
        .chain(&["brand", "oil", "dry", "label", "pack", "block"]);
    let way: Vec<&str> = way.copied().collect();
    for pair in way.windows(2) {
        map.edges
            .push(edge(pair[0], pair[1], "", EdgeKind::Flow, 0.8));
    }
    map.edges.extend([
        edge("ash", "rip", "", EdgeKind::Flow, 0.8),
        edge("tube", "tubes", "12 each", EdgeKind::Flow, 0.3),
        edge("oil-in", "oil", "7 ml", EdgeKind::Flow, 0.1),
        edge("carton", "pack", "1 per 12", EdgeKind::Flow, 0.2),
        edge("cross", "kindling", "11 %", EdgeKind::ByProduct, 0.2),
        edge("plane", "chips", "0.2 kg", EdgeKind::ByProduct, 0.2),
        edge("brand", "burnt", "0.2 %", EdgeKind::Reject, 0.0),
        edge("look", "drill", "1.5 % again", EdgeKind::Rework, 0.1),
        edge("label", "sand", "0.8 %", EdgeKind::Rework, 0.0),
    ]);
    map
}

/// Curtain tape: two streams that meet, and sprue ground back into the feed.
fn glide_tape() -> RouteMap {
    use NodeKind::{Bought, Item, Station};
    RouteMap {
        nodes: vec![
            node("pellets", "Acetal pellets", "", Bought, "410 kg"),
            node("mould", "Mould gliders", "press 3", Station, "2.1 M"),
            node("grind", "Grind sprue", "granulator", Station, "96 kg"),
            node("tape", "Woven tape", "", Bought, "52 km"),
            node("stamp", "Stamp on", "stamper", Station, "51 km"),
            node("cut", "Cut and bag", "end station", Station, ""),
            node("done", "Glide tape", "", Item, "50 km"),
        ],
        edges: vec![
            edge("pellets", "mould", "81 %", EdgeKind::Flow, 0.6),
            edge("mould", "grind", "19 %", EdgeKind::ByProduct, 0.3),
            edge("grind", "mould", "regrind", EdgeKind::Regrind, 0.3),
            edge("mould", "stamp", "40/m", EdgeKind::Flow, 0.6),
            edge("tape", "stamp", "", EdgeKind::Flow, 0.9),
            edge("stamp", "cut", "", EdgeKind::Flow, 1.0),
            edge("cut", "done", "", EdgeKind::Flow, 1.0),
        ],
        direction: Direction::Fit,
    }
}

fn loads() -> LoadBars {
    use LoadKind::{Changeover, Idle, Run, SetUp, Stops, ToolChange};
    let row = |name: &str, parts: [f64; 6], available_hours: f64, note: &str, bottleneck: bool| {
        let kinds = [Run, SetUp, Changeover, ToolChange, Stops, Idle];
        let parts = kinds
            .into_iter()
            .zip(parts)
            .filter(|part| part.1 > 0.0)
            .collect();
        LoadRow {
            name: name.into(),
            parts,
            available_hours,
            note: note.into(),
            bottleneck,
        }
    };
    LoadBars {
        rows: vec![
            row(
                "cure oven",
                [251.0, 12.0, 21.0, 0.0, 22.0, 0.0],
                296.0,
                "8 of 8 weeks",
                true,
            ),
            row(
                "gang drill",
                [180.0, 9.0, 4.0, 22.0, 14.0, 67.0],
                296.0,
                "",
                false,
            ),
            row(
                "powder booth with a long name",
                [122.0, 8.0, 39.0, 0.0, 9.0, 118.0],
                296.0,
                "2 shifts",
                false,
            ),
            row(
                "chop saw",
                [96.0, 4.0, 0.0, 6.0, 3.0, 39.0],
                148.0,
                "",
                false,
            ),
            row(
                "packing",
                [61.0, 0.0, 2.0, 0.0, 0.0, 85.0],
                148.0,
                "crew of 3",
                false,
            ),
        ],
    }
}

fn weeks() -> WeekStrip {
    let row = |name: &str, shares: [f64; 8]| WeekRow {
        name: name.into(),
        utilisation: shares.iter().map(|s| (*s >= 0.0).then_some(*s)).collect(),
    };
    WeekStrip {
        weeks: (40..48).map(|week| format!("W{week}")).collect(),
        rows: vec![
            row(
                "cure oven",
                [0.62, 0.81, 0.97, 1.12, 1.04, 0.88, 0.71, 0.35],
            ),
            row("gang drill", [0.4, 0.55, 0.86, 0.79, 0.9, 0.61, 0.5, 0.2]),
            row(
                "smoke chamber",
                [0.3, 0.32, -1.0, 0.4, 0.38, 0.42, 0.3, 0.05],
            ),
            row("packing", [0.5, 0.45, 0.51, 0.66, 0.72, 0.58, 0.44, 0.31]),
        ],
    }
}

fn certainty() -> CertaintyCurve {
    let odds = |q: f64| 1.0 / (1.0 + (-(q - 5471.0) / 62.0).exp());
    let mark = |quantity: f64, label: &str| CertaintyMark {
        quantity,
        odds: odds(quantity),
        label: label.into(),
    };
    CertaintyCurve {
        points: (0..=60)
            .map(|i| 5200.0 + f64::from(i) * 12.0)
            .map(|q| (q, odds(q)))
            .collect(),
        marks: vec![mark(5471.0, "even odds"), mark(5655.0, "promised")],
        naive: Some(5435.0),
        quantity_label: "blocks to start".into(),
    }
}

fn costs() -> CostStack {
    let column = |quantity: &str, parts: [f64; 7]| {
        let total: f64 = parts.iter().sum();
        CostColumn {
            quantity: quantity.into(),
            parts: parts.to_vec(),
            low_high: Some((total * 0.93, total * 1.12)),
        }
    };
    CostStack {
        elements: [
            "material",
            "machine",
            "labour",
            "set-up",
            "energy",
            "overhead",
            "offcuts sold",
        ]
        .map(String::from)
        .to_vec(),
        columns: vec![
            column("2,000", [2.10, 0.84, 1.35, 0.92, 0.14, 0.61, -0.18]),
            column("10,000", [1.92, 0.84, 1.30, 0.19, 0.14, 0.55, -0.18]),
            column("50,000", [1.71, 0.82, 1.22, 0.05, 0.13, 0.50, -0.18]),
        ],
        unit: "EUR each".into(),
    }
}

fn drivers() -> Tornado {
    let bar = |name: &str, low_input: &str, high_input: &str, low: f64, high: f64| TornadoBar {
        name: name.into(),
        low_input: low_input.into(),
        high_input: high_input.into(),
        low,
        high,
    };
    Tornado {
        base: 4.76,
        unit: "EUR each".into(),
        bars: vec![
            bar("drill pace", "8 s", "11 s", 4.61, 4.98),
            bar("ash price", "610 EUR/m3", "790 EUR/m3", 4.45, 5.12),
            bar("cross-cut yield", "84 %", "92 %", 5.21, 4.58),
            bar("oven stops", "2 %", "9 %", 4.72, 4.85),
            bar("energy price", "0.18", "0.31", 4.73, 4.80),
        ],
    }
}

fn masses() -> MassFlow {
    let stream = |name: &str, amount: f64| Stream {
        name: name.into(),
        amount,
    };
    let outlet = |name: &str, amount: f64, kind| Outlet {
        name: name.into(),
        amount,
        kind,
    };
    MassFlow {
        inputs: vec![
            stream("duck breast", 1240.0),
            stream("cure salt", 62.0),
            stream("rinse water", 40.0),
        ],
        outputs: vec![
            outlet("smoked portions", 930.0, OutletKind::Product),
            outlet("trim for mince", 148.0, OutletKind::ByProduct),
            outlet("brine", 96.0, OutletKind::Waste),
            outlet("drying loss", 132.0, OutletKind::Waste),
            outlet("unexplained", 36.0, OutletKind::Unexplained),
        ],
        unit: "kg".into(),
    }
}

fn line() -> LineBalance {
    let station = |name: &str, tasks: &[(&str, f64)]| BalanceStation {
        name: name.into(),
        tasks: tasks
            .iter()
            .map(|(task, time)| ((*task).to_owned(), *time))
            .collect(),
    };
    LineBalance {
        takt_s: 54.0,
        stations: vec![
            station(
                "press faces",
                &[("load core", 11.0), ("roll glue", 19.0), ("press", 21.0)],
            ),
            station(
                "edge strip",
                &[("notch", 14.0), ("fold round", 27.0), ("tack", 8.0)],
            ),
            station(
                "square up",
                &[("gauge", 12.0), ("tap true", 9.0), ("recheck", 6.0)],
            ),
            station("fasten", &[("screws", 33.0), ("caps", 18.0), ("wipe", 9.0)]),
            station("pack", &[("foil", 16.0), ("carton", 22.0)]),
        ],
    }
}

fn readings() -> IntervalDots {
    let row = |name: &str,
               unit: &str,
               stated: f64,
               tolerance,
               measured,
               interval,
               count,
               verdict: &str,
               disagrees| IntervalRow {
        name: name.into(),
        unit: unit.into(),
        stated: Some(stated),
        tolerance,
        measured,
        interval,
        count,
        verdict: verdict.into(),
        disagrees,
    };
    IntervalDots {
        interval_label: "95 % interval of the mean".into(),
        rows: vec![
            row(
                "cure dwell",
                "min",
                12.0,
                Some((11.0, 13.0)),
                14.1,
                (13.6, 14.6),
                40,
                "2.1 min longer than stated",
                true,
            ),
            row(
                "portion weight",
                "g",
                90.0,
                Some((88.0, 94.0)),
                90.6,
                (90.1, 91.1),
                125,
                "as stated",
                false,
            ),
            row(
                "cross-cut pace",
                "s",
                9.0,
                None,
                9.3,
                (8.8, 9.8),
                22,
                "as stated",
                false,
            ),
        ],
    }
}

type Show<'a> = &'a mut dyn FnMut(&str, &str, &dyn Fn(&Frame) -> String);

fn show_heat(show: Show<'_>) {
    show("cure", "A cure with time to spare", &|f| {
        heat_history(f, &heat::cure())
    });
    show("logged", "A load as logged", &|f| {
        heat_history(f, &heat::logged())
    });
    show("window", "Window of dwell and temperature", &|f| {
        window_map(f, &heat::window())
    });
    show("speed", "Window of dwell and line speed", &|f| {
        window_map(f, &heat::line_speed())
    });
    show("salt", "Salt across the piece", &|f| {
        profile_curves(f, &heat::salt())
    });
    show("freezer", "Freezer loads", &|f| {
        load_pull_down(f, &heat::freezer())
    });
    show("kiln", "Weighed pieces in a kiln", &|f| {
        loss_curve(f, &heat::kiln())
    });
    show("probes", "Probes of a load on hold", &|f| {
        probe_judgement(f, &heat::probes())
    });
    show("passing", "Probes of a load that passes", &|f| {
        probe_judgement(f, &heat::passing())
    });
}

fn main() -> std::io::Result<()> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let path = args.first().map_or("gallery.html", String::as_str);
    let theme = args.get(1).map_or("light", String::as_str);
    let wall = args.get(2).is_some_and(|word| word == "wall");
    let mut page = format!(
        "<!doctype html><html data-theme=\"{theme}\"><meta charset=\"utf-8\">\
         <meta name=\"viewport\" content=\"width=device-width\"><title>Pictures</title><style>{}\
         body{{margin:16px auto;max-width:{};padding:0 8px;font-family:system-ui,sans-serif;\
         background:var(--paper);color:var(--ink)}}h2{{font-size:15px;margin:28px 0 8px}}</style>",
        palette::STYLE,
        if wall { "1280px" } else { "760px" }
    );
    let narrow_only = args.get(2).is_some_and(|word| word == "narrow");
    let mut show = |id: &str, title: &str, draw: &dyn Fn(&Frame) -> String| {
        let frame = Frame::new(id, title).described("Invented data.");
        let svg = if narrow_only {
            draw(&frame.at_width(PHONE))
        } else if wall {
            draw(&frame.at_width(1280.0))
        } else {
            at_both_widths(&frame, draw)
        };
        let _ = write!(page, "<h2>{title}</h2>{svg}");
    };
    show("route", "Route of the nest block", &|f| {
        route_map(f, &nest_block())
    });
    show("tape", "Route of the glide tape", &|f| {
        route_map(f, &glide_tape())
    });
    show("load", "Load", &|f| load_bars(f, &loads()));
    show("weeks", "Weeks", &|f| week_strip(f, &weeks()));
    show("odds", "Certainty", &|f| certainty_curve(f, &certainty()));
    show("cost", "Unit cost", &|f| cost_stack(f, &costs()));
    show("drive", "What drives the cost", &|f| tornado(f, &drivers()));
    show("mass", "Mass balance", &|f| mass_flow(f, &masses()));
    show("line", "Line balance", &|f| line_balance(f, &line()));
    show("stated", "Stated and measured", &|f| {
        interval_dots(f, &readings())
    });
    show("boards", "Boards", &|f| board_cuts(f, &cutting::boards()));
    show("bars", "Bars", &|f| bar_patterns(f, &cutting::bars()));
    show("sheets", "Sheets", &|f| {
        sheet_layouts(f, &cutting::sheets())
    });
    show("holes", "Holes", &|f| drill_pattern(f, &cutting::holes()));
    show("many", "Many holes", &|f| {
        drill_pattern(f, &cutting::many_holes())
    });
    show("strip", "Folded frame", &|f| {
        frame_strip(f, &cutting::strip())
    });
    show("yields", "Yields", &|f| yield_bars(f, &cutting::yields()));
    show_heat(&mut show);
    show("blank", "Nothing", &|f| tornado(f, &Tornado::default()));
    std::fs::write(path, page)
}
