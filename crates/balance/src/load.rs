//! The hours a station needs: run, loads, set-ups, tools, stops; how many stations that is.
//!
//! Plain arithmetic, each formula on its own and returning its parts, so that an explanation can
//! be built from them. Negative and non-finite input gives what arithmetic gives; the caller checks
//! numbers where it reads them. Counts that would overflow saturate.

use serde::Serialize;

/// A quotient within this share above a whole number is that number: 0.3/0.1 is three, not four.
const ALMOST_WHOLE: f64 = 1e-9;

/// The least whole number that is not below a quotient, forgiving rounding.
pub fn whole(quotient: f64) -> u64 {
    libm::ceil(quotient * (1.0 - ALMOST_WHOLE)).max(0.0) as u64
}

/// Time to run pieces one after another: `pieces × piece_s`.
pub fn run_of_pieces_s(pieces: f64, piece_s: f64) -> f64 {
    pieces * piece_s
}

/// Time to run an amount at a rate: `amount / rate`. None if the rate is not above zero.
pub fn run_at_rate_s(amount: f64, amount_per_s: f64) -> Option<f64> {
    (amount_per_s > 0.0).then(|| amount / amount_per_s)
}

/// How a station takes loads.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LoadPace {
    /// What one load holds; above zero.
    pub holds: f64,
    /// Time a load stays, seconds.
    pub dwell_s: f64,
    /// Time to change loads, seconds.
    pub turn_s: f64,
}

/// The time of a number of loads, by its parts.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Loads {
    /// Loads run; a partial load counts whole.
    pub loads: u64,
    /// Share of what the loads could hold that was filled; one if there are none.
    pub fill: f64,
    /// All dwells, seconds.
    pub dwell_s: f64,
    /// All turns, seconds.
    pub turn_s: f64,
    /// Both, seconds.
    pub run_s: f64,
}

/// Loads for lots that do not share a load: `Σ ⌈lot / holds⌉ × (dwell + turn)`. None if a load
/// holds nothing.
pub fn run_of_loads(lots: &[f64], pace: LoadPace) -> Option<Loads> {
    let total = lots.iter().sum();
    let count = |lot: &f64| whole(lot / pace.holds);
    (pace.holds > 0.0).then(|| timed_loads(lots.iter().map(count).sum(), total, pace))
}

/// Loads for lots that may share a load: `⌈Σ lot / holds⌉ × (dwell + turn)`. None if a load holds
/// nothing.
pub fn run_of_shared_loads(lots: &[f64], pace: LoadPace) -> Option<Loads> {
    let total: f64 = lots.iter().sum();
    (pace.holds > 0.0).then(|| timed_loads(whole(total / pace.holds), total, pace))
}

fn timed_loads(loads: u64, total: f64, pace: LoadPace) -> Loads {
    let count = loads as f64;
    let fill = if loads == 0 {
        1.0
    } else {
        total / (count * pace.holds)
    };
    let (dwell_s, turn_s) = (count * pace.dwell_s, count * pace.turn_s);
    Loads {
        loads,
        fill,
        dwell_s,
        turn_s,
        run_s: dwell_s + turn_s,
    }
}

/// A count of like events and the time they take: set-ups, changeovers, tool changes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Events {
    /// How many; a long-run mean may be a fraction.
    pub count: f64,
    /// Time of each, seconds.
    pub each_s: f64,
    /// All of them, seconds.
    pub total_s: f64,
}

impl Events {
    /// So many, of so long each.
    pub fn new(count: f64, each_s: f64) -> Self {
        Self {
            count,
            each_s,
            total_s: count * each_s,
        }
    }
}

/// Set-ups when an amount is made in batches of at most `batch`: `⌈amount / batch⌉`. None if the
/// batch is nothing.
pub fn set_ups(amount: f64, batch: f64, each_s: f64) -> Option<Events> {
    (batch > 0.0).then(|| Events::new(whole(amount / batch) as f64, each_s))
}

/// Mean tool changes over a run: `units / life`. None if the life is nothing. Over a long horizon
/// the fraction is right, because the next run goes on with the worn tool.
pub fn tool_changes(units: f64, life_units: f64, change_s: f64) -> Option<Events> {
    (life_units > 0.0).then(|| Events::new(units / life_units, change_s))
}

/// Share of time a station is not stopped: `run / (run + repair)`. None if both are nothing.
pub fn availability(mean_run_s: f64, mean_repair_s: f64) -> Option<f64> {
    let cycle = mean_run_s + mean_repair_s;
    (cycle > 0.0).then(|| mean_run_s / cycle)
}

/// What keeps a station taken up over a horizon.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Work {
    /// Running, seconds.
    pub run_s: f64,
    /// Set-ups and changeovers, seconds.
    pub set_up_s: f64,
    /// Tool changes, seconds.
    pub tool_s: f64,
    /// Share of time not stopped, 0 to 1. Stops strike while the station works or is set up.
    pub availability: f64,
}

/// The load of a station and how many like it that takes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct StationLoad {
    /// Running, set-ups and tool changes, seconds.
    pub busy_s: f64,
    /// Stops that come with so much work, seconds: `busy × (1 − A)/A`.
    pub stop_s: f64,
    /// Busy and stopped, seconds: `busy / A`.
    pub needed_s: f64,
    /// What the stations there are offer, seconds.
    pub offered_s: f64,
    /// `needed / offered`; infinite if nothing is offered and something is needed.
    pub utilisation: f64,
    /// Stations before rounding up, at the utilisation allowed.
    pub stations_exact: f64,
    /// Stations needed: `⌈needed / (open time of one × utilisation allowed)⌉`.
    pub stations: u64,
}

/// The load of `stations` like stations, each open for `open_s`, that should not be taken up beyond
/// `allowed` (TRADE.md section 0: `N = ⌈Σ work / (H · availability)⌉`). None if the availability or
/// the allowed utilisation is not above zero, or the time open is not.
pub fn station_load(work: &Work, stations: f64, open_s: f64, allowed: f64) -> Option<StationLoad> {
    if !(work.availability > 0.0 && open_s > 0.0 && allowed > 0.0) {
        return None;
    }
    let busy_s = work.run_s + work.set_up_s + work.tool_s;
    let needed_s = busy_s / work.availability;
    let offered_s = stations * open_s;
    let utilisation = if needed_s == 0.0 {
        0.0
    } else {
        needed_s / offered_s
    };
    let stations_exact = needed_s / (open_s * allowed);
    Some(StationLoad {
        busy_s,
        stop_s: needed_s - busy_s,
        needed_s,
        offered_s,
        utilisation,
        stations_exact,
        stations: whole(stations_exact),
    })
}

/// Overall equipment effectiveness by its three parts (names as in ISO 22400-2, from memory).
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Effectiveness {
    /// Run time over planned time.
    pub availability: f64,
    /// Ideal time of all pieces over run time.
    pub performance: f64,
    /// Good pieces over all.
    pub quality: f64,
    /// Their product, which is also ideal time of good pieces over planned time.
    pub overall: f64,
}

/// The effectiveness of a run. None if a denominator is not above zero.
pub fn effectiveness(
    planned_s: f64,
    run_s: f64,
    ideal_piece_s: f64,
    pieces: f64,
    good: f64,
) -> Option<Effectiveness> {
    if !(planned_s > 0.0 && run_s > 0.0 && pieces > 0.0) {
        return None;
    }
    let availability = run_s / planned_s;
    let performance = ideal_piece_s * pieces / run_s;
    let quality = good / pieces;
    let overall = availability * performance * quality;
    Some(Effectiveness {
        availability,
        performance,
        quality,
        overall,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn near(a: f64, b: f64) {
        assert!((a - b).abs() <= 1e-9 * b.abs().max(1.0), "{a} is not {b}");
    }

    const OVEN: LoadPace = LoadPace {
        holds: 90.0,
        dwell_s: 840.0,
        turn_s: 480.0,
    };

    /// Lots of 200 and 100 in loads of 90: 3 + 2 = 5 loads apart, ⌈300/90⌉ = 4 shared.
    #[test]
    fn partial_loads_count_whole() {
        let apart = run_of_loads(&[200.0, 100.0], OVEN).expect("holds 90");
        assert_eq!(apart.loads, 5);
        near(apart.run_s, 5.0 * 1320.0);
        near(apart.fill, 300.0 / 450.0);
        let shared = run_of_shared_loads(&[200.0, 100.0], OVEN).expect("holds 90");
        assert_eq!(shared.loads, 4);
        near(shared.dwell_s, 3360.0);
        near(shared.turn_s, 1920.0);
        assert_eq!(run_of_loads(&[], OVEN).expect("holds 90").fill, 1.0);
        assert_eq!(run_of_loads(&[1.0], LoadPace { holds: 0.0, ..OVEN }), None);
    }

    #[test]
    fn almost_whole_is_whole() {
        assert_eq!(whole(0.3 / 0.1), 3);
        assert_eq!(whole(3.0 + 1e-6), 4);
        assert_eq!(whole(0.0), 0);
        assert_eq!(whole(-1.0), 0);
        assert_eq!(whole(f64::NAN), 0);
    }

    /// 40 h of running, 3 h of set-ups, 1 h of tools = 44 h; at availability .88 that is 50 h, 6 of
    /// them stops. Two stations open 38 h: 50/76. At .85 allowed 50/32.3 = 1.548 → 2.
    #[test]
    fn a_station() {
        let hour = 3600.0;
        let work = Work {
            run_s: 40.0 * hour,
            set_up_s: 3.0 * hour,
            tool_s: hour,
            availability: 0.88,
        };
        let load = station_load(&work, 2.0, 38.0 * hour, 0.85).expect("open");
        near(load.needed_s / hour, 50.0);
        near(load.stop_s / hour, 6.0);
        near(load.utilisation, 50.0 / 76.0);
        near(load.stations_exact, 50.0 / 32.3);
        assert_eq!(load.stations, 2);
        assert_eq!(
            station_load(
                &Work {
                    availability: 0.0,
                    ..work
                },
                2.0,
                hour,
                1.0
            ),
            None
        );
        let closed = station_load(&work, 0.0, hour, 1.0).expect("open");
        assert_eq!(closed.utilisation, f64::INFINITY);
    }

    #[test]
    fn small_sums() {
        near(run_of_pieces_s(500.0, 9.0), 4500.0);
        near(run_at_rate_s(140.0, 14.0 / 60.0).expect("a rate"), 600.0);
        assert_eq!(run_at_rate_s(1.0, 0.0), None);
        // 1,050 in batches of 250: 5 set-ups of 20 min.
        near(
            set_ups(1050.0, 250.0, 1200.0).expect("a batch").total_s,
            6000.0,
        );
        // 30,000 holes, 12,000 a drill, 90 s to change: 2.5 changes.
        near(
            tool_changes(30_000.0, 12_000.0, 90.0)
                .expect("a life")
                .total_s,
            225.0,
        );
        near(availability(114.0, 38.0).expect("runs"), 0.75);
        assert_eq!(availability(0.0, 0.0), None);
    }

    /// CHECKS IN-08 (computed; data from memory): planned 420 min, run 373, ideal 1 s, 19,271 of
    /// which 18,848 good → A .888095, P .861081, Q .978050, OEE .747937 = good × ideal / planned.
    #[test]
    fn effectiveness_is_good_time_over_planned_time() {
        let of = effectiveness(420.0 * 60.0, 373.0 * 60.0, 1.0, 19_271.0, 18_848.0);
        let of = of.expect("a run");
        for (ours, expected) in [
            (of.availability, 0.888_095),
            (of.performance, 0.861_081),
            (of.quality, 0.978_050),
            (of.overall, 0.747_937),
        ] {
            assert!((ours - expected).abs() < 1e-6, "{ours} is not {expected}");
        }
        near(of.overall, 18_848.0 / (420.0 * 60.0));
    }

    proptest! {
        /// Sharing loads never takes more of them, and neither takes fewer than the amount fills.
        #[test]
        fn sharing_never_costs_loads(lots in prop::collection::vec(0.0..500.0f64, 0..12)) {
            let apart = run_of_loads(&lots, OVEN).expect("holds 90");
            let shared = run_of_shared_loads(&lots, OVEN).expect("holds 90");
            prop_assert!(shared.loads <= apart.loads);
            prop_assert!(shared.fill <= 1.0 + 1e-8);
            prop_assert!(shared.loads as f64 * OVEN.holds + 1e-4 >= lots.iter().sum::<f64>());
        }
    }
}
