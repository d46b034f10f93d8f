//! The short reports: what an engineer wants to know first.

mod heat;

use std::fmt::Write as _;

use works::{Diagnostic, Severity};

use crate::block::{Block, Cell, Role, Table, Value};
use crate::table::{self, Ground};

pub(crate) use heat::heat;

/// Rows of a table that a short report shows.
const FEW: usize = 5;

/// Headline figures of a plan, as label, value, remark.
pub(crate) fn headlines(ground: &Ground<'_>) -> Vec<Block> {
    let mut facts = vec![orders(ground)];
    facts.extend(spending(ground));
    facts.extend(next_order(ground));
    facts.extend(bottleneck(ground));
    facts.extend(people(ground));
    facts.extend(weeks_over(ground));
    facts.extend(recipes(ground));
    facts.extend(cost(ground));
    facts.extend(left_overs(ground));
    facts
}

fn orders(ground: &Ground<'_>) -> Block {
    let horizon = &ground.plan.horizon;
    let risks = table::at_risk(ground).len();
    let note = match risks {
        0 => String::new(),
        1 => "1 of them at risk".to_owned(),
        many => format!("{many} of them at risk"),
    };
    Block::fact("Orders", horizon.orders.len() as f64, note)
}

fn spending(ground: &Ground<'_>) -> Option<Block> {
    let total = ground.plan.material.purchase_total?;
    let lines = ground.plan.material.purchases.len();
    Some(Block::fact(
        "To buy",
        ground.money(total),
        format!(
            "{}, enough with {}",
            counted(lines, "item", "items"),
            ground.certainty()
        ),
    ))
}

fn next_order(ground: &Ground<'_>) -> Option<Block> {
    let list = table::by_order_date(ground);
    let first = list.iter().find(|line| line.order_by.is_some())?;
    let late = list.iter().filter(|line| line.late).count();
    let mut note = format!(
        "{} of {}",
        ground.amount(first.to_buy).value.show(),
        first.name
    );
    if late > 0 {
        let _ = write!(note, "; for {late} the day to order has passed");
    }
    Some(Block::fact(
        "Order first by",
        Cell::from(first.order_by).warn_if(late > 0),
        note,
    ))
}

fn bottleneck(ground: &Ground<'_>) -> Option<Block> {
    let station = ground.plan.load.bottleneck?;
    let load = ground.plan.load.stations.get(station.0)?;
    let share = load.utilisation?;
    let figure = ground
        .plan
        .figures
        .get(&format!("{} utilisation", load.name));
    let mut cell = Cell::from(Value::Share(share)).warn_if(share > 1.0);
    cell.why = figure.map(|figure| figure.node);
    let mut note = load.name.clone();
    if let Some(needed) = load.needed.filter(|needed| *needed > load.count) {
        let _ = write!(note, "; {needed} would be needed, there are {}", load.count);
    }
    Some(Block::fact("Bottleneck", cell, note))
}

fn weeks_over(ground: &Ground<'_>) -> Option<Block> {
    let over = table::weeks_over(ground);
    let (station, week, share) = over.first()?;
    let worst = format!(
        "times that a station has too much in a week, most of all {station} in {week}: {}",
        Value::Share(*share).show()
    );
    Some(Block::fact(
        "Weeks beyond capacity",
        Cell::from(over.len() as f64).warn_if(true),
        worst,
    ))
}

/// Recipes that need attention, among all.
fn recipes(ground: &Ground<'_>) -> Option<Block> {
    let first = table::recipes_to_look_at(ground);
    let note = match (first.first(), first.len()) {
        (None, _) => "with time to spare".to_owned(),
        (Some(one), 1) => format!("needs attention: {}", one.name),
        (Some(one), many) => format!("{many} need attention, first {}", one.name),
    };
    let beside = table::beside_without_answer(ground, None);
    let beside = beside
        .iter()
        .filter(|(kind, _)| *kind != table::Kind::Solvent);
    let without = table::recipes_without_answer(ground, None).len() + beside.count();
    let (does, told) = table::doing_their_job(ground);
    let all = told + without;
    let note = match without {
        0 => note,
        _ => format!("{note}; {without} could not be worked out"),
    };
    let value = Cell::from(format!("{does} of {all}"));
    let warn = !first.is_empty() || without > 0;
    (all > 0).then(|| Block::fact("Recipes that do their job", value.warn_if(warn), note))
}

fn people(ground: &Ground<'_>) -> Option<Block> {
    let crews = ground.plan.load.people.crews.iter();
    let busy = crews.filter_map(|crew| Some((crew.utilisation?, crew)));
    let (share, crew) = busy.max_by(|a, b| a.0.total_cmp(&b.0))?;
    let mut cell = Cell::from(Value::Share(share)).warn_if(share > 1.0);
    cell.why = ground
        .plan
        .figures
        .get(&format!("{} crew utilisation", crew.name))
        .map(|figure| figure.node);
    let needed = crew.needed.map(|needed| {
        format!(
            "; {} needed, there are {}",
            counted(needed as usize, "person", "people"),
            crew.people
        )
    });
    Some(Block::fact(
        "Busiest crew",
        cell,
        format!("{}{}", crew.name, needed.unwrap_or_default()),
    ))
}

fn cost(ground: &Ground<'_>) -> Option<Block> {
    let cost = &ground.plan.cost;
    let mut cell = Cell::from(ground.price(cost.total));
    cell.why = ground
        .plan
        .figures
        .get("total cost")
        .map(|figure| figure.node);
    (cost.total > 0.0).then(|| {
        Block::fact(
            "Cost of all orders",
            cell,
            "likely, by unit costs in the plan",
        )
    })
}

fn left_overs(ground: &Ground<'_>) -> Option<Block> {
    let total = ground.plan.material.left_over_total?;
    Some(Block::fact(
        "Left-overs bring",
        ground.money(total),
        "by-products and waste that find no use",
    ))
}

/// A count with its noun.
fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

/// Faults, then warnings, those of one kind together.
pub(crate) fn notices<'a>(ground: &Ground<'a>) -> Vec<Vec<&'a Diagnostic>> {
    let mut groups: Vec<Vec<&Diagnostic>> = Vec::new();
    for notice in &ground.plan.notices {
        let like = |group: &&mut Vec<&Diagnostic>| {
            group.iter().all(|other| {
                other.code == notice.code
                    && other.severity == notice.severity
                    && other.help == notice.help
            })
        };
        match groups.iter_mut().find(like) {
            Some(group) => group.push(notice),
            None => groups.push(vec![notice]),
        }
    }
    groups.sort_by_key(|group| {
        group
            .iter()
            .all(|notice| notice.severity != Severity::Fault)
    });
    groups
}

/// One sentence for each kind of fault or warning.
fn warnings(ground: &Ground<'_>) -> Vec<Block> {
    let sentence = |group: Vec<&Diagnostic>| {
        let first = group.first()?;
        let more = match group.len() {
            1 => String::new(),
            many => format!(" (and {} like it)", many - 1),
        };
        Some(Block::Warning(format!("{}{more}", first.headline)))
    };
    notices(ground).into_iter().filter_map(sentence).collect()
}

/// The heading with the days.
fn opening(ground: &Ground<'_>, what: &str) -> Vec<Block> {
    let plan = ground.plan;
    let (from, until) = (plan.horizon.from, plan.horizon.until);
    vec![Block::Heading(format!(
        "{}: {what}, {from} to {until}",
        plan.name
    ))]
}

fn section(blocks: &mut Vec<Block>, heading: &str, table: Table, most: usize) {
    if table.rows.is_empty() {
        return;
    }
    blocks.push(Block::Heading(heading.to_owned()));
    let (table, left_out) = table.first(most);
    blocks.push(Block::Table(table));
    if left_out > 0 {
        blocks.push(Block::Note(format!("and {left_out} more")));
    }
}

/// The plan in at most thirty lines.
pub(crate) fn summary(ground: &Ground<'_>) -> Vec<Block> {
    let mut blocks = opening(ground, "plan");
    blocks.extend(headlines(ground));
    let mut purchases = table::purchases(ground).only(&[0, 5, 1, 7, 8, 9]);
    purchases.rows.retain(|row| row.role != Role::Total);
    section(&mut blocks, "Order first", purchases, FEW);
    let starts = table::starts(ground).only(&[0, 1, 5, 6, 7]);
    section(&mut blocks, "Start", starts, FEW);
    let warnings = warnings(ground);
    let left_out = warnings.len().saturating_sub(3);
    blocks.extend(warnings.into_iter().take(3));
    if left_out > 0 {
        blocks.push(Block::Note(format!("and {left_out} more warnings")));
    }
    blocks
}

/// Material.
pub(crate) fn stock(ground: &Ground<'_>) -> Vec<Block> {
    let mut blocks = opening(ground, "material");
    blocks.extend(spending(ground));
    blocks.extend(next_order(ground));
    blocks.extend(left_overs(ground));
    section(
        &mut blocks,
        "What to buy",
        table::purchases(ground).only(&[0, 1, 3, 4, 5, 6, 7, 8, 9]),
        60,
    );
    section(
        &mut blocks,
        "What to start",
        table::starts(ground).only(&[0, 1, 3, 4, 5, 6, 7]),
        30,
    );
    section(
        &mut blocks,
        "Mass in and out, kg",
        without_kg(table::mass(ground)),
        30,
    );
    section(
        &mut blocks,
        "By-products and waste",
        table::left_over(ground),
        30,
    );
    section(&mut blocks, "Sent back", table::rework(ground), 20);
    section(&mut blocks, "Fed again", table::regrind(ground), 20);
    blocks
}

/// The unit stands in the heading above.
fn without_kg(mut table: Table) -> Table {
    for column in &mut table.columns {
        if column.unit == "kg" {
            column.unit.clear();
        }
    }
    table
}

/// Stations and people.
pub(crate) fn load(ground: &Ground<'_>) -> Vec<Block> {
    let mut blocks = opening(ground, "load");
    blocks.extend(bottleneck(ground));
    blocks.extend(people(ground));
    blocks.extend(weeks_over(ground));
    section(
        &mut blocks,
        "Stations",
        table::stations(ground).only(&[0, 1, 8, 9, 10, 11, 12, 13]),
        60,
    );
    section(
        &mut blocks,
        "Weeks beyond capacity",
        table::beyond_capacity(ground),
        12,
    );
    section(
        &mut blocks,
        "Crews",
        table::crews(ground).only(&[0, 1, 3, 4, 5, 6]),
        30,
    );
    section(
        &mut blocks,
        "Lead times",
        table::leads(ground).only(&[0, 1, 2, 3, 4]),
        30,
    );
    section(&mut blocks, "Manual work", table::lines(ground), 20);
    let over = ground.plan.load.diagnostics.iter();
    blocks.extend(over.map(|notice| Block::Warning(notice.headline.clone())));
    blocks
}

/// Money.
pub(crate) fn cost_report(ground: &Ground<'_>) -> Vec<Block> {
    let mut blocks = opening(ground, "cost");
    blocks.extend(cost(ground));
    let costs = &ground.plan.cost;
    for product in &costs.products {
        let unit = ground.works.item(product.item).unit.symbol().to_owned();
        let heading = format!("{}, for one {unit}", product.name);
        section(
            &mut blocks,
            &heading,
            table::at_quantities(ground.works, product, &costs.currency),
            30,
        );
        let drivers: Vec<String> = product
            .drivers
            .iter()
            .take(3)
            .map(|driver| driver.number.name.clone())
            .collect();
        if !drivers.is_empty() {
            blocks.push(Block::Note(format!(
                "driven most by {}",
                drivers.join(", ")
            )));
        }
    }
    let unpriced: Vec<&str> = costs
        .unpriced
        .iter()
        .map(|item| ground.item(item.0))
        .collect();
    if !unpriced.is_empty() {
        blocks.push(Block::Warning(format!(
            "no price is stated for {}; they count as nothing",
            unpriced.join(", ")
        )));
    }
    blocks
}

/// Cutting plans.
pub(crate) fn cut(ground: &Ground<'_>) -> Vec<Block> {
    let mut blocks = opening(ground, "cutting");
    if !ground
        .works
        .operations
        .iter()
        .any(|operation| operation.cut.is_some())
    {
        blocks.push(Block::Note(
            "no operation says what it cuts up; `cut` of an [[operation]] does".to_owned(),
        ));
    }
    section(
        &mut blocks,
        "Cutting lists",
        table::cutting_lists(ground),
        60,
    );
    section(&mut blocks, "Stock cut up", table::stock_cut_up(ground), 30);
    section(&mut blocks, "Boards with faults", table::boards(ground), 60);
    section(&mut blocks, "Frames", table::frames(ground), 20);
    for plan in &ground.plan.cutting {
        let (heading, list) = (format!("Patterns of {}", plan.name), table::patterns(plan));
        section(&mut blocks, &heading, list, 12);
    }
    let held = table::computed_of(ground, |id| table::cuts(ground, id));
    section(&mut blocks, "Stated and computed", held, 40);
    blocks
}

/// Drilling plans.
pub(crate) fn drill(ground: &Ground<'_>) -> Vec<Block> {
    let mut blocks = opening(ground, "drilling");
    if !ground
        .works
        .operations
        .iter()
        .any(|operation| operation.drill.is_some())
    {
        blocks.push(Block::Note(
            "no operation says what it drills; `drill` of an [[operation]] does".to_owned(),
        ));
    }
    section(&mut blocks, "Drilling", table::drilling(ground), 60);
    for plan in &ground.plan.drilling {
        let heading = format!("Tools of {}", plan.name);
        section(&mut blocks, &heading, table::tools(plan), 20);
        for broken in plan.broken.iter().take(FEW) {
            blocks.push(Block::Warning(format!("{}: {}", plan.name, broken.words)));
        }
    }
    section(&mut blocks, "Filling", table::filling(ground), 30);
    let drilled = |id| !table::cuts(ground, id) && !table::heats_or_the_like(ground, id);
    let held = table::computed_of(ground, drilled);
    section(&mut blocks, "Stated and computed", held, 40);
    blocks
}
