//! Heat: from the recipes a route states to the heat engine and back.

mod answer;

pub use answer::{
    ChangeLine, Counted, FittedLine, HeatPlan, LoadLine, LoadTrace, LogLine, MapLine, NeedLine,
    PieceLine, ProbeLine, ProfileLine, SpeedLine, StageLine, StartLine, WindowLine,
};
