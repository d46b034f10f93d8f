//! Worked arithmetic of small works.

use works::{ItemId, Recovered, RejectTo, Works};

use super::*;
use crate::reason::Ledger;
use crate::testing::*;

fn wanted(item: ItemId, amount: f64) -> Vec<Wanted> {
    vec![Wanted {
        item,
        amount,
        source: WantedFor::Quantity,
    }]
}

/// Solves, checks the network by the independent checker, and every reason by recomputing it.
fn solve_and_check(works: &Works, wanted: &[Wanted]) -> (Flow, Ledger, Book) {
    let flow = Flow::solve(works, wanted, true).unwrap();
    balance::network::check(&flow.layout.network, &flow.solution, 1e-9).unwrap();
    let mut ledger = Ledger::default();
    let book = Book::enter(&mut ledger, works, &flow, wanted);
    assert_eq!(ledger.faults(1e-9), vec![]);
    (flow, ledger, book)
}

fn close(found: f64, expected: f64) {
    assert!(
        (found - expected).abs() <= 1e-9 * expected.abs().max(1.0),
        "{found} not {expected}"
    );
}

#[test]
fn two_operations_one_after_the_other() {
    // 1,000 good of 95 % through packing: 1000 / 0.95 = 1052.63 attempted there. Cutting passes 90 %:
    // 1052.63 / 0.9 = 1169.59 attempted, each of 0.2 m of bar: 233.918 m.
    let mut build = Build::new();
    let bar = build.bought("bar", metre(), 2.0);
    let pin = build.item("pin", count("each"));
    let route = build.route(pin);
    let cut = build.starts(route, "cut", pin);
    build.op(cut).takes.push(take(bar, 0.2));
    build.op(cut).good = share(0.9, 0.0);
    let pack = build.follows(route, "pack", pin, cut, 1.0);
    build.op(pack).good = share(0.95, 0.0);
    let works = build.finish();
    let (flow, ledger, book) = solve_and_check(&works, &wanted(pin, 1000.0));
    close(flow.attempted(pack), 1000.0 / 0.95);
    close(flow.attempted(cut), 1000.0 / 0.95 / 0.9);
    close(flow.bought(bar), 0.2 * 1000.0 / 0.95 / 0.9);
    let bought = book.items[bar.0].bought.unwrap();
    close(ledger.recompute(bought), flow.bought(bar));
}

#[test]
fn a_unit_reworked_takes_materials_again_but_not_its_feed() {
    // Sand → paint → inspect. Of 100 inspected 90 pass; 80 % of the rejects go back to paint, the
    // rest is scrap. Arrivals at paint a = fed + 0.1·0.8·a; good = 0.9·a = 900 → a = 1000,
    // fed = 920. Paint is taken for all 1000, blanks for 920 only.
    let mut build = Build::new();
    let blank = build.bought("blank", count("each"), 1.0);
    let paint = build.bought("paint", kg(), 8.0);
    let sign = build.item("sign", count("each"));
    let route = build.route(sign);
    let sand = build.starts(route, "sand", sign);
    build.op(sand).takes.push(take(blank, 1.0));
    let coat = build.follows(route, "coat", sign, sand, 1.0);
    build.op(coat).takes.push(take(paint, 0.1));
    let inspect = build.follows(route, "inspect", sign, coat, 1.0);
    build.op(inspect).good = share(0.9, 0.0);
    build.op(inspect).rejects = vec![
        reject(0.8, RejectTo::Rework(coat)),
        reject(0.2, RejectTo::Scrap),
    ];
    let works = build.finish();
    let (flow, ledger, book) = solve_and_check(&works, &wanted(sign, 900.0));
    close(flow.attempted(coat), 1000.0);
    close(flow.bought(paint), 100.0);
    close(flow.bought(blank), 920.0);
    close(ledger.value(book.operations[coat.0].fed), 920.0);
}

#[test]
fn rework_beside_the_line() {
    // Inspect passes 80 %; rejects go to strip (beside the line), which saves 75 % of them and sends
    // them to coat. a = fed + 0.2·0.75·a; good = 0.8·a = 800 → a = 1000, strip 200, fed 850.
    let mut build = Build::new();
    let acid = build.bought("acid", kg(), 3.0);
    let sign = build.item("sign", count("each"));
    let route = build.route(sign);
    let coat = build.starts(route, "coat", sign);
    let inspect = build.follows(route, "inspect", sign, coat, 1.0);
    build.op(inspect).good = share(0.8, 0.0);
    let strip = build.starts(route, "strip", sign);
    build.op(strip).off_line = true;
    build.op(strip).then = Some(coat);
    build.op(strip).good = share(0.75, 0.0);
    build.op(strip).takes.push(take(acid, 0.05));
    build.op(inspect).rejects = vec![reject(1.0, RejectTo::Rework(strip))];
    let works = build.finish();
    let (flow, ledger, book) = solve_and_check(&works, &wanted(sign, 800.0));
    close(flow.attempted(coat), 1000.0);
    close(flow.attempted(strip), 200.0);
    close(flow.bought(acid), 10.0);
    close(ledger.value(book.operations[coat.0].fed), 850.0);
}

/// Moulding of TRADE.md section 5: the shot loses a share to the sprue, which is ground and fed back
/// up to a share of the feed.
fn moulding(sprue_share: f64, most: f64) -> (Works, ItemId, ItemId, ItemId) {
    let mut build = Build::new();
    let pellets = build.bought("pellets", kg(), 2.0);
    let sprue = build.item("sprue", kg());
    let regrind = build.item("regrind", kg());
    let glider = build.item("glider", kg());
    let route = build.route(glider);
    let mould = build.starts(route, "mould", glider);
    // For 1 kg of shot: 1 kg of feed in, sprue_share of it sprue, the rest gliders.
    let mut feed = take(pellets, 1.0);
    feed.recovered = Some(Recovered {
        item: regrind,
        at_most: stated(most),
    });
    build.op(mould).takes.push(feed);
    build.op(mould).keeps = share(1.0 - sprue_share, 0.0);
    build.op(mould).also.push(also(sprue, sprue_share));
    let grind = build.starts(route, "grind", regrind);
    build.op(grind).uses_up = Some(sprue);
    build.op(grind).takes.push(take(sprue, 1.0));
    build.op(grind).keeps = share(1.0, 0.0);
    (build.finish(), pellets, regrind, glider)
}

#[test]
fn regrind_up_to_its_cap_leaves_the_rest_over() {
    // TRADE.md section 5 (D): sprue share 0.30, largest share 0.25 → 5 % of the feed is surplus. For
    // 70 kg of gliders the feed is 100 kg: 25 kg regrind, 75 kg fresh, 5 kg left over.
    let (works, pellets, regrind, glider) = moulding(0.30, 0.25);
    let (flow, _, _) = solve_and_check(&works, &wanted(glider, 70.0));
    close(flow.bought(pellets), 75.0);
    close(flow.surplus(regrind), 5.0);
}

#[test]
fn regrind_below_its_cap_closes_the_loop() {
    // Share 0.2 with a cap of 0.25: all 20 kg of 100 come back and 80 fresh kg make 80 kg of gliders.
    let (works, pellets, regrind, glider) = moulding(0.20, 0.25);
    let (flow, _, _) = solve_and_check(&works, &wanted(glider, 80.0));
    close(flow.bought(pellets), 80.0);
    close(flow.surplus(regrind), 0.0);
}

#[test]
fn using_up_without_an_amount_takes_one_for_one() {
    // As above with nothing said of how much sprue a kilogram of regrind takes.
    let (mut works, pellets, regrind, glider) = moulding(0.30, 0.25);
    works.operations[1].takes.clear();
    let (flow, ledger, book) = solve_and_check(&works, &wanted(glider, 70.0));
    close(flow.bought(pellets), 75.0);
    close(flow.surplus(regrind), 5.0);
    let used_up = book.operations[1].used_up.unwrap();
    close(ledger.value(used_up), 30.0);
    close(ledger.recompute(used_up), 30.0);
}

#[test]
fn two_routes_assembled() {
    // A frame takes 4 corners of its own route (98 % good) and 1 panel: for 100 frames at 95 % good,
    // 105.263 attempted, 421.05 corners, 429.64 attempted corners.
    let mut build = Build::new();
    let steel = build.bought("steel", kg(), 1.5);
    let corner = build.item("corner", count("each"));
    let frame = build.item("frame", count("each"));
    let panel = build.bought("panel", count("each"), 4.0);
    let corners = build.route(corner);
    let press = build.starts(corners, "press", corner);
    build.op(press).takes.push(take(steel, 0.05));
    build.op(press).good = share(0.98, 0.0);
    let frames = build.route(frame);
    let join = build.starts(frames, "join", frame);
    build.op(join).takes.push(take(corner, 4.0));
    build.op(join).takes.push(take(panel, 1.0));
    build.op(join).good = share(0.95, 0.0);
    let works = build.finish();
    let (flow, _, _) = solve_and_check(&works, &wanted(frame, 100.0));
    close(flow.attempted(press), 4.0 * 100.0 / 0.95 / 0.98);
    close(flow.bought(steel), 0.05 * 4.0 * 100.0 / 0.95 / 0.98);
    close(flow.bought(panel), 100.0 / 0.95);
}

#[test]
fn a_by_product_feeds_another_route() {
    // Trimming 100 kg of breast gives 12 kg of mince. Sausages need 30 kg of mince: 18 kg are bought.
    let mut build = Build::new();
    let duck = build.bought("duck", kg(), 9.0);
    let mince = build.bought("mince", kg(), 4.0);
    let breast = build.item("breast", kg());
    let sausage = build.item("sausage", kg());
    let breasts = build.route(breast);
    let trim = build.starts(breasts, "trim", breast);
    build.op(trim).takes.push(take(duck, 1.12));
    build.op(trim).also.push(also(mince, 0.12));
    let sausages = build.route(sausage);
    let fill = build.starts(sausages, "fill", sausage);
    build.op(fill).takes.push(take(mince, 0.6));
    let works = build.finish();
    let mut asked = wanted(breast, 100.0);
    asked.extend(wanted(sausage, 50.0));
    let (flow, ledger, book) = solve_and_check(&works, &asked);
    close(flow.bought(mince), 18.0);
    close(ledger.value(book.items[mince.0].given.unwrap()), 12.0);
    // Without sausages the mince is left over.
    let (flow, ledger, book) = solve_and_check(&works, &wanted(breast, 100.0));
    close(flow.surplus(mince), 12.0);
    close(ledger.value(book.items[mince.0].surplus.unwrap()), 12.0);
}

#[test]
fn metres_become_pieces() {
    // Strip in metres, 3 % of it lost by measure, cut at 0.19 m: 1000 pieces take 190 m out and
    // 190 / 0.97 = 195.876 m in; a plank rips to 7 m, so 27.982 planks.
    let mut build = Build::new();
    let plank = build.bought("plank", count("plank"), 11.0);
    let strip = build.item("strip", metre());
    let block = build.item("block", count("each"));
    let route = build.route(block);
    let rip = build.starts(route, "rip", strip);
    build.op(rip).takes.push(take(plank, 1.0 / 7.0));
    build.op(rip).keeps = share(0.97, 0.0);
    build.follows(route, "cross-cut", block, rip, 0.19);
    let works = build.finish();
    let (flow, _, _) = solve_and_check(&works, &wanted(block, 1000.0));
    close(flow.attempted(rip), 190.0 / 0.97);
    close(flow.bought(plank), 190.0 / 0.97 / 7.0);
}

#[test]
fn what_is_on_hand_is_not_made_or_bought() {
    // 100 wanted, 30 blocks and 20 m of strip on hand: 70 made, taking 14 m, of which none is ripped;
    // 6 m of strip stay.
    let mut build = Build::new();
    let plank = build.bought("plank", count("plank"), 11.0);
    let strip = build.item("strip", metre());
    let block = build.item("block", count("each"));
    let route = build.route(block);
    let rip = build.starts(route, "rip", strip);
    build.op(rip).takes.push(take(plank, 0.1));
    let cut = build.follows(route, "cut", block, rip, 0.2);
    build.stock(block, 30.0);
    build.stock(strip, 20.0);
    let works = build.finish();
    let (flow, _, _) = solve_and_check(&works, &wanted(block, 100.0));
    close(flow.attempted(cut), 70.0);
    close(flow.attempted(rip), 0.0);
    close(flow.bought(plank), 0.0);
    close(flow.surplus(strip), 6.0);
}

#[test]
fn samples_that_are_destroyed_are_made_as_well() {
    // One of every 50 attempted is lost to a test: x − x/50 = 98 → x = 100.
    let mut build = Build::new();
    let wire = build.bought("wire", kg(), 3.0);
    let stud = build.item("stud", count("each"));
    let route = build.route(stud);
    let form = build.starts(route, "form", stud);
    build.op(form).takes.push(take(wire, 0.01));
    build.op(form).checks.push(works::Check {
        what: "pull".into(),
        limit: None,
        every: works::CheckEvery::Amount(stated(50.0)),
        sample: 1.0,
        destroys: true,
        time: None,
        cost: None,
        by: None,
        at: nowhere(),
    });
    let works = build.finish();
    let (flow, _, _) = solve_and_check(&works, &wanted(stud, 98.0));
    close(flow.attempted(form), 100.0);
}

#[test]
fn samples_of_a_lot_are_counted_over_lots_of_the_product() {
    // Packs of 0.1 kg in lots of 100. 250 and 130 of a day: three lots, of which 50 are left for the
    // second order, and one more. Of each lot the cure, counted in kg, loses 0.5 kg: 2 kg on 38 kg.
    let mut build = Build::new();
    let meat = build.bought("meat", kg(), 8.0);
    let cured = build.item("cured", kg());
    let pack = build.item("pack", count("pack"));
    let route = build.route(pack);
    build.0.routes[route.0].lot = Some(stated(100.0));
    let cure = build.starts(route, "cure", cured);
    build.op(cure).takes.push(take(meat, 1.0));
    build.op(cure).checks.push(works::Check {
        what: "salt".into(),
        limit: None,
        every: works::CheckEvery::Lot,
        sample: 0.5,
        destroys: true,
        time: None,
        cost: None,
        by: None,
        at: nowhere(),
    });
    build.follows(route, "portion", pack, cure, 0.1);
    build.order(pack, 250.0, "2026-12-14");
    build.order(pack, 130.0, "2026-12-14");
    let works = build.finish();
    let asked: Vec<Wanted> = (0..2)
        .map(|order| Wanted {
            item: pack,
            amount: works.orders[order].quantity.mean(),
            source: WantedFor::Order(order),
        })
        .collect();
    let (flow, _, _) = solve_and_check(&works, &asked);
    close(flow.attempted(cure), 40.0);
    let levels = &flow.solution.level[..2];
    let (from, until) = (day("2026-12-01"), day("2026-12-14"));
    let load = crate::load::load(&works, levels, from, until, 0);
    close(load.lots.count[route.0], 4.0);
    close(
        flow.tested(cure) * flow.attempted(cure),
        0.5 * load.lots.count[route.0],
    );
    // A price asked after, not ordered: a fiftieth of a lot loses a fiftieth of a sample.
    let (flow, _, _) = solve_and_check(&works, &wanted(pack, 2.0));
    close(flow.attempted(cure), 0.2 + 0.5 / 50.0);
}

#[test]
fn a_loop_with_no_way_out_is_refused() {
    // Everything rejected comes back and nothing passes.
    let mut build = Build::new();
    let sign = build.item("sign", count("each"));
    let route = build.route(sign);
    let coat = build.starts(route, "coat", sign);
    let inspect = build.follows(route, "inspect", sign, coat, 1.0);
    build.op(inspect).good = share(0.0, 0.0);
    build.op(inspect).rejects = vec![reject(1.0, RejectTo::Rework(coat))];
    let works = build.finish();
    assert!(Flow::solve(&works, &wanted(sign, 10.0), true).is_err());
}
