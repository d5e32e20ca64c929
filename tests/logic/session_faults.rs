//! Sessions on a disk that fails, tears and forgets; and sessions taken up again.

use fitledger::journal::{DiskFolder, Event, StorageFolder, WriterError};
use fitledger::session::{
    Command, End, Incoming, OpeningError, Recorder, Resumed, open_session, resume_session,
};

use crate::support::bench::{Bench, NAME, feature, moment_at, picture, plan, replayed, typed};
use crate::support::cruel_disk::{CruelDisk, Fault, Plan, SECTOR};
use crate::support::journals::{Seeded, line_starts};

const ENOSPC: i32 = 28;
const EROFS: i32 = 30;
const EIO: i32 = 5;
const EDQUOT: i32 = 122;
const EINTR: i32 = 4;

fn opened() -> fitledger::journal::SessionOpened {
    plan(&(feature("A", "20 k6", "points = 2") + &feature("B", "15 h6", "")))
}

/// What comes at the bench: readings, held ones too, and requests, in batches.
fn script() -> Vec<Vec<Incoming>> {
    let reading = |text: &str| Incoming::Reading(typed("mic", text));
    let ask = Incoming::Command;
    let void = Command::VoidReading {
        reading: None,
        reason: "tilted".to_owned(),
    };
    let answer = Command::AnswerHeld {
        belongs: false,
        reason: String::new(),
    };
    vec![
        vec![reading("20.008")],
        vec![
            reading("0.7877"),
            reading("20.030"),
            ask(answer),
            reading("20.031"),
        ],
        vec![ask(void), reading("20.009"), ask(Command::TakeOut)],
        vec![
            reading("14.995"),
            reading("20.007"),
            ask(Command::StartNextPart),
            reading("20.006"),
        ],
        vec![
            ask(Command::StartNextPart),
            ask(Command::StartNextPart),
            reading("20.005"),
        ],
        vec![
            reading("20.004"),
            ask(Command::Close {
                reason: "done".to_owned(),
            }),
        ],
    ]
}

/// Raw text of the readings of a script, in order.
fn sent() -> Vec<String> {
    let all = script().into_iter().flatten();
    all.filter_map(|one| match one {
        Incoming::Reading(reading) => Some(String::from_utf8(reading.raw).unwrap()),
        _ => None,
    })
    .collect()
}

fn raw_of(event: &Event) -> Option<String> {
    match event {
        Event::ReadingReceived(reading) => Some(String::from_utf8(reading.raw.clone()).unwrap()),
        _ => None,
    }
}

/// The events of a record, all files together, in order.
fn recorded(disk: &CruelDisk, name: &str) -> Vec<Event> {
    let parts = fitledger::session::session_parts(disk, name).unwrap();
    let mut events = Vec::new();
    let open = |part: &fitledger::journal::Part| disk.open_read(&part.name);
    fitledger::journal::verify_parts(&parts, open, |_, sound| {
        events.push(fitledger::journal::event_of(sound.line.kind, sound.line.body).unwrap());
    })
    .unwrap();
    events
}

/// Runs the script; after each batch a failed journal is continued, as the program does.
fn run(bench: &mut Bench) -> u32 {
    let mut tries = 0;
    for batch in script() {
        bench.take(batch);
        bench.disk.note_acknowledged(bench.told.len());
        for _ in 0..3 {
            if !bench.recorder.has_failed() {
                break;
            }
            tries += 1;
            let moment = bench.later();
            let name = format!("session-{}.jsonl", tries + 1);
            let disk = bench.disk.clone();
            if let Ok(taken) = bench.recorder.continue_in(&disk, &name, moment) {
                bench
                    .told
                    .extend(taken.recorded.into_iter().map(|one| one.event));
            }
        }
    }
    tries
}

fn without_bookkeeping(events: Vec<Event>) -> Vec<Event> {
    let counts = |event: &Event| {
        !matches!(
            event,
            Event::SessionOpened(_) | Event::ContinuationOpened { .. }
        )
    };
    events.into_iter().filter(counts).collect()
}

#[test]
fn whichever_call_fails_no_reading_is_lost_doubled_or_told_before_it_is_recorded() {
    let mut calm = Bench::new(opened());
    assert_eq!(run(&mut calm), 0);
    calm.check();
    let expected = picture_without_lines(&calm);
    let faults = [
        Fault::Errno(ENOSPC),
        Fault::Errno(EIO),
        Fault::Errno(EDQUOT),
        Fault::Errno(EROFS),
        Fault::Errno(EINTR),
        Fault::Short,
        Fault::HalfThenError,
    ];
    let mut cases = 0;
    for fault in faults {
        for persistent in [false, true] {
            for at in 1.. {
                let case = format!("{fault:?}, persistent {persistent}, call {at}");
                let disk = CruelDisk::failing(Plan {
                    at,
                    fault,
                    persistent,
                });
                let Ok(mut bench) = Bench::on(disk.clone(), opened()) else {
                    continue;
                };
                run(&mut bench);
                if !disk.struck() {
                    break;
                }
                cases += 1;
                assert_eq!(disk.syncs_after_failure(), 0, "{case}");
                if bench.recorder.has_failed() {
                    check_failed(&bench, &case);
                    continue;
                }
                // Everything came through, each reading once, in order, and means the same.
                disk.heal();
                let events = without_bookkeeping(recorded(&disk, bench.recorder.journal()));
                let raws: Vec<String> = events.iter().filter_map(raw_of).collect();
                assert_eq!(raws, sent(), "{case}");
                assert_eq!(without_bookkeeping(bench.told.clone()), events, "{case}");
                assert_eq!(picture_without_lines(&bench), expected, "{case}");
                bench.check();
            }
        }
    }
    println!("{cases} cases");
    assert!(cases > 200, "{cases}");
}

/// The disk stays dead: what was told is readable, and the rest waits in order.
fn check_failed(bench: &Bench, case: &str) {
    bench.disk.heal();
    let events = without_bookkeeping(recorded(&bench.disk, bench.recorder.journal()));
    assert!(events.starts_with(&bench.told), "{case}");
    let told = bench.told.iter().filter_map(raw_of);
    let waiting = bench
        .recorder
        .unwritten()
        .iter()
        .filter_map(|one| match &one.incoming {
            Incoming::Reading(reading) => Some(String::from_utf8(reading.raw.clone()).unwrap()),
            _ => None,
        });
    let all: Vec<String> = told.chain(waiting).collect();
    assert_eq!(all, sent(), "{case}");
}

/// What the parts came to, whatever the numbers of the lines.
fn picture_without_lines(bench: &Bench) -> String {
    let mut text = String::new();
    for part in bench.state().parts() {
        for one in &part.characteristics {
            let points = one
                .points
                .iter()
                .map(|point| (point.outcome, point.value_at_20, point.side));
            let points: Vec<_> = points.collect();
            text.push_str(&format!("{} {:?} {points:?}\n", part.number, one.settled));
        }
    }
    format!("{text}{:?}", bench.ends())
}

#[test]
fn a_sync_that_failed_is_never_asked_again_even_if_it_would_succeed() {
    for at in 4..30 {
        let plan = Plan {
            at,
            fault: Fault::Errno(EIO),
            persistent: false,
        };
        let disk = CruelDisk::failing(plan);
        let Ok(mut bench) = Bench::on(disk.clone(), opened()) else {
            continue;
        };
        for batch in script() {
            let failed = bench.recorder.has_failed();
            let taken = bench.take(batch);
            assert!(
                !failed || taken.recorded.is_empty(),
                "call {at}: told after a failure"
            );
        }
        assert_eq!(disk.syncs_after_failure(), 0, "call {at}");
    }
}

/// More in one batch than one commit may hold; each carries its number in its bytes.
#[test]
fn a_batch_larger_than_one_commit_is_kept_in_order_whichever_call_fails() {
    let readings: Vec<Incoming> = (0..1_150)
        .map(|at| {
            let mut reading = typed("mic", "20.008");
            reading.raw = format!("{at:>2000}").into_bytes();
            Incoming::Reading(reading)
        })
        .collect();
    let number = |event: &Event| raw_of(event).map(|raw| raw.trim().parse::<usize>().unwrap());
    for at in [1_000, 8, 9, 10, 11, 12, 13] {
        let plan = Plan {
            at,
            fault: Fault::Errno(ENOSPC),
            persistent: false,
        };
        let disk = CruelDisk::failing(plan);
        let mut bench = Bench::on(disk.clone(), opened()).unwrap();
        bench.take(readings.clone());
        assert_eq!(bench.recorder.has_failed(), at < 1_000, "call {at}");
        if bench.recorder.has_failed() {
            let moment = bench.later();
            let taken = bench
                .recorder
                .continue_in(&disk, "session-2.jsonl", moment)
                .unwrap();
            assert_eq!(taken.failure, None, "call {at}");
        }
        let events = recorded(&disk, bench.recorder.journal());
        let found: Vec<usize> = events.iter().filter_map(number).collect();
        assert_eq!(found, (0..1_150).collect::<Vec<_>>(), "call {at}");
        assert!(bench.ends().iter().all(|end| *end == End::Judged
            || *end == End::SetAside
            || *end == End::Held
            || end.is_open()));
    }
}

/// Whichever call fails first, and whichever while the session goes on in a new file: what that one
/// does not take either waits for the next, and all is decided there without a further reading.
#[test]
fn what_a_continuation_does_not_take_either_waits_for_the_next_and_is_decided_there() {
    let texts: Vec<String> = (0..11).map(|at| format!("20.0{at:02}")).collect();
    let readings: Vec<Incoming> = texts
        .iter()
        .map(|text| Incoming::Reading(typed("mic", text)))
        .collect();
    let mut calm = Bench::new(opened());
    calm.take(readings.clone());
    let ends = calm.ends();
    let (mut waited, mut decided_late) = (0, 0);
    for first in 0..7 {
        for second in 0..24 {
            let case = format!("call {first}, then {second}");
            let mut bench = Bench::new(opened());
            let disk = bench.disk.clone();
            disk.fail_after(first, Fault::Errno(ENOSPC), false);
            bench.take(readings.clone());
            if !bench.recorder.has_failed() {
                continue;
            }
            disk.fail_after(second, Fault::Errno(ENOSPC), false);
            let mut tries = 1;
            while bench.recorder.has_failed() {
                tries += 1;
                assert!(tries < 6, "{case}");
                let moment = bench.later();
                let name = format!("session-{tries}.jsonl");
                decided_late += usize::from(bench.recorder.unwritten().is_empty());
                let taken = bench.recorder.continue_in(&disk, &name, moment);
                let waiting = bench.recorder.unwritten().len();
                let kept = bench.recorder.state().readings().len();
                assert_eq!(kept + waiting, readings.len(), "{case}: a reading is lost");
                waited += usize::from(taken.is_ok() && waiting > 0);
            }
            disk.heal();
            let events = recorded(&disk, bench.recorder.journal());
            let found: Vec<String> = events.iter().filter_map(raw_of).collect();
            assert_eq!(found.len(), readings.len(), "{case}");
            assert_eq!(bench.ends(), ends, "{case}: not all is decided");
        }
    }
    assert!(waited > 10 && decided_late > 10, "{waited} {decided_late}");
}

#[test]
fn a_power_cut_at_any_sync_leaves_all_that_was_told() {
    let mut bench = Bench::new(opened());
    run(&mut bench);
    let told = bench.told.clone();
    let (mut cuts, mut random) = (0, Seeded(11));
    let mut snapshots = bench.disk.snapshots();
    snapshots.push(bench.disk.snapshot());
    for snapshot in snapshots {
        let unsynced = snapshot.unsynced();
        for cut in 0..=unsynced.len() {
            for torn_at in [0, random.below(SECTOR), SECTOR] {
                let disk = snapshot.after_power_cut(&unsynced[..cut], torn_at, cut % 2 == 0);
                if disk.bytes(NAME).is_empty() {
                    continue;
                }
                cuts += 1;
                let acknowledged = snapshot.acknowledged;
                let events = without_bookkeeping(recorded(&disk, NAME));
                assert!(events.len() >= acknowledged, "{cut} {torn_at}");
                assert_eq!(events[..acknowledged], told[..acknowledged]);
                let (_, again) = replayed(&disk, NAME);
                assert_eq!(again.faults, Vec::new());
            }
        }
    }
    println!("{cuts} power cuts");
    assert!(cuts > 20);
}

fn resume(disk: &CruelDisk, name: &str) -> Result<Resumed<CruelDisk>, OpeningError> {
    let continued = |_: &str, attempt: u32| format!("session-{}.jsonl", attempt + 2);
    resume_session(disk, name, continued, "test 2", |last_ms, _| {
        moment_at(last_ms + 60_000)
    })
}

/// The record of a bench that was stopped at `at`, as another program finds it.
fn stopped(bench: &Bench, at: usize) -> CruelDisk {
    let disk = CruelDisk::default();
    drop(disk.create_new(NAME).unwrap());
    disk.put_junk(NAME, &bench.disk.bytes(NAME)[..at]);
    disk
}

#[test]
fn a_session_stopped_anywhere_goes_on_at_the_same_place_and_judges_what_was_left() {
    let mut bench = Bench::new(opened());
    for batch in script().into_iter().take(4) {
        bench.take(batch);
    }
    let whole = bench.disk.bytes(NAME);
    let starts = line_starts(&whole);
    let calm = without_bookkeeping(recorded(&bench.disk, NAME));
    for (line, start) in starts.iter().enumerate().skip(1) {
        let next = starts.get(line + 1).copied().unwrap_or(whole.len());
        for at in [*start, (*start + next) / 2] {
            let disk = stopped(&bench, at);
            let (_, before) = replayed(&disk, NAME);
            let mut resumed = resume(&disk, NAME).unwrap();
            assert_eq!(resumed.recorder.journal(), NAME);
            let place = before
                .state
                .as_ref()
                .and_then(|state| state.current_place());
            assert_eq!(resumed.recorder.state().current_place(), place);
            resumed.recorder.take(Vec::new());
            let state = resumed.recorder.state();
            let open = state
                .readings()
                .iter()
                .filter(|one| one.end.is_open())
                .count();
            let held = usize::from(state.bench().held.is_some());
            assert_eq!(open, state.waiting() + held, "line {line}");
            assert!(
                held == 1 || open == 0,
                "line {line}: a reading was not judged"
            );
            let (reports, after) = replayed(&disk, NAME);
            assert_eq!(after.faults, Vec::new(), "line {line}");
            assert!(
                reports[0].findings.iter().all(|one| one.is_notice()),
                "{:?}",
                reports[0]
            );
            assert_eq!(
                picture(&after.state.unwrap()),
                picture(state),
                "line {line}"
            );
            // What was judged before is as it was.
            let events = without_bookkeeping(recorded(&disk, NAME));
            assert_eq!(events[..line - 1], calm[..line - 1], "line {line}");
        }
    }
}

#[test]
fn a_damaged_record_goes_on_in_a_new_file_and_the_old_one_is_not_touched() {
    let mut bench = Bench::new(opened());
    for batch in script().into_iter().take(4) {
        bench.take(batch);
    }
    let whole = bench.disk.bytes(NAME);
    let starts = line_starts(&whole);
    for line in 1..starts.len() - 2 {
        let mut damaged = whole.clone();
        damaged[starts[line] + 60] ^= 1;
        let disk = CruelDisk::default();
        drop(disk.create_new(NAME).unwrap());
        disk.put_junk(NAME, &damaged);
        let mut resumed = resume(&disk, NAME).unwrap();
        assert_eq!(resumed.recorder.journal(), "session-2.jsonl");
        let batch = vec![(
            moment_at(900_000),
            Incoming::Reading(typed("mic", "20.008")),
        )];
        let taken = resumed.recorder.take(batch);
        assert_eq!(taken.failure, None, "line {line}");
        assert_eq!(disk.bytes(NAME), damaged, "line {line}");
        drop(resumed);
        match resume(&disk, NAME) {
            Err(OpeningError::ContinuedIn { newest, .. }) => assert_eq!(newest, "session-2.jsonl"),
            _ => panic!("line {line}: the old file was taken up again"),
        }
        assert_eq!(
            resume(&disk, "session-2.jsonl").unwrap().recorder.journal(),
            "session-2.jsonl"
        );
    }
    let disk = CruelDisk::default();
    drop(disk.create_new(NAME).unwrap());
    disk.put_junk(NAME, &whole[10..]);
    let refused = resume(&disk, NAME).err().unwrap();
    assert_eq!(refused.code(), "nothing_to_resume");
    assert_eq!(
        resume(&disk, "other.jsonl").err().unwrap().code(),
        "journal_not_read"
    );
}

#[test]
fn a_closed_session_is_not_taken_up_damaged_or_not() {
    let mut bench = Bench::new(opened());
    run(&mut bench);
    assert!(bench.state().is_closed());
    let whole = bench.disk.bytes(NAME);
    let starts = line_starts(&whole);
    for flipped in [None, Some(starts[3] + 60)] {
        let mut bytes = whole.clone();
        if let Some(at) = flipped {
            bytes[at] ^= 1;
        }
        let disk = CruelDisk::default();
        drop(disk.create_new(NAME).unwrap());
        disk.put_junk(NAME, &bytes);
        let refused = resume(&disk, NAME).err().unwrap();
        assert_eq!(
            (refused.code(), refused.is_outside()),
            ("journal_closed", false)
        );
        assert_eq!(disk.list().unwrap(), [NAME], "{flipped:?}");
    }
}

#[test]
fn a_clock_set_back_between_two_programs_is_an_event() {
    for (back_s, steps) in [(3_600, true), (0, false)] {
        let mut bench = Bench::new(opened());
        bench.reads("20.008");
        let disk = stopped(&bench, bench.disk.bytes(NAME).len());
        let resumed = resume_session(
            &disk,
            NAME,
            |_, _| String::new(),
            "test",
            |last_ms, time| {
                let time = time.unwrap() - jiff::SignedDuration::from_secs(back_s);
                fitledger::journal::Moment {
                    time,
                    mono_ms: last_ms,
                }
            },
        );
        let journal = resumed.unwrap().recorder.journal().to_owned();
        let stepped = recorded(&disk, &journal)
            .into_iter()
            .find_map(|event| match event {
                Event::ClockStepped { by_ms } => Some(by_ms),
                _ => None,
            });
        assert_eq!(stepped, steps.then_some(-1_000 * back_s));
    }
}

#[test]
fn a_record_that_is_being_written_is_refused_to_a_second_program() {
    let place = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let folder = DiskFolder::new(place.path());
    let name = |_| NAME.to_owned();
    let first: Recorder<DiskFolder> = open_session(&folder, name, opened(), moment_at(0))
        .ok()
        .unwrap();
    let again = || {
        let continued = |_: &str, _| "other.jsonl".to_owned();
        resume_session(&folder, NAME, continued, "test", |last_ms, _| {
            moment_at(last_ms)
        })
    };
    match again() {
        Err(OpeningError::Journal(WriterError::Locked { holder, .. })) => {
            let own = format!("process {} ", std::process::id());
            assert!(!cfg!(target_os = "linux") || holder.unwrap().starts_with(&own));
        }
        _ => panic!("two programs write one record"),
    }
    drop(first);
    let mut resumed = again().ok().unwrap();
    let batch = vec![(moment_at(5_000), Incoming::Reading(typed("mic", "20.008")))];
    assert_eq!(resumed.recorder.take(batch).failure, None);
    assert_eq!(
        resumed.recorder.state().readings().get(0).unwrap().end,
        End::Judged
    );
    assert_eq!(folder.list().unwrap(), [NAME]);
}
