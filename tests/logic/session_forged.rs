//! Signatures in journals that somebody put together anew: the chain is right, so that only the
//! signature, which names a line and its hash, can tell.

use fitledger::journal::{Meaning, Part, Report, SignedOff, State};
use fitledger::session::{Check, Command, Incoming, Replayed, replay};

use crate::support::bench::{Bench, NAME, feature, plan, typed};
use crate::support::forged::{chained, lines_of};

/// A closed session of one part, whose values tell it from others, signed before its close.
fn signed(values: [&str; 2]) -> Vec<u8> {
    let mut bench = Bench::new(plan(&feature("A", "20 k6", "points = 2")));
    for value in values {
        bench.reads(value);
    }
    let signature = SignedOff {
        part: 1,
        meaning: Meaning::Released,
        manner: fitledger::journal::Manner::Plain,
        by: "Grace".to_owned(),
        reason: String::new(),
        covers: SignedOff::JUST_BEFORE,
        hash: String::new(),
        left: Vec::new(),
    };
    bench.asks(Command::SignOff(Box::new(signature)));
    bench.asks(Command::Close {
        reason: "done".to_owned(),
    });
    bench.check();
    bench.disk.bytes(NAME)
}

fn read(journal: &[u8]) -> (Report, Replayed) {
    let part = Part {
        name: NAME.to_owned(),
        until: None,
    };
    let (mut reports, replayed) = replay(&[part], |_| Ok(journal), Check::Verdicts).unwrap();
    (reports.remove(0), replayed)
}

/// Kinds of the faults, the numbers of their lines, and their offsets.
fn faults(replayed: &Replayed) -> Vec<(&'static str, u64, u64)> {
    let all = replayed.faults.iter();
    all.map(|one| (one.kind, one.sequence, one.offset))
        .collect()
}

fn at_of(lines: &[(String, String)], kind: &str) -> usize {
    lines.iter().position(|(found, _)| found == kind).unwrap()
}

/// The chain of a forgery is sound; its signature is misplaced, and said to be, at its line.
fn check_misplaced(lines: &[(String, String)], case: &str) {
    let forged = chained(lines);
    let (report, replayed) = read(&forged);
    assert_eq!(
        (report.state, report.findings.len()),
        (State::Sound, 0),
        "{case}"
    );
    let number = at_of(lines, "signed_off") as u64 + 1;
    let starts = crate::support::journals::line_starts(&forged);
    let offset = starts[at_of(lines, "signed_off")] as u64;
    let found = faults(&replayed);
    assert!(
        found.contains(&("signature_misplaced", number, offset)),
        "{case}: {found:?}"
    );
}

#[test]
fn an_honest_signature_covers_the_line_before_it() {
    let (report, replayed) = read(&signed(["20.008", "20.009"]));
    assert_eq!(
        (report.state, faults(&replayed)),
        (State::Sound, Vec::new())
    );
}

#[test]
fn a_signature_moved_to_another_record_is_found_though_the_chain_is_right() {
    let (good, other) = (signed(["20.008", "20.009"]), signed(["20.007", "20.006"]));
    let (good, mut other) = (lines_of(&good), lines_of(&other));
    let at = at_of(&other, "signed_off");
    assert_eq!(
        at,
        at_of(&good, "signed_off"),
        "the same line number in both"
    );
    other[at] = good[at].clone();
    check_misplaced(&other, "taken from another record");
}

#[test]
fn a_signature_moved_within_its_record_or_left_over_a_changed_one_is_found() {
    let lines = lines_of(&signed(["20.008", "20.009"]));
    let at = at_of(&lines, "signed_off");
    let mut earlier = lines.clone();
    earlier.swap(at, at - 1);
    check_misplaced(&earlier, "moved up by a line");
    // One raw value was changed, with all hashes made anew after it: none but the signature.
    let mut changed = lines.clone();
    let reading = at_of(&changed, "reading_received");
    changed[reading].1 = changed[reading].1.replace("32302e303038", "32302e303037");
    assert_ne!(changed[reading], lines[reading]);
    check_misplaced(&changed, "over a changed reading");
    let mut without = lines.clone();
    let first = at_of(&without, "part_started");
    without.insert(
        first,
        ("tool_changed".to_owned(), "{\"note\":\"x\"}".to_owned()),
    );
    check_misplaced(&without, "over a line put in");
}

/// What no chain without a secret can show (R6): who makes the signature anew too has a sound
/// record. Its last hash is another one than that on the reports that left the house.
#[test]
fn a_record_made_anew_with_its_signature_is_sound_and_has_another_head() {
    let honest = signed(["20.008", "20.009"]);
    let anew = signed(["20.008", "20.007"]);
    let ((here, honest), (there, anew)) = (read(&honest), read(&anew));
    assert_eq!((faults(&honest), faults(&anew)), (Vec::new(), Vec::new()));
    assert_eq!((here.state, there.state), (State::Sound, State::Sound));
    assert_eq!(here.events, there.events);
    assert_ne!(here.head, there.head);
}

/// The event keeps its meaning through a batch: it is sealed over the line just before it.
#[test]
fn a_signature_in_one_batch_with_readings_covers_the_last_line_before_it() {
    let mut bench = Bench::new(plan(&feature("A", "20 k6", "")));
    let signature = SignedOff {
        part: 0,
        meaning: Meaning::Measured,
        manner: fitledger::journal::Manner::Plain,
        by: "Ada".to_owned(),
        reason: String::new(),
        covers: SignedOff::JUST_BEFORE,
        hash: String::new(),
        left: Vec::new(),
    };
    bench.take(vec![
        Incoming::Reading(typed("mic", "20.008")),
        Incoming::Command(Command::SignOff(Box::new(signature))),
        Incoming::Reading(typed("mic", "20.009")),
    ]);
    bench.check();
    let lines = lines_of(&bench.disk.bytes(NAME));
    let at = at_of(&lines, "signed_off");
    assert!(
        lines[at].1.contains(&format!("\"covers\":{at},")),
        "{:?}",
        lines[at]
    );
}
