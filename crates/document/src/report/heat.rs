//! The short report on heat, and on salt, drying, solvent and moulding beside it.

use planning::heat::HeatPlan;

use super::{opening, recipes, section};
use crate::block::Block;
use crate::table::{self, Ground, Telling};

/// Recipes of heat, then of salt, drying, solvent and moulding; those of one operation where only that is asked for.
pub(crate) fn heat(ground: &Ground<'_>, of: Option<&str>) -> Vec<Block> {
    let mut blocks = opening(ground, "heat");
    if !table::does_heat(ground) {
        blocks.push(Block::Note(
            "no operation says what it does by heat or cold; `heat` of an [[operation]] does"
                .to_owned(),
        ));
        return blocks;
    }
    if of.is_none() {
        blocks.extend(recipes(ground));
    }
    let without = table::recipes_without_answer(ground, of).into_iter();
    let beside = table::beside_without_answer(ground, of).into_iter();
    let without = without.chain(beside.map(|(_, words)| words));
    blocks.extend(without.map(Block::Warning));
    let is_asked = |name: &str| of.is_none_or(|of| of == name);
    let mut operations = Vec::new();
    let mut supposed = false;
    for plan in ground.plan.heat.iter().filter(|plan| is_asked(&plan.name)) {
        blocks.extend(heat_of(plan));
        operations.push(plan.operation);
        supposed |= !plan.supposed.is_empty();
    }
    let beside = table::tellings(ground).into_iter();
    for (_, telling) in beside.filter(|(_, telling)| is_asked(telling.name)) {
        blocks.extend(beside_of(&telling, supposed));
        operations.push(telling.operation);
    }
    let held = table::computed_of(ground, |id| operations.contains(&id));
    section(&mut blocks, "Stated and computed", held, 40);
    blocks.push(Block::Heading("Who decides".to_owned()));
    blocks.push(Block::Note(table::WHO_DECIDES.to_owned()));
    blocks
}

/// One recipe: the verdict, then what stands behind it.
fn heat_of(plan: &HeatPlan) -> Vec<Block> {
    let mut blocks = vec![Block::Heading(plan.name.clone())];
    if !plan.supposed.is_empty() {
        blocks.push(Block::Note(format!(
            "Supposing {}:",
            plan.supposed.join(", ")
        )));
    }
    let good = table::good(plan);
    blocks.push(told(
        good,
        format!("{}.", table::title(&table::recipe_verdict(plan))),
    ));
    blocks.extend(table::window_lines(plan).into_iter().map(Block::Note));
    // The last column is told in full below: a limit without its source is worth little.
    let needs = table::heat_needs(plan);
    let shown: Vec<usize> = (0..needs.columns.len() - 1).collect();
    blocks.push(Block::Table(needs.only(&shown)));
    blocks.extend(table::limit_lines(plan).into_iter().map(Block::Note));
    if !plan.changes.is_empty() {
        blocks.push(Block::Note("What a change does:".to_owned()));
        blocks.push(Block::Table(table::heat_changes(plan)));
    }
    for (passes, words) in table::log_lines(plan) {
        blocks.push(told(passes, words));
    }
    let fitted = plan.logs.iter();
    blocks.extend(
        fitted
            .filter_map(|log| table::coefficient_words(plan, log))
            .map(Block::Note),
    );
    blocks.extend(plan.cautions.iter().cloned().map(Block::Note));
    blocks
}

/// One answer beside heat: the verdict, then what stands behind it.
fn beside_of(telling: &Telling<'_>, supposed: bool) -> Vec<Block> {
    let mut blocks = vec![Block::Heading(telling.heading())];
    if supposed {
        blocks.push(Block::Note(
            "As stated; what is supposed above concerns heat only.".to_owned(),
        ));
    }
    blocks.push(told(
        telling.good,
        format!("{}.", table::title(&telling.verdict)),
    ));
    let lines = telling.lines.iter().chain(&telling.limits).cloned();
    blocks.extend(lines.map(Block::Note));
    let short = telling.short.iter().filter(|table| !table.rows.is_empty());
    blocks.extend(short.cloned().map(Block::Table));
    blocks.extend(telling.cautions.iter().cloned().map(Block::Note));
    blocks
}

/// A sentence, that needs attention where it is not good.
fn told(good: bool, words: String) -> Block {
    if good {
        Block::Note(words)
    } else {
        Block::Warning(words)
    }
}
