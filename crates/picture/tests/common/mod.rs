//! What the tests of all pictures share.

use roxmltree::Document;

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
        .filter(roxmltree::Node::is_element)
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
    for node in document.descendants().filter(roxmltree::Node::is_element) {
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
            .filter(roxmltree::Node::is_text)
            .filter_map(|t| t.text())
    });
    own.collect::<Vec<_>>().join("|")
}
