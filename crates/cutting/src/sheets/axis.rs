//! Where cuts can be without loss: sums of part sizes, thinned where the sheet allows.
//!
//! Normal patterns (Herz 1972; Christofides and Whitlock 1977): any layout can be pushed together until each
//! cut lies at a sum of sizes of parts. Raster points (Terno, Lindemann and Scheithauer 1987): of the sums p only
//! ⟨S - ⟨S - p⟩⟩ are needed, ⟨z⟩ the largest sum not above z. Sums of sizes with no limit on copies are closed
//! under addition, which the second argument needs; with limits we take the sums with limits or the
//! raster points without, whichever are fewer.

/// Sums of sizes, each at most so many times, up to a span.
fn sums(span: u32, sizes: &[(u32, u32)]) -> Vec<u32> {
    let mut reached = vec![false; span as usize + 1];
    reached[0] = true;
    let mut merged = sizes.to_vec();
    merged.sort_unstable();
    merged.dedup_by(|next, first| {
        let same = next.0 == first.0;
        if same {
            first.1 = first.1.saturating_add(next.1);
        }
        same
    });
    for (size, copies) in merged {
        let mut used = vec![0_u32; span as usize + 1];
        for at in size as usize..=span as usize {
            let from = at - size as usize;
            if !reached[at] && reached[from] && used[from] < copies {
                reached[at] = true;
                used[at] = used[from] + 1;
            }
        }
    }
    (0..=span).filter(|&at| reached[at as usize]).collect()
}

/// Points on one axis, ascending, the first of them 0, and for each length the last point not above it.
#[derive(Clone, Debug)]
pub(super) struct Points {
    pub(super) at: Vec<u32>,
    below: Vec<u32>,
}

impl Points {
    fn new(span: u32, at: Vec<u32>) -> Self {
        let mut below = Vec::with_capacity(span as usize + 1);
        let mut index = 0;
        for length in 0..=span {
            if at.get(index + 1).is_some_and(|&next| next <= length) {
                index += 1;
            }
            below.push(index as u32);
        }
        Self { at, below }
    }

    /// The points worth cutting at for parts of these sizes and numbers of copies.
    /// `exact`: parts must fill what they are cut from, so no point may be moved.
    pub(super) fn for_sizes(span: u32, sizes: &[(u32, u32)], exact: bool) -> Self {
        let limited = Self::new(span, sums(span, sizes));
        if exact {
            return limited;
        }
        let any: Vec<(u32, u32)> = sizes.iter().map(|&(size, _)| (size, u32::MAX)).collect();
        let raster = Self::new(span, sums(span, &any)).thinned(span);
        if raster.len() < limited.len() {
            raster
        } else {
            limited
        }
    }

    /// Raster points.
    fn thinned(&self, span: u32) -> Self {
        let last = |length: u32| self.at[self.below(length)];
        let mut kept: Vec<u32> = (self.at.iter())
            .map(|&point| last(span - last(span - point)))
            .collect();
        kept.push(0);
        kept.sort_unstable();
        kept.dedup();
        Self::new(span, kept)
    }

    /// At most about so many points: sums of the first of these sizes only, as many of them as go, and the
    /// sizes themselves (after Beasley 1985, section 4).
    pub(super) fn coarse(span: u32, wanted: &[u32], most: usize) -> Self {
        let of = |count: usize| -> Vec<u32> {
            let first: Vec<(u32, u32)> = wanted[..count]
                .iter()
                .map(|&size| (size, u32::MAX))
                .collect();
            let mut points = Self::new(span, sums(span, &first)).thinned(span).at;
            points.extend(wanted);
            points.sort_unstable();
            points.dedup();
            points
        };
        let (mut low, mut high) = (0, wanted.len());
        while low < high {
            let middle = (low + high).div_ceil(2);
            if of(middle).len() > most {
                high = middle - 1;
            } else {
                low = middle;
            }
        }
        Self::new(span, of(low))
    }

    pub(super) fn last(&self) -> u32 {
        self.at[self.at.len() - 1]
    }

    pub(super) fn len(&self) -> usize {
        self.at.len()
    }

    /// Index of the last point not above a length within the span.
    pub(super) fn below(&self, length: u32) -> usize {
        self.below[length as usize] as usize
    }

    /// Index of the first point not below a length, if there is one.
    pub(super) fn above(&self, length: u32) -> Option<usize> {
        let index = *self.below.get(length as usize)? as usize;
        let found = if self.at[index] == length {
            index
        } else {
            index + 1
        };
        (found < self.len()).then_some(found)
    }

    /// Last point not above what is left of one point once another is taken off.
    pub(super) fn rest(&self, whole: usize, taken: usize) -> usize {
        self.below(self.at[whole] - self.at[taken])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Sizes 3 (twice) and 5 (once) in 10: 0, 3, 5, 6, 8.
    #[test]
    fn sums_respect_copies() {
        assert_eq!(sums(10, &[(3, 2), (5, 1)]), [0, 3, 5, 6, 8]);
    }

    /// Sizes 3 and 5 in 10: sums 0 3 5 6 8 9 10; ⟨10 - ⟨10 - p⟩⟩ for each p: 0, 3 (from 10 - 6), 5, 5?
    /// p = 6: ⟨10 - 6⟩ = 3, ⟨7⟩ = 6. p = 8: ⟨2⟩ = 0 → 10. So 0, 3→⟨7⟩=6→⟨4⟩=3, 5, 6, 10.
    #[test]
    fn raster_points_of_three_and_five() {
        let points = Points::for_sizes(10, &[(3, 9), (5, 9)], false);
        assert_eq!(points.at, [0, 3, 5, 6, 10]);
        assert_eq!(
            (points.below(9), points.above(7), points.above(4)),
            (3, Some(4), Some(2))
        );
    }
}
