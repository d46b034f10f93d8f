//! The checker: derives everything in a plan again from the problem alone.

use std::collections::BTreeMap;

use thiserror::Error;

use super::{Cut, Leftover, Pattern, Plan, Problem, RoundUp, Short};

/// What is wrong with a plan.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum Fault {
    /// An index points nowhere, or a list has the wrong length.
    #[error("pattern {pattern} names stock, stretches or parts that are not there")]
    Unknown {
        /// Index of the pattern.
        pattern: usize,
    },
    /// The parts do not fit the stretch, there are too many, or the rest is not what is left.
    #[error(
        "pattern {pattern}, stretch {stretch}: {parts} parts, rest {rest}, does not fit or add up"
    )]
    Cut {
        /// Index of the pattern.
        pattern: usize,
        /// Index of the stretch.
        stretch: usize,
        /// Number of parts.
        parts: u64,
        /// The rest that is claimed.
        rest: u64,
    },
    /// More stock than there is.
    #[error("stock {stock}: {used} used")]
    Stock {
        /// Index of the stock.
        stock: usize,
        /// Pieces used.
        used: u64,
    },
    /// More of a part than allowed.
    #[error("part {part}: {made} made")]
    OverRun {
        /// Index of the part.
        part: usize,
        /// Pieces made.
        made: u64,
    },
    /// A number of the plan is not what its patterns give.
    #[error("{what} is claimed as {claimed}, but is {found}")]
    Sum {
        /// Which number.
        what: &'static str,
        /// What the plan says.
        claimed: String,
        /// What the patterns give.
        found: String,
    },
    /// The claims about the bound contradict each other.
    #[error("bound {bound} and cost {cost} do not support the claims of the plan")]
    Claim {
        /// Bound of the plan.
        bound: u64,
        /// Cost of the plan.
        cost: u64,
    },
}

/// Whether the plan keeps every rule of the problem and every number in it is right. That the bound is a
/// bound cannot be seen from a plan; only contradictions are.
pub fn check(problem: &Problem, plan: &Plan) -> Result<(), Fault> {
    for (index, pattern) in plan.patterns.iter().enumerate() {
        check_pattern(problem, index, pattern)?;
    }
    check_stock(problem, plan)?;
    check_parts(problem, plan)?;
    check_sums(problem, plan)?;
    check_claims(problem, plan)
}

/// Lengths of a stock's stretches after the trims.
fn usable(problem: &Problem, stock: usize) -> Vec<u64> {
    let mut lengths = problem.stocks[stock].stretches.clone();
    if let Some(first) = lengths.first_mut() {
        *first = first.saturating_sub(problem.saw.head_trim);
    }
    if let Some(last) = lengths.last_mut() {
        *last = last.saturating_sub(problem.saw.tail_trim);
    }
    lengths
}

fn check_pattern(problem: &Problem, index: usize, pattern: &Pattern) -> Result<(), Fault> {
    let unknown = Fault::Unknown { pattern: index };
    let Some(stock) = problem.stocks.get(pattern.stock) else {
        return Err(unknown);
    };
    let parts_known = pattern
        .cuts
        .iter()
        .flat_map(|cut| &cut.parts)
        .all(|&(part, count)| part < problem.parts.len() && count > 0);
    if pattern.cuts.len() != stock.stretches.len() || !parts_known || pattern.count == 0 {
        return Err(unknown);
    }
    let lengths = usable(problem, pattern.stock);
    for (stretch, (cut, &length)) in pattern.cuts.iter().zip(&lengths).enumerate() {
        let parts: u64 = cut.parts.iter().map(|&(_, count)| count).sum();
        if !cut_is_right(problem, cut, length, parts) {
            return Err(Fault::Cut {
                pattern: index,
                stretch,
                parts,
                rest: cut.rest,
            });
        }
    }
    Ok(())
}

fn cut_is_right(problem: &Problem, cut: &Cut, length: u64, parts: u64) -> bool {
    let kerf = u128::from(problem.saw.kerf);
    let wood: u128 = cut
        .parts
        .iter()
        .map(|&(part, count)| u128::from(problem.parts[part].length) * u128::from(count))
        .sum();
    let between = kerf * u128::from(parts.saturating_sub(1));
    let freed = wood + kerf * u128::from(parts);
    let rest = u128::from(length).saturating_sub(freed);
    wood + between <= u128::from(length)
        && problem.most_pieces.is_none_or(|most| parts <= most)
        && u128::from(cut.rest) == rest
}

fn check_stock(problem: &Problem, plan: &Plan) -> Result<(), Fault> {
    let mut used = vec![0_u64; problem.stocks.len()];
    for pattern in &plan.patterns {
        used[pattern.stock] += pattern.count;
    }
    equal("stock used", &plan.used, &used)?;
    for (stock, (kind, &used)) in problem.stocks.iter().zip(&used).enumerate() {
        if kind.available.is_some_and(|available| used > available) {
            return Err(Fault::Stock { stock, used });
        }
    }
    Ok(())
}

fn check_parts(problem: &Problem, plan: &Plan) -> Result<(), Fault> {
    let mut made = vec![0_u64; problem.parts.len()];
    for pattern in &plan.patterns {
        for &(part, count) in pattern.cuts.iter().flat_map(|cut| &cut.parts) {
            made[part] += count * pattern.count;
        }
    }
    let longest = (0..problem.stocks.len())
        .filter(|&stock| problem.stocks[stock].available != Some(0))
        .flat_map(|stock| usable(problem, stock))
        .max()
        .unwrap_or(0);
    let mut short = Vec::new();
    let mut missing_length = 0;
    for (index, (part, &made)) in problem.parts.iter().zip(&made).enumerate() {
        if made > part.at_most.unwrap_or(part.need) {
            return Err(Fault::OverRun { part: index, made });
        }
        if made < part.need {
            let missing = part.need - made;
            missing_length += missing * part.length;
            short.push(Short {
                part: index,
                missing,
                too_long: part.length > longest || problem.most_pieces == Some(0),
            });
        }
    }
    equal("short", &plan.short, &short)?;
    equal("missing length", &plan.missing_length, &missing_length)
}

fn check_sums(problem: &Problem, plan: &Plan) -> Result<(), Fault> {
    let mut rests: BTreeMap<(usize, u64), u64> = BTreeMap::new();
    let (mut cost, mut stock_length, mut part_length, mut kept_length) = (0, 0, 0, 0);
    for pattern in &plan.patterns {
        let stock = &problem.stocks[pattern.stock];
        cost += stock.cost * pattern.count;
        stock_length += stock.stretches.iter().sum::<u64>() * pattern.count;
        for cut in &pattern.cuts {
            let wood: u64 = cut
                .parts
                .iter()
                .map(|&(p, n)| problem.parts[p].length * n)
                .sum();
            part_length += wood * pattern.count;
            if let Some(rule) = problem.leftovers
                && cut.rest >= rule.at_least.max(1)
            {
                *rests.entry((pattern.stock, cut.rest)).or_default() += pattern.count;
                kept_length += cut.rest * pattern.count;
                cost -= rule.value(cut.rest) * pattern.count;
            }
        }
    }
    let leftovers: Vec<Leftover> = rests
        .into_iter()
        .map(|((stock, length), count)| Leftover {
            stock,
            length,
            count,
        })
        .collect();
    equal("left-overs", &plan.leftovers, &leftovers)?;
    equal("cost", &plan.cost, &cost)?;
    let waste = stock_length - part_length - kept_length;
    equal("waste", &plan.waste, &waste)
}

fn check_claims(problem: &Problem, plan: &Plan) -> Result<(), Fault> {
    let patterns = plan.patterns.len() as u64;
    let kept = problem.most_patterns.is_none_or(|most| patterns <= most);
    equal("patterns kept", &plan.patterns_kept, &kept)?;
    let optimal = plan.bound == plan.cost && plan.missing_bound == plan.missing_length;
    let round_up_known = match plan.round_up {
        RoundUp::Met => plan.bound == plan.cost,
        RoundUp::Missed => plan.bound as f64 >= plan.linear_bound + 1.0 - 1e-6,
        RoundUp::Open => true,
    };
    if plan.bound > plan.cost
        || plan.missing_bound > plan.missing_length
        || plan.proved != (optimal && kept)
        || plan.linear_bound > plan.bound as f64 + 1e-6 * (1.0 + plan.linear_bound.abs())
        || !round_up_known
    {
        return Err(Fault::Claim {
            bound: plan.bound,
            cost: plan.cost,
        });
    }
    Ok(())
}

fn equal<T: PartialEq + std::fmt::Debug>(
    what: &'static str,
    claimed: &T,
    found: &T,
) -> Result<(), Fault> {
    if claimed == found {
        return Ok(());
    }
    Err(Fault::Sum {
        what,
        claimed: format!("{claimed:?}"),
        found: format!("{found:?}"),
    })
}
