//! Parsing readings against an anchor in the same run: 100 000 lines of `+0012.345 mm\r\n`.
//!
//! Anchor: a strict loop that knows this one layout and makes integer micrometres. Project: the
//! full decoder (all framings, units, error places), with the free-width pattern and with fixed
//! columns. Besides criterion's tables it prints the paired ratio, timed alternately (A B A B),
//! because a ratio of two separate runs is no evidence. Goal: at most 2.0 times the strict loop.
//! `parse_readings serve FILE` decodes that file once for each line of standard input and answers its
//! time and its values: `benches/anchors.py` asks in turns with other libraries.

use std::hint::black_box;
use std::io::{BufRead, Write};
use std::sync::Arc;
use std::time::Instant;

use criterion::{Criterion, Throughput};
use fitledger::wire::{Adapter, Decoder, Heard, built_in};

const LINES: usize = 100_000;
const LINE_BYTES: usize = 14;

const COLUMNS: &str = r#"
line    = { baud = 9600, data_bits = 8, parity = "none", stop_bits = 1 }
trigger = { kind = "unsolicited" }
frame   = { kind = "terminated", terminator = "crlf", max_bytes = 24 }
fields  = { kind = "columns", width = 12, sign = [0, 1], num = [1, 9], unit = [10, 12] }
number  = { decimal = "point", decimals = 3 }
unit    = { rule = "field", map = { "mm" = "mm", "in" = "in" } }
"#;

/// Lines that differ in their digits; every 16th has a minus where `signs` says so.
fn lines(signs: bool) -> Vec<u8> {
    let mut state = 12_345_u64;
    let mut text = Vec::with_capacity(LINES * LINE_BYTES);
    for at in 0..LINES {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        let um = (state >> 33) % 10_000_000;
        let sign = if signs && at % 16 == 0 { '-' } else { '+' };
        let line = format!("{sign}{:04}.{:03} mm\r\n", um / 1000, um % 1000);
        text.extend_from_slice(line.as_bytes());
    }
    text
}

/// The anchor: one layout, integer micrometres, anything else is counted as bad.
fn strict(text: &[u8]) -> (i64, usize) {
    let (mut sum, mut bad) = (0_i64, 0);
    for line in text.chunks_exact(LINE_BYTES) {
        let sign = match line[0] {
            b'+' => 1,
            b'-' => -1,
            _ => {
                bad += 1;
                continue;
            }
        };
        let mut um = 0_i64;
        let mut ok = line[5] == b'.' && &line[9..14] == b" mm\r\n";
        for at in [1, 2, 3, 4, 6, 7, 8] {
            let digit = line[at].wrapping_sub(b'0');
            ok &= digit < 10;
            um = um * 10 + i64::from(digit);
        }
        if ok {
            sum += sign * um;
        } else {
            bad += 1;
        }
    }
    (sum, bad)
}

/// The project: everything that the decoder gives, summed in micrometres.
fn decoded(adapter: &Arc<Adapter>, text: &[u8], piece: usize) -> (i64, usize) {
    let mut decoder = Decoder::new(Arc::clone(adapter));
    let (mut sum_nm, mut bad) = (0_i64, 0);
    let mut out = |heard: Heard<'_>| match heard {
        Heard::Reading(sent) => match sent.length {
            Ok(length) => sum_nm += length.as_nm(),
            Err(_) => bad += 1,
        },
        Heard::Status(_) | Heard::Error(_) => bad += 1,
    };
    for piece in text.chunks(piece) {
        decoder.push(piece, &mut out);
    }
    decoder.idle(&mut out);
    (sum_nm / 1000, bad)
}

type Parse<'a> = Box<dyn Fn(&[u8]) -> (i64, usize) + 'a>;

fn seconds(parse: &Parse<'_>, text: &[u8]) -> f64 {
    let start = Instant::now();
    black_box(parse(black_box(text)));
    start.elapsed().as_secs_f64()
}

/// Times anchor and project alternately and prints medians and the paired ratio's quartiles.
fn paired(name: &str, project: &Parse<'_>, text: &[u8]) {
    const ROUNDS: usize = 201;
    let anchor: Parse<'_> = Box::new(strict);
    assert_eq!(
        project(text),
        strict(text),
        "{name}: other values than the anchor"
    );
    let (mut ours, mut theirs, mut ratios) = (Vec::new(), Vec::new(), Vec::new());
    for _ in 0..ROUNDS {
        let a = seconds(&anchor, text);
        let b = seconds(project, text);
        theirs.push(a * 1e9 / LINES as f64);
        ours.push(b * 1e9 / LINES as f64);
        ratios.push(b / a);
    }
    for list in [&mut ours, &mut theirs, &mut ratios] {
        list.sort_by(f64::total_cmp);
    }
    println!(
        "{name}: strict loop {:.1} ns, decoder {:.1} ns a reading; paired ratio {:.2} \
         (quartiles {:.2} to {:.2}), {ROUNDS} rounds of {LINES} lines",
        theirs[ROUNDS / 2],
        ours[ROUNDS / 2],
        ratios[ROUNDS / 2],
        ratios[ROUNDS / 4],
        ratios[ROUNDS * 3 / 4],
    );
}

/// Answers one decoding a line until the input ends.
fn serve(path: &str) -> Result<(), Box<dyn std::error::Error>> {
    let (text, free) = (std::fs::read(path)?, built_in("line-free")?);
    let mut out = std::io::stdout().lock();
    for line in std::io::stdin().lock().lines() {
        line?;
        let start = Instant::now();
        let (sum_um, bad) = black_box(decoded(&free, black_box(&text), text.len()));
        let ns = start.elapsed().as_nanos();
        writeln!(
            out,
            "{{\"ns\": {ns}, \"sum_um\": {sum_um}, \"bad\": {bad}}}"
        )?;
        out.flush()?;
    }
    Ok(())
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let given: Vec<String> = std::env::args().skip(1).collect();
    if let [word, path] = given.as_slice()
        && word == "serve"
    {
        return serve(path);
    }
    let free = built_in("line-free")?;
    let columns = Arc::new(Adapter::from_text(COLUMNS, Some("columns"))?);
    let (plus, mixed) = (lines(false), lines(true));
    let whole = plus.len();
    let cases: Vec<(&str, Parse<'_>, &[u8])> = vec![
        (
            "line-free",
            Box::new(|text| decoded(&free, text, whole)),
            &plus,
        ),
        (
            "columns",
            Box::new(|text| decoded(&columns, text, whole)),
            &plus,
        ),
        (
            "line-free, signs mixed",
            Box::new(|text| decoded(&free, text, whole)),
            &mixed,
        ),
        (
            "line-free, read in 4096",
            Box::new(|text| decoded(&free, text, 4096)),
            &plus,
        ),
        (
            "line-free, byte by byte",
            Box::new(|text| decoded(&free, text, 1)),
            &plus,
        ),
    ];
    for (name, project, text) in &cases {
        paired(name, project, text);
    }
    let mut criterion = Criterion::default().configure_from_args();
    let mut group = criterion.benchmark_group("parse_readings");
    group.throughput(Throughput::Elements(LINES as u64));
    group.bench_function("strict loop", |b| b.iter(|| strict(black_box(&plus))));
    for (name, project, text) in &cases[..2] {
        group.bench_function(*name, |b| b.iter(|| project(black_box(text))));
    }
    group.finish();
    criterion.final_summary();
    Ok(())
}
