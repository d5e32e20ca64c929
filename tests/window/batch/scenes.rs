//! Batches of pump shafts, each measured through the one writer.
#![allow(clippy::unwrap_used)]

use fitledger::gauge::{CheckEnd, CheckOutcome, GaugeId};
use fitledger::session::{Command, Incoming, Snapshot, check_reading};
use fitledger::window::batch_room::{BatchPage, BatchRoom};
use fitledger::window::batch_run::{BatchFacts, LookedAt, batch_ends};
use fitledger::window::view::{BatchSeen, BatchView, batch_view};

use crate::batch::Kept;
use crate::support::bench::{Bench, feature, plan};
use crate::support::shown::snapshot;

pub(crate) const STEADY: [&str; 10] = [
    "20.008", "20.010", "20.007", "20.009", "20.008", "20.010", "20.008", "20.007", "20.009",
    "20.008",
];
/// Six parts that grow steadily, the last beyond the control limits of [`STEADY`].
pub(crate) const GROWN: [&str; 6] = ["20.006", "20.007", "20.008", "20.010", "20.011", "20.018"];
/// The tool wears: about 0.4 µm a part.
pub(crate) const WORN: [&str; 16] = [
    "20.004", "20.005", "20.004", "20.006", "20.005", "20.006", "20.007", "20.006", "20.007",
    "20.008", "20.007", "20.009", "20.008", "20.009", "20.010", "20.009",
];

pub(crate) fn bench_of(text: &str) -> Bench {
    let mut opened = plan(text);
    opened.advance_always = true;
    Bench::new(opened)
}

pub(crate) fn read(bench: &mut Bench, values: &[&str]) {
    for value in values {
        bench.events("mic", value);
    }
}

/// One characteristic whose parts came out so.
pub(crate) fn parts(callout: &str, more: &str, values: &[&str]) -> Snapshot {
    let mut bench = bench_of(&feature("A", callout, more));
    read(&mut bench, values);
    snapshot(&bench)
}

/// Ten steady parts, six that grow, a new insert, four steady ones.
pub(crate) fn signals() -> Snapshot {
    let mut bench = bench_of(&feature("A", "20 k6", "name = \"bearing seat\""));
    read(&mut bench, &STEADY);
    read(&mut bench, &GROWN);
    let note = "new insert".to_owned();
    bench.asks(Command::ChangeTool { note });
    read(&mut bench, &STEADY[..4]);
    snapshot(&bench)
}

pub(crate) fn worn() -> Snapshot {
    parts("20 k6", "name = \"bearing seat\"", &WORN)
}

/// Three points a part; of the second part one point is beyond the limit, and the mean is not.
pub(crate) fn several() -> Snapshot {
    let mut values: Vec<&str> = Vec::new();
    for (at, first) in STEADY.iter().take(10).enumerate() {
        let third = if at == 1 { "20.018" } else { "20.010" };
        values.extend([first, "20.009", third]);
    }
    parts("20 k6", "points = 3", &values)
}

/// A seat, a journal measured on every third part, a tapped hole with its plug: one part is NO-GO,
/// one in the zone of doubt, one signals, the last is not finished.
pub(crate) fn shafts() -> Snapshot {
    let thread = "[[feature]]\nid = \"T\"\ncallout = \"M8-6H\"\nelements = [\"go_plug\"]\n";
    let text = feature("A", "20 k6", "name = \"bearing seat\"")
        + &feature("B", "15 h6", "every = 3")
        + thread;
    let mut bench = bench_of(&text);
    let seats = STEADY.iter().chain(&["20.022", "20.0145"]);
    for (at, seat) in seats.enumerate() {
        read(&mut bench, &[seat]);
        if at % 3 == 0 {
            read(&mut bench, &["14.995"]);
        }
        let outcome = match at {
            4 => CheckOutcome::DoesNot,
            _ => CheckOutcome::Goes,
        };
        if at < 11 {
            let plug = GaugeId::new("plug");
            let reading = check_reading(CheckEnd::Go, outcome, &plug, outcome.word());
            bench.take(vec![Incoming::Reading(reading)]);
        }
    }
    snapshot(&bench)
}

pub(crate) fn at(target: usize, page: BatchPage) -> LookedAt {
    LookedAt {
        target,
        page,
        marker: '.',
    }
}

pub(crate) fn worked_out(snapshot: &Snapshot, looked_at: LookedAt) -> BatchFacts {
    let (_, mut side) = batch_ends();
    side.worked_out(snapshot, looked_at, &mut Kept::default())
}

pub(crate) fn room(target: usize, page: BatchPage) -> BatchRoom {
    BatchRoom {
        page,
        ..BatchRoom::at(target)
    }
}

pub(crate) fn seen_of<'a>(
    room: &'a BatchRoom,
    facts: &'a BatchFacts,
    snapshot: &'a Snapshot,
) -> BatchSeen<'a> {
    BatchSeen {
        room,
        facts: Some(facts),
        snapshot: Some(snapshot),
        now_ms: 0,
        marker: '.',
        message: None,
    }
}

/// A page as it is seen.
pub(crate) fn seen(snapshot: &Snapshot, target: usize, page: BatchPage) -> BatchView {
    let facts = worked_out(snapshot, at(target, page));
    batch_view(&seen_of(&room(target, page), &facts, snapshot))
}
