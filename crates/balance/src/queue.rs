//! Waiting before a station, from means and squared coefficients of variation.
//!
//! The squared coefficient of variation (scv) of a time is its variance over the square of its
//! mean: 0 for a machine's fixed cycle, 1 for exponential times. Waiting follows as *variability ×
//! utilisation × time* (the VUT equation). Approximations name themselves in [`Wait::formula`] and
//! carry a [`Caution`] where they are not to be trusted; a station that is offered more than it can
//! do is refused, because no waiting time exists for it.
//!
//! Sources, all from memory: Kingman, "The single server queue in heavy traffic" (1961);
//! Sakasegawa, "An approximation formula Lq ≈ αρ^β/(1−ρ)" (1977); Hopp and Spearman, *Factory
//! Physics*, chapters 8 (effective times, VUT, linking) and 9 (batching); Whitt, "The queueing
//! network analyzer" (1983) for departures from several servers; Pollaczek 1930 and Khinchine 1932;
//! Erlang 1917; Little 1961.

use serde::Serialize;

/// Above this utilisation a wait moves by a tenth or more for each percent of load.
pub const TRUSTED_UTILISATION: f64 = 0.95;
/// Above this scv two moments say too little about the wait.
pub const TRUSTED_SCV: f64 = 4.0;
/// Arrivals more regular than this make Kingman's equation overstate waits at light load.
pub const REGULAR_SCV: f64 = 0.5;
/// Below this utilisation the shape of the arrival process matters more than its scv.
pub const LIGHT_UTILISATION: f64 = 0.5;
/// Beyond this many servers, estimates from means are finer than the data.
pub const TRUSTED_SERVERS: u32 = 20;

/// A time by its mean and its squared coefficient of variation.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Spread {
    /// Mean, seconds; above zero.
    pub mean_s: f64,
    /// Variance over mean squared; not negative.
    pub scv: f64,
}

/// A station and what arrives at it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Station {
    /// Like servers side by side, at least one.
    pub servers: u32,
    /// Arrivals per second; not negative.
    pub arrivals_per_s: f64,
    /// Squared coefficient of variation of the time between arrivals.
    pub arrival_scv: f64,
    /// Effective process time of one job at one server, stops and set-ups included.
    pub process: Spread,
}

/// A wait estimated for a station.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Wait {
    /// Share of the servers' time that is taken up.
    pub utilisation: f64,
    /// Mean wait before service, seconds.
    pub wait_s: f64,
    /// Wait and process time, seconds.
    pub cycle_s: f64,
    /// Mean number waiting (Little).
    pub waiting: f64,
    /// Mean number waiting or in process (Little).
    pub present: f64,
    /// Squared coefficient of variation of the time between departures (linking equation).
    pub departure_scv: f64,
    /// Which formula gave the wait.
    pub formula: Formula,
    /// Why the wait may be off; empty where the formula is in its range.
    pub cautions: Vec<Caution>,
}

/// The formula behind a wait.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Formula {
    /// `(ca² + ce²)/2 · u/(1 − u) · te`, one server (Kingman 1961).
    Kingman,
    /// `(ca² + ce²)/2 · u^(√(2(m+1)) − 1)/(m (1 − u)) · te` (Sakasegawa 1977).
    Sakasegawa,
    /// Exact for random arrivals and one server (Pollaczek and Khinchine).
    PollaczekKhinchine,
    /// Exact for random arrivals and exponential times (Erlang 1917).
    ErlangC,
}

/// Why an estimate may be off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Caution {
    /// Utilisation above [`TRUSTED_UTILISATION`]: a small error in the load is a large one in the
    /// wait, and steady state may take longer than the horizon.
    NearCapacity,
    /// Arrival scv above [`TRUSTED_SCV`]: arrivals come in clumps that two moments do not describe.
    ClumpedArrivals,
    /// Process scv above [`TRUSTED_SCV`]: rare long times rule the wait (long stops, say).
    RareLongTimes,
    /// Arrivals more regular than [`REGULAR_SCV`] at utilisation below [`LIGHT_UTILISATION`]: the
    /// true wait is smaller.
    RegularAndLight,
    /// Several servers and a process scv away from one: Sakasegawa's equation was fitted to
    /// exponential times.
    SeveralServersNotExponential,
    /// More than [`TRUSTED_SERVERS`] servers: waits are so short that other causes rule.
    ManyServers,
}

/// Why there is no wait to give.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum QueueError {
    /// As much or more arrives as can be done: the queue grows without end.
    #[error("utilisation {utilisation}: the queue grows without end")]
    Overloaded {
        /// Offered load over capacity, one or more.
        utilisation: f64,
    },
    /// A number that is not finite, is negative, or is zero where it cannot be.
    #[error("{what} cannot be {value}")]
    BadNumber {
        /// Which number.
        what: &'static str,
        /// Its value.
        value: f64,
    },
}

fn number(what: &'static str, value: f64) -> Result<f64, QueueError> {
    if (0.0..=f64::MAX).contains(&value) {
        return Ok(value);
    }
    Err(QueueError::BadNumber { what, value })
}

fn above_zero(what: &'static str, value: f64) -> Result<f64, QueueError> {
    if value == 0.0 {
        return Err(QueueError::BadNumber { what, value });
    }
    number(what, value)
}

/// Utilisation of a station, `λ te / m`; refused at one and above.
pub fn utilisation(station: &Station) -> Result<f64, QueueError> {
    above_zero("number of servers", f64::from(station.servers))?;
    number("arrival rate", station.arrivals_per_s)?;
    number("arrival scv", station.arrival_scv)?;
    above_zero("process time", station.process.mean_s)?;
    number("process scv", station.process.scv)?;
    let utilisation = station.arrivals_per_s * station.process.mean_s / f64::from(station.servers);
    if utilisation < 1.0 {
        return Ok(utilisation);
    }
    Err(QueueError::Overloaded { utilisation })
}

/// The wait by the VUT equation: Kingman's for one server, Sakasegawa's for several.
pub fn vut(station: &Station) -> Result<Wait, QueueError> {
    let u = utilisation(station)?;
    let m = f64::from(station.servers);
    let variability = f64::midpoint(station.arrival_scv, station.process.scv);
    let power = libm::sqrt(2.0 * (m + 1.0)) - 1.0;
    let wait_s = variability * libm::pow(u, power) / (m * (1.0 - u)) * station.process.mean_s;
    let formula = if station.servers == 1 {
        Formula::Kingman
    } else {
        Formula::Sakasegawa
    };
    Ok(with_little(
        station,
        u,
        wait_s,
        formula,
        cautions(station, u),
    ))
}

/// The exact wait of random arrivals at one server with any process time, `M/G/1`.
pub fn pollaczek_khinchine(arrivals_per_s: f64, process: Spread) -> Result<Wait, QueueError> {
    let station = Station {
        servers: 1,
        arrivals_per_s,
        arrival_scv: 1.0,
        process,
    };
    let u = utilisation(&station)?;
    let wait_s = f64::midpoint(1.0, process.scv) * u / (1.0 - u) * process.mean_s;
    Ok(with_little(
        &station,
        u,
        wait_s,
        Formula::PollaczekKhinchine,
        near_capacity(u),
    ))
}

/// The exact wait of random arrivals at servers with exponential times, `M/M/c`.
pub fn erlang_wait(servers: u32, arrivals_per_s: f64, process_s: f64) -> Result<Wait, QueueError> {
    let process = Spread {
        mean_s: process_s,
        scv: 1.0,
    };
    let station = Station {
        servers,
        arrivals_per_s,
        arrival_scv: 1.0,
        process,
    };
    let u = utilisation(&station)?;
    let waits = erlang_c(servers, arrivals_per_s * process_s)?;
    let wait_s = waits * process_s / (f64::from(servers) * (1.0 - u));
    Ok(with_little(
        &station,
        u,
        wait_s,
        Formula::ErlangC,
        near_capacity(u),
    ))
}

fn with_little(
    station: &Station,
    utilisation: f64,
    wait_s: f64,
    formula: Formula,
    cautions: Vec<Caution>,
) -> Wait {
    let cycle_s = wait_s + station.process.mean_s;
    Wait {
        utilisation,
        wait_s,
        cycle_s,
        waiting: little(station.arrivals_per_s, wait_s),
        present: little(station.arrivals_per_s, cycle_s),
        departure_scv: departure_scv(
            utilisation,
            station.arrival_scv,
            station.process.scv,
            station.servers,
        ),
        formula,
        cautions,
    }
}

fn near_capacity(utilisation: f64) -> Vec<Caution> {
    if utilisation > TRUSTED_UTILISATION {
        vec![Caution::NearCapacity]
    } else {
        Vec::new()
    }
}

fn cautions(station: &Station, utilisation: f64) -> Vec<Caution> {
    let several = station.servers > 1;
    let mut found = near_capacity(utilisation);
    let cases = [
        (station.arrival_scv > TRUSTED_SCV, Caution::ClumpedArrivals),
        (station.process.scv > TRUSTED_SCV, Caution::RareLongTimes),
        (
            station.arrival_scv < REGULAR_SCV && utilisation < LIGHT_UTILISATION,
            Caution::RegularAndLight,
        ),
        (
            several && !(0.5..=1.5).contains(&station.process.scv),
            Caution::SeveralServersNotExponential,
        ),
        (station.servers > TRUSTED_SERVERS, Caution::ManyServers),
    ];
    found.extend(cases.iter().filter(|case| case.0).map(|case| case.1));
    found
}

/// The chance that an arrival finds all servers taken and is lost, for an offered load in servers
/// (Erlang B), by the recursion `B(c) = a B(c−1) / (c + a B(c−1))`.
pub fn erlang_b(servers: u32, offered: f64) -> Result<f64, QueueError> {
    number("offered load", offered)?;
    let mut blocked = 1.0;
    for server in 1..=servers {
        blocked = offered * blocked / (f64::from(server) + offered * blocked);
    }
    Ok(blocked)
}

/// The chance that an arrival has to wait (Erlang C), from Erlang B:
/// `C = B / (1 − u (1 − B))`.
pub fn erlang_c(servers: u32, offered: f64) -> Result<f64, QueueError> {
    above_zero("number of servers", f64::from(servers))?;
    let utilisation = number("offered load", offered)? / f64::from(servers);
    if utilisation >= 1.0 {
        return Err(QueueError::Overloaded { utilisation });
    }
    let blocked = erlang_b(servers, offered)?;
    Ok(blocked / (1.0 - utilisation * (1.0 - blocked)))
}

/// The scv of the time between departures. For one server `u² ce² + (1 − u²) ca²`; for several
/// `1 + (1 − u²)(ca² − 1) + u²/√m (ce² − 1)` (Hopp and Spearman, section 8.5.2; Whitt 1983).
pub fn departure_scv(utilisation: f64, arrival_scv: f64, process_scv: f64, servers: u32) -> f64 {
    let u2 = utilisation * utilisation;
    let root = libm::sqrt(f64::from(servers.max(1)));
    1.0 + (1.0 - u2) * (arrival_scv - 1.0) + u2 / root * (process_scv - 1.0)
}

/// Stops that interrupt work, which then goes on where it was (preemptive outages).
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Outages {
    /// Mean time running between stops, seconds; above zero.
    pub mean_run_s: f64,
    /// Time to put right.
    pub repair: Spread,
}

/// Set-ups between jobs (non-preemptive outages).
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SetUps {
    /// Mean jobs from one set-up to the next; at least one.
    pub jobs_between: f64,
    /// One set-up.
    pub set_up: Spread,
}

/// A process time with what interrupts it counted in.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Effective {
    /// The effective process time.
    pub process: Spread,
    /// Share of time that is not outage: `mf/(mf + mr)`, or `t0/te` for set-ups.
    pub availability: f64,
}

/// Counts stops into a process time: `A = mf/(mf + mr)`, `te = t0/A`,
/// `ce² = c0² + (1 + cr²) A (1 − A) mr/t0` (Hopp and Spearman, section 8.4.2). Times between stops
/// are taken as exponential.
pub fn with_outages(natural: Spread, outages: Outages) -> Result<Effective, QueueError> {
    above_zero("process time", natural.mean_s)?;
    number("process scv", natural.scv)?;
    above_zero("time between stops", outages.mean_run_s)?;
    number("repair time", outages.repair.mean_s)?;
    number("repair scv", outages.repair.scv)?;
    let repair_s = outages.repair.mean_s;
    let availability = outages.mean_run_s / (outages.mean_run_s + repair_s);
    let stops = (1.0 + outages.repair.scv) * availability * (1.0 - availability);
    let process = Spread {
        mean_s: natural.mean_s / availability,
        scv: natural.scv + stops * repair_s / natural.mean_s,
    };
    Ok(Effective {
        process,
        availability,
    })
}

/// Counts set-ups into a process time: `te = t0 + ts/Ns`,
/// `σe² = σ0² + σs²/Ns + (Ns − 1)/Ns² · ts²` (Hopp and Spearman, section 8.4.3). A set-up is taken
/// to be as likely after any job.
pub fn with_set_ups(natural: Spread, set_ups: SetUps) -> Result<Effective, QueueError> {
    above_zero("process time", natural.mean_s)?;
    number("process scv", natural.scv)?;
    number("set-up time", set_ups.set_up.mean_s)?;
    number("set-up scv", set_ups.set_up.scv)?;
    let jobs = number("jobs between set-ups", set_ups.jobs_between)?;
    if jobs < 1.0 {
        return Err(QueueError::BadNumber {
            what: "jobs between set-ups",
            value: jobs,
        });
    }
    let set_up_s = set_ups.set_up.mean_s;
    let mean_s = natural.mean_s + set_up_s / jobs;
    let variance = natural.scv * natural.mean_s * natural.mean_s
        + set_ups.set_up.scv * set_up_s * set_up_s / jobs
        + (jobs - 1.0) / (jobs * jobs) * set_up_s * set_up_s;
    let process = Spread {
        mean_s,
        scv: variance / (mean_s * mean_s),
    };
    Ok(Effective {
        process,
        availability: natural.mean_s / mean_s,
    })
}

/// Mean number present, from a rate and a mean time (Little 1961).
pub fn little(rate_per_s: f64, time_s: f64) -> f64 {
    rate_per_s * time_s
}

/// Time there is for each unit asked for. None if nothing is asked for.
pub fn takt_s(available_s: f64, units: f64) -> Option<f64> {
    (units > 0.0).then(|| available_s / units)
}

/// Mean wait of a piece until `pieces` have come together: `(k − 1)/(2λ)`.
pub fn wait_to_batch_s(pieces: f64, arrivals_per_s: f64) -> Result<f64, QueueError> {
    above_zero("arrival rate", arrivals_per_s)?;
    Ok((number("pieces per batch", pieces)? - 1.0).max(0.0) / (2.0 * arrivals_per_s))
}

/// Mean wait of a piece for the others of its batch, worked one by one in `piece_s` each.
///
/// If pieces move on one by one it waits only for those before it, `(k − 1)/2 · t`; if they leave
/// together, for all others, `(k − 1) t` (Hopp and Spearman, section 9.4).
pub fn wait_in_batch_s(pieces: f64, piece_s: f64, leave_together: bool) -> f64 {
    let others = (pieces - 1.0).max(0.0);
    if leave_together {
        others * piece_s
    } else {
        others * piece_s / 2.0
    }
}

/// A station that works whole batches at once (an oven, a wash), fed piece by piece.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct BatchStation {
    /// Like servers side by side.
    pub servers: u32,
    /// Pieces arriving per second.
    pub arrivals_per_s: f64,
    /// Squared coefficient of variation of the time between pieces.
    pub arrival_scv: f64,
    /// Pieces per batch, at least one.
    pub pieces: f64,
    /// Time for a whole batch.
    pub process: Spread,
}

/// The parts of a piece's time at a batch station.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BatchWait {
    /// Wait for the batch to come together, seconds.
    pub forming_s: f64,
    /// What happens to whole batches: their queue and process.
    pub batches: Wait,
    /// Forming, queue and process, seconds.
    pub cycle_s: f64,
}

/// The time at a batch station: forming, then the VUT wait of whole batches, whose arrivals are a
/// `k`-th as variable (`ca²/k`), then the batch time (Hopp and Spearman, section 9.4.1).
pub fn batch_vut(station: &BatchStation) -> Result<BatchWait, QueueError> {
    let pieces = number("pieces per batch", station.pieces)?;
    if pieces < 1.0 {
        return Err(QueueError::BadNumber {
            what: "pieces per batch",
            value: pieces,
        });
    }
    let batches = vut(&Station {
        servers: station.servers,
        arrivals_per_s: station.arrivals_per_s / pieces,
        arrival_scv: station.arrival_scv / pieces,
        process: station.process,
    })?;
    let forming_s = wait_to_batch_s(pieces, station.arrivals_per_s)?;
    let cycle_s = forming_s + batches.cycle_s;
    Ok(BatchWait {
        forming_s,
        batches,
        cycle_s,
    })
}

#[cfg(test)]
mod tests {
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
}
