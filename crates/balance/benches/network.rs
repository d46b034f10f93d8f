//! How long a balance takes: a large works, and one route after one number was edited.

use balance::network::{
    Activity, ActivityId, Blend, Commodity, CommodityId, Driven, Network, Otherwise, Source, solve,
};

fn main() {
    divan::main();
}

fn commodity(demand: f64, source: Source) -> Commodity {
    Commodity { demand, source }
}

fn recovered() -> Commodity {
    let source = Source::Recovered {
        takers_in_order: Vec::new(),
        otherwise: Otherwise::Nothing,
    };
    commodity(0.0, source)
}

/// Routes of `steps` operations, each with rework to itself, scrap, a repair loop at its end and
/// a regrind loop at its start.
fn works(routes: usize, steps: usize) -> Network {
    let mut network = Network::default();
    let scrap = add(&mut network, recovered());
    for route in 0..routes {
        let pellets = add(&mut network, commodity(0.0, Source::Bought));
        let sprue = add(&mut network, recovered());
        let regrind = add(&mut network, recovered());
        let mut before = None;
        for step in 0..steps {
            let lead = ActivityId(network.activities.len());
            let demand = if step + 1 == steps {
                100.0 + route as f64
            } else {
                0.0
            };
            let made = add(&mut network, commodity(demand, Source::Made(lead)));
            let mut gives = vec![(made, 0.96), (scrap, 0.02)];
            gives.push((before.unwrap_or(sprue), 0.02));
            let feed = Blend {
                virgin: pellets,
                recovered: regrind,
                amount: 1.0,
                at_most: 0.25,
            };
            network.activities.push(Activity {
                takes: before.map(|id| (id, 1.0)).into_iter().collect(),
                gives,
                blends: if before.is_none() {
                    vec![feed]
                } else {
                    Vec::new()
                },
                driven: Driven::ByDemand,
            });
            before = Some(made);
        }
        network.activities.push(Activity {
            takes: vec![(sprue, 1.0)],
            gives: vec![(regrind, 0.95), (scrap, 0.05)],
            blends: Vec::new(),
            driven: Driven::UsesUp(sprue),
        });
        let reject = add(&mut network, recovered());
        let last = before.unwrap_or(scrap);
        let end = network.activities.len() - 2;
        network.activities[end].gives.push((reject, 0.01));
        network.activities.push(Activity {
            takes: vec![(reject, 1.0)],
            gives: vec![(last, 0.8), (scrap, 0.2)],
            blends: Vec::new(),
            driven: Driven::UsesUp(reject),
        });
    }
    network
}

fn add(network: &mut Network, commodity: Commodity) -> CommodityId {
    network.commodities.push(commodity);
    CommodityId(network.commodities.len() - 1)
}

#[divan::bench(args = [(1, 28), (455, 20), (1, 9_998)])]
fn balance(bencher: divan::Bencher<'_, '_>, (routes, steps): (usize, usize)) {
    let network = works(routes, steps);
    bencher.bench(|| solve(&network).map(|solution| solution.rounds));
}

/// A large works in which one loop has no way out: the first press takes two of what its own route
/// ends in.
#[divan::bench(sample_count = 5)]
fn refusal(bencher: divan::Bencher<'_, '_>) {
    let steps = 20;
    let mut network = works(455, steps);
    let (good, _) = network.activities[steps - 1].gives[0];
    network.activities[0].takes.push((good, 2.0));
    assert!(solve(&network).is_err(), "the loop grows");
    bencher.bench(|| solve(&network).is_err());
}
