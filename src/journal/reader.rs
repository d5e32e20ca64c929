//! Reads a journal line by line, in bounded memory, from anything that gives bytes. It changes
//! nothing, repairs nothing and guesses nothing: what does not check itself is damage, and reading
//! goes on at the next line that does.

use std::io::{self, BufRead, Read};

use super::chain::{Chain, ChainFault, Link};
use super::continuation::ContinuationOf;
use super::line::{CONTINUATION_OPENED, LONGEST_LINE, Line, beginning};
use super::line_fault::LineFault;

const BYTE_ORDER_MARK: &[u8] = b"\xEF\xBB\xBF";

/// Where something stands in the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Place {
    /// Number of the physical line, from 1.
    pub line: u64,
    /// Byte offset in the file.
    pub offset: u64,
    /// Length in bytes, the line end included.
    pub length: u64,
}

/// How a line ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LineEnd {
    /// LF, as written.
    Lf,
    /// CR LF: another program converted the line ends.
    CrLf,
    /// The end of the file: the LF was never written, or was cut off.
    Missing,
}

/// A line that checks itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SoundLine<'a> {
    /// What it says.
    pub line: Line<'a>,
    /// Where it stands.
    pub place: Place,
    /// How it fails to follow the lines before, if it does.
    pub fault: Option<ChainFault>,
    /// How it ends.
    pub line_end: LineEnd,
    /// Whether another program put a byte order mark before it.
    pub byte_order_mark: bool,
}

/// What is wrong with a damaged stretch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum DamageKind {
    /// The form is right, but the bytes are not those that were hashed.
    Altered,
    /// Not of a line's form; where in the stretch, and what would have been right.
    NotALine {
        /// Byte offset in the stretch.
        at: usize,
        /// What would have been right there.
        expected: &'static str,
    },
    /// Longer than the longest line.
    TooLong,
    /// Nothing but a line end.
    BlankLine,
    /// Nothing but zero bytes: space that was never written, or was lost.
    Zeros,
    /// A sound line of a version that this program does not know.
    NewerVersion {
        /// The version.
        found: u64,
    },
    /// Lines joined by CR alone: another program converted the line ends.
    LineEndsConverted,
    /// The last line is unfinished: its writing was cut off. It was never acknowledged.
    TornTail,
}

/// A stretch of the file that is no line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Damage {
    /// Where it stands: one physical line.
    pub place: Place,
    /// What is wrong.
    pub kind: DamageKind,
    /// The number that a line here would carry; `None` while no line was read. Which numbers are
    /// really missing, the next sound line says with [`ChainFault::Missing`].
    pub seq_expected: Option<u64>,
    /// It begins as the line that is expected here does, its number included.
    pub begins_as_expected: bool,
}

/// What the reader found next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Item<'a> {
    /// A line that checks itself.
    Line(SoundLine<'a>),
    /// A stretch that is no line.
    Damage(Damage),
}

/// Reads lines from `R`; see [`Reader::next_item`].
#[derive(Debug)]
pub struct Reader<R> {
    source: R,
    /// One zero byte, then the physical line: the hash covers that zero byte.
    buffer: Vec<u8>,
    chain: Option<Chain>,
    lines: u64,
    offset: u64,
}

impl<R: BufRead> Reader<R> {
    /// Reads from the beginning of a journal.
    pub fn new(source: R) -> Self {
        Self {
            source,
            buffer: Vec::with_capacity(1024),
            chain: None,
            lines: 0,
            offset: 0,
        }
    }

    /// The highest line so far; [`Link::GENESIS`] while there is none.
    #[must_use]
    pub fn head(&self) -> Link {
        self.chain.map_or(Link::GENESIS, |chain| chain.head())
    }

    /// Bytes read so far.
    #[must_use]
    pub fn offset(&self) -> u64 {
        self.offset
    }

    /// Bytes of memory that the reader holds, its source excepted. Never more than about twice the
    /// longest line, whatever the file holds.
    #[must_use]
    pub fn held_bytes(&self) -> usize {
        self.buffer.capacity()
    }

    /// The next line or damaged stretch; `None` at the end. Holds at most one longest line.
    ///
    /// # Errors
    /// What the source answered, interruptions excepted. What was read before stays valid.
    pub fn next_item(&mut self) -> io::Result<Option<Item<'_>>> {
        let Some(raw) = self.fill()? else {
            return Ok(None);
        };
        self.lines += 1;
        let place = Place {
            line: self.lines,
            offset: self.offset,
            length: raw.length,
        };
        self.offset += raw.length;
        if raw.cut {
            let kind = self.judge_unreadable(None, raw.finished);
            return Ok(Some(self.damage(place, kind)));
        }
        let byte_order_mark = place.offset == 0
            && self
                .buffer
                .get(1..)
                .is_some_and(|line| line.starts_with(BYTE_ORDER_MARK));
        if byte_order_mark {
            self.buffer.drain(1..=BYTE_ORDER_MARK.len());
        }
        let mut line_end = if raw.finished {
            LineEnd::Lf
        } else {
            LineEnd::Missing
        };
        let mut parsed = Line::parse_prefixed(&self.buffer);
        if parsed.is_err()
            && raw.finished
            && let Some((b'\r', whole)) = self.buffer.split_last()
            && let Ok(line) = Line::parse_prefixed(whole)
        {
            line_end = LineEnd::CrLf;
            parsed = Ok(line);
        }
        match parsed {
            Ok(line) => {
                let fault = follow(&mut self.chain, &line);
                let sound = SoundLine {
                    line,
                    place,
                    fault,
                    line_end,
                    byte_order_mark,
                };
                Ok(Some(Item::Line(sound)))
            }
            Err(fault) => {
                let kind = self.judge_unreadable(Some(fault), raw.finished);
                Ok(Some(self.damage(place, kind)))
            }
        }
    }

    fn damage(&self, place: Place, kind: DamageKind) -> Item<'static> {
        let seq_expected = self.chain.map(|chain| chain.head().seq + 1);
        let bytes = self.buffer.get(1..).unwrap_or_default();
        let begins_as_expected = bytes.starts_with(&beginning(seq_expected.unwrap_or(1)));
        Item::Damage(Damage {
            place,
            kind,
            seq_expected,
            begins_as_expected,
        })
    }

    /// Reads one physical line behind the zero byte, without its LF; what is beyond the longest
    /// line is counted and let go.
    fn fill(&mut self) -> io::Result<Option<Raw>> {
        self.buffer.clear();
        self.buffer.push(0);
        let longest = LONGEST_LINE as u64 + 1; // one more, for a CR before the LF
        let read = self
            .source
            .by_ref()
            .take(longest)
            .read_until(b'\n', &mut self.buffer)?;
        if read == 0 {
            return Ok(None);
        }
        let mut raw = Raw {
            length: read as u64,
            finished: false,
            cut: false,
        };
        if self.buffer.last() == Some(&b'\n') {
            self.buffer.pop();
            raw.finished = true;
        } else if raw.length == longest {
            raw.cut = true;
            let (skipped, finished) = skip_line(&mut self.source)?;
            raw.length += skipped;
            raw.finished = finished;
        }
        Ok(Some(raw))
    }

    fn judge_unreadable(&self, fault: Option<LineFault>, finished: bool) -> DamageKind {
        let bytes = self.buffer.get(1..).unwrap_or_default();
        if bytes.windows(3).any(|window| window == b"}\r{") {
            return DamageKind::LineEndsConverted;
        }
        if !finished {
            return DamageKind::TornTail;
        }
        match fault {
            _ if bytes.is_empty() || bytes == b"\r" => DamageKind::BlankLine,
            _ if bytes.iter().all(|byte| *byte == 0) => DamageKind::Zeros,
            None | Some(LineFault::TooLong) => DamageKind::TooLong,
            Some(LineFault::Altered { .. }) => DamageKind::Altered,
            Some(LineFault::Version { found }) => DamageKind::NewerVersion { found },
            Some(LineFault::Form { offset, expected }) => DamageKind::NotALine {
                at: offset,
                expected,
            },
        }
    }
}

struct Raw {
    length: u64,
    /// Ended by an LF.
    finished: bool,
    /// Longer than the buffer may be.
    cut: bool,
}

/// Lets everything go up to and with the next LF: bytes, and whether there was one.
fn skip_line(source: &mut impl BufRead) -> io::Result<(u64, bool)> {
    let mut skipped = 0_u64;
    loop {
        let chunk = match source.fill_buf() {
            Ok(chunk) => chunk,
            Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
            Err(error) => return Err(error),
        };
        if chunk.is_empty() {
            return Ok((skipped, false));
        }
        let end = chunk.iter().position(|byte| *byte == b'\n');
        let used = end.map_or(chunk.len(), |at| at + 1);
        source.consume(used);
        skipped += used as u64;
        if end.is_some() {
            return Ok((skipped, true));
        }
    }
}

/// Holds the line against the chain. The first line starts it: a continuation goes on where its
/// body says, everything else begins at number 1.
fn follow(chain: &mut Option<Chain>, line: &Line<'_>) -> Option<ChainFault> {
    if let Some(chain) = chain {
        return chain.take(line);
    }
    let start = match ContinuationOf::parse(line) {
        Some(origin) if line.kind == CONTINUATION_OPENED => origin.link,
        _ => Link::GENESIS,
    };
    chain.insert(Chain::after(start)).take(line)
}
