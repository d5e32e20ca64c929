//! How much memory a piece of work holds at most, counted for its own thread, so that tests beside
//! it do not disturb. A limit that ends the process would not tell which claim was too large; a
//! count tells it, and needs no second program. Far above all that a test may hold, an allocation
//! is refused: the program ends, and not the machine.

use std::alloc::{GlobalAlloc, Layout, System};
use std::cell::Cell;

/// The system's allocator, counting for each thread.
struct Counted;

thread_local! {
    /// Bytes held now, more than at the start; and the most so far.
    static HELD: Cell<(i64, i64)> = const { Cell::new((0, 0)) };
}

/// No thread may hold more, in bytes (what is freed by another thread still counts here).
const MOST: i64 = 1 << 32;

/// Counts; says whether the thread may hold that much.
fn note(bytes: i64) -> bool {
    // While a thread ends there is nothing to count into any more.
    let held = HELD.try_with(|held| {
        let (now, most) = held.get();
        let now = now + bytes;
        held.set((now, most.max(now)));
        now
    });
    held.map_or(true, |now| now <= MOST)
}

fn size(bytes: usize) -> i64 {
    i64::try_from(bytes).unwrap_or(i64::MAX)
}

#[allow(unsafe_code)] // an allocator is unsafe by its trait; every call goes to the system's
unsafe impl GlobalAlloc for Counted {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        if !note(size(layout.size())) {
            return std::ptr::null_mut();
        }
        unsafe { System.alloc(layout) }
    }

    unsafe fn alloc_zeroed(&self, layout: Layout) -> *mut u8 {
        if !note(size(layout.size())) {
            return std::ptr::null_mut();
        }
        unsafe { System.alloc_zeroed(layout) }
    }

    unsafe fn dealloc(&self, pointer: *mut u8, layout: Layout) {
        let _less = note(-size(layout.size()));
        unsafe { System.dealloc(pointer, layout) }
    }

    unsafe fn realloc(&self, pointer: *mut u8, layout: Layout, bytes: usize) -> *mut u8 {
        if !note(size(bytes) - size(layout.size())) {
            return std::ptr::null_mut();
        }
        unsafe { System.realloc(pointer, layout, bytes) }
    }
}

#[global_allocator]
static ALLOCATOR: Counted = Counted;

/// Does a piece of work; gives the most bytes that it held at once, beside what was there before.
pub(crate) fn most_held<T>(work: impl FnOnce() -> T) -> (T, usize) {
    HELD.set((0, 0));
    let done = work();
    let (_, most) = HELD.get();
    (done, usize::try_from(most).unwrap_or(0))
}
