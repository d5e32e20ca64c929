//! The first part in two minutes: from an empty workspace to the first verdict on one's own part,
//! with the very keys that README counts. No time is taken here: presses are counted.
#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::panic)]

use std::time::{Duration, Instant};

use fitledger::session::What;
use fitledger::window::press::Press;
use fitledger::window::start::{GaugeChoice, GaugeKind, Start, StartAsked, StartFacts};
use fitledger::wire::{Decoded, built_in, decode_groups};

use crate::shell::Desk;
use crate::support::program::FarEnd;
use crate::support::taught_gauges::{Gauge, text_gauges};
use crate::teaching::asked_nm;

/// The line of README's table of steps for that path: how many keys it says.
fn counted(path: &str) -> usize {
    let page = concat!(env!("CARGO_MANIFEST_DIR"), "/README.md");
    let page = std::fs::read_to_string(page).unwrap();
    let row = page
        .lines()
        .find(|line| line.starts_with(&format!("| {path} |")))
        .unwrap_or_else(|| panic!("no row {path}"));
    let last = row.trim_end_matches('|').rsplit('|').next().unwrap();
    last.trim().parse().unwrap()
}

/// Presses, counted.
struct Counted {
    desk: Desk<'static>,
    presses: usize,
}

impl Counted {
    fn new(folder: tempfile::TempDir) -> Self {
        let desk = Desk::open_in(folder, None);
        Self { desk, presses: 0 }
    }

    fn keys(&mut self, keys: &str) {
        self.presses += keys.chars().count();
        self.desk.keys(keys);
    }

    /// The first verdict is on the disk, and nobody used a mouse.
    fn verdict(mut self) -> usize {
        self.desk.wait("verdict_given", 1);
        assert!(self.desk.journal().contains("\"verdict\":\"GO\""));
        let context = &self.desk.harness.ctx;
        assert_eq!(context.input(|input| input.pointer.latest_pos()), None);
        self.presses
    }
}

#[test]
fn a_callout_typed_and_a_size_typed() {
    let mut hand = Counted::new(tempfile::tempdir().unwrap());
    hand.keys("20 k6⏎⏎");
    hand.desk.wait("session_opened", 1);
    hand.keys("20.008⏎");
    assert_eq!(hand.verdict(), counted("callout, typed"));
}

#[test]
fn a_plan_file_and_a_size_typed() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("plans")).unwrap();
    let plan = "[part]\nname = \"Pump bush\"\n[[feature]]\nid = \"A\"\ncallout = \"20 k6\"\n";
    std::fs::write(folder.path().join("plans/bush.toml"), plan).unwrap();
    let mut hand = Counted::new(folder);
    hand.keys("1⏎⏎");
    hand.desk.wait("session_opened", 1);
    hand.keys("20.008⏎");
    assert_eq!(hand.verdict(), counted("plan file, typed"));
}

#[test]
fn a_gauge_of_the_register_at_its_port() {
    let mut far = FarEnd::new();
    let folder = tempfile::tempdir().unwrap();
    let gauges = format!(
        "[[gauge]]\nid = \"mic\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\n\
         resolution = 0.001\nmpe = 0.002\nrepeatability = 0.0005\n\
         port = {{ path = \"{}\", adapter = \"line-free\" }}\n",
        far.path
    );
    std::fs::write(folder.path().join("gauges.toml"), gauges).unwrap();
    let mut hand = Counted::new(folder);
    hand.keys("20 k6⏎⏎");
    hand.desk.wait("gauge_state_changed", 1);
    // The gauge's data button.
    hand.presses += 1;
    far.send(b"20.008\r\n");
    assert_eq!(hand.verdict(), counted("callout, a gauge of the register"));
}

#[test]
fn a_gauge_that_nobody_knows_at_a_port_that_is_found() {
    let mut far = FarEnd::new();
    // Ports of a computer are listed by the system, which does not list these: what the Start
    // room makes of one is pressed through here, and what it asks for is begun below.
    let facts = StartFacts {
        gauges: vec![
            GaugeChoice {
                source: format!("serial:{}", far.path),
                name: far.path.clone(),
                detail: "a port".to_owned(),
                kind: GaugeKind::Port,
            },
            GaugeChoice {
                source: "typed".to_owned(),
                name: "typed".to_owned(),
                detail: String::new(),
                kind: GaugeKind::Typed,
            },
        ],
        ..StartFacts::default()
    };
    let (mut start, mut asked, mut presses) = (Start::default(), Vec::new(), 0);
    for press in [
        Press::Digit('2'),
        Press::Digit('0'),
        Press::Space,
        Press::Letter('k'),
        Press::Digit('6'),
        Press::Enter,
        Press::Enter,
    ] {
        presses += 1;
        asked = start.press(press, &facts);
    }
    let [StartAsked::Begin(begin)] = asked.as_slice() else {
        panic!("{asked:?}")
    };
    assert!(matches!(begin.what, What::Callouts(_)));
    let folder = tempfile::tempdir().unwrap();
    let mut desk = Desk::open_in(folder, Some(begin.as_ref().clone()));
    desk.wait("gauge_state_changed", 1);
    presses += 1;
    far.send(b"20.008\r\n");
    let hand = Counted { desk, presses };
    assert_eq!(hand.verdict(), counted("callout, a gauge never seen"));
}

/// A gauge whose bytes the usual adapter does not read.
fn unknown_gauge() -> Gauge {
    let usual = built_in("line-free").unwrap();
    let is_unknown = |gauge: &Gauge| {
        let heard = decode_groups(&usual, &[gauge.send(7_500_000, false)]);
        gauge.trigger == "unsolicited"
            && heard.iter().all(|one| !matches!(one, Decoded::Reading(_)))
    };
    text_gauges().into_iter().find(is_unknown).unwrap()
}

/// What was typed and pressed to teach it: sizes in the window, its button and answers as asked.
fn taught(hand: &mut Counted, far: &mut FarEnd, gauge: &Gauge) {
    let until = Instant::now() + Duration::from_secs(60);
    let mut last = (usize::MAX, String::new());
    loop {
        hand.desk.harness.step();
        let facts = hand.desk.window().teaching().unwrap_or_default();
        let now = (facts.step, facts.prompt.clone());
        if !facts.is_running {
            assert!(facts.prompt.contains("known and confirmed"), "{facts:#?}");
            return;
        }
        assert!(Instant::now() < until, "{facts:#?}");
        if now == last {
            std::thread::sleep(Duration::from_millis(2));
            continue;
        }
        last = now;
        if facts.asks_yes_or_no {
            // It has no unit key, and nothing else that could be shown.
            hand.keys("-");
        } else if let Some(nm) = asked_nm(&facts.prompt) {
            hand.presses += 1;
            far.send(&gauge.send(nm, false));
        }
    }
}

/// Taught by touch: from the moment when it is plugged in, its name being in the register, to the
/// first verdict. The line for the register that the page tells is put there with an editor.
#[test]
fn a_gauge_that_is_taught_first() {
    let (mut far, gauge) = (FarEnd::new(), unknown_gauge());
    let folder = tempfile::tempdir().unwrap();
    let register = folder.path().join("gauges.toml");
    // Its port stands there, for the system does not list this one; which bytes it sends, nobody
    // knows yet.
    let port = format!("port = {{ path = \"{}\" }}", far.path);
    let entry = "[[gauge]]\nid = \"mic\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\n\
                 resolution = 0.001\nmpe = 0.002\nrepeatability = 0.0005\n";
    std::fs::write(&register, format!("{entry}{port}\n")).unwrap();
    let mut hand = Counted::new(folder);
    hand.keys("⑥7⏎7.5⏎20⏎⏎12.345⏎");
    taught(&mut hand, &mut far, &gauge);
    let usage = hand.desk.window().teaching().unwrap().usage;
    assert!(usage.contains("adapter = \"mic\""), "{usage}");
    std::fs::write(&register, format!("{entry}{usage}\n")).unwrap();
    hand.keys("①20 k6⏎⏎");
    hand.desk.wait("gauge_state_changed", 1);
    hand.presses += 1;
    far.send(&gauge.send(20_008_000, false));
    assert_eq!(
        hand.verdict(),
        counted("callout, a gauge that is taught first")
    );
}
