//! The sections of the page, in reading order.

use std::collections::{BTreeMap, BTreeSet};

use maud::{Markup, html};
use picture::{
    Frame, at_both_widths, certainty_curve, cost_stack, interval_dots, line_balance, load_bars,
    mass_flow, route_map, tornado, week_strip,
};
use planning::cost::ProductCost;
use planning::reason::Source;
use works::{Diagnostic, HazardId, RouteId, Severity};

use super::part::{figure, marked, warnings};
use super::{Page, Section, pictures};
use crate::block::{Role, Value};
use crate::{report, table};

/// Assumptions of the ledger that the page lists.
const ASSUMPTIONS: usize = 60;

/// Orders that the page lists.
const ORDERS: usize = 400;

/// Stations that the bars of hours show; the table has all.
const BARS: usize = 18;

impl Page<'_> {
    pub(super) fn title_block(&self) -> Markup {
        let plan = self.ground.plan;
        html! {
            header.title {
                p.kind { "Production plan" }
                h1 { (plan.name) }
                dl {
                    div { dt { "Plan from" } dd { (plan.horizon.from) } }
                    div { dt { "until" } dd { (plan.horizon.until) } }
                    div { dt { "Orders" } dd { (plan.horizon.orders.len()) } }
                    div { dt { "Certainty" } dd { (self.ground.certainty()) } }
                    div { dt { "Money in" } dd { (plan.currency) } }
                }
                @if plan.cannot_be_done() {
                    p.verdict { "Something asked for cannot be done as written; see the warnings below." }
                }
            }
        }
    }

    pub(super) fn sections(&self) -> Vec<Section> {
        let mut sections = vec![
            Section::new("at-a-glance", "At a glance", self.at_a_glance()),
            Section::new("what-to-buy", "What to buy", self.buy()),
            Section::new("what-to-start", "What to start", self.start()),
            Section::new(
                "where-material-goes",
                "Where material goes",
                self.material(),
            ),
            Section::new("load", "Load", self.load()),
            Section::new("cost", "Cost", self.cost()),
        ];
        if !self.ground.plan.cutting.is_empty() {
            sections.push(Section::new("cutting", "Cutting", self.cutting()));
        }
        if !self.ground.plan.drilling.is_empty() {
            sections.push(Section::new(
                "drilling",
                "Drilling and filling",
                self.drilling(),
            ));
        }
        if table::does_heat(self.ground) {
            sections.push(Section::new("heat", "Heat", self.heat()));
        }
        if !self.ground.plan.computed.is_empty() {
            let held = self.table(&table::computed(self.ground));
            sections.push(Section::new(
                "stated-and-computed",
                "Stated and computed",
                held,
            ));
        }
        if !self.ground.plan.measured.is_empty() {
            sections.push(Section::new(
                "stated-and-measured",
                "Stated and measured",
                self.measured(),
            ));
        }
        for (index, route) in self.ground.works.routes.iter().enumerate() {
            let product = self.ground.item(route.makes.0);
            let id = format!("route-{index}");
            sections.push(Section::new(
                &id,
                &format!("How {product} is made"),
                self.route(RouteId(index)),
            ));
        }
        sections.push(Section::new("cautions", "Cautions", self.cautions()));
        sections.push(Section::new(
            "how-the-figures-were-made",
            "How the figures were made",
            self.figures(),
        ));
        sections.push(Section::new(
            "taken-for-granted",
            "Taken for granted",
            self.assumptions(),
        ));
        sections
    }

    fn at_a_glance(&self) -> Markup {
        let risks = table::at_risk(self.ground);
        let disagree = self
            .ground
            .plan
            .measured
            .iter()
            .filter(|held| table::disagrees(held));
        let disagree: Vec<_> = disagree.collect();
        let mut first = table::purchases(self.ground).only(&[0, 5, 1, 7, 8, 9]);
        "What to order first".clone_into(&mut first.caption);
        first.rows.retain(|row| row.role != Role::Total);
        let (first, left_out) = first.first(8);
        html! {
            (self.facts(&report::headlines(self.ground)))
            div.pairs {
                div {
                    h3 { "Order first" }
                    @if first.rows.is_empty() { p { "Nothing has to be bought." } }
                    (self.table(&first))
                    @if left_out > 0 { p.note { "All of the list: " a href="#what-to-buy" { "what to buy" } "." } }
                }
                @if !risks.is_empty() { div { h3 { "Orders at risk" } (self.risks(&risks)) } }
                (self.recipes_to_look_at())
                @if !disagree.is_empty() {
                    div {
                        h3 { "Stated otherwise than measured" }
                        ul { @for held in disagree { li { b { (held.name) } ": " (held.sentence) } } }
                    }
                }
                @if !self.ground.plan.notices.is_empty() { div { h3 { "Warnings" } (self.notices()) } }
            }
        }
    }

    /// Faults and warnings with the place and the repair; those of one kind share a box.
    fn notices(&self) -> Markup {
        html! {
            ul.warnings {
                @for group in report::notices(self.ground) {
                    li {
                        @if let Some(first) = group.first().filter(|first| first.severity == Severity::Fault) {
                            b { "Cannot be done (" (first.code) ")" } br;
                        }
                        @for notice in &group { (self.notice(notice)) }
                        @if let Some(help) = group.first().and_then(|first| first.help.as_ref()) {
                            div.note { "What helps: " (marked(help)) }
                        }
                    }
                }
            }
        }
    }

    fn notice(&self, notice: &Diagnostic) -> Markup {
        html! {
            div {
                (marked(&notice.headline))
                @if let (Some(expected), Some(found)) = (&notice.expected, &notice.found) {
                    span.note { " – " (marked(expected)) "; " (marked(found)) }
                }
                span.source { " " (self.sources.place(notice.at)) }
            }
        }
    }

    /// Orders at risk, grouped by reason so that one cause is read once.
    fn risks(&self, risks: &[table::Risk]) -> Markup {
        let mut by_reason: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for risk in risks {
            by_reason
                .entry(risk.why.join("; "))
                .or_default()
                .push(risk.order);
        }
        let mut groups: Vec<(String, Vec<usize>)> = by_reason.into_iter().collect();
        groups.sort_by_key(|(_, orders)| orders.first().copied());
        html! {
            ul {
                @for (why, orders) in &groups {
                    li { b { (self.order_names(orders)) } ": " (why) }
                }
            }
        }
    }

    fn order_names(&self, orders: &[usize]) -> String {
        const SHOWN: usize = 8;
        let name = |&order: &usize| {
            let order = &self.ground.works.orders[order];
            format!(
                "{} ({}, due {})",
                order.number,
                self.ground.item(order.item.0),
                order.due
            )
        };
        let mut names: Vec<String> = orders.iter().take(SHOWN).map(name).collect();
        if orders.len() > SHOWN {
            names.push(format!("{} more", orders.len() - SHOWN));
        }
        names.join(", ")
    }

    fn buy(&self) -> Markup {
        let late = self
            .ground
            .plan
            .material
            .purchases
            .iter()
            .any(|line| line.late);
        html! {
            p.lead { "Enough for all orders with a certainty of " (self.ground.certainty()) ", in whole packs, less what is on hand. Order by the date given and it is here for the first order that needs it." }
            @if late { (warnings(["Some order-by dates have passed: these things come too late for the first order that needs them."])) }
            @if self.ground.plan.material.purchases.is_empty() { p { "Nothing has to be bought." } }
            (self.table(&table::purchases(self.ground)))
        }
    }

    fn start(&self) -> Markup {
        let starts = &self.ground.plan.material.starts;
        html! {
            @if starts.is_empty() { p { "No order asks for anything that is made here." } }
            @else { p.lead { "How much to start so that the orders are filled: at even odds, and with the certainty of the plan. Dividing by the mean yield alone fills them about every second time." } }
            (self.table(&table::starts(self.ground)))
            div.pictures {
                @for start in starts.iter().filter(|start| !start.curve.is_empty()) {
                    (self.curve(start))
                }
            }
            h3 { "Order by order" }
            @if self.ground.plan.horizon.orders.is_empty() { p { "There are no orders in the plan." } }
            @else { p { "Each order as a lot of its own; together they need less for the same certainty." } }
            @let (orders, left_out) = table::orders(self.ground).first(ORDERS);
            (self.table(&orders))
            @if left_out > 0 { p.note { "and " (left_out) " more; the workbook has all of them" } }
        }
    }

    fn curve(&self, start: &planning::material::ProductStart) -> Markup {
        let curve = pictures::certainty(self.ground, start);
        let title = format!("{}: start and odds", start.product);
        let frame = Frame::new(format!("curve-{}", start.route), title).described(format!(
            "The odds of filling all orders of {} against the quantity started.",
            start.product
        ));
        let caption = format!(
            "{}: the odds of filling all its orders, by how much is started.",
            start.product
        );
        figure(
            at_both_widths(&frame, |frame| certainty_curve(frame, &curve)),
            &caption,
        )
    }

    fn material(&self) -> Markup {
        let material = &self.ground.plan.material;
        html! {
            p.lead { "Kilograms in against kilograms out. What is not explained is shown, not hidden." }
            (self.table(&table::mass(self.ground)))
            @for route in &material.mass.routes { (self.mass_of(route)) }
            (self.table(&table::left_over(self.ground)))
            (self.table(&table::rework(self.ground)))
            (self.table(&table::regrind(self.ground)))
            @if !material.solved_together.is_empty() {
                p.note { "Amounts that depend on each other in a ring were worked out together: "
                    @for (at, ring) in material.solved_together.iter().enumerate() { @if at > 0 { "; " } (ring.join(", ")) } "." }
            }
        }
    }

    fn mass_of(&self, route: &planning::material::RouteMass) -> Markup {
        let frame = Frame::new(
            format!("mass-{}", route.route),
            format!("Mass of {}", route.product),
        )
        .described(format!(
            "What goes into {} and what becomes of it, in kilograms.",
            route.product
        ));
        html! {
            h3 { (route.product) }
            @if let Some(flow) = pictures::masses(self.ground, route) {
                (figure(at_both_widths(&frame, |frame| mass_flow(frame, &flow)), &format!("{}: what goes in and what becomes of it.", route.product)))
            }
            @if !route.unknown.is_empty() {
                p.note { "The balance is not known: no mass is stated for " (route.unknown.join(", ")) "." }
            }
            @if !route.operations.is_empty() {
                details.more { summary { "Operation by operation" } (self.table(&table::mass_of(self.ground, route))) }
            }
        }
    }

    fn load(&self) -> Markup {
        let load = &self.ground.plan.load;
        let stations = table::by_load(self.ground);
        let used: Vec<_> = stations
            .iter()
            .copied()
            .filter(|station| station.wanted_s > 0.0)
            .collect();
        let bars = pictures::loads(&used[..used.len().min(BARS)]);
        let which = if used.len() > BARS {
            format!("Hours wanted of the {BARS} busiest stations")
        } else {
            "Hours wanted of each station".to_owned()
        };
        let strip = pictures::weeks(self.ground);
        let frame = |id: &str, title: &str, words: &str| Frame::new(id, title).described(words);
        html! {
            @if used.is_empty() { p { "No station has anything to do." } }
            @else {
                p.lead { (self.bottleneck()) }
                (figure(at_both_widths(&frame("load-bars", "Hours of stations", "Hours wanted of each station by what takes them, against hours open."), |f| load_bars(f, &bars)), &format!("{which}, by what takes them, against the hours they are open.")))
            }
            (self.table(&table::stations(self.ground)))
            @if let Some(shared) = &load.shared {
                p.note { "Where several stations can do the same work it was shared so that the busiest has least: " (Value::Share(shared.highest).show()) " instead of " (Value::Share(shared.usual_highest).show()) " (" (shared.method) ")." }
            }
            @if !strip.rows.is_empty() && !strip.weeks.is_empty() {
                h3 { "Week by week" }
                (figure(at_both_widths(&frame("weeks", "Load by week", "Share of open hours wanted of each station in each week."), |f| week_strip(f, &strip)), "Share of open hours wanted, in the week in which orders are due."))
            }
            h3 { "People" }
            (self.table(&table::crews(self.ground)))
            (self.table(&table::skills(self.ground)))
            @if !load.people.method.is_empty() && !load.people.crews.is_empty() { p.note { "Hours were given to crews so: " (load.people.method) "." } }
            (self.table(&table::changeovers(self.ground)))
            (self.leads())
            (self.lines())
        }
    }

    fn bottleneck(&self) -> String {
        let load = &self.ground.plan.load;
        let station = load.bottleneck.and_then(|id| load.stations.get(id.0));
        let Some((station, share)) = station.and_then(|s| Some((s, s.utilisation?))) else {
            return "No station is open in these days.".to_owned();
        };
        let name = table::title(&station.name);
        let share_words = Value::Share(share).show();
        match station.needed.filter(|&needed| needed > station.count) {
            Some(needed) => format!(
                "{} is asked for {share_words} of its open hours: {needed} would be needed, there are {}.",
                name, station.count
            ),
            None => format!("{name} sets the pace: {share_words} of its open hours are wanted."),
        }
    }

    fn leads(&self) -> Markup {
        let leads = table::leads(self.ground);
        if leads.rows.is_empty() {
            return html! {};
        }
        html! {
            h3 { "Lead times" }
            p { "How long a lot of mean size is under way, estimated from queues; the formula of each piece is named with it. An estimate that stands outside the range of its formula says so." }
            (self.table(&leads))
            @for lead in self.ground.plan.load.routes.iter().filter(|lead| lead.lot > 0.0 && !lead.pieces.is_empty()) {
                details.deep { summary { (lead.product) ", piece by piece" } (self.table(&table::lead_pieces(self.ground.works, lead))) }
            }
            details.deep { summary { "Waiting before stations" } (self.table(&table::queues(self.ground))) }
        }
    }

    fn lines(&self) -> Markup {
        let lines = &self.ground.plan.load.lines;
        html! {
            (self.table(&table::lines(self.ground)))
            @for line in lines {
                @if let Some(trouble) = &line.trouble { (warnings([format!("{}: {trouble}", line.name).as_str()])) }
                @if let Some(answer) = line.at_takt.as_ref().or(line.for_people.as_ref()) {
                    @let frame = Frame::new(format!("line-{}", line.operation.0), line.name.clone()).described("Tasks of each place against the time between two pieces.");
                    @let balance = pictures::line(line, answer);
                    (figure(at_both_widths(&frame, |frame| line_balance(frame, &balance)), &format!("{}: tasks of each place against the time between two pieces.", line.name)))
                }
            }
        }
    }

    fn cost(&self) -> Markup {
        let cost = &self.ground.plan.cost;
        let unpriced: Vec<&str> = cost
            .unpriced
            .iter()
            .map(|item| self.ground.item(item.0))
            .collect();
        html! {
            p.lead { "What one unit costs, by what it is made of. Low and high are what one in ten would undercut or exceed, from " (planning::reason::number(cost.draws as f64)) " draws of every number with a spread." }
            @if !unpriced.is_empty() { (warnings([format!("No price is stated for {}; they count as nothing.", unpriced.join(", ")).as_str()])) }
            (self.table(&table::unit_costs(self.ground, cost)))
            @for product in &cost.products { (self.cost_of(product)) }
        }
    }

    fn cost_of(&self, product: &ProductCost) -> Markup {
        let stack = pictures::cost(self.ground, product);
        let drivers = pictures::drivers(self.ground, product);
        let name = &product.name;
        let frame = |what: &str, title: String, words: String| {
            Frame::new(format!("{what}-{}", product.route.0), title).described(words)
        };
        let stacked = frame(
            "cost",
            format!("Unit cost of {name}"),
            format!("Cost of one {name} by element, in the plan and at other quantities."),
        );
        let driven = frame(
            "drivers",
            format!("What drives the cost of {name}"),
            format!("Unit cost of {name} with each uncertain number at its low and high."),
        );
        html! {
            h3 { (name) }
            (figure(at_both_widths(&stacked, |frame| cost_stack(frame, &stack)), &format!("{name}: cost of one by what it is made of, with low and high.")))
            (self.table(&table::at_quantities(self.ground.works, product, &self.ground.plan.currency)))
            @if !drivers.bars.is_empty() {
                (figure(at_both_widths(&driven, |frame| tornado(frame, &drivers)), &format!("{name}: what moves the cost of one most, each number from its 10 % to its 90 % point.")))
            }
            @if let Some(shared) = product.by_sales_value {
                p.note { "Shared among joint products by sales value, one costs " (self.ground.price(shared * self.ground.works.item(product.item).unit.factor()).show()) "." }
            }
        }
    }

    fn measured(&self) -> Markup {
        let dots = pictures::intervals(self.ground);
        let frame = Frame::new("intervals", "Stated and measured")
            .described("Each stated value against the interval of the mean of its readings.");
        html! {
            p.lead { "Where readings were taken, the stated number is held against them." }
            ul { @for held in &self.ground.plan.measured { li { b class=[table::disagrees(held).then_some("warning")] { (held.name) } ": " (held.sentence) } } }
            @if !dots.rows.is_empty() {
                (figure(at_both_widths(&frame, |frame| interval_dots(frame, &dots)), "Stated marks against measured means and their intervals."))
            }
            (self.table(&table::measured(self.ground)))
        }
    }

    fn route(&self, id: RouteId) -> Markup {
        let route = self.ground.works.route(id);
        let product = self.ground.item(route.makes.0);
        let map = super::route_map::route_map(self.ground, id);
        let frame = Frame::new(format!("map-{}", id.0), format!("How {product} is made"))
            .described(format!("Operations of {product} in order, with what they take, what comes out beside, and what goes back."));
        html! {
            @if let Some(note) = &route.note { p.lead { (note) } }
            (figure(at_both_widths(&frame, |frame| route_map(frame, &map)), &format!("{product}: operations with stations and units attempted in the plan; what is thrown away is in the table.")))
            (self.table(&table::operations(self.ground, id)))
            (self.hazards_of(id))
        }
    }

    /// Hazards of an operation: its own and those of its station.
    fn hazards_at(&self, operation: works::OperationId) -> BTreeSet<HazardId> {
        let operation = self.ground.works.operation(operation);
        let station = operation
            .station
            .map(|station| &self.ground.works.station(station).hazards);
        operation
            .hazards
            .iter()
            .chain(station.into_iter().flatten())
            .copied()
            .collect()
    }

    fn hazards_of(&self, route: RouteId) -> Markup {
        let mut where_met: BTreeMap<HazardId, Vec<&str>> = BTreeMap::new();
        for &id in &self.ground.works.route(route).operations {
            for hazard in self.hazards_at(id) {
                where_met
                    .entry(hazard)
                    .or_default()
                    .push(&self.ground.works.operation(id).name);
            }
        }
        html! {
            @if !where_met.is_empty() {
                h3 { "Take care" }
                dl.cautions {
                    @for (hazard, names) in &where_met {
                        @let hazard = self.ground.works.hazard(*hazard);
                        div { dt { (hazard.name) " " span.note { "at " (names.join(", ")) } } dd { (hazard.caution) } }
                    }
                }
            }
        }
    }

    fn cautions(&self) -> Markup {
        let mut used: BTreeSet<HazardId> = BTreeSet::new();
        for (index, _) in self.ground.works.operations.iter().enumerate() {
            used.extend(self.hazards_at(works::OperationId(index)));
        }
        html! {
            p.lead { "Local codes and licensed or competent persons decide. This plan repeats the cautions that the works wrote down; it sets no limit for safety, food, fire or health on its own authority." }
            @if used.is_empty() { p { "The works names no hazards. That is not to say there are none." } }
            dl.cautions {
                @for hazard in used {
                    @let hazard = self.ground.works.hazard(hazard);
                    div {
                        dt { (hazard.name) }
                        dd { (hazard.caution) @if !hazard.defer_to.is_empty() { " " span.note { "Who decides: " (hazard.defer_to) "." } } }
                    }
                }
            }
        }
    }

    fn figures(&self) -> Markup {
        html! {
            p.lead { "Every headline figure with the arithmetic that made it, down to what was stated, measured or assumed. A figure in the text above leads here." }
            (self.reasons.all(self.sources))
        }
    }

    fn assumptions(&self) -> Markup {
        let (assumed, left_out) = self.assumed();
        let plan = self.ground.plan;
        html! {
            ul {
                @for words in plan.load.assumes.iter().chain(&plan.cost.assumes) { li { (table::title(words)) "." } }
                @for words in &assumed { li { (table::title(words)) "." } }
            }
            @if left_out > 0 { p.note { "and " (left_out) " more, each with its figure" } }
            @if let Some(note) = &self.ground.works.note { h3 { "Note of the works" } p { (note) } }
        }
    }

    /// What figures take for granted, each reason once.
    fn assumed(&self) -> (Vec<String>, usize) {
        let ledger = &self.ground.plan.ledger;
        let mut reasons: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
        for id in ledger.ids() {
            let node = ledger.node(id);
            if let Source::Assumed { why } = &node.source {
                let names = reasons.entry(why).or_default();
                if !names.contains(&&*node.name) && names.len() < 4 {
                    names.push(&node.name);
                }
            }
        }
        let left_out = reasons.len().saturating_sub(ASSUMPTIONS);
        let words = reasons.into_iter().take(ASSUMPTIONS).map(|(why, names)| {
            let more = if names.len() > 3 { " and more" } else { "" };
            format!("{}{more}: {why}", names[..names.len().min(3)].join(", "))
        });
        (words.collect(), left_out)
    }
}
