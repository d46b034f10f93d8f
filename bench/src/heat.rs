//! Pieces through programmes: one case of heat from a JSON file.
//!
//! `bench -- heat FILE` prints what was asked with its estimated error; with `--sweep N` it follows N recipes like it, the
//! air from 10 degC colder to 10 degC hotter, on two threads, and prints how long all took. Temperatures are in degC, times in s, lengths in
//! m. A case looks like this; `docs/methods/heat.md` says what may stand in it:
//!
//! ```json
//! { "body": { "form": "slab", "layers": [{ "thick_m": 0.05, "material": "beef" }] },
//!   "from_c": 5, "stages": [{ "lasts_s": 20000, "air_c": -30, "coefficient": 30 }],
//!   "ask": [{ "place": "core", "reaches_c": -18 }, { "place": "surface", "at_s": 3600 }] }
//! ```

use std::fs;

use ::heat::body::{Body, Form, Layer};
use ::heat::food::{Composition, Options};
use ::heat::material::{Material, Phase, Point};
use ::heat::need::{Measure, Place};
use ::heat::programme::{Face, Programme, Ramp, Stage};
use ::heat::run::{Accuracy, Case, Estimate, History, Run};
use ::heat::{ICE_POINT_K, library};
use serde::Deserialize;

use crate::deadline::timed;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    body: BodyOf,
    from_c: f64,
    stages: Vec<StageOf>,
    ask: Vec<Ask>,
    cells: Option<usize>,
    step_k: Option<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct BodyOf {
    form: FormOf,
    layers: Vec<LayerOf>,
    y_m: Option<f64>,
    z_m: Option<f64>,
    height_m: Option<f64>,
}

#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "lowercase")]
enum FormOf {
    Slab,
    Cylinder,
    Sphere,
    Brick,
    Can,
}

/// A layer; its thickness is the radius for round forms.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LayerOf {
    thick_m: f64,
    material: MaterialOf,
}

#[derive(Deserialize)]
#[serde(untagged)]
enum MaterialOf {
    /// A name of the library.
    Named(String),
    /// Constant properties; with the rest, two phases that melt at one temperature.
    Stated {
        density: f64,
        heat_capacity: f64,
        conductivity: f64,
        melts_at_c: Option<f64>,
        latent: Option<f64>,
        liquid_heat_capacity: Option<f64>,
        liquid_conductivity: Option<f64>,
    },
    /// A curve: degC, J/kg, W/(m K).
    Curve {
        density: f64,
        points: Vec<(f64, f64, f64)>,
    },
    /// A food by shares of mass.
    Food {
        water: f64,
        protein: f64,
        fat: f64,
        #[serde(default)]
        carbohydrate: f64,
        #[serde(default)]
        fibre: f64,
        ash: f64,
        freezes_at_c: f64,
    },
}

/// A stage. Without a coefficient the face is held at the air's temperature.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct StageOf {
    lasts_s: f64,
    air_c: f64,
    to_c: Option<f64>,
    coefficient: Option<f64>,
    emissivity: Option<f64>,
    walls_c: Option<f64>,
    /// Heat passes the last face only.
    #[serde(default)]
    one_face: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Ask {
    place: PlaceOf,
    /// When it comes to this temperature, s.
    reaches_c: Option<f64>,
    /// Its temperature at this time, degC.
    at_s: Option<f64>,
    /// Time at or above this temperature, s.
    above_c: Option<f64>,
    /// Equivalent time at a temperature with this activation energy, s.
    cure: Option<CureOf>,
    /// Lethality, s.
    lethality: Option<LethalityOf>,
}

#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "lowercase")]
enum PlaceOf {
    Core,
    Surface,
    First,
    Mean,
    Air,
}

#[derive(Clone, Copy, Deserialize)]
#[serde(deny_unknown_fields)]
struct CureOf {
    at_c: f64,
    energy_j_mol: f64,
}

#[derive(Clone, Copy, Deserialize)]
#[serde(deny_unknown_fields)]
struct LethalityOf {
    at_c: f64,
    z_k: f64,
}

/// Prints the answers as one line of JSON.
#[expect(clippy::print_stdout, reason = "a command's answer")]
pub(crate) fn run(arguments: &[String]) -> Result<(), String> {
    let (file, recipes) = match arguments {
        [file] => (file, None),
        [file, flag, number] if flag == "--sweep" => {
            let recipes: usize = number
                .parse()
                .map_err(|fault| format!("--sweep {number}: {fault}"))?;
            (file, Some(recipes))
        }
        _ => return Err("expected heat FILE [--sweep N]".to_owned()),
    };
    let text = fs::read_to_string(file).map_err(|fault| format!("{file}: {fault}"))?;
    let file: File = serde_json::from_str(&text).map_err(|fault| format!("{file}: {fault}"))?;
    let case = case(&file).map_err(|fault| fault.to_string())?;
    let usual = Accuracy::default();
    let accuracy = Accuracy {
        cells: file.cells.unwrap_or(usual.cells),
        step_k: file.step_k.unwrap_or(usual.step_k),
    };
    if let Some(recipes) = recipes {
        let (done, seconds) = timed(|| sweep(&case, &accuracy, recipes));
        let line = serde_json::json!({ "recipes": done?, "seconds": seconds, "threads": THREADS });
        println!("{line}");
        return Ok(());
    }
    let (run, seconds) = timed(|| ::heat::follow(&case, &accuracy));
    let run = run.map_err(|fault| fault.to_string())?;
    let answers: Result<Vec<serde_json::Value>, String> =
        file.ask.iter().map(|ask| answer(ask, &run)).collect();
    let line = serde_json::json!({
        "answers": answers?,
        "error_k": run.error_k,
        "unexplained": run.unexplained,
        "steps": run.steps,
        "seconds": seconds,
    });
    println!("{line}");
    Ok(())
}

/// Threads of a sweep.
const THREADS: usize = 2;

/// How far the air of a sweep goes to either side, K.
const SWEEP_K: f64 = 10.0;

/// Follows so many recipes. Returns how many were followed.
fn sweep(case: &Case, accuracy: &Accuracy, recipes: usize) -> Result<usize, String> {
    let one = |number: usize| -> Result<(), ::heat::Fault> {
        let shift = SWEEP_K * (2.0 * number as f64 / recipes as f64 - 1.0);
        let stages = case.programme.stages().iter();
        let programme = Programme::new(stages.map(|stage| stage.warmer(shift)).collect())?;
        let case = Case {
            programme,
            ..case.clone()
        };
        ::heat::follow(&case, accuracy).map(|_| ())
    };
    std::thread::scope(|scope| {
        let workers: Vec<_> = (0..THREADS)
            .map(|thread| scope.spawn(move || (thread..recipes).step_by(THREADS).try_for_each(one)))
            .collect();
        for worker in workers {
            let done = worker.join().map_err(|_| "a thread died".to_owned())?;
            done.map_err(|fault| fault.to_string())?;
        }
        Ok(recipes)
    })
}

fn kelvin(celsius: f64) -> f64 {
    celsius + ICE_POINT_K
}

fn case(file: &File) -> Result<Case, ::heat::Fault> {
    let mut layers = Vec::with_capacity(file.body.layers.len());
    for layer in &file.body.layers {
        layers.push(Layer {
            thick_m: layer.thick_m,
            material: material(&layer.material)?,
        });
    }
    let side = |side: Option<f64>, what| side.ok_or(heat::Fault::Missing(what));
    let form = match file.body.form {
        FormOf::Slab => Form::Slab,
        FormOf::Cylinder => Form::Cylinder,
        FormOf::Sphere => Form::Sphere,
        FormOf::Brick => Form::Brick {
            y_m: side(file.body.y_m, "y_m")?,
            z_m: side(file.body.z_m, "z_m")?,
        },
        FormOf::Can => Form::Can {
            height_m: side(file.body.height_m, "height_m")?,
        },
    };
    Ok(Case {
        body: Body::new(form, layers)?,
        from_k: kelvin(file.from_c),
        programme: Programme::new(file.stages.iter().map(stage).collect())?,
        chamber: None,
    })
}

fn stage(stage: &StageOf) -> Stage {
    let air = Ramp {
        from_k: kelvin(stage.air_c),
        to_k: kelvin(stage.to_c.unwrap_or(stage.air_c)),
    };
    let last = match stage.coefficient {
        None => Face::Held(air),
        Some(coefficient_w_m2_k) => Face::Open {
            air,
            walls: stage.walls_c.map_or(air, |walls| Ramp::hold(kelvin(walls))),
            coefficient_w_m2_k,
            emissivity: stage.emissivity.unwrap_or(0.0),
        },
    };
    Stage {
        lasts_s: stage.lasts_s,
        first: if stage.one_face {
            Face::Insulated
        } else {
            last
        },
        last,
    }
}

fn material(of: &MaterialOf) -> Result<Material, heat::Fault> {
    match of {
        MaterialOf::Named(name) => library::find(name)
            .ok_or(heat::Fault::Missing("material of that name in the library"))?
            .material(),
        MaterialOf::Stated {
            density,
            heat_capacity,
            conductivity,
            melts_at_c,
            latent,
            liquid_heat_capacity,
            liquid_conductivity,
        } => {
            let solid = Phase {
                heat_capacity_j_kg_k: *heat_capacity,
                conductivity_w_m_k: *conductivity,
            };
            let liquid = Phase {
                heat_capacity_j_kg_k: liquid_heat_capacity.unwrap_or(*heat_capacity),
                conductivity_w_m_k: liquid_conductivity.unwrap_or(*conductivity),
            };
            match (melts_at_c, latent) {
                (Some(melts), Some(latent)) => {
                    Material::melting(*density, solid, liquid, kelvin(*melts), *latent)
                }
                _ => Material::constant(*density, solid),
            }
        }
        MaterialOf::Curve { density, points } => {
            let points = points
                .iter()
                .map(|&(celsius, enthalpy_j_kg, conductivity_w_m_k)| Point {
                    temperature_k: kelvin(celsius),
                    enthalpy_j_kg,
                    conductivity_w_m_k,
                });
            Material::new(*density, points.collect())
        }
        MaterialOf::Food {
            water,
            protein,
            fat,
            carbohydrate,
            fibre,
            ash,
            freezes_at_c,
        } => Composition {
            water: *water,
            protein: *protein,
            fat: *fat,
            carbohydrate: *carbohydrate,
            fibre: *fibre,
            ash: *ash,
        }
        .material(kelvin(*freezes_at_c), Options::default()),
    }
}

fn answer(ask: &Ask, run: &Run) -> Result<serde_json::Value, String> {
    let place = match ask.place {
        PlaceOf::Core => Place::Core,
        PlaceOf::Surface => Place::Surface,
        PlaceOf::First => Place::FirstFace,
        PlaceOf::Mean => Place::Mean,
        PlaceOf::Air => Place::Air,
    };
    let measured = |measure: Measure| {
        run.estimate(|history: &History| Some(measure.along(place.of(history)).ok()?.end()))
    };
    let found: Option<Estimate> = if let Some(reaches) = ask.reaches_c {
        run.estimate(|history| crossing_s(place.of(history), kelvin(reaches)))
    } else if let Some(at_s) = ask.at_s {
        let found = run.estimate(|history| place.of(history).at(at_s));
        found.map(|found| Estimate {
            value: found.value - ICE_POINT_K,
            ..found
        })
    } else if let Some(above) = ask.above_c {
        measured(Measure::TimeAbove {
            temperature_k: kelvin(above),
        })
    } else if let Some(cure) = ask.cure {
        measured(Measure::Cure {
            at_k: kelvin(cure.at_c),
            energy_j_mol: cure.energy_j_mol,
        })
    } else if let Some(lethality) = ask.lethality {
        measured(Measure::Lethality {
            at_k: kelvin(lethality.at_c),
            z_k: lethality.z_k,
        })
    } else {
        return Err("a question has one of reaches_c, at_s, above_c, cure, lethality".to_owned());
    };
    // What never happens has no value.
    Ok(match found {
        Some(found) => serde_json::json!({ "value": found.value, "error": found.error }),
        None => serde_json::Value::Null,
    })
}

/// When a trace first comes to a temperature, from either side, s.
fn crossing_s(trace: &heat::trace::Trace, to_k: f64) -> Option<f64> {
    let start = trace.samples().first()?.value;
    let points = [trace.clone()];
    let passed = if start < to_k {
        heat::measure::crossing::thawed(&points, to_k)
    } else {
        heat::measure::crossing::frozen(&points, to_k)
    };
    passed.ok()?.first_s
}
