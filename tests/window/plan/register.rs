//! The gauge register is read again when its file changes: what can prove what stays true, and one
//! that is not sound is told while the last one that was still counts.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::time::Duration;

use fitledger::session::{GaugesSaid, GaugesWatch, Workspace};
use fitledger::window::plan_disk::PlanShelfFacts;
use fitledger::window::view::{Mark, PlanBodyView};

use super::live::Bench;
use super::scenes::{GAUGES, Hand, SHAFT, UNSOUND};
use super::{rows, said};

fn heard(hand: &mut Hand, text: &str) {
    hand.facts.hear_gauges(GaugesSaid::Text(text.to_owned()));
}

/// The sentences about gauges.
fn proofs(told: &str) -> Vec<&str> {
    let lines = told.lines();
    lines
        .filter(|line| line.contains(" (U ") || line.contains("ot for this"))
        .collect()
}

#[test]
fn a_register_that_is_not_sound_is_told_and_the_last_one_that_was_still_counts_marked() {
    let mut hand = Hand::on(SHAFT);
    let before = said(hand.seen());
    assert!(
        !before.contains("⚠") && proofs(&before).len() >= 2,
        "{before}"
    );
    heard(&mut hand, UNSOUND);
    let told = said(hand.seen());
    assert_eq!(proofs(&told), proofs(&before), "as by the last one");
    let mark =
        "⚠ By the last gauges.toml that was sound: the one on the disk is not, as page 4 says.";
    let lines: Vec<&str> = told.lines().collect();
    let at = lines.iter().position(|line| *line == mark).unwrap();
    assert_eq!(
        lines[at + 1],
        proofs(&told)[0],
        "it stands before them: {told}"
    );
    let sentence = "⚠ gauges.toml, line 5, column 14: ";
    assert!(
        lines.iter().any(|line| line.starts_with(sentence)),
        "{told}"
    );
    // On the page of faults too, as something that no session begins with.
    let list = rows(hand.keys("4").seen());
    let first = list
        .iter()
        .find(|row| row.name.starts_with("gauges.toml, line 5"))
        .unwrap();
    assert_eq!((first.mark, first.id.as_str()), (Some(Mark::NoGo), "file"));
    // Mended: another micrometer, and nothing of the mark is left.
    let mut hand = Hand::on(SHAFT);
    heard(&mut hand, UNSOUND);
    heard(&mut hand, &GAUGES.replace("mic-25", "mic-26"));
    let told = said(hand.seen());
    assert!(
        told.contains("mic-26 (U ") && !told.contains("gauges.toml, line"),
        "{told}"
    );
    assert!(
        told.contains("⚠ mic-25 is named for A and not in gauges.toml."),
        "{told}"
    );
    hand.facts.hear_gauges(GaugesSaid::NotThere);
    let told = said(hand.seen());
    assert!(
        told.contains("The register has no gauge") && proofs(&told).is_empty(),
        "{told}"
    );
}

#[test]
fn without_a_register_that_was_ever_sound_nothing_is_known_and_that_is_said() {
    let mut facts = PlanShelfFacts::default();
    facts.hear_gauges(GaugesSaid::Text(UNSOUND.to_owned()));
    assert!(facts.gauges.is_empty() && facts.gauges_fault.is_some());
    let mut hand = Hand::on(SHAFT);
    hand.facts.gauges.clear();
    heard(&mut hand, UNSOUND);
    let told = said(hand.seen());
    assert!(
        told.contains("⚠ gauges.toml cannot be used as it stands"),
        "{told}"
    );
    assert!(!told.contains("The register has no gauge"), "{told}");
    // Several faults: the first of them, and how many more.
    let two = format!("{UNSOUND}\n[[gauge]]\nid = \"x\"\nrange = nine\n");
    facts.hear_gauges(GaugesSaid::Text(two));
    let fault = facts.gauges_fault.unwrap();
    assert!(fault.ends_with("There is 1 more fault."), "{fault}");
    // What cannot be read is told in its own words; the list of files has it, too.
    let mut hand = Hand::at_files();
    let why = GaugesSaid::Unreadable("“gauges.toml” could not be read: denied.".to_owned());
    hand.facts.hear_gauges(why);
    let PlanBodyView::Files { notes, .. } = hand.seen().body else {
        panic!()
    };
    assert_eq!(notes[0].text, "“gauges.toml” could not be read: denied.");
    assert_eq!(hand.facts.gauges, GAUGES, "the last one still counts");
    // A long reason is told to its end.
    let mut hand = Hand::on(SHAFT);
    let long = format!("It is {}said at last.", "not ".repeat(80));
    hand.facts.hear_gauges(GaugesSaid::Unreadable(long.clone()));
    assert!(said(hand.seen()).ends_with(&long), "{}", said(hand.seen()));
    // Looked up anew: still the last one that was sound.
    let mut anew = PlanShelfFacts::default();
    anew.hear_gauges(GaugesSaid::Text(UNSOUND.to_owned()));
    assert_eq!(anew.after(&hand.facts).gauges, GAUGES);
    let mut anew = PlanShelfFacts::default();
    anew.hear_gauges(GaugesSaid::NotThere);
    assert_eq!(anew.after(&hand.facts).gauges, "");
}

#[test]
fn the_file_is_watched_while_the_room_is_open_and_nothing_of_what_is_typed_is_lost() {
    let mut bench = Bench::open(false);
    let path = bench.folder.path().join("gauges.toml");
    bench.keys("②⏎");
    assert!(bench.tells("mic-25 (U "));
    bench.keys("⏎↓⏎⌫⌫m");
    std::fs::write(&path, GAUGES.replace("mic-25", "mic-26")).unwrap();
    bench.until_told("gauges.toml was changed, and has been read again.");
    bench.keys("6⏎␛");
    assert!(bench.tells("mic-26 (U ") && bench.tells("1 edit, not saved"));
    assert!(bench.tells("mic-25 is named for A and not in gauges.toml."));
    // Broken, by an editor that puts another file in its place.
    let beside = bench.folder.path().join("beside");
    std::fs::write(&beside, UNSOUND).unwrap();
    std::fs::rename(&beside, &path).unwrap();
    bench.until_told("the last one that was sound still counts.");
    assert!(bench.tells("By the last gauges.toml that was sound") && bench.tells("mic-26 (U "));
    bench.keys("4");
    assert!(bench.tells("gauges.toml, line 5, column 14"));
    bench.keys("1s");
    assert!(
        bench.tells("Saved: plans/shaft.toml."),
        "a plan is saved all the same"
    );
    // To the list and back: still the last one that was sound.
    bench.keys("o");
    assert!(bench.tells("Which plan?") && bench.tells("gauges.toml, line 5, column 14"));
    bench.keys("⏎");
    assert!(bench.tells("By the last gauges.toml that was sound") && bench.tells("mic-26 (U "));
    bench.keys("4");
    std::fs::write(&path, [0xff, 0xfe, 0x00]).unwrap();
    bench.until_told("could not be read");
    bench.keys("1");
    assert!(bench.tells("By the last gauges.toml that was sound") && bench.tells("mic-26 (U "));
    std::fs::remove_file(&path).unwrap();
    bench.until_told("gauges.toml is gone: the register has no gauge now.");
    assert!(bench.tells("The register has no gauge") && !bench.tells("mic-26 (U "));
    std::fs::write(&path, GAUGES).unwrap();
    bench.until_told("mic-25 (U ");
    assert!(!bench.tells("By the last gauges.toml"));
}

#[test]
fn entered_with_one_that_is_not_sound_the_room_waits_for_it_to_be_mended() {
    let mut bench = Bench::open(false);
    let path = bench.folder.path().join("gauges.toml");
    std::fs::write(&path, UNSOUND).unwrap();
    bench.keys("②⏎");
    assert!(bench.tells("gauges.toml cannot be used as it stands"));
    assert!(bench.tells("gauges.toml, line 5, column 14"));
    std::fs::write(&path, GAUGES).unwrap();
    bench.until_told("mic-25 (U ");
    assert!(!bench.tells("cannot be used as it stands"));
}

#[test]
fn a_file_that_is_only_touched_is_no_news_and_one_that_was_deleted_meanwhile_is() {
    let folder = tempfile::tempdir().unwrap();
    let workspace = Workspace::locate(Some(folder.path()));
    let path = folder.path().join("gauges.toml");
    std::fs::write(&path, GAUGES).unwrap();
    let known = GaugesSaid::now(&workspace);
    assert_eq!(known, GaugesSaid::Text(GAUGES.to_owned()));
    let (sends, hears) = std::sync::mpsc::channel();
    let changed = move || sends.send(()).unwrap();
    let watch = GaugesWatch::start(workspace.clone(), known.clone(), changed).unwrap();
    std::fs::write(&path, GAUGES).unwrap();
    let waited = hears.recv_timeout(Duration::from_millis(1_300));
    assert!(waited.is_err() && watch.news().is_none());
    // It went between being read and being watched.
    std::fs::remove_file(&path).unwrap();
    let (sends, hears) = std::sync::mpsc::channel();
    let changed = move || sends.send(()).unwrap();
    let other = GaugesWatch::start(workspace, known, changed).unwrap();
    hears.recv_timeout(Duration::from_secs(60)).unwrap();
    assert_eq!(other.news(), Some(GaugesSaid::NotThere));
    assert_eq!(other.news(), None, "once");
}
