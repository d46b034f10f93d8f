//! Outlines of lines and elliptical arcs, as a drawing gives them.

/// One step along an outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum OutlineStep {
    /// A straight line to a point.
    Line {
        /// Where it ends.
        to: (f64, f64),
    },
    /// A part of an ellipse, or of a circle when both radii are equal. Radii too small to reach the
    /// end are scaled up until they do (SVG 2, appendix B.2.5).
    Arc {
        /// Where it ends; must differ from where it starts, so a full circle takes two arcs.
        to: (f64, f64),
        /// Half axes of the ellipse.
        radii: (f64, f64),
        /// Angle from the x axis to the first half axis, counter-clockwise, in degrees.
        turn_deg: f64,
        /// Whether to take the arc of more than half a turn.
        large: bool,
        /// Whether it runs counter-clockwise, with y upwards.
        counter_clockwise: bool,
    },
}

/// A closed line: the last step is joined to the start.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct OutlineLoop {
    /// Where it begins.
    pub start: (f64, f64),
    /// Steps in order.
    pub steps: Vec<OutlineStep>,
}

impl OutlineLoop {
    /// Straight lines through the corners.
    pub fn polygon(corners: &[(f64, f64)]) -> Self {
        Self {
            start: corners.first().copied().unwrap_or_default(),
            steps: corners
                .iter()
                .skip(1)
                .map(|&to| OutlineStep::Line { to })
                .collect(),
        }
    }

    /// An ellipse about a centre, with half axes along x and y.
    pub fn ellipse((x, y): (f64, f64), radii: (f64, f64)) -> Self {
        let half = |to| OutlineStep::Arc {
            to,
            radii,
            turn_deg: 0.0,
            large: false,
            counter_clockwise: true,
        };
        Self {
            start: (x + radii.0, y),
            steps: vec![half((x - radii.0, y)), half((x + radii.0, y))],
        }
    }
}

/// Points taken along an arc to find how far it reaches; 64 miss less than 0.1 % of a radius.
const SAMPLES: u32 = 64;

/// The points of a loop: ends of lines, and points along arcs. Steps that are not finite are left
/// out.
pub(super) fn points(outline: &OutlineLoop) -> Vec<(f64, f64)> {
    let mut at = outline.start;
    if !finite(at) {
        return Vec::new();
    }
    let mut out = vec![at];
    for step in &outline.steps {
        match *step {
            OutlineStep::Line { to } if finite(to) => {
                out.push(to);
                at = to;
            }
            OutlineStep::Arc {
                to,
                radii,
                turn_deg,
                large,
                counter_clockwise,
            } if finite(to) && finite(radii) && turn_deg.is_finite() => {
                let way = (large, counter_clockwise);
                out.extend(arc_points(at, to, radii, turn_deg.to_radians(), way));
                at = to;
            }
            _ => {}
        }
    }
    out
}

fn finite((x, y): (f64, f64)) -> bool {
    x.is_finite() && y.is_finite()
}

/// Points along an arc given by its ends, by way of its centre (SVG 2, appendix B.2.4).
fn arc_points(
    from: (f64, f64),
    to: (f64, f64),
    (rx, ry): (f64, f64),
    turn: f64,
    (large, counter_clockwise): (bool, bool),
) -> Vec<(f64, f64)> {
    let (rx, ry) = (rx.abs(), ry.abs());
    if rx <= 0.0 || ry <= 0.0 || from == to {
        return vec![to];
    }
    let (sin, cos) = (libm::sin(turn), libm::cos(turn));
    // The half chord in the axes of the ellipse, scaled so that the ellipse is a unit circle.
    let (dx, dy) = ((from.0 - to.0) / 2.0, (from.1 - to.1) / 2.0);
    let (u, v) = ((cos * dx + sin * dy) / rx, (cos * dy - sin * dx) / ry);
    let reach = libm::hypot(u, v);
    let grow = reach.max(1.0);
    let (rx, ry, u, v) = (rx * grow, ry * grow, u / grow, v / grow);
    let square = (u * u + v * v).max(1e-18);
    let off = libm::sqrt((1.0 / square - 1.0).max(0.0));
    let off = if large == counter_clockwise {
        -off
    } else {
        off
    };
    let centre = (off * v, -off * u);
    let start = libm::atan2(v - centre.1, u - centre.0);
    let end = libm::atan2(-v - centre.1, -u - centre.0);
    let full = core::f64::consts::TAU;
    let mut sweep = end - start;
    if counter_clockwise && sweep < 0.0 {
        sweep += full;
    } else if !counter_clockwise && sweep > 0.0 {
        sweep -= full;
    }
    let middle = (f64::midpoint(from.0, to.0), f64::midpoint(from.1, to.1));
    let mut out: Vec<(f64, f64)> = (1..SAMPLES)
        .map(|step| start + sweep * f64::from(step) / f64::from(SAMPLES))
        .map(|angle| {
            let x = rx * (centre.0 + libm::cos(angle));
            let y = ry * (centre.1 + libm::sin(angle));
            (middle.0 + cos * x - sin * y, middle.1 + sin * x + cos * y)
        })
        .collect();
    out.push(to);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bounds(outline: &OutlineLoop) -> [f64; 4] {
        let mut b = [f64::MAX, f64::MAX, f64::MIN, f64::MIN];
        for (x, y) in points(outline) {
            b = [b[0].min(x), b[1].min(y), b[2].max(x), b[3].max(y)];
        }
        b
    }

    /// Half axes 30 and 20 about (50, 40): x from 20 to 80, y from 20 to 60.
    #[test]
    fn an_ellipse_reaches_as_far_as_its_axes() {
        let found = bounds(&OutlineLoop::ellipse((50.0, 40.0), (30.0, 20.0)));
        for (found, wanted) in found.into_iter().zip([20.0, 20.0, 80.0, 60.0]) {
            assert!((found - wanted).abs() < 0.05, "{found} {wanted}");
        }
    }

    /// A quarter of radius 10 from (10, 0) to (0, 10): counter-clockwise and short it bulges about
    /// the origin; long and counter-clockwise it goes round the centre (10, 10), up to x = 20.
    #[test]
    fn the_flags_choose_the_arc() {
        let arc = |large| OutlineLoop {
            start: (10.0, 0.0),
            steps: vec![OutlineStep::Arc {
                to: (0.0, 10.0),
                radii: (10.0, 10.0),
                turn_deg: 0.0,
                large,
                counter_clockwise: true,
            }],
        };
        let short = points(&arc(false));
        assert!(
            short
                .iter()
                .all(|&(x, y)| (libm::hypot(x, y) - 10.0).abs() < 1e-9)
        );
        let [_, _, right, top] = bounds(&arc(true));
        assert!(
            (right - 20.0).abs() < 0.05 && (top - 20.0).abs() < 0.05,
            "{right} {top}"
        );
    }
}
