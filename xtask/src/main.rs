//! House tasks: tests, tidy rules, generated pages.

fn main() {}
