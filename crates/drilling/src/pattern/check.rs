//! Holds holes against the rules: edge, side, floor, webs, duplicates.

use std::f64::consts::{FRAC_PI_2, PI};

use crate::outline::{FARTHEST_M, is_size};

use super::fault::Fault;
use super::solid::{Axis, web_between};
use super::{Hole, Panel, Rules};

/// A gap may fall short of its rule by this much before it counts, m: far below what any machine holds, above
/// what rounding does.
pub(super) const SLACK_M: f64 = 1e-9;

/// Holes of a face nearer than this are the same hole, m.
const SAME_PLACE_M: f64 = 1e-6;

/// Faults between pairs of holes after which no more are looked for: ten thousand holes at one place are fifty
/// million pairs, and say nothing that the first few do not.
const MOST_PAIRS: usize = 10_000;

/// Every rule that a hole breaks, hole by hole and then pair by pair. Panel i is face i of the body.
///
/// Of pairs that break a rule, only so many are told when they are very many.
///
/// Gaps are never flattering: a mouth counts as a circle of its longer half extent against the edge, a hole as a
/// segment with a radius against other holes. For holes square to their face both are exact.
pub fn check(panels: &[Panel], holes: &[Hole], rules: &Rules) -> Vec<Fault> {
    let senseless = rules
        .nonsense()
        .or_else(|| panels.iter().find_map(Panel::nonsense));
    if let Some((what, value, expected)) = senseless {
        return vec![Fault::Question {
            what,
            value,
            expected,
        }];
    }
    let mut faults = Vec::new();
    let mut sound = Vec::new();
    for (index, hole) in holes.iter().enumerate() {
        if let Some(fault) = nonsense(index, hole, panels) {
            faults.push(fault);
            continue;
        }
        let panel = &panels[hole.bore.face];
        faults.extend(edge(index, hole, panel, rules));
        faults.extend(floor(index, hole, panel, rules));
        sound.push(Solid::of(index, hole, panel, rules));
    }
    faults.extend(webs(&mut sound, rules));
    faults
}

/// What makes a hole impossible to reason about.
fn nonsense(index: usize, hole: &Hole, panels: &[Panel]) -> Option<Fault> {
    let bore = &hole.bore;
    let size = |what, value, expected| {
        Some(Fault::Size {
            hole: index,
            what,
            value,
            expected,
        })
    };
    if !hole.at.is_place() {
        return size("place", f64::NAN, "a place within 10 km");
    }
    if !is_size(bore.diameter_m) {
        return size("diameter", bore.diameter_m, "above zero");
    }
    if !is_size(bore.depth_m) {
        return size("depth", bore.depth_m, "above zero");
    }
    if !(0.0..FRAC_PI_2).contains(&bore.tilt_rad) {
        return size("tilt", bore.tilt_rad, "from 0 to below a right angle");
    }
    if !bore.bearing_rad.is_finite() {
        return size("bearing", bore.bearing_rad, "a finite angle");
    }
    (bore.face >= panels.len()).then_some(Fault::NoSuchFace {
        hole: index,
        face: bore.face,
        faces: panels.len(),
    })
}

/// Material between a hole and the edge of its face: at its mouths, and along its body.
pub(super) fn edge_gaps(hole: &Hole, panel: &Panel, rules: &Rules) -> (f64, f64) {
    let radius = 0.5 * hole.bore.diameter_m;
    let front = panel.outline.edge_distance(hole.at);
    if hole.bore.tilt_rad == 0.0 {
        return (front - radius, front - radius);
    }
    let end = hole.above(hole.reach_m(panel, rules));
    let body = panel.outline.segment_clearance(hole.at, end) - radius;
    let back = if hole.deepest_m(rules) > panel.thickness_m {
        panel.outline.edge_distance(end)
    } else {
        f64::INFINITY
    };
    (front.min(back) - hole.mouth_radius_m(), body)
}

/// Faults of a hole against the edge and the sides.
fn edge(index: usize, hole: &Hole, panel: &Panel, rules: &Rules) -> Option<Fault> {
    let centre_m = panel.outline.edge_distance(hole.at);
    if centre_m <= 0.0 {
        return Some(Fault::OffFace {
            hole: index,
            off_m: -centre_m,
        });
    }
    let (mouth_m, body_m) = edge_gaps(hole, panel, rules);
    if body_m < -SLACK_M && hole.bore.tilt_rad > 0.0 {
        return Some(Fault::BreaksSide {
            hole: index,
            by_m: -body_m,
        });
    }
    if mouth_m < rules.edge_m - SLACK_M {
        return Some(Fault::NearEdge {
            hole: index,
            gap_m: mouth_m,
            needed_m: rules.edge_m,
        });
    }
    (body_m < rules.edge_m - SLACK_M).then_some(Fault::NearSide {
        hole: index,
        gap_m: body_m,
        needed_m: rules.edge_m,
    })
}

/// Faults of a hole against the back.
fn floor(index: usize, hole: &Hole, panel: &Panel, rules: &Rules) -> Option<Fault> {
    let bore = &hole.bore;
    if bore.through {
        let (sin, cos) = (libm::sin(bore.tilt_rad), libm::cos(bore.tilt_rad));
        // The high side of the end's rim must pass the back: L cos − r sin ≥ thickness.
        let full = (panel.thickness_m + 0.5 * bore.diameter_m * sin) / cos;
        return (bore.depth_m < full - SLACK_M).then_some(Fault::NotThrough {
            hole: index,
            short_m: full - bore.depth_m,
        });
    }
    let left_m = panel.thickness_m - hole.deepest_m(rules);
    if left_m < -SLACK_M {
        return Some(Fault::BreaksBack {
            hole: index,
            by_m: -left_m,
        });
    }
    (left_m < rules.floor_m - SLACK_M).then_some(Fault::ThinFloor {
        hole: index,
        left_m,
        needed_m: rules.floor_m,
    })
}

/// A hole ready for comparison with others.
struct Solid<'a> {
    index: usize,
    hole: &'a Hole,
    axis: Axis,
    /// Extent along the body's x axis, its radius and half the web included.
    low_x: f64,
    high_x: f64,
}

impl<'a> Solid<'a> {
    fn of(index: usize, hole: &'a Hole, panel: &Panel, rules: &Rules) -> Self {
        let axis = hole.axis(panel, rules);
        let around = axis.radius_m + 0.5 * rules.web_m;
        Self {
            index,
            hole,
            axis,
            low_x: axis.from[0].min(axis.to[0]) - around,
            high_x: axis.from[0].max(axis.to[0]) + around,
        }
    }
}

/// Faults between pairs of holes. Sorted along x, a hole need only look ahead to those that start before it ends.
fn webs(solids: &mut [Solid<'_>], rules: &Rules) -> Vec<Fault> {
    solids.sort_by(|one, other| one.low_x.total_cmp(&other.low_x));
    let mut faults = Vec::new();
    for (place, solid) in solids.iter().enumerate() {
        let ahead = solids[place + 1..]
            .iter()
            .take_while(|other| other.low_x <= solid.high_x);
        for other in ahead {
            faults.extend(web(solid, other, rules));
        }
        if faults.len() >= MOST_PAIRS {
            break;
        }
    }
    faults.sort_by_key(pair);
    faults
}

fn web(solid: &Solid<'_>, other: &Solid<'_>, rules: &Rules) -> Option<Fault> {
    let (one, two) = (solid.index.min(other.index), solid.index.max(other.index));
    let same_face = solid.hole.bore.face == other.hole.bore.face;
    if same_face && solid.hole.at.distance(other.hole.at) <= SAME_PLACE_M {
        return Some(Fault::Twice {
            hole: one,
            other: two,
        });
    }
    let web_m = web_between(&solid.axis, &other.axis);
    (web_m < rules.web_m - SLACK_M).then_some(Fault::ThinWeb {
        hole: one,
        other: two,
        web_m,
        needed_m: rules.web_m,
    })
}

/// The two holes of a fault between holes.
fn pair(fault: &Fault) -> (usize, usize) {
    match fault {
        Fault::ThinWeb { hole, other, .. } | Fault::Twice { hole, other } => (*hole, *other),
        _ => (usize::MAX, usize::MAX),
    }
}

/// A number that makes no sense: which, its value, and what was expected.
pub(super) type Nonsense = (&'static str, f64, &'static str);

impl Panel {
    /// What makes the face impossible to reason about.
    pub(super) fn nonsense(&self) -> Option<Nonsense> {
        if !(is_size(self.thickness_m)) {
            Some(("thickness", self.thickness_m, "above zero"))
        } else if !self.frame.is_square() {
            Some((
                "frame of a face",
                f64::NAN,
                "axes of length 1 square to each other",
            ))
        } else {
            None
        }
    }
}

impl Rules {
    /// The first number of the rules that makes no sense.
    pub(super) fn nonsense(&self) -> Option<Nonsense> {
        let zero_or_more = |value: f64| (0.0..=FARTHEST_M).contains(&value);
        if !zero_or_more(self.edge_m) {
            Some(("distance to the edge", self.edge_m, "zero or more"))
        } else if !zero_or_more(self.web_m) {
            Some(("web between holes", self.web_m, "zero or more"))
        } else if !zero_or_more(self.floor_m) {
            Some(("floor below holes", self.floor_m, "zero or more"))
        } else if !(self.point_rad > 0.0 && self.point_rad <= PI) {
            Some((
                "point angle",
                self.point_rad,
                "above 0, at most a half turn",
            ))
        } else {
            None
        }
    }
}
