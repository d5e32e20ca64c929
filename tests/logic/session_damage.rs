//! One line of a session is damaged: the readings of all other lines are there, every verdict that
//! rests on a lost reading is named with its place and proves nothing, and no part is good that was
//! not shown to be.

use std::collections::BTreeSet;

use fitledger::journal::{Event, Line, Part, State as RecordState, StorageFolder, event_of};
use fitledger::session::{Check, Command, Incoming, PartState, Replayed, replay};

use crate::support::bench::{Bench, NAME, feature, picture, plan, typed};
use crate::support::cruel_disk::CruelDisk;
use crate::support::damage::Written;

/// Three parts, several points each; a reading voided and one held; all parts GO at the end.
fn session() -> Written {
    let text = feature("A", "20 k6", "points = 3") + &feature("B", "15 h6", "points = 2");
    let mut bench = Bench::new(plan(&text));
    for part in 0..3 {
        let values = ["20.008", "20.009", "20.007", "14.995", "14.996"];
        for value in values {
            bench.take(vec![Incoming::Reading(typed("mic", value))]);
            if part == 1 && value == "20.009" {
                bench.void(None);
                bench.take(vec![Incoming::Reading(typed("mic", "20.010"))]);
            }
        }
        if part < 2 {
            bench.take(vec![Incoming::Command(Command::StartNextPart)]);
        }
    }
    bench.asks(Command::Close {
        reason: "done".to_owned(),
    });
    bench.check();
    let parts = bench.state().parts();
    assert_eq!(parts.len(), 3);
    assert!(
        parts.iter().all(|part| part.state() == PartState::Go),
        "{}",
        picture(bench.state())
    );
    Written::new(bench.disk.bytes(NAME))
}

fn event_at(written: &Written, at: usize) -> Event {
    let line = Line::parse(written.line(at)).unwrap();
    event_of(line.kind, line.body).unwrap()
}

fn replayed(bytes: &[u8], check: Check) -> (RecordState, Replayed) {
    let disk = CruelDisk::with_file(NAME, bytes);
    let part = Part {
        name: NAME.to_owned(),
        until: None,
    };
    let open = |part: &Part| disk.open_read(&part.name);
    let (reports, replayed) = replay(&[part], open, check).unwrap();
    assert_eq!(disk.bytes(NAME), bytes);
    (reports[0].state, replayed)
}

/// The lines of the verdicts that rest on a reading, counted from 0.
fn resting_on(written: &Written, reading: u64) -> BTreeSet<usize> {
    let rests = |at: &usize| match event_at(written, *at) {
        Event::VerdictGiven(given) => given.reading == reading || given.from.contains(&reading),
        _ => false,
    };
    (0..written.lines()).filter(rests).collect()
}

#[test]
fn a_verdict_that_rests_on_a_lost_reading_is_named_and_proves_nothing() {
    let written = session();
    let mut named = 0;
    for at in 0..written.lines() {
        let Event::ReadingReceived(_) = event_at(&written, at) else {
            continue;
        };
        let mut damaged = written.bytes.clone();
        damaged[written.starts[at] + 70] ^= 4;
        let expected = resting_on(&written, at as u64 + 1);
        for check in [Check::State, Check::Verdicts] {
            let (state, replayed) = replayed(&damaged, check);
            assert_eq!(state, RecordState::Damaged);
            let lost: BTreeSet<usize> = replayed
                .faults
                .iter()
                .filter(|one| one.kind == "reading_lost")
                .map(|one| {
                    let line = written.line_of(usize::try_from(one.offset).unwrap());
                    assert_eq!(
                        one.offset, written.starts[line] as u64,
                        "the place of the line"
                    );
                    assert_eq!(one.sequence, line as u64 + 1);
                    assert!(
                        one.what.contains(&format!("reading {}", at + 1)),
                        "{}",
                        one.what
                    );
                    line
                })
                .collect();
            assert_eq!(lost, expected, "line {}", at + 1);
            let state = replayed.state.unwrap();
            let parts = state.parts().iter();
            // A voided reading proved nothing before either.
            let proved = resting_on_not_voided(&written, at as u64 + 1);
            let open = parts.filter(|part| part.state() != PartState::Go).count();
            assert_eq!(
                open,
                usize::from(proved),
                "line {}: {}",
                at + 1,
                picture(&state)
            );
            named += lost.len();
        }
    }
    assert!(named > 30, "{named}");
}

fn resting_on_not_voided(written: &Written, reading: u64) -> bool {
    !(0..written.lines()).any(|at| {
        matches!(event_at(written, at), Event::ReadingVoided { reading: of, .. } if of == reading)
    })
}

#[test]
fn whichever_line_is_lost_every_other_reading_is_there_and_no_part_more_is_good() {
    let written = session();
    let readings = |but: usize| -> Vec<u64> {
        let is_reading =
            |at: &usize| matches!(event_at(&written, *at), Event::ReadingReceived(_)) && *at != but;
        (0..written.lines())
            .filter(is_reading)
            .map(|at| at as u64 + 1)
            .collect()
    };
    for at in 1..written.lines() {
        let event = event_at(&written, at);
        let mut damaged = written.bytes.clone();
        damaged[written.starts[at] + 70] ^= 4;
        let (state, replayed) = replayed(&damaged, Check::Verdicts);
        let case = format!("line {} ({})", at + 1, event.kind());
        assert_eq!(state, RecordState::Damaged, "{case}");
        let state = replayed.state.unwrap();
        let found: Vec<u64> = state.readings().iter().map(|one| one.sequence).collect();
        assert_eq!(found, readings(at), "{case}: everything else is readable");
        assert_eq!(
            state.parts().len(),
            3,
            "{case}: no part is lost with another's line"
        );
        let kinds: Vec<&str> = replayed.faults.iter().map(|one| one.kind).collect();
        match event {
            Event::PartStarted { .. } => {
                assert_eq!(kinds, ["part_start_lost"], "{case}");
                assert!(
                    state
                        .parts()
                        .iter()
                        .all(|part| part.state() == PartState::Go),
                    "{case}"
                );
            }
            // Where its reading was voided afterwards, nothing is missing of what counts.
            Event::VerdictGiven(given) if resting_on_not_voided(&written, given.reading) => {
                assert!(
                    !kinds.is_empty(),
                    "{case}: a verdict is missing and nothing says so"
                );
            }
            Event::ReadingVoided { .. } => {
                assert!(kinds.contains(&"verdict_differs"), "{case}: {kinds:?}");
            }
            _ => {}
        }
    }
}

#[test]
fn a_line_that_stands_twice_counts_once() {
    let written = session();
    let (_, whole) = replayed(&written.bytes, Check::Verdicts);
    let whole = picture(&whole.state.unwrap());
    for at in 0..written.lines() - 1 {
        let mut doubled = written.bytes.clone();
        let line = [written.line(at), b"\n"].concat();
        drop(doubled.splice(written.starts[at]..written.starts[at], line));
        let (state, again) = replayed(&doubled, Check::Verdicts);
        assert_eq!(state, RecordState::Damaged);
        assert_eq!(again.faults, Vec::new(), "line {}", at + 1);
        assert_eq!(picture(&again.state.unwrap()), whole, "line {}", at + 1);
    }
}
