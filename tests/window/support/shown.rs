//! What is seen of a bench: a snapshot of it, and the views made from that.

use std::sync::Arc;

use fitledger::session::{BatchBrief, Incoming, Snapshot, Unrecorded};
use fitledger::window::desk::Desk;
use fitledger::window::view::{BenchView, bench_view};

use super::bench::Bench;

/// The session as it is on the disk now, and what is not on it.
pub(crate) fn snapshot(bench: &Bench) -> Snapshot {
    let recorder = &bench.recorder;
    let waiting = recorder.unwritten().iter().rev();
    let readings: Vec<String> = waiting
        .filter_map(|one| match &one.incoming {
            Incoming::Reading(reading) => Some(String::from_utf8_lossy(&reading.raw).into_owned()),
            _ => None,
        })
        .collect();
    let unrecorded = recorder.has_failed().then(|| Unrecorded {
        cause: "The disk is full.".to_owned(),
        hint: "Make room, then continue.".to_owned(),
        count: readings.len(),
        readings,
    });
    Snapshot {
        state: recorder.state().clone(),
        batch: Arc::new(BatchBrief::of(recorder.state())),
        journal: recorder.journal().to_owned(),
        path: format!("/sessions/{}", recorder.journal()),
        head: recorder.head().seq,
        unrecorded,
        message: None,
        is_playing: None,
        taps: Vec::new(),
        now_ms: bench.now_ms,
        ended: None,
    }
}

/// The Bench as it looks now, with nothing being done at the window.
pub(crate) fn shown(bench: &Bench) -> BenchView {
    shown_with(bench, &Desk::default())
}

/// The Bench as it looks now with this being done at the window.
pub(crate) fn shown_with(bench: &Bench, desk: &Desk) -> BenchView {
    let snapshot = snapshot(bench);
    bench_view(&snapshot, desk, snapshot.now_ms)
}
