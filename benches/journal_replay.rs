//! What reading and checking a long journal costs beyond the least that any reader must do.
//!
//! The anchor is that least: each line read, its hash and chain checked, the line parsed to a typed
//! struct, 16 bytes kept. Both read the same file in turns (A B A B ...). What counts is the median
//! of the paired ratio.
//!
//! `cargo bench --bench journal_replay [-- --events N] [--turns N] [--folder DIR]`

use std::error::Error;
use std::fs::File;
use std::hint::black_box;
use std::io::{BufRead, BufReader, BufWriter, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::Instant;

use fitledger::journal::{Hash, Item, Moment, Reader, encode, verify};
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

fn write_journal(path: &Path, events: u64) -> Result<u64, Box<dyn Error>> {
    let mut file = BufWriter::with_capacity(1 << 20, File::create_new(path)?);
    let start: jiff::Timestamp = "2026-11-24T06:00:00Z".parse()?;
    let (mut line, mut prev, mut bytes) = (Vec::new(), Hash::GENESIS, 0);
    for seq in 1..=events {
        let mono_ms = seq * 37;
        let time = start + jiff::SignedDuration::from_millis(i64::try_from(mono_ms)?);
        let (kind, body) = match seq % 3 {
            0 => (
                "reading_assigned",
                format!("{{\"reading\":{},\"part\":{}}}", seq - 1, seq / 60),
            ),
            1 => (
                "verdict_given",
                format!(
                    r#"{{"reading":{},"verdict":"GO","rule":"probability","to_middle":"0.003"}}"#,
                    seq.saturating_sub(2)
                ),
            ),
            _ => (
                "reading_received",
                format!(
                    r#"{{"gauge":"mic-25","value":"25.{:03}","raw":"2b30303235{seq:08}"}}"#,
                    seq % 1000
                ),
            ),
        };
        line.clear();
        prev = encode(&mut line, seq, Moment { time, mono_ms }, kind, &body, prev)
            .map_err(|fault| fault.to_string())?;
        file.write_all(&line)?;
        bytes += line.len() as u64;
    }
    file.flush()?;
    Ok(bytes)
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

fn median(values: &[f64]) -> [f64; 3] {
    let mut values = values.to_vec();
    values.sort_by(f64::total_cmp);
    [values.len() / 4, values.len() / 2, values.len() * 3 / 4].map(|index| values[index])
}

fn run() -> Result<(), Box<dyn Error>> {
    let (mut events, mut turns) = (1_000_000, 7);
    let mut folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR"));
    let mut arguments = std::env::args().skip(1);
    while let Some(argument) = arguments.next() {
        let mut value = || arguments.next().ok_or(format!("{argument} needs a value"));
        match argument.as_str() {
            "--events" => events = value()?.parse()?,
            "--turns" => turns = value()?.parse()?,
            "--folder" => folder = value()?.into(),
            "--bench" => {}
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
    let passes: [(&str, Pass); 3] = [("anchor", anchor), ("Reader", read), ("verify", check)];
    let mut seconds = [(); 3].map(|()| Vec::new());
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
        if sums.iter().any(|sum| *sum != sums[0]) {
            return Err("the passes do not agree".into());
        }
    }
    for ((name, _), passes) in passes.iter().zip(&seconds) {
        let ratios: Vec<_> = passes.iter().zip(&seconds[0]).map(|(a, b)| a / b).collect();
        let ([_, pass, _], [low, ratio, high]) = (median(passes), median(&ratios));
        println!(
            "{name:>8}: median {:6.1} ns/event, {:6.1} MB/s; {ratio:.3} ({low:.3} to {high:.3})",
            pass * 1e9 / events as f64,
            bytes as f64 / 1e6 / pass
        );
    }
    println!(
        "peak memory, all passes: {:.1} MiB",
        peak_mib().unwrap_or(f64::NAN)
    );
    Ok(())
}

fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("journal_replay: {error}");
            ExitCode::from(2)
        }
    }
}
