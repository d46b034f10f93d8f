//! Lines of many samples, thinned to what a page can show. In each pixel column the first, lowest,
//! highest and last sample stay (Jugel et al., VLDB 2014, from memory), then what lies within a
//! tenth of a pixel of a straight line goes; the lowest and the highest of the whole always stay.

use std::fmt::Write as _;

use crate::chart::Plot;
use crate::ink::{Area, Num, Sheet, Style};
use crate::room::Taken;
use crate::scale::drawable;

/// A point on the page.
type Place = (f64, f64);

/// How far a thinned line may lie from the samples, in pixels.
const TOLERANCE: f64 = 0.1;

/// A line on the page, parted where values are missing.
#[derive(Clone, Debug, Default)]
pub(crate) struct Trail {
    pub(crate) parts: Vec<Vec<Place>>,
}

/// Finite x in order, y held within what can be drawn; a y that is not a number stays as a gap.
pub(crate) fn ordered(points: &[(f64, f64)]) -> Vec<(f64, Option<f64>)> {
    let mut ordered: Vec<(f64, Option<f64>)> = points
        .iter()
        .filter_map(|&(x, y)| Some((drawable(x)?, drawable(y))))
        .collect();
    ordered.sort_by(|a, b| a.0.total_cmp(&b.0));
    ordered
}

impl Trail {
    /// The line of points in any order; what lies outside the field is held at its edge.
    pub(crate) fn of(points: &[(f64, f64)], plot: &Plot) -> Self {
        let mut parts: Vec<Vec<Place>> = vec![Vec::new()];
        for (x, y) in ordered(points) {
            match (y, parts.last_mut()) {
                (Some(y), Some(part)) => part.push(plot.at((x, y))),
                _ => parts.push(Vec::new()),
            }
        }
        parts.retain(|part| !part.is_empty());
        let parts = parts.iter().map(|part| straightened(&columned(part)));
        Self {
            parts: parts.collect(),
        }
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.parts.is_empty()
    }

    /// Draws the line; a sample alone becomes a dot.
    pub(crate) fn draw(&self, sheet: &mut Sheet, style: &Style, dot: &Style) {
        let mut data = String::new();
        for part in &self.parts {
            if let [only] = part.as_slice() {
                sheet.dot(*only, 2.6, dot);
                continue;
            }
            for (at, (x, y)) in part.iter().enumerate() {
                let pen = if at == 0 { 'M' } else { 'L' };
                let _ = write!(data, "{pen}{} {}", Num(*x), Num(*y));
            }
        }
        if !data.is_empty() {
            sheet.path(&data, style);
        }
    }

    /// Its length on the page.
    pub(crate) fn length(&self) -> f64 {
        let legs = self.parts.iter().flat_map(|part| part.windows(2));
        legs.map(long).sum()
    }

    /// The place at a share of the way along the line.
    pub(crate) fn along(&self, share: f64) -> Option<Place> {
        let legs = || self.parts.iter().flat_map(|part| part.windows(2));
        let mut left = share * self.length();
        for leg in legs() {
            let own = long(leg);
            if own > 0.0 && left <= own {
                let t = left / own;
                return Some((
                    leg[0].0 + t * (leg[1].0 - leg[0].0),
                    leg[0].1 + t * (leg[1].1 - leg[0].1),
                ));
            }
            left -= own;
        }
        self.parts.last().and_then(|part| part.last()).copied()
    }

    /// Every so many pixels along the line, for marks on it.
    pub(crate) fn beads(&self, apart: f64) -> Vec<Place> {
        let mut beads: Vec<Place> = Vec::new();
        for place in self.parts.iter().flatten() {
            if beads.last().is_none_or(|last| place.0 - last.0 >= apart) {
                beads.push(*place);
            }
        }
        beads
    }
}

/// Length between two places.
fn long(leg: &[Place]) -> f64 {
    libm::hypot(leg[1].0 - leg[0].0, leg[1].1 - leg[0].1)
}

/// First, lowest, highest and last of each pixel column, in their order.
fn columned(part: &[Place]) -> Vec<Place> {
    let mut out: Vec<Place> = Vec::new();
    let mut start = 0;
    while start < part.len() {
        let column = part[start].0.floor();
        let size = part[start..].iter().take_while(|p| p.0.floor() == column);
        let end = start + size.count();
        let (mut low, mut high) = (start, start);
        for at in start..end {
            if part[at].1 > part[low].1 {
                low = at;
            }
            if part[at].1 < part[high].1 {
                high = at;
            }
        }
        let mut kept = [start, low, high, end - 1];
        kept.sort_unstable();
        for at in kept {
            if out.last() != Some(&part[at]) {
                out.push(part[at]);
            }
        }
        start = end;
    }
    out
}

/// The line without points that say nothing (Douglas & Peucker 1973, from memory); its extremes stay.
fn straightened(part: &[Place]) -> Vec<Place> {
    if part.len() < 3 {
        return part.to_vec();
    }
    let mut keep = vec![false; part.len()];
    let mut pinned = vec![0, part.len() - 1];
    let by_height = |a: &usize, b: &usize| part[*a].1.total_cmp(&part[*b].1);
    pinned.extend((0..part.len()).min_by(by_height));
    pinned.extend((0..part.len()).max_by(by_height));
    pinned.sort_unstable();
    let mut open: Vec<(usize, usize)> = pinned.windows(2).map(|w| (w[0], w[1])).collect();
    for at in pinned {
        keep[at] = true;
    }
    while let Some((from, to)) = open.pop() {
        let off = |at: &usize| distance(part[*at], part[from], part[to]);
        let farthest = (from + 1..to).max_by(|a, b| off(a).total_cmp(&off(b)));
        if let Some(at) = farthest.filter(|at| off(at) > TOLERANCE) {
            keep[at] = true;
            open.extend([(from, at), (at, to)]);
        }
    }
    let kept = part.iter().zip(keep).filter(|(_, keep)| *keep);
    kept.map(|(place, _)| *place).collect()
}

/// How far a place lies from the straight line between two others.
fn distance(place: Place, from: Place, to: Place) -> f64 {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let long = libm::hypot(dx, dy);
    let (px, py) = (place.0 - from.0, place.1 - from.1);
    if long < 1e-9 {
        libm::hypot(px, py)
    } else {
        (px * dy - py * dx).abs() / long
    }
}

/// Takes the places that a line runs over, so that words keep clear of it.
pub(crate) fn block(taken: &mut Taken, trail: &Trail) {
    const STEP: f64 = 4.0;
    for part in &trail.parts {
        if let [(x, y)] = part.as_slice() {
            taken.block(Area::new(x - 3.0, y - 3.0, 6.0, 6.0));
        }
        for leg in part.windows(2) {
            let (from, to) = (leg[0], leg[1]);
            let wide = to.0 - from.0;
            let steps = (wide.abs() / STEP).ceil().clamp(1.0, 2000.0) as usize;
            let at = |step: usize| {
                let t = step as f64 / steps as f64;
                (from.0 + t * wide, from.1 + t * (to.1 - from.1))
            };
            for step in 0..steps {
                let (a, b) = (at(step), at(step + 1));
                taken.block(Area::new(
                    a.0.min(b.0) - 1.0,
                    a.1.min(b.1) - 1.5,
                    (b.0 - a.0).abs() + 2.0,
                    (b.1 - a.1).abs() + 3.0,
                ));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plot() -> Plot {
        Plot::new(Area::new(0.0, 0.0, 300.0, 200.0), (0.0, 1e5), (0.0, 200.0))
    }

    #[test]
    fn a_single_spike_among_many_samples_stays() {
        let value = |at: u32| match at {
            61_234 => 187.0,
            61_235 => 3.0,
            _ => 50.0 + f64::from(at % 7),
        };
        let points: Vec<(f64, f64)> = (0..100_000).map(|at| (f64::from(at), value(at))).collect();
        let trail = Trail::of(&points, &plot());
        let places = &trail.parts[0];
        assert!(places.len() <= 1200, "{}", places.len());
        let lowest = places.iter().map(|p| p.1).fold(f64::MIN, f64::max);
        let highest = places.iter().map(|p| p.1).fold(f64::MAX, f64::min);
        assert!((lowest - 197.0).abs() < 1e-9 && (highest - 13.0).abs() < 1e-9);
    }

    /// No sample of a smooth line lies farther from the drawn one than the tolerance (plus what a
    /// column of one pixel can hide: slope below 1 here, so less than a pixel).
    #[test]
    fn a_smooth_line_is_followed() {
        let rise = |t: f64| 200.0 * (1.0 - libm::exp(-t / 3e4));
        let points: Vec<(f64, f64)> = (0..=1000)
            .map(|i| (f64::from(i) * 100.0, rise(f64::from(i) * 100.0)))
            .collect();
        let trail = Trail::of(&points, &plot());
        assert!(trail.parts[0].len() < 120, "{}", trail.parts[0].len());
        for point in points {
            let place = plot().at(point);
            let near = trail.parts[0]
                .windows(2)
                .filter(|w| w[0].0 <= place.0 && place.0 <= w[1].0);
            let off = near
                .map(|w| distance(place, w[0], w[1]))
                .fold(f64::MAX, f64::min);
            assert!(off < 0.2, "{off}");
        }
    }

    #[test]
    fn gaps_part_a_line_and_order_is_restored() {
        let points = [
            (9e4, 1.0),
            (0.0, 1.0),
            (2e4, f64::NAN),
            (1e4, 2.0),
            (f64::NAN, 5.0),
        ];
        let trail = Trail::of(&points, &plot());
        assert_eq!(
            trail.parts,
            [vec![(0.0, 199.0), (30.0, 198.0)], vec![(270.0, 199.0)]]
        );
    }
}
