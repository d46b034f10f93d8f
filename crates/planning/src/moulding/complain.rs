//! What is wrong or thin about mouldings, and their figures with reasons.

use works::{Diagnostic, Works};

use super::machine::{force, grams};
use super::{MouldPlan, StatedCycle};
use crate::figure::Figures;
use crate::heat::{NoHeat, cannot, words};
use crate::reason::{Ledger, Shown, Source};

/// Complaints about every moulding.
pub(crate) fn complaints(plans: &[MouldPlan], none: &[NoHeat]) -> Vec<Diagnostic> {
    let mut all: Vec<Diagnostic> = none.iter().map(cannot).collect();
    for plan in plans {
        all.extend(plan.stated.as_ref().and_then(|stated| cycle(plan, stated)));
        all.extend(clamp(plan));
        all.extend(shot(plan));
    }
    all
}

/// A stated cycle that leaves too little time to cool, or enough for some walls only.
fn cycle(plan: &MouldPlan, stated: &StatedCycle) -> Option<Diagnostic> {
    if stated.for_all {
        return None;
    }
    let cycle = words::time(stated.cycle_s);
    let (code, headline, wanted) = if stated.met {
        (
            "thin-margin",
            format!(
                "{}: a cycle of {cycle} does not do for the slowest wall",
                plan.name
            ),
            plan.longest_s(),
        )
    } else {
        (
            "need-missed",
            format!(
                "{} does not do its job: a cycle of {cycle} is too short to cool",
                plan.name
            ),
            plan.likely().cycle_s,
        )
    };
    Some(
        Diagnostic::warning(code, plan.at, headline)
            .sides(
                format!("{} or longer", words::time(wanted)),
                super::stated_words(plan, stated),
            )
            .help("the diffusivity of the grade, from its maker or a trial, tells it more closely"),
    )
}

fn clamp(plan: &MouldPlan) -> Option<Diagnostic> {
    let clamp = plan.clamp?;
    let machine = clamp.machine_n.filter(|_| clamp.met == Some(false))?;
    Some(
        Diagnostic::warning(
            "clamp-short",
            plan.at,
            format!("{}: the machine may not hold the mould shut", plan.name),
        )
        .sides(
            format!(
                "{} (area times pressure, and a tenth)",
                force(clamp.needed_n)
            ),
            force(machine),
        )
        .help("a larger machine, fewer cavities, or a lower pressure as a trial shows it"),
    )
}

fn shot(plan: &MouldPlan) -> Option<Diagnostic> {
    let shot = plan.shot?;
    let barrel = shot.barrel_kg?;
    if shot.is_too_large() {
        return Some(
            Diagnostic::warning(
                "shot-too-large",
                plan.at,
                format!("{}: a shot is more than the barrel holds", plan.name),
            )
            .sides(format!("{} at most", grams(barrel)), grams(shot.shot_kg))
            .help("a larger barrel, or fewer cavities"),
        );
    }
    let ((least, most), residence) = shot.allowed_s.zip(shot.residence_s)?;
    (shot.residence_met == Some(false)).then(|| {
        Diagnostic::warning(
            "need-missed",
            plan.at,
            format!(
                "{} does not do its job: time of melt in the barrel",
                plan.name
            ),
        )
        .sides(
            format!("{} to {}", words::time(least), words::time(most)),
            words::time(residence),
        )
        .help(if residence > most {
            "a smaller barrel, more cavities or a shorter cycle"
        } else {
            "a larger barrel"
        })
    })
}

/// Enters cycles and forces among the figures.
pub(crate) fn explain(
    works: &Works,
    plans: &[MouldPlan],
    ledger: &mut Ledger,
    figures: &mut Figures,
) {
    for plan in plans {
        explain_cycle(works, plan, ledger, figures);
        explain_clamp(works, plan, ledger, figures);
        explain_residence(plan, ledger, figures);
    }
}

fn explain_cycle(works: &Works, plan: &MouldPlan, ledger: &mut Ledger, figures: &mut Figures) {
    let name = &plan.name;
    let operation = works.operation(plan.operation);
    let Some(mould) = &operation.mould else {
        return;
    };
    let likely = plan.likely();
    let how = format!(
        "{}: whole series of a plate with held faces, {} m2/s; the first term alone gives {}",
        plan.words,
        quantity::show_number(likely.diffusivity_m2_s),
        words::time(likely.first_term_s)
    );
    let cool = ledger.found(
        format!("{name}: cooling"),
        likely.cool_s,
        Shown::seconds(),
        how,
    );
    let mut waits = vec![cool];
    if let Some(plastify) = plan.plastify_s {
        let how = "the shot over the melt that the machine makes ready";
        let label = format!("{name}: making the next shot ready");
        waits.push(ledger.found(label, plastify, Shown::seconds(), how));
    }
    let label = format!("{name}: what the mould waits for");
    let mut parts = vec![ledger.max(label, Shown::seconds(), &waits)];
    for (word, stated) in [
        ("fill", &mould.fill),
        ("pack", &mould.pack),
        ("open", &mould.open),
    ] {
        if let Some(stated) = stated {
            parts.push(ledger.stated(format!("{name}: {word}"), stated, Shown::seconds()));
        }
    }
    let label = format!("{name}: cycle");
    let cycle = ledger.sum(label.clone(), Shown::seconds(), &parts);
    let longest = plan.longest_s();
    let shortest = plan
        .sides
        .iter()
        .map(|side| side.cycle_s)
        .fold(longest, f64::min);
    let figure = figures.add(ledger, &format!("{name} cycle"), &label, cycle);
    if plan.sides.len() > 1 {
        figure.low = Some(shortest);
        figure.high = Some(longest);
    }
    if let Some(stated) = &plan.stated {
        let source = match &operation.pace {
            works::Pace::Each(time) => Source::of(time),
            works::Pace::Flow { rate, .. } => Source::of(rate),
            works::Pace::Load(_) | works::Pace::None => Source::at(operation.at),
        };
        let label = format!("{name}: cycle as stated");
        let stated = ledger.given(label, stated.cycle_s, Shown::seconds(), source);
        let label = format!("{name}: stated cycle beyond the one found");
        let node = ledger.difference(label.clone(), Shown::seconds(), &[stated, cycle]);
        figures.add(ledger, &format!("{name} cycle margin"), &label, node);
    }
}

fn explain_clamp(works: &Works, plan: &MouldPlan, ledger: &mut Ledger, figures: &mut Figures) {
    let name = &plan.name;
    let operation = works.operation(plan.operation);
    let kilonewton = Shown::new("kN", 1000.0);
    let Some((clamp, mould)) = plan.clamp.zip(operation.mould.as_ref()) else {
        return;
    };
    let (Some(area), Some(pressure)) = (&mould.area, &mould.pressure) else {
        return;
    };
    let most = |stated: &works::Stated| crate::heat::extremes::ends(stated).1;
    let shown = |stated: &works::Stated| Shown::from(&stated.unit);
    let parts = [
        ledger.given(
            format!("{name}: area"),
            most(area),
            shown(area),
            Source::of(area),
        ),
        ledger.given(
            format!("{name}: pressure in the mould"),
            most(pressure),
            shown(pressure),
            Source::of(pressure),
        ),
        ledger.given(
            format!("{name}: margin on the clamp"),
            clamp.margin,
            Shown::plain(),
            Source::assumed("1.1 to 1.2 is usual"),
        ),
    ];
    let label = format!("{name}: clamp force wanted");
    let node = ledger.product(label.clone(), kilonewton.clone(), &parts);
    figures.add(ledger, &format!("{name} clamp force"), &label, node);
    let station = operation.station.map(|station| works.station(station));
    if let Some(machine) = station.and_then(|station| station.moulding.as_ref()) {
        let source = Source::of(&machine.clamp);
        let least = crate::heat::extremes::ends(&machine.clamp).0;
        let has = ledger.given(
            format!("{name}: clamp force there is"),
            least,
            kilonewton.clone(),
            source,
        );
        let label = format!("{name}: clamp force to spare");
        let spare = ledger.difference(label.clone(), kilonewton, &[has, node]);
        figures.add(ledger, &format!("{name} clamp margin"), &label, spare);
    }
}

fn explain_residence(plan: &MouldPlan, ledger: &mut Ledger, figures: &mut Figures) {
    let Some((shot, residence)) = plan.shot.and_then(|shot| Some((shot, shot.residence_s?))) else {
        return;
    };
    let name = &plan.name;
    let label = format!("{name}: melt stays in the barrel");
    let how = format!(
        "melt in the barrel over a shot of {}, times the cycle",
        grams(shot.shot_kg)
    );
    let node = ledger.found(label.clone(), residence, Shown::seconds(), how);
    figures.add(ledger, &format!("{name} residence"), &label, node);
}
