//! What collects the measured halves of pairs behind the window: requests come in, what was found
//! is left where the frame looks for it. Many records take their time, so it runs apart from the
//! frame, says how far it is, and can be ended; the records themselves are given to it.

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex};

use super::behind::lock;
use super::links_facts::{LinksFacts, LinksTold, MatesFacts, PairFacts};
use crate::plan::PairEnd;
use crate::session::{MateWanted, PlanKey, PlanRecords, RecordSizes, Snapshot, paired};

/// Is told how many records have been read, of how many; says whether to go on.
pub type Seen<'a> = &'a mut dyn FnMut(usize, usize) -> bool;

/// What the collecting needs of the outside.
pub trait LinksOutside {
    /// Looks which records there are.
    ///
    /// # Errors
    /// Why they cannot be listed, in a sentence.
    fn look(&mut self, seen: Seen<'_>) -> Result<(), String>;
    /// By what the records of another plan are known; `beside` the folder of the plan that names
    /// it, where that is known.
    fn plan_key(&mut self, file: &str, beside: Option<&Path>) -> PlanKey;
    /// What the records of a plan hold, but that of the session with the journal `but`.
    fn of_plan(&mut self, key: &PlanKey, but: &str, seen: Seen<'_>) -> PlanRecords;
    /// What the session that goes on holds.
    fn running(&mut self, snapshot: &Snapshot) -> RecordSizes;
    /// There is something new to be shown.
    fn changed(&mut self);
}

/// A request.
#[derive(Debug, Clone)]
pub enum LinksJob {
    /// The halves of a session's pairs; whether to look for changed records, too.
    Pairs(Arc<Snapshot>, bool),
    /// The measured mates of a plan that is about to be begun.
    Mates(PathBuf, Vec<MateWanted>),
}

/// The window's end. Dropped, it ends whatever goes on.
pub struct LinksHandle {
    told: Arc<Mutex<LinksTold>>,
    jobs: Sender<LinksJob>,
    is_ended: Arc<AtomicBool>,
}

/// The other end, for whatever does the work.
pub struct LinksSide {
    told: Arc<Mutex<LinksTold>>,
    jobs: Receiver<LinksJob>,
    is_ended: Arc<AtomicBool>,
    /// Why the records could not be listed when they were looked for last.
    fault: Option<String>,
}

/// Both ends.
pub fn links_ends() -> (LinksHandle, LinksSide) {
    let (sends, hears) = channel();
    let handle = LinksHandle {
        told: Arc::default(),
        jobs: sends,
        is_ended: Arc::default(),
    };
    let side = LinksSide {
        told: Arc::clone(&handle.told),
        jobs: hears,
        is_ended: Arc::clone(&handle.is_ended),
        fault: None,
    };
    (handle, side)
}

impl LinksHandle {
    /// What is known now.
    pub fn told(&self) -> LinksTold {
        lock(&self.told).clone()
    }

    /// Asks for something; never waits.
    pub fn ask(&self, job: LinksJob) {
        self.is_ended.store(false, Ordering::Relaxed);
        // What has ended hears nothing.
        drop(self.jobs.send(job));
    }

    /// Ends the reading that goes on; what was read by then stays.
    pub fn cancel(&self) {
        self.is_ended.store(true, Ordering::Relaxed);
    }
}

impl Drop for LinksHandle {
    fn drop(&mut self) {
        self.cancel();
    }
}

impl LinksSide {
    /// Does what is asked until the window leaves.
    pub fn run(&mut self, outside: &mut dyn LinksOutside) {
        while let Ok(job) = self.jobs.recv() {
            self.take(job, outside);
        }
    }

    /// Does what has been asked so far.
    pub fn run_waiting(&mut self, outside: &mut dyn LinksOutside) {
        while let Ok(job) = self.jobs.try_recv() {
            self.take(job, outside);
        }
    }

    /// Of several that wait only the last is done; it looks for changed records if one of them
    /// should have.
    fn take(&mut self, first: LinksJob, outside: &mut dyn LinksOutside) {
        let (mut last, mut anew) = (first, false);
        loop {
            anew |= matches!(last, LinksJob::Pairs(_, true));
            match self.jobs.try_recv() {
                Ok(more) => last = more,
                Err(_) => break,
            }
        }
        match last {
            LinksJob::Pairs(snapshot, _) => self.pairs(&snapshot, anew, outside),
            LinksJob::Mates(plan, mates) => self.mates(&plan, &mates, outside),
        }
        lock(&self.told).reading = None;
        outside.changed();
    }

    /// Tells how far it is; whether to go on.
    fn seen(&self) -> impl FnMut(usize, usize) -> bool + use<> {
        let (told, is_ended) = (Arc::clone(&self.told), Arc::clone(&self.is_ended));
        move |done, of| {
            lock(&told).reading = Some((done, of));
            !is_ended.load(Ordering::Relaxed)
        }
    }

    fn pairs(&mut self, snapshot: &Snapshot, anew: bool, outside: &mut dyn LinksOutside) {
        let setup = snapshot.state.setup();
        let mut facts = LinksFacts {
            journal: snapshot.journal.clone(),
            head: snapshot.head,
            ..LinksFacts::default()
        };
        if anew {
            lock(&self.told).reading = Some((0, 0));
            outside.changed();
            self.fault = outside.look(&mut self.seen()).err();
        }
        let here = Arc::new(outside.running(snapshot));
        let own = PlanKey::of(&setup.plan);
        let mut found_of = |end: &PairEnd| {
            let key = match &end.plan {
                Some(file) => Some(outside.plan_key(file, None)),
                None => own.clone(),
            };
            let found = key.map(|key| outside.of_plan(&key, &snapshot.journal, &mut self.seen()));
            found.unwrap_or_default()
        };
        for (pair, ends) in paired(&snapshot.state).iter().zip(&setup.plan.pairs) {
            let found = (found_of(&ends.hole), found_of(&ends.shaft));
            facts.pairs.push(PairFacts {
                fault: self.fault.clone(),
                ..PairFacts::of(pair, &here, (&found.0, &found.1))
            });
        }
        lock(&self.told).facts = Some(Arc::new(facts));
    }

    fn mates(&mut self, plan: &Path, mates: &[MateWanted], outside: &mut dyn LinksOutside) {
        lock(&self.told).reading = Some((0, 0));
        outside.changed();
        self.fault = outside.look(&mut self.seen()).err();
        let found = mates.iter().map(|mate| {
            let key = outside.plan_key(&mate.file, plan.parent());
            outside.of_plan(&key, "", &mut self.seen())
        });
        let found: Vec<PlanRecords> = found.collect();
        let facts = MatesFacts {
            fault: self.fault.clone(),
            ..MatesFacts::of(plan, mates, &found)
        };
        lock(&self.told).mates = Some(Arc::new(facts));
    }
}
