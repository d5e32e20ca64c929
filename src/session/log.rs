//! The parts of a session as a log that copies of the state share: a copy costs a reference
//! a chunk, and a change copies at most the chunk that it is in.

use std::iter::FlatMap;
use std::slice;
use std::sync::Arc;

use super::state::Part;

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

    use super::{Log, Parts};
    use crate::session::{DecidedOfPart, Part};

    /// How many chunks two logs have in common: what a copy did not copy.
    fn shared<T, const CHUNK: usize>(one: &Log<T, CHUNK>, two: &Log<T, CHUNK>) -> usize {
        let pairs = one.chunks.iter().zip(&two.chunks);
        pairs.filter(|(one, two)| Arc::ptr_eq(one, two)).count()
    }

    #[test]
    fn a_copy_of_many_parts_copies_none_and_a_change_one_chunk() {
        let mut parts = Parts::default();
        for number in 1..=10_000 {
            parts.push(Arc::new(Part {
                number,
                characteristics: Box::default(),
                decided: DecidedOfPart::default(),
            }));
        }
        let mut changed = parts.clone();
        let chunks = parts.chunks.len();
        assert_eq!(chunks, 10_000_usize.div_ceil(128));
        assert_eq!(shared(&changed, &parts), chunks);
        Arc::make_mut(changed.get_mut(77).unwrap()).number = 0;
        assert_eq!(shared(&changed, &parts), chunks - 1);
        let numbers = (parts.get(77).unwrap(), changed.get(77).unwrap());
        assert_eq!((numbers.0.number, numbers.1.number), (78, 0));
        changed.push(Arc::clone(parts.last().unwrap()));
        assert_eq!(shared(&changed, &parts), chunks - 2);
        assert_eq!((parts.len(), changed.len()), (10_000, 10_001));
        assert!(parts.iter().map(|part| part.number).eq(1..=10_000));
    }
}
