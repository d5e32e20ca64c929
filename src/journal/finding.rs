//! What a check of a journal finds, in words that a person can act on.

use std::fmt;

use super::chain::Link;
use super::reader::{DamageKind, Place};
use crate::quantity::counted;

/// The whole of a journal, in one word.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum State {
    /// Every line is right, and the last one closes the session.
    Sound,
    /// Every line is right; the session was not closed, so lines may be missing at the end.
    NotClosed,
    /// Every finished line is right; the last one is unfinished.
    TornTail,
    /// Something that was written is not as it was written.
    Damaged,
}

impl State {
    /// The contract's word.
    #[must_use]
    pub fn code(self) -> &'static str {
        match self {
            Self::Sound => "sound",
            Self::NotClosed => "not_closed",
            Self::TornTail => "torn_tail",
            Self::Damaged => "damaged",
        }
    }
}

/// What was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum FindingKind {
    /// A stretch that is no line, and which line numbers are missing for it, if any are.
    Damage {
        /// What is wrong with the stretch.
        kind: DamageKind,
        /// The first and last number that are missing here.
        missing: Option<(u64, u64)>,
    },
    /// Lines are missing before this one, without a trace.
    Missing {
        /// The first missing number.
        first: u64,
        /// The last missing number.
        last: u64,
    },
    /// The line before is not the one that this line followed when it was written.
    ChainBroken,
    /// The line before once more.
    Duplicate,
    /// The line's number was already passed.
    OutOfOrder,
    /// A line after the one that closed the session.
    AfterClose,
    /// The body is not one JSON object without blanks.
    BadBody {
        /// Byte offset in the body.
        at: usize,
        /// What would have been right there.
        expected: &'static str,
    },
    /// A `continuation_opened` or `tail_damaged` line whose body does not fit its place.
    BadLink,
    /// Another program put CR before the LF; how many lines. The lines themselves are right.
    LineEndsConverted {
        /// How many lines.
        lines: u64,
    },
    /// Another program put a byte order mark at the beginning.
    ByteOrderMark,
    /// The last line is right, but for its LF.
    LineEndMissing,
    /// An unfinished line that the session went on after, and said so. Nothing was lost.
    TornTailContinued,
    /// Lines after the last one that counts, as the continuation says. Never acknowledged.
    NotAcknowledged {
        /// How many lines.
        lines: u64,
    },
    /// The file does not hold the line that its continuation goes on from.
    LinkAbsent {
        /// The number that the continuation names.
        seq: u64,
        /// The first and last number that are missing up to it; `None` where the file holds
        /// another line of that number.
        missing: Option<(u64, u64)>,
    },
}

/// One finding, and where.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Finding {
    /// What.
    pub kind: FindingKind,
    /// Where: physical line, byte offset and length.
    pub place: Place,
}

impl Finding {
    /// The finding in one snake_case word.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self.kind {
            FindingKind::Damage { kind, .. } => match kind {
                DamageKind::Altered => "altered",
                DamageKind::NotALine { .. } => "not_a_line",
                DamageKind::TooLong => "too_long",
                DamageKind::BlankLine => "blank_line",
                DamageKind::Zeros => "zeros",
                DamageKind::NewerVersion { .. } => "newer_version",
                DamageKind::LineEndsConverted => "line_ends_converted",
                DamageKind::TornTail => "torn_tail",
            },
            FindingKind::Missing { .. } => "missing",
            FindingKind::ChainBroken => "chain_broken",
            FindingKind::Duplicate => "duplicate",
            FindingKind::OutOfOrder => "out_of_order",
            FindingKind::AfterClose => "after_close",
            FindingKind::BadBody { .. } => "bad_body",
            FindingKind::BadLink => "bad_link",
            FindingKind::LineEndsConverted { .. } => "line_ends_converted",
            FindingKind::ByteOrderMark => "byte_order_mark",
            FindingKind::LineEndMissing => "line_end_missing",
            FindingKind::TornTailContinued => "torn_tail_continued",
            FindingKind::NotAcknowledged { .. } => "not_acknowledged",
            FindingKind::LinkAbsent { .. } => "link_absent",
        }
    }

    /// Whether nothing is wrong: the finding tells of an end that was never acknowledged.
    #[must_use]
    pub fn is_notice(&self) -> bool {
        matches!(
            self.kind,
            FindingKind::TornTailContinued | FindingKind::NotAcknowledged { .. }
        )
    }

    /// The state that this finding alone gives; `None` for a notice.
    pub(crate) fn state(&self) -> Option<State> {
        match self.kind {
            _ if self.is_notice() => None,
            FindingKind::LineEndMissing
            | FindingKind::Damage {
                kind: DamageKind::TornTail,
                ..
            } => Some(State::TornTail),
            _ => Some(State::Damaged),
        }
    }
}

impl fmt::Display for Finding {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Place {
            line,
            offset,
            length,
        } = self.place;
        let length = counted(length, "byte");
        write!(out, "line {line}, {length} at byte {offset}: ")?;
        match self.kind {
            FindingKind::Damage { kind, missing } => {
                write_damage(out, kind)?;
                write_lost(out, missing)
            }
            FindingKind::Missing { first, last } if first == last => {
                write!(out, "event {first} is not before this line")
            }
            FindingKind::Missing { first, last } => {
                write!(out, "events {first} to {last} are not before this line")
            }
            FindingKind::ChainBroken => {
                write!(
                    out,
                    "this line was written after another line than the one before it"
                )
            }
            FindingKind::Duplicate => write!(out, "the line before, once more"),
            FindingKind::OutOfOrder => write!(out, "a number that was already passed"),
            FindingKind::AfterClose => write!(out, "a line after the session was closed"),
            FindingKind::BadBody { at, expected } => {
                write!(
                    out,
                    "the body is not one JSON object: at its byte {at}, expected {expected}"
                )
            }
            FindingKind::BadLink => write!(out, "what this line says of the file is not so"),
            FindingKind::LineEndsConverted { lines } => write!(
                out,
                "line ends were converted to CR LF in {}; the rest is right",
                counted(lines, "line")
            ),
            FindingKind::ByteOrderMark => {
                write!(out, "a byte order mark was put before the first line")
            }
            FindingKind::LineEndMissing => write!(out, "the last line is right but for its end"),
            FindingKind::TornTailContinued => write!(
                out,
                "an unfinished line, never acknowledged; the session went on and said so"
            ),
            FindingKind::NotAcknowledged { lines } => write!(
                out,
                "{} after the last one that counts; never acknowledged",
                counted(lines, "line")
            ),
            FindingKind::LinkAbsent { seq, missing } => {
                write!(
                    out,
                    "the continuation goes on from event {seq}, which is not here"
                )?;
                write_lost(out, missing)
            }
        }
    }
}

fn write_lost(out: &mut fmt::Formatter<'_>, missing: Option<(u64, u64)>) -> fmt::Result {
    match missing {
        Some((first, last)) if first == last => write!(out, "; event {first} is lost"),
        Some((first, last)) => write!(out, "; events {first} to {last} are lost"),
        None => Ok(()),
    }
}

fn write_damage(out: &mut fmt::Formatter<'_>, kind: DamageKind) -> fmt::Result {
    match kind {
        DamageKind::Altered => write!(out, "altered: the bytes are not those that were hashed"),
        DamageKind::NotALine { at, expected } => {
            write!(
                out,
                "not a line of the journal: at its byte {at}, expected {expected}"
            )
        }
        DamageKind::TooLong => write!(out, "longer than the longest line"),
        DamageKind::BlankLine => write!(out, "a blank line"),
        DamageKind::Zeros => write!(out, "nothing but zero bytes"),
        DamageKind::NewerVersion { found } => {
            write!(
                out,
                "a line of version {found}, which this program does not know"
            )
        }
        DamageKind::LineEndsConverted => write!(out, "line ends were converted to CR alone"),
        DamageKind::TornTail => {
            write!(
                out,
                "unfinished: its writing was cut off; it was never acknowledged"
            )
        }
    }
}

/// How the file ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tail {
    /// With a line's LF, or without any byte.
    Whole,
    /// With a sound line that lacks its LF.
    LineEndMissing,
    /// With an unfinished line.
    Torn {
        /// Where it begins.
        offset: u64,
        /// Its bytes.
        bytes: u64,
    },
}

/// The most findings that a report lists; the rest is counted (chosen).
pub const MOST_FINDINGS: usize = 1_000;

/// What a check of one file gives.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Report {
    /// The whole, in one word.
    pub state: State,
    /// Lines that check themselves.
    pub events: u64,
    /// The highest line; what a continuation goes on from.
    pub head: Link,
    /// Bytes of the file.
    pub length: u64,
    /// How the file ends.
    pub tail: Tail,
    /// Whether a line closes the session.
    pub closed: bool,
    /// What was found, in the file's order; at most [`MOST_FINDINGS`].
    pub findings: Vec<Finding>,
    /// Findings beyond those.
    pub more_findings: u64,
}

impl Report {
    /// Whether the contract's exit code is 0: sound, or only not closed.
    #[must_use]
    pub fn passes(&self) -> bool {
        matches!(self.state, State::Sound | State::NotClosed)
    }
}

#[cfg(test)]
mod tests {
    use super::{Finding, FindingKind};
    use crate::journal::LinePlace;

    #[test]
    fn one_line_is_told_as_one() {
        let told = |kind| {
            let place = LinePlace {
                line: 3,
                offset: 9,
                length: 1,
            };
            Finding { place, kind }.to_string()
        };
        assert_eq!(
            told(FindingKind::NotAcknowledged { lines: 1 }),
            "line 3, 1 byte at byte 9: 1 line after the last one that counts; never acknowledged"
        );
        let converted = told(FindingKind::LineEndsConverted { lines: 2 });
        assert!(converted.contains("in 2 lines;"), "{converted}");
    }
}
