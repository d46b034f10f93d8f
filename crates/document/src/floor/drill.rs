//! What a drilling machine and a drawing office take.

use drilling::export::program::{self, DwellWord, Machine, Style};
use drilling::export::{Cutting, Drawing, Heading, Stroke, dxf, svg, table};
use drilling::outline::Point;
use drilling::pattern::{Bore, Hole, Rules};
use planning::drilling::{DrillPlan, HoleLine, OVER_CLAMPS_M, Order, SPINDLE_WAIT_S, ToolLine};
use works::Stated;

use super::{FloorFiles, csv, file_name, mm};
use crate::table::Ground;

/// Decimals of a millimetre in programs and tables.
const DECIMALS: u8 = 3;
/// How far a written place may be from the one asked, m: half the last decimal and a hair.
const TOLERANCE_M: f64 = 0.51e-6;
/// Most faults of our own writing that are told.
const FEW: usize = 3;

/// Writes everything there is to write of one drilling plan, a set for each face.
pub(super) fn write(ground: &Ground<'_>, plan: &DrillPlan, files: &mut FloorFiles) {
    let mut faces: Vec<u64> = plan.holes.iter().map(|hole| hole.face).collect();
    faces.sort_unstable();
    faces.dedup();
    let single = faces.len() < 2;
    if faces.is_empty() {
        files.left_out.push(format!(
            "{}: nothing to drill, because no hole fits",
            file_name(&plan.name)
        ));
    }
    for face in faces {
        let name = if single {
            file_name(&plan.name)
        } else {
            format!("{}-face-{face}", file_name(&plan.name))
        };
        let job = Face {
            ground,
            plan,
            number: face,
            name,
        };
        job.drawings(files);
        if !plan.keeps_rules() {
            files.left_out.push(format!(
                "{}: no machine program and no list of strokes, because holes break the rules",
                job.name
            ));
        } else if let Some(order) = &plan.order {
            files.add(format!("{}-strokes.csv", job.name), job.strokes(order));
            job.program(order, files);
        } else if let Some(why) = &plan.no_order {
            files
                .left_out
                .push(format!("{}: no machine program, because {why}", job.name));
        }
    }
}

/// One face of a job.
struct Face<'a> {
    ground: &'a Ground<'a>,
    plan: &'a DrillPlan,
    number: u64,
    name: String,
}

impl Face<'_> {
    fn heading(&self, remark: &str) -> Heading {
        let operation = self.ground.works.operation(self.plan.operation);
        let route = self.ground.works.route(operation.route);
        let product = self.ground.item(route.makes.0).to_owned();
        Heading {
            part: product.clone(),
            route: product,
            operation: format!("{}{remark}", operation.name),
            revision: route
                .revision
                .clone()
                .unwrap_or_else(|| "not stated".to_owned()),
            face: self.number.to_string(),
        }
    }

    fn rules(&self) -> Rules {
        let operation = self.ground.works.operation(self.plan.operation);
        let drill = operation.drill.as_ref();
        let point = drill.and_then(|drill| drill.point.as_ref());
        Rules {
            edge_m: 0.0,
            web_m: 0.0,
            floor_m: 0.0,
            point_rad: point.map_or(std::f64::consts::PI, Stated::mean),
        }
    }

    /// The holes of this face as the engine has them.
    fn holes(&self) -> Vec<Hole> {
        let here = self
            .plan
            .holes
            .iter()
            .filter(|hole| hole.face == self.number);
        // The table says from which face: it counts from the first.
        let face = usize::try_from(self.number - 1).unwrap_or(0);
        here.map(|hole| {
            let mut hole = engine_hole(hole);
            hole.bore.face = face;
            hole
        })
        .collect()
    }

    fn drawings(&self, files: &mut FloorFiles) {
        let holes = self.holes();
        let heading = self.heading("");
        let drawing = Drawing {
            heading: &heading,
            outline: &self.plan.outline,
            holes: &holes,
        };
        let style = dxf::DxfStyle::default();
        let made = dxf::drawing(&drawing, &style).map(|text| {
            let faults = dxf::verify(
                &text,
                &drawing,
                TOLERANCE_M,
                style.ellipse_tolerance_m * 2.0,
            );
            (text, faults.iter().map(ToString::to_string).collect())
        });
        self.proved(files, "dxf", made);
        let made = table::table(&holes, DECIMALS).map(|text| {
            let faults = table::verify(&text, &holes, TOLERANCE_M);
            (text, faults.iter().map(ToString::to_string).collect())
        });
        self.proved(files, "holes.csv", made);
        let made = svg::drawing(&drawing, DECIMALS).map(|text| (text, Vec::new()));
        self.proved(files, "svg", made);
    }

    /// Adds a file whose reading back found nothing wrong.
    fn proved(
        &self,
        files: &mut FloorFiles,
        ending: &str,
        made: Result<(String, Vec<String>), drilling::export::ExportFault>,
    ) {
        let dot = if ending.contains('.') { "-" } else { "." };
        let name = format!("{}{dot}{ending}", self.name);
        match made {
            Ok((text, faults)) if faults.is_empty() => files.add(name, text),
            Ok((_, faults)) => files.left_out.push(format!(
                "{name}: does not read back as asked, which is a fault of Linewright: {}",
                faults
                    .iter()
                    .take(FEW)
                    .cloned()
                    .collect::<Vec<_>>()
                    .join("; ")
            )),
            Err(fault) => files.left_out.push(format!("{name}: {fault}")),
        }
    }

    /// The number of a hole on this face, from 1, as the table and the drawing count them.
    fn number_here(&self, hole: usize) -> usize {
        let before = self.plan.holes[..=hole].iter();
        before.filter(|hole| hole.face == self.number).count()
    }

    /// The strokes in order, with the holes of every head.
    fn strokes(&self, order: &Order) -> String {
        let here = order
            .strokes
            .iter()
            .filter(|stroke| stroke.face == self.number);
        let rows = here.enumerate().map(|(number, stroke)| {
            let heads: Vec<String> = stroke
                .heads
                .iter()
                .map(|hole| {
                    hole.map_or_else(
                        || "up".to_owned(),
                        |hole| self.number_here(hole).to_string(),
                    )
                })
                .collect();
            vec![
                (number + 1).to_string(),
                mm(stroke.x_m),
                mm(stroke.y_m),
                (stroke.tool + 1).to_string(),
                self.plan.tools[stroke.tool].name.clone(),
                heads.join(" "),
            ]
        });
        csv(
            &[
                "stroke",
                "x_mm",
                "y_mm",
                "tool",
                "name",
                "hole_of_each_head",
            ],
            rows,
        )
    }

    /// The program: one stroke after the other, placed by the first head.
    fn program(&self, order: &Order, files: &mut FloorFiles) {
        match self.engine_strokes(order) {
            Ok(strokes) => {
                let remark = if order.heads > 1 {
                    format!(
                        ": one stroke of {} heads each, heads up or down as the stroke list says",
                        order.heads
                    )
                } else {
                    String::new()
                };
                let machine = self.machine(order, &strokes);
                let style = Style {
                    decimals: DECIMALS,
                    spindle_wait_s: SPINDLE_WAIT_S,
                    ..Style::default()
                };
                let made = program::program(&self.heading(&remark), &strokes, &machine, &style);
                let made = made.map(|text| {
                    let faults = program::verify(
                        &text,
                        &strokes,
                        &machine,
                        DwellWord::PSeconds,
                        TOLERANCE_M,
                    );
                    (text, faults.iter().map(ToString::to_string).collect())
                });
                self.proved(files, "nc", made);
            }
            Err(why) => files.left_out.push(format!("{}.nc: {why}", self.name)),
        }
    }

    fn engine_strokes(&self, order: &Order) -> Result<Vec<Stroke>, String> {
        let here = order
            .strokes
            .iter()
            .filter(|stroke| stroke.face == self.number);
        here.map(|stroke| {
            let drilled = stroke
                .heads
                .iter()
                .flatten()
                .map(|&hole| &self.plan.holes[hole]);
            let deepest = drilled.max_by(|a, b| a.depth_m.total_cmp(&b.depth_m));
            let hole = deepest.ok_or("a stroke drills no hole")?;
            let mut hole = engine_hole(hole);
            hole.at = Point::new(stroke.x_m, stroke.y_m);
            let tool = &self.plan.tools[stroke.tool];
            let cutting = cutting(tool)?;
            Stroke::square(&hole, &self.rules(), cutting).map_err(|fault| fault.to_string())
        })
        .collect()
    }

    /// The reach of the machine as the station states it, else the box of the job itself.
    fn machine(&self, order: &Order, strokes: &[Stroke]) -> Machine {
        let operation = self.ground.works.operation(self.plan.operation);
        let station = operation.station.map(|id| self.ground.works.station(id));
        let reach = station
            .and_then(|station| station.drilling.as_ref())
            .and_then(|drilling| drilling.reach.as_ref());
        let bounds = self.plan.outline.outer().bounds();
        let (park_x, park_y) = order.park_m;
        let (low, high) = match reach {
            Some((x, y)) => ([0.0, 0.0], [x.mean(), y.mean()]),
            None => (
                [bounds.low.x.min(park_x), bounds.low.y.min(park_y)],
                [bounds.high.x.max(park_x), bounds.high.y.max(park_y)],
            ),
        };
        let deepest = strokes
            .iter()
            .map(|stroke| stroke.tip_depth_m)
            .fold(0.0, f64::max);
        let fastest = strokes
            .iter()
            .map(|stroke| stroke.cutting.spindle_rpm)
            .fold(0.0, f64::max);
        let safe_m = order.clear_m + OVER_CLAMPS_M;
        Machine {
            low_m: [low[0], low[1], -deepest],
            high_m: [high[0], high[1], safe_m],
            clear_m: order.clear_m,
            safe_m,
            park: Point::new(park_x, park_y),
            spindle_max_rpm: fastest,
        }
    }
}

fn engine_hole(hole: &HoleLine) -> Hole {
    Hole {
        at: Point::new(hole.x_m, hole.y_m),
        bore: Bore {
            diameter_m: hole.diameter_m,
            depth_m: hole.depth_m,
            through: hole.through,
            tilt_rad: hole.lean_rad,
            bearing_rad: hole.toward_rad,
            tool: hole.tool as u32 + 1,
            face: 0,
        },
    }
}

fn cutting(tool: &ToolLine) -> Result<Cutting, String> {
    let missing = |what: &str| format!("nobody says {what} of `{}`", tool.name);
    Ok(Cutting {
        feed_m_per_s: tool.advance_m_s.ok_or_else(|| missing("the way in"))?,
        spindle_rpm: tool.turns_per_s.ok_or_else(|| missing("the speed"))? * 60.0,
        peck_m: tool.peck_m,
        reentry_m_per_s: None,
        dwell_s: tool.dwell_s,
    })
}
