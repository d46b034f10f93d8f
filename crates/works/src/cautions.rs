//! Common hazards with the usual cautions, for works that name one without saying its caution.
//!
//! Common practice, in our own words. None of these is a limit or a permission: each defers to the
//! local code and to a competent person, and a works that declares the hazard says its own.

/// A common hazard: name, caution, who decides.
pub struct Common {
    /// Its name.
    pub name: &'static str,
    /// The usual caution.
    pub caution: &'static str,
    /// Who decides.
    pub defer_to: &'static str,
}

const fn common(name: &'static str, caution: &'static str, defer_to: &'static str) -> Common {
    Common {
        name,
        caution,
        defer_to,
    }
}

/// Every common hazard, in alphabetical order.
pub const COMMON: &[Common] = &[
    common(
        "acid",
        "Goggles, gloves and apron; eyewash in reach; acid into water, never water into acid; never together with bleach, cyanide or sulphide.",
        "the safety data sheet and local chemical law",
    ),
    common(
        "alkali",
        "Goggles, gloves and apron; eyewash in reach; add it to water slowly, it heats.",
        "the safety data sheet and local chemical law",
    ),
    common(
        "allergens",
        "Free-from first; full clean and a check before the next product; labels checked at every change of roll.",
        "the works' food-safety plan and the food authority",
    ),
    common(
        "cold work",
        "Warm clothing, breaks by the rota, an alarm inside every cold room.",
        "local rules on work in the cold",
    ),
    common(
        "combustible dust",
        "Extract at the source; no compressed-air blow-down; no spark or smouldering in the duct; clear layers daily.",
        "local explosion rules; a competent person",
    ),
    common(
        "hot melt",
        "Face shield at the nozzle; nothing left standing in a hot barrel; extract the vapour.",
        "the material's data sheet and the machine's maker",
    ),
    common(
        "hot surfaces",
        "Gloves; let it cool before handling; keep paper and solvent away.",
        "local fire rules and the works' risk assessment",
    ),
    common(
        "isocyanate",
        "Air-fed mask in the booth, health checks, no bystanders.",
        "the safety data sheet and health surveillance rules",
    ),
    common(
        "knives",
        "Glove on the free hand; blades counted out and in.",
        "the works' risk assessment",
    ),
    common(
        "lifting",
        "Share or lift by machine; weigh the load before judging it.",
        "local manual-handling rules",
    ),
    common(
        "moving blades",
        "Guards closed and proved before the start; isolate and lock before reaching in.",
        "machinery safety law; a competent person",
    ),
    common(
        "moving parts",
        "Guards closed and proved before the start; isolate and lock before reaching in.",
        "machinery safety law; a competent person",
    ),
    common(
        "nip points",
        "Guards closed; stop and lock before threading or clearing.",
        "machinery safety law; a competent person",
    ),
    common(
        "noise",
        "Ear protection inside the marked line.",
        "local noise rules",
    ),
    common(
        "paint mist",
        "Mask fit for the paint; booth running; filters changed on the gauge.",
        "the safety data sheet and health surveillance rules",
    ),
    common(
        "pressure",
        "Relief valve proved; vent and lock before opening.",
        "local pressure-equipment law; a competent person",
    ),
    common(
        "raw food",
        "Keep it cold and apart from ready-to-eat food; hands and tools washed at every change.",
        "the works' food-safety plan and the food authority; a qualified person",
    ),
    common(
        "ready-to-eat food",
        "Clean zone only; swab before the start; nothing raw passes.",
        "the works' food-safety plan and the food authority; a qualified person",
    ),
    common(
        "sharp edges",
        "Cut-resistant gloves and sleeves.",
        "the works' risk assessment",
    ),
    common(
        "smoke",
        "Vent, and clear the gas alarm, before anyone enters.",
        "local gas rules; a competent person",
    ),
    common(
        "solvent vapour",
        "Extraction running before the start; no flame or spark; an oven purged before it heats.",
        "the safety data sheet, the oven's ventilation certificate and the local fire code; a competent person",
    ),
    common(
        "wood dust",
        "Extract at the tool; no compressed-air blow-down; hardwood dust sensitises and can cause cancer.",
        "local dust and explosion rules; a competent person",
    ),
];
