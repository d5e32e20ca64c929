//! Several live gauges at a characteristic that the plan binds none of them to: Enter asks once
//! which is meant, with keys of a keypad and with the mouse, and then takes that one's value.
#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::panic)]

use std::time::{Duration, Instant};

use eframe::egui::accesskit::Role;
use egui_kittest::kittest::{By, Queryable};
use fitledger::journal::SessionOpened;
use fitledger::session::{Begin, Request, What};
use fitledger::window::desk::{Asked, Menu, Mode};
use fitledger::window::view::{BenchView, bench_view};

use crate::shell::Desk;
use crate::support::bench::{Bench, feature, plan};
use crate::support::hand::Hand;
use crate::support::program::{FarEnd, Shop};
use crate::support::scenes::live;
use crate::use_batch::{LIVE, streaming};

fn opened() -> SessionOpened {
    let text = feature("A", "20 k6", "name = \"bearing seat\"")
        + &feature(
            "B",
            "35 ±0.2",
            "surface = \"length\"\ngauge = [\"caliper\"]",
        );
    let mut opened = plan(&text);
    opened.sources.truncate(2);
    opened
}

fn hand() -> Hand {
    let mut hand = Hand::at(Bench::new(opened()));
    hand.taps = ["mic", "caliper"].map(live).to_vec();
    hand
}

fn seen(hand: &Hand) -> BenchView {
    bench_view(&hand.seen(), &hand.desk, 0)
}

fn foot(hand: &Hand) -> Vec<String> {
    let all = seen(hand).status.gauges.into_iter();
    all.map(|one| one.text).collect()
}

const TAKE: Asked = Asked::Request(Request::AskAnyGauge);

#[test]
fn enter_asks_once_which_gauge_is_meant_and_then_takes_its_value() {
    let mut hand = hand();
    // Neither is said to feed A before it was asked.
    assert_eq!(foot(&hand)[0], "mic: live 20.008 mm, not recorded");
    assert_eq!(hand.keys("⏎"), [""; 0]);
    assert_eq!((hand.fault(), hand.asked.as_slice()), ("", &[][..]));
    let asked = seen(&hand).question.unwrap();
    assert_eq!(asked.title, "Which gauge is on A?");
    let answers: Vec<(char, &str)> = asked
        .answers
        .iter()
        .map(|one| (one.key, &*one.text))
        .collect();
    let expected = [
        ('1', "mic: 20.008 mm"),
        ('2', "caliper: 20.008 mm"),
        ('-', "none of them now"),
    ];
    assert_eq!(answers, expected);
    // The foot switch, or another number, answers nothing; and nothing is taken by an answer.
    hand.keys("⏎␣3");
    assert_eq!(hand.desk.mode, Mode::Choosing(Menu::LiveGauge));
    assert_eq!(hand.keys("2"), ["gauge_routed"]);
    assert_eq!(hand.asked, []);
    assert_eq!(
        foot(&hand),
        [
            "caliper → A: live 20.008 mm, not recorded",
            "mic: live 20.008 mm, not recorded"
        ]
    );
    hand.keys("⏎");
    assert_eq!(hand.asked, [TAKE]);
    // It was the wrong one: the list of everything has the question too.
    assert_eq!(hand.keys(".-1"), ["gauge_routed"]);
    assert!(foot(&hand)[0].starts_with("mic → A: "), "{:?}", foot(&hand));
    hand.keys("⏎");
    assert_eq!(hand.asked, [TAKE, TAKE]);
}

#[test]
fn it_is_not_asked_where_there_is_nothing_to_ask() {
    let mut hand = hand();
    // Answered by nothing: it is asked again.
    hand.keys("⏎-");
    assert_eq!(hand.desk.mode, Mode::Measuring);
    hand.keys("⏎");
    assert_eq!(hand.desk.mode, Mode::Choosing(Menu::LiveGauge));
    hand.keys("⌫");
    // Where the plan says it, Enter takes; nothing is offered.
    hand.sends("mic", "20.008");
    hand.keys("⏎⏎");
    assert_eq!(hand.asked, [TAKE]);
    let offered = fitledger::window::view::choices(Menu::Bench, &hand.seen());
    assert!(offered.iter().all(|(key, _)| *key != '-'), "{offered:?}");
    // Held of a gauge that is not live: Enter measures nothing again.
    hand.asked.clear();
    hand.sends("nobody", "350.0");
    assert!(hand.bench.state().bench().held.is_some());
    hand.keys("⏎");
    assert!(
        hand.fault().contains("measure it again"),
        "{}",
        hand.fault()
    );
    assert_eq!(hand.asked, []);
    let keys = seen(&hand).keys;
    assert!(keys.iter().all(|key| key.key != "Enter"), "{keys:?}");
}

const PLAN: &str = "[part]\nname = \"Pump shaft\"\n\
                    [[feature]]\nid = \"A\"\ncallout = \"20 k6\"\n\
                    [[feature]]\nid = \"B\"\ncallout = \"15 h6\"\ngauge = [\"right\"]\n";
const GAUGES: &str = "[[gauge]]\nid = \"left\"\nkind = \"outside_micrometer\"\nresolution = 0.001\n\
                      mpe = 0.002\n\
                      [[gauge]]\nid = \"right\"\nkind = \"outside_micrometer\"\nresolution = 0.001\n\
                      mpe = 0.002\n";

/// The window on two gauges that stream.
fn two_streams(left: &FarEnd, right: &FarEnd) -> Desk<'static> {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("gauges.toml"), GAUGES).unwrap();
    std::fs::create_dir(folder.path().join("adapters")).unwrap();
    std::fs::write(folder.path().join("adapters/live.toml"), LIVE).unwrap();
    let plan = folder.path().join("shaft.toml");
    std::fs::write(&plan, PLAN).unwrap();
    let mut begin = Begin::new(What::Plan(plan));
    begin.gauges = vec![
        format!("left=serial:{}@live", left.path),
        format!("right=serial:{}@live", right.path),
    ];
    begin.parts = Some(2);
    let mut desk = Desk::open_in(folder, Some(begin));
    desk.wait("session_opened", 1);
    desk.wait("gauge_state_changed", 2);
    desk
}

fn until_seen(desk: &mut Desk<'_>, label: &str) {
    let until = Instant::now() + Duration::from_secs(60);
    while desk.harness.query_by_label_contains(label).is_none() {
        assert!(Instant::now() < until, "{label} is not seen");
        std::thread::sleep(Duration::from_millis(5));
        desk.harness.step();
    }
}

/// What is on the button that says this is pressed.
fn click(desk: &mut Desk<'_>, label: &str) {
    let button = By::new().role(Role::Button).label_contains(label);
    desk.harness.get(button).click();
    for _ in 0..3 {
        desk.harness.step();
    }
}

/// Two parts: A with the gauge on the right by what was said, B with the same by the plan.
fn two_parts(enter: fn(&mut Desk<'_>), answer: fn(&mut Desk<'_>)) {
    let (left, right) = (FarEnd::new(), FarEnd::new());
    let mut desk = two_streams(&left, &right);
    let (left, right) = (streaming(left), streaming(right));
    left.send("19.500".to_owned()).unwrap();
    let mut verdicts = 0;
    let mut taken = |desk: &mut Desk<'_>, value: &str, is_asked: bool| {
        right.send(value.to_owned()).unwrap();
        if is_asked {
            enter(desk);
            until_seen(desk, "Which gauge is on A");
            until_seen(desk, &format!("right: {value} mm"));
            answer(desk);
            desk.wait("gauge_routed", 1);
            assert_eq!(
                desk.count("reading_received"),
                0,
                "the answer takes nothing"
            );
        }
        until_seen(desk, &format!("live {value} mm"));
        enter(desk);
        verdicts += 1;
        desk.wait("verdict_given", verdicts);
        // Away from the answer.
        enter(desk);
    };
    taken(&mut desk, "20.008", true);
    taken(&mut desk, "14.995", false);
    enter(&mut desk);
    desk.wait("part_started", 2);
    taken(&mut desk, "20.009", false);
    taken(&mut desk, "14.996", false);
    let journal = desk.journal();
    assert_eq!(
        journal.matches("\"verdict\":\"GO\"").count(),
        4,
        "{journal}"
    );
    assert_eq!(desk.count("gauge_routed"), 1);
    let path = desk.folder.path().join("sessions");
    desk.harness.state_mut().as_mut().unwrap().stop();
    let file = std::fs::read_dir(path).unwrap().find_map(|entry| {
        let path = entry.unwrap().path();
        path.extension()
            .is_some_and(|end| end == "jsonl")
            .then_some(path)
    });
    let state = Shop::new().verified(&file.unwrap())["state"].clone();
    assert_eq!(state, "not_closed");
}

#[test]
fn two_streams_with_the_keypad_alone() {
    two_parts(|desk| desk.keys("⏎"), |desk| desk.keys("2"));
}

#[test]
fn two_streams_with_the_mouse_alone() {
    two_parts(|desk| click(desk, "Enter "), |desk| click(desk, "right: "));
}
