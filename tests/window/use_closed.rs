//! After the last part, and after the session was closed: a further press of the gauge's button is
//! told, and never lost in silence; a key begins the next batch of the same.
#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::panic)]

use std::time::{Duration, Instant};

use egui_kittest::kittest::Queryable;
use fitledger::session::{Begin, What};

use crate::shell::Desk;
use crate::support::program::{FarEnd, Shop};

const PLAN: &str = "[part]\nname = \"Pump shaft\"\n[[feature]]\nid = \"A\"\ncallout = \"20 k6\"\n\
                    gauge = [\"mic\"]\n";
const GAUGES: &str = "[[gauge]]\nid = \"mic\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\n\
                      resolution = 0.001\nmpe = 0.002\nrepeatability = 0.0005\n";

fn one_part(far: &FarEnd) -> Desk<'static> {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("gauges.toml"), GAUGES).unwrap();
    let plan = folder.path().join("shaft.toml");
    std::fs::write(&plan, PLAN).unwrap();
    let mut begin = Begin::new(What::Plan(plan));
    begin.gauges = vec![format!("mic=serial:{}@line-free", far.path)];
    begin.operator = "Ada".to_owned();
    begin.parts = Some(1);
    begin.advance_rework = true;
    let mut desk = Desk::open_in(folder, Some(begin));
    desk.wait("gauge_state_changed", 1);
    desk
}

fn until_seen(desk: &mut Desk<'_>, label: &str) {
    let until = Instant::now() + Duration::from_secs(60);
    loop {
        let mut found = desk.harness.query_all_by_label_contains(label);
        if found.next().is_some() {
            return;
        }
        drop(found);
        assert!(Instant::now() < until, "{label} is not seen");
        std::thread::sleep(Duration::from_millis(5));
        desk.harness.step();
    }
}

fn journals(desk: &Desk<'_>) -> Vec<std::path::PathBuf> {
    let entries = std::fs::read_dir(desk.folder.path().join("sessions")).unwrap();
    let paths = entries.map(|entry| entry.unwrap().path());
    let mut all: Vec<_> = paths
        .filter(|path| path.extension().is_some_and(|end| end == "jsonl"))
        .collect();
    all.sort();
    all
}

#[test]
fn a_press_after_the_last_part_is_told_and_one_after_the_end_is_not_recorded_in_words() {
    let mut far = FarEnd::new();
    let mut desk = one_part(&far);
    far.send(b"20.008\r\n");
    desk.wait("verdict_given", 1);
    // All is measured, and the button is pressed once more.
    far.send(b"20.009\r\n");
    desk.wait("reading_set_aside", 1);
    until_seen(
        &mut desk,
        "20.009 is recorded and set aside: all parts of this session",
    );
    assert_eq!(desk.count("session_closed"), 0, "a gauge closes nothing");
    desk.keys("⏎⏎+");
    desk.wait("session_closed", 1);
    until_seen(&mut desk, "What a gauge sends now is NOT RECORDED.");
    far.send(b"20.010\r\n");
    until_seen(&mut desk, "NOT RECORDED: 1 reading");
    until_seen(&mut desk, "20.010");
    far.send(b"20.011\r\n");
    until_seen(&mut desk, "NOT RECORDED: 2 readings");
    let [journal] = &*journals(&desk) else {
        panic!("{:?}", journals(&desk))
    };
    // The record was closed sound, and is let go: another may decide about it meanwhile.
    assert_eq!(Shop::new().verified(journal)["state"], "sound");
    assert_eq!(desk.count("reading_received"), 2);
    let name = journal.display().to_string();
    let decided = Shop::new().run(&["decide", &name, "checked", "--by", "A. Weber"], "");
    assert_eq!(decided.code, 0, "{decided:?}");
    // It is left only after it was said that these are lost.
    desk.keys("⏎");
    until_seen(&mut desk, "leave and lose them");
    desk.keys("-");
    assert!(desk.window().desk().is_none(), "in the Start room");
}

#[test]
fn a_key_that_is_not_the_one_that_closed_it_begins_the_next_batch_of_the_same() {
    let mut far = FarEnd::new();
    let mut desk = one_part(&far);
    far.send(b"20.008\r\n");
    desk.wait("verdict_given", 1);
    // Closed with a key that is pressed twice: nothing begins by that.
    desk.keys("⏎⏎++");
    desk.wait("session_closed", 1);
    until_seen(&mut desk, "next batch of the same");
    desk.keys("+");
    assert_eq!(journals(&desk).len(), 1);
    desk.keys("/");
    desk.wait("session_opened", 2);
    // The gauge is attached to that one.
    desk.wait("gauge_state_changed", 2);
    assert_eq!(journals(&desk).len(), 2);
    far.send(b"20.007\r\n");
    desk.wait("verdict_given", 2);
    let second = std::fs::read_to_string(&journals(&desk)[1]).unwrap();
    for kept in [
        "\"operator\":\"Ada\"",
        "\"parts\":1",
        "\"advance_rework\":true",
    ] {
        assert!(second.contains(kept), "{kept}: {second}");
    }
    desk.harness.state_mut().as_mut().unwrap().stop();
    for journal in journals(&desk) {
        let state = Shop::new().verified(&journal)["state"].clone();
        assert!(state == "sound" || state == "not_closed", "{state}");
    }
}
