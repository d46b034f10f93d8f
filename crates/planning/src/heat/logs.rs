//! Measured loads: every need held against the probes that sat where it is about.

use heat::need::Place;
use heat::probes::{Probe, fit_coefficient, judge, offsets};
use heat::programme::Face;
use heat::trace::Trace;
use works::{LogId, ProbeLog};

use super::answer::{FittedLine, LogLine, ProbeLine};
use super::judge::drawn;
use super::{NoHeat, Recipe, words};

/// A probe is called odd from so far off the others on, K: twice what a usual thermocouple may be off.
const ODD_K: f64 = 3.0;

/// Longest stretch without a reading before it is worth a word, as a share of the log.
const GAP: f64 = 0.05;

/// Every measured load that the recipe names.
pub(super) fn lines(recipe: &Recipe<'_>) -> Result<Vec<LogLine>, NoHeat> {
    recipe
        .heat
        .logs
        .iter()
        .map(|&(log, at)| line(recipe, log).map_err(|fault| NoHeat::engine(at, &fault)))
        .collect()
}

/// A probe of a log with what it read.
struct Read<'l> {
    stated: &'l works::Probe,
    probe: Probe,
}

fn line(recipe: &Recipe<'_>, id: LogId) -> Result<LogLine, heat::Fault> {
    let log = recipe.works.log(id);
    let read: Vec<Read<'_>> = log
        .probes
        .iter()
        .enumerate()
        .map(|(number, stated)| Read {
            stated,
            probe: Probe {
                name: stated.name.clone(),
                trace: Trace::straight(&log.readings(number).collect::<Vec<_>>()),
            },
        })
        .filter(|read| !read.probe.trace.samples().is_empty())
        .collect();
    let mut probes: Vec<ProbeLine> = read.iter().map(|read| bare(recipe, read)).collect();
    mark_odd(&read, &mut probes);
    let mut reasons = Vec::new();
    let mut passes = true;
    for number in 0..recipe.asked.len() {
        passes &= one_need(recipe, &read, &mut probes, &mut reasons, number)?;
    }
    for (name, first_k, from_k) in not_from_entry(recipe, &read) {
        passes = false;
        reasons.push(format!(
            "{name} begins at {}, where a piece comes in at {}: it did not sit in one, or the log begins too late",
            words::temperature(first_k),
            words::temperature(from_k)
        ));
    }
    for probe in probes.iter().filter(|probe| probe.odd) {
        if let Some(offset) = probe.offset_k {
            let side = if offset < 0.0 { "low" } else { "high" };
            reasons.push(format!(
                "{} ran {} {side}",
                probe.name,
                words::difference(offset.abs())
            ));
        }
    }
    Ok(LogLine {
        name: log.name.clone(),
        coefficient: fitted(recipe, &read, &probes)?,
        passes,
        reasons,
        left_out: left_out(log),
        probes,
    })
}

fn bare(recipe: &Recipe<'_>, read: &Read<'_>) -> ProbeLine {
    ProbeLine {
        name: read.probe.name.clone(),
        place: read
            .stated
            .place
            .map_or_else(|| "not said".to_owned(), |place| place.word().to_owned()),
        read: drawn(&read.probe.trace),
        values: vec![None; recipe.asked.len()],
        offset_k: None,
        odd: false,
    }
}

/// Probes in or on pieces are held against each other; those in the air by themselves.
fn mark_odd(read: &[Read<'_>], lines: &mut [ProbeLine]) {
    for air in [false, true] {
        let group: Vec<usize> = (0..read.len())
            .filter(|&at| (read[at].stated.place == Some(works::Place::Air)) == air)
            .collect();
        let probes: Vec<Probe> = group.iter().map(|&at| read[at].probe.clone()).collect();
        for found in offsets(&probes, ODD_K) {
            let line = &mut lines[group[found.probe]];
            line.offset_k = Some(found.offset_k);
            line.odd = found.odd;
        }
    }
}

/// Probes in or on pieces that begin nearer to the air than to the temperature on entry: they were swapped with one in the
/// air, or the log begins when the heat has been at work. What they show is not what the piece went through.
fn not_from_entry<'l>(recipe: &Recipe<'_>, read: &'l [Read<'_>]) -> Vec<(&'l str, f64, f64)> {
    let from_k = recipe.heat.from.mean();
    let Some(air_k) = recipe.bound.first().and_then(|slow| {
        let first = slow.case.programme.stages().first()?;
        match first.last {
            // A face that is held is at that temperature at once.
            Face::Open { air, .. } => Some(air.from_k),
            Face::Held(_) | Face::Insulated => None,
        }
    }) else {
        return Vec::new();
    };
    let inside = |read: &&Read<'_>| {
        matches!(
            read.stated.place,
            Some(works::Place::Core | works::Place::Mean | works::Place::Surface)
        )
    };
    read.iter()
        .filter(inside)
        .filter_map(|read| {
            let first_k = read.probe.trace.samples().first()?.value;
            let nearer = (first_k - air_k).abs() < (first_k - from_k).abs();
            (nearer && (first_k - from_k).abs() > ODD_K).then_some((
                read.probe.name.as_str(),
                first_k,
                from_k,
            ))
        })
        .collect()
}

/// Whether a probe speaks for a need: it sat where the need is about, or nobody said where it sat. What is asked of
/// the mean is held against the core, which is behind it.
fn speaks(probe: Option<works::Place>, need: works::Place) -> bool {
    match (probe, need) {
        (None, works::Place::Air) => false,
        (None, _) | (Some(works::Place::Core), works::Place::Mean) => true,
        (Some(place), need) => place == need,
    }
}

/// Holds one need against its probes and says why it is not met. Returns whether it is met.
fn one_need(
    recipe: &Recipe<'_>,
    read: &[Read<'_>],
    lines: &mut [ProbeLine],
    reasons: &mut Vec<String>,
    number: usize,
) -> Result<bool, heat::Fault> {
    let (asked, stated) = (&recipe.asked[number], &recipe.heat.needs[number]);
    let group: Vec<usize> = (0..read.len())
        .filter(|&at| speaks(read[at].stated.place, stated.place))
        .collect();
    if group.is_empty() {
        reasons.push(format!("no probe shows \u{201c}{}\u{201d}", asked.words));
        return Ok(false);
    }
    let probes: Vec<Probe> = group.iter().map(|&at| read[at].probe.clone()).collect();
    let verdict = judge(&probes, &[asked.need])?;
    for one in &verdict.judged {
        lines[group[one.probe]].values[number] = Some((one.value, one.met));
        if !one.met {
            let margin = asked.need.margin(one.value).unwrap_or(0.0);
            reasons.push(format!(
                "{}: {} for \u{201c}{}\u{201d}, {} off",
                probes[one.probe].name,
                words::value(asked.counted, one.value),
                asked.words,
                words::margin(asked.counted, margin)
            ));
        }
    }
    Ok(verdict.passes)
}

/// The coefficient from the first probe in or on a piece that is not odd, under the measured air where there is some.
fn fitted(
    recipe: &Recipe<'_>,
    read: &[Read<'_>],
    lines: &[ProbeLine],
) -> Result<Option<FittedLine>, heat::Fault> {
    let place = |read: &Read<'_>| match read.stated.place {
        Some(works::Place::Surface) => Some(Place::Surface),
        Some(works::Place::Mean) => Some(Place::Mean),
        Some(works::Place::Core) => Some(Place::Core),
        Some(works::Place::Air) | None => None,
    };
    let chosen = read
        .iter()
        .zip(lines)
        .find_map(|(read, line)| (!line.odd).then(|| place(read).map(|place| (read, place)))?);
    let (Some((read_there, place)), Some(slow)) = (chosen, recipe.bound.first()) else {
        return Ok(None);
    };
    let air = read
        .iter()
        .find(|read| read.stated.place == Some(works::Place::Air));
    // Behind the stated dwell the pieces are out of the air that the others still measure.
    let inside = Probe {
        name: read_there.probe.name.clone(),
        trace: read_there.probe.trace.until(recipe.dwell.total_s),
    };
    let found = fit_coefficient(
        &slow.case,
        &inside,
        place,
        air.map(|air| &air.probe),
        &recipe.quick,
    )?;
    Ok(Some(FittedLine {
        coefficient: found.coefficient_w_m2_k,
        off_k: found.off_k,
        telling: found.telling,
    }))
}

/// Readings that are missing, where they leave a gap worth a word.
fn left_out(log: &ProbeLog) -> Vec<String> {
    let lasts = log.times_s().last().copied().unwrap_or(0.0);
    let mut words = Vec::new();
    for (number, probe) in log.probes.iter().enumerate() {
        let times: Vec<f64> = log.readings(number).map(|(time, _)| time).collect();
        let missing = log.times_s().len() - times.len();
        let longest = times.windows(2).map(|p| p[1] - p[0]).fold(0.0, f64::max);
        if times.is_empty() {
            words.push(format!("{}: no reading at all", probe.name));
        } else if longest > GAP * lasts && missing > 0 {
            words.push(format!(
                "{}: {missing} readings missing, {} in one stretch",
                probe.name,
                super::words::time(longest)
            ));
        }
    }
    words
}
