//! The power goes before any call of a whole session, creation and continuation of files included:
//! every subset of the sectors and folder entries that no sync has brought to the disk is kept
//! (1024 states a call at most), the last sector also torn within.

#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests too

use fitledger::journal::{
    Disposition, DispositionKind, Event, Meaning, Part, SignedOff, StorageFolder, event_of,
    verify_parts,
};
use fitledger::session::{Command, Incoming, OpeningError, resume_session, session_parts};

use crate::support::bench::{Bench, NAME, feature, moment_at, plan, typed};
use crate::support::cruel_disk::{CruelDisk, Fault, SECTOR, Snapshot, Tracing};
use crate::support::journals::Seeded;

/// So many unsynced pieces are kept or lost in every combination.
const MOST_PIECES: usize = 10;

fn reading(text: &str) -> Incoming {
    Incoming::Reading(typed("mic", text))
}

/// Readings, requests, decisions; one batch is long enough for ten sectors at once.
fn script() -> Vec<Vec<Incoming>> {
    let ask = Incoming::Command;
    let hold = Disposition {
        part: 1,
        kind: DispositionKind::Hold,
        feature: String::new(),
        element: String::new(),
        reason: "scratch".to_owned(),
        by: "Grace".to_owned(),
        agreed_with: String::new(),
        of: 0,
    };
    let signed = SignedOff {
        part: 1,
        meaning: Meaning::Measured,
        manner: fitledger::journal::Manner::Plain,
        by: "Ada".to_owned(),
        reason: String::new(),
        covers: SignedOff::JUST_BEFORE,
        hash: String::new(),
        left: Vec::new(),
    };
    let name = Command::NamePart {
        part: None,
        serial: "GP-7".to_owned(),
    };
    vec![
        vec![reading("20.008")],
        vec![ask(name), reading("20.009")],
        (0..13).map(|at| reading(&format!("20.0{at:02}"))).collect(),
        vec![ask(Command::Dispose(Box::new(hold)))],
        vec![reading("20.007"), ask(Command::SignOff(Box::new(signed)))],
        vec![ask(Command::StartNextPart), reading("20.006")],
        vec![ask(Command::Close {
            reason: "done".to_owned(),
        })],
    ]
}

/// Runs the script on a disk that keeps the state before each call; before batch `fails_in` a
/// sync is set to fail, and the session goes on in a second file.
fn traced(fails_in: usize) -> Bench {
    let disk = CruelDisk::tracing(Tracing::Calls);
    let opened = plan(&(feature("A", "20 k6", "points = 2") + &feature("B", "15 h6", "")));
    let mut bench = Bench::on(disk.clone(), opened).unwrap();
    for (at, batch) in script().into_iter().enumerate() {
        if at == fails_in {
            disk.fail_after(1, Fault::Errno(5), false);
        }
        bench.take(batch);
        if bench.recorder.has_failed() {
            disk.heal();
            let moment = bench.later();
            let taken = bench
                .recorder
                .continue_in(&disk, "session-2.jsonl", moment)
                .unwrap();
            bench
                .told
                .extend(taken.recorded.into_iter().map(|one| one.event));
        }
        disk.note_acknowledged(bench.told.len());
    }
    bench
}

/// The session's newest file and its events, all files together; none where no file is left.
fn read(disk: &CruelDisk) -> Option<(String, Vec<Event>)> {
    let (newest, parts) = match session_parts(disk, NAME) {
        Ok(parts) => (NAME.to_owned(), parts),
        Err(OpeningError::ContinuedIn { newest, .. }) => {
            let parts = session_parts(disk, &newest).unwrap();
            (newest, parts)
        }
        Err(_) => return None,
    };
    let mut events = Vec::new();
    let open = |part: &Part| disk.open_read(&part.name);
    verify_parts(&parts, open, |_, sound| {
        let event = event_of(sound.line.kind, sound.line.body).unwrap();
        let is_bookkeeping = matches!(
            event,
            Event::SessionOpened(_)
                | Event::ContinuationOpened { .. }
                | Event::TailDamaged { .. }
                | Event::SessionResumed { .. }
        );
        if !is_bookkeeping {
            events.push(event);
        }
    })
    .unwrap();
    Some((newest, events))
}

fn is_subset(some: &[Event], all: &[Event]) -> bool {
    let mut all = all.iter();
    some.iter().all(|event| all.any(|known| known == event))
}

/// What was acknowledged is readable, nothing else is, and the session can go on from there.
fn check(disk: &CruelDisk, snapshot: &Snapshot, told: &[Event], go_on: bool, case: &str) {
    let acknowledged = &told[..snapshot.acknowledged];
    let Some((newest, events)) = read(disk) else {
        assert!(acknowledged.is_empty(), "{case}: the file is gone");
        return;
    };
    assert!(events.starts_with(acknowledged), "{case}: I1: {events:?}");
    assert!(is_subset(&events, told), "{case}: I3: {events:?}");
    if !go_on {
        return;
    }
    let before: Vec<(String, Vec<u8>)> = {
        let names = disk.list().unwrap().into_iter();
        names
            .map(|name| (name.clone(), disk.bytes(&name)))
            .collect()
    };
    let continued = |_: &str, attempt: u32| format!("session-{}.jsonl", attempt + 7);
    let resumed = resume_session(disk, &newest, continued, "test 2", |last_ms, _| {
        moment_at(last_ms + 60_000)
    });
    let mut resumed = match resumed {
        Ok(resumed) => resumed,
        Err(error) => {
            let expected = ["journal_closed", "nothing_to_resume"];
            assert!(expected.contains(&error.code()), "{case}: {error}");
            assert!(
                error.code() != expected[1] || acknowledged.is_empty(),
                "{case}"
            );
            return;
        }
    };
    let taken = resumed
        .recorder
        .take(vec![(moment_at(900_000), reading("20.005"))]);
    assert_eq!(taken.failure, None, "{case}");
    for (name, bytes) in &before {
        assert!(
            disk.bytes(name).starts_with(bytes),
            "{case}: I4: {name} was changed"
        );
    }
    let (_, after) = read(disk).unwrap();
    assert!(is_subset(&events, &after), "{case}: lost by going on");
}

#[test]
fn the_power_may_go_before_any_call_and_keep_any_of_what_was_not_synced() {
    let (mut states, mut widest, mut random) = (0, 0, Seeded(4));
    for fails_in in [99, 1, 2, 4] {
        let bench = traced(fails_in);
        assert_eq!(bench.recorder.journal() == NAME, fails_in == 99);
        for (call, snapshot) in bench.disk.snapshots().into_iter().enumerate() {
            let (entries, sectors) = (snapshot.unsynced_entries(), snapshot.unsynced());
            let pieces = entries.len() + sectors.len();
            widest = widest.max(pieces);
            for mask in 0..1_usize << pieces.min(MOST_PIECES) {
                let kept = |at: usize| mask >> at & 1 == 1;
                let entries: Vec<String> = (0..entries.len())
                    .filter(|at| kept(*at))
                    .map(|at| entries[at].clone())
                    .collect();
                let sectors: Vec<(String, usize)> = (0..sectors.len())
                    .filter(|at| kept(entries.len() + *at))
                    .map(|at| sectors[at].clone())
                    .collect();
                let crueller = [(1 + random.below(SECTOR - 1), false), (SECTOR, true)];
                let (torn_at, grown) = match random.below(2) {
                    0 => (SECTOR, false),
                    _ => crueller[random.below(2)],
                };
                let disk = snapshot.with_entries(&entries, &sectors, torn_at, grown);
                let case = format!(
                    "fails in {fails_in}, before call {call}: {entries:?} {sectors:?}, \
                     torn at {torn_at}, grown {grown}"
                );
                let go_on = random.below(8) == 0;
                check(&disk, &snapshot, &bench.told, go_on, &case);
                states += 1;
            }
        }
    }
    println!("{states} states of the disk, at most {widest} pieces unsynced");
    assert!(
        widest >= MOST_PIECES && states > 2_000,
        "{widest} pieces, {states} states"
    );
}
