//! What is typed into a field of a plan: the text, where the cursor is, and what may stand there.

use super::press::Press;
use crate::plan::{FieldKind, PlanField, TableAt};

/// Most characters of a field (chosen: a long list of gauges).
const TYPED_MAX: usize = 200;

/// What is typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlanTyping {
    /// The table and the key; none: the name of a new file.
    pub of: Option<(TableAt, &'static str)>,
    /// How the field is written.
    pub kind: FieldKind,
    /// The text.
    pub text: String,
    /// The cursor, in characters.
    pub cursor: usize,
    /// What stood there before the first choice was taken, and which choice is taken.
    stem: Option<(String, usize)>,
}

/// What a press came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Typed {
    /// Typing goes on.
    On,
    /// There is no room for more.
    Full,
    /// It is taken.
    Taken(String),
    /// It is dropped.
    Dropped,
}

impl PlanTyping {
    /// Into a field that holds this.
    pub fn of(at: TableAt, field: &'static PlanField, text: &str) -> Self {
        Self {
            of: Some((at, field.key)),
            kind: field.kind,
            text: text.to_owned(),
            cursor: text.chars().count(),
            stem: None,
        }
    }

    /// The name of a new file, proposed after the part.
    pub fn file_name(part: &str) -> Self {
        let letters = part.trim().to_lowercase();
        let letters = letters
            .chars()
            .map(|c| if c.is_alphanumeric() { c } else { '-' });
        let words: String = letters.take(40).collect();
        let words: Vec<&str> = words.split('-').filter(|word| !word.is_empty()).collect();
        let name = match words.is_empty() {
            true => "plan".to_owned(),
            false => words.join("-"),
        };
        let text = format!("{name}.toml");
        Self {
            of: None,
            kind: FieldKind::Text,
            cursor: text.chars().count(),
            text,
            stem: None,
        }
    }

    /// Takes one press; `choices` are what may stand here besides the field's own words.
    pub fn press(&mut self, press: &Press, choices: &[String]) -> Typed {
        let words = self.words(choices);
        let step = match press {
            Press::Tab => Some(true),
            Press::Down if !words.is_empty() => Some(true),
            Press::Up if !words.is_empty() => Some(false),
            _ => None,
        };
        if let Some(is_next) = step {
            self.choose(&words, is_next);
            return Typed::On;
        }
        self.stem = None;
        match press {
            Press::Enter => return Typed::Taken(self.text.clone()),
            Press::Escape => return Typed::Dropped,
            Press::Left => self.cursor = self.cursor.saturating_sub(1),
            Press::Right => self.cursor = (self.cursor + 1).min(self.text.chars().count()),
            Press::Backspace | Press::BackspaceHeld => self.erase(),
            Press::Pasted(text) | Press::BurstCut(text) => {
                let text = text.trim().chars().filter(|c| !c.is_control());
                for letter in text {
                    if !self.write(letter) {
                        return Typed::Full;
                    }
                }
            }
            other => {
                if let Some(letter) = other.character()
                    && !self.write(letter)
                {
                    return Typed::Full;
                }
            }
        }
        Typed::On
    }

    /// What may stand here.
    pub fn words(&self, choices: &[String]) -> Vec<String> {
        match self.kind {
            FieldKind::Word(words) => words.all().into_iter().map(str::to_owned).collect(),
            _ => choices.to_vec(),
        }
    }

    /// Takes the next of what may stand here and begins with what is typed; of a list, as its last
    /// member.
    fn choose(&mut self, words: &[String], is_next: bool) {
        let (stem, taken) = match self.stem.take() {
            Some((stem, taken)) => (stem, Some(taken)),
            None => (self.text.clone(), None),
        };
        let (before, begun) = match self.kind {
            FieldKind::Names => match stem.rsplit_once(',') {
                Some((before, begun)) => (format!("{before}, "), begun.trim()),
                None => (String::new(), stem.trim()),
            },
            _ => (String::new(), stem.trim()),
        };
        let begun = begun.to_lowercase();
        let fit = words
            .iter()
            .filter(|word| word.to_lowercase().starts_with(&begun));
        let mut fit: Vec<&String> = fit.collect();
        // A word that stands there whole is where the choice begins, not what it is among.
        let is_whole = matches!(self.kind, FieldKind::Word(_)) && fit.len() == 1;
        let mut at = taken;
        if is_whole && taken.is_none() {
            at = words.iter().position(|word| word.to_lowercase() == begun);
            fit = words.iter().collect();
        }
        let count = fit.len();
        if count == 0 {
            self.stem = Some((stem, 0));
            return;
        }
        let at = match (at, is_next) {
            (None, true) => 0,
            (None, false) => count - 1,
            (Some(at), true) => (at + 1) % count,
            (Some(at), false) => (at + count - 1) % count,
        };
        if let Some(word) = fit.get(at) {
            self.text = format!("{before}{word}");
            self.cursor = self.text.chars().count();
        }
        let stem = if is_whole { String::new() } else { stem };
        self.stem = Some((stem, at));
    }

    fn byte(&self, character: usize) -> usize {
        let mut letters = self.text.char_indices();
        letters.nth(character).map_or(self.text.len(), |(at, _)| at)
    }

    fn erase(&mut self) {
        let Some(before) = self.cursor.checked_sub(1) else {
            return;
        };
        let at = self.byte(before);
        if at < self.text.len() {
            self.text.remove(at);
        }
        self.cursor = before;
    }

    fn write(&mut self, letter: char) -> bool {
        if self.text.chars().count() >= TYPED_MAX {
            return false;
        }
        let at = self.byte(self.cursor);
        self.text.insert(at, letter);
        self.cursor += 1;
        true
    }
}
