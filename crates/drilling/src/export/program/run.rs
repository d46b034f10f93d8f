//! Runs the words of a program as a machine would, and complains of every word it does not know.

use std::collections::BTreeSet;

use super::fault::ProgramFault;
use super::trace::{Event, Move, MoveKind, Trace};
use super::words::{Word, words};

/// Metres in a millimetre.
const MM: f64 = 1e-3;

/// More bites than this in one hole are not followed.
const MOST_BITES: f64 = 10_000.0;

/// A controller comes back down to about this far above the depth already drilled, m (common practice, from
/// memory).
const ABOVE_BOTTOM_M: f64 = 0.25e-3;

/// What the program does, and everything in it that cannot be followed. A line with a fault is not run, so a
/// trace with faults beside it is not the whole story. Any text may be given.
pub fn read(text: &str) -> (Trace, Vec<ProgramFault>) {
    let mut run = Run::default();
    let mut faults = Vec::new();
    for (index, text) in text.lines().enumerate() {
        run.line = index + 1;
        if let Err(fault) = words(text, run.line).and_then(|words| run.step(&words)) {
            faults.push(fault);
        }
    }
    if !run.ended {
        faults.push(ProgramFault::NoEnd);
    }
    (run.trace, faults)
}

/// What an axis word means now.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Motion {
    Rapid,
    Feed,
    Drill,
    DrillWait,
    DrillPeck,
}

/// What a cycle keeps from line to line.
#[derive(Clone, Copy, Default)]
struct Cycle {
    /// Height before the first of a row of cycles.
    began_m: Option<f64>,
    bottom_m: Option<f64>,
    clear_m: Option<f64>,
    bite_m: Option<f64>,
    wait: Option<f64>,
}

/// The state of the machine.
#[derive(Default)]
struct Run {
    line: usize,
    trace: Trace,
    at_m: [Option<f64>; 3],
    /// Every G word so far: what was never said is not taken for granted.
    said: BTreeSet<u32>,
    motion: Option<Motion>,
    cycle: Cycle,
    back_to_clear: Option<bool>,
    absolute: Option<bool>,
    feed_m_per_s: Option<f64>,
    rpm: Option<f64>,
    turning: bool,
    tool: Option<u32>,
    next_tool: Option<u32>,
    offset: Option<u32>,
    ended: bool,
}

/// The G words that are understood, in groups that exclude each other.
const PREPARATORY: [&[u32]; 10] = [
    &[0, 1, 80, 81, 82, 83],
    &[90, 91],
    &[43, 49],
    &[98, 99],
    &[4],
    &[17],
    &[21],
    &[40],
    &[53],
    &[94],
];

/// The M words that are understood, in groups that exclude each other.
const MISCELLANEOUS: [&[u32]; 3] = [&[3, 5], &[6], &[2, 30]];

/// What must have been said before anything moves, with what it settles.
const BEFORE_MOVES: [(u32, &str); 6] = [
    (21, "the unit (G21)"),
    (17, "the plane (G17)"),
    (94, "what the feed counts (G94)"),
    (40, "that no radius is compensated (G40)"),
    (49, "that no length offset is left over (G49)"),
    (80, "that no cycle is left over (G80)"),
];

/// The words of a line, sorted by what they do.
#[derive(Default)]
struct Line {
    preparatory: BTreeSet<u32>,
    miscellaneous: BTreeSet<u32>,
    values: Vec<Word>,
}

impl Line {
    /// Sorts the words, refusing what is unknown or contradicts another word.
    fn sorted(words: &[Word], line: usize) -> Result<Self, ProgramFault> {
        let mut sorted = Self::default();
        for word in words {
            let alone = match word.letter {
                'G' => add(&mut sorted.preparatory, &PREPARATORY, word),
                'M' => add(&mut sorted.miscellaneous, &MISCELLANEOUS, word),
                'N' => Some(true),
                'X' | 'Y' | 'Z' | 'R' | 'Q' | 'P' | 'F' | 'S' | 'T' | 'H' => {
                    let alone = !sorted.has(&[word.letter]);
                    sorted.values.push(*word);
                    Some(alone)
                }
                _ => None,
            };
            let text = word.to_string();
            match alone {
                None => return Err(ProgramFault::Unknown { line, word: text }),
                Some(false) => return Err(ProgramFault::Contradiction { line, word: text }),
                Some(true) => (),
            }
            if matches!(word.letter, 'X' | 'Y' | 'Z' | 'R' | 'Q' | 'F') && !word.pointed {
                return Err(ProgramFault::NoPoint { line, word: text });
            }
        }
        Ok(sorted)
    }

    fn g(&self, code: u32) -> bool {
        self.preparatory.contains(&code)
    }

    fn m(&self, code: u32) -> bool {
        self.miscellaneous.contains(&code)
    }

    /// True or false by which of two G words is there, if one is.
    fn either(&self, yes: u32, no: u32) -> Option<bool> {
        (self.g(yes) || self.g(no)).then(|| self.g(yes))
    }

    fn motion(&self) -> Option<Motion> {
        let of = [
            (0, Motion::Rapid),
            (1, Motion::Feed),
            (81, Motion::Drill),
            (82, Motion::DrillWait),
            (83, Motion::DrillPeck),
        ];
        of.into_iter()
            .find(|(code, _)| self.g(*code))
            .map(|(_, motion)| motion)
    }

    /// Takes the value of a word out of the line.
    fn take(&mut self, letter: char) -> Option<Word> {
        let place = self.values.iter().position(|word| word.letter == letter)?;
        Some(self.values.remove(place))
    }

    /// Takes a length in millimetres out of the line, as metres.
    fn take_m(&mut self, letter: char) -> Option<f64> {
        self.take(letter).map(|word| word.value * MM)
    }

    fn has(&self, letters: &[char]) -> bool {
        self.values
            .iter()
            .any(|word| letters.contains(&word.letter))
    }
}

/// Adds the code of a word to those of its line: none when it is in no group, false when another of its group is
/// already there.
fn add(codes: &mut BTreeSet<u32>, groups: &[&[u32]], word: &Word) -> Option<bool> {
    let code = word.whole()?;
    let group = groups.iter().find(|group| group.contains(&code))?;
    let alone = !group.iter().any(|other| codes.contains(other));
    codes.insert(code);
    Some(alone)
}

impl Run {
    /// Runs a line, in the order that controllers share: feed, speed, tool, spindle, wait, modes, move, end.
    fn step(&mut self, words: &[Word]) -> Result<(), ProgramFault> {
        if words.iter().all(|word| word.letter == 'N') {
            return Ok(());
        }
        if self.ended {
            return Err(ProgramFault::AfterEnd { line: self.line });
        }
        let mut line = Line::sorted(words, self.line)?;
        self.numbers(&mut line)?;
        self.tool_and_spindle(&line)?;
        if line.g(4) {
            self.wait(&mut line)?;
        }
        self.modes(&mut line)?;
        self.moves(&mut line)?;
        if line.m(2) || line.m(30) {
            self.ended = true;
            let (line, turning) = (self.line, self.turning);
            self.trace.events.push(Event::End { line, turning });
        }
        match line.values.first() {
            Some(word) => Err(ProgramFault::Unused {
                line: self.line,
                word: word.to_string(),
            }),
            None => Ok(()),
        }
    }

    fn missing(&self, word: char) -> ProgramFault {
        ProgramFault::Missing {
            line: self.line,
            word,
        }
    }

    fn not_stated(&self, what: &'static str) -> ProgramFault {
        ProgramFault::NotStated {
            line: self.line,
            what,
        }
    }

    /// Feed, speed and the tool to come.
    fn numbers(&mut self, line: &mut Line) -> Result<(), ProgramFault> {
        self.said.extend(&line.preparatory);
        if let Some(feed) = line.take('F') {
            if !(self.said.contains(&21) && self.said.contains(&94)) {
                return Err(self.not_stated("what the feed counts (G21, G94)"));
            }
            if feed.value <= 0.0 {
                return Err(self.missing('F'));
            }
            self.feed_m_per_s = Some(feed.value * MM / 60.0);
        }
        if let Some(speed) = line.take('S') {
            if speed.value <= 0.0 {
                return Err(self.missing('S'));
            }
            self.rpm = Some(speed.value);
            // A new speed while turning takes hold at once.
            if self.turning && !line.m(3) && !line.m(5) {
                self.start()?;
            }
        }
        if let Some(tool) = line.take('T') {
            self.next_tool = Some(tool.whole().ok_or_else(|| self.missing('T'))?);
        }
        Ok(())
    }

    fn tool_and_spindle(&mut self, line: &Line) -> Result<(), ProgramFault> {
        if line.m(6) {
            self.tool = Some(self.next_tool.ok_or_else(|| self.missing('T'))?);
            self.trace.events.push(Event::Change {
                line: self.line,
                turning: self.turning,
                z_m: self.at_m[2],
            });
        }
        if line.m(3) {
            self.start()?;
        }
        if line.m(5) {
            self.turning = false;
        }
        Ok(())
    }

    fn start(&mut self) -> Result<(), ProgramFault> {
        let rpm = self.rpm.ok_or_else(|| self.missing('S'))?;
        self.turning = true;
        let line = self.line;
        self.trace.events.push(Event::Start { line, rpm });
        Ok(())
    }

    fn wait(&mut self, line: &mut Line) -> Result<(), ProgramFault> {
        let amount = line.take('P').map(|word| word.value);
        let amount = amount.filter(|amount| *amount >= 0.0);
        let amount = amount.ok_or_else(|| self.missing('P'))?;
        self.trace.events.push(Event::Wait { amount });
        Ok(())
    }

    fn modes(&mut self, line: &mut Line) -> Result<(), ProgramFault> {
        self.absolute = line.either(90, 91).or(self.absolute);
        self.back_to_clear = line.either(99, 98).or(self.back_to_clear);
        match line.either(43, 49) {
            Some(true) => {
                let offset = line.take('H').and_then(|word| word.whole());
                self.offset = Some(offset.ok_or_else(|| self.missing('H'))?);
            }
            Some(false) => self.offset = None,
            None => (),
        }
        if line.g(80) {
            self.motion = None;
            self.cycle = Cycle::default();
        }
        Ok(())
    }

    /// The move of a line, if it has one.
    fn moves(&mut self, line: &mut Line) -> Result<(), ProgramFault> {
        if let Some(motion) = line.motion() {
            self.enter(motion);
        }
        if line.g(53) {
            return self.go_to_machine_top(line);
        }
        let cycle = matches!(
            self.motion,
            Some(Motion::Drill | Motion::DrillWait | Motion::DrillPeck)
        );
        let new_cycle = cycle && line.motion().is_some();
        if !(new_cycle || line.has(&['X', 'Y', 'Z'])) {
            return Ok(());
        }
        // A wait with axis words beside it means different things to different controllers.
        if line.g(4) {
            return Err(self.missing('P'));
        }
        let motion = self
            .motion
            .ok_or_else(|| self.not_stated("how to move (G0, G1)"))?;
        self.ready(motion)?;
        match motion {
            Motion::Rapid => self.straight(line, MoveKind::Rapid),
            Motion::Feed => self.straight(line, MoveKind::Feed),
            _ => self.cycle(line, motion),
        }
    }

    fn enter(&mut self, motion: Motion) {
        let cycling = self.cycle.began_m.is_some();
        match motion {
            Motion::Rapid | Motion::Feed => self.cycle = Cycle::default(),
            _ if !cycling => self.cycle.began_m = self.at_m[2],
            _ => (),
        }
        self.motion = Some(motion);
    }

    /// Whether all is stated that a move rests on. A feed may not start from a place that was never set: how far
    /// it goes, and through what, would be unknown.
    fn ready(&self, motion: Motion) -> Result<(), ProgramFault> {
        for (code, what) in BEFORE_MOVES {
            if !self.said.contains(&code) {
                return Err(self.not_stated(what));
            }
        }
        if self.absolute.is_none() {
            return Err(self.not_stated("absolute or incremental (G90, G91)"));
        }
        if motion != Motion::Rapid && self.feed_m_per_s.is_none() {
            return Err(self.not_stated("a feed (F)"));
        }
        if motion == Motion::Feed && self.at_m.contains(&None) {
            return Err(self.not_stated("where it starts"));
        }
        Ok(())
    }

    /// `G53 G0 Z0.`: the only move in the machine's own coordinates that needs no knowledge of the machine.
    fn go_to_machine_top(&mut self, line: &mut Line) -> Result<(), ProgramFault> {
        let z = line.take('Z').filter(|word| word.value == 0.0);
        if z.is_none() || !line.g(0) || line.has(&['X', 'Y']) {
            return Err(ProgramFault::Unknown {
                line: self.line,
                word: "G53".to_owned(),
            });
        }
        self.ready(Motion::Rapid)?;
        let to = [self.at_m[0], self.at_m[1], Some(f64::INFINITY)];
        self.go(to, MoveKind::Rapid);
        Ok(())
    }

    fn go(&mut self, to_m: [Option<f64>; 3], kind: MoveKind) {
        self.trace.events.push(Event::Move(Move {
            line: self.line,
            kind,
            from_m: self.at_m,
            to_m,
            feed_m_per_s: self.feed_m_per_s,
            spindle_rpm: self.rpm.filter(|_| self.turning),
            tool: self.tool,
            offset: self.offset,
        }));
        self.at_m = to_m;
    }

    fn straight(&mut self, line: &mut Line, kind: MoveKind) -> Result<(), ProgramFault> {
        let mut to = self.at_m;
        for (axis, letter) in ['X', 'Y', 'Z'].into_iter().enumerate() {
            let Some(value) = line.take_m(letter) else {
                continue;
            };
            to[axis] = if self.absolute == Some(true) {
                Some(value)
            } else {
                // How far the top of the machine is from the face is not known.
                let from = self.at_m[axis].filter(|from| from.is_finite());
                Some(from.ok_or_else(|| self.not_stated("where it starts"))? + value)
            };
        }
        self.go(to, kind);
        Ok(())
    }

    /// One turn of a drilling cycle. Its words stay in force until it is cancelled.
    fn cycle(&mut self, line: &mut Line, motion: Motion) -> Result<(), ProgramFault> {
        if self.absolute != Some(true) {
            return Err(self.not_stated("absolute places (G90) for the cycle"));
        }
        let back_to_clear = self.back_to_clear;
        let back_to_clear =
            back_to_clear.ok_or_else(|| self.not_stated("the return (G98, G99)"))?;
        let place = [
            line.take_m('X').or(self.at_m[0]),
            line.take_m('Y').or(self.at_m[1]),
        ];
        if place.contains(&None) || self.at_m[2].is_none() {
            return Err(self.not_stated("where it starts"));
        }
        self.cycle.bottom_m = line.take_m('Z').or(self.cycle.bottom_m);
        self.cycle.clear_m = line.take_m('R').or(self.cycle.clear_m);
        if motion == Motion::DrillPeck {
            self.cycle.bite_m = line.take_m('Q').or(self.cycle.bite_m);
        }
        if motion == Motion::DrillWait {
            self.cycle.wait = line.take('P').map(|word| word.value).or(self.cycle.wait);
        }
        let bottom_m = self.cycle.bottom_m.ok_or_else(|| self.missing('Z'))?;
        let clear_m = self.cycle.clear_m.filter(|clear| *clear > bottom_m);
        let clear_m = clear_m.ok_or_else(|| self.missing('R'))?;
        // From below the clear height a controller lifts first.
        if self.at_m[2].is_some_and(|z| z < clear_m) {
            self.go([self.at_m[0], self.at_m[1], Some(clear_m)], MoveKind::Rapid);
        }
        self.go([place[0], place[1], self.at_m[2]], MoveKind::Rapid);
        self.go_to_height(clear_m, MoveKind::Rapid);
        match motion {
            Motion::DrillPeck => self.peck(clear_m, bottom_m)?,
            _ => self.go_to_height(bottom_m, MoveKind::Feed),
        }
        if motion == Motion::DrillWait {
            let wait = self.cycle.wait.filter(|wait| *wait >= 0.0);
            let amount = wait.ok_or_else(|| self.missing('P'))?;
            self.trace.events.push(Event::Wait { amount });
        }
        let began = self.cycle.began_m.filter(|_| !back_to_clear);
        self.go_to_height(began.unwrap_or(clear_m).max(clear_m), MoveKind::CycleRapid);
        Ok(())
    }

    fn go_to_height(&mut self, z_m: f64, kind: MoveKind) {
        self.go([self.at_m[0], self.at_m[1], Some(z_m)], kind);
    }

    /// Bites counted from the clear height, the drill lifted clear after each.
    fn peck(&mut self, clear_m: f64, bottom_m: f64) -> Result<(), ProgramFault> {
        let bite_m = self.cycle.bite_m.filter(|bite| *bite > 0.0);
        let bite_m = bite_m.ok_or_else(|| self.missing('Q'))?;
        let bites = libm::ceil((clear_m - bottom_m) / bite_m - 1e-9).max(1.0);
        if bites > MOST_BITES {
            return Err(self.missing('Q'));
        }
        let mut reached_m = clear_m;
        for bite in 1..=bites as u32 {
            let again_m = (reached_m + ABOVE_BOTTOM_M).min(clear_m);
            self.go_to_height(again_m, MoveKind::CycleRapid);
            reached_m = (clear_m - f64::from(bite) * bite_m).max(bottom_m);
            self.go_to_height(reached_m, MoveKind::Feed);
            self.go_to_height(clear_m, MoveKind::CycleRapid);
        }
        Ok(())
    }
}
