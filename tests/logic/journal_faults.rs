//! The disk fails at every call in turn, and the power goes at every moment; what was acknowledged
//! is readable, and nothing else is.

#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests too

use std::collections::BTreeMap;

use fitledger::journal::{
    CONTINUATION_OPENED, Cause, ContinuationOf, FileStart, JournalWriter, Link, SESSION_CLOSED,
    State, StorageFolder, TAIL_DAMAGED, WriterError, session_state, sessions, verify, verify_parts,
};

use crate::support::cruel_disk::{CruelDisk, CruelFile, Fault, Plan, SECTOR};
use crate::support::journals::{Seeded, moment, reading_body};

const EINTR: i32 = 4;
const EIO: i32 = 5;
const ENOSPC: i32 = 28;
const EROFS: i32 = 30;
const EDQUOT: i32 = 122;

/// A session against `disk`, with a healthy `spare` disk for when it fails for good.
struct Bench {
    disk: CruelDisk,
    spare: CruelDisk,
    /// The bodies that were acknowledged, in order.
    acknowledged: Vec<String>,
    /// The last acknowledged line and its file.
    last: ContinuationOf,
    files: u32,
    failures: Vec<WriterError>,
}

type Writer = JournalWriter<CruelFile>;

impl Bench {
    fn new(disk: CruelDisk) -> Self {
        let last = ContinuationOf {
            file: String::new(),
            link: Link::GENESIS,
        };
        let spare = CruelDisk::default();
        Self {
            disk,
            spare,
            acknowledged: Vec::new(),
            last,
            files: 0,
            failures: Vec::new(),
        }
    }

    /// A new file, on the first disk that gives one: a new session, or one that goes on.
    fn next_file(&mut self) -> Writer {
        for attempt in 0..4 {
            let folder = if attempt < 2 {
                self.disk.clone()
            } else {
                self.spare.clone()
            };
            self.files += 1;
            let name = format!("session-{}.jsonl", self.files);
            let made = match self.last.file.is_empty() {
                true => JournalWriter::create(&folder, &name),
                false => JournalWriter::continue_from(&folder, &name, &self.last, moment(9)),
            };
            match made {
                Ok(writer) => {
                    self.last = ContinuationOf {
                        file: name,
                        link: writer.acknowledged(),
                    };
                    return writer;
                }
                Err(error) => self.failures.push(error),
            }
        }
        panic!("the spare disk failed: {:?}", self.failures);
    }

    /// Appends and commits these bodies; after a failure, again in a continuation.
    fn record(&mut self, mut writer: Writer, kind: &str, bodies: &[String]) -> Writer {
        for body in bodies {
            writer.append(kind, body, moment(1)).unwrap();
        }
        while let Err(error) = writer.commit() {
            let failed = writer.failure().cloned();
            assert!(matches!(&error, WriterError::NotRecorded { unrecorded, .. }
                if Some(unrecorded.as_ref()) == failed.as_ref()));
            let refused = writer.append(kind, "{}", moment(1)).unwrap_err();
            assert_eq!(refused, error, "a failed writer takes nothing more");
            assert_eq!(writer.commit(), Err(error.clone()));
            let left: Vec<_> = writer
                .unrecorded_lines()
                .map(|line| line.body.to_owned())
                .collect();
            assert_eq!(left, bodies, "what is not recorded is handed back");
            self.failures.push(error);
            let mut next = self.next_file();
            for body in bodies {
                next.append(kind, body, moment(1)).unwrap();
            }
            writer = next;
        }
        self.acknowledged.extend_from_slice(bodies);
        self.last.link = writer.acknowledged();
        self.disk.note_acknowledged(self.acknowledged.len());
        writer
    }

    /// Closes the file as a crash would, with an unfinished line behind, and opens it again.
    fn crash_and_reopen(&mut self, writer: Writer, junk: &[u8]) -> Writer {
        let (name, last) = (writer.name().to_owned(), writer.acknowledged());
        drop(writer);
        let on_spare = !self.spare.bytes(&name).is_empty();
        let folder = if on_spare {
            self.spare.clone()
        } else {
            self.disk.clone()
        };
        folder.put_junk(&name, junk);
        match JournalWriter::open(&folder, &name, moment(5), |_| {}) {
            Ok((writer, report)) => {
                assert_eq!(report.head, last);
                self.last.link = writer.acknowledged();
                writer
            }
            Err(error) => {
                self.failures.push(error);
                self.next_file()
            }
        }
    }
}

/// The whole scripted session: groups of one to three events, a crash in the middle, a close.
fn script(disk: CruelDisk) -> Bench {
    let mut bench = Bench::new(disk);
    let mut writer = bench.next_file();
    let mut number = 0;
    for group in 0..8_u64 {
        if group == 4 {
            writer = bench.crash_and_reopen(writer, b"{\"v\":1,\"seq\":9,\"ti");
        }
        let bodies: Vec<_> = (0..=group % 3)
            .map(|next| reading_body(number + next))
            .collect();
        number += bodies.len() as u64;
        writer = bench.record(writer, "reading_received", &bodies);
    }
    bench.record(writer, SESSION_CLOSED, &["{\"end\":1}".to_owned()]);
    bench
}

fn is_bookkeeping(kind: &str) -> bool {
    kind == CONTINUATION_OPENED || kind == TAIL_DAMAGED
}

/// The bodies that a reader finds by following the files of the last session, and its state.
fn readable(disks: &[&CruelDisk], newest: &str) -> (Vec<String>, State) {
    let mut files = BTreeMap::new();
    for disk in disks {
        for name in disk.list().unwrap() {
            files.insert(name.clone(), disk.bytes(&name));
        }
    }
    let named: Vec<_> = files
        .iter()
        .map(|(name, bytes)| FileStart::read(name, bytes.as_slice()).unwrap())
        .collect();
    let found = sessions(&named);
    let ours = found
        .iter()
        .find(|session| session.parts.last().unwrap().name == newest)
        .unwrap();
    assert_eq!(ours.absent, None);
    let mut bodies = Vec::new();
    let reports = verify_parts(
        &ours.parts,
        |part| Ok(files[&part.name].as_slice()),
        |_, sound| {
            if !is_bookkeeping(sound.line.kind) {
                bodies.push(sound.line.body.to_owned());
            }
        },
    )
    .unwrap();
    (bodies, session_state(&reports))
}

fn faults() -> Vec<Fault> {
    let numbers = [ENOSPC, EIO, EDQUOT, EROFS, EINTR].map(Fault::Errno);
    numbers
        .into_iter()
        .chain([Fault::Short, Fault::HalfThenError])
        .collect()
}

#[test]
fn whichever_call_fails_and_however_what_was_acknowledged_is_what_is_readable() {
    let mut cases = 0;
    for fault in faults() {
        for persistent in [false, true] {
            for at in 1.. {
                let disk = CruelDisk::failing(Plan {
                    at,
                    fault,
                    persistent,
                });
                let bench = script(disk.clone());
                let case = format!("{fault:?} at call {at}, persistent: {persistent}");
                let (bodies, state) = readable(&[&disk, &bench.spare], &bench.last.file);
                assert_eq!(bodies, bench.acknowledged, "{case}");
                // Also where only half of the line was written that declares a torn tail void.
                assert_eq!(state, State::Sound, "{case}");
                assert_eq!(
                    disk.syncs_after_failure(),
                    0,
                    "{case}: a failed file synced again"
                );
                let struck = disk.struck();
                let harmless = !struck || (fault == Fault::Errno(EINTR) && !persistent);
                assert_eq!(
                    bench.failures.is_empty(),
                    harmless,
                    "{case}: {:?}",
                    bench.failures
                );
                let [cut, spare] = [&disk, &bench.spare]
                    .map(|disk| disk.snapshot().after_power_cut(&[], SECTOR, false));
                let (bodies, state) = readable(&[&cut, &spare], &bench.last.file);
                assert_eq!(bodies, bench.acknowledged, "{case}, then a power cut");
                assert_eq!(state, State::Sound, "{case}, then a power cut");
                cases += 1;
                if !struck {
                    break;
                }
            }
        }
    }
    assert!(cases > 14 * 30, "{cases} cases");
}

/// A write that takes only some of the bytes is told with how many, and nothing is synced after it.
#[test]
fn a_short_write_is_told_with_how_much_of_it_was_taken() {
    // Calls: create, lock, sync_all, folder sync; then write.
    let plan = Plan {
        at: 5,
        fault: Fault::Short,
        persistent: false,
    };
    let disk = CruelDisk::failing(plan);
    let mut writer = JournalWriter::create(&disk, "a.jsonl").unwrap();
    let body = reading_body(1);
    writer.append("reading_received", &body, moment(1)).unwrap();
    let Err(WriterError::NotRecorded { unrecorded, .. }) = writer.commit() else {
        panic!("a short write is acknowledged");
    };
    let taken = disk.bytes("a.jsonl").len();
    let Cause::Short { written, of } = unrecorded.cause else {
        panic!("{:?}", unrecorded.cause);
    };
    assert_eq!(written, taken);
    assert!(written < of, "{written} of {of}");
    assert_eq!(disk.syncs_after_failure(), 0);
}

#[test]
fn a_sync_that_fails_once_ends_the_file_although_later_syncs_would_succeed() {
    // Calls: create, lock, sync_all, folder sync; then write, sync, look for each commit.
    for at in [6, 9] {
        let plan = Plan {
            at,
            fault: Fault::Errno(EIO),
            persistent: false,
        };
        let disk = CruelDisk::failing(plan);
        let mut writer = JournalWriter::create(&disk, "a.jsonl").unwrap();
        let mut acknowledged = Link::GENESIS;
        for number in 1..=5 {
            let taken = writer.append("reading_received", &reading_body(number), moment(number));
            match taken.and_then(|_| writer.commit()) {
                Ok(link) => acknowledged = link,
                Err(WriterError::NotRecorded { unrecorded, .. }) => {
                    assert!(matches!(unrecorded.cause, Cause::System(_)));
                    assert_eq!(unrecorded.acknowledged, acknowledged);
                    assert_eq!(unrecorded.last, acknowledged.seq + 1);
                }
                Err(other) => panic!("{other}"),
            }
        }
        assert_eq!(acknowledged.seq, (at - 6) / 3);
        assert_eq!(disk.syncs_after_failure(), 0);
        let left = disk
            .snapshot()
            .after_power_cut(&[], SECTOR, false)
            .bytes("a.jsonl");
        assert_eq!(verify(left.as_slice(), |_| {}).unwrap().head, acknowledged);
    }
}

/// Checks one state of the disk after a power cut, and that the session can go on from it.
fn check_power_cut(cut: &CruelDisk, acknowledged: &[String], all: &[String], case: &str) {
    const NAME: &str = "session-1.jsonl";
    let before = cut.bytes(NAME);
    let mut bodies = Vec::new();
    let report = verify(before.as_slice(), |sound| {
        bodies.push(sound.line.body.to_owned())
    })
    .unwrap();
    assert!(
        bodies.starts_with(acknowledged),
        "{case}: an acknowledged event is lost"
    );
    let mut written = all.iter();
    let in_order = bodies.iter().all(|body| written.any(|known| known == body));
    assert!(
        in_order,
        "{case}: something that was never written, or in another order"
    );
    if !cut.list().unwrap().iter().any(|name| name == NAME) {
        return;
    }
    let mut newest = NAME;
    let mut writer = match JournalWriter::open(cut, NAME, moment(70), |_| {}) {
        Ok((writer, _)) => writer,
        Err(WriterError::Closed { .. }) => return,
        Err(WriterError::Damaged { report, .. }) => {
            newest = "session-2.jsonl";
            let origin = ContinuationOf {
                file: NAME.to_owned(),
                link: report.head,
            };
            JournalWriter::continue_from(cut, newest, &origin, moment(70)).unwrap()
        }
        Err(other) => panic!("{case}: {other}"),
    };
    writer
        .append("reading_received", "{\"after\":1}", moment(71))
        .unwrap();
    writer.commit().unwrap();
    assert!(
        cut.bytes(NAME).starts_with(&before),
        "{case}: bytes were changed"
    );
    if newest != NAME {
        assert_eq!(
            cut.bytes(NAME),
            before,
            "{case}: a damaged file was written to"
        );
    }
    bodies.push("{\"after\":1}".to_owned());
    let (found, state) = readable(&[cut], newest);
    assert_eq!(found, bodies, "{case}: after going on");
    let expected = if newest == NAME {
        State::NotClosed
    } else {
        State::Damaged
    };
    assert_eq!(
        state, expected,
        "{case}: after going on, {:?}",
        report.findings
    );
}

#[test]
fn a_power_cut_that_keeps_any_of_the_unsynced_sectors_loses_nothing_acknowledged() {
    let most = 10;
    let disk = CruelDisk::default();
    let mut bench = Bench::new(disk.clone());
    let mut writer = bench.next_file();
    let mut number = 0;
    let mut all = Vec::new();
    for group in [1_u64, 2, 1, 16, 3, 1] {
        let bodies: Vec<_> = (0..group).map(|next| reading_body(number + next)).collect();
        number += group;
        all.extend_from_slice(&bodies);
        writer = bench.record(writer, "reading_received", &bodies);
    }
    let end = "{\"end\":1}".to_owned();
    all.push(end.clone());
    bench.record(writer, SESSION_CLOSED, &[end]);
    let mut random = Seeded(7);
    let mut widest = 0;
    for snapshot in disk.snapshots() {
        let dirty = snapshot.unsynced();
        widest = widest.max(dirty.len());
        for mask in 0..1_usize << dirty.len() {
            let kept: Vec<_> = (0..dirty.len())
                .filter(|bit| mask >> bit & 1 == 1)
                .map(|bit| dirty[bit].clone())
                .collect();
            let torn_at = 1 + random.below(SECTOR - 1);
            // Half of the subsets also in a crueller form: torn inside a sector, or grown by zeros.
            let crueller = [(torn_at, false), (SECTOR, true)][random.below(2)];
            let forms = [(SECTOR, false), crueller];
            for (torn_at, grown) in forms.into_iter().take(1 + random.below(2)) {
                let cut = snapshot.after_power_cut(&kept, torn_at, grown);
                let acknowledged = &all[..snapshot.acknowledged];
                let case = format!("{kept:?}, the last torn at {torn_at}, grown: {grown}");
                check_power_cut(&cut, acknowledged, &all, &case);
            }
        }
    }
    assert!(widest >= most, "only {widest} sectors were ever unsynced");
}
