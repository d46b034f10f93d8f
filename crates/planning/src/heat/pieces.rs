//! From a stated piece to the engine's: the slow one of each size, and the fast one.

use heat::body::{Body, Form, Layer};
use heat::material::Material;
use works::{BodyForm, BodyLayer, BodyUnit, Cover, Operation, Works};

use super::extremes::end;
use super::substance::Substances;
use super::{NoHeat, words};

/// One piece of a body, ready for the engine.
pub(super) struct Piece {
    /// Its body.
    pub(super) body: Body,
    /// Resistance that lies over its faces, m² K/W: what is not a layer of the body itself.
    pub(super) cover: f64,
    /// `slab 26 mm of duck breast`.
    pub(super) words: String,
}

/// The slow or the fast piece of a body: the thick or the thin one.
pub(super) fn piece(
    substances: &Substances<'_>,
    body: &works::Body,
    slow: bool,
) -> Result<Piece, NoHeat> {
    let (form, mut layers, words) = match &body.form {
        BodyForm::Slab { layers, thin } => slab(substances, layers, *thin, slow)?,
        other => whole(substances, other, slow)?,
    };
    let cover = cover(substances, body, slow, form, &mut layers)?;
    Ok(Piece {
        body: Body::new(form, layers).map_err(|fault| NoHeat::engine(body.at, &fault))?,
        cover,
        words,
    })
}

/// Form, layers and words of a piece.
type Parts = (Form, Vec<Layer>, String);

fn slab(
    substances: &Substances<'_>,
    layers: &[BodyLayer],
    thin: bool,
    slow: bool,
) -> Result<Parts, NoHeat> {
    let mut all = Vec::with_capacity(layers.len());
    let mut names = Vec::with_capacity(layers.len());
    for layer in layers {
        all.push(self::layer(substances, layer, slow)?);
        names.push(format!(
            "{} {}",
            words::length(end(&layer.thick, slow)),
            layer.of.name
        ));
    }
    let what = if thin { "sheet" } else { "slab" };
    Ok((Form::Slab, all, format!("{what} of {}", names.join(", "))))
}

/// A piece of one material; a slab has its layers above.
fn whole(substances: &Substances<'_>, form: &BodyForm, slow: bool) -> Result<Parts, NoHeat> {
    let size = |stated: &works::Stated| end(stated, slow);
    let mm = words::length;
    let (form, thick_m, of, words) = match form {
        BodyForm::Slab { layers, thin } => return slab(substances, layers, *thin, slow),
        BodyForm::Cylinder { diameter, of } => {
            let across = size(diameter);
            let words = format!("long cylinder of {}, {} across", of.name, mm(across));
            (Form::Cylinder, 0.5 * across, of, words)
        }
        BodyForm::Sphere { diameter, of } => {
            let across = size(diameter);
            let words = format!("ball of {}, {} across", of.name, mm(across));
            (Form::Sphere, 0.5 * across, of, words)
        }
        BodyForm::Brick {
            length,
            width,
            thick,
            of,
        } => {
            let (z_m, y_m, thick_m) = (size(length), size(width), size(thick));
            let sides = [z_m, y_m, thick_m].map(mm).join(" x ");
            let words = format!("block of {}, {sides}", of.name);
            (Form::Brick { y_m, z_m }, thick_m, of, words)
        }
        BodyForm::Can {
            diameter,
            height,
            of,
        } => {
            let (across, height_m) = (size(diameter), size(height));
            let sizes = format!("{} across, {} high", mm(across), mm(height_m));
            let words = format!("cylinder of {}, {sizes}", of.name);
            (Form::Can { height_m }, 0.5 * across, of, words)
        }
    };
    Ok((form, vec![one(thick_m, substances.of(of)?)], words))
}

fn one(thick_m: f64, material: Material) -> Layer {
    Layer { thick_m, material }
}

fn layer(substances: &Substances<'_>, layer: &BodyLayer, slow: bool) -> Result<Layer, NoHeat> {
    Ok(one(end(&layer.thick, slow), substances.of(&layer.of)?))
}

/// What lies over the faces: layers of a slab or of round bodies become part of it, on every face that heat may pass;
/// a resistance, and layers over a block, are left to the coefficient. Returns that resistance, m² K/W.
fn cover(
    substances: &Substances<'_>,
    body: &works::Body,
    slow: bool,
    form: Form,
    layers: &mut Vec<Layer>,
) -> Result<f64, NoHeat> {
    let over = match &body.cover {
        None => return Ok(0.0),
        Some(Cover::Resistance(stated)) => return Ok(end(stated, slow)),
        Some(Cover::Layers(over)) => over,
    };
    let mut outward = Vec::with_capacity(over.len());
    for one in over {
        outward.push(layer(substances, one, slow)?);
    }
    if matches!(form, Form::Brick { .. } | Form::Can { .. }) {
        let resistance = |layer: &Layer| {
            // A cover is thin: its conductivity where the piece is handled says enough.
            layer.thick_m / layer.material.conductivity_at(heat::ICE_POINT_K + 20.0)
        };
        return Ok(outward.iter().map(resistance).sum());
    }
    if form == Form::Slab {
        let inward = outward.iter().rev().cloned();
        layers.splice(0..0, inward);
    }
    layers.extend(outward);
    Ok(0.0)
}

/// How many of the engine's pieces (m² of face for slabs, m of length for long cylinders, else whole pieces) are in one
/// base unit of the operation's output, and the mass of one; none where the works does not say.
pub(super) fn per_unit(
    works: &Works,
    operation: &Operation,
    body: &works::Body,
    piece: &Body,
) -> Option<f64> {
    let mass = match &body.unit {
        Some(BodyUnit::Area(area)) => return (piece.form() == Form::Slab).then(|| area.mean()),
        Some(BodyUnit::Mass(mass)) => mass.mean(),
        None => works.item(operation.output.item).mass.as_ref()?.mean(),
    };
    Some(mass / mass_of(piece))
}

/// Mass of one of the engine's pieces, kg: of a m² of face, of a m of length, or of the whole.
pub(super) fn mass_of(piece: &Body) -> f64 {
    use std::f64::consts::PI;
    let mut inner = 0.0;
    let mut mass = 0.0;
    for layer in piece.layers() {
        let outer = inner + layer.thick_m;
        let volume = match piece.form() {
            Form::Slab => layer.thick_m,
            Form::Cylinder => PI * (outer * outer - inner * inner),
            Form::Sphere => 4.0 / 3.0 * PI * (outer * outer * outer - inner * inner * inner),
            Form::Brick { y_m, z_m } => layer.thick_m * y_m * z_m,
            Form::Can { height_m } => PI * outer * outer * height_m,
        };
        mass += volume * layer.material.density_kg_m3();
        inner = outer;
    }
    mass
}

/// Face of one of the engine's pieces that the air reaches, m².
pub(super) fn area_of(piece: &Body, both: bool) -> f64 {
    use std::f64::consts::PI;
    let depth = piece.depth_m();
    match piece.form() {
        Form::Slab => {
            if both {
                2.0
            } else {
                1.0
            }
        }
        Form::Cylinder => 2.0 * PI * depth,
        Form::Sphere => 4.0 * PI * depth * depth,
        Form::Brick { y_m, z_m } => 2.0 * (depth * y_m + depth * z_m + y_m * z_m),
        Form::Can { height_m } => 2.0 * PI * depth * (depth + height_m),
    }
}
