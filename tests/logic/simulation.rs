//! Whole sessions by seed: random readings, requests and decisions, on a disk that fails, tears,
//! forgets and rots, with a clock that steps, a program that is killed and taken up again. The
//! model is a plain list: what was acknowledged. At every reopening, what the reader returns and
//! what it reports lost are together that list.
//!
//! `FITLEDGER_SEEDS=1000000` runs so many, from `FITLEDGER_FIRST_SEED` on; a failure prints its seed,
//! and `FITLEDGER_SEED=n` runs that one alone.

#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests too

use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};

use fitledger::journal::{
    CONTINUATION_OPENED, Disposition, DispositionKind, Event, FindingKind, Job, Manner, Meaning,
    Moment, Part, Report, Sequence, SignedOff, State as RecordState, StorageFolder, event_of,
    session_state, verify, verify_parts,
};
use fitledger::session::{
    Check, Command, Incoming, OpeningError, Recorder, open_session, replay, resume_session,
    session_parts,
};

use crate::session_random::{random_incoming, random_plan};
use crate::support::bench::{moment_at, picture};
use crate::support::cruel_disk::{CruelDisk, Fault, SECTOR, Tracing};
use crate::support::damage::on_two_threads;
use crate::support::journals::{Seeded, line_starts};

const SEEDS: usize = 10_000;

/// Seeds that failed once, beyond those that always run. 592862: a stretch of a file is copied to
/// another place, so that a line after the last that counts stands before it, and lines between
/// are gone. 782051: the first line of a continuation is hit, and so what it left out of the file
/// before it is there again.
const KEPT: [u64; 2] = [592_862, 782_051];
const STEPS: usize = 9;
const FIRST: &str = "session-1.jsonl";

/// The wall clock against the steady one: right, a second or an hour back, 1970, 2040.
const SHIFTS_S: [i64; 5] = [0, -1, -3_600, -1_795_000_000, 425_000_000];

/// A session, and what is known of it.
struct World {
    disk: CruelDisk,
    random: Seeded,
    recorder: Option<Recorder<CruelDisk>>,
    name: String,
    files: u32,
    now_ms: u64,
    shift_s: i64,
    sent: u64,
    /// Line and event of everything that was acknowledged, and not lost since.
    acknowledged: Vec<(Sequence, Event)>,
    /// Raw bytes of the readings that came and were not acknowledged yet, in order.
    in_flight: Vec<Vec<u8>>,
    /// What was on its way once, and was not in the record when somebody looked.
    left_out: Vec<Vec<u8>>,
    /// Lines that were damaged on the disk.
    harmed: Vec<Sequence>,
    /// Lines that were never acknowledged, whose sync failed, and that the next program found all
    /// the same: it cannot know that they are in memory only, and the power may take them.
    shaky: Vec<Sequence>,
    /// The newest damaged line that named an older file: that one is a record of its own now.
    unlinked: Sequence,
    counts: Counts,
}

/// The events of a record with their lines, the reports, the files.
type Found = (Vec<(Sequence, Event)>, Vec<Report>, Vec<Part>);

/// What happened, over all seeds.
#[derive(Debug, Default, Clone, Copy)]
struct Counts {
    readings: usize,
    decisions: usize,
    failures: usize,
    restarts: usize,
    harms: usize,
    lost: usize,
    extras: usize,
    unresumable: usize,
}

impl World {
    fn new(seed: u64) -> Self {
        let mut random = Seeded(seed);
        let opened = random_plan(&mut random);
        let disk = CruelDisk::tracing(Tracing::Nothing);
        let recorder = open_session(&disk, |_| FIRST.to_owned(), opened, moment_at(0));
        Self {
            recorder: recorder.ok(),
            disk,
            random,
            name: FIRST.to_owned(),
            files: 1,
            now_ms: 0,
            shift_s: 0,
            sent: 0,
            acknowledged: Vec::new(),
            in_flight: Vec::new(),
            left_out: Vec::new(),
            harmed: Vec::new(),
            shaky: Vec::new(),
            unlinked: 0,
            counts: Counts::default(),
        }
    }

    fn moment(&mut self) -> Moment {
        self.now_ms += 1_000;
        let steady = moment_at(self.now_ms);
        let shift = jiff::SignedDuration::from_secs(self.shift_s);
        Moment {
            time: steady.time + shift,
            ..steady
        }
    }

    fn next_name(&mut self) -> String {
        self.files += 1;
        format!("session-{}.jsonl", self.files)
    }

    fn note(&mut self, recorded: Vec<fitledger::session::Recorded>) {
        for one in recorded {
            if let Event::ReadingReceived(reading) = &one.event {
                let first = self.in_flight.first();
                assert_eq!(first, Some(&reading.raw), "told out of order");
                self.in_flight.remove(0);
                self.counts.readings += 1;
            }
            self.counts.decisions += usize::from(is_decision(&one.event));
            if !is_bookkeeping(&one.event) {
                self.acknowledged.push((one.sequence, one.event));
            }
        }
    }

    /// A batch comes in.
    fn take(&mut self) {
        let known: Vec<Sequence> = self.acknowledged.iter().map(|(line, _)| *line).collect();
        let mut batch = Vec::new();
        for _ in 0..=self.random.below(2) {
            let mut incoming = match self.random.below(3) {
                0 => Incoming::Command(random_decision(&mut self.random, &known)),
                _ => random_incoming(&mut self.random, &known),
            };
            if let Incoming::Reading(reading) = &mut incoming {
                self.sent += 1;
                reading.raw = format!("{}#{}", reading.raw.len(), self.sent).into_bytes();
                self.in_flight.push(reading.raw.clone());
            }
            batch.push((self.moment(), incoming));
        }
        let taken = self.recorder.as_mut().unwrap().take(batch);
        assert_eq!(
            taken.undecided,
            Vec::<Sequence>::new(),
            "judging failed inside"
        );
        self.counts.failures += usize::from(taken.failure.is_some());
        self.note(taken.recorded);
    }

    /// After a failure the session goes on in a new file, as soon as the disk gives one.
    fn go_on(&mut self) {
        if !self.recorder.as_ref().unwrap().has_failed() {
            return;
        }
        if self.random.below(4) > 0 {
            self.disk.heal();
        }
        let (name, moment) = (self.next_name(), self.moment());
        let disk = self.disk.clone();
        let recorder = self.recorder.as_mut().unwrap();
        if let Ok(taken) = recorder.continue_in(&disk, &name, moment) {
            self.name = name;
            self.note(taken.recorded);
        }
    }

    fn plan_fault(&mut self) {
        let faults = [28, 5, 122, 30, 4].map(Fault::Errno);
        let fault = match self.random.below(7) {
            5 => Fault::Short,
            6 => Fault::HalfThenError,
            number => faults[number],
        };
        let after = self.random.next() % 8;
        let persistent = self.random.below(2) == 0;
        self.disk.fail_after(after, fault, persistent);
    }

    /// The program is killed, or the power goes with it.
    fn stop(&mut self) {
        self.recorder = None;
        self.counts.restarts += 1;
        self.disk.heal();
        if self.random.below(2) == 0 {
            return;
        }
        let snapshot = self.disk.snapshot();
        let mut some = |_: &String| self.random.below(2) == 0;
        let entries = snapshot.unsynced_entries();
        let entries: Vec<String> = entries.into_iter().filter(&mut some).collect();
        let sectors = snapshot.unsynced();
        let kept: Vec<_> = sectors.into_iter().filter(|(name, _)| some(name)).collect();
        let (torn_at, grown) = match self.random.below(3) {
            0 => (SECTOR, false),
            1 => (1 + self.random.below(SECTOR - 1), false),
            _ => (SECTOR, true),
        };
        self.disk = snapshot.with_entries(&entries, &kept, torn_at, grown);
    }

    /// What lies on the disk is changed behind the program's back.
    fn rot(&mut self) {
        let names = self.disk.list().unwrap();
        let name = names[self.random.below(names.len())].clone();
        let before = self.disk.bytes(&name);
        if before.is_empty() {
            return;
        }
        let starts = line_starts(&before);
        let at = self.random.below(before.len());
        let size = [1, 1, 512, 4096][self.random.below(4)];
        let (from, to) = (
            at / size * size,
            (at / size * size + size).min(before.len()),
        );
        let mut bytes = before.clone();
        match (size, self.random.below(3)) {
            (1, _) => bytes[at] ^= 1 << self.random.below(8),
            (_, 0) => bytes[from..to].fill(0),
            (_, 1) => bytes[from..to].fill(0xff),
            _ => {
                let other = self.random.below(before.len() - (to - from) + 1);
                bytes[from..to].copy_from_slice(&before[other..other + (to - from)]);
            }
        }
        if bytes == before {
            return;
        }
        self.counts.harms += 1;
        for pair in starts.windows(2) {
            // A line behind a hit line end may have lost its beginning.
            let hit = pair[0] < to && pair[1] > from;
            let glued = pair[0] > from && pair[0] <= to && bytes[pair[0] - 1] != b'\n';
            let text = &before[pair[0]..pair[1] - 1];
            if let (true, Ok(line)) = (hit || glued, fitledger::journal::Line::parse(text)) {
                self.harmed.push(line.seq);
                if line.kind == CONTINUATION_OPENED {
                    self.unlinked = self.unlinked.max(line.seq);
                }
            }
        }
        self.disk.put_file(&name, &bytes);
    }

    /// The record as a reader has it: each event with its line, and the reports.
    fn read(&self) -> Option<Found> {
        let parts = match session_parts(&self.disk, &self.name) {
            Ok(parts) => parts,
            Err(OpeningError::ContinuedIn { newest, .. }) => {
                session_parts(&self.disk, &newest).unwrap()
            }
            Err(_) => return None,
        };
        let images = self.images();
        let mut events = Vec::new();
        let open = |part: &Part| self.disk.open_read(&part.name);
        let reports = verify_parts(&parts, open, |_, sound| {
            if let Ok(event) = event_of(sound.line.kind, sound.line.body)
                && !events.iter().any(|(line, _)| *line == sound.line.seq)
            {
                events.push((sound.line.seq, event));
            }
        })
        .unwrap();
        assert_eq!(self.images(), images, "I4: reading changed a file");
        events.retain(|(_, event)| !is_bookkeeping(event));
        events.sort_by_key(|(line, _)| *line);
        Some((events, reports, parts))
    }

    fn images(&self) -> Vec<(String, Vec<u8>)> {
        let names = self.disk.list().unwrap().into_iter();
        names
            .map(|name| (name.clone(), self.disk.bytes(&name)))
            .collect()
    }

    /// Model against reader: what was acknowledged is read, or reported lost and known to be hit;
    /// anything beyond it was on its way.
    fn compare(&mut self) {
        let Some((events, reports, _)) = self.read() else {
            let all_hit = |(line, _): &(Sequence, Event)| self.harmed.contains(line);
            assert!(self.harmed.contains(&1) || self.acknowledged.iter().all(all_hit));
            return;
        };
        let is_read = |line: Sequence| events.binary_search_by_key(&line, |one| one.0).is_ok();
        let lost: Vec<Sequence> = self
            .acknowledged
            .iter()
            .map(|(line, _)| *line)
            .filter(|line| !is_read(*line))
            .collect();
        for line in &lost {
            let is_hit = self.harmed.contains(line)
                || self.shaky.contains(line)
                || (*line < self.unlinked && self.is_in_some_file(*line));
            assert!(
                is_hit,
                "I1/I3: line {line} is not read: {:?}, {reports:?}",
                self.harmed
            );
            assert!(is_reported(&reports, *line), "I2: line {line}: {reports:?}");
        }
        self.counts.lost += lost.len();
        self.acknowledged.retain(|(line, _)| !lost.contains(line));
        let last = self.acknowledged.last().map_or(0, |(line, _)| *line);
        let (known, extra): (Vec<_>, Vec<_>) = events
            .into_iter()
            .partition(|(line, _)| *line <= last.max(self.newest_lost(&lost)));
        assert_eq!(known, self.acknowledged, "I1: not what was acknowledged");
        let mut on_its_way = self.in_flight.iter();
        for (line, event) in &extra {
            if let Event::ReadingReceived(reading) = event {
                let is_known = on_its_way.any(|raw| *raw == reading.raw);
                // What a continuation left out is there again when that continuation is hit.
                let is_back = self.left_out.contains(&reading.raw)
                    && self.harmed.iter().any(|hit| hit <= line);
                assert!(
                    is_known || is_back,
                    "line {line}: a reading that never came"
                );
            }
        }
        self.counts.extras += extra.len();
        if self.disk.has_failed_sync() {
            self.shaky.extend(extra.iter().map(|(line, _)| *line));
        }
        // Whoever opens the record now is told of these too.
        self.acknowledged.extend(extra);
        self.left_out.append(&mut self.in_flight);
    }

    fn is_in_some_file(&self, line: Sequence) -> bool {
        let mut images = self.images().into_iter();
        images.any(|(_, bytes)| {
            let mut is_here = false;
            verify(bytes.as_slice(), |sound| is_here |= sound.line.seq == line).unwrap();
            is_here
        })
    }

    fn newest_lost(&self, lost: &[Sequence]) -> Sequence {
        lost.iter().copied().max().unwrap_or(0)
    }

    /// Another program takes the session up. False where that cannot be.
    fn take_up(&mut self) -> bool {
        self.compare();
        for _ in 0..3 {
            let base = self.files + 1;
            let continued =
                move |_: &str, attempt: u32| format!("session-{}.jsonl", base + attempt);
            let moment = self.moment();
            let disk = self.disk.clone();
            let made = resume_session(&disk, &self.name, continued, "test 2", |last_ms, _| {
                Moment {
                    mono_ms: last_ms.max(moment.mono_ms),
                    ..moment
                }
            });
            match made {
                Ok(resumed) => {
                    self.name = resumed.recorder.journal().to_owned();
                    self.files += 2;
                    self.recorder = Some(resumed.recorder);
                    let taken = self.recorder.as_mut().unwrap().take(Vec::new());
                    self.note(taken.recorded);
                    return true;
                }
                Err(OpeningError::ContinuedIn { newest, .. }) => self.name = newest,
                Err(OpeningError::NothingToResume { .. } | OpeningError::Read { .. }) => {
                    assert!(!self.harmed.is_empty(), "an opened session was not found");
                    self.counts.unresumable += 1;
                    return false;
                }
                Err(error) if error.code() == "journal_closed" => return false,
                Err(error) => panic!("{error}"),
            }
        }
        panic!("the newest file of the session is not found");
    }

    /// The session is closed, read once more, and gives the state at hand.
    fn end(&mut self) {
        self.disk.heal();
        for _ in 0..8 {
            self.go_on();
        }
        let moment = self.moment();
        let reason = "done".to_owned();
        let close = Incoming::Command(Command::Close { reason });
        let mut recorder = self.recorder.take().unwrap();
        let taken = recorder.take(vec![(moment, close)]);
        assert_eq!(taken.failure, None);
        self.note(taken.recorded);
        self.compare();
        let (_, reports, parts) = self.read().unwrap();
        let open = |part: &Part| self.disk.open_read(&part.name);
        let (_, replayed) = replay(&parts, open, Check::Verdicts).unwrap();
        let is_damaged = reports
            .iter()
            .any(|report| report.state == RecordState::Damaged);
        if !is_damaged {
            assert_eq!(replayed.faults, Vec::new());
            assert_eq!(session_state(&reports), RecordState::Sound);
        }
        let again = replayed.state.unwrap();
        assert_eq!(picture(&again), picture(recorder.state()), "the state");
        self.compare_copies(&parts);
    }

    /// The record copied through programs that convert line ends or put a mark before them.
    fn compare_copies(&mut self, parts: &[Part]) {
        let code = ["line_ends_converted", "byte_order_mark"][self.random.below(2)];
        let whole: Vec<(String, Vec<u8>)> = self.images();
        let copies = whole.into_iter().map(|(name, bytes)| {
            let bytes = match code {
                "byte_order_mark" => [b"\xEF\xBB\xBF", bytes.as_slice()].concat(),
                _ => bytes
                    .split(|byte| *byte == b'\n')
                    .collect::<Vec<_>>()
                    .join(&b"\r\n"[..]),
            };
            (name, bytes)
        });
        let disk = CruelDisk::tracing(Tracing::Nothing);
        copies.for_each(|(name, bytes)| disk.put_file(&name, &bytes));
        let mut readings = 0;
        let open = |part: &Part| disk.open_read(&part.name);
        let reports = verify_parts(parts, open, |_, sound| {
            readings += usize::from(sound.line.kind == "reading_received" && sound.fault.is_none());
        })
        .unwrap();
        let told = reports.iter().flat_map(|report| &report.findings);
        assert!(told.into_iter().any(|one| one.code() == code), "{code}");
        if self.counts.harms == 0 && self.counts.extras == 0 {
            assert_eq!(readings, self.counts.readings, "{code}");
        }
    }
}

fn is_decision(event: &Event) -> bool {
    matches!(
        event,
        Event::JobNoted(_)
            | Event::PartNamed { .. }
            | Event::PartAssembled(_)
            | Event::PartTakenUp { .. }
            | Event::DispositionGiven(_)
            | Event::SignedOff(_)
    )
}

/// What the recorder and the writer put in by themselves when files are opened.
fn is_bookkeeping(event: &Event) -> bool {
    matches!(
        event,
        Event::SessionOpened(_)
            | Event::SessionResumed { .. }
            | Event::ContinuationOpened { .. }
            | Event::TailDamaged { .. }
            | Event::ClockStepped { .. }
    )
}

/// Whether the reports say that a line is lost.
fn is_reported(reports: &[Report], line: Sequence) -> bool {
    let gaps = reports.iter().flat_map(|report| &report.findings);
    let mut gaps = gaps.filter_map(|one| match one.kind {
        FindingKind::Missing { first, last }
        | FindingKind::Damage {
            missing: Some((first, last)),
            ..
        }
        | FindingKind::LinkAbsent {
            missing: Some((first, last)),
            ..
        } => Some((first, last)),
        _ => None,
    });
    // Behind the last line that can be read, damage is told without a number.
    let is_behind = |report: &Report| report.head.seq < line && !report.findings.is_empty();
    gaps.any(|(first, last)| (first..=last).contains(&line)) || reports.iter().any(is_behind)
}

fn random_decision(random: &mut Seeded, known: &[Sequence]) -> Command {
    let part = u32::try_from(random.below(3)).unwrap();
    let text = |random: &mut Seeded, text: &str| match random.below(3) {
        0 => String::new(),
        _ => text.to_owned(),
    };
    match random.below(6) {
        0 => Command::NamePart {
            part: (part > 0).then_some(part),
            serial: format!("GP-{}", random.below(5)),
        },
        1 => Command::NoteJob(Job {
            order: text(random, "4711"),
            customer: text(random, "garden \"Süd\""),
            material_lot: text(random, "lot 9"),
            machine: text(random, "lathe 2"),
        }),
        2 => Command::TakeUpPart { part },
        3 => Command::SignOff(Box::new(SignedOff {
            part,
            meaning: Meaning::WORDS[random.below(3)].0,
            manner: Manner::WORDS[random.below(4)].0,
            by: text(random, "Grace"),
            reason: text(random, "urgent"),
            covers: SignedOff::JUST_BEFORE,
            hash: String::new(),
            left: Vec::new(),
        })),
        _ => Command::Dispose(Box::new(Disposition {
            part,
            kind: DispositionKind::WORDS[random.below(5)].0,
            feature: text(random, "F0"),
            element: String::new(),
            reason: text(random, "scratch"),
            by: text(random, "Grace"),
            agreed_with: text(random, "customer"),
            of: match known {
                [] => 0,
                known => known[random.below(known.len())],
            },
        })),
    }
}

fn simulate(seed: u64) -> Counts {
    let mut world = World::new(seed);
    for step in 0..STEPS {
        let what = world.random.below(20);
        if std::env::var_os("FITLEDGER_SEED").is_some() {
            let (read, name) = (world.acknowledged.len(), &world.name);
            eprintln!(
                "step {step}: {what}; {read} acknowledged, {name}, {:?}",
                world.counts
            );
        }
        match what {
            0..=12 => world.take(),
            13 | 14 => world.plan_fault(),
            15 => world.shift_s = SHIFTS_S[world.random.below(5)],
            16 | 17 => {
                world.stop();
                if !world.take_up() {
                    return world.counts;
                }
            }
            _ => {
                if world.random.below(3) > 0 {
                    continue;
                }
                world.stop();
                world.compare();
                world.rot();
                if !world.take_up() {
                    return world.counts;
                }
            }
        }
        world.go_on();
    }
    world.end();
    world.counts
}

/// Runs a seed; a failure says which.
fn run(seed: u64) -> Counts {
    catch_unwind(AssertUnwindSafe(|| simulate(seed))).unwrap_or_else(|failure| {
        eprintln!("seed {seed} failed: FITLEDGER_SEED={seed} cargo test --test logic simulation");
        resume_unwind(failure)
    })
}

#[test]
fn whatever_fails_stops_or_rots_the_reader_returns_or_reports_all_that_was_acknowledged() {
    let number = |name: &str| std::env::var(name).ok().map(|text| text.parse().unwrap());
    if let Some(seed) = number("FITLEDGER_SEED") {
        println!("{:?}", run(seed));
        return;
    }
    let first = number("FITLEDGER_FIRST_SEED").unwrap_or(0);
    let seeds = number("FITLEDGER_SEEDS").map_or(SEEDS, |seeds| usize::try_from(seeds).unwrap());
    for seed in KEPT {
        run(seed);
    }
    let total = std::sync::Mutex::new(Counts::default());
    on_two_threads(seeds, 1, |seed| {
        let one = run(first + seed as u64);
        let mut total = total.lock().unwrap();
        total.readings += one.readings;
        total.decisions += one.decisions;
        total.failures += one.failures;
        total.restarts += one.restarts;
        total.harms += one.harms;
        total.lost += one.lost;
        total.extras += one.extras;
        total.unresumable += one.unresumable;
    });
    let total = total.into_inner().unwrap();
    println!("{seeds} seeds: {total:?}");
    // Otherwise nothing of what this is about took place.
    assert!(
        total.failures * 10 > seeds && total.restarts * 2 > seeds,
        "{total:?}"
    );
    assert!(
        total.harms * 20 > seeds && total.lost * 20 > seeds,
        "{total:?}"
    );
    assert!(
        total.decisions > seeds && total.readings > seeds,
        "{total:?}"
    );
}
