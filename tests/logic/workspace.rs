//! The workspace's files on the disk: what is replaced is whole at every moment, what may not be
//! written stays, and nothing is read without an end.

use std::fs;
use std::io::{ErrorKind, Write};
use std::path::Path;

use fitledger::session::{Workspace, read_text};

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    let mut names: Vec<String> = entries
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

#[test]
fn an_adapter_takes_the_old_ones_place_only_when_it_is_whole() {
    let place = tempfile::tempdir().unwrap();
    let workspace = Workspace::locate(Some(place.path()));
    let keep = |text: &str, replace| workspace.keep_adapter("bench", None, text, replace);
    let path = keep("first", false).unwrap();
    // A second name for the old file shows whether its bytes were written over.
    let old = place.path().join("old.toml");
    fs::hard_link(&path, &old).unwrap();
    assert_eq!(keep("second", false).unwrap_err().code(), "file_exists");
    assert_eq!(fs::read_to_string(&path).unwrap(), "first");
    assert_eq!(keep("second", true).unwrap(), path);
    assert_eq!(fs::read_to_string(&path).unwrap(), "second");
    assert_eq!(fs::read_to_string(&old).unwrap(), "first");
    assert_eq!(names(&place.path().join("adapters")), ["bench.toml"]);
}

#[test]
fn a_gauge_register_that_may_not_be_written_stays() {
    let place = tempfile::tempdir().unwrap();
    let workspace = Workspace::locate(Some(place.path()));
    let path = workspace.gauges_path();
    fs::write(&path, "old").unwrap();
    let mut permissions = fs::metadata(&path).unwrap().permissions();
    permissions.set_readonly(true);
    fs::set_permissions(&path, permissions).unwrap();
    let error = workspace.replace_gauges("old", "new").unwrap_err();
    assert_eq!(error.code(), "file_not_permitted");
    assert_eq!(fs::read_to_string(&path).unwrap(), "old");
    assert_eq!(names(place.path()), ["gauges.toml"]);
}

/// The system tells no length of a pipe.
#[cfg(unix)]
#[test]
fn a_pipe_is_read_to_the_bound_and_never_replaced() {
    let place = tempfile::tempdir().unwrap();
    let pipe = place.path().join("pipe.toml");
    let made = std::process::Command::new("mkfifo").arg(&pipe).status();
    assert!(made.unwrap().success());
    let into = pipe.clone();
    let writer = std::thread::spawn(move || {
        let mut file = fs::OpenOptions::new().write(true).open(into).unwrap();
        let piece = vec![b'x'; 1 << 20];
        // More than the bound of 16 MiB; who reads may leave before the end.
        (0..17).try_for_each(|_| file.write_all(&piece))
    });
    let error = read_text(&pipe).unwrap_err();
    assert_eq!(error.cause.kind(), ErrorKind::FileTooLarge);
    drop(writer.join().unwrap());
    let workspace = Workspace::locate(Some(place.path()));
    let kept = workspace.keep_adapter("pipe", Some(&pipe), "text", true);
    assert_eq!(kept.unwrap_err().code(), "file_unusable");
    assert_eq!(names(place.path()), ["pipe.toml"]);
    assert!(!fs::metadata(&pipe).unwrap().is_file());
}
