//! `gauges` and `certificate`: the register on a day, what a certificate says of a gauge, and what
//! of it is written. The certificate is own work with invented values.

#![cfg(unix)]

use std::fs;
use std::os::unix::fs::{PermissionsExt, symlink};

use crate::support::program::Shop;

const MINIMAL: &str = include_str!("../gauges/certificates/minimal_micrometer.xml");
const GAUGES: &str = "# pump shop\n\n[[gauge]]\nid = \"mic-25\" # the old one\n\
kind = \"outside_micrometer\"\nrange = [0, 25]\nresolution = 0.001\nmpe = 0.004\ndue = 2027-03-01\n\
port = { usb = \"1209:0001:B3\", adapter = \"line-free\", id = \"3\" }\n\n\
[[gauge]]\nid = \"cal\"\nkind = \"caliper\"\nrange = [0, 150]\nresolution = 0.01\n";

fn shop(gauges: &str) -> Shop {
    let shop = Shop::new();
    fs::write(shop.path("gauges.toml"), gauges).unwrap();
    fs::write(shop.path("c.xml"), MINIMAL).unwrap();
    shop
}

fn register(shop: &Shop) -> String {
    fs::read_to_string(shop.path("gauges.toml")).unwrap()
}

#[test]
fn the_register_is_listed_as_it_stands_on_a_day() {
    let shop = shop(GAUGES);
    let answer = shop.run(&["gauges", "--json", "--on", "2027-03-01"], "");
    assert_eq!(answer.code, 0, "{}", answer.told);
    let [mic, cal] = &answer.lines[..] else {
        panic!("{}", answer.text);
    };
    assert_eq!(
        (&mic["state"], &mic["days"]),
        (&"due_soon".into(), &0.into())
    );
    assert_eq!(mic["port"]["usb"], "1209:0001:B3");
    assert_eq!(mic["port"]["adapter"], "line-free");
    assert_eq!(mic["port"]["id"], "3");
    assert_eq!(mic["error"]["basis"], "stated");
    assert_eq!(mic["error"]["value"], "0.004");
    // DIN 862 rows: 30 µm up to 600 mm, 20 µm more inside and in depth.
    assert_eq!(cal["error"]["basis"], "assumed");
    assert_eq!(cal["error"]["value"], "0.030");
    assert_eq!(cal["assumed"][0]["value"], "0.050");
    assert_eq!(cal["state"], "no_due_date");
    // The day after, it is overdue, and the exit says so.
    let late = shop.run(&["gauges", "--json", "--on", "2027-03-02"], "");
    assert_eq!(late.code, 1);
    assert_eq!(late.lines[0]["state"], "overdue");
    let told = shop.run(&["gauges", "--on", "2027-03-01"], "");
    assert!(told.text.contains("assumed"), "{}", told.text);
    assert_eq!(shop.run(&["gauges", "--on", "1.3.2027"], "").code, 2);
}

#[test]
fn an_assumed_error_is_written_when_the_person_confirms_it() {
    let shop = shop(GAUGES);
    let answer = shop.run(&["gauges", "--confirm", "cal", "--json"], "");
    assert_eq!(answer.code, 0, "{}", answer.told);
    assert_eq!(answer.lines[0]["confirmed"][0]["value"], "0.050");
    let text = register(&shop);
    assert!(text.starts_with(GAUGES), "{text}");
    assert!(
        text[GAUGES.len()..].starts_with("mpe = 0.05 # published: DIN 862"),
        "{text}"
    );
    let listed = shop.run(&["gauges", "--json", "--on", "2027-03-01"], "");
    assert_eq!(listed.lines[1]["error"]["basis"], "stated");
    assert_eq!(
        shop.run(&["gauges", "--confirm", "cal"], "").code,
        2,
        "once"
    );
    assert_eq!(
        shop.run(&["gauges", "--confirm", "mic-25"], "").code,
        2,
        "stated"
    );
    assert_eq!(shop.run(&["gauges", "--confirm", "nobody"], "").code, 2);
    assert_eq!(register(&shop), text);
}

#[test]
fn a_certificate_is_shown_and_nothing_is_written_unasked() {
    let shop = shop(GAUGES);
    let answer = shop.run(&["certificate", "c.xml", "--json"], "");
    assert_eq!(answer.code, 0, "{}", answer.told);
    let line = &answer.lines[0];
    assert_eq!(line["number"], "EXAMPLE-MIC-2025-0001");
    assert_eq!(line["signature"], "none");
    assert_eq!(line["calibration"]["U"], "0.0015");
    assert_eq!(
        line["calibration"]["bias"][4],
        serde_json::json!(["12.899", "-0.001"])
    );
    assert_eq!(line["tables"][0]["columns"][1]["role"], "error");
    assert!(line["written"].is_null());
    let shown = shop.run(
        &[
            "certificate",
            "c.xml",
            "--gauge",
            "mic-25",
            "--serial",
            "EX-0001",
        ],
        "",
    );
    assert_eq!(shown.code, 0, "{}", shown.told);
    assert!(shown.text.contains("--write"), "{}", shown.text);
    assert_eq!(register(&shop), GAUGES);
    assert_eq!(shop.run(&["certificate", "no.xml"], "").code, 2, "no file");
    fs::write(shop.path("bad.xml"), "<!DOCTYPE a []><a/>").unwrap();
    let bad = shop.run(&["certificate", "bad.xml", "--json"], "");
    assert_eq!(bad.lines[0]["error"]["code"], "certificate_document_type");
    assert_eq!(bad.code, 2);
}

#[test]
fn a_certificate_is_written_for_its_own_gauge_alone() {
    let shop = shop(GAUGES);
    let run = |more: &[&str]| {
        let mut all = vec![
            "certificate",
            "c.xml",
            "--gauge",
            "mic-25",
            "--write",
            "--json",
        ];
        all.extend(more);
        shop.run(&all, "")
    };
    let code = |more: &[&str]| run(more).lines[0]["error"]["code"].clone();
    // The register states no serial number, so that someone must have read it off the gauge.
    assert_eq!(code(&[]), "serial_needed");
    assert_eq!(code(&["--serial", "EX-0002"]), "other_serial_number");
    assert_eq!(
        code(&["--serial", "EX-0001", "--due", "2025-09-01"]),
        "due_before_calibrated"
    );
    assert_eq!(register(&shop), GAUGES);
    let target = shop.path("kept.toml");
    fs::rename(shop.path("gauges.toml"), &target).unwrap();
    symlink(&target, shop.path("gauges.toml")).unwrap();
    fs::set_permissions(&target, fs::Permissions::from_mode(0o640)).unwrap();
    let answer = run(&["--serial", "EX-0001", "--due", "2026-09-01"]);
    assert_eq!(answer.code, 0, "{}", answer.text);
    let text = register(&shop);
    for kept in [
        "# pump shop\n",
        "id = \"mic-25\" # the old one\n",
        "# mpe = 0.004\n",
    ] {
        assert!(text.contains(kept), "{kept} in {text}");
    }
    assert!(
        text.contains("U = 0.0015, k = 2, bias = [[2.5, 0], [5.101, 0.001]"),
        "{text}"
    );
    assert!(text.contains("due = 2026-09-01\n") && text.contains("serial = \"EX-0001\"\n"));
    assert!(
        fs::symlink_metadata(shop.path("gauges.toml"))
            .unwrap()
            .is_symlink()
    );
    assert_eq!(
        fs::metadata(&target).unwrap().permissions().mode() & 0o777,
        0o640
    );
    let listed = shop.run(&["gauges", "--json", "--on", "2026-01-01"], "");
    assert_eq!(listed.lines[0]["error"]["basis"], "calibration");
    assert_eq!(listed.lines[0]["certificate"], "EXAMPLE-MIC-2025-0001");
    // From now on the number in the register counts, whatever is said.
    assert_eq!(code(&["--serial", "EX-0002"]), "other_serial_number");
    assert_eq!(run(&[]).code, 0);
    let other = text.replace("EX-0001", "EX-0009");
    fs::write(&target, &other).unwrap();
    assert_eq!(code(&[]), "other_serial_number");
    assert_eq!(register(&shop), other);
}

/// What stands in a certificate, which anybody may have written, steers no terminal: no control
/// characters of either kind, and nothing that turns the direction of writing.
#[test]
fn what_a_certificate_says_is_seen_and_steers_nothing() {
    let shop = shop(GAUGES);
    let odd = MINIMAL.replace("EX-0001", "EX\u{9b}31m\u{202e}1");
    assert_ne!(odd, MINIMAL);
    fs::write(shop.path("c.xml"), odd).unwrap();
    for more in [&["c.xml"][..], &["c.xml", "--gauge", "mic-25"]] {
        let answer = shop.run(&[&["certificate"][..], more].concat(), "");
        let said = answer.text + &answer.told;
        assert!(said.contains("EX\\u{9b}31m\\u{202e}1"), "{said}");
        assert!(!said.contains(['\u{9b}', '\u{202e}']), "{said:?}");
    }
}

#[test]
fn a_bore_is_inspected_with_its_plugs() {
    let shop = shop(
        "[[gauge]]\nid = \"go\"\nkind = \"plain_plug\"\ncallout = \"20 H7\"\nend = \"go\"\n\n\
         [[gauge]]\nid = \"no-go\"\nkind = \"plain_plug\"\ncallout = \"20 H7\"\nend = \"no_go\"\n",
    );
    let plan = "[part]\nname = \"Pump housing\"\n[[feature]]\nid = \"A\"\ncallout = \"20 H7\"\n\
                elements = [\"go_plug\", \"no_go_plug\"]\n";
    fs::write(shop.path("housing.toml"), plan).unwrap();
    let arguments = [
        "inspect",
        "--plan",
        "housing.toml",
        "--gauge",
        "typed",
        "--json",
        "--parts",
        "1",
    ];
    let good = shop.run(&arguments, "+\n-\n");
    assert_eq!(good.code, 0, "{} {}", good.text, good.told);
    let verdicts: Vec<_> = good
        .lines
        .iter()
        .filter(|one| one["verdict"].is_string())
        .collect();
    assert_eq!(verdicts.len(), 2, "{}", good.text);
    assert_eq!(
        (&verdicts[0]["element"], &verdicts[0]["verdict"]),
        (&"go_plug".into(), &"GO".into())
    );
    // The NO-GO plug goes: the bore is too large, metal is gone.
    let large = shop.run(&arguments, "+\n+\n");
    let mut verdicts = large.lines.iter();
    let last = verdicts.rfind(|one| one["verdict"].is_string()).unwrap();
    assert_eq!(
        (&last["verdict"], &last["side"]),
        (&"NO-GO".into(), &"metal_gone".into())
    );
    assert_eq!(large.code, 1);
}
