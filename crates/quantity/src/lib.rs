//! Quantities with units as people write them.
