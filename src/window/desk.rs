//! What a person is just doing at the window: nothing of it is truth, and nothing of it is kept.
//!
//! [`Desk::press`] takes one press and answers what it asks for: of the session, of the settings,
//! or of the window. It knows no screen, no clock and no file, and does something sensible with
//! every press at every moment.

mod checks;
mod forms;
mod gauges;
mod measuring;
mod menus;
mod typing;

use crate::gauge::GaugeId;
use crate::journal::Sequence;
use crate::session::{Request, Snapshot, State, Wanted};

use super::look::{Distance, Theme};
use super::press::Press;
use super::records_decide::Decision;

pub use checks::{CheckGauge, asks_the_same, gauge_of_check};
pub use gauges::{typed_gauge, typed_gauges};
pub use menus::{Deed, deed_of};
pub use typing::NUMBER_CHARACTERS_MAX;

/// The window's own state.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Desk {
    /// What is being done.
    pub mode: Mode,
    /// The layout that is read at a glance.
    pub is_glance: bool,
    /// Why is open.
    pub is_why: bool,
    /// How far down it is read, in steps of `WhyView::PAGES` to its end.
    pub why_page: u16,
    /// The last answer that has been looked at and left with Enter: the panel then shows what is
    /// measured next.
    pub left: Sequence,
    /// The gauge that typed readings are from, when it was chosen by hand.
    pub typed_gauge: Option<GaugeId>,
    /// Limit gauges that were chosen where the plan lists several, the newest last.
    pub limit_gauges: Vec<GaugeId>,
    /// The newest answer to a check when a further one was sent: while it is still the newest, a
    /// press answers nothing.
    pub answered: Option<Sequence>,
    /// The reading that the question about voiding is about: the last one when it was asked, even
    /// if others have come since.
    pub voiding: Option<Sequence>,
    /// Decimal marker shown, `.` or `,`.
    pub marker: char,
    /// The same can be measured once more, in a session of its own, when this one is closed.
    pub can_begin_again: bool,
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
    /// A serial number, or why something is decided about the part at hand.
    Decide(Decision),
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
    /// What can be decided about the part at hand.
    Decide,
    /// Of several live gauges: whose value is taken at the characteristic at hand.
    LiveGauge,
}

/// What a press asks for.
#[derive(Debug, Clone, PartialEq)]
pub enum Asked {
    /// Of the session.
    Request(Request),
    /// Of the settings.
    Settings(Change),
    /// The screen is to be measured with a steel rule.
    Calibrate,
    /// To see the room of that function key; the session goes on.
    Room(u8),
    /// What is seen is to be explained.
    Explain,
    /// To the Start room; the session stays unfinished.
    Start,
    /// The session is closed: another one of the same begins.
    NextBatch,
    /// The window closes; the session stays unfinished.
    Quit,
}

/// A setting that changes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Change {
    /// Light and contrast.
    Theme(Theme),
    /// From where the screen is read.
    Distance(Distance),
    /// The decimal marker shown.
    Marker(char),
    /// The layout that is read at a glance.
    Glance(bool),
    /// Sound, if there is none; else none.
    OtherSound,
}

impl Default for Desk {
    fn default() -> Self {
        Self {
            mode: Mode::Measuring,
            is_glance: false,
            is_why: false,
            why_page: 0,
            left: 0,
            typed_gauge: None,
            limit_gauges: Vec::new(),
            answered: None,
            voiding: None,
            marker: '.',
            can_begin_again: false,
            fault: None,
        }
    }
}

const NUM_LOCK_OFF: &str = "Num Lock is off: the keypad moves the cursor instead of giving \
                            digits. Press Num Lock.";

impl Desk {
    /// Takes one press. What it asks for is to be carried out in order.
    pub fn press(&mut self, press: Press, snapshot: &Snapshot) -> Vec<Asked> {
        self.fault = None;
        match press {
            Press::Burst(text) => return self.burst(&text, snapshot),
            Press::BurstCut(text) => return self.burst_cut(&text, snapshot),
            Press::NumLockOff => {
                self.fault = Some(NUM_LOCK_OFF.to_owned());
                return Vec::new();
            }
            _ => {}
        }
        match std::mem::replace(&mut self.mode, Mode::Measuring) {
            Mode::Measuring => self.measuring(press, snapshot),
            Mode::Typing { text, gauge } => self.typing(press, text, gauge, snapshot),
            Mode::Filling { form, text } => self.filling(&press, form, text, &snapshot.state),
            Mode::Choosing(menu) => self.choosing(menu, &press, snapshot),
        }
    }

    fn complain(&mut self, sentence: impl Into<String>) -> Vec<Asked> {
        self.fault = Some(sentence.into());
        Vec::new()
    }

    /// What was answered has been looked at.
    fn leave_answer(&mut self, state: &State) {
        self.answered = None;
        if let Some((_, answer)) = state.latest_answer() {
            self.left = self.left.max(answer.sequence);
        }
    }
}

/// The characteristic that the next reading belongs to, by its place in measuring order: on the
/// part at hand, or the first of the next part.
pub fn next_target(state: &State) -> Option<usize> {
    let current = state.current_target();
    let next = u32::try_from(state.parts().len()).unwrap_or(u32::MAX);
    let next = next.saturating_add(1);
    let mut targets = state.setup().targets.iter();
    current.or_else(|| targets.position(|target| target.is_selected(next)))
}

fn wanted(state: &State) -> Wanted {
    let target = next_target(state).and_then(|at| state.setup().targets.get(at));
    Wanted::of(target)
}
