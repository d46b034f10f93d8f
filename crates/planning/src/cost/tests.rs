//! Worked cases of the cost: every sum written out.

use proptest::prelude::*;
use quantity::{Spread, Unit};
use works::calendar::{Calendar, CalendarText};
use works::*;

use super::*;
use crate::figure::Figures;
use crate::reason::Ledger;
use crate::testing::{Build, also, count, day, kg, nowhere, reject, share, stated, take};

const HOUR: f64 = 3600.0;

fn station(name: &str, cost_per_h: f64, people: &[(usize, f64)]) -> Station {
    Station {
        name: name.into(),
        at: nowhere(),
        count: 1,
        calendar: CalendarId(0),
        people: people
            .iter()
            .map(|&(skill, count)| (SkillId(skill), count))
            .collect(),
        cost: Some(stated(cost_per_h / HOUR)),
        power: None,
        stops: None,
        changeovers: vec![],
        mixes_only: vec![],
        drilling: None,
        heat: None,
        moulding: None,
        hazards: vec![],
        note: None,
    }
}

fn ground() -> Build {
    let mut build = Build::new();
    let text = CalendarText {
        work: vec!["Mon..Fri 06:00-14:00"],
        ..CalendarText::default()
    };
    build
        .0
        .calendars
        .push(Calendar::written("days", nowhere(), &text).unwrap());
    build.0.skills = vec![Skill {
        name: "hand".into(),
    }];
    build.0.crews = vec![Crew {
        name: "hands".into(),
        at: nowhere(),
        people: 3,
        calendar: CalendarId(0),
        skills: vec![SkillId(0)],
        cost: Some(stated(18.0 / HOUR)),
        attendance: Some(stated(0.9)),
    }];
    build
}

fn answer(works: &Works) -> (CostAnswer, LoadAnswer, Flow) {
    let wanted = works.orders.iter().enumerate().map(|(order, line)| Wanted {
        item: line.item,
        amount: line.quantity.mean(),
        source: WantedFor::Order(order),
    });
    let wanted: Vec<_> = wanted.collect();
    let flow = Flow::solve(works, &wanted, false).unwrap();
    let levels: Vec<f64> = (0..works.operations.len())
        .map(|id| flow.attempted(OperationId(id)))
        .collect();
    let load = crate::load::load(works, &levels, day("2026-11-30"), day("2026-12-13"), 1000);
    (cost(works, &wanted, &load).unwrap(), load, flow)
}

fn near(found: f64, expected: f64) {
    assert!(
        (found - expected).abs() <= 1e-9 * expected.abs().max(1.0),
        "{found} {expected}"
    );
}

/// Cut, bake, pack: a route of three operations with everything in it.
fn block() -> Works {
    let mut build = ground();
    build.0.stations = vec![
        station("saw", 20.0, &[(0, 1.0)]),
        station("oven", 36.0, &[]),
        station("bench", 0.0, &[(0, 1.0)]),
    ];
    build.0.stations[1].power = Some(stated(10_000.0));
    build.0.assumptions.overhead = Some(stated(0.5));
    build.0.assumptions.energy = Some(stated(0.36 / 3.6e6));
    build.0.assumptions.quantities = vec![100.0, 400.0];
    let strip = build.bought("strip", count("metre"), 2.0);
    let carton = build.bought("carton", count("each"), 0.10);
    let kindling = build.item("kindling", count("each"));
    build.0.items[kindling.0].worth = Some(stated(0.05));
    let block = build.item("block", count("each"));
    let route = build.route(block);
    let cut = build.starts(route, "cut", block);
    let bake = build.follows(route, "bake", block, cut, 1.0);
    let pack = build.follows(route, "pack", block, bake, 1.0);
    let op = build.op(cut);
    op.station = Some(StationId(0));
    op.pace = Pace::Each(stated(36.0));
    op.takes.push(take(strip, 0.5));
    op.good = share(0.8, 0.0);
    op.rejects.push(reject(1.0, RejectTo::Item(kindling, 1.0)));
    op.setup = Some(stated(600.0));
    op.tools.push(Tool {
        name: "blade".into(),
        life: ToolLife::Units(stated(100.0)),
        change: Some(stated(360.0)),
        cost: Some(stated(5.0)),
    });
    let op = build.op(bake);
    op.station = Some(StationId(1));
    op.pace = Pace::Load(Load {
        holds: stated(50.0),
        dwell: stated(900.0),
        turn: Some(stated(100.0)),
        at_least: None,
    });
    let op = build.op(pack);
    op.station = Some(StationId(2));
    op.pace = Pace::Each(stated(18.0));
    op.takes.push(take(carton, 1.0));
    op.checks.push(works::Check {
        what: "drop".into(),
        limit: None,
        every: CheckEvery::Lot,
        sample: 1.0,
        destroys: true,
        time: None,
        cost: Some(stated(4.0)),
        by: None,
        at: nowhere(),
    });
    build.order(block, 100.0, "2026-12-01");
    build.finish()
}

#[test]
fn a_route_of_three_operations_by_hand() {
    let (answer, ..) = answer(&block());
    let at_100 = &answer.products[0].at[0];
    let get = |element| at_100.elements.get(element);
    // Levels for one block: pack 1, bake 1, cut 1 ÷ 0.8 = 1.25.
    // A second of the saw is 20/3600 = 1/180; of a person 18/3600 ÷ 0.9 = 1/180.
    // material    1.25 × 0.5 m × 2.00 + 0.10                       = 1.35
    near(get(Element::Material), 1.35);
    // recovered   1.25 × 0.2 × 0.05                                = 0.0125 off
    near(get(Element::Recovered), -0.0125);
    // machine     1.25 × 36 s ÷ 180 + (1000 s ÷ 50) × 0.01 = 0.25 + 0.20 (two full loads of 50)
    near(get(Element::Machine), 0.45);
    // labour      (1.25 × 36 + 18) ÷ 180                           = 0.35
    near(get(Element::Labour), 0.35);
    // tool        1.25 ÷ 100 × (5 + 360 × (1/180 + 1/180))         = 0.0125 × 9 = 0.1125
    near(get(Element::Tool), 0.1125);
    // energy      20 s × 10 kW × 0.36 per kWh = 0.2 MJ × 1e-7 per J = 0.02
    near(get(Element::Energy), 0.02);
    // set-up      600 × 2/180 ÷ 100                                = 0.066667
    near(get(Element::SetUp), 600.0 * 2.0 / 180.0 / 100.0);
    // test        (4 + one block, which has cost 2.72625 so far) ÷ 100; 2.72625 = 1.35 − 0.0125 +
    //             0.45 + 0.35 + 0.1125 + 0.02 + its overhead 0.45625 = 0.0672625
    near(get(Element::Test), (4.0 + 2.726_25) / 100.0);
    // overhead    50 % of 0.45 + 0.35 + 0.1125 + 0.066667          = 0.489583
    near(
        get(Element::Overhead),
        0.5 * (0.45 + 0.35 + 0.1125 + 600.0 * 2.0 / 180.0 / 100.0),
    );
    // all                                                          = 2.8935
    near(
        at_100.likely,
        2.726_25 + 0.066_666_666_666_666_67 * 1.5 + 0.067_262_5,
    );
    near(at_100.elements.total(), at_100.likely);
    // Nothing varies: no low, no high, nothing that drives.
    assert_eq!((at_100.low, at_100.high), (at_100.likely, at_100.likely));
    assert!(answer.products[0].drivers.is_empty());
    // At 400 the lot's costs are a quarter.
    near(
        answer.products[0].at[1].elements.get(Element::SetUp),
        get(Element::SetUp) / 4.0,
    );
}

/// Something cut of a bar of 3 GBP/m: so many metres for one base unit of the product.
fn cut_of_bar(unit: &Unit, metres: f64) -> (CostAnswer, Works) {
    let mut build = ground();
    build.0.assumptions.quantities = vec![100.0];
    let bar = build.bought("bar", Unit::base(&quantity::Dimension::LENGTH), 3.0);
    let rod = build.item("rod", unit.clone());
    let route = build.route(rod);
    let cut = build.starts(route, "cut", rod);
    build.op(cut).takes.push(take(bar, metres));
    build.order(rod, 50.0 * unit.factor(), "2026-12-01");
    let works = build.finish();
    (answer(&works).0, works)
}

#[test]
fn a_product_in_feet_and_one_in_dozens_cost_so_much_of_those() {
    let mut units = quantity::Units::standard();
    units.declare_count("rod").expect("a count");
    // A foot is 0.3048 m: at 1 m of bar for a metre 0.9144 GBP/ft. Twelve rods of half a metre: 18 GBP.
    for (symbol, metres, shown) in [("ft", 1.0, 0.9144), ("dozen", 0.5, 18.0)] {
        let unit = units.parse_unit(symbol).expect("a unit");
        let (answer, works) = cut_of_bar(&unit, metres);
        let mut ledger = Ledger::default();
        let mut figures = Figures::default();
        explain(&works, &answer, &mut ledger, &mut figures);
        for key in ["rod unit cost", "rod unit cost at 100"] {
            let figure = figures.get(key).expect("the figure");
            near(figure.unit.of(figure.value), shown);
            assert_eq!(&*figure.unit.symbol, format!("GBP/{symbol}"));
        }
        near(answer.products[0].at[0].quantity, 100.0 * unit.factor());
        near(figures.get("total cost").expect("it").value, 50.0 * shown);
    }
}

#[test]
fn a_price_is_shown_for_the_unit_of_what_is_bought() {
    let works = block();
    let (answer, ..) = answer(&works);
    let mut ledger = Ledger::default();
    explain(&works, &answer, &mut ledger, &mut Figures::default());
    let price = ledger
        .ids()
        .find(|&id| ledger.node(id).name == "price of strip");
    let unit = &ledger.node(price.expect("the price is a leaf")).unit;
    assert_eq!(&*unit.symbol, "GBP/metre");
}

#[test]
fn overhead_as_in_the_textbook() {
    // CHECKS.md IN-12 (read: Shivakumar ex. 4.1): material 5500, wages 3000, overhead 100 %: 11 500;
    // with 15 % on top for what is not manufacturing, 13 225.
    let mut build = ground();
    build.0.stations = vec![station("bench", 0.0, &[(0, 1.0)])];
    build.0.crews[0].attendance = None;
    build.0.crews[0].cost = Some(stated(1.0));
    build.0.assumptions.overhead = Some(stated(1.0));
    let stuff = build.bought("stuff", count("each"), 5500.0);
    let job = build.item("job", count("each"));
    let route = build.route(job);
    let work = build.starts(route, "work", job);
    build.op(work).station = Some(StationId(0));
    build.op(work).pace = Pace::Each(stated(3000.0));
    build.op(work).takes.push(take(stuff, 1.0));
    build.order(job, 1.0, "2026-12-01");
    let (answer, ..) = answer(&build.finish());
    near(answer.products[0].plan.likely, 11_500.0);
    near(answer.products[0].plan.likely * 1.15, 13_225.0);
}

/// Moulding with regrind: 1 kg of feed for 0.9 kg of parts' worth of product and 0.1 kg of sprue.
fn moulding(at_most: f64, worth: f64) -> Works {
    let mut build = ground();
    build.0.stations = vec![station("press", 36.0, &[])];
    let pellets = build.bought("pellets", kg(), 3.0);
    let sprue = build.item("sprue", kg());
    build.0.items[sprue.0].worth = Some(stated(worth));
    let part = build.item("part", count("each"));
    let route = build.route(part);
    let mould = build.starts(route, "mould", part);
    let op = build.op(mould);
    op.station = Some(StationId(0));
    op.pace = Pace::Each(stated(10.0));
    op.takes.push(take(pellets, 1.0));
    op.takes[0].recovered = Some(Recovered {
        item: sprue,
        at_most: stated(at_most),
    });
    op.also.push(also(sprue, 0.1));
    build.order(part, 100.0, "2026-12-01");
    build.finish()
}

#[test]
fn regrind_is_worth_what_it_replaces_or_what_it_sells_for() {
    // Up to 25 % may be regrind and there are 10 %: all is used. 0.9 kg × 3 + 10 s × 0.01 = 2.80.
    let (used, ..) = answer(&moulding(0.25, 0.5));
    near(used.products[0].plan.likely, 2.8);
    // Only 4 % may be: 0.96 × 3 + 0.1 − 0.06 kg × 0.5 = 2.88 + 0.1 − 0.03 = 2.95.
    let (left, ..) = answer(&moulding(0.04, 0.5));
    near(left.products[0].plan.likely, 2.95);
    near(
        left.products[0].plan.elements.get(Element::Recovered),
        -0.03,
    );
}

/// The same with a granulator (36 GBP/h, 36 s/kg, 80 % kept) between sprue and pellets.
fn granulated(at_most: f64, sprue_each: f64, quantity: f64) -> Works {
    let mut works = moulding(at_most, 0.0);
    works.items[1].worth = None;
    works.orders[0].quantity = stated(quantity);
    works.operations[0].also[0] = also(ItemId(1), sprue_each);
    let mut build = Build(works);
    build.0.stations.push(station("mill", 36.0, &[]));
    let regrind = build.item("regrind", kg());
    build.0.items[regrind.0].worth = Some(stated(0.5));
    build.op(OperationId(0)).takes[0].recovered = Some(Recovered {
        item: regrind,
        at_most: stated(at_most),
    });
    let grind = build.starts(RouteId(0), "granulate", regrind);
    let op = build.op(grind);
    op.uses_up = Some(ItemId(1));
    op.station = Some(StationId(1));
    op.pace = Pace::Each(stated(36.0));
    op.keeps = share(0.8, 0.0);
    build.finish()
}

#[test]
fn a_granulator_is_paid_and_its_regrind_replaces_pellets() {
    // For one part 0.1 kg of sprue, ground 0.08 kg of regrind, all of it used (8 % of 25 %):
    // pellets 0.92 × 3 = 2.76, press 10 s × 0.01 = 0.10, mill 0.1 kg × 36 s × 0.01 = 0.036.
    let (used, ..) = answer(&granulated(0.25, 0.1, 100.0));
    let elements = &used.products[0].plan.elements;
    near(elements.get(Element::Material), 2.76);
    near(elements.get(Element::Machine), 0.136);
    near(elements.get(Element::Recovered), 0.0);
    near(used.products[0].plan.likely, 2.896);
    // A cap of 4 % leaves 0.04 kg of regrind over: 0.96 × 3 + 0.136 − 0.04 × 0.5 = 2.996.
    let (capped, ..) = answer(&granulated(0.04, 0.1, 100.0));
    let elements = &capped.products[0].plan.elements;
    near(elements.get(Element::Material), 2.88);
    near(elements.get(Element::Machine), 0.136);
    near(elements.get(Element::Recovered), -0.02);
    near(capped.products[0].plan.likely, 2.996);
}

#[test]
fn a_quantity_is_made_in_whole_lots_and_a_rest() {
    let mut works = block();
    works.routes[0].lot = Some(stated(60.0));
    works.operations[2].checks.clear();
    let (answer, ..) = answer(&works);
    // 100 blocks are a lot of 60 and one of 40, so the oven of 50 takes 2 + 1 loads, not the 1 + 1 of
    // two lots of 50: machine 0.25 as above + 3 × 1000 s × 0.01 ÷ 100 = 0.30.
    let at_100 = &answer.products[0].at[0];
    near(at_100.lots, 2.0);
    near(at_100.elements.get(Element::Machine), 0.55);
    // 400 are 6 × 60 + 40: 13 loads, 0.25 + 13 × 10 ÷ 400 = 0.575.
    let at_400 = &answer.products[0].at[1];
    near(at_400.lots, 7.0);
    near(at_400.elements.get(Element::Machine), 0.575);
    near(
        at_400.elements.get(Element::SetUp),
        7.0 * 600.0 * 2.0 / 180.0 / 400.0,
    );
}

#[test]
fn price_breaks_and_packs() {
    let mut works = block();
    let strip = works.items[0].buy.as_mut().unwrap();
    strip.breaks = vec![PriceBreak {
        from: stated(200.0),
        price: stated(1.6),
    }];
    strip.pack = Some(stated(40.0));
    let (answer, ..) = answer(&works);
    let [at_100, at_400] = &answer.products[0].at[..] else {
        panic!("two quantities")
    };
    // 100 blocks take 62.5 m at 2.00, 400 take 250 m at 1.60.
    near(at_100.elements.get(Element::Material), 1.35);
    near(at_400.elements.get(Element::Material), 1.25 * 0.8 + 0.10);
    // Packs of 40 m: 80 m for 62.5, 17.5 m × 2.00 over 100; 280 for 250, 30 × 1.60 over 400.
    near(at_100.pack_remainder, 0.35);
    near(at_400.pack_remainder, 0.12);
}

fn spread(low: f64, high: f64) -> Stated {
    Stated {
        spread: Spread::Range { low, high },
        unit: Unit::one(),
        source: None,
        at: nowhere(),
    }
}

#[test]
fn spreads_give_low_high_and_drivers() {
    let mut works = block();
    works.items[0].buy.as_mut().unwrap().price = spread(1.0, 3.0);
    works.operations[2].pace = Pace::Each(spread(9.0, 27.0));
    let (answer, ..) = answer(&works);
    let product = &answer.products[0];
    // Price at its 10 % point 1.2: 0.8 × 0.625 m × (1 + 1/100 for the block destroyed) below.
    // The plan makes 101 for 100, the lost one at full running cost.
    let first = &product.drivers[0];
    assert_eq!(first.number.name, "strip: price");
    near(first.number.low, 1.2);
    near(product.plan.likely - first.at_low, 0.8 * 0.625 * 1.01);
    near(first.at_high - product.plan.likely, 0.8 * 0.625 * 1.01);
    assert_eq!(product.drivers[1].number.name, "block, pack: time");
    // ±7.2 s × 1/180 × 1.5 for overhead.
    near(
        product.drivers[1].at_high - product.plan.likely,
        7.2 / 180.0 * 1.5 * 1.01,
    );
    // Sum of two uniforms: half-widths a = 0.625 × 1.01 and b = 9/180 × 1.5 × 1.01. At the 10 %
    // point the narrow one hardly matters: (x + a)/2a averaged over b is 10 % at x = −0.8 a.
    let a = 0.625 * 1.01;
    // The quantile of 256 draws is good to about 3 %: a share of ± 1.4 % of the draws × 2a.
    assert!((product.plan.low - (product.plan.likely - 0.8 * a)).abs() < 0.05 * a);
    assert!((product.plan.high - (product.plan.likely + 0.8 * a)).abs() < 0.05 * a);
}

#[test]
fn yields_between_lots_move_the_cost() {
    let mut works = block();
    works.operations[0].good = share(0.8, 0.04);
    let (answer, ..) = answer(&works);
    let driver = &answer.products[0].drivers[0];
    assert_eq!(driver.number.name, "block, cut: good");
    assert!(driver.at_low > driver.at_high);
    assert!(answer.products[0].plan.low < answer.products[0].plan.likely);
}

#[test]
fn joint_products_by_sales_value() {
    let mut works = block();
    works.items[3].worth = Some(stated(6.0));
    let (answer, ..) = answer(&works);
    let plan = &answer.products[0].plan;
    let credit = -plan.elements.get(Element::Recovered);
    let shared = answer.products[0].by_sales_value.unwrap();
    near(shared, (plan.likely + credit) * 6.0 / (6.0 + credit));
}

#[test]
fn figures_say_how_they_came_about() {
    let works = block();
    let (answer, ..) = answer(&works);
    let (mut ledger, mut figures) = (Ledger::default(), Figures::default());
    explain(&works, &answer, &mut ledger, &mut figures);
    assert_eq!(ledger.faults(1e-9), vec![]);
    near(
        figures.get("block unit cost at 100").unwrap().value,
        answer.products[0].at[0].likely,
    );
    near(figures.get("total cost").unwrap().value, answer.total);
    // Every element is the sum of its terms, down to numbers that someone stated.
    let names = [
        "machine", "labour", "set-up", "tool", "energy", "test", "overhead",
    ];
    for name in names {
        let node = ledger
            .ids()
            .filter(|&id| ledger.node(id).name == name)
            .nth(1);
        let node = node.expect("the element at 100, after that of the plan");
        let element = Element::ALL
            .into_iter()
            .find(|element| element.name() == name);
        let cost = answer.products[0].at[0]
            .elements
            .get(element.expect("an element"));
        near(ledger.value(node), cost);
        near(ledger.recompute(node), cost);
        assert!(!ledger.inputs(node).is_empty(), "{name} is a leaf");
    }
}

/// Two routes, one of which takes the other's product, with rework, a by-product, stops and set-ups.
fn signs(good: f64, back: f64, each: f64, quantity: f64) -> Works {
    let mut build = ground();
    build.0.stations = vec![station("press", 36.0, &[]), station("bench", 12.0, &[])];
    build.0.stations[0].stops = Some(Stops {
        run: stated(9.0 * HOUR),
        repair: stated(HOUR),
    });
    let wire = build.bought("wire", kg(), 4.0);
    let sheet = build.bought("sheet", kg(), 2.0);
    let waste = build.item("waste", kg());
    build.0.items[waste.0].worth = Some(stated(0.3));
    let (clip, sign) = (
        build.item("clip", count("each")),
        build.item("sign", count("each")),
    );
    let (clips, faces) = (build.route(clip), build.route(sign));
    let press = build.starts(clips, "press", clip);
    let op = build.op(press);
    op.station = Some(StationId(0));
    op.pace = Pace::Each(stated(5.0));
    op.setup = Some(stated(900.0));
    op.takes.push(take(wire, 0.02));
    let cut = build.starts(faces, "cut", sign);
    let fit = build.follows(faces, "fit", sign, cut, 1.0);
    let op = build.op(cut);
    op.station = Some(StationId(1));
    op.pace = Pace::Each(stated(60.0));
    op.takes.push(take(sheet, 1.5));
    op.also.push(also(waste, 0.4));
    let op = build.op(fit);
    op.station = Some(StationId(1));
    op.pace = Pace::Each(stated(90.0));
    op.setup = Some(stated(300.0));
    op.takes.push(take(clip, each));
    op.good = share(good, 0.0);
    op.rejects = vec![
        reject(back, RejectTo::Rework(fit)),
        reject(1.0 - back, RejectTo::Scrap),
    ];
    build.order(sign, quantity, "2026-12-01");
    build.order(sign, 2.0 * quantity, "2026-12-03");
    build.order(clip, quantity, "2026-12-02");
    build.finish()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// What is spent, added up from the flow and the load, is what the products cost.
    #[test]
    fn money_is_conserved(
        good in 0.5..1.0f64, back in 0.0..1.0f64, each in 0.5..8.0f64, quantity in 1.0..500.0f64,
    ) {
        let works = signs(good, back, each, quantity);
        let (answer, load, flow) = answer(&works);
        let bought = flow.bought(ItemId(0)) * 4.0 + flow.bought(ItemId(1)) * 2.0;
        let sold_off = flow.surplus(ItemId(2)) * 0.3;
        let time: f64 = load.stations.iter().zip([0.01, 12.0 / HOUR]).map(|(s, rate)| s.wanted_s * rate).sum();
        let spent = bought - sold_off + time;
        prop_assert!((answer.total - spent).abs() <= 1e-9 * spent, "{} {spent}", answer.total);
        for product in &answer.products {
            let mut ledger = Ledger::default();
            let mut figures = Figures::default();
            explain(&works, &answer, &mut ledger, &mut figures);
            let figure = figures.get(&format!("{} unit cost", product.name)).unwrap();
            let likely = product.plan.likely;
            prop_assert!((figure.value - likely).abs() <= 1e-9 * likely.abs(), "{} {likely}", figure.value);
            let parts: f64 = Element::ALL.iter().map(|&e| product.plan.elements.get(e)).sum();
            prop_assert!((parts - product.plan.likely).abs() <= 1e-12 * product.plan.likely.abs());
        }
    }

    /// The same with a granulator, used in full or up to its cap.
    #[test]
    fn money_is_conserved_round_a_granulator(
        at_most in 0.0..0.5f64, sprue in 0.01..0.4f64, quantity in 1.0..500.0f64,
    ) {
        let (answer, load, flow) = answer(&granulated(at_most, sprue, quantity));
        let time: f64 = load.stations.iter().map(|station| station.wanted_s * 0.01).sum();
        let spent = flow.bought(ItemId(0)) * 3.0 - flow.surplus(ItemId(3)) * 0.5 + time;
        prop_assert!((answer.total - spent).abs() <= 1e-9 * spent, "{} {spent}", answer.total);
    }

    /// Without breaks and fixed lots one unit never costs more in a larger quantity.
    #[test]
    fn more_is_never_dearer(quantity in 1.0..5000.0f64, more in 1.0..20.0f64, good in 0.5..1.0f64) {
        let mut works = signs(good, 0.5, 4.0, 10.0);
        works.assumptions.quantities = vec![quantity, quantity * more];
        let (answer, ..) = answer(&works);
        for product in &answer.products {
            prop_assert!(product.at[1].likely <= product.at[0].likely * (1.0 + 1e-12));
        }
    }
}
