//! Published lines, retyped for the tests.
//!
//! Times by task and arcs "first-then", tasks from 1, as in the data set of A. Scholl, *Balancing and
//! Sequencing of Assembly Lines* (Physica 1999). Original papers from memory: Bowman (1960, p. 385), Mertens
//! (1967), Jaeschke (1964), Jackson (1956), Mansoor (1964), Mitchell (1957), Heskiaoff (1968), Sawyer (1970),
//! Kilbridge & Wester (1961). The optima are CHECKS.md LB-01 to LB-09 (computed there by constraint
//! programming, every one proved).

use super::{LineProblem, Task};

/// A line and its fewest stations for some cycles.
pub(super) struct Published {
    pub name: &'static str,
    pub times: &'static [u64],
    pub arcs: &'static [(usize, usize)],
    pub optima: &'static [(u64, usize)],
}

impl Published {
    pub(super) fn problem(&self) -> LineProblem {
        let after = |task: usize| {
            let into = self.arcs.iter().filter(move |arc| arc.1 == task + 1);
            into.map(|arc| arc.0 - 1).collect()
        };
        let tasks = self.times.iter().enumerate();
        LineProblem {
            tasks: tasks
                .map(|(task, &time)| Task {
                    time,
                    after: after(task),
                })
                .collect(),
        }
    }
}

/// LB-01, 8 tasks, 75 in all.
pub(super) const BOWMAN: Published = Published {
    name: "BOWMAN",
    times: &[11, 17, 9, 5, 8, 12, 10, 3],
    arcs: &[
        (1, 2),
        (2, 3),
        (2, 4),
        (3, 5),
        (3, 6),
        (4, 6),
        (5, 7),
        (6, 8),
    ],
    optima: &[(20, 5)],
};

/// LB-02, 7 tasks, 29 in all.
pub(super) const MERTENS: Published = Published {
    name: "MERTENS",
    times: &[1, 5, 4, 3, 5, 6, 5],
    arcs: &[(1, 2), (1, 4), (2, 3), (2, 5), (4, 7), (5, 6)],
    optima: &[(6, 6), (7, 5), (8, 5), (10, 3), (15, 2), (18, 2)],
};

/// LB-03, 9 tasks, 37 in all.
pub(super) const JAESCHKE: Published = Published {
    name: "JAESCHKE",
    times: &[5, 3, 4, 5, 4, 5, 1, 4, 6],
    arcs: &[
        (1, 2),
        (1, 3),
        (2, 4),
        (3, 4),
        (4, 5),
        (4, 6),
        (4, 7),
        (5, 8),
        (6, 9),
        (7, 9),
        (8, 9),
    ],
    optima: &[(6, 8), (7, 7), (8, 6), (10, 4), (18, 3)],
};

/// LB-04, 11 tasks, 46 in all.
pub(super) const JACKSON: Published = Published {
    name: "JACKSON",
    times: &[6, 2, 5, 7, 1, 2, 3, 6, 5, 5, 4],
    arcs: &[
        (1, 2),
        (1, 3),
        (1, 4),
        (1, 5),
        (2, 6),
        (3, 7),
        (4, 7),
        (5, 7),
        (6, 8),
        (7, 9),
        (8, 10),
        (9, 11),
        (10, 11),
    ],
    optima: &[(7, 8), (9, 6), (10, 5), (13, 4), (14, 4), (21, 3)],
};

/// LB-05, 11 tasks, 185 in all.
pub(super) const MANSOOR: Published = Published {
    name: "MANSOOR",
    times: &[4, 38, 45, 12, 10, 8, 12, 10, 2, 10, 34],
    arcs: &[
        (1, 4),
        (2, 4),
        (2, 5),
        (3, 11),
        (4, 6),
        (5, 7),
        (6, 8),
        (7, 9),
        (8, 10),
        (9, 10),
        (10, 11),
    ],
    optima: &[(48, 4), (62, 3), (94, 2)],
};

/// LB-06, 21 tasks, 105 in all.
pub(super) const MITCHELL: Published = Published {
    name: "MITCHELL",
    times: &[
        4, 3, 9, 5, 9, 4, 8, 7, 5, 1, 3, 1, 5, 3, 5, 3, 13, 5, 2, 3, 7,
    ],
    arcs: &[
        (1, 2),
        (1, 3),
        (2, 21),
        (3, 4),
        (4, 5),
        (4, 21),
        (5, 6),
        (5, 7),
        (6, 8),
        (7, 8),
        (7, 14),
        (8, 9),
        (9, 10),
        (9, 11),
        (9, 12),
        (9, 13),
        (10, 15),
        (11, 15),
        (12, 15),
        (13, 17),
        (13, 18),
        (14, 19),
        (15, 16),
        (15, 18),
        (16, 17),
        (17, 20),
        (18, 19),
    ],
    optima: &[(14, 8), (15, 8), (21, 5), (26, 5), (35, 3), (39, 3)],
};

/// LB-07, 28 tasks, 1024 in all.
pub(super) const HESKIAOFF: Published = Published {
    name: "HESKIAOFF",
    times: &[
        70, 59, 33, 6, 1, 27, 17, 62, 31, 53, 21, 19, 108, 52, 5, 8, 97, 8, 47, 67, 17, 8, 3, 21,
        107, 3, 2, 72,
    ],
    arcs: &[
        (1, 3),
        (1, 4),
        (1, 5),
        (1, 8),
        (1, 19),
        (1, 21),
        (1, 22),
        (1, 23),
        (1, 24),
        (1, 26),
        (2, 6),
        (2, 17),
        (3, 28),
        (4, 28),
        (5, 28),
        (6, 7),
        (7, 18),
        (8, 9),
        (9, 10),
        (10, 11),
        (10, 12),
        (11, 15),
        (12, 13),
        (13, 14),
        (13, 16),
        (14, 28),
        (15, 28),
        (16, 28),
        (17, 28),
        (18, 28),
        (19, 20),
        (20, 28),
        (21, 28),
        (22, 28),
        (23, 28),
        (24, 25),
        (25, 28),
        (26, 27),
        (27, 28),
    ],
    optima: &[(138, 8), (205, 5), (216, 5), (256, 4), (324, 4), (342, 3)],
};

/// LB-08, 30 tasks, 324 in all.
pub(super) const SAWYER: Published = Published {
    name: "SAWYER",
    times: &[
        8, 7, 19, 10, 2, 6, 14, 10, 1, 4, 14, 15, 5, 12, 9, 10, 2, 10, 18, 16, 21, 14, 16, 7, 17,
        9, 25, 7, 14, 2,
    ],
    arcs: &[
        (3, 2),
        (1, 4),
        (1, 5),
        (2, 11),
        (2, 12),
        (3, 16),
        (3, 17),
        (4, 7),
        (5, 6),
        (6, 7),
        (7, 8),
        (8, 9),
        (9, 26),
        (10, 24),
        (12, 13),
        (13, 14),
        (14, 15),
        (14, 20),
        (15, 22),
        (16, 20),
        (17, 18),
        (18, 19),
        (20, 21),
        (20, 24),
        (21, 22),
        (22, 23),
        (23, 27),
        (24, 25),
        (25, 26),
        (26, 27),
        (27, 28),
        (27, 29),
        (29, 30),
    ],
    optima: &[
        (25, 14),
        (27, 13),
        (30, 12),
        (33, 11),
        (36, 10),
        (41, 8),
        (47, 8),
        (54, 7),
        (75, 5),
    ],
};

/// LB-09, 45 tasks, 552 in all.
pub(super) const KILBRIDGE_WESTER: Published = Published {
    name: "KILBRIDGE_WESTER",
    times: &[
        9, 9, 10, 10, 17, 17, 13, 13, 20, 20, 10, 11, 6, 22, 11, 19, 12, 3, 7, 4, 55, 14, 27, 29,
        26, 6, 5, 24, 4, 5, 7, 4, 15, 3, 7, 9, 4, 7, 5, 4, 21, 12, 6, 5, 5,
    ],
    arcs: &[
        (1, 3),
        (1, 7),
        (2, 4),
        (2, 8),
        (3, 5),
        (4, 6),
        (5, 9),
        (6, 10),
        (7, 9),
        (7, 14),
        (8, 10),
        (8, 14),
        (9, 41),
        (10, 41),
        (11, 13),
        (12, 13),
        (12, 37),
        (13, 14),
        (13, 15),
        (14, 17),
        (14, 25),
        (14, 29),
        (14, 30),
        (14, 31),
        (14, 32),
        (15, 16),
        (15, 18),
        (15, 23),
        (15, 24),
        (16, 19),
        (17, 26),
        (17, 27),
        (18, 19),
        (19, 20),
        (19, 33),
        (20, 21),
        (21, 22),
        (22, 28),
        (23, 33),
        (24, 33),
        (25, 26),
        (26, 38),
        (27, 28),
        (27, 33),
        (28, 38),
        (29, 41),
        (30, 41),
        (31, 41),
        (32, 41),
        (33, 34),
        (33, 35),
        (33, 36),
        (34, 38),
        (35, 40),
        (36, 38),
        (37, 43),
        (38, 40),
        (39, 41),
        (40, 41),
        (41, 42),
        (42, 44),
        (42, 45),
    ],
    optima: &[
        (56, 10),
        (57, 10),
        (62, 9),
        (69, 8),
        (79, 7),
        (92, 6),
        (110, 6),
        (111, 5),
        (138, 4),
        (184, 3),
    ],
};

/// All of them.
pub(super) const ALL: [&Published; 9] = [
    &BOWMAN,
    &MERTENS,
    &JAESCHKE,
    &JACKSON,
    &MANSOOR,
    &MITCHELL,
    &HESKIAOFF,
    &SAWYER,
    &KILBRIDGE_WESTER,
];
