//! Journals put together anew from lines, with a chain that is right: what somebody makes who
//! knows the form (`src/journal/line.rs`) and has no secret to know.

use fitledger::journal::{Hash, Line, encode};

use super::bench::moment_at;

/// The kind and body of each line of a journal.
pub(crate) fn lines_of(journal: &[u8]) -> Vec<(String, String)> {
    let lines = journal.split(|byte| *byte == b'\n');
    lines
        .filter(|line| !line.is_empty())
        .map(|line| {
            let line = Line::parse(line).unwrap();
            (line.kind.to_owned(), line.body.to_owned())
        })
        .collect()
}

/// These lines as one self-consistent journal.
pub(crate) fn chained(lines: &[(String, String)]) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut prev = Hash::GENESIS;
    for (number, (kind, body)) in (1..).zip(lines) {
        let moment = moment_at(number * 1_000);
        prev = encode(&mut bytes, number, moment, kind, body, prev).unwrap();
    }
    bytes
}
