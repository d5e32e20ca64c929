//! Signals that must not kill the program in the middle of a line.

use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// The wish to end, by Ctrl-C or a polite request of the system.
#[derive(Debug, Clone, Default)]
pub(crate) struct Interrupted {
    /// Set by the signals alone.
    wished: Arc<AtomicBool>,
    /// Set by the signals, and by whoever wants a loop to come back.
    stop: Arc<AtomicBool>,
}

impl Interrupted {
    /// From now on Ctrl-C (and SIGTERM) only sets flags; whoever asked for it must look.
    ///
    /// # Errors
    /// What the system answered.
    pub(crate) fn watched() -> io::Result<Self> {
        let flags = Self::default();
        for signal in [signal_hook::consts::SIGINT, signal_hook::consts::SIGTERM] {
            signal_hook::flag::register(signal, Arc::clone(&flags.wished))?;
            signal_hook::flag::register(signal, Arc::clone(&flags.stop))?;
        }
        Ok(flags)
    }

    /// Whether the end was wished for.
    pub(crate) fn is_wished(&self) -> bool {
        self.wished.load(Ordering::SeqCst)
    }

    /// The flag that a loop looks at.
    pub(crate) fn stop_flag(&self) -> &AtomicBool {
        &self.stop
    }

    /// Calls a loop back.
    pub(crate) fn call_back(&self) {
        self.stop.store(true, Ordering::SeqCst);
    }

    /// Lets a loop run again; a wish that comes meanwhile is kept.
    pub(crate) fn run_on(&self) {
        self.stop.store(false, Ordering::SeqCst);
    }
}

/// A file that reaches its size limit answers the write with an error instead of killing the
/// program, so that a reading can be shown as not recorded.
///
/// Nothing can be done about a failure here; the write then ends the program, as without it.
#[cfg(unix)]
pub(super) fn survive_file_size_limit() {
    let unread = Arc::new(AtomicBool::new(false));
    drop(signal_hook::flag::register(libc::SIGXFSZ, unread));
}

/// Elsewhere there is no such signal.
#[cfg(not(unix))]
pub(super) fn survive_file_size_limit() {}
