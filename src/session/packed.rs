//! The readings of a session, held in 28 bytes each: a million events with a third of a million
//! readings have to fit into what a small computer can spare. A reading that does not go into the
//! short form without loss is kept whole beside it, so that none is ever changed by being kept.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::state::{End, Record};
use crate::gauge::{CheckEnd, Origin, Shown};
use crate::journal::Sequence;
use crate::quantity::{Length, LengthUnit};

/// Readings to a chunk (chosen: a change after a copy moves some 28 KiB, and a million readings
/// are a thousand references).
const CHUNK: usize = 1024;
/// No gauge, in the short form.
const NO_GAUGE: u8 = u8::MAX;
/// Most decimals in the short form, in four bits.
const DECIMALS_MAX: u8 = 15;

/// The readings, in the order of their lines. Copies of the state share them: a copy costs a
/// reference a chunk, and a change copies at most the chunk that it is in.
#[derive(Debug, Clone, Default)]
pub struct Records {
    /// All full but the last.
    chunks: Vec<Arc<Chunk>>,
}

#[derive(Debug, Clone)]
struct Chunk {
    /// Line and milliseconds of the first, from which those of the others are counted.
    sequence: Sequence,
    at_ms: u64,
    short: Vec<Short>,
    /// What does not go into the short form, by its place in the chunk.
    whole: BTreeMap<usize, Record>,
}

/// The short form. Sizes in smallest steps, as in [`Record`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Short {
    after_ms: u32,
    value: i32,
    value_at_20: i32,
    offset: i32,
    part: u32,
    after_sequence: u16,
    target: u16,
    /// How it ended, what was tried, where it came from, how it was shown.
    marks: u16,
    gauge: u8,
    point: u8,
}

const ENDS: [End; 10] = [
    End::Received,
    End::Assigned,
    End::Held,
    End::Judged,
    End::Cutting,
    End::SetAside,
    End::Repeat,
    End::ZeroCheck,
    End::Study,
    End::Voided,
];
const CHECKS: [Option<CheckEnd>; 4] = [
    None,
    Some(CheckEnd::Go),
    Some(CheckEnd::NoGo),
    Some(CheckEnd::Mate),
];
const UNITS: [LengthUnit; 2] = [LengthUnit::Millimetre, LengthUnit::Inch];

/// Where something stands in its table, in `bits` bits from `from`.
fn mark<T: PartialEq>(table: &[T], one: &T, from: u32) -> Option<u16> {
    let at = table.iter().position(|other| other == one)?;
    u16::try_from(at).ok()?.checked_shl(from)
}

/// What stands there: the table holds every place that [`mark`] gave.
fn marked<T: Copy>(table: &[T], marks: u16, from: u32, bits: u32) -> Option<T> {
    let at = (marks >> from) & ((1 << bits) - 1);
    table.get(usize::from(at)).copied()
}

impl Short {
    /// None when something does not fit.
    fn of(chunk: &Chunk, record: &Record) -> Option<Self> {
        let size = |units: i64| i32::try_from(units).ok();
        let gauge = match record.gauge {
            Some(gauge) => u8::try_from(gauge).ok().filter(|one| *one != NO_GAUGE)?,
            None => NO_GAUGE,
        };
        let decimals = record.shown.decimals;
        if record.doubted_by != 0 || decimals > DECIMALS_MAX {
            return None;
        }
        let marks = mark(&ENDS, &record.end, 0)?
            | mark(&CHECKS, &record.check, 4)?
            | mark(&Origin::ALL, &record.origin, 6)?
            | mark(&UNITS, &record.shown.unit, 8)?
            | mark(&[false, true], &record.shown.minus, 9)?
            | u16::from(decimals) << 10;
        Some(Self {
            after_sequence: chunk.after(record.sequence)?,
            after_ms: u32::try_from(record.at_ms.checked_sub(chunk.at_ms)?).ok()?,
            value: size(record.value)?,
            value_at_20: size(record.value_at_20)?,
            offset: size(record.offset.as_nm())?,
            part: record.part,
            target: record.target,
            marks,
            gauge,
            point: u8::try_from(record.point).ok()?,
        })
    }

    /// The reading; none when the marks are of no table, which [`Short::of`] does not write.
    fn record(&self, chunk: &Chunk) -> Option<Record> {
        Some(Record {
            sequence: chunk.sequence + u64::from(self.after_sequence),
            at_ms: chunk.at_ms + u64::from(self.after_ms),
            value: i64::from(self.value),
            check: marked(&CHECKS, self.marks, 4, 2)?,
            value_at_20: i64::from(self.value_at_20),
            gauge: (self.gauge != NO_GAUGE).then_some(u16::from(self.gauge)),
            part: self.part,
            target: self.target,
            point: u16::from(self.point),
            end: marked(&ENDS, self.marks, 0, 4)?,
            offset: Length::from_nm(i64::from(self.offset)),
            doubted_by: 0,
            shown: Shown {
                unit: marked(&UNITS, self.marks, 8, 1)?,
                decimals: u8::try_from(self.marks >> 10).ok()? & DECIMALS_MAX,
                minus: marked(&[false, true], self.marks, 9, 1)?,
            },
            origin: marked(&Origin::ALL, self.marks, 6, 2)?,
        })
    }

    /// A place whose reading is kept whole; its line stays, as far as it fits.
    fn elsewhere(chunk: &Chunk, sequence: Sequence) -> Self {
        Self {
            after_sequence: chunk.after(sequence).unwrap_or(u16::MAX),
            after_ms: 0,
            value: 0,
            value_at_20: 0,
            offset: 0,
            part: 0,
            target: 0,
            marks: u16::MAX,
            gauge: NO_GAUGE,
            point: 0,
        }
    }
}

impl Chunk {
    fn starting_with(record: &Record, room: usize) -> Self {
        Self {
            sequence: record.sequence,
            at_ms: record.at_ms,
            short: Vec::with_capacity(room),
            whole: BTreeMap::new(),
        }
    }

    /// How far a line is behind the first.
    fn after(&self, sequence: Sequence) -> Option<u16> {
        let after = u16::try_from(sequence.checked_sub(self.sequence)?).ok()?;
        (after < u16::MAX).then_some(after)
    }

    fn record(&self, at: usize) -> Option<Record> {
        match self.short.get(at)?.record(self) {
            Some(record) => Some(record),
            None => self.whole.get(&at).copied(),
        }
    }

    fn put(&mut self, at: usize, record: &Record) {
        let short = Short::of(self, record);
        match short {
            Some(_) => self.whole.remove(&at),
            None => self.whole.insert(at, *record),
        };
        let short = short.unwrap_or_else(|| Short::elsewhere(self, record.sequence));
        match self.short.get_mut(at) {
            Some(old) => *old = short,
            None => self.short.push(short),
        }
    }

    fn iter(&self) -> impl DoubleEndedIterator<Item = Record> + '_ {
        (0..self.short.len()).filter_map(|at| self.record(at))
    }

    /// The place of a line. Lines beyond the short form's reach are all behind the others.
    fn place_of(&self, sequence: Sequence) -> Option<usize> {
        if let Some(after) = self.after(sequence) {
            // Mostly it is the newest.
            let newest = self.short.len().checked_sub(1)?;
            if self.short.get(newest)?.after_sequence == after {
                return Some(newest);
            }
            let found = self
                .short
                .binary_search_by_key(&after, |one| one.after_sequence);
            return found.ok();
        }
        let at = self.whole.iter().find(|(_, one)| one.sequence == sequence);
        at.map(|(at, _)| *at)
    }
}

impl Records {
    /// How many there are.
    pub fn len(&self) -> usize {
        match self.chunks.last() {
            Some(last) => (self.chunks.len() - 1) * CHUNK + last.short.len(),
            None => 0,
        }
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.chunks.is_empty()
    }

    /// The one at that place, counted from 0.
    pub fn get(&self, at: usize) -> Option<Record> {
        self.chunks.get(at / CHUNK)?.record(at % CHUNK)
    }

    /// The newest.
    pub fn last(&self) -> Option<Record> {
        let last = self.chunks.last()?;
        last.record(last.short.len().checked_sub(1)?)
    }

    /// All, the oldest first.
    pub fn iter(&self) -> impl DoubleEndedIterator<Item = Record> + '_ {
        self.chunks.iter().flat_map(|chunk| chunk.iter())
    }

    /// The one of that line.
    pub fn of(&self, sequence: Sequence) -> Option<Record> {
        let (chunk, at) = self.place_of(sequence)?;
        self.chunks.get(chunk)?.record(at)
    }

    /// Whether that line is one of theirs.
    pub fn has(&self, sequence: Sequence) -> bool {
        self.place_of(sequence).is_some()
    }

    /// Puts one behind the newest; its line is behind those of all others.
    pub(super) fn push(&mut self, record: &Record) {
        if let Some(last) = self.chunks.last_mut()
            && last.short.len() < CHUNK
        {
            if Arc::get_mut(last).is_none() {
                // Shared: a copy of its own, with room for all that is to come.
                let mut short = Vec::with_capacity(CHUNK);
                short.extend_from_slice(&last.short);
                let whole = last.whole.clone();
                *last = Arc::new(Chunk {
                    short,
                    whole,
                    ..**last
                });
            }
            let at = last.short.len();
            return Arc::make_mut(last).put(at, record);
        }
        let mut chunk = Chunk::starting_with(record, CHUNK);
        chunk.put(0, record);
        self.chunks.push(Arc::new(chunk));
    }

    /// Changes the one of that line. The line itself stays.
    pub(super) fn change(&mut self, sequence: Sequence, with: impl FnOnce(&mut Record)) -> bool {
        let Some((chunk, at)) = self.place_of(sequence) else {
            return false;
        };
        let Some(chunk) = self.chunks.get_mut(chunk) else {
            return false;
        };
        let Some(mut record) = chunk.record(at) else {
            return false;
        };
        with(&mut record);
        record.sequence = sequence;
        Arc::make_mut(chunk).put(at, &record);
        true
    }

    fn place_of(&self, sequence: Sequence) -> Option<(usize, usize)> {
        // The last chunk that begins at that line or before it. Mostly it is the newest.
        let begins_by = |chunk: &Arc<Chunk>| chunk.sequence <= sequence;
        let chunk = match self.chunks.last() {
            Some(last) if begins_by(last) => self.chunks.len(),
            _ => self.chunks.partition_point(begins_by),
        };
        let chunk = chunk.checked_sub(1)?;
        Some((chunk, self.chunks.get(chunk)?.place_of(sequence)?))
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use proptest::prelude::*;

    use super::{CHECKS, CHUNK, ENDS, Records, Short, UNITS};
    use crate::gauge::{Origin, Shown};
    use crate::quantity::{Length, LengthUnit};
    use crate::session::{End, Record};

    fn record(sequence: u64) -> Record {
        Record {
            sequence,
            at_ms: 0,
            value: 0,
            check: None,
            value_at_20: 0,
            gauge: None,
            part: 0,
            target: 0,
            point: 0,
            end: End::Received,
            offset: Length::ZERO,
            doubted_by: 0,
            shown: Shown {
                unit: LengthUnit::Millimetre,
                decimals: 3,
                minus: false,
            },
            origin: Origin::Typed,
        }
    }

    /// Lines 3, 6, 9, ...
    fn log(count: usize) -> Records {
        let mut log = Records::default();
        for at in 1..=count as u64 {
            log.push(&record(3 * at));
        }
        log
    }

    #[test]
    fn the_short_form_is_short() {
        assert_eq!(size_of::<Short>(), 28);
    }

    #[test]
    fn every_record_is_found_by_its_line_and_no_other_line_is() {
        assert_eq!((log(0).len(), log(0).is_empty()), (0, true));
        assert!(log(0).last().is_none() && log(0).of(3).is_none());
        for count in [1, CHUNK - 1, CHUNK, CHUNK + 1, 3 * CHUNK + 7] {
            let log = log(count);
            assert_eq!(log.len(), count);
            for line in 0..=3 * count as u64 + 4 {
                let found = log.of(line).map(|record| record.sequence);
                let is_there = line > 0 && line % 3 == 0 && line <= 3 * count as u64;
                assert_eq!(found, is_there.then_some(line), "{count}");
            }
            let lines: Vec<u64> = log.iter().map(|one| one.sequence).collect();
            assert_eq!(
                lines,
                (1..=count as u64).map(|at| 3 * at).collect::<Vec<_>>()
            );
            let mut back: Vec<u64> = log.iter().rev().map(|one| one.sequence).collect();
            back.reverse();
            assert_eq!(back, lines);
            let by_place = (0..count).map(|at| log.get(at).unwrap().sequence);
            assert!(by_place.eq(lines));
            assert!(log.get(count).is_none());
            assert_eq!(log.last().unwrap().sequence, 3 * count as u64);
        }
    }

    /// How many chunks two logs have in common: what a copy did not copy.
    fn shared(one: &Records, two: &Records) -> usize {
        let pairs = one.chunks.iter().zip(&two.chunks);
        pairs.filter(|(one, two)| Arc::ptr_eq(one, two)).count()
    }

    #[test]
    fn a_copy_of_a_million_readings_copies_none_and_a_change_one_chunk() {
        let before = log(1_000_000);
        let chunks = before.chunks.len();
        assert_eq!(chunks, 1_000_000_usize.div_ceil(CHUNK));
        let mut after = before.clone();
        assert_eq!(shared(&after, &before), chunks);
        after.push(&record(3_000_003));
        assert_eq!(shared(&after, &before), chunks - 1);
        assert!(after.change(300, |one| one.end = End::Judged));
        assert!(after.change(303, |one| one.end = End::Judged));
        assert!(!after.change(301, |one| one.end = End::Judged));
        assert_eq!(shared(&after, &before), chunks - 2);
        assert_eq!((before.len(), after.len()), (1_000_000, 1_000_001));
        assert_eq!(before.of(300).unwrap().end, End::Received);
        assert_eq!(after.of(300).unwrap().end, End::Judged);
    }

    /// Numbers that fit the short form, and numbers at and beyond its ends.
    fn units() -> impl Strategy<Value = i64> {
        prop_oneof![
            3 => -30_000_000_i64..30_000_000,
            1 => i64::from(i32::MAX) - 1..=i64::from(i32::MAX) + 1,
            1 => i64::from(i32::MIN) - 1..=i64::from(i32::MIN) + 1,
            1 => any::<i64>(),
        ]
    }

    fn step() -> impl Strategy<Value = u64> {
        let short = u64::from(u16::MAX);
        prop_oneof![8 => 1_u64..100, 1 => short - 2..=short + 2, 1 => 1_u64..1 << 50]
    }

    prop_compose! {
        fn any_record()(
            (sequence, at_ms) in (step(), 0_u64..1 << 53),
            (value, value_at_20) in (units(), units()),
            offset in -20_000_000_i64..20_000_000,
            far in any::<bool>(),
            (check, end) in (0..CHECKS.len(), 0..ENDS.len()),
            (origin, unit) in (0..Origin::ALL.len(), 0..UNITS.len()),
            gauge in prop::option::of(any::<u16>()),
            (part, target, point) in (any::<u32>(), any::<u16>(), 0_u16..300),
            doubted_by in prop_oneof![4 => Just(0_u64), 1 => 1_u64..1_000],
            (decimals, minus) in (any::<u8>(), any::<bool>()),
        ) -> Record {
            let shown = Shown { unit: UNITS[unit], decimals, minus };
            let offset = Length::from_nm(if far { offset * 400 } else { offset });
            let (check, end, origin) = (CHECKS[check], ENDS[end], Origin::ALL[origin]);
            Record {
                sequence, at_ms, value, check, value_at_20, gauge, part, target, point, end,
                offset, doubted_by, shown, origin,
            }
        }
    }

    fn text(record: &Record) -> String {
        format!("{record:?}")
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        /// Whatever is put in comes out again, and a change changes that one and no other.
        #[test]
        fn nothing_is_changed_by_being_kept(
            steps in prop::collection::vec(any_record(), 1..200),
            (other, at) in (any_record(), any::<prop::sample::Index>()),
        ) {
            let mut kept: Vec<Record> = Vec::new();
            let mut log = Records::default();
            for mut one in steps {
                // The step becomes a line: behind all others.
                one.sequence += kept.last().map_or(0, |last| last.sequence);
                log.push(&one);
                kept.push(one);
            }
            let at = at.index(kept.len());
            for is_changed in [false, true] {
                if is_changed {
                    let sequence = kept[at].sequence;
                    kept[at] = Record { sequence, ..other };
                    prop_assert!(log.change(sequence, |one| *one = other));
                }
                for (at, one) in kept.iter().enumerate() {
                    prop_assert_eq!(log.get(at).map(|one| text(&one)), Some(text(one)));
                    prop_assert_eq!(log.of(one.sequence).map(|one| text(&one)), Some(text(one)));
                    let next = kept.get(at + 1).map_or(u64::MAX, |next| next.sequence);
                    prop_assert!(next == one.sequence + 1 || log.of(one.sequence + 1).is_none());
                }
                prop_assert_eq!(log.iter().count(), kept.len());
            }
        }
    }
}
