//! The sessions that may be taken up again, as the start shows them.

#![cfg(unix)]

use std::fs;
use std::path::Path;
use std::time::{Duration, SystemTime};

use fitledger::session::{Unfinished, Workspace, unfinished};

use crate::support::program::Shop;

fn listed(shop: &Shop) -> Vec<Unfinished> {
    unfinished(&Workspace::locate(Some(shop.place.path()))).unwrap()
}

/// A record of that input; closed, as the end of input leaves it.
fn record(shop: &Shop, callout: &str, input: &str, more: &[&str]) -> std::path::PathBuf {
    let before = shop.journals();
    let arguments = ["inspect", "--callout", callout, "--gauge", "typed"];
    let arguments: Vec<&str> = arguments.iter().chain(more).copied().collect();
    shop.run(&arguments, input);
    let after = shop.journals();
    let new = after.into_iter().find(|path| !before.contains(path));
    new.unwrap()
}

/// Takes the line off that closes a record, as if the power had failed before it.
fn left_open(path: &Path) {
    let text = fs::read_to_string(path).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    let (last, rest) = lines.split_last().unwrap();
    assert!(last.contains("session_closed"));
    fs::write(path, rest.join("\n") + "\n").unwrap();
}

fn written(path: &Path, seconds_ago: u64) {
    let file = fs::File::options().append(true).open(path).unwrap();
    let moment = SystemTime::now() - Duration::from_secs(seconds_ago);
    file.set_modified(moment).unwrap();
}

#[test]
fn what_is_open_is_listed_with_what_is_in_it_and_what_is_closed_is_not() {
    let shop = Shop::new();
    assert_eq!(listed(&shop), [], "there is no folder yet");
    let closed = record(&shop, "12 ±0.05", "12.01\n", &[]);
    let older = record(&shop, "20 k6", "20.008\n20.009\n", &["--parts", "12"]);
    let newer = record(&shop, "25 H7", "25.001\n", &[]);
    fs::write(shop.path("sessions/empty.jsonl"), "").unwrap();
    fs::write(shop.path("sessions/notes.txt"), "no journal").unwrap();
    for (path, ago) in [(&older, 90), (&newer, 60)] {
        left_open(path);
        written(path, ago);
    }
    written(&closed, 10);
    let found = listed(&shop);
    let paths: Vec<_> = found.iter().map(|one| one.path.clone()).collect();
    assert_eq!(paths, [newer, older], "the one used last is the first");
    let one = &found[1];
    assert_eq!((one.name.as_str(), one.part.as_str()), ("20 k6", "20 k6"));
    assert_eq!(
        (one.parts_started, one.parts_wanted, one.readings),
        (2, Some(12), 2)
    );
    assert_eq!(one.damage, None);
    // The name of a journal begins with the same local time.
    let name = one.path.file_name().unwrap().to_str().unwrap();
    let digits = |text: &str| {
        text.chars()
            .filter(char::is_ascii_digit)
            .collect::<String>()
    };
    assert_eq!(one.started.len(), "2026-11-24 08:00".len());
    assert_eq!(digits(&one.started), digits(name)[..12]);
}

#[test]
fn a_damaged_file_is_listed_with_its_damage_and_keeps_no_other_away() {
    let shop = Shop::new();
    let damaged = record(&shop, "20 k6", "20.008\n20.009\n", &[]);
    let sound = record(&shop, "25 H7", "25.001\n", &[]);
    // One that is closed is over, damaged or not.
    let closed = record(&shop, "12 ±0.05", "12.01\n", &[]);
    let text = fs::read_to_string(&closed).unwrap();
    fs::write(&closed, text.replace("12.01", "12.02")).unwrap();
    for path in [&damaged, &sound] {
        left_open(path);
    }
    let text = fs::read_to_string(&damaged).unwrap();
    fs::write(&damaged, text.replace("20.009", "20.019")).unwrap();
    fs::write(shop.path("sessions/rubbish.jsonl"), [0xff; 300]).unwrap();
    fs::create_dir(shop.path("sessions/folder.jsonl")).unwrap();
    let found = listed(&shop);
    let of = |path: &Path| found.iter().find(|one| one.path == path).unwrap();
    assert_eq!(found.len(), 4, "{found:?}");
    assert_eq!(of(&sound).damage, None);
    assert_eq!(of(&damaged).readings, 1, "what can be read is read");
    for one in found.iter().filter(|one| one.path != sound) {
        let damage = one.damage.as_ref().unwrap();
        assert!(damage.ends_with('.') && damage.len() > 20, "{damage}");
    }
}

#[test]
fn a_session_that_went_on_in_another_file_is_listed_once() {
    let shop = Shop::new();
    let sent: Vec<String> = (0..60).map(|at| format!("20.{:03}", 2 + at % 14)).collect();
    // Each file may have 8 KiB: the session goes on in others.
    let line = "ulimit -f 16; exec \"$FITLEDGER\" inspect --callout '20 k6' --gauge typed";
    shop.shell(line, &(sent.join("\n") + "\n"));
    // What could not be kept there lies elsewhere, and is put beside the first.
    if let Ok(entries) = fs::read_dir(shop.path("tmp/fitledger-sessions")) {
        for path in entries.map(|entry| entry.unwrap().path()) {
            let name = path.file_name().unwrap();
            fs::copy(&path, shop.path("sessions").join(name)).unwrap();
        }
    }
    let files = shop.journals();
    assert!(files.len() > 1, "{files:?}");
    assert_eq!(listed(&shop), [], "the last one is closed");
    // The line that closes it may be torn at the end of a full file, and stands whole in the next.
    let is_closed = |path: &&std::path::PathBuf| {
        let text = fs::read_to_string(path).unwrap();
        let last = text.strip_suffix('\n').and_then(|text| text.lines().last());
        last.is_some_and(|line| line.contains("\"kind\":\"session_closed\""))
    };
    let newest = files.iter().find(is_closed);
    let newest = newest.unwrap();
    left_open(newest);
    let found = listed(&shop);
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!((&found[0].path, found[0].readings), (newest, 60));
    assert_eq!(found[0].damage, None);
}

#[test]
fn only_the_newest_files_are_looked_at() {
    let shop = Shop::new();
    let one = record(&shop, "20 k6", "20.008\n", &[]);
    left_open(&one);
    written(&one, 1_000);
    let bytes = fs::read(&one).unwrap();
    for at in 0..49_u64 {
        let path = shop.path(&format!("sessions/copy-{at:02}.jsonl"));
        fs::write(&path, &bytes).unwrap();
        written(&path, 100 + at);
    }
    let found = listed(&shop);
    assert_eq!(found.len(), 50);
    assert!(found[0].path.ends_with("copy-00.jsonl"));
    assert_eq!(found[49].path, one);
    fs::write(shop.path("sessions/copy-49.jsonl"), &bytes).unwrap();
    let found = listed(&shop);
    assert_eq!(found.len(), 50);
    assert!(found.iter().all(|other| other.path != one));
}
