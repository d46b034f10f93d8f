//! Every code a diagnostic may carry, with what it means: the page `docs/diagnostics.md` and
//! `linewright explain CODE` come from this table.

/// One code.
#[derive(Clone, Copy, Debug)]
pub struct Code {
    /// The stable name.
    pub code: &'static str,
    /// Fault, or only a warning.
    pub warning: bool,
    /// What it means and what to do, for the engineer.
    pub meaning: &'static str,
}

const fn fault(code: &'static str, meaning: &'static str) -> Code {
    Code {
        code,
        warning: false,
        meaning,
    }
}

const fn warning(code: &'static str, meaning: &'static str) -> Code {
    Code {
        code,
        warning: true,
        meaning,
    }
}

/// Every code, in alphabetical order.
pub const CODES: &[Code] = &[
    fault(
        "advance-unclear",
        "A drill's way in is said by halves or twice: `feed` goes with `speed`, and `plunge` stands for both.",
    ),
    fault(
        "amount-unknown",
        "Rejects become an item that is counted in another unit, and neither an amount nor the masses of both say how much one rejected unit becomes.",
    ),
    fault(
        "bad-date",
        "A date cannot be read. Dates are written year first: 2026-12-24.",
    ),
    fault(
        "bad-log",
        "A measured load or a table of weighed pieces cannot be used: no column `time`, no probes, too few rows, nothing that can be read, or weights that go back in time.",
    ),
    fault(
        "bad-shift",
        "A line of a calendar cannot be read. `Mon..Fri 06:00-14:00` is a shift, `daily 09:30-09:50` a break, `2026-12-24..2027-01-01` a closed time.",
    ),
    fault(
        "bad-spread",
        "A spread runs backwards or is written halfway: a range goes from low to high, three values are low / likely / high, and `+-` is followed by a standard deviation.",
    ),
    fault(
        "bad-table",
        "A CSV or XLSX file, or a row of it, cannot be read.",
    ),
    fault(
        "bad-time",
        "A time of day cannot be read. It is written on a clock of 24 hours: 06:00.",
    ),
    fault(
        "bad-unit",
        "A unit of the works' own is declared by something that is no quantity, by itself, or under a name that already means something.",
    ),
    fault(
        "bad-unit-name",
        "A count is declared under a name that is already a unit or that no unit can have.",
    ),
    fault(
        "board-two-sizes",
        "Rows of a table of boards give the same board two lengths or widths.",
    ),
    fault(
        "body-unclear",
        "A piece has a size that its form does not have, or layers where there can be none, or says twice what it is made of.",
    ),
    warning(
        "break-outside-shift",
        "A break lies outside every shift of its calendar, so that it takes no time off.",
    ),
    warning(
        "certainty-out-of-reach",
        "However much is started, the demand is not filled with the certainty asked for: lots differ too much. Ask for less certainty, or make lots more alike.",
    ),
    warning(
        "clamp-short",
        "The moulding machine holds the mould shut with less than the area of parts and runner times the pressure, and a tenth.",
    ),
    fault("column-twice", "Two columns of a table have the same name."),
    fault(
        "counts-impossible",
        "A reading counts more good pieces than were made, or a part of a piece.",
    ),
    fault(
        "critical-unchecked",
        "A setting is marked critical, but no check of the operation has its name. What the product depends on must be watched.",
    ),
    fault(
        "cut-impossible",
        "There is no cutting plan: a part is longer or wider than any stock, a frame cannot be folded, or sizes and numbers are beyond any saw.",
    ),
    fault(
        "cut-not-in-route",
        "A cut, or what fills holes, names an item that its operation neither takes nor passes on.",
    ),
    fault(
        "cut-unclear",
        "A cut lacks something, or says it twice: one of boards, bars and sheets; what is cut; which part; how long.",
    ),
    fault(
        "dead-end",
        "An operation makes something that no later operation takes, and that is not the route's product.",
    ),
    fault("declared-twice", "Two things of a kind have the same name."),
    fault(
        "demand-beyond-capacity",
        "The order book asks more hours of a station than it has in the horizon, even if it never stood still.",
    ),
    warning(
        "drill-not-timed",
        "The time of drilling was to replace the stated pace, and cannot be worked out: the station says nothing of its `drilling`, or a tool not how fast it goes in.",
    ),
    warning(
        "drying-untold",
        "Weighed pieces do not tell when as much is lost as is wanted: there are none or too few weighings, the loss has not begun to slow down, or it never goes so far. The stated time stands.",
    ),
    fault(
        "empty-cell",
        "A row lacks something that every row must say.",
    ),
    fault("empty-name", "A name is empty."),
    fault("empty-quantity", "A quantity is empty."),
    fault(
        "fill-impossible",
        "What is to go into the holes does not: a fibre is thicker than its hole, or more of the hole is to be filled than round fibres can.",
    ),
    warning(
        "fresh-air-short",
        "There is less fresh air than an estimate asks for to keep solvent vapour below its share of the lower limit. Enough by the estimate is no permission: the local code, the safety data sheet and a competent person decide.",
    ),
    fault(
        "heat-cannot",
        "What a recipe asks of a piece cannot be worked out: physics or the engine has no answer to it.",
    ),
    fault(
        "heat-no-dwell",
        "Heat, salt or solvent lasts as long as the dwell of the operation's pace, which has none; or a stage runs along a conveyor that the station does not have.",
    ),
    fault(
        "heat-unclear",
        "Something of heat, salt, drying, solvent or moulding is lacking, or said twice: how heat gets to the face, how long two stages last, how much salt or solvent there is, how damp the air is, how the melt cools.",
    ),
    fault(
        "hole-breaks-rule",
        "A hole comes closer to the edge, to another hole or to the far face than the rules of the part allow, or does not fit on its face.",
    ),
    fault(
        "holes-impossible",
        "The holes cannot be laid: the outline encloses no face, a pattern has no sense, or there are more holes than any part can have.",
    ),
    fault(
        "horizon-backwards",
        "The horizon of the plan ends before it begins.",
    ),
    fault(
        "item-from-nowhere",
        "An operation takes an item that nobody buys, makes or leaves over, and of which there is no stock.",
    ),
    fault(
        "left-over-short",
        "More of something that only arises beside other things is wanted than arises, and nobody says how it is bought.",
    ),
    fault(
        "limit-one-sided",
        "A limit to both sides has one value. Write a range, or use `at_least` or `at_most`.",
    ),
    fault(
        "limits-crossed",
        "The lower limit of a check or a need lies above the upper one, or they measure different things.",
    ),
    warning(
        "load-held",
        "A measured load does not show every need to be met: a probe missed a limit, or none sat where the need is about. A competent person decides what becomes of the load.",
    ),
    warning(
        "load-too-empty",
        "The last load of a lot is emptier than the least that the load is worth starting for, its `at_least`. Choose a lot that fills its loads.",
    ),
    warning(
        "log-gaps",
        "Probes of a measured load have no reading in some rows: the cell is empty, holds no number, or a number that no probe reads. The gaps are bridged, or the probe counts for less.",
    ),
    warning(
        "log-left-out",
        "Rows or columns of a measured load are left out: a time that cannot be read or does not go on, a row with more cells than there are columns, a column that holds no temperatures.",
    ),
    fault(
        "loop-no-exit",
        "Units or material go round a loop from which nothing comes out: what goes back is as much as what goes in.",
    ),
    fault(
        "loop-unsettled",
        "The amounts of the works do not settle: left-overs stand in for each other in a ring, or numbers are so large that no balance can be found.",
    ),
    fault(
        "lots-too-wide",
        "The spread between lots is larger than any share between 0 and 100 % with that mean can have.",
    ),
    fault(
        "made-twice",
        "Two routes, or two operations of different routes, make the same item.",
    ),
    fault(
        "makes-two",
        "An operation makes one thing; what comes out beside it belongs into `also`.",
    ),
    fault(
        "mark-backwards",
        "A marked fault or a splice ends before it begins, or has no size.",
    ),
    fault(
        "mark-off-board",
        "A marked fault lies off its board, or a splice off its bar or reel.",
    ),
    fault(
        "mass-gain",
        "More mass comes out of an operation than goes in. An amount, a mass or a yield is wrong, or something taken is not written down.",
    ),
    warning(
        "mass-unexplained",
        "Mass goes missing at an operation and nothing says as what. Name it with `lost_as`, or correct the amounts.",
    ),
    fault(
        "material-unclear",
        "A material lacks something that heat needs to know, or says it twice: it starts from a known one, from the parts of a food, or from density, conductivity and heat capacity; melting is said with its temperature and its heat.",
    ),
    fault(
        "missing-column",
        "A table lacks a column that it must have.",
    ),
    fault("missing-key", "Something that must be said is not."),
    fault(
        "missing-unit",
        "A number stands where a quantity with a unit is expected.",
    ),
    warning(
        "need-missed",
        "A recipe, as stated, does not do to the slowest or the fastest piece what it must: heat, salt or drying misses a limit, a moulding is not cold enough at the end of its cycle, or melt stays too short or too long in the barrel.",
    ),
    fault(
        "need-unclear",
        "A need does not say what it is about: it has no measure or several, no limit or one that its measure does not have.",
    ),
    fault("negative", "A number that cannot be below zero is."),
    fault("never-open", "A calendar has no working time at all."),
    fault(
        "never-staffed",
        "A station is open only when the people whom an operation needs there are not at work, so that it can never run. Give it a calendar that its people work in, or a crew that works in its hours.",
    ),
    fault(
        "no-holes",
        "An operation fills the holes of another that drills none.",
    ),
    warning(
        "no-pace",
        "An operation stands at a station but does not say how long it takes, so that it loads nobody.",
    ),
    fault("no-works", "The folder has no works.toml."),
    fault(
        "not-a-count",
        "A whole number in a sensible range was expected.",
    ),
    fault("not-a-number", "A number cannot be read."),
    fault(
        "not-finite",
        "A number is too large or too small for any works, or is no number.",
    ),
    fault("not-positive", "A number that must be above zero is not."),
    fault(
        "not-taken",
        "Salt or solvent is an item that its operation does not take.",
    ),
    fault(
        "not-toml",
        "The file is not written as TOML at this place. What can be made out of the rest is checked all the same.",
    ),
    fault("not-utf8", "The file holds bytes that are no UTF-8 text."),
    warning(
        "nothing-ordered",
        "No order is due within the horizon of the plan, so that there is nothing to plan.",
    ),
    fault(
        "off-line-unfed",
        "An operation stands beside the line, but no rejects go to it.",
    ),
    fault(
        "offset-temperature",
        "A temperature on a scale such as degC is written so that it means nothing: below absolute zero, as a share, or added to another. A difference of temperatures is meant where only a difference makes sense.",
    ),
    fault(
        "operation-unfed",
        "An operation takes nothing, and no operation goes before it.",
    ),
    warning(
        "order-date-passed",
        "Something to buy would have had to be ordered before today to be there when the first order that stock does not cover must be begun.",
    ),
    fault(
        "order-for-unmade",
        "An order asks for something that nobody makes or buys.",
    ),
    warning(
        "order-twice",
        "The same order number stands twice with the same item and date.",
    ),
    fault(
        "pace-unclear",
        "A pace is neither a load nor a flow, or both.",
    ),
    fault(
        "pattern-unclear",
        "A pattern of holes lacks something, or says it twice: how many, how far apart, along which line.",
    ),
    warning(
        "patterns-not-kept",
        "No cutting plan was found with as few different patterns as asked for; the best one has more.",
    ),
    fault(
        "regrind-unmade",
        "An operation is to use regrind or a left-over that no operation leaves over.",
    ),
    warning(
        "regrind-unused",
        "More of a left-over item arises than may be used again and nothing else takes it, so that it piles up.",
    ),
    fault("reject-unclear", "Rejects have no destination, or two."),
    fault(
        "release-after-due",
        "An order is due before it may be started.",
    ),
    fault(
        "rework-nowhere",
        "Rework goes to an operation that cannot take it.",
    ),
    warning(
        "salt-uneven",
        "When the stated time of evening out ends, the inmost place of the slowest piece still holds more than a tenth less, or more, salt than the whole piece does.",
    ),
    fault("share-out-of-range", "A share lies outside what it can be."),
    fault(
        "shares-dont-add-up",
        "The shares of the rejects come to more than 100 %, or two of them are left open; or the parts of a food come to more than all of it.",
    ),
    warning(
        "shifts-overlap",
        "Two shifts of a calendar overlap; the time counts once.",
    ),
    warning(
        "shot-too-large",
        "A shot of the mould is more melt than the barrel of the machine holds.",
    ),
    fault(
        "skill-missing",
        "A station or an operation needs a skill that nobody on any crew has.",
    ),
    fault(
        "stages-not-dwell",
        "The stages of a heat take longer or shorter together than the dwell of the pace.",
    ),
    warning(
        "stated-not-computed",
        "A number that the route states is more than 5 % off the one worked out from its cutting plan, its drilling motion, its holes, its heat, its weighed pieces or its mould. One of the two is wrong.",
    ),
    fault(
        "stock-too-little",
        "A cutting list needs more than can be cut from the bars or sheets that there are.",
    ),
    fault(
        "taken-too-early",
        "An operation takes what only a later operation of its route makes.",
    ),
    fault(
        "takes-itself",
        "The route of a product takes the product itself.",
    ),
    fault(
        "tasks-in-a-circle",
        "Tasks of an operation wait for each other, so that none can be first.",
    ),
    fault(
        "temperature-impossible",
        "Temperatures are in an order that cannot be: a food that freezes above 0 degC, a wet thermometer hotter than the air, a part taken out hotter than its melt or colder than its mould, growth measured where nothing grows.",
    ),
    fault(
        "then-on-line",
        "`then` is written on an operation of the main line, where the next operation follows anyway.",
    ),
    warning(
        "thin-margin",
        "A recipe does its job with less than a twentieth of its time to spare, salt with less than a twentieth of its limit, or a moulding does not do for its slowest wall.",
    ),
    fault(
        "unit-changes",
        "The unit changes from one operation to the next without an amount that says how many of one go into one of the other.",
    ),
    fault(
        "unknown-choice",
        "A key that takes one of a few words has another.",
    ),
    fault("unknown-currency", "The currency is no ISO 4217 code."),
    fault(
        "unknown-key",
        "A table has a key that the format does not know.",
    ),
    fault(
        "unknown-material",
        "A piece is made of something that neither the works nor the library of materials knows.",
    ),
    fault("unknown-name", "Something is named that is not declared."),
    fault(
        "unknown-table",
        "A route refers to a table of boards, holes, a measured load or weighed pieces that is not in its folder.",
    ),
    fault("unknown-time-zone", "The time zone is no IANA name."),
    fault(
        "unknown-unit",
        "A unit is not known, and the works does not declare it.",
    ),
    fault(
        "wait-backwards",
        "The longest wait of an operation is shorter than the shortest.",
    ),
    warning(
        "wait-needs-planning",
        "In part of the week the next operation opens too late for the longest wait; what ends then must be timed, or waits too long.",
    ),
    fault(
        "wait-unmeetable",
        "At no moment of the week can the next operation follow within the longest wait.",
    ),
    fault(
        "wrong-dimension",
        "A quantity measures something else than what is asked for.",
    ),
    fault(
        "wrong-end",
        "The last operation of a route makes something else than the route's product.",
    ),
    fault(
        "wrong-kind",
        "A text, number, list or table stands where another kind of value is expected.",
    ),
    fault("yield-not-positive", "An operation lets nothing through."),
];

/// The entry of a code.
pub fn explain(code: &str) -> Option<&'static Code> {
    CODES.iter().find(|entry| entry.code == code)
}
