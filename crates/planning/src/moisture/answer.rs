//! What comes of salt, drying and solvent, as plain data: times in s, lengths in m, temperatures in K, shares 0 to 1.

use serde::Serialize;
use works::{OperationId, Span};

/// Salt in the pieces of one operation, held against what it must come to.
#[derive(Clone, Debug, Serialize)]
pub struct SaltPlan {
    /// The operation.
    pub operation: OperationId,
    /// Its name: `smoked duck, dry cure`.
    pub name: String,
    /// Where it was written.
    #[serde(skip)]
    pub at: Span,
    /// The pieces followed: the thickest and the thinnest, and where the dose is known but not how fast it goes in,
    /// each with the fastest and the slowest way that it can.
    pub pieces: Vec<SaltPiece>,
    /// Every need held against every piece.
    pub needs: Vec<SaltNeedLine>,
    /// Salt on the piece, s.
    pub contact_s: f64,
    /// Evening out after that, s.
    pub equalise_s: f64,
    /// Weight of the piece after all, kg per kg as it was when green.
    pub weighs: f64,
    /// Where that weight is from.
    pub weighs_by: String,
    /// Whether all comes to be even.
    pub even: EvenLine,
    /// Times of evening out that do for every piece and need.
    pub window: SaltWindow,
    /// Cautions, each with its source or who decides.
    pub cautions: Vec<String>,
}

impl SaltPlan {
    /// Whether every need is met by every piece.
    pub fn does_its_job(&self) -> bool {
        self.needs.iter().all(|need| need.met)
    }

    /// Whether it does its job by little.
    pub fn is_thin(&self) -> bool {
        self.does_its_job() && self.needs.iter().any(SaltNeedLine::is_thin)
    }
}

/// A share nearer to its limit than this share of the limit is thin.
const THIN: f64 = 0.05;

impl SaltNeedLine {
    /// The limit that the worst piece is nearest to.
    pub fn nearest_limit(&self) -> Option<f64> {
        let value = *self.values.get(self.worst)?;
        let limits = self.at_least.into_iter().chain(self.at_most);
        limits.min_by(|a, b| (a - value).abs().total_cmp(&(b - value).abs()))
    }

    /// Whether the worst piece is inside its limits by less than a twentieth of the nearest.
    pub fn is_thin(&self) -> bool {
        let thin = |limit: f64| self.margin < THIN * limit;
        self.met && self.nearest_limit().is_some_and(thin)
    }
}

/// A piece and the salt in it.
#[derive(Clone, Debug, Serialize)]
pub struct SaltPiece {
    /// `thickest, salt in slowly`.
    pub name: String,
    /// Whether it is the thickest.
    pub slow: bool,
    /// What it is and how it is salted, in words.
    pub words: String,
    /// Thickness, m.
    pub thick_m: f64,
    /// When the salt comes off.
    pub after_contact: SaltLevels,
    /// After evening out as well.
    pub at_end: SaltLevels,
    /// Across the piece at several times.
    pub curves: Vec<SaltCurve>,
    /// When a dose is used up, s from the beginning; none where some is left or none is counted.
    pub used_up_s: Option<f64>,
    /// From when on the inmost place stays within a tenth of the mean, s from the beginning.
    pub even_from_s: Option<f64>,
    /// Where the salt went.
    pub books: SaltBooks,
}

/// Salt at three places, in two ways of counting.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct SaltLevels {
    /// Share of the piece as it weighs after all.
    pub of_piece: SaltPlaces,
    /// Share of salt and water together.
    pub of_water: SaltPlaces,
}

/// Shares at three places.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct SaltPlaces {
    /// At the face.
    pub surface: f64,
    /// Where salt comes last.
    pub core: f64,
    /// Of the whole piece.
    pub mean: f64,
}

/// Salt across a piece at one time.
#[derive(Clone, Debug, Serialize)]
pub struct SaltCurve {
    /// s from the beginning.
    pub time_s: f64,
    /// Depth from the face in m, and share of the piece.
    pub of_piece: Vec<(f64, f64)>,
    /// Depth from the face in m, and share of salt and water together.
    pub of_water: Vec<(f64, f64)>,
}

/// Where the salt went, kg per kg of green piece.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct SaltBooks {
    /// In the piece before.
    pub first: f64,
    /// Laid on it; none where there is more than it can take.
    pub laid_on: Option<f64>,
    /// What of that does not go in, as stated.
    pub runs_off: f64,
    /// What would have gone in and was not taken up by the end of contact.
    pub left_over: f64,
    /// In the piece after all.
    pub ends: f64,
    /// What its curve over the depth holds more or less than that: the books' own check.
    pub unexplained: f64,
}

/// A need held against the pieces.
#[derive(Clone, Debug, Serialize)]
pub struct SaltNeedLine {
    /// In words: `salt in the water of the core at least 3.5 %`.
    pub words: String,
    /// What the share is counted of: `water` (salt and water together) or `piece`.
    pub of: &'static str,
    /// Where: `core`, `surface`, `mean`.
    pub place: &'static str,
    /// Limit.
    pub at_least: Option<f64>,
    /// Limit.
    pub at_most: Option<f64>,
    /// After contact, in order of [`SaltPlan::pieces`].
    pub after_contact: Vec<f64>,
    /// After all, in the same order: what the limits are held against.
    pub values: Vec<f64>,
    /// The least margin of all pieces, a share; below zero when broken.
    pub margin: f64,
    /// Which piece that is.
    pub worst: usize,
    /// Whether every piece meets it.
    pub met: bool,
    /// A screening estimate: a competent person decides.
    pub screening: bool,
    /// Where the limit is from.
    pub source: String,
    /// One plain sentence.
    pub sentence: String,
    /// Where it was written.
    #[serde(skip)]
    pub at: Span,
}

/// Whether all comes to be even.
#[derive(Clone, Debug, Serialize)]
pub struct EvenLine {
    /// The inmost place is even when it is within this share of the mean.
    pub within: f64,
    /// Evening out that the slowest piece takes, s from the end of contact.
    pub takes_s: f64,
    /// Whether what is stated does; none where nothing is stated.
    pub does: Option<bool>,
    /// One plain sentence.
    pub sentence: String,
}

/// Times of evening out that do.
#[derive(Clone, Debug, Serialize)]
pub struct SaltWindow {
    /// The shortest, s after contact; none when none does.
    pub shortest_s: Option<f64>,
    /// The longest; none when nothing bounds it.
    pub longest_s: Option<f64>,
    /// Looked at up to this, s.
    pub looked_at_s: f64,
    /// One plain sentence.
    pub sentence: String,
}

/// The drying of one operation, found from weighed pieces.
#[derive(Clone, Debug, Serialize)]
pub struct DryingPlan {
    /// The operation.
    pub operation: OperationId,
    /// Its name.
    pub name: String,
    /// Where it was written.
    #[serde(skip)]
    pub at: Span,
    /// Loss at which it ends, share of the weight on entry.
    pub until: f64,
    /// Every weighed piece.
    pub pieces: Vec<DriedPiece>,
    /// All pieces as one load, drying at one rate; none where the weighings cannot tell.
    pub load: Option<DriedLoad>,
    /// Why there is no curve, or no time.
    pub refused: Option<String>,
    /// Time inside as stated, s.
    pub dwell_s: Option<f64>,
    /// Loss that the route's own yield says; none where it states no yield.
    pub keeps_loss: Option<f64>,
    /// The air: as aimed at, and where it may vary as it dries least and most.
    pub air: Vec<AirLine>,
    /// What was found, one plain sentence each.
    pub sentences: Vec<String>,
    /// Cautions.
    pub cautions: Vec<String>,
}

impl DryingPlan {
    /// Whether the stated time inside is told shorter than what is needed.
    pub fn is_too_short(&self) -> bool {
        self.load
            .as_ref()
            .is_some_and(|load| load.met == Some(false))
    }
}

/// One weighed piece.
#[derive(Clone, Debug, Serialize)]
pub struct DriedPiece {
    /// Its name.
    pub name: String,
    /// First weight, kg.
    pub green_kg: f64,
    /// s and loss so far, share of the first weight.
    pub weighed: Vec<(f64, f64)>,
    /// Its own curve, fitted to it alone.
    pub own: Option<DriedCurve>,
    /// Why it has none.
    pub own_refused: Option<String>,
    /// Its curve with the rate of all together: s and loss.
    pub curve: Vec<(f64, f64)>,
    /// When it has lost as much as is wanted, by its own curve, or else by that of all together.
    pub when: Option<DriedWhen>,
}

/// A fitted curve: loss = end loss × (1 - exp(-rate × time)) but for a first reading that is off.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct DriedCurve {
    /// Rate, 1/s.
    pub rate_per_s: f64,
    /// Its standard error.
    pub rate_error_per_s: f64,
    /// Loss that it tends to, share of the first weight.
    pub end_loss: f64,
    /// Its standard error.
    pub end_loss_error: f64,
    /// Scatter of the weighings about it, kg.
    pub scatter_kg: f64,
}

/// When a loss is reached.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct DriedWhen {
    /// s from the beginning.
    pub time_s: f64,
    /// 95 of 100 such fits lie above this, s (together with `high_s`).
    pub low_s: f64,
    /// And below this; none where the weighings do not say that it ever comes.
    pub high_s: Option<f64>,
    /// It lies beyond the last weighing.
    pub beyond: bool,
}

/// All pieces as one load.
#[derive(Clone, Debug, Serialize)]
pub struct DriedLoad {
    /// The curve of the sum of the weights.
    pub curve: DriedCurve,
    /// s and loss.
    pub points: Vec<(f64, f64)>,
    /// When the load has lost as much as is wanted; none where it never does.
    pub when: Option<DriedWhen>,
    /// Loss at the stated dwell.
    pub loss_at_dwell: Option<f64>,
    /// Of the pieces at the stated dwell, the least and the most.
    pub pieces_at_dwell: Option<(f64, f64)>,
    /// Whether the stated dwell is enough: not told shorter than what is needed by the weighings.
    pub met: Option<bool>,
}

/// A state of the air.
#[derive(Clone, Debug, Serialize)]
pub struct AirLine {
    /// `as aimed at`, `where it dries least`, `where it dries most`.
    pub name: String,
    /// Temperature, K.
    pub dry_bulb_k: f64,
    /// Relative humidity.
    pub relative_humidity: f64,
    /// kg water per kg dry air.
    pub humidity_ratio: f64,
    /// Of a wet thermometer, K.
    pub wet_bulb_k: f64,
    /// K.
    pub dew_point_k: f64,
    /// J per kg of dry air.
    pub enthalpy_j_kg: f64,
    /// m³ per kg of dry air.
    pub volume_m3_kg: f64,
    /// One plain sentence.
    pub sentence: String,
}

/// Solvent in the air of one operation: an estimate, never a permission.
#[derive(Clone, Debug, Serialize)]
pub struct SolventPlan {
    /// The operation.
    pub operation: OperationId,
    /// Its name.
    pub name: String,
    /// Where it was written.
    #[serde(skip)]
    pub at: Span,
    /// How much goes off, in words: `96 each at once with 9 g/each over 6 min`.
    pub words: String,
    /// kg/s while it goes off.
    pub goes_off_kg_s: f64,
    /// Over how long, s; none for a steady flow.
    pub over_s: Option<f64>,
    /// Vapour, m³/s at 21 degC.
    pub vapour_m3_s: f64,
    /// Air of the oven, K.
    pub air_k: f64,
    /// Lower limit as listed, share by volume.
    pub listed_limit: f64,
    /// The same in the heat.
    pub hot_limit: f64,
    /// Share of it not to be passed.
    pub share: f64,
    /// Where that share is from.
    pub share_by: String,
    /// Fresh air for that, m³/s as it comes in, at 21 degC.
    pub needed_m3_s: f64,
    /// The same air as hot as the oven.
    pub needed_hot_m3_s: f64,
    /// Fresh air as stated, m³/s.
    pub stated_m3_s: f64,
    /// Share of the lower limit that the vapour comes to with it.
    pub comes_to: f64,
    /// How many times as fast as evenly the solvent may go off.
    pub covers: f64,
    /// Whether the stated air is as much as the estimate asks for. No permission follows from it.
    pub met: bool,
    /// One plain sentence.
    pub sentence: String,
    /// Where the limits are from.
    pub source: String,
    /// Cautions: never empty.
    pub cautions: Vec<String>,
}
