//! Sentences of a page, one after the other; those that say what to do stand out.

use super::words::{Words, clean};

/// A sentence of a page.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SentenceView {
    /// The sentence.
    pub text: String,
    /// It says what to do.
    pub is_strong: bool,
}

/// Sentences, in their order.
pub(super) struct Said {
    pub(super) words: Words,
    pub(super) lines: Vec<SentenceView>,
    /// Numbers are put into the form of the screen where they are made, so that no name that looks
    /// like one is changed.
    is_as_given: bool,
}

impl Said {
    /// Sentences whose numbers take the form of the screen.
    pub(super) fn new(words: Words) -> Self {
        Self {
            words,
            lines: Vec::new(),
            is_as_given: false,
        }
    }

    /// Sentences whose numbers have the form of the screen already.
    pub(super) fn as_given(words: Words) -> Self {
        Self {
            is_as_given: true,
            ..Self::new(words)
        }
    }

    /// A sentence.
    pub(super) fn say(&mut self, text: &str) {
        self.put(text, false);
    }

    /// A sentence that says what to do.
    pub(super) fn strong(&mut self, text: &str) {
        self.put(text, true);
    }

    fn put(&mut self, text: &str, is_strong: bool) {
        let text = match self.is_as_given {
            true => word_by_word(text, clean),
            false => self.shown(text),
        };
        if !text.is_empty() {
            self.lines.push(SentenceView { text, is_strong });
        }
    }

    /// A sentence of another room, with its numbers as on the screen.
    pub(super) fn shown(&self, text: &str) -> String {
        word_by_word(text, |word| self.words.sentence(word))
    }
}

/// As one name a long sentence would be cut.
fn word_by_word(text: &str, form: impl FnMut(&str) -> String) -> String {
    let words = text.split(' ').map(form);
    words.collect::<Vec<_>>().join(" ")
}
