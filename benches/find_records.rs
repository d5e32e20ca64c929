//! What it costs to open a workspace of many records and to find sessions in it.
//!
//! The records are true ones: each is a session of fifty readings through the recorder, which
//! judges them, in a folder whose files are written and not brought to the disk one by one (a
//! recorder at a bench waits for the disk after each reading; a hundred thousand such waits would
//! take an hour and change no byte). The anchors, in the same run and in turns with the rest:
//! listing the folder with the status of every file (`list`), the same and every line of the index
//! parsed as JSON of any form (`least`), and every journal read and checked by `verify` alone.
//!
//! Goals at 10,000 sessions: `open` 2 s, `find` 50 ms.
//!
//! `cargo bench --bench find_records [-- --sessions N] [--turns N] [--folder DIR] [--drop-caches]`
//! (`--drop-caches` asks the kernel to forget what it read before each opening: root only.)

use std::error::Error;
use std::fs::{self, File, OpenOptions};
use std::hint::black_box;
use std::io::{self, BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::Instant;

use fitledger::gauge::{GaugeId, GaugeStatus, Observed, Origin, Reading, Shown};
use fitledger::journal::{
    DiskFolder, FileStatus, GaugeSource, Job, Lock, Moment, SessionOpened, Storage, StorageFolder,
    verify,
};
use fitledger::quantity::{Length, LengthUnit};
use fitledger::session::{Catalogue, Command, Incoming, Question, Workspace, open_session};

const READINGS: i64 = 50;

/// A folder that writes plain files and waits for no disk.
#[derive(Clone)]
struct Quick(PathBuf);

struct QuickFile {
    file: File,
    length: u64,
}

impl Storage for QuickFile {
    fn append(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let taken = self.file.write(bytes)?;
        self.length += taken as u64;
        Ok(taken)
    }

    fn sync_data(&mut self) -> io::Result<()> {
        Ok(())
    }

    fn sync_all(&mut self) -> io::Result<()> {
        Ok(())
    }

    fn try_lock(&mut self) -> io::Result<Lock> {
        Ok(Lock::Ours)
    }

    fn status(&mut self) -> io::Result<FileStatus> {
        Ok(FileStatus {
            length: self.length,
            in_place: true,
        })
    }
}

impl StorageFolder for Quick {
    type File = QuickFile;
    type Source = BufReader<File>;

    fn create_new(&self, name: &str) -> io::Result<QuickFile> {
        let mut options = OpenOptions::new();
        let file = options
            .append(true)
            .create_new(true)
            .open(self.0.join(name))?;
        Ok(QuickFile { file, length: 0 })
    }

    fn open_append(&self, name: &str) -> io::Result<QuickFile> {
        let file = OpenOptions::new().append(true).open(self.0.join(name))?;
        let length = file.metadata()?.len();
        Ok(QuickFile { file, length })
    }

    fn open_read(&self, name: &str) -> io::Result<BufReader<File>> {
        Ok(BufReader::new(File::open(self.0.join(name))?))
    }

    fn list(&self) -> io::Result<Vec<String>> {
        DiskFolder::new(&self.0).list()
    }

    fn sync(&self) -> io::Result<()> {
        Ok(())
    }
}

const GAUGES: &str = "[[gauge]]\nid = \"mic-25\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\n\
    resolution = 0.001\nmpe = 0.002\nrepeatability = 0.0005\n";

fn opening(number: usize) -> SessionOpened {
    let part = ["Pump shaft", "Bush", "Housing", "Impeller", "Cover"][number % 5];
    let feature = |(id, callout): (&str, &str)| {
        format!("[[feature]]\nid = \"{id}\"\ncallout = \"{callout}\"\n")
    };
    let features = [
        ("A", "20 k6"),
        ("B", "20 k6"),
        ("C", "20 k6"),
        ("D", "20 k6"),
    ];
    SessionOpened {
        program: "bench".to_owned(),
        plan_name: "bench.toml".to_owned(),
        plan: Some(format!(
            "[part]\nname = \"{part}\"\ndrawing = \"GP-{}\"\ncustomer = \"Customer {}\"\n{}",
            number % 97,
            number % 31,
            features.map(feature).concat()
        )),
        gauges: GAUGES.to_owned(),
        sources: vec![GaugeSource {
            gauge: "mic-25".to_owned(),
            source: "typed".to_owned(),
            adapter: String::new(),
            repeat_ms: 0,
        }],
        operator: ["Ada", "Bo", "Cy"][number % 3].to_owned(),
        offset: "+01:00".to_owned(),
        job: Job {
            order: format!("PO-{}", number / 8),
            ..Job::default()
        },
        advance_always: true,
        ..SessionOpened::default()
    }
}

fn reading(at: i64) -> Incoming {
    let value = Length::from_um(20_003 + at % 14);
    Incoming::Reading(Reading {
        gauge: GaugeId::new("mic-25"),
        observed: Observed::Length(value),
        shown: Shown {
            unit: LengthUnit::Millimetre,
            decimals: 3,
            minus: false,
        },
        status: GaugeStatus::Ok,
        origin: Origin::Typed,
        raw: value.to_mm().into_bytes(),
        rounded: false,
    })
}

fn moment(number: usize, mono_ms: u64) -> Result<Moment, Box<dyn Error>> {
    let start: jiff::Timestamp = "2024-01-02T06:00:00Z".parse()?;
    let passed = i64::try_from(number)? * 3_000_000 + i64::try_from(mono_ms)?;
    Ok(Moment {
        time: start + jiff::SignedDuration::from_millis(passed),
        mono_ms,
    })
}

/// One session, and its bytes.
fn write_session(folder: &Quick, number: usize) -> Result<(), Box<dyn Error>> {
    let name = |_| format!("session-{number:06}.jsonl");
    let mut recorder = open_session(folder, name, opening(number), moment(number, 0)?)?;
    let mut taken = |mono_ms, incoming| -> Result<(), Box<dyn Error>> {
        let taken = recorder.take(vec![(moment(number, mono_ms)?, incoming)]);
        match taken.failure.is_none() && taken.refused.is_empty() {
            true => Ok(()),
            false => Err(format!("session {number}: {taken:?}").into()),
        }
    };
    for at in 0..READINGS {
        taken(2_000 * u64::try_from(at + 1)?, reading(at))?;
        if at % 4 == 0 {
            let serial = format!("SN-{number}-{at}");
            taken(
                2_000 * u64::try_from(at + 1)?,
                Incoming::Command(Command::NamePart { part: None, serial }),
            )?;
        }
    }
    let reason = "done".to_owned();
    taken(200_000, Incoming::Command(Command::Close { reason }))
}

/// Every name and status of the folder.
fn listing(root: &Path) -> Result<u64, Box<dyn Error>> {
    let mut bytes = 0;
    for entry in fs::read_dir(root.join("sessions"))? {
        bytes += fs::metadata(entry?.path())?.len();
    }
    Ok(bytes)
}

/// The least that an index can cost: the listing, its bytes, and each line as JSON of any form.
fn least(root: &Path) -> Result<u64, Box<dyn Error>> {
    let mut lines = listing(root)?;
    let mut source = BufReader::new(File::open(root.join("cache").join("records.index"))?);
    let mut line = Vec::new();
    while source.read_until(b'\n', &mut line)? > 0 {
        let any: serde_json::Value = serde_json::from_slice(&line)?;
        lines += u64::from(any.is_object());
        line.clear();
    }
    Ok(lines)
}

fn verified(root: &Path) -> Result<u64, Box<dyn Error>> {
    let mut events = 0;
    for entry in fs::read_dir(root.join("sessions"))? {
        let source = BufReader::with_capacity(64 * 1024, File::open(entry?.path())?);
        events += verify(source, |_| {})?.events;
    }
    Ok(events)
}

fn opened(root: &Path) -> Result<Catalogue, Box<dyn Error>> {
    Ok(Catalogue::open(&Workspace::locate(Some(root)), |_| true)?)
}

fn questions() -> Vec<(&'static str, Question)> {
    let asked = |change: fn(&mut Question)| {
        let mut question = Question::default();
        change(&mut question);
        question
    };
    vec![
        ("everything", Question::default()),
        (
            "one serial",
            asked(|one| one.serial = "sn-4711-8".to_owned()),
        ),
        (
            "any name",
            asked(|one| one.text = "shaft po-123".to_owned()),
        ),
        ("nothing", asked(|one| one.text = "not there".to_owned())),
        ("verdict", asked(|one| one.verdict = "NO-GO".to_owned())),
        ("drawing", asked(|one| one.drawing = "gp-42".to_owned())),
        ("gauge", asked(|one| one.gauge = "MIC-25".to_owned())),
    ]
}

fn median(values: &[f64]) -> f64 {
    let mut values = values.to_vec();
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(f64::NAN)
}

fn timed<T>(work: impl FnOnce() -> Result<T, Box<dyn Error>>) -> Result<(T, f64), Box<dyn Error>> {
    let start = Instant::now();
    let answer = black_box(work()?);
    Ok((answer, start.elapsed().as_secs_f64()))
}

fn drop_caches() -> Result<(), Box<dyn Error>> {
    let synced = std::process::Command::new("sync").status()?;
    fs::write("/proc/sys/vm/drop_caches", "3")?;
    synced.success().then_some(()).ok_or("sync failed".into())
}

fn measure(root: &Path, sessions: usize, turns: usize, cold: bool) -> Result<(), Box<dyn Error>> {
    let mut seconds: [Vec<f64>; 3] = Default::default();
    let names = ["list", "least", "open"];
    for _ in 0..turns {
        for (at, times) in seconds.iter_mut().enumerate() {
            if cold {
                drop_caches()?;
            }
            times.push(match at {
                0 => timed(|| listing(root))?.1,
                1 => timed(|| least(root))?.1,
                _ => {
                    let (catalogue, time) = timed(|| opened(root))?;
                    if catalogue.entries().len() != sessions || catalogue.read() > 0 {
                        return Err(format!("{} read anew", catalogue.read()).into());
                    }
                    time
                }
            });
        }
    }
    let by_least: Vec<f64> = seconds[2]
        .iter()
        .zip(&seconds[1])
        .map(|(a, b)| a / b)
        .collect();
    let caches = if cold {
        "caches dropped"
    } else {
        "caches as they are"
    };
    for (name, times) in names.iter().zip(&seconds) {
        println!("{name:>8}: median {:8.1} ms, {caches}", median(times) * 1e3);
    }
    println!("    open / least: {:.2}", median(&by_least));
    Ok(())
}

fn run() -> Result<(), Box<dyn Error>> {
    let (mut sessions, mut turns, mut cold) = (10_000, 5, false);
    let mut folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR"));
    let mut arguments = std::env::args().skip(1);
    while let Some(argument) = arguments.next() {
        let mut value = || arguments.next().ok_or(format!("{argument} needs a value"));
        match argument.as_str() {
            "--sessions" => sessions = value()?.parse()?,
            "--turns" => turns = value()?.parse()?,
            "--folder" => folder = value()?.into(),
            "--drop-caches" => cold = true,
            "--bench" => {}
            other => return Err(format!("unknown argument {other}").into()),
        }
    }
    let place = tempfile::tempdir_in(&folder)?;
    let root = place.path();
    fs::create_dir(root.join("sessions"))?;
    let quick = Quick(root.join("sessions"));
    let ((), written) = timed(|| (0..sessions).try_for_each(|at| write_session(&quick, at)))?;
    let bytes = listing(root)?;
    println!(
        "{sessions} sessions of {READINGS} readings, {:.0} MB, written in {written:.1} s",
        bytes as f64 / 1e6
    );
    // What changed less than two seconds ago is not kept in the index.
    std::thread::sleep(std::time::Duration::from_millis(2_500));
    let workspace = Workspace::locate(Some(root));
    let (events, alone) = timed(|| verified(root))?;
    let (_, rebuilt) = timed(|| Ok(Catalogue::open_anew(&workspace, |_| true)?))?;
    println!("  verify: {alone:8.2} s for {events} events, one file after the other");
    println!(
        " rebuild: {rebuilt:8.2} s without an index; {:.2} of verify",
        rebuilt / alone
    );
    let index = fs::metadata(root.join("cache").join("records.index"))?.len();
    println!("   index: {:.1} MB", index as f64 / 1e6);
    measure(root, sessions, turns, false)?;
    if cold {
        measure(root, sessions, turns, true)?;
    }
    let catalogue = opened(root)?;
    for (name, question) in questions() {
        let mut times = Vec::new();
        let mut found = 0;
        for _ in 0..turns.max(1) * 4 {
            let (answer, time) = timed(|| Ok(catalogue.find(&question).len()))?;
            found = answer;
            times.push(time);
        }
        println!(
            "find {name:>10}: median {:7.2} ms, {found} sessions",
            median(&times) * 1e3
        );
    }
    let mut catalogue = catalogue;
    let (_, again) = timed(|| Ok(catalogue.refresh(|_| true)?))?;
    println!(" refresh: {:8.1} ms, nothing changed", again * 1e3);
    write_session(&quick, sessions)?;
    let (one, more) = timed(|| opened(root))?;
    println!(
        "one more: {:8.1} ms to open, {} session read",
        more * 1e3,
        one.read()
    );
    Ok(())
}

fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("find_records: {error}");
            ExitCode::from(2)
        }
    }
}
