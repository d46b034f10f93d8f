//! All maximal loads of the next station.
//!
//! A load is built task by task from a list of the free tasks; a task freed by the load joins the end of the
//! list, and tasks are taken in list order only, so each load arises once. A load is handed on when no
//! free task fits any more (maximal load rule) and no task of it could be exchanged for a free task that
//! is no shorter and followed by at least as much (Jackson 1956); Scholl & Becker 2006, section 2.3.
//! Exchanging, and moving tasks forward, turns any best line into one built of such loads only.

use super::bits::has;
use super::meter::Meter;
use super::model::Graph;

/// How building the loads of one station ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum End {
    /// All loads were seen, or the visitor had seen enough.
    Complete,
    /// The cap on nodes for one station came first.
    Capped,
    /// The limit of the whole search came first.
    Halted,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Standing {
    Blocked,
    Free,
    Taken,
}

/// What was undone when a task was taken.
struct Step {
    /// Where in the list the task stood.
    place: usize,
    /// Length of the list before it freed others.
    listed: usize,
}

/// Room to build loads in, kept between stations.
pub(super) struct Loads {
    waits: Vec<u32>,
    standing: Vec<Standing>,
    list: Vec<u32>,
    steps: Vec<Step>,
    load: Vec<u32>,
}

impl Loads {
    pub(super) fn new(graph: &Graph) -> Loads {
        Loads {
            waits: graph.waits.clone(),
            standing: vec![Standing::Blocked; graph.count],
            list: Vec::new(),
            steps: Vec::new(),
            load: Vec::new(),
        }
    }

    /// Calls `visit(load, room left)` for each load of the station after the tasks `done`, for at most
    /// `cap` nodes, skipping loads that leave more than `idle` room. `visit` returns whether to go on.
    pub(super) fn each(
        &mut self,
        graph: &Graph,
        done: &[u64],
        idle: u64,
        cap: u64,
        meter: &mut Meter<'_>,
        mut visit: impl FnMut(&[u32], u64) -> bool,
    ) -> End {
        self.start(graph, done);
        let last = meter.used().saturating_add(cap);
        let (mut room, mut from, mut fresh) = (graph.cycle, 0, true);
        loop {
            if let Some(place) = self.next_fit(graph, from, room) {
                if !meter.spend() {
                    return End::Halted;
                }
                if meter.used() > last {
                    return End::Capped;
                }
                room -= self.take(graph, place);
                (from, fresh) = (place + 1, true);
                continue;
            }
            if fresh && room <= idle && self.stands(graph, room) && !visit(&self.load, room) {
                return End::Complete;
            }
            let Some(place) = self.put_back(graph, &mut room) else {
                return End::Complete;
            };
            (from, fresh) = (place + 1, false);
        }
    }

    fn start(&mut self, graph: &Graph, done: &[u64]) {
        self.list.clear();
        self.steps.clear();
        self.load.clear();
        self.waits.copy_from_slice(&graph.waits);
        self.standing.fill(Standing::Blocked);
        for task in (0..graph.count).filter(|&task| has(done, task)) {
            for &later in &graph.next[task] {
                self.waits[later as usize] -= 1;
            }
        }
        for task in (0..graph.count).filter(|&task| !has(done, task)) {
            if self.waits[task] == 0 {
                self.free(task as u32);
            }
        }
    }

    fn free(&mut self, task: u32) {
        self.standing[task as usize] = Standing::Free;
        self.list.push(task);
    }

    fn next_fit(&self, graph: &Graph, from: usize, room: u64) -> Option<usize> {
        let rest = self.list.get(from..)?;
        let fits = |&task: &u32| graph.times[task as usize] <= room;
        rest.iter().position(fits).map(|offset| from + offset)
    }

    fn take(&mut self, graph: &Graph, place: usize) -> u64 {
        let task = self.list[place];
        self.steps.push(Step {
            place,
            listed: self.list.len(),
        });
        self.load.push(task);
        self.standing[task as usize] = Standing::Taken;
        for &later in &graph.next[task as usize] {
            self.waits[later as usize] -= 1;
            if self.waits[later as usize] == 0 {
                self.free(later);
            }
        }
        graph.times[task as usize]
    }

    fn put_back(&mut self, graph: &Graph, room: &mut u64) -> Option<usize> {
        let step = self.steps.pop()?;
        let task = self.load.pop()?;
        for freed in self.list.drain(step.listed..) {
            self.standing[freed as usize] = Standing::Blocked;
        }
        for &later in &graph.next[task as usize] {
            self.waits[later as usize] += 1;
        }
        self.standing[task as usize] = Standing::Free;
        *room += graph.times[task as usize];
        Some(step.place)
    }

    /// Whether the load is maximal and no exchange betters it.
    fn stands(&self, graph: &Graph, room: u64) -> bool {
        let free = |task: u32| self.standing[task as usize] == Standing::Free;
        let fits = |&task: &u32| free(task) && graph.times[task as usize] <= room;
        if self.load.is_empty() || self.list.iter().any(fits) {
            return false;
        }
        let bettered = |&task: &u32| {
            let most = graph.times[task as usize] + room;
            let dominators = graph.dominators[task as usize].iter();
            let mut fitting = dominators.filter(|&&other| graph.times[other as usize] <= most);
            fitting.any(|&other| free(other))
        };
        !self.load.iter().any(bettered)
    }
}
