//! Laying a pattern on a face, and leaving out what comes too near the edge.

use crate::outline::{FARTHEST_M, Point, is_size};

use super::check::{SLACK_M, edge_gaps};
use super::curve::{finite, places_along, ring_angles};
use super::fault::PatternFault;
use super::inset::inset;
use super::lattice::Lattice;
use super::{Bore, Hole, Laid, Layout, Panel, Ring, Rules};

/// √3/2: height of an equilateral triangle of side 1.
const EQUILATERAL: f64 = 0.866_025_403_784_438_6;

/// The holes of a layout on a face, those too near an edge (or breaking out of a side) left out. The holes may
/// still break the rules about webs and floors: [`super::check`] says so.
pub fn lay(
    layout: &Layout,
    panel: &Panel,
    bore: &Bore,
    rules: &Rules,
) -> Result<Laid, PatternFault> {
    drillable(panel, bore, rules)?;
    let hole = |at| Hole { at, bore: *bore };
    let fits = |at: Point| {
        let (mouth_m, body_m) = edge_gaps(&hole(at), panel, rules);
        mouth_m.min(body_m) >= rules.edge_m - SLACK_M
    };
    let asked = match lattice_of(layout) {
        Some((lattice, align)) => {
            let places = lattice.places(&panel.outline, align, &fits)?;
            let holes = places.into_iter().map(hole).collect();
            let left_out = Vec::new();
            return Ok(Laid { holes, left_out });
        }
        None => asked_places(layout, panel)?,
    };
    let (inside, left_out): (Vec<Point>, Vec<Point>) = asked.into_iter().partition(|at| fits(*at));
    let holes = inside.into_iter().map(hole).collect();
    Ok(Laid { holes, left_out })
}

/// Refuses bores, bodies and rules that make no sense.
fn drillable(panel: &Panel, bore: &Bore, rules: &Rules) -> Result<(), PatternFault> {
    let fault = |what, value, expected| {
        Err(PatternFault::Size {
            what,
            value,
            expected,
        })
    };
    if let Some((what, value, expected)) = rules.nonsense().or_else(|| panel.nonsense()) {
        return fault(what, value, expected);
    }
    if !is_size(bore.diameter_m) {
        return fault("diameter", bore.diameter_m, "above zero");
    }
    if !is_size(bore.depth_m) {
        return fault("depth", bore.depth_m, "above zero");
    }
    if !(0.0..std::f64::consts::FRAC_PI_2).contains(&bore.tilt_rad) {
        return fault("tilt", bore.tilt_rad, "from 0 to below a right angle");
    }
    if !bore.bearing_rad.is_finite() {
        return fault("bearing", bore.bearing_rad, "a finite angle");
    }
    Ok(())
}

/// The lattice of a layout that is one.
pub(super) fn lattice_of(layout: &Layout) -> Option<(Lattice, super::Align)> {
    match *layout {
        Layout::Grid {
            pitch_x_m,
            pitch_y_m,
            turn_rad,
            align,
        } => {
            let lattice = Lattice {
                pitch_m: pitch_x_m,
                row_m: pitch_y_m,
                staggered: false,
                turn_rad,
            };
            Some((lattice, align))
        }
        Layout::Staggered {
            pitch_m,
            row_m,
            turn_rad,
            align,
        } => {
            let lattice = Lattice {
                pitch_m,
                row_m: row_m.unwrap_or(pitch_m * EQUILATERAL),
                staggered: true,
                turn_rad,
            };
            Some((lattice, align))
        }
        _ => None,
    }
}

/// The places of a layout that names them one by one.
fn asked_places(layout: &Layout, panel: &Panel) -> Result<Vec<Point>, PatternFault> {
    match layout {
        Layout::Rings { centre, rings } => {
            finite(&[*centre])?;
            let mut places = Vec::new();
            for ring in rings {
                places.extend(ring_places(*centre, ring)?);
            }
            Ok(places)
        }
        Layout::Along { curve, spacing } => places_along(&curve.edges()?, *spacing),
        Layout::AroundEdge { inset_m, spacing } => {
            let mut places = Vec::new();
            for run in inset(&panel.outline, *inset_m)? {
                places.extend(places_along(&run, *spacing)?);
            }
            Ok(places)
        }
        Layout::Points(points) => {
            finite(points)?;
            Ok(points.clone())
        }
        Layout::Grid { .. } | Layout::Staggered { .. } => Ok(Vec::new()),
    }
}

fn ring_places(centre: Point, ring: &Ring) -> Result<Vec<Point>, PatternFault> {
    let Ring {
        radius_m,
        spacing,
        first_rad,
    } = *ring;
    if !((0.0..=FARTHEST_M).contains(&radius_m)) {
        return Err(PatternFault::Size {
            what: "radius of a ring",
            value: radius_m,
            expected: "zero or more",
        });
    }
    if !first_rad.is_finite() {
        return Err(PatternFault::Size {
            what: "angle of the first hole",
            value: first_rad,
            expected: "a finite angle",
        });
    }
    let angles = ring_angles(radius_m, spacing)?;
    let place = |angle: f64| centre + Point::at_angle(first_rad + angle) * radius_m;
    Ok(angles.into_iter().map(place).collect())
}
