//! Machine programs and drawings of a drilled part in open formats, and reading them back to verify them.
