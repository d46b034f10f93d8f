//! Reading `works.toml` and the TOML files beside it.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;
use jiff::tz::TimeZone;
use quantity::{Dimension, Expect, Unit, Units};

use super::names::Names;
use super::route;
use super::table::{Notes, Table, Value, Word, unit};
use super::{Parsed, orders};
use crate::calendar::Calendar;
use crate::diagnostic::Diagnostic;
use crate::format;
use crate::model::{
    Assumptions, Buy, CalendarId, Changeover, Crew, Hazard, HazardId, Item, ItemId, Material,
    PriceBreak, Skill, SkillId, Stated, Station, Stops, Works,
};
use crate::source::{Files, Sources, Span};

/// Everything that has been declared so far; routes and orders are read against it.
pub(crate) struct Declared {
    pub(crate) currency: String,
    pub(crate) calendar_names: Names,
    pub(crate) skill_names: Names,
    pub(crate) crew_names: Names,
    pub(crate) station_names: Names,
    pub(crate) item_names: Names,
    pub(crate) hazard_names: Names,
    pub(crate) material_names: Names,
    pub(crate) calendars: Vec<Calendar>,
    pub(crate) skills: Vec<Skill>,
    pub(crate) crews: Vec<Crew>,
    pub(crate) stations: Vec<Station>,
    pub(crate) items: Vec<Item>,
    pub(crate) hazards: Vec<Hazard>,
    pub(crate) materials: Vec<Material>,
    /// Items whose unit nobody has said yet; a route may still say it.
    pub(crate) without_unit: BTreeSet<ItemId>,
    /// Where a route says that it makes an item.
    pub(crate) product_at: BTreeMap<ItemId, Span>,
    /// Where an operation on the way through a route makes an item.
    pub(crate) made_at: BTreeMap<ItemId, Span>,
}

impl Declared {
    fn new(currency: String) -> Self {
        Self {
            currency,
            calendar_names: Names::new("calendar", "declare it as [calendar.\"NAME\"]"),
            skill_names: Names::new("skill", "give it to a crew: skills = [\"NAME\"]"),
            crew_names: Names::new("crew", "declare it as [crew.\"NAME\"]"),
            station_names: Names::new("station", "declare it as [station.\"NAME\"]"),
            item_names: Names::new("item", "declare it as [item.\"NAME\"]"),
            hazard_names: Names::new("hazard", "declare it as [hazard.\"NAME\"]"),
            material_names: Names::new("material", "declare it as [material.\"NAME\"]"),
            calendars: Vec::new(),
            skills: Vec::new(),
            crews: Vec::new(),
            stations: Vec::new(),
            items: Vec::new(),
            hazards: Vec::new(),
            materials: Vec::new(),
            without_unit: BTreeSet::new(),
            product_at: BTreeMap::new(),
            made_at: BTreeMap::new(),
        }
    }

    /// The dimension of money.
    pub(crate) fn money(&self) -> Dimension {
        Dimension::money(&self.currency)
    }

    /// Hazards named in a list.
    pub(crate) fn hazards_of(&self, notes: &mut Notes, words: &[Word]) -> Vec<HazardId> {
        words
            .iter()
            .filter_map(|w| self.hazard_names.find(notes, w))
            .map(HazardId)
            .collect()
    }

    /// People by skill.
    pub(crate) fn people(&self, notes: &mut Notes, value: Value<'_>) -> Vec<(SkillId, f64)> {
        let mut people = Vec::new();
        for (skill, number) in value.entries(notes, "skills and numbers of people") {
            let id = self.skill_names.find(notes, &skill);
            let number = number
                .stated(notes, Expect::Number)
                .and_then(|n| super::table::not_negative(notes, "people", n));
            if let (Some(id), Some(number)) = (id, number) {
                people.push((SkillId(id), number.mean()));
            }
        }
        people
    }

    /// Adds an item that was not declared by name before.
    pub(crate) fn add_item(&mut self, notes: &mut Notes, name: Word, unit: Unit) -> ItemId {
        self.item_names.declare(notes, &name, self.items.len());
        self.add_unnamed(name, unit)
    }

    /// Adds an item that nobody can name: what an operation passes on without saying as what.
    pub(crate) fn add_unnamed(&mut self, name: Word, unit: Unit) -> ItemId {
        let id = self.items.len();
        self.items.push(Item {
            name: name.text,
            at: name.at,
            unit,
            buy: None,
            worth: None,
            mass: None,
            attributes: BTreeMap::new(),
            keeps_for: None,
            route: None,
            made_by: None,
            left_over_somewhere: false,
            note: None,
        });
        ItemId(id)
    }
}

/// Reads everything; none only if there is not even a `[works]` table.
pub(super) fn read(
    files: &Files,
    main: &Parsed<'_>,
    parsed: &[Parsed<'_>],
    sources: &mut Sources,
    notes: &mut Notes,
) -> Option<Works> {
    let tops: Vec<Table<'_>> = parsed
        .iter()
        .filter(|p| !p.path.contains('/'))
        .map(|p| top(notes, p))
        .collect();
    let top = tops.iter().find(|t| t.file == main.file)?;
    for other in tops.iter().filter(|t| t.file != main.file) {
        only_in_main(notes, other);
    }
    let main_at = Span::new(main.file, 0..0);
    let head = top
        .need(notes, "works")?
        .table(notes, by_name(&format::WORKS, "works"))?;
    let name = head.need_text(notes, "name");
    let time_zone = time_zone(notes, &head);
    let currency = currency(notes, &head);
    units(notes, &head, &tops);
    let mut declared = Declared::new(currency);
    calendars_and_people(notes, &tops, &mut declared, main_at);
    let mut tables = Vec::new();
    for top in &tops {
        tables.extend(declare_items(notes, top, &mut declared));
    }
    let outlines = route::outline(notes, parsed, &mut declared);
    for (id, table) in &tables {
        declared.items[id.0] = item(notes, table, &declared, *id);
    }
    for top in &tops {
        stations(notes, top, &mut declared);
    }
    let shelves = super::shelves::read(files, sources, notes);
    let routes = route::read(notes, &outlines, &mut declared, &shelves);
    let books = orders::read(files, sources, notes, &declared, &routes);
    let assumptions = assumptions(notes, top, &declared);
    Some(Works {
        name: name.map_or_else(String::new, |word| word.text),
        note: head.text(notes, "note").map(|word| word.text),
        time_zone,
        currency: declared.currency,
        units: notes.units.clone(),
        calendars: declared.calendars,
        skills: declared.skills,
        crews: declared.crews,
        stations: declared.stations,
        items: declared.items,
        hazards: declared.hazards,
        routes: routes.routes,
        operations: routes.operations,
        orders: books.orders,
        stock: books.stock,
        readings: books.readings,
        materials: declared.materials,
        logs: shelves.log_list,
        weighings: shelves.weighing_list,
        assumptions,
    })
}

fn top<'t>(notes: &mut Notes, parsed: &'t Parsed<'t>) -> Table<'t> {
    let at = Span::new(parsed.file, 0..0);
    Table::open(
        notes,
        &format::WORKS,
        parsed.file,
        at,
        parsed.table.get_ref(),
    )
}

/// Complains about what only `works.toml` may say, since it would go unread elsewhere.
fn only_in_main(notes: &mut Notes, top: &Table<'_>) {
    for name in ["works", "plan"] {
        if let Some(at) = top.key_at(name) {
            notes.push(
                Diagnostic::fault(
                    "unknown-key",
                    at,
                    format!("only works.toml may have `[{name}]`"),
                )
                .help("move it there"),
            );
        }
    }
}

/// The section behind a key of the format's table.
pub(crate) fn by_name(section: &'static format::Section, key: &str) -> &'static format::Section {
    fn inside(kind: &'static format::Kind) -> Option<&'static format::Section> {
        match kind {
            format::Kind::Table(section) | format::Kind::Tables(section) => Some(section),
            format::Kind::Map(_, inner) => inside(inner),
            format::Kind::Either(kinds) => kinds.iter().find_map(inside),
            _ => None,
        }
    }
    section
        .key(key)
        .and_then(|key| inside(&key.kind))
        .expect("the key is in the format's table with a section behind it")
}

fn time_zone(notes: &mut Notes, head: &Table<'_>) -> TimeZone {
    let Some(word) = head.need_text(notes, "time_zone") else {
        return TimeZone::UTC;
    };
    TimeZone::get(&word.text).unwrap_or_else(|_| {
        notes.push(
            Diagnostic::fault(
                "unknown-time-zone",
                word.at,
                format!("no time zone is called `{}`", word.text),
            )
            .help("an IANA name such as Europe/London or America/Chicago"),
        );
        TimeZone::UTC
    })
}

fn currency(notes: &mut Notes, head: &Table<'_>) -> String {
    let Some(word) = head.need_text(notes, "currency") else {
        return "GBP".to_owned();
    };
    let known = notes
        .units
        .parse_unit(&word.text)
        .is_ok_and(|unit| *unit.dimension() == Dimension::money(&word.text));
    if !known {
        notes.push(
            Diagnostic::fault(
                "unknown-currency",
                word.at,
                format!("no currency is called `{}`", word.text),
            )
            .help("an ISO 4217 code such as GBP, EUR or USD"),
        );
        return "GBP".to_owned();
    }
    word.text
}

/// Declares the counts and units of the works' own.
fn units(notes: &mut Notes, head: &Table<'_>, tops: &[Table<'_>]) {
    for count in head.texts(notes, "counts") {
        if let Err(fault) = notes.units.declare_count(&count.text) {
            let fault = fault.to_string();
            notes.push(Diagnostic::fault("bad-unit-name", count.at, fault));
        }
    }
    let values = tops.iter().filter_map(|top| top.get("units"));
    for value in values {
        for (name, meaning) in value.entries(notes, "units") {
            let Some(meaning) = meaning.text(notes) else {
                continue;
            };
            if let Err(fault) = notes.units.declare(&name.text, &meaning.text) {
                notes.push(Diagnostic::fault("bad-unit", meaning.at, fault.to_string()));
            }
        }
    }
}

/// Reads what nothing else needs to be known for: calendars and hazards, then crews.
fn calendars_and_people(
    notes: &mut Notes,
    tops: &[Table<'_>],
    declared: &mut Declared,
    main_at: Span,
) {
    for top in tops {
        calendars(notes, top, declared);
        hazards(notes, top, declared);
        materials(notes, top, declared);
    }
    if declared.calendars.is_empty() {
        // Whatever names a calendar that is not there still needs one to stand in for it.
        declared.calendars.push(Calendar::always("always", main_at));
    }
    common_hazards(declared);
    for top in tops {
        crews(notes, top, declared);
    }
}

/// The tables `[KIND.NAME]` of a top-level file.
fn named<'t>(notes: &mut Notes, top: &Table<'t>, kind: &'static str) -> Vec<(Word, Table<'t>)> {
    let Some(value) = top.get(kind) else {
        return Vec::new();
    };
    let section = by_name(&format::WORKS, kind);
    value
        .entries(notes, section.name)
        .into_iter()
        .filter_map(|(name, value)| {
            let mut table = value.table(notes, section)?;
            // Missing keys are reported at the name, which is easier to find than a table's body.
            table.at = name.at;
            Some((name, table))
        })
        .collect()
}

fn calendars(notes: &mut Notes, top: &Table<'_>, declared: &mut Declared) {
    for (name, table) in named(notes, top, "calendar") {
        if !declared
            .calendar_names
            .declare(notes, &name, declared.calendars.len())
        {
            continue;
        }
        let calendar = super::calendar::read(notes, &name, &table);
        declared.calendars.push(calendar);
    }
}

fn hazards(notes: &mut Notes, top: &Table<'_>, declared: &mut Declared) {
    for (name, table) in named(notes, top, "hazard") {
        if !declared
            .hazard_names
            .declare(notes, &name, declared.hazards.len())
        {
            continue;
        }
        let caution = table
            .need_text(notes, "caution")
            .map_or_else(String::new, |w| w.text);
        let defer_to = table.text(notes, "defer_to").map_or_else(
            || "local codes and a licensed or competent person".to_owned(),
            |word| word.text,
        );
        declared.hazards.push(Hazard {
            name: name.text,
            caution,
            defer_to,
        });
    }
}

fn materials(notes: &mut Notes, top: &Table<'_>, declared: &mut Declared) {
    for (name, table) in named(notes, top, "material") {
        if !declared
            .material_names
            .declare(notes, &name, declared.materials.len())
        {
            continue;
        }
        let material = super::materials::read(notes, &name, &table);
        declared.materials.push(material);
    }
}

/// Adds the common hazards that the works does not declare itself.
fn common_hazards(declared: &mut Declared) {
    for common in crate::cautions::COMMON {
        if declared.hazard_names.get(common.name).is_some() {
            continue;
        }
        let nowhere = Span {
            file: crate::source::FileId(0),
            start: 0,
            end: 0,
        };
        let word = Word {
            text: common.name.to_owned(),
            at: nowhere,
        };
        declared.hazard_names.insert(&word, declared.hazards.len());
        declared.hazards.push(Hazard {
            name: word.text,
            caution: common.caution.to_owned(),
            defer_to: common.defer_to.to_owned(),
        });
    }
}

/// A calendar by name; the first one stands in for one that is not known.
fn calendar_of(notes: &mut Notes, table: &Table<'_>, declared: &Declared) -> CalendarId {
    let id = table
        .need_text(notes, "calendar")
        .and_then(|word| declared.calendar_names.find(notes, &word));
    CalendarId(id.unwrap_or(0))
}

fn per_time(money: &Dimension) -> Dimension {
    money.over(&Dimension::TIME)
}

fn crews(notes: &mut Notes, top: &Table<'_>, declared: &mut Declared) {
    for (name, table) in named(notes, top, "crew") {
        if !declared
            .crew_names
            .declare(notes, &name, declared.crews.len())
        {
            continue;
        }
        let _ = table.need(notes, "people");
        // A number that could not be read must not leave the skills of the crew without anybody.
        let people = table.whole(notes, "people", 0).unwrap_or(1) as u32;
        let calendar = calendar_of(notes, &table, declared);
        let mut words = table.texts(notes, "skills");
        if words.is_empty() {
            words.push(name.clone());
        }
        let skills = words.iter().map(|word| skill(declared, word)).collect();
        let cost = table.not_negative(
            notes,
            "cost",
            Expect::Dimension(&per_time(&declared.money())),
        );
        let attendance = table.share(notes, "attendance");
        table.text(notes, "note");
        declared.crews.push(Crew {
            name: name.text,
            at: name.at,
            people,
            calendar,
            skills,
            cost,
            attendance,
        });
    }
}

/// The number of a skill, new if no crew had it yet.
fn skill(declared: &mut Declared, word: &Word) -> SkillId {
    let number = declared.skill_names.get(&word.text).unwrap_or_else(|| {
        declared.skills.push(Skill {
            name: word.text.clone(),
        });
        let number = declared.skills.len() - 1;
        declared.skill_names.insert(word, number);
        number
    });
    SkillId(number)
}

/// Declares the items of a file; their tables are read once the units of products are known too.
fn declare_items<'t>(
    notes: &mut Notes,
    top: &Table<'t>,
    declared: &mut Declared,
) -> Vec<(ItemId, Table<'t>)> {
    let mut tables = Vec::new();
    for (name, table) in named(notes, top, "item") {
        if declared.item_names.get(&name.text).is_some() {
            declared.item_names.declare(notes, &name, 0);
            continue;
        }
        let unit = table
            .text(notes, "unit")
            .and_then(|word| unit(notes, &word));
        let pending = unit.is_none() && table.get("unit").is_none();
        let id = declared.add_item(notes, name, unit.unwrap_or_else(|| each(&notes.units)));
        if pending {
            declared.without_unit.insert(id);
        }
        tables.push((id, table));
    }
    tables
}

/// The unit `each`.
pub(crate) fn each(units: &Units) -> Unit {
    units.parse_unit("each").expect("each is a standard unit")
}

/// Reads what an item's table says beyond its unit.
fn item(notes: &mut Notes, table: &Table<'_>, declared: &Declared, id: ItemId) -> Item {
    let mut item = declared.items[id.0].clone();
    if declared.without_unit.contains(&id) {
        notes.push(
            Diagnostic::fault(
                "missing-key",
                item.at,
                format!("item `{}` needs `unit`", item.name),
            )
            .help("for example unit = \"kg\"; a product may say it in its route"),
        );
    }
    item.note = table.text(notes, "note").map(|word| word.text);
    if let Some(value) = table.get("attributes") {
        item.attributes.extend(attributes(notes, value));
    }
    let keeps_for = table.positive(notes, "keeps_for", Expect::Dimension(&Dimension::TIME));
    item.keeps_for = keeps_for.or(item.keeps_for);
    item.buy = table
        .get("buy")
        .and_then(|value| buy(notes, value, declared, &item.unit));
    item.worth = price(notes, table, "worth", declared, &item.unit).or(item.worth);
    item.mass = mass(notes, table, &item.unit).or(item.mass);
    item
}

/// Attributes as texts.
pub(crate) fn attributes(notes: &mut Notes, value: Value<'_>) -> BTreeMap<String, String> {
    value
        .entries(notes, "attributes")
        .into_iter()
        .filter_map(|(name, value)| Some((name.text, value.text(notes)?.text)))
        .collect()
}

/// Money per base unit of an item; plain money is per one unit as the item counts it.
pub(crate) fn price(
    notes: &mut Notes,
    table: &Table<'_>,
    key: &'static str,
    declared: &Declared,
    unit: &Unit,
) -> Option<Stated> {
    let stated = super::amounts::per_item_unit(notes, table.get(key)?, &declared.money(), unit)?;
    if key == "price" {
        return super::table::not_negative(notes, key, stated);
    }
    Some(stated)
}

/// Kilograms per base unit of an item; a plain mass is of one unit as the item counts it.
pub(crate) fn mass(notes: &mut Notes, table: &Table<'_>, unit: &Unit) -> Option<Stated> {
    let stated = super::amounts::per_item_unit(notes, table.get("mass")?, &Dimension::MASS, unit)?;
    super::table::positive(notes, "mass", stated)
}

fn buy(notes: &mut Notes, value: Value<'_>, declared: &Declared, unit: &Unit) -> Option<Buy> {
    let table = value.table(notes, by_name(by_name(&format::WORKS, "item"), "buy"))?;
    let amount = Expect::Dimension(unit.dimension());
    table.need(notes, "price")?;
    let price = price(notes, &table, "price", declared, unit)?;
    let pack = table.positive(notes, "pack", amount);
    let minimum = table.positive(notes, "minimum", amount);
    let lead = table.not_negative(notes, "lead", Expect::Dimension(&Dimension::TIME));
    let supplier = table.text(notes, "supplier").map(|word| word.text);
    let breaks = price_breaks(notes, &table, declared, unit);
    let is_counted = unit.dimension().as_count().is_some();
    if let Some(pack) = pack.as_ref().filter(|_| !is_counted)
        && is_plain_money(notes, &table, &declared.money())
    {
        notes.push(price_of_what(&price, pack, unit));
    }
    Some(Buy {
        price,
        pack,
        minimum,
        lead,
        breaks,
        supplier,
    })
}

/// Whether a price is written without saying of how much.
fn is_plain_money(notes: &Notes, table: &Table<'_>, money: &Dimension) -> bool {
    let word = table.get("price").and_then(Value::as_text);
    let expect = Expect::Dimension(money);
    word.is_some_and(|word| quantity::read(&word.text, &notes.units, expect).is_ok())
}

/// A plain price beside a pack of something measured may be meant for the pack.
fn price_of_what(price: &Stated, pack: &Stated, unit: &Unit) -> Diagnostic {
    let symbol = unit.symbol();
    let pack_text = quantity::show(pack.mean(), &pack.unit);
    Diagnostic::fault(
        "wrong-dimension",
        price.at,
        format!("is this the price of one {symbol}, or of a pack of {pack_text}?"),
    )
    .sides(format!("money per {symbol}"), "money alone")
    .other(pack.at, "the pack")
    .help(format!(
        "write the price per unit, such as 3.20 GBP/{symbol} or 64 GBP/{pack_text}"
    ))
}

fn price_breaks(
    notes: &mut Notes,
    table: &Table<'_>,
    declared: &Declared,
    unit: &Unit,
) -> Vec<PriceBreak> {
    let Some(list) = table.get("breaks") else {
        return Vec::new();
    };
    let section = by_name(table.section, "breaks");
    let mut breaks: Vec<PriceBreak> = Vec::new();
    for value in list.list() {
        let Some(table) = value.table(notes, section) else {
            continue;
        };
        let from = table
            .need(notes, "from")
            .and_then(|_| table.positive(notes, "from", Expect::Dimension(unit.dimension())));
        let price = table
            .need(notes, "price")
            .and_then(|_| price(notes, &table, "price", declared, unit));
        if let (Some(from), Some(price)) = (from, price) {
            breaks.push(PriceBreak { from, price });
        }
    }
    breaks.sort_by(|a, b| a.from.mean().total_cmp(&b.from.mean()));
    breaks
}

fn stations(notes: &mut Notes, top: &Table<'_>, declared: &mut Declared) {
    for (name, table) in named(notes, top, "station") {
        if !declared
            .station_names
            .declare(notes, &name, declared.stations.len())
        {
            continue;
        }
        let money = declared.money();
        let station = Station {
            at: name.at,
            name: name.text,
            count: table.whole(notes, "count", 1).unwrap_or(1) as u32,
            calendar: calendar_of(notes, &table, declared),
            people: table
                .get("people")
                .map(|v| declared.people(notes, v))
                .unwrap_or_default(),
            cost: table.not_negative(notes, "cost", Expect::Dimension(&per_time(&money))),
            power: table.not_negative(notes, "power", Expect::Dimension(&power())),
            stops: table.get("stops").and_then(|value| stops(notes, value)),
            changeovers: changeovers(notes, &table, declared),
            mixes_only: table
                .texts(notes, "mixes_only")
                .into_iter()
                .map(|w| w.text)
                .collect(),
            drilling: route::drilling_machine(notes, &table).map(Box::new),
            heat: super::chambers::chamber(notes, &table).map(Box::new),
            moulding: super::chambers::moulding(notes, &table).map(Box::new),
            hazards: {
                let words = table.texts(notes, "hazards");
                declared.hazards_of(notes, &words)
            },
            note: table.text(notes, "note").map(|word| word.text),
        };
        declared.stations.push(station);
    }
}

fn power() -> Dimension {
    energy().over(&Dimension::TIME)
}

/// The dimension of energy: mass · length² / time².
pub(crate) fn energy() -> Dimension {
    Dimension::MASS
        .times(&Dimension::LENGTH.power(2))
        .over(&Dimension::TIME.power(2))
}

fn stops(notes: &mut Notes, value: Value<'_>) -> Option<Stops> {
    let table = value.table(notes, by_name(by_name(&format::WORKS, "station"), "stops"))?;
    let time = Expect::Dimension(&Dimension::TIME);
    table.need(notes, "run");
    table.need(notes, "repair");
    let run = table.positive(notes, "run", time)?;
    let repair = table.not_negative(notes, "repair", time)?;
    Some(Stops { run, repair })
}

fn changeovers(notes: &mut Notes, table: &Table<'_>, declared: &Declared) -> Vec<Changeover> {
    let Some(list) = table.get("changeover") else {
        return Vec::new();
    };
    let section = by_name(table.section, "changeover");
    let mut changeovers = Vec::new();
    for value in list.list() {
        let Some(table) = value.table(notes, section) else {
            continue;
        };
        let on = table.need_text(notes, "on");
        table.need(notes, "time");
        let time = table.not_negative(notes, "time", Expect::Dimension(&Dimension::TIME));
        let from = table.text(notes, "from").map(|word| word.text);
        let to = table.text(notes, "to").map(|word| word.text);
        let uses = table
            .get("uses")
            .map(|v| uses(notes, v, declared))
            .unwrap_or_default();
        if let (Some(on), Some(time)) = (on, time) {
            changeovers.push(Changeover {
                on: on.text,
                from,
                to,
                time,
                uses,
                at: value.at(),
            });
        }
    }
    changeovers
}

fn uses(notes: &mut Notes, value: Value<'_>, declared: &Declared) -> Vec<(ItemId, Stated)> {
    value
        .entries(notes, "items and amounts")
        .into_iter()
        .filter_map(|(name, amount)| {
            let id = declared.item_names.find(notes, &name)?;
            let unit = declared.items[id].unit.clone();
            let amount = amount.stated(notes, Expect::Dimension(unit.dimension()))?;
            let amount = super::table::not_negative(notes, &name.text, amount)?;
            Some((ItemId(id), amount))
        })
        .collect()
}

fn assumptions(notes: &mut Notes, top: &Table<'_>, declared: &Declared) -> Assumptions {
    let mut assumptions = Assumptions {
        from: None,
        until: None,
        certainty: 0.95,
        quantities: Vec::new(),
        overhead: None,
        energy: None,
        prefer_measured: false,
        seed: 1,
    };
    let section = by_name(&format::WORKS, "plan");
    let Some(table) = top
        .get("plan")
        .and_then(|value| value.table(notes, section))
    else {
        return assumptions;
    };
    (assumptions.from, assumptions.until) = horizon(notes, &table);
    assumptions.certainty = certainty(notes, &table);
    assumptions.quantities = table
        .texts(notes, "quantities")
        .iter()
        .filter_map(|word| quantity_number(notes, word))
        .collect();
    assumptions.overhead = table
        .stated(notes, "overhead", Expect::Number)
        .and_then(|stated| super::table::not_negative(notes, "overhead", stated));
    let energy_price = declared.money().over(&energy());
    assumptions.energy = table.not_negative(notes, "energy", Expect::Dimension(&energy_price));
    assumptions.prefer_measured = numbers(notes, &table);
    assumptions.seed = table.whole(notes, "seed", 0).unwrap_or(1);
    assumptions
}

fn certainty(notes: &mut Notes, table: &Table<'_>) -> f64 {
    let Some(stated) = table.share(notes, "certainty") else {
        return 0.95;
    };
    let certainty = stated.mean();
    if !(0.5..1.0).contains(&certainty) {
        notes.push(
            Diagnostic::fault(
                "share-out-of-range",
                stated.at,
                "`certainty` is out of range",
            )
            .sides("50 % up to, not at, 100 %", quantity::show_share(certainty))
            .help("no start quantity makes an order wholly certain when yields vary"),
        );
        return 0.95;
    }
    certainty
}

fn quantity_number(notes: &mut Notes, word: &Word) -> Option<f64> {
    match quantity::read(&word.text, &notes.units, Expect::Number) {
        Ok(written) if written.mean() > 0.0 => Some(written.mean()),
        Ok(_) => {
            notes.push(Diagnostic::fault(
                "not-positive",
                word.at,
                "a quantity must be above zero",
            ));
            None
        }
        Err(fault) => {
            let at = word.part(&fault.range);
            notes.push(super::table::quantity_fault(fault, at));
            None
        }
    }
}

/// Whether measured numbers replace stated ones.
fn numbers(notes: &mut Notes, table: &Table<'_>) -> bool {
    table
        .text(notes, "numbers")
        .and_then(|word| {
            let options = [("stated", false), ("measured", true)];
            super::table::choice(notes, "numbers", &word, &options)
        })
        .unwrap_or(false)
}

/// First and last day of the plan.
fn horizon(notes: &mut Notes, table: &Table<'_>) -> (Option<Date>, Option<Date>) {
    let date = |notes: &mut Notes, key| {
        let word = table.text(notes, key)?;
        Some((parse_date(notes, &word)?, word.at))
    };
    let (from, until) = (date(notes, "from"), date(notes, "until"));
    if let (Some((from, first)), Some((until, at))) = (from, until)
        && until < from
    {
        notes.push(
            Diagnostic::fault("horizon-backwards", at, "the horizon ends before it begins")
                .sides(format!("a day on or after {from}"), until.to_string())
                .other(first, "begins here"),
        );
    }
    (from.map(|(date, _)| date), until.map(|(date, _)| date))
}

/// A date as `2026-12-24`.
pub(crate) fn parse_date(notes: &mut Notes, word: &Word) -> Option<Date> {
    let date = word.text.trim().parse::<Date>().ok();
    if date.is_none() {
        notes.push(bad_date(word));
    }
    date
}

/// The fault that a word is no date.
pub(crate) fn bad_date(word: &Word) -> Diagnostic {
    Diagnostic::fault("bad-date", word.at, "expected a date")
        .sides("a date such as 2026-12-24", format!("`{}`", word.text))
}
