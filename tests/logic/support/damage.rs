//! What must hold whatever happens to a journal, asserted in one place:
//!
//! - I1 no acknowledged line is lost without being told of;
//! - I2 damage is reported, with its place;
//! - I3 everything else is readable, and nothing is read that was never written;
//! - I4 the file is byte for byte as it was before it was read;
//! - I5 no panic, no endless work, bounded memory.

use std::fmt::Display;
use std::ops::RangeInclusive;

use fitledger::journal::{FindingKind, Line, MOST_FINDINGS, Report, State, StorageFolder, verify};

use super::counted::most_held;
use super::cruel_disk::CruelDisk;
use super::journals::line_starts;

/// The most that a check of a journal may hold: two longest lines, the findings, and some.
pub(crate) const MOST_BYTES: usize = 512 * 1024;

/// With `FITLEDGER_DAMAGE=all` every case of an exhaustive test; else each `usual`-th.
pub(crate) fn stride(usual: usize) -> usize {
    match std::env::var("FITLEDGER_DAMAGE").as_deref() {
        Ok("all") => 1,
        _ => usual,
    }
}

/// Runs `test` for every `stride`-th number below `count`, on two threads; gives how many.
pub(crate) fn on_two_threads(count: usize, stride: usize, test: impl Fn(usize) + Sync) -> usize {
    std::thread::scope(|scope| {
        for half in 0..2 {
            let test = &test;
            scope.spawn(move || {
                let mine = (half * stride..count).step_by(2 * stride);
                mine.for_each(test);
            });
        }
    });
    count.div_ceil(stride)
}

/// A journal as it was written: all of it acknowledged.
pub(crate) struct Written {
    pub(crate) bytes: Vec<u8>,
    /// Where each line begins, and the end.
    pub(crate) starts: Vec<usize>,
    /// The number of its first line.
    pub(crate) first: u64,
}

impl Written {
    pub(crate) fn new(bytes: Vec<u8>) -> Self {
        let starts = line_starts(&bytes);
        let first = Line::parse(&bytes[..starts[1] - 1]).unwrap().seq;
        Self {
            bytes,
            starts,
            first,
        }
    }

    pub(crate) fn lines(&self) -> usize {
        self.starts.len() - 1
    }

    /// The line at that place, counted from 0, without its LF.
    pub(crate) fn line(&self, at: usize) -> &[u8] {
        &self.bytes[self.starts[at]..self.starts[at + 1] - 1]
    }

    /// The line that a byte belongs to, counted from 0.
    pub(crate) fn line_of(&self, byte: usize) -> usize {
        self.starts.partition_point(|start| *start <= byte) - 1
    }

    fn number(&self, at: usize) -> u64 {
        self.first + at as u64
    }
}

/// What was done to a journal.
pub(crate) struct Harm<'a> {
    /// For the message.
    pub(crate) case: &'a dyn Display,
    /// Whether a line, counted from 0, was left alone: it must be readable.
    pub(crate) spared: &'a dyn Fn(usize) -> bool,
    /// Where the first finding must stand. None: whole lines are gone from the end, and only the
    /// missing close can tell.
    pub(crate) told_at: Option<RangeInclusive<u64>>,
}

/// What a reader made of a harmed journal, after the five invariants held.
pub(crate) struct Read {
    /// Numbers of the lines handed out, in the file's order.
    pub(crate) numbers: Vec<u64>,
    pub(crate) report: Report,
}

impl Read {
    pub(crate) fn codes(&self) -> Vec<&'static str> {
        self.report.findings.iter().map(|one| one.code()).collect()
    }
}

/// Reads the harmed journal from a disk and asserts the five invariants.
pub(crate) fn five_invariants(written: &Written, harmed: Vec<u8>, harm: &Harm<'_>) -> Read {
    const NAME: &str = "harmed.jsonl";
    let case = harm.case;
    let disk = CruelDisk::with_file(NAME, &harmed);
    let mut numbers = Vec::with_capacity(written.lines() + 8);
    let mut seen = vec![false; written.lines()];
    let source = disk.open_read(NAME).unwrap();
    let (report, held) = most_held(|| {
        verify(source, |sound| {
            numbers.push(sound.line.seq);
            let at = sound.line.seq.checked_sub(written.first);
            let at = at.and_then(|at| usize::try_from(at).ok());
            let at = at.filter(|at| *at < written.lines());
            let at = at.unwrap_or_else(|| panic!("{case}: I3: line {} was never", sound.line.seq));
            let from = usize::try_from(sound.place.offset).unwrap();
            let from = from + if sound.byte_order_mark { 3 } else { 0 };
            let is_same = harmed[from..].starts_with(written.line(at));
            assert!(
                is_same,
                "{case}: I3: line {} reads otherwise",
                sound.line.seq
            );
            seen[at] = true;
        })
        .unwrap()
    });
    for (at, seen) in seen.iter().enumerate() {
        let number = written.number(at);
        assert!(
            *seen || !(harm.spared)(at),
            "{case}: I3: line {number} is not read"
        );
        let is_told = || is_told_lost(&report, number);
        assert!(
            *seen || is_told(),
            "{case}: I1: line {number} lost, {:?}",
            report.findings
        );
    }
    let first = report.findings.first().map(|one| one.place.offset);
    if harmed == written.bytes {
        assert_eq!(
            report.findings,
            Vec::new(),
            "{case}: nothing was done to it"
        );
    } else if let Some(told_at) = &harm.told_at {
        let is_there = first.is_some_and(|offset| told_at.contains(&offset));
        assert!(is_there, "{case}: I2: {first:?} is not in {told_at:?}");
        assert!(!report.passes(), "{case}: I2: {:?}", report.state);
    } else {
        assert_eq!(
            (report.state, first),
            (State::NotClosed, None),
            "{case}: I2"
        );
    }
    assert_eq!(disk.bytes(NAME), harmed, "{case}: I4");
    assert_eq!(disk.changes(), 0, "{case}: I4: the reader wrote");
    assert!(held <= MOST_BYTES, "{case}: I5: {held} bytes held");
    // No line that was written is shorter, so there cannot be more of them.
    let shortest = (0..written.lines()).map(|at| written.line(at).len()).min();
    let physical = harmed.len() / shortest.unwrap_or(1) + 1;
    assert!(numbers.len() <= physical, "{case}: I5");
    assert!(report.findings.len() <= MOST_FINDINGS, "{case}: I5");
    assert_eq!(
        report.length,
        harmed.len() as u64,
        "{case}: I5: read to its end"
    );
    Read { numbers, report }
}

/// Whether a report says that a line is lost: by number, or as the end that is not there.
fn is_told_lost(report: &Report, number: u64) -> bool {
    let named = report.findings.iter().any(|one| match one.kind {
        FindingKind::Missing { first, last }
        | FindingKind::Damage {
            missing: Some((first, last)),
            ..
        } => (first..=last).contains(&number),
        _ => false,
    });
    named || (number > report.head.seq && report.state != State::Sound)
}
