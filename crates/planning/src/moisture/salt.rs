//! Salt: from what the route says of a piece, its dose and its times to the salt engine and back.
//!
//! The thickest piece (slowest to take salt, least dose, most water) and the thinnest are followed. Where a dose is known, what is not
//! known is how fast it goes in: at the fastest as saturated brine at the face drives it, at the slowest over the whole of the contact. Both
//! are followed, and what the salt must come to is held against all of them.

use heat::mass::diffusion::{Shape, uptake};
use heat::mass::salt::{self as engine, Moment, Salted, Salting, Stage, Surface, Water};
use works::{Dose, Faces, Operation, OperationId, Place, Salt, SaltShare, Stated, Works};

use super::answer::{
    EvenLine, SaltBooks, SaltCurve, SaltLevels, SaltNeedLine, SaltPiece, SaltPlaces, SaltPlan,
};
use super::dose::{Dosed, laid_on, weight_after};
use super::share::{grams, limit, margin_of, need_words, percent, points};
use super::window;
use crate::flow::label;
use crate::heat::extremes::end;
use crate::heat::{NoHeat, hazards, words};

/// Even enough: the inmost place within this share of the mean.
pub(super) const EVEN: f64 = 0.1;

/// Shares nearer to each other than this are the same: what rounding may do.
pub(super) const SAME: f64 = 1e-12;

/// Salt that a kg of water holds when it is saturated, kg: 26.3 % of the brine at 0 to 10 degC (handbooks of chemistry, from memory).
const SATURATED: f64 = 0.357;

/// A piece and one way that salt goes into it.
pub(super) struct Way {
    pub(super) name: String,
    slow: bool,
    words: String,
    pub(super) salting: Salting,
    laid_on: Option<f64>,
    runs_off: f64,
    goes_in: Option<f64>,
}

/// What is asked of one operation.
pub(super) struct Question<'w> {
    pub(super) salt: &'w Salt,
    pub(super) contact_s: f64,
    pub(super) equalise_s: f64,
    pub(super) weighs: f64,
    pub(super) ways: Vec<Way>,
}

/// Works out the salt of one operation.
pub(super) fn plan(
    works: &Works,
    id: OperationId,
    operation: &Operation,
    salt: &Salt,
) -> Result<SaltPlan, NoHeat> {
    let none = |fault: heat::Fault| NoHeat::engine(salt.at, &fault);
    let (question, weighs_by) = Question::of(works, operation, salt)?;
    let mut pieces = Vec::with_capacity(question.ways.len());
    let mut ends = Vec::with_capacity(question.ways.len());
    for way in &question.ways {
        let (salted, times) = question.follow(way).map_err(none)?;
        pieces.push(piece(&question, way, &salted, &times));
        ends.push(ends_of(&salted));
    }
    let needs = question.needs(&ends);
    let mut cautions = vec![
        format!("Salt: {}.", engine::CAUTION),
        "Fick's law with one diffusivity; swelling, fat, skin and edges are left out, and the face keeps its water: a sliced and \
         measured piece decides."
            .to_owned(),
    ];
    cautions.extend(hazards(works, operation));
    Ok(SaltPlan {
        operation: id,
        name: label(works, id),
        at: salt.at,
        even: question.even(&pieces),
        window: window::salt(&question).map_err(none)?,
        contact_s: question.contact_s,
        equalise_s: question.equalise_s,
        weighs: question.weighs,
        weighs_by,
        needs,
        pieces,
        cautions,
    })
}

impl<'w> Question<'w> {
    fn of(works: &Works, operation: &Operation, salt: &'w Salt) -> Result<(Self, String), NoHeat> {
        let contact_s = match (&salt.contact, works.dwell_of(operation)) {
            (Some(contact), _) => contact.mean(),
            (None, Some(dwell)) => dwell.mean(),
            (None, None) => {
                return Err(NoHeat::unclear(
                    salt.at,
                    "how long the salt lies on the piece needs `contact`, or a pace with a dwell",
                ));
            }
        };
        let dosed = match &salt.dose {
            Dose::Taken { item, uptake } => Some(Dosed {
                laid_on: laid_on(works, operation, salt, *item)?,
                uptake: uptake.as_ref(),
            }),
            Dose::Surface(_) => None,
        };
        let (weighs, weighs_by) = weight_after(works, operation, salt, dosed.as_ref());
        let mut question = Self {
            salt,
            contact_s,
            equalise_s: salt.equalise.as_ref().map_or(0.0, Stated::mean),
            weighs,
            ways: Vec::new(),
        };
        let none = |fault: heat::Fault| NoHeat::engine(salt.at, &fault);
        let mut ends = Vec::with_capacity(2);
        for slow in [true, false] {
            ends.push(question.ways_of(slow, dosed.as_ref()).map_err(none)?);
        }
        let alike = ends[0]
            .iter()
            .map(|way| &way.salting)
            .eq(ends[1].iter().map(|way| &way.salting));
        if alike {
            ends.truncate(1);
            for way in &mut ends[0] {
                way.name = way.name.replace("thickest", "every");
            }
        }
        question.ways = ends.into_iter().flatten().collect();
        Ok((question, weighs_by))
    }

    /// The thick or the thin piece, with every way that salt may go into it.
    fn ways_of(&self, slow: bool, dosed: Option<&Dosed<'_>>) -> Result<Vec<Way>, heat::Fault> {
        let salt = self.salt;
        let thick_m = end(&salt.thick, slow);
        let diffusivity_m2_s = end(&salt.diffusivity, !slow);
        let water = end(&salt.water, slow) * self.weighs;
        let first = salt.first.as_ref().map_or(0.0, |first| end(first, !slow)) * self.weighs;
        let which = if slow { "thickest" } else { "thinnest" };
        let faces = match salt.faces {
            Faces::Both => "both faces",
            Faces::One => "one face",
        };
        let piece = format!("{} thick, salted on {faces}", words::length(thick_m));
        let way = |name: String, words: String, level: f64, dose: Option<f64>| Way {
            name,
            slow,
            words: format!("{piece}; {words}"),
            salting: Salting {
                thick_m,
                faces: match salt.faces {
                    Faces::Both => engine::Faces::Both,
                    Faces::One => engine::Faces::One,
                },
                diffusivity_m2_s,
                starts: first,
                stages: self.stages(thick_m, diffusivity_m2_s, level, dose),
                water: Water {
                    share: water,
                    lost: Vec::new(),
                },
            },
            laid_on: dosed.map(|dosed| dosed.laid_on),
            runs_off: dosed.map_or(0.0, |dosed| dosed.laid_on - dosed.goes_in(slow)),
            goes_in: dosed.map(|dosed| dosed.goes_in(slow)),
        };
        let (Some(dosed), Dose::Taken { .. }) = (dosed, &salt.dose) else {
            let Dose::Surface(share) = &salt.dose else {
                return Ok(Vec::new());
            };
            let share = end(share, !slow);
            let words = format!("{} of salt in the water at the face", percent(share));
            let level = share / (1.0 - share) * water;
            return Ok(vec![way(format!("{which} piece"), words, level, None)]);
        };
        let goes_in = dosed.goes_in(slow);
        let grams = grams(goes_in);
        let saturated = SATURATED * water;
        let fast = way(
            format!("{which} piece, salt in fast"),
            format!("{grams} of salt per kg, as fast as saturated brine at the face drives it"),
            saturated,
            Some(goes_in),
        );
        let depth_m = self.depth_m(thick_m);
        let fourier = diffusivity_m2_s * self.contact_s / (depth_m * depth_m);
        let level = first + goes_in / uptake(Shape::Plate, fourier)?;
        if level >= saturated {
            return Ok(vec![Way {
                name: format!("{which} piece"),
                ..fast
            }]);
        }
        let slowly = way(
            format!("{which} piece, salt in slowly"),
            format!("{grams} of salt per kg, over all of the contact"),
            level,
            None,
        );
        Ok(vec![slowly, fast])
    }

    fn depth_m(&self, thick_m: f64) -> f64 {
        match self.salt.faces {
            Faces::Both => 0.5 * thick_m,
            Faces::One => thick_m,
        }
    }

    fn stages(&self, thick_m: f64, d: f64, level: f64, dose: Option<f64>) -> Vec<Stage> {
        let depth_m = self.depth_m(thick_m);
        let rest_s = if self.equalise_s > 0.0 {
            self.equalise_s
        } else {
            // Without a stated rest there is one all the same, so short that it changes nothing: what comes later is asked of it.
            0.01 * depth_m * depth_m / d
        };
        let held = Surface::Held {
            level,
            film_m_s: None,
            dose,
        };
        [(self.contact_s, held), (rest_s, Surface::Sealed)]
            .map(|(lasts_s, surface)| Stage { lasts_s, surface })
            .to_vec()
    }

    /// A way followed, with the times of its moments: the end of contact, the end of all, and two more to draw.
    fn follow(&self, way: &Way) -> Result<(Salted, Vec<f64>), heat::Fault> {
        let (contact_s, rest_s) = (self.contact_s, self.equalise_s);
        let mut times = vec![contact_s, contact_s + rest_s, 0.25 * contact_s];
        if rest_s > 0.0 {
            times.push(contact_s + 0.25 * rest_s);
        } else {
            times.push(0.5 * contact_s);
        }
        Ok((engine::salting(&way.salting, &times, EVEN)?, times))
    }

    /// What a need counts, at one moment.
    pub(super) fn value(&self, need: &works::SaltNeed, moment: &Moment) -> f64 {
        let levels = levels(moment, self.weighs);
        let places = match need.of {
            SaltShare::Water => levels.of_water,
            SaltShare::Piece => levels.of_piece,
        };
        match need.place {
            Place::Surface => places.surface,
            Place::Mean => places.mean,
            Place::Core | Place::Air => places.core,
        }
    }

    fn needs(&self, ends: &[[Moment; 2]]) -> Vec<SaltNeedLine> {
        let needs = self.salt.needs.iter();
        needs.map(|need| self.need(need, ends)).collect()
    }

    fn need(&self, need: &works::SaltNeed, ends: &[[Moment; 2]]) -> SaltNeedLine {
        let values: Vec<f64> = ends.iter().map(|end| self.value(need, &end[1])).collect();
        let (mut worst, mut margin) = (0, f64::INFINITY);
        for (number, value) in values.iter().enumerate() {
            let own = margin_of(need, *value);
            if own < margin - SAME {
                (worst, margin) = (number, own);
            }
        }
        let met = margin >= -SAME;
        let words = need_words(need);
        let side = if met {
            "inside the limit"
        } else if limit(need.limits.at_least.as_ref()).is_some_and(|least| values[worst] < least) {
            "short of the limit"
        } else {
            "beyond the limit"
        };
        SaltNeedLine {
            of: match need.of {
                SaltShare::Water => "water",
                SaltShare::Piece => "piece",
            },
            place: need.place.word(),
            at_least: limit(need.limits.at_least.as_ref()),
            at_most: limit(need.limits.at_most.as_ref()),
            after_contact: ends.iter().map(|end| self.value(need, &end[0])).collect(),
            margin,
            worst,
            met,
            screening: need.screening,
            source: need.source.clone(),
            sentence: format!(
                "{words}: {} in the {}, {} {side}",
                percent(values[worst]),
                self.ways[worst].name,
                points(margin)
            ),
            words,
            at: need.at,
            values,
        }
    }

    fn even(&self, pieces: &[SaltPiece]) -> EvenLine {
        let takes = pieces.iter().filter_map(|piece| piece.even_from_s);
        let takes_s = (takes.fold(self.contact_s, f64::max) - self.contact_s).max(0.0);
        let stated = self.salt.equalise.is_some();
        let does = stated.then_some(self.equalise_s >= takes_s);
        let within = percent(EVEN);
        let takes = words::time(takes_s);
        let slowest = format!("the slowest piece is even within {within} after {takes}");
        EvenLine {
            within: EVEN,
            takes_s,
            does,
            sentence: match does {
                None => format!("{slowest} without salt on it; none is stated"),
                Some(true) => format!(
                    "{slowest} without salt on it: the stated {} does",
                    words::time(self.equalise_s)
                ),
                Some(false) => format!(
                    "{slowest} without salt on it: the stated {} does not",
                    words::time(self.equalise_s)
                ),
            },
        }
    }
}

/// The end of contact and the end of all.
fn ends_of(salted: &Salted) -> [Moment; 2] {
    [salted.moments[0].clone(), salted.moments[1].clone()]
}

fn levels(moment: &Moment, weighs: f64) -> SaltLevels {
    let (level, phase) = (&moment.level, &moment.water_phase);
    SaltLevels {
        of_piece: SaltPlaces {
            surface: level.surface / weighs,
            core: level.inmost / weighs,
            mean: level.mean / weighs,
        },
        of_water: SaltPlaces {
            surface: phase.surface / 100.0,
            core: phase.inmost / 100.0,
            mean: phase.mean / 100.0,
        },
    }
}

fn piece(question: &Question<'_>, way: &Way, salted: &Salted, times: &[f64]) -> SaltPiece {
    let weighs = question.weighs;
    let water = way.salting.water.share;
    let mut order: Vec<usize> = (0..times.len()).collect();
    order.sort_by(|a, b| times[*a].total_cmp(&times[*b]));
    order.dedup_by(|a, b| times[*a] <= times[*b]);
    let curve = |at: usize| {
        let profile = &salted.moments[at].profile;
        let shares = |of: &dyn Fn(f64) -> f64| -> Vec<(f64, f64)> {
            profile
                .iter()
                .map(|(depth, level)| (*depth, of(*level)))
                .collect()
        };
        SaltCurve {
            time_s: times[at],
            of_piece: shares(&|level| level / weighs),
            of_water: shares(&|level| level.max(0.0) / (level.max(0.0) + water)),
        }
    };
    SaltPiece {
        name: way.name.clone(),
        slow: way.slow,
        words: way.words.clone(),
        thick_m: way.salting.thick_m,
        after_contact: levels(&salted.moments[0], weighs),
        at_end: levels(&salted.moments[1], weighs),
        curves: order.into_iter().map(curve).collect(),
        used_up_s: salted.used_up_s.first().copied().flatten(),
        even_from_s: salted.even_from_s,
        books: books(way, &salted.moments[1]),
    }
}

/// Where the salt went. The curve over the depth is added up by Simpson's rule (41 points: an even number of strips).
fn books(way: &Way, last: &Moment) -> SaltBooks {
    let ends = last.level.mean;
    let profile = &last.profile;
    let strips = profile.len() - 1;
    let weight = |at: usize| match at {
        0 => 1.0,
        _ if at == strips => 1.0,
        _ if at % 2 == 1 => 4.0,
        _ => 2.0,
    };
    let along = profile.iter().enumerate();
    let sum: f64 = along.map(|(at, (_, level))| weight(at) * level).sum();
    let gained = ends - way.salting.starts;
    SaltBooks {
        first: way.salting.starts,
        laid_on: way.laid_on,
        runs_off: way.runs_off,
        left_over: way
            .goes_in
            .map_or(0.0, |goes_in| (goes_in - gained).max(0.0)),
        ends,
        unexplained: sum / (3.0 * strips as f64) - ends,
    }
}
