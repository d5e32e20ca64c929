//! The outside of a session: clock, threads, and the queue to the one writer. This is the only
//! file that names `tokio`.
//!
//! Each port has a reader task of its own on the runtime's blocking threads; standard input has a
//! thread. All of them put what they got into one bounded queue, with the time at which it came;
//! the writer drains it.

use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, sync_channel};
use std::time::{Duration, Instant};

use jiff::Timestamp;

use super::recorder::Incoming;
use crate::journal::Moment;

/// What may wait for the writer; beyond it a reader waits (the system buffers the line).
const QUEUE_LENGTH: usize = 4_096;
/// Most that the writer takes in one batch, so that a flood is answered in pieces.
const BATCH_MAX: usize = 1_024;

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
    sender: SyncSender<Arrival>,
    receiver: Receiver<Arrival>,
    clock: Clock,
    stop: Arc<AtomicBool>,
    runtime: tokio::runtime::Runtime,
}

impl Inbox {
    /// An inbox whose arrivals are stamped by `clock`.
    ///
    /// # Errors
    /// The system's answer when no thread could be started.
    pub fn new(clock: Clock) -> io::Result<Self> {
        let (sender, receiver) = sync_channel(QUEUE_LENGTH);
        let runtime = tokio::runtime::Builder::new_multi_thread()
            .worker_threads(1)
            .thread_name("fitledger-line")
            .enable_all()
            .build()?;
        let stop = Arc::new(AtomicBool::new(false));
        Ok(Self {
            sender,
            receiver,
            clock,
            stop,
            runtime,
        })
    }

    /// The clock.
    pub fn clock(&self) -> &Clock {
        &self.clock
    }

    /// Waits at most `wait` for something, then takes all that is there, up to a bound.
    pub fn next_batch(&self, wait: Duration) -> Vec<Arrival> {
        let mut batch = match self.receiver.recv_timeout(wait) {
            Ok(first) => vec![first],
            Err(RecvTimeoutError::Timeout | RecvTimeoutError::Disconnected) => return Vec::new(),
        };
        batch.extend(self.receiver.try_iter().take(BATCH_MAX - 1));
        batch
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
        let (sender, clock) = (self.sender.clone(), self.clock.clone());
        std::thread::Builder::new()
            .name("fitledger-typed".to_owned())
            .spawn(move || {
                for line in lines {
                    if sender.send(Arrival::Line(clock.now(), line)).is_err() {
                        return;
                    }
                }
                let _ = sender.send(Arrival::LinesEnded);
            })?;
        Ok(())
    }

    /// Ctrl-C becomes an arrival instead of the end of the process.
    pub fn watch_interrupt(&self) {
        let sender = self.sender.clone();
        self.runtime.spawn(async move {
            while tokio::signal::ctrl_c().await.is_ok() {
                // The queue may be full under a flood; try again rather than lose the request.
                while sender.try_send(Arrival::Interrupted).is_err() {
                    tokio::time::sleep(Duration::from_millis(20)).await;
                }
            }
        });
    }

    /// Runs a blocking reader on the runtime. It must look at the stop flag at least every 100 ms
    /// and hands over what it got with [`Mailer::send`].
    pub fn spawn_reader(&self, reader: impl FnOnce(&Mailer) + Send + 'static) {
        let mailer = Mailer {
            sender: self.sender.clone(),
            clock: self.clock.clone(),
            stop: Arc::clone(&self.stop),
        };
        self.runtime.spawn_blocking(move || reader(&mailer));
    }

    /// Ends the readers and waits for them, but not for long.
    pub fn shut_down(self) {
        const PATIENCE: Duration = Duration::from_millis(500);
        self.stop.store(true, Ordering::Relaxed);
        drop(self.receiver);
        self.runtime.shutdown_timeout(PATIENCE);
    }
}

/// What a reader task holds: the way into the queue, the clock, and whether to stop.
#[derive(Debug, Clone)]
pub struct Mailer {
    sender: SyncSender<Arrival>,
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
        self.sender
            .send(Arrival::Incoming(moment, incoming))
            .is_ok()
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
