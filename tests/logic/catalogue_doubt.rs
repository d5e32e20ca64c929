//! What is in doubt across sessions, found with the catalogue: the same as when every session is
//! read for it.

use std::collections::BTreeSet;

use fitledger::gauge::GaugeId;
use fitledger::session::{Check, End, SessionRecord, resting_on};
use jiff::Timestamp;

use crate::support::cabinet::{Cabinet, random_session};

struct Bad {
    gauge: GaugeId,
    time: Timestamp,
    journal: String,
    line: u64,
    good: bool,
    since: Option<Timestamp>,
}

fn read(cabinet: &Cabinet) -> Vec<(String, SessionRecord)> {
    let catalogue = cabinet.opened();
    let entries = catalogue.entries().iter();
    let read = entries.map(|entry| {
        let read = SessionRecord::read(&cabinet.folders(), entry.record_parts(), Check::State);
        (entry.journal().to_owned(), read.unwrap())
    });
    read.collect()
}

fn checks(records: &[(String, SessionRecord)]) -> Vec<Bad> {
    let mut all = Vec::new();
    for (journal, read) in records {
        let state = read.replayed.state.as_ref().unwrap();
        for (gauge, zeros) in state.zeros().all() {
            for zero in zeros.iter().filter(|zero| zero.line > 0) {
                all.push(Bad {
                    gauge: gauge.clone(),
                    time: read
                        .replayed
                        .time_at(u64::try_from(zero.at_ms).unwrap())
                        .unwrap(),
                    journal: journal.clone(),
                    line: zero.line,
                    good: zero.good,
                    since: zero.since.as_deref().map(|since| since.parse().unwrap()),
                });
            }
        }
    }
    all.sort_by_key(|check| (check.time, check.line, check.journal.clone()));
    all
}

/// Journal and line of every judged reading in doubt, by the rule itself: a finding doubts what
/// was taken with the gauge, or rests on it, before it and after the moment that it names, else
/// after the last good check before it.
fn in_doubt(records: &[(String, SessionRecord)]) -> BTreeSet<(String, u64)> {
    let checks = checks(records);
    let mut found = BTreeSet::new();
    for (journal, read) in records {
        let state = read.replayed.state.as_ref().unwrap();
        let setup = state.setup();
        for record in state.readings().iter().filter(|one| one.end == End::Judged) {
            let Some(gauge) = record.gauge.and_then(|index| setup.gauge_id(index)) else {
                continue;
            };
            let target = &setup.targets[usize::from(record.target)];
            let carrier = setup
                .carrier(target, &gauge)
                .map(|carrier| carrier.id.clone());
            let time = read.replayed.time_at(record.at_ms).unwrap();
            let is_after = |check: &Bad| match check.journal == *journal {
                true => record.sequence > check.line,
                false => time > check.time,
            };
            let doubts = |(at, bad): (usize, &Bad)| {
                let rests = resting_on(setup.register.gauges(), &bad.gauge).contains(&gauge)
                    || carrier.as_ref() == Some(&bad.gauge);
                let mut good = checks[..at].iter().rev();
                let good = good.find(|check| check.good && check.gauge == bad.gauge);
                let begun = match bad.since {
                    Some(since) => time > since,
                    None => good.is_none_or(is_after),
                };
                !bad.good && rests && !is_after(bad) && begun
            };
            if checks.iter().enumerate().any(doubts) {
                found.insert((journal.clone(), record.sequence));
            }
        }
    }
    found
}

#[test]
fn what_is_in_doubt_is_found_without_reading_every_session() {
    let (mut across, mut all) = (0, 0);
    for seed in [7_000, 7_100, 7_200] {
        let cabinet = Cabinet::new();
        for session in 0..30 {
            let bench = random_session(seed + session, 40);
            cabinet.put(&format!("doubt-{seed}-{session:03}.jsonl"), &bench);
        }
        let records = read(&cabinet);
        let expected = in_doubt(&records);
        let catalogue = cabinet.opened();
        assert_eq!(catalogue.read(), 0);
        let story = catalogue.story();
        let found: BTreeSet<(String, u64)> = story
            .doubtful
            .iter()
            .map(|one| (one.journal.clone(), one.reading))
            .collect();
        assert_eq!(found, expected, "seed {seed}");
        let other = story.doubtful.iter().filter(|one| {
            let check = &story.checks[one.because];
            check.journal != one.journal
        });
        (across, all) = (across + other.count(), all + found.len());
        // The parts of the entries say the same.
        for entry in catalogue.entries() {
            let parts: BTreeSet<u32> = story
                .doubtful
                .iter()
                .filter(|one| one.journal == entry.journal() && !one.is_measured_again)
                .map(|one| one.place.part)
                .collect();
            let kept: BTreeSet<u32> = entry.in_doubt.iter().copied().collect();
            assert_eq!(kept, parts, "{}", entry.journal());
        }
    }
    assert!(
        across > 20 && all > 60,
        "{across} of {all} from other sessions"
    );
}
