//! Sets of small numbers as words of 64 bits.

/// Words needed for `count` members.
pub(super) fn words_for(count: usize) -> usize {
    count.div_ceil(64)
}

pub(super) fn has(set: &[u64], member: usize) -> bool {
    set[member / 64] >> (member % 64) & 1 == 1
}

pub(super) fn insert(set: &mut [u64], member: usize) {
    set[member / 64] |= 1 << (member % 64);
}

pub(super) fn unite(set: &mut [u64], other: &[u64]) {
    for (word, more) in set.iter_mut().zip(other) {
        *word |= more;
    }
}

pub(super) fn is_subset(inner: &[u64], outer: &[u64]) -> bool {
    inner.iter().zip(outer).all(|(i, o)| i & !o == 0)
}

pub(super) fn members(set: &[u64]) -> impl Iterator<Item = usize> + '_ {
    set.iter().enumerate().flat_map(|(place, &word)| {
        let mut rest = word;
        std::iter::from_fn(move || {
            let bit = rest.trailing_zeros();
            (rest != 0).then(|| {
                rest &= rest - 1;
                place * 64 + bit as usize
            })
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn members_come_back_in_order_across_words() {
        let mut set = vec![0; words_for(130)];
        for member in [129, 0, 63, 64] {
            insert(&mut set, member);
        }
        assert_eq!(set.len(), 3);
        assert_eq!(members(&set).collect::<Vec<_>>(), [0, 63, 64, 129]);
        assert!(has(&set, 64) && !has(&set, 65));
    }
}
