//! A good line to start from: station after station, the best load by a score.
//!
//! Hoffmann (1963) takes the load that leaves least idle time. Sewell & Jacobson (2012) score a load by the
//! sum over its tasks of (time + a x positional weight + b x number of direct followers - g), and try a
//! grid of a, b, g from both ends of the line, so that tasks that hold up much work go early and many
//! small tasks are kept for later. Times count in mean task times here, so the grid means the same for
//! any tick. From memory.

use super::bits::{insert, members};
use super::loads::{End, Loads};
use super::meter::Meter;
use super::model::Graph;

/// The weights of one score.
#[derive(Debug, Clone, Copy)]
pub(super) struct Taste {
    position: f64,
    followers: f64,
    each: f64,
}

/// The grid of scores, plain Hoffmann first.
pub(super) fn tastes() -> Vec<Taste> {
    let mut grid = Vec::new();
    for position in [0.0, 0.005, 0.01, 0.02] {
        for each in [0.0, 0.03, 0.1] {
            for followers in [0.0, 0.02] {
                grid.push(Taste {
                    position,
                    followers,
                    each,
                });
            }
        }
    }
    grid
}

/// A line of fewer than `below` stations as loads in the order of the graph, if this score finds one.
/// Each station may cost `cap` nodes.
pub(super) fn hoffmann(
    graph: &Graph,
    taste: Taste,
    below: u64,
    cap: u64,
    meter: &mut Meter<'_>,
) -> Option<Vec<Vec<u32>>> {
    let worth = worths(graph, taste);
    let mut loads = Loads::new(graph);
    let mut done = vec![0_u64; graph.words];
    let mut line: Vec<Vec<u32>> = Vec::new();
    let mut left = graph.count;
    while left > 0 {
        let mut best: (f64, Vec<u32>) = (f64::NEG_INFINITY, Vec::new());
        let end = loads.each(graph, &done, u64::MAX, cap, meter, |load, _| {
            let score: f64 = load.iter().map(|&task| worth[task as usize]).sum();
            if score > best.0 {
                best = (score, load.to_vec());
            }
            true
        });
        let another = u64::from(left > best.1.len());
        let too_long = line.len() as u64 + 1 + another >= below;
        if end == End::Halted || best.1.is_empty() || too_long {
            return None;
        }
        for &task in &best.1 {
            insert(&mut done, task as usize);
        }
        left -= best.1.len();
        line.push(best.1);
    }
    Some(line)
}

fn worths(graph: &Graph, taste: Taste) -> Vec<f64> {
    let mean = graph.times.iter().sum::<u64>() as f64 / graph.count as f64;
    let worth = |task: usize| {
        let follow: u64 = members(graph.followers(task)).map(|t| graph.times[t]).sum();
        let time = graph.times[task] as f64 / mean;
        let position = time + follow as f64 / mean;
        let followers = graph.next[task].len() as f64;
        time + taste.position * position + taste.followers * followers - taste.each
    };
    (0..graph.count).map(worth).collect()
}
