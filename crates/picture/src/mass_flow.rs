//! Mass flow: what goes into a route and what becomes of it, widths to scale.

use crate::frame::{Frame, nothing_to_draw};
use crate::ink::{Area, Num, Sheet, Style, Words};
use crate::lettering::{self, figure, percent};
use crate::palette::{ACCENT, INK, PAPER, SOFT, TONES, WASH};
use crate::scale::amount;

/// Something that goes in.
#[derive(Clone, Debug, PartialEq)]
pub struct Stream {
    /// Its name.
    pub name: String,
    /// Its mass.
    pub amount: f64,
}

/// What an outgoing stream is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum OutletKind {
    /// The good product.
    Product,
    /// Something of value beside it.
    ByProduct,
    /// Thrown away or evaporated.
    Waste,
    /// What does not add up.
    Unexplained,
}

/// Something that comes out.
#[derive(Clone, Debug, PartialEq)]
pub struct Outlet {
    /// Its name.
    pub name: String,
    /// Its mass.
    pub amount: f64,
    /// What it is.
    pub kind: OutletKind,
}

/// The mass balance of one route. When the sides differ, the picture itself draws the rest as
/// "not accounted for" on the lighter side.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MassFlow {
    /// What goes in.
    pub inputs: Vec<Stream>,
    /// What comes out.
    pub outputs: Vec<Outlet>,
    /// Unit of all amounts, for example `kg`.
    pub unit: String,
}

const NAME: f64 = 11.5;
const LINE: f64 = 13.0;

/// A stream as drawn.
struct Band {
    name: String,
    /// The name broken into lines that fit beside the band.
    lines: Vec<String>,
    amount: f64,
    kind: OutletKind,
    /// Top of the band at the trunk and at its own end, and its thickness.
    trunk: f64,
    end: f64,
    thick: f64,
}

/// Draws the balance.
pub fn mass_flow(frame: &Frame, flow: &MassFlow) -> String {
    let (mut inputs, mut outputs) = (inputs(flow), outputs(flow));
    let whole = even_out(&mut inputs, &mut outputs);
    if whole <= 0.0 {
        return nothing_to_draw(frame, "no mass goes in or out");
    }
    let mut sheet = Sheet::new(frame);
    let trunk = if sheet.narrow() { 150.0 } else { 190.0 };
    let places = Places::of(&sheet);
    let left = stack(&mut inputs, trunk / whole, places.room());
    let right = stack(&mut outputs, trunk / whole, places.room());
    let height = left.max(right).max(trunk) + 8.0;
    let top = (height - trunk) / 2.0;
    for (bands, taken) in [(&mut inputs, left), (&mut outputs, right)] {
        for band in bands.iter_mut() {
            band.trunk += top;
            band.end += (height - taken) / 2.0;
        }
    }
    let inks = Inks::of(&mut sheet);
    for (bands, goes_in) in [(&inputs, true), (&outputs, false)] {
        for band in bands {
            draw_band(
                &mut sheet,
                band,
                &places,
                goes_in,
                whole,
                (&inks, &flow.unit),
            );
        }
    }
    let area = Area::new(places.trunk.0, top, places.trunk.1 - places.trunk.0, trunk);
    draw_trunk(&mut sheet, area, whole, &flow.unit);
    sheet.finish(frame, height)
}

/// Puts what is missing on the lighter side; gives the mass of the heavier one.
fn even_out(inputs: &mut Vec<Band>, outputs: &mut Vec<Band>) -> f64 {
    let sum = |bands: &[Band]| bands.iter().map(|band| band.amount).sum::<f64>();
    let (into, out) = (sum(inputs), sum(outputs));
    let (whole, missing) = (into.max(out), (into - out).abs());
    // A thousandth of the whole is rounding, not a loss.
    if missing > whole * 1e-3 {
        let lighter = if into < out { inputs } else { outputs };
        lighter.push(band("not accounted for", missing, OutletKind::Unexplained));
    }
    whole
}

fn draw_trunk(sheet: &mut Sheet, area: Area, whole: f64, unit: &str) {
    sheet.rect(area, &Style::filled(TONES[0]));
    let place = Words::at(area.x + area.w / 2.0, area.y + area.h / 2.0)
        .ink(PAPER)
        .middle();
    sheet.words_within(place.bold(), &figure(whole), area.w - 4.0);
    let below = Words {
        y: place.y + 14.0,
        ..place
    };
    sheet.words_within(below.size(10.5), unit, area.w - 4.0);
}

fn band(name: &str, amount: f64, kind: OutletKind) -> Band {
    Band {
        name: name.to_owned(),
        lines: Vec::new(),
        amount,
        kind,
        trunk: 0.0,
        end: 0.0,
        thick: 0.0,
    }
}

fn inputs(flow: &MassFlow) -> Vec<Band> {
    let streams = flow
        .inputs
        .iter()
        .map(|s| band(&s.name, amount(s.amount), OutletKind::Product));
    streams.filter(|band| band.amount > 0.0).collect()
}

/// What comes out, in the order product, by-products, waste, unexplained.
fn outputs(flow: &MassFlow) -> Vec<Band> {
    let outlets = flow
        .outputs
        .iter()
        .map(|o| band(&o.name, amount(o.amount), o.kind));
    let mut bands: Vec<Band> = outlets.filter(|band| band.amount > 0.0).collect();
    bands.sort_by_key(|band| band.kind);
    bands
}

/// Stacks bands at the trunk without gaps and at their ends with room for their names; gives the
/// height of the ends.
fn stack(bands: &mut [Band], scale: f64, room: f64) -> f64 {
    const LEAST: f64 = 30.0;
    const GAP: f64 = 8.0;
    let (mut trunk, mut end) = (0.0, 0.0);
    for band in bands.iter_mut() {
        band.thick = band.amount * scale;
        let bold = band.kind == OutletKind::Product;
        band.lines = lettering::wrap(&band.name, NAME, bold, room, 2).0;
        let room = band
            .thick
            .max(LEAST + band.lines.len().saturating_sub(1) as f64 * LINE);
        band.trunk = trunk;
        band.end = end + (room - band.thick) / 2.0;
        trunk += band.thick;
        end += room + GAP;
    }
    (end - GAP).max(0.0)
}

struct Inks {
    hatch: String,
    unknown: String,
}

impl Inks {
    fn of(sheet: &mut Sheet) -> Self {
        Self {
            hatch: sheet.hatch("waste", SOFT, PAPER),
            unknown: sheet.hatch("unknown", ACCENT, WASH),
        }
    }

    fn style(&self, kind: OutletKind, goes_in: bool) -> Style {
        match kind {
            _ if goes_in && kind != OutletKind::Unexplained => Style::filled(TONES[3]),
            OutletKind::Product => Style::filled(TONES[1]),
            OutletKind::ByProduct => Style::filled(TONES[3]),
            OutletKind::Waste => Style::pattern(&self.hatch),
            OutletKind::Unexplained => Style::pattern(&self.unknown),
        }
    }
}

/// Where the bands begin and end across the sheet.
struct Places {
    names: f64,
    left: f64,
    trunk: (f64, f64),
    right: f64,
}

impl Places {
    /// Room for words beside a band.
    fn room(&self) -> f64 {
        self.names - 8.0
    }

    fn of(sheet: &Sheet) -> Self {
        let width = sheet.width();
        let names = (width * 0.27).min(190.0);
        let trunk = if sheet.narrow() { 46.0 } else { 62.0 };
        let middle = width * 0.47;
        Self {
            names,
            left: names,
            trunk: (middle - trunk / 2.0, middle + trunk / 2.0),
            right: width - names - 6.0,
        }
    }
}

fn kind_word(kind: OutletKind) -> &'static str {
    match kind {
        OutletKind::Product => "product",
        OutletKind::ByProduct => "by-product",
        OutletKind::Waste => "waste",
        OutletKind::Unexplained => "unexplained",
    }
}

fn draw_band(
    sheet: &mut Sheet,
    band: &Band,
    places: &Places,
    goes_in: bool,
    whole: f64,
    (inks, unit): (&Inks, &str),
) {
    let (near, far) = if goes_in {
        (places.trunk.0, places.left)
    } else {
        (places.trunk.1, places.right)
    };
    let bend = f64::midpoint(near, far);
    // Never thinner than a line that can be seen.
    let thick = band.thick.max(1.0);
    let data = format!(
        "M{n} {t}C{b} {t} {b} {e} {f} {e}V{ef}C{b} {ef} {b} {tf} {n} {tf}Z",
        n = Num(near),
        b = Num(bend),
        f = Num(far),
        t = Num(band.trunk),
        e = Num(band.end),
        ef = Num(band.end + thick),
        tf = Num(band.trunk + thick),
    );
    let amount = format!("{} {unit}", figure(band.amount));
    let share = percent(band.amount / whole);
    let told = format!("{}: {amount}, {share}", band.name);
    let style = inks.style(band.kind, goes_in).edged(PAPER, 0.75);
    sheet.path_told(&data, &style, &told);
    let second = second_line(band, &amount, &share, goes_in, places.room());
    let height = band.lines.len() as f64 * LINE;
    let mut y = band.end + thick / 2.0 - height / 2.0 + 4.0;
    let place = |y: f64| {
        if goes_in {
            Words::at(far - 8.0, y).end()
        } else {
            Words::at(far + 8.0, y)
        }
    };
    let ink = if band.kind == OutletKind::Unexplained {
        ACCENT
    } else {
        INK
    };
    let bold = !goes_in && band.kind == OutletKind::Product;
    for line in &band.lines {
        sheet.words_told(place(y).size(NAME).bold_if(bold).ink(ink), line, &told);
        y += LINE;
    }
    sheet.words_within(place(y).size(10.5).soft(), &second, places.room());
}

/// Amount and share, and the kind where it fits and the name does not say it.
fn second_line(band: &Band, amount: &str, share: &str, goes_in: bool, room: f64) -> String {
    let kind = kind_word(band.kind);
    let short = format!("{amount} \u{b7} {share}");
    let long = format!("{short} \u{b7} {kind}");
    let fits = lettering::width(&long, 10.5, false) <= room;
    if !goes_in && band.name != kind && fits {
        long
    } else {
        short
    }
}
