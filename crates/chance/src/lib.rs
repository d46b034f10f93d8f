//! Distributions, random streams, fits and estimates with intervals.
