//! Readings and parts of a session as logs that copies of the state share: a copy costs a reference
//! a chunk, and a change copies at most the chunk that it is in.

use std::iter::FlatMap;
use std::slice;
use std::sync::Arc;

use super::state::{Part, Record};
use crate::journal::Sequence;

/// The readings, in the order of their lines (chunk chosen: a change after a copy moves some
/// 70 KiB, and a million readings are a thousand references).
pub type Records = Log<Record, 1024>;

/// The parts, in the order of their numbers (chunk chosen: a change copies as many references).
pub type Parts = Log<Arc<Part>, 128>;

/// Things in an order, to which some are added at the end, in chunks of `CHUNK`.
#[derive(Debug, Clone)]
pub struct Log<T, const CHUNK: usize> {
    /// All full but the last.
    chunks: Vec<Arc<Vec<T>>>,
}

/// From the oldest to the newest, or back.
pub type LogIter<'a, T> = FlatMap<
    slice::Iter<'a, Arc<Vec<T>>>,
    slice::Iter<'a, T>,
    fn(&'a Arc<Vec<T>>) -> slice::Iter<'a, T>,
>;

impl<T, const CHUNK: usize> Default for Log<T, CHUNK> {
    fn default() -> Self {
        Self { chunks: Vec::new() }
    }
}

impl<T: Clone, const CHUNK: usize> Log<T, CHUNK> {
    /// How many there are.
    pub fn len(&self) -> usize {
        match self.chunks.last() {
            Some(last) => (self.chunks.len() - 1) * CHUNK + last.len(),
            None => 0,
        }
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.chunks.is_empty()
    }

    /// The one at that place, counted from 0.
    pub fn get(&self, at: usize) -> Option<&T> {
        self.chunks.get(at / CHUNK)?.get(at % CHUNK)
    }

    /// The newest.
    pub fn last(&self) -> Option<&T> {
        self.chunks.last()?.last()
    }

    /// All, the oldest first.
    pub fn iter(&self) -> LogIter<'_, T> {
        self.chunks.iter().flat_map(|chunk| chunk.iter())
    }

    /// Puts one behind the newest.
    pub(super) fn push(&mut self, one: T) {
        if let Some(last) = self.chunks.last_mut()
            && last.len() < CHUNK
        {
            if Arc::get_mut(last).is_none() {
                // Shared: a copy of its own, with room for all that is to come.
                let mut own = Vec::with_capacity(CHUNK);
                own.extend_from_slice(last);
                *last = Arc::new(own);
            }
            return Arc::make_mut(last).push(one);
        }
        let mut chunk = Vec::with_capacity(CHUNK);
        chunk.push(one);
        self.chunks.push(Arc::new(chunk));
    }

    /// The one at that place, to be changed.
    pub(super) fn get_mut(&mut self, at: usize) -> Option<&mut T> {
        Arc::make_mut(self.chunks.get_mut(at / CHUNK)?).get_mut(at % CHUNK)
    }
}

impl Records {
    /// The one of that line.
    pub fn of(&self, sequence: Sequence) -> Option<&Record> {
        let (chunk, at) = self.place_of(sequence)?;
        self.chunks.get(chunk)?.get(at)
    }

    /// The one of that line, to be changed.
    pub(super) fn of_mut(&mut self, sequence: Sequence) -> Option<&mut Record> {
        let (chunk, at) = self.place_of(sequence)?;
        Arc::make_mut(self.chunks.get_mut(chunk)?).get_mut(at)
    }

    fn place_of(&self, sequence: Sequence) -> Option<(usize, usize)> {
        // The last chunk that begins at that line or before it. Mostly it is the newest.
        let begins_by = |chunk: &Arc<Vec<Record>>| {
            let first = chunk.first();
            first.is_some_and(|first| first.sequence <= sequence)
        };
        let chunk = match self.chunks.last() {
            Some(last) if begins_by(last) => self.chunks.len(),
            _ => self.chunks.partition_point(begins_by),
        };
        let chunk = chunk.checked_sub(1)?;
        let records = self.chunks.get(chunk)?;
        let at = records.binary_search_by_key(&sequence, |record| record.sequence);
        Some((chunk, at.ok()?))
    }
}

impl<'a, T: Clone, const CHUNK: usize> IntoIterator for &'a Log<T, CHUNK> {
    type Item = &'a T;
    type IntoIter = LogIter<'a, T>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::{Log, Records};
    use crate::gauge::{Origin, Shown};
    use crate::journal::SessionOpened;
    use crate::quantity::{Length, LengthUnit};
    use crate::session::{End, Part, Record, Setup, State};

    const CHUNK: usize = 1024;

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
            log.push(record(3 * at));
        }
        log
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
    fn shared<T, const CHUNK: usize>(one: &Log<T, CHUNK>, two: &Log<T, CHUNK>) -> usize {
        let pairs = one.chunks.iter().zip(&two.chunks);
        pairs.filter(|(one, two)| Arc::ptr_eq(one, two)).count()
    }

    #[test]
    fn a_copy_of_a_state_with_a_million_readings_copies_none_and_a_change_one_chunk() {
        let opened = SessionOpened {
            callouts: vec!["20 k6".to_owned()],
            ..SessionOpened::default()
        };
        let mut state = State::new(Arc::new(Setup::of(&opened).unwrap()));
        state.readings = log(1_000_000);
        let chunks = state.readings.chunks.len();
        assert_eq!(chunks, 1_000_000_usize.div_ceil(CHUNK));
        let mut after = state.clone();
        assert_eq!(shared(&after.readings, &state.readings), chunks);
        after.readings.push(record(3_000_003));
        assert_eq!(shared(&after.readings, &state.readings), chunks - 1);
        after.readings.of_mut(300).unwrap().end = End::Judged;
        after.readings.of_mut(303).unwrap().end = End::Judged;
        assert_eq!(shared(&after.readings, &state.readings), chunks - 2);
        assert_eq!(
            (state.readings.len(), after.readings.len()),
            (1_000_000, 1_000_001)
        );
        for part in 1..=10_000 {
            let characteristics = Vec::new();
            state.parts.push(Arc::new(Part {
                number: part,
                characteristics,
                decided: crate::session::Decided::default(),
            }));
        }
        let mut changed = state.clone();
        let chunks = state.parts.chunks.len();
        assert_eq!(shared(&changed.parts, &state.parts), chunks);
        Arc::make_mut(changed.parts.get_mut(77).unwrap()).number = 0;
        assert_eq!(shared(&changed.parts, &state.parts), chunks - 1);
        let numbers = (state.parts.get(77), changed.parts.get(77));
        let numbers = (numbers.0.unwrap().number, numbers.1.unwrap().number);
        assert_eq!(numbers, (78, 0));
        assert_eq!(state.readings.of(300).unwrap().end, End::Received);
        assert_eq!(after.readings.of(300).unwrap().end, End::Judged);
    }
}
