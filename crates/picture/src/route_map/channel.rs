//! The room between two layers: which arrow runs on which track, and where its label stands.

use super::net::{Link, Net};
use crate::lettering;

/// Distance between two tracks.
pub(super) const TRACK: f64 = 8.0;
/// Room before the first track.
pub(super) const LEAD: f64 = 9.0;
/// Room for the arrow head.
pub(super) const HEAD: f64 = 15.0;
pub(super) const LABEL_SIZE: f64 = 10.5;
pub(super) const LABEL_ROW: f64 = 13.0;

/// The run of a link across the flow: where it starts, where it ends.
#[derive(Clone, Copy, Debug)]
pub(super) struct Run {
    pub(super) link: usize,
    pub(super) start: f64,
    pub(super) end: f64,
}

impl Run {
    pub(super) fn is_straight(&self) -> bool {
        (self.start - self.end).abs() < 0.5
    }

    fn spans(&self, at: f64) -> bool {
        at > self.start.min(self.end) - 4.0 && at < self.start.max(self.end) + 4.0
    }

    fn meets(&self, other: &Self) -> bool {
        self.start.min(self.end) < other.start.max(other.end) + 6.0
            && other.start.min(other.end) < self.start.max(self.end) + 6.0
    }
}

/// A label beside the last piece of an arrow.
#[derive(Clone, Debug)]
pub(super) struct Tag {
    pub(super) link: usize,
    pub(super) words: String,
    pub(super) width: f64,
    /// Row, counted from the arrow head, when the flow runs down.
    pub(super) row: usize,
    /// Whether it stands on the low side of its line.
    pub(super) low_side: bool,
}

/// The room between two layers.
#[derive(Clone, Debug, Default)]
pub(super) struct Channel {
    /// Track of each run that is not straight, as (link, track).
    pub(super) tracks: Vec<(usize, usize)>,
    pub(super) track_count: usize,
    pub(super) tags: Vec<Tag>,
    /// Room for labels along the flow.
    pub(super) label_room: f64,
}

impl Channel {
    pub(super) fn track(&self, link: usize) -> Option<f64> {
        self.tracks
            .iter()
            .find(|(of, _)| *of == link)
            .map(|(_, track)| *track as f64 * TRACK)
    }

    pub(super) fn length(&self) -> f64 {
        (LEAD + self.track_count as f64 * TRACK + self.label_room + HEAD).max(32.0)
    }
}

/// Where each link between a layer and the next runs.
pub(super) fn runs(net: &Net, across: &[f64], layer: usize) -> Vec<Run> {
    let between = |link: &&(usize, &Link)| net.vertices[link.1.up].layer == layer;
    let links: Vec<(usize, &Link)> = net.links.iter().enumerate().collect();
    links
        .iter()
        .filter(between)
        .map(|(index, link)| Run {
            link: *index,
            start: across[link.up] + link.up_port,
            end: across[link.down] + link.down_port,
        })
        .collect()
}

/// How bad it is for `near` to run on a track before `far`: crossings, and much for lying on it.
fn badness(near: &Run, far: &Run, turning: bool) -> i64 {
    let crossing = i64::from(near.spans(far.start));
    if turning {
        return crossing + i64::from(near.spans(far.end));
    }
    let on_top = (near.end - far.start).abs() < 5.0;
    crossing + i64::from(far.spans(near.end)) + if on_top { 100 } else { 0 }
}

/// Gives each run a track so that runs which meet lie on different tracks, in the order that
/// crosses least; `turning` where both layers lie on the same side of the channel.
pub(super) fn tracks(runs: &[Run], turning: bool) -> (Vec<(usize, usize)>, usize) {
    let runs: Vec<&Run> = runs
        .iter()
        .filter(|run| turning || !run.is_straight())
        .collect();
    // wants[a][b]: how much a wants to lie before b.
    let wants = |a: usize, b: usize| {
        if runs[a].meets(runs[b]) {
            badness(runs[b], runs[a], turning) - badness(runs[a], runs[b], turning)
        } else {
            0
        }
    };
    let mut left: Vec<usize> = (0..runs.len()).collect();
    let mut placed: Vec<(usize, usize)> = Vec::new();
    while !left.is_empty() {
        // Of those left, the one that the others least want to come before.
        let cost = |&a: &usize| left.iter().map(|&b| wants(b, a).max(0)).sum::<i64>();
        let Some(at) = (0..left.len()).min_by_key(|&i| (cost(&left[i]), i)) else {
            break;
        };
        let run = left.remove(at);
        let track = placed
            .iter()
            .filter(|(other, _)| runs[*other].meets(runs[run]))
            .map(|(_, track)| track + 1)
            .max()
            .unwrap_or(0);
        placed.push((run, track));
    }
    let count = placed.iter().map(|(_, track)| track + 1).max().unwrap_or(0);
    (
        placed
            .into_iter()
            .map(|(run, track)| (runs[run].link, track))
            .collect(),
        count,
    )
}

/// Labels of a channel when the flow runs along the lines of writing: each above its line.
pub(super) fn tags_along(labels: &[(Run, &str)]) -> (Vec<Tag>, f64) {
    let tags: Vec<Tag> = labels
        .iter()
        .map(|(run, words)| tag(run, words, 96.0))
        .collect();
    let room = tags.iter().map(|tag| tag.width + 4.0).fold(0.0, f64::max);
    (tags, room)
}

/// Labels of a channel when the flow runs down: beside their lines, in as many rows as it takes.
pub(super) fn tags_down(labels: &[(Run, &str)], all: &[Run]) -> (Vec<Tag>, f64) {
    let mut taken: Vec<(usize, f64, f64)> = Vec::new();
    let mut tags = Vec::new();
    for (run, words) in labels {
        let mut tag = tag(run, words, 110.0);
        let span = |low: bool| {
            if low {
                (run.end - 5.0 - tag.width, run.end - 5.0)
            } else {
                (run.end + 5.0, run.end + 5.0 + tag.width)
            }
        };
        let lines_behind = |(from, to): (f64, f64)| {
            all.iter()
                .filter(|other| other.end > from - 3.0 && other.end < to + 3.0)
                .count()
        };
        tag.low_side = lines_behind(span(true)) < lines_behind(span(false));
        let (from, to) = span(tag.low_side);
        let clash = |row: usize| {
            taken
                .iter()
                .any(|&(r, f, t)| r == row && f < to + 6.0 && from < t + 6.0)
        };
        while clash(tag.row) {
            tag.row += 1;
        }
        taken.push((tag.row, from, to));
        tags.push(tag);
    }
    let rows = tags.iter().map(|tag| tag.row + 1).max().unwrap_or(0);
    (tags, rows as f64 * LABEL_ROW)
}

fn tag(run: &Run, words: &str, room: f64) -> Tag {
    let words = lettering::elide(words.trim(), LABEL_SIZE, false, room);
    let width = lettering::width(&words, LABEL_SIZE, false);
    Tag {
        link: run.link,
        words,
        width,
        row: 0,
        low_side: false,
    }
}
