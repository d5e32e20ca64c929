//! Two ways in which a GO would be false, through the real program.

use std::io::Write;
use std::process::{Command, Stdio};

fn words(typed: &str) -> Vec<String> {
    let place = tempfile::tempdir().unwrap();
    let mut child = Command::new(env!("CARGO_BIN_EXE_fitledger"))
        .args([
            "inspect",
            "--json",
            "--callout",
            "20 k6",
            "--gauge",
            "typed",
            "--advance",
            "go",
        ])
        .arg("--workspace")
        .arg(place.path())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    child
        .stdin
        .take()
        .unwrap()
        .write_all(typed.as_bytes())
        .unwrap();
    let said = String::from_utf8(child.wait_with_output().unwrap().stdout).unwrap();
    let lines = said
        .lines()
        .map(|line| serde_json::from_str::<serde_json::Value>(line).unwrap());
    lines
        .filter_map(|line| line["verdict"].as_str().map(str::to_owned))
        .collect()
}

#[test]
fn two_readings_outside_on_either_side_are_no_go_by_their_mean() {
    assert_eq!(words("20.025\n19.995\n"), ["NO-GO", "DOUBT"]);
}

#[test]
fn a_warm_part_of_unknown_material_is_not_go() {
    assert_eq!(words("t 31\n20.004\n"), ["DOUBT"]);
    assert_eq!(words("t 20\n20.009\n"), ["GO"]);
}
