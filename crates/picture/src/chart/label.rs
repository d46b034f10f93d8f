//! Names beside lines: near their own line, clear of the others and of all other words.

use crate::chart::Trail;
use crate::ink::{Area, Sheet, Style, Words};
use crate::palette::SOFT;
use crate::room::{Taken, place_of};

/// Shares of the way along a line at which its name is tried.
const SHARES: [f64; 13] = [
    0.5, 0.58, 0.42, 0.66, 0.34, 0.75, 0.26, 0.84, 0.18, 0.92, 0.1, 0.97, 0.04,
];

/// What a name must keep clear of.
pub(crate) struct Beside<'a> {
    /// The field that names stay in.
    pub(crate) area: Area,
    /// What each line takes.
    pub(crate) lines: &'a [Taken],
    /// Words already there.
    pub(crate) words: &'a mut Taken,
}

/// Writes a name beside its line: close by, else farther off with a thin line leading to it. `own`
/// is the index of the line. Gives whether a place was found.
pub(crate) fn beside(
    sheet: &mut Sheet,
    room: &mut Beside<'_>,
    (own, trail): (usize, &Trail),
    style: Words,
    words: &str,
) -> bool {
    if words.is_empty() {
        return false;
    }
    // First with air to other lines, so that nobody takes the name for theirs.
    for (air, gap) in [(7.0, 6.0), (3.0, 6.0), (1.0, 9.0)] {
        for place in places(trail, style, gap) {
            if room.is_free(own, &place.0, words, air) {
                room.write(sheet, place.0, words);
                return true;
            }
        }
    }
    for gap in [20.0, 32.0, 46.0] {
        for (place, (x, y)) in places(trail, style, gap) {
            let area = place_of(&place, words);
            let end = (
                x.clamp(area.x, area.x + area.w),
                y.clamp(area.y - 1.0, area.y + area.h + 1.0),
            );
            if room.is_free(own, &place, words, 2.0) && room.is_clear(own, (x, y), end) {
                sheet.segment((x, y), end, &Style::line(SOFT, 0.8));
                room.write(sheet, place, words);
                return true;
            }
        }
    }
    false
}

impl Beside<'_> {
    fn is_free(&self, own: usize, place: &Words, words: &str, air: f64) -> bool {
        let area = place_of(place, words);
        let wide = Area::new(
            area.x - air,
            area.y - air,
            area.w + 2.0 * air,
            area.h + 2.0 * air,
        );
        let inside = area.x >= self.area.x
            && area.y >= self.area.y
            && area.x + area.w <= self.area.x + self.area.w
            && area.y + area.h <= self.area.y + self.area.h;
        let clear = |(at, line): (usize, &Taken)| line.is_free(if at == own { area } else { wide });
        inside && self.words.is_free(area) && self.lines.iter().enumerate().all(clear)
    }

    /// Whether a thin line from a point of the own line to its name crosses nothing else.
    fn is_clear(&self, own: usize, from: (f64, f64), to: (f64, f64)) -> bool {
        (1..16).all(|step| {
            let t = f64::from(step) / 16.0;
            let (x, y) = (from.0 + t * (to.0 - from.0), from.1 + t * (to.1 - from.1));
            let dot = Area::new(x - 0.5, y - 0.5, 1.0, 1.0);
            let clear = |(at, line): (usize, &Taken)| at == own || line.is_free(dot);
            self.words.is_free(dot) && self.lines.iter().enumerate().all(clear)
        })
    }

    fn write(&mut self, sheet: &mut Sheet, place: Words, words: &str) {
        self.words.block(place_of(&place, words));
        sheet.words(place, words);
    }
}

/// Places about the line at a gap, each with the point of the line it belongs to.
fn places(trail: &Trail, style: Words, gap: f64) -> impl Iterator<Item = (Words, (f64, f64))> {
    let rise = style.size * 0.8;
    SHARES
        .into_iter()
        .filter_map(|share| trail.along(share))
        .flat_map(move |(x, y)| {
            let put = |x: f64, y: f64| Words { x, y, ..style };
            [
                put(x, y - gap + 1.0).middle(),
                put(x, y + gap + rise - 1.0).middle(),
                put(x - gap * 0.6, y - gap * 0.6).end(),
                put(x + gap * 0.6, y + gap * 0.6 + rise),
                put(x + gap * 0.6, y - gap * 0.6),
                put(x - gap * 0.6, y + gap * 0.6 + rise).end(),
                put(x + gap, y + style.size * 0.3),
                put(x - gap, y + style.size * 0.3).end(),
            ]
            .map(|place| (place, (x, y)))
        })
}
