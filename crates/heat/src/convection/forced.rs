//! Air or water that is driven past a piece: plate, cylinder across the flow, sphere.

use super::{Coefficient, Fluid};
use crate::fault::{Fault, positive};

fn reynolds(speed_m_s: f64, length_m: f64, fluid: &Fluid) -> Result<f64, Fault> {
    positive("speed", speed_m_s)?;
    positive("length along the flow", length_m)?;
    fluid.check()?;
    Ok(speed_m_s * length_m / fluid.viscosity_m2_s)
}

fn third(prandtl: f64) -> f64 {
    libm::cbrt(prandtl)
}

/// Where flow along a plate becomes turbulent.
const TURNS: f64 = 5e5;

/// Average over a flat plate that the flow goes along. Laminar to Re 5e5, `0.664 Re^½ Pr^⅓` (Pohlhausen 1921);
/// beyond, laminar then turbulent, `(0.037 Re^0.8 − 871) Pr^⅓` (both as in Incropera & DeWitt, memory). Fluid at
/// the mean of surface and stream.
pub fn flat_plate(speed_m_s: f64, length_m: f64, fluid: &Fluid) -> Result<Coefficient, Fault> {
    let re = reynolds(speed_m_s, length_m, fluid)?;
    let pr = fluid.prandtl;
    let (nusselt, source) = if re <= TURNS {
        (
            0.664 * re.sqrt() * third(pr),
            "flat plate, laminar: Pohlhausen; Pr 0.6 or more, Re up to 5e5",
        )
    } else {
        (
            (0.037 * libm::pow(re, 0.8) - 871.0) * third(pr),
            "flat plate, laminar then turbulent: Incropera & DeWitt; Pr 0.6 to 60, Re 5e5 to 1e8",
        )
    };
    let within = pr >= 0.6 && (re <= TURNS || (pr <= 60.0 && re <= 1e8));
    Ok(Coefficient::new(
        re, nusselt, fluid, length_m, within, source,
    ))
}

/// Cylinder across the flow: Churchill & Bernstein 1977. Fluid at the mean of surface and stream.
pub fn churchill_bernstein(
    speed_m_s: f64,
    diameter_m: f64,
    fluid: &Fluid,
) -> Result<Coefficient, Fault> {
    let re = reynolds(speed_m_s, diameter_m, fluid)?;
    let pr = fluid.prandtl;
    let wake = libm::pow(1.0 + libm::pow(re / 282_000.0, 0.625), 0.8);
    let film = libm::pow(1.0 + libm::pow(0.4 / pr, 2.0 / 3.0), 0.25);
    let nusselt = 0.3 + 0.62 * re.sqrt() * third(pr) / film * wake;
    Ok(Coefficient::new(
        re,
        nusselt,
        fluid,
        diameter_m,
        re * pr >= 0.2 && re <= 1e7,
        "cylinder across the flow: Churchill & Bernstein 1977; Re Pr 0.2 or more, Re up to 1e7",
    ))
}

/// The row of a table for a number: the last whose start is not above it.
fn row<const N: usize>(table: &[[f64; N]], number: f64) -> [f64; N] {
    let after = table.partition_point(|row| row[0] <= number);
    table[after.max(1) - 1]
}

/// Re from, C, m.
const ZUKAUSKAS: [[f64; 3]; 4] = [
    [1.0, 0.75, 0.4],
    [40.0, 0.51, 0.5],
    [1e3, 0.26, 0.6],
    [2e5, 0.076, 0.7],
];

/// Cylinder across the flow: Zukauskas 1972, `C Re^m Pr^n (Pr/Pr_surface)^¼` with n = 0.37 up to Pr 10, 0.36
/// beyond. Fluid at the stream's temperature; its Prandtl number at the surface's.
pub fn zukauskas(
    speed_m_s: f64,
    diameter_m: f64,
    fluid: &Fluid,
    surface_prandtl: f64,
) -> Result<Coefficient, Fault> {
    let re = reynolds(speed_m_s, diameter_m, fluid)?;
    positive("Prandtl number", surface_prandtl)?;
    let pr = fluid.prandtl;
    let [_, c, m] = row(&ZUKAUSKAS, re);
    let n = if pr <= 10.0 { 0.37 } else { 0.36 };
    let nusselt = c * libm::pow(re, m) * libm::pow(pr, n) * libm::pow(pr / surface_prandtl, 0.25);
    Ok(Coefficient::new(
        re,
        nusselt,
        fluid,
        diameter_m,
        (1.0..=1e6).contains(&re) && (0.7..=500.0).contains(&pr),
        "cylinder across the flow: Zukauskas 1972; Re 1 to 1e6, Pr 0.7 to 500",
    ))
}

/// Re from, C, m.
const HILPERT: [[f64; 3]; 5] = [
    [0.4, 0.989, 0.330],
    [4.0, 0.911, 0.385],
    [40.0, 0.683, 0.466],
    [4e3, 0.193, 0.618],
    [4e4, 0.027, 0.805],
];

/// Cylinder across the flow: Hilpert 1933, `C Re^m Pr^⅓` (Pr after Knudsen & Katz). Fluid at the mean of surface
/// and stream.
pub fn hilpert(speed_m_s: f64, diameter_m: f64, fluid: &Fluid) -> Result<Coefficient, Fault> {
    let re = reynolds(speed_m_s, diameter_m, fluid)?;
    let [_, c, m] = row(&HILPERT, re);
    let nusselt = c * libm::pow(re, m) * third(fluid.prandtl);
    Ok(Coefficient::new(
        re,
        nusselt,
        fluid,
        diameter_m,
        (0.4..=4e5).contains(&re) && fluid.prandtl >= 0.7,
        "cylinder across the flow: Hilpert 1933; Re 0.4 to 4e5, Pr 0.7 or more",
    ))
}

/// Sphere: Whitaker 1972, `2 + (0.4 Re^½ + 0.06 Re^⅔) Pr^0.4 (mu/mu_surface)^¼`. Fluid at the stream's temperature;
/// the ratio is of dynamic viscosities, stream over surface.
pub fn whitaker(
    speed_m_s: f64,
    diameter_m: f64,
    fluid: &Fluid,
    viscosity_ratio: f64,
) -> Result<Coefficient, Fault> {
    let re = reynolds(speed_m_s, diameter_m, fluid)?;
    positive("ratio of viscosities", viscosity_ratio)?;
    let pr = fluid.prandtl;
    let moved = 0.4 * re.sqrt() + 0.06 * libm::pow(re, 2.0 / 3.0);
    let nusselt = 2.0 + moved * libm::pow(pr, 0.4) * libm::pow(viscosity_ratio, 0.25);
    Ok(Coefficient::new(
        re,
        nusselt,
        fluid,
        diameter_m,
        (3.5..=7.6e4).contains(&re)
            && (0.71..=380.0).contains(&pr)
            && (1.0..=3.2).contains(&viscosity_ratio),
        "sphere: Whitaker 1972; Re 3.5 to 7.6e4, Pr 0.71 to 380, viscosity ratio 1 to 3.2",
    ))
}
