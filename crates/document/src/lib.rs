//! The plan as HTML, XLSX and JSON.
