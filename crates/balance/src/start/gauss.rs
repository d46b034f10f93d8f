//! Gauss's quadrature for a measure given at points.
//!
//! The recurrence of the polynomials orthogonal to the measure is found by Stieltjes' procedure
//! (Gautschi 2004, *Orthogonal Polynomials*, section 2.2.3) and turned into nodes and weights by
//! the eigenvalues of its Jacobi matrix and the first components of their vectors (Golub & Welsch
//! 1969), with the implicit QL iteration (Wilkinson & Reinsch 1971, II/3). All from memory.

/// Turns of the QL iteration for one eigenvalue; it takes about two.
const MOST_TURNS: usize = 60;
/// A recurrence coefficient this small against the spread means that no more nodes are needed.
const LEAST: f64 = 1e-13;

/// Nodes and weights, at most `count`, that integrate polynomials below degree 2·`count` as the
/// measure does. `None` when the weights are not those of a measure (they need not be positive
/// one by one, but the polynomials must have squares above zero).
pub(super) fn gauss(points: &[f64], weights: &[f64], count: usize) -> Option<Vec<(f64, f64)>> {
    let (mut diagonal, mut beside) = stieltjes(points, weights, count)?;
    let total: f64 = weights.iter().sum();
    let first = eigen(&mut diagonal, &mut beside)?;
    let node = |(x, part): (&f64, f64)| (*x, total * part * part);
    Some(diagonal.iter().zip(first).map(node).collect())
}

/// The diagonal of the Jacobi matrix and the roots beside it.
fn stieltjes(points: &[f64], weights: &[f64], count: usize) -> Option<(Vec<f64>, Vec<f64>)> {
    let total: f64 = weights.iter().sum();
    let start = 1.0 / libm::sqrt(total);
    let mut before = vec![0.0; points.len()];
    let mut now = vec![start; points.len()];
    let (mut diagonal, mut beside) = (Vec::new(), Vec::new());
    let mut link = 0.0;
    loop {
        let moved = |((x, w), p): ((&f64, &f64), &f64)| w * p * p * x;
        let middle: f64 = points.iter().zip(weights).zip(&now).map(moved).sum();
        diagonal.push(middle);
        if diagonal.len() == count.min(points.len()) {
            return Some((diagonal, beside));
        }
        let mut square = 0.0;
        for (place, x) in points.iter().enumerate() {
            let next = (x - middle) * now[place] - link * before[place];
            before[place] = now[place];
            now[place] = next;
            square += weights[place] * next * next;
        }
        let spread = beside.first().copied().unwrap_or(1.0);
        if !square.is_finite() || square < 0.0 {
            return None;
        }
        link = libm::sqrt(square);
        if link <= LEAST * spread {
            return Some((diagonal, beside));
        }
        for p in &mut now {
            *p /= link;
        }
        beside.push(link);
    }
}

/// Eigenvalues of a symmetric tridiagonal matrix, left in `diagonal`, and the first component of
/// each one's vector.
fn eigen(diagonal: &mut [f64], beside: &mut Vec<f64>) -> Option<Vec<f64>> {
    let size = diagonal.len();
    beside.resize(size, 0.0);
    let mut first = vec![0.0; size];
    first[0] = 1.0;
    for low in 0..size {
        let mut turns = 0;
        loop {
            let high = (low..size - 1)
                .find(|&at| {
                    let scale = diagonal[at].abs() + diagonal[at + 1].abs();
                    beside[at].abs() <= f64::EPSILON * scale
                })
                .unwrap_or(size - 1);
            if high == low {
                break;
            }
            turns += 1;
            if turns > MOST_TURNS {
                return None;
            }
            turn(diagonal, beside, &mut first, low, high);
        }
    }
    Some(first)
}

/// One implicit QL sweep over the rows `low` to `high`.
fn turn(diagonal: &mut [f64], beside: &mut [f64], first: &mut [f64], low: usize, high: usize) {
    let half = (diagonal[low + 1] - diagonal[low]) / (2.0 * beside[low]);
    let root = libm::hypot(half, 1.0);
    let mut g = diagonal[high] - diagonal[low] + beside[low] / (half + libm::copysign(root, half));
    let (mut sine, mut cosine, mut carried) = (1.0, 1.0, 0.0);
    for at in (low..high).rev() {
        let (f, b) = (sine * beside[at], cosine * beside[at]);
        let radius = libm::hypot(f, g);
        beside[at + 1] = radius;
        if radius == 0.0 {
            diagonal[at + 1] -= carried;
            beside[high] = 0.0;
            return;
        }
        (sine, cosine) = (f / radius, g / radius);
        g = diagonal[at + 1] - carried;
        let mixed = (diagonal[at] - g) * sine + 2.0 * cosine * b;
        carried = sine * mixed;
        diagonal[at + 1] = g + carried;
        g = cosine * mixed - b;
        let part = first[at + 1];
        first[at + 1] = sine * first[at] + cosine * part;
        first[at] = cosine * first[at] - sine * part;
    }
    diagonal[low] -= carried;
    beside[low] = g;
    beside[high] = 0.0;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sampled_normal_gives_the_nodes_of_hermite() {
        // Probabilists' Gauss–Hermite, 3 nodes: 0 and ±√3 with weights 2/3 and 1/6 (A&S 25.4.46).
        let points: Vec<f64> = (-100..=100).map(|i| f64::from(i) / 10.0).collect();
        let weights: Vec<f64> = points
            .iter()
            .map(|z| chance::special::normal_density(*z) / 10.0)
            .collect();
        let mut found = gauss(&points, &weights, 3).unwrap();
        found.sort_by(|a, b| a.0.total_cmp(&b.0));
        for ((x, w), (node, weight)) in found.into_iter().zip([
            (-3.0_f64.sqrt(), 1.0 / 6.0),
            (0.0, 2.0 / 3.0),
            (3.0_f64.sqrt(), 1.0 / 6.0),
        ]) {
            assert!(
                (x - node).abs() < 1e-12 && (w - weight).abs() < 1e-12,
                "{x} {w}"
            );
        }
    }

    #[test]
    fn a_few_points_are_their_own_quadrature() {
        let mut found = gauss(&[0.5, 0.7], &[0.25, 0.75], 8).unwrap();
        found.sort_by(|a, b| a.0.total_cmp(&b.0));
        assert!((found[0].0 - 0.5).abs() < 1e-14 && (found[0].1 - 0.25).abs() < 1e-14);
        assert!((found[1].0 - 0.7).abs() < 1e-14 && (found[1].1 - 0.75).abs() < 1e-14);
    }
}
