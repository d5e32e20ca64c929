//! `inspect` with gauges that must be asked and gauges that stream, on real pseudo-terminals.

#![cfg(unix)]

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::time::Duration;

use serde_json::Value;

use crate::support::program::{FarEnd, Running, Shop, lines_of};

/// An adapter of plain lines that end with CR; who starts a reading is told.
pub(crate) fn adapter(trigger: &str) -> String {
    format!(
        "line = {{ baud = 9600, data_bits = 8, parity = \"none\", stop_bits = 1 }}\n\
         trigger = {{ {trigger} }}\n\
         frame = {{ kind = \"terminated\", terminator = \"cr\", max_bytes = 24 }}\n\
         fields = {{ kind = \"pattern\", pattern = '^(?P<sign>[+-]?)(?P<num>[0-9]+[.][0-9]+)$' }}\n\
         number = {{ decimal = \"point\", decimals = 3 }}\n\
         unit = {{ rule = \"fixed\", value = \"mm\" }}\n\
         [status]\nwords = {{ \"OVER\" = \"over_range\" }}\n"
    )
}

const STREAM: &str = "kind = \"stream\"";
const REQUEST: &str = "kind = \"request\", send_hex = \"520d\", reply_ms = 400";

fn shop(trigger: &str) -> Shop {
    let shop = Shop::new();
    std::fs::write(shop.path("own.toml"), adapter(trigger)).unwrap();
    shop
}

/// A plan of one bore that is measured in that way.
fn plan(take: &str, callout: &str) -> String {
    format!(
        "[part]\nname = \"Pump housing\"\n\n[[feature]]\nid = \"B\"\nname = \"bearing bore\"\n\
         callout = \"{callout}\"\ntake = \"{take}\"\n"
    )
}

fn start(shop: &Shop, far: &FarEnd, what: &[&str]) -> Running {
    let gauge = format!("serial:{}@own.toml", far.path);
    let mut all = vec![
        "inspect",
        "--json",
        "--advance",
        "always",
        "--gauge",
        &gauge,
    ];
    all.extend(what);
    let running = shop.start(&all);
    shop.wait_for("attached", 1);
    running
}

/// A gauge that sends a value every 10 ms; the value is chosen meanwhile.
struct Stream {
    values: Sender<String>,
    stop: Arc<AtomicBool>,
    thread: Option<std::thread::JoinHandle<()>>,
}

impl Stream {
    fn new(mut far: FarEnd, first: &str) -> Self {
        let (values, next): (Sender<String>, Receiver<String>) = channel();
        let stop = Arc::new(AtomicBool::new(false));
        let is_stopped = Arc::clone(&stop);
        let mut value = first.to_owned();
        let thread = std::thread::spawn(move || {
            while !is_stopped.load(Ordering::Relaxed) {
                value = next.try_iter().last().unwrap_or(value);
                far.send(format!("{value}\r").as_bytes());
                std::thread::sleep(Duration::from_millis(10));
            }
        });
        let thread = Some(thread);
        Self {
            values,
            stop,
            thread,
        }
    }

    /// Shows that value for a while.
    fn shows(&self, value: &str) {
        self.values.send(value.to_owned()).unwrap();
        std::thread::sleep(Duration::from_millis(150));
    }
}

impl Drop for Stream {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
        drop(self.thread.take().map(std::thread::JoinHandle::join));
    }
}

#[test]
fn a_gauge_that_must_be_asked_is_asked_by_take_and_by_an_empty_line() {
    let shop = shop(REQUEST);
    let mut far = FarEnd::new();
    let mut running = start(&shop, &far, &["--callout", "20 k6"]);
    for (asked, value) in [
        ("take\n", "20.008"),
        ("\n", "20.009"),
        ("take serial\n", "20.010"),
    ] {
        running.type_text(asked);
        let mut request = [0; 2];
        far.read_exact(&mut request);
        assert_eq!(&request, b"R\r");
        far.send(format!("+{value}\r").as_bytes());
        assert_eq!(running.next()["value"], value);
    }
    running.says_nothing(Duration::from_millis(200));
    // Nobody is left to ask: the session ends by itself.
    running.end_input();
    let answer = running.ended();
    assert_eq!(answer.code, 0, "{answer:?}");
    let journal = shop.journal();
    assert_eq!(lines_of(&journal, "reading_received").len(), 3);
    assert_eq!(lines_of(&journal, "reading_taken").len(), 0);
    assert_eq!(shop.verified(&journal)["state"], "sound");
}

#[test]
fn an_answer_that_does_not_come_is_told_and_a_late_one_is_kept_and_marked() {
    let shop = shop(REQUEST);
    let mut far = FarEnd::new();
    let mut running = start(&shop, &far, &["--callout", "20 k6"]);
    running.type_text("take\n");
    far.read_exact(&mut [0; 2]);
    let told = running.next();
    assert_eq!(told["error"]["code"], "no_reply", "{told}");
    shop.wait_for("no_reply", 1);
    far.send(b"+20.008\r");
    assert_eq!(running.next()["value"], "20.008");
    shop.wait_for("\"attached\"", 2);
    running.type_text("take gauge-of-nobody\n");
    let error = &running.next()["error"];
    assert_eq!(error["code"], "no_such_gauge");
    let message = error["message"].as_str().unwrap();
    assert!(message.ends_with("its gauges are serial."), "{message}");
    running.type_text("take typed\n");
    assert_eq!(running.next()["error"]["code"], "gauge_not_asked");
    running.end_input();
    assert_eq!(running.ended().code, 2);
    let journal = shop.journal();
    let taken = lines_of(&journal, "reading_taken");
    let reading = &lines_of(&journal, "reading_received")[0];
    assert_eq!(taken.len(), 1);
    assert_eq!(taken[0]["body"]["how"], "late");
    assert_eq!(taken[0]["body"]["reading"], reading["seq"]);
}

#[test]
fn a_stream_is_shown_and_only_what_is_taken_is_recorded() {
    let shop = shop(STREAM);
    let far = FarEnd::new();
    let mut running = start(&shop, &far, &["--callout", "20 k6"]);
    let stream = Stream::new(far, "20.001");
    stream.shows("20.008");
    running.says_nothing(Duration::from_millis(100));
    running.type_text("take\n");
    assert_eq!(running.next()["value"], "20.008");
    stream.shows("OVER");
    stream.shows("20.009");
    running.type_text("\n");
    assert_eq!(running.next()["value"], "20.009");
    running.end_input();
    assert_eq!(running.ended().code, 0);
    let journal = shop.journal();
    let readings = lines_of(&journal, "reading_received");
    assert_eq!(readings.len(), 2, "nothing else is recorded");
    assert_eq!(lines_of(&journal, "reading_refused").len(), 0);
    let taken = lines_of(&journal, "reading_taken");
    for (reading, taken) in readings.iter().zip(&taken) {
        let (next, body) = (reading["seq"].as_u64().unwrap() + 1, &taken["body"]);
        assert_eq!(taken["seq"].as_u64(), Some(next), "told right behind it");
        assert_eq!(body["reading"], reading["seq"]);
        assert_eq!(
            (&body["how"], &body["values"]),
            (&"press".into(), &1.into())
        );
    }
    assert_eq!(shop.verified(&journal)["state"], "sound");
}

/// What came of a plan that takes in that way, while the stream shows these values between two
/// requests.
fn swept(take: &str, callout: &str, values: &[&str]) -> (Value, Value, Value) {
    let shop = shop(STREAM);
    std::fs::write(shop.path("plan.toml"), plan(take, callout)).unwrap();
    let far = FarEnd::new();
    let mut running = start(&shop, &far, &["--plan", "plan.toml"]);
    let stream = Stream::new(far, "99.999");
    std::thread::sleep(Duration::from_millis(100));
    stream.shows(values[0]);
    running.type_text("take\n");
    for value in values {
        stream.shows(value);
    }
    if take != "stable" {
        running.type_text("take\n");
    }
    let verdict = running.next();
    running.end_input();
    running.ended();
    let journal = shop.journal();
    assert_eq!(shop.verified(&journal)["state"], "sound");
    let one = |kind: &str| {
        let mut all = lines_of(&journal, kind);
        assert_eq!(all.len(), 1, "{take}: {kind}");
        all.remove(0)["body"].take()
    };
    (verdict, one("reading_received"), one("reading_taken"))
}

#[test]
fn a_plan_s_way_of_taking_is_obeyed() {
    let hex = |text: &str| text.bytes().map(|b| format!("{b:02x}")).collect::<String>();
    let values = ["20.011", "20.014", "20.003", "20.010"];
    for (take, callout, value, raw) in [
        ("largest", "20 H8", "20.014", "20.014"),
        ("smallest", "20 H8", "20.003", "20.003"),
        ("range", "0.000..0.020", "0.011", "20.00320.014"),
    ] {
        let (verdict, reading, taken) = swept(take, callout, &values);
        assert_eq!(
            (&verdict["value"], &verdict["verdict"]),
            (&value.into(), &"GO".into())
        );
        assert_eq!(reading["raw"], hex(raw), "{take}");
        assert_eq!(taken["how"], take);
        assert_eq!(
            (&taken["smallest"], &taken["largest"]),
            (&"20.003".into(), &"20.014".into())
        );
        assert!(taken["values"].as_u64().unwrap() > 10, "{taken}");
        assert!(taken["over_ms"].as_u64().unwrap() > 200, "{taken}");
    }
    let (verdict, _, taken) = swept("stable", "20 H8", &["20.011", "20.005", "20.009", "20.009"]);
    // The longest standing still is that of the last value shown.
    let still = verdict["value"].as_str().unwrap();
    assert!(["20.009", "20.010"].contains(&still), "{verdict}");
    assert_eq!(taken["how"], "stable");
}

#[test]
fn a_sweep_that_a_state_broke_gives_nothing_and_says_so() {
    let shop = shop(STREAM);
    std::fs::write(shop.path("plan.toml"), plan("largest", "20 H8")).unwrap();
    let far = FarEnd::new();
    let mut running = start(&shop, &far, &["--plan", "plan.toml"]);
    let stream = Stream::new(far, "20.001");
    running.type_text("take\n");
    stream.shows("20.004");
    stream.shows("OVER");
    stream.shows("20.004");
    running.type_text("take\n");
    let told = running.next();
    assert_eq!(told["error"]["code"], "nothing_taken", "{told}");
    running.end_input();
    running.ended();
    assert_eq!(lines_of(&shop.journal(), "reading_received").len(), 0);
}

/// Two gauges stream, and the plan binds neither: which is meant is said once, by `take` and its
/// name, and Enter takes that one from then on, until another is said.
#[test]
fn of_two_streams_the_one_that_was_named_is_taken_from_then_on() {
    let shop = shop(STREAM);
    std::fs::write(
        shop.path("gauges.toml"),
        "[[gauge]]\nid = \"left\"\nkind = \"outside_micrometer\"\nresolution = 0.001\n\
         mpe = 0.002\n\
         [[gauge]]\nid = \"right\"\nkind = \"outside_micrometer\"\nresolution = 0.001\n\
         mpe = 0.002\n",
    )
    .unwrap();
    let (left, right) = (FarEnd::new(), FarEnd::new());
    let sources = [
        format!("left=serial:{}@own.toml", left.path),
        format!("right=serial:{}@own.toml", right.path),
    ];
    let callout = ["--callout", "20 k6", "--callout", "15 h6"];
    let mut all = vec!["inspect", "--json", "--advance", "go"];
    all.extend(["--gauge", &sources[0], "--gauge", &sources[1]]);
    let mut running = shop.start(&[&all[..], &callout[..]].concat());
    shop.wait_for("attached", 2);
    let (left, right) = (Stream::new(left, "20.008"), Stream::new(right, "20.011"));
    std::thread::sleep(Duration::from_millis(200));
    running.type_text("\n");
    let told = running.next();
    assert_eq!(told["error"]["code"], "which_gauge", "{told}");
    let message = told["error"]["message"].as_str().unwrap();
    assert!(message.contains("take left, or take right"), "{message}");
    running.says_nothing(Duration::from_millis(100));
    running.type_text("take right\n");
    assert_eq!(running.next()["value"], "20.011");
    // The next characteristic is another matter, and asked for itself.
    left.shows("14.995");
    right.shows("14.990");
    running.type_text("\n");
    assert_eq!(running.next()["error"]["code"], "which_gauge");
    running.type_text("take left\n");
    assert_eq!(running.next()["value"], "14.995");
    // The next part: nothing is asked any more.
    running.type_text("next\n");
    right.shows("20.006");
    left.shows("19.000");
    running.type_text("\n");
    assert_eq!(running.next()["value"], "20.006");
    left.shows("14.996");
    running.type_text("\n");
    assert_eq!(running.next()["value"], "14.996");
    running.end_input();
    running.ended();
    let journal = shop.journal();
    assert_eq!(lines_of(&journal, "gauge_routed").len(), 2);
    assert_eq!(lines_of(&journal, "reading_received").len(), 4);
    assert_eq!(shop.verified(&journal)["state"], "sound");
}

#[test]
fn a_plan_that_takes_moving_readings_is_refused_where_single_ones_are_sent() {
    let shop = shop("kind = \"unsolicited\"");
    std::fs::write(shop.path("plan.toml"), plan("largest", "20 H8")).unwrap();
    let far = FarEnd::new();
    let gauge = format!("serial:{}@own.toml", far.path);
    let answer = shop.run(
        &[
            "inspect",
            "--json",
            "--plan",
            "plan.toml",
            "--gauge",
            &gauge,
        ],
        "",
    );
    assert_eq!(answer.lines[0]["error"]["code"], "take_not_available");
    assert_eq!(shop.journals().len(), 0);
}
