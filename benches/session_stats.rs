//! Statistics over a million values: answers the operations that `session_stats.py` asks for, one
//! at a time, so that the script can time the reference library and the project in turns.
//!
//!     session_stats serve FILE     FILE holds little-endian floats; operations on standard input
//!
//! Without `serve` (as `cargo bench` runs it) it times each operation on data of its own and prints
//! the median: to be judged beside the script's ratios only.

use std::hint::black_box;
use std::io::{BufRead, Write};
use std::time::{Duration, Instant};

use fitledger::statistics::{
    RunLengths, Series, StatisticsError, Watch, anderson_darling, mean_moving_range, quantiles,
    shapiro_wilk, summary,
};

/// The specification of the data: 10 mm plus and minus 0.02.
const LIMITS_MM: (f64, f64) = (9.98, 10.02);
/// What the data are made of: mean and standard deviation, mm.
const MADE_OF_MM: (f64, f64) = (10.0, 0.005);
const NM_PER_MM: f64 = 1e6;
const SHARES: [f64; 5] = [0.00135, 0.25, 0.5, 0.75, 0.99865];
const TURNS: usize = 15;
const SHAPIRO_COUNT: usize = 5_000;

type Answer = Result<Vec<f64>, StatisticsError>;
type Operation = fn(&Data) -> Answer;

/// The data in the forms that the operations take.
struct Data {
    values_mm: Vec<f64>,
    values_nm: Vec<i64>,
}

/// Every operation by its name: a new one is one more row, and one in the script.
const OPERATIONS: [(&str, Operation); 6] = [
    ("summary_and_capability", summary_and_capability),
    ("quantiles", |data| quantiles(&data.values_mm, &SHARES)),
    ("mean_moving_range", |data| {
        Ok(vec![mean_moving_range(&data.values_mm)?])
    }),
    ("anderson_darling", |data| {
        Ok(vec![anderson_darling(&data.values_mm)?.a2])
    }),
    ("shapiro_wilk", |data| {
        // As many as the test is stated for.
        let first = data.values_mm.iter().copied().take(SHAPIRO_COUNT);
        let found = shapiro_wilk(&first.collect::<Vec<f64>>())?;
        Ok(vec![found.w, found.p])
    }),
    ("incremental", incremental),
];

fn capability(mean: f64, deviation: f64, limits: (f64, f64)) -> [f64; 2] {
    let (lower, upper) = limits;
    let nearest = (upper - mean).min(mean - lower);
    [
        (upper - lower) / (6.0 * deviation),
        nearest / (3.0 * deviation),
    ]
}

fn summary_and_capability(data: &Data) -> Answer {
    let found = summary(&data.values_mm)?;
    let deviation = found.standard_deviation.unwrap_or_default();
    let [cp, cpk] = capability(found.mean, deviation, LIMITS_MM);
    Ok(vec![found.mean, deviation, found.min, found.max, cp, cpk])
}

/// Each reading as it comes: sums, signals, chart limits and capability after every one.
fn incremental(data: &Data) -> Answer {
    let mut series = Series::new();
    let (mean, deviation) = (MADE_OF_MM.0 * NM_PER_MM, MADE_OF_MM.1 * NM_PER_MM);
    let mut watch = Watch::new(RunLengths::NELSON, mean, deviation)?;
    let limits = (LIMITS_MM.0 * NM_PER_MM, LIMITS_MM.1 * NM_PER_MM);
    let (mut signalled, mut last) = (0.0, [0.0; 3]);
    for (at, value) in data.values_nm.iter().enumerate() {
        series.add(*value)?;
        if !watch.add(*value as f64)?.is_empty() {
            signalled += 1.0;
        }
        if at > 0 {
            let now = series.summary()?;
            let deviation = now.standard_deviation.unwrap_or_default();
            let [cp, cpk] = capability(now.mean, deviation, limits);
            last = black_box([cp, cpk, series.individuals_limits()?.location.upper]);
        }
    }
    let found = series.summary()?;
    let deviation = found.standard_deviation.unwrap_or_default();
    let [cp, cpk, upper_limit] = last;
    let mean = found.mean / NM_PER_MM;
    let upper_limit = upper_limit / NM_PER_MM;
    Ok(vec![
        mean,
        deviation / NM_PER_MM,
        cp,
        cpk,
        upper_limit,
        signalled,
    ])
}

fn timed(operation: Operation, data: &Data) -> (Duration, Answer) {
    let start = Instant::now();
    let answer = black_box(operation(black_box(data)));
    (start.elapsed(), answer)
}

impl Data {
    fn new(values_mm: Vec<f64>) -> Self {
        // Readings of a gauge that shows nanometres; all lie within a few millimetres.
        #[allow(clippy::cast_possible_truncation)]
        let nm = |mm: &f64| (mm * NM_PER_MM).round() as i64;
        Self {
            values_nm: values_mm.iter().map(nm).collect(),
            values_mm,
        }
    }

    /// A million values that look normal: sums of twelve evenly spread ones.
    fn own() -> Self {
        let mut state = 1_u64;
        let mut even = || {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            (state >> 11) as f64 / (1_u64 << 53) as f64
        };
        let mut normal = || (0..12).map(|_| even()).sum::<f64>() - 6.0;
        let (mean, deviation) = MADE_OF_MM;
        Self::new(
            (0..1_000_000)
                .map(|_| mean + deviation * normal())
                .collect(),
        )
    }

    fn of_file(path: &str) -> std::io::Result<Self> {
        let bytes = std::fs::read(path)?;
        let (floats, _) = bytes.as_chunks::<8>();
        Ok(Self::new(
            floats
                .iter()
                .map(|eight| f64::from_le_bytes(*eight))
                .collect(),
        ))
    }
}

/// Answers one operation per line until the input ends.
fn serve(path: &str) -> std::io::Result<()> {
    let data = Data::of_file(path)?;
    let mut out = std::io::stdout().lock();
    let names: Vec<&str> = OPERATIONS.iter().map(|(name, _)| *name).collect();
    writeln!(out, "{}", names.join(" "))?;
    out.flush()?;
    for line in std::io::stdin().lock().lines() {
        let name = line?;
        let operation = OPERATIONS.iter().find(|(known, _)| *known == name.trim());
        let Some((_, operation)) = operation else {
            writeln!(out, "{{\"problem\": \"no operation of that name\"}}")?;
            out.flush()?;
            continue;
        };
        let (took, answer) = timed(*operation, &data);
        match answer {
            // Seventeen digits: the float as it is.
            Ok(values) => {
                let values: Vec<String> = values.iter().map(|y| format!("{y:.16e}")).collect();
                let values = values.join(", ");
                let ns = took.as_nanos();
                writeln!(out, "{{\"ns\": {ns}, \"values\": [{values}]}}")?;
            }
            Err(problem) => writeln!(out, "{{\"problem\": \"{problem}\"}}")?,
        }
        out.flush()?;
    }
    Ok(())
}

fn main() -> std::io::Result<()> {
    let given: Vec<String> = std::env::args().skip(1).collect();
    if let [word, path] = given.as_slice()
        && word == "serve"
    {
        return serve(path);
    }
    let data = Data::own();
    for (name, operation) in OPERATIONS {
        let mut times: Vec<Duration> = (0..TURNS).map(|_| timed(operation, &data).0).collect();
        times.sort_unstable();
        let median = times.get(TURNS / 2).copied().unwrap_or_default();
        let per_value = median.as_secs_f64() * 1e9 / data.values_mm.len() as f64;
        println!("{name:<24} {median:>10.1?}, {per_value:.2} ns per value");
    }
    println!("ratios to a reference library: python3 benches/session_stats.py");
    Ok(())
}
