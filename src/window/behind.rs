//! What threads behind the window leave for the frame to look at.

use std::sync::{Mutex, MutexGuard, PoisonError};

/// What lies there now. A thread that ended in the middle has left what it knew before: that is
/// still to be seen.
pub(super) fn lock<T>(left: &Mutex<T>) -> MutexGuard<'_, T> {
    left.lock().unwrap_or_else(PoisonError::into_inner)
}
