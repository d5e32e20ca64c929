//! What a recorded event costs beyond a bare append and sync of the same bytes.
//!
//! The two are timed one call at a time, in turns (A B B A ...), on two files of one folder, so
//! that whatever else the machine does hits both alike. What counts is the median paired ratio.
//!
//! `cargo bench --bench durable_append [-- --events N] [--group N] [--folder DIR] [--goal 1.1]`
//! ends with exit code 1 when the median ratio is above the goal. `durable_append serve FOLDER` times
//! one call for each line `bare` or `recorded` of standard input: `benches/anchors.py` asks in turns.

use std::error::Error;
use std::fs::{self, File, OpenOptions};
use std::io::{BufRead, Write};
use std::path::PathBuf;
use std::process::ExitCode;
use std::time::Instant;

use fitledger::journal::{DiskFile, DiskFolder, Hash, JournalWriter, Moment, encode};

const KIND: &str = "reading_received";

struct Plan {
    events: usize,
    group: usize,
    folder: PathBuf,
    goal: f64,
}

fn plan() -> Result<Plan, Box<dyn Error>> {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR"));
    let mut plan = Plan {
        events: 1_000,
        group: 1,
        folder,
        goal: 1.1,
    };
    let mut arguments = std::env::args().skip(1);
    while let Some(argument) = arguments.next() {
        let mut value = || arguments.next().ok_or(format!("{argument} needs a value"));
        match argument.as_str() {
            "--events" => plan.events = value()?.parse()?,
            "--group" => plan.group = value()?.parse()?,
            "--folder" => plan.folder = value()?.into(),
            "--goal" => plan.goal = value()?.parse()?,
            "--bench" => {}
            other => return Err(format!("unknown argument {other}").into()),
        }
    }
    Ok(plan)
}

fn body(number: usize) -> String {
    format!(
        r#"{{"gauge":"mic-25","value":"25.{:03}","unit":"mm","raw":"2b30303235{number:06}"}}"#,
        number % 1000
    )
}

/// What the writer is given, made before the clock starts.
struct Group {
    bodies: Vec<String>,
    /// As many bytes as the writer will write.
    bytes: Vec<u8>,
}

fn group(first: usize, size: usize, moment: Moment) -> Result<Group, Box<dyn Error>> {
    let bodies: Vec<_> = (first..first + size).map(body).collect();
    let mut bytes = Vec::new();
    for (index, body) in bodies.iter().enumerate() {
        let seq = u64::try_from(first + index + 1)?;
        encode(&mut bytes, seq, moment, KIND, body, Hash::GENESIS).map_err(|f| f.to_string())?;
    }
    Ok(Group { bodies, bytes })
}

fn bare(file: &mut File, group: &Group) -> Result<f64, Box<dyn Error>> {
    let start = Instant::now();
    file.write_all(&group.bytes)?;
    file.sync_data()?;
    Ok(start.elapsed().as_secs_f64())
}

fn recorded(
    writer: &mut JournalWriter<DiskFile>,
    group: &Group,
    moment: Moment,
) -> Result<f64, Box<dyn Error>> {
    let start = Instant::now();
    for body in &group.bodies {
        writer.append(KIND, body, moment)?;
    }
    writer.commit()?;
    Ok(start.elapsed().as_secs_f64())
}

/// The two files of a folder.
fn files(folder: &std::path::Path) -> Result<(File, JournalWriter<DiskFile>), Box<dyn Error>> {
    let file = OpenOptions::new()
        .append(true)
        .create_new(true)
        .open(folder.join("bare"))?;
    file.sync_all()?;
    let writer = JournalWriter::create(&DiskFolder::new(folder), "journal.jsonl")?;
    Ok((file, writer))
}

/// Answers one call a line until the input ends: the nanoseconds that it took.
fn serve(folder: &str) -> Result<(), Box<dyn Error>> {
    let (mut file, mut writer) = files(folder.as_ref())?;
    let moment = Moment {
        time: jiff::Timestamp::now(),
        mono_ms: 0,
    };
    let mut out = std::io::stdout().lock();
    for (turn, line) in std::io::stdin().lock().lines().enumerate() {
        let group = group(turn, 1, moment)?;
        let seconds = match line?.trim() {
            "bare" => bare(&mut file, &group)?,
            "recorded" => recorded(&mut writer, &group, moment)?,
            other => return Err(format!("no call is named {other:?}").into()),
        };
        writeln!(out, "{{\"ns\": {:.0}}}", seconds * 1e9)?;
        out.flush()?;
    }
    Ok(())
}

fn at(sorted: &[f64], share: f64) -> f64 {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a place in a short list
    let index = (share * (sorted.len() - 1) as f64).round() as usize;
    sorted[index]
}

fn sorted(mut values: Vec<f64>) -> Vec<f64> {
    values.sort_by(f64::total_cmp);
    values
}

fn run() -> Result<bool, Box<dyn Error>> {
    let plan = plan()?;
    let place = tempfile::tempdir_in(&plan.folder)?;
    let moment = Moment {
        time: jiff::Timestamp::now(),
        mono_ms: 0,
    };
    let (mut file, mut writer) = files(place.path())?;
    let (mut bares, mut ours, mut ratios) = (Vec::new(), Vec::new(), Vec::new());
    let warm_up = plan.events / 20;
    for turn in 0..plan.events + warm_up {
        let group = group(turn * plan.group, plan.group, moment)?;
        let (a, b) = if turn % 2 == 0 {
            let a = bare(&mut file, &group)?;
            (a, recorded(&mut writer, &group, moment)?)
        } else {
            let b = recorded(&mut writer, &group, moment)?;
            (bare(&mut file, &group)?, b)
        };
        if turn >= warm_up {
            bares.push(a * 1e6);
            ours.push(b * 1e6);
            ratios.push(b / a);
        }
    }
    let load = fs::read_to_string("/proc/loadavg").unwrap_or_default();
    println!(
        "n = {}, {} events a commit, load {}",
        plan.events,
        plan.group,
        load.trim()
    );
    let [bare_p99, our_p99] =
        [("bare append + sync", bares), ("append + commit", ours)].map(|(name, values)| {
            let values = sorted(values);
            let (median, p99) = (at(&values, 0.5), at(&values, 0.99));
            println!("{name:>20}: median {median:8.1} us, p99 {p99:8.1} us");
            p99
        });
    println!("{:>20}: {:.3}", "p99 / bare p99", our_p99 / bare_p99);
    let ratios = sorted(ratios);
    let [low, median, high] = [0.25, 0.5, 0.75].map(|share| at(&ratios, share));
    println!(
        "{:>20}: median {median:.3}, quartiles {low:.3} to {high:.3}",
        "paired ratio"
    );
    println!("{:>20}: {:.3}", "goal", plan.goal);
    Ok(median <= plan.goal)
}

fn main() -> ExitCode {
    let given: Vec<String> = std::env::args().skip(1).collect();
    let done = match given.as_slice() {
        [word, folder] if word == "serve" => serve(folder).map(|()| true),
        _ => run(),
    };
    match done {
        Ok(true) => ExitCode::SUCCESS,
        Ok(false) => ExitCode::from(1),
        Err(error) => {
            eprintln!("durable_append: {error}");
            ExitCode::from(2)
        }
    }
}
