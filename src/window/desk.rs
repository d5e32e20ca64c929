//! What a person is just doing at the window: nothing of it is truth, and nothing of it is kept.

use crate::gauge::GaugeId;
use crate::journal::Sequence;

/// The window's own state.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Desk {
    /// What is being done.
    pub mode: Mode,
    /// The layout that is read at a glance.
    pub is_glance: bool,
    /// Why is open.
    pub is_why: bool,
    /// The last answer that has been looked at and left with Enter: the panel then shows what is
    /// measured next.
    pub left: Sequence,
    /// The gauge that typed readings are from, when it was chosen by hand.
    pub typed_gauge: Option<GaugeId>,
    /// Decimal marker shown, `.` or `,`.
    pub marker: char,
    /// What could not be done, in a sentence; the next press takes it away.
    pub fault: Option<String>,
}

/// What is being done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Mode {
    /// Nothing but measuring.
    Measuring,
    /// A reading is being typed.
    Typing {
        /// So far.
        text: String,
        /// The gauge that it is read off.
        gauge: GaugeId,
    },
    /// Words or a number for something else are being typed.
    Filling {
        /// For what.
        form: Form,
        /// So far.
        text: String,
    },
    /// The list of things to do is open.
    Choosing(Menu),
}

/// What is filled in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// Why the last reading does not count.
    VoidReason,
    /// Temperature of the part, and of the gauge behind a blank.
    Temperature,
    /// How the part was set true, and the runout found.
    PutBack,
    /// Which tool.
    ToolNote,
    /// The offset given.
    Offset,
    /// Who measures.
    Operator,
}

/// A list of numbered choices.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Menu {
    /// What can be done at the bench.
    Bench,
    /// Usual reasons for voiding.
    VoidReasons,
    /// Before the part leaves its setting with features open.
    TakeOut,
    /// Before the next part is taken while this one is open.
    NextPart,
    /// Theme, distance, size.
    Look,
    /// Before the session is closed.
    Close,
}

impl Default for Desk {
    fn default() -> Self {
        Self {
            mode: Mode::Measuring,
            is_glance: false,
            is_why: false,
            left: 0,
            typed_gauge: None,
            marker: '.',
            fault: None,
        }
    }
}
