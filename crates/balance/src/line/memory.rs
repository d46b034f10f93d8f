//! The partial lines met so far, found again by their set of tasks.
//!
//! States lie one after another; a table of places with open addressing finds a set. Nothing depends on the
//! order of the table, so the search is the same on every run.

/// Place of a state in the memory.
pub(super) type Place = u32;

const NOBODY: Place = Place::MAX;

/// All states of one direction.
pub(super) struct Memory {
    words: usize,
    sets: Vec<u64>,
    parent: Vec<Place>,
    stations: Vec<u16>,
    bound: Vec<u16>,
    /// Place + 1 of a state, or 0; the length is a power of two.
    table: Vec<u32>,
}

/// What the memory says about a set.
pub(super) enum Met {
    /// With as few stations or fewer.
    NoBetter,
    /// Only with more stations.
    Longer(Place),
    /// Never.
    New,
}

impl Memory {
    pub(super) fn new(words: usize) -> Memory {
        Memory {
            words,
            sets: Vec::new(),
            parent: Vec::new(),
            stations: Vec::new(),
            bound: Vec::new(),
            table: vec![0; 1024],
        }
    }

    pub(super) fn len(&self) -> usize {
        self.parent.len()
    }

    pub(super) fn set(&self, place: Place) -> &[u64] {
        let start = place as usize * self.words;
        &self.sets[start..start + self.words]
    }

    pub(super) fn stations(&self, place: Place) -> u64 {
        u64::from(self.stations[place as usize])
    }

    /// Stations any full line through this state has at least.
    pub(super) fn bound(&self, place: Place) -> u64 {
        u64::from(self.bound[place as usize])
    }

    pub(super) fn find(&self, set: &[u64], stations: u64) -> Met {
        match self.slot(set) {
            Err(_) => Met::New,
            Ok(place) if self.stations(place) <= stations => Met::NoBetter,
            Ok(place) => Met::Longer(place),
        }
    }

    /// Remembers a set not met before. `parent` is the state it extends, none for the empty line.
    pub(super) fn add(
        &mut self,
        set: &[u64],
        stations: u64,
        bound: u64,
        parent: Option<Place>,
    ) -> Place {
        if (self.len() + 1) * 2 > self.table.len() {
            self.grow();
        }
        let place = self.len() as Place;
        if let Err(slot) = self.slot(set) {
            self.table[slot] = place + 1;
        }
        self.sets.extend_from_slice(set);
        self.parent.push(parent.unwrap_or(NOBODY));
        self.stations.push(stations as u16);
        self.bound.push(bound as u16);
        place
    }

    /// A shorter way to a set met before.
    pub(super) fn shorten(&mut self, place: Place, stations: u64, bound: u64, parent: Place) {
        self.stations[place as usize] = stations as u16;
        self.bound[place as usize] = bound as u16;
        self.parent[place as usize] = parent;
    }

    /// The sets on the way to a state, the empty one first.
    pub(super) fn way_to(&self, place: Place) -> Vec<&[u64]> {
        let mut way = Vec::new();
        let mut at = place;
        while at != NOBODY {
            way.push(self.set(at));
            at = self.parent[at as usize];
        }
        way.reverse();
        way
    }

    /// The place of a set, or the slot where it would be entered.
    fn slot(&self, set: &[u64]) -> Result<Place, usize> {
        let mask = self.table.len() - 1;
        let mut slot = mix(set) as usize & mask;
        loop {
            match self.table[slot] {
                0 => return Err(slot),
                entry if self.set(entry - 1) == set => return Ok(entry - 1),
                _ => slot = (slot + 1) & mask,
            }
        }
    }

    fn grow(&mut self) {
        self.table = vec![0; self.table.len() * 2];
        let mask = self.table.len() - 1;
        for place in 0..self.len() {
            let mut slot = mix(self.set(place as Place)) as usize & mask;
            while self.table[slot] != 0 {
                slot = (slot + 1) & mask;
            }
            self.table[slot] = place as u32 + 1;
        }
    }
}

/// Spreads a set over 64 bits (the finaliser of splitmix64, Steele, Lea & Flood 2014, word by word).
fn mix(set: &[u64]) -> u64 {
    set.iter().fold(0x9E37_79B9_7F4A_7C15, |hash, &word| {
        let mut z = (hash ^ word).wrapping_add(0x9E37_79B9_7F4A_7C15);
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ten_thousand_sets_are_all_found_again() {
        let mut memory = Memory::new(2);
        for n in 0..10_000_u64 {
            let set = [n % 100, n / 100];
            assert!(matches!(memory.find(&set, 1), Met::New));
            memory.add(&set, n % 7 + 1, 9, None);
        }
        for n in 0..10_000_u64 {
            let set = [n % 100, n / 100];
            let stations = n % 7 + 1;
            assert!(matches!(memory.find(&set, stations), Met::NoBetter));
            assert!(matches!(memory.find(&set, stations - 1), Met::Longer(p) if u64::from(p) == n));
        }
    }
}
