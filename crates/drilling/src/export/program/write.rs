//! Writes the program.

use super::super::fault::{ExportFault, require};
use super::super::number::{MOST_DECIMALS, fixed, mm, plain};
use super::super::{Heading, Stroke};
use super::{DwellWord, Machine, Retract, Style};

/// The drill comes back down at the re-entry feed to this far above the depth already drilled, m.
const ABOVE_BOTTOM_M: f64 = 0.5e-3;

/// Longer comments go on in the next line: old controllers take 80 letters a line (from memory).
const LONGEST_COMMENT: usize = 76;

/// The most bites a hole is drilled in.
const MOST_BITES: f64 = 1000.0;

/// What stands at the head of every program.
const WARNING: [&str; 7] = [
    "WARNING - CALCULATED, NOT PROVED ON ANY MACHINE",
    "A COMPETENT PERSON CHECKS IT AGAINST THE MANUALS OF MACHINE AND CONTROLLER",
    "CHECK ZERO, TOOL NUMBERS, TOOL LENGTHS, SPEEDS, FEEDS, CLAMPS AND GUARDS",
    "SIMULATE, THEN DRY RUN WELL ABOVE THE WORK, THEN ONE PIECE AT REDUCED FEED",
    "X0 Y0 IS THE ORIGIN OF THE FACE, Z0 IS ON THE FACE, Z UP, MILLIMETRES",
    "CHECK WHAT P COUNTS IN G4 AND G82 - IT DIFFERS BETWEEN CONTROLLERS",
    "LOCAL RULES FOR THE MACHINE, DUST, NOISE AND EYES COME FIRST",
];

/// The program that drills strokes in the order given. It changes tools where the order does, and refuses what
/// the machine cannot reach.
pub fn program(
    heading: &Heading,
    strokes: &[Stroke],
    machine: &Machine,
    style: &Style,
) -> Result<String, ExportFault> {
    fit_machine(machine, style)?;
    if strokes.is_empty() {
        return Err(ExportFault::NoHoles);
    }
    for (hole, stroke) in strokes.iter().enumerate() {
        fit_stroke(hole, stroke, machine, style)?;
    }
    let mut writer = Writer {
        text: String::from("%\n"),
        line_number: 0,
        machine,
        style,
    };
    writer.head(heading, strokes);
    writer.preamble();
    for (i, stroke) in strokes.iter().enumerate() {
        let before = i.checked_sub(1).map(|i| &strokes[i]);
        if before.is_none_or(|before| before.tool != stroke.tool) {
            writer.change_tool(stroke, before.is_none());
        } else if before
            .is_some_and(|before| before.cutting.spindle_rpm != stroke.cutting.spindle_rpm)
        {
            writer.spindle(stroke);
        }
        writer.stroke(stroke);
    }
    writer.close();
    Ok(writer.text)
}

struct Writer<'a> {
    text: String,
    line_number: u64,
    machine: &'a Machine,
    style: &'a Style,
}

impl Writer<'_> {
    /// A line of words, numbered if wished.
    fn line(&mut self, words: &str) {
        if self.style.line_number_step > 0 {
            self.line_number += u64::from(self.style.line_number_step);
            self.text.push('N');
            self.text.push_str(&self.line_number.to_string());
            self.text.push(' ');
        }
        self.text.push_str(words);
        self.text.push('\n');
    }

    fn comment(&mut self, words: &str) {
        let words = plain(words, &['(', ')', '%', ';']).to_ascii_uppercase();
        // Plain text is ASCII, so it may be cut anywhere.
        for start in (0..words.len()).step_by(LONGEST_COMMENT) {
            let part = &words[start..words.len().min(start + LONGEST_COMMENT)];
            self.text.extend(["(", part, ")\n"]);
        }
    }

    fn mm(&self, length_m: f64) -> String {
        mm(length_m, self.style.decimals)
    }

    fn head(&mut self, heading: &Heading, strokes: &[Stroke]) {
        let lines = [
            ("PART", &heading.part),
            ("ROUTE", &heading.route),
            ("OPERATION", &heading.operation),
            ("REVISION", &heading.revision),
            ("FACE", &heading.face),
        ];
        for (what, value) in lines {
            self.comment(&format!("{what} {value}"));
        }
        self.comment(&format!("STROKES {}", strokes.len()));
        for line in WARNING {
            self.comment(line);
        }
    }

    /// Nothing is taken for granted: units, plane, feed, offsets and cycles are put in a known state, the spindle
    /// stopped and the drill lifted before anything moves sideways.
    fn preamble(&mut self) {
        for words in ["G21", "G17", "G90", "G94", "G40", "G49", "G80", "M5"] {
            self.line(words);
        }
        self.out_of_the_way();
    }

    fn out_of_the_way(&mut self) {
        match self.style.retract {
            Retract::MachineTop => self.line("G53 G0 Z0."),
            Retract::SafeHeight => self.safe_height(),
        }
    }

    fn safe_height(&mut self) {
        let words = format!("G0 Z{}", self.mm(self.machine.safe_m));
        self.line(&words);
    }

    /// Lift, stop, change, start, and down to the safe height over the first hole.
    fn change_tool(&mut self, stroke: &Stroke, first: bool) {
        if !first {
            self.stop_and_lift();
        }
        let tool = stroke.tool;
        self.comment(&format!(
            "TOOL {tool} DRILL {} MM",
            self.mm(stroke.diameter_m)
        ));
        self.line(&format!("T{tool} M6"));
        self.spindle(stroke);
        let place = self.place(stroke);
        self.line(&format!("G0 {place}"));
        let safe = self.mm(self.machine.safe_m);
        if self.style.length_offset {
            self.line(&format!("G43 H{tool} G0 Z{safe}"));
        } else {
            self.line(&format!("G0 Z{safe}"));
        }
    }

    fn spindle(&mut self, stroke: &Stroke) {
        self.line(&format!("S{:.0} M3", stroke.cutting.spindle_rpm));
        self.wait(f64::from(self.style.spindle_wait_s));
    }

    fn stop_and_lift(&mut self) {
        if self.style.canned {
            self.line("G80");
        }
        self.safe_height();
        self.line("M5");
        self.wait(f64::from(self.style.spindle_wait_s));
        if self.style.retract == Retract::MachineTop {
            self.out_of_the_way();
        }
    }

    fn wait(&mut self, time_s: f64) {
        if time_s > 0.0 {
            let words = format!("G4 {}", self.dwell_word(time_s));
            self.line(&words);
        }
    }

    fn dwell_word(&self, time_s: f64) -> String {
        match self.style.dwell {
            DwellWord::PSeconds => format!("P{}", fixed(time_s, 3)),
            DwellWord::PMilliseconds => format!("P{:.0}", time_s * 1e3),
        }
    }

    fn place(&self, stroke: &Stroke) -> String {
        format!("X{} Y{}", self.mm(stroke.at.x), self.mm(stroke.at.y))
    }

    fn stroke(&mut self, stroke: &Stroke) {
        let cutting = &stroke.cutting;
        // The cycle that lifts has no wait at the bottom, and its own feed back down.
        let plain_peck = cutting.dwell_s == 0.0 && cutting.reentry_m_per_s.is_none();
        if !self.style.canned {
            self.spelled_out(stroke);
        } else if cutting.peck_m.is_none() || plain_peck {
            self.cycle(stroke);
        } else {
            self.line("G80");
            self.spelled_out(stroke);
        }
    }

    /// One line of the controller's own cycle, in full each time, back to the clear height.
    fn cycle(&mut self, stroke: &Stroke) {
        let cutting = &stroke.cutting;
        let (cycle, extra) = match cutting.peck_m {
            Some(peck_m) => ("G83", format!(" Q{}", self.mm(peck_m))),
            None if cutting.dwell_s > 0.0 => {
                ("G82", format!(" {}", self.dwell_word(cutting.dwell_s)))
            }
            None => ("G81", String::new()),
        };
        let words = format!(
            "G99 {cycle} {} Z{} R{}{extra} F{}",
            self.place(stroke),
            self.mm(-stroke.tip_depth_m),
            self.mm(self.machine.clear_m),
            self.feed(cutting.feed_m_per_s),
        );
        self.line(&words);
    }

    fn spelled_out(&mut self, stroke: &Stroke) {
        let place = self.place(stroke);
        self.line(&format!("G0 {place}"));
        let clear = self.mm(self.machine.clear_m);
        self.line(&format!("G0 Z{clear}"));
        let cutting = &stroke.cutting;
        let mut drilled_m = 0.0;
        for bottom_m in bottoms(stroke) {
            self.back_down(stroke, drilled_m);
            self.feed_to(bottom_m, cutting.feed_m_per_s);
            if bottom_m == stroke.tip_depth_m {
                self.wait(cutting.dwell_s);
            }
            self.line(&format!("G0 Z{clear}"));
            drilled_m = bottom_m;
        }
    }

    /// Down again to just above the depth already drilled, if there is a feed for it.
    fn back_down(&mut self, stroke: &Stroke, drilled_m: f64) {
        let near_m = drilled_m - ABOVE_BOTTOM_M;
        if let Some(feed) = stroke.cutting.reentry_m_per_s
            && near_m > 0.0
        {
            self.feed_to(near_m, feed);
        }
    }

    fn feed_to(&mut self, depth_m: f64, feed_m_per_s: f64) {
        let words = format!("G1 Z{} F{}", self.mm(-depth_m), self.feed(feed_m_per_s));
        self.line(&words);
    }

    /// A feed in millimetres a minute.
    fn feed(&self, feed_m_per_s: f64) -> String {
        fixed(feed_m_per_s * 60e3, self.style.decimals.max(1))
    }

    fn close(&mut self) {
        self.stop_and_lift();
        let park = self.machine.park;
        let words = format!("G0 X{} Y{}", self.mm(park.x), self.mm(park.y));
        self.line(&words);
        self.line("M30");
        self.text.push_str("%\n");
    }
}

/// The depths at which the drill is lifted, the last the full depth.
fn bottoms(stroke: &Stroke) -> Vec<f64> {
    let Some(peck_m) = stroke.cutting.peck_m else {
        return vec![stroke.tip_depth_m];
    };
    // A last bite thinner than rounding is no bite.
    let bites = libm::ceil(stroke.tip_depth_m / peck_m - 1e-9).max(1.0) as usize;
    (1..bites)
        .map(|bite| bite as f64 * peck_m)
        .chain([stroke.tip_depth_m])
        .collect()
}

fn fit_machine(machine: &Machine, style: &Style) -> Result<(), ExportFault> {
    let decimals = style.decimals;
    let written = decimals <= MOST_DECIMALS;
    require(
        written,
        "number of decimals",
        f64::from(decimals),
        "at most 6",
    )?;
    for axis in 0..3 {
        let (low, high) = (machine.low_m[axis], machine.high_m[axis]);
        require(
            low.is_finite() && high.is_finite(),
            "reach of the machine",
            low,
            "finite",
        )?;
        require(
            low < high,
            "lower end of the machine's reach",
            low,
            "below the upper end",
        )?;
    }
    let (clear_m, safe_m) = (machine.clear_m, machine.safe_m);
    let resolution_m = 1e-3 * libm::pow(10.0, -f64::from(decimals));
    require(
        clear_m >= resolution_m,
        "clear height",
        clear_m,
        "above the face",
    )?;
    require(
        safe_m >= clear_m,
        "safe height",
        safe_m,
        "no lower than the clear height",
    )?;
    let reached = safe_m <= machine.high_m[2];
    require(reached, "safe height", safe_m, "within the machine's reach")?;
    for (axis, value) in [machine.park.x, machine.park.y].into_iter().enumerate() {
        let reached = machine.low_m[axis] <= value && value <= machine.high_m[axis];
        require(
            reached,
            "place of the park",
            value,
            "within the machine's reach",
        )?;
    }
    Ok(())
}

fn fit_stroke(
    hole: usize,
    stroke: &Stroke,
    machine: &Machine,
    style: &Style,
) -> Result<(), ExportFault> {
    let resolution = libm::pow(10.0, -f64::from(style.decimals));
    let finest_m = 1e-3 * resolution;
    let cutting = &stroke.cutting;
    let slowest = 60e3 * cutting.feed_m_per_s >= resolution.min(0.1);
    let reentry = cutting.reentry_m_per_s.unwrap_or(cutting.feed_m_per_s);
    let peck_m = cutting.peck_m.unwrap_or(stroke.tip_depth_m);
    let bite_m = stroke.tip_depth_m / MOST_BITES;
    let rpm = cutting.spindle_rpm;
    let rules = [
        (
            stroke.tip_depth_m >= finest_m,
            "depth",
            stroke.tip_depth_m,
            "above zero",
        ),
        (
            stroke.diameter_m > 0.0,
            "diameter",
            stroke.diameter_m,
            "above zero",
        ),
        (stroke.tool > 0, "tool", f64::from(stroke.tool), "1 or more"),
        (slowest, "feed", cutting.feed_m_per_s, "above zero"),
        (
            reentry >= cutting.feed_m_per_s,
            "re-entry feed",
            reentry,
            "no slower than the feed",
        ),
        (
            peck_m >= finest_m.max(bite_m),
            "peck",
            peck_m,
            "a thousandth of the depth or more",
        ),
        (
            cutting.dwell_s >= 0.0,
            "dwell",
            cutting.dwell_s,
            "zero or more",
        ),
        (
            rpm >= 1.0 && rpm <= machine.spindle_max_rpm,
            "spindle speed",
            rpm,
            "1 to the machine's fastest",
        ),
    ];
    for (holds, what, value, expected) in rules {
        if !(holds && value.is_finite()) {
            return Err(ExportFault::HoleSize {
                hole,
                what,
                value,
                expected,
            });
        }
    }
    reachable(hole, stroke, machine)
}

fn reachable(hole: usize, stroke: &Stroke, machine: &Machine) -> Result<(), ExportFault> {
    let places = [stroke.at.x, stroke.at.y, -stroke.tip_depth_m];
    for (axis, value_m) in places.into_iter().enumerate() {
        let (low_m, high_m) = (machine.low_m[axis], machine.high_m[axis]);
        if !(low_m..=high_m).contains(&value_m) {
            return Err(ExportFault::OutOfReach {
                hole,
                axis: ['x', 'y', 'z'][axis],
                value_m,
                low_m,
                high_m,
            });
        }
    }
    Ok(())
}
