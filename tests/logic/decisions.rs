//! What people decide about parts: rework, hold, scrap, concession, signatures. A decision never
//! changes a verdict, an open part is never GO, and what is not proved is never simply released
//! (requirements A5 to A8, B1, C9 of an inspection record; ISO 9001:2015 8.6 and 8.7 in plain
//! words).

use fitledger::journal::{
    Disposition, DispositionKind, Event, Manner, Meaning, SignedOff, StorageFolder,
};
use fitledger::session::{Command, PartState, Standing};

use crate::support::bench::{Bench, NAME, feature, plan};
use crate::support::cruel_disk::Fault;

/// Two seats that the micrometer of the bench can prove, three parts wanted.
fn two_seats() -> Bench {
    let text = feature("A", "20 k6", "") + &feature("B", "18 h9", "");
    Bench::new(plan(&text))
}

fn dispose(kind: DispositionKind, part: u32, feature: &str, reason: &str) -> Command {
    Command::Dispose(Box::new(Disposition {
        part,
        kind,
        feature: feature.to_owned(),
        element: String::new(),
        reason: reason.to_owned(),
        by: "Weber".to_owned(),
        agreed_with: String::new(),
        of: 0,
    }))
}

fn withdraw(part: u32, of: u64) -> Command {
    let Command::Dispose(mut given) = dispose(DispositionKind::Withdrawn, part, "", "mixed up")
    else {
        unreachable!()
    };
    given.of = of;
    Command::Dispose(given)
}

fn sign(meaning: Meaning, manner: Manner, part: u32, by: &str, reason: &str) -> Command {
    Command::SignOff(Box::new(SignedOff {
        part,
        meaning,
        manner,
        by: by.to_owned(),
        reason: reason.to_owned(),
        covers: SignedOff::JUST_BEFORE,
        hash: String::new(),
        left: Vec::new(),
    }))
}

fn release(manner: Manner, part: u32, reason: &str) -> Command {
    sign(Meaning::Released, manner, part, "Weber", reason)
}

fn standing(bench: &Bench, part: u32) -> &'static str {
    let state = bench.state();
    state.standing(state.part(part).unwrap()).word()
}

fn state_of(bench: &Bench, part: u32) -> PartState {
    bench.state().part(part).unwrap().state()
}

/// The line of the last event on the disk.
fn head(bench: &Bench) -> u64 {
    bench.recorder.head().seq
}

/// A part that is GO in both seats.
fn good(bench: &mut Bench) {
    assert_eq!(bench.reads("20.009"), "GO");
    assert_eq!(bench.reads("17.980"), "GO");
}

#[test]
fn a_part_that_is_go_is_released_by_name_and_the_signature_names_the_line_before_it() {
    let mut bench = two_seats();
    good(&mut bench);
    assert_eq!(standing(&bench, 1), "GO");
    let covered = bench.recorder.head();
    let events = bench.asks(release(Manner::Plain, 1, ""));
    let [Event::SignedOff(signed)] = events.as_slice() else {
        panic!("{events:?}")
    };
    assert_eq!(
        (signed.covers, &signed.hash),
        (covered.seq, &covered.hash.to_string())
    );
    assert_eq!(
        (signed.manner, signed.by.as_str()),
        (Manner::Plain, "Weber")
    );
    assert!(signed.left.is_empty());
    assert_eq!(standing(&bench, 1), "released");
    // The verdicts are what they were.
    assert_eq!(state_of(&bench, 1), PartState::Go);
    bench.check();
}

#[test]
fn an_open_part_is_never_go_and_leaves_only_early_with_a_name_and_a_reason() {
    let mut bench = two_seats();
    assert_eq!(bench.reads("20.009"), "GO");
    assert_eq!(standing(&bench, 1), "open");
    assert_eq!(
        bench.refuses(release(Manner::Plain, 1, "")),
        "not_releasable"
    );
    assert_eq!(
        bench.refuses(release(Manner::InDoubt, 1, "why not")),
        "not_releasable"
    );
    assert_eq!(
        bench.refuses(release(Manner::Early, 1, " ")),
        "reason_missing"
    );
    let events = bench.asks(release(Manner::Early, 1, "the pump stands still"));
    let [Event::SignedOff(signed)] = events.as_slice() else {
        panic!("{events:?}")
    };
    let left: Vec<_> = signed
        .left
        .iter()
        .map(|one| (one.feature.as_str(), one.state.as_str()))
        .collect();
    assert_eq!(left, [("B", "open")]);
    assert_eq!(standing(&bench, 1), "released early");
    assert_eq!(state_of(&bench, 1), PartState::Open);
    let state = bench.state();
    assert!(!state.standing(state.part(1).unwrap()).is_good());
    bench.check();
}

#[test]
fn a_part_beyond_its_limits_needs_a_concession_and_never_becomes_go() {
    let mut bench = two_seats();
    // Below 20.002 by far: metal is gone.
    assert_eq!(bench.reads("19.900"), "NO-GO metal_gone");
    bench.asks(Command::ChooseCharacteristic {
        feature: "B".into(),
        element: String::new(),
    });
    assert_eq!(bench.reads("17.980"), "GO");
    for manner in [
        Manner::Plain,
        Manner::Early,
        Manner::InDoubt,
        Manner::UnderConcession,
    ] {
        assert_eq!(
            bench.refuses(release(manner, 1, "looks fine")),
            "not_releasable"
        );
    }
    // What is good needs no concession, and what is not there gets none.
    let concession =
        |feature: &str| dispose(DispositionKind::Concession, 1, feature, "bush fitted");
    assert_eq!(bench.refuses(concession("B")), "nothing_to_concede");
    assert_eq!(bench.refuses(concession("C")), "no_such_characteristic");
    bench.asks(concession("A"));
    assert_eq!(standing(&bench, 1), "under concession");
    bench.asks(release(Manner::Plain, 1, ""));
    assert_eq!(standing(&bench, 1), "released under concession");
    let part = bench.state().part(1).unwrap();
    let release = part.decided.release().unwrap();
    assert_eq!(release.signed.manner, Manner::UnderConcession);
    assert_eq!(release.signed.left.len(), 1);
    assert_eq!(release.signed.left[0].state, "NO-GO");
    assert_ne!(part.state(), PartState::Go);
    assert!(!bench.state().standing(part).is_good());
    bench.check();
}

#[test]
fn a_doubt_is_released_only_as_one_and_its_chance_stands_in_the_signature() {
    let mut bench = Bench::new(plan(&feature("A", "20 k6", "")));
    // The caliper cannot prove five hundredths of a tolerance of thirteen micrometres.
    assert_eq!(bench.reads_with("caliper", "20.01"), "DOUBT");
    assert_eq!(
        bench.refuses(release(Manner::Plain, 1, "")),
        "not_releasable"
    );
    assert_eq!(
        bench.refuses(release(Manner::Early, 1, "hurry")),
        "not_releasable"
    );
    assert_eq!(
        bench.refuses(release(Manner::InDoubt, 1, "")),
        "reason_missing"
    );
    bench.asks(release(Manner::InDoubt, 1, "no better gauge here"));
    assert_eq!(standing(&bench, 1), "released in doubt");
    let part = bench.state().part(1).unwrap();
    let left = &part.decided.release().unwrap().signed.left;
    assert_eq!(left[0].state, "DOUBT");
    let chance = left[0].conformance_ppm.unwrap();
    assert!((1..999_999).contains(&chance), "{chance}");
    assert_ne!(part.state(), PartState::Go);
    bench.check();
}

#[test]
fn a_part_on_hold_or_scrapped_does_not_leave_until_that_is_withdrawn() {
    let mut bench = two_seats();
    good(&mut bench);
    bench.asks(dispose(
        DispositionKind::Hold,
        1,
        "",
        "a crack is looked for",
    ));
    let hold = head(&bench);
    assert_eq!(standing(&bench, 1), "on hold");
    assert_eq!(
        bench.refuses(release(Manner::Plain, 1, "")),
        "not_releasable"
    );
    assert_eq!(bench.refuses(withdraw(1, hold - 1)), "no_such_decision");
    bench.asks(withdraw(1, hold));
    assert_eq!(standing(&bench, 1), "GO");
    assert_eq!(bench.refuses(withdraw(1, hold)), "no_such_decision");
    bench.asks(dispose(DispositionKind::Scrap, 1, "", "cracked"));
    let scrap = head(&bench);
    assert_eq!(standing(&bench, 1), "scrap");
    assert_eq!(
        bench.refuses(release(Manner::Plain, 1, "")),
        "part_scrapped"
    );
    assert_eq!(
        bench.refuses(Command::TakeUpPart { part: 1 }),
        "part_scrapped"
    );
    let rework = dispose(DispositionKind::Rework, 1, "", "again");
    assert_eq!(bench.refuses(rework), "part_scrapped");
    bench.asks(withdraw(1, scrap));
    bench.asks(release(Manner::Plain, 1, ""));
    assert_eq!(standing(&bench, 1), "released");
    // All of it is still there, the withdrawn too.
    assert_eq!(bench.state().part(1).unwrap().decided.dispositions.len(), 4);
    bench.check();
}

#[test]
fn rework_is_measured_anew_on_its_part_and_old_and_new_stay_visible() {
    let mut bench = two_seats();
    // Metal is still on: 0.05 above.
    assert_eq!(bench.reads("20.065"), "NO-GO metal_on");
    bench.asks(Command::ChooseCharacteristic {
        feature: "B".into(),
        element: String::new(),
    });
    assert_eq!(bench.reads("17.980"), "GO");
    bench.asks(Command::StartNextPart);
    assert_eq!(bench.reads("20.009"), "GO");
    // Back to the first part, while the second is open.
    bench.asks(dispose(DispositionKind::Rework, 1, "A", "polished"));
    assert_eq!(standing(&bench, 1), "rework");
    let (_, place) = bench.state().current_place().unwrap();
    assert_eq!((place.part, place.feature.as_str()), (1, "A"));
    // Without the rework this would disagree with the reading before it.
    let verdict = bench.verdict("mic", "20.010");
    assert_eq!(verdict.place.part, 1);
    assert_eq!(verdict.from.len(), 1);
    assert_eq!(standing(&bench, 1), "GO");
    let first = bench.state().readings().iter().next().unwrap();
    assert_eq!(first.value, 20_065_000);
    // The next reading goes back to where the work stood.
    let events = bench.events("mic", "17.981");
    assert!(
        matches!(
            events
                .iter()
                .find(|e| matches!(e, Event::PartTakenUp { .. })),
            Some(Event::PartTakenUp { part: 2 })
        ),
        "{events:?}"
    );
    assert_eq!(state_of(&bench, 2), PartState::Go);
    // And after that a third part begins.
    let events = bench.events("mic", "20.009");
    assert!(
        events.contains(&Event::PartStarted { part: 3 }),
        "{events:?}"
    );
    bench.check();
}

#[test]
fn a_later_reading_or_void_lets_a_release_lapse() {
    let mut bench = two_seats();
    good(&mut bench);
    bench.asks(release(Manner::Plain, 1, ""));
    let reading = bench.readings()[1];
    bench.void(Some(reading));
    assert_eq!(standing(&bench, 1), "changed since release");
    assert_eq!(bench.reads("17.979"), "GO");
    assert_eq!(standing(&bench, 1), "changed since release");
    bench.asks(release(Manner::Plain, 1, ""));
    assert_eq!(standing(&bench, 1), "released");
    let signatures = &bench.state().part(1).unwrap().decided.signatures;
    assert_eq!(signatures.len(), 2);
    assert!(signatures[0].lapsed_by > signatures[0].line);
    // The next part changes nothing for this one.
    assert_eq!(bench.reads("20.009"), "GO");
    assert_eq!(standing(&bench, 1), "released");
    bench.check();
}

#[test]
fn nobody_decides_without_a_name_and_a_reason() {
    let mut opened = plan(&feature("A", "20 k6", ""));
    opened.operator = String::new();
    let mut bench = Bench::new(opened);
    assert_eq!(bench.refuses(release(Manner::Plain, 1, "")), "no_such_part");
    assert_eq!(bench.reads("20.009"), "GO");
    let unnamed = sign(Meaning::Released, Manner::Plain, 1, "  ", "");
    assert_eq!(bench.refuses(unnamed.clone()), "name_missing");
    let hold = dispose(DispositionKind::Hold, 1, "", " ");
    assert_eq!(bench.refuses(hold), "reason_missing");
    bench.asks(Command::ChangeOperator { name: "Kim".into() });
    bench.asks(unnamed);
    let part = bench.state().part(1).unwrap();
    assert_eq!(part.decided.release().unwrap().signed.by, "Kim");
    assert_eq!(bench.refuses(release(Manner::Plain, 7, "")), "no_such_part");
}

#[test]
fn the_session_is_released_after_its_parts_and_signed_as_measured_and_checked_any_time() {
    let mut bench = two_seats();
    good(&mut bench);
    good(&mut bench);
    bench.asks(sign(Meaning::Measured, Manner::Plain, 0, "Ada", ""));
    bench.asks(sign(Meaning::Checked, Manner::Plain, 2, "Weber", ""));
    assert_eq!(
        bench.refuses(release(Manner::Plain, 0, "")),
        "not_releasable"
    );
    bench.asks(release(Manner::Plain, 1, ""));
    bench.asks(dispose(DispositionKind::Scrap, 2, "", "fell down"));
    bench.asks(release(Manner::Plain, 0, ""));
    let meanings: Vec<_> = bench
        .state()
        .signatures()
        .iter()
        .map(|one| (one.signed.meaning.word(), one.lapsed_by > 0))
        .collect();
    // Scrapping the second part changed what had been signed before.
    assert_eq!(meanings, [("measured", true), ("released", false)]);
    bench.check();
}

#[test]
fn at_a_stage_before_the_last_a_part_is_never_go() {
    let text = feature(
        "A",
        "20 k6",
        "stages = [\"turned\", \"polished\"]\nleave = 0.02",
    );
    let mut opened = plan(&text);
    opened.stage = "turned".to_owned();
    let mut bench = Bench::new(opened);
    assert_eq!(bench.reads("20.029"), "GO");
    let state = bench.state();
    assert_eq!(state.standing(state.part(1).unwrap()), Standing::StageDone);
    assert!(!Standing::StageDone.is_good());
    assert_eq!(
        bench.refuses(release(Manner::Plain, 1, "")),
        "not_releasable"
    );
    bench.asks(release(Manner::Early, 1, "polished elsewhere"));
    let left = &bench
        .state()
        .part(1)
        .unwrap()
        .decided
        .release()
        .unwrap()
        .signed
        .left;
    assert_eq!(left[0].state, "stage");
    bench.check();
}

#[test]
fn a_serial_number_belongs_to_one_part_and_the_last_one_given_holds() {
    let mut bench = two_seats();
    let name = |part, serial: &str| Command::NamePart {
        part,
        serial: serial.to_owned(),
    };
    // Before the first reading it begins the first part.
    bench.asks(name(None, " GP-1 "));
    good(&mut bench);
    good(&mut bench);
    assert_eq!(bench.refuses(name(Some(2), "GP-1")), "serial_taken");
    assert_eq!(bench.refuses(name(Some(9), "GP-9")), "no_such_part");
    bench.asks(name(None, "GP-2"));
    bench.asks(name(Some(1), "GP-0"));
    let state = bench.state();
    let serial = |part| state.part(part).unwrap().decided.serial.as_str();
    assert_eq!((serial(1), serial(2)), ("GP-0", "GP-2"));
    bench.check();
}

#[test]
fn a_signature_that_cannot_be_written_is_sealed_anew_in_the_continuation() {
    let mut bench = two_seats();
    good(&mut bench);
    bench.disk.fail_after(0, Fault::Errno(5), true);
    let taken = bench.take(vec![fitledger::session::Incoming::Command(release(
        Manner::Plain,
        1,
        "",
    ))]);
    assert!(taken.failure.is_some());
    assert_eq!(standing(&bench, 1), "GO");
    let fresh = crate::support::cruel_disk::CruelDisk::default();
    let moment = bench.later();
    bench
        .recorder
        .continue_in(&fresh, "next.jsonl", moment)
        .unwrap();
    assert_eq!(standing(&bench, 1), "released");
    let release = bench
        .state()
        .part(1)
        .unwrap()
        .decided
        .release()
        .unwrap()
        .clone();
    // The line before it is the one that opened the continuation.
    assert_eq!(release.signed.covers, release.line - 1);
    let lines = fresh.open_read("next.jsonl").unwrap();
    let mut seen = Vec::new();
    fitledger::journal::verify(lines, |sound| seen.push((sound.line.seq, sound.line.hash)))
        .unwrap();
    let covered = seen
        .iter()
        .find(|(seq, _)| *seq == release.signed.covers)
        .unwrap();
    assert_eq!(covered.1.to_string(), release.signed.hash);
    assert_ne!(bench.recorder.journal(), NAME);
}

#[test]
fn a_concession_covers_what_was_known_when_it_was_given_and_nothing_after_it() {
    let mut bench = Bench::new(plan(&feature("A", "20 k6", "")));
    assert_eq!(bench.reads("19.998"), "NO-GO metal_gone");
    bench.asks(dispose(DispositionKind::Concession, 1, "A", "bush fitted"));
    assert_eq!(standing(&bench, 1), "under concession");
    // Worked on again, and far worse: nobody has accepted that.
    bench.asks(dispose(DispositionKind::Rework, 1, "A", "polished"));
    assert_eq!(bench.reads("19.900"), "NO-GO metal_gone");
    assert_ne!(standing(&bench, 1), "under concession");
    let plain = release(Manner::Plain, 1, "");
    assert_eq!(bench.refuses(plain), "not_releasable");
    bench.asks(dispose(
        DispositionKind::Concession,
        1,
        "A",
        "for the test bed",
    ));
    bench.asks(release(Manner::Plain, 1, ""));
    assert_eq!(standing(&bench, 1), "released under concession");
    bench.check();
}

#[test]
fn a_concession_does_not_stand_for_points_that_were_never_measured() {
    let mut bench = Bench::new(plan(&feature("A", "20 k6", "points = 2")));
    assert_eq!(bench.reads("19.900"), "NO-GO metal_gone");
    bench.asks(dispose(DispositionKind::Concession, 1, "A", "bush fitted"));
    let plain = release(Manner::Plain, 1, "");
    assert_eq!(bench.refuses(plain), "not_releasable");
    bench.asks(release(Manner::Early, 1, "the pump stands still"));
    let part = bench.state().part(1).unwrap();
    let left = &part.decided.release().unwrap().signed.left;
    let states: Vec<_> = left.iter().map(|one| one.state.as_str()).collect();
    assert_eq!(states, ["NO-GO", "open"]);
    assert_eq!(standing(&bench, 1), "released early");
    bench.check();
}
