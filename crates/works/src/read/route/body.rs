//! Reading a piece: its form, its sizes, what it is made of and what covers it.

use quantity::{Dimension, Expect};

use super::super::materials;
use super::super::table::{Notes, Table, Value, choice, positive};
use super::super::works::{Declared, by_name};
use super::cut::tables;
use crate::diagnostic::Diagnostic;
use crate::model::{Body, BodyForm, BodyLayer, BodyUnit, Cover, Stated};

const LENGTH: Expect<'static> = Expect::Dimension(&Dimension::LENGTH);

/// Every size that some form has.
const SIZES: [&str; 5] = ["thick", "length", "width", "diameter", "height"];

/// The forms, by their words.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Shape {
    Slab,
    Sheet,
    Cylinder,
    Sphere,
    Brick,
    Can,
}

impl Shape {
    const WORDS: [(&'static str, Self); 6] = [
        ("slab", Self::Slab),
        ("sheet", Self::Sheet),
        ("cylinder", Self::Cylinder),
        ("sphere", Self::Sphere),
        ("brick", Self::Brick),
        ("can", Self::Can),
    ];

    fn sizes(self) -> &'static [&'static str] {
        match self {
            Self::Slab | Self::Sheet => &["thick"],
            Self::Cylinder | Self::Sphere => &["diameter"],
            Self::Brick => &["length", "width", "thick"],
            Self::Can => &["diameter", "height"],
        }
    }

    fn is_flat(self) -> bool {
        matches!(self, Self::Slab | Self::Sheet)
    }
}

/// One piece. `output` is the number of base units in one unit of the operation's output.
pub(super) fn read(
    notes: &mut Notes,
    table: &Table<'_>,
    declared: &Declared,
    output: f64,
) -> Option<Body> {
    let name = table.text(notes, "name").map(|word| word.text);
    let cover = table
        .get("cover")
        .and_then(|value| cover(notes, table, value, declared));
    let unit = unit(notes, table, output);
    let word = table.need_text(notes, "form")?;
    let shape = choice(notes, "form", &word, &Shape::WORDS)?;
    let form = form(notes, table, shape, &word.text, declared);
    Some(Body {
        at: table.at,
        name,
        cover,
        unit,
        form: form?,
    })
}

fn form(
    notes: &mut Notes,
    table: &Table<'_>,
    shape: Shape,
    word: &str,
    declared: &Declared,
) -> Option<BodyForm> {
    if let Some(value) = table.get("layers") {
        return layered(notes, table, value, shape, word, declared);
    }
    for name in SIZES {
        if let Some(at) = table
            .key_at(name)
            .filter(|_| !shape.sizes().contains(&name))
        {
            notes.push(size_of_another(word, shape, name, at));
        }
    }
    let size = |notes: &mut Notes, name: &'static str| {
        table.need(notes, name);
        table.positive(notes, name, LENGTH)
    };
    let of = materials::named(notes, table, "of", declared);
    match shape {
        Shape::Slab | Shape::Sheet => {
            let thick = size(notes, "thick");
            let layer = BodyLayer {
                of: of?,
                thick: thick?,
            };
            Some(BodyForm::Slab {
                layers: vec![layer],
                thin: shape == Shape::Sheet,
            })
        }
        Shape::Cylinder | Shape::Sphere => {
            let diameter = size(notes, "diameter");
            let (of, diameter) = (of?, diameter?);
            Some(if shape == Shape::Cylinder {
                BodyForm::Cylinder { diameter, of }
            } else {
                BodyForm::Sphere { diameter, of }
            })
        }
        Shape::Brick => {
            let sizes = ["length", "width", "thick"].map(|name| size(notes, name));
            let [length, width, thick] = sizes;
            Some(BodyForm::Brick {
                length: length?,
                width: width?,
                thick: thick?,
                of: of?,
            })
        }
        Shape::Can => {
            let (diameter, height) = (size(notes, "diameter"), size(notes, "height"));
            Some(BodyForm::Can {
                diameter: diameter?,
                height: height?,
                of: of?,
            })
        }
    }
}

fn size_of_another(word: &str, shape: Shape, name: &str, at: crate::Span) -> Diagnostic {
    let sizes: Vec<String> = shape
        .sizes()
        .iter()
        .map(|size| format!("`{size}`"))
        .collect();
    Diagnostic::fault("body-unclear", at, format!("a {word} has no `{name}`"))
        .sides(sizes.join(", "), format!("`{name}`"))
        .help("take it out, or choose another form")
}

/// A slab or a sheet of several layers.
fn layered(
    notes: &mut Notes,
    table: &Table<'_>,
    value: Value<'_>,
    shape: Shape,
    word: &str,
    declared: &Declared,
) -> Option<BodyForm> {
    let layers = layers(notes, table, value, "layers", declared);
    if !shape.is_flat() {
        notes.push(
            Diagnostic::fault(
                "body-unclear",
                value.at(),
                format!("a {word} has no layers"),
            )
            .sides("a `slab` or a `sheet`", format!("`{word}`"))
            .help("what lies over the faces of any form is its `cover`"),
        );
        return None;
    }
    let twice = std::iter::once("of")
        .chain(SIZES)
        .find_map(|name| Some((name, table.key_at(name)?)));
    if let Some((name, at)) = twice {
        notes.push(
            Diagnostic::fault(
                "body-unclear",
                at,
                format!("with `layers` there is no `{name}`"),
            )
            .help("each layer says what of and how thick it is"),
        );
    }
    let layers = layers?;
    Some(BodyForm::Slab {
        layers,
        thin: shape == Shape::Sheet,
    })
}

/// Layers; none when one of them could not be read, since the rest would be another piece.
fn layers(
    notes: &mut Notes,
    table: &Table<'_>,
    value: Value<'_>,
    key: &'static str,
    declared: &Declared,
) -> Option<Vec<BodyLayer>> {
    let section = by_name(table.section, key);
    let written = value.list().len();
    let layers = tables(notes, value, section, |notes, table| {
        let of = materials::named(notes, table, "of", declared);
        table.need(notes, "thick");
        let thick = table.positive(notes, "thick", LENGTH);
        Some(BodyLayer {
            of: of?,
            thick: thick?,
        })
    });
    if written == 0 {
        notes.push(Diagnostic::fault(
            "body-unclear",
            value.at(),
            format!("expected at least one layer in `{key}`, found none"),
        ));
    }
    (written > 0 && layers.len() == written).then_some(layers)
}

/// What lies over the faces: a resistance, or layers.
fn cover(
    notes: &mut Notes,
    table: &Table<'_>,
    value: Value<'_>,
    declared: &Declared,
) -> Option<Cover> {
    let stated = !value
        .list()
        .iter()
        .any(|value| value.is_table() && value.value.get_ref().get("value").is_none());
    if !stated {
        return layers(notes, table, value, "cover", declared).map(Cover::Layers);
    }
    let resistance = Dimension::AREA
        .times(&Dimension::TEMPERATURE)
        .over(&Dimension::POWER);
    let stated = value.stated(notes, Expect::Dimension(&resistance))?;
    positive(notes, "cover", stated).map(Cover::Resistance)
}

/// How much of the piece is in one base unit of output.
fn unit(notes: &mut Notes, table: &Table<'_>, output: f64) -> Option<BodyUnit> {
    let either = [Dimension::AREA, Dimension::MASS];
    let stated = table.positive(notes, "unit", Expect::OneOf(&either))?;
    let is_area = *stated.unit.dimension() == Dimension::AREA;
    let stated = Stated {
        spread: stated.spread.scale(1.0 / output),
        ..stated
    };
    Some(if is_area {
        BodyUnit::Area(stated)
    } else {
        BodyUnit::Mass(stated)
    })
}
