//! From the last byte on the line to the verdict on the disk, over a pseudo-terminal: the
//! program's own share, which is everything but the two syncs.
//!
//! The anchor is the bare way of the same bytes: written to a pseudo-terminal, read and counted by
//! another thread, which tells by a channel. Both are timed in turns (A B A B ...). The goal is a
//! p99 of the program's own share of at most 1 ms.
//!
//! `cargo bench --bench serial_to_verdict [-- --turns N]`; `serial_to_verdict read PORT N` only reads
//! and decodes N readings of a port and tells the time from the first to the last, for
//! `benches/anchors.py`.

use std::error::Error;
use std::io::{self, BufReader, Read, Write};
use std::process::ExitCode;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

use fitledger::gauge::{GaugeId, Origin};
use fitledger::journal::{
    DiskFile, DiskFolder, Event, FileStatus, GaugeSource, Lock, SessionOpened, Storage,
    StorageFolder,
};
use fitledger::session::{
    Arrival, Clock, GaugePort, Inbox, Incoming, Intake, Recorder, open_session,
};
use fitledger::wire::{PortAddress, built_in};
use serialport::{SerialPort, TTYPort};

const FRAME: &[u8] = b"+20.0080 mm\r\n";

/// The disk, with the time spent in syncs counted.
struct TimedFolder {
    disk: DiskFolder,
    syncs_ns: Arc<AtomicU64>,
}

struct TimedFile {
    file: DiskFile,
    syncs_ns: Arc<AtomicU64>,
}

impl Storage for TimedFile {
    fn append(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.file.append(bytes)
    }

    fn sync_data(&mut self) -> io::Result<()> {
        let start = Instant::now();
        let answer = self.file.sync_data();
        let took = u64::try_from(start.elapsed().as_nanos()).unwrap_or(u64::MAX);
        self.syncs_ns.fetch_add(took, Ordering::Relaxed);
        answer
    }

    fn sync_all(&mut self) -> io::Result<()> {
        self.file.sync_all()
    }

    fn try_lock(&mut self) -> io::Result<Lock> {
        self.file.try_lock()
    }

    fn status(&mut self) -> io::Result<FileStatus> {
        self.file.status()
    }
}

impl TimedFolder {
    fn timed(&self, file: DiskFile) -> TimedFile {
        TimedFile {
            file,
            syncs_ns: Arc::clone(&self.syncs_ns),
        }
    }
}

impl StorageFolder for TimedFolder {
    type File = TimedFile;
    type Source = BufReader<std::fs::File>;

    fn create_new(&self, name: &str) -> io::Result<TimedFile> {
        Ok(self.timed(self.disk.create_new(name)?))
    }

    fn open_append(&self, name: &str) -> io::Result<TimedFile> {
        Ok(self.timed(self.disk.open_append(name)?))
    }

    fn open_read(&self, name: &str) -> io::Result<Self::Source> {
        self.disk.open_read(name)
    }

    fn list(&self) -> io::Result<Vec<String>> {
        self.disk.list()
    }

    fn sync(&self) -> io::Result<()> {
        self.disk.sync()
    }
}

/// The bare way: a thread that reads whole frames and tells.
fn bare_reader(mut port: TTYPort) -> Receiver<Instant> {
    let (sender, receiver) = channel();
    std::thread::spawn(move || {
        let mut buffer = [0; 4096];
        let mut count = 0;
        while let Ok(read) = port.read(&mut buffer) {
            count += read;
            while count >= FRAME.len() {
                count -= FRAME.len();
                if sender.send(Instant::now()).is_err() {
                    return;
                }
            }
        }
    });
    receiver
}

struct Bench {
    master: TTYPort,
    inbox: Inbox,
    recorder: Recorder<TimedFolder>,
    syncs_ns: Arc<AtomicU64>,
}

impl Bench {
    fn open(folder: &std::path::Path) -> Result<Self, Box<dyn Error>> {
        let (master, near) = TTYPort::pair()?;
        let path = near.name().ok_or("a pseudo-terminal without a name")?;
        drop(near);
        let syncs_ns = Arc::new(AtomicU64::new(0));
        let disk = DiskFolder::new(folder);
        let folder = TimedFolder {
            disk,
            syncs_ns: Arc::clone(&syncs_ns),
        };
        let opened = SessionOpened {
            plan_name: "bench".to_owned(),
            callouts: vec!["20 k6".to_owned()],
            gauges: "[[gauge]]\nid = \"mic-25\"\nkind = \"outside_micrometer\"\nmpe = 0.004\n"
                .into(),
            sources: vec![GaugeSource {
                gauge: "mic-25".to_owned(),
                source: format!("serial:{path}"),
                adapter: "line-free".to_owned(),
                repeat_ms: 0,
            }],
            advance_always: true,
            ..SessionOpened::default()
        };
        let inbox = Inbox::new(Clock::starting_at(0))?;
        let name = |_| "bench.jsonl".to_owned();
        let recorder = open_session(&folder, name, opened, inbox.clock().now())?;
        let adapter = built_in("line-free")?;
        let line = adapter.line().ok_or("no line")?;
        let intake = Intake::new(GaugeId::new("mic-25"), Origin::Sent);
        let port = GaugePort::open("mic-25", PortAddress::new(&path), line, adapter, intake)?;
        inbox.spawn_reader(move |mailer| port.read(mailer));
        Ok(Self {
            master,
            inbox,
            recorder,
            syncs_ns,
        })
    }

    /// One reading: whole time and the part spent in syncs.
    fn reading(&mut self) -> Result<(Duration, Duration), Box<dyn Error>> {
        self.syncs_ns.store(0, Ordering::Relaxed);
        let start = Instant::now();
        self.master.write_all(FRAME)?;
        loop {
            let batch = self.inbox.next_batch(Duration::from_secs(5));
            if batch.is_empty() {
                return Err("no reading came".into());
            }
            let incoming: Vec<_> = batch
                .into_iter()
                .filter_map(|arrival| match arrival {
                    Arrival::Incoming(moment, incoming) => Some((moment, incoming)),
                    _ => None,
                })
                .collect();
            let is_reading = |(_, one): &(_, Incoming)| matches!(one, Incoming::Reading(_));
            let has_reading = incoming.iter().any(is_reading);
            let taken = self.recorder.take(incoming);
            if has_reading {
                let whole = start.elapsed();
                let judged = |event: &Event| matches!(event, Event::VerdictGiven(_));
                if !taken
                    .recorded
                    .iter()
                    .any(|recorded| judged(&recorded.event))
                {
                    return Err("a reading without a verdict".into());
                }
                let syncs = Duration::from_nanos(self.syncs_ns.load(Ordering::Relaxed));
                return Ok((whole, syncs));
            }
        }
    }
}

/// Reads so many readings and tells how long it took from the first to the last.
fn read_only(path: &str, wanted: usize) -> Result<(), Box<dyn Error>> {
    let mut inbox = Inbox::new(Clock::starting_at(0))?;
    let adapter = built_in("line-free")?;
    let line = adapter.line().ok_or("no line")?;
    let intake = Intake::new(GaugeId::new("mic-25"), Origin::Sent);
    let port = GaugePort::open("mic-25", PortAddress::new(path), line, adapter, intake)?;
    inbox.spawn_reader(move |mailer| port.read(mailer));
    println!("open");
    let (mut seen, mut first) = (0, None);
    while seen < wanted {
        let batch = inbox.next_batch(Duration::from_secs(5));
        if batch.is_empty() {
            return Err(format!("only {seen} of {wanted} readings came").into());
        }
        let is_reading = |one: &&Arrival| matches!(one, Arrival::Incoming(_, Incoming::Reading(_)));
        let came = batch.iter().filter(is_reading).count();
        if came > 0 {
            first.get_or_insert_with(|| (Instant::now(), came));
        }
        seen += came;
    }
    let (start, before) = first.ok_or("no reading came")?;
    let ns = start.elapsed().as_nanos();
    println!("{{\"ns\": {ns}, \"readings\": {}}}", seen - before);
    inbox.shut_down();
    Ok(())
}

fn sorted_us(mut values: Vec<f64>) -> Vec<f64> {
    values.sort_by(f64::total_cmp);
    values
}

fn tell(name: &str, values: Vec<f64>) -> (f64, f64) {
    let values = sorted_us(values);
    let at = |share: usize| values[(values.len() - 1) * share / 1000];
    let (median, p99, most) = (at(500), at(990), at(1000));
    println!("{name:<28} median {median:8.1}  p99 {p99:8.1}  max {most:8.1}  µs");
    (median, p99)
}

fn run() -> Result<(), Box<dyn Error>> {
    let mut turns = 2_000;
    let mut arguments = std::env::args().skip(1);
    while let Some(argument) = arguments.next() {
        match argument.as_str() {
            "--turns" => turns = arguments.next().ok_or("--turns needs a number")?.parse()?,
            "--bench" => {}
            other => return Err(format!("unknown argument {other}").into()),
        }
    }
    let place = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR"))?;
    let mut bench = Bench::open(place.path())?;
    let (mut bare_master, mut bare_near) = TTYPort::pair()?;
    bare_near.set_timeout(Duration::from_secs(60))?;
    let bare = bare_reader(bare_near);
    let (mut own, mut whole, mut syncs_us) = (vec![], vec![], vec![]);
    let (mut bare_us, mut ratios) = (vec![], vec![]);
    for turn in 0..turns + 20 {
        let start = Instant::now();
        bare_master.write_all(FRAME)?;
        bare.recv_timeout(Duration::from_secs(5))?;
        let anchor = start.elapsed().as_secs_f64() * 1e6;
        let (all, syncs) = bench.reading()?;
        if turn < 20 {
            continue; // warming up
        }
        let share = all.saturating_sub(syncs).as_secs_f64() * 1e6;
        own.push(share);
        whole.push(all.as_secs_f64() * 1e6);
        syncs_us.push(syncs.as_secs_f64() * 1e6);
        bare_us.push(anchor);
        ratios.push(share / anchor);
    }
    println!("{turns} readings each");
    tell("bare pseudo-terminal", bare_us);
    let (_, p99) = tell("own share, syncs excluded", own);
    let (_, saved) = tell("to the disk, syncs included", whole);
    let (_, synced) = tell("those two syncs alone", syncs_us);
    println!("saved / its syncs alone, p99: {:.3}", saved / synced);
    let ratios = sorted_us(ratios);
    println!(
        "paired ratio own share / bare: median {:.2}",
        ratios[ratios.len() / 2]
    );
    let met = if p99 <= 1000.0 { "met" } else { "not met" };
    println!("goal: p99 of the own share at most 1000 µs: {met}");
    bench.inbox.shut_down();
    Ok(())
}

fn main() -> ExitCode {
    let given: Vec<String> = std::env::args().skip(1).collect();
    let done = match given.as_slice() {
        [word, port, count] if word == "read" => match count.parse() {
            Ok(count) => read_only(port, count),
            Err(error) => Err(error.into()),
        },
        _ => run(),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("serial_to_verdict: {error}");
            ExitCode::from(2)
        }
    }
}
