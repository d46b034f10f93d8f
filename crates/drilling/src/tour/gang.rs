//! Heads in a gang: several drills at a fixed spacing that go down in one stroke.
//!
//! Only holes on one line along the gang, whole spacings apart, can share a stroke. So the holes fall into
//! *rails*: places 0, 1, 2… along such a line, some with a hole, some without. On one rail the fewest strokes
//! come from a sweep: the first hole not yet drilled goes under the first head, and its stroke takes every hole
//! in reach. No other set of strokes is smaller, since each stroke holds at most one of the holes that the sweep
//! began a stroke with (they are a gang apart); strokes of different rails share nothing.
//!
//! Heads that cannot be lifted each alone all drill at every stroke. Then the sweep has no choice at all: the
//! first hole can only lie under the first head, and if a hole is missing under another, no set of strokes fits.

use serde::Serialize;

use super::Point;

/// Which way the heads stand in a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Along {
    /// Along x.
    X,
    /// Along y.
    Y,
}

/// What heads without a hole under them do during a stroke.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Lift {
    /// Each head can stay up alone.
    Each,
    /// All go down together, so each needs a hole.
    Together,
}

/// Heads in a row.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Gang {
    /// How many.
    pub heads: u32,
    /// From one to the next.
    pub spacing_m: f64,
    /// Direction of the row.
    pub along: Along,
    /// Whether heads can stay up.
    pub lift: Lift,
    /// How far a hole may be off its head, along x and along y each.
    pub tolerance_m: f64,
}

/// Why holes cannot be shared out to strokes.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum GangError {
    /// No heads.
    #[error("expected at least one head")]
    NoHeads,
    /// Heads on top of each other, or closer than the tolerance lets tell apart.
    #[error(
        "expected a spacing above four tolerances of zero or more, found {spacing_m} m and {tolerance_m} m"
    )]
    Spacing {
        /// As given.
        spacing_m: f64,
        /// As given.
        tolerance_m: f64,
    },
    /// A stroke would leave heads over no hole, and they cannot stay up.
    #[error("hole {} has no full row of {heads} holes to be drilled with", .hole + 1)]
    NoFullRow {
        /// First hole of the row.
        hole: usize,
        /// How many the row needs.
        heads: u32,
    },
}

/// One stroke of a gang: where the first head goes, and the hole that each head drills.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct GangStroke {
    /// The first head's place.
    pub at: Point,
    /// For each head its hole, or none where it stays up.
    pub heads: Vec<Option<usize>>,
}

impl Gang {
    /// One drill.
    pub fn single() -> Self {
        Self {
            heads: 1,
            spacing_m: 1.0,
            along: Along::X,
            lift: Lift::Each,
            tolerance_m: 0.0,
        }
    }

    /// Whether the numbers make sense.
    pub fn check(&self) -> Result<(), GangError> {
        let Self {
            heads,
            spacing_m,
            tolerance_m,
            ..
        } = *self;
        if heads == 0 {
            return Err(GangError::NoHeads);
        }
        if heads > 1
            && !(tolerance_m >= 0.0 && spacing_m > 4.0 * tolerance_m && spacing_m.is_finite())
        {
            return Err(GangError::Spacing {
                spacing_m,
                tolerance_m,
            });
        }
        Ok(())
    }

    /// Where a head is when the first one is at a place.
    pub fn head_at(&self, first: Point, head: usize) -> Point {
        let reach = self.spacing_m * head as f64;
        match self.along {
            Along::X => [first[0] + reach, first[1]],
            Along::Y => [first[0], first[1] + reach],
        }
    }

    /// Fewest strokes that drill each of the holes once.
    ///
    /// `holes` are numbers into `at`; the strokes use the same numbers. Places are trusted to be finite.
    pub fn strokes(&self, at: &[Point], holes: &[usize]) -> Result<Vec<GangStroke>, GangError> {
        self.check()?;
        if self.heads == 1 {
            let alone = |&hole: &usize| GangStroke {
                at: at[hole],
                heads: vec![Some(hole)],
            };
            return Ok(holes.iter().map(alone).collect());
        }
        let mut strokes = Vec::new();
        for rail in self.rails(at, holes) {
            self.sweep(&rail, &mut strokes)?;
        }
        Ok(strokes)
    }

    /// Holes sorted into rails.
    fn rails(&self, at: &[Point], holes: &[usize]) -> Vec<Rail> {
        let (along, across) = match self.along {
            Along::X => (0, 1),
            Along::Y => (1, 0),
        };
        let mut rails = Vec::new();
        for line in clusters(holes, self.tolerance_m, |hole| at[hole][across]) {
            let offset = |hole: usize| self.offset(at[hole][along]);
            for mut holes in clusters(&line.holes, self.tolerance_m, offset) {
                holes
                    .holes
                    .sort_by(|&a, &b| at[a][along].total_cmp(&at[b][along]));
                rails.push(self.rail(at, along, &line, &holes));
            }
        }
        rails
    }

    /// What is left of a coordinate after whole spacings; a hair below a whole one counts as nought, so that
    /// rounding does not part holes that belong together.
    fn offset(&self, coordinate: f64) -> f64 {
        let offset = coordinate.rem_euclid(self.spacing_m);
        if self.spacing_m - offset <= self.tolerance_m.max(1e-9 * self.spacing_m) {
            offset - self.spacing_m
        } else {
            offset
        }
    }

    /// The rail of holes with (nearly) one offset along a line.
    fn rail(&self, at: &[Point], along: usize, line: &Cluster, offsets: &Cluster) -> Rail {
        let place =
            |hole: usize| ((at[hole][along] - offsets.middle) / self.spacing_m).round() as i64;
        let mut origin = [0.0; 2];
        origin[along] = offsets.middle;
        origin[1 - along] = line.middle;
        Rail {
            origin,
            holes: offsets
                .holes
                .iter()
                .map(|&hole| (place(hole), hole))
                .collect(),
        }
    }

    /// Strokes from the first hole on.
    fn sweep(&self, rail: &Rail, strokes: &mut Vec<GangStroke>) -> Result<(), GangError> {
        let heads = self.heads as usize;
        let mut left = rail.holes.clone();
        while let Some(&(first, hole)) = left.first() {
            let mut stroke = vec![None; heads];
            // Two holes at one place cannot share a stroke: the second stays for another sweep.
            left.retain(|&(place, hole)| {
                let under = usize::try_from(place - first)
                    .ok()
                    .and_then(|head| stroke.get_mut(head));
                match under {
                    Some(head @ None) => {
                        *head = Some(hole);
                        false
                    }
                    _ => true,
                }
            });
            if self.lift == Lift::Together && stroke.contains(&None) {
                return Err(GangError::NoFullRow {
                    hole,
                    heads: self.heads,
                });
            }
            let along = match self.along {
                Along::X => [first as f64 * self.spacing_m, 0.0],
                Along::Y => [0.0, first as f64 * self.spacing_m],
            };
            strokes.push(GangStroke {
                at: [rail.origin[0] + along[0], rail.origin[1] + along[1]],
                heads: stroke,
            });
        }
        Ok(())
    }
}

/// Holes on one line, whole spacings apart: each with its place, in order.
struct Rail {
    origin: Point,
    holes: Vec<(i64, usize)>,
}

/// Holes with nearly the same coordinate, and the middle between the extremes.
struct Cluster {
    holes: Vec<usize>,
    middle: f64,
}

/// Parts holes by a coordinate so that all of one cluster are within two tolerances, hence each within one of
/// the middle.
fn clusters(holes: &[usize], tolerance: f64, coordinate: impl Fn(usize) -> f64) -> Vec<Cluster> {
    let mut sorted: Vec<(f64, usize)> =
        holes.iter().map(|&hole| (coordinate(hole), hole)).collect();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let mut clusters = Vec::new();
    let mut rest = sorted.as_slice();
    while let Some(&(first, _)) = rest.first() {
        // A span of nought still has to swallow the rounding of the coordinate itself.
        let span = (2.0 * tolerance).max(1e-12 * first.abs().max(1.0));
        let end = rest.partition_point(|&(value, _)| value - first <= span);
        let (own, others) = rest.split_at(end);
        clusters.push(Cluster {
            holes: own.iter().map(|&(_, hole)| hole).collect(),
            middle: f64::midpoint(first, own[end - 1].0),
        });
        rest = others;
    }
    clusters
}
