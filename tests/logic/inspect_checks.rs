//! `inspect` on threads: what plugs and mating parts did is typed beside sizes, whichever way
//! those come.

#![cfg(unix)]

use std::fs;
use std::process::Stdio;

use serde_json::{Value, json};

use crate::support::program::{FarEnd, Shop, lines_of};

const PLAN: &str = "[part]\nname = \"Pump bracket\"\n\n[[feature]]\nid = \"A\"\n\
callout = \"M10-6H\"\ngauge = [\"bore\", \"plug-M10\"]\n\
elements = [\"minor\", \"go_plug\", \"no_go_plug\", \"mate\"]\n";
const GAUGES: &str = "[[gauge]]\nid = \"bore\"\nkind = \"inside_micrometer\"\nrange = [5, 30]\n\
resolution = 0.001\nmpe = 0.004\n\n[[gauge]]\nid = \"plug-M10\"\nkind = \"plug\"\n";

fn shop() -> Shop {
    let shop = Shop::new();
    fs::write(shop.path("bracket.toml"), PLAN).unwrap();
    fs::write(shop.path("gauges.toml"), GAUGES).unwrap();
    shop
}

fn typed<'a>(more: &[&'a str]) -> Vec<&'a str> {
    let mut all = vec!["inspect", "--plan", "bracket.toml", "--gauge", "bore=typed"];
    all.extend(more);
    all
}

#[test]
fn each_answer_gets_its_line_and_only_what_was_wrong_counts_in_the_exit() {
    let shop = shop();
    let answer = shop.run(&typed(&["--json"]), "8.600\n+\n1,5\n-\n");
    assert_eq!(answer.code, 0, "{} {}", answer.text, answer.told);
    let line = |element: &str, value: &str, verdict: &str, side: Value, at: u64, gauge: Value| {
        json!({
            "part": 1, "feature": "A", "element": element, "point": 1, "points": 1,
            "value": value, "value_at_20": null, "u": null, "verdict": verdict, "side": side,
            "to_middle": null, "rule": "attribute", "event": at + 2, "reading": at,
            "gauge": gauge, "notes": [],
        })
    };
    let inside = || json!("inside");
    assert_eq!(answer.lines[0]["verdict"], "GO", "the minor diameter");
    let expected = [
        line("go_plug", "goes", "GO", inside(), 6, json!("plug-M10")),
        line(
            "no_go_plug",
            "turns_two_or_fewer",
            "GO",
            inside(),
            9,
            json!("plug-M10"),
        ),
        line("mate", "does_not", "NOTED", Value::Null, 12, Value::Null),
    ];
    assert_eq!(answer.lines[1..4], expected);
    let journal = shop.journal();
    assert_eq!(shop.verified(&journal)["state"], "sound");
    let raw: Vec<Value> = lines_of(&journal, "reading_received");
    let raw: Vec<&str> = raw
        .iter()
        .filter_map(|one| one["body"]["raw"].as_str())
        .collect();
    assert_eq!(raw, ["382e363030", "2b", "312c35", "2d"], "as typed");
    for (input, code) in [
        ("8.600\n-\n1\n+\n", 1),
        ("8.600\n+\n3\n+\n", 1),
        ("8.600\n+\nyes\n+\n", 1),
        ("8.600\ny\nno\nno\n", 0),
        ("8.600\n+\n2\n", 1),
        ("8.600\n8.376\n+\n2\n+\n", 2),
    ] {
        let shop = self::shop();
        let answer = shop.run(&typed(&["--json"]), input);
        assert_eq!(
            answer.code, code,
            "{input:?}: {} {}",
            answer.text, answer.told
        );
    }
    // Nothing but the feel of a mating part: nothing is proved, and nothing is wrong.
    let only = PLAN.replace("\"minor\", \"go_plug\", \"no_go_plug\", ", "");
    fs::write(shop.path("bracket.toml"), only).unwrap();
    let answer = shop.run(&typed(&[]), "-\n");
    assert_eq!(answer.code, 0, "{}", answer.told);
    assert!(answer.text.contains("part   1  NOTED\n"), "{}", answer.text);
}

#[test]
fn a_letter_that_means_two_things_is_asked_back() {
    let shop = shop();
    let answer = shop.run(&typed(&["--json"]), "8.600\nn\nnext\n8.600\n");
    assert_eq!(answer.lines[1]["error"]["code"], "no_or_next");
    assert_eq!(answer.lines[2]["part"], 2, "next is the next part");
    assert_eq!(answer.code, 2);
    let shop = self::shop();
    let answer = shop.run(&typed(&["--json"]), "n\n8.600\n");
    assert_eq!(
        answer.lines[0]["part"], 1,
        "where a size is asked n starts a part"
    );
}

#[test]
fn people_read_what_was_tried_and_what_it_did() {
    let shop = shop();
    let answer = shop.run(&typed(&[]), "8.600\n+\n2.5\n+\n");
    for line in [
        "  A M10-6H minor diameter                8.600    GO     u 0.0024\n",
        "  A M10-6H GO plug                        goes    GO\n",
        "  A M10-6H NO-GO plug      more than two turns   NO-GO   it goes where it must not: metal is \
         gone\n",
        "  A M10-6H mating part                    goes   NOTED   recorded; the feel of a mating \
         part proves nothing\n",
    ] {
        assert!(answer.text.contains(line), "{line}: {}", answer.text);
    }
    assert!(
        !answer.text.contains("uncertainty not considered"),
        "{}",
        answer.text
    );
}

#[test]
fn sizes_come_by_the_line_of_a_gauge_and_answers_by_standard_input() {
    let (shop, mut far) = (shop(), FarEnd::new());
    let gauge = format!("bore=serial:{}", far.path);
    let mut running = shop.start(&[
        "inspect",
        "--json",
        "--plan",
        "bracket.toml",
        "--gauge",
        &gauge,
        "--gauge",
        "typed",
        "--parts",
        "1",
    ]);
    shop.wait_for("attached", 1);
    far.send(b"8.600 mm\r\n");
    assert_eq!(running.next()["element"], "minor");
    // The button is pressed once more while the plug is asked.
    far.send(b"8.601 mm\r\n");
    let aside = running.next();
    let reason = "the GO plug is asked, which goes or does not; a size is no answer";
    assert_eq!(aside["set_aside"]["reason"], reason);
    assert_eq!(aside["set_aside"]["value"], "8.601");
    for (text, element, gauge) in [
        ("+\n", "go_plug", json!("plug-M10")),
        ("2\n", "no_go_plug", json!("plug-M10")),
        ("goes\n", "mate", json!("typed")),
    ] {
        running.type_text(text);
        let line = running.next();
        assert_eq!(
            (&line["element"], &line["gauge"]),
            (&json!(element), &gauge)
        );
    }
    let answer = running.ended();
    assert_eq!(answer.code, 0, "{}", answer.told);
    assert_eq!(shop.verified(&shop.journal())["state"], "sound");
}

#[test]
fn at_a_terminal_plugs_are_answered_beside_a_gauge_that_sends() {
    let (shop, mut far, mut gauge) = (shop(), FarEnd::new(), FarEnd::new());
    let mut command = shop.command(env!("CARGO_BIN_EXE_fitledger"));
    let source = format!("bore=serial:{}", gauge.path);
    command
        .args([
            "inspect",
            "--plan",
            "bracket.toml",
            "--parts",
            "1",
            "--gauge",
            &source,
        ])
        .env("NO_COLOR", "1")
        .stdin(Stdio::from(far.near()))
        .stdout(Stdio::from(far.near()));
    let mut child = command.stderr(Stdio::piped()).spawn().unwrap();
    drop(command);
    let near = far.near();
    let mut all = far.shown_until("measure A (M10-6H), minor diameter.");
    shop.wait_for("attached", 1);
    gauge.send(b"8.600 mm\r\n");
    all.push_str(&far.shown_until("GO "));
    for (typed, wanted) in [
        // Once more with the gauge at hand: the answer needs no --gauge typed.
        ("-", "metal is still on"),
        ("+", "count the turns while unscrewing"),
        ("1.5", "Does it go together?"),
        ("+", "All parts have been measured"),
        ("q", "head of the chain"),
    ] {
        far.send(format!("{typed}\n").as_bytes());
        all.push_str(&far.shown_until(wanted));
    }
    assert_eq!(child.wait().unwrap().code(), Some(0), "{all}");
    drop(near);
    assert_eq!(shop.verified(&shop.journal())["state"], "sound");
}

#[test]
fn the_simulated_hand_proves_a_tapped_hole() {
    let shop = shop();
    let arguments = [
        "inspect",
        "--json",
        "--plan",
        "bracket.toml",
        "--gauge",
        "bore=simulated:3",
        "--parts",
        "2",
    ];
    let answer = shop.run(&arguments, "");
    let tried: Vec<&str> = answer
        .lines
        .iter()
        .filter(|line| line["rule"] == "attribute")
        .filter_map(|line| line["verdict"].as_str())
        .collect();
    assert_eq!(tried, ["GO", "GO", "NOTED", "GO", "GO", "NOTED"]);
    assert_eq!(shop.verified(&shop.journal())["state"], "sound");
}

/// A screw over three wires: what was read stays, the pitch diameter is judged, and the same seed
/// plays the same simulated hand, which finds the size over the wires by itself.
#[test]
fn a_screw_over_wires_is_read_over_wires_and_judged_at_its_pitch_diameter() {
    let screw = "[part]\nname = \"Pump spindle\"\n\n[[feature]]\nid = \"T\"\n\
        callout = \"M10x1.5-6g\"\nwire = 0.895\ngauge = [\"mic\", \"w\"]\n";
    let gauges = "[[gauge]]\nid = \"mic\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\n\
        resolution = 0.001\nmpe = 0.002\n\n[[gauge]]\nid = \"w\"\nkind = \"wires\"\nmpe = 0.0003\n";
    let shop = Shop::new();
    fs::write(shop.path("screw.toml"), screw).unwrap();
    fs::write(shop.path("gauges.toml"), gauges).unwrap();
    let begin = |source: &'static str| {
        [
            "inspect",
            "--plan",
            "screw.toml",
            "--json",
            "--gauge",
            source,
            "--parts",
            "1",
        ]
    };
    let answer = shop.run(&begin("mic=typed"), "9.850\n10.370\n+\n1.5\n");
    assert_eq!(answer.code, 0, "{} {}", answer.text, answer.told);
    let over = &answer.lines[1];
    assert_eq!(
        (&over["element"], &over["value"], &over["verdict"]),
        (&json!("wires"), &json!("10.370"), &json!("GO"))
    );
    // 8.982142 mm: computed apart, see the tests of threads in sessions.
    let pitch = over["value_at_20"].as_str().unwrap();
    assert!(pitch.starts_with("8.98214"), "{pitch}");
    assert_eq!(over["notes"], json!(["over_three_wires"]));
    let journal = shop.journal();
    assert_eq!(shop.verified(&journal)["state"], "sound");
    let raw = lines_of(&journal, "reading_received")[1]["body"]["raw"].clone();
    assert_eq!(raw, "31302e333730", "10.370 as typed");

    let shop = Shop::new();
    fs::write(shop.path("screw.toml"), screw).unwrap();
    fs::write(shop.path("gauges.toml"), gauges).unwrap();
    let answer = shop.run(&begin("mic=simulated:3"), "");
    let over = |line: &&Value| line["element"] == "wires" && line["verdict"] == "GO";
    let over = answer.lines.iter().find(over).expect("proved over wires");
    let read: f64 = over["value"].as_str().unwrap().parse().unwrap();
    assert!((10.25..10.38).contains(&read), "{read}");
    let state = &shop.verified(&shop.journal())["state"];
    assert_eq!(state, "sound");
}
