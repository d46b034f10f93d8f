//! What is wrong or thin about salt, drying and solvent, and their figures with reasons.

use works::{Diagnostic, Works};

use super::share::{percent, points};
use super::solvent::air_words;
use super::{DryingPlan, Moist, SaltNeedLine, SaltPlan, SolventPlan};
use crate::figure::Figures;
use crate::heat::{cannot, words};
use crate::reason::{Ledger, Shown};

/// A loss this far off the yield of the route, as a share of it, is worth a word.
const WORTH_A_WORD: f64 = 0.05;

/// 95 of 100 lots lie within so many standard deviations.
const DEVIATIONS: f64 = 1.96;

/// Complaints about every operation.
pub(crate) fn complaints(works: &Works, moist: &Moist) -> Vec<Diagnostic> {
    let mut all: Vec<Diagnostic> = moist.none.iter().map(cannot).collect();
    for plan in &moist.salting {
        salt(plan, &mut all);
    }
    for plan in &moist.drying {
        drying(works, plan, &mut all);
    }
    all.extend(moist.solvents.iter().filter_map(solvent));
    all
}

fn salt(plan: &SaltPlan, all: &mut Vec<Diagnostic>) {
    for need in plan.needs.iter().filter(|need| !need.met) {
        all.push(
            Diagnostic::warning(
                "need-missed",
                need.at,
                format!("{} does not do its job: {}", plan.name, need.words),
            )
            .sides(need.words.clone(), need.sentence.clone())
            .help(plan.window.sentence.clone()),
        );
    }
    if plan.does_its_job() {
        all.extend(plan.needs.iter().filter_map(|need| thin(plan, need)));
    }
    if plan.even.does == Some(false) {
        all.push(
            Diagnostic::warning(
                "salt-uneven",
                plan.at,
                format!("{}: salt is not even when its time ends", plan.name),
            )
            .sides(
                format!("{} to be even", words::time(plan.even.takes_s)),
                format!("{} stated", words::time(plan.equalise_s)),
            )
            .help(plan.even.sentence.clone()),
        );
    }
}

fn thin(plan: &SaltPlan, need: &SaltNeedLine) -> Option<Diagnostic> {
    let limit = need.nearest_limit()?;
    need.is_thin().then(|| {
        Diagnostic::warning(
            "thin-margin",
            need.at,
            format!(
                "{} does its job with {} to spare",
                plan.name,
                points(need.margin)
            ),
        )
        .sides(
            format!("5 % of {} or more", percent(limit)),
            need.sentence.clone(),
        )
        .help(plan.window.sentence.clone())
    })
}

fn drying(works: &Works, plan: &DryingPlan, all: &mut Vec<Diagnostic>) {
    let Some(load) = &plan.load else {
        all.push(untold(plan));
        return;
    };
    let until = percent(plan.until);
    if let (Some(false), Some(dwell)) = (load.met, plan.dwell_s) {
        let loses = load.loss_at_dwell.map_or_else(String::new, percent);
        let diagnostic = Diagnostic::warning(
            "need-missed",
            plan.at,
            format!(
                "{} does not do its job: {until} of weight to be lost",
                plan.name
            ),
        )
        .sides(
            format!("{until} lost"),
            format!("{loses} lost in the stated {}", words::time(dwell)),
        );
        all.push(match plan.sentences.first() {
            Some(sentence) => diagnostic.help(sentence.clone()),
            None => diagnostic,
        });
    } else if load.when.is_none() {
        all.push(untold(plan));
    }
    let Some((keeps, found)) = plan.keeps_loss.zip(load.loss_at_dwell) else {
        return;
    };
    let apart = (keeps - found).abs();
    let lots = DEVIATIONS * works.operation(plan.operation).keeps.lots_sd;
    if apart > WORTH_A_WORD * found.abs() && apart > lots {
        all.push(
            Diagnostic::warning(
                "stated-not-computed",
                plan.at,
                format!(
                    "{}: the loss is stated otherwise than it is weighed",
                    plan.name
                ),
            )
            .sides(
                format!(
                    "{} lost by the weighed pieces in the stated time",
                    percent(found)
                ),
                format!("{} lost by the operation's `keeps`", percent(keeps)),
            )
            .help("the plan uses the stated yield"),
        );
    }
}

fn untold(plan: &DryingPlan) -> Diagnostic {
    Diagnostic::warning(
        "drying-untold",
        plan.at,
        format!("{}: weighed pieces do not tell how long it dries", plan.name),
    )
    .sides(
        format!("weighings that tell when {} is lost", percent(plan.until)),
        plan.refused.clone().unwrap_or_default(),
    )
    .help("weigh a few pieces now and then until the loss has clearly slowed down; the plan uses the stated time")
}

fn solvent(plan: &SolventPlan) -> Option<Diagnostic> {
    (!plan.met).then(|| {
        Diagnostic::warning(
            "fresh-air-short",
            plan.at,
            format!("{}: less fresh air than the estimate asks for", plan.name),
        )
        .sides(
            format!(
                "{} to stay at {} of the lower limit",
                air_words(plan.needed_m3_s),
                percent(plan.share)
            ),
            format!("{} stated", air_words(plan.stated_m3_s)),
        )
        .help("a screening estimate: check the local code and the safety data sheet; a competent person decides")
    })
}

/// Enters what was found among the figures.
pub(crate) fn explain(works: &Works, moist: &Moist, ledger: &mut Ledger, figures: &mut Figures) {
    for plan in &moist.salting {
        explain_salt(works, plan, ledger, figures);
    }
    for plan in &moist.drying {
        explain_drying(works, plan, ledger, figures);
    }
    for plan in &moist.solvents {
        explain_solvent(works, plan, ledger, figures);
    }
}

fn explain_salt(works: &Works, plan: &SaltPlan, ledger: &mut Ledger, figures: &mut Figures) {
    let name = &plan.name;
    let Some(salt) = &works.operation(plan.operation).salt else {
        return;
    };
    for (need, stated) in plan.needs.iter().zip(&salt.needs) {
        let of = match need.of {
            "water" => "salt in water",
            _ => "salt",
        };
        let what = format!("{} {of}", need.place);
        let piece = &plan.pieces[need.worst];
        let label = format!("{name}: {what} of the piece that is nearest to its limit");
        let how = format!(
            "Fick's law through contact and evening out; {}: {}",
            piece.name, piece.words
        );
        let value = ledger.found(
            label.clone(),
            need.values[need.worst],
            Shown::percent(),
            how,
        );
        figures.add(ledger, &format!("{name} {what}"), &label, value);
        let limits = &stated.limits;
        let least = limits.at_least.as_ref().map(|least| {
            let least = ledger.stated(format!("{what}: at least"), least, Shown::percent());
            ledger.difference(
                format!("{what} above its least"),
                Shown::percent(),
                &[value, least],
            )
        });
        let most = limits.at_most.as_ref().map(|most| {
            let most = ledger.stated(format!("{what}: at most"), most, Shown::percent());
            ledger.difference(
                format!("{what} below its most"),
                Shown::percent(),
                &[most, value],
            )
        });
        let margins: Vec<_> = least.into_iter().chain(most).collect();
        if !margins.is_empty() {
            let label = format!("{name}: {what} inside its limits");
            let node = ledger.min(label.clone(), Shown::percent(), &margins);
            figures.add(ledger, &format!("{name} {what} margin"), &label, node);
        }
    }
    let label = format!("{name}: time for the slowest piece to even out");
    let node = ledger.found(
        label.clone(),
        plan.even.takes_s,
        Shown::hours(),
        format!("Fick's law; {}", plan.even.sentence),
    );
    figures.add(ledger, &format!("{name} evening out"), &label, node);
}

fn explain_drying(works: &Works, plan: &DryingPlan, ledger: &mut Ledger, figures: &mut Figures) {
    let name = &plan.name;
    let Some((load, when)) = plan.load.as_ref().and_then(|load| Some((load, load.when?))) else {
        return;
    };
    let operation = works.operation(plan.operation);
    let label = format!("{name}: time to lose {}", percent(plan.until));
    let how = format!(
        "curve with an end weight and one rate through the weights of {} pieces (rate {} per h, standard error {}); 95 % interval {}",
        plan.pieces.len(),
        quantity::show_number(load.curve.rate_per_s * 3600.0),
        quantity::show_number(load.curve.rate_error_per_s * 3600.0),
        super::drying::when_words(&when)
    );
    let found = ledger.found(label.clone(), when.time_s, Shown::hours(), how);
    let figure = figures.add(ledger, &format!("{name} drying time"), &label, found);
    figure.low = Some(when.low_s);
    figure.high = when.high_s;
    if let Some(dwell) = works.dwell_of(operation) {
        let stated = ledger.stated(format!("{name}: time inside"), &dwell, Shown::hours());
        let label = format!("{name}: time inside beyond what drying takes");
        let node = ledger.difference(label.clone(), Shown::hours(), &[stated, found]);
        figures.add(ledger, &format!("{name} drying margin"), &label, node);
    }
}

fn explain_solvent(works: &Works, plan: &SolventPlan, ledger: &mut Ledger, figures: &mut Figures) {
    let name = &plan.name;
    let flow = Shown::new("m3/h", 1.0 / 3600.0);
    let operation = works.operation(plan.operation);
    let label = format!("{name}: fresh air that the estimate asks for");
    let how = format!(
        "{}; lower limit {} in the heat ({}), {} of it allowed ({}); a screening estimate, a competent person decides",
        plan.words,
        percent(plan.hot_limit),
        plan.source,
        percent(plan.share),
        plan.share_by
    );
    let needed = ledger.found(label.clone(), plan.needed_m3_s, flow.clone(), how);
    figures.add(ledger, &format!("{name} fresh air"), &label, needed);
    let chamber = operation
        .station
        .and_then(|station| works.station(station).heat.as_ref());
    let stated = operation
        .solvent
        .as_ref()
        .and_then(|solvent| solvent.fresh_air.as_ref())
        .or_else(|| chamber.and_then(|chamber| chamber.fresh_air.as_ref()));
    if let Some(stated) = stated {
        let source = crate::reason::Source::of(stated);
        let label = format!("{name}: fresh air stated");
        let stated = ledger.given(label, plan.stated_m3_s, flow.clone(), source);
        let label = format!("{name}: fresh air beyond the estimate");
        let node = ledger.difference(label.clone(), flow, &[stated, needed]);
        figures.add(ledger, &format!("{name} fresh air margin"), &label, node);
    }
}
