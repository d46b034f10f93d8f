//! The problem of one sheet as the searches see it: grown by the kerf, small numbers, alike parts together.
//!
//! Kerf: pieces `a` and `b` cut from a side `s` obey a + k + b <= s, that is (a + k) + (b + k) <= s + k. So with
//! every part and the sheet grown by k on both sides the blade has no width, and every layout of the one is a
//! layout of the other.

use super::answer::Axis;
use super::axis::Points;
use super::problem::{FirstCut, Problem, Scheme};

/// Grids beyond this many cells are thinned to a choice of points when nothing else is asked.
pub(super) const MOST_CELLS: usize = 6_000_000;

/// One way a part can lie, grown by the kerf.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Shape {
    pub(super) length: u32,
    pub(super) width: u32,
    pub(super) turned: bool,
}

/// Parts that are alike to the search.
#[derive(Clone, Debug)]
pub(super) struct Kind {
    pub(super) shapes: Vec<Shape>,
    pub(super) value: u64,
    /// Parts of this kind, and how many of each there may be.
    pub(super) parts: Vec<(usize, u32)>,
    /// How many there may be in all, if the sheet could hold more.
    pub(super) limit: Option<u32>,
    /// No layout has more.
    pub(super) most: u32,
}

/// A level of the recursion, the innermost first: which axes it may divide.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Level {
    pub(super) length: bool,
    pub(super) width: bool,
}

/// One sheet, grown.
#[derive(Clone, Debug)]
pub(super) struct Core {
    pub(super) sheet: usize,
    pub(super) kinds: Vec<Kind>,
    pub(super) xs: Points,
    pub(super) ys: Points,
    pub(super) levels: Vec<Level>,
    /// Whether a part may be smaller than the innermost region that holds it.
    pub(super) trimming: bool,
    /// The first cut divides this, if the scheme has stages.
    pub(super) first: Option<Axis>,
    /// Whether all points worth cutting at are there.
    pub(super) complete: bool,
    pub(super) length: u32,
    pub(super) width: u32,
    /// The largest sums of sizes along both axes: no layout reaches further.
    pub(super) reach: (u32, u32),
}

/// The level orders a scheme allows.
fn orders(scheme: Scheme) -> Vec<(Vec<Level>, bool, Option<Axis>)> {
    let (first, stages, trimming) = match scheme {
        Scheme::Free => {
            let both = Level {
                length: true,
                width: true,
            };
            return vec![(vec![both], true, None)];
        }
        Scheme::TwoStage { first, trimming } => (first, 2, trimming),
        Scheme::ThreeStage { first, trimming } => (first, 3, trimming),
    };
    let starts: &[Axis] = match first {
        FirstCut::AlongLength => &[Axis::Width],
        FirstCut::AlongWidth => &[Axis::Length],
        FirstCut::Either => &[Axis::Width, Axis::Length],
    };
    let order = |&start: &Axis| {
        let level = |stage: usize| {
            let length = (start == Axis::Length) == (stage.is_multiple_of(2));
            Level {
                length,
                width: !length,
            }
        };
        (
            (0..stages).rev().map(level).collect(),
            trimming,
            Some(start),
        )
    };
    starts.iter().map(order).collect()
}

/// The ways a part can lie on the grown sheet.
fn shapes(problem: &Problem, part: usize, length: u32, width: u32) -> Vec<Shape> {
    let part = &problem.parts[part];
    let side = |side: u64| (side + problem.kerf) as u32;
    let straight = Shape {
        length: side(part.length),
        width: side(part.width),
        turned: false,
    };
    let turned = Shape {
        length: straight.width,
        width: straight.length,
        turned: true,
    };
    let square = straight.length == straight.width;
    let ways = if part.may_turn && !square {
        vec![straight, turned]
    } else {
        vec![straight]
    };
    let fits = |shape: &Shape| shape.length <= length && shape.width <= width;
    ways.into_iter().filter(fits).collect()
}

/// Parts of equal shape and value put together; each with its copies, those without a copy left out.
fn kinds(view: View<'_>, length: u32, width: u32) -> Vec<Kind> {
    let View {
        problem,
        worth,
        limits,
        together,
        ..
    } = view;
    let mut kinds: Vec<Kind> = Vec::new();
    for part in 0..problem.parts.len() {
        let shapes = shapes(problem, part, length, width);
        if shapes.is_empty() || limits[part] == 0 {
            continue;
        }
        let (value, limit) = (worth[part], limits[part]);
        match kinds
            .iter_mut()
            .find(|kind| together && kind.shapes == shapes && kind.value == value)
        {
            Some(kind) => kind.parts.push((part, limit)),
            None => kinds.push(Kind {
                shapes,
                value,
                parts: vec![(part, limit)],
                limit: None,
                most: 0,
            }),
        }
    }
    for kind in &mut kinds {
        let copies = kind
            .parts
            .iter()
            .fold(0_u32, |sum, part| sum.saturating_add(part.1));
        let fit = most_alike(&kind.shapes, length, width);
        kind.limit = (copies < fit).then_some(copies);
        kind.most = copies.min(fit);
    }
    kinds
}

/// A count that alike parts cannot pass: in rows and columns where they cannot be turned, by area where they can.
fn most_alike(shapes: &[Shape], length: u32, width: u32) -> u32 {
    match shapes {
        [only] => (length / only.length) * (width / only.width),
        [one, ..] => {
            let area = u64::from(length) * u64::from(width);
            (area / (u64::from(one.length) * u64::from(one.width))) as u32
        }
        [] => 0,
    }
}

/// How one sheet's problem is to be seen.
#[derive(Clone, Copy)]
pub(super) struct View<'a> {
    pub(super) problem: &'a Problem,
    /// Worth of each part.
    pub(super) worth: &'a [u64],
    /// Copies allowed of each part.
    pub(super) limits: &'a [u32],
    /// Whether parts alike in shape and worth are put together.
    pub(super) together: bool,
    /// Grids of more cells are thinned.
    pub(super) most_cells: usize,
    /// Which sizes a thinned grid is made of: 0 the largest, else the densest in worth, stirred by this seed.
    pub(super) seed: u64,
    /// Copies of each part in the best layout so far, whose sizes are wanted more; or empty.
    pub(super) used: &'a [u64],
}

impl Core {
    /// One core for each order of levels the scheme allows.
    pub(super) fn all(view: View<'_>, sheet: usize) -> Vec<Self> {
        let orders = orders(view.problem.scheme).len();
        (0..orders)
            .filter_map(|order| Self::new(view, sheet, order))
            .collect()
    }

    /// The core for one order of levels; `None` if nothing is left of the sheet or there is no such order.
    pub(super) fn new(view: View<'_>, sheet: usize, order: usize) -> Option<Self> {
        let (length, width) = view.problem.sheets[sheet].usable()?;
        let kerf = view.problem.kerf;
        let (length, width) = ((length + kerf) as u32, (width + kerf) as u32);
        let (levels, trimming, first) = orders(view.problem.scheme).into_iter().nth(order)?;
        let kinds = kinds(view, length, width);
        let (xs, ys) = full_grid(&kinds, length, width, !trimming);
        let reach = (xs.last(), ys.last());
        let complete = xs.len() * ys.len() <= view.most_cells;
        let (xs, ys) = if complete {
            (xs, ys)
        } else {
            thinned(view, &kinds, (length, width), (xs, ys))
        };
        Some(Self {
            sheet,
            kinds,
            xs,
            ys,
            levels,
            trimming,
            first,
            complete,
            length,
            width,
            reach,
        })
    }

    /// Cells of the grid.
    pub(super) fn cells(&self) -> usize {
        self.xs.len() * self.ys.len()
    }

    /// Whether these counts, by kind, respect the limits.
    pub(super) fn allows(&self, counts: &[u32]) -> bool {
        let fits = |(kind, &count): (&Kind, &u32)| kind.limit.is_none_or(|limit| count <= limit);
        self.kinds.iter().zip(counts).all(fits)
    }

    /// Worth of these counts once those above a limit are left out.
    pub(super) fn worth_within_limits(&self, counts: &[u32]) -> u64 {
        let worth = |(kind, &count): (&Kind, &u32)| kind.value * u64::from(count.min(kind.most));
        self.kinds.iter().zip(counts).map(worth).sum()
    }
}

/// All points worth cutting at, on both axes.
fn full_grid(kinds: &[Kind], length: u32, width: u32, exact: bool) -> (Points, Points) {
    let shapes =
        || (kinds.iter()).flat_map(|kind| kind.shapes.iter().map(|shape| (shape, kind.most)));
    let lengths: Vec<(u32, u32)> = shapes().map(|(shape, most)| (shape.length, most)).collect();
    let widths: Vec<(u32, u32)> = shapes().map(|(shape, most)| (shape.width, most)).collect();
    (
        Points::for_sizes(length, &lengths, exact),
        Points::for_sizes(width, &widths, exact),
    )
}

/// Fewer points, on the axes that have many.
fn thinned(
    view: View<'_>,
    kinds: &[Kind],
    span: (u32, u32),
    (xs, ys): (Points, Points),
) -> (Points, Points) {
    let side = view.most_cells.isqrt();
    let most = |other: &Points| {
        if other.len() < side {
            view.most_cells / other.len()
        } else {
            side
        }
    };
    let (most_x, most_y) = (most(&ys), most(&xs));
    let thin = |full: Points, span: u32, most: usize, size: fn(&Shape) -> u32| {
        if full.len() <= most {
            return full;
        }
        Points::coarse(span, &wanted(view, kinds, size), most)
    };
    (
        thin(xs, span.0, most_x, |shape| shape.length),
        thin(ys, span.1, most_y, |shape| shape.width),
    )
}

/// Copies of a kind in the best layout so far.
fn used(view: View<'_>, kind: &Kind) -> f64 {
    let copies = |&(part, _): &(usize, u32)| view.used.get(part).copied().unwrap_or(0);
    kind.parts.iter().map(copies).sum::<u64>() as f64
}

/// Sizes along one axis, the most wanted first.
fn wanted(view: View<'_>, kinds: &[Kind], size: fn(&Shape) -> u32) -> Vec<u32> {
    let mut ranked: Vec<(f64, u32)> = Vec::new();
    let most = kinds
        .iter()
        .map(|kind| used(view, kind))
        .fold(1.0, f64::max);
    for (index, kind) in kinds.iter().enumerate() {
        for shape in &kind.shapes {
            let density = kind.value as f64 / (f64::from(shape.length) * f64::from(shape.width));
            let stir = 1.0 + 0.2 * (chance(view.seed * 8191 + index as u64) - 0.5);
            let liked = used(view, kind) / most;
            let rank = if view.seed == 0 {
                f64::from(size(shape))
            } else {
                density * stir * (1.0 + 0.2 * liked)
            };
            ranked.push((rank, size(shape)));
        }
    }
    ranked.sort_by(|a, b| b.0.total_cmp(&a.0).then(b.1.cmp(&a.1)));
    let mut sizes: Vec<u32> = Vec::new();
    for (_, size) in ranked {
        if !sizes.contains(&size) {
            sizes.push(size);
        }
    }
    sizes
}

/// A well-mixed number for each number (splitmix64, Steele et al. 2014).
pub(super) fn mixed(number: u64) -> u64 {
    let mut z = number.wrapping_add(1).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

/// A number in 0..1 for each number.
pub(super) fn chance(number: u64) -> f64 {
    (mixed(number) >> 11) as f64 / (1_u64 << 53) as f64
}
