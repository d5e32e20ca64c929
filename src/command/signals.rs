//! Signals that must not kill the program in the middle of a line.

use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use signal_hook::SigId;

/// How the program ends at a second wish: 128 and the number of the signal, as shells say it.
const ENDED_BY_SIGNAL: i32 = 130;

/// The wish to end, by Ctrl-C or a polite request of the system.
#[derive(Debug, Clone, Default)]
pub(crate) struct Interrupted {
    /// Set by the signals alone.
    wished: Arc<AtomicBool>,
    /// Set by the signals, and by whoever wants a loop to come back.
    stop: Arc<AtomicBool>,
    /// What ends the program at a second wish.
    second: Vec<SigId>,
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

    /// As [`Interrupted::watched`], but a second signal ends the program at once, for work that
    /// cannot look at every moment.
    ///
    /// # Errors
    /// What the system answered.
    pub(super) fn watched_once() -> io::Result<Self> {
        let wished = Arc::new(AtomicBool::new(false));
        let mut second = Vec::new();
        // Signals are told in the order of registration: the first one is not a second one.
        for signal in [signal_hook::consts::SIGINT, signal_hook::consts::SIGTERM] {
            let wished = Arc::clone(&wished);
            second.push(signal_hook::flag::register_conditional_shutdown(
                signal,
                ENDED_BY_SIGNAL,
                wished,
            )?);
        }
        for signal in [signal_hook::consts::SIGINT, signal_hook::consts::SIGTERM] {
            signal_hook::flag::register(signal, Arc::clone(&wished))?;
        }
        let stop = Arc::default();
        Ok(Self {
            wished,
            stop,
            second,
        })
    }

    /// From now on no signal ends the program: it is soon done, and looks for the wish itself.
    pub(super) fn wait_for_the_end(&self) {
        for second in &self.second {
            signal_hook::low_level::unregister(*second);
        }
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
