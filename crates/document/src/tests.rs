//! Every output of small and odd works: well-formed, linked, without numbers that are none.

mod beside;
mod heat;
mod shapes;

use std::io::Cursor;

use calamine::{Data, Reader as _};
use planning::{Options, Plan, plan};
use works::{Files, Sources, Works};

use crate::*;

const WORKS: &str = r#"
[works]
name = "A & B <Works>"
time_zone = "Europe/London"
currency = "GBP"

[plan]
from = "2026-11-30"
until = "2026-12-20"
certainty = "95 %"
quantities = ["100", "1,000"]

[calendar.days]
work = ["Mon..Fri 08:00-16:00"]

[crew.shop]
people = 2
calendar = "days"
skills = ["sawing"]
cost = "20 GBP/h"

[station.saw]
calendar = "days"
people = { sawing = 1 }
cost = "12 GBP/h"
stops = { run = "20 h", repair = "30 min" }
hazards = ["moving blades"]

[station."never used"]
calendar = "days"

[hazard."moving blades"]
caution = "Guards closed & proved."
defer_to = "the safety officer"

[item.plank]
unit = "each"
mass = "8 kg"
buy = { price = "9.50 GBP", pack = "10 each", lead = "7 d", supplier = "Hurl <Timber>" }
"#;

const ROUTE: &str = r#"
[route]
makes = "shelf"
unit = "each"
mass = "3.4 kg"

[[operation]]
name = "cut"
at = "saw"
takes = { plank = "0.5 each" }
pace = "3 / 4 / 6 min"
good = { mean = "96 %", lots = "1.5 %" }
rejects = "scrap"
lost_as = "sawdust"
"#;

const ORDERS: &str = "order,item,quantity,due,customer\nA1,shelf,120,2026-12-09,\"=1+1\"\nA2,shelf,80,2026-12-16,Ives\n";

struct Made {
    works: Works,
    plan: Plan,
    sources: Sources,
}

fn made(files: &[(&str, &str)]) -> Made {
    let mut folder = Files::new();
    for (path, text) in files {
        folder.insert(*path, text.as_bytes());
    }
    let outcome = works::read(&folder);
    let faults = works::render::render(
        &outcome.diagnostics,
        &outcome.sources,
        works::render::Form::Line,
    );
    let works = outcome.works.unwrap_or_else(|| panic!("{faults}"));
    assert!(
        !outcome
            .diagnostics
            .iter()
            .any(|d| d.severity == works::Severity::Fault),
        "{faults}"
    );
    let options = Options::new("2026-11-25".parse().unwrap());
    let plan = plan(&works, &options, &mut |_| {}).unwrap();
    Made {
        works,
        plan,
        sources: outcome.sources,
    }
}

fn small() -> Made {
    made(&[
        ("works.toml", WORKS),
        ("routes/shelf.toml", ROUTE),
        ("orders.csv", ORDERS),
    ])
}

fn without_orders() -> Made {
    made(&[("works.toml", WORKS), ("routes/shelf.toml", ROUTE)])
}

impl Made {
    fn html(&self) -> String {
        html(&self.works, &self.plan, &self.sources)
    }

    fn texts(&self) -> Vec<String> {
        let reports = [summary, stock_report, load_report, cost_report];
        reports
            .iter()
            .map(|report| text::render(&report(&self.works, &self.plan), false, 100))
            .collect()
    }

    fn json(&self) -> String {
        json(&self.works, &self.plan, &self.sources)
    }
}

/// The page as XML: void elements closed, the doctype taken off, attributes without a value filled.
fn as_xml(page: &str) -> String {
    let mut xml = page
        .replacen("<!DOCTYPE html>", "", 1)
        .replace("<details open>", "<details open=\"\">")
        .replace(
            "<details class=\"reason\" open>",
            "<details class=\"reason\" open=\"\">",
        );
    for void in ["<meta ", "<br"] {
        let mut closed = String::new();
        let mut rest = xml.as_str();
        while let Some(at) = rest.find(void) {
            let end = at + rest[at..].find('>').expect("a tag ends");
            closed.push_str(&rest[..end]);
            closed.push('/');
            rest = &rest[end..];
        }
        closed.push_str(rest);
        xml = closed;
    }
    xml
}

#[test]
fn the_page_is_well_formed_and_every_link_has_its_target() {
    for made in [
        small(),
        without_orders(),
        shapes::shaped(),
        heat::heated(),
        heat::by_hand(),
        beside::moist(),
    ] {
        let page = made.html();
        let xml = as_xml(&page);
        let document = roxmltree::Document::parse(&xml).unwrap_or_else(|e| panic!("{e}"));
        let mut ids = std::collections::BTreeSet::new();
        for node in document.descendants() {
            if let Some(id) = node.attribute("id") {
                assert!(ids.insert(id.to_owned()), "{id} stands twice");
            }
        }
        let links: Vec<&str> = document
            .descendants()
            .filter_map(|node| node.attribute("href"))
            .collect();
        assert!(
            links.iter().all(|link| link.starts_with('#')),
            "a link leads out of the page"
        );
        for link in &links {
            assert!(ids.contains(&link[1..]), "{link} leads nowhere");
        }
        for table in document
            .descendants()
            .filter(|node| node.has_tag_name("table"))
        {
            assert!(
                table.children().any(|child| child.has_tag_name("caption")),
                "a table without caption"
            );
            let columns = table
                .descendants()
                .filter(|n| n.attribute("scope") == Some("col"))
                .count();
            for row in table
                .descendants()
                .filter(|n| n.has_tag_name("tbody"))
                .flat_map(|b| b.children())
            {
                assert_eq!(
                    row.children().filter(roxmltree::Node::is_element).count(),
                    columns
                );
            }
        }
        assert_eq!(
            made.plan.figures.iter().count(),
            page.matches("class=\"tree\"").count()
        );
    }
}

#[test]
fn figures_in_the_text_lead_to_their_derivation() {
    let page = small().html();
    // 200 shelves at 96 % and half a plank each: more than 104 planks, so 110 in tens.
    assert!(page.contains("href=\"#why-plank-to-buy\""), "no link");
    assert!(page.contains("id=\"why-plank-to-buy\""), "no target");
}

#[test]
fn nothing_is_fetched_and_everything_is_escaped() {
    let page = small().html();
    // The page may carry the address of the SVG name space and of nothing else.
    let outside = page.replace("http://www.w3.org/2000/svg", "");
    assert!(
        !outside.contains("http:") && !outside.contains("https:") && !outside.contains("<script")
    );
    assert!(page.contains("A &amp; B &lt;Works&gt;") && !page.contains("<Works>"));
    assert!(page.contains("Hurl &lt;Timber&gt;") && !page.contains("<Timber>"));
}

#[test]
fn no_output_has_a_number_that_is_none() {
    for made in [
        small(),
        without_orders(),
        shapes::shaped(),
        heat::heated(),
        heat::by_hand(),
        beside::moist(),
    ] {
        let mut outputs = made.texts();
        outputs.extend([made.html(), made.json()]);
        for output in outputs {
            let words = output.split(|c: char| !c.is_ascii_alphanumeric());
            assert!(
                !words.clone().any(|word| word == "NaN" || word == "inf"),
                "{output}"
            );
        }
    }
}

fn rows(bytes: Vec<u8>, sheet: &str) -> Vec<Vec<Data>> {
    let mut book = calamine::open_workbook_auto_from_rs(Cursor::new(bytes)).unwrap();
    let range = book.worksheet_range(sheet).unwrap();
    range.rows().map(<[Data]>::to_vec).collect()
}

#[test]
fn the_workbook_opens_and_holds_the_figures_of_the_plan() {
    let made = small();
    let bytes = xlsx(&made.works, &made.plan, &made.sources).unwrap();
    let names = calamine::open_workbook_auto_from_rs(Cursor::new(bytes.clone()))
        .unwrap()
        .sheet_names();
    let expected =
        "Summary,To buy,To start,Orders,Material,Load,Crews,Weeks,Cost,Stated-measured,Figures";
    assert_eq!(names.join(","), expected);
    let figures = rows(bytes.clone(), "Figures");
    for figure in made.plan.figures.iter() {
        let row = figures
            .iter()
            .find(|row| row[0] == Data::String(figure.key.clone()))
            .unwrap();
        let shown = figure.unit.of(figure.value);
        if shown.is_finite() {
            let Data::Float(value) = row[1] else {
                panic!("{} is no number", figure.key)
            };
            assert!(
                (value - shown).abs() <= 1e-9 * shown.abs(),
                "{}: {value} for {shown}",
                figure.key
            );
        }
    }
    let orders = rows(bytes.clone(), "Orders");
    // A customer that looks like a formula stays words.
    assert_eq!(orders[2][1], Data::String("=1+1".into()));
    assert!(
        matches!(orders[2][4], Data::DateTime(_)),
        "a due date is a date"
    );
    let buy = rows(bytes, "To buy");
    let (line, total) = (&buy[2], buy.last().unwrap());
    assert_eq!(line[7], total[7], "one line, so the sum is its cost");
}

#[test]
fn the_same_plan_gives_the_same_bytes() {
    let (a, b) = (small(), small());
    assert_eq!(
        xlsx(&a.works, &a.plan, &a.sources).unwrap(),
        xlsx(&b.works, &b.plan, &b.sources).unwrap()
    );
    assert_eq!(a.html(), b.html());
    assert_eq!(a.json(), b.json());
}

#[test]
fn data_says_its_format_first_and_reads_back() {
    let made = small();
    let text = made.json();
    assert!(text.starts_with(&format!("{{\"format\":\"{FORMAT}\"")));
    let read: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!(format!("{}\n", serde_json::to_string(&read).unwrap()), text);
    for figure in read["figures"].as_array().unwrap() {
        let node = figure["node"].as_u64().unwrap() as usize;
        assert_eq!(
            read["ledger"]["nodes"][node][1], figure["value"],
            "{figure}"
        );
    }
    for (part, field) in [
        (PlanPart::Stock, "material"),
        (PlanPart::Load, "load"),
        (PlanPart::Cost, "cost"),
    ] {
        let part = json_of(&made.works, &made.plan, &made.sources, part);
        let part: serde_json::Value = serde_json::from_str(&part).unwrap();
        assert_eq!(part[field], read[field]);
        let others = ["material", "load", "cost"]
            .iter()
            .filter(|other| **other != field);
        assert!(others.into_iter().all(|other| part.get(other).is_none()));
    }
}

#[test]
fn the_summary_is_short_and_says_what_matters() {
    let made = small();
    let text = &made.texts()[0];
    assert!(text.lines().count() <= 30, "{text}");
    assert!(
        text.lines().all(|line| line.chars().count() <= 100),
        "{text}"
    );
    for words in [
        "plank",
        "shelf",
        "saw",
        "At 95 %",
        "Order first by      2026-11-30",
    ] {
        assert!(text.contains(words), "{words} is missing in\n{text}");
    }
}

#[test]
fn a_works_without_orders_has_its_page() {
    let made = without_orders();
    let page = made.html();
    assert!(
        page.contains("There are no orders in the plan.")
            && page.contains("Nothing has to be bought.")
    );
    assert!(xlsx(&made.works, &made.plan, &made.sources).is_ok());
    assert!(made.texts().iter().all(|text| !text.is_empty()));
}

#[test]
fn an_order_is_at_risk_when_its_parts_or_hours_come_too_late() {
    // Planks take 7 days from 2026-11-25; due 2026-11-30 they would have had to be ordered on the
    // 23rd. 3,000 shelves at 4.33 min ÷ 0.96 are 226 h of a saw that is open 40 h a week.
    let orders = "order,item,quantity,due\nA1,shelf,10,2026-11-30\nA2,shelf,3000,2026-12-18\n";
    let made = made(&[
        ("works.toml", WORKS),
        ("routes/shelf.toml", ROUTE),
        ("orders.csv", orders),
    ]);
    let page = made.html();
    assert!(page.contains("plank would have to be ordered already"));
    assert!(page.contains("saw is asked for") && page.contains("of its open hours until then"));
    let summary = &made.texts()[0];
    assert!(summary.contains("2 of them at risk"), "{summary}");
    let calm = small();
    assert!(!calm.html().contains("Orders at risk"));
}
