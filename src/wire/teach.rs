//! "Teach me": from a few presses on known sizes to an adapter's description.
//!
//! Pure: what was heard goes in ([`Lesson`]), what it means comes out ([`Taught`]): what was
//! identified, what could not be, what is assumed, and the text of an adapter. Nothing is
//! guessed: a way of reading counts only if it explains every press, and the finished text is
//! read back and must decode every press, before it is handed out.

mod binary;
mod captured;
mod draft;
mod factor;
mod find;
mod framing;
mod groups;
mod problem;
mod prove;
mod registers;
mod setting;
mod skeleton;
mod text;
mod text_fields;

pub use captured::{CapturedError, captured_lesson};
pub use draft::draft_file;
pub use find::{Likeness, likeness, teach};
pub use problem::TeachProblem;
pub use setting::{line_of_text, line_text, lines_to_try};

use super::adapter::{LineSettings, Trigger};
use crate::quantity::Length;

/// Why a press was asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// The gauge measures a known size.
    Size(Length),
    /// Zeroed on one size, it measures a smaller one: it reads the difference, a minus.
    Zeroed {
        /// What it was zeroed on.
        on: Length,
        /// What it measures.
        size: Length,
    },
    /// It measures a known size after its unit key was pressed.
    OtherUnit(Length),
    /// It measures a known size that was not used before, to confirm.
    Confirm(Length),
}

impl Role {
    /// What the gauge must read.
    pub fn expected(self) -> Length {
        match self {
            Self::Size(size) | Self::OtherUnit(size) | Self::Confirm(size) => size,
            Self::Zeroed { on, size } => Length::from_nm(size.as_nm().saturating_sub(on.as_nm())),
        }
    }
}

/// What came down the line on one press.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Press {
    /// Why it was asked for.
    pub role: Role,
    /// How the line was set.
    pub line: LineSettings,
    /// The bytes, cut at pauses of [`GAP_MS`] and more.
    pub chunks: Vec<Vec<u8>>,
}

/// Everything heard so far.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lesson {
    /// The presses in order.
    pub presses: Vec<Press>,
    /// What started them.
    pub trigger: Trigger,
    /// What gauge and block may be off together, beside one digit of the reading.
    pub error: Length,
}

/// A pause that ends a burst, milliseconds (chosen: 3.5 characters at 1200 baud are 29 ms; a USB
/// adapter hands bytes on every 16 ms; streams come at most 20 times a second).
pub const GAP_MS: u32 = 30;

/// What a lesson gave.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Taught {
    /// The line's settings, once some press was understood.
    pub line: Option<LineSettings>,
    /// What was identified, one sentence each.
    pub found: Vec<String>,
    /// What could not be identified, one sentence each.
    pub unknown: Vec<String>,
    /// What is assumed, one sentence each; it stands in the adapter's text too.
    pub assumed: Vec<String>,
    /// Why there is no adapter yet.
    pub problem: Option<TeachProblem>,
    /// The adapter as it is known so far; it decodes every press.
    pub draft: Option<String>,
    /// Whether a press on a fresh size confirmed it.
    pub confirmed: bool,
}

/// One frame of one press.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Sample {
    role: Role,
    bytes: Vec<u8>,
}

impl Sample {
    fn expected(&self) -> i128 {
        factor::nm(self.role.expected())
    }

    fn is_size(&self) -> bool {
        matches!(self.role, Role::Size(_))
    }
}
