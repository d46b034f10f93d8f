//! The piece: its form, its size and what it is made of.

use serde::Serialize;

use crate::fault::{Fault, positive};
use crate::material::Material;

/// Form and size. Lengths in m, over all.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub enum Form {
    /// Heat goes through the thickness only; the thickness is that of all layers together.
    Slab,
    /// Long and round; its radius is that of all layers together.
    Cylinder,
    /// A ball; its radius is that of all layers together.
    Sphere,
    /// A block of one layer, whose thickness is the length along x.
    Brick {
        /// Length along y.
        y_m: f64,
        /// Length along z.
        z_m: f64,
    },
    /// A short cylinder of one layer, whose thickness is its radius.
    Can {
        /// From end to end.
        height_m: f64,
    },
}

/// A layer of one material.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Layer {
    /// How thick, m.
    pub thick_m: f64,
    /// What of.
    pub material: Material,
}

/// A piece. Layers of a slab go from its first face to its last; those of round forms from the middle outward.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Body {
    form: Form,
    layers: Vec<Layer>,
}

impl Body {
    /// A piece of at least one layer; bricks and cans have one.
    pub fn new(form: Form, layers: Vec<Layer>) -> Result<Self, Fault> {
        if layers.is_empty() {
            return Err(Fault::Missing("layer"));
        }
        for layer in &layers {
            positive("thickness", layer.thick_m)?;
        }
        match form {
            Form::Brick { y_m, z_m } => {
                positive("length", y_m)?;
                positive("length", z_m)?;
            }
            Form::Can { height_m } => {
                positive("height", height_m)?;
            }
            Form::Slab | Form::Cylinder | Form::Sphere => return Ok(Self { form, layers }),
        }
        if layers.len() > 1 {
            return Err(Fault::Impossible {
                asked: "follow layers in a block or a short cylinder",
                why: format!(
                    "found {} layers, which only slabs, long cylinders and spheres may have",
                    layers.len()
                ),
            });
        }
        Ok(Self { form, layers })
    }

    /// A slab of one material.
    pub fn slab(thick_m: f64, material: Material) -> Result<Self, Fault> {
        Self::new(Form::Slab, vec![Layer { thick_m, material }])
    }

    /// Form and size.
    pub fn form(&self) -> Form {
        self.form
    }

    /// The layers.
    pub fn layers(&self) -> &[Layer] {
        &self.layers
    }

    /// Thickness or radius of all layers together, m.
    pub fn depth_m(&self) -> f64 {
        self.layers.iter().map(|layer| layer.thick_m).sum()
    }
}
