//! A pattern for a whole frame, with named groups.
//!
//! Regular expressions of the `regex` crate: no look-around, no back references, time linear in
//! the frame. Bytes, not Unicode: a text frame holds only 20h to 7Eh.

use regex::bytes::{CaptureLocations, Regex, RegexBuilder};
use regex_syntax::hir::{Class, Hir, HirKind};

/// Compiled size that a pattern may need, bytes (chosen; the built-in ones need a few thousand).
const SIZE_MAX: usize = 1 << 18;
/// Longest pattern, characters (chosen).
const TEXT_MAX: usize = 512;
/// Deepest nesting (chosen).
const NEST_MAX: u32 = 32;

/// Places of the named groups, as numbers of capture groups.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Groups {
    pub(super) id: Option<usize>,
    pub(super) status: Option<usize>,
    pub(super) sign: Option<usize>,
    pub(super) number: Option<usize>,
    pub(super) unit: Option<usize>,
}

/// A compiled pattern.
#[derive(Debug, Clone)]
pub(super) struct Pattern {
    regex: Regex,
    pub(super) groups: Groups,
    /// Every part of the pattern takes either all ten digits or none.
    pub(super) digit_blind: bool,
}

impl Pattern {
    /// Compiles `text`; the error says what was expected instead.
    pub(super) fn new(text: &str) -> Result<Self, String> {
        if text.chars().count() > TEXT_MAX {
            return Err(format!("a pattern of at most {TEXT_MAX} characters"));
        }
        let whole = format!(r"\A(?:{text})\z");
        // The text must be a pattern by itself too: `a)|(b` would be one only inside the frame.
        let hir = parse(text)?;
        let regex = RegexBuilder::new(&whole)
            .unicode(false)
            .size_limit(SIZE_MAX)
            .dfa_size_limit(SIZE_MAX)
            .nest_limit(NEST_MAX)
            .build()
            .map_err(|error| one_line(&error.to_string()))?;
        let mut groups = Groups::default();
        for (at, name) in regex.capture_names().enumerate() {
            let Some(name) = name else { continue };
            let place = match name {
                "id" => &mut groups.id,
                "status" => &mut groups.status,
                "sign" => &mut groups.sign,
                "num" => &mut groups.number,
                "unit" => &mut groups.unit,
                _ => return Err("only the groups id, status, sign, num and unit".to_owned()),
            };
            *place = Some(at);
        }
        if groups.number.is_none() {
            return Err("a group num, such as (?P<num>[0-9.]+)".to_owned());
        }
        Ok(Self {
            regex,
            groups,
            digit_blind: digit_blind(&hir),
        })
    }

    /// Room for the places that one match finds.
    pub(super) fn locations(&self) -> CaptureLocations {
        self.regex.capture_locations()
    }

    /// Whether the whole of `text` fits; the places of the groups are then in `places`.
    pub(super) fn fits(&self, text: &[u8], places: &mut CaptureLocations) -> bool {
        self.regex.captures_read(places, text).is_some()
    }
}

fn parse(text: &str) -> Result<Hir, String> {
    regex_syntax::ParserBuilder::new()
        .unicode(false)
        .utf8(false)
        .nest_limit(NEST_MAX)
        .build()
        .parse(text)
        .map_err(|error| one_line(&error.to_string()))
}

/// The last line of the parser's drawing of a fault, which is its sentence.
fn one_line(error: &str) -> String {
    let last = error
        .lines()
        .rev()
        .map(str::trim)
        .find(|line| !line.is_empty())
        .unwrap_or("unreadable");
    format!(
        "a pattern that can be compiled ({})",
        last.trim_start_matches("error: ")
    )
}

/// True when changing a digit of a frame into another digit changes neither whether the pattern
/// fits nor where its groups are.
///
/// Sound because a match depends on the bytes only through the leaves of the pattern: literals,
/// classes and looks. If no literal holds a digit and each class holds all digits or none, two
/// frames that differ only in their digits drive the matcher alike at each step; looks (line
/// ends, word boundaries) take all digits alike by definition.
fn digit_blind(hir: &Hir) -> bool {
    match hir.kind() {
        HirKind::Empty | HirKind::Look(_) => true,
        HirKind::Literal(literal) => !literal.0.iter().any(u8::is_ascii_digit),
        HirKind::Class(class) => {
            let holds = |digit: u8| match class {
                Class::Unicode(class) => class
                    .iter()
                    .any(|range| (range.start()..=range.end()).contains(&char::from(digit))),
                Class::Bytes(class) => class
                    .iter()
                    .any(|range| (range.start()..=range.end()).contains(&digit)),
            };
            let held = (b'0'..=b'9').filter(|digit| holds(*digit)).count();
            held == 0 || held == 10
        }
        HirKind::Repetition(repetition) => digit_blind(&repetition.sub),
        HirKind::Capture(capture) => digit_blind(&capture.sub),
        HirKind::Concat(parts) | HirKind::Alternation(parts) => parts.iter().all(digit_blind),
    }
}

#[cfg(test)]
mod tests {
    use super::Pattern;

    #[test]
    fn a_pattern_that_prefers_some_digits_is_known_as_such() {
        for (text, blind) in [
            (r"^(?P<sign>[+-]?)(?P<num>[0-9.,]+)$", true),
            (r"(?P<num>\d+)(?P<id>[0-9A-F]{2})", true),
            (r"(?P<num>[ -~]+)", true),
            (r"(?P<num>[1-9][0-9]*)", false),
            (r"(?P<num>[0-9]+)0", false),
            (r"1(?P<num>[0-9]+)", false),
            (r"(?P<num>[+-/]|[.-4])", false),
            (r"(?:x|(?P<num>\x35))", false),
        ] {
            assert_eq!(Pattern::new(text).unwrap().digit_blind, blind, "{text}");
        }
    }

    #[test]
    fn a_pattern_without_number_or_with_foreign_groups_or_too_large_is_refused() {
        for text in [
            "[0-9]+",
            "(?P<num>[0-9]+)(?P<colour>[a-z])",
            "(?P<num>(?:[0-9]{500}){500})",
            "(?P<num>[0-9]+",
            "(?P<num>a)|(b))|((?:c",
            "a)|(?P<num>b",
            &format!("(?P<num>{})", "a".repeat(600)),
        ] {
            assert!(Pattern::new(text).is_err(), "{text}");
        }
    }
}
