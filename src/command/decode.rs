//! `fitledger decode`: bytes in hexadecimal, one stream a line, become events.

use crate::session::{Workspace, adapter_named};
use crate::wire::{Decoded, WireError, decode_groups};

use super::answers::{Answer, FROM_STDIN, Form, answer_each};
use super::arguments_wire::DecodeArguments;
use super::output::{Output, Stopped};
use super::output_wire::{DecodeLine, WireEvent};
use super::problem::Problem;
use super::table::{Cell, Column, Row, Style, cell, numbers, words};

/// The columns for people.
pub(super) const COLUMNS: &[Column] = &[
    words("event"),
    numbers("value"),
    words("unit"),
    words("id"),
    words("status"),
    words("what"),
];

/// Answers each line of standard input.
pub(super) fn run(
    arguments: &DecodeArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    let adapter = adapter_named(workspace, &arguments.adapter).map_err(Problem::from);
    if let (Err(problem), false) = (&adapter, arguments.json) {
        out.complain(problem);
        return Ok(());
    }
    let form = Form {
        json: arguments.json,
        columns: COLUMNS,
        word_at: 0,
    };
    let lines = [FROM_STDIN.to_owned()];
    answer_each(&lines, form, out, |line| {
        let adapter = adapter.as_ref().map_err(Problem::clone)?;
        let groups = groups_of(line)?;
        Ok(Told {
            hex: line.trim().to_owned(),
            decoded: decode_groups(adapter, &groups),
        })
    })
}

/// The bytes of a line. Blanks between groups mark pauses: they end the frames of the families
/// that have no other end and mean nothing to the others. An odd digit at the line's end is left
/// unread.
fn groups_of(line: &str) -> Result<Vec<Vec<u8>>, Problem> {
    let mut groups = Vec::new();
    let mut group = Vec::new();
    let mut high: Option<(usize, u8)> = None;
    for (at, c) in line.chars().enumerate() {
        let digit = c.to_digit(16).and_then(|digit| u8::try_from(digit).ok());
        match (digit, high) {
            (Some(digit), None) => high = Some((at, digit)),
            (Some(low), Some((_, digit))) => {
                group.push(digit * 16 + low);
                high = None;
            }
            (None, None) if c.is_whitespace() => groups.push(std::mem::take(&mut group)),
            (None, Some((at, _))) if c.is_whitespace() => {
                let rest: String = line.chars().skip(at + 1).collect();
                if !rest.trim().is_empty() {
                    return Err(bad_hex(at, "a pair of hexadecimal digits before a blank"));
                }
            }
            (None, _) => return Err(bad_hex(at, "a hexadecimal digit or a blank")),
        }
    }
    groups.push(group);
    groups.retain(|group| !group.is_empty());
    Ok(groups)
}

fn bad_hex(at: usize, expected: &str) -> Problem {
    let message = format!("Character {} is wrong; expected {expected}.", at + 1);
    Problem::bad(
        "bad_hex",
        message,
        Some("Write bytes such as 2b31322e33340d0a; a blank stands for a pause."),
    )
}

/// What one line said.
struct Told {
    hex: String,
    decoded: Vec<Decoded>,
}

impl Answer for Told {
    fn write_json(&self, out: &mut Output) -> Result<(), Stopped> {
        let events: Vec<WireEvent> = self.decoded.iter().map(WireEvent::from).collect();
        out.json(&DecodeLine {
            hex: &self.hex,
            events: &events,
        })
    }

    fn rows(&self) -> Vec<Row> {
        match self.decoded.is_empty() {
            true => vec![vec![cell("nothing")]],
            false => self.decoded.iter().map(row).collect(),
        }
    }

    fn why(&self) -> Vec<String> {
        Vec::new()
    }
}

/// One event for people.
pub(super) fn row<B: AsRef<[u8]>, I: AsRef<str>>(decoded: &Decoded<B, I>) -> Row {
    let id = |id: &Option<I>| cell(id.as_ref().map_or("", |id| id.as_ref()));
    match decoded {
        Decoded::Reading(sent) => {
            let note = match sent.length {
                Err(error) => told_error(error),
                Ok(_) if sent.minus && !sent.value_text().starts_with('-') => {
                    "sent with a minus".to_owned()
                }
                Ok(_) => String::new(),
            };
            vec![
                cell("reading"),
                cell(sent.value_text()),
                cell(sent.unit.symbol()),
                id(&sent.id),
                cell(sent.status.word()),
                cell(note),
            ]
        }
        Decoded::Status(sent) => {
            let blank = || cell("");
            vec![
                cell("status"),
                blank(),
                blank(),
                id(&sent.id),
                cell(sent.status.word()),
            ]
        }
        Decoded::Error(sent) => {
            let code = Cell {
                text: sent.error.code().to_owned(),
                style: Style::NoGo,
            };
            let blank = || cell("");
            let place = format!("from byte {}", sent.offset);
            vec![cell("error"), blank(), blank(), blank(), code, cell(place)]
        }
    }
}

fn told_error(error: WireError) -> String {
    format!("no length: {}", error.code())
}

#[cfg(test)]
mod tests {
    use super::groups_of;

    #[test]
    fn hex_is_read_in_pairs_blanks_part_groups_and_an_odd_last_digit_is_left() {
        let code = |line| groups_of(line).map_err(|problem| problem.code);
        assert_eq!(
            code("2B31  0d0a"),
            Ok(vec![vec![0x2b, 0x31], vec![0x0d, 0x0a]])
        );
        assert_eq!(code(" 2b 3"), Ok(vec![vec![0x2b]]));
        assert_eq!(code("2b 3 "), Ok(vec![vec![0x2b]]));
        assert_eq!(code(""), Ok(vec![]));
        assert_eq!(code(" \t"), Ok(vec![]));
        assert_eq!(code("2b 3 1"), Err("bad_hex"));
        assert_eq!(code("2x"), Err("bad_hex"));
        assert_eq!(code("０１"), Err("bad_hex"));
    }
}
