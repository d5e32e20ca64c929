//! The queue to the one writer: everything in the order in which it came, whoever sent it.
//! Readers of ports wait while it is full; requests of a person never wait and are never lost.

use std::collections::VecDeque;
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

/// A queue with one taker.
#[derive(Debug)]
pub(super) struct Queue<T> {
    inside: Mutex<Inside<T>>,
    has_more: Condvar,
    has_room: Condvar,
    length: usize,
}

#[derive(Debug)]
struct Inside<T> {
    all: VecDeque<T>,
    /// Nobody waits for room any more.
    is_unbounded: bool,
    /// Nobody takes any more.
    is_closed: bool,
}

impl<T> Queue<T> {
    /// A queue in which so many may wait before [`Queue::push`] waits.
    pub(super) fn new(length: usize) -> Self {
        Self {
            inside: Mutex::new(Inside {
                all: VecDeque::new(),
                is_unbounded: false,
                is_closed: false,
            }),
            has_more: Condvar::new(),
            has_room: Condvar::new(),
            length,
        }
    }

    /// A thread that panicked while it held the lock has at most pushed or taken one thing.
    fn lock(&self) -> MutexGuard<'_, Inside<T>> {
        self.inside.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Puts one in; waits while the queue is full. False when nobody takes any more.
    pub(super) fn push(&self, one: T) -> bool {
        let is_full =
            |inside: &mut Inside<T>| inside.all.len() >= self.length && !inside.is_unbounded;
        let inside = self.has_room.wait_while(self.lock(), is_full);
        self.put(inside.unwrap_or_else(PoisonError::into_inner), one)
    }

    /// Puts one in without waiting, however many there are.
    pub(super) fn push_now(&self, one: T) -> bool {
        self.put(self.lock(), one)
    }

    fn put(&self, mut inside: MutexGuard<'_, Inside<T>>, one: T) -> bool {
        if inside.is_closed {
            return false;
        }
        inside.all.push_back(one);
        self.has_more.notify_one();
        true
    }

    /// Waits for something, at most for `wait`, and without end if there is no such time; takes
    /// all that is there, up to `most`.
    pub(super) fn take(&self, wait: Option<Duration>, most: usize) -> Vec<T> {
        let is_empty = |inside: &mut Inside<T>| inside.all.is_empty();
        let mut inside = match wait {
            None => {
                let woken = self.has_more.wait_while(self.lock(), is_empty);
                woken.unwrap_or_else(PoisonError::into_inner)
            }
            Some(wait) => {
                let woken = self
                    .has_more
                    .wait_timeout_while(self.lock(), wait, is_empty);
                woken.unwrap_or_else(PoisonError::into_inner).0
            }
        };
        let count = inside.all.len().min(most);
        let taken = inside.all.drain(..count).collect();
        self.has_room.notify_all();
        taken
    }

    /// Lets everybody in who waits for room.
    pub(super) fn lift_bound(&self) {
        self.lock().is_unbounded = true;
        self.has_room.notify_all();
    }

    /// Nothing is taken in any more; what is left.
    pub(super) fn close(&self) -> Vec<T> {
        let mut inside = self.lock();
        inside.is_closed = true;
        inside.is_unbounded = true;
        self.has_room.notify_all();
        inside.all.drain(..).collect()
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;
    use std::time::Duration;

    use super::Queue;

    #[test]
    fn a_full_queue_holds_readers_back_and_no_request() {
        let queue = Arc::new(Queue::new(2));
        assert!(queue.push(1) && queue.push(2));
        assert!(queue.push_now(3), "a request does not wait");
        let reader = {
            let queue = Arc::clone(&queue);
            std::thread::spawn(move || queue.push(4))
        };
        std::thread::sleep(Duration::from_millis(50));
        assert!(!reader.is_finished(), "a reader waits");
        assert_eq!(queue.take(None, 2), [1, 2]);
        assert!(reader.join().unwrap());
        assert_eq!(queue.take(None, 9), [3, 4]);
        assert_eq!(queue.take(Some(Duration::from_millis(1)), 9), [0; 0]);
    }

    #[test]
    fn who_waits_for_room_is_let_in_at_the_end_and_then_nobody() {
        let queue = Arc::new(Queue::new(1));
        assert!(queue.push(1));
        let reader = {
            let queue = Arc::clone(&queue);
            std::thread::spawn(move || queue.push(2))
        };
        queue.lift_bound();
        assert!(reader.join().unwrap());
        assert_eq!(queue.close(), [1, 2]);
        assert!(!queue.push(3) && !queue.push_now(4));
    }
}
