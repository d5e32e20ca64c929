//! The wall clock steps during a session: order stays that of the lines, the verdicts stay what
//! they are, and the step is in the record.

use fitledger::journal::{Event, Moment, StorageFolder, event_of, verify};
use fitledger::session::{Command, Incoming};

use crate::support::bench::{Bench, NAME, feature, moment_at, plan, typed};

const VALUES: [&str; 6] = ["20.008", "20.009", "20.030", "20.031", "20.007", "20.006"];

/// A session whose clock is another one from the fourth batch on.
fn session(offset: &str, shift_ms: i64) -> Bench {
    let mut opened = plan(&feature("A", "20 k6", "points = 2"));
    opened.offset = offset.to_owned();
    let mut bench = Bench::new(opened);
    for (at, value) in (1..).zip(VALUES) {
        let shift = if at < 4 { 0 } else { shift_ms };
        let steady = moment_at(at * 1_000);
        let moment = Moment {
            time: steady.time + jiff::SignedDuration::from_millis(shift),
            ..steady
        };
        let mut batch = vec![(moment, Incoming::Reading(typed("mic", value)))];
        if at == 2 {
            batch.push((moment, Incoming::Command(Command::StartNextPart)));
        }
        let taken = bench.recorder.take(batch);
        assert_eq!(taken.failure, None);
        bench
            .told
            .extend(taken.recorded.into_iter().map(|one| one.event));
    }
    bench
}

fn steps(bench: &Bench) -> Vec<i64> {
    let all = bench.told.iter();
    all.filter_map(|event| match event {
        Event::ClockStepped { by_ms } => Some(*by_ms),
        _ => None,
    })
    .collect()
}

/// What was told, without the step and the numbers of the lines, which one more line moves.
fn meaning(bench: &Bench) -> Vec<String> {
    let all = bench
        .told
        .iter()
        .filter(|event| event.kind() != "clock_stepped");
    all.map(|event| match event {
        Event::ReadingReceived(reading) => String::from_utf8(reading.raw.clone()).unwrap(),
        Event::VerdictGiven(given) => {
            format!(
                "{:?} {:?} {}",
                given.place, given.outcome, given.value_at_20
            )
        }
        other => other.kind().to_owned(),
    })
    .collect()
}

#[test]
fn a_clock_that_steps_changes_no_order_and_no_verdict_and_is_in_the_record() {
    let calm = session("+01:00", 0);
    assert!(steps(&calm).is_empty());
    let second = 1_000;
    let start: jiff::Timestamp = "2026-11-24T08:00:04Z".parse().unwrap();
    let to = |date: &str| {
        let date: jiff::Timestamp = date.parse().unwrap();
        date.as_millisecond() - start.as_millisecond()
    };
    for (what, shift_ms) in [
        ("a second back", -second),
        ("an hour back", -3_600 * second),
        ("to 1970", to("1970-01-01T00:00:00Z")),
        ("to 2040", to("2040-01-01T00:00:00Z")),
        ("a second on", second),
    ] {
        let bench = session("+01:00", shift_ms);
        assert_eq!(steps(&bench), [shift_ms], "{what}");
        assert_eq!(meaning(&bench), meaning(&calm), "{what}");
        bench.check();
        let mut lines = Vec::new();
        let mut earlier = 0;
        let mut last = String::new();
        verify(bench.disk.open_read(NAME).unwrap(), |sound| {
            lines.push(sound.line.seq);
            earlier += usize::from(sound.line.time < last.as_str());
            sound.line.time.clone_into(&mut last);
            event_of(sound.line.kind, sound.line.body).unwrap();
        })
        .unwrap();
        assert!(lines.iter().copied().eq(1..=lines.len() as u64), "{what}");
        assert_eq!(
            earlier,
            usize::from(shift_ms < -second),
            "{what}: the times are as they were"
        );
    }
}

/// Lines carry UTC: when the local hour changes, no line does, and there is no step.
#[test]
fn a_change_to_or_from_daylight_saving_is_no_step() {
    let (winter, summer) = (session("+01:00", 0), session("+02:00", 0));
    assert!(steps(&summer).is_empty());
    assert_eq!(winter.told, summer.told);
    summer.check();
}
