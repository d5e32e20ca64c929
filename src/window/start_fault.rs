//! What went wrong in the Start room, and what to do.

use crate::session::BeginError;

/// What went wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StartFault {
    /// A sentence.
    pub message: String,
    /// What to do.
    pub hint: String,
}

impl From<BeginError> for StartFault {
    fn from(error: BeginError) -> Self {
        Self {
            // The lines behind the sentence are a picture with a caret for a terminal.
            message: error.message.lines().next().unwrap_or_default().to_owned(),
            hint: error.hint.unwrap_or_default(),
        }
    }
}
