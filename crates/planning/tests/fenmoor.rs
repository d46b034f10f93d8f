//! The example works, planned whole: it can be done, its mass adds up, and every figure follows
//! from its reasons.

use std::path::Path;

use planning::{Options, Plan};
use works::{Files, Severity, Works};

fn folder(at: &Path, top: &Path, files: &mut Files) {
    for entry in std::fs::read_dir(at).expect("the example is there") {
        let path = entry.expect("a readable folder").path();
        if path.is_dir() {
            folder(&path, top, files);
        } else {
            let name = path
                .strip_prefix(top)
                .expect("below the top")
                .to_string_lossy();
            files.insert(
                name.replace('\\', "/"),
                std::fs::read(&path).expect("readable"),
            );
        }
    }
}

fn fenmoor() -> Works {
    let top = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/fenmoor");
    let mut files = Files::new();
    folder(&top, &top, &mut files);
    works::read(&files).works.expect("the example reads")
}

fn planned() -> Plan {
    let options = Options::new("2026-11-16".parse().expect("a date"));
    planning::plan(&fenmoor(), &options, &mut |_| {}).expect("the example has a balance")
}

#[test]
fn it_can_be_done() {
    let faults: Vec<String> = planned()
        .notices
        .iter()
        .filter(|notice| notice.severity == Severity::Fault)
        .map(|notice| notice.headline.clone())
        .collect();
    assert_eq!(faults, Vec::<String>::new());
}

#[test]
fn its_mass_adds_up() {
    let plan = planned();
    assert!(!plan.material.mass.routes.is_empty());
    for route in &plan.material.mass.routes {
        let Some(sums) = &route.sums else { continue };
        let value = |node| plan.ledger.value(node);
        let taken = value(sums.taken);
        // TRADE.md section 7.7: explain outside 97 to 103 %.
        assert!(
            value(sums.unexplained).abs() <= 0.03 * taken,
            "{}",
            route.product
        );
    }
}

#[test]
fn every_figure_follows_from_its_reasons() {
    let plan = planned();
    assert_eq!(plan.ledger.faults(1e-9), vec![]);
    for figure in plan.figures.iter() {
        let again = plan.ledger.recompute(figure.node);
        let scale = figure.value.abs().max(1e-9);
        assert!(
            (again - figure.value).abs() <= 1e-9 * scale,
            "{}",
            figure.key
        );
    }
}

#[test]
fn a_unit_cost_is_added_up_from_stated_numbers() {
    let plan = planned();
    for product in &plan.cost.products {
        let costs = std::iter::once((String::new(), &product.plan));
        let asked = product.at.iter().map(|cost| {
            let unit = &fenmoor().item(product.item).unit.clone();
            let quantity = planning::reason::number(unit.from_base(cost.quantity));
            (format!(" at {quantity}"), cost)
        });
        for (at, cost) in costs.chain(asked) {
            let figure = plan.figures.get(&format!("{} unit cost{at}", product.name));
            let value = plan.ledger.recompute(figure.expect("a figure").node);
            assert!(
                (value - cost.likely).abs() <= 1e-9 * cost.likely,
                "{}{at}: {value}, not {}",
                product.name,
                cost.likely
            );
        }
    }
}
