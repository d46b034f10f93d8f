//! How much salt a kg of green piece gets, and what that weighs after all.

use works::{Dose, ItemId, Operation, Salt, Stated, Works};

use crate::heat::NoHeat;
use crate::heat::extremes::end;

/// Salt that the operation takes, for a kg of green piece.
pub(super) struct Dosed<'w> {
    pub(super) laid_on: f64,
    pub(super) uptake: Option<&'w Stated>,
}

impl Dosed<'_> {
    /// Thin pieces take up the larger share.
    pub(super) fn goes_in(&self, slow: bool) -> f64 {
        self.laid_on * self.uptake.map_or(1.0, |uptake| end(uptake, !slow))
    }
}

/// kg of salt for a kg of green piece.
pub(super) fn laid_on(
    works: &Works,
    operation: &Operation,
    salt: &Salt,
    item: ItemId,
) -> Result<f64, NoHeat> {
    let take = operation.takes.iter().find(|take| take.item == item);
    let kg = take
        .zip(works.item(item).kg_per_unit())
        .map(|(take, each)| take.amount.mean() * each);
    let green = green_kg(works, operation, Some(item));
    match kg.zip(green) {
        Some((kg, green)) if green > 0.0 => Ok(kg / green),
        _ => Err(NoHeat::unclear(
            salt.at,
            &format!(
                "how much `{}` a kg of the piece gets needs the mass of both",
                works.item(item).name
            ),
        )),
    }
}

/// kg of green piece in one base unit attempted: what earlier operations pass on, or else what is taken beside the salt.
fn green_kg(works: &Works, operation: &Operation, salt: Option<ItemId>) -> Option<f64> {
    let mut sum = 0.0;
    if operation.feeds.is_empty() {
        for take in operation
            .takes
            .iter()
            .filter(|take| Some(take.item) != salt)
        {
            sum += take.amount.mean() * works.item(take.item).kg_per_unit()?;
        }
    }
    for feed in &operation.feeds {
        let item = works.operation(feed.from).output.item;
        sum += feed.amount.mean() * works.item(item).kg_per_unit()?;
    }
    (sum > 0.0).then_some(sum)
}

/// kg after all for a kg of green piece, and where it is from.
pub(super) fn weight_after(
    works: &Works,
    operation: &Operation,
    salt: &Salt,
    dosed: Option<&Dosed<'_>>,
) -> (f64, String) {
    let keeps = operation.keeps.mean;
    if operation.keeps.stated.is_none() {
        let gain = dosed.map_or(0.0, |dosed| {
            dosed.laid_on * dosed.uptake.map_or(1.0, Stated::mean)
        });
        let by = "its weight when green and the salt that goes in; no `keeps` is stated";
        return (1.0 + gain, by.to_owned());
    }
    let item = match &salt.dose {
        Dose::Taken { item, .. } => Some(*item),
        Dose::Surface(_) => None,
    };
    let out = works.item(operation.output.item).kg_per_unit();
    let weighs = match out.zip(green_kg(works, operation, item)) {
        Some((out, green)) => keeps * out / green,
        None => keeps,
    };
    (weighs, "what the operation keeps".to_owned())
}
