//! The lists of choices: which key does what. Their texts are those of [`choices`].

use super::measuring::{command, request};
use super::{Asked, Change, Desk, Form, Menu};
use crate::session::{Command, Request, Snapshot, State};
use crate::window::look::{Distance, Theme};
use crate::window::press::Press;
use crate::window::records_decide::Decision;
use crate::window::view::choices;

/// Nothing can be decided about a part that there is not.
pub(super) const NO_PART: &str = "No part has been started. Measure something of it first.";

/// What a choice does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Deed {
    /// Cutting begins or is over.
    Cutting,
    /// Something is filled in.
    Fill(Form),
    /// Why opens.
    Why,
    /// The layout that is read at a glance.
    Glance,
    /// The part leaves the machine, or is back in it.
    OutOrBack,
    /// Another list opens.
    Open(Menu),
    /// The simulated hand goes on by itself, or stops.
    Play,
    /// The simulated gauge's button.
    PressGauge,
    /// The reading is voided, with the text of the choice as its reason.
    Void,
    /// The part leaves the machine with features open.
    TakeOut,
    /// The next part, while this one is open.
    NextPart,
    /// A setting.
    Set(Change),
    /// The other decimal marker.
    OtherMarker,
    /// The screen is measured.
    Calibrate,
    /// The session is closed.
    Close,
    /// The session stays unfinished; to the Start room.
    Start,
    /// Another room, by its function key.
    Room(u8),
    /// Something is decided about the part at hand.
    Decide(Decision),
    /// The last decision about it holds no longer.
    Withdraw,
    /// The live gauge of that number is the one whose value is taken.
    NameGauge(char),
    /// Nothing.
    Stay,
}

/// What a key does in a list; none for keys that are not offered.
pub fn deed_of(menu: Menu, key: char) -> Option<Deed> {
    Some(match (menu, key) {
        (Menu::Bench, '1') => Deed::Cutting,
        (Menu::Bench, '2') => Deed::Fill(Form::Temperature),
        (Menu::Bench, '3') => Deed::Why,
        (Menu::Bench, '4') => Deed::Glance,
        (Menu::Bench, '5') => Deed::OutOrBack,
        (Menu::Bench, '6') => Deed::Fill(Form::ToolNote),
        (Menu::Bench, '7') => Deed::Fill(Form::Offset),
        (Menu::Bench, '8') => Deed::Fill(Form::Operator),
        (Menu::Bench, '9') => Deed::Open(Menu::Look),
        (Menu::Bench, '0') => Deed::Open(Menu::Close),
        (Menu::Close, '2') => Deed::Room(2),
        (Menu::Close, '3') => Deed::Room(3),
        (Menu::Close, '4') => Deed::Room(4),
        (Menu::Close, '5') => Deed::Room(5),
        (Menu::Close, '6') => Deed::Room(6),
        (Menu::Close, '7') => Deed::Open(Menu::Decide),
        (Menu::Decide, '6') => Deed::Withdraw,
        (Menu::Decide, key) => Deed::Decide(Decision::at_bench(key)?),
        (Menu::Bench, '-') => Deed::Open(Menu::LiveGauge),
        (Menu::LiveGauge, '1'..='9') => Deed::NameGauge(key),
        (Menu::Bench, '+') => Deed::Play,
        (Menu::Bench, '*') => Deed::PressGauge,
        (Menu::VoidReasons, '1'..='9') => Deed::Void,
        (Menu::VoidReasons, '0') => Deed::Fill(Form::VoidReason),
        (Menu::TakeOut, '+') => Deed::TakeOut,
        (Menu::NextPart, '+') => Deed::NextPart,
        (Menu::Look, '1') => Deed::Set(Change::Theme(Theme::Night)),
        (Menu::Look, '2') => Deed::Set(Change::Theme(Theme::Day)),
        (Menu::Look, '3') => Deed::Set(Change::Theme(Theme::HighContrast)),
        (Menu::Look, '4') => Deed::Set(Change::Distance(Distance::Half)),
        (Menu::Look, '5') => Deed::Set(Change::Distance(Distance::One)),
        (Menu::Look, '6') => Deed::Set(Change::Distance(Distance::Two)),
        (Menu::Look, '7') => Deed::Set(Change::Distance(Distance::Three)),
        (Menu::Look, '8') => Deed::Calibrate,
        (Menu::Look, '9') => Deed::OtherMarker,
        (Menu::Look, '0') => Deed::Set(Change::OtherSound),
        (Menu::Close, '+') => Deed::Close,
        (Menu::Close, '0') => Deed::Start,
        (Menu::TakeOut | Menu::NextPart | Menu::Close | Menu::LiveGauge, '-') => Deed::Stay,
        _ => return None,
    })
}

impl Desk {
    /// A press while a list is open. Enter and the foot switch choose nothing: what is asked here
    /// must not be answered by the press that was meant to move on.
    pub(super) fn choosing(
        &mut self,
        menu: Menu,
        press: &Press,
        snapshot: &Snapshot,
    ) -> Vec<Asked> {
        let key = match press {
            // A keypad has no Escape.
            Press::Escape | Press::Backspace => return Vec::new(),
            Press::Digit(digit) => *digit,
            Press::Plus => '+',
            Press::Minus => '-',
            Press::Star => '*',
            // The list stays, and can be asked about too.
            Press::Slash => {
                self.open(menu);
                return vec![Asked::Explain];
            }
            _ => return self.open(menu),
        };
        let offered = choices(menu, snapshot).into_iter();
        let mut text = offered.filter(|(one, _)| *one == key).map(|(_, text)| text);
        match (text.next(), deed_of(menu, key)) {
            (Some(text), Some(deed)) => self.carry_out(deed, &text, snapshot),
            _ => {
                self.fault = Some(format!("{key} is none of the choices."));
                self.open(menu)
            }
        }
    }

    fn carry_out(&mut self, deed: Deed, text: &str, snapshot: &Snapshot) -> Vec<Asked> {
        let state = &snapshot.state;
        match deed {
            Deed::Cutting => command(Command::SwitchCutting(!state.bench().cutting)),
            Deed::Fill(form) => self.fill(form),
            Deed::Why => self.toggle_why(),
            Deed::Glance => self.toggle_glance(),
            Deed::OutOrBack => self.out_or_back(state),
            Deed::Open(menu) => self.open(menu),
            Deed::Play => request(Request::Play(snapshot.is_playing == Some(false))),
            Deed::PressGauge => request(Request::PressGauge),
            Deed::Void => command(Command::VoidReading {
                reading: self.voiding.take(),
                reason: text.to_owned(),
            }),
            Deed::TakeOut => command(Command::TakeOut),
            Deed::NextPart => {
                self.leave_answer(state);
                command(Command::StartNextPart)
            }
            Deed::Set(change) => vec![Asked::Settings(change)],
            Deed::OtherMarker => {
                self.marker = if self.marker == '.' { ',' } else { '.' };
                vec![Asked::Settings(Change::Marker(self.marker))]
            }
            Deed::Calibrate => vec![Asked::Calibrate],
            Deed::Close => command(Command::Close {
                reason: "closed by the operator".to_owned(),
            }),
            Deed::Start => vec![Asked::Start],
            Deed::Room(key) => vec![Asked::Room(key)],
            Deed::Decide(decision) => self.decide(decision, state),
            Deed::Withdraw => self.withdraw(state),
            Deed::NameGauge(key) => self.name_gauge(key, snapshot),
            Deed::Stay => Vec::new(),
        }
    }

    /// What needs words is asked for them; who measures is who decides.
    fn decide(&mut self, decision: Decision, state: &State) -> Vec<Asked> {
        if decision.needs_words() {
            return self.fill(Form::Decide(decision));
        }
        match state.current_part() {
            Some(part) => command(decision.command_at_bench(part.number, "")),
            None => self.complain(NO_PART),
        }
    }

    fn withdraw(&mut self, state: &State) -> Vec<Asked> {
        let part = state.current_part();
        let last = part.and_then(|part| part.decided.standing().next_back());
        match last {
            Some(last) => self.decide(Decision::Withdraw(last.line), state),
            None => self.complain("No decision about this part stands."),
        }
    }

    /// Out of the machine: what is still open in this setting is named first.
    fn out_or_back(&mut self, state: &State) -> Vec<Asked> {
        if state.bench().taken_out {
            return self.fill(Form::PutBack);
        }
        let is_open = !state.open_when_taken_out().is_empty();
        match is_open {
            true => self.open(Menu::TakeOut),
            false => command(Command::TakeOut),
        }
    }
}
