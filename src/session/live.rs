//! A session that runs on a thread of its own: the one writer behind a window. What is asked of
//! it never waits for a disk, and what is to be seen is a snapshot of what the disk has.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, Mutex, PoisonError};

use super::begin::Prepared;
use super::begin_error::BeginError;
use super::live_loop::LiveLoop;
use super::request::Request;
use super::runner::{Requests, WriterThread};
use super::snapshot::Snapshot;

/// The running session.
pub struct Live {
    requests: Requests,
    shown: Arc<Mutex<Arc<Snapshot>>>,
    thread: Mutex<Option<WriterThread>>,
}

impl Live {
    /// Starts the readers and the writer. `notify` is called, on the writer's thread, after each
    /// change of what is to be seen; while nothing happens the thread sleeps.
    ///
    /// # Errors
    /// The system gave no thread.
    pub fn start(
        prepared: Prepared,
        notify: impl Fn() + Send + Sync + 'static,
    ) -> Result<Self, BeginError> {
        let requests = prepared.inbox.requests();
        let running = LiveLoop::new(prepared);
        let shown = Arc::new(Mutex::new(Arc::new(running.snapshot())));
        let stage = Stage {
            shown: Arc::clone(&shown),
            notify: Box::new(notify),
        };
        let thread = WriterThread::spawn(move || work(running, &stage))
            .map_err(|error| BeginError::no_threads(&error))?;
        Ok(Self {
            requests,
            shown,
            thread: Mutex::new(Some(thread)),
        })
    }

    /// The session as it was last published.
    pub fn snapshot(&self) -> Arc<Snapshot> {
        Arc::clone(&self.shown.lock().unwrap_or_else(PoisonError::into_inner))
    }

    /// Asks for something; never waits. It is taken in the order in which it came among the
    /// readings. Nothing comes of it once the session has ended.
    pub fn send(&self, request: Request) {
        self.requests.send(request);
    }

    /// Monotonic milliseconds since the session started, now.
    pub fn now_ms(&self) -> u64 {
        self.requests.now().mono_ms
    }

    /// Ends the readers and the writer and waits for them. What had arrived is recorded; the
    /// session stays unfinished, so that it can be taken up again.
    pub fn stop(&self) {
        let thread = self
            .thread
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .take();
        let Some(thread) = thread else { return };
        self.requests.interrupt();
        if !thread.join() {
            let stage = Stage {
                shown: Arc::clone(&self.shown),
                notify: Box::new(|| {}),
            };
            stage.ended("The program failed, and nothing more is recorded.".to_owned());
        }
    }
}

impl Drop for Live {
    fn drop(&mut self) {
        self.stop();
    }
}

/// Where the writer shows what there is to be seen.
pub(super) struct Stage {
    shown: Arc<Mutex<Arc<Snapshot>>>,
    notify: Box<dyn Fn() + Send + Sync>,
}

impl Stage {
    /// Shows it, and says so.
    pub(super) fn show(&self, snapshot: Snapshot) {
        *self.shown.lock().unwrap_or_else(PoisonError::into_inner) = Arc::new(snapshot);
        (self.notify)();
    }

    /// Shows that the loop has ended, and why.
    fn ended(&self, why: String) {
        let mut last = Snapshot::clone(&self.shown.lock().unwrap_or_else(PoisonError::into_inner));
        last.ended = Some(why);
        // Whoever is notified may be what failed.
        drop(catch_unwind(AssertUnwindSafe(|| self.show(last))));
    }
}

/// The writer's thread. A fault of the program must neither vanish nor take a reading with it:
/// the session is taken up again from the disk, which has the truth.
fn work(mut running: LiveLoop, stage: &Stage) {
    loop {
        match catch_unwind(AssertUnwindSafe(|| running.turn(stage))) {
            Ok(true) => {}
            Ok(false) => break,
            Err(_) => match running.after_fault() {
                Ok(again) => running = again,
                Err(why) => return stage.ended(why),
            },
        }
    }
    let ended = catch_unwind(AssertUnwindSafe(|| running.end(stage)));
    if ended.is_err() {
        stage.ended("The program failed while the session was being left.".to_owned());
    }
}
