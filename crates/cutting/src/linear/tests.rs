//! Small programmes with known answers, and random ones held against the checker.

use effort::Effort;
use proptest::prelude::*;

use super::*;

fn solved(programme: &mut Programme) -> Outcome {
    programme.solve(&mut Effort::steps(100_000).meter())
}

fn assert_value(programme: &mut Programme, value: f64) {
    assert_eq!(solved(programme), Outcome::Optimal);
    assert_eq!(check(programme, 1e-7), Ok(()));
    assert!(
        (programme.value() - value).abs() < 1e-8,
        "{} against {value}",
        programme.value()
    );
}

/// Maximise 3x + 5y with x <= 4, 2y <= 12, 3x + 2y <= 18: 36 at (2, 6), duals 0, 3/2, 1
/// (the Wyndor example of Hillier and Lieberman, ch. 3; from memory; by hand: 3·2 + 5·6 = 36 = 12·3/2 + 18).
#[test]
fn two_products_in_three_plants() {
    use Sense::AtMost;
    let mut programme = Programme::new(&[(AtMost, 4.0), (AtMost, 12.0), (AtMost, 18.0)]);
    programme.add_column(-3.0, &[(0, 1.0), (2, 3.0)]);
    programme.add_column(-5.0, &[(1, 2.0), (2, 2.0)]);
    assert_value(&mut programme, -36.0);
    let duals = programme.duals();
    assert!((duals[1] + 1.5).abs() < 1e-9 && (duals[2] + 1.0).abs() < 1e-9);
}

/// Beale's example on which the largest-coefficient rule cycles: optimum -1/20 (Beale 1955; data as in
/// Chvátal 1983 ch. 3 style lists, from memory; by hand x1 = 1/25, x3 = 1 gives -3/4·1/25 - 1/50 = -1/20).
#[test]
fn beales_cycle_ends() {
    use Sense::AtMost;
    let mut programme = Programme::new(&[(AtMost, 0.0), (AtMost, 0.0), (AtMost, 1.0)]);
    programme.add_column(-0.75, &[(0, 0.25), (1, 0.5)]);
    programme.add_column(150.0, &[(0, -60.0), (1, -90.0)]);
    programme.add_column(-0.02, &[(0, -0.04), (1, -0.02), (2, 1.0)]);
    programme.add_column(6.0, &[(0, 9.0), (1, 3.0)]);
    assert_value(&mut programme, -0.05);
}

/// CHECKS.md CS-01 (Gilmore and Gomory / Chvátal 1983 ch. 13): stock 100, LP value 452.25. All maximal
/// patterns are columns: 45, 36, 31, 14.
#[test]
fn chvatals_rolls_all_patterns_at_once() {
    let lengths = [45_u64, 36, 31, 14];
    let needs = [97.0, 610.0, 395.0, 211.0].map(|need| (Sense::AtLeast, need));
    let mut programme = Programme::new(&needs);
    for a in 0..=2_u64 {
        for b in 0..=2_u64 {
            for c in 0..=3_u64 {
                let used = 45 * a + 36 * b + 31 * c;
                if used <= 100 {
                    let counts = [a, b, c, (100 - used) / lengths[3]];
                    let entries: Vec<(usize, f64)> = counts
                        .iter()
                        .map(|&n| n as f64)
                        .enumerate()
                        .filter(|&(_, n)| n > 0.0)
                        .collect();
                    programme.add_column(1.0, &entries);
                }
            }
        }
    }
    assert_value(&mut programme, 452.25);
}

#[test]
fn rows_that_contradict_each_other_are_infeasible() {
    let mut programme = Programme::new(&[(Sense::AtLeast, 3.0), (Sense::AtMost, 2.0)]);
    programme.add_column(1.0, &[(0, 1.0), (1, 1.0)]);
    assert_eq!(solved(&mut programme), Outcome::Infeasible);
}

#[test]
fn a_cost_without_a_floor_is_unbounded() {
    let mut programme = Programme::new(&[(Sense::AtLeast, 3.0)]);
    programme.add_column(-1.0, &[(0, 1.0)]);
    assert_eq!(solved(&mut programme), Outcome::Unbounded);
}

/// x + y = 5, x <= 2 by its bound, cost x + 3y: x = 2, y = 3, cost 11; then a row y <= 2 makes it infeasible,
/// and dropping the row makes it 11 again.
#[test]
fn rows_come_and_go() {
    let mut programme = Programme::new(&[(Sense::Equal, 5.0)]);
    let x = programme.add_column(1.0, &[(0, 1.0)]);
    let y = programme.add_column(3.0, &[(0, 1.0)]);
    programme.set_bounds(x, 0.0, 2.0);
    assert_value(&mut programme, 11.0);
    programme.add_row(Sense::AtMost, 2.0, &[(y, 1.0)]);
    assert_eq!(solved(&mut programme), Outcome::Infeasible);
    programme.drop_rows(1);
    assert_value(&mut programme, 11.0);
}

/// A random programme that has an answer: rows are made from a point that meets them, costs are positive.
#[derive(Clone, Debug)]
struct Random {
    rows: Vec<(Sense, i32)>,
    columns: Vec<(i32, Vec<i32>, i32)>,
}

fn random() -> impl Strategy<Value = Random> {
    (1_usize..7, 1_usize..9).prop_flat_map(|(m, n)| {
        let sense = prop_oneof![
            Just(Sense::AtLeast),
            Just(Sense::Equal),
            Just(Sense::AtMost)
        ];
        let rows = prop::collection::vec((sense, 0..4), m);
        let column = (0..20, prop::collection::vec(-3..4, m), 0..5);
        (rows, prop::collection::vec(column, n))
            .prop_map(|(rows, columns)| Random { rows, columns })
    })
}

fn build(random: &Random) -> Programme {
    let rows: Vec<(Sense, f64)> = random
        .rows
        .iter()
        .enumerate()
        .map(|(row, &(sense, slack))| {
            let sum: i32 = random.columns.iter().map(|c| c.1[row] * c.2).sum();
            let right = match sense {
                Sense::AtLeast => sum - slack,
                Sense::Equal => sum,
                Sense::AtMost => sum + slack,
            };
            (sense, f64::from(right))
        })
        .collect();
    let mut programme = Programme::new(&rows);
    for (cost, coefficients, _) in &random.columns {
        let entries: Vec<(usize, f64)> = coefficients
            .iter()
            .enumerate()
            .filter(|&(_, &a)| a != 0)
            .map(|(row, &a)| (row, f64::from(a)))
            .collect();
        programme.add_column(f64::from(*cost), &entries);
    }
    programme
}

proptest! {
    #[test]
    fn what_has_an_answer_is_solved_and_proved(random in random()) {
        let mut programme = build(&random);
        prop_assert_eq!(solved(&mut programme), Outcome::Optimal);
        prop_assert_eq!(check(&programme, 1e-6), Ok(()));
    }

    /// A warm start after moved bounds, rows and columns ends where a cold start ends.
    #[test]
    fn warm_is_as_good_as_cold(random in random(), cap in 0..5_i32, extra in random()) {
        let mut warm = build(&random);
        solved(&mut warm);
        let row: Vec<(usize, f64)> = (0..warm.columns()).map(|c| (c, 1.0)).collect();
        let change = |programme: &mut Programme| {
            programme.set_bounds(0, 0.0, f64::from(cap));
            programme.add_row(Sense::AtMost, f64::from(cap) + 9.0, &row);
            let entries: Vec<(usize, f64)> = (0..random.rows.len().min(extra.rows.len()))
                .map(|r| (r, f64::from(extra.rows[r].1) - 1.0)).collect();
            programme.add_column(1.5, &entries);
            programme.set_right(0, random.rows[0].1.into());
        };
        change(&mut warm);
        let mut cold = build(&random);
        change(&mut cold);
        let outcome = solved(&mut warm);
        prop_assert_eq!(outcome, solved(&mut cold));
        if outcome == Outcome::Optimal {
            prop_assert_eq!(check(&warm, 1e-6), Ok(()));
            prop_assert!((warm.value() - cold.value()).abs() < 1e-6 * (1.0 + cold.value().abs()));
        }
        warm.drop_rows(random.rows.len());
        warm.set_bounds(0, 0.0, f64::INFINITY);
        cold.drop_rows(random.rows.len());
        cold.set_bounds(0, 0.0, f64::INFINITY);
        prop_assert_eq!(solved(&mut warm), solved(&mut cold));
    }
}
