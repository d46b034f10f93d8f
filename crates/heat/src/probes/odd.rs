//! How far each probe ran from the others while the load was near its highest.

use serde::Serialize;

use super::Probe;

/// The load counts as near its highest while the median probe is within this share of its whole rise.
const NEAR: f64 = 0.1;

/// Moments at which the probes are held against each other.
const MOMENTS: usize = 400;

/// How far one probe ran from the median of the others.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Offset {
    /// The probe, by number.
    pub probe: usize,
    /// Mean of its reading less the median of the others, K.
    pub offset_k: f64,
    /// Whether that is more than the others differ among themselves: over three of their scaled median
    /// deviations, and over `least_k`.
    pub odd: bool,
}

/// Offsets over the time near the top; needs three probes, so that there is a middle to differ from.
///
/// Median and scaled median absolute deviation (1.4826 × MAD, Hampel 1974), so that the odd probe does not hide
/// itself.
pub fn offsets(probes: &[Probe], least_k: f64) -> Vec<Offset> {
    if probes.len() < 3 {
        return Vec::new();
    }
    let Some(moments) = near_the_top(probes) else {
        return Vec::new();
    };
    let mean = |probe: usize| {
        let sum: f64 = moments
            .iter()
            .map(|readings| readings[probe] - median(others(readings, probe)))
            .sum();
        sum / moments.len() as f64
    };
    let offsets: Vec<f64> = (0..probes.len()).map(mean).collect();
    let middle = median(offsets.clone());
    (0..probes.len())
        .map(|probe| {
            let among: Vec<f64> = others(&offsets, probe)
                .iter()
                .map(|offset| (offset - middle).abs())
                .collect();
            let scale = 1.4826 * median(among);
            let away = (offsets[probe] - middle).abs();
            Offset {
                probe,
                offset_k: offsets[probe],
                odd: away > 3.0 * scale && away > least_k,
            }
        })
        .collect()
}

/// All but one.
fn others(values: &[f64], but: usize) -> Vec<f64> {
    let kept = values.iter().enumerate().filter(|(at, _)| *at != but);
    kept.map(|(_, value)| *value).collect()
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    let half = values.len() / 2;
    match values.len() {
        0 => 0.0,
        n if n % 2 == 1 => values[half],
        _ => 0.5 * (values[half - 1] + values[half]),
    }
}

/// Readings of all probes at moments at which their median is near its highest; none without a time that all cover.
fn near_the_top(probes: &[Probe]) -> Option<Vec<Vec<f64>>> {
    let ends = |probe: &Probe| {
        let samples = probe.trace.samples();
        Some((samples.first()?.time_s, samples.last()?.time_s))
    };
    let spans: Option<Vec<(f64, f64)>> = probes.iter().map(ends).collect();
    let spans = spans?;
    let from = spans
        .iter()
        .map(|span| span.0)
        .fold(f64::NEG_INFINITY, f64::max);
    let to = spans
        .iter()
        .map(|span| span.1)
        .fold(f64::INFINITY, f64::min);
    if to <= from {
        return None;
    }
    let at = |moment: usize| from + (to - from) * moment as f64 / (MOMENTS - 1) as f64;
    let readings: Vec<Vec<f64>> = (0..MOMENTS)
        .map(|moment| {
            let time_s = at(moment);
            probes
                .iter()
                .filter_map(|probe| probe.trace.at(time_s))
                .collect()
        })
        .collect();
    let medians: Vec<f64> = readings.iter().map(|r| median(r.clone())).collect();
    let high = medians.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let low = medians.iter().copied().fold(f64::INFINITY, f64::min);
    let near = high - NEAR * (high - low);
    let kept = readings
        .into_iter()
        .zip(medians)
        .filter(|(_, m)| *m >= near);
    Some(kept.map(|(readings, _)| readings).collect())
}
