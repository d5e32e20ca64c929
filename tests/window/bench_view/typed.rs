//! What is typed and chosen: forms, lists of choices, the strip of keys.

use fitledger::gauge::GaugeId;
use fitledger::session::Command;
use fitledger::window::desk::{Desk, Form, Menu, Mode};
use fitledger::window::view::{bench_view, choices};

use super::{left, shaft, three};
use crate::support::bench::{Bench, feature, plan};
use crate::support::shown::{shown_with, snapshot};

#[test]
fn typing_and_forms_show_what_is_typed_and_what_is_wrong_with_it() {
    let bench = shaft("");
    let desk = Desk {
        mode: Mode::Typing {
            text: "20.0".to_owned(),
            gauge: GaugeId::new("mic"),
        },
        fault: Some("Two decimal markers.".to_owned()),
        ..Desk::default()
    };
    let view = shown_with(&bench, &desk);
    let entry = view.verdict.entry.unwrap();
    assert_eq!(
        (entry.text.as_str(), entry.what.as_str()),
        ("20.0", "reading of mic")
    );
    assert_eq!(entry.fault, "Two decimal markers.");
    let keys: Vec<&str> = view.keys.iter().map(|key| key.does.as_str()).collect();
    assert_eq!(keys, ["take", "correct", "drop"]);
    let desk = Desk {
        mode: Mode::Filling {
            form: Form::Temperature,
            text: "31".to_owned(),
        },
        ..Desk::default()
    };
    let view = shown_with(&bench, &desk);
    assert_eq!(view.verdict.entry.unwrap().what, "part temperature, °C");
    assert_eq!(view.question.unwrap().title, "Part temperature");
}

#[test]
fn every_list_of_choices_says_what_its_keys_do() {
    let mut bench = three();
    bench.reads("20.008");
    let seen = |bench: &Bench, menu: Menu| {
        let choices = choices(menu, &snapshot(bench));
        choices
            .into_iter()
            .map(|(key, text)| format!("{key} {text}"))
            .collect::<Vec<_>>()
    };
    assert_eq!(
        seen(&bench, Menu::Bench),
        [
            "1 cutting",
            "2 part temperature",
            "3 why",
            "4 glance",
            "5 part out of the chuck",
            "6 tool changed",
            "7 offset given",
            "8 who measures",
            "9 look",
            "0 close the session",
        ]
    );
    assert_eq!(
        seen(&bench, Menu::VoidReasons),
        [
            "1 gauge was tilted",
            "2 chip or dirt between",
            "3 not that feature",
            "4 typed wrong",
            "5 part was moving or warm",
            "0 other, in words",
        ]
    );
    bench.asks(Command::SwitchCutting(true));
    bench.asks(Command::TakeOut);
    let after = seen(&bench, Menu::Bench);
    assert_eq!(
        (after[0].as_str(), after[4].as_str()),
        ("1 cutting is over", "5 part back in the chuck")
    );
    for menu in [Menu::TakeOut, Menu::NextPart, Menu::Look, Menu::Close] {
        let desk = Desk {
            mode: Mode::Choosing(menu),
            ..Desk::default()
        };
        let question = shown_with(&bench, &desk).question.unwrap();
        let keys: Vec<char> = question.answers.iter().map(|answer| answer.key).collect();
        let table: Vec<char> = choices(menu, &snapshot(&bench))
            .iter()
            .map(|(key, _)| *key)
            .collect();
        assert_eq!(keys, table, "{menu:?}");
        assert_eq!(question.is_alarm, menu != Menu::Look, "{menu:?}");
    }
    let desk = |menu| Desk {
        mode: Mode::Choosing(menu),
        ..Desk::default()
    };
    let lines = |menu| shown_with(&bench, &desk(menu)).question.unwrap().lines;
    // The simulated hand has its own two keys, where there is one.
    let mut simulated = snapshot(&bench);
    simulated.is_playing = Some(false);
    let keys: Vec<char> = choices(Menu::Bench, &simulated)
        .iter()
        .map(|(key, _)| *key)
        .collect();
    assert_eq!(keys.iter().rev().take(2).collect::<Vec<_>>(), [&'*', &'+']);
    assert_eq!(lines(Menu::TakeOut), ["Still open in this setting: B."]);
    assert_eq!(lines(Menu::NextPart), ["Still open on part 1: B, C."]);
}

#[test]
fn the_key_strip_has_the_keys_that_do_something_now() {
    let keys = |bench: &Bench, desk: &Desk| {
        let view = shown_with(bench, desk);
        let keys = view.keys.into_iter();
        keys.map(|key| format!("{} {}", key.key, key.does))
            .collect::<Vec<_>>()
    };
    let mut opened = plan(&feature("A", "20 k6", ""));
    opened.parts = Some(2);
    let mut bench = Bench::new(opened);
    let fresh = [
        "0-9 type",
        "C cutting",
        "T temperature",
        "G glance",
        "D decide",
        ". more",
    ];
    assert_eq!(keys(&bench, &Desk::default()), fresh);
    bench.reads("20.008");
    assert_eq!(
        keys(&bench, &Desk::default()),
        [
            "0-9 type",
            "Enter next",
            "Backspace void last",
            "W why",
            "C cutting",
            "/ next part",
            "* repeat point",
            "T temperature",
            "G glance",
            "D decide",
            ". more",
        ]
    );
    let desk = left(&bench);
    assert!(keys(&bench, &desk).contains(&"Enter next part".to_owned()));
    bench.reads("20.008");
    let last = keys(&bench, &Desk::default());
    assert!(!last.contains(&"/ next part".to_owned()), "{last:?}");
}

#[test]
fn a_typed_reading_stands_beside_the_limits_of_the_place_that_it_goes_to() {
    let features = [feature("A", "20 k6", ""), feature("B", "25 h9", "")].concat();
    let mut bench = Bench::new(plan(&features));
    assert_eq!(bench.reads("20.0080"), "GO");
    let typing = Desk {
        mode: Mode::Typing {
            text: "24.9".to_owned(),
            gauge: fitledger::gauge::GaugeId::new("mic"),
        },
        ..Desk::default()
    };
    let snapshot = snapshot(&bench);
    let before = bench_view(&snapshot, &Desk::default(), snapshot.now_ms);
    assert_eq!(before.subject.callout, "Ø20 k6");
    let view = bench_view(&snapshot, &typing, snapshot.now_ms);
    // ISO 286-2: 25 h9 is 24.948 to 25.000.
    assert_eq!(
        (view.subject.callout.as_str(), view.subject.limits.as_str()),
        ("Ø25 h9", "24.948 to 25.000")
    );
    assert_eq!(view.verdict.entry.unwrap().text, "24.9");
}
