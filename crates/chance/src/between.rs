//! Spread within groups and between them: one-way random effects by analysis of variance.

use serde::Serialize;

/// Mean and the two parts of the spread of values in groups (lots, batches, days).
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Between {
    /// Mean over all values.
    pub mean: f64,
    /// Standard deviation inside a group.
    pub within_sd: f64,
    /// Standard deviation of the groups' own means; 0 when groups differ no more than their values would
    /// make them.
    pub between_sd: f64,
}

/// Splits the spread of values in groups. Groups of any size; none if there is no value.
///
/// With mean squares MSB between and MSW within, τ² = (MSB − MSW)/n₀, not below zero, where
/// n₀ = (N − Σnᵢ²/N)/(k − 1) (Searle, Casella and McCulloch, Variance Components, 1992, section 3.6; from
/// memory). With one group the spread between groups is not known and comes out as 0.
pub fn between(groups: &[Vec<f64>]) -> Option<Between> {
    let groups: Vec<&Vec<f64>> = groups.iter().filter(|group| !group.is_empty()).collect();
    let count: f64 = groups.iter().map(|group| group.len() as f64).sum();
    if groups.is_empty() {
        return None;
    }
    let mean_of = |group: &[f64]| group.iter().sum::<f64>() / group.len() as f64;
    let mean = groups.iter().flat_map(|group| group.iter()).sum::<f64>() / count;
    let square = |x: f64| x * x;
    let within: f64 = groups
        .iter()
        .map(|group| {
            let own = mean_of(group);
            group.iter().map(|&x| square(x - own)).sum::<f64>()
        })
        .sum();
    let across: f64 = groups
        .iter()
        .map(|group| group.len() as f64 * square(mean_of(group) - mean))
        .sum();
    let k = groups.len() as f64;
    let within_square = if count > k { within / (count - k) } else { 0.0 };
    let between_square = if groups.len() > 1 {
        let sizes: f64 = groups.iter().map(|group| square(group.len() as f64)).sum();
        let usual = (count - sizes / count) / (k - 1.0);
        ((across / (k - 1.0) - within_square) / usual).max(0.0)
    } else {
        0.0
    };
    Some(Between {
        mean,
        within_sd: within_square.sqrt(),
        between_sd: between_square.sqrt(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dyestuff_as_published() {
        // Davies and Goldsmith, Statistical Methods in Research and Production, 4th ed. 1972, table 6.1: yield of
        // dyestuff from six batches of an intermediate. Balanced, so that analysis of variance and REML agree:
        // mean 1527.5, between batches 42.00, within 49.51 (as in the documentation of R's lme4; from memory).
        let groups: Vec<Vec<f64>> = [
            [1545., 1440., 1440., 1520., 1580.],
            [1540., 1555., 1490., 1560., 1495.],
            [1595., 1550., 1605., 1510., 1560.],
            [1445., 1440., 1595., 1465., 1545.],
            [1595., 1630., 1515., 1635., 1625.],
            [1520., 1455., 1450., 1480., 1445.],
        ]
        .iter()
        .map(|group| group.to_vec())
        .collect();
        let found = between(&groups).unwrap();
        assert!((found.mean - 1527.5).abs() < 1e-9);
        assert!((found.between_sd - 42.00).abs() < 0.005, "{found:?}");
        assert!((found.within_sd - 49.51).abs() < 0.005, "{found:?}");
    }

    #[test]
    fn groups_of_unlike_size_by_hand() {
        // Groups {1, 3} and {6}: mean 10/3. Within: 2 on 3 − 2 = 1 degree, 2. Across:
        // 2·(2 − 10/3)² + (6 − 10/3)² = 32/9 + 64/9 = 32/3 on 1 degree. n₀ = 3 − 5/3 = 4/3.
        // τ² = (32/3 − 2)/(4/3) = 6.5.
        let found = between(&[vec![1.0, 3.0], vec![6.0], vec![]]).unwrap();
        assert!((found.within_sd - 2_f64.sqrt()).abs() < 1e-12);
        assert!((found.between_sd - 6.5_f64.sqrt()).abs() < 1e-12);
    }

    #[test]
    fn groups_that_differ_less_than_chance_do_not_differ() {
        let found = between(&[vec![0.0, 10.0], vec![1.0, 9.0]]).unwrap();
        assert_eq!(found.between_sd, 0.0);
        assert!(between(&[]).is_none() && between(&[vec![]]).is_none());
    }
}
