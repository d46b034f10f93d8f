//! What is being done, shown when it takes more than a second and somebody is looking.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use indicatif::{ProgressBar, ProgressStyle};

/// The exit code of a run that Ctrl-C ended, by the custom of shells: 128 and the signal's number.
const STOPPED: i32 = 130;

/// Whether somebody asked for the best so far. Searches look at it; there is one run in a process.
static BEST_SO_FAR: AtomicBool = AtomicBool::new(false);

/// Whether searches shall end with the best they have.
pub(crate) fn best_so_far() -> bool {
    BEST_SO_FAR.load(Ordering::Relaxed)
}

/// A line that says what is being done. Ctrl-C ends a search with the best so far, a second one or one at any other
/// time ends the run, unless files are being written.
pub(crate) struct Progress {
    bar: ProgressBar,
    writing: Arc<AtomicBool>,
    searching: Arc<AtomicBool>,
}

impl Progress {
    /// Starts showing; quiet when the error stream is no terminal.
    pub(crate) fn start() -> Self {
        let bar = ProgressBar::new_spinner();
        if let Ok(style) = ProgressStyle::with_template("{spinner} {msg} {elapsed}") {
            bar.set_style(style);
        }
        bar.enable_steady_tick(Duration::from_secs(1));
        let writing = Arc::new(AtomicBool::new(false));
        let searching = Arc::new(AtomicBool::new(false));
        let (flag, search, line) = (Arc::clone(&writing), Arc::clone(&searching), bar.clone());
        // If no handler can be set the default one ends the run, which loses nothing either.
        let _ = ctrlc::set_handler(move || {
            if search.load(Ordering::SeqCst) && !BEST_SO_FAR.swap(true, Ordering::SeqCst) {
                line.println("ending the search with the best so far; Ctrl-C again ends at once");
            } else {
                stop(&flag, &line);
            }
        });
        Self {
            bar,
            writing,
            searching,
        }
    }

    /// Says what is being done now.
    pub(crate) fn say(&self, what: impl Into<String>) {
        self.bar.set_message(what.into());
    }

    /// Whether a search is on that can end with the best so far.
    pub(crate) fn searching(&self, on: bool) {
        self.searching.store(on, Ordering::SeqCst);
    }

    /// From here on Ctrl-C is let pass: the files are moments from being whole.
    pub(crate) fn writing(&self) {
        self.say("writing the plan");
        self.writing.store(true, Ordering::SeqCst);
    }
}

/// Ends the run at once: engines do not look up from their work, and up to here nothing is written.
#[allow(
    clippy::exit,
    reason = "the thread that hears Ctrl-C has nobody to return to"
)]
fn stop(writing: &AtomicBool, line: &ProgressBar) {
    if writing.load(Ordering::SeqCst) {
        return;
    }
    line.finish_and_clear();
    eprintln!("stopped; nothing was written");
    std::process::exit(STOPPED);
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}
