//! The map held to its checker, on a route like those of a works and on random graphs.

use proptest::prelude::*;

use super::check::faults;
use super::shape::lay_out;
use super::*;

fn node(id: &str, kind: NodeKind) -> Node {
    Node {
        id: id.into(),
        label: id.into(),
        sub: "bench 2".into(),
        kind,
        amount: String::new(),
    }
}

fn edge(from: &str, to: &str, label: &str, kind: EdgeKind) -> Edge {
    Edge {
        from: from.into(),
        to: to.into(),
        label: label.into(),
        kind,
        weight: 0.5,
    }
}

const WAYS: [Direction; 4] = [
    Direction::Fit,
    Direction::LeftToRight,
    Direction::Turning,
    Direction::Down,
];

fn assert_sound(map: &RouteMap) {
    for direction in WAYS {
        for width in [360.0, 760.0] {
            let map = RouteMap {
                direction,
                ..map.clone()
            };
            let layout = lay_out(&map, width);
            let found = faults(&map, &layout);
            assert!(found.is_empty(), "{direction:?} at {width}: {found:#?}");
        }
    }
}

/// A line of `count` operations with something bought and something rejected at every third.
fn line(count: usize) -> RouteMap {
    let mut map = RouteMap::default();
    for at in 0..count {
        map.nodes.push(node(&format!("op {at}"), NodeKind::Station));
        if at > 0 {
            let (from, to) = (format!("op {}", at - 1), format!("op {at}"));
            map.edges.push(edge(&from, &to, "", EdgeKind::Flow));
        }
        if at % 3 == 0 {
            map.nodes.push(node(&format!("in {at}"), NodeKind::Bought));
            map.nodes.push(node(&format!("out {at}"), NodeKind::Scrap));
            map.edges.push(edge(
                &format!("in {at}"),
                &format!("op {at}"),
                "2 kg",
                EdgeKind::Flow,
            ));
            map.edges.push(edge(
                &format!("op {at}"),
                &format!("out {at}"),
                "3 %",
                EdgeKind::Reject,
            ));
        }
    }
    map
}

#[test]
fn a_route_with_loops_is_sound_at_every_width() {
    let mut map = line(14);
    map.edges
        .push(edge("op 9", "op 6", "4 %", EdgeKind::Rework));
    map.edges
        .push(edge("op 9", "op 2", "1 %", EdgeKind::Rework));
    map.edges
        .push(edge("op 5", "op 4", "regrind 20 %", EdgeKind::Regrind));
    map.edges
        .push(edge("op 12", "op 12", "again", EdgeKind::Rework));
    assert_sound(&map);
}

#[test]
fn fourteen_operations_fit_phone_and_page() {
    let map = line(14);
    for width in [360.0, 760.0] {
        let found = lay_out(&map, width).width;
        assert!(found <= width, "{found} at {width}");
    }
}

#[test]
fn a_short_route_stays_on_one_line() {
    let map = line(3);
    let layout = lay_out(&map, 800.0);
    let row = |id: &str| {
        let found = layout.boxes.iter().find(|(at, ..)| map.nodes[*at].id == id);
        found
            .map(|(_, _, area)| area.y + area.h / 2.0)
            .expect("the box is laid out")
    };
    assert!((row("op 0") - row("op 1")).abs() < 0.01 && (row("op 1") - row("op 2")).abs() < 0.01);
}

#[test]
fn the_spine_of_a_route_is_straight_down() {
    let map = RouteMap {
        direction: Direction::Down,
        ..line(14)
    };
    let layout = lay_out(&map, 360.0);
    let middles = layout
        .boxes
        .iter()
        .filter(|(at, ..)| map.nodes[*at].kind == NodeKind::Station);
    let middles: Vec<f64> = middles.map(|(_, _, area)| area.x + area.w / 2.0).collect();
    assert!(
        middles.iter().all(|x| (x - middles[0]).abs() < 0.01),
        "{middles:?}"
    );
}

#[test]
fn faulty_maps_are_drawn_as_far_as_they_go() {
    let frame = Frame::new("m", "m");
    assert!(route_map(&frame, &RouteMap::default()).contains("Nothing to draw"));
    let mut map = line(2);
    map.nodes.push(node("op 0", NodeKind::Scrap));
    map.edges.push(Edge {
        weight: f64::NAN,
        ..edge("op 1", "op 0", "", EdgeKind::Flow)
    });
    map.edges
        .push(edge("op 1", "nowhere", "lost", EdgeKind::Flow));
    map.nodes.push(Node {
        label: String::new(),
        sub: String::new(),
        ..node("", NodeKind::Item)
    });
    assert_sound(&map);
}

#[test]
fn the_checker_sees_each_fault() {
    let map = line(2);
    let good = lay_out(&map, 760.0);
    assert!(faults(&map, &good).is_empty());
    let broken = |change: &dyn Fn(&mut super::shape::Layout)| {
        let mut layout = good.clone();
        change(&mut layout);
        !faults(&map, &layout).is_empty()
    };
    assert!(broken(&|l| l.boxes[0].2 = l.boxes[1].2));
    assert!(broken(&|l| l.labels[0].area = l.boxes[0].2));
    assert!(broken(&|l| l.wires[0].points[0].0 -= 5.0));
    assert!(broken(&|l| l.wires.truncate(1)));
    assert!(broken(&|l| l.labels.clear()));
    assert!(broken(&|l| l.width = 10.0));
}

fn any_map() -> impl Strategy<Value = RouteMap> {
    use EdgeKind::{ByProduct, Flow, Regrind, Reject, Rework};
    use NodeKind::{Bought, Item, Scrap, Station, Store, Test};
    let kinds = prop::sample::select(vec![
        Station,
        Item,
        Store,
        Bought,
        NodeKind::ByProduct,
        Scrap,
        Test,
    ]);
    let ways = prop::sample::select(vec![Flow, Flow, Flow, Rework, Regrind, ByProduct, Reject]);
    let labels = prop::sample::select(vec![
        "",
        "4 %",
        "0.19 m each",
        "a long label beside an arrow",
    ]);
    prop::collection::vec(kinds, 1..=60).prop_flat_map(move |nodes| {
        let count = nodes.len();
        // Mostly short hops, as in a route; some go anywhere.
        let hop = (0..count, 0..count, 0..4usize, prop::bool::weighted(0.3));
        let edges =
            prop::collection::vec((hop, ways.clone(), labels.clone()), 0..=count + count / 2);
        edges.prop_map(move |edges| RouteMap {
            nodes: nodes
                .iter()
                .enumerate()
                .map(|(at, kind)| node(&format!("n{at}"), *kind))
                .collect(),
            edges: edges
                .into_iter()
                .map(|((from, any, near, far), kind, label)| {
                    let to = if far {
                        any
                    } else {
                        (from + near).min(count - 1)
                    };
                    edge(&format!("n{from}"), &format!("n{to}"), label, kind)
                })
                .collect(),
            direction: Direction::Fit,
        })
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn random_maps_are_sound(map in any_map()) {
        assert_sound(&map);
    }
}
