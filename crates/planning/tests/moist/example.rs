//! The example works: what its salt, kiln, oven and mould come to.

use std::path::Path;

use planning::{Options, Plan};
use works::Files;

use super::near;

fn folder(at: &Path, top: &Path, files: &mut Files) {
    for entry in std::fs::read_dir(at).expect("the example is there") {
        let path = entry.expect("a readable folder").path();
        if path.is_dir() {
            folder(&path, top, files);
        } else {
            let name = path.strip_prefix(top).expect("below the top");
            let bytes = std::fs::read(&path).expect("readable");
            files.insert(name.to_string_lossy().replace('\\', "/"), bytes);
        }
    }
}

fn fenmoor() -> Plan {
    let top = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/fenmoor");
    let mut files = Files::new();
    folder(&top, &top, &mut files);
    let works = works::read(&files).works.expect("the example reads");
    let options = Options::new("2026-11-16".parse().expect("a date"));
    planning::plan(&works, &options, &mut |_| {}).expect("the example has a balance")
}

#[test]
fn everything_asked_has_an_answer() {
    let plan = fenmoor();
    let found = (
        plan.salting.len(),
        plan.drying.len(),
        plan.solvents.len(),
        plan.mouldings.len(),
    );
    assert_eq!(found, (1, 1, 1, 1));
    // 38 g × 74 % for a kg that keeps 95.5 %: 2.945 %.
    for piece in &plan.salting[0].pieces {
        near(piece.at_end.of_piece.mean, 0.038 * 0.74 / 0.955, 1e-9);
    }
    // Six pieces told by their curves; the load loses 9.5 % within its stated 9 h.
    assert!(
        plan.drying[0]
            .load
            .as_ref()
            .is_some_and(|load| load.met == Some(true))
    );
    assert!(
        plan.drying[0]
            .pieces
            .iter()
            .all(|piece| piece.own.is_some())
    );
    // 96 × 9 g/(106 g/mol)/360 s at 195 degC, limit 1 % × (1 - 0.000721 × 170) = 0.87743 %: 889 m³/h of the stated 1,400.
    let vapour = 96.0 * 9.0 / 106.0 / 360.0 * 8.314_462_618 * 294.15 / 101_325.0;
    let limit = 0.008_774_3;
    near(
        plan.solvents[0].needed_m3_s,
        vapour * (1.0 - limit) / limit * 4.0,
        1e-6,
    );
    // 46 cm² × 45 MPa = 207 kN.
    near(
        plan.mouldings[0].clamp.expect("a clamp").opens_n,
        207e3,
        1e-9,
    );
    near(plan.mouldings[0].shot.expect("a shot").shot_kg, 0.040, 1e-9);
}
