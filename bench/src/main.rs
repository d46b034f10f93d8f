//! Published instances and comparisons with outside libraries.

fn main() {}
