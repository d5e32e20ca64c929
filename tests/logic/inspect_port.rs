//! `inspect` as it runs: on real pseudo-terminals, interrupted, unplugged and killed.

#![cfg(unix)]

use std::io::Write;
use std::os::unix::fs::symlink;
use std::time::{Duration, Instant};

use serde_json::Value;

use crate::support::journals::Seeded;
use crate::support::program::{FarEnd, Shop, lines_of};

fn inspect(port: &str) -> Vec<String> {
    let gauge = format!("serial:{port}");
    let all = [
        "inspect",
        "--json",
        "--callout",
        "20 k6",
        "--advance",
        "always",
        "--gauge",
        &gauge,
    ];
    all.map(str::to_owned).to_vec()
}

fn start(shop: &Shop, port: &str) -> crate::support::program::Running {
    let arguments = inspect(port);
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    shop.start(&arguments)
}

#[test]
fn bytes_split_glued_and_garbled_on_a_port_come_as_they_were_sent() {
    let (shop, mut far) = (Shop::new(), FarEnd::new());
    let running = start(&shop, &far.path);
    shop.wait_for("attached", 1);
    for piece in [
        b"20.0".as_slice(),
        b"08 mm\r",
        b"\n20.009\r20.010\n\x00\xff#?\r\n+20.0",
        b"11\r\n",
    ] {
        far.send(piece);
        std::thread::sleep(Duration::from_millis(40));
    }
    let mut values = Vec::new();
    let mut refused = 0;
    while values.len() < 4 {
        let line = running.next();
        match line["value"].as_str() {
            Some(value) => values.push(value.to_owned()),
            None => refused += usize::from(line["error"]["code"].is_string()),
        }
    }
    assert_eq!(values, ["20.008", "20.009", "20.010", "20.011"]);
    assert_eq!(refused, 1, "garbage is told");
    running.signal("-INT");
    let answer = running.ended();
    let journal = shop.journal();
    let last = answer.lines.last().unwrap();
    assert_eq!(last["journal"], journal.to_str().unwrap());
    let verified = shop.verified(&journal);
    assert_eq!(
        (&verified["state"], &verified["head"]),
        (&Value::from("sound"), &last["head"])
    );
    // Noise was asked by nobody; the verdicts were all GO.
    assert_eq!(answer.code, 0);
    let raw: Vec<Value> = lines_of(&journal, "reading_received");
    assert_eq!(raw.len(), 4);
}

#[test]
fn an_unplugged_gauge_gives_no_partial_reading_and_goes_on_when_it_is_back() {
    let shop = Shop::new();
    let name = shop.path("gauge-port");
    let mut far = FarEnd::new();
    symlink(&far.path, &name).unwrap();
    let running = start(&shop, name.to_str().unwrap());
    shop.wait_for("attached", 1);
    far.send(b"20.008\r\n20.0");
    assert_eq!(running.next()["value"], "20.008");
    std::thread::sleep(Duration::from_millis(300));
    // The name goes first, or the program might find another test's terminal under it.
    std::fs::remove_file(&name).unwrap();
    let since = Instant::now();
    drop(far);
    shop.wait_for("unplugged", 1);
    assert!(
        since.elapsed() < Duration::from_secs(15),
        "told after {:?}",
        since.elapsed()
    );
    assert_eq!(running.next()["error"]["code"], "truncated");
    running.says_nothing(Duration::from_millis(300));
    let mut far = FarEnd::new();
    symlink(&far.path, &name).unwrap();
    shop.wait_for("attached", 2);
    far.send(b"09\r\n20.012\r\n");
    assert_eq!(running.next()["held"]["value"], "9");
    assert_eq!(running.next()["set_aside"]["value"], "9");
    assert_eq!(running.next()["value"], "20.012");
    running.signal("-INT");
    assert_eq!(running.ended().lines.len(), 1);
    let values: Vec<Value> = lines_of(&shop.journal(), "reading_received");
    assert_eq!(values.len(), 3);
    assert_eq!(shop.verified(&shop.journal())["state"], "sound");
}

#[test]
fn a_flood_is_recorded_whole_and_in_order() {
    let count = 5_000;
    let (shop, mut far) = (Shop::new(), FarEnd::new());
    let running = start(&shop, &far.path);
    shop.wait_for("attached", 1);
    let value = |at: usize| format!("20.{:04}", 20 + at % 130);
    let flood: String = (0..count).map(|at| value(at) + "\r\n").collect();
    let since = Instant::now();
    let sender = std::thread::spawn(move || {
        far.send(flood.as_bytes());
        far
    });
    for at in 0..count {
        assert_eq!(running.next()["value"], value(at));
    }
    let took = since.elapsed();
    println!("{count} readings in {took:?}");
    let far = sender.join().unwrap();
    running.signal("-INT");
    assert_eq!(running.ended().code, 0);
    drop(far);
    let readings = lines_of(&shop.journal(), "reading_received");
    assert_eq!(readings.len(), count);
    assert_eq!(lines_of(&shop.journal(), "verdict_given").len(), count);
}

#[test]
fn an_interrupt_closes_the_record_and_an_open_part_is_not_good() {
    for (sent, code) in [("20.008\r\n", 0), ("20.030\r\n", 1)] {
        let (shop, mut far) = (Shop::new(), FarEnd::new());
        let running = start(&shop, &far.path);
        shop.wait_for("attached", 1);
        far.send(sent.as_bytes());
        assert!(running.next()["verdict"].is_string());
        running.signal("-INT");
        let answer = running.ended();
        assert_eq!((answer.code, answer.lines.len()), (code, 1), "{sent}");
        assert!(answer.lines[0]["head"].is_string());
        assert_eq!(lines_of(&shop.journal(), "session_closed").len(), 1);
    }
}

#[test]
fn a_port_that_is_not_there_leaves_no_record() {
    let shop = Shop::new();
    let answer = shop.run(
        &[
            "inspect",
            "--json",
            "--callout",
            "20 k6",
            "--gauge",
            "serial:/dev/none",
        ],
        "",
    );
    assert_eq!(
        (answer.code, answer.lines[0]["error"]["code"].as_str()),
        (3, Some("port_not_found"))
    );
    assert_eq!(shop.journals(), Vec::<std::path::PathBuf>::new());
}

#[test]
fn a_continued_session_decodes_as_it_was_recorded() {
    let shop = Shop::new();
    let far = FarEnd::new();
    let mut arguments = inspect(&far.path);
    arguments.extend(["--adapter".to_owned(), "line-strict".to_owned()]);
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let running = shop.start(&arguments);
    shop.wait_for("attached", 1);
    drop(running.killed());
    let journal = shop.journal();
    let source = &lines_of(&journal, "session_opened")[0]["body"]["sources"][0];
    assert_eq!(source["adapter"], "line-strict");
    let path = journal.to_str().unwrap().to_owned();
    let running = shop.start(&["inspect", "--json", "--continue", &path]);
    shop.wait_for("attached", 2);
    let mut far = far;
    // The strict adapter wants a sign; the free one would take this.
    far.send(b"20.008 mm\r\n");
    assert!(running.next()["error"]["code"].is_string());
    running.signal("-INT");
    assert_eq!(running.ended().code, 1, "nothing was measured");
    assert_eq!(shop.verified(&journal)["state"], "sound");
}

#[test]
fn fifty_kills_lose_nothing_that_was_printed() {
    let seed = u64::from(std::process::id());
    println!("seed {seed}");
    let mut random = Seeded(seed);
    let (kills, since) = (50, Instant::now());
    let (mut shop, mut journal, mut torn, mut printed) = (Shop::new(), String::new(), 0, 0);
    let fresh = [
        "inspect",
        "--json",
        "--callout",
        "20 k6",
        "--gauge",
        "typed",
    ];
    for kill in 0..kills {
        let case = format!("seed {seed}, kill {kill}");
        if kill % 10 == 0 {
            (shop, journal) = (Shop::new(), String::new());
        }
        let mut running = if journal.is_empty() {
            shop.start(&fresh)
        } else {
            shop.start(&["inspect", "--json", "--continue", &journal])
        };
        let mut input = running.take_input();
        let feeder = std::thread::spawn(move || {
            for at in 0.. {
                let line = format!("20.{:03}\n", at % 30);
                if input.write_all(line.as_bytes()).is_err() {
                    return;
                }
            }
        });
        let first = running.next();
        std::thread::sleep(Duration::from_micros(random.next() % 60_000));
        let mut said = running.killed();
        feeder.join().unwrap();
        said.insert(0, first);
        printed += said.len();
        let path = shop.journal();
        journal = path.to_str().unwrap().to_owned();
        let bytes = std::fs::read(&path).unwrap();
        let mut found = std::collections::BTreeMap::new();
        let report = fitledger::journal::verify(bytes.as_slice(), |sound| {
            found.insert(
                sound.line.seq,
                (sound.line.kind.to_owned(), sound.line.body.to_owned()),
            );
        })
        .unwrap();
        assert_ne!(report.state.code(), "damaged", "{case}: {report:?}");
        torn += usize::from(report.state.code() == "torn_tail");
        for line in said {
            let event = [&line, &line["held"], &line["set_aside"]]
                .into_iter()
                .find_map(|at| at["event"].as_u64());
            let (kind, body) = &found[&event.unwrap_or_else(|| panic!("{case}: {line}"))];
            let body: Value = serde_json::from_str(body).unwrap();
            let expected = match (&line["verdict"], &line["held"]) {
                (Value::String(_), _) => "verdict_given",
                (_, Value::Object(_)) => "reading_held",
                _ => "reading_set_aside",
            };
            assert_eq!(kind, expected, "{case}: {line}");
            if expected == "verdict_given" {
                assert_eq!(body["verdict"], line["verdict"], "{case}: {body}");
            }
        }
        let state = shop.run(&["verify", "--json", &journal], "").lines[0]["state"].clone();
        assert!(
            state == "not_closed" || state == "torn_tail",
            "{case}: {state}"
        );
        if kill % 10 == 9 {
            let answer = shop.run(&["inspect", "--json", "--continue", &journal], "");
            assert!(answer.code < 2, "{case}: {answer:?}");
            assert_eq!(shop.verified(&path)["state"], "sound", "{case}");
        }
    }
    println!(
        "{kills} kills, {printed} answers, {torn} torn tails, {:?}",
        since.elapsed()
    );
}
