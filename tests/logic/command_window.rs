//! The program without a command, and `window`, where there is no display.

#![cfg(unix)]

use std::ffi::OsString;
use std::path::PathBuf;
use std::process::Output;
use std::sync::Mutex;

use fitledger::command::run;
use fitledger::session::{Begin, BeginError, What, Workspace};

use crate::support::program::Shop;

fn without_display(shop: &Shop, arguments: &[&str]) -> Output {
    let mut command = shop.command(env!("CARGO_BIN_EXE_fitledger"));
    command
        .args(arguments)
        .env_remove("DISPLAY")
        .env_remove("WAYLAND_DISPLAY")
        .env_remove("WAYLAND_SOCKET");
    command.output().unwrap()
}

#[test]
fn without_a_display_the_program_says_so_and_names_the_terminal() {
    let shop = Shop::new();
    for (arguments, instead) in [
        (&[][..], "fitledger inspect --demo"),
        (&["window"], "fitledger inspect --demo"),
        (&["window", "--demo"], "fitledger inspect --demo"),
        (
            &["window", "--callout", "20 k6"],
            "fitledger inspect --callout '20 k6' --gauge typed",
        ),
        (
            &[
                "window",
                "--callout",
                "20 k6",
                "--gauge",
                "typed",
                "--parts",
                "3",
            ],
            "fitledger inspect --callout '20 k6' --gauge typed --parts 3",
        ),
        (
            &[
                "window",
                "--callout",
                "20 k6",
                "--gauge",
                "typed",
                "--advance",
                "always",
            ],
            "fitledger inspect --callout '20 k6' --gauge typed --advance always",
        ),
    ] {
        let output = without_display(&shop, arguments);
        let told = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(3), "{arguments:?}: {told}");
        assert!(output.stdout.is_empty(), "{arguments:?}");
        let (sentence, hint) = told.trim_end().split_once('\n').unwrap();
        let known = ["display", "window"];
        assert!(known.iter().any(|word| sentence.contains(word)), "{told}");
        assert!(hint.ends_with(&format!(": {instead}")), "{told}");
        assert_eq!(
            shop.journals(),
            Vec::<PathBuf>::new(),
            "nothing is left behind"
        );
    }
}

/// With what the window was opened, by the folder of its workspace.
static OPENED: Mutex<Vec<(PathBuf, Option<Begin>)>> = Mutex::new(Vec::new());

fn open(begin: Option<Begin>, workspace: Workspace) -> Result<(), BeginError> {
    let opened = (workspace.root().to_owned(), begin);
    OPENED.lock().unwrap().push(opened);
    Ok(())
}

#[test]
fn the_window_is_begun_with_what_moves_on_as_it_was_asked() {
    let callout = ["--callout", "20 k6", "--gauge", "typed"];
    for (asked, moves_on) in [
        (&["--advance", "always"][..], true),
        (&["--advance", "go"], false),
        (&[], false),
    ] {
        let folder = tempfile::tempdir().unwrap();
        let workspace = ["--workspace", folder.path().to_str().unwrap()];
        let line = ["fitledger"].iter().chain(&workspace).chain(&["window"]);
        let line = line.chain(&callout).chain(asked);
        run(line.map(OsString::from), open);
        let opened = OPENED.lock().unwrap();
        let mut opened = opened.iter().filter(|(at, _)| at == folder.path());
        let (_, begin) = opened.next().unwrap();
        let begin = begin.as_ref().unwrap();
        assert_eq!(begin.advance_always, moves_on, "{asked:?}");
        assert_eq!(begin.what, What::Callouts(vec!["20 k6".to_owned()]));
        assert_eq!(begin.gauges, ["typed"]);
    }
}

#[test]
fn a_window_is_not_opened_on_options_that_say_nothing_or_contradict() {
    let shop = Shop::new();
    for (arguments, wanted) in [
        (
            &["window", "--operator", "A. Turner"][..],
            "nothing to measure",
        ),
        (
            &["window", "--demo", "--callout", "20 k6"],
            "cannot be used with",
        ),
        (
            &[
                "window",
                "--demo",
                "--rule",
                "simple",
                "--confidence",
                "0.9",
            ],
            "belongs to the rule",
        ),
        (&["window", "--parts", "0", "--demo"], "0"),
    ] {
        let output = without_display(&shop, arguments);
        let told = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {told}");
        assert!(told.contains(wanted), "{told}");
    }
}
