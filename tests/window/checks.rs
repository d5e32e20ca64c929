//! Attribute checks at the Bench: one question, two answers, two keys; what is seen of them, and
//! what the record says. The rules are those of tests/logic/measure_check.rs.
#![allow(clippy::unwrap_used, clippy::panic)]

use fitledger::gauge::{CheckEnd, CheckOutcome, Observed, Origin};
use fitledger::journal::{Event, Outcome, SessionOpened};
use fitledger::measure::{Side, VerdictWord};
use fitledger::session::{Command, Snapshot};
use fitledger::window::desk::{Desk, Menu, Mode, asks_the_same};
use fitledger::window::press::Press;
use fitledger::window::view::{BenchView, Mark, QuestionView, bench_view};

use crate::support::hand::Hand;
use crate::support::shown::snapshot;
use crate::support::thread_scenes::{GLAND, TWO_PLUGS, at_gland, gland, gland_with};

const CHECKS_ALONE: &str = "elements = [\"go_plug\", \"no_go_plug\"]";

fn seen(hand: &Hand) -> BenchView {
    let snapshot = snapshot(&hand.bench);
    bench_view(&snapshot, &hand.desk, snapshot.now_ms)
}

fn asked(hand: &Hand) -> Option<String> {
    seen(hand).question.map(|question| question.title)
}

fn answers(question: &QuestionView) -> Vec<(char, &str)> {
    let all = question.answers.iter();
    all.map(|answer| (answer.key, answer.text.as_str()))
        .collect()
}

fn strip(view: &BenchView) -> Vec<String> {
    let keys = view.keys.iter();
    keys.map(|key| format!("{} {}", key.key, key.does))
        .collect()
}

/// What the last verdict says: element, outcome's word, side.
fn verdict(hand: &Hand) -> (String, Outcome, Side) {
    let last = hand.bench.told.iter().rev().find_map(|event| match event {
        Event::VerdictGiven(verdict) => Some(verdict),
        _ => None,
    });
    let last = last.unwrap();
    (last.place.element.clone(), last.outcome, last.side)
}

fn verdicts(hand: &Hand) -> usize {
    let told = hand.bench.told.iter();
    told.filter(|event| matches!(event, Event::VerdictGiven(_)))
        .count()
}

const GO: Outcome = Outcome::Verdict(VerdictWord::Go);
const NO_GO: Outcome = Outcome::Verdict(VerdictWord::NoGo);

fn with_plugs(elements: &str) -> SessionOpened {
    SessionOpened {
        gauges: TWO_PLUGS.to_owned(),
        ..gland_with(elements)
    }
}

#[test]
fn each_gauge_has_its_question_its_two_answers_and_its_keys() {
    // (keys that lead there, title, what to do, yes, no)
    let cases = [
        (
            "8.52⏎",
            "GO plug: does it go over the whole thread?",
            "Screw the GO plug in by hand, without force.",
            "goes",
            "does not",
        ),
        (
            "8.52⏎+",
            "NO-GO plug: how many turns?",
            "count the turns while unscrewing.",
            "more than two",
            "two or fewer",
        ),
        (
            "8.52⏎+-",
            "Mating part: does it go together?",
            "its feel is recorded and proves nothing.",
            "goes",
            "does not",
        ),
        (
            "8.52⏎+-+15.9⏎16.310⏎",
            "GO ring: does it go over the whole thread?",
            "Screw the GO ring on by hand, without force.",
            "goes",
            "does not",
        ),
        // 2.4 mm of M5 (pitch 0.8) are three turns.
        (
            "↓↓↓↓↓↓↓↓↓",
            "NO-GO plug: does it pass right through?",
            "the thread is short.",
            "passes through",
            "does not",
        ),
    ];
    for (keys, title, line, yes, no) in cases {
        let hand = at_gland(gland(), keys);
        let view = seen(&hand);
        let question = view
            .question
            .clone()
            .unwrap_or_else(|| panic!("{keys} asks nothing"));
        assert_eq!(question.title, title);
        let lines = question.lines.join(" ");
        assert!(lines.contains(line) && lines.contains("part 1"), "{lines}");
        assert_eq!(answers(&question), [('+', yes), ('-', no)], "{title}");
        assert!(!question.is_alarm, "{title}");
        let strip = strip(&view);
        assert_eq!(
            strip[..2],
            [format!("+ {yes}"), format!("- {no}")],
            "{title}"
        );
        let counts = strip.contains(&"0-9 turns".to_owned());
        assert_eq!(counts, title.contains("turns"), "{strip:?}");
        assert!(!strip.contains(&"0-9 type".to_owned()), "{strip:?}");
    }
}

#[test]
fn a_tapped_hole_is_answered_with_single_presses_and_recorded_before_it_is_judged() {
    let mut hand = at_gland(gland(), "8.52⏎");
    let cases = [
        (
            '+',
            CheckEnd::Go,
            CheckOutcome::Goes,
            "go_plug",
            GO,
            "goes",
            "GO",
            "",
        ),
        (
            '-',
            CheckEnd::NoGo,
            CheckOutcome::TurnsTwoOrFewer,
            "no_go_plug",
            GO,
            "two turns or fewer",
            "GO",
            "",
        ),
        (
            '+',
            CheckEnd::Mate,
            CheckOutcome::Goes,
            "mate",
            Outcome::Noted,
            "goes",
            "recorded",
            "proves nothing",
        ),
    ];
    for (key, end, outcome, element, judged, value, word, side) in cases {
        let before = hand.bench.told.len();
        assert_eq!(
            hand.keys(&key.to_string()),
            ["received", "reading_assigned", "verdict_given"]
        );
        let Event::ReadingReceived(reading) = &hand.bench.told[before] else {
            panic!("{element}: judged before it is recorded");
        };
        assert_eq!(reading.observed, Observed::Check { end, outcome });
        assert_eq!(
            (reading.origin, reading.raw.as_slice()),
            (Origin::Typed, key.to_string().as_bytes())
        );
        assert_eq!(verdict(&hand), (element.to_owned(), judged, Side::Inside));
        let view = seen(&hand);
        let block = &view.verdict;
        assert_eq!(
            (
                block.value.as_str(),
                block.word.as_str(),
                block.side.as_str()
            ),
            (value, word, side)
        );
        // No size: nothing is claimed of one.
        assert_eq!((block.unit.as_str(), block.deviation.as_str()), ("", ""));
        assert_eq!((block.uncertainty.as_str(), block.shown.as_str()), ("", ""));
        assert_eq!(
            (block.notes.len(), view.bar.is_none()),
            (0, true),
            "{:?}",
            block.notes
        );
    }
    let view = seen(&hand);
    assert_eq!(view.verdict.mark, Mark::Noted);
    let rows: Vec<(&str, &str)> = view
        .rows
        .iter()
        .map(|row| (row.callout.as_str(), row.state.as_str()))
        .collect();
    let expected = [
        ("M10-6H minor", "GO"),
        ("GO plug", "GO"),
        ("NO-GO plug", "GO"),
        ("mating part", "recorded"),
        ("M16x1.5-6g major", "now"),
        ("3 wires", "open"),
        ("GO ring", "open"),
        ("NO-GO ring", "open"),
        ("28 h11", "open"),
        ("M5-6H NO-GO plug", "open"),
    ];
    assert_eq!(rows, expected);
    assert_eq!(view.rows[3].mark, Mark::Noted);
    assert_eq!(
        view.action,
        "Next: B, M16x1.5-6g, gland thread, major diameter (15.732 to 15.968)."
    );
    hand.bench.check();
}

#[test]
fn a_second_press_before_the_first_is_recorded_answers_nothing() {
    let mut hand = at_gland(gland(), "8.52⏎");
    let before = snapshot(&hand.bench);
    assert_eq!(hand.desk.press(Press::Plus, &before).len(), 1);
    // The session has not taken it yet: what is seen is still the same question.
    for press in [Press::Plus, Press::Minus, Press::Plus] {
        assert_eq!(hand.desk.press(press, &before), []);
        assert_eq!(hand.desk.fault, None);
    }
    // The next question needs, and takes, a press of its own.
    let mut hand = at_gland(gland(), "8.52⏎+");
    assert_eq!(verdicts(&hand), 2);
    hand.keys("-");
    assert_eq!(
        (verdicts(&hand), verdict(&hand).0.as_str()),
        (3, "no_go_plug")
    );
}

#[test]
fn what_was_not_drawn_is_not_answered() {
    let mut hand = at_gland(gland(), "8.52⏎");
    let drawn = snapshot(&hand.bench);
    let same = |hand: &Hand, drawn: &Snapshot, press: Press| {
        asks_the_same(&press, &hand.desk, drawn, &snapshot(&hand.bench))
    };
    assert!(same(&hand, &drawn, Press::Plus));
    // The simulated hand, or another window on the line, answered meanwhile.
    hand.keys("+");
    for press in [Press::Plus, Press::Minus] {
        assert!(!same(&hand, &drawn, press));
    }
    assert!(
        same(&hand, &drawn, Press::Enter),
        "other keys are no answers"
    );
    let drawn = snapshot(&hand.bench);
    assert!(same(&hand, &drawn, Press::Minus));
    // Nor a reading that was held since.
    let mut hand = at_gland(gland(), "↓↓↓↓↓↓↓↓");
    hand.keys("27.95⏎⏎");
    hand.bench.asks(Command::RepeatPoint);
    let drawn = snapshot(&hand.bench);
    hand.sends("mic-25", "24.000");
    assert!(
        hand.bench.state().bench().held.is_some(),
        "{:?}",
        hand.bench.told.last()
    );
    assert!(!same(&hand, &drawn, Press::Plus));
}

#[test]
fn a_failed_gauge_says_what_to_do_and_is_asked_again_after_enter() {
    // (keys, value, side, what to do)
    let cases = [
        (
            "8.52⏎-",
            "does not go",
            "metal on",
            "The GO plug does not go: metal is still on. Cut again, then try it again.",
        ),
        (
            "8.52⏎++",
            "more than two turns",
            "metal gone",
            "Stop. Metal is gone: concession or scrap.",
        ),
    ];
    for (keys, value, side, action) in cases {
        let mut hand = at_gland(gland(), keys);
        let view = seen(&hand);
        let block = &view.verdict;
        assert_eq!((block.word.as_str(), block.mark), ("NO-GO", Mark::NoGo));
        assert_eq!((block.value.as_str(), block.side.as_str()), (value, side));
        assert_eq!((view.action.as_str(), view.question), (action, None));
        // The stop is read first: a press answers nothing, and that is said.
        for key in ["+", "-"] {
            assert_eq!(hand.keys(key).len(), 0, "{keys}{key}");
            assert!(hand.fault().contains("Enter"), "{}", hand.fault());
        }
        hand.keys("⏎");
        let title = asked(&hand).unwrap();
        let again = if keys.ends_with("++") {
            "NO-GO plug"
        } else {
            "GO plug"
        };
        assert!(title.starts_with(again), "{title}");
        let good = if again == "GO plug" { "+" } else { "-" };
        assert_eq!(
            hand.keys(good).last().map(String::as_str),
            Some("verdict_given")
        );
        assert_eq!(verdict(&hand).1, GO);
        hand.bench.check();
    }
}

#[test]
fn keys_answer_only_the_question_on_the_screen() {
    let ready = || at_gland(gland(), "8.52⏎");
    let untouched = |hand: &mut Hand, what: &str| {
        let count = hand.count();
        for key in ["+", "-"] {
            let mut desk = hand.desk.clone();
            let asked = desk.press(
                fitledger::window::keys::character_press(key.chars().next().unwrap()),
                &snapshot(&hand.bench),
            );
            let is_reading = asked
                .iter()
                .any(|one| format!("{one:?}").contains("Reading("));
            assert!(!is_reading, "{what}: {asked:?}");
        }
        assert_eq!(hand.count(), count, "{what}");
    };
    for menu in [Menu::VoidReasons, Menu::Close, Menu::Look, Menu::TakeOut] {
        let mut hand = ready();
        hand.desk.mode = Mode::Choosing(menu);
        untouched(&mut hand, "menu");
    }
    let mut hand = ready();
    hand.keys("w");
    assert_eq!(asked(&hand), None, "why has the screen");
    untouched(&mut hand, "why");
    let mut hand = ready();
    hand.keys("t");
    untouched(&mut hand, "form");
    let mut hand = ready();
    hand.keys("+1.");
    assert_eq!(hand.typed_text(), Some("1."));
    untouched(&mut hand, "typing");
    let mut hand = ready();
    hand.keys("␛+");
    assert!(hand.bench.state().is_closed());
    untouched(&mut hand, "closed");
    // A question about a held reading is answered first, and by its own press.
    let mut hand = ready();
    hand.keys("↑");
    hand.sends("mic-25", "18.520");
    assert!(
        hand.bench.state().bench().held.is_some(),
        "{:?}",
        hand.bench.told.last()
    );
    hand.keys("+");
    assert_eq!(verdict(&hand).0, "minor");
    // Where a size is wanted they are no answers.
    let mut hand = at_gland(gland(), "");
    untouched(&mut hand, "size");
}

#[test]
fn not_recorded_has_the_screen_and_an_answer_is_not_taken() {
    let hand = at_gland(gland(), "8.52⏎");
    let mut seen = snapshot(&hand.bench);
    seen.unrecorded = Some(fitledger::session::Unrecorded {
        cause: "The disk is full.".to_owned(),
        hint: "Make room.".to_owned(),
        count: 1,
        readings: Vec::new(),
    });
    let mut desk = Desk::default();
    assert_eq!(desk.press(Press::Plus, &seen), []);
    assert!(desk.fault.is_some());
    assert_eq!(bench_view(&seen, &desk, 0).question, None);
}

#[test]
fn a_device_that_types_answers_nothing_and_its_size_is_recorded() {
    // The NO-GO plug takes typed turns, so 8.6 could be read as turns; from a device it is not.
    for keys in ["8.52⏎", "8.52⏎+"] {
        for burst in ["8.6", "8.600", "+8.6"] {
            let mut hand = at_gland(gland(), keys);
            let (before, count) = (verdicts(&hand), hand.count());
            let events = hand.press(Press::Burst(burst.to_owned()));
            assert_eq!(verdicts(&hand), before, "{keys} {burst}: {events:?}");
            let kinds: Vec<&str> = events.iter().map(Event::kind).collect();
            assert_eq!(hand.count(), count + 1, "{kinds:?}");
            assert_eq!(kinds.last(), Some(&"reading_set_aside"));
            assert!(asked(&hand).is_some(), "the question stays");
        }
        let mut hand = at_gland(gland(), keys);
        let before = hand.count();
        hand.press(Press::BurstCut("+++".to_owned()));
        assert_eq!(hand.count(), before);
        assert!(
            hand.fault().contains("faster than a hand"),
            "{}",
            hand.fault()
        );
    }
}

#[test]
fn turns_may_be_typed_where_they_are_counted_and_nowhere_else() {
    for (typed, judged, value) in [
        ("2", GO, "two turns or fewer"),
        ("1,5", GO, "two turns or fewer"),
        ("0", GO, "does not go"),
        ("2.5", NO_GO, "more than two turns"),
    ] {
        let mut hand = at_gland(gland(), "8.52⏎+");
        hand.keys(&typed[..1]);
        let entry = seen(&hand).verdict.entry.unwrap();
        assert_eq!(entry.what, "turns of the NO-GO plug");
        hand.keys(&typed[1..]);
        hand.keys("⏎");
        assert_eq!(
            verdict(&hand),
            ("no_go_plug".to_owned(), judged, verdict(&hand).2)
        );
        assert_eq!(seen(&hand).verdict.value, value);
    }
    let hand = at_gland(gland(), "8.52⏎+8.376⏎");
    assert_eq!(
        (hand.typed_text(), hand.count()),
        (Some("8.376"), 2),
        "a size is no turns"
    );
    assert!(
        hand.fault().contains("no answer for the NO-GO plug"),
        "{}",
        hand.fault()
    );
    for keys in ["8.52⏎", "8.52⏎+-", "↓↓↓↓↓↓↓↓↓"] {
        let mut hand = at_gland(gland(), keys);
        let count = hand.count();
        hand.keys("3");
        assert_eq!((&hand.desk.mode, hand.count()), (&Mode::Measuring, count));
        assert!(
            hand.fault().starts_with("Type + or goes"),
            "{}",
            hand.fault()
        );
        hand.press(Press::Pasted("3".to_owned()));
        assert_eq!((&hand.desk.mode, hand.count()), (&Mode::Measuring, count));
    }
}

#[test]
fn an_answer_is_voided_like_a_reading_and_asked_again() {
    let mut hand = at_gland(gland(), "8.52⏎+");
    hand.keys("⌫");
    let question = seen(&hand).question.unwrap();
    assert_eq!(question.title, "Why does “goes” of A not count?");
    assert_eq!(hand.keys("3"), ["reading_voided"]);
    assert_eq!(seen(&hand).rows[1].state, "now");
    let title = asked(&hand).unwrap();
    assert!(title.starts_with("GO plug"), "{title}");
    hand.keys("-");
    assert_eq!(verdict(&hand), ("go_plug".to_owned(), NO_GO, Side::MetalOn));
    hand.bench.check();
}

#[test]
fn the_next_part_is_asked_about_after_enter_alone() {
    let text = GLAND.split("[[feature]]\nid = \"B\"").next().unwrap();
    let old = "elements = [\"minor\", \"go_plug\", \"no_go_plug\", \"mate\"]";
    let opened = SessionOpened {
        plan: Some(text.replace(old, CHECKS_ALONE)),
        ..gland()
    };
    let mut hand = at_gland(opened, "+-");
    let view = seen(&hand);
    assert_eq!(view.question, None);
    assert_eq!(
        view.action,
        "Part 1 is GO. Take part 2 and try the GO plug: A, M10-6H, port thread."
    );
    assert_eq!(hand.keys("+").len(), 0, "part 2 is not at hand yet");
    hand.keys("⏎");
    let lines = seen(&hand).question.unwrap().lines.join(" ");
    assert!(lines.contains("part 2"), "{lines}");
    assert_eq!(
        hand.keys("+"),
        [
            "received",
            "part_started",
            "reading_assigned",
            "verdict_given"
        ]
    );
}

#[test]
fn of_several_listed_gauges_the_one_at_hand_is_chosen_by_its_number_once() {
    let elements = "elements = [\"minor\", \"go_plug\", \"no_go_plug\"]\n\
                    gauge = [\"bore-6\", \"plug-6H-old\", \"plug-6H\"]";
    let mut hand = at_gland(with_plugs(elements), "8.52⏎");
    let view = seen(&hand);
    let question = view.question.clone().unwrap();
    assert_eq!(question.title, "Which GO plug is at hand?");
    assert_eq!(answers(&question), [('1', "plug-6H-old"), ('2', "plug-6H")]);
    assert_eq!(strip(&view)[0], "1-9 which gauge");
    for key in ["+", "-", "9"] {
        assert_eq!(hand.keys(key).len(), 0);
        assert!(!hand.fault().is_empty(), "{key}");
    }
    assert_eq!(hand.keys("2").len(), 0, "choosing is no reading");
    let question = seen(&hand).question.unwrap();
    assert!(
        question.lines[1].ends_with("Gauge: plug-6H."),
        "{:?}",
        question.lines
    );
    hand.keys("+-");
    assert_eq!(verdict(&hand), ("no_go_plug".to_owned(), GO, Side::Inside));
    let state = hand.bench.state();
    let gauge = |at: usize| {
        let record = state.readings().iter().nth(at).unwrap();
        state
            .setup()
            .gauge_id(record.gauge.unwrap())
            .unwrap()
            .as_str()
            .to_owned()
    };
    assert_eq!(
        [gauge(0), gauge(1), gauge(2)],
        ["bore-6", "plug-6H", "plug-6H"]
    );
    // The next size is read off a gauge that measures.
    hand.keys("15.9");
    let entry = seen(&hand).verdict.entry.unwrap();
    assert!(!entry.what.contains("plug"), "{}", entry.what);
    // The only one that can be it needs no choice; a plan's micrometer is no plug.
    let elements = "elements = [\"go_plug\"]\ngauge = [\"bore-6\", \"plug-6H\"]";
    let mut hand = at_gland(with_plugs(elements), "");
    hand.keys("+");
    assert_eq!(verdict(&hand), ("go_plug".to_owned(), GO, Side::Inside));
}

#[test]
fn a_gauge_that_is_none_for_the_check_proves_nothing_and_the_right_one_is_named() {
    let elements = "elements = [\"go_plug\"]\ngauge = [\"plug-6H-old\", \"plug-6H\"]";
    let mut hand = at_gland(with_plugs(elements), "");
    let asked = *hand.bench.state().setup().targets[0].check().unwrap();
    let other = fitledger::gauge::GaugeId::new("typed");
    let reading = fitledger::session::check_reading(asked.end, CheckOutcome::Goes, &other, "goes");
    hand.bench
        .take(vec![fitledger::session::Incoming::Reading(reading)]);
    let view = seen(&hand);
    assert_eq!(
        (view.verdict.mark, view.verdict.side.as_str()),
        (Mark::Doubt, "not proved")
    );
    assert_eq!(
        view.action,
        "Try the GO plug again: plug-6H-old or plug-6H."
    );
    let notes = view.verdict.notes.join(" ");
    assert!(
        notes.starts_with("The plan asks for plug-6H-old or plug-6H"),
        "{notes}"
    );
}

#[test]
fn why_has_the_rule_with_its_source_and_no_budget() {
    let hand = at_gland(gland(), "8.52⏎+w");
    let why = seen(&hand).why.unwrap();
    assert_eq!(why.title, "A, M10-6H, port thread, GO plug: goes");
    assert_eq!(why.mark, Mark::Go);
    let rules: Vec<String> = why
        .limits
        .iter()
        .map(|line| format!("{} [{}]", line.what, line.source))
        .collect();
    assert_eq!(rules.len(), 5);
    assert!(rules[1].contains("at most two turns") && rules[1].contains("published rule of use"));
    assert!(rules[3].contains("the minor diameter"), "{rules:?}");
    assert!(rules.iter().all(|rule| !rule.ends_with("[]")), "{rules:?}");
    assert!(
        why.rule[0].what.contains("together are the proof"),
        "{:?}",
        why.rule
    );
    assert!((why.budget.len(), why.corrections.len()) == (0, 0));
    assert!(why.total.contains("no uncertainty"), "{}", why.total);

    let mut hand = at_gland(gland(), "8.52⏎+-w");
    let why = seen(&hand).why.unwrap();
    assert!(
        why.title.ends_with("NO-GO plug: two turns or fewer"),
        "{}",
        why.title
    );
    hand.keys("w+⏎");
    hand.keys("↑w");
    let why = seen(&hand).why.unwrap();
    assert!(why.total.contains("proves nothing"), "{}", why.total);
}

#[test]
fn the_chart_of_a_check_is_a_row_of_marks_without_a_size() {
    let mut hand = at_gland(gland_with(CHECKS_ALONE), "-");
    let chart = seen(&hand).chart;
    assert!(chart.is_outcomes && chart.upper.is_none() && chart.lower.is_none());
    let marks: Vec<(f32, Mark)> = chart
        .points
        .iter()
        .map(|point| (point.y, point.mark))
        .collect();
    assert_eq!(marks, [(0.5, Mark::NoGo)]);
    assert_eq!(
        chart.spoken,
        "A, GO plug over parts 1 to 12: 1 tried, 1 not good."
    );
    hand.keys("⏎+");
    let marks = seen(&hand).chart.points;
    assert_eq!(marks[0].mark, Mark::Go);
}
