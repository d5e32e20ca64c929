//! A reading being typed by hand, or by a device that plays keyboard.

use super::gauges::{reads_deviations, sending_gauge, typed_gauge, typed_gauges};
use super::{Asked, Desk, Mode, wanted};
use crate::gauge::GaugeId;
use crate::session::{Request, Snapshot, State, Wanted, typed_reading};
use crate::window::press::{Press, quoted};

/// Most characters of a typed reading (chosen: far more than any gauge shows).
pub const NUMBER_CHARACTERS_MAX: usize = 24;

impl Desk {
    /// The first key of a typed reading.
    pub(super) fn begin_typing(&mut self, first: char, state: &State) -> Vec<Asked> {
        let gauge = typed_gauge(self.typed_gauge.as_ref(), state);
        let text = first.to_string();
        self.mode = Mode::Typing { text, gauge };
        Vec::new()
    }

    /// Minus where nothing is asked: the sign of a reading, if the gauge's readings have one.
    pub(super) fn begin_with_minus(&mut self, state: &State) -> Vec<Asked> {
        let gauge = typed_gauge(self.typed_gauge.as_ref(), state);
        if reads_deviations(&gauge, state) {
            return self.begin_typing('-', state);
        }
        self.complain(format!(
            "Nothing is asked, and {gauge} shows sizes, which have no sign."
        ))
    }

    pub(super) fn typing(
        &mut self,
        press: Press,
        mut text: String,
        gauge: GaugeId,
        snapshot: &Snapshot,
    ) -> Vec<Asked> {
        let state = &snapshot.state;
        match press {
            Press::Enter | Press::Space => return self.accept(text, gauge, state),
            Press::Escape => return Vec::new(),
            Press::Backspace | Press::BackspaceHeld => {
                text.pop();
                if text.is_empty() {
                    return Vec::new();
                }
            }
            Press::Up | Press::Left => return self.other_gauge(text, &gauge, state, -1),
            Press::Down | Press::Right => return self.other_gauge(text, &gauge, state, 1),
            Press::Choose(at) => {
                self.mode = Mode::Typing { text, gauge };
                return self.choose_at(at, state);
            }
            Press::Verdict | Press::Tab => {}
            Press::Pasted(pasted) => {
                for character in pasted.trim().chars() {
                    self.add(&mut text, character);
                }
            }
            other => {
                let character = self.character_of(&other);
                if let Some(character) = character {
                    self.add(&mut text, character);
                }
            }
        }
        self.mode = Mode::Typing { text, gauge };
        Vec::new()
    }

    /// The character that a press gives in a number.
    fn character_of(&self, press: &Press) -> Option<char> {
        match press {
            Press::Digit(digit) => Some(*digit),
            Press::Marker => Some(self.marker),
            Press::Plus => Some('+'),
            Press::Minus => Some('-'),
            Press::Star => Some('*'),
            Press::Slash => Some('/'),
            Press::Letter(letter) => Some(*letter),
            _ => None,
        }
    }

    /// One more character; what cannot stand there is told, and the text stays.
    fn add(&mut self, text: &mut String, character: char) {
        let is_marker = |c: char| c == '.' || c == ',';
        let fault = match character {
            _ if text.chars().count() >= NUMBER_CHARACTERS_MAX => Some(format!(
                "A reading has at most {NUMBER_CHARACTERS_MAX} characters; “{character}” was not \
                 added."
            )),
            '.' | ',' if text.contains(is_marker) => {
                let at = text.chars().position(is_marker).unwrap_or(0) + 1;
                Some(format!(
                    "There is a decimal marker already, at character {at} of {text}; the second \
                     one was not added."
                ))
            }
            '+' | '-' if !text.is_empty() => Some(format!(
                "The sign stands before the number; “{character}” was not added to {text}."
            )),
            // Units of length and of angle.
            '0'..='9' | '.' | ',' | '+' | '-' | '°' | '\'' | '"' | '′' | '″' => None,
            'i' | 'n' | 'm' | 'I' | 'N' | 'M' => None,
            other => Some(format!(
                "“{}” is no part of a number; Enter takes {text}, Backspace erases.",
                other.escape_debug()
            )),
        };
        match fault {
            Some(fault) => self.fault = Some(fault),
            None => text.push(character),
        }
    }

    /// Enter: the reading goes to the session. What is no reading stays to be corrected.
    fn accept(&mut self, text: String, gauge: GaugeId, state: &State) -> Vec<Asked> {
        match typed_reading(&text, &gauge, wanted(state)) {
            Ok(reading) => {
                // What it comes to is to be seen, whatever was looked at before.
                (self.is_why, self.why_page) = (false, 0);
                vec![Asked::Request(Request::Reading(reading))]
            }
            Err(error) => {
                self.fault = Some(error.to_string());
                self.mode = Mode::Typing { text, gauge };
                Vec::new()
            }
        }
    }

    /// The gauge before or after this one; typed readings are from it from now on.
    fn other_gauge(
        &mut self,
        text: String,
        gauge: &GaugeId,
        state: &State,
        step: isize,
    ) -> Vec<Asked> {
        let all = typed_gauges(state);
        let at = all.iter().position(|one| one == gauge).unwrap_or(0);
        let other = at
            .saturating_add_signed(step)
            .min(all.len().saturating_sub(1));
        let gauge = all.get(other).unwrap_or(gauge).clone();
        self.typed_gauge = Some(gauge.clone());
        self.mode = Mode::Typing { text, gauge };
        Vec::new()
    }

    /// A reading from a device that plays keyboard: it is recorded, whatever is open, and nothing
    /// else happens.
    pub(super) fn burst(&mut self, text: &str, snapshot: &Snapshot) -> Vec<Asked> {
        let state = &snapshot.state;
        if state.is_closed() || snapshot.ended.is_some() {
            return self.complain(format!(
                "“{}” came from a device that types, after the end of the session: it is not \
                 recorded.",
                quoted(text)
            ));
        }
        // What a device sends is a size, and answers no question.
        let (gauge, wanted) = match wanted(state) {
            Wanted::Check(_) => (
                sending_gauge(self.typed_gauge.as_ref(), state),
                Wanted::Length,
            ),
            wanted => (typed_gauge(self.typed_gauge.as_ref(), state), wanted),
        };
        match typed_reading(text.trim(), &gauge, wanted) {
            Ok(reading) => vec![Asked::Request(Request::Reading(reading))],
            Err(error) => self.complain(format!(
                "“{}” came from a device that types, and is no reading: {error}",
                quoted(text)
            )),
        }
    }

    /// A burst without its Enter. Digits may have been rolled by a hand, so they are not lost;
    /// nothing is pressed.
    pub(super) fn burst_cut(&mut self, text: &str, snapshot: &Snapshot) -> Vec<Asked> {
        let is_number = text
            .chars()
            .all(|c| c.is_ascii_digit() || c == '.' || c == ',');
        match (&self.mode, is_number) {
            (Mode::Filling { .. }, _) | (Mode::Measuring | Mode::Typing { .. }, true) => {
                let mut asked = Vec::new();
                for character in text.chars() {
                    let press = crate::window::keys::character_press(character);
                    // A leading marker would open the menu.
                    let opens = self.mode == Mode::Measuring && press == Press::Marker;
                    if !opens {
                        let fault = self.fault.take();
                        asked.extend(self.press(press, snapshot));
                        self.fault = self.fault.take().or(fault);
                    }
                }
                asked
            }
            _ => self.complain(format!(
                "“{}” came faster than a hand types and without Enter: it was not taken. Set the \
                 device to send Enter after each reading.",
                quoted(text)
            )),
        }
    }
}
