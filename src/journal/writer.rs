//! The one writer of a journal. A line counts as recorded when [`JournalWriter::commit`] has
//! answered for it, and not before.
//!
//! It never changes a byte that is in the file, never cuts one off, and never syncs a file again
//! after one write or sync of it has failed: what such a file holds cannot be known. The session
//! then goes on in a continuation.

use std::io;

use super::chain::Link;
use super::continuation::ContinuationOf;
use super::finding::{Report, State, Tail};
use super::line::{
    CONTINUATION_OPENED, LONGEST_SESSION, Line, SESSION_CLOSED, TAIL_DAMAGED, encode,
};
use super::line_fault::EncodeFault;
use super::moment::Moment;
use super::reader::SoundLine;
use super::store::{Lock, Storage, StorageFolder};
use super::verify::{tail_damaged_body, verify};
use super::writer_error::{Action, Cause, Unrecorded, WriterError};

/// The most bytes that may wait for one commit (chosen: 64 longest lines).
pub const LARGEST_COMMIT: usize = 4 * 1024 * 1024;

/// How often an interrupted call is made again before that counts as a failure (chosen).
const MOST_INTERRUPTIONS: u32 = 1_000;

/// Appends lines to one journal file, and holds its lock.
#[derive(Debug)]
pub struct JournalWriter<S> {
    file: S,
    name: String,
    /// Bytes of the file that are known to be on the disk.
    length: u64,
    acknowledged: Link,
    /// The last line appended, on the disk or not.
    tail: Link,
    closed: bool,
    /// Lines that wait for the next commit, or that a failed one left unrecorded.
    waiting: Vec<u8>,
    failed: Option<Box<Unrecorded>>,
}

impl<S: Storage> JournalWriter<S> {
    /// Makes a new journal: the file, on the disk, in its folder, locked, empty.
    ///
    /// # Errors
    /// [`WriterError::Exists`], [`WriterError::Locked`], [`WriterError::Open`].
    pub fn create(folder: &impl StorageFolder<File = S>, name: &str) -> Result<Self, WriterError> {
        Self::create_after(folder, name, Link::GENESIS)
    }

    /// Opens a journal to go on in the same file. An unfinished last line stays; an LF and a
    /// `tail_damaged` line are put after it, and are on the disk when this returns.
    ///
    /// `on_line` gets every line that checks itself, as in [`verify`], so that a session can be
    /// rebuilt in the same pass; the report is that of the file as it was found.
    ///
    /// # Errors
    /// [`WriterError::Damaged`]: nothing was written; go on with [`JournalWriter::continue_from`].
    /// [`WriterError::Closed`], [`WriterError::Locked`], [`WriterError::Open`],
    /// [`WriterError::NotRecorded`].
    pub fn open(
        folder: &impl StorageFolder<File = S>,
        name: &str,
        moment: Moment,
        on_line: impl FnMut(&SoundLine<'_>),
    ) -> Result<(Self, Report), WriterError> {
        let opened = |error| WriterError::open(name, Action::Open, error);
        let mut file = uninterrupted(|| folder.open_append(name)).map_err(opened)?;
        lock(&mut file, name)?;
        let source = uninterrupted(|| folder.open_read(name)).map_err(opened)?;
        let report = verify(source, on_line)
            .map_err(|error| WriterError::open(name, Action::Read, error))?;
        if report.state == State::Damaged {
            return Err(WriterError::Damaged {
                name: name.to_owned(),
                report: Box::new(report),
            });
        }
        if report.closed {
            return Err(WriterError::Closed {
                name: name.to_owned(),
            });
        }
        let mut writer = Self::with_file(file, name, report.head);
        writer.length = report.length;
        writer.mark_tail(report.tail, report.length, moment)?;
        Ok((writer, report))
    }

    /// Goes on in a new file after `origin`, the last line that counts in an old one. The
    /// `continuation_opened` line is on the disk when this returns.
    ///
    /// # Errors
    /// As [`JournalWriter::create`], and [`WriterError::NotRecorded`].
    pub fn continue_from(
        folder: &impl StorageFolder<File = S>,
        name: &str,
        origin: &ContinuationOf,
        moment: Moment,
    ) -> Result<Self, WriterError> {
        let mut writer = Self::create_after(folder, name, origin.link)?;
        writer.append(CONTINUATION_OPENED, &origin.body(), moment)?;
        writer.commit()?;
        Ok(writer)
    }

    /// Goes on in a new file after this one failed. What this one left unrecorded is still in
    /// [`JournalWriter::unrecorded_lines`]; append it again: it gets new numbers.
    ///
    /// # Errors
    /// [`WriterError::NotFailed`], and as [`JournalWriter::continue_from`].
    pub fn start_continuation<N: Storage>(
        &self,
        folder: &impl StorageFolder<File = N>,
        name: &str,
        moment: Moment,
    ) -> Result<JournalWriter<N>, WriterError> {
        if self.failed.is_none() {
            return Err(WriterError::NotFailed {
                name: self.name.clone(),
            });
        }
        let origin = ContinuationOf {
            file: self.name.clone(),
            link: self.acknowledged,
        };
        JournalWriter::continue_from(folder, name, &origin, moment)
    }

    /// Takes one event: its kind and its body, one JSON object without blanks. It is on the disk
    /// only after [`JournalWriter::commit`]. Gives the line's number.
    ///
    /// # Errors
    /// [`WriterError::Refused`]: not of the form, too long, or too many; nothing has changed.
    /// [`WriterError::Closed`], [`WriterError::CommitTooLarge`], [`WriterError::NotRecorded`].
    pub fn append(&mut self, kind: &str, body: &str, moment: Moment) -> Result<u64, WriterError> {
        self.ready()?;
        if self.closed {
            return Err(WriterError::Closed {
                name: self.name.clone(),
            });
        }
        let seq = self.tail.seq + 1;
        if seq > LONGEST_SESSION && kind != SESSION_CLOSED {
            return Err(self.refused(EncodeFault::SessionFull));
        }
        let before = self.waiting.len();
        let hash = encode(&mut self.waiting, seq, moment, kind, body, self.tail.hash)
            .map_err(|fault| self.refused(fault))?;
        if self.waiting.len() > LARGEST_COMMIT {
            self.waiting.truncate(before);
            return Err(WriterError::CommitTooLarge {
                name: self.name.clone(),
            });
        }
        self.tail = Link { seq, hash };
        self.closed = kind == SESSION_CLOSED;
        Ok(seq)
    }

    /// Brings everything appended to the disk. The answer is the last line that is recorded; it
    /// and all before it are safe. Does nothing when nothing waits.
    ///
    /// # Errors
    /// [`WriterError::NotRecorded`]: one write or sync failed, fell short, or the file is no
    /// longer the one in the folder. This writer takes nothing more, and never touches the file
    /// again; see [`JournalWriter::start_continuation`].
    pub fn commit(&mut self) -> Result<Link, WriterError> {
        self.ready()?;
        if self.waiting.is_empty() {
            return Ok(self.acknowledged);
        }
        if let Err((action, cause)) = self.write_and_sync() {
            let unrecorded = Box::new(Unrecorded {
                action,
                cause,
                acknowledged: self.acknowledged,
                last: self.tail.seq,
            });
            self.failed = Some(unrecorded.clone());
            return Err(WriterError::NotRecorded {
                name: self.name.clone(),
                unrecorded,
            });
        }
        self.length += self.waiting.len() as u64;
        self.waiting.clear();
        self.acknowledged = self.tail;
        Ok(self.acknowledged)
    }

    /// The last line that is recorded.
    #[must_use]
    pub fn acknowledged(&self) -> Link {
        self.acknowledged
    }

    /// The last line appended, recorded or not.
    #[must_use]
    pub fn tail(&self) -> Link {
        self.tail
    }

    /// The file's name.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Why this writer takes nothing more, if it does not.
    #[must_use]
    pub fn failure(&self) -> Option<&Unrecorded> {
        self.failed.as_deref()
    }

    /// The lines that wait, or that a failed commit left unrecorded, in order.
    pub fn unrecorded_lines(&self) -> impl Iterator<Item = Line<'_>> {
        self.waiting
            .split(|byte| *byte == b'\n')
            .filter_map(|line| Line::parse(line).ok())
    }

    fn with_file(file: S, name: &str, head: Link) -> Self {
        Self {
            file,
            name: name.to_owned(),
            length: 0,
            acknowledged: head,
            tail: head,
            closed: false,
            waiting: Vec::new(),
            failed: None,
        }
    }

    fn create_after(
        folder: &impl StorageFolder<File = S>,
        name: &str,
        head: Link,
    ) -> Result<Self, WriterError> {
        let mut file =
            uninterrupted(|| folder.create_new(name)).map_err(|error| match error.kind() {
                io::ErrorKind::AlreadyExists => WriterError::Exists {
                    name: name.to_owned(),
                },
                _ => WriterError::open(name, Action::Create, error),
            })?;
        lock(&mut file, name)?;
        uninterrupted(|| file.sync_all())
            .map_err(|error| WriterError::open(name, Action::Sync, error))?;
        uninterrupted(|| folder.sync())
            .map_err(|error| WriterError::open(name, Action::SyncFolder, error))?;
        Ok(Self::with_file(file, name, head))
    }

    fn mark_tail(&mut self, tail: Tail, length: u64, moment: Moment) -> Result<(), WriterError> {
        let body = match tail {
            Tail::Whole => return Ok(()),
            Tail::LineEndMissing => tail_damaged_body(0, length),
            Tail::Torn { offset, bytes } => tail_damaged_body(bytes, offset),
        };
        self.waiting.push(b'\n');
        self.append(TAIL_DAMAGED, &body, moment)?;
        self.commit()?;
        Ok(())
    }

    fn ready(&self) -> Result<(), WriterError> {
        self.failed.as_ref().map_or(Ok(()), |unrecorded| {
            let unrecorded = unrecorded.clone();
            Err(WriterError::NotRecorded {
                name: self.name.clone(),
                unrecorded,
            })
        })
    }

    fn refused(&self, fault: EncodeFault) -> WriterError {
        WriterError::Refused {
            name: self.name.clone(),
            fault,
        }
    }

    /// One write, one sync, one look at the file. Any of them that fails ends this file.
    fn write_and_sync(&mut self) -> Result<(), (Action, Cause)> {
        let (file, bytes) = (&mut self.file, self.waiting.as_slice());
        let written = uninterrupted(|| file.append(bytes))
            .map_err(|error| (Action::Write, Cause::System(error.into())))?;
        if written != bytes.len() {
            return Err((
                Action::Write,
                Cause::Short {
                    written,
                    of: bytes.len(),
                },
            ));
        }
        uninterrupted(|| file.sync_data())
            .map_err(|error| (Action::Sync, Cause::System(error.into())))?;
        let status = uninterrupted(|| file.status())
            .map_err(|error| (Action::Look, Cause::System(error.into())))?;
        let expected = self.length + bytes.len() as u64;
        if !status.in_place {
            return Err((Action::Look, Cause::NotInPlace));
        }
        if status.length != expected {
            return Err((
                Action::Look,
                Cause::Length {
                    found: status.length,
                    expected,
                },
            ));
        }
        Ok(())
    }
}

/// Holds the lock of a journal that is not written to, until the answer is dropped: so that of
/// several programs only one goes on after it.
///
/// # Errors
/// [`WriterError::Locked`], [`WriterError::Open`].
pub fn hold<F: StorageFolder>(folder: &F, name: &str) -> Result<F::File, WriterError> {
    let opened = |error| WriterError::open(name, Action::Open, error);
    let mut file = uninterrupted(|| folder.open_append(name)).map_err(opened)?;
    lock(&mut file, name)?;
    Ok(file)
}

/// Makes a call again while it is only interrupted.
fn uninterrupted<T>(mut call: impl FnMut() -> io::Result<T>) -> io::Result<T> {
    let mut left = MOST_INTERRUPTIONS;
    loop {
        match call() {
            Err(error) if error.kind() == io::ErrorKind::Interrupted && left > 0 => left -= 1,
            answer => return answer,
        }
    }
}

fn lock(file: &mut impl Storage, name: &str) -> Result<(), WriterError> {
    match uninterrupted(|| file.try_lock()) {
        Ok(Lock::Ours) => Ok(()),
        Ok(Lock::Theirs(holder)) => Err(WriterError::Locked {
            name: name.to_owned(),
            holder,
        }),
        Err(error) => Err(WriterError::open(name, Action::Lock, error)),
    }
}
