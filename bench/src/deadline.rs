//! A limit in seconds for a search that only counts steps: the clock stays outside the engines.
#![expect(clippy::disallowed_methods, reason = "a bench measures time")]

use std::time::{Duration, Instant};

/// When a run started, and when it has to end.
pub(crate) struct Deadline {
    start: Instant,
    limit: Duration,
}

impl Deadline {
    /// Starts now.
    pub(crate) fn seconds(limit: f64) -> Result<Self, String> {
        let limit = Duration::try_from_secs_f64(limit)
            .map_err(|fault| format!("--seconds {limit}: {fault}"))?;
        Ok(Self {
            start: Instant::now(),
            limit,
        })
    }

    /// Whether the time is up.
    pub(crate) fn passed(&self) -> bool {
        self.start.elapsed() >= self.limit
    }

    /// Seconds since the start.
    pub(crate) fn elapsed_s(&self) -> f64 {
        self.start.elapsed().as_secs_f64()
    }
}

/// What a command was given: its file and the value behind `--seconds`.
pub(crate) struct Given {
    pub(crate) file: String,
    pub(crate) seconds: f64,
}

/// Reads `FILE [--seconds S]`.
pub(crate) fn given(arguments: &[String], default_s: f64) -> Result<Given, String> {
    let mut file = None;
    let mut seconds = default_s;
    let mut rest = arguments.iter();
    while let Some(argument) = rest.next() {
        if argument == "--seconds" {
            let text = rest.next().ok_or("--seconds wants a number")?;
            seconds = text
                .parse()
                .map_err(|fault| format!("--seconds {text}: {fault}"))?;
        } else if file.replace(argument.clone()).is_some() {
            return Err(format!("one file at a time; found another: {argument}"));
        }
    }
    let file = file.ok_or("expected a file")?;
    Ok(Given { file, seconds })
}

/// What some work gives, and how many seconds it takes.
pub(crate) fn timed<T>(work: impl FnOnce() -> T) -> (T, f64) {
    let start = Instant::now();
    let done = work();
    (done, start.elapsed().as_secs_f64())
}
