//! Time of a copy of the state, which is made for each group of decisions and for each snapshot: a
//! long session must not make it slow. A state of a million readings and ten thousand parts. And the
//! time that the rows over the parts take for each further reading, after few parts and many.
#![allow(missing_docs)] // the benchmark macros make public functions

use std::error::Error;
use std::hint::black_box;
use std::sync::Arc;
use std::time::{Duration, Instant};

use criterion::{Criterion, criterion_group, criterion_main};
use fitledger::gauge::{GaugeId, GaugeStatus, Observed, Origin, Reading, Shown};
use fitledger::journal::{Event, Outcome, Place, SessionOpened, ValueUnit, VerdictGiven};
use fitledger::measure::{Rule, Side, VerdictWord};
use fitledger::quantity::{Length, LengthUnit};
use fitledger::session::{Batch, Setup, State};

const PARTS: u32 = 10_000;
const READINGS_A_PART: u64 = 100;

fn reading() -> Reading {
    Reading {
        gauge: GaugeId::new("typed"),
        observed: Observed::Length(Length::from_um(20_008)),
        shown: Shown {
            unit: LengthUnit::Millimetre,
            decimals: 3,
            minus: false,
        },
        status: GaugeStatus::Ok,
        origin: Origin::Typed,
        raw: b"20.008".to_vec(),
        rounded: false,
    }
}

/// So many parts with so many readings each.
fn long_session(parts: u32, readings: u64) -> Result<State, Box<dyn Error>> {
    let opened = SessionOpened {
        callouts: vec!["20 k6".to_owned()],
        ..SessionOpened::default()
    };
    let mut state = State::new(Arc::new(Setup::of(&opened)?));
    let mut line = 1;
    let mut apply = |event: &Event| {
        line += 1;
        state.apply(line, line, event).map(|()| line)
    };
    for part in 1..=parts {
        apply(&Event::PartStarted { part })?;
        for _ in 0..readings {
            let reading = apply(&Event::ReadingReceived(reading()))?;
            let reason = "bench".to_owned();
            apply(&Event::ReadingSetAside { reading, reason })?;
        }
    }
    Ok(state)
}

fn copies(criterion: &mut Criterion) {
    for (name, parts, readings) in [
        ("copy of a state, 1 part, 100 readings", 1, READINGS_A_PART),
        (
            "copy of a state, 10 000 parts, 1 000 000 readings",
            PARTS,
            READINGS_A_PART,
        ),
    ] {
        let state = match long_session(parts, readings) {
            Ok(state) => state,
            Err(error) => {
                eprintln!("the state could not be built: {error}");
                return;
            }
        };
        criterion.bench_function(name, |bencher| bencher.iter(|| black_box(state.clone())));
    }
}

/// A part whose value came out so, as events with their lines.
fn part_events(part: u32, line: u64) -> [(u64, Event); 3] {
    // Sizes that wander within a few micrometres.
    let off = i64::from(part.wrapping_mul(2_654_435_761) >> 20) - 2_048;
    let verdict = VerdictGiven {
        reading: line + 1,
        place: Place {
            part,
            feature: "1".to_owned(),
            element: "size".to_owned(),
            point: 1,
        },
        points: 1,
        from: vec![line + 1],
        value_at_20: 20_008_000 + off,
        u: None,
        lower: Some(20_002_000),
        upper: Some(20_015_000),
        unit: ValueUnit::Nanometre,
        outcome: Outcome::Verdict(VerdictWord::Go),
        side: Side::Inside,
        to_middle: None,
        conformance_ppm: None,
        rule: Rule::Simple,
        notes: Vec::new(),
    };
    [
        (line, Event::PartStarted { part }),
        (line + 1, Event::ReadingReceived(reading())),
        (line + 2, Event::VerdictGiven(Arc::new(verdict))),
    ]
}

/// So many further parts are timed at most; the time of more is taken in proportion.
const TIMED_MAX: u32 = 20_000;

/// Time that the rows over the parts take for each further reading: sums, limits, signals.
fn rows(criterion: &mut Criterion) {
    for parts in [100, 100_000] {
        let opened = SessionOpened {
            callouts: vec!["20 k6".to_owned()],
            ..SessionOpened::default()
        };
        let Ok(setup) = Setup::of(&opened) else {
            return;
        };
        let mut state = State::new(Arc::new(setup));
        for part in 1..=parts {
            for (line, event) in part_events(part, u64::from(part) * 3) {
                if let Err(error) = state.apply(line, line, &event) {
                    eprintln!("the state could not be built: {error}");
                    return;
                }
            }
        }
        let batch = Batch::of(&state);
        let name = format!("a further reading in the rows over {parts} parts");
        criterion.bench_function(&name, |bencher| {
            bencher.iter_custom(|iterations| {
                let (mut state, mut batch) = (state.clone(), batch.clone());
                let timed = u32::try_from(iterations)
                    .unwrap_or(TIMED_MAX)
                    .min(TIMED_MAX);
                let mut spent = Duration::ZERO;
                for part in parts + 1..=parts + timed {
                    for (line, event) in part_events(part, u64::from(part) * 3) {
                        drop(state.apply(line, line, &event));
                        let start = Instant::now();
                        black_box(batch.follow(&state, &event));
                        spent += start.elapsed();
                    }
                }
                let share = iterations as f64 / f64::from(timed);
                spent.mul_f64(share)
            });
        });
    }
}

criterion_group!(benches, copies, rows);
criterion_main!(benches);
