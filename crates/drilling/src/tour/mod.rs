//! The order of the holes: the shortest way through all of them, with a lower bound.
