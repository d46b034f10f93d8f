//! Stretches of time as sorted, disjoint lists of whole seconds.

/// Seconds in a day of the clock.
pub(super) const DAY: i64 = 86_400;

/// From one second to another, the second not included.
pub(super) type Stretch = (i64, i64);

/// A list of them.
pub(super) type Stretches = Vec<Stretch>;

/// Any list as a sorted one without overlaps; stretches that touch become one.
pub(super) fn joined(list: Stretches) -> Stretches {
    join(list, |start, end| start <= end)
}

/// The same, but stretches that only touch stay two.
pub(super) fn joined_where_overlapping(list: Stretches) -> Stretches {
    join(list, |start, end| start < end)
}

fn join(mut list: Stretches, meets: impl Fn(i64, i64) -> bool) -> Stretches {
    list.retain(|(start, end)| start < end);
    if !list.is_sorted() {
        list.sort_unstable();
    }
    list.dedup_by(|next, last| {
        let one = meets(next.0, last.1);
        if one {
            last.1 = last.1.max(next.1);
        }
        one
    });
    list
}

/// What is in `from` but not in `cut`; both sorted and disjoint.
pub(super) fn less(from: &[Stretch], cut: &[Stretch]) -> Stretches {
    let mut left = Vec::with_capacity(from.len() + cut.len());
    let mut first = 0;
    for &(start, end) in from {
        let mut at = start;
        first += cut[first..].partition_point(|c| c.1 <= start);
        for &(cut_start, cut_end) in cut[first..].iter().take_while(|c| c.0 < end) {
            if at < cut_start {
                left.push((at, cut_start));
            }
            at = at.max(cut_end);
        }
        if at < end {
            left.push((at, end));
        }
    }
    left
}

/// Whether two stretches have time in common.
pub(super) fn overlap(a: Stretch, b: Stretch) -> bool {
    a.0 < b.1 && b.0 < a.1
}

/// Time in a disjoint list.
pub(super) fn length(list: &[Stretch]) -> i64 {
    list.iter().map(|(start, end)| end - start).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn join_and_cut() {
        let list = vec![(5, 8), (0, 3), (3, 4), (7, 9), (2, 2)];
        assert_eq!(joined(list.clone()), [(0, 4), (5, 9)]);
        assert_eq!(joined_where_overlapping(list), [(0, 3), (3, 4), (5, 9)]);
        assert_eq!(
            less(&[(0, 10), (20, 30)], &[(3, 5), (8, 22), (29, 40)]),
            [(0, 3), (5, 8), (22, 29)]
        );
        assert_eq!(less(&[(0, 10)], &[]), [(0, 10)]);
        assert_eq!(less(&[(0, 10)], &[(0, 10)]), []);
    }
}
