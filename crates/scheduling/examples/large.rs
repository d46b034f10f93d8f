//! A large invented works, to measure. Arguments: operations, steps, threads.
#![allow(clippy::print_stdout, clippy::unwrap_used, clippy::disallowed_methods, missing_docs)]
use chance::Stream;
use effort::Effort;
use scheduling::calendar::{Calendar, Span};
use scheduling::improve::{Settings, improve, improve_from};
use scheduling::problem::*;
use std::time::Instant;

fn main() {
    let args: Vec<u64> = std::env::args().skip(1).map(|a| a.parse().unwrap()).collect();
    let (count, steps, threads) = (args[0] as usize, args[1], args[2] as usize);
    let s = &mut Stream::new(1, "large");
    let stations = 8 + count / 500;
    let hour = 3600;
    let days = 30 + 30 * count as i64 / stations as i64 / 40;
    let two = Calendar::of((0..days).filter(|d| d % 7 < 5).flat_map(|d| [
        Span::new(d * 24 * hour + 6 * hour, d * 24 * hour + 10 * hour),
        Span::new(d * 24 * hour + 10 * hour + 1200, d * 24 * hour + 14 * hour),
        Span::new(d * 24 * hour + 14 * hour, d * 24 * hour + 22 * hour)]).collect());
    let mut draft = Draft {
        horizon: days * 24 * hour,
        calendars: vec![two, Calendar::always()],
        objectives: vec![Objective::WeightedLateness, Objective::Spoiled, Objective::SetUp, Objective::WorkInProcess],
        crews: (0..3).map(|_| Crew { people: (0..days).filter(|d| d % 7 < 5).flat_map(|d| [(d * 24 * hour + 6 * hour, stations as u32 / 3), (d * 24 * hour + 22 * hour, 0)]).collect() }).collect(),
        ..Draft::default()
    };
    for st in 0..stations {
        let oven = st % 8 == 5;
        let families = 6;
        draft.stations.push(Station {
            units: 1 + s.index(2) as usize,
            calendar: usize::from(oven),
            kind: if oven { Kind::Oven { holds: 100, least: 40 } } else { Kind::Single },
            setups: SetUps { families, ticks: (0..families * families).map(|c| if c / families == c % families { 0 } else { 600 + 300 * s.index(6) as i64 }).collect(), first: vec![], pauses: true },
            stops: vec![(0, Span::new(50 * hour, 54 * hour))],
        });
    }
    while draft.operations.len() < count {
        let job = draft.jobs.len();
        let span = (count as f64 * 0.65 / stations as f64 / 1.5 / 14.0 * 24.0 * 3600.0 * 1.4) as i64;
        draft.jobs.push(Job { release: 0, due: Some(48 * hour + (s.uniform() * span as f64) as i64), weight: 1 + s.index(5) as i64 });
        let n = 3 + s.index(4) as usize;
        let base = 8 * s.index(stations as u64 / 8) as usize;
        for k in 0..n {
            let at = draft.operations.len();
            let mut st = base + k;
            if st >= stations { st -= stations; }
            let mut modes = vec![];
            let fam = s.index(6) as usize;
            let oven = st % 8 == 5;
            let mut m = Mode::on(st, if oven { 3 * hour } else { 1200 + 60 * s.index(80) as i64 });
            m.family = if oven { fam % 3 } else { fam };
            m.group = fam % 3;
            if !oven { m.crews = vec![(s.index(3) as usize, 1)]; }
            if !oven && s.uniform() < 0.3 { let mut alt = m.clone(); alt.station = base + (k + 1) % 4; alt.ticks = alt.ticks * 5 / 4; modes.push(m); modes.push(alt); } else { modes.push(m); }
            let over = if oven { Over::RunsOn } else { Over::Pauses };
            draft.operations.push(Operation { job, release: if k == 0 { s.index(5) as i64 * 8 * hour } else { 0 }, modes, size: 10 + s.index(40) as i64, over, frozen: None });
            if k > 0 {
                let mut l = Link::then(at - 1, at);
                if s.uniform() < 0.1 { l.most = Some(Most { ticks: 30 * hour, cost: if s.uniform() < 0.5 { Some(1) } else { None } }); }
                draft.links.push(l);
            }
        }
    }
    let t = Instant::now();
    let problem = Problem::new(draft.clone()).unwrap();
    println!("{} operations, {} jobs, {stations} stations, problem {:?}", problem.len(), draft.jobs.len(), t.elapsed());
    let t = Instant::now();
    let begun = improve(&problem, Settings { seed: 1, threads }, Effort::steps(0));
    println!("start {:?} {:?} broken {} beyond {}", t.elapsed(), begun.figures, begun.broken.len(), begun.beyond.len());
    let t = Instant::now();
    let plan = improve(&problem, Settings { seed: 1, threads }, Effort::steps(steps));
    println!("plan {:?} {:?} broken {} steps {}", t.elapsed(), plan.figures, plan.broken.len(), plan.steps);
    let old: Vec<Option<Placed>> = plan.placed.iter().copied().map(Some).collect();
    let t = Instant::now();
    let again = improve_from(&problem, &old, Settings { seed: 1, threads }, Effort::steps(0));
    println!("again {:?} {:?}", t.elapsed(), again.figures);
}
