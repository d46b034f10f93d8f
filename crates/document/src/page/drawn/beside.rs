//! From salt and drying to the pictures' plain data: shares in per cent, depths in millimetres, times in a unit that fits.

use picture::{
    Axis, LimitSide, LossCurve, LossPiece, LossReached, ProfileCurve, ProfileCurves, ProfileLevel,
    ProfilePiece,
};
use planning::heat::words;
use planning::moisture::{DryingPlan, SaltCurve, SaltNeedLine, SaltPiece, SaltPlan, when_words};

use crate::table::TimeUnit;

/// Salt across every piece at several times, counted as the need that looks at one place counts it.
pub(in crate::page) fn salt(plan: &SaltPlan) -> ProfileCurves {
    let local = plan.needs.iter().find(|need| need.place != "mean");
    let of = local.or(plan.needs.first()).map_or("water", |need| need.of);
    let value = if of == "water" {
        "salt in salt and water together"
    } else {
        "salt in the piece"
    };
    let held = plan.needs.iter().filter(|need| need.of == of);
    let piece = |piece: &SaltPiece| ProfilePiece {
        name: format!("{}, {}", piece.name, words::length(piece.thick_m)),
        curves: piece
            .curves
            .iter()
            .map(|curve| profile(plan, curve, of))
            .collect(),
    };
    ProfileCurves {
        depth: Axis::new("depth from the face", "mm"),
        value: Axis::new(value, "%"),
        pieces: plan.pieces.iter().map(piece).collect(),
        levels: held.flat_map(levels).collect(),
    }
}

fn profile(plan: &SaltPlan, curve: &SaltCurve, of: &str) -> ProfileCurve {
    let ends_s = plan.contact_s + plan.equalise_s;
    let near = |time_s: f64| (curve.time_s - time_s).abs() < 1.0;
    let moment = if near(ends_s) {
        ", at the end"
    } else if near(plan.contact_s) {
        ", salt off"
    } else {
        ""
    };
    let points = match of {
        "water" => &curve.of_water,
        _ => &curve.of_piece,
    };
    ProfileCurve {
        time: format!("{}{moment}", words::time(curve.time_s)),
        points: points
            .iter()
            .map(|&(metres, share)| (metres * 1e3, share * 100.0))
            .collect(),
    }
}

fn levels(need: &SaltNeedLine) -> impl Iterator<Item = ProfileLevel> {
    let place = match need.place {
        "mean" => "on average",
        "surface" => "at the face",
        _ => "in the core",
    };
    let level = move |share: f64, side| ProfileLevel {
        value: share * 100.0,
        side,
        label: format!("{} {place}", quantity::show_share(share)),
    };
    let least = need.at_least.map(|least| level(least, LimitSide::AtLeast));
    let most = need.at_most.map(|most| level(most, LimitSide::AtMost));
    least.into_iter().chain(most)
}

/// Weighed pieces along the time, with the loss that is wanted.
pub(in crate::page) fn drying(plan: &DryingPlan) -> LossCurve {
    let load = plan.load.as_ref();
    let when = load.and_then(|load| load.when);
    let weighed = plan.pieces.iter().flat_map(|piece| &piece.weighed);
    let times = weighed.map(|point| point.0).chain(plan.dwell_s);
    let unit = TimeUnit::of(times.chain(when.map(|when| when.time_s)));
    let points = |of: &[(f64, f64)]| -> Vec<(f64, f64)> {
        of.iter()
            .map(|&(time_s, loss)| (unit.count(time_s), loss * 100.0))
            .collect()
    };
    let piece = |piece: &planning::moisture::DriedPiece| LossPiece {
        name: piece.name.clone(),
        weighed: points(&piece.weighed),
        curve: points(&piece.curve),
    };
    let until = quantity::show_share(plan.until);
    let good = when.is_some() && !plan.is_too_short();
    let verdict = match (when, plan.dwell_s) {
        (None, _) => "cannot be told".to_owned(),
        (Some(when), None) => format!("after {}", when_words(&when)),
        (Some(when), Some(dwell_s)) => {
            format!(
                "after {}; {} is stated",
                when_words(&when),
                words::time(dwell_s)
            )
        }
    };
    LossCurve {
        time: Axis::new("time inside", unit.symbol),
        loss: Axis::new("weight lost", "%"),
        pieces: plan.pieces.iter().map(piece).collect(),
        load: load.map_or_else(Vec::new, |load| points(&load.points)),
        wanted: Some(plan.until * 100.0),
        wanted_label: format!("{until} lost"),
        reached: when.map(|when| LossReached {
            at: unit.count(when.time_s),
            low: unit.count(when.low_s),
            high: when.high_s.map(|high_s| unit.count(high_s)),
        }),
        stated: plan.dwell_s.map(|dwell_s| unit.count(dwell_s)),
        stated_label: plan.dwell_s.map_or_else(String::new, |dwell_s| {
            format!("stated {}", words::time(dwell_s))
        }),
        verdict: (good, verdict),
    }
}
