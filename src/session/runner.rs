//! The outside of a session: clock, threads, and the queue to the one writer. This is the only
//! file that names `tokio`.
//!
//! Each port has a reader task of its own on the runtime's blocking threads; standard input has a
//! thread. All of them put what they got into one bounded queue, with the time at which it came;
//! the writer drains it. Requests of a person go into the same queue, and never wait.

use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use jiff::Timestamp;

use super::asking::Told;
use super::queue::Queue;
use super::recorder::Incoming;
use super::request::Request;
use crate::journal::Moment;

/// What may wait for the writer; beyond it a reader waits (the system buffers the line).
const QUEUE_LENGTH: usize = 4_096;
/// Most that the writer takes in one batch, so that a flood is answered in pieces.
const BATCH_MAX: usize = 1_024;

/// Most threads that read records at once (chosen: disks gain little beyond).
const AT_ONCE_MAX: usize = 4;
/// A thread is begun for so many items at least (chosen).
const WORTH_A_THREAD: usize = 16;

/// Wall clock, and a count from the session's start that never steps.
#[derive(Debug, Clone)]
pub struct Clock {
    started: Instant,
    base_ms: u64,
}

impl Clock {
    /// A clock whose monotonic count goes on from `base_ms`.
    pub fn starting_at(base_ms: u64) -> Self {
        Self {
            started: Instant::now(),
            base_ms,
        }
    }

    /// A clock for a session taken up again: the count goes on by as much as the wall clock says
    /// has passed, and never back.
    pub fn resuming(last_ms: u64, last_time: Option<Timestamp>) -> Self {
        let passed = last_time.map_or(0, |last| {
            Timestamp::now()
                .as_millisecond()
                .saturating_sub(last.as_millisecond())
        });
        let passed = u64::try_from(passed).unwrap_or(0);
        Self::starting_at(last_ms.saturating_add(passed))
    }

    /// Now.
    pub fn now(&self) -> Moment {
        let passed = u64::try_from(self.started.elapsed().as_millis()).unwrap_or(u64::MAX);
        Moment {
            time: Timestamp::now(),
            mono_ms: self.base_ms.saturating_add(passed),
        }
    }
}

/// What reaches the writer's queue.
#[derive(Debug)]
pub enum Arrival {
    /// From a line.
    Incoming(Moment, Incoming),
    /// A line of text, typed or piped; or why it is none.
    Line(Moment, Result<String, LineFault>),
    /// Standard input has ended.
    LinesEnded,
    /// The user asked the program to stop.
    Interrupted,
    /// From the window.
    Request(Moment, Request),
    /// An answer to what was asked of a gauge, for the person; nothing of it is recorded.
    Told(Told),
    /// Something new is to be seen of a line.
    Seen,
}

/// Why a line of text cannot be taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LineFault {
    /// Longer than the bound.
    TooLong,
    /// Not UTF-8.
    NotText,
}

/// The queue, and the threads that fill it.
#[derive(Debug)]
pub struct Inbox {
    queue: Arc<Queue<Arrival>>,
    clock: Clock,
    stop: Arc<AtomicBool>,
    /// None once the readers have been stopped.
    runtime: Option<tokio::runtime::Runtime>,
}

impl Inbox {
    /// An inbox whose arrivals are stamped by `clock`.
    ///
    /// # Errors
    /// The system's answer when no thread could be started.
    pub fn new(clock: Clock) -> io::Result<Self> {
        let queue = Arc::new(Queue::new(QUEUE_LENGTH));
        let runtime = tokio::runtime::Builder::new_multi_thread()
            .worker_threads(1)
            .thread_name("fitledger-line")
            .enable_all()
            .build()?;
        let stop = Arc::new(AtomicBool::new(false));
        Ok(Self {
            queue,
            clock,
            stop,
            runtime: Some(runtime),
        })
    }

    /// The clock.
    pub fn clock(&self) -> &Clock {
        &self.clock
    }

    /// Waits at most `wait` for something, then takes all that is there, up to a bound.
    pub fn next_batch(&self, wait: Duration) -> Vec<Arrival> {
        self.queue.take(Some(wait), BATCH_MAX)
    }

    /// Waits for something without end, or until the clock has come to `until_ms`.
    pub fn batch_until(&self, until_ms: Option<u64>) -> Vec<Arrival> {
        let wait = until_ms.map(|until| {
            let left = until.saturating_sub(self.clock.now().mono_ms);
            Duration::from_millis(left)
        });
        self.queue.take(wait, BATCH_MAX)
    }

    /// A way into the queue for whoever must not wait.
    pub fn requests(&self) -> Requests {
        Requests {
            queue: Arc::clone(&self.queue),
            clock: self.clock.clone(),
        }
    }

    /// Reads lines on a thread of its own until they end. The thread cannot be stopped while it
    /// waits for input; it ends with the program.
    ///
    /// # Errors
    /// The system's answer when no thread could be started.
    pub fn read_lines(
        &self,
        lines: impl Iterator<Item = Result<String, LineFault>> + Send + 'static,
    ) -> io::Result<()> {
        let (queue, clock) = (Arc::clone(&self.queue), self.clock.clone());
        std::thread::Builder::new()
            .name("fitledger-typed".to_owned())
            .spawn(move || {
                for line in lines {
                    if !queue.push(Arrival::Line(clock.now(), line)) {
                        return;
                    }
                }
                queue.push(Arrival::LinesEnded);
            })?;
        Ok(())
    }

    /// Ctrl-C becomes an arrival instead of the end of the process.
    pub fn watch_interrupt(&self) {
        let Some(runtime) = &self.runtime else {
            return;
        };
        let queue = Arc::clone(&self.queue);
        runtime.spawn(async move {
            while tokio::signal::ctrl_c().await.is_ok() {
                queue.push_now(Arrival::Interrupted);
            }
        });
    }

    /// Runs a blocking reader on the runtime. It must look at the stop flag at least every 250 ms
    /// and hands over what it got with [`Mailer::send`].
    pub fn spawn_reader(&self, reader: impl FnOnce(&Mailer) + Send + 'static) {
        let mailer = Mailer {
            queue: Arc::clone(&self.queue),
            clock: self.clock.clone(),
            stop: Arc::clone(&self.stop),
        };
        if let Some(runtime) = &self.runtime {
            runtime.spawn_blocking(move || reader(&mailer));
        }
    }

    /// Ends the readers and waits for them, but not for long; gives what had arrived. Nothing is
    /// taken in any more.
    pub fn shut_down(&mut self) -> Vec<Arrival> {
        const PATIENCE: Duration = Duration::from_millis(500);
        self.stop.store(true, Ordering::Relaxed);
        self.queue.lift_bound();
        if let Some(runtime) = self.runtime.take() {
            runtime.shutdown_timeout(PATIENCE);
        }
        self.queue.close()
    }
}

/// Readers that nobody stopped would keep the program from ending.
impl Drop for Inbox {
    fn drop(&mut self) {
        drop(self.shut_down());
    }
}

/// The way into the queue for a person's requests: never waits, loses nothing.
#[derive(Debug, Clone)]
pub struct Requests {
    queue: Arc<Queue<Arrival>>,
    clock: Clock,
}

impl Requests {
    /// Hands over, with the moment. False when nobody listens any more.
    pub fn send(&self, request: Request) -> bool {
        let moment = self.clock.now();
        self.queue.push_now(Arrival::Request(moment, request))
    }

    /// Now, by the session's clock.
    pub fn now(&self) -> Moment {
        self.clock.now()
    }

    /// Asks the loop to end.
    pub(super) fn interrupt(&self) -> bool {
        self.queue.push_now(Arrival::Interrupted)
    }
}

/// The thread of the one writer of a session that a window shows.
#[derive(Debug)]
pub(super) struct WriterThread(JoinHandle<()>);

impl WriterThread {
    /// # Errors
    /// The system's answer when no thread could be started.
    pub(super) fn spawn(work: impl FnOnce() + Send + 'static) -> io::Result<Self> {
        let named = std::thread::Builder::new().name("fitledger-writer".to_owned());
        named.spawn(work).map(Self)
    }

    /// Waits for its end; false when it ended by a panic. It does not wait for itself.
    pub(super) fn join(self) -> bool {
        let is_itself = self.0.thread().id() == std::thread::current().id();
        is_itself || self.0.join().is_ok()
    }
}

/// What a reader task holds: the way into the queue, the clock, and whether to stop.
#[derive(Debug, Clone)]
pub struct Mailer {
    queue: Arc<Queue<Arrival>>,
    clock: Clock,
    stop: Arc<AtomicBool>,
}

impl Mailer {
    /// Whether the reader is to end.
    pub fn is_stopped(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }

    /// The stop flag itself, for loops below.
    pub fn stop_flag(&self) -> &AtomicBool {
        &self.stop
    }

    /// Now.
    pub fn now(&self) -> Moment {
        self.clock.now()
    }

    /// Hands over; waits while the queue is full. False when nobody listens any more.
    pub fn send(&self, moment: Moment, incoming: Incoming) -> bool {
        self.queue.push(Arrival::Incoming(moment, incoming))
    }

    /// Tells a person something; waits while the queue is full.
    pub fn tell(&self, told: Told) -> bool {
        self.queue.push(Arrival::Told(told))
    }

    /// Something new is to be seen of the line; waits while the queue is full.
    pub fn seen(&self) -> bool {
        self.queue.push(Arrival::Seen)
    }

    /// Sleeps in short pieces, so that a stop is seen soon.
    pub fn pause(&self, total: Duration) {
        const PIECE: Duration = Duration::from_millis(50);
        let until = Instant::now() + total;
        while !self.is_stopped() {
            let left = until.saturating_duration_since(Instant::now());
            if left.is_zero() {
                return;
            }
            std::thread::sleep(left.min(PIECE));
        }
    }
}

/// Works on as many items at once as there are processors, a few at most. `told` hears on this
/// thread how many are done, and says whether to go on. The answers stand in the items' order;
/// none where it was stopped before.
pub(super) fn at_once<T: Sync, R: Send>(
    items: &[T],
    work: impl Fn(&T) -> R + Sync,
    mut told: impl FnMut(usize) -> bool,
) -> Vec<Option<R>> {
    let mut answers: Vec<Option<R>> = items.iter().map(|_| None).collect();
    let (next, stop) = (AtomicUsize::new(0), AtomicBool::new(false));
    let one = || {
        let at = next.fetch_add(1, Ordering::Relaxed);
        let item = items.get(at).filter(|_| !stop.load(Ordering::Relaxed))?;
        Some((at, work(item)))
    };
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    let threads = threads.min(AT_ONCE_MAX).min(items.len() / WORTH_A_THREAD);
    let (sender, receiver) = std::sync::mpsc::channel();
    std::thread::scope(|scope| {
        let mut started = 0;
        for _ in 0..threads {
            let (one, sender) = (&one, sender.clone());
            let named = std::thread::Builder::new().name("fitledger-read".to_owned());
            let work = move || while one().is_some_and(|answer| sender.send(answer).is_ok()) {};
            started += usize::from(named.spawn_scoped(scope, work).is_ok());
        }
        drop(sender);
        let mut goes_on = told(0);
        stop.store(!goes_on, Ordering::Relaxed);
        let mut done = 0;
        // Few items, or no thread to be had: they are worked on here.
        while let Some((at, answer)) = if started == 0 {
            one()
        } else {
            receiver.recv().ok()
        } {
            if let Some(place) = answers.get_mut(at) {
                *place = Some(answer);
            }
            done += 1;
            goes_on = goes_on && told(done);
            stop.store(!goes_on, Ordering::Relaxed);
        }
    });
    answers
}

/// A number that nobody chose, out of the clock: to draw an order with, and for nothing that has
/// to be kept secret.
pub fn drawn_seed() -> u64 {
    let now = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH);
    now.map_or(1, |now| u64::from(now.subsec_nanos()) ^ now.as_secs())
}
