//! The regions of a window map: slabs between rows in which both edges are straight.

use std::fmt::Write as _;

use super::{DwellEdge, Plan, WindowRow};
use crate::chart::{Plot, Trail};
use crate::ink::{Area, Num, Words};
use crate::room::{Taken, place_of};

/// What a dwell at a level does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Class {
    Works,
    Little,
    Much,
    Both,
}

impl Class {
    pub(super) const ALL: [Self; 4] = [Self::Works, Self::Little, Self::Much, Self::Both];

    /// Short, for the map.
    pub(super) fn name(self) -> &'static str {
        match self {
            Self::Works => "works",
            Self::Little => "too little",
            Self::Much => "too much",
            Self::Both => "not together",
        }
    }

    /// In full.
    pub(super) fn words(self) -> &'static str {
        match self {
            Self::Works => "works: enough for every piece, too much for none",
            Self::Little => "too little for the slowest piece",
            Self::Much => "too much for the fastest piece",
            Self::Both => "not together: too little and too much at once",
        }
    }
}

/// Between two levels, with the edges at the lower and the upper one, held within the map.
#[derive(Clone, Copy, Debug)]
struct Slab {
    level: (f64, f64),
    enough: (f64, f64),
    safe: (f64, f64),
}

impl Slab {
    /// From and to on the dwell axis, at the lower and the upper level.
    fn span(&self, class: Class, (first, last): (f64, f64)) -> [(f64, f64); 2] {
        [(self.enough.0, self.safe.0), (self.enough.1, self.safe.1)].map(|(enough, safe)| {
            match class {
                Class::Works => (enough, safe.max(enough)),
                Class::Both => (safe, enough.max(safe)),
                Class::Little => (first, enough.min(safe)),
                Class::Much => (enough.max(safe), last),
            }
        })
    }
}

/// The map parted into slabs from the lowest level up.
pub(super) struct Regions {
    slabs: Vec<Slab>,
    x_range: (f64, f64),
}

/// An edge over half the way between two rows: at its lower and upper end.
type Half = Option<(f64, f64)>;

impl Regions {
    /// Rows in order of level. One row alone fills the whole height.
    pub(super) fn of(rows: &[WindowRow], x_range: (f64, f64), y_range: (f64, f64)) -> Self {
        let mut slabs = Vec::new();
        if let [only] = rows {
            let at = |level| WindowRow { level, ..*only };
            add(&mut slabs, &at(y_range.0), &at(y_range.1), x_range);
        }
        for pair in rows.windows(2) {
            add(&mut slabs, &pair[0], &pair[1], x_range);
        }
        Self { slabs, x_range }
    }

    /// What a dwell at a level does; `None` where nothing is known.
    pub(super) fn class(&self, dwell: f64, level: f64) -> Option<Class> {
        let (enough, safe) = self.edges(level)?;
        Some(match (dwell >= enough, dwell <= safe) {
            (true, true) => Class::Works,
            (false, true) => Class::Little,
            (true, false) => Class::Much,
            (false, false) => Class::Both,
        })
    }

    /// Shortest that is enough and longest that is safe at a level, held within the map.
    pub(super) fn edges(&self, level: f64) -> Option<(f64, f64)> {
        let at = self.slabs.partition_point(|slab| slab.level.1 < level);
        let slab = self.slabs.get(at).filter(|slab| slab.level.0 <= level)?;
        let long = slab.level.1 - slab.level.0;
        let t = if long > 0.0 {
            (level - slab.level.0) / long
        } else {
            0.0
        };
        Some((mix(slab.enough, t), mix(slab.safe, t)))
    }

    /// Whether some of the map is not worked out.
    pub(super) fn has_gaps(&self, (low, high): (f64, f64)) -> bool {
        const STEPS: u32 = 200;
        (0..=STEPS)
            .map(|step| low + f64::from(step) / f64::from(STEPS) * (high - low))
            .any(|level| self.edges(level.min(high)).is_none())
    }

    /// The outline of all a class covers, as path data.
    pub(super) fn outline(&self, class: Class, plot: &Plot) -> String {
        let mut data = String::new();
        let (mut left, mut right) = (Vec::new(), Vec::new());
        let mut reached = f64::NAN;
        for slab in &self.slabs {
            let [low, high] = slab.span(class, self.x_range);
            let empty = low.1 - low.0 <= 0.0 && high.1 - high.0 <= 0.0;
            if empty || slab.level.0 != reached {
                close(&mut data, plot, &mut left, &mut right);
            }
            if !empty && slab.level.1 > slab.level.0 {
                left.extend([(low.0, slab.level.0), (high.0, slab.level.1)]);
                right.extend([(low.1, slab.level.0), (high.1, slab.level.1)]);
                reached = slab.level.1;
            }
        }
        close(&mut data, plot, &mut left, &mut right);
        data
    }

    pub(super) fn enough(&self, plot: &Plot) -> Trail {
        self.edge(plot, |slab| slab.enough)
    }

    pub(super) fn safe(&self, plot: &Plot) -> Trail {
        self.edge(plot, |slab| slab.safe)
    }

    /// An edge where it lies inside the map.
    fn edge(&self, plot: &Plot, of: impl Fn(&Slab) -> (f64, f64)) -> Trail {
        let mut parts: Vec<Vec<(f64, f64)>> = Vec::new();
        let last = self.x_range.1;
        let mut reached = (f64::NAN, f64::NAN);
        for slab in &self.slabs {
            let (low, high) = of(slab);
            if (low >= last && high >= last) || slab.level.0 == slab.level.1 {
                continue;
            }
            let (from, to) = ((low, slab.level.0), (high, slab.level.1));
            match parts.last_mut() {
                Some(part) if reached == from => part.push(plot.at(to)),
                _ => parts.push(vec![plot.at(from), plot.at(to)]),
            }
            reached = to;
        }
        Trail { parts }
    }
}

/// Writes the ring of a left and a right side, both upwards, and empties them.
fn close(data: &mut String, plot: &Plot, left: &mut Vec<(f64, f64)>, right: &mut Vec<(f64, f64)>) {
    right.reverse();
    left.append(right);
    for (at, place) in left.iter().enumerate() {
        let pen = if at == 0 { 'M' } else { 'L' };
        let (x, y) = plot.at(*place);
        let _ = write!(data, "{pen}{} {}", Num(x), Num(y));
    }
    if !left.is_empty() {
        data.push('z');
    }
    left.clear();
}

/// The value at a share of the way between two.
fn mix((from, to): (f64, f64), t: f64) -> f64 {
    from + t * (to - from)
}

/// Adds what lies between two rows, in two halves.
fn add(slabs: &mut Vec<Slab>, low: &WindowRow, high: &WindowRow, x_range: (f64, f64)) {
    let middle = f64::midpoint(low.level, high.level);
    let enough = halves(low.enough, high.enough, x_range.1);
    let safe = halves(low.safe, high.safe, x_range.1);
    for (half, level) in [(0, (low.level, middle)), (1, (middle, high.level))] {
        if let (Some(enough), Some(safe)) = (enough[half], safe[half]) {
            part(
                slabs,
                &Slab {
                    level,
                    enough,
                    safe,
                },
                x_range,
            );
        }
    }
}

/// An edge over the lower and the upper half between two rows.
fn halves(low: DwellEdge, high: DwellEdge, last: f64) -> [Half; 2] {
    use DwellEdge::{At, Never, Unknown};
    let far = Some((last, last));
    match (low, high) {
        (At(a), At(b)) => {
            let middle = f64::midpoint(a, b);
            [Some((a, middle)), Some((middle, b))]
        }
        (At(a), Never) => [Some((a, last.max(a))), far],
        (Never, At(b)) => [far, Some((last.max(b), b))],
        (Never, Never) => [far, far],
        (At(a), Unknown) => [Some((a, a)), None],
        (Unknown, At(b)) => [None, Some((b, b))],
        (Never, Unknown) => [far, None],
        (Unknown, Never) => [None, far],
        (Unknown, Unknown) => [None, None],
    }
}

/// Parts a slab where its edges cross each other or the sides of the map, so that in each piece
/// their order stays and holding them within the map keeps them straight.
fn part(slabs: &mut Vec<Slab>, whole: &Slab, (first, last): (f64, f64)) {
    let (enough, safe) = (whole.enough, whole.safe);
    let apart = (enough.0 - safe.0, enough.1 - safe.1);
    let beyond = |edge: (f64, f64), side: f64| (edge.0 - side, edge.1 - side);
    let mut cuts = vec![0.0, 1.0];
    for (a, b) in [
        apart,
        beyond(enough, first),
        beyond(enough, last),
        beyond(safe, first),
        beyond(safe, last),
    ] {
        if a * b < 0.0 {
            cuts.push(a / (a - b));
        }
    }
    cuts.sort_by(f64::total_cmp);
    let held = |edge: (f64, f64), t: f64| mix(edge, t).clamp(first, last);
    for pair in cuts.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        // Exactly the level of the row at the ends, so that pieces join.
        let level = |t: f64| {
            if t == 1.0 {
                whole.level.1
            } else {
                mix(whole.level, t)
            }
        };
        if to > from {
            slabs.push(Slab {
                level: (level(from), level(to)),
                enough: (held(enough, from), held(enough, to)),
                safe: (held(safe, from), held(safe, to)),
            });
        }
    }
}

/// Where words fit inside a class with the most air about them.
pub(super) fn spot(plan: &Plan<'_>, class: Class, style: Words, taken: &Taken) -> Option<Words> {
    const ACROSS: usize = 36;
    const UP: usize = 24;
    let area = plan.plot.area;
    let mut best: Option<(f64, Words)> = None;
    for step in 0..ACROSS * UP {
        let (i, j) = (step % ACROSS, step / ACROSS);
        let x = area.x + (i as f64 + 0.5) / ACROSS as f64 * area.w;
        let y = area.y + (j as f64 + 0.5) / UP as f64 * area.h;
        let place = Words { x, y, ..style };
        let own = place_of(&place, class.name());
        // Air to other words, so that two do not read as one phrase.
        let apart = Area::new(own.x - 9.0, own.y - 2.0, own.w + 18.0, own.h + 4.0);
        if !taken.is_free(apart) {
            continue;
        }
        let fits = |grown: f64| {
            let (w, h) = (own.w / 2.0 + grown, own.h / 2.0 + grown);
            let (cx, cy) = (own.x + own.w / 2.0, own.y + own.h / 2.0);
            (0..25).all(|at| {
                let (u, v) = (f64::from(at % 5) / 2.0 - 1.0, f64::from(at / 5) / 2.0 - 1.0);
                holds(plan, class, (cx + u * w, cy + v * h))
            })
        };
        let airs = [2.0, 6.0, 12.0, 20.0, 30.0, 42.0, 60.0, 80.0, 110.0];
        let air = airs.into_iter().take_while(|air| fits(*air)).last();
        if let Some(air) = air.filter(|air| best.is_none_or(|(found, _)| *air > found)) {
            best = Some((air, place));
        }
    }
    best.map(|(_, place)| place)
}

/// Whether a place on the page lies in the map and in a class.
fn holds(plan: &Plan<'_>, class: Class, (x, y): (f64, f64)) -> bool {
    let area = plan.plot.area;
    let (u, v) = ((x - area.x) / area.w, (area.y + area.h - y) / area.h);
    let inside = (0.0..=1.0).contains(&u) && (0.0..=1.0).contains(&v);
    let (dwell, level) = (mix(plan.plot.x_range, u), mix(plan.plot.y_range, v));
    inside && plan.regions.class(dwell, level) == Some(class)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(level: f64, enough: DwellEdge, safe: DwellEdge) -> WindowRow {
        WindowRow {
            level,
            enough,
            safe,
        }
    }

    /// Edges 10 → 20 and 30 → 0 over levels 0 → 1: they cross where 10 + 10 t = 30 - 30 t, t = 1/2,
    /// at a dwell of 15.
    #[test]
    fn crossing_edges_part_the_map_in_four() {
        use DwellEdge::At;
        let rows = [row(0.0, At(10.0), At(30.0)), row(1.0, At(20.0), At(0.0))];
        let regions = Regions::of(&rows, (0.0, 40.0), (0.0, 1.0));
        let (enough, safe) = regions.edges(0.5).expect("known");
        assert!((enough - 15.0).abs() < 1e-12 && (safe - 15.0).abs() < 1e-12);
        assert_eq!(regions.class(20.0, 0.1), Some(Class::Works));
        assert_eq!(regions.class(5.0, 0.1), Some(Class::Little));
        assert_eq!(regions.class(35.0, 0.1), Some(Class::Much));
        assert_eq!(regions.class(10.0, 0.9), Some(Class::Both));
        assert_eq!(regions.class(10.0, 1.1), None);
    }

    #[test]
    fn what_is_not_worked_out_stays_blank_and_never_is_never() {
        use DwellEdge::{At, Never, Unknown};
        let rows = [
            row(0.0, Never, Never),
            row(1.0, At(10.0), Never),
            row(2.0, Unknown, At(30.0)),
        ];
        let regions = Regions::of(&rows, (0.0, 40.0), (0.0, 2.0));
        assert_eq!(regions.class(39.0, 0.2), Some(Class::Little));
        assert_eq!(regions.class(39.0, 1.0), Some(Class::Works));
        assert_eq!(regions.class(5.0, 1.9), None);
    }
}
