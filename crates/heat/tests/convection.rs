//! Coefficients against worked examples of textbooks and against other fits.

use heat::convection::{
    Fluid, Natural, Streamed, Surroundings, USUAL, air, air_stream, churchill_bernstein,
    flat_plate, hilpert, natural, radiation, rayleigh, still_air, through_cover, whitaker,
    zukauskas,
};

fn near(found: f64, expected: f64, tolerance: f64) {
    assert!(
        (found - expected).abs() <= tolerance,
        "found {found}, expected {expected} within {tolerance}"
    );
}

fn fluid(viscosity: f64, conductivity: f64, prandtl: f64) -> Fluid {
    Fluid {
        viscosity_m2_s: viscosity,
        conductivity_w_m_k: conductivity,
        prandtl,
    }
}

#[test]
fn cylinder_across_the_flow() {
    // H-80, Incropera Ex 7.4 (read: 105); computed to 10 digits.
    let stream = fluid(15.89e-6, 0.0263, 0.707);
    let found = zukauskas(10.0, 0.0127, &stream, 0.690).unwrap();
    near(found.number, 7_992.448_081, 1e-5);
    near(found.nusselt, 50.525_312_24, 1e-7);
    near(found.coefficient_w_m2_k, 104.631_158_4, 1e-6);
    assert!(found.within);
    // H-81.
    let film = fluid(20.92e-6, 0.0300, 0.70);
    let found = churchill_bernstein(10.0, 0.0127, &film).unwrap();
    near(found.number, 6_070.745_698, 1e-5);
    near(found.nusselt, 40.636_170_78, 1e-7);
    near(found.coefficient_w_m2_k, 95.990_954_6, 1e-6);
    let found = hilpert(10.0, 0.0127, &film).unwrap();
    near(found.nusselt, 37.322_171_44, 1e-7);
    near(found.coefficient_w_m2_k, 88.162_609_71, 1e-6);
    // Incropera Ex 7.5, a canister.
    let found = churchill_bernstein(23.0, 0.11, &fluid(14.56e-6, 0.0252, 0.712)).unwrap();
    near(found.number, 173_763.736_3, 1e-3);
    near(found.nusselt, 315.82185, 1e-5);
    near(found.coefficient_w_m2_k, 72.351_914_72, 1e-6);
}

#[test]
fn upright_plate() {
    // H-82, Incropera Ex 9.2 (read: Ra 1.813e9, Nu 147, h 7.0, 1060 W over 1.02 m of width). The book's ice point
    // is 273 and its expansion 2.5e-3 per K, that of 400 K.
    let film = fluid(26.4e-6, 0.0338, 26.4 / 38.3);
    let ra = rayleigh(505.0, 296.0, 0.71, 400.0, &film).unwrap();
    near(ra / 1_814_377_483.0, 1.0, 1e-9);
    let found = natural(Natural::Upright, ra, 0.71, &fluid(26.4e-6, 0.0338, 0.69)).unwrap();
    near(found.nusselt, 147.153_726_5, 1e-6);
    near(found.coefficient_w_m2_k, 7.005_346_418, 1e-7);
    near(found.coefficient_w_m2_k * 0.71 * 1.02 * 209.0, 1060.0, 1.0);
}

#[test]
fn sphere_in_a_stream() {
    // H-83, Incropera Ex 7.6 (read: 71.2 s with a rounded exponent).
    let stream = fluid(15.53e-6, 0.0251, 0.708);
    let found = whitaker(10.0, 0.01, &stream, 182.6 / 197.8).unwrap();
    near(found.number, 6_439.150_032, 1e-5);
    near(found.nusselt, 47.133_243_03, 1e-7);
    near(found.coefficient_w_m2_k, 118.30444, 1e-5);
    // The printed range of the viscosity ratio begins at 1; the book uses it regardless, the answer says so.
    assert!(!found.within);
    let stores = 8933.0 * 388.0 * 0.01 / 6.0;
    let copper = heat::closed::lumped::Lumped::in_air(stores, found.coefficient_w_m2_k, 296.0);
    near(copper.time_s(348.0, 308.0).unwrap(), 71.599_597_12, 1e-6);
}

#[test]
fn plate_in_a_stream() {
    // H-84: Re 1e5 and 1e6 at Pr 0.7.
    let unit = fluid(1e-5, 0.026, 0.7);
    let laminar = flat_plate(1.0, 1.0, &unit).unwrap();
    near(laminar.nusselt, 186.437_852_9, 1e-6);
    let mixed = flat_plate(10.0, 1.0, &unit).unwrap();
    near(mixed.nusselt, 1_299.484_954, 1e-5);
    assert!(laminar.within && mixed.within);
    assert!(!flat_plate(2000.0, 1.0, &unit).unwrap().within);
    // The two forms meet within 2 % where they change.
    let (below, above) = (
        flat_plate(4.9999, 1.0, &unit).unwrap(),
        flat_plate(5.0001, 1.0, &unit).unwrap(),
    );
    near(above.nusselt / below.nusselt, 1.0, 0.02);
}

#[test]
fn lying_plates() {
    // By hand: Ra 1e6: 0.54 × 31.6228 = 17.0763; 0.27 × 31.6228 = 8.5381; Ra 1e9: 0.15 × 1000.
    let unit = fluid(1e-5, 1.0, 0.7);
    let nusselt = |surface, ra| natural(surface, ra, 1.0, &unit).unwrap().nusselt;
    near(nusselt(Natural::Free, 1e6), 17.0763, 1e-4);
    near(nusselt(Natural::Held, 1e6), 8.5381, 1e-4);
    near(nusselt(Natural::Free, 1e9), 150.0, 1e-9);
    assert!(!natural(Natural::Held, 1e3, 1.0, &unit).unwrap().within);
    // No motion left: conduction from a sphere is 2, from the others' forms a², as printed.
    near(nusselt(Natural::Sphere, 1e-12), 2.0, 1e-3);
    near(nusselt(Natural::Cylinder, 1e-30), 0.36, 1e-4);
    assert!(natural(Natural::Upright, 0.0, 1.0, &unit).is_err());
}

#[test]
fn tables_of_cylinders_hang_together() {
    // Zukauskas and Hilpert against Churchill & Bernstein, same fluid: within 20 %, which each is said to be good
    // to. From Re 1e5 to 4e5 the last is known to be low (by up to 32 % against these), so that the comparison ends
    // there.
    let unit = fluid(1.0, 1.0, 0.7);
    for step in 0..44 {
        let re = libm::pow(10.0, 0.7 + 0.1 * f64::from(step));
        let smooth = churchill_bernstein(re, 1.0, &unit).unwrap();
        for other in [
            zukauskas(re, 1.0, &unit, 0.7).unwrap(),
            hilpert(re, 1.0, &unit).unwrap(),
        ] {
            near(other.nusselt / smooth.nusselt, 1.0, 0.20);
        }
    }
}

#[test]
fn air_agrees_with_another_fit() {
    // Fits printed elsewhere (read; said to be within 0.15 % of tables from 200 to 400 K): viscosity 1.4592e-6
    // T^1.5 / (T + 109.10), conductivity 2.3340e-3 T^1.5 / (T + 164.54), density 351.99/T + 344.88/T², heat
    // capacity 1030.5 − 0.19975 T + 3.9734e-4 T². The table's viscosity is up to 0.9 % below, its conductivity up
    // to 2.2 % above (at 400 K); to correlations that are good to 20 % that is one and the same.
    for step in 0..=20 {
        let t = 200.0 + 10.0 * f64::from(step);
        let power = t * t.sqrt();
        let viscosity = 1.4592e-6 * power / (t + 109.10);
        let conductivity = 2.3340e-3 * power / (t + 164.54);
        let density = 351.99 / t + 344.88 / (t * t);
        let capacity = 1030.5 - 0.19975 * t + 3.9734e-4 * t * t;
        let found = air(t, 101_325.0).unwrap();
        near(found.viscosity_m2_s / (viscosity / density), 1.0, 0.012);
        near(found.conductivity_w_m_k / conductivity, 1.0, 0.023);
        near(
            found.prandtl / (viscosity * capacity / conductivity),
            1.0,
            0.025,
        );
    }
    assert!(air(199.0, 101_325.0).is_err());
    assert!(air(300.0, 0.0).is_err());
    // Half the pressure, twice the kinematic viscosity.
    let thin = air(300.0, 50_662.5).unwrap();
    near(
        thin.viscosity_m2_s / air(300.0, 101_325.0).unwrap().viscosity_m2_s,
        2.0,
        1e-12,
    );
}

#[test]
fn covers_and_radiation() {
    // 25 W/(m² K) behind 4 mm of carton at 0.065 W/(m K): 1/(0.04 + 0.0615385) = 9.8485.
    near(through_cover(25.0, 0.004 / 0.065).unwrap(), 9.8485, 1e-4);
    near(through_cover(25.0, 0.0).unwrap(), 25.0, 1e-12);
    assert!(through_cover(25.0, -0.1).is_err());
    // The coefficient times the difference is the difference of the fourth powers.
    let (a, b) = (448.0_f64, 298.0_f64);
    let exact = 0.8 * 5.670_374_419e-8 * (a * a * a * a - b * b * b * b);
    near(radiation(0.8, a, b).unwrap() * (a - b) / exact, 1.0, 1e-14);
}

#[test]
fn usual_ranges_are_ranges_in_order() {
    assert!(USUAL.windows(2).all(|pair| pair[0].name < pair[1].name));
    assert!(
        USUAL
            .iter()
            .all(|u| 0.0 < u.low_w_m2_k && u.low_w_m2_k < u.high_w_m2_k && !u.source.is_empty())
    );
}

#[test]
fn settings_pick_air_and_correlation() {
    // The examples above again with this crate's air, which is 1.3 % denser at 300 K than the book's. The sphere is held to its Nusselt
    // number: the book's conductivity there, 0.0251 at 296 K, is 3 % below its own table.
    let around = |surface_k, air_k| Surroundings {
        surface_k,
        air_k,
        pressure_pa: 101_325.0,
    };
    let plate = still_air(Natural::Upright, 0.71, around(505.0, 296.0)).unwrap();
    near(plate.coefficient_w_m2_k / 7.005, 1.0, 0.02);
    let rod = air_stream(Streamed::Cylinder, 10.0, 0.0127, around(401.0, 299.0)).unwrap();
    near(rod.coefficient_w_m2_k / 95.99, 1.0, 0.02);
    let ball = air_stream(Streamed::Sphere, 10.0, 0.01, around(328.0, 296.0)).unwrap();
    near(ball.nusselt / 47.133, 1.0, 0.02);
    let tray = air_stream(Streamed::Plate, 4.0, 0.3, around(263.0, 243.0)).unwrap();
    assert!((10.0..25.0).contains(&tray.coefficient_w_m2_k) && tray.within);
    assert!(still_air(Natural::Upright, 0.1, around(300.0, 300.0)).is_err());
}
