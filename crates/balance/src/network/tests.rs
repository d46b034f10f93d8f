//! Worked networks first, then properties on random ones.

use super::*;

fn bought() -> Commodity {
    Commodity {
        demand: 0.0,
        source: Source::Bought,
    }
}

fn made(lead: usize) -> Commodity {
    wanted(0.0, lead)
}

fn wanted(demand: f64, lead: usize) -> Commodity {
    Commodity {
        demand,
        source: Source::Made(ActivityId(lead)),
    }
}

fn recovered(otherwise: Otherwise) -> Commodity {
    let source = Source::Recovered {
        takers_in_order: Vec::new(),
        otherwise,
    };
    Commodity {
        demand: 0.0,
        source,
    }
}

fn list(entries: &[(usize, f64)]) -> Vec<(CommodityId, f64)> {
    entries
        .iter()
        .map(|&(id, amount)| (CommodityId(id), amount))
        .collect()
}

fn activity(takes: &[(usize, f64)], gives: &[(usize, f64)]) -> Activity {
    let driven = Driven::ByDemand;
    Activity {
        takes: list(takes),
        gives: list(gives),
        blends: Vec::new(),
        driven,
    }
}

fn close(a: f64, b: f64) {
    assert!((a - b).abs() <= 1e-9 * (1.0 + b.abs()), "{a} is not {b}");
}

fn solved(network: &Network) -> Solution {
    let solution = solve(network).unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(check(network, &solution, 1e-9), Ok(()));
    solution
}

/// Pellets 0, regrind 1, sprue 2, part 3, lost dust 4. The press feeds 1 kg a level, of which
/// `sprue` returns; the granulator loses `fines`.
fn moulding(demand: f64, sprue: f64, fines: f64, at_most: f64) -> Network {
    let blend = Blend {
        virgin: CommodityId(0),
        recovered: CommodityId(1),
        amount: 1.0,
        at_most,
    };
    let press = Activity {
        blends: vec![blend],
        ..activity(&[], &[(3, 1.0 - sprue), (2, sprue)])
    };
    let driven = Driven::UsesUp(CommodityId(2));
    let granulator = Activity {
        driven,
        ..activity(&[(2, 1.0)], &[(1, 1.0 - fines), (4, fines)])
    };
    Network {
        commodities: vec![
            bought(),
            recovered(Otherwise::Nothing),
            recovered(Otherwise::Nothing),
            wanted(demand, 0),
            recovered(Otherwise::Nothing),
        ],
        activities: vec![press, granulator],
    }
}

/// IN-09 (C): .98 × .95 × .99 × .97 = .8940393 rolled yield; 1,000 good need 1,118.519 started.
#[test]
fn a_chain_divides_by_the_rolled_yield() {
    let yields = [0.98, 0.95, 0.99, 0.97];
    let mut network = Network {
        commodities: vec![bought()],
        activities: Vec::new(),
    };
    for (at, yield_) in yields.into_iter().enumerate() {
        network.commodities.push(made(at));
        network
            .activities
            .push(activity(&[(at, 1.0)], &[(at + 1, yield_)]));
    }
    network.commodities[4].demand = 1000.0;
    let solution = solved(&network);
    close(1000.0 / solution.bought[0], 0.894_039_3);
    assert_eq!(solution.rounds, 1);
    assert!(solution.loops.is_empty());
}

/// Sand and inspect: of each piece inspected 4 % goes back to sanding. Each good piece passes
/// 1/(1 − .04) times: 960 good need 1,000 sandings but only 960 blanks.
#[test]
fn rework_returns_to_its_commodity() {
    // 0 blank, 1 to sand, 2 good. 0 enter: blank → to sand; 1 sand: to sand → good .96, to sand .04
    let network = Network {
        commodities: vec![bought(), made(0), wanted(960.0, 1)],
        activities: vec![
            activity(&[(0, 1.0)], &[(1, 1.0)]),
            activity(&[(1, 1.0)], &[(2, 0.96), (1, 0.04)]),
        ],
    };
    let solution = solved(&network);
    close(solution.level[1], 1000.0);
    close(solution.level[0], 960.0);
    close(solution.bought[0], 960.0);
}

/// A loop that has to be solved together: inspection passes .90, sends .08 to repair and scraps
/// .02; repair returns .75 of it as good. Good per piece: .90 + .08 × .75 = .96.
#[test]
fn a_repair_loop_feeding_the_good_is_solved_together() {
    // 0 piece, 1 good, 2 to repair, 3 scrap
    let repair = Activity {
        driven: Driven::UsesUp(CommodityId(2)),
        ..activity(&[(2, 1.0)], &[(1, 0.75), (3, 0.25)])
    };
    let network = Network {
        commodities: vec![
            bought(),
            wanted(480.0, 0),
            recovered(Otherwise::Nothing),
            recovered(Otherwise::Nothing),
        ],
        activities: vec![
            activity(&[(0, 1.0)], &[(1, 0.90), (2, 0.08), (3, 0.02)]),
            repair,
        ],
    };
    let solution = solved(&network);
    close(solution.level[0], 500.0);
    close(solution.level[1], 40.0);
    close(solution.surplus[3], 500.0 * 0.02 + 40.0 * 0.25);
    assert_eq!(solution.loops, vec![vec![CommodityId(1), CommodityId(2)]]);
}

/// TRADE.md section 5 (derived): s .30, rule .25, no fines → 5 % of the feed is surplus.
#[test]
fn regrind_beyond_the_rule_is_surplus() {
    let solution = solved(&moulding(700.0, 0.30, 0.0, 0.25));
    close(solution.level[0], 1000.0);
    close(solution.recovered_used[0][0], 250.0);
    close(solution.bought[0], 750.0);
    close(solution.surplus[1], 50.0);
}

/// Below the rule the loop closes at r = s (1 − g): .30 × .95 = .285 of the feed.
#[test]
fn regrind_below_the_rule_closes() {
    let solution = solved(&moulding(700.0, 0.30, 0.05, 0.50));
    close(solution.recovered_used[0][0], 285.0);
    close(solution.bought[0], 715.0);
    close(solution.surplus[1], 0.0);
    close(solution.surplus[4], 15.0);
}
