//! Several gauges at the Bench: which feeds what is seen, what is not clear has its keys, and a
//! zero check that is due is told before the gauge is used.
#![allow(clippy::unwrap_used, clippy::panic)]

use fitledger::journal::{Event, SessionOpened};
use fitledger::session::Request;
use fitledger::window::bench_ui::bench_ui;
use fitledger::window::desk::{Asked, Desk};
use fitledger::window::glance_ui::glance_ui;
use fitledger::window::look::{Look, Sizes, Theme, Tokens};
use fitledger::window::press::Press;
use fitledger::window::view::{QuestionView, bench_view, explain};

use crate::support::bench::{Bench, GAUGES, feature, plan, word};
use crate::support::hand::Hand;
use crate::support::picture::{keep, painted_texts, window};
use crate::support::readable::text_faults;
use crate::support::shown::{shown, shown_with, snapshot};

fn opened() -> SessionOpened {
    let text = feature("A", "20 k6", "name = \"bearing seat\"\ngauge = [\"mic\"]")
        + &feature(
            "B",
            "35 ±0.2",
            "surface = \"length\"\ngauge = [\"caliper\"]",
        )
        + &feature("C", "15 h6", "name = \"impeller seat\"\ngauge = [\"mic\"]")
        + &feature("D", "12 h6", "gauge = [\"mic\"]");
    let mut opened = plan(&text);
    opened.sources.truncate(2);
    opened
}

fn states(bench: &Bench) -> Vec<String> {
    let view = shown(bench);
    view.status.gauges.into_iter().map(|one| one.text).collect()
}

fn question(hand: &Hand) -> QuestionView {
    shown_with(&hand.bench, &hand.desk).question.unwrap()
}

#[test]
fn the_foot_says_which_gauge_feeds_which_characteristic() {
    let mut bench = Bench::new(opened());
    assert_eq!(states(&bench), ["mic → A: typed", "caliper → B: typed"]);
    bench.events("mic", "20.008");
    assert_eq!(
        states(&bench),
        ["mic → C or D: typed", "caliper → B: typed"]
    );
    bench.events("caliper", "35.00");
    assert_eq!(states(&bench), ["mic → C: typed", "caliper: typed"]);
    // With a single gauge there is nothing to tell apart.
    let mut alone = opened();
    alone.sources.truncate(1);
    assert_eq!(states(&Bench::new(alone)), ["mic: typed"]);
    let told = explain(1, "gauge 0", "mic → A: typed").unwrap();
    assert!(told.text.contains("arrow"), "{}", told.text);
}

#[test]
fn the_question_which_one_is_answered_by_its_number_and_by_nothing_else() {
    let mut hand = Hand::at(Bench::new(opened()));
    hand.sends("mic", "20.008");
    hand.sends("mic", "14.995");
    let asked = question(&hand);
    assert_eq!(asked.title, "14.995 mm is of which?");
    assert_eq!(
        asked.lines[0],
        "mic is for C (15 h6) and for D (12 h6) of this part."
    );
    let keys: Vec<char> = asked.answers.iter().map(|one| one.key).collect();
    assert_eq!(keys, ['1', '2', '-']);
    assert!(
        asked.answers[0].text.starts_with("C,"),
        "{:?}",
        asked.answers
    );
    let strip = shown_with(&hand.bench, &hand.desk).keys;
    assert_eq!((&*strip[0].key, &*strip[0].does), ("1-9", "which one"));
    // What moves on, or looks around, answers nothing.
    let before = hand.bench.told.len();
    for press in "⏎␣+↑↓*/3".chars() {
        hand.keys(&press.to_string());
        assert!(!hand.fault().is_empty(), "{press}");
    }
    hand.press(Press::Choose(0));
    assert_eq!(hand.bench.told.len(), before);
    assert_eq!(
        hand.keys("1"),
        ["gauge_routed", "reading_assigned", "verdict_given"]
    );
    assert_eq!(hand.bench.told.last().map(word).unwrap(), "GO");
    // A row of those asked about may be pointed at as well; - sets aside.
    let mut hand = Hand::at(Bench::new(opened()));
    hand.sends("mic", "20.008");
    hand.sends("mic", "11.995");
    assert_eq!(hand.press(Press::Choose(3)).len(), 3);
    let Some(Event::VerdictGiven(verdict)) = hand.bench.told.last() else {
        panic!("{:?}", hand.bench.told.last())
    };
    assert_eq!(verdict.place.feature, "D");
    let mut hand = Hand::at(Bench::new(opened()));
    hand.sends("mic", "20.008");
    hand.sends("mic", "11.995");
    assert_eq!(hand.keys("-"), ["reading_set_aside"]);
}

#[test]
fn enter_measures_again_where_a_gauge_streams_and_answers_nothing_else() {
    let mut bench = Bench::new(opened());
    assert!(bench.reads("0.7877").starts_with("held"));
    let mut desk = Desk::default();
    let mut seen = snapshot(&bench);
    assert_eq!(desk.press(Press::Enter, &seen), []);
    assert!(desk.fault.as_deref().unwrap().contains("measure it again"));
    let tap = fitledger::session::Tap {
        kind: fitledger::session::TapKind::Streams,
        gauges: vec![fitledger::gauge::GaugeId::new("mic")],
        ..Default::default()
    };
    seen.taps.push(tap);
    let asked = desk.press(Press::Enter, &seen);
    assert_eq!(asked, [Asked::Request(Request::AskAnyGauge)]);
    let keys = bench_view(&seen, &desk, 0).keys;
    assert!(
        keys.iter().any(|key| key.does == "measure again"),
        "{keys:?}"
    );
}

#[test]
fn a_zero_check_that_is_due_is_seen_before_measuring_and_blocks_nothing() {
    let checked = "repeatability = 0.0005\nzero_check = { every_hours = 8, bound = 0.002 }\n";
    let mut opened = opened();
    opened.gauges = GAUGES.replacen("repeatability = 0.0005\n", checked, 1);
    let mut bench = Bench::new(opened);
    let view = shown(&bench);
    assert!(
        view.action
            .ends_with("First check the zero of mic: it is due (F6, 5)."),
        "{}",
        view.action
    );
    assert_eq!(view.status.gauges[0].text, "mic → A: typed, zero check due");
    assert!(!view.status.gauges[0].is_ready && view.status.gauges[1].is_ready);
    // It is told, and no more than told.
    assert_eq!(bench.reads("20.008"), "GO");
    let mic = fitledger::gauge::GaugeId::new("mic");
    let standard = None;
    bench.asks(fitledger::session::Command::AskZeroCheck {
        gauge: mic,
        standard,
    });
    bench.events("mic", "0.001");
    assert_eq!(states(&bench)[0], "mic → C or D: typed");
    // Too far off: said too, at the same places.
    let mic = fitledger::gauge::GaugeId::new("mic");
    let standard = None;
    bench.asks(fitledger::session::Command::AskZeroCheck {
        gauge: mic,
        standard,
    });
    bench.events("mic", "0.009");
    assert!(
        states(&bench)[0].ends_with(", zero check failed"),
        "{:?}",
        states(&bench)
    );
}

/// A key as it is painted.
fn shown_key(key: char) -> String {
    key.to_string().replace('-', "\u{2212}")
}

#[test]
fn what_is_asked_and_what_is_due_has_room_on_every_window() {
    let checked = "repeatability = 0.0005\nzero_check = { every_hours = 8, bound = 0.002 }\n";
    let mut opened = opened();
    opened.gauges = GAUGES.replacen("repeatability = 0.0005\n", checked, 1);
    let mut bench = Bench::new(opened);
    let due = shown(&bench);
    bench.events("mic", "20.008");
    bench.events("mic", "14.995");
    let which = shown(&bench);
    for (name, view) in [("zero-due", due), ("which", which)] {
        // The words of what is due, or of what is asked with its answers and their keys.
        let wanted: Vec<String> = match &view.question {
            None => vec!["zero check due".to_owned()],
            Some(asked) => {
                let answers = asked.answers.iter();
                let answers = answers.flat_map(|one| [shown_key(one.key), one.text.clone()]);
                answers.chain([asked.title.clone()]).collect()
            }
        };
        for (size, theme) in [
            ([800.0, 480.0], Theme::Night),
            ([1280.0, 800.0], Theme::Day),
        ] {
            let look = Look {
                tokens: Tokens::of(theme),
                sizes: Sizes::default(),
            };
            for is_glance in [false, true] {
                let (view, look) = (view.clone(), look);
                let mut harness = window(size, 1.0, move |ui| match is_glance {
                    true => glance_ui(ui, &view, &look, &mut Vec::new()),
                    false => bench_ui(ui, &view, &look, &mut Vec::new()),
                });
                let glance = if is_glance { "-glance" } else { "" };
                let name = format!("{name}{glance}-{}", size[0]);
                keep(&name, &harness.render().unwrap());
                assert_eq!(text_faults(&harness, size), [""; 0], "{name}");
                let texts = painted_texts(&harness);
                let is_seen = |wanted: &str| {
                    let mut texts = texts.iter();
                    texts.any(|text| text.text.contains(wanted))
                };
                for wanted in &wanted {
                    assert!(is_seen(wanted), "{name}: {wanted} is not seen: {texts:?}");
                }
            }
        }
    }
}
