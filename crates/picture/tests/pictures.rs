//! Every picture is read back as XML, with good data and with the worst.

use picture::{
    BalanceStation, CertaintyCurve, CertaintyMark, CostColumn, CostStack, Direction, Edge,
    EdgeKind, Frame, IntervalDots, IntervalRow, LineBalance, LoadBars, LoadKind, LoadRow, MassFlow,
    Node, NodeKind, Outlet, OutletKind, RouteMap, Stream, Tornado, TornadoBar, WeekRow, WeekStrip,
    at_both_widths, certainty_curve, cost_stack, interval_dots, line_balance, load_bars, mass_flow,
    palette, route_map, tornado, week_strip,
};
mod common;

use common::{NASTY, assert_sound, words};
use proptest::prelude::*;
use roxmltree::Document;

#[test]
fn plain_colours_leave_no_custom_property() {
    for draw in ALL {
        let svg = draw(&Frame::new("x", "x"), 2.5, "oven var(--ink,#000)");
        let plain = palette::with_plain_colours(&svg);
        assert!(
            svg.contains("=\"var(--") && !plain.contains("=\"var(--"),
            "{plain}"
        );
        assert_eq!(words(&svg), words(&plain));
    }
}

#[test]
fn a_picture_for_two_widths_has_two_sets_of_ids() {
    let frame = Frame::new("weeks", "Weeks");
    let both = at_both_widths(&frame, |f| ALL[2](f, 0.5, "oven"));
    let page = format!("<div>{both}</div>");
    let document = Document::parse(&page).expect("both are XML");
    let mut ids: Vec<&str> = document
        .descendants()
        .filter_map(|node| node.attribute("id"))
        .collect();
    let all = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), all);
    let boxes: Vec<&str> = document
        .descendants()
        .filter_map(|n| n.attribute("viewBox"))
        .collect();
    assert!(
        boxes[0].starts_with("0 0 360 ") && boxes[1].starts_with("0 0 760 "),
        "{boxes:?}"
    );
}

type Draw = fn(&Frame, f64, &str) -> String;

/// Every picture from one number and one name, so that a bad one reaches every field.
const ALL: [Draw; 9] = [
    |f, v, name| {
        let node = |id: &str, kind| Node {
            id: id.into(),
            label: name.into(),
            sub: name.into(),
            kind,
            amount: name.into(),
        };
        let edge = Edge {
            from: "a".into(),
            to: "b".into(),
            label: name.into(),
            kind: EdgeKind::Flow,
            weight: v,
        };
        let nodes = vec![node("a", NodeKind::Scrap), node("b", NodeKind::Test)];
        route_map(
            f,
            &RouteMap {
                nodes,
                edges: vec![edge],
                direction: Direction::Fit,
            },
        )
    },
    |f, v, name| {
        let parts = vec![
            (LoadKind::Run, v),
            (LoadKind::Idle, v),
            (LoadKind::Stops, 1.0),
        ];
        let row = |available_hours| LoadRow {
            name: name.into(),
            parts: parts.clone(),
            available_hours,
            note: name.into(),
            bottleneck: true,
        };
        load_bars(
            f,
            &LoadBars {
                rows: vec![row(v), row(10.0)],
            },
        )
    },
    |f, v, name| {
        let row = WeekRow {
            name: name.into(),
            utilisation: vec![Some(v), None, Some(1.2)],
        };
        week_strip(
            f,
            &WeekStrip {
                weeks: vec![name.into()],
                rows: vec![row],
            },
        )
    },
    |f, v, name| {
        let mark = |quantity, odds| CertaintyMark {
            quantity,
            odds,
            label: name.into(),
        };
        let curve = CertaintyCurve {
            points: vec![(v, 0.5), (10.0, v), (12.0, 0.9)],
            marks: vec![mark(v, 0.5), mark(11.0, v), mark(11.0, 0.5)],
            naive: Some(v),
            quantity_label: name.into(),
        };
        certainty_curve(f, &curve)
    },
    |f, v, name| {
        let column = |low_high| CostColumn {
            quantity: name.into(),
            parts: vec![v, 2.0],
            low_high,
        };
        let columns = vec![column(Some((v, 1.0))), column(None)];
        let elements = vec![name.into(), name.into(), name.into()];
        cost_stack(
            f,
            &CostStack {
                elements,
                columns,
                unit: name.into(),
            },
        )
    },
    |f, v, name| {
        let bar = |base_low, base_high| TornadoBar {
            name: name.into(),
            low_input: name.into(),
            high_input: name.into(),
            low: base_low,
            high: base_high,
        };
        tornado(
            f,
            &Tornado {
                base: 1.0,
                unit: name.into(),
                bars: vec![bar(v, 1.0), bar(0.5, 2.0)],
            },
        )
    },
    |f, v, name| {
        let stream = Stream {
            name: name.into(),
            amount: v,
        };
        let outlet = |amount, kind| Outlet {
            name: name.into(),
            amount,
            kind,
        };
        let outputs = vec![
            outlet(v, OutletKind::Waste),
            outlet(3.0, OutletKind::Product),
        ];
        mass_flow(
            f,
            &MassFlow {
                inputs: vec![stream],
                outputs,
                unit: name.into(),
            },
        )
    },
    |f, v, name| {
        let station = |time| BalanceStation {
            name: name.into(),
            tasks: vec![(name.into(), time), (name.into(), 4.0)],
        };
        line_balance(
            f,
            &LineBalance {
                takt_s: v,
                stations: vec![station(v), station(9.0)],
            },
        )
    },
    |f, v, name| {
        let row = |measured| IntervalRow {
            name: name.into(),
            unit: name.into(),
            stated: Some(v),
            tolerance: Some((v, 2.0)),
            measured,
            interval: (1.0, v),
            count: 3,
            verdict: name.into(),
            disagrees: true,
        };
        interval_dots(
            f,
            &IntervalDots {
                rows: vec![row(v), row(1.5)],
                interval_label: name.into(),
            },
        )
    },
];

#[test]
fn bad_numbers_and_names_are_drawn_without_a_fault() {
    let long = "a very long name of a station ".repeat(30);
    let numbers = [
        0.0,
        -0.0,
        1.0,
        -3.5,
        1e-300,
        1e300,
        -1e300,
        f64::NAN,
        f64::INFINITY,
        f64::NEG_INFINITY,
    ];
    for draw in ALL {
        for number in numbers {
            for name in ["", "oven", NASTY, long.as_str()] {
                for width in [360.0, 760.0, f64::NAN, -5.0] {
                    let frame = Frame::new("load", NASTY).described(NASTY).at_width(width);
                    assert_sound(&draw(&frame, number, name), "load");
                }
            }
        }
    }
}

#[test]
fn empty_pictures_say_that_there_is_nothing() {
    let frame = Frame::new("x", "x");
    let blank = [
        route_map(&frame, &RouteMap::default()),
        load_bars(&frame, &LoadBars::default()),
        week_strip(&frame, &WeekStrip::default()),
        certainty_curve(&frame, &CertaintyCurve::default()),
        cost_stack(&frame, &CostStack::default()),
        tornado(&frame, &Tornado::default()),
        mass_flow(&frame, &MassFlow::default()),
        line_balance(&frame, &LineBalance::default()),
        interval_dots(&frame, &IntervalDots::default()),
    ];
    for svg in blank {
        assert_sound(&svg, "x");
        assert!(words(&svg).starts_with("Nothing to draw: "), "{svg}");
    }
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    let frame = Frame::new("x", "x");
    for draw in ALL {
        assert_eq!(draw(&frame, 2.5, "oven"), draw(&frame, 2.5, "oven"));
    }
}

/// 296 h available, 251 + 12 + 21 + 22 = 306 h used: 306 / 296 = 103.4 %.
#[test]
fn load_bars_print_the_utilisation_without_idle_hours() {
    let parts = vec![
        (LoadKind::Run, 251.0),
        (LoadKind::SetUp, 12.0),
        (LoadKind::Changeover, 21.0),
        (LoadKind::Stops, 22.0),
        (LoadKind::Idle, 50.0),
    ];
    let row = LoadRow {
        name: "cure oven".into(),
        parts,
        available_hours: 296.0,
        note: String::new(),
        bottleneck: true,
    };
    let shown = words(&load_bars(
        &Frame::new("x", "x"),
        &LoadBars { rows: vec![row] },
    ));
    assert!(
        shown.contains("103 %") && shown.contains("bottleneck"),
        "{shown}"
    );
}

/// 100 in, 60 + 30 out: 10 are not accounted for and must be shown; 100 in, 70 + 30 out: none.
#[test]
fn mass_that_is_missing_is_shown() {
    let flow = |product| MassFlow {
        inputs: vec![Stream {
            name: "meat".into(),
            amount: 100.0,
        }],
        outputs: vec![
            Outlet {
                name: "portions".into(),
                amount: product,
                kind: OutletKind::Product,
            },
            Outlet {
                name: "trim".into(),
                amount: 30.0,
                kind: OutletKind::ByProduct,
            },
        ],
        unit: "kg".into(),
    };
    let frame = Frame::new("x", "x");
    let shown = words(&mass_flow(&frame, &flow(60.0)));
    assert!(
        shown.contains("not accounted for") && shown.contains("10 kg"),
        "{shown}"
    );
    assert!(!words(&mass_flow(&frame, &flow(70.0))).contains("not accounted for"));
}

/// 2.10 + 0.84 - 0.18 = 2.76.
#[test]
fn a_credit_is_taken_off_the_unit_cost() {
    let column = CostColumn {
        quantity: "2,000".into(),
        parts: vec![2.10, 0.84, -0.18],
        low_high: None,
    };
    let elements = ["material", "machine", "offcuts sold"]
        .map(String::from)
        .to_vec();
    let stack = CostStack {
        elements,
        columns: vec![column],
        unit: "EUR each".into(),
    };
    let shown = words(&cost_stack(&Frame::new("x", "x"), &stack));
    assert!(
        shown.contains("2.76") && shown.contains("offcuts sold"),
        "{shown}"
    );
}

#[test]
fn the_widest_driver_stands_on_top() {
    let bar = |name: &str, low, high| TornadoBar {
        name: name.into(),
        low_input: String::new(),
        high_input: String::new(),
        low,
        high,
    };
    let bars = vec![
        bar("narrow", 0.9, 1.1),
        bar("wide", 2.0, 0.5),
        bar("middle", 0.8, 1.4),
    ];
    let shown = words(&tornado(
        &Frame::new("x", "x"),
        &Tornado {
            base: 1.0,
            unit: String::new(),
            bars,
        },
    ));
    let at = |name: &str| shown.find(name).expect("every driver is named");
    assert!(
        at("wide") < at("middle") && at("middle") < at("narrow"),
        "{shown}"
    );
}

#[test]
fn a_cut_name_keeps_its_full_form_for_the_reader() {
    let name = "electrostatic powder coating booth number two in the north hall of the works";
    let row = WeekRow {
        name: name.into(),
        utilisation: vec![Some(0.5)],
    };
    let svg = week_strip(
        &Frame::new("x", "x"),
        &WeekStrip {
            weeks: vec!["W1".into()],
            rows: vec![row],
        },
    );
    assert!(svg.contains(&format!("<title>{name}</title>")), "{svg}");
}

#[test]
fn week_strip_reads_the_same_as_before() {
    let row = WeekRow {
        name: "oven".into(),
        utilisation: vec![Some(0.62), Some(1.12), None],
    };
    let strip = WeekStrip {
        weeks: vec!["W40".into(), "W41".into(), "W42".into()],
        rows: vec![row],
    };
    insta::assert_snapshot!(week_strip(&Frame::new("weeks", "Weeks"), &strip));
}

#[test]
fn a_small_route_reads_the_same_as_before() {
    let node = |id: &str, kind| Node {
        id: id.into(),
        label: id.into(),
        sub: String::new(),
        kind,
        amount: "10 kg".into(),
    };
    let edge = |from: &str, to: &str, kind| Edge {
        from: from.into(),
        to: to.into(),
        label: "5 %".into(),
        kind,
        weight: 1.0,
    };
    let map = RouteMap {
        nodes: vec![
            node("pellets", NodeKind::Bought),
            node("mould", NodeKind::Station),
            node("tape", NodeKind::Item),
        ],
        edges: vec![
            edge("pellets", "mould", EdgeKind::Flow),
            edge("mould", "tape", EdgeKind::Flow),
            edge("tape", "mould", EdgeKind::Rework),
        ],
        direction: Direction::Fit,
    };
    insta::assert_snapshot!(route_map(&Frame::new("route", "Route"), &map));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn any_number_and_any_name_is_drawn(number in any::<f64>(), name in "\\PC{0,40}", width in 0.0..2000.0) {
        let frame = Frame::new("p", name.as_str()).at_width(width);
        for draw in ALL {
            assert_sound(&draw(&frame, number, &name), "p");
        }
    }
}
