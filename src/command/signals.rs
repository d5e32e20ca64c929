//! Signals that must not kill the program in the middle of a line.

use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Set by Ctrl-C and by a polite request to end.
#[derive(Debug, Clone, Default)]
pub(crate) struct Interrupted(Arc<AtomicBool>);

impl Interrupted {
    /// From now on Ctrl-C (and SIGTERM) only sets this flag; whoever asked for it must look.
    ///
    /// # Errors
    /// What the system answered.
    pub(crate) fn watched() -> io::Result<Self> {
        let flag = Self::default();
        for signal in [signal_hook::consts::SIGINT, signal_hook::consts::SIGTERM] {
            signal_hook::flag::register(signal, Arc::clone(&flag.0))?;
        }
        Ok(flag)
    }

    /// Whether the end was asked for.
    pub(crate) fn is_set(&self) -> bool {
        self.0.load(Ordering::SeqCst)
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
