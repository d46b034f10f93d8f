//! The outline of a face to be drilled: straight and round edges, ellipses, islands; inside, distance to the
//! edge, area.
//!
//! An [`Outline`] is checked when it is built and holds no nonsense afterwards: loops that are closed, do not
//! cross themselves or each other, and islands that lie inside. Lengths are metres, angles radians
//! anticlockwise from the x axis.

mod build;
mod edge;
mod ellipse;
mod fault;
mod meet;
mod place;

pub use build::{Next, Vertex};
pub use edge::{Arc, Edge, Line};
pub use ellipse::Ellipse;
pub use fault::OutlineFault;
pub use place::{Bounds, FARTHEST_M, Point};

pub(crate) use meet::meets;
pub(crate) use place::is_size;

/// One closed loop: the outer edge of a face, or an island in it.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub enum Contour {
    /// Edges one after the other, each starting where the one before ended. A circle is one round edge.
    Edges(Vec<Edge>),
    /// An ellipse.
    Ellipse(Ellipse),
}

/// The face that may be drilled: inside the outer loop and outside every island.
///
/// ```
/// use drilling::outline::{Outline, Point};
/// let block = Outline::rectangle(Point::new(0.0, 0.0), Point::new(0.12, 0.04), 0.01)?;
/// assert!(block.contains(Point::new(0.06, 0.02)));
/// assert!((block.edge_distance(Point::new(0.06, 0.015)) - 0.015).abs() < 1e-12);
/// # Ok::<(), drilling::outline::OutlineFault>(())
/// ```
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Outline {
    outer: Contour,
    islands: Vec<Contour>,
}

impl Contour {
    /// Whether a point lies inside the loop, by counting crossings of a ray. A point on the edge may go either way.
    pub fn contains(&self, point: Point) -> bool {
        match self {
            Self::Edges(edges) => {
                let crossings: usize = edges.iter().map(|edge| edge.crossings(point)).sum();
                crossings % 2 == 1
            }
            Self::Ellipse(ellipse) => ellipse.contains(point),
        }
    }

    /// Distance from a point to the loop itself, inside or outside, in metres.
    pub fn distance(&self, point: Point) -> f64 {
        match self {
            Self::Edges(edges) => edges
                .iter()
                .map(|edge| edge.nearest(point).distance(point))
                .fold(f64::INFINITY, f64::min),
            Self::Ellipse(ellipse) => ellipse.nearest(point).distance(point),
        }
    }

    /// Distance to the loop, positive inside and negative outside, in metres.
    pub fn depth_inside(&self, point: Point) -> f64 {
        let distance = self.distance(point);
        if self.contains(point) {
            distance
        } else {
            -distance
        }
    }

    /// Distance between the loop and a straight segment, in metres; 0 when they meet.
    pub fn distance_to_segment(&self, segment: &Line) -> f64 {
        match self {
            Self::Edges(edges) => edges
                .iter()
                .map(|edge| edge.distance_to_segment(segment))
                .fold(f64::INFINITY, f64::min),
            Self::Ellipse(ellipse) => ellipse.distance_to_segment(segment),
        }
    }

    /// Length of the loop, m.
    pub fn length_m(&self) -> f64 {
        match self {
            Self::Edges(edges) => edges.iter().map(Edge::length_m).sum(),
            Self::Ellipse(ellipse) => ellipse.length_m(),
        }
    }

    /// Area inside the loop, m², positive whichever way round it runs.
    pub fn area_m2(&self) -> f64 {
        match self {
            Self::Edges(edges) => edges.iter().map(Edge::swept_area).sum::<f64>().abs(),
            Self::Ellipse(ellipse) => ellipse.area_m2(),
        }
    }

    /// The smallest upright box around the loop.
    pub fn bounds(&self) -> Bounds {
        match self {
            Self::Edges(edges) => edges
                .iter()
                .map(Edge::bounds)
                .reduce(Bounds::around)
                .unwrap_or_default(),
            Self::Ellipse(ellipse) => ellipse.bounds(),
        }
    }
}

impl Outline {
    /// The outer loop.
    pub fn outer(&self) -> &Contour {
        &self.outer
    }

    /// The islands: places inside the outer loop that may not be drilled.
    pub fn islands(&self) -> &[Contour] {
        &self.islands
    }

    /// The outer loop and then the islands.
    pub fn contours(&self) -> impl Iterator<Item = &Contour> {
        std::iter::once(&self.outer).chain(&self.islands)
    }

    /// Whether a point lies on the face: inside the outer loop and in no island.
    pub fn contains(&self, point: Point) -> bool {
        self.outer.contains(point) && !self.islands.iter().any(|island| island.contains(point))
    }

    /// Signed distance to the nearest edge, in metres: positive on the face, negative off it (in an island too).
    pub fn edge_distance(&self, point: Point) -> f64 {
        self.islands
            .iter()
            .map(|island| -island.depth_inside(point))
            .fold(self.outer.depth_inside(point), f64::min)
    }

    /// Least distance from a straight segment to any edge, in metres; zero or negative when the segment leaves
    /// the face (then it says how far off the face its worse end is).
    pub fn segment_clearance(&self, from: Point, to: Point) -> f64 {
        let ends = self.edge_distance(from).min(self.edge_distance(to));
        let segment = Line { from, to };
        self.contours()
            .map(|contour| contour.distance_to_segment(&segment))
            .fold(ends, f64::min)
    }

    /// Area of the face without its islands, m².
    pub fn area_m2(&self) -> f64 {
        self.outer.area_m2() - self.islands.iter().map(Contour::area_m2).sum::<f64>()
    }

    /// The smallest upright box around the face.
    pub fn bounds(&self) -> Bounds {
        self.outer.bounds()
    }
}
