//! Reading one adapter's description: values within limits, and errors with their place.

use std::ops::Range;

use toml::Spanned;

use super::error::AdapterError;
use super::format::At;

/// A place in the description's text.
#[derive(Clone, Copy)]
pub(super) struct Place<'t> {
    text: &'t str,
    at: usize,
}

impl<'t> Place<'t> {
    pub(super) fn new(text: &'t str, at: usize) -> Self {
        Self { text, at }
    }

    /// Line and column from 1; the column counts characters.
    pub(super) fn line_column(self) -> (usize, usize) {
        let before = self.text.get(..self.at).unwrap_or(self.text);
        let line = before.matches('\n').count() + 1;
        let column = before.chars().rev().take_while(|c| *c != '\n').count() + 1;
        (line, column)
    }
}

/// The description that is being checked: makes its errors.
pub(super) struct Checked<'t> {
    pub(super) text: &'t str,
    pub(super) adapter: &'t str,
}

impl Checked<'_> {
    pub(super) fn wrong(
        &self,
        key: &str,
        span: Range<usize>,
        expected: impl Into<String>,
    ) -> AdapterError {
        let (line, column) = Place::new(self.text, span.start).line_column();
        let found = self.text.get(span).unwrap_or_default();
        AdapterError::Value {
            adapter: self.adapter.to_owned(),
            key: key.to_owned(),
            found: shorten(found),
            expected: expected.into(),
            line,
            column,
        }
    }

    pub(super) fn missing(
        &self,
        key: &str,
        table: Range<usize>,
        expected: impl Into<String>,
    ) -> AdapterError {
        let (line, column) = Place::new(self.text, table.start).line_column();
        AdapterError::Missing {
            adapter: self.adapter.to_owned(),
            key: key.to_owned(),
            expected: expected.into(),
            line,
            column,
        }
    }

    /// The value of a key that must be there.
    pub(super) fn need<'a, T>(
        &self,
        key: &str,
        value: &'a At<T>,
        table: &Range<usize>,
        expected: &str,
    ) -> Result<&'a Spanned<T>, AdapterError> {
        value
            .as_ref()
            .ok_or_else(|| self.missing(key, table.clone(), expected))
    }

    /// The meaning of a word from a short list.
    pub(super) fn word<T: Copy>(
        &self,
        key: &str,
        value: &Spanned<String>,
        known: &[(&str, T)],
    ) -> Result<T, AdapterError> {
        known
            .iter()
            .find(|(word, _)| word == value.get_ref())
            .map(|(_, meaning)| *meaning)
            .ok_or_else(|| {
                let words: Vec<&str> = known.iter().map(|(word, _)| *word).collect();
                self.wrong(key, value.span(), words.join(", "))
            })
    }

    /// A whole number within limits.
    pub(super) fn count(
        &self,
        key: &str,
        value: &Spanned<i64>,
        allowed: Range<u32>,
    ) -> Result<u32, AdapterError> {
        u32::try_from(*value.get_ref())
            .ok()
            .filter(|number| allowed.contains(number))
            .ok_or_else(|| {
                let (low, high) = (allowed.start, allowed.end.saturating_sub(1));
                self.wrong(key, value.span(), format!("{low} to {high}"))
            })
    }

    /// Bytes written as pairs of hexadecimal digits.
    pub(super) fn bytes(
        &self,
        key: &str,
        value: &Spanned<String>,
        allowed: Range<usize>,
    ) -> Result<Vec<u8>, AdapterError> {
        let text = value.get_ref().as_bytes();
        let read: Option<Vec<u8>> = text
            .chunks(2)
            .map(|pair| match pair {
                [high, low] => {
                    let high = char::from(*high).to_digit(16)?;
                    let low = char::from(*low).to_digit(16)?;
                    u8::try_from(high * 16 + low).ok()
                }
                _ => None,
            })
            .collect();
        read.filter(|bytes| allowed.contains(&bytes.len()))
            .ok_or_else(|| {
                let (low, high) = (allowed.start, allowed.end.saturating_sub(1));
                let expected = format!("{low} to {high} bytes, two hexadecimal digits each");
                self.wrong(key, value.span(), expected)
            })
    }

    /// Refuses keys that do not belong to the kind that was chosen.
    pub(super) fn only(
        &self,
        table: &str,
        kind: &str,
        present: &[(&'static str, Range<usize>)],
        allowed: &[&str],
    ) -> Result<(), AdapterError> {
        match present.iter().find(|(key, _)| !allowed.contains(key)) {
            None => Ok(()),
            Some((key, span)) => {
                let expected = match allowed {
                    [] => format!("no such key beside {kind}"),
                    _ => format!("only {} beside {kind}", allowed.join(", ")),
                };
                Err(self.wrong(&format!("{table}.{key}"), span.clone(), expected))
            }
        }
    }
}

/// A piece of text short enough for a message.
fn shorten(text: &str) -> String {
    const SHOWN_MAX: usize = 60;
    let flat: String = text.split_whitespace().collect::<Vec<_>>().join(" ");
    match flat.char_indices().nth(SHOWN_MAX) {
        None => flat,
        Some((end, _)) => format!("{}…", flat.get(..end).unwrap_or_default()),
    }
}
