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
mod tests;
