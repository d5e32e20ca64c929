//! `teach` as it runs: at a real pseudo-terminal, and from a file of captured bursts.

use std::io::{BufRead, BufReader, Read, Write};
use std::process::Stdio;

use serde_json::Value;

use crate::support::program::{FarEnd, Shop};
use crate::support::taught_gauges::{binary_gauges, text_gauges, through_line};

/// The size behind a word of a prompt, nanometres.
fn number_after(line: &str, word: &str) -> Option<i64> {
    let rest = &line[line.find(word)? + word.len()..];
    let number = rest.split(' ').next()?.parse::<prompted::Nm>().ok()?;
    Some(number.0)
}

/// Millimetres with three decimals, as prompts write them.
mod prompted {
    pub(super) struct Nm(pub(super) i64);

    impl std::str::FromStr for Nm {
        type Err = ();

        fn from_str(text: &str) -> Result<Self, ()> {
            let (whole, rest) = text.split_once('.').ok_or(())?;
            let digits: i64 = format!("{whole}{rest}").parse().map_err(|_| ())?;
            (rest.len() == 3).then_some(Self(digits * 1_000)).ok_or(())
        }
    }
}

#[test]
fn a_gauge_at_a_pseudo_terminal_is_taught_from_the_wrong_speed_to_the_written_adapter() {
    let (shop, mut far) = (Shop::new(), FarEnd::new());
    let gauges = text_gauges();
    let gauge = gauges
        .iter()
        .find(|gauge| gauge.name == "line-comma")
        .unwrap();
    let source = format!("serial:{}", far.path);
    let arguments = [
        "teach",
        "--json",
        "--gauge",
        &source,
        "--size",
        "1.005",
        "--size",
        "7.5",
        "--size",
        "20",
        "--confirm",
        "12.345",
        "--name",
        "bench-caliper",
    ];
    let mut program = shop
        .command(env!("CARGO_BIN_EXE_fitledger"))
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut input = program.stdin.take().unwrap();
    let mut setting = String::new();
    let mut settings = 0;
    for line in BufReader::new(program.stderr.take().unwrap()).lines() {
        let line = line.unwrap();
        if line.contains("Enter for yes") {
            input.write_all(b"\n").unwrap();
        }
        if let Some(at) = line.find("(setting ") {
            setting = line[at + 9..].split(',').next().unwrap().to_owned();
            settings += 1;
        }
        let Some(size) = number_after(&line, "easure ") else {
            continue;
        };
        let nm = size - number_after(&line, "Zero the gauge on ").unwrap_or(0);
        let inch = line.starts_with("Press the gauge's unit key");
        let sent = gauge.send(nm + 2_100, inch);
        far.send(&through_line(&sent, gauge.line, &setting));
    }
    drop(input);
    let mut answer = String::new();
    program
        .stdout
        .take()
        .unwrap()
        .read_to_string(&mut answer)
        .unwrap();
    assert_eq!(program.wait().unwrap().code(), Some(0), "{answer}");
    let line: Value = serde_json::from_str(&answer).unwrap();
    assert_eq!(line["confirmed"], true, "{line:#}");
    assert_eq!(line["line"], "2400-7E1");
    assert_eq!(settings, 3, "9600, 4800, then 2400");
    let file = shop.path("adapters/bench-caliper.toml");
    let text = std::fs::read_to_string(&file).unwrap();
    assert_eq!(line["text"], text.as_str());
    let decoded = shop.run(
        &["decode", "--json", "--adapter", "bench-caliper"],
        // `-3,270 mm` CR LF and `0,1287 in` CR LF.
        "2d332c323730206d6d0d0a 302c3132383720696e0d0a\n",
    );
    let events = &decoded.lines[0]["events"];
    assert_eq!(events[0]["reading"]["value"], "-3.270", "{events}");
    assert_eq!(events[0]["reading"]["unit"], "mm");
    assert_eq!(events[1]["reading"]["value"], "0.1287");
    assert_eq!(events[1]["reading"]["unit"], "in");
}

/// The gauge answers a request of registers and nothing else: a far end that reads what is asked.
fn asked_at_a_port(requests: &[&str]) -> (i32, Value) {
    let (shop, mut far) = (Shop::new(), FarEnd::new());
    let gauges = binary_gauges();
    let gauge = gauges
        .iter()
        .find(|gauge| gauge.name == "modbus-i32")
        .unwrap();
    let source = format!("serial:{}", far.path);
    let sizes = [
        "--size",
        "1.005",
        "--size",
        "7.5",
        "--size",
        "20",
        "--confirm",
        "12.345",
    ];
    let mut program = shop
        .command(env!("CARGO_BIN_EXE_fitledger"))
        .args(["teach", "--json", "--gauge", &source, "--line", gauge.line])
        .args(sizes)
        .args(requests.iter().flat_map(|hex| ["--request", hex]))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut input = program.stdin.take().unwrap();
    let mut wanted = None;
    for line in BufReader::new(program.stderr.take().unwrap()).lines() {
        let line = line.unwrap();
        if let Some(size) = number_after(&line, "easure ") {
            wanted = Some(size - number_after(&line, "Zero the gauge on ").unwrap_or(0));
        }
        if line.contains("Enter for yes") {
            let can = !line.contains("unit key") && !line.contains("be sent");
            input.write_all(if can { b"\n" } else { b"n\n" }).unwrap();
        }
        if line.contains("Enter when it is ready") {
            input.write_all(b"\n").unwrap();
            let mut request = [0; 8];
            far.read_exact(&mut request);
            assert_eq!(request, [1, 3, 0, 0, 0, 2, 0xc4, 0x0b]);
            far.send(&gauge.send(wanted.unwrap() + 2_000, false));
        }
    }
    drop(input);
    let mut answer = String::new();
    let mut out = program.stdout.take().unwrap();
    out.read_to_string(&mut answer).unwrap();
    let code = program.wait().unwrap().code().unwrap();
    (code, serde_json::from_str(&answer).unwrap())
}

#[test]
fn a_gauge_that_must_be_asked_for_registers_is_taught_at_a_port() {
    let (code, line) = asked_at_a_port(&["01 03 00 00 00 02 c4 0b"]);
    assert_eq!(
        (code, &line["confirmed"]),
        (0, &Value::Bool(true)),
        "{line:#}"
    );
    let text = line["text"].as_str().unwrap();
    assert!(text.contains("010300000002c40b"), "{text}");
    for wrong in ["", "2", "0x21", "!"] {
        let (code, line) = asked_at_a_port(&["21", wrong]);
        let word = line["error"]["code"].as_str();
        assert_eq!((code, word), (2, Some("teach_bad_request")), "{wrong}");
    }
}

const CAPTURED: &str = "\
9600-8N1 size 1.005: 2b 31 2e 30 30 35 0d
9600-8N1 size 7.5: 2b 37 2e 35 30 31 0d
9600-8N1 size 20: 2b 32 30 2e 30 30 30 0d
9600-8N1 zeroed 7.5 on 20: 2d 31 32 2e 35 30 30 0d
9600-8N1 confirm 12.345: 2b 31 32 2e 33 34 36 0d
";

#[test]
fn a_file_of_captured_bursts_is_enough_and_nothing_is_written_over() {
    let shop = Shop::new();
    let file = shop.path("bursts.txt");
    std::fs::write(&file, CAPTURED).unwrap();
    let teach = |more: &[&str]| {
        let mut all = vec!["teach", "--json", "--captured", file.to_str().unwrap()];
        all.extend(["--name", "bench"]);
        all.extend(more);
        let answer = shop.run(&all, "");
        (answer.code, answer.lines.into_iter().next().unwrap())
    };
    let (code, line) = teach(&[]);
    assert_eq!(
        (code, &line["confirmed"]),
        (0, &Value::Bool(true)),
        "{line:#}"
    );
    let kept = shop.path("adapters/bench.toml");
    std::fs::write(&kept, "name = \"mine\"\n").unwrap();
    let (code, line) = teach(&[]);
    assert_eq!(
        (code, line["error"]["code"].as_str()),
        (3, Some("file_exists")),
        "{line:#}"
    );
    assert_eq!(std::fs::read_to_string(&kept).unwrap(), "name = \"mine\"\n");
    assert_eq!(teach(&["--replace"]).0, 0);
    assert_ne!(std::fs::read_to_string(&kept).unwrap(), "name = \"mine\"\n");
    std::fs::remove_file(&kept).unwrap();
    // Without the last press nothing confirms, and nothing is written.
    let unconfirmed: Vec<&str> = CAPTURED
        .lines()
        .filter(|l| !l.contains("confirm"))
        .collect();
    std::fs::write(&file, unconfirmed.join("\n")).unwrap();
    let (code, line) = teach(&[]);
    assert_eq!(
        (code, &line["confirmed"], &line["file"]),
        (0, &Value::Bool(false), &Value::Null)
    );
    assert!(line["text"].is_string() && !kept.exists());
    std::fs::write(&file, CAPTURED.replace("12.345", "13")).unwrap();
    let (code, line) = teach(&[]);
    assert_eq!(
        (code, line["problem"]["code"].as_str()),
        (2, Some("teach_not_confirmed"))
    );
    assert!(!kept.exists());
    for (arguments, word) in [
        (["--name", "line-free"], "teach_bad_name"),
        (["--name", "../up"], "teach_bad_name"),
        (["--error", "wide"], "teach_bad_size"),
    ] {
        let mut all = vec!["teach", "--json", "--captured", file.to_str().unwrap()];
        all.extend(arguments);
        let answer = shop.run(&all, "");
        assert_eq!(
            (answer.code, answer.lines[0]["error"]["code"].as_str()),
            (2, Some(word))
        );
    }
}
