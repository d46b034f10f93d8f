//! What the two ends of the cut piece meet at a moment, and the heat that passes there.

use crate::STEFAN_BOLTZMANN;
use crate::programme::{Face, Ramp, Stage};

/// What an end meets at one moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Meets {
    /// Nothing: an insulated face, the middle of a round form or of a slab cut in half.
    Nothing,
    /// A temperature, K.
    Held(f64),
    /// Air and walls.
    Open {
        /// K.
        air: f64,
        /// K.
        walls: f64,
        /// Coefficient times area, W/K.
        carries: f64,
        /// Emissivity times area times the Stefan-Boltzmann constant, W/K⁴.
        radiates: f64,
    },
}

/// Heat into the piece through an open end, W, and its change with the temperatures of piece and air, W/K.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Passes {
    pub(crate) heat: f64,
    /// Not above zero.
    pub(crate) by_face: f64,
    /// With the air, where the walls are as warm as the air.
    pub(crate) by_air: f64,
}

impl Meets {
    /// What passes at a temperature of the face.
    pub(crate) fn passes(&self, face_k: f64) -> Passes {
        let Self::Open {
            air,
            walls,
            carries,
            radiates,
        } = *self
        else {
            return Passes::default();
        };
        let (w2, f2) = (walls * walls, face_k * face_k);
        Passes {
            heat: carries * (air - face_k)
                + radiates * (w2 + f2) * (walls + face_k) * (walls - face_k),
            by_face: -carries - 4.0 * radiates * f2 * face_k,
            by_air: carries + 4.0 * radiates * w2 * walls,
        }
    }
}

/// The ends during a stage.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Ends {
    faces: [Option<Face>; 2],
    area: [f64; 2],
    /// How long the stage lasts, s.
    pub(crate) lasts_s: f64,
}

impl Ends {
    /// `open` says which ends of the cut piece are faces of the whole one.
    pub(crate) fn new(stage: &Stage, open: [bool; 2], area: [f64; 2]) -> Self {
        Self {
            faces: [
                open[0].then_some(stage.first),
                open[1].then_some(stage.last),
            ],
            area,
            lasts_s: stage.lasts_s,
        }
    }

    /// What the ends meet at a share of the stage; air of a chamber stands for the programme's.
    pub(crate) fn at(&self, share: f64, chamber_air: Option<f64>) -> [Meets; 2] {
        [0, 1].map(|end| match self.faces[end] {
            None | Some(Face::Insulated) => Meets::Nothing,
            Some(Face::Held(ramp)) => Meets::Held(ramp.at(share)),
            Some(Face::Open {
                air,
                walls,
                coefficient_w_m2_k,
                emissivity,
            }) => Meets::Open {
                air: chamber_air.unwrap_or(air.at(share)),
                walls: chamber_air.unwrap_or(walls.at(share)),
                carries: coefficient_w_m2_k * self.area[end],
                radiates: emissivity * STEFAN_BOLTZMANN * self.area[end],
            },
        })
    }

    /// How fast a held end warms, K/s.
    pub(crate) fn held_rate(&self, end: usize) -> f64 {
        match self.faces[end] {
            Some(Face::Held(ramp)) => (ramp.to_k - ramp.from_k) / self.lasts_s,
            _ => 0.0,
        }
    }

    /// The programme's air, at the last end if it is open, else at the first.
    pub(crate) fn air(&self) -> Option<Ramp> {
        let open = |face: &Option<Face>| match face {
            Some(Face::Open { air, .. }) => Some(*air),
            _ => None,
        };
        open(&self.faces[1]).or_else(|| open(&self.faces[0]))
    }

    /// How many ends are open to air.
    pub(crate) fn open(&self) -> usize {
        let open = |face: &&Option<Face>| matches!(face, Some(Face::Open { .. }));
        self.faces.iter().filter(open).count()
    }
}

/// The lowest and highest temperature that a stage brings, K, given those before it.
pub(crate) fn widen(range_k: [f64; 2], stage: &Stage, round: bool) -> [f64; 2] {
    let [mut low, mut high] = range_k;
    let mut see = |ramp: Ramp| {
        low = low.min(ramp.from_k).min(ramp.to_k);
        high = high.max(ramp.from_k).max(ramp.to_k);
    };
    let faces = if round {
        [stage.last, stage.last]
    } else {
        [stage.first, stage.last]
    };
    for face in faces {
        match face {
            Face::Insulated => {}
            Face::Held(ramp) => see(ramp),
            Face::Open {
                air,
                walls,
                coefficient_w_m2_k,
                emissivity,
            } => {
                if coefficient_w_m2_k > 0.0 {
                    see(air);
                }
                if emissivity > 0.0 {
                    see(walls);
                }
            }
        }
    }
    [low, high]
}

/// Whether a face goes on at the beginning of a stage as it was at the end of the one before.
fn goes_on(before: &Face, after: &Face) -> bool {
    match (before, after) {
        (Face::Insulated, Face::Insulated) => true,
        (Face::Held(a), Face::Held(b)) => a.to_k == b.from_k,
        (
            Face::Open {
                air: a,
                walls: v,
                coefficient_w_m2_k: h,
                emissivity: e,
            },
            Face::Open {
                air: b,
                walls: w,
                coefficient_w_m2_k: i,
                emissivity: f,
            },
        ) => a.to_k == b.from_k && v.to_k == w.from_k && h == i && e == f,
        _ => false,
    }
}

/// The shortest time between two jumps of the surroundings, the beginning and the end being such, s.
pub(crate) fn shortest(stages: &[Stage], round: bool) -> f64 {
    let mut shortest = f64::INFINITY;
    let mut lasts = 0.0;
    for (i, stage) in stages.iter().enumerate() {
        lasts += stage.lasts_s;
        let on = stages.get(i + 1).is_some_and(|next| {
            goes_on(&stage.last, &next.last) && (round || goes_on(&stage.first, &next.first))
        });
        if !on {
            shortest = shortest.min(lasts);
            lasts = 0.0;
        }
    }
    shortest
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ramps_that_go_on_are_no_jumps() {
        let held = |from_k, to_k| Stage::around(10.0, Face::Held(Ramp { from_k, to_k }));
        let stages = [
            held(300.0, 310.0),
            held(310.0, 330.0),
            held(330.0, 330.0),
            held(400.0, 400.0),
        ];
        assert_eq!(shortest(&stages[..3], true), 30.0);
        assert_eq!(shortest(&stages, false), 10.0);
    }

    /// The slopes are those of the heat: compared with differences over 0.01 K.
    #[test]
    fn slopes_are_those_of_the_heat() {
        let at = |air: f64| Meets::Open {
            air,
            walls: air,
            carries: 20.0,
            radiates: 0.8 * STEFAN_BOLTZMANN,
        };
        let passes = at(450.0).passes(310.0);
        // 20·140 + 0.8·5.670374e-8·(450⁴ - 310⁴) = 2800 + 1441.23
        assert!((passes.heat - 4_241.23).abs() < 0.01);
        let by_face = (at(450.0).passes(310.01).heat - at(450.0).passes(309.99).heat) / 0.02;
        let by_air = (at(450.01).passes(310.0).heat - at(449.99).passes(310.0).heat) / 0.02;
        assert!((passes.by_face - by_face).abs() < 1e-5);
        assert!((passes.by_air - by_air).abs() < 1e-5);
    }
}
