//! A study that is measured with a gauge's button on a real pseudo-terminal: unplugged in the
//! middle, half readings, lines that are none. Each is told at once and fills no cell.

#![cfg(unix)]

use std::os::unix::fs::symlink;
use std::path::PathBuf;
use std::time::{Duration, Instant};

use serde_json::Value;

use crate::support::program::{FarEnd, Running, Shop, lines_of};

const GAUGES: &str = "[[gauge]]\nid = \"mic\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\n\
resolution = 0.001\nmpe = 0.002\n";
/// What is wrong on the line is told within that time. It takes half a second, the pause that ends a
/// half reading; how loaded the machine is must not decide.
const AT_ONCE: Duration = Duration::from_secs(15);

struct Bench {
    shop: Shop,
    name: PathBuf,
    far: Option<FarEnd>,
}

impl Bench {
    fn new() -> Self {
        let shop = Shop::new();
        std::fs::write(shop.path("gauges.toml"), GAUGES).unwrap();
        let name = shop.path("gauge-port");
        let mut bench = Self {
            shop,
            name,
            far: None,
        };
        bench.plug_in();
        bench
    }

    fn plug_in(&mut self) {
        let far = FarEnd::new();
        symlink(&far.path, &self.name).unwrap();
        self.far = Some(far);
    }

    /// The name goes first, or the program might find another test's terminal under it.
    fn unplug(&mut self) {
        std::fs::remove_file(&self.name).unwrap();
        self.far = None;
    }

    fn send(&mut self, bytes: &[u8]) {
        self.far.as_mut().unwrap().send(bytes);
    }

    fn study(&self, more: &[&str]) -> Running {
        let source = format!("mic=serial:{}", self.name.display());
        let mut all = vec!["gauge-study", "--gauge", &source, "--order", "stated"];
        all.extend(more);
        self.shop.start(&all)
    }

    /// Sends a reading, and gives the line that answers it.
    fn read(&mut self, running: &Running, text: &str) -> Value {
        self.send(format!("{text}\r\n").as_bytes());
        // What is told of the line itself stands between.
        let mut lines = std::iter::repeat_with(|| running.next());
        lines.find(|line| line["line"].is_null()).unwrap()
    }
}

fn cell(line: &Value) -> (&str, u64, &str) {
    let trial = line["trial"].as_u64().unwrap_or_else(|| panic!("{line}"));
    (
        line["part"].as_str().unwrap(),
        trial,
        line["value"].as_str().unwrap(),
    )
}

#[test]
fn a_gauge_unplugged_in_the_middle_of_a_reading_comes_back_to_the_same_cell() {
    let mut bench = Bench::new();
    let running = bench.study(&["--json", "--parts", "2", "--trials", "2"]);
    assert_eq!(running.next()["line"]["state"], "attached");
    assert_eq!(cell(&bench.read(&running, "20.001")), ("1", 1, "20.001"));
    bench.send(b"15.0");
    std::thread::sleep(Duration::from_millis(100));
    bench.unplug();
    let since = Instant::now();
    // The half of a reading, and that the gauge is gone; each is there at once.
    let half = running.next();
    assert_eq!(
        (&half["error"]["code"], &half["input"]),
        (&"truncated".into(), &"15.0".into())
    );
    assert_eq!(running.next()["line"]["state"], "unplugged");
    assert!(since.elapsed() < AT_ONCE, "{:?}", since.elapsed());
    bench.shop.wait_for("\"not_found\"", 1);
    bench.plug_in();
    let back = std::iter::repeat_with(|| running.next()).take(5);
    let mut states = back.map(|line| line["line"]["state"].as_str().unwrap_or("").to_owned());
    assert!(states.any(|state| state == "attached"));
    // The rest of what was being read when the cable came out: it could be any size.
    let rest = bench.read(&running, "07");
    let reason = rest["set_aside"]["reason"].as_str().unwrap();
    assert!(reason.contains("broke off just before"), "{rest}");
    // The place is kept, and what comes now is a reading again.
    assert_eq!(cell(&bench.read(&running, "15.007")), ("2", 1, "15.007"));
    assert_eq!(cell(&bench.read(&running, "20.002")), ("1", 2, "20.002"));
    bench.send(b"15.008\r\n");
    assert_eq!(cell(&running.next()), ("2", 2, "15.008"));
    let answer = running.ended();
    assert_eq!(answer.code, 0, "{}", answer.told);
    let told = &answer.lines[0];
    assert_eq!((&told["filled"], &told["wanted"]), (&4.into(), &4.into()));
    let journal = bench.shop.journal();
    assert_eq!(lines_of(&journal, "study_cell_filled").len(), 4);
    assert_eq!(bench.shop.verified(&journal)["state"], "sound");
}

#[test]
fn unplugged_between_two_readings_nothing_is_lost() {
    let mut bench = Bench::new();
    let running = bench.study(&["--json", "--part", "bush", "--trials", "3"]);
    assert_eq!(running.next()["line"]["state"], "attached");
    for (trial, text) in [(1, "20.001"), (2, "20.003"), (3, "20.002")] {
        if trial > 1 {
            bench.unplug();
            bench.shop.wait_for("\"not_found\"", trial - 1);
            bench.plug_in();
            bench.shop.wait_for("\"attached\"", trial);
            while running.next()["line"]["state"] != "attached" {}
        }
        let line = bench.read(&running, text);
        assert_eq!(cell(&line), ("bush", trial as u64, text));
    }
    assert_eq!(running.ended().code, 0);
    assert_eq!(
        lines_of(&bench.shop.journal(), "reading_set_aside").len(),
        0
    );
}

#[test]
fn what_is_no_reading_is_told_at_once_and_fills_nothing() {
    let mut bench = Bench::new();
    let running = bench.study(&["--json", "--part", "bush", "--trials", "3"]);
    assert_eq!(running.next()["line"]["state"], "attached");
    assert_eq!(cell(&bench.read(&running, "20.001")).1, 1);
    let since = Instant::now();
    let bad = bench.read(&running, "2#.0?2");
    assert_eq!(bad["error"]["code"], "malformed", "{bad}");
    assert!(bad["error"]["hint"].is_string(), "{bad}");
    // More of it is counted, and that is told too, not kept for the end.
    bench.send(b"xx\r\n");
    let more = running.next();
    assert_eq!(
        (&more["line"]["refused"], &more["line"]["state"]),
        (&1.into(), &"malformed".into()),
        "{more}"
    );
    assert!(since.elapsed() < AT_ONCE * 2, "{:?}", since.elapsed());
    // Half a reading and a pause: told; the other half is no reading of its own.
    std::thread::sleep(Duration::from_millis(1_100));
    let since = Instant::now();
    bench.send(b"20.0");
    let half = running.next();
    assert_eq!(half["error"]["code"], "truncated", "{half}");
    assert!(since.elapsed() < AT_ONCE, "{:?}", since.elapsed());
    assert!(bench.read(&running, "02")["set_aside"].is_object());
    assert_eq!(cell(&bench.read(&running, "20.002")).1, 2);
    assert_eq!(cell(&bench.read(&running, "20.003")).1, 3);
    let answer = running.ended();
    assert_eq!(answer.code, 0, "{}", answer.told);
    assert_eq!(
        lines_of(&bench.shop.journal(), "study_cell_filled").len(),
        3
    );
}

#[test]
fn with_the_button_alone_it_is_always_said_what_comes_next() {
    let mut bench = Bench::new();
    let running = bench.study(&["--parts", "2", "--operators", "Ada,Bea", "--trials", "2"]);
    let until = |wanted: &str| {
        let since = Instant::now();
        loop {
            let line = running.next_text();
            if line.contains(wanted) {
                return;
            }
            assert!(
                since.elapsed() < Duration::from_secs(60),
                "{wanted}: {line}"
            );
        }
    };
    until("mic: attached");
    until("Reading 1 of 8. Ada measures now: part 1, trial 1 of 2.");
    bench.send(b"20.001\r\n");
    until("part 1, Ada, trial 1  20.001");
    until("Reading 2 of 8. Ada: part 2, trial 1 of 2.");
    bench.send(b"nonsense\r\n");
    until("mic: no reading (malformed)");
    until("Reading 2 of 8. Ada: part 2, trial 1 of 2.");
    bench.unplug();
    until("mic: unplugged");
    bench.plug_in();
    until("mic: attached");
    until("Reading 2 of 8. Ada: part 2, trial 1 of 2.");
    bench.send(b"15.001\r\n");
    until("Reading 3 of 8. Bea measures now: part 1, trial 1 of 2.");
    running.signal("-INT");
    let answer = running.ended();
    assert_eq!(answer.code, 1);
    assert!(
        answer.text.contains("6 of 8 readings are missing"),
        "{}",
        answer.text
    );
}
