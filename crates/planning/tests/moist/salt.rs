//! Salt, held to the series of Crank (The Mathematics of Diffusion, 1975, section 4.3, from memory) written out here anew.

use std::f64::consts::PI;

use planning::moisture::{SaltPiece, SaltPlan};

use super::{codes, figure, near, planned};

fn fish(salted: &str, needs: &str, dwell: &str) -> super::Plan {
    planned(&format!(
        r#"
[station."cold room"]
calendar = "days"
--- routes/fish.toml
[route]
makes = "salt fish"
unit = "kg"

[[operation]]
name = "salt"
at = "cold room"
takes = {{ fillet = "1 kg", "fine salt" = "40 g" }}
keeps = "95 %"
lost_as = "brine"
pace = {{ holds = "100 kg", dwell = "{dwell}" }}

[operation.salt]
{salted}
needs = [
{needs}
]
--- orders.csv
order,item,quantity,due
7,salt fish,60 kg,2026-12-14
"#
    ))
}

fn piece<'p>(plan: &'p SaltPlan, name: &str) -> &'p SaltPiece {
    let found = plan.pieces.iter().find(|piece| piece.name == name);
    found.unwrap_or_else(|| {
        panic!(
            "no `{name}` in {:?}",
            plan.pieces.iter().map(|p| &p.name).collect::<Vec<_>>()
        )
    })
}

/// Share of the final uptake of a plate with held faces, by eight terms of its series.
fn uptake(fo: f64) -> f64 {
    let terms = (0..8).map(|n| f64::from(2 * n + 1));
    1.0 - terms
        .map(|p| 8.0 / (p * PI).powi(2) * (-p * p * PI * PI / 4.0 * fo).exp())
        .sum::<f64>()
}

/// Share of the face's level that the middle has.
fn middle(fo: f64) -> f64 {
    let terms = (0..8).map(|n| (f64::from(2 * n + 1), if n % 2 == 0 { 1.0 } else { -1.0 }));
    1.0 - terms
        .map(|(p, sign)| sign * 4.0 / (p * PI) * (-p * p * PI * PI / 4.0 * fo).exp())
        .sum::<f64>()
}

/// First cosine of the profile after contact, for a face at 1: what dies last while the piece evens out.
fn first_cosine(fo: f64) -> f64 {
    let terms = (0..8).map(|n| (f64::from(2 * n + 1), if n % 2 == 0 { 1.0 } else { -1.0 }));
    -terms
        .map(|(p, sign)| {
            let (wide, narrow) = ((p / 2.0 + 1.0) * PI, (p / 2.0 - 1.0) * PI);
            let overlap = wide.sin() / wide + narrow.sin() / narrow;
            sign * 4.0 / (p * PI) * (-p * p * PI * PI / 4.0 * fo).exp() * overlap
        })
        .sum::<f64>()
}

#[test]
fn a_held_face_follows_the_series() {
    // 20 mm, both faces, 2e-10 m2/s: l = 10 mm, Fo = 0.2 after 0.2 × 1e-4/2e-10 = 1e5 s. Keeps 95 % and 70 % water: 0.665 kg of water
    // for a kg green. 20 % in the water at the face: 0.25 × 0.665 = 0.16625 kg.
    let plan = fish(
        "thick = \"20 mm\"\ndiffusivity = \"2e-10 m2/s\"\nsurface = \"20 %\"\ncontact = \"100,000 s\"\nwater = \"70 %\"",
        "{ at_least = \"1 %\", source = \"a test\" }",
        "30 h",
    );
    let salt = &plan.salting[0];
    let found = piece(salt, "every piece");
    let water = 0.7 * 0.95;
    let face = 0.25 * water;
    let of_water = |level: f64| level / (level + water);
    near(found.after_contact.of_water.surface, 0.2, 1e-9);
    near(
        found.after_contact.of_piece.mean,
        face * uptake(0.2) / 0.95,
        1e-9,
    );
    near(
        found.after_contact.of_water.core,
        of_water(face * middle(0.2)),
        1e-9,
    );
    // No time to even out: the end is the end of contact.
    assert_eq!(found.at_end, found.after_contact);
    assert_eq!(salt.even.does, None);
    assert!(found.books.unexplained.abs() < 1e-6 * found.books.ends);
    // The curves are those of a quarter and half of the contact, and of its end.
    let times: Vec<f64> = found.curves.iter().map(|curve| curve.time_s).collect();
    assert_eq!(times, [25_000.0, 50_000.0, 100_000.0]);
    let last = &found.curves[2].of_water;
    near(last.first().expect("a face").1, 0.2, 1e-9);
    near(
        last.last().expect("a middle").1,
        found.at_end.of_water.core,
        1e-12,
    );
    near(last.last().expect("a middle").0, 0.010, 1e-12);
}

#[test]
fn a_dose_ends_even_by_arithmetic_whichever_way_it_goes_in() {
    // 40 g for a kg, 75 % of it goes in: 30 g. Keeps 95 %: 3.158 % of the piece; 30/(30 + 0.68 × 950) = 4.438 % of its water.
    let plan = fish(
        "thick = \"16..24 mm\"\ndiffusivity = \"2e-10 m2/s\"\nitem = \"fine salt\"\nuptake = \"75 %\"\nequalise = \"30 d\"\nwater = \"68 %\"",
        "{ at_least = \"3.5 %\", source = \"a test\" },\n{ of = \"piece\", where = \"mean\", at_least = \"2.5 %\", at_most = \"3.5 %\", source = \"a test\" }",
        "24 h",
    );
    let salt = &plan.salting[0];
    assert_eq!(
        salt.pieces.len(),
        4,
        "two sizes, each salted fast and slowly"
    );
    for piece in &salt.pieces {
        near(piece.at_end.of_piece.mean, 0.03 / 0.95, 1e-9);
        // 30 days are 2.6e6 s × 2e-10/(12 mm)² = 3.6 Fourier numbers: even to e^-35.
        near(
            piece.at_end.of_water.core,
            0.03 / (0.03 + 0.68 * 0.95),
            1e-9,
        );
        near(piece.books.laid_on.expect("a dose"), 0.04, 1e-12);
        near(piece.books.runs_off, 0.01, 1e-12);
        near(piece.books.ends, 0.03, 1e-9);
        assert!(piece.books.left_over < 1e-12 && piece.books.unexplained.abs() < 1e-9);
    }
    assert!(salt.does_its_job() && salt.even.does == Some(true));
    assert_eq!(codes(&plan), Vec::<&str>::new());
    near(
        figure(&plan, "salt (salt fish) core salt in water"),
        0.03 / (0.03 + 0.68 * 0.95),
        1e-9,
    );
    // 3.5 % - 3.158 % = 0.342 points is nearer than 3.158 % - 2.5 %.
    near(
        figure(&plan, "salt (salt fish) mean salt margin"),
        0.035 - 0.03 / 0.95,
        1e-9,
    );
    assert!(
        salt.cautions[0].contains("screening estimate")
            && salt.cautions[0].contains("competent person decides")
    );
}

#[test]
fn the_slow_way_and_its_evening_out_follow_the_series() {
    // 24 mm: l = 12 mm, l²/D = 7.2e5 s; 24 h are Fo = 0.12, 48 h of rest another 0.24. 30 g go in over all of the contact, so the face is
    // held at 30 g/uptake(0.12).
    let plan = fish(
        "thick = \"24 mm\"\ndiffusivity = \"2e-10 m2/s\"\nitem = \"fine salt\"\nuptake = \"75 %\"\nequalise = \"48 h\"\nwater = \"68 %\"",
        "{ at_least = \"3.5 %\", source = \"a test\" }",
        "24 h",
    );
    let salt = &plan.salting[0];
    let slow = piece(salt, "every piece, salt in slowly");
    let (fo, water) = (0.12, 0.68 * 0.95);
    let face = 0.03 / uptake(fo);
    let of_water = |level: f64| level / (level + water);
    near(slow.after_contact.of_water.surface, of_water(face), 1e-9);
    near(
        slow.after_contact.of_water.core,
        of_water(face * middle(fo)),
        1e-9,
    );
    near(slow.after_contact.of_piece.mean, 0.03 / 0.95, 1e-9);
    // While nothing passes, the middle is mean + a1 e^(-π² Fo), the next cosine being e^(-4 π² 0.24) = 8e-5 of what it was.
    let core = |fo_rest: f64| 0.03 + face * first_cosine(fo) * (-PI * PI * fo_rest).exp();
    near(slow.at_end.of_water.core, of_water(core(0.24)), 1e-4);
    // Even within a tenth when a1 e^(-π² Fo) is -0.003.
    let takes = (face * -first_cosine(fo) / 0.003).ln() / (PI * PI) * 7.2e5;
    near(salt.even.takes_s, takes, 1e-3);
    // The need is met first when the middle holds water × 0.035/0.965.
    let wanted = water * 0.035 / 0.965;
    let shortest = (face * -first_cosine(fo) / (0.03 - wanted)).ln() / (PI * PI) * 7.2e5;
    // Times are looked at in steps of an eighth, each cut in 64.
    near(salt.window.shortest_s.expect("a shortest"), shortest, 3e-3);
    assert_eq!(salt.window.longest_s, None);
}

#[test]
fn thick_pieces_are_the_slow_ones_and_the_worst_counts() {
    let plan = fish(
        "thick = \"18 / 22 / 27 mm\"\ndiffusivity = \"1.8e-10..2.4e-10 m2/s\"\nitem = \"fine salt\"\nuptake = \"70..80 %\"\nequalise = \"24 h\"\nwater = \"66..70 %\"",
        "{ at_least = \"3.5 %\", source = \"a test\" }",
        "24 h",
    );
    let salt = &plan.salting[0];
    let worst = &salt.pieces[salt.needs[0].worst];
    assert_eq!(worst.name, "thickest piece, salt in slowly");
    for pair in salt.needs[0].values.windows(2) {
        assert!(pair[0] < pair[1], "{:?}", salt.needs[0].values);
    }
    assert_eq!(codes(&plan), ["need-missed", "salt-uneven"]);
    assert!(
        salt.needs[0].sentence.contains("short of the limit"),
        "{}",
        salt.needs[0].sentence
    );
    assert!(
        salt.even.sentence.ends_with("the stated 24 h does not"),
        "{}",
        salt.even.sentence
    );
}

#[test]
fn a_dose_too_large_for_its_contact_is_left_over() {
    // Half an hour at the most that brine can: 0.357 × 0.646 = 0.2306 kg at the face, 2 sqrt(D t/π)/l of it: 0.0677 -> 15.6 g of 30 g.
    let plan = fish(
        "thick = \"20 mm\"\ndiffusivity = \"2e-10 m2/s\"\nitem = \"fine salt\"\nuptake = \"75 %\"\nequalise = \"9 d\"\nwater = \"68 %\"",
        "{ at_least = \"0.5 %\", source = \"a test\" }",
        "30 min",
    );
    let salt = &plan.salting[0];
    let found = piece(salt, "every piece");
    let taken = 0.357 * 0.68 * 0.95 * 2.0 * (2e-10 * 1800.0 / PI).sqrt() / 0.010;
    near(found.books.ends, taken, 1e-6);
    near(found.books.left_over, 0.03 - taken, 1e-6);
    assert_eq!(found.used_up_s, None);
}
