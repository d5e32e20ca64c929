//! The program without a command, and `window`, where there is no display.

#![cfg(unix)]

use std::path::PathBuf;
use std::process::Output;

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
