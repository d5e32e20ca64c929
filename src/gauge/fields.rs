//! One TOML table with the keys that it may have, read key by key.
//!
//! Every problem goes to the [`Findings`]; a value that was refused counts as written (see
//! [`Fields::has`]) but is `None`.

use std::ops::{Range, RangeInclusive};

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::date::Date;
use super::file_problem::FileProblem;
use super::findings::{Findings, Written};
use super::pointed::nearest;
use super::written::{bare_number, length_of, name_of, text_of, wrong_type};
use crate::quantity::{Decimal, Length, LengthUnit};

/// How one member of a list of texts is read.
type ReadText<'t, P> =
    fn(&mut Findings<'t, P>, &'static str, &Spanned<DeValue<'t>>) -> Option<Written<String>>;

/// One table of the file with the keys that it may have.
#[derive(Debug)]
pub struct Fields<'d, 't> {
    table: &'d DeTable<'t>,
    heading: &'static str,
    span: Range<usize>,
}

impl<'d, 't> Fields<'d, 't> {
    /// The table under `heading`; each key that is not in `known` is a problem.
    pub fn open<P: From<FileProblem>>(
        findings: &mut Findings<'t, P>,
        table: &'d DeTable<'t>,
        heading: &'static str,
        span: Range<usize>,
        known: &'static [&'static str],
    ) -> Self {
        for key in table.keys() {
            let found: &str = key.get_ref();
            if !known.contains(&found) {
                let problem = FileProblem::UnknownKey {
                    found: found.to_owned(),
                    table: heading,
                    nearest: nearest(found, known.iter().copied()),
                    known,
                };
                findings.add(&key.span(), problem);
            }
        }
        Self {
            table,
            heading,
            span,
        }
    }

    /// Where the table begins: its heading.
    pub fn span(&self) -> &Range<usize> {
        &self.span
    }

    /// Whether the key is written, good or bad.
    pub fn has(&self, key: &str) -> bool {
        self.table.contains_key(key)
    }

    /// The key's own place, for problems of the whole entry.
    pub fn key_span(&self, key: &str) -> Range<usize> {
        let entry = self.table.get_key_value(key);
        entry.map_or_else(|| self.span.clone(), |(written, _)| written.span())
    }

    /// A problem for each of these keys that is not written.
    pub fn require<P: From<FileProblem>>(
        &self,
        findings: &mut Findings<'t, P>,
        keys: &[&'static str],
    ) {
        for key in keys.iter().copied().filter(|key| !self.has(key)) {
            let table = self.heading;
            findings.add(&self.span, FileProblem::MissingKey { key, table });
        }
    }

    /// The raw value of a key.
    pub fn value(&self, key: &str) -> Option<&'d Spanned<DeValue<'t>>> {
        self.table.get(key)
    }

    /// A text that is not blank and holds no control characters.
    pub fn text<P: From<FileProblem>>(
        &self,
        findings: &mut Findings<'t, P>,
        key: &'static str,
    ) -> Option<Written<String>> {
        text_of(findings, key, self.value(key)?)
    }

    /// A name: letters, digits, `-`, `_` and `.`, at most 64 of them.
    pub fn name<P: From<FileProblem>>(
        &self,
        findings: &mut Findings<'t, P>,
        key: &'static str,
    ) -> Option<Written<String>> {
        name_of(findings, key, self.value(key)?)
    }

    /// A list of names that differ from one another.
    pub fn names<P: From<FileProblem>>(
        &self,
        findings: &mut Findings<'t, P>,
        key: &'static str,
    ) -> Option<Written<Vec<Written<String>>>> {
        self.list(findings, key, "a list of names, as [\"a\", \"b\"]", name_of)
    }

    /// A list of texts that differ from one another.
    pub fn texts<P: From<FileProblem>>(
        &self,
        findings: &mut Findings<'t, P>,
        key: &'static str,
    ) -> Option<Written<Vec<Written<String>>>> {
        self.list(findings, key, "a list of texts, as [\"a\", \"b\"]", text_of)
    }

    fn list<P: From<FileProblem>>(
        &self,
        findings: &mut Findings<'t, P>,
        key: &'static str,
        expected: &'static str,
        read: ReadText<'t, P>,
    ) -> Option<Written<Vec<Written<String>>>> {
        let value = self.value(key)?;
        let DeValue::Array(members) = value.get_ref() else {
            findings.add(&value.span(), wrong_type(key, value, expected));
            return None;
        };
        let read = |member| read(findings, key, member);
        let texts: Vec<_> = members.iter().map(read).collect();
        findings.add_repeats(key, texts.iter().flatten());
        Some(Written {
            value: texts.into_iter().collect::<Option<Vec<_>>>()?,
            span: value.span(),
        })
    }

    /// One of the words of a list.
    pub fn word<P: From<FileProblem>, T: Copy>(
        &self,
        findings: &mut Findings<'t, P>,
        key: &'static str,
        words: &[(T, &'static str)],
    ) -> Option<Written<T>> {
        let Written { value: found, span } = self.text(findings, key)?;
        if let Some((value, _)) = words.iter().find(|(_, word)| *word == found) {
            return Some(Written {
                value: *value,
                span,
            });
        }
        let known: Vec<&'static str> = words.iter().map(|(_, word)| *word).collect();
        let nearest = nearest(&found, known.iter().copied());
        findings.add(
            &span,
            FileProblem::UnknownWord {
                key,
                found,
                nearest,
                known,
            },
        );
        None
    }

    /// A whole number within bounds; `expected` names them.
    pub fn whole<P: From<FileProblem>>(
        &self,
        findings: &mut Findings<'t, P>,
        key: &'static str,
        bounds: RangeInclusive<u32>,
        expected: &'static str,
    ) -> Option<Written<u32>> {
        let value = self.value(key)?;
        if !value.get_ref().is_integer() {
            findings.add(&value.span(), wrong_type(key, value, expected));
            return None;
        }
        let number = bare_number(findings, key, value)?;
        let whole = u32::try_from(number.value.mantissa()).ok();
        let span = number.span;
        match whole.filter(|number| bounds.contains(number)) {
            Some(value) => Some(Written { value, span }),
            None => {
                let found = findings.source().slice(&span).to_owned();
                findings.add(
                    &span,
                    FileProblem::OutOfRange {
                        key,
                        found,
                        expected,
                    },
                );
                None
            }
        }
    }

    /// A plain decimal number, exact.
    pub fn number<P: From<FileProblem>>(
        &self,
        findings: &mut Findings<'t, P>,
        key: &'static str,
        expected: &'static str,
    ) -> Option<Written<Decimal>> {
        let value = self.value(key)?;
        if !(value.get_ref().is_integer() || value.get_ref().is_float()) {
            findings.add(&value.span(), wrong_type(key, value, expected));
            return None;
        }
        bare_number(findings, key, value)
    }

    /// A length: a plain decimal number of `unit`, or a text with its own unit.
    pub fn length<P: From<FileProblem>>(
        &self,
        findings: &mut Findings<'t, P>,
        key: &'static str,
        unit: LengthUnit,
    ) -> Option<Written<Length>> {
        length_of(findings, key, unit, self.value(key)?)
    }

    /// A list of lengths, or one length alone as a list of one.
    pub fn lengths<P: From<FileProblem>>(
        &self,
        findings: &mut Findings<'t, P>,
        key: &'static str,
        unit: LengthUnit,
    ) -> Option<Written<Vec<Written<Length>>>> {
        let value = self.value(key)?;
        let members: Vec<&Spanned<DeValue<'t>>> = match value.get_ref() {
            DeValue::Array(members) => members.iter().collect(),
            _ => vec![value],
        };
        let read = |member| length_of(findings, key, unit, member);
        let lengths: Vec<_> = members.iter().copied().map(read).collect();
        Some(Written {
            value: lengths.into_iter().collect::<Option<Vec<_>>>()?,
            span: value.span(),
        })
    }

    /// A calendar date.
    pub fn date<P: From<FileProblem>>(
        &self,
        findings: &mut Findings<'t, P>,
        key: &'static str,
    ) -> Option<Written<Date>> {
        const EXPECTED: &str = "a date, as 2027-03-01";
        let value = self.value(key)?;
        let span = value.span();
        let text = match value.get_ref() {
            DeValue::String(text) => text.as_ref(),
            DeValue::Datetime(_) => findings.source().slice(&span),
            _ => {
                findings.add(&span, wrong_type(key, value, EXPECTED));
                return None;
            }
        };
        let date = Date::parse(text);
        if date.is_none() {
            let problem = FileProblem::OutOfRange {
                key,
                found: text.escape_debug().to_string(),
                expected: EXPECTED,
            };
            findings.add(&span, problem);
        }
        date.map(|value| Written { value, span })
    }

    /// A table inside this one, as `port = { … }`.
    pub fn table<P: From<FileProblem>>(
        &self,
        findings: &mut Findings<'t, P>,
        key: &'static str,
        heading: &'static str,
        known: &'static [&'static str],
    ) -> Option<Fields<'d, 't>> {
        let value = self.value(key)?;
        let DeValue::Table(table) = value.get_ref() else {
            findings.add(&value.span(), wrong_type(key, value, "a table"));
            return None;
        };
        Some(Fields::open(findings, table, heading, value.span(), known))
    }

    /// The tables of a list, as `[[feature]]`; none written is none.
    pub fn tables<P: From<FileProblem>>(
        &self,
        findings: &mut Findings<'t, P>,
        key: &'static str,
        heading: &'static str,
        known: &'static [&'static str],
    ) -> Vec<Fields<'d, 't>> {
        let Some(value) = self.value(key) else {
            return Vec::new();
        };
        let DeValue::Array(members) = value.get_ref() else {
            let expected = "a list of tables, each under its own heading in double brackets";
            findings.add(&self.key_span(key), wrong_type(key, value, expected));
            return Vec::new();
        };
        let mut tables = Vec::new();
        for member in members.iter() {
            match member.get_ref() {
                DeValue::Table(table) => {
                    tables.push(Fields::open(findings, table, heading, member.span(), known));
                }
                _ => findings.add(&member.span(), wrong_type(key, member, "a table")),
            }
        }
        tables
    }
}
