//! The queue before each station, on lots as jobs.
//!
//! Effective process time (Hopp & Spearman, *Factory Physics*, ch. 8, from memory): a job is a
//! lot's visit; its time is run, set-up, changeover, tool changes and checks; lots differ, times
//! spread, and stops stretch it. Wait by the VUT equation (Kingman 1961), for several machines
//! with Sakasegawa's exponent (1977). Arrivals are taken to vary like chance: ca² = 1.

use balance::queue;
use serde::Serialize;
use works::{Operation, Pace, StationId, Works};

use super::StationLoad;
use super::lots::Lots;
use super::work::Work;

/// Squared coefficient of variation of arrivals that is taken for granted.
pub(super) const ARRIVAL_SCV: f64 = 1.0;

/// Fewer jobs than this make a formula for the long run doubtful.
const FEW_JOBS: f64 = 10.0;

/// The queue before a station.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Queue {
    /// The station.
    pub station: StationId,
    /// Jobs over the horizon: visits of lots.
    pub jobs: f64,
    /// Machines.
    pub machines: f64,
    /// Mean time of a job, stops left out, s.
    pub job_s: f64,
    /// Squared coefficient of variation of it.
    pub natural_scv: f64,
    /// Share of wanted time that is not lost in stops.
    pub availability: f64,
    /// Mean time to repair, s; 0 without stops.
    pub repair_s: f64,
    /// Effective time of a job, s.
    pub effective_s: f64,
    /// Its squared coefficient of variation.
    pub effective_scv: f64,
    /// That of arrivals.
    pub arrival_scv: f64,
    /// Utilisation.
    pub utilisation: f64,
    /// Mean wait in open time, s; none where there is no steady queue.
    pub wait_s: Option<f64>,
    /// The formula's name.
    pub formula: &'static str,
    /// Why not to lean on it, in a plain sentence.
    pub caution: Option<String>,
}

/// Queues of all stations that have work.
pub(super) fn queues(
    works: &Works,
    work: &[Work],
    stations: &[StationLoad],
    lots: &Lots,
) -> Vec<Option<Queue>> {
    let mut jobs: Vec<Vec<&Work>> = vec![Vec::new(); stations.len()];
    for piece in work
        .iter()
        .filter(|piece| piece.lots > 0.0 && piece.seconds.total() > 0.0)
    {
        if let Some(station) = piece.station {
            jobs[station.0].push(piece);
        }
    }
    stations
        .iter()
        .zip(jobs)
        .map(|(load, jobs)| queue_before(works, load, &jobs, lots))
        .collect()
}

fn queue_before(works: &Works, load: &StationLoad, pieces: &[&Work], lots: &Lots) -> Option<Queue> {
    let utilisation = load.utilisation?;
    let jobs: f64 = pieces.iter().map(|piece| piece.lots).sum();
    if jobs <= 0.0 {
        return None;
    }
    let (job_s, natural_scv) = natural(works, pieces, lots, jobs);
    let repair_s = works
        .station(load.station)
        .stops
        .as_ref()
        .map_or(0.0, |s| s.repair.mean());
    let availability = 1.0 - load.seconds.stops_s / load.wanted_s;
    let effective_s = load.wanted_s / jobs;
    let effective_scv = with_stops(natural_scv, availability, repair_s, job_s);
    let machines = f64::from(load.count);
    let wait = wait(
        ARRIVAL_SCV,
        effective_scv,
        utilisation,
        machines,
        effective_s,
    )
    .ok();
    Some(Queue {
        station: load.station,
        jobs,
        machines,
        job_s,
        natural_scv,
        availability,
        repair_s,
        effective_s,
        effective_scv,
        arrival_scv: ARRIVAL_SCV,
        utilisation,
        caution: caution(load, jobs, utilisation, wait.as_ref()),
        wait_s: wait.map(|wait| wait.wait_s),
        formula: if machines > 1.0 {
            "VUT with Sakasegawa's exponent"
        } else {
            "VUT (Kingman)"
        },
    })
}

/// Mean and squared coefficient of variation of a job before stops: the mix of routes, lots of
/// unlike size (run time grows with the lot), and the spread of times and set-ups inside each.
fn natural(works: &Works, pieces: &[&Work], lots: &Lots, jobs: f64) -> (f64, f64) {
    let time = |piece: &Work| (piece.seconds.total() - piece.seconds.stops_s) / piece.lots;
    let mean = pieces
        .iter()
        .map(|piece| piece.lots * time(piece))
        .sum::<f64>()
        / jobs;
    let second = |piece: &&Work| {
        let t = time(piece);
        let lot = variance(works.operation(piece.operation), piece);
        let sizes = (piece.seconds.run_s / piece.lots).powi(2) * lots.size_scv(piece.route);
        piece.lots * (t * t + lot + sizes)
    };
    let second = pieces.iter().map(second).sum::<f64>() / jobs;
    let scv = if mean > 0.0 {
        ((second - mean * mean) / (mean * mean)).max(0.0)
    } else {
        0.0
    };
    (mean, scv)
}

/// Variance of one lot's time: units vary apart from each other, a set-up once.
fn variance(operation: &Operation, piece: &Work) -> f64 {
    let sd = |stated: &works::Stated| stated.spread.sd();
    let units = piece.level / piece.lots;
    let run = match &operation.pace {
        Pace::None => 0.0,
        Pace::Each(time) => units * sd(time).powi(2),
        Pace::Flow { rate, .. } => {
            // The rate of a whole lot varies together: sd of 1/r is sd(r)/r² to first order.
            let mean = rate.mean();
            if mean > 0.0 {
                (units * sd(rate) / (mean * mean)).powi(2)
            } else {
                0.0
            }
        }
        Pace::Load(load) => {
            let turn = load.turn.as_ref().map_or(0.0, sd);
            let loads = piece.loads.map_or(0.0, |loads| loads.count) / piece.lots;
            loads * (sd(&load.dwell).powi(2) + turn.powi(2))
        }
    };
    run + operation
        .setup
        .as_ref()
        .map_or(0.0, |setup| sd(setup).powi(2))
}

/// Squared coefficient of variation of a job's time with stops, repairs varying like chance
/// (cr² = 1), by [`balance::queue::with_outages`].
pub fn with_stops(natural_scv: f64, availability: f64, repair_s: f64, job_s: f64) -> f64 {
    let natural = queue::Spread {
        mean_s: job_s,
        scv: natural_scv,
    };
    let mean_run_s = repair_s * availability / (1.0 - availability);
    let repair = queue::Spread {
        mean_s: repair_s,
        scv: 1.0,
    };
    let stops = queue::Outages { mean_run_s, repair };
    // Without stops there is no time between them, and nothing to add.
    queue::with_outages(natural, stops).map_or(natural_scv, |effective| effective.process.scv)
}

/// Mean wait by the VUT equation, by [`balance::queue::vut`]. None from u = 1 on.
pub fn vut(ca2: f64, ce2: f64, u: f64, machines: f64, te: f64) -> Option<f64> {
    wait(ca2, ce2, u, machines, te).ok().map(|wait| wait.wait_s)
}

fn wait(
    ca2: f64,
    ce2: f64,
    u: f64,
    machines: f64,
    te: f64,
) -> Result<queue::Wait, queue::QueueError> {
    queue::vut(&queue::Station {
        servers: machines as u32,
        arrivals_per_s: u * machines / te,
        arrival_scv: ca2,
        process: queue::Spread {
            mean_s: te,
            scv: ce2,
        },
    })
}

fn caution(load: &StationLoad, jobs: f64, u: f64, wait: Option<&queue::Wait>) -> Option<String> {
    if u >= 1.0 {
        let hours = (load.wanted_s - load.available_s) / 3600.0;
        return Some(format!(
            "no steady queue: {:.0} % of the hours are wanted, so it grows until the work ends; find {hours:.0} h more, or move or drop as much",
            u * 100.0
        ));
    }
    if jobs < FEW_JOBS {
        return Some(format!(
            "only {jobs:.0} jobs in the horizon: the formula holds for a long run of them; use the trial"
        ));
    }
    let words = |caution: &queue::Caution| match caution {
        queue::Caution::NearCapacity => {
            "so near to full that a small error in any time moves this wait a lot"
        }
        queue::Caution::ClumpedArrivals => {
            "work arrives in clumps that the formula does not describe"
        }
        queue::Caution::RareLongTimes => {
            "rare long times (long stops, a few huge lots) rule this wait"
        }
        queue::Caution::RegularAndLight => "arrivals are so regular that the true wait is shorter",
        queue::Caution::SeveralServersNotExponential => {
            "several machines, and times that do not vary like chance: an approximation"
        }
        queue::Caution::ManyServers => "so many machines that other causes rule the wait",
    };
    let all: Vec<&str> = wait?.cautions.iter().map(words).collect();
    (!all.is_empty()).then(|| all.join("; "))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(found: f64, expected: f64, relative: f64) {
        assert!(
            (found - expected).abs() <= relative * expected.abs(),
            "{found} {expected}"
        );
    }

    #[test]
    fn stops_of_factory_physics() {
        // CHECKS.md Q-15, Q-16 (computed; cited from memory): t0 15 min, c0² 0.05, A 0.75.
        // Long stops, mr 248 min: 0.05 + 2 × 0.75 × 0.25 × 248/15 = 6.25 (4.1333 h = 248 min).
        near(with_stops(0.05, 0.75, 248.0 * 60.0, 900.0), 6.25, 1e-9);
        // Short stops, mr 38 min: 0.05 + 0.375 × 38/15 = 1.0.
        near(with_stops(0.05, 0.75, 38.0 * 60.0, 900.0), 1.0, 1e-9);
    }

    #[test]
    fn waits_of_published_examples() {
        // Q-17 (computed; cited from memory): u 23/24, te 20 min; 460 and 1667.5 min.
        let u = 2.875 / 3.0;
        near(vut(1.0, 1.0, u, 1.0, 20.0).unwrap(), 460.0, 1e-9);
        near(vut(1.0, 6.25, u, 1.0, 20.0).unwrap(), 1667.5, 1e-9);
        // Q-18 (computed): two machines at 0.9, five at 0.8.
        near(vut(1.0, 1.0, 0.9, 2.0, 1.0).unwrap(), 4.291_854_508, 1e-9);
        near(vut(1.0, 1.0, 0.8, 5.0, 1.0).unwrap(), 0.577_037_291_1, 1e-9);
        assert_eq!(vut(1.0, 1.0, 1.0, 1.0, 1.0), None);
    }
}
