//! Ports that may not be opened, as another user sees them: in use, not permitted, and the group
//! that owns them. Whoever runs the tests, the program runs as somebody whom the system refuses.

#![cfg(unix)]

use std::fs::{self, Permissions};
use std::os::unix::fs::{MetadataExt, PermissionsExt};
use std::os::unix::process::CommandExt;
use std::path::PathBuf;
use std::process::{Command, Stdio};

use fitledger::wire::{PortAddress, SerialLine, built_in};
use serde_json::Value;

use crate::support::program::FarEnd;

/// A user and group that own nothing here (chosen).
const NOBODY: u32 = 65_534;

/// The program where anybody may start it, run by an ordinary user.
struct Ordinary {
    _place: tempfile::TempDir,
    program: PathBuf,
    is_root: bool,
}

impl Ordinary {
    #[allow(unsafe_code)]
    fn new() -> Self {
        let place = tempfile::tempdir_in("/tmp").unwrap();
        fs::set_permissions(place.path(), Permissions::from_mode(0o755)).unwrap();
        let program = place.path().join("fitledger");
        fs::copy(env!("CARGO_BIN_EXE_fitledger"), &program).unwrap();
        fs::set_permissions(&program, Permissions::from_mode(0o755)).unwrap();
        // SAFETY: asks for a number and can do nothing else.
        let is_root = unsafe { libc::geteuid() } == 0;
        Self {
            _place: place,
            program,
            is_root,
        }
    }

    /// What `listen` answers for that port; it must end by itself.
    fn listens(&self, path: &str) -> Value {
        let mut command = Command::new(&self.program);
        command
            .args(["listen", "--json", "--gauge", &format!("serial:{path}")])
            .current_dir("/tmp")
            .stdin(Stdio::null());
        if self.is_root {
            command.uid(NOBODY).gid(NOBODY);
        }
        let answer = command.output().unwrap();
        assert_eq!(answer.status.code(), Some(3), "{answer:?}");
        let text = String::from_utf8(answer.stdout).unwrap();
        serde_json::from_str(text.lines().next().unwrap()).unwrap()
    }
}

fn may_be_opened_by(path: &str, mode: u32) {
    fs::set_permissions(path, Permissions::from_mode(mode)).unwrap();
}

#[test]
fn a_port_that_a_program_holds_is_busy_for_an_ordinary_user() {
    let far = FarEnd::new();
    may_be_opened_by(&far.path, 0o666);
    let line = built_in("line-free").unwrap().line().unwrap();
    let _held = SerialLine::open(&PortAddress::new(&far.path), line).unwrap();
    let told = Ordinary::new().listens(&far.path);
    assert_eq!(told["error"]["code"], "port_busy", "{told}");
    let hint = told["error"]["hint"].as_str().unwrap();
    assert!(hint.contains("Close the other program"), "{told}");
}

#[test]
fn a_port_of_others_is_not_permitted_and_its_group_is_named_where_it_helps() {
    let ordinary = Ordinary::new();
    let far = FarEnd::new();
    // The owner is refused too by these modes, unless it is root, who is somebody else here.
    for (mode, helps) in [(0o060, true), (0o000, false)] {
        may_be_opened_by(&far.path, mode);
        let told = ordinary.listens(&far.path);
        assert_eq!(told["error"]["code"], "port_not_permitted", "{told}");
        let message = told["error"]["message"].as_str().unwrap();
        let number = fs::metadata(&far.path).unwrap().gid().to_string();
        let named = fs::read_to_string("/etc/group").unwrap();
        let of_number = |line: &&str| line.split(':').nth(2) == Some(number.as_str());
        let line = named.lines().find(of_number);
        let group = line
            .and_then(|line| line.split(':').next())
            .unwrap_or(&number);
        let is_named = message.contains(&format!("belongs to the group {group})"));
        assert_eq!(is_named, helps, "{message}");
        let hint = told["error"]["hint"].as_str().unwrap();
        assert!(hint.contains("fitledger ports --udev"), "{hint}");
    }
}
