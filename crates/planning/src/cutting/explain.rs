//! Cutting figures with their reasons.

use works::Works;

use super::{CutPlan, Work};
use crate::figure::Figures;
use crate::reason::{Ledger, NodeId, Shown, Source};

/// Enters what each cutting plan found.
pub(crate) fn explain(
    works: &Works,
    plans: &[CutPlan],
    ledger: &mut Ledger,
    figures: &mut Figures,
) {
    for plan in plans {
        used_share(works, plan, ledger, figures);
        stock_cut(works, plan, ledger, figures);
        if let Work::Boards(work) = &plan.work
            && work.measured > 0
        {
            let name = format!("{} parts from one board", plan.name);
            let source = Source::Measured {
                readings: work.measured,
                how: format!(
                    "{}; standard deviation {} from board to board, {} from lot to lot",
                    plan.how,
                    quantity::show_number(round(work.each_sd)),
                    quantity::show_number(round(work.lots_sd))
                ),
                at: works
                    .operation(plan.operation)
                    .cut
                    .as_ref()
                    .map(|cut| cut.at),
            };
            let node = ledger.given(name.clone(), work.per_board, Shown::plain(), source);
            figures.add(ledger, &name, &name, node);
        }
    }
}

fn round(x: f64) -> f64 {
    (x * 100.0).round() / 100.0
}

/// Area where there is width, else length.
fn size_unit(plan: &CutPlan) -> Shown {
    if plan.stock.iter().any(|line| line.width_m.is_some()) {
        Shown::new("m2", 1.0)
    } else {
        Shown::new("m", 1.0)
    }
}

/// Parts over stock cut up.
fn used_share(works: &Works, plan: &CutPlan, ledger: &mut Ledger, figures: &mut Figures) {
    // Of boards the share is that of the measured ones, each cut for the most.
    if matches!(plan.work, Work::Boards(_)) {
        let name = format!("{} share of the board used", plan.name);
        let node = ledger.found(
            name.clone(),
            plan.used_share,
            Shown::percent(),
            plan.how.clone(),
        );
        figures.add(ledger, &name, &name, node);
        return;
    }
    let unit = size_unit(plan);
    // Sizes stand where the cut is written; the length of a frame's blank follows from what is written there.
    let operation = works.operation(plan.operation);
    let written = Source::at(operation.cut.as_ref().map_or(operation.at, |cut| cut.at));
    let pieces = |ledger: &mut Ledger, name: &str, count: f64, length: f64, width: Option<f64>| {
        let count = ledger.found(
            format!("{name}: pieces"),
            count,
            Shown::plain(),
            "cutting plan".to_owned(),
        );
        let at = written.clone();
        let length = ledger.given(
            format!("{name}: length"),
            length,
            Shown::new("m", 1.0),
            at.clone(),
        );
        let mut factors = vec![count, length];
        if let Some(width) = width {
            factors.push(ledger.given(format!("{name}: width"), width, Shown::new("m", 1.0), at));
        }
        ledger.product(name.to_owned(), unit.clone(), &factors)
    };
    let parts: Vec<NodeId> = plan
        .parts
        .iter()
        .map(|part| {
            pieces(
                ledger,
                &part.name,
                part.made as f64,
                part.length_m,
                part.width_m,
            )
        })
        .collect();
    let stock: Vec<NodeId> = plan
        .stock
        .iter()
        .enumerate()
        .map(|(number, line)| {
            let name = format!("stock size {}", number + 1);
            pieces(ledger, &name, line.used as f64, line.length_m, line.width_m)
        })
        .collect();
    let parts = ledger.sum("all parts", unit.clone(), &parts);
    let stock = ledger.sum("all stock cut up", unit, &stock);
    if ledger.value(stock) > 0.0 {
        let name = format!("{} share of the stock used", plan.name);
        let node = ledger.quotient(name.clone(), Shown::percent(), &[parts, stock]);
        figures.add(ledger, &name, &name, node);
    }
}

/// Pieces of stock that the plan cuts up.
fn stock_cut(works: &Works, plan: &CutPlan, ledger: &mut Ledger, figures: &mut Figures) {
    for line in &plan.stock {
        let item = &works.item(line.item).name;
        let name = format!("{} {item} cut up", plan.name);
        let proof = match &plan.work {
            Work::Bars(work) if work.proved => "proved least in cost",
            Work::Sheets(work) if work.proved => "proved least in cost",
            Work::Bars(_) | Work::Sheets(_) => "best found, not proved least",
            Work::Boards(work) if work.pack.as_ref().is_some_and(|pack| pack.enough) => {
                "the measured boards that the plan opens"
            }
            Work::Boards(_) => "as many as the needs take on average",
        };
        let node = ledger.found(
            name.clone(),
            line.used as f64,
            Shown::plain(),
            proof.to_owned(),
        );
        figures.add(ledger, &name, &name, node);
    }
}
