//! What reads, checks and writes records behind the window: requests come in, what they came to is
//! left where the frame looks for it. It may take long, so it runs apart from the frame; the disk
//! is given to it.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex};

use super::behind::lock;
use super::records_facts::{
    Done, OpenRecord, RecordsTold, SessionRow, Verified, VerifyFacts, WriteOrder,
};
use super::records_find::{Query, find};
use crate::report::Sheet;
use crate::session::Command;

/// Is told how many sessions have been looked at, of how many; says whether to go on.
pub type Seen<'a> = &'a mut dyn FnMut(usize, usize) -> bool;
/// Is told how many bytes have been read, of how many; says whether to go on.
pub type Read<'a> = &'a mut dyn FnMut(u64, u64) -> bool;

/// What the records need of the outside.
pub trait RecordsOutside {
    /// Every session, the newest first, and what could not be read, a sentence each. `seen` is
    /// told how many have been looked at, of how many; it says whether to go on.
    fn list(&mut self, seen: Seen<'_>) -> (Vec<SessionRow>, Vec<String>);
    /// What the report of a session says.
    ///
    /// # Errors
    /// Why there is none, in a sentence.
    fn open(&mut self, row: &SessionRow) -> Result<Sheet, String>;
    /// Checks a session whole: each line, and each verdict derived anew. `read` is told how many
    /// bytes have been read, of how many; it says whether to go on. None: it was ended.
    ///
    /// # Errors
    /// Why it could not be checked, in a sentence.
    fn verify(&mut self, row: &SessionRow, read: Read<'_>) -> Result<Option<Verified>, String>;
    /// Writes a report beside those that are there; where it lies.
    ///
    /// # Errors
    /// Why it was not written, in a sentence.
    fn write(&mut self, row: &SessionRow, order: &WriteOrder) -> Result<String, String>;
    /// Adds a decision to the record of a session that does not run.
    ///
    /// # Errors
    /// Why it was refused, in a sentence, with what to do.
    fn decide(&mut self, row: &SessionRow, command: Command) -> Result<(), String>;
    /// There is something new to be shown.
    fn changed(&mut self);
}

/// A request.
#[derive(Debug, Clone, PartialEq)]
pub enum RecordsJob {
    /// To read the list anew.
    List,
    /// To look for sessions.
    Find(Query),
    /// To open a session, by its key.
    Open(String),
    /// To check a session, by its key.
    Verify(String),
    /// To write a file.
    Write(WriteOrder),
    /// To add a decision to the record of that key.
    Decide(String, Command),
}

/// The window's end. Dropped, it ends whatever goes on.
pub struct RecordsHandle {
    told: Arc<Mutex<RecordsTold>>,
    jobs: Sender<RecordsJob>,
    is_left: Arc<AtomicBool>,
    /// Checks to be ended.
    is_cancelled: Arc<AtomicBool>,
}

/// The other end, for whatever does the work.
pub struct RecordsSide {
    told: Arc<Mutex<RecordsTold>>,
    jobs: Receiver<RecordsJob>,
    is_left: Arc<AtomicBool>,
    is_cancelled: Arc<AtomicBool>,
}

/// Both ends.
pub fn records_ends() -> (RecordsHandle, RecordsSide) {
    let (sends, hears) = channel();
    let handle = RecordsHandle {
        told: Arc::default(),
        jobs: sends,
        is_left: Arc::default(),
        is_cancelled: Arc::default(),
    };
    let side = RecordsSide {
        told: Arc::clone(&handle.told),
        jobs: hears,
        is_left: Arc::clone(&handle.is_left),
        is_cancelled: Arc::clone(&handle.is_cancelled),
    };
    (handle, side)
}

impl RecordsHandle {
    /// What is known now.
    pub fn told(&self) -> RecordsTold {
        lock(&self.told).clone()
    }

    /// Asks for something; never waits.
    pub fn ask(&self, job: RecordsJob) {
        if matches!(job, RecordsJob::Verify(_)) {
            self.is_cancelled.store(false, Ordering::Relaxed);
        }
        // What has ended hears nothing.
        drop(self.jobs.send(job));
    }

    /// Ends the check that goes on.
    pub fn cancel(&self) {
        self.is_cancelled.store(true, Ordering::Relaxed);
    }
}

impl Drop for RecordsHandle {
    fn drop(&mut self) {
        self.is_left.store(true, Ordering::Relaxed);
        self.is_cancelled.store(true, Ordering::Relaxed);
    }
}

impl RecordsSide {
    /// Does what is asked, one after the other, until the window leaves.
    pub fn run(&mut self, outside: &mut dyn RecordsOutside) {
        while let Ok(job) = self.jobs.recv() {
            self.take(job, outside);
        }
    }

    /// Does what has been asked so far.
    pub fn run_waiting(&mut self, outside: &mut dyn RecordsOutside) {
        while let Ok(job) = self.jobs.try_recv() {
            self.take(job, outside);
        }
    }

    /// Does one thing; of several searches that wait only the last.
    fn take(&mut self, first: RecordsJob, outside: &mut dyn RecordsOutside) {
        let mut waiting = vec![first];
        while let Ok(more) = self.jobs.try_recv() {
            let is_find = |job: &RecordsJob| matches!(job, RecordsJob::Find(_));
            if is_find(&more) && waiting.last().is_some_and(is_find) {
                waiting.pop();
            }
            waiting.push(more);
        }
        for job in waiting {
            if self.is_left.load(Ordering::Relaxed) {
                return;
            }
            self.carry_out(job, outside);
            outside.changed();
        }
    }

    fn carry_out(&self, job: RecordsJob, outside: &mut dyn RecordsOutside) {
        match job {
            RecordsJob::List => self.list(outside),
            RecordsJob::Find(query) => self.find(query),
            RecordsJob::Open(key) => self.open(key, outside),
            RecordsJob::Verify(key) => self.verify(key, outside),
            RecordsJob::Write(order) => self.write(&order, outside),
            RecordsJob::Decide(key, command) => self.decide(&key, command, outside),
        }
    }

    fn row(&self, key: &str) -> Result<SessionRow, String> {
        let told = lock(&self.told);
        let found = told.rows.iter().find(|row| row.key() == key);
        found
            .cloned()
            .ok_or_else(|| "That session is not in the list any more.".to_owned())
    }

    fn list(&self, outside: &mut dyn RecordsOutside) {
        lock(&self.told).listing = Some((0, 0));
        outside.changed();
        let (told, is_left) = (&self.told, &self.is_left);
        let mut seen = |read, whole| {
            lock(told).listing = Some((read, whole));
            !is_left.load(Ordering::Relaxed)
        };
        let (rows, faults) = outside.list(&mut seen);
        let query = {
            let mut told = lock(&self.told);
            told.listing = None;
            told.faults = faults;
            // A list that could not be read leaves the one that is there.
            if told.faults.is_empty() || !rows.is_empty() {
                told.rows = Arc::new(rows);
            }
            told.found_for.clone()
        };
        self.find(query);
    }

    fn find(&self, query: Query) {
        let rows = Arc::clone(&lock(&self.told).rows);
        let found = Arc::new(find(&rows, &query));
        let mut told = lock(&self.told);
        told.found = found;
        told.found_for = query;
    }

    fn open(&self, key: String, outside: &mut dyn RecordsOutside) {
        lock(&self.told).opening = Some(key.clone());
        outside.changed();
        let opened = self.row(&key).and_then(|row| outside.open(&row));
        let (sheet, fault) = match opened {
            Ok(sheet) => (Some(Arc::new(sheet)), None),
            Err(fault) => (None, Some(fault)),
        };
        let mut told = lock(&self.told);
        told.opening = None;
        told.open = Some(OpenRecord { key, sheet, fault });
    }

    fn verify(&self, key: String, outside: &mut dyn RecordsOutside) {
        let facts = VerifyFacts {
            key: key.clone(),
            is_running: true,
            ..VerifyFacts::default()
        };
        lock(&self.told).verify = Some(facts);
        outside.changed();
        let (told, is_cancelled) = (&self.told, &self.is_cancelled);
        let mut read = |read, whole| {
            if let Some(verify) = &mut lock(told).verify {
                (verify.read, verify.whole) = (read, whole);
            }
            !is_cancelled.load(Ordering::Relaxed)
        };
        let checked = match self.row(&key) {
            Ok(row) => outside.verify(&row, &mut read),
            Err(fault) => Err(fault),
        };
        if let Some(verify) = &mut lock(&self.told).verify {
            verify.is_running = false;
            match checked {
                Ok(None) => verify.is_cancelled = true,
                Ok(Some(verified)) => verify.result = Some(Ok(verified)),
                Err(fault) => verify.result = Some(Err(fault)),
            }
        }
    }

    fn write(&self, order: &WriteOrder, outside: &mut dyn RecordsOutside) {
        let written = self.row(&order.key);
        let written = written.and_then(|row| outside.write(&row, order));
        self.done(match written {
            Ok(path) => Ok(format!("Written: {path}")),
            Err(fault) => Err(fault),
        });
    }

    /// What was decided is in the record then, maybe in a further file: both are read again.
    fn decide(&self, key: &str, command: Command, outside: &mut dyn RecordsOutside) {
        let decided = self.row(key).and_then(|row| outside.decide(&row, command));
        let is_done = decided.is_ok();
        self.done(decided.map(|()| "It is in the record.".to_owned()));
        if is_done {
            self.list(outside);
            self.open(key.to_owned(), outside);
        }
    }

    fn done(&self, what: Result<String, String>) {
        let mut told = lock(&self.told);
        let number = told.done.number.wrapping_add(1);
        let is_fault = what.is_err();
        let said = what.unwrap_or_else(|fault| fault);
        told.done = Done {
            number,
            said,
            is_fault,
        };
    }
}
