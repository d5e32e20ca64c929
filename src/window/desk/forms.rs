//! Words and numbers that are filled in, and what becomes of them.

use super::measuring::command;
use super::menus::NO_PART;
use super::{Asked, Desk, Form, Mode};
use crate::quantity::{Celsius, Length, LengthUnit, QuantityError, parse_entry};
use crate::session::{Command, NOTE_LENGTH_MAX, State};
use crate::window::press::Press;
use crate::window::records_decide::Decision;

impl Desk {
    pub(super) fn filling(
        &mut self,
        press: &Press,
        form: Form,
        mut text: String,
        state: &State,
    ) -> Vec<Asked> {
        match press {
            Press::Escape => return Vec::new(),
            Press::Enter => {
                return match self.filled(form, text.trim(), state) {
                    Ok(asked) => command(asked),
                    Err(fault) => {
                        self.mode = Mode::Filling { form, text };
                        self.complain(fault)
                    }
                };
            }
            // A keypad has no Escape.
            Press::Backspace if text.is_empty() => return Vec::new(),
            Press::Backspace | Press::BackspaceHeld => {
                text.pop();
            }
            Press::Pasted(pasted) => {
                for character in pasted.chars().filter(|c| !c.is_control()) {
                    self.write(&mut text, character);
                }
            }
            other => {
                if let Some(character) = character_of(other, form) {
                    self.write(&mut text, character);
                }
            }
        }
        self.mode = Mode::Filling { form, text };
        Vec::new()
    }

    fn write(&mut self, text: &mut String, character: char) {
        if text.chars().count() < NOTE_LENGTH_MAX {
            text.push(character);
        } else {
            self.fault = Some(format!(
                "No more than {NOTE_LENGTH_MAX} characters are kept."
            ));
        }
    }

    /// What is asked for when the form is done, or what is wrong with it.
    fn filled(&mut self, form: Form, text: &str, state: &State) -> Result<Command, String> {
        match form {
            Form::VoidReason if text.is_empty() => {
                Err("A reading is voided only with a reason: say it in a few words.".to_owned())
            }
            Form::VoidReason => Ok(Command::VoidReading {
                reading: self.voiding.take(),
                reason: text.to_owned(),
            }),
            Form::Temperature => temperatures(text),
            Form::PutBack => put_back(text),
            Form::ToolNote => Ok(Command::ChangeTool {
                note: text.to_owned(),
            }),
            Form::Offset => offset(text),
            Form::Decide(decision) => decided(decision, text, state),
            Form::Operator if text.is_empty() => Err("Who measures? Give a name.".to_owned()),
            Form::Operator => Ok(Command::ChangeOperator {
                name: text.to_owned(),
            }),
        }
    }
}

/// The character that a press writes. Where numbers stand side by side, `/` is the blank between
/// them: a keypad has no other.
fn character_of(press: &Press, form: Form) -> Option<char> {
    let has_numbers = matches!(form, Form::Temperature | Form::PutBack | Form::Offset);
    match press {
        Press::Slash if has_numbers => Some(' '),
        other => other.character(),
    }
}

/// `31`, `31 22` (part and gauge), `-` where it is not known.
fn temperatures(text: &str) -> Result<Command, String> {
    const HINT: &str = "Type the part's temperature in °C, the gauge's after it if it is known: \
                        31 22. A minus alone says that it is not known.";
    let mut words = text.split_whitespace();
    let read = |word: Option<&str>| match word {
        None | Some("-") => Ok(None),
        Some(word) => Celsius::parse(word.trim_end_matches("°C")).map(Some),
    };
    let part = words.next();
    let gauge = words.next();
    if part.is_none() || words.next().is_some() {
        return Err(HINT.to_owned());
    }
    let sentence = |error: QuantityError| error.to_string();
    Ok(Command::SetTemperature {
        part: read(part).map_err(sentence)?,
        gauge: read(gauge).map_err(sentence)?,
    })
}

/// Words for how the part was set true, then the runout found.
fn put_back(text: &str) -> Result<Command, String> {
    let (words, last) = text.rsplit_once(' ').unwrap_or(("", text));
    let (method, runout) = match parse_entry(last, LengthUnit::Millimetre) {
        Ok(entry) => (words.trim(), Some(entry.value)),
        Err(_) => (text, None),
    };
    if text.is_empty() {
        let message = "How was the part set true? A few words and the runout found, or the \
                       runout alone: dial indicator 0.01.";
        return Err(message.to_owned());
    }
    if runout.is_some_and(|runout| runout < Length::ZERO) {
        return Err("A runout is not negative.".to_owned());
    }
    Ok(Command::PutBack {
        method: method.to_owned(),
        runout,
    })
}

/// A decision about the part at hand, with the words that it needs.
fn decided(decision: Decision, text: &str, state: &State) -> Result<Command, String> {
    let part = state.current_part().map(|part| part.number);
    match (part, decision) {
        // A serial number given first begins the first part.
        (None, Decision::Serial) => Ok(Command::NamePart {
            part: None,
            serial: text.to_owned(),
        }),
        (None, _) => Err(NO_PART.to_owned()),
        (Some(_), decision) if decision != Decision::Serial && text.is_empty() => {
            Err("That is done only with a reason: say in a few words why.".to_owned())
        }
        (Some(part), decision) => Ok(decision.command_at_bench(part, text)),
    }
}

/// How much, then for which tool or axis.
fn offset(text: &str) -> Result<Command, String> {
    let (amount, note) = text.split_once(' ').unwrap_or((text, ""));
    let entry = parse_entry(amount, LengthUnit::Millimetre)
        .map_err(|error| format!("{error} Type the offset in mm, then the tool or axis."))?;
    Ok(Command::ApplyOffset {
        amount: entry.value,
        note: note.trim().to_owned(),
    })
}
