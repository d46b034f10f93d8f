//! The rows of the check values, and properties.

use super::*;
use proptest::prelude::*;

fn near(a: f64, b: f64, tolerance: f64) {
    assert!(
        (a - b).abs() <= tolerance * b.abs().max(1.0),
        "{a} is not {b}"
    );
}

fn station(servers: u32, rate: f64, ca2: f64, mean_s: f64, ce2: f64) -> Station {
    let process = Spread { mean_s, scv: ce2 };
    Station {
        servers,
        arrivals_per_s: rate,
        arrival_scv: ca2,
        process,
    }
}

/// CHECKS Q-01, Q-02 (computed): M/M/1 λ .8 → L 4, Lq 3.2, W 5, Wq 4; λ .9, .95 → Wq 9, 19.
/// Kingman's equation is exact there.
#[test]
fn one_server_random() {
    for wait in [
        erlang_wait(1, 0.8, 1.0),
        vut(&station(1, 0.8, 1.0, 1.0, 1.0)),
        pollaczek_khinchine(
            0.8,
            Spread {
                mean_s: 1.0,
                scv: 1.0,
            },
        ),
    ] {
        let wait = wait.expect("u is .8");
        near(wait.present, 4.0, 1e-12);
        near(wait.waiting, 3.2, 1e-12);
        near(wait.cycle_s, 5.0, 1e-12);
        near(wait.wait_s, 4.0, 1e-12);
        near(1.0 - wait.utilisation, 0.2, 1e-12);
        assert!(wait.cautions.is_empty());
    }
    near(erlang_wait(1, 0.9, 1.0).expect("u < 1").wait_s, 9.0, 1e-12);
    near(
        erlang_wait(1, 0.95, 1.0).expect("u < 1").wait_s,
        19.0,
        1e-12,
    );
}

/// CHECKS Q-03 (computed): Erlang B.
#[test]
fn erlang_b_values() {
    for (servers, offered, expected) in [
        (10, 8.0, 0.121_661_064_3),
        (2, 1.0, 0.2),
        (5, 4.0, 0.199_066_874_0),
    ] {
        near(erlang_b(servers, offered).expect("sound"), expected, 1e-9);
    }
}

/// CHECKS Q-04 (computed): Erlang C.
#[test]
fn erlang_c_values() {
    for (servers, offered, expected) in [
        (2, 1.0, 0.333_333_333_3),
        (2, 1.6, 0.711_111_111_1),
        (3, 2.0, 0.444_444_444_4),
        (5, 4.0, 0.554_112_554_1),
        (10, 8.0, 0.409_180_150_8),
        (20, 18.0, 0.550_769_004_8),
    ] {
        near(erlang_c(servers, offered).expect("sound"), expected, 1e-9);
    }
}

/// CHECKS Q-05 (computed): M/M/c waits with μ = 1.
#[test]
fn several_servers_random() {
    for (servers, rate, expected) in [
        (2, 1.6, 1.777_777_778),
        (4, 3.2, 0.745_540_589_7),
        (10, 9.0, 0.668_731_524_1),
    ] {
        near(
            erlang_wait(servers, rate, 1.0).expect("u < 1").wait_s,
            expected,
            1e-9,
        );
    }
}

/// CHECKS Q-06 (computed): M/G/1, ρ .8, scv 0 … 4.
#[test]
fn one_server_general() {
    for (scv, expected) in [(0.0, 2.0), (0.25, 2.5), (0.5, 3.0), (1.0, 4.0), (4.0, 10.0)] {
        let wait = pollaczek_khinchine(0.8, Spread { mean_s: 1.0, scv }).expect("u is .8");
        near(wait.wait_s, expected, 1e-12);
    }
}

/// CHECKS Q-15, Q-16 (computed; Hopp and Spearman, chapter 8 example, from memory): 15 min,
/// c0² .05; stops of 4.1333 h every 12.4 h against stops of 38 min every 114 min.
#[test]
fn rare_long_stops_against_frequent_short_ones() {
    let natural = Spread {
        mean_s: 15.0 * 60.0,
        scv: 0.05,
    };
    let with = |run_min: f64, repair_min: f64| {
        let repair = Spread {
            mean_s: repair_min * 60.0,
            scv: 1.0,
        };
        with_outages(
            natural,
            Outages {
                mean_run_s: run_min * 60.0,
                repair,
            },
        )
        .expect("sound")
    };
    let rare = with(12.4 * 60.0, 248.0);
    near(rare.availability, 0.75, 1e-6);
    near(rare.process.mean_s, 20.0 * 60.0, 1e-6);
    near(rare.process.scv, 6.25, 1e-6);
    let frequent = with(114.0, 38.0);
    near(frequent.availability, 0.75, 1e-9);
    near(frequent.process.mean_s, 1200.0, 1e-9);
    near(frequent.process.scv, 1.0, 1e-9);
}

/// CHECKS Q-17 (computed; same example): 2.875 jobs/h, te 20 min → 460 and 1,667.5 min.
#[test]
fn vut_of_the_two_machines() {
    for (ce2, minutes) in [(1.0, 460.0), (6.25, 1667.5)] {
        let wait = vut(&station(1, 2.875 / 3600.0, 1.0, 1200.0, ce2)).expect("u < 1");
        near(wait.utilisation, 0.958_333_3, 1e-7);
        near(wait.wait_s / 60.0, minutes, 1e-4);
        assert!(wait.cautions.contains(&Caution::NearCapacity));
        assert_eq!(wait.cautions.contains(&Caution::RareLongTimes), ce2 > 4.0);
    }
}

/// CHECKS Q-18 (computed): Sakasegawa, u .9 m 2 and u .8 m 5.
#[test]
fn sakasegawa_values() {
    let two = vut(&station(2, 1.8, 1.0, 1.0, 1.0)).expect("u is .9");
    near(two.wait_s, 4.291_854_508, 1e-8);
    assert_eq!(two.formula, Formula::Sakasegawa);
    let five = vut(&station(5, 4.0, 1.0, 1.0, 1.0)).expect("u is .8");
    near(five.wait_s, 0.577_037_291_1, 1e-8);
    // The approximation errs by 1 to 4 % of the exact wait.
    let exact = erlang_wait(5, 4.0, 1.0).expect("u is .8").wait_s;
    assert!(five.wait_s / exact > 1.01 && five.wait_s / exact < 1.05);
}

/// CHECKS Q-19 (computed): linking with u .9583333, ca² 1, ce² 6.25.
#[test]
fn linking_value() {
    near(
        departure_scv(23.0 / 24.0, 1.0, 6.25, 1),
        5.821_614_583,
        1e-9,
    );
}

/// CHECKS Q-20 (computed): t0 1, c0² .0625, set-up 2 every 10, cs² .0625.
#[test]
fn set_ups_value() {
    let natural = Spread {
        mean_s: 1.0,
        scv: 0.0625,
    };
    let set_up = Spread {
        mean_s: 2.0,
        scv: 0.0625,
    };
    let with = with_set_ups(
        natural,
        SetUps {
            jobs_between: 10.0,
            set_up,
        },
    )
    .expect("sound");
    near(with.process.mean_s, 1.2, 1e-9);
    near(with.process.scv * 1.44, 0.4475, 1e-9);
    near(with.process.scv, 0.310_763_888_9, 1e-9);
}

/// CHECKS Q-44 (computed): ten at four a unit of time → 1.125.
#[test]
fn waits_of_batches() {
    assert_eq!(wait_to_batch_s(10.0, 4.0), Ok(1.125));
    // Ten of 6 s: 54 s for the others if they leave together, half if one by one.
    near(wait_in_batch_s(10.0, 6.0, true), 54.0, 1e-12);
    near(wait_in_batch_s(10.0, 6.0, false), 27.0, 1e-12);
}

/// An oven of 90 in 22 min, 3.6 pieces a minute: a batch each 25 min, u .88. Forming
/// 89/7.2 = 12.36 min; ca² 1/90; wait .5/90 × .88/.12 × 22 = .8963 min.
#[test]
fn an_oven() {
    let process = Spread {
        mean_s: 22.0 * 60.0,
        scv: 0.0,
    };
    let oven = BatchStation {
        servers: 1,
        arrivals_per_s: 3.6 / 60.0,
        arrival_scv: 1.0,
        pieces: 90.0,
        process,
    };
    let wait = batch_vut(&oven).expect("u is .88");
    near(wait.forming_s / 60.0, 89.0 / 7.2, 1e-12);
    near(wait.batches.utilisation, 0.88, 1e-12);
    near(
        wait.batches.wait_s / 60.0,
        0.5 / 90.0 * 0.88 / 0.12 * 22.0,
        1e-12,
    );
}

/// TRADE.md section 0 (derived): ca² 1, cs² .5 → 1.75, 3, 4.25, 6.75, 14.25 service times.
#[test]
fn the_table_of_the_trade() {
    for (u, expected) in [
        (0.7, 1.75),
        (0.8, 3.0),
        (0.85, 4.25),
        (0.9, 6.75),
        (0.95, 14.25),
    ] {
        near(
            vut(&station(1, u, 1.0, 1.0, 0.5)).expect("u < 1").wait_s,
            expected,
            1e-9,
        );
    }
}

#[test]
fn overload_and_nonsense_are_refused() {
    assert_eq!(
        vut(&station(2, 2.0, 1.0, 1.0, 1.0)),
        Err(QueueError::Overloaded { utilisation: 1.0 })
    );
    assert!(erlang_wait(3, 3.5, 1.0).is_err());
    for bad in [
        station(0, 0.5, 1.0, 1.0, 1.0),
        station(1, -0.5, 1.0, 1.0, 1.0),
        station(1, 0.5, f64::NAN, 1.0, 1.0),
        station(1, 0.5, 1.0, 0.0, 1.0),
        station(1, 0.5, 1.0, 1.0, f64::INFINITY),
    ] {
        assert!(
            matches!(vut(&bad), Err(QueueError::BadNumber { .. })),
            "{bad:?}"
        );
    }
    assert_eq!(takt_s(100.0, 0.0), None);
    assert_eq!(takt_s(27_000.0, 450.0), Some(60.0));
}

#[test]
fn cautions_name_their_reason() {
    let of = |s: Station| vut(&s).expect("u < 1").cautions;
    assert_eq!(
        of(station(1, 0.3, 0.2, 1.0, 1.0)),
        vec![Caution::RegularAndLight]
    );
    assert_eq!(
        of(station(1, 0.8, 5.0, 1.0, 1.0)),
        vec![Caution::ClumpedArrivals]
    );
    assert_eq!(
        of(station(3, 2.4, 1.0, 1.0, 0.1)),
        vec![Caution::SeveralServersNotExponential]
    );
    assert_eq!(
        of(station(30, 24.0, 1.0, 1.0, 1.0)),
        vec![Caution::ManyServers]
    );
}

proptest! {
    /// More load, more variability or fewer servers for the same work never wait less.
    #[test]
    fn waits_are_monotone(
        u in 0.01..0.98f64, more in 1.0..1.02f64, ca2 in 0.0..4.0f64, ce2 in 0.0..4.0f64,
        servers in 1..12u32,
    ) {
        let m = f64::from(servers);
        let base = vut(&station(servers, u * m, ca2, 1.0, ce2)).expect("u < 1").wait_s;
        let busier = vut(&station(servers, u * m * more, ca2, 1.0, ce2)).expect("u < 1");
        prop_assert!(busier.wait_s >= base);
        let wilder = vut(&station(servers, u * m, ca2 + 0.1, 1.0, ce2)).expect("u < 1");
        prop_assert!(wilder.wait_s >= base);
        let lone = vut(&station(servers + 1, u * (m + 1.0), ca2, 1.0, ce2)).expect("u < 1");
        prop_assert!(lone.wait_s <= base * (1.0 + 1e-12));
    }

    /// Erlang B by its defining sum, `(a^c/c!) / Σ a^k/k!`.
    #[test]
    fn the_recursion_is_the_sum(servers in 1..30u32, offered in 0.01..30.0f64) {
        let (mut term, mut sum) = (1.0, 1.0);
        for k in 1..=servers {
            term *= offered / f64::from(k);
            sum += term;
        }
        let ours = erlang_b(servers, offered).expect("sound");
        prop_assert!((ours - term / sum).abs() < 1e-12);
    }
}
