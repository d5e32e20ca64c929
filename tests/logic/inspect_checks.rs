//! `inspect` on threads: what plugs and mating parts did is typed beside sizes, whichever way
//! those come.

#![cfg(unix)]

use std::fs;
use std::process::Stdio;

use serde_json::{Value, json};

use crate::inspect_records::forged;
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

#[test]
fn an_answer_changed_and_hashed_anew_is_found_when_it_is_derived_again() {
    let shop = shop();
    let answer = shop.run(&typed(&["--json"]), "8.600\n-\n+\n+\n");
    assert_eq!(answer.code, 1, "{}", answer.text);
    let journal = shop.journal();
    let forgery = shop.path("forged.jsonl");
    // (kind of line, in lines that hold this, from, to, what is found)
    for (kind, holds, from, to, finding) in [
        (
            "reading_received",
            "\"go\"",
            "does_not",
            "goes",
            "verdict_differs",
        ),
        (
            "reading_received",
            "\"no_go\"",
            "turns_more",
            "turns_two_or_fewer",
            "verdict_differs",
        ),
        // The answer of the other end, and a size, are none for the GO plug.
        (
            "reading_received",
            "\"go\"",
            "\"go\"",
            "\"no_go\"",
            "verdict_differs",
        ),
        (
            "reading_received",
            "\"go\"",
            "\"check\":{\"end\":\"go\",\"outcome\":\"does_not\"}",
            "\"value\":\"0.000001\",\"unit\":\"mm\"",
            "verdict_differs",
        ),
        (
            "verdict_given",
            "go_plug",
            "\"NO-GO\"",
            "\"GO\"",
            "verdict_differs",
        ),
        (
            "verdict_given",
            "go_plug",
            "metal_on",
            "metal_gone",
            "verdict_differs",
        ),
        (
            "verdict_given",
            "go_plug",
            "\"check\",\"value_at_20\":\"does_not\"",
            "\"mm\",\"value_at_20\":\"0.000001\"",
            "body_unreadable",
        ),
        (
            "verdict_given",
            "mate",
            "\"NOTED\",\"side\":null",
            "\"GO\",\"side\":\"inside\"",
            "verdict_differs",
        ),
        (
            "verdict_given",
            "mate",
            "\"side\":null",
            "\"side\":\"inside\"",
            "body_unreadable",
        ),
    ] {
        let change = move |body: &str| match body.contains(holds) {
            true => body.replacen(from, to, 1),
            false => body.to_owned(),
        };
        fs::write(&forgery, forged(&journal, kind, change)).unwrap();
        let answer = shop.run(&["verify", "--json", forgery.to_str().unwrap()], "");
        let line = &answer.lines[0];
        assert_eq!(
            (answer.code, &line["state"]),
            (1, &json!("damaged")),
            "{to}: {line}"
        );
        let found = line["findings"].as_array().unwrap();
        assert!(
            found.iter().any(|one| one["kind"] == finding),
            "{to}: {line}"
        );
    }
    // A unit that a verdict of a check cannot have, all else being right.
    let as_length = |body: &str| {
        body.replace(
            "\"check\",\"value_at_20\":\"does_not\"",
            "\"mm\",\"value_at_20\":\"0.000001\"",
        )
        .replace("\"attribute\"", "\"simple\"")
    };
    fs::write(&forgery, forged(&journal, "verdict_given", as_length)).unwrap();
    let answer = shop.run(&["verify", "--json", forgery.to_str().unwrap()], "");
    let found = answer.lines[0]["findings"].to_string();
    assert!(
        found.contains("the unit is not that of the characteristic"),
        "{found}"
    );
}
