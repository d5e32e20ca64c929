//! `inspect` on typed lines and at a terminal.

#![cfg(unix)]

use std::path::PathBuf;
use std::process::Stdio;

use serde_json::Value;

use crate::support::program::{FarEnd, Shop, lines_of};

const TYPED: [&str; 6] = [
    "inspect",
    "--json",
    "--callout",
    "20 k6",
    "--gauge",
    "typed",
];

fn words(lines: &[Value]) -> Vec<String> {
    lines
        .iter()
        .map(|line| match line {
            line if line["verdict"].is_string() => line["verdict"].as_str().unwrap().to_owned(),
            line if line["error"].is_object() => line["error"]["code"].as_str().unwrap().to_owned(),
            line if line["journal"].is_string() => "journal".to_owned(),
            line => line.as_object().unwrap().keys().next().unwrap().clone(),
        })
        .collect()
}

#[test]
fn each_typed_line_gets_its_answer_and_the_rest_goes_on() {
    let shop = Shop::new();
    let input = "20.008\n\nhello\n0.7877\n20.030\nn\nv\nv 3 why\nc\n20.100\n20.0080\n";
    let answer = shop.run(&TYPED, input);
    let expected = [
        "GO",
        "empty",
        "bad_character",
        "held",
        "set_aside",
        "NO-GO",
        "reason_missing",
        "no_such_reading",
        "CUTTING",
        "GO",
        "journal",
    ];
    assert_eq!(words(&answer.lines), expected);
    assert_eq!(answer.code, 2, "{}", answer.told);
    assert_eq!(answer.lines[7]["input"], "v 3 why");
    assert_eq!(answer.lines[9]["value"], "20.0080", "decimals as typed");
    let journal = shop.journal();
    assert_eq!(shop.verified(&journal)["state"], "sound");
    assert_eq!(shop.verified(&journal)["head"], answer.lines[10]["head"]);
    let opened = &lines_of(&journal, "session_opened")[0]["body"];
    let offset = opened["offset"].as_str().unwrap();
    assert_eq!((offset.len(), &offset[3..4]), (6, ":"), "{offset}");
}

#[test]
fn the_exit_says_whether_all_was_good() {
    for (input, more, code) in [
        ("20.008\n", &[][..], 0),
        ("20.030\n", &[], 1),
        ("20.008\n0.7877\n", &[], 1),
        ("20.008\nx\n", &[], 2),
        ("", &[], 1),
        ("0.7877\n", &[], 1),
        ("20.008\nn\n", &[], 1),
        ("20.008\n20.009\n20.007\n", &["--parts", "2"], 0),
    ] {
        let shop = Shop::new();
        let arguments: Vec<&str> = TYPED.iter().chain(more).copied().collect();
        let answer = shop.run(&arguments, input);
        assert_eq!(
            answer.code, code,
            "{input:?}: {} {}",
            answer.text, answer.told
        );
        assert_eq!(lines_of(&shop.journal(), "session_closed").len(), 1);
    }
    for arguments in [
        &["inspect", "--json", "--callout", "20 k6"][..],
        &["inspect", "--json", "--gauge", "typed"],
        &[
            "inspect",
            "--json",
            "--callout",
            "20 q99",
            "--gauge",
            "typed",
        ],
        &["inspect", "--json", "--callout", "20 k6", "--gauge", "usb"],
        &[
            "inspect",
            "--json",
            "--plan",
            "none.toml",
            "--gauge",
            "typed",
        ],
        &[
            "inspect",
            "--json",
            "--callout",
            "20 k6",
            "--gauge",
            "typed",
            "--advance",
            "never",
        ],
    ] {
        let shop = Shop::new();
        let answer = shop.run(arguments, "20.008\n");
        assert_eq!(answer.code, 2, "{arguments:?}: {}", answer.text);
        assert_eq!(shop.journals(), Vec::<PathBuf>::new(), "{arguments:?}");
    }
}

#[test]
fn more_typed_readings_than_parts_are_all_answered() {
    let shop = Shop::new();
    let arguments: Vec<&str> = TYPED.iter().chain(&["--parts", "1"]).copied().collect();
    let mut running = shop.start(&arguments);
    running.type_text("20.008\n");
    assert_eq!(running.next()["verdict"], "GO");
    std::thread::sleep(std::time::Duration::from_millis(300));
    running.type_text("20.009\n");
    assert!(running.next()["set_aside"].is_object());
    let answer = running.ended();
    assert_eq!((answer.code, answer.lines.len()), (0, 1));
}

#[test]
fn lines_that_are_no_text_or_too_long_are_refused_in_their_place() {
    let shop = Shop::new();
    let long = format!("{}20.008\n", " ".repeat(20_000));
    let answer = shop.run(&TYPED, &format!("20.008\n{long}20.009\n"));
    assert_eq!(
        words(&answer.lines),
        ["GO", "line_too_long", "GO", "journal"]
    );
    let wide = format!("{}20.008\n", " ".repeat(8_000));
    assert_eq!(words(&shop.run(&TYPED, &wide).lines), ["GO", "journal"]);
}

#[test]
fn at_a_terminal_a_held_reading_waits_and_is_answered_with_a_letter() {
    let (shop, mut far) = (Shop::new(), FarEnd::new());
    let mut command = shop.command(env!("CARGO_BIN_EXE_fitledger"));
    command.args([
        "inspect",
        "--callout",
        "20 k6",
        "--gauge",
        "typed",
        "--parts",
        "1",
    ]);
    command
        .env("NO_COLOR", "1")
        .stdin(Stdio::from(far.near()))
        .stdout(Stdio::from(far.near()));
    let mut child = command.stderr(Stdio::piped()).spawn().unwrap();
    drop(command);
    // What the program showed last is lost when nobody has the near end open any more.
    let near = far.near();
    let mut all = far.shown_until("20.002..20.015");
    for (typed, wanted) in [
        ("0.7877", "Does the reading belong here?"),
        ("x a slip", "a slip"),
        ("20.5", "20.002..20.015"),
        ("0.7876", "Does the reading belong here?"),
        ("y", "NO-GO"),
        ("v wrong unit", "voided: wrong unit"),
        ("v the other", "voided: the other"),
        ("20.008", "GO"),
        ("q", "head of the chain"),
    ] {
        far.send(format!("{typed}\n").as_bytes());
        all.push_str(&far.shown_until(wanted));
    }
    assert!(!all.contains('\u{1b}'), "{all:?}");
    assert_eq!(child.wait().unwrap().code(), Some(0), "{all}");
    drop(near);
    let journal = shop.journal();
    let reasons = lines_of(&journal, "reading_set_aside");
    assert_eq!(reasons[0]["body"]["reason"], "a slip");
    assert_eq!(shop.verified(&journal)["state"], "sound");
}

#[test]
fn quitting_before_an_answer_leaves_no_reading_without_an_end() {
    let (shop, mut far) = (Shop::new(), FarEnd::new());
    let mut command = shop.command(env!("CARGO_BIN_EXE_fitledger"));
    command.args(["inspect", "--callout", "20 k6", "--gauge", "typed"]);
    command
        .stdin(Stdio::from(far.near()))
        .stdout(Stdio::from(far.near()));
    let mut child = command.stderr(Stdio::piped()).spawn().unwrap();
    drop(command);
    // What the program showed last is lost when nobody has the near end open any more.
    let near = far.near();
    far.shown_until("20.002..20.015");
    for text in ["0.7877\n", "0.7876\n", "20.008\n", "q\n"] {
        far.send(text.as_bytes());
    }
    let shown = far.shown_until("head of the chain");
    assert_eq!(child.wait().unwrap().code(), Some(0), "{shown}");
    drop(near);
    let journal = shop.journal();
    assert_eq!(
        shop.verified(&journal)["findings"],
        Value::Array(Vec::new())
    );
    assert_eq!(lines_of(&journal, "reading_set_aside").len(), 2);
    let verdicts = lines_of(&journal, "verdict_given");
    assert_eq!(
        verdicts[0]["body"]["verdict"], "GO",
        "the good reading behind them is judged"
    );
    let closed = &lines_of(&journal, "session_closed")[0]["body"];
    assert_eq!(closed["reason"], "closed by the operator");
}
