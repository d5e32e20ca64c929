//! Time of a copy of the state, which is made for each group of decisions and for each snapshot: a
//! long session must not make it slow. A state of a million readings and ten thousand parts.
#![allow(missing_docs)] // the benchmark macros make public functions

use std::error::Error;
use std::hint::black_box;
use std::sync::Arc;

use criterion::{Criterion, criterion_group, criterion_main};
use fitledger::gauge::{GaugeId, GaugeStatus, Observed, Origin, Reading, Shown};
use fitledger::journal::{Event, SessionOpened};
use fitledger::quantity::{Length, LengthUnit};
use fitledger::session::{Setup, State};

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

criterion_group!(benches, copies);
criterion_main!(benches);
