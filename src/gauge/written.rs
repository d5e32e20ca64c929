//! Single values of a TOML file written by hand: texts, names, exact numbers.
//!
//! Numbers are taken from the digits in the file, never through a binary float: `0.1` is exactly
//! 100 000 nm. A number must be plain decimal text; exponents (`1e-3`), digit grouping (`1_000`),
//! other bases, `inf` and `nan` are refused, since a slip in any of them moves a length tenfold
//! without being seen. A length may also be a quoted text, then with a comma or a unit (`"0,02"`,
//! `"0.001 in"`).

use std::ops::Range;

use toml::Spanned;
use toml::de::DeValue;

use super::file_problem::FileProblem;
use super::findings::{Findings, Written};
use super::pointed::SourceText;
use crate::quantity::{Decimal, DecimalMark, Length, LengthUnit, QuantityError, parse_entry};

/// The problem of a value of another type.
pub fn wrong_type(
    key: &'static str,
    value: &Spanned<DeValue<'_>>,
    expected: &'static str,
) -> FileProblem {
    let found = match value.get_ref() {
        DeValue::String(_) => "a text",
        DeValue::Integer(_) => "a number",
        DeValue::Float(_) => "a decimal number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date or time",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    };
    FileProblem::WrongType {
        key,
        found,
        expected,
    }
}

/// A text that is not blank and holds no control characters.
pub fn text_of<P: From<FileProblem>>(
    findings: &mut Findings<'_, P>,
    key: &'static str,
    value: &Spanned<DeValue<'_>>,
) -> Option<Written<String>> {
    let span = value.span();
    let DeValue::String(text) = value.get_ref() else {
        findings.add(&span, wrong_type(key, value, "a text in quotes"));
        return None;
    };
    if text.trim().is_empty() {
        findings.add(&span, FileProblem::Blank { key });
        return None;
    }
    if let Some(found) = text.chars().find(|c| c.is_control()) {
        let expected = "printable characters on one line";
        findings.add(
            &span,
            FileProblem::BadCharacter {
                key,
                found,
                expected,
            },
        );
        return None;
    }
    let value = text.clone().into_owned();
    Some(Written { value, span })
}

/// A name: letters, digits, `-`, `_` and `.`, at most 64 of them.
pub fn name_of<P: From<FileProblem>>(
    findings: &mut Findings<'_, P>,
    key: &'static str,
    value: &Spanned<DeValue<'_>>,
) -> Option<Written<String>> {
    const CHARACTERS_MAX: usize = 64;
    let written = text_of(findings, key, value)?;
    let foreign = |c: &char| !(c.is_alphanumeric() || matches!(c, '-' | '_' | '.'));
    if let Some((at, found)) = written.value.chars().enumerate().find(|(_, c)| foreign(c)) {
        let place = character_span(findings.source(), &written.span, at);
        let expected = "letters, digits, “-”, “_” and “.”";
        findings.add(
            &place,
            FileProblem::BadCharacter {
                key,
                found,
                expected,
            },
        );
        return None;
    }
    if written.value.chars().count() > CHARACTERS_MAX {
        let problem = FileProblem::OutOfRange {
            key,
            found: "longer than 64 characters".to_owned(),
            expected: "a short name",
        };
        findings.add(&written.span, problem);
        return None;
    }
    Some(written)
}

/// The digits of a TOML number as they stand in the file.
pub fn bare_number<P: From<FileProblem>>(
    findings: &mut Findings<'_, P>,
    key: &'static str,
    value: &Spanned<DeValue<'_>>,
) -> Option<Written<Decimal>> {
    let span = value.span();
    let digits = findings.source().slice(&span);
    match Decimal::parse(digits, DecimalMark::Point) {
        Ok(value) => Some(Written { value, span }),
        Err(QuantityError::BadCharacter { .. }) => {
            let found = digits.to_owned();
            findings.add(&span, FileProblem::NotPlain { key, found });
            None
        }
        Err(error) => {
            findings.add(&span, FileProblem::BadQuantity { key, error });
            None
        }
    }
}

/// One length.
pub fn length_of<P: From<FileProblem>>(
    findings: &mut Findings<'_, P>,
    key: &'static str,
    unit: LengthUnit,
    value: &Spanned<DeValue<'_>>,
) -> Option<Written<Length>> {
    let span = value.span();
    let length = match value.get_ref() {
        DeValue::Integer(_) | DeValue::Float(_) => {
            Length::from_decimal(bare_number(findings, key, value)?.value, unit)
        }
        DeValue::String(text) => parse_entry(text, unit).map(|entry| entry.value),
        _ => {
            findings.add(&span, wrong_type(key, value, "a length, as 0.02"));
            return None;
        }
    };
    match length {
        Ok(value) => Some(Written { value, span }),
        Err(error) => {
            findings.add(&span, FileProblem::BadQuantity { key, error });
            None
        }
    }
}

/// The bytes of one character of a quoted text, counted in characters from 0 of its value.
///
/// Follows the escapes of basic texts (`\"`, `\u00d8`); a text over several lines is answered
/// with its whole span.
pub fn character_span(source: &SourceText<'_>, span: &Range<usize>, at: usize) -> Range<usize> {
    let raw = source.slice(span);
    let multi_line = raw.starts_with("\"\"\"") || raw.starts_with("'''");
    let Some(quote) = raw
        .chars()
        .next()
        .filter(|c| matches!(c, '"' | '\'') && !multi_line)
    else {
        return span.clone();
    };
    let mut offset = 1;
    let end = raw.len().saturating_sub(1);
    for index in 0.. {
        let rest = raw.get(offset..end).unwrap_or("");
        let Some(first) = rest.chars().next() else {
            break;
        };
        let length = match rest.chars().nth(1) {
            Some(escape) if first == '\\' && quote == '"' => match escape {
                'x' => 4,
                'u' => 6,
                'U' => 10,
                _ => 1 + escape.len_utf8(),
            },
            _ => first.len_utf8(),
        };
        if index == at {
            return span.start + offset..span.start + offset + length;
        }
        offset += length;
    }
    let close = span.end.saturating_sub(1).max(span.start);
    close..span.end
}
