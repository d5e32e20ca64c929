//! `inspect` on a screw over three wires, from the plan file to the verified record.

use std::fs;
use std::path::Path;

use serde_json::{Value, json};

use crate::inspect_records::forged;
use crate::support::program::{Shop, lines_of};

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
    forged_verdicts_are_found(&shop, &journal);
    let raw = lines_of(&journal, "reading_received")[1]["body"]["raw"].clone();
    assert_eq!(raw, "31302e333730", "10.370 as typed");

    let shop = Shop::new();
    fs::write(shop.path("screw.toml"), screw).unwrap();
    fs::write(shop.path("gauges.toml"), gauges).unwrap();
    let answer = shop.run(&begin("mic=simulated:3"), "");
    let over = |line: &&Value| line["element"] == "wires" && line["verdict"] == "GO";
    let over = answer.lines.iter().find(over).unwrap();
    let read: f64 = over["value"].as_str().unwrap().parse().unwrap();
    assert!((10.25..10.38).contains(&read), "{read}");
    let state = &shop.verified(&shop.journal())["state"];
    assert_eq!(state, "sound");
}

/// The pitch diameter, the limits and the reading itself are derived again.
fn forged_verdicts_are_found(shop: &Shop, journal: &Path) {
    let forgery = shop.path("forged.jsonl");
    for (kind, from, to) in [
        (
            "verdict_given",
            "\"value_at_20\":\"8.98",
            "\"value_at_20\":\"8.97",
        ),
        ("verdict_given", "\"upper\":\"8.994", "\"upper\":\"8.999"),
        ("verdict_given", "\"over_three_wires\"", "\"house_class\""),
        ("reading_received", "10.37", "10.36"),
    ] {
        let mut changed = false;
        let all = fs::read_to_string(journal).unwrap();
        assert!(all.contains(from), "{from} is not in the record");
        let change = |body: &str| body.replacen(from, to, 1);
        fs::write(&forgery, forged(journal, kind, change)).unwrap();
        let answer = shop.run(&["verify", "--json", forgery.to_str().unwrap()], "");
        let findings = answer.lines[0]["findings"].as_array().unwrap().iter();
        for finding in findings {
            changed |= finding["kind"] == "verdict_differs";
        }
        assert!(changed, "{from} to {to}: {}", answer.lines[0]);
    }
}
