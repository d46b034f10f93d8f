//! What is being done, shown when it takes more than a second and somebody is looking.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use indicatif::{ProgressBar, ProgressStyle};

/// A line that says what is being done, and a flag that Ctrl-C raises.
pub(crate) struct Progress {
    bar: ProgressBar,
    stopped: Arc<AtomicBool>,
}

impl Progress {
    /// Starts showing; quiet when the error stream is no terminal.
    pub(crate) fn start() -> Self {
        let bar = ProgressBar::new_spinner();
        if let Ok(style) = ProgressStyle::with_template("{spinner} {msg} {elapsed}") {
            bar.set_style(style);
        }
        bar.enable_steady_tick(Duration::from_secs(1));
        let stopped = Arc::new(AtomicBool::new(false));
        let flag = Arc::clone(&stopped);
        // A second Ctrl-C need not be told from the first: the work in between is short. If no
        // handler can be set the default one ends the run, which loses nothing either.
        let _ = ctrlc::set_handler(move || flag.store(true, Ordering::SeqCst));
        Self { bar, stopped }
    }

    /// Says what is being done now.
    pub(crate) fn say(&self, what: impl Into<String>) {
        self.bar.set_message(what.into());
    }

    /// Whether Ctrl-C was pressed.
    pub(crate) fn stopped(&self) -> bool {
        self.stopped.load(Ordering::SeqCst)
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}
