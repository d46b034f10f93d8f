//! What can be wrong with a network, and the checks made before solving it.

use super::{ActivityId, CommodityId, Driven, Network, Otherwise, Source, Taker};

/// Where in a network a fault lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// In a commodity.
    Commodity(CommodityId),
    /// In an activity.
    Activity(ActivityId),
}

/// Why a network has no balance. Indices, not names: the caller has the names.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NetworkError {
    /// An index beyond the list of commodities.
    #[error("{place:?} names commodity {}, which does not exist", commodity.0)]
    NoSuchCommodity {
        /// Who names it.
        place: Place,
        /// The index.
        commodity: CommodityId,
    },
    /// An index beyond the list of activities.
    #[error("{place:?} names activity {}, which does not exist", activity.0)]
    NoSuchActivity {
        /// Who names it.
        place: Place,
        /// The index.
        activity: ActivityId,
    },
    /// A number that is not finite, is negative, or is a share outside 0 to 1.
    #[error("{place:?}: {what} cannot be {value}")]
    BadNumber {
        /// Where it stands.
        place: Place,
        /// Which number: "demand", "takes", "gives", "blend amount", "share".
        what: &'static str,
        /// The number.
        value: f64,
    },
    /// The lead of a commodity gives no more of it than it takes: nobody really gives it.
    #[error("activity {} should make commodity {} but gives no more than it takes", lead.0, commodity.0)]
    LeadGivesNone {
        /// The commodity.
        commodity: CommodityId,
        /// Its lead.
        lead: ActivityId,
    },
    /// The lead of a commodity runs on a supply, so it cannot also follow demand.
    #[error("activity {} should make commodity {} but uses up a supply", lead.0, commodity.0)]
    LeadUsesUp {
        /// The commodity.
        commodity: CommodityId,
        /// Its lead.
        lead: ActivityId,
    },
    /// An activity driven by demand leads no commodity, so nothing sets its level.
    #[error("activity {} leads no commodity: nothing sets its level", activity.0)]
    NothingDrives {
        /// The activity.
        activity: ActivityId,
    },
    /// An activity uses up a commodity that is not recovered, or of which it takes none on balance.
    #[error("activity {} cannot use up commodity {}: it must be recovered, and taken", activity.0, commodity.0)]
    CannotUseUp {
        /// The activity.
        activity: ActivityId,
        /// The commodity.
        commodity: CommodityId,
    },
    /// A blend, or a substitution, of a commodity with itself.
    #[error("{place:?} replaces commodity {} by itself", commodity.0)]
    ReplacesItself {
        /// Where.
        place: Place,
        /// The commodity.
        commodity: CommodityId,
    },
    /// A named taker does not take from the commodity, or is named twice.
    #[error("taker {position} of commodity {} does not take from it or is named twice", commodity.0)]
    WrongTaker {
        /// The recovered commodity.
        commodity: CommodityId,
        /// Position in its list.
        position: usize,
    },
    /// A loop with no way out: going once around it comes back at least as much as was put in, so
    /// no level serves it.
    #[error("a loop with no way out through commodities {commodities:?}")]
    NoWayOut {
        /// The commodities of the loop, ascending.
        commodities: Vec<CommodityId>,
    },
    /// What needs a made commodity returns at least as much of it as is taken, so its lead would
    /// never run: the loop has a gain of one or more.
    #[error("commodity {} comes back from its own loop: {returned} of {taken} taken", commodity.0)]
    LoopFeedsItself {
        /// The commodity.
        commodity: CommodityId,
        /// The activities that need it, ascending.
        activities: Vec<ActivityId>,
        /// Given by them.
        returned: f64,
        /// Taken by all activities.
        taken: f64,
    },
    /// Wanted, but no activity gives it and nothing stands in for it.
    #[error("nobody gives commodity {}, of which {wanted} are wanted", commodity.0)]
    NobodyGives {
        /// The commodity.
        commodity: CommodityId,
        /// Demand and plain takes.
        wanted: f64,
    },
    /// A recovered commodity does not cover demand and plain takes and nothing stands in for it.
    #[error("commodity {} is short by {short} of {wanted} wanted", commodity.0)]
    Short {
        /// The commodity.
        commodity: CommodityId,
        /// Demand and plain takes.
        wanted: f64,
        /// What is not covered.
        short: f64,
    },
    /// An amount beyond what a number can hold: coefficients differ by hundreds of powers of ten.
    #[error("the amount of commodity {} is beyond what a number can hold", commodity.0)]
    TooLarge {
        /// The commodity.
        commodity: CommodityId,
    },
    /// No set of choices was found that agrees with itself within the limit.
    #[error("no settled split found in {rounds} rounds; open: commodities {commodities:?}")]
    NotSettled {
        /// Commodities whose choice was still contradicted.
        commodities: Vec<CommodityId>,
        /// Linear systems solved.
        rounds: usize,
    },
}

/// Refuses a network that could not be assembled into equations.
pub(super) fn inspect(network: &Network) -> Result<(), NetworkError> {
    for index in 0..network.activities.len() {
        inspect_activity(network, ActivityId(index))?;
    }
    let mut leads = vec![false; network.activities.len()];
    for index in 0..network.commodities.len() {
        inspect_commodity(network, CommodityId(index), &mut leads)?;
    }
    for (index, activity) in network.activities.iter().enumerate() {
        if activity.driven == Driven::ByDemand && !leads[index] {
            return Err(NetworkError::NothingDrives {
                activity: ActivityId(index),
            });
        }
    }
    Ok(())
}

fn known(network: &Network, place: Place, commodity: CommodityId) -> Result<(), NetworkError> {
    if commodity.0 < network.commodities.len() {
        return Ok(());
    }
    Err(NetworkError::NoSuchCommodity { place, commodity })
}

fn number(place: Place, what: &'static str, value: f64, most: f64) -> Result<(), NetworkError> {
    if value.is_finite() && (0.0..=most).contains(&value) {
        return Ok(());
    }
    Err(NetworkError::BadNumber { place, what, value })
}

fn inspect_activity(network: &Network, id: ActivityId) -> Result<(), NetworkError> {
    let place = Place::Activity(id);
    let activity = &network.activities[id.0];
    for (what, list) in [("takes", &activity.takes), ("gives", &activity.gives)] {
        for &(commodity, amount) in list {
            known(network, place, commodity)?;
            number(place, what, amount, f64::MAX)?;
        }
    }
    for blend in &activity.blends {
        known(network, place, blend.virgin)?;
        known(network, place, blend.recovered)?;
        number(place, "blend amount", blend.amount, f64::MAX)?;
        number(place, "share", blend.at_most, 1.0)?;
        if blend.virgin == blend.recovered {
            return Err(NetworkError::ReplacesItself {
                place,
                commodity: blend.virgin,
            });
        }
    }
    if let Driven::UsesUp(commodity) = activity.driven {
        known(network, place, commodity)?;
        let recovered = matches!(
            network.commodities[commodity.0].source,
            Source::Recovered { .. }
        );
        let (given, taken) = given_and_taken(network, id, commodity);
        if !recovered || taken - given <= CANCELLED * taken {
            return Err(NetworkError::CannotUseUp {
                activity: id,
                commodity,
            });
        }
    }
    Ok(())
}

/// A difference below this share of what it is the difference of is rounding.
const CANCELLED: f64 = 1e-12;

/// What one unit of level gives and plainly takes of a commodity.
pub(super) fn given_and_taken(
    network: &Network,
    id: ActivityId,
    commodity: CommodityId,
) -> (f64, f64) {
    let activity = &network.activities[id.0];
    let total = |list: &[(CommodityId, f64)]| -> f64 {
        list.iter()
            .filter(|entry| entry.0 == commodity)
            .map(|entry| entry.1)
            .sum()
    };
    (total(&activity.gives), total(&activity.takes))
}

fn inspect_commodity(
    network: &Network,
    id: CommodityId,
    leads: &mut [bool],
) -> Result<(), NetworkError> {
    let place = Place::Commodity(id);
    let commodity = &network.commodities[id.0];
    number(place, "demand", commodity.demand, f64::MAX)?;
    match &commodity.source {
        Source::Bought => Ok(()),
        Source::Made(lead) => inspect_lead(network, id, *lead, leads),
        Source::Recovered {
            takers_in_order,
            otherwise,
        } => {
            if let Otherwise::Substitute(other) = *otherwise {
                known(network, place, other)?;
                if other == id {
                    return Err(NetworkError::ReplacesItself {
                        place,
                        commodity: id,
                    });
                }
            }
            inspect_takers(network, id, takers_in_order)
        }
    }
}

fn inspect_lead(
    network: &Network,
    commodity: CommodityId,
    lead: ActivityId,
    leads: &mut [bool],
) -> Result<(), NetworkError> {
    let Some(activity) = network.activities.get(lead.0) else {
        let place = Place::Commodity(commodity);
        return Err(NetworkError::NoSuchActivity {
            place,
            activity: lead,
        });
    };
    if activity.driven != Driven::ByDemand {
        return Err(NetworkError::LeadUsesUp { commodity, lead });
    }
    let (given, taken) = given_and_taken(network, lead, commodity);
    if given - taken <= CANCELLED * given {
        return Err(NetworkError::LeadGivesNone { commodity, lead });
    }
    leads[lead.0] = true;
    Ok(())
}

fn inspect_takers(
    network: &Network,
    commodity: CommodityId,
    takers: &[Taker],
) -> Result<(), NetworkError> {
    for (position, taker) in takers.iter().enumerate() {
        let id = match *taker {
            Taker::Blend(id, _) | Taker::UsesUp(id) => id,
        };
        let Some(activity) = network.activities.get(id.0) else {
            let place = Place::Commodity(commodity);
            return Err(NetworkError::NoSuchActivity {
                place,
                activity: id,
            });
        };
        let takes = match *taker {
            Taker::Blend(_, blend) => activity
                .blends
                .get(blend)
                .is_some_and(|blend| blend.recovered == commodity),
            Taker::UsesUp(_) => activity.driven == Driven::UsesUp(commodity),
        };
        if !takes || takers[..position].contains(taker) {
            return Err(NetworkError::WrongTaker {
                commodity,
                position,
            });
        }
    }
    Ok(())
}
