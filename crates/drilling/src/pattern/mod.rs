//! Where the holes go, and whether they may go there.
