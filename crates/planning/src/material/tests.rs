//! Worked arithmetic of purchase, start and mass; conservation on random works.

use proptest::prelude::*;
use works::{OperationId, PriceBreak, Recovered, RejectTo};

use super::*;
use crate::flow::WantedFor;
use crate::testing::*;

/// What came of a works.
struct Run {
    ledger: Ledger,
    figures: Figures,
    material: Material,
    flow: Flow,
}

impl Run {
    fn value(&self, key: &str) -> f64 {
        self.figures
            .get(key)
            .unwrap_or_else(|| panic!("no figure {key}"))
            .value
    }
}

fn run(works: &Works, wanted: &[Wanted]) -> Run {
    let flow = Flow::solve(works, wanted, true).unwrap();
    let mut ledger = Ledger::default();
    let book = Book::enter(&mut ledger, works, &flow, wanted);
    let mut figures = Figures::default();
    let certainty = works.assumptions.certainty;
    let today = day("2026-11-25");
    let until = works.orders.iter().map(|order| order.due).max();
    let until = until.unwrap_or(day("2026-12-31"));
    let levels = &flow.solution.level[..works.operations.len()];
    let load = crate::load::load(works, levels, today, until, 1000);
    let ground = Ground {
        works,
        flow: &flow,
        book: &book,
        wanted,
        load: &load,
        certainty,
        today,
    };
    let mut memory = Memory::default();
    let material = Material::work_out(&mut ledger, &mut figures, &mut memory, ground);
    assert_eq!(ledger.faults(1e-9), vec![]);
    Run {
        ledger,
        figures,
        material,
        flow,
    }
}

fn orders(works: &Works) -> Vec<Wanted> {
    let orders = works.orders.iter().enumerate();
    orders
        .map(|(index, order)| Wanted {
            item: order.item,
            amount: order.quantity.mean(),
            source: WantedFor::Order(index),
        })
        .collect()
}

fn close(found: f64, expected: f64) {
    assert!(
        (found - expected).abs() <= 1e-9 * expected.abs().max(1.0),
        "{found} not {expected}"
    );
}

/// 5,000 blocks through one operation of 92 %.
fn blocks(lots_sd: f64) -> Works {
    let mut build = Build::new();
    let blank = build.bought("blank", count("each"), 0.5);
    let block = build.item("block", count("each"));
    let route = build.route(block);
    let plane = build.starts(route, "plane", block);
    build.op(plane).takes.push(take(blank, 1.0));
    build.op(plane).good = share(0.92, lots_sd);
    build.order(block, 5000.0, "2026-12-14");
    build.finish()
}

#[test]
fn certainty_figures_of_the_trade() {
    // TRADE.md section 0 (D): 5,435 in the mean, 5,471 binomial at 95 %, 5,655 and 5,918 with lots
    // that differ by 2 and 4 points.
    for (lots_sd, expected) in [(0.0, 5471.0), (0.02, 5655.0), (0.04, 5918.0)] {
        let works = blocks(lots_sd);
        let run = run(&works, &orders(&works));
        assert_eq!(run.value("block to start"), expected);
        assert_eq!(run.value("blank to buy"), expected);
        let start = &run.material.starts[0];
        close(run.ledger.value(start.mean), 5000.0 / 0.92);
        close(run.value("blank needed"), 5000.0 / 0.92);
        let certain = start.certain.as_ref().unwrap();
        assert!(certain.odds >= 0.95);
        assert_eq!(run.ledger.recompute(certain.quantity), expected);
        assert!(
            start
                .curve
                .windows(2)
                .all(|w| w[0].odds <= w[1].odds + 1e-12)
        );
    }
}

#[test]
fn planks_whose_yield_varies_are_bought_by_the_plank() {
    // TRADE.md section 0 (D): 14 blocks from a plank, deviation 4, demand 5,000: 358 planks at 50 %,
    // 367 at 95 %; with lots that differ by 0.7: 391.
    for (lots, expected) in [(0.0, 367.0), (0.7, 391.0)] {
        let mut build = Build::new();
        let plank = build.bought("plank", count("plank"), 11.0);
        let block = build.item("block", count("each"));
        let route = build.route(block);
        let cut = build.starts(route, "cross-cut", block);
        build.op(cut).takes.push(take(plank, 1.0 / 14.0));
        build.op(cut).output.per_recipe = 14.0;
        build.op(cut).output.within_cv = 4.0 / 14.0;
        build.op(cut).output.lots_cv = lots / 14.0;
        build.order(block, 5000.0, "2026-12-14");
        let works = build.finish();
        let run = run(&works, &orders(&works));
        assert_eq!(run.value("plank to buy"), expected);
        assert_eq!(run.value("block to start"), expected);
        assert_eq!(run.material.starts[0].start_of, "plank");
    }
}

#[test]
fn samples_of_the_last_operation_are_started_once() {
    // Five lots of 1,000, each of which loses 50 to a test after an operation of 92 %: 5,250 must
    // pass, so 5,250 ÷ 0.92 are started in the mean.
    let mut works = blocks(0.0);
    works.routes[0].lot = Some(stated(1000.0));
    works.operations[0].checks.push(works::Check {
        what: "pull".into(),
        limit: None,
        every: works::CheckEvery::Lot,
        sample: 50.0,
        destroys: true,
        time: None,
        cost: None,
        by: None,
        at: nowhere(),
    });
    let run = run(&works, &orders(&works));
    let start = &run.material.starts[0];
    close(run.ledger.value(start.demand), 5000.0);
    close(run.ledger.value(start.mean), 5250.0 / 0.92);
    close(run.flow.attempted(OperationId(0)), 5250.0 / 0.92);
    let certain = run.value("block to start");
    assert!((5706.0..5800.0).contains(&certain), "{certain}");
}

#[test]
fn packs_minimum_breaks_and_order_date() {
    // 1,000 pins of 0.2 m at 100 %: 200 m of bar, 30 m on hand: 170 m net. Packs of 60 m: 180 m. From
    // 150 m on a metre costs 1.80: 324.00. Due 14 December less 10 days: order by the 4th.
    let mut build = Build::new();
    let bar = build.bought("bar", metre(), 2.0);
    let pin = build.item("pin", count("each"));
    let route = build.route(pin);
    let cut = build.starts(route, "cut", pin);
    build.op(cut).takes.push(take(bar, 0.2));
    build.order(pin, 1000.0, "2026-12-14");
    build.stock(bar, 30.0);
    let buy = build.0.items[bar.0].buy.as_mut().unwrap();
    buy.pack = Some(stated(60.0));
    buy.minimum = Some(stated(100.0));
    buy.lead = Some(stated(10.0 * 86_400.0));
    buy.breaks = vec![PriceBreak {
        from: stated(150.0),
        price: stated(1.8),
    }];
    let works = build.finish();
    let run = run(&works, &orders(&works));
    close(run.value("bar to buy"), 180.0);
    close(run.value("bar cost"), 324.0);
    let line = &run.material.purchases[0];
    assert_eq!(line.packs, Some(3.0));
    assert_eq!(line.order_by, Some(day("2026-12-04")));
    assert!(!line.late);
}

#[test]
fn ordered_for_the_first_order_that_stock_does_not_cover() {
    // A pin takes 0.2 m of bar, of which 500 m are on hand. Orders: 1,000 pins (200 m) on the 7th,
    // 1,500 (300 m: 500 m in all, just covered) on the 14th, 100 (20 m) on the 21st. The pins cure
    // for 36 h: two days, so the bar must be there on the 19th. It takes up to 10 days: the 9th.
    // Wire (1 m a pin, none on hand) must be there two days before the first order: the 5th.
    let mut build = Build::new();
    let bar = build.bought("bar", metre(), 2.0);
    let wire = build.bought("wire", metre(), 0.1);
    let pin = build.item("pin", count("each"));
    let route = build.route(pin);
    let cut = build.starts(route, "cut", pin);
    build.op(cut).takes = vec![take(bar, 0.2), take(wire, 1.0)];
    build.op(cut).wait.at_least = Some(stated(36.0 * 3600.0));
    build.order(pin, 100.0, "2026-12-21");
    build.order(pin, 1500.0, "2026-12-14");
    build.order(pin, 1000.0, "2026-12-07");
    build.stock(bar, 500.0);
    let mut lead = stated(0.0);
    lead.spread = quantity::Spread::Range {
        low: 6.0 * 86_400.0,
        high: 10.0 * 86_400.0,
    };
    build.0.items[bar.0].buy.as_mut().unwrap().lead = Some(lead);
    let works = build.finish();
    let run = run(&works, &orders(&works));
    let timing = |line: usize| run.material.purchases[line].timing.clone().unwrap();
    let bar = timing(0);
    assert_eq!((bar.order, bar.making_days), (Some(0), 2));
    assert_eq!(bar.needed_on, day("2026-12-19"));
    assert_eq!(bar.order_by, day("2026-12-09"));
    assert_eq!(
        bar.words,
        "the 500 m on hand do not cover order 1 (pin, due 2026-12-21), about 2 days from \
         `cut` on: it must be there on 2026-12-19, 10 days after it is ordered"
    );
    assert_eq!(run.material.purchases[0].order_by, Some(bar.order_by));
    let wire = timing(1);
    assert_eq!((wire.order, wire.order_by), (Some(2), day("2026-12-05")));
}

#[test]
fn parts_are_needed_before_what_they_go_into() {
    // A frame (dries 30 h) takes 4 corners (cure 20 h): 50 h from plastic to frame, three days.
    // 60 of the 100 frames come from stock, so only the second order is made.
    let mut build = Build::new();
    let plastic = build.bought("plastic", kg(), 2.0);
    let corner = build.item("corner", count("each"));
    let frame = build.item("frame", count("each"));
    let frames = build.route(frame);
    let join = build.starts(frames, "join", frame);
    build.op(join).takes.push(take(corner, 4.0));
    build.op(join).wait.at_least = Some(stated(30.0 * 3600.0));
    let label = build.bought("label", count("each"), 0.1);
    let stick = build.follows(frames, "stick", frame, join, 1.0);
    build.op(stick).takes.push(take(label, 1.0));
    let corners = build.route(corner);
    let press = build.starts(corners, "press", corner);
    build.op(press).takes.push(take(plastic, 0.1));
    build.op(press).wait.at_least = Some(stated(20.0 * 3600.0));
    build.order(frame, 60.0, "2026-12-07");
    build.order(frame, 40.0, "2026-12-14");
    build.stock(frame, 60.0);
    let works = build.finish();
    let run = run(&works, &orders(&works));
    let timing = run.material.purchases[0].timing.clone().unwrap();
    assert_eq!((timing.order, timing.making_days), (Some(1), 3));
    assert_eq!(timing.order_by, day("2026-12-11"));
    // Labels are stuck on after drying: on the day the frames are due.
    let labels = run.material.purchases[1].timing.clone().unwrap();
    assert_eq!((labels.order, labels.making_days), (Some(1), 0));
}

#[test]
fn certainty_passes_down_to_parts_made_by_other_routes() {
    // 100 frames of 4 corners; joining passes 95 %, pressing all. Joins at 95 % certainty: n; corners
    // then 4 n exactly, as pressing loses none.
    let mut build = Build::new();
    let steel = build.bought("steel", kg(), 1.5);
    let corner = build.item("corner", count("each"));
    let frame = build.item("frame", count("each"));
    let corners = build.route(corner);
    let press = build.starts(corners, "press", corner);
    build.op(press).takes.push(take(steel, 0.05));
    let frames = build.route(frame);
    let join = build.starts(frames, "join", frame);
    build.op(join).takes.push(take(corner, 4.0));
    build.op(join).good = share(0.95, 0.0);
    build.order(frame, 100.0, "2026-12-14");
    let works = build.finish();
    let run = run(&works, &orders(&works));
    // CHECKS.md IN-05 (C): 100 good at 95 %, certainty 95 %: 109.
    assert_eq!(run.value("frame to start"), 109.0);
    // The corners that these take are what is started of corners, at any odds.
    assert_eq!(run.value("corner to start"), 436.0);
    assert_eq!(run.value("steel needed at 95 %"), 0.05 * 4.0 * 109.0);
    close(run.value("steel needed"), 0.05 * 4.0 * 100.0 / 0.95);
    close(run.value("steel to buy"), 0.05 * 4.0 * 109.0);
}

#[test]
fn rework_lowers_the_start() {
    // Chance to pass 0.9, all rejects repaired and inspected again: every unit comes good, so the
    // start is the demand.
    let mut build = Build::new();
    let blank = build.bought("blank", count("each"), 1.0);
    let sign = build.item("sign", count("each"));
    let route = build.route(sign);
    let coat = build.starts(route, "coat", sign);
    build.op(coat).takes.push(take(blank, 1.0));
    let inspect = build.follows(route, "inspect", sign, coat, 1.0);
    build.op(inspect).good = share(0.9, 0.0);
    build.op(inspect).rejects = vec![reject(1.0, RejectTo::Rework(inspect))];
    build.order(sign, 500.0, "2026-12-14");
    let works = build.finish();
    let run = run(&works, &orders(&works));
    close(run.value("blank to buy"), 500.0);
    assert_eq!(run.value("sign to start"), 500.0);
}

#[test]
fn mass_adds_up_along_a_route() {
    // A plank of 5 kg gives 7 m of strip (mass not stated) and 0.8 kg of offcut; 0.2 m makes a block
    // of 0.1 kg. Per metre 5/7 − 0.8/7 = 0.6 kg, per block 0.12 kg in, so 0.02 kg of sawdust each.
    // 100 blocks: 20 m, 20/7 planks: in 14.2857 kg = 10 product + 2.2857 offcut + 2 sawdust.
    let mut build = Build::new();
    let plank = build.bought("plank", count("plank"), 11.0);
    let offcut = build.item("offcut", kg());
    let strip = build.item("strip", metre());
    let block = build.item("block", count("each"));
    build.0.items[plank.0].mass = Some(stated(5.0));
    build.0.items[block.0].mass = Some(stated(0.1));
    let route = build.route(block);
    let rip = build.starts(route, "rip", strip);
    build.op(rip).takes.push(take(plank, 1.0 / 7.0));
    build.op(rip).also.push(also(offcut, 0.8 / 7.0));
    let cut = build.follows(route, "cut", block, rip, 0.2);
    build.op(cut).lost_as = Some("sawdust".into());
    build.order(block, 100.0, "2026-12-14");
    let works = build.finish();
    let run = run(&works, &orders(&works));
    let sums = run.material.mass.routes[0].sums.as_ref().unwrap();
    let value = |node| run.ledger.value(node);
    close(value(sums.taken), 100.0 / 7.0);
    close(value(sums.product), 10.0);
    close(value(sums.by_products), 20.0 * 0.8 / 7.0);
    assert_eq!(sums.lost[0].0, "sawdust");
    close(value(sums.lost[0].1), 2.0);
    assert!(value(sums.unexplained).abs() < 1e-9 && value(sums.in_between).abs() < 1e-9);
}

/// Blanks of 0.4 kg take 0.02 kg of powder; a tenth of what is baked (0.42 kg) is stripped and coated
/// again, so that of a hundred coated ten come back.
fn coated(lost_as: Option<&str>) -> (Run, Vec<OperationMass>) {
    let mut build = Build::new();
    let blank = build.bought("blank", count("each"), 1.0);
    let powder = build.bought("powder", kg(), 5.0);
    let bracket = build.item("bracket", count("each"));
    let coat_of = build.item("coated", count("each"));
    build.0.items[blank.0].mass = Some(stated(0.4));
    build.0.items[bracket.0].mass = Some(stated(0.42));
    let route = build.route(bracket);
    let coat = build.starts(route, "cut", coat_of);
    build.op(coat).takes.push(take(blank, 1.0));
    let coat = build.follows(route, "coat", coat_of, coat, 1.0);
    build.op(coat).takes.push(take(powder, 0.02));
    let bake = build.follows(route, "bake", bracket, coat, 1.0);
    let strip = build.starts(route, "strip", bracket);
    build.op(strip).off_line = true;
    build.op(strip).then = Some(coat);
    build.op(strip).lost_as = lost_as.map(str::to_owned);
    build.op(bake).good = share(0.9, 0.0);
    build.op(bake).rejects = vec![reject(1.0, RejectTo::Rework(strip))];
    build.order(bracket, 90.0, "2026-12-14");
    let works = build.finish();
    let run = run(&works, &orders(&works));
    let operations = run.material.mass.routes[0].operations.clone();
    (run, operations)
}

#[test]
fn rework_beside_the_line_passes_on_what_came_less_what_it_names() {
    // Named: ten strips take 0.42 kg down to the 0.4 kg of a blank, 0.2 kg lost. All adds up.
    let (run, operations) = coated(Some("coat stripped off"));
    let value = |node| run.ledger.value(node);
    let strip = &operations[3];
    close(value(strip.fed), 4.2);
    close(value(strip.passed), 4.0);
    close(value(strip.lost), 0.2);
    assert_eq!(strip.lost_as.as_deref(), Some("coat stripped off"));
    close(value(operations[1].passed), 42.0);
    for operation in &operations {
        close(value(operation.unexplained), 0.0);
    }
    // Unnamed: nothing is lost there. 90 of 0.4 kg and 10 of 0.42 kg are coated with 2 kg: 42.2 kg,
    // of which 42 kg leave the oven. Nowhere comes out more than went in.
    let (run, operations) = coated(None);
    let value = |node| run.ledger.value(node);
    close(value(operations[3].passed), 4.2);
    close(value(operations[1].passed), 42.2);
    close(value(operations[2].unexplained), 0.2);
}

#[test]
fn a_stated_mass_holds_where_the_item_is_made() {
    // A block of 0.7 kg is drilled (0.684 kg) and passes, unnamed, where 0.03 kg of tubes go in: a
    // named loss of unknown size. Packed it weighs 0.71 kg: 0.004 kg of tubes were missed.
    let mut build = Build::new();
    let blank = build.bought("blank", count("each"), 1.0);
    let tube = build.bought("tube", kg(), 5.0);
    let drilled = build.item("drilled", count("each"));
    let block = build.item("block", count("each"));
    build.0.items[blank.0].mass = Some(stated(0.7));
    build.0.items[drilled.0].mass = Some(stated(0.684));
    build.0.items[block.0].mass = Some(stated(0.71));
    let route = build.route(block);
    let drill = build.starts(route, "drill", drilled);
    build.op(drill).takes.push(take(blank, 1.0));
    build.op(drill).lost_as = Some("chips".into());
    let insert = build.follows(route, "insert", drilled, drill, 1.0);
    build.op(insert).takes.push(take(tube, 0.03));
    build.op(insert).lost_as = Some("missed tubes".into());
    build.follows(route, "pack", block, insert, 1.0);
    build.order(block, 100.0, "2026-12-14");
    let works = build.finish();
    let run = run(&works, &orders(&works));
    let operations = &run.material.mass.routes[0].operations;
    let lost: Vec<f64> = operations
        .iter()
        .map(|mass| run.ledger.value(mass.lost))
        .collect();
    close(lost[0], 1.6);
    close(lost[1], 0.0);
    close(run.ledger.value(operations[1].passed), 71.4);
    close(lost[2], 0.4);
    assert_eq!(operations[2].lost_as.as_deref(), Some("missed tubes"));
}

#[test]
fn a_missing_mass_is_not_made_up() {
    let mut build = Build::new();
    let plank = build.bought("plank", count("plank"), 11.0);
    let block = build.item("block", count("each"));
    let route = build.route(block);
    let cut = build.starts(route, "cut", block);
    build.op(cut).takes.push(take(plank, 0.1));
    build.order(block, 100.0, "2026-12-14");
    let works = build.finish();
    let run = run(&works, &orders(&works));
    let mass = &run.material.mass.routes[0];
    assert!(mass.sums.is_none());
    assert!(mass.unknown.contains(&"plank".to_owned()));
}

#[test]
fn regrind_is_wanted_fresh_at_the_start() {
    // Feed 100 kg for 70 kg of gliders, 25 of it regrind; lots of 14 kg: a fifth of 25 kg = 5 kg fresh
    // stands in for regrind in the first lot, 2 kg being on hand: 3 kg.
    let mut build = Build::new();
    let pellets = build.bought("pellets", kg(), 2.0);
    let sprue = build.item("sprue", kg());
    let regrind = build.item("regrind", kg());
    let glider = build.item("glider", kg());
    let route = build.route(glider);
    build.0.routes[route.0].lot = Some(stated(14.0));
    let mould = build.starts(route, "mould", glider);
    let mut feed = take(pellets, 1.0);
    feed.recovered = Some(Recovered {
        item: regrind,
        at_most: stated(0.25),
    });
    build.op(mould).takes.push(feed);
    build.op(mould).keeps = share(0.7, 0.0);
    build.op(mould).also.push(also(sprue, 0.3));
    let grind = build.starts(route, "grind", regrind);
    build.op(grind).uses_up = Some(sprue);
    build.op(grind).takes.push(take(sprue, 1.0));
    build.order(glider, 70.0, "2026-12-14");
    build.stock(regrind, 2.0);
    let works = build.finish();
    let run = run(&works, &orders(&works));
    let line = &run.material.regrind[0];
    close(run.ledger.value(line.used), 25.0);
    close(run.ledger.value(line.share.unwrap()), 0.25);
    close(run.ledger.value(line.start_up.unwrap()), 3.0);
    // Which is bought on top of the 75 kg of the balance.
    close(run.value("pellets needed"), 75.0);
    close(run.value("pellets needed at 95 %"), 78.0);
    close(run.value("pellets to buy"), 78.0);
    // 30 kg ground and 2 kg on hand, 25 kg used: 7 kg pile up.
    close(run.ledger.value(line.surplus.unwrap()), 7.0);
}

/// A chain of operations counted in kg, with trim, by-products, rejects to scrap, to an item and to
/// rework, and regrind fed back at the first operation.
#[derive(Debug, Clone)]
struct Random {
    keeps: Vec<f64>,
    good: Vec<f64>,
    also: Vec<f64>,
    rework: Vec<Option<usize>>,
    cap: f64,
    stock: f64,
}

fn random() -> impl Strategy<Value = Random> {
    (2_usize..7).prop_flat_map(|n| {
        (
            prop::collection::vec(0.5..1.0_f64, n),
            prop::collection::vec(0.5..1.0_f64, n),
            prop::collection::vec(0.0..0.2_f64, n),
            prop::collection::vec(prop::option::of(0_usize..n), n),
            0.0..0.6_f64,
            0.0..50.0_f64,
        )
            .prop_map(|(keeps, good, also, rework, cap, stock)| Random {
                keeps,
                good,
                also,
                rework,
                cap,
                stock,
            })
    })
}

fn build_random(random: &Random) -> Works {
    let mut build = Build::new();
    let fresh = build.bought("fresh", kg(), 1.0);
    let trim = build.item("trim", kg());
    let regrind = build.item("regrind", kg());
    let goods = build.item("goods", kg());
    let route = build.route(goods);
    let mut before: Option<OperationId> = None;
    for (place, &keeps) in random.keeps.iter().enumerate() {
        let name = format!("step {place}");
        // What goes in for one attempted: one, and what is given beside.
        let amount = 1.0 + random.also[place];
        let id = match before {
            Some(before) => build.follows(route, &name, goods, before, amount),
            None => build.starts(route, &name, goods),
        };
        if before.is_none() {
            let mut feed = take(fresh, amount);
            feed.recovered = Some(Recovered {
                item: regrind,
                at_most: stated(random.cap),
            });
            build.op(id).takes.push(feed);
        }
        build.op(id).keeps = share(keeps, 0.0);
        build.op(id).good = share(random.good[place], 0.0);
        build.op(id).also.push(also(trim, random.also[place]));
        before = Some(id);
    }
    for (place, target) in random.rework.iter().enumerate() {
        let to = match target {
            Some(target) if *target <= place => RejectTo::Rework(OperationId(*target)),
            Some(_) => RejectTo::Item(trim, 1.0),
            None => RejectTo::Scrap,
        };
        build.op(OperationId(place)).rejects = vec![reject(1.0, to)];
    }
    let grind = build.starts(route, "grind", regrind);
    build.op(grind).uses_up = Some(trim);
    build.op(grind).takes.push(take(trim, 1.0));
    build.op(grind).keeps = share(0.95, 0.0);
    build.order(goods, 100.0, "2026-12-14");
    build.stock(goods, random.stock);
    build.finish()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Mass is conserved in every route and every figure follows from its reasons.
    #[test]
    fn random_works_conserve_mass(random in random()) {
        let works = build_random(&random);
        let run = run(&works, &orders(&works));
        balance::network::check(&run.flow.layout.network, &run.flow.solution, 1e-9).unwrap();
        let sums = run.material.mass.routes[0].sums.as_ref().unwrap();
        let value = |node| run.ledger.value(node);
        let taken = value(sums.taken);
        let out = value(sums.product)
            + value(sums.by_products)
            + value(sums.scrap)
            + value(sums.unexplained)
            + sums.lost.iter().map(|(_, node)| value(*node)).sum::<f64>();
        // Nothing enters or leaves between the operations, so what is taken is what comes out.
        prop_assert!((taken - out).abs() <= 1e-8 * taken, "{taken} in, {out} out");
        // A reworked unit takes no feed but gives its by-product again: that much comes from nowhere
        // and must show as unexplained; without rework nothing may.
        let reworked: f64 = run.material.rework.iter().map(|r| value(r.units)).sum();
        if reworked == 0.0 {
            prop_assert!(value(sums.unexplained).abs() <= 1e-8 * taken);
        }
        for figure in run.figures.iter() {
            let again = run.ledger.recompute(figure.node);
            prop_assert!((again - figure.value).abs() <= 1e-9 * figure.value.abs().max(1e-9), "{}", figure.key);
        }
    }
}
