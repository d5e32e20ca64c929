//! Journals to test with, and a seeded random source.

use fitledger::journal::{Hash, Moment, SESSION_CLOSED, encode, verify};

/// `SplitMix64`: the same numbers for the same seed, everywhere.
pub(crate) struct Seeded(pub(crate) u64);

impl Seeded {
    pub(crate) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    pub(crate) fn below(&mut self, bound: usize) -> usize {
        usize::try_from(self.next() % bound as u64).unwrap()
    }
}

pub(crate) fn moment(step: u64) -> Moment {
    let start: jiff::Timestamp = "2026-11-24T22:51:03.123Z".parse().unwrap();
    let mono_ms = step * 737;
    let time = start + jiff::SignedDuration::from_millis(i64::try_from(mono_ms).unwrap());
    Moment { time, mono_ms }
}

/// The body of a reading, about as long as a real one.
pub(crate) fn reading_body(number: u64) -> String {
    format!(
        r#"{{"gauge":"mic-25","value":"25.{:03}","unit":"mm","raw":"2b30303235{number:04}"}}"#,
        number % 1000
    )
}

/// The kind and body of event `number`, and the closing one at the end.
pub(crate) fn event(number: u64, of: u64) -> (&'static str, String) {
    if number == of {
        return (SESSION_CLOSED, format!("{{\"events\":{number}}}"));
    }
    match number % 3 {
        1 => ("reading_received", reading_body(number)),
        2 => (
            "reading_assigned",
            format!("{{\"reading\":{},\"part\":1}}", number - 1),
        ),
        _ => (
            "verdict_given",
            format!("{{\"reading\":{},\"verdict\":\"GO\"}}", number - 2),
        ),
    }
}

/// A closed journal of `events` lines.
pub(crate) fn closed_journal(events: u64) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut prev = Hash::GENESIS;
    for number in 1..=events {
        let (kind, body) = event(number, events);
        prev = encode(&mut bytes, number, moment(number), kind, &body, prev).unwrap();
    }
    bytes
}

/// Where each line begins, and at last the end.
pub(crate) fn line_starts(journal: &[u8]) -> Vec<usize> {
    let ends = journal
        .iter()
        .enumerate()
        .filter(|(_, byte)| **byte == b'\n')
        .map(|(at, _)| at + 1);
    std::iter::once(0).chain(ends).collect()
}

/// The numbers of the lines that `verify` hands out, and its report.
pub(crate) fn checked(journal: &[u8]) -> (Vec<u64>, fitledger::journal::Report) {
    let mut numbers = Vec::new();
    let report = verify(journal, |sound| numbers.push(sound.line.seq)).unwrap();
    (numbers, report)
}
