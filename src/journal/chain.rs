//! The chain: does each line follow the one before? It sees lines that check themselves, and
//! nothing of bytes or files.

use super::hash::Hash;
use super::line::Line;

/// A line's number and hash: enough to go on from it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Link {
    /// Number of the line; 0 before the first.
    pub seq: u64,
    /// Hash of the line; [`Hash::GENESIS`] before the first.
    pub hash: Hash,
}

impl Link {
    /// Before the first line.
    pub const GENESIS: Self = Self {
        seq: 0,
        hash: Hash::GENESIS,
    };

    /// The link that `line` leaves to its successor.
    #[must_use]
    pub fn of(line: &Line<'_>) -> Self {
        Self {
            seq: line.seq,
            hash: line.hash,
        }
    }

    /// The link that `line` says it follows.
    #[must_use]
    pub fn before(line: &Line<'_>) -> Self {
        Self {
            seq: line.seq.saturating_sub(1),
            hash: line.prev,
        }
    }
}

/// How a line fails to follow the one before.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChainFault {
    /// The lines with these numbers are not before this one.
    Missing {
        /// The first missing number.
        first: u64,
        /// The last missing number.
        last: u64,
    },
    /// The right number, but the line before is not the one that this line followed when written.
    Broken,
    /// The line before once more.
    Duplicate,
    /// A number at or below one that was already seen. Later lines are held against the highest.
    OutOfOrder,
}

/// Follows a chain line by line.
#[derive(Debug, Clone, Copy)]
pub(super) struct Chain {
    head: Link,
}

impl Chain {
    /// Begins after `link`.
    pub(super) fn after(link: Link) -> Self {
        Self { head: link }
    }

    /// The highest line so far.
    pub(super) fn head(&self) -> Link {
        self.head
    }

    /// Takes the next line, and says how it fails to follow. After a gap or a break the chain goes
    /// on from this line; a line that goes back leaves it where it was.
    pub(super) fn take(&mut self, line: &Line<'_>) -> Option<ChainFault> {
        let expected = self.head.seq + 1;
        if line.seq < expected {
            return Some(match Link::of(line) == self.head {
                true => ChainFault::Duplicate,
                false => ChainFault::OutOfOrder,
            });
        }
        let fault = if line.seq > expected {
            Some(ChainFault::Missing {
                first: expected,
                last: line.seq - 1,
            })
        } else if line.prev != self.head.hash {
            Some(ChainFault::Broken)
        } else {
            None
        };
        self.head = Link::of(line);
        fault
    }
}
