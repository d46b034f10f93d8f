//! Solvent, held to mol by mol arithmetic: 8.314462618 × 294.15/101325 = 0.0241370 m³ of vapour from a mol at 21 degC.

use super::{codes, figure, near, planned};

fn oven(takes: &str, pace: &str, solvent: &str) -> super::Plan {
    planned(&format!(
        r#"
[station.oven]
calendar = "days"
heat = {{ fresh_air = "300 m3/h" }}
--- routes/sign.toml
[route]
makes = "sign"
unit = "each"

[[operation]]
name = "dry"
at = "oven"
takes = {{ sheet = "1 each"{takes} }}
lost_as = "solvent"
pace = {pace}

[operation.solvent]
{solvent}
molar_mass = "58.08 g/mol"
lower_limit = "2.6 %"
source = "a test"
--- orders.csv
order,item,quantity,due
7,sign,40 each,2026-12-14
"#
    ))
}

const MOLAR: f64 = 8.314_462_618 * 294.15 / 101_325.0;

/// Air for a vapour of 2.6 % at a quarter of the limit, m³/s.
fn air(mol_s: f64) -> f64 {
    mol_s * MOLAR * (1.0 - 0.026) / 0.026 * 4.0
}

#[test]
fn a_load_in_ten_minutes() {
    // 10 × 58.08 g are 10 mol in 600 s: 0.06028 m³/s or 217 m³/h at a quarter of the limit; 300 m³/h are stated.
    let plan = oven(
        "",
        "{ holds = \"10 each\", dwell = \"10 min\" }",
        "amount = \"58.08 g\"\nair = \"21 degC\"",
    );
    let solvent = &plan.solvents[0];
    near(solvent.needed_m3_s, air(10.0 / 600.0), 1e-9);
    near(solvent.needed_m3_s * 3600.0, 217.0, 1e-3);
    near(solvent.covers, 300.0 / 3600.0 / air(10.0 / 600.0), 1e-9);
    // 0.0004023 m³/s of vapour in 0.08333 + 0.0004023 m³/s: 0.4804 % by volume, 18.5 % of the limit.
    near(solvent.comes_to, 0.184_8, 1e-3);
    assert!(solvent.met && solvent.over_s == Some(600.0));
    assert_eq!(codes(&plan), Vec::<&str>::new());
    near(
        figure(&plan, "dry (sign) fresh air"),
        air(10.0 / 600.0),
        1e-9,
    );
    // Enough air is no permission: the sentence and the cautions say who decides, always.
    assert!(solvent.sentence.contains("No permission"));
    assert!(
        solvent.cautions[0].contains("local code")
            && solvent.cautions[0].contains("safety data sheet")
    );
    assert!(solvent.share_by.contains("NFPA 86"));
}

#[test]
fn the_time_it_goes_off_in_the_share_and_the_heat_count() {
    // Half the time and half the share want four times as much.
    let plan = oven(
        "",
        "{ holds = \"10 each\", dwell = \"10 min\" }",
        "amount = \"58.08 g\"\nair = \"21 degC\"\nover = \"5 min\"\nat_most = \"12.5 %\"",
    );
    near(plan.solvents[0].needed_m3_s, 4.0 * air(10.0 / 600.0), 1e-9);
    assert_eq!(codes(&plan), ["fresh-air-short"]);
    // 175 degC: the limit falls to 1 - 0.000721 × 150 = 0.89185 of itself (SF-06 of the project's checks).
    let hot = oven(
        "",
        "{ holds = \"10 each\", dwell = \"10 min\" }",
        "amount = \"58.08 g\"\nair = \"175 degC\"",
    );
    near(hot.solvents[0].hot_limit, 0.026 * 0.891_85, 1e-9);
    near(
        hot.solvents[0].needed_hot_m3_s / hot.solvents[0].needed_m3_s,
        448.15 / 294.15,
        1e-9,
    );
}

#[test]
fn a_steady_line_and_an_item_that_goes_off() {
    // 0.2 L each of 800 kg/m³, 36.3 % of it solvent: 58.08 g, a mol; one each minute.
    let solvent = "item = \"lacquer\"\nshare = \"36.3 %\"\ndensity = \"800 kg/m3\"\nair = \"21 degC\"\nover = \"5 min\"";
    let each = oven(", lacquer = \"0.2 L\"", "\"1 min\"", solvent);
    near(each.solvents[0].needed_m3_s, air(1.0 / 60.0), 1e-9);
    assert_eq!(each.solvents[0].over_s, None);
    let flow = oven(", lacquer = \"0.2 L\"", "\"60 each/h\"", solvent);
    near(flow.solvents[0].needed_m3_s, air(1.0 / 60.0), 1e-9);
    // The mass of the item says the same without a density.
    let weighed = solvent.replace("density = \"800 kg/m3\"\n", "");
    let by_mass = oven(", lacquer = \"0.2 L\"", "\"1 min\"", &weighed);
    near(by_mass.solvents[0].needed_m3_s, air(1.0 / 60.0), 1e-9);
    // A volume: 72.6 mL of 800 kg/m³ are a mol as well.
    let volume = oven(
        "",
        "\"1 min\"",
        "amount = \"72.6 mL\"\ndensity = \"800 kg/m3\"\nair = \"21 degC\"\nover = \"30 s\"",
    );
    // Each is done in half the time of its pace: twice the rate while it lasts.
    near(volume.solvents[0].needed_m3_s, air(1.0 / 30.0), 1e-9);
}
