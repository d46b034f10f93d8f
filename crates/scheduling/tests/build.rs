//! Schedules that the builder makes of random works keep every rule; on small ones some order is the best.

mod common;

use chance::Stream;
use scheduling::build::{Rule, by_rule, in_order};
use scheduling::check::{Breach, check};
use scheduling::problem::*;

#[test]
fn every_schedule_keeps_every_rule() {
    let rules = [
        Rule::EarliestDue,
        Rule::MostWork,
        Rule::WeightedShortest,
        Rule::Apparent {
            dates: 2.0,
            setups: 0.5,
        },
    ];
    let (mut links, mut broken) = (0, 0);
    for seed in 0..400 {
        let draft = common::works(seed, 1 + seed as usize % 12);
        let problem = Problem::new(draft.clone()).expect("random works are sound");
        let mut order: Vec<usize> = (0..problem.len()).collect();
        Stream::new(seed, "order").shuffle(&mut order);
        let mut schedules = vec![in_order(&problem, &order)];
        schedules.push(by_rule(&problem, rules[seed as usize % 4]));
        for placed in schedules {
            let found = check(&draft, &placed);
            let rest: Vec<&Breach> = found.iter().filter(|b| !matches!(b, Breach::TooLong(_))).collect();
            assert!(rest.is_empty(), "seed {seed}: {rest:?}");
            links += draft.links.iter().filter(|l| l.most.is_some_and(|m| m.cost.is_none())).count();
            broken += found.len();
        }
    }
    // A wait across a night can be impossible; most are kept.
    assert!(broken * 50 < links, "{broken} of {links} hard waits broken");
}
