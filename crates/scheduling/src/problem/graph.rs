//! The graph of what comes before what: an order, loops, and what must be placed together.

use super::Link;

/// The links into and out of each operation, by position.
pub(super) struct Ends {
    pub(super) into: Vec<Vec<u32>>,
    pub(super) out_of: Vec<Vec<u32>>,
}

/// The ends of all links.
pub(super) fn ends(count: usize, links: &[Link]) -> Ends {
    let mut into = vec![Vec::new(); count];
    let mut out_of = vec![Vec::new(); count];
    for (at, link) in links.iter().enumerate() {
        into[link.to].push(at as u32);
        out_of[link.from].push(at as u32);
    }
    Ends { into, out_of }
}

/// The operations so that none comes before what it waits for (Kahn 1962); or one that waits for itself.
pub(super) fn order(ends: &Ends, links: &[Link]) -> Result<Vec<usize>, usize> {
    let count = ends.into.len();
    let mut waiting: Vec<usize> = ends.into.iter().map(Vec::len).collect();
    let mut order: Vec<usize> = (0..count).filter(|at| waiting[*at] == 0).collect();
    let mut next = 0;
    while let Some(&operation) = order.get(next) {
        next += 1;
        for link in &ends.out_of[operation] {
            let to = links[*link as usize].to;
            waiting[to] -= 1;
            if waiting[to] == 0 {
                order.push(to);
            }
        }
    }
    match waiting.iter().position(|left| *left > 0) {
        Some(operation) => Err(operation),
        None => Ok(order),
    }
}

/// Which operations must be placed together, since a wait between them has a longest, and what lies between them; the
/// strongly connected parts of the graph in which such links run both ways (Kosaraju; Sharir 1981). The
/// number of each operation's part; parts are numbered so that none comes before what it waits for.
pub(super) fn parts(ends: &Ends, links: &[Link]) -> Vec<usize> {
    let count = ends.into.len();
    let mut seen = vec![false; count];
    let mut left = Vec::with_capacity(count);
    for root in 0..count {
        walk(root, &mut seen, &mut left, |at| {
            neighbours(at, &ends.out_of, &ends.into, links, false)
        });
    }
    let mut part = vec![usize::MAX; count];
    let mut seen = vec![false; count];
    let mut parts = 0;
    for root in left.into_iter().rev() {
        let mut members = Vec::new();
        walk(root, &mut seen, &mut members, |at| {
            neighbours(at, &ends.into, &ends.out_of, links, true)
        });
        for member in &members {
            part[*member] = parts;
        }
        parts += usize::from(!members.is_empty());
    }
    part
}

/// Where one can go from an operation: along `ways`, and against `against` where the wait has a longest.
fn neighbours(
    at: usize,
    ways: &[Vec<u32>],
    against: &[Vec<u32>],
    links: &[Link],
    backwards: bool,
) -> Vec<usize> {
    let other = |link: &Link, turned: bool| if turned { link.from } else { link.to };
    let along = ways[at]
        .iter()
        .map(|link| other(&links[*link as usize], backwards));
    let back = against[at]
        .iter()
        .map(|link| &links[*link as usize])
        .filter(|link| link.most.is_some())
        .map(|link| other(link, !backwards));
    along.chain(back).collect()
}

/// A walk in depth from a root; each operation is noted when it is left.
fn walk(
    root: usize,
    seen: &mut [bool],
    left: &mut Vec<usize>,
    neighbours: impl Fn(usize) -> Vec<usize>,
) {
    if std::mem::replace(&mut seen[root], true) {
        return;
    }
    let mut path = vec![(root, neighbours(root))];
    while let Some((at, ways)) = path.last_mut() {
        let Some(to) = ways.pop() else {
            left.push(*at);
            path.pop();
            continue;
        };
        if !std::mem::replace(&mut seen[to], true) {
            path.push((to, neighbours(to)));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_loop_is_found() {
        let links = [Link::then(0, 1), Link::then(1, 2), Link::then(2, 1)];
        assert_eq!(order(&ends(3, &links), &links), Err(1));
    }

    #[test]
    fn what_lies_between_the_ends_of_a_longest_wait_is_placed_with_them() {
        // 0 → 1 → 2 with at most 9 from 0 to 2: 1 lies between. 3 comes after.
        let mut links = vec![Link::then(0, 1), Link::then(1, 2), Link::then(2, 3)];
        links.push(Link::then(0, 2).at_most(9));
        let ends = ends(4, &links);
        let part = parts(&ends, &links);
        assert!(part[0] == part[1] && part[1] == part[2] && part[2] < part[3]);
        assert_eq!(order(&ends, &links), Ok(vec![0, 1, 2, 3]));
    }
}
