//! How long holding measured numbers takes: fits of readings, yields over lots, and a book of them.

use chance::fit::{best, fit, ranked};
use chance::{Distribution, Family, Stream, lot_yield};

fn main() {
    divan::main();
}

/// Readings of a time: gamma of mean 10 and a coefficient of variation of 0.3.
fn readings(count: usize) -> Vec<f64> {
    let mut stream = Stream::new(7, "readings");
    let times = Distribution::Gamma {
        shape: 11.0,
        scale: 10.0 / 11.0,
    };
    (0..count).map(|_| times.sample(&mut stream)).collect()
}

/// Lots of about 500 pieces whose yield differs with an sd of 3 points, or not at all.
fn lots(count: u64, differ: bool) -> Vec<(u64, u64)> {
    let mut stream = Stream::new(11, "lots");
    let yields = Distribution::beta_from_mean_sd(0.93, 0.03).expect("a Beta of this sd exists");
    (0..count)
        .map(|index| {
            let made = 480 + 7 * (index % 6);
            let share = if differ {
                yields.sample(&mut stream)
            } else {
                0.93
            };
            let good = (0..made).filter(|_| stream.uniform() < share).count();
            (made, good as u64)
        })
        .collect()
}

#[divan::bench(args = Family::ALL)]
fn one_family(bencher: divan::Bencher<'_, '_>, family: Family) {
    let values = readings(60);
    bencher.bench(|| fit(&values, family, 0.95));
}

#[divan::bench(args = [20, 60])]
fn every_family(bencher: divan::Bencher<'_, '_>, count: usize) {
    let values = readings(count);
    bencher.bench(|| ranked(&values, 0.95));
}

#[divan::bench(args = [true, false])]
fn lots_of_500(bencher: divan::Bencher<'_, '_>, differ: bool) {
    let rows = lots(20, differ);
    bencher.bench(|| lot_yield(&rows, 0.95));
}

/// Eight times of 20 to 60 readings and two yields of 20 lots.
#[divan::bench]
fn ten_groups(bencher: divan::Bencher<'_, '_>) {
    let times = [20, 25, 30, 35, 40, 45, 50, 60].map(readings);
    let yields = [lots(20, true), lots(20, false)];
    bencher.bench(|| {
        let fits = times.each_ref().map(|values| best(values, 0.95));
        (fits, yields.each_ref().map(|rows| lot_yield(rows, 0.95)))
    });
}
