//! What the reader of a port and the rest of a session share: what is wanted of the gauge, and what
//! is seen of its line.

use std::collections::VecDeque;
use std::sync::{Mutex, MutexGuard, PoisonError};

use super::asking::Ask;
use super::taking::TakingSoFar;
use super::tap::Tap;

/// At most so many wishes wait for the reader, which looks many times a second.
const ASKS_MAX: usize = 8;
/// What is seen is told to whoever shows it at most so often, milliseconds (chosen: as often as an
/// eye reads digits).
pub(super) const SHOWN_EVERY_MS: u64 = 100;

/// The shared part of one port.
#[derive(Debug, Default)]
pub struct PortControl {
    inside: Mutex<Inside>,
}

#[derive(Debug, Default)]
struct Inside {
    asks: VecDeque<Ask>,
    tap: Tap,
    is_open: bool,
    is_busy: bool,
    /// Something is to be seen that was not told yet, and that somebody was told and did not look.
    is_changed: bool,
    is_told: bool,
    told_ms: Option<u64>,
}

impl PortControl {
    /// The control of a port; `tap` says which.
    pub(super) fn new(tap: Tap) -> Self {
        let inside = Inside {
            tap,
            ..Inside::default()
        };
        Self {
            inside: Mutex::new(inside),
        }
    }

    /// A thread that panicked while it held the lock has at most half a tap behind it.
    fn lock(&self) -> MutexGuard<'_, Inside> {
        self.inside.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// A value is wanted; never waits.
    ///
    /// # Errors
    /// A sentence, when the gauge is not attached or does not follow.
    pub fn ask(&self, ask: Ask) -> Result<(), String> {
        let mut inside = self.lock();
        if !inside.is_open {
            return Err(format!(
                "{} cannot be asked: {}. {}",
                ask.gauge,
                inside.tap.state.replace('_', " "),
                inside.tap.detail
            ));
        }
        if inside.asks.len() >= ASKS_MAX {
            return Err(format!(
                "{} does not follow: wait for its answer.",
                ask.gauge
            ));
        }
        inside.asks.push_back(ask);
        Ok(())
    }

    /// What is wanted, oldest first; it is the reader's now.
    pub(super) fn wanted(&self) -> VecDeque<Ask> {
        let mut inside = self.lock();
        inside.is_busy |= !inside.asks.is_empty();
        std::mem::take(&mut inside.asks)
    }

    /// Whether an answer to what was asked is still to come without anybody's doing.
    pub fn is_busy(&self) -> bool {
        let inside = self.lock();
        inside.is_open && (inside.is_busy || !inside.asks.is_empty())
    }

    /// The line as it was last seen.
    pub fn seen(&self) -> Tap {
        let mut inside = self.lock();
        inside.is_told = false;
        inside.tap.clone()
    }

    /// Changes what is seen.
    pub(super) fn show(&self, change: impl FnOnce(&mut Tap)) {
        let mut inside = self.lock();
        change(&mut inside.tap);
        inside.is_changed = true;
    }

    /// Shows what is being taken, if that is new; and whether an answer is still to come.
    pub(super) fn show_taking(&self, so_far: Option<TakingSoFar>, is_busy: bool) {
        let mut inside = self.lock();
        inside.is_busy = is_busy;
        if inside.tap.taking != so_far {
            inside.tap.taking = so_far;
            inside.is_changed = true;
        }
    }

    /// The port was opened, or is not open any more; wishes that waited are void.
    pub(super) fn line_is(&self, is_open: bool, state: &str, detail: &str) {
        let mut inside = self.lock();
        if inside.is_open != is_open {
            inside.asks.clear();
            inside.is_busy = false;
            inside.tap.taking = None;
        }
        inside.is_open = is_open;
        state.clone_into(&mut inside.tap.state);
        detail.clone_into(&mut inside.tap.detail);
        inside.is_changed = true;
    }

    /// Whether whoever shows it is to be told now.
    pub(super) fn is_due(&self, at_ms: u64) -> bool {
        let mut inside = self.lock();
        let soon = |told: u64| at_ms.saturating_sub(told) < SHOWN_EVERY_MS;
        if !inside.is_changed || inside.is_told || inside.told_ms.is_some_and(soon) {
            return false;
        }
        (inside.is_changed, inside.is_told) = (false, true);
        inside.told_ms = Some(at_ms);
        true
    }
}
