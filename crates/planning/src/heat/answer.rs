//! What comes of heat: each recipe held against what it must do, as plain data.
//!
//! Temperatures are K, times s; what a need's value counts stands beside it.

use serde::Serialize;
use works::{OperationId, Span};

/// One operation's recipe, held against its needs.
#[derive(Clone, Debug, Serialize)]
pub struct HeatPlan {
    /// The operation.
    pub operation: OperationId,
    /// Its name: `plot sign, cure`.
    pub name: String,
    /// Where the recipe was written.
    #[serde(skip)]
    pub at: Span,
    /// The pieces looked at: of each body the slowest and the fastest, or one where nothing varies.
    pub pieces: Vec<PieceLine>,
    /// What surrounds them, stage after stage, as stated.
    pub stages: Vec<StageLine>,
    /// Every need held against every piece.
    pub needs: Vec<NeedLine>,
    /// The dwell as stated (time inside), s.
    pub dwell_s: f64,
    /// Dwells that do for every piece.
    pub window: WindowLine,
    /// Speeds of the conveyor that do for every piece, where there is a conveyor.
    pub speed: Option<SpeedLine>,
    /// Windows at other temperatures of the air, from cold to hot.
    pub map: Vec<MapLine>,
    /// What a change does to the margin.
    pub changes: Vec<ChangeLine>,
    /// What a load does to the chamber, where its power is stated.
    pub load: Option<LoadLine>,
    /// Measured loads, judged.
    pub logs: Vec<LogLine>,
    /// When a load must go in to be ready, where the works says when it is needed.
    pub start: Option<StartLine>,
    /// Greatest estimated error of the temperatures, K.
    pub error_k: f64,
    /// Heat that the books do not explain, as a share of the heat exchanged.
    pub unexplained: f64,
    /// Cautions, each with who decides.
    pub cautions: Vec<String>,
    /// What a command supposed in place of what the works states, in words.
    pub supposed: Vec<String>,
}

/// A stated dwell nearer than this share of itself to an end of its window is thin.
pub(super) const THIN: f64 = 0.05;

impl HeatPlan {
    /// Whether every need is met by every piece.
    pub fn does_its_job(&self) -> bool {
        self.needs.iter().all(|need| need.met)
    }

    /// How far the stated dwell lies inside its window.
    pub fn spare(&self) -> Spare {
        let shortest = self.window.shortest_by.and(self.window.shortest_s);
        Spare {
            above_shortest_s: shortest.map(|(shortest, _)| self.dwell_s - shortest),
            below_longest_s: self
                .window
                .longest_s
                .map(|(longest, _)| longest - self.dwell_s),
        }
    }

    /// Whether it does its job by little: by less than 5 % of the dwell, or by less than the engine may err.
    pub fn is_thin(&self) -> bool {
        let least = self.spare().least_s();
        let short = least.is_some_and(|spare_s| spare_s < THIN * self.dwell_s);
        self.does_its_job() && (short || self.needs.iter().any(|need| need.too_close))
    }
}

/// How far a stated dwell lies inside the window that does; below zero outside.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Spare {
    /// Beyond the shortest that does, s; none where nothing asks for more.
    pub above_shortest_s: Option<f64>,
    /// Short of the longest that does, s; none where nothing bounds it.
    pub below_longest_s: Option<f64>,
}

impl Spare {
    /// The lesser of the two, s.
    pub fn least_s(self) -> Option<f64> {
        match (self.above_shortest_s, self.below_longest_s) {
            (Some(above), Some(below)) => Some(above.min(below)),
            (one, other) => one.or(other),
        }
    }
}

/// A piece and what it goes through.
#[derive(Clone, Debug, Serialize)]
pub struct PieceLine {
    /// `slowest`, `fastest`, with the name of the body where there are several.
    pub name: String,
    /// Whether it is the slowest of its body.
    pub slow: bool,
    /// What it is, in words: `slab 26 mm of duck breast from -18 degC, air 3 degC, 6 W/(m2 K)`.
    pub words: String,
    /// Its place that the surroundings reach last: s and K, thinned.
    pub core: Vec<(f64, f64)>,
    /// Its face.
    pub surface: Vec<(f64, f64)>,
    /// The air about it.
    pub air: Vec<(f64, f64)>,
    /// Across the piece at the end of each stage: depth in m and K.
    pub profiles: Vec<ProfileLine>,
}

/// Temperatures across a piece at one time.
#[derive(Clone, Debug, Serialize)]
pub struct ProfileLine {
    /// s from the beginning.
    pub time_s: f64,
    /// Depth in m, temperature in K.
    pub across: Vec<(f64, f64)>,
}

/// A stage as stated.
#[derive(Clone, Debug, Serialize)]
pub struct StageLine {
    /// Its name or number.
    pub name: String,
    /// How long, s.
    pub lasts_s: f64,
    /// Air at its beginning and end, K.
    pub air_k: (f64, f64),
    /// Coefficient of heat transfer from the least to the most likely to be met, W/(m² K); none for a held face.
    pub coefficient: Option<(f64, f64)>,
    /// How the coefficient was found: stated, or the correlation and whether it holds here.
    pub coefficient_by: String,
}

/// What a value counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Counted {
    /// A temperature, K.
    Temperature,
    /// A time, s.
    Time,
    /// Powers of ten.
    Tens,
}

/// A need held against the pieces.
#[derive(Clone, Debug, Serialize)]
pub struct NeedLine {
    /// In words: `core at 185 degC or hotter for 10 min`.
    pub words: String,
    /// What its values count.
    pub counted: Counted,
    /// The limits, in what is counted.
    pub at_least: Option<f64>,
    /// The limits, in what is counted.
    pub at_most: Option<f64>,
    /// What each piece comes to, in order of [`HeatPlan::pieces`], with the estimated error.
    pub values: Vec<(f64, f64)>,
    /// The least margin of all pieces, in what is counted; below zero when broken.
    pub margin: f64,
    /// Which piece that is.
    pub worst: usize,
    /// Whether every piece meets it.
    pub met: bool,
    /// When the worst piece meets it for the first time, s, where that is a moment.
    pub met_after_s: Option<f64>,
    /// Whether the margin is within the estimated error of the engine.
    pub too_close: bool,
    /// A screening estimate: a competent person decides.
    pub screening: bool,
    /// Where the limit is from.
    pub source: Option<String>,
    /// One plain sentence.
    pub sentence: String,
    /// Where it was written.
    #[serde(skip)]
    pub at: Span,
}

/// Dwells that do for every piece.
#[derive(Clone, Debug, Serialize)]
pub struct WindowLine {
    /// The shortest, s, with its error; none when no dwell looked at does.
    pub shortest_s: Option<(f64, f64)>,
    /// What is not met below it: need and piece by number.
    pub shortest_by: Option<(usize, usize)>,
    /// The longest, s, with its error; none when nothing bounds it.
    pub longest_s: Option<(f64, f64)>,
    /// What is broken beyond it: need and piece by number.
    pub longest_by: Option<(usize, usize)>,
    /// Dwells looked at, s.
    pub looked_at_s: (f64, f64),
    /// One plain sentence.
    pub sentence: String,
}

/// Speeds that do for every piece.
#[derive(Clone, Debug, Serialize)]
pub struct SpeedLine {
    /// The conveyor, m.
    pub length_m: f64,
    /// As stated, m/s.
    pub stated_m_s: f64,
    /// The slowest, m/s.
    pub slowest_m_s: Option<f64>,
    /// The fastest, m/s; none for not together.
    pub fastest_m_s: Option<f64>,
}

/// The window at another temperature of the air.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct MapLine {
    /// Air of the longest stage, K.
    pub air_k: f64,
    /// Shortest dwell that is enough for every piece, s, were nothing ever too much.
    pub enough_s: Option<f64>,
    /// Longest dwell that is too much for none, s, were nothing ever too little; none when nothing bounds it.
    pub most_s: Option<f64>,
    /// Whether some piece has too much from the first moment looked at.
    pub never_safe: bool,
    /// Whether some dwell does for all.
    pub together: bool,
}

/// What a change does.
#[derive(Clone, Debug, Serialize)]
pub struct ChangeLine {
    /// `air 5 degC hotter`.
    pub change: String,
    /// Shortest and longest dwell then, s.
    pub shortest_s: Option<f64>,
    /// Longest dwell then, s.
    pub longest_s: Option<f64>,
    /// Margin of the need that is nearest to its limit, in what it counts, and its number.
    pub margin: f64,
    /// That need, by number.
    pub need: usize,
    /// Whether every need is still met.
    pub met: bool,
}

/// What a load does to the chamber.
#[derive(Clone, Debug, Serialize)]
pub struct LoadLine {
    /// Units of the operation's output in a full load as stated.
    pub holds: f64,
    /// Most units with which every need is met within the stated dwell.
    pub largest: f64,
    /// Whether more than a full load might do too.
    pub all: bool,
    /// The unit they are counted in, and base units in one of it.
    pub unit: String,
    /// Base units in one of the unit.
    pub factor: f64,
    /// Heat into the pieces of a full load, J; below zero when taken out.
    pub into_pieces_j: f64,
    /// What the chamber spent on it, J: heating, cooling.
    pub spent_j: (f64, f64),
    /// Air and core along time for several loads: units, air, core.
    pub traces: Vec<LoadTrace>,
    /// One plain sentence.
    pub sentence: String,
}

/// Air and core with a load of some size.
#[derive(Clone, Debug, Serialize)]
pub struct LoadTrace {
    /// Units in the load, base units.
    pub units: f64,
    /// Whether every need is met.
    pub met: bool,
    /// Air, s and K, thinned.
    pub air: Vec<(f64, f64)>,
    /// Core of the slowest piece.
    pub core: Vec<(f64, f64)>,
}

/// A measured load, judged.
#[derive(Clone, Debug, Serialize)]
pub struct LogLine {
    /// The name of the log.
    pub name: String,
    /// Its probes.
    pub probes: Vec<ProbeLine>,
    /// Whether the load passes.
    pub passes: bool,
    /// Why, in plain sentences: `probe 4 ran 6 degC low`.
    pub reasons: Vec<String>,
    /// The coefficient that explains the log, W/(m² K), how far off it leaves the curve (K), and whether the log can tell.
    pub coefficient: Option<FittedLine>,
    /// Readings left out, in words.
    pub left_out: Vec<String>,
}

/// A coefficient fitted to a log.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct FittedLine {
    /// W/(m² K).
    pub coefficient: f64,
    /// Root mean square of what it leaves, K.
    pub off_k: f64,
    /// Whether the log can tell it from half and double.
    pub telling: bool,
}

/// A probe of a measured load.
#[derive(Clone, Debug, Serialize)]
pub struct ProbeLine {
    /// Its name.
    pub name: String,
    /// Where it sat: `core`, `surface`, `air`.
    pub place: String,
    /// What it read, s and K, thinned.
    pub read: Vec<(f64, f64)>,
    /// For each need of the operation: value and whether met; none where the need is about another place.
    pub values: Vec<Option<(f64, bool)>>,
    /// How far it ran from the others near the top, K.
    pub offset_k: Option<f64>,
    /// Whether that is odd.
    pub odd: bool,
}

/// When a load must go in.
#[derive(Clone, Debug, Serialize)]
pub struct StartLine {
    /// When it is needed, on the clock of the works.
    pub needed: jiff::civil::DateTime,
    /// The latest time at which it may go in.
    pub latest: jiff::civil::DateTime,
    /// The earliest time at which it may go in, where too long is harmful.
    pub earliest: Option<jiff::civil::DateTime>,
    /// The time at which people are there to put it in: between the two, the latest; none if there is none.
    pub go_in: Option<jiff::civil::DateTime>,
    /// One plain sentence.
    pub sentence: String,
}
