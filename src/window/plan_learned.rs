//! What looks behind the window for what earlier batches teach of the open plan's part: a part
//! comes in, what its records teach is left where the frame looks for it. Records take their time,
//! so they are read apart from the frame; the disk is given to it.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex};

use super::behind::lock;
use crate::session::{LearnedFound, LearnedOperation, PlanKey};

/// What the looking needs of the outside.
pub trait LearnedOutside {
    /// What the records of a part teach; `goes_on` is asked while they are read.
    ///
    /// # Errors
    /// Why they cannot be listed, in a sentence.
    fn learned(
        &mut self,
        of: &PlanKey,
        goes_on: &mut dyn FnMut() -> bool,
    ) -> Result<LearnedFound, String>;
    /// There is something new to be shown.
    fn changed(&mut self);
}

/// What the room is told.
#[derive(Debug, Clone, Default)]
pub struct LearnedTold {
    /// The part that it is about; none before anything was found.
    pub of: Option<PlanKey>,
    /// What its batches teach.
    pub operations: Arc<Vec<LearnedOperation>>,
    /// So many of its sessions, older ones, were not read.
    pub unread: usize,
    /// Why the records could not be looked at, in a sentence.
    pub fault: Option<String>,
}

/// The window's end. Dropped, it ends whatever goes on.
pub struct LearnedHandle {
    told: Arc<Mutex<LearnedTold>>,
    jobs: Sender<PlanKey>,
    is_ended: Arc<AtomicBool>,
    /// What was asked for last: it is not asked again.
    asked: Option<PlanKey>,
}

/// The other end, for whatever does the work.
pub struct LearnedSide {
    told: Arc<Mutex<LearnedTold>>,
    jobs: Receiver<PlanKey>,
    is_ended: Arc<AtomicBool>,
}

/// Both ends.
pub fn learned_ends() -> (LearnedHandle, LearnedSide) {
    let (sends, hears) = channel();
    let (told, is_ended) = (Arc::default(), Arc::default());
    let side = LearnedSide {
        told: Arc::clone(&told),
        jobs: hears,
        is_ended: Arc::clone(&is_ended),
    };
    let handle = LearnedHandle {
        told,
        jobs: sends,
        is_ended,
        asked: None,
    };
    (handle, side)
}

impl LearnedHandle {
    /// What is known of that part now: of another one nothing is told.
    pub fn told(&self, of: Option<&PlanKey>) -> LearnedTold {
        let told = lock(&self.told);
        match told.of.as_ref() == of {
            true => told.clone(),
            false => LearnedTold::default(),
        }
    }

    /// Asks for what a part's records teach, once; never waits.
    pub fn ask(&mut self, of: &PlanKey) {
        if self.asked.as_ref() == Some(of) {
            return;
        }
        self.asked = Some(of.clone());
        // What has ended hears nothing.
        drop(self.jobs.send(of.clone()));
    }
}

impl Drop for LearnedHandle {
    fn drop(&mut self) {
        self.is_ended.store(true, Ordering::Relaxed);
    }
}

impl LearnedSide {
    /// Does what is asked until the window leaves.
    pub fn run(&mut self, outside: &mut dyn LearnedOutside) {
        while let Ok(of) = self.jobs.recv() {
            self.take(of, outside);
        }
    }

    /// Does what has been asked so far.
    pub fn run_waiting(&mut self, outside: &mut dyn LearnedOutside) {
        while let Ok(of) = self.jobs.try_recv() {
            self.take(of, outside);
        }
    }

    /// Of several that wait only the last is looked for: a name is asked for letter by letter.
    fn take(&mut self, first: PlanKey, outside: &mut dyn LearnedOutside) {
        let of = self.jobs.try_iter().last().unwrap_or(first);
        let found = outside.learned(&of, &mut || !self.is_ended.load(Ordering::Relaxed));
        let (found, fault) = match found {
            Ok(found) => (found, None),
            Err(fault) => (LearnedFound::default(), Some(fault)),
        };
        *lock(&self.told) = LearnedTold {
            of: Some(of),
            operations: Arc::new(found.operations),
            unread: found.unread,
            fault,
        };
        outside.changed();
    }
}
