//! Frames folded from notched strip: notches, bend deductions, blank length, and what an angle error opens.
//!
//! The strip starts and ends in the middle of the first side, so that every corner is a fold and the join lies
//! where a lap is easy. Lengths are metres, angles degrees; the sizes given are the outer ones.
//!
//! For a fold through the angle A of strip of thickness t about an inside radius R, with the neutral line at
//! K·t from the inside (sheet-metal practice; the same formulae in Machinery's Handbook, 26th ed., and in
//! TRADE.md 2.4):
//! - outside setback S = (R + t)·tan(A/2): from the apex of the outer faces to where the fold starts;
//! - bend allowance BA = (π/180)·A·(R + K·t): length of the neutral line in the fold;
//! - bend deduction BD = 2S − BA: what the blank is shorter than its outer sides together.

use core::f64::consts::PI;

use thiserror::Error;

/// The strip and how it folds.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct FoldedStrip {
    /// Thickness.
    pub thickness_m: f64,
    /// Inside radius of a fold.
    pub inside_radius_m: f64,
    /// Where the neutral line lies, as a share of the thickness from the inside; 0.33 to 0.5 in practice.
    pub k_factor: f64,
    /// Depth of the flange that is notched and mitred.
    pub flange_m: f64,
    /// How far the ends overlap at the join.
    pub lap_m: f64,
    /// What a fold may be off its angle.
    pub angle_error_deg: f64,
}

/// A frame: outer sides in order, and the turn after each.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Frame {
    /// Outer lengths of the sides, corner to corner.
    pub sides_m: Vec<f64>,
    /// Angle turned through after each side; together 360°.
    pub turns_deg: Vec<f64>,
    /// What it is folded from.
    pub strip: FoldedStrip,
}

/// One fold of the blank.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Fold {
    /// Middle of the notch, from the start of the blank.
    pub position_m: f64,
    /// Angle folded through.
    pub turn_deg: f64,
    /// Length of the neutral line in the fold.
    pub allowance_m: f64,
    /// What this fold shortens the blank by.
    pub deduction_m: f64,
    /// Whole angle of the mitre notch: the flange on both sides closes over the angle folded through.
    pub notch_deg: f64,
    /// Width of the notch at the edge of the flange: 2·flange·tan(A/2).
    pub notch_width_m: f64,
}

/// The blank to cut and notch.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Blank {
    /// Length to cut: perimeter − Σ BD + lap.
    pub length_m: f64,
    /// Folds from the start.
    pub folds: Vec<Fold>,
    /// What the angle error opens at a mitre: flange·tan δ.
    pub corner_gap_m: f64,
}

/// Why a frame cannot be folded. Sides are counted from 0.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
pub enum FrameFault {
    /// A length or angle is negative, or not a number.
    #[error(
        "a length or angle is negative or not a number, or the neutral line lies outside the strip"
    )]
    BadNumber,
    /// Fewer than three sides, or not one turn for each.
    #[error("a frame has at least three sides, and a turn after each")]
    BadShape,
    /// A fold of 180° or more, or none at all.
    #[error("the turn after side {0} is not between 0 and 180 degrees")]
    BadTurn(usize),
    /// The sides do not meet at the start.
    #[error("the sides do not close: the last ends {gap_m} m from the first")]
    Open {
        /// Distance from the end of the last side to the start of the first.
        gap_m: f64,
    },
    /// A side has no room for its folds.
    #[error("side {0} is shorter than the setbacks of its folds")]
    TooShort(usize),
}

/// Sides may miss each other by this share of the perimeter: numbers are often given to a tenth of a millimetre.
const CLOSES_WITHIN: f64 = 1e-4;

impl Frame {
    /// A rectangle of these outer sizes.
    pub fn rectangle(width_m: f64, height_m: f64, strip: FoldedStrip) -> Self {
        Self {
            sides_m: vec![width_m, height_m, width_m, height_m],
            turns_deg: vec![90.0; 4],
            strip,
        }
    }

    /// So many equal sides with equal angles.
    pub fn regular(sides: usize, side_m: f64, strip: FoldedStrip) -> Self {
        Self {
            sides_m: vec![side_m; sides],
            turns_deg: vec![360.0 / sides.max(1) as f64; sides],
            strip,
        }
    }

    /// The blank that folds up to this frame.
    pub fn blank(&self) -> Result<Blank, FrameFault> {
        self.check_numbers()?;
        self.check_closes()?;
        self.check_room()?;
        let sides = self.sides_m.len();
        let mut folds: Vec<Fold> = Vec::with_capacity(sides);
        let mut position = self.sides_m[0] / 2.0;
        for (side, &turn_deg) in self.turns_deg.iter().enumerate() {
            let mut fold = self.strip.fold(turn_deg);
            // Positions run from one fold's middle to the next, so each gives half its deduction to either side.
            position -= fold.deduction_m / 2.0;
            fold.position_m = position;
            position += self.sides_m[(side + 1) % sides] - fold.deduction_m / 2.0;
            folds.push(fold);
        }
        Ok(Blank {
            length_m: position - self.sides_m[0] / 2.0 + self.strip.lap_m,
            folds,
            corner_gap_m: corner_gap(self.strip.flange_m, self.strip.angle_error_deg),
        })
    }

    fn check_numbers(&self) -> Result<(), FrameFault> {
        let strip = &self.strip;
        let of_strip = [
            strip.thickness_m,
            strip.inside_radius_m,
            strip.k_factor,
            strip.flange_m,
            strip.lap_m,
            strip.angle_error_deg,
        ];
        let bad = |value: &f64| !(value.is_finite() && *value >= 0.0);
        let turned_over = strip.k_factor > 1.0 || strip.angle_error_deg >= 90.0;
        if of_strip.iter().chain(&self.sides_m).any(bad) || turned_over {
            return Err(FrameFault::BadNumber);
        }
        if self.sides_m.len() < 3 || self.sides_m.len() != self.turns_deg.len() {
            return Err(FrameFault::BadShape);
        }
        let flat = |turn: &f64| !(*turn > 0.0 && *turn < 180.0);
        match self.turns_deg.iter().position(flat) {
            Some(side) => Err(FrameFault::BadTurn(side)),
            None => Ok(()),
        }
    }

    /// The outer sides, laid one after another, end where they began, and the turns make one round.
    fn check_closes(&self) -> Result<(), FrameFault> {
        let (mut x, mut y, mut heading) = (0.0, 0.0, 0.0);
        for (side, turn) in self.sides_m.iter().zip(&self.turns_deg) {
            x += side * libm::cos(radians(heading));
            y += side * libm::sin(radians(heading));
            heading += turn;
        }
        let perimeter: f64 = self.sides_m.iter().sum();
        let gap_m = libm::hypot(x, y);
        if gap_m > CLOSES_WITHIN * perimeter || (heading - 360.0).abs() > 1e-6 * 360.0 {
            return Err(FrameFault::Open { gap_m });
        }
        Ok(())
    }

    /// Every side is at least as long as the setbacks at its two ends.
    fn check_room(&self) -> Result<(), FrameFault> {
        let sides = self.sides_m.len();
        let setback = |fold: usize| self.strip.setback_m(self.turns_deg[fold]);
        let short = |&side: &usize| {
            self.sides_m[side] < setback((side + sides - 1) % sides) + setback(side)
        };
        match (0..sides).find(short) {
            Some(side) => Err(FrameFault::TooShort(side)),
            None => Ok(()),
        }
    }
}

impl FoldedStrip {
    /// Outside setback of a fold through this angle.
    pub fn setback_m(&self, turn_deg: f64) -> f64 {
        (self.inside_radius_m + self.thickness_m) * libm::tan(radians(turn_deg) / 2.0)
    }

    /// Bend allowance of a fold through this angle.
    pub fn allowance_m(&self, turn_deg: f64) -> f64 {
        radians(turn_deg) * (self.inside_radius_m + self.k_factor * self.thickness_m)
    }

    /// Bend deduction of a fold through this angle.
    pub fn deduction_m(&self, turn_deg: f64) -> f64 {
        2.0 * self.setback_m(turn_deg) - self.allowance_m(turn_deg)
    }

    fn fold(&self, turn_deg: f64) -> Fold {
        Fold {
            position_m: 0.0,
            turn_deg,
            allowance_m: self.allowance_m(turn_deg),
            deduction_m: self.deduction_m(turn_deg),
            notch_deg: turn_deg,
            notch_width_m: 2.0 * self.flange_m * libm::tan(radians(turn_deg) / 2.0),
        }
    }
}

/// What an angle error opens at the end of a flange.
pub fn corner_gap(flange_m: f64, angle_error_deg: f64) -> f64 {
    flange_m * libm::tan(radians(angle_error_deg))
}

fn radians(degrees: f64) -> f64 {
    degrees * PI / 180.0
}

/// What folding the blank up again shows.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct FoldedUp {
    /// Outer lengths of the sides as they come out, from apex to apex.
    pub sides_m: Vec<f64>,
    /// How far the end of the blank, less its lap, comes to lie from its start.
    pub gap_m: f64,
}

/// Folds a blank up on paper: walks along the neutral line, straight and round, and reads the outer sides off
/// where the outer faces meet. Uses no deduction, so it tells whether the blank's were right.
pub fn fold_up(strip: &FoldedStrip, blank: &Blank) -> FoldedUp {
    let to_outside = (1.0 - strip.k_factor) * strip.thickness_m;
    let radius = strip.inside_radius_m + strip.k_factor * strip.thickness_m;
    let mut walker = Walker::default();
    let mut apexes = Vec::with_capacity(blank.folds.len());
    let mut walked = 0.0;
    for fold in &blank.folds {
        let turn = radians(fold.turn_deg);
        let arc = radius * turn;
        walker.straight(fold.position_m - arc / 2.0 - walked);
        // The outer faces meet ahead of the start of the fold by the tangent of the outer arc.
        apexes.push(walker.seen((radius + to_outside) * libm::tan(turn / 2.0), to_outside));
        walker.round(radius, turn);
        walked = fold.position_m + arc / 2.0;
    }
    walker.straight(blank.length_m - strip.lap_m - walked);
    let count = apexes.len();
    let side = |at: usize| {
        let (a, b) = (apexes[(at + count - 1) % count], apexes[at]);
        libm::hypot(b.0 - a.0, b.1 - a.1)
    };
    FoldedUp {
        sides_m: (0..count).map(side).collect(),
        gap_m: libm::hypot(walker.x, walker.y),
    }
}

/// A point on the neutral line with its heading; it turns to the left, the outside is on its right.
#[derive(Default)]
struct Walker {
    x: f64,
    y: f64,
    heading: f64,
}

impl Walker {
    fn straight(&mut self, length: f64) {
        self.x += length * libm::cos(self.heading);
        self.y += length * libm::sin(self.heading);
    }

    fn round(&mut self, radius: f64, turn: f64) {
        let (from, to) = (self.heading, self.heading + turn);
        self.x += radius * (libm::sin(to) - libm::sin(from));
        self.y += radius * (libm::cos(from) - libm::cos(to));
        self.heading = to;
    }

    /// The point so far ahead and so far to the right.
    fn seen(&self, ahead: f64, right: f64) -> (f64, f64) {
        let (sin, cos) = (libm::sin(self.heading), libm::cos(self.heading));
        (
            self.x + ahead * cos + right * sin,
            self.y + ahead * sin - right * cos,
        )
    }
}
