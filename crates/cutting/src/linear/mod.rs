//! The linear programme behind a cutting plan: rows are needs, columns are added as they are found.
