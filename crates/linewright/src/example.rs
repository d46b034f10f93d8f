//! Fenmoor Works, the example that `start` writes: invented, and built into the binary.

/// Makes the list of files from their paths in the example's folder.
macro_rules! fenmoor {
    ($($path:literal),* $(,)?) => {
        &[$(($path, include_bytes!(concat!("../../../examples/fenmoor/", $path)) as &[u8])),*]
    };
}

/// Every file of the example: its path in the works folder and its bytes.
pub(crate) const FENMOOR: &[(&str, &[u8])] = fenmoor![
    "README.md",
    "works.toml",
    "routes/nest-block.toml",
    "routes/plot-sign.toml",
    "routes/smoked-duck.toml",
    "routes/snap-tape.toml",
    "routes/glide-tape.toml",
    "boards/ash-strips.csv",
    "orders.csv",
    "stock/stores.csv",
    "readings/logs/oven-2026-11-09.csv",
    "readings/weighed/kiln-2026-11-10.csv",
    "readings/lots.csv",
    "readings/stops.csv",
    "readings/times.csv",
    "readings/weights.csv",
];
