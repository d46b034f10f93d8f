//! What the tests of all pictures share; each uses the part it needs.
#![allow(dead_code)]

use roxmltree::{Document, Node};

/// A name with all that can break XML.
pub(crate) const NASTY: &str = "a <b> & \"c\" 'd' \u{0}\u{7}\u{fffe} ]]> --> \u{202e} 木\u{301}";

/// What holds of every picture, whatever it shows.
pub(crate) fn assert_sound(svg: &str, id: &str) {
    let document = Document::parse(svg).unwrap_or_else(|fault| panic!("{fault}: {svg}"));
    let root = document.root_element();
    assert_eq!(root.tag_name().name(), "svg");
    assert_eq!(root.attribute("role"), Some("img"));
    assert_eq!(root.attribute("width"), Some("100%"));
    let mut names = root
        .children()
        .filter(Node::is_element)
        .map(|n| n.tag_name().name().to_owned());
    assert_eq!(
        (names.next().as_deref(), names.next().as_deref()),
        (Some("title"), Some("desc"))
    );
    let sides: Vec<f64> = root
        .attribute("viewBox")
        .expect("a picture has a viewBox")
        .split(' ')
        .map(|side| side.parse().expect("a side is a number"))
        .collect();
    assert!(sides[2] >= 280.0 && sides[3] > 10.0, "{sides:?}");
    let ids: Vec<&str> = document
        .descendants()
        .filter_map(|node| node.attribute("id"))
        .collect();
    for (at, own) in ids.iter().enumerate() {
        assert!(own.starts_with(id), "{own} lacks the prefix {id}");
        assert!(!ids[..at].contains(own), "{own} is given twice");
    }
    for node in document.descendants().filter(Node::is_element) {
        assert!(!["script", "image", "foreignObject", "a"].contains(&node.tag_name().name()));
        for attribute in node.attributes() {
            let value = attribute.value();
            assert!(
                !value.contains("NaN") && !value.contains("inf"),
                "{}={value}",
                attribute.name()
            );
            if let Some(target) = value.strip_prefix("url(#") {
                assert!(
                    ids.contains(&target.trim_end_matches(')')),
                    "{value} points nowhere"
                );
            }
            let long = value.split([' ', ',', 'L', 'M', 'Q', 'C']).any(|number| {
                number.parse::<f64>().is_ok()
                    && number.split_once('.').is_some_and(|(_, d)| d.len() > 2)
            });
            assert!(!long, "more than two decimals in {value}");
        }
    }
}

/// All words of all texts, without their tooltips.
pub(crate) fn words(svg: &str) -> String {
    let document = Document::parse(svg).expect("a picture is XML");
    let texts = document
        .descendants()
        .filter(|node| node.has_tag_name(("http://www.w3.org/2000/svg", "text")));
    let own = texts.flat_map(|node| {
        node.children()
            .filter(Node::is_text)
            .filter_map(|t| t.text())
    });
    own.collect::<Vec<_>>().join("|")
}

/// Box of a text: left, top, right, bottom. Narrower than most fonts set it, so that an overlap
/// found is an overlap seen.
fn text_box(node: &Node<'_, '_>) -> ([f64; 4], String) {
    let number = |name| -> f64 {
        node.attribute(name)
            .map_or(0.0, |v| v.parse().expect("a number"))
    };
    let own: String = node
        .children()
        .filter_map(|c| if c.is_text() { c.text() } else { None })
        .collect();
    let (x, y, size) = (number("x"), number("y"), number("font-size"));
    let wide = own.chars().count() as f64 * size * 0.45;
    let left = match node.attribute("text-anchor") {
        Some("middle") => x - wide / 2.0,
        Some("end") => x - wide,
        _ => x,
    };
    ([left, y - size * 0.7, left + wide, y], own)
}

fn view_of(document: &Document<'_>) -> Vec<f64> {
    let view = document.root_element().attribute("viewBox");
    let sides = view.expect("a picture has a viewBox").split(' ');
    sides
        .map(|side| side.parse().expect("a side is a number"))
        .collect()
}

/// No words stand on others or outside the frame.
pub(crate) fn assert_words_apart(svg: &str) {
    let document = Document::parse(svg).expect("a picture is XML");
    let view = view_of(&document);
    let texts: Vec<([f64; 4], String)> = document
        .descendants()
        .filter(|node| node.tag_name().name() == "text")
        .map(|node| text_box(&node))
        .collect();
    for (at, (a, word)) in texts.iter().enumerate() {
        let inside = a[0] > -1.0 && a[1] > -1.0 && a[2] < view[2] + 1.0 && a[3] < view[3] + 1.0;
        assert!(inside, "{word} {a:?} is outside {view:?}");
        for (b, other) in &texts[..at] {
            let apart = a[0] >= b[2] || b[0] >= a[2] || a[1] >= b[3] || b[1] >= a[3];
            assert!(apart, "{word} {a:?} stands on {other} {b:?}: {svg}");
        }
    }
}

/// Rectangles, rounds and lines lie within the frame.
pub(crate) fn assert_shapes_inside(svg: &str) {
    let document = Document::parse(svg).expect("a picture is XML");
    let view = view_of(&document);
    let shapes = document.descendants().filter(|node| {
        let in_pattern = node.ancestors().any(|a| a.tag_name().name() == "pattern");
        !in_pattern && ["rect", "circle", "line"].contains(&node.tag_name().name())
    });
    for node in shapes {
        let n = |name| {
            node.attribute(name)
                .map_or(0.0, |v| v.parse::<f64>().expect("a number"))
        };
        let (x, y) = match node.tag_name().name() {
            "rect" => (
                [n("x"), n("x") + n("width")],
                [n("y"), n("y") + n("height")],
            ),
            "circle" => (
                [n("cx") - n("r"), n("cx") + n("r")],
                [n("cy") - n("r"), n("cy") + n("r")],
            ),
            _ => ([n("x1"), n("x2")], [n("y1"), n("y2")]),
        };
        let inside = x.iter().all(|x| (-1.0..=view[2] + 1.0).contains(x))
            && y.iter().all(|y| (-1.0..=view[3] + 1.0).contains(y));
        assert!(inside, "{x:?} {y:?} outside {view:?}: {svg}");
    }
}
