//! What reading, checking and replaying a long journal costs beyond the least that any reader must
//! do. The journal is one of ours: a session of many parts with its readings, verdicts and starts.
//!
//! The anchor is that least: each line read, its hash and chain checked, the line parsed to a typed
//! struct, 16 bytes kept. All read the same file in turns (A B C D A B ...). What counts is the
//! median of the paired ratio; the goal for `replay` is 1.25, and 32 MiB of memory at a million
//! events (measured in a process of its own).
//!
//! `cargo bench --bench journal_replay [-- --events N] [--turns N] [--folder DIR]
//! [--goal RATIO] [--memory MIB]` ends with exit code 1 when a goal that was given is missed.
//! `--write FILE` only writes the journal, and `--serve FILE` replays it once for each line of
//! standard input: `benches/anchors.py` asks in turns.

use std::error::Error;
use std::fs::File;
use std::hint::black_box;
use std::io::{BufRead, BufReader, BufWriter, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::Instant;

use fitledger::gauge::{GaugeId, GaugeStatus, Observed, Origin, Reading, Shown};
use fitledger::journal::{
    Event, GaugeSource, Hash, Item, Moment, Outcome, Part, Place, Reader, SessionOpened, ValueUnit,
    VerdictGiven, body_of, encode, verify,
};
use fitledger::measure::{Rule, Side, VerdictWord};
use fitledger::quantity::{Length, LengthUnit};
use fitledger::session::{Check, PartState, replay};
use serde::Deserialize;
use serde_json::value::RawValue;
use sha2::{Digest, Sha256};

/// What both keep of a line: 16 bytes.
type Kept = (u64, u64);

/// A line as a typed struct that borrows.
#[derive(Deserialize)]
struct AnchorLine<'a> {
    v: u64,
    seq: u64,
    time: &'a str,
    mono: u64,
    kind: &'a str,
    #[serde(borrow)]
    body: &'a RawValue,
    prev: &'a str,
    hash: &'a str,
}

fn anchor(path: &Path) -> Result<Vec<Kept>, Box<dyn Error>> {
    let mut source = BufReader::with_capacity(64 * 1024, File::open(path)?);
    let (mut line, mut kept) = (Vec::new(), Vec::new());
    let (mut head, mut seq) = ([0_u8; 32], 0);
    while source.read_until(b'\n', &mut line)? > 0 {
        let covered = line.len().checked_sub(76).ok_or("short line")?;
        let mut hash = Sha256::new();
        hash.update([0]);
        hash.update(&line[..covered]);
        let hash: [u8; 32] = hash.finalize().into();
        let parsed: AnchorLine<'_> = serde_json::from_slice(&line[..line.len() - 1])?;
        let named =
            |text: &str, hash: &[u8; 32]| Hash::parse(text).is_some_and(|h| h.bytes() == hash);
        let right = parsed.v == 1
            && parsed.seq == seq + 1
            && named(parsed.prev, &head)
            && named(parsed.hash, &hash)
            && parsed.time.len() == 24;
        if !right {
            return Err("the anchor found a fault".into());
        }
        (head, seq) = (hash, parsed.seq);
        kept.push((
            parsed.mono,
            (parsed.kind.len() + parsed.body.get().len()) as u64,
        ));
        line.clear();
    }
    Ok(kept)
}

fn read(path: &Path) -> Result<Vec<Kept>, Box<dyn Error>> {
    let mut reader = Reader::new(BufReader::with_capacity(64 * 1024, File::open(path)?));
    let mut kept = Vec::new();
    while let Some(item) = reader.next_item()? {
        match item {
            Item::Line(sound) if sound.fault.is_none() => {
                let line = sound.line;
                kept.push((line.mono_ms, (line.kind.len() + line.body.len()) as u64));
            }
            other => return Err(format!("the reader found a fault: {other:?}").into()),
        }
    }
    Ok(kept)
}

fn check(path: &Path) -> Result<Vec<Kept>, Box<dyn Error>> {
    let mut kept = Vec::new();
    let source = BufReader::with_capacity(64 * 1024, File::open(path)?);
    let report = verify(source, |sound| {
        let line = &sound.line;
        kept.push((line.mono_ms, (line.kind.len() + line.body.len()) as u64));
    })?;
    if report.findings.is_empty() {
        Ok(kept)
    } else {
        Err("verify found a fault".into())
    }
}

/// The state rebuilt, which is what opening a session does.
fn rebuild(path: &Path) -> Result<Vec<Kept>, Box<dyn Error>> {
    let part = Part {
        name: String::new(),
        until: None,
    };
    let open = |_: &Part| Ok(BufReader::with_capacity(64 * 1024, File::open(path)?));
    let (reports, replayed) = replay(&[part], open, Check::State)?;
    let found = reports.iter().any(|report| !report.findings.is_empty());
    let state = replayed.state.ok_or("no state")?;
    if found || !replayed.faults.is_empty() {
        return Err(format!("replay found a fault: {:?}", replayed.faults.first()).into());
    }
    let go = state
        .parts()
        .iter()
        .filter(|part| part.state() == PartState::Go)
        .count();
    if go + 1 < state.parts().len() {
        return Err("a part is not GO".into());
    }
    Ok(vec![(
        state.readings().len() as u64,
        state.parts().len() as u64,
    )])
}

const POINTS: u16 = 3;
const FEATURES: [(&str, i64, i64); 4] = [
    ("A", 20_002_000, 20_015_000),
    ("B", 24_948_000, 25_000_000),
    ("C", 14_966_000, 14_984_000),
    ("D", 6_000_000, 6_018_000),
];

fn opening() -> SessionOpened {
    let feature = |(id, callout): (&str, &str)| {
        format!("[[feature]]\nid = \"{id}\"\ncallout = \"{callout}\"\npoints = {POINTS}\n")
    };
    let features = [
        ("A", "20 k6"),
        ("B", "25 h9"),
        ("C", "15 f7"),
        ("D", "6 H8"),
    ]
    .map(feature);
    let source = GaugeSource {
        gauge: "mic-25".to_owned(),
        source: "serial:/dev/ttyUSB0".to_owned(),
        adapter: "line-free".to_owned(),
        repeat_ms: 0,
    };
    SessionOpened {
        program: "bench".to_owned(),
        plan_name: "bench".to_owned(),
        plan: Some(format!(
            "[part]\nname = \"Pump shaft\"\n{}",
            features.concat()
        )),
        sources: vec![source],
        ..SessionOpened::default()
    }
}

/// The events of one reading, `reading` being the line of the first.
fn events_of_reading(reading: u64, place: &Place, (low, high): (i64, i64)) -> [Event; 3] {
    let value = Length::from_nm(low + (high - low) / 2);
    let text = value.to_mm();
    let last = place.point == POINTS;
    let go = Outcome::Verdict(VerdictWord::Go);
    [
        Event::ReadingReceived(Reading {
            gauge: GaugeId::new("mic-25"),
            observed: Observed::Length(value),
            shown: Shown {
                unit: LengthUnit::Millimetre,
                decimals: 4,
                minus: false,
            },
            status: GaugeStatus::Ok,
            origin: Origin::Sent,
            raw: format!("+{text} mm").into_bytes(),
            rounded: false,
        }),
        Event::ReadingAssigned {
            reading,
            place: place.clone(),
        },
        Event::VerdictGiven(std::sync::Arc::new(VerdictGiven {
            reading,
            place: place.clone(),
            points: POINTS,
            from: vec![reading],
            value_at_20: value.as_nm(),
            u: Some(2_510),
            lower: Some(low),
            upper: Some(high),
            unit: ValueUnit::Nanometre,
            outcome: if last { go } else { Outcome::Inside },
            side: Side::Inside,
            to_middle: Some(0),
            conformance_ppm: Some(990_000),
            rule: Rule::PROBABILITY,
            notes: Vec::new(),
        })),
    ]
}

struct Writing {
    file: BufWriter<File>,
    start: jiff::Timestamp,
    line: Vec<u8>,
    prev: Hash,
    seq: u64,
    bytes: u64,
}

impl Writing {
    fn put(&mut self, event: &Event) -> Result<(), Box<dyn Error>> {
        self.seq += 1;
        let mono_ms = self.seq * 37;
        let time = self.start + jiff::SignedDuration::from_millis(i64::try_from(mono_ms)?);
        self.line.clear();
        let moment = Moment { time, mono_ms };
        let body = body_of(event);
        self.prev = encode(
            &mut self.line,
            self.seq,
            moment,
            event.kind(),
            &body,
            self.prev,
        )
        .map_err(|fault| fault.to_string())?;
        self.file.write_all(&self.line)?;
        self.bytes += self.line.len() as u64;
        Ok(())
    }
}

fn write_journal(path: &Path, events: u64) -> Result<u64, Box<dyn Error>> {
    let mut writing = Writing {
        file: BufWriter::with_capacity(1 << 20, File::create_new(path)?),
        start: "2026-11-24T06:00:00Z".parse()?,
        line: Vec::new(),
        prev: Hash::GENESIS,
        seq: 0,
        bytes: 0,
    };
    writing.put(&Event::SessionOpened(Box::new(opening())))?;
    for part in 1.. {
        writing.put(&Event::PartStarted { part })?;
        for (feature, low, high) in FEATURES {
            for point in 1..=POINTS {
                let (feature, element) = (feature.to_owned(), "size".to_owned());
                let place = Place {
                    part,
                    feature,
                    element,
                    point,
                };
                for event in &events_of_reading(writing.seq + 1, &place, (low, high)) {
                    writing.put(event)?;
                }
                if writing.seq >= events {
                    writing.file.flush()?;
                    return Ok(writing.bytes);
                }
            }
        }
    }
    Ok(writing.bytes)
}

/// The most memory that the process has held, in MiB, where the system says so.
fn peak_mib() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace()
        .nth(1)?
        .parse::<f64>()
        .ok()
        .map(|kib| kib / 1024.0)
}

/// Answers one replay a line until the input ends.
fn serve(path: &Path) -> Result<(), Box<dyn Error>> {
    let mut out = std::io::stdout().lock();
    for line in std::io::stdin().lock().lines() {
        line?;
        let start = Instant::now();
        black_box(rebuild(path)?);
        writeln!(out, "{{\"ns\": {}}}", start.elapsed().as_nanos())?;
        out.flush()?;
    }
    Ok(())
}

fn median(values: &[f64]) -> [f64; 3] {
    let mut values = values.to_vec();
    values.sort_by(f64::total_cmp);
    [values.len() / 4, values.len() / 2, values.len() * 3 / 4].map(|index| values[index])
}

fn run() -> Result<bool, Box<dyn Error>> {
    let (mut goal, mut most_mib) = (f64::INFINITY, f64::INFINITY);
    let (mut events, mut turns) = (1_000_000, 7);
    let mut folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR"));
    let mut arguments = std::env::args().skip(1);
    while let Some(argument) = arguments.next() {
        let mut value = || arguments.next().ok_or(format!("{argument} needs a value"));
        match argument.as_str() {
            "--events" => events = value()?.parse()?,
            "--turns" => turns = value()?.parse()?,
            "--folder" => folder = value()?.into(),
            "--goal" => goal = value()?.parse()?,
            "--memory" => most_mib = value()?.parse()?,
            "--bench" => {}
            "--write" => {
                write_journal(Path::new(&value()?), events)?;
                return Ok(true);
            }
            "--serve" => {
                serve(Path::new(&value()?))?;
                return Ok(true);
            }
            "--peak" => {
                rebuild(Path::new(&value()?))?;
                println!("{:.1}", peak_mib().unwrap_or(f64::NAN));
                return Ok(true);
            }
            other => return Err(format!("unknown argument {other}").into()),
        }
    }
    let place = tempfile::tempdir_in(&folder)?;
    let path = place.path().join("journal.jsonl");
    let bytes = write_journal(&path, events)?;
    println!(
        "{events} events, {} bytes each, {turns} turns",
        bytes / events
    );
    type Pass = fn(&Path) -> Result<Vec<Kept>, Box<dyn Error>>;
    let passes: [(&str, Pass); 4] = [
        ("anchor", anchor),
        ("Reader", read),
        ("verify", check),
        ("replay", rebuild),
    ];
    let mut seconds = [(); 4].map(|()| Vec::new());
    for turn in 0..=turns {
        let mut sums = Vec::new();
        for ((_, pass), seconds) in passes.iter().zip(&mut seconds) {
            let start = Instant::now();
            let found = black_box(pass(&path)?);
            if turn > 0 {
                seconds.push(start.elapsed().as_secs_f64());
            }
            sums.push(
                found
                    .iter()
                    .fold((0, 0), |sum, kept| (sum.0 + kept.0, sum.1 + kept.1)),
            );
        }
        // The replay keeps other things; it checks itself.
        if sums.iter().take(3).any(|sum| *sum != sums[0]) {
            return Err("the passes do not agree".into());
        }
    }
    let mut last_ratio = f64::INFINITY;
    for ((name, _), passes) in passes.iter().zip(&seconds) {
        let ratios: Vec<_> = passes.iter().zip(&seconds[0]).map(|(a, b)| a / b).collect();
        let ([_, pass, _], [low, ratio, high]) = (median(passes), median(&ratios));
        last_ratio = ratio;
        println!(
            "{name:>8}: median {:6.1} ns/event, {:6.1} MB/s; {ratio:.3} ({low:.3} to {high:.3})",
            pass * 1e9 / events as f64,
            bytes as f64 / 1e6 / pass
        );
    }
    let alone = std::process::Command::new(std::env::current_exe()?)
        .arg("--peak")
        .arg(&path)
        .output()?;
    let peak = String::from_utf8_lossy(&alone.stdout).trim().to_owned();
    println!("peak memory of a replay in a process of its own: {peak} MiB");
    println!("goals: {goal} times the anchor, {most_mib} MiB");
    let is_small = most_mib.is_infinite() || peak.parse::<f64>()? <= most_mib;
    Ok(last_ratio <= goal && is_small)
}

fn main() -> ExitCode {
    match run() {
        Ok(true) => ExitCode::SUCCESS,
        Ok(false) => ExitCode::from(1),
        Err(error) => {
            eprintln!("journal_replay: {error}");
            ExitCode::from(2)
        }
    }
}
