//! The Gauges room by its keys: which gauge and which page are open, what is just being typed.
//! Nothing of it is truth, and nothing of it is kept.
//!
//! A keypad alone is enough: `+` and `-` choose the gauge, a digit opens a page, `*` reads on,
//! Enter does what the page is for, Backspace leads back to the Bench.

use std::sync::Arc;

use crate::gauge::{Date, Gauge, GaugeId, Register};
use crate::session::{GaugeStory, Suitable};

use super::gauges_facts::{LiveFacts, TeachFacts};
use super::press::{NUM_LOCK_OFF, Press};
use super::study_facts::{StudyFacts, StudyStage};

/// Most characters of a size that is typed here (chosen: more than any gauge shows).
const ENTRY_MAX: usize = 24;

/// What the room shows of a gauge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum GaugesPage {
    /// What the register says.
    #[default]
    Facts,
    /// What comes down the wire.
    Live,
    /// What it can prove of the open plan.
    Proves,
    /// Its uncertainty.
    Budget,
    /// Its zero.
    Zero,
    /// Readings in doubt because of it.
    InDoubt,
    /// How its adapter is found out.
    Teach,
    /// How far it can be trusted.
    Study,
}

impl GaugesPage {
    /// Every page with its digit and its name.
    pub const ALL: [(Self, char, &'static str); 8] = [
        (Self::Facts, '1', "register"),
        (Self::Live, '2', "live"),
        (Self::Proves, '3', "proves"),
        (Self::Budget, '4', "budget"),
        (Self::Zero, '5', "zero"),
        (Self::InDoubt, '6', "in doubt"),
        (Self::Teach, '7', "teach"),
        (Self::Study, '8', "study"),
    ];
}

/// The room's state.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct GaugesRoom {
    /// The gauge, by its place in the register.
    pub chosen: usize,
    /// The open page.
    pub page: GaugesPage,
    /// So many lines of it are passed over.
    pub skipped: usize,
    /// A size that is being typed, for a zero check or while teaching.
    pub entry: Option<String>,
    /// What could not be done, in a sentence; the next press takes it away.
    pub fault: Option<String>,
}

/// What the room knows; looked up outside, when it is entered and when something changes.
#[derive(Debug, Clone, Default)]
pub struct GaugesFacts {
    /// The gauges: of the session, while one runs, else of the workspace.
    pub register: Register,
    /// The day; none when the clock is not to be believed.
    pub today: Option<Date>,
    /// Gauges whose port is there.
    pub attached: Vec<GaugeId>,
    /// What each gauge can prove of the open plan.
    pub suitable: Vec<Suitable>,
    /// Checks and readings in doubt of every session; none while they are being read.
    pub story: Option<Arc<GaugeStory>>,
    /// What could not be read on the way here, a sentence each.
    pub faults: Vec<String>,
    /// The chosen gauge's wire, where it is watched.
    pub live: Option<LiveFacts>,
    /// What teaching has come to, where it goes on.
    pub teach: Option<TeachFacts>,
    /// What the study of the chosen gauge has come to, where there is one.
    pub study: Option<StudyFacts>,
}

impl GaugesFacts {
    /// The gauge at that place of the register.
    pub fn gauge(&self, at: usize) -> Option<&Gauge> {
        self.register.gauges().get(at)
    }
}

/// What the room needs to know of the session to understand a press.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct GaugesNow {
    /// A session runs and records.
    pub has_session: bool,
    /// A zero check of the chosen gauge waits for what the gauge shows.
    pub is_zero_asked: bool,
    /// Teaching goes on and waits for a size.
    pub is_size_awaited: bool,
    /// The page has more lines below.
    pub has_more: bool,
}

/// What a press asks for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum GaugesAsked {
    /// Back to the Bench.
    Bench,
    /// Another gauge is chosen, or another page open: what is watched may change.
    Chosen,
    /// To look at the ports and the register again.
    LookAgain,
    /// To ask the gauge for a reading, or to take the value that it streams.
    Take,
    /// To begin a zero check of that gauge.
    AskZero(GaugeId),
    /// To end the zero check of that gauge without an answer.
    DropZero(GaugeId),
    /// What the gauge shows at its zero check, as typed.
    TypedZero(GaugeId, String),
    /// To begin teaching the gauge, or to go on to the next step.
    Teach(TeachPress),
    /// To begin a study of the gauge, or to go on with it.
    Study(StudyPress),
}

/// What is said to the study.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum StudyPress {
    /// Begin, go on, ask the gauge, or close.
    GoOn,
    /// The answer to what was asked, or what the gauge shows.
    Answer(String),
    /// Take the last reading out, and measure its cell again.
    Again,
    /// Enter the repeatability in the register.
    Write,
    /// End the questions.
    Leave,
}

/// What is said to the teaching.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum TeachPress {
    /// Begin, or go on.
    GoOn,
    /// The answer to what was asked.
    Answer(String),
    /// Yes.
    Yes,
    /// No.
    No,
    /// End it, nothing written.
    Leave,
}

impl GaugesRoom {
    /// Takes one press.
    pub fn press(&mut self, press: Press, facts: &GaugesFacts, now: GaugesNow) -> Vec<GaugesAsked> {
        self.fault = None;
        if press == Press::NumLockOff {
            self.fault = Some(NUM_LOCK_OFF.to_owned());
            return Vec::new();
        }
        if self.takes_text(now) && self.writes(&press) {
            return Vec::new();
        }
        if self.page == GaugesPage::Teach
            && let Some(asked) = self.teaches(&press, facts)
        {
            return asked;
        }
        if self.page == GaugesPage::Study
            && let Some(asked) = self.studies(&press, facts)
        {
            return asked;
        }
        match press {
            Press::Minus | Press::Up => self.choose(self.chosen.saturating_sub(1), facts),
            Press::Plus | Press::Down | Press::Tab => {
                self.choose(self.chosen.saturating_add(1), facts)
            }
            Press::Choose(at) => self.choose(at, facts),
            Press::Digit(digit) => self.open(digit),
            Press::Left => self.turn(-1),
            Press::Right | Press::Slash => self.turn(1),
            Press::Star => {
                self.skipped = if now.has_more { self.skipped + 1 } else { 0 };
                Vec::new()
            }
            Press::Enter | Press::Space => self.deed(facts, now),
            Press::Backspace | Press::Escape => self.leave(facts, now),
            Press::Marker => vec![GaugesAsked::Bench],
            _ => Vec::new(),
        }
    }

    fn takes_text(&self, now: GaugesNow) -> bool {
        match self.page {
            GaugesPage::Zero => now.is_zero_asked,
            GaugesPage::Teach | GaugesPage::Study => now.is_size_awaited,
            _ => false,
        }
    }

    /// Whether the press belongs to what is being typed.
    fn writes(&mut self, press: &Press) -> bool {
        let character = match press {
            Press::Digit(digit) => *digit,
            Press::Marker => '.',
            // A sign begins a number; it answers nothing while one may be typed.
            Press::Plus if self.entry.is_none() => return false,
            Press::Plus => '+',
            Press::Minus if self.entry.is_none() && self.page == GaugesPage::Teach => return false,
            Press::Minus => '-',
            Press::Backspace | Press::BackspaceHeld => {
                let Some(text) = &mut self.entry else {
                    return false;
                };
                text.pop();
                if text.is_empty() {
                    self.entry = None;
                }
                return true;
            }
            Press::Pasted(text) => {
                text.trim().chars().for_each(|one| self.write(one));
                return true;
            }
            _ => return false,
        };
        self.write(character);
        true
    }

    fn write(&mut self, character: char) {
        // What cannot be seen is no part of a size.
        if character.is_control() {
            return;
        }
        let text = self.entry.get_or_insert_default();
        if text.chars().count() < ENTRY_MAX {
            text.push(character);
        } else {
            self.fault = Some(format!("A size has at most {ENTRY_MAX} characters."));
        }
    }

    /// A press that is about the teaching that goes on.
    fn teaches(&mut self, press: &Press, facts: &GaugesFacts) -> Option<Vec<GaugesAsked>> {
        let teach = facts.teach.as_ref().filter(|teach| teach.is_running)?;
        let said = match press {
            Press::Enter | Press::Space => match self.entry.take() {
                Some(text) => TeachPress::Answer(text),
                None => TeachPress::GoOn,
            },
            Press::Plus if teach.asks_yes_or_no => TeachPress::Yes,
            Press::Minus if teach.asks_yes_or_no => TeachPress::No,
            Press::Digit(digit) => TeachPress::Answer(digit.to_string()),
            Press::Backspace | Press::Escape => TeachPress::Leave,
            // Another gauge must not be chosen by a key that was meant as an answer.
            Press::Plus | Press::Minus => return Some(Vec::new()),
            _ => return None,
        };
        Some(vec![GaugesAsked::Teach(said)])
    }

    /// A press that is about the study that goes on.
    fn studies(&mut self, press: &Press, facts: &GaugesFacts) -> Option<Vec<GaugesAsked>> {
        let study = facts.study.as_ref()?;
        let is_measured = matches!(study.stage, StudyStage::Complete | StudyStage::Closed);
        let said = match press {
            Press::Enter | Press::Space => match self.entry.take() {
                Some(text) => StudyPress::Answer(text),
                None => StudyPress::GoOn,
            },
            Press::Star if study.stage == StudyStage::Measuring => StudyPress::Again,
            // To the zero, which may have been found wrong; the digits are values here.
            Press::Slash if study.stage == StudyStage::Measuring => {
                self.page = GaugesPage::Zero;
                self.entry = None;
                return Some(vec![GaugesAsked::Chosen]);
            }
            Press::Slash if study.stage == StudyStage::Complete => StudyPress::Again,
            Press::Plus if is_measured => StudyPress::Write,
            Press::Backspace | Press::Escape if study.stage == StudyStage::Setup => {
                StudyPress::Leave
            }
            // Another gauge must not be chosen by a key that was meant for the study.
            Press::Plus | Press::Minus if study.stage != StudyStage::Closed => {
                return Some(Vec::new());
            }
            _ => return None,
        };
        Some(vec![GaugesAsked::Study(said)])
    }

    fn choose(&mut self, at: usize, facts: &GaugesFacts) -> Vec<GaugesAsked> {
        let last = facts.register.gauges().len().saturating_sub(1);
        self.chosen = at.min(last);
        self.skipped = 0;
        self.entry = None;
        vec![GaugesAsked::Chosen]
    }

    fn open(&mut self, digit: char) -> Vec<GaugesAsked> {
        let mut pages = GaugesPage::ALL.iter();
        match pages.find(|(_, key, _)| *key == digit) {
            Some((page, _, _)) => {
                self.page = *page;
                self.skipped = 0;
                self.entry = None;
                vec![GaugesAsked::Chosen]
            }
            None => {
                self.fault = Some(format!("There is no page {digit}."));
                Vec::new()
            }
        }
    }

    fn turn(&mut self, step: isize) -> Vec<GaugesAsked> {
        let at = GaugesPage::ALL
            .iter()
            .position(|(page, _, _)| *page == self.page);
        let to = at.unwrap_or(0).saturating_add_signed(step);
        let to = to.min(GaugesPage::ALL.len() - 1);
        let key = GaugesPage::ALL.get(to).map_or('1', |(_, key, _)| *key);
        self.open(key)
    }

    /// What Enter does on the open page.
    fn deed(&mut self, facts: &GaugesFacts, now: GaugesNow) -> Vec<GaugesAsked> {
        let Some(gauge) = facts.gauge(self.chosen) else {
            return vec![GaugesAsked::LookAgain];
        };
        match self.page {
            GaugesPage::Live => vec![GaugesAsked::Take],
            GaugesPage::Zero => match (now.is_zero_asked, self.entry.take()) {
                (true, Some(text)) => vec![GaugesAsked::TypedZero(gauge.id.clone(), text)],
                (true, None) => {
                    let message = "Press the gauge's button, or type what it shows, then Enter.";
                    self.fault = Some(message.to_owned());
                    Vec::new()
                }
                (false, _) if !now.has_session => {
                    let message = "A zero check is recorded in a session: begin one first.";
                    self.fault = Some(message.to_owned());
                    Vec::new()
                }
                (false, _) => vec![GaugesAsked::AskZero(gauge.id.clone())],
            },
            GaugesPage::Teach => vec![GaugesAsked::Teach(TeachPress::GoOn)],
            GaugesPage::Study => vec![GaugesAsked::Study(StudyPress::GoOn)],
            GaugesPage::Facts | GaugesPage::Proves | GaugesPage::Budget | GaugesPage::InDoubt => {
                vec![GaugesAsked::LookAgain]
            }
        }
    }

    /// Away from what is open; where nothing is, to the Bench.
    fn leave(&mut self, facts: &GaugesFacts, now: GaugesNow) -> Vec<GaugesAsked> {
        if self.page == GaugesPage::Zero
            && now.is_zero_asked
            && let Some(gauge) = facts.gauge(self.chosen)
        {
            self.entry = None;
            return vec![GaugesAsked::DropZero(gauge.id.clone())];
        }
        vec![GaugesAsked::Bench]
    }
}
