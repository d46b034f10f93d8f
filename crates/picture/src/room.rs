//! Room for words: what is taken already, so that no two labels stand on each other.

use crate::ink::{Anchor, Area, Sheet, Words};
use crate::lettering;

/// Places taken by words and by shapes that words must keep clear of.
#[derive(Clone, Debug, Default)]
pub(crate) struct Taken(Vec<Area>);

impl Taken {
    /// Takes a place whether it is free or not.
    pub(crate) fn block(&mut self, area: Area) {
        self.0.push(area);
    }

    pub(crate) fn is_free(&self, area: Area) -> bool {
        !self.0.iter().any(|other| overlap(*other, area))
    }

    /// Takes a place if it is free.
    pub(crate) fn claim(&mut self, area: Area) -> bool {
        let free = self.is_free(area);
        if free {
            self.0.push(area);
        }
        free
    }

    /// Writes words if their place is free; words that would stick out at the sides are moved in.
    pub(crate) fn write(&mut self, sheet: &mut Sheet, place: Words, words: &str) -> bool {
        let place = held(place, words, sheet.width());
        let free = !words.is_empty() && self.claim(place_of(&place, words));
        if free {
            sheet.words(place, words);
        }
        free
    }
}

/// The place that words take, with a little air at their ends.
pub(crate) fn place_of(place: &Words, words: &str) -> Area {
    let width = lettering::width(words, place.size, place.bold);
    let left = place.x - before(place.anchor, width);
    Area::new(
        left - 2.0,
        place.y - place.size * 0.8,
        width + 4.0,
        place.size,
    )
}

/// The words moved sideways until they stand within the sheet.
fn held(place: Words, words: &str, sheet_width: f64) -> Words {
    let width = lettering::width(words, place.size, place.bold);
    let before = before(place.anchor, width);
    let left = (place.x - before).min(sheet_width - width).max(0.0);
    Words {
        x: left + before,
        ..place
    }
}

/// How much of the words stands before their place.
fn before(anchor: Anchor, width: f64) -> f64 {
    match anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => width / 2.0,
        Anchor::End => width,
    }
}

fn overlap(a: Area, b: Area) -> bool {
    a.x < b.x + b.w && b.x < a.x + a.w && a.y < b.y + b.h && b.y < a.y + a.h
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_given_once() {
        let mut taken = Taken::default();
        assert!(taken.claim(Area::new(0.0, 0.0, 10.0, 10.0)));
        assert!(!taken.claim(Area::new(9.0, 9.0, 10.0, 10.0)));
        assert!(taken.claim(Area::new(10.0, 0.0, 10.0, 10.0)));
    }

    #[test]
    fn words_at_the_edge_are_moved_in() {
        let place = held(Words::at(0.0, 0.0).middle(), "1,240", 100.0);
        let own = place_of(&place, "1,240");
        assert!(own.x + 2.0 >= -1e-9, "{own:?}");
        let place = held(Words::at(100.0, 0.0).middle(), "1,240", 100.0);
        let own = place_of(&place, "1,240");
        assert!(own.x + own.w - 2.0 <= 100.0 + 1e-9, "{own:?}");
    }
}
