//! Drying: from weighed pieces to the time that a load takes to lose what it must, and the state of the air.

use heat::mass::drying::{Curve, Weighed, When, fit_each, fit_together};
use works::{Drying, Operation, OperationId, Works};

use super::air;
use super::answer::{DriedCurve, DriedLoad, DriedPiece, DriedWhen, DryingPlan};
use super::share::{percent, points};
use crate::flow::label;
use crate::heat::{NoHeat, hazards, words};

/// Intervals hold 95 of 100.
const CONFIDENCE: f64 = 0.95;

/// What rounding in a fit may do to a time, as a share of it.
const ROUNDING: f64 = 1e-6;

/// Points of a drawn curve, and how far it is drawn beyond what was weighed.
const POINTS: usize = 60;
const BEYOND: f64 = 1.25;

/// A piece with its weighings.
struct Piece {
    name: String,
    green_kg: f64,
    weighed: Weighed,
}

/// Works out the drying of one operation.
pub(super) fn plan(
    works: &Works,
    id: OperationId,
    operation: &Operation,
    drying: &Drying,
) -> Result<DryingPlan, NoHeat> {
    let pieces = pieces(works, drying);
    let dwell_s = works.dwell_of(operation).map(|dwell| dwell.mean());
    let mut plan = DryingPlan {
        operation: id,
        name: label(works, id),
        at: drying.at,
        until: drying.until.mean(),
        pieces: Vec::new(),
        load: None,
        refused: None,
        dwell_s,
        keeps_loss: operation
            .keeps
            .stated
            .as_ref()
            .map(|_| 1.0 - operation.keeps.mean),
        air: air::lines(operation, drying)?,
        sentences: Vec::new(),
        cautions: cautions(works, operation),
    };
    if pieces.is_empty() {
        plan.refused = Some("no weighed pieces are named".to_owned());
    } else {
        fit(&mut plan, &pieces);
    }
    plan.sentences = sentences(&plan);
    Ok(plan)
}

fn cautions(works: &Works, operation: &Operation) -> Vec<String> {
    let mut all = vec![
        "The curve is that of the weighed pieces in their air: another air, size or stack has another. Stop on weight, not on the clock; \
         what keeps is told by water activity or by the food-safety plan, and a competent person decides."
            .to_owned(),
    ];
    all.extend(hazards(works, operation));
    all
}

fn pieces(works: &Works, drying: &Drying) -> Vec<Piece> {
    let several = drying.logs.len() > 1;
    let mut all = Vec::new();
    for (log, _) in &drying.logs {
        let weighing = works.weighing(*log);
        for piece in &weighing.pieces {
            let Some(&(_, green_kg)) = piece.weights.first() else {
                continue;
            };
            all.push(Piece {
                name: if several {
                    format!("{}, {}", weighing.name, piece.name)
                } else {
                    piece.name.clone()
                },
                green_kg,
                weighed: Weighed {
                    weighings: piece.weights.clone(),
                },
            });
        }
    }
    all
}

/// Fits all pieces together and each by itself, and enters what follows.
fn fit(plan: &mut DryingPlan, pieces: &[Piece]) {
    let weighed: Vec<Weighed> = pieces.iter().map(|piece| piece.weighed.clone()).collect();
    let times = weighed.iter().flat_map(|piece| &piece.weighings);
    let last_s = times.map(|(time, _)| *time).fold(0.0, f64::max);
    let together = match fit_together(&weighed) {
        Ok(curves) => Some(curves),
        Err(fault) => {
            plan.refused = Some(fault.to_string());
            None
        }
    };
    let found = together
        .as_ref()
        .and_then(|curves| load(plan, pieces, curves, last_s));
    let needed_s = found
        .as_ref()
        .and_then(|load| load.when)
        .map_or(0.0, |when| when.time_s);
    let drawn_s = BEYOND * last_s.max(needed_s).max(plan.dwell_s.unwrap_or(0.0));
    for (number, piece) in pieces.iter().enumerate() {
        let own = fit_each(std::slice::from_ref(&piece.weighed));
        let shared = together.as_ref().map(|curves| &curves[number]);
        plan.pieces
            .push(one(plan.until, piece, own, shared, (last_s, drawn_s)));
    }
    plan.load = found.map(|load| DriedLoad {
        points: drawn(&load.sum, load.green_kg, drawn_s),
        curve: dried(&load.sum, load.green_kg),
        when: load.when,
        loss_at_dwell: load.at_dwell.map(|(of_load, _)| of_load),
        pieces_at_dwell: load.at_dwell.map(|(_, pieces)| pieces),
        met: plan.dwell_s.map(|dwell| {
            load.when
                .is_some_and(|when| dwell >= when.low_s * (1.0 - ROUNDING))
        }),
    });
}

fn one(
    until: f64,
    piece: &Piece,
    own: Result<Vec<Curve>, heat::Fault>,
    shared: Option<&Curve>,
    (last_s, drawn_s): (f64, f64),
) -> DriedPiece {
    let green_kg = piece.green_kg;
    let (own, own_refused) = match own {
        Ok(curves) => (curves.first().copied(), None),
        Err(fault) => (None, Some(fault.to_string())),
    };
    let best = own.as_ref().or(shared);
    let weighed = piece.weighed.weighings.iter();
    DriedPiece {
        name: piece.name.clone(),
        green_kg,
        weighed: weighed
            .map(|(time, kg)| (*time, 1.0 - kg / green_kg))
            .collect(),
        when: best.and_then(|curve| when(curve, until, green_kg, last_s).ok()),
        own: own.as_ref().map(|curve| dried(curve, green_kg)),
        own_refused,
        curve: shared.map_or_else(Vec::new, |curve| drawn(curve, green_kg, drawn_s)),
    }
}

/// All pieces as one.
struct Load {
    sum: Curve,
    green_kg: f64,
    when: Option<DriedWhen>,
    at_dwell: Option<(f64, (f64, f64))>,
}

/// The load of all pieces; where it never loses so much, why goes into the plan.
fn load(plan: &mut DryingPlan, pieces: &[Piece], curves: &[Curve], last_s: f64) -> Option<Load> {
    let sum = sum(curves)?;
    let green_kg: f64 = pieces.iter().map(|piece| piece.green_kg).sum();
    let when = match when(&sum, plan.until, green_kg, last_s) {
        Ok(when) => Some(when),
        Err(fault) => {
            plan.refused = Some(fault.to_string());
            None
        }
    };
    let at_dwell = plan.dwell_s.map(|dwell| {
        let losses = pieces.iter().zip(curves);
        let (low, high) = losses
            .map(|(piece, curve)| 1.0 - curve.weight_at(dwell) / piece.green_kg)
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), loss| {
                (low.min(loss), high.max(loss))
            });
        (1.0 - sum.weight_at(dwell) / green_kg, (low, high))
    });
    Some(Load {
        sum,
        green_kg,
        when,
        at_dwell,
    })
}

/// The sum of curves of one rate. Given the rate, pieces are independent of each other; what they share is how each leans on it:
/// covariances of two pieces are those of each with the rate, multiplied, over the variance of the rate.
fn sum(curves: &[Curve]) -> Option<Curve> {
    let first = curves.first()?;
    let rate_variance = first.covariance[2][2];
    let mut all = Curve {
        end_weight: 0.0,
        to_lose: 0.0,
        covariance: [[0.0; 3]; 3],
        ..*first
    };
    for curve in curves {
        all.end_weight += curve.end_weight;
        all.to_lose += curve.to_lose;
    }
    let lean = |i: usize| {
        curves
            .iter()
            .map(|curve| curve.covariance[i][2])
            .sum::<f64>()
    };
    let leans = [lean(0), lean(1)];
    for i in 0..2 {
        for j in 0..2 {
            let free = |curve: &Curve| {
                let c = &curve.covariance;
                let shared = if rate_variance > 0.0 {
                    c[i][2] * c[j][2] / rate_variance
                } else {
                    0.0
                };
                c[i][j] - shared
            };
            let own: f64 = curves.iter().map(free).sum();
            let shared = if rate_variance > 0.0 {
                leans[i] * leans[j] / rate_variance
            } else {
                0.0
            };
            all.covariance[i][j] = own + shared;
        }
        all.covariance[i][2] = leans[i];
        all.covariance[2][i] = leans[i];
    }
    all.covariance[2][2] = rate_variance;
    Some(all)
}

fn when(curve: &Curve, until: f64, green_kg: f64, last_s: f64) -> Result<DriedWhen, heat::Fault> {
    let When {
        time_s,
        low_s,
        high_s,
        beyond,
    } = curve.loses(until, green_kg, CONFIDENCE, last_s)?;
    Ok(DriedWhen {
        time_s,
        low_s,
        high_s,
        beyond,
    })
}

fn dried(curve: &Curve, green_kg: f64) -> DriedCurve {
    let errors = curve.standard_errors();
    DriedCurve {
        rate_per_s: curve.rate_per_s,
        rate_error_per_s: errors[2],
        end_loss: 1.0 - curve.end_weight / green_kg,
        end_loss_error: errors[0] / green_kg,
        scatter_kg: curve.scatter,
    }
}

fn drawn(curve: &Curve, green_kg: f64, until_s: f64) -> Vec<(f64, f64)> {
    let step = until_s / (POINTS - 1) as f64;
    let times = (0..POINTS).map(|at| step * at as f64);
    times
        .map(|time| (time, 1.0 - curve.weight_at(time) / green_kg))
        .collect()
}

/// `9.2 h (9 h to 9.4 h)`.
pub fn when_words(when: &DriedWhen) -> String {
    let to = when.high_s.map_or_else(
        || "an end that the weighings do not tell".to_owned(),
        words::time,
    );
    let beyond = if when.beyond {
        ", beyond the last weighing"
    } else {
        ""
    };
    format!(
        "{} ({} to {to}{beyond})",
        words::time(when.time_s),
        words::time(when.low_s)
    )
}

fn sentences(plan: &DryingPlan) -> Vec<String> {
    let mut all = Vec::new();
    let until = percent(plan.until);
    if let Some(refused) = &plan.refused {
        all.push(format!("when {until} is lost cannot be told: {refused}"));
    }
    if let Some(load) = &plan.load {
        if let Some(when) = &load.when {
            all.push(format!(
                "a load like the weighed pieces has lost {until} after {}",
                when_words(when)
            ));
        }
        let times: Vec<f64> = plan
            .pieces
            .iter()
            .filter_map(|piece| piece.when)
            .map(|when| when.time_s)
            .collect();
        if times.len() > 1 {
            let first = times.iter().copied().fold(f64::INFINITY, f64::min);
            let last = times.iter().copied().fold(0.0, f64::max);
            all.push(format!(
                "of {} pieces the first is there after {}, the last after {}",
                times.len(),
                words::time(first),
                words::time(last)
            ));
        }
        if let Some((dwell, loss)) = plan.dwell_s.zip(load.loss_at_dwell) {
            all.push(at_dwell(plan, load, dwell, loss));
        }
    }
    all.extend(plan.air.iter().map(|air| air.sentence.clone()));
    all
}

fn at_dwell(plan: &DryingPlan, load: &DriedLoad, dwell: f64, loss: f64) -> String {
    let pieces = load
        .pieces_at_dwell
        .map_or_else(String::new, |(low, high)| {
            format!(
                " ({} to {} from piece to piece)",
                percent(low),
                percent(high)
            )
        });
    let apart = match plan.keeps_loss {
        None => String::new(),
        Some(keeps) => format!(
            ", {} off the {} that the route loses",
            points(loss - keeps),
            percent(keeps)
        ),
    };
    format!(
        "after the stated {} it has lost {}{pieces}{apart}",
        words::time(dwell),
        percent(loss)
    )
}
