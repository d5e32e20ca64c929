//! Pairing of a batch: a hundred thousand holes and shafts, beside sorting both lists, which the
//! pairing cannot do without.
//!
//!     batch_pairing serve FILE     answers the operations that `batch_pairing.py` asks for; FILE
//!                                  holds little-endian 64-bit integers: the number of holes, the
//!                                  wanted clearance, then holes and shafts, all in nanometres
#![allow(missing_docs)] // the benchmark macros make public functions

use std::hint::black_box;
use std::io::{BufRead, Error, ErrorKind, Write};
use std::time::Instant;

use criterion::{Criterion, criterion_group};
use fitledger::pair::{Pairing, most_pairing, nearest_pairing};
use fitledger::quantity::Length;

const COUNT: usize = 100_000;
/// 25 H7/g6: clearance from 7 to 41 µm (ISO 286-1).
const RANGE_NM: (i64, i64) = (7_000, 41_000);

struct Batch {
    holes: Vec<Length>,
    shafts: Vec<Length>,
    wanted: Length,
}

/// Sizes evenly spread over 25 H7 and 25 g6.
fn batch(holes: usize, shafts: usize) -> Batch {
    let mut state = 1_u64;
    let mut even = |least: i64, most: i64| {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        let spread = u64::try_from(most - least + 1).unwrap_or(1);
        Length::from_nm(least + i64::try_from(state % spread).unwrap_or(0))
    };
    Batch {
        holes: (0..holes).map(|_| even(25_000_000, 25_021_000)).collect(),
        shafts: (0..shafts).map(|_| even(24_980_000, 24_993_000)).collect(),
        wanted: Length::from_nm(24_000),
    }
}

fn range() -> (Length, Length) {
    (Length::from_nm(RANGE_NM.0), Length::from_nm(RANGE_NM.1))
}

fn pairings(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("batch_pairing");
    let (equal, unequal) = (batch(COUNT, COUNT), batch(COUNT, COUNT + COUNT / 10));
    group.bench_function("anchor, both lists sorted", |bencher| {
        bencher.iter(|| {
            let (mut holes, mut shafts) = (equal.holes.clone(), equal.shafts.clone());
            holes.sort_unstable();
            shafts.sort_unstable();
            (holes, shafts)
        });
    });
    for (name, batch) in [("equal", &equal), ("a tenth more shafts", &unequal)] {
        group.bench_function(format!("nearest, {name}"), |bencher| {
            bencher.iter(|| nearest_pairing(&batch.holes, &batch.shafts, batch.wanted));
        });
        group.bench_function(format!("most, {name}"), |bencher| {
            bencher.iter(|| most_pairing(&batch.holes, &batch.shafts, range()));
        });
    }
    group.finish();
}

fn of_file(path: &str) -> std::io::Result<Batch> {
    let bytes = std::fs::read(path)?;
    let (eights, _) = bytes.as_chunks::<8>();
    let mut numbers = eights.iter().map(|eight| i64::from_le_bytes(*eight));
    let none = || Error::from(ErrorKind::InvalidData);
    let count = numbers.next().ok_or_else(none)?;
    let count = usize::try_from(count).map_err(|_| none())?;
    let wanted = Length::from_nm(numbers.next().ok_or_else(none)?);
    let mut holes: Vec<Length> = numbers.map(Length::from_nm).collect();
    let shafts = holes.split_off(count.min(holes.len()));
    Ok(Batch {
        holes,
        shafts,
        wanted,
    })
}

/// Pairs, and how far all together are from the wanted clearance, nm.
fn told(found: &Pairing, wanted: Length) -> (usize, i64) {
    let off = |clearance: Length| (clearance - wanted).as_nm().abs();
    let sum = found.pairs.iter().map(|pair| off(pair.clearance)).sum();
    (found.pairs.len(), sum)
}

/// Answers one operation per line until the input ends.
fn serve(path: &str) -> std::io::Result<()> {
    let batch = of_file(path)?;
    let mut out = std::io::stdout().lock();
    for line in std::io::stdin().lock().lines() {
        let name = line?;
        let start = Instant::now();
        let (holes, shafts) = (black_box(&batch.holes), black_box(&batch.shafts));
        let found = match name.trim() {
            "nearest" => nearest_pairing(holes, shafts, batch.wanted),
            _ => most_pairing(holes, shafts, range()),
        };
        let ns = start.elapsed().as_nanos();
        let (pairs, off_nm) = told(black_box(&found), batch.wanted);
        writeln!(
            out,
            "{{\"ns\": {ns}, \"pairs\": {pairs}, \"off_nm\": {off_nm}}}"
        )?;
        out.flush()?;
    }
    Ok(())
}

criterion_group!(benches, pairings);

fn main() -> std::io::Result<()> {
    let given: Vec<String> = std::env::args().skip(1).collect();
    if let [word, path] = given.as_slice()
        && word == "serve"
    {
        return serve(path);
    }
    benches();
    Criterion::default().configure_from_args().final_summary();
    Ok(())
}
