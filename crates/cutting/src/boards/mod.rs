//! Boards with marked faults: the best cuts of one board, of a pack, and of boards as they come.
